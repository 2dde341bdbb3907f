"""The one place where words become journal entries; screen and command line both stand on it."""

from __future__ import annotations

import getpass
import os
import platform
from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from datetime import UTC, datetime
from fractions import Fraction
from typing import Any

from cutmemo.asr.decide import Interpretation, interpret, n_best, rejected_call, split_recognition
from cutmemo.asr.hypotheses import Recognition
from cutmemo.domain.cut import Cut
from cutmemo.domain.length import format_length
from cutmemo.errors import BadImport, CutmemoError, NotACall, NothingToDo, Refused, UnknownCut
from cutmemo.language import AssemblyCall, BoardsCall, Change, Command, Reading, read, split_calls
from cutmemo.language.intent import Verb
from cutmemo.memo import Draft, Event, Journal
from cutmemo.memo.decide.cuts import SAID_TWO_WAYS, Called, CallWork
from cutmemo.memo.events import cut_to_plain, events_of
from cutmemo.memo.outcome import Outcome
from cutmemo.memo.state import ORDERS, Order, Queue, Row, saw_settings
from cutmemo.present.boards import board_length
from cutmemo.present.handoff import day_as_text, handoff_as_plain, handoff_as_text

REST_WITHIN_SECONDS = 4.0
"""How long after a call its rest may still come."""
ANSWER_WITHIN_SECONDS = 10.0
"""How long after a question a bare number may be its answer; later it is a call. Measuring anew takes longer."""
ONLY_ORDERS = "At the saw only orders are taken by voice. Type it, or leave the saw view."
UNREADABLE = (ValueError, KeyError, TypeError, AttributeError, ZeroDivisionError, CutmemoError)
"""What a queue raises on an event that says what cannot be."""


def _under_an_inch(judged: Interpretation) -> bool:
    """Return whether nothing but a fraction was heard."""
    intent = judged.readings[0].intent
    return isinstance(intent, Cut) and intent.length.inches < 1


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


def _answers(reading: Cut, said: Cut) -> bool:
    """Return whether the bare number *said* names *reading*: its length, its inches, their last two figures, or its count."""
    inches = reading.length.inches
    names = {inches, Fraction(inches // 1), Fraction(inches // 1 % 100), Fraction(reading.count)}
    return said == Cut(said.length) and said.length.inches in names


class Session(CallWork):
    """One station's way into a memo. Every action is on disk before it returns."""

    def __init__(
        self,
        journal: Journal,
        station: str | None = None,
        who: str | None = None,
        clock: Callable[[], datetime] = now,
    ) -> None:
        """Read the whole *journal*."""
        self.journal, self.clock = journal, clock
        self.station, self.who = station or this_station(), who or this_person()
        self.queue = Queue(journal.events())
        self.shown_question: str | None = None
        """The row whose question stands on a screen, where one does: an answer that names no row goes to it."""
        self.at_saw = False
        """True while the saw view is up: then only orders are taken by voice, and "hold" is meant for the piece."""

    def follow(self) -> bool:
        """Take in what other stations wrote; return whether there was anything."""
        fresh = self.journal.events(self.queue.seq)
        self.queue.follow(fresh)
        return bool(fresh)

    def _record(self, decide: Callable[[], Sequence[Draft]]) -> list[Event]:
        """Append what *decide* makes of the memo as it stands, with nobody else writing in between."""
        written: list[str] = []

        def on_fresh(seen: list[Event]) -> list[Draft]:
            self.queue.follow(seen)
            drafts = list(decide())
            written.extend(draft.id for draft in drafts)
            return drafts

        before = self.queue.seq
        events = self.journal.record(
            before, self.clock().isoformat(), self.station, self.who, on_fresh
        )
        self.queue.follow(event for event in events if event.seq > self.queue.seq)
        return [event for event in events if event.id in written]

    def take_in(self, lines: Iterable[str]) -> int:
        """Take in events from lines of JSON, all of them or none; return how many were new. Raises :class:`BadImport`.

        They are tried on a queue first, so that nothing is written that this memo could not be opened with.
        """
        kept = list(lines)
        tried = events_of(kept)
        try:
            Queue([*self.queue.events, *(event for _, event in tried)])
        except UNREADABLE:
            self._find_unreadable(tried)
            raise
        taken = self.journal.take_lines(kept)
        self.follow()
        return taken

    def _find_unreadable(self, tried: list[tuple[int, Event]]) -> None:
        """Raise :class:`BadImport` for the first event that no queue can take in."""
        queue = Queue(self.queue.events)
        for number, event in tried:
            try:
                queue.follow([event])
            except UNREADABLE as error:
                raise BadImport(number, f"“{event.kind}” says what cannot be: {error}") from error

    # --- calls -------------------------------------------------------------------------------------------

    def call(self, said: str) -> Outcome:
        """Take a typed call, or several. Raises :class:`NotACall`, :class:`Refused` or :class:`NothingToDo`; nothing is lost."""
        try:
            readings = read(said, self.queue.settings)
        except NotACall:
            called = split_calls(said, self.queue.settings)
            if called is None:
                raise
            return self._add_several(Called(said, by_voice=False), called)
        return self._take(Called(said, by_voice=False), readings)

    def hear(self, heard: Recognition) -> Outcome | None:
        """Take an utterance; ``None`` where it was no speech for the memo. Raises as :meth:`call` does."""
        try:
            called = None if self.at_saw else split_recognition(heard, self.queue.settings)
            if called is not None:
                return self._add_several(Called(heard.text, True, n_best(heard)), called)
            judged = interpret(heard, self.queue.settings)
            return (
                None
                if judged is None
                else self._rest_of_last(heard, judged) or self._take_heard(judged)
            )
        except (NotACall, Refused) as error:
            rest = self._rest_of_last(heard, None)
            if rest is not None:
                return rest
            why = str(error)
            self._record(lambda: [Draft("call refused", {"said": heard.text, "why": why})])
            raise

    def not_taken(self, heard: Recognition) -> str:
        """Return what to say of an utterance that was taken for noise; empty where nobody need know."""
        words = "" if self.at_saw else rejected_call(heard, self.queue.settings)
        return f"Not taken, it may have been noise: “{words}”. Say it again." if words else ""

    def _rest_of_last(self, heard: Recognition, judged: Interpretation | None) -> Outcome | None:
        """Ask about the last row if *heard* looks like the rest of its call after a pause.

        "One oh one", a pause, "and a half": 101 must not stand as if nothing more had been said.
        """
        rows = [row for row in self.queue.rows.values() if row.station == self.station]
        if (
            not rows
            or not rows[-1].by_voice
            or rows[-1].state not in ("open", "doubtful")
            or rows[-1].done
        ):
            return None
        row = rows[-1]
        if (
            not 0
            <= (self.clock() - datetime.fromisoformat(row.at)).total_seconds()
            <= REST_WITHIN_SECONDS
        ):
            return None  # a clock set back is no reason to take a call for a rest
        if judged is not None and not _under_an_inch(judged) and not heard.text.startswith("and "):
            return None
        whole = f"{row.said} {heard.text}"
        try:
            joined = [reading.intent for reading in read(whole, self.queue.settings, by_voice=True)]
        except (NotACall, Refused):
            joined = []
        cuts = list(
            dict.fromkeys(
                [*(intent for intent in joined if isinstance(intent, Cut)), row.cut, *row.readings]
            )
        )
        payload = {
            "row": row.id,
            "cut": cut_to_plain(cuts[0]),
            "state": "doubtful",
            "said": whole,
            "readings": [cut_to_plain(cut) for cut in cuts],
            "reasons": [f"“{heard.text}” was heard right after it.", *row.reasons],
        }

        def decide() -> list[Draft]:
            now = self.queue.rows[row.id]
            if now.done or now.state not in ("open", "doubtful"):
                raise NothingToDo(
                    f"Row {row.number} was cut or struck meanwhile: say the whole length again."
                )
            return [Draft("cut changed", payload)]

        self._record(decide)
        return self._asked_or("changed", self.queue.rows[row.id])

    def _take_heard(self, judged: Interpretation) -> Outcome:
        call = Called(judged.said, True, judged.heard, judged.unsure)
        return self._take(call, judged.readings)

    def _take(self, call: Called, readings: tuple[Reading, ...]) -> Outcome:
        """Act on what the words mean."""
        cuts = [reading for reading in readings if isinstance(reading.intent, Cut)]
        if (
            self.at_saw
            and call.by_voice
            and not all(isinstance(reading.intent, Command) for reading in readings)
        ):
            return self._only_orders(call, cuts)
        answer = self._answer_in(call, cuts) if len(cuts) == len(readings) else None
        if answer is not None:
            return self._taken_as_answer(*answer)
        if cuts:
            return self._add(call, cuts, call.unsure or len(readings) > 1)
        changes = [reading for reading in readings if isinstance(reading.intent, Change)]
        if changes:
            return self._change(call, changes, call.unsure or len(readings) > 1)
        intent = readings[0].intent
        if call.unsure or len(readings) > 1:
            heard = "Heard more than one way: say it again, or use a key."
            raise Refused(
                call.said,
                (heard if call.by_voice else f"{SAID_TWO_WAYS} Write foot and inch marks.",),
            )
        if isinstance(intent, AssemblyCall):
            return self._add_set(call, intent)
        if isinstance(intent, BoardsCall):
            if readings[0].doubts:
                raise Refused(
                    call.said, readings[0].doubts
                )  # boards stand in no row that could ask
            return self._racked(call, intent)
        if isinstance(intent, Command):
            return self._obey(intent)
        raise NotACall((call.said,), 0, frozenset())

    def _only_orders(self, call: Called, cuts: list[Reading]) -> Outcome:
        """Take an answer at the saw; refuse every other call by voice there."""
        answer = self._answer_in(call, cuts)
        if answer is None:
            raise Refused(call.said, (ONLY_ORDERS,))
        return self._taken_as_answer(*answer)

    def _taken_as_answer(self, choice: int, row_id: str) -> Outcome:
        """Settle a question by the number that was said, and say that it was taken so."""
        outcome = self.answer(choice, row_id)
        return replace(outcome, text=f"Answer taken: {outcome.text[0].lower()}{outcome.text[1:]}")

    def _answer_in(self, call: Called, cuts: list[Reading]) -> tuple[int, str] | None:
        """Return which reading of the question just asked *cuts* name, and its row; ``None`` where they are a call of their own.

        Only what was said, and heard one way, is an answer: a typed length is a call, a doubtful hearing a question.
        """
        if not call.by_voice or call.unsure:
            return None
        row = self.question()
        if row is None or not cuts or row.station != self.station or len(row.readings) < 2:
            return None
        when = next(event.at for event in reversed(self.queue.events) if event.seq == row.touched)
        if (
            not 0
            <= (self.clock() - datetime.fromisoformat(when)).total_seconds()
            <= ANSWER_WITHIN_SECONDS
        ):
            return None
        said = [reading.intent for reading in cuts if isinstance(reading.intent, Cut)]
        named = [
            n
            for n, reading in enumerate(row.readings, start=1)
            if any(_answers(reading, cut) for cut in said)
        ]
        return (named[0], row.id) if len(named) == 1 else None

    def _racked(self, call: Called, intent: BoardsCall) -> Outcome:
        """Put boards on the rack that were called with their section."""
        shown = format_length(intent.length, self.queue.settings.display)
        if intent.section is None:
            raise Refused(
                call.said,
                (
                    f"That is a board of {shown}, not a cut. To put it on the rack, say its section too.",
                ),
            )
        lot = self.add_boards(intent.section, intent.length.inches, intent.count)
        length = board_length(lot.inches, self.queue.settings)
        return Outcome("racked", f"On the rack: {lot.count} × {intent.section} of {length}.")

    # --- corrections -------------------------------------------------------------------------------------

    def _change(self, call: Called, readings: list[Reading], torn: bool) -> Outcome:
        """Change the last row of this station; only what was named."""
        changed: list[str] = []

        def decide() -> list[Draft]:
            row = self._last_alone()
            changed.append(row.id)
            return [self._changed_draft(call, row, readings, torn)]

        self._record(decide)
        return self._asked_or("changed", self.queue.rows[changed[0]])

    def _changed_draft(self, call: Called, row: Row, readings: list[Reading], torn: bool) -> Draft:
        """Return *row* changed: everything it may mean is, and what the change does not settle is still asked."""
        before = row.readings or (row.cut,)
        meant = {
            each.intent.applied(cut): each
            for cut in before
            for each in readings
            if isinstance(each.intent, Change)
        }
        kept, reasons = self._questions(
            call, list(meant), list(meant.values()), torn or len(meant) > 1, row
        )
        reasons = list(dict.fromkeys([*self._still_asked(row, readings), *reasons]))
        if kept[0].count < row.done:
            raise Refused(call.said, (f"{row.done} of row {row.number} are cut already.",))
        payload: dict[str, Any] = {
            "row": row.id,
            "cut": cut_to_plain(kept[0]),
            "state": "doubtful" if reasons else "open",
            "readings": [cut_to_plain(cut) for cut in kept] if reasons else [],
            "reasons": reasons,
            "said": call.said,
        }
        return Draft("cut changed", payload)

    def _last(self) -> Row:
        """Return the row this station called or changed last and that is not struck."""
        mine = [
            row
            for row in self.queue.rows.values()
            if row.station == self.station and row.state != "struck"
        ]
        if not mine:
            raise NothingToDo("There is no call yet to correct.")
        return mine[-1]

    def _last_alone(self) -> Row:
        """Return the last row, unless it came with a set: a correction of one row would leave the others as they were."""
        row = self._last()
        if row.set_id:
            raise NothingToDo(
                f"The last call was a whole set ({row.of_set}): scratch that, and call it again."
            )
        return row

    # --- commands ----------------------------------------------------------------------------------------

    def _obey(self, command: Command) -> Outcome:
        """Carry out a spoken or typed order."""
        actions: dict[Verb, Callable[[], Outcome]] = {
            "strike": lambda: (self.refuse if command.length is None else self.strike)(
                self._named(command).id
            ),
            "undo": self.undo,
            "redo": self.redo,
            "read back": lambda: self._asked_or(
                "read back", self._at_saw(None) if self.at_saw else self._last()
            ),
            "same": lambda: self._again(self._last_alone()),
            "more": lambda: self._more(command.number),
            "put back": self.put_back,
            "clear": self.clear,
            "clear all": lambda: self.clear(all_left=True),
            "answer": lambda: self.answer(command.number),
            "yes": lambda: self.answer(1),
            "no": self.refuse,
            "listen": lambda: Outcome("listen", "Listening."),
            "pause": lambda: Outcome("pause", "Not listening."),
            "total": lambda: Outcome("told", self.totals()),
            "acknowledge": lambda: Outcome("told", "Understood."),
            "how many": self.how_many,
            "what next": self.what_next,
            "hold": lambda: self.hold() if self.at_saw else Outcome("pause", "Not listening."),
            "release": self.release,
            "skip": self.skip,
            "trouble": lambda: self.spoil(command.reason or "bad stock"),
            "play": lambda: Outcome("play", "Played again.", self._last()),
        }
        return actions[command.verb]()

    def _named(self, command: Command) -> Row:
        """Return the row a command names by its length, or the last one."""
        if command.length is None:
            return self._last()
        rows = [
            row
            for row in self.queue.rows.values()
            if row.cut.length == command.length and row.state in ("open", "doubtful")
        ]
        if not rows:
            raise NothingToDo(
                f"No open row is {format_length(command.length, self.queue.settings.display)}."
            )
        if len(rows) > 1:
            numbers = ", ".join(str(row.number) for row in rows)
            raise NothingToDo(f"Rows {numbers} have that length: choose one and strike it.")
        return rows[0]

    def _again(self, row: Row) -> Outcome:
        """Call the last row once more; where it asks, the new one asks the same."""
        readings = [Reading(cut, row.reasons) for cut in row.readings or (row.cut,)]
        return self._add(Called("same again", by_voice=False), readings, torn=len(readings) > 1)

    def _more(self, number: int) -> Outcome:
        row = self._last_alone()
        if len({cut.count for cut in row.readings}) > 1:
            raise NothingToDo(f"Row {row.number} asks how many it is: answer it first.")
        more = Reading(Change(count=row.cut.count + number))
        return self._change(Called(f"{number} more", by_voice=False), [more], torn=False)

    def question(self) -> Row | None:
        """Return the row to which an answer goes that names none: the one that is shown, or the last that asked."""
        shown = self.queue.rows.get(self.shown_question or "")
        if shown is not None and shown.state == "doubtful":
            return shown
        return max(self.queue.of_state("doubtful"), key=lambda row: row.touched, default=None)

    def _asked(self) -> Row:
        row = self.question()
        if row is None:
            raise NothingToDo("No question is open.")
        return row

    def find(self, name: str) -> Row:
        """Return the row with this number or id. Raises :class:`UnknownCut`."""
        row = self.queue.rows.get(name) or (self.queue.row(int(name)) if name.isdecimal() else None)
        if row is None:
            raise UnknownCut(name)
        return row

    def _one(self, decide: Callable[[Row], Draft], choose: Callable[[], Row]) -> Row:
        """Record what *decide* makes of the row that *choose* finds; return the row after it."""
        chosen: list[str] = []

        def on_row() -> list[Draft]:
            row = choose()
            chosen.append(row.id)
            return [decide(row)]

        self._record(on_row)
        return self.queue.rows[chosen[0]]

    def answer(self, choice: int, row_id: str | None = None) -> Outcome:
        """Settle a question with reading *choice* (from 1): that of *row_id*, or the last one asked."""

        def decide(row: Row) -> Draft:
            if row.state != "doubtful":
                raise NothingToDo(f"Row {row.number} asks nothing.")
            if not 1 <= choice <= len(row.readings):
                raise NothingToDo(
                    f"Row {row.number} has {len(row.readings)} readings; {choice} is none of them."
                )
            if row.set_id:
                return Draft("set confirmed", {"set": row.set_id})
            return Draft(
                "question answered", {"row": row.id, "cut": cut_to_plain(row.readings[choice - 1])}
            )

        row = self._one(decide, lambda: self._asked() if row_id is None else self.find(row_id))
        if row.set_id:
            return Outcome("answered", f"{row.of_set}: all of it is on the list.", row)
        return Outcome("answered", f"Row {row.number} is {self.shown(row.cut)}.", row)

    def refuse(self, row_id: str | None = None) -> Outcome:
        """Take a call back: its row is struck, a set is taken back as a whole. Of *row_id*, or of the last question."""
        row = self._asked() if row_id is None else self.find(row_id)
        if not row.set_id:
            return self.strike(row.id)

        def decide() -> list[Draft]:
            called = next(event for event in self.queue.events if event.id == row.set_id)
            if not self.queue.lives(called):
                raise NothingToDo("That set was taken back already.")
            if any(
                each.done or each.spoiled
                for each in self.queue.rows.values()
                if each.set_id == row.set_id
            ):
                raise NothingToDo("Pieces of that set are cut already: strike its rows one by one.")
            self._refuse_if_built_upon(called)
            return [Draft("event undone", {"event": row.set_id})]

        self._record(decide)
        return Outcome("undone", f"{row.of_set}: taken back.")

    def clear(self, row_id: str | None = None, all_left: bool = False) -> Outcome:
        """Mark one piece as cut, or all that are left: of *row_id*, or of the first open row."""

        def choose() -> Row:
            if row_id is not None:
                return self.find(row_id)
            return self._at_saw(None)

        def decide(row: Row) -> Draft:
            if row.state == "doubtful":
                raise NothingToDo(f"Row {row.number} asks a question: answer it before you cut.")
            if row.state != "open":
                raise NothingToDo(f"Row {row.number} is {row.state} already.")
            pieces = row.left if all_left else 1
            boards = self._sawn(row, pieces)
            return Draft(
                "pieces cleared",
                {"row": row.id, "pieces": pieces} | ({"boards": boards} if boards else {}),
            )

        self._sawn(
            choose(), 1
        )  # laid before the memo is locked for writing; the same plan serves then
        row = self._one(decide, choose)
        left = f"{row.left} left." if row.left else "Done."
        block = " Check the stop block." if row.stop_block_due else ""
        return Outcome(
            "cleared", f"Row {row.number}: {self.shown(row.cut)} cut. {left}{block}", row
        )

    def strike(self, row_id: str) -> Outcome:
        """Take a row off the list; it stays in the journal and can be put back."""

        def decide(row: Row) -> Draft:
            if row.state == "struck":
                raise NothingToDo(f"Row {row.number} is struck already.")
            return Draft("cut struck", {"row": row.id})

        row = self._one(decide, lambda: self.find(row_id))
        return Outcome("struck", f"Row {row.number}: {self.shown(row.cut)} struck.", row)

    def put_back(self, row_id: str | None = None) -> Outcome:
        """Put a struck row or the last cut piece back on the list: of *row_id*, or of the row touched last."""

        def choose() -> Row:
            if row_id is not None:
                return self.find(row_id)
            rows = [row for row in self.queue.rows.values() if row.state == "struck" or row.done]
            if not rows:
                raise NothingToDo("Nothing was cut or struck that could be put back.")
            return max(rows, key=lambda row: row.touched)

        def decide(row: Row) -> Draft:
            if row.state == "struck":
                return Draft("cut restored", {"row": row.id})
            if not row.done:
                raise NothingToDo(f"Nothing of row {row.number} is cut.")
            return Draft("pieces put back", {"row": row.id, "pieces": 1})

        row = self._one(decide, choose)
        return Outcome(
            "put back", f"Row {row.number}: {self.shown(row.cut)} is back, {row.left} to cut.", row
        )

    # --- settings and sums -------------------------------------------------------------------------------

    def set_manner(self, name: str, value: str) -> Outcome:
        """Change one crew setting. Raises :class:`BadSetting`."""
        settings = self.queue.settings.with_setting(name, value)
        self._record(lambda: [Draft("manner set", {"manner": settings.to_plain()})])
        return Outcome("set", settings.shown())

    def set_order(self, order: Order | None = None) -> Outcome:
        """Put the open rows in *order*, or in the next one."""
        chosen = order or ORDERS[(ORDERS.index(self.queue.order) + 1) % len(ORDERS)]
        self._record(lambda: [Draft("order set", {"order": chosen})])
        name = {"called": "as called", "longest": "longest first", "saw": "by saw setting"}[chosen]
        changes = saw_settings(self.queue.to_cut())
        told = f", {changes} saw setting{'s' if changes != 1 else ''}" if chosen == "saw" else ""
        return Outcome("set", f"Order: {name}{told}.")

    def totals(self) -> str:
        """Return the sums at the foot in one line."""
        sums = self.queue.sums
        feet = float(sums.open_inches / 12)
        board = f"{float(sums.open_board_feet):.1f} board ft" + (
            f" ({sums.unsized} without a size)" if sums.unsized else ""
        )
        return f"{sums.open_pieces} open · {sums.cut_pieces} cut · {sums.doubtful} asked · {feet:.1f} lineal ft · {board}"

    def handoff(self) -> str:
        """Return what the next one has to know: what is open, asked, in trouble, on hold, and what was done today."""
        return handoff_as_text(self.queue, self.clock().date().isoformat(), self.shown)

    def sums_by_day(self) -> str:
        """Return what was called, cut, cut again and scrapped on each day of the memo, by whom."""
        days = dict.fromkeys(event.at[:10] for event in self.queue.events)
        return "\n".join(text for day in days if (text := day_as_text(self.queue, day)))

    def handoff_plain(self) -> dict[str, Any]:
        """Return the hand-off as JSON values: row numbers by what they wait for, and what each person did today."""
        return handoff_as_plain(self.queue, self.clock().date().isoformat())
