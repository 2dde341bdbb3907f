"""From words to a decision: what a call means, and which decision that asks for."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from cutmemo.asr import Recognition, interpret, split_recognition
from cutmemo.asr.decide import n_best, rejected_call
from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind, doubt
from cutmemo.errors import NotACall, Refused
from cutmemo.language import AssemblyCall, BoardsCall, Change, Command, Reading, read, split_calls
from cutmemo.language.intent import Verb
from cutmemo.memo.commands import AddBoards, Boards, Context
from cutmemo.memo.decide import answers, corrections, cuts, find, halves, rack, saw, undo
from cutmemo.memo.decide.cuts import Call
from cutmemo.memo.decide.halves import FirstHalf
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision, Result
from cutmemo.memo.state import MemoState


def say(memo: Projection, text: str, context: Context) -> Decision:
    """Return what a typed call, or several on one line, asks for.

    Raises :class:`NotACall`, :class:`Refused` or :class:`NothingToDo`.
    """
    state = memo.state
    call = Call(text, by_voice=False)
    try:
        readings = read(text, state.settings)
    except NotACall:
        listed = split_calls(text, state.settings)
        if listed is None:
            raise
        return cuts.add_list(state, call, listed, context)
    return _meant(memo, call, readings, context)


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
            call = Call(recognition.text, True, n_best(recognition))
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
        call = Call(heard.said, True, heard.heard, heard.unsure)
        answer = _answer(state, call, heard.readings, context)
        if first is not None and (answer is not None or _is_answer(heard.readings)):
            answer = halves.not_yet_answered(state, first, recognition, heard) or answer
        if answer is not None:
            return answer
    asked = first and halves.weigh(state, first, recognition, heard, False, context)
    if asked or heard is None:
        return asked or None
    return _meant(memo, call, heard.readings, context)


def ignored(state: MemoState, recognition: Recognition, context: Context) -> str:
    """Return the words of a call that was taken for noise; empty where nobody need know."""
    return "" if context.at_saw else rejected_call(recognition, state.settings)


def _meant(memo: Projection, call: Call, readings: Sequence[Reading], context: Context) -> Decision:
    """Return the decision for what the words mean."""
    state = memo.state
    found = [reading for reading in readings if isinstance(reading.intent, Cut)]
    only_orders = all(isinstance(reading.intent, Command) for reading in readings)
    answer = _answer(state, call, readings, context)
    if answer is not None:
        return answer
    if context.at_saw and call.by_voice and not only_orders:
        raise Refused(call.said, (doubt(DoubtKind.ONLY_ORDERS_AT_SAW),))
    if found:
        return cuts.add(state, call, found, context)
    if any(isinstance(reading.intent, Change) for reading in readings):
        torn = call.unsure or len(readings) > 1
        return corrections.change(state, call, readings, torn, context)
    return _single(memo, call, readings, context)


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


def _single(
    memo: Projection, call: Call, readings: Sequence[Reading], context: Context
) -> Decision:
    """Return the decision for what stands in no row that could ask: it has to mean one thing."""
    reading = readings[0]
    if call.unsure or len(readings) > 1:
        kind = DoubtKind.ORDER_HEARD_TWO_WAYS if call.by_voice else DoubtKind.ORDER_SAID_TWO_WAYS
        raise Refused(call.said, (doubt(kind),))
    match reading.intent:
        case AssemblyCall():
            return cuts.add_assembly(memo.state, call, reading.intent, context)
        case BoardsCall():
            if reading.doubts:
                raise Refused(call.said, reading.doubts)
            return _boards(call, reading.intent, context)
        case Command():
            return _order(memo, reading.intent, context)
    raise NotACall((call.said,), 0, frozenset())


def _boards(call: Call, intent: BoardsCall, context: Context) -> Decision:
    if intent.section is None:
        raise Refused(call.said, (doubt(DoubtKind.BOARD_WITHOUT_SECTION, length=intent.length),))
    boards = Boards(intent.section, intent.length.inches, intent.count)
    return rack.add_boards(AddBoards((boards,)), context)


def _order(memo: Projection, command: Command, context: Context) -> Decision:
    """Return the decision for a spoken or typed order."""
    return _ORDERS[command.verb](memo, command, context)


_Order = Callable[[Projection, Command, Context], Decision]


def _strike(memo: Projection, command: Command, context: Context) -> Decision:
    if command.length is not None:
        return saw.strike(memo.state, find.of_length(memo.state, command.length).id)
    return answers.take_back(memo, find.last_called(memo.state, context).id, context)


def _read_back(memo: Projection, command: Command, context: Context) -> Decision:
    state = memo.state
    row = find.at_saw(state, None, context) if context.at_saw else find.last_called(state, context)
    return Decision(Result("read back"), (), (row.id,))


def _hold(memo: Projection, command: Command, context: Context) -> Decision:
    return saw.hold(memo.state, None, context) if context.at_saw else Decision(Result("pause"))


def _play(memo: Projection, command: Command, context: Context) -> Decision:
    return Decision(Result("play"), (), (find.last_called(memo.state, context).id,))


_ORDERS: dict[Verb, _Order] = {
    "strike": _strike,
    "undo": lambda memo, command, context: undo.undo(memo, context),
    "redo": lambda memo, command, context: undo.redo(memo, context),
    "read back": _read_back,
    "same": lambda memo, command, context: corrections.again(memo.state, context),
    "more": lambda memo, command, context: corrections.more(memo.state, command.number, context),
    "put back": lambda memo, command, context: saw.put_back(memo.state, None),
    "clear": lambda memo, command, context: saw.clear(memo.state, None, False, context),
    "clear all": lambda memo, command, context: saw.clear(memo.state, None, True, context),
    "answer": lambda memo, command, context: answers.answer(
        memo.state, command.number, None, context
    ),
    "yes": lambda memo, command, context: answers.answer(memo.state, 1, None, context),
    "no": lambda memo, command, context: answers.take_back(memo, None, context),
    "listen": lambda memo, command, context: Decision(Result("listen")),
    "pause": lambda memo, command, context: Decision(Result("pause")),
    "total": lambda memo, command, context: Decision(Result("told", topic="totals")),
    "acknowledge": lambda memo, command, context: Decision(Result("told", topic="understood")),
    "how many": lambda memo, command, context: Decision(Result("told", topic="how many")),
    "what next": lambda memo, command, context: saw.what_next(memo.state, context),
    "hold": _hold,
    "release": lambda memo, command, context: saw.release(memo.state, None),
    "skip": lambda memo, command, context: saw.skip(memo.state, None, context),
    "trouble": lambda memo, command, context: saw.spoil(
        memo, command.reason or "bad stock", None, None, context
    ),
    "play": _play,
}
