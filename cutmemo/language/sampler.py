"""Samples phrases the way crews say them, weighted so that no length is favoured over its neighbour.

Used twice: as text for the synthetic voices, and as the sample from which the
word graph of the model is estimated.
"""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator

ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen "
    "fifteen sixteen seventeen eighteen nineteen"
).split()
TENS = "x x twenty thirty forty fifty sixty seventy eighty ninety".split()
PLURALS = (
    "twos threes fours fives sixes sevens eights nines tens elevens twelves thirteens fourteens "
    "fifteens sixteens seventeens eighteens nineteens twenties thirties forties fifties sixties "
    "seventies eighties nineties halfs halves footers"
).split()
STOCK = [f"two by {w}" for w in "three four six eight ten twelve".split()] + [
    *(f"one by {w}" for w in "four six eight ten twelve".split()),
    *"four by four|four by six|six by six|five quarter by six|l v l|rim board|treated two by four|"
    "treated two by six|treated two by eight|treated two by ten|treated four by four|"
    "two by four treated".split("|"),
]
PIECES = (
    "stud|king stud|king|trimmer|trimmers|jack stud|cripple|cripples|header|headers|sill|sole plate|"
    "bottom plate|top plate|cap plate|plate|plates|block|blocks|blocking|joist|joists|rim|rim joist|common|"
    "common rafter|hip|hip rafter|valley|valley rafter|jack rafter|rafter|rafters|ridge|fascia|lookout|"
    "lookouts|stringer|stringers|tread|treads|riser|risers|casing|casings|base|studs|kings|sills|sill plate|post|posts|beam|beams"
).split("|")
ENDS = (
    "square|square both ends|both ends square|plumb cut|seat cut|level cut|heel cut|birdsmouth|long point|"
    "short point|long to long|long to short|short to short|parallel|opposing|"
    "square one end|square both ends"
).split("|")
REACHES = ("both ends", "one end", "long point", "short point", "long to long", "long to short")
COMMANDS = (
    "scratch that|scratch the last one|undo|undo that|redo|cancel that|cancel the last one|say again|"
    "read it back|read that back|next|next piece|next one|done|cut|that's cut|clear|clear it|clear all|"
    "hold|hold it|release|listen|pause|stop|resume|skip|skip it|how many left|how many|what's next|play it again|"
    "cut short|too short|cut long|too long|wrong angle|bad angle|bad stock|bad board|"
    "yes|no|correct|the first|the second|the third|first|second|third|put it back|put that back|total|same again|"
    "one more|two more|three more|four more|strike that|strike it"
).split("|")
PLACES = (
    "wall|window|door|opening|room|bay|gable|stair|porch|deck|line|garage|kitchen|bath|bedroom|hall"
).split("|")
SIDES = "north south east west left right front back upper lower top bottom".split()
SHADES = (
    "strong|heavy|full|fat|plus|proud|light|shy|scant|weak|minus|short|a hair over|a hair under|a hair strong|"
    "a hair shy|a skosh over|a skosh under|a tad over|a tad under|plus a hair|minus a hair|a hair|"
    "leave the line|take the line|split the line"
).split("|")
SEVERAL = 1.0
"""Share of calls that are several, in %."""
EXACT = ["even", "flat", "exactly", "on the money", "on the nose"]


def below_hundred(n: int) -> str:
    """Return *n* from 0 to 99 in words."""
    if n < 20:
        return ONES[n]
    tens, one = divmod(n, 10)
    return TENS[tens] + (f" {ONES[one]}" if one else "")


def whole(n: int, r: random.Random) -> str:
    """Return a whole number below 10,000 in one of the ways crews say it."""
    if n < 100:
        return below_hundred(n)
    if n >= 1000:
        if n % 1000 == 0 or r.random() < 0.4 or (n % 100 == 0 and n < 2000 and r.random() < 0.5):
            thousands, rest = divmod(n, 1000)
            return f"{ONES[thousands]} thousand" + (f" {whole(rest, r)}" if rest else "")
        hundreds, rest = divmod(n, 100)
        if not rest:
            return f"{below_hundred(hundreds)} hundred"
        if r.random() < 0.5:
            return f"{below_hundred(hundreds)} hundred {below_hundred(rest)}"
        return f"{below_hundred(hundreds)} {'oh ' if rest < 10 else ''}{below_hundred(rest)}"
    hundreds, rest = divmod(n, 100)
    if not rest:
        return _one_hundred(r) if hundreds == 1 else f"{ONES[hundreds]} hundred"
    pick = r.random()
    oh = r.choices(["oh ", "zero "], [9, 1])[0] if rest < 10 else ""
    if pick < 0.55:
        return f"{ONES[hundreds]} {oh}{below_hundred(rest)}"
    if pick < 0.6 and hundreds == 1:
        return f"a buck {oh}{below_hundred(rest)}"
    head = _one_hundred(r) if hundreds == 1 else f"{ONES[hundreds]} hundred"
    return f"{head} {r.choice(['', 'and '])}{below_hundred(rest)}"


def _one_hundred(r: random.Random) -> str:
    """Return 100; few leave the one off."""
    return r.choices(["a hundred", "one hundred", "hundred"], [5, 5, 1])[0]


def fraction(r: random.Random, one_word: bool = True) -> str:
    """Return an odd number over 2, 4, 8, 16, 32 or, seldom, 64."""
    below = r.choices([2, 4, 8, 16, 32, 64], [3, 4, 6, 7, 1.6, 0.3])[0]
    over = r.randrange(1, below, 2)
    if below == 2:
        return r.choices(["a half", "half", "one half"], [6, 1 if one_word else 0, 2])[0]
    if below == 4:
        one, three = (
            ["a quarter", "one quarter", "quarter", "one fourth"],
            ["three quarters", "three quarter", "three fourths"],
        )
        return r.choices(one, [10, 5, 5, 1])[0] if over == 1 else r.choices(three, [4, 4, 2])[0]
    name = {8: "eighth", 16: "sixteenth", 32: "thirty second", 64: "sixty fourth"}[below]
    if over == 1:
        return r.choice(["an" if below == 8 else "a", "one"]) + f" {name}"
    return f"{below_hundred(over)} {name}s"


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
    said = whole(n, r)
    if r.random() < 0.78:
        said += r.choice([" and "] * 4 + [" "]) + fraction(r)
        if r.random() < 0.02:
            return f"{said} of an inch"
    if r.random() < 0.12:
        said += r.choice([" inches", " inches", " inch"])
    return said


def feet(r: random.Random) -> str:
    """Return a length in feet, or feet and inches."""
    said = below_hundred(r.randrange(1, 41) if r.random() < 0.3 else r.randrange(1, 20))
    pick = r.random()
    if pick < 0.04:
        return f"{said} and a half feet"
    said += r.choices([" foot", " feet"], [4, 1])[0]
    if pick < 0.2:
        return said
    if pick < 0.26:
        return f"{said} {r.choice(['', 'and '])}{fraction(r)}"
    n = r.randrange(12)
    said += r.choice([" "] * 5 + [" and "]) + ("oh" if n == 0 else ONES[n])
    if r.random() < 0.7:
        said += r.choice([" and "] * 4 + [" "]) + fraction(r)
    return said + (r.choice([" inches", " inch"]) if r.random() < 0.12 else "")


def bare_pair(r: random.Random) -> str:
    """Return feet and inches said as two bare numbers."""
    said = f"{ONES[r.randrange(1, 20)]} {ONES[r.randrange(1, 12)]}"
    return said + (f" and {fraction(r)}" if r.random() < 0.6 else "")


def decimal(r: random.Random) -> str:
    """Return a length with a decimal point, in inches, feet or metric."""
    head = r.choice([below_hundred(r.randrange(0, 100)), below_hundred(r.randrange(1, 20)), ""])
    digits = " ".join(ONES[r.randrange(10)] for _ in range(r.randrange(1, 4)))
    unit = r.choices(
        ["", " inches", " feet", " metres", " meters", " centimetres", " millimetres"],
        [5, 2, 1, 1, 1, 1, 1],
    )[0]
    return f"{head} point {digits}{unit}".strip()


def metric(r: random.Random) -> str:
    """Return a length in millimetres, centimetres or metres."""
    small = [
        ("millimetres", 6000),
        ("millimeters", 6000),
        ("centimetres", 600),
        ("centimeters", 600),
    ]
    unit, most = r.choice([*small, ("metres", 9), ("meters", 9)])
    n = r.randrange(1, most)
    return f"{whole(n, r)} {unit if n > 1 else unit[:-1]}"


def reckoned(r: random.Random) -> str:
    """Return a length that is said as a small sum."""
    small = r.choice(
        [
            "a sixteenth",
            "an eighth",
            "a quarter",
            "a half",
            "a thirty second",
            "three sixteenths",
            "three eighths",
        ]
    )
    base = inches(r, 140)
    return r.choice(
        [
            f"{base} plus {small}",
            f"{base} minus {small}",
            f"{base} less {small}",
            f"{small} under {base}",
            f"{small} over {base}",
            f"{small} past {base}",
            f"{small} off {base}",
            f"{small} more than {base}",
            f"{small} less than {base}",
            f"{small} shy of {base}",
            f"{small} short of {base}",
            f"{fraction(r)} and {small}",
            f"between {fraction(r)} and {fraction(r)}",
        ]
    )


def length(r: random.Random) -> str:
    """Return one length."""
    kind: Callable[[random.Random], str] = r.choices(
        [inches, feet, bare_pair, fraction, decimal, metric, reckoned], [62, 24, 3, 5, 2, 1.5, 2.5]
    )[0]
    said = kind(r)
    pick = r.random()
    if pick < 0.06:
        said += f" {r.choice(SHADES)}"
    elif pick < 0.1:
        said += f" {r.choice(EXACT)}"
    elif pick < 0.115:
        said += r.choice([" burning an inch", " burning ten", " burning one"])
    return said


def end_words(r: random.Random) -> str:
    """Return how an end is cut."""
    pick = r.random()
    if pick < 0.35:
        return (
            r.choice(["plumb", "seat", "hip", "heel", "plumb cut"])
            + f" {below_hundred(r.randrange(1, 19))} twelve"
        )
    if pick < 0.5:
        return f"{below_hundred(r.randrange(1, 19))} twelve {r.choice(['plumb', 'seat', 'hip', 'plumb cut'])}"
    if pick < 0.55:
        angle_said = r.choice(["forty five", "thirty", "sixty", "twenty two and a half", "fifteen"])
        return f"{angle_said} {r.choice(['both ends', 'one end'])}"
    if pick < 0.72:
        angle = r.choice([15, 22, 30, 45, 60, *range(1, 70)])
        half = " and a half" if r.random() < 0.2 else ""
        return f"{below_hundred(angle)}{half} degree{r.choice(['', 's'])} {r.choice(['miter', 'bevel'])}"
    return r.choice(ENDS)


def place(r: random.Random) -> str:
    """Return where the piece goes."""
    spot = r.choice(PLACES)
    spot += f" {ONES[r.randrange(1, 13)]}" if r.random() < 0.7 else ""
    spot += f" {r.choice(SIDES)}" if r.random() < 0.3 else ""
    if r.random() < 0.25:
        spot = f"{r.choice(SIDES)} {spot}"
    if r.random() < 0.2:
        spot = f"{r.choice('wdab')} {ONES[r.randrange(1, 13)]}"
        spot += f" {r.choice(SIDES)}" if r.random() < 0.3 else ""
    return f"for {spot}"


def count_before(r: random.Random) -> str:
    """Return a count said before the length."""
    if r.random() < 0.72:
        marks = [
            "at",
            "of",
            "pieces at",
            "pieces of",
            "pieces",
            "of them at",
            "each at",
            "each",
            "times",
        ]
        return f"{below_hundred(r.randrange(1, 25))} {r.choices(marks, [8, 3, 3, 1, 1, 0.5, 0.2, 0.2, 0.3])[0]}"
    return r.choice(
        [
            "a pair at",
            "a pair of",
            "pair of",
            "a couple at",
            "a couple of",
            "couple of",
            "half a dozen at",
            "a dozen at",
            "a dozen of",
            "both at",
            "need two at",
            "need four at",
            "need six at",
            "a few at",
            "a bunch of",
        ]
    )


def count_after(r: random.Random) -> str:
    """Return a count said after the length."""
    n = below_hundred(r.randrange(2, 25))
    return r.choice(
        [
            f"times {n}",
            f"make it {n}",
            f"need {n}",
            f"{n} pieces",
            f"{n} of them",
            "a pair",
            "a couple",
            "both",
        ]
    )


def plural_count(r: random.Random) -> str:
    """Return a count cued only by the plural of the length."""
    n = below_hundred(r.randrange(2, 13))
    pick = r.random()
    if pick < 0.36:
        return f"{n} {r.choice(PLURALS[:18])}"
    if pick < 0.4:
        return f"{n} {r.choice(PLURALS[18:26])}"
    if pick < 0.7:
        return f"{n} {TENS[r.randrange(2, 10)]} {r.choice(PLURALS[:8])}"
    return (
        f"{n} {below_hundred(r.randrange(8, 99))} and a {r.choice(['halfs', 'halves', 'quarters'])}"
    )


def correction(r: random.Random) -> str:
    """Return a correction of what was said before."""
    return r.choice(
        [
            f"no make that {length(r)}",
            f"make that {length(r)}",
            f"no {length(r)}",
            f"change it to {length(r)}",
            f"change that to {length(r)}",
            f"make it {below_hundred(r.randrange(1, 20))}",
            f"cancel the {inches(r, 140)}",
            f"scratch the {inches(r, 140)}",
            f"need {below_hundred(r.randrange(2, 20))}",
        ]
    )


def call(r: random.Random) -> str:
    """Return one call with any of its fields."""
    parts: list[str] = []
    pick = r.random()
    counted = False
    if pick < 0.3:
        parts.append(count_before(r))
        counted = True
    elif pick < 0.33:
        parts.append(plural_count(r))
        counted = True
    if len(parts) == 0 or parts[0].split()[-1] not in (*PLURALS, "quarters"):
        parts.append(length(r))
    section, piece = r.random() < 0.25, r.random() < 0.35
    if section:
        parts.insert(len(parts) if r.random() < 0.7 else 0, r.choice(STOCK))
    if piece:
        parts.append(r.choice(PIECES))
    if r.random() < 0.14:
        parts.append(end_words(r))
        if (
            parts[-1].split()[-1] in ("miter", "bevel", "twelve", "plumb", "hip", "seat")
            and r.random() < 0.5
        ):
            cheeks = (
                [] if parts[-1].endswith(("miter", "bevel")) else ["single cheek", "double cheek"]
            )
            parts.append(r.choice([*cheeks, *REACHES]))
    if r.random() < 0.1:
        parts.append(place(r))
    if not counted and r.random() < 0.14:
        parts.append(count_after(r))
    return " ".join(parts)


def boards(r: random.Random) -> str:
    """Return boards for the rack."""
    count = r.choices(
        [f"{below_hundred(r.randrange(2, 41))} ", "a ", "a dozen ", ""], [8, 1, 0.5, 0.5]
    )[0]
    feet = below_hundred(r.choice([8, 10, 12, 14, 16, 16, 18, 20, 24]))
    return f"{count}{r.choice(STOCK)} {feet} {'footer' if count in ('a ', '') else 'footers'}"


def framing(r: random.Random) -> str:
    """Return a set of cuts called by what it is for."""
    pick = r.random()
    pitch = f"pitch {below_hundred(r.randrange(3, 15))} twelve"
    if pick < 0.5:
        lead = r.choice(
            [
                f"{below_hundred(r.randrange(2, 40))} rafters",
                "rafters",
                "hips",
                "four hips",
                "jacks",
            ]
        )
        parts = [
            f"{r.choice(['span', 'span', 'run'])} {below_hundred(r.randrange(6, 40))} foot",
            pitch,
        ]
        parts += [f"overhang {inches(r, 30)}"] if r.random() < 0.5 else []
        parts += (
            [f"ridge {r.choice(['one and a half', 'an inch and a half', 'three quarters'])}"]
            if r.random() < 0.3
            else []
        )
        parts += (
            [f"plate {r.choice(['three and a half', 'five and a half'])}"]
            if r.random() < 0.3
            else []
        )
        parts += (
            [f"spacing {r.choice(['sixteen', 'twenty four', 'nineteen'])}"]
            if lead == "jacks"
            else []
        )
        return " ".join([lead, *parts, *([r.choice(STOCK[:6])] if r.random() < 0.5 else [])])
    if pick < 0.8:
        said = f"wall {feet(r)} high {r.choice(['ninety seven and an eighth', 'eight foot', 'nine foot one and an eighth'])}"
        if r.random() < 0.5:
            said += f" {r.choice(['door', 'window', 'opening'])} {inches(r, 60)} wide {inches(r, 90)} high"
            said += f" sill {inches(r, 40)}" if r.random() < 0.4 else ""
            said += f" at {inches(r, 140)} header {r.choice(STOCK[:6])}"
        return said + (
            f" spacing {r.choice(['sixteen', 'twenty four'])}" if r.random() < 0.3 else ""
        )
    said = f"stairs rise {inches(r, 140)}"
    return (
        said
        + (f" run {inches(r, 12)}" if r.random() < 0.5 else "")
        + (f" width {inches(r, 48)}" if r.random() < 0.4 else "")
    )


def split_calls(r: random.Random) -> str:
    """Return two or three calls in one breath; each but the last ends with a fraction, which parts it from the next."""
    first = [
        f"{whole(r.randrange(1, 288), r)} and {fraction(r)}" for _ in range(r.choice([1, 1, 2]))
    ]
    return " ".join(
        f"{count_before(r)} {said}" if r.random() < 0.2 else said for said in [*first, inches(r)]
    )


def command(r: random.Random) -> str:
    """Return an order to the memo."""
    return r.choice(COMMANDS)


def phrase(r: random.Random) -> str:
    """Return one thing somebody says to the memo."""
    if r.random() < 0.015:
        return f"{length(r)} {r.choice(['no', 'no', 'no make that', 'scratch that'])} {length(r)}"
    if r.random() < 0.02:
        return f"{below_hundred(r.randrange(2, 25))} {r.choice(STOCK[:14])} at {length(r)}"
    kinds: list[Callable[[random.Random], str]] = [
        call,
        length,
        correction,
        command,
        boards,
        framing,
        split_calls,
    ]
    return " ".join(r.choices(kinds, [60.4, 22, 6, 11, 1.5, 0.6, SEVERAL])[0](r).split())


def vocabulary(sample: int = 60_000) -> list[str]:
    """Return every word the phrases use, sorted."""
    r = random.Random(7)
    words = {w for _ in range(sample) for w in phrase(r).split()}
    return sorted(words)


def shuffled(r: random.Random, words: list[str]) -> str:
    """Return words out of order, so that no word is learned only by its usual company."""
    return " ".join(r.choice(words) for _ in range(r.randrange(1, 6)))


def phrases(seed: int) -> Iterator[str]:
    """Yield phrases for ever, the same for the same *seed*."""
    r = random.Random(seed)
    while True:
        yield phrase(r)


def phrase_list(number: int = 6_000) -> tuple[str, ...]:
    """Return *number* phrases, always the same, for a recogniser that takes a list."""
    r = random.Random(11)
    return tuple(phrase(r) for _ in range(number))
