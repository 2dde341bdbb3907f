"""Carries out commands on a memo: one transaction each, with the clock and the ids."""

from __future__ import annotations

import gc
import getpass
import logging
import os
import platform
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import UTC, datetime

from cutmemo.domain.signs import visible
from cutmemo.errors import BadMemo, CutmemoError, NotACall, Refused
from cutmemo.memo.codec import events_of
from cutmemo.memo.commands import Command, Context, Hear, Order, PrintBoards, Say, Source
from cutmemo.memo.decide.dispatch import decide
from cutmemo.memo.events import CallRefused, Draft, Event
from cutmemo.memo.merge import check_import
from cutmemo.memo.projection import Projection
from cutmemo.memo.receipts import Decided, Delivery
from cutmemo.memo.result import Decision, Result
from cutmemo.memo.state import MemoState
from cutmemo.memo.store import Drafts, Receive, Store
from cutmemo.office.link import Link, LinkWatch
from cutmemo.wording import explain_error, explain_why, no_copy

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True)
class Place:
    """What the person who gives a command sees; see :class:`Context`."""

    at_saw: bool = False
    in_hand: str | None = None
    shown_question: str | None = None


NOWHERE = Place()
"""No screen: a command line."""
_PLANS_FIRST = ("clear", "clear all", "trouble")
"""Verbs that lay boards: done once before the memo is locked, so that nobody waits for it. So is a
page of them.
"""


def now() -> datetime:
    """Return the time of day with its offset."""
    return datetime.now(UTC).astimezone()


def this_station() -> str:
    """Return the name of this machine, or ``CUTMEMO_STATION``."""
    return os.environ.get("CUTMEMO_STATION") or platform.node() or "station"


def this_person() -> str:
    """Return who is at the keyboard, or ``CUTMEMO_WHO``."""
    if os.environ.get("CUTMEMO_WHO"):
        return os.environ["CUTMEMO_WHO"]
    try:
        return getpass.getuser()
    except (KeyError, OSError):
        return "somebody"


class Memo:
    """A memo that is open. Every command is on disk before :meth:`execute` returns."""

    def __init__(self, store: Store) -> None:
        """Read all of *store*."""
        self.store = store
        self._link = LinkWatch(store.path)
        self._open()

    def _open(self) -> None:
        self.projection = Projection(self.store.events())
        self._note_damage()

    def _note_damage(self) -> None:
        """Note in the projection what is wrong with the file, for every screen to tell."""
        memo = self.projection
        ahead = self.store.copy_ahead()
        memo.gaps = (*self.store.gaps, *((ahead,) if ahead is not None else ()))
        if memo.gaps or any(event.damaged for event in memo.state.unreadable):
            copy = self.store.last_good_copy()
            memo.last_copy = str(copy) if copy is not None else ""

    @property
    def state(self) -> MemoState:
        """Return the memo as it stands."""
        return self.projection.state

    def follow(self) -> bool:
        """Take in what others wrote; return whether there was anything."""
        fresh = self.store.events(self.projection.seq)
        self.projection.follow(fresh)
        if fresh:
            self._note_damage()
        return bool(fresh)

    def office(self) -> tuple[Link, int] | None:
        """Return the link to the office and how many entries are not sent yet; ``None`` for no
        link.
        """
        return self._link.look(self.projection.log)

    def keep_copy(self, now: datetime) -> str:
        """Copy the memo where that is due; return why it could not be copied, else nothing."""
        try:
            copy = self.store.keep_copy(now)
        except BadMemo as error:
            _log.warning("no copy was made", exc_info=error)
            return explain_error(error) if error.damaged else no_copy(explain_why(error))
        if copy is not None:
            _log.info("copied to %s", copy)
        return ""

    def execute(
        self, command: Command, context: Context, delivery: Delivery | None = None
    ) -> Result | None:
        """Carry out *command*; return what came of it, ``None`` where sound was no speech.

        What a device sent has a *delivery*: its receipt is written with what comes of it, be that
        a refusal or nothing.

        Raises the errors of :mod:`cutmemo.errors`; then nothing was changed.
        :class:`AlreadyTaken` where the delivery was taken before.
        """
        made: list[Decided] = []

        def drafts(seen: list[Event]) -> tuple[tuple[str, ...], list[Draft]]:
            self.projection.follow(seen)
            if delivery is not None:
                delivery.check(self.projection)
            decision = decide(self.projection, command, context)
            made[:] = [decision]
            return self.projection.heads, list(decision.drafts) if decision is not None else []

        try:
            if isinstance(command, PrintBoards) or (
                isinstance(command, Order) and command.verb in _PLANS_FIRST
            ):
                if delivery is not None:
                    delivery.check(self.projection)
                decide(self.projection, command, context)
            self._record(drafts, context, _receiving(delivery, made))
        except BadMemo:
            raise
        except CutmemoError as error:
            self.refuse(command, error, context, delivery)
            raise
        decision = made[0]
        return decision.result_in(self.state) if isinstance(decision, Decision) else None

    def _record(self, drafts: Drafts, context: Context, receive: Receive = lambda: None) -> None:
        at = context.now.isoformat()
        written = self.store.record(
            self.projection.seq, at, context.station, context.person, drafts, receive
        )
        self.projection.follow(written)

    def refuse(
        self, command: Command, error: CutmemoError, context: Context, delivery: Delivery | None
    ) -> None:
        """Keep that *command* was refused for *error*: a spoken call, since whoever called it may
        not have seen that, and the receipt of what was sent.
        """
        made = []
        if isinstance(command, Hear) and isinstance(error, NotACall | Refused):
            why = explain_error(error, self.state.settings)
            made.append(Draft(CallRefused(command.recognition.text, why)))
        if not made and delivery is None:
            return

        def drafts(seen: list[Event]) -> tuple[tuple[str, ...], list[Draft]]:
            self.projection.follow(seen)
            return self.projection.heads, made

        self._record(drafts, context, _receiving(delivery, [error]))

    def receive(self, delivery: Delivery, context: Context) -> None:
        """Note that what a device sent came to nothing. Raises :class:`AlreadyTaken`."""

        def nothing(seen: list[Event]) -> tuple[tuple[str, ...], list[Draft]]:
            self.projection.follow(seen)
            return self.projection.heads, []

        self._record(nothing, context, _receiving(delivery, [None]))

    def take_in(self, lines: Iterable[str]) -> int:
        """Take in events from lines of JSON, all of them or none; return how many were new.

        Raises :class:`BadImport` naming the first line that cannot be taken.
        """
        brought = events_of(lines)
        self.follow()
        check_import(self.projection.log, brought)
        damaged = {event.id for event in self.state.unreadable if event.damaged}
        taken = self.store.take([event for _, event in brought])
        if any(event.id in damaged for _, event in brought):
            self._open()  # what was damaged is sound again: read it anew
        self.follow()
        return taken


def _receiving(delivery: Delivery | None, made: list[Decided]) -> Receive:
    """Return what gives the receipt of *delivery* once *made* holds what was decided."""
    return lambda: None if delivery is None else delivery.receipt(made[0])


def open_memo(store: Store) -> Memo:
    """Return the memo in *store*, for a program that keeps it until it ends.

    What is read is never looked through for garbage, now or later: that takes a quarter of the
    time of opening 10,000 rows, and would hold up one call in many by a tenth of a second.
    """
    gc.disable()
    try:
        memo = Memo(store)
    finally:
        gc.enable()
    gc.freeze()
    return memo


class Station:
    """One person's way to a memo from one place: fills in who, where and when."""

    def __init__(
        self,
        memo: Memo,
        name: str | None = None,
        person: str | None = None,
        clock: Callable[[], datetime] = now,
    ) -> None:
        """Act on *memo* as *person* at the station *name*, by default those of this machine."""
        self.memo, self.clock = memo, clock
        self.name, self.person = visible(name or this_station()), visible(person or this_person())

    @property
    def state(self) -> MemoState:
        """Return the memo as it stands."""
        return self.memo.state

    def context(self, source: Source = "key", place: Place = NOWHERE) -> Context:
        """Return the context of a command that is given now."""
        return Context(
            self.name,
            self.person,
            self.clock(),
            source,
            place.at_saw,
            place.in_hand,
            place.shown_question,
        )

    def execute(
        self, command: Command, place: Place = NOWHERE, delivery: Delivery | None = None
    ) -> Result | None:
        """Carry out *command* as :meth:`Memo.execute` does."""
        source: Source = "typed" if isinstance(command, Say) else "key"
        source = "spoken" if isinstance(command, Hear) else source
        return self.memo.execute(command, self.context(source, place), delivery)
