"""The shop's own certificate, judged by OpenSSL and by a TLS client that trusts the authority alone."""

import socket
import ssl
import subprocess
import threading
from collections.abc import Iterator
from contextlib import closing, contextmanager
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from fastapi import FastAPI
from fastapi.testclient import TestClient

from app.ground.acting import now
from app.ground.certificates import OtherNames, Own, own_certificate
from app.ground.settings import Settings

HOSTS = ("127.0.0.1", "localhost", "[::1]", "shop.test", "192.0.2.7")
NOW = now().replace(microsecond=0)  # the TLS client below reads the machine's clock


@pytest.fixture(scope="module")
def own(tmp_path_factory: pytest.TempPathFactory) -> Own:
    """A certificate for the names of a shop."""
    return own_certificate(tmp_path_factory.mktemp("certificates"), HOSTS, NOW)


def openssl(*words: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(["openssl", *map(str, words)], capture_output=True, text=True, check=False)


def said(file: Path, *words: str) -> str:
    """What OpenSSL reads out of a certificate, in one line."""
    return " ".join(openssl("x509", "-in", file, "-noout", *words).stdout.split())


@contextmanager
def served(certificate: Path, key: Path) -> Iterator[int]:
    """The port of a server that greets everybody over TLS."""
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    context.load_cert_chain(certificate, key)
    with closing(socket.create_server(("127.0.0.1", 0))) as listening:

        def greet() -> None:
            while True:
                try:
                    with context.wrap_socket(listening.accept()[0], server_side=True) as met:
                        met.sendall(b"hello")
                except ssl.SSLError:
                    continue
                except OSError:
                    return

        threading.Thread(target=greet, daemon=True).start()
        yield int(listening.getsockname()[1])
        listening.shutdown(socket.SHUT_RDWR)


def greeted(port: int, authority: Path, name: str) -> bytes:
    """What a client hears that trusts this authority alone and calls the server by a name."""
    trusting = ssl.create_default_context(cafile=str(authority))
    line = socket.create_connection(("127.0.0.1", port))
    with trusting.wrap_socket(line, server_hostname=name) as met:
        return met.recv(5)


@pytest.mark.parametrize("name", ["127.0.0.1", "localhost", "::1", "shop.test", "192.0.2.7"])
def test_a_client_that_trusts_the_authority_takes_each_name_and_address(own: Own, name: str) -> None:
    with served(own.certificate, own.key) as port:
        assert greeted(port, own.authority, name) == b"hello"


@pytest.mark.parametrize("name", ["other.test", "sub.shop.test.evil", "192.0.2.8"])
def test_and_no_other_name(own: Own, name: str) -> None:
    with served(own.certificate, own.key) as port, pytest.raises(ssl.SSLCertVerificationError, match="match"):
        greeted(port, own.authority, name)


def test_a_client_that_does_not_trust_the_authority_refuses(own: Own, tmp_path: Path) -> None:
    stranger = own_certificate(tmp_path, HOSTS, NOW)
    with served(own.certificate, own.key) as port, pytest.raises(ssl.SSLCertVerificationError):
        greeted(port, stranger.authority, "shop.test")


def test_the_authority_can_sign_for_no_name_but_the_shops(own: Own, tmp_path: Path) -> None:
    """RFC 5280 section 4.2.1.10: names outside the permitted subtrees make the path invalid."""
    key, asked, forged = tmp_path / "f.key", tmp_path / "f.csr", tmp_path / "f.crt"
    names = tmp_path / "names"
    openssl("req", "-newkey", "rsa:2048", "-nodes", "-subj", "/CN=x", "-keyout", key, "-out", asked)
    for name, takes in (("DNS:bank.test", False), ("IP:198.51.100.1", False), ("DNS:shop.test", True)):
        names.write_text(f"subjectAltName={name}")
        above = ("-CA", own.authority, "-CAkey", own.authority.with_suffix(".key"))
        openssl("x509", "-req", "-in", asked, *above, "-extfile", names, "-out", forged)
        judged = openssl("verify", "-CAfile", own.authority, forged)
        assert (judged.returncode == 0) is takes, judged.stderr
        assert ("permitted subtree violation" in judged.stderr) is not takes


def test_the_authority_can_make_no_other_authority_and_the_certificate_signs_nothing(own: Own) -> None:
    authority = said(own.authority, "-ext", "basicConstraints,keyUsage,nameConstraints")
    assert "Basic Constraints: critical CA:TRUE, pathlen:0" in authority
    assert "Key Usage: critical Certificate Sign, CRL Sign" in authority
    assert "Name Constraints: critical Permitted:" in authority
    shop = said(own.certificate, "-ext", "basicConstraints,keyUsage,extendedKeyUsage")
    assert "CA:FALSE" in shop
    assert "Key Usage: critical Digital Signature" in shop
    assert "TLS Web Server Authentication" in shop


def test_openssl_finds_the_chain_sound_for_a_server(own: Own) -> None:
    strict = ("-x509_strict", "-purpose", "sslserver", "-CAfile", own.authority)
    judged = openssl("verify", *strict, own.certificate)
    assert (judged.returncode, judged.stderr) == (0, "")


def test_no_server_certificate_is_good_for_more_than_398_days(own: Own) -> None:
    """CA/Browser Forum baseline requirements section 6.3.2; browsers refuse what is longer."""
    dates = dict(
        part.split("=")
        for part in openssl("x509", "-in", own.certificate, "-noout", "-dates").stdout.splitlines()
    )
    first, last = (
        datetime.strptime(dates[key], "%b %d %H:%M:%S %Y GMT").replace(tzinfo=UTC)
        for key in ("notBefore", "notAfter")
    )
    assert last - first < timedelta(days=398)
    assert first < NOW - timedelta(hours=12)  # a tablet whose clock is behind


def test_the_fingerprint_is_the_one_that_a_tablet_shows(own: Own) -> None:
    shown = said(own.authority, "-fingerprint", "-sha256").partition("=")[2]
    assert own.fingerprint == shown


def test_keys_are_read_by_their_owner_alone(own: Own) -> None:
    for key in own.key, own.authority.with_suffix(".key"):
        assert key.stat().st_mode & 0o077 == 0
    assert sorted(each.name for each in own.key.parent.iterdir()) == [
        "authority.crt",
        "authority.key",
        "shop.crt",
        "shop.key",
    ]


def bytes_of(own: Own) -> tuple[bytes, bytes]:
    return own.authority.read_bytes(), own.certificate.read_bytes()


def test_the_same_is_served_at_every_start_and_renewed_in_its_last_month(tmp_path: Path) -> None:
    authority, first = bytes_of(own_certificate(tmp_path, HOSTS, NOW))
    for days in (1, 180, 365):
        assert bytes_of(own_certificate(tmp_path, HOSTS, NOW + timedelta(days=days))) == (authority, first)
    same, renewed = bytes_of(own_certificate(tmp_path, HOSTS, NOW + timedelta(days=367)))
    assert same == authority  # so no tablet has to trust anything anew
    assert renewed != first


def test_fewer_of_its_names_are_served_by_the_same_authority(tmp_path: Path) -> None:
    authority, first = bytes_of(own_certificate(tmp_path, HOSTS, NOW))
    same, fewer = bytes_of(own_certificate(tmp_path, HOSTS[:4], NOW))
    assert same == authority
    assert fewer != first
    assert "192.0.2.7" not in said(tmp_path / "shop.crt", "-ext", "subjectAltName")


def test_a_name_that_the_authority_was_not_made_for_is_refused_and_nothing_changes(tmp_path: Path) -> None:
    before = bytes_of(own_certificate(tmp_path, HOSTS, NOW))
    with pytest.raises(OtherNames, match=r"127\.0\.0\.1/32, localhost, ::1/128, shop\.test, 192\.0\.2\.7/32"):
        own_certificate(tmp_path, (*HOSTS, "elsewhere.test"), NOW)
    assert (tmp_path / "authority.crt").read_bytes(), (tmp_path / "shop.crt").read_bytes() == before


def test_half_of_a_pair_is_made_anew(tmp_path: Path) -> None:
    authority, _ = bytes_of(own_certificate(tmp_path, HOSTS, NOW))
    (tmp_path / "shop.crt").unlink()
    made = own_certificate(tmp_path, HOSTS, NOW)
    assert made.authority.read_bytes() == authority
    assert openssl("verify", "-CAfile", made.authority, made.certificate).returncode == 0


def test_a_tablet_fetches_the_authority_without_signing_in(app: FastAPI, settings: Settings) -> None:
    tablet = TestClient(app, base_url="http://127.0.0.1")
    assert tablet.get("/authority.crt").status_code == 404
    made = own_certificate(settings.certificates, HOSTS, NOW)
    answer = tablet.get("/authority.crt")
    assert answer.content == made.authority.read_bytes()
    assert answer.headers["content-type"] == "application/x-x509-ca-cert"
    assert b"PRIVATE" not in answer.content
