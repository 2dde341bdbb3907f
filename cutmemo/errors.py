"""Every error that cutmemo raises on purpose. Each carries facts; ``wording`` says them."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path

from cutmemo.domain.doubts import Doubt, DoubtKind, doubt


class CutmemoError(Exception):
    """Anything that went wrong and that the person can do something about."""

    def __str__(self) -> str:
        """Return the facts in one line, for a log; a person reads what ``wording`` makes of them."""
        return " ".join(str(part) for part in self.args)


class NotACall(CutmemoError, ValueError):
    """The words do not say a length or a command."""

    def __init__(self, words: tuple[str, ...], at: int, expected: frozenset[str]) -> None:
        """Record the *words*, the number of the one where it broke (from 0) and what would have fitted."""
        self.words, self.at, self.expected = words, at, expected
        super().__init__(words, at, expected)


class Refused(CutmemoError, ValueError):
    """The words are clear, but what they say cannot be right."""

    def __init__(self, said: str, reasons: Iterable[Doubt | str]) -> None:
        """Record what was said and why it cannot be cut; a reason may be a finished sentence."""
        self.said = said
        self.reasons = tuple(
            doubt(DoubtKind.AS_WRITTEN, text=each) if isinstance(each, str) else each
            for each in reasons
        )
        super().__init__(said, self.reasons)


class NothingToDo(CutmemoError):
    """The command is clear, but there is nothing it applies to."""


class UnknownCut(CutmemoError, KeyError):
    """No row of the memo is the one that was named."""

    def __init__(self, name: str) -> None:
        """Record the *name* that fits no row."""
        self.name = name
        super().__init__(name)


class BadMemo(CutmemoError, OSError):
    """A memo file cannot be opened, read or written."""

    def __init__(self, path: Path | str, why: str) -> None:
        """Record which file and *why* it cannot be used."""
        self.path, self.why = path, why
        super().__init__(path, why)


class BadImport(CutmemoError, ValueError):
    """A line of an import file is not a memo event; nothing of the file was taken."""

    def __init__(self, line: int, why: str) -> None:
        """Record the *line* (from 1) and what is wrong with it."""
        self.line, self.why = line, why
        super().__init__(line, why)


class BadSetting(CutmemoError, ValueError):
    """A crew setting has a name or a value that does not exist."""

    def __init__(self, reason: Doubt) -> None:
        """Record the *reason*."""
        self.reason = reason
        super().__init__(reason)


class BadBoards(CutmemoError, ValueError):
    """Boards that no rack holds, or a list of them that cannot be read; nothing was changed."""


class BadSound(CutmemoError, OSError):
    """A recording cannot be read."""

    def __init__(self, path: Path | str, why: str) -> None:
        """Record which file and *why* it cannot be heard."""
        self.path, self.why = path, why
        super().__init__(path, why)


class NoModel(CutmemoError, OSError):
    """The speech model is missing or broken; typing goes on."""

    def __init__(self, path: Path | str, why: str) -> None:
        """Record which directory and what is wrong with it."""
        self.path, self.why = path, why
        super().__init__(path, why)


class NoMicrophone(CutmemoError, OSError):
    """Sound cannot be taken in or played; typing goes on."""


class NoBrowser(CutmemoError, OSError):
    """The screen cannot be served to a browser; the terminal goes on."""


class NoTerminal(CutmemoError, OSError):
    """There is no terminal that could show the screen; every verb works without one."""
