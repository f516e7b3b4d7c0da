"""The letter that goes with a paper: what may stand in it, and its address as a link."""

import re
from dataclasses import dataclass
from enum import StrEnum
from urllib.parse import quote

from app.trade.typed import Reader, Typed

MOST_ADDRESS = 254  # RFC 5321, 4.5.3.1.3: a path has at most 256 octets, two of them its brackets
MOST_WORDS = 2000
# One address as a browser's e-mail field takes it: HTML Living Standard, 4.10.5.1.5 "valid e-mail address".
_LABEL = "[A-Za-z0-9](?:[A-Za-z0-9-]{0,61}[A-Za-z0-9])?"
_ADDRESS = re.compile(rf"[A-Za-z0-9.!#$%&'*+/=?^_`{{|}}~-]{{1,64}}@{_LABEL}(?:\.{_LABEL})*")
# Papers that are made for the owner; any other is handed over only to an address that somebody types.
FOR_OWNER = {
    *("intake", "estimate", "consent_record", "declined", "handover", "retorque card", "retorque visit"),
    *("invoice", "credit note", "receipt", "canvas order", "packing slip", "inspection report"),
}


class Outcome(StrEnum):
    """What came of a letter: the mail server took it, it did not go, or nobody can say."""

    SENT = "sent"
    REFUSED = "refused"
    UNKNOWN = "unknown"


@dataclass(frozen=True)
class Told:
    """What came of giving a letter to the mail server. `says`: why not, or what is not known."""

    outcome: Outcome
    says: str = ""


@dataclass(frozen=True)
class Said:
    """What somebody wrote on the form: for whom, and with which words."""

    receiver: str
    words: str


def is_address(text: str) -> bool:
    """Whether a text is one e-mail address of plain letters, with nothing before or behind it."""
    return len(text) <= MOST_ADDRESS and _ADDRESS.fullmatch(text) is not None


def read_said(typed: Typed, newest: int) -> Said:
    """The letter that stands in a form; raises Refused with every problem.

    `newest`: the issue that has taken the paper's place; 0 where none has.
    """
    read = Reader(typed)
    if newest:
        read.wrong("", f"Issue {newest} takes the place of this paper: hand that one over")
    receiver = read.text("receiver", required="The address is missing", most=MOST_ADDRESS)
    if receiver and not is_address(receiver):
        read.wrong("receiver", "This is not one e-mail address", "one address such as name@place.example")
    words = read.text("words", required="The message is missing", most=MOST_WORDS, lines=True)
    read.done()
    return Said(receiver, words)


def mailto(receiver: str, subject: str, words: str) -> str:
    """A link that opens a letter in the browser's own mail program. Source: RFC 6068, 2 and 5."""
    body = quote(words.replace("\n", "\r\n"), safe="")
    return f"mailto:{quote(receiver, safe='@')}?subject={quote(subject, safe='')}&body={body}"


def one_line(text: str) -> str:
    """A text fit for the head of a letter: blanks in the place of every control and line end."""
    return " ".join("".join(char if char.isprintable() else " " for char in text).split())
