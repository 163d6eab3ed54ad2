"""Estimators: each takes arrays and gives numbers; no sentences and no pictures here."""
