"""What a device sent is taken into the memo, once: calls it heard, things done on its page."""

from __future__ import annotations

import hashlib
import json
import logging
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any, Literal

from cutmemo.asr import Recognition
from cutmemo.asr.decide import rejected_call
from cutmemo.errors import BadMemo, CutmemoError, NothingToDo, Refused
from cutmemo.language import Trouble
from cutmemo.memo import commands as c
from cutmemo.memo.events import Event
from cutmemo.memo.projection import Projection
from cutmemo.memo.receipts import NOTHING_TAKEN, AlreadyTaken, Decided, Receipt
from cutmemo.memo.result import Decision, Result
from cutmemo.memo.rows import Row, RowState
from cutmemo.present.read_back import read_back, row_read_back
from cutmemo.service import Memo, Place, Station
from cutmemo.site.protocol import Act, BadMessage
from cutmemo.wording import describe, explain_error, ignored_call, tell
from cutmemo.wording import site as words

_log = logging.getLogger(__name__)
Kind = Literal["row", "asks", "refused", "noise"]
NEEDS_ROW = frozenset({"answer", "no", "clear", "clear all", "strike", "skip", "hold", "release"})
_NEEDS_STATE: Mapping[str, tuple[RowState, ...]] = {
    "answer": ("doubtful",),
    "no": ("doubtful", "open"),
    "clear": ("open",),
    "clear all": ("open",),
    "strike": ("open", "doubtful", "cut"),
    "hold": ("open",),
    "skip": ("open",),
}
"""What the row must be for an act; else somebody else may have been first, and is named."""


@dataclass(frozen=True, slots=True)
class Device:
    """A phone, a tablet or a laptop of the crew: a station of its own."""

    id: str
    name: str
    who: str
    """Who carries it; its name where nobody said."""


@dataclass(frozen=True, slots=True)
class Heard:
    """An utterance and its place in a stream; without a *recognition* nothing was said."""

    stream: str
    before: int
    """The last frame that was taken before; -1 for none."""
    upto: int
    """Its last frame."""
    at: datetime
    recognition: Recognition | None = None
    at_saw: bool = False
    broke: bool = False
    """Whether sound broke off at its end for no pause: what comes next may belong to it."""


def stream_key(stream: str) -> str:
    """Return the name of a stream's receipt."""
    return f"stream {stream}"


def act_key(act_id: str) -> str:
    """Return the name of an act's receipt."""
    return f"act {act_id}"


def take_sound(memo: Memo, device: Device, heard: Heard) -> dict[str, Any]:
    """Take an utterance into *memo*, and return what came of it, as an ``outcome`` has it.

    Raises :class:`AlreadyTaken`, and :class:`BadMemo` where nothing can be written now.
    """
    station = Station(memo, device.name, device.who, clock=lambda: heard.at)
    delivery = _Delivery(
        device, stream_key(heard.stream), heard.upto, heard.at, heard.before, broke=heard.broke
    )
    told: dict[str, Any]
    if heard.recognition is None:
        memo.receive(delivery, station.context())
        told = _facts("noise", "")
    else:
        spoken, place = c.Hear(heard.recognition), Place(at_saw=heard.at_saw)
        try:
            told = _done(memo, lambda: station.execute(spoken, place, delivery))
        except (AlreadyTaken, BadMemo):
            raise
        except Exception as error:  # the end of a worker: it is told, and kept as refused
            _log.exception("a call could not be taken")
            refused = Refused(heard.recognition.text, (words.broke(error),))
            memo.refuse(spoken, refused, station.context("spoken", place), delivery)
            told = _facts("refused", explain_error(refused), tone="refusal")
        if told["kind"] == "noise" and not heard.at_saw:
            told |= _ignored(memo, heard.recognition)
    text = heard.recognition.text if heard.recognition is not None else ""
    return {"stream": heard.stream, "upto": heard.upto, "heard": text, **told}


def _ignored(memo: Memo, recognition: Recognition) -> dict[str, Any]:
    """Return what is told of an utterance taken for noise: mostly nothing."""
    sentence = ignored_call(rejected_call(recognition, memo.state.settings))
    return {"sentence": sentence, "tone": "refusal" if sentence else None}


def take_act(memo: Memo, device: Device, act: Act, at: datetime) -> dict[str, Any]:
    """Take something done on a page into *memo*, and return what came of it: the first time and
    ever after the same.

    Raises :class:`BadMessage` where the act names no row and has to, and :class:`BadMemo`.
    """
    station = Station(memo, device.name, device.who, clock=lambda: at)
    delivery = _Delivery(device, act_key(act.id), 0, at, act=act)
    command, place = command_of(act), Place(act.place == "saw", None, act.shown)
    try:
        told = _done(memo, lambda: station.execute(command, place, delivery))
    except AlreadyTaken as error:
        told = told_again(memo.projection, error.receipt)
    return {"id": act.id, **told}


def command_of(act: Act) -> c.Command:
    """Return what *act* asks of the memo. Raises :class:`BadMessage`."""
    if act.do in NEEDS_ROW and act.row is None:
        raise BadMessage(f"{act.do} names no row")
    match act.do:
        case "say":
            return c.Say(act.text)
        case "order":
            return c.SetOrder(act.order or None)
        case "trouble":
            reason: Trouble = act.reason or "bad stock"
            return c.Order("trouble", act.row, reason=reason, was_cut=act.was_cut)
    return c.Order(act.do, act.row, act.choice)


def seen(row: Row) -> str:
    """Return what a page shows of *row*, as a code: it changes where the piece or the question
    does.
    """
    text = repr((row.cut, row.readings))
    return hashlib.blake2b(text.encode(), digest_size=8).hexdigest()


# --- what came of it ------------------------------------------------------------------------------


def _done(memo: Memo, execute: Callable[[], Result | None]) -> dict[str, Any]:
    try:
        result = execute()
    except BadMemo:
        raise  # nothing was taken: the device keeps it
    except CutmemoError as error:
        return _facts("refused", explain_error(error, memo.state.settings), tone="refusal")
    return _facts("noise", "") if result is None else _told(memo.projection, result)


def _facts(kind: Kind, sentence: str, **more: Any) -> dict[str, Any]:
    plain: dict[str, Any] = {"happened": "", "cautions": [], "rows": [], "tone": None, "clips": []}
    return {"kind": kind, "sentence": sentence, **plain, "question": None, **more}


def _told(memo: Projection, result: Result) -> dict[str, Any]:
    told = tell(result, memo)
    display = memo.state.settings.display
    sounds = list(read_back(told, display))
    question = None
    if told.happened in ("answered", "struck"):
        following = max(memo.state.of_state("doubtful"), key=lambda row: row.touched, default=None)
        if following is not None:
            question = following.id
            sounds.append(row_read_back(following, display=display))
    elif told.happened == "asked" and told.row is not None:
        question = told.row.id
    return _facts(
        "asks" if told.happened == "asked" else "row",
        told.text,
        happened=told.happened,
        cautions=list(told.cautions),
        rows=[row.id for row in told.rows],
        tone=next((each.tone for each in sounds if each.tone), None),
        clips=[list(each.words) for each in sounds if each.words],
        question=question,
    )


def told_again(memo: Projection, receipt: Receipt) -> dict[str, Any]:
    """Return what came of what was taken with *receipt*, its rows as they are now."""
    kept = json.loads(receipt.told)
    kind: Kind = kept.get("kind", "noise")
    if kind != "row":
        return _facts(kind, kept.get("sentence", ""))
    events = tuple(each for each in memo.log if each.id in kept["events"])
    named = {name: kept[name] for name in _KEPT}
    decided = Decision(Result(events=events, **named), row_ids=tuple(kept["rows"]))
    try:
        told = _told(memo, decided.result_in(memo.state))
        return told | {"tone": None, "clips": []}  # it is shown again, and not read back again
    except (ValueError, IndexError, KeyError):  # its rows are no more: the sentence needs them
        return _facts("row", words.TAKEN_BEFORE, happened=named["happened"])


def broke_off(receipt: Receipt) -> bool:
    """Return whether sound broke off where it was taken up to."""
    return bool(json.loads(receipt.told).get("broke"))


_KEPT = ("happened", "verb", "topic", "setting", "reason", "listed", "marked", "as_answer")
"""What of a result is kept in a receipt as it is."""


@dataclass(frozen=True, slots=True)
class _Delivery:
    """What one device sent: an act, or the sound of a stream up to some frame."""

    device: Device
    name: str
    upto: int
    at: datetime
    before: int = NOTHING_TAKEN
    act: Act | None = None
    broke: bool = False

    def check(self, memo: Projection) -> None:
        """Raise :class:`NothingToDo` where somebody else was first."""
        act = self.act
        row = memo.state.rows.get(act.row or "") if act is not None else None
        if act is None or row is None:
            return
        last = _last_of(memo, row)
        by, at = (f"{last.who} at {last.station}", last.at) if last is not None else ("", row.at)
        needed = _NEEDS_STATE.get(act.do, (row.state,))
        if row.state not in needed and last is not None and last.station != self.device.name:
            raise NothingToDo(words.was_first(row.number, row.state, by, at))
        if act.seen is not None and act.seen != seen(row):
            now = describe(row.cut, memo.state.settings)
            raise NothingToDo(words.changed_since(row.number, now, by, at))

    def receipt(self, decided: Decided) -> Receipt:
        """Return the receipt, with what is needed to tell it again."""
        told: dict[str, Any] = {"kind": "noise"}
        if isinstance(decided, CutmemoError):
            told = {"kind": "refused", "sentence": explain_error(decided)}
        elif isinstance(decided, Decision):
            result = decided.result
            told = {"kind": "row", **{name: getattr(result, name) for name in _KEPT}}
            told["rows"] = list(decided.row_ids or [row.id for row in result.rows])
            told["events"] = [event.id for event in result.events]
        if self.broke:
            told["broke"] = True
        at = self.at.isoformat()
        return Receipt(self.device.id, self.name, self.upto, json.dumps(told), at, self.before)


def _last_of(memo: Projection, row: Row) -> Event | None:
    """Return the last event about *row*."""
    for event in reversed(memo.log):
        if getattr(event.payload, "row", None) == row.id and memo.counts(event):
            return event
    return None
