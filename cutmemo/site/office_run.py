"""Serves the page of the one who orders until it is stopped: to this machine alone, or to devices
that join.
"""

from __future__ import annotations

import asyncio
import contextlib
from collections.abc import Iterator
from pathlib import Path

from aiohttp import web

from cutmemo.office.known import Sites
from cutmemo.site.devices import Devices
from cutmemo.site.folder import site_folder
from cutmemo.site.listening import serving
from cutmemo.site.office_pages import OfficePages
from cutmemo.site.office_server import OfficeServer
from cutmemo.site.run import LOCAL, Site, Tell, Wish, allow_many_files, until_stopped
from cutmemo.wording import site as words


def office_folder() -> Path:
    """Return the folder of the office's keys and devices, which are no site's."""
    folder = site_folder() / "office"
    folder.mkdir(mode=0o700, exist_ok=True)
    return folder


def office_devices() -> Devices:
    """Return the devices that have joined over the network."""
    return Devices(office_folder() / "devices.json")


def serve_office_here(sites: Sites, port: int, tell: Tell) -> None:
    """Serve the order of *sites* to this machine alone until it is stopped; *tell* where.

    Raises :class:`NoBrowser` where the port is taken.
    """
    origins = frozenset(f"http://{name}:{port}" for name in LOCAL)
    devices = Devices(office_folder() / "here.json", oldest_goes=True)
    server = OfficeServer(OfficePages(sites), devices, lambda: origins)

    async def serve() -> None:
        async with serving(server.app(), "localhost", port):
            tell(words.open_here(port))
            await until_stopped()

    asyncio.run(serve())


class OfficeSite(Site):
    """The order of all sites on the office's network, behind doors of its own."""

    def __init__(self, sites: Sites, wish: Wish, tell: Tell) -> None:
        """Serve the order of *sites*. Raises :class:`NoSite`."""
        super().__init__(wish, tell, office_folder())
        self._sites = sites

    @contextlib.contextmanager
    def _served(self) -> Iterator[web.Application]:
        yield OfficeServer(OfficePages(self._sites), self.devices, self.origins, self.doors).app()


def serve_office(sites: Sites, wish: Wish, tell: Tell) -> None:
    """Serve the order of *sites* to devices that join, until it is stopped; *tell* the terminal
    how. Raises :class:`NoSite`, and :class:`NoBrowser` where a port is taken.
    """
    allow_many_files()
    asyncio.run(OfficeSite(sites, wish, tell).serve())
