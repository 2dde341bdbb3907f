"""An angled end without a point: both points are the answers."""

from __future__ import annotations

import pytest
from desk import Desk
from memory_store import MemoryStore

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.language import read


@pytest.mark.parametrize("said", ["36 plumb cut 7/12", "40 45 degrees one end", "40 45 both ends"])
@pytest.mark.parametrize(("choice", "point"), [(1, "long"), (2, "short")])
def test_both_points_are_answers(said: str, choice: int, point: str) -> None:
    desk = Desk(MemoryStore())
    desk.call(said)
    (row,) = desk.state.rows.values()
    assert [each.kind for each in row.doubts] == [DoubtKind.POINT_NOT_SAID]
    desk.answer(choice)
    (row,) = desk.state.rows.values()
    assert row.state == "open"
    assert {end.point for end in row.cut.ends if end.kind != "square"} == {point}
    assert {end.point for end in row.cut.ends if end.kind == "square"} <= {None}


def test_a_point_behind_the_length_is_of_the_one_angle() -> None:
    meant = {
        (cut.length.inches, cut.ends[0].miter, cut.ends[0].point)
        for each in read("45 one end 60 long point")
        if isinstance(cut := each.intent, Cut)
    }
    assert meant == {(60, 45, "long"), (45, 60, "long")}


def test_a_point_that_was_said_is_not_asked() -> None:
    desk = Desk(MemoryStore())
    desk.call("36 plumb cut 7/12 long point")
    (row,) = desk.state.rows.values()
    assert (row.state, row.readings) == ("open", ())


def test_a_correction_of_the_length_keeps_both_points() -> None:
    desk = Desk(MemoryStore())
    desk.call("36 plumb cut 7/12")
    desk.call("no, 41")
    (row,) = desk.state.rows.values()
    assert [(cut.length.inches, cut.ends[0].point) for cut in row.readings] == [
        (41, "long"),
        (41, "short"),
    ]
