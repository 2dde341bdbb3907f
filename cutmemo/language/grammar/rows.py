"""Corrections for a row that is named, or for the last one, and cuts worked out from one."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.length import Length
from cutmemo.language.grammar.corrections import (
    is_over,
    is_said_of_a_row,
    lead_ends,
    make_it,
    should_be,
)
from cutmemo.language.grammar.cuts import all_fields
from cutmemo.language.grammar.fields import amount_words, count_after, inside_a_number
from cutmemo.language.grammar.loads import send_row
from cutmemo.language.grammar.partial import Parsed, Partial, finished
from cutmemo.language.grammar.pieces import piece
from cutmemo.language.grammar.row_orders import order_on_row, other_row, row_number
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import any_number, section
from cutmemo.language.grammar.sums import MAX_SUMS, length, share, with_sums
from cutmemo.language.intent import Amount, Change, FromRow, OnRow, Reading
from cutmemo.language.lexicon.en import (
    CHANGED_BY,
    LAST_ROW,
    LONGER,
    MAKES_IT,
    OF_THOSE,
    ONES,
    PLURAL_PIECES,
    ROW_CHANGES,
    SAID_OF_LAST,
    SAME_AS,
    TAKEN,
    TAKEN_OF,
    TAKES,
    TENS,
)


def on_row(scan: Scan) -> Iterator[Parsed]:
    """on_row = send_row | order_on_row | change_of_row | change_of_last | instead, to the end"""
    for sent, _ in send_row(scan):
        yield Parsed(Reading(sent))
    yield from order_on_row(scan)
    yield from _change_of_row(scan)
    yield from _change_of_last(scan)
    yield from _instead(scan)


def _change_of_last(scan: Scan) -> Iterator[Parsed]:
    """change_of_last = said_of_last fields without a length or a count | amount "of those" |
    ["no" [","]] "make it" amount pieces | ["not"] board [","] ["not"] board
    """
    for _, start in scan.find(SAID_OF_LAST, 0):
        at = _past_article(scan, start)
        for partial in all_fields(scan, at, Partial()) if at < len(scan.tokens) else ():
            if partial.amount is None and partial.change.count is None:
                yield from _said(scan, OnRow(None, Change()), partial)
    for count, after in scan.every(amount_words, 0):
        for _, end in scan.find(OF_THOSE, after):
            if end == len(scan.tokens) and count:
                yield Parsed(Reading(OnRow(None, Change(count=count), was=Change(count=1))))
    yield from _length_of_last(scan) if not scan.by_voice else ()
    for start in dict.fromkeys((0, *lead_ends(scan, 0))):
        yield from _board_instead(scan, start)
    yield from _so_many_pieces(scan)


def _so_many_pieces(scan: Scan) -> Iterator[Parsed]:
    """["no" [","]] "make it" amount pieces: how many of the row called last, of that piece"""
    no = scan.take(0, "no")
    start = 0 if no is None else no + 1 if scan.word(no) == "," else no
    begin = scan.phrase(start, ("make", "it"))
    for count, after in scan.every(amount_words, begin) if begin is not None else ():
        for name, end in scan.every(piece, after):
            several = scan.word(end - 1) in PLURAL_PIECES
            if several and count > 1 and end == len(scan.tokens):
                yield Parsed(Reading(OnRow(None, Change(count=count), was=Change(piece=name))))


def _length_of_last(scan: Scan) -> Iterator[Parsed]:
    """( said_of_last | ["the"] "last one" ) length: it asks whether that is a cut of its own |
    length "each": it asks how many
    """
    for amount, end in scan.every(length, 0):
        whole = all(token.kind != "number" for token in scan.tokens[1:end])  # 36 8 each: eight
        if whole and scan.word(end) == "each" and end + 1 == len(scan.tokens):
            asked = doubt(DoubtKind.UNCOUNTED, Field.COUNT, Field.PIECE, said="each")
            yield _cut_that_asks(amount, asked)
    last = scan.phrase(0, ("last", "one")) or scan.phrase(0, ("the", "last", "one"))
    starts = [end for _, end in scan.find(SAID_OF_LAST, 0)] + ([last] if last else [])
    for start in starts:
        for amount, end in scan.every(length, start):
            if end == len(scan.tokens):
                yield _cut_that_asks(amount, doubt(DoubtKind.NEW_OR_CORRECTION, Field.LENGTH))


def _cut_that_asks(amount: Amount, asked: Doubt) -> Parsed:
    """Return a cut of *amount* and nothing else, which asks."""
    doubts = (*amount.doubts, asked)
    return Parsed(Reading(Cut(Length(amount.inches)), doubts, amount.warnings), amount.refusals)


def _said(scan: Scan, row: OnRow, partial: Partial) -> Iterator[Parsed]:
    """Yield *row* with the change that *partial* is, where it is said of a row and names
    something.
    """
    done = finished(partial, cut=False)
    change = done.reading.intent
    if isinstance(change, Change) and change != Change() and is_said_of_a_row(scan, partial):
        yield replace(done, reading=replace(done.reading, intent=replace(row, intent=change)))


def _board_instead(scan: Scan, at: int) -> Iterator[Parsed]:
    """board_instead = "not" board [","] board | board [","] ( "not" | "instead of" ) board: of the
    row called last, which has to be what it is said not to be
    """
    negated = scan.take(at, "not")
    for first, middle in _board(scan, at if negated is None else negated):
        gap = middle + 1 if scan.word(middle) == "," else middle
        behind = gap if negated is not None else _not(scan, gap)
        for second, end in _board(scan, behind) if behind is not None else ():
            wrong, right = (first, second) if negated is not None else (second, first)
            if end == len(scan.tokens) and wrong.named() == right.named():
                yield Parsed(Reading(OnRow(None, right, was=wrong)))


def _board(scan: Scan, at: int) -> Iterator[tuple[Change, int]]:
    """board = ["a"] ( section | piece )"""
    start = _past_article(scan, at)
    yield from ((Change(section=found), end) for found, end in scan.every(section, start))
    yield from ((Change(piece=name), end) for name, end in scan.every(piece, start))


def _past_article(scan: Scan, at: int) -> int:
    """Return the position after "a" before a board, or *at*."""
    if scan.word(at) not in ("a", "an"):
        return at
    named = [*scan.every(section, at + 1), *scan.every(piece, at + 1)]
    return at + 1 if named else at


def _instead(scan: Scan) -> Iterator[Parsed]:
    """instead = [lead] ( "not" length [","] length | length [","] ("not" | "instead of") length ) |
    length ( "should be" | s/b ) length: the row of the one is the other
    """
    for first, middle in scan.every(length, 0):
        for words in _SHOULD_BE:
            start = scan.phrase(middle, words)
            for second, end in scan.every(length, start) if start is not None else ():
                if end == len(scan.tokens):
                    yield from _row_of_length(first, second)
    make = scan.phrase(0, ("make", "it"))
    for start in dict.fromkeys((0, make or 0, *lead_ends(scan, 0))):
        negated = scan.take(start, "not")
        for first, middle in scan.every(length, start if negated is None else negated):
            gap = middle + 1 if scan.word(middle) == "," else middle
            if gap == middle and _goes_on(scan, middle):
                continue
            behind = gap if negated is not None else _not(scan, gap)
            for second, end in scan.every(length, behind) if behind is not None else ():
                wrong, right = (first, second) if negated is not None else (second, first)
                if end == len(scan.tokens):
                    yield from _row_of_length(wrong, right)


_SHOULD_BE = (
    ("should", "be"),
    ("should", "have", "been"),
    ("should've", "been"),
    ("s", "/", "b"),
)


def _not(scan: Scan, at: int) -> int | None:
    """ "not" | "instead of" """
    denied = scan.take(at, "not")
    return scan.phrase(at, ("instead", "of")) if denied is None else denied


MOST_PIECES = 24
"""So many pieces "2 not 3" may be about (common practice)."""


def _goes_on(scan: Scan, at: int) -> bool:
    """Return whether the length before *at* is not over there: "not 59-1/2" is no 59 and a 1/2."""
    return inside_a_number(scan, at) or scan.word(at) in ("a", "an", "and")


def _row_of_length(wrong: Amount, right: Amount) -> Iterator[Parsed]:
    """Yield that the row of the one length is to have the other."""
    few = [amount.inches for amount in (right, wrong)]
    if all(each.denominator == 1 and each <= MOST_PIECES for each in few):  # 2 not 3: pieces?
        counts = OnRow(None, Change(count=int(few[0])), was=Change(count=int(few[1])))
        yield Parsed(Reading(counts))
    if not wrong.doubts and not wrong.refusals:
        row = OnRow(0, Change(length=Length(right.inches)), Length(wrong.inches))
        yield Parsed(Reading(row, right.doubts, right.warnings), right.refusals)


def _change_of_row(scan: Scan) -> Iterator[Parsed]:
    """change_of_row = ["change" | "make"] "row" n ["to" | lead] fields | "change" other_row "to"
    fields | ( "change" | "make" ) "the" piece ["to"] fields | "the" piece ( "is" | lead ) fields
    """
    yield from _change_of_piece(scan)
    changes = [end for _, end in scan.find(ROW_CHANGES, 0)]
    for named in (0, *changes):
        for number, after in scan.every(row_number, named):
            if after + 1 == len(scan.tokens) and _is_parted(scan, after):
                continue  # "row twenty two" is no row 20 of 2 in.
            for start in dict.fromkeys((after, *_leads(scan, after))):
                yield from _changed(scan, start, OnRow(number, Change()))
                yield from _of_row_not(scan, start, OnRow(number, Change()))
        for row, after in scan.every(other_row, named) if scan.word(0) in ("change", "fix") else ():
            to = scan.take(after, "to")
            if to is not None and named:
                yield from _changed(scan, to, row)


def _of_row_not(scan: Scan, at: int, row: OnRow) -> Iterator[Parsed]:
    """length [","] ( "not" | "instead of" ) length, to the end: row 4 58-3/4 not 57-3/4"""
    for right, middle in scan.every(length, at):
        behind = _not(scan, middle + 1 if scan.word(middle) == "," else middle)
        for wrong, end in scan.every(length, behind) if behind is not None else ():
            if end == len(scan.tokens) and not wrong.doubts and not wrong.refusals:
                change = Change(length=Length(right.inches))
                said = replace(row, intent=change, was=Change(length=Length(wrong.inches)))
                yield Parsed(Reading(said, right.doubts, right.warnings), right.refusals)


def _is_parted(scan: Scan, at: int) -> bool:
    """Return whether *at* is inside the number right behind "row": "row twenty" and "two"."""
    spoken = inside_a_number(scan, at) and scan.word(at - 1) in TENS
    return spoken and scan.word(at - 2) in ("row", "number")


def _change_of_piece(scan: Scan) -> Iterator[Parsed]:
    """( "change" | "make" ) "the" piece ["to"] fields | named_piece ( ["is"] length "not" length |
    lead fields ) | "change" named_piece "to" fields | named_piece "is" fields without a length;
    with one it asks whether that is a call
    """
    changes = [end for _, end in scan.find(ROW_CHANGES, 0)]
    for start in (0, *changes):
        for row, after in scan.every(_named_piece, start):
            named = scan.word(start) == "the"
            leads = _leads(scan, after) if start else lead_ends(scan, after)
            if not start and not named:
                leads = should_be(scan, after)  # "studs, wait, 5 @ 36" may be a call
            bare = start and named
            for at in dict.fromkeys([after, *leads] if bare else leads):
                if at > after or bare:
                    yield from _changed(scan, at, row)
            said = None if start else scan.take(after, "is", "are", "was", "were")
            if said is not None:
                yield from _said_of_piece(scan, said, row)


def _said_of_piece(scan: Scan, at: int, row: OnRow) -> Iterator[Parsed]:
    """length "not" length | fields without a length | typed length: that may be a call"""
    yield from _of_row_not(scan, at, row)
    for changed in _changed(scan, _past_article(scan, at), row):
        inner = changed.reading.intent
        change = inner.intent if isinstance(inner, OnRow) else None
        if isinstance(change, Change) and change.length is None and change.count is None:
            yield changed
    for amount, end in scan.every(length, at) if not scan.by_voice else ():
        if end == len(scan.tokens):
            asked = _cut_that_asks(amount, doubt(DoubtKind.NEW_OR_CORRECTION, Field.LENGTH))
            cut = Cut(Length(amount.inches), piece=row.piece)
            yield replace(asked, reading=replace(asked.reading, intent=cut))


def _named_piece(scan: Scan, at: int) -> Iterator[tuple[OnRow, int]]:
    """named_piece = "the" piece | typed ["the" | "that"] ["last"] piece"""
    article = scan.take(at, "the")
    if article is None and scan.by_voice:
        return
    start = scan.take(at, "the", "that") or at
    last = None if scan.by_voice else scan.take(start, "last")
    for name, end in scan.every(piece, start if last is None else last):
        yield OnRow(0, Change(), piece=name, latest=last is not None), end


def _changed(scan: Scan, at: int, row: OnRow) -> Iterator[Parsed]:
    """Yield *row* with every change that is read from *at* to the end."""
    for partial in _changes(scan, at):
        said = finished(partial, cut=False)
        if isinstance(said.reading.intent, Change):
            yield replace(
                said, reading=replace(said.reading, intent=replace(row, intent=said.reading.intent))
            )


def from_row(scan: Scan) -> Iterator[Parsed]:
    """from_row = share ref sums | ref sums | "same as" ref sums | "same but" length "longer", then
    fields, to the end | itself
    """
    yield from _itself(scan)
    yield from _as_long(scan) if not scan.by_voice else ()
    for said, after in _derived(scan):
        if said == FromRow(said.row) and after == len(scan.tokens):
            continue
        for partial in all_fields(scan, after, Partial()):
            if partial.amount is None:
                done = finished(partial, cut=False).reading
                change = done.intent
                if isinstance(change, Change):
                    yield Parsed(Reading(replace(said, change=change), done.doubts))


def _as_long(scan: Scan) -> Iterator[Parsed]:
    """["another" | "one more"] piece [","] ["the"] "same length", to the end"""
    starts = (0, scan.take(0, "another"), scan.phrase(0, ("one", "more")))
    for start in starts:
        for name, after in scan.every(piece, start) if start is not None else ():
            gap = after + 1 if scan.word(after) == "," else after
            end = scan.phrase(scan.take(gap, "the") or gap, ("same", "length"))
            if end == len(scan.tokens) and scan.word(after - 1) not in PLURAL_PIECES:
                yield Parsed(Reading(FromRow(None, change=Change(piece=name))))


def _itself(scan: Scan) -> Iterator[Parsed]:
    """itself = ( "make it" | ["make"] "row" n ) length "longer" | taken | length "longer"

    The last asks whether another piece is meant.
    """
    all_of_it = len(scan.tokens)
    starts: list[tuple[int | None, int]] = [(None, end) for _, end in scan.find(MAKES_IT, 0)]
    for begin in (0, *(end for _, end in scan.find(ROW_CHANGES, 0))):
        starts += [(row, _leads(scan, after)[0]) for row, after in scan.every(row_number, begin)]
    for row, start in starts:
        for more, end in scan.every(_by_so_much, start):
            if end == all_of_it:
                yield Parsed(Reading(FromRow(row, more=more, same=True, itself=True)))
    yield from _taken(scan)
    yield from _so_many_more(scan) if not scan.by_voice else ()
    for more, end in scan.every(_by_so_much, 0):
        if end == all_of_it:
            asked = doubt(DoubtKind.ANOTHER_OR_ITSELF, Field.LENGTH)
            yield Parsed(Reading(FromRow(None, more=more, same=True), (asked,)))


def _taken(scan: Scan) -> Iterator[Parsed]:
    """( "add" | "take" ) length ( "to that" | "off" | "off" "row" n )"""
    for sign, start in scan.find(TAKES, 0):
        for amount, middle in _sure(scan, start):
            of_last = [(None, end) for _, end in scan.find(TAKEN[sign], middle)]
            named = scan.take(middle, TAKEN_OF[sign])
            the = scan.take(named, "the") if named is not None and not scan.by_voice else None
            if the is not None:
                yield from _taken_of_piece(scan, the, sign * amount)
            of_row = scan.every(row_number, named) if named is not None else []
            for row, end in (*of_last, *of_row):
                if end == len(scan.tokens):
                    said = FromRow(row, more=sign * amount, same=True, itself=True)
                    yield Parsed(Reading(said))


def _taken_of_piece(scan: Scan, at: int, more: Fraction) -> Iterator[Parsed]:
    """["last"] piece, to the end: of a piece named as one, the row has to be one"""
    last = scan.take(at, "last")
    for name, end in scan.every(piece, at if last is None else last):
        if end == len(scan.tokens):
            one = scan.word(end - 1) not in PLURAL_PIECES
            said = FromRow(
                None,
                more=more,
                same=True,
                itself=True,
                piece=name,
                latest=last is not None,
                of_one=one,
            )
            yield Parsed(Reading(said))


def _so_many_more(scan: Scan) -> Iterator[Parsed]:
    """so_many_more = n "fewer" [piece] | n "less" | "add" n | "double" ( "that" | "it" ), to the
    end: all but the first may be said of the length as well
    """
    changes = [*_fewer(scan)]
    add = scan.take(0, "add")
    for number, after in scan.every(any_number, add) if add is not None else ():
        if after == len(scan.tokens):
            changes += (
                [FromRow(None, pieces=number), FromRow(None, more=Fraction(number))]
                if number
                else []
            )
    for words in (("that",), ("it",), ("that", "one")):
        if scan.phrase(0, ("double", *words)) == len(scan.tokens):
            changes += [FromRow(None, times=2), FromRow(None, Fraction(2))]
    for said in changes:
        yield Parsed(Reading(replace(said, same=True, itself=True)))


def _fewer(scan: Scan) -> Iterator[FromRow]:
    """n "fewer" [piece] | n "less", to the end"""
    for number, after in scan.every(any_number, 0):
        end = scan.take(after, "fewer", "less")
        if end is None or not number:
            continue
        if end == len(scan.tokens):
            yield FromRow(None, pieces=-number)
            if scan.word(after) == "less":
                yield FromRow(None, more=Fraction(-number))
        elif scan.word(after) == "fewer":
            named = scan.every(piece, end)
            yield from (
                FromRow(None, pieces=-number, piece=name)
                for name, last in named
                if last == len(scan.tokens)
            )


def _by_so_much(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """length ( "longer" | "shorter" )"""
    for amount, middle in scan.every(length, at):
        for sign, end in scan.find(LONGER, middle):
            if not amount.doubts and not amount.refusals:
                yield sign * amount.inches, end


def _sure(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """A length that leaves no doubt, and is no bare whole number: that may be pieces."""
    for amount, end in scan.every(length, at):
        bare = end == at + 1 and amount.inches.denominator == 1
        if not bare and not amount.doubts and not amount.refusals:
            yield amount.inches, end


def _derived(scan: Scan) -> Iterator[tuple[FromRow, int]]:
    """What is worked out from which row, and how."""
    for row, after in scan.every(_reference, 0):
        yield from ((FromRow(row, more=more), end) for more, end in _sums(scan, after) if more)
    for factor, start in scan.every(share, 0):
        for row, after in scan.every(_reference, start):
            yield from ((FromRow(row, factor, more), end) for more, end in _sums(scan, after))
    for _, start in scan.find(SAME_AS, 0):
        for row, after in (*scan.every(_reference, start), (None, start)):
            said_of_it = start < after < len(scan.tokens) - 1
            changed = scan.take(after, "but", "in") if said_of_it else None
            if changed is not None:
                yield FromRow(row, same=True), changed
            for more, end in (*_sums(scan, after), *_longer(scan, after)):
                if more or row is not None:
                    yield FromRow(row, more=more, same=True), end


def _longer(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """["but" | ","] length ( "longer" | "shorter" )"""
    gap = at + 1 if scan.word(at) in (",", "but") else at
    for amount, middle in scan.every(length, gap):
        pieces = not scan.by_voice and scan.word(middle) == "more" and _is_whole(scan, middle - 1)
        for sign, end in scan.find(CHANGED_BY, middle) if not pieces else ():
            if not amount.doubts and not amount.refusals:
                yield sign * amount.inches, end


def _is_whole(scan: Scan, at: int) -> bool:
    """Return whether a number stands at *at*, and no unit: same, 6 more may be six pieces."""
    return scan.tokens[at].kind == "number" or scan.word(at) in ONES


def _reference(scan: Scan, at: int) -> Iterator[tuple[int | None, int]]:
    """reference = "row" n | "the last one" """
    yield from scan.every(row_number, at)
    yield from ((None, end) for _, end in scan.find(LAST_ROW, at))


def _sums(scan: Scan, at: int) -> Iterator[tuple[Fraction, int]]:
    """{ ["but" | ","] sign operand }"""
    zero = Amount(Fraction(0))
    start = at + 1 if scan.word(at) in (",", "but") else at
    yield Fraction(0), at
    for amount, end in with_sums(scan, zero, start, MAX_SUMS):
        if end > start and not amount.doubts:
            yield amount.inches, end


def _leads(scan: Scan, at: int) -> list[int]:
    """Return where "to", a comma, or what a correction begins with may end."""
    to = scan.take(at, "to", "is", "are", "was", ",")
    start = at if to is None else to
    return [_past_article(scan, each) for each in (start, *lead_ends(scan, start))]


def _changes(scan: Scan, at: int) -> Iterator[Partial]:
    """fields | count_after | "make it" count"""
    if at >= len(scan.tokens) or not is_over(scan):
        return
    for partial in all_fields(scan, at, Partial()):
        if partial != Partial():
            yield partial
    for count, end in scan.every(count_after, at):
        if end == len(scan.tokens):
            yield Partial(Change(count=count))
    begin = scan.phrase(at, ("make", "it"))
    if begin is not None:
        yield from make_it(scan, begin)
