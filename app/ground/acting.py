"""An act: one changing request, by one person, at one time. The only clock of the program is here."""

import hashlib
import json
import secrets
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta

SENT_LATER = timedelta(minutes=1)  # a tap that waited less was sent at once
LONGEST_WAIT = timedelta(days=60)


def now() -> datetime:
    """The present instant, in UTC."""
    return datetime.now(UTC)


def new_key() -> str:
    """A random submission key of 128 bits, made when a form is shown."""
    return secrets.token_urlsafe(16)


@dataclass(frozen=True)
class Act:
    """Who does what, when, from which device, having seen which revision.

    `submission`: random key of the form, so that sending it twice acts once. `sent`: hash of what was sent.
    `seen`: revision of the row as shown on the form. `tapped`: when a tablet took it that could not send it
    at once, by the tablet's own measure of how long it waited; told, and never used to decide.
    """

    submission: str
    sent: str
    person: int
    at: datetime
    device: str = ""
    seen: int = 0
    tapped: datetime | None = None

    def part(self, name: str) -> "Act":
        """An act inside this one, with a key of its own that is the same on a repeat."""
        return replace(self, submission=f"{self.submission}/{name}")


def tapped_at(waited_ms: str, at: datetime) -> datetime | None:
    """When a form was tapped that a tablet sends at `at`, having waited; None where it was sent at once.

    `waited_ms`: as the tablet says it; what is no count of milliseconds, or over 60 days, says nothing.
    """
    if not (waited_ms.isascii() and waited_ms.isdigit() and len(waited_ms) < 12):
        return None
    waited = timedelta(milliseconds=int(waited_ms))
    return at - waited if SENT_LATER <= waited <= LONGEST_WAIT else None


def hash_of(pairs: Iterable[tuple[str, str]]) -> str:
    """SHA-256 of what a form sent, in an order of its own, so that the same content has the same hash."""
    text = json.dumps(sorted(pairs), ensure_ascii=True, separators=(",", ":"))
    return hashlib.sha256(text.encode()).hexdigest()
