"""The measures that all pieces of a wall, and all that is told of it, need."""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction

from cutmemo.framing.assembly import Placed, depth, thickness
from cutmemo.framing.plates import TOP_PLATES
from cutmemo.framing.remarks import RemarkKind, wrong
from cutmemo.framing.specs import OpeningSpec, WallSpec


@dataclass(frozen=True, slots=True)
class WallFrame:
    """The measures that all pieces of a wall need."""

    spec: WallSpec

    @property
    def thick(self) -> Fraction:
        """Return how thick its studs and plates are."""
        return thickness(self.spec.section)

    @property
    def stud(self) -> Fraction:
        """Return the length of a full stud."""
        return self.spec.height - (1 + TOP_PLATES) * self.thick

    def upright(self, piece: str, left: Fraction, bottom: Fraction, height: Fraction) -> Placed:
        """Return an upright of the wall's section."""
        return Placed(piece, left, bottom, self.thick, height, section=self.spec.section)

    def full(self, piece: str, left: Fraction) -> Placed:
        """Return an upright from the bottom plate to the top plates."""
        return self.upright(piece, left, self.thick, self.stud)

    def header_depth(self, opening: OpeningSpec) -> Fraction:
        """Return how deep the header of *opening* is. Raises :class:`MeasureError` where nobody
        knows.
        """
        deep = opening.header.depth or depth(opening.header.section)
        if deep is None:
            raise wrong(RemarkKind.HEADER_DEPTH_UNKNOWN, section=str(opening.header.section))
        return deep

    def above(self, opening: OpeningSpec) -> Fraction:
        """Return what is left between the header and the top plates."""
        under_plates = self.spec.height - TOP_PLATES * self.thick
        return under_plates - opening.height - self.header_depth(opening)

    def under(self, opening: OpeningSpec) -> Fraction:
        """Return what is left between the bottom plate and the sill, 0 where there is none."""
        return opening.sill - 2 * self.thick if opening.sill is not None else Fraction(0)

    def openings(self) -> list[OpeningSpec]:
        """Return the openings from the near end."""
        return sorted(self.spec.openings, key=lambda each: each.at)
