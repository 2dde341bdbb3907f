"""Exact lengths, how they are shown, and what boards are across."""

from __future__ import annotations

import pickle
from fractions import Fraction as F

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutmemo import errors
from cutmemo.domain.cut import Section
from cutmemo.domain.doubts import DoubtKind, doubt
from cutmemo.domain.length import Length, format_length, to_tape
from cutmemo.domain.units import from_inches, to_inches
from cutmemo.wording import explain_error


@pytest.mark.parametrize(
    ("inches", "display", "shown"),
    [
        (F(203, 2), "inches", '101-1/2"'),
        (F(5, 8), "inches", '5/8"'),
        (F(36), "inches", '36"'),
        (F(0), "inches", '0"'),
        (F(203, 2), "feet", "8' 5-1/2\""),
        (F(96), "feet", "8' 0\""),
        (F(5, 8), "feet", '5/8"'),
        (F(12000, 254), "mm", "1200 mm"),
        (F(293, 32), "inches", '≈9-3/16"'),
        (F(1, 3), "inches", '≈5/16"'),
        (F(36), "mm", "≈914 mm"),
    ],
)
def test_a_length_is_shown_for_the_tape_and_marked_when_rounded(
    inches: F, display: str, shown: str
) -> None:
    assert str(format_length(Length(inches), display)) == shown  # type: ignore[arg-type]


def test_half_of_a_sixteenth_rounds_up() -> None:
    # NAVEDTRA 14044, US Navy carpentry course: .5 of a sixteenth is rounded up.
    assert to_tape(F(9) + F(5, 32)) == F(9) + F(3, 16)


@given(st.fractions(min_value=0, max_value=500), st.sampled_from([8, 16, 32, 64]))
def test_rounding_is_never_off_by_more_than_half_a_mark(inches: F, fineness: int) -> None:
    assert abs(to_tape(inches, fineness) - inches) <= F(1, 2 * fineness)


def test_floats_are_refused_at_the_door() -> None:
    with pytest.raises(TypeError):
        Length(36.5)  # type: ignore[arg-type]


@given(
    st.fractions(min_value=-1000, max_value=1000),
    st.sampled_from(["inch", "foot", "millimetre", "centimetre", "metre"]),
)
def test_units_there_and_back_change_nothing(amount: F, unit: str) -> None:
    assert from_inches(to_inches(amount, unit), unit) == amount  # type: ignore[arg-type]


def test_an_inch_is_25_4_millimetres_exactly() -> None:
    # NIST Special Publication 811, appendix B.
    assert from_inches(F(1), "millimetre") == F(254, 10)
    assert from_inches(F(1), "metre") == F(254, 10000)
    assert to_inches(F(1), "foot") == 12


# American Softwood Lumber Standard PS 20, dry sizes, as reproduced in handbooks.
@pytest.mark.parametrize(
    ("nominal", "dressed"),
    [
        ((1, 2), ("3/4", "3/2")),
        ((1, 4), ("3/4", "7/2")),
        ((F(5, 4), 6), ("1", "11/2")),
        ((F(6, 4), 6), ("5/4", "11/2")),
        ((2, 2), ("3/2", "3/2")),
        ((2, 3), ("3/2", "5/2")),
        ((2, 4), ("3/2", "7/2")),
        ((2, 6), ("3/2", "11/2")),
        ((2, 8), ("3/2", "29/4")),
        ((2, 10), ("3/2", "37/4")),
        ((2, 12), ("3/2", "45/4")),
        ((2, 14), ("3/2", "53/4")),
        ((3, 4), ("5/2", "7/2")),
        ((4, 4), ("7/2", "7/2")),
        ((6, 6), ("11/2", "11/2")),
    ],
)
def test_dressed_sizes(nominal: tuple[F, F], dressed: tuple[str, str]) -> None:
    assert Section(F(nominal[0]), F(nominal[1])).dressed() == (F(dressed[0]), F(dressed[1]))


# Nominal thickness × width (in.) × length (ft) / 12, under 1 in. counts as 1: the definition in PS 20; worked here by hand.
@pytest.mark.parametrize(
    ("thickness", "width", "feet", "board_feet"),
    [
        (2, 4, 8, F(16, 3)),
        (2, 4, 14, F(28, 3)),
        (2, 6, 12, F(12)),
        (2, 12, 16, F(32)),
        (4, 4, 8, F(32, 3)),
        (F(5, 4), 6, 12, F(15, 2)),
        (F(3, 4), 4, 12, F(4)),
    ],
)
def test_board_feet(thickness: F, width: int, feet: int, board_feet: F) -> None:
    assert Section(F(thickness), F(width)).board_feet(F(feet * 12)) == board_feet


def test_engineered_boards_have_no_nominal_size() -> None:
    assert Section(material="LVL").dressed() is None
    assert Section(material="LVL").board_feet(F(120)) == 0


@pytest.mark.parametrize(
    "error",
    [
        errors.NotACall(("four", "blue"), 1, frozenset({"a length"})),
        errors.Refused("0", [doubt(DoubtKind.NO_LENGTH)]),
        errors.UnknownCut("9"),
        errors.BadMemo("m", "it is gone"),
        errors.BadMemo("m", errors.MemoFault.DAMAGED, damaged=True, detail="no such table"),
        errors.BadImport(3, "not an event"),
        errors.BadSound("a.wav", "it is empty"),
        errors.BadSound("a.wav", errors.SoundFault.BITS, 8),
        errors.NoMicrophone(errors.SoundTrouble.NOT_OPENED, "Invalid device"),
        errors.NoModel("m", "there is no such folder"),
        errors.NothingToDo("Nothing is open."),
    ],
)
def test_errors_say_one_sentence_and_survive_pickling(error: errors.CutmemoError) -> None:
    again = pickle.loads(pickle.dumps(error))  # noqa: S301 - our own
    assert explain_error(again) == explain_error(error)
    assert explain_error(error).endswith(".")
