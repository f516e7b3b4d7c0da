"""The handover's paper, made from its snapshot alone: page, photos, the record and the calendar inside."""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import groupby
from typing import Any

from icalendar import Calendar, Event

from app.bench.kinds import Context, record_kinds
from app.ground.acting import Act
from app.ground.papers import Paper
from app.ground.press import Enclosed
from app.ground.words import local
from app.handover.facts import told
from app.handover.folding import Folded, folded
from app.handover.front import Front, front_of
from app.handover.record import Duty, Line, Measured, Record
from app.handover.rules import Registered
from app.handover.tables import Handover
from app.inspection.places import STATIONS
from app.trade.days import day
from app.trade.figure import Grade
from app.trade.typed import Texts

FORM = "the maker's registration form with these numbers and our name on it"
ADD_YOURS = "Add your name and address and send it"
REGISTRATION = {
    "": f"We give you {FORM}. {ADD_YOURS}, or let us send it.",
    Registered.GIVEN: f"On {{on}} we gave you {FORM}. {ADD_YOURS}.",
    Registered.MAILED: "On {on} we sent the registration to the maker for you, by post.",
    Registered.ONLINE: "On {on} we sent the registration to the maker for you, online.",
    Registered.LATER: f"You do not have {FORM} yet: we will give it to you, or send it for you.",
}
REVERSED_ROWS = 5  # more black rows than these become a boxed list: toner, drying


@dataclass(frozen=True)
class Station:
    """The lines of one station of the walk. `count`: how many were looked at, and how many not."""

    number: int
    name: str
    lines: tuple[Line, ...]

    @property
    def told(self) -> Folded:
        """The lines as the paper tells them: rows, then what is plain in paragraphs."""
        return folded(self.lines)

    @property
    def count(self) -> str:
        """How many were looked at and how many were not, in words for the head of the group."""
        unseen = sum(line.state is Grade.UNSEEN for line in self.lines)
        looked = sum(line.fitted for line in self.lines) - unseen
        return f"{looked} looked at, {unseen} unseen" if unseen else f"{looked} looked at"


@dataclass(frozen=True)
class Kept:
    """A measured record as its kind's paper shows it."""

    told: Measured
    drawing: Mapping[str, object]
    partial: str = ""  # template of the kind's paper, empty where it has none

    @property
    def payload(self) -> Mapping[str, Any]:
        """What the kind keeps."""
        return self.told.payload

    @property
    def instrument(self) -> str:
        """The instrument as it stood on that day."""
        return self.told.instrument


@dataclass(frozen=True)
class Page:
    """What the template is given: the record, sorted for reading."""

    record: Record
    stations: tuple[Station, ...]
    kept: tuple[Kept, ...]
    signed: tuple[tuple[str, str], ...]

    @property
    def many(self) -> bool:
        """Whether there are so many black rows that they become a boxed list."""
        return many_black(self.record.lines)

    @property
    def front(self) -> Front:
        """What stands on the front, and what goes on behind it."""
        return front_of(self.record)

    @property
    def tires(self) -> tuple[Kept, ...]:
        """The tires that were fitted, by their places, each with its number for the registration."""
        fitted = (one for one in self.kept if one.told.kind == "tires_fitted")
        return tuple(sorted(fitted, key=lambda one: one.told.place))

    @property
    def registration(self) -> str:
        """What was done, or is to be done, so that the tires are registered, in sentences for the owner."""
        on = day(local(self.record.handed.at, self.record.shop.zone).date())
        return REGISTRATION[self.record.registered].format(on=on)

    @property
    def nuts(self) -> Duty | None:
        """The duty of the wheel nuts, for the slip to send back."""
        return next((duty for duty in self.record.duties if duty.of_nuts), None)


def many_black(lines: Sequence[Line]) -> bool:
    """Whether there are so many black rows that they become a boxed list."""
    return sum(line.state is Grade.DNT for line in lines) > REVERSED_ROWS


def handover_paper(row: Handover) -> Paper:
    """The paper of a handover."""
    record = told(row)
    return Paper(
        template="handover",
        kind="handover",
        number=row.number,
        title="Handover" if row.fit else "Handover, not fit",
        work_order_id=row.work_order_id,
        facts={
            "it": page_of(record),
            "tag": record.tag,
            "shop_row": record.shop,
            "zone": record.shop.zone,
            "head": record.handed.witness,
            "printed_at": record.handed.at,
            "replaces": 0,  # said in its own words, of the issue that was handed over
        },
        photos={photo.name: photo.sha256 for photo in record.photos},
        enclosed=tuple(_enclosed(row, record)),
        issue=row.issue,
    )


def paper_act(act: Act, row: Handover) -> Act:
    """The act that prints a handover: the same for every try, so that it is printed once."""
    sent = hashlib.sha256(as_json(row.snapshot)).hexdigest()
    return replace(act, submission=paper_key(row.key), sent=sent)


def paper_key(handover_id: int) -> str:
    """Submission key of the act that prints a handover."""
    return f"handover/{handover_id}/paper"


def page_of(record: Record) -> Page:
    """The record sorted for reading: by station of the walk, each measured record with its drawing."""
    return Page(
        record=record,
        stations=tuple(stations_of(record.lines)),
        kept=tuple(_kept(record)),
        signed=tuple(_signed(record)),
    )


def stations_of(lines: Sequence[Line]) -> Iterator[Station]:
    """The lines by the station of the walk at which they were looked at."""
    in_order = sorted(lines, key=lambda line: line.station)
    for number, group in groupby(in_order, key=lambda line: line.station):
        name = STATIONS[number - 1] if 1 <= number <= len(STATIONS) else "Elsewhere"
        yield Station(number, name, tuple(group))


def _kept(record: Record) -> Iterator[Kept]:
    kinds = record_kinds()
    for one in record.measured:
        kind = kinds.get(one.kind)
        if kind is None:
            yield Kept(one, {})
            continue
        plain = Context(one.place, one.label, local(one.made_at, record.shop.zone).date())
        drawing = kind.draw(Texts(kind.texts(kind.kept(one.payload))), plain)
        yield Kept(one, drawing, f"bench/records/{kind.key}/_paper.html")


def _signed(record: Record) -> Iterator[tuple[str, str]]:
    """Each signature under an answer once, with what it was set under."""
    seen = {one.signature: one.signed for one in reversed(record.left) if one.signature}
    yield from reversed(list(seen.items()))


# What is inside the PDF


def _enclosed(row: Handover, record: Record) -> Iterator[Enclosed]:
    yield Enclosed(
        "record.json", as_json(row.snapshot), "Everything that this handover says", record.handed.at
    )
    if record.dated:
        yield Enclosed("due-dates.ics", calendar(record), "Calendar of what falls due", record.handed.at)


def as_json(snapshot: Mapping[str, Any]) -> bytes:
    """The record as JSON, the same bytes for the same content."""
    return json.dumps(snapshot, ensure_ascii=False, sort_keys=True, indent=1).encode()


def calendar(record: Record) -> bytes:
    """The days on which something falls due, as iCalendar (RFC 5545); the same bytes for the same record."""
    made = Calendar()
    made.add("prodid", "-//Castlenut//Handover//EN")
    made.add("version", "2.0")
    for number, duty in enumerate(record.duties, 1):
        if duty.on:
            made.add_component(_event(record, duty, number))
    return bytes(made.to_ical())


def _event(record: Record, duty: Duty, number: int) -> Event:
    handed, made = record.handed, Event()
    assert duty.on is not None
    made.add("uid", f"{handed.number}-{handed.issue}-{number}@castlenut.invalid")
    made.add("dtstamp", handed.at)
    made.add("dtstart", duty.on)
    made.add("dtend", duty.on + timedelta(days=1))
    made.add("summary", f"Unit {record.tag.number}: {duty.what}")
    made.add("description", f"{record.shop.name}, {record.shop.phone}. Handover {handed.number}.")
    return made
