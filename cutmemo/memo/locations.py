"""Where memos live on this machine."""

from __future__ import annotations

import os
from pathlib import Path

from cutmemo.errors import BadMemo

SUFFIX = ".cutmemo"
DEFAULT = "memo"


def memo_folder() -> Path:
    """Return the folder of this person's memos, or ``CUTMEMO_FOLDER``."""
    chosen = os.environ.get("CUTMEMO_FOLDER")
    if chosen:
        return Path(chosen)
    import platformdirs  # deferred: only a memo without a path needs it

    return Path(platformdirs.user_data_dir("cutmemo", appauthor=False))


def memo_path(name: str | None = None) -> Path:
    """Return the file of the memo called *name*; a name with a slash or a dot is a path already."""
    chosen = name or os.environ.get("CUTMEMO_MEMO") or DEFAULT
    if any(sign in chosen for sign in ("/", os.sep, ".")):
        return Path(chosen)
    return memo_folder() / f"{chosen}{SUFFIX}"


def memos() -> list[Path]:
    """Return all memos of this person, by name. Raises :class:`BadMemo`."""
    try:
        return sorted(memo_folder().glob(f"*{SUFFIX}"))
    except OSError as error:
        raise BadMemo(memo_folder(), error.strerror or str(error)) from error
