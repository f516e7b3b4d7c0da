"""The handover's paper, made from its snapshot alone: page, photos, the record and the calendar inside."""

import hashlib
import json
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from itertools import accumulate, groupby
from typing import Any

from icalendar import Calendar, Event

from app.bench.kinds import Context, record_kinds
from app.ground.acting import Act
from app.ground.papers import Paper
from app.ground.press import Enclosed
from app.ground.words import local
from app.handover.facts import told
from app.handover.folding import Folded, folded
from app.handover.record import Duty, Line, Measured, Record, WorkDone
from app.handover.tables import Handover
from app.inspection.places import STATIONS
from app.trade.figure import Grade
from app.trade.typed import Texts

ON_FRONT = 6
LEAST_ON_FRONT = 2
FRONT_MM = 134  # of the front page, less head, tag, questions and the sum
LINE_MM, ROW_MM = 6, 2.3
ANSWER, DUTY, WORK, RESULT = 70, 50, 42, 29  # letters on a line, with room to spare
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
        return sum(line.state is Grade.DNT for line in self.record.lines) > REVERSED_ROWS

    @property
    def room(self) -> float:
        """Millimetres of the front left for duties and works, after the answer and what stops it."""
        says = _lines(" ".join(self.record.answer), ANSWER) * LINE_MM
        stops = sum(_lines(stop.says, DUTY) * LINE_MM + 4 for stop in self.record.stops[:REVERSED_ROWS])
        return FRONT_MM - says - stops

    @property
    def front_duties(self) -> tuple[Duty, ...]:
        """The duties on the front: all, or as many as have room beside two works; at most six."""
        works = sum(_height(work) for work in self.record.works[:LEAST_ON_FRONT])
        heights = [_lines(duty.what, DUTY) * LINE_MM + ROW_MM for duty in self.record.duties]
        return self.record.duties[: _fitting(heights, self.room - works)]

    @property
    def more_duties(self) -> tuple[Duty, ...]:
        """The duties that stand on the next page."""
        return self.record.duties[len(self.front_duties) :]

    @property
    def front_works(self) -> tuple[WorkDone, ...]:
        """The works on the front: as many as have room below the duties; at most six."""
        taken = sum(_lines(duty.what, DUTY) * LINE_MM + ROW_MM for duty in self.front_duties)
        return self.record.works[: _fitting([_height(work) for work in self.record.works], self.room - taken)]

    @property
    def nuts(self) -> Duty | None:
        """The duty of the wheel nuts, for the slip to send back."""
        return next((duty for duty in self.record.duties if duty.of_nuts), None)


def _lines(text: str, letters: int) -> int:
    """Lines that a text takes, told from its length."""
    return max(1, -(-len(text) // letters))


def _height(work: WorkDone) -> float:
    return max(_lines(work.title, WORK), _lines(work.short, RESULT)) * LINE_MM + ROW_MM


def _fitting(heights: Sequence[float], room: float) -> int:
    """How many rows fit into a height: at least two, at most six."""
    fits = sum(total <= room for total in accumulate(heights))
    return min(max(fits, LEAST_ON_FRONT), ON_FRONT)


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
        stations=tuple(_stations(record.lines)),
        kept=tuple(_kept(record)),
        signed=tuple(_signed(record)),
    )


def _stations(lines: Sequence[Line]) -> Iterator[Station]:
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
    if any(duty.on for duty in record.duties):
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
