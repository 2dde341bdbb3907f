"""A straight flight of stairs: how many risers, how high each, and the boards it takes.

The total rise over a riser of about 7 in., to the nearest whole number, gives the risers
(NAVEDTRA 14044: 107 in. over 7 gives 15); a flight has one tread fewer. A stringer is marked
off a board of about risers × sqrt(riser² + run²) (common practice).
"""

from __future__ import annotations

import math
from fractions import Fraction

from cutmemo.cut import Cut, Section
from cutmemo.errors import Refused
from cutmemo.framing.frame import CAUTION, Frame, inches, root
from cutmemo.language.says import FramingCalled
from cutmemo.length import Length, to_tape
from cutmemo.manner import Manner

USUAL_RISER = Fraction(7)
MOST_RISER = Fraction(31, 4)
LEAST_RUN = Fraction(10)
"""Riser and tread (IRC R311.7.5, as quoted by trade pages; editions differ)."""
STRINGERS = 3
STRINGER = Section(Fraction(2), Fraction(12))


def risers_for(rise: Fraction) -> int:
    """Return how many risers climb *rise* inches, none of them higher than 7-3/4."""
    nearest = math.floor(rise / USUAL_RISER + Fraction(1, 2))
    return max(nearest, math.ceil(rise / MOST_RISER), 1)


def stairs(called: FramingCalled, manner: Manner) -> Frame:
    """Return the boards of a flight. Raises :class:`Refused` where the rise is missing or nothing to climb."""
    rise = called.named("rise")
    if rise is None:
        raise Refused("stairs", ("Say the total rise, floor to floor: stairs rise 107.",))
    run = called.named("run") or LEAST_RUN
    number = risers_for(rise)
    each = rise / number
    if number < 2:
        raise Refused("stairs", (f"A rise of {inches(rise, manner)} is one step: no flight.",))
    length = number * root(each * each + run * run)
    section = called.section or STRINGER
    count = called.count if called.count > 1 else STRINGERS
    cuts = [Cut(Length(length), count, section=section, piece="stringer", note="rough length")]
    width = called.named("width")
    if width is not None:
        cuts += [Cut(Length(width), number - 1, piece="tread"), Cut(Length(width), number, piece="riser")]
    total = inches(run * (number - 1), manner)
    facts = [
        f"{number} risers of {inches(each, manner)} ({_decimal(each)} in.).",
        f"{number - 1} treads of {inches(run, manner)} run, {total} in all.",
        "Stair gauges on the framing square at these two figures; the first and the last riser follow the floors.",
    ]
    thick = called.named("thick")
    if thick is not None:
        facts.append(f"Drop the stringer by the tread: the first riser is cut {inches(each - thick, manner)}.")
    over = to_tape(each, manner.fineness) * number - rise
    if over:
        way = "too much" if over > 0 else "too little"
        facts.append(f"{number} risers of {inches(each, manner)} add up to {inches(abs(over), manner)} {way}: adjust.")
    title = f"Stairs, rise {inches(rise, manner)}, {number} risers"
    return Frame(title, tuple(cuts), tuple(facts), (*_warnings(each, run, manner), CAUTION), _picture(number))


def _decimal(value: Fraction) -> str:
    return f"{float(value):.3f}".rstrip("0").rstrip(".")


def _warnings(riser: Fraction, run: Fraction, manner: Manner) -> list[str]:
    found = []
    if riser > MOST_RISER:
        found.append(f"Risers of {inches(riser, manner)} are higher than many codes allow (7-3/4).")
    if run < LEAST_RUN:
        found.append(f"Treads of {inches(run, manner)} are less than many codes ask for (10).")
    return found


def _picture(number: int) -> str:
    """Return the steps, a few of them where there are many."""
    shown = min(number, 7)
    return "\n".join(" " * (4 * (shown - k - 1)) + "┌───" + ("" if k else f"  {number} risers") for k in range(shown))
