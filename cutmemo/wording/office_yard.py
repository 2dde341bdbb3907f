"""The office's order in words: what all sites lack, what goes where, what is left out."""

from __future__ import annotations

from collections.abc import Iterable
from fractions import Fraction
from itertools import groupby

from cutmemo.domain.settings import Settings
from cutmemo.memo.moves import Move
from cutmemo.office.sites import LeftOut
from cutmemo.office.yard import Delivery, Left, Need, Sum, Waits
from cutmemo.wording.boards import counted, money, section_shown
from cutmemo.wording.lengths import board_length, inches_shown
from cutmemo.wording.loads import goods_shown

TOGETHER, BY_SITE = "ALL SITES TOGETHER", "SITE BY SITE"
LEFT_OVER = "LEFT OVER, once this is cut"
ON_THE_WAY = "ON ITS WAY, on no rack and in no order"
LEFT_OUT = "NOT IN THIS ORDER"
ON_HOLD = "IN THIS ORDER, though on hold"
IN_ALL = "In all"
NOTHING_SHORT = "No site lacks anything."
NO_SITES = "The office knows no site yet."
ORDER_PAGE, HANDOFF_PAGE = "Order of all sites", "Hand-off of all sites"
ORDER, SECTIONS, DAYS = "What the yard has to bring", "By section", "Pieces by day"
CALLED, CUT, TROUBLE, DAY = "called", "cut", "in trouble", "day"
NOT_KNOWN = "not known"
NO_DAYS = "Nothing was called or cut yet."
ESTIMATE = (
    "Arithmetic only: what is called so far, laid onto boards. Plans, local code, the inspector, "
    "a licensed designer and the saw's manual govern."
)
COLUMNS = ("section", "sites", "length", "count", "needed", "price", "cost", "deliver")
"""Of the order as a table."""
LEFT_COLUMNS = ("site", "section", "length", "count", "kind")
SITE_COLUMNS = ("site", "boards", "lineal ft", "board ft", "cost", "waste")


READING = "All sites are being read …"
NAV, DOWNLOAD = "Views", "Download as CSV"
VIEWS = (("/", "All sites together"), ("/by-site", "Site by site"), ("/handoff", "Hand-off"))
"""Of the page in a browser: where each is, and its name."""
LOST = "No answer: this page shows what was last. It tries again by itself."
TOO_MANY_PAGES = "Too many pages are open. Close one."


def as_of(at: str) -> str:
    """Return of which time of day a page is."""
    return f"As of {at}. It renews itself."


def laid_so_far(done: int, every: int) -> str:
    """Return how far the laying is."""
    return laid(min(100 * done // every, 99))


def sites_shown(names: Iterable[str]) -> str:
    """Return several sites."""
    return ", ".join(names)


def feet(inches: Fraction) -> str:
    """Return *inches* as lineal feet, to a tenth."""
    return f"{float(inches / 12):,.1f}".removesuffix(".0")


def share(part: Fraction, whole: Fraction) -> str:
    """Return a part in percent."""
    return f"{float(100 * part / whole):.0f} %" if whole else "0 %"


def cost_shown(cost: Fraction | None) -> str:
    """Return what something costs, or that this is not known."""
    return "not every price is known" if cost is None else money(cost)


def need_head(need: Need) -> str:
    """Return one line about a section at some sites."""
    order = need.order
    board_feet = order.board_feet
    bought = sum((line.inches * line.needed for line in order.lines), Fraction(0))
    parts = [
        f"{section_shown(need.section)}, {sites_shown(need.sites)}: "
        f"{counted(order.boards, 'board')} for {counted(order.pieces, 'piece')}",
        f"{feet(order.inches)} lineal ft",
        *([f"{float(board_feet):.1f} board ft"] if board_feet else []),
        *([money(order.cost)] if order.cost is not None and order.lines else []),
        *([f"waste {share(need.waste, bought)}"] if order.lines else []),
        *(["proven best"] if need.proven else []),
    ]
    return " · ".join(parts)


def delivered(deliveries: Iterable[Delivery], settings: Settings) -> str:
    """Return what goes to which site."""
    sites = groupby(deliveries, key=lambda each: each.site)
    return " · ".join(
        f"to {site}: "
        + ", ".join(f"{each.count} × {board_length(each.inches, settings)}" for each in some)
        for site, some in sites
    )


def carried(need: Need) -> list[str]:
    """Return which pieces come off boards of one site and are for another."""
    return [
        f"cut at {each.sender} for {each.to}: "
        f"{each.count} × {inches_shown(each.inches, need.settings)}"
        for each in need.carried
    ]


def waiting(waits: Iterable[Waits]) -> str:
    """Return which rows of which site wait for boards."""
    found: dict[str, dict[int, int]] = {}
    for each in waits:
        rows = found.setdefault(each.site, {})
        rows[each.row] = rows.get(each.row, 0) + each.count
    return "; ".join(
        f"{site} " + ", ".join(f"row {row} ({count})" for row, count in sorted(rows.items()))
        for site, rows in sorted(found.items())
    )


def no_board(each: Waits, settings: Settings) -> str:
    """Return that no board is there or sold for some pieces."""
    return (
        f"{each.site}, row {each.row}: no board is long enough, or left, for "
        f"{each.count} × {inches_shown(each.inches, settings)}."
    )


def sum_shown(name: str, found: Sum) -> str:
    """Return what several sections come to."""
    return " · ".join(
        [
            f"{name}: {counted(found.boards, 'board')} for {counted(found.pieces, 'piece')}",
            f"{feet(found.inches)} lineal ft",
            f"{float(found.board_feet):.1f} board ft",
            cost_shown(found.cost),
            f"waste {feet(found.waste)} ft",
        ]
    )


def saved(together: Sum, apart: Sum) -> str:
    """Return what laying out all sites together saves against site by site."""
    boards, inches = apart.boards - together.boards, apart.inches - together.inches
    less = [
        counted(boards, "board") if boards > 0 else "",
        f"{feet(inches)} lineal ft" if inches > 0 else "",
    ]
    if together.cost is not None and apart.cost is not None and apart.cost > together.cost:
        less.insert(0, money(apart.cost - together.cost))
    saves = ", ".join(each for each in less if each) or "nothing"
    return f"Site by site it is {counted(apart.boards, 'board')}: together saves {saves}."


def left_shown(left: Left, settings: Settings) -> str:
    """Return what is left over of one length."""
    kind = "" if left.whole else ", left-over"
    return (
        f"{left.count} × {section_shown(left.section)} of "
        f"{board_length(left.inches, settings)}{kind}"
    )


def left_kind(left: Left) -> str:
    """Return what kind of boards is left."""
    return "whole" if left.whole else "left-over"


def on_the_way(move: Move, settings: Settings) -> str:
    """Return one load that has left a site and arrived at none."""
    left = move.at[:16].replace("T", " ")
    return (
        f"{move.sender} to {move.to}: {goods_shown(move.goods, settings)}, left {left}, {move.who}"
    )


def not_ordered(out: LeftOut) -> str:
    """Return what of one site no order holds, and why."""
    reasons = [
        f"{counted(out.asked, 'piece')} in open questions" if out.asked else "",
        f"{counted(out.unsized, 'piece')} without a size" if out.unsized else "",
        f"all of its {counted(out.too_many, 'piece')}, too many to lay" if out.too_many else "",
        f"{counted(out.unread, 'entry', 'entries')} that cannot be read" if out.unread else "",
        f"what came after {out.silent_since[:16].replace('T', ' ')}: not heard from since"
        if out.silent_since
        else "",
    ]
    return f"{out.site}: " + ", ".join(each for each in reasons if each)


def held(site: str, pieces: int) -> str:
    """Return how many pieces of a site are ordered although they are on hold."""
    return f"{site}: {counted(pieces, 'piece')}"


def laying(pieces: int, sites: int) -> str:
    """Return the sign of life while boards are laid."""
    return f"Laying {pieces} pieces of {counted(sites, 'site')} onto boards …"


def laid(percent: int) -> str:
    """Return how far the laying is."""
    return f"{percent} % is laid."


def written(file: str) -> str:
    """Return where a page was written."""
    return f"Written: {file}"


def handed_over(events: int, sites: int) -> str:
    """Return how many entries about loads were passed on between memos."""
    return f"{counted(events, 'entry', 'entries')} about loads passed on between {sites} memos."


def chart_told(days: int) -> str:
    """Return what the chart shows, for who cannot see it."""
    return f"Bars by day, {counted(days, 'day')}: pieces called, cut and in trouble."
