"""How a device is let in: an invitation for one, good for ten minutes, or the pass phrase."""

from __future__ import annotations

import ipaddress
import secrets
from collections import OrderedDict
from collections.abc import Callable
from dataclasses import dataclass

from cutmemo.errors import NoSite
from cutmemo.site.devices import hashed
from cutmemo.site.limits import Bucket, Buckets
from cutmemo.wording import site as words

GOOD_SECONDS = 600.0
MAX_INVITES = 20
"""So many invitations are open at once; the oldest ends first."""
MIN_PHRASE = 8
CODE_SIGNS = "23456789ABCDEFGHJKMNPQRSTUVWXYZ"
"""None that is taken for another."""
CODE_LENGTH = 8
WRONG_AT_ONCE, WRONG_A_SECOND = 5, 0.1
"""Wrong ones of one address: five, then one in ten seconds."""
ALL_WRONG_AT_ONCE, ALL_WRONG_A_SECOND = 60, 1.0
"""Wrong ones of all addresses from which nobody has joined."""
KNOWN_ADDRESSES = 256


@dataclass(frozen=True, slots=True)
class Invite:
    """An invitation for one device."""

    token: str
    code: str
    """The same to type: an installed page has no link to open."""
    until: float
    """By the clock of :class:`Invites`."""


class TooSoon(Exception):
    """Too many wrong ones came; the next may come in so many seconds."""

    def __init__(self, seconds: float) -> None:
        """Carry how long."""
        self.seconds = seconds
        super().__init__(seconds)


class Invites:
    """The open invitations and the pass phrase, and who guesses at them.

    Wrong guesses are counted for each address, so that nobody shuts another out; those of all
    strangers together are counted too, and that shuts out no address from which somebody has
    joined. A link's token has 256 bits and is not counted: nobody guesses it.
    """

    def __init__(self, phrase: str, clock: Callable[[], float]) -> None:
        """Let in who knows *phrase*; *clock* gives seconds. Raises :class:`NoSite` for a short
        one.
        """
        if len(phrase) < MIN_PHRASE:
            raise NoSite(words.phrase_too_short(MIN_PHRASE))
        self._phrase, self._clock = hashed(phrase), clock
        self._open: dict[str, Invite] = {}
        self._wrong = Buckets(WRONG_A_SECOND, WRONG_AT_ONCE)
        self._all_wrong = Bucket(ALL_WRONG_A_SECOND, ALL_WRONG_AT_ONCE)
        self._known: OrderedDict[str, None] = OrderedDict()

    def new(self) -> Invite:
        """Return a new invitation."""
        code = "".join(secrets.choice(CODE_SIGNS) for _ in range(CODE_LENGTH))
        invite = Invite(secrets.token_urlsafe(32), code, self._clock() + GOOD_SECONDS)
        self._drop_old()
        while len(self._open) >= MAX_INVITES:
            del self._open[next(iter(self._open))]
        self._open[hashed(invite.token)] = invite
        return invite

    def is_open(self, token: str) -> bool:
        """Return whether the invitation is still good; it stays so."""
        self._drop_old()
        return hashed(token) in self._open

    def spend_token(self, token: str) -> bool:
        """Use up an invitation; return whether there was one."""
        self._drop_old()
        return self._open.pop(hashed(token), None) is not None

    def spend_code(self, code: str, address: str) -> bool:
        """Use up an invitation by its code. Raises :class:`TooSoon`."""
        said = "".join(code.split()).replace("-", "").upper()

        def right() -> bool:
            self._drop_old()
            found = [
                key
                for key, invite in self._open.items()
                if secrets.compare_digest(hashed(invite.code), hashed(said))
            ]
            return bool(found) and self._open.pop(found[0], None) is not None

        return self._guessed(right, address)

    def is_phrase(self, phrase: str, address: str) -> bool:
        """Return whether this is the pass phrase. Raises :class:`TooSoon`."""
        return self._guessed(lambda: secrets.compare_digest(hashed(phrase), self._phrase), address)

    def know(self, address: str) -> None:
        """Note that somebody at *address* has joined."""
        key = _network(address)
        self._known[key] = None
        self._known.move_to_end(key)
        while len(self._known) > KNOWN_ADDRESSES:
            self._known.popitem(last=False)

    def _guessed(self, right: Callable[[], bool], address: str) -> bool:
        now, key = self._clock(), _network(address)
        buckets = [self._wrong.of(key), *([] if key in self._known else [self._all_wrong])]
        for bucket in buckets:
            if not bucket.has(now):
                raise TooSoon(bucket.wait(now))
        if right():
            return True
        for bucket in buckets:
            bucket.take(now)
        return False

    def _drop_old(self) -> None:
        now = self._clock()
        self._open = {key: each for key, each in self._open.items() if each.until > now}


def shown(code: str) -> str:
    """Return a code as a person reads it."""
    return f"{code[: CODE_LENGTH // 2]}-{code[CODE_LENGTH // 2 :]}"


def _network(address: str) -> str:
    """Return whose guesses those from *address* are: of IPv6 one device has a whole /64."""
    try:
        found = ipaddress.ip_address(address)
    except ValueError:
        return address
    if isinstance(found, ipaddress.IPv6Address):
        return str(ipaddress.ip_network((int(found) >> 64 << 64, 64)))
    return str(found)
