"""What the next one has to know: what is open, asked, in trouble and on hold, and what was done
today, by whom.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Any

from cutmemo.domain.cut import Cut
from cutmemo.language.intent import TRIMMED
from cutmemo.memo import events as e
from cutmemo.memo.events import Event
from cutmemo.memo.projection import Projection
from cutmemo.memo.rows import Row
from cutmemo.memo.state import MemoState
from cutmemo.wording import handoff as words
from cutmemo.wording.cuts import describe
from cutmemo.wording.loads import ON_ITS_WAY_FROM_HERE, ON_ITS_WAY_HERE, load_shown


@dataclass(slots=True)
class Done:
    """What one person did at one station on one day, in pieces."""

    called: int = 0
    cut: int = 0
    again: int = 0
    """Pieces that had to be cut again."""
    scrapped: int = 0
    scrap_inches: Fraction = Fraction(0)


def done_on(memo: Projection, day: str) -> dict[str, Done]:
    """Return what was done on *day* (``2026-05-04``, as written by who did it), by person and
    station.

    What was undone does not count, and a piece put back was not cut.
    """
    found: dict[str, Done] = defaultdict(Done)
    for event in memo.log:
        if event.at.startswith(day) and memo.counts(event):
            _count(found[words.person_at(event.who, event.station)], event, memo.state)
    return {who: done for who, done in found.items() if done != Done()}


def _count(done: Done, event: Event, state: MemoState) -> None:
    payload = event.payload
    match payload:
        case e.CutAdded():
            done.called += payload.cut.count
        case e.AssemblyAdded():
            done.called += sum(row.cut.count for row in payload.rows)
        case e.PiecesCleared():
            done.cut += payload.pieces
        case e.PiecesPutBack():
            done.cut -= payload.pieces
        case e.PieceSpoiled():
            done.again += 1
            done.cut -= 1 if payload.was_cut else 0
            row = state.rows.get(payload.row)
            if payload.reason != TRIMMED and row is not None:
                done.scrapped += 1
                done.scrap_inches += row.cut.length.inches


@dataclass(frozen=True, slots=True)
class Part:
    """One part of a hand-off: its head, and its lines with the number each goes by."""

    head: str
    lines: tuple[tuple[str, str], ...]
    """The number of a row or a load, empty where it is about neither; and what is said."""

    def as_text(self) -> str:
        """Return it to read."""
        return "\n".join([self.head, *(f"  {number:>3}  {said}" for number, said in self.lines)])


def handoff_parts(memo: Projection, day: str) -> list[Part]:
    """Return what the next one has to know on *day*, in the crew's figures; not who did what."""
    state = memo.state

    def shown(cut: Cut) -> str:
        return describe(cut, state.settings)

    held = [row for row in state.open_rows() if row.held]
    trouble = [row for row in state.open_rows() if row.spoiled]
    asked = state.of_state("doubtful")
    cut_today = [row for row in state.rows.values() if row.cut_here and row.cut_at.startswith(day)]
    parts = [
        _part(words.ANSWER_FIRST, asked, lambda row: words.asked_row(shown(row.cut), _called(row))),
        _part(
            words.IN_TROUBLE,
            trouble,
            lambda row: words.trouble_row(shown(row.cut), row.spoiled, row.left),
        ),
        _part(words.ON_HOLD, held, lambda row: words.open_row(shown(row.cut), _called(row))),
        _part(
            words.OPEN,
            state.to_cut(),
            lambda row: words.open_row(shown(replace(row.cut, count=row.left)), _called(row)),
        ),
        _part(
            words.CUT_TODAY,
            cut_today,
            lambda row: words.cut_row(
                row.cut_here, shown(row.cut), row.over, row.cut_at[11:16], row.cut_by
            ),
        ),
        _loads(ON_ITS_WAY_HERE, state, going=False),
        _loads(ON_ITS_WAY_FROM_HERE, state, going=True),
    ]
    return [part for part in parts if part.lines]


def handoff_as_text(memo: Projection, day: str) -> str:
    """Return the hand-off of *day* as text, in the crew's figures."""
    parts = [part.as_text() for part in handoff_parts(memo, day)]
    done = day_as_text(memo, day, words.TODAY)
    return "\n\n".join([*parts, *([done] if done else [])]) or words.EMPTY_MEMO


def _loads(head: str, state: MemoState, going: bool) -> Part:
    moves = [move for move in state.moves if move.standing == "on its way" and move.going == going]
    lines = tuple((str(move.number), load_shown(move, state.settings)) for move in moves)
    return Part(f"{head} ({len(moves)})", lines)


def handoff_as_plain(memo: Projection, day: str) -> dict[str, Any]:
    """Return the hand-off of *day* as JSON values."""
    state = memo.state
    rows = {
        "asked": state.of_state("doubtful"),
        "trouble": [row for row in state.open_rows() if row.spoiled],
        "held": [row for row in state.open_rows() if row.held],
        "open": state.to_cut(),
    }
    people = {
        who: {
            "called": done.called,
            "cut": done.cut,
            "again": done.again,
            "scrapped": done.scrapped,
            "scrap_inches": str(done.scrap_inches),
        }
        for who, done in done_on(memo, day).items()
    }
    return {
        "day": day,
        "rows": {name: [row.number for row in each] for name, each in rows.items()},
        "people": people,
    }


def _part(head: str, rows: list[Row], line: Callable[[Row], str]) -> Part:
    return Part(f"{head} ({len(rows)})", tuple((str(row.number), line(row)) for row in rows))


def _called(row: Row) -> str:
    return words.called_by(row.who, row.station, row.at[11:16])


def day_as_text(memo: Projection, day: str, head: str = "") -> str:
    """Return what each person did on *day* in pieces; nothing where nobody did anything."""
    lines = [
        "  " + words.did(who, each.called, each.cut, each.again, each.scrapped, each.scrap_inches)
        for who, each in done_on(memo, day).items()
    ]
    return "\n".join([words.day_head(head or day), *lines]) if lines else ""


def days_as_text(memo: Projection) -> str:
    """Return what was called, cut, cut again and scrapped on each day of the memo, by whom."""
    days = dict.fromkeys(event.at[:10] for event in memo.log)
    return "\n".join(text for day in days if (text := day_as_text(memo, day)))
