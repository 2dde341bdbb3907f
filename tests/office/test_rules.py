"""What the database lets a site's role do, tried as that role: add its own events, read its own, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import ExitStack
from datetime import date
from typing import Any

import pytest
from office.sites import Office, Site

from cutmemo.errors import NoOffice, OfficeTrouble
from cutmemo.office.database.connect import OWNER, connected, layout_of
from cutmemo.office.database.events import OfficeEnd
from cutmemo.office.database.roles import let_in, make_months, prepare, shut_out
from cutmemo.office.reading import open_office

TABLES = "events disputed standing sites tally_sites tally_rows tally_days tally_loads tally_short".split()
VIEWS = "open_rows by_section by_site by_day short".split()


Two = tuple[Office, Site, Site]


def fill(office: Office) -> Two:
    """Make two sites, each with something of everything in the office's tables."""
    sites = office.site("maple"), office.site("oak")
    for site, call in zip(sites, ("4 @ 92-5/8 2x4 stud", "3 @ 36 2x6 header"), strict=True):
        desk = site.desk()
        desk.call(call)
        desk.clear()
        site.exchange()
    tally = office.tally()
    while tally.lay_boards(quiet_seconds=0):
        pass
    connection = office.connection()
    for site in sites:
        values = (site.name, "an id", bytes(16), "{}")
        connection.execute(
            "INSERT INTO office.disputed (site, id, hash, line) VALUES (%s, %s, %s, %s)", values
        )
        connection.execute(
            "INSERT INTO office.tally_loads VALUES (%s, '2026-05-01', 'an id')", (site.name,)
        )
    return office, *sites


@pytest.fixture(scope="module")
def two(shared_office: Office) -> Two:
    """Two sites that the tests leave as they are."""
    return fill(shared_office)


@pytest.fixture
def two_of_its_own(office: Office) -> Two:
    """Two sites that a test changes."""
    return fill(office)


@pytest.fixture
def as_maple(two: Two) -> Iterator[Any]:
    """A connection as the role of the site maple."""
    with ExitStack() as opened:
        yield opened.enter_context(connected(two[1].address, two[1].password))


@pytest.mark.parametrize("name", [*TABLES, *VIEWS])
def test_a_site_reads_its_own_lines_and_no_other_s(two: Two, as_maple: Any, name: str) -> None:
    query = f"TABLE office.{name}"
    assert {row[0] for row in as_maple.execute(query)} == {"maple"}
    everything = {row[0] for row in two[0].connection().execute(query)}
    assert everything == {"maple", "oak"}


def test_every_view_runs_as_whoever_reads_it_and_every_table_is_guarded(
    two: Two,
) -> None:
    """So that a view or a table that is added without its guard is seen."""
    connection = two[0].connection()
    views = connection.execute(
        "SELECT c.relname, c.reloptions FROM pg_class c WHERE relnamespace = 'office'::regnamespace AND relkind = 'v'"
    ).fetchall()
    assert sorted(name for name, _ in views) == sorted(VIEWS)
    assert all("security_invoker=true" in options for _, options in views)
    tables = connection.execute(
        "SELECT relname, relrowsecurity, relforcerowsecurity FROM pg_class"
        " WHERE relnamespace = 'office'::regnamespace AND relkind IN ('r', 'p') AND NOT relispartition AND relname <> 'layout'"
    ).fetchall()
    assert sorted(tables) == sorted((name, True, True) for name in TABLES)
    parts = connection.execute(
        "SELECT relrowsecurity FROM pg_class WHERE relispartition AND relkind = 'r' AND relnamespace = 'office'::regnamespace"
    ).fetchall()
    assert len(parts) == 20
    assert all(guarded for (guarded,) in parts)


@pytest.mark.parametrize("table", [*TABLES, "layout"])
@pytest.mark.parametrize(
    "statement", ["UPDATE office.{} SET {} = {}", "DELETE FROM office.{}", "TRUNCATE office.{}"]
)
def test_a_site_changes_and_deletes_nothing_not_even_its_own(
    as_maple: Any, table: str, statement: str
) -> None:
    import psycopg

    column = "version_num" if table == "layout" else "site"
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        as_maple.execute(statement.format(table, column, column))


@pytest.mark.parametrize(
    "table",
    ["standing", "sites", "tally_sites", "tally_rows", "tally_loads", "tally_short", "layout"],
)
def test_a_site_adds_to_no_table_but_what_happened(as_maple: Any, table: str) -> None:
    import psycopg

    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        as_maple.execute(f"INSERT INTO office.{table} DEFAULT VALUES")


def test_a_site_adds_nothing_under_the_name_of_another(two: Two, as_maple: Any) -> None:
    _, maple, oak = two
    events = maple.desks[0].store.events()
    end = OfficeEnd(as_maple, "oak")
    assert end.standings() == {}
    with pytest.raises(NoOffice) as caught:
        end.take(events)
    assert caught.value.trouble == OfficeTrouble.NOT_LET_IN
    import psycopg

    for statement in (
        "INSERT INTO office.events (site, month, id, at, station, who, kind, version, payload,"
        " replica, number, after, hash)"
        " VALUES ('oak', '2026-05-01', 'x', '', '', '', '', 2, '', 'r', 1, '[]', %s)",
        "INSERT INTO office.disputed (site, id, hash, line) VALUES ('oak', 'x', %s, '')",
    ):
        with pytest.raises(psycopg.errors.InsufficientPrivilege, match="row-level security"):
            as_maple.execute(statement, (bytes(16),))
    with connected(oak.address, oak.password) as connection:
        assert len(OfficeEnd(connection, "oak").standings()) == 1


@pytest.mark.parametrize("partition", ["events_2026_05", "events_other"])
@pytest.mark.parametrize(
    "statement",
    ["SELECT * FROM office.{}", "INSERT INTO office.{} DEFAULT VALUES", "DELETE FROM office.{}"],
)
def test_no_site_gets_round_the_rules_by_way_of_a_month(
    as_maple: Any, partition: str, statement: str
) -> None:
    import psycopg

    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        as_maple.execute(statement.format(partition))


@pytest.mark.parametrize(
    "statement",
    [
        "UPDATE office.events SET who = 'x'",
        "DELETE FROM office.events",
        "TRUNCATE office.events",
        "DELETE FROM office.events_2026_05",
        "UPDATE office.disputed SET line = ''",
        "DELETE FROM office.disputed",
    ],
)
def test_the_office_itself_only_adds_to_what_happened(two: Two, statement: str) -> None:
    import psycopg

    connection = two[0].connection()
    count = "SELECT (SELECT count(*) FROM office.events), (SELECT count(*) FROM office.disputed)"
    before = connection.execute(count).fetchall()
    with pytest.raises(psycopg.errors.InsufficientPrivilege):
        connection.execute(statement)
    assert connection.execute(count).fetchall() == before


def test_whoever_orders_reads_all_sites_and_adds_nothing(two_of_its_own: Two) -> None:
    import psycopg

    office = two_of_its_own[0]
    password = let_in(office.address, "pat", orders=True)
    address = office.server.site("pat", office.database)
    with open_office(address, password) as read:
        assert list(read.states()) == ["maple", "oak"]
        assert [(site.name, site.events) for site in read.sites()] == [("maple", 2), ("oak", 2)]
        assert sum(day.cut for day in read.days()) == 2
    with (
        connected(address, password) as connection,
        pytest.raises(psycopg.errors.InsufficientPrivilege),
    ):
        connection.execute("INSERT INTO office.events DEFAULT VALUES")


def test_a_site_that_is_barred_is_let_in_no_longer_and_what_it_sent_stays(
    two_of_its_own: Two,
) -> None:
    office, maple, _ = two_of_its_own
    shut_out(office.address, "maple")
    with pytest.raises(NoOffice) as caught, connected(maple.address, maple.password):
        pass
    assert caught.value.trouble == OfficeTrouble.NOT_LET_IN
    with open_office(office.address) as read:
        assert "maple" in read.states()
    again = let_in(office.address, "maple")
    with connected(maple.address, again) as connection:
        assert OfficeEnd(connection, "maple").standings()
    office.site("maple")


@pytest.mark.parametrize(
    "name",
    [
        "",
        "Maple",
        "a b",
        "postgres",
        "pg_read_all_data",
        "cutmemo_office",
        "x" * 41,
        'a"; DROP ROLE oak; --',
        "ümlaut",
    ],
)
def test_names_that_are_no_site_s_are_refused(shared_office: Office, name: str) -> None:
    with pytest.raises(NoOffice) as caught:
        let_in(shared_office.address, name)
    assert caught.value.trouble == OfficeTrouble.NO_SUCH_SITE


def test_a_connection_that_is_not_verified_is_not_made(two: Two, tmp_path: Any) -> None:
    """The server's certificate is of another authority; and nobody comes in without TLS."""
    from dataclasses import replace

    office, site, _ = two
    strange = tmp_path / "strange.crt"
    strange.write_text((office.server.folder / "server.crt").read_text())
    other = replace(site.address, host="127.0.0.1", sslrootcert=str(strange))
    with pytest.raises(NoOffice) as caught, connected(other, site.password):
        pass
    assert caught.value.trouble == OfficeTrouble.NOT_VERIFIED
    with (
        pytest.raises(NoOffice) as caught,
        connected(replace(site.address, sslmode="disable"), site.password),
    ):
        pass
    assert caught.value.trouble == OfficeTrouble.NOT_LET_IN


def test_preparing_again_changes_nothing_and_a_newer_layout_is_left_alone(
    two_of_its_own: Two,
) -> None:
    office, maple, _ = two_of_its_own
    assert prepare(office.address, date(2026, 5, 4)) == 1
    with open_office(office.address) as read:
        assert [site.events for site in read.sites()] == [2, 2]
    office.connection().execute("UPDATE office.layout SET version_num = '2'")
    with pytest.raises(NoOffice) as caught:
        prepare(office.address, date(2026, 5, 4))
    assert caught.value.trouble == OfficeTrouble.NEWER
    maple.desks[0].call("48")
    with pytest.raises(NoOffice) as caught:
        maple.exchange()
    assert caught.value.trouble == OfficeTrouble.NEWER
    assert len(maple.desks[0].store.events()) == 3


def test_months_are_made_ahead_and_one_whose_events_came_early_stays(office: Office) -> None:
    site = office.site("maple")
    from datetime import UTC, datetime

    site.desk(start=datetime(2026, 12, 24, tzinfo=UTC)).call("36")
    site.exchange()
    with connected(office.address, act_as=OWNER) as connection:
        assert layout_of(connection) == 1
        assert make_months(connection, date(2026, 7, 1)) == 1  # January; December came early
        assert make_months(connection, date(2026, 7, 1)) == 0
        assert connection.execute("SELECT count(*) FROM office.events").fetchone() == (1,)
