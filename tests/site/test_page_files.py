"""The files of the page: every word comes from the server, nothing is markup, both looks stand out."""

from __future__ import annotations

import json
import re
from itertools import pairwise
from pathlib import Path

import pytest

import cutmemo
from cutmemo.wording.page import WORDS

PAGE = Path(cutmemo.__file__).parent / "site" / "page"
SCRIPTS = sorted(PAGE.glob("*.js"))
STYLE = (PAGE / "page.css").read_text("utf-8")
SHELL = (PAGE / "index.html").read_text("utf-8")


def used() -> set[str]:
    """Return every name of WORDS that stands in the page's files, as a text or a label."""
    found = set(re.findall(r'data-(?:label|name)="(\w+)"', SHELL))
    for script in SCRIPTS:
        found |= set(re.findall(r'"(\w+)"', script.read_text("utf-8"))) & set(WORDS)
    return found


def test_every_name_that_the_page_asks_for_has_words_and_all_words_are_used() -> None:
    asked = set(re.findall(r'data-(?:label|name)="(\w+)"', SHELL))
    for script in SCRIPTS:
        asked |= set(re.findall(r'\bt\("(\w+)"', script.read_text("utf-8")))
    assert asked - set(WORDS) == set()
    assert set(WORDS) - used() == set()


def test_no_words_stand_in_the_code_of_the_page() -> None:
    """A text of two words and more that ends like a sentence, or a word put straight into the page."""
    for script in SCRIPTS:
        code = re.sub(
            r"^\s*//.*$|/\*\*.*?\*/|//\s.*$", "", script.read_text("utf-8"), flags=re.M | re.S
        )
        texts = re.findall(r'"([^"\n]*)"|`([^`]*)`', code)
        assert [
            text for pair in texts for text in pair if re.search(r"[a-z] [a-z].*[.?!]$", text)
        ] == []
        assert not re.search(r'textContent = "[A-Za-z]', code), script.name
    body = re.sub(r"<noscript>.*?</noscript>|<title>.*?</title>", "", SHELL)
    assert [text for text in re.findall(r">([^<>]+)<", body) if text.strip()] == []


def test_nothing_is_ever_set_as_markup() -> None:
    for script in SCRIPTS:
        code = script.read_text("utf-8")
        assert not re.search(
            r"innerHTML|outerHTML|insertAdjacentHTML|document\.write|\beval\(|new Function", code
        ), script.name
    assert not re.search(r"\son\w+=|\sstyle=|<style|<script(?![^>]*\bsrc=)", SHELL)
    assert not re.search(r"https?:|//[a-z]", re.sub(r"<!doctype html>", "", SHELL))


def luminance(colour: str) -> float:
    """Return the relative luminance of ``#rgb`` or ``#rrggbb``.

    Source: WCAG 2.2, definition of relative luminance.
    """
    digits = colour[1:] if len(colour) == 7 else "".join(2 * digit for digit in colour[1:])
    parts = [int(digits[k : k + 2], 16) / 255 for k in (0, 2, 4)]
    linear = [
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    ]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def contrast(one: str, other: str) -> float:
    """Return the contrast of two colours. Source: WCAG 2.2, definition of contrast ratio."""
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def colours(selector: str) -> dict[str, str]:
    """Return the colours that a rule of the style sheet names."""
    rule = re.search(re.escape(selector) + r" \{(.*?)\}", STYLE, re.S)
    assert rule is not None
    return dict(re.findall(r"--(\w+): (#\w+)", rule.group(1)))


def test_contrast_is_reckoned_as_the_standard_does() -> None:
    assert contrast("#000", "#fff") == pytest.approx(21)
    assert contrast("#777777", "#fff") == pytest.approx(4.48, abs=0.01)  # WCAG's best known edge


@pytest.mark.parametrize("look", [":root", '[data-look="sun"]'], ids=["dark", "sun"])
def test_every_text_stands_seven_to_one_off_its_ground(look: str) -> None:
    """7:1 is WCAG 2.2's success criterion 1.4.6 (enhanced)."""
    named = colours(look)
    for ground in ("ground", "panel"):
        for ink in ("ink", "warm", "cool", "bad", "good", "pale"):
            assert contrast(named[ink], named[ground]) >= 7, f"{ink} on {ground}"
    for ground in ("warm", "cool", "good"):
        assert contrast(named["on"], named[ground]) >= 7, f"on {ground}"
    for ground in ("wood", "rest"):
        assert contrast(named["ink"], named[ground]) >= 7, f"ink on {ground}"
    assert contrast(named["line"], named["ground"]) >= 3  # the edge of a key: criterion 1.4.11


def test_the_style_names_colours_in_one_place_alone() -> None:
    rules = STYLE[STYLE.index("* { box-sizing") :]
    assert set(re.findall(r"#[0-9a-f]{3,8}\b(?=[;\s}])", rules)) <= {"#000c"}  # behind a sheet


def test_the_page_can_be_installed() -> None:
    manifest = json.loads((PAGE / "manifest.webmanifest").read_text("utf-8"))
    assert {"name", "start_url", "display", "icons"} <= set(manifest)
    sizes = set()
    for icon in manifest["icons"]:
        file = PAGE / Path(icon["src"]).relative_to("/page")
        data = file.read_bytes()
        if file.suffix == ".png":
            assert data[:8] == b"\x89PNG\r\n\x1a\n"
            wide, high = (int.from_bytes(data[k : k + 4], "big") for k in (16, 20))
            assert icon["sizes"] == f"{wide}x{high}"
            sizes.add(wide)
    assert {192, 512} <= sizes  # the two that browsers ask for before they offer to install


def test_modules_name_only_files_that_are_there() -> None:
    for script in SCRIPTS:
        for name in re.findall(r'from "\./(\w+\.js)"', script.read_text("utf-8")):
            assert (PAGE / name).is_file()
    assert all(one != other for one, other in pairwise(sorted(path.name for path in SCRIPTS)))
