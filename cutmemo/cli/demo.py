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
        print("\nThe memo at the saw:\n")
        print(
            as_text(
                [*session.queue.of_state("doubtful"), *session.queue.open_rows()],
                session.queue.settings,
            )
        )
        for row in session.queue.of_state("doubtful"):
            _settle(session, row, ask)
        _cut_all(session, ask)
        print(f"\n{session.totals()}")
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
                print(f"{file.name:28} refused: {error}")
                continue
            if outcome is not None:
                print(f"{file.name:28} “{heard.text}”\n{'':28} {outcome.happened}: {outcome.text}")


def _settle(session: Session, row: Row, ask: bool) -> None:
    """Ask which reading is right; unattended, take the first and say so."""
    print(f"\nRow {row.number} asks: {' '.join(row.reasons)}")
    for number, cut in enumerate(row.readings, start=1):
        print(f"  {number}: {session.shown(cut)}")
    if not ask:
        print(f"  (nobody here to answer: the demo takes 1) {session.answer(1, row.id).text}")
        return
    reply = input("Which one, or 0 to strike it? ").strip()
    try:
        outcome = (
            session.strike(row.id) if reply == "0" else session.answer(int(reply or 1), row.id)
        )
    except (CutmemoError, ValueError) as error:
        print(f"{error} — struck.")
        outcome = session.strike(row.id)
    print(outcome.text)


def _cut_all(session: Session, ask: bool) -> None:
    """Clear piece by piece."""
    print()
    while session.queue.open_rows():
        if ask:
            input(
                f"At the saw: {session.shown(session.queue.open_rows()[0].cut)}. Enter when one is cut. "
            )
        print(session.clear().text)
