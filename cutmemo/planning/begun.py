"""What happens to the rack when a piece comes off a board, a page is printed, or a kept plan is let go.

Pure functions from a rack to a rack. An event holds a :class:`Sawn`, the plans of a
printed page, or the name of a board; replaying it needs no planner.
"""  # noqa: E501 - one sentence

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from string import ascii_lowercase

from cutmemo.planning.kept import BoardPlan, keep
from cutmemo.planning.layout import Board, SectionPlan
from cutmemo.planning.rack import Lot, Rack


@dataclass(frozen=True, slots=True)
class Sawn:
    """Pieces that came off one board."""

    board: str
    stretches: tuple[BoardPlan, ...]
    """All that is kept of the board after the cut; it replaces what was kept of it before."""
    begins: bool = False
    """True for the first of a board: its names are new then."""


def sawn_off(
    plan: SectionPlan, rack: Rack, row_id: str, pieces: int, new_id: Callable[[], str]
) -> tuple[Sawn, ...]:
    """Return which boards of *plan* so many *pieces* of a row come off, in the order of the plan.

    A board that is begun keeps its plan from now on, with what the plan lays on its free end.
    Pieces of boards that have to be bought come off no board of the rack, unless those were
    printed: what is cut by a page was bought.
    """
    out = []
    for fetch in dict.fromkeys(board.fetch for board in plan.boards):
        boards = [board for board in plan.boards if board.fetch == fetch]
        here = sum(piece.row_id == row_id for board in boards for piece in board.pieces)
        if not pieces or not here or (boards[0].lot is None and not boards[0].kept):
            continue
        stretches = _stretches(plan, boards, rack, new_id)
        kept: list[BoardPlan] = []
        for each in stretches:
            take = min(pieces, each.planned(row_id))
            pieces -= take
            kept.append(each.with_cut(row_id, take))
        begins = all(each.board != kept[0].board for each in rack.boards)
        out.append(Sawn(kept[0].board, tuple(kept), begins))
    return tuple(out)


def _stretches(
    plan: SectionPlan, boards: Sequence[Board], rack: Rack, new_id: Callable[[], str]
) -> list[BoardPlan]:
    """Return what is kept of the board that *boards* are stretches of, as the plan lays it now."""
    known = {each.id: each for each in rack.boards}
    name = next((known[board.kept].board for board in boards if board.kept in known), "")
    if not name:
        name = new_id()
        boards = [*boards, *_unused(boards)]
    out = []
    for board in boards:
        (fresh,) = keep(plan.section, [(board.kept or new_id(), board)], name)
        before = known.get(board.kept)
        if before is not None:
            cut = tuple(piece for piece in before.pieces if piece.cut)
            kerf = fresh.kerf if fresh.pieces else before.kerf
            fresh = replace(
                before,
                pieces=(*cut, *fresh.pieces),
                kerf=kerf,
                lot=fresh.lot,
                number=fresh.number,
            )
        out.append(fresh)
    others = [each for each in rack.boards if each.board == name]
    return [*out, *(each for each in others if each.id not in {one.id for one in out})]


def _unused(boards: Sequence[Board]) -> list[Board]:
    """Return the sound stretches of the same board on which nothing is planned."""
    lot = boards[0].lot
    used = {board.start for board in boards}
    if lot is None:
        return []
    return [
        Board(lot, begin, end - begin, (), end - begin)
        for begin, end in lot.runs()
        if begin not in used
    ]


def with_sawn(rack: Rack, sawn: Iterable[Sawn], shortest: Fraction) -> Rack:
    """Return the rack after pieces came off.

    A board that is begun leaves its lot, and stays while anything is planned on it.

    Once nothing is, each stretch that is *shortest* or longer lies on the rack as a left-over.
    """
    for each in sawn:
        before = [plan for plan in rack.boards if plan.board == each.board]
        if not any(plan.begun for plan in before):
            rack = _with_one_less(rack, each.stretches[0].lot)
        now = tuple(replace(_both(plan, before), begun=True) for plan in each.stretches)
        others = tuple(plan for plan in rack.boards if plan.board != each.board)
        if all(plan.finished for plan in now):
            rack = _with_rests(replace(rack, boards=others), now, shortest)
        else:
            rack = replace(rack, boards=(*others, *now))
    return rack


def _both(plan: BoardPlan, before: Iterable[BoardPlan]) -> BoardPlan:
    """Return *plan* with the pieces cut that were cut before.

    Two stations apart may have cut from one board.
    """
    old = next((each for each in before if each.id == plan.id), None)
    if old is None:
        return plan
    cut = {(piece.row_id, piece.start): piece for piece in old.pieces if piece.cut}
    now = [replace(p, cut=p.cut or (p.row_id, p.start) in cut) for p in plan.pieces]
    there = {(piece.row_id, piece.start) for piece in now}
    gone = [piece for name, piece in cut.items() if name not in there]
    return replace(plan, pieces=tuple(sorted([*now, *gone], key=lambda piece: piece.start)))


def printed(
    plans: Iterable[SectionPlan], rack: Rack, page: str, new_id: Callable[[], str]
) -> tuple[BoardPlan, ...]:
    """Return what all boards of *plans* keep once they are printed on *page*, in the order of the page."""  # noqa: E501 - one sentence
    known = {each.id: each for each in rack.boards}
    out: list[BoardPlan] = []
    for plan in plans:
        names: dict[int, str] = {}
        for board in plan.boards:
            before = known.get(board.kept)
            name = before.board if before is not None else ""
            fresh = board.fetch not in names and not name
            name = names.setdefault(board.fetch, name or new_id())
            (kept,) = keep(plan.section, [(board.kept or new_id(), board)], name, page)
            if before is not None:
                cut = tuple(piece for piece in before.pieces if piece.cut)
                kept = replace(kept, pieces=(*cut, *kept.pieces), begun=before.begun)
            out.append(kept)
            if fresh:
                same = [each for each in plan.boards if each.fetch == board.fetch]
                unused = [replace(each, number=board.number) for each in _unused(same)]
                named = [(new_id(), each) for each in unused]
                out += keep(plan.section, named, name, page)
    on_page = {each.id for each in out}
    boards = {each.board for each in out}
    rest = (each for each in rack.boards if each.board in boards and each.id not in on_page)
    return (*out, *(replace(each, page=page) for each in rest))


def with_printed(rack: Rack, plans: Iterable[BoardPlan]) -> Rack:
    """Return the rack with the boards of a printed page keeping their plans.

    It takes the place of the page before: a board that is not on it any more keeps its plan only
    where it was begun.
    """
    known = {each.id: each for each in rack.boards}
    fresh = []
    for plan in plans:
        old = known.get(plan.id)
        if old is None and plan.begun:
            continue  # another station, apart, cut the last piece off it
        both = _both(plan, rack.boards)
        fresh.append(replace(both, begun=both.begun or (old is not None and old.begun)))
    named = {each.id for each in fresh}
    others = (
        replace(each, page="", place=0)
        for each in rack.boards
        if each.begun and each.id not in named
    )
    return replace(rack, boards=(*others, *fresh))


def with_released(rack: Rack, board: str, shortest: Fraction) -> Rack:
    """Return the rack after a board is let go.

    Its plan no longer holds, what is left of a begun one lies on the rack. A page that a board
    is let go from before it was begun is one no more: its other boards keep their plans only.
    """
    gone = tuple(each for each in rack.boards if each.board == board)
    rack = replace(rack, boards=tuple(each for each in rack.boards if each.board != board))
    if not any(each.begun for each in gone):
        void = {each.page for each in gone if each.page}
        boards = (
            replace(each, page="", place=0) if each.page in void else each for each in rack.boards
        )
        return replace(rack, boards=tuple(boards))
    cut = (
        replace(each, pieces=tuple(piece for piece in each.pieces if piece.cut)) for each in gone
    )
    return _with_rests(rack, cut, shortest)


def without_board(rack: Rack, board: str) -> Rack:
    """Return the rack without a board that keeps its plan, of which nothing is left or nobody wants it."""  # noqa: E501 - one sentence
    return replace(rack, boards=tuple(each for each in rack.boards if each.board != board))


def called(rack: Rack) -> dict[str, str]:
    """Return what a person calls each board that was begun.

    The number of its lot and a letter, ``3a``; a letter alone where it was bought by a page.
    """
    out: dict[str, str] = {}
    for each in rack.boards:
        if each.begun and each.board not in out:
            lot = str(each.number or "")
            same = sum(name.rstrip(ascii_lowercase) == lot for name in out.values())
            out[each.board] = f"{lot}{ascii_lowercase[same % 26] * (same // 26 + 1)}"
    return out


def board_called(rack: Rack, name: str) -> str | None:
    """Return the board that is called *name*, or ``None``."""
    return next((board for board, known in called(rack).items() if known == name), None)


def _with_one_less(rack: Rack, lot_id: str) -> Rack:
    lots = (replace(lot, count=lot.count - 1) if lot.id == lot_id else lot for lot in rack.lots)
    return replace(rack, lots=tuple(lot for lot in lots if lot.count > 0))


def _with_rests(rack: Rack, plans: Iterable[BoardPlan], shortest: Fraction) -> Rack:
    """Return the rack with the free ends of *plans* as left-overs, each under the id of its plan."""  # noqa: E501 - one sentence
    for each in plans:
        if each.rest >= shortest:
            lot = Lot(each.id, rack.given + 1, each.section, each.rest, 1, leftover=True)
            rack = replace(rack, lots=(*rack.lots, lot), given=rack.given + 1)
    return rack
