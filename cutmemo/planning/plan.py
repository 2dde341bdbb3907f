"""Every open cut on a board: which board, in which order, at which marks, and what has to be bought.

Aims, in this order: no piece left out; boards that keep their plan keep it; never more
boards than the rack holds; least cost; fewest boards; the stop and the saw set seldom;
what is left over in one long piece.
"""  # noqa: E501 - one sentence

from __future__ import annotations

import itertools
import sys
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import replace
from fractions import Fraction
from functools import lru_cache

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.planning.arrange import fewer_settings, gathered, whole_first
from cutmemo.planning.checker import assured
from cutmemo.planning.kept import BoardPlan, Held, first_breach, held
from cutmemo.planning.layout import Board, KerfShort, SectionPlan
from cutmemo.planning.marks import in_saw_order, marked
from cutmemo.planning.model import Model, modelled, placeable, relaxed_bounds
from cutmemo.planning.problem import (
    AT_ONCE,
    NESTED,
    THOROUGH,
    Boards,
    Effort,
    PackedBoard,
    Solution,
)
from cutmemo.planning.rack import Lot
from cutmemo.planning.solver import solve
from cutmemo.planning.stock import Source, priced, sources
from cutmemo.planning.wanted import Wanted
from cutmemo.planning.yard import Price, Yard, offers


def plan(  # noqa: PLR0913 - facts of one problem, named by every caller
    wanted: Sequence[Wanted],
    lots: Iterable[Lot],
    settings: Settings,
    yard: Yard | None = None,
    kept: Iterable[BoardPlan] = (),
    prices: Iterable[Price] = (),
    thorough: bool = False,
) -> list[SectionPlan]:
    """Return the best layout found of everything *wanted*, section by section.

    The same input gives the same plan.

    Boards that are *kept* hold what is planned on them. *prices* are those last paid, where
    the *yard* names none. A *thorough* plan may take many seconds: it is for sections that the
    plan at once leaves unproven, and is never worse than that one.
    """
    racked, plans, paid = list(lots), list(kept), tuple(prices)
    return [
        _section_plan(
            section,
            tuple(each for each in wanted if each.section == section),
            tuple(lot for lot in racked if lot.section == section),
            settings,
            yard or Yard(),
            tuple(each for each in plans if each.section == section),
            tuple(price for price in paid if price[0] == section),
            THOROUGH if thorough else AT_ONCE,
        )
        for section in dict.fromkeys(each.section for each in wanted)
    ]


@lru_cache(maxsize=64)
def _section_plan(  # noqa: PLR0913 - facts of one problem, named by every caller
    section: Section | None,
    wanted: tuple[Wanted, ...],
    lots: tuple[Lot, ...],
    settings: Settings,
    yard: Yard,
    kept: tuple[BoardPlan, ...],
    prices: tuple[Price, ...],
    effort: Effort,
) -> SectionPlan:
    """Return the plan of one section.

    Cached, so that a cut in one section does not plan the others anew.
    """
    laid = _laid(section, wanted, lots, settings, yard, kept, prices, effort)
    return replace(laid, breach=first_breach(kept, wanted, lots))


def _laid(  # noqa: PLR0913 - facts of one problem, named by every caller
    section: Section | None,
    wanted: tuple[Wanted, ...],
    lots: tuple[Lot, ...],
    settings: Settings,
    yard: Yard,
    kept: tuple[BoardPlan, ...],
    prices: tuple[Price, ...],
    effort: Effort,
) -> SectionPlan:
    holding, todo, free = held(kept, wanted, lots)
    holding = [_trimmed(each, settings) for each in holding]
    by_id = {lot.id: lot for lot in lots}
    standing = [_held_board(each, by_id) for each in holding if each.pieces]
    if not todo:
        return SectionPlan(section, tuple(_fetched(standing, holding)))
    offered = offers(
        yard,
        section,
        [(each.inches, each.count, each.shape is None) for each in todo],
        settings.trim,
        settings.longest,
        prices,
    )
    shortest = min(each.inches for each in todo)
    found = sources(free, holding, offered, shortest, settings, yard)
    room = max((each.inches - each.trim for each in found), default=Fraction(0))
    too_long = tuple(each for each in todo if each.inches > room)
    fits = [each for each in todo if each.inches <= room]
    if not fits:
        return SectionPlan(section, tuple(_fetched(standing, holding)), too_long)
    chosen = priced(found, max(each.inches for each in fits))
    by_price = chosen is not None
    model = modelled(chosen or found, fits, by_price, settings)
    placed, start = placeable(model.problem)
    model, unplaced = _without(model, placed)
    start = _renumbered(start, placed)
    if not model.problem.items:
        return SectionPlan(section, tuple(_fetched(standing, holding)), too_long, unplaced=unplaced)
    if model.relaxed is not None and effort is AT_ONCE:
        effort = NESTED
    solution = solve(model.problem, start, effort)
    if solution is None:
        raise AssertionError("boards that were found to hold all pieces do not")
    proven, bound = _proof(model, solution, effort)
    over = Fraction(solution.cost - bound, solution.cost) if solution.cost else Fraction(0)
    boards = _boards(model, _arranged(model, solution.boards), by_id, settings)
    used = {board.kept for board in boards}
    every = [*(board for board in standing if board.kept not in used), *boards]
    laid = tuple(_fetched(every, holding))
    return SectionPlan(
        section,
        laid,
        too_long,
        proven,
        over,
        unplaced,
        by_price,
        _kerf_short(laid, settings),
        solution.cost,
        bound,
    )


def _without(model: Model, placed: Sequence[int]) -> tuple[Model, tuple[Wanted, ...]]:
    """Return the model with only so many of each item as can be *placed*, and the rows left out."""
    items, flat, rows, out = [], [], [], []
    for k, number in enumerate(placed):
        left, kept = number, []
        for each in model.rows[k]:
            take = min(each.count, left)
            left -= take
            kept += [replace(each, count=take)] if take else []
            out += [replace(each, count=each.count - take)] if each.count > take else []
        if number:
            items.append(replace(model.problem.items[k], demand=number))
            flat += [replace(model.relaxed.items[k], demand=number)] if model.relaxed else []
            rows.append(tuple(kept))
    if not out:
        return model, ()
    problem = replace(model.problem, items=tuple(items))
    relaxed = replace(model.relaxed, items=tuple(flat)) if model.relaxed else None
    return Model(problem, model.sources, tuple(rows), relaxed), tuple(out)


def _renumbered(boards: Boards | None, placed: Sequence[int]) -> Boards | None:
    """Return *boards* by the numbers that items have once those of which none is *placed* are gone."""  # noqa: E501 - one sentence
    if boards is None:
        return None
    number = {item: k for k, item in enumerate(k for k, count in enumerate(placed) if count)}
    return tuple(replace(each, items=tuple(number[k] for k in each.items)) for each in boards)


def _proof(model: Model, solution: Solution, effort: Effort) -> tuple[bool, int]:
    """Return whether the layout is proven best, and a bound on its cost."""
    bound, proven = solution.cost_bound, solution.proven
    if model.relaxed is not None:
        bound, fewest = relaxed_bounds(model.relaxed, solution, effort)
        proven = bound == solution.cost and fewest == solution.number
    return proven, bound


def _arranged(model: Model, boards: Boards) -> Boards:
    """Return *boards* of the same stock, easier to cut."""
    whole = model.fits_whole()
    fixed = [
        item is not None or source.exact for item, source in zip(whole, model.sources, strict=True)
    ]
    exact = [source.exact for source in model.sources]
    out = whole_first(model.problem, boards, whole, exact)
    out = fewer_settings(model.problem, out, fixed)
    return assured(model.problem, gathered(model.problem, out, fixed))


def _boards(model: Model, packed: Boards, lots: dict[str, Lot], settings: Settings) -> list[Board]:
    """Return the boards in the order they are sawn, with their pieces and marks."""
    first = [rows[0] for rows in model.rows]
    names = [iter([each for each in rows for _ in range(each.count)]) for rows in model.rows]
    out = []
    after: tuple[Fraction, str] | None = None
    last: tuple[Fraction, str] | None = None
    before: PackedBoard | None = None
    for number in _in_order(model, packed, first):
        each = packed[number]
        if before is None or not _alike(each, before):
            after = last  # equal boards are cut alike, one setting after the other over all of them
        source = model.sources[each.stock]
        ordered = in_saw_order([next(names[item]) for item in sorted(each.items)], settings, after)
        last, before = (ordered[-1].inches, ordered[-1].setting), each
        out.append(_board(source, ordered, lots, settings))
    return out


def _alike(one: PackedBoard, other: PackedBoard) -> bool:
    """Return whether two boards are cut alike."""
    return one.stock == other.stock and sorted(one.items) == sorted(other.items)


KEPT, LEFT_OVER, RACK, YARD = range(4)
"""Where a board is from, in the order they are sawn."""


def _in_order(model: Model, packed: Boards, first: Sequence[Wanted]) -> list[int]:
    """Return the order of the boards: begun ones, left-overs, the rack, then what has to be bought.

    Within those, equal boards stand together, and a board comes next that starts at the
    setting the last one ended with.
    """
    places = _places(model, packed)

    def longest(number: int) -> tuple[Fraction, int, tuple[int, ...]]:
        each = packed[number]
        return max(first[item].inches for item in each.items), -each.stock, each.items

    order: list[int] = []
    before: frozenset[int] = frozenset()
    for place in sorted(set(places)):
        left: dict[tuple[int, tuple[int, ...]], list[int]] = {}
        for number in range(len(packed)):
            if places[number] == place:
                key = packed[number].stock, tuple(sorted(packed[number].items))
                left.setdefault(key, []).append(number)
        while left:
            key = max(
                left,
                key=lambda k: (
                    len(before & set(k[1])),
                    -len(set(k[1]) - before),
                    longest(left[k][0]),
                ),
            )
            before = frozenset(key[1])
            order += left.pop(key)
    return order


def _places(model: Model, packed: Boards) -> list[tuple[int, int, Fraction]]:
    """Return by what the boards are ordered first: where each is from, and a number there.

    That with the longest end left is the last of its kind: it is not begun while others are
    there, so that a call that comes meanwhile can still be laid on it together with the rest.
    """
    sources = [model.sources[each.stock] for each in packed]
    split = [each.lot is not None and len(each.lot.runs()) > 1 for each in sources]
    out = []
    for source, apart in zip(sources, split, strict=True):
        lot = source.lot
        kind = YARD if lot is None else LEFT_OVER if lot.leftover else RACK
        number = lot.number if lot is not None and (apart or lot.leftover) else 0
        begun = source.held is not None
        out.append((KEPT, 0, Fraction(0)) if begun else (kind, number, source.start))
    problem = model.problem
    free = [problem.stock[each.stock].capacity - problem.need(each.items) for each in packed]
    for kind in (LEFT_OVER, RACK, YARD):
        whole = [k for k, place in enumerate(out) if place[0] == kind and not split[k]]
        last = packed[max(whole, key=lambda k: free[k])] if whole else None
        for k in whole:
            if last is not None and _alike(packed[k], last):
                out[k] = kind, sys.maxsize, Fraction(0)
    return out


def _board(
    source: Source, ordered: Sequence[Wanted], lots: dict[str, Lot], settings: Settings
) -> Board:
    if source.held is None:
        pieces, free = marked(ordered, source.trim, settings)
        left = max(source.inches - free, Fraction(0))
        lot = None if source.lot is None else lots[source.lot.id]
        return Board(lot, source.start, source.inches, pieces, left)
    before = _held_board(source.held, lots)
    pieces, free = marked(ordered, source.held.free, settings)
    return replace(
        before,
        pieces=(*before.pieces, *pieces),
        left=max(before.inches - free, Fraction(0)),
    )


def _trimmed(each: Held, settings: Settings) -> Held:
    """Return a kept stretch that nothing came off yet with its end still to be trimmed.

    A board with a bad part is begun on one stretch while the other has the mill's end.
    """
    untouched = not each.plan.pieces and not each.plan.leftover
    return replace(each, free=settings.trim) if untouched and each.free == 0 else each


def _held_board(each: Held, lots: dict[str, Lot]) -> Board:
    """Return the board of a kept plan, with what is still to come off it."""
    kept = each.plan
    lot = lots.get(kept.lot)
    if lot is None and (kept.lot or kept.begun):
        name = kept.lot or kept.board
        lot = Lot(name, kept.number, kept.section, kept.inches, 0, leftover=kept.leftover)
    return Board(
        lot,
        kept.start,
        kept.inches,
        each.pieces,
        max(kept.inches - each.free, Fraction(0)),
        kept.id,
        kept.begun,
        place=kept.place,
    )


def _fetched(boards: Iterable[Board], holding: Sequence[Held]) -> list[Board]:
    """Return *boards* in their order, begun ones first, then those of the printed page.

    They are numbered, and by what is fetched: the sound stretches of one board are one.
    """
    of_kept = {each.plan.id: each.plan.board for each in holding}
    numbers: dict[object, int] = {}
    used: Counter[tuple[str, Fraction]] = Counter()
    out = []
    ordered = sorted(boards, key=lambda each: (not each.kept, each.place))
    next_number = itertools.count(1 + max((each.plan.place for each in holding), default=0))
    for place, board in enumerate(ordered):
        key: object = place
        if board.kept:
            key = of_kept[board.kept]
        elif board.lot is not None and len(board.lot.runs()) > 1:
            key = board.lot.id, used[board.lot.id, board.start]
            used[board.lot.id, board.start] += 1
        fetch = numbers.setdefault(key, len(numbers) + 1)
        out.append(replace(board, fetch=fetch, number=board.place or next(next_number)))
    return out


def _kerf_short(boards: Sequence[Board], settings: Settings) -> tuple[KerfShort, ...]:
    """Return the pieces that have a board to themselves for want of a kerf or less on another."""
    out = []
    for place, board in enumerate(boards):
        if len(board.pieces) != 1 or board.kept or board.pieces[0].setting:
            continue
        piece = board.pieces[0]
        for other, each in enumerate(boards[:place]):
            if each.pieces[-1].setting:
                continue
            by = piece.inches - (each.inches - each.pieces[-1].end - settings.kerf)
            if 0 < by <= settings.kerf:
                out.append(KerfShort(piece.row, piece.inches, by, other))
                break
    return tuple(out)
