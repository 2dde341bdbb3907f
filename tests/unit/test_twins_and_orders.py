"""What sounds alike comes in the order in which it fits; rows held, named and corrected by every name they have."""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction as F

import pytest

from cutmemo.asr import Hypothesis, Recognition
from cutmemo.asr.confusions import (
    add_confusable_hypotheses,
    with_another_figure,
    with_eighteen,
)
from cutmemo.domain.cut import Cut
from cutmemo.domain.settings import Settings
from cutmemo.language import Change, Command, OnRow, read
from cutmemo.memo import events as e
from cutmemo.memo.codec import encode
from cutmemo.memo.events import Event
from cutmemo.memo.projection import Projection

CREW = Settings()


def test_twins_by_another_figure_come_the_one_that_fits_best_first() -> None:
    said = "one oh five"
    twins = with_another_figure(said)
    fits = {twin: -1.0 - (3 * n) % 7 / 10 for n, twin in enumerate(twins)}

    def rescore(texts: list[str]) -> Mapping[str, float]:
        return {text: fits.get(text, -1.0) for text in texts}

    heard = Recognition((Hypothesis(said, 50.0),))
    found = [each.text for each in add_confusable_hypotheses(heard, rescore).hypotheses[1:]]
    named = [twin for twin in found if twin in fits]
    assert len(named) > 3
    assert [fits[twin] for twin in named] == sorted((fits[twin] for twin in named), reverse=True)
    assert named != sorted(named)
    assert named != [twin for twin in twins if twin in named]


@pytest.mark.parametrize("part", ["fourth", "fourths", "sixteenth", "sixteenths"])
def test_a_number_of_parts_is_no_other_number_whatever_follows(part: str) -> None:
    assert with_eighteen("fifteen")
    for behind in ("", " strong", " two by four stud"):
        assert with_eighteen(f"thirty and fifteen {part}{behind}") == ()
    assert with_eighteen(f"fifteen and three {part}") == (f"eighteen and three {part}",)


def orders(text: str, by_voice: bool = True) -> set[tuple[int | None, str]]:
    return {
        (each.intent.row, each.intent.intent.verb)
        for each in read(text, CREW, by_voice=by_voice)
        if isinstance(each.intent, OnRow) and isinstance(each.intent.intent, Command)
    }


def test_a_row_is_held_and_let_go_by_any_of_its_names() -> None:
    for row, said in (
        (3, "row three"),
        (22, "row twenty two"),
        (None, "it"),
        (None, "the last one"),
    ):
        assert orders(f"put {said} on hold") == {(row, "hold")}
        assert orders(f"take {said} off hold") == {(row, "release")}
    assert orders("put 22 on hold", by_voice=False) == {(22, "hold")}


def test_the_wrong_length_that_is_named_is_read_to_its_end() -> None:
    for said, wrong in (
        ("row four fifty eight not fifty seven", F(57)),
        ("row four fifty eight not fifty seven and three quarters", F(231, 4)),
        ("row four fifty eight not fifty seven and a half", F(115, 2)),
        ("row four fifty eight not four foot seven and a half", F(111, 2)),
    ):
        named = [
            each.intent
            for each in read(said, CREW, by_voice=True)
            if isinstance(each.intent, OnRow) and each.intent.row == 4
        ]
        assert [each.intent.length.inches for each in named if isinstance(each.intent, Change) and each.intent.length] == [58]  # fmt: skip
        assert [each.was.length.inches for each in named if each.was.length] == [wrong]


def made(name: str, *after: str) -> Event:
    payload = e.OrderSet("longest")
    at = "2026-05-04T07:30:00+00:00"
    return Event(name, at, "s", "w", e.OrderSet.KIND, 2, payload, encode(payload), name, 1, after)


def test_whoever_knew_the_first_entry_knew_what_it_was_built_on() -> None:
    """Of a memo whose first entries are lost, the next ones still name them."""
    log = [made("first", "lost"), made("second", "first"), made("third", "second")]
    memo = Projection(log)
    assert memo._knew(log[2], "lost")
    assert memo._knew(log[1], "lost")
    assert not memo._knew(log[2], "another")
    assert not memo._knew(log[0], "second")


@pytest.mark.parametrize("piece", ["collar tie", "ridge board", "barge board", "king stud"])
def test_the_side_of_a_piece_of_several_words_is_said_on_any_side_of_it(piece: str) -> None:
    for said in (
        f"{piece} left thirty six",
        f"left {piece} thirty six",
        f"thirty six {piece} left",
    ):
        found = {
            (each.intent.piece, each.intent.place, each.intent.length.inches)
            for each in read(said, CREW, by_voice=True)
            if isinstance(each.intent, Cut)
        }
        assert (piece, "left", F(36)) in found, said
        assert {inches for _, _, inches in found} == {36}, said


@pytest.mark.parametrize("joined", [" ", " at ", ", "])
def test_a_word_of_no_table_behind_a_size_is_the_piece(joined: str) -> None:
    (found,) = read(f"2x6 gizmo{joined}36-1/2", CREW)
    assert isinstance(found.intent, Cut)
    assert (found.intent.piece, found.intent.length.inches) == ("gizmo", F(73, 2))
