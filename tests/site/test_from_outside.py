"""Whoever asks from out in the world is answered nothing, whatever else they know."""

from __future__ import annotations

import pytest
import site_parts

site_parts.needed()

import aiohttp  # noqa: E402 - only where the parts are
from aiohttp import web  # noqa: E402
from site_served import Served  # noqa: E402

from cutmemo.wording import site as words  # noqa: E402

PATHS = ("/", "/who", "/enter", "/live", "/sw.js", "/page/app.js", "/words.json")


async def asked(crew: Served, path: str) -> tuple[int, str]:
    _, token = crew.server.devices.join("ladder phone")
    headers = {"Origin": crew.url, "Cookie": f"{crew.server.cookie}={token}"}
    async with (
        aiohttp.ClientSession() as session,
        session.get(
            f"{crew.url}{path}", headers=headers, ssl=crew.ssl, allow_redirects=False
        ) as answer,
    ):
        return answer.status, await answer.text()


@pytest.mark.parametrize("path", PATHS)
@pytest.mark.parametrize("address", ["203.0.113.7", "2001:db8::7", "100.64.0.1"])
async def test_even_with_a_session_nothing_is_answered(
    crew: Served, monkeypatch: pytest.MonkeyPatch, path: str, address: str
) -> None:
    """The addresses are those of RFC 5737, 3849 and 6598."""
    monkeypatch.setattr(web.BaseRequest, "remote", property(lambda _: address))
    assert await asked(crew, path) == (403, words.NOT_FROM_HERE)


async def test_from_near_the_same_is_answered(
    crew: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(web.BaseRequest, "remote", property(lambda _: "::ffff:192.168.1.20"))
    assert (await asked(crew, "/who"))[0] == 200
