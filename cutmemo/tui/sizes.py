"""Screens that are too low for everything."""

from __future__ import annotations

LOW: list[tuple[int, str]] = [(0, "-low"), (18, "-high")]
"""Below 18 rows the style sheet leaves away what is not needed to work."""
