"""Laws of what goes on from a call: corrections, sums, rows and loads, words that mean nothing, the tables of words."""

from __future__ import annotations

import contextlib
import random
from dataclasses import replace
from fractions import Fraction as F

import pytest
from said_lengths import (
    cuts,
    found,
    hundreds,
    lengths,
    part,
    refused,
    words,
)

from cutmemo.domain.cut import Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall
from cutmemo.language import Change, Command, FromRow, OnRow, read
from cutmemo.language.lexicon import en
from cutmemo.language.lexicon.table import Table

# --- corrections ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    "changes, read_as", [(1, True), (4, True), (5, True), (8, True), (9, False)]
)
def test_a_call_is_changed_underway_up_to_eight_times(changes: int, read_as: bool) -> None:
    said = " no ".join(str(36 + k) for k in range(changes + 1))
    assert refused(said, by_voice=False) is not read_as
    if read_as:
        assert lengths(said, by_voice=False) == {F(36 + changes)}
    spoken_call = " no ".join(words(36 + k) for k in range(changes + 1))
    if read_as:
        assert F(36 + changes) in lengths(spoken_call)


def test_a_change_underway_replaces_what_it_names_and_nothing_else() -> None:
    (each,) = cuts("36 2x4 stud for kitchen, no 37", by_voice=False)
    assert (each.length.inches, each.section, each.piece, each.place) == (
        F(37),
        Section(F(2), F(4)),
        "stud",
        "kitchen",
    )
    (each,) = cuts("36 2x4 stud, no 2x6", by_voice=False)
    assert (each.length.inches, each.section, each.piece) == (F(36), Section(F(2), F(6)), "stud")


def test_make_it_a_dozen_may_be_a_length_and_eleven_only_a_count() -> None:
    for number, length in ((11, False), (12, True)):
        asked = [each.intent for each in found(f"make it {number}", by_voice=False)]
        assert Change(count=number) in asked
        assert (Change(length=Length(F(number))) in asked) is length
    asked = [each.intent for each in found("make it 11-1/2", by_voice=False)]
    assert asked == [Change(length=Length(F(23, 2)))]


# --- reckoning, rows and loads -------------------------------------------------------------------------


@pytest.mark.parametrize("seed", range(40))
def test_up_to_three_lengths_are_added_or_taken_off(seed: int) -> None:
    r = random.Random(seed)
    total = F(r.randrange(100 * 8, 200 * 8), 8)
    typed, voiced = _mixed(total), _spoken(total)
    for _ in range(r.choice([1, 2, 3])):
        other = F(r.randrange(2 * 8, 12 * 8), 8)
        sign = r.choice([1, -1])
        typed += f" {'plus' if sign > 0 else 'minus'} {_mixed(other)}"
        voiced += f" {'plus' if sign > 0 else r.choice(['minus', 'less'])} {_spoken(other)}"
        total += sign * other
    assert total in lengths(typed, by_voice=False), typed
    assert total in lengths(voiced), voiced
    four = "100 plus 1 plus 1 plus 1"
    assert lengths(four, by_voice=False) == {F(103)}
    assert not lengths(f"{four} plus 1", by_voice=False)


def _mixed(length: F) -> str:
    whole_part, rest = divmod(length, 1)
    return f"{whole_part}-{rest}" if rest else str(whole_part)


def _spoken(length: F) -> str:
    whole_part, rest = divmod(length, 1)
    said = words(int(whole_part)) if whole_part < 100 else hundreds(int(whole_part))[0]
    return f"{said} and {part(rest.numerator, rest.denominator)[0]}" if rest else said


def test_lengths_that_are_worked_out_from_others() -> None:
    for said, length in (
        ("half of 36-1/2", F(73, 4)),
        ("a third of 36", F(12)),
        ("twice 36-1/2", F(73)),
        ("between 36 and 36-1/2", F(145, 4)),
        ("half under 36", F(71, 2)),
        ("an inch over 36", F(37)),
        ("1/4 shy of 36", F(143, 4)),
        ("1/4 more than 36", F(145, 4)),
        ("36 less a kerf", F(287, 8)),
        ("36 plus one kerf", F(289, 8)),
        # A two-by is 1-1/2 thick (PS 20).
        ("96 less 3 plates", F(183, 2)),
        ("96 less a plate", F(189, 2)),
    ):
        assert length in lengths(said, by_voice=False), said
    assert F(585, 16) in lengths("thirty six and a half and a sixteenth")
    assert lengths("36 less a kerf", False, Settings(kerf=F(1, 16))) == {F(575, 16)}
    for said in ("36 minus 36", "36 minus 37"):
        assert not lengths(said, by_voice=False), said
    assert F(1) in lengths("36 minus 35", by_voice=False)


def test_a_burned_inch_is_asked_about() -> None:
    for said, off in (("burning an inch", 1), ("burning one", 1), ("burning ten", 10)):
        readings = cuts(f"thirty six and a half {said}")
        assert {each.length.inches for each in readings} == {F(73, 2), F(73, 2) - off}
        assert all(each.doubts for each in readings.values())


def test_a_row_is_named_by_its_number_and_what_is_said_of_it_changes() -> None:
    longer = Change(length=Length(F(73, 2)))
    for said, change in (
        ("row 4 36-1/2", longer),
        ("row 4 is 36-1/2", longer),
        ("row number 4 36-1/2", longer),
        ("change row 4 to 36-1/2", longer),
        ("row 4, 36-1/2", longer),
        ("row 4 2x6", Change(section=Section(F(2), F(6)))),
        ("row 4 make it 3", Change(count=3)),
        ("row 4 3 pieces", Change(count=3)),
        ("clear row 4", Command("clear")),
    ):
        intents = [each.intent for each in found(said, by_voice=False)]
        assert OnRow(4, change) in intents, said
        assert {each.row for each in intents if isinstance(each, OnRow)} == {4}
    assert refused("row 4", by_voice=False)


def test_a_cut_may_be_worked_out_from_a_row() -> None:
    for said, derived in (
        ("half of row 4", FromRow(4, factor=F(1, 2))),
        ("twice row 4", FromRow(4, factor=F(2))),
        ("row 4 plus 2", FromRow(4, more=F(2))),
        ("row 4 minus 1/2", FromRow(4, more=F(-1, 2))),
        ("half of row 4 plus 2", FromRow(4, factor=F(1, 2), more=F(2))),
        ("same as row 4", FromRow(4, same=True)),
        ("same as row 4 but 2 longer", FromRow(4, more=F(2), same=True)),
        ("same as row 4 but 2-1/2 shorter", FromRow(4, more=F(-5, 2), same=True)),
    ):
        plain = {
            replace(each.intent, change=Change())
            for each in found(said, by_voice=False)
            if isinstance(each.intent, FromRow)
        }
        assert replace(derived, change=Change()) in plain, said


def test_rows_and_boards_are_sent_to_a_site() -> None:
    for said, order in (
        ("send row four to house twenty two", OnRow(4, Command("send", to="house 22"))),
        ("send row four to the yard", OnRow(4, Command("send", to="yard"))),
        ("send two of row four to bedroom two", OnRow(4, Command("send", to="bedroom 2", count=2))),
        (
            "send the forty inch left over to house two",
            Command("send boards", length=Length(F(40)), to="house 2"),
        ),
        (
            "send the forty two by four left over to the north house",
            Command(
                "send boards",
                length=Length(F(40)),
                to="north house",
                section=Section(F(2), F(4)),
            ),
        ),
        ("load two arrived", Command("arrived", 2)),
        ("refuse load two", Command("refuse load", 2)),
    ):
        assert [each.intent for each in found(said)] == [order], said


# --- what means nothing ------------------------------------------------------------------------------------


@pytest.mark.parametrize("filler", ["please", "um", "uh", "thanks", "thank you"])
def test_what_means_nothing_changes_nothing(filler: str) -> None:
    plain = {*cuts("thirty six and a half stud")}
    for said in (
        f"{filler} thirty six and a half stud",
        f"thirty six and a half {filler} stud",
        f"thirty six and a half stud {filler}",
        f"{filler} {filler} thirty six and a half stud {filler}",
    ):
        assert {*cuts(said)} == plain, said
    assert refused(filler)
    begins = [form for form in en.FILLERS if form[0] == filler.split()[0]]
    assert len(begins) == 1  # one at most ends behind a word


@pytest.mark.parametrize("number, asks", [(1, True), (24, True), (25, False)])
def test_a_bare_number_behind_give_me_may_be_how_many_up_to_two_dozen(
    number: int, asks: bool
) -> None:
    readings = cuts(f"give me {number}", by_voice=False)
    assert [bool(each.doubts) for each in readings.values()] == [asks] * len(readings)
    assert not any(each.doubts for each in cuts(f"give me {number}-1/2", by_voice=False).values())
    assert not any(each.doubts for each in cuts(f"give me {number + 30} stud", False).values())


# --- tables of words ---------------------------------------------------------------------------------------


def _tables() -> list[tuple[str, Table[object]]]:
    return [(name, each) for name, each in vars(en).items() if isinstance(each, Table)]


@pytest.mark.parametrize("name, table", _tables(), ids=[name for name, _ in _tables()])
def test_of_two_forms_that_begin_alike_the_longer_is_tried_first(
    name: str, table: Table[object]
) -> None:
    """King stud before king: what is found first is what is taken where only one may be."""
    for form in table:
        forms = table.beginning(form[0])
        assert form in forms
        assert [len(each) for each in forms] == sorted((len(each) for each in forms), reverse=True)


def test_a_table_finds_the_longest_form_whatever_the_order_it_was_written_in() -> None:
    for text in ("king, king stud, king stud left", "king stud left, king stud, king"):
        table = Table({1: text})
        assert table.beginning("king") == [("king", "stud", "left"), ("king", "stud"), ("king",)]
        assert table.beginning("stud") == []
        assert table.name(1) == text.split(",")[0]
        assert "king" in table
        assert "stud" not in table
        assert table.get("king") == 1
    weighed = Table({1: "one*3, uno*0", 2: "two"})
    assert weighed.said_aloud() == ["one", "two"]
    drawn = {weighed.draw(random.Random(seed)) for seed in range(30)}
    assert drawn == {"one", "two"}
    assert {weighed.draw(random.Random(seed), 1) for seed in range(9)} == {"one"}
    with pytest.raises(ValueError, match="twice"):
        Table({1: "one, one"})


@pytest.mark.parametrize(
    ("hint", "rest"),
    [
        ("a piece", "stud"),
        ("two by six", "2x6"),
        ("for a place", "for W3"),
        ("half of", "half of 96"),
        ("a fraction", "1/2"),
        ("long point", "plumb 6/12 long point"),
    ],
)
def test_what_is_named_as_what_may_follow_can_follow(hint: str, rest: str) -> None:
    """A line that stops being a call says what may stand there instead."""
    begins = ("36", "36 2x4", "stud 36", "no,")
    named = set()
    for begin in begins:
        with pytest.raises(NotACall) as told:
            read(f"{begin} ?", None, by_voice=False)
        if hint in told.value.expected:
            named.add(begin)
    assert named
    taken = []
    for begin in named:
        with contextlib.suppress(NotACall):
            taken += read(f"{begin} {rest}", None, by_voice=False)
    assert taken
