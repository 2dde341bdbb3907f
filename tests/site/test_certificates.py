"""The authority of the site and its server's certificate, checked by OpenSSL through Python's ssl."""

from __future__ import annotations

import asyncio
import ipaddress
import ssl
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
import site_parts

site_parts.needed()

from cryptography import x509  # noqa: E402 - only where the parts are
from cryptography.hazmat.primitives import hashes, serialization  # noqa: E402
from cryptography.hazmat.primitives.asymmetric import ec  # noqa: E402
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID  # noqa: E402

from cutmemo.errors import NoSite  # noqa: E402
from cutmemo.site import names, run  # noqa: E402
from cutmemo.site.certificates import certificates, known_authority  # noqa: E402
from cutmemo.site.origins import Origins  # noqa: E402

HOST = "cutmemo-test.local"
NOW = datetime.now(UTC)


async def accepted(folder: Path, context: ssl.SSLContext, name: str) -> bool:
    """Whether a client that trusts the authority in *folder* accepts the server as *name*."""

    async def nothing(_reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
        writer.close()

    server = await asyncio.start_server(nothing, "127.0.0.1", 0, ssl=context)
    async with server:
        port = server.sockets[0].getsockname()[1]
        client = ssl.create_default_context(cafile=str(folder / "authority.pem"))
        try:
            _, writer = await asyncio.open_connection(
                "127.0.0.1", port, ssl=client, server_hostname=name
            )
        except ssl.SSLCertVerificationError:
            return False
        writer.close()
        return True


async def test_devices_that_trust_the_authority_accept_the_site(tmp_path: Path) -> None:
    made = certificates(tmp_path, HOST, ["192.168.1.7", "fd00::7", "8.8.8.8"])
    for name in (HOST, "localhost", "127.0.0.1", "192.168.1.7", "fd00::7"):
        assert await accepted(tmp_path, made.context(), name), name
    for name in ("cutmemo-other.local", "example.com", "192.168.1.8", "8.8.8.8"):
        assert not await accepted(tmp_path, made.context(), name), name


@pytest.mark.parametrize(
    "name", ["example.com", "cutmemo-other.local", "8.8.8.8", f"x.{HOST}.example"]
)
async def test_the_authoritys_key_is_worth_nothing_elsewhere(tmp_path: Path, name: str) -> None:
    """Whoever steals it makes a certificate for another name: the critical name constraints refuse it."""
    certificates(tmp_path, HOST, [])
    authority = x509.load_pem_x509_certificate((tmp_path / "authority.pem").read_bytes())
    stolen = serialization.load_pem_private_key((tmp_path / "authority.key").read_bytes(), None)
    assert isinstance(stolen, ec.EllipticCurvePrivateKey)
    key = ec.generate_private_key(ec.SECP256R1())
    try:
        general: x509.GeneralName = x509.IPAddress(ipaddress.ip_address(name))
    except ValueError:
        general = x509.DNSName(name)
    forged = (
        x509.CertificateBuilder()
        .subject_name(x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)]))
        .issuer_name(authority.subject)
        .public_key(key.public_key())
        .serial_number(1)
        .not_valid_before(NOW - timedelta(days=1))
        .not_valid_after(NOW + timedelta(days=30))
        .add_extension(x509.SubjectAlternativeName([general]), critical=False)
        .sign(stolen, hashes.SHA256())
    )
    (tmp_path / "forged.pem").write_bytes(forged.public_bytes(serialization.Encoding.PEM))
    (tmp_path / "forged.key").write_bytes(
        key.private_bytes(
            serialization.Encoding.PEM,
            serialization.PrivateFormat.PKCS8,
            serialization.NoEncryption(),
        )
    )
    context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
    context.load_cert_chain(tmp_path / "forged.pem", tmp_path / "forged.key")
    assert not await accepted(tmp_path, context, name)


def test_it_is_what_browsers_ask_of_a_server(tmp_path: Path) -> None:
    """CA/Browser Forum Baseline Requirements 6.3.2 (398 days), RFC 5280 4.2.1.10 (name constraints critical)."""
    made = certificates(tmp_path, HOST, [])
    leaf = x509.load_pem_x509_certificates(made.chain.read_bytes())[0]
    assert leaf.not_valid_after_utc - leaf.not_valid_before_utc <= timedelta(days=398)
    usage = leaf.extensions.get_extension_for_class(x509.ExtendedKeyUsage).value
    assert list(usage) == [ExtendedKeyUsageOID.SERVER_AUTH]
    assert not leaf.extensions.get_extension_for_class(x509.BasicConstraints).value.ca
    constraints = made.authority.extensions.get_extension_for_class(x509.NameConstraints)
    assert constraints.critical
    basic = made.authority.extensions.get_extension_for_class(x509.BasicConstraints)
    assert (basic.critical, basic.value.ca, basic.value.path_length) == (True, True, 0)


def test_keys_are_for_this_person_alone(tmp_path: Path) -> None:
    certificates(tmp_path, HOST, [])
    assert {path.name: path.stat().st_mode & 0o777 for path in tmp_path.iterdir()} == dict.fromkeys(
        ("authority.pem", "authority.key", "server.pem", "server.key"), 0o600
    )


def test_the_authority_stays_and_the_servers_certificate_is_renewed_in_time(tmp_path: Path) -> None:
    first = certificates(tmp_path, HOST, [], NOW)
    assert certificates(tmp_path, HOST, [], NOW + timedelta(days=300)).serial == first.serial
    later = certificates(tmp_path, HOST, [], NOW + timedelta(days=370))
    assert later.ends > first.ends
    assert later.fingerprint == first.fingerprint
    moved = certificates(tmp_path, HOST, ["10.0.0.9"], NOW + timedelta(days=370))
    assert moved.fingerprint == first.fingerprint
    names_of = x509.load_pem_x509_certificates(moved.chain.read_bytes())[0].extensions
    listed = names_of.get_extension_for_class(x509.SubjectAlternativeName).value
    assert ipaddress.ip_address("10.0.0.9") in listed.get_values_for_type(x509.IPAddress)


def test_a_certificate_of_another_authority_is_made_anew(tmp_path: Path) -> None:
    one, two = tmp_path / "one", tmp_path / "two"
    one.mkdir()
    two.mkdir()
    certificates(one, HOST, [])
    certificates(two, HOST, [])
    for name in ("server.pem", "server.key"):
        (one / name).write_bytes((two / name).read_bytes())
    made = certificates(one, HOST, [])
    x509.load_pem_x509_certificates(made.chain.read_bytes())[0].verify_directly_issued_by(
        made.authority
    )


def test_another_name_is_refused_since_every_device_would_have_to_trust_anew(
    tmp_path: Path,
) -> None:
    certificates(tmp_path, HOST, [])
    with pytest.raises(NoSite, match="trust it anew"):
        certificates(tmp_path, "cutmemo-other.local", [])


def test_a_damaged_authority_is_told_and_not_replaced(tmp_path: Path) -> None:
    certificates(tmp_path, HOST, [])
    (tmp_path / "authority.pem").write_bytes(b"no certificate")
    with pytest.raises(NoSite, match=r"authority\.pem"):
        certificates(tmp_path, HOST, [])
    assert (tmp_path / "authority.pem").read_bytes() == b"no certificate"


def test_the_authority_that_devices_know_can_be_named(tmp_path: Path) -> None:
    assert known_authority(tmp_path) is None
    made = certificates(tmp_path, HOST, [])
    assert known_authority(tmp_path) == (f"cutmemo site {HOST}", made.fingerprint)


@pytest.mark.parametrize(
    "host", ["", "a b", "-a", "a..b", "x" * 300, "8.8.8.8/", "ä.local", "a_b", "http://x"]
)
def test_what_is_no_name_of_a_machine_is_refused(host: str) -> None:
    with pytest.raises(NoSite, match="is no name"):
        names.checked_host(host)


def test_a_public_address_is_no_name_for_a_site(tmp_path: Path) -> None:
    with pytest.raises(NoSite, match="is no name"):
        certificates(tmp_path, "8.8.8.8", [])
    assert certificates(tmp_path, "192.168.1.7", []).fingerprint


def test_addresses_of_this_machine_are_private_and_can_be_written_in_a_browser() -> None:
    found = names.private_addresses()
    assert "127.0.0.1" in found
    assert not any(each.startswith("fe80") for each in found)
    assert names.checked_host(names.usual_host()) == names.usual_host()


async def test_a_new_address_of_the_machine_is_served_without_a_restart(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    addresses, told = ["192.168.1.7"], []

    async def tell(_announcer: object, of: list[str]) -> bool:
        told.append(of)
        return True

    monkeypatch.setenv("CUTMEMO_FOLDER", str(tmp_path))
    monkeypatch.setattr(run, "private_addresses", lambda: list(addresses))
    monkeypatch.setattr(names.Announcer, "tell", tell)
    site = run.Site(run.Wish(tmp_path / "m.cutmemo", 8750, "plumb and level", HOST), lambda _: None)
    folder, served = tmp_path / "site", site._tls
    assert not await accepted(folder, served, "192.168.1.9")
    before = site._certificates.fingerprint
    addresses[:] = ["192.168.1.9"]
    await site.look()
    assert await accepted(folder, served, "192.168.1.9")
    assert await accepted(folder, served, HOST)
    assert site._certificates.fingerprint == before
    assert told == [["192.168.1.9"]]
    assert "https://192.168.1.9:8750" in site.origins()
    assert "https://192.168.1.7:8750" not in site.origins()
    assert Origins(folder).known("https://192.168.1.7:8750")
    assert site.home() == f"https://{HOST}:8750/"
