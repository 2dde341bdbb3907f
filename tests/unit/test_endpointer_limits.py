"""The end of a call to the sample, and to the step of loudness: on each limit, and on both sides of it."""

from __future__ import annotations

from array import array

import pytest

from cutmemo.asr.endpointer import Endpointer
from cutmemo.audio.chunk import SoundChunk

FLOOR = 100
WORD = 4000
FRAME = 800
"""Samples: 50 ms at 16 kHz."""
PAUSE = 9600
"""Samples: 0.6 s at 16 kHz, twelve frames."""


def frames(*peaks: int) -> SoundChunk:
    """Return a frame for each of *peaks*, as loud as that all along."""
    return SoundChunk(array("h", [peak for peak in peaks for _ in range(FRAME)]).tobytes())


def muted(samples: int) -> SoundChunk:
    return SoundChunk(bytes(2 * samples), muted=True)


@pytest.mark.parametrize(("loudest", "heard"), [(599, False), (600, True), (601, True)])
def test_what_is_six_times_the_floor_was_said(loudest: int, heard: bool) -> None:
    pause = Endpointer()
    pause.after(frames(FLOOR, loudest))
    assert pause.after(frames(*[FLOOR] * 12)) is heard


@pytest.mark.parametrize(("peak", "still"), [(169, True), (170, True), (171, False)])
def test_up_to_1_7_times_the_floor_nothing_is_said(peak: int, still: bool) -> None:
    pause = Endpointer()
    pause.after(frames(FLOOR, WORD))
    assert pause.after(frames(*[FLOOR] * 11, peak)) is still


@pytest.mark.parametrize("quiet", [0, 1, 11])
def test_a_pause_is_over_at_its_last_sample(quiet: int) -> None:
    pause = Endpointer()
    pause.after(frames(FLOOR, WORD, *[FLOOR] * quiet))
    assert not pause.after(muted(PAUSE - quiet * FRAME - 1))
    assert pause.after(muted(1))


@pytest.mark.parametrize("begun", [False, True])
def test_the_first_sound_of_an_unknown_place_is_its_floor_and_counts_as_still(begun: bool) -> None:
    """Nothing is known yet: a call that begins with the recording still ends, at most a frame sooner."""
    pause = Endpointer()
    if begun:
        pause.begin()
    pause.after(frames(WORD, FLOOR))
    assert not pause.after(muted(PAUSE - 2 * FRAME - 1))
    assert pause.after(muted(1))


def test_what_was_said_before_the_next_call_is_no_part_of_it() -> None:
    pause = Endpointer()
    assert pause.after(frames(FLOOR, WORD, *[FLOOR] * 12))
    pause.begin()
    assert not pause.after(frames(*[FLOOR] * 24))
    assert not pause.after(frames(WORD, *[FLOOR] * 11))
    assert pause.after(frames(FLOOR))
