"""`cutmemo site` and `cutmemo browser` as processes: what they say, who gets in, what a restart keeps."""

from __future__ import annotations

import io
import json
import os
import re
import socket
import ssl
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import site_parts

site_parts.needed()

import aiohttp  # noqa: E402 - only where the parts are
from ports import free_port  # noqa: E402
from site_phone import Phone  # noqa: E402

from cutmemo import cli  # noqa: E402
from cutmemo.memo import Projection, open_store  # noqa: E402
from cutmemo.site.certificates import certificates, known_authority  # noqa: E402
from cutmemo.site.devices import Devices  # noqa: E402
from cutmemo.site.folder import site_folder  # noqa: E402
from cutmemo.wording import site as words  # noqa: E402

PHRASE = "plumb and level all day"


class Program:
    """`cutmemo` in a process of its own."""

    def __init__(self, folder: Path, *verb: str, typed: bool = False) -> None:
        self.port = free_port()
        self.folder = folder
        call = [
            sys.executable,
            "-m",
            "cutmemo",
            "--memo",
            str(folder / "porch.cutmemo"),
            *verb,
            "--port",
            str(self.port),
        ]
        env = os.environ | {"CUTMEMO_FOLDER": str(folder), "CUTMEMO_PHRASE": PHRASE}
        self.process = subprocess.Popen(call, stdout=subprocess.PIPE, text=True, env=env)

    def lines_until(self, text: str) -> list[str]:
        assert self.process.stdout is not None
        lines: list[str] = []
        while not lines or text not in lines[-1]:
            line = self.process.stdout.readline()
            assert line, "".join(lines)
            lines.append(line)
        return lines

    def stop(self) -> int:
        self.process.terminate()
        code = self.process.wait(20)
        assert self.process.stdout is not None
        self.process.stdout.close()
        return code


@pytest.fixture
def started() -> Iterator[Any]:
    programs: list[Program] = []

    def start(folder: Path, *verb: str) -> Program:
        programs.append(Program(folder, *verb))
        return programs[-1]

    yield start
    for each in programs:
        each.process.kill()
        each.process.wait(20)
        if each.process.stdout is not None:
            each.process.stdout.close()


async def join(program: Program, **form: str) -> str:
    """Join as a device that trusts the authority; return its cookie."""
    url = f"https://localhost:{program.port}"
    trusts = ssl.create_default_context(cafile=str(program.folder / "site" / "authority.pem"))
    path = "/phrase" if "phrase" in form else "/code"
    async with (
        aiohttp.ClientSession(cookie_jar=aiohttp.DummyCookieJar()) as session,
        session.post(
            url + path, data=form, headers={"Origin": url}, ssl=trusts, allow_redirects=False
        ) as answer,
    ):
        assert answer.status == 303
        return answer.headers["Set-Cookie"].split(";")[0].partition("=")[2]


def phone_of(program: Program, token: str) -> Phone:
    trusts = ssl.create_default_context(cafile=str(program.folder / "site" / "authority.pem"))
    return Phone(f"https://localhost:{program.port}", {"__Host-cutmemo": token}, trusts)


async def test_two_codes_lead_in_and_a_restart_keeps_who_is_in(
    tmp_path: Path,
    started: Any,
    capsys: pytest.CaptureFixture[str],
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path))
    program = started(tmp_path, "site")
    told = "".join(program.lines_until(words.STOPS))
    fingerprint = re.search(r"fingerprint: ([0-9A-F:]{95})", told)
    code = re.search(r"short code ([2-9A-Z]{4}-[2-9A-Z]{4})", told)
    assert fingerprint is not None
    assert code is not None
    assert f":{program.port + 1}/" in told
    assert told.count("█████████") > 4
    one = await join(program, phrase=PHRASE, name="ladder phone", who="ann")
    await join(program, code=code[1], name="saw tablet")
    phone = phone_of(program, one)
    phone.act("say", text="36-1/2")
    await phone.run()

    assert cli.main(["site", "devices"]) == 0
    assert [line.split("  ·  ")[:2] for line in capsys.readouterr().out.splitlines()] == [
        ["ladder phone", "ann"],
        ["saw tablet", "saw tablet"],
    ]
    assert program.stop() == 0

    again = started(tmp_path, "site")
    assert fingerprint[1] in "".join(again.lines_until(words.STOPS))
    phone = phone_of(again, one)
    phone.act("say", text="37-1/2")
    await phone.run()
    assert cli.main(["site", "remove", "ladder phone"]) == 0
    assert cli.main(["site", "remove", "ladder phone"]) == 1
    assert "“site devices”" not in capsys.readouterr().out
    with pytest.raises(aiohttp.WSServerHandshakeError):
        await phone.run()
    assert cli.main(["site", "untrust"]) == 0
    told = capsys.readouterr().out
    assert fingerprint[1] in told
    assert "iPhone" in told
    with open_store(tmp_path / "porch.cutmemo") as store:
        rows = Projection(store.events()).state.rows.values()
    assert [(row.said, row.who, row.station) for row in rows] == [
        ("36-1/2", "ann", "ladder phone"),
        ("37-1/2", "ann", "ladder phone"),
    ]


async def test_browser_serves_this_machine_and_lets_it_in(tmp_path: Path, started: Any) -> None:
    program = started(tmp_path, "browser")
    assert f"http://localhost:{program.port}" in program.lines_until("Open")[-1]
    url = f"http://localhost:{program.port}"
    async with aiohttp.ClientSession(cookie_jar=aiohttp.DummyCookieJar()) as session:
        async with session.get(url) as answer:
            assert answer.status == 200
            token = answer.headers["Set-Cookie"].split(";")[0].partition("=")[2]
        for headers in ({"Host": "evil.example"}, {"Host": f"localhost:{program.port + 1}"}):
            async with session.get(url, headers=headers) as answer:
                assert answer.status == 403
                assert "Set-Cookie" not in answer.headers
        async with session.get(f"{url}/live", headers={"Origin": "http://evil.example"}) as answer:
            assert answer.status == 403
    phone = Phone(url, {"cutmemo": token})
    phone.act("say", text="101-1/2")
    await phone.run(lambda: phone.rows() == ['101-1/2"'])


def test_browser_for_other_devices_names_the_site(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert cli.main(["--memo", str(tmp_path / "m.cutmemo"), "browser", "--site"]) == 1
    assert "cutmemo site" in capsys.readouterr().err


def test_a_short_phrase_and_no_name_are_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path))
    monkeypatch.setenv("CUTMEMO_PHRASE", "saw")
    memo = ["--memo", str(tmp_path / "m.cutmemo")]
    assert cli.main([*memo, "site"]) == 1
    assert "too short" in capsys.readouterr().err
    monkeypatch.delenv("CUTMEMO_PHRASE")
    for piped in ("saw\n", ""):  # no terminal that could be asked
        monkeypatch.setattr("sys.stdin", io.StringIO(piped))
        assert cli.main([*memo, "site"]) == 1
        assert "too short" in capsys.readouterr().err
    monkeypatch.setenv("CUTMEMO_PHRASE", PHRASE)
    assert cli.main([*memo, "site", "--host", "no name"]) == 1
    assert "is no name for a machine" in capsys.readouterr().err


def test_a_port_that_is_taken_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path))
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = str(taken.getsockname()[1])
        assert cli.main(["--memo", str(tmp_path / "m.cutmemo"), "browser", "--port", port]) == 1
    assert f"Port {port} cannot be opened" in capsys.readouterr().err


def test_without_devices_and_authority_that_is_told(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path))
    assert cli.main(["site", "devices"]) == 0
    assert cli.main(["site", "devices", "--json"]) == 0
    told = capsys.readouterr()
    assert (told.out, told.err) == ("[]\n", f"{words.NO_DEVICES}\n")
    assert cli.main(["site", "untrust"]) == 1
    assert cli.main(["site", "remove", "nobody"]) == 1
    told = capsys.readouterr()
    assert told.out == ""
    assert told.err == f"{words.NO_AUTHORITY}\n{words.no_device('nobody')}\n"


def test_actions_of_the_site_answer_in_json_and_take_what_every_verb_takes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    def told(*line: str) -> tuple[int, dict[str, str]]:
        code = cli.main(["site", *line, "--json", "--log", str(tmp_path / "log")])
        return code, json.loads(capsys.readouterr().out)

    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path))
    assert told("remove", "tablet")[1]["text"] == words.no_device("tablet")
    assert told("untrust")[1]["text"] == words.NO_AUTHORITY
    folder = site_folder()
    Devices(folder / "devices.json").join("tablet", "ann")
    certificates(folder, "saw.local", [])
    assert told("remove", "tablet") == (0, {"removed": "tablet"})
    code, authority = told("untrust")
    assert (code, authority["folder"]) == (0, str(folder))
    assert (authority["authority"], authority["fingerprint"]) == known_authority(folder)
