"""Every open cut on a board: which board, in which order, at which marks, and what has to be bought.

Aims, in this order: never more boards than the rack holds; least bought; left-overs and
boards on the rack used sparingly; fewest boards; what is left over in one long piece.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache

from cutmemo.domain.cut import Cut, End, Section
from cutmemo.domain.settings import Settings
from cutmemo.planning.checker import assured
from cutmemo.planning.job import Demand, Job, Kind, LaidBoard
from cutmemo.planning.layout import lay_out
from cutmemo.planning.rack import Lot

STEP = 64
"""Parts of an inch that everything is counted in."""
FEET_AT_THE_YARD = (8, 10, 12, 14, 16)
LONGER_FEET = (18, 20, 22, 24)
"""Bought only where a piece needs one (common practice: 2 ft steps, 8 to 16 ft usual, to 24 ft)."""
BOUGHT, RACKED, STARTED = 16, 2, 1
"""What a foot of board costs in the layout: left-overs first, and the yard last."""


@dataclass(frozen=True, slots=True)
class Wanted:
    """Pieces of one row that are still to cut."""

    row: int
    row_id: str
    inches: Fraction
    """To the long points: what the piece takes of the board."""
    count: int
    section: Section | None
    label: str = ""
    setting: str = ""
    """How the saw is set for it; empty for two square ends."""


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece on a board."""

    row: int
    row_id: str
    inches: Fraction
    start: Fraction
    """Its first mark, from the end of the board; the second is a piece further."""
    label: str = ""

    @property
    def end(self) -> Fraction:
        """Return the mark to cut at."""
        return self.start + self.inches


@dataclass(frozen=True, slots=True)
class Board:
    """One board, or one sound stretch of it, with its pieces in saw order."""

    lot: Lot | None
    """``None`` for one that has to be bought."""
    start: Fraction
    """Where the sound stretch begins."""
    inches: Fraction
    pieces: tuple[Piece, ...]
    left: Fraction
    """What is over after the last cut."""


@dataclass(frozen=True, slots=True)
class SectionPlan:
    """All cuts of one section."""

    section: Section | None
    boards: tuple[Board, ...]
    too_long: tuple[Wanted, ...] = ()
    """Longer than any board at hand or at the yard."""
    proven: bool = True
    over: Fraction = Fraction(0)
    """What part of its cost the best layout may save at most; 0 where the cost is proven."""

    @property
    def order(self) -> dict[Fraction, int]:
        """Return what has to be bought: how many of which length in inches."""
        return dict(
            sorted(Counter(board.inches for board in self.boards if board.lot is None).items())
        )

    @property
    def waiting(self) -> dict[int, int]:
        """Return how many pieces of which row wait for boards that are not here."""
        rows = Counter(
            piece.row for board in self.boards if board.lot is None for piece in board.pieces
        )
        rows.update({wanted.row: wanted.count for wanted in self.too_long})
        return dict(sorted(rows.items()))

    @property
    def pieces(self) -> int:
        """Return how many pieces are laid."""
        return sum(len(board.pieces) for board in self.boards)

    @property
    def laid_inches(self) -> Fraction:
        """Return how long the boards are together."""
        return sum((board.inches for board in self.boards), Fraction(0))

    @property
    def piece_inches(self) -> Fraction:
        """Return how long the pieces are together."""
        return sum((piece.inches for board in self.boards for piece in board.pieces), Fraction(0))

    def kept(self, leftover: Fraction) -> Fraction:
        """Return the left-overs worth keeping, in inches."""
        return sum((board.left for board in self.boards if board.left >= leftover), Fraction(0))

    def waste(self, leftover: Fraction) -> Fraction:
        """Return sawdust, trim and ends too short to keep, in inches."""
        return self.laid_inches - self.piece_inches - self.kept(leftover)


def long_point(cut: Cut) -> Fraction | None:
    """Return the inches of board that *cut* takes: its length to the long points; ``None`` where the section is needed for it.

    Long point less short point is the width times the tangent of the angle; a plumb cut's
    tangent is rise over 12, a hip's rise over 16.97.
    """
    extra = Fraction(0)
    for end in cut.ends:
        tangents = _tangents(end)
        if end.point != "short" or not any(tangents):
            continue
        dressed = cut.section.dressed() if cut.section is not None else None
        if dressed is None:
            return None
        across, through = tangents
        extra += dressed[1] * across + dressed[0] * through
    return cut.length.inches + extra


def _tangents(end: End) -> tuple[Fraction, Fraction]:
    """Return the tangents of *end* across the width and through the thickness, rounded up to a millionth."""

    def up(value: float) -> Fraction:
        return Fraction(math.ceil(value * 1_000_000 - 1e-6), 1_000_000)

    across = Fraction(0)
    if end.rise is not None:
        across = up(end.rise / math.sqrt(288)) if end.kind == "hip" else Fraction(end.rise, 12)
    elif end.miter:
        across = up(math.tan(math.radians(float(end.miter))))
    return across, up(math.tan(math.radians(float(end.bevel)))) if end.bevel else Fraction(0)


@dataclass(frozen=True, slots=True)
class _Source:
    """Where boards of one kind come from."""

    lot: Lot | None
    start: Fraction
    inches: Fraction
    available: int | None

    def cost(self) -> int:
        feet = math.ceil(self.inches / 12)
        return feet * (BOUGHT if self.lot is None else STARTED if self.lot.leftover else RACKED)


def _sources(lots: Iterable[Lot], longest_piece: Fraction, settings: Settings) -> list[_Source]:
    """Return the sound stretches of the *lots*, then what the yard has."""
    out = [
        _Source(lot, begin, end - begin, lot.count)
        for lot in lots
        for begin, end in lot.runs()
        if end - begin >= min(settings.shortest, longest_piece)
    ]
    usual = [12 * feet for feet in FEET_AT_THE_YARD]
    if longest_piece + 2 * settings.trim > usual[-1]:
        usual += [12 * feet for feet in LONGER_FEET]
    return out + [
        _Source(None, Fraction(0), Fraction(inches), None)
        for inches in usual
        if inches <= settings.longest
    ]


def _up(inches: Fraction) -> int:
    return math.ceil(inches * STEP)


def _down(inches: Fraction) -> int:
    return math.floor(inches * STEP)


def _capacity(source: _Source, settings: Settings) -> int:
    """Return what fits: the length less the trimmed end, and one kerf, which the last piece does not need."""
    return _down(source.inches) - _up(trim_of(source.lot, settings)) + _up(settings.kerf)


def trim_of(lot: Lot | None, settings: Settings) -> Fraction:
    """Return what comes off the end first: nothing of a left-over, whose end is fresh."""
    return Fraction(0) if lot is not None and lot.leftover else settings.trim


def plan(wanted: Sequence[Wanted], lots: Iterable[Lot], settings: Settings) -> list[SectionPlan]:
    """Return the best layout found of everything *wanted*, section by section; the same input gives the same plan."""
    racked = list(lots)
    plans = []
    for section in dict.fromkeys(each.section for each in wanted):
        cuts = tuple(each for each in wanted if each.section == section)
        plans.append(
            _section_plan(
                section, cuts, tuple(lot for lot in racked if lot.section == section), settings
            )
        )
    return plans


@lru_cache(maxsize=64)
def _section_plan(
    section: Section | None, wanted: tuple[Wanted, ...], lots: tuple[Lot, ...], settings: Settings
) -> SectionPlan:
    """Return the plan of one section; kept, so that a cut in one section does not lay the others anew."""
    longest = max(each.inches for each in wanted)
    sources = _sources(lots, longest, settings)
    room = max((_capacity(source, settings) for source in sources), default=0)
    fits = [each for each in wanted if _up(each.inches) + _up(settings.kerf) <= room]
    too_long = tuple(each for each in wanted if each not in fits)
    if not fits:
        return SectionPlan(section, (), too_long)
    weights: dict[int, list[Wanted]] = {}
    for each in fits:
        weights.setdefault(_up(each.inches) + _up(settings.kerf), []).append(each)
    kinds = tuple(
        Kind(_capacity(source, settings), source.cost(), source.available) for source in sources
    )
    job = Job(
        kinds,
        tuple(Demand(weight, sum(each.count for each in same)) for weight, same in weights.items()),
    )
    layout = lay_out(job)
    if layout is None:
        return SectionPlan(section, (), wanted)
    names = [iter([each for each in same for _ in range(each.count)]) for same in weights.values()]
    laid = assured(job, _gathered(job, layout.boards))
    boards = [
        _board(sources[each.kind], [next(names[demand]) for demand in each.pieces], settings)
        for each in laid
    ]
    over = Fraction(layout.cost - layout.cost_bound, layout.cost)
    return SectionPlan(section, tuple(sorted(boards, key=_in_order)), too_long, layout.proven, over)


def _in_order(board: Board) -> tuple[bool, bool, int, Fraction, Fraction]:
    """Left-overs first, then the rack, then what has to be bought; the longest piece first."""
    lot = board.lot
    return (
        lot is None,
        lot is not None and not lot.leftover,
        0 if lot is None else lot.number,
        -board.inches,
        board.left,
    )


def _gathered(job: Job, boards: tuple[LaidBoard, ...]) -> tuple[LaidBoard, ...]:
    """Return *boards* with pieces moved off the emptiest where others have room, so that one long end is left."""

    def free(board: LaidBoard) -> int:
        return job.kinds[board.kind].capacity - sum(
            job.demands[piece].weight for piece in board.pieces
        )

    todo = list(boards)
    if len(todo) < 2:
        return boards
    target = max(range(len(todo)), key=lambda k: free(todo[k]))
    for piece in sorted(todo[target].pieces, key=lambda p: job.demands[p].weight):
        if len(todo[target].pieces) == 1:
            break
        homes = [
            k
            for k, board in enumerate(todo)
            if k != target and free(board) >= job.demands[piece].weight
        ]
        if homes:
            home = min(homes, key=lambda k: free(todo[k]))
            todo[home] = replace(todo[home], pieces=(*todo[home].pieces, piece))
            rest = list(todo[target].pieces)
            rest.remove(piece)
            todo[target] = replace(todo[target], pieces=tuple(rest))
    return tuple(todo)


def _board(source: _Source, pieces: list[Wanted], settings: Settings) -> Board:
    """Return the board with its marks.

    Pieces too short to hold are cut first, while the board is long; then those with one saw
    setting together, square ends before the others; the longest first.
    """
    ordered = sorted(
        pieces,
        key=lambda each: (each.inches >= settings.shortest, each.setting, -each.inches, each.row),
    )
    at, laid = trim_of(source.lot, settings), []
    for each in ordered:
        laid.append(Piece(each.row, each.row_id, each.inches, at, each.label))
        at += each.inches + settings.kerf
    return Board(
        source.lot, source.start, source.inches, tuple(laid), max(source.inches - at, Fraction(0))
    )
