"""What the program keeps on a machine: its defaults, its log, its completion and its manual page."""

from __future__ import annotations

import json
import logging
import os
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from cutmemo import cli, log
from cutmemo.cli.config import VARIABLES
from cutmemo.tui.controllers import listening


@pytest.fixture(autouse=True)
def defaults(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Path]:
    """Return the file of defaults, which is not there yet; nothing of the machine's own is used."""
    for variable in VARIABLES.values():
        monkeypatch.delenv(variable, raising=False)
    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path))
    monkeypatch.setenv("CUTMEMO_CONFIG", str(tmp_path / "config.toml"))
    yield tmp_path / "config.toml"
    assert log.file() is None


def run(capsys: pytest.CaptureFixture[str], *arguments: str) -> tuple[int, str, str]:
    code = cli.main(list(arguments))
    out, err = capsys.readouterr()
    return code, out, err


# --- defaults ------------------------------------------------------------------------------------------


def test_option_wins_over_environment_and_that_over_the_file(
    capsys: pytest.CaptureFixture[str],
    defaults: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    defaults.write_text('memo = "porch"\nstation = "ladder"\nwho = "ann"\n')
    run(capsys, "say", "36")
    monkeypatch.setenv("CUTMEMO_MEMO", "deck")
    run(capsys, "say", "48")
    run(capsys, "--memo", "wall", "say", "60")
    assert sorted(path.name for path in tmp_path.glob("*.cutmemo")) == [
        "deck.cutmemo",
        "porch.cutmemo",
        "wall.cutmemo",
    ]
    day = json.loads(run(capsys, "--memo", "porch", "day", "--json")[1])
    assert (day["station"], day["who"]) == ("ladder", "ann")


def test_config_tells_what_holds_and_where_it_comes_from(
    capsys: pytest.CaptureFixture[str], defaults: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    plain = json.loads(run(capsys, "config", "--json")[1])
    assert (plain["file"], plain["exists"]) == (str(defaults), False)
    assert {each["source"] for each in plain["defaults"].values()} == {"built in"}
    defaults.write_text('memo = "porch"\nwho = "ann"\n')
    monkeypatch.setenv("CUTMEMO_WHO", "ben")
    plain = json.loads(run(capsys, "config", "--json", "--log", str(defaults.parent / "l"))[1])
    assert plain["defaults"]["memo"] == {"value": "porch", "source": "file"}
    assert plain["defaults"]["who"] == {"value": "ben", "source": "CUTMEMO_WHO"}
    assert plain["defaults"]["log"]["source"] == "option"
    assert set(plain["defaults"]) == set(VARIABLES)
    assert str(defaults) in run(capsys, "config")[1]


def test_the_defaults_are_where_the_platform_keeps_such_files() -> None:
    import platformdirs

    code = "from cutmemo.cli.config import config_file; print(config_file())"
    told = subprocess.run(
        [sys.executable, "-c", code],
        capture_output=True,
        text=True,
        check=True,
        env={name: value for name, value in os.environ.items() if name != "CUTMEMO_CONFIG"},
    )
    assert Path(told.stdout.strip()).parent == Path(
        platformdirs.user_config_dir("cutmemo", appauthor=False)
    )


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("memo = porch", "TOML"),
        ("memo = '\udcff'", "TOML"),  # a byte that is no UTF-8
        ("memos = 'porch'", "there is no “memos”"),
        ("memo = 3", "“memo” is a text"),
        ("memo = ''", "“memo” is a text"),
        ("[memo]\nname = 'porch'", "“memo” is a text"),
        ("log_level = 'loud'\nlog = 'x'", "no level “loud”"),
    ],
)
def test_defaults_that_say_nothing_are_refused_and_nothing_is_done(
    capsys: pytest.CaptureFixture[str], defaults: Path, tmp_path: Path, text: str, why: str
) -> None:
    defaults.write_text(text, encoding="utf-8", errors="surrogateescape")
    code, out, err = run(capsys, "say", "36")
    assert (code, out) == (1, "")
    assert why in err
    assert not list(tmp_path.glob("*.cutmemo"))


def test_broken_defaults_are_told_by_config_too(
    capsys: pytest.CaptureFixture[str], defaults: Path
) -> None:
    defaults.write_text("memo = ")
    code, out, _ = run(capsys, "config", "--json")
    told = json.loads(out)
    assert (code, told["code"], told["path"]) == (1, "bad-config", str(defaults))


# --- the log -------------------------------------------------------------------------------------------


def test_without_a_log_nothing_is_written_anywhere(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    before = set(tmp_path.iterdir())
    assert run(capsys, "say", "36")[2] == ""
    logging.getLogger("cutmemo").error("nobody sees this")
    assert capsys.readouterr() == ("", "")
    assert {path.name.split(".cutmemo")[0] for path in set(tmp_path.iterdir()) - before} == {"memo"}


@pytest.mark.parametrize("how", ["option", "environment", "file"])
def test_the_log_tells_what_was_said_and_what_came_of_it(
    capsys: pytest.CaptureFixture[str],
    defaults: Path,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    how: str,
) -> None:
    path = tmp_path / "site.log"
    if how == "environment":
        monkeypatch.setenv("CUTMEMO_LOG", str(path))
    elif how == "file":
        defaults.write_text(f"log = {json.dumps(str(path))}\n")
    option = ["--log", str(path)] if how == "option" else []
    run(capsys, "say", "36", *option)
    run(capsys, *option, "say", "36 flub")
    text = path.read_text("utf-8")
    assert "['say', '36'" in text
    assert 'added: Row 1: 36"' in text
    assert "NotACall (not-a-call)" in text


def test_a_log_at_a_higher_level_keeps_only_what_went_wrong(
    capsys: pytest.CaptureFixture[str], defaults: Path, tmp_path: Path
) -> None:
    path = tmp_path / "site.log"
    defaults.write_text(f'log = {json.dumps(str(path))}\nlog_level = "warning"\n')
    run(capsys, "say", "36")
    assert path.read_text("utf-8") == ""
    run(capsys, "say", "flub")
    assert path.read_text("utf-8").count("\n") == 1


def test_a_log_that_cannot_be_written_is_named_and_nothing_is_done(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    code, _, err = run(capsys, "say", "36", "--log", str(tmp_path))
    assert code == 1
    assert f"The log {tmp_path} cannot be written" in err
    assert not list(tmp_path.glob("*.cutmemo"))


@pytest.mark.parametrize("logged", [False, True])
def test_a_fault_of_the_program_is_a_sentence_and_its_traceback_stands_in_the_log(
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    logged: bool,
) -> None:
    def broken(_run: cli.Run) -> int:
        raise ZeroDivisionError("kerf")

    monkeypatch.setitem(cli.VERBS, "list", cli.VerbOf(broken))
    path = tmp_path / "site.log"
    code, out, err = run(capsys, "list", *(["--log", str(path)] if logged else []))
    assert (code, out) == (1, "")
    assert "ZeroDivisionError: kerf" in err
    assert "Traceback" not in err
    assert ("Traceback" in path.read_text("utf-8")) if logged else ("--log FILE" in err)
    told = json.loads(run(capsys, "list", "--json")[1])
    assert (told["error"], told["code"]) == ("ZeroDivisionError", "internal")


def test_what_a_native_library_writes_goes_to_the_log_while_a_screen_is_up(tmp_path: Path) -> None:
    code = (
        "import os, sys\n"
        "from pathlib import Path\n"
        "from cutmemo import log\n"
        "if len(sys.argv) > 1: log.start(Path(sys.argv[1]))\n"
        "with log.native_stderr():\n"
        "    os.write(2, b'ALSA lib: no card\\n')\n"
        "    print('drawn', file=sys.__stderr__, flush=True)\n"
        "os.write(2, b'after\\n')\n"
        "print('back', file=sys.__stderr__)\n"
    )
    for arguments in ([], [str(tmp_path / "site.log")]):
        done = subprocess.run(
            [sys.executable, "-c", code, *arguments], capture_output=True, text=True, check=True
        )
        assert done.stderr.splitlines() == ["drawn", "after", "back"]
    assert (tmp_path / "site.log").read_text() == "ALSA lib: no card\n"


def test_a_listener_that_breaks_leaves_its_traceback_in_the_log(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(_folder: Path) -> object:
        raise ZeroDivisionError("no such sound")

    monkeypatch.setattr(listening, "load_model", broken)
    posted: list[object] = []
    log.start(tmp_path / "site.log")
    try:
        listening.Listener(posted.append, None).run(threading.Event())
    finally:
        log.stop()
    (ended,) = posted
    assert isinstance(ended, listening.Ended)
    assert "no such sound" in ended.reason
    text = (tmp_path / "site.log").read_text("utf-8")
    assert "Traceback" in text
    assert "ZeroDivisionError: no such sound" in text


# --- completion and the manual page --------------------------------------------------------------------


def test_bash_completes_every_verb_and_what_it_takes(
    capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    script = tmp_path / "cutmemo.bash"
    script.write_text(run(capsys, "completion", "bash")[1])

    def completed(*typed: str) -> set[str]:
        words = " ".join(f"'{word}'" for word in ("cutmemo", *typed))
        ask = f"source {script}; COMP_WORDS=({words}); COMP_CWORD={len(typed)}; _shtab_cutmemo"
        shell = subprocess.run(
            ["bash", "-c", f'{ask}; printf "%s\\n" "${{COMPREPLY[@]}}"'],
            capture_output=True,
            text=True,
            check=True,
        )
        return set(shell.stdout.split())

    assert completed("") == set(cli.VERBS)
    assert completed("ha") == {"handoff"}
    assert completed("trouble", "s") == {"short"}
    assert {"--all", "--memo", "--log", "--json"} <= completed("list", "--")


@pytest.mark.parametrize("shell", ["zsh", "tcsh"])
def test_the_other_shells_complete_every_verb(
    capsys: pytest.CaptureFixture[str], shell: str
) -> None:
    code, script, _ = run(capsys, "completion", shell)
    assert code == 0
    assert not [verb for verb in cli.VERBS if verb not in script]


def test_every_verb_and_what_it_takes_is_in_the_manual_page(
    capsys: pytest.CaptureFixture[str],
) -> None:
    code, page, _ = run(capsys, "man")
    assert code == 0
    assert page.startswith('.TH CUTMEMO "1"')
    plain = page.replace("\\-", "-")
    for verb in cli.VERBS:
        assert f"usage: cutmemo {verb} " in plain, verb
        assert f"\\fBcutmemo\\fR \\fI\\,{verb}\\/\\fR" in page, verb
    assert plain.count("--memo") == 3  # in the synopsis, once among the options, once in an example
    assert "another Vosk model folder" in plain
    # A line that begins with a full stop or an apostrophe is an order to roff (groff_man(7)).
    orders = {line.split()[0] for line in page.splitlines() if line.startswith((".", "'"))}
    assert orders <= {".TH", ".SH", ".B", ".TP", ".PP", ".nf", ".fi"}
