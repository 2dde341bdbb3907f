"""Verbs that call, list, cut and correct."""

from __future__ import annotations

import logging
import sys
import threading
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from cutmemo.cli.run import (
    COULD_NOT,
    DONE,
    Run,
    argument,
    model_option,
    print_json,
    report,
    row_needed,
    row_option,
    verb,
)
from cutmemo.errors import CutmemoError
from cutmemo.present import as_plain, as_text
from cutmemo.service import Session
from cutmemo.wording import verbs as words

if TYPE_CHECKING:
    from cutmemo.asr import Recogniser, Recognition
    from cutmemo.audio.chunk import SoundChunk

_log = logging.getLogger(__name__)


@verb("say", argument("words", nargs="+"))
def _say(run: Run) -> int:
    return run.act(lambda session: session.call(" ".join(run.arguments.words)))


@verb("hear", argument("files", nargs="+", type=Path), model_option)
def _hear(run: Run) -> int:
    from cutmemo.audio.recording import recording

    with run.session() as session:
        sounds = [(str(path), recording(path)) for path in run.arguments.files]
        recogniser = recogniser_of(run.default("model"))
        worst = DONE
        for name, sound in sounds:
            print(words.recording_begins(name), file=sys.stderr)
            _log.info("recording %s", name)
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
        print(words.NO_CALL, file=sys.stderr)
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
        _log.info("ignored: %s", ignored or "no speech")
        if ignored:
            print(ignored, file=sys.stderr)
        return None
    print(words.was_heard(heard.text), file=sys.stderr)
    return run.tell(outcome, session)


@verb("listen", model_option, argument("--device"))
def _listen(run: Run) -> int:
    from cutmemo.audio.microphone import microphone

    with run.session() as session:
        recogniser = recogniser_of(run.default("model"))()
        stop = threading.Event()
        device = run.arguments.device
        sound = microphone(stop.is_set, int(device) if device and device.isdecimal() else device)
        print(words.LISTENING, file=sys.stderr)
        return _take_sound(run, session, recogniser, sound)


@verb("list", argument("--all", action="store_true"))
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


@verb("clear", row_option, argument("--all", action="store_true"))
def _clear(run: Run) -> int:
    return run.act(lambda session: session.clear(run.row(session), run.arguments.all))


@verb("answer", argument("reading", type=int, nargs="?", default=1), argument("--row"))
def _answer(run: Run) -> int:
    return run.act(lambda session: session.answer(run.arguments.reading, run.row(session)))


@verb("strike", row_needed)
def _strike(run: Run) -> int:
    return run.act(lambda session: session.strike(session.find(run.arguments.row).id))


@verb("back", row_option)
def _back(run: Run) -> int:
    return run.act(lambda session: session.put_back(run.row(session)))


@verb("undo")
def _undo(run: Run) -> int:
    return run.act(lambda session: session.undo())


@verb("redo")
def _redo(run: Run) -> int:
    return run.act(lambda session: session.redo())
