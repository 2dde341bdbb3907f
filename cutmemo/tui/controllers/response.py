"""What the screens do about an outcome, decided without a screen."""

from __future__ import annotations

from dataclasses import dataclass

from cutmemo.framing import Assembly
from cutmemo.memo.rows import Row
from cutmemo.wording import Told
from cutmemo.wording import screens as words


@dataclass(frozen=True, slots=True)
class Response:
    """What is shown of an outcome, and what begins or ends with it."""

    text: str
    """The sentence to show, behind its sign."""
    wrong: bool = False
    row: Row | None = None
    """The row to show large; ``None`` leaves the one that is shown."""
    following: Row | None = None
    """The next question, shown and read out before a key can settle it."""
    page: Assembly | None = None
    """A set to show on a page of its own."""
    play: bool = False
    """Whether the call of the row is played again."""
    listen: bool | None = None
    """Whether to begin (true) or to stop listening; ``None`` leaves it."""


def told(text: str, wrong: bool = False, asks: bool = False) -> str:
    """Return a sentence behind the sign that says how it went."""
    return f"{words.ASKS if asks else words.WRONG if wrong else words.GOOD} {text}"


def respond(outcome: Told, question: Row | None) -> Response:
    """Return what to do about *outcome*; *question* is the question that is open after it, if one
    is.
    """
    following = question if outcome.happened in ("answered", "struck") else None
    asks = outcome.happened == "asked"
    return Response(
        told(outcome.text, asks=asks),
        wrong=asks,
        row=following or outcome.row,
        following=following,
        page=outcome.assembly,
        play=outcome.happened == "play",
        listen={"listen": True, "pause": False}.get(outcome.happened),
    )
