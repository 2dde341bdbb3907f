"""The events of a memo, and their way to JSON and back."""

from __future__ import annotations

import json
import uuid
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import datetime
from fractions import Fraction
from typing import Any, Literal, get_args

from cutmemo.domain.cut import Cut, End, Section, Shade
from cutmemo.domain.length import Length
from cutmemo.errors import BadImport

Kind = Literal[
    "cut added",
    "question answered",
    "cut changed",
    "pieces cleared",
    "pieces put back",
    "cut struck",
    "cut restored",
    "call refused",
    "manner set",
    "order set",
    "event undone",
    "event redone",
    "boards added",
    "boards changed",
    "cuts added",
    "piece spoiled",
    "row held",
    "row released",
    "row skipped",
    "set confirmed",
]
KINDS: frozenset[str] = frozenset(get_args(Kind))
_NEEDED: dict[str, tuple[str, ...]] = {
    "cut added": (
        "row",
        "cut",
        "state",
        "said",
        "by_voice",
        "heard",
        "readings",
        "reasons",
        "warnings",
        "manner",
    ),
    "cuts added": ("rows", "said", "title", "by_voice", "manner"),
    "set confirmed": ("set",),
    "question answered": ("row", "cut"),
    "cut changed": ("row", "cut", "state", "readings", "reasons"),
    "pieces cleared": ("row", "pieces"),
    "pieces put back": ("row", "pieces"),
    "piece spoiled": ("row", "reason", "was_cut"),
    "cut struck": ("row",),
    "cut restored": ("row",),
    "row held": ("row",),
    "row released": ("row",),
    "row skipped": ("row",),
    "manner set": ("manner",),
    "order set": ("order",),
    "event undone": ("event",),
    "event redone": ("event",),
}
"""What an event has to carry, so that a memo it is taken into still opens."""
_TYPES: dict[str, type | tuple[type, ...]] = {
    **dict.fromkeys(
        ("row", "set", "list", "event", "state", "said", "title", "reason", "order", "why"), str
    ),
    **dict.fromkeys(("by_voice", "was_cut"), bool),
    **dict.fromkeys(("rows", "heard", "readings", "reasons", "warnings"), list),
    "pieces": int,
    "cut": dict,
    "manner": (str, dict),
}
VERSION = 1
MAX_AT_ONCE = 1_000_000
"""No event clears more pieces."""


@dataclass(frozen=True, slots=True)
class Draft:
    """An event that is about to be written."""

    kind: Kind
    payload: dict[str, Any]
    id: str = field(default_factory=lambda: uuid.uuid4().hex)


@dataclass(frozen=True, slots=True)
class Event:
    """One thing that happened."""

    seq: int
    """Its place in this file."""
    id: str
    """Its name in every file it is copied to."""
    at: str
    """When, as ISO 8601 with the offset."""
    station: str
    who: str
    kind: str
    version: int
    payload: dict[str, Any]

    def to_line(self) -> str:
        """Return the event as a line of JSON, without its place in this file."""
        plain = {
            name: getattr(self, name)
            for name in ("id", "at", "station", "who", "kind", "version", "payload")
        }
        return json.dumps(plain, ensure_ascii=False)

    @classmethod
    def from_line(cls, line: str) -> Event:
        """Return the event of one line. Raises :class:`ValueError` where it is none."""
        plain = json.loads(line)
        if not isinstance(plain, dict):
            raise ValueError("not an event")
        missing = [
            name
            for name in ("id", "at", "station", "who", "kind", "version", "payload")
            if name not in plain
        ]
        if missing:
            raise ValueError(f"{missing[0]} is missing")
        if plain["kind"] not in KINDS:
            raise ValueError(f"unknown kind {plain['kind']!r}")
        if plain["version"] != VERSION:
            raise ValueError(f"version {plain['version']!r} comes from a newer cutmemo")
        if not isinstance(plain["payload"], dict) or not all(
            isinstance(plain[name], str) and plain[name] for name in ("id", "at", "station", "who")
        ):
            raise ValueError("a field has the wrong type")
        datetime.fromisoformat(plain["at"])
        if "cut" in plain["payload"]:
            cut_from_plain(plain["payload"]["cut"])
        if plain["kind"] == "cuts added":
            _check_rows(plain["payload"])
        _check_boards(plain["kind"], plain["payload"])
        absent = [name for name in _NEEDED.get(plain["kind"], ()) if name not in plain["payload"]]
        if absent:
            raise ValueError(f"{absent[0]} is missing from “{plain['kind']}”")
        _check_types(plain["payload"])
        return cls(
            0,
            plain["id"],
            plain["at"],
            plain["station"],
            plain["who"],
            plain["kind"],
            1,
            plain["payload"],
        )


def _check_types(payload: dict[str, Any]) -> None:
    """Raise :class:`ValueError` where a value is of the wrong kind."""
    wrong = [
        name
        for name, value in payload.items()
        if name in _TYPES and not isinstance(value, _TYPES[name])
    ]
    wrong += [
        name
        for name in ("reasons", "warnings")
        if not all(isinstance(each, str) for each in payload.get(name, ()))
    ]
    if isinstance(payload.get("pieces"), bool) or not 0 <= payload.get("pieces", 0) <= MAX_AT_ONCE:
        wrong.append("pieces")
    if payload.get("state", "open") not in ("open", "doubtful"):
        wrong.append("state")
    if wrong:
        raise ValueError(f"{wrong[0]} cannot be {payload[wrong[0]]!r}")


def _check_rows(payload: dict[str, Any]) -> None:
    """Raise :class:`ValueError` where a set of cuts cannot be taken in."""
    try:
        for row in payload["rows"]:
            str(row["row"]), cut_from_plain(row["cut"])
        str(payload["said"]), str(payload["title"]), str(payload["manner"])
    except (KeyError, TypeError) as error:
        raise ValueError(f"not a set of cuts: {error}") from error


def _check_boards(kind: str, payload: dict[str, Any]) -> None:
    """Raise :class:`ValueError` where what is said of boards cannot be taken in."""
    boards = payload.get("boards", ())
    lots = (
        [payload]
        if kind in ("boards added", "boards changed")
        else [rest for board in boards for rest in board["rests"]]
    )
    try:
        if kind == "boards added":
            Fraction(payload["inches"]), int(payload["count"])
        for lot in [*lots, *boards]:
            _check_lot(lot)
    except (KeyError, TypeError, AttributeError, ZeroDivisionError) as error:
        raise ValueError(f"not boards: {error}") from error


def _check_lot(lot: dict[str, Any]) -> None:
    """Raise an error where *lot* cannot be read."""
    str(lot["lot"])
    if int(lot.get("count", 0)) < 0:
        raise ValueError("fewer boards than none")
    Fraction(lot.get("price") or 0)
    if lot.get("section") is not None:
        size = lot["section"]
        _ = (
            [Fraction(size[name]) for name in ("thick", "wide") if size[name] is not None],
            size["material"],
            size["treated"],
        )
    if Fraction(lot.get("inches", 1)) <= 0:
        raise ValueError("a board of no length")
    _ = [(Fraction(begin), Fraction(end)) for begin, end in lot.get("bad", ())]


def cut_to_plain(cut: Cut) -> dict[str, Any]:
    """Return *cut* as JSON values, fractions as text, what was not said left out."""
    plain: dict[str, Any] = {"length": str(cut.length.inches), "count": cut.count}
    if cut.shade is not None:
        plain["shade"] = [cut.shade.word, cut.shade.side, cut.shade.slight]
    if cut.section is not None:
        size = cut.section
        plain["section"] = {
            "thick": None if size.thickness is None else str(size.thickness),
            "wide": None if size.width is None else str(size.width),
            "material": size.material,
            "treated": size.treated,
        }
    plain |= {
        name: getattr(cut, name)
        for name in ("piece", "place", "note")
        if getattr(cut, name) is not None
    }
    if cut.angled():
        plain["ends"] = [_end_to_plain(end) for end in cut.ends]
    return plain


def cut_from_plain(plain: dict[str, Any]) -> Cut:
    """Return the cut :func:`cut_to_plain` wrote. Raises :class:`ValueError` where it is none."""
    try:
        size = plain.get("section")
        shade = plain.get("shade")
        ends = plain.get("ends")
        first, second = (_end_from_plain(end) for end in ends) if ends else (End(), End())
        return Cut(
            Length(Fraction(plain["length"])),
            int(plain["count"]),
            Shade(*shade) if shade else None,
            Section(
                None if size["thick"] is None else Fraction(size["thick"]),
                None if size["wide"] is None else Fraction(size["wide"]),
                size["material"],
                size["treated"],
            )
            if size
            else None,
            plain.get("piece"),
            plain.get("place"),
            (first, second),
            plain.get("note"),
        )
    except (KeyError, TypeError, AttributeError, ZeroDivisionError) as error:
        raise ValueError(f"not a cut: {error}") from error


def _end_to_plain(end: End) -> dict[str, Any]:
    plain: dict[str, Any] = {"kind": end.kind}
    for name in ("rise", "miter", "bevel", "point", "cheek"):
        value = getattr(end, name)
        if value is not None:
            plain[name] = str(value) if isinstance(value, Fraction) else value
    return plain


def _end_from_plain(plain: dict[str, Any]) -> End:
    angles = {name: Fraction(plain[name]) for name in ("miter", "bevel") if name in plain}
    return End(
        plain["kind"],
        plain.get("rise"),
        point=plain.get("point"),
        cheek=plain.get("cheek"),
        **angles,
    )


def events_of(lines: Iterable[str]) -> list[tuple[int, Event]]:
    """Return the number of each line (from 1) and its event, empty lines left out. Raises :class:`BadImport`."""
    found = []
    for number, line in enumerate(lines, start=1):
        if line.strip():
            try:
                found.append((number, Event.from_line(line)))
            except (ValueError, TypeError) as error:
                raise BadImport(number, str(error)) from error
    return found
