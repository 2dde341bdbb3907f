"""A page that was loaded from an older program: it loads anew by itself, and what it kept is delivered once."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import site_parts

site_parts.needed()

from site_microphone import DEMO, QUIET, Microphone, free, heard, kept, seconds  # noqa: E402
from site_pages import PHONE, browser, needs_chromium, recording, resize, text, until  # noqa: E402
from site_server import served  # noqa: E402

from cutmemo.wording.page import WORDS  # noqa: E402

pytestmark = needs_chromium
OLDER = Path(__file__).parents[1] / "site_older.py"
"""Run, never imported: it changes the version of the program that runs it."""


def versions(driver: Any) -> list[str]:
    """Return the versions whose files the browser keeps."""
    script = "caches.keys().then(arguments[0])"
    return [each for each in driver.execute_async_script(script) if each.startswith("cutmemo-")]


def test_an_older_page_loads_anew_and_delivers_what_it_kept_once(tmp_path: Path) -> None:
    """It has a call that was taken and not answered, one that was heard while nobody answered, and one typed since."""
    one, two = names = ["03-porch.wav", "05-porch.wav"]
    times = seconds(DEMO / one), seconds(DEMO / two)
    sound = recording(tmp_path / "calls.wav", [2.0, DEMO / one, QUIET, DEMO / two, 2.0])
    with served(tmp_path) as site:
        site.kill()
        site.start(str(OLDER))
        with browser(tmp_path, sound, site.rules) as driver:
            resize(driver, PHONE)
            site.open(driver)
            until(lambda: text(driver, "sending") == WORDS["connected"])
            # The recording does not wait for what is read back, and a phone does not hear while it speaks.
            driver.execute_script("localStorage.setItem('cutmemo.voice', 'off')")
            driver.refresh()
            until(lambda: text(driver, "sending") == WORDS["connected"])
            driver.execute_async_script("navigator.serviceWorker.ready.then(arguments[0])")
            (before,) = versions(driver)
            driver.execute_script("window.older = true")
            microphone = Microphone(driver)
            free(driver, on=True)
            until(lambda: len(site.rows()) == 1)
            site.line.lose_answers()
            line = driver.find_element("id", "line")
            line.send_keys("36-1/2", "\n")
            until(lambda: '36-1/2"' in site.listed())
            site.line.cut()
            line.send_keys("44-1/4", "\n")
            microphone.at(2.0 + sum(times) + QUIET + 1.5)
            assert kept(driver) > 2  # both acts, and sound
            site.kill()
            site.start()
            site.line.reset()
            site.line.mend()
            until(lambda: not driver.execute_script("return window.older === true"))
            until(lambda: text(driver, "ear") == WORDS["earOff"])
            until(lambda: kept(driver) == 0, what=lambda: kept(driver))
            wanted = [*heard(tmp_path, names), '36-1/2"', '44-1/4"']
            assert sorted(site.listed()) == sorted(wanted)
            until(lambda: text(driver, "sending") == WORDS["connected"])
            (after,) = versions(driver)
            assert after != before
