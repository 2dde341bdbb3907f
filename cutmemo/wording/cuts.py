"""A cut in one line, as the crew reads it."""

from __future__ import annotations

from collections.abc import Sequence

from cutmemo.domain.checks import sawn
from cutmemo.domain.cut import Cut
from cutmemo.domain.length import format_length
from cutmemo.domain.settings import Settings


def describe(cut: Cut, settings: Settings) -> str:
    """Return *cut* in one line, lengths as *settings* show them."""
    parts = [f"{cut.count} ×" if cut.count != 1 else ""]
    parts.append(str(format_length(cut.length, settings.display, settings.fineness)))
    parts += [str(part) for part in (cut.allowance, cut.section, cut.piece) if part]
    if cut.allowance is not None and settings.shade is not None:
        parts.append(f"(saw {format_length(sawn(cut, settings), settings.display, 64)})")
    parts += [cut.ends_shown(), *cut.words(), f"for {cut.place}" if cut.place else ""]
    return " ".join(part for part in parts if part)


INCHES_A_FOOT = 12


def choices(readings: Sequence[Cut], settings: Settings) -> list[str]:
    """Return what a question may mean, one line each; lengths that differ stand in feet too, which
    shows how they do.
    """
    lines = [describe(cut, settings) for cut in readings]
    if settings.display != "inches" or len({cut.length for cut in readings}) < 2:
        return lines
    feet = (str(format_length(cut.length, "feet", settings.fineness)) for cut in readings)
    return [
        line if cut.length.inches < INCHES_A_FOOT else f"{line} ({as_feet})"
        for cut, line, as_feet in zip(readings, lines, feet, strict=True)
    ]
