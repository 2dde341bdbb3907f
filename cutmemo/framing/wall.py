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

from cutmemo.domain.cut import Cut, Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.errors import Refused
from cutmemo.framing.assembly import CAUTION, Assembly, depth, inches, thickness
from cutmemo.language.intent import AssemblyCall, Opening

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
    height: Fraction
    spacing: Fraction
    section: Section
    header: Section | None
    openings: tuple[Opening, ...]
    settings: Settings

    @property
    def thickness(self) -> Fraction:
        return thickness(self.section)

    @property
    def stud(self) -> Fraction:
        """Return the length of a full stud."""
        return self.height - (1 + TOP_PLATES) * self.thickness

    def of(self, value: Fraction) -> str:
        return inches(value, self.settings)

    def marks(self) -> list[Fraction]:
        """Return the near edge of every stud on the layout, the two end studs included."""
        last = self.length - self.thickness
        edges = [Fraction(0)]
        mark = self.spacing
        while (
            mark + self.thickness / 2 <= last
        ):  # nearer to the end stud there is no room for another
            edges.append(mark - self.thickness / 2)
            mark += self.spacing
        return [*edges, last]

    def studs(self) -> list[Fraction]:
        """Return the near edge of every full stud.

        A king or the end stud that is nearly on a mark stands in for the stud there. Where two
        of them do so at neighbouring marks, a stud beside the later keeps the spacing.
        """
        kings = [
            (each.at - 2 * self.thickness, each.at + each.width + self.thickness)
            for each in self.openings
        ]
        zones = [(left - self.thickness, right + self.thickness) for left, right in kings]
        clear = [
            edge for edge in self.marks() if not any(begin < edge < end for begin, end in zones)
        ]
        upright = sorted([*clear, *(edge for pair in kings for edge in pair)])
        width = [
            two
            for one, two in pairwise(upright)
            if two - one > self.spacing + self.thickness and (one, two) not in kings
        ]
        return sorted([*clear, *(edge - self.thickness for edge in width)])


def wall(called: AssemblyCall, settings: Settings) -> Assembly:
    """Return the pieces of a wall. Raises :class:`Refused` where a measure is missing or cannot be."""
    height = called.named("high")
    if height is None:
        raise Refused("wall", ("Say how high it is, plates and all: wall 12' high 97-1/8.",))
    made = _Wall(
        called.named("length") or Fraction(0),
        height,
        called.named("spacing") or SPACING,
        called.section or STUD,
        called.header,
        tuple(sorted(called.openings, key=lambda each: each.at)),
        settings,
    )
    _refuse(made)
    marks, studs = made.marks(), made.studs()
    cuts = [*_plates(made), _piece(made, made.stud, len(studs), "stud")]
    for opening in made.openings:
        cuts += _around(made, opening, marks)
    facts = [
        f"Studs {made.of(made.stud)} under {TOP_PLATES} top plates, on {made.of(made.spacing)} centres.",
        "Near edges from the end: " + ", ".join(made.of(edge) for edge in studs) + ".",
        *(
            f"Opening from {made.of(each.at)} to {made.of(each.at + each.width)}, header's underside {made.of(each.height)} up."
            for each in made.openings
        ),
    ]
    warnings = [CAUTION]
    if made.openings:
        warnings.insert(0, PLIES)
    if made.length > settings.longest:
        warnings.insert(
            0, "The plates are joined: over a stud, and the joints of both top plates well apart."
        )
    title = f"Wall {made.of(made.length)} long, {made.of(made.height)} high"
    return Assembly(
        title, tuple(_added_up(cuts)), tuple(facts), tuple(warnings), _picture(made, studs)
    )


def _refuse(made: _Wall) -> None:
    """Raise :class:`Refused` for what cannot be built."""
    if made.stud <= 0 or made.length < 2 * made.thickness:
        raise Refused(
            "wall",
            (
                f"A wall {made.of(made.length)} long and {made.of(made.height)} high has no room for studs.",
            ),
        )
    if made.openings and made.header is None:
        raise Refused(
            "wall", ("Say the header's section too, as the plan gives it: … header 2x10.",)
        )
    edge = Fraction(0)
    for each in made.openings:
        if (
            each.at - 2 * made.thickness < edge
            or each.at + each.width + 2 * made.thickness > made.length
        ):
            raise Refused(
                "wall",
                (f"The opening at {made.of(each.at)} leaves no room for its king and trimmer.",),
            )
        for left in (
            each.at - 2 * made.thickness,
            made.length - each.at - each.width - 2 * made.thickness,
        ):
            if 0 < left < made.thickness:
                raise Refused(
                    "wall",
                    (
                        f"The opening at {made.of(each.at)} leaves {made.of(left)} for an end stud: move it.",
                    ),
                )
        edge = each.at + each.width + 2 * made.thickness
        if made.header is not None and _above(made, each) < 0:
            raise Refused(
                "wall",
                (
                    f"A {made.header} header over {made.of(each.height)} does not fit under the top plates.",
                ),
            )
        if each.sill is not None and not 2 * made.thickness <= each.sill < each.height:
            raise Refused(
                "wall",
                (f"A sill {made.of(each.sill)} up does not fit under {made.of(each.height)}.",),
            )


def _above(made: _Wall, each: Opening) -> Fraction:
    """Return what is left between the header and the top plates."""
    deep = (depth(made.header) if made.header is not None else None) or Fraction(0)
    return made.height - TOP_PLATES * made.thickness - each.height - deep


def _plates(made: _Wall) -> list[Cut]:
    """Return bottom and top plates, in lengths that end over a stud where a board does not reach."""
    longest = max(made.settings.longest // made.spacing, 1) * made.spacing
    pieces, left = [], made.length
    while left > made.settings.longest:
        pieces.append(longest)
        left -= longest
    return [_piece(made, each, 1 + TOP_PLATES, "plate") for each in (*pieces, left)]


def _around(made: _Wall, each: Opening, marks: list[Fraction]) -> list[Cut]:
    """Return what frames one opening."""
    thick, end = made.thickness, each.at + each.width
    on_header = [edge for edge in marks if each.at - thick <= edge <= end]
    between = [edge for edge in marks if each.at + thick <= edge <= end - 2 * thick]
    header = made.header or made.section
    plies = 2 if thickness(header) == Fraction(3, 2) and not header.material else 1
    cuts = [
        _piece(made, made.stud, 2, "king stud"),
        _piece(made, each.height - made.thickness, 2, "trimmer"),
        Cut(Length(each.width + 2 * made.thickness), plies, section=header, piece="header"),
    ]
    above = _above(made, each)
    if above > 0 and on_header:
        cuts.append(_piece(made, above, len(on_header), "cripple"))
    if each.sill is not None:
        cuts.append(_piece(made, each.width, 1, "sill"))
        cuts.append(_piece(made, each.sill - 2 * thick, len(between) + 2, "cripple"))
    return cuts


def _piece(made: _Wall, length: Fraction, count: int, piece: str) -> Cut:
    return Cut(Length(length), count, section=made.section, piece=piece)


def _added_up(cuts: list[Cut]) -> list[Cut]:
    """Return *cuts* with equal pieces in one row."""
    counted: Counter[tuple[Length, Section | None, str | None]] = Counter()
    for cut in cuts:
        counted[cut.length, cut.section, cut.piece] += cut.count
    return [
        Cut(length, count, section=section, piece=piece)
        for (length, section, piece), count in counted.items()
        if count
    ]


def _picture(made: _Wall, studs: list[Fraction]) -> str:
    """Return the wall from the front, to scale across: plates, studs, headers, sills with cripples under them."""
    width = 72

    def at(inch: Fraction) -> int:
        return min(width - 1, round(inch / made.length * (width - 1)))

    upper = [" "] * width
    for edge in studs:
        upper[at(edge)] = "│"
    middle, lower = upper[:], upper[:]
    for each in made.openings:
        left, right = at(each.at), at(each.at + each.width)
        room = range(left, right + 1)
        for line in (upper, middle, lower):
            line[max(left - 1, 0)] = line[min(right + 1, width - 1)] = "║"
        for k in room:
            upper[k] = "▀"
            middle[k] = "─" if each.sill is not None else " "
            lower[k] = "│" if each.sill is not None and (k - left) % 4 == 0 else " "
    plate = "═" * width
    return "\n".join([plate, "".join(upper), "".join(middle), "".join(lower), plate])
