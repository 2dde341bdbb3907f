"""A cut in one line, as the crew reads it."""

from __future__ import annotations

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
