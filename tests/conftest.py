"""What the tests share."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
from desk import Desk
from hypothesis import settings
from office.server import missing

from cutmemo.errors import CutmemoError
from cutmemo.memo import open_store
from cutmemo.wording import explain_error

settings.register_profile("ci", derandomize=True)
if os.environ.get("CI"):  # the same examples every time; elsewhere others each time
    settings.load_profile("ci")


OFFICE = Path(__file__).parent / "office"


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter) -> None:
    """Say where the tests of the office were asked for and could not run."""
    asked = [Path(each.partition("::")[0]).resolve() for each in terminalreporter.config.args]
    lacks = missing()
    if lacks and any(OFFICE.is_relative_to(each) or each.is_relative_to(OFFICE) for each in asked):
        terminalreporter.write_line(f"Tests of the office are left out, for want of {lacks}.")


class Clock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.time = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.time

    def later(self, seconds: float) -> None:
        self.time += timedelta(seconds=seconds)


Refuses = Callable[[type[CutmemoError], str], AbstractContextManager[Any]]
"""Expects an error, and that what a person reads of it has some words (a regular expression) in it."""


@pytest.fixture
def refuses() -> Refuses:
    """Expect an error of a kind that a person is told in some words."""

    @contextmanager
    def expected(kind: type[CutmemoError], words: str) -> Iterator[Any]:
        with pytest.raises(kind) as caught:
            yield caught
        assert re.search(words, explain_error(caught.value)), explain_error(caught.value)

    return expected


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def open_session(tmp_path: Path, clock: Clock) -> Iterator[Callable[..., Desk]]:
    """Open sessions on one memo; each is closed at the end."""
    opened: list[Desk] = []

    def open_(station: str = "ladder", who: str = "ann", name: str = "porch") -> Desk:
        session = Desk(open_store(tmp_path / f"{name}.cutmemo"), station, who, clock)
        opened.append(session)
        return session

    yield open_
    for session in opened:
        session.store.close()


@pytest.fixture
def session(open_session: Callable[..., Desk]) -> Desk:
    return open_session()
