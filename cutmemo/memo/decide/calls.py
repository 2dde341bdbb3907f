"""From words to a decision: what a call means, and which decision that asks for."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

from cutmemo.asr import Interpretation, Recognition, interpret, split_recognition
from cutmemo.asr.decide import n_best, rejected_call
from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind, Field, doubt
from cutmemo.errors import NotACall, NothingToDo, Refused, UnknownCut
from cutmemo.language import (
    AssemblyCall,
    BoardsCall,
    CallList,
    Change,
    Command,
    FromRow,
    OnRow,
    Reading,
    read_typed,
)
from cutmemo.memo.commands import AddBoards, Boards, Context, Order
from cutmemo.memo.decide import answers, corrections, cuts, find, halves, queries, rack
from cutmemo.memo.decide.cuts import Call
from cutmemo.memo.decide.joint import FirstHalf
from cutmemo.memo.decide.orders import obey
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState


def say(memo: Projection, text: str, context: Context) -> Decision:
    """Return what a typed call, or several on one line, asks for.

    Raises :class:`NotACall`, :class:`Refused` or :class:`NothingToDo`.
    """
    state = memo.state
    call = Call(text, by_voice=False)
    found = read_typed(text, state.settings)
    if isinstance(found, CallList):
        return cuts.add_list(state, call, found, context)
    return _meant(memo, call, found, context)


def hear(memo: Projection, recognition: Recognition, context: Context) -> Decision | None:
    """Return what a spoken call asks for; ``None`` where it was no speech for the memo.

    Raises as :func:`say` does.
    """
    first = None if context.at_saw else halves.first_half(memo, recognition, context)
    if first is None:
        return _by_itself(memo, recognition, None, context)
    whole = halves.whole_call(first, recognition, memo.state.settings)
    if whole is not None:
        return _by_itself(memo, whole, None, context)
    return _by_itself(memo, recognition, first, context)


def _by_itself(
    memo: Projection, recognition: Recognition, first: FirstHalf | None, context: Context
) -> Decision | None:
    """Return what an utterance asks for, weighed with the *first* half that it may belong to."""
    state = memo.state
    try:
        listed = None if context.at_saw else split_recognition(recognition, state.settings)
        if listed is not None:
            call = Call(recognition.text, True, n_best(recognition), whole=recognition.held)
            rows = cuts.add_list(state, call, listed, context)
            return (
                rows
                if first is None
                else halves.weigh_list(state, first, recognition, listed, rows)
            )
        heard = interpret(recognition, state.settings)
    except (NotACall, Refused):
        asked = first and halves.weigh(state, first, recognition, None, True, context)
        if asked:
            return asked
        raise
    if heard is not None:
        call = Call(heard.said, True, heard.heard, heard.unsure, whole=recognition.held)
        answer = _answer(state, call, heard.readings, context)
        if first is not None and (answer is not None or _is_answer(heard.readings)):
            answer = halves.not_yet_answered(state, first, recognition, heard) or answer
        if answer is not None:
            return answer
    stray = heard is not None and halves.is_stray(state, heard, context)
    asked = first and halves.weigh(state, first, recognition, heard, stray, context)
    if asked or heard is None:
        return asked or None
    readings = _with_all_heard(heard.readings, recognition, state)
    call = replace(call, unsure=call.unsure or len(readings) > len(heard.readings))
    try:
        return _meant(memo, call, readings, context)
    except NothingToDo:
        behind = first and _behind(state, first, recognition, heard, context)
        if not behind:
            raise
        return behind


def _behind(
    state: MemoState,
    first: FirstHalf,
    recognition: Recognition,
    heard: Interpretation,
    context: Context,
) -> Decision | None:
    """Return what *heard*, which came to nothing, makes of the call before it; ``None`` where it
    was no order.
    """
    if not all(map(_is_order, heard.readings)):
        return None
    return halves.behind(state, first, recognition, heard, context)


def _with_all_heard(
    readings: Sequence[Reading], recognition: Recognition, state: MemoState
) -> Sequence[Reading]:
    """Return *readings*; of a call under an inch with every other cut that was heard, however far
    behind: "one fifty" was heard as "one sixteenth".
    """
    intent = readings[0].intent
    if not isinstance(intent, Cut) or intent.length.inches >= 1:
        return readings
    heard = interpret(recognition, state.settings, math.inf)
    return readings if heard is None else heard.readings


def ignored(state: MemoState, recognition: Recognition, context: Context) -> str:
    """Return the words of a call that was taken for noise; empty where nobody need know."""
    return "" if context.at_saw else rejected_call(recognition, state.settings)


def _meant(memo: Projection, call: Call, readings: Sequence[Reading], context: Context) -> Decision:
    """Return the decision for what the words mean."""
    state = memo.state
    readings = [each for said in readings for each in _worked_out(state, said, context)]
    found = [reading for reading in readings if isinstance(reading.intent, Cut)]
    only_orders = all(_is_order(reading) for reading in readings)
    answer = _answer(state, call, readings, context)
    if answer is not None:
        return answer
    if context.at_saw and call.by_voice and not only_orders:
        raise Refused(call.said, (doubt(DoubtKind.ONLY_ORDERS_AT_SAW),))
    if found:
        late = answers.perhaps_late(state, call, found, context)
        if late is not None:
            found = [replace(each, doubts=(*each.doubts, late)) for each in found]
        if any(_is_of_a_row(state, reading, context) for reading in readings):
            asked = doubt(DoubtKind.OR_OF_A_ROW, Field.LENGTH)
            found = [replace(each, doubts=(*each.doubts, asked)) for each in found]
        return cuts.add(state, call, found, context)
    if any(isinstance(reading.intent, Change) for reading in readings):
        torn = call.unsure or len(readings) > 1
        return corrections.change(state, call, readings, torn, context)
    if any(isinstance(reading.intent, OnRow) for reading in readings):
        return _on_row(memo, call, readings, context)
    return _single(memo, call, readings, context)


def _is_of_a_row(state: MemoState, reading: Reading, context: Context) -> bool:
    """Return whether *reading* changes a row that is on the list, or is an order for it."""
    said = reading.intent
    try:
        if isinstance(said, OnRow):
            return find.named(state, said, context).state != "struck"
        return isinstance(said, Change) and find.last_single(state, context).state != "struck"
    except (UnknownCut, NothingToDo):
        return False


def _worked_out(state: MemoState, reading: Reading, context: Context) -> list[Reading]:
    """Return *reading* with the cut that it works out from a row.

    Where a later row was struck, "the last one" may be that one as well: it asks. Raises
    :class:`NothingToDo`.
    """
    said = reading.intent
    if not isinstance(said, FromRow):
        return [reading]
    row = _row_worked_from(state, said, context)
    if row.state == "doubtful":
        raise NothingToDo(doubt(DoubtKind.ASKS_FIRST, row=row.number))
    if row.state == "struck":
        raise NothingToDo(doubt(DoubtKind.STATE_ALREADY, row=row.number, state=row.state))
    if said.itself:
        return [replace(reading, intent=OnRow(row.number, _changed(said, row)))]
    standing = replace(reading, intent=said.cut(row.cut))
    struck = find.struck_behind(state, row, context) if said.row is None else None
    if struck is None:
        return [standing]
    asked = doubt(DoubtKind.LAST_ONE_STRUCK, Field.LENGTH, row=row.number, struck=struck.number)
    doubts = (*reading.doubts, asked)
    return [
        replace(standing, doubts=doubts),
        replace(reading, intent=said.cut(struck.cut), doubts=doubts),
    ]


def _row_worked_from(state: MemoState, said: FromRow, context: Context) -> Row:
    """Return the row that *said* names. Raises :class:`UnknownCut` and :class:`NothingToDo`."""
    if said.piece is not None:
        return (find.latest_of_piece if said.latest else find.of_piece)(state, said.piece)
    if said.row is not None:
        return find.row_of(state, str(said.row))
    return (find.last_single if said.itself else find.last_called)(state, context)


def _changed(said: FromRow, row: Row) -> Change:
    """Return the change of *row* itself. Raises :class:`NothingToDo` where one piece is named and
    the row is several, and where none would be left.
    """
    count = row.cut.count
    if said.of_one and count > 1:
        raise NothingToDo(doubt(DoubtKind.MORE_THAN_ONE, row=row.number, count=count))
    changed = said.changed(row.cut)
    if changed.count is not None and changed.count < 1:
        raise NothingToDo(doubt(DoubtKind.NONE_WOULD_BE_LEFT, row=row.number, count=count))
    return changed


def _answer(
    state: MemoState, call: Call, readings: Sequence[Reading], context: Context
) -> Decision | None:
    """Return the question just asked settled, where a bare number names one of its readings."""
    found = [reading for reading in readings if isinstance(reading.intent, Cut)]
    if len(found) < len(readings) and not context.at_saw:
        return None
    return answers.named_answer(state, call, found, context)


def _is_answer(readings: Sequence[Reading]) -> bool:
    """Return whether only the order to settle a question was said."""
    intents = [reading.intent for reading in readings]
    return all(isinstance(each, Command) and each.verb in ("yes", "answer") for each in intents)


def _is_order(reading: Reading) -> bool:
    intent = reading.intent.intent if isinstance(reading.intent, OnRow) else reading.intent
    return isinstance(intent, Command)


def _on_row(
    memo: Projection, call: Call, readings: Sequence[Reading], context: Context
) -> Decision:
    """Return the decision for a row that is named by its number, its length or its piece, or is
    the last one: it has to be one row.

    Raises :class:`Refused`, and what finding the row raises where there is none.
    """
    named = [reading.intent for reading in readings if isinstance(reading.intent, OnRow)]
    numbers = {each.row for each in named if not (each.length or each.piece or each.words)}
    if len(named) < len(readings) or len(numbers) > 1:
        raise Refused(call.said, (doubt(_said_two_ways(call)),))
    order = named[0].intent
    if named[0].row is None and isinstance(order, Command) and len(named) == 1:
        of_its_own = context.at_saw or order.verb in OF_ITS_OWN
        row_id = None if of_its_own else find.last_single(memo.state, context).id
        return _obeyed(memo, call, order, row_id, context)
    row, readings = _named_row(memo.state, call, readings, context)
    named = [reading.intent for reading in readings if isinstance(reading.intent, OnRow)]
    if isinstance(named[0].intent, Command):
        if len(readings) > 1:
            raise Refused(call.said, (doubt(_said_two_ways(call)),))
        by_name = bool(named[0].length or named[0].piece or named[0].words)
        cut = named[0].intent.verb in ("clear", "clear all") and not named[0].intent.count
        if by_name and cut and row.left > 1:
            raise NothingToDo(doubt(DoubtKind.SEVERAL_LEFT, row=row.number, left=row.left))
        return _obeyed(memo, call, named[0].intent, row.id, context)
    if row.state == "struck":
        raise NothingToDo(doubt(DoubtKind.STATE_ALREADY, row=row.number, state=row.state))
    if row.assembly_id and row.state == "doubtful":
        raise NothingToDo(doubt(DoubtKind.ASKS_FIRST, row=row.number))
    changes = [
        replace(reading, intent=each.intent) for reading, each in zip(readings, named, strict=True)
    ]
    torn = call.unsure or len(readings) > 1
    return corrections.change(memo.state, call, changes, torn, context, row)


OF_ITS_OWN = ("strike", "put back", "release")
"""Orders that know which row was last themselves."""


def _obeyed(
    memo: Projection, call: Call, order: Command, row_id: str | None, context: Context
) -> Decision:
    """Return what an order for a row asks for. Raises :class:`Refused` where it is not sure."""
    if call.unsure:
        raise Refused(call.said, (doubt(_said_two_ways(call)),))
    return obey(memo, _order(order, row_id), context)


def _named_row(
    state: MemoState, call: Call, readings: Sequence[Reading], context: Context
) -> tuple[Row, list[Reading]]:
    """Return the one row that is named, and the *readings* that name it.

    "Change 36 to 37" may name row 36 or the row of 36 in.: what is not on the list is not meant.
    Raises :class:`Refused` where both are, and what finding a row raises where none is.
    """
    found: dict[str, Row] = {}
    naming: list[Reading] = []
    missing: list[UnknownCut | NothingToDo] = []
    for reading in readings:
        named = reading.intent
        if not isinstance(named, OnRow):
            continue
        try:
            row = find.named(state, named, context)
        except (UnknownCut, NothingToDo) as error:
            missing.append(error)
            continue
        found[row.id] = row
        naming.append(reading)
    several = [each for each in missing if _several(each)]
    if several or not found:
        raise (several or missing)[-1]
    if len(found) > 1:
        numbers = ", ".join(str(row.number) for row in found.values())
        raise Refused(call.said, (doubt(DoubtKind.TWO_ROWS_NAMED, rows=numbers),))
    return next(iter(found.values())), naming


def _several(error: UnknownCut | NothingToDo) -> bool:
    kinds = (
        DoubtKind.SEVERAL_ROWS_OF_LENGTH,
        DoubtKind.SEVERAL_ROWS_OF_PIECE,
        DoubtKind.NOT_WHAT_IT_IS,
        DoubtKind.NOT_SAID,
        DoubtKind.NOT_SO_MANY,
    )
    return isinstance(error, NothingToDo) and error.reason.kind in kinds


def _said_two_ways(call: Call) -> DoubtKind:
    heard, said = DoubtKind.ORDER_HEARD_TWO_WAYS, DoubtKind.ORDER_SAID_TWO_WAYS
    return heard if call.by_voice else said


def _single(
    memo: Projection, call: Call, readings: Sequence[Reading], context: Context
) -> Decision:
    """Return the decision for what stands in no row that could ask: it has to mean one thing."""
    reading = readings[0]
    asked = _how_many(readings)
    if len(asked) > 1:
        return queries.how_many_of(memo, asked)
    if call.unsure or len(readings) > 1:
        raise Refused(call.said, (doubt(_said_two_ways(call)),))
    match reading.intent:
        case AssemblyCall():
            return cuts.add_assembly(memo.state, call, reading.intent, context)
        case BoardsCall():
            if reading.doubts:
                raise Refused(call.said, reading.doubts)
            return _boards(call, reading.intent, context)
        case Command():
            if call.by_voice and reading.intent.verb in ("yes", "answer", "no"):
                answers.refuse_stray(memo, call, reading, context)
            return obey(memo, _order(reading.intent), context)
    raise NotACall((call.said,), 0, frozenset())


def _how_many(readings: Sequence[Reading]) -> list[Order]:
    """Return what is asked, where nothing but how many are left is: a jack may be two pieces, and
    the answer changes neither.
    """
    orders = [each.intent for each in readings if isinstance(each.intent, Command)]
    asks = len(orders) == len(readings) and all(each.verb == "how many" for each in orders)
    return [_order(each) for each in orders] if asks else []


def _boards(call: Call, intent: BoardsCall, context: Context) -> Decision:
    found: list[Boards] = []
    for each in (intent, *intent.more):
        if each.section is None:
            raise Refused(call.said, (doubt(DoubtKind.BOARD_WITHOUT_SECTION, length=each.length),))
        found.append(Boards(each.section, each.length.inches, each.count, each.price, each.bad))
    return rack.add_boards(AddBoards(tuple(found)), context)


def _order(said: Command, row_id: str | None = None) -> Order:
    """Return a spoken or typed order as a command."""
    return Order(
        said.verb,
        row_id,
        said.number,
        said.length,
        said.reason,
        to=said.to,
        count=said.count,
        section=said.section,
        piece=said.piece,
        words=said.words,
    )
