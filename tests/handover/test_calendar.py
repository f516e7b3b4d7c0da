"""The calendar inside a handover, read by the letter of RFC 5545: lines, folding, escaping, whole days."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine

from app.ground.book import reading
from app.handover.facts import told
from app.handover.papers import calendar
from app.handover.record import Duty, Record
from app.handover.tables import Handover
from tests.handover.stays import ready

# A reader of RFC 5545 that knows nothing of the writer

LINE = re.compile(r"(?P<name>[A-Z0-9-]+)(?P<more>(;[A-Z0-9-]+=(\"[^\"]*\"|[^;:,\"]*))*):(?P<value>.*)", re.S)
ESCAPED = {r"\n": "\n", r"\N": "\n", r"\,": ",", r"\;": ";", r"\\": "\\"}


@dataclass
class Component:
    """A component: its properties with their parameters, and what is inside."""

    name: str
    lines: dict[str, tuple[str, str]] = field(default_factory=dict)
    inside: list["Component"] = field(default_factory=list)

    def text(self, name: str) -> str:
        """A TEXT value, 3.3.11: escapes undone, none that the RFC does not know."""
        raw = self.lines[name][1]
        assert not re.search(r"(?<!\\)(\\\\)*[,;\n]", re.sub(r"\\.", "", raw)), raw
        return re.sub(r"\\.", lambda found: ESCAPED[found[0]], raw)


def unfolded(raw: bytes) -> list[str]:
    """Content lines, 3.1: CRLF at the end of each, at most 75 octets, joined where a blank goes on."""
    assert raw.endswith(b"\r\n")
    physical = raw[:-2].split(b"\r\n")
    for line in physical:
        assert len(line) <= 75, line
        assert b"\n" not in line
        assert b"\r" not in line
    whole: list[bytes] = []
    for line in physical:
        if line[:1] in (b" ", b"\t"):
            whole[-1] += line[1:]
        else:
            whole.append(line)
    return [line.decode() for line in whole]


def read(raw: bytes) -> Component:
    """The calendar; every BEGIN has its END, no property stands twice."""
    top = Component("")
    stack = [top]
    for line in unfolded(raw):
        found = LINE.fullmatch(line)
        assert found, line
        name, more, value = found["name"], found["more"], found["value"]
        if name == "BEGIN":
            stack[-1].inside.append(Component(value))
            stack.append(stack[-1].inside[-1])
        elif name == "END":
            assert stack.pop().name == value
        else:
            assert name not in stack[-1].lines, name
            stack[-1].lines[name] = (more, value)
    assert stack == [top]
    (whole,) = top.inside
    return whole


@pytest.fixture
def said(book: Engine) -> Record:
    """A unit handed over with dates that fall due."""
    key = ready(book).hand_over()
    with reading(book) as session:
        return told(session.get_one(Handover, key))


def events(record: Record) -> list[Component]:
    """The events of its calendar."""
    return read(calendar(record)).inside


def with_duties(record: Record, *duties: Duty) -> Record:
    """The record with other duties."""
    return record.model_copy(update={"duties": duties})


def changed(record: Record, **parts: Mapping[str, Any]) -> Record:
    """The record with fields of its parts changed."""
    made = {name: getattr(record, name).model_copy(update=dict(fields)) for name, fields in parts.items()}
    return record.model_copy(update=made)


def test_the_calendar_has_what_3_6_asks_of_one(said: Record) -> None:
    whole = read(calendar(said))
    assert whole.name == "VCALENDAR"
    assert whole.lines["VERSION"] == ("", "2.0")  # 3.7.4
    assert whole.text("PRODID")  # 3.7.3: once, and not empty
    assert set(whole.lines) == {"VERSION", "PRODID"}
    assert {each.name for each in whole.inside} == {"VEVENT"}


def test_every_event_has_what_3_6_1_asks_of_one(said: Record) -> None:
    for event in events(said):
        assert {"UID", "DTSTAMP", "DTSTART"} <= set(event.lines)
        assert not event.inside
        stamp = datetime.strptime(event.lines["DTSTAMP"][1], "%Y%m%dT%H%M%SZ").replace(tzinfo=UTC)
        assert stamp == said.handed.at.replace(microsecond=0)  # 3.8.7.2: in UTC


def test_a_duty_is_a_whole_day_that_ends_before_the_next(said: Record) -> None:
    for event in events(said):
        assert event.lines["DTSTART"][0] == event.lines["DTEND"][0] == ";VALUE=DATE"  # 3.3.4
        first, last = (date.fromisoformat(event.lines[name][1]) for name in ("DTSTART", "DTEND"))
        assert last - first == timedelta(days=1)  # 3.6.1: the end of a day is not in it


def test_every_dated_duty_is_an_event_and_no_other(said: Record) -> None:
    dated = [(it.on.strftime("%Y%m%d"), it.what) for it in said.duties if it.on]
    found = [(each.lines["DTSTART"][1], each.text("SUMMARY")) for each in events(said)]
    assert [day for day, _ in found] == [day for day, _ in dated]
    for (_, summary), (_, what) in zip(found, dated, strict=True):
        assert summary == f"Unit {said.tag.number}: {what}"
    assert len(dated) < len(said.duties)  # some are bound to an event and have no day


def test_whom_to_call_stands_in_each_event(said: Record) -> None:
    for event in events(said):
        for part in (said.shop.name, said.shop.phone, said.handed.number):
            assert part in event.text("DESCRIPTION")


def test_an_event_keeps_its_name_within_an_issue_and_has_another_in_the_next(said: Record) -> None:
    names = [each.lines["UID"][1] for each in events(said)]
    assert len(names) == len(set(names))  # 3.8.4.7
    assert names == [each.lines["UID"][1] for each in events(said)]
    later = changed(said, handed={"issue": said.handed.issue + 1})
    assert not {each.lines["UID"][1] for each in events(later)} & set(names)


def test_a_duty_without_a_day_before_it_does_not_move_the_names(said: Record) -> None:
    day = Duty(when="", what="Look at it.", on=date(2027, 2, 28))
    event = Duty(when="Before you tow", what="Mend it.")
    (alone,) = events(with_duties(said, event, day))
    assert alone.lines["UID"][1].split("@")[0].endswith("-2")
    assert alone.lines["DTSTART"][1] == "20270228"
    assert alone.lines["DTEND"][1] == "20270301"


@pytest.mark.parametrize(
    ("on", "next_day"),
    [
        (date(2026, 12, 31), "20270101"),
        (date(2028, 2, 28), "20280229"),  # a leap year
        (date(2027, 2, 28), "20270301"),
        (date(2026, 11, 1), "20261102"),  # the clocks go back on this day in the shop's zone
    ],
)
def test_the_day_after_is_the_calendars(said: Record, on: date, next_day: str) -> None:
    (event,) = events(with_duties(said, Duty(when="", what="Look at it.", on=on)))
    assert event.lines["DTEND"][1] == next_day


NASTY = (
    'Comma, semicolon; backslash \\ and quote "',
    "Two\nlines",
    "Ends in a backslash\\",
    "\\n is not a line's end",
    "BEGIN:VEVENT\nUID:forged",
    "Ærø, ścieżka, 試験 " * 8,
    "\N{WRENCH}" * 40,
    "x" * 400,
    "a:b;c=d",
)


@pytest.mark.parametrize("what", NASTY)
def test_what_was_said_comes_back_whole(said: Record, what: str) -> None:
    (event,) = events(with_duties(said, Duty(when="", what=what, on=date(2027, 1, 4))))
    assert event.text("SUMMARY") == f"Unit {said.tag.number}: {what}"


@pytest.mark.parametrize("name", NASTY)
def test_a_shop_of_any_name_does_not_break_its_lines(said: Record, name: str) -> None:
    for event in events(changed(said, shop={"name": name})):
        assert event.text("DESCRIPTION").startswith(name)


@settings(deadline=None, max_examples=80)
@given(
    st.text(
        st.characters(exclude_categories=("Cc", "Cs", "Zl", "Zp", "Cn"), include_characters="\n"),
        min_size=1,
        max_size=200,
    )
)
def test_any_text_comes_back_whole(what: str) -> None:
    (event,) = events(with_duties(plain(), Duty(when="", what=what, on=date(2027, 1, 4))))
    assert event.text("SUMMARY").endswith(what)


def plain() -> Record:
    """A record without a stay: what a calendar needs and no more."""
    shop = {"name": "Shop", "address": "", "phone": "555 0100", "zone": "America/Chicago", "currency": "USD"}
    handed = {
        **{"number": "H-2026-0001", "issue": 1, "at": "2026-05-04T17:00:00Z", "by": "Wren", "fit": True},
        **{"leaves": "towed", "carrier": "", "taken_by": "R", "signature": "", "on_paper": True},
    }
    none: tuple[str, ...] = ("stops", "duties", "works", "lines", "left", "threads", "measured")
    return Record.model_validate(
        {
            **{"shop": shop, "handed": handed, "order_number": "W-1", "vin": "", "owner": "R", "cost": None},
            **{"tag": {"number": 1, "what": "", "whose": "", "stands": ""}, "answer": ()},
            **dict.fromkeys((*none, "figures", "photos"), ()),
        }
    )
