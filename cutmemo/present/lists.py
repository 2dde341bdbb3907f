"""Writes rows as a list to read, as CSV, and as plain values for JSON."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable
from typing import Any

from cutmemo.domain.length import format_length
from cutmemo.domain.settings import Settings
from cutmemo.memo.rows import Row
from cutmemo.present.cells import csv_cell
from cutmemo.present.plain import cut_to_plain
from cutmemo.wording import explain
from cutmemo.wording.loads import pieces_away, pieces_came

MARKS = {"open": "[ ]", "doubtful": "[?]", "cut": "[x]", "struck": "[-]"}
HELD = "[‖]"
COLUMNS = (
    "row",
    "state",
    "left",
    "count",
    "length",
    "shade",
    "section",
    "piece",
    "ends",
    "place",
    "note",
    "said",
)


def fields_of(row: Row, settings: Settings) -> tuple[str, ...]:
    """Return the values of :data:`COLUMNS` for *row*."""
    cut = row.cut
    return (
        str(row.number),
        row.state,
        str(row.left),
        str(cut.count),
        str(format_length(cut.length, settings.display, settings.fineness)),
        *(str(part) if part else "" for part in (cut.allowance, cut.section, cut.piece)),
        cut.ends_shown(),
        cut.place or "",
        cut.note or "",
        row.said,
    )


def as_text(rows: Iterable[Row], settings: Settings) -> str:
    """Return a list to print: a box to tick, how many, the length, and the rest."""
    lines = []
    for row in rows:
        cut = row.cut
        length = str(format_length(cut.length, settings.display, settings.fineness))
        rest = [str(part) for part in (cut.allowance, cut.section, cut.piece) if part]
        rest += [
            part
            for part in (cut.ends_shown(), *cut.words(), f"for {cut.place}" if cut.place else "")
            if part
        ]
        mark = HELD if row.held and row.state == "open" else MARKS[row.state]
        lines.append(
            f"{mark} {row.number:>3}  {row.left:>3} × {length:>14}  {' · '.join(rest)}".rstrip()
        )
        for number, reading in enumerate(row.readings if row.state == "doubtful" else (), start=1):
            many = f"{reading.count} × " if reading.count != 1 else ""
            lines.append(
                f"            {number}: {many}{format_length(reading.length, settings.display, 64)}"
            )
        lines += [
            f"            ? {explain(each, settings)}"
            for each in (row.doubts if row.state == "doubtful" else ())
        ]
        lines += [f"            ! {explain(each, settings)}" for each in row.cautions]
        lines += (
            [f"            ! cut again: {', '.join(row.spoiled)}"]
            if row.spoiled and row.left
            else []
        )
        lines += [f"            > {each}" for each in (pieces_away(row), pieces_came(row)) if each]
    return "\n".join(lines)


def as_csv(rows: Iterable[Row], settings: Settings) -> str:
    """Return the rows as CSV with a head line."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    writer.writerows([csv_cell(each) for each in fields_of(row, settings)] for row in rows)
    return out.getvalue().rstrip("\n")


def as_plain(row: Row, settings: Settings) -> dict[str, Any]:
    """Return *row* as JSON values; lengths exact as text, and as shown."""
    return {
        "row": row.number,
        "id": row.id,
        "state": row.state,
        "left": row.left,
        "cut": cut_to_plain(row.cut),
        "shown": str(format_length(row.cut.length, settings.display, settings.fineness)),
        "said": row.said,
        "by_voice": row.by_voice,
        "heard": [list(each) for each in row.hypotheses],
        "readings": [cut_to_plain(cut) for cut in row.readings],
        "reasons": [explain(each, settings) for each in row.doubts],
        "warnings": [explain(each, settings) for each in row.cautions],
        "manner": row.settings,
        "station": row.station,
        "who": row.who,
        "at": row.at,
        "set": row.assembly,
        "held": row.held,
        "spoiled": list(row.spoiled),
        "cut_by": row.cut_by,
        "cut_at": row.cut_at,
        "cleared": [
            {
                "pieces": each.pieces,
                "cut": cut_to_plain(each.cut),
                "station": each.station,
                "who": each.who,
                "at": each.at,
                "came": each.came,
            }
            for each in row.cleared
        ],
        "sent": [{"to": each.to, "pieces": each.pieces} for each in row.sent],
    }
