"""Finished sizes that are otherwise now than when the owner signed them: sizes signed are the sizes cut.

They were signed when the owner's signature was written down, or when it was said that all is agreed,
whichever came later. A name that is put right, of the same day, is no other signature: it neither asks for
one nor covers what was changed since. A signature from before any piece was measured was on no size at all:
the owner signs once more before the order is released, or said to be agreed.
"""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations

from sqlmodel import Session

from app.canvas.rules import SIGNED
from app.canvas.stood import Stood, as_left, of_table, stood
from app.canvas.tables import CanvasPart, CanvasPiece, CanvasStage
from app.trade.canvas.outline import Outline, length_said
from app.trade.canvas.readiness import Kind
from app.trade.letters import apart

EARLY = "The owner signed before any piece was measured: no size was on the paper"
AGREE = "agree"  # the stage that says it is all agreed
ANEW = "the owner's signature on the sizes as they are now, with its day; on the same day, with its hour"
_MONTHS = (
    "jan(?:uary)?|feb(?:ruary)?|mar(?:ch)?|apr(?:il)?|may|june?|july?|"
    "aug(?:ust)?|sept?(?:ember)?|oct(?:ober)?|nov(?:ember)?|dec(?:ember)?"
)
_DAY = re.compile(rf"\d+|\b(?:{_MONTHS})\b")
MOST_TOLD = 3  # lengths of one piece; the drawing has the rest


@dataclass(frozen=True)
class Sized:
    """A piece as the owner sees it: its name, its finished outline where its measures fix one, how many."""

    name: str
    outline: Outline | None
    copies: int


def signed_with(acts: Sequence[Stood]) -> int:
    """The act with which the owner's signature on the sizes was told last; 0 where none holds."""
    signed, text, agreed = 0, "", 0
    for it in acts:
        if it.row.get("kind") == Kind.ORDER:
            was, text = text, it.row["known"].get(SIGNED, "")
            signed = signed if same_signature(was, text) else it.receipt
        elif it.row.get("stage") == AGREE:
            agreed = it.receipt if it.row["done"] else 0
    return max(signed, agreed) if text else 0


def same_signature(one: str, other: str) -> bool:
    """Whether two texts tell one signature: word for word, or of one day and hour, a name put right."""
    days = [[_short(it) for it in _DAY.findall(text.casefold())] for text in (one, other)]
    return one == other or (days[0] == days[1] != [])


def _short(word: str) -> str:
    return word if word.isdecimal() else word[:3]  # a month by its three letters


def pieces_signed(session: Session, order_id: int) -> dict[int, CanvasPiece] | None:
    """By key, the pieces as they stood when the owner signed; None where nobody did. Of no session."""
    acts = stood(session, order_id, CanvasPart, CanvasPiece, CanvasStage)
    if not (last := signed_with(acts)):
        return None
    then = as_left(it for it in of_table(acts, CanvasPiece) if it.receipt <= last)
    return {
        key: CanvasPiece(**{name: value for name, value in row.items() if name != "table"})
        for key, row in then.items()
    }


def resized(then: Mapping[int, Sized], now: Mapping[int, Sized]) -> tuple[str, ...]:
    """What the owner has not signed, a sentence a piece without its full stop; none where none is drawn.

    One sentence for all where the owner signed before any was.
    """
    if not _drawn(then):
        return (EARLY,) if _drawn(now) else ()
    gone = (
        f"{apart(it.name)} was taken off since the owner signed" for key, it in then.items() if key not in now
    )
    changed = (says for key, it in now.items() if (says := _piece(then.get(key), it)))
    return (*gone, *changed)


def _drawn(pieces: Mapping[int, Sized]) -> bool:
    return any(it.outline is not None for it in pieces.values())


def _piece(then: Sized | None, now: Sized) -> str:
    if now.outline is None:
        return ""  # a draft holds the order back by itself
    if then is None or then.outline is None:
        return f"{apart(now.name)} was measured since the owner signed"
    told = [*_copies(then, now), *_lengths(then.outline, now.outline)]
    more = f" and {len(told) - MOST_TOLD} more" if len(told) > MOST_TOLD else ""
    lengths = "; ".join(told[:MOST_TOLD])
    return f"{apart(now.name)} was changed since the owner signed: {lengths}{more}" if told else ""


def _copies(then: Sized, now: Sized) -> Iterator[str]:
    if then.copies != now.copies:
        yield f"{then.copies} of it then, {now.copies} now"


def _lengths(then: Outline, now: Outline) -> Iterator[str]:
    """The sides that are of another length, and where all are alike the diagonals."""
    corners = [[it.name for it in each.corners] for each in (then, now)]
    if corners[0] != corners[1]:
        yield f"{len(corners[0])} corners then, {len(corners[1])} now"
        return
    sides = [tuple(edge.name.split("-")) for edge in now.edges]
    across = [pair for pair in combinations(corners[1], 2) if pair not in sides]
    yield from list(_unlike(then, now, sides)) or _unlike(then, now, across)


def _unlike(then: Outline, now: Outline, pairs: Sequence[tuple[str, ...]]) -> Iterator[str]:
    for one, other in pairs:
        was, is_now = (length_said(each.length(one, other)) for each in (then, now))
        if was != is_now:
            yield f"{one} to {other} was {was}, is {is_now}"
