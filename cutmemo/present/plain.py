"""Cuts as JSON values, as scripts read them: the fields may grow, never change."""

from __future__ import annotations

from fractions import Fraction
from typing import Any

from cutmemo.domain.cut import WORD_FIELDS, Cut, End


def cut_to_plain(cut: Cut) -> dict[str, Any]:
    """Return *cut* as JSON values, fractions as text, what was not said left out."""
    plain: dict[str, Any] = {"length": str(cut.length.inches), "count": cut.count}
    if cut.allowance is not None:
        plain["shade"] = [cut.allowance.word, cut.allowance.side, cut.allowance.slight]
    if cut.section is not None:
        size = cut.section
        plain["section"] = {
            "thick": None if size.thickness is None else str(size.thickness),
            "wide": None if size.width is None else str(size.width),
            "material": size.material,
            "treated": size.treated,
        }
    plain |= {
        name: getattr(cut, name)
        for name in ("piece", "place", *WORD_FIELDS)
        if getattr(cut, name) is not None
    }
    if cut.angled():
        plain["ends"] = [_end_to_plain(end) for end in cut.ends]
    return plain


def _end_to_plain(end: End) -> dict[str, Any]:
    plain: dict[str, Any] = {"kind": end.kind}
    for name in ("rise", "miter", "bevel", "point", "cheek"):
        value = getattr(end, name)
        if value is not None:
            plain[name] = str(value) if isinstance(value, Fraction) else value
    return plain
