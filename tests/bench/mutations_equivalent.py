"""Faults that no test can see, each with the reason: the program does the same with them as without."""

from __future__ import annotations

EQUIVALENT: dict[tuple[str, str, str], str] = {}
"""By path, operator, and the changed lines before and after, each on a line of its own without spaces around it."""
