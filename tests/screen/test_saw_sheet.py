"""The view at the saw at sixty sizes and for forty awkward rows: what is drawn is what was meant."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count
from pathlib import Path

import pytest
from desk import Desk

from cutmemo.domain.length import FormattedLength, format_length
from cutmemo.memo import open_store
from cutmemo.memo.rows import Row
from cutmemo.tui.app import MemoApp
from cutmemo.tui.screens.saw import SawScreen
from cutmemo.tui.widgets import signs
from cutmemo.tui.widgets.numerals import drawings
from cutmemo.tui.widgets.saw_sheet import LENGTH_SHARE, AtSaw, Part, lay_out
from cutmemo.wording import screens as words


def ticking() -> Callable[[], datetime]:
    """Return a clock that goes on by a minute whenever it is read."""
    minutes = count()
    return lambda: datetime(2026, 3, 2, 7, 30, tzinfo=UTC) + timedelta(minutes=next(minutes))


SIZES = [
    (width, height)
    for width in (40, 43, 44, 60, 66, 80, 88, 100, 120, 200)
    for height in (12, 16, 18, 23, 26, 60)
]
AWKWARD = (
    "5/8",
    "1-1/16",
    "36",
    "3 @ 36-1/2 2x4 stud",
    "61-5/16 2x6",
    "2 @ 61-5/16 2x6 common rafter plumb 7/12 long point",
    "2 @ 145-11/16 2x6 common rafter plumb 7/12 long point for porch",
    "145-11/16 2x8 hip rafter hip 7/12 double cheek long point for north porch",
    "178-5/16 2x10",
    "288 2x12 joist",
    "287-15/16 2x12 joist for second floor",
    "103-15/16",
    "111-11/16",
    "12 at 14-1/2 2x6 block",
    "20 @ 92-5/8 2x4 stud for W3 north king L",
    "6 @ 92-5/8 2x6 king stud for wall 3",
    "101-1/2 strong",
    "36-1/4 shy 2x4",
    "48 22.5 degree miter long point",
    "48-3/16 2x4 22.5 degree miter long point for bay window",
    "60 45 degree bevel long point both ends 2x8",
    "16-3/4 2x4 seat 7/12 long point",
    "84 plumb 4/12 short point 2x6 jack rafter for valley",
    "50 @ 22-1/2 2x4 block",
    "2 @ 250-9/16 2x12 rim for east deck",
    "11-7/16 2x4 cripple for W12 bath window",
    "9-1/16",
    "200-1/16 2x6 plate for garage back wall",
    "77-7/8 5/4x6",
    "33-13/16 1x6 for stair",
    "44-1/8 2x4 for second floor north east bedroom closet",
    "4 @ 88-3/8 2x4 for party wall two",
    "119-15/16 4x6 for carport",
    "341 mm",
    "40-1/64",
    "3 @ 27-29/64",
    "1200 mm",
    "8' 2-3/16\" 2x8 joist",
    "16' 0-1/2\" 2x10 for main",
    "30-5/8 2x4 plumb 12/12 long point both ends",
)


def test_there_are_sixty_sizes_and_forty_rows() -> None:
    assert len(set(SIZES)) == 60
    assert {(40, 12), (200, 60)} <= set(SIZES)
    assert len(set(AWKWARD)) == 40


View = tuple[Row, FormattedLength, AtSaw]
DISPLAYS = ("inches", "feet", "mm")


def a_memo(folder: Path, display: str) -> Desk:
    """Return a memo of all awkward rows."""
    session = Desk(open_store(folder / f"{display}.cutmemo"), "saw", "ann", ticking())
    session.set_setting("display", display)
    session.set_setting("longest", "600")
    for said in AWKWARD:
        outcome = session.call(said)
        assert outcome.row is not None, said
        if outcome.row.state == "doubtful":
            session.answer(1, outcome.row.id)
    return session


@pytest.fixture(scope="module")
def views(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[View]]:
    """Return each row, its length as the crew reads it, and what the saw shows of it: plain, and at its worst."""
    found = {}
    for display in DISPLAYS:
        out = []
        session = a_memo(tmp_path_factory.mktemp("saw"), display)
        app = MemoApp(session)
        saw = SawScreen(app.stage.memo, app.stage.do, app.stage.planner)
        settings, rows = session.state.settings, session.state.to_cut()
        assert len(rows) == len(AWKWARD)
        for k, row in enumerate(rows):
            meant = format_length(row.cut.length, settings.display, settings.fineness)
            spoiled = replace(row, spoiled=("short",))
            worst = replace(
                saw.at_saw([spoiled, *rows[k + 1 :]]),
                stop_block=words.STOP_BLOCK,
                board="from rack 1: 16 ft",
                waiting="? 3 asked: answer before cutting those · ‖ 2 on hold",
                told='✓ Row 6: 2 × 61-5/16" 2x6 common rafter plumb 7/12 long point cut. 1 left.',
            )
            out += [(row, meant, saw.at_saw([row, *rows[k + 1 :]])), (row, meant, worst)]
        session.store.close()
        found[display] = out
    return found


def stands_in(drawing: tuple[str, ...], lines: list[str]) -> bool:
    """Return whether *drawing* stands whole on *lines*, with nothing beside it."""
    tall = len(drawing)
    tops = range(len(lines) - tall + 1)
    return any(lines[top : top + tall] == [*drawing] for top in tops)


def of(parts: list[Part], name: str) -> list[str]:
    return [line for part in parts if part.name == name for line in part.lines]


def sheet_size(size: tuple[int, int]) -> tuple[int, int]:
    """Return what the bar of keys and the margin leave of a screen: two rows of keys at worst."""
    width, height = size
    keys = 1 if height < 16 or width >= 88 else 2
    return (width - 4 if width >= 44 else width), height - keys


@pytest.mark.parametrize("display", DISPLAYS)
def test_the_whole_length_is_drawn_in_block_signs(
    views: dict[str, list[View]], display: str
) -> None:
    for row, meant, view in views[display]:
        ways = [drawings(meant)[k] for k in range(len(drawings(meant)) - 1)]
        for size in SIZES:
            width, height = sheet_size(size)
            parts = lay_out(view, width, height)
            lines = [line for part in parts for line in part.lines]
            assert len(lines) <= height, (size, row.said)
            assert max(map(len, lines)) <= width, (size, row.said)
            assert any(stands_in(way, lines) for way in ways), (size, row.said)


def test_no_flood_of_sentences_takes_the_place_of_the_length(
    views: dict[str, list[View]],
) -> None:
    flood = tuple(
        f"! Sentence {n} of what to mind about this piece before it is cut." for n in range(40)
    )
    for _, meant, view in views["inches"][::9]:
        ways = [drawings(meant)[k] for k in range(len(drawings(meant)) - 1)]
        for size in SIZES:
            width, height = sheet_size(size)
            for flooded in (replace(view, alerts=flood), replace(view, facts=" ".join(flood))):
                parts = lay_out(flooded, width, height)
                lines = [line for part in parts for line in part.lines]
                assert len(lines) <= height
                assert any(stands_in(way, lines) for way in ways), (size, meant)


GIVE_WAY = ["piece", "then 2", "then 1", "waiting", "board", "told"]
"""What gives way to the length, the first first."""


def test_the_drawing_gives_way_first_and_the_length_last(views: dict[str, list[View]]) -> None:
    gone: set[str] = set()
    for _, meant, view in views["inches"][::3]:
        every = drawings(meant)
        for size in SIZES:
            width, height = sheet_size(size)
            parts = lay_out(view, width, height)
            names = [part.name for part in parts if part.name in GIVE_WAY]
            all_names = ["piece", *(f"then {n}" for n in range(1, 1 + len(view.following)))]
            all_names += [name for name in ("waiting", "board", "told") if getattr(view, name)]
            here = [name for name in GIVE_WAY if name in all_names]
            kept = [name for name in here if name in names]
            assert kept == here[len(here) - len(kept) :], (size, meant)
            gone |= set(here) - set(kept)
            rest = sum(len(part.lines) for part in parts if part.name not in ("now", "", *GIVE_WAY))
            goal = every.largest(width, min(int(height * LENGTH_SHARE), height - rest))
            drawn = next(part.lines for part in parts if part.name == "now")
            assert len(drawn) >= len(every[goal]), (size, meant)
    assert gone == set(GIVE_WAY)


def words_of(lines: list[str]) -> str:
    return " ".join(" ".join(lines).split())


def test_nothing_that_a_wrong_cut_could_come_of_is_cut_off(views: dict[str, list[View]]) -> None:
    plain: list[tuple[tuple[int, int], str]] = []
    for row, _, view in views["inches"]:
        for size in SIZES:
            width, height = sheet_size(size)
            parts = lay_out(view, width, height)
            both = of(parts, "stop place")
            for name, text in (("stop", view.stop_block), ("place", view.place)):
                here = [part for part in parts if part.name == name]
                assert len(here) + bool(both) == bool(text), (size, row.said)
                if text and both:
                    narrow = signs.drawn(text, width, narrow=True)
                    at = both[0].index(narrow[0])
                    cut_out = [line[at : at + max(map(len, narrow))].rstrip() for line in both]
                    assert cut_out == narrow, (size, row.said)
                elif text and here[0].drawn:
                    ways = [signs.drawn(text, width), signs.drawn(text, width, narrow=True)]
                    assert list(here[0].lines) in ways, (size, row.said)
                    assert len(here[0].lines) >= 2
                elif text:
                    assert words_of(of(parts, name)) == text.upper(), (size, row.said)
                    plain.append((size, row.said))
            drawing = "\n".join(of(parts, "piece"))
            named = drawing or words_of(of(parts, "ends"))
            for end in row.cut.ends:
                if end.kind != "square":
                    assert words.end_label(end) in named, (size, row.said)
            assert words_of(of(parts, "facts")) == view.facts, (size, row.said)
    # On twelve rows both signs at once leave no height for a long place and all else that the piece has to say.
    assert all(height == 12 and width <= 80 for (width, height), _ in plain)
    assert len(plain) < len(views["inches"])


async def test_the_screen_shows_the_length_at_every_size_and_after_every_change(
    tmp_path: Path, signs_on: Callable[[MemoApp], list[str]]
) -> None:
    session = a_memo(tmp_path, "inches")
    session.call("10 2x6 16 footers")
    app = MemoApp(session)
    async with app.run_test(size=(80, 24)) as pilot:

        async def settled(what: object) -> None:
            await app.workers.wait_for_complete()
            await pilot.pause()
            row = session.state.to_cut()[0]
            every = drawings(format_length(row.cut.length))
            margin = "  " if app.size.width >= 44 else ""
            ways = [[(margin + line).rstrip() for line in every[k]] for k in range(len(every) - 1)]
            shown = signs_on(app)
            assert any(stands_in(tuple(way), shown) for way in ways), (what, row.said)

        await pilot.press("s")
        for size in SIZES:
            await pilot.resize_terminal(*size)
            await settled(size)
            await pilot.press("k")
            await settled((size, "k"))
        for key in "ccuckc":
            await pilot.press(key)
            await settled(key)
    session.store.close()
