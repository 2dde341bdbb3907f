"""Boards called for the rack: what says so, and how long they are (names of lumber: common practice)."""

from __future__ import annotations

from fractions import Fraction as F

import pytest
from desk import Desk, refused
from memory_store import MemoryStore

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.settings import Settings
from cutmemo.errors import CutmemoError, Refused
from cutmemo.language import BoardsCall, read

MM = Settings(figures="mm", display="mm")
NAMED = {
    "sixes": 6,
    "eights": 8,
    "tens": 10,
    "twelves": 12,
    "fourteens": 14,
    "sixteens": 16,
    "eighteens": 18,
    "twenties": 20,
    "twenty twos": 22,
    "twenty fours": 24,
}


def boards(said: str, by_voice: bool = False, settings: Settings | None = None) -> BoardsCall:
    (reading,) = read(said, settings or Settings(), by_voice)
    assert isinstance(reading.intent, BoardsCall)
    assert not reading.doubts
    return reading.intent


@pytest.mark.parametrize("lead", ["got", "we got", "also got", "bought", "i got", "add"])
@pytest.mark.parametrize(("plural", "feet"), NAMED.items())
def test_lumber_is_put_on_the_rack_by_the_name_it_has(lead: str, plural: str, feet: int) -> None:
    trail = " to the rack" if lead == "add" else ""
    call = boards(f"{lead} twelve two by six {plural}{trail}", by_voice=True)
    assert (call.count, call.length.inches, call.section) == (12, 12 * feet, Section(F(2), F(6)))


@pytest.mark.parametrize(
    ("said", "count", "feet", "section"),
    [
        ("got 12 2x6 16s", 12, 16, Section(F(2), F(6))),
        ("got 12 2x6 16'", 12, 16, Section(F(2), F(6))),
        ("got 6 more 2x6 16'", 6, 16, Section(F(2), F(6))),
        ("bought 2 lvl 1-3/4x9-1/2 20 ft", 2, 20, Section(F(7, 4), F(19, 2), "LVL")),
        ("picked up 10 pt 2x6 12s", 10, 12, Section(F(2), F(6), treated=True)),
        ("6 boards of 2x10 12s on the rack", 6, 12, Section(F(2), F(10))),
    ],
)
def test_boards_came_in_any_words(said: str, count: int, feet: int, section: Section) -> None:
    call = boards(said)
    assert (call.count, call.length.inches, call.section) == (count, 12 * feet, section)


@pytest.mark.parametrize("said", ["got 12 2x6 16", "8 2x10x14 on the rack", "got a 2x6 8"])
def test_a_bare_length_of_a_board_asks_unless_the_crew_settled_it(said: str) -> None:
    desk = Desk(MemoryStore())
    with refused(Refused, "ft or of .* in.*setting bare_boards"):
        desk.call(said)
    number = int(said.removesuffix(" on the rack").replace("x", " ").split()[-1])
    for setting, unit in (("feet", 12), ("inches", 1)):
        desk.set_setting("bare_boards", setting)
        desk.call(said)
        assert desk.state.rack.lots[-1].inches == number * unit


@pytest.mark.parametrize("number", [25, 93, 96])
def test_past_any_number_of_feet_a_bare_board_is_in_inches(number: int) -> None:
    assert boards(f"got 2 2x4 {number}").length.inches == number


@pytest.mark.parametrize(
    ("said", "by_voice"),
    [
        ("got ten ninety by forty five four point eight metres", True),
        ("got ten ninety by forty fives four point eight", True),
        ("got ten ninety by forty five forty eight hundred", True),
        ("got 10 90x45 4800", False),
        ("got 10 lengths of 90x45 4.8", False),
        ("got 10 90x45 4.8m", False),
    ],
)
def test_metric_boards_are_in_millimetres_or_metres(said: str, by_voice: bool) -> None:
    call = boards(said, by_voice, MM)
    millimetres = Section(F(45), F(90), metric=True)
    assert (call.count, call.length.inches, call.section) == (10, F(4800 * 5, 127), millimetres)


@pytest.mark.parametrize("said", ["i got 36", "i got 4 2x6 @ 22-1/2", "i got two forty twos"])
def test_a_call_that_begins_with_i_got_stays_a_cut(said: str) -> None:
    assert all(isinstance(each.intent, Cut) for each in read(said, Settings()))


@pytest.mark.parametrize("said", ["got 36", "we got 4 @ 22-1/2", "got four twelve and a half"])
def test_what_came_without_a_section_is_no_cut(said: str) -> None:
    with pytest.raises(CutmemoError):
        Desk(MemoryStore()).call(said)


@pytest.mark.parametrize("feet", [20, 22, 24])
@pytest.mark.parametrize("named", ["foot two by six on the rack", "footer two by six"])
def test_a_count_is_no_part_of_the_number_of_feet(feet: int, named: str) -> None:
    spoken = {20: "twenty", 22: "twenty two", 24: "twenty four"}[feet]
    call = boards(f"{'put ' if 'rack' in named else ''}a {spoken} {named}", by_voice=True)
    assert (call.count, call.length.inches) == (1, 12 * feet)
