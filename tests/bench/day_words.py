"""Reads whole days of calls of our own invention, by hand: python tests/bench/day_words.py

Of the days in the folder days with a meaning beside each call it prints how many are right, ask
with the right one among the readings, ask without it, are refused, and are wrong in silence. The
calls of each one_memo are typed into one memo, a minute apart, each question answered before the
next; printed is how many of them ask, and why.
"""

from __future__ import annotations

import random
import sys
import tempfile
from collections import Counter
from contextlib import suppress
from datetime import UTC, datetime, timedelta
from fractions import Fraction as F
from pathlib import Path

import words

from cutmemo.domain.cut import Cut
from cutmemo.domain.settings import Settings
from cutmemo.errors import CutmemoError, NotACall
from cutmemo.language import (
    BoardsCall,
    CallList,
    Change,
    Command,
    FromRow,
    OnRow,
    Reading,
    read,
    read_typed,
    split_calls,
)
from cutmemo.memo import open_store
from cutmemo.memo.commands import Order, Say
from cutmemo.service import Memo, Place, Station
from cutmemo.wording import explain_error

DAYS = Path(__file__).parent / "days"
ONE_MEMO = "one_memo*.txt"
"""Days that are typed into one memo each."""
SETTINGS = "# settings "
"""Begins the line of a day that is read under other settings."""


def inches(text: str) -> F:
    whole, _, part = text.strip().partition("-")
    return F(whole) + (F(part) if part else 0)


def shown(reading: Reading) -> str:
    """Return what *reading* means in the notation of the days."""
    match reading.intent:
        case Cut() as said:
            rest = (str(said.allowance or ""), said.ends_shown(), said.note or "")
            noted = " ".join(x.strip() for x in rest if x)
            parts = (said.section, said.piece, said.place, noted)
            counted = f"{said.count}x{said.length.inches}"
            text = "|".join([counted, *(str(part or "") for part in parts)])
        case Change() as said:
            text = f"Change {changed(said)}"
        case Command(verb=verb):
            text = f"Order {verb}"
        case OnRow(intent=Command(verb=verb)) as said:
            text = f"OnRow {named_row(said)} {verb}"
        case OnRow(intent=Change() as change) as said:
            text = f"OnRow {named_row(said)} {changed(change)}"
        case FromRow(row=row, more=more) as said:
            text = f"FromRow {said.piece or row or 'last'} "
            if said.pieces or said.times > 1:
                text += f"{said.pieces:+d} pieces" if said.pieces else f"×{said.times} pieces"
            else:
                text += f"{abs(more)} {'longer' if more > 0 else 'shorter'}"
        case BoardsCall() as said:
            kinds = (said, *said.more)
            text = " // ".join(f"Boards {x.count}x{x.length.inches} {x.section}" for x in kinds)
        case other:
            text = repr(other)
    return text


def named_row(said: OnRow) -> str:
    """Return which row is named: its number, its piece, the last; 0 where it is by its length."""
    return said.piece or ("last" if said.row is None else str(said.row))


def changed(said: Change) -> str:
    """Return what a change names: 3×, inches, size, piece, place."""
    parts = (
        f"{said.count}×" if said.count else "",
        str(said.length.inches) if said.length else "",
        *(str(each or "") for each in (said.section, said.piece, said.place)),
    )
    return " ".join(part for part in parts if part)


def meant(text: str, unit: F = F(1)) -> tuple[str, bool]:
    """Return what is meant, and whether it may ask; *unit* is what its lengths are in, in inches."""
    asks = text.lstrip().startswith("~")
    text = text.strip().removeprefix("~").strip()
    if " // " in text:
        return " // ".join(meant(each, unit)[0] for each in text.split(" // ")), asks
    word, _, rest = text.partition(" ")
    if word in ("Order", "FromRow", "refused"):
        return text, asks
    if word == "Change":
        return f"Change {named(rest, unit)}", asks
    if word == "Boards":
        count, _, more = rest.partition("×")
        length, section = more.split(maxsplit=1)
        return f"Boards {int(count)}x{inches(length) * unit} {section}", asks
    if word == "OnRow":
        row, _, what = rest.partition(" ")
        return f"OnRow {row} {named(what, unit)}", asks
    length, *fields = (each.strip() for each in text.split("|"))
    count, _, inch = length.rpartition("×")
    four = [*fields, "", "", "", ""][:4]
    return "|".join([f"{int(count or 1)}x{inches(inch) * unit}", *four]), asks


def named(text: str, unit: F) -> str:
    """Return *text*, where it is a length in inches."""
    plain = text.replace("-", "").replace("/", "").replace(".", "")
    return str(inches(text) * unit) if plain.isdecimal() else text


def outcome(said: str, by_voice: bool, expected: str, settings: Settings) -> tuple[str, str]:
    """Return what became of a call, and what was read."""
    try:
        found = _read(said, settings, by_voice)
    except CutmemoError as error:
        kind = "" if isinstance(error, NotACall) else type(error).__name__
        return ("right" if expected == "refused" else "refused"), kind
    if isinstance(found, CallList):
        text = " // ".join(shown(part.readings[0]) for part in found.parts)
        asks = not found.marked or any(
            len(p.readings) > 1 or p.readings[0].doubts for p in found.parts
        )
        return _judged([text], expected, asks), text
    readings = [shown(each) for each in found]
    text = " OR ".join(readings)
    return _judged(readings, expected, len(found) > 1 or bool(found[0].doubts)), text


def _judged(readings: list[str], expected: str, asks: bool) -> str:
    """Return what became of a call that means *readings*: right, or right but for words of its piece
    or its place, which its writer cannot know.
    """
    if expected in readings:
        return "asks, right among them" if asks else "right"
    if measures(expected) in map(measures, readings):
        return "asks, right but for words" if asks else "right but for words"
    return "asks without it" if asks else "WRONG IN SILENCE"


def measures(text: str) -> str:
    """Return the count, the length and the size of each cut of *text*."""
    return " // ".join("|".join(each.split("|")[:2]) for each in text.split(" // "))


def _read(said: str, settings: Settings, by_voice: bool) -> tuple[Reading, ...] | CallList:
    """Return what a call means, or several do."""
    if not by_voice:
        return read_typed(said, settings)
    try:
        return read(said, settings, by_voice)
    except NotACall:
        listed = split_calls(said, settings, by_voice)
        if listed is None:
            raise
        return listed


def one_memo(day: Path) -> None:
    """Print how many calls of a day ask when they are typed into one memo."""
    clock = datetime(2026, 5, 4, 7, tzinfo=UTC)
    calls = [line for line in day.read_text().splitlines() if not line.startswith("#")]
    asked = needless = refused = 0
    with tempfile.TemporaryDirectory() as folder, open_store(Path(folder) / "m") as store:
        station = Station(Memo(store), "bench", "ann", lambda: clock)
        for call in calls:
            said = call.removesuffix(" ?")
            clock += timedelta(minutes=1)
            question = [row for row in station.state.rows.values() if row.state == "doubtful"]
            shown = Place(shown_question=question[-1].id) if question else Place()
            try:
                station.execute(Say(said), shown)
            except CutmemoError as error:
                refused += 1
                print(f"  refused: {said!r}: {explain_error(error)[:90]}")
            open_now = [row for row in station.state.rows.values() if row.state == "doubtful"]
            if not open_now:
                continue
            asked, needless = asked + 1, needless + (said == call)
            print(f"  asks: {call!r}: {', '.join(each.kind for each in open_now[-1].doubts)}")
            station.execute(Order("answer", open_now[-1].id, 1), Place())
    print(
        f"{day.stem}: {len(calls)} calls, {asked} ask ({100 * asked / len(calls):.1f} %), "
        f"{needless} of them not meant to, {refused} refused"
    )


def any_call(r: random.Random) -> str:
    """Return one call of an ordinary day: the shares are an estimate (common practice)."""
    count, section = r.randrange(2, 13), r.choice(list(words.SIZES))
    length = F(r.randrange(13, 200)) + (words.a_part(r) if r.random() < 0.7 else 0)
    said = words.typed_length(length, r)
    piece, several = r.choice(list(words.PIECES.items()))
    kinds = {
        said: 42,
        f"{count} @ {said}": 14,
        words.plan_length(length, r): 10,
        f"{r.choice(words.SMALL[3:11])} {r.choice(words.SMALL[1:11])}": 8,
        f"{count} {section} {several} @ {said}": 4,
        f"{said} {section} {piece}": 4,
        f"{said} 45 both ends long to long": 3,
        f"{said} plumb {r.randrange(3, 13)}/12 long point": 2,
        f"{said} {r.choice(['strong', 'shy', 'heavy'])}": 3,
        f"{words.typed_length(F(r.randrange(3, 12)) + words.a_part(r), r)}": 5,
        f"{said} {r.choice(['plus', 'less'])} {words.a_part(r)}": 2,
        f"{said} for {r.choice(['W2', 'wall 3', 'porch', 'bath'])}": 3,
    }
    return r.choices(list(kinds), list(kinds.values()))[0]


def any_days(number: int = 3, calls: int = 200) -> None:
    """Print how many calls of random days ask, each typed into a memo of its own."""
    reasons: Counter[str] = Counter()
    asked = refused = 0
    for seed in range(number):
        r = random.Random(100 + seed)
        clock = datetime(2026, 5, 4, 7, tzinfo=UTC)
        with tempfile.TemporaryDirectory() as folder, open_store(Path(folder) / "m") as store:
            station = Station(Memo(store), "bench", "ann", lambda: clock)  # noqa: B023 - used here
            for _ in range(calls):
                clock += timedelta(minutes=1)
                with suppress(CutmemoError):
                    refused += 1
                    station.execute(Say(any_call(r)), Place())
                    refused -= 1
                row = next((x for x in station.state.rows.values() if x.state == "doubtful"), None)
                if row is not None:
                    asked += 1
                    reasons.update({str(each.kind) for each in row.doubts})
                    station.execute(Order("answer", row.id, 1), Place())
    print(
        f"random days: {number * calls} calls, {asked} ask ({100 * asked / number / calls:.1f} %), "
        f"{refused} refused; {dict(reasons)}"
    )


def main() -> None:
    memos = sorted(DAYS.glob(ONE_MEMO))
    for day in memos:
        one_memo(day)
    any_days()
    for day in sorted(set(DAYS.glob("*.txt")) - set(memos)):
        found: Counter[str] = Counter()
        settings, unit = Settings(), F(1)
        for line in day.read_text().splitlines():
            if line.startswith(SETTINGS):
                for each in line.removeprefix(SETTINGS).split():
                    settings = settings.with_setting(*each.split("="))
                unit = F(5, 127) if settings.figures == "mm" else F(1)
            if not line or line.startswith("#"):
                continue
            how, rest = line.removeprefix("= ").split(" ", 1)
            said, _, text = rest.partition(" | ")
            expected, may_ask = meant(text, unit)
            what, read_as = outcome(said, how == "v", expected, settings)
            found[what] += 1
            if (what != "right" and not (may_ask and "right" in what)) or "-a" in sys.argv:
                print(f"  {what}: {how} {said!r}: {read_as}")
        print(f"{day.stem}: {sum(found.values())} calls, {dict(found)}")


if __name__ == "__main__":
    main()
