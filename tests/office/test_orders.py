"""What the one who orders sees: the database says what the memos of the sites say."""

from __future__ import annotations

import contextlib
import json
import random
from pathlib import Path

import pytest
from office.sites import Office, Site

from cutmemo import cli
from cutmemo.errors import CutmemoError
from cutmemo.memo.commands import ChangeSetting
from cutmemo.memo.goods import SentPieces
from cutmemo.office.reading import open_office
from cutmemo.office.sites import Site as Known
from cutmemo.office.sites import on_the_way


@pytest.fixture
def apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Touch nothing of the person who runs the tests."""
    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path))
    monkeypatch.setenv("CUTMEMO_CONFIG", str(tmp_path / "config.toml"))
    monkeypatch.delenv("CUTMEMO_MEMO", raising=False)


def named(office: Office, names: dict[str, str]) -> list[Site]:
    """Return sites that call themselves something else than the office does."""
    sites = [office.site(name) for name in names]
    for site in sites:
        site.desk("saw", "ann").execute(ChangeSetting("site", names[site.name]))
    return sites


def told(capsys: pytest.CaptureFixture[str], *words: str) -> dict[str, object]:
    assert cli.main(["office", *words, "--json"]) == 0
    found: dict[str, object] = json.loads(capsys.readouterr().out)
    return found


def but_for_silence(plain: dict[str, object]) -> dict[str, object]:
    """Return *plain* without when each site was heard from: the office knows it better."""
    out = [{**each, "silent_since": ""} for each in plain.get("left_out", [])]  # type: ignore
    return {**plain, "left_out": [each for each in out if any(list(each.values())[1:])]}


def test_the_order_and_the_hand_off_are_the_same_from_the_database_and_from_the_memos(
    office: Office, apart: None, capsys: pytest.CaptureFixture[str]
) -> None:
    names = {"maple": "Maple House", "oak": "Oak House"}
    maple, oak = named(office, names)
    here, there = maple.desks[0], oak.desks[0]
    for call in ("9 @ 47 2x4 block", "3 @ 101-1/2", "2 2x4 16 footers", "six two 2x4"):
        here.call(call)
    for call in ("3 @ 47 2x4", "4 @ 38-1/2 2x6 header", "1 2x6 12 footer"):
        there.call(call)
    here.clear()
    here.call("send row 1 to Oak House")
    for site in (maple, oak):
        site.exchange()
    tally = office.tally()
    oak.exchange()
    while tally.keep_up():
        pass
    files = ("--from", str(maple.memo), str(oak.memo))
    at = ("--at", str(office.address))
    for words in (("yard",), ("yard", "--by-site"), ("handoff",)):
        database, memos = told(capsys, *words, *at), told(capsys, *words, *files)
        assert but_for_silence(database) == but_for_silence(memos)
    assert cli.main(["office", "yard", "--page", str(maple.memo.parent / "order.html"), *at]) == 0
    assert "<svg" in (maple.memo.parent / "order.html").read_text("utf-8")


@pytest.mark.parametrize("seed", range(4))
def test_every_piece_and_board_is_at_one_place_whatever_the_network_does(
    office: Office, seed: int
) -> None:
    """Sites act, exchange and are passed on to at random; at the end all is exchanged."""
    chance = random.Random(seed)
    names = {"maple": "Maple House", "oak": "Oak House", "elm": "Elm House"}
    sites = named(office, names)
    tally = office.tally()

    def pass_on() -> None:
        while tally.keep_up():
            pass

    def act(site: Site, other: str) -> None:
        desk = site.desks[0]
        acts = [
            lambda: desk.call(f"{chance.randint(1, 3)} @ {chance.choice([30, 36])} 2x6"),
            lambda: desk.clear(all_left=True),
            lambda: desk.call(f"{chance.randint(1, 2)} 2x4 8 footers"),
            lambda: desk.call(f"send row {chance.randint(1, 3)} to {other}"),
            lambda: desk.call(f"send board {chance.randint(1, 3)} to {other}"),
            lambda: desk.call(f"load {chance.randint(1, 3)} arrived"),
            lambda: desk.call("arrived"),
            lambda: desk.call(f"refuse load {chance.randint(1, 3)}"),
            lambda: desk.undo(),
            lambda: site.exchange(),
            lambda: site.exchange(),
            pass_on,
        ]
        with contextlib.suppress(CutmemoError):
            chance.choice(acts)()
            desk.memo.follow()

    for _ in range(70):
        site = chance.choice(sites)
        act(site, chance.choice([name for name in names.values() if name != names[site.name]]))
    for _ in range(3):
        for site in sites:
            site.exchange()
            site.desks[0].memo.follow()
        pass_on()
    states = {site.name: site.desks[0].state for site in sites}
    with open_office(office.address) as reader:
        known = reader.states()
    assert {name: known[name].moves for name in states} == {
        name: state.moves for name, state in states.items()
    }
    left = [move for state in states.values() for move in state.moves if move.going]
    ends = {
        move.id: {each.standing for s in states.values() for each in s.moves if each.id == move.id}
        for move in left
    }
    assert all(len(each) == 1 for each in ends.values())
    boards = [move for move in left if not isinstance(move.goods, SentPieces)]
    added = sum(
        event.payload.count
        for site in sites
        for event in site.desks[0].log
        if event.kind == "boards added" and site.desks[0].counts(event)
    )
    racked = sum(lot.count for state in states.values() for lot in state.rack.lots)
    underway = sum(move.gone for move in boards if move.standing == "on its way")
    assert racked + underway == added
    rows = [row for state in states.values() for row in state.rows.values()]
    pieces = [move for move in left if isinstance(move.goods, SentPieces)]
    underway = sum(move.gone for move in pieces if move.standing == "on its way")
    assert sum(row.at_hand for row in rows) + underway == sum(row.cut_here for row in rows)
    seen = on_the_way([Known(name, state) for name, state in states.items()])
    assert {move.id for move in seen} == {m.id for m in left if m.standing == "on its way"}
