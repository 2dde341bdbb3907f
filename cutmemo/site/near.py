"""Which addresses are of one's own network: the certificate authority speaks for them alone, and
nobody else is answered.
"""

from __future__ import annotations

import ipaddress

PRIVATE = (
    "127.0.0.0/8",
    "10.0.0.0/8",
    "172.16.0.0/12",
    "192.168.0.0/16",
    "169.254.0.0/16",
    "::1/128",
    "fc00::/7",
    "fe80::/10",
)
"""Addresses that no two networks share with the world: RFC 1918, 3927, 4193, 4291."""
_NETWORKS = tuple(ipaddress.ip_network(each) for each in PRIVATE)


def is_near(address: str) -> bool:
    """Return whether *address* is of one's own network; that of IPv4 may be written as one of IPv6,
    and a zone may follow (``fe80::1%eth0``).
    """
    try:
        found = ipaddress.ip_address(address.partition("%")[0])
    except ValueError:
        return False
    if isinstance(found, ipaddress.IPv6Address):
        found = found.ipv4_mapped or found
    return any(found in each for each in _NETWORKS if each.version == found.version)
