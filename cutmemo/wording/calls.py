"""What a call asks, or why it is refused."""

from __future__ import annotations

from cutmemo.domain.doubts import Doubt, DoubtKind
from cutmemo.domain.settings import Settings
from cutmemo.wording.sentence import Sentence, number_of, template


def _an_inch_or_more(doubt: Doubt, settings: Settings) -> str:
    """Say how a fraction of an inch or more is said."""
    over, under = int(number_of(doubt, "over")), int(number_of(doubt, "under"))
    whole, rest = divmod(over, under)
    mixed = f"{whole}-{rest}/{under}" if rest else str(whole)
    much = "an inch" if over == under else "more than an inch"
    return f"{over}/{under} is {much}: say {mixed}."


def _no_number(doubt: Doubt, settings: Settings) -> str:
    """Say that a word counts nothing."""
    return f"{str(doubt.fact('word')).capitalize()} is no number: say how many."


def _decimal_feet(doubt: Doubt, settings: Settings) -> str:
    """Say what feet with a point are in inches."""
    feet = f"{float(number_of(doubt, 'feet')):g}"
    return f"{feet} feet is {number_of(doubt, 'inches')} inches, not feet and inches."


def _put_together(doubt: Doubt, settings: Settings) -> str:
    """Ask about what was read figure by figure, and show what words were kept."""
    said = doubt.fact("said")
    kept = f", with “{said}” kept as it was typed" if said else ""
    return f"This is put together from what stands in the line{kept}: is it right?"


SENTENCES: dict[DoubtKind, Sentence] = {
    DoubtKind.NOT_ON_A_TAPE: template(
        "No tape has {over}/{under}: an inch is cut into 2, 4, 8, 16, 32 or 64."
    ),
    DoubtKind.NO_PARTS: template("0/{under} is nothing."),
    DoubtKind.AN_INCH_OR_MORE: _an_inch_or_more,
    DoubtKind.PARTS_LEFT_OFF: template("Eighths or sixteenths was left off."),
    DoubtKind.SIXTEENTHS_LEFT_OFF: template("Sixteenths were left off, if this is one length."),
    DoubtKind.AND_SWALLOWED: template("Is there an “and a” before the fraction?"),
    DoubtKind.DASHED_FRACTION: template("Dashes or spaces where a fraction has a slash."),
    DoubtKind.PERHAPS_FEET: template("Feet and inches, if this is one length."),
    DoubtKind.FEET_AND_TWELVE: template("Feet with twelve inches are one foot more."),
    DoubtKind.DECIMAL_FEET: _decimal_feet,
    DoubtKind.A_FOOT_OF_INCHES: template(
        "{inches} inches after feet is a foot or more: {all} inches in all."
    ),
    DoubtKind.BURNED_MARK: template(
        "The tape was read from the {off} in. mark: is {off} taken off already?"
    ),
    DoubtKind.NO_NUMBER: _no_number,
    DoubtKind.UNCOUNTED: template(
        "“{said}”, but no number: is it one piece? If not, say how many: “make it four”."
    ),
    DoubtKind.COUNTED_TWICE: template("{number} and {count} may each be how many: is this right?"),
    DoubtKind.SEVERAL_UNCLEAR: template(
        "These are several cuts, and where one ends is not clear: call them one by one, "
        "or type commas between them."
    ),
    DoubtKind.COUNT_OR_LENGTH: template("Is {count} how many, or a length of its own?"),
    DoubtKind.COUNT_OR_WIDTH: template("Is {width} how many, or how wide to rip?"),
    DoubtKind.LENGTH_OR_WIDTH: template("Is {width} how long it is, or how wide to rip?"),
    DoubtKind.LENGTH_OR_SPACING: template("Is {number} how long they are, or how far apart?"),
    DoubtKind.UNKNOWN_WORDS: template("“{said}” is kept as it was typed: is the rest right?"),
    DoubtKind.PUT_TOGETHER: _put_together,
    DoubtKind.PLACE_OR_SET: template(
        "“{said}” may be where it goes, or how long a wall is: then say how high as well."
    ),
    DoubtKind.PLACE_OR_LENGTH: template(
        "Is {number} a length to cut, or the number or the size of the {said}?"
    ),
    DoubtKind.NEW_OR_CORRECTION: template(
        "Is that a new piece? If it corrects the last one, answer no and call “no, …”."
    ),
    DoubtKind.BOARDS_OR_CUTS: template(
        "Is that to be cut? Boards for the rack are called footers: “ten 2x4 sixteen footers”."
    ),
    DoubtKind.LINE_TOO_LONG: template("That is longer than any list: at most {most} characters."),
    DoubtKind.HIDDEN_SIGN: template(
        "A sign in it cannot be seen ({sign}). Leave it out, and it is taken."
    ),
    DoubtKind.TOO_TWISTED: template(
        "These words can be read in too many ways: say it in fewer words, or in parts."
    ),
    DoubtKind.COMMA_IN_NUMBER: template(
        "A comma inside a number. Two cuts need a space behind it; "
        "thousands are written without it, tenths with a point."
    ),
    DoubtKind.PARTLY_MUTED: template(
        "Listening broke off, or the memo was speaking: is all of the call here?"
    ),
    DoubtKind.AFTER_UNINTELLIGIBLE: template(
        "Something right before was not understood: is all of the call here?"
    ),
    DoubtKind.ONE_FIGURE: template(
        "Nothing but one figure was heard: is that a length? Say “inches” behind it, or its piece."
    ),
}
