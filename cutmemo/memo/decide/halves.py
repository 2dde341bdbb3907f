"""Two halves of a call with a pause between them: one call, or two, or a question that names
both.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from cutmemo.asr import Interpretation, Recognition
from cutmemo.asr.decide import MAX_READINGS, PARTLY_MUTED, n_best, rejected_call
from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, NothingToDo, Refused
from cutmemo.language import CallList, Command, OnRow, Reading, may_go_on, read
from cutmemo.memo import events as e
from cutmemo.memo.commands import Context
from cutmemo.memo.decide import find
from cutmemo.memo.decide.cuts import Call, add
from cutmemo.memo.decide.joint import (
    FirstHalf,
    by_sound,
    cuts_of,
    end_is_in_doubt,
    joint_cuts,
    readings_of,
)
from cutmemo.memo.events import CutChanged, Draft, Event, moment_of
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision, Result
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState

REST_WITHIN_SECONDS = 4.0
"""How long after a call its rest may still be heard, by the clock, where no sound tells when it
began.
"""
ANSWERED_WITHIN_SECONDS = 0.4
"""What the program does for an order it does later behind its end than this before it answers the
next utterance.
"""
SHORT_WORDS = 2
"""A half of so many words, and heard in doubt, is rather a piece of a call than a call."""
_SPOKEN = (e.CutAdded, e.CutChanged, e.AssemblyAdded, e.CallRefused)


def first_half(memo: Projection, recognition: Recognition, context: Context) -> FirstHalf | None:
    """Return what may be the first half of a call of which *recognition* is the second; ``None``
    where nothing is.

    Where the sound is at hand it tells what came when; else the clock does.
    """
    before = recognition.follows
    if before is None and recognition.pcm:
        return None
    trace = _last_spoken(memo, context.station)
    if before is None:
        if trace is None or not _within(trace, context):
            return None
    elif trace is None or not _is_of(trace, before):
        # An order, or nothing: "hold it" may have been "four", and a rest may come behind "cut".
        earlier = trace if trace is not None and _within(trace, context) else None
        row = _row_of(memo.state, earlier) if earlier is not None else None
        said = readings_of(before.text, memo.state.settings)
        refused = is_answer(said) and not find.just_settled(memo, context, REST_WITHIN_SECONDS)
        since = recognition.end_seconds - before.end_seconds + ANSWERED_WITHIN_SECONDS
        if _is_of_rows(said) and recognition.right_behind:
            refused = refused or not _has_acted(memo, context, since)
        return FirstHalf(before.text, refused=refused, earlier=row)
    said = trace.payload.said  # type: ignore[union-attr]  # every kind of _SPOKEN has it
    if isinstance(trace.payload, e.CallRefused):
        if _is_unfinished(said, memo.state.settings):
            return FirstHalf(said, refused=True)
        return FirstHalf(said) if before is not None else None  # "no" may have been "two"
    row = _row_of(memo.state, trace)
    return None if row is None else FirstHalf(said, row)


def _has_acted(memo: Projection, context: Context, within_seconds: float) -> bool:
    """Return whether anything came of what this station said or did so short a time ago."""
    last = next((each for each in reversed(memo.log) if each.station == context.station), None)
    if last is None:
        return False
    return (context.now - moment_of(last.at)).total_seconds() <= within_seconds


def is_stray(state: MemoState, heard: Interpretation, context: Context) -> bool:
    """Return whether *heard* settles a question and none is open: it may be part of a call, or be
    said of the one before it.
    """
    return is_answer(heard.readings) and find.question(state, context) is None


def is_answer(readings: Sequence[Reading]) -> bool:
    """Return whether only an order to settle a question was said: yes, no, the first."""
    verbs = [each.intent.verb for each in readings if isinstance(each.intent, Command)]
    return 0 < len(readings) == len(verbs) and {*verbs} <= {"yes", "no", "answer"}


def _last_spoken(memo: Projection, station: str) -> Event | None:
    """Return what this station's last spoken call came to, if it came to anything; a typed one came
    between else.
    """
    for event in reversed(memo.log):
        if event.station == station and isinstance(event.payload, _SPOKEN):
            spoken = getattr(event.payload, "by_voice", True)
            return event if spoken and memo.counts(event) else None
    return None


def _within(trace: Event, context: Context) -> bool:
    """Return whether *trace* was moments ago; a clock set back is no reason to take a call for a
    rest.
    """
    since = (context.now - moment_of(trace.at)).total_seconds()
    return 0 <= since <= REST_WITHIN_SECONDS


def _is_of(trace: Event, before: Recognition) -> bool:
    """Return whether *trace* is what came of *before*, heard by itself or with what came before
    it.
    """
    heard = [before, *([before.joined] if before.joined is not None else [])]
    match trace.payload:
        case e.CutAdded() | e.AssemblyAdded():
            return trace.payload.hypotheses in [n_best(each) for each in heard]
        case e.CutChanged() | e.CallRefused():
            said = trace.payload.said
            return any(said == each.text or said.endswith(f" {each.text}") for each in heard)
    return False


def _row_of(state: MemoState, trace: Event) -> Row | None:
    """Return the row that *trace* put on the list or changed; of a set its last one."""
    match trace.payload:
        case e.CutAdded() | e.CutChanged():
            # A correction of what was cut puts a row with the id of the event on the list.
            return state.rows.get(trace.id) or state.rows.get(trace.payload.row)
        case e.AssemblyAdded():
            return state.rows.get(trace.payload.rows[-1].row)
    return None


def _is_unfinished(said: str, settings: Settings) -> bool:
    """Return whether *said*, which was refused, may be the beginning of a call: no order, and no
    call that ended.
    """
    try:
        intents = [each.intent for each in read(said, settings, by_voice=True)]
    except NotACall:
        return may_go_on(said) or not said.startswith("and ")  # a late rest begins nothing
    except Refused:
        return may_go_on(said)
    return may_go_on(said) and not all(isinstance(each, Command | OnRow) for each in intents)


def whole_call(
    first: FirstHalf, recognition: Recognition, settings: Settings
) -> Recognition | None:
    """Return both halves as the one call they are, where the first was none by itself and the sound
    of both says the same words.
    """
    joined = recognition.joined
    if not first.refused or joined is None or joined.text != f"{first.said} {recognition.text}":
        return None
    try:
        read(joined.text, settings, by_voice=True)
    except (NotACall, Refused):
        return None
    return None if _is_of_rows(readings_of(recognition.text, settings)) else joined


def not_yet_answered(
    state: MemoState, first: FirstHalf, recognition: Recognition, heard: Interpretation
) -> Decision | None:
    """Return the first half asking on, where *heard* came too soon behind it to be the answer to
    its question.

    Nobody has read the question by then: "half" was heard as "yes", and "nine" belongs to "one
    hundred".
    """
    row = first.row
    if row is None or row.assembly_id or row.state != "doubtful" or not recognition.right_behind:
        return None
    joint = joint_cuts(first, recognition, heard.said, False, state.settings)
    return _asking(row, first.said, joint, heard.said)


def weigh(  # noqa: PLR0913 - each is a fact of its own
    state: MemoState,
    first: FirstHalf,
    recognition: Recognition,
    heard: Interpretation | None,
    refused: bool,
    context: Context,
) -> Decision | None:
    """Return the question that two utterances raise together; ``None`` where the second stands by
    itself.

    *heard* is what the second is by itself; *refused* is true where it was speech and no call.

    Raises:
    :class:`NothingToDo` where it is a rest that means nothing by itself, and the row was cut or
    struck meanwhile.
    """
    readings = heard.readings if heard is not None else ()
    if first.row is None or first.row.assembly_id:
        if refused and first.refused:
            heard, readings = None, ()
        return _behind_no_row(state, first, recognition, heard, readings, context)
    row, words = first.row, _words(recognition, heard, state.settings)
    is_cut = any(isinstance(each.intent, Cut) for each in readings)
    halves_ask = (row.state == "doubtful", heard is None or _asks(heard))
    in_doubt = any(halves_ask) if recognition.right_behind else all(halves_ask)
    joint = joint_cuts(first, recognition, words, is_cut, state.settings, in_doubt)
    can_ask = not row.done and row.state in ("open", "doubtful")
    if refused or _is_rest(heard, recognition):
        if can_ask:
            return _asking(row, first.said, joint, words)
        return _rest_of_done(state, row, recognition, words, (joint, readings), context)
    if heard is not None and is_cut:
        torn = can_ask and recognition.right_behind
        torn = torn and (_is_torn(first, row, heard) or end_is_in_doubt(recognition.follows))
        if not joint and not torn:
            return None
        beside = _perhaps_rest(state, row, heard, readings, context)
        return _both(_asking(row, first.said, joint, words), beside) if can_ask else beside
    if heard is not None:  # an order or a correction, unless both together sound like a cut
        sound = cuts_of(by_sound(recognition, state.settings), row)
        joint = tuple(each for each in joint if each in sound)
    asks = joint or (heard is None and recognition.right_behind)
    return _asking(row, first.said, joint, words) if asks and can_ask else None


def behind(
    state: MemoState,
    first: FirstHalf,
    recognition: Recognition,
    heard: Interpretation,
    context: Context,
) -> Decision | None:
    """Return what an order that came to nothing right behind a call makes of it: "six" was heard as
    "next". ``None`` where it is no part of a call.
    """
    row = first.row
    gone = row is not None and (row.done or row.state not in ("open", "doubtful"))
    if gone or not recognition.right_behind:
        return None
    return weigh(state, first, recognition, heard, True, context)


def weigh_list(
    state: MemoState,
    first: FirstHalf,
    recognition: Recognition,
    listed: CallList,
    rows: Decision,
) -> Decision:
    """Return *rows*, which the calls of one breath come to, and the row before them asking where it
    may go on in them.
    """
    row = first.row
    if row is None or row.assembly_id or row.done:
        return rows
    words = listed.parts[0].said
    soon = recognition.right_behind
    joint = joint_cuts(first, recognition, words, True, state.settings, soon)
    asks = joint and row.state in ("open", "doubtful")
    return _both(rows, _asking(row, first.said, joint, words)) if asks else rows


def _is_torn(first: FirstHalf, row: Row, heard: Interpretation) -> bool:
    """Return whether one of two utterances right behind each other is itself in doubt, and was too
    short for a call, or the first may go on.
    """
    unsure = heard.unsure or len(heard.readings) > 1
    if unsure and (may_go_on(first.said) or _is_short(heard.said)):
        return True
    return row.state == "doubtful" and _is_short(first.said)


def _asks(heard: Interpretation) -> bool:
    """Return whether what was *heard* would ask by itself."""
    return heard.unsure or len(heard.readings) > 1 or bool(heard.readings[0].doubts)


def _is_short(said: str) -> bool:
    return len(said.split()) <= SHORT_WORDS


def _both(one: Decision, other: Decision) -> Decision:
    """Return *one* with what *other* writes and is about as well."""
    return Decision(one.result, one.drafts + other.drafts, one.row_ids + other.row_ids)


def _behind_no_row(  # noqa: PLR0913 - each is a fact of its own
    state: MemoState,
    first: FirstHalf,
    recognition: Recognition,
    heard: Interpretation | None,
    readings: Sequence[Reading],
    context: Context,
) -> Decision | None:
    """Return the question about a second half whose first half stands for no row that could ask."""
    if heard is not None and not any(isinstance(each.intent, Cut) for each in readings):
        return None
    alone = [each for each in readings if isinstance(each.intent, Cut)]
    words = _words(recognition, heard, state.settings)
    soon = recognition.right_behind
    joint = joint_cuts(first, recognition, words, bool(alone), state.settings, soon)
    joint = tuple(each for each in joint if each not in [reading.intent for reading in alone])
    if not joint and first.earlier is not None and heard and _is_rest(heard, recognition):
        return _perhaps_rest(state, first.earlier, heard, readings, context)
    if not joint and not (first.refused and alone):
        return None
    right_before = doubt(DoubtKind.HEARD_RIGHT_BEFORE, Field.LENGTH, words=first.said)
    doubts = [right_before] if first.refused or first.row is not None else []
    doubts += [PARTLY_MUTED] if recognition.partly_muted else []
    asked = [*(Reading(each) for each in joint), *alone][:MAX_READINGS]
    asked = [replace(each, doubts=tuple(dict.fromkeys([*each.doubts, *doubts]))) for each in asked]
    best = n_best(recognition.joined or recognition)
    call = Call(f"{first.said} {words}".strip(), True, best, unsure=bool(joint))
    return add(state, call, asked, context)


def _asking(row: Row, said: str, joint: Sequence[Cut], words: str) -> Decision:
    """Return *row* asking whether *joint* or what stands is meant; *words* came behind it, none
    where nobody knows which.
    """
    cuts = tuple(dict.fromkeys([*joint, row.cut, *row.readings]))[: MAX_READINGS + len(joint)]
    why = (
        doubt(DoubtKind.HEARD_RIGHT_AFTER, Field.LENGTH, words=words, joint=len(joint))
        if words
        else doubt(DoubtKind.LOUD_RIGHT_AFTER, Field.LENGTH, joint=len(joint))
    )
    payload = CutChanged(
        row=row.id,
        cut=cuts[0],
        readings=cuts,
        doubts=(why, *row.doubts),
        said=f"{said} {words}".strip(),
    )
    return Decision(Result("changed"), (Draft(payload),), (row.id,))


def _perhaps_rest(
    state: MemoState,
    row: Row,
    heard: Interpretation,
    readings: Sequence[Reading],
    context: Context,
) -> Decision:
    """Return what was *heard* as a row of its own that asks whether it is the rest of *row*."""
    why = doubt(DoubtKind.PERHAPS_A_REST, Field.LENGTH, row=row.number, first=row.id)
    asked = [
        replace(each, doubts=(*each.doubts, why))
        for each in readings
        if isinstance(each.intent, Cut)
    ]
    return add(state, Call(heard.said, True, heard.heard, heard.unsure), asked, context)


def _rest_of_done(  # noqa: PLR0913 - each is a fact of its own
    state: MemoState,
    row: Row,
    recognition: Recognition,
    words: str,
    found: tuple[Sequence[Cut], Sequence[Reading]],
    context: Context,
) -> Decision:
    """Return the rest of a *row* that was cut or struck meanwhile as a row of its own that asks:
    both together, or what came behind alone.

    Raises :class:`NothingToDo` where neither is a cut.
    """
    joint, readings = found
    alone = [each for each in readings if isinstance(each.intent, Cut)]
    if not joint and not alone:
        raise NothingToDo(doubt(DoubtKind.CUT_MEANWHILE, row=row.number))
    why = doubt(DoubtKind.PERHAPS_A_REST, Field.LENGTH, row=row.number, first=row.id)
    asked = [*(Reading(each) for each in joint), *alone][:MAX_READINGS]
    asked = [replace(each, doubts=(*each.doubts, why)) for each in asked]
    call = Call(words, True, n_best(recognition))
    return add(state, call, asked, context)


def row_taken_in(state: MemoState, row: Row, choice: int) -> Row | None:
    """Return the row that reading *choice* (from 1) of *row* takes in as its second half; ``None``
    where there is none.
    """
    after = (DoubtKind.HEARD_RIGHT_AFTER, DoubtKind.LOUD_RIGHT_AFTER)
    why = next((each for each in row.doubts if each.kind in after), None)
    if why is None or choice > int(dict(why.numbers).get("joint", 0)):
        return None
    for other in state.rows.values():
        if other.state == "doubtful" and any(_is_rest_of(each, row) for each in other.doubts):
            return other
    return None


def _is_rest_of(why: Doubt, row: Row) -> bool:
    return why.kind == DoubtKind.PERHAPS_A_REST and dict(why.words).get("first") == row.id


def _words(recognition: Recognition, heard: Interpretation | None, settings: Settings) -> str:
    """Return the words of the second half; empty where none were understood."""
    if heard is not None:
        return heard.said
    if recognition.hypotheses and recognition.hypotheses[0].is_speech:
        return recognition.text
    return rejected_call(recognition, settings)


def _is_of_rows(readings: Sequence[Reading]) -> bool:
    """Return whether only orders were said, and what is about a row that is named."""
    return bool(readings) and all(isinstance(each.intent, Command | OnRow) for each in readings)


def _is_rest(heard: Interpretation | None, recognition: Recognition) -> bool:
    """Return whether nobody begins a call so: with a fraction alone, or with "and"."""
    if heard is None:
        return False
    intent = heard.readings[0].intent
    under_an_inch = isinstance(intent, Cut) and intent.length.inches < 1
    return under_an_inch or recognition.text.startswith("and ")
