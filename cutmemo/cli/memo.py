"""Verbs about the whole memo: settings, order, sums, the day, the paper, and the way to other machines."""

from __future__ import annotations

import sys
from pathlib import Path

from cutmemo.cli.run import DONE, Run, argument, print_json, verb
from cutmemo.domain.settings import SETTINGS
from cutmemo.errors import BadMemo
from cutmemo.memo.locations import memos
from cutmemo.memo.state import ORDERS
from cutmemo.present import as_csv, as_plain, as_text
from cutmemo.wording import verbs as words

_SETTING = (argument("setting", nargs="?", choices=SETTINGS), argument("value", nargs="?"))


@verb("manner", *_SETTING)
@verb("settings", *_SETTING)
def _settings(run: Run) -> int:
    name, value = run.arguments.setting, run.arguments.value
    if value is not None:
        return run.act(lambda session: session.set_manner(name, value))
    with run.session() as session:
        plain = session.queue.settings.to_plain()
        shown = {name: plain[name]} if name else plain
        if run.arguments.json:
            print_json(shown)
        else:
            for each, current in shown.items():
                print(words.setting_line(each, current))
        return DONE


@verb("order", argument("order", choices=ORDERS))
def _order(run: Run) -> int:
    return run.act(lambda session: session.set_order(run.arguments.order))


@verb("sums")
def _sums(run: Run) -> int:
    with run.session() as session:
        sums = session.queue.sums
        if run.arguments.json:
            values = {name: getattr(sums, name) for name in sums.__slots__}
            print_json({name: v if isinstance(v, int) else str(v) for name, v in values.items()})
        else:
            print(session.totals())
        return DONE


@verb("day")
def _day(run: Run) -> int:
    with run.session() as session:
        for event in session.queue.events:
            if run.arguments.json:
                print(event.to_line())
            else:
                why, undone = event.payload.get("why"), not session.queue.lives(event)
                told = session.told(event)
                print(words.day_line(event.at, event.who, event.station, told, why, undone))
        if not run.arguments.json:
            print(session.sums_by_day())
        return DONE


@verb("sheet", argument("--as", dest="form", choices=("text", "csv", "json"), default="text"))
def _sheet(run: Run) -> int:
    with run.session() as session:
        queue, settings = session.queue, session.queue.settings
        rows = [
            *queue.of_state("doubtful"),
            *queue.open_rows(),
            *queue.of_state("cut"),
            *queue.of_state("struck"),
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
    with run.session() as session:
        for event in session.queue.events:
            print(event.to_line())
        return DONE


@verb("import", argument("file"))
def _import(run: Run) -> int:
    lines = _lines_of(run.arguments.file)
    with run.session() as session:
        new = session.take_in(lines)
        if run.arguments.json:
            print_json({"new": new})
        else:
            print(words.imported(new))
        return DONE


def _lines_of(name: str) -> list[str]:
    """Return the lines of a file, or of standard input for "-". Raises :class:`BadMemo`."""
    try:
        raw = sys.stdin.buffer.read() if name == "-" else Path(name).read_bytes()
        return raw.decode("utf-8").splitlines()
    except (OSError, UnicodeDecodeError) as error:
        raise BadMemo(name, getattr(error, "strerror", None) or "it is no text") from error


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
