"""The one entry for a typed line: as a call, as several, among words, and last by its figures."""

from __future__ import annotations

from dataclasses import replace

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language.among_words import read_among_words
from cutmemo.language.by_figures import read_by_figures
from cutmemo.language.grammar.tokens import without_numbering
from cutmemo.language.intent import Reading
from cutmemo.language.reading import read
from cutmemo.language.split import CallList, split_calls

_OF_ITS_FORM = frozenset(
    {
        DoubtKind.SEVERAL_UNCLEAR,
        DoubtKind.CHEEK_WITHOUT_PITCH,
        DoubtKind.ENDS_WITHOUT_LENGTH,
        DoubtKind.NOT_ON_A_TAPE,
        DoubtKind.NO_LENGTH,
    }
)
"""Why a line is refused that may be read by its figures: a pitch between commas is no fraction."""


def read_typed(said: str, settings: Settings | None = None) -> tuple[Reading, ...] | CallList:
    """Return what a typed line means: every reading of it, or the cuts that it lists, with words
    that nothing reads kept as they are.

    Raises :class:`NotACall` and :class:`Refused` as reading it does.
    """
    try:
        return _read(said, settings)
    except (NotACall, Refused) as error:
        numbered = _without_its_number(said, settings)
        if numbered:
            return numbered
        of_its_form = isinstance(error, NotACall) or all(
            isinstance(each, Doubt) and each.kind in _OF_ITS_FORM for each in error.reasons
        )
        found = read_by_figures(without_numbering(said), settings) if of_its_form else None
        if found is None:
            raise
        return found


def _without_its_number(said: str, settings: Settings | None) -> tuple[Reading, ...]:
    """Return the readings of a line of a list without its number or its sign: 2) 4 @ 36. They ask,
    unless the number can be none of it: how many are said, of which piece or size.
    """
    rest = without_numbering(said)
    if rest == said:
        return ()
    try:
        found = _read(rest, settings)
    except (NotACall, Refused):
        return ()
    number = said[: len(said) - len(rest.lstrip())].strip()
    asked = doubt(DoubtKind.UNKNOWN_WORDS, *_ABOUT, said=number)
    if isinstance(found, CallList) or not all(isinstance(each.intent, Cut) for each in found):
        return ()
    numbered = any(sign.isalnum() for sign in number)
    return tuple(
        each if _is_whole(each, numbered) else replace(each, doubts=(asked, *each.doubts))
        for each in found
    )


def _is_whole(reading: Reading, numbered: bool) -> bool:
    """Return whether a cut says its piece or its size and, in a *numbered* line, how many."""
    cut = reading.intent
    named = isinstance(cut, Cut) and (cut.section is not None or cut.piece is not None)
    return named and (not numbered or (isinstance(cut, Cut) and cut.count > 1))


_ABOUT = (Field.COUNT, Field.NOTE)


def _read(said: str, settings: Settings | None) -> tuple[Reading, ...] | CallList:
    """Return what a line means as a call, as several, or among words that nothing reads."""
    try:
        return read(said, settings)
    except NotACall as error:
        refused = error
    listed = split_calls(said, settings)
    if listed is not None and listed.marked:
        return listed
    among = read_among_words(said, settings, asks=listed is not None)
    if among and not isinstance(among, CallList):
        return among
    found = listed or among
    if found is None:
        raise refused
    return found
