"""What is wrong or doubtful about a cut, and about a setting."""

from __future__ import annotations

from cutmemo.domain.cut import degrees
from cutmemo.domain.doubts import Doubt, DoubtKind
from cutmemo.domain.settings import Settings
from cutmemo.wording.sentence import Sentence, length_of, number_of, template


def _past_the_saw(what: str) -> Sentence:
    """Return the sentence for an angle past what the saw does."""

    def said(doubt: Doubt, settings: Settings) -> str:
        angle, limit = number_of(doubt, "angle"), number_of(doubt, "limit")
        return f"{degrees(angle)}° is past the saw's {what} of {degrees(limit)}°."

    return said


def _burned_inch(doubt: Doubt, settings: Settings) -> str:
    """Say how far a length is off its set."""
    off = number_of(doubt, "off")
    more = "longer" if off > 0 else "shorter"
    return f"Exactly {abs(off)} in. {more} than {_set(doubt, settings)}: burned inch?"


def _turned_round(doubt: Doubt, settings: Settings) -> str:
    """Say of which set a length looks like a slip."""
    return f"Looks like {_set(doubt, settings)} with figures turned round."


def _set(doubt: Doubt, settings: Settings) -> str:
    """Name a set of equal pieces, or a stud from the mill."""
    number, length = doubt.fact("number"), length_of(doubt, "length", settings)
    return f"{number} at {length}" if number else f"a mill-cut stud of {length}"


SENTENCES: dict[DoubtKind, Sentence] = {
    DoubtKind.NO_LENGTH: template("A length must be more than nothing."),
    DoubtKind.NONE_OF_IT: template("A count of zero cuts nothing."),
    DoubtKind.PAST_ALL_WOOD: template(
        "No wood is that large, and no saw turns so far: say it again."
    ),
    DoubtKind.TOO_LONG: template("Longer than the longest board ({longest})."),
    DoubtKind.TOO_FINE: template("Finer than the tape's 1/{fineness} in."),
    DoubtKind.SHORT_PIECE: template(
        "Under {shortest}: hands come near the blade. Clamp it, or cut it off a longer piece."
    ),
    DoubtKind.POINT_NOT_SAID: template(
        "An angled end: is the length to the long point or the short point?"
    ),
    DoubtKind.POINT_ON_SQUARE: template("A long or short point was named on a square end."),
    DoubtKind.ANGLE_NOT_SAID: template("An angled end, but the angle was not said."),
    DoubtKind.PAST_SWING: _past_the_saw("swing"),
    DoubtKind.PAST_TILT: _past_the_saw("tilt"),
    DoubtKind.WIDE_SIDE_FIRST: template("A board is named thin side first: {width}x{thickness}?"),
    DoubtKind.TOO_MANY: template("{count} of one: more than {most}."),
    DoubtKind.SAID_TWICE: template("The same call came a moment ago."),
    DoubtKind.BURNED_INCH: _burned_inch,
    DoubtKind.TURNED_ROUND: _turned_round,
    DoubtKind.RAFTERS_DIFFER: template("Rafters stand in pairs, and another one is {length}."),
    DoubtKind.ENDS_CROSS: template("The cuts of both ends meet before the piece is over."),
    DoubtKind.PAST_EVERY_BOARD: template(
        "Longer than every board of its section on the rack ({longest})."
    ),
    DoubtKind.SOUNDS_LIKE: template("Sounds like {length}, which is in the memo too."),
    DoubtKind.NO_SUCH_SETTING: template("There is no setting “{name}”. Settings: {settings}."),
    DoubtKind.NO_SUCH_VALUE: template("“{text}” is no value for {name}. Values: {values}."),
    DoubtKind.NO_SIZE: template("“{text}” is no size for {name}. Write inches, as 1/8 or 14-1/2."),
    DoubtKind.FEET_OR_INCHES: template(
        "“{text}” for {name}: feet or inches? Write {text}' or {text}\"."
    ),
    DoubtKind.NO_AMOUNT: template("{name} must be more than nothing."),
    DoubtKind.PAST_ANY_SIZE: template(
        "“{text}” is more than any {name}: at most {most} in. Write inches, as 1/8."
    ),
}
