"""All sites on one page: the order with its chart, the hand-off; HTML that needs no network.

The parts of a page hold no style and no script, so that a server may forbid both in a page.
"""

from __future__ import annotations

import html
import re
from collections.abc import Iterable, Mapping, Sequence

from cutmemo.memo import Projection
from cutmemo.office.sites import on_the_way
from cutmemo.office.yard import sum_of
from cutmemo.present.board_page import Heading
from cutmemo.present.day_chart import chart_as_svg, shown
from cutmemo.present.handoff import Part, day_as_text, handoff_parts
from cutmemo.present.office import Days, OfficeOrder, held_lines, order_rows
from cutmemo.wording import handoff
from cutmemo.wording import office_yard as words
from cutmemo.wording.boards import section_shown, waits_for_it
from cutmemo.wording.lengths import board_length

STYLE = """
@page{size:letter;margin:12mm}
*{box-sizing:border-box}
body{font:11pt/1.35 sans-serif;margin:0 auto;max-width:196mm;padding:4mm;color:#000;background:#fff}
h1{font-size:17pt;margin:0}h2{font-size:13pt;margin:14pt 0 4pt;border-bottom:1.2pt solid #000;
break-after:avoid}h3{font-size:11pt;margin:8pt 0 2pt;break-after:avoid}
p{margin:2pt 0}.small{font-size:9pt}.total{font-weight:bold;margin-top:6pt}
.wide{overflow-x:auto}
table{border-collapse:collapse;width:100%;font-size:10pt}
th,td{border-bottom:.5pt solid #888;padding:2pt 6pt 2pt 0;text-align:left;vertical-align:top}
th{border-bottom:1pt solid #000}.n{text-align:right}
tr{break-inside:avoid}.l{white-space:nowrap}
.rows th{width:12mm;padding-right:4mm;border-bottom:.5pt solid #888}
ul{padding:0 0 0 14pt;margin:2pt 0}
svg{display:block;max-width:100%;height:auto;margin:4pt 0}
section{break-inside:avoid-page}
"""
START = (
    "<!doctype html><html lang='en'><head><meta charset='utf-8'>"
    "<meta name='viewport' content='width=device-width'>"
)
"""Of a page, up to its title."""
_LENGTH = re.compile(r"((?:\d+&#x27; )?\d+-\d+/\d+(?:&quot;)?)")
"""A mixed number, which must not come apart at its dash."""
_PIECES = (words.CALLED, words.CUT, words.TROUBLE)
_NUMBERS = frozenset(
    ("count", "needed", "price", "cost", "boards", "lineal ft", "board ft", "waste", *_PIECES)
)
"""Columns that hold numbers."""


def order_page(order: OfficeOrder, days: Days, heading: Heading) -> str:
    """Return the order of all sites as a page: tables, what is left over, and the chart of days."""
    return _page(heading, order_parts(order, days))


def order_parts(order: OfficeOrder, days: Days) -> list[str]:
    """Return the parts of such a page, in order."""
    needs = [need for need in order.needs if need.order.lines or need.without]
    apart = sum_of(order.by_site)
    parts = [
        f"<h2>{_safe(words.ORDER)}: {_safe(_layout(order).lower())}</h2>",
        _table(words.ORDER, words.COLUMNS, order_rows(order)) if needs else _p(words.NOTHING_SHORT),
        _p(words.sum_shown(words.IN_ALL, order.total), "total") if needs else "",
        _p(words.saved(order.total, apart))
        if needs and not order.apart and len(order.sites) > 1
        else "",
    ]
    for need in needs:
        notes = [*words.carried(need)]
        notes += [words.no_board(each, need.settings) for each in need.without]
        waits = waits_for_it(words.waiting(need.waits)) if need.waits else ""
        parts.append(
            f"<section><h3>{_safe(words.need_head(need))}</h3>"
            f"{_list([each for each in (waits, *notes) if each])}</section>"
        )
    if len(order.sites) > 1:
        parts += [f"<h2>{_safe(words.BY_SITE.capitalize())}</h2>", _sites(order)]
    parts += [
        *_if(words.LEFT_OVER, _left(order) if order.left else ""),
        *_if(
            words.ON_THE_WAY,
            _list(
                [
                    words.on_the_way(move, order.sites[0].state.settings)
                    for move in on_the_way(order.sites)
                ]
            ),
        ),
        *_if(words.ON_HOLD, _list(held_lines(order))),
        *_if(words.LEFT_OUT, _list([words.not_ordered(each) for each in order.left_out])),
        f"<h2>{_safe(words.DAYS)}</h2>",
        *_days(days),
        _p(words.ESTIMATE, "small"),
    ]
    return parts


def handoff_page(memos: Mapping[str, Projection], day: str, heading: Heading) -> str:
    """Return the hand-off of every site on *day*, by its name, on one page."""
    every = (site_parts(name, memo, day) for name, memo in memos.items())
    return _page(heading, [part for parts in every for part in parts])


def site_parts(name: str, memo: Projection, day: str) -> list[str]:
    """Return the parts of such a page about one site."""
    found = [_part(part) for part in handoff_parts(memo, day)]
    head, *lines = (day_as_text(memo, day, handoff.TODAY) or handoff.NOTHING_TODAY).split("\n")
    done = f"<section><h3>{_safe(head)}</h3>{_list([line.strip() for line in lines])}</section>"
    return [f"<h2>{_safe(name)}</h2>", *found, done]


def _part(part: Part) -> str:
    """Return one part of a hand-off; the number stands apart, so that none runs into a length."""
    rows = "".join(
        f"<tr><th scope=row class=n>{_safe(number)}</th><td>{_safe(said)}</td></tr>"
        for number, said in part.lines
    )
    return f"<section><h3>{_safe(part.head)}</h3><table class=rows>{rows}</table></section>"


def _layout(order: OfficeOrder) -> str:
    return words.BY_SITE if order.apart else words.TOGETHER


def _safe(text: str) -> str:
    """Return *text* as HTML in which no length is broken at the end of a line."""
    return _LENGTH.sub(r"<span class=l>\1</span>", html.escape(text))


def _p(text: str, look: str = "") -> str:
    return f"<p{f' class={look}' if look else ''}>{_safe(text)}</p>"


def _if(head: str, body: str) -> list[str]:
    return [f"<h2>{_safe(head.capitalize())}</h2>", body] if body else []


def _list(lines: Sequence[str]) -> str:
    return f"<ul>{''.join(f'<li>{_safe(line)}</li>' for line in lines)}</ul>" if lines else ""


def _table(name: str, columns: Sequence[str], rows: Iterable[Sequence[str]]) -> str:
    """Return a table that is scrolled sideways where it is too wide, by keys too."""
    look = ["class=n" if name in _NUMBERS else "" for name in columns]
    head = "".join(
        f"<th scope=col {kind}>{_safe(name)}</th>" for name, kind in zip(columns, look, strict=True)
    )
    body = "".join(
        "<tr>"
        + "".join(f"<td {kind}>{_safe(cell)}</td>" for cell, kind in zip(row, look, strict=True))
        + "</tr>"
        for row in rows
    )
    return (
        f"<div class=wide tabindex=0 role=group aria-label='{_safe(name)}'>"
        f"<table><thead><tr>{head}</tr></thead><tbody>{body}</tbody></table></div>"
    )


def _sites(order: OfficeOrder) -> str:
    rows = []
    for site in order.sites:
        found = sum_of(need for need in order.by_site if need.sites == (site.name,))
        rows.append(
            (
                site.name,
                str(found.boards),
                words.feet(found.inches),
                f"{float(found.board_feet):.1f}",
                words.NOT_KNOWN if found.cost is None else words.cost_shown(found.cost),
                f"{words.feet(found.waste)} ft",
            )
        )
    return _table(words.BY_SITE.capitalize(), words.SITE_COLUMNS, rows)


def _left(order: OfficeOrder) -> str:
    return _table(
        words.LEFT_OVER.capitalize(),
        words.LEFT_COLUMNS,
        (
            (
                each.site,
                section_shown(each.section),
                board_length(each.inches, order.settings_of(each.site)),
                str(each.count),
                words.left_kind(each),
            )
            for each in order.left
        ),
    )


def _days(days: Days) -> list[str]:
    if not days:
        return [_p(words.NO_DAYS)]
    columns = (words.DAY, *_PIECES)
    rows = [(day, str(d.called), str(d.cut), str(d.trouble)) for day, d in shown(days)]
    return [chart_as_svg(days), _table(words.DAYS, columns, rows)]


def _page(top: Heading, parts: Iterable[str]) -> str:
    start = (
        f"{START}<title>{_safe(top.title)}</title><style>{STYLE}</style></head><body>"
        f"<h1>{_safe(top.title)}</h1><p>{_safe(top.facts)}</p>"
    )
    return "\n".join([start, *filter(None, parts), "</body></html>"])
