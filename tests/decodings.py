"""What the decoder answered to every sound of the bench, kept: the whole program hears the bench in a tenth of the time.

All but 2 % of the time of the bench is the decoder's. Its answer to one sound, with one model, is always the
same; so it is kept by a digest of the model and of all that the decoder was given so far. What was never given
so is decoded: a change of the sound that reaches the decoder, in ``cutmemo/audio`` or ``cutmemo/asr``, only
costs time. Everything else of the program runs as it is.
"""

from __future__ import annotations

import hashlib
import json
import lzma
from array import array
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from functools import cache
from importlib.metadata import version
from pathlib import Path
from typing import Any
from unittest import mock

DIGEST_BYTES = 5
"""Of 130,000 answers none is taken for another: once in some 10 million that are looked up."""
Answers = dict[bytes, str]


@cache
def fingerprint(model: Path) -> str:
    """Return what tells the model in a folder, and the decoder that hears with it, from others."""
    found = hashlib.blake2b(version("vosk").encode(), digest_size=16)
    for file in sorted(each for each in model.rglob("*") if each.suffix not in (".md", "")):
        found.update(file.relative_to(model).as_posix().encode() + file.read_bytes())
    return found.hexdigest()


@dataclass
class Decodings:
    """The answers of the decoder with one model."""

    model: str
    kept: Answers = field(default_factory=dict)
    used: Answers = field(default_factory=dict)
    """Those that were asked for, kept or new."""
    decoded: int = 0
    """How many were not kept."""

    @classmethod
    def of(cls, file: Path, model: Path) -> Decodings:
        """Return those in *file*, none where they are of another model."""
        found = cls(fingerprint(model))
        if file.exists():
            head, _, rest = lzma.decompress(file.read_bytes()).partition(b"\n")
            plain = json.loads(head)
            if plain["model"] == found.model:
                size = DIGEST_BYTES * plain["number"]
                which = array("I", rest[size:])
                found.kept = {
                    rest[at : at + DIGEST_BYTES]: plain["answers"][n]
                    for at, n in zip(range(0, size, DIGEST_BYTES), which, strict=True)
                }
        return found

    def write(self, file: Path) -> None:
        """Write what was asked for into *file*."""
        number = {answer: n for n, answer in enumerate(dict.fromkeys(self.used.values()))}
        head = {"model": self.model, "number": len(self.used), "answers": [*number]}
        which = array("I", [number[answer] for answer in self.used.values()])
        plain = json.dumps(head).encode() + b"\n" + b"".join(self.used) + which.tobytes()
        file.write_bytes(lzma.compress(plain, preset=9 | lzma.PRESET_EXTREME))

    @contextmanager
    def answer(self) -> Iterator[None]:
        """Answer for the decoder wherever one is made meanwhile."""
        import vosk

        real = vosk.KaldiRecognizer

        def made(*given: Any) -> _Decoder:
            return _Decoder(self, real, given)

        with mock.patch.object(vosk, "KaldiRecognizer", made):
            yield


class _Decoder:
    """Stands where Vosk's recogniser would, under its names; becomes one where it is given what was never decoded."""

    def __init__(
        self, decodings: Decodings, real: Callable[..., Any], given: tuple[Any, ...]
    ) -> None:
        self._decodings, self._real, self._given = decodings, real, given
        self._decoder: Any = None
        self._past: list[tuple[str, tuple[Any, ...]]] = []
        self._caught_up, self._last = 0, None
        self._digest = hashlib.blake2b(decodings.model.encode(), digest_size=DIGEST_BYTES)
        self._digest.update(repr(given[1:]).encode())

    def SetMaxAlternatives(self, most: int) -> None:  # noqa: N802
        self._give("SetMaxAlternatives", most)

    def SetWords(self, words: bool) -> None:  # noqa: N802
        self._give("SetWords", words)

    def AcceptWaveform(self, pcm: bytes) -> bool:  # noqa: N802
        return self._ask("AcceptWaveform", bytes(pcm)).startswith("1")

    def PartialResult(self) -> str:  # noqa: N802
        """Answer with the words so far, kept with whether the utterance was over."""
        key, used = self._digest.digest(), self._decodings.used
        if len(used[key]) == 1:
            self._catch_up()
            used[key] += str(self._decoder.PartialResult())
        return used[key][1:]

    def Result(self) -> str:  # noqa: N802
        return self._ask("Result")

    def FinalResult(self) -> str:  # noqa: N802
        return self._ask("FinalResult")

    def _ask(self, name: str, *given: Any) -> str:
        self._give(name, *given)
        key, kept, used = self._digest.digest(), self._decodings.kept, self._decodings.used
        if key not in used and key in kept:
            used[key] = kept[key]
        if key not in used:
            self._decodings.decoded += 1
            used[key] = str(self._catch_up())
        return used[key]

    def _catch_up(self) -> Any:
        """Give the decoder what it was not given yet, and return its last answer."""
        if self._decoder is None:
            self._decoder = self._real(*self._given)
        for name, given in self._past[self._caught_up :]:
            self._last = getattr(self._decoder, name)(*given)
        self._caught_up = len(self._past)
        return self._last

    def _give(self, name: str, *given: Any) -> None:
        self._past.append((name, given))
        self._digest.update(name.encode())
        for each in given:
            self._digest.update(each if isinstance(each, bytes) else repr(each).encode())
