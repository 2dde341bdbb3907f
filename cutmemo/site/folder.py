"""Where the site keeps its keys and its devices: a folder of this person's alone."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

from cutmemo.memo.locations import memo_folder


def site_folder() -> Path:
    """Return the folder of the site, made where it is missing; nobody else may look into it."""
    folder = memo_folder() / "site"
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    folder.chmod(0o700)
    return folder


def write_secret(path: Path, data: bytes) -> None:
    """Write *data* to *path*, all or nothing, for this person's eyes alone (0600)."""
    number, part = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.")  # made with 0600
    try:
        with os.fdopen(number, "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        Path(part).replace(path)
    except BaseException:
        Path(part).unlink(missing_ok=True)
        raise
