"""The column contract of a series, and the practices of one series as numbers."""
