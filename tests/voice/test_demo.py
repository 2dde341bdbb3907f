"""The demo from its first recording to its last piece, as README's first command runs it."""

from __future__ import annotations

import io
from pathlib import Path

import pytest

from cutmemo import cli
from cutmemo.wording import verbs as words


@pytest.fixture(autouse=True)
def _no_memo_of_ours(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path))
    monkeypatch.setenv("CUTMEMO_CONFIG", str(tmp_path / "config.toml"))


class Person(io.StringIO):
    """Standard input at which somebody sits."""

    def isatty(self) -> bool:
        return True


@pytest.mark.parametrize("answers", ["", "2\n" + 24 * "\n"], ids=["nobody there", "answered"])
def test_the_demo_hears_asks_and_cuts_every_piece(
    answers: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    monkeypatch.setattr("sys.stdin", Person(answers) if answers else io.StringIO())
    assert cli.main(["demo"]) == 0
    out = capsys.readouterr().out
    assert "Row 5 is 74-1/4" in out if answers else 'Row 5 is 62-1/4".' in out
    assert out.splitlines()[-1].startswith("0 open · 24 cut · 0 to answer")
    assert out.count(words.demo_cut("").split(".")[1]) == (24 if answers else 0)
    assert not list(tmp_path.glob("*.cutmemo"))
