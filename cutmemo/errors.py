"""Every error that cutmemo raises on purpose, each with a sentence fit to show."""

from __future__ import annotations

from pathlib import Path


class CutmemoError(Exception):
    """Anything that went wrong and that the person can do something about."""

    def __str__(self) -> str:
        """Return the sentence to show."""
        return " ".join(str(part) for part in self.args)


class NotACall(CutmemoError, ValueError):
    """The words do not say a length or a command."""

    def __init__(self, words: tuple[str, ...], at: int, expected: frozenset[str]) -> None:
        """Record the *words*, the number of the one where it broke (from 0) and what would have fitted."""
        self.words, self.at, self.expected = words, at, expected
        super().__init__(words, at, expected)

    def __str__(self) -> str:
        """Return what was heard, where it broke and what would have fitted."""
        if not self.words:
            return "Nothing was said."
        said = " ".join(self.words)
        fits = ", ".join(sorted(self.expected)[:6])
        hint = f" Here would fit: {fits}." if fits else ""
        if self.at >= len(self.words):
            return f"“{said}” stops too early.{hint}"
        kept = " ".join(self.words[: self.at])
        where = (
            f"after “{kept}” the word “{self.words[self.at]}”"
            if kept
            else f"“{self.words[self.at]}”"
        )
        return f"“{said}”: {where} does not fit.{hint}"


class Refused(CutmemoError, ValueError):
    """The words are clear, but what they say cannot be right."""

    def __init__(self, said: str, reasons: tuple[str, ...]) -> None:
        """Record what was said and why it cannot be cut."""
        self.said, self.reasons = said, reasons
        super().__init__(said, reasons)

    def __str__(self) -> str:
        """Return the reasons as sentences."""
        return f"“{self.said}”: " + " ".join(self.reasons)


class NothingToDo(CutmemoError):
    """The command is clear, but there is nothing it applies to."""


class UnknownCut(CutmemoError, KeyError):
    """No row of the memo is the one that was named."""

    def __init__(self, name: str) -> None:
        """Record the *name* that fits no row."""
        self.name = name
        super().__init__(name)

    def __str__(self) -> str:
        """Return what was looked for and how to see the rows."""
        return f"No row “{self.name}” in this memo. “cutmemo list” shows the rows."


class BadMemo(CutmemoError, OSError):
    """A memo file cannot be opened, read or written."""

    def __init__(self, path: Path | str, why: str) -> None:
        """Record which file and *why* it cannot be used."""
        self.path, self.why = path, why
        super().__init__(path, why)

    def __str__(self) -> str:
        """Return the file and the reason."""
        return f"The memo {self.path} cannot be used: {self.why}."


class BadImport(CutmemoError, ValueError):
    """A line of an import file is not a memo event; nothing of the file was taken."""

    def __init__(self, line: int, why: str) -> None:
        """Record the *line* (from 1) and what is wrong with it."""
        self.line, self.why = line, why
        super().__init__(line, why)

    def __str__(self) -> str:
        """Return the line, the reason and that nothing was taken."""
        return f"Line {self.line} cannot be read ({self.why}). Nothing was imported."


class BadSetting(CutmemoError, ValueError):
    """A crew setting has a name or a value that does not exist."""


class BadBoards(CutmemoError, ValueError):
    """Boards that no rack holds, or a list of them that cannot be read; nothing was changed."""


class BadSound(CutmemoError, OSError):
    """A recording cannot be read."""

    def __init__(self, path: Path | str, why: str) -> None:
        """Record which file and *why* it cannot be heard."""
        self.path, self.why = path, why
        super().__init__(path, why)

    def __str__(self) -> str:
        """Return the file, the reason and what would work."""
        return f"{self.path} cannot be heard: {self.why}. A WAV file with 16-bit samples works."


class NoModel(CutmemoError, OSError):
    """The speech model is missing or broken; typing goes on."""

    def __init__(self, path: Path | str, why: str) -> None:
        """Record which directory and what is wrong with it."""
        self.path, self.why = path, why
        super().__init__(path, why)

    def __str__(self) -> str:
        """Return the directory, the reason and what to do."""
        return (
            f"The speech model {self.path} cannot be used: {self.why}. "
            "Name another with --model DIR or CUTMEMO_MODEL; typing works without one."
        )


class NoDecoder(CutmemoError, OSError):
    """The package vosk cannot be loaded here; typing goes on."""

    def __init__(self, why: str) -> None:
        """Record what was wrong with it."""
        self.why = why
        super().__init__(why)

    def __str__(self) -> str:
        """Return what listening needs, where it can be had, and that typing goes on."""
        return (
            "Listening needs the Python package vosk 0.3.45 (pip install vosk==0.3.45; there are "
            "builds for Linux on x86-64 and ARM, and for Windows on x86-64). "
            f"It cannot be loaded here: {self.why}. Typing goes on."
        )


class NoMicrophone(CutmemoError, OSError):
    """Sound cannot be taken in or played; typing goes on."""


class NoBrowser(CutmemoError, OSError):
    """The screen cannot be served to a browser; the terminal goes on."""


class NoTerminal(CutmemoError, OSError):
    """There is no terminal that could show the screen; every verb works without one."""
