"""Shows the main job on the recordings that travel with the program, in a memo of its own."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path

from cutmemo.asr import Recogniser, Recognition
from cutmemo.audio.recording import recording
from cutmemo.bundle import bundled
from cutmemo.errors import BadMemo, BadSound, CutmemoError
from cutmemo.memo import open_journal
from cutmemo.memo.state import Row
from cutmemo.present import as_text
from cutmemo.service import Session
from cutmemo.wording import verbs as words


def demo(recogniser: Callable[[], Recogniser], ask: bool, screen: bool, keep: Path | None) -> int:
    """Hear every recording, ask about the doubtful calls, cut the rest; return the exit status."""
    if keep is not None and keep.exists():
        raise BadMemo(keep, "it exists already, and the demo touches no memo of yours")
    with (
        tempfile.TemporaryDirectory(prefix="cutmemo-demo-") as folder,
        open_journal(keep or Path(folder) / "demo.cutmemo") as journal,
    ):
        session = Session(journal, station="demo", who="demo")
        hear_all(session, recogniser)
        if screen:
            from cutmemo.tui import run_screen

            return run_screen(session)
        print(words.DEMO_AT_SAW)
        print(
            as_text(
                [*session.queue.of_state("doubtful"), *session.queue.open_rows()],
                session.queue.settings,
            )
        )
        for row in session.queue.of_state("doubtful"):
            _settle(session, row, ask)
        _cut_all(session, ask)
        print(words.demo_sums(session.totals()))
    return 0


def hear_all(session: Session, recogniser: Callable[[], Recogniser]) -> None:
    """Hear the recordings in the order of their names, and tell what became of each."""
    files = sorted(bundled("demo").glob("*.wav"))
    if not files:
        raise BadSound(bundled("demo"), "there are no recordings")
    for file in files:
        for heard in recogniser().hear(recording(file)):
            if not isinstance(heard, Recognition):
                continue
            try:
                outcome = session.hear(heard)
            except CutmemoError as error:
                print(words.demo_refused(file.name, error))
                continue
            if outcome is not None:
                told = words.demo_heard(file.name, heard.text, outcome.happened, outcome.text)
                print(told)


def _settle(session: Session, row: Row, ask: bool) -> None:
    """Ask which reading is right; unattended, take the first and say so."""
    print(words.demo_asks(row.number, " ".join(row.reasons)))
    for number, cut in enumerate(row.readings, start=1):
        print(words.reading(number, session.shown(cut)))
    if not ask:
        print(words.demo_takes_first(session.answer(1, row.id).text))
        return
    reply = input(words.DEMO_WHICH).strip()
    try:
        outcome = (
            session.strike(row.id) if reply == "0" else session.answer(int(reply or 1), row.id)
        )
    except (CutmemoError, ValueError) as error:
        print(words.demo_struck(error))
        outcome = session.strike(row.id)
    print(outcome.text)


def _cut_all(session: Session, ask: bool) -> None:
    """Clear piece by piece."""
    print()
    while session.queue.open_rows():
        if ask:
            input(words.demo_cut(session.shown(session.queue.open_rows()[0].cut)))
        print(session.clear().text)
