"""Verbs about the whole memo: settings, order, sums, the day, the paper, and the way to other
machines.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from dataclasses import asdict
from fractions import Fraction
from pathlib import Path

from cutmemo.cli.output import as_it_is
from cutmemo.cli.run import DONE, Run, argument, print_json, verb
from cutmemo.domain.settings import SETTINGS
from cutmemo.errors import BadMemo, MemoFault
from cutmemo.memo.chain import Gap
from cutmemo.memo.codec import to_line
from cutmemo.memo.commands import ChangeSetting, SetOrder
from cutmemo.memo.locations import SUFFIX, memos
from cutmemo.memo.rows import ORDERS
from cutmemo.present import as_csv, as_plain, as_text
from cutmemo.present.handoff import days_as_text
from cutmemo.wording import describe_event, lost, totals
from cutmemo.wording import verbs as words

_MAX_DENOMINATOR = 10**40
_SETTING = (argument("setting", nargs="?", choices=SETTINGS), argument("value", nargs="?"))


@verb("manner", *_SETTING)
@verb("settings", *_SETTING)
def _settings(run: Run) -> int:
    name, value = run.arguments.setting, run.arguments.value
    if value is not None:
        return run.act(lambda _: ChangeSetting(name, value))
    with run.station() as station:
        plain = station.state.settings.to_plain()
        shown = {name: plain[name]} if name else plain
        if run.arguments.json:
            print_json(shown)
        else:
            for each in shown:
                print(words.setting_line(each, station.state.settings.written(each)))
        return DONE


@verb("order", argument("order", choices=ORDERS))
def _order(run: Run) -> int:
    return run.act(lambda _: SetOrder(run.arguments.order))


@verb("sums")
def _sums(run: Run) -> int:
    with run.station() as station:
        sums = station.state.sums
        if run.arguments.json:
            values = {name: getattr(sums, name) for name in sums.__slots__}
            print_json({name: v if isinstance(v, int) else _exact(v) for name, v in values.items()})
        else:
            print(totals(station.state))
        return DONE


def _exact(value: Fraction) -> str:
    """Return *value* exactly, or to a millionth where the fraction has more figures than any sum of
    a tape's.
    """
    if value.denominator > _MAX_DENOMINATOR:
        value = Fraction(round(value * 1_000_000), 1_000_000)
    return str(value)


@verb("day")
def _day(run: Run) -> int:
    with run.station() as station:
        memo = station.memo.projection
        gaps = {gap.event: gap for gap in memo.gaps}
        for event in memo.log:
            if event.id in gaps:
                _tell_gap(gaps.pop(event.id), run.arguments.json)
            if run.arguments.json:
                print(to_line(event))
            else:
                why, undone = getattr(event.payload, "why", None), not memo.counts(event)
                told = describe_event(event, memo)
                print(words.day_line(event.at, event.who, event.station, told, why, undone))
        for gap in gaps.values():
            _tell_gap(gap, run.arguments.json)
        if not run.arguments.json:
            print(days_as_text(memo))
        return DONE


def _tell_gap(gap: Gap, as_json: bool) -> None:
    """Print where entries are missing."""
    if as_json:
        print_json({"gap": asdict(gap)})
    else:
        print(words.gap_line(lost(gap)))


@verb("sheet", argument("--as", dest="form", choices=("text", "csv", "json"), default="text"))
def _sheet(run: Run) -> int:
    with run.station() as station:
        state, settings = station.state, station.state.settings
        rows = [
            *state.of_state("doubtful"),
            *state.open_rows(),
            *state.of_state("cut"),
            *state.of_state("struck"),
        ]
        if run.arguments.form == "json" or run.arguments.json:
            print_json([as_plain(row, settings) for row in rows])
        else:
            print(
                as_csv(rows, settings) if run.arguments.form == "csv" else as_text(rows, settings)
            )
        return DONE


@verb("export")
def _export(run: Run) -> int:
    with run.station() as station, as_it_is():
        for event in station.memo.projection.log:
            if not event.damaged:  # told when the memo was opened; nobody may take it for sound
                print(to_line(event))
        return DONE


@verb("import", argument("file"))
def _import(run: Run) -> int:
    lines = _lines_of(run.arguments.file)
    with run.station() as station:
        new = station.memo.take_in(_counted(lines))
        if run.arguments.json:
            print_json({"new": new})
        else:
            print(words.imported(new))
        return DONE


def _counted(lines: list[str], clock: Callable[[], float] = time.monotonic) -> Iterator[str]:
    """Yield *lines*; where that takes more than a second, tell every second how far it is."""
    due = clock() + 1
    for number, line in enumerate(lines, start=1):
        yield line
        if clock() >= due:
            print(words.import_at(number, len(lines)), file=sys.stderr)
            due = clock() + 1


def _lines_of(name: str) -> list[str]:
    """Return the lines of a file, or of standard input for "-". Raises :class:`BadMemo`."""
    try:
        raw = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
        return raw.decode("utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise BadMemo(name, getattr(error, "strerror", None) or MemoFault.NO_TEXT) from error


@verb("rescue", argument("--to", metavar="FILE", type=Path))
def _rescue(run: Run) -> int:
    from cutmemo.memo.rescue import rescue  # deferred: hardly ever needed

    done = rescue(run.memo, run.arguments.to or _beside(run.memo))
    if run.arguments.json:
        print_json(
            {
                "memo": str(done.memo),
                "read": done.read,
                "copied": done.copied,
                "damaged": [
                    {name: getattr(event, name) for name in ("id", "at", "station", "who", "kind")}
                    for event in done.damaged
                ],
                "gaps": [asdict(gap) for gap in done.gaps],
                "receipts_lost": done.receipts_lost,
            }
        )
        return DONE
    print(words.rescued(str(done.memo), done.read, done.copied))
    for event in done.damaged:
        print(words.not_rescued(event.at, event.who, event.station, event.kind))
    for gap in done.gaps:
        print(words.gap_line(lost(gap)))
    if done.receipts_lost:
        print(words.RECEIPTS_LOST)
    elif not done.damaged and not done.gaps:
        print(words.ALL_RESCUED)
    return DONE


def _beside(memo: Path) -> Path:
    """Return a file for a new memo beside a damaged one."""
    names = (f"{memo.stem}-rescued{number}" for number in ("", *range(2, 1000)))
    return next(path for name in names if not (path := memo.with_name(f"{name}{SUFFIX}")).exists())


@verb("memos")
def _memos(run: Run) -> int:
    found = memos()
    if run.arguments.json:
        print_json([str(path) for path in found])
    else:
        for path in found:
            print(words.memo_line(path.stem, str(path)))
        if not found:
            print(words.NO_MEMO, file=sys.stderr)
    return DONE
