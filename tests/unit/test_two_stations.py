"""Two stations on one memo, each doing anything at any time, following the other or not: they end up with the same rows."""

from __future__ import annotations

import contextlib
from collections.abc import Callable
from pathlib import Path

import pytest
from desk import Desk
from hypothesis import given, settings
from hypothesis import strategies as st

from cutmemo.errors import CutmemoError
from cutmemo.memo import Projection, open_store

ACTS: dict[str, Callable[[Desk, int], object]] = {
    "call": lambda session, n: session.call(f"{n % 3 + 1} @ {30 + 7 * n} 2x4"),
    "ask": lambda session, n: session.call("six two"),
    "answer": lambda session, n: session.answer(n % 2 + 1),
    "refuse": lambda session, n: session.refuse(),
    "clear": lambda session, n: session.clear(all_left=n % 2 == 0),
    "strike": lambda session, n: session.strike(session.find(str(n % 5 + 1)).id),
    "put back": lambda session, n: session.put_back(),
    "undo": lambda session, n: session.undo(),
    "redo": lambda session, n: session.redo(),
    "hold": lambda session, n: session.hold(),
    "release": lambda session, n: session.release(),
    "skip": lambda session, n: session.skip(),
    "spoil": lambda session, n: session.spoil("short"),
    "set": lambda session, n: session.call("wall 12' high 97-1/8"),
    "boards": lambda session, n: session.call("2 2x4 16 footers"),
    "follow": lambda session, n: session.follow(),
}


@given(
    acts=st.lists(
        st.tuples(st.booleans(), st.sampled_from(sorted(ACTS)), st.integers(0, 30)), max_size=30
    )
)
@settings(max_examples=80, deadline=None)
def test_two_stations_end_up_with_the_same_rows(
    acts: list[tuple[bool, str, int]], tmp_path_factory: pytest.TempPathFactory
) -> None:
    path: Path = tmp_path_factory.mktemp("two") / "both.cutmemo"
    with open_store(path) as one, open_store(path) as other:
        sessions = [Desk(one, "ladder", "ann"), Desk(other, "saw", "ben")]
        for at_saw, act, n in acts:
            with contextlib.suppress(CutmemoError):
                ACTS[act](sessions[at_saw], n)
        for session in sessions:
            session.follow()
        fresh = Projection(one.events())
    for session in sessions:
        assert session.state.rows == fresh.state.rows
        assert session.state.rack == fresh.state.rack
        assert session.handoff() == sessions[0].handoff()
    for row in fresh.state.rows.values():
        assert 0 <= row.done <= row.cut.count
        assert (row.state == "cut") == (row.left == 0 and row.state not in ("struck", "doubtful"))
