"""What a wheel and an sdist hold: licence, notice, types, and metadata by PEP 639."""

from __future__ import annotations

import subprocess
import sys
import tarfile
import zipfile
from email.message import Message
from email.parser import Parser
from pathlib import Path

import pytest
from packaging.requirements import Requirement

ROOT = Path(__file__).parents[2]
LICENCES = ("cutmemo/LICENSE", "models/en/NOTICE")


@pytest.fixture(scope="module")
def built(tmp_path_factory: pytest.TempPathFactory) -> tuple[zipfile.ZipFile, tarfile.TarFile]:
    """The wheel and the sdist, built without the network."""
    folder = tmp_path_factory.mktemp("dist")
    command = [sys.executable, "-m", "hatchling", "build", "-d", str(folder)]
    subprocess.run(command, cwd=ROOT, check=True, capture_output=True)
    (wheel,), (sdist,) = folder.glob("*.whl"), folder.glob("*.tar.gz")
    return zipfile.ZipFile(wheel), tarfile.open(sdist)


@pytest.fixture(scope="module")
def metadata(built: tuple[zipfile.ZipFile, tarfile.TarFile]) -> Message:
    (name,) = [name for name in built[0].namelist() if name.endswith(".dist-info/METADATA")]
    return Parser().parsestr(built[0].read(name).decode())


def test_the_wheel_holds_licence_notice_and_types(
    built: tuple[zipfile.ZipFile, tarfile.TarFile],
) -> None:
    wheel = built[0]
    names = wheel.namelist()
    assert {"cutmemo/LICENSE", "cutmemo/py.typed", "cutmemo/bundled/model/NOTICE"} <= set(names)
    assert "cutmemo/bundled/guide/boards.md" in names
    for licence in LICENCES:
        (name,) = [name for name in names if name.endswith(f".dist-info/licenses/{licence}")]
        assert wheel.read(name) == (ROOT / licence).read_bytes()


def test_the_sdist_holds_licence_notice_types_and_the_recipe(
    built: tuple[zipfile.ZipFile, tarfile.TarFile],
) -> None:
    names = {name.partition("/")[2] for name in built[1].getnames()}
    needed = {*LICENCES, "cutmemo/py.typed", "models/recipe/data.toml", "models/recipe/README.md"}
    assert needed <= names


def test_the_licence_is_an_expression_and_its_files_are_named(metadata: Message) -> None:
    assert metadata["License-Expression"] == "Apache-2.0"
    assert set(metadata.get_all("License-File", [])) == set(LICENCES)
    assert metadata["Author"] == "cutmemo developers"
    assert "Typing :: Typed" in metadata.get_all("Classifier", [])


# What PyPI has of vosk 0.3.45, looked up on 2026-11-27.
@pytest.mark.parametrize(
    ("system", "machine", "has_wheel"),
    [
        ("linux", "x86_64", True),
        ("linux", "aarch64", True),
        ("linux", "armv7l", True),
        ("win32", "AMD64", True),
        ("win32", "ARM64", False),
        ("darwin", "arm64", False),
        ("darwin", "x86_64", False),
        ("linux", "riscv64", False),
    ],
)
def test_vosk_is_asked_for_only_where_it_has_a_wheel(
    metadata: Message, system: str, machine: str, has_wheel: bool
) -> None:
    requirements = map(Requirement, metadata.get_all("Requires-Dist", []))
    (vosk,) = [requirement for requirement in requirements if requirement.name == "vosk"]
    assert vosk.marker is not None
    place = {"sys_platform": system, "platform_machine": machine}
    assert vosk.marker.evaluate(place) == has_wheel
