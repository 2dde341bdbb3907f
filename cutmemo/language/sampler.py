"""Samples phrases the way crews say them, weighted so that no length is favoured over its
neighbour.

Used twice: as text for the synthetic voices, and as the sample from which the
word graph of the model is estimated. Every word comes from the lexicon.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator
from typing import Literal

from cutmemo.domain.units import Unit
from cutmemo.language.lexicon import en
from cutmemo.language.lexicon.en import ONES, PLURALS, TENS
from cutmemo.language.lexicon.numbers import NAMES_BELOW_20, below_hundred, part_name

SEVERAL = 1.0
"""Share of calls that are several, in %."""
LONG_INCHES = 288
"""Past this only one length in ten goes: most boards end there."""
RESTS, ANY_ORDER, BY_RULE = 3.0, 2.0, 5.0
"""Shares, in %, of rests of calls, of numbers in any order, and of calls with any number there
is.
"""
DIGITS_SHARE = 0.16
"""Of the numbers from 100 to 999, how many are said figure by figure."""
_FIGURES = frozenset({*(word for word, n in ONES.items() if n < 10), "oh"})
_NUMBER_WORDS = (
    *ONES,
    *[word for word, n in ONES.items() if 0 < n < 10] * 2,
    *TENS,
    "oh",
    "oh",
    "hundred",
    "and",
)


def whole(n: int, r: random.Random) -> str:  # noqa: PLR0911 - one for each case
    """Return a whole number below 10,000 in one of the ways crews say it."""
    if n < 100:
        return below_hundred(n)
    if n >= 1000:
        if n % 1000 == 0 or r.random() < 0.4 or (n % 100 == 0 and n < 2000 and r.random() < 0.5):
            thousands, rest = divmod(n, 1000)
            return f"{NAMES_BELOW_20[thousands]} thousand" + (f" {whole(rest, r)}" if rest else "")
        hundreds, rest = divmod(n, 100)
        if not rest:
            return f"{below_hundred(hundreds)} hundred"
        if r.random() < 0.5:
            return f"{below_hundred(hundreds)} hundred {below_hundred(rest)}"
        return f"{below_hundred(hundreds)} {'oh ' if rest < 10 else ''}{below_hundred(rest)}"
    hundreds, rest = divmod(n, 100)
    if not rest:
        return _one_hundred(r) if hundreds == 1 else f"{NAMES_BELOW_20[hundreds]} hundred"
    pick = r.random()
    if pick < DIGITS_SHARE:
        return digits(n, r)
    oh = f"{en.NOUGHT.draw(r)} " if rest < 10 else ""
    if pick < 0.62:
        return f"{NAMES_BELOW_20[hundreds]} {oh}{below_hundred(rest)}"
    if pick < 0.67 and hundreds == 1:
        return f"a buck {oh}{below_hundred(rest)}"
    head = _one_hundred(r) if hundreds == 1 else f"{NAMES_BELOW_20[hundreds]} hundred"
    return f"{head} {r.choice(['', 'and '])}{below_hundred(rest)}"


def digits(n: int, r: random.Random) -> str:
    """Return a number from 100 to 999 figure by figure."""
    nought = en.NOUGHT.draw(r)
    return " ".join(nought if figure == "0" else NAMES_BELOW_20[int(figure)] for figure in str(n))


def _is_figures(said: str) -> bool:
    """Return whether *said* is three figures: a fraction right behind them might be a fourth."""
    words = said.split()
    return len(words) == 3 and all(word in _FIGURES for word in words)


def _one_hundred(r: random.Random) -> str:
    """Return 100; few leave the one off."""
    return r.choices(["a hundred", "one hundred", "hundred"], [5, 5, 1])[0]


def fraction(r: random.Random, one_word: bool = True) -> str:
    """Return an odd number over 2, 4, 8, 16, 32 or, seldom, 64."""
    tape = en.TAPE_DENOMINATORS
    below = r.choices(list(tape), list(tape.values()))[0]
    over = r.randrange(1, below, 2)
    if below == 2:
        return r.choices(["a half", "half", "one half"], [6, 1 if one_word else 0, 2])[0]
    name = (en.DENOMINATORS if over == 1 else en.DENOMINATOR_PLURALS).draw(r, below)
    if below == 4:
        if over == 3:
            return f"three {r.choice([name, part_name(1, below)])}"
        article = r.choices(["a ", "one ", "" if name == part_name(1, 4) else "a "], [2, 1, 1])[0]
        return article + name
    if over == 1:
        return r.choice(["an" if below == 8 else "a", "one"]) + f" {name}"
    return f"{below_hundred(over)} {name}"


def inches(r: random.Random, most: int = 288) -> str:
    """Return a length in inches, mostly with a fraction."""
    if r.random() < 0.05:
        return r.choice(["inch and", "an inch and", "one inch and"]) + f" {fraction(r)}"
    pick = r.random()
    n = (
        r.randrange(1, most)
        if pick < 0.5
        else r.randrange(100, 200)
        if pick < 0.7
        else r.randrange(1, 100)
    )
    if most >= LONG_INCHES and r.random() < 0.1:
        n = r.randrange(100, 1000)
    said = whole(n, r)
    if r.random() < 0.78:
        bare = 0.05 if _is_figures(said) else 0.2
        said += (" " if r.random() < bare else " and ") + fraction(r)
        if r.random() < 0.02:
            return f"{said} of an inch"
    if r.random() < 0.12:
        said += f" {en.UNITS.draw(r, 'inch')}"
    return said


def feet(r: random.Random) -> str:
    """Return a length in feet, or feet and inches."""
    said = below_hundred(r.randrange(1, 41) if r.random() < 0.3 else r.randrange(1, 20))
    pick = r.random()
    if pick < 0.04:
        return f"{said} and a half feet"
    said += f" {en.UNITS.draw(r, 'foot')}"
    if pick < 0.2:
        return said
    if pick < 0.26:
        return f"{said} {r.choice(['', 'and '])}{fraction(r)}"
    n = r.randrange(12)
    said += r.choice([" "] * 5 + [" and "]) + ("oh" if n == 0 else NAMES_BELOW_20[n])
    if r.random() < 0.7:
        said += r.choice([" and "] * 4 + [" "]) + fraction(r)
    return said + (f" {en.UNITS.draw(r, 'inch')}" if r.random() < 0.12 else "")


def bare_pair(r: random.Random) -> str:
    """Return feet and inches said as two bare numbers."""
    said = f"{NAMES_BELOW_20[r.randrange(1, 20)]} {NAMES_BELOW_20[r.randrange(1, 12)]}"
    return said + (f" and {fraction(r)}" if r.random() < 0.6 else "")


_DECIMAL_UNITS: list[Unit] = ["inch", "foot", "metre", "centimetre", "millimetre"]


def decimal(r: random.Random) -> str:
    """Return a length with a decimal point, in inches, feet or metric."""
    head = r.choice([below_hundred(r.randrange(0, 100)), below_hundred(r.randrange(1, 20)), ""])
    figures = " ".join(NAMES_BELOW_20[r.randrange(10)] for _ in range(r.randrange(1, 4)))
    unit = en.UNITS.draw(r, r.choices(_DECIMAL_UNITS, [2, 1, 2, 1, 1])[0])
    return f"{head} point {figures} {r.choice(['', unit])}".strip()


_METRIC: list[tuple[Unit, int]] = [("millimetre", 6000), ("centimetre", 600), ("metre", 9)]


def metric(r: random.Random) -> str:
    """Return a length in millimetres, centimetres or metres."""
    unit, most = r.choices(_METRIC, [2, 2, 2])[0]
    return f"{whole(r.randrange(2, most), r)} {en.UNITS.draw(r, unit)}"


def reckoned(r: random.Random) -> str:  # noqa: PLR0911 - one for each case
    """Return a length that is said as a small sum."""
    small = r.choice(
        "a sixteenth|an eighth|a quarter|a half|a thirty second|three sixteenths|three eighths|"
        "an inch|an inch and a half|inch and a half".split("|")
    )
    base = inches(r, 140)
    pick = r.random()
    if pick < 0.35:
        return f"{base} {en.PLUS_MINUS.draw(r)} {small}"
    if pick < 0.43:
        return f"{base} {en.PLUS_MINUS.draw(r)} {inches(r, 12)}"
    if pick < 0.47:
        return f"{base} {en.PLUS_MINUS.draw(r)} a {en.SAW_CUTS.draw(r)}"
    if pick < 0.52:
        return f"{r.choice(['half of', 'half of', 'twice', 'twice', 'a third of'])} {base}"
    if pick < 0.56:
        return f"{r.choice(['half an', 'a quarter of an'])} inch {en.OFF_A_LENGTH.draw(r)} {base}"
    if pick < 0.9:
        return f"{small} {en.OFF_A_LENGTH.draw(r)} {base}"
    if pick < 0.95:
        return f"{fraction(r)} and {small}"
    return f"between {fraction(r)} and {fraction(r)}"


def allowance(r: random.Random) -> str:
    """Return a touch more or less than a length."""
    pick = r.random()
    if pick < 0.55:
        return en.ALLOWANCES.draw(r)
    slight = f"a {en.SLIGHT.draw(r)}"
    if pick < 0.65:
        return f"{r.choice(['plus', 'minus'])} {slight}"
    if pick < 0.7:
        return slight
    if pick < 0.85:
        return f"{slight} {en.SLIGHT_SIDES.draw(r)}"
    return f"{slight} {r.choice(['strong', 'shy'])}"


_LINES = ("leave the line", "take the line", "split the line")


def length(r: random.Random) -> str:
    """Return one length."""
    kind: Callable[[random.Random], str] = r.choices(
        [inches, feet, bare_pair, fraction, decimal, metric, reckoned], [62, 24, 3, 5, 2, 1.5, 2.5]
    )[0]
    said = kind(r)
    pick = r.random()
    if pick > 0.97:
        leads = (en.LEADING_EXACT, en.LEADING_ALLOWANCES, en.LEADING_SLIGHT)
        return f"{r.choice([table.draw(r) for table in leads])} {said}"
    if pick > 0.96 and " and a " in said:
        return said.replace(" and a ", f" and a {en.LEADING_ALLOWANCES.draw(r)} ", 1)
    if pick < 0.055:
        said += f" {allowance(r)}"
    elif pick < 0.06:
        said += f" {en.WORD_FIELDS['note'].draw(r, *_LINES)}"
    elif pick < 0.1:
        said += f" {en.EXACT.draw(r)}"
    elif pick < 0.115:
        said += f" {en.BURNING.draw(r)} {r.choice(['an inch', 'ten', 'one'])}"
    return said


def section(r: random.Random) -> str:
    """Return a board size."""
    pick = r.random()
    if pick < 0.1:
        return en.MATERIALS.draw(r)
    if pick < 0.12:
        thick = r.choice(["one and three quarter", "one and a half", "three and a half"])
        deep = r.choice(["nine and a half", "eleven and seven eighths", "fourteen"])
        return f"{thick} by {deep} {en.MATERIALS.draw(r, 'LVL', 'PSL', 'LSL', 'glulam')}"
    thickness, width = r.choices(_SIZES, _SIZE_WEIGHTS)[0]
    size = f"{thickness} by {NAMES_BELOW_20[width]}"
    if pick < 0.22:
        return f"{en.TREATED.draw(r)} {size}"
    return f"{size} {en.TREATED.draw(r)}" if pick < 0.26 else size


_SIZES = [
    *(("two", width) for width in (4, 6, 8, 10, 12, 3)),
    *(("one", width) for width in (4, 6, 8, 10, 12, 2)),
    ("four", 4),
    ("four", 6),
    ("six", 6),
    ("five quarter", 6),
    ("five quarter", 4),
    ("three", 6),
]
_SIZE_WEIGHTS = [8, 6, 4, 4, 4, 1, *[1] * 6, 3, 1, 1, 1, 0.5, 0.2]


def _kept_in_words(r: random.Random) -> str:
    """Return a word of a field that is kept in words; the line of a cut stands beside its
    length.
    """
    table = r.choice(list(en.WORD_FIELDS.values()))
    return table.draw(r, *(each for each in table.meanings.values() if each not in _LINES))


def end_words(r: random.Random) -> str:
    """Return how an end is cut."""
    return r.choices(list(_END_WORDS), list(_END_WORDS.values()))[0](r).strip()


def _rise(r: random.Random) -> str:
    half = " and a half" if r.random() < 0.12 else ""
    return f"{below_hundred(r.randrange(1, 19))}{half} {r.choice(['', '', '', 'in ', 'on '])}twelve"


def _degrees(r: random.Random) -> str:
    usual = below_hundred(r.choice([15, 22, 30, 45, 60, *range(1, 70)]))
    return usual + (" and a half" if r.random() < 0.2 else "")


_USUAL = ["forty five forty five", "thirty thirty"]
_END_WORDS: dict[Callable[[random.Random], str], float] = {
    lambda r: f"{en.PITCHED.draw(r)} {r.choice(['', '', 'cut '])}{_rise(r)}": 30,
    lambda r: f"{_rise(r)} {en.PITCHED.draw(r)}{r.choice(['', '', ' cut'])}": 15,
    lambda r: f"{en.EITHER_PITCHED.draw(r)} {r.choice(['', 'cut '])}{_rise(r)}": 1,
    lambda r: f"{en.PITCHED.draw(r)} cut": 4,
    lambda r: f"{_degrees(r)} {en.REACHES.draw(r)}": 5,
    lambda r: f"{en.REACHES.draw(r)} {r.choice(['', 'at '])}{_degrees(r)} {en.POINTS.draw(r)}": 1,
    lambda r: f"{r.choice(_USUAL)} {en.POINT_SIDES.draw(r)} to {en.POINT_SIDES.draw(r)}": 0.5,
    lambda r: f"{_degrees(r)} {en.DEGREES.draw(r)} {en.ANGLED.draw(r)}": 20,
    lambda r: f"{_degrees(r)} {en.DEGREES.draw(r)} {en.REACHES.draw(r)}": 3,
    lambda r: f"{en.END_LEADS.draw(r)} {r.choice(['forty five', 'thirty'])} {en.POINTS.draw(r)}": 2,
    lambda r: f"with forty fives {en.POINT_SIDES.draw(r)} to {en.POINT_SIDES.draw(r)}": 1,
    lambda r: f"{en.POINT_SIDES.draw(r)} to {en.POINT_SIDES.draw(r)}": 7,
    en.POINTS.draw: 7,
    lambda r: f"square {r.choice(['', en.REACHES.draw(r)])}": 4,
    lambda r: f"{r.choice(['two', 'three'])} ply": 0.5,
    _kept_in_words: 6,
}
"""The ways to say an end, or what is kept in words, and how often each is said."""


def _spot(r: random.Random) -> str:
    """Return a room, a side of one, or a mark."""
    if r.random() < 0.05:
        spot = en.SPOTS.draw(r)
        alone = not (spot in en.PIECES or spot in en.SPOTS_OF_ROOMS)
        return spot if alone and r.random() < 0.5 else f"{en.WALL_KINDS.draw(r)} wall"
    spot = en.ROOMS.draw(r)
    spot += f" {NAMES_BELOW_20[r.randrange(1, 13)]}" if r.random() < 0.7 else ""
    spot += f" {en.SIDES.draw(r)}" if r.random() < 0.3 else ""
    if r.random() < 0.06:
        return f"{r.choice([en.SIDES.draw(r), en.ROOMS.draw(r)])} {r.choice(['side', 'end'])}"
    if r.random() < 0.25:
        spot = f"{en.SIDES.draw(r)} {spot}"
    if r.random() < 0.2:
        spot = f"{en.LETTERS.draw(r)} {NAMES_BELOW_20[r.randrange(1, 13)]}"
        spot += f" {en.SIDES.draw(r)}" if r.random() < 0.3 else ""
    return spot


BY_A_PIECE = 0.08
"""What part of the places is told by a piece or a spot: "under the sill" (our estimate)."""


def place(r: random.Random) -> str:
    """Return where the piece goes."""
    spot = _spot(r)
    pick = r.random()
    if pick < BY_A_PIECE:
        named = en.SPOTS.draw(r) if r.random() < 0.6 else en.PIECES.draw(r)
        return f"{en.WHERE.draw(r)} the {named}"
    if pick < 0.7:
        return f"for {spot}"
    return (
        f"for the {spot}"
        if pick < 0.8
        else f"{en.PLACE_LEADS.draw(r)} {spot}"
        if pick < 0.9
        else spot
    )


def place_first(r: random.Random) -> str:
    """Return where the piece goes, as it is said before a length."""
    number, room = NAMES_BELOW_20[r.randrange(1, 13)], en.ROOMS.draw(r)
    of_room = "" if room in en.SINGLE_ROOMS else number
    side = f" {en.SIDES.draw(r)}" if r.random() < 0.4 else ""
    return r.choice(
        [f"w {number}{side}", f"{en.SIDES.draw(r)} wall", f"{room} {of_room}".rstrip() + side]
    )


def count_before(r: random.Random) -> str:
    """Return a count said before the length."""
    pick = r.random()
    if pick < 0.72:
        return f"{below_hundred(r.randrange(1, 25))} {en.COUNT_MARKS.draw(r)}"
    if pick < 0.8:
        return f"{en.COUNT_FIRST.draw(r)} {NAMES_BELOW_20[r.randrange(1, 12)]} at"
    if pick < 0.84:
        return "both at"
    if pick < 0.88:
        return f"{en.VAGUE.draw(r)} {r.choice(['at', 'of'])}"
    return f"{en.AMOUNTS.draw(r)} {r.choice(['at', 'of'])}"


def count_after(r: random.Random) -> str:
    """Return a count said after the length."""
    n = below_hundred(r.randrange(2, 25))
    pick = r.random()
    if pick < 0.4:
        return f"{en.COUNT_LEADS.draw(r)} {n}"
    if pick < 0.7:
        return f"{n} {en.COUNT_ENDS.draw(r)}"
    return r.choice(["a pair", "a couple", "both"])


def plural_count(r: random.Random) -> str:
    """Return a count cued only by the plural of the length."""
    n = below_hundred(r.randrange(2, 13))
    pick = r.random()
    plurals = list(PLURALS)
    if pick < 0.36:
        return f"{n} {r.choice(plurals[:19])}"
    if pick < 0.4:
        return f"{n} {r.choice(plurals[19:])}"
    if pick < 0.7:
        return f"{n} {r.choice(list(TENS))} {r.choice(plurals[:9])}"
    part = r.choice([en.DENOMINATOR_PLURALS.draw(r, 2), en.DENOMINATOR_PLURALS.draw(r, 4)])
    return f"{n} {below_hundred(r.randrange(8, 99))} and a {part}"


def correction(r: random.Random) -> str:
    """Return a correction of what was said before, or an order for a row."""
    row = below_hundred(r.randrange(1, 40))
    kinds = {
        f"{en.CHANGE_LEADS.draw(r)} {length(r)}": 60,
        f"make it {below_hundred(r.randrange(1, 20))}": 6,
        order_on_row(r): 3,
        f"{en.ROW_CHANGES.draw(r)} row {row} to {length(r)}": 3,
        what_it_is(r): 4,
        longer_itself(r): 2,
        f"{en.STRIKE_LEADS.draw(r)} {inches(r, 140)}": 16,
        f"need {below_hundred(r.randrange(2, 20))}": 8,
    }
    return r.choices(list(kinds), list(kinds.values()))[0]


WITHOUT_A_NUMBER = ("hold", "release", "skip")


def order_on_row(r: random.Random) -> str:
    """Return an order for a row, or for the one called last."""
    row = f"row {below_hundred(r.randrange(1, 40))}"
    last = en.LAST_CALLED.draw(r)
    around = r.choice(list(en.AROUND_ROWS))
    before, behind = around
    of_last = (en.AROUND_ROWS[around] != "put back") * 1
    held = r.choice(WITHOUT_A_NUMBER)
    said = r.choices(
        [
            f"{en.ROW_ORDERS.draw(r)} {row}",
            f"{en.ORDERS_ON_ROWS.draw(r)} {row}",
            f"{row} {en.BEHIND_ROWS.draw(r)}",
            f"{before} {row} {behind}",
            f"{before} {'it' if r.random() < 0.3 else last} {behind}",
            f"{held} {last}",
            f"{r.choice(['hold', 'skip', 'release'])} the {en.PIECES.draw(r)}",
            f"cut {below_hundred(r.randrange(2, 13))} of {row}",
        ],
        [4, 3, 3, 2, of_last, 1, 1, 1],
    )[0]
    return f"{said} for now" if r.random() < 0.03 else said


def what_it_is(r: random.Random) -> str:
    """Return what the row called last, or another one, is and is not."""
    row = below_hundred(r.randrange(1, 40))
    return r.choice(
        [
            f"{en.SAID_OF_LAST.draw(r)} {r.choice(['', 'a '])}{section(r)}",
            f"row {row} is {r.choice(['', 'a '])}{section(r)}",
            f"not {section(r)} {section(r)}",
            f"{section(r)} not {section(r)}",
            f"{below_hundred(r.randrange(2, 13))} {en.OF_THOSE.draw(r)}",
        ]
    )


_SMALL = (
    "a quarter",
    "an eighth",
    "a sixteenth",
    "a half",
    "half an inch",
    "a quarter inch",
    "three eighths",
    "an inch",
    "an inch and a half",
)


def longer_itself(r: random.Random) -> str:
    """Return that a row is to be longer or shorter."""
    row = f"row {below_hundred(r.randrange(1, 40))}"
    small = r.choice([*_SMALL, f"{below_hundred(r.choice((3, 5, 7)))} sixteenths"])
    signs: tuple[Literal[1, -1], ...] = (1, -1)
    sign = r.choice(signs)
    longer = f"{small} {en.LONGER.draw(r)}"
    taken = f"{en.TAKES.draw(r, sign)} {small}"
    return r.choice(
        [
            f"{en.MAKES_IT.draw(r)} {longer}",
            f"{row} {longer}",
            f"make {row} {longer}",
            f"{taken} {en.TAKEN[sign].draw(r)}",
            f"{taken} {en.TAKEN_OF[sign]} {row}",
            longer,
        ]
    )


LOADS = 0.02
"""What part of the orders is about loads between sites (our estimate: nothing was counted)."""


def load(r: random.Random) -> str:
    """Return what is sent to another site, or that a load arrived."""
    number = below_hundred(r.randrange(1, 30))
    if r.random() < 0.3:
        return f"load {number} {en.LOAD_ORDERS.draw(r)}"
    if r.random() < 0.1:
        return f"{en.LOAD_LEADS.draw(r)} load {number}"
    site = " ".join([r.choice(["", en.SIDES.draw(r)]), en.SITE_WORDS.draw(r)])
    if r.random() < 0.3:
        site = f"{en.SITE_WORDS.draw(r)} {below_hundred(r.randrange(1, 30))}"
    what = r.choice(
        [
            f"row {number}",
            f"{below_hundred(r.randrange(1, 13))} of row {number}",
            f"{en.BOARD.draw(r)} {number}",
            f"the {inches(r, 140)} {en.LEFT_OVERS.draw(r)}",
        ]
    )
    return f"{en.SEND.draw(r)} {what} to {site}"


def call(r: random.Random) -> str:
    """Return one call with any of its fields."""
    parts: list[str] = []
    pick = r.random()
    plural = 0.3 <= pick < 0.33
    if pick < 0.3:
        parts.append(count_before(r))
    elif plural:
        parts.append(plural_count(r))
    if not plural:
        parts.append(length(r))
    if r.random() < 0.25:
        parts.insert(len(parts) if r.random() < 0.7 else 0, section(r))
    named = pick >= 0.3 and not plural and r.random() < PIECE_FIRST
    if r.random() < 0.35 and not named:
        parts.append(piece_behind(r))
    if r.random() < 0.14:
        parts += _ends_said(r)
    if r.random() < 0.1:
        first = r.random() < 0.15
        parts.insert(0 if first else len(parts), place_first(r) if first else place(r))
    if named:
        parts.insert(0, piece_first(r))
    if pick >= 0.33 and r.random() < 0.14:
        parts.append(count_after(r))
    return " ".join(parts)


def _ends_said(r: random.Random) -> list[str]:
    """Return an end, and now and then which one, or its point."""
    said = end_words(r)
    last = said.split()[-1]
    if (last in en.ANGLED or last in en.PITCHED or last == "twelve") and r.random() < 0.5:
        reaches = [en.REACHES.draw(r), en.POINTS.draw(r), "long to long", "long to short"]
        cheeks = [en.CHEEKS.draw(r)] * 2 if last not in en.ANGLED else []
        return [said, r.choice([*cheeks, *reaches])]
    return [said]


def piece_behind(r: random.Random) -> str:
    """Return the piece, and of which room or hand, as it is said behind a length."""
    room = f"{en.ROOMS.draw(r)} " if r.random() < 0.03 else ""
    hand = f" {en.HANDS.draw(r)}" if r.random() < 0.06 else ""
    lead = r.choice(["for ", "for the "]) if r.random() < 0.06 else ""
    return f"{lead}{room}{en.PIECES.draw(r)}{hand}"


PIECE_FIRST = 0.06
"""What part of the calls names the piece before the length: "knee wall studs six at forty" (our
estimate: nothing was counted).
"""


def piece_first(r: random.Random) -> str:
    """Return the piece, what it is of, and how many, as they are said before a length."""
    room = f"{en.ROOMS.draw(r)} " if r.random() < 0.25 else ""
    room = room if len(room.split()) == 1 else ""  # mud room
    side = f"{en.SIDES.draw(r)} " if room and r.random() < 0.4 else ""
    side = f"{en.WALL_KINDS.draw(r)} " if room == "wall " and r.random() < 0.3 else side
    n = below_hundred(r.randrange(1, 25))
    counted = [f"{n} at", f"{n} {en.COUNT_ENDS.draw(r)}"]
    many = r.choices(["", *counted], [6, 3, 1])[0]
    return f"{side}{room}{en.PIECES.draw(r)} {many}"


_CALLED_LUMBER = "eights tens twelves fourteens sixteens sixteens eighteens twenties".split()


def _feet_by_name(r: random.Random) -> str:
    """Return how long lumber is, as it is called: "two by six sixteens"."""
    return r.choice([*_CALLED_LUMBER, "twenty twos", "twenty fours"])


def boards(r: random.Random) -> str:
    """Return boards for the rack."""
    count = r.choices(
        [f"{below_hundred(r.randrange(2, 41))} ", "a ", "a dozen ", ""], [8, 1, 0.5, 0.5]
    )[0]
    feet_long = below_hundred(r.choice([8, 10, 12, 14, 16, 16, 18, 20, 24]))
    named = en.FOOTERS.draw(r, 1 if count in ("a ", "") else 2)
    size = section(r)
    said = r.choices(
        [
            f"{count}{size} {feet_long} {named}",
            f"{count}{feet_long} {named} {size}",
            f"{count}{feet_long} foot {size}",
        ],
        [8, 1, 1],
    )[0]
    pick = r.random()
    if r.random() < 0.25:
        by_name = (
            f"{count}{'more ' if count[2:] and r.random() < 0.1 else ''}{size} {_feet_by_name(r)}"
        )
        came = en.BOARDS_PERHAPS if r.random() < 0.2 else en.BOARDS_CAME
        if r.random() < 0.3:
            return f"{en.BOARD_LEADS.draw(r)} {by_name} {en.BOARD_TRAILS.draw(r)}"
        return f"{came.draw(r)} {by_name}"
    if pick < 0.15 or " foot " in said:
        return f"{en.BOARD_LEADS.draw(r)} {said} {en.BOARD_TRAILS.draw(r)}"
    if pick < 0.25:
        price = (
            f"{below_hundred(r.randrange(2, 20))} {below_hundred(r.choice([25, 50, 75, 95, 49]))}"
        )
        dollars = f"{below_hundred(r.randrange(2, 60))} {en.MONEY.draw(r, 'dollars')}"
        cents = f"{below_hundred(r.choice([25, 50, 75, 95]))} {en.MONEY.draw(r, 'cents')}"
        dollars += f" and {cents}" if r.random() < 0.4 else ""
        said = f"{said} {en.PRICE_LEADS.draw(r)} {r.choice([price, dollars])}"
        return f"{said} {en.PRICE_ENDS.draw(r)}" if r.random() < 0.5 else said
    if pick < 0.32:
        begin = r.randrange(4, 90)
        end = whole(begin + r.randrange(4, 30), r)
        return f"{said} {en.BAD_PARTS.draw(r)} {whole(begin, r)} to {end}"
    return said


SAME_BUT = ("same but", "same but", "same thing", "same thing but", "another one")


def same_elsewhere(r: random.Random) -> str:
    """Return that the cut called last is called for another place."""
    spot = _spot(r)
    where = spot if "mud room" not in spot else "porch"  # one word is all that a room has here
    return f"{en.SAME_FOR.draw(r)} for {r.choice(['', 'the '])}{where}"


def from_a_row(r: random.Random) -> str:
    """Return a cut worked out from a row."""
    if r.random() < 0.2:
        return same_elsewhere(r)
    row = r.choice([f"row {below_hundred(r.randrange(1, 40))}", en.LAST_ROW.draw(r)])
    small = r.choice([fraction(r), f"{fraction(r)} inch", inches(r, 12), "a kerf"])
    off = f"{en.PLUS_MINUS.draw(r)} {small}"
    by = r.choice([inches(r, 12), f"{fraction(r)} inch"])
    return r.choices(
        [
            f"{row} {off}",
            f"{en.SAME_AS.draw(r)} {row} {off}",
            f"{r.choice(['half of', 'twice', 'a third of'])} {row}",
            f"{r.choice(SAME_BUT)} {by} {en.CHANGED_BY.draw(r)}",
        ],
        [3, 3, 1.5, 1.5],
    )[0]


def framing(r: random.Random) -> str:
    """Return a set of cuts called by what it is for."""
    said = en.SETS.draw(r)
    what = en.SETS.meanings[tuple(said.split())]
    some = {
        "wall": _wall,
        "rake wall": _rake_wall,
        "floor": _floor,
        "deck": _deck,
        "stairs": _stairs,
    }.get(what)
    if some is not None:
        return f"{said} {some(r)}"
    lead = f"{below_hundred(r.randrange(2, 40))} {said}" if r.random() < 0.5 else said
    return f"{lead} {_roof(r, what)}"


def _maybe(r: random.Random, share: float, *parts: str) -> list[str]:
    """Return one of *parts*, or nothing."""
    return [r.choice(parts)] if r.random() < share else []


def _roof_pitch(r: random.Random) -> str:
    rise = below_hundred(r.randrange(3, 15))
    return r.choices(
        [
            f"{rise} twelve",
            f"{rise} and a half twelve",
            f"{below_hundred(r.randrange(10, 60))} degrees",
        ],
        [8, 1, 1],
    )[0]


_THIN = ("three quarters", "an inch", "one and a half")
_ROUND_FEET = (8, 10, 12, 14, 16, 20, 24, 28, 30, 32, 36, 40)


def _feet(r: random.Random) -> str:
    return f"{below_hundred(r.choice(_ROUND_FEET))} foot"


def _spacing(r: random.Random) -> str:
    """Return how far apart something stands."""
    far = r.choice(["sixteen", "sixteen", "twenty four", "twelve", "nineteen point two"])
    centers = en.CENTERS.draw(r)
    return r.choice([f"spacing {far}", f"spacing {far} inches", f"at {far}", f"{far} {centers}"])


def _roof(r: random.Random, what: str) -> str:
    """Return the measures of rafters."""
    spacing = _spacing(r)
    parts = [f"{r.choice(['span', 'span', 'run'])} {_feet(r)}", f"pitch {_roof_pitch(r)}"]
    if what not in ("rafters", "gable studs"):
        parts += _maybe(r, 0.2, f"end pitch {_roof_pitch(r)}")
    if what == "rafters" and r.random() < 0.3:
        parts += [
            f"length {_feet(r)}",
            spacing,
            *_maybe(r, 0.5, "rake twelve inches", "rake a foot"),
        ]
    if what in ("jacks", "valley jacks", "valley cripples", "gable studs"):
        parts += [spacing]
    if what in ("jacks", "valley jacks", "cripple jacks"):
        parts += _maybe(r, 0.2, "hip one and a half", "hip an inch and three quarters")
    if what in ("rafters", "hips", "valleys", "jacks"):
        tails = [f"overhang {inches(r, 30)}", f"overhang a foot fascia {r.choice(_THIN)}"]
        parts += _maybe(r, 0.6, *tails)
        parts += _maybe(
            r, 0.2, "ridge one and a half", "ridge an inch and a half", "ridge three quarters"
        )
    if what in ("rafters", "hips", "valleys"):
        parts += _maybe(r, 0.2, "plate three and a half", "plate five and a half")
    if what in ("hips", "valleys"):
        parts += _maybe(r, 0.2, "between commons", f"{en.COMMONS.draw(r)} {section(r)}")
    return " ".join([*parts, *_maybe(r, 0.5, section(r))])


def _wall(r: random.Random) -> str:
    """Return the measures of a wall."""
    high = r.choice(["ninety seven and an eighth", "eight foot", "nine foot one and an eighth"])
    parts = [f"{feet(r)} high {high}"]
    for _ in range(r.choice([0, 0, 1, 1, 2])):
        parts += [f"{en.OPENINGS.draw(r)} {inches(r, 60)} wide {inches(r, 90)} high"]
        parts += _maybe(r, 0.4, f"sill {inches(r, 40)}")
        plies = r.choice(["", "", f"{en.PLIES.draw(r)} ", f"two {en.PLY.draw(r)} ", "three ply "])
        parts += [f"at {inches(r, 140)} {en.HEADER.draw(r)} {plies}{section(r)}"]
        parts += _maybe(r, 0.2, "deep nine and a half", "deep eleven and seven eighths")
        parts += _maybe(r, 0.2, f"{en.OPENING_SIDES.draw(r)} {r.choice(['one', 'two'])}")
    parts += _maybe(r, 0.3, f"{en.MEETINGS.draw(r)} {en.MEETING_SIDES.draw(r)}")
    parts += _maybe(r, 0.3, f"{en.STOPS.draw(r)} {inches(r, 140)}")
    parts += _maybe(r, 0.1, f"{en.PARTITION.draw(r)} {section(r)}")
    return " ".join([*parts, *_maybe(r, 0.4, _spacing(r))])


def _rake_wall(r: random.Random) -> str:
    """Return the measures of a rake wall."""
    return f"{feet(r)} high {inches(r, 120)} pitch {_roof_pitch(r)} spacing sixteen"


def _floor(r: random.Random) -> str:
    """Return the measures of a floor."""
    parts = [f"{_feet(r)} span {feet(r)}", *_maybe(r, 0.8, section(r))]
    if r.random() < 0.3:
        parts += [
            f"opening {inches(r, 60)} wide {inches(r, 140)} long at {inches(r, 140)} from {inches(r, 60)}"  # noqa: E501 - a sentence is not cut
        ]
    parts += _maybe(r, 0.4, "blocking one", "blocking two")
    return " ".join([*parts, *_maybe(r, 0.4, _spacing(r))])


def _deck(r: random.Random) -> str:
    """Return the measures of a deck."""
    parts = [f"{_feet(r)} span {_feet(r)}", *_maybe(r, 0.8, section(r))]
    parts += _maybe(r, 0.4, "board five and a half", "board three and a half")
    parts += _maybe(r, 0.3, "gap an eighth", "gap a quarter", "gap three sixteenths")
    if r.random() < 0.4:
        parts += [f"{en.BEAM.draw(r)} {r.choice(['double', 'two ply', 'triple'])} {section(r)}"]
        parts += _maybe(r, 0.4, "cantilever sixteen", "cantilever two foot")
        parts += _maybe(r, 0.7, f"posts {r.choice(['three', 'four'])} {section(r)}")
    return " ".join([*parts, *_maybe(r, 0.4, _spacing(r))])


def _stairs(r: random.Random) -> str:
    """Return the measures of stairs."""
    parts = [f"rise {inches(r, 140)}", *_maybe(r, 0.5, f"run {inches(r, 12)}")]
    parts += _maybe(r, 0.4, f"width {inches(r, 48)}")
    parts += _maybe(r, 0.3, "thick one", "thick one and a half", "thick one and an eighth")
    parts += _maybe(r, 0.05, "drop one")
    parts += _maybe(r, 0.2, "stringers two", "stringers three", "stringers four")
    parts += _maybe(r, 0.1, "landings one", "landings two")
    if r.random() < 0.2:
        parts += [
            f"well {inches(r, 140)}",
            *_maybe(r, 0.8, "deck eleven", "deck ten and a quarter"),
        ]
    return " ".join([*parts, *_maybe(r, 0.3, section(r))])


def split_calls(r: random.Random) -> str:
    """Return two or three calls in one breath; each but the last ends with a fraction, which parts
    it from the next.
    """
    first = [
        f"{whole(r.randrange(1, 288), r)} and {fraction(r)}" for _ in range(r.choice([1, 1, 2]))
    ]
    return " ".join(
        f"{count_before(r)} {said}" if r.random() < 0.2 else said for said in [*first, inches(r)]
    )


def rest(r: random.Random) -> str:
    """Return the end of a call whose beginning was said before a pause, or the beginning of one."""
    small = r.choice([fraction(r), fraction(r), below_hundred(r.randrange(1, 16))])
    return r.choice(
        [
            f"and {small}",
            f"and {small}",
            f"and {fraction(r)} {en.PIECES.draw(r)}",
            f"at {length(r)}",
            f"at {length(r)} {en.PIECES.draw(r)}",
            f"of {length(r)}",
            f"by {below_hundred(r.choice([4, 6, 8, 10, 12]))}",
            f"{en.PLUS_MINUS.draw(r)} {fraction(r)}",
            f"{below_hundred(r.randrange(1, 25))} {r.choice(['at', 'of', 'pieces', 'and'])}",
            f"{whole(r.randrange(100, 400), r)} and",
            section(r),
            en.PIECES.draw(r),
            allowance(r),
            end_words(r),
            place(r),
            count_after(r),
            en.UNITS.draw(r, "inch", "foot"),
        ]
    )


def by_rule(r: random.Random) -> str:
    """Return a call in which every number that the grammar takes is as likely as any other."""
    n, small = below_hundred(r.randrange(1, 100)), below_hundred(r.randrange(1, 100))
    part = r.choice(["", "", f" and {fraction(r)}", f" {fraction(r)}"])
    figures = " ".join(NAMES_BELOW_20[r.randrange(10)] for _ in range(r.randrange(1, 4)))
    said = r.choice(
        [
            whole(r.randrange(1, 100), r) + part,
            whole(r.randrange(100, 1000), r) + part,
            f"{small} {en.UNITS.draw(r, 'foot')}{part}",
            f"{small} foot {NAMES_BELOW_20[r.randrange(1, 12)]}{part}",
            f"{small} point {figures}",
            f"{whole(r.randrange(1, 1000), r)} {en.UNITS.draw(r)}",
            fraction(r),
        ]
    )
    mark, amount = en.COUNT_MARKS.draw(r), f"{en.AMOUNTS.draw(r)} {r.choice(['at', 'of'])}"
    counts = [f"{n} {mark}", f"{n} {mark}", f"need {n} at", amount, f"{section(r)} at"]
    counts.append(f"{n} {section(r)} at")
    changes = [en.CHANGE_LEADS.draw(r), en.STRIKE_LEADS.draw(r), "make it"]
    tails = [en.ALLOWANCES.draw(r), en.PIECES.draw(r), section(r), en.EXACT.draw(r)]
    tails += [end_words(r), place(r)]
    counted = [f"{en.COUNT_LEADS.draw(r)} {n}", f"{n} {en.COUNT_ENDS.draw(r)}", "a pair"]
    return r.choice(
        [
            said,
            f"{r.choice(counts)} {said}",
            f"{r.choice(changes)} {said}",
            f"{said} {r.choice(tails)}",
            f"{said} {r.choice(counted)}",
            f"{r.choice(counts)} {said} {r.choice(tails)}",
            f"{n} more",
            f"{r.choice(['need', 'make it'])} {n}",
        ]
    )


def any_order(r: random.Random) -> str:
    """Return words of numbers in any order, so that none is heard only in its usual company."""
    return " ".join(r.choice(_NUMBER_WORDS) for _ in range(r.randrange(1, 8)))


def command(r: random.Random) -> str:
    """Return an order to the memo."""
    if r.random() < 0.06:
        return f"{NAMES_BELOW_20[r.randrange(1, 5)]} more"
    return load(r) if r.random() < LOADS else en.COMMANDS.draw(r)


def phrase(r: random.Random, whole_calls: bool = False) -> str:
    """Return one thing somebody says to the memo; with *whole_calls* nothing that is only part of
    one.
    """
    if r.random() < 0.015:
        return f"{length(r)} {en.CHANGE_LEADS.draw(r)} {length(r)}"
    if r.random() < 0.02:
        mark = r.choices(["at", "by"], [4, 1])[0]
        return f"{below_hundred(r.randrange(2, 25))} {section(r)} {mark} {length(r)}"
    kinds: dict[Callable[[random.Random], str], float] = {
        call: 54,
        length: 20,
        correction: 6,
        command: 11,
        boards: 1.5,
        from_a_row: 1.0,
        framing: 1.0,
        split_calls: SEVERAL,
        rest: 0 if whole_calls else RESTS,
        any_order: 0 if whole_calls else ANY_ORDER,
        by_rule: BY_RULE,
    }
    kind = r.choices(list(kinds), list(kinds.values()))[0]
    said = kind(r)
    if kind in (call, length) and r.random() < 0.05:
        said = f"{en.LEAD_INS.draw(r)} {said}"
    if kind in (call, length) and r.random() < 0.02:
        said = f"{said} {en.FILLERS.draw(r)}"
    return " ".join(said.split())


def vocabulary(sample: int = 200_000) -> list[str]:
    """Return every word the phrases use, sorted."""
    r = random.Random(7)
    words = {w for _ in range(sample) for w in phrase(r).split()}
    return sorted(words)


def shuffled(r: random.Random, words: list[str]) -> str:
    """Return words out of order, so that no word is learned only by its usual company."""
    return " ".join(r.choice(words) for _ in range(r.randrange(1, 6)))


def phrases(seed: int, whole_calls: bool = False) -> Iterator[str]:
    """Yield phrases for ever, the same for the same *seed*."""
    r = random.Random(seed)
    while True:
        yield phrase(r, whole_calls)


def phrase_list(number: int = 6_000) -> tuple[str, ...]:
    """Return *number* phrases, always the same, for a recogniser that takes a list."""
    r = random.Random(11)
    return tuple(phrase(r) for _ in range(number))
