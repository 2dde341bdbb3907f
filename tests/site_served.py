"""A site in the test's own process: a memo, its server, phones."""

from __future__ import annotations

import contextlib
from collections.abc import AsyncIterator, Callable
from pathlib import Path
from typing import Any

from site_phone import Phone
from site_scripted import Scripted

from cutmemo.memo import Projection, open_store
from cutmemo.site.devices import Devices
from cutmemo.site.hub import Hub
from cutmemo.site.listening import serving
from cutmemo.site.server import Server


class Served:
    """A site that is up."""

    def __init__(self, folder: Path, server: Server, port: int) -> None:
        self.folder, self.server, self.port = folder, server, port
        self.url = f"http://localhost:{port}"

    @property
    def memo(self) -> Path:
        return self.folder / "porch.cutmemo"

    def phone(self, name: str = "ladder phone") -> Phone:
        _, token = self.server.devices.join(name)
        return Phone(self.url, {self.server.cookie: token})

    def rows(self) -> list[Any]:
        with open_store(self.memo) as store:
            return list(Projection(store.events()).state.rows.values())


@contextlib.asynccontextmanager
async def served(folder: Path, make: Callable[[], Any] = Scripted) -> AsyncIterator[Served]:
    origins: set[str] = set()
    devices = Devices(folder / "devices.json")
    server = Server(Hub(folder / "porch.cutmemo"), devices, make, lambda: frozenset(origins))
    async with serving(server.app(), "127.0.0.1", 0) as port:
        origins.add(f"http://localhost:{port}")
        yield Served(folder, server, port)
