"""Orders that change nothing: read back, how many, what comes next, listen."""

from __future__ import annotations

from collections.abc import Sequence

from cutmemo.domain.cut import Section
from cutmemo.domain.doubts import DoubtKind, doubt
from cutmemo.errors import NothingToDo
from cutmemo.memo.commands import Context, Order
from cutmemo.memo.decide import find
from cutmemo.memo.decide.orders import order
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Decision, Left, Result
from cutmemo.memo.state import MemoState


@order("read back")
def read_back(memo: Projection, given: Order, context: Context) -> Decision:
    """Return the row in hand, away from the saw the last call, to be read out."""
    state = memo.state
    row = find.at_saw(state, None, context) if context.at_saw else find.last_called(state, context)
    return Decision(Result("read back"), (), (row.id,))


@order("play")
def play(memo: Projection, given: Order, context: Context) -> Decision:
    """Return the last call, to be played as it was heard."""
    return Decision(Result("play"), (), (find.last_called(memo.state, context).id,))


@order("what next")
def what_next(memo: Projection, given: Order, context: Context) -> Decision:
    """Return the row that comes after the one in hand, to be read out."""
    following = memo.state.to_cut(context.now)[1:2]
    if not following:
        return Decision(Result("told", topic="what next"))
    return Decision(Result("read back", topic="what next"), (), (following[0].id,))


@order("listen", "pause")
def listen(memo: Projection, given: Order, context: Context) -> Decision:
    """Return that listening is to begin, or to stop."""
    return Decision(Result(given.verb))


@order("total")
def total(memo: Projection, given: Order, context: Context) -> Decision:
    """Return that the sums are to be told."""
    return Decision(Result("told", topic="totals"))


@order("acknowledge")
def acknowledge(memo: Projection, given: Order, context: Context) -> Decision:
    """Return that somebody has understood."""
    return Decision(Result("told", topic="understood"))


@order("how many")
def how_many(memo: Projection, given: Order, context: Context) -> Decision:
    """Return that what is left is to be told: of all, or of the piece and the size that are named.

    Raises :class:`NothingToDo` where no row and no board is of it.
    """
    if given.piece is None and given.section is None and not given.words:
        return Decision(Result("told", topic="how many"))
    return how_many_of(memo, [given])


def how_many_of(memo: Projection, asked: Sequence[Order]) -> Decision:
    """Return what is left of all that is *asked* about. Raises :class:`NothingToDo` where nothing
    is of it.
    """
    left = tuple(dict.fromkeys(each for order in asked for each in _left(memo.state, order)))
    if not left:
        names = {
            " ".join(str(part) for part in (each.section, each.piece, each.words) if part): None
            for each in asked
        }
        raise NothingToDo(doubt(DoubtKind.NO_ROW_OF_PIECE, piece=" or ".join(names)))
    result = Result("told", verb="how many", topic="left of", left=left)
    return Decision(result)


def _left(state: MemoState, asked: Order) -> list[Left]:
    """Return what is left of the piece that is *asked* about, of each kind of it, or of the size.

    A size said without "treated" or a material is asked of each that there is.
    """
    size, piece = asked.section, asked.piece
    if asked.words:
        rows = find.rows_of_words(state, asked.words, ("open", "doubtful", "cut"))
        return [Left(asked.words, None, tuple(rows))] if rows else []
    rows = [
        row
        for row in state.rows.values()
        if row.state != "struck" and (size is None or _is_size(row.cut.section, size))
    ]
    if piece is not None:
        rows = [row for row in rows if find.is_kind_of(row.cut.piece, piece)]
        names = dict.fromkeys(row.cut.piece for row in rows)
        return [
            Left(name, size, tuple(row for row in rows if row.cut.piece == name)) for name in names
        ]
    lots = [lot for lot in state.rack.lots if size and _is_size(lot.section, size)]
    sizes = dict.fromkeys([*(row.cut.section for row in rows), *(lot.section for lot in lots)])
    return [
        Left(
            None,
            each,
            tuple(row for row in rows if row.cut.section == each),
            tuple(lot for lot in lots if lot.section == each),
        )
        for each in sizes
    ]


def _is_size(section: Section | None, size: Section) -> bool:
    """Return whether *section* is *size*, which may leave off "treated" and the material."""
    if section is None:
        return False
    same = (section.thickness, section.width, section.metric) == (
        size.thickness,
        size.width,
        size.metric,
    )
    said = not size.material or section.material == size.material
    return (
        (same or (size.thickness, size.width) == (None, None))
        and said
        and (section.treated or not size.treated)
    )
