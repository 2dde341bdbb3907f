"""What is open as long as a ``with`` lasts."""

from __future__ import annotations

from types import TracebackType
from typing import Self


class Closing:
    """Is closed at the end of a ``with``, whatever happened in it."""

    def close(self) -> None:
        """Let go of what is open."""
        raise NotImplementedError

    def __enter__(self) -> Self:
        """Return it, open."""
        return self

    def __exit__(
        self,
        kind: type[BaseException] | None,
        error: BaseException | None,
        trace: TracebackType | None,
    ) -> None:
        """Let go of it."""
        self.close()
