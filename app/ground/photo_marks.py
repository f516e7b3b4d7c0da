"""Marks drawn over a photo: arrows, circles, labels. Kept as a layer of their own; the photo stays as it is.

A photo is 1000 units wide in its marks, whatever its pixels; its height follows.
"""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError, model_validator
from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.tables import Photo, PhotoMarks
from app.trade.problems import Problem, Refused
from app.trade.typed import unprintable

WIDE = 1000
MOST = 20
LONGEST = 24
HEAD, SPREAD = 60, 0.5  # an arrow's head: length in units, half of its angle in radians
ACCEPTS = f"at most {MOST} arrows, circles and labels, a label of at most {LONGEST} characters"

Unit = Annotated[int, Field(ge=0, le=20 * WIDE)]
Point = tuple[Unit, Unit]


class Mark(BaseModel):
    """One mark: an arrow `at` its tail `to` its head, a circle `at` its middle `to` its rim, a label `at`."""

    model_config = ConfigDict(frozen=True, extra="forbid")

    kind: Literal["arrow", "circle", "label"]
    at: Point
    to: Point | None = None
    says: Annotated[str, Field(max_length=LONGEST)] = ""

    @model_validator(mode="after")
    def _whole(self) -> Self:
        label = self.kind == "label"
        if label != bool(self.says.strip()) or label != (self.to is None) or self.at == self.to:
            raise ValueError("a label says something; an arrow or a circle goes from a point to another")
        if any(map(unprintable, self.says)):
            raise ValueError("a label is printed")
        return self


Layer = tuple[Mark, ...]
LAYER: TypeAdapter[Layer] = TypeAdapter(Annotated[Layer, Field(max_length=MOST)])


@dataclass(frozen=True)
class Drawn:
    """A mark as a page draws it: the path `d` of a line, or a label that `says` something, `x` and `y`."""

    d: str = ""
    x: int = 0
    y: int = 0
    wide: int = 0
    says: str = ""


@dataclass(frozen=True)
class Shown:
    """The marks of a photo as a page shows them: height of the drawing, its parts, and what they are."""

    high: int
    drawn: tuple[Drawn, ...]
    says: str


def read_layer(text: str, high: int) -> Layer:
    """The marks that a form sent as JSON; raises Refused where they are none or lie beside the photo.

    `high`: height of the photo in units of which it is 1000 wide. An empty text is no mark at all.
    """
    try:
        layer = LAYER.validate_json(text.strip() or "[]")
    except ValidationError:
        raise Refused([Problem("layer", "These marks cannot be read", ACCEPTS)]) from None
    if any(x > WIDE or y > high for mark in layer for x, y in filter(None, (mark.at, mark.to))):
        raise Refused([Problem("layer", "A mark lies beside the photo", "marks inside the photo")])
    return layer


def high_of(photo: Photo) -> int:
    """Height of a photo in units of which it is 1000 wide, at least 1."""
    return max(1, round(WIDE * photo.height / photo.width))


def drawn(mark: Mark) -> Drawn:
    """A mark as paths and places."""
    if mark.to is None:
        return Drawn(x=mark.at[0], y=mark.at[1], wide=40 + 26 * len(mark.says), says=mark.says)
    return Drawn(d=_arrow(mark.at, mark.to) if mark.kind == "arrow" else _circle(mark.at, mark.to))


def _arrow(tail: Point, head: Point) -> str:
    back = math.atan2(tail[1] - head[1], tail[0] - head[0])
    wings = [_along(head, back + turn, HEAD) for turn in (-SPREAD, SPREAD)]
    return f"M{_said(tail)}L{_said(head)}M{_said(wings[0])}L{_said(head)}L{_said(wings[1])}"


def _along(start: Point, angle: float, far: int) -> tuple[int, int]:
    return round(start[0] + far * math.cos(angle)), round(start[1] + far * math.sin(angle))


def _circle(middle: Point, rim: Point) -> str:
    radius = round(math.hypot(rim[0] - middle[0], rim[1] - middle[1]))
    left, right = (middle[0] - radius, middle[1]), (middle[0] + radius, middle[1])
    half = f"A{radius} {radius} 0 0 1"
    return f"M{_said(left)}{half} {_said(right)}{half} {_said(left)}"


def _said(point: tuple[int, int]) -> str:
    return f"{point[0]} {point[1]}"


def said(marks: Sequence[Mark]) -> str:
    """The marks in words, for who does not see them: marked with an arrow, a circle, 3."""
    words = {"arrow": "an arrow", "circle": "a circle"}
    return f"marked with {', '.join(words.get(each.kind, each.says) for each in marks)}" if marks else ""


def shown(photo: Photo, marks: Sequence[Mark]) -> Shown:
    """The marks of a photo as a page shows them."""
    return Shown(high_of(photo), tuple(map(drawn, marks)), said(marks))


def newest(session: Session, photo_id: int) -> tuple[Layer, int]:
    """The layer that is shown over a photo, and how many were kept so far."""
    asked = select(PhotoMarks).where(PhotoMarks.photo_id == photo_id).order_by(col(PhotoMarks.id))
    kept = list(session.exec(asked))
    return (LAYER.validate_python(kept[-1].marks) if kept else ()), len(kept)


def marks_of(session: Session, photo_ids: Iterable[int]) -> dict[int, Shown]:
    """The marks over photos, by the photo's key; none for a photo without any."""
    layers = {key: newest(session, key)[0] for key in photo_ids}
    return {key: shown(session.get_one(Photo, key), layer) for key, layer in layers.items() if layer}


def keep_marks(book: Engine, act: Act, photo_id: int, text: str) -> int:
    """Keep a layer of marks over a photo; returns its key. `act.seen`: how many layers the page knew.

    Raises Refused for marks that cannot be read, Stale where somebody marked it since.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        photo = session.get_one(Photo, photo_id)
        receipts.current(newest(session, photo_id)[1], act)
        marks = [mark.model_dump(mode="json") for mark in read_layer(text, high_of(photo))]
        row = PhotoMarks(created_at=act.at, photo_id=photo_id, marks=marks, made_by=act.person)
        return receipts.sign(session, act, "mark photo", row)
