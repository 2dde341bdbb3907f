"""Two halves of a call with a pause between them: one call, or two, or a question that names
both.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from cutmemo.asr import Interpretation, Recognition, interpret
from cutmemo.asr.decide import MAX_READINGS, PARTLY_MUTED, margin_for, n_best, rejected_call
from cutmemo.domain.checks import check
from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, NothingToDo, Refused
from cutmemo.language import (
    CallList,
    Change,
    Command,
    OnRow,
    Reading,
    may_go_on,
    read,
    without_lead_in,
)
from cutmemo.language.lexicon.en import ONES, TENS
from cutmemo.memo import events as e
from cutmemo.memo.commands import Context
from cutmemo.memo.decide import find
from cutmemo.memo.decide.cuts import Call, add
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
MIN_TWO_FIGURES = 10
_END_IN_T = (["eight"], ["foot"], ["feet"])
_UNLIKELY = frozenset({DoubtKind.TOO_MANY, DoubtKind.TOO_LONG, DoubtKind.A_FOOT_OF_INCHES})
_SPOKEN = (e.CutAdded, e.CutChanged, e.AssemblyAdded, e.CallRefused)


@dataclass(frozen=True, slots=True)
class FirstHalf:
    """What this station heard moments before, and what came of it."""

    said: str
    row: Row | None = None
    """The row it stands for; ``None`` where it stands for none."""
    refused: bool = False
    """True where it was speech and no call."""
    earlier: Row | None = None
    """The row that was called moments before it, where it was an order or was not understood."""


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
        said = _readings(before.text, memo.state.settings)
        refused = is_answer(said) and not find.just_settled(memo, context, REST_WITHIN_SECONDS)
        since = recognition.end_seconds - before.end_seconds + ANSWERED_WITHIN_SECONDS
        if _is_order(said) and recognition.right_behind:
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
    return None if _is_order(_readings(recognition.text, settings)) else joined


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
    return _asking(row, first.said, _without(joint, row), heard.said)


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
    joint = _without(joint, row)
    can_ask = not row.done and row.state in ("open", "doubtful")
    if refused or _is_rest(heard, recognition):
        if can_ask:
            return _asking(row, first.said, joint, words)
        return _rest_of_done(state, row, recognition, words, (joint, readings), context)
    if heard is not None and is_cut:
        torn = can_ask and recognition.right_behind
        torn = torn and (_is_torn(first, row, heard) or _end_is_in_doubt(recognition.follows))
        if not joint and not torn:
            return None
        beside = _perhaps_rest(state, row, heard, readings, context)
        return _both(_asking(row, first.said, joint, words), beside) if can_ask else beside
    if heard is not None:  # an order or a correction, unless both together sound like a cut
        sound = _cuts(_by_sound(recognition, state.settings), row)
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
    joint = _without(joint, row)
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


def _end_is_in_doubt(first: Recognition | None) -> bool:
    """Return whether *first* may as well end in another word, or without its last: a word that a
    pause cut in two is heard in doubt.
    """
    if first is None or not first.hypotheses:
        return False
    best, *others = first.hypotheses
    return any(
        best.log_likelihood - each.log_likelihood <= margin_for(first)
        and each.text.split()[-1:] != best.text.split()[-1:]
        for each in others
    )


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


# --- what both together may be --------------------------------------------------------------------


def joint_cuts(  # noqa: PLR0913 - each is a fact of its own
    first: FirstHalf,
    recognition: Recognition,
    words: str,
    is_a_call: bool,
    settings: Settings,
    in_doubt: bool = False,
) -> tuple[Cut, ...]:
    """Return the cuts that both halves may be together, by their sound and by their words; those no
    saw can make left out.

    *is_a_call* is true where the second is one by itself: then the words of both count only where
    the first may go on, and what nobody calls does not. What was not understood has no words that
    could be read. *in_doubt* is true where what nobody calls may be meant as well: right behind
    each other one of the halves asks by itself, or later both.
    """
    open_ended = first.refused or first.row is None or may_go_on(first.said)
    open_ended = open_ended or _adds_words(first, words, settings)
    by_sound: Sequence[Reading] = ()
    by_words: list[Reading] = []
    if open_ended or not is_a_call or not _same_words(first, recognition, words):
        by_sound = _by_sound(recognition, settings)
    if words and (open_ended or not is_a_call) and not _is_noise(first):
        by_words += _readings(f"{first.said} {words}", settings)
        if recognition.right_behind or not is_a_call:
            by_words += _readings(_said_once(first.said, words), settings)
            by_words += _readings(_and_for_ten(first.said, words), settings)
        by_words += _with_part(first, _readings(words, settings))
        if by_sound or by_words or recognition.right_behind:
            by_words += _by_other_words(recognition, settings)
        if recognition.right_behind and not by_words:
            parted = _end_is_in_doubt(recognition.follows) or len(_readings(words, settings)) > 1
            by_words += _readings(_without_beginning(first.said, words, parted), settings)
    # The best of each first: neither the sound of both nor their words knows better.
    found = [*by_sound[:1], *by_words[:1], *by_sound[1:], *by_words[1:]]
    if is_a_call and not (first.refused or in_doubt):
        found = [each for each in found if not _is_unlikely(each, settings)]
    cuts = [each for each in _cuts(found, first.row) if not check(each, (), settings).refusals]
    return tuple(dict.fromkeys(cuts))[: MAX_READINGS - 1]


def _by_other_words(recognition: Recognition, settings: Settings) -> list[Reading]:
    """Return what both halves may mean together by any of the words that either may be, the
    likeliest first; those left out that together are further behind than the margin.
    """
    first = recognition.follows
    if first is None or not first.hypotheses or not recognition.hypotheses:
        return []
    margin = max(margin_for(first), margin_for(recognition))
    behind = sorted(
        (
            first.hypotheses[0].log_likelihood
            - one.log_likelihood
            + recognition.hypotheses[0].log_likelihood
            - other.log_likelihood,
            f"{one.text} {other.text}",
        )
        for one in first.hypotheses
        for other in recognition.hypotheses
        if one.is_speech and other.is_speech
    )
    return [each for far, text in behind if far <= margin for each in _readings(text, settings)]


def _said_once(one: str, other: str) -> str:
    """Return both halves with a word that ends one and begins the *other* said once: "two oh eight"
    and "eight and five eighths". Empty where there is none.
    """
    *before, last = one.split() or [""]
    return " ".join([*before, other]) if last and other.split()[:1] == [last] else ""


def _and_for_ten(one: str, other: str) -> str:
    """Return both halves with "and" for the "ten" that the *other* begins with, where *one* ends in
    a t that a pause parts from it: "two oh eight", "'t and five eighths". Else empty.
    """
    last, (begins, *rest) = one.split()[-1:], other.split() or [""]
    return " ".join([one, "and", *rest]) if last in _END_IN_T and begins == "ten" else ""


def _without_beginning(one: str, other: str, parted: bool) -> str:
    """Return both halves without what the *other* begins with, where *one* may go on: the end of a
    word that the pause parted is heard as a word, or as "get me". A figure counts for such an end
    only where a doubt tells that a word was *parted*. Empty where nothing is left.
    """
    begins, _, rest = other.partition(" ")
    led = without_lead_in(other)
    if led != other:
        rest = led
    elif begins in TENS or (begins in ONES and not (parted and ONES[begins] < MIN_TWO_FIGURES)):
        return ""
    return f"{one} {rest}" if rest and may_go_on(one) else ""


def _with_part(first: FirstHalf, rest: Sequence[Reading]) -> list[Reading]:
    """Return the row of the first half, of whole inches, with the part of an inch that *rest* says
    by itself: "sixty one", "then three sixteenths".
    """
    row = first.row
    if row is None or row.cut.length.inches.denominator != 1 or not may_go_on(first.said):
        return []
    found = []
    for each in rest:
        part = each.intent
        if isinstance(part, Cut) and part.length.inches < 1 and part.count == 1:
            whole = replace(row.cut.length, inches=row.cut.length.inches + part.length.inches)
            said = {
                name: value
                for name in ("allowance", "section", "piece", "place", "note")
                if (value := getattr(part, name)) is not None
            }
            found.append(replace(each, intent=replace(row.cut, length=whole, **said)))
    return found


def _adds_words(first: FirstHalf, words: str, settings: Settings) -> bool:
    """Return whether *words* may say more of the first half's cut and leave its length as it is:
    "jack stud for wall two".
    """
    row = first.row
    if row is None or not words or words.split()[0] in (*ONES, *TENS):
        return False
    return any(
        (each.length, each.count) == (row.cut.length, row.cut.count)
        for each in _cuts(_readings(f"{first.said} {words}", settings), row)
    )


def _same_words(first: FirstHalf, recognition: Recognition, words: str) -> bool:
    """Return whether the sound of both says no more than the words of one after the other."""
    return recognition.joined is not None and recognition.joined.text == f"{first.said} {words}"


def _is_noise(first: FirstHalf) -> bool:
    return first.row is None and not first.refused


def _is_unlikely(reading: Reading, settings: Settings) -> bool:
    """Return whether two calls are likelier than *reading* as one: 102 of a piece, 108 feet, twelve
    foot nineteen.
    """
    found = check(reading.intent, (), settings).questions if isinstance(reading.intent, Cut) else ()
    return any(each.kind in _UNLIKELY for each in (*reading.doubts, *reading.warnings, *found))


def _without(joint: Sequence[Cut], row: Row) -> tuple[Cut, ...]:
    """Return those of *joint* that *row* does not stand for or ask about already."""
    return tuple(each for each in joint if each not in (row.cut, *row.readings))


def _by_sound(recognition: Recognition, settings: Settings) -> tuple[Reading, ...]:
    """Return what the sound of both may mean.

    Nothing where the second adds nothing to what was heard as one before.
    """
    before = recognition.follows.joined if recognition.follows is not None else None
    if recognition.joined is None or (before and before.text == recognition.joined.text):
        return ()
    try:
        heard = interpret(recognition.joined, settings)
    except (NotACall, Refused):
        return ()
    return () if heard is None else heard.readings


def _cuts(readings: Iterable[Reading], row: Row | None) -> list[Cut]:
    """Return the cuts among *readings*, a correction applied to *row*."""
    found = []
    for each in readings:
        if isinstance(each.intent, Cut):
            found.append(each.intent)
        elif isinstance(each.intent, Change) and row is not None:
            found.append(each.intent.applied(row.cut))
    return found


def _readings(said: str, settings: Settings) -> tuple[Reading, ...]:
    """Return what *said* may mean; nothing where it is no call."""
    try:
        return read(said, settings, by_voice=True)
    except (NotACall, Refused):
        return ()


def _words(recognition: Recognition, heard: Interpretation | None, settings: Settings) -> str:
    """Return the words of the second half; empty where none were understood."""
    if heard is not None:
        return heard.said
    if recognition.hypotheses and recognition.hypotheses[0].is_speech:
        return recognition.text
    return rejected_call(recognition, settings)


def _is_order(readings: Sequence[Reading]) -> bool:
    return bool(readings) and all(isinstance(each.intent, Command | OnRow) for each in readings)


def _is_rest(heard: Interpretation | None, recognition: Recognition) -> bool:
    """Return whether nobody begins a call so: with a fraction alone, or with "and"."""
    if heard is None:
        return False
    intent = heard.readings[0].intent
    under_an_inch = isinstance(intent, Cut) and intent.length.inches < 1
    return under_an_inch or recognition.text.startswith("and ")
