"""What the floor decides: hours, a forgotten clock-off, a correction, a pause with its reason. Pure."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from decimal import Decimal
from enum import StrEnum

from app.bench.rules import check_reason
from app.trade.problems import Problem, Refused
from app.trade.typed import Reader, Typed

CLOSING = time(17)  # when nothing else tells the likely hour: common practice
QUARTER = timedelta(minutes=15)
LONGEST = timedelta(hours=16)  # one stint; longer is a slip
HOUR_ACCEPTS = "an hour of that day, such as 16:30"
HUNDREDTH = Decimal("0.01")


def hours(begun: datetime, ended: datetime) -> Decimal:
    """Hours between two instants, to a hundredth."""
    seconds = Decimal((ended - begun).total_seconds())
    return (seconds / 3600).quantize(HUNDREDTH)


# The clock


def likely_end(begun: datetime, last_seen: datetime | None) -> datetime:
    """When somebody who forgot to clock off likely stopped, in the shop's own time.

    A quarter hour's mark after the last thing that they kept that day; else at closing; never before `begun`.
    """
    if last_seen is not None and last_seen > begun:
        return _next_quarter(last_seen)
    closing = begun.replace(hour=CLOSING.hour, minute=CLOSING.minute, second=0, microsecond=0)
    return closing if closing > begun else _next_quarter(begun + timedelta(hours=1))


def _next_quarter(at: datetime) -> datetime:
    whole = at.replace(minute=at.minute - at.minute % 15, second=0, microsecond=0)
    return whole if whole == at else whole + QUARTER


@dataclass(frozen=True)
class Times:
    """A stint's ends as a form says them, in the shop's own hours; `reason`: why a lead corrects it.

    `begun` None where the tap that clocked on stands, as it does for who says when they stopped.
    """

    begun: time | None
    ended: time
    reason: str = ""


def read_times(typed: Typed, *, correcting: bool) -> Times:
    """The hours that stand in a form; raises Refused. `correcting`: by a lead, who says why."""
    read = Reader(typed)
    begun, ended = _hour(read, "begun") if correcting else None, _hour(read, "ended")
    reason = read.text("reason", required="The reason is missing" if correcting else "", most=400)
    check_reason(read, "reason", reason)
    read.done()
    assert ended is not None
    return Times(begun, ended, reason if correcting else "")


def _hour(read: Reader, field: str) -> time | None:
    raw = read.raw(field)
    hour, _, minute = raw.partition(":")
    known = (hour + minute).isascii() and hour.isdigit() and minute.isdigit() and len(minute) == 2
    if known and len(hour) < 3 and int(hour) < 24 and int(minute) < 60:
        return time(int(hour), int(minute))
    read.wrong(field, "The hour is missing" if not raw else f"{raw[:20]} is no hour", HOUR_ACCEPTS)
    return None


@dataclass(frozen=True)
class Span:
    """A stint as the rules see it; `ended` None while it is open."""

    begun: datetime
    ended: datetime | None


def check_span(span: Span, others: Iterable[Span], at: datetime) -> None:
    """Raise Refused where a stint runs backwards, ends after now, or lies over another of the same person."""
    ended = span.ended or at
    if ended <= span.begun:
        raise Refused([Problem("ended", "It ends before it begins", "an hour after the beginning")])
    if ended > at:
        raise Refused([Problem("ended", "This hour is still to come", "an hour that is over")])
    if ended - span.begun > LONGEST:
        raise Refused([Problem("ended", "This is longer than 16 hours", "an hour of the same day")])
    if any(span.begun < (each.ended or at) and each.begun < ended for each in others):
        raise Refused([Problem("begun", "It lies over other hours of this person", "hours beside them")])


def forgotten(begun_on: date, today: date) -> bool:
    """Whether open hours were begun on another day, so that somebody forgot to clock off."""
    return begun_on < today


# Pausing


class PausedFor(StrEnum):
    """What a job waits for."""

    PART = "part"
    OWNER = "owner"
    OUTSIDE = "outside"
    OTHER = "other"

    @property
    def word(self) -> str:
        """What it waits for, in words."""
        return {"part": "a part", "owner": "the owner", "outside": "outside work", "other": ""}[self]


@dataclass(frozen=True)
class Pause:
    """Why a job is paused."""

    waits_for: PausedFor
    note: str


def read_pause(typed: Typed) -> Pause:
    """The pause that stands in a form; raises Refused. What else it waits for must be said in words."""
    read = Reader(typed)
    waits_for = read.choice("paused_for", PausedFor, required="Say what it waits for")
    note = read.text("paused_note", most=120)
    if waits_for is PausedFor.OTHER and not note:
        read.wrong("paused_note", "Say what it waits for", "in a few words, such as: paint has to dry")
    read.done()
    assert waits_for is not None
    return Pause(waits_for, note)


def pause_said(paused_for: str, note: str) -> str:
    """What a paused job waits for, in words: `a part: hub cap, Tuesday`."""
    return ": ".join(filter(None, (PausedFor(paused_for).word, note)))


# Hold points


def check_signer(signer: int, workers: Iterable[int], *, several: bool) -> None:
    """Raise Refused where a second person is needed and the signer worked on the job."""
    if several and signer in set(workers):
        raise Refused([Problem("signer", "You worked on this job", "somebody who did not work on it")])
