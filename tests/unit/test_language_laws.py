"""Laws of the language: what is spoken is read back as the same, and nothing is read that was not said."""

from __future__ import annotations

import itertools
import sys
from fractions import Fraction as F

import num2words
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from cutmemo.domain.cut import Allowance, Cut, End, Section
from cutmemo.domain.doubts import DoubtKind, doubt
from cutmemo.domain.length import Length, format_length
from cutmemo.errors import NotACall, Refused
from cutmemo.language import digits_of, read, sampler, speak, split_calls
from cutmemo.language.intent import Command, Reading
from cutmemo.language.lexicon import en as trade
from cutmemo.language.lexicon.table import Table
from cutmemo.language.reading import _merged

SIXTY_FOURTHS = st.integers(1, 40 * 12 * 64).map(lambda n: Length(F(n, 64)))
SECTIONS = st.builds(
    Section,
    st.sampled_from([F(1), F(5, 4), F(2), F(4), F(6)]),
    st.sampled_from([F(4), F(6), F(8), F(10), F(12)]),
    treated=st.booleans(),
)
ANGLES = st.integers(1, 119).map(lambda n: F(n, 2))
POINTS = st.sampled_from(["long", "short"])
ENDS = st.one_of(
    st.just(End()),
    st.builds(
        End,
        st.sampled_from(["plumb", "seat", "hip"]),
        st.integers(1, 18),
        point=POINTS,
        cheek=st.sampled_from([None, "single", "double"]),
    ),
    st.builds(lambda angle, point: End("angled", miter=angle, point=point), ANGLES, POINTS),
    st.builds(lambda angle, point: End("angled", bevel=angle, point=point), ANGLES, POINTS),
)
SHADES = st.sampled_from(
    [
        None,
        Allowance("strong", "over"),
        Allowance("shy", "under"),
        Allowance("a hair under", "under", slight=True),
    ]
)
CUTS = st.builds(
    Cut,
    SIXTY_FOURTHS,
    st.integers(1, 99),
    SHADES,
    st.none() | SECTIONS,
    st.none() | st.sampled_from(sorted(set(trade.PIECES.meanings.values()))),
    st.none() | st.sampled_from(["window 2 left", "W3 north", "wall 4", "room 12"]),
    st.tuples(ENDS, ENDS),
    st.none() | st.sampled_from(["leave the line", "birdsmouth"]),
)


def test_every_sixty_fourth_up_to_forty_feet_is_spoken_and_read_back() -> None:
    for n in range(1, 40 * 12 * 64 + 1, 7 if sys.gettrace() else 1):
        cut = Cut(Length(F(n, 64)))
        assert [reading.intent for reading in read(speak(cut), by_voice=True)] == [cut], speak(cut)


@settings(max_examples=600, deadline=None)
@given(CUTS)
def test_any_combination_of_fields_is_spoken_and_read_back(cut: Cut) -> None:
    found = read(speak(cut), by_voice=True)
    assert [reading.intent for reading in found] == [cut], speak(cut)


@settings(max_examples=300, deadline=None)
@given(st.integers(1, 9999))
def test_num2words_is_understood(n: int) -> None:
    # num2words, an independent speaker of numbers (PyPI, LGPL).
    said = num2words.num2words(n).replace("-", " ").replace(",", "")
    assert Cut(Length(F(n))) in [
        reading.intent for reading in read(f"{said} inches", by_voice=True)
    ]


@settings(max_examples=500, deadline=None)
@given(st.lists(st.sampled_from([*sampler.vocabulary(4000), "flub"]), max_size=9))
def test_random_words_are_read_or_refused_and_nothing_else(words: list[str]) -> None:
    try:
        found = read(" ".join(words), by_voice=True)
    except (NotACall, Refused):
        return
    assert found
    assert "flub" not in words


@settings(max_examples=500, deadline=None)
@given(st.text(max_size=40))
def test_any_typed_text_is_read_or_refused_and_nothing_else(text: str) -> None:
    try:
        assert read(text)
    except (NotACall, Refused):
        return


def test_what_the_recogniser_listens_for_can_be_called() -> None:
    refused = []
    for phrase in itertools.islice(sampler.phrases(21, whole_calls=True), 1500):
        try:
            read(phrase, by_voice=True)
        except NotACall:
            if split_calls(phrase, by_voice=True) is None:
                refused.append(phrase)
        except Refused:
            continue
    assert len(refused) <= 6, refused


def test_what_can_be_called_is_listened_for() -> None:
    """A word that the language reads and the phrases never say could be typed but not spoken."""
    spoken = set(sampler.vocabulary())
    tables = [table for table in vars(trade).values() if isinstance(table, Table)]
    read_as_words = {
        *trade.PLURALS,
        *(word for table in tables for form in table.said_aloud() for word in form.split()),
    }
    nobody_says = {"ones"}
    assert read_as_words - spoken <= nobody_says


WRITTEN = frozenset(
    "# #1 #2 $ / acq bed blk blks btm cm dbl deg df ea ft hdr hdrs jst jsts kd ll lp ls lsl lvl lvls m mdf mm msr "
    "oc osb pc pcs plt psl pt pvc qtr qtrs qty em r sp syp lay spf ss tp "  # short for what is said in full
    "bdrm bedrm wrap wraps btwn mbr rm bm bms bp bps cj cjs dr drs fj fjs fl flr 1fl 2fl 3fl kit ldgr pl pls plts pr raft rafts rftr rftrs shd "
    "lean bearer bearers buck bucks chord chords collars crosspiece crosspieces curb curbs packer packers stile stiles "
    "strip upright uprights "  # pieces that are seldom called, and typed only
    "bev bracing closets cuts walls len lgth std stds tps trm trms trmr trmrs wdw wdws win "  # the same
    "open still show "  # questions about a place, which are typed only
    "burnt centre centres glu glue lam leftover mitre mitres mudroom "
    "ok uhm whats "  # spelt in one word or another way, said alike
    "den er kill lose net oak temp yo 1st 2nd 3rd "  # too close by ear to ten, or, two, oh; or said first
    "alcove balcony bar bench boiler cellar chase crawlspace duct furnace hatch lobby niche pool pump ramp shaft "
    "stove toilet vanity vent vestibule "  # places seldom said
    "across down along against around beside near front opposite unit suite apartment apt bldg "  # places seldom said
    "bare edge flue laid scrap sink white wing "  # close by ear to pair, eighth, two, eight, scratch, six
    "third thirds fifth fifths sixth sixths seventh sevenths ninth ninths tenth tenths twelfth twelfths "
    "hundredth hundredths".split()  # no tape has them
)
"""What is read where it is typed, and has its own words by voice, or none for a reason."""


def test_what_is_typed_can_be_spoken_but_for_what_is_only_written() -> None:
    """Nothing stands in the lexicon for typing alone without a reason."""
    spoken = set(sampler.vocabulary())
    read_as_words = {
        word for table in vars(trade).values() if isinstance(table, Table) for word in table.words()
    }
    in_one_word = {"".join(form) for form in trade.PIECES}
    assert read_as_words - spoken - WRITTEN - in_one_word == set()


@pytest.mark.parametrize(
    ("cut", "words"),
    [
        (Cut(Length(F(203, 2))), "one zero one and one half"),
        (Cut(Length(F(15))), "one five"),
        (Cut(Length(F(50))), "five zero"),
        (Cut(Length(F(117, 8)), 4), "four at one four and five eighths"),
        (Cut(Length(F(5, 8))), "five eighths"),
        (Cut(Length(F(36)), allowance=Allowance("strong", "over")), "thirty six strong"),
    ],
)
def test_read_back_goes_digit_by_digit_where_the_ear_may_err(cut: Cut, words: str) -> None:
    assert " ".join(digits_of(cut)) == words


@pytest.mark.parametrize(
    ("inches", "words"),
    [
        (F(741, 8), "seven feet eight and five eighths"),
        (F(12), "one foot"),
        (F(156), "one three feet"),
        (F(169, 2), "seven feet zero and one half"),
        (F(23), "one foot eleven"),
        (F(89, 8), "eleven and one eighth"),
        (F(5, 8), "five eighths"),
    ],
)
def test_a_crew_that_sees_feet_hears_feet(inches: F, words: str) -> None:
    assert " ".join(digits_of(Cut(Length(inches)), "feet")) == words


def test_what_is_read_back_in_feet_is_what_the_screen_shows() -> None:
    """Whole numbers as num2words says them, or figure by figure."""
    said = {num2words.num2words(n).replace("-", " "): str(n) for n in range(100)}
    figures = {
        " ".join(num2words.num2words(int(each)) for each in str(n)): str(n) for n in range(100)
    }
    for sixteenths in range(1, 16 * 12 * 40, 7):
        length = Length(F(sixteenths, 16))
        shown = format_length(length, "feet")
        words = " ".join(digits_of(Cut(length), "feet")).replace("foot", "feet")
        feet, _, rest = words.rpartition(" feet")
        whole = rest.strip().split(" and ")[0] if shown.whole != "0" or shown.over else "zero"
        assert ((said | figures)[feet] if feet else "") == shown.feet
        assert shown.whole == ((said | figures)[whole] if shown.whole else "")
        assert bool(shown.over) == words.endswith(
            (
                "half",
                "quarter",
                "quarters",
                "eighth",
                "eighths",
                "sixteenth",
                "sixteenths",
                "fourths",
            )
        )


def test_a_fraction_of_an_inch_is_no_angle_of_an_end() -> None:
    found = read("twenty four at fifteen sixty fourths", by_voice=True)
    assert [reading.intent for reading in found] == [Cut(Length(F(15, 64)), 24)]


def test_of_two_ways_to_one_meaning_the_one_with_fewer_doubts_counts() -> None:
    sure, less = Reading(Command("undo")), Reading(Command("undo"), (doubt(DoubtKind.AS_WRITTEN),))
    for order in itertools.permutations((sure, less)):
        assert _merged([*order]) == (sure,)
    other = Reading(Command("redo"), less.doubts)
    assert _merged([less, other, sure]) == (sure, other)
