"""What all sites lack, laid out over all of them or site by site: an order whose sums add up.

Pure: from the states of the sites to what the yard has to bring, where it goes, and what is left
over where.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import cached_property

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.office.sites import Site, rows_to_lay, too_many
from cutmemo.planning import BoardPlan, Lot, SectionPlan, Wanted, Yard, plan, wanted_of
from cutmemo.planning.layout import Board
from cutmemo.planning.order import Order, order_of, total_cost
from cutmemo.planning.yard import Price

LAID_TOGETHER = 400
"""So many pieces of a section are laid together: more take many times as long, for little."""


@dataclass(frozen=True, slots=True)
class Waits:
    """Pieces of one row that wait for boards, or that no board is long enough for."""

    site: str
    row: int
    count: int
    inches: Fraction


@dataclass(frozen=True, slots=True)
class Delivery:
    """Boards of one length that one site needs, spare ones left out."""

    site: str
    inches: Fraction
    count: int


@dataclass(frozen=True, slots=True)
class Carried:
    """Pieces that come off the boards of one site and are for another."""

    sender: str
    to: str
    inches: Fraction
    count: int


@dataclass(frozen=True, slots=True)
class Left:
    """Boards or ends of one length that nothing is planned on, and where they are then."""

    site: str
    section: Section | None
    inches: Fraction
    count: int
    whole: bool
    """True for boards that were not begun, false for left-overs."""


@dataclass(frozen=True, slots=True)
class Need:
    """What one section comes to, at sites that buy and saw it alike."""

    section: Section
    sites: tuple[str, ...]
    racks: tuple[str, ...]
    """The sites whose boards were laid, those that ask for nothing among them."""
    settings: Settings
    order: Order
    waste: Fraction
    """What of the boards that are bought ends as sawdust, trim and ends too short to keep, in
    inches."""
    pieces: int
    """How many pieces lie on boards, of the racks or bought."""
    proven: bool
    """Whether nothing costs less and takes fewer boards."""
    deliveries: tuple[Delivery, ...]
    carried: tuple[Carried, ...]
    left: tuple[Left, ...]
    waits: tuple[Waits, ...]
    without: tuple[Waits, ...]
    """Pieces that no board at hand or at the yard is left for."""


@dataclass(frozen=True, slots=True)
class Sum:
    """What several needs come to together."""

    boards: int
    inches: Fraction
    board_feet: Fraction
    cost: Fraction | None
    """``None`` where not every price is known."""
    waste: Fraction
    pieces: int
    """How many pieces come off what is bought."""


def sum_of(needs: Iterable[Need]) -> Sum:
    """Return what *needs* come to."""
    found = list(needs)
    orders = [need.order for need in found]
    return Sum(
        sum(order.boards for order in orders),
        sum((order.inches for order in orders), Fraction(0)),
        sum((order.board_feet for order in orders), Fraction(0)),
        total_cost(orders),
        sum((need.waste for need in found), Fraction(0)),
        sum(order.pieces for order in orders),
    )


@dataclass(frozen=True, slots=True)
class _Asks:
    """What one site asks of one section, and has of it; its ids made its own."""

    site: str
    section: Section
    wanted: tuple[Wanted, ...]
    lots: tuple[Lot, ...]
    kept: tuple[BoardPlan, ...]
    settings: Settings
    yard: Yard
    prices: tuple[Price, ...]

    @property
    def pieces(self) -> int:
        """Return how many pieces are asked for."""
        return sum(each.count for each in self.wanted)

    @property
    def terms(self) -> tuple[object, ...]:
        """Return all that has to be alike for sites to be laid out together."""
        settings, yard = self.settings, self.yard
        saw = (settings.kerf, settings.trim, settings.leftover, settings.longest, settings.shortest)
        sold = replace(yard.of(self.section), prices=())
        return self.section, saw, sold, yard.studs, yard.waste_allowance

    @property
    def paid(self) -> dict[Fraction, Fraction]:
        """Return what boards of each length cost: as the yard asks, else as they cost last."""
        return {inches: price for _, inches, price in reversed(self.prices)} | dict(
            self.yard.of(self.section).prices
        )


def _asks(site: Site) -> list[_Asks]:
    """Return what *site* asks, section by section, and what its rack has of sections it does not
    ask for.
    """
    state = site.state
    rows = [] if too_many(state) else rows_to_lay(state)
    wanted = [wanted_of(row.number, row.id, row.cut, row.left, state.settings) for row in rows]
    rack = state.rack
    sections = [*(each.section for each in wanted), *(lot.section for lot in rack.lots)]
    return [
        _Asks(
            site.name,
            section,
            tuple(each for each in wanted if each.section == section),
            tuple(lot for lot in rack.lots if lot.section == section),
            tuple(board for board in rack.boards if board.section == section),
            state.settings,
            state.yard,
            tuple(price for price in rack.prices if price[0] == section),
        )
        for section in dict.fromkeys(sections)
        if section is not None
    ]


@dataclass(frozen=True, slots=True)
class _Laid:
    """Boards with pieces of one or several sites."""

    boards: tuple[Board, ...] = ()
    proven: bool = True
    deliveries: Counter[tuple[str, Fraction]] = field(default_factory=Counter)
    carried: Counter[tuple[str, str, Fraction]] = field(default_factory=Counter)
    left: Counter[tuple[str, Fraction, bool]] = field(default_factory=Counter)
    waits: tuple[Waits, ...] = ()
    without: tuple[Waits, ...] = ()

    def with_other(self, other: _Laid) -> _Laid:
        """Return both, one beside the other."""
        return _Laid(
            (*self.boards, *other.boards),
            False,
            self.deliveries + other.deliveries,
            self.carried + other.carried,
            self.left + other.left,
            (*self.waits, *other.waits),
            (*self.without, *other.without),
        )


@dataclass(frozen=True)
class Layouts:
    """All sites laid out, site by site and together; each layout is made once, when asked for."""

    sites: tuple[Site, ...]
    laid: Callable[[int], None] = lambda pieces: None
    """Hears how many pieces were laid, again and again."""

    @cached_property
    def _asked(self) -> list[_Asks]:
        return [asks for site in self.sites for asks in _asks(site)]

    @cached_property
    def _alone(self) -> dict[int, _Laid]:
        """Each ask laid by itself, by its identity."""
        return {id(asks): self._lay([asks]) for asks in self._asked}

    def _lay(self, group: Sequence[_Asks]) -> _Laid:
        found = _lay(group)
        self.laid(sum(asks.pieces for asks in group))
        return found

    @cached_property
    def by_site(self) -> list[Need]:
        """Return what each site needs, laid out by itself, section by section."""
        return [_need([asks], self._alone[id(asks)]) for asks in self._asked if asks.wanted]

    @cached_property
    def together(self) -> list[Need]:
        """Return what all sites need, laid out together where they buy and saw alike, in batches
        of at most :data:`LAID_TOGETHER` pieces of a section.

        Pieces of one site may come off boards of another. It never costs more than site by site:
        where the layout found for several does, each of them is laid out by itself.
        """
        needs = []
        for group in _alike(self._asked):
            if any(asks.wanted for asks in group):
                chosen = _beside([self._best(some) for some in _batches(group)])
                both = (self._apart(group), chosen)
                needs.append(min((_need(group, laid) for laid in both), key=_dear))
        return sorted(needs, key=lambda need: (str(need.section), need.sites))

    def _apart(self, group: Sequence[_Asks]) -> _Laid:
        """Return the sites of *group*, each by itself."""
        return _beside([self._alone[id(asks)] for asks in group])

    def _best(self, group: Sequence[_Asks]) -> _Laid:
        """Return the sites of *group* laid together, or apart where that is no dearer."""
        apart = self._apart(group)
        if len(group) == 1:
            return apart
        both = (apart, self._lay(group))
        return min(both, key=lambda laid: _dear(_need(group, laid)))


def _batches(group: Sequence[_Asks]) -> list[list[_Asks]]:
    """Return the sites of *group* in batches of at most so many pieces as are laid together."""
    batches: list[list[_Asks]] = []
    pieces = 0
    for asks in group:
        if not batches or pieces + asks.pieces > LAID_TOGETHER:
            batches.append([])
            pieces = 0
        batches[-1].append(asks)
        pieces += asks.pieces
    return batches


def _beside(every: Sequence[_Laid]) -> _Laid:
    """Return several layouts, one beside the other."""
    first, *others = every
    for laid in others:
        first = first.with_other(laid)
    return first


def _dear(need: Need) -> tuple[object, ...]:
    """Return by what two layouts of the same pieces are compared: what they leave out, then money,
    where every price is known, then length, then boards.
    """
    order = need.order
    without = sum(each.count for each in need.without)
    return without, order.cost is None, order.cost or 0, order.inches, order.boards, need.waste


def _alike(every: Sequence[_Asks]) -> list[list[_Asks]]:
    """Return *every* ask with those of other sites that buy and saw alike: same section, same
    settings, same yard, and no price that contradicts another.
    """
    groups: list[tuple[list[_Asks], dict[Fraction, Fraction]]] = []
    for asks in every:
        paid = asks.paid
        for group, prices in groups:
            same = group[0].terms == asks.terms
            if same and all(prices.get(inches, price) == price for inches, price in paid.items()):
                group.append(asks)
                prices |= paid
                break
        else:
            groups.append(([asks], dict(paid)))
    return [group for group, _ in groups]


def _yard(group: Sequence[_Asks]) -> tuple[Yard, tuple[Price, ...]]:
    """Return what the yard of *group* sells, and all prices that are known there."""
    first = group[0]
    prices = {inches: price for asks in group for inches, price in asks.paid.items()}
    sold = first.yard.of(first.section)
    known = tuple((first.section, inches, price) for inches, price in sorted(prices.items()))
    said = {inches for asks in group for inches, _ in asks.yard.of(first.section).prices}
    asked = tuple((inches, prices[inches]) for inches in sorted(said))
    return first.yard.with_terms(replace(sold, prices=asked)), known


def _lay(group: Sequence[_Asks]) -> _Laid:
    """Return the pieces of all of *group* on boards of any of them and of the yard."""
    wanted: list[Wanted] = []
    lots: list[Lot] = []
    kept: list[BoardPlan] = []
    rows: dict[int, tuple[str, int]] = {}
    at: dict[str, str] = {}
    for place, asks in enumerate(group):
        own = f"{place}:{{}}".format  # two sites may hold copies of one memo
        for each in asks.wanted:
            rows[len(rows) + 1] = asks.site, each.row
            wanted.append(replace(each, row=len(rows), row_id=own(each.row_id)))
        for lot in asks.lots:
            lots.append(replace(lot, id=own(lot.id), number=len(lots) + 1))
            at[own(lot.id)] = asks.site
        for board in asks.kept:
            kept.append(_own(board, own))
            at[own(board.id)] = asks.site
    yard, prices = _yard(group)
    if not wanted:
        return _told(SectionPlan(group[0].section, ()), rows, at, lots, group[0].settings)
    (found,) = plan(wanted, lots, group[0].settings, yard, kept, prices)
    return _told(found, rows, at, lots, group[0].settings)


def _own(board: BoardPlan, named: Callable[[str], str]) -> BoardPlan:
    """Return a kept plan whose ids are *named* so that they are no other site's."""
    return replace(
        board,
        id=named(board.id),
        board=named(board.board),
        lot=named(board.lot) if board.lot else "",
        pieces=tuple(replace(piece, row_id=named(piece.row_id)) for piece in board.pieces),
    )


def _told(
    found: SectionPlan,
    rows: dict[int, tuple[str, int]],
    at: dict[str, str],
    lots: Sequence[Lot],
    settings: Settings,
) -> _Laid:
    """Return what the plan *found* comes to, by site; *rows* are site and number of each row of
    the plan, *at* the site of each lot and kept board.
    """
    laid = _Laid(found.boards, found.proven)
    waiting: Counter[tuple[str, int, Fraction]] = Counter()
    used: dict[str, set[int]] = {}
    for board in found.boards:
        here = _site_of(board, rows, at)
        if board.lot is None:
            laid.deliveries[here, board.inches] += 1
        elif board.lot is not None and not board.begun:
            used.setdefault(board.lot.id, set()).add(board.fetch)
        if board.left >= settings.leftover:
            laid.left[here, board.left, False] += 1
        for piece in board.pieces:
            site, row = rows[piece.row]
            if site != here:
                laid.carried[here, site, piece.inches] += 1
            if board.lot is None:
                waiting[site, row, piece.inches] += 1
    for lot in lots:
        unused = lot.count - len(used.get(lot.id, ()))
        if unused > 0:
            laid.left[at[lot.id], lot.inches, not lot.leftover] += unused
    without = [
        Waits(*rows[each.row], each.count, each.inches)
        for each in (*found.too_long, *found.unplaced)
    ]
    waits = [Waits(site, row, count, inches) for (site, row, inches), count in waiting.items()]
    return replace(laid, waits=tuple(waits), without=tuple(without))


def _site_of(board: Board, rows: dict[int, tuple[str, int]], at: dict[str, str]) -> str:
    """Return the site at which a board is; one that is bought goes to the site that most of it is
    for.
    """
    if board.lot is not None and board.lot.id in at:
        return at[board.lot.id]
    if board.kept in at:
        return at[board.kept]
    most: Counter[str] = Counter()
    for piece in board.pieces:
        most[rows[piece.row][0]] += piece.inches  # type: ignore[assignment]  # exact, not whole
    return min(most, key=lambda site: (-most[site], site))


def _need(group: Sequence[_Asks], laid: _Laid) -> Need:
    """Return what *laid* comes to for the sites of *group*."""
    section, settings = group[0].section, group[0].settings
    yard, prices = _yard(group)
    order = order_of(SectionPlan(section, laid.boards), settings, yard, prices)
    bought = sum((board.inches for board in laid.boards if board.lot is None), Fraction(0))
    return Need(
        section,
        tuple(dict.fromkeys(asks.site for asks in group if asks.wanted)),
        tuple(dict.fromkeys(asks.site for asks in group)),
        settings,
        order,
        order.waste * bought,
        sum(len(board.pieces) for board in laid.boards),
        laid.proven,
        tuple(Delivery(*key, count) for key, count in sorted(laid.deliveries.items())),
        tuple(Carried(*key, count) for key, count in sorted(laid.carried.items())),
        tuple(
            Left(site, section, inches, count, whole)
            for (site, inches, whole), count in sorted(laid.left.items())
        ),
        laid.waits,
        laid.without,
    )


def left_over(sites: Iterable[Site], needs: Iterable[Need]) -> list[Left]:
    """Return what is left over where once *needs* are cut: what nothing is planned on of the racks,
    and the ends that are worth keeping. What is bought counts where it is delivered.
    """
    found: Counter[tuple[str, str, Fraction, bool]] = Counter()
    sections: dict[str, Section | None] = {}
    laid = list(needs)
    covered = {(site, need.section) for need in laid for site in need.racks}
    every = [left for need in laid for left in need.left]
    every += [
        Left(site.name, lot.section, lot.inches, lot.count, not lot.leftover)
        for site in sites
        for lot in site.state.rack.lots
        if (site.name, lot.section) not in covered
    ]
    for left in every:
        sections[str(left.section)] = left.section
        found[left.site, str(left.section), left.inches, left.whole] += left.count
    return [
        Left(site, sections[section], inches, count, whole)
        for (site, section, inches, whole), count in sorted(found.items())
    ]
