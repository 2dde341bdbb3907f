"""A site in the test's own process: a memo, its server, phones."""

from __future__ import annotations

import contextlib
import ssl
import time
from collections.abc import AsyncIterator, Callable
from pathlib import Path
from typing import Any

from site_phone import Phone
from site_scripted import Scripted

from cutmemo.memo import Projection, open_store
from cutmemo.site.certificates import certificates
from cutmemo.site.devices import Devices
from cutmemo.site.doors import Doors
from cutmemo.site.hub import Hub
from cutmemo.site.invites import Invites
from cutmemo.site.listening import serving
from cutmemo.site.origins import Origins
from cutmemo.site.server import Server


class Served:
    """A site that is up."""

    def __init__(self, folder: Path, server: Server, port: int, name: str = "porch") -> None:
        self.name = name
        self.folder, self.server, self.port = folder, server, port
        self.url = f"http://localhost:{port}"
        self.invites: Invites
        self.ssl: ssl.SSLContext

    @property
    def memo(self) -> Path:
        return self.folder / f"{self.name}.cutmemo"

    def phone(self, name: str = "ladder phone") -> Phone:
        _, token = self.server.devices.join(name)
        return Phone(self.url, {self.server.cookie: token}, getattr(self, "ssl", True))

    def rows(self) -> list[Any]:
        with open_store(self.memo) as store:
            return list(Projection(store.events()).state.rows.values())


@contextlib.asynccontextmanager
async def served(
    folder: Path, make: Callable[[], Any] = Scripted, name: str = "porch"
) -> AsyncIterator[Served]:
    origins: set[str] = set()
    devices = Devices(folder / "devices.json")
    server = Server(Hub(folder / f"{name}.cutmemo"), devices, make, lambda: frozenset(origins))
    async with serving(server.app(), "127.0.0.1", 0) as port:
        origins.add(f"http://localhost:{port}")
        yield Served(folder, server, port, name)


PHRASE = "plumb and level all day"


@contextlib.asynccontextmanager
async def secure(folder: Path, make: Callable[[], Any] = Scripted) -> AsyncIterator[Served]:
    """A site as the crew has it: over TLS, behind its doors."""
    origins: set[str] = set()
    made = certificates(folder, "cutmemo-test.local", [])
    invites = Invites(PHRASE, time.monotonic)
    devices = Devices(folder / "devices.json")
    server = Server(
        Hub(folder / "porch.cutmemo"),
        devices,
        make,
        lambda: frozenset(origins),
        lambda server: Doors(invites, server, lambda token: f"{found.url}/join?token={token}"),
        Origins(folder),
    )
    async with serving(server.app(), "127.0.0.1", 0, made.context()) as port:
        origins.add(f"https://localhost:{port}")
        found = Served(folder, server, port)
        found.url = f"https://localhost:{port}"
        found.invites = invites
        found.ssl = ssl.create_default_context(cafile=str(folder / "authority.pem"))
        yield found
