"""A page to print as a file, written whole or not at all."""

from __future__ import annotations

from pathlib import Path

from cutmemo.errors import BadPage


def write_page(path: Path, page: str) -> None:
    """Write *page* to *path* in place of what stood there. Raises :class:`BadPage`."""
    beside = path.with_name(f"{path.name}.part")
    try:
        beside.write_text(page, encoding="utf-8")
        beside.replace(path)
    except OSError as error:
        raise BadPage(path, error.strerror or str(error)) from error
