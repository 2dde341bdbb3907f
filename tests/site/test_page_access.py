"""The pages for everybody: axe-core finds nothing in any view, in either look."""

from __future__ import annotations

from typing import Any

import pytest
import site_parts

site_parts.needed()

from site_axe import wrongs  # noqa: E402
from site_pages import PHONE, SCREEN, needs_chromium, resize, until  # noqa: E402

pytestmark = needs_chromium


@pytest.fixture
def page(place: tuple[Any, Any]) -> Any:
    _, driver = place
    driver.execute_script("location.hash = 'work'")
    if not driver.find_elements("css selector", "#choices button"):
        driver.find_element("id", "line").send_keys("six two and a quarter", "\n")
        until(lambda: driver.find_elements("css selector", "#choices button"))
    return driver


SHOW = {
    "work": "location.hash = 'work'",
    "saw": "location.hash = 'saw'",
    "boards": "location.hash = 'boards'",
    "more": "location.hash = 'work'; document.getElementById('more-key').click()",
    "asks": "location.hash = 'work'; document.getElementById('strike').click()",
    "guard": "location.hash = 'saw'; document.getElementById('more-key').click(); document.getElementById('guard').click()",
}


@pytest.mark.parametrize("look", ["dark", "sun"])
@pytest.mark.parametrize("what", SHOW)
def test_nothing_is_wrong_in_any_view(page: Any, axe: str, what: str, look: str) -> None:
    page.execute_script(SHOW[what])
    page.execute_script("document.documentElement.dataset.look = arguments[0]", look)
    if what == "boards":
        until(lambda: page.find_elements("css selector", "#plan svg"))
    try:
        for size in (PHONE, SCREEN):
            resize(page, size)
            page.execute_async_script(
                "requestAnimationFrame(() => requestAnimationFrame(arguments[0]))"
            )
            assert wrongs(page, axe) == []
    finally:
        page.execute_script(
            "for (const sheet of document.querySelectorAll('dialog')) sheet.close();"
            "if (!document.getElementById('shield').hidden) document.getElementById('unlock').click()"
        )


def test_axe_sees_what_is_wrong(page: Any, axe: str) -> None:
    """The check itself: a key without a name is found, and grey on black at 5.9:1."""
    page.execute_script(
        "const key = document.createElement('button'); key.id = 'unnamed'; key.textContent = ' '; const pale = document.createElement('p'); pale.id = 'pale'; pale.textContent = 'pale'; pale.style.color = '#888';"
        "document.documentElement.dataset.look = 'dark'; document.getElementById('boards').prepend(key, pale); location.hash = 'boards'"
    )
    try:
        until(
            lambda: page.execute_script("return document.documentElement.dataset.view") == "boards"
        )
        resize(page, PHONE)
        page.execute_script(
            "document.getElementById('boards').scrollTop = 0"
        )  # only what is in sight is measured
        found = " ".join(wrongs(page, axe))
        assert "button-name" in found
        assert "color-contrast-enhanced" in found
    finally:
        page.execute_script(
            "for (const name of ['unnamed', 'pale']) document.getElementById(name).remove()"
        )
