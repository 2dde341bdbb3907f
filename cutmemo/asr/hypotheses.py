"""What a recogniser gives back."""

from __future__ import annotations

from dataclasses import dataclass, field

GARBAGE = "[unk]"
"""The word for sound that is none of the phrases."""


@dataclass(frozen=True, slots=True)
class Hypothesis:
    """One way to hear an utterance."""

    text: str
    log_likelihood: float
    """Log-likelihood of the whole utterance; only differences within one utterance mean
    anything.
    """

    @property
    def is_speech(self) -> bool:
        """Return whether anything but garbage was heard."""
        return bool(self.text) and GARBAGE not in self.text.split()


@dataclass(frozen=True, slots=True)
class Recognition:
    """One utterance, its alternatives from the best down, each text once."""

    hypotheses: tuple[Hypothesis, ...]
    start_seconds: float = 0.0
    end_seconds: float = 0.0
    pcm: bytes = field(default=b"", repr=False, compare=False)
    """The sound of it, 16-bit mono at 16 kHz, where it is kept."""
    partly_muted: bool = False
    """True where some of it may have been said while nobody listened."""
    after_unintelligible: bool = False
    """True where somebody as loud said something right before that was not understood."""
    pcm_start_seconds: float = 0.0
    """When :attr:`pcm` begins, on the clock of :attr:`start_seconds`."""
    follows: Recognition | None = field(default=None, repr=False, compare=False)
    """The utterance that ended moments before it, where one did (``asr.rejoin``)."""
    joined: Recognition | None = field(default=None, repr=False, compare=False)
    """Both as one sound with the pause between them shortened, where they may be one call."""
    right_behind: bool = False
    """True where it is as loud as :attr:`follows` and right behind it."""

    held: bool = False
    """True where its ends are those of a key that was held: no pause ended it."""

    @property
    def text(self) -> str:
        """Return the words of the best alternative."""
        return self.hypotheses[0].text if self.hypotheses else ""


@dataclass(frozen=True, slots=True)
class Partial:
    """The words so far, while somebody is speaking."""

    text: str
