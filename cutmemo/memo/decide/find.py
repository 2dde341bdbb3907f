"""Which row is meant: by number, by id, by length, by what was done last, by what the saw shows."""

from __future__ import annotations

import re
from collections.abc import Sequence

from cutmemo.domain.cut import Change, Cut
from cutmemo.domain.doubts import Doubt, DoubtKind, doubt
from cutmemo.domain.length import Length
from cutmemo.errors import NothingToDo, UnknownCut
from cutmemo.language import Command, OnRow
from cutmemo.memo import events as e
from cutmemo.memo.commands import Context
from cutmemo.memo.projection import Projection
from cutmemo.memo.rows import Row, RowState
from cutmemo.memo.state import MemoState


def row_of(state: MemoState, name: str) -> Row:
    """Return the row with this number or id. Raises :class:`UnknownCut`."""
    row = state.rows.get(name)
    if row is None and name.isdecimal() and len(name) < 10:
        row = state.rows.numbered(int(name))
    if row is None:
        raise UnknownCut(name)
    return row


def last_called(state: MemoState, context: Context) -> Row:
    """Return the row this station called, corrected or answered last, struck ones left out.

    Raises :class:`NothingToDo` where there is none.
    """
    mine = [
        row
        for row in state.rows.values()
        if row.station == context.station and row.state != "struck"
    ]
    if not mine:
        raise NothingToDo(doubt(DoubtKind.NO_CALL_YET))
    return max(mine, key=lambda row: (row.called, row.number))


def struck_behind(state: MemoState, row: Row, context: Context) -> Row | None:
    """Return the last row that this station called behind *row* and that was struck, if any."""
    struck = [
        each
        for each in state.rows.values()
        if each.station == context.station
        and each.state == "struck"
        and (each.called, each.number) > (row.called, row.number)
    ]
    return max(struck, key=lambda each: (each.called, each.number), default=None)


def last_single(state: MemoState, context: Context) -> Row:
    """Return the last row, unless it came with an assembly: its other rows would stay as they
    were.
    """
    row = last_called(state, context)
    if row.assembly_id:
        raise NothingToDo(doubt(DoubtKind.LAST_WAS_AN_ASSEMBLY, title=row.assembly))
    return row


def of_length(state: MemoState, length: Length) -> Row:
    """Return the one row that is of this length, or that asks and may be.

    Raises :class:`NothingToDo` for none or several.
    """
    rows = rows_of_length(state, length)
    if not rows:
        raise NothingToDo(doubt(DoubtKind.NO_ROW_OF_LENGTH, length=length))
    if len(rows) > 1:
        numbers = ", ".join(str(row.number) for row in rows)
        raise NothingToDo(doubt(DoubtKind.SEVERAL_ROWS_OF_LENGTH, rows=numbers, length=length))
    return rows[0]


def rows_of_length(state: MemoState, length: Length) -> list[Row]:
    """Return the rows to cut that are of *length*, and those that ask and may be."""
    return [
        row
        for row in state.rows.values()
        if row.state in ("open", "doubtful")
        and any(cut.length == length for cut in (row.cut, *row.readings))
    ]


def of_piece(state: MemoState, piece: str) -> Row:
    """Return the one open row of this piece. Raises :class:`NothingToDo` for none or several.

    A kind of it called later counts too: behind a ridge and a ridge board, either is the ridge.
    """
    alive = [row for row in state.rows.values() if row.state in ("open", "doubtful")]
    called = max((row.called for row in alive if row.cut.piece == piece), default=None)
    if called is None:
        raise NothingToDo(doubt(DoubtKind.NO_ROW_OF_PIECE, piece=piece))
    rows = [
        row
        for row in alive
        if row.cut.piece == piece or (row.called > called and is_kind_of(row.cut.piece, piece))
    ]
    return _only(rows, piece)


def latest_of_piece(state: MemoState, piece: str) -> Row:
    """Return the open row of this piece, or of a kind of it, that was called last. Raises
    :class:`NothingToDo` where there is none.
    """
    rows = [
        row
        for row in state.rows.values()
        if row.state in ("open", "doubtful") and is_kind_of(row.cut.piece, piece)
    ]
    if not rows:
        raise NothingToDo(doubt(DoubtKind.NO_ROW_OF_PIECE, piece=piece))
    return max(rows, key=lambda row: (row.called, row.number))


def of_words(state: MemoState, words: str, struck: bool = False) -> Row:
    """Return the one row to cut, or the one *struck*, whose call has all of *words*, or whose piece
    and place have. Raises :class:`NothingToDo` for none or several.
    """
    rows = rows_of_words(state, words, ("struck",) if struck else ("open", "doubtful"))
    return _only(rows, words)


def _only(rows: Sequence[Row], name: str) -> Row:
    """Return the one of *rows*, which are called *name*. Raises :class:`NothingToDo` for none or
    several.
    """
    if not rows:
        raise NothingToDo(doubt(DoubtKind.NO_ROW_OF_PIECE, piece=name))
    if len(rows) > 1:
        numbers = ", ".join(str(row.number) for row in rows)
        raise NothingToDo(doubt(DoubtKind.SEVERAL_ROWS_OF_PIECE, rows=numbers, piece=name))
    return rows[0]


def rows_of_words(state: MemoState, words: str, states: Sequence[RowState]) -> list[Row]:
    """Return the rows in one of *states* whose call, piece and place have all of *words*."""
    wanted = {_stem(word) for word in words.split()}
    return [row for row in state.rows.values() if row.state in states and wanted <= _words_of(row)]


def _words_of(row: Row) -> set[str]:
    """Return the words of the call of *row*, and of what it is and where it goes."""
    cut = row.cut
    said = " ".join(
        filter(None, (row.said, cut.piece, cut.place, cut.note, str(cut.section or "")))
    )
    return {_stem(word) for word in re.findall(r"[\w']+", said.lower())}


def _stem(word: str) -> str:
    """Return *word* without the end of a plural."""
    return word[:-1] if len(word) > 3 and word.endswith("s") and not word.endswith("ss") else word


def is_kind_of(kind: str | None, piece: str) -> bool:
    """Return whether *piece* is among the words of *kind*: rafter in hip rafter."""
    return f" {piece} " in f" {kind} "


def named(state: MemoState, said: OnRow, context: Context) -> Row:
    """Return the row that is named: by its number, its length or its piece, or the one called last.

    Raises :class:`UnknownCut` and :class:`NothingToDo`; the latter too where the row is not what it
    is said to be no longer.
    """
    if said.words:
        row = of_words(state, said.words, said.intent == Command("put back"))
    elif said.piece is not None:
        row = (latest_of_piece if said.latest else of_piece)(state, said.piece)
    elif said.length is not None:
        row = of_length(state, said.length)
    elif said.row is None:
        row = last_single(state, context)
    else:
        row = row_of(state, str(said.row))
    for cut in row.readings or (row.cut,):
        if said.was.applied(cut) != cut:
            raise NothingToDo(_is_not(row, cut, said.was))
    return row


def _is_not(row: Row, cut: Cut, was: Change) -> Doubt:
    """Return that *row*, which is *cut*, is not what it was said to be."""
    if was.count is not None:
        return doubt(DoubtKind.NOT_SO_MANY, row=row.number, count=cut.count)
    if was.length is not None:
        return doubt(DoubtKind.NOT_THAT_LONG, row=row.number, length=cut.length)
    now = next(str(getattr(cut, field) or "") for field in was.named())
    kind = DoubtKind.NOT_WHAT_IT_IS if now else DoubtKind.NOT_SAID
    return doubt(kind, row=row.number, now=now)


def at_saw(state: MemoState, row_id: str | None, context: Context) -> Row:
    """Return the row named, or the one the saw is offered. Raises :class:`NothingToDo`."""
    if row_id is not None:
        return row_of(state, row_id)
    offered, going_on = state.to_cut(context.now), state.going_on(context.now)
    if context.in_hand is not None:
        shown = [row for row in offered if row.id == context.in_hand]
        going_on = [row for row in going_on if row.id == context.in_hand]
        if offered and not shown and not going_on:
            raise NothingToDo(doubt(DoubtKind.PLANNING_UNDERWAY))
        offered = shown
    if not offered and going_on:
        raise NothingToDo(doubt(DoubtKind.MAY_GO_ON, row=going_on[0].number))
    if not offered:
        held = bool(state.open_rows())
        raise NothingToDo(doubt(DoubtKind.ALL_ON_HOLD if held else DoubtKind.NOTHING_AT_SAW))
    return offered[0]


def question(state: MemoState, context: Context) -> Row | None:
    """Return the row to which an answer goes that names none: the one shown, or the last that
    asked.
    """
    shown = state.rows.get(context.shown_question or "")
    if shown is not None and shown.state == "doubtful":
        return shown
    return max(state.of_state("doubtful"), key=lambda row: row.touched, default=None)


def asking(state: MemoState, row_id: str | None, context: Context) -> Row:
    """Return the row named, or that of the question. Raises :class:`NothingToDo`."""
    if row_id is not None:
        return row_of(state, row_id)
    row = question(state, context)
    if row is None:
        raise NothingToDo(doubt(DoubtKind.NO_QUESTION_OPEN))
    return row


def just_settled(memo: Projection, context: Context, within_seconds: float) -> bool:
    """Return whether this station answered a question so short a time ago: the next one is shown
    then.
    """
    for event in reversed(memo.log):
        if event.station != context.station:
            continue
        if (context.now - e.moment_of(event.at)).total_seconds() > within_seconds:
            return False
        if isinstance(event.payload, _SETTLED):
            return True
    return False


_SETTLED = (e.QuestionAnswered, e.AssemblyConfirmed, e.CutStruck)
