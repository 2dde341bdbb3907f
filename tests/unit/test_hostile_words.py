"""What is given to the command line cannot steer a terminal, cannot break the program, and leaves the memo as it was."""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from fractions import Fraction as F
from pathlib import Path

import pytest
from desk import Desk, rehashed

from cutmemo import cli
from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.length import Length
from cutmemo.domain.signs import hidden_sign
from cutmemo.errors import Refused
from cutmemo.memo import open_store
from cutmemo.memo.codec import to_line
from cutmemo.memo.commands import Say
from cutmemo.memo.events import CutAdded, Draft
from cutmemo.present import as_csv, boards_as_csv, order_as_csv
from cutmemo.present.cells import csv_cell
from cutmemo.service import Memo, Station
from cutmemo.wording import explain_error

HIDDEN = ["\x1b[2J", "\x07", "\x00", "\x9b", "\u202e", "\u2066", "\u200b", "\udcff"]


@pytest.fixture(autouse=True)
def _own_memo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path))
    monkeypatch.setenv("CUTMEMO_CONFIG", str(tmp_path / "config.toml"))
    for name in ("MEMO", "STATION", "WHO", "LOG"):
        monkeypatch.delenv(f"CUTMEMO_{name}", raising=False)


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = cli.main(list(arguments))
    out, err = capsys.readouterr()
    return code, out, err


@pytest.mark.parametrize("sign", HIDDEN)
@pytest.mark.parametrize(
    "arguments",
    [
        ["say", "36 for {}"],
        ["--memo", "porch{}", "list"],
        ["import", "{}.jsonl"],
        ["strike", "{}"],
        ["{}"],
        ["say", "36", "--log", "{}"],
    ],
)
def test_an_argument_with_a_hidden_sign_is_misuse_and_nothing_is_done(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, sign: str, arguments: list[str]
) -> None:
    code, out, err = run(capsys, *(each.format(sign) for each in arguments))
    assert (code, out) == (2, "")
    assert hidden_sign(err) is None
    assert len(err.splitlines()) == 1
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("sign", [*HIDDEN[:2], *HIDDEN[3:], "\n", "\t"])  # no environment has a NUL
@pytest.mark.parametrize("name", ["MEMO", "STATION", "WHO", "LOG"])
def test_a_name_from_the_environment_with_a_hidden_sign_is_refused(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    name: str,
    sign: str,
) -> None:
    monkeypatch.setenv(f"CUTMEMO_{name}", f"ann{sign}")
    code, out, _ = run(capsys, "say", "36", "--json")
    told = json.loads(out)
    assert (code, told["code"], told["where"]) == (1, "hidden-sign", f"CUTMEMO_{name}")
    assert not list(tmp_path.iterdir())


def other_memo(capsys: pytest.CaptureFixture[str], tmp_path: Path, place: str, said: str) -> None:
    """Make the memo "deck" of what somebody else wrote, who took no care."""
    run(capsys, "say", "36 for porch")
    event = json.loads(run(capsys, "export")[1])
    del event["hash"]
    event["payload"]["cut"]["place"], event["payload"]["said"] = place, said
    (tmp_path / "porch.jsonl").write_text(rehashed(json.dumps(event)), "utf-8")
    assert run(capsys, "--memo", "deck", "import", str(tmp_path / "porch.jsonl"))[0] == 0


@pytest.mark.parametrize("verb", ["list", "day", "sheet", "handoff"])
def test_what_a_memo_holds_is_shown_with_its_hidden_signs_written_out(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, verb: str
) -> None:
    other_memo(capsys, tmp_path, "porch\x1b[2J\u202e", "36")
    _, out, err = run(capsys, "--memo", "deck", verb)
    assert "porch<U+001B>[2J<U+202E>" in out
    assert hidden_sign(out + err) is None


@pytest.mark.parametrize("sign", HIDDEN[:-1])  # half a sign is no text, and no line of JSON
def test_what_was_hidden_is_signs_in_the_memo_and_goes_out_as_it_came_in(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, sign: str
) -> None:
    other_memo(capsys, tmp_path, f"porch{sign}", "36")
    (row,) = json.loads(run(capsys, "--memo", "deck", "list", "--json")[1])
    assert hidden_sign(row["cut"]["place"]) is None
    assert row["cut"]["place"].startswith("porch<U+")
    with open_store(tmp_path / "deck.cutmemo") as store:
        (line,) = map(to_line, Memo(store).projection.log)
    assert json.loads(line)["payload"]["cut"]["place"] == f"porch{sign}"


@pytest.mark.parametrize("sign", [*HIDDEN, "\n", "\t"])
@pytest.mark.parametrize("name", ["who", "station", "id", "kind"])
def test_a_name_that_hides_a_sign_is_not_imported(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, name: str, sign: str
) -> None:
    run(capsys, "say", "36")
    event = json.loads(run(capsys, "export")[1])
    del event["hash"]
    event[name] += sign
    (tmp_path / "a.jsonl").write_text(rehashed(json.dumps(event)), "utf-8")
    code, out, err = run(capsys, "--memo", "deck", "import", str(tmp_path / "a.jsonl"))
    assert (code, out) == (1, "")
    assert "cannot be seen" in err
    assert run(capsys, "--memo", "deck", "export")[1] == ""


@pytest.mark.parametrize("sign", HIDDEN)
def test_a_call_that_hides_a_sign_is_refused_and_its_echo_shows_it(
    tmp_path: Path, sign: str
) -> None:
    with open_store(tmp_path / "m.cutmemo") as store:
        station = Station(Memo(store), f"ladder{sign}", f"ann{sign}")
        assert hidden_sign(station.name + station.person) is None
        with pytest.raises(Refused) as caught:
            station.execute(Say(f"36 for {sign}porch"))
        assert hidden_sign(explain_error(caught.value)) is None
        assert not station.state.rows


@pytest.mark.parametrize(
    "begin",
    ["=", "+", "-", "@", "\t", "\r", "\n", "＝", "＋", "－", "＠"],
)
def test_a_cell_that_a_spreadsheet_would_run_is_shown_by_it(begin: str) -> None:
    cell = csv_cell(f"{begin}1+1")
    assert cell.startswith("'")
    assert hidden_sign(cell.replace("\n", "")) is None


@pytest.mark.parametrize("text", ["", "W3 north", "4 @ 14-5/8", '14-5/8"', "½ ″", "'tis"])
def test_any_other_cell_is_left_as_it_is(text: str) -> None:
    assert csv_cell(text) == text


def test_no_cell_of_a_sheet_begins_with_a_formula(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    other_memo(capsys, tmp_path, "=2+2", "=1+1")
    _, out, _ = run(capsys, "--memo", "deck", "sheet", "--as", "csv")
    head, row = csv.reader(io.StringIO(out))
    cells = dict(zip(head, row, strict=True))
    assert (cells["said"], cells["place"]) == ("'=1+1", "'=2+2")


LONG = "9" * 5000


@pytest.mark.parametrize(
    "arguments",
    [
        ["say", LONG],
        ["say", f"{LONG} @ 36"],
        ["say", f"36-{LONG}/{LONG}"],
        ["say", "1e309"],
        ["say", f"span {LONG}"],
        ["clear", LONG],
        ["answer", LONG],
        ["answer", "1", "--row", LONG],
        ["settings", "kerf", "1e309"],
        ["settings", "kerf", LONG],
        ["kerf", "1e309", "1", "1"],
        ["kerf", LONG, "1", "1"],
        ["rack", "add", LONG, "2x4", "16'"],
        ["rack", "add", "1", "2x4", LONG],
        ["rack", "add", "1", "2x4", "16'", "--price", LONG],
        ["rack", "add", "1", "2x4", "16'", "--price", "nan"],
        ["rack", "add", "1", "2x4", "16'", "--bad", f"1 to {LONG}"],
        ["browser", "--port", LONG],
        ["browser", "--port", "0"],
        ["browser", "--port", "65536"],
        ["browser", "--port", "99999999"],
        ["listen", "--device", LONG, "--model", "gone"],
    ],
)
def test_numbers_that_cannot_be_are_a_sentence_and_nothing_is_added(
    capsys: pytest.CaptureFixture[str], arguments: list[str]
) -> None:
    run(capsys, "say", "36")
    before = run(capsys, "export")[1]
    code, out, err = run(capsys, *arguments)
    assert (code in (1, 2), out) == (True, "")
    assert 0 < len(err) < 12_000
    assert "Something in cutmemo itself" not in err
    assert run(capsys, "export")[1] == before
    assert run(capsys, "rack")[0] == 0


@pytest.mark.parametrize(
    "raw",
    [
        b"\xff\xfe\n",
        b"[" * 100_000,
        b'{"a":' * 100_000,
        b'{"id": 1e999}\n',
        b'{"id": ' + b"9" * 5000 + b"}\n",
        b'"\\ud800"\n',
        b"null\n",
        b"\x00",
    ],
)
def test_a_file_that_is_no_export_is_a_sentence_and_nothing_is_added(
    capsys: pytest.CaptureFixture[str], tmp_path: Path, raw: bytes
) -> None:
    run(capsys, "say", "36")
    before = run(capsys, "export")[1]
    (tmp_path / "a.jsonl").write_bytes(raw)
    code, out, err = run(capsys, "import", str(tmp_path / "a.jsonl"))
    assert (code, out) == (1, "")
    assert "Something in cutmemo itself" not in err
    assert run(capsys, "export")[1] == before


def test_an_export_to_a_program_is_left_as_it_is(tmp_path: Path) -> None:
    environment = {**os.environ, "PYTHONIOENCODING": "utf-8"}
    cutmemo = [sys.executable, "-m", "cutmemo", "--memo", str(tmp_path / "m.cutmemo")]
    subprocess.run([*cutmemo, "say", "36 for Wändl"], check=True, capture_output=True)
    done = subprocess.run([*cutmemo, "export"], check=True, capture_output=True, env=environment)
    assert "Wändl" in json.dumps(json.loads(done.stdout), ensure_ascii=False)


def test_whoever_reads_only_the_first_line_gets_no_error(tmp_path: Path) -> None:
    cutmemo = [sys.executable, "-m", "cutmemo", "--memo", str(tmp_path / "m.cutmemo")]
    subprocess.run([*cutmemo, "say", "36"], check=True, capture_output=True)
    with subprocess.Popen(
        [*cutmemo, "day"], stdout=subprocess.PIPE, stderr=subprocess.PIPE
    ) as reader:
        assert reader.stdout is not None
        assert reader.stderr is not None
        reader.stdout.close()
        assert reader.stderr.read() == b""
        assert reader.wait() == 0


@pytest.mark.parametrize("material", ['=HYPERLINK("x")', "@SUM(A1)", "+1", "-1"])
def test_a_board_called_by_a_formula_runs_in_no_sheet(session: Desk, material: str) -> None:
    engineered = Section(None, None, material)
    session.add_boards(engineered, F(192), 1)
    raw = session.log[-1]
    assert raw.payload.section == engineered  # type: ignore[union-attr]
    cut = Cut(Length(F(36)), 2, section=engineered)
    session.store.record(  # as an import brings it
        0, "2026-05-04T07:30:00+00:00", "yard", "cal",
        lambda _: ((), [Draft(CutAdded(row="x" * 32, cut=cut, said=""))]),
    )  # fmt: skip
    session.follow()
    plans, state = session.plans(), session.state
    for text in (
        boards_as_csv(plans, state.settings),
        order_as_csv(plans, state.rack, state.settings, state.yard),
        as_csv(state.rows.values(), state.settings),
    ):
        cells = [cell for line in csv.reader(io.StringIO(text)) for cell in line]
        assert not [cell for cell in cells if cell.startswith(("=", "+", "-", "@"))]
