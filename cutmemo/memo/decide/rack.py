"""Boards: put on the rack, changed, and which board a piece comes off."""

from __future__ import annotations

from dataclasses import dataclass, replace

from cutmemo.domain.cut import Section
from cutmemo.domain.doubts import DoubtKind, doubt
from cutmemo.domain.settings import Settings
from cutmemo.errors import BadBoards
from cutmemo.memo.commands import (
    AddBoards,
    Boards,
    ChangeBoards,
    Context,
    PrintBoards,
    ReleaseBoards,
    SetOrderTerms,
    SetYard,
)
from cutmemo.memo.events import (
    BoardsAdded,
    BoardsChanged,
    BoardsPrinted,
    BoardsReleased,
    Draft,
    OrderTermsSet,
    YardSet,
)
from cutmemo.memo.result import Decision, Result
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState
from cutmemo.planning import (
    BoardPlan,
    Lot,
    Sawn,
    SectionPlan,
    Wanted,
    Yard,
    board_called,
    plan,
    printed,
    sawn_off,
    wanted_of,
)
from cutmemo.planning.rack import MAX_BOARD_INCHES, MAX_BOARDS
from cutmemo.planning.yard import Price

MAX_PIECES = 3_000
"""More pieces than this are not laid onto boards."""


@dataclass(frozen=True, slots=True)
class PlanningJob:
    """What a plan is made from."""

    position: int
    """How many events it takes in."""
    wanted: tuple[Wanted, ...]
    lots: tuple[Lot, ...]
    settings: Settings
    prices: tuple[Price, ...] = ()
    """What boards cost last."""
    yard: Yard = Yard()  # noqa: RUF009 - frozen
    kept: tuple[BoardPlan, ...] = ()
    """Boards that were begun or printed."""

    def of(self, section: Section | None) -> PlanningJob:
        """Return what of it is of one section."""
        return replace(self, wanted=tuple(each for each in self.wanted if each.section == section))

    def solve(self, thorough: bool = False) -> list[SectionPlan]:
        """Return the plan; a *thorough* one may take many seconds, for a proof that the first left
        open.
        """
        return plan(
            self.wanted, self.lots, self.settings, self.yard, self.kept, self.prices, thorough
        )

    def best(self) -> list[SectionPlan]:
        """Return the plan, with the better layout of each section that a thorough search finds."""
        out = []
        for each in self.solve():
            if each.standing != "best":
                (longer,) = self.of(each.section).solve(thorough=True)
                out.append(longer if longer.beats(each) else each.proven_by(longer))
            else:
                out.append(each)
        return out


def planning_job(state: MemoState) -> PlanningJob:
    """Return what is to be laid onto boards as the memo stands. Raises :class:`BadBoards`."""
    rows = state.of_state("open")
    pieces = sum(row.left for row in rows)
    if pieces > MAX_PIECES:
        raise BadBoards(doubt(DoubtKind.TOO_MANY_TO_PLAN, pieces=pieces, most=MAX_PIECES))
    wanted = tuple(wanted_of(row.number, row.id, row.cut, row.left, state.settings) for row in rows)
    rack = state.rack
    return PlanningJob(
        state.position, wanted, rack.lots, state.settings, rack.prices, state.yard, rack.boards
    )


def add_boards(command: AddBoards, context: Context) -> Decision:
    """Return boards put on the rack, or none where one is wrong. Raises :class:`BadBoards`."""
    load = context.new_id() if len(command.boards) > 1 else ""
    drafts = []
    for boards in command.boards:
        _check(boards)
        payload = BoardsAdded(
            lot=context.new_id(),
            section=boards.section,
            inches=boards.inches,
            count=boards.count,
            price=boards.price,
            bad=boards.bad,
            list=load,
        )
        drafts.append(Draft(payload))
    ids = tuple(str(getattr(draft.payload, "lot", "")) for draft in drafts)
    return Decision(Result("racked"), tuple(drafts), lot_ids=ids)


def lot_of(state: MemoState, name: str) -> Lot:
    """Return the lot with this number. Raises :class:`BadBoards`."""
    lot = state.rack.lot(int(name)) if name.isdecimal() and len(name) < 10 else None
    if lot is None:
        raise BadBoards(doubt(DoubtKind.NO_SUCH_BOARDS, name=name))
    return lot


def change_boards(state: MemoState, command: ChangeBoards) -> Decision:
    """Return a lot with another count, length or other bad parts."""
    board = board_called(state.rack, command.number)
    if board is not None and command.count == 0:
        return Decision(Result("racked"), (Draft(BoardsChanged(lot=board, count=0)),))
    lot = lot_of(state, command.number)
    count, inches = command.count, command.inches
    changed = Boards(
        lot.section,
        lot.inches if inches is None else inches,
        lot.count if count is None else count,
        bad=lot.bad if command.bad is None else command.bad,
    )
    _check(changed, least=0)
    payload = BoardsChanged(lot=lot.id, count=count, inches=inches, bad=command.bad)
    return Decision(Result("racked"), (Draft(payload),), lot_ids=(lot.id,))


def print_boards(state: MemoState, command: PrintBoards, context: Context) -> Decision:
    """Return all boards keeping their plans, on a page of their own.

    Nothing to write where the last page says the same. Raises :class:`BadBoards`.
    """
    page = context.new_id()
    job = planning_job(state)
    laid = job.best() if command.thorough else job.solve()
    plans = printed(laid, state.rack, page, context.new_id)
    before = {each.id: each for each in state.rack.boards if each.page}
    same = len(before) == len(plans) and all(
        each.id in before and replace(each, page=before[each.id].page) == before[each.id]
        for each in plans
    )
    known = {name for each in state.rack.boards for name in (each.board, each.id)}
    names = dict.fromkeys(name for each in plans for name in (each.board, each.id))
    fresh = tuple(name for name in names if name not in known)
    drafts = () if same else (Draft(BoardsPrinted(page=page, plans=plans, names=fresh)),)
    return Decision(Result("printed"), drafts)


def release_boards(state: MemoState, command: ReleaseBoards) -> Decision:
    """Return boards that keep their plans no longer. Raises :class:`BadBoards`."""
    if command.name is None:
        begun = {each.board for each in state.rack.boards if each.begun}
        boards = dict.fromkeys(each.board for each in state.rack.boards if each.board not in begun)
    else:
        board = board_called(state.rack, command.name)
        if board is None:
            raise BadBoards(doubt(DoubtKind.NO_SUCH_BOARDS, name=command.name))
        boards = {board: None}
    drafts = (Draft(BoardsReleased(released=tuple(boards))),) if boards else ()
    return Decision(Result("released boards"), drafts)


def set_yard(command: SetYard) -> Decision:
    """Return what the yard sells of one section from now on."""
    terms = command.terms
    payload = YardSet(
        section=terms.section,
        lengths=terms.lengths,
        precuts=terms.precuts,
        prices=terms.prices,
        minimum=terms.minimum,
    )
    return Decision(Result("racked"), (Draft(payload),))


def set_order_terms(state: MemoState, command: SetOrderTerms) -> Decision:
    """Return another waste allowance or budget; what was not named stays."""
    yard = state.yard
    more = command.waste_allowance
    payload = OrderTermsSet(
        waste_allowance=yard.waste_allowance if more is None else more,
        budget=yard.budget if command.budget is None else command.budget,
    )
    return Decision(Result("racked"), (Draft(payload),))


def _check(boards: Boards, least: int = 1) -> None:
    """Refuse boards that cannot be."""
    if not 0 < boards.inches <= MAX_BOARD_INCHES:
        most = MAX_BOARD_INCHES / 12
        raise BadBoards(doubt(DoubtKind.BOARD_LENGTH, inches=boards.inches, most_feet=most))
    if not least <= boards.count <= MAX_BOARDS:
        facts = {"count": boards.count, "least": least, "most": MAX_BOARDS}
        raise BadBoards(doubt(DoubtKind.BOARD_COUNT, **facts))
    for begin, end in boards.bad:
        if not 0 <= begin < end <= boards.inches:
            span = {"begin": begin, "end": end, "inches": boards.inches}
            raise BadBoards(doubt(DoubtKind.BAD_PART_OFF_BOARD, **span))


def boards_for(state: MemoState, row: Row, pieces: int, context: Context) -> tuple[Sawn, ...]:
    """Return which boards *pieces* of *row* come off, and what is still planned on them.

    Nothing where the plan has to buy them.
    """
    section = row.cut.section
    rack = state.rack
    sections = {*(lot.section for lot in rack.lots), *(board.section for board in rack.boards)}
    if section not in sections:
        return ()
    try:
        plans = planning_job(state).of(section).solve()
    except BadBoards:
        return ()  # too many pieces to lay: a piece is cut all the same
    return tuple(
        sawn for each in plans for sawn in sawn_off(each, rack, row.id, pieces, context.new_id)
    )
