"""The screen in a real headless Chromium, and the door before it."""

from __future__ import annotations

import contextlib
import http.client
import os
import shutil
import socket
import subprocess
import sys
import urllib.parse
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from cutmemo.errors import NoBrowser
from cutmemo.memo import Projection, open_store
from cutmemo.wording import browser as words

PHRASE = "plumb and level all day"
CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
needs_chromium = pytest.mark.skipif(
    not (CHROMIUM and DRIVER),
    reason="NOT TESTED: the browser. sudo apt install chromium chromium-driver",
)
WAIT_SECONDS = 40


class Served:
    """A memo served by a process of its own."""

    def __init__(self, memo: Path, site: bool) -> None:
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        self.memo = memo
        call = [
            sys.executable,
            "-m",
            "cutmemo",
            "--memo",
            str(memo),
            "browser",
            "--port",
            str(self.port),
            *(["--site"] if site else []),
        ]
        self.process = subprocess.Popen(
            call,
            stdout=subprocess.PIPE,
            text=True,
            env=os.environ | {"CUTMEMO_PHRASE": PHRASE, "PYTHONUNBUFFERED": "1"},
        )
        assert self.process.stdout is not None
        self.told = self.process.stdout.readline()

    def ask(
        self, method: str, path: str, body: str = "", **headers: str
    ) -> tuple[int, dict[str, str], str]:
        plain = {name.replace("_", "-"): value for name, value in headers.items()}
        if body:
            plain["Content-Type"] = "application/x-www-form-urlencoded"
        with contextlib.closing(
            http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)
        ) as connection:
            connection.request(method, path, body, plain)
            answer = connection.getresponse()
            return (
                answer.status,
                dict(answer.getheaders()),
                answer.read().decode("utf-8", "replace"),
            )

    def rows(self) -> list[str]:
        with open_store(self.memo) as journal:
            return [
                f"{row.who}: {row.cut.length.inches}"
                for row in Projection(journal.events()).state.rows.values()
            ]

    def stop(self) -> None:
        self.process.terminate()
        self.process.wait(20)
        assert self.process.stdout is not None
        self.process.stdout.close()


@pytest.fixture
def local(tmp_path: Path) -> Iterator[Served]:
    served = Served(tmp_path / "porch.cutmemo", site=False)
    yield served
    served.stop()


@pytest.fixture
def site(tmp_path: Path) -> Iterator[Served]:
    served = Served(tmp_path / "porch.cutmemo", site=True)
    yield served
    served.stop()


def test_it_says_where_to_look_and_answers_this_machine_alone(local: Served) -> None:
    assert f"http://localhost:{local.port}" in local.told
    status, headers, page = local.ask("GET", "/")
    assert status == 200
    assert all(f">{text}<" in page for text in words.SCREEN_PAGE.values())
    assert "default-src 'self'" in headers["Content-Security-Policy"]
    assert "http" not in page.replace(f"ws://127.0.0.1:{local.port}", "").replace(
        "http-equiv", ""
    )  # nothing from elsewhere
    assert local.ask("GET", "/", Host="evil.example")[0] == 403
    upgrade = {
        "Upgrade": "websocket",
        "Connection": "Upgrade",
        "Sec_WebSocket_Key": "AAAAAAAAAAAAAAAAAAAAAA==",
        "Sec_WebSocket_Version": "13",
    }
    assert local.ask("GET", "/ws", Origin="http://evil.example", **upgrade)[0] == 403
    with socket.create_connection(("127.0.0.1", local.port)):
        pass
    outside = next(
        (
            each[4][0]
            for each in socket.getaddrinfo(socket.gethostname(), None, socket.AF_INET)
            if not each[4][0].startswith("127.")
        ),
        None,
    )
    if outside is not None:
        with pytest.raises(ConnectionRefusedError):
            socket.create_connection((outside, local.port), timeout=2)


def test_on_the_site_nobody_comes_in_without_the_phrase(site: Served) -> None:
    assert "pass phrase" in site.told
    assert site.ask("GET", "/")[1]["Location"] == "/enter"
    asked = site.ask("GET", "/enter")[2]
    assert all(f">{text}<" in asked for text in words.ENTER_PAGE.values())
    assert site.ask("GET", "/ws")[0] == 403
    assert site.ask("GET", "/static/js/textual.js")[0] == 403
    status, headers, page = site.ask("POST", "/enter", "phrase=wrong&who=ann")
    assert (status, "Set-Cookie" in headers) == (403, False)
    assert "not the pass phrase" in page
    right = urllib.parse.urlencode({"phrase": PHRASE, "who": "ann"})
    assert site.ask("POST", "/enter", right)[0] == 429  # right after a wrong one nobody may try
    assert site.ask("GET", "/", Cookie="cutmemo=guess")[0] == 303


def test_the_right_phrase_gives_a_cookie_that_scripts_cannot_read(site: Served) -> None:
    status, headers, _ = site.ask(
        "POST", "/enter", urllib.parse.urlencode({"phrase": PHRASE, "who": "ann"})
    )
    assert status == 303
    assert "HttpOnly" in headers["Set-Cookie"]
    assert "SameSite=Strict" in headers["Set-Cookie"]
    assert site.ask("GET", "/", Cookie=headers["Set-Cookie"].split(";")[0])[0] == 200


def test_a_short_phrase_is_refused() -> None:
    from cutmemo.browser import serve

    with pytest.raises(NoBrowser, match="too short"):
        serve("porch.cutmemo", 8750, "saw")


# --- a real browser -----------------------------------------------------------------------------------------


@pytest.fixture
def chromium(tmp_path: Path) -> Iterator[Any]:
    from selenium import webdriver
    from selenium.webdriver.chrome.service import Service

    options = webdriver.ChromeOptions()
    options.binary_location = CHROMIUM or ""
    for flag in (
        "--headless=new",
        "--no-sandbox",
        "--disable-gpu",
        "--disable-quic",
        "--no-first-run",
        "--disable-background-networking",
        "--disable-component-update",
        "--disable-sync",
        "--disable-dev-shm-usage",
        f"--user-data-dir={tmp_path / 'chromium'}",
    ):
        options.add_argument(flag)
    driver = webdriver.Chrome(options, Service(DRIVER))
    yield driver
    driver.quit()


def drawn(chromium: Any) -> bool:
    """Return whether the screen is there: a page of one colour is a far smaller picture."""
    begun = "-first-byte" in (chromium.execute_script("return document.body.className") or "")
    return begun and len(chromium.get_screenshot_as_png()) > 7_000


def until(chromium: Any, true: Any, seconds: float = WAIT_SECONDS) -> None:
    from selenium.webdriver.support.ui import WebDriverWait

    WebDriverWait(chromium, seconds, poll_frequency=0.1).until(lambda _: true())


def call(chromium: Any, served: Served, words: str, rows: int) -> None:
    """Open the entry line, and type *words* once the screen shows it; keys are lost while the page still connects."""
    from selenium.common.exceptions import TimeoutException
    from selenium.webdriver.common.keys import Keys

    chromium.execute_script("document.querySelector('#terminal textarea').focus()")
    for _ in range(8):
        before = chromium.get_screenshot_as_png()
        type_keys(chromium, "t")
        with contextlib.suppress(TimeoutException):
            until(chromium, lambda seen=before: chromium.get_screenshot_as_png() != seen, 3)
            type_keys(chromium, *words, Keys.ENTER)
            until(chromium, lambda: len(served.rows()) == rows)
            leave_entry(chromium)
            return
        leave_entry(chromium)
    raise AssertionError(f"“{words}” never came to the memo: {served.rows()}")


def leave_entry(chromium: Any) -> None:
    """Leave the entry line; a key right behind Escape would be taken for one with Alt held."""
    from selenium.common.exceptions import TimeoutException
    from selenium.webdriver.common.keys import Keys

    type_keys(chromium, Keys.ESCAPE)
    with contextlib.suppress(TimeoutException):
        until(chromium, lambda: False, 0.7)


def type_keys(chromium: Any, *keys: str) -> None:
    from selenium.webdriver.common.action_chains import ActionChains

    for key in keys:
        ActionChains(chromium).send_keys(key).perform()


@needs_chromium
@pytest.mark.parametrize("size", [(390, 844), (820, 1180)], ids=["phone", "tablet"])
def test_a_call_typed_in_the_browser_is_in_the_memo(
    local: Served, chromium: Any, size: tuple[int, int]
) -> None:
    chromium.set_window_size(*size)
    chromium.get(f"http://localhost:{local.port}/?fontsize=12")
    until(chromium, lambda: drawn(chromium))
    call(chromium, local, "101-1/2", 1)
    assert [row.split(": ")[1] for row in local.rows()] == ["203/2"]
    loaded = chromium.execute_script(
        "return performance.getEntriesByType('resource').map(each => each.name)"
    )
    assert {urllib.parse.urlsplit(name).netloc for name in loaded} == {f"localhost:{local.port}"}
    assert chromium.execute_script("return document.fonts.check('16px \"Roboto Mono\"')")


@needs_chromium
def test_two_tabs_see_each_other_and_undo_only_their_own(site: Served, chromium: Any) -> None:
    from selenium.webdriver.common.keys import Keys

    chromium.set_window_size(820, 1180)
    chromium.get(f"http://localhost:{site.port}/")
    chromium.find_element("name", "who").send_keys("ann")
    chromium.find_element("name", "phrase").send_keys(PHRASE, Keys.ENTER)
    until(chromium, lambda: drawn(chromium))
    call(chromium, site, "71", 1)
    chromium.switch_to.new_window("tab")
    chromium.get(f"http://localhost:{site.port}/")
    until(chromium, lambda: drawn(chromium))
    call(chromium, site, "93", 2)
    type_keys(chromium, "u", "u")
    until(chromium, lambda: len(site.rows()) == 1)
    call(chromium, site, "87", 2)
    assert site.rows() == ["ann: 71", "ann: 87"]
    with open_store(site.memo) as journal:
        stations = {event.station for event in journal.events()}
    assert len(stations) == 2
