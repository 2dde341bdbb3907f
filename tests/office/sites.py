"""An office of the tests, and the sites that send to it."""

from __future__ import annotations

from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

from desk import Desk
from office.server import Server

from cutmemo.memo import open_store
from cutmemo.office.address import Address
from cutmemo.office.exchange import BATCH, Exchanged, Progress, exchange
from cutmemo.office.file_end import FileEnd

PASSWORD = "of-the-tests"  # noqa: S105 - of a server that lives as long as they do


@dataclass
class Site:
    """A site: a memo in a file, and the way from it to the office."""

    name: str
    memo: Path
    address: Address
    password: str
    desks: list[Desk] = field(default_factory=list)

    def desk(
        self, station: str = "ladder", who: str = "ann", start: datetime | None = None
    ) -> Desk:
        """Open a station whose clock goes on by a minute with each look."""
        ticks = iter(range(10_000_000))
        begin = start or datetime(2026, 5, 4, 7, tzinfo=UTC)
        desk = Desk(
            open_store(self.memo), station, who, lambda: begin + timedelta(minutes=next(ticks))
        )
        self.desks.append(desk)
        return desk

    def exchange(
        self,
        port: int | None = None,
        progress: Progress = lambda replica, number: None,
        batch: int = BATCH,
        answer_seconds: float = 60.0,
    ) -> Exchanged:
        """Exchange with the office once."""
        from cutmemo.office.database.connect import connected
        from cutmemo.office.database.events import OfficeEnd

        address = self.address if port is None else replace(self.address, port=port)
        with FileEnd(self.memo) as here, connected(address, self.password) as connection:
            end = OfficeEnd(connection, self.name, answer_seconds)
            return exchange(here, end, progress, batch=batch)


class Office:
    """One database of the server, laid out, with its sites."""

    def __init__(self, server: Server, database: str, folder: Path) -> None:
        self.server, self.database, self.folder = server, database, folder
        self.address = server.office(database)
        self.opened = ExitStack()

    def site(self, name: str, memo: Path | None = None) -> Site:
        """Let a site in."""
        from cutmemo.office.database.connect import connected
        from cutmemo.office.database.roles import let_in

        let_in(self.address, name)
        with connected(self.address) as connection:  # roles are those of all databases at once
            connection.execute(f"ALTER ROLE {name} PASSWORD '{PASSWORD}'")
        path = memo or self.folder / f"{name}.cutmemo"
        site = Site(name, path, self.server.site(name, self.database), PASSWORD)
        self.opened.callback(lambda: [desk.store.close() for desk in site.desks])
        return site

    def connection(self) -> Any:
        """Open a connection as the office itself."""
        from cutmemo.office.database.connect import OWNER, connected

        return self.opened.enter_context(connected(self.address, act_as=OWNER))

    def tally(self) -> Any:
        """Tally all that is new."""
        from cutmemo.office.tally import Tally

        made = Tally(self.connection())
        while made.keep_up():
            pass
        return made
