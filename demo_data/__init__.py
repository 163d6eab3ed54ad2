"""The invented club of the demo: a seeded generator and what is true of it."""
