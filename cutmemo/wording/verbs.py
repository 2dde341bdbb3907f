"""The command line in words: what each verb does, what it takes, examples, and what it says while
it runs.
"""

from __future__ import annotations

import shlex
from collections.abc import Iterable, Mapping, Sequence

from cutmemo.wording.office_verb import OFFICE
from cutmemo.wording.verb_text import VerbText as VerbText

DESCRIPTION = "Carries a list of lengths from the tape to the saw."
MANUAL = "User Commands"
"""The manual that the page of this program belongs to."""

EXAMPLES = """\
examples:
  cutmemo                                  open the screen on your memo
  cutmemo say "101-1/2"                    call one length
  cutmemo say "4 @ 14-5/8 2x6 header"      four, with the board and the piece
  cutmemo say "no, make that 15"           correct the last call
  cutmemo hear take1.wav                   hear a recording
  cutmemo list                             what is open and what asks a question
  cutmemo answer 2                         settle the last question with choice 2
  cutmemo clear                            one piece of the first open row is cut
  cutmemo rack add 10 2x4 16'              ten boards at hand
  cutmemo boards                           which board to cut each piece from
  cutmemo yard                             what is short, for tonight's order
  cutmemo undo                             take back the last thing done here
  cutmemo --memo porch.cutmemo list        the same for another memo
  cutmemo help boards                      read about boards; “cutmemo help” lists all pages
  cutmemo demo                             see it work, without touching your memo
"""

CAUTIONS = """\
Guards work and are never pinned back. Hands stay 6 in. or more from the blade.
A piece too short to hold is clamped, or cut off a longer one. Never cut freehand.
Eyes and ears protected. Do not talk to the memo or look up in the middle of a cut.
Measure twice. This is arithmetic only, not engineering or code approval: plans,
local code, the inspector, a licensed designer and the saw's manual govern."""


EVERYWHERE: Mapping[str, str] = {
    "version": "show the version and end",
    "help": "show this help and end",
    "json": "results as JSON, and errors too",
    "memo": "name or file of the memo (also CUTMEMO_MEMO)",
    "log": "add what happens inside to this file, for reporting a fault (also CUTMEMO_LOG)",
    "attention": "words with which a spoken call has to begin: listen up (also CUTMEMO_ATTENTION)",
    "model": "another Vosk model folder (also CUTMEMO_MODEL)",
    "row": "number of the row, as “cutmemo list” shows it",
}
"""Arguments that mean the same wherever they are taken."""

_SETTING = {"setting": "which setting", "value": "its new value; inches as 1/8 or 14-1/2"}
_FEET = "a bare whole number up to 24 is feet, not a question"
_LOAD = "its number, as “cutmemo loads” shows it"
_LOT = "as “cutmemo rack” shows it"

VERBS: Mapping[str, VerbText] = {
    "say": VerbText("call a length or a command", {"words": "the call, typed or in words"}),
    "hear": VerbText("hear recordings and take what they call", {"files": "WAV recordings"}),
    "listen": VerbText(
        "listen to the microphone without the screen, until Ctrl-C",
        {"device": "name or number of the microphone"},
    ),
    "list": VerbText(
        "show what is open and what asks a question", {"all": "cut and struck rows too"}
    ),
    "clear": VerbText(
        "one piece is cut: of a row, or of the first open one",
        {"all": "all pieces left of the row"},
    ),
    "answer": VerbText(
        "settle a question with one of its choices",
        {
            "reading": "which choice is right (1)",
            "row": "number of the row; else the last one asked about",
        },
    ),
    "strike": VerbText(
        "take a row off the list", order="strike", row="must", told="{which} struck."
    ),
    "back": VerbText(
        "put a struck row, or the last piece cut, back on the list",
        order="put back",
        row="may",
        told="{which} is back, {left} to cut.",
    ),
    "undo": VerbText("take back the last thing done on this machine", order="undo"),
    "redo": VerbText("do again what was undone last", order="redo"),
    "hold": VerbText(
        "keep a row back from the saw: the one named, or the next to cut",
        order="hold",
        row="may",
        told="{which} is on hold.",
    ),
    "release": VerbText(
        "offer a held row at the saw again: the one named, or the one held last",
        order="release",
        row="may",
        told="{which} is off hold.",
    ),
    "skip": VerbText(
        "put a row behind the others at the saw: the one named, or the next to cut",
        order="skip",
        row="may",
        told="{which} moved to the end.",
        key="k",
    ),
    "trouble": VerbText(
        "a piece is spoiled: the one just cut, or the one in hand",
        {"reason": "what is wrong with the piece"},
    ),
    "handoff": VerbText("what the next one has to know, and what was done today"),
    "settings": VerbText(
        "show or set how this crew speaks, measures and saws",
        _SETTING,
    ),
    "manner": VerbText("the older name of “settings”", _SETTING),
    "order": VerbText(
        "put the open rows in another order", {"order": "as called, longest first, by saw setting"}
    ),
    "sums": VerbText("what is open and cut, in pieces, lineal feet and board feet"),
    "day": VerbText("everything that happened: when, who, what"),
    "sheet": VerbText("the whole memo as a paper list, CSV or JSON", {"as": "what to write"}),
    "export": VerbText("write every event as JSON lines"),
    "import": VerbText(
        "take in events another memo exported; twice changes nothing",
        {"file": "file of JSON lines, or - for standard input"},
    ),
    "office": OFFICE,
    "rescue": VerbText(
        "make a new memo of all that can be read of a damaged one, and of its copies",
        {"to": "the new memo's file, else one beside it"},
    ),
    "memos": VerbText("the memos on this machine"),
    "rack": VerbText(
        "the boards at hand: show, add, change, take off, load from CSV",
        actions={
            "add": VerbText(
                "put boards on it: rack add 10 2x4 16'",
                {
                    "count": "how many",
                    "section": "2x4, 5/4x6, LVL",
                    "length": "16', 92-5/8, 2438mm",
                    "price": "of one board: 12.50",
                    "bad": "a part that cannot be used: 40 to 52",
                    "feet": _FEET,
                },
            ),
            "change": VerbText(
                'other than thought: rack change 3 --length 96-1/2 --bad "40 to 52"',
                {
                    "number": _LOT,
                    "count": "how many there are",
                    "length": "how long they run",
                    "bad": "a part that cannot be used: 40 to 52; empty for none",
                    "feet": _FEET,
                },
            ),
            "off": VerbText("take boards off it: rack off 3", {"number": _LOT}),
            "load": VerbText(
                "take in a CSV with the columns section, length, count, price, bad",
                {
                    "file": "the CSV file",
                    "again": "even where all of it is there already",
                    "feet": _FEET,
                },
            ),
        },
    ),
    "send": VerbText(
        'cut pieces of a row, or boards, leave for another site: send 3 --to "North house"',
        {
            "to": "the site they go to, as it calls itself (setting “site”)",
            "count": "how many; else all that are cut and here of a row, one board",
            "board": "boards of the rack by their number, in place of a row",
        },
    ),
    "arrived": VerbText(
        "a load from another site is here: the one named, or the only one", {"load": _LOAD}
    ),
    "refuse": VerbText(
        "a load from another site is not taken here: it is the sender's again", {"load": _LOAD}
    ),
    "loads": VerbText("what went to other sites and came from them, and what is on its way"),
    "boards": VerbText(
        "which board to cut each piece from, with its marks",
        {
            "as": "html is a page to print, labels are one a piece to cut out",
            "draft": "print a page whose boards do not keep their plans",
            "thorough": "search longer for a better layout, which may take a minute",
            "replan": "lay out anew the printed boards; with a name as 3a, a begun one",
        },
    ),
    "yard": VerbText(
        "what the yard has to bring for what is open",
        {
            "of": "say what it sells of a section: 2x4",
            "lengths": "with --of: 8', 10', 16'",
            "precuts": "with --of: studs cut to length, 92-5/8, 104-5/8",
            "prices": "with --of: length = price, as 8' = 3.50, 16' = 9.00",
            "minimum": "with --of: the fewest boards of one length",
            "more": "order so many percent more than is needed: 10",
            "budget": "what the order may cost",
            "as": "html is a page to print",
        },
    ),
    "kerf": VerbText(
        "measure what the saw eats: a scrap before the cut, and its two parts",
        {
            "board": "the length of a scrap before the cut",
            "parts": "the lengths of its two parts after it",
        },
    ),
    "screen": VerbText(
        "open the screen (the same as no verb)",
        {
            "light": "dark on light, for the sun",
            "station": "what this screen is called in the memo (also CUTMEMO_STATION)",
            "who": "who is at it (also CUTMEMO_WHO)",
        },
    ),
    "site": VerbText(
        "let the phones and tablets of the crew in, each with its own microphone, until Ctrl-C",
        {
            "port": "the port to serve on (8750); the one behind it tells how to trust the site",
            "host": "the name of this machine on the network, which the devices keep",
            "name": "what the devices call the site (the name of the memo)",
        },
        actions={
            "devices": VerbText("list the devices that have joined"),
            "remove": VerbText(
                "put a device out", {"device": "its name, as “site devices” has it"}
            ),
            "untrust": VerbText("tell how to take the site's authority off a device"),
        },
    ),
    "browser": VerbText(
        "open the site's page to browsers on this machine alone",
        {
            "port": "the port to serve on (8750)",
            "site": "for other devices: it names “cutmemo site”",
        },
    ),
    "demo": VerbText(
        "hear the recordings that came with the program, without touching your memo",
        {
            "screen": "open the screen on the demo afterwards",
            "keep": "keep the demo's memo in this new file",
        },
    ),
    "help": VerbText(
        "show a page of the guide: boards, sets, settings …",
        {"topic": "which page; without it, the list of them"},
    ),
    "cautions": VerbText("what to mind at the saw"),
    "config": VerbText("where this machine's defaults are kept, and what holds"),
    "completion": VerbText(
        "write the completion of this program's verbs and options for a shell",
        {"shell": "which shell"},
    ),
    "man": VerbText("write the manual page"),
}
"""One entry a verb, in the order in which help lists them."""


TOLD: Mapping[str, str] = {each.order: each.told for each in VERBS.values() if each.told}
"""What came of an order, by the order."""
ORDER_KEYS = tuple((each.key, each.order) for each in VERBS.values() if each.key)
"""The keys that are an order about the row in hand."""


def does(verb: str, action: str = "") -> str:
    """Return what *verb*, or one *action* of it, does, in one line. Raises :class:`KeyError`."""
    return _text_of([verb, action] if action else [verb]).does


def takes(path: Sequence[str], argument: str) -> str:
    """Return what *argument* (its name without dashes) is at the end of *path*: a verb, or a verb
    and its action. Raises :class:`KeyError`.
    """
    told = _text_of(path).takes
    return told[argument] if argument in told else EVERYWHERE[argument]


def _text_of(path: Sequence[str]) -> VerbText:
    """Return the words of the verb, or of the verb and its action, that *path* names."""
    verb, *actions = path
    text = VERBS[verb]
    for action in actions:
        text = text.actions[action]
    return text


# --- misuse and endings ---------------------------------------------------------------------------

STOPPED = "Stopped. All that was accepted is kept."


def misused(program: str, message: str) -> str:
    """Return what is said about arguments that *program* cannot take."""
    return f"{program}: {message}. Try “{program} --help”."


def no_verb(program: str, word: str, close: str | None) -> str:
    """Return what is said about a *word* that is no verb, with the *close* one where there is
    one.
    """
    meant = f"perhaps “{program} {close}”" if close else f"to call a length, “{program} say …”"
    return f"“{word}” is no verb: {meant}"


def hidden_in_argument(argument: str, sign: str) -> str:
    """Return what is said about an *argument* with a *sign* that cannot be seen."""
    return f"“{argument}” holds a sign that cannot be seen ({sign})"


def number_too_long(digits: int) -> str:
    """Return what is said about a number of more than so many *digits*."""
    return f"a number there has more than {digits} digits"


def no_port(text: str) -> str:
    """Return what is said about *text* where a port is wanted."""
    return f"“{text}” is no port: a number from 1 to 65535"


def broke(error: BaseException, log: str | None) -> str:
    """Return what is said where the program itself is at fault, with the *log* that holds the
    details.
    """
    where = (
        f"The details are in {log}."
        if log
        else "The same again with --log FILE writes the details to that file."
    )
    return (
        f"Something in cutmemo itself went wrong ({type(error).__name__}: {error}). "
        f"All that was accepted is kept. {where}"
    )


# --- hearing --------------------------------------------------------------------------------------

LISTENING = "Listening. Ctrl-C ends it."
NO_CALL = "No call was heard."


def recording_begins(name: str) -> str:
    """Return the line above what a recording calls."""
    return f"— {name}"


def was_heard(text: str) -> str:
    """Return the words that were heard."""
    return f"heard: {text}"


# --- rows and questions ---------------------------------------------------------------------------

HOW_TO_CONFIRM = "  cutmemo answer takes all of it, “cutmemo say no” takes it back"


def reading(number: int, cut: str) -> str:
    """Return one thing that a call may mean."""
    return f"  {number}: {cut}"


def how_to_answer(row: int) -> str:
    """Return how the question of *row* is settled."""
    return f"  cutmemo answer 1 --row {row}, or cutmemo strike {row}"


# --- memos, settings, days ------------------------------------------------------------------------

NO_MEMO = "No memo yet: “cutmemo say 36” makes one."


def memo_line(name: str, path: str) -> str:
    """Return one memo of the list of memos."""
    return f"{name:20} {path}"


def setting_line(name: str, value: object) -> str:
    """Return one setting and its value."""
    return f"{name:9} {'off' if value is None else value}"


def import_at(line: int, lines: int) -> str:
    """Return how far a long import is."""
    return f"Line {line} of {lines} is read."


def imported(new: int) -> str:
    """Return how many events were new."""
    return f"{new} new."


ALL_RESCUED = "Nothing is known to be missing."
RECEIPTS_LOST = (
    "Not all can be read of what phones had sent already. A call that a phone still keeps may come "
    "twice: look for rows that stand twice, and strike one."
)


def rescued(memo: str, read: int, copied: int) -> str:
    """Return what was saved of a damaged memo, and where it is now."""
    return (
        f"Saved: {read} entries from the memo, {copied} more from its copies.\n"
        f"They are in {memo}. The damaged memo is left as it is.\n"
        f"To go on with it: cutmemo --memo {shlex.quote(memo)}"
    )


def not_rescued(at: str, who: str, station: str, kind: str) -> str:
    """Return one entry that is lost, as far as it can be read."""
    return f"{at[:16].replace('T', ' ')}  {who} at {station}: {kind} — lost"


def gap_line(lost: str) -> str:
    """Return where entries are missing, on a line of the day."""
    return f"----------------  {lost}"


def day_line(at: str, who: str, station: str, what: str, why: str | None, undone: bool) -> str:  # noqa: PLR0913 - each is a fact of its own
    """Return one event of the day: when (ISO 8601), who, where, what, and why where it was said."""
    when = at[:16].replace("T", " ")
    reason = f" — {why}" if why is not None else ""
    return f"{when}  {who} at {station}: {what}{reason}{' (undone)' if undone else ''}"


def defaults_file(path: str, exists: bool) -> str:
    """Return where the defaults of this machine are kept."""
    return f"{path}{'' if exists else ' (not there: nothing is set)'}"


def default_line(name: str, value: str | None, source: str) -> str:
    """Return one default, its value and where that comes from."""
    return f"{name:9} {value if value is not None else '-':40} {source}"


def no_toml(error: Exception) -> str:
    """Return why the file of defaults cannot be read at all."""
    return f"it is no TOML ({error})"


def no_default(name: str, known: Iterable[str]) -> str:
    """Return that no default has this *name*, and which are *known*."""
    return f"there is no “{name}”; there are {', '.join(known)}"


def default_no_text(name: str) -> str:
    """Return that the value of a default is no text."""
    return f'“{name}” is a text in quotes, as {name} = "…"'


# --- the browser and the demo ---------------------------------------------------------------------

ASK_PHRASE = "Pass phrase for the site: "
DEMO_AT_SAW = "\nThe memo at the saw:\n"
DEMO_WHICH = "Which one, or 0 to strike it? "


def demo_refused(name: str, error: object) -> str:
    """Return what the demo says about a recording that was refused."""
    return f"{name:28} refused: {error}"


def demo_heard(name: str, words: str, happened: str, text: str) -> str:
    """Return what the demo heard in a recording, and what came of it."""
    return f"{name:28} “{words}”\n{'':28} {happened}: {text}"


def demo_asks(row: int, reasons: str) -> str:
    """Return what the demo asks about *row*."""
    return f"\nRow {row} asks: {reasons}"


def demo_takes_first(text: str) -> str:
    """Return that nobody is there to answer."""
    return f"  (nobody here to answer: the demo takes 1) {text}"


def demo_struck(error: object) -> str:
    """Return that an answer that is none strikes the row."""
    return f"{error} — struck."


def demo_cut(cut: str) -> str:
    """Return what to cut next in the demo."""
    return f"At the saw: {cut}. Enter when one is cut. "


def demo_sums(totals: str) -> str:
    """Return the sums at the end of the demo."""
    return f"\n{totals}"
