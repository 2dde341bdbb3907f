"""Every label, title, hint and sentence of the screens."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from typing import Literal

from cutmemo.domain.angles import saw_degrees
from cutmemo.domain.cut import Cut, End
from cutmemo.domain.length import ROUNDED
from cutmemo.domain.settings import Settings
from cutmemo.wording.lengths import setting_shown
from cutmemo.wording.results import ORDERS
from cutmemo.wording.verbs import ORDER_KEYS

Listening = Literal["off", "opening", "on", "talk"]

TITLE = "cutmemo"
SIGNS = {"doubtful": "?", "open": "·"}
"""What stands before a row, by its state."""
INCH_MARK = '"'
HELD, AGAIN, GOOD, ASKS, WRONG = "‖", "!", "✓", "?", "✗"
GOES_ON = "…"
"""Before a row of which more may be said: it is not offered at the saw yet."""

# --- keys -----------------------------------------------------------------------------------------

TYPE, LISTEN, TALK = "Type", "Listen", "Talk"
CUT_ONE, CUT_ALL = "Cut one", "Cut all"
UNDO, REDO, STRIKE, PUT_BACK, ORDER = "Undo", "Redo", "Strike", "Put back", "Order"
SAW, BOARDS, HANDOFF, HELP, QUIT, BACK = "Saw", "Boards", "Hand-off", "Help", "Quit", "Back"
PRINT = "Print the boards"
SAY_AGAIN, VOICE, DARK_OR_LIGHT, SKIP, HOLD = "Say again", "Voice", "Dark/light", "Skip", "Hold"
AS_HEARD, TROUBLE, OTHER_PIECE = "As heard", "Trouble", "The other piece"
ALL_RIGHT, NOT_RIGHT = "All right", "Not right"
EYES = "Eyes on the blade."
NAMES_OF_KEYS = {
    "space": "Space",
    "enter": "Enter",
    "escape": "Esc",
    "tab": "Tab",
}
"""How a key is called on a bar, where that is not the letter on it."""
SAW_KEYS = (
    ("c", "cut"),
    ("u", "undo"),
    ("t", "trouble"),
    *ORDER_KEYS,
    ("w", "hold"),
    ("l", "listen"),
    ("s", "back"),
    ("", EYES),
)
GIVEN_UP = "lwku"
"""Keys that go from a bar of one row, the first first."""
BOARD_KEYS = (
    ("c", "cut the next piece"),
    ("u", "undo"),
    ("P", "print"),
    ("p", "back"),
    ("", EYES),
)


def choice(number: int) -> str:
    """Return what the key of a choice does."""
    return f"Answer {number}"


# --- the memo -------------------------------------------------------------------------------------

COLUMNS = ("row", "left", "length", "piece", "ends", "place")
ENTRY_HINT = "t to type: 4 @ 14-5/8 2x6 header   (Enter takes it, Esc leaves)"
NO_CALL = "No call yet.\nPress t and type a length, or l to listen."
NO_ROW = "No row is under the bar."
NO_PIECE = "No piece is in hand or was just cut."
NO_RECORDING = (
    "No sound of this call is kept: it was typed, or heard before this screen was opened."
)
NO_OUTPUT = "Nothing here can play sound."
NO_READ_BACK = "Nothing here can play sound. Read-back stays off."
_LISTENING: dict[Listening, str] = {
    "off": "○ NOT LISTENING",
    "opening": "◌ OPENING",
    "on": "● LISTENING",
    "talk": "● TALK, m ENDS",
}


def ear(listening: Listening, reading_back: bool) -> str:
    """Return whether the microphone is open, and whether calls are read back."""
    return f" {_LISTENING[listening]}{' ♪ voice' if reading_back else ''} "


def settings_line(settings: Settings, order: str) -> str:
    """Return the settings that decide how a call is read, each by an example, and the order of the
    rows.
    """
    pairs = {"ask": "ask", "feet": "6' 2\"", "inches": '62"'}[settings.pairs]
    bare = {"ask": "ask", "no": "refuse", "eighths": "92-5/8", "sixteenths": "92-5/16"}
    return " · ".join(
        [
            f"6-2: {pairs}",
            f"92-5: {bare[settings.bare]}",
            f"tape 1/{settings.fineness}",
            f"kerf {setting_shown('kerf', settings).rstrip(INCH_MARK)}",
            ORDERS[order],
        ]
    )


def row_head(number: int | str, state: str) -> str:
    """Return the number and the state of a row."""
    return f"Row {number} asks" if state == "doubtful" else f"Row {number} · {state}"


def quoted(said: str) -> str:
    """Return the words of a call."""
    return f"“{said}”"


def caution(text: str) -> str:
    """Return what to mind about a row."""
    return f"! {text}"


def question(text: str) -> str:
    """Return why a row asks."""
    return f"? {text}"


def partial(words: str) -> str:
    """Return the words heard so far."""
    return f"… {words}" if words else ""


def pieces(count: int | str) -> str:
    """Return how many pieces are left, for the table."""
    return f"{count}×"


def cut_again(reason: str) -> str:
    """Return why a piece is cut again, for the table."""
    return f"again: {reason}"


def short_points(ends: str) -> str:
    """Return the ends of a piece with their points in two letters."""
    return ends.replace(" long point", " LP").replace(" short point", " SP")


def read_back_is(on: bool) -> str:
    """Return whether calls are read back."""
    return "Read-back is on." if on else "Read-back is off."


def listening_failed(error: object) -> str:
    """Return that listening broke off for a reason nobody foresaw."""
    return f"Listening failed: {error}. Typing goes on."


# --- the saw --------------------------------------------------------------------------------------

MAX_NAMED = 4
"""So many rows that wait are named."""
NOTHING_TO_CUT = "Nothing is open to cut."
STOP_BLOCK = "CHECK THE STOP BLOCK"
_AT_SAW: dict[Listening, str] = {
    "off": "",
    "opening": "◌ opening",
    "on": "● LISTENING for orders",
    "talk": "● LISTENING, m ends",
}


def saw_keys(listening: Listening, width: int | None = None) -> tuple[tuple[str, str], ...]:
    """Return the keys at the saw, behind whether the microphone is open; for one row of *width*
    cells where it is given.

    What the row has no room for goes from the bar, not from the keyboard.
    """
    mark = _AT_SAW[listening]
    if width is None:
        return (("", mark), *SAW_KEYS) if mark else SAW_KEYS
    keys = [pair for pair in SAW_KEYS if pair[0]]
    signs = [("", mark[0])] if mark else []
    for given_up in GIVEN_UP:
        if sum(len(key) + len(label) + 3 for key, label in [*signs, *keys]) - 2 <= width:
            break
        keys = [pair for pair in keys if pair[0] != given_up]
    return (*signs, *keys)


def then(cut: str) -> str:
    """Return what comes after the piece in hand."""
    return f"then  {cut}"


def left_of(left: int | str, count: int | str) -> str:
    """Return how many pieces of a row are left."""
    return "1 piece" if count == 1 else f"{left} of {count} left"


def sawn_at(length: str) -> str:
    """Return the length to saw where the crew's word for a touch is worth a number."""
    return f"saw {length}"


def same_length(count: int, numbers: Sequence[int]) -> str:
    """Return how many pieces of other rows have this length."""
    return f"{count} more of this length in row {', '.join(map(str, numbers))}"


def again(reasons: Sequence[str]) -> str:
    """Return that a piece is cut again, and why."""
    return f"AGAIN: {', '.join(reasons)}"


def waiting(
    asking: Sequence[int], held: Sequence[int], going_on: Sequence[int], saw_settings: int
) -> str:
    """Return which rows are open and not offered, and how many settings of the saw are to come (0:
    not told).
    """
    parts = [
        f"? to answer first: {_rows(asking)}" if asking else "",
        f"‖ on hold: {_rows(held)}" if held else "",
        f"{GOES_ON} more may be said: {_rows(going_on)}" if going_on else "",
        f"{saw_settings} saw settings to go" if saw_settings else "",
    ]
    return " · ".join(part for part in parts if part)


def _rows(numbers: Sequence[int]) -> str:
    """Return some rows by their numbers, the first of many by name."""
    named = ", ".join(str(number) for number in numbers[:MAX_NAMED])
    more = f" and {len(numbers) - MAX_NAMED} more" if len(numbers) > MAX_NAMED else ""
    return f"row{'' if len(numbers) == 1 else 's'} {named}{more}"


def from_board(board: str, on_rack: bool, trim: str) -> str:
    """Return which board a piece comes off, and what is trimmed off its end before (empty:
    nothing).

    No mark is named: what is cut next is measured from the end of the board as it is now.
    """
    first = f" · trim {trim} off the end first" if trim else ""
    return f"{'from' if on_rack else 'not on the rack:'} {board}{first}"


def degrees(angle: Fraction, exact: bool) -> str:
    """Return an angle in degrees and quarters, marked where it was rounded to them."""
    whole, part = divmod(angle, 1)
    return f"{'' if exact else ROUNDED}{whole}{f'-{part}' if part else ''}°"


def end_label(end: End) -> str:
    """Return one end of a piece, a pitch with its degrees for the saw."""
    if end.kind == "square":
        return SQUARE_END
    at_saw = saw_degrees(end)
    return " ".join([short_points(str(end)), *([degrees(*at_saw)] if at_saw else [])])


def both_ends(cut: Cut) -> str:
    """Return the ends of a piece that are not square; empty where both are."""
    first, second = cut.ends
    if first == second:
        return f"{BOTH_ENDS} {end_label(first)}" if cut.angled() else ""
    names = ((LEFT_END, first), (RIGHT_END, second))
    return " · ".join(f"{name} {end_label(end)}" for name, end in names if end.kind != "square")


SQUARE_END, LEFT_END, RIGHT_END, BOTH_ENDS = "square", "left", "right", "both ends"

# --- boards ---------------------------------------------------------------------------------------

NOTHING_OPEN = "Nothing is open."
EMPTY_RACK = "Nothing. Say “ten two by four sixteen footers”, or type 10 2x4 16 footers."
TO_BUY, ON_THE_RACK = "TO BUY", "ON THE RACK"
PLANNING = "Planning the boards…"
PLANNED = "Best for what is called so far."
PROVING = "Best found for what is called so far. Looking for the proof…"
PRINTS_BETTER = "P prints it, and its boards keep their plans."
PRINTED_AT_MEMO = f"At the screen of the memo {PRINTS_BETTER}"
NOT_PLANNED = "Nothing to cut here yet: the boards are being planned, or nothing is open."
ONE_BY_ONE = "By board the pieces are cut one by one: c."


def next_piece(board: str, on_rack: bool, mark: str, row: int, label: str) -> str:
    """Return which board the next piece comes off, at which mark (empty: the length is measured),
    and what it is.
    """
    at = f" · cut at {mark}" if mark else ""
    return f"{from_board(board, on_rack, '')}{at} · row {row} {label}".rstrip()


# --- trouble --------------------------------------------------------------------------------------

TROUBLES = {
    "short": "too short: cut it again",
    "long": "too long: trim it",
    "wrong angle": "wrong angle: cut it again",
    "bad stock": "bad stock: cut it again",
}
NO_TROUBLE = "no trouble"


def trouble_with(was_cut: bool, row: int, length: str) -> str:
    """Return the head of the question about a piece."""
    return f"TROUBLE with {_piece(was_cut, row, length)}"


def not_that_one(was_cut: bool, row: int, length: str) -> str:
    """Return what the key does that turns to the other piece."""
    return f"no, {_piece(was_cut, row, length)}"


def _piece(was_cut: bool, row: int, length: str) -> str:
    which = "the piece just cut" if was_cut else "the piece in hand"
    return f"{which}: row {row}, {length}"


# --- asking once ----------------------------------------------------------------------------------

DO_IT = "Do it"


def confirm_keys(yes: str) -> tuple[tuple[str, str], ...]:
    """Return the two keys of a question that is asked before something is done."""
    return (("enter", yes), ("escape", "no, leave it"))


def strike_asks(row: int | str, cut: str) -> tuple[str, str]:
    """Return the question before a row is struck, and what yes does."""
    return f"Strike row {row}: {cut}?", "strike it"


def clear_all_asks(row: int | str, cut: str, left: int | str) -> tuple[str, str]:
    """Return the question before all pieces of a row are cleared, and what yes does."""
    return f"All {left} left of row {row} cut: {cut}?", f"yes, all {left} are cut"


QUIT_ASKS = ("Leave cutmemo? Everything is kept.", "leave")


# --- pages ----------------------------------------------------------------------------------------

SET_ADDED = "All of it is on the list."
SET_ASK_KEYS = (("1", "all of it is right"), ("x", "it is not: take it back"), ("escape", "later"))
SET_KEYS = (("escape", "go on"), ("x", "take it back"))
PAGE_KEYS = (("escape", "leave this page"),)
TYPING_KEYS = (("enter", "take the call"), ("escape", "leave the line"))
NO_TERMINAL = (
    "The screen needs a terminal. Without one: cutmemo say, list, clear … (cutmemo --help)."
)
DUMB_TERMINAL = (
    "This terminal cannot show a screen (TERM=dumb). "
    "In it: cutmemo say, list, clear … (cutmemo --help)."
)
HELP_KEYS_TITLE = "KEYS"
HELP_KEYS = (
    ("t", "type a call"),
    ("l", "listen, or stop"),
    ("m", "talk; m again ends"),
    ("c", "one piece is cut"),
    ("C", "all of the row *"),
    ("1 2 3", "answer with a choice"),
    ("u", "undo"),
    ("r", "redo"),
    ("x", "strike the row *"),
    ("b", "put back"),
    ("k", "skip: cut it last"),
    ("w", "hold, or off hold"),
    ("o", "next order"),
    ("s", "the saw view"),
    ("p", "the boards"),
    ("P", "print the boards"),
    ("e", "the hand-off"),
    ("a", "hear the call again"),
    ("y", "say the last again"),
    ("v", "read-back on or off"),
    ("d", "dark or light"),
    ("h ?", "this help"),
    ("q", "leave *"),
    ("Esc", "back"),
)
HELP_KEYS_NOTE = """\
* asks once: Enter does it, Esc leaves it.
Esc leaves the line before 1 2 3 answer; in it, type a choice and Enter.
Keys on a bar can be tapped."""
HELP_PAGE = """\
HOW TO SAY IT
  one oh one and a half            101-1/2
  four at fourteen and five eighths, two by six header
  101-1/2, 102-1/8                 typed with commas: a row for each
  eight foot two and three sixteenths
  no, make that thirty six         corrects the last call
  make it three · one more · scratch that · put it back
  cut · next                       clears one piece
  ten two by four sixteen footers  puts boards on the rack
  rafters span twenty four foot pitch seven twelve overhang twelve
  wall twelve foot high ninety seven and an eighth
  stairs rise one oh seven
A call with two meanings asks, and counts only once you answer.

AT THE SAW (s)
  c or space cuts one, t tells trouble.
  l listens for orders only: cut · next · put it back · how many left
  what's next · read it back · cut short · bad stock · skip it
  hold it · release
  Guards work and are never pinned back.
  Hands stay 6 in. or more from the blade.
  A piece too short to hold is clamped, or cut off a longer one.
  Never freehand. Eyes and ears protected. Measure twice.
  No talking to the memo in the middle of a cut.
  Arithmetic only: plans, local code, the inspector, a licensed designer
  and the saw's manual govern."""
