"""The last way to read a typed line that is no call as it stands: what each of its figures may be.

Sizes, lengths, counts, ends and the piece are found wherever they stand, and read in the order in
which a call has them; all other words are kept as they were typed. What is read so always asks.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise, product

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind, Field, doubt
from cutmemo.domain.settings import Settings
from cutmemo.language.found_in_line import (
    FIGURES,
    MOST_PIECES,
    Found,
    Kind,
    found_in,
    is_a_lost_figure,
    with_one_piece,
)
from cutmemo.language.grammar.ends import rise
from cutmemo.language.grammar.numbers import MAX_PLACE_NUMBER
from cutmemo.language.grammar.partial import MANY_PIECES
from cutmemo.language.grammar.scan import Scan, TooTwistedError
from cutmemo.language.grammar.sums import length
from cutmemo.language.grammar.tokens import MINUS, Token, typed
from cutmemo.language.intent import Change, FromRow, Reading
from cutmemo.language.lexicon.en import (
    BOARD_LEADS,
    BOARDS_CAME,
    CHANGE_LEADS,
    COMMANDS,
    COUNT_ENDS,
    COUNT_MARKS,
    DENYING,
    HANDS,
    LAST_CALLED,
    LENGTH_MEASURES,
    LONGER,
    MEANS_MORE,
    NUMBERED_ROOMS,
    ORDERS_ON_ROWS,
    PIECES,
    PLURAL_PIECES,
    ROOMS,
    ROW_CHANGES,
    ROW_ORDERS,
    SAID_OF_LAST,
    SEND,
    SENTENCE_WORDS,
    SIDES,
    SPOTS,
    STRIKE_LEADS,
    TAKES,
    TELLING,
)
from cutmemo.language.plain_words import names_a_place, say_nothing_more
from cutmemo.language.reading import good_readings, tokens_of
from cutmemo.language.split import CallList, Part

MAX_WORDS = 40
"""A longer line is no call that somebody means."""
MAX_NUMBERS = 6
"""So many bare numbers may be told apart."""
MAX_READINGS = 3
"""So many meanings are asked about at most."""


@dataclass(frozen=True, slots=True)
class _Group:
    """One cut of a line: its length, and how many where that is said."""

    length: Found
    counted: Found | None = None
    of_all: bool = False
    """True where that is said of all cuts of the line."""

    @property
    def begin(self) -> int:
        """Where the first of its own figures stands."""
        own = None if self.of_all else self.counted
        return self.length.begin if own is None else min(self.length.begin, own.begin)


_Way = tuple[_Group, ...]


def read_by_figures(
    said: str, settings: Settings | None = None
) -> tuple[Reading, ...] | CallList | None:
    """Return what the figures of a typed line come to, each reading doubtful; ``None`` where they
    can be told apart in no way or in too many, and where the line may order, ask, tell or deny.
    """
    tokens = tokens_of(said, by_voice=False)
    if not tokens or len(tokens) > MAX_WORDS or _says_something_else(tokens):
        return None
    line = Scan(tokens, settings or Settings(), by_voice=False)
    try:
        found = list(found_in(line))
        if any(is_a_lost_figure(line, each) for each in found):
            return None
        ways = _ways(line, found)
        named = any(each.kind in ("size", "piece") or each.sure for each in found)
        if not named or not ways or (len(ways) > 1 and any(len(groups) > 1 for groups in ways)):
            return None
        if len(ways[0]) > 1:
            return _listed(said, line, found, ways[0])
        kept: dict[object, Reading] = {}
        for (group,) in ways:
            for each in _readings(line, found, group, alone=len(ways) == 1):
                kept.setdefault(_measures(each), each)
    except TooTwistedError:
        return None
    return tuple(kept.values()) if 0 < len(kept) <= MAX_READINGS else None


# --- what is no call -----------------------------------------------------------------------


def _says_something_else(tokens: Sequence[Token]) -> bool:
    """Return whether the line may be an order, a question, a report, a denial or a set."""
    words = [token.word for token in tokens]
    known = any(
        before.word in _POINTING and token.kind in ("number", "decimal", "fraction")
        for before, token in pairwise(tokens)
    )
    denied = any(
        word == "no" and (before != "," or behind in MEANS_MORE)
        for before, word, behind in zip(["", *words], words, [*words[1:], ""], strict=False)
    )
    told = any(word in _TELLS for word in words[: _begin_of_remark(tokens)])
    taken_back = any(word in _TAKES_BACK for word in words)
    return known or denied or told or taken_back or words[0] in _ORDERING


def _begin_of_remark(tokens: Sequence[Token]) -> int:
    """Return where the words begin that stand behind the last comma and have no figure: "…, last
    one was bowed".
    """
    commas = [at for at, token in enumerate(tokens) if token.word == ","]
    begin = commas[-1] if commas else len(tokens)
    plain = all(token.kind == "word" for token in tokens[begin + 1 :])
    return begin if plain else len(tokens)


_POINTING = ("the", "those", "these")
"""Right before a figure these say that it is on the list already: the 36 headers."""


_ORDERING = frozenset(
    words[0]
    for table in (ROW_ORDERS, ROW_CHANGES, ORDERS_ON_ROWS, CHANGE_LEADS, STRIKE_LEADS, TAKES, SEND)
    for words in table
) | frozenset(
    words[0]
    for table in (BOARD_LEADS, BOARDS_CAME, SAID_OF_LAST, COMMANDS, LAST_CALLED)
    for words in table
    if words[0] not in ("another", "next")
)
_TAKES_BACK = (DENYING - {"no", "without", "but"}) | {"?", "ish"}
"""Words that take something back, or leave it open; "no" may be said of the wood: no knots."""
_TELLS = (
    LONGER.words()
    | TELLING
    | frozenset(
        "row rows rack without how what which where when why who did does do had has was were tell "
        "span pitch overhang spacing already footers".split()
    )
)
"""Words of orders, questions, reports and sets."""


# --- what each figure is -------------------------------------------------------------------------


def _ways(line: Scan, found: Sequence[Found]) -> list[_Way]:
    """Return the likeliest ways to tell the figures apart, all equally likely."""
    figures = [each for each in found if each.kind in FIGURES]
    numbers = [each for each in figures if each.kind == "number"]
    if len(numbers) > MAX_NUMBERS:
        return []
    best: list[_Way] = []
    least = 0
    for roles in product(*(_roles(line, each, figures) for each in numbers)):
        said = dict(zip(numbers, roles, strict=True))
        told = [replace(each, kind=said.get(each, each.kind)) for each in figures]
        groups = _grouped(line, [each for each in told if each.kind in ("length", "count")], found)
        if groups is None:
            continue
        cost = sum(_cost(line, each, role, found) for each, role in said.items())
        cost += 2 * (len(groups) - 1) * any(each.kind == "number" for each in figures)
        if cost >= UNLIKELY:
            continue
        if not best or cost < least:
            best, least = [groups], cost
        elif cost == least and groups not in best:
            best.append(groups)
    return best


def _roles(line: Scan, number: Found, figures: Sequence[Found]) -> list[Kind]:
    """Return what a bare number may be: a length, how many, or the number of a room."""
    roles: list[Kind] = ["length"] if number.value > 1 else []
    if 0 < number.value <= MOST_PIECES and len(figures) > 1:
        roles.append("count")
    before = line.word(number.begin - 1) if number.begin else ""
    named = before in ROOMS or before in SPOTS or (before.isalpha() and before not in _NO_NAMES)
    named = named and 0 < number.value <= MAX_PLACE_NUMBER
    sided = line.word(number.end) in HANDS and number.value <= MAX_PLACE_NUMBER
    if (named or sided or line.word(number.begin) == "one") and len(figures) > 1:
        roles.append("word")
    return roles


_NO_NAMES = frozenset().union(
    *(table.words() for table in (COUNT_MARKS, COUNT_ENDS, LENGTH_MEASURES, PIECES, SIDES)),
    SENTENCE_WORDS,
)


def _cost(line: Scan, number: Found, role: Kind, found: Sequence[Found]) -> int:
    """Return how unlikely it is that *number* is what *role* says."""
    sure = any(each.sure for each in found)
    before = line.word(number.begin - 1) if number.begin else ""
    if role == "word":
        sided = line.word(number.end) in HANDS
        return 0 if before in NUMBERED_ROOMS else 1 if sided else 3
    if role == "length":
        if before in NUMBERED_ROOMS and not sure:
            return UNLIKELY
        few = number.value < MANY_PIECES
        return UNLIKELY if few and sure else 3 if few or sure else 0
    room = 2 if before in NUMBERED_ROOMS else 0
    if number.value <= MANY_PIECES:
        return room
    several = any(
        line.word(each.end - 1) in PLURAL_PIECES for each in found if each.kind == "piece"
    )
    stands = number.end == len(line.tokens) or any(
        each.kind in ("piece", "size") and each.begin == number.end for each in found
    )
    return room + (1 if several and stands and sure else UNLIKELY)


UNLIKELY = 6
"""What costs so much is not asked about."""


def _grouped(line: Scan, told: Sequence[Found], found: Sequence[Found]) -> _Way | None:
    """Return the cuts that lengths and counts come to: one of each, or counts all before or all
    behind their lengths; ``None`` where they do not.
    """
    lengths = [each for each in told if each.kind == "length"]
    counts = [each for each in told if each.kind == "count"]
    if not lengths or len(counts) > len(lengths):
        return None
    if len(lengths) == 1:
        return (_Group(lengths[0], counts[0] if counts else None),)
    return _parted(line, told, lengths, counts) if _are_parted(lengths, found) else None


def _parted(
    line: Scan, told: Sequence[Found], lengths: Sequence[Found], counts: Sequence[Found]
) -> _Way | None:
    """Return several cuts: without counts, with one of each, or with one that is of all."""
    if not counts:
        return tuple(map(_Group, lengths))
    if len(counts) == 1 and counts[0] in (told[0], told[-1]) and _is_of_each(line, counts[0]):
        return tuple(_Group(each, counts[0], of_all=True) for each in lengths)
    kinds = [each.kind for each in told]
    pairs = list(zip(told[::2], told[1::2], strict=False))
    if kinds == ["count", "length"] * len(lengths):
        return tuple(_Group(behind, before) for before, behind in pairs)
    if kinds == ["length", "count"] * len(lengths):
        return tuple(_Group(before, behind) for before, behind in pairs)
    return None


def _is_of_each(line: Scan, count: Found) -> bool:
    """Return whether a count says that it is of each: 2 ea."""
    return any(token.word in ("ea", "each") for token in line.tokens[count.begin : count.end])


def _are_parted(lengths: Sequence[Found], found: Sequence[Found]) -> bool:
    """Return whether something stands between lengths, or each is plainly one."""
    if all(each.kind == "length" and each in found for each in lengths):
        return True
    return all(
        any(before.end <= each.begin < behind.begin for each in found)
        for before, behind in pairwise(lengths)
    )


# --- what it comes to ----------------------------------------------------------------------------


def _readings(
    line: Scan, found: Sequence[Found], group: _Group, alone: bool = False
) -> list[Reading]:
    """Return the cuts that *group* comes to with the size, the piece and the ends of *found*; they
    ask, but for one of a line that is read in one way *alone* and says nothing more.
    """
    found = with_one_piece(line, found)
    ends = [each for each in found if each.kind == "ends"]
    pitches = [each for each in ends if line.every(rise, each.begin)]
    ordered = [*pitches, *(each for each in ends if each not in pitches)]
    sizes = [each for each in found if each.kind == "size"]
    sized = [*sizes[:1], *(each for each in found if each.kind == "treated")]
    named = [each for each in found if each.kind == "piece"]
    counted = [] if group.counted is None else typed(f"{group.counted.value} pieces at")
    for said_of_ends in (ordered, []) if ends else ([],):
        used = [group.length, *sized, *named, *said_of_ends]
        tokens = [*counted, *(token for each in used for token in _tokens(line, each))]
        apart = tuple(replace(token, span=(0, 0)) for token in tokens)
        cuts = [
            each
            for each in good_readings(Scan(apart, line.settings, by_voice=False))
            if isinstance(each.intent, Cut) and _is_a_call(each.intent, group, line)
        ]
        if cuts:
            cuts = _of_the_roof(line, cuts)
            begins = {each.begin for each in (*used, group.counted) if each is not None}
            left = [each for each in found if each.kind != "mark" and each.begin not in begins]
            plain = len(cuts) == 1 and alone and _is_plain(line, found, left, group, cuts[0])
            kept, many = _kept(line, left), group.counted is not None
            return [_with_words(each, kept, many, asks=not plain) for each in cuts]
    return []


def _of_the_roof(line: Scan, cuts: list[Reading]) -> list[Reading]:
    """Return *cuts* without the stud that a jack may be, where a cheek or a point is cut."""
    rafters = [
        each for each in cuts if isinstance(each.intent, Cut) and each.intent.piece == "jack rafter"
    ]
    cheeked = any(token.word in ("cheek", "cheeks") for token in line.tokens)
    return rafters if rafters and cheeked else cuts


def _is_plain(
    line: Scan, found: Sequence[Found], left: Sequence[Found], group: _Group, reading: Reading
) -> bool:
    """Return whether each figure of a line can be nothing but what it was taken for, and the words
    *left* say nothing more: a length with a part of an inch or a unit, or of too many inches for a
    number of pieces, and how many, said as such or ahead of all.
    """
    counted, figures = group.counted, [each for each in found if each.kind in FIGURES]
    marked = counted is None or any(
        each.kind == "count" and each.begin == counted.begin for each in figures
    )
    ahead = counted is not None and counted.begin == 0 and 1 < counted.value <= MANY_PIECES
    length_is_sure = group.length.sure or group.length.value > MANY_PIECES
    used = 1 if counted is None else 2
    only_words = all(each.kind in ("word", "piece", "mark") for each in left)
    parts = any(each.kind == "mark" and line.word(each.begin) != "," for each in found)
    if not (length_is_sure and (marked or ahead) and only_words) or parts:
        return False
    if len(figures) != used or sum(each.kind == "size" for each in found) > 1:
        return False
    spans: list[tuple[int, int]] = []
    said = [each for each in left if line.word(each.begin) not in (MINUS, ":")]
    for each in sorted(said, key=lambda each: each.begin):
        begin = spans.pop()[0] if spans and spans[-1][1] == each.begin else each.begin
        spans.append((begin, each.end))
    return say_nothing_more(reading, line, spans)


def _tokens(line: Scan, found: Found) -> tuple[Token, ...]:
    return line.tokens[found.begin : found.end]


def _is_a_call(cut: Cut, group: _Group, line: Scan) -> bool:
    """Return whether *cut* says more than a length, or is nothing but what can only be one in a
    line that tells nothing.
    """
    told = [
        amount.inches
        for amount, end in line.every(length, group.length.begin)
        if end == group.length.end
    ]
    many = group.counted.value if group.counted is not None else 1
    if cut.count != many or cut.length.inches not in (*told, group.length.value):
        return False
    more = cut.section is not None or cut.piece is not None or cut.count > 1
    telling = any(token.word in _OF_A_SENTENCE for token in line.tokens)
    return more or (group.length.kind == "length" and group.length.sure and not telling)


_OF_A_SENTENCE = SENTENCE_WORDS & frozenset(
    "been being can could does from have he her his how i if is it its may might must my should we "
    "will would you your".split()
)


def _measures(reading: Reading) -> object:
    """Return all of what *reading* means but its words."""
    said = reading.intent
    return replace(said, place=None, note=None) if isinstance(said, Cut) else said


def _kept(line: Scan, left: Iterable[Found]) -> list[str]:
    """Return the words of *left*, those side by side as one, without what only joins."""
    runs: list[list[Token]] = []
    last = -1
    for each in sorted(left, key=lambda each: each.begin):
        if each.begin != last:
            runs.append([])
        runs[-1] += _tokens(line, each)
        last = each.end
    texts = []
    for run in runs:
        while run and _only_joins(run[0]):
            del run[0]
        while run and _only_joins(run[-1]):
            del run[-1]
        if run:
            texts.append(" ".join(token.text for token in run))
    return texts


def _only_joins(token: Token) -> bool:
    return token.word in _JOINS and not token.text.isupper()


_JOINS = frozenset(
    "a an and at by for from give i in is it me n need of on ok so that the them then these this "
    "those to we with : . ( )".split()
) | {MINUS}


def _with_words(reading: Reading, kept: Sequence[str], counted: bool, asks: bool) -> Reading:
    """Return *reading* with the words that were *kept* as its place and its note, doubtful where it
    *asks*.
    """
    cut = reading.intent
    if not isinstance(cut, Cut):
        return reading
    places = [each for each in kept if any(map(names_a_place, each.lower().split()))]
    notes = [each for each in kept if each not in places]
    place = ", ".join(filter(None, (*places, cut.place)))
    note = ", ".join(filter(None, (cut.note, *notes)))
    said = " … ".join(kept)
    asked = doubt(DoubtKind.PUT_TOGETHER, *_ABOUT, said=said)
    named = replace(cut, place=place or None, note=note or None)
    doubts = (asked, *reading.doubts) if asks else reading.doubts
    bare = cut.section is None and cut.piece is None
    if bare and any(word == "same" for each in kept for word in each.lower().split()):
        return replace(reading, intent=_like_the_last(named, counted), doubts=doubts)
    return replace(reading, intent=named, doubts=doubts)


def _like_the_last(cut: Cut, counted: bool) -> FromRow:
    """Return the cut called last with what is said of *cut*, its count where that is *counted*: 2
    33-3/4 same.
    """
    ends = cut.ends if cut.angled() else None
    count = cut.count if counted else None
    said = Change(cut.length, count, ends=ends, place=cut.place, note=cut.note)
    return FromRow(None, same=True, change=said)


_ABOUT = (Field.LENGTH, Field.COUNT)


def _listed(said: str, line: Scan, found: Sequence[Found], groups: _Way) -> CallList | None:
    """Return the cuts of a line of several, each with what stands in its own part of it, or else
    with what is said before the first or behind the last.
    """
    begins = [0, *(_begin_of_part(found, each) for each in groups[1:]), len(line.tokens)]
    parts = []
    for group, (begin, end) in zip(groups, pairwise(begins), strict=True):
        own = [each for each in found if begin <= each.begin < end]
        shared = [
            each
            for kind in ("size", "treated", "piece", "ends")
            if not any(mine.kind == kind for mine in own)
            for each in _said_of_all(found, kind, begins)
        ]
        lead = [each for each in found if each.kind == "word" and each.end <= groups[0].begin]
        readings = _readings(line, _in_order({*own, *shared, *lead}), group)
        if not readings or not all(isinstance(each.intent, Cut) for each in readings):
            return None  # what is like another cut is no cut of a list
        first, last = line.tokens[begin], line.tokens[end - 1]
        parts.append(Part(said[first.span[0] : last.span[1]].strip(" ,;"), tuple(readings)))
    return CallList(tuple(parts), marked=False)


def _in_order(found: Iterable[Found]) -> list[Found]:
    return sorted(found, key=lambda each: each.begin)


def _begin_of_part(found: Sequence[Found], group: _Group) -> int:
    """Return where the part of *group* begins: behind the last mark before it, or at its first
    figure.
    """
    before = [each for each in found if each.begin < group.begin]
    at = group.begin
    for each in reversed(before):
        if each.kind in FIGURES:
            break
        if each.kind == "mark":
            return each.end
    return at


def _said_of_all(found: Sequence[Found], kind: Kind, begins: Sequence[int]) -> list[Found]:
    """Return what of *kind* stands in the first part or else in the last, and so is of all."""
    for begin, end in (begins[0:2], begins[-2:]):
        of_kind = [each for each in found if each.kind == kind and begin <= each.begin < end]
        if of_kind:
            return of_kind
    return []
