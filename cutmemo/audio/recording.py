"""Recordings: a WAV file in, chunks at 16 kHz mono out."""

from __future__ import annotations

import wave
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING

from cutmemo.audio.chunk import CHUNK_SAMPLES, RATE, SoundChunk
from cutmemo.errors import BadSound, SoundFault

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Samples = NDArray[np.int64]

UNKNOWN_BYTES = 0x7FFF_0000
"""A header that promises this much or more was written before anybody knew how much would come."""
LEAD_SECONDS = 0.2
TRAIL_SECONDS = 1.0
"""Silence put before and after, so that a clip cut close still begins and ends for the
recogniser.
"""


def recording(path: Path) -> Iterator[SoundChunk]:
    """Return the sound of a WAV file in chunks, with silence around it. Raises :class:`BadSound` at
    once.

    Where the file ends before its header says, the last chunk of its sound is marked as cut off.
    """
    lead, trail = (bytes(2 * int(RATE * seconds)) for seconds in (LEAD_SECONDS, TRAIL_SECONDS))
    samples, whole = _samples(path)
    sound = lead + samples.astype("<i2").tobytes()
    return _chunks(sound + trail, None if whole else len(sound))


def _chunks(pcm: bytes, cut_off_at: int | None) -> Iterator[SoundChunk]:
    size = 2 * CHUNK_SAMPLES
    for start in range(0, len(pcm), size):
        ends = cut_off_at is not None and start < cut_off_at <= start + size
        yield SoundChunk(pcm[start : start + size], ends)


def _samples(path: Path) -> tuple[Samples, bool]:
    """Return the samples of *path*, brought to 16 kHz mono, and whether they are as many as its
    header says.
    """
    try:
        with wave.open(str(path), "rb") as file:
            channels, width, rate = file.getnchannels(), file.getsampwidth(), file.getframerate()
            if width != 2:
                raise BadSound(path, SoundFault.BITS, 8 * width)
            if not 4_000 <= rate <= 192_000:
                raise BadSound(path, SoundFault.RATE, rate)
            frames = file.getnframes()
            pcm = file.readframes(frames)
    except (
        wave.Error,
        EOFError,
        RuntimeError,
    ) as error:  # RuntimeError: a part reaches past its whole
        raise BadSound(path, str(error) or SoundFault.ENDS_TOO_EARLY) from error
    except BadSound:
        raise
    except OSError as error:
        raise BadSound(path, error.strerror or str(error)) from error
    promised = frames * width * channels
    whole = len(pcm) >= promised or promised >= UNKNOWN_BYTES
    return resampled(_mixed(pcm, channels), rate), whole


def _mixed(pcm: bytes, channels: int) -> Samples:
    """Return all channels of *pcm* averaged to one; half a frame at its end is left out."""
    import numpy as np  # deferred: 0.1 s, and typing needs none of it

    frames = len(pcm) // (2 * channels)
    samples = np.frombuffer(pcm, "<i2", frames * channels).astype(np.int64)
    mixed: Samples = samples.reshape(frames, channels).sum(axis=1) // channels
    return mixed


def resampled(samples: Samples, rate: int) -> Samples:
    """Return *samples* at :data:`RATE`, low-passed first where *rate* is higher, then by straight
    lines.
    """
    import numpy as np

    if rate == RATE or not len(samples):
        return samples
    smooth = _averaged(samples, max(1, round(rate / RATE)))
    whole, part = np.divmod(np.arange(len(smooth) * RATE // rate, dtype=np.int64) * rate, RATE)
    here, after = smooth[whole], smooth[np.minimum(whole + 1, len(smooth) - 1)]
    between: Samples = here + (after - here) * part // RATE
    return between


def _averaged(samples: Samples, width: int) -> Samples:
    """Return the running mean over *width* samples from each on, with silence behind the last."""
    import numpy as np

    sums = np.cumsum(np.concatenate([[0], samples, np.zeros(width, np.int64)]))
    means: Samples = (sums[width:-1] - sums[: -width - 1]) // width
    return means
