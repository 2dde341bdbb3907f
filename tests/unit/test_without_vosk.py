"""Where vosk has no build the program types all the same, and says so when asked to listen."""

from __future__ import annotations

import sys
from pathlib import Path

import pytest

from cutmemo.asr import load_model
from cutmemo.cli import main
from cutmemo.errors import NoDecoder
from cutmemo.wording import explain_error

MODEL = Path(__file__).parents[2] / "models" / "en"
CLIP = Path(__file__).parents[2] / "assets" / "demo" / "03-porch.wav"


@pytest.fixture
def _no_vosk(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "vosk", None)  # an import of it then fails


@pytest.mark.usefixtures("_no_vosk")
def test_listening_says_what_is_missing_and_that_typing_goes_on() -> None:
    with pytest.raises(NoDecoder) as caught:
        load_model(MODEL)
    told = explain_error(caught.value)
    assert "needs the Python package vosk 0.3.45" in told
    assert "pip install vosk==0.3.45" in told
    assert told.endswith("Typing goes on.")


@pytest.mark.usefixtures("_no_vosk")
def test_typing_works_and_hearing_ends_with_a_sentence(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    memo = ["--memo", str(tmp_path / "porch.cutmemo")]
    assert main([*memo, "say", "101-1/2"]) == 0
    assert '101-1/2"' in capsys.readouterr().out
    assert main([*memo, "hear", str(CLIP)]) == 1
    told = capsys.readouterr().err
    assert "needs the Python package vosk" in told
    assert "Traceback" not in told
