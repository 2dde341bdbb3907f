"""Shows the main job on the recordings that travel with the program, in a memo of its own."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

from cutmemo.asr import Recogniser, Recognition
from cutmemo.audio.recording import recording
from cutmemo.bundle import bundled
from cutmemo.errors import BadMemo, BadSound, CutmemoError, MemoFault, SoundFault
from cutmemo.memo import open_store
from cutmemo.memo.commands import Command, Hear, Order
from cutmemo.memo.rows import Row
from cutmemo.present import as_text
from cutmemo.service import Memo, Station
from cutmemo.wording import Told, choices, describe, explain, explain_error, tell, totals
from cutmemo.wording import verbs as words


def demo(recogniser: Callable[[], Recogniser], ask: bool, screen: bool, keep: Path | None) -> int:
    """Hear every recording, ask about the doubtful calls, cut the rest; return the exit status."""
    if keep is not None and keep.exists():
        raise BadMemo(keep, MemoFault.DEMO_EXISTS)
    with (
        tempfile.TemporaryDirectory(prefix="cutmemo-demo-") as folder,
        open_store(keep or Path(folder) / "demo.cutmemo") as store,
    ):
        station = Station(Memo(store), "demo", "demo")
        hear_all(station, recogniser)
        if screen:
            from cutmemo.tui import run_screen

            return run_screen(station)
        print(words.DEMO_AT_SAW)
        print(
            as_text(
                [*station.state.of_state("doubtful"), *station.state.open_rows()],
                station.state.settings,
            )
        )
        for row in station.state.of_state("doubtful"):
            _settle(station, row, ask)
        _cut_all(station, ask)
        print(words.demo_sums(totals(station.state)))
    return 0


def hear_all(station: Station, recogniser: Callable[[], Recogniser]) -> None:
    """Hear the recordings in the order of their names, and tell what became of each."""
    files = sorted(bundled("demo").glob("*.wav"))
    if not files:
        raise BadSound(bundled("demo"), SoundFault.NO_RECORDINGS)
    for file in files:
        for heard in recogniser().hear(recording(file)):
            if not isinstance(heard, Recognition):
                continue
            try:
                told = _told(station, Hear(heard))
            except CutmemoError as error:
                print(words.demo_refused(file.name, explain_error(error)))
                continue
            if told is not None:
                print(words.demo_heard(file.name, heard.text, told.happened, told.text))


def _told(station: Station, command: Command) -> Told | None:
    """Carry out *command*; return what came of it in words."""
    result = station.execute(command)
    return None if result is None else tell(result, station.memo.projection)


def _print(station: Station, command: Command) -> None:
    """Carry out *command* and print what came of it."""
    told = _told(station, command)
    print(told.text if told is not None else "")


def _settle(station: Station, row: Row, ask: bool) -> None:
    """Ask which reading is right; unattended, take the first and say so."""
    settings = station.state.settings
    print(words.demo_asks(row.number, " ".join(explain(each, settings) for each in row.doubts)))
    for number, cut in enumerate(choices(row.readings, settings), start=1):
        print(words.reading(number, cut))
    if not ask:
        told = _told(station, Order("answer", row.id, 1))
        print(words.demo_takes_first(told.text if told is not None else ""))
        return
    reply = input(words.DEMO_WHICH).strip()
    try:
        _print(
            station,
            Order("strike", row.id) if reply == "0" else Order("answer", row.id, int(reply or 1)),
        )
    except (CutmemoError, ValueError) as error:
        why = explain_error(error) if isinstance(error, CutmemoError) else error
        print(words.demo_struck(why))
        _print(station, Order("strike", row.id))


def _cut_all(station: Station, ask: bool) -> None:
    """Clear piece by piece, each by its row: no recording goes on."""
    print()
    while rows := station.state.open_rows():
        if ask:
            input(words.demo_cut(describe(rows[0].cut, station.state.settings)))
        _print(station, Order("clear", rows[0].id))
