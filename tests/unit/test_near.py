"""Which addresses are of one's own network, by the RFCs that set them aside."""

from __future__ import annotations

import pytest

from cutmemo.site.near import is_near


@pytest.mark.parametrize(
    "address",
    [
        "10.0.0.0",  # RFC 1918
        "10.255.255.255",
        "172.16.0.1",
        "172.31.255.255",
        "192.168.1.20",
        "169.254.7.7",  # RFC 3927
        "127.0.0.1",
        "fd12:3456:789a::1",  # RFC 4193
        "fe80::1",  # RFC 4291
        "fe80::1%eth0",  # RFC 4007
        "::1",
        "::ffff:192.168.1.20",  # RFC 4291, 2.5.5.2
    ],
)
def test_what_no_two_networks_share_with_the_world_is_near(address: str) -> None:
    assert is_near(address)


@pytest.mark.parametrize(
    "address",
    [
        "9.255.255.255",
        "11.0.0.0",
        "172.15.255.255",
        "172.32.0.0",
        "192.167.255.255",
        "192.169.0.0",
        "100.64.0.1",  # RFC 6598: shared by a provider's customers
        "203.0.113.7",  # RFC 5737: for documents
        "0.0.0.1",
        "2001:db8::1",  # RFC 3849
        "2606:4700::1111",
        "::ffff:8.8.8.8",
        "",
        "porch.local",
    ],
)
def test_all_others_are_not(address: str) -> None:
    assert not is_near(address)
