"""Typed calls among words that nothing reads: a punch list's rooms, purposes and remarks.

The measures are read, the words are kept, and nothing stands in silence that a word may change. The
lines are of our own invention (common practice).
"""

from __future__ import annotations

import random
from fractions import Fraction as F

import pytest
from desk import Desk
from memory_store import MemoryStore

from cutmemo.domain.cut import Cut
from cutmemo.domain.doubts import DoubtKind
from cutmemo.errors import CutmemoError
from cutmemo.language import CallList, Reading, read, read_typed
from cutmemo.language.among_words import read_among_words
from cutmemo.language.lexicon.en import (
    MAY_CHANGE,
    NOTES,
    PIECES,
    PLACE_NAMES,
    QUALIFYING,
    QUALITIES,
    ROOMS,
    SIDES,
    SPOTS,
)
from cutmemo.language.lexicon.ordinary import ORDINARY


def readings(said: str) -> tuple[Reading, ...] | CallList | None:
    """Return what a typed line means; ``None`` where it is refused."""
    try:
        return read_typed(said)
    except CutmemoError:
        return None


def cuts(found: tuple[Reading, ...] | CallList | None) -> list[Cut]:
    """Return the cuts of *found*, of a list the likeliest of each."""
    if found is None:
        return []
    each = [part.readings[0] for part in found.parts] if isinstance(found, CallList) else found
    return [one.intent for one in each if isinstance(one.intent, Cut)]


def asks(found: tuple[Reading, ...] | CallList | None) -> bool:
    """Return whether anything has to be answered before it counts."""
    if isinstance(found, CallList):
        return not found.marked or any(
            len(part.readings) > 1 or part.readings[0].doubts for part in found.parts
        )
    return found is not None and (len(found) > 1 or bool(found[0].doubts))


def measures(cut: Cut) -> tuple[object, ...]:
    """Return all of *cut* that a saw needs."""
    return cut.count, cut.length.inches, str(cut.section or ""), cut.ends


@pytest.mark.parametrize(
    ("said", "count", "inches", "size", "kept"),
    [
        ("6 @ 62-1/4 2x4 plate closets J K", 6, F(249, 4), "2x4", "closets J K"),
        ("2 @ 48 2x6 sill W3, W4", 2, F(48), "2x6", "W3 W4"),
        ("2x6 block 3 at 14-1/2 handrail", 3, F(29, 2), "2x6", "handrail"),
        ("2x4 rail 4 at 8 feet hall soffit", 4, F(96), "2x4", "hall soffit"),
        ("13 crips 7-1/8 2x6 over big door", 13, F(57, 8), "2x6", "big door"),
        ("2x4 stud 9 at 38-1/4 half wall at stairs", 9, F(153, 4), "2x4", "half wall stairs"),
        ("beam lvl 1 3/4x14 3 @ 155 front half", 3, F(155), "1-3/4x14 LVL", "front half"),
        ("loft bath niche sides 2x4 24-7/8 x2", 2, F(199, 8), "2x4", "loft bath niche sides"),
        ("unit 4 hall cupboard, 4 studs 2x4 90-1/8", 4, F(721, 8), "2x4", "unit 4 hall cupboard"),
        ("bottom plate linen closet unit 2 28-3/4 2x4", 1, F(115, 4), "2x4", "linen closet unit 2"),
        ("7 backers 2x6 13-3/8 mirror bedroom", 7, F(107, 8), "2x6", "mirror bedroom"),
    ],
)
def test_rooms_and_purposes_around_a_whole_call_ask_nothing(
    said: str, count: int, inches: F, size: str, kept: str
) -> None:
    found = readings(said)
    (cut,) = cuts(found)
    assert not asks(found)
    assert (cut.count, cut.length.inches, str(cut.section)) == (count, inches, size)
    words = " ".join(filter(None, (cut.piece, cut.place, cut.note))).replace(",", " ")
    assert set(kept.split()) <= set(words.split())


@pytest.mark.parametrize(
    ("said", "count", "inches"),
    [
        ("2x6 north wall 8 69-3/16", 8, F(1107, 16)),  # eight of them?
        ("2x6 w 96-9/16 9 ea", 9, F(1545, 16)),  # no wall 96
        ("18 ea 92-5/8 2x6 studs walls B and D", 18, F(741, 8)),  # of each wall?
        ("rafter 12-1/2 2x6 header", 1, F(25, 2)),  # a length left out?
        ("4 at 38 half wall", 4, F(77, 2)),  # thirty eight and a half
        ("2x4 stud 9 at 38 half wall", 9, F(38)),
        ("four sills 2x6 41-1/2, they sit on the block wall", 4, F(83, 2)),  # a remark
        ("battens 1x4, seven, they sit by the stove, 31-5/8", 7, F(253, 8)),  # between commas
        ("7 backers 2x6 13-3/8 mirror bedroom 3", 7, F(107, 8)),  # perhaps 3 in. for the bedroom
        ("loft, same niche 3 backers 2x8 14-1/4", 3, F(57, 4)),  # "same" may be a length
        ("tall cupboard rails 2x4 31-1/8 x 3", 3, F(249, 8)),
        ("soffit rungs kitchen unit 3 2x4 20-1/2", 3, F(41, 2)),  # whose number is it?
    ],
)
def test_what_may_say_more_asks_with_the_measures_among_the_readings(
    said: str, count: int, inches: F
) -> None:
    found = readings(said)
    assert asks(found)
    assert (count, inches) in {(cut.count, cut.length.inches) for cut in cuts(found)}


@pytest.mark.parametrize(
    "said",
    [
        "hold the niche sides 24-7/8 till monday and call",
        "scratch the tall cupboard rails 2x4 31-1/8, wrong",
        "the niche rails are not 2x4 24-7/8",
        "do we need 4 niche sides 2x4 24-7/8 or not",
        "is the tall cupboard rail 2x4 31-1/8 cut yet",
        "no niche sides 2x4 24-7/8 without the shelf",
        "the bench, and the rest of it",
        "nothing but words here",
        "used 2 of the 2x10 for the niche",
        "broke 2 niche studs 2x4 92-5/8",
    ],
)
def test_orders_questions_and_denials_are_no_calls(said: str) -> None:
    assert read_among_words(said) is None


def test_several_cuts_among_words_ask_one_by_one() -> None:
    found = readings("unit 5 kitchen hood 2x4 face frame 2 at 35-7/8, 4 at 15-11/16")
    assert isinstance(found, CallList)
    assert asks(found)
    assert [measures(cut)[:3] for cut in cuts(found)] == [
        (2, F(287, 8), "2x4"),
        (4, F(251, 16), "2x4"),
    ]
    assert all("unit 5" in (cut.place or "") for cut in cuts(found))


def test_words_between_two_figures_never_join_them() -> None:
    """92 and 5/8 with a word between are no 92-5/8, wherever the word stands."""
    for word in ("gleam", "kitchen", "niche", "tall", "the"):
        for said, joined in (
            (f"4 studs 2x4 92 {word} 5/8", F(741, 8)),
            (f"4 {word} 36 1/2 2x4", F(873, 2)),
            (f"stud 2x4 9 {word} 2", F(92)),
        ):
            assert joined not in {cut.length.inches for cut in cuts(readings(said))}, said


@pytest.mark.parametrize(
    ("said", "count", "inches"),
    [
        ("8 headers 2x4 97 gleam times", 8, F(97)),  # 97 times 8 in.?
        ("plates 2x6 only gleam 94 x 24", 24, F(94)),  # only 94?
    ],
)
def test_words_beside_what_counts_leave_no_other_count_in_silence(
    said: str, count: int, inches: F
) -> None:
    found = readings(said)
    others = [cut for cut in cuts(found) if (cut.count, cut.length.inches) != (count, inches)]
    assert asks(found) or not others


FRAMES = (
    "{} 4 studs 2x4 92-5/8",
    "4 studs {} 2x4 92-5/8",
    "4 studs 2x4 {} 92-5/8",
    "kitchen {} 4 studs 2x4 92-5/8",
    "4 studs 2x4 92-5/8 kitchen {} back",
)
"""Where a word may stand in a call of four studs."""
WORDS = sorted(word for word in {*MAY_CHANGE, *QUALIFYING} if word.isalpha() and len(word) > 2)


def slip(word: str, r: random.Random) -> str:
    """Return *word* with one slip of the fingers."""
    at = r.randrange(len(word))
    letter = r.choice("abcdefghijklmnopqrstuvwxyz")
    return r.choice(
        [
            word[:at] + word[at + 1 :],
            word[:at] + letter + word[at:],
            word[:at] + letter + word[at + 1 :],
            word[:at] + word[at + 1 : at + 2] + word[at] + word[at + 2 :],
        ]
    )


@pytest.mark.parametrize("frame", FRAMES)
def test_no_word_that_may_change_a_measure_and_no_slip_of_one_is_kept_in_silence(
    frame: str,
) -> None:
    r = random.Random(2911)
    for word in WORDS:
        for said in (word, slip(word, r)):
            found = readings(frame.format(said))
            if found is None or asks(found) or said in KNOWN:
                continue
            assert len(cuts(found)) < 2
            for cut in cuts(found):
                assert said not in f"{cut.place or ''} {cut.note or ''}".split(), (said, word)


KNOWN = frozenset(
    (*ROOMS.words(), *SIDES.words(), *SPOTS.words(), *NOTES.words(), *QUALITIES.words())
) | {*PLACE_NAMES, *PIECES.words() - QUALIFYING, *ORDINARY}
"""A word or a slip may be one of these, which say where or of what it is, or nothing of a cut:
bunch, bench.
"""


@pytest.mark.parametrize("seed", range(6))
def test_the_measures_are_those_of_the_call_without_the_words(seed: int) -> None:
    """A call with rooms and purposes put in stands in silence only with its own measures."""
    r = random.Random(seed)
    rooms = ["hall bath", "unit 3", "north wall", "kitchen", "porch", "W5", "bedroom 2"]
    purposes = ["mirror", "coat hooks", "grab rail", "boiler", "handbasin", "broom cupboard"]
    for _ in range(60):
        count, inches = r.randrange(2, 12), F(r.randrange(90, 1500) * 2 + 1, 16)
        whole, part = divmod(inches, 1)
        parts = [str(count), r.choice(["studs", "blocks", "rails"]), "2x4", f"@ {whole}-{part}"]
        plain = read(" ".join(parts))[0].intent
        assert isinstance(plain, Cut)
        for words in r.sample([*rooms, *purposes], 2):
            parts.insert(r.randrange(len(parts) + 1), words)
        found = readings(" ".join(parts))
        if found is not None and not asks(found):
            assert [measures(cut) for cut in cuts(found)] == [measures(plain)], parts


@pytest.mark.parametrize(
    "said",
    [
        "2x10 ridge 22' 1-1/2\", hooty one",
        "8 92-5/8 2x6 for corners, crown them all one way",
        "2x10 ridge 22' 1-1/2\", best one in the pile",
    ],
)
def test_one_of_a_remark_is_no_cut_of_an_inch(said: str) -> None:
    assert F(1) not in {cut.length.inches for cut in cuts(readings(said))}


def test_a_call_that_asks_for_its_words_says_which(memory: MemoryStore) -> None:
    desk = Desk(memory)
    desk.call("tall cupboard rails 2x4 31-1/8 x 3")
    (row,) = desk.state.rows.values()
    assert row.state == "doubtful"
    (asked,) = [each for each in row.doubts if each.kind is DoubtKind.UNKNOWN_WORDS]
    assert "tall cupboard" in dict(asked.words)["said"]


@pytest.fixture
def memory() -> MemoryStore:
    return MemoryStore()


def test_each_cut_of_a_list_keeps_its_own_piece_among_words() -> None:
    found = readings("2x4 stud 4 at 92-5/8 and 2x4 plate 3 at 18-1/4 duct chase")
    assert [(cut.count, cut.length.inches, cut.piece) for cut in cuts(found)] == [
        (4, F(741, 8), "stud"),
        (3, F(73, 4), "plate"),
    ]


def test_a_remark_with_a_one_in_it_is_no_cut_of_a_list() -> None:
    found = readings("2x4 stud 4 at 96, leave 1 for bob")
    assert asks(found)
    assert [(cut.count, cut.length.inches, cut.note) for cut in cuts(found)] == [
        (4, F(96), "leave 1 for bob")
    ]
