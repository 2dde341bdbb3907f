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
    NoModel,
    NotACall,
    NothingToDo,
    Refused,
    UnknownCut,
)
from cutmemo.wording.doubts import explain

MAX_HINTS = 6
"""So many of the words that would have fitted are named."""


def explain_error(error: CutmemoError, settings: Settings | None = None) -> str:
    """Return the sentences that say *error*, with lengths as *settings* show them."""
    match error:
        case NotACall():
            return _not_a_call(error)
        case Refused():
            return f"“{error.said}”: " + " ".join(
                explain(reason, settings) for reason in error.reasons
            )
        case BadSetting() | NothingToDo() | BadBoards():
            return explain(error.reason, settings)
        case UnknownCut():
            return f"No row “{error.name}” in this memo. “cutmemo list” shows the rows."
        case BadMemo():
            return f"The memo {error.path} cannot be used: {error.why}."
        case BadImport():
            return f"Line {error.line} cannot be read ({error.why}). Nothing was imported."
        case BadConfig():
            return f"The defaults in {error.path} cannot be used: {error.why}."
        case BadLog():
            return f"The log {error.path} cannot be written: {error.why}."
        case BadSound():
            return (
                f"{error.path} cannot be heard: {error.why}. A WAV file with 16-bit samples works."
            )
        case NoModel():
            return (
                f"The speech model {error.path} cannot be used: {error.why}. "
                "Name another with --model DIR or CUTMEMO_MODEL; typing works without one."
            )
    return str(error)


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
