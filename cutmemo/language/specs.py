"""What was said of a set as the measures that framing takes: nothing is dropped, nothing is
guessed.
"""

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
    RemarkKind,
    Spec,
    StairSpec,
    WallSpec,
)
from cutmemo.framing.assembly import thickness
from cutmemo.framing.remarks import wrong
from cutmemo.framing.specs import JackKind
from cutmemo.language.measures import refuse_unused
from cutmemo.language.sets import AssemblyCall, Framing, HeaderSaid, Opening, PitchSaid


def spec_of(called: AssemblyCall) -> Spec:
    """Return the measures of *called*. Raises :class:`MeasureError` where one is missing or used
    for nothing.
    """
    refuse_unused(called)
    return _SPECS[called.what](called)


def _missing(called: AssemblyCall, *names: str) -> MeasureError:
    return wrong(RemarkKind.MISSING, set=called.what, names=", ".join(names))


def _some(called: AssemblyCall, **names: str) -> dict[str, Any]:
    """Return the measures that were said, by the names of a spec's fields: ``field="name as
    said"``.
    """
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
    """Return a header; a two-by is doubled where its plies were not said, anything else is
    single.
    """
    plies = said.plies
    if plies is None:
        two_by = thickness(said.section) == Fraction(3, 2) and not said.section.material
        plies = 2 if two_by else 1
    return HeaderSpec(said.section, plies, said.deep, plies_said=said.plies is not None)


def _openings(called: AssemblyCall) -> Iterator[OpeningSpec]:
    """Yield the openings: with a header of their own, the wall's, that of the next one, or of the
    one before.
    """
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
    counted = dict(called.numbers)
    return DeckSpec(
        length,
        span,
        blocking=counted.get("blocking", 0),
        beam=None if called.beam is None else _header(called.beam),
        posts=counted.get("posts"),
        post=called.post,
        **_some(
            called,
            spacing="spacing",
            board="board",
            gap="gap",
            cantilever="cantilever",
            height="high",
            thick="thick",
        ),
    )


def _stairs(called: AssemblyCall) -> Spec:
    rise = called.named("rise")
    if rise is None:
        raise _missing(called, "rise")
    counted: dict[str, Any] = dict(called.numbers)  # stringers, landings
    return StairSpec(
        rise,
        **counted,
        **_some(called, run="run", width="width", thick="thick", well="well", floor="deck"),
    )


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
