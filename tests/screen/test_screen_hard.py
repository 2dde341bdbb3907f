"""The screens in hard times: any keys, any sizes, a thousand rows, a memo that cannot be written."""

from __future__ import annotations

import pytest
from desk import Desk
from hypothesis import HealthCheck, given
from hypothesis import settings as hypothesis_settings
from hypothesis import strategies as st
from shown import SIZES, at_saw, laid, text, type_call
from textual.widgets import DataTable, Input

from cutmemo.memo import Projection, open_store
from cutmemo.tui.app import MemoApp
from cutmemo.tui.controllers.commands import Commands
from cutmemo.tui.widgets.saw_sheet import SawSheet


async def test_a_thousand_rows_change_one_by_one(session: Desk) -> None:
    for n in range(1000):
        session.call(f"{n % 250 + 20}-1/2 for W{n}")
        session.clock.later(60)  # type: ignore[attr-defined]
    for row in session.state.of_state("doubtful"):
        session.answer(1, row.id)
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        table = app.query_one(DataTable)
        assert table.row_count == 1000
        await pilot.press("c")
        await pilot.pause()
        assert table.row_count == 999


KEYS = [
    "c",
    "C",
    "u",
    "r",
    "x",
    "b",
    "o",
    "s",
    "p",
    "t",
    "k",
    "w",
    "a",
    "e",
    "y",
    "v",
    "d",
    "h",
    "1",
    "2",
    "escape",
    "tab",
    "down",
    "space",
    "enter",
]


@given(
    keys=st.lists(st.sampled_from(KEYS), max_size=25),
    calls=st.lists(
        st.sampled_from(
            ["4 @ 61-5/16 2x6", "six two", "93 plumb 7/12 long point", "10 2x6 16 footers", "bad"]
        ),
        max_size=6,
    ),
)
@hypothesis_settings(
    max_examples=20, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
async def test_no_keys_in_any_order_do_harm(
    keys: list[str], calls: list[str], tmp_path_factory: pytest.TempPathFactory
) -> None:
    path = tmp_path_factory.mktemp("keys") / "any.cutmemo"
    with open_store(path) as journal:
        session = Desk(journal, "saw", "ann")
        app = MemoApp(session)
        async with app.run_test(size=(80, 24)) as pilot:
            for n, key in enumerate(keys):
                if n < len(calls):
                    app.stage.do(lambda said=calls[n]: session.call(said))
                await pilot.press(key)
            await app.workers.wait_for_complete()
            await pilot.pause()
            assert app.is_running
        assert Projection(journal.events()).state.rows == session.state.rows


@pytest.mark.parametrize("keys", [[], ["s"], ["p"], ["h"], ["e"], ["s", "t"]])
async def test_a_storm_of_sizes_does_no_harm(session: Desk, keys: list[str]) -> None:
    for said in ("2 @ 61-5/16 2x6 plumb 7/12 long point", "six two", "10 2x6 12 footers", "93"):
        session.call(said)
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.press(*keys)
        for width, height in [
            (1, 1),
            (300, 100),
            (5, 40),
            (200, 2),
            (20, 5),
            (80, 24),
            (42, 30),
            (2, 24),
            (80, 24),
        ]:
            await pilot.resize_terminal(width, height)
        await app.workers.wait_for_complete()
        await pilot.pause()
        assert app.is_running
        await pilot.press("escape", "escape")
        await pilot.pause()
        assert "Row 2 asks" in text(app, "rowhead")


async def test_a_memo_that_cannot_be_written_is_told_on_the_screen(session: Desk) -> None:
    session.call("61-5/16")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:
        session.store._db.execute("PRAGMA query_only = ON")  # type: ignore[attr-defined]
        await type_call(pilot, "93")
        assert "may only be read" in text(app, "told")
        assert pilot.app.query_one(Input).value == "93"
        await pilot.press("s", "c")
        await pilot.pause()
        assert "may only be read" in app.screen.query_one(SawSheet).shown.told
        assert [row.left for row in session.state.rows.values()] == [1]


@pytest.mark.parametrize("size", [*SIZES, (42, 30)])
async def test_entries_that_cannot_be_read_are_told_on_every_screen(
    session: Desk, monkeypatch: pytest.MonkeyPatch, size: tuple[int, int]
) -> None:
    mark = "Written by a newer cutmemo: 3 entries."
    monkeypatch.setattr(Commands, "marks", lambda _: [mark])
    session.call("48 2x4")
    app = MemoApp(session)
    async with app.run_test(size=size) as pilot:
        await pilot.pause()
        assert text(app, "marks") == mark
        assert app.screen.query_one("#marks").size.height >= 1
        await pilot.press("s")
        await pilot.pause()
        assert at_saw(app, "marks").replace("\n", " ") == mark
        await pilot.press("c")
        await pilot.pause()
        assert at_saw(app, "marks").replace("\n", " ") == mark  # with nothing to cut, too
        await pilot.press("s", "p")
        await laid(app, pilot)
        assert text(app, "marks") == mark
        assert app.screen.query_one("#marks").size.height >= 1
