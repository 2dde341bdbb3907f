"""A real headless Chromium for the tests of the site: its options, a thumb, an eye, and its patience."""

from __future__ import annotations

import os
import shutil
import socket
import subprocess
import time
import wave
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import pytest

CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
CERTUTIL = shutil.which("certutil")
needs_chromium = pytest.mark.skipif(
    not (CHROMIUM and DRIVER and CERTUTIL),
    reason="NOT TESTED: the pages of the site. sudo apt install chromium chromium-driver libnss3-tools",
)
WAIT_SECONDS = 30.0
FLAGS = (
    "--headless=new --no-sandbox --disable-gpu --disable-quic --no-first-run --disable-background-networking "
    "--disable-component-update --disable-sync --hide-scrollbars --use-fake-ui-for-media-stream --use-fake-device-for-media-stream "
    "--autoplay-policy=no-user-gesture-required --disable-background-timer-throttling"
).split()
PHONE, LYING, TABLET, SCREEN, WALL = (360, 780), (780, 360), (1024, 768), (1920, 1080), (3840, 2160)
SMALL, SMALL_LYING = (360, 640), (640, 360)


@contextmanager
def browser(folder: Path, sound: Path | None = None, rules: str = "") -> Iterator[Any]:
    """Yield a Chromium whose microphone plays the file *sound* once; its profile lies in *folder*.

    Names are resolved by *rules*, as ``MAP localhost:1 127.0.0.1:2``.
    """
    from selenium import webdriver
    from selenium.webdriver.chrome.options import Options
    from selenium.webdriver.chrome.service import Service

    options = Options()
    for flag in FLAGS:
        options.add_argument(flag)
    options.add_argument(f"--user-data-dir={folder / 'profile'}")
    if sound is not None:
        options.add_argument(f"--use-file-for-fake-audio-capture={sound}%noloop")
    if rules:
        options.add_argument(f"--host-resolver-rules={rules}")
    options.set_capability("goog:loggingPrefs", {"browser": "ALL"})
    environment = os.environ | {
        "HOME": str(folder)
    }  # where Chromium looks for the authorities it trusts
    driver = webdriver.Chrome(options=options, service=Service(DRIVER, env=environment))
    driver.set_script_timeout(WAIT_SECONDS)
    try:
        yield driver
    finally:
        driver.quit()


def resize(driver: Any, size: tuple[int, int]) -> None:
    """Give the page a window of *size*, a phone's where it is narrow."""
    wide, high = size
    metrics = {"width": wide, "height": high, "deviceScaleFactor": 1, "mobile": min(size) < 500}
    driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)


def until(condition: Callable[[], Any], seconds: float = WAIT_SECONDS, what: object = "") -> Any:
    """Wait for *condition* to come true, and return what it gave."""
    end = time.monotonic() + seconds
    while not (found := condition()):
        assert time.monotonic() < end, what() if callable(what) else what or condition
        time.sleep(0.05)
    return found


def text(driver: Any, name: str) -> str:
    """Return the text of the element with this id."""
    return str(
        driver.execute_script("return document.getElementById(arguments[0]).textContent", name)
    )


def open_port(port: int) -> bool:
    """Return whether somebody listens on *port* of this machine."""
    with socket.socket() as probe:
        return probe.connect_ex(("127.0.0.1", port)) == 0


def trust(folder: Path, authority: Path) -> None:
    """Have a Chromium with its home in *folder* trust the certificate *authority*."""
    base = folder / ".pki" / "nssdb"
    base.mkdir(parents=True)
    name = f"sql:{base}"
    subprocess.run([str(CERTUTIL), "-d", name, "-N", "--empty-password"], check=True)
    add = ["-A", "-t", "C,,", "-n", "site", "-i", str(authority)]
    subprocess.run([str(CERTUTIL), "-d", name, *add], check=True)


def recording(path: Path, parts: list[Path | float]) -> Path:
    """Write recordings and silences (seconds) one after the other to *path*, 16 kHz mono."""
    with wave.open(str(path), "wb") as out:
        out.setnchannels(1)
        out.setsampwidth(2)
        out.setframerate(16_000)
        for part in parts:
            if isinstance(part, Path):
                with wave.open(str(part), "rb") as file:
                    assert file.getframerate() == 16_000
                    out.writeframes(file.readframes(file.getnframes()))
            else:
                out.writeframes(bytes(2 * int(16_000 * part)))
    return path
