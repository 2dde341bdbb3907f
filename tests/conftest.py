"""What the tests share."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from cutmemo.memo import open_journal
from cutmemo.service import Session


class Clock:
    """A clock that is set by hand."""

    def __init__(self) -> None:
        self.time = datetime(2026, 3, 2, 7, 30, tzinfo=UTC)

    def __call__(self) -> datetime:
        return self.time

    def later(self, seconds: float) -> None:
        self.time += timedelta(seconds=seconds)


@pytest.fixture
def clock() -> Clock:
    return Clock()


@pytest.fixture
def open_session(tmp_path: Path, clock: Clock) -> Iterator[Callable[..., Session]]:
    """Open sessions on one memo; each is closed at the end."""
    opened: list[Session] = []

    def open_(station: str = "ladder", who: str = "ann", name: str = "porch") -> Session:
        session = Session(open_journal(tmp_path / f"{name}.cutmemo"), station, who, clock)
        opened.append(session)
        return session

    yield open_
    for session in opened:
        session.journal.close()


@pytest.fixture
def session(open_session: Callable[..., Session]) -> Session:
    return open_session()
