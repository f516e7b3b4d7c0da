"""The shop's own certificate: what lets its tablets call it over HTTPS without anybody's service.

An authority of the shop's own is made once and trusted once on each tablet. It signs a certificate for the
names under which the shop is called, which is renewed by itself. The authority can sign for these names alone
(RFC 5280 section 4.2.1.10), so that a tablet that trusts it trusts nobody with the rest of the web.
"""

import os
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import datetime, timedelta
from ipaddress import ip_address, ip_network
from pathlib import Path

from cryptography import x509
from cryptography.exceptions import InvalidSignature
from cryptography.hazmat.primitives import hashes
from cryptography.hazmat.primitives.asymmetric import ec
from cryptography.hazmat.primitives.serialization import (
    Encoding,
    NoEncryption,
    PrivateFormat,
    load_pem_private_key,
)
from cryptography.x509.oid import ExtendedKeyUsageOID, NameOID

TRUSTED = timedelta(days=3650)
# CA/Browser Forum baseline requirements 6.3.2: no certificate of a server is good for more than 398 days.
SERVED = timedelta(days=397)
RENEWED = timedelta(days=30)  # what is left when a new one is made; common practice
EARLIER = timedelta(days=1)  # a tablet whose clock is behind still takes it
AUTHORITY = "authority"


class OtherNames(Exception):
    """The authority may not sign for a name that was asked for; carries the names that it may."""


@dataclass(frozen=True)
class Signed:
    """A certificate and its private key."""

    certificate: x509.Certificate
    key: ec.EllipticCurvePrivateKey


@dataclass(frozen=True)
class Own:
    """The files to serve with, and what each tablet has to trust: the authority's file and fingerprint."""

    certificate: Path
    key: Path
    authority: Path
    fingerprint: str


def own_certificate(folder: Path, hosts: Iterable[str], at: datetime) -> Own:
    """The shop's certificate for these names and addresses, made or renewed where it has to be.

    `folder`: where the files stand; the keys can be read by their owner alone. `at`: now, in UTC.
    Raises OtherNames where the shop's authority was made for other names.
    """
    folder.mkdir(parents=True, exist_ok=True)
    named = [_name(host) for host in dict.fromkeys(hosts)]
    authority = _read(folder, AUTHORITY) or _keep(folder, AUTHORITY, _authority(named, at))
    _permitted(authority.certificate, named)
    served = _read(folder, "shop")
    if served is None or not _good(served.certificate, authority.certificate, named, at):
        _keep(folder, "shop", _served(authority, named, at))
    return Own(
        folder / "shop.crt",
        folder / "shop.key",
        folder / f"{AUTHORITY}.crt",
        authority.certificate.fingerprint(hashes.SHA256()).hex(":").upper(),
    )


def _name(host: str) -> x509.GeneralName:
    try:
        return x509.IPAddress(ip_address(host.strip("[]")))
    except ValueError:
        return x509.DNSName(host)


def _permitted(authority: x509.Certificate, named: Iterable[x509.GeneralName]) -> None:
    allowed = (
        authority.extensions.get_extension_for_class(x509.NameConstraints).value.permitted_subtrees or []
    )
    if any(_within(name) not in allowed for name in named):
        raise OtherNames(", ".join(str(name.value) for name in allowed))


def _within(name: x509.GeneralName) -> x509.GeneralName:
    """The name as a constraint has it: an address as a network of one."""
    return x509.IPAddress(ip_network(name.value)) if isinstance(name, x509.IPAddress) else name


def _good(
    served: x509.Certificate, authority: x509.Certificate, named: list[x509.GeneralName], at: datetime
) -> bool:
    """Whether a certificate is of this authority, for these names, and good for a while yet."""
    names = served.extensions.get_extension_for_class(x509.SubjectAlternativeName).value
    try:
        served.verify_directly_issued_by(authority)
    except (ValueError, InvalidSignature):
        return False
    return list(names) == named and served.not_valid_after_utc - at > RENEWED


def _authority(named: Iterable[x509.GeneralName], at: datetime) -> Signed:
    key = ec.generate_private_key(ec.SECP256R1())
    called = _called("Authority of this shop's Castlenut")
    begun = (
        _begun(called, key, at, TRUSTED)
        .issuer_name(called)
        .add_extension(x509.BasicConstraints(ca=True, path_length=0), critical=True)
        .add_extension(_for("key_cert_sign", "crl_sign"), critical=True)
        .add_extension(x509.NameConstraints([_within(name) for name in named], None), critical=True)
    )
    return Signed(begun.sign(key, hashes.SHA256()), key)


def _served(authority: Signed, named: list[x509.GeneralName], at: datetime) -> Signed:
    key = ec.generate_private_key(ec.SECP256R1())
    above = x509.AuthorityKeyIdentifier.from_issuer_public_key(authority.key.public_key())
    begun = (
        _begun(_called("Castlenut"), key, at, SERVED)
        .issuer_name(authority.certificate.subject)
        .add_extension(x509.BasicConstraints(ca=False, path_length=None), critical=True)
        .add_extension(_for("digital_signature"), critical=True)
        .add_extension(x509.ExtendedKeyUsage([ExtendedKeyUsageOID.SERVER_AUTH]), critical=False)
        .add_extension(x509.SubjectAlternativeName(named), critical=False)
        .add_extension(above, critical=False)
    )
    return Signed(begun.sign(authority.key, hashes.SHA256()), key)


def _called(name: str) -> x509.Name:
    return x509.Name([x509.NameAttribute(NameOID.COMMON_NAME, name)])


def _begun(
    subject: x509.Name, key: ec.EllipticCurvePrivateKey, at: datetime, term: timedelta
) -> x509.CertificateBuilder:
    return (
        x509.CertificateBuilder()
        .subject_name(subject)
        .public_key(key.public_key())
        .serial_number(x509.random_serial_number())
        .not_valid_before(at - EARLIER)
        .not_valid_after(at - EARLIER + term)
        .add_extension(x509.SubjectKeyIdentifier.from_public_key(key.public_key()), critical=False)
    )


def _for(*uses: str) -> x509.KeyUsage:
    """What a key may be used for, and nothing else."""
    every = (
        *("digital_signature", "content_commitment", "key_encipherment", "data_encipherment"),
        *("key_agreement", "key_cert_sign", "crl_sign", "encipher_only", "decipher_only"),
    )
    return x509.KeyUsage(**{use: use in uses for use in every})


def _read(folder: Path, name: str) -> Signed | None:
    certificate, key = folder / f"{name}.crt", folder / f"{name}.key"
    if not (certificate.is_file() and key.is_file()):
        return None
    private = load_pem_private_key(key.read_bytes(), None)
    assert isinstance(private, ec.EllipticCurvePrivateKey)
    return Signed(x509.load_pem_x509_certificate(certificate.read_bytes()), private)


def _keep(folder: Path, name: str, signed: Signed) -> Signed:
    """Write key and certificate; the certificate last, so that half of a pair is made anew."""
    _written(
        folder / f"{name}.key", signed.key.private_bytes(Encoding.PEM, PrivateFormat.PKCS8, NoEncryption())
    )
    _written(folder / f"{name}.crt", signed.certificate.public_bytes(Encoding.PEM))
    return signed


def _written(file: Path, content: bytes) -> None:
    """Written whole or not at all, to be read by its owner alone."""
    half = file.with_suffix(f"{file.suffix}.half")
    half.unlink(missing_ok=True)
    with os.fdopen(os.open(half, os.O_WRONLY | os.O_CREAT | os.O_EXCL, 0o600), "wb") as out:
        out.write(content)
    half.replace(file)
