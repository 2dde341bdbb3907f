"""Signs that cannot be seen are found, written out, and never change what JSON means."""

from __future__ import annotations

import json
import unicodedata

import pytest
from hypothesis import given
from hypothesis import strategies as st

from cutmemo.domain.signs import hidden_sign, visible, visible_json

# The signs that turn text round, from Unicode Standard Annex 9, section 2 (explicit formatting characters).
BIDI = "\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"


def test_every_control_sign_is_hidden_but_tab_and_line_feed() -> None:
    control = {chr(n) for n in range(0x110000) if unicodedata.category(chr(n)) in ("Cc", "Cs")}
    assert {sign for sign in control if hidden_sign(sign) is None} == {"\t", "\n"}
    assert {sign for sign in control if hidden_sign(sign, name=True) is None} == set()


@pytest.mark.parametrize("sign", BIDI)
def test_every_sign_that_turns_text_round_is_hidden(sign: str) -> None:
    assert hidden_sign(f"36{sign}48") == sign
    assert visible(f"36{sign}48") == f"36<U+{ord(sign):04X}>48"


@given(st.characters(categories=("L", "N", "P", "S", "M", "Zs")))
def test_letters_figures_marks_and_spaces_are_shown_as_they_are(sign: str) -> None:
    assert visible(sign) == sign


@given(st.text(st.characters(), max_size=20))
def test_what_was_made_visible_has_nothing_hidden(text: str) -> None:
    assert hidden_sign(visible(text)) is None
    assert visible(visible(text)) == visible(text)


@given(st.text(st.characters(categories=None), max_size=20))
def test_json_means_the_same(text: str) -> None:
    line = visible_json(json.dumps({"said": text}, ensure_ascii=False))
    assert json.loads(line) == {"said": text}
    assert hidden_sign(line) is None
