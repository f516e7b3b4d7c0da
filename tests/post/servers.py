"""Mail servers to send to: a real one (aiosmtpd), and ones that fail in the middle as scripted."""

import socket
import ssl
import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import AuthResult, Envelope, LoginPassword, Session

USER, PASSPHRASE = "desk@shop.example", "brass hinge and nine pins"


@dataclass
class Box:
    """What a server took. `refuses`: address that it does not take; `answer`: what it says to a letter."""

    letters: list[Envelope] = field(default_factory=list)
    encrypted: list[bool] = field(default_factory=list)
    refuses: str = ""
    answer: str = "250 OK"

    async def handle_RCPT(  # noqa: N802 - the library's name
        self, server: object, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        """The answer to an address."""
        if address == self.refuses:
            return "550 5.1.1 No such\tuser here"
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, server: object, session: Session, envelope: Envelope) -> str:  # noqa: N802
        """The answer to a letter."""
        if self.answer.startswith("250"):
            self.letters.append(envelope)
            self.encrypted.append(session.ssl is not None)
        return self.answer


def _signs_in(server: object, session: object, envelope: object, mechanism: str, given: object) -> AuthResult:
    right = LoginPassword(USER.encode(), PASSPHRASE.encode())
    return AuthResult(success=given == right, handled=False)


@contextmanager
def served(
    box: Box,
    files: tuple[Path, Path] | None = None,
    *,
    tls: bool = False,
    **how: Any,  # noqa: ANN401 - what the library's server takes
) -> Iterator[int]:
    """The port of a real mail server on this machine. `files`: it encrypts, by STARTTLS or from the start."""
    context = None
    if files is not None:
        context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
        context.load_cert_chain(*files)
        how |= {"authenticator": _signs_in, "auth_required": True}
        how |= {"auth_require_tls": False} if tls else {"tls_context": context}
    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        port = int(held.getsockname()[1])
    server = Controller(box, hostname="127.0.0.1", port=port, ssl_context=context if tls else None, **how)
    server.start()
    try:
        yield port
    finally:
        server.stop()


Answer = Callable[[socket.socket, bytes], None]


@contextmanager
def scripted(answer: Answer, greeting: bytes = b"220 here\r\n") -> Iterator[int]:
    """The port of a server that greets once and then answers each line as told, till the end of the block."""
    over = threading.Event()
    listening = socket.create_server(("127.0.0.1", 0))
    listening.settimeout(0.1)

    def run() -> None:
        while not over.is_set():
            try:
                connection, _ = listening.accept()
            except TimeoutError:
                continue
            with connection:
                connection.settimeout(5)
                _talk(connection, greeting, answer)

    thread = threading.Thread(target=run, daemon=True)
    thread.start()
    try:
        yield int(listening.getsockname()[1])
    finally:
        over.set()
        thread.join()
        listening.close()


def _talk(connection: socket.socket, greeting: bytes, answer: Answer) -> None:
    try:
        connection.sendall(greeting)
        with connection.makefile("rb") as lines:
            for line in lines:
                answer(connection, line)
    except OSError:
        return


def drip(connection: socket.socket, line: bytes) -> None:
    """An answer that never ends, a line at a time."""
    for _ in range(100):
        connection.sendall(b"250-and\r\n")
        time.sleep(0.05)


def hang_up_after_the_letter(connection: socket.socket, line: bytes) -> None:
    """Takes the whole letter, and then ends the connection without a word."""
    if line.upper().startswith(b"DATA"):
        connection.sendall(b"354 go on\r\n")
    elif line == b".\r\n":
        connection.shutdown(socket.SHUT_RDWR)
    elif line.upper().startswith((b"EHLO", b"MAIL", b"RCPT", b"QUIT")):
        connection.sendall(b"250 OK\r\n")
