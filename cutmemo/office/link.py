"""The link of a memo to its office: a small file beside the memo, and nothing in it.

It holds the address without the password, and what the office is known to have. Nothing depends
on it but what is shown: an exchange compares what both ends hold.
"""

from __future__ import annotations

import json
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, field
from pathlib import Path

from filelock import FileLock, Timeout

from cutmemo.errors import NoOffice, OfficeTrouble
from cutmemo.memo.events import Event
from cutmemo.office.address import Address
from cutmemo.office.passwords import write_for_owner

_WAIT_SECONDS = 10.0


@dataclass(frozen=True, slots=True)
class Link:
    """A memo's link to its office, and how the last exchange went."""

    url: str
    sent: Mapping[str, int] = field(default_factory=dict)
    """By replica, the last number that the office is known to have, with all before it."""
    contact: str = ""
    """When the last exchange was done, as ISO 8601; empty for never."""
    trouble: str = ""
    """Why the last one could not be done (:class:`OfficeTrouble`); empty where it could."""
    why: str = ""
    since: str = ""
    """When the first one failed since the last that was done."""
    disputed: int = 0
    """Entries that the office has with the same name and other content."""

    @property
    def address(self) -> Address:
        """Return where the office is. Raises :class:`NoOffice`."""
        return Address.of(self.url)


def link_file(memo: Path) -> Path:
    """Return the file with the link of *memo*, beside it."""
    return memo.with_name(f"{memo.name}-office")


def exchange_lock(memo: Path) -> FileLock:
    """Return what one program of a site holds at a time while it is the one to exchange."""
    return FileLock(memo.with_name(f"{memo.name}-office.lock"), blocking=False)


def _writing(memo: Path) -> FileLock:
    lock = memo.with_name(f"{memo.name}-office.writing")
    return FileLock(lock, timeout=_WAIT_SECONDS)


def read_link(memo: Path) -> Link | None:
    """Return the link of *memo*, or ``None`` where it has none. Raises :class:`NoOffice`."""
    path = link_file(memo)
    try:
        plain = json.loads(path.read_text("utf-8"))
        sent = {str(name): int(number) for name, number in plain["sent"].items()}
        texts = {name: str(plain[name]) for name in ("url", "contact", "trouble", "why", "since")}
        return Link(sent=sent, disputed=int(plain["disputed"]), **texts)
    except FileNotFoundError:
        return None
    except OSError as error:
        raise NoOffice(OfficeTrouble.BAD_LINK, f"{path}: {error.strerror}") from error
    except (ValueError, TypeError, KeyError, AttributeError, RecursionError) as error:
        raise NoOffice(OfficeTrouble.BAD_LINK, str(path)) from error


def make_link(memo: Path, link: Link) -> None:
    """Write the link of *memo*, new or in place of the one before. Raises :class:`NoOffice`."""
    try:
        with _writing(memo):
            _write(memo, link)
    except (Timeout, OSError) as error:
        raise _not_written(memo, error) from error


def keep_link(memo: Path, link: Link) -> bool:
    """Write *link* unless it was taken away or led elsewhere meanwhile; return whether it was not.

    Raises :class:`NoOffice`.
    """
    try:
        with _writing(memo):
            now = read_link(memo)
            if now is None or now.url != link.url:
                return False
            _write(memo, link)
            return True
    except (Timeout, OSError) as error:
        raise _not_written(memo, error) from error


def drop_link(memo: Path) -> None:
    """Take the link of *memo* away. Raises :class:`NoOffice`."""
    try:
        with _writing(memo):
            link_file(memo).unlink(missing_ok=True)
    except (Timeout, OSError) as error:
        raise _not_written(memo, error) from error


def _write(memo: Path, link: Link) -> None:
    write_for_owner(
        link_file(memo), json.dumps({**asdict(link), "sent": dict(link.sent)}, indent=1)
    )


def _not_written(memo: Path, error: Exception) -> NoOffice:
    if isinstance(error, NoOffice):
        return error
    return NoOffice(OfficeTrouble.BAD_LINK, f"{link_file(memo)}: {error}")


def not_sent(log: Iterable[Event], link: Link) -> int:
    """Return how many events of *log* the office is not known to have; damaged ones are not
    sent.
    """
    sent = link.sent
    return sum(each.number > sent.get(each.replica, 0) and not each.damaged for each in log)


class LinkWatch:
    """The link of one memo, looked at again and again: it is read only once it has changed."""

    def __init__(self, memo: Path) -> None:
        """Watch the link of *memo*."""
        self._memo = memo
        self._seen: tuple[object, ...] = ()
        self._found: tuple[Link, int] | None = None

    def look(self, log: Sequence[Event]) -> tuple[Link, int] | None:
        """Return the link and how many events of *log* are not sent yet; ``None`` for no link.

        One that cannot be read tells so in its ``trouble``.
        """
        try:
            status = link_file(self._memo).stat()
        except OSError:
            self._seen, self._found = (), None
            return None
        last = log[-1].id if log else ""
        seen = (status.st_mtime_ns, status.st_ino, len(log), last)
        if seen != self._seen:
            try:
                link = read_link(self._memo)
            except NoOffice as error:
                link = Link("", trouble=error.trouble.value, why=error.why)
            self._seen = seen
            self._found = None if link is None else (link, not_sent(log, link))
        return self._found
