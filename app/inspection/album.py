"""Photos that stand beside work and prove none of it: what a form brings, and what pages show."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Protocol

from sqlmodel import Session

from app.ground.forms import Sent
from app.ground.people import names
from app.ground.photo_marks import Shown, marks_of
from app.ground.photos import Picture
from app.inspection.seeing import pictures_in
from app.trade.typed import Reader

MOST = 8  # at a time; more can be added afterwards


def read_pictures(read: Reader, typed: Sent) -> tuple[Picture, ...]:
    """The one to `MOST` pictures of a form; what is wrong goes to the reader's problems."""
    pictures, wrong = pictures_in(typed)
    read.problems += wrong
    if not pictures and not wrong:
        read.wrong("photo", "No photo was chosen", f"one to {MOST} pictures")
    if len(pictures) > MOST:
        read.wrong("photo", f"These are {len(pictures)} photos", f"at most {MOST} at a time")
    return tuple(pictures)


def read_words(read: Reader) -> str:
    """What the pictures show, as typed."""
    return read.text("words", most=120)


@dataclass(frozen=True)
class Shot:
    """One photo. `shown`: the marks drawn over it, None where there are none."""

    photo_id: int
    words: str
    at: datetime
    by: str
    shown: Shown | None


class Row(Protocol):
    """What every table of such photos keeps of one."""

    photo_id: int
    words: str
    created_at: datetime
    made_by: int


def shots_of(session: Session, rows: Sequence[Row]) -> list[Shot]:
    """The photos of rows, each with its marks and who kept it."""
    people: Mapping[int, str] = names(session)
    marks = marks_of(session, [row.photo_id for row in rows])
    return [
        Shot(row.photo_id, row.words, row.created_at, people[row.made_by], marks.get(row.photo_id))
        for row in rows
    ]
