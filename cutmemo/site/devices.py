"""The devices of the crew and their sessions, kept in one file; a session's token is kept as a hash
alone.
"""

from __future__ import annotations

import contextlib
import hashlib
import secrets
from collections.abc import Callable, Collection, Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import msgspec
from filelock import FileLock, Timeout

from cutmemo.domain.signs import visible
from cutmemo.errors import NoSite
from cutmemo.private_file import write_private
from cutmemo.service import this_station
from cutmemo.site.taking import Device
from cutmemo.wording import site as words

UNUSED = timedelta(hours=16)
"""A session that was not used for so long has ended."""
NOTE_EVERY = timedelta(minutes=1)
"""So often at most it is written down that a session was used."""
MAX_DEVICES = 50
MAX_NAME = 40
_LOCK_SECONDS = 5.0


class Kept(msgspec.Struct, forbid_unknown_fields=True):
    """A device as the file has it."""

    id: str
    name: str
    who: str
    token: str
    """The hash of its session's token; empty where it has none any more."""
    joined: str
    used: str
    memo: str = ""
    """The memo it showed last, as :attr:`Hub.memo_id` has it."""
    memo_name: str = ""

    def device(self) -> Device:
        """Return what the memo knows it by."""
        return Device(self.id, self.name, self.who)


def now_utc() -> datetime:
    """Return the time of day."""
    return datetime.now(UTC)


class Devices:
    """The devices in one file, which several programs may change."""

    def __init__(
        self, path: Path, clock: Callable[[], datetime] = now_utc, oldest_goes: bool = False
    ) -> None:
        """Keep them at *path*; where they are too many, none more joins, or the *oldest goes*."""
        self._path, self._clock, self._oldest_goes = path, clock, oldest_goes
        self._kept: list[Kept] = []
        self._stamp: tuple[int, int] | None = None
        self._lock = FileLock(f"{path}.lock", timeout=_LOCK_SECONDS, mode=0o600)

    def all(self) -> list[Kept]:
        """Return every device, the first that joined first. Raises :class:`NoSite`."""
        self._read()
        return list(self._kept)

    def join(self, name: str, who: str = "") -> tuple[Device, str]:
        """Return a new device called *name*, or nearly, and the token of its session.

        Raises :class:`NoSite` where there are too many.
        """
        token = secrets.token_urlsafe(32)
        now = self._clock()
        with self._writing():
            self._kept = [each for each in self._kept if each.token and not _over(each, now)]
            if self._oldest_goes:
                self._kept = self._kept[1 - MAX_DEVICES :]
            if len(self._kept) >= MAX_DEVICES:
                raise NoSite(words.too_many_devices(MAX_DEVICES))
            name = self._free(_clean(name) or words.UNNAMED_DEVICE)
            at = now.isoformat()
            kept = Kept(secrets.token_hex(8), name, _clean(who) or name, hashed(token), at, at)
            self._kept.append(kept)
        return kept.device(), token

    def of(self, token: str) -> Device | None:
        """Return the device whose session has this *token*; ``None`` where none has, or it is
        over.
        """
        self._read()
        found = hashed(token)
        now = self._clock()
        for each in self._kept:
            if secrets.compare_digest(each.token, found) and not _over(each, now):
                self._note_used(each.id, now)
                return each.device()
        return None

    def is_in(self, device_id: str) -> bool:
        """Return whether a device has a session."""
        self._read()
        now = self._clock()
        return any(each.id == device_id and not _over(each, now) for each in self._kept)

    def with_session(self) -> dict[str, Device]:
        """Return the devices that have a session, by their ids."""
        self._read()
        now = self._clock()
        return {each.id: each.device() for each in self._kept if not _over(each, now)}

    def other_memo(self, device_id: str, memos: Collection[str]) -> str:
        """Return the name of the memo that a device showed last, where that is none of *memos*."""
        self._read()
        kept = next((each for each in self._kept if each.id == device_id), None)
        return kept.memo_name if kept is not None and kept.memo not in ("", *memos) else ""

    def shows(self, device_id: str, memo: str, name: str) -> None:
        """Note that a device shows *memo* now, which is called *name*."""
        if any(each.id == device_id and each.memo != memo for each in self._kept):
            with self._writing():
                for each in self._kept:
                    if each.id == device_id:
                        each.memo, each.memo_name = memo, name

    def use(self, device_id: str) -> None:
        """Note that a device is used now."""
        self._note_used(device_id, self._clock())

    def remove(self, name: str) -> bool:
        """Put out the device called *name*, or with that id; return whether there was one."""
        with self._writing():
            left = [each for each in self._kept if name not in (each.name, each.id)]
            gone = len(left) < len(self._kept)
            self._kept = left
        return gone

    def _free(self, name: str) -> str:
        """Return *name*, with a number where a device, or the terminal here, has it already."""
        taken = {this_station(), *(each.name for each in self._kept)}
        names = (name, *(f"{name} {n}" for n in range(2, MAX_DEVICES + 2)))
        return next(each for each in names if each not in taken)

    def _note_used(self, device_id: str, now: datetime) -> None:
        kept = next((each for each in self._kept if each.id == device_id), None)
        if kept is None or now - datetime.fromisoformat(kept.used) < NOTE_EVERY:
            return
        with self._writing():
            for each in self._kept:
                if each.id == device_id:
                    each.used = now.isoformat()

    def _read(self) -> None:
        """Read the file where it has changed."""
        try:
            status = self._path.stat()
            stamp = (status.st_mtime_ns, status.st_ino)
            if stamp != self._stamp:
                data = self._path.read_bytes()
                self._kept = msgspec.json.decode(data, type=list[Kept])
                self._stamp = stamp
        except FileNotFoundError:
            self._kept, self._stamp = [], None
        except (OSError, msgspec.MsgspecError) as error:
            raise NoSite(words.file_unreadable(self._path, error)) from error

    @contextlib.contextmanager
    def _writing(self) -> Iterator[None]:
        """Change the file as it is now, and nobody else meanwhile. Raises :class:`NoSite`."""
        try:
            with self._lock:
                self._read()
                yield
                write_private(self._path, msgspec.json.encode(self._kept))
                self._stamp = None
        except Timeout as error:
            raise NoSite(words.file_unreadable(self._path, error)) from error
        except OSError as error:
            if isinstance(error, NoSite):
                raise
            raise NoSite(words.file_unreadable(self._path, error.strerror or error)) from error


def hashed(token: str) -> str:
    """Return *token* as it is kept: it has 256 bits, so that its hash needs no salt."""
    return hashlib.sha256(token.encode()).hexdigest()


def _over(kept: Kept, now: datetime) -> bool:
    return not kept.token or now - datetime.fromisoformat(kept.used) > UNUSED


def _clean(name: str) -> str:
    """Return *name* as it may stand on every screen."""
    return visible(" ".join(name.split())[:MAX_NAME]).strip()[:MAX_NAME]
