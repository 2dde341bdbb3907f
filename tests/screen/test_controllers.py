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
from cutmemo.audio import player
from cutmemo.errors import BadBoards, NoMicrophone, SoundTrouble
from cutmemo.memo.result import Result
from cutmemo.planning import SectionPlan
from cutmemo.tui.controllers.commands import Commands, Place
from cutmemo.tui.controllers.planner import Planner
from cutmemo.tui.controllers.readback import ReadBack
from cutmemo.tui.controllers.recordings import MAX_RECORDINGS, Recordings
from cutmemo.tui.controllers.response import respond
from cutmemo.wording import Told


class Loudspeaker:
    """A loudspeaker that notes what is played, and whether the microphone was muted meanwhile."""

    def __init__(self, muted: threading.Event) -> None:
        self.played: list[bytes] = []
        self.muted_while: list[bool] = []
        self.broken = False
        self._muted = muted

    def play(self, samples: array[int]) -> None:
        self.muted_while.append(self._muted.is_set())
        if self.broken:
            raise NoMicrophone(SoundTrouble.NOT_PLAYED, "the loudspeaker was pulled out")
        self.played.append(samples.tobytes())


@pytest.fixture
def muted() -> threading.Event:
    return threading.Event()


@pytest.fixture
def loudspeaker(muted: threading.Event, monkeypatch: pytest.MonkeyPatch) -> Loudspeaker:
    made = Loudspeaker(muted)
    monkeypatch.setattr(player, "play", made.play)
    return made


@pytest.fixture
def failures() -> list[str]:
    return []


@pytest.fixture
def read_back(muted: threading.Event, loudspeaker: Loudspeaker, failures: list[str]) -> ReadBack:
    made = ReadBack(muted, lambda work: work(), failures.append)
    made.on = True
    return made


# --- what sounds when ------------------------------------------------------------------------------------


def test_a_call_is_read_back_with_the_microphone_muted(
    session: Desk, read_back: ReadBack, loudspeaker: Loudspeaker, muted: threading.Event
) -> None:
    read_back.outcome(session.call("93"))
    assert loudspeaker.played == [player.spelled(["ninety", "three"]).tobytes()]
    assert loudspeaker.muted_while == [True]
    assert not muted.is_set()


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
    assert loudspeaker.muted_while == [True]


def test_a_broken_loudspeaker_is_told_once_and_the_microphone_hears_on(
    read_back: ReadBack, loudspeaker: Loudspeaker, failures: list[str], muted: threading.Event
) -> None:
    loudspeaker.broken = True
    read_back.refusal()
    read_back.refusal()
    assert failures == [
        "No sound can be played (the loudspeaker was pulled out). Read-back is off."
    ]
    assert not read_back.on
    assert not muted.is_set()


def test_a_second_sound_waits_for_the_first(
    muted: threading.Event, monkeypatch: pytest.MonkeyPatch, failures: list[str]
) -> None:
    begun: list[int] = []
    waited: list[bool] = []
    threads: list[threading.Thread] = []

    def on_thread(work: Callable[[], None]) -> None:
        threads.append(threading.Thread(target=work))
        threads[-1].start()

    def play(samples: array[int]) -> None:
        begun.append(samples[0])
        if samples[0] == 1:
            read_back.recording(b"\x02\x00")
            threads[1].join(timeout=0.05)
            waited.append(threads[1].is_alive() and begun == [1])

    monkeypatch.setattr(player, "play", play)
    read_back = ReadBack(muted, on_thread, failures.append)
    read_back.recording(b"\x01\x00")
    for thread in threads:
        thread.join()
    assert waited == [True]
    assert begun == [1, 2]


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
    memo.say("20 2x4")
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
    session.call("14 2x4")
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
    session.call("14 2x4")
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
