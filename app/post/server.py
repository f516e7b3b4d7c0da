"""The shop's own mail server, as `smtp.toml` in the shop's folder names it.

The file stays out of the book: so its passphrase stands in no backup, no export and on no page.
"""

import ssl
import tomllib
from dataclasses import dataclass, field, fields
from enum import StrEnum
from pathlib import Path
from typing import Any

from app.post.rules import is_address

NAME = "smtp.toml"
OTHERS = 0o077  # the bits of a mode by which anybody but its owner could use a file
HERE = ("localhost", "127.0.0.1", "::1")


class Security(StrEnum):
    """How the way to the server is encrypted; not at all only to a server on this machine."""

    STARTTLS = "starttls"
    TLS = "tls"
    NONE = "none"


PORTS = {Security.STARTTLS: 587, Security.TLS: 465, Security.NONE: 25}  # RFC 6409, RFC 8314, RFC 5321


class Unusable(Exception):
    """`smtp.toml` cannot be used; the text says why, as the end of a sentence."""


@dataclass(frozen=True)
class MailServer:
    """Where letters are given to. `authority`: file of certificates (PEM) to trust instead of the system's.

    `sender`: address that letters come from; empty: the shop's own.
    """

    host: str
    port: int = 0
    security: str = Security.STARTTLS
    user: str = ""
    passphrase: str = field(default="", repr=False)
    sender: str = ""
    authority: str = ""


def read_server(folder: Path, shop_address: str) -> MailServer | None:
    """The mail server of the shop in `folder`; None where none is named. Raises Unusable."""
    path = folder / NAME
    if not path.exists():
        return None
    try:
        if path.stat().st_mode & OTHERS:
            raise Unusable(f"others on this computer can read it (chmod 600 {NAME})")
        found = tomllib.loads(path.read_text(encoding="utf-8"))
    except (
        OSError,
        ValueError,
    ) as wrong:  # a TOMLDecodeError is one
        raise Unusable(f"it cannot be read: {wrong}") from None
    return _checked(_named(found), folder, shop_address)


def _named(found: dict[str, Any]) -> MailServer:
    known = {each.name for each in fields(MailServer)}
    if strange := sorted(set(found) - known):
        raise Unusable(f"it holds {strange[0]}, which is none of {', '.join(sorted(known))}")
    for name, value in found.items():
        if type(value) is not (int if name == "port" else str):
            raise Unusable(f"{name} is not {'a number' if name == 'port' else 'a text in quotes'}")
    return MailServer(**({"host": ""} | found))


def _checked(asked: MailServer, folder: Path, shop_address: str) -> MailServer:
    if asked.security not in list(Security):
        raise Unusable(f"security is none of {', '.join(Security)}")
    security, sender = Security(asked.security), asked.sender or shop_address
    faults = {
        "it names no host": not asked.host,
        "security may be none only for a server on this computer": (
            security is Security.NONE and asked.host not in HERE
        ),
        "user and passphrase belong together": bool(asked.user) != bool(asked.passphrase),
        "user and passphrase may hold plain letters, digits and signs only": (
            not f"{asked.user}{asked.passphrase}".isascii()
        ),
        "the port is not 1 to 65535": not 0 <= asked.port <= 65535,
        "its sender, or else the shop's e-mail, is not one e-mail address": not is_address(sender),
    }
    if found := next((says for says, wrong in faults.items() if wrong), ""):
        raise Unusable(found)
    authority = _readable(folder / asked.authority) if asked.authority else ""
    return MailServer(
        host=asked.host,
        port=asked.port or PORTS[security],
        security=security,
        user=asked.user,
        passphrase=asked.passphrase,
        sender=sender,
        authority=authority,
    )


def _readable(authority: Path) -> str:
    try:
        ssl.create_default_context(cafile=authority)
    except OSError:  # ssl.SSLError is one
        raise Unusable(f"{authority.name} holds no certificates that can be read") from None
    return str(authority)
