"""A straight flight of stairs: how many risers, how high each, and the boards it takes.

The total rise over a riser of about 7 in., to the nearest whole number, gives the risers
(NAVEDTRA 14044: 107 in. over 7 gives 15); a flight has one tread fewer. A stringer is marked
off a board of about risers × sqrt(riser² + run²) (common practice).
"""

from __future__ import annotations

import math
from fractions import Fraction

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.length import Length, to_tape
from cutmemo.domain.settings import Settings
from cutmemo.errors import Refused
from cutmemo.framing.assembly import CAUTION, Assembly, inches, root
from cutmemo.language.intent import AssemblyCall

USUAL_RISER = Fraction(7)
MAX_RISER = Fraction(31, 4)
MIN_RUN = Fraction(10)
"""Riser and tread (IRC R311.7.5, as quoted by trade pages; editions differ)."""
STRINGERS = 3
STRINGER = Section(Fraction(2), Fraction(12))


def risers_for(rise: Fraction) -> int:
    """Return how many risers climb *rise* inches, none of them higher than 7-3/4."""
    nearest = math.floor(rise / USUAL_RISER + Fraction(1, 2))
    return max(nearest, math.ceil(rise / MAX_RISER), 1)


def stairs(called: AssemblyCall, settings: Settings) -> Assembly:
    """Return the boards of a flight. Raises :class:`Refused` where the rise is missing or nothing to climb."""
    rise = called.named("rise")
    if rise is None:
        raise Refused("stairs", ("Say the total rise, floor to floor: stairs rise 107.",))
    run = called.named("run") or MIN_RUN
    number = risers_for(rise)
    each = rise / number
    if number < 2:
        raise Refused("stairs", (f"A rise of {inches(rise, settings)} is one step: no flight.",))
    length = number * root(each * each + run * run)
    section = called.section or STRINGER
    count = called.count if called.count > 1 else STRINGERS
    cuts = [Cut(Length(length), count, section=section, piece="stringer", note="rough length")]
    width = called.named("width")
    if width is not None:
        cuts += [
            Cut(Length(width), number - 1, piece="tread"),
            Cut(Length(width), number, piece="riser"),
        ]
    total = inches(run * (number - 1), settings)
    facts = [
        f"{number} risers of {inches(each, settings)} ({_decimal(each)} in.).",
        f"{number - 1} treads of {inches(run, settings)} run, {total} in all.",
        "Stair gauges on the framing square at these two figures; the first and the last riser follow the floors.",
    ]
    thickness = called.named("thick")
    if thickness is not None:
        facts.append(
            f"Drop the stringer by the tread: the first riser is cut {inches(each - thickness, settings)}."
        )
    over = to_tape(each, settings.fineness) * number - rise
    if over:
        way = "too much" if over > 0 else "too little"
        facts.append(
            f"{number} risers of {inches(each, settings)} add up to {inches(abs(over), settings)} {way}: adjust."
        )
    title = f"Stairs, rise {inches(rise, settings)}, {number} risers"
    return Assembly(
        title,
        tuple(cuts),
        tuple(facts),
        (*_warnings(each, run, settings), CAUTION),
        _picture(number),
    )


def _decimal(value: Fraction) -> str:
    return f"{float(value):.3f}".rstrip("0").rstrip(".")


def _warnings(riser: Fraction, run: Fraction, settings: Settings) -> list[str]:
    found = []
    if riser > MAX_RISER:
        found.append(
            f"Risers of {inches(riser, settings)} are higher than many codes allow (7-3/4)."
        )
    if run < MIN_RUN:
        found.append(f"Treads of {inches(run, settings)} are less than many codes ask for (10).")
    return found


def _picture(number: int) -> str:
    """Return the steps, a few of them where there are many."""
    shown = min(number, 7)
    return "\n".join(
        " " * (4 * (shown - k - 1)) + "┌───" + ("" if k else f"  {number} risers")
        for k in range(shown)
    )
