"""Recordings: a WAV file in, chunks at 16 kHz mono out."""

from __future__ import annotations

import sys
import wave
from array import array
from collections.abc import Iterator
from pathlib import Path

from cutmemo.audio.chunk import CHUNK_SAMPLES, RATE, SoundChunk
from cutmemo.errors import BadSound

LEAD_SECONDS = 0.2
TRAIL_SECONDS = 1.0
"""Silence put before and after, so that a clip cut close still begins and ends for the recogniser."""


def recording(path: Path) -> Iterator[SoundChunk]:
    """Return the sound of a WAV file in chunks, with silence around it. Raises :class:`BadSound` at once."""
    samples = _samples(path)
    quiet = array("h", bytes(2 * int(RATE * LEAD_SECONDS)))
    after = array("h", bytes(2 * int(RATE * TRAIL_SECONDS)))
    return _chunks(quiet + samples + after)


def _chunks(samples: array[int]) -> Iterator[SoundChunk]:
    for start in range(0, len(samples), CHUNK_SAMPLES):
        yield SoundChunk(samples[start : start + CHUNK_SAMPLES].tobytes())


def _samples(path: Path) -> array[int]:
    """Return all samples of *path*, brought to 16 kHz mono."""
    try:
        with wave.open(str(path), "rb") as file:
            channels, width, rate = file.getnchannels(), file.getsampwidth(), file.getframerate()
            if width != 2:
                raise BadSound(path, f"its samples have {8 * width} bits")
            if not 4_000 <= rate <= 192_000:
                raise BadSound(path, f"its rate of {rate} samples a second is out of range")
            samples = array("h", file.readframes(file.getnframes()))
    except (wave.Error, EOFError) as error:
        raise BadSound(path, str(error) or "it ends too early") from error
    except BadSound:
        raise
    except OSError as error:
        raise BadSound(path, error.strerror or str(error)) from error
    if sys.byteorder == "big":
        samples.byteswap()
    mono = samples if channels == 1 else _mixed(samples, channels)
    return mono if rate == RATE else resampled(mono, rate)


def _mixed(samples: array[int], channels: int) -> array[int]:
    """Return all channels averaged to one."""
    frames = len(samples) // channels
    return array(
        "h", (sum(samples[k * channels : (k + 1) * channels]) // channels for k in range(frames))
    )


def resampled(samples: array[int], rate: int) -> array[int]:
    """Return *samples* at :data:`RATE`, low-passed first where *rate* is higher, then by straight lines."""
    smooth = _averaged(samples, max(1, round(rate / RATE)))
    length = len(smooth) * RATE // rate
    out = array("h", bytes(2 * length))
    last = len(smooth) - 1
    for k in range(length):
        whole, part = divmod(k * rate, RATE)
        here = smooth[whole]
        out[k] = here + (smooth[min(whole + 1, last)] - here) * part // RATE
    return out


def _averaged(samples: array[int], width: int) -> array[int]:
    """Return the running mean over *width* samples."""
    if width == 1:
        return samples
    total = sum(samples[:width])
    out = array("h", bytes(2 * len(samples)))
    for k in range(len(samples)):
        out[k] = total // width
        total += (samples[k + width] if k + width < len(samples) else 0) - samples[k]
    return out
