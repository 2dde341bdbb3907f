"""Whether words of a typed line can only say where, or what for, so that its measures are whole
without them.
"""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise

from cutmemo.domain.cut import Cut
from cutmemo.language.grammar.partial import MANY_PIECES
from cutmemo.language.grammar.places import numbers_one_of_its_kind
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.tokens import Token
from cutmemo.language.grammar.unknown import (
    MARK,
    is_size_of_a_room,
    may_change,
    says_nothing_of_a_measure,
)
from cutmemo.language.intent import Reading
from cutmemo.language.lexicon.en import (
    COUNT_ENDS,
    COUNT_FIRST,
    COUNT_LEADS,
    COUNT_MARKS,
    DENOMINATOR_PLURALS,
    DENOMINATORS,
    DENYING,
    MAY_CHANGE,
    MEANS_MORE,
    NUMBERED_ROOMS,
    ONES,
    PIECES,
    PLACE_NAMES,
    PLURALS,
    QUALIFYING,
    ROOMS,
    SENTENCE_WORDS,
    SIDES,
    SPOTS,
    TENS,
    UNITS,
    WHERE,
)

PASSED_OVER = SENTENCE_WORDS & frozenset(
    "and as at for from her his in its my of on or our that the their them these this those till "
    "to until where while with your".split()
) | frozenset(("for", "by", "in", "n"))
"""Words of sentences that say nothing of an order; any other one, "is" or "not", may."""


def say_nothing_more(reading: Reading, line: Scan, spans: Sequence[tuple[int, int]]) -> bool:
    """Return whether the words of *spans* say nothing of a cut that is whole without them: which
    room, or what it is for, and no figure on either side of them.
    """
    cut = reading.intent
    if not isinstance(cut, Cut) or reading.doubts:
        return False
    inches = cut.length.inches
    of_each = any(token.word in ("ea", "each") for token in line.tokens)
    if of_each and any(is_one_of_several(line, at) for at in range(len(line.tokens))):
        return False  # 18 ea, walls B and D
    may_count = cut.count == 1 and inches.denominator == 1 and inches <= MANY_PIECES
    if may_count or (cut.section is None and cut.piece is None):
        return False
    return all(
        not stands_between_figures(line.tokens, begin, end)
        and all(is_plain(line, at) for at in range(begin, end))
        for begin, end in spans
    )


def is_plain(line: Scan, at: int) -> bool:
    """Return whether the token at *at* can only say where or what for."""
    token, before = line.tokens[at], word_before(line, at)
    word = token.word
    if token.kind == "number" or word == "each":
        numbered = before in NUMBERED_ROOMS and not is_of_one_of_its_kind(line, at)
        return numbered and word != "each"
    plain = word in PASSED_OVER or word in ("board", "boards")
    plain = plain or (word in ARTICLES and token.text.islower())
    plain = plain or word in PLACE_NAMES or _is_of_a_side(line, at) or _is_a_face(line, at)
    plain = plain or (word == "ones" and before in GOOD_WOOD) or _is_of_a_cheek(line, at)
    if plain or MARK.fullmatch(word) or is_size_of_a_room(word, line.word(at + 1)):
        return True
    if len(word) == 1 or _is_in_capitals(line, at) or word in CHAT:
        return word not in CHAT and (
            before in ROOMS or is_one_of_several(line, at) or _is_in_capitals(line, at)
        )
    if says_where(line, at):
        return word not in MAY_CHANGE
    if word in PIECES and word not in QUALIFYING:
        return _is_no_piece_to_cut(line, at)
    written = word.replace("'", "").isalpha()  # 4x4 is no word
    return written and not may_change(word) and says_nothing_of_a_measure((word,))


OF_ENDS = ("both", "each", "either", "one", "other", "square", "to", "on", "at", "cut")
"""Behind these "end" is the end of the piece."""
GOOD_WOOD = frozenset("straight straightest good best clean clear dry nice rough".split())
"""Such "ones" say which boards to take, and not how many."""


def _is_of_a_side(line: Scan, at: int) -> bool:
    """Return whether the word at *at* is of an end or a side of a place: ends of stairwell, pond
    end, short side of stairs.
    """
    word, behind, last = line.word(at), line.word(at + 1), line.word(at + 2)
    before = word_before(line, at)
    named = before.isalpha() and before not in OF_ENDS and not is_figure(line.tokens[at - 1])
    of_end = word in ("end", "ends") and (behind == "of" or named)
    return of_end or (word in ("short", "long") and (behind, last) == ("side", "of"))


def _is_of_a_cheek(line: Scan, at: int) -> bool:
    """Return whether the word at *at* says that a cheek is cut: dbl cheek, cheek cut."""
    word, behind, before = line.word(at), line.word(at + 1), word_before(line, at)
    many = word in ("single", "sgl", "double", "dbl") and behind in _CHEEK
    return word in _CHEEK or many or (word == "cut" and before in _CHEEK)


_CHEEK = ("cheek", "cheeks")


def _is_a_face(line: Scan, at: int) -> bool:
    """Return whether the word at *at* says which way a face or a crown is turned: good face up."""
    turned = line.word(at) in ("up", "down", "out")
    return turned and word_before(line, at) in ("face", "crown", "edge", "side", "sides")


def _is_in_capitals(line: Scan, at: int) -> bool:
    """Return whether one or two capitals that stand for no unit and no count are typed at *at*, in
    a line that is not all in capitals: grid C, E eave, TV backing.
    """
    token = line.tokens[at]
    mixed_case = any(each.text.isalpha() and each.text.islower() for each in line.tokens)
    short = len(token.text) <= 2 and token.text.isalpha() and token.text.isupper()
    beside = (line.token(at - 1) if at else None, line.token(at + 1))
    apart = not any(each is not None and is_figure(each) for each in beside)
    return short and apart and mixed_case and token.word not in _SHORT_FOR_MORE


_SHORT_FOR_MORE = frozenset(
    "x m bf cc cf cm cy ea eq ft in lf ll lp ls mm oc pc pr pt qt rh lh sf sp ss sy ta to".split()
)


def is_one_of_several(line: Scan, at: int) -> bool:
    """Return whether the token at *at* is a letter or a mark of several, or what joins them: walls
    A and C, closets J K, W3, W4.
    """
    if line.word(at) in _JOINING_MARKS:
        return at > 0 and _is_lettered(line, at - 1) and _is_lettered(line, at + 1)
    beside = [at - 1, at + 1]
    beside += [at - 2] if line.word(at - 1) in _JOINING_MARKS else []
    beside += [at + 2] if line.word(at + 1) in (*_JOINING_MARKS, *PLACE_NAMES) else []
    return _is_lettered(line, at) and any(
        k >= 0 and (_is_lettered(line, k) or line.word(k) in ROOMS) for k in beside
    )


_JOINING_MARKS = ("and", ",", "/")


def _is_lettered(line: Scan, at: int) -> bool:
    """Return whether the token at *at* is one capital letter, or a mark."""
    token = line.token(at)
    letter = token is not None and len(token.text) == 1 and token.text.isupper()
    return letter or bool(MARK.fullmatch(line.word(at)))


def _is_no_piece_to_cut(line: Scan, at: int) -> bool:
    """Return whether the piece at *at* only says where: another stands right beside the size, and
    no figure behind this one.
    """
    figures = any(is_figure(each) for each in line.tokens[at:])
    return not figures and len(likely_pieces(line)) == 1


def stands_between_figures(tokens: Sequence[Token], begin: int, end: int) -> bool:
    """Return whether a number, or what counts, stands on both sides of the words from *begin* to
    before *end*.
    """
    if begin == 0 or end == len(tokens):
        return False
    sides = tokens[begin - 1], tokens[end]
    return all(is_figure(each) or each.word in _COUNTING for each in sides)


_COUNTING = frozenset().union(
    *(table.words() for table in (COUNT_ENDS, COUNT_FIRST, COUNT_LEADS, COUNT_MARKS))
)


def likely_pieces(line: Scan) -> list[tuple[int, int]]:
    """Return the one piece that stands right beside a size, or where none does beside a figure;
    else all that stand in the line.
    """
    found = pieces_in(line)
    sizes = [at for at, token in enumerate(line.tokens) if token.kind == "section"]
    figures = [at for at, token in enumerate(line.tokens) if is_figure(token)]
    for spots in (sizes, figures):
        beside = [(begin, end) for begin, end in found if begin - 1 in spots or end in spots]
        if beside:
            return beside if len(beside) == 1 else found
    return found


def pieces_in(line: Scan) -> list[tuple[int, int]]:
    """Return where pieces stand, the longest name at each place."""
    found: list[tuple[int, int]] = []
    at = 0
    while at < len(line.tokens):
        ends = [end for _, end in line.find(PIECES, at)]
        if ends:
            found.append((at, max(ends)))
        at = max(ends, default=at + 1)
    return found


def asides(tokens: tuple[Token, ...]) -> set[int]:
    """Return the positions of what stands between commas, or behind the last one, and has no figure
    and no word that measures, orders or denies: "…, they sit on the pads".
    """
    commas = [at for at, token in enumerate(tokens) if token.word == ","]
    found: set[int] = set()
    for begin, end in pairwise([*commas, len(tokens)]):
        part = tokens[begin + 1 : end]
        if part and not any(_says_more(token) for token in part):
            found |= set(range(begin + 1, end))
    return found


def _says_more(token: Token) -> bool:
    word = token.word
    known = word in PIECES or word in PASSED_OVER or word in SENTENCE_WORDS
    measures = word in MEANS_MORE and not known
    return token.kind != "word" or is_figure(token) or measures or word in DENYING


MEASURING = UNITS.words()


ARTICLES = ("a", "an")


CHAT = frozenset("here he me she so then there they too we you".split())
"""Words of somebody who explains: they are kept in doubt."""


def word_before(line: Scan, at: int) -> str:
    """Return the word right before *at*, or an empty string."""
    return line.word(at - 1) if at else ""


def joins_a_number(line: Scan, at: int) -> bool:
    """Return whether a number may follow the word at *at*, and belong to it: 4 at 36, 2 of 36, 13
    and a half, 2 of them.
    """
    behind = line.token(at + 1)
    return behind is not None and (is_figure(behind) or behind.word in _BEHIND_A_COUNT)


def says_where(line: Scan, at: int) -> bool:
    """Return whether the word at *at* names a room or a spot, or begins to say where."""
    return names_a_place(line.word(at)) or (
        bool(line.find(WHERE, at)) and not joins_a_number(line, at)
    )


def is_of_one_of_its_kind(line: Scan, at: int) -> bool:
    """Return whether the number at *at* stands behind a room there is one of: north wall 8."""
    words = [token.word for token in line.tokens[max(at - 2, 0) : at]]
    return numbers_one_of_its_kind(" ".join([*words, "1"]))


def is_figure(token: Token) -> bool:
    """Return whether *token* is of a number, in figures or in words, or measures."""
    return token.kind in ("number", "decimal", "fraction") or token.word in _OF_NUMBERS


_OF_NUMBERS = frozenset().union(
    MEASURING, ONES, TENS, PLURALS, DENOMINATORS.words(), DENOMINATOR_PLURALS.words(), ("hundred",)
)


_BEHIND_A_COUNT = ("a", "an", "them", "those", "these", "em", "that", "it")


def names_a_place(word: str) -> bool:
    """Return whether *word* is a room, a spot, a side or a mark."""
    return word in ROOMS or word in SPOTS or word in SIDES or bool(MARK.fullmatch(word))
