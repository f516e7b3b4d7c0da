"""What the walk-round knows, as pages, papers and JSON read it."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from sqlmodel import Session, col, select
from sqlmodel.sql.expression import SelectOfScalar

from app.ground import people
from app.ground.photo_marks import Shown, marks_of
from app.ground.tables import Photo
from app.inspection.catalogue import Catalogue, Check
from app.inspection.places import Place, walk_order
from app.inspection.tables import CatalogueVersion, Finding, FindingPhoto, PhotoLeftOut, Reading, Walk
from app.inspection.unit import shape_of
from app.intake.facts import unit_of
from app.trade.figure import HEAVIEST_FIRST, WEIGHT_OF_BY, By, Grade
from app.trade.letters import apart

Names = Mapping[int, str]


@dataclass(frozen=True)
class ReadingLine:
    """One reading as typed."""

    measure: str
    label: str
    typed: str
    unit: str
    confirmed_by: str = ""


CANVAS_KIT = "k46"  # "Canvas piece or zip" of the catalogue


@dataclass(frozen=True)
class FindingLine:
    """A finding with all that a page or a paper says of it."""

    id: int
    walk_id: int
    check: str
    place: str
    name: str
    station: int
    grade: Grade
    by: By | None
    until: date | None
    until_miles: int | None
    reason: str
    source: str
    dissent: str
    note: str
    fitted: bool
    closed_off: bool
    seen: tuple[str, ...]
    worked: tuple[dict[str, Any], ...]
    looked_by: str
    looked_by_id: int | None
    looked_at: datetime | None
    looked_entry: int
    revision: int
    safety: bool
    kits: tuple[str, ...]
    readings: tuple[ReadingLine, ...] = ()
    photos: tuple[int, ...] = field(default=())
    one_of_them: bool = False  # its kits are alternatives: the check's own, not those of what was seen

    @property
    def told(self) -> str:
        """Check, place and reason, without a full stop: `Deck: Soft or split board`; the name where none."""
        reason = self.reason.rstrip(".")
        return f"{self.name}: {apart(reason)}" if reason else self.name

    @property
    def about_canvas(self) -> bool:
        """Whether new canvas would answer it."""
        return CANVAS_KIT in self.kits and self.grade not in (Grade.SOUND, Grade.UNSEEN)

    @property
    def weight(self) -> tuple[int, int, int]:
        """Sorts the heaviest first: by grade, by term, by station."""
        return HEAVIEST_FIRST.index(self.grade), WEIGHT_OF_BY[self.by], self.station

    @property
    def holds_the_tow(self) -> bool:
        """Whether the unit may not leave under tow while this stands."""
        return self.grade is Grade.DNT


@lru_cache(maxsize=8)
def _parsed(_sha256: str, content: str) -> Catalogue:
    return Catalogue.from_json(content)


def catalogue_of(session: Session, walk_id: int) -> Catalogue:
    """The catalogue that a walk was made with."""
    walk = session.get_one(Walk, walk_id)
    return version(session, walk.catalogue_id)


def version(session: Session, catalogue_id: int) -> Catalogue:
    """One kept version of the catalogue."""
    kept = session.get_one(CatalogueVersion, catalogue_id)
    return _parsed(kept.sha256, kept.content)


def unlisted(session: Session, walk: Walk) -> list[tuple[Check, Place]]:
    """What the unit asks for as it stands in the book now and the walk does not hold, in order of walking."""
    shape = shape_of(unit_of(session, walk.work_order_id))
    found = session.exec(select(Finding.check, Finding.place).where(Finding.walk_id == walk.key))
    held = set(found)
    asked = walk_order(version(session, walk.catalogue_id), shape, walk.depth)
    return [(check, place) for check, place in asked if (check.key, place.key) not in held]


def newest_version(session: Session) -> CatalogueVersion:
    """The version of the catalogue in force now; NoResultFound in a book that was never given one."""
    newest = select(CatalogueVersion).order_by(col(CatalogueVersion.id).desc()).limit(1)
    return session.exec(newest).one()


def newest_catalogue(session: Session) -> Catalogue:
    """The catalogue in force now; NoResultFound in a book that was never given one."""
    kept = newest_version(session)
    return _parsed(kept.sha256, kept.content)


def walks_of(session: Session, order_id: int) -> list[Walk]:
    """The walk-rounds of a work order, the first one first; second looks among them."""
    return list(session.exec(select(Walk).where(Walk.work_order_id == order_id).order_by(col(Walk.id))))


def findings_of(session: Session, order_id: int, *, second_looks: bool = False) -> list[FindingLine]:
    """The findings of a work order, the heaviest first. Second looks are left out unless asked for."""
    walks = [w for w in walks_of(session, order_id) if second_looks or w.depth != "second"]
    lines = [line for walk in walks for line in findings_of_walk(session, walk)]
    return sorted(lines, key=lambda line: line.weight)


def findings_of_walk(session: Session, walk: Walk) -> list[FindingLine]:
    """The findings of one walk-round, in the order they were made."""
    return _lines(session, walk, select(Finding).where(Finding.walk_id == walk.key))


def finding_line(session: Session, finding: Finding) -> FindingLine:
    """One finding with all that a page says of it."""
    walk = session.get_one(Walk, finding.walk_id)
    return _lines(session, walk, select(Finding).where(Finding.id == finding.key))[0]


def _lines(session: Session, walk: Walk, asked: SelectOfScalar[Finding]) -> list[FindingLine]:
    found = list(session.exec(asked.order_by(col(Finding.id))))
    keys = [finding.key for finding in found]
    readings, photos = _readings(session, keys), _photos(session, keys)
    catalogue, names = version(session, walk.catalogue_id), people.names(session)
    checks = {check.key: check for check in catalogue.checks}
    return [
        _line(f, checks[f.check], tuple(readings.get(f.key, ())), tuple(photos.get(f.key, ())), names)
        for f in found
    ]


def _readings(session: Session, keys: list[int]) -> dict[int, list[ReadingLine]]:
    by_finding: dict[int, list[ReadingLine]] = {}
    names = people.names(session)
    for row in session.exec(
        select(Reading).where(col(Reading.finding_id).in_(keys)).order_by(col(Reading.id))
    ):
        line = ReadingLine(row.measure, row.label, row.typed, row.unit, names.get(row.confirmed_by or 0, ""))
        by_finding.setdefault(row.finding_id, []).append(line)
    return by_finding


def _photos(session: Session, keys: list[int]) -> dict[int, list[int]]:
    by_finding: dict[int, list[int]] = {}
    for row in session.exec(photos_shown().where(col(FindingPhoto.finding_id).in_(keys))):
        by_finding.setdefault(row.finding_id, []).append(row.photo_id)
    return by_finding


def photos_shown() -> SelectOfScalar[FindingPhoto]:
    """The photos that findings show, in order; those of an act that was taken back are left out."""
    left_out = select(PhotoLeftOut.finding_photo_id)
    return select(FindingPhoto).where(col(FindingPhoto.id).not_in(left_out)).order_by(col(FindingPhoto.id))


@dataclass(frozen=True)
class FindingPicture:
    """A photo of a finding for a paper: its file, what it shows, the marks over it."""

    photo_id: int
    sha256: str
    name: str
    marks: Shown | None


def pictures_of(session: Session, finding_ids: Iterable[int]) -> list[FindingPicture]:
    """The photos of findings in the order they were kept, with their marks."""
    asked = photos_shown().where(col(FindingPhoto.finding_id).in_(list(finding_ids)))
    return [_picture(session, row) for row in session.exec(asked)]


def _picture(session: Session, row: FindingPhoto) -> FindingPicture:
    photo, finding = session.get_one(Photo, row.photo_id), session.get_one(Finding, row.finding_id)
    return FindingPicture(
        photo.key, photo.sha256, finding.name, marks_of(session, [photo.key]).get(photo.key)
    )


def _line(
    f: Finding,
    check: Check,
    readings: tuple[ReadingLine, ...],
    photos: tuple[int, ...],
    names: Mapping[int, str],
) -> FindingLine:
    return FindingLine(
        id=f.key,
        walk_id=f.walk_id,
        check=f.check,
        place=f.place,
        name=f.name,
        station=f.station,
        grade=Grade(f.grade),
        by=By(f.by) if f.by else None,
        until=f.until,
        until_miles=f.until_miles,
        reason=f.reason,
        source=f.source,
        dissent=f.dissent,
        note=f.note,
        fitted=f.fitted,
        closed_off=f.closed_off,
        seen=tuple(check.defect(key).says for key in f.seen),
        worked=tuple(f.worked),
        looked_by=names.get(f.looked_by or 0, ""),
        looked_by_id=f.looked_by,
        looked_at=f.looked_at,
        looked_entry=f.looked_entry,
        revision=f.revision,
        safety=check.safety,
        kits=kits_of(check, f.seen),
        readings=readings,
        photos=photos,
        one_of_them=kits_of(check, f.seen) == check.kits,
    )


def with_kits_offered(session: Session, lines: list[FindingLine]) -> list[FindingLine]:
    """Findings of one unit with those of their kits that the shop still offers for its kind of brakes."""
    if not lines:
        return []
    order_id = session.get_one(Walk, lines[0].walk_id).work_order_id
    brakes = unit_of(session, order_id).brakes
    catalogue = newest_catalogue(session)
    return [replace(line, kits=catalogue.kits_for(line.kits, brakes)) for line in lines]


def kits_of(check: Check, seen: list[str]) -> tuple[str, ...]:
    """Keys of the kits that a finding suggests: those of the defects picked, else the check's own."""
    picked = tuple(dict.fromkeys(kit for key in seen for kit in check.defect(key).kits))
    return picked or check.kits
