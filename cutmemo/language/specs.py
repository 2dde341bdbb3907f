"""What was said of a set as the measures that framing takes: nothing is dropped, nothing is guessed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from typing import Any

from cutmemo.framing import (
    DeckSpec,
    FloorOpeningSpec,
    FloorSpec,
    HeaderSpec,
    HipSlope,
    HipSpec,
    JackSpec,
    MeasureError,
    OpeningSpec,
    Pitch,
    RafterSpec,
    RakeSpec,
    Remark,
    RemarkKind,
    Spec,
    StairSpec,
    WallSpec,
)
from cutmemo.framing.assembly import thickness
from cutmemo.framing.remarks import remark, wrong
from cutmemo.framing.specs import JackKind
from cutmemo.language.sets import AssemblyCall, Framing, HeaderSaid, Opening, PitchSaid

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
LOW_HEAD = 60
"""Inches from the floor under which a header is doubtful: it may be the height of the window itself."""


def _kind(what: Framing) -> str:
    if what in ("wall", "rake wall"):
        return "wall"
    if what in ("floor", "deck"):
        return "floor"
    return what if what == "stairs" else "roof"


def doubtful_measures(called: AssemblyCall) -> tuple[Remark, ...]:
    """Return a question for every measure that was said without a unit and is as likely in feet, and for low headers."""
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


def spec_of(called: AssemblyCall) -> Spec:
    """Return the measures of *called*. Raises :class:`MeasureError` where one is missing or used for nothing."""
    _refuse_unused(called)
    return _SPECS[called.what](called)


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


def _refuse_unused(called: AssemblyCall) -> None:
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
        if value > _MOST.get(name, value):
            raise wrong(RemarkKind.PAST_ANY, said=name, value=value, most=Fraction(_MOST[name]))
    if called.header is not None and all(each.header is not None for each in called.openings):
        raise wrong(RemarkKind.UNUSED, set=called.what, said="header", instead="", uses="its own")
    for what, one, two in _TWICE:
        if one in said and two in said and what in (None, called.what):
            raise wrong(RemarkKind.SAID_BY, set=called.what, said=two, by=one)


def _missing(called: AssemblyCall, *names: str) -> MeasureError:
    return wrong(RemarkKind.MISSING, set=called.what, names=", ".join(names))


def _some(called: AssemblyCall, **names: str) -> dict[str, Any]:
    """Return the measures that were said, by the names of a spec's fields: ``field="name as said"``."""
    found = {field: called.named(name) for field, name in names.items()}
    given: dict[str, Any] = {field: value for field, value in found.items() if value is not None}
    if called.section is not None:
        given["section"] = called.section
    return given


def _pitch(said: PitchSaid) -> Pitch:
    return Pitch(degrees=said.value) if said.in_degrees else Pitch(said.value)


def _roof(called: AssemblyCall, *also: str) -> tuple[Fraction, HipSlope]:
    """Return the run and the pitches of a roof; *also* names what else has to be said."""
    span, run = called.named("span"), called.named("run")
    half = span / 2 if span is not None else run
    missing = [
        *(["run"] if half is None else []),
        *(["pitch"] if called.pitch is None else []),
        *(name for name in also if called.named(name) is None),
    ]
    if missing or half is None or called.pitch is None:
        raise _missing(called, *missing)
    main = _pitch(called.pitch)
    return half, HipSlope(main, _pitch(called.end_pitch) if called.end_pitch else main)


def _rafters(called: AssemblyCall) -> Spec:
    run, slope = _roof(called)
    return RafterSpec(
        run,
        slope.main,
        called.count if called.count is not None else 1,
        **_some(
            called,
            overhang="overhang",
            fascia="fascia",
            ridge="ridge",
            seat="plate",
            length="length",
            spacing="spacing",
            rake="rake",
        ),
    )


def _hips(called: AssemblyCall) -> Spec:
    run, slope = _roof(called)
    return HipSpec(
        run,
        slope,
        called.count if called.count is not None else 1,
        valley=called.what == "valleys",
        commons=called.commons,
        at_commons=called.between_commons,
        **_some(
            called,
            overhang="overhang",
            fascia="fascia",
            ridge="ridge",
            seat="plate",
            length="length",
        ),
    )


_JACKS: dict[Framing, JackKind] = {
    "jacks": "hip",
    "valley jacks": "valley",
    "cripple jacks": "cripple",
    "valley cripples": "valley cripple",
}


def _jacks(called: AssemblyCall) -> Spec:
    kind = _JACKS[called.what]
    run, slope = _roof(called, *(() if kind == "cripple" else ("spacing",)))
    return JackSpec(
        kind,
        run,
        slope,
        called.named("spacing") or Fraction(0),
        called.count if called.count is not None else 1,
        **_some(called, overhang="overhang", fascia="fascia", ridge="ridge", hip="hip"),
    )


def _gable(called: AssemblyCall) -> Spec:
    run, slope = _roof(called)
    return RakeSpec(2 * run, slope.main, gable=True, **_some(called, spacing="spacing"))


def _rake_wall(called: AssemblyCall) -> Spec:
    length, high = called.named("length"), called.named("high")
    missing = [
        name
        for name, there in (("length", length), ("high", high), ("pitch", called.pitch))
        if there is None
    ]
    if missing or length is None or high is None or called.pitch is None:
        raise _missing(called, *missing)
    return RakeSpec(length, _pitch(called.pitch), high, **_some(called, spacing="spacing"))


def _header(said: HeaderSaid) -> HeaderSpec:
    """Return a header; a two-by is doubled where its plies were not said, anything else is single."""
    plies = said.plies
    if plies is None:
        two_by = thickness(said.section) == Fraction(3, 2) and not said.section.material
        plies = 2 if two_by else 1
    return HeaderSpec(said.section, plies, said.deep, plies_said=said.plies is not None)


def _openings(called: AssemblyCall) -> Iterator[OpeningSpec]:
    """Yield the openings: with a header of their own, the wall's, that of the next one, or of the one before."""
    for n, opening in enumerate(called.openings):
        after = [each.header for each in called.openings[n:]]
        before = [each.header for each in called.openings[:n]]
        headers = [opening.header, called.header, *after, *reversed(before)]
        header = next((each for each in headers if each is not None), None)
        if header is None:
            raise _missing(called, "header")
        yield _opening(opening, _header(header))


def _opening(said: Opening, header: HeaderSpec) -> OpeningSpec:
    return OpeningSpec(
        said.width,
        said.height,
        said.at,
        header,
        said.sill,
        1 if said.trimmers is None else said.trimmers,
        1 if said.kings is None else said.kings,
    )


def _wall(called: AssemblyCall) -> Spec:
    length, high = called.named("length"), called.named("high")
    if length is None or high is None:
        raise _missing(called, "length" if length is None else "high")
    spec = WallSpec(
        length,
        high,
        openings=tuple(_openings(called)),
        corners=frozenset(called.corners),  # type: ignore[arg-type]  # left and right
        butts=frozenset(called.butts),  # type: ignore[arg-type]  # the same
        tees=called.tees,
        backing=called.backing,
        **_some(called, spacing="spacing"),
    )
    return spec if called.partition is None else replace(spec, partition=called.partition)


def _floor(called: AssemblyCall) -> Spec:
    length, span = called.named("length"), called.named("span")
    if length is None or span is None:
        raise _missing(called, "length" if length is None else "span")
    holes = tuple(
        FloorOpeningSpec(hole.at, hole.across, hole.width, hole.long) for hole in called.holes
    )
    return FloorSpec(
        length,
        span,
        blocking=dict(called.numbers).get("blocking", 0),
        openings=holes,
        **_some(called, spacing="spacing"),
    )


def _deck(called: AssemblyCall) -> Spec:
    length, span = called.named("length"), called.named("span")
    if length is None or span is None:
        raise _missing(called, "length" if length is None else "span")
    return DeckSpec(
        length,
        span,
        blocking=dict(called.numbers).get("blocking", 0),
        **_some(called, spacing="spacing", board="board", gap="gap"),
    )


def _stairs(called: AssemblyCall) -> Spec:
    rise = called.named("rise")
    if rise is None:
        raise _missing(called, "rise")
    spec = StairSpec(
        rise, **_some(called, run="run", width="width", thick="thick", well="well", floor="deck")
    )
    stringers = dict(called.numbers).get("stringers")
    return spec if stringers is None else replace(spec, stringers=stringers)


_SPECS: dict[Framing, Callable[[AssemblyCall], Spec]] = {
    "rafters": _rafters,
    "hips": _hips,
    "valleys": _hips,
    "jacks": _jacks,
    "valley jacks": _jacks,
    "cripple jacks": _jacks,
    "valley cripples": _jacks,
    "gable studs": _gable,
    "rake wall": _rake_wall,
    "wall": _wall,
    "floor": _floor,
    "deck": _deck,
    "stairs": _stairs,
}
