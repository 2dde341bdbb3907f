"""Every verb through main(), and the promises of the command line: quick to start, help for all, clear exits."""

from __future__ import annotations

import argparse
import json
import subprocess
import sys
import wave
from pathlib import Path

import pytest

from cutmemo import cli
from cutmemo.errors import CutmemoError
from cutmemo.wording import verbs


@pytest.fixture(autouse=True)
def _own_memo(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path))
    monkeypatch.setenv("CUTMEMO_CONFIG", str(tmp_path / "config.toml"))
    monkeypatch.delenv("CUTMEMO_MEMO", raising=False)


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = cli.main(list(arguments))
    out, err = capsys.readouterr()
    return code, out, err


def test_a_row_and_boards_are_not_sent_as_one_load(capsys: pytest.CaptureFixture[str]) -> None:
    for words in (("settings", "site", "Mill Lane"), ("say", "2 @ 36 2x6"), ("clear",)):
        run(capsys, *words)
    run(capsys, "rack", "add", "2", "2x6", "12ft")
    code, out, err = run(capsys, "send", "1", "--board", "1", "--to", "Elm Street")
    assert (code, out) == (1, "")
    assert "of a row or of boards" in err
    assert run(capsys, "loads", "--json")[1].strip() == "[]"


def test_a_day_at_the_command_line(capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, "say", "4 @ 14-5/8 2x6 header")[0] == 0
    code, out, err = run(capsys, "say", "six", "two")
    assert code == 1
    assert '1: 62"' in out
    assert "cutmemo answer 1 --row 2" in err
    assert run(capsys, "answer", "2")[1] == 'Row 2 is 74".\n'
    assert "3 left" in run(capsys, "clear", "1")[1]
    assert "Undone" in run(capsys, "undo")[1]
    assert "Done again" in run(capsys, "redo")[1]
    assert "struck" in run(capsys, "strike", "2")[1]
    assert "is back" in run(capsys, "back", "2")[1]
    assert "longest first" in run(capsys, "order", "longest")[1]
    code, out, err = run(capsys, "list")
    assert out.splitlines()[0].split() == ["[", "]", "2", "1", "×", '74"']
    assert "4 open · 1 cut" in err
    day = run(capsys, "day")[1]
    assert "undone: pieces cleared row 1" in day
    assert "done again: pieces cleared row 1" in day
    assert "4 open" in run(capsys, "sums")[1]
    assert "memo " in run(capsys, "memos")[1]


def test_json_is_one_value_a_line(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = run(capsys, "--json", "say", "four at fourteen and five eighths")
    told = json.loads(out)
    assert (told["happened"], told["row"]["cut"]["length"], told["row"]["cut"]["count"]) == (
        "added",
        "117/8",
        4,
    )
    assert json.loads(run(capsys, "list", "--json")[1])[0]["left"] == 4
    assert json.loads(run(capsys, "sums", "--json")[1])["open_pieces"] == 4
    code, out, _ = run(capsys, "--json", "say", "four flub")
    refused = json.loads(out)
    assert (code, refused["error"], refused["words"][refused["at"]]) == (1, "NotACall", "flub")
    assert json.loads(run(capsys, "--json", "say", "1/3")[1])["reasons"]


@pytest.mark.parametrize(
    ("arguments", "code", "facts"),
    [
        (["say", "four flub"], "not-a-call", {"words": ["four", "flub"], "at": 1}),
        (["say", "1/3"], "refused", {"said": "1/3"}),
        (["clear"], "nothing-to-do", {}),
        (["strike", "9"], "unknown-row", {"name": "9"}),
        (["settings", "kerf", "wide"], "bad-setting", {}),
        (["import", "gone.jsonl"], "bad-memo", {"path": "gone.jsonl"}),
        (["hear", "gone.wav"], "bad-sound", {"path": "gone.wav"}),
        (["hear", "--model", "gone"], "misused", {}),
        (["fly"], "misused", {}),
        (["answer", "two"], "misused", {}),
    ],
)
def test_with_json_an_error_is_one_object_with_a_code_that_stays(
    capsys: pytest.CaptureFixture[str], arguments: list[str], code: str, facts: dict[str, object]
) -> None:
    status, out, _ = run(capsys, *arguments, "--json")
    told = json.loads(out)
    assert (status, told["code"]) == (2 if code == "misused" else 1, code)
    assert told["error"]
    assert told["text"]
    assert {name: told[name] for name in facts} == facts


def test_each_kind_of_error_has_a_code_of_its_own() -> None:
    def kinds(of: type[CutmemoError]) -> list[type[CutmemoError]]:
        return [of, *(each for kind in of.__subclasses__() for each in kinds(kind))]

    found = kinds(CutmemoError)
    assert len({kind.code for kind in found}) == len(found) > 10


@pytest.mark.parametrize("verb", ["settings", "manner"])
def test_the_settings_are_shown_and_set(capsys: pytest.CaptureFixture[str], verb: str) -> None:
    assert run(capsys, verb, "pairs", "feet")[0] == 0
    assert run(capsys, verb, "pairs")[1].split() == ["pairs", "feet"]
    assert run(capsys, verb, "kerf", "wide")[0] == 1
    assert json.loads(run(capsys, verb, "--json")[1])["fineness"] == 16


def test_sheets(capsys: pytest.CaptureFixture[str]) -> None:
    run(capsys, "say", "4 @ 14-5/8 2x6 header for W3 north")
    assert (
        run(capsys, "sheet", "--as", "csv")[1].splitlines()[1]
        == '1,open,4,4,"14-5/8""",,2x6,header,,W3 north,,4 @ 14-5/8 2x6 header for W3 north'
    )
    assert "W3 north" in run(capsys, "sheet")[1]
    assert json.loads(run(capsys, "sheet", "--as", "json")[1])[0]["cut"]["place"] == "W3 north"


def test_export_and_import_between_memos(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    run(capsys, "say", "36")
    lines = tmp_path / "day.jsonl"
    lines.write_text(run(capsys, "export")[1])
    assert run(capsys, "--memo", "deck", "import", str(lines))[1] == "1 new.\n"
    assert run(capsys, "--memo", "deck", "import", str(lines))[1] == "0 new.\n"
    lines.write_text("nonsense\n")
    code, _, err = run(capsys, "import", str(lines))
    assert (code, "Nothing was imported" in err) == (1, True)
    assert run(capsys, "import", str(tmp_path / "gone"))[0] == 1


@pytest.mark.parametrize(
    "arguments", [["fly"], ["answer", "two"], ["order", "random"], ["say"], ["--memo"]]
)
def test_misuse_ends_with_2_and_one_sentence(
    capsys: pytest.CaptureFixture[str], arguments: list[str]
) -> None:
    code, out, err = run(capsys, *arguments)
    assert (code, out) == (2, "")
    assert "--help" in err


@pytest.mark.parametrize(
    "arguments",
    [["clear"], ["undo"], ["redo"], ["back"], ["answer"], ["strike", "9"], ["say", "12 flub"]],
)
def test_what_cannot_be_done_ends_with_1_and_says_why(
    capsys: pytest.CaptureFixture[str], arguments: list[str]
) -> None:
    code, out, err = run(capsys, *arguments)
    assert (code, out) == (1, "")
    assert len(err) > 8


def test_a_recording_that_cannot_be_read_is_named(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    (tmp_path / "a.wav").write_bytes(b"no sound at all")
    code, _, err = run(capsys, "hear", str(tmp_path / "a.wav"))
    assert code == 1
    assert "a.wav cannot be heard" in err


@pytest.mark.parametrize(
    ("verb", "hint"),
    [("101-1/2", "“cutmemo say …”"), ("lst", "“cutmemo list”"), ("it's", "“cutmemo say …”")],
)
def test_what_is_no_verb_is_told_what_may_be_meant(
    verb: str, hint: str, capsys: pytest.CaptureFixture[str]
) -> None:
    code, _, err = run(capsys, verb)
    assert code == 2
    assert f"“{verb}” is no verb" in err
    assert hint in err
    assert len(err.splitlines()) == 1


def test_why_a_recording_cannot_be_heard_is_told_to_scripts_in_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "coarse.wav"
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(1)
        file.setframerate(16_000)
        file.writeframes(bytes(100))
    code, out, _ = run(capsys, "--json", "hear", str(path))
    told = json.loads(out)
    assert code == 1
    assert (told["why"], told["number"]) == ("its samples have 8 bits", 8)
    assert told["why"] in told["text"]


def test_why_a_memo_cannot_be_used_is_told_to_scripts_in_words(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "porch.cutmemo").write_text("no memo at all")
    code, out, _ = run(capsys, "--json", "--memo", str(tmp_path / "porch.cutmemo"), "list")
    told = json.loads(out)
    assert (code, told["why"]) == (1, "it is no memo, or it is damaged")
    assert told["damaged"] is True


def test_ctrl_c_ends_with_130(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def interrupted(_run: cli.Run) -> int:
        raise KeyboardInterrupt

    monkeypatch.setitem(cli.VERBS, "list", cli.VerbOf(interrupted))
    assert run(capsys, "list")[0] == 130


@pytest.mark.parametrize("verb", sorted(cli.VERBS))
def test_every_verb_has_help(verb: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert run(capsys, verb, "--help")[0] == 0


def test_the_words_of_verbs_and_the_verbs_are_the_same() -> None:
    assert set(verbs.VERBS) == set(cli.VERBS)


def test_every_argument_that_has_words_is_taken() -> None:
    """The other way round, an argument without words has no parser."""

    def spare(text: verbs.VerbText, parser: argparse.ArgumentParser) -> set[str]:
        names = {each.dest for each in parser._actions}
        options = {name.lstrip("-") for each in parser._actions for name in each.option_strings}
        return set(text.takes) - names - options

    def nested(parser: argparse.ArgumentParser) -> dict[str, argparse.ArgumentParser]:
        choices = [
            each.choices for each in parser._actions if isinstance(each, argparse._SubParsersAction)
        ]
        return dict(choices[0]) if choices else {}

    parsers = nested(cli.build_parser())
    for name, text in verbs.VERBS.items():
        assert not spare(text, parsers[name]), name
        actions = nested(parsers[name])
        assert set(actions) == set(text.actions), name
        assert not [each for each in actions if spare(text.actions[each], actions[each])], name


def test_importing_the_command_line_loads_nothing_heavy() -> None:
    code = "import sys, cutmemo.cli; print([m for m in ('textual', 'vosk', 'sounddevice', 'pint', 'numpy', 'platformdirs', 'shtab', 'argparse_manpage') if m in sys.modules])"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"


def test_the_program_runs_as_a_module() -> None:
    done = subprocess.run(
        [sys.executable, "-m", "cutmemo", "--version"], capture_output=True, text=True, check=True
    )
    assert done.stdout.startswith("cutmemo ")
