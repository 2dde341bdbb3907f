"""Whatever order the parts of a call come in, it is the same cut, or a question with it among the readings.

The calls are put together here and share no code with the sampler.
"""

from __future__ import annotations

import random
from dataclasses import dataclass, replace
from fractions import Fraction as F

import pytest

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.length import Length
from cutmemo.errors import NotACall, Refused
from cutmemo.language import CallList, read, split_calls

ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen "
    "sixteen seventeen eighteen nineteen"
).split()
TENS = "x x twenty thirty forty fifty sixty seventy eighty ninety".split()
PARTS = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth"}
SIZES = {
    "2x4": ("two by four", Section(F(2), F(4))),
    "2x10": ("two by ten", Section(F(2), F(10))),
    "5/4x6": ("five quarter by six", Section(F(5, 4), F(6))),
}
PIECES = {
    "stud": "stud",
    "king": "king stud",
    "top plate": "top plate",
    "deck board": "decking",
    "gable stud": "gable stud",
    "joist": "joist",
}
PLACES = {
    "W3": ("w three", "W3"),
    "window 2 left": ("window two left", "window 2 left"),
    "north wall": ("north wall", "north wall"),
    "garage door": ("garage door", "garage door"),
}


def words(n: int) -> str:
    if n < 20:
        return ONES[n]
    return TENS[n // 10] + (f" {ONES[n % 10]}" if n % 10 else "")


def fraction(part: F) -> str:
    name = PARTS[part.denominator]
    if part.numerator == 1:
        return f"{'an' if name == 'eighth' else 'a'} {name}"
    return f"{words(part.numerator)} {name}s"


def length(r: random.Random, aloud: bool) -> tuple[str, F]:
    whole = r.randrange(25, 270)
    below = r.choice([1, 2, 4, 8, 16])
    part = F(r.randrange(1, below, 2), below) if below > 1 else F(0)
    feet, inches = divmod(whole, 12)
    if aloud:
        hundred = "one hundred " if 100 <= whole < 200 else "two hundred "
        said = (hundred if whole > 99 else "") + (words(whole % 100) if whole % 100 else "")
        said = said.strip() + (f" and {fraction(part)}" if part else "")
        return said, whole + part
    written = r.choice(
        [
            f"{whole}-{part}" if part else f"{whole}",
            f"{whole} {part}" if part else f"{whole}",
            f"{feet}'-{inches} {part}\"" if part else f"{feet}'-{inches}\"",
            f"{feet}' {inches}-{part}\"" if part else f"{feet}' {inches}\"",
        ]
    )
    return written, whole + part


@dataclass(frozen=True)
class Said:
    """A call and what it means."""

    text: str
    cut: Cut


def call(r: random.Random, aloud: bool) -> Said:
    said, inches = length(r, aloud)
    cut = Cut(Length(inches))
    size = piece = place = ""
    if r.random() < 0.6:
        typed = r.choice(list(SIZES))
        spoken, section = SIZES[typed]
        size, cut = spoken if aloud else typed, replace(cut, section=section)
    if r.random() < 0.6:
        piece = r.choice(list(PIECES))
        cut = replace(cut, piece=PIECES[piece])
    if r.random() < 0.4:
        typed = r.choice(list(PLACES))
        spoken, written = PLACES[typed]
        announced = r.choice(["for ", "for the ", ""])
        place, cut = announced + (spoken if aloud else typed), replace(cut, place=written)
    count = r.choice([1, 1, 2, 3, 6, 11])
    number = words(count) if aloud else str(count)
    if count == 1:
        orders = [
            [said, size, piece, place],
            [size, piece, said, place],
            [size, said, piece, place],
        ]
    else:
        cut = replace(cut, count=count)
        piece = f"{piece}s" if piece and r.random() < 0.5 else piece
        orders = [
            [number, "at", said, size, piece, place],
            [number, "of", said, size, piece, place],
            [said, size, piece, place, "times", number],
            [said, size, piece, place, number, "pieces"],
        ]
        if size or piece:
            orders.append([number, size, piece, "at", said, place])
    return Said(" ".join(part for part in r.choice(orders) if part), cut)


@pytest.mark.parametrize("aloud", [False, True], ids=["typed", "spoken"])
def test_the_parts_of_a_call_come_in_any_order(aloud: bool) -> None:
    r = random.Random(20)
    asked = 0
    for _ in range(400):
        said = call(r, aloud)
        found = read(said.text, by_voice=aloud)
        assert said.cut in [reading.intent for reading in found], said.text
        asked += len(found) > 1 or bool(found[0].doubts)
    assert asked <= 20


@pytest.mark.parametrize("aloud", [False, True], ids=["typed", "spoken"])
def test_two_calls_without_a_mark_between_them_are_never_one_without_a_question(
    aloud: bool,
) -> None:
    r = random.Random(21)
    for _ in range(200):
        first, second = call(r, aloud).text, call(r, aloud).text
        if first.split()[-1] in (*ONES, *TENS):
            continue  # "ninety", "six of …" are the same sounds as "ninety six of …"
        said = f"{first} {second}"
        try:
            found = read(said, by_voice=aloud)
        except (NotACall, Refused):
            continue
        assert len(found) > 1 or found[0].doubts, said


def test_two_calls_with_a_comma_between_them_are_both() -> None:
    r = random.Random(22)
    for _ in range(150):
        first, second = call(r, False), call(r, False)
        found = split_calls(f"{first.text}, {second.text}")
        assert isinstance(found, CallList), (first.text, second.text)
        own = [reading.intent for reading in found.parts[0].readings]
        assert first.cut in own, first.text
        lengths = [r.intent.length for r in found.parts[1].readings if isinstance(r.intent, Cut)]
        assert second.cut.length in lengths, second.text
