"""A backup that is restored holds all that happened, and makes the same tally anew."""

from __future__ import annotations

from office.server import Server
from office.sites import Office

from cutmemo.office.database.connect import OWNER, connected
from cutmemo.office.database.events import OfficeEnd
from cutmemo.office.reading import open_office
from cutmemo.office.tally import Tally


def test_a_backup_brings_everything_back_and_the_sites_go_on_with_it(office: Office) -> None:
    maple, oak = office.site("maple"), office.site("oak")
    for site in (maple, oak):
        desk = site.desk()
        for length in range(24, 44):
            desk.call(f"{length}-1/2 2x4 stud")
        desk.clear()
        site.exchange()
    office.tally()
    backup = office.server.dump(office.database)
    maple.desks[0].call("14-5/8")
    maple.exchange()
    restored = Office(office.server, f"{office.database}_again", office.folder)
    office.server.restore(backup, restored.database)
    try:
        with open_office(office.address) as read:
            kept = read.states()
        with open_office(restored.address) as read:
            assert read.states() == kept
            assert sum(site.events for site in read.sites()) == 42
        with connected(restored.address, act_as=OWNER) as connection:
            tally = Tally(connection)
            tally.anew()
            assert tally.keep_up() == 2
        with open_office(restored.address) as read:
            assert read.states() == kept
        # What was sent since the backup is sent again by the site that has it.
        from cutmemo.office.exchange import exchange
        from cutmemo.office.file_end import FileEnd

        address = office.server.site("maple", restored.database)
        with FileEnd(maple.memo) as here, connected(address, maple.password) as connection:
            done = exchange(here, OfficeEnd(connection, "maple"))
            assert (done.sent, done.received, done.equal) == (1, 0, True)
    finally:
        restored.opened.close()
        with connected(office.server.office("postgres")) as connection:
            connection.execute(f"DROP DATABASE {restored.database} WITH (FORCE)")


def test_a_new_machine_goes_on_with_the_backup_and_the_passwords_of_the_sites(
    office: Office,
) -> None:
    """As the guide says it: roles and database into a server that has neither, and lay it out again."""
    from cutmemo.office.database.roles import prepare, utc_today
    from cutmemo.office.exchange import exchange
    from cutmemo.office.file_end import FileEnd

    maple = office.site("maple")
    desk = maple.desk()
    desk.call("4 @ 36-1/2 2x4 stud")
    maple.exchange()
    roles, backup = office.server.roles(), office.server.dump(office.database)
    desk.clear()
    new = Server()
    try:
        new.restore_all(roles, backup)
        assert prepare(new.office(office.database), utc_today()) == 1
        with (
            FileEnd(maple.memo) as here,
            connected(new.site("maple", office.database), maple.password) as connection,
        ):
            done = exchange(here, OfficeEnd(connection, "maple"))
        assert (done.sent, done.received, done.equal) == (1, 0, True)
        with connected(new.office(office.database)) as connection:
            others = connection.execute(
                "SELECT has_database_privilege('public', current_database(), 'connect')"
            ).fetchone()
        assert others == (False,)
    finally:
        new.remove()
