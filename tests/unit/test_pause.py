"""When a call is over in a quiet place, and that a pause in noise is left to the recogniser."""

from __future__ import annotations

import math
import random
from array import array

import pytest

from cutmemo.asr.endpointer import SECONDS, Endpointer
from cutmemo.audio.chunk import CHUNK_SAMPLES, RATE, SoundChunk
from cutmemo.audio.peaks import FRAME, Peaks


def sound(seconds: float, tone: float, noise: float = 8.0) -> array[int]:
    """Return a tone of so many steps in noise of so many."""
    r = random.Random(7)
    return array(
        "h",
        (
            round(tone * math.sin(2 * math.pi * 300 * k / RATE) + r.gauss(0, noise))
            for k in range(int(seconds * RATE))
        ),
    )


def told(pause: Endpointer, samples: array[int], size: int = CHUNK_SAMPLES) -> list[float]:
    """Return the seconds at which *pause* tells that nothing is said any more."""
    return [
        (at + size) / RATE
        for at in range(0, len(samples), size)
        if pause.after(SoundChunk(samples[at : at + size].tobytes()))
    ]


def test_a_call_is_over_when_nothing_was_said_for_so_long() -> None:
    assert told(Endpointer(), sound(1, 0) + sound(1, 4000) + sound(0.9, 0)) == pytest.approx(
        [2 + SECONDS, 2.7, 2.8, 2.9]
    )


@pytest.mark.parametrize("size", [320, 799, 1_280, 1_600, 4_000])
def test_however_long_the_chunks_are_a_pause_is_as_long(size: int) -> None:
    """A phone sends 1,280 samples at a time, a microphone here gives 1,600."""
    samples = sound(1, 0) + sound(1, 4000) + sound(1.2, 0)
    late = told(Endpointer(), samples, size)[0] - (2 + SECONDS)
    assert 0 <= late <= (FRAME + size) / RATE


@pytest.mark.parametrize("size", [320, 1_280, 1_600])
def test_what_nobody_heard_counts_as_still_for_as_long_as_it_lasts(size: int) -> None:
    pause = Endpointer()
    told(pause, sound(1, 0) + sound(1, 4000), CHUNK_SAMPLES)
    muted = [pause.after(SoundChunk(bytes(2 * size), muted=True)) for _ in range(RATE // size)]
    late = (muted.index(True) + 1) * size / RATE - SECONDS
    assert 0 <= late <= size / RATE


@pytest.mark.parametrize("size", [1, 320, 799, 1_280, 1_600, 3_333])
def test_the_peaks_are_those_of_the_sound_not_of_its_chunks(size: int) -> None:
    samples = sound(2, 900, 50)
    peaks = Peaks()
    found = [
        each
        for at in range(0, len(samples), size)
        for each in peaks.after(SoundChunk(samples[at : at + size].tobytes()))
    ]
    assert found == Peaks().after(SoundChunk(samples.tobytes()))
    assert max(peak for peak, _ in found) == max(map(abs, samples[: len(found) * FRAME]))


def test_a_shorter_pause_is_part_of_the_call() -> None:
    assert not told(Endpointer(), sound(1, 0) + sound(1, 4000) + sound(0.5, 0) + sound(1, 4000))


def test_a_soft_word_is_no_pause() -> None:
    assert not told(Endpointer(), sound(1, 0) + sound(1, 4000) + sound(1.5, 200))


@pytest.mark.parametrize("before", [0, 5000])
def test_before_anything_is_said_nothing_is_over(before: int) -> None:
    pause = Endpointer()
    told(pause, sound(1, before))
    pause.begin()
    assert not told(pause, sound(2, 0))


def test_in_noise_nothing_is_told() -> None:
    assert not told(Endpointer(), sound(1, 0, 800) + sound(1, 4000, 800) + sound(2, 0, 800))


def test_a_blow_of_a_hammer_makes_no_pause_of_the_words_after_it() -> None:
    assert not told(
        Endpointer(), sound(0.5, 0) + sound(0.1, 30000, 8) + sound(0.3, 0) + sound(2, 300)
    )


def test_digital_silence_is_still() -> None:
    assert told(Endpointer(), sound(1, 4000) + array("h", bytes(2 * RATE)))


@pytest.mark.parametrize(("tone", "told_of"), [(6000, True), (1000, False)])
def test_in_steady_noise_speech_well_above_it_has_an_end(tone: int, told_of: bool) -> None:
    """Six times the quietest frame, about 15 dB; what stands out less is left to the recogniser."""
    pause = Endpointer()
    found = told(pause, sound(1, 0, 250) + sound(1, tone, 250) + sound(1.2, 0, 250))
    assert bool(found) == told_of
    assert not told_of or found[0] == pytest.approx(2 + SECONDS, abs=0.1)


def test_silence_in_the_place_of_what_nobody_heard_says_nothing_of_the_place() -> None:
    """While the program spoke the microphone was muted: noise is no speech for that."""
    pause = Endpointer()
    told(pause, sound(1, 0, 250))
    for _ in range(5):
        pause.after(SoundChunk(bytes(2 * CHUNK_SAMPLES), muted=True))
    found = told(pause, sound(1, 0, 250) + sound(1, 6000, 250) + sound(1.2, 0, 250))
    assert found[0] == pytest.approx(2 + SECONDS, abs=0.1)


def test_silence_that_nobody_listened_to_counts_by_its_length() -> None:
    pause = Endpointer()
    told(pause, sound(1, 0) + sound(1, 4000))
    muted = SoundChunk(bytes(2 * CHUNK_SAMPLES), muted=True)
    chunks = math.ceil(SECONDS / muted.seconds)
    assert [pause.after(muted) for _ in range(chunks)] == [False] * (chunks - 1) + [True]
