"""Lays out the office's database and lets sites in: done at the office, as the server's
administrator.
"""

from __future__ import annotations

import contextlib
import re
import secrets
from dataclasses import replace
from datetime import UTC, date, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from cutmemo.errors import NoOffice, OfficeTrouble
from cutmemo.office.address import Address
from cutmemo.office.database.connect import (
    LAYOUT,
    ORDERERS,
    OWNER,
    SITES,
    check_layout,
    connected,
    layout_of,
    psycopg,
    telling,
)

if TYPE_CHECKING:
    from psycopg import Connection

SITE_NAME = re.compile("[a-z][a-z0-9_-]{0,39}")
_RESERVED = ("pg_", "cutmemo_")
MONTHS_BEFORE, MONTHS_AHEAD = 12, 6
"""For which partitions are made ahead, from the month that is; all others share one."""
_PASSWORD_BYTES = 18
ABANDONED = {
    "idle_session_timeout": "2min",
    "idle_in_transaction_session_timeout": "2min",
    "tcp_keepalives_idle": "30",
    "tcp_keepalives_interval": "10",
    "tcp_keepalives_count": "3",
}
"""When the server gives up a connection whose site fell silent: otherwise those would add up until
the site is let in no more."""


def _run(connection: Connection[Any], statement: str, *names: str) -> None:
    from psycopg import sql

    query = sql.SQL(statement).format(*map(sql.Identifier, names))
    connection.execute(query)


def prepare(address: Address, today: date) -> int:
    """Make database, roles and tables, or bring them up to this program; return the layout that
    was there before, 0 for none.

    What is there already stays. Raises :class:`NoOffice`.
    """
    with connected(replace(address, database="postgres")) as server, telling():
        _make_roles(server)
        there = "SELECT 1 FROM pg_database WHERE datname = %s"
        if server.execute(there, (address.database,)).fetchone() is None:
            _run(
                server,
                "CREATE DATABASE {} OWNER {} ENCODING 'UTF8' TEMPLATE template0",
                address.database,
                OWNER,
            )
        _run(server, "REVOKE ALL ON DATABASE {} FROM PUBLIC", address.database)
        for group in (SITES, ORDERERS):
            _run(server, "GRANT CONNECT ON DATABASE {} TO {}", address.database, group)
    with connected(address) as connection, telling():
        _run(connection, "CREATE SCHEMA IF NOT EXISTS office AUTHORIZATION {}", OWNER)
        before = layout_of(connection)
        if before > LAYOUT:
            raise NoOffice(OfficeTrouble.NEWER, str(before))
    _migrate(address)
    with connected(address, act_as=OWNER) as connection:
        make_months(connection, today)
    return before


def _make_roles(server: Connection[Any]) -> None:
    for role in (OWNER, SITES, ORDERERS):
        if server.execute("SELECT 1 FROM pg_roles WHERE rolname = %s", (role,)).fetchone() is None:
            _run(server, "CREATE ROLE {} NOLOGIN", role)


def _migrate(address: Address) -> None:
    """Run the steps that are missing, all or none, as the owner of the tables."""
    try:
        from alembic import command
        from alembic.config import Config
        from sqlalchemy import create_engine
        from sqlalchemy.pool import StaticPool
    except ImportError as error:
        raise NoOffice(OfficeTrouble.NO_PACKAGE, str(error)) from error
    with connected(address, act_as=OWNER) as connection, telling():
        connection.autocommit = False
        engine = create_engine(
            "postgresql+psycopg://", creator=lambda: connection, poolclass=StaticPool
        )
        config = Config()
        folder = Path(__file__).resolve().parents[1] / "migrations"
        config.set_main_option("script_location", str(folder).replace("%", "%%"))
        config.set_main_option("path_separator", "os")
        with engine.connect() as bind:
            config.attributes["connection"] = bind
            command.upgrade(config, "head")
            bind.commit()


def make_months(connection: Connection[Any], today: date) -> int:
    """Make a partition for each month around *today* that has none; return how many were made.

    A month of which events came already, with a clock ahead, stays where they are.
    """
    from psycopg import errors, sql

    made = 0
    for ahead in range(-MONTHS_BEFORE, MONTHS_AHEAD + 1):
        month, after = _month(today, ahead), _month(today, ahead + 1)
        name = f"events_{month:%Y_%m}"
        there = "SELECT to_regclass(%s) IS NOT NULL"
        with telling():
            if connection.execute(there, (f"office.{name}",)).fetchone() == (True,):
                continue
            query = sql.SQL(
                "CREATE TABLE office.{} PARTITION OF office.events FOR VALUES FROM ({}) TO ({})"
            ).format(sql.Identifier(name), sql.Literal(str(month)), sql.Literal(str(after)))
            with contextlib.suppress(errors.CheckViolation):
                with connection.transaction():
                    connection.execute(query)
                    _run(connection, "ALTER TABLE office.{} ENABLE ROW LEVEL SECURITY", name)
                made += 1
    return made


def _month(today: date, ahead: int) -> date:
    """Return the first day of the month so many months *ahead*."""
    months = today.year * 12 + today.month - 1 + ahead
    return date(months // 12, months % 12 + 1, 1)


def let_in(address: Address, name: str, title: str = "", orders: bool = False) -> str:
    """Make the role of the site *name*, or with *orders* of somebody who reads all sites; return
    its new password.

    One that is there gets a new password. Raises :class:`NoOffice`.
    """
    if not SITE_NAME.fullmatch(name) or name.startswith(_RESERVED):
        raise NoOffice(OfficeTrouble.NO_SUCH_SITE, name)
    group = ORDERERS if orders else SITES
    password = secrets.token_urlsafe(_PASSWORD_BYTES)
    with connected(address) as connection, telling():
        check_layout(connection)
        kept = connection.pgconn.encrypt_password(
            password.encode(), name.encode(), b"scram-sha-256"
        )
        row = connection.execute(
            "SELECT pg_has_role(oid, %s, 'member') AND NOT rolsuper FROM pg_roles"
            " WHERE rolname = %s",
            (group, name),
        ).fetchone()
        if row is not None and not row[0]:
            raise NoOffice(OfficeTrouble.NO_SUCH_SITE, name)
        from psycopg import sql

        what = "ALTER" if row is not None else "CREATE"
        connection.execute(
            sql.SQL(
                f"{what} ROLE {{}} LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOBYPASSRLS"
                " CONNECTION LIMIT 12 PASSWORD {}"
            ).format(sql.Identifier(name), sql.Literal(kept.decode()))
        )
        for setting, value in ABANDONED.items():
            _run(connection, f"ALTER ROLE {{}} SET {setting} = '{value}'", name)
        _run(connection, "GRANT {} TO {}", group, name)
        if not orders:
            connection.execute(
                "INSERT INTO office.sites (site, title) VALUES (%s, %s) ON CONFLICT (site)"
                " DO UPDATE SET title = coalesce(nullif(excluded.title, ''), sites.title)",
                (name, title),
            )
    return password


def shut_out(address: Address, name: str) -> None:
    """Let the role *name* in no longer; what it sent stays. Raises :class:`NoOffice`."""
    with connected(address) as connection, telling():
        check_layout(connection)
        row = connection.execute(
            "SELECT pg_has_role(oid, %s, 'member') OR pg_has_role(oid, %s, 'member')"
            " FROM pg_roles WHERE rolname = %s AND NOT rolsuper",
            (SITES, ORDERERS, name),
        ).fetchone()
        if row is None or not row[0]:
            raise NoOffice(OfficeTrouble.NO_SUCH_SITE, name)
        _run(connection, "ALTER ROLE {} NOLOGIN", name)


def utc_today() -> date:
    """Return the day it is, in UTC."""
    return datetime.now(UTC).date()


__all__ = ["SITE_NAME", "let_in", "make_months", "prepare", "psycopg", "shut_out", "utc_today"]
