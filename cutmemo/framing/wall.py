"""The pieces of a stud wall: plates, studs, and around each opening kings, trimmers, header and cripples.

One bottom plate and two top plates; studs on centres from one end, so that a stud's near edge
stands half its thickness before the mark: 15-1/4, 31-1/4, 47-1/4 at 16 in. A king and a trimmer
stand on each side of an opening, and its header bears on both trimmers; cripples stand on the
marks, and under a sill at both of its ends too (common practice).
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from cutmemo.cut import Cut, Section
from cutmemo.errors import Refused
from cutmemo.framing.frame import CAUTION, Frame, depth, inches, thickness
from cutmemo.language.says import FramingCalled, Opening
from cutmemo.length import Length
from cutmemo.manner import Manner

STUD = Section(Fraction(2), Fraction(4))
SPACING = Fraction(16)
TOP_PLATES = 2
PLIES = (
    "Two plies of header are counted for a two-by: size and plies are the plan's to give. "
    "The bottom plate is cut out at doors later."
)


@dataclass(frozen=True, slots=True)
class _Wall:
    length: Fraction
    high: Fraction
    spacing: Fraction
    section: Section
    header: Section | None
    openings: tuple[Opening, ...]
    manner: Manner

    @property
    def thick(self) -> Fraction:
        return thickness(self.section)

    @property
    def stud(self) -> Fraction:
        """Return the length of a full stud."""
        return self.high - (1 + TOP_PLATES) * self.thick

    def of(self, value: Fraction) -> str:
        return inches(value, self.manner)

    def marks(self) -> list[Fraction]:
        """Return the near edge of every stud on the layout, the two end studs included."""
        last = self.length - self.thick
        edges = [Fraction(0)]
        mark = self.spacing
        while mark + self.thick / 2 <= last:  # nearer to the end stud there is no room for another
            edges.append(mark - self.thick / 2)
            mark += self.spacing
        return [*edges, last]

    def studs(self) -> list[Fraction]:
        """Return the near edge of every full stud.

        A king or the end stud that is nearly on a mark stands in for the stud there. Where two
        of them do so at neighbouring marks, a stud beside the later keeps the spacing.
        """
        kings = [(each.at - 2 * self.thick, each.at + each.wide + self.thick) for each in self.openings]
        zones = [(left - self.thick, right + self.thick) for left, right in kings]
        clear = [edge for edge in self.marks() if not any(begin < edge < end for begin, end in zones)]
        upright = sorted([*clear, *(edge for pair in kings for edge in pair)])
        wide = [two for one, two in pairwise(upright) if two - one > self.spacing + self.thick and (one, two) not in kings]
        return sorted([*clear, *(edge - self.thick for edge in wide)])


def wall(called: FramingCalled, manner: Manner) -> Frame:
    """Return the pieces of a wall. Raises :class:`Refused` where a measure is missing or cannot be."""
    high = called.named("high")
    if high is None:
        raise Refused("wall", ("Say how high it is, plates and all: wall 12' high 97-1/8.",))
    made = _Wall(
        called.named("length") or Fraction(0), high, called.named("spacing") or SPACING, called.section or STUD, called.header,
        tuple(sorted(called.openings, key=lambda each: each.at)), manner,
    )  # fmt: skip
    _refuse(made)
    marks, studs = made.marks(), made.studs()
    cuts = [*_plates(made), _piece(made, made.stud, len(studs), "stud")]
    for opening in made.openings:
        cuts += _around(made, opening, marks)
    facts = [
        f"Studs {made.of(made.stud)} under {TOP_PLATES} top plates, on {made.of(made.spacing)} centres.",
        "Near edges from the end: " + ", ".join(made.of(edge) for edge in studs) + ".",
        *(
            f"Opening from {made.of(each.at)} to {made.of(each.at + each.wide)}, header's underside {made.of(each.high)} up."
            for each in made.openings
        ),
    ]
    warnings = [CAUTION]
    if made.openings:
        warnings.insert(0, PLIES)
    if made.length > manner.longest:
        warnings.insert(0, "The plates are joined: over a stud, and the joints of both top plates well apart.")
    title = f"Wall {made.of(made.length)} long, {made.of(made.high)} high"
    return Frame(title, tuple(_added_up(cuts)), tuple(facts), tuple(warnings), _picture(made, studs))


def _refuse(made: _Wall) -> None:
    """Raise :class:`Refused` for what cannot be built."""
    if made.stud <= 0 or made.length < 2 * made.thick:
        raise Refused("wall", (f"A wall {made.of(made.length)} long and {made.of(made.high)} high has no room for studs.",))
    if made.openings and made.header is None:
        raise Refused("wall", ("Say the header's section too, as the plan gives it: … header 2x10.",))
    edge = Fraction(0)
    for each in made.openings:
        if each.at - 2 * made.thick < edge or each.at + each.wide + 2 * made.thick > made.length:
            raise Refused("wall", (f"The opening at {made.of(each.at)} leaves no room for its king and trimmer.",))
        for left in (each.at - 2 * made.thick, made.length - each.at - each.wide - 2 * made.thick):
            if 0 < left < made.thick:
                raise Refused("wall", (f"The opening at {made.of(each.at)} leaves {made.of(left)} for an end stud: move it.",))
        edge = each.at + each.wide + 2 * made.thick
        if made.header is not None and _above(made, each) < 0:
            raise Refused("wall", (f"A {made.header} header over {made.of(each.high)} does not fit under the top plates.",))
        if each.sill is not None and not 2 * made.thick <= each.sill < each.high:
            raise Refused("wall", (f"A sill {made.of(each.sill)} up does not fit under {made.of(each.high)}.",))


def _above(made: _Wall, each: Opening) -> Fraction:
    """Return what is left between the header and the top plates."""
    deep = (depth(made.header) if made.header is not None else None) or Fraction(0)
    return made.high - TOP_PLATES * made.thick - each.high - deep


def _plates(made: _Wall) -> list[Cut]:
    """Return bottom and top plates, in lengths that end over a stud where a board does not reach."""
    longest = max(made.manner.longest // made.spacing, 1) * made.spacing
    pieces, left = [], made.length
    while left > made.manner.longest:
        pieces.append(longest)
        left -= longest
    return [_piece(made, each, 1 + TOP_PLATES, "plate") for each in (*pieces, left)]


def _around(made: _Wall, each: Opening, marks: list[Fraction]) -> list[Cut]:
    """Return what frames one opening."""
    thick, end = made.thick, each.at + each.wide
    on_header = [edge for edge in marks if each.at - thick <= edge <= end]
    between = [edge for edge in marks if each.at + thick <= edge <= end - 2 * thick]
    header = made.header or made.section
    plies = 2 if thickness(header) == Fraction(3, 2) and not header.material else 1
    cuts = [
        _piece(made, made.stud, 2, "king stud"),
        _piece(made, each.high - made.thick, 2, "trimmer"),
        Cut(Length(each.wide + 2 * made.thick), plies, section=header, piece="header"),
    ]
    above = _above(made, each)
    if above > 0 and on_header:
        cuts.append(_piece(made, above, len(on_header), "cripple"))
    if each.sill is not None:
        cuts.append(_piece(made, each.wide, 1, "sill"))
        cuts.append(_piece(made, each.sill - 2 * thick, len(between) + 2, "cripple"))
    return cuts


def _piece(made: _Wall, length: Fraction, count: int, piece: str) -> Cut:
    return Cut(Length(length), count, section=made.section, piece=piece)


def _added_up(cuts: list[Cut]) -> list[Cut]:
    """Return *cuts* with equal pieces in one row."""
    counted: Counter[tuple[Length, Section | None, str | None]] = Counter()
    for cut in cuts:
        counted[cut.length, cut.section, cut.piece] += cut.count
    return [Cut(length, count, section=section, piece=piece) for (length, section, piece), count in counted.items() if count]


def _picture(made: _Wall, studs: list[Fraction]) -> str:
    """Return the wall from the front, to scale across: plates, studs, headers, sills with cripples under them."""
    wide = 72

    def at(inch: Fraction) -> int:
        return min(wide - 1, round(inch / made.length * (wide - 1)))

    upper = [" "] * wide
    for edge in studs:
        upper[at(edge)] = "│"
    middle, lower = upper[:], upper[:]
    for each in made.openings:
        left, right = at(each.at), at(each.at + each.wide)
        room = range(left, right + 1)
        for line in (upper, middle, lower):
            line[max(left - 1, 0)] = line[min(right + 1, wide - 1)] = "║"
        for k in room:
            upper[k] = "▀"
            middle[k] = "─" if each.sill is not None else " "
            lower[k] = "│" if each.sill is not None and (k - left) % 4 == 0 else " "
    plate = "═" * wide
    return "\n".join([plate, "".join(upper), "".join(middle), "".join(lower), plate])
