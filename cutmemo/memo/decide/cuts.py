"""New rows: one call, several in one breath, or a whole assembly, and what each has to be asked."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from cutmemo.domain.checks import check
from cutmemo.domain.cut import Cut, End, Point
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.length import Length, to_tape
from cutmemo.errors import NothingToDo, Refused
from cutmemo.framing import MeasureError, calculate
from cutmemo.framing.remarks import as_doubt, label
from cutmemo.language import AssemblyCall, CallList, Reading
from cutmemo.language.measures import doubtful_measures
from cutmemo.language.specs import spec_of
from cutmemo.memo.commands import Context
from cutmemo.memo.decide import find
from cutmemo.memo.events import AssemblyAdded, AssemblyRow, CutAdded, Draft, moment_of
from cutmemo.memo.result import Decision, Result
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState

ONE_OF_SEVERAL = doubt(DoubtKind.ONE_OF_SEVERAL, Field.LENGTH)
ASSEMBLY_BY_VOICE = doubt(DoubtKind.ASSEMBLY_BY_VOICE)
UNDER_AN_INCH = doubt(DoubtKind.UNDER_AN_INCH_BY_VOICE, Field.LENGTH)


@dataclass(frozen=True, slots=True)
class Call:
    """A call on its way into the memo."""

    said: str
    by_voice: bool
    hypotheses: tuple[tuple[str, float], ...] = ()
    unsure: bool = False
    """True where another meaning was heard nearly as well."""
    list: str = ""
    """What the calls of one line or breath have in common; empty for a call by itself."""
    whole: bool = False
    """True where a key that was let go ended it."""


def add(state: MemoState, call: Call, readings: Sequence[Reading], context: Context) -> Decision:
    """Return a new row for *call*. Raises :class:`Refused`."""
    readings = _of_the_same(state, readings, context)
    torn = call.unsure or len(readings) > 1
    row = _new_row(state, call, list(readings), torn, context)
    return Decision(Result("added"), (Draft(row),), (row.row,))


def _new_row(  # noqa: PLR0913 - each is a fact of its own
    state: MemoState,
    call: Call,
    readings: list[Reading],
    torn: bool,
    context: Context,
    before: Sequence[Cut] = (),
) -> CutAdded:
    """Return a new row; *before* are the cuts that the same line called before it."""
    readings = list(_perhaps_done(state, readings))
    if not call.unsure:
        readings = sorted(readings, key=lambda reading: _is_odd(reading, state))
    cuts = cuts_of(readings)
    kept, doubts = questions(state, call, cuts, readings, torn, context, before=before)
    return CutAdded(
        row=context.new_id(),
        cut=kept[0],
        readings=tuple(kept) if doubts else (),
        doubts=tuple(doubts),
        cautions=(*readings[0].warnings, *check(kept[0], (), state.settings).cautions),
        said=call.said,
        by_voice=call.by_voice,
        hypotheses=call.hypotheses,
        settings=state.settings.shown(),
        list=call.list,
        whole=call.whole,
    )


def _of_the_same(
    state: MemoState, readings: Sequence[Reading], context: Context
) -> Sequence[Reading]:
    """Return *readings* with the piece and the size of the row called last where nothing but
    "another", a length and a count was said; of another length as well without them.
    """
    (reading, *others) = readings
    cut = reading.intent
    if others or reading.lead != "another" or not isinstance(cut, Cut):
        return readings
    try:
        last = find.last_called(state, context).cut
    except NothingToDo:
        return readings
    alike = replace(cut, piece=last.piece, section=last.section)
    if cut != Cut(cut.length, cut.count) or alike == cut:
        return readings
    same = replace(reading, intent=alike)
    return [same] if cut.length == last.length else [same, reading]


def _perhaps_done(state: MemoState, readings: Sequence[Reading]) -> Sequence[Reading]:
    """Return *readings*, doubtful where "cut 36" may say that rows that wait, and are so long, are
    cut.
    """
    rows = {
        row.number
        for reading in readings
        if reading.lead == "cut"
        for cut in cuts_of([reading])
        for row in find.rows_of_length(state, cut.length)
        if cut.piece in (None, row.cut.piece)
    }
    if not rows:
        return readings
    numbers = ", ".join(map(str, sorted(rows)))
    asked = doubt(DoubtKind.DONE_OR_NEW, Field.LENGTH, rows=numbers, row=min(rows))
    return [replace(each, doubts=(*each.doubts, asked)) for each in readings]


def cuts_of(readings: Iterable[Reading]) -> list[Cut]:
    """Return the cuts among *readings*."""
    return [reading.intent for reading in readings if isinstance(reading.intent, Cut)]


def _is_odd(reading: Reading, state: MemoState) -> bool:
    """Return whether *reading* would ask by itself: of two, 3 in. is named after 36."""
    if not isinstance(reading.intent, Cut):
        return False
    found = check(reading.intent, (), state.settings)
    return bool(found.questions or found.cautions)


def questions(  # noqa: PLR0913 - each is a fact of its own
    state: MemoState,
    call: Call,
    cuts: list[Cut],
    readings: Sequence[Reading],
    torn: bool,
    context: Context,
    row: Row | None = None,
    before: Sequence[Cut] = (),
) -> tuple[list[Cut], list[Doubt]]:
    """Return the cuts that may be meant and why one has to be chosen.

    Raises :class:`Refused` where none can be. *row* is the one that is corrected, if any.
    """
    others = [
        each.cut
        for each in state.rows.values()
        if each.state in ("open", "cut") and each is not row
    ]
    doubts: list[Doubt] = []
    kept: list[Cut] = []
    asked: list[tuple[Doubt, ...]] = []
    refusals: list[Doubt] = []
    for cut, reading in zip(cuts, readings, strict=True):
        since = 0.0 if cut in before else _seconds_since(state, cut, row, context)
        longest = _longest_board(state, cut)
        found = check(
            cut, [*others, *before], state.settings, since, longest, typed=not call.by_voice
        )
        if found.refusals:
            refusals += found.refusals
            continue
        doubts += reading.doubts
        rare = (UNDER_AN_INCH,) if call.by_voice and cut.length.inches < 1 else ()
        for meant in _to_either_point(cut, found.questions):
            kept.append(meant)
            asked.append((*rare, *found.questions))
    if not kept:
        raise Refused(call.said, tuple(dict.fromkeys(refusals)))
    if torn:
        doubts.insert(0, _torn(call, kept))
    for cut, each in zip(kept, asked, strict=True):
        for question in each:  # what holds for one of several readings names it
            of_all = all(question in others_asked for others_asked in asked)
            doubts.append(question if of_all else of_reading(question, cut))
    return kept, list(dict.fromkeys(doubts))


def _torn(call: Call, kept: Sequence[Cut]) -> Doubt:
    """Return that *kept* may all be meant, about the fields in which they differ."""
    kind = DoubtKind.HEARD_TWO_WAYS if call.unsure else DoubtKind.SAID_TWO_WAYS
    differ = [each for each in Field if len({getattr(cut, each) for cut in kept}) > 1]
    return doubt(kind, *(differ or [Field.LENGTH]))


def _to_either_point(cut: Cut, asked: Sequence[Doubt]) -> list[Cut]:
    """Return *cut* to the long point and to the short point, where that is asked; else as it is."""
    if all(each.kind is not DoubtKind.POINT_NOT_SAID for each in asked):
        return [cut]
    points: tuple[Point, ...] = ("long", "short")
    first, second = cut.ends
    return [replace(cut, ends=(_to(first, point), _to(second, point))) for point in points]


def _to(end: End, point: Point) -> End:
    """Return *end* to *point*, where it is no square one and none was said."""
    return end if end.kind == "square" or end.point else replace(end, point=point)


def _longest_board(state: MemoState, cut: Cut) -> Fraction | None:
    """Return the longest board of the section of *cut* on the rack; ``None`` where there is
    none.
    """
    lots = (lot.inches for lot in state.rack.lots if lot.section == cut.section)
    return max(lots, default=None)


def of_reading(question: Doubt, cut: Cut) -> Doubt:
    """Return *question* as one that is about *cut* among several readings."""
    return replace(
        question,
        numbers=(*question.numbers, ("of_count", Fraction(cut.count))),
        lengths=(*question.lengths, ("of", cut.length)),
    )


def of_none(question: Doubt) -> Doubt:
    """Return *question* without the reading it is about."""
    return replace(
        question,
        numbers=tuple(each for each in question.numbers if each[0] != "of_count"),
        lengths=tuple(each for each in question.lengths if each[0] != "of"),
    )


def _seconds_since(state: MemoState, cut: Cut, row: Row | None, context: Context) -> float | None:
    """Return how long ago this station called the very same cut last."""
    if row is not None:
        return None
    length = cut.length.inches.as_integer_ratio()  # far the quickest of all that differs
    for each in reversed(state.rows.in_order()):
        if each.cut.length.inches.as_integer_ratio() != length:
            continue
        if each.cut == cut and each.station == context.station:
            return (context.now - moment_of(each.at)).total_seconds()
    return None


def add_list(state: MemoState, call: Call, listed: CallList, context: Context) -> Decision:
    """Return the rows of several calls in one line or breath; each asks, unless commas part them.

    Raises :class:`Refused` where one of them cannot be: then none is added.
    """
    asks = () if listed.marked else (ONE_OF_SEVERAL,)
    call = replace(call, list=context.new_id())
    rows: list[CutAdded] = []
    for part in listed.parts:
        readings = [replace(each, doubts=(*asks, *each.doubts)) for each in part.readings]
        said, before = replace(call, said=part.said), [row.cut for row in rows]
        rows.append(_new_row(state, said, readings, len(readings) > 1, context, before))
    result = Result("added", listed=True, marked=listed.marked)
    return Decision(result, tuple(map(Draft, rows)), tuple(row.row for row in rows))


def add_assembly(state: MemoState, call: Call, called: AssemblyCall, context: Context) -> Decision:
    """Return the rows of a whole assembly, or none of it. Raises :class:`Refused`."""
    try:
        assembly = calculate(spec_of(called), state.settings)
    except MeasureError as error:
        raise Refused(call.said, (as_doubt(error.problem),)) from error
    found = [check(_on_tape(cut, state), (), state.settings) for cut in assembly.cuts]
    refusals = dict.fromkeys(reason for each in found for reason in each.refusals)
    if refusals:
        raise Refused(call.said, tuple(refusals))
    asked = tuple(as_doubt(each) for each in doubtful_measures(called))
    rows = tuple(
        AssemblyRow(context.new_id(), cut, (*each.questions, *each.cautions))
        for cut, each in zip(assembly.cuts, found, strict=True)
    )
    payload = AssemblyAdded(
        rows=rows,
        title=label(assembly.title),
        doubts=(*asked, *((ASSEMBLY_BY_VOICE,) if call.by_voice else ())),
        said=call.said,
        by_voice=call.by_voice,
        hypotheses=call.hypotheses,
        settings=state.settings.shown(),
    )
    ids = tuple(row.row for row in rows)
    return Decision(Result("set added", assembly=assembly), (Draft(payload),), ids)


def _on_tape(cut: Cut, state: MemoState) -> Cut:
    """Return *cut* as it is measured: a length that was worked out is not too fine for the tape."""
    return replace(cut, length=Length(to_tape(cut.length.inches, state.settings.fineness)))
