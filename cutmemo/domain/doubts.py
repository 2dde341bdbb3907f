"""Why a call asks, what to mind about it, or why it is refused: as values, never as sentences.

``wording`` turns them into what a person reads.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from fractions import Fraction

from cutmemo.domain.cut import Field as Field
from cutmemo.domain.length import Length

Fact = str | int | Fraction | Length
"""What a doubt may carry: words, exact numbers, lengths."""


ANY_FIELD = frozenset(Field)


class DoubtKind(StrEnum):
    """Every kind of doubt, caution and refusal there is. The text is what a memo keeps: never
    change one.
    """

    AS_WRITTEN = "as written"
    """A sentence from a memo of the first format; its fact is ``text``."""

    # --- what words say ------------------------------------------------------------------------
    NOT_ON_A_TAPE = "not on a tape"
    """A fraction that no tape has: ``over``, ``under``."""
    NO_PARTS = "no parts of an inch"
    """A fraction of nothing: ``under``."""
    AN_INCH_OR_MORE = "an inch or more"
    """A fraction that is an inch or more: ``over``, ``under``."""
    PARTS_LEFT_OFF = "parts left off"
    """Eighths or sixteenths was not said."""
    SIXTEENTHS_LEFT_OFF = "sixteenths left off"
    AND_SWALLOWED = "and swallowed"
    """A fraction right behind a number that may have been "and a": fifty six quarter."""
    DASHED_FRACTION = "dashed fraction"
    """A fraction written with dashes: 92-5-8."""
    PERHAPS_FEET = "perhaps feet"
    """Two bare numbers that may be feet and inches."""
    FEET_AND_TWELVE = "feet and twelve"
    """Two bare numbers, the second twelve."""
    DECIMAL_FEET = "decimal feet"
    """Feet with a point: ``feet``, ``inches``."""
    A_FOOT_OF_INCHES = "a foot of inches"
    """Twelve inches or more after feet: ``inches``, and ``all`` in inches."""
    BURNED_MARK = "burned mark"
    """The tape was read from another mark: ``off`` inches."""
    NO_NUMBER = "no number"
    """A word that counts nothing: ``word``."""
    UNCOUNTED = "uncounted"
    """More than one, and no number: ``said``."""
    COUNTED_TWICE = "counted twice"
    """Two numbers that may each be how many: ``number`` and ``count``."""
    SEVERAL_UNCLEAR = "several, unclear"
    """Several cuts, and where one ends is not clear."""
    COUNT_OR_LENGTH = "count or length"
    """A number right before a board: ``count`` of it, or a length by itself."""
    COUNT_OR_WIDTH = "count or width"
    """A number behind "rip": how many, or how wide; ``width``."""
    LENGTH_OR_WIDTH = "length or width"
    """The only number behind "rip": how long, or how wide; ``width``."""
    LENGTH_OR_SPACING = "length or spacing"
    """A usual spacing behind "at": how long, or how far apart; ``number``."""
    UNKNOWN_WORDS = "unknown words"
    """Words of no table, kept as they were typed: ``said``."""
    PUT_TOGETHER = "put together"
    """Put together from the figures of a line that is no call as it stands; ``said`` are the words
    that were kept.
    """
    PLACE_OR_SET = "place or set"
    """A number behind what a set is called by: ``said`` is a place, or how long a wall is."""
    PLACE_OR_LENGTH = "place or length"
    """Nothing but a place that has numbers or a size, ``said``, and a whole ``number``."""
    NEW_OR_CORRECTION = "new or correction"
    """A length behind "that's" or "it's": a row of its own, or what the last one should be."""
    BOARDS_OR_CUTS = "boards or cuts"
    """So many of a whole length of feet and a size: cuts, or boards for the rack."""
    LINE_TOO_LONG = "line too long"
    """More than ``most`` characters."""
    HIDDEN_SIGN = "hidden sign"
    """A ``sign`` that cannot be seen."""
    TOO_TWISTED = "too twisted"
    """Words that can be read in too many ways."""
    COMMA_IN_NUMBER = "comma in a number"

    # --- what a cut is -------------------------------------------------------------------------
    NO_LENGTH = "no length"
    """Nothing, or less."""
    NONE_OF_IT = "none of it"
    """A count of zero."""
    PAST_ALL_WOOD = "past all wood"
    """More than any wood, roof or saw has."""
    TOO_LONG = "too long"
    """Longer than the longest board: ``longest``."""
    TOO_FINE = "too fine"
    """Finer than the crew's tape: ``fineness`` marks an inch."""
    SHORT_PIECE = "short piece"
    """So short that hands come near the blade: ``shortest``."""
    POINT_NOT_SAID = "point not said"
    POINT_ON_SQUARE = "point on a square end"
    ANGLE_NOT_SAID = "angle not said"
    PAST_SWING = "past the swing"
    """``angle`` and ``limit``, in degrees."""
    PAST_TILT = "past the tilt"
    """``angle`` and ``limit``, in degrees."""
    WIDE_SIDE_FIRST = "wide side first"
    """``thickness`` and ``width`` as they were said, in nominal inches."""
    TOO_MANY = "too many"
    """``count``, and the ``most`` that is usual."""
    SAID_TWICE = "said twice"
    BURNED_INCH = "burned inch"
    """``off`` inches longer (below zero: shorter) than ``number`` at ``length``; 0 for a stud from
    the mill.
    """
    TURNED_ROUND = "turned round"
    """Figures or a fraction turned round of a set of ``number`` at ``length``; 0 for a stud from
    the mill.
    """
    RAFTERS_DIFFER = "rafters differ"
    """A rafter a little off another one at ``length``."""
    ENDS_CROSS = "ends cross"
    """The cuts of both ends meet before the piece is over."""
    PAST_EVERY_BOARD = "past every board"
    """Longer than every board of its section on the rack: ``longest``."""
    SOUNDS_LIKE = "sounds like"
    """``length`` is on the list, and sounds the same."""

    # --- sets ----------------------------------------------------------------------------------
    SET = "set"
    """A remark of a set: its kind as ``remark``, and its own values."""

    # --- what was heard ------------------------------------------------------------------------
    PARTLY_MUTED = "partly muted"
    """Some of it may have been said while nobody listened."""
    AFTER_UNINTELLIGIBLE = "after something unintelligible"
    ONE_FIGURE = "one figure"
    """A call of one figure and nothing else."""

    # --- the memo ------------------------------------------------------------------------------
    HEARD_TWO_WAYS = "heard two ways"
    SAID_TWO_WAYS = "said two ways"
    ONE_OF_SEVERAL = "one of several"
    """Called with others in one breath."""
    ASSEMBLY_BY_VOICE = "assembly by voice"
    ASKED_LONG_AGO = "asked long ago"
    """A spoken answer too late to be surely one: ``row`` asks."""
    PERHAPS_AN_ANSWER = "perhaps an answer"
    """A spoken bare number that names a reading of ``row``, too late to be surely its answer."""
    UNDER_AN_INCH_BY_VOICE = "under an inch by voice"
    """A whole call under an inch, which is rarer than another call misheard."""
    HEARD_RIGHT_AFTER = "heard right after"
    """``words`` came right behind the call; ``joint`` of its readings, the first ones, take both
    together.
    """
    LOUD_RIGHT_AFTER = "loud right after"
    """Something as loud came right behind the call and was not understood."""
    HEARD_RIGHT_BEFORE = "heard right before"
    """``words`` came right before it and were no call."""
    PERHAPS_A_REST = "perhaps a rest"
    """It may be the rest of the call of ``row``, whose id is ``first``."""
    MAY_GO_ON = "may go on"
    """``row`` was called this moment; more of the call may come."""
    CUT_AS_BEFORE = "cut as before"
    """``count`` pieces were cut as ``length`` before the row was corrected to ``new``; ``to_add``
    is how many of the new it asks to add, 0 where it asks nothing."""
    WENT_ON_APART = "went on apart"
    """The call was taken back; ``person`` at ``station``, who could not know, went on with it."""
    NO_CALL_YET = "no call yet"
    OR_OF_A_ROW = "or of a row"
    """What reads as a cut may be said of a row on the list as well."""
    DONE_OR_NEW = "done or new"
    """A length behind "cut" that waits already: ``rows``, their numbers, and the first, ``row``."""
    ENDS_WITHOUT_LENGTH = "ends without length"
    """Nothing but how ends are cut."""
    CHEEK_WITHOUT_PITCH = "cheek without pitch"
    MORE_THAN_ONE = "more than one"
    """One piece was named, and ``row`` is ``count`` of them."""
    NONE_WOULD_BE_LEFT = "none would be left"
    """So many fewer than the ``count`` of ``row``."""
    ANOTHER_OR_ITSELF = "another piece or the last itself"
    """A length was said to be longer or shorter: of the row called last, or of another piece."""
    LAST_ONE_STRUCK = "last one struck"
    """ "The last one" may be ``row``, which stands, or ``struck``, which was called behind it."""
    LAST_WAS_AN_ASSEMBLY = "last was an assembly"
    """``title``."""
    NO_ROW_OF_LENGTH = "no row of that length"
    """``length``."""
    SEVERAL_ROWS_OF_LENGTH = "several rows of that length"
    """``rows``, their numbers; ``length``."""
    NO_ROW_OF_PIECE = "no row of that piece"
    """``piece``."""
    SEVERAL_ROWS_OF_PIECE = "several rows of that piece"
    """``rows``, their numbers; ``piece``."""
    NOT_WHAT_IT_IS = "not what it is"
    """``row`` is ``now`` what it was said to be no longer."""
    NOT_SAID = "nothing said of it"
    """The size or the piece of ``row``, which was said to be another one."""
    NOT_THAT_LONG = "not that long"
    """A row is ``length``, and not what it was said to be."""
    NOT_SO_MANY = "not so many"
    """``row`` is ``count`` pieces already."""
    FEWER_LEFT = "fewer left"
    """Only ``left`` pieces of ``row`` are left."""
    PLANNING_UNDERWAY = "planning underway"
    NOTHING_AT_SAW = "nothing at the saw"
    ALL_ON_HOLD = "all on hold"
    NO_QUESTION_OPEN = "no question open"
    ASKS_NOTHING = "asks nothing"
    """``row``."""
    NO_SUCH_READING = "no such reading"
    """``row``, ``choice``, ``of`` how many."""
    TAKEN_BACK_ALREADY = "taken back already"
    ASSEMBLY_BEGUN = "assembly begun"
    FEWER_THAN_CUT = "fewer than cut"
    """``done`` of ``row``."""
    COUNT_IN_QUESTION = "count in question"
    """``row``."""
    CUT_MEANWHILE = "cut meanwhile"
    """``row``."""
    SEVERAL_LEFT = "several left"
    """``left`` of ``row``."""
    ASKS_FIRST = "asks first"
    """``row``."""
    STATE_ALREADY = "state already"
    """``row``, ``state``."""
    NOTHING_TO_PUT_BACK = "nothing to put back"
    NOTHING_CUT = "nothing cut"
    """``row``."""
    NO_PIECE_IN_HAND = "no piece in hand"
    NOTHING_ON_HOLD = "nothing on hold"
    NOT_ON_HOLD = "not on hold"
    """``row``."""
    ONLY_ROW = "only row"
    NOTHING_TO_UNDO = "nothing to undo"
    NOTHING_TO_REDO = "nothing to redo"
    ROW_IN_USE = "row in use"
    """``person`` at ``station`` went on with it."""
    BOARDS_IN_USE = "boards in use"
    """``person`` at ``station`` went on with them."""
    ONLY_ORDERS_AT_SAW = "only orders at the saw"
    ORDER_HEARD_TWO_WAYS = "order heard two ways"
    CHOICE_OR_LENGTH = "choice or length"
    ORDER_SAID_TWO_WAYS = "order said two ways"
    TWO_ROWS_NAMED = "two rows named"
    """A number that is the number of one row and the length of another: ``rows``."""

    # --- boards --------------------------------------------------------------------------------
    BOARD_FEET_OR_INCHES = "board in feet or inches"
    """A board of a bare ``number``, which may be either."""
    CAME_OR_TO_CUT = "came or to cut"
    """Lumber was called by its name alone: it may have come, or be wanted."""
    BOARD_WITHOUT_SECTION = "board without a section"
    """``length``."""
    TOO_MANY_TO_PLAN = "too many to plan"
    """``pieces``; ``most`` there may be."""
    NO_SUCH_BOARDS = "no such boards"
    """``name``."""
    BOARD_LENGTH = "board length"
    """``inches``; ``most_feet``."""
    BOARD_COUNT = "board count"
    """``count``; ``least`` and ``most``."""
    BAD_PART_OFF_BOARD = "bad part off the board"
    """From ``begin`` to ``end`` of ``inches``."""

    # --- loads between sites -------------------------------------------------------------------
    NOTHING_NAMED = "nothing named"
    """Neither a row nor boards, or no site that they go to."""
    SITE_NOT_NAMED = "site not named"
    """This site has no name yet, by which others could know it."""
    SENT_TO_ITSELF = "sent to itself"
    """``to`` is this site."""
    SITE_NOT_KNOWN = "site not known"
    """By voice, and no load went to or came from ``to`` before."""
    NO_PIECE_HERE = "no piece here"
    """No cut piece of ``row`` is at this site."""
    FEWER_HERE = "fewer here"
    """``count`` of ``row`` are at this site."""
    NO_BOARD_OF_LENGTH = "no board of that length"
    """``length``."""
    SEVERAL_BOARDS_OF_LENGTH = "several boards of that length"
    """``boards``, their numbers; ``length``."""
    FEWER_BOARDS = "fewer boards"
    """``count`` of ``name`` are on the rack."""
    NO_LOAD = "no load"
    """None is on its way here."""
    NO_SUCH_LOAD = "no such load"
    """``number``."""
    SEVERAL_LOADS = "several loads"
    """``loads``, their numbers."""
    ARRIVED_ALREADY = "arrived already"
    """At ``to``."""

    # --- settings ------------------------------------------------------------------------------
    NO_SUCH_SETTING = "no such setting"
    """``name``; ``settings`` there are."""
    NO_SUCH_VALUE = "no such value"
    """``text`` for ``name``; ``values`` there are."""
    NO_SIZE = "no size"
    """``text`` for ``name``."""
    NO_AMOUNT = "no amount"
    """``name`` must be more than nothing."""
    FEET_OR_INCHES = "feet or inches"
    """A number for the setting ``name`` that may be either: ``text``."""
    PAST_ANY_SIZE = "past any size"
    """``text`` for ``name``; the ``most`` there is, in inches."""


@dataclass(frozen=True, slots=True)
class Doubt:
    """One thing that is not certain about a call, or that is wrong with it.

    The same value stands for a question, for a caution beside a row and for the reason of a
    refusal; which of them it is, is told by where it stands.
    """

    kind: DoubtKind
    about: frozenset[Field] = ANY_FIELD
    """The fields it is about: once one of them is said anew, it is settled."""
    words: tuple[tuple[str, str], ...] = ()
    numbers: tuple[tuple[str, Fraction], ...] = ()
    lengths: tuple[tuple[str, Length], ...] = ()
    """Its facts by name, apart by type, so that a memo can hold and check them."""

    def fact(self, name: str) -> Fact:
        """Return the fact called *name*, a whole number as an ``int``. Raises :class:`KeyError`."""
        facts: dict[str, Fact] = {**dict(self.words), **dict(self.lengths)}
        numbers = dict(self.numbers)
        if name in numbers:
            number = numbers[name]
            return int(number) if number.denominator == 1 else number
        return facts[name]


def doubt(kind: DoubtKind, *about: Field, **facts: Fact) -> Doubt:
    """Return a doubt of *kind* about some fields (all, where none is named) with its *facts*."""
    return Doubt(
        kind,
        frozenset(about) or ANY_FIELD,
        tuple((name, each) for name, each in facts.items() if isinstance(each, str)),
        tuple((n, Fraction(each)) for n, each in facts.items() if isinstance(each, int | Fraction)),
        tuple((name, each) for name, each in facts.items() if isinstance(each, Length)),
    )
