"""Where pages of the site come from, now and before: a page whose address is gone may still deliver
what it keeps.
"""

from __future__ import annotations

import hashlib
import hmac
import secrets
from collections.abc import Iterable
from pathlib import Path

import msgspec

from cutmemo.errors import NoSite
from cutmemo.private_file import write_private
from cutmemo.wording import site as words

MAX_FORMER = 100
"""So many addresses are remembered, the last ones."""
KEY_PROTOCOL = "cutmemo.key."
"""What stands before a delivery key where a page of a former address offers it."""


class Origins:
    """All addresses at which the site was ever served, and the keys of its devices' old pages."""

    def __init__(self, folder: Path) -> None:
        """Remember them in *folder*. Raises :class:`NoSite`."""
        self._file, secret = folder / "origins.json", folder / "delivery.key"
        try:
            if not secret.exists():
                write_private(secret, secrets.token_bytes(32))
            self._secret = secret.read_bytes()
            text = self._file.read_bytes() if self._file.exists() else b"[]"
            self._all = msgspec.json.decode(text, type=list[str])
        except (OSError, msgspec.MsgspecError) as error:
            raise NoSite(words.file_unreadable(self._file, error)) from error

    def note(self, origins: Iterable[str]) -> None:
        """Remember that the site is served at *origins*."""
        fresh = [each for each in sorted(origins) if each not in self._all]
        if fresh:
            self._all = [*self._all, *fresh][-MAX_FORMER:]
            write_private(self._file, msgspec.json.encode(self._all))

    def known(self, origin: str) -> bool:
        """Return whether the site was ever served at *origin*."""
        return origin in self._all

    def key(self, device_id: str) -> str:
        """Return what proves to the site, from a page of a former address, which device it is on.

        A session's cookie does not travel there. It opens the socket alone, and no longer than the
        device's session lasts.
        """
        return hmac.new(self._secret, device_id.encode(), hashlib.sha256).hexdigest()

    def device_of(self, key: str, device_ids: Iterable[str]) -> str | None:
        """Return the one of *device_ids* that *key* belongs to."""
        return next((each for each in device_ids if hmac.compare_digest(self.key(each), key)), None)
