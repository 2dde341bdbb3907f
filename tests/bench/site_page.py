"""The page's microphone with all ten recordings of the demo, by the button and hands-free, and with the
browser's own treatment of sound on or off: PYTHONPATH=tests python tests/bench/site_page.py

Prints, for each way, which rows are those of ``cutmemo hear``; the last way is hands-free with the network gone
for a minute in the middle of the first call. Takes about fifteen minutes.
"""

from __future__ import annotations

import json
import tempfile
import wave
from pathlib import Path
from typing import Any

import numpy as np
from site_microphone import DEMO, Microphone, free, heard, hold, opened, phone
from site_pages import text, until

from cutmemo.wording.page import WORDS

NAMES = sorted(path.name for path in DEMO.glob("*.wav"))
BETWEEN = 2.0
"""Seconds between two recordings: a call that is to be corrected stands by then."""
TREATMENTS = {
    "as the page asks": {},
    "echo cancellation": {"echoCancellation": True},
    "noise suppression": {"noiseSuppression": True},
    "gain control": {"autoGainControl": True},
    "all three": {"echoCancellation": True, "noiseSuppression": True, "autoGainControl": True},
}
ASK = """
const ask = navigator.mediaDevices.getUserMedia.bind(navigator.mediaDevices);
navigator.mediaDevices.getUserMedia = (wish) => ask({ audio: { ...wish.audio, ...%s } });
"""


AWAY_SECONDS = 60.0
SNR_DB = 8.0
"""How far the speech stands above pink noise, where there is noise."""


def noisy(path: Path) -> None:
    """Mix pink noise into a recording, always the same."""
    with wave.open(str(path), "rb") as file:
        sound = np.frombuffer(file.readframes(file.getnframes()), np.int16).astype(float)
    spectrum = np.fft.rfft(np.random.default_rng(7).standard_normal(len(sound)))
    pink = np.fft.irfft(spectrum / np.sqrt(np.maximum(np.arange(len(spectrum)), 1.0)), len(sound))
    speech = sound[np.abs(sound) > 200]
    pink *= np.sqrt(np.mean(speech**2) / np.mean(pink**2)) * 10 ** (-SNR_DB / 20)
    with wave.open(str(path), "wb") as file:
        file.setnchannels(1)
        file.setsampwidth(2)
        file.setframerate(16_000)
        file.writeframes(np.clip(sound + pink, -32_768, 32_767).astype(np.int16).tobytes())


def called(
    folder: Path,
    by_button: bool,
    treatment: dict[str, bool],
    away: bool = False,
    noise: bool = False,
) -> list[str]:
    """Return the rows that come of all recordings; *away* without a network for a while, in *noise*."""
    parts: list[str | float] = [2.5]
    for name in NAMES:
        parts += [name, BETWEEN]
    with phone(folder, parts, False, noisy if noise else None) as (site, driver, times):
        driver.execute_script(ASK % json.dumps(treatment))
        if by_button:
            press(driver, times)
        else:
            microphone = Microphone(driver)
            free(driver, on=True)
            if away:
                microphone.at(times[0] + 1.0)
                site.line.cut()
                microphone.at(times[0] + 1.0 + AWAY_SECONDS)
                print(text(driver, "sending"), flush=True)
                site.line.mend()
            microphone.at(times[-1] + 1.5)
            free(driver, on=False)
        until(lambda: text(driver, "sending") == WORDS["connected"])
        until(
            lambda: (
                not driver.execute_script("return document.getElementById('hearing').textContent")
            )
        )
        return settled(site)


def settled(site: Any) -> list[str]:
    """Return the rows once no more come."""
    seen: list[list[str]] = []

    def same() -> bool:
        seen.append(site.listed())
        return len(seen) > 60 and seen[-1] == seen[-60]

    until(same)
    return seen[-1]


def press(driver: Any, times: list[float]) -> None:
    """Hold the button for each recording."""
    microphone = opened(driver)
    for begin, end in zip(times[::2], times[1::2], strict=True):
        microphone.at(begin - 0.3)
        hold(driver, down=True)
        microphone.at(end + 0.2)
        hold(driver, down=False)


def main() -> None:
    with tempfile.TemporaryDirectory() as name:
        wanted = heard(Path(name), NAMES)
    print(f"cutmemo hear: {wanted}")
    ways = [(how, by_button, False, False) for how in TREATMENTS for by_button in (True, False)]
    ways += [(how, False, False, True) for how in TREATMENTS]
    for how, by_button, away, noise in [*ways, ("as the page asks", False, True, False)]:
        with tempfile.TemporaryDirectory() as name:
            rows = called(Path(name), by_button, TREATMENTS[how], away, noise)
        same = sum(row in wanted for row in rows)
        way = "by the button" if by_button else "hands-free"
        where = ", a minute without a network" if away else f", {SNR_DB:g} dB SNR" if noise else ""
        others = [row for row in rows if row not in wanted]
        print(f"{how}, {way}{where}: {same} of {len(wanted)} rows; others: {others}", flush=True)


if __name__ == "__main__":
    main()
