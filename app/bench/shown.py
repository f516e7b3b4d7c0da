"""What a record has to hold to show a finding put right, where its kind takes any part of what it asks for.

Linings alone make sound brake readings, and say nothing of a magnet: the record stands, but proves another
thing. Each check says in the catalogue what shows it (`shown_by`); one that says nothing, such as a shop's
own, is shown by any record of its kit's kinds.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from app.bench.kinds import record_kinds, title_of
from app.inspection.catalogue import Catalogue, CatalogueFault, ShownBy

SIDES = ("left", "right")
SIDE = "{side}"


def checked(catalogue: Catalogue) -> Catalogue:
    """A catalogue whose checks ask only for what records hold; raises CatalogueFault with all others."""
    if faults := list(_faults(catalogue)):
        raise CatalogueFault(faults)
    return catalogue


def _faults(catalogue: Catalogue) -> Iterator[str]:
    for check in catalogue.checks:
        for shows in check.shown_by:
            known = record_kinds()[shows.record].shape.model_fields
            for field in sorted(_fields(shows, SIDES) - set(known)):
                yield f"{check.key}: shown_by: the record {title_of(shows.record)} has no field {field}"


def _fields(shows: ShownBy, sides: Iterable[str]) -> set[str]:
    """The fields of which one has to be filled, at some sides."""
    return {field.replace(SIDE, side) for field in shows.one_of for side in sides}


@dataclass(frozen=True)
class At:
    """Where a fault was found, on a unit with brakes of some kind, and what shows it put right."""

    place: str
    brakes: str
    shown_by: tuple[ShownBy, ...]


@dataclass(frozen=True)
class Held:
    """What a record holds, by field, where it was made."""

    kind: str
    place: str
    payload: Mapping[str, object]


def not_shown(at: At, record: Held) -> str:
    """What a record leaves open of a fault that it is to show put right, in words; empty where nothing."""
    if not touches(at.place, record.place):
        return ""
    return "; ".join(each.lacks for each in _asked_at(at, record) if not _shows(at, record, each))


def but_said_once(at: At, records: Iterable[Held]) -> At:
    """A fault without what the unit has one of, where one record of its place already says it."""
    held = [record for record in records if touches(at.place, record.place)]
    said = [each for it in held for each in _asked_at(at, it) if each.once and _shows(at, it, each)]
    return replace(at, shown_by=tuple(each for each in at.shown_by if each not in said))


def _asked_at(at: At, record: Held) -> list[ShownBy]:
    return [each for each in at.shown_by if each.record == record.kind and _asked_of(each, at.brakes)]


def _shows(at: At, record: Held, shows: ShownBy) -> bool:
    sides = [side for side in SIDES if side in at.place.split("-")] or SIDES
    return _stands_in(record.payload, shows, sides)


def _asked_of(shows: ShownBy, brakes: str) -> bool:
    return not shows.brakes or brakes in shows.brakes


def _stands_in(payload: Mapping[str, object], shows: ShownBy, sides: Iterable[str]) -> bool:
    found = [payload[name] for name in _fields(shows, sides) if payload.get(name)]
    return shows.worth in found if shows.worth else bool(found)


def touches(place: str, other: str) -> bool:
    """Whether two places belong together: an axle and what is at it, an end of it, or the whole unit."""
    return all(one == two for one, two in zip(place.split("-")[1:3], other.split("-")[1:3], strict=False))
