"""The page of the one who orders: what it shows, that it renews itself, and who is not answered."""

from __future__ import annotations

import asyncio
import contextlib
import csv
import io
import os
import subprocess
import sys
import threading
import time
from collections.abc import AsyncIterator, Callable, Iterator
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import site_parts

site_parts.needed()

import aiohttp  # noqa: E402 - only where the parts are
from ports import free_port  # noqa: E402
from site_axe import wrongs  # noqa: E402
from site_pages import (  # noqa: E402
    PHONE,
    SCREEN,
    browser,
    needs_chromium,
    open_port,
    resize,
    text,
    trust,
    until,
)
from site_served import PHRASE  # noqa: E402

from cutmemo import cli  # noqa: E402
from cutmemo.errors import NoOffice, OfficeTrouble  # noqa: E402
from cutmemo.office.known import FromMemos, Known  # noqa: E402
from cutmemo.site import office_pages, office_server  # noqa: E402
from cutmemo.site.certificates import certificates  # noqa: E402
from cutmemo.site.devices import UNUSED, Devices  # noqa: E402
from cutmemo.site.doors import Doors  # noqa: E402
from cutmemo.site.invites import Invites  # noqa: E402
from cutmemo.site.listening import serving  # noqa: E402
from cutmemo.site.office_pages import OfficePages  # noqa: E402
from cutmemo.site.office_server import OfficeServer  # noqa: E402

NASTY = "Mill <img src=x onerror=alert(1)>"
VIEWS = ["/", "/by-site", "/handoff"]
NEED_SESSION = ["/order.csv", "/order-by-site.csv", "/news"]


def memos(folder: Path) -> list[str]:
    """Make two memos with something in every part of the page; return their files."""
    files = {name: folder / f"{name}.cutmemo" for name in ("elm", "mill")}
    for name, site in (("elm", "Elm Street"), ("mill", NASTY)):
        for words in (
            ["settings", "site", site],
            ["say", "9 @ 47 2x4 block"],
            ["say", "12 @ 92-5/8 2x6 stud"],
            ["say", "3 @ 101-1/2"],
            ["say", "six two and a quarter"],
            ["rack", "add", "1", "2x4", "31-1/2"],
            ["clear", "1"],
            ["hold", "2"],
        ):
            cli.main(["--memo", str(files[name]), *words])
    cli.main(["--memo", str(files["elm"]), "send", "1", "--to", NASTY])
    return list(map(str, files.values()))


@pytest.fixture(autouse=True)
def apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Touch nothing of the person who runs the tests."""
    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path))
    monkeypatch.setenv("CUTMEMO_CONFIG", str(tmp_path / "config.toml"))
    monkeypatch.delenv("CUTMEMO_MEMO", raising=False)
    monkeypatch.setattr(office_pages, "LEAST_SECONDS", 0.0)
    monkeypatch.setattr(office_pages, "RETRY_SECONDS", 0.05)
    monkeypatch.setattr("cutmemo.office.known.LOOK_SECONDS", 0.05)


@dataclass
class Pages:
    """A page that is served in the test's own process."""

    server: OfficeServer
    url: str
    ssl: Any
    invites: Invites
    token: str = ""

    async def ask(self, method: str, path: str, **headers: str) -> tuple[int, Any, str]:
        """Ask as a browser does that has joined; a redirect is not followed."""
        sent = {"Cookie": f"{self.server.cookie}={self.token}"} if self.token else {}
        async with (
            aiohttp.ClientSession(cookie_jar=aiohttp.DummyCookieJar()) as session,
            session.request(
                method,
                self.url + path,
                headers=sent | headers,
                ssl=self.ssl,
                allow_redirects=False,
            ) as answer,
        ):
            return answer.status, answer.headers, await answer.text()

    async def made(self, path: str) -> str:
        """Return the page at *path* once its view was made."""
        async with asyncio.timeout(60):
            while True:
                status, _, page = await self.ask("GET", path)
                assert status == 200
                if "As of" in page:
                    return page
                await asyncio.sleep(0)


@contextlib.asynccontextmanager
async def served(
    sites: Any, folder: Path, secure: bool = False, clock: Callable[[], datetime] | None = None
) -> AsyncIterator[Pages]:
    """Serve the page of *sites*, over TLS behind doors where *secure*."""
    origins: set[str] = set()
    invites = Invites(PHRASE, time.monotonic)
    devices = Devices(folder / "devices.json", clock or (lambda: datetime.now(UTC)))
    doors = (lambda server: Doors(invites, server, lambda token: token)) if secure else None
    made = certificates(folder, "cutmemo-test.local", []) if secure else None
    server = OfficeServer(OfficePages(sites), devices, lambda: frozenset(origins), doors)
    tls = made.context() if made is not None else None
    async with serving(server.app(), "127.0.0.1", 0, tls) as port:
        url = f"{'https' if secure else 'http'}://localhost:{port}"
        origins.add(url)
        pages = Pages(server, url, not secure, invites)
        pages.token = devices.join("office tablet")[1]
        yield pages


# --- what it shows --------------------------------------------------------------------------------


async def test_all_that_the_one_who_orders_asks_for_is_there(tmp_path: Path) -> None:
    async with served(FromMemos(memos(tmp_path)), tmp_path) as pages:
        together = await pages.made("/")
        for said in (
            "What the yard has to bring: all sites together",
            "In all: ",
            "Site by site",
            "Left over, once this is cut",
            "On its way, on no rack and in no order",
            "In this order, though on hold",
            "Not in this order",
            "Pieces by day",
            "Bars by day, 1 day: pieces called, cut and in trouble.",
            "Elm Street: 1 piece in open questions, 3 pieces without a size",
        ):
            assert said in together, said
        assert "What the yard has to bring: site by site" in await pages.made("/by-site")
        handoff = await pages.made("/handoff")
        assert "<h2>Elm Street</h2>" in handoff
        assert "ON ITS WAY FROM HERE" in handoff
        status, headers, told = await pages.ask("GET", "/order.csv")
        assert status == 200
        assert headers["Content-Disposition"] == 'attachment; filename="order.csv"'
        rows = list(csv.DictReader(io.StringIO(told)))
        assert [(row["section"], row["length"], row["needed"]) for row in rows] == [
            ("2x4", "16 ft", "4"),
            ("2x6", "16 ft", "12"),
        ]


async def test_what_a_site_is_called_is_text_in_every_view(tmp_path: Path) -> None:
    async with served(FromMemos(memos(tmp_path)), tmp_path) as pages:
        for path in VIEWS:
            page = await pages.made(path)
            assert "&lt;img" in page, path
            assert "<img" not in page, path
            for hole in ("style=", "<style", "onclick", "javascript:"):
                assert hole not in page, (path, hole)
            assert page.count("<script") == page.count("<script type=module src=/page/office.js>")


async def test_a_page_hears_at_once_that_something_is_new(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(office_server, "BEAT_SECONDS", 600.0)
    files = memos(tmp_path)
    async with (
        served(FromMemos(files), tmp_path) as pages,
        aiohttp.ClientSession() as session,
    ):
        assert "4x4" not in await pages.made("/")
        cookie = {"Cookie": f"{pages.server.cookie}={pages.token}"}
        async with session.get(f"{pages.url}/news", headers=cookie) as news:
            await pages.ask("GET", "/")  # a view is made for who looks at it
            await asyncio.to_thread(cli.main, ["--memo", files[0], "say", "5 @ 88 4x4 post"])
            async with asyncio.timeout(30):
                while "4x4" not in await pages.made("/"):
                    assert await news.content.readline()


@dataclass
class Away:
    """An office that answers when the test says so."""

    there: threading.Event = field(default_factory=threading.Event)

    def known(self) -> Known:
        """Return an office without a site."""
        return Known((), {})

    @contextlib.contextmanager
    def memos(self) -> Iterator[Iterator[Any]]:
        """Read nothing."""
        yield iter(())

    def news(self, stop: Callable[[], bool]) -> Iterator[None]:
        """Have no network until the test says so."""
        if not self.there.is_set():
            raise NoOffice(OfficeTrouble.NO_NETWORK, "no <i>route")
        yield
        while not stop():
            yield from ()
            threading.Event().wait(0.01)


async def test_an_office_that_is_away_is_told_and_read_once_it_is_back(tmp_path: Path) -> None:
    office = Away()
    async with served(office, tmp_path) as pages:
        async with asyncio.timeout(30):
            while (
                "The office does not answer: no &lt;i&gt;route"
                not in (await pages.ask("GET", "/"))[2]
            ):
                await asyncio.sleep(0)
        assert (await pages.ask("GET", "/order.csv"))[0] == 503
        office.there.set()
        page = await pages.made("/")
        assert "The office knows no site yet." in page
        assert "does not answer" not in page


async def test_a_view_that_cannot_be_made_says_so_and_the_others_go_on(tmp_path: Path) -> None:
    sites = FromMemos(memos(tmp_path))

    def broken() -> Known:
        raise ZeroDivisionError("a board of no length")

    sites.known = broken  # type: ignore[method-assign]
    async with served(sites, tmp_path) as pages:
        async with asyncio.timeout(30):
            while "a board of no length" not in (await pages.ask("GET", "/"))[2]:
                await asyncio.sleep(0)
        assert "Elm Street" in await pages.made("/handoff")


async def test_a_view_that_could_not_be_made_is_made_once_it_can_be(tmp_path: Path) -> None:
    """Nothing has to be new for that."""
    sites = FromMemos(memos(tmp_path))
    known, tries = sites.known, list[int]()

    def busy() -> Known:
        tries.append(len(tries))
        if len(tries) < 3:
            raise NoOffice(OfficeTrouble.NO_NETWORK, "too many connections")
        return known()

    sites.known = busy  # type: ignore[method-assign]
    async with served(sites, tmp_path) as pages:
        page = await pages.made("/")
        assert "too many connections" not in page
        assert "Elm Street" in page


def test_who_looks_at_one_view_waits_for_no_other_that_is_always_new() -> None:
    made = {view: threading.Event() for view in office_pages.VIEWS}

    class Busy(Away):
        told, more = 0, threading.Condition()

        def news(self, stop: Callable[[], bool]) -> Iterator[None]:
            while not stop():
                with self.more:
                    self.told += 1
                    self.more.notify_all()
                yield

        def known(self) -> Known:
            """Return an office of which more is new by now."""
            with self.more:
                before = self.told
                assert self.more.wait_for(lambda: self.told > before + 1, 20)
            return Known((), {})

    pages = OfficePages(Busy())

    def look() -> None:
        for view, event in made.items():
            if pages.shown(view).at:
                event.set()

    ends = pages.tell(look)
    pages.start()
    try:
        look()
        assert all(event.wait(20) for event in made.values())
    finally:
        ends()
        pages.close()


# --- who is not answered --------------------------------------------------------------------------


@pytest.mark.parametrize("token", ["", "guess"])
async def test_without_a_session_nothing_is_sent(tmp_path: Path, token: str) -> None:
    async with served(FromMemos(memos(tmp_path)), tmp_path, secure=True) as pages:
        await pages.made("/")
        pages.token = token
        for path in VIEWS:
            status, headers, told = await pages.ask("GET", path)
            assert (status, headers["Location"]) == (303, "/enter")
            assert "Elm" not in told
            assert "Set-Cookie" not in headers
        for path in NEED_SESSION:
            status, _, told = await pages.ask("GET", path)
            assert status == 401, path
            assert "Elm" not in told
        for path in ("/leave", "/invite"):
            assert (await pages.ask("POST", path, Origin=pages.url))[0] == 401
        for path in ("/page/office.js", "/page/office.css", "/office.css", "/enter"):
            assert (await pages.ask("GET", path))[0] == 200


async def test_every_route_is_one_that_a_test_knows(tmp_path: Path) -> None:
    async with served(FromMemos(memos(tmp_path)), tmp_path, secure=True) as pages:
        routes = {
            (each.method, each.resource.canonical)
            for each in pages.server.app().router.routes()
            if each.resource and each.method != "HEAD"
        }
    gets = [*VIEWS, *NEED_SESSION, "/page/{name}", "/office.css", "/enter", "/join", "/door.css"]
    posts = ["/leave", "/invite", "/join", "/code", "/phrase"]
    assert routes == {("GET", path) for path in gets} | {("POST", path) for path in posts}


@pytest.mark.parametrize("secure", [False, True])
async def test_under_another_name_or_from_another_site_nothing_is_answered(
    tmp_path: Path, secure: bool
) -> None:
    async with served(FromMemos(memos(tmp_path)), tmp_path, secure) as pages:
        await pages.made("/")
        for path in [*VIEWS, *NEED_SESSION, "/page/office.js"]:
            assert (await pages.ask("GET", path, Host="evil.example"))[0] == 403
            assert (await pages.ask("GET", path, Origin="https://evil.example"))[0] == 403
        for origin in ({"Origin": "https://evil.example"}, {"Origin": "null"}, {}):
            assert (await pages.ask("POST", "/leave", **origin))[0] == 403
        assert len(pages.server.devices.all()) == 1


async def test_a_device_of_a_site_does_not_see_the_order_of_all(tmp_path: Path) -> None:
    """Cookies are those of a machine, whichever its port."""
    async with served(FromMemos(memos(tmp_path)), tmp_path, secure=True) as pages:
        pages.token, token = "", pages.token
        for cookie in (f"__Host-cutmemo={token}", f"cutmemo={token}", f"cutmemo-office={token}"):
            assert (await pages.ask("GET", "/order.csv", Cookie=cookie))[0] == 401
        assert pages.server.cookie == "__Host-cutmemo-office"


async def test_a_device_that_is_put_out_hears_no_more(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(office_server, "BEAT_SECONDS", 0.01)
    async with (
        served(FromMemos(memos(tmp_path)), tmp_path) as pages,
        aiohttp.ClientSession() as session,
        asyncio.timeout(30),
    ):
        cookie = {"Cookie": f"{pages.server.cookie}={pages.token}"}
        async with session.get(f"{pages.url}/news", headers=cookie) as news:
            assert await news.content.readline() == b"event: made\n"
            pages.server.devices.remove("office tablet")
            await news.content.read()  # to its end
        assert (await pages.ask("GET", "/order.csv"))[0] == 401


async def test_a_session_ends_unless_a_page_is_open(tmp_path: Path) -> None:
    moment = datetime(2026, 5, 4, 18, tzinfo=UTC)
    async with served(FromMemos(memos(tmp_path)), tmp_path, True, lambda: moment) as pages:
        moment += UNUSED + timedelta(seconds=1)
        assert (await pages.ask("GET", "/"))[0] == 303


async def test_too_many_pages_are_refused(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(office_server, "MAX_WAITING", 1)
    async with (
        served(FromMemos(memos(tmp_path)), tmp_path) as pages,
        aiohttp.ClientSession() as session,
    ):
        cookie = {"Cookie": f"{pages.server.cookie}={pages.token}"}
        async with session.get(f"{pages.url}/news", headers=cookie) as news:
            await news.content.readline()
            assert (await pages.ask("GET", "/news"))[0] == 503


async def test_every_answer_keeps_the_page_to_itself(tmp_path: Path) -> None:
    async with served(FromMemos(memos(tmp_path)), tmp_path) as pages:
        await pages.made("/")
        for path in [*VIEWS, "/order.csv", "/page/office.js", "/office.css", "/nothing"]:
            _, headers, _ = await pages.ask("GET", path)
            policy = headers["Content-Security-Policy"]
            assert "script-src 'self';" in policy
            assert "style-src 'self';" in policy
            assert "unsafe-inline" not in policy
            assert "frame-ancestors 'none'" in policy
            assert headers["X-Content-Type-Options"] == "nosniff"
            assert headers["Cache-Control"] in ("no-store", "no-cache")


# --- in a browser ---------------------------------------------------------------------------------


@dataclass
class Program:
    """The program as it is run, with its page."""

    port: int
    files: list[str]
    process: Any

    @property
    def address(self) -> str:
        return f"http://localhost:{self.port}"


@contextlib.contextmanager
def program(folder: Path, *options: str) -> Iterator[Program]:
    """Run ``cutmemo office page`` on two memos."""
    files, port = memos(folder), free_port()
    command = ["office", "page", "--port", str(port), *options, "--from", *files]
    with (folder / "log").open("wb") as log:
        process = subprocess.Popen(
            [sys.executable, "-m", "cutmemo", *command],
            stdin=subprocess.DEVNULL,
            stdout=log,
            stderr=log,
            env=os.environ | {"CUTMEMO_PHRASE": PHRASE},
        )
    try:
        until(lambda: open_port(port), what=lambda: (folder / "log").read_text())
        yield Program(port, files, process)
    finally:
        process.kill()
        process.wait()


def ready(driver: Any) -> bool:
    """Return whether a page shows what was made."""
    return "As of" in text(driver, "told")


@needs_chromium
def test_it_renews_itself_and_says_when_the_server_is_gone(tmp_path: Path) -> None:
    with program(tmp_path) as run, browser(tmp_path) as driver:
        driver.get(run.address)
        until(lambda: ready(driver))
        assert "4x4" not in driver.find_element("css selector", "main").text
        link = driver.find_element("link text", "Site by site")
        driver.execute_script("arguments[0].focus()", link)
        cli.main(["--memo", run.files[1], "say", "5 @ 88 4x4 post"])
        until(lambda: "4x4" in driver.find_element("css selector", "main").text)
        assert driver.switch_to.active_element == link
        run.process.kill()
        until(
            lambda: (
                text(driver, "told")
                == "No answer: this page shows what was last. It tries again by itself."
            )
        )
        assert "4x4" in driver.find_element("css selector", "main").text
        assert driver.execute_script("return document.querySelectorAll('main img').length") == 0


@needs_chromium
def test_nothing_is_wrong_for_anybody_in_any_view(tmp_path: Path, axe: str) -> None:
    with program(tmp_path) as run, browser(tmp_path) as driver:
        for path in VIEWS:
            for size in (PHONE, SCREEN):
                resize(driver, size)
                driver.get(run.address + path)
                until(lambda: ready(driver))
                assert wrongs(driver, axe) == [], (path, size)
                wide = driver.execute_script("return document.documentElement.scrollWidth")
                assert wide <= size[0], (path, size)
        said = [each["message"] for each in driver.get_log("browser")]
        assert said == []


@needs_chromium
def test_a_device_on_the_network_joins_over_tls_and_is_put_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    with program(tmp_path, "--share", "--host", "office-test.local") as run:
        trust(tmp_path, tmp_path / "site" / "office" / "authority.pem")
        with browser(tmp_path) as driver:
            driver.get(f"https://localhost:{run.port}/")
            driver.find_element("id", "phrase-phrase").send_keys(PHRASE)
            driver.find_element("id", "phrase-name").send_keys("office tablet")
            driver.find_element("id", "phrase-who").send_keys("pat", "\n")
            until(lambda: driver.find_elements("id", "told") and ready(driver))
            assert "Elm Street" in driver.find_element("css selector", "main").text
            assert cli.main(["office", "page", "--devices"]) == 0
            assert "office tablet" in capsys.readouterr().out
            assert cli.main(["office", "page", "--remove", "office tablet"]) == 0
            driver.get(f"https://localhost:{run.port}/")
            assert driver.find_elements("id", "phrase-phrase")  # it stands at the door again
