"""A cut: a length with its fields in any order."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from fractions import Fraction
from typing import Any

from cutmemo.domain.cut import Allowance, End, Rise, mixed
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.language.grammar.columns import counts_in_columns
from cutmemo.language.grammar.counted import (
    STOCK_FEET,
    count_behind,
    counted,
    counted_twice,
    may_be_how_many,
    several_lengths,
)
from cutmemo.language.grammar.ends import (
    EndSaid,
    beveled_along,
    end_said,
    rise,
    room_for,
    usual_angle,
)
from cutmemo.language.grammar.fields import (
    allowance,
    count_before,
    exact,
    kept_in_words,
    quality,
)
from cutmemo.language.grammar.lengths import figures, plain
from cutmemo.language.grammar.numbers import MAX_PLACE_NUMBER
from cutmemo.language.grammar.other_numbers import with_other_number
from cutmemo.language.grammar.partial import (
    MANY_PIECES,
    MIN_LENGTH_BEFORE_BOARD,
    Parsed,
    Partial,
    finished,
    is_sheet,
    is_short,
    likeliest,
)
from cutmemo.language.grammar.pieces import piece, piece_of_piece
from cutmemo.language.grammar.places import (
    hand_of_piece,
    is_number_of_a_room,
    number_behind_a_room,
    number_may_count,
    numbered_before_board,
    numbers_one_of_its_kind,
    place,
    place_before,
    room_of_piece,
)
from cutmemo.language.grammar.scan import Scan
from cutmemo.language.grammar.sections import QUARTERS, any_number, both_sides, section
from cutmemo.language.grammar.sums import length
from cutmemo.language.grammar.tokens import MINUS
from cutmemo.language.grammar.unknown import (
    is_plainly_a_place,
    is_plural,
    kept_place,
    kept_place_of_piece,
    kept_spot,
    kept_words,
    may_change,
    number_before_board,
    numbered_noun,
    says_nothing_of_a_measure,
    unknown_of_piece,
    unknown_piece,
    unknown_room,
)
from cutmemo.language.intent import Amount
from cutmemo.language.lexicon.en import (
    CENTERS,
    CHEEKS,
    COUNT_ENDS,
    EITHER_PITCHED,
    LAST_WORDS,
    LEADING_ALLOWANCES,
    LEADING_EXACT,
    LEADING_SLIGHT,
    MATERIALS,
    NOTES,
    PIECES,
    PITCHED,
    PLATES_IN_SHORT,
    PLIES_IN_WORDS,
    PLURAL_PIECES,
    POINTS,
    REACHES,
    ROOMS,
    SHEETS,
    TREATED,
    UNITS,
)


def cut(scan: Scan) -> Iterator[Parsed]:
    """cut = fields with a length among them, to the end"""
    found = [each for each in all_fields(scan, 0, Partial()) if each.amount is not None]
    for partial in likeliest(found):
        yield from (finished(each, cut=True) for each in with_other_number(scan, partial))


def all_fields(scan: Scan, at: int, sofar: Partial) -> Iterator[Partial]:
    """all_fields = { count | length | allowance | section | piece | end | place | note | exact |
    "," } each at most once
    """
    scan.step()
    if at == len(scan.tokens):
        if sofar.amount is None:
            scan.missed(at, "a length")
        if not sofar.panel or is_sheet(sofar) or "rip" in (sofar.change.note or ""):
            yield sofar
        return
    for partial, after in _field(scan, at, sofar):
        yield from all_fields(scan, after, partial)


def _field(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """Yield *sofar* with one more field read at *at*."""
    if _is_separator(scan, at, sofar):
        yield sofar, at + 1
        return
    if sofar.amount is None:
        yield from _length_or_count(scan, at, sofar)
    else:
        yield from _after_length(scan, at, sofar)
    yield from _named_field(scan, at, sofar)
    if len(sofar.ends) < 3:
        for end, after in scan.every(end_said, at):
            if room_for(sofar.ends, end):
                yield replace(sofar, ends=(*sofar.ends, end)), after
    if sofar.amount is not None and not sofar.ends:
        yield from _pitch_alone(scan, at, sofar)


def _named_field(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """section | piece | kept_in_words: what may be named anywhere"""
    for name, rule in _FIELDS.items():
        if getattr(sofar.change, name) is None:
            for found, after in scan.every(rule, at):
                last = scan.word(after - 1)
                plural = last if name == "piece" and last in PLURAL_PIECES else sofar.plural
                named = replace(sofar.with_field(name, found), plural=plural)
                yield named, after
                if name == "piece" and sofar.amount is None and scan.word(after) in ("at", "of"):
                    yield named, after + 1
                if name == "section" and sofar.amount is None:
                    yield from _length_of_stock(scan, after, named)
    yield from _piece_it_is_for(scan, at, sofar)
    yield from _size_of_material(scan, at, sofar)
    of = scan.take(at, "of") if sofar.amount is not None else None  # 41" of 2x4
    for size, after in scan.every(section, of) if of is not None else ():
        if sofar.change.section is None:
            yield sofar.with_field("section", size), after
    yield from _apart(scan, at, sofar)
    yield from _unknown_words(scan, at, sofar)
    yield from _spacing(scan, at, sofar)
    if scan.keeps_words:
        yield from _kept_as_a_note(scan, at, sofar)
    yield from _kept_in_words(scan, at, sofar)


def _piece_it_is_for(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """piece_it_is_for = spoken "for" ["the" | "a"] [room] piece, behind a length: "thirty seven for
    the treads"
    """
    if not scan.by_voice or sofar.amount is None or sofar.change.piece is not None:
        return
    start = scan.take(at, "for")
    if start is None:
        return
    begin = scan.take(start, "the", "a") or start
    begins = any(end > begin + 1 for _, end in scan.find(PIECES, begin))  # floor joists
    rooms = [] if sofar.room or begins else scan.every(room_of_piece, begin)
    for room, spot in [("", begin), *rooms]:
        for name, after in scan.every(piece, spot):
            last = scan.word(after - 1)
            plural = last if last in PLURAL_PIECES else sofar.plural
            named = replace(sofar.with_field("piece", name), plural=plural)
            yield replace(named, room=room) if room else named, after


def _spacing(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """spacing = typed ["at"] figures "o.c.", behind a length: how far apart they stand, kept as a
    note
    """
    behind = sofar.amount is not None and not scan.by_voice
    begin = at + 1 if scan.word(at) == "at" else at
    whole = [(Fraction(number), end) for number, end in scan.every(any_number, begin)]
    for apart, middle in (*whole, *scan.every(figures, begin)) if behind else ():
        for _, end in scan.find(CENTERS, middle):
            yield sofar.with_note(f"{mixed(apart)} o.c."), end


def _size_of_material(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """The size of a material that was named before: LVL header 1-3/4x9-1/2"""
    said = sofar.change.section
    if (
        said is None
        or said.material in ("", *SHEETS)
        or (said.thickness, said.width) != (None, None)
    ):
        return
    for (thick, wide), after in scan.every(both_sides, at):
        size = replace(said, thickness=thick, width=wide)
        yield sofar.with_field("section", size), after


def _apart(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """apart = "treated" that stands apart from its size | the room of a piece: "closet stud" | the
    side of a piece | a place before a length
    """
    if not sofar.treated and (sofar.change.section is None or not sofar.change.section.treated):
        for _, after in scan.find(TREATED, at) if not scan.every(section, at) else ():
            yield replace(sofar, treated=True), after
    if not sofar.room and sofar.change.piece is None:
        for room, after in (*scan.every(room_of_piece, at), *scan.every(piece_of_piece, at)):
            yield replace(sofar, room=room), after
    spots = scan.every(kept_spot, at) if scan.keeps_words else ()
    if not sofar.hand and not any(end > at + 1 for _, end in spots):
        for hand, after in scan.every(hand_of_piece, at):
            yield replace(sofar, hand=hand), after
    if sofar.change.place is None and sofar.amount is None:
        for (named, doubts), after in scan.every(place_before, at):
            asked = replace(sofar, doubts=(*sofar.doubts, *doubts), room_ends=after)
            yield asked.with_field("place", named), after


def _unknown_words(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """Typed words that mean nothing more, where a piece or a room is named: kept as they are, and
    asked about where they may say more than where it goes.
    """
    if scan.keeps_words:
        yield from _kept(scan, at, sofar)
    if sofar.amount is not None and sofar.change.place is None:
        for word, after in scan.every(unknown_room, at):
            plain = is_plainly_a_place(word) and not may_be_how_many(sofar)
            plain = plain or _may_end(scan, after, word, sofar)
            asked = () if plain else (_unknown(word),)
            named = replace(sofar, kept=True, doubts=(*sofar.doubts, *asked))
            yield named.with_field("place", word), after
    if sofar.change.piece is not None:
        return
    for word, after in scan.every(unknown_of_piece, at) if not sofar.room else ():
        said = word.lower().split()
        vague = said[-1] not in ROOMS and not says_nothing_of_a_measure(said)  # hay door batten
        asked = (_unknown(word),) if vague or may_change(word) else ()
        yield replace(sofar, room=word, kept=True, doubts=(*sofar.doubts, *asked)), after
    for word, after in scan.every(unknown_piece, at):
        several_said = sofar.change.count is not None
        vague = several_said and not says_nothing_of_a_measure(word.lower().split())
        asked = (_unknown(word),) if vague or may_change(word) else ()
        several = word if is_plural(word) else ""
        named = replace(sofar, kept=True, plural=several, doubts=(*sofar.doubts, *asked))
        named = named.with_field("piece", word)
        yield named, scan.take(after, "at", ",") or after


def _kept_as_a_note(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """Words of no table by themselves: kept, and asked about unless they end a call that is whole
    without them and say nothing of a measure: firewall.
    """
    for said, after in scan.every(kept_words, at) if not scan.every(kept_spot, at) else ():
        asked = () if _may_end(scan, after, said, sofar) else (_unknown(said),)
        yield replace(sofar, kept=True, doubts=(*sofar.doubts, *asked)).with_note(said), after


def _may_end(scan: Scan, after: int, words: str, sofar: Partial) -> bool:
    """Return whether *words*, which end at *after*, end a call that is whole without them: it has a
    piece or a size and a length that is no count, and they say nothing of that.
    """
    named = sofar.change.piece is not None or sofar.change.section is not None
    whole = named and sofar.amount is not None and not may_be_how_many(sofar)
    before = scan.token(after - len(words.split()) - 1)
    if sofar.change.count is None and before is not None and before.kind == "number":
        whole = whole and before.value > MANY_PIECES  # 2x4 24: 24 ft, or 24 in.
    return (
        whole
        and after == len(scan.tokens)
        and not may_change(words)
        and says_nothing_of_a_measure(words.lower().split())
    )


def _kept(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """kept_place | numbered_noun | kept_quality | numbered_piece"""
    yield from _kept_in_a_place(scan, at, sofar)
    if sofar.change.place is None and sofar.amount is not None:
        for said, after in scan.every(numbered_noun, at):
            asked = replace(sofar, doubts=(*sofar.doubts, _unknown(said)))
            yield asked.with_field("place", said), after
    yield from _kept_quality(scan, at, sofar)
    yield from _numbered_piece(scan, at, sofar)


def _kept_in_a_place(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """kept_place | kept_spot: they name a place and nothing else"""
    change, behind = sofar.change, sofar.amount is not None
    numbered = any(part.isdecimal() for part in (change.place or "").split())
    if not behind and numbered and at == sofar.room_ends:
        return  # bath 13 kitchen 72: two cuts
    for rule in (kept_place if change.piece is None else kept_place_of_piece, kept_spot):
        for said, after in scan.every(rule, at):
            spot = f"{change.place}, {said}" if change.place else said
            if _may_be_small(sofar, spot):
                continue
            named = sofar.with_field("place", spot)
            yield replace(named, room_ends=after, room_kept=rule is not kept_spot), after
            for number, end in scan.every(number_before_board, after) if not behind else ():
                yield sofar.with_field("place", f"{spot} {number}"), end  # tub 4 2x6: four of them?


def _kept_quality(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """ "doubled" behind its piece | typed 5/4 | "top" or "bottom" beside a size"""
    if sofar.change.piece is not None:
        for name, after in scan.find(NOTES, at):
            if name in PLIES_IN_WORDS:  # joist 166 doubled
                yield sofar.with_note(name), after
    elif any(token.kind == "section" for token in scan.tokens):
        for name, after in scan.find(PLATES_IN_SHORT, at):
            yield sofar.with_field("piece", name), after
    token = scan.token(at)
    if token is not None and token.kind == "fraction" and (token.over, token.under) in QUARTERS:
        yield sofar.with_note(f"{token.over}/{token.under}"), at + 1  # decking 5/4 12'


def _numbered_piece(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """numbered_piece = a small number between a piece and its length: how many, or which one"""
    token, change = scan.token(at), sofar.change
    if token is None or token.kind != "number" or not 0 < token.value <= MAX_PLACE_NUMBER:
        return
    open_yet = at > 0 and sofar.amount is None and change.count is None
    behind = scan.token(at + 1)
    inside = behind is None or behind.kind == "fraction" or scan.stands(UNITS, at + 1)
    parted = not inside  # 14-1/2 is one length
    if open_yet and parted and scan.word(at - 1) in LAST_WORDS and scan.every(length, at + 1):
        yield sofar.with_field("count", int(token.value)), at + 1
        numbered = sofar.with_note(f"number {token.value}")
        counts = [count for count, _ in scan.every(count_before, at + 1)]
        if counts:  # stud 15 ten at 174
            asked = counted_twice(int(token.value), counts[0])
            numbered = replace(numbered, doubts=(*numbered.doubts, asked))
        yield numbered, at + 1


def _may_be_small(sofar: Partial, spot: str) -> bool:
    """Return whether the length may be what a piece is off by: a sixteenth over the header."""
    amount = sofar.amount
    return amount is not None and amount.inches < MIN_PANEL and spot.split()[0] in ("over", "under")


def _unknown(word: str) -> Doubt:
    return doubt(DoubtKind.UNKNOWN_WORDS, Field.PIECE, Field.PLACE, said=word)


def _pitch_alone(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """pitch_alone = typed rise ["pitch"] ["both ends" …], without the name of a cut: plumb at it,
    or no more than a note of the roof
    """
    named = (*PITCHED.words(), *EITHER_PITCHED.words(), "cut")
    for number, end in scan.every(rise, at):
        if scan.by_voice and not scan.find(POINTS, end):
            continue  # "six twelve" may be a length
        if (at and scan.word(at - 1) in named) or scan.word(end) in named:
            continue
        after = scan.take(end, "pitch") or end
        for reach, last in scan.find(REACHES, after):
            yield replace(sofar, ends=(EndSaid(End("plumb", Rise(number)), reach),)), last
        yield replace(sofar, ends=(EndSaid(End("plumb", Rise(number))),)), after
        if not _is_pointed(scan, after):  # of the roof
            yield sofar.with_note(f"{number}/12"), after


def _is_pointed(scan: Scan, at: int) -> bool:
    """Return whether a point or a cheek is said at *at*."""
    return bool(scan.find(POINTS, at)) or bool(scan.find(CHEEKS, at))


def _kept_in_words(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """several words of a field that is kept in words stand together | beveled_along | typed "rip
    to" length, to the end
    """
    rip = None if scan.by_voice else scan.phrase(at, ("rip", "to"))
    for _, end in scan.every(length, rip) if rip is not None else ():
        if end == len(scan.tokens) and "rip" not in (sofar.change.note or ""):
            said = " ".join(token.text for token in scan.tokens[at:end])
            yield sofar.with_note(said), end
    for said, after in scan.every(beveled_along, at):
        asked = doubt(DoubtKind.ANGLE_NOT_SAID, Field.ENDS)
        yield replace(sofar, doubts=(*sofar.doubts, asked)).with_note(said), after
    qualities = scan.every(quality, at) if sofar.amount is None else ()
    said_of_it = [(("note", name), after) for name, after in qualities]
    for (name, found), after in (*scan.every(kept_in_words, at), *said_of_it):
        said = getattr(sofar.change, name)
        if said is None or found not in said:
            yield sofar.with_field(name, f"{said}, {found}" if said else found), after


_FIELDS: dict[str, Callable[[Scan, int], Iterator[tuple[Any, int]]]] = {
    "section": section,
    "piece": piece,
}
"""What may be named anywhere in a call, each once."""


def _length_of_stock(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """length_of_stock = ["at" | "x" | "by"] feet, where only a number is said: lumber is called so;
    or the first alone
    """
    start = scan.take(at, "at", "times", "by")
    if start is not None:
        yield sofar, start
    for number, end in scan.every(any_number, at if start is None else start):
        short = is_short(sofar.change.piece)
        if number in STOCK_FEET and scan.settings.figures == "inches" and not short:
            yield replace(sofar, amount=Amount(Fraction(12 * number))), end


def _is_separator(scan: Scan, at: int, sofar: Partial) -> bool:
    """Return whether a single comma stands at *at*, or a dash between a board or a place and its
    length ("2x4 - 92-5/8").
    """
    if scan.word(at) == ",":
        perhaps_two = any(each.kind is DoubtKind.COUNT_OR_LENGTH for each in sofar.doubts)
        if perhaps_two and sofar.amount is None and not counts_in_columns(scan, at - 1):
            return False  # 2x10 73 stud, 114: two cuts
        return at > 0 and scan.word(at - 1) != ","
    change = sofar.change
    named = any(each is not None for each in (change.section, change.piece, change.place))
    if scan.word(at) != MINUS:
        return False
    if sofar.amount is not None:  # 90-1/2 - 8 pcs
        return any(scan.find(COUNT_ENDS, end) for _, end in scan.every(any_number, at + 1))
    return named


def _length_or_count(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """length | count_before | count_of_board | counted_plural | "at" after a count"""
    yield from _length_by_itself(scan, at, sofar)
    yield from _led_length(scan, at, sofar)
    for (wide, amount), after in scan.every(_panel, at) if not sofar.panel else ():
        yield replace(sofar.with_note(f'{wide}" wide'), amount=amount, panel=True), after
    if sofar.change.place is None and scan.word(at) == "for":
        for found, after in scan.every(place, at):
            if not numbers_one_of_its_kind(found):
                yield replace(sofar.with_field("place", found), room_ends=after), after
        for found, after in scan.every(numbered_before_board, at):
            if scan.word(after) == "," or any(scan.every(rule, after) for rule in (section, piece)):
                yield replace(sofar.with_field("place", found), room_ends=after), after
    if sofar.change.count is None:
        yield from counted(scan, at, sofar)
    elif scan.word(at) == "at":  # six two by six at fourteen: the count came before the board
        settled = tuple(each for each in sofar.doubts if each.kind is not DoubtKind.COUNT_OR_LENGTH)
        yield replace(sofar, doubts=settled), at + 1


def _length_by_itself(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """A length, behind how many said as several too; right behind a place it may be the place's own
    number.
    """
    if (sofar.change.count or 1) > 1:
        for amount, after in scan.every(several_lengths, at):
            yield replace(sofar, amount=amount), after
    for amount, after in scan.every(length, at):
        long_enough = sofar.change.count is not None and amount.inches >= MIN_LENGTH_BEFORE_BOARD
        if at != sofar.room_ends or long_enough:
            yield replace(sofar, amount=amount), after
        elif sofar.room_kept or not is_number_of_a_room(scan, at, after):
            number = number_behind_a_room(scan, at, after, sofar.room_kept)
            yield replace(sofar, amount=amount, room_number=number), after


def _panel(scan: Scan, at: int) -> Iterator[tuple[tuple[str, Amount], int]]:
    """panel = plain ( "by" | "x" ) plain: how wide and how long, of a sheet; whole numbers up to
    twelve may be feet
    """
    if not any(token.word in _SHEET_WORDS for token in scan.tokens):
        return
    for wide, middle in scan.every(plain, at):
        by = scan.take(middle, "by", "times")
        for long, end in scan.every(plain, by) if by is not None else ():
            if wide.doubts or wide.refusals or long.inches < MIN_PANEL:
                continue
            yield (mixed(wide.inches), long), end
            whole_feet = (wide.inches * long.inches).denominator == 1
            if max(wide.inches, long.inches) <= 12 and whole_feet:
                feet_long = replace(long, inches=12 * long.inches)
                yield (mixed(12 * wide.inches), feet_long), end


_SHEET_WORDS = {"ply", "rip"} | frozenset(
    words[-1]
    for table in (MATERIALS, PIECES)
    for words, name in table.meanings.items()
    if name in SHEETS or name == "sheet"
)
MIN_PANEL = 3
"""No piece of a sheet is called that is shorter, in inches."""


def _led_length(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """led_length = ( "exactly" | "strong" | "just under" … ) length"""
    leads = [
        (Allowance(scan.word(end - 1), side), end)
        for side, end in scan.find(LEADING_ALLOWANCES, at)
    ]
    leads += [
        (Allowance(f"a hair {side}", side, slight=True), end)
        for side, end in scan.find(LEADING_SLIGHT, at)
    ]
    for lead, start in leads if sofar.change.allowance is None else []:
        for amount, end in scan.every(length, start):
            yield replace(sofar.with_field("allowance", lead), amount=amount), end
    called = scan.take(at, "length") if scan.keeps_words else None  # 2x6 stud length 93
    for amount, end in scan.every(length, called) if called is not None else ():
        yield replace(sofar, amount=amount), end
    for _, start in scan.find(LEADING_EXACT, at):
        for amount, end in scan.every(length, start):
            yield replace(sofar, amount=amount, exact=True), end


def allowance_inside(scan: Scan) -> Iterator[Parsed]:
    """allowance_inside = a cut with "strong" and its like before the fraction: "thirty six and a
    strong quarter"
    """
    for at in range(1, len(scan.tokens) - 1):
        found = LEADING_ALLOWANCES.get(scan.word(at))
        if found is None or scan.word(at - 1) not in ("a", "an", "and"):
            continue
        rest = Scan(scan.tokens[:at] + scan.tokens[at + 1 :], scan.settings, scan.by_voice)
        for partial in all_fields(rest, 0, Partial()):
            if partial.amount is not None and partial.change.allowance is None:
                said = partial.with_field("allowance", Allowance(scan.word(at), found))
                yield finished(said, cut=True)


def _after_length(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """count_after | place | allowance | exact | "each" behind a count: what only a length can
    be followed by
    """
    change = sofar.change
    if change.count is not None and scan.word(at) == "each" and scan.word(at + 1) != "end":
        yield sofar, at + 1  # 4 studs 36 each
    if change.count is None:
        yield from count_behind(scan, at, sofar)
    if change.place is None:
        yield from _place_behind(scan, at, sofar)
    if scan.word(at) == "at" and not sofar.ends and _many(sofar.amount):
        for end, after in scan.every(usual_angle, at + 1):  # 36 @ 45: pieces, or degrees
            yield replace(sofar, ends=(EndSaid(end),)), after
    if sofar.exact or change.allowance is not None:
        return
    for found, after in scan.every(allowance, at):
        yield sofar.with_field("allowance", found), after
    even = exact(scan, at)
    if even is not None:
        yield replace(sofar, exact=True), even


def _place_behind(scan: Scan, at: int, sofar: Partial) -> Iterator[tuple[Partial, int]]:
    """place, where no longer one of kept words stands"""
    for found, after in scan.every(place, at):
        longer = scan.keeps_words and any(end > after for _, end in scan.every(kept_spot, at))
        if longer or _may_be_small(sofar, found):
            continue
        named = sofar.with_field("place", found)
        board = bool(scan.every(section, after)) or bool(scan.every(piece, after))
        if sofar.change.count is None and board and number_may_count(scan, after):
            named = replace(named, doubts=(*named.doubts, _unknown(found)))  # porch 3 king stud
        yield named, after


def _many(amount: Amount | None) -> bool:
    """Return whether *amount* is no likely number of pieces: then "at 45" may be an angle."""
    return amount is not None and amount.inches >= MANY_PIECES
