"""A file for its owner's eyes alone, written whole or not at all."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path


def write_private(path: Path, data: bytes) -> None:
    """Write *data* to *path* in place of what stood there (mode 0600). Raises :class:`OSError`.

    A write that breaks off leaves what stood there, and nothing beside it.
    """
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
