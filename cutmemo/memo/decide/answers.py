"""Questions settled: by a choice, by a bare number that names a reading, or by taking the call
back.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.errors import NothingToDo, Refused
from cutmemo.language import Reading
from cutmemo.memo.commands import Context, Order
from cutmemo.memo.decide import find, halves, saw
from cutmemo.memo.decide.cuts import Call, cuts_of
from cutmemo.memo.decide.orders import order
from cutmemo.memo.decide.undo import refuse_if_built_upon
from cutmemo.memo.events import (
    AssemblyConfirmed,
    CutStruck,
    Draft,
    EventUndone,
    QuestionAnswered,
    moment_of,
)
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision, Result
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState

ANSWER_WITHIN_SECONDS = 10.0
"""How long after a question a bare number may be its answer; later it is a call."""
ORDER_WITHIN_SECONDS = 20.0
"""How long after a question, or after the answer to the one before it, a spoken "yes", "no" or "the
first" may be its answer; later it may be anybody's talk.

In five minutes of talk over music, "the first" was heard 32 and 106 s behind a question.
"""


@order("answer", "yes")
def answered(memo: Projection, given: Order, context: Context) -> Decision:
    """Return a question settled with the reading of that number; "yes" is the first."""
    choice = 1 if given.verb == "yes" else given.number
    return answer(memo.state, choice, given.row_id, context)


def answer(state: MemoState, choice: int, row_id: str | None, context: Context) -> Decision:
    """Return a question settled with reading *choice* (from 1). Raises :class:`NothingToDo`."""
    row = find.asking(state, row_id, context)
    if row.state != "doubtful":
        raise NothingToDo(doubt(DoubtKind.ASKS_NOTHING, row=row.number))
    if not 1 <= choice <= len(row.readings):
        of = len(row.readings)
        raise NothingToDo(doubt(DoubtKind.NO_SUCH_READING, row=row.number, choice=choice, of=of))
    if row.assembly_id:
        draft = Draft(AssemblyConfirmed(row.assembly_id))
    else:
        draft = Draft(QuestionAnswered(row.id, row.readings[choice - 1]))
    rest = halves.row_taken_in(state, row, choice)
    struck = () if rest is None else (Draft(CutStruck(rest.id)),)
    return Decision(Result("answered"), (draft, *struck), (draft.id, row.id))


@order("no")
def refused(memo: Projection, given: Order, context: Context) -> Decision:
    """Return the row that asks struck, an assembly taken back as a whole."""
    return take_back(memo, given.row_id, context)


@order("strike")
def strike(memo: Projection, given: Order, context: Context) -> Decision:
    """Return a row struck: the one named, the one of that length, or the last call taken back."""
    if given.row_id is not None:
        return saw.strike(memo.state, given.row_id)
    if given.length is not None:
        return saw.strike(memo.state, find.of_length(memo.state, given.length).id)
    return take_back(memo, find.last_called(memo.state, context).id, context)


def take_back(memo: Projection, row_id: str | None, context: Context) -> Decision:
    """Return the row that asks struck, an assembly taken back as a whole."""
    row = find.asking(memo.state, row_id, context)
    if not row.assembly_id:
        return saw.strike(memo.state, row.id)
    called = next(event for event in memo.log if event.id == row.assembly_id)
    if not memo.counts(called):
        raise NothingToDo(doubt(DoubtKind.TAKEN_BACK_ALREADY, title=row.assembly))
    if any(each.done or each.spoiled for each in memo.state.of_assembly(row.assembly_id)):
        raise NothingToDo(doubt(DoubtKind.ASSEMBLY_BEGUN, title=row.assembly))
    refuse_if_built_upon(memo, called)
    draft = Draft(EventUndone(called.id))
    return Decision(Result("undone", events=(called,)), (draft,))


def refuse_stray(memo: Projection, call: Call, reading: Reading, context: Context) -> None:
    """Refuse a spoken *reading* that settles a question, where it is not plainly meant so.

    Raises :class:`Refused` where some of it may be missing, and :class:`NothingToDo` where the
    question was asked too long ago, or none is open.
    """
    if reading.doubts:
        raise Refused(call.said, reading.doubts)
    row = find.asking(memo.state, None, context)
    if _since_asked(row, context) > ORDER_WITHIN_SECONDS and not find.just_settled(
        memo, context, ORDER_WITHIN_SECONDS
    ):
        raise NothingToDo(doubt(DoubtKind.ASKED_LONG_AGO, row=row.number))


def named_answer(
    state: MemoState, call: Call, readings: Sequence[Reading], context: Context
) -> Decision | None:
    """Return the question just asked settled, where *readings* name one of its readings.

    A doubtful hearing answers nothing, and what is typed only the question that is shown.
    ``None`` where it is a call of its own. Raises :class:`Refused` where a typed number is the
    number of one reading and the length of another.
    """
    if call.unsure:
        return None
    if not call.by_voice:
        return _typed_answer(state, call, readings, context)
    row = _own_question(state, context)
    if row is None or not 0 <= _since_asked(row, context) <= ANSWER_WITHIN_SECONDS:
        return None
    named = _readings_named(row, readings)
    if len(named) != 1:
        return None
    decision = answer(state, named[0], row.id, context)
    return replace(decision, result=replace(decision.result, as_answer=True))


def perhaps_late(
    state: MemoState, call: Call, readings: Sequence[Reading], context: Context
) -> Doubt | None:
    """Return that a spoken bare number may be the answer to the question just asked, which comes
    too late to be surely one.
    """
    row = _own_question(state, context) if call.by_voice else None
    if row is None or not _readings_named(row, readings):
        return None
    return doubt(DoubtKind.PERHAPS_AN_ANSWER, Field.LENGTH, row=row.number)


def _own_question(state: MemoState, context: Context) -> Row | None:
    """Return the row whose question a bare number may settle: one of several readings, asked at
    this station.
    """
    row = find.question(state, context)
    asked_here = row is not None and row.station == context.station and len(row.readings) > 1
    return row if asked_here else None


def _since_asked(row: Row, context: Context) -> float:
    """Return the seconds since *row* asked."""
    return (context.now - moment_of(row.touched_at)).total_seconds()


def _readings_named(row: Row, readings: Sequence[Reading]) -> list[int]:
    """Return which readings of *row*, from 1, the *readings* of a bare number name."""
    return [
        n
        for n, reading in enumerate(row.readings, start=1)
        if any(_names(reading, cut) for cut in cuts_of(readings))
    ]


def _typed_answer(
    state: MemoState, call: Call, readings: Sequence[Reading], context: Context
) -> Decision | None:
    """Return the question that is shown settled by a bare number: that of a choice, or the length
    of one reading.
    """
    row = find.question(state, context)
    if row is None or row.id != context.shown_question or row.assembly_id:
        return None
    said = cuts_of(readings)
    if len(said) != 1 or said[0] != Cut(said[0].length):
        return None
    inches = said[0].length.inches
    named = [n for n, each in enumerate(row.readings, start=1) if each.length.inches == inches]
    if inches in range(1, len(row.readings) + 1) and int(inches) not in named:
        named.append(int(inches))
    if len(named) > 1:
        raise Refused(call.said, (doubt(DoubtKind.CHOICE_OR_LENGTH),))
    if not named:
        return None
    decision = answer(state, named[0], row.id, context)
    return replace(decision, result=replace(decision.result, as_answer=True))


def _names(reading: Cut, said: Cut) -> bool:
    """Return whether the bare number *said* names *reading*.

    By its length, its inches, their last two figures, or its count.
    """
    inches = reading.length.inches
    names = {
        inches,
        Fraction(inches // 1),
        Fraction(inches // 1 % 100),
        Fraction(reading.count),
    }
    return said == Cut(said.length) and said.length.inches in names
