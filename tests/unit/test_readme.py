"""README and the guide: short enough, and every example in their tables gives what the table says."""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from desk import Desk

from cutmemo import cli
from cutmemo.asr import Hypothesis, Recognition
from cutmemo.cli.parser import parse
from cutmemo.cli.run import VERBS
from cutmemo.domain.settings import SETTINGS
from cutmemo.memo import open_store
from cutmemo.present import assembly_as_text
from cutmemo.present.guide import guide_as_text, guide_page
from cutmemo.wording import Told, describe
from cutmemo.wording.guide import TOPICS

ROOT = Path(__file__).resolve().parents[2]
README = ROOT / "README.md"
PAGES = [README, *(ROOT / "assets" / "guide" / f"{topic}.md" for topic in TOPICS)]
MAX_WORDS = 900
"""Words of README, pictures and tables among them."""
WAITS = {"listen", "screen", "browser", "site", "demo", "hear"}
"""Verbs that wait for somebody, or need sound: their examples are parsed, not run."""

Row = tuple[str, ...]


def tables(path: Path) -> Iterator[tuple[Row, list[Row]]]:
    """Yield every table of a page: its head, and its rows."""
    rows: list[Row] = []
    for line in [*path.read_text("utf-8").splitlines(), ""]:
        if line.startswith("|"):
            rows.append(tuple(cell.strip() for cell in line.strip("|").split("|")))
        elif rows:
            yield rows[0], rows[2:]
            rows = []


def codes(cell: str) -> list[str]:
    """Return what stands in a cell between backticks."""
    return re.findall(r"`([^`]+)`", cell)


EXAMPLES = [
    pytest.param(head, rows, id=f"{path.stem}-{n}")
    for path in PAGES
    for n, (head, rows) in enumerate(tables(path))
    if head[-1] == "you get" and head[0].startswith("say")
]
COMMANDS = [
    pytest.param(path, [row for head, rows in tables(path) if head[0] == "command" for row in rows])
    for path in PAGES
    if any(head[0] == "command" for head, _ in tables(path))
]


@pytest.fixture
def desk(tmp_path: Path) -> Iterator[Callable[[], Desk]]:
    """Make desks, each on a memo of its own, with a minute between two calls."""
    stores = []

    def make() -> Desk:
        stores.append(open_store(tmp_path / f"{len(stores)}.cutmemo"))
        minutes = iter(range(10_000))
        start = datetime(2026, 5, 4, 7, tzinfo=UTC)
        return Desk(stores[-1], clock=lambda: start + timedelta(minutes=next(minutes)))

    yield make
    for store in stores:
        store.close()


def check(told: Told | None, desk: Desk, example: str, promised: str) -> None:
    """Check what came of an example against the last cell of its row."""
    assert told is not None, example
    asks = promised.startswith("asks")
    assert (told.happened == "asked") == asks, f"{example}: {told.text}"
    said = told.text
    if asks and told.row is not None:
        said = "\n".join(describe(cut, desk.state.settings) for cut in told.row.readings)
    if told.assembly is not None:
        settings = desk.state.settings
        shown = assembly_as_text(told.assembly, lambda cut: describe(cut, settings), settings)
        said = f"{said}\n{shown}"
    for part in codes(promised):
        assert part in said, f"{example}: {said}"


@pytest.mark.parametrize("head, rows", EXAMPLES)
def test_every_example_gives_what_its_table_says(
    desk: Callable[[], Desk], head: Row, rows: list[Row]
) -> None:
    """What is typed stands between backticks, what is spoken does not; rows follow on one another."""
    assert rows
    for column in range(len(head) - 1):
        here = desk()
        for row in rows:
            typed = codes(row[column])
            for example in typed:
                check(here.call(example), here, example, row[-1])
            if not typed:
                heard = Recognition((Hypothesis(row[column], 100.0),))
                check(here.hear(heard), here, row[column], row[-1])


@pytest.mark.parametrize("path, rows", COMMANDS)
def test_every_command_of_a_page_runs_and_says_what_its_table_says(
    path: Path,
    rows: list[Row],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    """They follow on one another; a file that one reads is written by one before it, or stands on the page."""
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path / "memos"))
    monkeypatch.setenv("CUTMEMO_CONFIG", str(tmp_path / "config.toml"))
    monkeypatch.delenv("CUTMEMO_MEMO", raising=False)
    for text in re.findall(r"```csv\n(.*?)```", path.read_text("utf-8"), re.S):
        Path("rack.csv").write_text(text, encoding="utf-8")
    for command, promised in rows:
        for each in codes(command):
            words, _, file = each.partition(" > ")
            program, *arguments = shlex.split(words)
            assert program == "cutmemo"
            if arguments[0] in WAITS:
                parse(arguments)
                continue
            code = cli.main(arguments)
            out, err = capsys.readouterr()
            assert code == (1 if promised.startswith("asks") else 0), f"{each}: {err}"
            if file:
                Path(file).write_text(out, encoding="utf-8")
            for part in codes(promised):
                assert part in out, f"{each}: {out}"


def test_readme_is_short() -> None:
    assert len(README.read_text("utf-8").split()) <= MAX_WORDS


def test_readme_lists_every_verb_once() -> None:
    listed = next(rows for head, rows in tables(README) if head[0] == "for")
    assert sorted(code for row in listed for code in codes(row[1])) == sorted(VERBS)


def test_readme_offers_every_page_and_every_page_is_there() -> None:
    text = README.read_text("utf-8")
    for topic in TOPICS:
        assert f"[{topic}](assets/guide/{topic}.md)" in text
    assert sorted(TOPICS) == sorted(path.stem for path in (ROOT / "assets" / "guide").iterdir())


def test_every_link_of_a_page_leads_to_a_file() -> None:
    for path in PAGES:
        links = re.findall(r"\]\(([^)]+)\)", path.read_text("utf-8"))
        assert [link for link in links if not (path.parent / link).is_file()] == []


def test_the_page_of_settings_names_every_setting_and_what_it_is_at_first(
    desk: Callable[[], Desk],
) -> None:
    usual = desk().state.settings.to_plain()
    listed = {
        codes(row[0])[0]: codes(row[1])[0]
        for head, rows in tables(ROOT / "assets" / "guide" / "settings.md")
        if head[0] == "setting"
        for row in rows
    }
    assert listed == {name: "off" if usual[name] is None else str(usual[name]) for name in SETTINGS}


@pytest.mark.parametrize("topic", TOPICS)
@pytest.mark.parametrize("width", [36, 80])
def test_a_page_fits_the_screen_it_is_laid_out_for(topic: str, width: int) -> None:
    shown = guide_as_text(topic, width)
    assert max(map(len, shown.splitlines())) <= width
    assert "![" not in shown
    first = guide_page(topic).split()[1]
    assert first in shown


def test_help_lists_the_pages_and_shows_them(capsys: pytest.CaptureFixture[str]) -> None:
    assert cli.main(["help"]) == 0
    listed = capsys.readouterr().out
    assert all(f"cutmemo help {topic}" in listed for topic in TOPICS)
    assert cli.main(["help", "boards"]) == 0
    assert "cutmemo rack" in capsys.readouterr().out
