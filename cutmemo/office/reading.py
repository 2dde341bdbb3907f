"""What the one who orders reads: the states of all sites, of one moment."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SiteOfOffice:
    """One site, as the office knows it."""

    name: str
    """Its name, which is that of its role in the database."""
    title: str
    """What people call it; empty where nobody said."""
    events: int
    """How many the office has of it."""
    waiting: int
    """How many of them are not in the tally yet."""
    last: str
    """When the last one arrived, as ISO 8601; empty for none."""
    same_as: str = ""
    """The site with which it shares its history, where it is counted; mostly empty."""
    troubles: tuple[str, ...] = ()
    """Entries that could not be counted."""


@dataclass(frozen=True, slots=True)
class DayOfSite:
    """Pieces of one site on one day."""

    site: str
    day: str
    called: int
    cut: int
    trouble: int
