"""Reads whole days of calls of our own invention, by hand: python tests/bench/day_words.py

The days stand in the folder days beside what each call means. Printed is how many are right, ask
with the right one among the readings, ask without it, are refused, and are wrong in silence.
"""

from __future__ import annotations

import sys
from collections import Counter
from fractions import Fraction as F
from pathlib import Path

from cutmemo.domain.cut import Cut
from cutmemo.domain.settings import Settings
from cutmemo.errors import CutmemoError, NotACall
from cutmemo.language import BoardsCall, Change, Command, OnRow, Reading, read, split_calls

DAYS = Path(__file__).parent / "days"


def inches(text: str) -> F:
    whole, _, part = text.strip().partition("-")
    return F(whole) + (F(part) if part else 0)


def shown(reading: Reading) -> str:
    """Return what *reading* means in the notation of the days."""
    said = reading.intent
    if isinstance(said, Cut):
        rest = " ".join(
            x for x in (str(said.allowance or ""), said.ends_shown(), said.note or "") if x
        )
        parts = (said.section, said.piece, said.place, rest)
        return "|".join(
            [f"{said.count}x{said.length.inches}", *(str(part or "") for part in parts)]
        )
    if isinstance(said, Change):
        return f"Change {said.length.inches if said.length else None}"
    if isinstance(said, OnRow):
        inner = said.intent
        if isinstance(inner, Command):
            return f"OnRow {said.row} {inner.verb}"
        return f"OnRow {said.row} {inner.length.inches if inner.length else None}"
    if isinstance(said, BoardsCall):
        return f"Boards {said.count}x{said.length.inches} {said.section}"
    return repr(said)


def meant(text: str) -> tuple[str, bool]:
    """Return what is meant, and whether it may ask."""
    asks = text.lstrip().startswith("~")
    text = text.strip().removeprefix("~").strip()
    word, _, rest = text.partition(" ")
    if word in ("Change", "OnRow", "Boards"):
        if word == "Change":
            return f"Change {inches(rest)}", asks
        if word == "Boards":
            count, _, more = rest.partition("×")
            length, section = more.split()
            return f"Boards {int(count)}x{inches(length)} {section}", asks
        row, what = rest.split()
        return f"OnRow {row} {inches(what) if what[0].isdigit() else what}", asks
    length, *fields = (each.strip() for each in text.split("|"))
    count, _, inch = length.rpartition("×")
    four = [*fields, "", "", "", ""][:4]
    return "|".join([f"{int(count or 1)}x{inches(inch)}", *four]), asks


def outcome(said: str, by_voice: bool, expected: str) -> tuple[str, str]:
    """Return what became of a call, and what was read."""
    settings = Settings()
    try:
        found = read(said, settings, by_voice)
    except NotACall:
        try:
            listed = split_calls(said, settings, by_voice)
        except CutmemoError:
            listed = None
        if listed is None:
            return "refused", ""
        text = " // ".join(shown(part.readings[0]) for part in listed.parts)
        asks = not listed.marked or any(
            len(p.readings) > 1 or p.readings[0].doubts for p in listed.parts
        )
        return ("asks without it" if asks else "WRONG IN SILENCE"), text
    except CutmemoError as error:
        return "refused", type(error).__name__
    readings = [shown(each) for each in found]
    text = " OR ".join(readings)
    right = expected in readings
    if len(found) > 1 or found[0].doubts:
        return ("asks, right among them" if right else "asks without it"), text
    return ("right" if right else "WRONG IN SILENCE"), text


def main() -> None:
    for day in sorted(DAYS.glob("*.txt")):
        found: Counter[str] = Counter()
        for line in day.read_text().splitlines():
            if not line or line.startswith("#"):
                continue
            how, rest = line.removeprefix("= ").split(" ", 1)
            said, _, text = rest.partition(" | ")
            expected, may_ask = meant(text)
            what, read_as = outcome(said, how == "v", expected)
            found[what] += 1
            if (what != "right" and not (may_ask and "right" in what)) or "-a" in sys.argv:
                print(f"  {what}: {how} {said!r}: {read_as}")
        print(f"{day.stem}: {sum(found.values())} calls, {dict(found)}")


if __name__ == "__main__":
    main()
