"""Letters given to real servers: what comes of each, and that nothing is called sent that was not."""

import email
import socket
import time
from collections.abc import Iterator
from datetime import UTC, datetime
from email import policy
from email.message import EmailMessage
from pathlib import Path

import pytest

from app.post.rules import Outcome, Told
from app.post.sending import Letter, deliver, message_of
from app.post.server import MailServer, Security
from tests.certificates import self_signed
from tests.post.servers import (
    PASSPHRASE,
    USER,
    Box,
    drip,
    hang_up_after_the_letter,
    scripted,
    served,
)

# The server's library sees implicit TLS as none, and warns of its own setting.
pytestmark = pytest.mark.filterwarnings("ignore:Requiring AUTH while not requiring TLS")

AT = datetime(2026, 5, 4, 16, 0, tzinfo=UTC)
PDF = b"%PDF-1.7\r\n.\r\n..\n\x00\xff a line that is a point alone ends no letter" + bytes(range(256)) * 40
LETTER = Letter(
    "Zwei Bäche, 牵引",
    "ada@ransome.example",
    "Kostenvoranschlag für Ada Ransome",
    "Grüße,\n.\nöäü",
    "E-1.pdf",
    PDF,
)
SENDER = "desk@shop.example"


@pytest.fixture(scope="module")
def files(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, Path]:
    """A certificate and its key."""
    return self_signed(tmp_path_factory.mktemp("mail"), "localhost")


def at(port: int, security: Security = Security.NONE, **how: str) -> MailServer:
    """A server on this machine."""
    return MailServer("127.0.0.1", port, security, sender=SENDER, **how)


def told(server: MailServer, **limits: float) -> Told:
    """What came of the letter."""
    return deliver(server, LETTER.receiver, message_of(LETTER, SENDER, AT), **limits)


def test_the_paper_arrives_byte_for_byte_with_every_letter_of_the_names() -> None:
    box = Box()
    with served(box) as port:
        assert told(at(port)) == Told(Outcome.SENT)
    (envelope,) = box.letters
    assert (envelope.mail_from, envelope.rcpt_tos) == (SENDER, ["ada@ransome.example"])
    assert envelope.content.isascii()  # RFC 5321, 2.4: what needs no extension of the server
    read = email.message_from_bytes(envelope.content, policy=policy.default)
    assert isinstance(read, EmailMessage)
    assert read["subject"] == LETTER.subject
    assert read["from"].addresses[0].display_name == LETTER.shop
    assert read["date"].datetime == AT
    body = read.get_body()
    assert body is not None
    assert body.get_content().replace("\r\n", "\n") == LETTER.words + "\n"
    (attached,) = read.iter_attachments()
    assert (attached.get_content_type(), attached.get_filename()) == ("application/pdf", "E-1.pdf")
    assert attached.get_content() == PDF


@pytest.mark.parametrize("security", [Security.STARTTLS, Security.TLS])
def test_it_goes_encrypted_and_signed_in(files: tuple[Path, Path], security: Security) -> None:
    box = Box()
    with served(box, files, tls=security is Security.TLS) as port:
        assert told(at(port, security, user=USER, passphrase=PASSPHRASE, authority=str(files[0]))) == Told(
            Outcome.SENT
        )
    assert len(box.letters) == 1
    if security is Security.STARTTLS:  # aiosmtpd notes STARTTLS alone in its session
        assert box.encrypted == [True]


@pytest.mark.parametrize("security", [Security.STARTTLS, Security.TLS])
def test_a_certificate_that_nobody_trusts_ends_it(files: tuple[Path, Path], security: Security) -> None:
    box = Box()
    with served(box, files, tls=security is Security.TLS) as port:
        came = told(at(port, security, user=USER, passphrase=PASSPHRASE))
    assert came.outcome is Outcome.REFUSED
    assert "certificate is not trusted" in came.says
    assert box.letters == []


def test_a_wrong_passphrase_is_said_and_not_repeated(files: tuple[Path, Path]) -> None:
    box = Box()
    with served(box, files) as port:
        server = at(port, Security.STARTTLS, user=USER, passphrase="not that", authority=str(files[0]))
        came = told(server)
    assert came == Told(Outcome.REFUSED, "the mail server refused the user or the passphrase (535)")
    assert "not that" not in repr(server)
    assert box.letters == []


def test_a_server_without_encryption_gets_nothing() -> None:
    box = Box()
    with served(box) as port:
        came = told(at(port, Security.STARTTLS))
    assert came.outcome is Outcome.REFUSED
    assert "offers no encryption (STARTTLS)" in came.says
    assert box.letters == []


def test_a_server_that_refuses_starttls_after_offering_it_gets_nothing() -> None:
    heard: list[bytes] = []

    def answer(connection: socket.socket, line: bytes) -> None:
        heard.append(line.split()[0].upper())
        said = {b"EHLO": b"250-here\r\n250 STARTTLS\r\n", b"STARTTLS": b"454 not now\r\n"}
        connection.sendall(said.get(heard[-1], b"250 OK\r\n"))

    with scripted(answer) as port:
        came = told(at(port, Security.STARTTLS, user=USER, passphrase=PASSPHRASE))
    assert came == Told(Outcome.REFUSED, "the mail server refused the letter: 454 not now")
    assert not {b"AUTH", b"MAIL", b"DATA"} & set(heard)


def test_a_server_that_is_down_or_has_no_address_is_said() -> None:
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        came = told(at(held.getsockname()[1]))
    assert came == Told(Outcome.REFUSED, "the mail server cannot be reached (Connection refused)")
    nowhere = MailServer("mail.invalid", 587, sender=SENDER)  # RFC 6761, 6.4: .invalid never resolves
    assert told(nowhere).outcome is Outcome.REFUSED
    assert told(MailServer("a..b", 587, sender=SENDER)).outcome is Outcome.REFUSED


def test_an_address_that_the_server_refuses_is_said_in_its_words() -> None:
    box = Box(refuses="ada@ransome.example")
    with served(box) as port:
        came = told(at(port))
    assert came == Told(Outcome.REFUSED, "the mail server refused the address: 550 5.1.1 No such user here")


def test_a_letter_that_the_server_refuses_is_said() -> None:
    with served(Box(answer="554 5.7.1 Looks like spam")) as port:
        came = told(at(port))
    assert came == Told(Outcome.REFUSED, "the mail server refused the letter: 554 5.7.1 Looks like spam")


def test_a_letter_too_large_for_the_server_is_refused_before_it_is_given() -> None:
    """RFC 1870, 6.1: 552 at MAIL, by the SIZE that was said."""
    box = Box()
    with served(box, data_size_limit=5000) as port:
        came = told(at(port))
    assert came.outcome is Outcome.REFUSED
    assert "552" in came.says
    assert box.letters == []


def test_a_connection_that_ends_after_the_letter_leaves_it_unknown() -> None:
    with scripted(hang_up_after_the_letter) as port:
        came = told(at(port))
    assert came.outcome is Outcome.UNKNOWN


@pytest.fixture(params=["no greeting", "no answer", "no answer to the letter", "drop by drop"])
def stuck(request: pytest.FixtureRequest) -> Iterator[tuple[str, int]]:
    """A server that is stuck, and where."""

    def silent(connection: socket.socket, line: bytes) -> None:
        if request.param == "no answer to the letter" and line != b".\r\n":
            hang_up_after_the_letter(connection, line)

    greeting = b"" if request.param == "no greeting" else b"220 here\r\n"
    with scripted(drip if request.param == "drop by drop" else silent, greeting) as port:
        yield request.param, port


def test_a_server_that_is_stuck_is_left_in_time(stuck: tuple[str, int]) -> None:
    where, port = stuck
    begun = time.monotonic()
    came = told(at(port), step=0.5, whole=1.0)
    assert time.monotonic() - begun < 4
    given = where == "no answer to the letter"
    assert came.outcome is (Outcome.UNKNOWN if given else Outcome.REFUSED)


@pytest.mark.parametrize("harm", ["a\r\nBcc: all@shop.example", "a\nb", "a\rb", "a\x00b", "a\u2028b"])
def test_no_text_becomes_a_line_of_the_head(harm: str) -> None:
    letter = Letter(harm, "ada@ransome.example", harm, "words", "E-1.pdf", PDF)
    read = email.message_from_bytes(message_of(letter, SENDER, AT), policy=policy.default)
    wanted = {"From", "To", "Subject", "Date", "Message-ID", "MIME-Version", "Content-Type"}
    assert set(read.keys()) == wanted
    assert "\n" not in read["subject"]
    assert read["bcc"] is None


@pytest.mark.parametrize(
    "to", ["a@b.example\r\nBcc: c@d.example", "a@b.example, c@d.example", "a@b.example\n"]
)
def test_an_address_that_is_more_than_one_makes_no_letter(to: str) -> None:
    with pytest.raises(ValueError):
        message_of(Letter("Shop", to, "subject", "words", "E-1.pdf", PDF), SENDER, AT)
