"""The driver runs what is not there yet, and nothing else."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path

import pytest
from recipe.__main__ import COMMANDS, main
from recipe.pipeline import Stage, run_stages


class Recorder:
    """Stands in for the commands: notes each, and writes the file that its last argument names."""

    def __init__(self) -> None:
        self.ran: list[str] = []

    def __call__(self, arguments: Sequence[str]) -> None:
        self.ran.append(arguments[0])
        Path(arguments[-1]).write_text(arguments[0])


@pytest.fixture
def stages(tmp_path: Path) -> list[Stage]:
    one, two, three = (tmp_path / name for name in ("one", "two", "three"))
    return [
        Stage("graph", (str(one),), (one,)),
        Stage("vocabulary", (str(two),), (two,)),
        Stage("train", (str(three),), (three,), ("vocabulary",)),
    ]


def test_what_is_there_is_not_run_again(tmp_path: Path, stages: list[Stage]) -> None:
    assert run_stages(stages, tmp_path, Recorder()) == ["graph", "vocabulary", "train"]
    assert run_stages(stages, tmp_path, Recorder()) == []


def test_what_uses_a_stage_that_ran_runs_too(tmp_path: Path, stages: list[Stage]) -> None:
    run_stages(stages, tmp_path, Recorder())
    stages[1].outputs[0].unlink()
    assert run_stages(stages, tmp_path, Recorder()) == ["vocabulary", "train"]


def test_other_arguments_run_a_stage_anew(tmp_path: Path, stages: list[Stage]) -> None:
    run_stages(stages, tmp_path, Recorder())
    first = stages[0]
    stages[0] = Stage("graph", ("--seed", "4", *first.arguments), first.outputs)
    assert run_stages(stages, tmp_path, Recorder()) == ["graph"]


def test_a_stage_that_failed_runs_again(tmp_path: Path, stages: list[Stage]) -> None:
    def fails(arguments: Sequence[str]) -> None:
        Path(arguments[-1]).write_text("half of it")
        raise RuntimeError

    with pytest.raises(RuntimeError):
        run_stages(stages, tmp_path, fails)
    assert run_stages(stages, tmp_path, Recorder()) == ["graph", "vocabulary", "train"]


def test_a_stage_that_failed_the_second_time_runs_again(
    tmp_path: Path, stages: list[Stage]
) -> None:
    run_stages(stages, tmp_path, Recorder())
    stages[0].outputs[0].unlink()

    def fails(arguments: Sequence[str]) -> None:
        Path(arguments[-1]).write_text("half of it")
        raise RuntimeError

    with pytest.raises(RuntimeError):
        run_stages(stages, tmp_path, fails)
    assert run_stages(stages, tmp_path, Recorder()) == ["graph"]


def test_without_a_command_all_are_listed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([]) == 0
    told = capsys.readouterr().out
    assert all(f"  {name}" in told for name in COMMANDS)


def test_an_unknown_command_is_an_error(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["cook"]) == 2
    assert "COMMAND" in capsys.readouterr().err
