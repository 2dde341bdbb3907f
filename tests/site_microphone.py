"""A phone for the browser tests: recordings played into its microphone, a thumb, and what it noted."""

from __future__ import annotations

import time
import wave
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from site_pages import PHONE, browser, recording, resize, text, until
from site_server import Site, served

from cutmemo import cli
from cutmemo.memo import Projection, open_store
from cutmemo.wording import describe
from cutmemo.wording.page import WORDS

DEMO = Path(__file__).resolve().parents[1] / "assets" / "demo"
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
    folder: Path,
    parts: list[str | float],
    voice: bool,
    change: Callable[[Path], None] | None = None,
) -> Iterator[tuple[Site, Any, list[float]]]:
    """Yield a site, a phone that joined it, and when (seconds) each recording of its microphone begins and ends.

    *change* does something to the sound before the phone hears it.
    """
    times, at = [], 0.0
    sounds: list[Path | float] = []
    for part in parts:
        sounds.append(DEMO / part if isinstance(part, str) else part)
        begin = at
        at += seconds(DEMO / part) if isinstance(part, str) else part
        times += [begin, at] if isinstance(part, str) else []
    sound = recording(folder / "calls.wav", sounds)
    if change is not None:
        change(sound)
    with served(folder) as site, browser(folder, sound, site.rules) as driver:
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


def kept(driver: Any) -> int:
    """Return how many frames the page still keeps."""
    count = driver.execute_async_script(
        "const done = arguments[0], open = indexedDB.open('cutmemo');"
        "open.onsuccess = () => { const all = open.result.transaction('kept').objectStore('kept').count(); all.onsuccess = () => { open.result.close(); done(all.result); }; };"
    )
    return int(count)
