"""Boards with their cuts to read at the saw, drawn to scale in text.

The rack and the yard's order, a line each.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from fractions import Fraction
from itertools import groupby

from cutmemo.domain.settings import Settings
from cutmemo.memo.rows import Row
from cutmemo.planning import Board, Rack, SectionPlan, Yard, called
from cutmemo.planning.order import Order, order_of
from cutmemo.planning.yard import Price
from cutmemo.wording.boards import (
    asking_not_ordered,
    begun_on_the_rack,
    board_shown,
    boards_named,
    cautions_of,
    head,
    held_and_ordered,
    money,
    not_ordered,
    notes_of,
    order_head,
    order_line,
    order_total,
    piece_shown,
    printed_on_the_rack,
    section_shown,
    since_printed,
    too_long,
    unplaced,
    waiting_shown,
    waits_for_it,
)
from cutmemo.wording.lengths import board_length, inches_shown

__all__ = [
    "board_length",
    "board_shown",
    "boards_as_text",
    "cautions_of",
    "drawn",
    "inches_shown",
    "left_out",
    "not_settled",
    "order_as_text",
    "orders_of",
    "rack_as_text",
    "section_shown",
]

WIDTH, INDENT = 64, 5
"""Columns that the longest board of a section takes, and those before it."""
MOST_EATEN = 2
"""Inches between two pieces that the saw may eat; where more is missing a piece was cut."""
BOXES = 6
"""So many equal boards have a box each for a piece; of more their number stands there."""


def drawn(board: Board, longest: Fraction, width: int = WIDTH) -> str:
    """Return the board as one line of boxes to scale.

    Pieces with their rows, ``░`` what is left over, ``╳`` what the saw eats; of a begun board what
    was cut off it already is left empty.
    """

    def column(inches: Fraction) -> int:
        return round(inches * width / longest)

    line = ["╳"] * max(column(board.inches), 2 * len(board.pieces) + 1)
    if board.begun:
        edges = [Fraction(0), *(each for p in board.pieces for each in (p.start, p.end))]
        edges.append(board.inches - board.left)
        for done, next_one in zip(edges[::2], edges[1::2], strict=True):
            if next_one - done > MOST_EATEN:
                line[column(done) : column(next_one)] = " " * (column(next_one) - column(done))
    for piece in board.pieces:
        begin = min(column(piece.start), len(line) - 1)
        end = max(begin + 1, min(column(piece.end), len(line)))
        line[begin:end] = list(f"├{str(piece.row).center(end - begin - 1, '─')}"[: end - begin])
    rest = column(board.inches - board.left)
    for k in range(rest, len(line)):
        line[k] = "░"
    return "".join(line)


def boards_as_text(
    plans: Iterable[SectionPlan], settings: Settings, columns: int = INDENT + WIDTH
) -> str:
    """Return all boards to read at the saw, drawn no wider than *columns*.

    Marks run from one end, kerf counted, so that errors do not add up.
    """
    width = max(min(WIDTH, columns - INDENT), 1)
    lines: list[str] = []
    for plan in plans:
        lines.append(head(plan, settings))
        longest = max((board.inches for board in plan.boards), default=Fraction(1))
        for equal in equal_boards(plan):
            board = equal[0]
            lines += [
                "",
                f"  {title_of(plan, equal, settings)}",
                f"{' ' * INDENT}{drawn(board, longest, width)}",
            ]
            many = len(equal)
            boxes = "[ ]" * many if many <= BOXES else f"{many} × [ ]"
            lines += [f"     {boxes} {piece_shown(piece, settings)}" for piece in board.pieces]
            lines += [f"     ! {caution}" for caution in cautions_of(board, settings)]
        lines += [f"  ! {note}" for note in notes_of(plan, settings)]
        lines.append("")
    return "\n".join(lines).rstrip()


def equal_boards(plan: SectionPlan) -> Iterator[list[Board]]:
    """Yield the boards of *plan* that stand side by side and read alike."""
    on_a_page = _on_a_page(plan)

    def shown(board: Board) -> tuple[object, ...]:
        return look(board), same_board(plan, board), since_printed(board, on_a_page)

    return (list(equal) for _, equal in groupby(plan.boards, key=shown))


def title_of(plan: SectionPlan, equal: Sequence[Board], settings: Settings) -> str:
    """Return what stands over *equal* boards of *plan*: their numbers, how many, which, what is
    left of each, and whether a page has them.
    """
    board, numbers = equal[0], [each.number for each in equal]
    name = f"{board_shown(board, settings)}{same_board(plan, board)}"
    title = boards_named(numbers, name, board.left, settings)
    return f"{title}{since_printed(board, _on_a_page(plan))}"


def _on_a_page(plan: SectionPlan) -> bool:
    return any(board.place for board in plan.boards)


def look(board: Board) -> tuple[object, ...]:
    """Return all by which two boards are the same to whoever cuts them."""
    lot = None if board.lot is None else board.lot.id
    return lot, board.start, board.inches, board.pieces, board.begun and board.kept


def same_board(plan: SectionPlan, board: Board) -> str:
    """Return that *board* is fetched with one earlier in the plan."""
    first = next(each for each in plan.boards if each.fetch == board.fetch)
    return f" (the same board as {first.number})" if first is not board else ""


def rack_as_text(rack: Rack, settings: Settings) -> str:
    """Return what is on the rack, a line each."""
    lines = []
    names = called(rack)
    for board in rack.boards:
        if board.begun:
            free = inches_shown(board.rest, settings)
            lines.append(begun_on_the_rack(names[board.board], board, free, settings))
    for lot in rack.lots:
        bad = "".join(
            f" · bad from {inches_shown(begin, settings)} to {inches_shown(end, settings)}"
            for begin, end in lot.bad
        )
        price = f" · {money(lot.price)} each" if lot.price is not None else ""
        kind = " · left-over" if lot.leftover else ""
        length = board_length(lot.inches, settings)
        lines.append(
            f"{lot.number:>4}  {lot.count:>4} × {length:>12}  {section_shown(lot.section)}{kind}{bad}{price}"  # noqa: E501 - a sentence or markup
        )
    printed = {board.board for board in rack.boards if board.page and not board.begun}
    lines += [printed_on_the_rack(len(printed))] if printed else []
    return "\n".join(lines)


def orders_of(
    plans: Iterable[SectionPlan],
    settings: Settings,
    yard: Yard | None = None,
    prices: Iterable[Price] = (),
) -> list[tuple[SectionPlan, Order]]:
    """Return what has to be bought of each section that was said."""
    paid = list(prices)
    found = [
        (plan, order_of(plan, settings, yard, paid)) for plan in plans if plan.section is not None
    ]
    return [(plan, order) for plan, order in found if order.lines]


def order_as_text(
    plans: Sequence[SectionPlan],
    rack: Rack,
    settings: Settings,
    yard: Yard | None = None,
    rows: Iterable[Row] = (),
) -> str:
    """Return what the yard has to bring, by section and length, with feet, pieces, money, waste and what waits for it.

    Boards cost what the *yard* asks, else what such a board on the *rack* cost last. Of *rows*,
    those that ask and those on hold are named.
    """  # noqa: E501 - one sentence
    lines = []
    orders = orders_of(plans, settings, yard, rack.prices)
    for plan, order in orders:
        lines.append(order_head(order, plan))
        lines += [f"  {order_line(line, settings)}" for line in order.lines]
        lines.append(f"  {waits_for_it(waiting_shown(plan))}")
    if len(orders) > 1 or (yard is not None and yard.budget is not None and orders):
        lines.append(
            order_total([order for _, order in orders], None if yard is None else yard.budget)
        )
    lines += [*left_out(plans, settings), *not_settled(plans, rows)]
    return "\n".join(lines)


def not_settled(plans: Iterable[SectionPlan], rows: Iterable[Row]) -> list[str]:
    """Return which of *rows* ask, so that nothing is ordered for them, and for which on hold
    something is, a line each.
    """
    every = list(rows)
    waiting = {row for plan in plans if plan.section is not None for row in plan.waiting}
    asking = [row.number for row in every if row.state == "doubtful"]
    held = [row.number for row in every if row.held and row.number in waiting]
    return [
        *([asking_not_ordered(asking)] if asking else []),
        *([held_and_ordered(held)] if held else []),
    ]


def left_out(plans: Iterable[SectionPlan], settings: Settings) -> list[str]:
    """Return what an order leaves out, a line each: pieces of no section, and those no board is
    long enough for or left for.
    """
    lines = []
    for plan in plans:
        if plan.section is None:
            lines += [not_ordered(plan)] if plan.waiting else []
        else:
            lines += [f"  ! {plan.section}, {too_long(each, settings)}" for each in plan.too_long]
            lines += [f"  ! {plan.section}, {unplaced(each, settings)}" for each in plan.unplaced]
    return lines
