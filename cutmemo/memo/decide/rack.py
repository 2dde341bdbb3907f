"""What a session does with boards: the rack, the plan, and which board a piece comes off."""

from __future__ import annotations

import uuid
from abc import ABC, abstractmethod
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.errors import BadBoards, NothingToDo
from cutmemo.memo import Draft, Event
from cutmemo.memo.state import Queue, Row
from cutmemo.planning import BoardPlan, Lot, SectionPlan, Wanted, Yard, plan, wanted_of
from cutmemo.planning.rack import MAX_BOARD_INCHES, MAX_BOARDS, section_from_plain, section_to_plain
from cutmemo.planning.stock import trim_of
from cutmemo.planning.yard import Price

MAX_PIECES = 3_000
"""More pieces than this are not laid onto boards."""

Span = tuple[Fraction, Fraction]


@dataclass(frozen=True, slots=True)
class ToLay:
    """What a plan is made from."""

    seq: int
    """The place of the last event it takes in."""
    wanted: tuple[Wanted, ...]
    lots: tuple[Lot, ...]
    settings: Settings
    prices: tuple[Price, ...] = ()
    """What boards cost last."""
    yard: Yard = Yard()  # noqa: RUF009 - frozen
    kept: tuple[BoardPlan, ...] = ()
    """Boards that were begun or printed."""

    def of(self, section: Section | None) -> ToLay:
        """Return what of it is of one section."""
        return replace(self, wanted=tuple(each for each in self.wanted if each.section == section))

    def laid(self) -> list[SectionPlan]:
        """Return the plan; this may take seconds for hundreds of cuts."""
        return plan(self.wanted, self.lots, self.settings, self.yard, self.kept, self.prices)


class RackWork(ABC):
    """The part of a session that knows boards."""

    queue: Queue

    @abstractmethod
    def _record(self, decide: Callable[[], Sequence[Draft]]) -> list[Event]:
        """Append what *decide* makes of the memo as it stands."""

    def to_lay(self) -> ToLay:
        """Return what is to be laid as it stands; laying it touches nothing of the session. Raises :class:`BadBoards`."""
        rows = self.queue.of_state("open")
        pieces = sum(row.left for row in rows)
        if pieces > MAX_PIECES:
            raise BadBoards(
                f"{pieces} pieces are too many to lay onto boards at once ({MAX_PIECES} at most)."
            )
        settings = self.queue.settings
        return ToLay(
            self.queue.seq,
            tuple(wanted_of(row.number, row.id, row.cut, row.left, settings) for row in rows),
            self.queue.rack.lots,
            settings,
            self.queue.rack.prices,
        )

    def plans(self) -> list[SectionPlan]:
        """Return every open cut laid onto boards, best for what is called so far. Raises :class:`BadBoards` for too many pieces."""
        return self.to_lay().laid()

    def add_boards(
        self,
        section: Section | None,
        inches: Fraction,
        count: int = 1,
        price: Fraction | None = None,
        bad: Sequence[Span] = (),
    ) -> Lot:
        """Put boards on the rack. Raises :class:`BadBoards` for what no rack holds."""
        return self.load_boards([(section, inches, count, price, bad)])[0]

    def load_boards(
        self,
        boards: Sequence[tuple[Section | None, Fraction, int, Fraction | None, Sequence[Span]]],
    ) -> list[Lot]:
        """Put many lots on the rack, or none where one is wrong."""
        drafts = []
        for section, inches, count, price, bad in boards:
            _check(inches, count, bad)
            payload = {
                "lot": uuid.uuid4().hex,
                "section": section_to_plain(section),
                "inches": str(inches),
                "count": count,
                "price": None if price is None else str(price),
                "bad": [[str(begin), str(end)] for begin, end in bad],
            }
            drafts.append(Draft("boards added", payload))
        self._record(lambda: drafts)
        found = [self.queue.rack.by_id(draft.payload["lot"]) for draft in drafts]
        return [lot for lot in found if lot is not None]

    def lot(self, name: str) -> Lot:
        """Return the lot with this number. Raises :class:`BadBoards`."""
        lot = self.queue.rack.lot(int(name)) if name.isdecimal() else None
        if lot is None:
            raise BadBoards(f"No boards “{name}” on the rack. “cutmemo rack” shows what is there.")
        return lot

    def change_boards(
        self,
        name: str,
        count: int | None = None,
        inches: Fraction | None = None,
        bad: Sequence[Span] | None = None,
    ) -> Lot | None:
        """Change how many there are, how long they run or what of them is bad; ``None`` where none are left."""
        lot_id = self.lot(name).id

        def decide() -> list[Draft]:
            lot = self.queue.rack.by_id(lot_id)
            if lot is None:
                raise NothingToDo("Those boards are gone from the rack.")
            new_inches, new_bad = inches or lot.inches, lot.bad if bad is None else bad
            _check(new_inches, lot.count if count is None else count, new_bad, least=0)
            payload: dict[str, Any] = {"lot": lot_id}
            payload |= {} if count is None else {"count": count}
            payload |= {} if inches is None else {"inches": str(inches)}
            payload |= (
                {} if bad is None else {"bad": [[str(begin), str(end)] for begin, end in bad]}
            )
            return [Draft("boards changed", payload)]

        self._record(decide)
        return self.queue.rack.by_id(lot_id)

    def _sawn(self, row: Row, pieces: int) -> list[dict[str, Any]]:
        """Return which boards *pieces* of *row* come off, and what is left of each; nothing where the plan has to buy them."""
        section = row.cut.section
        lots = [lot for lot in self.queue.rack.lots if lot.section == section]
        if not lots:
            return []
        try:
            plans = self.to_lay().of(section).laid()
        except BadBoards:
            return []  # too many pieces to lay: a piece is cut all the same
        settings = self.queue.settings
        started: list[tuple[Lot, dict[Fraction, Fraction]]] = []
        for board in (board for each in plans for board in each.boards):
            here = [piece for piece in board.pieces if piece.row_id == row.id][:pieces]
            if board.lot is None or not here:
                continue
            used = trim_of(board.lot, settings) + sum(
                (each.inches + settings.kerf for each in here), Fraction(0)
            )
            # Two sound stretches may be of one board: it is started once.
            same = next(
                (taken for lot, taken in started if lot == board.lot and board.start not in taken),
                None,
            )
            if same is None:
                started.append((board.lot, {board.start: used}))
            else:
                same[board.start] = used
            pieces -= len(here)
        return [{"lot": lot.id, "rests": self._rests(lot, taken)} for lot, taken in started]

    def _rests(self, lot: Lot, taken: dict[Fraction, Fraction]) -> list[dict[str, Any]]:
        """Return the sound stretches left of one board, those worth handling; *taken* is what went, by where a stretch begins."""
        least = min(self.queue.settings.shortest, self.queue.settings.leftover)
        stretches = [end - begin - taken.get(begin, Fraction(0)) for begin, end in lot.runs()]
        section = section_to_plain(lot.section)
        return [
            {"lot": uuid.uuid4().hex, "section": section, "inches": str(inches)}
            for inches in stretches
            if inches >= least
        ]


def boards_told(payload: dict[str, Any]) -> str:
    """Return in few words what an event says of boards; nothing for one that is not about them."""
    if "lot" not in payload:
        return ""
    count = [f"{payload['count']} ×"] if "count" in payload else []
    section = [str(section_from_plain(payload["section"]))] if payload.get("section") else []
    length = [f'{Fraction(payload["inches"])}"'] if "inches" in payload else []
    bad = [f"bad from {begin} to {end}" for begin, end in payload.get("bad", ())]
    return " ".join([*count, *section, *length, *bad])


def lots_given(payload: dict[str, Any]) -> set[str]:
    """Return the lots that an event put on the rack."""
    added = {payload["lot"]} if "section" in payload and "lot" in payload else set()
    return added | {rest["lot"] for board in payload.get("boards", ()) for rest in board["rests"]}


def lots_used(payload: dict[str, Any]) -> set[str]:
    """Return the lots that an event changed or sawed from."""
    return ({payload["lot"]} if "lot" in payload else set()) | {
        board["lot"] for board in payload.get("boards", ())
    }


def _check(inches: Fraction, count: int, bad: Sequence[Span], least: int = 1) -> None:
    """Refuse boards that cannot be."""
    if not 0 < inches <= MAX_BOARD_INCHES:
        raise BadBoards(
            f"A board of {inches} in. cannot be: more than nothing, at most {MAX_BOARD_INCHES // 12} ft."
        )
    if not least <= count <= MAX_BOARDS:
        raise BadBoards(f"{count} boards cannot be: {least} to {MAX_BOARDS}.")
    for begin, end in bad:
        if not 0 <= begin < end <= inches:
            raise BadBoards(
                f"A bad part from {begin} to {end} does not lie on a board of {inches} in."
            )
