"""Laws of any day: two stations, corrections, answers, racks, bevels, hips, odd denominators, trim.

Every piece called is cut, open, struck or asked; each was cut as it was called when it was cut;
every inch of board is piece, kerf, trim or rest; nothing overlaps.
"""

from __future__ import annotations

import contextlib
import math
import random
import tempfile
from collections import Counter
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from fractions import Fraction as F
from pathlib import Path

import pytest
from desk import Desk
from hypothesis import example, given, settings
from hypothesis import strategies as st

from cutmemo.domain.cut import Cut, End, Section
from cutmemo.errors import CutmemoError
from cutmemo.memo import Projection, open_store
from cutmemo.memo.commands import PrintBoards, ReleaseBoards
from cutmemo.memo.decide import find
from cutmemo.memo.events import CutChanged, PiecesCleared, PieceSpoiled
from cutmemo.memo.rows import Row
from cutmemo.planning.kept import BoardPlan, KeptPiece
from cutmemo.planning.yard import Yard

ENDS = (
    "", "", "", " plumb 7/12 long point", " plumb 5/12 short point", " hip 8/12 short point",
    " 22-1/2 degree miter short point", " bevel 30 short point",
)  # fmt: skip
PARTS = ("", "-1/2", "-3/8", "-11/16", "-17/32", "-5/64", "-1/3", "-2/7")
SECTIONS = ("2x4", "2x6")


class Account:
    """What a day comes to in pieces, kept from what was said and done alone."""

    def __init__(self) -> None:
        self.called = self.cut = 0
        self.of: dict[str, tuple[int, int]] = {}
        """What each act added to both, by its event: what is undone is taken off again."""
        self.as_cut: dict[str, Cut] = {}
        """What each row was when pieces of it were cleared, by the event."""

    def add(self, desk: Desk, called: int, cut: int) -> None:
        self.called, self.cut = self.called + called, self.cut + cut
        self.of[desk.log[-1].id] = called, cut

    def turn(self, desk: Desk, act: Callable[[], object], sign: int) -> None:
        """Undo (*sign* -1) or redo (1) what came last."""
        before = {event.id for event in desk.log if not desk.counts(event)}
        act()
        after = {event.id for event in desk.log if not desk.counts(event)}
        for event in before ^ after:
            called, cut = self.of.get(event, (0, 0))
            self.called, self.cut = self.called + sign * called, self.cut + sign * cut


def last(desk: Desk) -> Row:
    """Return the row that a correction at *desk* is about, as it is before it."""
    return find.last_single(desk.state, desk.context(place=desk.place))


def called(desk: Desk, account: Account, chance: random.Random) -> None:
    count, section = chance.randint(1, 4), chance.choice(SECTIONS)
    length = f"{chance.randint(14, 110)}{chance.choice(PARTS)}"
    desk.call(f"{count} @ {length} {section}{chance.choice(ENDS)}")
    account.add(desk, count, 0)


def asked(desk: Desk, account: Account, chance: random.Random) -> None:
    desk.call(chance.choice(["six two", "five eleven", "seven one"]))
    account.add(desk, 1, 0)


def answered(desk: Desk, account: Account, chance: random.Random) -> None:
    row = desk.question()
    if row is None or not row.readings or row.assembly_id:
        return
    choice = chance.randint(1, len(row.readings))
    desk.answer(choice, row.id)
    account.add(desk, row.readings[choice - 1].count - row.cut.count, 0)


def corrected(desk: Desk, account: Account, chance: random.Random) -> None:
    row = last(desk)
    inches, part = chance.randint(14, 110), chance.choice(PARTS)
    desk.call(f"no, make that {inches + 24 * (not part)}{part}")  # a small number may be how many
    change = desk.log[-1].payload
    assert isinstance(change, CutChanged)
    other = change.cut.length != row.cut.length  # the length it has needs no other piece
    again = row.done if row.done and not row.left and other else 0  # asks whether to cut anew
    account.add(desk, again, 0)


def recounted(desk: Desk, account: Account, chance: random.Random) -> None:
    row, count = last(desk), chance.randint(1, 5)
    desk.call(f"make it {count}")
    account.add(desk, count - row.cut.count, 0)


def cleared(desk: Desk, account: Account, chance: random.Random) -> None:
    everything = chance.random() < 0.4
    row = find.at_saw(desk.state, None, desk.context(place=desk.place))
    desk.clear(all_left=everything)
    account.add(desk, 0, row.left if everything else 1)
    account.as_cut[desk.log[-1].id] = row.cut


def put_back(desk: Desk, account: Account, chance: random.Random) -> None:
    told = desk.put_back()
    assert told.row is not None
    was_struck = desk.log[-1].kind == "cut restored"
    account.add(desk, 0, 0 if was_struck else -1)


def spoiled(desk: Desk, account: Account, chance: random.Random) -> None:
    suspects = desk.suspects()
    if suspects:
        suspect = chance.choice(suspects)
        desk.spoil(chance.choice(["short", "bad stock", "long"]), suspect)
        account.add(desk, 0, -1 if suspect.was_cut else 0)


def struck(desk: Desk, account: Account, chance: random.Random) -> None:
    rows = [row for row in desk.state.rows.values() if row.state != "struck"]
    if rows:
        desk.strike(chance.choice(rows).id)
        account.add(desk, 0, 0)


def racked(desk: Desk, account: Account, chance: random.Random) -> None:
    feet, count = chance.choice([8, 10, 12, 16]), chance.randint(1, 3)
    bad = ((F(20), F(31, 1)),) if chance.random() < 0.3 else ()
    desk.add_boards(a_section(chance), F(12 * feet), count, bad=bad)
    account.add(desk, 0, 0)


def a_section(chance: random.Random) -> Section:
    return Section(F(2), F(chance.choice([4, 6])))


def redone(desk: Desk, account: Account, chance: random.Random) -> None:
    # A correction done again after the other station cut the row asks anew: not this law's business.
    if desk.log and desk.log[-1].station == desk.name:
        account.turn(desk, desk.redo, 1)


def printed(desk: Desk, account: Account, chance: random.Random) -> None:
    before = len(desk.log)
    desk.done(PrintBoards() if chance.random() < 0.7 else ReleaseBoards())
    if len(desk.log) > before:
        account.add(desk, 0, 0)


ACTS = (
    *(called,) * 5, *(cleared,) * 6, asked, answered, answered, corrected, corrected, recounted,
    put_back, spoiled, struck, racked, racked, printed, printed,
    lambda desk, account, chance: account.turn(desk, desk.undo, -1),
    lambda desk, account, chance: account.turn(desk, desk.undo, -1),
    redone,
)  # fmt: skip


class Watch:
    """A clock that goes on by twenty seconds at every look."""

    def __init__(self) -> None:
        self.time = datetime(2026, 5, 4, 7, tzinfo=UTC)

    def __call__(self) -> datetime:
        self.time += timedelta(seconds=20)
        return self.time


@contextlib.contextmanager
def two_stations(kerf: str, trim: str) -> Iterator[tuple[Desk, Desk]]:
    """Yield two desks on a memo in a folder of its own, which goes with them."""
    watch = Watch()
    with (
        tempfile.TemporaryDirectory() as folder,
        open_store(Path(folder) / "m.cutmemo") as one,
        open_store(Path(folder) / "m.cutmemo") as two,
    ):
        desks = Desk(one, "ladder", "ann", watch), Desk(two, "saw", "ben", watch)
        desks[0].set_setting("kerf", kerf)
        desks[0].set_setting("trim", trim)
        desks[0].set_setting("leftover", "16-1/2")
        yield desks


DAYS = {
    "seed": st.integers(0, 10**9),
    "kerf": st.sampled_from(["1/8", "3/32", "5/64", "0"]),
    "trim": st.sampled_from(["0", "1/2", "3/8", "1-3/16"]),
}


@settings(max_examples=30, deadline=None)
@given(**DAYS)
def test_every_piece_called_is_cut_open_struck_or_asked_and_cut_as_it_was_called(
    seed: int, kerf: str, trim: str
) -> None:
    chance, account = random.Random(seed), Account()
    with two_stations(kerf, trim) as desks:
        for _ in range(45):
            desk = chance.choice(desks)
            desk.follow()
            with contextlib.suppress(CutmemoError):
                chance.choice(ACTS)(desk, account, chance)
            rows = list(desk.state.rows.values())
            left: Counter[str] = Counter()
            for row in rows:
                left[row.state] += row.left
            assert left["cut"] == 0
            assert sum(row.done for row in rows) == account.cut
            assert account.cut + left["open"] + left["struck"] + left["doubtful"] == account.called
            for row in rows:
                for each in row.cleared:
                    was = account.as_cut[each.event]
                    assert (each.cut, row.cut.length) == (was, was.length)
        assert Projection(desk.store.events()).state == desk.state


def tangent(end: End) -> tuple[float, float]:
    """Return how fast the long point runs from the short one, across the width and the thickness.

    Rise over 12 for a plumb cut and over 12 times the square root of 2 for a hip, whose run lies
    across the corner; the tangent of the angle for a miter or a bevel (plane trigonometry).
    """
    angle = math.tan(math.radians(float(end.miter or 0)))
    run = 12 * math.sqrt(2) if end.kind == "hip" else 12
    across = end.rise / run if end.rise is not None else angle
    return across, math.tan(math.radians(float(end.bevel or 0)))


def board_taken(cut: Cut) -> float:
    """Return the inches of board that a piece takes, to its long points."""
    taken = float(cut.length.inches)
    if cut.section is None:
        assert all(end.point != "short" for end in cut.ends)
        return taken
    thick, wide = {4: (1.5, 3.5), 6: (1.5, 5.5)}[int(cut.section.width or 0)]  # PS 20, dry
    for end in cut.ends:
        if end.point == "short":
            across, through = tangent(end)
            taken += wide * across + thick * through
    return taken


def longest_run(cut: Cut) -> float:
    """Return how far the more slanted end of *cut* runs along a board."""
    wide = {4: 3.5, 6: 5.5}[int(cut.section.width or 0)] if cut.section is not None else 0.0
    return max(wide * across + 1.5 * through for across, through in map(tangent, cut.ends))


def widest_kerf(cut: Cut, kerf: F) -> float:
    """Return what a blade takes along the board at the more slanted end of *cut*: its kerf over the cosine of the slant."""
    return float(kerf) * max(math.hypot(1, *tangent(end)) for end in cut.ends)


GRAIN = 1 / 64
"""Marks and ends beside slants are rounded by less than this, always to the side that takes more board."""


@settings(max_examples=25, deadline=None)
@example(seed=722, kerf="1/8", trim="0")  # the neighbour of a piece that shares a cut is cut
@given(**DAYS)
def test_every_inch_of_board_is_piece_kerf_trim_or_rest_and_nothing_overlaps(
    seed: int, kerf: str, trim: str
) -> None:
    chance = random.Random(seed)
    with two_stations(kerf, trim) as desks:
        for _ in range(25):
            desk = chance.choice(desks)
            desk.follow()
            with contextlib.suppress(CutmemoError):
                chance.choice(ACTS)(desk, Account(), chance)
        desk.follow()
        crew, rows = desk.state.settings, desk.state.rows
        wanted = Counter({row.id: row.left for row in desk.state.of_state("open")})
        used: Counter[tuple[str, F]] = Counter()
        for plan in desk.plans():
            for board in plan.boards:
                cuts = [rows[piece.row_id].cut for piece in board.pieces]
                kept = bool(board.kept)
                trimmed = crew.trim if board.lot is None or not board.lot.leftover else F(0)
                first, end = board.pieces[0], board.pieces[-1].end
                assert first.start >= trimmed if kept else first.start == trimmed
                for piece, cut in zip(board.pieces, cuts, strict=True):
                    assert float(piece.inches) == pytest.approx(board_taken(cut), abs=1e-4)
                    assert piece.inches >= cut.length.inches
                    assert cut.section == plan.section
                    assert piece.end <= board.inches
                    wanted[piece.row_id] -= 1
                for k, piece in enumerate(board.pieces[1:], start=1):
                    gap = float(piece.start - board.pieces[k - 1].end)
                    if piece.shares:  # the slants of like ends lie into each other
                        # On a board that keeps its plan its neighbour may be cut or struck.
                        alike = Counter(cuts[k].ends) == Counter(cuts[k - 1].ends)
                        assert kept or alike
                        assert gap >= float(crew.kerf) - longest_run(cuts[k])
                    else:
                        assert gap >= float(crew.kerf)
                    widest = max(widest_kerf(cut, crew.kerf) for cut in cuts[k - 1 : k + 1])
                    assert kept or gap <= widest + GRAIN  # else a cut one lies between
                behind = float(board.inches - end)
                assert float(board.left) <= max(behind - float(crew.kerf), 0.0)
                assert (
                    kept or float(board.left) >= behind - widest_kerf(cuts[-1], crew.kerf) - GRAIN
                )
                if not any(cut.angled() for cut in cuts) and not kept:
                    kerfs = crew.kerf * (len(cuts) - 1) + min(crew.kerf, board.inches - end)
                    pieces = sum((piece.inches for piece in board.pieces), F(0))
                    assert trimmed + pieces + kerfs + board.left == board.inches
                if board.lot is not None and not board.begun:
                    assert (board.start, board.start + board.inches) in board.lot.runs()
                    used[board.lot.id, board.start] += 1
                    assert used[board.lot.id, board.start] <= board.lot.count
            for each in plan.too_long:
                wanted[each.row_id] -= each.count
        assert not +wanted
        assert not -wanted


def cut_since(plan: BoardPlan, before: BoardPlan | None, trim: F) -> list[KeptPiece]:
    """Return the pieces of *plan* that were cut since *before*, after its marks were looked at."""
    where = [(piece.row_id, piece.start, piece.inches) for piece in plan.pieces if piece.cut]
    cut_before = [] if before is None else [piece for piece in before.pieces if piece.cut]
    were = {(piece.row_id, piece.start, piece.inches) for piece in cut_before}
    assert were <= set(where)  # what is cut stays at its marks
    assert len(where) == len(set(where))
    for piece in plan.pieces:
        # A left-over and a pre-cut stud have a fresh end: nothing is trimmed.
        fresh = plan.leftover or plan.inches in Yard().studs
        assert piece.start >= (F(0) if fresh else trim)
        assert piece.end <= plan.inches
    laid = sorted(plan.pieces, key=lambda piece: piece.start)
    for one, other in zip(laid, laid[1:], strict=False):
        assert other.shares or one.shares or other.start >= one.end
    return [p for p in plan.pieces if p.cut and (p.row_id, p.start, p.inches) not in were]


@settings(max_examples=25, deadline=None)
@example(seed=40096884, kerf="1/8", trim="1/2")  # a mill-cut stud, which is not trimmed
@given(**DAYS)
def test_what_is_sawn_off_the_rack_is_a_board_less_and_its_pieces_stay_at_their_marks(
    seed: int, kerf: str, trim: str
) -> None:
    chance = random.Random(seed)
    with two_stations(kerf, trim) as desks:
        for _ in range(40):
            desk = chance.choice(desks)
            desk.follow()
            before = desk.state
            with contextlib.suppress(CutmemoError):
                chance.choice(ACTS)(desk, Account(), chance)
            payload = desk.log[-1].payload if desk.state.position > before.position else None
            if not isinstance(payload, PiecesCleared | PieceSpoiled):
                continue
            cut = before.rows[payload.row].cut
            was = {plan.id: plan for plan in before.rack.boards}
            came_off = 0
            begun: Counter[str] = Counter()
            for sawn in payload.sawn:
                begun[sawn.stretches[0].lot] += not any(
                    each.begun for each in before.rack.boards if each.board == sawn.board
                )
                for plan in sawn.stretches:
                    lot = before.rack.by_id(plan.lot)
                    if sawn.begins and lot is not None:
                        assert (plan.start, plan.start + plan.inches) in lot.runs()
                    fresh = cut_since(plan, was.get(plan.id), before.settings.trim)
                    came_off += len(fresh)
                    for piece in fresh:
                        assert piece.row_id == payload.row
                        assert float(piece.inches) == pytest.approx(board_taken(cut), abs=1e-4)
            assert came_off <= getattr(payload, "pieces", 1)
            for lot in before.rack.lots:
                after = desk.state.rack.by_id(lot.id)
                assert (after.count if after is not None else 0) == lot.count - begun[lot.id]
