"""What works behind the screens, tried without a screen: what sounds when, planning ahead, where commands come from."""

from __future__ import annotations

import threading
from array import array
from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction as F

import pytest
from desk import Desk

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.asr.rejoin import MAX_REST_SECONDS
from cutmemo.audio import player
from cutmemo.audio.chunk import CHUNK_SAMPLES, SoundChunk
from cutmemo.audio.turns import Turns
from cutmemo.errors import BadBoards, NoMicrophone, SoundTrouble
from cutmemo.language import digits_of
from cutmemo.memo.result import Result
from cutmemo.memo.rows import GOES_ON_SECONDS, Row
from cutmemo.planning import SectionPlan
from cutmemo.tui.controllers.commands import Commands, Place
from cutmemo.tui.controllers.planner import Planner
from cutmemo.tui.controllers.readback import MAX_TRIES, MAX_WAITING, PATIENCE, ReadBack
from cutmemo.tui.controllers.recordings import MAX_RECORDINGS, Recordings
from cutmemo.tui.controllers.response import respond
from cutmemo.wording import Told


class Loudspeaker:
    """A loudspeaker that notes what is played, and whether the program took its turn meanwhile."""

    def __init__(self, turns: Turns) -> None:
        self.played: list[bytes] = []
        self.speaking_while: list[bool] = []
        self.broken = False
        self.whole = True
        self._turns = turns

    def play(self, samples: array[int], _broken_off: Callable[[], bool]) -> bool:
        self.speaking_while.append(self._turns.speaking.is_set())
        if self.broken:
            raise NoMicrophone(SoundTrouble.NOT_PLAYED, "the loudspeaker was pulled out")
        self.played.append(samples.tobytes())
        return self.whole


@pytest.fixture
def turns() -> Turns:
    return Turns()


@pytest.fixture
def loudspeaker(turns: Turns, monkeypatch: pytest.MonkeyPatch) -> Loudspeaker:
    made = Loudspeaker(turns)
    monkeypatch.setattr(player, "play", made.play)
    return made


@pytest.fixture
def failures() -> list[str]:
    return []


@pytest.fixture
def read_back(
    session: Desk, turns: Turns, loudspeaker: Loudspeaker, failures: list[str]
) -> ReadBack:
    def row(row_id: str) -> Row | None:
        return session.state.rows.get(row_id)

    def may_go_on() -> bool:
        return bool(session.state.going_on(session.clock()))

    made = ReadBack(turns, lambda work: work(), failures.append, row, may_go_on)
    made.on = True
    return made


# --- what sounds when ------------------------------------------------------------------------------------


def test_a_call_is_read_back_in_the_programs_turn(
    session: Desk, read_back: ReadBack, loudspeaker: Loudspeaker, turns: Turns
) -> None:
    read_back.outcome(session.call("93"))
    assert loudspeaker.played == [player.spelled(["ninety", "three"]).tobytes()]
    assert loudspeaker.speaking_while == [True]
    assert not turns.speaking.is_set()


def test_a_question_rises_and_gives_every_reading(
    session: Desk, read_back: ReadBack, loudspeaker: Loudspeaker
) -> None:
    read_back.outcome(session.call("six two"))
    words = ["sixty", "two", "or", "seventy", "four"]
    assert loudspeaker.played == [player.question(words).tobytes()]


def test_an_answer_falls_so_that_nobody_takes_it_for_a_call(
    session: Desk, read_back: ReadBack, loudspeaker: Loudspeaker
) -> None:
    session.call("six two")
    read_back.outcome(session.answer(2))
    assert loudspeaker.played == [player.answer(["seventy", "four"]).tobytes()]


def test_a_long_list_is_not_read_out(
    session: Desk, read_back: ReadBack, loudspeaker: Loudspeaker
) -> None:
    read_back.outcome(session.call("36, 48, 60, 72"))
    assert len(loudspeaker.played) == 4
    loudspeaker.played.clear()
    read_back.outcome(session.call("37, 49, 61, 73, 85"))
    assert loudspeaker.played == []


def test_clearing_a_piece_makes_no_sound(
    session: Desk, read_back: ReadBack, loudspeaker: Loudspeaker
) -> None:
    session.call("93")
    read_back.outcome(session.clear())
    assert loudspeaker.played == []


def test_with_read_back_off_only_a_recording_sounds(
    session: Desk, read_back: ReadBack, loudspeaker: Loudspeaker
) -> None:
    read_back.on = False
    read_back.outcome(session.call("93"))
    read_back.refusal()
    assert loudspeaker.played == []
    read_back.recording(b"\x01\x00" * 9)
    assert loudspeaker.played == [b"\x01\x00" * 9]
    assert loudspeaker.speaking_while == [True]


def test_a_broken_loudspeaker_is_told_once_and_the_microphone_hears_on(
    read_back: ReadBack, loudspeaker: Loudspeaker, failures: list[str], turns: Turns
) -> None:
    loudspeaker.broken = True
    read_back.refusal()
    read_back.refusal()
    assert failures == [
        "No sound can be played (the loudspeaker was pulled out). Read-back is off."
    ]
    assert not read_back.on
    assert not turns.speaking.is_set()


def test_a_second_sound_waits_for_the_first(
    turns: Turns, monkeypatch: pytest.MonkeyPatch, failures: list[str]
) -> None:
    begun: list[int] = []
    waited: list[bool] = []
    threads: list[threading.Thread] = []

    def on_thread(work: Callable[[], None]) -> None:
        threads.append(threading.Thread(target=work))
        threads[-1].start()

    def play(samples: array[int], _broken_off: Callable[[], bool]) -> bool:
        begun.append(samples[0])
        if samples[0] == 1:
            read_back.recording(b"\x02\x00")
            threads[1].join(timeout=0.05)
            waited.append(threads[1].is_alive() and begun == [1])
        return True

    monkeypatch.setattr(player, "play", play)
    read_back = ReadBack(turns, on_thread, failures.append)
    read_back.recording(b"\x01\x00")
    for thread in threads:
        thread.join()
    assert waited == [True]
    assert begun == [1, 2]


# --- whose turn it is ------------------------------------------------------------------------------------


HISS, CALL = 40, 4000
"""Peaks of a quiet place and of somebody who speaks, in steps of 16 bits."""


def sound(seconds: float, peak: int = HISS) -> list[SoundChunk]:
    """Return chunks of a tenth of a second that peak at *peak*."""
    one = array("h", [peak, -peak] * (CHUNK_SAMPLES // 2)).tobytes()
    return [SoundChunk(one)] * round(10 * seconds)


def listened(turns: Turns, *chunks: SoundChunk) -> list[bool]:
    """Return of each chunk whether it was for the recogniser."""
    return [turns.hears(chunk) for chunk in chunks]


def through_a_headset(turns: Turns) -> None:
    """The program speaks once into a quiet place, and is not heard."""
    turns.begin()
    listened(turns, *sound(1))
    turns.speaking.set()
    listened(turns, *sound(0.3))
    turns.speaking.clear()
    listened(turns, *sound(4))


def by_a_loudspeaker(turns: Turns) -> None:
    """The program speaks once, and hears itself."""
    turns.begin()
    listened(turns, *sound(1))
    turns.speaking.set()
    listened(turns, *sound(0.3, CALL))
    turns.speaking.clear()
    listened(turns, *sound(4))


def test_until_something_was_played_the_microphone_may_hear_the_loudspeaker(turns: Turns) -> None:
    turns.begin()
    assert turns.hears_itself
    through_a_headset(turns)
    assert not turns.hears_itself
    by_a_loudspeaker(turns)
    assert turns.hears_itself


def test_by_a_loudspeaker_the_program_waits_until_no_rest_can_come(turns: Turns) -> None:
    by_a_loudspeaker(turns)
    listened(turns, *sound(1, CALL), *sound(MAX_REST_SECONDS - 0.2))
    assert not turns.may_speak()
    listened(turns, *sound(0.3))
    assert turns.may_speak()
    turns.speaking.set()
    assert listened(turns, *sound(1)) == [False] * 10


def test_through_a_headset_it_speaks_right_behind_a_call_and_listens(turns: Turns) -> None:
    through_a_headset(turns)
    listened(turns, *sound(1, CALL))
    assert not turns.may_speak()
    listened(turns, *sound(0.6))
    assert turns.may_speak()
    turns.speaking.set()
    assert listened(turns, *sound(1), *sound(0.2, CALL)) == [True] * 12
    assert turns.interrupted.is_set()
    assert not turns.hears_itself


def test_a_sound_right_when_the_program_begins_may_be_its_own(turns: Turns) -> None:
    """Somebody unplugged the headset: it dies when the program breaks off."""
    through_a_headset(turns)
    turns.speaking.set()
    listened(turns, *sound(0.2), *sound(0.2, CALL))
    assert turns.interrupted.is_set()
    turns.speaking.clear()
    listened(turns, *sound(1))
    assert turns.hears_itself
    assert len(turns.own) == 1


def test_who_begins_at_the_same_time_goes_on_speaking(turns: Turns) -> None:
    through_a_headset(turns)
    turns.speaking.set()
    heard_on = listened(turns, *sound(0.2), *sound(0.2, CALL))
    assert turns.interrupted.is_set()
    turns.speaking.clear()
    assert all([*heard_on, *listened(turns, *sound(1, CALL), *sound(1))])
    assert not turns.hears_itself
    assert turns.own == []


def test_words_so_far_keep_the_program_quiet_in_any_noise(turns: Turns) -> None:
    through_a_headset(turns)
    turns.words("one hundred")
    listened(turns, *sound(9))
    assert not turns.may_speak(only_words=True)
    turns.words("")
    listened(turns, *sound(1, CALL))
    assert not turns.may_speak()
    assert turns.may_speak(only_words=True)
    turns.end()
    assert turns.may_speak()


def spoken(text: str) -> Recognition:
    return Recognition((Hypothesis(text, 10.0),), 0.0, 1.0)


def test_nothing_is_read_back_while_a_row_may_go_on(
    session: Desk, read_back: ReadBack, loudspeaker: Loudspeaker, turns: Turns
) -> None:
    through_a_headset(turns)
    told = session.hear(spoken("one hundred"))
    assert told is not None
    read_back.outcome(told)
    read_back.look()
    assert loudspeaker.played == []
    session.clock.later(GOES_ON_SECONDS)  # type: ignore[attr-defined]
    read_back.look()
    (row,) = session.state.rows.values()
    assert loudspeaker.played == [player.spelled(digits_of(row.cut)).tobytes()]


def test_a_row_is_read_back_once_and_as_it_stands_by_then(
    session: Desk, read_back: ReadBack, loudspeaker: Loudspeaker, turns: Turns
) -> None:
    by_a_loudspeaker(turns)
    listened(turns, *sound(1, CALL))
    read_back.refusal()
    read_back.outcome(session.call("93"))
    read_back.outcome(session.call("make that 94"))
    assert loudspeaker.played == []
    listened(turns, *sound(4))
    read_back.look()
    read_back.look()
    assert loudspeaker.played == [player.spelled(["ninety", "four"]).tobytes()]


def test_of_many_calls_that_wait_the_last_are_read_back(
    session: Desk, read_back: ReadBack, loudspeaker: Loudspeaker, turns: Turns
) -> None:
    by_a_loudspeaker(turns)
    listened(turns, *sound(1, CALL))
    for inches in range(50, 50 + 3 * MAX_WAITING):
        read_back.outcome(session.call(f"{inches}-1/2"))
    listened(turns, *sound(4))
    for _ in range(3 * MAX_WAITING):
        read_back.look()
    last = [*session.state.rows.values()][-MAX_WAITING:]
    assert loudspeaker.played == [player.spelled(digits_of(row.cut)).tobytes() for row in last]


def test_what_is_broken_off_is_begun_once_more(
    session: Desk, read_back: ReadBack, loudspeaker: Loudspeaker, turns: Turns
) -> None:
    through_a_headset(turns)
    loudspeaker.whole = False
    read_back.outcome(session.call("93"))
    for _ in range(4):
        read_back.look()
    assert len(loudspeaker.played) == MAX_TRIES


def test_noise_that_never_ends_keeps_nothing_from_being_read_back(
    session: Desk, read_back: ReadBack, loudspeaker: Loudspeaker, turns: Turns
) -> None:
    by_a_loudspeaker(turns)
    read_back.refusal()
    loudspeaker.played.clear()
    listened(turns, *sound(1, CALL))
    read_back.refusal()
    for _ in range(PATIENCE):
        read_back.look()
        listened(turns, *sound(0.1), *sound(0.1, CALL))
    assert len(loudspeaker.played) == 1


def test_the_oldest_recording_goes_first() -> None:
    kept = Recordings()
    for n in range(MAX_RECORDINGS + 1):
        kept.keep([f"row {n}"], bytes([n]))
    assert kept.of("row 0") is None
    assert kept.of("row 1") == b"\x01"
    assert kept.of(f"row {MAX_RECORDINGS}") == bytes([MAX_RECORDINGS])


# --- where commands come from ----------------------------------------------------------------------------


def heard(words: str) -> Recognition:
    return Recognition((Hypothesis(words, 10.0),))


def test_a_command_is_told_where_the_person_is(session: Desk) -> None:
    here = [Place()]
    memo = Commands(session, lambda: here[0])
    memo.say("20 in 2x4")
    memo.say("93 2x4")
    first, second = session.state.rows
    here[0] = Place(by_board=True, in_hand=second)
    memo.hear(heard("cut"))
    assert session.state.rows[second].state == "cut"
    here[0] = Place(at_saw=True)
    memo.hear(heard("cut"))
    assert session.state.rows[first].state == "cut"
    here[0] = Place()
    memo.hear(heard("seventy one"))
    assert len(session.state.rows) == 3


def test_an_answer_goes_to_the_row_that_is_shown(session: Desk) -> None:
    shown: list[str] = []
    memo = Commands(session, lambda: Place(shown=shown[0] if shown else None))
    memo.say("six two")
    memo.say("eight two")
    first, second = session.state.rows
    shown.append(first)
    memo.answer(1)
    assert session.state.rows[first].state == "open"
    assert session.state.rows[second].state == "doubtful"


@pytest.mark.parametrize(
    ("happened", "follows"), [("answered", True), ("struck", True), ("added", False)]
)
def test_after_an_answer_the_next_question_is_shown(
    session: Desk, happened: str, follows: bool
) -> None:
    session.call("six two")
    question = session.question()
    outcome = Told(Result(happened), "Row 1 is 36.")  # type: ignore[arg-type]
    response = respond(outcome, question)
    assert (response.following is question) is follows
    assert response.row is (question if follows else None)


# --- planning in the background ----------------------------------------------------------------------------


class Later:
    """Runs work when told to, as a thread would sooner or later."""

    def __init__(self) -> None:
        self.waiting: list[Callable[[], object]] = []

    def __call__(self, work: Callable[[], object], _group: str) -> None:
        self.waiting.append(work)

    def run(self) -> None:
        for work in self.waiting:
            work()
        self.waiting.clear()


@pytest.fixture
def later() -> Later:
    return Later()


@pytest.fixture
def planner(session: Desk, later: Later) -> Planner:
    return Planner(Commands(session, Place), later, lambda work: work())


def test_a_plan_is_handed_over(session: Desk, planner: Planner, later: Later) -> None:
    session.call("2 @ 48 2x4")
    plans: list[list[SectionPlan]] = []
    assert planner.plan(plans.append) == session.state.position
    assert plans == []
    later.run()
    assert [plan.pieces for plan in plans[0]] == [2]


def test_a_plan_of_a_memo_that_moved_on_is_dropped(
    session: Desk, planner: Planner, later: Later
) -> None:
    session.call("2 @ 48 2x4")
    plans: list[list[SectionPlan]] = []
    planner.plan(plans.append)
    session.call("14 in 2x4")
    later.run()
    assert plans == []


def test_one_section_is_planned_alone(session: Desk, planner: Planner, later: Later) -> None:
    session.call("2 @ 48 2x4")
    session.call("60 2x6")
    plans: list[list[SectionPlan]] = []
    planner.plan(plans.append, session.state.open_rows()[1].cut.section)
    later.run()
    assert [str(plan.section) for plan in plans[0]] == ["2x6"]


def test_a_proof_follows_for_what_stands_without_one(
    session: Desk, planner: Planner, later: Later
) -> None:
    session.call("2 @ 48 2x4")
    session.call("60 2x6")
    found = session.plans()
    open_ones = [replace(found[0], proven=False, over=F(1, 10)), found[1]]
    proofs: list[list[SectionPlan]] = []
    assert planner.prove(open_ones, proofs.append)
    assert not planner.prove(open_ones, proofs.append)  # one at a time
    later.run()
    assert proofs == [found]
    assert not planner.prove(found, proofs.append)  # nothing is left to prove
    assert planner.prove(open_ones, proofs.append)
    session.call("14 in 2x4")
    later.run()
    assert len(proofs) == 1  # the memo moved on


def test_boards_are_planned_ahead_once_for_each_change(
    session: Desk, planner: Planner, later: Later
) -> None:
    session.call("2 @ 48 2x4")
    planner.ahead()
    assert later.waiting == []  # no boards, no plan
    session.call("2 2x4 12 footers")
    planner.ahead()
    planner.ahead()
    assert len(later.waiting) == 1
    session.clear()
    planner.ahead()
    assert len(later.waiting) == 2


def test_too_many_pieces_are_refused_when_asked_for_and_passed_over_ahead(
    session: Desk, planner: Planner, later: Later
) -> None:
    session.call("2 2x4 12 footers")
    for _ in range(70):
        session.call("50 @ 20 2x4")
        session.clock.later(60)  # type: ignore[attr-defined]
    planner.ahead()
    assert later.waiting == []
    with pytest.raises(BadBoards):
        planner.plan(lambda _plans: None)
