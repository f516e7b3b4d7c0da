"""Photos of a job, before and after: what a form of them says, the act that keeps them, what pages show."""

from dataclasses import dataclass
from enum import StrEnum
from pathlib import Path

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.bench.tables import Job, JobPhoto
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.forms import Sent
from app.ground.photos import Picture, keep_photo
from app.inspection.album import Shot, read_pictures, read_words, shots_of
from app.trade.typed import Reader


class When(StrEnum):
    """Whether a photo shows the place before the work or after it."""

    BEFORE = "before"
    AFTER = "after"


@dataclass(frozen=True)
class PhotosSaid:
    """Photos as a form brings them: the pictures, when they were taken, what they show."""

    when: When
    pictures: tuple[Picture, ...]
    words: str = ""


def read_photos(typed: Sent) -> PhotosSaid:
    """The photos that stand in a form; raises Refused with every problem."""
    read = Reader(typed)
    when = read.choice("when", When, required="Say whether they show it before or after the work")
    words, pictures = read_words(read), read_pictures(read, typed)
    read.done()
    assert when is not None
    return PhotosSaid(when, pictures, words)


def keep_photos(book: Engine, act: Act, job_id: int, said: PhotosSaid, folder: Path) -> int:
    """Keep photos of a job in one act; returns the job's key. Raises NoResultFound for no such job.

    They stand beside the work and prove none of it: what clears a finding is a record or a second look.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        job = session.get_one(Job, job_id)
        rows = [
            JobPhoto(
                created_at=act.at,
                job_id=job_id,
                photo_id=keep_photo(session, folder, act, picture).key,
                when=said.when,
                words=said.words,
                made_by=act.person,
            )
            for picture in said.pictures
        ]
        return receipts.sign(session, act, "photograph job", job, *rows)


@dataclass(frozen=True)
class JobPicture(Shot):
    """One photo of a job."""

    when: When

    @property
    def says(self) -> str:
        """What it shows, for those who cannot see it and below the picture."""
        return (
            f"{self.when.capitalize()}: {self.words}" if self.words else f"{self.when.capitalize()} the work"
        )


@dataclass(frozen=True)
class Album:
    """The photos of a job in the order in which they were kept."""

    before: tuple[JobPicture, ...] = ()
    after: tuple[JobPicture, ...] = ()

    @property
    def next(self) -> When:
        """Which photo is likely to come next: the first is taken before the work."""
        return When.AFTER if self.before else When.BEFORE


def album_of(session: Session, job_id: int) -> Album:
    """The photos of one job; an empty album where it has none."""
    rows = session.exec(select(JobPhoto).where(JobPhoto.job_id == job_id).order_by(col(JobPhoto.id))).all()
    shots = zip(rows, shots_of(session, rows), strict=True)
    found = [JobPicture(**vars(shot), when=When(row.when)) for row, shot in shots]
    return Album(
        tuple(each for each in found if each.when is When.BEFORE),
        tuple(each for each in found if each.when is When.AFTER),
    )
