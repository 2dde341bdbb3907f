"""The order and the hand-off of all sites: as text, CSV, JSON and pages, from memos on one machine."""

from __future__ import annotations

import csv
import io
import json
import re
import shutil
from fractions import Fraction as F
from html.parser import HTMLParser
from pathlib import Path

import pytest

from cutmemo import cli
from cutmemo.office.lines import Day
from cutmemo.present.day_chart import chart_as_svg, ticks

NASTY = "=1+1<b>&"


def apart(here: Path, patch: pytest.MonkeyPatch) -> None:
    """Work in the folder *here*, and touch nothing of the person who runs the tests."""
    patch.setenv("CUTMEMO_FOLDER", str(here / "memos"))
    patch.setenv("CUTMEMO_CONFIG", str(here / "config.toml"))
    patch.delenv("CUTMEMO_MEMO", raising=False)
    patch.chdir(here)


@pytest.fixture(scope="module")
def memos(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Three memos of sites, one of them with a name that a page or a spreadsheet might run."""
    here = tmp_path_factory.mktemp("builder")
    with pytest.MonkeyPatch.context() as patch:
        apart(here, patch)
        for name, site in (("elm", "Elm Street"), ("mill", NASTY), ("quarry", "Quarry Road")):
            for words in (
                ["settings", "site", site],
                ["say", "9 @ 47 2x4 block"],
                ["say", "3 @ 101-1/2"],
                ["rack", "add", "1", "2x4", "31-1/2"],
                ["yard", "--of", "2x4", "--prices", "8' = 3.50, 16' = 8.00"],
            ):
                assert cli.main(["--memo", name, *words]) == 0
        assert cli.main(["--memo", "elm", "send", "--board", "1", "--to", "Quarry Road"]) == 0
    return here


@pytest.fixture
def builder(
    memos: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> Path:
    """A copy of the memos, to work on."""
    shutil.copytree(memos, tmp_path, dirs_exist_ok=True)
    apart(tmp_path, monkeypatch)
    capsys.readouterr()
    return tmp_path


def test_a_site_whose_name_ends_in_a_number_does_not_run_into_a_count(
    builder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["--memo", "quarry", "settings", "site", "Lot 7"]) == 0
    capsys.readouterr()
    rows = list(csv.reader(io.StringIO(office(capsys, "yard", "--by-site", "--csv"))))
    assert [row[-1] for row in rows if row[1] == "Lot 7"] == ["5 to Lot 7"]


SITES = ("elm", "mill", "quarry")


def office(capsys: pytest.CaptureFixture[str], *words: str) -> str:
    assert cli.main(["office", *words, "--from", *SITES]) == 0
    return capsys.readouterr().out


def test_the_sums_of_the_sites_are_the_sum_of_all(
    builder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    apart = json.loads(office(capsys, "yard", "--by-site", "--json"))
    for name in ("boards", "inches", "board_feet", "cost", "waste", "pieces"):
        sites = sum(F(each[name]) for each in apart["by_site"].values())
        assert sites == F(apart["sum"][name]) == sum(
            F(sum(line["count"] for line in need["lines"])) if name == "boards"
            else sum(F(line["inches"]) * line["count"] for line in need["lines"]) if name == "inches"
            else F(need.get(name) or 0) if name != "board_feet"
            else sum(F(line["inches"]) * line["count"] for line in need["lines"]) * 8 / 144
            for need in apart["needs"]
        )  # fmt: skip
    together = json.loads(office(capsys, "yard", "--json"))
    assert F(together["sum"]["cost"]) <= F(apart["sum"]["cost"])
    assert together["by_site"] == apart["by_site"]
    assert [each["unsized"] for each in together["left_out"]] == [3, 3, 3]
    (move,) = together["on_its_way"]
    assert (move["from"], move["to"], move["inches"]) == ("Elm Street", "Quarry Road", "63/2")
    assert [each["site"] for each in together["left"] if each["inches"] == "63/2"].count(
        "Elm Street"
    ) == 0


def test_a_spreadsheet_runs_no_cell(builder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    rows = list(csv.reader(io.StringIO(office(capsys, "yard", "--by-site", "--csv"))))
    assert len({len(row) for row in rows}) == 1
    assert all(not cell.startswith(("=", "+", "-", "@")) for row in rows for cell in row)
    assert f"'{NASTY}" in [row[1] for row in rows]


class Tags(HTMLParser):
    """The tags and the text of a page; a tag that is not closed is a fault."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.seen: list[str] = []
        self.text = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self.seen.append(tag)
        if tag not in ("meta", "rect", "line", "br"):
            self.open.append(tag)

    def handle_startendtag(self, tag: str, attrs: object) -> None:
        self.seen.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


@pytest.mark.parametrize("what", ["yard", "handoff"])
def test_a_page_is_whole_needs_no_network_and_takes_no_markup_from_a_name(
    builder: Path, capsys: pytest.CaptureFixture[str], what: str
) -> None:
    assert office(capsys, what, "--page", "page.html") == ""
    page = (builder / "page.html").read_text("utf-8")
    read = Tags(page)
    assert read.open == []
    assert "b" not in read.seen
    assert NASTY in read.text
    assert not re.search(r"https?:|src=|@import|url\((?!#)", page)
    assert "<span class=l>101-1/2&quot;</span>" in page or what == "yard"
    assert ("<svg" in page) == (what == "yard")
    assert not list(builder.glob("*.part"))


def test_a_number_of_a_row_does_not_run_into_its_length(
    builder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    office(capsys, "handoff", "--page", "page.html")
    page = (builder / "page.html").read_text("utf-8")
    assert "<th scope=row class=n>2</th><td>3 × <span class=l>101-1/2&quot;</span>" in page


def test_a_page_that_cannot_be_written_says_so(
    builder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["office", "yard", "--page", "gone/page.html", "--from", "elm"]) == 1
    assert "cannot be written" in capsys.readouterr().err


def test_a_memo_that_is_not_there_is_no_empty_site(
    builder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["office", "yard", "--from", "elm", "oak"]) == 1
    assert "does not exist" in capsys.readouterr().err
    assert not (builder / "memos" / "oak.cutmemo").exists()


def test_passing_on_twice_tells_nothing_new(
    builder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    counts = []
    for _ in range(2):
        assert cli.main(["office", "pass-on", *SITES, "--json"]) == 0
        counts.append(json.loads(capsys.readouterr().out)["passed_on"])
    assert counts == [1, 0]
    assert cli.main(["--memo", "quarry", "loads", "--json"]) == 0
    (load,) = json.loads(capsys.readouterr().out)
    assert (load["load"], load["from"], load["state"]) == (1, "Elm Street", "on its way")
    assert (load["boards"], load["section"], load["inches"]) == (1, "2x4", "63/2")
    assert cli.main(["--memo", "quarry", "arrived"]) == 0
    assert "On the rack: boards 2" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["send", "--to", "Quarry Road"], "Say what is sent, and where to"),
        (["send", "--board", "1", "--to", "  "], "Say what is sent, and where to"),
        (["send", "--board", "1", "--count", "-1", "--to", "Lot 7"], "“-1” is no count"),
        (["send", "--board", "1", "--count", "0", "--to", "Lot 7"], "“0” is no count"),
        (["send", "9", "--to", "Lot 7"], "No row “9”"),
        (["arrived", "0"], "No load is on its way here"),
    ],
)
def test_a_slip_of_the_keys_sends_nothing(
    builder: Path, capsys: pytest.CaptureFixture[str], words: list[str], said: str
) -> None:
    assert cli.main(["--memo", "mill", *words]) == 1
    assert said in capsys.readouterr().err
    assert cli.main(["--memo", "mill", "loads", "--json"]) == 0
    assert json.loads(capsys.readouterr().out) == []


# --- the chart -------------------------------------------------------------------------------------


def test_the_bars_are_as_high_as_their_numbers() -> None:
    days = {"2026-05-04": Day(40, 20, 1), "2026-05-05": Day(10, 0, 0)}
    svg = chart_as_svg(days)
    heights = [float(each) for each in re.findall(r"width='9' height='([\d.]+)'", svg)]
    assert heights == [150, 75, 3.8, 37.5]  # in proportion to 40, 20, 1 and 10
    assert svg.count("url(#lines)") == 2  # the bar in trouble, and its sign in the legend
    assert ">05-04<" in svg


@pytest.mark.parametrize("most", [1, 2, 5, 6, 9, 10, 11, 49, 50, 51, 99, 640, 123_456])
def test_an_axis_reaches_past_its_highest_bar_in_few_round_steps(most: int) -> None:
    found = ticks(most)
    assert found[0] == 0
    assert found[-1] >= most > found[-2]
    assert len(found) <= 6
    step = found[1]
    assert found == [step * k for k in range(len(found))]
    assert str(step).rstrip("0") in ("1", "2", "5")


def test_more_days_than_fit_leave_the_last_ones_and_a_day_below_nothing_has_no_bar() -> None:
    days = {f"2026-05-{day:02d}": Day(day, -1, 0) for day in range(1, 31)}
    svg = chart_as_svg(days)
    assert ">05-16<" not in svg
    assert ">05-17<" in svg
    assert len(re.findall(r"width='9'", svg)) == 14
    assert chart_as_svg({}) == ""


def test_as_says_the_same_as_the_older_options(
    builder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """As with ``yard`` and ``boards``."""
    assert office(capsys, "yard", "--as", "csv") == office(capsys, "yard", "--csv")
    for what in ("yard", "handoff"):
        office(capsys, what, "--page", "page.html")
        page = office(capsys, what, "--as", "html")
        told = Tags(Path("page.html").read_text("utf-8")).text.splitlines()
        assert [line for line in Tags(page).text.splitlines() if line] == [
            line for line in told if line
        ]


@pytest.mark.parametrize("verb", ["yard", "handoff", "page"])
def test_without_an_office_it_says_what_to_name(
    builder: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, verb: str
) -> None:
    if verb == "page":
        pytest.importorskip("aiohttp", reason="NOT TESTED: office page. pip install '.[site]'")
        pytest.importorskip("segno", reason="NOT TESTED: office page. pip install '.[site]'")
    monkeypatch.setenv("PGHOST", str(builder))  # no server has its socket there
    assert cli.main(["office", verb]) == 1
    told = capsys.readouterr().err
    for name in ("--from MEMO", "--at postgresql://", "office orderer", "office connect"):
        assert name in told
    assert cli.main(["office", verb, "--at", f"postgresql://:1/x?host={builder}"]) == 1
    assert "--from" not in capsys.readouterr().err


def test_what_is_on_hold_is_ordered_at_one_site_and_at_all_and_named_by_both(
    builder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def bought(told: str) -> int:
        needs = json.loads(told)["needs"]
        return sum(line["count"] for need in needs for line in need["lines"])

    before = bought(office(capsys, "yard", "--by-site", "--json"))
    assert cli.main(["--memo", "elm", "hold", "1"]) == 0
    capsys.readouterr()
    told = office(capsys, "yard", "--by-site", "--json")
    assert bought(told) == before
    assert json.loads(told)["on_hold"] == {"Elm Street": 9}
    assert "IN THIS ORDER, though on hold\n  Elm Street: 9 pieces" in office(capsys, "yard")
    assert cli.main(["--memo", "elm", "yard"]) == 0
    assert "though row 1 is on hold" in capsys.readouterr().out
    assert cli.main(["--memo", "elm", "yard", "--as", "csv"]) == 0
    out, err = capsys.readouterr()
    assert "on hold" not in out
    assert "though row 1 is on hold" in err
