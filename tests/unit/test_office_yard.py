"""What all sites lack: sums of sites are the sums of all, and together never costs more."""

from __future__ import annotations

import random
from collections import Counter
from fractions import Fraction as F

import pytest
from desk import Desk
from hypothesis import given, settings
from hypothesis import strategies as st
from memory_store import MemoryStore

from cutmemo.domain.cut import Section
from cutmemo.memo import commands as c
from cutmemo.memo.codec import to_line
from cutmemo.memo.decide.rack import planning_job
from cutmemo.memo.moves import to_hand_over
from cutmemo.office.sites import Site, left_out, on_hold, on_the_way
from cutmemo.office.yard import LAID_TOGETHER, Layouts, Need, left_over, sum_of
from cutmemo.planning.order import order_of
from cutmemo.planning.yard import Terms

SECTIONS = {"2x4": Section(F(2), F(4)), "2x6": Section(F(2), F(6))}
PRICES = ((F(96), F(7, 2)), (F(120), F(5)), (F(144), F(6)), (F(192), F(9)))


def by_site(sites: list[Site]) -> list[Need]:
    return Layouts(tuple(sites)).by_site


def over_all(sites: list[Site]) -> list[Need]:
    return Layouts(tuple(sites)).together


def site(name: str, chance: random.Random, priced: bool) -> Site:
    """Return a site with calls, boards and settings of its own."""
    desk = Desk(MemoryStore(), "saw", "ann")
    desk.set_setting("site", name)
    if chance.random() < 0.3:
        desk.set_setting("kerf", "3/32")
    for size, section in SECTIONS.items():
        if priced:
            dear = chance.choice([0, 0, 1])
            prices = tuple((inches, price + dear) for inches, price in PRICES)
            desk.done(c.SetYard(Terms(section, prices=prices, minimum=chance.choice([1, 1, 6]))))
        for _ in range(chance.randint(0, 4)):
            count, inches = chance.randint(1, 9), chance.randint(14, 150)
            desk.call(f"{count} @ {inches}{chance.choice(['', '-1/2', '-3/8'])} {size}")
        for _ in range(chance.randint(0, 2)):
            bad = [(F(40), F(52))] if chance.random() < 0.3 else []
            desk.add_boards(section, F(chance.choice([60, 96, 192])), chance.randint(1, 3), bad=bad)
    if chance.random() < 0.5:
        desk.done(c.SetOrderTerms(F(1, 10)))
    for _ in range(chance.randint(0, 4)):
        if desk.state.to_cut():
            desk.clear()
    if chance.random() < 0.5:
        desk.call("101-1/2")
        desk.call("six two 2x4")
    return Site(name, desk.state)


def sites_of(seed: int, number: int, priced: bool) -> list[Site]:
    chance = random.Random(seed)
    return [site(name, chance, priced) for name in ("Elm Street", "Mill Lane", "Quarry")[:number]]


DAYS = {"seed": st.integers(0, 10**9), "number": st.integers(1, 3), "priced": st.booleans()}


def pieces_of(sites: list[Site]) -> Counter[tuple[str, int]]:
    return Counter(
        {
            (each.name, row.number): row.left
            for each in sites
            for row in each.state.of_state("open")
            if row.cut.section is not None and row.left
        }
    )


def pieces_sites(sites: list[Site]) -> set[str]:
    return {name for name, _ in pieces_of(sites)}


@settings(max_examples=12, deadline=None)
@given(**DAYS)
def test_site_by_site_is_what_each_site_orders_by_itself(
    seed: int, number: int, priced: bool
) -> None:
    sites = sites_of(seed, number, priced)
    found = {(need.sites[0], need.section): need for need in by_site(sites)}
    for each in sites:
        state = each.state
        for plan in planning_job(state).solve():
            if plan.section is not None:
                alone = order_of(plan, state.settings, state.yard, state.rack.prices)
                assert found[each.name, plan.section].order == alone
                assert found[each.name, plan.section].proven == plan.proven


@settings(max_examples=25, deadline=None)
@given(**DAYS)
def test_together_never_costs_more_and_every_piece_is_laid_once(
    seed: int, number: int, priced: bool
) -> None:
    sites = sites_of(seed, number, priced)
    apart, together = by_site(sites), over_all(sites)
    no_more(together, apart, priced)
    for needs in (apart, together):
        check(sites, needs)


def no_more(together: list[Need], apart: list[Need], priced: bool) -> None:
    """What is needed *together* of a section is no dearer than *apart* where the yard has prices, else
    no longer.
    """
    for section in {need.section for need in apart}:
        assert worth(together, section, priced) <= worth(apart, section, priced)


def worth(needs: list[Need], section: Section, by_price: bool) -> F:
    """Return what the boards needed of *section* cost, or how long they are together."""
    lines = [line for need in needs if need.section == section for line in need.order.lines]
    each = [line.needed * (line.price if by_price else line.inches) for line in lines]  # type: ignore[operator]
    return sum(each, F(0))


def check(sites: list[Site], needs: list[Need]) -> None:
    """Check what holds of every layout."""
    for need in needs:
        order = need.order
        needed = Counter[F]()
        for each in need.deliveries:
            needed[each.inches] += each.count
        assert needed == {line.inches: line.needed for line in order.lines}
        assert {each.site for each in need.deliveries} <= set(need.racks)
        assert sum(each.count for each in need.waits) == order.pieces
        assert 0 <= need.waste <= order.inches
    laid = sum(need.pieces for need in needs)
    without = sum(each.count for need in needs for each in need.without)
    assert laid + without == sum(pieces_of(sites).values())
    assert all(each.to in pieces_sites(sites) for need in needs for each in need.carried)
    # every inch of board is a piece, left over, or waste; here: no board is counted twice
    racked = Counter(
        (each.name, lot.section, lot.inches)
        for each in sites
        for lot in each.state.rack.lots
        for _ in range(lot.count)
    )
    left = left_over(sites, needs)
    for each in left:
        if each.whole:
            assert each.count <= racked[each.site, each.section, each.inches]
    assert len({(e.site, e.section, e.inches, e.whole) for e in left}) == len(left)


@settings(max_examples=10, deadline=None)
@given(**DAYS)
def test_a_site_twice_under_two_names_needs_twice_as_much_apart(
    seed: int, number: int, priced: bool
) -> None:
    """Two sites may hold copies of one memo: their rows and boards are not taken for one."""
    (one, *_) = sites_of(seed, number, priced)
    twin = Site("Twin", one.state)
    single, double = sum_of(by_site([one])), sum_of(by_site([one, twin]))
    assert (double.boards, double.inches) == (2 * single.boards, 2 * single.inches)
    no_more(over_all([one, twin]), by_site([one, twin]), priced)
    assert double.waste == 2 * single.waste
    check([one, twin], over_all([one, twin]))


def desk_of(name: str, *calls: str) -> Desk:
    desk = Desk(MemoryStore(), "saw", "ann")
    desk.set_setting("site", name)
    for call in calls:
        desk.call(call)
    return desk


def test_two_half_boards_are_one_together() -> None:
    """8 ft boards, a kerf of 1/8 in.: 47 in. twice takes 94-1/8 of 96."""
    sites = []
    for name in ("Elm Street", "Mill Lane"):
        desk = desk_of(name, "47 2x4")
        desk.done(c.SetYard(Terms(SECTIONS["2x4"], lengths=(F(96),))))
        sites.append(Site(name, desk.state))
    assert [need.order.boards for need in by_site(sites)] == [1, 1]
    (need,) = over_all(sites)
    assert (need.order.boards, need.proven) == (1, True)
    assert [(each.site, each.count) for each in need.deliveries] == [("Elm Street", 1)]
    (carried,) = need.carried
    assert (carried.sender, carried.to, carried.inches) == ("Elm Street", "Mill Lane", 47)
    assert need.waste == 96 - 94


def test_a_board_goes_to_the_site_that_most_of_it_is_for() -> None:
    elm, mill = desk_of("Elm Street", "20 in 2x4"), desk_of("Mill Lane", "70 2x4")
    for desk in (elm, mill):
        desk.done(c.SetYard(Terms(SECTIONS["2x4"], lengths=(F(96),))))
    (need,) = over_all([Site("Elm Street", elm.state), Site("Mill Lane", mill.state)])
    assert [(each.site, each.count) for each in need.deliveries] == [("Mill Lane", 1)]
    assert [(each.sender, each.to) for each in need.carried] == [("Mill Lane", "Elm Street")]


def test_begun_boards_of_two_copies_of_one_memo_stay_two() -> None:
    """Each has 192 - 2 × (90 + 1/8) = 11-3/4 in. free; 90 in. of each are still to come."""
    desk = desk_of("Elm Street", "2 @ 90 2x4")
    desk.add_boards(SECTIONS["2x4"], F(192))
    desk.clear()
    sites = [Site("Elm Street", desk.state), Site("Twin", desk.state)]
    for needs in (by_site(sites), over_all(sites)):
        assert sum_of(needs).boards == 0
        assert sum(need.pieces for need in needs) == 2
        check(sites, needs)


def test_a_left_over_of_one_site_serves_another() -> None:
    elm, mill = desk_of("Elm Street", "30 2x4"), desk_of("Mill Lane")
    mill.add_boards(SECTIONS["2x4"], F(63, 2))
    sites = [Site("Elm Street", elm.state), Site("Mill Lane", mill.state)]
    assert sum_of(by_site(sites)).boards == 1
    (need,) = over_all(sites)
    assert need.order.boards == 0
    assert [(each.sender, each.to) for each in need.carried] == [("Mill Lane", "Elm Street")]
    assert left_over(sites, [need]) == []
    assert [each.site for each in left_over(sites, by_site(sites)) if each.whole] == ["Mill Lane"]


@pytest.mark.parametrize(
    "differs",
    [
        c.ChangeSetting("kerf", "3/32"),
        c.ChangeSetting("leftover", "24"),
        c.SetOrderTerms(F(1, 10)),
        c.SetYard(Terms(SECTIONS["2x4"], lengths=(F(96),))),
        c.SetYard(Terms(SECTIONS["2x4"], prices=((F(96), F(4)),))),
    ],
    ids=lambda command: type(command).__name__,
)
def test_sites_that_saw_or_buy_otherwise_are_not_laid_together(differs: c.Command) -> None:
    elm, mill = desk_of("Elm Street", "47 2x4"), desk_of("Mill Lane", "47 2x4")
    elm.done(c.SetYard(Terms(SECTIONS["2x4"], prices=((F(96), F(3)),))))
    if not isinstance(differs, c.SetYard):
        mill.done(c.SetYard(Terms(SECTIONS["2x4"], prices=((F(96), F(3)),))))
    mill.done(differs)
    needs = over_all([Site("Elm Street", elm.state), Site("Mill Lane", mill.state)])
    assert [need.sites for need in needs] == [("Elm Street",), ("Mill Lane",)]


def test_a_site_without_prices_does_not_bring_two_together_whose_prices_differ() -> None:
    desks = [desk_of(name, "47 2x4") for name in ("Elm Street", "Mill Lane", "Quarry")]
    for desk, price in zip(desks[1:], (3, 4), strict=True):
        desk.done(c.SetYard(Terms(SECTIONS["2x4"], prices=((F(96), F(price)),))))
    needs = over_all([Site(desk.state.settings.site or "", desk.state) for desk in desks])
    assert [need.sites for need in needs] == [("Elm Street", "Mill Lane"), ("Quarry",)]


def test_more_pieces_than_are_laid_at_once_are_laid_in_batches() -> None:
    """Sites of 120 pieces each: three to a batch of at most 400; the sums hold, and it is told."""
    assert LAID_TOGETHER == 400
    sites = []
    for number in range(5):
        desk = desk_of(f"Site {number}", *(f"40 @ {n} 2x4" for n in (47, 31, 22)))
        desk.done(c.SetYard(Terms(SECTIONS["2x4"], lengths=(F(96),))))
        sites.append(Site(f"Site {number}", desk.state))
    told: list[int] = []
    layouts = Layouts(tuple(sites), told.append)
    (need,) = layouts.together
    assert sum(told) == 5 * 120 + 5 * 120  # each by itself; then batches of three and two
    assert max(told) <= LAID_TOGETHER
    assert need.sites == tuple(each.name for each in sites)
    assert need.pieces == 600
    assert sum_of([need]).boards <= sum_of(layouts.by_site).boards
    check(sites, [need])


def test_what_is_left_out_is_told_and_what_is_on_hold_is_ordered() -> None:
    desk = desk_of("Elm Street", "3 @ 101-1/2", "six two 2x4", "2 @ 36 2x4", "5 @ 40 2x4")
    desk.hold(desk.find("3").id)
    sites = [Site("Elm Street", desk.state, "2026-05-03T16:00:00+00:00")]
    (out,) = left_out(sites, "2026-05-04")
    assert (out.unsized, out.asked) == (3, 1)
    assert out.silent_since == "2026-05-03T16:00:00+00:00"
    (need,) = over_all(sites)
    assert sorted((each.row, each.count) for each in need.waits) == [(3, 2), (4, 5)]
    assert on_hold(sites) == {"Elm Street": 2}
    assert not left_out([Site("Mill Lane", desk_of("Mill Lane").state)], "2026-05-04")


def test_the_office_says_on_its_way_until_either_end_knows_better() -> None:
    mill, elm = desk_of("Mill Lane"), desk_of("Elm Street")
    mill.add_boards(SECTIONS["2x4"], F(96), 2)
    mill.call("send board 1 to Elm Street")

    def underway() -> list[str]:
        sites = [Site(desk.state.settings.site or "", desk.state) for desk in (mill, elm)]
        return [move.to for move in on_the_way(sites)]

    def exchange() -> None:
        for name, events in to_hand_over({"Mill Lane": mill.log, "Elm Street": elm.log}).items():
            (mill if name == "Mill Lane" else elm).take_in([to_line(event) for event in events])

    assert underway() == ["Elm Street"]
    exchange()
    assert underway() == ["Elm Street"]
    mill.undo()  # not known at the other end
    assert underway() == []
    mill.redo()
    elm.call("arrived")  # not known at the sender
    assert underway() == []
    exchange()
    assert underway() == []
