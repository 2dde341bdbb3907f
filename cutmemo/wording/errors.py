"""What went wrong, in words."""

from __future__ import annotations

from cutmemo.domain.settings import Settings
from cutmemo.errors import (
    BadBoards,
    BadConfig,
    BadImport,
    BadLog,
    BadMemo,
    BadPage,
    BadSetting,
    BadSound,
    CutmemoError,
    HiddenSign,
    MemoFault,
    NoDecoder,
    NoMicrophone,
    NoModel,
    NoOffice,
    NotACall,
    NothingToDo,
    Refused,
    SoundFault,
    SoundTrouble,
    UnknownCut,
)
from cutmemo.wording.doubts import explain
from cutmemo.wording.office import explain_trouble

RESCUE = "“cutmemo rescue” makes a new memo with all that can be saved"


def last_copy(copy: str) -> str:
    """Return where the last good copy of a memo lies."""
    return f"The last good copy is {copy}."


def no_copy(why: str) -> str:
    """Return that the program could not copy the memo by itself, and *why*."""
    return f"No copy of the memo could be made: {why}. The memo itself is kept."


MAX_HINTS = 6
"""So many of the words that would have fitted are named."""


def explain_error(error: CutmemoError, settings: Settings | None = None) -> str:
    """Return the sentences that say *error*, with lengths as *settings* show them."""
    match error:
        case NotACall():
            return _not_a_call(error)
        case Refused():
            reasons = " ".join(explain(reason, settings) for reason in error.reasons)
            return f"“{error.said}”: {reasons}"
        case BadSetting() | NothingToDo() | BadBoards():
            return explain(error.reason, settings)
        case NoMicrophone() | NoOffice():
            return _trouble(error)
        case BadMemo() if error.damaged:
            offer = f" {last_copy(str(error.copy))}" if error.copy is not None else ""
            return f"The memo {error.path} cannot be used: {explain_why(error)}. {RESCUE}.{offer}"
    template = _TEMPLATES.get(type(error))
    facts = vars(error)
    if isinstance(error, BadMemo | BadSound):
        facts = {**facts, "why": explain_why(error)}
    return str(error) if template is None else template.format(**facts)


def _trouble(error: NoMicrophone | NoOffice) -> str:
    """Return the sentence that says what is wrong with the sound, or with the office."""
    if isinstance(error, NoOffice):
        return explain_trouble(error.trouble, error.why)
    return _SOUND_TROUBLES[error.trouble].format(why=error.why)


def explain_why(error: BadMemo | BadSound) -> str:
    """Return why the file cannot be used, as a part of a sentence."""
    match error:
        case BadSound(why=SoundFault() as fault):
            return _SOUND_FAULTS[fault].format(number=error.number)
        case BadMemo(why=MemoFault() as fault):
            return _MEMO_FAULTS[fault] + (f" ({error.detail})" if error.detail else "")
    return error.why


_TEMPLATES: dict[type[CutmemoError], str] = {
    UnknownCut: "No row “{name}” in this memo. “cutmemo list” shows the rows.",
    BadMemo: "The memo {path} cannot be used: {why}.",
    BadImport: "Line {line} cannot be read ({why}). Nothing was imported.",
    BadConfig: "The defaults in {path} cannot be used: {why}.",
    BadPage: (
        "The page {path} cannot be written: {why}. "
        "See that its folder may be written to, or name another file."
    ),
    BadLog: "The log {path} cannot be written: {why}.",
    BadSound: "{path} cannot be heard: {why}. A WAV file with 16-bit samples works.",
    NoModel: (
        "The speech model {path} cannot be used: {why}. "
        "Name another with --model DIR or CUTMEMO_MODEL; typing works without one."
    ),
    NoDecoder: (
        "Listening needs the Python package vosk 0.3.45 (pip install vosk==0.3.45; there are "
        "builds for Linux on x86-64 and ARM, and for Windows on x86-64). "
        "It cannot be loaded here: {why}. Typing goes on."
    ),
    HiddenSign: "“{where}” holds a sign that cannot be seen ({sign}). Leave it out.",
}
"""What each error says; its attributes are the facts."""


_MEMO_FAULTS: dict[MemoFault, str] = {
    MemoFault.DISK_FULL: (
        "the disk is full. Make room and do it again; all that was accepted before is kept"
    ),
    MemoFault.READ_ONLY: (
        "it may only be read. "
        "Change its permissions, or copy it; all that was accepted before is kept"
    ),
    MemoFault.LOCKED: "another program keeps it for writing. Wait, and do it again",
    MemoFault.DISK_FAILED: (
        "the disk cannot be written. Is it still there? All that was accepted before is kept"
    ),
    MemoFault.NOT_OPENED: ("it cannot be opened. Does its folder exist, and may you write there?"),
    MemoFault.NO_MEMO: "it is no memo, or it is damaged",
    MemoFault.DAMAGED: "it is damaged",
    MemoFault.NEWER: "it was written by a newer cutmemo; install that one to open it",
    MemoFault.OTHER_PROGRAM: "it is a database of another program",
    MemoFault.NOT_READ_BACK: "this could not be read again, and was not written",
    MemoFault.NOT_THERE: "it does not exist",
    MemoFault.EXISTS: "it exists already",
    MemoFault.DEMO_EXISTS: "it exists already, and the demo touches no memo of yours",
    MemoFault.NOTHING_LEFT: "nothing in it can be read, and there is no copy of it",
    MemoFault.NO_TEXT: "it is no text",
}
"""What each fault of a memo says, and what to do about it."""


_SOUND_FAULTS: dict[SoundFault, str] = {
    SoundFault.BITS: "its samples have {number} bits",
    SoundFault.RATE: "its rate of {number} samples a second is out of range",
    SoundFault.ENDS_TOO_EARLY: "it ends too early",
    SoundFault.NO_RECORDINGS: "there are no recordings",
}
"""What each fault of a recording says."""


_SOUND_TROUBLES: dict[SoundTrouble, str] = {
    SoundTrouble.NO_PORTAUDIO: (
        "The sound system's PortAudio is missing. "
        "Debian, Ubuntu: sudo apt install libportaudio2. Typing goes on."
    ),
    SoundTrouble.NO_PACKAGE: (
        "The Python package sounddevice is missing: pip install sounddevice. Typing goes on."
    ),
    SoundTrouble.LISTENS_ALREADY: (
        "Another window of cutmemo listens already. Stop it there first (l); typing goes on."
    ),
    SoundTrouble.NOT_OPENED: "No microphone can be opened ({why}). Plug one in; typing goes on.",
    SoundTrouble.SILENT: (
        "The microphone gives no sound any more. Plug it in again; typing goes on."
    ),
    SoundTrouble.PULLED_OUT: ("The microphone was pulled out. Plug it in again; typing goes on."),
    SoundTrouble.TOO_BUSY: (
        "The machine was too busy to hear everything. Say the last call again."
    ),
    SoundTrouble.NOT_PLAYED: "No sound can be played ({why}). Read-back is off.",
}
"""What each trouble with the sound says."""


MAX_ECHO = 80
"""So much of what was said is said back."""
_EXAMPLES = {
    "a length": "92-5/8",
    "a fraction": "5/8",
    "a count": "4",
    "a piece": "stud",
    "a place": "W3",
    "a digit": "five",
    "for a place": "for W3",
    "two by six": "2x6",
}
"""What would have fitted, by example."""


def _shortened(said: str) -> str:
    """Return the beginning of *said* where it is long."""
    return said if len(said) <= MAX_ECHO else said[: MAX_ECHO - 1] + "…"


def _hint(expected: frozenset[str]) -> str:
    """Return what would have fitted, and an example of it."""
    fits = sorted(expected)[:MAX_HINTS]
    if not fits:
        return ""
    examples = [_EXAMPLES[each] for each in fits if each in _EXAMPLES]
    example = f", as in “{examples[0]}”" if examples else ""
    return f" Here would fit: {', '.join(fits)}{example}."


def _not_a_call(error: NotACall) -> str:
    """Return what was heard, where it broke and what would have fitted."""
    if not error.words:
        return "Nothing was said."
    said = _shortened(" ".join(error.words))
    hint = _hint(error.expected)
    if error.at >= len(error.words):
        return f"“{said}” stops too early.{hint}"
    kept = _shortened(" ".join(error.words[: error.at]))
    broke = _shortened(error.words[error.at])
    where = f"after “{kept}” the word “{broke}”" if kept else f"“{broke}”"
    return f"“{said}”: {where} does not fit.{hint}"
