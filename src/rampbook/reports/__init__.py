"""Pages: one dataclass a page, rendered to one self-contained HTML file."""
