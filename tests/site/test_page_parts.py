"""The parts of the page by themselves, in a real Chromium: the filter, what is kept, the figures."""

from __future__ import annotations

import functools
import http.server
import threading
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from site_pages import browser, needs_chromium

import cutmemo

pytestmark = needs_chromium
SITE = Path(cutmemo.__file__).parent / "site"


class Quiet(http.server.SimpleHTTPRequestHandler):
    extensions_map = {
        **http.server.SimpleHTTPRequestHandler.extensions_map,
        ".js": "text/javascript",
    }

    def log_message(self, *arguments: Any) -> None:
        pass


@pytest.fixture(scope="module")
def chromium(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    handler = functools.partial(Quiet, directory=str(SITE))
    server = http.server.ThreadingHTTPServer(("127.0.0.1", 0), handler)
    thread = threading.Thread(target=server.serve_forever, daemon=True)
    thread.start()
    with browser(tmp_path_factory.mktemp("chromium")) as driver:
        driver.get(f"http://localhost:{server.server_port}/page/icon.svg")
        driver.address = f"http://localhost:{server.server_port}/page/icon.svg"
        yield driver
    server.shutdown()
    server.server_close()
    thread.join()


def run(chromium: Any, script: str, *arguments: Any) -> Any:
    """Return what an async function of the page returns; an error of it is an error here."""
    wrapped = f"const done = arguments[arguments.length - 1]; (async (...args) => {{ {script} }})(...arguments).then((x) => done([x]), (e) => done(String(e.stack ?? e)))"
    answer = chromium.execute_async_script(wrapped, *arguments)
    assert isinstance(answer, list), answer
    return answer[0]


LEVEL = """
const { Resampler, RATE } = await import("/page/resample.js");
const [rate, hertz, block] = args;
const resampler = new Resampler(rate), out = [];
for (let at = 0; at < rate; at += block) {
  out.push(...resampler.push(Float32Array.from({ length: block }, (_, k) => Math.sin((2 * Math.PI * hertz * (at + k)) / rate))));
}
const middle = out.slice(RATE / 4, (3 * RATE) / 4);
return [10 * Math.log10((2 * middle.reduce((sum, x) => sum + x * x, 0)) / middle.length), out.length];
"""


@pytest.mark.parametrize("rate", [16_000, 44_100, 48_000, 96_000])
def test_seven_kilohertz_stay_and_nine_are_gone(chromium: Any, rate: int) -> None:
    """What lies above half of 16 kHz would come back as another tone (the sampling theorem)."""
    for hertz in (100, 1_000, 4_000, 7_000):
        level, _ = run(chromium, LEVEL, rate, hertz, 128)
        assert abs(level) < 0.5, f"{hertz} Hz: {level:.2f} dB"
    for hertz in (9_000, 11_000, 15_000, 20_000):
        if hertz < rate / 2:
            level, _ = run(chromium, LEVEL, rate, hertz, 128)
            assert level < -60, f"{hertz} Hz: {level:.2f} dB"


@pytest.mark.parametrize("rate", [8_000, 22_050, 44_100, 48_000])
def test_no_sample_is_lost_or_made_up_whatever_the_pieces(chromium: Any, rate: int) -> None:
    for block in (1, 127, 128, 4_096):
        fed = -(-rate // block) * block
        _, made = run(chromium, LEVEL, rate, 440, block)
        assert abs(made - fed * 16_000 / rate) <= 1


def test_pieces_of_sound_are_joined_without_a_seam(chromium: Any) -> None:
    worst = run(
        chromium,
        """
      const { Resampler } = await import("/page/resample.js");
      const sound = Float32Array.from({ length: 9600 }, (_, k) => Math.sin(k / 7) * Math.cos(k / 31));
      const whole = new Resampler(48000).push(sound), parts = [], cut = new Resampler(48000);
      for (let at = 0, k = 1; at < sound.length; at += k, k = (k * 7) % 251) parts.push(...cut.push(sound.subarray(at, at + k)));
      if (parts.length !== whole.length) return -1;
      return Math.max(...parts.map((x, k) => Math.abs(x - whole[k])));
    """,
    )
    assert 0 <= worst < 1e-6


def test_sixteen_bit_numbers_do_not_wrap_where_it_is_too_loud(chromium: Any) -> None:
    assert run(
        chromium,
        """
      const { to16bit } = await import("/page/resample.js");
      return [...to16bit(Float32Array.of(0, 1, -1, 1.7, -3, 0.5))];
    """,
    ) == [0, 32767, -32767, 32767, -32767, 16384]


# --- what is kept -----------------------------------------------------------------------------------

KEPT = """
const { Outbox } = await import("/page/outbox.js");
const frame = (stream, number, flags = 0) => ({ stream, number, flags, clock: number, pcm: new Uint8Array([number]).buffer });
"""


@pytest.fixture
def fresh(chromium: Any) -> Any:
    chromium.get(chromium.address)
    run(
        chromium,
        """
      await new Promise((go) => { const gone = indexedDB.deleteDatabase("cutmemo"); gone.onsuccess = gone.onerror = go; });
    """,
    )
    return chromium


def test_frames_stay_until_they_are_acknowledged_and_no_longer(fresh: Any) -> None:
    assert run(
        fresh,
        KEPT
        + """
      const box = await Outbox.open();
      for (let n = 0; n < 10; n++) box.add(frame("aa", n));
      box.add({ act: { id: "x", do: "undo" } });
      for (let n = 10; n < 12; n++) box.add(frame("aa", n, n === 11 ? 2 : 0));
      await box.taken("aa", 4);
      await box.taken("bb", 99);
      const kept = (await box.behind(box.page, 0, 99)).map((item) => item.act?.id ?? item.number);
      return [kept, box.frames, await box.streams().then(([s]) => [s.id, s.next, s.upto, s.over])];
    """,
    ) == [[5, 6, 7, 8, 9, "x", 10, 11], 7, ["aa", 5, 11, True]]


def test_what_a_closed_page_kept_is_taken_over_by_the_next_in_order(fresh: Any) -> None:
    run(
        fresh,
        KEPT
        + """
      const box = await Outbox.open();
      for (let n = 0; n < 3; n++) box.add(frame("aa", n));
      await box.add({ act: { id: "x", do: "clear", row: "r" } });
    """,
    )
    fresh.refresh()
    assert run(
        fresh,
        KEPT
        + """
      const box = await Outbox.open();
      await box.add(frame("bb", 0));
      const kept = [];
      for (const page of box.pages) kept.push(...(await box.behind(page, 0, 99)).map((item) => item.act?.id ?? item.stream));
      return [kept, [...box.acts.keys()], box.seconds.toFixed(2)];
    """,
    ) == [["aa", "aa", "aa", "x", "bb"], ["x"], "0.32"]


def test_what_another_open_page_keeps_is_left_to_it(fresh: Any) -> None:
    run(fresh, KEPT + "window.box = await Outbox.open(); await box.add(frame('aa', 0));")
    first = fresh.current_window_handle
    fresh.switch_to.new_window("tab")
    try:
        fresh.get(fresh.address)
        assert run(
            fresh, KEPT + "const box = await Outbox.open(); return [box.frames, box.pages.length];"
        ) == [0, 1]
    finally:
        fresh.close()
        fresh.switch_to.window(first)


def test_the_browser_is_asked_to_keep_it_when_space_is_short(fresh: Any) -> None:
    """What may be thrown away at any time is not kept (W3C/WHATWG Storage, persistence)."""
    assert run(
        fresh,
        KEPT
        + """
      const asked = [];
      navigator.storage.persist = async () => { asked.push(1); return true; };
      const box = await Outbox.open();
      navigator.storage.persist = () => Promise.reject(new Error("no"));
      return [asked.length, box.safe, (await Outbox.open()).safe];
    """,
    ) == [1, True, False]


def test_half_an_hour_of_sound_is_kept_before_it_says_that_it_keeps_no_more(fresh: Any) -> None:
    assert run(
        fresh,
        KEPT
        + """
      const box = await Outbox.open();
      box.frames = 30 * 60 / 0.08;
      const half = box.room;
      box.frames = 33 * 60 / 0.08;
      return [half, box.room];
    """,
    ) == [True, False]


def test_what_cannot_be_kept_is_told_and_not_counted(fresh: Any) -> None:
    assert run(
        fresh,
        KEPT
        + """
      const box = await Outbox.open(), told = [];
      box.addEventListener("failed", ({ detail }) => told.push(detail.includes("DataCloneError")));
      await box.add(frame("aa", 0));
      await box.add({ ...frame("aa", 1), pcm: () => 0 }); // nothing that a disk takes
      await box.add({ act: { id: "x", do: "undo", at: () => 0 } });
      await box.add(frame("aa", 2));
      return [told, box.frames, box.acts.size, box.holes.has("aa"), (await box.behind(box.page, 0, 9)).map(({ number }) => number)];
    """,
    ) == [[True, True], 2, 0, True, [0, 2]]


ROW = {"state": "open", "held": False, "goes_on": False, "spoiled": []}


@pytest.mark.parametrize(
    "acts, offered",
    [
        ([], [["a", 2], ["b", 1], ["c", 3]]),
        ([{"do": "clear", "row": "a"}], [["a", 1], ["b", 1], ["c", 3]]),
        ([{"do": "clear", "row": "a"}] * 2, [["b", 1], ["c", 3]]),
        ([{"do": "clear", "row": "a"}] * 5, [["b", 1], ["c", 3]]),
        ([{"do": "clear all", "row": "c"}, {"do": "skip", "row": "a"}], [["b", 1], ["a", 2]]),
        ([{"do": "skip", "row": "a"}, {"do": "skip", "row": "b"}], [["c", 3], ["a", 2], ["b", 1]]),
        ([{"do": "hold", "row": "a"}, {"do": "strike", "row": "b"}], [["c", 3]]),
        ([{"do": "undo"}], [["a", 2], ["b", 1], ["c", 3]]),
    ],
)
def test_what_waits_is_seen_at_the_saw_before_it_is_sent(
    fresh: Any, acts: list[dict[str, str]], offered: list[list[object]]
) -> None:
    rows = [ROW | {"id": name, "left": left} for name, left in (("a", 2), ("b", 1), ("c", 3))]
    rows += [
        ROW | {"id": "h", "left": 1, "held": True},
        ROW | {"id": "g", "left": 1, "goes_on": True},
    ]
    rows += [ROW | {"id": "q", "left": 1, "state": "doubtful"}]
    seen = run(
        fresh,
        """
      const { foreseen } = await import("/page/rows.js");
      return foreseen(args[0], args[1]).map(({ id, left }) => [id, left]);
    """,
        rows,
        acts,
    )
    assert seen == offered


def test_a_frame_travels_as_the_protocol_says(fresh: Any) -> None:
    from cutmemo.site.protocol import Frame, frame_of

    sent = run(
        fresh,
        """
      const { packed } = await import("/page/link.js");
      const out = packed({ stream: "fedcba9876543210", number: 70000, flags: 13, clock: 1234567890123.5, pcm: Int16Array.of(1, -2, 300).buffer });
      return [...new Uint8Array(out)];
    """,
    )
    pcm = b"\x01\x00\xfe\xff\x2c\x01"
    assert frame_of(bytes(sent)) == Frame(0xFEDCBA9876543210, 70_000, 1234567890123.5, pcm, 13)


def test_whoever_holds_the_button_is_not_talked_over(fresh: Any) -> None:
    assert run(
        fresh,
        """
      const { Voice } = await import("/page/voice.js");
      const { Ear } = await import("/page/ear.js");
      const box = Object.assign(new EventTarget(), { room: true, kept: [], add(frame) { this.kept.push(frame.flags); } });
      const ear = new Ear(box, () => null, () => false), said = [];
      window.fetch = async () => ({ ok: false });
      const voice = new Voice(() => ({ state: "running", currentTime: 0 }), (on) => said.push(on), () => ear.idle());
      ear.node = {}; // as if the microphone were open
      ear.id = "aa";
      ear.number = 0;
      ear.press();
      voice.play("question", []);
      const turns = async () => { for (let k = 0; k < 50; k++) await null; };
      await turns();
      const whileHeld = said.length;
      ear.release();
      await turns();
      const justAfter = said.length;
      ear.free(true); // ends the press
      ear.free(false);
      await voice.queue;
      return [whileHeld, justAfter, said];
    """,
    ) == [0, 0, [True, False]]


KNOCKS = """
const late = performance.now.bind(performance), tried = [];
let offset = 0;
performance.now = () => late() + offset;
window.WebSocket = class {
  constructor(url, protocols) { tried.push([url, protocols]); window.socket = this; }
  close() {}
};
localStorage.setItem("cutmemo.elsewhere", JSON.stringify({ sockets: ["wss://one.local:8750/live", "wss://10.0.0.7:8750/live"], key: "abc" }));
const { Link } = await import("/page/link.js");
const box = Object.assign(new EventTarget(), { frames: args[0], acts: new Map() });
const link = new Link(box, () => ({}));
clearInterval(link.watch);
for (const wait of [0, 5000, 21000, 1000, 1000]) {
  offset += wait;
  link.connect();
  clearInterval(link.watch);
  window.socket.onclose({ code: 1006 });
  clearTimeout(link.again);
}
return tried;
"""


@pytest.mark.parametrize("kept", [0, 3])
def test_a_page_whose_site_is_gone_delivers_at_its_other_addresses_what_it_owes(
    fresh: Any, kept: int
) -> None:
    tried = run(fresh, KNOCKS, kept)
    own = tried[0]
    assert own[0].startswith("ws://localhost:")
    one = ["wss://one.local:8750/live", ["cutmemo.1", "cutmemo.key.abc"]]
    two = ["wss://10.0.0.7:8750/live", ["cutmemo.1", "cutmemo.key.abc"]]
    assert tried == [own, own, *([two, own, one] if kept else [own, own, own])]
    assert own[1] == ["cutmemo.1"]


# --- the figures ------------------------------------------------------------------------------------


def test_whole_inches_and_fraction_are_drawn_with_one_pen(fresh: Any) -> None:
    """Of equal weight: every stroke of the picture is as thick as every other."""
    pens = run(
        fresh,
        """
      const { figures } = await import("/page/figures.js");
      const svg = figures({ text: '116-63/64"', mark: "", feet: "", whole: "116", over: "63", under: "64", unit: '"' });
      return [...svg.querySelectorAll("path")].map((path) => {
        const scale = /scale\\(([\\d.]+)\\)/.exec(path.getAttribute("transform") ?? "")?.[1] ?? 1;
        return +(path.getAttribute("stroke-width") * scale).toFixed(6);
      });
    """,
    )
    assert len(pens) == 9  # three figures, two, a bar, two, and the mark of the inch
    assert len(set(pens)) == 1


@pytest.mark.parametrize(
    "parts, name",
    [
        (("", "", "101", "1", "2", '"'), '101-1/2"'),
        (("≈", "12", "10", "63", "64", '"'), "≈12' 10-63/64\""),
        (("", "", "", "5", "8", '"'), '5/8"'),
        (("", "", "2400", "", "", "mm"), "2400 mm"),
    ],
)
def test_every_length_is_drawn_whole_and_named(
    fresh: Any, parts: tuple[str, ...], name: str
) -> None:
    length = dict(zip(("mark", "feet", "whole", "over", "under", "unit"), parts, strict=True)) | {
        "text": name
    }
    drawn = run(
        fresh,
        """
      const { figures } = await import("/page/figures.js");
      const box = document.createElementNS("http://www.w3.org/2000/svg", "svg");
      document.documentElement.append(box);
      const svg = figures(args[0]);
      box.append(svg);
      const seen = svg.viewBox.baseVal, paths = [...svg.querySelectorAll("path")];
      const inside = paths.every((path) => {
        const box = path.getBBox(), turn = path.transform.baseVal.consolidate()?.matrix ?? { a: 1, e: 0, f: 0 };
        const pen = (path.getAttribute("stroke-width") * turn.a) / 2;
        return path.getAttribute("d") && turn.e + box.x * turn.a - pen >= seen.x - 0.01 && turn.f + box.y * turn.a - pen >= seen.y - 0.01
          && turn.e + (box.x + box.width) * turn.a + pen <= seen.x + seen.width + 0.01 && turn.f + (box.y + box.height) * turn.a + pen <= seen.y + seen.height + 0.01;
      });
      box.remove();
      return [inside, svg.getAttribute("aria-label"), paths.length];
    """,
        length,
    )
    signs = sum(map(len, parts)) + bool(parts[3]) + bool(parts[1])  # a bar, a mark of the foot
    assert drawn == [True, name, signs]
