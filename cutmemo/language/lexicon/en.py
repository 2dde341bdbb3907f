"""The trade's words and what they stand for."""

from __future__ import annotations

from typing import Final

from cutmemo.domain.cut import Side

ONES: Final = {
    word: n
    for n, word in enumerate(
        "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen sixteen "
        "seventeen eighteen nineteen".split()
    )
}
TENS: Final = {
    word: n * 10
    for n, word in enumerate(
        "twenty thirty forty fifty sixty seventy eighty ninety".split(), start=2
    )
}
NAMES_BELOW_20: Final = tuple(ONES)
NAMES_OF_TENS: Final = {n: word for word, n in TENS.items()}

PLURALS: Final = {
    **{f"{word}s": n for word, n in ONES.items() if n not in (0, 6)},
    "sixes": 6,
    **{f"{word[:-1]}ies": n for word, n in TENS.items()},
}
"""A number said as a plural: "two forty twos"."""

DENOMINATORS: Final = {
    "half": 2,
    "quarter": 4,
    "fourth": 4,
    "eighth": 8,
    "sixteenth": 16,
    "third": 3,
    "fifth": 5,
    "sixth": 6,
    "seventh": 7,
    "ninth": 9,
    "tenth": 10,
    "twelfth": 12,
    "hundredth": 100,
}
"""Names of parts of an inch; those no tape has are read too, so that the refusal can say why."""
DENOMINATOR_PLURALS: Final = {"halfs": 2, "halves": 2} | {
    f"{word}s": n for word, n in DENOMINATORS.items() if word != "half"
}
TAPE_DENOMINATORS: Final = frozenset({2, 4, 8, 16, 32, 64})

UNITS: Final = {
    "inch": ("inch", "inches"),
    "foot": ("foot", "feet"),
    "millimetre": ("millimetre", "millimetres", "millimeter", "millimeters"),
    "centimetre": ("centimetre", "centimetres", "centimeter", "centimeters"),
    "metre": ("metre", "metres", "meter", "meters"),
}

SHADES: Final[dict[str, Side]] = {
    **dict.fromkeys("strong heavy full fat plus proud over".split(), "over"),
    **dict.fromkeys("light shy scant weak minus short under".split(), "under"),
}
SLIGHT: Final = ("hair", "skosh", "tad")
EXACT: Final = (("even",), ("flat",), ("exactly",), ("on", "the", "money"), ("on", "the", "nose"))
LINES: Final = tuple((verb, "the", "line") for verb in ("leave", "take", "split"))

PIECES: Final = {
    tuple(words.split()): name
    for name, said in {
        "stud": "stud studs",
        "king stud": "king_stud king_studs king kings",
        "trimmer": "trimmer trimmers jack_stud jack_studs",
        "cripple": "cripple cripples",
        "header": "header headers",
        "sill": "sill sills sill_plate",
        "sole plate": "sole_plate bottom_plate",
        "top plate": "top_plate",
        "cap plate": "cap_plate",
        "plate": "plate plates",
        "block": "block blocks blocking",
        "joist": "joist joists",
        "rim": "rim rim_joist",
        "common rafter": "common common_rafter common_rafters",
        "hip rafter": "hip hip_rafter",
        "valley rafter": "valley valley_rafter",
        "jack rafter": "jack_rafter jack_rafters",
        "rafter": "rafter rafters",
        "ridge": "ridge",
        "fascia": "fascia",
        "lookout": "lookout lookouts",
        "stringer": "stringer stringers",
        "tread": "tread treads",
        "riser": "riser risers",
        "casing": "casing casings",
        "base": "base",
        "post": "post posts",
        "beam": "beam beams",
    }.items()
    for words in (entry.replace("_", " ") for entry in said.split())
}
PLURAL_PIECES: Final = frozenset(
    words[-1]
    for words in PIECES
    if words[-1].endswith("s") and (*words[:-1], words[-1][:-1]) in PIECES
)

PLACES: Final = frozenset(
    "wall window door opening room bay gable stair porch deck line garage kitchen bath bedroom hall "
    "north south east west left right front back upper lower top bottom w d a b".split()
)
"""Words a spoken place is made of; a typed place may use any word."""
