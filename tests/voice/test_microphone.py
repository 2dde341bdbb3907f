"""The microphone for real: a recording is played into PulseAudio's null sink and heard from its monitor."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path

import pytest

from cutmemo.bundle import bundled

NEEDED = ("pulseaudio", "pactl", "paplay")


@pytest.fixture
def sound_server(tmp_path: Path) -> Iterator[dict[str, str]]:
    """Start a sound server of our own with one silent output; yield the environment to reach it."""
    missing = [name for name in NEEDED if shutil.which(name) is None]
    if missing:
        pytest.skip(
            f"{', '.join(missing)} missing: Debian packages pulseaudio, pulseaudio-utils, libasound2-plugins, libportaudio2"
        )
    (tmp_path / ".asoundrc").write_text(
        "pcm.!default { type pulse }\nctl.!default { type pulse }\n"
    )
    environment = {
        **os.environ,
        "HOME": str(tmp_path),
        "XDG_RUNTIME_DIR": str(tmp_path),
        "PULSE_RUNTIME_PATH": str(tmp_path / "pulse"),
    }
    environment.pop("PULSE_SERVER", None)
    server = subprocess.Popen(
        [
            "pulseaudio",
            "-n",
            "--daemonize=no",
            "--exit-idle-time=-1",
            "-L",
            "module-native-protocol-unix",
            "-L",
            "module-null-sink sink_name=site rate=16000 channels=1",
        ],
        env=environment,
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    )
    try:
        until(
            lambda: (
                subprocess.run(
                    ["pactl", "set-default-source", "site.monitor"],
                    env=environment,
                    capture_output=True,
                    check=False,
                ).returncode
                == 0
            )
        )
        yield environment
    finally:
        server.terminate()
        server.wait(timeout=10)


def until(ready: object, seconds: float = 20.0) -> None:
    """Wait for *ready*, no longer than *seconds*."""
    end = time.monotonic() + seconds
    while not ready():  # type: ignore[operator]
        assert time.monotonic() < end, "it took too long"


def test_a_call_is_heard_through_the_microphone(
    sound_server: dict[str, str], tmp_path: Path
) -> None:
    memo = tmp_path / "m.cutmemo"
    command = [sys.executable, "-m", "cutmemo", "--json", "--memo", str(memo), "listen"]
    with subprocess.Popen(
        command, env=sound_server, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True
    ) as listener:
        try:
            until(lambda: b"Source Output" in recording_clients(sound_server))
            subprocess.run(
                ["paplay", "-d", "site", str(bundled("demo") / "03-porch.wav")],
                env=sound_server,
                check=True,
            )
            assert listener.stdout is not None
            assert '"203/2"' in listener.stdout.readline()
        finally:
            listener.terminate()


def recording_clients(environment: dict[str, str]) -> bytes:
    return subprocess.run(
        ["pactl", "list", "source-outputs"], env=environment, capture_output=True, check=False
    ).stdout


def test_without_the_device_a_clear_sentence_and_no_crash(tmp_path: Path) -> None:
    done = subprocess.run(
        [
            sys.executable,
            "-m",
            "cutmemo",
            "--memo",
            str(tmp_path / "m.cutmemo"),
            "listen",
            "--device",
            "no such microphone",
        ],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    assert done.returncode == 1
    assert "yping goes on" in done.stderr
