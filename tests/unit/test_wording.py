"""Every doubt has its sentence, and sentences stand in one place."""

from __future__ import annotations

import ast
from fractions import Fraction as F
from pathlib import Path

import pytest

import cutmemo
import cutmemo.errors
from cutmemo.domain.doubts import DoubtKind, Fact, doubt
from cutmemo.domain.length import Length
from cutmemo.domain.settings import Settings
from cutmemo.wording import explain, explain_error, explain_why
from cutmemo.wording.doubts import SENTENCES

FACTS: dict[str, Fact] = {
    "text": "As it was written.",
    "over": 9,
    "under": 8,
    "feet": F(17, 2),
    "inches": F(102),
    "all": F(108),
    "off": 1,
    "word": "few",
    "said": "studs",
    "sign": "U+202E",
    "remark": "arithmetic only",
    "longest": Length(F(288)),
    "shortest": Length(F(12)),
    "length": Length(F(379, 8)),
    "fineness": 16,
    "angle": F(121, 2),
    "limit": F(50),
    "thickness": F(6),
    "width": F(3),
    "count": 51,
    "most": 50,
    "number": 4,
    "name": "pairs",
    "values": "ask, feet",
    "settings": "pairs, bare",
    "words": "and a half",
    "to_add": 1,
    "new": Length(F(93)),
    "title": "22 common rafters",
    "rows": "1, 2",
    "row": 3,
    "struck": 4,
    "choice": 4,
    "of": 2,
    "done": 2,
    "state": "cut",
    "person": "ben",
    "station": "saw",
    "pieces": 4000,
    "most_feet": 60,
    "least": 1,
    "begin": F(40),
    "end": F(52),
    "to": "Mill Lane",
    "boards": "1, 2",
    "piece": "rafter",
    "now": "2x8",
    "left": 2,
    "loads": "1, 2",
}


@pytest.mark.parametrize("kind", DoubtKind)
def test_every_doubt_has_a_sentence(kind: DoubtKind) -> None:
    said = explain(doubt(kind, **FACTS), Settings())
    assert said.endswith((".", "?"))
    assert "{" not in said


def test_one_choice_is_not_called_several() -> None:
    one, two = (doubt(DoubtKind.NO_SUCH_READING, row=8, choice=3, of=of) for of in (1, 2))
    assert explain(one, Settings()) == "Row 8 has 1 choice; 3 is none of them."
    assert explain(two, Settings()) == "Row 8 has 2 choices; 3 is none of them."


@pytest.mark.parametrize("trouble", cutmemo.errors.SoundTrouble)
def test_every_trouble_with_the_sound_has_a_sentence(trouble: cutmemo.errors.SoundTrouble) -> None:
    said = explain_error(cutmemo.errors.NoMicrophone(trouble, "Invalid device"))
    assert said.endswith(".")
    assert ("(Invalid device)" in said) == (trouble in ("not-opened", "not-played"))


@pytest.mark.parametrize(
    "error",
    [
        *(cutmemo.errors.BadMemo("m", each) for each in cutmemo.errors.MemoFault),
        *(cutmemo.errors.BadSound("m", each, 8) for each in cutmemo.errors.SoundFault),
    ],
    ids=lambda error: f"{error.code}: {error.why}",
)
def test_every_fault_of_a_file_has_words(
    error: cutmemo.errors.BadMemo | cutmemo.errors.BadSound,
) -> None:
    said = explain_why(error)
    assert " " in said
    assert "{" not in said
    assert f": {said}." in explain_error(error)


def test_the_detail_of_a_fault_is_told_with_it() -> None:
    fault = cutmemo.errors.MemoFault.DAMAGED
    error = cutmemo.errors.BadMemo("m", fault, damaged=True, detail="no such table")
    assert "it is damaged (no such table)." in explain_error(error)


def test_no_sentence_stands_twice() -> None:
    assert set(SENTENCES) == set(DoubtKind)


def test_lengths_in_a_sentence_are_shown_as_the_crew_shows_them() -> None:
    sounds_like = doubt(DoubtKind.SOUNDS_LIKE, length=Length(F(379, 8)))
    assert '47-3/8"' in explain(sounds_like)
    assert "3' 11-3/8\"" in explain(sounds_like, Settings(display="feet"))


@pytest.mark.parametrize(
    "package",
    ["language", "domain", "framing", "audio", "asr", "planning", "present", "site", "cli"],
)
def test_no_sentence_stands_outside_of_wording(package: str) -> None:
    """A sentence is a text of several words that ends as sentences do and is no docstring."""
    found = []
    for path in (Path(cutmemo.__file__).parent / package).rglob("*.py"):
        tree = ast.parse(path.read_text())
        docstrings = {
            id(node.value)
            for node in ast.walk(tree)
            if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
        }
        found += [
            (path.name, node.value)
            for node in ast.walk(tree)
            if isinstance(node, ast.Constant)
            and isinstance(node.value, str)
            and id(node) not in docstrings
            and " " in node.value.strip()
            and node.value.rstrip().endswith((".", "?", "!"))
        ]
    assert found == []


def test_an_error_without_a_sentence_of_its_own_says_its_facts() -> None:
    assert explain_error(cutmemo.errors.NothingToDo("Nothing is open.")) == "Nothing is open."
