"""Boards on paper: a page to work from and labels to cut out, as HTML that a browser prints or saves as PDF."""  # noqa: E501 - one sentence

from __future__ import annotations

import html
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from fractions import Fraction
from itertools import groupby

from cutmemo.domain.settings import Settings
from cutmemo.memo.rows import Row
from cutmemo.planning import Board, Lot, SectionPlan
from cutmemo.planning.order import Order
from cutmemo.present.boards import left_out, look, not_settled
from cutmemo.wording.boards import (
    BEST_SO_FAR,
    BUY,
    CAUTION,
    NOTHING_SHORT,
    PICTURE,
    PULL,
    board_shown,
    boards_named,
    cautions_of,
    head,
    notes_of,
    order_head,
    order_line,
    order_total,
    piece_on_paper,
    place_of,
    pull_shown,
    waiting_shown,
    waits_for_it,
)
from cutmemo.wording.lengths import inches_shown

DRAWN = 340
"""Units that the longest board of a section is drawn in."""

_STYLE = """
@page{size:letter;margin:11mm}
*{box-sizing:border-box}
body{font:9.5pt/1.28 sans-serif;margin:0 auto;max-width:196mm;color:#000}
h1{font-size:15pt;margin:0}h2{font-size:11pt;margin:8pt 0 3pt;border-bottom:1pt solid #000;break-
after:avoid}
h3{font-size:9.5pt;margin:4pt 0 0}
.facts{margin:1pt 0 4pt}.small{font-size:7.5pt}
.lists{display:flex;gap:10mm}.lists>div{flex:1}
.lists ul{columns:1}
.boards{columns:2;column-gap:6mm}
section{break-inside:avoid;padding:1pt 0 3pt;border-bottom:.4pt solid #999}
svg{display:block;width:100%;height:auto}
ul{padding:0;margin:1pt 0}li{list-style:none}
.box{font-size:11pt;line-height:9pt;letter-spacing:1pt}
.caution{margin:1pt 0;font-weight:bold}
.labels{display:grid;grid-template-columns:repeat(3,1fr)}
.label{height:25.4mm;padding:2mm 3mm;border:.3pt dashed #777;break-inside:avoid;overflow:hidden}
.label b{font-size:16pt;line-height:1.1;display:block}
"""


@dataclass(frozen=True, slots=True)
class Heading:
    """What stands at the head of a page."""

    title: str
    job: str = ""
    date: str = ""
    who: str = ""

    @property
    def facts(self) -> str:
        """Return job, date and person in one line."""
        return " · ".join(part for part in (self.job, self.date, self.who) if part)


def boards_as_html(  # noqa: PLR0913 - facts of one problem, named by every caller
    plans: Sequence[SectionPlan],
    settings: Settings,
    heading: Heading | str,
    lots: Sequence[Lot] = (),
    orders: Sequence[tuple[SectionPlan, Order]] = (),
    budget: Fraction | None = None,
) -> str:
    """Return a page to print: what to pull and to buy, then each different board once, to scale, with boxes to tick."""  # noqa: E501 - one sentence
    top = Heading(heading) if isinstance(heading, str) else heading
    return _page(
        top,
        [
            f"<h1>{_safe(top.title)}</h1>",
            f"<p class='facts'>{_safe(top.facts)}</p>" if top.facts else "",
            f"<p class='small'>{_safe(BEST_SO_FAR)} {_safe(CAUTION)}</p>",
            *_summary(plans, settings, lots, orders, budget),
            *(part for plan in plans for part in _section(plan, settings)),
        ],
    )


def labels_as_html(plans: Iterable[SectionPlan], settings: Settings, heading: Heading | str) -> str:
    """Return labels to cut out, one a piece in saw order, thirty on a Letter page."""
    top = Heading(heading) if isinstance(heading, str) else heading
    parts = ["<div class='labels'>"]
    for plan in plans:
        for board in plan.boards:
            for piece in board.pieces:
                where = place_of(plan.section, board.number)
                parts.append(
                    f"<div class='label'><b>{piece.row}: {_safe(inches_shown(piece.inches, settings))}</b>"  # noqa: E501 - a sentence or markup
                    f"{_safe(piece.label)}<br><span class='small'>{_safe(where)}<br>{_safe(top.facts)}</span></div>"  # noqa: E501 - a sentence or markup
                )
    return _page(top, [*parts, "</div>"])


def order_as_html(  # noqa: PLR0913 - facts of one order, named by every caller
    orders: Sequence[tuple[SectionPlan, Order]],
    settings: Settings,
    heading: Heading | str,
    budget: Fraction | None = None,
    plans: Sequence[SectionPlan] = (),
    rows: Iterable[Row] = (),
) -> str:
    """Return the yard's order on a page, what of *plans* waits for it, and what it leaves out.

    Of *rows*, those that ask and those on hold are named.
    """
    top = Heading(heading) if isinstance(heading, str) else heading
    return _page(
        top,
        [
            f"<h1>{_safe(top.title)}</h1>",
            f"<p class='facts'>{_safe(top.facts)}</p>" if top.facts else "",
            *(_order(orders, settings, budget, plans) or [f"<p>{_safe(NOTHING_SHORT)}</p>"]),
            *_cautions(not_settled(plans, rows)),
        ],
    )


def _safe(text: str) -> str:
    return html.escape(text)


def _page(top: Heading, parts: Iterable[str]) -> str:
    start = (
        "<!doctype html><html lang='en'><meta charset='utf-8'>"
        f"<title>{_safe(top.title)}</title><style>{_STYLE}</style>"
    )
    return "\n".join([start, *filter(None, parts), "</html>"])


def _summary(
    plans: Sequence[SectionPlan],
    settings: Settings,
    lots: Sequence[Lot],
    orders: Sequence[tuple[SectionPlan, Order]],
    budget: Fraction | None,
) -> list[str]:
    pulled = [line for plan in plans for line in pull_shown(plan, lots, settings)]
    parts = ["<div class='lists'>"]
    if pulled:
        parts += [f"<div><h3>{_safe(PULL)}</h3>", _ticked(pulled), "</div>"]
    unnamed = [plan for plan in plans if plan.section is None]  # the others are noted where drawn
    if bought := _order(orders, settings, budget, unnamed):
        parts += [f"<div><h3>{_safe(BUY)}</h3>", *bought, "</div>"]
    return [*parts, "</div>"]


def _order(
    orders: Sequence[tuple[SectionPlan, Order]],
    settings: Settings,
    budget: Fraction | None,
    plans: Sequence[SectionPlan],
) -> list[str]:
    """Return what is bought, and what of *plans* is not; nothing where there is neither."""
    parts = []
    for plan, order in orders:
        parts.append(f"<div>{_safe(order_head(order, plan))}</div>")
        parts.append(_ticked([order_line(line, settings).strip() for line in order.lines]))
        parts.append(f"<div class='small'>{_safe(waits_for_it(waiting_shown(plan)))}</div>")
    if orders:
        parts.append(
            f"<div><b>{_safe(order_total([each for _, each in orders], budget))}</b></div>"
        )
    return [*parts, *_cautions(line.strip(" !") for line in left_out(plans, settings))]


def _cautions(lines: Iterable[str]) -> list[str]:
    return [f"<p class='caution small'>{_safe(line)}</p>" for line in lines]


def _ticked(lines: Iterable[str]) -> str:
    return (
        "<ul>"
        + "".join(f"<li><span class='box'>☐</span> {_safe(line)}</li>" for line in lines)
        + "</ul>"
    )


def _section(plan: SectionPlan, settings: Settings) -> Iterator[str]:
    yield f"<h2>{_safe(head(plan, settings))}</h2>"
    for note in notes_of(plan, settings):
        yield f"<p class='caution'>{_safe(note)}</p>"
    yield "<div class='boards'>"
    longest = max((board.inches for board in plan.boards), default=Fraction(1))
    for _, equal in groupby(plan.boards, key=look):
        yield _boards(list(equal), longest, settings)
    yield "</div>"


def _boards(boards: Sequence[Board], longest: Fraction, settings: Settings) -> str:
    board, many = boards[0], len(boards)
    pieces = "".join(
        f"<li><span class='box'>{'☐' * many}</span> {_safe(piece_on_paper(piece, settings))}</li>"
        for piece in board.pieces
    )
    cautions = "".join(_cautions(cautions_of(board, settings)))
    numbers = [each.number for each in boards]
    name = boards_named(numbers, board_shown(board, settings), board.left, settings)
    return (
        f"<section><h3>{_safe(name)}</h3>"
        f"{board_as_svg(board, longest, settings)}<ul>{pieces}</ul>{cautions}</section>"
    )


def board_as_svg(board: Board, longest: Fraction, settings: Settings) -> str:
    """Return the board as a picture to scale: lengths in the pieces, what is left over in grey."""
    scale = Fraction(DRAWN) / longest

    def x(inches: Fraction) -> str:
        return f"{float(inches * scale):.1f}"

    shapes = [
        f"<rect x='0' y='1' width='{x(board.inches)}' height='17' fill='#ccc' stroke='#000'/>"
    ]
    for piece in board.pieces:
        middle = (piece.start + piece.end) / 2
        shown = inches_shown(piece.inches, settings)
        shapes.append(
            f"<rect x='{x(piece.start)}' y='1' width='{x(piece.inches)}' height='17' fill='#fff' stroke='#000'/>"  # noqa: E501 - a sentence or markup
        )
        if float(piece.inches * scale) > 5 * len(shown):
            shapes.append(
                f"<text x='{x(middle)}' y='13' text-anchor='middle' font-size='9'>{_safe(shown)}</text>"  # noqa: E501 - a sentence or markup
            )
    return f"<svg viewBox='-1 0 {DRAWN + 2} 20' role='img' aria-label='{PICTURE}'>{''.join(shapes)}</svg>"  # noqa: E501 - a sentence or markup
