"""What no event may say, however it came: each limit, the last that may be and the first that may not."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut, End, Section
from cutmemo.domain.length import Length
from cutmemo.domain.limits import MAX_RISE
from cutmemo.memo import events as e
from cutmemo.memo.chain import end_gap
from cutmemo.memo.codec import MAX_LINE, MAX_NAME, decode, encode, from_line, to_line
from cutmemo.memo.copies import kept
from cutmemo.memo.events import Event
from cutmemo.memo.goods import SentBoards, SentPieces
from cutmemo.planning.begun import Sawn
from cutmemo.planning.kept import BoardPlan, KeptPiece

FINE = F(1, 64)
MILLION = 1_000_000
STUD = Section(F(2), F(4))


def cut(inches: F | int = 36, count: int = 1) -> Cut:
    return Cut(Length(F(inches)), count)


def boards(
    inches: F | int = 96,
    count: int = 1,
    section: Section | None = STUD,
    price: F | None = None,
    bad: tuple[tuple[F | int, F | int], ...] = (),
) -> e.BoardsAdded:
    parts = tuple((F(begin), F(end)) for begin, end in bad)
    return e.BoardsAdded(
        lot="a", section=section, inches=F(inches), count=count, price=price, bad=parts
    )


PLAN = BoardPlan(
    *("id", "board", STUD, "lot", 1, F(0), F(96)),
    (KeptPiece("row", F(36), F(0)), KeptPiece("row", F(40), F(56))),
    F(1, 8),
    page="p",
)
"""The second piece ends with the board."""


def printed(**changed: object) -> e.BoardsPrinted:
    return e.BoardsPrinted(page="p", plans=(PLAN, replace(PLAN, **changed)))  # type: ignore[arg-type]  # of its fields


def piece(inches: F | int, start: F | int) -> tuple[KeptPiece, ...]:
    return (PLAN.pieces[0], KeptPiece("row", F(inches), F(start)))


def yard(
    lengths: tuple[F | int, ...] = (96,), price: F | int = 3, minimum: int = 1, precut: F | int = 92
) -> e.YardSet:
    inches = tuple(map(F, lengths))
    return e.YardSet(
        section=STUD,
        lengths=inches,
        precuts=(F(precut),),
        prices=((F(96), F(price)),),
        minimum=minimum,
    )


Make = Callable[[], object]
LIMITS: list[tuple[Make, Make]] = [
    (lambda: e.QuestionAnswered("a", cut(FINE)), lambda: e.QuestionAnswered("a", cut(0))),
    (lambda: e.QuestionAnswered("a", cut(FINE)), lambda: e.QuestionAnswered("a", cut(-FINE))),
    (
        lambda: e.QuestionAnswered("a", cut(MILLION)),
        lambda: e.QuestionAnswered("a", cut(MILLION + FINE)),
    ),
    (lambda: e.QuestionAnswered("a", cut(36, 1)), lambda: e.QuestionAnswered("a", cut(36, 0))),
    (
        lambda: e.QuestionAnswered("a", cut(36, MILLION)),
        lambda: e.QuestionAnswered("a", cut(36, MILLION + 1)),
    ),
    (
        lambda: e.CutAdded(row="a", cut=cut(), readings=(cut(), cut(37)), said=""),
        lambda: e.CutAdded(row="a", cut=cut(), readings=(cut(), cut(0)), said=""),
    ),
    (
        lambda: e.CutChanged(row="a", cut=cut(), readings=(cut(), cut(37))),
        lambda: e.CutChanged(row="a", cut=cut(), readings=(cut(), cut(0))),
    ),
    (lambda: e.CutChanged(row="a", cut=cut()), lambda: e.CutChanged(row="a", cut=cut(0))),
    (lambda: e.AssemblyRow("a", cut()), lambda: e.AssemblyRow("a", cut(0))),
    (lambda: assembly("a"), lambda: assembly()),
    (lambda: assembly("a", "b"), lambda: assembly("a", "b", "a")),
    (lambda: e.PiecesPutBack("a", 0), lambda: e.PiecesPutBack("a", -1)),
    (lambda: e.PiecesPutBack("a", MILLION), lambda: e.PiecesPutBack("a", MILLION + 1)),
    (
        lambda: e.PiecesCleared(row="a", pieces=MILLION),
        lambda: e.PiecesCleared(row="a", pieces=MILLION + 1),
    ),
    (
        lambda: e.PiecesCleared(row="a", pieces=1, cut=cut()),
        lambda: e.PiecesCleared(row="a", pieces=1, cut=cut(0)),
    ),
    (
        lambda: e.PiecesCleared(row="a", pieces=1, sawn=(Sawn("board", (PLAN,)),)),
        lambda: e.PiecesCleared(row="a", pieces=1, sawn=(Sawn("other", (PLAN,)),)),
    ),
    (
        lambda: e.PieceSpoiled(row="a", reason="", was_cut=False, sawn=(Sawn("board", (PLAN,)),)),
        lambda: e.PieceSpoiled(row="a", reason="", was_cut=False, sawn=(Sawn("other", (PLAN,)),)),
    ),
    (lambda: e.BoardRest("a", STUD, FINE), lambda: e.BoardRest("a", STUD, F(0))),
    (
        lambda: e.BoardRest("a", Section(FINE, F(1000)), FINE),
        lambda: e.BoardRest("a", Section(F(0), F(4)), FINE),
    ),
    (lambda: boards(FINE), lambda: boards(0)),
    (lambda: boards(MILLION), lambda: boards(MILLION + FINE)),
    (lambda: boards(count=0), lambda: boards(count=-1)),
    (lambda: boards(count=MILLION), lambda: boards(count=MILLION + 1)),
    (lambda: boards(section=None), lambda: boards(section=Section(F(2), F(0)))),
    (
        lambda: boards(section=Section(F(1000), F(1000))),
        lambda: boards(section=Section(F(2), F(1000) + FINE)),
    ),
    (
        lambda: boards(section=Section(None, F(4), "LVL")),
        lambda: boards(section=Section(None, F(-4), "LVL")),
    ),
    (lambda: boards(price=F(0)), lambda: boards(price=-FINE)),
    (lambda: boards(bad=((0, FINE), (95, 96))), lambda: boards(bad=((0, FINE), (95, 96 + FINE)))),
    (lambda: boards(bad=((0, 1),)), lambda: boards(bad=((-FINE, 1),))),
    (lambda: boards(bad=((1, 1 + FINE),)), lambda: boards(bad=((1, 1),))),
    (lambda: e.BoardsChanged(lot="a", count=0), lambda: e.BoardsChanged(lot="a", count=-1)),
    (lambda: e.BoardsChanged(lot="a", inches=FINE), lambda: e.BoardsChanged(lot="a", inches=F(0))),
    (lambda: e.BoardsChanged(lot="a"), lambda: e.BoardsChanged(lot="a", count=MILLION + 1)),
    (lambda: yard((FINE, MILLION)), lambda: yard((96, 0))),
    (lambda: yard((96,), 0), lambda: yard((96,), -FINE)),
    (lambda: yard(minimum=1), lambda: yard(minimum=0)),
    (lambda: yard(minimum=MILLION), lambda: yard(minimum=MILLION + 1)),
    (lambda: yard(precut=FINE), lambda: yard(precut=0)),
    (
        lambda: e.OrderTermsSet(waste_allowance=F(1), budget=F(0)),
        lambda: e.OrderTermsSet(waste_allowance=1 + FINE),
    ),
    (
        lambda: e.OrderTermsSet(waste_allowance=F(0)),
        lambda: e.OrderTermsSet(waste_allowance=-FINE),
    ),
    (lambda: e.OrderTermsSet(budget=F(0)), lambda: e.OrderTermsSet(budget=-FINE)),
    (lambda: printed(), lambda: printed(page="q")),
    (lambda: printed(place=0), lambda: printed(place=-1)),
    (lambda: printed(start=F(0)), lambda: printed(start=-FINE)),
    (lambda: printed(kerf=F(0)), lambda: printed(kerf=-FINE)),
    (lambda: printed(number=0), lambda: printed(number=-1)),
    (lambda: printed(inches=F(96)), lambda: printed(inches=96 - FINE)),
    (lambda: printed(section=None), lambda: printed(section=Section(F(0), F(4)))),
    (lambda: printed(pieces=piece(40, 56)), lambda: printed(pieces=piece(40, 56 + FINE))),
    (lambda: printed(pieces=piece(40, 0)), lambda: printed(pieces=piece(40, -FINE))),
    (lambda: printed(pieces=piece(FINE, 0)), lambda: printed(pieces=piece(0, 0))),
    (lambda: printed(inches=F(MILLION)), lambda: printed(inches=MILLION + FINE)),
    (lambda: load("a", "b"), lambda: load(" ", "b")),
    (lambda: load("a", "b"), lambda: load("a", "\t")),
    (lambda: SentPieces("a", cut()), lambda: SentPieces("a", cut(0))),
    (lambda: SentBoards("a", STUD, F(96), 1), lambda: SentBoards("a", STUD, F(96), 0)),
    (lambda: SentBoards("a", STUD, FINE), lambda: SentBoards("a", STUD, F(0))),
]


def assembly(*rows: str) -> e.AssemblyAdded:
    return e.AssemblyAdded(rows=tuple(e.AssemblyRow(row, cut()) for row in rows), title="", said="")


def load(sender: str, to: str) -> e.Sent:
    return e.Sent(sender=sender, to=to, goods=SentPieces("row", cut()))


@pytest.mark.parametrize("number", range(len(LIMITS)))
def test_what_just_may_be_is_read_again_as_it_was_and_the_next_is_refused(number: int) -> None:
    fits, past = LIMITS[number]
    made = fits()
    if isinstance(made, e.Payload):
        assert decode(made.KIND, made.VERSION, encode(made)) == made
    with pytest.raises(ValueError, match=r"cannot be|no yard has|has to come"):
        past()


# --- the line around an event -----------------------------------------------------------------------


def line(**changed: object) -> str:
    payload = e.OrderSet("longest")
    at = "2026-05-04T07:30:00+00:00"
    made = Event("id", at, "s", "w", e.OrderSet.KIND, 2, payload, encode(payload), "r", 1, ("a",))
    head, _, body = to_line(replace(made, **changed)).partition(', "payload"')  # type: ignore[arg-type]  # of its fields
    return f'{head}, "payload"{body}'


def without_hash(text: str, **changed: object) -> str:
    plain = json.loads(text) | changed
    del plain["hash"]
    return json.dumps(plain)


@pytest.mark.parametrize("name", ["id", "station", "who", "replica"])
def test_a_name_is_no_longer_than_a_thousand_signs_and_most_are_not_empty(name: str) -> None:
    assert getattr(from_line(line(**{name: "x" * MAX_NAME})), name) == "x" * MAX_NAME
    with pytest.raises(ValueError, match="too long"):
        from_line(line(**{name: "x" * (MAX_NAME + 1)}))
    if name == "replica":
        assert from_line(line(replica="")).replica == ""
        return
    with pytest.raises(ValueError, match="empty"):
        from_line(line(**{name: ""}))


def test_the_numbers_of_an_event_are_whole_and_no_larger_than_a_float_holds() -> None:
    for number, fits in ((0, True), (2**53 - 1, True), (2**53, False), (-1, False)):
        if fits:
            assert from_line(line(number=number)).number == number
        else:
            with pytest.raises(ValueError, match="number cannot be"):
                from_line(line(number=number))
    for wrong in (True, 1.5, "1", None):
        with pytest.raises(ValueError, match="number cannot be"):
            from_line(without_hash(line(), number=wrong), hashed=False)
    newer = from_line(line(version=3))
    assert isinstance(newer.payload, e.Unreadable)
    assert newer.payload.newer


def test_a_line_is_no_longer_than_four_million_signs() -> None:
    short = without_hash(line())
    padded = short + " " * (MAX_LINE - len(short))
    assert from_line(padded, hashed=False).id == "id"
    with pytest.raises(ValueError, match="too long"):
        from_line(padded + " ", hashed=False)


def test_no_event_names_itself_and_an_edited_one_has_no_hash() -> None:
    for wrong, why in (
        (line(after=("a", "id")), "names itself"),
        (without_hash(line()), "hash is missing"),
        (line().replace("longest", "called"), "hash does not fit"),
    ):
        with pytest.raises(ValueError, match=why):
            from_line(wrong)
    undone = e.EventUndone("id")
    with pytest.raises(ValueError, match="names itself"):
        from_line(line(kind=undone.KIND, payload=undone, raw=encode(undone)))
    other = e.EventUndone("other")
    assert from_line(line(kind=other.KIND, payload=other, raw=encode(other))).payload == other


def test_a_damaged_event_goes_out_without_a_hash_and_does_not_come_in() -> None:
    damaged = line(payload=e.Unreadable(newer=False, why="gone"), raw="{")
    plain = json.loads(damaged)
    assert (plain["hash"], plain["payload"]) == ("", "{")
    with pytest.raises(ValueError, match="wrong type"):
        from_line(damaged)


# --- gaps and copies ------------------------------------------------------------------------------------


def test_the_gap_at_the_end_of_a_file_is_behind_its_last_entry() -> None:
    nothing = end_gap(None, 3, "copy")
    assert (nothing.before, nothing.behind, nothing.station) == ("", "", "")
    assert (nothing.missing, nothing.copy) == (3, "copy")
    last = from_line(line(station="saw"))
    behind = end_gap(last, 2)
    assert (behind.before, behind.behind, behind.station, behind.missing) == (last.at, "", "saw", 2)


def test_the_last_ten_copies_are_kept_and_the_last_of_each_of_seven_days() -> None:
    now = datetime(2026, 5, 20, 18, tzinfo=UTC)
    hourly = [now - timedelta(hours=n) for n in range(24 * 12)]
    found = kept(hourly)
    last_ten = set(hourly[:10])
    ends_of_days = {datetime(2026, 5, day, 23, tzinfo=UTC) for day in range(14, 20)}
    assert found == last_ten | ends_of_days  # today's last is among the ten
    assert kept(hourly[:10]) == set(hourly[:10])
    daily = [now - timedelta(days=n) for n in range(30)]
    assert kept(daily) == set(daily[:10])
    assert kept([]) == set()
    assert kept(reversed(hourly)) == found


# --- what boards of a plan cut ends ---------------------------------------------------------------------


def test_ends_past_what_a_saw_and_a_roof_have_are_damage() -> None:
    for end, fits in (
        (End("angled", miter=90 - FINE), True),
        (End("angled", miter=F(90)), False),
        (End("angled", miter=-FINE), False),
        (End("angled", bevel=90 - FINE), True),
        (End("angled", bevel=F(90)), False),
        (End("angled", miter=F(0), bevel=F(0)), True),
        (End("plumb", rise=F(1, 4)), True),  # the least slope of a roof, in 12 (IRC R905.9.1)
        (End("plumb", rise=F(0)), True),
        (End("plumb", rise=-FINE), False),
        (End("plumb", rise=MAX_RISE), True),
        (End("plumb", rise=MAX_RISE + FINE), False),
    ):
        for ends in ((end, End()), (End(), end)):
            of = replace(cut(), ends=ends)
            if fits:
                assert e.QuestionAnswered("a", of).cut == of
            else:
                with pytest.raises(ValueError, match="cannot be"):
                    e.QuestionAnswered("a", of)
