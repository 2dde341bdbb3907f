"""The order of all sites as text, as CSV and as plain values for JSON."""

from __future__ import annotations

import csv
import io
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import groupby
from typing import Any

from cutmemo.domain.settings import Settings
from cutmemo.office.lines import Day
from cutmemo.office.sites import LeftOut, Site, left_out, on_hold, on_the_way
from cutmemo.office.yard import Layouts, Left, Need, Sum, left_over, sum_of
from cutmemo.present.cells import csv_cell
from cutmemo.present.loads import goods_as_plain
from cutmemo.wording import office_yard as words
from cutmemo.wording.boards import money, order_line, section_shown, waits_for_it
from cutmemo.wording.lengths import board_length

Days = Mapping[str, Day]
"""Pieces by day, as ``2026-05-04``."""


@dataclass(frozen=True)
class OfficeOrder:
    """What all sites lack on one day, laid out."""

    layouts: Layouts
    day: str
    """Today, as ``2026-05-04``: a site that was not heard from since yesterday is named."""
    apart: bool = False
    """True for site by site."""

    @property
    def sites(self) -> tuple[Site, ...]:
        """Return the sites."""
        return self.layouts.sites

    @property
    def by_site(self) -> list[Need]:
        """Return the needs of each site by itself."""
        return self.layouts.by_site

    @property
    def needs(self) -> list[Need]:
        """Return the needs, laid out as wanted."""
        return self.layouts.by_site if self.apart else self.layouts.together

    @cached_property
    def left(self) -> list[Left]:
        """Return what is left over where."""
        return left_over(self.sites, self.needs)

    @cached_property
    def left_out(self) -> list[LeftOut]:
        """Return what is in no order."""
        return left_out(self.sites, self.day)

    @property
    def total(self) -> Sum:
        """Return what everything comes to."""
        return sum_of(self.needs)

    def settings_of(self, site: str) -> Settings:
        """Return the settings of one site, for its figures."""
        return next(each.state.settings for each in self.sites if each.name == site)


def order_as_text(order: OfficeOrder) -> str:
    """Return the order, what it leaves where, and what it leaves out."""
    parts = [_needs(order), _left(order)]
    moves = [
        words.on_the_way(move, order.sites[0].state.settings) for move in on_the_way(order.sites)
    ]
    parts.append(_list(words.ON_THE_WAY, moves))
    parts.append(_list(words.ON_HOLD, held_lines(order)))
    parts.append(_list(words.LEFT_OUT, [words.not_ordered(each) for each in order.left_out]))
    return "\n\n".join(part for part in parts if part)


def held_lines(order: OfficeOrder) -> list[str]:
    """Return what of the order is on hold, a line a site."""
    return [words.held(site, pieces) for site, pieces in on_hold(order.sites).items()]


def _list(head: str, lines: Sequence[str]) -> str:
    return "\n".join([head, *(f"  {line}" for line in lines)]) if lines else ""


def _needs(order: OfficeOrder) -> str:
    lines = [words.BY_SITE if order.apart else words.TOGETHER]
    shown = [need for need in order.needs if need.order.lines or need.without]
    if not shown:
        return words.NOTHING_SHORT
    for site, needs in groupby(shown, key=lambda need: need.sites[0] if order.apart else ""):
        several = list(needs)
        for need in several:
            lines += need_lines(need)
        if order.apart and len(several) > 1:
            lines.append(words.sum_shown(site, sum_of(several)))
    lines.append(words.sum_shown(words.IN_ALL, order.total))
    if not order.apart and len(order.sites) > 1:
        lines.append(words.saved(order.total, sum_of(order.by_site)))
    return "\n".join(lines)


def need_lines(need: Need) -> list[str]:
    """Return what one section comes to, a line each."""
    settings = need.settings
    lines = [words.need_head(need)]
    lines += [f"  {order_line(line, settings)}" for line in need.order.lines]
    if len(need.racks) > 1 and need.deliveries:
        lines.append(f"  {words.delivered(need.deliveries, settings)}")
    lines += [f"  {each}" for each in words.carried(need)]
    if need.waits:
        lines.append(f"  {waits_for_it(words.waiting(need.waits))}")
    return [*lines, *(f"  ! {words.no_board(each, settings)}" for each in need.without)]


def _left(order: OfficeOrder) -> str:
    lines = []
    for site, some in groupby(order.left, key=lambda each: each.site):
        settings = order.settings_of(site)
        lines.append(f"{site}: " + "; ".join(words.left_shown(each, settings) for each in some))
    return _list(words.LEFT_OVER, lines)


# --- for other programs ---------------------------------------------------------------------------


def order_rows(order: OfficeOrder) -> list[tuple[str, ...]]:
    """Return the order as a table with :data:`words.COLUMNS`, a row a section and length."""
    rows: list[tuple[str, ...]] = []
    for need in order.needs:
        for line in need.order.lines:
            here = [each for each in need.deliveries if each.inches == line.inches]
            rows.append(
                (
                    section_shown(need.section),
                    words.sites_shown(need.sites),
                    board_length(line.inches, need.settings),
                    str(line.count),
                    str(line.needed),
                    "" if line.price is None else money(line.price),
                    "" if line.cost is None else money(line.cost),
                    "; ".join(f"{each.count} to {each.site}" for each in here),
                )
            )
    return rows


def order_as_csv(order: OfficeOrder) -> str:
    """Return the order as CSV: a line a section and length, cells that no spreadsheet runs."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(words.COLUMNS)
    writer.writerows([csv_cell(cell) for cell in row] for row in order_rows(order))
    return out.getvalue().rstrip("\n")


def order_as_plain(order: OfficeOrder, days: Days | None = None) -> dict[str, Any]:
    """Return all of it as JSON values; lengths exact as text, in inches."""
    return {
        "layout": "by site" if order.apart else "together",
        "day": order.day,
        "needs": [_need_as_plain(need) for need in order.needs],
        "sum": _sum_as_plain(order.total),
        "by_site": {
            each.name: _sum_as_plain(
                sum_of(need for need in order.by_site if need.sites == (each.name,))
            )
            for each in order.sites
        },
        "left": [
            {
                "site": each.site,
                "section": section_shown(each.section),
                "inches": str(each.inches),
                "count": each.count,
                "whole": each.whole,
            }
            for each in order.left
        ],
        "on_its_way": [
            {"from": move.sender, "to": move.to, "left_at": move.at, **goods_as_plain(move.goods)}
            for move in on_the_way(order.sites)
        ],
        "on_hold": on_hold(order.sites),
        "left_out": [
            {name: getattr(each, name) for name in each.__slots__} for each in order.left_out
        ],
        "days": {
            day: {"called": each.called, "cut": each.cut, "trouble": each.trouble}
            for day, each in sorted((days or {}).items())
        },
    }


def _sum_as_plain(found: Sum) -> dict[str, Any]:
    return {
        "boards": found.boards,
        "inches": str(found.inches),
        "board_feet": str(found.board_feet),
        "cost": None if found.cost is None else str(found.cost),
        "waste": str(found.waste),
        "pieces": found.pieces,
    }


def _need_as_plain(need: Need) -> dict[str, Any]:
    order = need.order
    return {
        "section": section_shown(need.section),
        "sites": list(need.sites),
        "proven": need.proven,
        "lines": [
            {
                "inches": str(line.inches),
                "count": line.count,
                "needed": line.needed,
                "price": None if line.price is None else str(line.price),
                "cost": None if line.cost is None else str(line.cost),
            }
            for line in order.lines
        ],
        "cost": None if order.cost is None else str(order.cost),
        "pieces": order.pieces,
        "waste": str(need.waste),
        "deliver": [
            {"site": each.site, "inches": str(each.inches), "count": each.count}
            for each in need.deliveries
        ],
        "carry": [
            {
                "from": each.sender,
                "to": each.to,
                "inches": str(each.inches),
                "count": each.count,
            }
            for each in need.carried
        ],
        "waiting": [
            {"site": each.site, "row": each.row, "count": each.count} for each in need.waits
        ],
        "without": [
            {
                "site": each.site,
                "row": each.row,
                "count": each.count,
                "inches": str(each.inches),
            }
            for each in need.without
        ],
    }
