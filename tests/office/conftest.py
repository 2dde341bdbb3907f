"""A server for all tests of the office; each has a database of its own, and makes sites on it."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path

import pytest
from office.server import Server, missing
from office.sites import Office

LACKS = missing()


def _needs_server(item: pytest.Item) -> bool:
    chosen = getattr(getattr(item, "callspec", None), "params", {})
    return "server" in getattr(item, "fixturenames", ()) or chosen.get("make_end") == "database"


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what needs a server, where there is none; tests/conftest.py says so."""
    here = Path(__file__).parent
    out = [each for each in items if LACKS and here in each.path.parents and _needs_server(each)]
    if out:
        items[:] = [each for each in items if each not in out]
        config.hook.pytest_deselected(items=out)


@pytest.fixture(scope="session")
def server() -> Iterator[Server]:
    """The server, with a database that is ready to be copied."""
    from cutmemo.office.database.roles import prepare

    made = Server()
    try:
        prepare(made.office("ready"), datetime(2026, 5, 4, tzinfo=UTC).date())
        yield made
    finally:
        made.remove()


@contextmanager
def an_office(server: Server, folder: Path) -> Iterator[Office]:
    """Make a database, and take it away again."""
    from cutmemo.office.database.connect import connected

    name = f"t{abs(hash(folder))}"
    with connected(server.office("postgres")) as connection:
        connection.execute(f"CREATE DATABASE {name} TEMPLATE ready OWNER cutmemo_office")
        connection.execute(f"REVOKE ALL ON DATABASE {name} FROM PUBLIC")
        connection.execute(f"GRANT CONNECT ON DATABASE {name} TO cutmemo_sites, cutmemo_orderers")
    made = Office(server, name, folder)
    try:
        yield made
    finally:
        made.opened.close()
        with connected(server.office("postgres")) as connection:
            connection.execute(f"DROP DATABASE {name} WITH (FORCE)")


@pytest.fixture
def office(server: Server, tmp_path: Path) -> Iterator[Office]:
    """A database of the test's own."""
    with an_office(server, tmp_path) as made:
        yield made


@pytest.fixture(scope="module")
def shared_office(server: Server, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Office]:
    """A database that the tests of a module share."""
    with an_office(server, tmp_path_factory.mktemp("shared")) as made:
        yield made
