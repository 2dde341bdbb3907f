"""What the tests of reading share: lengths in words, and what words are read as.

Nothing here is taken from the lexicon: how a number and a fraction are said stands below (common
practice).
"""

from __future__ import annotations

from fractions import Fraction as F

from cutmemo.domain.cut import Cut
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language import Reading, read

ONES = (
    "zero one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen"
    " sixteen seventeen eighteen nineteen"
).split()
TENS = ". ten twenty thirty forty fifty sixty seventy eighty ninety".split()
PARTS = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty second"}


def words(number: int) -> str:
    """Return *number* below a hundred as it is said."""
    if number < 20:
        return ONES[number]
    return TENS[number // 10] + (f" {ONES[number % 10]}" if number % 10 else "")


def hundreds(number: int) -> list[str]:
    """Return *number* from 100 to 999 as it is said."""
    over, rest = divmod(number, 100)
    found = [f"{ONES[over]} hundred", "a hundred"] if not rest and over == 1 else []
    found += [f"{ONES[over]} hundred"] if not rest else []
    if rest:
        found += [f"{ONES[over]} hundred {words(rest)}", f"{ONES[over]} hundred and {words(rest)}"]
    if 0 < rest < 10:
        found.append(f"{ONES[over]} oh {ONES[rest]}")
    if rest > 11:
        found.append(f"{ONES[over]} {words(rest)}")
    return found


def part(over: int, under: int) -> list[str]:
    """Return a fraction in lowest terms as it is said."""
    if under == 2:
        return ["a half", "one half"]
    if over == 1:
        return [f"{'an' if under == 8 else 'a'} {PARTS[under]}", f"one {PARTS[under]}"]
    return [f"{words(over)} {PARTS[under]}s"]


FRACTIONS = [F(n, 16) for n in range(1, 16)] + [F(n, 32) for n in (1, 5, 9, 31)]


def found(said: str, by_voice: bool = True, settings: Settings | None = None) -> list[Reading]:
    return list(read(said, settings, by_voice))


def cuts(said: str, by_voice: bool = True, settings: Settings | None = None) -> dict[Cut, Reading]:
    """Return the cuts that *said* may be, with their readings; none where it is refused."""
    try:
        readings = found(said, by_voice, settings)
    except (NotACall, Refused):
        return {}
    return {each.intent: each for each in readings if isinstance(each.intent, Cut)}


def lengths(said: str, by_voice: bool = True, settings: Settings | None = None) -> set[F]:
    return {each.length.inches for each in cuts(said, by_voice, settings)}


def refused(said: str, by_voice: bool = True, settings: Settings | None = None) -> bool:
    try:
        read(said, settings, by_voice)
    except (NotACall, Refused):
        return True
    return False
