"""The phone's microphone, end to end: recordings played into a real Chromium, rows as ``cutmemo hear`` makes them."""

from __future__ import annotations

import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from site_pages import PHONE, browser, needs_chromium, recording, resize, text, until
from site_server import Site, served

from cutmemo import cli
from cutmemo.memo import Projection, open_store
from cutmemo.wording import describe
from cutmemo.wording.page import WORDS

pytestmark = needs_chromium
DEMO = Path(__file__).resolve().parents[2] / "assets" / "demo"
QUIET = 1.6
"""Seconds between two recordings."""

NOTED = """
window.kept = [];
window.sounded = 0;
const add = IDBObjectStore.prototype.add;
IDBObjectStore.prototype.add = function (item) {
  if (item.pcm) window.kept.push({ flags: item.flags, number: item.number, clock: item.clock, bytes: item.pcm.byteLength, still: new Int16Array(item.pcm).every((x) => x === 0) });
  return add.call(this, item);
};
const start = AudioBufferSourceNode.prototype.start;
AudioBufferSourceNode.prototype.start = function (...when) { window.sounded++; return start.apply(this, when); };
"""
"""Notes in the page every frame that is kept and every sound that is played."""


def heard(folder: Path, names: list[str]) -> list[str]:
    """Return the rows that ``cutmemo hear`` makes of recordings."""
    memo = folder / "heard.cutmemo"
    cli.main(["--memo", str(memo), "hear", *(str(DEMO / name) for name in names)])
    with open_store(memo) as journal:
        state = Projection(journal.events()).state
        return [
            f"{'? ' if row.state == 'doubtful' else ''}{describe(row.cut, state.settings)}"
            for row in state.rows.values()
        ]


@contextmanager
def phone(
    folder: Path, parts: list[str | float], voice: bool
) -> Iterator[tuple[Site, Any, list[float]]]:
    """Yield a site, a phone that joined it, and when (seconds) each recording of its microphone begins and ends."""
    times, at = [], 0.0
    sounds: list[Path | float] = []
    for part in parts:
        sounds.append(DEMO / part if isinstance(part, str) else part)
        begin = at
        at += seconds(DEMO / part) if isinstance(part, str) else part
        times += [begin, at] if isinstance(part, str) else []
    with (
        served(folder) as site,
        browser(folder, recording(folder / "calls.wav", sounds), site.rules) as driver,
    ):
        resize(driver, PHONE)
        driver.execute_cdp_cmd("Page.addScriptToEvaluateOnNewDocument", {"source": NOTED})
        site.open(driver)
        driver.execute_script(
            "localStorage.setItem('cutmemo.voice', arguments[0])", "on" if voice else "off"
        )
        driver.refresh()
        until(lambda: text(driver, "sending") == WORDS["connected"])
        yield site, driver, times


def seconds(path: Path) -> float:
    import wave

    with wave.open(str(path), "rb") as file:
        return file.getnframes() / file.getframerate()


class Microphone:
    """The recording as it goes by: it begins when the page opens the microphone."""

    def __init__(self, driver: Any) -> None:
        self._driver = driver
        self._begun = time.monotonic()

    def at(self, moment: float) -> None:
        """Wait until the recording has come to *moment*."""
        until(lambda: time.monotonic() - self._begun >= moment, seconds=moment + 1)


def hold(driver: Any, down: bool) -> None:
    kind = "pointerdown" if down else "pointerup"
    driver.execute_script(
        "document.getElementById('talk').dispatchEvent(new PointerEvent(arguments[0], { pointerId: 1, button: 0, bubbles: true, isPrimary: true }))",
        kind,
    )


def opened(driver: Any) -> Microphone:
    """Open the microphone by a tap on the button."""
    driver.execute_script(
        "HTMLElement.prototype.setPointerCapture = () => {}"
    )  # there is no real pointer to hold on to
    microphone = Microphone(driver)
    hold(driver, down=True)
    hold(driver, down=False)
    until(lambda: text(driver, "talk-label") == WORDS["talk"])
    return microphone


def free(driver: Any, on: bool) -> None:
    driver.execute_script("document.getElementById('hands-free').click()")
    label = WORDS["earFree"] if on else WORDS["earOff"]
    until(lambda: text(driver, "ear") == label)


def test_calls_by_the_button_and_hands_free_are_the_rows_that_hear_makes(tmp_path: Path) -> None:
    names = ["03-porch.wav", "04-porch.wav", "05-porch.wav"]
    one, two, three = names
    parts: list[str | float] = [2.0, one, 1.0, two, 2.5, three, 2.0]
    with phone(tmp_path, parts, voice=False) as (site, driver, times):
        microphone = opened(driver)
        for begin, end in zip(times[0:4:2], times[1:4:2], strict=True):
            microphone.at(begin - 0.3)
            hold(driver, down=True)
            until(lambda: text(driver, "ear") == WORDS["earHeld"])
            microphone.at(end + 0.2)
            hold(driver, down=False)
        free(driver, on=True)
        microphone.at(times[-1] + 1.5)
        wanted = heard(tmp_path, names)
        until(lambda: site.listed() == wanted, what=site.listed)
        assert wanted[-1].startswith("? ")  # six two and a quarter names its row as a question
        until(lambda: len(driver.find_elements("css selector", "#choices button")) == 3)
        free(driver, on=False)
        until(
            lambda: (
                not driver.execute_script(
                    "return document.getElementById('sending').classList.contains('late')"
                )
            )
        )
        frames = driver.execute_script("return window.kept")
        assert [frame["number"] for frame in frames] == list(range(len(frames)))
        ends = [frame for frame in frames if frame["flags"] & 2]
        assert [frame["flags"] & 4 for frame in ends] == [4, 4, 0]
        assert all(frame["bytes"] == 2560 or frame in ends for frame in frames)


def test_a_network_that_goes_and_a_server_that_is_killed_cost_no_call_and_double_none(
    tmp_path: Path,
) -> None:
    names = ["03-porch.wav", "04-porch.wav", "05-porch.wav"]
    one, two, three = names
    parts: list[str | float] = [2.0, one, QUIET, two, QUIET, three, 3.0]
    with phone(tmp_path, parts, voice=False) as (site, driver, times):
        microphone = Microphone(driver)
        free(driver, on=True)
        microphone.at(times[0] + 1.0)
        site.line.cut()  # in the middle of the first call
        microphone.at(times[1] + 1.0)
        until(lambda: text(driver, "sending").startswith("not sent yet: "))
        microphone.at(times[2] + 1.0)
        site.line.mend()  # in the middle of the second
        microphone.at(times[4] + 0.7)
        site.kill()  # in the middle of the third
        microphone.at(times[5] + 0.5)
        site.start()
        wanted = heard(tmp_path, names)
        until(lambda: site.listed() == wanted, what=site.listed)
        free(driver, on=False)
        until(lambda: kept(driver) == 0, what=lambda: kept(driver))
        assert site.listed() == wanted


def kept(driver: Any) -> int:
    """Return how many frames the page still keeps."""
    count = driver.execute_async_script(
        "const done = arguments[0], open = indexedDB.open('cutmemo');"
        "open.onsuccess = () => { const all = open.result.transaction('kept').objectStore('kept').count(); all.onsuccess = () => { open.result.close(); done(all.result); }; };"
    )
    return int(count)


def test_the_phone_that_called_reads_back_and_does_not_hear_itself(tmp_path: Path) -> None:
    parts: list[str | float] = [2.0, "03-porch.wav", 6.0]
    with phone(tmp_path, parts, voice=True) as (site, driver, _):
        free(driver, on=True)
        until(lambda: site.listed() == ['101-1/2"'])
        until(
            lambda: driver.execute_script("return window.sounded") > 5
        )  # that it listens; then one zero one and one half
        until(lambda: driver.execute_script("return window.kept.some((frame) => frame.flags & 8)"))
        frames = driver.execute_script("return window.kept")
        muted = [frame for frame in frames if frame["flags"] & 8]
        assert all(frame["still"] for frame in muted)
        steps = [
            after["clock"] - before["clock"]
            for before, after in zip(frames, frames[1:], strict=False)
        ]
        assert (
            max(abs(step - 80) for step in steps) < 40
        )  # muted or not, the time goes on without a hole
        driver.execute_script(
            "Object.defineProperty(document, 'hidden', { value: true, configurable: true }); document.dispatchEvent(new Event('visibilitychange'))"
        )
        until(lambda: text(driver, "ear") == WORDS["earHidden"])
        assert text(driver, "work-told") == WORDS["lostHidden"]
        until(lambda: driver.execute_script("return window.kept.at(-1).flags & 2"))
        driver.execute_script("document.getElementById('more-key').click()")
        until(lambda: "NO LONGER LISTENING" in text(driver, "devices"))
