"""What the tables of the tally say is what the program's own memo says."""

from __future__ import annotations

import random
from fractions import Fraction
from typing import Any

import pytest
from desk import Desk
from hypothesis import given, settings
from hypothesis import strategies as st
from office.histories import History
from office.sites import Office, Site

from cutmemo.memo.commands import ChangeSetting
from cutmemo.memo.projection import Projection
from cutmemo.office.lines import Day, count_days, line_of, rest_of, short_of, state_of
from cutmemo.office.reading import open_office
from cutmemo.office.tally import (
    EVENT_BYTES,
    FEWEST_KEPT,
    Folded,
    Tally,
    Upto,
    events_kept,
    groups_of,
)

EVERYTHING = 'SELECT site, "row", number, state, pieces, cut, trouble, inches, section, line FROM office.tally_rows ORDER BY 1, 2'


def a_mixed_day(desk: Desk) -> None:
    """Call, correct, cut, spoil, hold, strike, undo, and fill the rack."""
    for call in (
        "4 @ 36 2x6 header",
        "92-5/8 2x4 stud",
        "6 2 1/4",
        "3 @ 14-5/8 2x6",
        "101-1/2 for wall three",
        "200 2x10",
    ):
        desk.call(call)
    desk.clear()
    desk.spoil("short", desk.suspects()[0])
    desk.call("no, make that 201")
    desk.hold(desk.state.open_rows()[1].id)
    desk.strike(desk.state.open_rows()[2].id)
    desk.undo()
    desk.clear()
    desk.clear()


def held_by(office: Office) -> dict[str, Any]:
    """Return all that the tables of the tally say."""
    connection = office.connection()
    found: dict[str, Any] = {"rows": connection.execute(EVERYTHING).fetchall()}
    for table in ("by_day", "tally_short"):
        found[table] = sorted(connection.execute(f"TABLE office.{table}").fetchall())
    sites = (
        "SELECT site, events, state, same_as, troubles, names FROM office.tally_sites ORDER BY 1"
    )
    found["sites"] = connection.execute(sites).fetchall()
    return found


def test_the_tally_says_what_the_memo_of_each_site_says(office: Office) -> None:
    sites = [office.site("maple"), office.site("oak")]
    for site in sites:
        a_mixed_day(site.desk())
        assert site.exchange().equal
    tally = office.tally()
    while tally.lay_boards(quiet_seconds=0):
        pass
    with open_office(office.address) as read:
        states, days = read.states(), read.days()
        assert [(each.name, each.waiting, each.troubles) for each in read.sites()] == [
            ("maple", 0, ()),
            ("oak", 0, ()),
        ]
        assert {name: memo.state.rows for name, memo in read.memos()} == {
            name: state.rows for name, state in states.items()
        }
        assert [name for name, _ in read.memos(["oak"])] == ["oak"]
    for site in sites:
        state, state_there = site.desks[0].state, states[site.name]
        assert state_there.rows == state.rows
        assert (
            state_there.rack,
            state_there.yard,
            state_there.settings,
            state_there.order,
            state_there.given,
            state_there.position,
        ) == (state.rack, state.yard, state.settings, state.order, state.given, state.position)
        assert state_there.sums == state.sums
        mine = [day for day in days if day.site == site.name]
        assert sum(day.cut for day in mine) == sum(row.done for row in state.rows.values())
        assert sum(day.trouble for day in mine) == sum(
            len(row.spoiled) for row in state.rows.values()
        )
    connection = office.connection()
    sums = connection.execute(
        "SELECT sum(open), sum(cut), sum(trouble), sum(asks) FROM office.by_section WHERE site = 'oak'"
    ).fetchone()
    state = sites[1].desks[0].state
    assert tuple(map(int, sums)) == (
        state.sums.open_pieces,
        state.sums.cut_pieces,
        1,
        state.sums.doubtful,
    )
    short = connection.execute(
        "SELECT section, inches, boards FROM office.short WHERE site = 'oak'"
    ).fetchall()
    assert {(section, inches): boards for section, inches, boards in short} == short_of(state)


def test_a_tally_that_follows_along_is_the_same_as_one_made_anew(office: Office) -> None:
    """Event by event, in any order, with undone ones and late ones, and stopped in between."""
    rng = random.Random(3)
    site = office.site("maple")
    a_mixed_day(site.desk())
    events = site.desks[0].store.events() + list(History(5).events(40))
    rng.shuffle(events)
    tally = Tally(office.connection())
    from cutmemo.office.database.connect import connected
    from cutmemo.office.database.events import OfficeEnd

    with connected(site.address, site.password) as connection:
        end = OfficeEnd(connection, "maple")
        for place, event in enumerate(events):
            end.take([event])
            if place % 7 == 0:
                assert tally.keep_up() == 1
            if place == 30:
                tally = Tally(office.connection())
    assert tally.keep_up() == 1
    assert tally.keep_up() == 0
    followed = held_by(office)
    tally.anew()
    assert tally.keep_up() == 1
    assert held_by(office) == followed
    with open_office(office.address) as read:
        assert read.states()["maple"].rows == Projection(events).state.rows


def test_a_site_that_cannot_be_tallied_keeps_nobody_waiting(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Its tables stay as they were, those of the others go on; with its next entry it is tried again."""
    import cutmemo.office.tally as module

    sites = [office.site(name) for name in ("elm", "maple", "oak")]
    desks = [site.desk() for site in sites]
    for site, desk in zip(sites, desks, strict=True):
        desk.call("36")
        site.exchange()
    tally = office.tally()
    before = held_by(office)
    line_of_row = module.line_of
    monkeypatch.setattr(
        module, "line_of", lambda row: 1 / 0 if row.said == "13" else line_of_row(row)
    )
    for site, desk, call in zip(sites, desks, ("48", "13", "60"), strict=True):
        desk.call(call)
        site.exchange()
    while tally.keep_up():
        pass
    with open_office(office.address) as read:
        assert {name: len(state.rows) for name, state in read.states().items()} == {
            "elm": 2,
            "maple": 1,
            "oak": 2,
        }
        assert [site.waiting for site in read.sites()] == [0, 1, 0]
    assert [row for row in held_by(office)["rows"] if row[0] == "maple"] == [
        row for row in before["rows"] if row[0] == "maple"
    ]
    monkeypatch.setattr(module, "line_of", line_of_row)
    assert tally.keep_up() == 0
    desks[1].call("72")
    sites[1].exchange()
    assert tally.keep_up() == 1
    with open_office(office.address) as read:
        assert read.states()["maple"].rows == desks[1].state.rows


def test_only_one_tally_is_kept(office: Office) -> None:
    first, second = Tally(office.connection()), Tally(office.connection())
    assert first.alone()
    assert not second.alone()


def test_a_word_comes_with_each_batch(office: Office) -> None:
    tally = office.tally()
    site = office.site("maple")
    site.desk().call("36")
    site.exchange()
    assert tally.wait(20)
    assert tally.keep_up() == 1
    assert not tally.wait(0.01)


@pytest.fixture
def pair(office: Office) -> tuple[Site, Site]:
    """Two sites that know what they are called."""
    return office.site("maple"), office.site("oak")


def test_a_load_reaches_the_other_site_and_its_arrival_comes_back(
    office: Office, pair: tuple[Site, Site]
) -> None:
    maple, oak = pair
    here, there = maple.desk("saw"), oak.desk("yard")
    here.execute(ChangeSetting("site", "maple"))
    here.call("4 @ 36 2x6 header")
    here.clear(all_left=True)
    here.call("send row 1 to oak")
    there.call("48 2x4")
    for site in pair:
        site.exchange()
    tally = office.tally()
    assert oak.exchange().received == 1
    there.memo.follow()
    assert [(move.standing, move.sender, move.going) for move in there.state.moves] == [
        ("on its way", "maple", False)
    ]
    there.call("load one arrived")
    oak.exchange()
    while tally.keep_up():
        pass
    assert maple.exchange().received == 1
    here.memo.follow()
    assert (
        [move.standing for move in here.state.moves]
        == [move.standing for move in there.state.moves]
        == ["arrived"]
    )
    while tally.keep_up():
        pass
    for site in pair:
        assert site.exchange().equal
    with open_office(office.address) as read:
        states = read.states()
    assert list(states) == ["maple", "oak"]  # news of a load makes no copy of a memo
    assert states["maple"].moves == here.state.moves
    assert states["oak"].moves == there.state.moves
    cut = (
        office.connection().execute("SELECT site, cut FROM office.by_site ORDER BY site").fetchall()
    )
    assert cut == [("maple", 4), ("oak", 0)]  # each piece at the site that cut it
    assert office.connection().execute("SELECT count(*) FROM office.tally_loads").fetchone() == (0,)


def test_a_load_to_a_name_that_is_not_known_waits_for_it(
    office: Office, pair: tuple[Site, Site]
) -> None:
    maple, oak = pair
    here, there = maple.desk("saw"), oak.desk("yard")
    here.execute(ChangeSetting("site", "maple"))
    here.call("2 @ 36 2x6")
    here.clear(all_left=True)
    here.call("send row 1 to River House")
    there.call("48 2x4")
    for site in pair:
        site.exchange()
    tally = office.tally()
    assert oak.exchange().received == 0
    there.execute(ChangeSetting("site", "River House"))
    oak.exchange()
    while tally.keep_up():
        pass
    assert oak.exchange().received == 1
    there.memo.follow()
    assert [move.standing for move in there.state.moves] == ["on its way"]


# --- pure ---------------------------------------------------------------------------------------


def test_a_state_taken_apart_into_lines_is_put_together_again(session: Desk) -> None:
    a_mixed_day(session)
    state = session.state
    again = state_of(rest_of(state), [line_of(row).line for row in state.rows.values()])
    assert again.rows == state.rows
    assert again.rack == state.rack
    assert (
        again.settings,
        again.yard,
        again.order,
        again.given,
        again.position,
        again.moves,
        again.names,
    ) == (
        state.settings,
        state.yard,
        state.order,
        state.given,
        state.position,
        state.moves,
        state.names,
    )
    line = line_of(state.rows.numbered(1))  # type: ignore[arg-type]
    assert (Fraction(line.inches), line.section, line.pieces, line.trouble) == (36, "2x6", 4, 1)


@settings(deadline=None)
@given(st.integers(0, 2**32), st.integers(1, 120), st.integers(0, 120))
def test_days_add_up_to_the_pieces_of_the_list(seed: int, count: int, cut_at: int) -> None:
    """Counted at once or in two parts."""
    events = list(History(seed).events(count))
    memo = Projection(events)
    whole: dict[object, Day] = {}
    parts: dict[object, Day] = {}
    count_days(memo, memo.log, whole)  # type: ignore[arg-type]
    count_days(memo, memo.log[:cut_at], parts)  # type: ignore[arg-type]
    count_days(memo, memo.log[cut_at:], parts)  # type: ignore[arg-type]
    assert whole == parts
    rows = memo.state.rows.values()
    assert sum(day.called for day in whole.values()) == sum(row.cut.count for row in rows)
    assert sum(day.cut for day in whole.values()) == sum(row.done for row in rows)
    assert sum(day.trouble for day in whole.values()) == sum(len(row.spoiled) for row in rows)


@settings(deadline=None)
@given(st.dictionaries(st.sampled_from("abcdefgh"), st.sets(st.integers(0, 9), max_size=3)))
def test_sites_are_grouped_by_what_they_share_however_far_around(own: dict[str, set[int]]) -> None:
    named = {site: {str(each) for each in replicas} for site, replicas in own.items()}
    groups = groups_of(named)
    assert sorted(site for sites in groups.values() for site in sites) == sorted(own)
    of = {site: first for first, sites in groups.items() for site in sites}
    for one in own:
        for other in own:
            if own[one] & own[other]:
                assert of[one] == of[other]
    for first, sites in groups.items():
        assert sites[0] == first
        assert min(sites, key=list(own).index) == first
        reached, grown = {first}, True
        while grown:
            more = {site for site in sites if any(own[site] & own[each] for each in reached)}
            grown = not more <= reached
            reached |= more
        assert reached == set(sites)


def test_who_waited_longest_is_folded_first(office: Office) -> None:
    """Where more sites are behind than a pass folds, none is left out for good."""
    sites = [office.site(name) for name in ("maple", "oak", "birch")]
    for site in sites:
        site.desk().call("36 2x4")
        site.exchange()
    tally = Tally(office.connection())
    folded = []
    for _ in range(6):
        assert tally.keep_up(most=1) == 1
        folded.append(next(reversed(tally._folded)))
        busy = sites[0]
        busy.desks[0].call("36 2x4")
        busy.exchange()
        sites[1].desks[0].call("48 2x4")
        sites[1].exchange()
    assert sorted(folded[:3]) == ["birch", "maple", "oak"]
    assert sorted(folded[3:5]) == ["maple", "oak"]


def test_who_is_folded_with_a_site_that_cannot_be_is_not_left_out_by_busy_others(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    def fold(self: Tally, first: str, upto: Upto) -> Folded:
        if first == "birch":
            raise ZeroDivisionError("what birch sent")
        return whole(self, first, upto)

    whole = Tally._fold
    monkeypatch.setattr(Tally, "_fold", fold)
    sites = {name: office.site(name) for name in ("alder", "birch", "maple", "oak")}
    desks = {name: site.desk() for name, site in sites.items()}
    for name, site in sites.items():
        desks[name].call("36 2x4")
        site.exchange()
    tally = Tally(office.connection())
    for _ in range(3):
        tally.keep_up(most=2)
        for name in ("maple", "oak"):
            desks[name].call("48 2x4")
            sites[name].exchange()
    assert {"alder", "maple", "oak"} == set(tally._folded)


def test_what_others_bring_after_a_night_keeps_nobody_waiting(
    office: Office, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("cutmemo.office.tally.EVENTS_AT_ONCE", 5)
    for name in ("maple", "oak", "birch"):
        site = office.site(name)
        desk = site.desk()
        for length in range(20, 24):
            desk.call(f"{length} 2x4")
        site.exchange()
    tally = Tally(office.connection())
    assert (tally.keep_up(), tally.full) == (2, True)  # 4 events, then 8
    assert (tally.keep_up(), tally.full) == (1, False)
    assert (tally.keep_up(), tally.full) == (0, False)


def test_a_site_that_was_let_go_of_is_read_anew_and_comes_to_the_same(office: Office) -> None:
    sites = [office.site(name) for name in ("maple", "oak")]
    tally = Tally(office.connection(), kept=1)
    for length in range(30, 36):
        for site in sites:
            desk = site.desks[0] if site.desks else site.desk()
            desk.call(f"4 @ {length} 2x4")
            desk.clear()
            site.exchange()
        while tally.keep_up():
            pass
        assert len(tally._folded) == 1
    followed = held_by(office)
    tally.anew()
    while tally.keep_up():
        pass
    assert held_by(office) == followed


def test_as_many_events_are_kept_as_the_machine_has_room_for(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    pages = {"SC_PHYS_PAGES": 4 * 2**30 // 4096, "SC_PAGE_SIZE": 4096}
    monkeypatch.setattr("os.sysconf", pages.__getitem__)
    assert events_kept() == 2**30 // EVENT_BYTES  # a quarter of 4 GB
    pages["SC_PHYS_PAGES"] = 1
    assert events_kept() == FEWEST_KEPT
    monkeypatch.delattr("os.sysconf")
    assert events_kept() == FEWEST_KEPT


def test_whoever_waits_hears_once_the_tally_has_something_new(office: Office) -> None:
    """As the page in the browser does."""
    from cutmemo.office.reading import tallied_again

    stopped = False
    news = tallied_again(office.address, lambda: stopped)
    next(news)  # what is there already
    maple = office.site("maple")
    maple.desk().call("36 2x4")
    maple.exchange()
    tally = Tally(office.connection())
    assert tally.keep_up() == 1
    next(news)
    assert tally.lay_boards(quiet_seconds=0)
    next(news)
    assert tally.keep_up() == 0  # nothing is new, and nothing is told
    stopped = True
    assert list(news) == []
