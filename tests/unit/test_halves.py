"""Half a call never stands in silence: tables of two halves with a pause between, by their words and by their sound."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from fractions import Fraction as F

import pytest
from conftest import Clock
from desk import Desk, refused

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.asr.rejoin import MAX_REST_SECONDS, Rejoiner, joined_pcm
from cutmemo.audio.chunk import RATE
from cutmemo.audio.pauses import with_short_pauses
from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import CutmemoError, NothingToDo
from cutmemo.language import may_go_on
from cutmemo.memo.decide.halves import REST_WITHIN_SECONDS
from cutmemo.memo.rows import GOES_ON_SECONDS


def heard(*texts: str, apart: float = 9.0, start: float = 0.0) -> Recognition:
    scores = (Hypothesis(text, 100 - apart * k) for k, text in enumerate(texts))
    return Recognition(tuple(scores), start, start + 1.0)


def say(desk: Desk, *heards: Recognition) -> None:
    """Say one after the other; what is refused is told and stays out."""
    for each in heards:
        try:
            desk.hear(each)
        except CutmemoError:
            continue


def behind(first: Recognition, second: Recognition, joined: Recognition | None) -> Recognition:
    """Return *second* as it comes from the recogniser moments behind *first*."""
    return replace(second, pcm=b"\0\0", follows=first, joined=joined)


def rows(desk: Desk) -> list[tuple[str, set[F]]]:
    """Return each row's state and the lengths that it may have."""
    return [
        (row.state, {cut.length.inches for cut in (row.cut, *row.readings)})
        for row in desk.state.rows.values()
    ]


# Each call with the places where a pause may fall, and what it comes to as a whole.
@pytest.mark.parametrize(
    ("first", "second", "inches", "count"),
    [
        ("one hundred", "eight and a half", F(217, 2), 1),
        ("twelve foot", "six", F(150), 1),
        ("nineteen feet", "six nine sixteenths", F(3753, 16), 1),
        ("sixteen blocks", "at two hundred eighty two and thirteen sixteenths", F(4525, 16), 16),
        ("sixteen blocks at", "two hundred eighty two and thirteen sixteenths", F(4525, 16), 16),
        ("two hundred", "eighty two and five eighths", F(2261, 8), 1),
        ("eight at", "thirty eight and five eighths", F(309, 8), 8),
        ("four at", "sixty two", F(62), 4),
        ("one twenty three", "and three sixteenths", F(1971, 16), 1),
        ("two oh eight", "five eighths", F(1669, 8), 1),
        ("thirty six and a quarter", "two by six header", F(145, 4), 1),
        ("two by six", "ninety four", F(94), 1),
        ("seventy one", "minus a sixteenth", F(1135, 16), 1),
    ],
)
def test_no_half_stands_in_silence_and_the_whole_is_named(
    session: Desk, clock: Clock, first: str, second: str, inches: F, count: int
) -> None:
    say(session, heard(first))
    clock.later(1.5)
    say(session, heard(second))
    found = session.state.rows.values()
    assert found
    assert all(row.state == "doubtful" for row in found)
    named = [(cut.length.inches, cut.count) for row in found for cut in row.readings]
    assert (inches, count) in named


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("ninety two and five eighths", "one oh one and a half"),
        ("thirty six", "forty two"),
        ("one oh one and a half", "sixteen"),
        ("eight foot two", "six foot three"),
        ("ninety six", "ninety six and a half"),
        ("ninety six and a half", "twelve foot"),
        ("one hundred", "two at sixty one and three sixteenths"),
        ("one hundred", "eight foot two and three eighths"),
        ("twelve foot", "nineteen and eleven sixteenths"),
    ],
)
def test_two_calls_that_are_no_one_call_stand_as_two(
    session: Desk, clock: Clock, first: str, second: str
) -> None:
    say(session, heard(first))
    clock.later(1.5)
    say(session, heard(second))
    assert [state for state, _ in rows(session)] == ["open", "open"]


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("ninety six and a half", "twelve foot"),
        ("one hundred", "two at sixty one and three sixteenths"),
    ],
)
def test_two_calls_whose_sound_says_just_their_words_stand_as_two(
    session: Desk, first: str, second: str
) -> None:
    said = heard(first)
    say(session, said, behind(said, heard(second), heard(f"{first} {second}")))
    assert [state for state, _ in rows(session)] == ["open", "open"]


@pytest.mark.parametrize(
    ("seconds", "states"),
    [(REST_WITHIN_SECONDS, ["doubtful"] * 2), (REST_WITHIN_SECONDS + 0.1, ["open"] * 2)],
)
def test_without_sound_the_clock_tells_how_long_a_rest_may_come(
    session: Desk, clock: Clock, seconds: float, states: list[str]
) -> None:
    say(session, heard("one hundred"))
    clock.later(seconds)
    say(session, heard("eight and a half"))
    assert [state for state, _ in rows(session)] == states


def test_with_sound_the_sound_tells_what_came_when(session: Desk) -> None:
    """A recording is heard faster than it was said: the clock says nothing of the pause."""
    say(session, heard("one hundred"), replace(heard("eight and a half"), pcm=b"\0\0"))
    assert [state for state, _ in rows(session)] == ["open", "open"]


def test_what_the_sound_of_both_says_is_named_although_the_words_do_not_read(session: Desk) -> None:
    first = heard("one twenty three")
    whole = heard("one twenty three and three sixteenths")
    say(session, first, behind(first, heard("ten three sixteenths"), whole))
    assert rows(session)[0] == ("doubtful", {F(1971, 16), F(123)})


@pytest.mark.parametrize(
    ("first", "second", "whole"),
    [
        ("two oh eight", "ten five eighths", F(1669, 8)),
        ("eight foot", "ten and a half", None),
        ("two oh eight", "twelve five eighths", None),
        ("two oh nine", "ten five eighths", None),
    ],
)
def test_a_t_that_a_pause_parts_from_its_and_makes_no_ten_in_silence(
    session: Desk, first: str, second: str, whole: F | None
) -> None:
    """ "eight", and "'t and" behind it, which is "ten" to the ear; 208 5/8 by addition."""
    one = heard(first)
    say(session, one, replace(behind(one, heard(second), None), right_behind=True))
    named = {
        length for state, lengths in rows(session) if state == "doubtful" for length in lengths
    }
    assert (F(1669, 8) in named) is (whole is not None)
    if whole is not None:
        assert all(state == "doubtful" for state, _ in rows(session))


def test_a_rest_that_is_taken_for_noise_asks(session: Desk) -> None:
    first = heard("two oh eight")
    say(session, first, behind(first, heard("[unk]"), heard("two oh eight and five eighths")))
    assert rows(session) == [("doubtful", {F(1669, 8), F(208)})]


@pytest.mark.parametrize(("loud", "state"), [(True, "doubtful"), (False, "open")])
def test_something_as_loud_right_behind_a_call_marks_it(
    session: Desk, loud: bool, state: str
) -> None:
    first = heard("two twelve and a half")
    after = behind(first, heard("[unk]"), heard("two twelve and a half [unk]"))
    say(session, first, replace(after, right_behind=loud))
    assert [each for each, _ in rows(session)] == [state]


def test_a_first_half_that_is_none_by_itself_and_its_rest_are_one_call(session: Desk) -> None:
    first = heard("four at")
    say(session, first, behind(first, heard("sixty two"), heard("four at sixty two")))
    (row,) = session.state.rows.values()
    assert (row.state, row.cut.count, row.cut.length.inches) == ("open", 4, F(62))


def test_where_the_sound_of_both_says_something_else_it_asks(session: Desk) -> None:
    first = heard("four at")
    say(session, first, behind(first, heard("sixty two"), heard("forty sixty two")))
    assert [state for state, _ in rows(session)] == ["doubtful"]


def test_an_order_behind_a_call_is_obeyed(session: Desk) -> None:
    first = heard("two twelve")
    say(session, first, behind(first, heard("scratch that"), heard("two twelve scratch that")))
    assert [state for state, _ in rows(session)] == ["struck"]


def test_a_correction_that_both_together_make_a_cut_asks(session: Desk) -> None:
    first = heard("sixteen blocks")
    whole = heard("sixteen blocks at two hundred")
    say(session, first, behind(first, heard("make that two hundred"), whole))
    (row,) = session.state.rows.values()
    assert row.state == "doubtful"
    assert {(cut.count, cut.length.inches) for cut in row.readings} >= {(16, F(200)), (1, F(16))}


def test_a_half_heard_as_yes_or_as_an_answer_settles_nothing(session: Desk) -> None:
    for second in ("yes", "fifty"):
        first = heard("fifteen and a half", "fifty and a half", apart=0.5)
        after = replace(behind(first, heard(second), None), right_behind=True)
        say(session, first, after)
    assert [state for state, _ in rows(session)] == ["doubtful"] * 2


def test_an_answer_after_the_question_was_read_settles_it(session: Desk) -> None:
    first = heard("fifteen and a half", "fifty and a half", apart=0.5)
    say(session, first, behind(first, heard("yes"), None))
    assert [state for state, _ in rows(session)] == ["open"]


def test_a_first_half_that_sounds_like_a_whole_call_asks_where_both_fit_one_better(
    session: Desk,
) -> None:
    first = heard("one eighth")
    say(session, first, behind(first, heard("one and a half"), heard("one oh one and a half")))
    assert [state for state, _ in rows(session)] == ["doubtful"] * 2
    assert F(203, 2) in rows(session)[0][1]


def test_to_take_both_as_one_strikes_the_second(session: Desk, clock: Clock) -> None:
    say(session, heard("one hundred"))
    clock.later(1)
    say(session, heard("eight and a half"))
    first, second = session.state.rows.values()
    assert session.answer(1, first.id).row.cut.length.inches == F(217, 2)  # type: ignore[union-attr]
    assert session.state.rows[second.id].state == "struck"


def test_to_take_the_first_alone_leaves_the_second_asking(session: Desk, clock: Clock) -> None:
    say(session, heard("one hundred"))
    clock.later(1)
    say(session, heard("eight and a half"))
    first, second = session.state.rows.values()
    session.answer(2, first.id)
    assert session.state.rows[first.id].cut.length.inches == 100
    assert session.state.rows[second.id].state == "doubtful"


def test_a_second_half_behind_what_was_cut_meanwhile_asks(session: Desk, clock: Clock) -> None:
    say(session, heard("one hundred"))
    session.clear("1")
    clock.later(1)
    say(session, heard("eight and a half"))
    assert [state for state, _ in rows(session)] == ["cut", "doubtful"]


def test_a_typed_call_between_is_no_first_half(session: Desk, clock: Clock) -> None:
    say(session, heard("thirty six"))
    session.call("one hundred")
    clock.later(1)
    say(session, heard("eight and a half"))
    assert [state for state, _ in rows(session)] == ["open"] * 3


def test_a_late_rest_that_was_refused_begins_no_call(session: Desk, clock: Clock) -> None:
    say(session, heard("and a third"))
    clock.later(1)
    say(session, heard("sixty two"))
    assert [state for state, _ in rows(session)] == ["open"]


def test_noise_adds_nothing_to_what_was_asked_as_one(session: Desk) -> None:
    first, whole = heard("one hundred"), heard("one hundred eight and a half")
    second = behind(first, heard("eight and a half"), whole)
    say(session, first, second, behind(second, heard("[unk]"), whole))
    assert [lengths for _, lengths in rows(session)] == [{F(217, 2), F(100)}, {F(17, 2)}]


def test_a_call_that_ended_and_was_refused_is_no_first_half(session: Desk, clock: Clock) -> None:
    say(session, heard("ninety two and a seventh"))
    clock.later(1)
    say(session, heard("sixty two"))
    assert [state for state, _ in rows(session)] == ["open"]


@pytest.mark.parametrize(
    ("said", "open_ended"),
    [
        ("one hundred", True),
        ("twelve foot", True),
        ("sixteen blocks", True),
        ("four at", True),
        ("two by six", True),
        ("seventy one minus", True),
        ("ninety two inches and", True),
        ("", False),
        ("one oh one and a half", False),
        ("ninety two and five eighths king stud", False),
        ("thirty six and a quarter strong", False),
        ("sixty one long point", False),
    ],
)
def test_what_may_go_on(said: str, open_ended: bool) -> None:
    assert may_go_on(said) == open_ended


@pytest.mark.parametrize(
    ("ends", "states"),
    [
        (("two oh six", "two oh one", "two oh"), ["doubtful", "doubtful"]),
        (("two oh six", "three oh six"), ["doubtful", "open"]),
        (("two oh six",), ["open", "open"]),
        (("two oh eight",), ["doubtful", "doubtful"]),
    ],
    ids=["end in doubt", "beginning in doubt", "certain", "said on both sides"],
)
def test_a_call_right_behind_an_end_that_is_in_doubt_asks(
    session: Desk, ends: tuple[str, ...], states: list[str]
) -> None:
    """A pause in "oh | eight and five eighths" leaves a piece of the figure on both sides."""
    first = heard(*ends, apart=0.5)
    second = behind(first, heard("eight and five eighths"), None)
    say(session, first, replace(second, right_behind=True))
    assert [state for state, _ in rows(session)] == states


def test_an_end_in_doubt_says_nothing_of_a_call_that_comes_later(session: Desk) -> None:
    first = heard("two oh eight", "two oh one", apart=0.5)
    say(session, first, behind(first, heard("eight and five eighths"), None))
    assert [state for state, _ in rows(session)] == ["doubtful", "open"]


@pytest.mark.parametrize(
    ("first", "second", "inches"),
    [
        ("two oh eight", "eight and five eighths", F(1669, 8)),
        ("seventy one and a quarter minus", "minus a sixteenth", F(1139, 16)),
        ("two twelve and one eighth two by ten", "ten joist", F(1697, 8)),
    ],
)
def test_a_word_heard_on_both_sides_of_a_pause_may_have_been_said_once(
    session: Desk, first: str, second: str, inches: F
) -> None:
    one = heard(first)
    say(session, one, replace(behind(one, heard(second), None), right_behind=True))
    assert all(state == "doubtful" for state, _ in rows(session))
    assert inches in rows(session)[0][1]


@pytest.mark.parametrize(
    ("first", "second", "inches"),
    [
        ("sixty one", "then three sixteenths light", {F(61), F(979, 16)}),
        ("nineteen feet six", "then nine sixteenths", {F(234), F(3753, 16)}),
        ("sixty one and a half", "then three sixteenths", {F(123, 2)}),
    ],
    ids=["inches", "feet and inches", "a part is there"],
)
def test_a_part_of_an_inch_behind_whole_inches_is_named_as_part_of_them(
    session: Desk, first: str, second: str, inches: set[F]
) -> None:
    """A pause makes "then" of "and"."""
    one = heard(first)
    say(session, one, behind(one, heard(second), None))
    ((state, named),) = rows(session)
    assert state == "doubtful"
    assert inches <= named


def test_a_part_of_an_inch_is_not_added_to_another(session: Desk) -> None:
    one = heard("thirty six and a quarter two by six")
    say(session, one, behind(one, heard("then three sixteenths"), None))
    assert F(36) + F(1, 4) + F(3, 16) not in rows(session)[0][1]


# --- at the saw --------------------------------------------------------------------------------------


def test_a_row_that_may_go_on_is_not_offered_at_the_saw(session: Desk, clock: Clock) -> None:
    session.call("36")
    say(session, heard("one hundred"))
    assert [row.number for row in session.state.to_cut(clock())] == [1]
    clock.later(GOES_ON_SECONDS - 0.1)
    assert [row.number for row in session.state.going_on(clock())] == [2]
    clock.later(0.1)
    assert [row.number for row in session.state.to_cut(clock())] == [1, 2]
    assert [row.number for row in session.state.to_cut()] == [1, 2]


def test_a_call_whose_key_was_let_go_is_offered_at_once(session: Desk, clock: Clock) -> None:
    say(session, replace(heard("one hundred"), held=True))
    (row,) = session.state.to_cut(clock())
    assert row.cut.length.inches == 100
    assert not session.state.going_on(clock())
    say(session, heard("two hundred"))
    assert [row.number for row in session.state.going_on(clock())] == [2]


def test_a_clock_set_back_holds_no_row(session: Desk, clock: Clock) -> None:
    say(session, heard("one hundred"))
    clock.later(-60)
    assert not session.state.going_on(clock())


@pytest.mark.parametrize("call", ["ninety two and five eighths", "one oh one and a half"])
def test_a_call_that_ends_is_offered_at_once(session: Desk, clock: Clock, call: str) -> None:
    say(session, heard(call))
    assert len(session.state.to_cut(clock())) == 1


def test_a_typed_call_is_offered_at_once(session: Desk, clock: Clock) -> None:
    session.call("one hundred")
    assert len(session.state.to_cut(clock())) == 1


def test_clear_without_a_row_waits_until_the_call_is_over(session: Desk, clock: Clock) -> None:
    say(session, heard("one hundred"))
    with refused(NothingToDo, "may go on"):
        session.clear()
    with refused(NothingToDo, "may go on"):
        say_cut(session)
    clock.later(GOES_ON_SECONDS)
    assert session.clear().happened == "cleared"


def say_cut(session: Desk) -> None:
    session.at_saw = True
    session.hear(heard("cut"))


def test_a_row_whose_question_was_answered_is_offered_at_once(session: Desk, clock: Clock) -> None:
    say(session, heard("fifteen", "fifty", apart=0.5))
    clock.later(1)
    session.answer(1)
    assert len(session.state.to_cut(clock())) == 1


def test_by_board_only_the_row_in_hand_is_told_of(session: Desk, clock: Clock) -> None:
    session.call("36")
    say(session, heard("one hundred"))
    session.in_hand = session.find("2").id
    with refused(NothingToDo, "Row 2 was called this moment"):
        session.clear()
    session.in_hand = ""
    with refused(NothingToDo, "Planning"):
        session.clear()


def test_clear_with_a_row_takes_it(session: Desk) -> None:
    say(session, heard("one hundred"))
    assert session.clear("1").happened == "cleared"


# --- two utterances as one sound -----------------------------------------------------------------------


def spoken(text: str, start: float, end: float, level: int = 4000) -> Recognition:
    """Return an utterance with 0.4 s before its words and 0.7 s after."""
    quiet, loud = (
        b"\x20\x00" * int(0.4 * RATE),
        level.to_bytes(2, "little") * int(RATE * (end - start)),
    )
    pcm = quiet + loud + b"\x20\x00" * int(0.7 * RATE)
    hypotheses = (Hypothesis(text, 9.0),)
    return Recognition(hypotheses, start, end, pcm, pcm_start_seconds=start - 0.4)


@pytest.fixture
def rejoined() -> Callable[..., list[Recognition]]:
    """Hear utterances one after the other; both together are heard as *whole*."""

    def hear(whole: str, *utterances: Recognition, **fits: float) -> list[Recognition]:
        def decode(pcm: bytes) -> Recognition:
            end = len(pcm) / (2 * RATE) - 0.7
            return Recognition((Hypothesis(whole, 9.0),), 0.4, end, pcm)

        rejoiner = Rejoiner(
            decode, lambda pcm, texts: {text: fits.get(text, 0.0) for text in texts}
        )
        return [rejoiner.after(each) for each in utterances]

    return hear


def test_the_pause_is_shortened(rejoined: Callable[..., list[Recognition]]) -> None:
    first, second = spoken("one hundred", 1, 2), spoken("eight", 3.5, 4)
    (_, after) = rejoined("one hundred eight", first, second)
    assert after.joined is not None
    whole_seconds = len(joined_pcm(first, second)) / (2 * RATE)
    assert whole_seconds == pytest.approx(0.4 + 1 + 0.15 + 0.3 + 0.5 + 0.7, abs=0.01)
    assert (after.joined.text, after.follows) == ("one hundred eight", first)


@pytest.mark.parametrize(
    ("first", "second", "named"),
    [
        ("one hundred", "eight", ["one hundred eight", "one hundred nine"]),
        ("ninety and a half", "sixty and a half", ["one hundred nine"]),
    ],
    ids=["may be one call", "two calls"],
)
def test_what_may_be_one_call_is_heard_with_less_of_its_pause_too(
    first: str, second: str, named: list[str]
) -> None:
    """Two whole calls are not: the second would wait for it."""
    lengths: list[int] = []

    def decode(pcm: bytes) -> Recognition:
        lengths.append(len(pcm))
        text = "one hundred nine" if len(pcm) == lengths[0] else "one hundred eight"
        return Recognition((Hypothesis(text, 9.0),), 0.4, 2.0, pcm)

    rejoiner = Rejoiner(decode, lambda _, texts: dict.fromkeys(texts, 0.0))
    rejoiner.after(spoken(first, 1, 2))
    joined = rejoiner.after(spoken(second, 3.5, 4)).joined
    assert joined is not None
    assert [each.text for each in joined.hypotheses] == named
    assert lengths == sorted(lengths, reverse=True)


@pytest.mark.parametrize(
    ("pause", "joined"), [(0.6, True), (MAX_REST_SECONDS, True), (MAX_REST_SECONDS + 0.1, False)]
)
def test_what_comes_later_is_no_rest(
    rejoined: Callable[..., list[Recognition]], pause: float, joined: bool
) -> None:
    (_, after) = rejoined("x", spoken("one hundred", 1, 2), spoken("eight", 2 + pause, 4 + pause))
    assert (after.joined is not None, after.follows is not None) == (joined, joined)


@pytest.mark.parametrize(
    ("pause", "level", "right_behind"),
    [(0.9, 4000, True), (0.9, 400, False), (1.3, 4000, False)],
    ids=["right behind", "from afar", "later"],
)
def test_as_loud_and_right_behind(
    rejoined: Callable[..., list[Recognition]], pause: float, level: int, right_behind: bool
) -> None:
    noise = spoken("[unk]", 2 + pause, 3 + pause, level=level)
    (_, after) = rejoined("[unk]", spoken("one hundred", 1, 2), noise)
    assert after.right_behind == right_behind


@pytest.mark.parametrize(("lead", "joined"), [(0.0, True), (-0.1, False)])
def test_two_calls_forced_into_one_are_not_joined(
    rejoined: Callable[..., list[Recognition]], lead: float, joined: bool
) -> None:
    """The decoder looks for one call: it counts only where it fits the sound as well as the words of the two."""
    calls = spoken("one eighth", 1, 2), spoken("one and a half", 2.9, 3.5)
    (_, after) = rejoined("one oh one and a half", *calls, **{"one oh one and a half": lead})
    assert (after.joined is not None) == joined


def test_a_call_in_three_parts_is_heard_as_one(
    rejoined: Callable[..., list[Recognition]],
) -> None:
    parts = spoken("four", 1, 1.5), spoken("at", 2.5, 2.8), spoken("sixty", 3.8, 4.3)
    (_, second, third) = rejoined("four at sixty", *parts)
    assert second.joined is not None
    assert third.joined is not None
    assert len(third.joined.pcm) > len(joined_pcm(parts[1], parts[2]))


def test_two_calls_and_a_third_are_not_heard_as_one(
    rejoined: Callable[..., list[Recognition]],
) -> None:
    parts = (
        spoken("ninety and a half", 1, 1.5),
        spoken("sixty and a half", 2.5, 2.8),
        spoken("forty", 3.8, 4.3),
    )
    third = rejoined("ninety and a half", *parts)[2]
    assert third.joined is not None
    assert third.joined.pcm == joined_pcm(parts[1], parts[2])


@pytest.mark.parametrize(("second", "is_rest"), [("fifteen sixteenths", True), ("one inch", False)])
def test_less_than_an_inch_is_a_rest_and_an_inch_is_a_call(
    session: Desk, clock: Clock, second: str, is_rest: bool
) -> None:
    first = heard("ninety two")
    say(session, first)
    session.strike("1")
    clock.later(1)
    say(session, behind(first, heard(second), None))
    _, row = session.state.rows.values()
    assert (DoubtKind.PERHAPS_A_REST in [each.kind for each in row.doubts]) == is_rest
    assert row.state == "doubtful" or not is_rest


@pytest.mark.parametrize("between", ["cut", "next"])
def test_a_rest_behind_an_order_asks(session: Desk, clock: Clock, between: str) -> None:
    """The row was cut, by voice, before the rest of its call came."""
    first, order = heard("ninety two and a half"), heard(between)
    say(session, first, behind(first, order, None))
    clock.later(1.5)
    say(session, behind(order, heard("fifteen sixteenths"), None))
    state, lengths = rows(session)[-1]
    assert (state, lengths) == ("doubtful", {F(15, 16)})


@pytest.mark.parametrize("first", ["no", "hold it", "[unk]"])
def test_what_came_to_nothing_may_have_been_the_first_half(session: Desk, first: str) -> None:
    before = heard(first)
    say(
        session,
        before,
        behind(before, heard("eight and five eighths"), heard("two oh eight and five eighths")),
    )
    assert rows(session) == [("doubtful", {F(69, 8), F(1669, 8)})]


@pytest.mark.parametrize("stray", ["yes", "no", "the first"])
def test_an_answer_to_nothing_right_before_a_call_may_have_been_its_count(
    session: Desk, clock: Clock, stray: str
) -> None:
    """ "Three" was heard as "yes": one of 92-1/2 is no three of it in silence."""
    first = heard(stray)
    say(session, first)
    clock.later(1.5)
    say(session, behind(first, heard("seven foot eight and a half"), None))
    (row,) = session.state.rows.values()
    assert row.state == "doubtful"
    assert [each.kind for each in row.doubts] == [DoubtKind.HEARD_RIGHT_BEFORE]


@pytest.mark.parametrize("stray", ["yes", "no", "the first"])
def test_an_answer_to_nothing_right_behind_a_call_marks_its_row(
    session: Desk, clock: Clock, stray: str
) -> None:
    """ "Sill" was heard as "no"; whoever says no to a row that came means it as well."""
    first = heard("thirty four and three quarters")
    say(session, first)
    clock.later(1.5)
    say(session, behind(first, heard(stray), None))
    (row,) = session.state.rows.values()
    assert row.state == "doubtful"
    assert [each.kind for each in row.doubts] == [DoubtKind.HEARD_RIGHT_AFTER]


def test_a_call_right_behind_an_answer_that_settled_something_stands(
    session: Desk, clock: Clock
) -> None:
    say(session, heard("fifteen", "fifty", apart=0.1))
    clock.later(5)
    answer = heard("the first")
    say(session, answer)
    clock.later(1.5)
    say(session, behind(answer, heard("seven foot eight and a half"), None))
    assert [state for state, _ in rows(session)] == ["open", "open"]


def test_words_that_may_belong_to_the_call_before_ask(session: Desk) -> None:
    """ "Jack stud for wall two" has no length: 2 is the number of the wall."""
    first, second = heard("eighty eight and five eighths"), heard("jack stud for wall two")
    say(session, first, behind(first, second, heard(f"{first.text} {second.text}")))
    (row,) = session.state.rows.values()
    assert row.state == "doubtful"
    meant = [(cut.length.inches, cut.piece, cut.place) for cut in row.readings]
    assert meant == [(F(709, 8), "trimmer", "wall 2"), (F(709, 8), None, None)]


@pytest.mark.parametrize(
    ("first", "second", "asking"),
    [
        (("twelve",), ("six six",), 2),
        (("one eighth", "one half"), ("seven foot eight and a half",), 2),
        (("seventy one and three quarters",), ("sixteen", "sixty"), 2),
        (("ninety two and five eighths",), ("one oh one and a half", "one nine and a half"), 1),
        (("ninety two and five eighths",), ("one oh one and a half",), 0),
    ],
)
def test_right_behind_each_other_a_doubtful_half_puts_the_other_in_doubt(
    session: Desk, first: tuple[str, ...], second: tuple[str, ...], asking: int
) -> None:
    """Twelve | foot six; three at | seven foot eight and a half; … three quarters | minus a sixteenth."""
    before = heard(*first, apart=0.5)
    after = behind(before, heard(*second, apart=0.5), None)
    say(session, before, replace(after, right_behind=True))
    assert [state for state, _ in rows(session)].count("doubtful") == asking


def test_nothing_is_cut_of_a_row_that_asks(session: Desk) -> None:
    session.hear(heard("fifteen", "fifty", apart=0.1))
    before, asking = list(session.log), session.question()
    assert asking is not None
    with refused(NothingToDo, "asks a question: answer it before you cut"):
        session.clear(asking.id)
    with refused(NothingToDo, ""):
        session.clear()
    assert list(session.log) == before


def test_the_first_half_and_two_that_both_may_be_fit_on_three_keys(session: Desk) -> None:
    first = heard("one hundred")
    wholes = [f"one hundred {inches} and a half" for inches in ("eight", "eighteen", "eighty")]
    say(session, first, behind(first, heard("eight and a half"), heard(*wholes, apart=1.0)))
    (row,) = [each for each in session.state.rows.values() if len(each.readings) > 1]
    assert [cut.length.inches for cut in row.readings] == [F(217, 2), F(237, 2), 100]


def test_what_the_words_say_is_named_beside_what_the_sound_of_both_says(session: Desk) -> None:
    """A pause swallowed "at two hundred": the sound of both makes three other calls of it."""
    first = heard("sixteen blocks")
    sounds = [f"sixteen blocks at {tens} two" for tens in ("eighty", "thirty", "sixty")]
    second = heard("two hundred eighty two")
    say(session, first, behind(first, second, heard(*sounds, apart=0.5)))
    assert rows(session)[0][0] == "doubtful"
    assert {F(82), F(282)} <= rows(session)[0][1]


@pytest.mark.parametrize(
    ("apart", "named"),
    [
        (1.5, {("2x4", F(94)), ("2x6", F(94))}),
        (3.0, {("2x4", F(94)), ("2x6", F(94))}),
        (4.5, {("2x4", F(94))}),
    ],
    ids=["near", "within the margin", "beyond it"],
)
def test_other_words_of_both_halves_are_named_where_together_they_are_as_likely(
    session: Desk, apart: float, named: set[tuple[str, F]]
) -> None:
    first = heard("two by four", "two by six", "[unk]", apart=apart)
    second = behind(first, heard("ninety four", "[unk]", apart=apart), None)
    say(session, first, second)
    (row,) = session.state.rows.values()
    assert row.state == "doubtful"
    assert named == {
        (str(cut.section), cut.length.inches) for cut in row.readings if cut.section is not None
    }


def test_other_words_raise_no_question_by_themselves(session: Desk) -> None:
    first = heard("forty", "one hundred", apart=2.0)
    say(session, first, behind(first, heard("twenty two"), None))
    assert [state for state, _ in rows(session)] == ["doubtful", "open"]


def test_no_words_at_all_are_none_of_the_other_words(session: Desk) -> None:
    first = heard("two by four", "", apart=1.0)
    say(session, first, behind(first, heard("ninety four"), None))
    (row,) = session.state.rows.values()
    assert F(94) in {cut.length.inches for cut in row.readings}
    assert [str(cut.section) for cut in row.readings].count("None") == 1


# --- a word that the pause parted, and hearings that raise a doubt together ------------------------------


def right_behind(
    first: Recognition, second: Recognition, joined: Recognition | None = None
) -> Recognition:
    return replace(behind(first, second, joined), right_behind=True)


@pytest.mark.parametrize(
    ("first", "second", "inches"),
    [
        ("one hundred", "get me eight and a half", F(217, 2)),
        ("one hundred", "dead eight and a half", F(217, 2)),
        ("one hundred", "three eight and a half", F(217, 2)),
        ("seventy one and three quarters minus", "next a sixteenth", F(1147, 16)),
    ],
)
def test_what_is_left_of_a_parted_word_may_be_no_word(
    session: Desk, first: str, second: str, inches: F
) -> None:
    """ "One hun | dred eight and a half": the end of "hundred" was heard as "get me"."""
    one = heard(first)
    say(session, one, right_behind(one, heard(second)))
    assert {state for state, _ in rows(session)} == {"doubtful"}
    cut = session.find("1").readings[0]
    assert cut.length.inches + (cut.allowance.inches if cut.allowance else 0) == inches


@pytest.mark.parametrize(
    ("second", "soon"), [("get me eight and a half", False), ("thirty eight and a half", True)]
)
def test_what_comes_later_or_begins_with_a_number_has_all_its_words(
    session: Desk, second: str, soon: bool
) -> None:
    first = heard("two oh six")
    say(session, first, replace(behind(first, heard(second), None), right_behind=soon))
    assert [state for state, _ in rows(session)] == ["open", "open"]


def test_other_words_of_both_are_named_right_behind_although_the_likeliest_make_no_call(
    session: Desk,
) -> None:
    blocks = "sixteen blocks at two hundred"
    first = heard(f"{blocks} eighteen", f"{blocks} eighty", apart=0.4)
    say(session, first, right_behind(first, heard("two and thirteen sixteenths")))
    assert F(4525, 16) in rows(session)[0][1]


@pytest.mark.parametrize(
    ("first", "asking"),
    [("eight zero", ["doubtful", "doubtful"]), ("ninety and a half", ["open", "doubtful"])],
    ids=["both ask", "the first stands"],
)
def test_what_nobody_calls_is_named_where_both_halves_ask_anyway(
    session: Desk, first: str, asking: list[str]
) -> None:
    """ "Eight zero" may be 80 or eight foot, "eight" is one figure: 808 in. may be meant."""
    one = heard(first)
    say(session, one, behind(one, heard("eight"), heard("eight zero eight")))
    assert [state for state, _ in rows(session)] == asking
    assert (F(808) in rows(session)[0][1]) is (first == "eight zero")


def test_two_sure_calls_right_behind_each_other_are_not_what_nobody_calls(session: Desk) -> None:
    """206 of 112-3/8 in. is no call; 206, and five of 112-3/8, are two."""
    first, second = heard("two hundred and six"), heard("five at one hundred and twelve")
    both = heard(f"{first.text} {second.text}")
    say(session, first, right_behind(first, second, both))
    assert rows(session) == [("open", {F(206)}), ("open", {F(112)})]


@pytest.mark.parametrize("order", ["strike that", "next", "put it back"])
def test_an_order_that_came_to_nothing_right_before_a_call_may_have_been_its_beginning(
    session: Desk, clock: Clock, order: str
) -> None:
    """ "Five" was heard as "strike that": one of 112 is no five of it in silence."""
    first = heard(order)
    say(session, first)
    clock.later(1.5)
    say(session, right_behind(first, heard("one hundred and twelve", start=1.5)))
    (row,) = session.state.rows.values()
    assert row.state == "doubtful"
    assert [each.kind for each in row.doubts] == [DoubtKind.HEARD_RIGHT_BEFORE]


def test_a_call_right_behind_an_order_that_was_obeyed_stands(session: Desk, clock: Clock) -> None:
    say(session, heard("thirty six and a half"))
    clock.later(20)
    order = heard("strike that")
    say(session, order)
    clock.later(1.5)
    say(session, right_behind(order, heard("one hundred and twelve", start=1.5)))
    assert [state for state, _ in rows(session)] == ["struck", "open"]


@pytest.mark.parametrize(
    ("order", "soon", "state"),
    [
        ("put it back", True, "doubtful"),
        ("put it back", False, "open"),
    ],
)
def test_an_order_that_came_to_nothing_right_behind_a_call_marks_its_row(
    session: Desk, clock: Clock, order: str, soon: bool, state: str
) -> None:
    """ "And six" was heard as "next", with nothing to go on with."""
    first = heard("two hundred inch")
    say(session, first)
    clock.later(1.5)
    say(session, replace(behind(first, heard(order), None), right_behind=soon))
    assert [each for each, _ in rows(session)] == [state]


def test_a_stray_answer_behind_what_was_refused_is_heard_with_it(session: Desk) -> None:
    """ "And a half" was heard as "hundred" and "yes"."""
    first = heard("four one two hundred")
    whole = heard("four one two and a half")
    say(session, first, right_behind(first, heard("yes"), whole))
    assert rows(session) == [("doubtful", {F(825, 2)})]


def in_doubt(text: str, other: str, start: float, end: float) -> Recognition:
    return replace(
        spoken(text, start, end), hypotheses=(Hypothesis(text, 9.0), Hypothesis(other, 8.5))
    )


@pytest.mark.parametrize("doubtful", [True, False])
def test_both_are_heard_without_the_pause_that_the_level_shows(doubtful: bool) -> None:
    """The decoder knows to 0.2 s where words end: by its times "and three" was cut off a call. Two sure calls stay as they are."""
    heard_as: list[bytes] = []

    def decode(pcm: bytes) -> Recognition:
        heard_as.append(pcm)
        return Recognition((Hypothesis("thirty four and three", 9.0),), 0.4, 2.0, pcm)

    first = in_doubt("thirty four", "thirty five", 1, 2) if doubtful else spoken("thirty", 1, 2)
    second = spoken("sixty", 3.5, 4)
    rejoiner = Rejoiner(decode, lambda _, texts: dict.fromkeys(texts, 0.0))
    rejoiner.after(first)
    rejoiner.after(second)
    shortened = with_short_pauses(first.pcm + second.pcm)
    assert len(shortened) < len(first.pcm + second.pcm)
    assert heard_as[0] == (shortened if doubtful else joined_pcm(first, second))


@pytest.mark.parametrize(
    ("doubtful", "pause", "joined"), [(True, 0.9, True), (False, 0.9, False), (True, 1.3, False)]
)
def test_a_half_in_doubt_may_be_no_call_by_itself(
    rejoined: Callable[..., list[Recognition]], doubtful: bool, pause: float, joined: bool
) -> None:
    """ "Two hundred eigh | ty two" was heard as 208, and "two two and …": their words fit what was cut through best."""
    first = spoken("two hundred eight", 1, 2)
    first = in_doubt("two hundred eight", "two hundred eighty", 1, 2) if doubtful else first
    second = spoken("twenty two and a half", 2 + pause, 3 + pause)
    whole = "two hundred eighty two and a half"
    (_, after) = rejoined(whole, first, second, **{whole: -0.1})
    assert (after.joined is not None) == joined


def named_of(desk: Desk) -> list[tuple[int, F]]:
    """Return count and length of all that the rows may be, as they are named."""
    found = desk.state.rows.values()
    return [(cut.count, cut.length.inches) for row in found for cut in row.readings or (row.cut,)]


@pytest.mark.parametrize(
    ("apart", "named"), [(1.5, True), (3.9, True), (4.1, False)], ids=["near", "within", "beyond"]
)
def test_a_first_half_may_go_on_by_other_words_than_the_likeliest(
    session: Desk, apart: float, named: bool
) -> None:
    """ "Three at", 0.7 s, "seven foot eight and a half": the first was heard as "three eighths"."""
    first = heard("three eighths", "three at", apart=apart)
    say(session, first, right_behind(first, heard("seven foot eight and a half")))
    assert ((3, F(185, 2)) in named_of(session)) == named


def test_noise_is_no_second_half_of_other_words(session: Desk) -> None:
    first = heard("one three two", "one three", apart=1.0)
    say(session, first, right_behind(first, Recognition((Hypothesis("", 0.0),), 1.5, 1.8)))
    assert {inches for _, inches in named_of(session)} <= {F(132), F(13), F(15), F(43)}


def test_what_no_board_is_long_enough_for_leaves_its_place_to_what_both_may_be(
    session: Desk,
) -> None:
    """ "Eight thirty eight" is no length that anybody calls; eight pieces of 38-5/8 are."""
    first = heard("eight", "eight at", apart=0.5)
    sounds = [f"eight at {ten} eight and five eighths" for ten in ("forty", "thirty")]
    second = heard("thirty eight and five eighths")
    say(session, first, right_behind(first, second, heard(*sounds, apart=0.5)))
    assert named_of(session)[:2] == [(8, F(389, 8)), (8, F(309, 8))]


def test_figures_said_one_by_one_are_one_number_however_long(session: Desk) -> None:
    first = heard("five")
    sounds = [f"five five {figure}" for figure in ("zero", "one")]
    say(session, first, right_behind(first, heard("five zero"), heard(*sounds, apart=0.5)))
    assert (1, F(550)) in named_of(session)[:2]


def test_what_a_row_asks_already_takes_no_place(session: Desk) -> None:
    first = heard("eight five", "one oh one", apart=0.5)
    sounds = ["eight five", "one oh one", "fifty nine"]
    say(session, first, right_behind(first, heard("ninety"), heard(*sounds, apart=0.2)))
    assert (1, F(59)) in named_of(session)


@pytest.mark.parametrize(
    ("first", "second", "section", "allowance"),
    [
        ("sixty one and three sixteenths", ("sixteen foot light",), None, "light"),
        ("sixty one and three sixteenths", ("sixteen light",), None, "light"),
        (
            "two twelve and one eighth",
            ("it's two by ten joist", "eight two by ten joist"),
            "2x10",
            None,
        ),
    ],
)
def test_a_part_of_an_inch_that_a_pause_parted_is_said_once(
    session: Desk,
    first: str,
    second: tuple[str, ...],
    section: str | None,
    allowance: str | None,
) -> None:
    """ "Sixty one and three", 0.9 s, "sixteenths light": 16 feet light stood beside 61-3/16."""
    before = heard(first)
    say(session, before, right_behind(before, heard(*second, apart=1.0)))
    row, *_ = session.state.rows.values()
    assert row.state == "doubtful"
    meant = [
        (cut.section and str(cut.section), cut.allowance and cut.allowance.word)
        for cut in row.readings
        if cut.length == row.cut.length
    ]
    assert meant[0] == (section, allowance)
    assert all(each.state == "doubtful" for each in session.state.rows.values())


@pytest.mark.parametrize(
    ("first", "second"),
    [
        ("sixty one and three sixteenths", "sixteen at ninety four and a half"),
        ("thirty eight and five eighths", "eight foot two and three eighths"),
        ("thirty eight and five eighths", "eight at forty nine and a half two by four studs"),
        ("thirty eight and five eighths", "sixteen light"),
    ],
)
def test_a_call_that_begins_with_the_number_of_the_part_before_it_stands(
    session: Desk, first: str, second: str
) -> None:
    before = heard(first)
    say(session, before, right_behind(before, heard(second)))
    assert [state for state, _ in rows(session)] == ["open", "open"]
