"""What the tally keeps of a row is all of it: it is put together again as it was."""

from __future__ import annotations

from dataclasses import fields

import pytest
from desk import Desk
from memory_store import MemoryStore

from cutmemo.memo.state import MemoState
from cutmemo.office.lines import line_of, rest_of, state_of

CALLS = (
    "4 @ 36-1/2 2x6 for wall two",
    "92-5/8 strong",
    "36 plumb 6/12 2x6",
    "36 plumb 7-1/2/12 long point 2x6",
    "50 hip 8/12 2x8",
    "45 seat 4/12",
    "60 bevel 22-1/2",
    "48 miter 45 short point both ends",
    "36 12",
    "stairs rise 106 2x12",
    "rafters span 24' pitch 6/12 2x6",
)


@pytest.mark.parametrize("said", CALLS)
def test_a_row_of_any_kind_is_read_again_from_its_line(said: str) -> None:
    desk = Desk(MemoryStore(), "saw", "ann")
    desk.call(said)
    state = desk.state
    assert state.rows
    again = state_of(rest_of(state), [line_of(row).line for row in state.rows.values()])
    assert again.rows == state.rows
    ends = [(end.rise, type(end.rise)) for row in state.rows.values() for end in row.cut.ends]
    assert ends == [
        (end.rise, type(end.rise)) for row in again.rows.values() for end in row.cut.ends
    ]
    rest = [each.name for each in fields(MemoState) if each.name not in ("rows", "refused")]
    assert [getattr(again, name) for name in rest] == [getattr(state, name) for name in rest]
