"""The site's own certificate authority, and its server's certificate: made once, renewed in time.

The authority's key is worth nothing elsewhere: its critical name constraints (RFC 5280, 4.2.1.10)
let it speak for the site's own names and private addresses alone.
"""

from __future__ import annotations

import ipaddress
import ssl
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path

from cryptography import x509
from cryptography.hazmat.primitives import hashes, serialization
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

from cutmemo.errors import NoSite
from cutmemo.private_file import write_private
from cutmemo.site.near import PRIVATE, is_near
from cutmemo.wording import site as words

AUTHORITY_DAYS = 3_650
LEAF_DAYS = 397
"""Browsers take no server's certificate that lasts longer than 398 days (CA/Browser Forum Baseline
Requirements 6.3.2, and Apple's HT211025; from memory)."""
RENEW_DAYS = 30
_YESTERDAY = timedelta(days=1)
"""A phone's clock may be behind."""


@dataclass(frozen=True, slots=True)
class Certificates:
    """The files of the authority and of the server."""

    authority: x509.Certificate
    chain: Path
    """The server's certificate with the authority's behind it."""
    key: Path
    ends: datetime
    serial: int
    """Of the server's certificate: another one has another."""

    @property
    def fingerprint(self) -> str:
        """Return the authority's SHA-256 fingerprint, in pairs."""
        return fingerprint_of(self.authority)

    @property
    def authority_der(self) -> bytes:
        """Return the authority's certificate as devices take it."""
        return self.authority.public_bytes(serialization.Encoding.DER)

    def context(self) -> ssl.SSLContext:
        """Return what a server needs to speak TLS."""
        context = ssl.SSLContext(ssl.PROTOCOL_TLS_SERVER)
        context.minimum_version = ssl.TLSVersion.TLSv1_2
        context.load_cert_chain(self.chain, self.key)
        return context


def certificates(
    folder: Path, host: str, addresses: Sequence[str], now: datetime | None = None
) -> Certificates:
    """Return the certificates in *folder* for *host* and *addresses*; what is missing, too old or
    for other names is made.

    Raises :class:`NoSite` where the authority may not speak for *host*: every device would have to
    trust another one.
    """
    now = now or datetime.now(UTC)
    if _is_address(host) and not is_near(host):
        raise NoSite(words.no_host(host))
    authority, authority_key = _authority(folder, host, now)
    chain, key = folder / "server.pem", folder / "server.key"
    names = _names(host, addresses)
    leaf = _leaf(chain) if key.exists() else None
    if leaf is None or not _serves(leaf, authority, names, now):
        leaf, leaf_key = _make_leaf(host, names, authority, authority_key, now)
        write_private(key, _pem_of_key(leaf_key))
        both = leaf.public_bytes(serialization.Encoding.PEM)
        both += authority.public_bytes(serialization.Encoding.PEM)
        write_private(chain, both)
    return Certificates(authority, chain, key, leaf.not_valid_after_utc, leaf.serial_number)


def _authority(
    folder: Path, host: str, now: datetime
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    """Return the authority of the site, made where there is none."""
    file, key_file = folder / "authority.pem", folder / "authority.key"
    if file.exists() and key_file.exists():
        try:
            authority = x509.load_pem_x509_certificate(file.read_bytes())
            key = serialization.load_pem_private_key(key_file.read_bytes(), None)
        except (OSError, ValueError) as error:
            raise NoSite(words.file_unreadable(file, error)) from error
        if not isinstance(key, ec.EllipticCurvePrivateKey):
            raise NoSite(words.file_unreadable(key_file, "another kind of key"))
        constraints = authority.extensions.get_extension_for_class(x509.NameConstraints).value
        permitted = constraints.permitted_subtrees or ()
        names = [each.value for each in permitted if isinstance(each, x509.DNSName)]
        if host not in names and not _is_address(host):
            raise NoSite(words.another_host(host, ", ".join(names), folder))
        if authority.not_valid_after_utc - now > timedelta(days=RENEW_DAYS):
            return authority, key
    key = ec.generate_private_key(ec.SECP256R1())
    authority = _make_authority(host, key, now)
    write_private(key_file, _pem_of_key(key))
    write_private(file, authority.public_bytes(serialization.Encoding.PEM))
    return authority, key


def _make_authority(host: str, key: ec.EllipticCurvePrivateKey, now: datetime) -> x509.Certificate:
    name = x509.Name(
        [
            x509.NameAttribute(NameOID.ORGANIZATION_NAME, "cutmemo"),
            x509.NameAttribute(NameOID.COMMON_NAME, words.authority_name(host)[:64]),
        ]
    )
    networks = [x509.IPAddress(ipaddress.ip_network(each)) for each in PRIVATE]
    hosts = [
        x509.DNSName(each) for each in dict.fromkeys((host, "localhost")) if not _is_address(each)
    ]
    usage = _usage(signs_certificates=True)
    return (
        x509.CertificateBuilder()
        .subject_name(name)
        .issuer_name(name)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(now - _YESTERDAY)
        .not_valid_after(now + timedelta(days=AUTHORITY_DAYS))
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(usage, critical=True)
        .add_extension(x509.NameConstraints([*hosts, *networks], None), critical=True)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
        .sign(key, hashes.SHA256())
    )


def _make_leaf(
    host: str,
    names: Sequence[x509.GeneralName],
    authority: x509.Certificate,
    authority_key: ec.EllipticCurvePrivateKey,
    now: datetime,
) -> tuple[x509.Certificate, ec.EllipticCurvePrivateKey]:
    key = ec.generate_private_key(ec.SECP256R1())
    issuer = x509.AuthorityKeyIdentifier.from_issuer_public_key(authority_key.public_key())
    subject = x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, host[:64])])
    begin = now - _YESTERDAY
    leaf = (
        x509.CertificateBuilder()
        .subject_name(subject)
        .issuer_name(authority.subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(begin)
        .not_valid_after(min(begin + timedelta(days=LEAF_DAYS), authority.not_valid_after_utc))
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_usage(signs_certificates=False), critical=True)
        .add_extension(x509.SubjectAlternativeName(names), critical=False)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(issuer, critical=False)
        .sign(authority_key, hashes.SHA256())
    )
    return leaf, key


def _usage(signs_certificates: bool) -> x509.KeyUsage:
    return x509.KeyUsage(
        digital_signature=not signs_certificates,
        key_cert_sign=signs_certificates,
        crl_sign=signs_certificates,
        content_commitment=False,
        key_encipherment=False,
        data_encipherment=False,
        key_agreement=False,
        encipher_only=False,
        decipher_only=False,
    )


def _names(host: str, addresses: Iterable[str]) -> list[x509.GeneralName]:
    """Return the names of the server: its host, this machine, and its private addresses."""
    hosts = [each for each in dict.fromkeys((host, "localhost")) if not _is_address(each)]
    found = dict.fromkeys([*([host] if _is_address(host) else []), "127.0.0.1", *addresses])
    private = [each for each in found if is_near(each)]
    return [
        *(x509.DNSName(each) for each in hosts),
        *(x509.IPAddress(ipaddress.ip_address(each)) for each in private),
    ]


def _leaf(chain: Path) -> x509.Certificate | None:
    try:
        return x509.load_pem_x509_certificates(chain.read_bytes())[0]
    except (OSError, ValueError, IndexError):
        return None


def _serves(
    leaf: x509.Certificate,
    authority: x509.Certificate,
    names: Iterable[x509.GeneralName],
    now: datetime,
) -> bool:
    """Return whether *leaf* is of *authority*, has all *names*, and lasts for a while."""
    try:
        leaf.verify_directly_issued_by(authority)
        has = leaf.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    except Exception:  # whatever is wrong with it: another one is made
        return False
    lasts = leaf.not_valid_after_utc - now > timedelta(days=RENEW_DAYS)
    return lasts and set(names) <= set(has)


def _is_address(host: str) -> bool:
    try:
        ipaddress.ip_address(host)
    except ValueError:
        return False
    return True


def _pem_of_key(key: ec.EllipticCurvePrivateKey) -> bytes:
    return key.private_bytes(
        serialization.Encoding.PEM,
        serialization.PrivateFormat.PKCS8,
        serialization.NoEncryption(),
    )


def known_authority(folder: Path) -> tuple[str, str] | None:
    """Return the name and the fingerprint of the authority in *folder*; ``None`` where there is
    none.
    """
    file = folder / "authority.pem"
    if not file.exists():
        return None
    try:
        authority = x509.load_pem_x509_certificate(file.read_bytes())
    except (OSError, ValueError) as error:
        raise NoSite(words.file_unreadable(file, error)) from error
    (name,) = authority.subject.get_attributes_for_oid(NameOID.COMMON_NAME)
    return str(name.value), fingerprint_of(authority)


def fingerprint_of(certificate: x509.Certificate) -> str:
    """Return the SHA-256 fingerprint of *certificate*, in pairs."""
    return certificate.fingerprint(hashes.SHA256()).hex(":").upper()
