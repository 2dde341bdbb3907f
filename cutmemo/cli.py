"""The command line: one verb for everything a memo can do, fast, and without a screen or sound unless it needs them."""

from __future__ import annotations

import argparse
import contextlib
import getpass
import json
import os
import sys
import threading
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn, get_args

from cutmemo import __version__
from cutmemo.errors import BadBoards, BadMemo, CutmemoError, NotACall, Refused
from cutmemo.journal import open_journal
from cutmemo.language import Trouble
from cutmemo.manner import SETTINGS
from cutmemo.memos import memo_path, memos
from cutmemo.outcome import Outcome
from cutmemo.queue import ORDERS, Row
from cutmemo.session import Session
from cutmemo.sheet import (
    as_csv,
    as_plain,
    as_text,
    boards_as_csv,
    boards_as_html,
    boards_as_plain,
    boards_as_text,
    boards_from_csv,
    frame_as_text,
    order_as_text,
    rack_as_plain,
    rack_as_text,
)
from cutmemo.sheet.racks import bad_of, count_of, inches_of, price_of, section_of

if TYPE_CHECKING:
    from cutmemo.sound.chunk import SoundChunk
    from cutmemo.speech import Heard, Recogniser
    from cutmemo.stock import SectionPlan

DONE, COULD_NOT, MISUSED, INTERRUPTED = 0, 1, 2, 130
MANY_PIECES = 100
"""From here on laying them may take over a second."""

CAUTIONS = """\
Guards work and are never pinned back. Hands stay 6 in. or more from the blade.
A piece too short to hold is clamped, or cut off a longer one. Never cut freehand.
Eyes and ears protected. Do not talk to the memo or look up in the middle of a cut.
Measure twice. This is arithmetic only, not engineering or code approval: plans,
local code, the inspector, a licensed designer and the saw's manual govern."""

EXAMPLES = """\
examples:
  cutmemo                                  open the screen on your memo
  cutmemo say "101-1/2"                    call one length
  cutmemo say "4 @ 14-5/8 2x6 header"      four, with the board and the piece
  cutmemo say "no, make that 15"           correct the last call
  cutmemo hear take1.wav                   hear a recording
  cutmemo list                             what is open and what asks a question
  cutmemo answer 2                         settle the last question with reading 2
  cutmemo clear                            one piece of the first open row is cut
  cutmemo rack add 10 2x4 16'              ten boards at hand
  cutmemo boards                           which board to cut each piece from
  cutmemo yard                             what is short, for tonight's order
  cutmemo undo                             take back the last thing done here
  cutmemo --memo porch.cutmemo list        the same for another memo
  cutmemo demo                             see it work, without touching your memo
"""

Verb = Callable[["Run"], int]
VERBS: dict[str, tuple[Verb, Callable[[argparse.ArgumentParser], object], str]] = {}


class Run:
    """One run of the program: its arguments, and the session they are for."""

    def __init__(self, arguments: argparse.Namespace) -> None:
        """Keep the *arguments*."""
        self.arguments = arguments

    @contextlib.contextmanager
    def session(self) -> Iterator[Session]:
        """Open the memo for as long as the verb runs."""
        with open_journal(memo_path(self.arguments.memo)) as journal:
            yield Session(journal)

    def tell(self, outcome: Outcome, session: Session) -> int:
        """Print what happened; a question left open is no success."""
        if self.arguments.json:
            row = as_plain(outcome.row, session.queue.manner) if outcome.row is not None else None
            _print_json({"happened": outcome.happened, "text": outcome.text, "row": row})
        else:
            print(outcome.text)
            if outcome.happened == "asked" and outcome.row is not None:
                _print_readings(outcome.row, session)
            if outcome.frame is not None:
                print(frame_as_text(outcome.frame, session.shown))
        return COULD_NOT if outcome.happened == "asked" else DONE


def _print_json(value: Any) -> None:
    print(json.dumps(value, ensure_ascii=False))


def _print_readings(row: Row, session: Session) -> None:
    if row.of_set:
        print("  cutmemo answer takes all of it, “cutmemo say no” takes it back", file=sys.stderr)
        return
    for number, cut in enumerate(row.readings, start=1):
        print(f"  {number}: {session.shown(cut)}")
    print(f"  cutmemo answer 1 --row {row.number}, or cutmemo strike {row.number}", file=sys.stderr)


def _no_options(_parser: argparse.ArgumentParser) -> None:
    """Need nothing but the verb."""


def verb(
    name: str, options: Callable[[argparse.ArgumentParser], object], told: str
) -> Callable[[Verb], Verb]:
    """Register a function as the verb *name*."""

    def register(function: Verb) -> Verb:
        VERBS[name] = (function, options, told)
        return function

    return register


def _row_option(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("row", nargs="?", help="number of the row, as “cutmemo list” shows it")


def _named(run: Run, session: Session) -> str | None:
    """Return the id of the row that was named, if one was."""
    return session.find(run.arguments.row).id if run.arguments.row else None


def _row_needed(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("row", help="number of the row, as “cutmemo list” shows it")


@verb("say", lambda p: p.add_argument("words", nargs="+", help="the call, typed or in words"), "call a length or a command")
def _say(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.call(" ".join(run.arguments.words)), session)


def _hear_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="+", type=Path, help="WAV recordings")
    _model_option(parser)


def _model_option(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--model", help="another Vosk model folder (also CUTMEMO_MODEL)")


@verb("hear", _hear_options, "hear recordings and take what they call")
def _hear(run: Run) -> int:
    from cutmemo.sound.recording import recording

    with run.session() as session:
        sounds = [(str(path), recording(path)) for path in run.arguments.files]
        recogniser = _recogniser(run.arguments.model)
        worst = DONE
        for name, sound in sounds:
            print(f"— {name}", file=sys.stderr)
            worst = max(worst, _take_sound(run, session, recogniser(), sound))
        return worst


def _recogniser(model: str | None) -> Callable[[], Recogniser]:
    """Load the model once; return what makes a fresh decoder on it."""
    from cutmemo.speech import Recogniser, load_model, model_folder, phrases_for

    folder = model_folder(model)
    loaded = load_model(folder)
    phrases = phrases_for(folder)
    return lambda: Recogniser(loaded, phrases)


def _take_sound(run: Run, session: Session, recogniser: Recogniser, sound: Iterator[SoundChunk]) -> int:
    """Take every utterance of *sound*."""
    from cutmemo.speech import Heard

    worst, calls = DONE, 0
    for heard in recogniser.hear(sound):
        if isinstance(heard, Heard):
            code = _take_utterance(run, session, heard)
            if code is not None:
                calls += 1
                worst = max(worst, code)
    if not calls:
        print("No call was heard.", file=sys.stderr)
        return COULD_NOT
    return worst


def _take_utterance(run: Run, session: Session, heard: Heard) -> int | None:
    """Take one utterance; ``None`` where it was no speech for the memo."""
    try:
        outcome = session.hear(heard)
    except CutmemoError as error:
        _report(error, run.arguments.json)
        return COULD_NOT
    if outcome is None:
        return None
    print(f"heard: {heard.text}", file=sys.stderr)
    return run.tell(outcome, session)


def _listen_options(parser: argparse.ArgumentParser) -> None:
    _model_option(parser)
    parser.add_argument("--device", help="name or number of the microphone")


@verb("listen", _listen_options, "listen to the microphone without the screen, until Ctrl-C")
def _listen(run: Run) -> int:
    from cutmemo.sound.microphone import microphone

    with run.session() as session:
        recogniser = _recogniser(run.arguments.model)()
        stop = threading.Event()
        device = run.arguments.device
        sound = microphone(stop.is_set, int(device) if device and device.isdecimal() else device)
        print("Listening. Ctrl-C ends it.", file=sys.stderr)
        return _take_sound(run, session, recogniser, sound)


def _list_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--all", action="store_true", help="cut and struck rows too")


@verb("list", _list_options, "show what is open and what asks a question")
def _list(run: Run) -> int:
    with run.session() as session:
        rows = [*session.queue.of_state("doubtful"), *session.queue.open_rows()]
        if run.arguments.all:
            rows += [*session.queue.of_state("cut"), *session.queue.of_state("struck")]
        if run.arguments.json:
            _print_json([as_plain(row, session.queue.manner) for row in rows])
        else:
            if rows:
                print(as_text(rows, session.queue.manner))
            print(session.totals(), file=sys.stderr)
        return DONE


def _clear_options(parser: argparse.ArgumentParser) -> None:
    _row_option(parser)
    parser.add_argument("--all", action="store_true", help="all pieces left of the row")


@verb("clear", _clear_options, "one piece is cut: of a row, or of the first open one")
def _clear(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.clear(_named(run, session), run.arguments.all), session)


def _answer_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("reading", type=int, nargs="?", default=1, help="which reading is right (1)")
    parser.add_argument("--row", help="number of the row; else the last one asked about")


@verb("answer", _answer_options, "settle a question with one of its readings")
def _answer(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.answer(run.arguments.reading, _named(run, session)), session)


@verb("strike", _row_needed, "take a row off the list")
def _strike(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.strike(session.find(run.arguments.row).id), session)


@verb("back", _row_option, "put a struck row, or the last piece cut, back on the list")
def _back(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.put_back(_named(run, session)), session)


@verb("hold", _row_option, "keep a row back from the saw: the one named, or the next to cut")
def _hold(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.hold(_named(run, session)), session)


@verb("release", _row_option, "offer a held row at the saw again: the one named, or the one held last")
def _release(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.release(_named(run, session)), session)


@verb("skip", _row_option, "put a row behind the others at the saw: the one named, or the next to cut")
def _skip(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.skip(_named(run, session)), session)


def _trouble_options(parser: argparse.ArgumentParser) -> None:
    reasons = [reason.replace(" ", "-") for reason in get_args(Trouble)]
    parser.add_argument("reason", choices=reasons, help="what is wrong with the piece")
    _row_option(parser)


@verb("trouble", _trouble_options, "a piece is spoiled: the one just cut, or the one in hand")
def _trouble(run: Run) -> int:
    reason: Trouble = run.arguments.reason.replace("-", " ")
    with run.session() as session:
        return run.tell(session.spoil(reason, row_id=_named(run, session)), session)


@verb("handoff", _no_options, "what the next one has to know, and what was done today")
def _handoff(run: Run) -> int:
    with run.session() as session:
        if run.arguments.json:
            _print_json(session.handoff_plain())
        else:
            print(session.handoff())
        return DONE


@verb("undo", _no_options, "take back the last thing done on this machine")
def _undo(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.undo(), session)


@verb("redo", _no_options, "do again what was undone last")
def _redo(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.redo(), session)


def _manner_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("setting", nargs="?", choices=SETTINGS, help="which setting")
    parser.add_argument("value", nargs="?", help="its new value; inches as 1/8 or 14-1/2")


@verb("manner", _manner_options, "show or set how this crew speaks, measures and saws")
def _manner(run: Run) -> int:
    with run.session() as session:
        if run.arguments.value is not None:
            return run.tell(session.set_manner(run.arguments.setting, run.arguments.value), session)
        plain = session.queue.manner.to_plain()
        names = [run.arguments.setting] if run.arguments.setting else list(plain)
        if run.arguments.json:
            _print_json({name: plain[name] for name in names})
        else:
            for name in names:
                print(f"{name:9} {'off' if plain[name] is None else plain[name]}")
        return DONE


@verb("order", lambda p: p.add_argument("order", choices=ORDERS, help="as called, longest first, by saw setting"),
      "put the open rows in another order")  # fmt: skip
def _order(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.set_order(run.arguments.order), session)


@verb("sums", _no_options, "what is open and cut, in pieces, lineal feet and board feet")
def _sums(run: Run) -> int:
    with run.session() as session:
        sums = session.queue.sums
        if run.arguments.json:
            _print_json({name: str(value) if not isinstance(value, int) else value
                         for name, value in ((n, getattr(sums, n)) for n in sums.__slots__)})  # fmt: skip
        else:
            print(session.totals())
        return DONE


@verb("day", _no_options, "everything that happened: when, who, what")
def _day(run: Run) -> int:
    with run.session() as session:
        for event in session.queue.events:
            if run.arguments.json:
                print(event.to_line())
            else:
                undone = "" if session.queue.lives(event) else " (undone)"
                why = f" — {event.payload['why']}" if "why" in event.payload else ""
                print(f"{event.at[:16].replace('T', ' ')}  {event.who} at {event.station}: {session.told(event)}{why}{undone}")
        if not run.arguments.json:
            print(session.sums_by_day())
        return DONE


def _sheet_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--as", dest="form", choices=("text", "csv", "json"), default="text", help="what to write")


@verb("sheet", _sheet_options, "the whole memo as a paper list, CSV or JSON")
def _sheet(run: Run) -> int:
    with run.session() as session:
        queue, manner = session.queue, session.queue.manner
        rows = [*queue.of_state("doubtful"), *queue.open_rows(), *queue.of_state("cut"), *queue.of_state("struck")]
        if run.arguments.form == "json" or run.arguments.json:
            _print_json([as_plain(row, manner) for row in rows])
        else:
            print(as_csv(rows, manner) if run.arguments.form == "csv" else as_text(rows, manner))
        return DONE


def _rack_options(parser: argparse.ArgumentParser) -> None:
    actions = parser.add_subparsers(dest="action", metavar="ACTION")
    add = actions.add_parser("add", help="put boards on it: rack add 10 2x4 16'")
    add.add_argument("count", help="how many")
    add.add_argument("section", help="2x4, 5/4x6, LVL")
    add.add_argument("length", help="16', 92-5/8, 2438mm")
    add.add_argument("--price", default="", help="of one board")
    add.add_argument("--bad", default="", help="a part that cannot be used: 40 to 52")
    change = actions.add_parser("change", help="other than thought: rack change 3 --length 96-1/2 --bad \"40 to 52\"")
    change.add_argument("number", help="as “cutmemo rack” shows it")
    change.add_argument("--count", help="how many there are")
    change.add_argument("--length", help="how long they run")
    change.add_argument("--bad", help="a part that cannot be used: 40 to 52; empty for none")
    off = actions.add_parser("off", help="take boards off it: rack off 3")
    off.add_argument("number", help="as “cutmemo rack” shows it")
    load = actions.add_parser("load", help="take in a CSV with the columns section, length, count, price, bad")
    load.add_argument("file", type=Path, help="the CSV file")


@verb("rack", _rack_options, "the boards at hand: show, add, change, take off, load from CSV")
def _rack(run: Run) -> int:
    a = run.arguments
    with run.session() as session:
        if a.action == "add":
            session.add_boards(section_of(a.section), inches_of(a.length), count_of(a.count), price_of(a.price), bad_of(a.bad))
        elif a.action == "change":
            count = None if a.count is None else count_of(a.count)
            length = None if a.length is None else inches_of(a.length)
            session.change_boards(a.number, count, length, None if a.bad is None else bad_of(a.bad))
        elif a.action == "off":
            session.change_boards(a.number, count=0)
        elif a.action == "load":
            try:
                text = a.file.read_text("utf-8-sig")
            except (OSError, UnicodeDecodeError) as error:
                raise BadBoards(f"{a.file} cannot be read: {getattr(error, 'strerror', None) or 'it is no text'}.") from error
            session.load_boards(boards_from_csv(text))
        rack, manner = session.queue.rack, session.queue.manner
        if a.json:
            _print_json(rack_as_plain(rack))
        elif rack.lots:
            print(rack_as_text(rack, manner))
        else:
            print("The rack is empty: “cutmemo rack add 10 2x4 16'” puts boards on it.", file=sys.stderr)
        return DONE


def _planned(session: Session) -> list[SectionPlan]:
    """Return the plan, and say so where it takes a while."""
    pieces = session.queue.sums.open_pieces
    if pieces > MANY_PIECES and sys.stderr.isatty():
        print(f"Laying {pieces} pieces onto boards …", file=sys.stderr)
    return session.plans()


def _boards_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--as", dest="form", choices=("text", "csv", "html"), default="text", help="html is a page to print")


@verb("boards", _boards_options, "which board to cut each piece from, with its marks")
def _boards(run: Run) -> int:
    with run.session() as session:
        plans, manner = _planned(session), session.queue.manner
        if run.arguments.json:
            _print_json(boards_as_plain(plans, manner))
        elif run.arguments.form == "csv":
            print(boards_as_csv(plans, manner))
        elif run.arguments.form == "html":
            print(boards_as_html(plans, manner, f"Boards of {memo_path(run.arguments.memo).stem}"))
        elif plans:
            print(boards_as_text(plans, manner))
            print("Best for what is called so far.", file=sys.stderr)
        else:
            print("Nothing is open.", file=sys.stderr)
        return DONE


@verb("yard", _no_options, "what the yard has to bring for what is open")
def _yard(run: Run) -> int:
    with run.session() as session:
        plans = _planned(session)
        if run.arguments.json:
            _print_json(boards_as_plain(plans, session.queue.manner))
        else:
            print(order_as_text(plans, session.queue.rack, session.queue.manner) or "Nothing is short.")
        return DONE


def _kerf_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("board", help="the length of a scrap before the cut")
    parser.add_argument("parts", nargs=2, help="the lengths of its two parts after it")


@verb("kerf", _kerf_options, "measure what the saw eats: a scrap before the cut, and its two parts")
def _kerf(run: Run) -> int:
    whole, (one, two) = inches_of(run.arguments.board), map(inches_of, run.arguments.parts)
    kerf = whole - one - two
    if not 0 < kerf <= 1:
        raise BadBoards(f"{whole} less {one} and {two} leaves {kerf}: a kerf is more than nothing and at most 1 in. Measure again.")
    with run.session() as session:
        return run.tell(session.set_manner("kerf", str(kerf)), session)


@verb("export", _no_options, "write every event as JSON lines")
def _export(run: Run) -> int:
    with run.session() as session:
        for event in session.queue.events:
            print(event.to_line())
        return DONE


@verb("import", lambda p: p.add_argument("file", help="file of JSON lines, or - for standard input"),
      "take in events another memo exported; twice changes nothing")  # fmt: skip
def _import(run: Run) -> int:
    name = run.arguments.file
    try:
        lines = sys.stdin.readlines() if name == "-" else Path(name).read_text("utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise BadMemo(name, getattr(error, "strerror", None) or "it is no text") from error
    with run.session() as session:
        new = session.journal.take_lines(lines)
        if run.arguments.json:
            _print_json({"new": new})
        else:
            print(f"{new} new.")
        return DONE


@verb("memos", _no_options, "the memos on this machine")
def _memos(run: Run) -> int:
    found = memos()
    if run.arguments.json:
        _print_json([str(path) for path in found])
    else:
        for path in found:
            print(f"{path.stem:20} {path}")
        if not found:
            print("No memo yet: “cutmemo say 36” makes one.", file=sys.stderr)
    return DONE


def _demo_options(parser: argparse.ArgumentParser) -> None:
    _model_option(parser)
    parser.add_argument("--screen", action="store_true", help="open the screen on the demo afterwards")
    parser.add_argument("--keep", type=Path, metavar="FILE", help="keep the demo's memo in this new file")


@verb("demo", _demo_options, "hear the recordings that came with the program, without touching your memo")
def _demo(run: Run) -> int:
    from cutmemo.demo import demo

    recogniser = _recogniser(run.arguments.model)
    ask = sys.stdin.isatty() and not run.arguments.screen
    return demo(recogniser, ask=ask, screen=run.arguments.screen, keep=run.arguments.keep)


def _screen_options(parser: argparse.ArgumentParser) -> None:
    _model_option(parser)
    parser.add_argument("--light", action="store_true", help="dark on light, for the sun")
    parser.add_argument("--station", help="what this screen is called in the memo")
    parser.add_argument("--who", help="who is at it")


@verb("screen", _screen_options, "open the screen (the same as no verb)")
def _screen(run: Run) -> int:
    from cutmemo.screen import run_screen

    chosen = vars(run.arguments)
    with open_journal(memo_path(run.arguments.memo)) as journal:
        session = Session(journal, chosen.get("station"), chosen.get("who"))
        return run_screen(session, model=chosen.get("model"), light=chosen.get("light", False))


def _browser_options(parser: argparse.ArgumentParser) -> None:
    _model_option(parser)
    parser.add_argument("--port", type=int, default=8750, help="the port to serve on (8750)")
    parser.add_argument(
        "--site", action="store_true", help="open it to the site's own network, behind a pass phrase (asked for, or CUTMEMO_PHRASE)"
    )


@verb("browser", _browser_options, "serve the screen to a browser: on this machine, or on the site's network with --site")
def _browser(run: Run) -> int:
    from cutmemo.browser import serve

    phrase = (os.environ.get("CUTMEMO_PHRASE") or getpass.getpass("Pass phrase for the site: ")) if run.arguments.site else None
    memo = memo_path(run.arguments.memo)
    open_journal(memo).close()
    serve(str(memo), run.arguments.port, phrase, run.arguments.model)
    return DONE


@verb("cautions", _no_options, "what to mind at the saw")
def _cautions(_run: Run) -> int:
    print(CAUTIONS)
    return DONE


class _Parser(argparse.ArgumentParser):
    """Ends with 2 and one sentence on misuse."""

    def error(self, message: str) -> NoReturn:
        """Say what is wrong and where help is."""
        self.exit(MISUSED, f"{self.prog}: {message}. Try “{self.prog} --help”.\n")


def build_parser() -> argparse.ArgumentParser:
    """Return the parser with every verb."""
    parser = _Parser(
        prog="cutmemo", description="Carries a list of lengths from the tape to the saw.", epilog=EXAMPLES + "\n" + CAUTIONS,
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )  # fmt: skip
    parser.add_argument("--version", action="version", version=f"cutmemo {__version__}")
    parser.add_argument("--memo", help="name or file of the memo (also CUTMEMO_MEMO)")
    parser.add_argument("--json", action="store_true", help="results as JSON")
    commands = parser.add_subparsers(dest="verb", title="verbs", metavar="VERB", parser_class=_Parser)
    for name, (_, options, told) in VERBS.items():
        command = commands.add_parser(name, help=told, description=told.capitalize() + ".")
        command.add_argument("--json", action="store_true", default=argparse.SUPPRESS, help="results as JSON")
        command.add_argument("--memo", default=argparse.SUPPRESS, help="name or file of the memo")
        options(command)
    return parser


def _report(error: CutmemoError, as_json: bool) -> None:
    if as_json:
        facts: dict[str, Any] = {"error": type(error).__name__, "text": str(error)}
        if isinstance(error, NotACall):
            facts |= {"words": list(error.words), "at": error.at, "expected": sorted(error.expected)}
        if isinstance(error, Refused):
            facts |= {"reasons": list(error.reasons)}
        _print_json(facts)
    else:
        print(error, file=sys.stderr)


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line; return 0 done, 1 could not or a question is open, 2 misused, 130 interrupted."""
    try:
        arguments = build_parser().parse_args(argv)
    except SystemExit as end:
        return int(end.code or 0)
    try:
        return VERBS[arguments.verb or "screen"][0](Run(arguments))
    except CutmemoError as error:
        _report(error, arguments.json)
        return COULD_NOT
    except KeyboardInterrupt:
        print("Stopped. All that was accepted is kept.", file=sys.stderr)
        return INTERRUPTED
    except BrokenPipeError:
        sys.stderr.close()
        return DONE
