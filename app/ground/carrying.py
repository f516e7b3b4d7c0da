"""A form sent after its session had ended: carried through the new sign-in, so that nothing typed is lost.

It goes with the sign-in page in one hidden field and comes back as a form of its own, to be saved by hand.
"""

import json
from collections.abc import Sequence
from dataclasses import dataclass

from app.ground.forms import OURS, Sent

PASSPHRASES = ("passphrase", "again", "old")
MOST = 20_000  # characters of the field, each at most three when sent; a field of a form may have 64 KiB


@dataclass(frozen=True)
class Carried:
    """Where a form was sent, and its texts. Its files, if it had any, have to be chosen again."""

    path: str
    pairs: Sequence[tuple[str, str]]
    files: bool = False

    @property
    def text(self) -> str:
        """This as the text of one field; empty where it is too long to be carried."""
        text = json.dumps([self.path, list(self.pairs), self.files])
        return text if len(text) <= MOST else ""

    @property
    def said(self) -> list[tuple[str, str]]:
        """What a person typed or chose: the field's name in words, and the text."""
        return [
            (name.replace("_", " ").replace("-", " "), text)
            for name, text in self.pairs
            if text and name not in OURS
        ]


def carry(path: str, sent: Sent) -> Carried:
    """What was sent, without passphrases: those are typed anew."""
    pairs = tuple((name, text) for name, text in sent.pairs if name not in PASSPHRASES)
    return Carried(path, pairs, bool(sent.uploads))


def carried(text: str) -> Carried | None:
    """What stands in the sign-in page's field, or None where nothing of ours does."""
    try:
        path, pairs, files = json.loads(text)
        return Carried(str(path), tuple((str(name), str(value)) for name, value in pairs), files is True)
    except (ValueError, TypeError, RecursionError):
        return None
