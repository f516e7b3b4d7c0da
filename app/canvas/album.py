"""Photos of the pieces of a canvas order: what a form brings, the act that keeps them, what pages show."""

from dataclasses import dataclass
from pathlib import Path

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.canvas.tables import CanvasPhoto, CanvasPiece
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.forms import Sent
from app.ground.photos import Picture, keep_photo
from app.inspection.album import Shot, read_pictures, read_words, shots_of
from app.trade.typed import Reader


@dataclass(frozen=True)
class PhotosSaid:
    """The pictures of a form, and what they show."""

    pictures: tuple[Picture, ...]
    words: str = ""


def read_photos(typed: Sent) -> PhotosSaid:
    """The photos that stand in a form; raises Refused with every problem."""
    read = Reader(typed)
    words, pictures = read_words(read), read_pictures(read, typed)
    read.done()
    return PhotosSaid(pictures, words)


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
class PiecePicture(Shot):
    """One photo of a piece."""

    @property
    def says(self) -> str:
        """What it shows, for those who cannot see it and below the picture."""
        return self.words or "Photo of the piece"


def pictures_of(session: Session, piece_id: int) -> list[PiecePicture]:
    """The photos of a piece in the order in which they were kept."""
    mine = select(CanvasPhoto).where(CanvasPhoto.canvas_piece_id == piece_id)
    rows = session.exec(mine.order_by(col(CanvasPhoto.id))).all()
    return [PiecePicture(**vars(shot)) for shot in shots_of(session, rows)]
