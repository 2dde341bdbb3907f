"""Vosk, kept behind one class: chunks of sound in, partial words and finished utterances out."""

from __future__ import annotations

import json
import logging
import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from cutmemo.asr.confusions import add_confusable_hypotheses
from cutmemo.asr.endpointer import Endpointer
from cutmemo.asr.hypotheses import Hypothesis, Partial, Recognition
from cutmemo.audio.chunk import RATE, SoundChunk
from cutmemo.audio.level import similar_level, snr_db
from cutmemo.audio.room_tone import RoomTone
from cutmemo.bundle import bundled
from cutmemo.errors import NoDecoder, NoModel

_log = logging.getLogger(__name__)

MAX_HYPOTHESES = 8
MAX_UTTERANCE_SECONDS = 20.0
"""Endless talk is cut here, so that a decoder's memory does not grow without end."""
CLOSE_SECONDS = 1.2
"""Words this close to such a cut may belong together across it; the decoder knows them up to a second late.

The net looks 0.45 s ahead, and works in pieces of 0.42 s (``conf/model.conf``).
"""
RIGHT_BEFORE_SECONDS = 1.2
"""What was not understood this close before a call may be its beginning.

An utterance ends after 0.6 s of silence, and the decoder takes the first word to begin 0.2 s later than it does.
"""
SILENCE_MARGIN = 1.0
"""So close to nothing at all (log-likelihood), something may have been said after all."""
AROUND_SECONDS = 0.4
"""How much sound before the first word is kept with an utterance."""
AFTER_SECONDS = 0.3
"""How much sound after the last word is heard once more with it: the end of a word is known to a tenth of a second or two."""
_NEEDED = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf")


def model_folder(chosen: str | None = None) -> Path:
    """Return the model to use: *chosen*, else ``CUTMEMO_MODEL``, else the one that travels with the program."""
    name = chosen or os.environ.get("CUTMEMO_MODEL")
    return Path(name) if name else bundled("model")


def load_model(folder: Path) -> Any:
    """Return the Vosk model in *folder*.

    Raises :class:`NoModel` for one that is missing or broken, :class:`NoDecoder` without Vosk.
    """
    if not folder.is_dir():
        raise NoModel(folder, "there is no such folder")
    missing = [name for name in _NEEDED if not (folder / name).is_file()]
    if missing:
        raise NoModel(folder, f"{missing[0]} is missing")
    if not any((folder / "graph" / name).is_file() for name in ("HCLG.fst", "HCLr.fst")):
        raise NoModel(folder, "graph/HCLr.fst is missing")
    try:
        import vosk  # deferred: 0.2 s, and typing needs none of it
    except (ImportError, OSError) as error:
        raise NoDecoder(str(error)) from error
    _log.info("model %s", folder)
    vosk.SetLogLevel(-3)  # what matters is raised; warnings would spoil the screen
    try:
        return vosk.Model(model_path=str(folder))
    except Exception as error:  # vosk raises nothing narrower
        raise NoModel(folder, "vosk cannot read it") from error


def _known(model: Any, phrases: tuple[str, ...]) -> list[str]:
    """Return the phrases made only of words the model has; a phrase with a hole in it would mislead."""
    words = {word for phrase in phrases for word in phrase.split()}
    missing = {word for word in words if model.vosk_model_find_word(word) < 0}
    return [phrase for phrase in phrases if missing.isdisjoint(phrase.split())]


def _near(heard: Recognition, cuts: tuple[float, ...]) -> Recognition:
    """Return *heard*, marked where it begins or ends where endless sound was cut: the rest of it may be on the other side."""
    close = any(
        heard.start_seconds - CLOSE_SECONDS < cut < heard.end_seconds + CLOSE_SECONDS
        for cut in cuts
    )
    return replace(heard, partly_muted=True) if close else heard


def _words_of(heard: Recognition, after: float = 0.0) -> bytes:
    """Return the sound of *heard* up to so many seconds *after* its last word: the next call may have begun already."""
    return heard.pcm[
        : 2 * int(RATE * (AROUND_SECONDS + heard.end_seconds - heard.start_seconds + after))
    ]


def _unknown(heard: Recognition) -> bool:
    """Return whether there is sound in *heard* but no word, or one alone that may be noise or nothing as well."""
    best = heard.hypotheses[0]
    if not best.text:
        return any(
            best.log_likelihood - each.log_likelihood <= SILENCE_MARGIN
            for each in heard.hypotheses[1:]
        )
    one_word = len(best.text.split()) == 1 and not all(each.is_speech for each in heard.hypotheses)
    return one_word or not best.is_speech


def _after(heard: Recognition, before: Recognition | None) -> Recognition:
    """Return *heard*, marked where what came right *before* was as loud and is unknown: the call may have begun there."""
    unknown = (
        before is not None
        and _unknown(before)
        and heard.start_seconds - before.end_seconds < RIGHT_BEFORE_SECONDS
        and similar_level(_words_of(before), _words_of(heard))
    )
    return replace(heard, after_unintelligible=True) if unknown else heard


def _log_utterance(heard: Recognition) -> None:
    """Write down what was heard, how sure the decoder is, and how far it stands out of the noise."""
    if _log.isEnabledFor(logging.INFO):
        scores = ", ".join(f"{each.text!r} {each.log_likelihood:.2f}" for each in heard.hypotheses)
        start, end, snr = heard.start_seconds, heard.end_seconds, snr_db(heard.pcm)
        _log.info("heard from %.2f to %.2f s, SNR %s dB: %s", start, end, snr, scores)


class Recogniser:
    """Hears calls with one model. *phrases* narrows it to what can be said; ``None`` uses the model's own graph."""

    def __init__(self, model: Any, phrases: tuple[str, ...] | None = None) -> None:
        """Make a decoder on a loaded *model*."""
        import vosk

        grammar = [json.dumps([*_known(model, phrases), "[unk]"])] if phrases is not None else []
        self._model = model
        self._earlier = 0.0
        """How many seconds of other sound the decoder, whose clock never starts anew, had before."""
        self._decoder = vosk.KaldiRecognizer(model, RATE, *grammar)
        self._decoder.SetMaxAlternatives(MAX_HYPOTHESES)
        self._decoder.SetWords(True)

    def hear(
        self, sound: Iterable[SoundChunk], stop: Callable[[], bool] = lambda: False
    ) -> Iterator[Partial | Recognition]:
        """Yield partial words and utterances until *sound* ends or *stop* is true."""
        since, said, seconds, cut_at = 0.0, "", 0.0, -CLOSE_SECONDS
        tone, pause, kept = RoomTone(), Endpointer(), bytearray()
        before: Recognition | None = None
        for chunk in sound:
            seconds += chunk.seconds
            since += chunk.seconds
            if stop():
                break
            kept += chunk.pcm
            toned = tone.under(chunk)
            ended, over = bool(self._decoder.AcceptWaveform(toned.pcm)), pause.after(toned)
            partial = (
                said if ended else json.loads(self._decoder.PartialResult()).get("partial", "")
            )
            if partial != said:
                said = partial
                yield Partial(partial)
            if ended or over or since > MAX_UTTERANCE_SECONDS:
                cuts = (cut_at,) if ended or over else (cut_at, seconds)
                result = self._decoder.FinalResult() if over else self._decoder.Result()
                for heard in self._utterance(result, seconds, bytes(kept)):
                    yield _near(_after(heard, before), cuts)
                    before = heard
                cut_at = cuts[-1]
                since, said = 0.0, ""
                kept.clear()
                pause.begin()
        last = list(self._utterance(self._decoder.FinalResult(), seconds, bytes(kept)))
        self._earlier += seconds
        for heard in last:
            yield _near(_after(heard, before), (cut_at,))

    def _utterance(self, result: str, seconds: float, pcm: bytes) -> Iterator[Recognition]:
        """Yield what was heard, if it was anything; *pcm* is all sound since the utterance before, up to *seconds*."""
        best: dict[str, Hypothesis] = {}
        start, end = seconds, 0.0
        for each in json.loads(result).get("alternatives", ()):
            text = each["text"].strip()
            if text not in best:
                best[text] = Hypothesis(text, float(each["confidence"]))
            words = each.get("result", ())
            if words:
                start, end = (
                    min(start, words[0]["start"] - self._earlier),
                    max(end, words[-1]["end"] - self._earlier),
                )
        if any(best):
            begun = seconds - len(pcm) / (2 * RATE)
            first = 2 * max(0, int((start - AROUND_SECONDS - begun) * RATE))
            heard = Recognition(tuple(best.values()), start, end, pcm[first:])
            _log_utterance(heard)
            yield add_confusable_hypotheses(
                heard, lambda texts: self.rescore(_words_of(heard, AFTER_SECONDS), texts)
            )

    def rescore(self, pcm: bytes, texts: list[str]) -> dict[str, float]:
        """Return the log-likelihood of those of *texts* that *pcm* may be, all equally likely beforehand.

        Takes 0.05 to 0.1 of the length of the sound; done only where :func:`add_confusable_hypotheses` has a twin to compare.
        """
        import vosk

        decoder = vosk.KaldiRecognizer(self._model, RATE, json.dumps(texts))
        decoder.SetMaxAlternatives(MAX_HYPOTHESES)
        decoder.AcceptWaveform(RoomTone().under(SoundChunk(pcm)).pcm)
        found = json.loads(decoder.FinalResult()).get("alternatives", ())
        return {each["text"].strip(): float(each["confidence"]) for each in reversed(found)}
