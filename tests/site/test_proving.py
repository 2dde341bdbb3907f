"""Plans come to the pages at once, their proof behind them; what is looked for when the memo changes is given up."""

from __future__ import annotations

import json
import multiprocessing
import threading
from dataclasses import replace
from fractions import Fraction as F
from queue import Queue

import pytest
import site_parts

site_parts.needed()

from desk import Desk  # noqa: E402
from memory_store import MemoryStore  # noqa: E402
from site_served import Served  # noqa: E402 - only where the parts are

from cutmemo.memo.decide.rack import PlanningJob, planning_job  # noqa: E402
from cutmemo.memo.state import MemoState  # noqa: E402
from cutmemo.planning import SectionPlan  # noqa: E402
from cutmemo.site.planner import Planner  # noqa: E402
from cutmemo.site.proving import Proving  # noqa: E402
from cutmemo.wording import screens as words  # noqa: E402

SOLVE = PlanningJob.solve


def unproven(plan: SectionPlan) -> SectionPlan:
    """Return *plan* as a first search may leave it."""
    return replace(plan, proven=False, over=F(1, 10))


def dearer(plan: SectionPlan) -> SectionPlan:
    """Return *plan* as if something better could be found."""
    return replace(unproven(plan), cost=2 * plan.cost, over=F(1, 2))


@pytest.fixture
def desk() -> Desk:
    desk = Desk(MemoryStore())
    for call in ("4 @ 14-5/8 2x6 header", "7 @ 36-1/2 2x4 stud"):
        desk.call(call)
    return desk


def test_the_search_proves_what_it_is_given_and_nothing_else(desk: Desk) -> None:
    job = planning_job(desk.state)
    found = job.solve()
    assert len(found) == 2
    for open_ones in ([unproven(found[0]), found[1]], [*map(unproven, found)]):
        assert Proving().prove(job, open_ones, lambda: True) == found


def test_what_is_better_is_told_and_the_boards_stay(desk: Desk) -> None:
    job = planning_job(desk.state)
    found = job.solve()
    given = [dearer(found[0]), found[1]]
    proven = Proving().prove(job, given, lambda: True)
    assert proven is not None
    assert [plan.boards for plan in proven] == [plan.boards for plan in found]
    assert [plan.better for plan in proven] == [found[0], None]


def test_a_search_that_nobody_wants_does_not_begin(desk: Desk) -> None:
    job = planning_job(desk.state)
    assert Proving().prove(job, [*map(unproven, job.solve())], lambda: False) is None
    assert not multiprocessing.active_children()


def test_a_search_that_is_given_up_ends_at_once_and_the_next_one_is_made(desk: Desk) -> None:
    job = planning_job(desk.state)
    found, proving = job.solve(), Proving()
    begins, ended = threading.Event(), Queue[object]()

    def wanted() -> bool:
        begins.set()  # from here on no one can give up before it has begun
        return True

    given = [*map(unproven, found)]
    search = threading.Thread(target=lambda: ended.put(proving.prove(job, given, wanted)))
    search.start()
    assert begins.wait(20)
    proving.give_up()
    assert ended.get(timeout=20) is None
    search.join()
    assert not multiprocessing.active_children()
    proving.give_up()  # nothing to give up
    assert proving.prove(job, given, lambda: True) == found


class Watched:
    """The messages of a planner, as the pages get them."""

    def __init__(self) -> None:
        self.told: Queue[dict[str, object]] = Queue()
        self.newest = -1
        self.planner = Planner(lambda: self.told.put(json.loads(self.planner.message)))

    def next(self, state: MemoState) -> str:
        """Return what the next message says; it is of *state*, and none of an older one follows."""
        told = self.told.get(timeout=60)
        while not self.newest <= int(str(told["rev"])) == state.position:
            assert self.newest < state.position
            told = self.told.get(timeout=60)
        self.newest = state.position
        return str(told["sentence"])


@pytest.fixture
def watched() -> Watched:
    return Watched()


def first_found(monkeypatch: pytest.MonkeyPatch, change: object = unproven) -> None:
    """Have the first search of this process leave a proof open; that of the other process is as it is."""

    def solve(job: PlanningJob, thorough: bool = False) -> list[SectionPlan]:
        assert not thorough, "the longer search is made in a process of its own"
        return [change(plan) for plan in SOLVE(job)]  # type: ignore[operator]  # one of the two above

    monkeypatch.setattr(PlanningJob, "solve", solve)


def test_the_plan_comes_at_once_and_its_proof_behind_it(
    desk: Desk, watched: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    first_found(monkeypatch)
    watched.planner.plan(desk.state)
    first = watched.told.get(timeout=60)
    then = watched.told.get(timeout=60)
    assert (first["sentence"], then["sentence"]) == (words.PROVING, words.PLANNED)
    heads = [[section["head"] for section in told["sections"]] for told in (first, then)]  # type: ignore[attr-defined]
    assert heads[0] != heads[1]  # what is proven stands in them
    boards = [[section["boards"] for section in told["sections"]] for told in (first, then)]  # type: ignore[attr-defined]
    assert boards[0] == boards[1]
    watched.planner.close()


def test_a_better_layout_is_told_with_where_it_is_to_be_had(
    desk: Desk, watched: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    first_found(monkeypatch, dearer)
    watched.planner.plan(desk.state)
    assert watched.next(desk.state) == words.PROVING
    assert watched.next(desk.state).endswith(words.PRINTED_AT_MEMO)
    watched.planner.close()


def test_a_newer_call_throws_the_search_away(
    desk: Desk, watched: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    first_found(monkeypatch)
    watched.planner.plan(desk.state)
    assert watched.next(desk.state) == words.PROVING
    desk.call("2 @ 22-1/4 2x4 block")
    watched.planner.plan(desk.state)
    assert watched.next(desk.state) == words.PROVING
    assert watched.next(desk.state) == words.PLANNED
    watched.planner.close()


class Endless:
    """A search that ends when it is given up."""

    def __init__(self) -> None:
        self.begun, self.given_up = threading.Event(), threading.Event()

    def prove(self, *_job: object, **_wanted: object) -> None:
        self.begun.set()
        assert self.given_up.wait(60)

    def give_up(self) -> None:
        self.given_up.set()


@pytest.mark.parametrize("closed", [False, True])
def test_what_is_looked_for_is_given_up_as_soon_as_the_memo_changes_or_the_site_closes(
    closed: bool, desk: Desk, watched: Watched, monkeypatch: pytest.MonkeyPatch
) -> None:
    first_found(monkeypatch)
    watched.planner._proving = search = Endless()  # type: ignore[assignment]  # has what is used
    watched.planner.plan(desk.state)
    assert watched.next(desk.state) == words.PROVING
    assert search.begun.wait(60)
    search.given_up.clear()
    desk.call("2 @ 22-1/4 2x4 block")
    if closed:
        watched.planner.close()
    else:
        watched.planner.plan(desk.state)
        assert search.given_up.is_set()
        assert watched.next(desk.state) == words.PROVING
        watched.planner.close()
    assert search.given_up.is_set()


def test_nothing_is_looked_for_where_all_is_proven(desk: Desk, watched: Watched) -> None:
    watched.planner.plan(desk.state)
    assert watched.next(desk.state) == words.PLANNED
    assert not multiprocessing.active_children()
    watched.planner.close()


async def test_a_phone_sees_the_plan_and_then_its_proof(
    site: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    first_found(monkeypatch)
    phone = site.phone()
    phone.act("say", text="4 @ 14-5/8 2x6 header")
    await phone.run(lambda: bool(phone.view.get("rows")))

    def told() -> list[str]:
        return [each["sentence"] for each in phone.of("boards") if each["state"] == "planned"]

    await phone.look("boards", lambda: words.PLANNED in told())
    assert set(told()) <= {words.PROVING, words.PLANNED}
    assert told()[-1] == words.PLANNED
