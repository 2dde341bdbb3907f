"""Recordings of any usual kind come in as 16 kHz mono; what cannot be heard is named."""

from __future__ import annotations

import math
import random
import wave
from array import array
from collections.abc import Callable
from contextlib import AbstractContextManager
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import filelock
import platformdirs
import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutmemo.audio.chunk import RATE, SoundChunk
from cutmemo.audio.level import FRAME, snr_db
from cutmemo.audio.microphone import microphone
from cutmemo.audio.player import answer, listening, muted, question, refusal, spelled, tone
from cutmemo.audio.recording import LEAD_SECONDS, TRAIL_SECONDS, recording
from cutmemo.audio.room_tone import RoomTone
from cutmemo.bundle import bundled
from cutmemo.domain.cut import Allowance, Cut
from cutmemo.domain.length import Length
from cutmemo.errors import BadSound, NoMicrophone
from cutmemo.language import digits_of, read
from cutmemo.language.lexicon.en import ALLOWANCES, SLIGHT

Refuses = Callable[[type[Exception], str], AbstractContextManager[Any]]


def write(
    path: Path,
    rate: int = RATE,
    channels: int = 1,
    width: int = 2,
    seconds: float = 0.5,
    hertz: float = 440,
) -> Path:
    samples = array(
        "h",
        (
            int(9000 * math.sin(2 * math.pi * hertz * (k // channels) / rate))
            for k in range(int(rate * seconds) * channels)
        ),
    )
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(width)
        file.setframerate(rate)
        file.writeframes(samples.tobytes() if width == 2 else bytes(len(samples) * width))
    return path


def heard(path: Path) -> array[int]:
    return array("h", b"".join(chunk.pcm for chunk in recording(path)))


@pytest.mark.parametrize("rate", [8000, 11025, 16000, 22050, 44100, 48000])
@pytest.mark.parametrize("channels", [1, 2])
def test_any_usual_rate_comes_in_at_16_khz_with_its_pitch(
    tmp_path: Path, rate: int, channels: int
) -> None:
    samples = heard(write(tmp_path / "a.wav", rate, channels))
    lead = int(RATE * LEAD_SECONDS)
    inner = samples[lead + 800 : lead + 800 + 6400]
    assert len(samples) == pytest.approx(RATE * (0.5 + LEAD_SECONDS + TRAIL_SECONDS), abs=4)
    crossings = sum((a < 0) != (b < 0) for a, b in zip(inner, inner[1:], strict=False))
    assert crossings == pytest.approx(2 * 440 * 0.4, abs=4)


@pytest.mark.parametrize(
    ("make", "why"),
    [
        (lambda p: p.write_bytes(b"RIFFxxxx"), "cannot be heard"),
        (lambda p: p.write_bytes(b""), "cannot be heard"),
        (lambda p: p.mkdir(), "cannot be heard"),
        (lambda p: write(p, width=1), "8 bits"),
        (lambda p: write(p, rate=1000), "out of range"),
        (lambda p: None, "No such file"),
    ],
)
def test_what_is_no_recording_is_named(
    tmp_path: Path, make: object, why: str, refuses: Refuses
) -> None:
    path = tmp_path / "a.wav"
    make(path)  # type: ignore[operator]
    with refuses(BadSound, why):
        recording(path)


def write_samples(path: Path, samples: array[int], rate: int, channels: int) -> Path:
    with wave.open(str(path), "wb") as file:
        file.setnchannels(channels)
        file.setsampwidth(2)
        file.setframerate(rate)
        file.writeframes(samples.tobytes())
    return path


SAMPLES = st.lists(st.integers(-32_768, 32_767), max_size=400).map(lambda s: array("h", s))


@given(SAMPLES, st.sampled_from([4_000, 11_025, RATE, 22_050, 48_000, 96_000]), st.integers(1, 3))
def test_a_recording_comes_in_exactly_as_the_rule_says(
    tmp_path_factory: pytest.TempPathFactory, samples: array[int], rate: int, channels: int
) -> None:
    path = write_samples(tmp_path_factory.getbasetemp() / "a.wav", samples, rate, channels)
    lead, trail = int(RATE * LEAD_SECONDS), int(RATE * TRAIL_SECONDS)
    # The rule, sample by sample in whole numbers, rounded down at each step: the mean of the channels, the mean of
    # as many samples as the rate is times ours (with silence behind the end), then straight lines between samples.
    frames = len(samples) // channels
    mono = [sum(samples[k * channels : (k + 1) * channels]) // channels for k in range(frames)]
    width = max(1, round(rate / RATE))
    smooth = [sum(mono[k : k + width]) // width for k in range(frames)]
    expected = []
    for k in range(frames * RATE // rate):
        at, part = divmod(k * rate, RATE)
        here, after = smooth[at], smooth[min(at + 1, frames - 1)]
        expected.append(here + (after - here) * part // RATE)
    assert list(heard(path)) == [0] * lead + expected + [0] * trail


def test_an_empty_recording_is_silence(tmp_path: Path) -> None:
    assert set(heard(write(tmp_path / "a.wav", seconds=0))) == {0}


def test_every_word_of_a_read_back_has_a_clip() -> None:
    cuts = [Cut(Length(F(n, 64)), 2) for n in range(1, 64 * 130)]
    cuts += [
        Cut(cuts[0].length, allowance=Allowance(word, side))
        for (word,), side in ALLOWANCES.meanings.items()
    ]
    cuts += [
        Cut(cuts[0].length, allowance=Allowance(f"a {word} under", "under")) for (word,) in SLIGHT
    ]
    words = {word for cut in cuts for word in digits_of(cut)} | {"or"}
    words |= {word for cut in cuts for word in digits_of(cut, "feet")}
    assert not [word for word in words if not (bundled("clips") / f"{word}.wav").is_file()]


def test_a_read_back_is_as_long_as_its_clips() -> None:
    assert len(spelled(["one", "half"])) > len(spelled(["one"])) > RATE // 10


def test_a_question_rises_and_a_refusal_is_low() -> None:
    low, height = tone([520.0]), tone([780.0])
    assert question([])[: len(low)] == low
    assert question([])[len(low) :] == height
    assert max(refusal()) > 3000


def test_no_two_signals_sound_alike() -> None:
    signals = [
        sound.tobytes() for sound in (question([]), answer([]), refusal(), listening(), muted())
    ]
    assert len(set(signals)) == 5
    assert max(listening()) > 3000
    assert max(muted()) > 3000


def test_room_tone_is_faint_and_the_same_each_time() -> None:
    silence = SoundChunk(bytes(2 * RATE))
    tone = array("h", RoomTone().under(silence).pcm)
    level = (sum(x * x for x in tone) / len(tone)) ** 0.5
    # Steps of 16 bits: full scale is 32,768, so that −64 dB is a level of 20.7.
    assert 20 * math.log10(level / 32_768) == pytest.approx(-64, abs=1)
    assert RoomTone().under(silence) == RoomTone().under(silence)


def test_room_tone_goes_on_from_chunk_to_chunk_and_never_overflows() -> None:
    whole = RoomTone().under(SoundChunk(bytes(2 * 5000)))
    parts = RoomTone()
    assert (
        b"".join(parts.under(SoundChunk(bytes(2 * n))).pcm for n in (1600, 1600, 1800)) == whole.pcm
    )
    loud = SoundChunk(array("h", [32_767, -32_768] * 800).tobytes())
    mixed = array("h", RoomTone().under(loud).pcm)
    assert all(a > 32_000 for a in mixed[::2])
    assert all(a < -32_000 for a in mixed[1::2])


LOUD = st.sampled_from([-32_768, -32_767, -32_750, 0, 32_750, 32_767])


@given(st.lists(st.lists(LOUD, max_size=50), max_size=6))
def test_room_tone_is_added_sample_by_sample(chunks: list[list[int]]) -> None:
    one_second = array("h", RoomTone().under(SoundChunk(bytes(2 * RATE))).pcm)
    tone, at = RoomTone(), 0
    for chunk in chunks:
        mixed = array("h", tone.under(SoundChunk(array("h", chunk).tobytes())).pcm)
        sums = [a + one_second[(at + k) % RATE] for k, a in enumerate(chunk)]
        at += len(chunk)
        if any(not -32_768 <= each <= 32_767 for each in sums):
            sums = [max(-32_767, min(32_767, each)) for each in sums]
        assert list(mixed) == sums


def test_levels_are_exact_to_the_last_digit() -> None:
    r = random.Random(3)
    quiet, loud = (
        array("h", (round(r.gauss(0, level)) for _ in range(10 * FRAME))) for level in (30, 3_000)
    )
    # Decibels over one step of 16 bits, in frames of 20 ms, by the definition: 10 log10(mean square + 1).
    frames = [part[at : at + FRAME] for part in (quiet, loud) for at in range(0, 10 * FRAME, FRAME)]
    levels = sorted(10 * math.log10(sum(s * s for s in frame) / FRAME + 1) for frame in frames)
    assert snr_db((quiet + loud).tobytes()) == levels[9 * 19 // 10] - levels[19 // 10]
    assert snr_db((quiet + loud).tobytes() + b"\0") == snr_db((quiet + loud).tobytes())


def test_two_windows_do_not_both_listen(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, refuses: Refuses
) -> None:
    monkeypatch.setattr(platformdirs, "user_runtime_dir", lambda *_args, **_more: str(tmp_path))
    lock = filelock.FileLock(tmp_path / "cutmemo-microphone.lock", timeout=0)
    with lock, refuses(NoMicrophone, "Another window"):
        next(microphone(lambda: True))
    opened: list[str] = []

    class Stream:
        def __init__(self, **_settings: object) -> None:
            opened.append("opened")

        def __enter__(self) -> None: ...

        def __exit__(self, *_error: object) -> None: ...

    library = type("Library", (), {"RawInputStream": Stream, "PortAudioError": OSError})
    monkeypatch.setattr("cutmemo.audio.microphone.sounddevice", lambda: library)
    assert list(microphone(lambda: True)) == []
    assert list(microphone(lambda: True)) == []  # the first has let go
    assert opened == ["opened", "opened"]


@pytest.mark.parametrize(
    "said, words", [("2438mm", "ninety six inches"), ("101.3", "one zero one and five sixteenths")]
)
def test_a_length_no_tape_has_is_read_to_the_nearest_sixteenth(said: str, words: str) -> None:
    # NIST SP 811, app. B: an inch is 25.4 mm, so 2438 mm are 95.984 in., 96 in. on a tape of sixteenths.
    (reading,) = read(said)
    assert isinstance(reading.intent, Cut)
    assert " ".join(digits_of(reading.intent)) == words.removesuffix(" inches")


def test_an_answer_does_not_sound_like_a_fresh_call() -> None:
    words = ("seven", "four")
    assert answer(words)[-len(spelled(words)) :] == spelled(words)
    assert len({answer(words).tobytes(), question(words).tobytes(), spelled(words).tobytes()}) == 3
