"""What came of a command, in one line; what an event did; the sums."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from fractions import Fraction

from cutmemo.domain.cut import Cut
from cutmemo.domain.settings import Settings
from cutmemo.framing import Assembly
from cutmemo.memo import events as e
from cutmemo.memo.chain import Gap
from cutmemo.memo.projection import Projection
from cutmemo.memo.result import Happened, Left, Result
from cutmemo.memo.rows import Row, saw_settings
from cutmemo.memo.state import MemoState
from cutmemo.planning.rack import Lot
from cutmemo.wording.boards import KEPT_AS_PRINTED, LAID_ANEW
from cutmemo.wording.cuts import describe
from cutmemo.wording.doubts import explain
from cutmemo.wording.errors import RESCUE, last_copy
from cutmemo.wording.framing import remark_in_words
from cutmemo.wording.lengths import board_length, setting_is
from cutmemo.wording.loads import coming, goods_shown, has_arrived, was_refused, was_sent
from cutmemo.wording.memo import EACH_OF_SEVERAL
from cutmemo.wording.verbs import TOLD

TOLD_ONE_BY_ONE = 4
"""Of more cuts than this on one line only their number is told."""
ORDERS = {"called": "as called", "longest": "longest first", "saw": "by saw setting"}
"""How each order of the rows is called."""


@dataclass(frozen=True, slots=True)
class Told:
    """A result with its sentence."""

    result: Result
    text: str
    cautions: tuple[str, ...] = ()
    """What to mind about its rows."""

    @property
    def happened(self) -> Happened:
        """Return what happened, as a code."""
        return self.result.happened

    @property
    def row(self) -> Row | None:
        """Return the row it is about, where it is about one."""
        return self.result.row

    @property
    def rows(self) -> tuple[Row, ...]:
        """Return every row it is about that a person has to look at."""
        if self.result.listed:
            return self.result.rows
        return (self.result.row,) if self.result.row is not None else ()

    @property
    def assembly(self) -> Assembly | None:
        """Return the assembly that was added, where one was."""
        return self.result.assembly


def row_cautions(result: Result, memo: Projection) -> list[str]:
    """Return what to mind about the rows of *result*, each sentence once."""
    cautions = dict.fromkeys(each for row in result.rows for each in row.cautions)
    return [explain(each, memo.state.settings) for each in cautions]


def tell(result: Result, memo: Projection) -> Told:
    """Return *result* with its sentence, in the figures of the crew of *memo*."""
    sentence = _template(result, memo) or _SENTENCES[result.happened](result, memo)
    return Told(result, sentence, tuple(row_cautions(result, memo)))


def _template(result: Result, memo: Projection) -> str:
    """Return what came of an order that has a sentence of its own; empty for others."""
    told = TOLD.get(result.verb, "")
    if not told or not result.rows or result.happened in ("undone", "pause"):
        return ""
    row = result.rows[0]
    cut = _shown(row.cut, memo)
    return told.format(which=_row_and_cut(row, memo), row=row.number, cut=cut, left=row.left)


def _shown(cut: Cut, memo: Projection) -> str:
    return describe(cut, memo.state.settings)


def _row_and_cut(row: Row, memo: Projection) -> str:
    return f"Row {row.number}: {_shown(row.cut, memo)}"


def _stands(row: Row, memo: Projection) -> str:
    """Return a row that counts, with what to mind about it."""
    cautions = [explain(each, memo.state.settings) for each in row.cautions]
    return " ".join([f"{_row_and_cut(row, memo)}.", *cautions])


def _asks(row: Row, memo: Projection) -> str:
    """Return a row that asks, with why."""
    doubts = " ".join(explain(each, memo.state.settings) for each in row.doubts)
    return f"{_shown(row.cut, memo)}? {doubts}"


def _added(result: Result, memo: Projection) -> str:
    if result.listed:
        return _list(result.rows, result.marked, memo)
    (row, *_) = result.rows
    if row.assembly_id and result.assembly is not None:
        return _assembly(result.assembly, result, memo.state.settings)
    following = "Next: " if result.topic == "what next" else ""
    if following:
        return f"Next: row {row.number}, {_shown(row.cut, memo)}."
    return _asks(row, memo) if row.state == "doubtful" else _stands(row, memo)


def _list(rows: Sequence[Row], marked: bool, memo: Projection) -> str:
    """Return in one line what came of several cuts."""
    if len(rows) > TOLD_ONE_BY_ONE:
        asks = sum(row.state == "doubtful" for row in rows)
        return f"{len(rows)} cuts: {len(rows) - asks} on the list, {asks} ask{'s' if asks == 1 else ''}."  # noqa: E501 - a sentence is not cut
    if marked:
        each = [_asks if row.state == "doubtful" else _stands for row in rows]
        return " ".join(say(row, memo) for say, row in zip(each, rows, strict=True))
    return " ".join([*(f"{_shown(row.cut, memo)}?" for row in rows), EACH_OF_SEVERAL])


def _assembly(assembly: Assembly, result: Result, settings: Settings) -> str:
    title = remark_in_words(assembly.title, settings)
    pieces, rows = sum(cut.count for cut in assembly.cuts), len(result.rows)
    listed = f"{_many(pieces, 'piece')} in {_many(rows, 'row')}"
    first = result.rows[0]
    if first.state == "doubtful":
        doubts = " ".join(explain(each, settings) for each in first.doubts)
        return f"{title}: {listed}? {doubts}"
    return f"{title}: {listed}."


def _many(count: int, name: str, names: str = "") -> str:
    return f"{count} {name if count == 1 else names or name + 's'}"


def _answered(result: Result, memo: Projection) -> str:
    (row, *_) = result.rows
    if row.assembly_id:
        told = f"{row.assembly}: all of it is on the list."
    else:
        told = f"Row {row.number} is {_shown(row.cut, memo)}."
    return f"Answer taken: {told[0].lower()}{told[1:]}" if result.as_answer else told


def _cleared(result: Result, memo: Projection) -> str:
    (row, *_) = result.rows
    left = f"{row.left} left." if row.left else "Done."
    block = " Check the stop block." if row.stop_block_due else ""
    return f"{_row_and_cut(row, memo)} cut. {left}{block}"


def _spoiled(result: Result, memo: Projection) -> str:
    (row, *_) = result.rows
    then = "trim it and clear it" if result.reason == "long" else "cut it again"
    return f"{_row_and_cut(row, memo)}, {result.reason}: {then}. {row.left} to cut."


def _taken_back(how: str) -> Callable[[Result, Projection], str]:
    def told(result: Result, memo: Projection) -> str:
        if len(result.events) > TOLD_ONE_BY_ONE:
            return f"{how}: a list of {len(result.events)} cuts."
        return f"{how}: {'; '.join(describe_event(each, memo) for each in result.events)}."

    return told


def _set(result: Result, memo: Projection) -> str:
    state = memo.state
    if result.topic == "settings":
        return setting_is(result.setting, state.settings)
    changes = saw_settings(state.to_cut())
    told = f", {_many(changes, 'saw setting')}" if state.order == "saw" else ""
    return f"Order: {ORDERS[state.order]}{told}."


def _racked(result: Result, memo: Projection) -> str:
    return " ".join(f"On the rack: {describe_lot(lot, memo)}." for lot in result.lots)


def describe_lot(lot: Lot, memo: Projection) -> str:
    """Return boards in few words."""
    length = board_length(lot.inches, memo.state.settings)
    section = f"{lot.section} of " if lot.section is not None else ""
    return f"{lot.count} × {section}{length}"


def _load(result: Result, memo: Projection) -> str:
    """Return what came of a load."""
    (move, *_), settings = result.loads, memo.state.settings
    row = result.rows[0] if result.rows else None
    if result.happened == "sent":
        return was_sent(move, row, settings, result.topic == "new site")
    if result.happened == "arrived":
        return has_arrived(move, row, result.lots, settings)
    return was_refused(move, settings)


def _told(result: Result, memo: Projection) -> str:
    offered = memo.state.to_cut()
    match result.topic:
        case "totals":
            return totals(memo.state)
        case "understood":
            return "Understood."
        case "how many" if offered:
            first, pieces = offered[0], sum(row.left for row in offered)
            return f"{first.left} left of row {first.number}, {pieces} pieces in all."
        case "how many":
            return "Nothing is left to cut."
        case "left of":
            return " ".join(_left(each) for each in result.left)
    return "Nothing comes after this."


def _left(left: Left) -> str:
    """Return what is left of one piece or size, told apart: pieces to cut, and boards at hand."""
    still = [row for row in left.rows if row.state == "open"]
    asking = [row for row in left.rows if row.state == "doubtful"]
    name = " ".join(str(each) for each in (left.section, left.piece) if each)
    pieces, done = sum(row.left for row in still), sum(row.done for row in left.rows)
    inches = sum((row.cut.length.inches * row.left for row in still), Fraction(0))
    told = [f"{_many(pieces, 'piece')} left to cut"]
    if pieces:
        numbers = ", ".join(str(row.number) for row in still if row.left)
        told[0] += f" (row {numbers})" if len(still) == 1 else f" (rows {numbers})"
    if left.piece is None:
        told[0] += f", {float(inches / 12):.1f} ft" if pieces else ""
        feet = float(sum(lot.inches * lot.count for lot in left.lots) / 12)
        boards = sum(lot.count for lot in left.lots)
        told.append(
            f"{_many(boards, 'board')}, {feet:.1f} ft, on the rack"
            if boards
            else "no board on the rack"
        )
    held = sum(row.left for row in still if row.held)
    told += [f"{held} on hold"] if held else []
    told += [f"{done} cut"] if done else []
    told += [f"{_many(len(asking), 'row')} to answer"] if asking else []
    return f"{name}: {'; '.join(told)}."


_SENTENCES: dict[Happened, Callable[[Result, Projection], str]] = {
    "added": _added,
    "asked": _added,
    "changed": _added,
    "read back": _added,
    "set added": _added,
    "answered": _answered,
    "cleared": _cleared,
    "undone": _taken_back("Undone"),
    "redone": _taken_back("Done again"),
    "set": _set,
    "listen": lambda result, memo: "Listening.",
    "pause": lambda result, memo: "Not listening.",
    "told": _told,
    "racked": _racked,
    "printed": lambda result, memo: KEPT_AS_PRINTED,
    "released boards": lambda result, memo: LAID_ANEW,
    "sent": _load,
    "arrived": _load,
    "load refused": _load,
    "spoiled": _spoiled,
    "play": lambda result, memo: "Played again.",
}


def totals(state: MemoState) -> str:
    """Return the sums at the foot in one line."""
    sums = state.sums
    unsized = f" ({sums.unsized} no size)" if sums.unsized else ""
    on_hold = sum(row.left for row in state.of_state("open") if row.held)
    held = f" ({on_hold} on hold)" if on_hold else ""
    return (
        f"{sums.open_pieces} open{held} · {sums.cut_pieces} cut · {sums.doubtful} to answer"
        f" · {float(sums.open_inches / 12):.1f} lineal ft"
        f" · {float(sums.open_board_feet):.1f} board ft{unsized}"
    )


def describe_event(event: e.Event, memo: Projection) -> str:
    """Return what *event* did, in few words."""
    payload = event.payload
    match payload:
        case e.EventUndone() | e.EventRedone():
            how = "undone" if isinstance(payload, e.EventUndone) else "done again"
            meant = next((each for each in memo.log if each.id == payload.event), None)
            undoing = meant is not None and isinstance(meant.payload, e.EventUndone | e.EventRedone)
            return how if meant is None or undoing else f"{how}: {describe_event(meant, memo)}"
        case e.Unreadable():
            return "written by a newer cutmemo" if payload.newer else f"{event.kind}, damaged"
    row = memo.state.rows.get(getattr(payload, "row", "") or "")
    number = f"row {row.number} " if row is not None else ""
    return f"{event.kind} {number}{_what(payload, row, memo)}".strip()


def _what(payload: e.Payload, row: Row | None, memo: Projection) -> str:  # noqa: PLR0911 - one for each case
    """Return what *payload* is about: a cut, boards, or its own words."""
    load = isinstance(payload, e.Sent | e.Arrived | e.LoadRefused)
    cut = getattr(payload, "cut", None) or (row.cut if row is not None else None)
    if cut is not None and not load:
        return _shown(cut, memo)
    match payload:
        case e.AssemblyAdded():
            return payload.title
        case e.CallRefused():
            return payload.said
        case e.YardSet():
            return str(payload.section or "")
        case e.OrderSet():
            return payload.order
        case e.BoardsAdded() | e.BoardsChanged():
            return _boards(payload)
        case e.Sent() | e.Arrived() | e.LoadRefused():
            goods = goods_shown(payload.goods, memo.state.settings)
            return f"{goods}, from {payload.sender} to {payload.to}"
    return ""


def _boards(payload: e.BoardsAdded | e.BoardsChanged) -> str:
    """Return in few words what an event says of boards."""
    section = getattr(payload, "section", None)
    parts = [f"{payload.count} ×" if payload.count is not None else ""]
    parts.append(str(section) if section is not None else "")
    parts.append(f'{_plain(payload.inches)}"' if payload.inches is not None else "")
    parts += [f"bad from {_plain(begin)} to {_plain(end)}" for begin, end in payload.bad or ()]
    return " ".join(part for part in parts if part)


def _plain(inches: Fraction) -> str:
    return str(inches)


def ignored_call(words: str) -> str:
    """Return what to say of a call that was taken for noise; empty where nobody need know."""
    return f"Ignored as noise: “{words}”. Say it again." if words else ""


def lost(gap: Gap) -> str:
    """Return what is known of entries that are missing."""
    which = _many(gap.missing, "entry", "entries") if gap.missing is not None else "entries"
    verb, them = ("is", "it") if gap.missing == 1 else ("are", "them")
    begin, end = gap.before[:16].replace("T", " "), gap.behind[:16].replace("T", " ")
    between = f"between {begin} and {end}"
    where = between if begin and end else f"after {begin}" if begin else f"before {end}"
    at = f" at {gap.station}" if gap.station else ""
    copy = f", the copy {gap.copy} has {them}" if gap.copy else ""
    lost = "missing" if gap.missing is not None else "missing or out of order"
    return f"{which} {verb} {lost}{f' {where}' if begin or end else ''}{at}{copy}"


def marks(memo: Projection) -> list[str]:
    """Return what every screen says of entries that cannot be read or applied; mostly nothing."""
    damaged = sum(event.damaged for event in memo.state.unreadable)
    newer = len(memo.state.unreadable) - damaged
    found = []
    if newer:
        found.append(
            f"Written by a newer cutmemo: {_many(newer, 'entry', 'entries')} this one cannot read."
            " They are kept. Install the newer one to see them."
        )
    if damaged:
        found.append(
            f"Damaged: {_many(damaged, 'entry', 'entries')}. “cutmemo day” names them, {RESCUE}."
        )
    found += [f"{lost(gap)[0].upper()}{lost(gap)[1:]}. {RESCUE}." for gap in memo.gaps]
    if memo.last_copy:
        found.append(last_copy(memo.last_copy))
    found += coming(memo.state.moves)
    for event in memo.state.waiting:
        found.append(
            f"Waits for what it is about: {describe_event(event, memo)},"
            f" {event.who} at {event.station}."
        )
    return found
