"""axe-core for the tests of the pages: what it finds wrong on one."""

from __future__ import annotations

import shutil
import subprocess
import tarfile
from pathlib import Path
from typing import Any

import pytest

AXE = "axe-core@4.14.1"
RULES = ["wcag2a", "wcag2aa", "wcag2aaa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]
NPM = shutil.which("npm")


def script(folder: Path) -> str:
    """Return axe-core as npm has it, fetched into *folder*; it is kept nowhere else."""
    if NPM is None:
        pytest.skip("NOT TESTED: access for everybody. sudo apt install npm")
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


def wrongs(page: Any, axe: str) -> list[str]:
    """Return what axe finds wrong, and where."""
    page.execute_script(axe)
    found = page.execute_async_script(
        "const [tags, done] = arguments; axe.run(document, { runOnly: tags, rules: { 'color-contrast-enhanced': { enabled: true } } }).then((r) => done(r.violations), (e) => done([{ id: String(e), nodes: [] }]))",
        RULES,
    )
    return [f"{each['id']}: {[node['html'][:120] for node in each['nodes'][:3]]}" for each in found]
