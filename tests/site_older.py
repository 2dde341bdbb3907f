"""``cutmemo`` as an older version of it would be: its page, its frames and its messages are of version 0."""

from __future__ import annotations

import sys
from functools import cached_property

from cutmemo.site import protocol

protocol.VERSION, protocol.SUBPROTOCOL = 0, "cutmemo.0"

from cutmemo.cli import main  # noqa: E402 - it takes the version over
from cutmemo.site.assets import Assets  # noqa: E402

_as_it_is = Assets.files.func


def _older(self: Assets) -> dict[str, bytes]:
    files = _as_it_is(self)
    link, mark = files["link.js"], b"const VERSION = 1,"
    assert mark in link
    return files | {"link.js": link.replace(mark, b"const VERSION = 0,")}


Assets.files = cached_property(_older)  # type: ignore[assignment]
Assets.files.__set_name__(Assets, "files")

if __name__ == "__main__":
    sys.exit(main())
