"""The network is cut and the server is killed at random places: nothing is lost, nothing is taken twice."""

from __future__ import annotations

import contextlib
import os
import random
import subprocess
import sys
import time
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

import pytest
import site_parts

site_parts.needed()

import aiohttp  # noqa: E402 - only where the parts are
import site_scripted  # noqa: E402
from ports import free_port  # noqa: E402
from site_phone import Phone, silence  # noqa: E402
from site_scripted import CALLS, call  # noqa: E402

from cutmemo.memo import Projection, open_store  # noqa: E402
from cutmemo.memo import events as e  # noqa: E402
from cutmemo.memo.rescue import rescue  # noqa: E402
from cutmemo.site.devices import Devices  # noqa: E402

CUTS = int(os.environ.get("CUTMEMO_CUTS", "20"))
KILL_EVERY = 4
GONE = (aiohttp.ClientError, OSError)


class Process:
    """A server in a process of its own, which can be killed."""

    def __init__(self, folder: Path) -> None:
        self.port = free_port()
        self.folder, self.memo = folder, folder / "porch.cutmemo"
        self.url = f"http://localhost:{self.port}"
        (folder / "site").mkdir()
        _, token = Devices(folder / "site" / "here.json").join("ladder phone")
        self.phone = Phone(self.url, {"cutmemo": token})
        self.start()

    def start(self) -> None:
        call = [sys.executable, site_scripted.__file__, str(self.memo), str(self.port)]
        env = os.environ | {"CUTMEMO_FOLDER": str(self.folder)}
        self.process = subprocess.Popen(call, stdout=subprocess.PIPE, text=True, env=env)
        assert self.process.stdout is not None
        assert self.process.stdout.readline() == "open\n"

    def kill(self) -> None:
        self.process.kill()
        self.process.wait(20)
        assert self.process.stdout is not None
        self.process.stdout.close()


@pytest.fixture
def process(tmp_path: Path) -> Iterator[Process]:
    found = Process(tmp_path)
    yield found
    found.kill()


async def connect(phone: Phone) -> None:
    """Connect once; the network may be cut while it is up."""
    phone.cut = False
    with contextlib.suppress(*GONE):
        await phone.run()


async def test_at_any_cut_nothing_is_lost_and_nothing_is_taken_twice(process: Process) -> None:
    seed = 20_260_302 if os.environ.get("CI") else random.randrange(2**32)
    print(f"seed {seed}")
    rng, phone = random.Random(seed), process.phone
    phone.act("say", text="50 @ 36-1/2")
    await phone.run(lambda: bool(phone.view["rows"]))
    row = phone.view["rows"][0]
    clock = time.time() * 1000 - 1_000 * 30 * (CUTS + 1)
    called: list[str] = []
    calls = iter(range(len(CALLS)))
    clears = 0
    for cut in range(CUTS):
        clock += 30_000
        one, two, three = (next(calls) for _ in range(3))
        stream = phone.stream()
        sound = call(one) + silence(1) + call(two) + silence(1)
        if rng.random() < 0.5:
            phone.record(stream, sound, clock, held=False)
        else:
            end = phone.record(stream, call(one) + silence(0.25), clock)
            phone.record(stream, call(two) + silence(0.25), end + 2_000)
        phone.act("say", text=CALLS[three])
        phone.act("clear", row=row["id"], seen=row["seen"])
        called += [CALLS[one], CALLS[two], CALLS[three]]
        clears += 1
        for _ in range(rng.randrange(1, 4)):
            phone.bytes_before_cut = phone.messages_before_cut = None
            if rng.random() < 0.6:
                phone.bytes_before_cut = rng.randrange(200, 90_000)
            else:
                phone.messages_before_cut = rng.randrange(0, 25)
            await connect(phone)
        if cut % KILL_EVERY == 0:
            process.kill()
            process.start()
        phone.bytes_before_cut = phone.messages_before_cut = None
        phone.cut = False
        await phone.run()
    with open_store(process.memo) as store:
        memo = Projection(store.events())
    said = Counter(each.payload.said for each in memo.log if isinstance(each.payload, e.CutAdded))
    del said["50 @ 36-1/2"]
    assert said == Counter(called), f"seed {seed}"
    assert memo.state.rows[row["id"]].done == clears
    assert not [each for each in memo.log if isinstance(each.payload, e.CallRefused)]
    assert not any("refused" in each["t"] for each in phone.messages)


async def test_killed_in_the_middle_of_a_call_the_rest_is_heard_with_its_beginning(
    process: Process,
) -> None:
    phone = process.phone
    stream = phone.stream()
    end = phone.record(stream, call(1, frames=10), last=False)
    phone.messages_before_cut = 12
    await connect(phone)
    process.kill()
    process.start()
    phone.messages_before_cut, phone.cut = None, False
    phone.record(stream, call(1, frames=5) + silence(0.25), end)
    await phone.run()
    with open_store(process.memo) as store:
        rows = list(Projection(store.events()).state.rows.values())
    assert [each.said for each in rows] == [CALLS[1]]
    assert rows[0].state == "open"


async def test_after_a_rescue_what_a_phone_still_keeps_is_taken_once(process: Process) -> None:
    """The new memo lies in another file, and goes on for the damaged one: so it does for its phones."""
    phone = process.phone
    stream = phone.stream()
    end = phone.record(stream, call(1) + silence(0.25))
    act = phone.act("say", text=CALLS[2])
    kept, acts = dict(phone.streams[stream].frames), dict(phone.acts)
    await phone.run()
    process.kill()
    process.memo = rescue(process.memo, process.folder / "saved.cutmemo").memo
    process.start()
    phone.streams[stream].frames, phone.streams[stream].acked = kept, -1
    phone.acts = acts
    phone.record(stream, call(3) + silence(0.25), end + 2_000)
    await phone.run()
    assert not phone.of("stuck")
    assert phone.answered[act]["t"] == "done"
    with open_store(process.memo) as store:
        rows = Projection(store.events()).state.rows.values()
    assert sorted(each.said for each in rows) == sorted(CALLS[n] for n in (1, 2, 3))
