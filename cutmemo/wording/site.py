"""The site in words: its doors, what is refused, what the terminal that serves it tells."""

from __future__ import annotations

from cutmemo.memo.rows import RowState

# --- somebody else was first ----------------------------------------------------------------------

_DONE: dict[RowState, str] = {
    "open": "was answered already",
    "doubtful": "asks now",
    "cut": "is cut already",
    "struck": "was struck already",
}


def was_first(number: int, state: RowState, by: str, at: str) -> str:
    """Return that somebody else did something with a row first: *by* whom and when (ISO 8601)."""
    return f"Row {number} {_DONE[state]}: {by}, {_clock(at)}. Nothing was changed."


def changed_since(number: int, now: str, by: str, at: str) -> str:
    """Return that a row is another one than the page showed: what it is *now*, *by* whom."""
    return (
        f"Row {number} was changed to {now}: {by}, {_clock(at)}. "
        "Nothing was done; look at it and do it again."
    )


def _clock(at: str) -> str:
    return at[11:16]


# --- the ear --------------------------------------------------------------------------------------

LOAD_ANEW = "This page is of another version: load it anew. Nothing that was called is lost."
NOT_NOW = "This cannot be taken now. It is kept here, and sent again."
BROKE = "This could not be taken: the program broke. Say it again, or type it."
TAKEN_BEFORE = "Done already."
GONE = "This device was put out, or was not used for a day. Join again; what is kept here is sent."


# --- devices --------------------------------------------------------------------------------------

UNNAMED_DEVICE = "phone"


def too_many_devices(most: int) -> str:
    """Return that no more devices can join."""
    return f"{most} devices have joined, which is the most. Put one out: cutmemo site remove NAME."


def file_unreadable(path: object, why: object) -> str:
    """Return that a file of the site cannot be used."""
    return f"{path} cannot be used: {why}."


# --- who is not answered --------------------------------------------------------------------------

OTHER_NAME = "This memo is open under another name."
ANOTHER_SITE = "This was asked for by another site."
JOIN_FIRST = "Join first."
THIS_MACHINE = "this machine"


# --- the terminal ---------------------------------------------------------------------------------


def parts_missing(package: str | None) -> str:
    """Return that a *package* is missing, and how all that are needed are installed."""
    return (
        f"The parts for the site are missing ({package}). "
        "In the folder you cloned: .venv/bin/pip install '.[site]'"
    )


def port_taken(port: int, why: object) -> str:
    """Return that *port* cannot be opened, and *why*."""
    return f"Port {port} cannot be opened ({why}). Try another: --port 8760."


def open_here(port: int) -> str:
    """Return where to look on this machine."""
    return f"Open http://localhost:{port} in a browser on this machine. Ctrl+C stops."


GO_TO_SITE = "Phones and tablets join with “cutmemo site”: encrypted, each with its own microphone."
