"""Verbs that call, list, cut and correct."""

from __future__ import annotations

import argparse
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from cutmemo.errors import CutmemoError
from cutmemo.present import as_plain, as_text
from cutmemo.service import Session

if TYPE_CHECKING:
    from cutmemo.asr import Recogniser, Recognition
    from cutmemo.audio.chunk import SoundChunk
from cutmemo.cli.run import (
    COULD_NOT,
    DONE,
    Run,
    model_option,
    named,
    no_options,
    print_json,
    report,
    row_needed,
    row_option,
    verb,
)


@verb(
    "say",
    lambda p: p.add_argument("words", nargs="+", help="the call, typed or in words"),
    "call a length or a command",
)
def _say(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.call(" ".join(run.arguments.words)), session)


def _hear_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("files", nargs="+", type=Path, help="WAV recordings")
    model_option(parser)


@verb("hear", _hear_options, "hear recordings and take what they call")
def _hear(run: Run) -> int:
    from cutmemo.audio.recording import recording

    with run.session() as session:
        sounds = [(str(path), recording(path)) for path in run.arguments.files]
        recogniser = recogniser_of(run.arguments.model)
        worst = DONE
        for name, sound in sounds:
            print(f"— {name}", file=sys.stderr)
            worst = max(worst, _take_sound(run, session, recogniser(), sound))
        return worst


def recogniser_of(model: str | None) -> Callable[[], Recogniser]:
    """Load the model once; return what makes a fresh decoder on it."""
    from cutmemo.asr import Recogniser, load_model, model_folder, phrases_for

    folder = model_folder(model)
    loaded = load_model(folder)
    phrases = phrases_for(folder)
    return lambda: Recogniser(loaded, phrases)


def _take_sound(
    run: Run, session: Session, recogniser: Recogniser, sound: Iterator[SoundChunk]
) -> int:
    """Take every utterance of *sound*."""
    from cutmemo.asr import Recognition

    worst, calls = DONE, 0
    for heard in recogniser.hear(sound):
        if isinstance(heard, Recognition):
            code = _take_utterance(run, session, heard)
            if code is not None:
                calls += 1
                worst = max(worst, code)
    if not calls:
        print("No call was heard.", file=sys.stderr)
        return COULD_NOT
    return worst


def _take_utterance(run: Run, session: Session, heard: Recognition) -> int | None:
    """Take one utterance; ``None`` where it was no speech for the memo."""
    try:
        outcome = session.hear(heard)
    except CutmemoError as error:
        report(error, run.arguments.json)
        return COULD_NOT
    if outcome is None:
        ignored = session.not_taken(heard)
        if ignored:
            print(ignored, file=sys.stderr)
        return None
    print(f"heard: {heard.text}", file=sys.stderr)
    return run.tell(outcome, session)


def _listen_options(parser: argparse.ArgumentParser) -> None:
    model_option(parser)
    parser.add_argument("--device", help="name or number of the microphone")


@verb("listen", _listen_options, "listen to the microphone without the screen, until Ctrl-C")
def _listen(run: Run) -> int:
    from cutmemo.audio.microphone import microphone

    with run.session() as session:
        recogniser = recogniser_of(run.arguments.model)()
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
            print_json([as_plain(row, session.queue.settings) for row in rows])
        else:
            if rows:
                print(as_text(rows, session.queue.settings))
            print(session.totals(), file=sys.stderr)
        return DONE


def _clear_options(parser: argparse.ArgumentParser) -> None:
    row_option(parser)
    parser.add_argument("--all", action="store_true", help="all pieces left of the row")


@verb("clear", _clear_options, "one piece is cut: of a row, or of the first open one")
def _clear(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.clear(named(run, session), run.arguments.all), session)


def _answer_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "reading", type=int, nargs="?", default=1, help="which reading is right (1)"
    )
    parser.add_argument("--row", help="number of the row; else the last one asked about")


@verb("answer", _answer_options, "settle a question with one of its readings")
def _answer(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.answer(run.arguments.reading, named(run, session)), session)


@verb("strike", row_needed, "take a row off the list")
def _strike(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.strike(session.find(run.arguments.row).id), session)


@verb("back", row_option, "put a struck row, or the last piece cut, back on the list")
def _back(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.put_back(named(run, session)), session)


@verb("undo", no_options, "take back the last thing done on this machine")
def _undo(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.undo(), session)


@verb("redo", no_options, "do again what was undone last")
def _redo(run: Run) -> int:
    with run.session() as session:
        return run.tell(session.redo(), session)
