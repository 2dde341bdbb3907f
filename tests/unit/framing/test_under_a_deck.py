"""The beam, the posts and the boards of a deck: on each limit and a sixteenth beyond, with all that is told."""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction as F
from itertools import pairwise

import pytest

from cutmemo.domain.cut import Section
from cutmemo.domain.settings import Settings
from cutmemo.framing import (
    Assembly,
    DeckSpec,
    HeaderSpec,
    MeasureError,
    RemarkKind,
    Value,
    calculate,
)
from cutmemo.framing.deck import post_middles

K = RemarkKind
SIXTEENTH = F(1, 16)
TWO_BY_TEN = Section(F(2), F(10))
"""9-1/4 deep and 1-1/2 thick (PS 20)."""
SIX_BY_SIX = Section(F(6), F(6))
"""5-1/2 (PS 20)."""
BEAM = HeaderSpec(TWO_BY_TEN, 2)
DECK = DeckSpec(F(192), F(144), section=TWO_BY_TEN, beam=BEAM)


def frame(spec: DeckSpec, longest: F = F(288)) -> Assembly:
    return calculate(spec, Settings(longest=longest))


def told(found: Assembly, kind: RemarkKind) -> list[dict[str, Value]]:
    return [dict(each.values) for each in (*found.facts, *found.cautions) if each.kind is kind]


def why(spec: DeckSpec) -> tuple[RemarkKind, dict[str, Value]]:
    with pytest.raises(MeasureError) as caught:
        frame(spec)
    return caught.value.problem.kind, dict(caught.value.problem.values)


def test_a_post_is_what_boards_joist_and_beam_leave_and_more_than_nothing() -> None:
    taken = 1 + F(37, 4) + F(37, 4)
    low = replace(DECK, posts=3, height=taken + SIXTEENTH)
    (post,) = [cut for cut in frame(low).cuts if cut.piece == "post"]
    assert (post.length.inches, post.count, post.section) == (SIXTEENTH, 3, None)
    refused = K.NO_ROOM_UNDER_BEAM, {"height": taken, "taken": taken}
    assert why(replace(low, height=taken)) == refused
    # A beam of its own depth, as one from a plan; boards of another thickness.
    deep = replace(DECK, beam=replace(BEAM, depth=F(12)), thick=F(3, 2), posts=2, height=F(60))
    (post,) = [cut for cut in frame(deep).cuts if cut.piece == "post"]
    assert post.length.inches == 60 - F(3, 2) - F(37, 4) - 12
    assert told(frame(deep), K.POST_LENGTH) == [{"thick": F(3, 2)}]


def test_posts_stand_evenly_from_end_to_end_and_no_two_in_one_place() -> None:
    for posts, length, middles in (
        (2, F(11), [F(11, 4), F(33, 4)]),
        (2, F(100), [F(11, 4), F(389, 4)]),
        (3, F(33, 2), [F(11, 4), F(33, 4), F(55, 4)]),
        (5, F(192), [F(11, 4) + F(373, 8) * n for n in range(5)]),
    ):
        spec = replace(DECK, length=length, posts=posts, post=SIX_BY_SIX)
        assert post_middles(spec) == middles
        assert told(frame(spec), K.POST_MARKS) == [{"marks": tuple(middles)}]
    for posts, length in ((2, 11 - SIXTEENTH), (3, F(33, 2) - SIXTEENTH), (1, F(192)), (0, F(192))):
        spec = replace(DECK, length=length, posts=posts, post=SIX_BY_SIX)
        assert why(spec) == (K.NO_ROOM_FOR_POSTS, {"posts": posts, "length": length})
    # A post of unknown size is as thick as a 2x4 is wide, 3-1/2 (PS 20); none are known, none stand.
    for post in (None, Section(material="LVL")):
        assert post_middles(replace(DECK, posts=2, post=post)) == [F(7, 4), 192 - F(7, 4)]
    assert post_middles(DECK) == []
    assert not told(frame(DECK), K.POST_MARKS)


@pytest.mark.parametrize("plies", [1, 2, 3])
def test_a_beam_lies_inside_the_cantilever_and_not_past_the_ledger(plies: int) -> None:
    wide = plies * F(3, 2)
    spec = replace(DECK, beam=replace(BEAM, plies=plies))
    for cantilever in (F(0), F(16), 144 - wide - SIXTEENTH):
        outer = 144 - cantilever
        (place,) = told(frame(replace(spec, cantilever=cantilever)), K.BEAM_PLACE)
        assert place == {"near": outer - wide, "outer": outer, "plies": plies}
    refused = K.NO_ROOM_FOR_JOISTS, {"length": 192, "span": wide}
    assert why(replace(spec, cantilever=144 - wide)) == refused
    # Of no standard size: 1-1/2 a ply (common practice). Engineered: as thick as it is called.
    for section, thick in (
        (Section(material="LVL"), F(3, 2)),
        (Section(F(7, 4), F(95, 8), "LVL"), F(7, 4)),
    ):
        other = replace(spec, beam=HeaderSpec(section, plies))
        (place,) = told(frame(other), K.BEAM_PLACE)
        assert place["near"] == 144 - plies * thick


def test_what_is_told_of_posts_goes_with_what_is_known() -> None:
    for posts, height, kinds in (
        (None, None, set()),
        (3, None, {K.POST_MARKS, K.POSTS_NOT_CUT}),
        (3, F(48), {K.POST_MARKS, K.POST_LENGTH, K.DECK_STAIRS}),
        (None, F(48), {K.POST_LENGTH, K.DECK_STAIRS}),
    ):
        found = frame(replace(DECK, posts=posts, height=height))
        of_posts = {K.POST_MARKS, K.POSTS_NOT_CUT, K.POST_LENGTH, K.DECK_STAIRS}
        assert {each.kind for each in found.facts} & of_posts == kinds
        assert any(cut.piece == "post" for cut in found.cuts) is (
            K.POST_MARKS in kinds and height is not None
        )
    assert told(frame(replace(DECK, posts=3, height=F(48))), K.DECK_STAIRS) == [{"rise": 48}]
    bare = frame(replace(DECK, beam=None, posts=3, height=F(48)))
    assert not {cut.piece for cut in bare.cuts} & {"beam", "post"}
    assert not told(bare, K.BEAM_PLACE)


def test_each_ply_is_joined_over_posts_inside_and_neighbours_over_different_ones() -> None:
    # Nine posts 36 in. apart, boards of 12 ft: by coordinates.
    spec = replace(DECK, length=F(7, 2) + 8 * 36, beam=replace(BEAM, plies=3), posts=9)
    found = frame(spec, F(144))
    middles = post_middles(spec)
    assert all(two - one == 36 for one, two in pairwise(middles))
    (joined,) = told(found, K.BEAM_JOINTS)
    marks = joined["marks"]
    assert isinstance(marks, tuple)
    assert {*marks} < {*middles[1:-1]}
    assert list(marks) == sorted({*marks})
    beams = [cut for cut in found.cuts if cut.piece == "beam"]
    assert sum(cut.length.inches * cut.count for cut in beams) == 3 * spec.length
    assert all(cut.length.inches <= 144 for cut in beams)
    assert all(cut.section == TWO_BY_TEN for cut in beams)
    assert len({cut.length for cut in beams}) == len(beams)
    # As far as a board reaches from the end for the first, a post before that for the next.
    first = max(m for m in middles if m <= 144)
    assert first in marks
    assert first - 36 in marks
    assert not told(frame(spec, spec.length), K.BEAM_JOINTS)


@pytest.mark.parametrize("longest", [F(150), F(144), F(143), F(100)])
def test_deck_boards_end_over_the_middle_of_a_joist(longest: F) -> None:
    """Joists stand on 16 in. centres: a board ends on the last whole sixteen inches that it reaches."""
    reach = longest // 16 * 16
    spec = replace(DECK, beam=None, length=F(240), board=F(4), gap=F(0))
    laid = [cut for cut in frame(spec, longest).cuts if cut.piece == "deck board"]
    ends = [F(0)]
    while spec.length - ends[-1] > longest:
        good = [F(16 * n) for n in range(16) if ends[-1] < 16 * n <= ends[-1] + reach]
        ends.append(max(at for at in good if spec.length - at >= 24))
    lengths = [two - one for one, two in pairwise([*ends, spec.length])]
    assert sorted((cut.length.inches, cut.count) for cut in laid) == sorted(
        (length, 36 * lengths.count(length)) for length in {*lengths}
    )


def test_the_cuts_come_as_they_are_built_and_what_is_the_plans_is_said_first() -> None:
    close = frame(replace(DECK, span=F(6), beam=None, blocking=7))  # a row of blocks begins at 0
    assert sum(cut.count for cut in close.cuts if cut.piece == "ledger") == 1
    found = frame(replace(DECK, posts=3, height=F(48), blocking=1))
    names = list(dict.fromkeys(cut.piece for cut in found.cuts))
    assert names == ["joist", "ledger", "rim", "block", "beam", "post", "deck board"]
    assert found.cautions[0].kind is K.DECK_PLAN
    assert found.facts[-1].kind is K.DECK_BOARDS
    assert (found.title.kind, dict(found.title.values)) == (K.DECK, {"length": 192, "span": 144})
    assert why(replace(DECK, board=F(0))) == (K.NO_ROOM_FOR_JOISTS, {"length": 192, "span": 144})
