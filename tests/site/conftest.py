"""What the tests of the site share."""

from __future__ import annotations

from collections.abc import AsyncIterator, Iterator
from pathlib import Path
from typing import Any

import pytest


@pytest.fixture
async def site(tmp_path: Path) -> AsyncIterator[Any]:
    """A site that hears what is written into the sound."""
    from site_served import served

    async with served(tmp_path) as found:
        yield found


@pytest.fixture
async def crew(tmp_path: Path) -> AsyncIterator[Any]:
    """A site over TLS, behind its doors."""
    from site_served import secure

    async with secure(tmp_path) as found:
        yield found


@pytest.fixture(scope="session")
def axe(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return axe-core."""
    import site_axe

    return site_axe.script(tmp_path_factory.mktemp("axe"))


AWKWARD = (
    "2 @ 116-63/64 2x6 common rafter plumb 7/12 long point for W3 north king L",
    "3 @ 145-11/16 2x10 hip rafter plumb 7/12 short point for garage door north side",
    "6 @ 92-5/8 2x6 king stud for wall 3",
    "36-1/4 strong",
    "2x10 16 footer",
)


@pytest.fixture(scope="session")
def place(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Any]:
    """A site with awkward rows, served by a process of its own, and a phone's browser that has joined: one for all
    tests of the pages, since both take seconds to start.
    """
    from site_pages import PHONE, browser, resize, text, until
    from site_server import served

    folder = tmp_path_factory.mktemp("site")
    with served(folder) as site, browser(folder, rules=site.rules) as driver:
        resize(driver, PHONE)
        site.open(driver)
        until(lambda: text(driver, "where"))
        for call in AWKWARD:
            told = text(driver, "work-told")
            driver.find_element("id", "line").send_keys(call, "\n")
            until(lambda told=told: text(driver, "work-told") not in ("", told))
        yield site, driver
