"""Vosk, kept behind one class: chunks of sound in, partial words and finished utterances out."""

from __future__ import annotations

import json
import logging
import os
from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

from cutmemo.asr.attention import Attention
from cutmemo.asr.confusions import add_confusable_hypotheses
from cutmemo.asr.endpointer import Endpointer
from cutmemo.asr.hypotheses import Hypothesis, Partial, Recognition
from cutmemo.asr.rejoin import (
    AROUND_SECONDS,
    RIGHT_BEHIND_SECONDS,
    Rejoiner,
    with_pauses_short,
    words_of,
)
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
"""Words this close to such a cut may belong together across it; the decoder knows them up to a
second late.

The net looks 0.45 s ahead, and works in pieces of 0.42 s (``conf/model.conf``).
"""
SILENCE_MARGIN = 1.0
"""So close to nothing at all (log-likelihood), something may have been said after all."""
AFTER_SECONDS = 0.3
"""How much sound after the last word is heard once more with it: the end of a word is known to a
tenth of a second or two.
"""
_NEEDED = ("am/final.mdl", "conf/mfcc.conf", "conf/model.conf")


def model_folder(chosen: str | None = None) -> Path:
    """Return the model to use: *chosen*, else ``CUTMEMO_MODEL``, else the one that travels with the
    program.
    """
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
    """Return the phrases made only of words the model has; a phrase with a hole in it would
    mislead.
    """
    words = {word for phrase in phrases for word in phrase.split()}
    missing = {word for word in words if model.vosk_model_find_word(word) < 0}
    return [phrase for phrase in phrases if missing.isdisjoint(phrase.split())]


def _near(heard: Recognition, cuts: tuple[float, ...]) -> Recognition:
    """Return *heard*, marked where it begins or ends where endless sound was cut: the rest of it
    may be on the other side.
    """
    close = any(
        heard.start_seconds - CLOSE_SECONDS < cut < heard.end_seconds + CLOSE_SECONDS
        for cut in cuts
    )
    return replace(heard, partly_muted=True) if close else heard


def _unknown(heard: Recognition) -> bool:
    """Return whether there is sound in *heard* but no word, or one alone that may be noise or
    nothing as well.
    """
    best = heard.hypotheses[0]
    if not best.text:
        return any(
            best.log_likelihood - each.log_likelihood <= SILENCE_MARGIN
            for each in heard.hypotheses[1:]
        )
    one_word = len(best.text.split()) == 1 and not all(each.is_speech for each in heard.hypotheses)
    return one_word or not best.is_speech


def _after(heard: Recognition, before: Recognition | None) -> Recognition:
    """Return *heard*, marked where what came right *before* was as loud and is unknown: the call
    may have begun there.
    """
    unknown = (
        before is not None
        and _unknown(before)
        and heard.start_seconds - before.end_seconds < RIGHT_BEHIND_SECONDS
        and similar_level(words_of(before), words_of(heard))
    )
    return replace(heard, after_unintelligible=True) if unknown else heard


def _log_utterance(heard: Recognition) -> None:
    """Write down what was heard, how sure the decoder is, and how far it stands out of the
    noise.
    """
    if _log.isEnabledFor(logging.INFO):
        scores = ", ".join(f"{each.text!r} {each.log_likelihood:.2f}" for each in heard.hypotheses)
        start, end, snr = heard.start_seconds, heard.end_seconds, snr_db(heard.pcm)
        _log.info("heard from %.2f to %.2f s, SNR %s dB: %s", start, end, snr, scores)


class Recogniser:
    """Hears calls with one model. *phrases* narrows it to what can be said; ``None`` uses the
    model's own graph.
    """

    def __init__(self, model: Any, phrases: tuple[str, ...] | None = None) -> None:
        """Make a decoder on a loaded *model*."""
        self._grammar = (
            (json.dumps([*_known(model, phrases), "[unk]"]),) if phrases is not None else ()
        )
        self._model = model
        self._earlier = 0.0
        """How many seconds of other sound the decoder, whose clock never starts anew, had
        before.
        """
        self._decoder = self._new_decoder()

    def _new_decoder(self) -> Any:
        import vosk

        decoder = vosk.KaldiRecognizer(self._model, RATE, *self._grammar)
        decoder.SetMaxAlternatives(MAX_HYPOTHESES)
        decoder.SetWords(True)
        return decoder

    def attention(self, words: str, folder: Path) -> Attention:
        """Return what waits for *words*. Raises :class:`NoModel` where the model, of *folder*, does
        not have them.
        """
        unknown = [
            word for word in words.lower().split() if self._model.vosk_model_find_word(word) < 0
        ]
        if unknown:
            raise NoModel(folder, f"it does not know “{unknown[0]}” of the attention words")
        return Attention(words)

    def hear(
        self,
        sound: Iterable[SoundChunk],
        stop: Callable[[], bool] = lambda: False,
        held: Callable[[], bool] = lambda: False,
        over: Callable[[], None] = lambda: None,
    ) -> Iterator[Partial | Recognition]:
        """Yield partial words and utterances until *sound* ends or *stop* is true.

        As long as *held* is true all is one utterance, whatever pauses are in it. *over* is called
        wherever nothing that was said so far is still to come.
        """
        since, said, seconds, cut_at, holds = 0.0, "", 0.0, -CLOSE_SECONDS, False
        tone, pause, kept = RoomTone(), Endpointer(), bytearray()
        rejoiner, before = Rejoiner(self.decode, self.rescore), None
        for chunk in sound:
            seconds += chunk.seconds
            since += chunk.seconds
            if stop():
                break
            held_before, holds = holds, held()
            if holds and not held_before:
                until = seconds - chunk.seconds
                for heard in self._said(self._decoder.FinalResult(), until, bytes(kept)):
                    yield rejoiner.after(_near(_after(heard, before), (cut_at,)))
                before, since = None, chunk.seconds
                kept.clear()
                rejoiner.forget()
            kept += chunk.pcm
            cut_at = seconds if chunk.cut_off else cut_at
            toned = tone.under(chunk)
            ended, still = bool(self._decoder.AcceptWaveform(toned.pcm)), pause.after(toned)
            partial = (
                said if ended else json.loads(self._decoder.PartialResult()).get("partial", "")
            )
            if partial != said:
                said = partial
                yield Partial(partial)
            let_go = held_before and not holds
            still = (still or let_go) and not holds
            ended = (ended and not holds) or still
            if ended or since > MAX_UTTERANCE_SECONDS:
                cuts = (cut_at,) if ended else (cut_at, seconds)
                result = self._decoder.FinalResult() if still else self._decoder.Result()
                found = [*self._said(result, seconds, bytes(kept))]
                for heard in found:
                    near = _near(_after(heard, before), cuts)
                    whole = let_go or holds
                    yield replace(near, held=True) if whole else rejoiner.after(near)
                    before = None if whole else heard
                if said and not found:
                    yield Partial("")
                cut_at = cuts[-1]
                since, said = 0.0, ""
                kept.clear()
                pause.begin()
                over()
        last = list(self._said(self._decoder.FinalResult(), seconds, bytes(kept)))
        self._earlier += seconds
        for heard in last:
            near = _near(_after(heard, before), (cut_at,))
            yield replace(near, held=True) if holds else rejoiner.after(near)
        over()

    def _said(self, result: str, seconds: float, pcm: bytes) -> Iterator[Recognition]:
        """Yield what was heard, weighed with what it is with its pauses made short."""
        for heard in self._utterance(result, seconds, pcm):
            yield with_pauses_short(heard, words_of(heard, AFTER_SECONDS), self.decode)

    def decode(self, pcm: bytes) -> Recognition | None:
        """Return what *pcm* is as one utterance, heard by itself; ``None`` where it is nothing.

        Takes about 0.1 of the length of the sound.
        """
        decoder = self._new_decoder()
        decoder.AcceptWaveform(RoomTone().under(SoundChunk(pcm)).pcm)
        result, seconds = decoder.FinalResult(), len(pcm) / (2 * RATE)
        return next(self._utterance(result, seconds, pcm, earlier=0.0), None)

    def _utterance(
        self, result: str, seconds: float, pcm: bytes, earlier: float | None = None
    ) -> Iterator[Recognition]:
        """Yield what was heard, if it was anything; *pcm* is all sound since the utterance before,
        up to *seconds*.

        *earlier* is how much other sound the decoder had before; that of the stream where it is
        left out.
        """
        earlier = self._earlier if earlier is None else earlier
        best: dict[str, Hypothesis] = {}
        start, end = seconds, 0.0
        for each in json.loads(result).get("alternatives", ()):
            text = each["text"].strip()
            if text not in best:
                best[text] = Hypothesis(text, float(each["confidence"]))
            words = each.get("result", ())
            if words:
                start, end = (
                    min(start, words[0]["start"] - earlier),
                    max(end, words[-1]["end"] - earlier),
                )
        if any(best):
            begun = seconds - len(pcm) / (2 * RATE)
            first = 2 * max(0, int((start - AROUND_SECONDS - begun) * RATE))
            heard = Recognition(
                tuple(best.values()),
                start,
                end,
                pcm[first:],
                pcm_start_seconds=begun + first / (2 * RATE),
            )
            _log_utterance(heard)
            yield add_confusable_hypotheses(
                heard, lambda texts: self.rescore(words_of(heard, AFTER_SECONDS), texts)
            )

    def rescore(self, pcm: bytes, texts: list[str]) -> dict[str, float]:
        """Return the log-likelihood of those of *texts* that *pcm* may be, all equally likely
        beforehand.

        Takes 0.05 to 0.1 of the length of the sound; done only where there is something to compare.
        """
        import vosk

        decoder = vosk.KaldiRecognizer(self._model, RATE, json.dumps(texts))
        decoder.SetMaxAlternatives(MAX_HYPOTHESES)
        decoder.AcceptWaveform(RoomTone().under(SoundChunk(pcm)).pcm)
        found = json.loads(decoder.FinalResult()).get("alternatives", ())
        return {each["text"].strip(): float(each["confidence"]) for each in reversed(found)}
