"""The screen in a browser: on this machine, or on the site's own network with a pass phrase."""

from __future__ import annotations

from cutmemo.errors import NoBrowser
from cutmemo.wording import browser as words

MIN_PHRASE_LENGTH = 8


def serve(
    memo: str,
    port: int,
    phrase: str | None = None,
    model: str | None = None,
    log: str | None = None,
) -> None:
    """Serve the memo to browsers until it is stopped: to this machine alone, or with a *phrase* to
    the site's network.

    Every tab hears with *model* and adds to *log*, where they are named.
    Raises :class:`NoBrowser` where the parts for it are missing or the phrase is too short.
    """
    if phrase is not None and len(phrase) < MIN_PHRASE_LENGTH:
        raise NoBrowser(words.phrase_too_short(MIN_PHRASE_LENGTH))
    try:
        from cutmemo.browser.server import Site  # deferred: only this verb needs a web server
    except ImportError as error:
        raise NoBrowser(words.parts_missing(error.name)) from error
    Site(memo, port, phrase, model, log).serve()
