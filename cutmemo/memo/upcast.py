"""Reads what earlier versions of the program wrote, as today's events.

The first format (version 1) held questions as English sentences and did not say as what a piece
was cut.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Any

from cutmemo.domain.cut import Allowance, Cut, End, Rise, Section
from cutmemo.domain.doubts import Doubt, DoubtKind, Field, doubt
from cutmemo.domain.length import Length
from cutmemo.domain.limits import MAX_INCHES
from cutmemo.domain.units import exact_number
from cutmemo.memo import events as e

FIRST_FORMAT = 1
_ABOUT_A_COUNT = "but no number: is it one piece? If not, say how many: “make it four”."
"""How the first format ended a question that a number settles."""
Plain = dict[str, Any]


def from_first_format(kind: str, plain: Plain) -> e.Payload:
    """Return what the first format said. Raises :class:`ValueError`, ``KeyError`` or
    ``TypeError``.
    """
    return _READ[kind](plain)


def cut_from_plain(plain: Plain) -> Cut:
    """Return a cut of the first format. Raises as :func:`from_first_format`."""
    shade, ends = plain.get("shade"), plain.get("ends")
    first, second = (_end(end) for end in ends) if ends else (End(), End())
    if not isinstance(plain["count"], int) or isinstance(plain["count"], bool):
        raise ValueError("a count that is no whole number")
    return Cut(
        Length(exact_number(_text(plain["length"]))),
        plain["count"],
        Allowance(_text(shade[0]), _one_of(shade[1], "over", "under"), bool(shade[2]))
        if shade
        else None,
        _section(plain.get("section")),
        _words(plain.get("piece")),
        _words(plain.get("place")),
        (first, second),
        _words(plain.get("note")),
    )


def _text(value: Any) -> str:
    if not isinstance(value, str) or len(value) > 10_000:
        raise ValueError(f"{str(value)[:40]!r} should be text")
    return value


def _words(value: Any) -> str | None:
    return None if value is None else _text(value)


def _one_of(value: Any, *allowed: Any) -> Any:
    if value not in allowed:
        raise ValueError(f"{str(value)[:40]!r} is none of {allowed}")
    return value


def _whole(value: Any) -> int:
    if isinstance(value, bool) or not isinstance(value, int):
        raise ValueError(f"{str(value)[:40]!r} should be a whole number")
    return value


def _fraction(value: Any) -> Fraction:
    found = exact_number(_text(value))
    if abs(found) > MAX_INCHES or found.denominator > 10**9:
        raise ValueError("a number beyond any board")
    return found


def _end(plain: Plain) -> End:
    rise = plain.get("rise")
    angles = {name: _fraction(plain[name]) for name in ("miter", "bevel") if name in plain}
    return End(
        _one_of(plain["kind"], "square", "plumb", "seat", "hip", "angled"),
        None if rise is None else Rise(_whole(rise)),
        point=_one_of(plain.get("point"), None, "long", "short"),
        cheek=_one_of(plain.get("cheek"), None, "single", "double"),
        **angles,
    )


def _section(plain: Any) -> Section | None:
    if plain is None:
        return None
    size = [None if plain[name] is None else _fraction(plain[name]) for name in ("thick", "wide")]
    return Section(size[0], size[1], _text(plain["material"]), bool(plain["treated"]))


def _sentences(texts: Any) -> tuple[Doubt, ...]:
    """Return sentences as doubts; one that asks how many is about the count, others the length."""
    found = []
    for text in texts:
        count = _text(text).endswith(_ABOUT_A_COUNT)
        about = (Field.COUNT, Field.PIECE) if count else (Field.LENGTH,)
        found.append(doubt(DoubtKind.AS_WRITTEN, *about, text=text))
    return tuple(found)


def _cuts(plains: Any) -> tuple[Cut, ...]:
    return tuple(cut_from_plain(plain) for plain in plains)


def _hypotheses(plain: Any) -> tuple[tuple[str, float], ...]:
    return tuple((_text(text), float(score)) for text, score in plain)


def _flag(value: Any) -> bool:
    if not isinstance(value, bool):
        raise ValueError(f"{str(value)[:40]!r} should be true or false")
    return value


def _doubts(plain: Plain) -> tuple[Doubt, ...]:
    """Return why a row asks; a row that asked always had a reason."""
    state = _one_of(plain["state"], "open", "doubtful")
    found = _sentences(plain["reasons"])
    if state == "doubtful" and not found:
        return (doubt(DoubtKind.AS_WRITTEN, text="Is this right?"),)
    return found if state == "doubtful" else ()


def _cut_added(plain: Plain) -> e.Payload:
    return e.CutAdded(
        row=_text(plain["row"]),
        cut=cut_from_plain(plain["cut"]),
        readings=_cuts(plain["readings"]),
        doubts=_doubts(plain),
        cautions=_sentences(plain["warnings"]),
        said=_text(plain["said"]),
        by_voice=_flag(plain["by_voice"]),
        hypotheses=_hypotheses(plain["heard"]),
        settings=_text(plain["manner"]),
        list=_text(plain.get("list", "")),
    )


def _assembly_added(plain: Plain) -> e.Payload:
    rows = tuple(
        e.AssemblyRow(
            _text(row["row"]), cut_from_plain(row["cut"]), _sentences(row.get("warnings", ()))
        )
        for row in plain["rows"]
    )
    return e.AssemblyAdded(
        rows=rows,
        title=_text(plain["title"]),
        doubts=_sentences(plain.get("reasons", ())),
        said=_text(plain["said"]),
        by_voice=_flag(plain["by_voice"]),
        hypotheses=_hypotheses(plain.get("heard", ())),
        settings=_text(plain["manner"]),
    )


def _cut_changed(plain: Plain) -> e.Payload:
    return e.CutChanged(
        row=_text(plain["row"]),
        cut=cut_from_plain(plain["cut"]),
        readings=_cuts(plain["readings"]),
        doubts=_doubts(plain),
        said=_text(plain.get("said", "")),
    )


def _boards(plain: Plain) -> tuple[e.BoardSawn, ...]:
    return tuple(
        e.BoardSawn(
            _text(board["lot"]),
            tuple(
                e.BoardRest(
                    _text(rest["lot"]), _section(rest.get("section")), _fraction(rest["inches"])
                )
                for rest in board["rests"]
            ),
        )
        for board in plain.get("boards", ())
    )


def _bad(plain: Any) -> tuple[tuple[Fraction, Fraction], ...]:
    return tuple((_fraction(begin), _fraction(end)) for begin, end in plain)


def _boards_added(plain: Plain) -> e.Payload:
    return e.BoardsAdded(
        lot=_text(plain["lot"]),
        section=_section(plain["section"]),
        inches=_fraction(plain["inches"]),
        count=_whole(plain["count"]),
        price=None if plain.get("price") is None else _fraction(plain["price"]),
        bad=_bad(plain.get("bad", ())),
    )


def _boards_changed(plain: Plain) -> e.Payload:
    return e.BoardsChanged(
        lot=_text(plain["lot"]),
        count=_whole(plain["count"]) if "count" in plain else None,
        inches=_fraction(plain["inches"]) if "inches" in plain else None,
        bad=_bad(plain["bad"]) if "bad" in plain else None,
    )


_READ: dict[str, Callable[[Plain], e.Payload]] = {
    "cut added": _cut_added,
    "cuts added": _assembly_added,
    "set confirmed": lambda plain: e.AssemblyConfirmed(_text(plain["set"])),
    "question answered": lambda plain: e.QuestionAnswered(
        _text(plain["row"]), cut_from_plain(plain["cut"])
    ),
    "cut changed": _cut_changed,
    "pieces cleared": lambda plain: e.PiecesCleared(
        row=_text(plain["row"]), pieces=_whole(plain["pieces"]), boards=_boards(plain)
    ),
    "pieces put back": lambda plain: e.PiecesPutBack(_text(plain["row"]), _whole(plain["pieces"])),
    "piece spoiled": lambda plain: e.PieceSpoiled(
        row=_text(plain["row"]),
        reason=_text(plain["reason"]),
        was_cut=_flag(plain["was_cut"]),
        boards=_boards(plain),
    ),
    "cut struck": lambda plain: e.CutStruck(_text(plain["row"])),
    "cut restored": lambda plain: e.CutRestored(_text(plain["row"])),
    "row held": lambda plain: e.RowHeld(_text(plain["row"])),
    "row released": lambda plain: e.RowReleased(_text(plain["row"])),
    "row skipped": lambda plain: e.RowSkipped(_text(plain["row"])),
    "call refused": lambda plain: e.CallRefused(
        _text(plain.get("said", "")), _text(plain.get("why", ""))
    ),
    "manner set": lambda plain: e.SettingsChanged(
        {_text(name): value for name, value in plain["manner"].items()}
    ),
    "order set": lambda plain: e.OrderSet(_one_of(plain["order"], "called", "longest", "saw")),
    "event undone": lambda plain: e.EventUndone(_text(plain["event"])),
    "event redone": lambda plain: e.EventRedone(_text(plain["event"])),
    "boards added": _boards_added,
    "boards changed": _boards_changed,
}
"""How each kind of the first format is read."""
