"""What proves it: measured records, worked figures, photos."""

from collections.abc import Iterator, Mapping
from dataclasses import asdict
from typing import Any

from sqlmodel import col, select

from app.bench.tables import JobPhoto
from app.ground.photo_marks import marks_of
from app.ground.tables import Photo
from app.ground.words import moment
from app.handover import record, sentences
from app.handover.told.teller import Teller
from app.trade.letters import apart

MOST_PHOTOS = 24


def measured(it: Teller) -> Iterator[record.Measured]:
    """The measured records that stand, in the order in which they were made."""
    for row in it.stay.records:
        yield record.Measured(
            id=row.id,
            kind=row.kind,
            title=row.title,
            place=row.place,
            label=row.label,
            says=row.says,
            inside=row.inside,
            made_by=row.made_by,
            made_at=row.made_at,
            instrument=row.instrument,
            correction=row.correction,
            payload=dict(row.payload),
        )


def figures(it: Teller) -> Iterator[record.Figure]:
    """All worked figures of findings and records, each once."""
    worked = [each for spot in it.stay.spots for look in spot.looks for each in look.worked]
    worked += [each for row in it.stay.records for each in row.worked]
    yield from dict.fromkeys(map(_figure, worked))


def _figure(kept: Mapping[str, Any]) -> record.Figure:
    verdict = kept.get("verdict")
    return record.Figure(
        name=str(kept.get("name", "")),
        says=str(kept.get("says", "")),
        formula=str(kept.get("formula", "")),
        inputs=tuple(record.Said(name=each["name"], says=each["says"]) for each in kept.get("inputs", ())),
        limit=str(kept.get("limit") or ""),
        verdict=record.Said(name=str(verdict["grade"]), says=str(verdict["says"])) if verdict else None,
        source=_source(kept.get("source")),
        caution=str(kept.get("caution") or ""),
    )


def _source(kept: object) -> str:
    if isinstance(kept, Mapping):
        return f"{kept.get('title', '')} {kept.get('section', '')}".strip()
    return str(kept or "")


def photos(it: Teller) -> tuple[tuple[record.Picture, ...], int]:
    """The photos of findings, faults first, then of the work done, and how many more the shop keeps."""
    told = [*_of_findings(it), *_of_work(it)]
    shown = tuple(_picture(it, says, key) for says, key in told[:MOST_PHOTOS])
    return shown, max(len(told) - MOST_PHOTOS, 0)


def _of_findings(it: Teller) -> Iterator[tuple[str, int]]:
    """What each photo of a finding shows, and its key."""
    for look in sorted((look for spot in it.stay.spots for look in spot.looks), key=lambda look: look.weight):
        what = look.reason or sentences.readings(look.readings)
        yield from ((f"{look.name}: {apart(what)}" if what else look.name, key) for key in look.photos)


def _of_work(it: Teller) -> Iterator[tuple[str, int]]:
    """What each photo of a finished work shows, before it and after it, and its key."""
    for work, job in it.finished:
        mine = select(JobPhoto).where(JobPhoto.job_id == job.key).order_by(col(JobPhoto.id))
        for row in sorted(it.session.exec(mine), key=lambda row: row.when != "before"):
            what = f"{apart(work.title)}, {row.when} the work"
            yield f"{what}: {apart(row.words)}" if row.words else what, row.photo_id


def _picture(it: Teller, says: str, key: int) -> record.Picture:
    photo = it.session.get_one(Photo, key)
    taken = f"{moment(photo.created_at, it.zone)}, {apart(it.names.get(photo.taken_by, ''))}"
    marks = marks_of(it.session, [key]).get(key)
    alt = f"Photo: {says}; {marks.says}" if marks else f"Photo: {says}"
    made = record.Picture(name=f"photo-{key}", sha256=photo.sha256, alt=alt, caption=f"{says}. {taken}.")
    if marks is None:
        return made
    drawn = tuple(record.Stroke(**asdict(each)) for each in marks.drawn)
    return made.model_copy(update={"high": marks.high, "drawn": drawn})
