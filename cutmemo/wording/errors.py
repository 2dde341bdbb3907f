"""What went wrong, in words."""

from __future__ import annotations

from cutmemo.domain.settings import Settings
from cutmemo.errors import (
    BadBoards,
    BadConfig,
    BadImport,
    BadLog,
    BadMemo,
    BadSetting,
    BadSound,
    CutmemoError,
    HiddenSign,
    NoDecoder,
    NoModel,
    NotACall,
    NothingToDo,
    Refused,
    UnknownCut,
)
from cutmemo.wording.doubts import explain

RESCUE = "“cutmemo rescue” makes a new memo with all that can be saved"


def last_copy(copy: str) -> str:
    """Return where the last good copy of a memo lies."""
    return f"The last good copy is {copy}."


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
        case BadMemo() if error.damaged:
            offer = f" {last_copy(str(error.copy))}" if error.copy is not None else ""
            return f"The memo {error.path} cannot be used: {error.why}. {RESCUE}.{offer}"
    template = _TEMPLATES.get(type(error))
    return str(error) if template is None else template.format(**vars(error))


_TEMPLATES: dict[type[CutmemoError], str] = {
    UnknownCut: "No row “{name}” in this memo. “cutmemo list” shows the rows.",
    BadMemo: "The memo {path} cannot be used: {why}.",
    BadImport: "Line {line} cannot be read ({why}). Nothing was imported.",
    BadConfig: "The defaults in {path} cannot be used: {why}.",
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


def _not_a_call(error: NotACall) -> str:
    """Return what was heard, where it broke and what would have fitted."""
    if not error.words:
        return "Nothing was said."
    said = " ".join(error.words)
    fits = ", ".join(sorted(error.expected)[:MAX_HINTS])
    hint = f" Here would fit: {fits}." if fits else ""
    if error.at >= len(error.words):
        return f"“{said}” stops too early.{hint}"
    kept = " ".join(error.words[: error.at])
    where = (
        f"after “{kept}” the word “{error.words[error.at]}”"
        if kept
        else f"“{error.words[error.at]}”"
    )
    return f"“{said}”: {where} does not fit.{hint}"
