"""What a set comes with, in words: its title, facts, cautions, questions, and why it cannot be."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from string import Formatter
from typing import Any

from cutmemo.domain.length import Length, format_length
from cutmemo.domain.settings import Settings
from cutmemo.framing import Angle, Remark, RemarkKind, Value

K = RemarkKind

SENTENCES: dict[RemarkKind, str] = {
    # --- titles
    K.WALL: "Wall {length} long, {height} high",
    K.FLOOR: "Floor {length} long, {span} across",
    K.DECK: "Deck {length} long, {span} out",
    K.RAKE: "{set} {length} long, {pitch}",
    K.STAIRS: "Stairs, rise {rise}, {risers} risers",
    # --- facts: roofs
    K.SLOPE_LENGTHS: "Ridge to building line {upper} along the top edge, tail {tail}.",
    K.PLUMB_CUT: "Plumb cuts {angle} off square ({pitch}).",
    K.BIRDSMOUTH: "Birdsmouth: seat {seat} level, heel {heel} plumb, {deep} deep square to the edge.",
    K.HEIGHT_ABOVE_PLATE: "Height above the plate {above}, plumb at its outer edge.",
    K.PLUMB_DEPTH: "The plumb cut is {deep} tall: many codes ask for a ridge board no shallower (IRC R802.3).",
    K.FASCIA_OFF: "The fascia of {fascia} is taken off the overhang of {overhang}.",
    K.RAFTER_COUNT: "{count} rafters, {side} a side.",
    K.RAFTER_MARKS: "Near edges along the plate: {marks}.",
    K.HIP_LENGTHS: "Theoretical {theory} to the corner, shortened {upper}, tail {tail}.",
    K.HIP_SHORTENED: "Shortened by {level} level for {at}.",
    K.HIP_CHEEKS: "Cheeks at 45°, at the tail too. Backing {backing}.",
    K.VALLEY_CHEEKS: "Cheeks at 45°; a valley is not backed.",
    K.HIP_CHEEKS_UNEQUAL: "Cheeks on the plan: {main} off square for the main roof, {end} for the other.",
    K.HIP_DROP: "Not backed, it drops {drop}: cut the seat that much deeper, plumb.",
    K.HIP_DROPS: "Not backed, its edge stands {main} over the main roof and {end} over the other: drop it by the larger.",
    K.HIP_SEAT: "Seat {seat} level along it, over the corner of the plates.",
    K.HIP_HEIGHT: "Height above the plate {own}: the commons' {commons}, less the drop.",
    K.OTHER_SIDE: "For the fascias to meet, the other roof's overhang is {overhang}.",
    K.ALONG_MIDDLE: "Measured along the middle of the top edge.",
    K.JACK_STEP: "At {pitch}, each is {step} longer than the one before, {spacing} apart from the corner.",
    K.JACK_CHEEK: "Cheek: miter {miter} with a {bevel} bevel; on the top edge {top!n} on 12.",
    K.JACK_POINT: "To the long point of the cheek, shortened for a hip {hip} thick; {less} less along the middle.",
    K.VALLEY_JACK_POINT: "Ridge to the long point of the cheek, shortened for a valley {hip} thick; {less} less along the middle.",
    K.VALLEY_CRIPPLE_POINTS: "Long point to long point, shortened for two valleys {hip} thick.",
    K.CRIPPLE_JACKS_ALIKE: "Both cheeks run the same way, so each edge is as long as the middle; shortened for a hip and a valley {hip} thick.",
    K.COMMON_DIFFERENCE: "Each stud is {step} longer than the one before, {spacing} apart.",
    K.STUD_TOPS: "Tops cut at {angle} to the slope.",
    K.STUD_POINT: "Studs to the long point.",
    # --- facts: walls and floors
    K.STUD_LENGTH: "Studs {stud} under {plates} top plates, {spacing} on center.",
    K.STUD_MARKS: "Near edges from the end: {marks}.",
    K.OPENING_PLACE: "Opening from {left} to {right}, bottom of the header at {height}.",
    K.OPENING_SIDES: "Its kings at {kings}, trimmers at {trimmers}.",
    K.CRIPPLE_MARKS: "Cripples over its header at {marks}.",
    K.SILL_CRIPPLE_MARKS: "Cripples under its sill at {marks}.",
    K.HEADER_THICKNESS: "The header of {plies} at {at} is {thick} thick in a wall of {wall}: pack it out.",
    K.CORNER_PLACE: "Corner at the {end} end: a second stud, with spacers between.",
    K.TEE_PLACE: "Tee at {at}: a backing stud laid flat between two.",
    K.CAP_LAPS: "The cap plates of the walls lap {wide} over each other at the corners.",
    K.CAP_GAPS: "The cap plate leaves {wide} at each tee for the partition's to lap in.",
    K.JOIST_LENGTH: "Joists {inside} between the rims, {spacing} on center.",
    K.JOIST_MARKS: "Near edges from the end: {marks}.",
    K.FLOOR_OPENING: "Opening from {left} to {right} along, {near} to {far} across; joists and headers doubled.",
    K.DECK_BOARDS: "{number} deck boards of {board} with gaps of {gap}; the last is {last} wide.",
    # --- facts: stairs
    K.RISERS: "{number} risers of {each} ({each!d} in.).",
    K.GAUGES: "Stair gauges on the framing square at these two figures; the first and the last riser follow the floors.",
    K.FIRST_RISER: "Drop the stringer by the tread: the first riser is cut {first}.",
    K.RISERS_ADD_UP: "{number} risers of {each} add up to {off} {way}: adjust.",
    K.THROAT: "The steps leave a throat of {left}.",
    K.STEP_MARKS: "Marks along the edge of the stringer, {step} apart: {marks}.",
    K.WELL: "Headroom at the edge of the well {room}.",
    # --- cautions
    K.ARITHMETIC_ONLY: "Arithmetic only: plans, local code and the inspector govern. Cut one, try it, then cut the rest.",
    K.SHORT_BEARING: "A seat of {seat} bears less than 1-1/2 in.: ask the plan or the inspector.",
    K.DEEP_NOTCH: "The notch of {notch} is more than a quarter of {depth}, and many codes allow no more at a bearing: ask first.",
    K.DOOR_PLATE: "The bottom plate is cut out at doors later.",
    K.PACK_GAP: "The gap of {gap} at {at} takes no stud: pack it solid.",
    K.PACK_HEADER: "The {gap} over the header at {at} takes no cripples: pack it, or take a deeper header.",
    K.NO_ROOM_FOR_JOINTS: "The joints of the top plates are less than 24 in. apart: splice them as the code says.",
    K.DECK_PLAN: "How the ledger is fastened, beams, posts and footings are the plan's.",
    K.SHORT_TREADS: "Treads of {run} are less than many codes ask for (10).",
    K.THIN_THROAT: "A throat of {left} is less than {least}, which is usual at least: take a deeper stringer, or ask the plan.",
    K.NEEDS_LANDING: "A rise of {rise} may need a landing: IRC R311.7.3 allows 147 in. (2015) or 151 in. (2018 and later) in one flight.",
    K.NARROW: "A width of {width} is less than many codes ask for (36).",
    K.LOW_HEADROOM: "Headroom of {room} is less than many codes ask for (80): a well of {needed} would give it.",
    # --- questions
    K.FEET_SIZED: "{name} {value}: inches, or feet? If feet, take it back and say the foot marks.",
    K.LOW_HEAD: "The opening at {at} ends {height} over the floor: is that the bottom of its header, "
    "or the height of the window itself? If the window's, take it back and add the sill.",
    # --- why it cannot be
    K.NO_ROOF: "A run of {run} is no roof.",
    K.NO_RIDGE: "A building {length} long is too short for hips at both ends of a span of {span}.",
    K.NO_JACK: "No jack fits: the spacing of {spacing} reaches past the run of {run}.",
    K.FLAT_OR_STEEP: "A pitch of {pitch} is no roof.",
    K.NO_TAIL: "A fascia of {fascia} leaves no tail of an overhang of {overhang}.",
    K.NO_ROOM_FOR_STUDS: "A wall {length} long and {height} high has no room for studs.",
    K.NO_ROOM_FOR_KING: "The opening at {at} leaves no room for its kings and trimmers.",
    K.NO_ROOM_FOR_END_STUD: "The opening at {at} leaves {left} for an end stud: move it.",
    K.NO_ROOM_FOR_CORNER: "An opening stands where the corner at the {end} end would: move it.",
    K.NO_ROOM_FOR_TEE: "There is no room for the studs of a tee at {at}.",
    K.HEADER_DEPTH_UNKNOWN: "How deep is the {section} header? Say it: … header {section} deep 9-1/2.",
    K.HEADER_TOO_DEEP: "A {section} header over {height} does not fit under the top plates.",
    K.NO_OPENING: "{width} wide and {height} high is no opening.",
    K.SILL_TOO_HIGH: "A sill {sill} up does not fit under {height}.",
    K.NO_ROOM_FOR_JOISTS: "A floor {length} long and {span} across has no room for joists.",
    K.OPENING_OUTSIDE: "The opening at {at} leaves no room for its doubled joists and headers.",
    K.NEEDS_TOO: "“{said}” is used only beside “{needs}”: say that too.",
    K.PAST_ANY: "{said} of {value} is past any there is ({most}): say it again.",
    K.TOO_CLOSE: "{said} of {value} is closer than any there is ({least}): say it again.",
    K.SAID_BY: "“{by}” says it already: leave “{said}” out.",
    K.ONE_STEP: "A rise of {rise} is one step: no flight.",
    K.TREAD_TOO_THICK: "A tread {thick} thick is no less than the riser of {riser}.",
    K.NO_THROAT: "A {section} stringer has nothing left under steps of {riser} by {run}: take a deeper one.",
    K.SECTION_UNKNOWN: "How thick and deep is {section}? Say a size that has one: 2x10.",
}


def _many(number: Value, name: str) -> str:
    return f"{number} {name}{'' if number == 1 else 's'}"


def _rafters(remark: Remark, of: Callable[[Value], str]) -> str:
    count, pitch, run = (remark.value(name) for name in ("count", "pitch", "run"))
    return f"{_many(count, str(dict(remark.values).get('piece', 'common rafter')))}, {pitch}, run {of(run)}"


def _jacks(remark: Remark, of: Callable[[Value], str]) -> str:
    pieces, kind, count, pitch = (
        remark.value(name) for name in ("pieces", "jack", "count", "pitch")
    )
    if kind in ("cripple", "valley cripple"):
        return f"{_many(pieces, f'{kind} jack rafter')}, {pitch}"
    of_what = _many(count, str(kind))
    return f"{_many(pieces, 'jack rafter')} for {of_what}, {pitch}"


def _ridge_height(remark: Remark, of: Callable[[Value], str]) -> str:
    values = dict(remark.values)
    top = (
        f", the top of the ridge board {of(values['top'])} over the plate"
        if "top" in values
        else ""
    )
    return f"Total rise {of(values['rise'])}{top}."


def _hip_plumb(remark: Remark, of: Callable[[Value], str]) -> str:
    pitch = str(remark.value("pitch"))
    rise, is_rise, _ = pitch.partition("/12")
    on = f" ({rise} on 16.97)" if is_rise and remark.value("equal") else ""
    return f"Plumb cuts {of(remark.value('angle'))} off square{on}."


def _jack_sides(remark: Remark, of: Callable[[Value], str]) -> str:
    if remark.value("equal"):
        return "Half of each length is left, half right."
    return "The first lengths are the main roof's, the others the other roof's."


def _treads(remark: Remark, of: Callable[[Value], str]) -> str:
    number, run, total = (remark.value(name) for name in ("number", "run", "total"))
    return f"{_many(number, 'tread')} of {of(run)} run, {of(total)} in all."


def _plate_joints(remark: Remark, of: Callable[[Value], str]) -> str:
    names = (("lower", "Sole and top plate"), ("upper", "Cap plate"))
    joined = [(name, remark.value(which)) for which, name in names]
    return " ".join(f"{name} joined at {of(marks)}." for name, marks in joined if marks)


def _plies_assumed(remark: Remark, of: Callable[[Value], str]) -> str:
    plies = remark.value("plies")
    counted = f"{plies} {'ply' if plies == 1 else 'plies'}"
    return f"A header is counted with {counted} where none were said: size and plies are the plan's to give."


def _blocking(remark: Remark, of: Callable[[Value], str]) -> str:
    return (
        f"{_many(remark.value('rows'), 'row')} of blocks, evenly over the span, none in an opening."
    )


_EXAMPLES: dict[str, str] = {
    "rafters": "rafters span 24' pitch 7/12",
    "hips": "hips span 24' pitch 7/12",
    "valleys": "valleys span 24' pitch 7/12",
    "jacks": "jacks span 24' pitch 7/12 spacing 16",
    "valley jacks": "valley jacks span 24' pitch 7/12 spacing 16",
    "valley cripples": "valley cripples run 8' pitch 7/12 spacing 16",
    "cripple jacks": "cripple jacks run 4' pitch 7/12",
    "gable studs": "gable studs span 24' pitch 7/12",
    "rake wall": "rake wall 12' high 97-1/8 pitch 4/12",
    "wall": "wall 12' high 97-1/8",
    "floor": "floor 24' span 14' 2x10",
    "deck": "deck 16' span 12' 2x8",
    "stairs": "stairs rise 107",
}
_MEASURES: dict[str, str] = {
    "length": "how long it is",
    "high": "how high it is, plates and all",
    "run": "the span or the run",
    "pitch": "the pitch",
    "spacing": "the spacing",
    "header": "the header's section, as the plan gives it",
    "rise": "the total rise, floor to floor",
    "span": "how far the joists reach",
}


def _missing(remark: Remark, of: Callable[[Value], str]) -> str:
    kind = str(remark.value("set"))
    names = [_MEASURES[name] for name in str(remark.value("names")).split(", ")]
    example = (
        f"{_EXAMPLES[kind]} … header 2x10" if names[0].startswith("the header") else _EXAMPLES[kind]
    )
    return f"Say {' and '.join(names)} too: {example}."


def _unused(remark: Remark, of: Callable[[Value], str]) -> str:
    kind, said, instead = (str(remark.value(name)) for name in ("set", "said", "instead"))
    hint = f"Say “{instead}”." if instead else f"What is used: {remark.value('uses')}."
    what = "a count" if said == "count" else f"“{said}”"
    return f"For {kind} nothing uses {what}. {hint}"


SPECIAL: dict[RemarkKind, Callable[[Remark, Callable[[Value], str]], str]] = {
    K.RAFTERS: _rafters,
    K.HIPS: _rafters,
    K.JACKS: _jacks,
    K.RIDGE_HEIGHT: _ridge_height,
    K.HIP_PLUMB_CUT: _hip_plumb,
    K.JACK_SIDES: _jack_sides,
    K.TREADS: _treads,
    K.BLOCKING: _blocking,
    K.PLIES_ASSUMED: _plies_assumed,
    K.PLATE_JOINTS: _plate_joints,
    K.MISSING: _missing,
    K.UNUSED: _unused,
}


class _Figures(Formatter):
    """Writes values of a remark: inches as the crew shows them, ``!d`` with decimals, ``!n`` as a
    bare number.
    """

    def __init__(self, settings: Settings) -> None:
        self.settings = settings

    def convert_field(self, value: Any, conversion: Any) -> Any:
        if conversion == "d":
            return f"{float(value):.3f}".rstrip("0").rstrip(".")
        if conversion == "n":
            return f"{float(value.degrees):.1f}"
        return super().convert_field(value, conversion)

    def format_field(self, value: Any, format_spec: str) -> str:  # noqa: ARG002 - Formatter's
        return self.of(value)

    def of(self, value: Value) -> str:
        """Return *value* in the crew's figures."""
        if isinstance(value, Fraction):
            return str(format_length(Length(value), self.settings.display, self.settings.fineness))
        if isinstance(value, Angle):
            return f"{float(value.degrees):.1f}°"
        if isinstance(value, tuple):
            return ", ".join(self.of(each) for each in value) or "none"
        return str(value)


def remark_in_words(remark: Remark, settings: Settings | None = None) -> str:
    """Return *remark* as a sentence (a title: as a heading), lengths as *settings* show them."""
    figures = _Figures(settings or Settings())
    special = SPECIAL.get(remark.kind)
    if special is not None:
        return special(remark, figures.of)
    return figures.vformat(SENTENCES[remark.kind], (), dict(remark.values))
