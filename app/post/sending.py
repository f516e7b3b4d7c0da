"""Giving a letter to the mail server: encrypted, in limited time, and called sent only where it was."""

import smtplib
import socket
import ssl
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from dataclasses import dataclass
from datetime import datetime
from email import policy
from email.headerregistry import Address
from email.message import EmailMessage
from email.utils import format_datetime, make_msgid

from app.post.rules import Outcome, Told, one_line
from app.post.server import MailServer, Security

STEP = 20.0  # seconds that the server may take for one answer
WHOLE = 90.0  # seconds for the letter as a whole, once the server has answered
ME = "[127.0.0.1]"  # how we greet: an address literal, so that no name of this machine is looked up or told
OK = (250, 251)  # RFC 5321, 4.2.3: done, or the server will forward it
SPOKEN = 200  # characters of a server's answer that are kept


@dataclass(frozen=True)
class Letter:
    """One letter with its paper. `shop`: name beside the sender's address. `name`: of the attached file."""

    shop: str
    receiver: str
    subject: str
    words: str
    name: str
    content: bytes


def message_of(letter: Letter, sender: str, at: datetime) -> bytes:
    """The letter as it goes out: RFC 5322 with MIME, in plain ASCII throughout."""
    made = EmailMessage(policy=policy.SMTP)
    made["From"] = Address(one_line(letter.shop), addr_spec=sender)
    made["To"] = Address(addr_spec=letter.receiver)
    made["Subject"] = one_line(letter.subject)
    made["Date"] = format_datetime(at)
    made["Message-ID"] = make_msgid(domain=sender.rpartition("@")[2])
    made.set_content(letter.words, cte="quoted-printable")
    made.add_attachment(letter.content, maintype="application", subtype="pdf", filename=letter.name)
    return made.as_bytes()


def deliver(
    server: MailServer, receiver: str, message: bytes, *, step: float = STEP, whole: float = WHOLE
) -> Told:
    """What came of giving a message to the server. `step`: seconds an answer may take, `whole`: all of them.

    What fails before the message was given is refused; a connection that ends after that leaves it unknown.
    """
    try:
        with _connected(server, step) as mail, _cut_after(mail, whole):
            _ready(mail, server)
            _addressed(mail, server.sender, receiver, len(message))
            return _given(mail, message)
    except (OSError, smtplib.SMTPException, ValueError) as wrong:
        return Told(Outcome.REFUSED, _why(wrong))


@contextmanager
def _connected(server: MailServer, step: float) -> Iterator[smtplib.SMTP]:
    if server.security == Security.TLS:
        mail: smtplib.SMTP = smtplib.SMTP_SSL(
            server.host, server.port, ME, timeout=step, context=_trust(server)
        )
    else:
        mail = smtplib.SMTP(server.host, server.port, ME, timeout=step)
    try:
        yield mail
    finally:
        with suppress(OSError, smtplib.SMTPException):
            mail.quit()
        mail.close()


@contextmanager
def _cut_after(mail: smtplib.SMTP, seconds: float) -> Iterator[None]:
    """Hang up after some seconds: a server that answers drop by drop never runs into the limit of a step."""
    limit = threading.Timer(seconds, _hang_up, (mail,))
    limit.daemon = True
    limit.start()
    try:
        yield
    finally:
        limit.cancel()


def _hang_up(mail: smtplib.SMTP) -> None:
    with suppress(OSError):
        if mail.sock is not None:
            mail.sock.shutdown(socket.SHUT_RDWR)


def _trust(server: MailServer) -> ssl.SSLContext:
    return ssl.create_default_context(cafile=server.authority or None)


def _ready(mail: smtplib.SMTP, server: MailServer) -> None:
    """Encrypt and sign in; raises where either cannot be had, so that nothing goes out in the clear."""
    if server.security == Security.STARTTLS:
        mail.starttls(context=_trust(server))
    mail.ehlo_or_helo_if_needed()
    if server.user:
        mail.login(server.user, server.passphrase)


def _addressed(mail: smtplib.SMTP, sender: str, receiver: str, size: int) -> None:
    options = [f"SIZE={size}"] if mail.has_extn("size") else []  # RFC 1870: too large is said at once
    code, said = mail.mail(sender, options)
    if code != OK[0]:
        raise smtplib.SMTPSenderRefused(code, said, sender)
    code, said = mail.rcpt(receiver)
    if code not in OK:
        raise smtplib.SMTPRecipientsRefused({receiver: (code, said)})


def _given(mail: smtplib.SMTP, message: bytes) -> Told:
    try:
        code, said = mail.data(message)
    except smtplib.SMTPDataError as wrong:  # said before any of it was given
        return Told(Outcome.REFUSED, _why(wrong))
    except (OSError, smtplib.SMTPException):
        return Told(Outcome.UNKNOWN, "the connection ended before the mail server had confirmed the letter")
    if code == OK[0]:
        return Told(Outcome.SENT)
    return Told(Outcome.REFUSED, _why(smtplib.SMTPDataError(code, said)))


def _why(wrong: Exception) -> str:
    """Why a letter did not go, as the end of a sentence."""
    match wrong:
        case ssl.SSLCertVerificationError():
            return f"the mail server's certificate is not trusted ({one_line(wrong.verify_message)})"
        case ssl.SSLError():
            return "the mail server does not encrypt as smtp.toml asks"
        case smtplib.SMTPNotSupportedError():
            return _lacking(wrong)
        case smtplib.SMTPAuthenticationError():
            return f"the mail server refused the user or the passphrase ({wrong.smtp_code})"
        case smtplib.SMTPRecipientsRefused(recipients=refused):
            return f"the mail server refused the address: {_spoken(*next(iter(refused.values())))}"
        case smtplib.SMTPSenderRefused():
            return f"the mail server refused the shop's letter: {_spoken(wrong.smtp_code, wrong.smtp_error)}"
        case smtplib.SMTPResponseException():
            return f"the mail server refused the letter: {_spoken(wrong.smtp_code, wrong.smtp_error)}"
        case smtplib.SMTPException() | TimeoutError():
            return "the mail server did not answer in time, or ended the connection"
        case OSError(strerror=str(reason)):
            return f"the mail server cannot be reached ({one_line(reason)})"
    return "the mail server cannot be reached by its name"


def _lacking(wrong: smtplib.SMTPNotSupportedError) -> str:
    if "STARTTLS" in str(wrong):
        return "the mail server offers no encryption (STARTTLS), and in the clear nothing is sent"
    return "the mail server takes no sign-in, or none in a way that we know"


def _spoken(code: int, said: bytes | str) -> str:
    text = said.decode("utf-8", "replace") if isinstance(said, bytes) else said
    return one_line(f"{code} {text}")[:SPOKEN]
