"""Which measures each set uses, and which of those that were said are wrong, past any, or in
doubt.
"""

from __future__ import annotations

from collections.abc import Iterator
from fractions import Fraction

from cutmemo.framing import Remark, RemarkKind
from cutmemo.framing.remarks import remark, wrong
from cutmemo.language.sets import AssemblyCall, Framing

_ROOF = ("span", "run", "pitch", "overhang", "fascia", "ridge", "section")
_USES: dict[Framing, tuple[str, ...]] = {
    "rafters": (*_ROOF, "plate", "length", "spacing", "rake", "count"),
    "hips": (*_ROOF, "end pitch", "plate", "commons", "between commons", "length", "count"),
    "valleys": (*_ROOF, "end pitch", "plate", "commons", "between commons", "count"),
    "jacks": (*_ROOF[:-2], "end pitch", "spacing", "hip", "section", "count"),
    "valley jacks": (
        *("span", "run", "pitch", "end pitch", "ridge", "spacing", "hip", "section", "count"),
    ),
    "cripple jacks": ("span", "run", "pitch", "end pitch", "hip", "section", "count"),
    "valley cripples": ("run", "pitch", "end pitch", "spacing", "hip", "section", "count"),
    "gable studs": ("span", "run", "pitch", "spacing", "section"),
    "rake wall": ("length", "high", "pitch", "spacing", "section"),
    "wall": (
        *("length", "high", "spacing", "section", "header", "door or window", "corner", "butt"),
        *("tee", "partition", "backing"),
    ),
    "floor": ("length", "span", "spacing", "section", "blocking", "opening"),
    "deck": ("length", "span", "spacing", "section", "blocking", "board", "gap"),
    "stairs": ("rise", "run", "width", "thick", "section", "stringers", "well", "deck"),
}
"""The measures that each set uses."""
_INSTEAD: dict[tuple[Framing, str], str] = {
    ("stairs", "drop"): "thick",
    ("stairs", "count"): "stringers",
    ("floor", "run"): "span",
    ("floor", "width"): "span",
}
_NEEDS: dict[tuple[Framing, str], str] = {
    ("rafters", "spacing"): "length",
    ("rafters", "rake"): "length",
    ("stairs", "deck"): "well",
    ("stairs", "well"): "deck",
    ("wall", "header"): "door or window",
    ("wall", "partition"): "tee",
}
"""Measures that are used only beside another."""
_TWICE: tuple[tuple[Framing | None, str, str], ...] = (
    (None, "span", "run"),
    ("rafters", "length", "count"),
)
"""Measures that say the same thing, of one set or of all, so that only one of them is used."""
_FEET_BELOW: dict[tuple[str, str], int] = {
    ("roof", "span"): 72,
    ("roof", "run"): 36,
    ("roof", "overhang"): 4,
    ("roof", "length"): 72,
    ("wall", "length"): 36,
    ("wall", "high"): 24,
    ("wall", "wide"): 12,
    ("floor", "length"): 72,
    ("floor", "span"): 48,
    ("floor", "wide"): 12,
    ("floor", "long"): 12,
    ("stairs", "rise"): 20,
    ("stairs", "well"): 20,
    ("stairs", "width"): 12,
}
"""Below so many inches a measure said without a unit is as likely feet (common practice)."""
_MOST = {"ridge": 8, "plate": 12, "fascia": 4, "hip": 8, "thick": 4, "board": 12, "gap": 1}
"""More inches than these is no thickness of a board, and no width of a plate (common practice)."""
_LEAST_SPACING = Fraction(2)
"""Inches: closer together there is hardly room between boards of 1-1/2 (common practice)."""
_MOST_OF_ANY = 12_000
"""No wall, roof or floor measures more inches: 1,000 ft (common practice)."""
LOW_HEAD = 60
"""Inches from the floor under which a header is doubtful: it may be the height of the window
itself.
"""


def _kind(what: Framing) -> str:
    if what in ("wall", "rake wall"):
        return "wall"
    if what in ("floor", "deck"):
        return "floor"
    return what if what == "stairs" else "roof"


def doubtful_measures(called: AssemblyCall) -> tuple[Remark, ...]:
    """Return a question for every measure that was said without a unit and is as likely in feet,
    and for low headers.
    """
    kind = _kind(called.what)
    feet = [
        remark(RemarkKind.FEET_SIZED, name=name, value=value)
        for name, value in dict.fromkeys(called.bare)
        if value < _FEET_BELOW.get((kind, name), 0)
    ]
    low = [
        remark(RemarkKind.LOW_HEAD, at=opening.at, height=opening.height)
        for opening in called.openings
        if _FEET_BELOW["wall", "high"] <= opening.height < LOW_HEAD
    ]
    return (*feet, *low)


def _said(called: AssemblyCall) -> Iterator[str]:
    """Yield the names of all that was said."""
    yield from (name for name, _ in (*called.inches, *called.numbers))
    yield from (
        name
        for name, there in (
            ("count", called.count is not None),
            ("pitch", called.pitch),
            ("end pitch", called.end_pitch),
            ("section", called.section),
            ("commons", called.commons),
            ("partition", called.partition),
            ("between commons", called.between_commons),
            ("header", called.header),
            ("door or window", called.openings),
            ("opening", called.holes),
            ("tee", called.tees),
            ("backing", called.backing),
            ("corner", called.corners),
            ("butt", called.butts),
        )
        if there
    )


def refuse_unused(called: AssemblyCall) -> None:
    """Raise :class:`MeasureError` for the first measure that nothing uses."""
    said, uses = list(_said(called)), _USES[called.what]
    for name in said:
        if name not in uses:
            instead = _INSTEAD.get((called.what, name), "")
            raise wrong(
                RemarkKind.UNUSED,
                set=called.what,
                said=name,
                instead=instead,
                uses=", ".join(uses),
            )
        needs = _NEEDS.get((called.what, name))
        if needs is not None and needs not in said:
            raise wrong(RemarkKind.NEEDS_TOO, set=called.what, said=name, needs=needs)
    for name, value in called.inches:
        most = Fraction(_MOST.get(name, _MOST_OF_ANY))
        if value > most:
            raise wrong(RemarkKind.PAST_ANY, said=name, value=value, most=most)
        if name == "spacing" and value < _LEAST_SPACING:
            raise wrong(RemarkKind.TOO_CLOSE, said=name, value=value, least=_LEAST_SPACING)
    if called.header is not None and all(each.header is not None for each in called.openings):
        raise wrong(RemarkKind.UNUSED, set=called.what, said="header", instead="", uses="its own")
    for what, one, two in _TWICE:
        if one in said and two in said and what in (None, called.what):
            raise wrong(RemarkKind.SAID_BY, set=called.what, said=two, by=one)
