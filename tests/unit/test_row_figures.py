"""What a row, a load and a rack come to: pieces cut, left, over and away, orders at the saw, sums, and what boards are called."""

from __future__ import annotations

import itertools
import random
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction as F

import pytest

from cutmemo.audio.turns import REST_SECONDS
from cutmemo.domain.cut import Cut, End, Section
from cutmemo.domain.length import Length
from cutmemo.memo.goods import SentBoards
from cutmemo.memo.moves import Move, rack_after, same_name
from cutmemo.memo.rows import (
    Cleared,
    Row,
    Rows,
    SentAway,
    ordered,
    saw_settings,
    settled,
    sums_of,
    without_last,
)
from cutmemo.planning import Lot, Rack
from cutmemo.planning.begun import board_called, called
from cutmemo.planning.kept import BoardPlan
from cutmemo.planning.order import _spare
from cutmemo.planning.rack import MAX_BOARD_INCHES, MAX_BOARDS
from cutmemo.planning.yard import LONGER_LENGTHS, PRECUT_STUDS, USUAL_LENGTHS

STUD = Section(F(2), F(4))
MITER = End("angled", miter=F(45), point="long")
BEVEL = End("angled", bevel=F(30), point="long")


def cut(inches: F | int = 36, count: int = 1, section: Section | None = STUD) -> Cut:
    return Cut(Length(F(inches)), count, section=section)


def cleared(pieces: int, came: str = "", who: str = "ann", at: str = "") -> Cleared:
    return Cleared(f"e{pieces}{came}{who}", pieces, cut(), "saw", who, at, came)


def row(number: int = 1, of: Cut | None = None, *done: Cleared, **more: object) -> Row:
    return Row(f"r{number}", number, of or cut(), cleared=done, **more)  # type: ignore[arg-type]  # of its fields


# --- pieces ------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("count", "here", "came", "away", "left", "over", "at_hand"),
    [
        (4, 0, 0, 0, 4, 0, 0),
        (4, 1, 0, 0, 3, 0, 1),
        (4, 3, 1, 0, 0, 0, 4),
        (4, 3, 2, 0, 0, 1, 5),
        (4, 3, 0, 2, 1, 0, 1),
        (4, 3, 0, 3, 1, 0, 0),
        (4, 3, 0, 5, 1, 0, 0),
    ],
)
def test_pieces_of_a_row_are_cut_left_over_or_away(
    count: int, here: int, came: int, away: int, left: int, over: int, at_hand: int
) -> None:
    made = row(1, cut(36, count), cleared(here), cleared(came, "yard"))
    made = replace(made, sent=(SentAway("a", "b", away),))
    assert (made.done, made.cut_here, made.away) == (here + came, here, away)
    assert (made.left, made.over, made.at_hand) == (left, over, at_hand)
    assert settled(made).state == ("open" if left else "cut")


def test_who_cut_last_is_who_cut_here_last() -> None:
    first, second = cleared(1, who="ann", at="8:00"), cleared(1, who="ben", at="9:00")
    came = cleared(1, came="yard", who="cy", at="10:00")
    made = row(1, cut(36, 4), first, second, came)
    assert (made.cut_by, made.cut_at) == ("ben at saw", "9:00")
    none = row(1, cut(36, 4), came)
    assert (none.cut_by, none.cut_at) == ("", "")


def test_the_stop_block_is_checked_after_the_first_the_second_and_every_tenth_piece() -> None:
    # Common practice; after the last piece there is nothing to check for.
    due = [n for n in range(41) if row(1, cut(36, 40), cleared(n)).stop_block_due]
    assert due == [1, 2, 10, 20, 30]
    assert [n for n in range(4) if row(1, cut(36, 2), cleared(n)).stop_block_due] == [1]


@pytest.mark.parametrize("seed", range(40))
def test_the_last_pieces_are_taken_back_and_with_here_only_those_cut_here(seed: int) -> None:
    r = random.Random(seed)
    listed = tuple(cleared(r.randrange(1, 4), r.choice(["", "yard"]), who=str(n)) for n in range(4))
    pieces = [(each.event, each.came) for each in listed for _ in range(each.pieces)]
    for here, less in itertools.product((False, True), range(13)):
        takeable = [at for at, (_, came) in enumerate(pieces) if not (here and came)]
        taken = {*takeable[max(len(takeable) - less, 0) :]}
        expected = [each for at, each in enumerate(pieces) if at not in taken]
        found = without_last(listed, less, here)
        assert [(each.event, each.came) for each in found for _ in range(each.pieces)] == expected
        assert all(each.pieces > 0 for each in found)


# --- half a call -------------------------------------------------------------------------------------


def test_more_of_a_call_may_come_for_a_moment_where_it_is_open_and_nothing_was_done() -> None:
    then = datetime(2026, 5, 4, 7, 30, tzinfo=UTC)
    at = then.isoformat()
    spoken = row(1, cut(90), said="ninety", by_voice=True, at=at, touched_at=at)

    def goes_on(of: Row, seconds: float) -> bool:
        return of.may_go_on(then + timedelta(seconds=seconds))

    for seconds, may in (
        (-0.001, False),
        (0.0, True),
        (REST_SECONDS - 0.001, True),
        (REST_SECONDS, False),
    ):
        assert goes_on(spoken, seconds) is may
    for other in (
        replace(spoken, by_voice=False),
        replace(spoken, whole=True),
        replace(spoken, state="doubtful"),
        replace(spoken, touched_at=(then + timedelta(seconds=0.1)).isoformat()),
        replace(spoken, said="ninety two and five eighths"),
    ):
        assert not goes_on(other, 0.0)


# --- orders and sums ---------------------------------------------------------------------------------


def _rows() -> list[Row]:
    """Return rows of square, mitered and beveled pieces of several lengths, by number."""
    ends = [(End(), End()), (MITER, End()), (BEVEL, End()), (MITER, MITER)]
    found = []
    for number, (inches, both) in enumerate(itertools.product((36, 60, 36, 48), ends), start=1):
        found.append(row(number, replace(cut(inches), ends=both)))
    return found


@pytest.mark.parametrize("seed", range(10))
def test_rows_are_offered_as_called_longest_first_or_by_setting_of_the_saw(seed: int) -> None:
    rows = _rows()
    shuffled = random.Random(seed).sample(rows, len(rows))
    assert ordered(shuffled, "called") == rows
    longest = ordered(shuffled, "longest")
    assert sorted(r.number for r in longest) == [r.number for r in rows]
    for one, two in itertools.pairwise(longest):
        assert (one.cut.length, -one.number) > (two.cut.length, -two.number)
    at_saw = ordered(shuffled, "saw")
    settings = [r.cut.ends_shown() for r in at_saw]
    groups = [list(group) for _, group in itertools.groupby(at_saw, lambda r: r.cut.ends_shown())]
    assert len(groups) == len({*settings}) == saw_settings(at_saw) == 4
    assert settings[0] == ""
    for group in groups:
        assert group == ordered(group, "longest")
    assert saw_settings([]) == 0
    assert saw_settings(rows) == len(rows)  # each needs another angle than the one before


def test_sums_count_what_is_open_and_leave_out_what_asks() -> None:
    lvl = Section(F(7, 4), F(95, 8), "LVL")
    rows = [
        row(1, cut(36, 4), cleared(1)),
        row(2, cut(48, 2, Section(F(2), F(6)))),
        row(3, cut(60, 3, lvl)),
        row(4, cut(72, 5, None)),
        row(5, cut(30, 2), cleared(2), state="cut"),
        row(6, cut(30, 9), state="doubtful"),
        row(7, cut(30, 9), cleared(1), state="struck"),
    ]
    held = Rows()
    for each in rows:
        held = held.with_row(each)
    found = sums_of(held)
    assert (found.open_pieces, found.cut_pieces, found.doubtful) == (3 + 2 + 3 + 5, 1 + 2 + 1, 1)
    assert found.open_inches == 3 * 36 + 2 * 48 + 3 * 60 + 5 * 72
    # A board foot is 144 cubic inches nominal: 2 × 4 × 36 and 2 × 6 × 48 (common practice).
    assert found.open_board_feet == F(3 * 2 * 4 * 36 + 2 * 2 * 6 * 48, 144)
    assert found.unsized == 3 + 5


def test_rows_are_known_by_number_and_by_every_id_they_ever_had() -> None:
    first, second = row(1), replace(row(2), also=("old", "older"))
    held = Rows().with_row(second).with_row(first)
    assert [each.number for each in held.values()] == [1, 2]
    assert [*held] == ["r1", "r2"]
    assert (len(held), held["old"], held["older"], "old" in held) == (2, second, second, True)
    assert held.numbered(2) == second
    assert held.numbered(3) is None
    less = held.without(first)
    assert (len(less), "r1" in less, less.numbered(1)) == (1, False, None)
    assert held == Rows().with_row(first).with_row(second)
    assert held != less
    assert held != {"r1": first}


# --- loads ---------------------------------------------------------------------------------------------


def load(count: int, **more: object) -> Move:
    goods = SentBoards("lot", STUD, F(96), count)
    return Move("m", 1, "here", "there", goods, "", "", going=True, **more)  # type: ignore[arg-type]  # of its fields


@pytest.mark.parametrize(
    ("sent", "arrived", "refused", "standing"),
    [
        (True, False, False, "on its way"),
        (False, False, False, "taken back"),
        (True, False, True, "refused"),
        (False, False, True, "refused"),
        (True, True, False, "arrived"),
        (True, True, True, "arrived"),
        (False, True, False, "arrived"),
    ],
)
def test_what_was_seen_to_arrive_counts_before_a_refusal_and_both_before_the_sending(
    sent: bool, arrived: bool, refused: bool, standing: str
) -> None:
    move = load(3, sent=sent, arrived=arrived, refused=refused, gone=1)
    assert move.standing == standing
    assert move.off is (standing in ("on its way", "arrived"))
    assert move.missing == (2 if move.off else 0)
    assert replace(move, going=False).missing == 0


def test_boards_leave_the_rack_as_far_as_there_are_any_and_come_back_as_many() -> None:
    lot = Lot("lot", 4, STUD, F(96), 2, price=F(3))
    rack = Rack((lot, Lot("other", 5, STUD, F(96), 9)), 5)
    for count, gone in ((1, 1), (2, 2), (3, 2)):
        after, move = rack_after(rack, load(count))
        left = after.by_id("lot")
        assert (move.gone, move.lot) == (gone, lot)
        assert (0 if left is None else left.count) == 2 - gone
        assert rack_after(after, move) == (after, move)  # told again: nothing more goes
        back, again = rack_after(after, replace(move, refused=True))
        returned = back.by_id("lot")
        assert returned is not None
        assert (returned.count, returned.number, returned.price, again.gone) == (2, 4, 3, 0)
        assert rack_after(back, again) == (back, again)
    assert after.by_id("other") == rack.by_id("other")
    empty = Rack((), 5)
    nothing, move = rack_after(empty, load(1))
    assert (nothing, move.gone) == (empty, 0)
    coming = replace(load(1), going=False)
    assert rack_after(rack, coming) == (rack, coming)
    forgotten = load(1, refused=True, gone=1)
    assert rack_after(empty, forgotten) == (empty, replace(forgotten, gone=0))


def test_names_of_sites_are_one_however_they_are_written() -> None:
    assert same_name("  House  No. 4 ") == same_name("house no.\t4") == "house no. 4"
    assert same_name("STRASSE") == same_name("straße")


# --- what boards are called ------------------------------------------------------------------------------


def _begun(board: str, number: int, begun: bool = True) -> BoardPlan:
    return BoardPlan(board, board, STUD, "", number, F(0), F(96), (), F(0), begun=begun)


def test_begun_boards_have_the_number_of_their_lot_and_a_letter_each() -> None:
    many = [_begun(f"b{n}", 3) for n in range(55)]
    rack = Rack(boards=(_begun("x", 4), *many, _begun("y", 0), _begun("z", 0), _begun("w", 4)))
    names = called(rack)
    assert (names["x"], names["w"], names["y"], names["z"]) == ("4a", "4b", "a", "b")
    assert [names[f"b{n}"] for n in (0, 1, 25, 26, 27, 51, 52, 54)] == [
        *("3a", "3b", "3z", "3aa", "3bb", "3zz", "3aaa", "3ccc"),
    ]
    assert len({*names.values()}) == len(names)
    for board, name in names.items():
        assert board_called(rack, name) == board
    assert board_called(rack, "4c") is None
    fresh = Rack(boards=(_begun("p", 3, begun=False), _begun("q", 3), _begun("q", 3)))
    assert called(fresh) == {"q": "3a"}


@pytest.mark.parametrize("seed", range(40))
def test_sound_stretches_are_what_no_bad_part_takes(seed: int) -> None:
    r = random.Random(seed)
    bad = tuple((F(begin), F(begin + r.randrange(1, 9))) for begin in r.choices(range(24), k=3))
    runs = Lot("a", 1, STUD, F(24), 1, bad=tuple((b, min(e, F(24))) for b, e in bad)).runs()
    sound = [
        not any(begin <= inch < end for begin, end in bad) for inch in range(24)
    ]  # inch by inch
    expected, at = [], 0
    for good, group in itertools.groupby(sound):
        size = len([*group])
        if good:
            expected.append((F(at), F(at + size)))
        at += size
    assert list(runs) == expected


def test_a_rack_is_changed_lot_by_lot_and_numbers_are_given_once() -> None:
    rack = Rack().with_lot(Lot("a", 0, STUD, F(96), 2, price=F(4)))
    rack = rack.with_lot(Lot("b", 0, STUD, F(120), 1)).with_number_spent()
    rack = rack.with_lot(Lot("c", 0, STUD, F(96), 1, price=F(5)))
    assert [lot.number for lot in rack.lots] == [1, 2, 4]
    assert rack.price_of(STUD, F(96)) == 5  # the last said first
    assert rack.price_of(STUD, F(120)) is None
    assert rack.price_of(None, F(96)) is None
    assert (rack.lot(2), rack.lot(3)) == (rack.by_id("b"), None)
    sawn = rack.sawn("a")
    assert [(lot.id, lot.count) for lot in sawn.lots] == [("a", 1), ("b", 1), ("c", 1)]
    assert [lot.id for lot in sawn.sawn("a").lots] == ["b", "c"]
    assert rack.sawn("x") == rack.changed("x", 3) == rack
    longer = rack.changed("b", inches=F(100), bad=((F(0), F(1)),)).by_id("b")
    assert longer is not None
    assert (longer.count, longer.inches, longer.bad) == (1, 100, ((0, 1),))
    assert rack.changed("b").by_id("b") == rack.by_id("b")


def test_lumber_is_sold_in_steps_of_two_feet_and_studs_by_their_walls() -> None:
    """Common practice: 8 to 16 ft usual, to 24 ft; pre-cut studs for walls of 8, 9 and 10 ft."""
    assert list(USUAL_LENGTHS) == [12 * feet for feet in range(8, 17, 2)]
    assert list(LONGER_LENGTHS) == [12 * feet for feet in range(18, 25, 2)]
    # A wall is three plates of 1-1/2 higher than its studs, and an inch and an eighth more than its feet.
    assert list(PRECUT_STUDS) == [12 * feet + F(9, 8) - F(9, 2) for feet in (8, 9, 10)]
    assert (MAX_BOARDS, MAX_BOARD_INCHES) == (5_000, 60 * 12)


@pytest.mark.parametrize("seed", range(60))
def test_spare_boards_are_enough_for_the_allowance_and_none_could_be_left_out(seed: int) -> None:
    r = random.Random(seed)
    order = {F(12 * feet): r.randrange(1, 40) for feet in r.sample([8, 10, 12, 14, 16], 3)}
    allowance = F(r.randrange(0, 31), 100)
    spare = _spare(order, allowance)
    asked = allowance * sum(inches * needed for inches, needed in order.items())
    held = sum(inches * number for inches, number in spare.items())
    assert held >= asked
    more = []
    for inches, needed in order.items():
        share = needed * allowance
        assert spare[inches] - int(share) in (0, 1)
        if spare[inches] > int(share):
            more.append((share % 1, inches))
    # One more of those whose share was cut shortest, the longer of two, until it is enough.
    rest = [(n * allowance % 1, i) for i, n in order.items() if (n * allowance % 1, i) not in more]
    assert not more or not rest or min(more) >= max(rest)
    assert not more or held - min(more)[1] < asked
