"""Who comes in, and who does not: every route without a session, from another site, with a stale token; guesses,
floods, and text that would be markup.
"""

from __future__ import annotations

import asyncio
import contextlib
import json
import re
import socket
import ssl
import struct
from collections.abc import AsyncIterator
from datetime import UTC, datetime, timedelta
from pathlib import Path
from typing import Any

import pytest
import site_parts

site_parts.needed()

import aiohttp  # noqa: E402 - only where the parts are
from site_phone import silence  # noqa: E402
from site_scripted import CALLS, call  # noqa: E402
from site_served import PHRASE, Served  # noqa: E402

from cutmemo.errors import NoSite  # noqa: E402
from cutmemo.site import devices as devices_module  # noqa: E402
from cutmemo.site import forms, listening  # noqa: E402
from cutmemo.site import invites as invites_module  # noqa: E402
from cutmemo.site import protocol as p  # noqa: E402
from cutmemo.site.devices import UNUSED, Devices  # noqa: E402
from cutmemo.site.invites import Invites, TooSoon  # noqa: E402
from cutmemo.site.origins import Origins  # noqa: E402
from cutmemo.wording import site as words  # noqa: E402

SCRIPT = '<script>alert(1)</script>"><img src=x onerror=alert(1)>'
NEED_SESSION = [
    ("GET", "/"),
    ("GET", "/who"),
    ("GET", "/live"),
    ("POST", "/leave"),
    ("POST", "/invite"),
]
OPEN = ["/enter", "/join", "/door.css", "/sw.js", "/words.json", "/clips.json", "/clip/fourteen"]
Ask = Any


@contextlib.asynccontextmanager
async def browser(site: Served, cookie: str = "") -> AsyncIterator[Ask]:
    """Ask as a browser does; a redirect is not followed."""
    jar = aiohttp.DummyCookieJar()
    async with aiohttp.ClientSession(cookie_jar=jar) as session:

        async def ask(
            method: str, path: str, data: Any = None, **headers: str
        ) -> tuple[int, Any, str]:
            sent = {"Origin": site.url} | ({"Cookie": cookie} if cookie else {}) | headers
            sent = {name: value for name, value in sent.items() if value != "-"}
            async with session.request(
                method,
                site.url + path,
                data=data,
                headers=sent,
                ssl=site.ssl,
                allow_redirects=False,
            ) as answer:
                return answer.status, answer.headers, await answer.text(errors="replace")

        yield ask


def cookie_of(headers: Any) -> str:
    return str(headers["Set-Cookie"].split(";")[0])


# --- without a session ----------------------------------------------------------------------------


@pytest.mark.parametrize("cookie", ["", "__Host-cutmemo=guess", "__Host-cutmemo=", "cutmemo=guess"])
async def test_without_a_session_nothing_of_the_memo_is_sent(crew: Served, cookie: str) -> None:
    async with browser(crew, cookie) as ask:
        for method, path in NEED_SESSION:
            status, headers, text = await ask(method, path)
            assert status == (303 if path == "/" else 401), path
            assert headers.get("Location", "/enter") == "/enter"
            assert "porch" not in text
            assert "Set-Cookie" not in headers
        for path in OPEN:
            status, _, text = await ask("GET", path)
            assert status in (200, 403), path
            assert "porch" not in text


async def test_every_route_is_one_that_a_test_knows(crew: Served) -> None:
    app = crew.server.app()
    routes = {
        (each.method, each.resource.canonical) for each in app.router.routes() if each.resource
    }
    gets = {("GET", path) for path in OPEN if not path.startswith("/clip/")}
    known = {
        *NEED_SESSION,
        *gets,
        ("GET", "/page/{name}"),
        ("GET", "/clip/{name}"),
        ("GET", "/manifest.webmanifest"),
    }
    known |= {("POST", path) for path in ("/join", "/code", "/phrase")}
    assert {each for each in routes if each[0] != "HEAD"} == known


@pytest.mark.parametrize("origin", ["https://evil.example", "null", "http://localhost", "-"])
async def test_another_site_reaches_nothing(crew: Served, origin: str) -> None:
    async with browser(crew, await joined(crew)) as ask:
        for method, path in [
            ("GET", "/live"),
            ("POST", "/leave"),
            ("POST", "/invite"),
            ("POST", "/phrase"),
            ("POST", "/code"),
            ("POST", "/join"),
        ]:
            status, _, _ = await ask(
                method, path, {"phrase": PHRASE} if method == "POST" else None, Origin=origin
            )
            assert status == 403, path
        assert len(crew.server.devices.all()) == 1


@pytest.mark.parametrize(
    "host", ["evil.example", "localhost", "127.0.0.1:1", "localhost:{port}.evil.example"]
)
async def test_under_another_name_nothing_is_answered(crew: Served, host: str) -> None:
    async with browser(crew, await joined(crew)) as ask:
        for path in ("/", "/who", "/enter", "/page/index.html"):
            status, _, _ = await ask("GET", path, Host=host.format(port=crew.port), Origin="-")
            assert status == 403


async def test_no_file_outside_of_the_page_is_sent(crew: Served) -> None:
    async with browser(crew, await joined(crew)) as ask:
        for path in (
            "/page/../server.py",
            "/page/%2e%2e/server.py",
            "/page//etc/passwd",
            "/clip/..%2fdemo",
            "/page/__init__.py",
        ):
            assert (await ask("GET", path))[0] == 404, path


async def test_what_keeps_a_page_to_itself_comes_with_every_answer(crew: Served) -> None:
    async with browser(crew) as ask:
        for path in ("/", "/enter", "/nothing", "/page/index.html", "/who"):
            _, headers, _ = await ask("GET", path)
            assert "unsafe-inline" not in headers["Content-Security-Policy"]
            assert "frame-ancestors 'none'" in headers["Content-Security-Policy"]
            assert headers["X-Content-Type-Options"] == "nosniff"
            assert "Server" not in headers


# --- coming in ------------------------------------------------------------------------------------


async def joined(site: Served, name: str = "ladder phone") -> str:
    async with browser(site) as ask:
        status, headers, _ = await ask(
            "POST", "/phrase", {"phrase": PHRASE, "name": name, "who": "ann"}
        )
    assert (status, headers["Location"]) == (303, "/")
    return cookie_of(headers)


async def test_the_phrase_gives_a_cookie_of_this_origin_alone(crew: Served) -> None:
    async with browser(crew) as ask:
        _, headers, _ = await ask("POST", "/phrase", {"phrase": PHRASE, "name": "ladder phone"})
    said = headers["Set-Cookie"]
    assert said.startswith("__Host-cutmemo=")
    assert {"Secure", "HttpOnly", "SameSite=Strict", "Path=/"} <= set(said.split("; "))
    token = cookie_of(headers).partition("=")[2]
    assert token not in (crew.folder / "devices.json").read_text()
    async with browser(crew, cookie_of(headers)) as ask:
        status, _, text = await ask("GET", "/who")
    assert (status, json.loads(text)["device"]["name"]) == (200, "ladder phone")


async def test_a_link_lets_one_device_in_and_looking_at_it_uses_nothing_up(crew: Served) -> None:
    token = crew.invites.new().token
    async with browser(crew) as ask:
        for _ in range(3):
            status, headers, text = await ask("GET", f"/join?token={token}")
            assert status == 200
            assert "Set-Cookie" not in headers
            assert f'value="{token}"' in text
        assert (await ask("POST", "/join", {"token": token, "name": "one"}))[0] == 303
        status, headers, _ = await ask("POST", "/join", {"token": token, "name": "two"})
        assert (status, "Set-Cookie" in headers) == (403, False)
    assert [each.name for each in crew.server.devices.all()] == ["one"]


async def test_the_short_code_is_the_same_invitation(crew: Served) -> None:
    invite = crew.invites.new()
    async with browser(crew) as ask:
        typed = f" {invite.code[:4]}-{invite.code[4:]} ".lower()
        assert (await ask("POST", "/code", {"code": typed, "name": "one"}))[0] == 303
        assert (await ask("POST", "/code", {"code": typed, "name": "two"}))[0] == 403
        assert (await ask("GET", f"/join?token={invite.token}"))[0] == 403


async def test_a_device_that_has_joined_invites_another(crew: Served) -> None:
    async with browser(crew, await joined(crew)) as ask:
        status, _, text = await ask("POST", "/invite")
    told = json.loads(text)
    assert status == 200
    assert re.fullmatch("[2-9A-Z]{4}-[2-9A-Z]{4}", told["code"])
    assert told["url"].startswith(f"{crew.url}/join?token=")
    assert len(told["qr"]) == len(told["qr"][0]) >= 21


def test_an_invitation_ends_after_ten_minutes() -> None:
    time = [0.0]
    invites = Invites(PHRASE, lambda: time[0])
    early, late = invites.new(), invites.new()
    time[0] = 599.0
    assert invites.spend_token(early.token)
    time[0] = 600.0
    assert not invites.spend_token(late.token)
    assert not invites.spend_code(late.code, "10.0.0.9")


def test_a_short_phrase_is_refused() -> None:
    Invites("12345678", lambda: 0.0)
    with pytest.raises(NoSite, match="too short"):
        Invites("1234567", lambda: 0.0)


async def test_a_wrong_phrase_is_told_the_same_whatever_name_comes_with_it(crew: Served) -> None:
    await joined(crew, "ladder phone")
    async with browser(crew) as ask:
        answers = [
            await ask("POST", "/phrase", {"phrase": "wrong", "name": name})
            for name in ("ladder phone", "nobody")
        ]
    assert answers[0][0] == answers[1][0] == 403
    assert answers[0][2] == answers[1][2]
    assert words.WRONG_PHRASE in answers[0][2]


async def test_two_devices_of_one_name_are_told_apart(crew: Served) -> None:
    for _ in range(3):
        await joined(crew, "ladder phone")
    assert [each.name for each in crew.server.devices.all()] == [
        "ladder phone",
        "ladder phone 2",
        "ladder phone 3",
    ]


# --- guessing -------------------------------------------------------------------------------------


def test_who_guesses_waits_and_nobody_else_does() -> None:
    time = [0.0]
    invites = Invites(PHRASE, lambda: time[0])
    for _ in range(5):
        assert not invites.is_phrase("wrong", "10.0.0.66")
    with pytest.raises(TooSoon):
        invites.is_phrase(PHRASE, "10.0.0.66")
    assert invites.is_phrase(PHRASE, "10.0.0.7")
    time[0] = 10.0
    assert invites.is_phrase(PHRASE, "10.0.0.66")


def test_a_network_of_guessers_shuts_out_no_address_that_has_joined_nor_any_link() -> None:
    invites = Invites(PHRASE, lambda: 0.0)
    invites.know("10.0.0.7")
    link = invites.new()
    most = invites_module.ALL_WRONG_AT_ONCE
    for guess in range(most):
        assert not invites.is_phrase("wrong", f"10.1.0.{guess}")
    with pytest.raises(TooSoon):
        invites.is_phrase("wrong", "10.1.1.1")
    assert invites.is_phrase(PHRASE, "10.0.0.7")
    assert invites.spend_token(link.token)


def test_of_ipv6_a_whole_network_is_one_guesser() -> None:
    invites = Invites(PHRASE, lambda: 0.0)
    for n in range(5):
        assert not invites.is_phrase("wrong", f"fd00::{n}")
    with pytest.raises(TooSoon):
        invites.is_phrase("wrong", "fd00::99")


def test_guesses_at_a_code_come_to_nothing_in_ten_minutes() -> None:
    """How many of all codes may be tried while one is good: less than one in a thousand million."""
    tries = (
        invites_module.ALL_WRONG_AT_ONCE
        + invites_module.ALL_WRONG_A_SECOND * invites_module.GOOD_SECONDS
    )
    codes = len(invites_module.CODE_SIGNS) ** invites_module.CODE_LENGTH
    assert tries * invites_module.MAX_INVITES / codes < 1e-7


async def test_a_burst_of_wrong_phrases_is_answered_with_a_wait(crew: Served) -> None:
    crew.invites._clock = lambda: 0.0
    async with browser(crew) as ask:
        statuses = [(await ask("POST", "/phrase", {"phrase": "wrong"}))[0] for _ in range(8)]
    assert statuses == [403] * 5 + [429] * 3


# --- devices and sessions -------------------------------------------------------------------------


def test_a_session_survives_a_restart_and_ends_after_16_hours_without_use(tmp_path: Path) -> None:
    time = [datetime(2026, 3, 2, 7, tzinfo=UTC)]
    _, token = Devices(tmp_path / "d.json", lambda: time[0]).join("ladder phone")
    again = Devices(tmp_path / "d.json", lambda: time[0])
    time[0] += UNUSED - timedelta(minutes=1)
    assert again.of(token) is not None
    time[0] += UNUSED - timedelta(minutes=1)
    assert again.of(token) is not None
    time[0] += UNUSED + timedelta(seconds=1)
    assert again.of(token) is None
    assert (tmp_path / "d.json").stat().st_mode & 0o777 == 0o600


def test_no_more_devices_join_than_the_most(tmp_path: Path) -> None:
    devices = Devices(tmp_path / "d.json")
    for _ in range(devices_module.MAX_DEVICES):
        devices.join("phone")
    with pytest.raises(NoSite, match="50 devices"):
        devices.join("phone")
    assert len({each.name for each in devices.all()}) == devices_module.MAX_DEVICES


async def test_a_device_that_is_put_out_is_told_and_reaches_nothing(crew: Served) -> None:
    phone = crew.phone("lost phone")
    watching = asyncio.create_task(phone.run(lambda: False))
    while not phone.view:
        await phone._something(0.1)
    assert Devices(crew.folder / "devices.json").remove("lost phone")  # as another process does
    await watching
    assert phone.of("gone")
    with pytest.raises(aiohttp.WSServerHandshakeError) as refused:
        await phone.run()
    assert refused.value.status == 401


async def test_a_device_leaves_by_itself(crew: Served) -> None:
    cookie = await joined(crew)
    async with browser(crew, cookie) as ask:
        assert (await ask("POST", "/leave"))[0] == 204
        assert (await ask("GET", "/who"))[0] == 401


# --- a page whose address is gone -----------------------------------------------------------------

FORMER = "https://192.168.1.7:8750"


async def delivers(crew: Served, origin: str, key: str) -> int:
    """The status with which a page of *origin* that offers *key* is answered."""
    async with aiohttp.ClientSession(cookie_jar=aiohttp.DummyCookieJar()) as session:
        protocols = [p.SUBPROTOCOL, f"cutmemo.key.{key}"]
        try:
            async with session.ws_connect(
                f"{crew.url}/live", origin=origin, protocols=protocols, ssl=crew.ssl
            ) as live:
                assert live.protocol == p.SUBPROTOCOL
                await live.send_str('{"t":"hello","v":1,"clock":1}')
                assert json.loads((await live.receive()).data)["device"]["name"] == "ladder phone"
                return 101
        except aiohttp.WSServerHandshakeError as error:
            return error.status


async def test_a_page_of_a_former_address_delivers_with_its_key_alone(crew: Served) -> None:
    Origins(crew.folder).note([FORMER])
    crew.server._former = Origins(crew.folder)
    phone = crew.phone()
    await phone.run(lambda: bool(phone.messages))
    (elsewhere,) = [each["elsewhere"] for each in phone.of("welcome")]
    assert elsewhere["sockets"] == [f"wss://localhost:{crew.port}/live"]
    assert await delivers(crew, FORMER, elsewhere["key"]) == 101
    for origin, key in [
        (FORMER, "guess"),
        (FORMER, ""),
        ("https://evil.example", elsewhere["key"]),
        (f"{FORMER}1", elsewhere["key"]),
    ]:
        assert await delivers(crew, origin, key) == 403
    async with browser(crew) as ask:
        assert (await ask("GET", "/who", Origin=FORMER))[0] == 403
    crew.server.devices.remove("ladder phone")
    assert await delivers(crew, FORMER, elsewhere["key"]) == 403


# --- too much, too long, no form ------------------------------------------------------------------


async def test_a_name_of_a_million_bytes_is_refused(crew: Served) -> None:
    async with browser(crew) as ask:
        status, _, _ = await ask("POST", "/phrase", {"phrase": PHRASE, "name": "x" * 1_000_000})
    assert status == 413
    assert crew.server.devices.all() == []


async def test_a_long_name_is_cut_and_a_hidden_sign_is_shown(crew: Served) -> None:
    await joined(crew, "x" * 2_000)
    await joined(crew, "ladder\u202ephone\n\tof ann")
    first, second = (each.name for each in crew.server.devices.all())
    assert first == "x" * 40
    assert second == "ladder<U+202E>phone of ann"


@pytest.mark.parametrize(
    "body, kind, status",
    [
        ("{}", "application/json", 415),
        ("", "multipart/form-data; boundary=x", 415),
        ("phrase=%ff%fe&name=%00", "application/x-www-form-urlencoded", 403),
        ("&" * 3_000, "application/x-www-form-urlencoded", 413),
        ("phrase", "application/x-www-form-urlencoded; charset=nonsense", 400),
    ],
)
async def test_a_form_without_form_is_refused(
    crew: Served, body: str, kind: str, status: int
) -> None:
    async with browser(crew) as ask:
        found, _, _ = await ask("POST", "/phrase", body.encode(), **{"Content-Type": kind})
    assert found == status


async def test_script_in_every_text_field_stays_text(crew: Served) -> None:
    async with browser(crew) as ask:
        for path, data in [
            ("/phrase", {"phrase": SCRIPT, "name": SCRIPT, "who": SCRIPT}),
            ("/code", {"code": SCRIPT, "name": SCRIPT}),
            ("/join", {"token": SCRIPT, "name": SCRIPT}),
        ]:
            _, _, text = await ask("POST", path, data)
            assert "<script" not in text
            assert "<img" not in text
        _, _, text = await ask("GET", "/join?token=" + "%3Cscript%3E")
        assert "<script" not in text
    cookie = await joined(crew, SCRIPT)
    async with browser(crew, cookie) as ask:
        _, headers, text = await ask("GET", "/who")
        assert headers["Content-Type"].startswith("application/json")
        assert json.loads(text)["device"]["name"] == SCRIPT[:40]
    phone = crew.phone("phone")
    phone.act("say", text=f"36-1/2 {SCRIPT}")
    phone.act("say", text="36-1/2 for <b>wall</b>")
    await phone.run()
    assert all(told["t"] in ("done", "refused") for told in phone.answered.values())


def test_whatever_is_put_into_a_page_is_text_there() -> None:
    parts = [
        forms.paragraph(SCRIPT, SCRIPT),
        forms.heading(SCRIPT),
        forms.steps([SCRIPT]),
        forms.button_to(SCRIPT, SCRIPT),
        forms.code(SCRIPT),
        forms.form(SCRIPT, [(SCRIPT, SCRIPT, SCRIPT)], SCRIPT, SCRIPT),
    ]
    page = forms.page(SCRIPT, parts).text
    assert page is not None
    assert page.count("&lt;script&gt;") >= 15
    assert "<script" not in page
    assert "<img" not in page
    assert 'alert(1)</script>"' not in page


ODD_FRAMES = {
    "nothing": b"",
    "half a header": b"\x01\x02",
    "another version": struct.pack("<BBHQId", 2, 0, 0, 1, 0, 1.0) + b"\0\0",
    "unknown flags": struct.pack("<BBHQId", 1, 32, 0, 1, 0, 1.0) + b"\0\0",
    "reserved": struct.pack("<BBHQId", 1, 0, 1, 1, 0, 1.0) + b"\0\0",
    "half a sample": struct.pack("<BBHQId", 1, 0, 0, 1, 0, 1.0) + b"\0\0\0",
    "no sound": struct.pack("<BBHQId", 1, 0, 0, 1, 0, 1.0),
    "no clock": struct.pack("<BBHQId", 1, 0, 0, 1, 0, float("nan")) + b"\0\0",
    "a clock without end": struct.pack("<BBHQId", 1, 0, 0, 1, 0, float("inf")) + b"\0\0",
    "too long": struct.pack("<BBHQId", 1, 0, 0, 1, 0, 1.0) + bytes(p.MAX_FRAME_BYTES + 2),
    "a million bytes": bytes(1_000_000),
}
ODD_TEXTS = {
    "no JSON": "hello",
    "a list": "[]",
    "no kind": "{}",
    "unknown kind": '{"t":"format"}',
    "unknown field": '{"t":"ping","clock":1,"x":1}',
    "deep": "[" * 20_000,
    "a number too large": '{"t":"ping","clock":1e999}',
    "an act without id": '{"t":"act","do":"undo","at":1}',
    "an unknown act": '{"t":"act","id":"' + "0" * 32 + '","do":"drop","at":1}',
    "an act without its row": '{"t":"act","id":"' + "0" * 32 + '","do":"clear","at":1}',
    "a long text": '{"t":"act","id":"'
    + "0" * 32
    + '","do":"say","at":1,"text":"'
    + "1" * 3_000
    + '"}',
    "a million bytes": '{"t":"ping","clock":1,"x":"' + "x" * 1_000_000 + '"}',
    "a thousand streams": json.dumps(
        {
            "t": "hello",
            "v": 1,
            "clock": 1,
            "streams": [{"id": f"{n:016x}", "next": 0} for n in range(1_000)],
        }
    ),
}


@pytest.mark.parametrize("greets", [True, False], ids=["after the greeting", "before it"])
@pytest.mark.parametrize(
    "odd", [*ODD_FRAMES.values(), *ODD_TEXTS.values()], ids=[*ODD_FRAMES, *ODD_TEXTS]
)
async def test_a_message_without_form_ends_the_connection_and_nothing_else(
    site: Served, odd: bytes | str, greets: bool
) -> None:
    phone = site.phone()
    async with (
        aiohttp.ClientSession(cookies=phone.cookies) as session,
        session.ws_connect(f"{site.url}/live", origin=site.url, protocols=[p.SUBPROTOCOL]) as live,
    ):
        if greets:
            await live.send_str('{"t":"hello","v":1,"clock":1}')
        with contextlib.suppress(ConnectionError):
            await (live.send_bytes(odd) if isinstance(odd, bytes) else live.send_str(odd))
        async with asyncio.timeout(10):
            while (await live.receive()).type not in (
                aiohttp.WSMsgType.CLOSE,
                aiohttp.WSMsgType.CLOSED,
                aiohttp.WSMsgType.ERROR,
            ):
                pass
        assert live.close_code in (1000, 1006, 1007, 1009)
    phone.record(phone.stream(), call(3) + silence(0.25))
    await phone.run()
    assert [row.said for row in site.rows()] == [CALLS[3]]


async def test_a_page_that_sends_too_fast_is_let_go(site: Served) -> None:
    phone = site.phone()
    async with (
        aiohttp.ClientSession(cookies=phone.cookies) as session,
        session.ws_connect(f"{site.url}/live", origin=site.url, protocols=[p.SUBPROTOCOL]) as live,
    ):
        await live.send_str('{"t":"hello","v":1,"clock":1}')
        with contextlib.suppress(ConnectionError):
            for _ in range(2_000):
                await live.send_str('{"t":"ping","clock":1}')
        async with asyncio.timeout(10):
            while (await live.receive()).type not in (
                aiohttp.WSMsgType.CLOSE,
                aiohttp.WSMsgType.CLOSED,
                aiohttp.WSMsgType.ERROR,
            ):
                pass
        assert live.close_code in (4429, 1006)


async def test_a_device_has_four_connections_and_the_newest_count(site: Served) -> None:
    phone = site.phone()
    async with contextlib.AsyncExitStack() as stack:
        session = await stack.enter_async_context(aiohttp.ClientSession(cookies=phone.cookies))

        async def ends_with(live: Any) -> int:
            while (await live.receive()).type is aiohttp.WSMsgType.TEXT:
                pass
            return int(live.close_code)

        lives, ends = [], []
        for _ in range(6):
            connect = session.ws_connect(
                f"{site.url}/live", origin=site.url, protocols=[p.SUBPROTOCOL]
            )
            lives.append(await stack.enter_async_context(connect))
            await lives[-1].send_str('{"t":"hello","v":1,"clock":1}')
            assert json.loads((await lives[-1].receive()).data)["t"] == "welcome"
            ends.append(asyncio.create_task(ends_with(lives[-1])))
        async with asyncio.timeout(10):
            assert [await each for each in ends[:2]] == [4429, 4429]
        assert not any(each.done() for each in ends[2:])
        for each in ends[2:]:
            each.cancel()


async def test_five_hundred_connections_do_not_shut_the_crew_out(
    crew: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    """They come from one address, which may have 60; in the test the crew's phone comes from another."""
    addresses = {"127.0.0.1": "10.0.0.66"}
    real = listening._address
    crews: set[Any] = set()

    def seen(transport: Any) -> str:
        port = transport.get_extra_info("peername")[1]
        return "10.0.0.7" if port in crews else addresses.get(real(transport), "")

    monkeypatch.setattr(listening, "_address", seen)
    loose = ssl.create_default_context()
    loose.check_hostname, loose.verify_mode = False, ssl.CERT_NONE

    async def connect() -> bool:
        try:
            reader, writer = await asyncio.open_connection("127.0.0.1", crew.port, ssl=loose)
        except (OSError, ssl.SSLError):
            return False
        writers.append(writer)
        try:
            async with asyncio.timeout(2):
                return await reader.read(1) != b""
        except TimeoutError:
            return True
        except (OSError, ssl.SSLError):
            return False

    writers: list[asyncio.StreamWriter] = []
    stay = 0
    for _ in range(10):
        stay += sum(await asyncio.gather(*(connect() for _ in range(50))))
    try:
        assert stay <= listening.MAX_OF_ADDRESS
        own = socket.create_connection(("127.0.0.1", crew.port))
        crews.add(own.getsockname()[1])
        own.setblocking(False)
        reader, writer = await asyncio.open_connection(
            sock=own, ssl=crew.ssl, server_hostname="localhost"
        )
        writer.write(
            f"GET /enter HTTP/1.1\r\nHost: localhost:{crew.port}\r\nConnection: close\r\n\r\n".encode()
        )
        assert (await reader.read()).startswith(b"HTTP/1.1 200")
        writer.close()
    finally:
        for each in writers:
            each.transport.abort()


async def test_connections_that_broke_off_do_not_hold_up_new_ones(crew: Served) -> None:
    phone = crew.phone()
    for _ in range(6):
        phone.messages_before_cut, phone.cut = 3, False
        with contextlib.suppress(aiohttp.ClientError, OSError):
            await phone.run(lambda: False)
    phone.messages_before_cut, phone.cut = None, False
    phone.act("say", text="36-1/2")
    async with asyncio.timeout(5):
        await phone.run()
    assert len(crew.rows()) == 1


async def test_a_connection_that_says_nothing_is_ended(
    crew: Served, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(listening, "SILENT_SECONDS", 0.5)
    for begun in (b"", b"GET / HTTP/1.1\r\nHost: "):
        reader, writer = await asyncio.open_connection(
            "127.0.0.1", crew.port, ssl=crew.ssl, server_hostname="localhost"
        )
        writer.write(begun)
        async with asyncio.timeout(10):
            assert await reader.read() == b""
        writer.close()


# --- plain HTTP -----------------------------------------------------------------------------------


async def test_plain_http_tells_how_to_trust_and_nothing_else(tmp_path: Path) -> None:
    from cutmemo.site.certificates import certificates
    from cutmemo.site.trust import FILE, trust_app

    made = certificates(tmp_path, "cutmemo-test.local", [])
    home = "https://cutmemo-test.local:8750/"
    async with (
        listening.serving(trust_app(lambda: made, lambda: home), "127.0.0.1", 0) as port,
        aiohttp.ClientSession() as session,
    ):

        async def ask(path: str, method: str = "GET") -> tuple[int, bytes]:
            async with session.request(
                method, f"http://127.0.0.1:{port}{path}", allow_redirects=False
            ) as answer:
                assert "unsafe" not in answer.headers["Content-Security-Policy"]
                return answer.status, await answer.read()

        status, page = await ask("/")
        assert status == 200
        assert made.fingerprint.encode() in page
        assert home.encode() in page
        for device in ("Android", "iPhone", "Laptop"):
            assert device.encode() in page
        assert await ask(f"/{FILE}") == (200, made.authority_der)
        for method, path in [
            ("GET", "/live"),
            ("GET", "/who"),
            ("POST", "/phrase"),
            ("GET", "/authority.key"),
        ]:
            status, text = await ask(path, method)
            assert status in (404, 405)
            assert b"porch" not in text
