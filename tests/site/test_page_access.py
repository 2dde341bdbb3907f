"""The pages for everybody: axe-core finds nothing in any view, in either look."""

from __future__ import annotations

import shutil
import subprocess
import tarfile
from typing import Any

import pytest
import site_parts

site_parts.needed()

from site_pages import PHONE, SCREEN, needs_chromium, resize, until  # noqa: E402

pytestmark = needs_chromium
AXE = "axe-core@4.14.1"
RULES = ["wcag2a", "wcag2aa", "wcag2aaa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
NPM = shutil.which("npm")


@pytest.fixture(scope="session")
def axe(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return axe-core as npm has it; it is used here alone and kept nowhere."""
    if NPM is None:
        pytest.skip("NOT TESTED: access for everybody. sudo apt install npm")
    folder = tmp_path_factory.mktemp("axe")
    got = subprocess.run(
        [NPM, "pack", AXE, "--silent", "--pack-destination", str(folder)],
        capture_output=True,
        text=True,
    )
    if got.returncode:
        pytest.skip(
            f"NOT TESTED: access for everybody. npm brings no {AXE}: {got.stderr.strip()[-200:]}"
        )
    (packed,) = folder.glob("*.tgz")
    with tarfile.open(packed) as archive:
        script = archive.extractfile("package/axe.min.js")
        assert script is not None
        return script.read().decode()


@pytest.fixture
def page(place: tuple[Any, Any]) -> Any:
    _, driver = place
    driver.execute_script("location.hash = 'work'")
    if not driver.find_elements("css selector", "#choices button"):
        driver.find_element("id", "line").send_keys("six two and a quarter", "\n")
        until(lambda: driver.find_elements("css selector", "#choices button"))
    return driver


def wrongs(page: Any, axe: str) -> list[str]:
    """Return what axe finds wrong, and where."""
    page.execute_script(axe)
    found = page.execute_async_script(
        "const [tags, done] = arguments; axe.run(document, { runOnly: tags, rules: { 'color-contrast-enhanced': { enabled: true } } }).then((r) => done(r.violations), (e) => done([{ id: String(e), nodes: [] }]))",
        RULES,
    )
    return [f"{each['id']}: {[node['html'][:120] for node in each['nodes'][:3]]}" for each in found]


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
