"""The address of an office: a PostgreSQL URL that holds no password, and asks for a verified
connection.
"""

from __future__ import annotations

import ipaddress
from dataclasses import dataclass
from pathlib import Path
from urllib.parse import parse_qsl, quote, unquote, urlencode, urlsplit

from cutmemo.errors import NoOffice, OfficeTrouble

SCHEMES = ("postgresql", "postgres")
PORT = 5432
VERIFIED = ("verify-full", "verify-ca")
"""What ``sslmode`` may be; the first is what holds where nothing is said."""
_TAKEN = ("sslmode", "sslrootcert", "host")
"""What may stand behind the question mark."""


@dataclass(frozen=True, slots=True)
class Address:
    """Where an office is, and as whom it is entered."""

    host: str
    """A name, a number, or the folder of a local socket; empty for the usual one."""
    port: int
    database: str
    user: str
    """The site's name, which is that of its role; empty for the name at the keyboard."""
    sslmode: str = ""
    """As the URL says it; empty for the safe one."""
    sslrootcert: str = ""
    """The file with the certificate that the server's is checked against."""

    @classmethod
    def of(cls, text: str) -> Address:
        """Return the address that *text* says. Raises :class:`NoOffice`."""
        try:
            parts = urlsplit(text)
            port = parts.port or PORT
            given = parse_qsl(parts.query, keep_blank_values=True, strict_parsing=bool(parts.query))
        except ValueError as error:
            raise NoOffice(OfficeTrouble.NO_ADDRESS, str(error)) from error
        named = dict(given)
        if parts.password is not None or "password" in named:
            raise NoOffice(OfficeTrouble.PASSWORD_IN_ADDRESS)
        if parts.scheme not in SCHEMES:
            raise NoOffice(OfficeTrouble.NO_ADDRESS, "postgresql://site@host/database")
        unknown = [name for name in named if name not in _TAKEN]
        if unknown or len(named) < len(given) or parts.fragment:
            raise NoOffice(OfficeTrouble.NO_ADDRESS, f"{', '.join(unknown) or text[-40:]}?")
        host = named.get("host", "") or unquote(parts.hostname or "")
        if "," in host or (parts.hostname and "host" in named):
            raise NoOffice(OfficeTrouble.NO_ADDRESS, "host?")
        made = cls(
            host,
            port,
            unquote(parts.path.lstrip("/")) or "cutmemo",
            unquote(parts.username or ""),
            named.get("sslmode", ""),
            named.get("sslrootcert", ""),
        )
        made._check()
        return made

    def _check(self) -> None:
        """Raise :class:`NoOffice` where the connection could be read by others."""
        if self.sslmode and self.sslmode not in VERIFIED and not (self.local or self.loopback):
            raise NoOffice(OfficeTrouble.WEAK_TLS, self.sslmode)
        if "\x00" in f"{self.host}{self.database}{self.user}{self.sslrootcert}":
            raise NoOffice(OfficeTrouble.NO_ADDRESS, "\\x00")

    @property
    def local(self) -> bool:
        """Return whether it is a socket on this machine, which no network sees."""
        return not self.host or self.host.startswith("/")

    @property
    def loopback(self) -> bool:
        """Return whether it is this machine, by its number: what is sent there stays here."""
        try:
            return ipaddress.ip_address(self.host).is_loopback
        except ValueError:
            return False

    def parameters(self) -> dict[str, str | int]:
        """Return what libpq takes, without the password."""
        found: dict[str, str | int] = {"port": self.port, "dbname": self.database}
        if self.host:
            found["host"] = self.host
        if self.user:
            found["user"] = self.user
        if not self.local:
            found["sslmode"] = self.sslmode or VERIFIED[0]
            found["sslrootcert"] = self.sslrootcert or _usual_root()
        return found

    def __str__(self) -> str:
        """Return it as a URL, as :meth:`of` reads it."""
        user = f"{quote(self.user, safe='')}@" if self.user else ""
        host = "" if self.local else f"[{self.host}]" if ":" in self.host else quote(self.host)
        port = f":{self.port}" if self.port != PORT else ""
        named = {"host": self.host if self.local else ""}
        named |= {"sslmode": self.sslmode, "sslrootcert": self.sslrootcert}
        query = urlencode({name: value for name, value in named.items() if value}, safe="/")
        at = f"postgresql://{user}{host}{port}/{quote(self.database, safe='')}"
        return f"{at}?{query}" if query else at


def _usual_root() -> str:
    """Return libpq's own file of trusted certificates where there is one, else the system's."""
    own = Path.home() / ".postgresql" / "root.crt"
    return str(own) if own.exists() else "system"
