"""How lengths are said: one check a row of the trade's table (common practice unless a source is named)."""

from __future__ import annotations

from collections.abc import Callable
from contextlib import AbstractContextManager
from fractions import Fraction as F
from typing import Any

import pytest

from cutmemo.domain.cut import Cut, End, Section
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.errors import NotACall, Refused
from cutmemo.language import BoardsCall, Change, Command, read

Refuses = Callable[[type[Exception], str], AbstractContextManager[Any]]


def inches(text: str) -> F:
    whole, _, part = text.partition("-")
    return F(whole) + (F(part) if part else 0)


def lengths(said: str, settings: Settings | None = None) -> set[F]:
    return {
        reading.intent.length.inches
        for reading in read(said, settings, by_voice=True)
        if isinstance(reading.intent, Cut)
    }


ONE_READING = [
    ("thirty six", "36"),
    ("thirty six even", "36"),
    ("thirty six flat", "36"),
    ("thirty six on the money", "36"),
    ("three foot", "36"),
    ("three foot even", "36"),
    ("one forty four", "144"),
    ("a hundred", "100"),
    ("one hundred even", "100"),
    ("a buck oh four", "104"),
    ("two hundred eleven", "211"),
    ("fourteen and three quarters", "14-3/4"),
    ("fourteen three quarters", "14-3/4"),
    ("fourteen three quarter", "14-3/4"),
    ("twenty two and an eighth", "22-1/8"),
    ("twenty two and one eighth", "22-1/8"),
    ("twenty two one eighth", "22-1/8"),
    ("ninety two and five eighths", "92-5/8"),
    ("ninety two five eighths", "92-5/8"),
    ("one oh one and a half", "101-1/2"),
    ("a hundred and two and an eighth", "102-1/8"),
    ("hundred two and an eighth", "102-1/8"),
    ("one oh four and five eighths", "104-5/8"),
    ("one sixteen and five eighths", "116-5/8"),
    ("a hundred and a half", "100-1/2"),
    ("one twenty and three quarters", "120-3/4"),
    ("two oh six and seven eighths", "206-7/8"),
    ("sixty one and fifteen sixteenths", "61-15/16"),
    ("twenty two and nine thirty seconds", "22-9/32"),
    ("inch and a half", "1-1/2"),
    ("inch and an eighth", "1-1/8"),
    ("an inch and three sixteenths", "1-3/16"),
    ("half", "1/2"),
    ("a quarter", "1/4"),
    ("three quarter", "3/4"),
    ("five eighths", "5/8"),
    ("a sixteenth", "1/16"),
    ("fourteen point five", "14-1/2"),
    ("point seven five", "3/4"),
    ("half and a sixteenth", "9/16"),
    ("between five eighths and eleven sixteenths", "21/32"),
    ("five eleven sixteenths", "5-11/16"),
    ("eight foot two and three sixteenths", "98-3/16"),
    ("eight foot two", "98"),
    ("six foot six and a half", "78-1/2"),
    ("ten foot ten and five eighths", "130-5/8"),
    ("seven foot eleven and fifteen sixteenths", "95-15/16"),
    ("five foot oh and a quarter", "60-1/4"),
    ("eight and a half feet", "102"),
    ("five eleven and a half", "71-1/2"),
    ("seven ten and three eighths", "94-3/8"),
    ("thirty six and a quarter plus a sixteenth", "36-5/16"),
    ("three eighths minus a sixteenth", "5/16"),
    ("thirty six less an eighth", "35-7/8"),
    ("an eighth under forty", "39-7/8"),
    ("a quarter over forty", "40-1/4"),
    ("a sixteenth shy of forty", "39-15/16"),
    ("one four four", "144"),
    ("two foot four", "28"),
]


@pytest.mark.parametrize(("said", "expected"), ONE_READING)
def test_a_plain_length_has_one_reading_and_no_doubt(said: str, expected: str) -> None:
    (reading,) = read(said, by_voice=True)
    assert reading.intent == Cut(Length(inches(expected)))
    assert not reading.doubts
    assert not reading.warnings


@pytest.mark.parametrize(
    ("said", "expected"),
    [
        ("thirty three eighths", ["30-3/8", "4-1/8", "33-1/8"]),
        ("two eleven", ["211", "35"]),
        ("two eleven and three sixteenths", ["211-3/16", "35-3/16"]),
        ("two ten and a half", ["210-1/2", "34-1/2"]),
        ("one ten", ["110", "22"]),
        ("thirty six twelve", ["36-3/4", "444"]),
        ("ninety two and five", ["92-5/8", "92-5/16"]),
        ("eight foot and a half", ["96-1/2", "102"]),
        ("six two and a quarter", ["74-1/4", "62-1/4"]),
        ("six two", ["74", "62"]),
        ("eight two and three sixteenths", ["98-3/16", "82-3/16"]),
        ("twelve six", ["150", "126"]),
        ("sixteen two", ["194", "162"]),
        ("three six", ["42", "36"]),
        ("ten four", ["124", "104"]),
        ("two four", ["24", "28"]),
        ("sixty one and a half burning an inch", ["61-1/2", "60-1/2"]),
        ("sixty burning ten", ["60", "50"]),
    ],
)
def test_two_live_readings_are_both_given(said: str, expected: list[str]) -> None:
    assert lengths(said) == {inches(each) for each in expected}


def test_ten_four_may_also_be_no_length_at_all() -> None:
    assert Command("acknowledge") in [reading.intent for reading in read("ten four", by_voice=True)]


@pytest.mark.parametrize(
    ("said", "expected"),
    [("eight foot twelve", 108), ("eight foot fourteen", 110), ("eight point five feet", 102)],
)
def test_odd_feet_count_with_a_warning(said: str, expected: int) -> None:
    (reading,) = read(said, by_voice=True)
    assert reading.intent == Cut(Length(F(expected)))
    assert reading.warnings


@pytest.mark.parametrize(
    ("said", "settings", "expected"),
    [
        ("six two and a quarter", Settings(pairs="feet"), "74-1/4"),
        ("six two and a quarter", Settings(pairs="inches"), "62-1/4"),
        ("twelve six", Settings(pairs="feet"), "150"),
        ("two ten and a half", Settings(pairs="feet"), "34-1/2"),
        ("one eleven", Settings(pairs="feet"), "23"),
        ("two ten", Settings(pairs="inches"), "210"),
        ("twelve six", Settings(pairs="inches"), "126"),
        ("thirty six twelve", Settings(bare="sixteenths"), "36-3/4"),
        ("ninety two and five", Settings(bare="eighths"), "92-5/8"),
        ("ninety two and five", Settings(bare="sixteenths"), "92-5/16"),
    ],
)
def test_the_manner_settles_what_crews_differ_on(
    said: str, settings: Settings, expected: str
) -> None:
    (reading,) = read(said, settings, by_voice=True)
    assert reading.intent == Cut(Length(inches(expected)))
    assert not reading.doubts


@pytest.mark.parametrize(
    ("said", "expected", "settles"),
    [
        ("thirty six fifteen", "36-15/16", Settings(bare="sixteenths")),
        ("36 15", "36-15/16", Settings(bare="sixteenths")),
        ("8 2-3/16", "98-3/16", Settings(pairs="feet")),
        ("twenty one ten and a sixteenth", "262-1/16", Settings(pairs="feet")),
    ],
)
def test_two_numbers_ask_even_where_one_length_has_one_reading(
    said: str, expected: str, settles: Settings
) -> None:
    """Two lengths said on end are the same words; sixteenths as bare numbers are a crew's habit (common practice)."""
    (reading,) = read(said)
    assert reading.intent == Cut(Length(inches(expected)))
    assert reading.doubts
    assert not read(said, settles)[0].doubts


# 25.4 mm to the inch exactly: NIST Special Publication 811, appendix B.
@pytest.mark.parametrize(
    ("said", "millimetres"),
    [
        ("twenty four hundred millimetres", 2400),
        ("two point four metres", 2400),
        ("sixty centimetres", 600),
        ("twenty four thirty eight millimeters", 2438),
        ("two thousand four hundred thirty eight millimetres", 2438),
    ],
)
def test_metric_is_exact(said: str, millimetres: int) -> None:
    (reading,) = read(said, by_voice=True)
    assert reading.intent == Cut(Length(F(millimetres * 10, 254)))


@pytest.mark.parametrize(
    ("said", "count", "length"),
    [
        ("four at fourteen and five eighths", 4, "14-5/8"),
        ("four of fourteen", 4, "14"),
        ("four pieces at fourteen", 4, "14"),
        ("fourteen make it two", 2, "14"),
        ("fourteen need six", 6, "14"),
        ("need six at fourteen", 6, "14"),
        ("a pair at fourteen", 2, "14"),
        ("a couple of forty", 2, "40"),
        ("both at forty", 2, "40"),
        ("half a dozen at nine", 6, "9"),
        ("a dozen at nine", 12, "9"),
        ("two forty twos", 2, "42"),
        ("two forty two", 1, "242"),
        ("four fourteen and a halfs", 4, "14-1/2"),
        ("two at four", 2, "4"),
        ("six studs ninety two and five eighths", 6, "92-5/8"),
        ("four of them at fourteen", 4, "14"),
    ],
)
def test_counts(said: str, count: int, length: str) -> None:
    (reading,) = read(said, by_voice=True)
    assert isinstance(reading.intent, Cut)
    assert (reading.intent.count, reading.intent.length) == (count, Length(inches(length)))


@pytest.mark.parametrize(
    ("said", "doubts"),
    [
        ("ninety two studs no ninety three", 1),
        ("ninety two studs no need six", 0),
        ("ninety two studs no make that stud", 0),
        ("thirty six fifteen no two by four", 1),
        ("thirty six fifteen no forty inches", 0),
        ("thirty six fifteen studs no make that forty inches", 1),
        ("thirty six fifteen studs no two by four", 2),
    ],
)
def test_a_change_underway_keeps_the_doubt_about_what_it_leaves(said: str, doubts: int) -> None:
    (reading,) = read(said, by_voice=True)
    assert len(reading.doubts) == doubts


@pytest.mark.parametrize(
    ("said", "doubted"),
    [
        ("two hundred eight kings", "kings"),
        ("ninety two and five eighths two by four studs", "studs"),
        ("ninety two and five eighths stud", ""),
        ("four at ninety two and five eighths studs", ""),
        ("two forty twos studs", ""),
        ("ninety two studs need six", ""),
        ("forty base", ""),
        ("no make that studs", ""),
    ],
)
def test_a_piece_said_as_more_than_one_without_a_number_asks(said: str, doubted: str) -> None:
    """The plural is the cue for a count (common practice), so that one may have been lost."""
    (reading,) = read(said, by_voice=True)
    assert [doubt.fact("said") for doubt in reading.doubts] == ([doubted] if doubted else [])


def counted(said: str, by_voice: bool) -> set[tuple[int, F]]:
    return {
        (r.intent.count, r.intent.length.inches)
        for r in read(said, by_voice=by_voice)
        if isinstance(r.intent, Cut)
    }


def test_a_count_without_the_plural_is_asked_about() -> None:
    assert counted("four fourteen and a half", by_voice=True) == {(4, F(29, 2)), (1, F(829, 2))}


@pytest.mark.parametrize(
    ("said", "by_voice"),
    [
        ("three times thirty six", True),
        ("4 x 36", False),
        ("36x4", False),
        ("12*16", False),
        ("twelve times sixteen", True),
        ("fourteen times four", True),
        ("sixteen times eleven", True),
    ],
)
def test_which_of_two_numbers_are_the_times_is_asked(said: str, by_voice: bool) -> None:
    (count, length), (other_count, other_length) = counted(said, by_voice)
    assert (count, length) == (other_length, other_count)


def test_a_fraction_is_never_the_times() -> None:
    assert (
        counted("4x36-1/2", by_voice=False)
        == counted("36-1/2 x 4", by_voice=False)
        == {(4, F(73, 2))}
    )
    assert counted("four times thirty six and a half", by_voice=True) == {(4, F(73, 2))}


@pytest.mark.parametrize("said", ["a few at nine", "a bunch of fourteen"])
def test_a_vague_count_is_refused_with_a_request_for_a_number(said: str, refuses: Refuses) -> None:
    with refuses(Refused, "say how many"):
        read(said, by_voice=True)


@pytest.mark.parametrize(
    "said",
    [
        "thirty six strong",
        "thirty six heavy",
        "thirty six proud",
        "thirty six plus",
        "thirty six fat",
        "thirty six full",
    ],
)
def test_over_shades_stay_words(said: str) -> None:
    (reading,) = read(said, by_voice=True)
    assert isinstance(reading.intent, Cut)
    assert reading.intent.allowance is not None
    assert (
        reading.intent.length.inches,
        reading.intent.allowance.side,
        reading.intent.allowance.word,
    ) == (
        36,
        "over",
        said.split()[-1],
    )


@pytest.mark.parametrize(
    "said",
    [
        "forty light",
        "forty shy",
        "forty scant",
        "forty weak",
        "forty minus",
        "forty short",
        "forty a hair under",
        "forty minus a skosh",
    ],
)
def test_under_shades_stay_words(said: str) -> None:
    (reading,) = read(said, by_voice=True)
    assert isinstance(reading.intent, Cut)
    assert reading.intent.allowance is not None
    assert (reading.intent.length.inches, reading.intent.allowance.side) == (40, "under")


@pytest.mark.parametrize("note", ["leave the line", "take the line", "split the line"])
def test_which_side_of_the_line_never_changes_the_length(note: str) -> None:
    (reading,) = read(f"forty {note}", by_voice=True)
    assert reading.intent == Cut(Length(F(40)), note=note)


@pytest.mark.parametrize(
    ("said", "section"),
    [
        ("two by six", Section(F(2), F(6))),
        ("two by twelve", Section(F(2), F(12))),
        ("four by four", Section(F(4), F(4))),
        ("six by six", Section(F(6), F(6))),
        ("one by eight", Section(F(1), F(8))),
        ("five quarter by six", Section(F(5, 4), F(6))),
        ("treated two by eight", Section(F(2), F(8), treated=True)),
        ("two by eight treated", Section(F(2), F(8), treated=True)),
        ("l v l", Section(material="LVL")),
        ("rim board", Section(material="rim board")),
    ],
)
def test_sections(said: str, section: Section) -> None:
    (reading,) = read(f"ninety and a half {said}", by_voice=True)
    assert reading.intent == Cut(Length(F(181, 2)), section=section)


@pytest.mark.parametrize(
    ("said", "piece"),
    [
        ("stud", "stud"),
        ("king", "king stud"),
        ("trimmer", "trimmer"),
        ("jack stud", "trimmer"),
        ("cripple", "cripple"),
        ("header", "header"),
        ("sill", "sill"),
        ("sole plate", "sole plate"),
        ("bottom plate", "sole plate"),
        ("top plate", "top plate"),
        ("cap plate", "cap plate"),
        ("block", "block"),
        ("joist", "joist"),
        ("rim", "rim"),
        ("common", "common rafter"),
        ("hip", "hip rafter"),
        ("valley", "valley rafter"),
        ("jack rafter", "jack rafter"),
        ("ridge", "ridge"),
        ("fascia", "fascia"),
        ("lookout", "lookout"),
        ("stringer", "stringer"),
        ("tread", "tread"),
        ("riser", "riser"),
        ("casing", "casing"),
        ("base", "base"),
    ],
)
def test_pieces(said: str, piece: str) -> None:
    (reading,) = read(f"ninety and a half {said}", by_voice=True)
    assert reading.intent == Cut(Length(F(181, 2)), piece=piece)


def test_jack_alone_could_be_a_stud_or_a_rafter_and_asks() -> None:
    pieces = {
        reading.intent.piece
        for reading in read("ninety jack", by_voice=True)
        if isinstance(reading.intent, Cut)
    }
    assert pieces == {"trimmer", "jack rafter"}


@pytest.mark.parametrize(
    ("said", "ends"),
    [
        ("plumb cut seven twelve long point", (End("plumb", 7, point="long"), End())),
        ("seven twelve plumb short point", (End("plumb", 7, point="short"), End())),
        ("seat cut six twelve short point", (End("seat", 6, point="short"), End())),
        ("hip eight twelve both ends long point", (End("hip", 8, point="long"),) * 2),
        (
            "forty five degree miter both ends long to short",
            (End("angled", miter=F(45), point="long"), End("angled", miter=F(45), point="short")),
        ),
        (
            "twenty two and a half degree bevel long point",
            (End("angled", bevel=F(45, 2), point="long"), End()),
        ),
        (
            "plumb seven twelve double cheek long point",
            (End("plumb", 7, point="long", cheek="double"), End()),
        ),
        ("forty five both ends long to long", (End("angled", miter=F(45), point="long"),) * 2),
        ("square both ends", (End(), End())),
    ],
)
def test_ends(said: str, ends: tuple[End, End]) -> None:
    (reading,) = read(f"ninety and a half {said}", by_voice=True)
    assert isinstance(reading.intent, Cut)
    assert reading.intent.ends == ends


@pytest.mark.parametrize(
    ("said", "place"),
    [("w three north", "W3 north"), ("window two left", "window 2 left"), ("wall four", "wall 4")],
)
def test_a_spoken_place_is_written_the_way_it_is_marked(said: str, place: str) -> None:
    (reading,) = read(f"ninety and a half king for {said}", by_voice=True)
    assert reading.intent == Cut(Length(F(181, 2)), piece="king stud", place=place)


@pytest.mark.parametrize(
    ("said", "intent"),
    [
        ("scratch that", Command("strike")),
        ("no make that forty two", Change(length=Length(F(42)))),
        ("change it to forty two", Change(length=Length(F(42)))),
        ("make it three", Change(count=3)),
        ("say again", Command("read back")),
        ("cancel the fourteen", Command("strike", length=Length(F(14)))),
        ("same again", Command("same")),
        ("one more", Command("more", 1)),
        ("put it back", Command("put back")),
        ("undo", Command("undo")),
        ("next piece", Command("clear")),
        ("no thirty six header", Change(length=Length(F(36)), piece="header")),
    ],
)
def test_corrections_and_commands(said: str, intent: object) -> None:
    assert [reading.intent for reading in read(said, by_voice=True)] == [intent]


def test_a_dozen_and_more_after_make_it_may_be_a_length() -> None:
    assert {r.intent for r in read("make it forty", by_voice=True)} == {
        Change(count=40),
        Change(length=Length(F(40))),
    }
    assert {r.intent for r in read("make it 3")} == {Change(count=3)}
    assert {r.intent for r in read('make it 3"')} == {Change(length=Length(F(3)))}


def test_a_correction_in_the_same_breath_replaces_the_length() -> None:
    (reading,) = read("four at fourteen and a half no fifteen and a half", by_voice=True)
    assert reading.intent == Cut(Length(F(31, 2)), count=4)


def test_a_stock_length_is_no_cut() -> None:
    (reading,) = read("a sixteen footer", by_voice=True)
    assert reading.intent == BoardsCall(Length(F(192)))


def test_stock_said_alone_lacks_a_length() -> None:
    with pytest.raises(NotACall) as caught:
        read("two by four", by_voice=True)
    assert "a length" in caught.value.expected


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        ("101 1/2", "101-1/2"),
        ('101-1/2"', "101-1/2"),
        ("8' 2-3/16\"", "98-3/16"),
        ("8ft 2 3/16", "98-3/16"),
        ("101.5", "101-1/2"),
        ("36½", "36-1/2"),
        ("8' 1/2\"", "96-1/2"),
        ("36 1/2 - 1/8", "36-3/8"),
        ("5/8", "5/8"),
        ("8′ 2″", "98"),
        ("3ft", "36"),
    ],
)
def test_typed_lengths_share_the_grammar(typed: str, expected: str) -> None:
    (reading,) = read(typed)
    assert reading.intent == Cut(Length(inches(expected)))


def test_a_typed_call_with_its_fields() -> None:
    (reading,) = read("4 @ 14-5/8 2x6 header for W3 north")
    assert reading.intent == Cut(
        Length(F(117, 8)), 4, section=Section(F(2), F(6)), piece="header", place="W3 north"
    )


def test_typed_metric_is_exact() -> None:
    (reading,) = read("2438mm")
    assert reading.intent == Cut(Length(F(24380, 254)))


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("33/8", "more than an inch"),
        ("14 1/3", "No tape has 1/3"),
        ("14 5/0", "No tape"),
        ("14 0/8", "nothing"),
    ],
)
def test_fractions_no_tape_has_are_refused_with_the_reason(
    typed: str, why: str, refuses: Refuses
) -> None:
    with refuses(Refused, why):
        read(typed)


@pytest.mark.parametrize(
    "said",
    [
        "12 flub",
        "2,438",
        "[b]36",
        "-5",
        "36 and",
        "",
        "   ",
        "four at",
        "36 36 36",
        "by",
        "x",
        "'",
        "1/2/3",
        "½½½½",
    ],
)
def test_leftover_words_are_refused_not_ignored(said: str) -> None:
    with pytest.raises((NotACall, Refused)):
        read(said)


def test_a_refusal_says_where_it_broke_and_what_would_have_fitted() -> None:
    with pytest.raises(NotACall) as caught:
        read("four at fourteen and blue eighths", by_voice=True)
    assert caught.value.words[caught.value.at] == "blue"
    assert "a fraction" in caught.value.expected
