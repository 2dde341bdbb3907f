"""What a call, an order or a board comes to, where one row, one board or one reading more would change it."""

from __future__ import annotations

import hashlib
import string
from fractions import Fraction as F
from pathlib import Path

import pytest
from conftest import Clock
from desk import Desk, refused

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.doubts import DoubtKind
from cutmemo.domain.length import Length
from cutmemo.errors import BadBoards, NothingToDo, Refused
from cutmemo.language import read
from cutmemo.memo import receipts
from cutmemo.memo.commands import AddBoards, Boards, ChangeBoards, Order
from cutmemo.memo.decide import calls, rack, saw
from cutmemo.memo.decide.cuts import Call, _longest_board, _seconds_since
from cutmemo.memo.events import BoardsAdded, BoardsChanged, CutChanged

TWO_BY_FOUR, TWO_BY_SIX = Section(F(2), F(4)), Section(F(2), F(6))


def asked(desk: Desk, number: int) -> list[DoubtKind]:
    return [each.kind for each in desk.find(str(number)).doubts]


# --- the rack -------------------------------------------------------------------------------------


def test_the_longest_board_is_the_longest_of_the_cuts_own_section(session: Desk) -> None:
    for boards in ("3 2x4 8 footers", "1 2x4 16 footers", "2 2x4 12 footers", "1 2x6 20 footers"):
        session.call(boards)

    def longest(section: Section | None) -> F | None:
        return _longest_board(session.state, Cut(Length(F(36)), section=section))

    assert longest(TWO_BY_FOUR) == 192
    assert longest(TWO_BY_SIX) == 240
    assert longest(Section(F(2), F(8))) is None
    assert longest(None) is None
    session.call("192 2x4")
    session.call("192-1/16 2x4")
    assert asked(session, 1) == []
    assert DoubtKind.PAST_EVERY_BOARD in asked(session, 2)


def test_boards_put_on_the_rack_together_are_one_load_and_boards_alone_are_none(
    session: Desk,
) -> None:
    one, other = Boards(TWO_BY_FOUR, F(96), 3), Boards(TWO_BY_SIX, F(192), 1)

    def loads_of(*boards: Boards) -> list[str]:
        before = len(session.log)
        session.done(AddBoards(boards))
        added = [event.payload for event in session.log[before:]]
        return [each.list for each in added if isinstance(each, BoardsAdded)]

    assert loads_of(one) == [""]
    first, second = loads_of(one, other)
    assert first == second != ""
    third, *_ = loads_of(one, other)
    assert third != first


# --- the same call again --------------------------------------------------------------------------


def test_how_long_ago_a_call_was_made_counts_from_the_last_one_of_this_station(
    session: Desk, clock: Clock
) -> None:
    said = Cut(Length(F(36)))
    for _ in range(3):
        session.call("36")
        clock.later(40)
        session.call("41")
        clock.later(20)

    def since(cut: Cut) -> float | None:
        return _seconds_since(session.state, cut, None, session.context(place=session.place))

    assert since(said) == pytest.approx(60, abs=1)
    assert since(Cut(Length(F(41)))) == pytest.approx(20, abs=1)
    assert since(Cut(Length(F(36)), 2)) is None
    assert since(Cut(Length(F(37)))) is None
    row = session.find("1")
    context = session.context(place=session.place)
    assert _seconds_since(session.state, said, row, context) is None


# --- orders for a row -----------------------------------------------------------------------------


def decided(desk: Desk, words: str, unsure: bool = False, by_voice: bool = True) -> str:
    """Return what *words* about a row come to."""
    readings = read(words, desk.state.settings)
    call = Call(words, by_voice, unsure=unsure)
    projection = desk.memo.projection
    context = desk.context(place=desk.place)
    return calls._on_row(projection, call, readings, context).result.happened


@pytest.mark.parametrize("words", ["strike row 2", "hold row 2", "row 2 done"])
def test_an_order_for_a_row_that_was_not_surely_heard_is_not_obeyed(
    session: Desk, words: str
) -> None:
    session.call("36")
    session.call("41")
    before = list(session.log)
    for by_voice, kind in (
        (True, DoubtKind.ORDER_HEARD_TWO_WAYS),
        (False, DoubtKind.ORDER_SAID_TWO_WAYS),
    ):
        with pytest.raises(Refused) as caught:
            decided(session, words, unsure=True, by_voice=by_voice)
        assert [each.kind for each in caught.value.reasons] == [kind]
    assert session.log == before
    assert decided(session, words) not in ("", "asked")


def test_a_change_of_a_row_asks_where_it_was_not_surely_heard_or_reads_two_ways(
    session: Desk,
) -> None:
    for _ in range(4):
        session.call("36")
    session.call("row 1 62")
    assert (asked(session, 1), session.find("1").cut.length) == ([], Length(F(62)))
    session.call("row 2 six two")
    assert DoubtKind.SAID_TWO_WAYS in asked(session, 2)
    assert {each.length.inches for each in session.find("2").readings} == {62, 74}
    (change,) = read("row 3 62", session.state.settings)
    (order,) = read("strike row 3", session.state.settings)
    for number, readings, unsure, asks in (
        (3, (change,), False, []),
        (3, (change,), True, [DoubtKind.HEARD_TWO_WAYS]),
        (3, (change, order), False, [DoubtKind.SAID_TWO_WAYS]),
    ):
        call = Call("row 3 62", by_voice=True, unsure=unsure)
        context = session.context(place=session.place)
        found = calls._on_row(session.memo.projection, call, readings, context)
        (changed,) = [draft.payload for draft in found.drafts]
        assert isinstance(changed, CutChanged)
        assert changed.row == session.find(str(number)).id
        assert [each.kind for each in changed.doubts] == asks


# --- trouble at the saw ---------------------------------------------------------------------------


def test_trouble_with_a_row_that_is_named_is_of_no_other_row(session: Desk) -> None:
    for said in ("36", "2 @ 41", "58"):
        session.call(said)
    first, second, third = (session.find(number) for number in "123")
    session.clear(first.id)
    assert [(each.row.number, each.was_cut) for each in session.suspects()] == [
        (1, True),
        (2, False),
    ]
    assert [(each.row.number, each.was_cut) for each in session.suspects(first.id)] == [(1, True)]
    for row in (second, third):
        found = [(each.row.number, each.was_cut) for each in session.suspects(row.id)]
        assert found == [(row.number, False)]
    # With another act since, the piece in hand alone.
    session.hold(third.id)
    assert [(each.row.number, each.was_cut) for each in session.suspects()] == [(2, False)]
    with refused(NothingToDo, ""):
        session.done(Order("trouble", third.id, reason="short", was_cut=True))


# --- names ----------------------------------------------------------------------------------------


def test_a_memo_is_known_to_devices_by_64_bits_of_its_place(tmp_path: Path) -> None:
    # The form is kept by devices of a site: it must not change (RFC 6234: SHA-256).
    path = tmp_path / "porch.cutmemo"
    named = receipts.memo_id(path)
    assert len(named) * 4 == 64
    assert set(named) <= set(string.hexdigits.lower())
    digest = hashlib.sha256(bytes(str(path.resolve()), "utf-8")).digest()
    assert bytes.fromhex(named) == digest[:8]
    assert receipts.memo_id(path.parent / "x" / ".." / path.name) == named
    assert receipts.memo_id(path.with_name("deck.cutmemo")) != named


def test_trouble_is_with_the_likeliest_piece_unless_both_row_and_piece_are_named(
    session: Desk,
) -> None:
    for said in ("2 @ 36", "41"):
        session.call(said)
    first, second = session.find("1"), session.find("2")
    session.clear(first.id)

    def chosen(row_id: str | None, was_cut: bool | None) -> tuple[int, bool]:
        given = Order("trouble", row_id, reason="short", was_cut=was_cut)
        found = saw._in_trouble(session.memo.projection, given, session.context())
        return found.row.number, found.was_cut

    assert chosen(None, None) == (1, True)
    assert chosen(None, False) == chosen(None, True) == (1, True)
    assert chosen(first.id, None) == (1, True)
    assert chosen(first.id, False) == (1, False)
    assert chosen(second.id, None) == (2, False)
    assert chosen(second.id, True) == (2, True)


# --- answers and rows that are struck -------------------------------------------------------------


@pytest.mark.parametrize("minutes", [0, 30])
def test_a_typed_answer_counts_however_long_ago_the_question_was_asked(
    session: Desk, clock: Clock, minutes: int
) -> None:
    session.call("six two")
    clock.later(60 * minutes)
    if minutes:
        with refused(NothingToDo, ""):
            session.hear(Recognition((Hypothesis("yes", 100.0),)))
        assert session.find("1").state == "doubtful"
    session.call("no")
    assert session.find("1").state == "struck"


@pytest.mark.parametrize("said", ["same as row 1", "row 1 minus 2", "half of row 1"])
def test_nothing_is_worked_out_from_a_row_that_is_struck_or_asks(session: Desk, said: str) -> None:
    session.call("36")
    session.call("six two")
    session.call("strike row 1")
    before = list(session.log)
    for row, kind in ((1, DoubtKind.STATE_ALREADY), (2, DoubtKind.ASKS_FIRST)):
        with pytest.raises(NothingToDo) as caught:
            session.call(said.replace("row 1", f"row {row}"))
        assert caught.value.reason.kind is kind
    assert session.log == before
    session.call("put back row 1")
    session.call(said)
    assert len(session.state.rows) == 3


# --- boards that cannot be ------------------------------------------------------------------------

FIVE_THOUSAND = 5_000
"""No rack holds more boards of a kind, and no crew handles boards past 60 ft (common practice)."""


@pytest.mark.parametrize(
    ("inches", "count", "bad", "kind"),
    [
        (F(0), 1, (), DoubtKind.BOARD_LENGTH),
        (F(1, 64), 1, (), None),
        (F(720), 1, (), None),
        (F(720) + F(1, 64), 1, (), DoubtKind.BOARD_LENGTH),
        (F(96), 0, (), DoubtKind.BOARD_COUNT),
        (F(96), FIVE_THOUSAND, (), None),
        (F(96), FIVE_THOUSAND + 1, (), DoubtKind.BOARD_COUNT),
        (F(96), 1, ((F(0), F(96)),), None),
        (F(96), 1, ((F(-1, 16), F(4)),), DoubtKind.BAD_PART_OFF_BOARD),
        (F(96), 1, ((F(4), F(4)),), DoubtKind.BAD_PART_OFF_BOARD),
        (F(96), 1, ((F(5), F(4)),), DoubtKind.BAD_PART_OFF_BOARD),
        (F(96), 1, ((F(90), F(96) + F(1, 16)),), DoubtKind.BAD_PART_OFF_BOARD),
        (F(96), 1, ((F(1), F(2)), (F(90), F(97))), DoubtKind.BAD_PART_OFF_BOARD),
    ],
)
def test_boards_that_cannot_be_are_refused_and_nothing_of_the_load_is_added(
    session: Desk,
    inches: F,
    count: int,
    bad: tuple[tuple[F, F], ...],
    kind: DoubtKind | None,
) -> None:
    before = list(session.log)
    wrong = Boards(TWO_BY_FOUR, inches, count, bad=bad)
    if kind is None:
        session.done(AddBoards((wrong,)))
        (lot,) = session.state.rack.lots
        assert (lot.inches, lot.count) == (inches, count)
        return
    for load in ((wrong,), (Boards(TWO_BY_FOUR, F(96), 1), wrong)):
        with pytest.raises(BadBoards) as caught:
            session.done(AddBoards(load))
        assert caught.value.reason.kind is kind
    assert session.log == before


def test_a_lot_may_be_used_up_and_is_known_by_its_number_alone(session: Desk) -> None:
    session.done(AddBoards((Boards(TWO_BY_FOUR, F(96), 3),)))
    assert rack.lot_of(session.state, "1").count == 3
    for name in ("0", "2", "-1", "one", "1.0", "", "9" * 10, "1" * 4_301):
        with pytest.raises(BadBoards):
            rack.lot_of(session.state, name)
    (draft,) = rack.change_boards(session.state, ChangeBoards("1", count=0)).drafts
    assert isinstance(draft.payload, BoardsChanged)
    assert (draft.payload.count, draft.payload.inches) == (0, None)
    for change in ({"count": -1}, {"inches": F(0)}, {"bad": ((F(90), F(97)),)}):
        with pytest.raises(BadBoards):
            rack.change_boards(session.state, ChangeBoards("1", **change))  # type: ignore[arg-type]
    (draft,) = rack.change_boards(
        session.state, ChangeBoards("1", inches=F(90), bad=((F(80), F(90)),))
    ).drafts
    assert isinstance(draft.payload, BoardsChanged)
    assert draft.payload.bad == ((F(80), F(90)),)
