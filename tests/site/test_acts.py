"""What is done on a page: once, in order, and refused with a reason where somebody else was first."""

from __future__ import annotations

import asyncio
import time
from pathlib import Path
from typing import Any

import pytest
import site_parts

site_parts.needed()

from site_phone import Phone, silence  # noqa: E402 - only where the parts are
from site_scripted import call  # noqa: E402
from site_served import Served, served  # noqa: E402

from cutmemo.errors import BadMemo, MemoFault  # noqa: E402
from cutmemo.memo import open_store  # noqa: E402
from cutmemo.memo.commands import Order, Say  # noqa: E402
from cutmemo.memo.events import moment_of  # noqa: E402
from cutmemo.office.link import Link, drop_link, make_link  # noqa: E402
from cutmemo.service import Memo, Station  # noqa: E402
from cutmemo.wording import tell  # noqa: E402


async def called(phone: Phone, text: str) -> dict[str, str]:
    """Call *text* on *phone*; return its row as the page shows it."""
    before = len(phone.view.get("rows", ()))
    phone.act("say", text=text)
    await phone.run(lambda: len(phone.view.get("rows", ())) > before)
    return max(phone.view["rows"], key=lambda row: row["n"])


def answer(phone: Phone, act_id: str) -> tuple[str, str]:
    told = phone.answered[act_id]
    return told["t"], told["sentence"]


async def test_cuts_pressed_while_the_network_was_away_all_count(site: Served) -> None:
    phone = site.phone("saw tablet")
    row = await called(phone, "6 @ 36-1/2")
    for _ in range(3):
        phone.act("clear", row=row["id"], seen=row["seen"])
    await phone.run()
    assert [each.done for each in site.rows()] == [3]
    assert {told["t"] for told in phone.answered.values()} == {"done"}


async def test_the_last_piece_is_cut_once_and_the_second_is_told_by_whom(site: Served) -> None:
    one, two = site.phone("saw tablet"), site.phone("yard phone")
    row = await called(one, "36-1/2")
    late = two.act("clear", row=row["id"], seen=row["seen"])
    one.act("clear", row=row["id"], seen=row["seen"])
    await one.run()
    await two.run()
    kind, sentence = answer(two, late)
    assert kind == "refused"
    assert sentence.startswith("Row 1 is cut already: saw tablet at saw tablet, ")
    assert [each.done for each in site.rows()] == [1]


async def test_a_piece_that_was_changed_meanwhile_is_not_cleared_as_another(site: Served) -> None:
    one, two = site.phone(), site.phone("saw tablet")
    row = await called(one, "36-1/2")
    late = two.act("clear", row=row["id"], seen=row["seen"])
    one.act("say", text="no, make that 35")
    await one.run()
    await two.run()
    kind, sentence = answer(two, late)
    assert kind == "refused"
    assert 'Row 1 was changed to 35": ladder phone at ladder phone' in sentence
    assert [each.done for each in site.rows()] == [0]


async def test_an_answer_that_comes_second_changes_nothing(site: Served) -> None:
    one, two = site.phone(), site.phone("saw tablet")
    row = await called(one, "6-2")
    assert row["state"] == "doubtful"
    assert len(row["choices"]) > 1
    late = two.act("answer", row=row["id"], choice=2, seen=row["seen"])
    one.act("answer", row=row["id"], choice=1, seen=row["seen"])
    await one.run()
    settled = site.rows()[0].cut
    await two.run()
    kind, sentence = answer(two, late)
    assert kind == "refused"
    assert sentence.startswith("Row 1 was answered already: ladder phone at ladder phone")
    assert site.rows()[0].cut == settled


async def test_an_act_sent_again_is_done_once_and_told_the_same(site: Served) -> None:
    phone = site.phone()
    row = await called(phone, "2 @ 36-1/2")
    act_id = phone.act("clear", row=row["id"])
    sent = dict(phone.acts[act_id])
    await phone.run()
    first = phone.answered.pop(act_id)
    phone.acts[act_id] = sent
    await phone.run()
    assert phone.answered[act_id]["sentence"] == first["sentence"]
    assert [each.done for each in site.rows()] == [1]


async def test_a_refusal_stays_one_when_it_is_sent_again(site: Served) -> None:
    phone = site.phone()
    act_id = phone.act("undo")
    sent = dict(phone.acts[act_id])
    await phone.run()
    assert answer(phone, act_id)[0] == "refused"
    await called(phone, "36-1/2")
    phone.acts[act_id] = sent
    await phone.run()
    assert answer(phone, act_id)[0] == "refused"
    assert [each.state for each in site.rows()] == ["open"]


async def test_each_device_takes_back_only_its_own(site: Served) -> None:
    one, two = site.phone(), site.phone("saw tablet")
    await called(one, "36-1/2")
    act_id = two.act("undo")
    await two.run()
    assert answer(two, act_id)[0] == "refused"
    one.act("undo")
    await one.run()
    assert site.rows() == []


async def test_the_time_of_an_act_is_when_it_was_done(site: Served) -> None:
    phone = site.phone()
    row = await called(phone, "36-1/2")
    act_id = phone.act("clear", row=row["id"])
    phone.acts[act_id]["at"] -= 600_000
    await phone.run()
    cleared = site.rows()[0].cleared[0]
    assert time.time() - 610 < moment_of(cleared.at).timestamp() < time.time() - 590


async def test_one_page_shows_what_another_did(site: Served) -> None:
    one, two = site.phone(), site.phone("saw tablet")
    watching = asyncio.create_task(two.run(lambda: bool(two.view.get("rows"))))
    while not two.view:
        await two._something(0.1)
    one.record(one.stream(), call(3) + silence(0.25))
    await one.run()
    await watching
    assert [row["n"] for row in two.view["rows"]] == [1]


async def test_a_row_that_is_as_it_was_comes_by_its_id_alone_where_the_page_asks_for_it(
    site: Served,
) -> None:
    """Put together they are the view that another page gets whole."""
    whole, short = site.phone("saw tablet"), site.phone("ladder phone")
    rows = [await called(whole, text) for text in ("36-1/2", "44-1/4", "52-1/8")]
    short.greeting = {"by_id": True}

    def known() -> list[dict[str, Any]]:
        found: dict[str, Any] = {}
        for view in short.of("view"):
            listed = [found[each] if isinstance(each, str) else each for each in view["rows"]]
            found = {row["id"]: row for row in listed}
        return list(found.values())

    for number, row in enumerate(rows, start=1):
        short.messages.clear()
        short.act("clear", row=row["id"])
        await short.run(lambda n=number: [row["state"] for row in known()].count("cut") == n)
        first, *others = [view["rows"] for view in short.of("view")]
        assert all(isinstance(each, dict) for each in first)
        assert all(sum(isinstance(each, dict) for each in listed) <= 1 for listed in others)
    another = site.phone("old laptop")
    await another.run(lambda: bool(another.view))
    assert another.view["rows"] == known()


async def test_what_changes_while_a_page_is_greeted_is_shown_to_it(
    site: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    hub, shown = site.server.hub, asyncio.Event()
    trouble_of, make_view = hub.trouble_of, hub._make_view

    async def made() -> None:
        await make_view()
        if hub.view["rows"]:
            asyncio.get_running_loop().call_soon(shown.set)

    async def somebody_calls_meanwhile(page: Any) -> str:
        if not hub.view["rows"]:
            station = Station(hub.memo, "saw tablet", "ben")
            await hub.call(lambda: station.execute(Say("36-1/2")))
            hub.changed()
            await shown.wait()
        return await trouble_of(page)

    monkeypatch.setattr(hub, "_make_view", made)
    monkeypatch.setattr(hub, "trouble_of", somebody_calls_meanwhile)
    phone = site.phone()
    await phone.run(lambda: bool(phone.view.get("rows")), seconds=10)


async def test_a_page_shows_what_the_terminal_did(site: Served) -> None:
    phone = site.phone()
    watching = asyncio.create_task(phone.run(lambda: bool(phone.view.get("rows"))))
    while not phone.view:
        await phone._something(0.1)

    def terminal() -> None:
        with open_store(site.memo) as store:
            Station(Memo(store), "saw", "ann").execute(Say("4 @ 14-5/8 2x6 header"))

    await asyncio.to_thread(terminal)
    await watching
    assert phone.rows() == ['4 × 14-5/8" 2x6 header']
    assert phone.view["saw"]["left"] == "4 of 4 left"


async def test_both_see_the_same_words(site: Served) -> None:
    """What the page says of an act is what the command line says of it."""
    phone = site.phone()
    row = await called(phone, "2 @ 36-1/2")
    told = phone.act("clear", row=row["id"])
    await phone.run()
    with open_store(site.folder / "other.cutmemo") as store:
        station = Station(Memo(store))
        station.execute(Say("2 @ 36-1/2"))
        result = station.execute(Order("clear"))
        assert result is not None
        assert answer(phone, told)[1] == tell(result, station.memo.projection).text


async def test_the_boards_come_once_somebody_looks(site: Served) -> None:
    phone = site.phone()
    await called(phone, "4 @ 14-5/8 2x6 header")

    def planned() -> bool:
        boards = phone.of("boards")
        return bool(boards) and boards[-1]["state"] == "planned"

    await phone.look("boards", planned)
    (section,) = phone.of("boards")[-1]["sections"]
    pieces = [piece for board in section["boards"] for piece in board["pieces"]]
    assert len(pieces) == 4
    assert all(0 <= piece["start"] < piece["end"] <= 1 for piece in pieces)
    assert phone.of("boards")[-1]["yard"]


async def test_a_full_disk_takes_nothing_and_the_phone_keeps_all(
    site: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    phone = site.phone()
    memo = site.server.hub.memo
    real = memo.store.record

    def full(*_: object) -> None:
        raise BadMemo(Path("porch.cutmemo"), MemoFault.DISK_FULL)

    monkeypatch.setattr(memo.store, "record", full)
    phone.record(phone.stream(), call(8) + silence(0.25))
    phone.act("say", text="36-1/2")
    await phone.run()
    assert phone.unsent > 1
    assert "the disk is full" in phone.of("stuck")[0]["sentence"]
    monkeypatch.setattr(memo.store, "record", real)
    await phone.run()
    assert len(site.rows()) == 2


async def test_what_was_kept_for_one_memo_is_not_taken_into_another(tmp_path: Path) -> None:
    """The site comes up with another memo while a phone keeps calls for the first."""
    async with served(tmp_path) as site:
        phone = site.phone()
        phone.act("say", text="36-1/2")
        await phone.run()
    phone.record(phone.stream(), call(3) + silence(0.25))
    phone.act("say", text="37-1/2")
    async with served(tmp_path, name="deck") as site:
        phone.url = site.url
        await phone.run()
        assert site.rows() == []
        assert "“porch”, and this is “deck”" in phone.of("stuck")[0]["sentence"]
        assert phone.unsent > 1
    async with served(tmp_path) as site:
        phone.url = site.url
        await phone.run()
        assert len(site.rows()) == 3
    async with served(tmp_path, name="deck") as site:
        phone.url = site.url
        phone.streams.clear()
        await phone.run(lambda: phone.view.get("memo") == "deck")


async def test_every_page_tells_how_the_memo_stands_to_its_office(site: Served) -> None:
    phone = site.phone()
    await called(phone, "36-1/2")
    assert phone.view["marks"] == []
    make_link(site.memo, Link("postgresql://north@office.example/cutmemo"))
    await phone.run(lambda: phone.view["marks"] == ["office: 1 not sent yet"])
    drop_link(site.memo)
    await phone.run(lambda: phone.view["marks"] == [])
