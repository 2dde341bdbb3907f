"""Why a row of the memo asks, and why a command cannot be carried out."""

from __future__ import annotations

from cutmemo.domain.doubts import Doubt, DoubtKind, Field
from cutmemo.domain.settings import Settings
from cutmemo.wording.sentence import Sentence, length_of, number_of, template

EACH_OF_SEVERAL = "Several were called at once: is each of them right?"


def _cut_as_before(doubt: Doubt, settings: Settings) -> str:
    """Say what was cut before a correction, and ask whether to cut the new length as well."""
    count, add = number_of(doubt, "count"), number_of(doubt, "to_add")
    was = f"{count} {'was' if count == 1 else 'were'} cut as {length_of(doubt, 'length', settings)}"
    return f"{was}: add {add} of {length_of(doubt, 'new', settings)}?" if add else f"{was}."


def _no_such_reading(doubt: Doubt, settings: Settings) -> str:
    """Say how many choices a row has."""
    row, of, choice = (number_of(doubt, name) for name in ("row", "of", "choice"))
    return f"Row {row} has {of} {'choice' if of == 1 else 'choices'}; {choice} is none of them."


def _said_two_ways(doubt: Doubt, _: Settings) -> str:
    """Say what the readings differ in."""
    if doubt.about == {Field.LENGTH}:
        return "It is not clear which length is meant."
    if doubt.about == {Field.COUNT}:
        return "It is not clear how many are meant."
    return "This can mean more than one thing."


SENTENCES: dict[DoubtKind, Sentence] = {
    DoubtKind.HEARD_TWO_WAYS: template("Heard more than one way."),
    DoubtKind.SAID_TWO_WAYS: _said_two_ways,
    DoubtKind.ONE_OF_SEVERAL: template("Several were called at once: is this one right?"),
    DoubtKind.ASSEMBLY_BY_VOICE: template(
        "A whole set, called by voice: are all its measures right?"
    ),
    DoubtKind.ASKED_LONG_AGO: template(
        "Row {row} asked a while ago, so that settled nothing: choose on that row (by the key of "
        "its number), or say “row {row} is …” with its length."
    ),
    DoubtKind.PERHAPS_AN_ANSWER: template(
        "A new cut, or the answer to row {row}? If the answer, say no and choose on row {row}."
    ),
    DoubtKind.UNDER_AN_INCH_BY_VOICE: template(
        "Under an inch, by voice: if more was said, say no and call it again."
    ),
    DoubtKind.HEARD_RIGHT_AFTER: template("“{words}” was heard right after it."),
    DoubtKind.LOUD_RIGHT_AFTER: template("Something as loud right after it was not understood."),
    DoubtKind.HEARD_RIGHT_BEFORE: template("“{words}” was heard right before it."),
    DoubtKind.PERHAPS_A_REST: template("It may be the rest of row {row}."),
    DoubtKind.MAY_GO_ON: template(
        "Row {row} was called this moment and may go on: wait, or choose it."
    ),
    DoubtKind.CUT_AS_BEFORE: _cut_as_before,
    DoubtKind.WENT_ON_APART: template(
        "This call was taken back, and apart from that {person} at {station} went on with it:"
        " is it still to be cut?"
    ),
    DoubtKind.NO_CALL_YET: template("There is no call yet to correct."),
    DoubtKind.LAST_WAS_AN_ASSEMBLY: template(
        "The last call was a whole set ({title}): scratch that, and call it again."
    ),
    DoubtKind.NO_ROW_OF_LENGTH: template("No open row is {length}."),
    DoubtKind.LAST_ONE_STRUCK: template(
        "Row {struck} is struck: is the last one row {row}, or the one that was struck?"
    ),
    DoubtKind.SEVERAL_ROWS_OF_LENGTH: template(
        "Rows {rows} have that length: name one by its number, “row …”."
    ),
    DoubtKind.NO_ROW_OF_PIECE: template("No open row is called {piece}."),
    DoubtKind.SEVERAL_ROWS_OF_PIECE: template(
        "Rows {rows} are called {piece}: name one by its number, “row …”."
    ),
    DoubtKind.NOT_WHAT_IT_IS: template(
        "Row {row} is {now}: name the row that is meant, as in “row 4 is 2x6”."
    ),
    DoubtKind.NOT_SAID: template(
        "Of row {row} neither was said: name the row that is meant, as in “row 4 is 2x6”."
    ),
    DoubtKind.NOT_THAT_LONG: template(
        "Row {row} is {length}: name the row that is meant, as in “row 4 58-3/4”."
    ),
    DoubtKind.NOT_SO_MANY: template(
        "Row {row} is {count} pieces already: say “make it …” for how many in all, or “… more”."
    ),
    DoubtKind.FEWER_LEFT: template("Row {row} has only {left} left to cut."),
    DoubtKind.OR_OF_A_ROW: template(
        "It may be said of a row on the list as well: to change that, answer no and say “row …”."
    ),
    DoubtKind.ENDS_WITHOUT_LENGTH: template(
        "These are ends without a length: call it with one, or say “no, …” and the ends to change "
        "the last row."
    ),
    DoubtKind.CHEEK_WITHOUT_PITCH: template(
        "A cheek is cut to the pitch: call it with both, as in “96 double cheek 6/12”."
    ),
    DoubtKind.MORE_THAN_ONE: template(
        "Row {row} is {count} pieces: say “row {row}” and the change for all of them, or call "
        "the one by itself."
    ),
    DoubtKind.NONE_WOULD_BE_LEFT: template(
        "Row {row} is {count} in all: so many fewer leave none. To strike it, "
        "say “delete row {row}”."
    ),
    DoubtKind.DONE_OR_NEW: template(
        "Is that a new cut, or is row {rows} cut? If it is cut, answer no and say “cut one of row "
        "{row}”, or “row {row} done” for all that is left of it."
    ),
    DoubtKind.ANOTHER_OR_ITSELF: template(
        "Another piece like the last one? To change that one itself, answer no and say “make it a "
        "quarter shorter”."
    ),
    DoubtKind.PLANNING_UNDERWAY: template("Planning the boards: a moment."),
    DoubtKind.NOTHING_AT_SAW: template("Nothing is open at the saw."),
    DoubtKind.ALL_ON_HOLD: template("Nothing is open at the saw. Rows are on hold."),
    DoubtKind.NO_QUESTION_OPEN: template("No question is open."),
    DoubtKind.ASKS_NOTHING: template("Row {row} has no open question."),
    DoubtKind.NO_SUCH_READING: _no_such_reading,
    DoubtKind.TAKEN_BACK_ALREADY: template("{title} was taken back already."),
    DoubtKind.ASSEMBLY_BEGUN: template(
        "Pieces of {title} are cut already: strike its rows one by one."
    ),
    DoubtKind.FEWER_THAN_CUT: template("{done} of row {row} are cut already."),
    DoubtKind.COUNT_IN_QUESTION: template("Row {row} asks how many it is: answer it first."),
    DoubtKind.CUT_MEANWHILE: template(
        "Row {row} was cut or struck meanwhile: say the whole length again."
    ),
    DoubtKind.SEVERAL_LEFT: template(
        "Row {row} has {left} left: say “cut one of row {row}”, or “row {row} is done” for all."
    ),
    DoubtKind.ASKS_FIRST: template("Row {row} asks a question: answer it before you cut."),
    DoubtKind.STATE_ALREADY: template("Row {row} is {state} already."),
    DoubtKind.NOTHING_TO_PUT_BACK: template("Nothing was cut or struck that could be put back."),
    DoubtKind.NOTHING_CUT: template("No pieces of row {row} have been cut."),
    DoubtKind.NO_PIECE_IN_HAND: template("No piece is in hand or was just cut."),
    DoubtKind.NOTHING_ON_HOLD: template("Nothing is on hold."),
    DoubtKind.NOT_ON_HOLD: template("Row {row} is not on hold."),
    DoubtKind.ONLY_ROW: template("It is the only row to cut: hold it, or strike it."),
    DoubtKind.NOTHING_TO_UNDO: template("Nothing is left to undo."),
    DoubtKind.NOTHING_TO_REDO: template("Nothing was undone since."),
    DoubtKind.ROW_IN_USE: template(
        "{person} at {station} went on with that row: strike it or put it back instead."
    ),
    DoubtKind.BOARDS_IN_USE: template(
        "{person} at {station} went on with those boards: change the rack instead."
    ),
    DoubtKind.ONLY_ORDERS_AT_SAW: template(
        "At the saw only orders are taken by voice. Type it, or leave the saw view."
    ),
    DoubtKind.ORDER_HEARD_TWO_WAYS: template(
        "Heard more than one way: say it again, or use a key."
    ),
    DoubtKind.CHOICE_OR_LENGTH: template(
        "Here that is the number of one choice and the length of another: "
        "press Esc, then the number of the choice."
    ),
    DoubtKind.ORDER_SAID_TWO_WAYS: template(
        "This can mean more than one thing. Write foot and inch marks."
    ),
    DoubtKind.TWO_ROWS_NAMED: template(
        "Rows {rows} may be meant, one by its number and one by its length: say “row” before the "
        "number, “the” before the length."
    ),
    DoubtKind.NOTHING_NAMED: template(
        "Say what is sent, and where to: “send row 3 to …”, “send board 4 to …”."
    ),
    DoubtKind.SITE_NOT_NAMED: template(
        "This site has no name yet: “cutmemo settings site NAME” says what others call it."
    ),
    DoubtKind.SENT_TO_ITSELF: template("{to} is this site: name the one it goes to."),
    DoubtKind.SITE_NOT_KNOWN: template(
        "No load went to “{to}” or came from there yet: type it the first time."
    ),
    DoubtKind.NO_PIECE_HERE: template(
        "No cut piece of row {row} is here. A piece is sent once it is cut; "
        "what another site is to cut is called there."
    ),
    DoubtKind.FEWER_HERE: template("Of row {row} {count} are cut and here."),
    DoubtKind.NO_BOARD_OF_LENGTH: template("No board of {length} is on the rack."),
    DoubtKind.SEVERAL_BOARDS_OF_LENGTH: template(
        "Boards {boards} have that length: name one by its number, “send board 4 to …”."
    ),
    DoubtKind.FEWER_BOARDS: template("Of boards {name} {count} are on the rack."),
    DoubtKind.NO_LOAD: template("No load is on its way here."),
    DoubtKind.NO_SUCH_LOAD: template(
        "No load {number} is on its way here. “cutmemo loads” lists them."
    ),
    DoubtKind.SEVERAL_LOADS: template("Loads {loads} are on their way here: say which."),
    DoubtKind.ARRIVED_ALREADY: template(
        "It arrived at {to} already: what is to come back is sent from there."
    ),
    DoubtKind.BOARD_FEET_OR_INCHES: template(
        "A board of {number} ft or of {number} in.? Say “{number} foot” or “{number} inches”, or "
        "settle it for good with the setting bare_boards."
    ),
    DoubtKind.CAME_OR_TO_CUT: template(
        "Boards that came, or pieces to cut? Say “got …” for the rack, or the length to cut, as in "
        "“4 at 12 foot”."
    ),
    DoubtKind.BOARD_WITHOUT_SECTION: template(
        "That is a board of {length}, not a cut. To put it on the rack, say its section too."
    ),
    DoubtKind.TOO_MANY_TO_PLAN: template(
        "{pieces} pieces are too many to lay onto boards at once ({most} at most)."
    ),
    DoubtKind.NO_SUCH_BOARDS: template(
        "No boards “{name}” on the rack. “cutmemo rack” shows what is there."
    ),
    DoubtKind.BOARD_LENGTH: template(
        "A board of {inches} in. cannot be: more than nothing, at most {most_feet} ft."
    ),
    DoubtKind.BOARD_COUNT: template("{count} boards cannot be: {least} to {most}."),
    DoubtKind.BAD_PART_OFF_BOARD: template(
        "A bad part from {begin} to {end} does not lie on a board of {inches} in."
    ),
}
