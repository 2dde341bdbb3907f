"""Boards in words: their names, how good a layout is, what to mind, what cannot be laid, what is ordered."""  # noqa: E501 - one sentence

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from cutmemo.domain.cut import Section
from cutmemo.domain.length import Length, format_length
from cutmemo.domain.settings import Settings
from cutmemo.planning import Board, BoardPlan, KerfShort, Lot, Piece, SectionPlan, Wanted
from cutmemo.planning.layout import Breach
from cutmemo.planning.order import Order, OrderLine, total_cost
from cutmemo.wording.lengths import board_length, inches_shown

NO_SECTION = "size not said"
BEST_SO_FAR = "Best for what is called so far."
CAUTION = (
    "Guards work, hands 6 in. or more from the blade, eyes and ears protected, never freehand. "
    "Arithmetic only: plans, local code, the inspector, a licensed designer and the saw's manual govern."  # noqa: E501 - a sentence or markup
)
EMPTY_RACK = "The rack is empty: “cutmemo rack add 10 2x4 16'” puts boards on it."
NOTHING = "nothing"
SECTION_NEEDED = "Of what section? Name it with --of 2x4."
KEPT_AS_PRINTED = (
    "These boards keep their plans now: a new call may use only their free ends. "
    "“cutmemo boards --replan” lays out anew those not begun; --draft prints a page that keeps nothing."  # noqa: E501 - a sentence or markup
)
LAID_ANEW = "They are laid out anew."
NOTHING_OPEN = "Nothing is open."
NOTHING_SHORT = "Nothing is short."
LENGTH_IN_FEET = "as 16', 92-5/8 or 2438mm"
BOARDS_PAGE, LABELS_PAGE, ORDER_PAGE = "Boards", "Labels", "Order"
"""What the pages to print are."""


def page_title(what: str, job: str) -> str:
    """Return the title of a page: *what* it is, and of which *job*."""
    return f"{what} of {job}"


def section_shown(section: Section | None) -> str:
    """Return the section, or that none was said."""
    return str(section) if section is not None else NO_SECTION


def money(amount: Fraction) -> str:
    """Return an amount with two decimals, halves up."""
    cents = (abs(amount) * 100 + Fraction(1, 2)) // 1
    return f"{'-' if amount < 0 else ''}{cents // 100}.{cents % 100:02d}"


def counted(number: int, one: str, more: str = "") -> str:
    """Return *number* with its noun."""
    return f"{number} {one if number == 1 else more or one + 's'}"


def board_shown(board: Board, settings: Settings) -> str:
    """Return which board it is."""
    length = board_length(board.inches, settings)
    if board.lot is None:
        name = f"to buy {length}"
    elif not board.lot.number:
        name = f"bought {length}"
    else:
        kind = "left-over" if board.lot.leftover else "rack"
        name = f"{kind} {board.lot.number}: {length}"
    if board.start:
        name += f", the sound part from {inches_shown(board.start, settings)} on, marks from there"
    if board.begun:
        name += ", begun, marks from its first end"
    return name


def since_printed(board: Board, on_a_page: bool) -> str:
    """Return what a printed page does not have of *board*."""
    return " · not on the printed page" if on_a_page and not board.place else ""


def begun_on_the_rack(name: str, board: BoardPlan, free: str, settings: Settings) -> str:
    """Return one line about a board that was begun and keeps its plan."""
    left = sum(not piece.cut for piece in board.pieces)
    length = board_length(board.inches, settings)
    return (
        f"{name:>4}  begun  {length:>12}  {section_shown(board.section)}"
        f" · {counted(left, 'piece')} still planned on it, {free} free"
    )


def printed_on_the_rack(boards: int) -> str:
    """Return one line about the boards that a printed page has, and nobody began."""
    keep = "keeps its plan" if boards == 1 else "keep their plans"
    return f"{counted(boards, 'board')} of the printed page {keep}, those to buy too."


def standing_shown(plan: SectionPlan) -> str:
    """Return how good the layout is known to be."""
    if plan.standing == "best":
        return "proven best"
    if plan.standing == "open":
        return f"at most {100 * float(plan.over):.2g} % over the best possible"
    return "least board proven, fewest boards not"


def head(plan: SectionPlan, settings: Settings) -> str:
    """Return one line about a section."""
    parts = [
        section_shown(plan.section),
        f"{counted(plan.pieces, 'piece')} on {counted(plan.fetched, 'board')}",
    ]
    if plan.boards:
        parts.append(standing_shown(plan) + (", by price" if plan.by_price else ""))
        kept, waste = plan.kept(settings.leftover), plan.waste(settings.leftover)
        parts.append(
            f"left-overs {inches_shown(kept, settings)}, waste {inches_shown(max(waste, Fraction(0)), settings)}"  # noqa: E501 - a sentence or markup
        )
        parts.append(counted(plan.settings, "stop setting"))
        prices = {
            board.fetch: board.lot.price
            for board in plan.boards
            if board.lot is not None and board.lot.price is not None and not board.begun
        }
        parts += [f"rack boards worth {money(sum(prices.values(), Fraction(0)))}"] if prices else []
    return " · ".join(parts)


def piece_shown(piece: Piece, settings: Settings) -> str:
    """Return one piece with its marks."""
    note = measure_note(piece)
    label = f"  {piece.label}" if piece.label else ""
    mark = f"from {inches_shown(piece.start, settings)} " if piece.start else ""
    shares = "  (starts at the slant of the last cut)" if piece.shares else ""
    return (
        f"row {piece.row}: {inches_shown(piece.inches, settings)}  {mark}"
        f"cut at {inches_shown(piece.end, settings)}{label}{' ' + note if note else ''}{shares}"
    )


def measure_note(piece: Piece | Wanted) -> str:
    """Return to which points the marks are, where that needs saying."""
    return {
        "as called": "",
        "long points": "(marks to the long points)",
        "section needed": "(called to a short point: it takes more board than this; say its section)",  # noqa: E501 - a sentence or markup
    }[piece.measure]


def cautions_of(board: Board, settings: Settings) -> list[str]:
    """Return what to mind before cutting this board."""
    short = [piece for piece in board.pieces if piece.inches < settings.shortest]
    out = [
        f"{inches_shown(piece.inches, settings)} is short for hands: clamp it, or cut it while the board is long."  # noqa: E501 - a sentence or markup
        for piece in short
    ]
    if 0 < board.left < settings.shortest and board.pieces:
        out.append(
            f"The end left over, {inches_shown(board.left, settings)}, is short: clamp the board before the last cut."  # noqa: E501 - a sentence or markup
        )
    return list(dict.fromkeys(out))


def notes_of(plan: SectionPlan, settings: Settings) -> list[str]:
    """Return where a printed page ends to hold, what was not laid, what a kerf decided."""
    return [
        *([breach_shown(*plan.breach)] if plan.breach is not None else []),
        *(too_long(each, settings) for each in plan.too_long),
        *(unplaced(each, settings) for each in plan.unplaced),
        *(kerf_short(each, plan, settings) for each in plan.kerf_short),
    ]


def too_long(wanted: Wanted, settings: Settings) -> str:
    """Return that a piece is longer than all boards."""
    return f"row {wanted.row}: {inches_shown(wanted.inches, settings)} is longer than any board."


def unplaced(wanted: Wanted, settings: Settings) -> str:
    """Return that the boards which are long enough run out."""
    return (
        f"row {wanted.row}: no board is left for {wanted.count} × "
        f"{inches_shown(wanted.inches, settings)}: those long enough run out."
    )


def kerf_short(near: KerfShort, plan: SectionPlan, settings: Settings) -> str:
    """Return that a piece takes another board for want of a kerf."""
    other = plan.boards[near.board]
    where = f"board {other.number} ({board_shown(other, settings)})"
    by = format_length(Length(near.by), settings.display, max(settings.fineness, 32))
    return f"row {near.row}: {inches_shown(near.inches, settings)} is {by} short on {where}: a kerf decides."  # noqa: E501 - a sentence or markup


def breach_shown(board: int, why: Breach) -> str:
    """Return from which board on a printed page no longer holds."""
    cause = {
        "row gone": "a row on it was struck, asks, or was cut elsewhere",
        "row changed": "a row on it was changed",
        "board gone": "its board is not on the rack any more, or not as it was",
    }[why]
    return f"The printed page no longer holds from board {board} on: {cause}. Print it anew."


def pull_shown(plan: SectionPlan, lots: Sequence[Lot], settings: Settings) -> list[str]:
    """Return what to pull from the rack for one section, the longest first."""
    kinds = {lot.number: lot for lot in lots}
    return [
        f"{count} × {board_length(inches, settings)} {section_shown(plan.section)}"
        f" ({'left-over' if number in kinds and kinds[number].leftover else 'rack'} {number})"
        for (number, inches), count in sorted(plan.pull.items(), key=lambda each: -each[0][1])
    ]


def order_head(order: Order, plan: SectionPlan) -> str:
    """Return one line about what is bought of a section."""
    feet = order.board_feet
    parts = [
        f"{section_shown(order.section)}: {counted(order.boards, 'board')} for {counted(order.pieces, 'piece')}",  # noqa: E501 - a sentence or markup
        f"{float(order.inches / 12):g} lineal ft",
        *([f"{float(feet):.1f} board ft"] if feet else []),
        *([money(order.cost)] if order.cost is not None else []),
        f"waste {float(100 * order.waste):.0f} %",
        standing_shown(plan),
    ]
    return " · ".join(parts)


def order_line(line: OrderLine, settings: Settings) -> str:
    """Return one length of an order."""
    more = f"  ({line.needed} needed)" if line.count != line.needed else ""
    cost = (
        f"  {money(line.cost)} at {money(line.price)} each"
        if line.cost is not None and line.price is not None
        else ""
    )
    return f"{line.count:>4} × {board_length(line.inches, settings)}{cost}{more}"


def order_total(orders: Sequence[Order], budget: Fraction | None) -> str:
    """Return what everything comes to, and how that stands to the *budget*."""
    inches = sum((order.inches for order in orders), Fraction(0))
    cost = total_cost(orders)
    parts = [
        f"In all: {counted(sum(order.boards for order in orders), 'board')}",
        f"{float(inches / 12):g} lineal ft",
    ]
    parts.append(money(cost) if cost is not None else "not every price is known")
    known = [line.cost for order in orders for line in order.lines if line.cost is not None]
    least = sum(known, Fraction(0))
    if budget is not None and cost is None and least > budget:
        parts.append(
            f"those known alone come to {money(least)}, OVER the budget of {money(budget)}"
        )
    if budget is not None and cost is not None:
        rest = budget - cost
        parts.append(
            f"{money(abs(rest))} {'under' if rest >= 0 else 'OVER'} the budget of {money(budget)}"
        )
    return " · ".join(parts)


def waiting_shown(plan: SectionPlan) -> str:
    """Return which rows wait for boards that are not here."""
    return ", ".join(f"row {row} ({count})" for row, count in plan.waiting.items())


def on_hold(pieces: int) -> str:
    """Return how many pieces are ordered although they are on hold."""
    return f"{counted(pieces, 'piece')} of it on hold: not cut now, ordered all the same."


def waits_for_it(rows: str) -> str:
    """Return that *rows* wait for boards that are bought."""
    return f"waits for it: {rows}"


def not_ordered(plan: SectionPlan) -> str:
    """Return that pieces of no section are left out of an order."""
    return f"Not in this order, since nobody said of what board: {waiting_shown(plan)}."


# --- reading boards for the rack
# -------------------------------------------------------------------------


def not_a_section(text: str) -> str:
    """Return that *text* names no section."""
    return f"“{text}” is no section. Write it as 2x6, 5/4x6, 4x4 treated or LVL."


def wide_side_first(text: str, usual: Section) -> str:
    """Return the question whether a section was written the wrong way round."""
    return f"“{text}” has the wide side first: is it {usual}? Write it so."


def feet_or_inches(text: str) -> str:
    """Return the question whether a bare number is feet."""
    return (
        f"“{text}” may be {text} ft or {text} in. Write it as {text}' or {text}\", "
        "or settle it for good with the setting bare_boards."
    )


def not_a_length(text: str) -> str:
    """Return that *text* is no length of a board."""
    return f"“{text}” is no length. Write it {LENGTH_IN_FEET}."


def not_a_count(text: str) -> str:
    """Return that *text* is no number of boards."""
    return f"“{text}” is no count. Write a whole number, 1 or more."


def not_a_price(text: str) -> str:
    """Return that *text* is no price."""
    return f"“{text}” is no price. Write it as 12.50."


def not_a_bad_part(text: str) -> str:
    """Return that *text* names no part of a board."""
    return f"“{text}” is no bad part. Write it as 40 to 52."


def wrong_head_line(needed: Sequence[str], optional: Sequence[str], names: Sequence[str]) -> str:
    """Return what the head line of a CSV has to have."""
    has = ", ".join(names) or "nothing"
    parted = (
        " Its columns are parted by semicolons or tabs: part them by commas."
        if len(names) == 1 and (";" in names[0] or "\t" in names[0])
        else ""
    )
    return (
        f"The head line needs {', '.join(needed)}, and may have {', '.join(optional)}; it has {has}.{parted}"  # noqa: E501 - a sentence or markup
        " Nothing was put on the rack."
    )


def wrong_line(number: int, why: str) -> str:
    """Return which line of a CSV cannot be read."""
    return f"Line {number} cannot be read: {why} Nothing was put on the rack."


TOO_MANY_LINES = "there are more than {most} lines."
OTHER_COLUMNS = "it has another number of columns than the head line."


def already_there(lines: int) -> str:
    """Return the question whether the same boards come a second time."""
    what = "this line is" if lines == 1 else f"all {lines} lines are"
    return (
        f"As {what} on the rack already, nothing was added. “--again” puts them on a second time."
    )


def not_a_kerf(whole: str, one: str, two: str, kerf: str) -> str:
    """Return that three lengths make no kerf."""
    return f"{whole} less {one} and {two} leaves {kerf}: a kerf is more than nothing and at most 1 in. Measure again."  # noqa: E501 - a sentence or markup


def unreadable(file: str, why: str | None) -> str:
    """Return that a file cannot be read."""
    return f"{file} cannot be read: {why or 'it is no text'}. Nothing was put on the rack."


def proving(plan: SectionPlan) -> str:
    """Return the sign of life while a proof is looked for."""
    return f"{section_shown(plan.section)}: looking for a proof …"


def proven_since(plan: SectionPlan) -> str:
    """Return what was proven of a layout after it was shown."""
    return f"{section_shown(plan.section)}: {standing_shown(plan)}."


def planning(pieces: int) -> str:
    """Return the sign of life while boards are planned."""
    return f"Planning boards for {pieces} pieces …"
