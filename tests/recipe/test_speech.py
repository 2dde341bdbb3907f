"""Making speech: shards, strings of words, scripts, sample rates; no synthesiser is run."""

from __future__ import annotations

import random
import time
from collections.abc import Sequence
from pathlib import Path

import numpy as np
import pytest
from recipe.speech import pauses, script, synthesize
from recipe.speech.concatenate import PAUSES, QUIET, strings, trimmed
from recipe.speech.kokoro import HELD_OUT, from_espeak, to_16_khz
from recipe.speech.shards import RATE, Spoken, expand, read, write, write_all
from recipe.speech.small_voices import ENGINES, resampled

from cutmemo.audio.pauses import LEFT_SECONDS

VOICES = (
    "af_heart af_bella af_kore am_liam am_michael am_puck bf_emma bm_lewis bm_george jf_alpha zm_yunxi "
    "if_sara"
).split()


def tone(hertz: float, seconds: float, rate: int) -> np.ndarray:
    return np.sin(2 * np.pi * hertz * np.arange(round(seconds * rate)) / rate)


def word(seconds: float, silence: float) -> np.ndarray:
    quiet = np.zeros(round(silence * RATE))
    sound = np.concatenate([quiet, tone(300, seconds, RATE), quiet])
    return (sound * 8000).astype(np.int16)


def test_a_shard_is_read_as_it_was_written(tmp_path: Path) -> None:
    clips = [Spoken(word(0.1 * k, 0), f"text {k}", f"voice {k}") for k in (1, 2, 3)]
    write(tmp_path / "a.npz", clips)
    back = read(tmp_path / "a.npz")
    assert [(clip.text, clip.voice) for clip in back] == [(c.text, c.voice) for c in clips]
    assert all((one.sound == other.sound).all() for one, other in zip(back, clips, strict=True))
    assert [path.name for path in tmp_path.iterdir()] == ["a.npz"]


def test_a_folder_stands_for_its_whole_shards(tmp_path: Path) -> None:
    write_all(tmp_path, "tones", [Spoken(word(0.01, 0), "a", "b")] * 250)
    (tmp_path / "half.part.npz").write_bytes(b"")
    names = ["tones_00000.npz", "tones_00100.npz", "tones_00200.npz"]
    assert [path.name for path in expand(tmp_path)] == names
    assert sum(len(read(path)) for path in expand(tmp_path)) == 250


@pytest.mark.parametrize("silence", [0.0, 0.1, 0.7])
def test_the_silence_around_a_word_is_cut_off(silence: float) -> None:
    sound = trimmed(word(0.4, silence))
    assert 0.4 <= len(sound) / RATE <= 0.4 + 5 * 160 / RATE
    assert np.abs(sound[320:-320]).max() > QUIET * 8000


def test_a_string_of_words_is_one_speakers_and_says_its_text() -> None:
    said = {
        "ann": [("one", word(0.1, 0)), ("two", word(0.2, 0))],
        "ben": [("three", word(0.3, 0)), ("four", word(0.4, 0))],
        "one word": [("five", word(0.5, 0))],
    }
    seconds = {text: k / 10 for k, text in enumerate("one two three four".split(), 1)}
    clips = strings(said, 60, seed=4)
    assert len(clips) == 60
    for clip in clips:
        words = clip.text.split()
        assert 2 <= len(words) <= 3
        assert {text for text, _ in said[clip.voice]} >= set(words)
        least = sum(seconds[text] for text in words)
        most = least + len(words) * max(PAUSES) + 0.1
        assert least - 0.05 <= len(clip.sound) / RATE <= most
    assert [clip.text for clip in strings(said, 60, 4)] == [clip.text for clip in clips]


@pytest.mark.parametrize("rate", [8000, 16000, 22050, 44100])
@pytest.mark.parametrize("hertz", [200, 1000, 3000])
def test_a_tone_keeps_its_pitch_and_length_at_16_khz(rate: int, hertz: int) -> None:
    sound = resampled(tone(hertz, 1.0, rate), rate)
    assert len(sound) == RATE
    spectrum = np.abs(np.fft.rfft(sound))
    assert np.argmax(spectrum) == hertz
    assert 0.95 < np.abs(sound[2000:-2000]).max() < 1.05


def test_kokoros_24_khz_becomes_16() -> None:
    sound = to_16_khz(tone(1000, 1.0, 24000))
    assert len(sound) == RATE
    assert np.argmax(np.abs(np.fft.rfft(sound))) == 1000


def test_espeaks_symbols_become_kokoros() -> None:
    """Written down from the voices' own vocabulary; from memory, no page was read for it."""
    assert from_espeak("ˈeɪt", "a") == "ˈAt"
    assert from_espeak("fˈɜːst", "a") == "fˈɜɹst"
    assert from_espeak("(en)nˈaɪn(fr)", "b") == "nˈIn"


@pytest.fixture
def lines(monkeypatch: pytest.MonkeyPatch) -> list[script.Line]:
    def phonemes(texts: Sequence[str], accent: str) -> list[str]:
        return [f"{accent} {text}" for text in texts]

    monkeypatch.setattr(script, "phonemes_of", phonemes)
    return script.write(VOICES, 400, 7, ["the rest of the talk", "so it goes"])


def test_no_voice_of_a_bench_is_ever_in_a_script(lines: list[script.Line]) -> None:
    for line in lines:
        assert not HELD_OUT & {*line.blend, *line.prosody}


def test_a_validation_voice_speaks_alone_and_lends_no_tune(lines: list[script.Line]) -> None:
    alone = [line for line in lines if script.VALIDATION & set(line.blend)]
    assert alone
    assert all(len(line.blend) == 1 and not line.prosody for line in alone)
    assert not any(script.VALIDATION & set(line.prosody) for line in lines)


def test_a_script_is_the_same_by_its_seed_and_says_its_text(lines: list[script.Line]) -> None:
    again = script.write(VOICES, 400, 7, ["the rest of the talk", "so it goes"])
    assert again == lines
    assert script.write(VOICES, 400, 8, []) != lines
    assert all(0.97 <= sum(line.blend.values()) <= 1.03 for line in lines)
    assert all(0.75 <= line.speed <= 1.5 for line in lines)
    # Each line has its own text's phonemes, in the accent of most of its blend.
    for line in lines:
        accent, *said = line.said.replace(",", "").rstrip(".!").split()
        british = sum(share for name, share in line.blend.items() if name.startswith("b"))
        assert accent == ("b" if british > 0.5 else "a")
        assert len(said) == len(line.text.split())


class Speaker:
    """Stands in for Kokoro: half a second of tone; nothing for what is too long."""

    def say(self, said: str, *_given: object) -> np.ndarray | None:
        return None if said == "too long" else word(0.5, 0)


def test_a_shard_is_said_once_and_without_what_is_too_long(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(synthesize._Worker, "speaker", Speaker())
    lines = [script.Line(said, said, {"a": 1.0}, 1.0, {}) for said in ("one", "too long", "two")]
    job = synthesize.Job(tmp_path, tmp_path / "s.npz", lines, time.time() + 60)
    assert synthesize.say_shard(job) == pytest.approx(1.0)
    assert [clip.text for clip in read(job.shard)] == ["one", "two"]
    assert synthesize.say_shard(job) == 0


def test_when_the_time_is_up_nothing_is_said(tmp_path: Path) -> None:
    job = synthesize.Job(tmp_path, tmp_path / "s.npz", [], time.time() - 1)
    assert synthesize.say_shard(job) == 0
    assert not job.shard.exists()


@pytest.mark.parametrize("engine", ENGINES)
def test_a_command_of_a_synthesiser_names_its_file(engine: str, tmp_path: Path) -> None:
    out = tmp_path / "clip.wav"
    voice, command = ENGINES[engine][1](random.Random(1), "two by four", out)
    assert voice
    assert str(out) in " ".join(command)
    assert sum(share for share, _ in ENGINES.values()) == pytest.approx(1)


# --- pauses inside calls ------------------------------------------------------------------------


def longest_quiet(sound: np.ndarray) -> float:
    """Return the seconds of the longest stretch of zeros."""
    loud = np.flatnonzero(np.abs(sound) > 0)
    return float(np.diff(loud).max()) / RATE


def test_pauses_are_short_as_the_program_leaves_them_or_long_as_they_are_made() -> None:
    r = random.Random(3)
    found = [pauses.seconds_of(r) for _ in range(4000)]
    assert pauses.SHORT[0] <= min(found)
    assert max(found) <= pauses.LONG[1]
    short = sum(seconds < pauses.SHORT[1] for seconds in found) / len(found)
    assert abs(short - pauses.SHORT_SHARE) < 0.03
    # What the program leaves of a pause is among them.
    assert pauses.SHORT[0] < LEFT_SECONDS < pauses.SHORT[1]


@pytest.mark.parametrize("silence", [0.0, 0.2, 0.6])
@pytest.mark.parametrize("seconds", [0.1, 0.5, 0.9])
def test_between_two_parts_there_is_the_pause_and_no_more(silence: float, seconds: float) -> None:
    """The silence that a synthesiser leaves around each part is no part of the pause."""
    sound = pauses.joined(word(0.3, silence), word(0.4, silence), seconds)
    assert longest_quiet(sound) == pytest.approx(seconds, abs=0.07)
    assert 0.7 + seconds - 0.07 <= len(sound) / RATE <= 0.7 + seconds + 0.07


def test_digital_silence_has_no_edges_to_cut() -> None:
    assert len(pauses.without_edges(np.zeros(4000, np.int16))) == 4000


def test_a_share_of_the_strings_has_one_long_pause() -> None:
    said = {"ann": [("one", word(0.1, 0)), ("two", word(0.2, 0)), ("six", word(0.2, 0))]}
    paused = [longest_quiet(clip.sound) for clip in strings(said, 300, 5, paused=0.5)]
    plain = [longest_quiet(clip.sound) for clip in strings(said, 300, 5)]
    assert max(plain) < max(PAUSES) + 0.05
    # Six in ten of the pauses are long: of half of the strings that is three in ten.
    assert 0.2 < sum(each > max(PAUSES) + 0.05 for each in paused) / len(paused) < 0.4
    two = strings(said, 50, 6, paused=1.0, most_words=2)
    assert all(len(clip.text.split()) == 2 for clip in two)


def test_a_share_of_a_script_is_said_in_two_parts(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(
        script,
        "phonemes_of",
        lambda texts, accent: [f"{text.replace(' ', 't ')}t" for text in texts],
    )
    lines = script.write(VOICES, 600, 7, [], script.Broken(paused=0.5))
    long = [line for line in lines if len(line.text.split()) > 1]
    parted = [line for line in long if script.PAUSE in line.said]
    assert 0.42 < len(parted) / len(long) < 0.58
    swallowed = 0
    for line in lines:
        assert (script.PAUSE in line.said) == (line.pause > 0)
        parts = [part.replace(",", "").rstrip(".! ") for part in line.said.split(script.PAUSE)]
        assert len(parts) <= 2
        assert all(parts)
        assert len(" ".join(parts).split()) == len(line.text.split())
        if len(parts) == 2:
            swallowed += not parts[0].endswith("t")
    assert 0.15 < swallowed / len(parted) < 0.45
    assert all(line.pause == 0 for line in script.write(VOICES, 100, 7, []))


def test_a_share_of_a_script_is_halves_of_what_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(script, "phonemes_of", lambda texts, accent: texts)
    sentence = "somebody says all of this"
    monkeypatch.setattr(script, "text_for", lambda *given: sentence)
    lines = script.write(VOICES, 400, 7, [], script.Broken(halves=0.5))
    halves = [line.text for line in lines if line.text != sentence]
    assert 0.42 < len(halves) / len(lines) < 0.58
    assert all(sentence.startswith(each) or sentence.endswith(each) for each in halves)
    assert any(sentence.startswith(each) for each in halves)
    assert any(sentence.endswith(each) for each in halves)


def test_what_is_said_in_two_parts_is_one_clip_with_its_pause(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(synthesize._Worker, "speaker", Speaker())
    said = f"one{script.PAUSE}two"
    lines = [
        script.Line("one two", said, {"a": 1.0}, 1.0, {}, 0.6),
        script.Line("one", f"one{script.PAUSE}too long", {"a": 1.0}, 1.0, {}, 0.6),
    ]
    job = synthesize.Job(tmp_path, tmp_path / "p.npz", lines, time.time() + 60)
    assert synthesize.say_shard(job) == pytest.approx(1.6, abs=0.07)
    (clip,) = read(job.shard)
    assert clip.text == "one two"
    assert longest_quiet(clip.sound) == pytest.approx(0.6, abs=0.07)
