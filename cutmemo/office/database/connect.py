"""A connection to an office's database, and what its refusals mean."""

from __future__ import annotations

import contextlib
import os
import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING, Any

from cutmemo.errors import NoOffice, OfficeTrouble
from cutmemo.office.address import Address

if TYPE_CHECKING:
    from psycopg import Connection

LAYOUT = 1
"""The layout of the database that this program knows: the number of the last migration."""
OWNER = "cutmemo_office"
"""The role that owns the tables: the office's own programs act as it."""
SITES = "cutmemo_sites"
"""The role that the role of every site is a member of."""
ORDERERS = "cutmemo_orderers"
"""The role of whoever reads all sites, and writes nothing."""
CONNECT_SECONDS = 10
STATEMENT_MILLISECONDS = 60_000
ANSWER_SECONDS = 90.0
"""Longer than any statement may take: no answer comes any more."""

_BY_STATE = {
    "28": OfficeTrouble.NOT_LET_IN,  # invalid authorization
    "42501": OfficeTrouble.NOT_LET_IN,  # insufficient privilege
    "3D000": OfficeTrouble.NOT_PREPARED,  # no such database
    "3F000": OfficeTrouble.NOT_PREPARED,  # no such schema
    "42P01": OfficeTrouble.NOT_PREPARED,  # no such table
    "08": OfficeTrouble.NO_NETWORK,  # connection exceptions
    "57": OfficeTrouble.NO_NETWORK,  # the server is shut down, or starts
    "53": OfficeTrouble.NO_NETWORK,  # too many connections, no room
}
"""What an SQLSTATE, or its class, means (PostgreSQL's manual, appendix A)."""
_BY_WORDS = {
    "password authentication failed": OfficeTrouble.NOT_LET_IN,
    "no password supplied": OfficeTrouble.NO_PASSWORD,
    "pg_hba.conf": OfficeTrouble.NOT_LET_IN,
    "too many connections": OfficeTrouble.NO_NETWORK,
    'role "': OfficeTrouble.NOT_LET_IN,
    "certificate": OfficeTrouble.NOT_VERIFIED,
    "does not support SSL": OfficeTrouble.NOT_VERIFIED,
    'database "': OfficeTrouble.NOT_PREPARED,
}
"""What libpq says where a connection fails without a state, after the address of the server."""


def psycopg() -> Any:
    """Return the driver. Raises :class:`NoOffice` where it is not installed."""
    try:
        import psycopg  # deferred: the extra is not required
    except ImportError as error:
        raise NoOffice(OfficeTrouble.NO_PACKAGE, str(error)) from error
    return psycopg


@contextmanager
def telling() -> Iterator[None]:
    """Turn what the driver and the server say into an error of the office."""
    driver = psycopg()
    try:
        yield
    except driver.Error as error:
        raise NoOffice(_trouble(error), _said(error)) from error


@contextmanager
def answering(connection: Connection[Any], seconds: float) -> Iterator[None]:
    """Do as :func:`telling`, and end the connection where no answer comes for so long: a network
    may fall silent without a word, and nobody would ever know.
    """
    watch = threading.Timer(seconds, _hang_up, (connection,))
    watch.daemon = True
    watch.start()
    try:
        with telling():
            yield
    finally:
        watch.cancel()


def _hang_up(connection: Connection[Any]) -> None:
    """End a connection while another thread waits for it."""
    with contextlib.suppress(OSError, psycopg().Error):
        handle = socket.socket(fileno=os.dup(connection.fileno()))
        with handle:
            handle.shutdown(socket.SHUT_RDWR)


def _trouble(error: Any) -> OfficeTrouble:
    state = error.sqlstate or ""
    for known in (state, state[:2]):
        if known in _BY_STATE:
            return _BY_STATE[known]
    if state or not isinstance(error, psycopg().OperationalError):
        return OfficeTrouble.BROKEN
    said = str(error).partition("failed: ")[2]
    for words, trouble in _BY_WORDS.items():
        if words in said:
            return trouble
    return OfficeTrouble.NO_NETWORK


def _said(error: Any) -> str:
    """Return the first line of what was said."""
    lines = str(error).strip().splitlines()
    return lines[0][:300] if lines else type(error).__name__


@contextmanager
def connected(
    address: Address, password: str | None = None, act_as: str = ""
) -> Iterator[Connection[Any]]:
    """Open a connection for as long as it is used, each statement a transaction of its own.

    *act_as* is the role to act as. Raises :class:`NoOffice`.
    """
    driver = psycopg()
    secret = {"password": password} if password is not None else {}
    with telling():
        connection = driver.connect(
            **address.parameters(),
            **secret,
            connect_timeout=CONNECT_SECONDS,
            keepalives_idle=20,
            keepalives_interval=5,
            keepalives_count=3,
            tcp_user_timeout=20_000,
            application_name="cutmemo",
            options=f"-c statement_timeout={STATEMENT_MILLISECONDS} -c timezone=UTC"
            " -c search_path=pg_catalog",
            autocommit=True,
        )
        try:
            if act_as:
                from psycopg import sql

                connection.execute(sql.SQL("SET ROLE {}").format(sql.Identifier(act_as)))
            yield connection
        finally:
            connection.close()


def layout_of(connection: Connection[Any]) -> int:
    """Return the layout of the database; 0 where it has none."""
    with telling():
        there = connection.execute(
            "SELECT to_regclass('office.layout') IS NOT NULL"
            " AND has_schema_privilege('office', 'USAGE')"
        ).fetchone()
        if there is None or not there[0]:
            return 0
        row = connection.execute("SELECT version_num FROM office.layout").fetchone()
    return _number(row)


def check_layout(connection: Connection[Any]) -> None:
    """Raise :class:`NoOffice` where the database is not laid out as this program knows it."""
    with telling():  # one question: each is a journey to the office and back
        row = connection.execute("SELECT version_num FROM office.layout").fetchone()
    found = _number(row)
    if found == 0:
        raise NoOffice(OfficeTrouble.NOT_PREPARED)
    if found != LAYOUT:
        raise NoOffice(OfficeTrouble.NEWER if found > LAYOUT else OfficeTrouble.OLDER, str(found))


def _number(row: tuple[Any, ...] | None) -> int:
    return int(row[0]) if row is not None and str(row[0]).isdecimal() else 0
