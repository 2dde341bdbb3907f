"""Where the site keeps its keys and its devices: a folder of this person's alone."""

from __future__ import annotations

from pathlib import Path

from cutmemo.memo.locations import memo_folder


def site_folder() -> Path:
    """Return the folder of the site, made where it is missing; nobody else may look into it."""
    folder = memo_folder() / "site"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    folder.chmod(0o700)
    return folder
