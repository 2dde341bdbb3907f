"""Import takes only what can be: every refusal names the line, and what is taken breaks no verb."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from desk import Desk, rehashed

from cutmemo.cli import main
from cutmemo.cli.memo import _counted
from cutmemo.memo import open_store
from cutmemo.memo.codec import MAX_LINE, to_line
from cutmemo.memo.commands import PrintBoards, ReleaseBoards

Plain = dict[str, Any]
Change = Callable[[Plain], object]

CALLS = (
    "10 2x4 16 footers",
    "2 @ 36 2x4 stud for W1",
    "71-3/8 2x4 plumb 7/12 long point",
    "wall 12' high 97-1/8",
    "six two",
    "48 2x6",
)


@pytest.fixture(scope="module")
def lines(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """Return one line of each kind of event, by its kind."""
    with open_store(tmp_path_factory.mktemp("sound") / "m.cutmemo") as store:
        desk = Desk(store, "ladder", "ann")
        for said in CALLS:
            desk.call(said)
        desk.answer(1)
        desk.clear()
        desk.put_back()
        desk.clear()
        desk.spoil("short")
        desk.call("no, make that 49")
        desk.hold()
        desk.release()
        desk.skip()
        desk.strike(desk.find("2").id)
        desk.put_back()
        desk.undo()
        desk.redo()
        desk.set_setting("kerf", "3/32")
        desk.set_order("saw")
        desk.change_boards("1", count=3)
        desk.done(PrintBoards())
        desk.done(ReleaseBoards())
        return {event.kind: to_line(event) for event in desk.log}


def deep(levels: int) -> Any:
    value: Any = "x"
    for _ in range(levels):
        value = [value]
    return value


def cut(**changes: object) -> Change:
    return lambda plain: plain["payload"]["cut"].update(changes)


def payload(**changes: object) -> Change:
    return lambda plain: plain["payload"].update(changes)


def head(**changes: object) -> Change:
    return lambda plain: plain.update(changes)


def end(**changes: object) -> Change:
    return lambda plain: plain["payload"]["cut"].update(ends=[changes, {}])


def section(**changes: object) -> Change:
    return lambda plain: plain["payload"]["cut"].update(
        section={"thickness": "2", "width": "4", **changes}
    )


def plan(**changes: object) -> Change:
    return lambda plain: plain["payload"]["sawn"][0]["stretches"][0].update(changes)


def planned(**changes: object) -> Change:
    return lambda plain: plain["payload"]["sawn"][0]["stretches"][0]["pieces"][0].update(changes)


def on_page(**changes: object) -> Change:
    return lambda plain: plain["payload"]["plans"][0].update(changes)


def own(name: str) -> Change:
    """Let a field of the payload be the event's own id."""
    return lambda plain: plain["payload"].update({name: plain["id"]})


REFUSED: list[tuple[str, str, Change]] = [
    # --- numbers no piece of wood has
    ("page of other plans", "boards printed", payload(page="x")),
    ("place below nothing", "boards printed", on_page(place=-1)),
    ("printed board of no inch", "boards printed", on_page(inches="0")),
    ("count of nothing", "cut added", cut(count=0)),
    ("count below nothing", "cut added", cut(count=-4)),
    ("count past all wood", "cut added", cut(count=10**12)),
    ("count with a part", "cut added", cut(count=2.7)),
    ("count that is true", "cut added", cut(count=True)),
    ("count as text", "cut added", cut(count="4")),
    ("count of 400 figures", "cut added", cut(count=10**400)),
    ("length of nothing", "cut added", cut(length={"inches": "0"})),
    ("length below nothing", "cut added", cut(length={"inches": "-36"})),
    ("length no float holds", "cut added", cut(length={"inches": "1e400"})),
    ("length of 5,000 figures", "cut added", cut(length={"inches": "9" * 5000})),
    ("length Infinity", "cut added", cut(length={"inches": "Infinity"})),
    ("length NaN", "cut added", cut(length={"inches": "nan"})),
    ("length over nothing", "cut added", cut(length={"inches": "1/0"})),
    ("length as a number", "cut added", cut(length={"inches": 36})),
    ("length as a float", "cut added", cut(length={"inches": 36.5})),
    ("length past all wood", "cut added", cut(length={"inches": "1000001"})),
    ("length with a fine part past counting", "cut added", cut(length={"inches": "1/" + "9" * 41})),
    ("length in other figures", "cut added", cut(length={"inches": "３６"})),
    ("length with a space", "cut added", cut(length={"inches": "36 1/2"})),
    ("length as text alone", "cut added", cut(length="36")),
    ("length left out", "cut added", lambda plain: plain["payload"]["cut"].pop("length")),
    ("no cut", "cut added", lambda plain: plain["payload"].pop("cut")),
    ("cut as a list", "cut added", payload(cut=[36, 1])),
    ("cut as nothing", "cut added", payload(cut=None)),
    ("allowance as a list", "cut added", cut(allowance=[1, 2, 3])),
    ("allowance to no side", "cut added", cut(allowance={"word": "a hair", "side": "beside"})),
    ("section of a number", "cut added", section(material=5)),
    ("section of nothing thick", "cut added", section(thickness="0")),
    ("section thick below nothing", "cut added", section(thickness="-2")),
    ("section past all wood", "cut added", section(width="999999999")),
    ("piece as an object", "cut added", cut(piece={})),
    ("place as a list", "cut added", cut(place=["W1"])),
    ("note as a number", "cut added", cut(note=3)),
    ("rise as text", "cut added", end(kind="plumb", rise="7")),
    ("rise below nothing", "cut added", end(kind="plumb", rise=-7)),
    ("rise past all roofs", "cut added", end(kind="plumb", rise=10**9)),
    ("miter no float holds", "cut added", end(kind="angled", miter="1e400")),
    ("miter past a right angle", "cut added", end(kind="angled", miter="90")),
    ("bevel below nothing", "cut added", end(kind="angled", bevel="-1")),
    ("end of no kind", "cut added", end(kind="bird")),
    ("point of no kind", "cut added", end(kind="plumb", rise=7, point="middle")),
    ("three ends", "cut added", cut(ends=[{}, {}, {}])),
    ("one end", "cut added", cut(ends=[{}])),
    ("doubt of no kind", "cut added", payload(doubts=[{"kind": "worry"}])),
    ("doubts as text", "cut added", payload(doubts="none")),
    ("hypotheses without figures", "cut added", payload(hypotheses=[["thirty six"]])),
    ("said as a number", "cut added", payload(said=36)),
    ("by voice as text", "cut added", payload(by_voice="yes")),
    ("a field nobody knows", "cut added", payload(deduct="1/2")),
    ("a field in the cut nobody knows", "cut added", cut(deduct="1/2")),
    ("a row without a name", "cut added", payload(row=None)),
    ("readings that cannot be", "cut added", payload(readings=[{"length": {"inches": "0"}}])),
    # --- other kinds
    ("pieces below nothing", "pieces cleared", payload(pieces=-1)),
    ("pieces past counting", "pieces cleared", payload(pieces=10**400)),
    ("a left-over of nothing", "pieces cleared", payload(boards=[{"lot": "a", "rests": [{"lot": "b", "section": None, "inches": "0"}]}])),
    ("a plan of a board below nothing", "pieces cleared", plan(inches="-1")),
    ("a plan of a board past all wood", "pieces cleared", plan(inches="1000001")),
    ("a plan that starts below nothing", "pieces cleared", plan(start="-1")),
    ("a kerf below nothing", "pieces cleared", plan(kerf="-1/8")),
    ("a plan of another board", "pieces cleared", plan(board="other")),
    ("a plan of no section there is", "pieces cleared", plan(section={"thickness": "-2", "width": "4"})),
    ("a piece past the end of its board", "pieces cleared", planned(start="9999")),
    ("a piece before its board", "pieces cleared", planned(start="-1")),
    ("a piece of nothing", "pieces cleared", planned(inches="0")),
    ("put back below nothing", "pieces put back", payload(pieces=-1)),
    ("spoiled for a number", "piece spoiled", payload(reason=7)),
    ("an order nobody knows", "order set", payload(order="by colour")),
    ("settings as a list", "manner set", payload(settings=[1])),
    ("a setting as an object", "manner set", payload(settings={"kerf": {}})),
    ("boards of nothing", "boards added", payload(inches="0")),
    ("boards below nothing", "boards added", payload(count=-1)),
    ("a price no float holds", "boards added", payload(price="1e999")),
    ("a price below nothing", "boards added", payload(price="-1")),
    ("a bad part past the end", "boards added", payload(bad=[["0", "9999"]])),
    ("a bad part backwards", "boards added", payload(bad=[["40", "30"]])),
    ("boards changed below nothing", "boards changed", payload(count=-1)),
    ("boards changed to a length below nothing", "boards changed", payload(inches="-1")),
    ("an assembly row that cannot be", "cuts added", lambda plain: plain["payload"]["rows"][0]["cut"].update(count=0)),
    ("an assembly with one row twice", "cuts added", lambda plain: plain["payload"]["rows"].append(plain["payload"]["rows"][0])),
    ("an assembly without rows", "cuts added", payload(rows=[])),
    ("an undo of itself", "event undone", own("event")),
    ("a redo of itself", "event redone", own("event")),
    # --- around the payload
    ("built on itself", "cut added", lambda plain: plain.update(after=[plain["id"]])),
    ("built on text", "cut added", head(after="abc")),
    ("built on nothing", "cut added", head(after=None)),
    ("built on a number", "cut added", head(after=[5])),
    ("no id", "cut added", head(id="")),
    ("an id that is a list", "cut added", head(id=["a"])),
    ("an id that hides a sign", "cut added", head(id="a\x1b[2J")),
    ("an id past all ids", "cut added", head(id="a" * 1_001)),
    ("a name past all names", "cut added", head(who="a" * 100_000)),
    ("no time", "cut added", head(at="noon")),
    ("a time as a number", "cut added", head(at=7)),
    ("a version below nothing", "cut added", head(version=-1)),
    ("a version with a part", "cut added", head(version=1.5)),
    ("a version past counting", "cut added", head(version=2**80)),
    ("a number below nothing", "cut added", head(number=-1)),
    ("a number past counting", "cut added", head(number=2**80)),
    ("a hash of another entry", "cut added", head(hash="0" * 32)),
    ("a payload as text", "cut added", head(payload="36")),
    ("half a sign in the place", "cut added", cut(place="\ud800")),
    ("half a sign in the name", "cut added", head(who="\udfff")),
    ("deep JSON", "cut added", payload(said=deep(400))),
    ("JSON past all depth", "cut added", payload(said=deep(100_000))),
]  # fmt: skip

TAKEN: list[tuple[str, str, Change]] = [
    ("the longest there is", "cut added", cut(length={"inches": "1000000"})),
    ("the finest there is", "cut added", cut(length={"inches": "1/999999999"})),
    ("the most pieces there are", "cut added", cut(count=1_000_000)),
    ("a steep angle", "cut added", end(kind="angled", miter="89", point="long")),
    ("markup in a place", "cut added", cut(place="[red]<script>alert(1)</script>[/red]")),
    ("a formula in a place", "cut added", cut(place='=HYPERLINK("x")')),
    ("signs that steer a terminal", "cut added", cut(place="W1\x1b[2J\u202e")),
    ("a place of 10,000 signs", "cut added", cut(place="W" * 10_000)),
    ("a row that is not here", "pieces cleared", payload(row="nobody", boards=[], sawn=[])),
    ("a lot that is not here", "boards changed", payload(lot="nobody")),
    ("an event that is not here", "event undone", payload(event="nobody")),
    ("built on what is not here", "cut added", head(after=["nobody"])),
    ("a kind nobody knows", "cut added", head(kind="cut praised")),
    ("a newer version", "cut added", head(version=99)),
    ("a setting nobody knows", "manner set", payload(settings={"blade": "10"})),
    ("a setting that cannot be", "manner set", payload(settings={"kerf": "1e400", "fineness": "²"})),
    ("a kerf longer than a board", "manner set", payload(settings={"kerf": "99999"})),
    ("a time without an offset", "cut added", head(at="2026-03-02T07:30:00")),
    ("a time before all clocks", "cut added", head(at="0001-01-01T00:00:00+23:59")),
    ("a time after all clocks", "cut added", head(at="9999-12-31T23:59:59-23:59")),
    ("no pieces", "pieces cleared", payload(pieces=0, boards=[], sawn=[])),
    ("more pieces than called", "pieces cleared", payload(pieces=1_000_000, boards=[], sawn=[])),
    ("spoiled for a story", "piece spoiled", payload(reason="dropped off the roof", boards=[], sawn=[])),
    ("cut as another length", "pieces cleared", lambda plain: plain["payload"].update(boards=[], sawn=[], cut=plain["payload"]["cut"] | {"length": {"inches": "999"}})),
    ("a set that is not here", "row held", head(kind="set confirmed", payload={"assembly": "nobody"})),
    ("no boards", "boards added", payload(count=0)),
    ("the price of a house", "boards added", payload(price="999999999")),
]  # fmt: skip

VERBS = (
    ("list", "--all"), ("list", "--json"), ("sums",), ("day",), ("sheet",), ("sheet", "--as", "csv"),
    ("sheet", "--as", "json"), ("rack",), ("boards",), ("boards", "--as", "html"), ("yard",),
    ("handoff",), ("handoff", "--json"), ("settings",), ("export",), ("order", "longest"),
    ("say", "33-1/2 2x4"), ("say", "48 2x6"), ("say", "no, make that 35"), ("clear",), ("back",), ("trouble", "short"),
    ("hold",), ("release",), ("undo",), ("redo",),
)  # fmt: skip


def changed(line: str, change: Change) -> str:
    """Return *line* as somebody might forge it: changed, with a hash that fits."""
    plain = json.loads(line) | {"id": "forged"}
    del plain["hash"]
    change(plain)
    try:
        forged = json.dumps(plain)
        return forged if "hash" in plain else rehashed(forged)
    except RecursionError:
        levels = 100_000
        plain["payload"]["said"] = "DEEP"
        return json.dumps(plain).replace('"DEEP"', "[" * levels + "]" * levels)


def sound(path: Path, lines: dict[str, str]) -> None:
    """Make a memo of all that *lines* need, but for what they add."""
    with open_store(path) as store:
        Desk(store, "ladder", "ann").take_in(list(lines.values()))


@pytest.mark.parametrize(("name", "kind", "change"), REFUSED, ids=[each[0] for each in REFUSED])
def test_what_cannot_be_is_refused_by_its_line_and_nothing_is_taken(
    name: str, kind: str, change: Change, lines: dict[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:  # fmt: skip
    path, file = tmp_path / "m.cutmemo", tmp_path / "forged.jsonl"
    file.write_text("\n".join([lines["order set"], "", changed(lines[kind], change)]), "utf-8")
    assert main(["--memo", str(path), "import", str(file)]) == 1
    assert capsys.readouterr().err.startswith("Line 3 cannot be read (")
    with open_store(path) as store:
        assert store.events() == []


@pytest.mark.parametrize(("name", "kind", "change"), TAKEN, ids=[each[0] for each in TAKEN])
def test_what_is_odd_and_can_be_breaks_no_verb(
    name: str, kind: str, change: Change, lines: dict[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:  # fmt: skip
    path, file = tmp_path / "m.cutmemo", tmp_path / "odd.jsonl"
    adds = kind in ("cut added", "boards added")  # what adds a row comes instead of the sound one
    kept = {each: line for each, line in lines.items() if not (adds and each == kind)}
    sound(path, kept)
    file.write_text(changed(lines[kind], change), "utf-8")
    assert main(["--memo", str(path), "import", str(file)]) == 0
    assert capsys.readouterr().out == "1 new.\n"
    for verb in VERBS:
        code = main(["--memo", str(path), *verb])
        told = capsys.readouterr()
        assert code in (0, 1)
        assert "in cutmemo itself" not in told.err, verb
        assert "<script" not in told.out or verb[-1] != "html"


def test_sums_of_fractions_that_share_nothing_are_still_told(
    lines: dict[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    forged = []
    for number in range(300):
        plain = json.loads(lines["cut added"]) | {"id": f"forged{number}"}
        del plain["hash"]
        plain["payload"]["row"] = f"row{number}"
        plain["payload"]["cut"]["length"]["inches"] = (
            f"{36 * (10**20 + number) + 1}/{10**20 + number}"
        )
        forged.append(rehashed(json.dumps(plain)))
    file = tmp_path / "many.jsonl"
    file.write_text("\n".join(forged), "utf-8")
    assert main(["--memo", str(tmp_path / "m.cutmemo"), "import", str(file)]) == 0
    capsys.readouterr()
    for verb in (("sums", "--json"), ("sums",), ("list",), ("sheet", "--as", "json"), ("handoff",)):
        assert main(["--memo", str(tmp_path / "m.cutmemo"), *verb]) == 0
        assert "in cutmemo itself" not in capsys.readouterr().err


def test_an_import_that_takes_long_tells_every_second_how_far_it_is(
    capsys: pytest.CaptureFixture[str],
) -> None:
    seconds = iter(range(100))  # each look at the clock is a second later
    assert list(_counted(["a", "b", "c"], lambda: next(seconds))) == ["a", "b", "c"]
    assert capsys.readouterr().err.splitlines() == [
        "Line 1 of 3 is read.",
        "Line 2 of 3 is read.",
        "Line 3 of 3 is read.",
    ]
    halves = (n / 2 for n in range(100))
    assert list(_counted(["a", "b", "c", "d"], lambda: next(halves))) == ["a", "b", "c", "d"]
    assert capsys.readouterr().err.splitlines() == ["Line 2 of 4 is read.", "Line 4 of 4 is read."]
    assert list(_counted(["a"] * 50, lambda: 7.0)) == ["a"] * 50
    assert capsys.readouterr().err == ""


def test_a_line_that_is_too_long_is_named_and_not_echoed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "long.jsonl"
    file.write_text('{"id": "' + "x" * MAX_LINE + '"}', "utf-8")
    assert main(["--memo", str(tmp_path / "m.cutmemo"), "import", str(file)]) == 1
    assert (
        capsys.readouterr().err == "Line 1 cannot be read (it is too long). Nothing was imported.\n"
    )


def test_corrections_that_name_each_other_keep_nobody_waiting(
    lines: dict[str, str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    def correction(name: str, of: str) -> str:
        plain = json.loads(lines["cut changed"]) | {"id": name}
        plain["payload"]["row"] = of
        return rehashed(json.dumps(plain))

    path, file = tmp_path / "m.cutmemo", tmp_path / "forged.jsonl"
    sound(path, lines)
    file.write_text("\n".join([correction("a", "b"), correction("b", "a")]), "utf-8")
    assert main(["--memo", str(path), "import", str(file)]) == 0
    for verb in VERBS:
        assert main(["--memo", str(path), *verb]) in (0, 1)
        assert "in cutmemo itself" not in capsys.readouterr().err, verb
