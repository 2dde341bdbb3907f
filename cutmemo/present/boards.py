"""Draws boards with their cuts to scale: as text, as CSV, and as a page to print with a picture of each board."""

from __future__ import annotations

import csv
import html
import io
from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Any

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.planning import Board, Piece, Rack, SectionPlan, Wanted
from cutmemo.wording.lengths import board_length, inches_shown

WIDTH = 64
"""Columns that the longest board of a section takes."""
COLUMNS = (
    "section",
    "board",
    "board length",
    "from",
    "piece",
    "row",
    "length",
    "first mark",
    "cut at",
    "left over",
    "for",
)
NO_SECTION = "board not said"
CAUTION = (
    "Guards work, hands 6 in. or more from the blade, eyes and ears protected, never freehand. "
    "Arithmetic only: plans, local code, the inspector, a licensed designer and the saw's manual govern."
)


def section_shown(section: Section | None) -> str:
    """Return the section, or that none was said."""
    return str(section) if section is not None else NO_SECTION


def board_shown(board: Board, settings: Settings) -> str:
    """Return which board it is."""
    length = board_length(board.inches, settings)
    if board.lot is None:
        return f"to buy {length}"
    stretch = (
        f", the sound part from {inches_shown(board.start, settings)} on, marks from there"
        if board.start
        else ""
    )
    return f"{'left-over' if board.lot.leftover else 'rack'} {board.lot.number}: {length}{stretch}"


def standing(plan: SectionPlan) -> str:
    """Return how good the layout is known to be."""
    if plan.proven:
        return "proven best"
    if plan.over:
        return f"within {100 * float(plan.over):.2g} % of the bound"
    return "least board proven, fewest boards not"


def head(plan: SectionPlan, settings: Settings) -> str:
    """Return one line about a section."""
    boards = len(plan.boards)
    parts = [
        section_shown(plan.section),
        f"{plan.pieces} pieces on {boards} board{'' if boards == 1 else 's'}",
    ]
    if plan.boards:
        parts.append(standing(plan))
        kept, waste = plan.kept(settings.leftover), plan.waste(settings.leftover)
        parts.append(
            f"left-overs {inches_shown(kept, settings)}, waste {inches_shown(waste, settings)}"
        )
        prices = [
            board.lot.price
            for board in plan.boards
            if board.lot is not None and board.lot.price is not None
        ]
        parts += [f"rack boards worth {float(sum(prices)):.2f}"] if prices else []
    return " · ".join(parts)


def drawn(board: Board, longest: Fraction, width: int = WIDTH) -> str:
    """Return the board as one line of boxes to scale: pieces with their rows, ``░`` what is left over, ``╳`` what the saw eats."""

    def column(inches: Fraction) -> int:
        return round(inches * width / longest)

    line = ["╳"] * max(column(board.inches), 2 * len(board.pieces) + 1)
    for piece in board.pieces:
        begin = min(column(piece.start), len(line) - 1)
        end = max(begin + 1, min(column(piece.end), len(line)))
        line[begin:end] = list(f"├{str(piece.row).center(end - begin - 1, '─')}"[: end - begin])
    rest = column(board.inches - board.left)
    for k in range(rest, len(line)):
        line[k] = "░"
    return "".join(line)


def cautions_of(board: Board, settings: Settings) -> list[str]:
    """Return what to mind before cutting this board."""
    short = [piece for piece in board.pieces if piece.inches < settings.shortest]
    out = [
        f"{inches_shown(piece.inches, settings)} is short for hands: clamp it, or cut it while the board is long."
        for piece in short
    ]
    if 0 < board.left < settings.shortest and board.pieces:
        out.append(
            f"The end left over, {inches_shown(board.left, settings)}, is short: clamp the board before the last cut."
        )
    return list(dict.fromkeys(out))


def boards_as_text(plans: Iterable[SectionPlan], settings: Settings) -> str:
    """Return all boards to read at the saw. Marks run from one end, kerf counted, so that errors do not add up."""
    lines: list[str] = []
    for plan in plans:
        lines.append(head(plan, settings))
        longest = max((board.inches for board in plan.boards), default=Fraction(1))
        for number, board in enumerate(plan.boards, start=1):
            left = f"   left over {inches_shown(board.left, settings)}" if board.left else ""
            lines += [
                "",
                f"  {number}. {board_shown(board, settings)}{left}",
                f"     {drawn(board, longest)}",
            ]
            lines += [f"     [ ] {_piece(piece, settings)}" for piece in board.pieces]
            lines += [f"     ! {caution}" for caution in cautions_of(board, settings)]
        lines += [f"  ! {_too_long(wanted, settings)}" for wanted in plan.too_long]
        lines.append("")
    return "\n".join(lines).rstrip()


def _too_long(wanted: Wanted, settings: Settings) -> str:
    return f"row {wanted.row}: {inches_shown(wanted.inches, settings)} is longer than any board."


def _piece(piece: Piece, settings: Settings) -> str:
    label = f"  {piece.label}" if piece.label else ""
    mark = f"from {inches_shown(piece.start, settings)} " if piece.start else ""
    return f"row {piece.row}: {inches_shown(piece.inches, settings)}  {mark}cut at {inches_shown(piece.end, settings)}{label}"


def boards_as_csv(plans: Iterable[SectionPlan], settings: Settings) -> str:
    """Return one line a piece."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for plan in plans:
        for number, board in enumerate(plan.boards, start=1):
            for count, piece in enumerate(board.pieces, start=1):
                last = count == len(board.pieces)
                writer.writerow(
                    [
                        section_shown(plan.section),
                        number,
                        inches_shown(board.inches, settings),
                        board_shown(board, settings),
                        count,
                        piece.row,
                        *(
                            inches_shown(each, settings)
                            for each in (piece.inches, piece.start, piece.end)
                        ),
                        inches_shown(board.left, settings) if last else "",
                        piece.label,
                    ]
                )
    return out.getvalue().rstrip("\n")


_STYLE = (
    "body{font:15px/1.4 sans-serif;margin:18mm;color:#111}h2{margin:1.4em 0 .2em}svg{display:block;max-width:100%}"
    "li{list-style:none;margin:.1em 0}li::before{content:'\\2610';font-size:1.3em;margin-right:.5em}ul{padding:0;margin:.2em 0 1em}"
    ".caution{font-weight:bold}section{break-inside:avoid}"
)


def boards_as_html(plans: Sequence[SectionPlan], settings: Settings, title: str) -> str:
    """Return a page to print: each board drawn to scale, with boxes to tick."""
    parts = [
        f"<!doctype html><html lang='en'><meta charset='utf-8'><title>{html.escape(title)}</title><style>{_STYLE}</style>",
        f"<h1>{html.escape(title)}</h1><p>Best for what is called so far. {html.escape(CAUTION)}</p>",
    ]
    for plan in plans:
        parts.append(f"<h2>{html.escape(head(plan, settings))}</h2>")
        longest = max((board.inches for board in plan.boards), default=Fraction(1))
        for number, board in enumerate(plan.boards, start=1):
            left = f", left over {inches_shown(board.left, settings)}" if board.left else ""
            name = html.escape(board_shown(board, settings) + left)
            parts.append(
                f"<section><b>{number}. {name}</b>{board_as_svg(board, longest, settings)}<ul>"
            )
            parts += [f"<li>{html.escape(_piece(piece, settings))}</li>" for piece in board.pieces]
            parts.append("</ul>")
            parts += [
                f"<p class='caution'>{html.escape(caution)}</p>"
                for caution in cautions_of(board, settings)
            ]
            parts.append("</section>")
        parts += [
            f"<p class='caution'>{html.escape(_too_long(wanted, settings))}</p>"
            for wanted in plan.too_long
        ]
    return "\n".join([*parts, "</html>"])


def board_as_svg(board: Board, longest: Fraction, settings: Settings) -> str:
    """Return the board as a picture to scale, the piece's row and length in each part and its mark under it."""
    scale = Fraction(900) / longest

    def x(inches: Fraction) -> str:
        return f"{float(inches * scale):.1f}"

    def words(text: str, at: Fraction, down: int, size: int, anchor: str) -> str:
        return f"<text x='{x(at)}' y='{down}' text-anchor='{anchor}' font-size='{size}'>{html.escape(text)}</text>"

    shapes = [
        f"<rect x='0' y='6' width='{x(board.inches)}' height='44' fill='#ddd' stroke='#111'/>"
    ]
    for piece in board.pieces:
        middle = (piece.start + piece.end) / 2
        shapes += [
            f"<rect x='{x(piece.start)}' y='6' width='{x(piece.inches)}' height='44' fill='#fff' stroke='#111'/>",
            words(inches_shown(piece.inches, settings), middle, 26, 13, "middle"),
            words(f"row {piece.row}", middle, 43, 11, "middle"),
            words(inches_shown(piece.end, settings), piece.end, 66, 11, "end"),
        ]
    return f"<svg viewBox='-2 0 910 72' width='910' role='img' aria-label='board to scale'>{''.join(shapes)}</svg>"


def rack_as_text(rack: Rack, settings: Settings) -> str:
    """Return what is on the rack, a line each."""
    lines = []
    for lot in rack.lots:
        bad = "".join(
            f" · bad from {inches_shown(begin, settings)} to {inches_shown(end, settings)}"
            for begin, end in lot.bad
        )
        price = f" · {float(lot.price):.2f} each" if lot.price is not None else ""
        kind = " · left-over" if lot.leftover else ""
        length = board_length(lot.inches, settings)
        lines.append(
            f"{lot.number:>4}  {lot.count:>4} × {length:>12}  {section_shown(lot.section)}{kind}{bad}{price}"
        )
    return "\n".join(lines)


def order_as_text(plans: Iterable[SectionPlan], rack: Rack, settings: Settings) -> str:
    """Return what the yard has to bring, by section and length, with lineal feet, board feet and what waits for it.

    Boards cost what such a board on the *rack* cost, where that was said.
    """
    lines = []
    for plan in plans:
        waiting = ", ".join(f"row {row} ({count})" for row, count in plan.waiting.items())
        if plan.section is None:
            lines += (
                [f"Not in this order, since nobody said of what board: {waiting}."]
                if waiting
                else []
            )
            continue
        if plan.order:
            total = sum((inches * count for inches, count in plan.order.items()), Fraction(0))
            feet = plan.section.board_feet(total)
            board_feet = f" · {float(feet):.1f} board ft" if feet else ""
            lines.append(
                f"{plan.section}: {float(total / 12):g} lineal ft{board_feet} · {standing(plan)}"
            )
            for inches, count in plan.order.items():
                price = rack.price_of(plan.section, inches)
                cost = (
                    f"  {float(price * count):.2f} at {float(price):.2f} each"
                    if price is not None
                    else ""
                )
                lines.append(f"  {count:>4} × {board_length(inches, settings)}{cost}")
        lines += [f"  waits for it: {waiting}"] if plan.order else []
        lines += [f"  ! {plan.section}, {_too_long(wanted, settings)}" for wanted in plan.too_long]
    return "\n".join(lines)


def rack_as_plain(rack: Rack) -> list[dict[str, Any]]:
    """Return the rack as JSON values; lengths exact as text, in inches."""
    return [
        {
            "number": lot.number,
            "section": section_shown(lot.section),
            "inches": str(lot.inches),
            "count": lot.count,
            "price": None if lot.price is None else str(lot.price),
            "bad": [[str(begin), str(end)] for begin, end in lot.bad],
            "leftover": lot.leftover,
        }
        for lot in rack.lots
    ]


def boards_as_plain(plans: Iterable[SectionPlan], settings: Settings) -> list[dict[str, Any]]:
    """Return the boards as JSON values; lengths exact as text, in inches."""
    return [
        {
            "section": section_shown(plan.section),
            "proven": plan.proven,
            "standing": standing(plan),
            "order": {str(inches): count for inches, count in plan.order.items()},
            "waiting": {str(row): count for row, count in plan.waiting.items()},
            "too_long": [wanted.row for wanted in plan.too_long],
            "leftovers": str(plan.kept(settings.leftover)),
            "waste": str(plan.waste(settings.leftover)),
            "boards": [
                {
                    "rack": None if board.lot is None else board.lot.number,
                    "start": str(board.start),
                    "inches": str(board.inches),
                    "left": str(board.left),
                    "cautions": cautions_of(board, settings),
                    "pieces": [
                        {
                            "row": p.row,
                            "inches": str(p.inches),
                            "start": str(p.start),
                            "cut_at": str(p.end),
                            "for": p.label,
                        }
                        for p in board.pieces
                    ],
                }
                for board in plan.boards
            ],
        }
        for plan in plans
    ]
