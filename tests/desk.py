"""A station with one short method a command, for tests."""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import datetime
from typing import Any

import msgspec
import pytest

from cutmemo.asr import Recognition
from cutmemo.asr.decide import rejected_call
from cutmemo.domain.cut import Cut
from cutmemo.errors import CutmemoError
from cutmemo.language import Trouble
from cutmemo.memo import commands as c
from cutmemo.memo.codec import digest, from_line
from cutmemo.memo.decide import find
from cutmemo.memo.decide.rack import lot_of, planning_job
from cutmemo.memo.decide.saw import Suspect, suspects
from cutmemo.memo.events import Event
from cutmemo.memo.rows import Order, Row
from cutmemo.memo.store import Store
from cutmemo.planning import Lot, SectionPlan
from cutmemo.present.handoff import handoff_as_plain, handoff_as_text
from cutmemo.service import Memo, Place, Station, now
from cutmemo.wording import (
    Told,
    describe,
    describe_event,
    explain_error,
    ignored_call,
    tell,
    totals,
)


class Desk(Station):
    """A station on a store; what its screen shows is set by hand."""

    def __init__(
        self,
        store: Store,
        name: str = "ladder",
        person: str = "ann",
        clock: Callable[[], datetime] = now,
    ) -> None:
        super().__init__(Memo(store), name, person, clock)
        self.store = store
        self.at_saw = False
        self.in_hand: str | None = None
        self.shown_question: str | None = None

    @property
    def place(self) -> Place:
        return Place(self.at_saw, self.in_hand, self.shown_question)

    @property
    def log(self) -> list[Event]:
        return self.memo.projection.log

    def counts(self, event: Event) -> bool:
        return self.memo.projection.counts(event)

    def told(self, command: c.Command) -> Told | None:
        result = self.execute(command, self.place)
        return None if result is None else tell(result, self.memo.projection)

    def done(self, command: c.Command) -> Told:
        told = self.told(command)
        assert told is not None
        return told

    def call(self, said: str) -> Told:
        return self.done(c.Say(said))

    def hear(self, heard: Recognition) -> Told | None:
        return self.told(c.Hear(heard))

    def ignored(self, heard: Recognition) -> str:
        return "" if self.at_saw else ignored_call(rejected_call(heard, self.state.settings))

    def clear(self, row_id: str | None = None, all_left: bool = False) -> Told:
        return self.done(c.Order("clear all" if all_left else "clear", row_id))

    def answer(self, choice: int, row_id: str | None = None) -> Told:
        return self.done(c.Order("answer", row_id, choice))

    def refuse(self, row_id: str | None = None) -> Told:
        return self.done(c.Order("no", row_id))

    def strike(self, row_id: str) -> Told:
        return self.done(c.Order("strike", row_id))

    def put_back(self, row_id: str | None = None) -> Told:
        return self.done(c.Order("put back", row_id))

    def undo(self) -> Told:
        return self.done(c.Order("undo"))

    def redo(self) -> Told:
        return self.done(c.Order("redo"))

    def hold(self, row_id: str | None = None) -> Told:
        return self.done(c.Order("hold", row_id))

    def release(self, row_id: str | None = None) -> Told:
        return self.done(c.Order("release", row_id))

    def skip(self, row_id: str | None = None) -> Told:
        return self.done(c.Order("skip", row_id))

    def suspects(self, row_id: str | None = None) -> list[Suspect]:
        return suspects(self.memo.projection, row_id, self.context(place=self.place))

    def spoil(
        self, reason: Trouble, suspect: Suspect | None = None, row_id: str | None = None
    ) -> Told:
        if suspect is not None:
            return self.done(
                c.Order("trouble", suspect.row.id, reason=reason, was_cut=suspect.was_cut)
            )
        return self.done(c.Order("trouble", row_id, reason=reason))

    def question(self) -> Row | None:
        return find.question(self.state, self.context(place=self.place))

    def find(self, name: str) -> Row:
        return find.row_of(self.state, name)

    def set_setting(self, name: str, value: str) -> Told:
        return self.done(c.ChangeSetting(name, value))

    def set_order(self, order: Order | None = None) -> Told:
        return self.done(c.SetOrder(order))

    def add_boards(
        self, section: Any, inches: Any, count: int = 1, price: Any = None, bad: Any = ()
    ) -> Lot:
        return self.load_boards([(section, inches, count, price, tuple(bad))])[0]

    def load_boards(self, boards: Any) -> tuple[Lot, ...]:
        return self.done(c.AddBoards(tuple(c.Boards(*each) for each in boards))).result.lots

    def change_boards(
        self, number: str, count: Any = None, inches: Any = None, bad: Any = None
    ) -> Lot | None:
        command = c.ChangeBoards(number, count, inches, None if bad is None else tuple(bad))
        return next(iter(self.done(command).result.lots), None)

    def lot(self, name: str) -> Lot:
        return lot_of(self.state, name)

    def plans(self) -> list[SectionPlan]:
        return planning_job(self.state).solve()

    def shown(self, cut: Cut) -> str:
        return describe(cut, self.state.settings)

    def described(self, event: Event) -> str:
        return describe_event(event, self.memo.projection)

    def totals(self) -> str:
        return totals(self.state)

    def follow(self) -> bool:
        return self.memo.follow()

    def take_in(self, lines: list[str]) -> int:
        return self.memo.take_in(lines)

    def handoff(self) -> str:
        return handoff_as_text(self.memo.projection, self.clock().date().isoformat())

    def handoff_plain(self) -> dict[str, Any]:
        return handoff_as_plain(self.memo.projection, self.clock().date().isoformat())


@contextmanager
def refused(kind: type[CutmemoError], words: str) -> Iterator[Any]:
    """Expect an error, and that what a person reads of it has *words* (a regular expression) in it."""
    with pytest.raises(kind) as caught:
        yield caught
    said = explain_error(caught.value)
    assert re.search(words, said), said


def rehashed(line: str) -> str:
    """Return a line of an export that was edited with the hash that fits; as it is where it is none."""
    try:
        plain = json.loads(line)
        plain.pop("hash", None)
        bare = json.dumps(plain)
        return json.dumps(plain | {"hash": digest(from_line(bare, hashed=False))})
    except (ValueError, TypeError, AttributeError, RecursionError, msgspec.MsgspecError):
        return line
