"""Every label and sentence of the site's page, by the names its scripts ask for them."""

from __future__ import annotations

WORDS: dict[str, str] = {}
"""Sent to the page as it is."""
