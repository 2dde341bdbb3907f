"""Any day at all: whatever is called, cut, spoiled, held, skipped and undone, the queue is what a plain model says."""

from __future__ import annotations

import copy
import tempfile
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from desk import Desk
from hypothesis import settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule

from cutmemo.errors import NothingToDo
from cutmemo.memo import Projection, open_store


@dataclass
class Plain:
    """One row, as a child would keep it."""

    length: int
    count: int
    done: int = 0
    struck: bool = False
    held: bool = False
    last: int = 0
    spoiled: int = 0

    @property
    def open(self) -> bool:
        return not self.struck and self.done < self.count


class Day(RuleBasedStateMachine):
    """One station's day; lengths lie far apart, so that no check asks a question."""

    @initialize()
    def begin(self) -> None:
        self.folder = tempfile.TemporaryDirectory()
        self.time = datetime(2026, 5, 4, 7, tzinfo=UTC)
        self.session = Desk(
            open_store(Path(self.folder.name) / "day.cutmemo"), "saw", "ann", self.clock
        )
        self.rows: list[Plain] = []
        self.before: list[list[Plain]] = []
        self.after: list[list[Plain]] = []
        self.calls = self.moves = 0

    def clock(self) -> datetime:
        self.time += timedelta(minutes=1)
        return self.time

    def teardown(self) -> None:
        self.session.store.close()
        self.folder.cleanup()

    def offered(self) -> list[Plain]:
        return sorted(
            (row for row in self.rows if row.open and not row.held), key=lambda row: row.last
        )

    def act(self) -> None:
        """Remember how it was, for undo."""
        self.before.append(copy.deepcopy(self.rows))
        self.after.clear()

    def id_of(self, row: Plain) -> str:
        return next(
            each.id
            for each in self.session.state.rows.values()
            if each.cut.length.inches == row.length
        )

    @rule(count=st.integers(1, 4))
    def call(self, count: int) -> None:
        self.calls += 1
        length = 20 + 7 * self.calls
        assert self.session.call(f"{count} @ {length}").happened in ("added", "asked")
        if self.session.state.of_state("doubtful"):
            self.session.undo()  # the checks found something: not this model's business
            return
        self.act()
        self.rows.append(Plain(length, count))

    @rule(data=st.data())
    def clear(self, data: st.DataObject) -> None:
        everything = data.draw(st.booleans())
        if not self.offered():
            try:
                self.session.clear(all_left=everything)
            except NothingToDo:
                return
            raise AssertionError("something was cut that was not there")
        self.act()
        row = self.offered()[0]
        self.session.clear(all_left=everything)
        row.done = row.count if everything else row.done + 1
        row.last = 0

    @precondition(lambda self: any(not row.struck for row in self.rows))
    @rule(data=st.data())
    def strike(self, data: st.DataObject) -> None:
        row = data.draw(st.sampled_from([row for row in self.rows if not row.struck]))
        number = self.rows.index(row)
        self.act()
        row = self.rows[number]
        self.session.strike(self.id_of(row))
        row.struck = True

    @precondition(lambda self: any(row.struck or row.done for row in self.rows))
    @rule(data=st.data())
    def put_back(self, data: st.DataObject) -> None:
        row = data.draw(st.sampled_from([row for row in self.rows if row.struck or row.done]))
        self.act()
        self.session.put_back(self.id_of(row))
        if row.struck:
            row.struck = False
        else:
            row.done -= 1

    @precondition(lambda self: self.offered())
    @rule(held=st.booleans())
    def hold_or_skip(self, held: bool) -> None:
        row = self.offered()[0]
        if not held and len(self.offered()) < 2:
            return
        self.act()
        self.moves += 1
        if held:
            self.session.hold()
            row.held = True
        else:
            self.session.skip()
            row.last = self.moves

    @precondition(lambda self: any(row.held for row in self.rows))
    @rule(data=st.data())
    def release(self, data: st.DataObject) -> None:
        row = data.draw(st.sampled_from([row for row in self.rows if row.held]))
        self.act()
        self.session.release(self.id_of(row))
        row.held = False

    @precondition(lambda self: self.offered())
    @rule(reason=st.sampled_from(["short", "long", "wrong angle", "bad stock"]))
    def spoil(self, reason: str) -> None:
        suspect = self.session.suspects()[0]
        row = next(each for each in self.rows if each.length == suspect.row.cut.length.inches)
        self.act()
        self.session.spoil(reason, suspect)  # type: ignore[arg-type]
        row.spoiled += 1
        row.done -= suspect.was_cut

    @rule()
    def undo(self) -> None:
        if not self.before:
            try:
                self.session.undo()
            except NothingToDo:
                return
            raise AssertionError("something was undone that was not there")
        self.session.undo()
        self.after.append(self.rows)
        self.rows = self.before.pop()

    @precondition(lambda self: self.after)
    @rule()
    def redo(self) -> None:
        self.session.redo()
        self.before.append(self.rows)
        self.rows = self.after.pop()

    @invariant()
    def the_queue_is_what_the_model_says(self) -> None:
        if not hasattr(self, "session"):
            return
        queue = self.session.state
        assert [
            (
                int(row.cut.length.inches),
                row.cut.count,
                row.done,
                row.state == "struck",
                row.held,
                len(row.spoiled),
            )
            for row in queue.rows.values()
        ] == [
            (row.length, row.count, row.done, row.struck, row.held, row.spoiled)
            for row in self.rows
        ]
        assert [int(row.cut.length.inches) for row in queue.to_cut()] == [
            row.length for row in self.offered()
        ]
        again = Projection(self.session.store.events())
        assert again.state.rows == queue.rows


Day.TestCase.settings = settings(max_examples=40, stateful_step_count=30, deadline=None)
TestAnyDay = Day.TestCase
