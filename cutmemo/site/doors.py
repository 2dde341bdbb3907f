"""The pages by which a device joins: an invitation, its code, or the pass phrase."""

from __future__ import annotations

import asyncio
import math
from collections.abc import Callable
from typing import Any, Protocol

import segno
from aiohttp import web

from cutmemo.errors import NoSite
from cutmemo.site import forms
from cutmemo.site.invites import GOOD_SECONDS, Invites, TooSoon, shown
from cutmemo.site.taking import Device
from cutmemo.wording import explain_error
from cutmemo.wording import site as words

BODY_SECONDS = 10.0
"""So long a form may take to arrive."""
_WHO = (("name", words.DEVICE_NAME, "off"), ("who", words.PERSON_NAME, "name"))


class LetsIn(Protocol):
    """Lets devices in."""

    def device(self, request: web.Request) -> Device:
        """Return the device that asks. Raises :class:`web.HTTPUnauthorized`."""

    def let_in(self, response: web.StreamResponse, name: str, who: str) -> Device:
        """Let a new device in with *response*. Raises :class:`NoSite`."""


class Doors:
    """The doors of one site."""

    def __init__(self, invites: Invites, server: LetsIn, link: Callable[[str], str]) -> None:
        """Let in by *invites*; *link* makes a token an address."""
        self._invites, self._server, self._link = invites, server, link

    def routes(self) -> list[web.RouteDef]:
        """Return the routes."""
        return [
            web.get("/enter", self._enter),
            web.get("/join", self._join),
            web.post("/join", self._joined),
            web.post("/code", self._code),
            web.post("/phrase", self._phrase),
            web.post("/invite", self._invite),
            web.get("/door.css", forms.style),
        ]

    async def _enter(self, _request: web.Request) -> web.StreamResponse:
        return _door("")

    async def _join(self, request: web.Request) -> web.StreamResponse:
        """Ask whether to join: what opens a link to look at it uses nothing up."""
        token = request.query.get("token", "")
        if not self._invites.is_open(token):
            return _door(words.INVITE_OVER, 403)
        return _asked(token)

    async def _joined(self, request: web.Request) -> web.StreamResponse:
        said = await _said(request)
        if not self._invites.spend_token(said["token"]):
            return _door(words.INVITE_OVER, 403)
        return self._let_in(request, said)

    async def _code(self, request: web.Request) -> web.StreamResponse:
        said = await _said(request)
        try:
            right = self._invites.spend_code(said["code"], request.remote or "")
        except TooSoon as error:
            return _door(words.too_soon(math.ceil(error.seconds)), 429)
        return self._let_in(request, said) if right else _door(words.WRONG_CODE, 403)

    async def _phrase(self, request: web.Request) -> web.StreamResponse:
        said = await _said(request)
        try:
            right = self._invites.is_phrase(said["phrase"], request.remote or "")
        except TooSoon as error:
            return _door(words.too_soon(math.ceil(error.seconds)), 429)
        return self._let_in(request, said) if right else _door(words.WRONG_PHRASE, 403)

    def _let_in(self, request: web.Request, said: dict[str, str]) -> web.StreamResponse:
        response = web.Response(status=303, headers={"Location": "/"})
        try:
            self._server.let_in(response, said["name"], said["who"])
        except NoSite as error:
            return _door(explain_error(error), 503)
        self._invites.know(request.remote or "")
        return response

    async def _invite(self, request: web.Request) -> web.StreamResponse:
        """Invite one more device from a page."""
        self._server.device(request)
        invite = self._invites.new()
        link = self._link(invite.token)
        told: dict[str, Any] = {
            "url": link,
            "code": shown(invite.code),
            "seconds": GOOD_SECONDS,
            "qr": qr_matrix(link),
        }
        return web.json_response(told)


def _door(told: str, status: int = 200) -> web.Response:
    parts = [
        forms.paragraph(told, "wrong"),
        forms.paragraph(words.HOW_TO_JOIN),
        forms.heading(words.BY_CODE),
        forms.form("/code", (("code", words.CODE, "one-time-code"), *_WHO), "", words.JOIN),
        forms.heading(words.BY_PHRASE),
        forms.form(
            "/phrase", (("phrase", words.PHRASE, "current-password"), *_WHO), "", words.JOIN
        ),
    ]
    return forms.page(words.JOIN_TITLE, parts, status)


def _asked(token: str) -> web.Response:
    parts = [forms.paragraph(words.JOIN_BY_LINK), forms.form("/join", _WHO, token, words.JOIN)]
    return forms.page(words.JOIN_TITLE, parts)


async def _said(request: web.Request) -> dict[str, str]:
    """Return the fields of a form; what is no text is left out."""
    if request.content_type != "application/x-www-form-urlencoded":
        raise web.HTTPUnsupportedMediaType
    try:
        async with asyncio.timeout(BODY_SECONDS):
            form = await request.post()
    except TimeoutError as error:
        raise web.HTTPRequestTimeout from error
    except (LookupError, ValueError) as error:  # no such charset; bytes that are none of it
        raise web.HTTPBadRequest from error
    names = ("token", "code", "phrase", "name", "who")
    return {name: value if isinstance(value := form.get(name, ""), str) else "" for name in names}


def qr_matrix(link: str) -> list[list[int]]:
    """Return the QR code of *link*, without its margin: 1 for dark."""
    return [list(row) for row in segno.make(link, error="m", micro=False).matrix]


def qr_text(link: str) -> str:
    """Return the QR code of *link* for a terminal with light signs on a dark ground."""
    rows = [list(row) for row in segno.make(link, error="l", micro=False).matrix_iter(border=2)]
    rows += [[0] * len(rows[0])] * (len(rows) % 2)
    signs = {(0, 0): "█", (0, 1): "▀", (1, 0): "▄", (1, 1): " "}
    return "\n".join(
        "".join(signs[bool(upper), bool(lower)] for upper, lower in zip(*pair, strict=True))
        for pair in zip(rows[::2], rows[1::2], strict=True)
    )
