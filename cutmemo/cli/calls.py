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
    attention_option,
    model_option,
    print_json,
    report,
    row_option,
    verb,
)
from cutmemo.errors import CutmemoError
from cutmemo.memo.commands import Hear, Order, Say
from cutmemo.office.background import Exchanger
from cutmemo.present import as_plain, as_text
from cutmemo.service import Station
from cutmemo.wording import ignored_call, totals
from cutmemo.wording import verbs as words

if TYPE_CHECKING:
    from cutmemo.asr import Attention, Recogniser, Recognition
    from cutmemo.audio.chunk import SoundChunk

_log = logging.getLogger(__name__)


@verb("say", argument("words", nargs="+"))
def _say(run: Run) -> int:
    return run.act(lambda _: Say(" ".join(run.arguments.words)))


@verb("hear", argument("files", nargs="+", type=Path), model_option)
def _hear(run: Run) -> int:
    from cutmemo.audio.recording import recording

    with run.station() as station:
        sounds = [(str(path), recording(path)) for path in run.arguments.files]
        recogniser = recogniser_of(run.default("model"))
        worst = DONE
        for name, sound in sounds:
            print(words.recording_begins(name), file=sys.stderr)
            _log.info("recording %s", name)
            worst = max(worst, _take_sound(run, station, recogniser(), sound))
        return worst


def recogniser_of(model: str | None) -> Callable[[], Recogniser]:
    """Load the model once; return what makes a fresh decoder on it."""
    from cutmemo.asr import Recogniser, load_model, model_folder, phrases_for

    folder = model_folder(model)
    loaded = load_model(folder)
    phrases = phrases_for(folder)
    return lambda: Recogniser(loaded, phrases)


def _take_sound(
    run: Run,
    station: Station,
    recogniser: Recogniser,
    sound: Iterator[SoundChunk],
    attention: Attention | None = None,
) -> int:
    """Take every utterance of *sound* that is for the memo."""
    from cutmemo.asr import Recognition

    worst, calls = DONE, 0
    for heard in recogniser.hear(sound):
        if isinstance(heard, Recognition):
            addressed = attention.after(heard) if attention is not None else heard
            if addressed is None:
                continue
            code = _take_utterance(run, station, addressed)
            if code is not None:
                calls += 1
                worst = max(worst, code)
    if not calls:
        print(words.NO_CALL, file=sys.stderr)
        return COULD_NOT
    return worst


def _take_utterance(run: Run, station: Station, heard: Recognition) -> int | None:
    """Take one utterance; ``None`` where it was no speech for the memo."""
    from cutmemo.asr.decide import rejected_call

    try:
        result = station.execute(Hear(heard))
    except CutmemoError as error:
        report(error, run.arguments.json)
        return COULD_NOT
    if result is None:
        ignored = ignored_call(rejected_call(heard, station.state.settings))
        _log.info("ignored: %s", ignored or "no speech")
        if ignored:
            print(ignored, file=sys.stderr)
        return None
    print(words.was_heard(heard.text), file=sys.stderr)
    return run.tell(result, station)


@verb("listen", model_option, attention_option, argument("--device"))
def _listen(run: Run) -> int:
    from cutmemo.asr import model_folder
    from cutmemo.audio.microphone import microphone

    with run.station() as station:
        recogniser = recogniser_of(run.default("model"))()
        stop = threading.Event()
        device = run.arguments.device
        sound = microphone(stop.is_set, int(device) if device and device.isdecimal() else device)
        folder = model_folder(run.default("model"))
        attention = recogniser.attention(run.default("attention") or "", folder)
        print(words.LISTENING, file=sys.stderr)
        with Exchanger(run.memo):
            return _take_sound(run, station, recogniser, sound, attention)


@verb("list", argument("--all", action="store_true"))
def _list(run: Run) -> int:
    with run.station() as station:
        state = station.state
        rows = [*state.of_state("doubtful"), *state.open_rows()]
        if run.arguments.all:
            rows += [*state.of_state("cut"), *state.of_state("struck")]
        if run.arguments.json:
            print_json([as_plain(row, state.settings) for row in rows])
        else:
            if rows:
                print(as_text(rows, state.settings))
            print(totals(state), file=sys.stderr)
        return DONE


@verb("clear", row_option, argument("--all", action="store_true"))
def _clear(run: Run) -> int:
    return run.act(
        lambda state: Order("clear all" if run.arguments.all else "clear", run.row(state))
    )


@verb("answer", argument("reading", type=int, nargs="?", default=1), argument("--row"))
def _answer(run: Run) -> int:
    return run.act(lambda state: Order("answer", run.row(state), run.arguments.reading))
