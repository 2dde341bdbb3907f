"""Under which name and addresses this machine is found on its network."""

from __future__ import annotations

import contextlib
import ipaddress
import logging
import platform
import re
import socket

import ifaddr
from zeroconf import Error as ZeroconfError
from zeroconf import IPVersion, ServiceInfo
from zeroconf.asyncio import AsyncZeroconf

from cutmemo.errors import NoSite
from cutmemo.site.near import is_near
from cutmemo.wording import site as words

_log = logging.getLogger(__name__)
_HOST = re.compile(r"[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?(\.[a-z0-9]([a-z0-9-]{0,61}[a-z0-9])?)*")


def usual_host() -> str:
    """Return the name the site has where none is given: one that no other machine has."""
    machine = re.sub("[^a-z0-9]+", "-", platform.node().partition(".")[0].lower()).strip("-")
    return f"cutmemo-{machine[:40] or 'site'}.local"


def checked_host(host: str) -> str:
    """Return *host* as browsers write it. Raises :class:`NoSite` where it is no name."""
    plain = host.strip().lower().rstrip(".")
    if len(plain) > 253 or not _HOST.fullmatch(plain):
        raise NoSite(words.no_host(host))
    return plain


def private_addresses() -> list[str]:
    """Return the private addresses of this machine, those of its own network first; none that a
    browser cannot write (link-local ones of IPv6 need a zone).
    """
    found = [
        str(ip.ip if ip.is_IPv4 else ip.ip[0])
        for adapter in ifaddr.get_adapters()
        for ip in adapter.ips
    ]
    private = [each for each in dict.fromkeys(found) if is_near(each)]
    addresses = [each for each in private if not each.startswith("fe80:")]
    return sorted(addresses, key=_remoteness)


def _remoteness(address: str) -> int:
    """Return how little an address is of use to a phone: its own network's first."""
    found = ipaddress.ip_address(address)
    if found.is_loopback:
        return 3
    return 2 if found.is_link_local else found.version == 6


class Announcer:
    """Answers to a name that ends in ``.local`` on the network (RFC 6762)."""

    def __init__(self, host: str, port: int) -> None:
        """Answer to *host*, and tell of *port*."""
        self._host, self._port = host, port
        self._zeroconf: AsyncZeroconf | None = None

    async def tell(self, addresses: list[str]) -> bool:
        """Answer with *addresses* from now on; return whether anybody can hear it."""
        outside = [each for each in addresses if _remoteness(each) < 3]
        if not self._host.endswith(".local") or not outside:
            return False
        service = self._service(outside)
        try:
            if self._zeroconf is None:
                self._zeroconf = AsyncZeroconf(ip_version=IPVersion.V4Only)
                await self._zeroconf.async_register_service(service)
            else:
                await self._zeroconf.async_update_service(service)
        except (OSError, ZeroconfError):
            _log.warning("nobody can be told of %s", self._host, exc_info=True)
            return False
        return True

    def _service(self, addresses: list[str]) -> ServiceInfo:
        name = self._host.removesuffix(".local")
        kind = "_https._tcp.local."
        packed = [socket.inet_pton(_family(each), each) for each in addresses]
        return ServiceInfo(
            kind, f"{name}.{kind}", addresses=packed, port=self._port, server=f"{self._host}."
        )

    async def close(self) -> None:
        """Say goodbye."""
        if self._zeroconf is not None:
            with contextlib.suppress(OSError, ZeroconfError):
                await self._zeroconf.async_unregister_all_services()
            await self._zeroconf.async_close()


def _family(address: str) -> int:
    return socket.AF_INET6 if ":" in address else socket.AF_INET
