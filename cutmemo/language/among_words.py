"""A typed call among words that nothing reads: its measures are read, the other words are kept as
they were typed, and asked about.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind, Field, doubt
from cutmemo.domain.settings import Settings
from cutmemo.errors import Refused
from cutmemo.language.grammar.lengths import is_the_lower_end
from cutmemo.language.grammar.numbers import MAX_PLACE_NUMBER
from cutmemo.language.grammar.partial import MANY_PIECES
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.tokens import Token
from cutmemo.language.grammar.unknown import (
    MARK,
)
from cutmemo.language.intent import Reading
from cutmemo.language.lexicon.en import (
    CENTERS,
    COUNT_ENDS,
    MAY_CHANGE,
    MEANS_MORE,
    NUMBERED_ROOMS,
    ONES,
    PIECES,
    ROOMS,
    SENTENCE_WORDS,
    TELLING,
    TENS,
)
from cutmemo.language.plain_words import (
    ARTICLES,
    CHAT,
    MEASURING,
    OF_ENDS,
    PASSED_OVER,
    asides,
    is_figure,
    is_of_one_of_its_kind,
    joins_a_number,
    likely_pieces,
    pieces_in,
    say_nothing_more,
    says_where,
    word_before,
)
from cutmemo.language.reading import good_readings, tokens_of
from cutmemo.language.split import CallList, call_list, is_a_remark

MAX_WORDS = 30
"""A longer line is no call that somebody means."""
MAX_WAYS = 24
"""So many ways to leave words out are tried at most."""
_KEPT_IN_DOUBT = frozenset(
    "about again all any big bigger clear deep down drop either every height high higher hold low "
    "main max measure missing most neither other pack same set sets short small some stack stacked "
    "stop tall taller thick total trim trimmed up wide".split()
)
"""Words that may say how long or how many, and may as well say where: the question shows them."""


@dataclass(frozen=True, slots=True)
class _Run:
    """Words side by side that are kept as they were typed: from one token to before another."""

    begin: int
    end: int
    names_a_place: bool

    @property
    def span(self) -> tuple[int, int]:
        """From which token to before which."""
        return self.begin, self.end


def read_among_words(
    said: str, settings: Settings | None = None, asks: bool = False
) -> tuple[Reading, ...] | CallList | None:
    """Return the cuts whose measures stand in a typed line among words that nothing reads, each
    with these words as its place or its note, and doubtful where they may say more, or it *asks*
    anyhow; ``None`` where there are none.

    What may be an order, a correction or a question is none. Raises :class:`Refused` where what is
    left has more than one way to be several cuts.
    """
    tokens = tokens_of(said, by_voice=False)
    tells = any(token.word in TELLING for token in tokens)
    if not tokens or tells or len(tokens) > MAX_WORDS:
        return None
    settings = settings or Settings()
    line = Scan(tokens, settings, by_voice=False)
    listed: CallList | None = None
    found: dict[object, tuple[Reading, list[_Run]]] = {}
    for runs in _ways(line):
        rest = _without(tokens, runs)
        readings = good_readings(Scan(rest, settings, by_voice=False), True)
        counted = () if readings else good_readings(Scan(_counted(rest), settings, False), True)
        for reading in readings or counted:
            cut = reading.intent
            if isinstance(cut, Cut) and _is_measured(cut):
                found.setdefault(_measures(cut), (reading, runs))
                asks = asks or (reading in counted and cut.length.inches.denominator == 1)
    for runs in (_with_all_pieces(line), *_ways(line)) if not found else ():
        listed = listed or _listed(said, tokens, _without(tokens, runs), runs, settings)
    plain = len(found) == 1 and all(
        say_nothing_more(reading, line, [run.span for run in runs])
        for reading, runs in found.values()
    )
    kept = [_kept(*each, tokens, asks or not plain) for each in found.values()]
    return tuple(kept) or listed


def _ways(line: Scan) -> list[list[_Run]]:
    """Return the ways to leave words out: with one of several pieces each, and with a number behind
    a room as its own or not.
    """
    kept_pieces = [[each] for each in reversed(likely_pieces(line))] or [[]]
    numbers = [at for at in range(1, len(line.tokens)) if _may_number_a_room(line, at)]
    sure = [at for at in numbers if not _may_count(line, at)]
    asked = [at for at in numbers if at not in sure]
    ways: list[list[_Run]] = []
    for kept, owned in product(kept_pieces, _subsets(asked)):
        runs = _runs(line, kept, {*sure, *owned})
        if runs and runs not in ways:
            ways.append(runs)
    return ways[:MAX_WAYS]


def _with_all_pieces(line: Scan) -> list[_Run]:
    """Return what is left out where each cut of a line has a piece of its own."""
    numbers = {at for at in range(1, len(line.tokens)) if _may_number_a_room(line, at)}
    return _runs(line, pieces_in(line), {at for at in numbers if not _may_count(line, at)})


def _subsets(of: Sequence[int]) -> list[tuple[int, ...]]:
    """Return *of* as a whole, then each of it left out, then nothing."""
    each_out = [tuple(at for at in of if at != out) for out in of] if len(of) > 1 else []
    return list(dict.fromkeys([tuple(of), *each_out, ()]))


def _runs(line: Scan, kept: Sequence[tuple[int, int]], owned: set[int]) -> list[_Run]:
    """Return the runs of words to leave out, where the pieces *kept* and no others stay, and the
    numbers *owned* by rooms do not.
    """
    stays = {at for begin, end in kept for at in range(begin, end)}
    other = {at for begin, end in pieces_in(line) for at in range(begin, end)}
    goes = other | owned | asides(line.tokens)
    runs: list[_Run] = []
    at, size = 0, len(line.tokens)
    while at < size:
        end = at
        while end < size and end not in stays and (end in goes or _may_be_left_out(line, end)):
            end += 1
        if end > at:
            runs.append(_Run(at, end, any(says_where(line, k) for k in range(at, end))))
        at = end + 1
    return runs


def _may_be_left_out(line: Scan, at: int) -> bool:
    """Return whether the token at *at* says nothing that a cut could be made by."""
    token = line.tokens[at]
    word = token.word
    if word == "." or word in CHAT or (word == "each" and line.word(at + 1) in ("side", "sides")):
        return True
    if token.kind != "word" or line.find(CENTERS, at) or line.find(COUNT_ENDS, at):
        return False
    if word in (*ARTICLES, "board", "boards"):
        beside = at + 1 if word in ARTICLES else at - 1
        return 0 <= beside < len(line.tokens) and _may_be_left_out(line, beside)
    if word in PASSED_OVER or len(word) == 1:
        letter = token.text.isupper() or word_before(line, at) in ROOMS
        return (letter or word in PASSED_OVER) and word.isalpha() and not joins_a_number(line, at)
    return _is_no_measure(line, at)


def _is_no_measure(line: Scan, at: int) -> bool:
    """Return whether the word at *at* is a mark, names a place, or is of no table that measures."""
    word = line.word(at)
    if word in ("end", "ends"):
        return at == 0 or not (line.word(at - 1) in OF_ENDS or is_figure(line.tokens[at - 1]))
    if MARK.fullmatch(word) or says_where(line, at):
        return word not in MEASURING or is_the_lower_end(line, at)
    if not (word.isalpha() or "'" in word) or word in SENTENCE_WORDS:
        return False
    if word in MAY_CHANGE or word in MEANS_MORE:
        return word in _KEPT_IN_DOUBT and at > 0
    return True


def _may_number_a_room(line: Scan, at: int) -> bool:
    """Return whether the token at *at* is a small number right behind what may have numbers."""
    token, before, behind = line.tokens[at], line.word(at - 1), line.token(at + 1)
    if token.kind != "number" or not 0 < token.value <= MAX_PLACE_NUMBER or not before.isalpha():
        return False
    measures = {*MEASURING, "times", "at", *COUNT_ENDS.words()}
    goes_on = behind is not None and (behind.kind == "fraction" or behind.word in measures)
    return not goes_on and (before in ROOMS or _may_be_left_out(line, at - 1))


def _may_count(line: Scan, at: int) -> bool:
    """Return whether the number at *at* may as well count, or be a length: it is behind no room
    that has numbers, or right before a size or a piece.
    """
    if line.word(at - 1) not in NUMBERED_ROOMS or is_of_one_of_its_kind(line, at):
        return True
    behind = line.token(at + 1)
    return behind is not None and (behind.kind == "section" or bool(line.find(PIECES, at + 1)))


def _without(tokens: tuple[Token, ...], runs: Sequence[_Run]) -> tuple[Token, ...]:
    """Return *tokens* without *runs*, a comma for each that stood between two numbers."""
    out = {at for run in runs for at in range(run.begin, run.end)}
    kept: list[Token] = []
    gap = False
    for at, token in enumerate(tokens):
        if at in out:
            gap = True
            continue
        separates = token.word == ","
        if separates and (not kept or kept[-1].word == ","):
            continue
        if gap and kept and is_figure(kept[-1]) and is_figure(token):
            kept.append(replace(token, text=",", kind="mark", word=","))
        gap = False
        kept.append(token)
    while kept and kept[-1].word == ",":
        kept.pop()
    return tuple(kept)


def _counted(tokens: tuple[Token, ...]) -> tuple[Token, ...]:
    """Return *tokens* with "pieces" behind each number of no more than many pieces that has commas,
    or an end, on both sides: hangers, ten, 23-5/8.
    """
    kept: list[Token] = []
    for at, token in enumerate(tokens):
        alone = at > 0 and tokens[at - 1].word == ","
        alone = alone and (at + 1 == len(tokens) or tokens[at + 1].word == ",")
        if kept and kept[-1].word == "pieces" and token.word == ",":
            continue
        kept.append(token)
        few = token.kind == "number" and token.value <= MANY_PIECES
        if alone and (few or token.word in ONES or token.word in TENS):
            kept.append(replace(token, text="pieces", kind="word", word="pieces"))
    return tuple(kept)


def _is_measured(cut: Cut) -> bool:
    """Return whether *cut* says more than a length, so that it is a call."""
    return cut.section is not None or cut.piece is not None or cut.count > 1


def _measures(cut: Cut) -> object:
    """Return all of *cut* but its words."""
    return replace(cut, place=None, note=None)


def _kept(
    reading: Reading, runs: Sequence[_Run], tokens: tuple[Token, ...], asks: bool = True
) -> Reading:
    """Return *reading* with the words of *runs* as its place and its note, doubtful where it
    *asks*.
    """
    cut = reading.intent
    if not isinstance(cut, Cut) or not runs:
        return reading
    places = [_text(tokens, run) for run in runs if run.names_a_place]
    notes = [_text(tokens, run) for run in runs if not run.names_a_place]
    said = doubt(
        DoubtKind.UNKNOWN_WORDS,
        Field.PIECE,
        Field.PLACE,
        said=" … ".join(_text(tokens, run) for run in runs),
    )
    place = ", ".join(part for part in (*places, cut.place) if part)
    note = ", ".join(part for part in (cut.note, *notes) if part)
    known = tuple(each for each in reading.doubts if each.kind is not DoubtKind.UNKNOWN_WORDS)
    kept = replace(cut, place=place or None, note=note or None)
    return replace(reading, intent=kept, doubts=(said, *known) if asks else known)


def _text(tokens: tuple[Token, ...], run: _Run) -> str:
    return " ".join(token.text for token in tokens[run.begin : run.end])


def _listed(
    said: str,
    tokens: tuple[Token, ...],
    rest: tuple[Token, ...],
    runs: Sequence[_Run],
    settings: Settings,
) -> CallList | None:
    """Return several cuts that *rest* is, each with the words that stood in it; those before the
    end of the first are said of all.
    """
    try:
        listed = call_list(said, rest, settings)
    except Refused:
        return None
    if listed is None:
        return None
    ends = list(_ends_of_parts(said, listed))
    parts = []
    for k, part in enumerate(listed.parts):
        begin = ends[k - 1] if k else 0
        own = [
            run
            for run in runs
            if tokens[run.begin].span[0] < ends[0]
            or begin <= tokens[run.begin].span[0] < ends[k]
            or (k == len(ends) - 1 and tokens[run.begin].span[0] >= ends[k])
        ]
        readings = tuple(_kept(each, own, tokens) for each in part.readings)
        if is_a_remark(readings):
            return None
        parts.append(replace(part, readings=readings))
    return CallList(tuple(parts), marked=False)


def _ends_of_parts(said: str, listed: CallList) -> Iterator[int]:
    """Yield where each part of a list ends in the line."""
    at = 0
    for part in listed.parts:
        at = said.index(part.said, at) + len(part.said)
        yield at
