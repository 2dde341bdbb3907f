"""Real Vosk, the real model, real audio: what is said is heard, and what is no call stays out of the queue."""

from __future__ import annotations

import itertools
import math
import os
import random
import shutil
import subprocess
import sys
import threading
import wave
from array import array
from collections.abc import Callable, Iterator
from fractions import Fraction as F
from pathlib import Path
from typing import Any

import pytest
from desk import Desk

from cutmemo.asr import Partial, Recogniser, Recognition, load_model, model_folder, phrases_for
from cutmemo.asr.decide import AFTER_UNINTELLIGIBLE, PARTLY_MUTED
from cutmemo.audio.chunk import CHUNK_SAMPLES, RATE, SoundChunk
from cutmemo.audio.recording import recording
from cutmemo.bundle import bundled
from cutmemo.domain.cut import Cut
from cutmemo.domain.length import Length
from cutmemo.errors import CutmemoError, NoModel
from cutmemo.language import read
from cutmemo.memo.rows import Row
from cutmemo.tui.controllers.listening import Ended, Listener, Utterance

# What the recordings say; spoken by ``python -m recipe assets``, a job of our own.
PORCH = {
    "01-porch.wav": "ninety two and five eighths two by six king stud for wall three",
    "02-porch.wav": "four at fourteen and five eighths two by six header",
    "03-porch.wav": "one oh one and a half",
    "04-porch.wav": "one oh two and an eighth two by four",
    "05-porch.wav": "six two and a quarter",
    "06-porch.wav": "two at sixty one and three sixteenths common plumb cut seven twelve long point",
    "07-porch.wav": "no make that sixty one and five sixteenths",
    "08-porch.wav": "thirty six and a quarter strong",
    "09-porch.wav": "eight foot two and three sixteenths two by eight joist",
    "10-porch.wav": "twelve at twenty two and a half blocks",
}


@pytest.fixture(scope="module")
def model() -> Any:
    return load_model(bundled("model"))


@pytest.fixture
def recogniser(model: Any) -> Recogniser:
    return Recogniser(model, phrases_for(bundled("model")))


def utterances(recogniser: Recogniser, sound: Iterator[SoundChunk]) -> list[Recognition]:
    return [heard for heard in recogniser.hear(sound) if isinstance(heard, Recognition)]


def chunks(samples: array[int]) -> Iterator[SoundChunk]:
    for at in range(0, len(samples), CHUNK_SAMPLES):
        yield SoundChunk(samples[at : at + CHUNK_SAMPLES].tobytes())


def take(session: Desk, heards: list[Recognition]) -> None:
    for heard in heards:
        try:
            session.hear(heard)
        except CutmemoError:
            continue


def test_the_demo_is_all_of_the_recordings() -> None:
    assert sorted(file.name for file in bundled("demo").glob("*.wav")) == sorted(PORCH)


@pytest.mark.parametrize("name", sorted(PORCH))
def test_a_recording_is_heard_word_for_word_among_its_alternatives(
    recogniser: Recogniser, name: str
) -> None:
    heards = utterances(recogniser, recording(bundled("demo") / name))
    meant = {reading.intent for reading in read(PORCH[name], by_voice=True)}
    found = set()
    for hypothesis in heards[0].hypotheses:
        try:
            found |= {reading.intent for reading in read(hypothesis.text, by_voice=True)}
        except CutmemoError:
            continue
    assert meant <= found


def test_no_recording_enters_wrong_without_a_question(
    recogniser: Recogniser, session: Desk
) -> None:
    for name, words in PORCH.items():
        if words.startswith("no "):
            continue
        before = set(session.state.rows)
        take(session, utterances(recogniser, recording(bundled("demo") / name)))
        meant = [reading.intent for reading in read(words, by_voice=True)]
        for row_id in set(session.state.rows) - before:
            row = session.state.rows[row_id]
            assert row.state == "doubtful" or row.cut in meant


def test_heard_once_more_the_words_that_were_said_fit_best(recogniser: Recogniser) -> None:
    (heard,) = utterances(recogniser, recording(bundled("demo") / "03-porch.wav"))
    said, others = (
        PORCH["03-porch.wav"],
        ["one oh one and an eighth", "one oh nine and a half", "two oh one and a half"],
    )
    fits = recogniser.rescore(heard.pcm, [*others, said])
    assert max(fits, key=lambda text: fits[text]) == said


Meanwhile = Callable[[Listener, threading.Event, float], None]
IN_THE_CALL = [tenths / 10 for tenths in range(4, 14)]
"""Seconds since the call began; what is left of it at some of them is a shorter call, at others it is noise."""


@pytest.fixture
def through_ears(
    open_session: Callable[..., Desk], recogniser: Recogniser, monkeypatch: pytest.MonkeyPatch
) -> Callable[[Meanwhile], list[Row]]:
    """Return a way to the rows, on a memo of their own, of one call heard while something is done at each second since it began."""
    sound = [*recording(bundled("demo") / "03-porch.wav")]
    (whole,) = utterances(recogniser, iter(sound))
    memos = itertools.count()

    def hear(meanwhile: Meanwhile) -> list[Row]:
        posted: list[object] = []
        ears, stop = Listener(posted.append, None), threading.Event()

        def microphone(_stop: object) -> Iterator[SoundChunk]:
            at = -whole.start_seconds
            for chunk in sound:
                meanwhile(ears, stop, at)
                at += chunk.seconds
                yield chunk

        monkeypatch.setattr("cutmemo.tui.controllers.listening.microphone", microphone)
        ears.run(stop)
        session = open_session(name=f"memo {next(memos)}")
        take(session, [message.heard for message in posted if isinstance(message, Utterance)])
        return [*session.state.rows.values()]

    return hear


def muted(since: float, until: float) -> Meanwhile:
    """The program speaks, and hears nothing, from *since* to *until*."""

    def speak(ears: Listener, _stop: threading.Event, at: float) -> None:
        speaking = ears.turns.speaking
        (speaking.set if since <= at < until else speaking.clear)()

    return speak


def switched_off(after: float) -> Meanwhile:
    def switch_off(_ears: Listener, stop: threading.Event, at: float) -> None:
        if at > after:
            stop.set()

    return switch_off


@pytest.mark.parametrize("meanwhile", [muted(0, 0), muted(-9, -0.7), switched_off(9)])
def test_a_call_heard_whole_stands(
    through_ears: Callable[[Meanwhile], list[Row]], meanwhile: Meanwhile
) -> None:
    assert [row.state for row in through_ears(meanwhile)] == ["open"]


@pytest.mark.parametrize(
    "half",
    [lambda at: muted(-9, at), lambda at: muted(at, 9), switched_off],
    ids=["begun too soon", "not ended", "switched off"],
)
def test_half_a_call_never_stands(
    through_ears: Callable[[Meanwhile], list[Row]], half: Callable[[float], Meanwhile]
) -> None:
    """While the program speaks it hears nothing: half of a call must not stand for all of it."""
    rows = [row for at in IN_THE_CALL for row in through_ears(half(at))]
    asked = [row for row in rows if row.state == "doubtful" and PARTLY_MUTED in row.doubts]
    assert asked
    assert {row.cut for row in rows if row not in asked} <= {
        Cut(Length(F(203, 2)))
    }  # the last of it may have been silence


def test_a_call_across_which_endless_sound_is_cut_asks(
    recogniser: Recogniser, open_session: Callable[..., Desk], monkeypatch: pytest.MonkeyPatch
) -> None:
    sound = [*recording(bundled("demo") / "03-porch.wav")]
    (whole,) = utterances(recogniser, iter(sound))
    rows: list[Row] = []
    for at in IN_THE_CALL:
        monkeypatch.setattr("cutmemo.asr.decoder.MAX_UTTERANCE_SECONDS", whole.start_seconds + at)
        session = open_session(name=f"memo {at}")
        take(session, utterances(recogniser, iter(sound)))
        rows += session.state.rows.values()
    assert rows
    assert all(row.state == "doubtful" and PARTLY_MUTED in row.doubts for row in rows)
    assert not whole.partly_muted


@pytest.mark.parametrize(
    ("loudness", "pause", "asks"),
    [(1.0, 0.0, True), (1.0, 1.0, False), (0.1, 0.0, False)],
    ids=["right before", "a second before", "far away"],
)
def test_what_was_not_understood_may_have_been_the_beginning(
    recogniser: Recogniser, session: Desk, loudness: float, pause: float, asks: bool
) -> None:
    """Nobody can say whose words those were; a call cut in two by a pause loses its first half so."""
    with wave.open(str(bundled("demo") / "03-porch.wav")) as file:
        call = array("h", file.readframes(file.getnframes()))
    spoken = slice(int(0.35 * RATE), -RATE // 2)
    no_words = array("h", (int(loudness * sample) for sample in reversed(call[spoken])))
    silence = array("h", bytes(2 * int((0.6 + pause) * RATE)))
    take(session, utterances(recogniser, chunks(no_words + silence + call[spoken] + silence)))
    (row,) = session.state.rows.values()
    assert (row.cut, row.state) == (Cut(Length(F(203, 2))), "doubtful" if asks else "open")
    assert (AFTER_UNINTELLIGIBLE in row.doubts) == asks


@pytest.mark.parametrize("pause", [0.65, 0.75, 0.85])
def test_calls_close_behind_each_other_are_two(recogniser: Recogniser, pause: float) -> None:
    with wave.open(str(bundled("demo") / "03-porch.wav")) as file:
        call = array("h", file.readframes(file.getnframes()))
    spoken = call[int(0.42 * RATE) : int(1.45 * RATE)]
    silence = array("h", bytes(2 * int(pause * RATE)))
    found = utterances(recogniser, chunks(silence + spoken + silence + spoken + silence))
    assert [heard.text for heard in found if heard.text] == ["one oh one and a half"] * 2


def test_a_second_recording_is_heard_like_the_first(recogniser: Recogniser) -> None:
    first, second = (
        utterances(recogniser, recording(bundled("demo") / "03-porch.wav"))[0] for _ in range(2)
    )
    assert (second.start_seconds, second.end_seconds) == pytest.approx(
        (first.start_seconds, first.end_seconds), abs=0.05
    )
    assert len(second.pcm) == pytest.approx(len(first.pcm), abs=4000)


def test_partial_words_come_while_somebody_speaks(recogniser: Recogniser) -> None:
    partial = [
        heard.text
        for heard in recogniser.hear(recording(bundled("demo") / "03-porch.wav"))
        if isinstance(heard, Partial)
    ]
    assert any("one oh one" in text for text in partial)


def noise(seconds: float, seed: int = 3) -> array[int]:
    chance = random.Random(seed)
    return array("h", (int(chance.gauss(0, 2500)) for _ in range(int(RATE * seconds))))


def music(seconds: float) -> array[int]:
    out = array("h")
    for k in range(int(RATE * seconds)):
        beat = int(4 * k / RATE)
        pitch = 220 * 2 ** ((0, 4, 7, 12, 7, 4)[beat % 6] / 12)
        fade = 1 - (4 * k / RATE) % 1
        out.append(
            int(
                5000
                * fade
                * (math.sin(6.2832 * pitch * k / RATE) + 0.5 * math.sin(12.566 * pitch * k / RATE))
            )
        )
    return out


def saw(seconds: float) -> array[int]:
    chance = random.Random(7)
    return array(
        "h",
        (
            int(
                2500 * sum(math.sin(6.2832 * 310 * h * k / RATE) / h for h in range(1, 9))
                + chance.gauss(0, 900)
            )
            for k in range(int(RATE * seconds))
        ),
    )


@pytest.mark.parametrize(
    "sound",
    [
        lambda: array("h", bytes(2 * RATE * 60)),
        lambda: noise(20),
        lambda: music(20),
        lambda: saw(15),
    ],
    ids=["digital silence", "noise", "music", "saw"],
)
def test_what_is_no_speech_neither_crashes_nor_fills_the_queue(
    recogniser: Recogniser, session: Desk, sound: Callable[[], array[int]]
) -> None:
    take(session, utterances(recogniser, chunks(sound())))
    assert not session.state.rows


def test_endless_talk_is_cut_and_heard_on(recogniser: Recogniser) -> None:
    with wave.open(str(bundled("demo") / "03-porch.wav")) as file:
        clip = array("h", file.readframes(file.getnframes()))
    quiet = 3200
    talk = array("h")
    while len(talk) < RATE * 45:
        talk += clip[quiet:-quiet]
    heards = utterances(recogniser, chunks(talk))
    assert len(heards) >= 2
    assert all(heard.hypotheses for heard in heards)


def test_a_phrase_list_at_run_time_still_works(model: Any) -> None:
    narrow = Recogniser(model, ("one oh one and a half", "ninety nine"))
    heard = utterances(narrow, recording(bundled("demo") / "03-porch.wav"))
    assert heard[0].text == "one oh one and a half"


def test_a_missing_model_is_named(tmp_path: Path) -> None:
    with pytest.raises(NoModel, match="no such folder"):
        load_model(tmp_path / "gone")


@pytest.mark.parametrize("lost", ["am/final.mdl", "conf/mfcc.conf", "graph/HCLr.fst"])
def test_a_model_with_a_part_missing_is_named(tmp_path: Path, lost: str) -> None:
    shutil.copytree(bundled("model"), tmp_path / "m")
    (tmp_path / "m" / lost).unlink()
    with pytest.raises(NoModel, match=lost):
        load_model(tmp_path / "m")


def test_a_broken_model_is_an_error_and_not_a_crash(tmp_path: Path) -> None:
    shutil.copytree(bundled("model"), tmp_path / "m")
    (tmp_path / "m" / "am" / "final.mdl").write_bytes(b"\0Bnonsense")
    code = "import sys; from pathlib import Path; from cutmemo.asr import load_model\ntry: load_model(Path(sys.argv[1]))\nexcept Exception as e: print(type(e).__name__)"
    done = subprocess.run(
        [sys.executable, "-c", code, str(tmp_path / "m")],
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.stdout.strip() == "NoModel"


def test_another_model_is_chosen_by_name_or_by_the_environment(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("CUTMEMO_MODEL", "/there")
    assert model_folder() == Path("/there")
    assert model_folder("/here") == Path("/here")
    monkeypatch.delenv("CUTMEMO_MODEL")
    assert model_folder() == bundled("model")


@pytest.fixture
def openfst(tmp_path: Path) -> Callable[..., str]:
    """OpenFst's own tools (Debian package libfst-tools): an independent reader of the format."""
    if shutil.which("fstinfo") is None:
        pytest.skip("fstinfo is missing: Debian package libfst-tools")
    plugins = sorted(Path("/usr/lib").glob("*/libfstlookahead.so.*"))
    assert plugins, "libfst-tools comes with libfstlookahead"
    (tmp_path / "olabel_lookahead-fst.so").symlink_to(
        plugins[0]
    )  # the name under which the tools look for it

    def run(command: str, given: str = "") -> str:
        env = {**os.environ, "LD_LIBRARY_PATH": str(tmp_path)}
        return subprocess.run(
            ["bash", "-c", f"set -o pipefail; {command}"],
            input=given,
            capture_output=True,
            text=True,
            check=True,
            env=env,
        ).stdout

    return run


@pytest.mark.parametrize(("name", "kind"), [("Gr.fst", "const"), ("HCLr.fst", "olabel_lookahead")])
def test_the_graph_reads_with_openfsts_own_tools(
    openfst: Callable[..., str], name: str, kind: str
) -> None:
    info = openfst(f"fstinfo {bundled('model') / 'graph' / name}")
    facts = {line[:45].strip(): line[45:].strip() for line in info.splitlines()}
    assert facts["fst type"] == kind
    assert facts["# of states"] == facts["# of accessible states"]
    assert facts["# of states"] == facts["# of coaccessible states"]
    assert facts["output label sorted" if name == "HCLr.fst" else "input label sorted"] == "y"


# Pronunciations: CMUdict (Carnegie Mellon University, version 0.7b), without stress; "eighths" without its T is common practice.
SAID = {
    "one": "W_B AH_I N_E",
    "oh": "OW_S",
    "and": "AE_B N_I D_E",
    "a": "AH_S",
    "half": "HH_B AE_I F_E",
    "three": "TH_B R_I IY_E",
    "eighths": "EY_B TH_I S_E",
    "six": "S_B IH_I K_I S_E",
    "two": "T_B UW_E",
    "by": "B_B AY_E",
}


@pytest.mark.parametrize(
    "words", ["one oh one and a half", "six two and three eighths", "two by six"]
)
def test_openfst_finds_the_words_of_their_sounds(
    openfst: Callable[..., str], tmp_path: Path, words: str
) -> None:
    """The best path of the two written files, composed and searched by OpenFst, gives the words back."""
    graph = bundled("model") / "graph"
    ids = dict(line.split() for line in (graph / "phones.txt").read_text().splitlines())
    # A phone is heard once and goes on once: transition-ids 2k and 2k - 1 of phone k.
    heard = [
        tid
        for word in words.split()
        for phone in SAID[word].split()
        for tid in (2 * int(ids[phone]), 2 * int(ids[phone]) - 1)
    ]
    line = "".join(f"{k} {k + 1} {tid}\n" for k, tid in enumerate(heard)) + f"{len(heard)}\n"
    symbols = tmp_path / "words.txt"
    openfst(f"fstprint --save_isymbols={symbols} {graph / 'Gr.fst'} > {tmp_path / 'Gr.txt'}")
    openfst(
        f"fstprint {graph / 'HCLr.fst'} | fstcompile | fstarcsort --sort_type=ilabel > {tmp_path / 'hclr'}"
    )
    openfst(
        f"fstcompile --isymbols={symbols} --osymbols={symbols} {tmp_path / 'Gr.txt'} | fstarcsort > {tmp_path / 'gr'}"
    )
    best = openfst(
        f"fstcompile --acceptor | fstcompose - {tmp_path / 'hclr'} | fstarcsort --sort_type=olabel | fstcompose - {tmp_path / 'gr'}"
        f" | fstshortestpath | fstproject --project_type=output | fstrmepsilon | fsttopsort | fstprint --isymbols={symbols} --osymbols={symbols}",
        line,
    )
    found = [row.split("\t")[2] for row in best.splitlines() if row.count("\t") >= 3]
    assert " ".join(found) == words


def test_the_card_names_its_makers_and_its_measure() -> None:
    card = (bundled("model") / "CARD.md").read_text("utf-8")
    assert "Kokoro-82M" in card
    assert "LibriSpeech" in card
    assert "%" in card


def test_a_length_heard_is_exact(recogniser: Recogniser) -> None:
    heards = utterances(recogniser, recording(bundled("demo") / "03-porch.wav"))
    intent = read(heards[0].text, by_voice=True)[0].intent
    assert intent.length.inches == F(203, 2)  # type: ignore[union-attr]


def test_words_between_digital_silence_are_heard(recogniser: Recogniser) -> None:
    """A recording whose pauses are gated to nothing at all, as some recorders do, is heard like the plain one."""
    plain = recording(bundled("demo") / "04-porch.wav")
    gated = array("h", (0 if abs(x) < 60 else x for chunk in plain for x in array("h", chunk.pcm)))
    assert sum(x == 0 for x in gated) > len(gated) / 4
    heard = utterances(recogniser, chunks(gated))
    assert [each.text for each in heard if each.text] == [PORCH["04-porch.wav"]]


def pcm_of(name: str) -> array[int]:
    with wave.open(str(bundled("demo") / name)) as file:
        return array("h", file.readframes(file.getnframes()))


def with_pause(call: array[int], at: float, pause: float) -> array[int]:
    """Return *call* with the quietest 20 ms within 0.15 s of *at* drawn out to a pause of so many seconds, of its own room."""
    frame = RATE // 50
    places = range(int((at - 0.15) * RATE), int((at + 0.15) * RATE), frame // 2)
    where = min(places, key=lambda k: sum(abs(x) for x in call[k : k + frame]))
    room = call[: int(0.3 * RATE)]
    silence = array("h", itertools.islice(itertools.cycle(room), int(pause * RATE)))
    return call[:where] + silence + call[where:] + silence[: int(0.2 * RATE)]


@pytest.mark.parametrize("pause", [0.3, 0.7, 0.9])
@pytest.mark.parametrize("name", ["03-porch.wav", "05-porch.wav", "09-porch.wav", "10-porch.wav"])
def test_a_pause_inside_a_call_leaves_no_half_of_it_standing(
    recogniser: Recogniser, open_session: Callable[..., Desk], name: str, pause: float
) -> None:
    """The call as a whole stands, or there is a question; whatever stands is the whole."""
    call = pcm_of(name)
    (whole, *_) = utterances(recogniser, recording(bundled("demo") / name))
    length = whole.end_seconds - whole.start_seconds
    meant = {reading.intent for reading in read(PORCH[name], by_voice=True)}
    for part in (0.25, 0.5, 0.75):
        sound = with_pause(call, whole.start_seconds - 0.2 + part * length, pause)
        session = open_session(name=f"memo {part}")
        take(session, utterances(recogniser, chunks(sound + array("h", bytes(2 * RATE)))))
        rows = [*session.state.rows.values()]
        assert {row.cut for row in rows if row.state == "open"} <= meant
        assert rows or session.state.refused


def test_two_halves_are_heard_as_one(recogniser: Recogniser, session: Desk) -> None:
    """Twelve at twenty two and a half blocks, with 0.9 s behind "at" or near it: the whole is among what it asks."""
    call = pcm_of("10-porch.wav")
    found = utterances(
        recogniser, chunks(with_pause(call, 0.95, 0.9) + array("h", bytes(2 * RATE)))
    )
    assert len(found) == 2
    assert found[1].joined is not None
    assert found[1].follows is not None
    assert len(found[1].joined.pcm) < len(found[0].pcm) + len(found[1].pcm)
    meant = {reading.intent for reading in read(PORCH["10-porch.wav"], by_voice=True)}
    take(session, found)
    named = {cut for row in session.state.rows.values() for cut in (row.cut, *row.readings)}
    assert meant & named


def test_a_recording_cut_off_in_the_middle_asks(
    recogniser: Recogniser, open_session: Callable[..., Desk], tmp_path: Path
) -> None:
    """A header promises all of it; what is there ends in the middle of a word, or before the last one."""
    plain = (bundled("demo") / "10-porch.wav").read_bytes()
    for part in (0.5, 0.6, 0.7):
        path = tmp_path / "cut.wav"
        path.write_bytes(plain[: int(part * len(plain))])
        session = open_session(name=f"memo {part}")
        take(session, utterances(recogniser, recording(path)))
        rows = session.state.rows.values()
        assert rows or session.state.refused
        assert all(row.state == "doubtful" and PARTLY_MUTED in row.doubts for row in rows)


HELD_UNTIL = 0.1
"""Seconds behind the last word at which the key is pressed again."""


@pytest.mark.parametrize("pause", [0.9, 1.6])
@pytest.mark.parametrize("part", [0.3, 0.5])
def test_as_long_as_the_microphone_is_held_a_pause_ends_nothing(
    recogniser: Recogniser, pause: float, part: float
) -> None:
    (whole, *_) = utterances(recogniser, recording(bundled("demo") / "10-porch.wav"))
    length = whole.end_seconds - whole.start_seconds
    sound = with_pause(pcm_of("10-porch.wav"), whole.start_seconds - 0.2 + part * length, pause)
    ends = whole.end_seconds - 0.2 + pause + HELD_UNTIL
    at = 0.0

    def followed() -> Iterator[SoundChunk]:
        nonlocal at
        for chunk in chunks(sound + array("h", bytes(2 * RATE))):
            at += chunk.seconds
            yield chunk

    heard = [
        each
        for each in recogniser.hear(followed(), held=lambda: at < ends)
        if isinstance(each, Recognition) and each.text
    ]
    meant = {reading.intent for reading in read(PORCH["10-porch.wav"], by_voice=True)}
    assert [{r.intent for r in read(each.text, by_voice=True)} for each in heard] == [meant]
    assert heard[0].follows is heard[0].joined is None
    assert not heard[0].partly_muted


def test_what_was_said_before_the_key_is_an_utterance_of_its_own(recogniser: Recogniser) -> None:
    """The key comes 0.3 s behind a call: no pause has told its end yet."""
    (whole, *_) = utterances(recogniser, recording(bundled("demo") / "03-porch.wav"))
    call = pcm_of("03-porch.wav")
    first = call[: int((whole.end_seconds - 0.2 + 0.3) * RATE)]
    other = pcm_of("05-porch.wav")
    at, begins = 0.0, len(first) / RATE + 0.1

    def followed() -> Iterator[SoundChunk]:
        nonlocal at
        for chunk in chunks(first + other + array("h", bytes(2 * RATE))):
            at += chunk.seconds
            yield chunk

    ends = begins + len(other) / RATE
    found = recogniser.hear(followed(), held=lambda: begins <= at < ends)
    heard = [each.text for each in found if isinstance(each, Recognition) and each.text]
    assert heard == [PORCH["03-porch.wav"], PORCH["05-porch.wav"]]


@pytest.mark.parametrize("soon", [True, False])
def test_the_key_opens_the_microphone_for_one_call_and_closes_it(
    through_a_key: Callable[[float], list[object]], soon: bool
) -> None:
    """Whoever speaks before it is open is asked whether all of the call is there."""
    posted = through_a_key(0.5 if soon else 0.0)
    heard = [each.heard for each in posted if isinstance(each, Utterance) and each.heard.text]
    assert [each.partly_muted for each in heard] == [soon]
    assert isinstance(posted[-1], Ended)


@pytest.fixture
def through_a_key(model: Any, monkeypatch: pytest.MonkeyPatch) -> Callable[[float], list[object]]:
    """Return a way to what is posted of a call that is said while the microphone is held, its first seconds before it is open."""
    call = [*recording(bundled("demo") / "03-porch.wav")]

    def hear(before: float) -> list[object]:
        posted: list[object] = []
        ears = Listener(posted.append, None)
        said = call[round(10 * before) :]

        def microphone(_stop: object) -> Iterator[SoundChunk]:
            yield from said
            ears.hold(False)
            yield from said

        monkeypatch.setattr("cutmemo.tui.controllers.listening.microphone", microphone)
        ears.start(hold=True)
        assert ears.open
        ears._thread.join(60)  # type: ignore[union-attr]
        return posted

    return hear


def test_an_attention_word_that_the_model_does_not_have_is_named(recogniser: Recogniser) -> None:
    with pytest.raises(NoModel, match="abracadabra"):
        recogniser.attention("hey abracadabra", bundled("model"))
    assert recogniser.attention("listen up", bundled("model"))
