"""The invented club of the demo: a seeded generator and what is true of it."""

from . import club, stories

__all__ = ["club", "stories"]
