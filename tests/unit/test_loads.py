"""Loads between sites: each piece and each board is at one place, whatever was known where, and when."""

from __future__ import annotations

import contextlib
import random
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from fractions import Fraction as F
from pathlib import Path

import pytest
from desk import Desk, refused
from hypothesis import given, settings
from hypothesis import strategies as st
from memory_store import MemoryStore

from cutmemo.domain.cut import Section
from cutmemo.errors import BadBoards, CutmemoError, NothingToDo
from cutmemo.memo import Projection, open_store
from cutmemo.memo.codec import to_line
from cutmemo.memo.events import Event
from cutmemo.memo.goods import SentPieces
from cutmemo.memo.moves import to_hand_over
from cutmemo.wording import marks

TWO_BY_FOUR = Section(F(2), F(4))


class Sites:
    """Sites with stations that have memos of their own, and what passes between them."""

    def __init__(self, sites: int, stations: int, chance: random.Random) -> None:
        self.chance = chance
        self.time = datetime(2026, 5, 4, 7, tzinfo=UTC)
        self.slow = {
            f"Site {n}": timedelta(hours=chance.choice([0, 0, -26, 26])) for n in range(sites)
        }
        self.desks = {
            name: [
                Desk(MemoryStore(), f"s{k}", f"p{k}", lambda name=name: self.time + self.slow[name])
                for k in range(stations)
            ]
            for name in self.slow
        }
        for name, desks in self.desks.items():
            desks[0].set_setting("site", name)
            self.meet(name)

    def meet(self, name: str) -> None:
        """Let all stations of a site take in what the others have."""
        for one in self.desks[name]:
            for other in self.desks[name]:
                one.take_in([to_line(event) for event in other.log])

    def logs(self) -> dict[str, list[Event]]:
        return {
            name: list({event.id: event for desk in desks for event in desk.log}.values())
            for name, desks in self.desks.items()
        }

    def hand_over(self, some: bool) -> None:
        """Hand over what is due, or with *some* any part of it, to any station of the site."""
        for name, events in to_hand_over(self.logs()).items():
            due = self.chance.sample(
                events, self.chance.randint(0, len(events)) if some else len(events)
            )
            desk = self.chance.choice(self.desks[name])
            desk.take_in([to_line(event) for event in due])

    def all_meet(self) -> None:
        """End with everything known everywhere it belongs."""
        for name in self.desks:
            self.meet(name)
        self.hand_over(some=False)
        for name in self.desks:
            self.meet(name)

    def act(self) -> None:
        chance = self.chance
        self.time += timedelta(minutes=1)
        pick = chance.random()
        name = chance.choice(sorted(self.desks))
        if pick < 0.12:
            return self.meet(name)
        if pick < 0.27:
            return self.hand_over(some=True)
        desk = chance.choice(self.desks[name])
        other = chance.choice([each for each in self.desks if each != name])
        acts: list[Callable[[], object]] = [
            lambda: desk.call(f"{chance.randint(1, 3)} @ {chance.choice([30, 36])} 2x6"),
            lambda: desk.clear(all_left=chance.random() < 0.5),
            lambda: desk.clear(all_left=True),
            lambda: desk.add_boards(TWO_BY_FOUR, F(chance.choice([96, 192])), chance.randint(1, 2)),
            lambda: desk.call(f"send row {chance.randint(1, 3)} to {other}"),
            lambda: desk.call(f"send 1 of row {chance.randint(1, 3)} to {other}"),
            lambda: desk.call(f"send board {chance.randint(1, 3)} to {other}"),
            lambda: desk.call("arrived"),
            lambda: desk.call(f"load {chance.randint(1, 2)} arrived"),
            lambda: desk.call(f"load {chance.randint(1, 4)} arrived"),
            lambda: desk.call(f"refuse load {chance.randint(1, 4)}"),
            lambda: desk.undo(),
            lambda: desk.undo(),
            lambda: desk.redo(),
        ]
        with contextlib.suppress(CutmemoError):
            chance.choice(acts)()
        return None


DAYS = {"seed": st.integers(0, 10**9), "sites": st.integers(2, 3), "stations": st.integers(1, 2)}


def day(seed: int, sites: int, stations: int) -> Sites:
    """Return sites after a day of their own, at the end of which all is known."""
    here = Sites(sites, stations, random.Random(seed))
    for _ in range(60):
        here.act()
    here.all_meet()
    return here


@settings(max_examples=40, deadline=None)
@given(**DAYS)
def test_every_piece_and_every_board_is_at_one_place(seed: int, sites: int, stations: int) -> None:
    """What was cut and racked = what is there + what is on its way + what nobody can have sent."""
    here = day(seed, sites, stations)
    states = {name: desks[0].state for name, desks in here.desks.items()}
    left = [move for state in states.values() for move in state.moves if move.going]
    added = sum(
        event.payload.count
        for desks in here.desks.values()
        for event in desks[0].log
        if event.kind == "boards added" and desks[0].counts(event)
    )
    racked = sum(lot.count for state in states.values() for lot in state.rack.lots)
    for pieces in (False, True):
        mine = [move for move in left if isinstance(move.goods, SentPieces) == pieces]
        underway = sum(move.gone for move in mine if move.standing == "on its way")
        twice = sum(move.missing for move in mine if move.standing == "arrived")
        if pieces:
            rows = [row for state in states.values() for row in state.rows.values()]
            cut = sum(row.cut_here for row in rows)
            assert sum(row.done - row.away for row in rows) + underway == cut + twice
        else:
            assert racked + underway == added + twice


@settings(max_examples=25, deadline=None)
@given(**DAYS)
def test_both_sites_know_the_same_of_a_load_and_nothing_is_left_to_tell(
    seed: int, sites: int, stations: int
) -> None:
    here = day(seed, sites, stations)
    assert all(not events for events in to_hand_over(here.logs()).values())
    ends: dict[str, set[str]] = {}
    sides: dict[str, list[bool]] = {}
    for desks in here.desks.values():
        assert len({repr(sorted(map(repr, desk.state.moves))) for desk in desks}) == 1
        for move in desks[0].state.moves:
            ends.setdefault(move.id, set()).add(move.standing)
            sides.setdefault(move.id, []).append(move.going)
    assert all(len(each) == 1 for each in ends.values())
    assert all(sorted(each) == [False, True] for each in sides.values())


@settings(max_examples=15, deadline=None)
@given(**DAYS)
def test_loads_come_to_the_same_whatever_order_their_events_come_in(
    seed: int, sites: int, stations: int
) -> None:
    here, chance = day(seed, sites, stations), random.Random(seed)
    for desks in here.desks.values():
        whole = desks[0].state
        shuffled = [*desks[0].log, *desks[0].log[:5]]
        chance.shuffle(shuffled)
        memo = Projection()
        while shuffled:
            size = chance.randint(1, 7)
            memo.follow(shuffled[:size])
            del shuffled[:size]
        assert memo.state == whole


# --- one load, told in words -----------------------------------------------------------------------


@pytest.fixture
def sites() -> tuple[Desk, Desk]:
    """Two sites with names, a station each, whose stations are called the same."""
    time = datetime(2026, 5, 4, 7, tzinfo=UTC)
    mill, elm = (Desk(MemoryStore(), "saw", who, lambda: time) for who in ("ann", "ben"))
    mill.set_setting("site", "Mill Lane")
    elm.set_setting("site", "Elm Street")
    return mill, elm


def exchange(mill: Desk, elm: Desk) -> None:
    """Hand over all that is due between both."""
    for name, events in to_hand_over({"Mill Lane": mill.log, "Elm Street": elm.log}).items():
        (mill if name == "Mill Lane" else elm).take_in([to_line(event) for event in events])


def test_a_piece_is_sent_arrives_and_fills_the_row_that_asks_for_it(
    sites: tuple[Desk, Desk],
) -> None:
    mill, elm = sites
    mill.call("3 @ 14-5/8 2x6 header")
    mill.clear(all_left=True)
    elm.call("2 @ 14-5/8 2x6")
    told = mill.call("send 2 of row 1 to elm  street")
    assert told.text == (
        'Load 1 is on its way to elm street: 2 × 14-5/8" 2x6 header. 1 of row 1 stays here.'
        " No load went to a site of this name before: undo it if the name is wrong."
    )
    assert "ON ITS WAY FROM HERE (1)" in mill.handoff()
    exchange(mill, elm)
    assert "ON ITS WAY HERE (1)" in elm.handoff()
    (mark,) = marks(elm.memo.projection)
    assert mark.startswith("On its way here: load 1 from Mill Lane;")
    assert "14-5/8" not in mark  # at the saw it stands beside the length to cut
    assert elm.find("1").left == 2
    told = elm.call("arrived")
    assert told.text.endswith("Row 1: done.")
    assert (elm.find("1").state, elm.find("1").cut_here) == ("cut", 0)
    assert (elm.find("1").cut_by, mill.find("1").cut_by) == ("", "ann at saw")
    assert "CUT TODAY" not in elm.handoff()
    exchange(mill, elm)
    assert [move.standing for move in mill.state.moves] == ["arrived"]
    assert (mill.find("1").done, mill.find("1").at_hand) == (3, 1)
    assert "ON ITS WAY" not in mill.handoff() + elm.handoff()


def test_pieces_that_no_row_asks_for_are_a_row_of_their_own(sites: tuple[Desk, Desk]) -> None:
    mill, elm = sites
    mill.call("36 2x4")
    mill.clear()
    elm.call("36 2x6")
    mill.call("send row 1 to Elm Street")
    exchange(mill, elm)
    elm.call("load 1 arrived")
    assert [(row.number, row.state, str(row.cut.section)) for row in elm.state.rows.values()] == [
        (1, "open", "2x6"),
        (2, "cut", "2x4"),
    ]


def test_a_left_over_on_its_way_is_on_neither_rack(sites: tuple[Desk, Desk]) -> None:
    mill, elm = sites
    mill.add_boards(TWO_BY_FOUR, F(96))
    mill.call("64 2x4")
    mill.clear()
    (left,) = mill.state.rack.lots
    assert left.leftover
    mill.call(f"send the {left.inches} left-over to Elm Street")
    assert not mill.state.rack.lots
    exchange(mill, elm)
    assert not elm.state.rack.lots
    elm.call("arrived")
    exchange(mill, elm)
    assert not mill.state.rack.lots
    assert [(lot.inches, lot.leftover) for lot in elm.state.rack.lots] == [(left.inches, True)]


def test_what_is_refused_is_the_senders_again_under_its_old_number(
    sites: tuple[Desk, Desk],
) -> None:
    mill, elm = sites
    mill.add_boards(TWO_BY_FOUR, F(96), 2)
    before = mill.state.rack.lots
    mill.call("send 2 of board 1 to Elm Street")
    exchange(mill, elm)
    assert "Mill Lane’s again" in elm.call("refuse the load").text
    exchange(mill, elm)
    assert mill.state.rack.lots == before
    elm.undo()
    exchange(mill, elm)
    assert not mill.state.rack.lots


def test_what_arrived_counts_though_the_sender_took_the_sending_back(
    sites: tuple[Desk, Desk],
) -> None:
    mill, elm = sites
    mill.add_boards(TWO_BY_FOUR, F(96), 1)
    mill.call("send board 1 to Elm Street")
    exchange(mill, elm)
    mill.undo()
    elm.call("arrived")
    assert mill.state.rack.lots
    exchange(mill, elm)
    assert not mill.state.rack.lots
    assert len(elm.state.rack.lots) == 1
    mill.redo()
    assert not mill.state.rack.lots
    assert [move.standing for move in mill.state.moves] == ["arrived"]


def test_a_sending_is_not_taken_back_once_it_is_known_to_have_arrived(
    sites: tuple[Desk, Desk],
) -> None:
    mill, elm = sites
    mill.add_boards(TWO_BY_FOUR, F(96), 1)
    mill.call("send board 1 to Elm Street")
    exchange(mill, elm)
    elm.call("arrived")
    exchange(mill, elm)
    with refused(NothingToDo, "It arrived at Elm Street already"):
        mill.undo()


def test_an_undo_reaches_no_act_of_a_station_of_the_same_name_at_another_site(
    sites: tuple[Desk, Desk],
) -> None:
    mill, elm = sites
    mill.add_boards(TWO_BY_FOUR, F(96), 1)
    mill.call("send board 1 to Elm Street")
    exchange(mill, elm)
    elm.undo()  # its own name
    with refused(NothingToDo, "Nothing is left to undo"):
        elm.undo()


@pytest.mark.parametrize(
    ("said", "kind", "words"),
    [
        ("send row 1 to Elm Street", NothingToDo, "No cut piece of row 1 is here"),
        ("send row 2 to Mill lane", NothingToDo, "is this site"),
        ("send 3 of row 2 to Elm Street", NothingToDo, "Of row 2 1 are cut and here"),
        ("send the 40 left-over to Elm Street", BadBoards, "No board of 40"),
        ("send the 96 left-over to Elm Street", BadBoards, "Boards 1, 2 have that length"),
        ("send board 7 to Elm Street", BadBoards, "No boards “7”"),
        ("send 9 of board 1 to Elm Street", BadBoards, "Of boards 1 1 are on the rack"),
        ("arrived", NothingToDo, "No load is on its way here"),
        ("load 4 arrived", NothingToDo, "No load 4 is on its way here"),
    ],
)
def test_what_cannot_be_sent_or_arrive_is_refused_with_what_to_do(
    sites: tuple[Desk, Desk], said: str, kind: type[CutmemoError], words: str
) -> None:
    mill, _ = sites
    mill.call("36 2x4")
    mill.call("48 2x6")
    mill.clear(mill.find("2").id)
    mill.add_boards(TWO_BY_FOUR, F(96), 1)
    mill.add_boards(TWO_BY_FOUR, F(96), 1)
    before = mill.state
    with refused(kind, words):
        mill.call(said)
    assert mill.state == before


def two_stations(desk: Desk) -> Desk:
    """Return another station of the same site, which knows the same."""
    other = Desk(MemoryStore(), "second", "cal", desk.clock)
    other.take_in([to_line(event) for event in desk.log])
    return other


def meet(one: Desk, other: Desk) -> None:
    one.take_in([to_line(event) for event in other.log])
    other.take_in([to_line(event) for event in one.log])


@pytest.mark.parametrize("said", ["send board 1 to Elm Street", "send row 1 to Elm Street"])
def test_a_load_that_two_stations_say_arrived_is_there_once(
    sites: tuple[Desk, Desk], said: str
) -> None:
    mill, elm = sites
    mill.add_boards(TWO_BY_FOUR, F(96), 1)
    mill.call("36 2x6")
    mill.clear()
    mill.call(said)
    exchange(mill, elm)
    second = two_stations(elm)
    elm.call("arrived")
    second.call("arrived")
    meet(elm, second)
    assert elm.state == second.state
    here = (
        elm.state.rack.lots if "board" in said else [r for r in elm.state.rows.values() if r.done]
    )
    assert len(here) == 1
    assert sum(row.done for row in elm.state.rows.values()) == ("row" in said)


def test_pieces_that_arrived_stay_what_they_were_cut_as(sites: tuple[Desk, Desk]) -> None:
    """Another station corrects the row that they were taken for, and does not know of them."""
    mill, elm = sites
    mill.call("2 @ 36 2x6")
    mill.clear(all_left=True)
    elm.call("3 @ 36 2x6")
    mill.call("send row 1 to Elm Street")
    exchange(mill, elm)
    second = two_stations(elm)
    second.call("change row 1 to 40")
    elm.call("arrived")
    meet(elm, second)
    assert elm.state == second.state
    rows = [(row.cut.length.inches, row.done, row.left) for row in elm.state.rows.values()]
    assert rows == [(36, 2, 0), (40, 0, 1)]
    with refused(NothingToDo, "Nothing was cut|No pieces"):
        elm.put_back(elm.find("1").id)


@pytest.mark.parametrize("said", ["send board 1 to Elm Street", "send row 1 to Elm Street"])
def test_the_same_sent_by_two_stations_apart_left_once_and_is_told(
    sites: tuple[Desk, Desk], said: str
) -> None:
    mill, _ = sites
    mill.add_boards(TWO_BY_FOUR, F(96), 1)
    mill.call("36 2x6")
    mill.clear()
    second = two_stations(mill)
    mill.call(said)
    second.call(said)
    meet(mill, second)
    assert sorted(move.gone for move in mill.state.moves) == [0, 1]
    assert sorted(move.missing for move in mill.state.moves) == [0, 1]
    assert mill.find("1").away == ("row" in said)
    assert "1 of it cannot have left" in mill.handoff()


def test_a_site_that_took_its_name_back_still_knows_what_it_sent(
    sites: tuple[Desk, Desk],
) -> None:
    mill, elm = sites
    mill.call("36 2x6")
    mill.clear()
    mill.call("send row 1 to Elm Street")
    exchange(mill, elm)
    elm.call("arrived")
    for _ in range(4):  # the sending, the piece, the call, the name
        mill.undo()
    assert mill.state.settings.site is None
    exchange(mill, elm)
    assert [move.going for move in mill.state.moves] == [True]
    assert sum(row.done for row in mill.state.rows.values()) == 0


def test_several_loads_on_their_way_are_one_line_and_one_of_them_has_to_be_named(
    sites: tuple[Desk, Desk],
) -> None:
    mill, elm = sites
    mill.add_boards(TWO_BY_FOUR, F(96), 9)
    for _ in range(2):
        mill.call("send 2 of board 1 to Elm Street")
    exchange(mill, elm)
    (mark,) = marks(elm.memo.projection)
    assert "load 1 from Mill Lane, load 2 from Mill Lane" in mark
    with refused(NothingToDo, "Loads 1, 2 are on their way here: say which"):
        elm.call("arrived")
    elm.call("load 2 arrived")
    assert "load 2" not in " ".join(marks(elm.memo.projection))


def test_a_site_without_a_name_sends_nothing() -> None:
    desk = Desk(MemoryStore())
    desk.add_boards(TWO_BY_FOUR, F(96), 1)
    with refused(NothingToDo, "This site has no name yet"):
        desk.call("send board 1 to Elm Street")


def test_by_voice_only_a_site_that_is_known_is_sent_to(sites: tuple[Desk, Desk]) -> None:
    from cutmemo.asr import Hypothesis, Recognition

    mill, _ = sites
    mill.add_boards(TWO_BY_FOUR, F(96), 2)
    said = Recognition((Hypothesis("send board one to north house", 100.0),))
    with refused(NothingToDo, "type it the first time"):
        mill.hear(said)
    mill.call("send board 1 to North House")
    told = mill.hear(said)
    assert told is not None
    assert told.text == "Load 2 is on its way to North House: 1 × 2x4 of 8 ft."


def test_loads_survive_the_file_and_the_export(tmp_path: Path) -> None:
    with (
        open_store(tmp_path / "mill.cutmemo") as store,
        open_store(tmp_path / "elm.cutmemo") as other,
    ):
        mill, elm = Desk(store, "saw", "ann"), Desk(other, "saw", "ben")
        mill.set_setting("site", "Mill Lane")
        elm.set_setting("site", "Elm Street")
        mill.add_boards(TWO_BY_FOUR, F(96), 2, price=F(7, 2), bad=[(F(10), F(20))])
        mill.call("send board 1 to Elm Street")
        exchange(mill, elm)
        elm.call("arrived")
        exchange(mill, elm)
    with open_store(tmp_path / "elm.cutmemo") as other:
        again = Desk(other)
        (lot,) = again.state.rack.lots
        assert (lot.inches, lot.count, lot.price, lot.bad) == (96, 1, F(7, 2), ((10, 20),))
        assert not again.memo.projection.gaps
        assert not marks(again.memo.projection)


def test_no_number_means_two_loads_and_they_stay_in_its_order(sites: tuple[Desk, Desk]) -> None:
    mill, elm = sites
    mill.add_boards(TWO_BY_FOUR, F(96), 9)
    for _ in range(3):
        mill.call("send 2 of board 1 to Elm Street")
    mill.undo()
    mill.call("send 1 of board 1 to Elm Street")
    assert [move.number for move in mill.state.moves] == [1, 2, 4]
    exchange(mill, elm)
    elm.call("load 1 arrived")
    exchange(mill, elm)
    assert [(move.number, move.arrived) for move in mill.state.moves] == [
        (1, True), (2, False), (4, False),
    ]  # fmt: skip
