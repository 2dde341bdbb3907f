"""A site at work with its office: from the command line, from the screen, and beside them."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from office.sites import PASSWORD, Office, Site

from cutmemo import cli
from cutmemo.office.background import Exchanger
from cutmemo.office.file_end import FileEnd
from cutmemo.office.link import exchange_lock, read_link
from cutmemo.office.passwords import password_file

Run = Callable[..., tuple[int, str, str]]


@pytest.fixture
def cutmemo(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> Run:
    """Run the program on the memo of one site, with folders of its own."""
    monkeypatch.setenv("CUTMEMO_CONFIG", str(tmp_path / "config" / "config.toml"))
    monkeypatch.setenv("CUTMEMO_MEMO", str(tmp_path / "maple.cutmemo"))
    monkeypatch.setenv("PYTHON_KEYRING_BACKEND", "keyring.backends.null.Keyring")

    def run(*arguments: str, typed: str = "") -> tuple[int, str, str]:
        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        code = cli.main(arguments)
        return code, *capsys.readouterr()

    return run


@pytest.fixture
def maple(office: Office, cutmemo: Run) -> Site:
    """A site that is connected."""
    site = office.site("maple")
    code, out, err = cutmemo("office", "connect", str(site.address), typed=f"{PASSWORD}\n")
    assert code == 0, err
    assert str(site.address) in out
    return site


class Clock:
    """Seconds that pass when the test says so."""

    def __init__(self) -> None:
        self.time = 0.0

    def __call__(self) -> float:
        return self.time


def test_a_day_at_a_site_comes_to_the_office_by_itself(
    office: Office, maple: Site, cutmemo: Run
) -> None:
    cutmemo("say", "4 @ 36 2x6 header")
    assert "office: 1 not sent yet" in cutmemo("list")[2]
    exchanger = Exchanger(maple.memo)
    done = exchanger.look()
    assert done is not None
    assert done.sent == 1
    assert "office: all sent" in cutmemo("list")[2]
    assert exchanger.look() is None  # nothing is to be sent, and it asked this moment
    cutmemo("clear")
    assert "office: 1 not sent yet" in cutmemo("list")[2]
    assert exchanger.look() is not None
    code, out, _ = cutmemo("office", "tally", "--once", "--at", str(office.address))
    assert (code, out) == (0, "1 site tallied\n")
    rows = (
        office.connection().execute("SELECT site, open, cut, short FROM office.by_site").fetchall()
    )
    assert rows == [("maple", 3, 1, 1)]
    assert PASSWORD in password_file().read_text()
    assert PASSWORD not in "".join(
        path.read_text("latin-1") for path in maple.memo.parent.glob("maple*") if path.is_file()
    )


def test_the_office_is_away_and_comes_back(office: Office, maple: Site, cutmemo: Run) -> None:
    """The site goes on; it is tried again after two seconds, then after twice as many each time."""
    clock = Clock()
    exchanger = Exchanger(maple.memo, clock=clock)
    assert exchanger.look() is not None
    office.server.stop()
    try:
        cutmemo("say", "36")
        assert exchanger.look() is None
        assert "office: 1 not sent yet, no network" in cutmemo("say", "48")[2]
        code, out, _ = cutmemo("office", "status")
        assert code == 0
        assert "does not answer" in out
        tries = []
        since = read_link(maple.memo)
        assert since is not None
        for second in range(60):
            clock.time = float(second)
            exchanger.look()
            tries.append(exchanger._next)
        assert sorted(set(tries)) == [2.0, 6.0, 14.0, 30.0, 62.0]
        later = read_link(maple.memo)
        assert later is not None
        assert later.since == since.since
        code, _, err = cutmemo("office", "send")
        assert code == 1
        assert "does not answer" in err
    finally:
        office.server.start()
    clock.time = 62.0
    done = exchanger.look()
    assert done is not None
    assert done.sent == 2
    assert "office: all sent" in cutmemo("list")[2]


def test_a_newer_office_is_told_and_loses_nothing(
    office: Office, maple: Site, cutmemo: Run
) -> None:
    connection = office.connection()
    connection.execute("UPDATE office.layout SET version_num = '2'")
    cutmemo("say", "36")
    exchanger = Exchanger(maple.memo, clock=(clock := Clock()))
    assert exchanger.look() is None
    assert "office: 1 not sent yet, it needs a newer cutmemo" in cutmemo("list")[2]
    connection.execute("UPDATE office.layout SET version_num = '1'")
    clock.time = 2.0
    assert exchanger.look() is not None
    assert "office: all sent" in cutmemo("list")[2]


def test_one_program_of_a_site_exchanges_at_a_time(maple: Site, cutmemo: Run) -> None:
    cutmemo("say", "36")
    with exchange_lock(maple.memo):
        assert Exchanger(maple.memo).look() is None
        code, _, err = cutmemo("office", "send")
        assert code == 1
        assert "Another program" in err
    assert cutmemo("office", "send")[1] == "1 sent, 0 came in.\n"


def test_it_is_disconnected_and_the_memo_keeps_all_it_has(maple: Site, cutmemo: Run) -> None:
    cutmemo("say", "36")
    cutmemo("office", "send")
    code, out, _ = cutmemo("office", "disconnect")
    assert code == 0
    assert "No longer connected" in out
    assert PASSWORD not in password_file().read_text()
    code, out, err = cutmemo("list")
    assert '36"' in out
    assert "office" not in err
    assert Exchanger(maple.memo).look() is None


def test_a_wrong_password_connects_nothing(office: Office, cutmemo: Run, tmp_path: Path) -> None:
    site = office.site("maple")
    code, _, err = cutmemo("office", "connect", str(site.address), typed="wrong\n")
    assert code == 1
    assert "does not let this site in" in err
    assert read_link(site.memo) is None
    assert not password_file().exists()


def test_a_site_is_connected_before_it_has_a_network(office: Office, cutmemo: Run) -> None:
    site = office.site("maple")
    office.server.stop()
    try:
        code, _, err = cutmemo("office", "connect", str(site.address), typed=f"{PASSWORD}\n")
    finally:
        office.server.start()
    assert code == 0
    assert "entries are sent once it does" in err
    cutmemo("say", "36")
    assert cutmemo("office", "send")[1] == "1 sent, 0 came in.\n"


def test_two_machines_of_a_site_see_each_other_s_calls(
    maple: Site, cutmemo: Run, tmp_path: Path
) -> None:
    cutmemo("say", "36")
    cutmemo("office", "send")
    second = Site("maple", tmp_path / "second.cutmemo", maple.address, maple.password)
    assert second.exchange().received == 1
    desk = second.desk("saw")
    desk.clear()
    second.exchange()
    assert cutmemo("office", "send")[1] == "0 sent, 1 came in.\n"
    assert json.loads(cutmemo("--json", "list", "--all")[1])[0]["state"] == "cut"


def test_the_office_is_laid_out_and_a_site_let_in_from_the_command_line(
    office: Office, cutmemo: Run
) -> None:
    at = str(replace(office.address, database=f"{office.database}_new"))
    try:
        code, out, err = cutmemo("office", "prepare", "--at", at)
        assert (code, out) == (0, f"{at} is laid out.\n"), err
        assert cutmemo("office", "prepare", "--at", at)[1] == f"{at} is up to date.\n"
        code, out, _ = cutmemo("office", "site", "oak", "--title", "Oak Street", "--at", at)
        assert code == 0
        password = next(line for line in out.splitlines() if "password: " in line).split()[-1]
        address = office.server.site("oak", f"{office.database}_new")
        assert cutmemo("office", "connect", str(address), typed=password)[0] == 0
        cutmemo("say", "36")
        assert cutmemo("office", "send")[1] == "1 sent, 0 came in.\n"
        assert cutmemo("office", "bar", "oak", "--at", at)[0] == 0
        cutmemo("say", "48")
        assert cutmemo("office", "send")[0] == 1
    finally:
        from cutmemo.office.database.connect import connected

        with connected(office.server.office("postgres")) as connection:
            connection.execute(f"DROP DATABASE IF EXISTS {office.database}_new WITH (FORCE)")


async def test_the_screen_says_what_is_not_sent_and_the_saw_too(maple: Site) -> None:
    from cutmemo.tui.app import MemoApp
    from cutmemo.tui.widgets.marks import Marks

    desk = maple.desk()
    desk.call("36")
    app = MemoApp(desk)
    app._exchanger = Exchanger(maple.memo, look_seconds=3600)  # it looks when the test says so
    async with app.run_test(size=(100, 30)) as pilot:
        await pilot.pause()
        marks = app.screen.query_one(Marks)
        assert str(marks.render()) == "office: 1 not sent yet"
        await pilot.press("s")
        await pilot.pause()
        assert "office: 1 not sent yet" in "\n".join(str(each) for each in app.stage.memo.marks())
        await pilot.press("s")
        app._exchanger.look()
        app.stage.follow()
        await pilot.pause()
        assert str(app.screen.query_one(Marks).render()) == "office: all sent"


def test_the_thread_sends_while_the_work_goes_on(maple: Site, cutmemo: Run) -> None:
    """As the screen and the microphone run it."""
    import threading

    sent = threading.Event()
    exchanger = Exchanger(maple.memo, look_seconds=0.01)
    look = exchanger.look

    def looked() -> object:
        done = look()
        if done is not None and done.sent:
            sent.set()
        return done

    exchanger.look = looked  # type: ignore[method-assign, assignment]
    with exchanger:
        cutmemo("say", "36")
        assert sent.wait(30)
    assert not exchanger._thread.is_alive()


def test_what_is_called_during_an_exchange_is_not_taken_for_sent(
    maple: Site, cutmemo: Run, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It is written at every look at the file: before, between and behind what the exchange compares."""
    cutmemo("say", "36")
    follow = FileEnd.follow
    calls = iter(range(40, 200))

    def follow_and_call(end: FileEnd) -> None:
        follow(end)
        cutmemo("say", str(next(calls)))

    monkeypatch.setattr(FileEnd, "follow", follow_and_call)
    exchanger = Exchanger(maple.memo)
    assert exchanger.look() is not None
    monkeypatch.setattr(FileEnd, "follow", follow)
    status = json.loads(cutmemo("--json", "office", "status")[1])
    done = exchanger.look()
    assert done is not None
    assert status["not_sent"] == done.sent > 0
    assert "office: all sent" in cutmemo("list")[2]
