"""Photos of the pieces of a canvas order: what a form brings, the act that keeps them, what pages show."""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.canvas.tables import CanvasPhoto, CanvasPiece
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.forms import Sent
from app.ground.people import names
from app.ground.photo_marks import Shown, marks_of
from app.ground.photos import Picture, keep_photo
from app.inspection.seeing import pictures_in
from app.trade.typed import Reader

MOST = 8  # at a time; more can be added afterwards


@dataclass(frozen=True)
class PhotosSaid:
    """One to `MOST` pictures, and what they show."""

    pictures: tuple[Picture, ...]
    words: str = ""


def read_photos(typed: Sent) -> PhotosSaid:
    """The photos that stand in a form; raises Refused with every problem."""
    read = Reader(typed)
    words = read.text("words", most=120)
    pictures, wrong = pictures_in(typed)
    read.problems += wrong
    if not pictures and not wrong:
        read.wrong("photo", "No photo was chosen", f"one to {MOST} pictures")
    if len(pictures) > MOST:
        read.wrong("photo", f"These are {len(pictures)} photos", f"at most {MOST} at a time")
    read.done()
    return PhotosSaid(tuple(pictures), words)


def keep_photos(book: Engine, act: Act, piece_id: int, said: PhotosSaid, folder: Path) -> int:
    """Keep photos of a piece in one act; returns the piece's key. Raises NoResultFound for no such piece.

    They show the old canvas and change no measure, so that a release stands.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        piece = session.get_one(CanvasPiece, piece_id)
        rows = [
            CanvasPhoto(
                created_at=act.at,
                canvas_piece_id=piece_id,
                photo_id=keep_photo(session, folder, act, picture).key,
                words=said.words,
                made_by=act.person,
            )
            for picture in said.pictures
        ]
        return receipts.sign(session, act, "photograph canvas piece", piece, *rows)


@dataclass(frozen=True)
class PiecePicture:
    """One photo of a piece. `shown`: the marks drawn over it, None where there are none."""

    photo_id: int
    words: str
    at: datetime
    by: str
    shown: Shown | None

    @property
    def says(self) -> str:
        """What it shows, for those who cannot see it and below the picture."""
        return self.words or "Photo of the piece"


def pictures_of(session: Session, piece_id: int) -> list[PiecePicture]:
    """The photos of a piece in the order in which they were kept."""
    mine = select(CanvasPhoto).where(CanvasPhoto.canvas_piece_id == piece_id)
    rows = session.exec(mine.order_by(col(CanvasPhoto.id))).all()
    marks, people = marks_of(session, [row.photo_id for row in rows]), names(session)
    return [
        PiecePicture(row.photo_id, row.words, row.created_at, people[row.made_by], marks.get(row.photo_id))
        for row in rows
    ]
