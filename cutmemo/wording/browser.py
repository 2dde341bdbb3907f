"""The screen in a browser in words: its pages, and what the terminal that serves it says."""

from __future__ import annotations

# --- the terminal ---------------------------------------------------------------------------------

NOT_ENCRYPTED = (
    "What is typed there is not encrypted: use it on a network that you trust. Ctrl+C stops."
)


def phrase_too_short(least: int) -> str:
    """Return that a pass phrase has fewer characters than the *least*."""
    return f"The pass phrase is too short: {least} characters or more, a few words are best."


def parts_missing(package: str | None) -> str:
    """Return that a *package* is missing, and how all that are needed are installed."""
    return (
        f"The parts for the browser are missing ({package}). "
        "In the folder you cloned: .venv/bin/pip install '.[browser]'"
    )


def port_taken(port: int, why: object) -> str:
    """Return that *port* cannot be opened, and *why*."""
    return f"Port {port} cannot be opened ({why}). Try another: --port 8751."


def open_here(port: int) -> str:
    """Return where to look on this machine."""
    return f"Open http://localhost:{port} in a browser on this machine. Ctrl+C stops."


def open_on_site(address: str, port: int) -> str:
    """Return where to look on the site's network."""
    return f"Open http://{address}:{port} on the site's own network; it asks for the pass phrase."


# --- who is not answered --------------------------------------------------------------------------

THIS_MACHINE_ONLY = "This memo is open on its own machine only."
ANOTHER_SITE = "This page was asked for by another site."
PHRASE_FIRST = "The pass phrase is needed first."
TOO_SOON = "Too soon after a wrong pass phrase: wait a moment."
WRONG_PHRASE = "That is not the pass phrase."

# --- the pages ------------------------------------------------------------------------------------

ENTER_PAGE = {
    "whose": "The cutting list of this site.",
    "name": "Your name",
    "phrase": "Pass phrase",
    "join": "Join",
}
"""What stands on the page that asks for the pass phrase, by the names in its template."""
SCREEN_PAGE = {
    "left": "This screen was left. All that was called is in the memo.",
    "again": "Open it again",
}
"""What stands on the page of the screen once it was left, by the names in its template."""
