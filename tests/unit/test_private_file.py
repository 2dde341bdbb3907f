"""A private file is its owner's alone, and whole or not there."""

from __future__ import annotations

import os
import stat
from pathlib import Path

import pytest

from cutmemo.private_file import write_private


@pytest.mark.skipif(os.name != "posix", reason="modes of files are POSIX's")
def test_nobody_else_may_read_it_though_what_stood_there_was_open(tmp_path: Path) -> None:
    file = tmp_path / "kept.json"
    file.write_bytes(b"old")
    file.chmod(0o644)
    write_private(file, b"new")
    assert file.read_bytes() == b"new"
    assert stat.S_IMODE(file.stat().st_mode) == 0o600


def test_a_write_that_breaks_off_leaves_what_stood_there_and_nothing_beside_it(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_number: int) -> None:
        raise OSError(28, "No space left on device")

    file = tmp_path / "kept.json"
    write_private(file, b"old")
    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space left"):
        write_private(file, b"new")
    assert file.read_bytes() == b"old"
    assert list(tmp_path.iterdir()) == [file]
