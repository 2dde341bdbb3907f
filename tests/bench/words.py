"""Sweeps the language with words of its own, by hand: python tests/bench/words.py [NUMBER] [SEED]

Nothing here comes from the program's own lists of words: numbers, fractions, plan notation, lists,
corrections, sets and boards are put into words by the code below (common practice), each beside
what it means. For every form it counts: right; asked, with the right one among the readings; asked
without it; refused; wrong in silence. What was asked without the right one or wrong is printed.
"""

from __future__ import annotations

import random
import sys
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from fractions import Fraction as F

from cutmemo.domain.cut import Cut
from cutmemo.domain.settings import Settings
from cutmemo.errors import CutmemoError, NotACall
from cutmemo.language import (
    AssemblyCall,
    BoardsCall,
    Change,
    Command,
    OnRow,
    Reading,
    read,
    split_calls,
)

SMALL = (
    "nought one two three four five six seven eight nine ten eleven twelve thirteen fourteen fifteen "
    "sixteen seventeen eighteen nineteen"
).split()
TEN = "- - twenty thirty forty fifty sixty seventy eighty ninety".split()
UNDER = {2: "half", 4: "quarter", 8: "eighth", 16: "sixteenth", 32: "thirty second"}


def tens(n: int, dash: str = " ") -> str:
    if n < 20:
        return SMALL[n]
    return TEN[n // 10] + (dash + SMALL[n % 10] if n % 10 else "")


def words(n: int, r: random.Random, dash: str = " ") -> str:
    """Return *n* in the words of a crew."""
    if n < 100:
        return tens(n, dash)
    hundred, rest = divmod(n, 100)
    if not rest:
        return r.choice(["a hundred", "one hundred"]) if n == 100 else f"{SMALL[hundred]} hundred"
    if rest < 10:
        return r.choice(
            [
                f"{SMALL[hundred]} oh {SMALL[rest]}",
                f"{SMALL[hundred]} hundred and {SMALL[rest]}",
                f"{SMALL[hundred]} hundred {SMALL[rest]}",
            ]
        )
    return r.choice(
        [
            f"{SMALL[hundred]} {tens(rest, dash)}",
            f"{SMALL[hundred]} hundred {tens(rest, dash)}",
            f"{SMALL[hundred]} hundred and {tens(rest, dash)}",
        ]
    )


def part_words(part: F, r: random.Random) -> str:
    over, under = part.numerator, part.denominator
    if under == 2:
        return r.choice(["a half", "a half", "one half"])
    name = UNDER[under]
    if over == 1:
        return r.choice([f"an {name}" if name[0] == "e" else f"a {name}", f"one {name}"])
    return f"{SMALL[over] if over < 20 else tens(over)} {name}s"


def a_part(r: random.Random) -> F:
    under = r.choice([2, 4, 4, 8, 8, 8, 16, 16, 16])
    return F(r.randrange(1, under, 2), under)


def a_length(r: random.Random, most: int = 288) -> F:
    whole = r.randrange(12, most)
    return F(whole) + (a_part(r) if r.random() < 0.75 else 0)


def spoken_length(length: F, r: random.Random, dash: str = " ") -> str:
    whole, part = divmod(length, 1)
    if not part:
        return words(int(whole), r, dash)
    return f"{words(int(whole), r, dash)} and {part_words(part, r)}"


def typed_length(length: F, r: random.Random) -> str:
    whole, part = divmod(length, 1)
    if not part:
        return f"{whole}" + r.choice(["", "", '"'])
    over, under = part.numerator, part.denominator
    joint = r.choice(["-", "-", "-", " ", "\u2013"])
    return f"{whole}{joint}{over}/{under}" + r.choice(["", "", '"'])


def plan_length(length: F, r: random.Random) -> str:
    """Return *length* as plans write it, with the joints that offices and phones make of it."""
    feet, rest = divmod(length, 12)
    whole, part = divmod(rest, 1)
    foot, inch = r.choice([("'", '"'), ("'", '"'), ("\u2019", "\u201d"), ("\u2032", "\u2033")])
    dash = r.choice(["-", "-", "\u2013", " ", "\u2011"])
    mixed = f"{whole}" if not part else f"{whole}{r.choice(['-', ' '])}{part}"
    if part and not whole and r.random() < 0.5:
        mixed = f"{part}"
    return f"{feet}{foot}{dash}{mixed}{inch}"


SIZES = {
    "2x4": "two by four", "2x6": "two by six", "2x8": "two by eight", "2x10": "two by ten",
    "2x12": "two by twelve", "4x4": "four by four", "1x6": "one by six", "1x8": "one by eight",
}  # fmt: skip
PIECES = {
    "stud": "studs", "header": "headers", "block": "blocks", "joist": "joists", "rafter": "rafters",
    "king stud": "king studs", "trimmer": "trimmers", "cripple": "cripples", "top plate": "top plates",
    "ledger": "ledgers", "fire block": "fire blocks", "rough sill": "rough sills",
    "ceiling joist": "ceiling joists", "collar tie": "collar ties", "tread": "treads",
}  # fmt: skip


@dataclass(frozen=True)
class Meant:
    """What a call means: cuts, each with count, inches, section and piece."""

    cuts: tuple[tuple[int, F, str, str], ...]


def one(length: F, count: int = 1, section: str = "", piece: str = "") -> Meant:
    return Meant(((count, length, section, piece),))


Form = Callable[[random.Random], tuple[str, Meant | Callable[[Reading], bool]]]


def t_plain(r: random.Random) -> tuple[str, Meant]:
    length = a_length(r, 480)
    return typed_length(length, r), one(length)


def t_plan(r: random.Random) -> tuple[str, Meant]:
    length = a_length(r, 480)
    return plan_length(length, r), one(length)


def t_count(r: random.Random) -> tuple[str, Meant]:
    length, count = a_length(r), r.randrange(2, 25)
    said = r.choice([typed_length, plan_length])(length, r)
    form = r.choice(
        ["{n} @ {l}", "{n} at {l}", "({n}) {l}", "{n} pcs {l}", "{n} ea {l}", "{l} x {n}", "{l} ({n})",
         "{l} {n} pcs", "{n}x {l}", "{n} pieces at {l}", "{n} of {l}"]
    )  # fmt: skip
    return form.format(n=count, l=said), one(length, count)


def t_board(r: random.Random) -> tuple[str, Meant]:
    length, count = a_length(r), r.randrange(2, 25)
    section, piece = r.choice(list(SIZES)), r.choice(list(PIECES))
    said = r.choice([typed_length, plan_length])(length, r)
    several = PIECES[piece]
    form = r.choice(
        ["{n} @ {l} {s} {p}", "{n} {s} {q} @ {l}", "{n} {s} {q} at {l}", "{s} {q} {n} @ {l}",
         "({n}) {s} {q} {l}", "{n} {q} {s} @ {l}", "{l} {s} {q} x {n}", "{s} {p} {l} ({n})",
         "{n} pcs {s} {p} {l}", "{s} {p}, {n} @ {l}", "{n} {s} {l} {q}"]
    )  # fmt: skip
    text = form.format(n=count, l=said, s=section, p=piece, q=several)
    return text, one(length, count, section, piece)


def t_words(r: random.Random) -> tuple[str, Meant]:
    length = a_length(r, 199)
    said = spoken_length(length, r, "-")
    if r.random() < 0.3:
        said = said.replace("one half", "one-half").replace(" eighths", "-eighths")
    return said, one(length)


def t_list(r: random.Random) -> tuple[str, Meant]:
    several = [(r.choice([1, 1, 2, 5]), a_length(r, 200)) for _ in range(r.choice([2, 3, 4]))]
    said = [(n, typed_length(length, r)) for n, length in several]
    text = r.choice([", ", "; ", "\n"]).join(f"{n} @ {one}" if n > 1 else one for n, one in said)
    return text, Meant(tuple((n, length, "", "") for n, length in several))


def t_sum(r: random.Random) -> tuple[str, Meant]:
    length, other = F(r.randrange(30, 200)), F(r.randrange(1, 12)) + a_part(r)
    sign, word = r.choice([(1, "+"), (1, "plus"), (-1, "minus"), (-1, "less")])
    return f"{typed_length(length, r)} {word} {typed_length(other, r)}", one(length + sign * other)


def v_plain(r: random.Random) -> tuple[str, Meant]:
    length = a_length(r, 240)
    return spoken_length(length, r), one(length)


def v_feet(r: random.Random) -> tuple[str, Meant]:
    length = a_length(r, 480)
    feet, rest = divmod(length, 12)
    said = f"{tens(int(feet))} {r.choice(['foot', 'foot', 'feet'])}"
    if rest >= 1:
        said += f" {spoken_length(rest, r)}" + r.choice(["", "", " inches"])
    elif rest:
        said += f" and {part_words(rest, r)} inch"
    return said, one(length)


def v_count(r: random.Random) -> tuple[str, Meant]:
    length, count = a_length(r, 240), r.randrange(2, 25)
    form = r.choice(["{n} at {l}", "{n} of them at {l}", "{n} pieces at {l}", "{l} times {n}",
                     "{l} make it {n}", "need {n} at {l}", "give me {n} at {l}"])  # fmt: skip
    return form.format(n=tens(count), l=spoken_length(length, r)), one(length, count)


def v_board(r: random.Random) -> tuple[str, Meant]:
    length, count = a_length(r, 240), r.randrange(2, 13)
    section, piece = r.choice(list(SIZES)), r.choice(list(PIECES))
    form = r.choice(
        ["{n} at {l} {s} {p}", "{n} {s} {q} at {l}", "{n} {q} at {l} {s}", "{s} {q} {n} at {l}",
         "i need {n} {s} {q} at {l} please", "{n} pieces of {s} {p} at {l}"]
    )  # fmt: skip
    text = form.format(
        n=tens(count), l=spoken_length(length, r), s=SIZES[section], p=piece, q=PIECES[piece]
    )
    return text, one(length, count, section, piece)


def v_two(r: random.Random) -> tuple[str, Meant]:
    """Two calls in one breath: two rows, or a question; never one."""
    one_, two = F(r.randrange(13, 144)) + a_part(r), F(r.randrange(13, 144)) + a_part(r)
    return (
        f"{spoken_length(one_, r)} {spoken_length(two, r)}",
        Meant(((1, one_, "", ""), (1, two, "", ""))),
    )


def v_swallowed(r: random.Random) -> tuple[str, Meant]:
    """An "and a" that nobody heard."""
    whole, under = r.randrange(12, 200), r.choice([4, 8, 16])
    return f"{words(whole, r)} {UNDER[under]}", one(whole + F(1, under))


def change(length: F | None = None, count: int | None = None) -> Callable[[Reading], bool]:
    def fits(reading: Reading) -> bool:
        said = reading.intent
        return (
            isinstance(said, Change)
            and (said.length.inches if said.length else None) == length
            and said.count == count
        )

    return fits


def t_correction(r: random.Random) -> tuple[str, Callable[[Reading], bool]]:
    length, count = a_length(r), r.randrange(2, 9)
    said = typed_length(length, r)
    if r.random() < 0.25:
        return r.choice(["make it {n}", "no, {n} pieces", "need {n}"]).format(n=count), change(
            count=count
        )
    lead = r.choice(["no, {l}", "no {l}", "no, make that {l}", "sorry, {l}", "i mean {l}", "wait, {l}",
                     "no wait, {l}", "actually {l}", "change it to {l}", "correction: {l}",
                     "make that {l}"])  # fmt: skip
    return lead.format(l=said), change(length)


def t_row(r: random.Random) -> tuple[str, Callable[[Reading], bool]]:
    length, row = a_length(r), r.randrange(1, 30)
    number = r.choice([str(row), tens(row)])
    form = r.choice(["row {n} is {l}", "change row {n} to {l}", "row {n}: {l}", "row {n} to {l}",
                     "make row {n} {l}"])  # fmt: skip

    def fits(reading: Reading) -> bool:
        on = reading.intent
        return (
            isinstance(on, OnRow)
            and on.row == row
            and isinstance(on.intent, Change)
            and on.intent.length is not None
            and on.intent.length.inches == length
        )

    return form.format(n=number, l=typed_length(length, r)), fits


def t_order(r: random.Random) -> tuple[str, Callable[[Reading], bool]]:
    row = r.randrange(1, 30)
    verb, said = r.choice([("strike", "strike"), ("strike", "delete"), ("hold", "hold"),
                           ("clear", "clear"), ("skip", "skip")])  # fmt: skip

    def fits(reading: Reading) -> bool:
        on = reading.intent
        return (
            isinstance(on, OnRow)
            and on.row == row
            and isinstance(on.intent, Command)
            and on.intent.verb == verb
        )

    return f"{said} row {r.choice([str(row), tens(row)])}", fits


def measures(what: str, **meant: F) -> Callable[[Reading], bool]:
    def fits(reading: Reading) -> bool:
        said = reading.intent
        return (
            isinstance(said, AssemblyCall)
            and said.what == what
            and all(said.named(name) == value for name, value in meant.items())
        )

    return fits


def feet_said(length: F, r: random.Random, voice: bool) -> str:
    if not voice:
        return plan_length(length, r)
    feet, rest = divmod(length, 12)
    return f"{tens(int(feet))} foot" + (f" {spoken_length(rest, r)}" if rest >= 1 else "")


def wall(r: random.Random, voice: bool) -> tuple[str, Callable[[Reading], bool]]:
    long = F(r.randrange(48, 480)) + (0 if voice else a_part(r))
    high = r.choice([F(777, 8), F(873, 8), F(96)])
    tall = {F(777, 8): "ninety seven and an eighth", F(873, 8): "one oh nine and an eighth"}
    said_high = tall.get(high, "eight foot") if voice else plan_length(high, r)
    return f"wall {feet_said(long, r, voice)} high {said_high}", measures(
        "wall", length=long, high=high
    )


def t_wall(r: random.Random) -> tuple[str, Callable[[Reading], bool]]:
    return wall(r, False)


def v_wall(r: random.Random) -> tuple[str, Callable[[Reading], bool]]:
    return wall(r, True)


def rafters(r: random.Random, voice: bool) -> tuple[str, Callable[[Reading], bool]]:
    span, over = F(r.randrange(72, 480)), F(r.choice([12, 16, 18, 24]))
    rise = r.randrange(3, 13)
    pitch = f"{tens(rise)} twelve" if voice else r.choice([f"{rise}/12", f"{rise}:12"])
    hang = tens(int(over)) if voice else f"{over}"
    text = [f"span {feet_said(span, r, voice)}", f"pitch {pitch}", f"overhang {hang}"]
    r.shuffle(text)
    fits = measures("rafters", span=span, overhang=over)

    def also(reading: Reading) -> bool:
        said = reading.intent
        return (
            fits(reading)
            and isinstance(said, AssemblyCall)
            and (said.pitch is not None and said.pitch.value == rise)
        )

    return "rafters " + " ".join(text), also


def t_rafters(r: random.Random) -> tuple[str, Callable[[Reading], bool]]:
    return rafters(r, False)


def v_rafters(r: random.Random) -> tuple[str, Callable[[Reading], bool]]:
    return rafters(r, True)


def boards(r: random.Random, voice: bool) -> tuple[str, Callable[[Reading], bool]]:
    section, feet, count = (
        r.choice(list(SIZES)),
        r.choice([8, 10, 12, 14, 16, 20]),
        r.randrange(2, 13),
    )
    if voice:
        form = r.choice(["{n} {s} {f} footers", "{n} {f} foot {s}s", "{s} {f} footers {n} of them",
                         "put {n} {s} {f} footers on the rack", "{n} {f} footers {s}"])  # fmt: skip
        text = form.format(n=tens(count), s=SIZES[section], f=tens(feet)).replace("sixs", "sixes")
    else:
        form = r.choice(["{n} {s} {f} footers", "{n} {f}' {s}s", "{n} {f}-foot {s}s", "{n} {s} {f}-footers",
                         "rack {n} {s} {f}'", "{s} {f} footers x {n}"])  # fmt: skip
        text = form.format(n=count, s=section, f=feet)

    def fits(reading: Reading) -> bool:
        said = reading.intent
        if isinstance(said, Cut):  # "ten 16' 2x4s" asks whether it is cuts
            return shown(said) == (count, 12 * feet, section, "")
        return isinstance(said, BoardsCall) and (
            said.count,
            said.length.inches,
            str(said.section),
        ) == (count, 12 * feet, section)

    return text, fits


def t_boards(r: random.Random) -> tuple[str, Callable[[Reading], bool]]:
    return boards(r, False)


def v_boards(r: random.Random) -> tuple[str, Callable[[Reading], bool]]:
    return boards(r, True)


def metric(r: random.Random, voice: bool) -> tuple[str, Meant]:
    mm = r.randrange(300, 5000)
    if not voice:
        text = r.choice(
            [f"{mm} mm", f"{mm}mm", f"{mm / 1000:.3f} m", f"{mm // 10 * 10 / 10:.0f} cm"]
        )
        mm = mm // 10 * 10 if "cm" in text else mm
        return text, one(F(mm) / F(254, 10))
    metres, cm = divmod(mm // 10, 100)
    if metres and cm > 9 and r.random() < 0.5:
        text, mm = f"{SMALL[metres]} {r.choice(['metre', 'metres'])} {tens(cm)}", 10 * (mm // 10)
    else:
        hundreds = max(3, mm // 100)
        text, mm = f"{tens(hundreds)} hundred {r.choice(['millimetres', 'mil'])}", 100 * hundreds
    return text, one(F(mm) / F(254, 10))


def t_metric(r: random.Random) -> tuple[str, Meant]:
    return metric(r, False)


def v_metric(r: random.Random) -> tuple[str, Meant]:
    return metric(r, True)


def ends(r: random.Random, voice: bool) -> tuple[str, Callable[[Reading], bool]]:
    length = a_length(r, 200)
    angle = r.choice([15, F(45, 2), 30, 45, 45, 45])
    where, both = r.choice([("both ends", True), ("one end", False)])
    point = r.choice(["long", "short"])
    if voice:
        said = spoken_length(length, r)
        degrees = (
            "twenty two and a half degree" if angle == F(45, 2) else f"{tens(int(angle))} degree"
        )
        miter = "miter" if r.random() < 0.5 or not both else "s"
        degrees = degrees + (" miter" if miter == "miter" else "s")
    else:
        said = typed_length(length, r)
        degrees = f"{float(angle):g}" + r.choice(
            ["\u00b0", " deg", " degree miter", "\u00b0 miter"]
        )
    order = r.choice(["{l} {d} {w} {p}", "{l} {w} {d} {p}"])
    text = order.format(l=said, d=degrees, w=where, p=f"{point} point")

    def fits(reading: Reading) -> bool:
        cut = reading.intent
        if not isinstance(cut, Cut) or cut.length.inches != length:
            return False
        first, second = cut.ends
        right = (first.miter, first.point) == (angle, point)
        return right and (second == first if both else second.kind == "square")

    return text, fits


def t_ends(r: random.Random) -> tuple[str, Callable[[Reading], bool]]:
    return ends(r, False)


def v_ends(r: random.Random) -> tuple[str, Callable[[Reading], bool]]:
    return ends(r, True)


def pitched(r: random.Random, voice: bool) -> tuple[str, Callable[[Reading], bool]]:
    length, rise, point = a_length(r, 240), F(r.randrange(2, 13)), r.choice(["long", "short"])
    half = r.random() < 0.25
    rise += F(1, 2) if half else 0
    if voice:
        pitch = (
            f"{tens(int(rise))}{' and a half' if half else ''} {r.choice(['', 'on ', 'in '])}twelve"
        )
        said = spoken_length(length, r)
    else:
        pitch = f"{float(rise):g}/12"
        said = typed_length(length, r)
    text = r.choice(
        ["{l} plumb {c} {p} point", "{l} plumb cut {c} {p} point", "{l} {c} plumb {p} point"]
    )

    def fits(reading: Reading) -> bool:
        cut = reading.intent
        return (
            isinstance(cut, Cut)
            and cut.length.inches == length
            and (cut.ends[0].kind, cut.ends[0].rise, cut.ends[0].point) == ("plumb", rise, point)
        )

    return text.format(l=said, c=pitch, p=point), fits


def t_pitched(r: random.Random) -> tuple[str, Callable[[Reading], bool]]:
    return pitched(r, False)


def v_pitched(r: random.Random) -> tuple[str, Callable[[Reading], bool]]:
    return pitched(r, True)


FORMS: dict[str, Form] = {
    name: form for name, form in list(globals().items()) if name[:2] in ("t_", "v_")
}


def shown(cut: Cut) -> tuple[int, F, str, str]:
    return cut.count, cut.length.inches, str(cut.section or ""), cut.piece or ""


def outcome(said: str, meant: Meant | Callable[[Reading], bool], by_voice: bool) -> str:
    """Return what became of *said*."""
    settings = Settings()
    try:
        parts = [read(said, settings, by_voice)]
        marked = True
    except NotACall:
        try:
            listed = split_calls(said, settings, by_voice)
        except CutmemoError:
            return "refused"
        if listed is None:
            return "refused"
        parts, marked = [part.readings for part in listed.parts], listed.marked
    except CutmemoError:
        return "refused"
    asks = not marked or any(len(each) > 1 or each[0].doubts for each in parts)
    if isinstance(meant, Meant):
        right = len(parts) == len(meant.cuts) and all(
            any(isinstance(each.intent, Cut) and shown(each.intent) == cut for each in readings)
            for readings, cut in zip(parts, meant.cuts, strict=True)
        )
    else:
        right = len(parts) == 1 and any(meant(each) for each in parts[0])
    if asks:
        return "asked, right among them" if right else "asked without it"
    return "right" if right else "WRONG IN SILENCE"


KINDS = ("right", "asked, right among them", "asked without it", "refused", "WRONG IN SILENCE")


def main() -> None:
    number = int(sys.argv[1]) if len(sys.argv) > 1 else 2000
    r = random.Random(int(sys.argv[2]) if len(sys.argv) > 2 else 18)
    only = sys.argv[3:]
    print(f"{'form':14}" + "".join(f"{kind:>26}" for kind in KINDS))
    for name, form in FORMS.items():
        if only and name not in only:
            continue
        found: Counter[str] = Counter()
        examples: dict[str, list[str]] = {}
        for _ in range(number):
            said, meant = form(r)
            what = outcome(said, meant, name.startswith("v_"))
            found[what] += 1
            examples.setdefault(what, []).append(said)
        print(f"{name:14}" + "".join(f"{found[kind]:26}" for kind in KINDS))
        for kind in KINDS[1:] if only else KINDS[2:]:
            for said in dict.fromkeys(examples.get(kind, [])[:6]):
                print(f"    {kind}: {said!r}")


if __name__ == "__main__":
    main()
