"""Serves until it is stopped: to this machine alone, or to the crew's network."""

from __future__ import annotations

import asyncio
import contextlib
import logging
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from aiohttp import web

from cutmemo.asr import Recogniser, load_model, model_folder, phrases_for
from cutmemo.office.background import Exchanger
from cutmemo.site.certificates import Certificates, certificates
from cutmemo.site.devices import Devices
from cutmemo.site.doors import Doors, LetsIn, qr_text
from cutmemo.site.ear import Hears
from cutmemo.site.folder import site_folder
from cutmemo.site.hub import Hub
from cutmemo.site.invites import GOOD_SECONDS, Invites, shown
from cutmemo.site.listening import serving
from cutmemo.site.names import Announcer, checked_host, private_addresses
from cutmemo.site.origins import Origins
from cutmemo.site.server import Server
from cutmemo.site.trust import trust_app
from cutmemo.wording import site as words

_log = logging.getLogger(__name__)

LOCAL = ("localhost", "127.0.0.1", "[::1]")
HTTPS = 443
"""The port that browsers leave out."""
LOOK_SECONDS = 60.0
"""How often addresses are looked at, and whether the certificate still lasts."""
Tell = Callable[[str], None]


class Model:
    """The model that all ears share, loaded once, when the first one is needed."""

    def __init__(self, name: str | None) -> None:
        """Use the model folder *name*, or the usual one."""
        self._name = name
        self._lock = threading.Lock()
        self._loaded: tuple[Any, tuple[str, ...] | None] | None = None

    def make(self) -> Hears:
        """Return a fresh recogniser. Raises :class:`NoModel`, :class:`NoDecoder`."""
        with self._lock:
            if self._loaded is None:
                folder = model_folder(self._name)
                self._loaded = (load_model(folder), phrases_for(folder))
        return Recogniser(*self._loaded)


def serve_here(memo: Path, port: int, model: str | None, tell: Tell) -> None:
    """Serve *memo* to this machine alone until it is stopped; *tell* where.

    Raises :class:`NoBrowser` where the port is taken.
    """
    origins = frozenset(f"http://{name}:{port}" for name in LOCAL)
    devices = Devices(site_folder() / "here.json", oldest_goes=True)
    server = Server(Hub(memo), devices, Model(model).make, lambda: origins)

    async def serve() -> None:
        async with serving(server.app(), "localhost", port):
            tell(words.open_here(port))
            await until_stopped()

    with Exchanger(memo):
        asyncio.run(serve())


@dataclass(frozen=True, slots=True)
class Wish:
    """How a site is to be served."""

    memo: Path
    port: int
    phrase: str
    host: str
    """Its name on the network: the one origin that pages belong to."""
    name: str = ""
    """What the devices call it; the memo's name where it has none."""
    model: str | None = None
    asks: bool = False
    """Whether somebody at the terminal may ask for another code."""


class Site:
    """A memo on the crew's network."""

    def __init__(self, wish: Wish, tell: Tell, folder: Path | None = None) -> None:
        """Serve as *wish* says; *tell* the terminal. Keys and devices lie in *folder*, or in the
        usual one. Raises :class:`NoSite`.
        """
        self._wish, self._tell = wish, tell
        self._host, self._folder = checked_host(wish.host), folder or site_folder()
        self._addresses = private_addresses()
        self._certificates = self._certified()
        self._tls = self._certificates.context()
        self._invites = Invites(wish.phrase, time.monotonic)
        self._announcer = Announcer(self._host, wish.port)
        self._former = Origins(self._folder)
        self._former.note(self.origins())
        self._told = False
        """Whether the network is told of the site's name."""

    def _certified(self) -> Certificates:
        return certificates(self._folder, self._host, self._addresses)

    @property
    def _names(self) -> list[str]:
        """Return all names of this machine, as addresses in a browser have them."""
        addresses = [f"[{each}]" if ":" in each else each for each in self._addresses]
        return [self._host, *LOCAL, *addresses]

    def origins(self) -> frozenset[str]:
        """Return where pages of this site come from."""
        port = "" if self._wish.port == HTTPS else f":{self._wish.port}"
        return frozenset(f"https://{name}{port}" for name in self._names)

    def home(self) -> str:
        """Return where the site is: its name, or an address where nobody can be told of that."""
        outside = [] if self._told else [each for each in self._names[1:] if each not in LOCAL]
        return f"https://{(outside or [self._host])[0]}:{self._wish.port}/"

    def _link(self, token: str) -> str:
        return f"{self.home()}join?token={token}"

    def doors(self, server: LetsIn) -> Doors:
        """Return the doors by which devices come to *server*."""
        return Doors(self._invites, server, self._link)

    @property
    def devices(self) -> Devices:
        """Return the devices that have joined."""
        return Devices(self._folder / "devices.json")

    @contextlib.contextmanager
    def _served(self) -> Iterator[web.Application]:
        """Serve the memo while in it, and send what is new to its office."""
        wish, model = self._wish, Model(self._wish.model)
        hub = Hub(wish.memo, wish.name)
        server = Server(hub, self.devices, model.make, self.origins, self.doors, self._former)
        with Exchanger(wish.memo):
            loop = asyncio.get_running_loop()
            loop.run_in_executor(None, model.make)  # so that the first call is quick
            yield server.app()

    async def serve(self) -> None:
        """Serve until it is stopped."""
        wish = self._wish
        plain = trust_app(lambda: self._certificates, self.home)
        async with contextlib.AsyncExitStack() as stack:
            app = stack.enter_context(self._served())
            await stack.enter_async_context(serving(app, None, wish.port, self._tls))
            await stack.enter_async_context(serving(plain, None, wish.port + 1))
            stack.push_async_callback(self._announcer.close)
            self._show_trust()
            self._told = await self._announcer.tell(self._addresses)
            self._show_invite()
            tasks = [asyncio.create_task(self._keep_up())]
            if wish.asks:
                tasks.append(asyncio.create_task(self._invite_more()))
            try:
                await until_stopped()
            finally:
                for task in tasks:
                    task.cancel()

    async def _keep_up(self) -> None:
        while True:
            await asyncio.sleep(LOOK_SECONDS)
            try:
                await self.look()
            except OSError:
                _log.exception("addresses and certificate stay as they were")

    async def look(self) -> None:
        """Follow this machine's addresses, and renew the certificate in time."""
        addresses = await asyncio.to_thread(private_addresses)
        moved, self._addresses = addresses != self._addresses, addresses
        renewed = await asyncio.to_thread(self._certified)
        if renewed.serial != self._certificates.serial:
            self._certificates = renewed
            self._tls.load_cert_chain(renewed.chain, renewed.key)
        self._former.note(self.origins())
        if moved:
            self._told = await self._announcer.tell(addresses)

    # --- the terminal -----------------------------------------------------------------------------

    def _show_trust(self) -> None:
        """Show how a device trusts the site: an address works everywhere, before any trust."""
        outside = [each for each in self._addresses if "." in each and not each.startswith("127.")]
        address = f"http://{(outside or [self._host])[0]}:{self._wish.port + 1}/"
        self._tell(words.first_code(address, self._certificates.fingerprint))
        self._tell(qr_text(address))

    def _show_invite(self) -> None:
        invite = self._invites.new()
        link = self._link(invite.token)
        self._tell(words.second_code(self.home(), shown(invite.code), int(GOOD_SECONDS // 60)))
        if self._told:
            others = [each for each in self._names[1:] if each not in LOCAL]
            self._tell(
                words.other_addresses([f"https://{each}:{self._wish.port}/" for each in others])
            )
        else:
            self._tell(words.NAME_NOT_TOLD)
        self._tell(qr_text(link))
        self._tell(words.ANOTHER_CODE if self._wish.asks else words.STOPS)

    async def _invite_more(self) -> None:
        """Show another code each time somebody presses Enter."""
        loop = asyncio.get_running_loop()
        lines: asyncio.Queue[str] = asyncio.Queue()

        def read() -> None:
            for line in sys.stdin:
                loop.call_soon_threadsafe(lines.put_nowait, line)

        threading.Thread(target=read, name="terminal", daemon=True).start()
        while True:
            await lines.get()
            self._show_invite()


def serve_site(wish: Wish, tell: Tell) -> None:
    """Serve a memo to the crew's network until it is stopped; *tell* the terminal how to join.

    Raises :class:`NoSite`, and :class:`NoBrowser` where a port is taken.
    """
    allow_many_files()
    asyncio.run(Site(wish, tell).serve())


def allow_many_files() -> None:
    """Let this process have as many connections as the system allows."""
    with contextlib.suppress(ImportError, ValueError, OSError):
        import resource  # not on Windows

        _, most = resource.getrlimit(resource.RLIMIT_NOFILE)
        resource.setrlimit(resource.RLIMIT_NOFILE, (most, most))


async def until_stopped() -> None:
    """Return once somebody stops the program."""
    stop = asyncio.Event()
    with _told_to_stop(stop.set):
        await stop.wait()


@contextlib.contextmanager
def _told_to_stop(stop: Callable[[], None]) -> Iterator[None]:
    loop = asyncio.get_running_loop()
    numbers = (signal.SIGINT, signal.SIGTERM)
    with contextlib.suppress(NotImplementedError):  # Windows: Ctrl+C raises there
        for number in numbers:
            loop.add_signal_handler(number, stop)
    try:
        yield
    finally:
        with contextlib.suppress(NotImplementedError):
            for number in numbers:
                loop.remove_signal_handler(number)
