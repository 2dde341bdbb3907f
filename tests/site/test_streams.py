"""Calls over the socket: each taken once, by the clock of the phone, whatever the network does."""

from __future__ import annotations

import asyncio
import json
import time
from collections.abc import Iterable
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import site_parts

site_parts.needed()

import aiohttp  # noqa: E402 - only where the parts are
from site_phone import Kept, Phone, silence  # noqa: E402
from site_scripted import CALLS, Scripted, call  # noqa: E402
from site_served import Served, served  # noqa: E402

from cutmemo import service  # noqa: E402
from cutmemo.audio.chunk import SoundChunk  # noqa: E402
from cutmemo.domain.length import format_length  # noqa: E402
from cutmemo.memo import open_store  # noqa: E402
from cutmemo.memo.events import moment_of  # noqa: E402
from cutmemo.site import protocol as p  # noqa: E402


def said(site: Served) -> list[str]:
    return [row.said for row in site.rows()]


async def test_a_press_is_one_call_however_long_its_pauses(site: Served) -> None:
    phone = site.phone()
    phone.record(phone.stream(), silence(0.3) + call(3) + silence(2.5) + call(3) + silence(0.3))
    await phone.run()
    assert said(site) == [CALLS[3]]
    (outcome,) = phone.of("outcome")
    assert (outcome["kind"], outcome["heard"]) == ("row", CALLS[3])
    assert outcome["clips"] == [["twenty", "four", "and", "one", "half"]]


async def test_hands_free_a_pause_ends_a_call(site: Served) -> None:
    phone = site.phone()
    stream = phone.stream()
    phone.record(stream, call(1) + silence(1) + call(2) + silence(1), held=False)
    await phone.run()
    assert said(site) == [CALLS[1], CALLS[2]]
    acks = [each["upto"] for each in phone.of("ack")]
    assert acks == sorted(acks)
    assert acks[-1] == phone.streams[stream].made - 1


async def test_what_was_recorded_long_before_has_the_time_it_was_called(site: Served) -> None:
    phone = site.phone()
    clock = time.time() * 1000 - 600_000
    phone.record(phone.stream(), call(5), clock=clock)
    await phone.run()
    (row,) = site.rows()
    assert abs(moment_of(row.at).timestamp() * 1000 - clock - 480) < 1_000


async def test_a_clock_that_runs_ahead_gives_no_time_to_come(site: Served) -> None:
    phone = site.phone()
    phone.record(phone.stream(), call(5), clock=time.time() * 1000 + 3_600_000)
    await phone.run()
    (row,) = site.rows()
    assert moment_of(row.at).timestamp() <= time.time()


async def test_frames_sent_twice_are_heard_once(site: Served) -> None:
    phone = site.phone()
    stream = phone.stream()
    phone.record(stream, call(7))
    kept = dict(phone.streams[stream].frames)
    await phone.run()
    phone.streams[stream].frames = kept
    phone.streams[stream].acked = -1
    await phone.run()
    assert said(site) == [CALLS[7]]


async def test_a_page_that_forgot_what_was_taken_sends_it_again_for_nothing(site: Served) -> None:
    """It greets without naming the stream, and sends all its frames twice over."""
    phone = site.phone()
    stream = phone.stream()
    phone.record(stream, call(7) + silence(0.25))
    frames = list(phone.streams[stream].frames.values())
    await phone.run()
    phone.record(phone.stream(), call(8) + silence(0.25))
    async with (
        aiohttp.ClientSession(cookies=phone.cookies) as session,
        session.ws_connect(f"{site.url}/live", origin=site.url, protocols=[p.SUBPROTOCOL]) as live,
    ):
        await live.send_str(json.dumps({"t": "hello", "v": 1, "clock": time.time() * 1000}))
        for frame in [*frames, *frames, *frames[:3]]:
            await live.send_bytes(p.frame_bytes(frame))
        await live.send_str(json.dumps({"t": "ping", "clock": 1.0}))
        async with asyncio.timeout(10):
            while json.loads((await live.receive()).data)["t"] != "pong":
                pass
    await phone.run()
    assert said(site) == [CALLS[7], CALLS[8]]


async def test_two_connections_that_send_the_same_call_give_one_row(site: Served) -> None:
    phone = site.phone()
    other = Phone(site.url, phone.cookies)
    stream = phone.stream()
    phone.record(stream, call(9, frames=40))
    kept = phone.streams[stream]
    other.streams[stream] = Kept(dict(kept.frames), kept.made)
    await asyncio.gather(phone.run(), other.run())
    assert said(site) == [CALLS[9]]
    for each in (phone, other):
        (outcome,) = each.of("outcome")
        assert (outcome["kind"], outcome["happened"]) == ("asks", "asked")


async def test_the_phone_takes_nothing_for_safe_before_it_is_on_disk(site: Served) -> None:
    phone = site.phone()
    stream = phone.stream()
    phone.record(stream, call(4), last=False)
    task = asyncio.create_task(phone.run())
    while not phone.of("words"):
        await phone._something(0.2)
    assert said(site) == []
    assert len(phone.streams[stream].frames) == 6
    phone.record(stream, silence(0.1))
    await task
    assert said(site) == [CALLS[4]]


async def test_a_page_that_was_closed_in_the_middle_of_a_call_leaves_a_question(
    site: Served,
) -> None:
    phone = site.phone()
    stream = phone.stream()
    phone.record(stream, call(11), held=False, last=False)
    phone.streams[stream].closed = True
    await phone.run()
    (row,) = site.rows()
    assert (row.said, row.state) == (CALLS[11], "doubtful")


async def test_what_the_phone_itself_was_saying_is_no_call(site: Served) -> None:
    phone = site.phone()
    stream = phone.stream()
    phone.record(stream, call(12), held=False, last=False, flags=p.MUTED)
    phone.record(stream, silence(1), held=False)
    await phone.run()
    assert said(site) == []


async def test_what_nobody_heard_says_nothing_of_how_loud_the_place_is(tmp_path: Path) -> None:
    """The pause rule goes by the quietest sound of the place; silence put in for it is quieter."""
    chunks = []

    class Notes(Scripted):
        def hear(self, sound: Iterable[SoundChunk], *how: Any, **more: Any) -> Any:
            return super().hear((chunks.append(each) or each for each in sound), *how, **more)  # type: ignore[func-returns-value]

    async with served(tmp_path, Notes) as site:
        phone = site.phone()
        stream = phone.stream()
        end = phone.record(stream, call(1), held=False, last=False)
        end = phone.record(stream, call(2), clock=end, held=False, last=False, flags=p.MUTED)
        phone.record(stream, call(3) + silence(1), clock=end + 700, held=False)
        await phone.run()
    muted = [(len(each.pcm) // 2, any(each.pcm)) for each in chunks if each.muted]
    assert muted == [(1_280, False)] * 6 + [(11_200, False)]


async def test_no_sound_is_written_to_the_disk_of_the_server(site: Served) -> None:
    phone = site.phone()
    phone.record(phone.stream(), call(3, frames=40) + silence(0.25))
    phone.record(phone.stream(), call(4, frames=40) + silence(1), held=False)
    await phone.run()
    assert said(site) == [CALLS[3], CALLS[4]]
    files = [each for each in site.folder.rglob("*") if each.is_file()]
    assert site.memo in files
    for each in files:
        data = each.read_bytes()
        assert not any(call(number)[:64] in data for number in (3, 4)), each


async def test_words_right_at_the_end_of_a_press_may_be_cut_short(site: Served) -> None:
    phone = site.phone()
    phone.record(phone.stream(), call(13))
    await phone.run()
    (row,) = site.rows()
    assert row.state == "doubtful"
    phone.record(phone.stream(), call(14) + silence(0.25))
    await phone.run()
    assert [each.state for each in site.rows()] == ["doubtful", "open"]


async def test_at_the_saw_only_orders_are_taken(site: Served) -> None:
    phone = site.phone("saw tablet")
    phone.record(phone.stream(), call(16) + silence(0.25), flags=p.AT_SAW)
    await phone.run()
    assert site.rows() == []
    (outcome,) = phone.of("outcome")
    assert (outcome["kind"], outcome["tone"]) == ("refused", "refusal")


async def test_where_the_clock_jumps_nobody_listened(site: Served) -> None:
    phone = site.phone()
    stream = phone.stream()
    end = phone.record(stream, call(15), held=False, last=False)
    phone.record(stream, silence(1), clock=end + 5_000, held=False)
    await phone.run()
    (row,) = site.rows()
    assert row.state == "doubtful"


async def test_an_act_behind_a_press_waits_for_what_came_of_it(site: Served) -> None:
    phone = site.phone()
    phone.record(phone.stream(), call(20) + silence(0.25))
    await phone.run()
    phone.record(phone.stream(), call(21) + silence(0.25))

    phone.acts_first = False
    phone.act("undo")
    await phone.run()
    assert [row.said for row in site.rows()] == [CALLS[20]]


@pytest.mark.parametrize(
    "more", [{}, {"clock": "noon"}, {"clock": 1.0, "calls": [{"id": 7}], "at": "attic"}]
)
async def test_a_page_of_another_version_is_told_to_load_anew_whatever_its_greeting_is_like(
    site: Served, more: dict[str, Any]
) -> None:
    phone = site.phone()
    for version in (0, p.VERSION + 1):
        async with (
            aiohttp.ClientSession(cookies=phone.cookies) as session,
            session.ws_connect(
                f"{site.url}/live", origin=site.url, protocols=[f"cutmemo.{version}"]
            ) as socket,
        ):
            await socket.send_str(json.dumps({"t": "hello", "v": version} | more))
            told = json.loads((await socket.receive()).data)
        assert told["t"] == "reload"
    assert site.rows() == []


async def test_a_greeting_of_this_version_without_its_form_is_no_old_page(site: Served) -> None:
    phone = site.phone()
    async with (
        aiohttp.ClientSession(cookies=phone.cookies) as session,
        session.ws_connect(
            f"{site.url}/live", origin=site.url, protocols=[p.SUBPROTOCOL]
        ) as socket,
    ):
        await socket.send_str(json.dumps({"t": "hello", "v": p.VERSION, "calls": []}))
        assert (await socket.receive()).type is aiohttp.WSMsgType.CLOSE
        assert socket.close_code == 1007


async def test_a_hole_in_a_stream_is_asked_for(site: Served) -> None:
    phone = site.phone()
    stream = phone.stream()
    phone.record(stream, call(22) + silence(0.25))
    missing = phone.streams[stream].frames.pop(1)
    task = asyncio.create_task(phone.run())
    while not phone.of("resend"):
        await phone._something(0.2)
    phone.streams[stream].frames[1] = missing
    phone.streams[stream].sent = 0
    await task
    assert said(site) == [CALLS[22]]


HALVES = ("fourteen", "and five eighths", "thirty six and a half")


async def test_a_thumb_that_slips_leaves_no_half_call_standing(tmp_path: Path) -> None:
    """The rest, called with a second press right behind the first, makes the first ask: 14 is not 14-5/8."""
    async with served(tmp_path, lambda: Scripted(HALVES)) as site:
        phone = site.phone()
        stream = phone.stream()
        end = phone.record(stream, call(0) + silence(0.25))
        phone.record(stream, call(1) + silence(0.25), clock=end + 800)
        await phone.run()
        (row,) = site.rows()
        assert row.state == "doubtful"
        assert "14-5/8" in str([str(format_length(each.length)) for each in row.readings])


async def test_two_whole_calls_right_behind_each_other_are_two(tmp_path: Path) -> None:
    async with served(tmp_path, lambda: Scripted(HALVES)) as site:
        phone = site.phone()
        stream = phone.stream()
        end = phone.record(stream, call(2) + silence(0.25))
        phone.record(stream, call(0) + silence(0.25), clock=end + 800)
        await phone.run()
        assert [(row.said, row.state) for row in site.rows()] == [
            (HALVES[2], "open"),
            (HALVES[0], "open"),
        ]


async def test_hands_free_the_rest_after_a_lost_connection_is_weighed_with_the_call(
    tmp_path: Path,
) -> None:
    """The ear that heard the first half is gone with its connection; the clock of the frames tells that it came right before."""
    async with served(tmp_path, lambda: Scripted(HALVES)) as site:
        phone = site.phone()
        stream = phone.stream()
        end = phone.record(stream, call(0) + silence(0.8), held=False, last=False)
        phone.streams[stream].closed = False
        first = asyncio.create_task(
            phone.run(
                lambda: bool(phone.of("ack")) and len(phone.streams[stream].frames) < 5, seconds=20
            )
        )
        while not phone.of("ack"):
            await phone._something(0.2)
        first.cancel()
        await asyncio.gather(first, return_exceptions=True)
        phone.record(stream, call(1) + silence(1), clock=end, held=False)
        await phone.run()
        (row,) = site.rows()
        assert row.state == "doubtful"
        assert any(each.length.inches == Fraction(117, 8) for each in row.readings)


async def test_where_the_program_breaks_the_call_is_kept_as_refused(
    site: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    real, broken = service.decide, [True]

    def breaks(*arguments: object) -> object:
        if broken.pop() if broken else False:
            raise ZeroDivisionError("somewhere")
        return real(*arguments)  # type: ignore[arg-type]

    monkeypatch.setattr(service, "decide", breaks)
    phone = site.phone()
    phone.record(phone.stream(), call(3) + silence(0.25))
    phone.record(phone.stream(), call(4) + silence(0.25))
    await phone.run()
    assert said(site) == [CALLS[4]]
    kinds = [each["kind"] for each in phone.of("outcome")]
    assert kinds == ["refused", "row"]
    assert "the program broke" in phone.of("outcome")[0]["sentence"]
    with open_store(site.memo) as store:
        assert [each.payload.said for each in store.events() if each.kind == "call refused"] == [
            CALLS[3]
        ]
