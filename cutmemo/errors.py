"""Every error that cutmemo raises on purpose. Each carries facts; ``wording`` says them."""

from __future__ import annotations

from collections.abc import Iterable
from enum import StrEnum
from fractions import Fraction
from pathlib import Path
from typing import Any, ClassVar

from cutmemo.domain.doubts import Doubt, DoubtKind, doubt
from cutmemo.domain.length import Length


def _plain(value: object) -> Any:
    """Return *value* as JSON has it; sets are sorted, what JSON does not have is text."""
    match value:
        case None | bool() | int() | float() | str():
            return value
        case tuple() | list():
            return [_plain(each) for each in value]
        case set() | frozenset():
            return sorted(_plain(each) for each in value)
        case Length():
            return str(value.inches)
        case Doubt():
            facts = (*value.words, *value.numbers, *value.lengths)
            return {"code": value.kind.value, **{name: _plain(fact) for name, fact in facts}}
        case Fraction() | _:
            return str(value)


def _as_doubt(reason: Doubt | str) -> Doubt:
    """Return *reason*; a finished sentence is one of its own."""
    return doubt(DoubtKind.AS_WRITTEN, text=reason) if isinstance(reason, str) else reason


class CutmemoError(Exception):
    """Anything that went wrong and that the person can do something about."""

    code: ClassVar[str] = "error"
    """What went wrong, for scripts: it stays, however the sentence is worded."""

    def __str__(self) -> str:
        """Return the facts in one line, for a log; a person reads what ``wording`` makes of
        them.
        """
        return " ".join(str(part) for part in self.args)

    def facts(self) -> dict[str, Any]:
        """Return what the error records, as plain values for JSON, by the names of its
        attributes.
        """
        return {
            name: _plain(value) for name, value in vars(self).items() if not name.startswith("_")
        }


class NotACall(CutmemoError, ValueError):
    """The words do not say a length or a command."""

    code = "not-a-call"

    def __init__(self, words: tuple[str, ...], at: int, expected: frozenset[str]) -> None:
        """Record the *words*, the number of the one where it broke (from 0) and what would have
        fitted.
        """
        self.words, self.at, self.expected = words, at, expected
        super().__init__(words, at, expected)


class Refused(CutmemoError, ValueError):
    """The words are clear, but what they say cannot be right."""

    code = "refused"

    def __init__(self, said: str, reasons: Iterable[Doubt | str]) -> None:
        """Record what was said and why it cannot be cut; a reason may be a finished sentence."""
        self.said, self.reasons = said, tuple(_as_doubt(each) for each in reasons)
        super().__init__(said, self.reasons)


class NothingToDo(CutmemoError):
    """The command is clear, but there is nothing it applies to."""

    code = "nothing-to-do"

    def __init__(self, reason: Doubt | str) -> None:
        """Record the *reason*."""
        self.reason = _as_doubt(reason)
        super().__init__(self.reason)


class UnknownCut(CutmemoError, KeyError):
    """No row of the memo is the one that was named."""

    code = "unknown-row"

    def __init__(self, name: str) -> None:
        """Record the *name* that fits no row."""
        self.name = name
        super().__init__(name)


class MemoFault(StrEnum):
    """Why a memo file cannot be used, where it is not the system that says so."""

    DISK_FULL = "disk full"
    READ_ONLY = "read only"
    LOCKED = "locked"
    """Another program keeps it for writing."""
    DISK_FAILED = "disk failed"
    NOT_OPENED = "not opened"
    NO_MEMO = "no memo"
    """It is none, or it is damaged."""
    DAMAGED = "damaged"
    """``detail`` in SQLite's words, where they are none of the known ones."""
    NEWER = "newer"
    """A newer version of the program wrote it."""
    OTHER_PROGRAM = "other program"
    """It is a database of another program."""
    NOT_READ_BACK = "not read back"
    """What was to be written could not be read again: ``detail``."""
    NOT_THERE = "not there"
    EXISTS = "exists"
    DEMO_EXISTS = "demo exists"
    """The file that the demo was to make."""
    NOTHING_LEFT = "nothing left"
    """Nothing in it can be read, and there is no copy of it."""
    NO_TEXT = "no text"


class BadMemo(CutmemoError, OSError):
    """A memo file cannot be opened, read or written."""

    code = "bad-memo"

    def __init__(
        self,
        path: Path | str,
        why: MemoFault | str,
        damaged: bool = False,
        copy: Path | None = None,
        detail: str = "",
    ) -> None:
        """Record which file and *why* it cannot be used: a fault with its *detail*, or the
        system's words; for a *damaged* one its last good *copy*.
        """
        self.path, self.why, self.damaged, self.copy = path, why, damaged, copy
        self.detail = detail
        super().__init__(path, why)

    def __reduce__(self) -> tuple[type[BadMemo], tuple[object, ...]]:
        """Return what makes the same error again: an :class:`OSError` keeps only two facts."""
        return type(self), (self.path, self.why, self.damaged, self.copy, self.detail)


class BadImport(CutmemoError, ValueError):
    """A line of an import file is not a memo event; nothing of the file was taken."""

    code = "bad-import"

    def __init__(self, line: int, why: str) -> None:
        """Record the *line* (from 1) and what is wrong with it."""
        self.line, self.why = line, why
        super().__init__(line, why)


class BadPage(CutmemoError, OSError):
    """A page cannot be written."""

    code = "bad-page"

    def __init__(self, path: Path | str, why: str) -> None:
        """Record which file and *why*."""
        self.path, self.why = path, why
        super().__init__(path, why)


class BadSetting(CutmemoError, ValueError):
    """A crew setting has a name or a value that does not exist."""

    code = "bad-setting"

    def __init__(self, reason: Doubt | str) -> None:
        """Record the *reason*."""
        self.reason = _as_doubt(reason)
        super().__init__(self.reason)


class BadBoards(CutmemoError, ValueError):
    """Boards that no rack holds, or a list of them that cannot be read; nothing was changed."""

    code = "bad-boards"

    def __init__(self, reason: Doubt | str) -> None:
        """Record the *reason*."""
        self.reason = _as_doubt(reason)
        super().__init__(self.reason)


class SoundFault(StrEnum):
    """Why a recording cannot be heard, where it is not the system that says so."""

    BITS = "bits"
    """Its samples have so many bits: ``number``."""
    RATE = "rate"
    """So many samples a second: ``number``."""
    ENDS_TOO_EARLY = "ends too early"
    NO_RECORDINGS = "no recordings"
    """Nothing lies in the folder."""


class BadSound(CutmemoError, OSError):
    """A recording cannot be read."""

    code = "bad-sound"

    def __init__(self, path: Path | str, why: SoundFault | str, number: int = 0) -> None:
        """Record which file and *why* it cannot be heard: a fault with its *number*, or the
        system's words.
        """
        self.path, self.why, self.number = path, why, number
        super().__init__(path, why)

    def __reduce__(self) -> tuple[type[BadSound], tuple[object, ...]]:
        """Return what makes the same error again: an :class:`OSError` keeps only two facts."""
        return type(self), (self.path, self.why, self.number)


class NoModel(CutmemoError, OSError):
    """The speech model is missing or broken; typing goes on."""

    code = "no-model"

    def __init__(self, path: Path | str, why: str) -> None:
        """Record which directory and what is wrong with it."""
        self.path, self.why = path, why
        super().__init__(path, why)


class NoDecoder(CutmemoError, OSError):
    """The package vosk cannot be loaded here; typing goes on."""

    code = "no-decoder"

    def __init__(self, why: str) -> None:
        """Record what was wrong with it."""
        self.why = why
        super().__init__(why)


class SoundTrouble(StrEnum):
    """Why sound cannot be taken in or played. Scripts read the text: never change one."""

    NO_PORTAUDIO = "no-portaudio"
    NO_PACKAGE = "no-package"
    LISTENS_ALREADY = "listens-already"
    """Another process of this program holds the microphone."""
    NOT_OPENED = "not-opened"
    """No microphone can be opened; ``why`` in PortAudio's words."""
    SILENT = "silent"
    """The device gives nothing any more."""
    PULLED_OUT = "pulled-out"
    TOO_BUSY = "too-busy"
    """More sound came than could be kept: some was lost."""
    NOT_PLAYED = "not-played"
    """No sound can be played; ``why`` in PortAudio's words."""


class NoMicrophone(CutmemoError, OSError):
    """Sound cannot be taken in or played; typing goes on."""

    code = "no-microphone"

    def __init__(self, trouble: SoundTrouble, why: str = "") -> None:
        """Record the *trouble*, and *why* where the sound system says so."""
        self.trouble, self.why = trouble, why
        super().__init__(trouble, why)


class NoBrowser(CutmemoError, OSError):
    """The memo cannot be served to a browser; the terminal goes on."""

    code = "no-browser"


class NoSite(NoBrowser):
    """The memo cannot be served to the devices of the crew."""

    code = "no-site"


class NoTerminal(CutmemoError, OSError):
    """There is no terminal that could show the screen; every verb works without one."""

    code = "no-terminal"


class HiddenSign(CutmemoError, ValueError):
    """A name, a place or an argument holds a sign that cannot be seen; nothing was done."""

    code = "hidden-sign"

    def __init__(self, where: str, sign: str) -> None:
        """Record *where* it stands, and the *sign* as Unicode's tables name it."""
        self.where, self.sign = where, sign
        super().__init__(where, sign)


class BadConfig(CutmemoError, ValueError):
    """This machine's file of defaults cannot be used; nothing was done."""

    code = "bad-config"

    def __init__(self, path: Path | str, why: str) -> None:
        """Record which file and *why* it cannot be used."""
        self.path, self.why = path, why
        super().__init__(path, why)


class BadLog(CutmemoError, OSError):
    """The log cannot be written; nothing was done."""

    code = "bad-log"

    def __init__(self, path: Path | str, why: str) -> None:
        """Record which file and *why* it cannot be written."""
        self.path, self.why = path, why
        super().__init__(path, why)


class OfficeTrouble(StrEnum):
    """Why the office cannot be reached or used. Scripts read the text: never change one."""

    NO_PACKAGE = "no-package"
    """The extra ``office`` is not installed."""
    NO_ADDRESS = "no-address"
    """The text is no address of a PostgreSQL database: ``why``."""
    PASSWORD_IN_ADDRESS = "password-in-address"  # noqa: S105 - a name
    WEAK_TLS = "weak-tls"
    """The address asks for a connection that is not verified: ``why``."""
    NO_LINK = "no-link"
    """The memo is not connected to an office."""
    LINKED_ALREADY = "linked-already"
    """The memo is connected to another one: ``why``."""
    BAD_LINK = "bad-link"
    """The file beside the memo that names the office cannot be read: ``why``."""
    OPEN_PASSWORD_FILE = "open-password-file"  # noqa: S105 - a name
    """Others may read the file with the password: ``why``."""
    NO_PASSWORD = "no-password"  # noqa: S105 - a name
    NOT_HERE = "not-here"
    """There is no office on this machine, and none was named: ``why``."""
    NO_NETWORK = "no-network"
    """The server does not answer: ``why`` in its words, or in those of the system."""
    BAD_CERTIFICATE = "bad-certificate"
    """The file holds no certificate: ``why``."""
    NOT_VERIFIED = "not-verified"
    """Its certificate is not that of the office: ``why``."""
    NOT_LET_IN = "not-let-in"
    """Name or password is not taken."""
    NOT_PREPARED = "not-prepared"
    """The database has no tables of an office."""
    NEWER = "newer"
    """A newer program laid out the database."""
    OLDER = "older"
    """The database is to be brought up to this program."""
    NO_SUCH_SITE = "no-such-site"
    """The name has no site, or may not be one: ``why``."""
    BROKEN = "broken"
    """The database refuses: ``why`` in its words."""


class NoOffice(CutmemoError, OSError):
    """The office cannot be reached or used; the memo goes on."""

    code = "no-office"

    def __init__(self, trouble: OfficeTrouble, why: str = "") -> None:
        """Record the *trouble*, and *why* where somebody says so."""
        self.trouble, self.why = trouble, why
        super().__init__(trouble, why)
