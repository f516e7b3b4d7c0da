"""What an owner may say to a revision, and when it can stand: pure reading and judging of consent."""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from enum import StrEnum
from zoneinfo import ZoneInfo

from app.estimate.rules import Offered, read_price
from app.trade.money import Money
from app.trade.problems import Problem, Refused
from app.trade.typed import TEXT, Reader, Typed

LONGEST_SIGNATURE = 20_000
MOST_POINTS = 4_000
_PATH = re.compile(r"(?:[ML] ?-?\d{1,4}(?:\.\d{1,2})?[ ,]-?\d{1,4}(?:\.\d{1,2})? ?)+", re.ASCII)
_TIME = re.compile(r"^(\d{1,2})[:.](\d{2})$", re.ASCII)


class How(StrEnum):
    """How an owner answered."""

    TABLET = "tablet"
    PAPER = "paper"
    PHONE = "phone"
    WRITING = "writing"

    @property
    def word(self) -> str:
        """As a row of choices and a record say it."""
        return {
            How.TABLET: "here, on the tablet",
            How.PAPER: "on paper, signed",
            How.PHONE: "by phone",
            How.WRITING: "in writing",
        }[self]


CALLED = (How.PHONE, How.WRITING)  # answers that came by a number or an address


class Said(StrEnum):
    """The owner's word on one work."""

    YES = "yes"
    LATER = "later"
    NO = "no"


@dataclass(frozen=True)
class WorkSaid:
    """The word on one work; `initials`: the owner's, beside work that must come before towing if put off."""

    work_id: int
    answer: Said
    initials: str = ""


@dataclass(frozen=True)
class SaidAll:
    """What an owner said to one revision. `limit` in minor units before tax; `said_at` None means now.

    `phone`: the number or address used; `read_back`: what was read out on the phone and confirmed.
    """

    how: How
    who: str
    answers: tuple[WorkSaid, ...]
    phone: str = ""
    said_at: datetime | None = None
    read_back: str = ""
    limit: int | None = None
    signature: str = ""


@dataclass(frozen=True)
class Asked:
    """What the owner was asked: the works offered, when it was frozen, until which day it holds, and now.

    `earlier`: amounts of the works agreed to before, by work. `limit`: the most that the owner named before.
    """

    works: tuple[Offered, ...]
    frozen_at: datetime
    valid_until: date | None
    now: datetime
    zone: str
    earlier: Mapping[int, int] = field(default_factory=dict)
    limit: int | None = None


def is_signature(path: str) -> bool:
    """Whether a text is a drawn signature: an SVG path of M and L with numbers only, not too long."""
    fits = len(path) <= LONGEST_SIGNATURE and path.startswith("M") and _PATH.fullmatch(path) is not None
    return fits and path.count("L") + path.count("M") <= MOST_POINTS


def read_said(typed: Typed, works: Sequence[Offered], zone: str) -> SaidAll:
    """The consent that stands in a form: `say-<work>`, `initials-<work>`, how, who and the rest.

    Works without a word are left out. Raises Refused for what cannot be read; `check_said` judges it.
    """
    read = Reader(typed)
    how = read.choice("how", How, required="How the owner answered is missing")
    who = read.text("who", required="The name of the one who answered is missing", most=80)
    phone = read.text("phone", most=120) if how in CALLED else ""  # the form begins with the owner's number
    read_back = read.text("read_back", most=TEXT, lines=True)
    limit = read_price(read, "limit")
    said_at = None if how is How.TABLET else _moment(read, zone)
    answers = [found for work in works if (found := _word(read, work.work_id))]
    if read.problems:  # all that is wrong is said at once, also what would be judged later
        read.problems += _without_initials(answers, works)
    read.done()
    assert how
    signature = read.raw("signature") if how is How.TABLET else ""
    return SaidAll(how, who, tuple(answers), phone, said_at, read_back, limit, signature)


def _word(read: Reader, work_id: int) -> WorkSaid | None:
    answer = read.choice(f"say-{work_id}", Said)
    initials = read.text(f"initials-{work_id}", most=12)
    return WorkSaid(work_id, answer, initials) if answer else None


def _moment(read: Reader, zone: str) -> datetime | None:
    day = read.day("said_on", required="The day of the answer is missing")
    text = read.raw("said_time")
    found = _TIME.match(text)
    if not found or int(found[1]) > 23 or int(found[2]) > 59:
        says = f"{text[:20]} is not a time of day" if text else "The time of the answer is missing"
        read.wrong("said_time", says, "hours and minutes, such as 14:05")
        return None
    if day is None:
        return None
    return datetime(day.year, day.month, day.day, int(found[1]), int(found[2]), tzinfo=ZoneInfo(zone))


Judging = Callable[[SaidAll, Asked], Iterable[Problem]]


def check_said(said: SaidAll, asked: Asked) -> None:
    """Raise Refused where a consent cannot stand, with every problem; nothing where it can."""
    if problems := [problem for judge in JUDGES for problem in judge(said, asked)]:
        raise Refused(problems)


def agreed_amount(said: SaidAll, asked: Asked) -> int:
    """Sum of the works that the owner said yes to, now or before, in minor units before tax."""
    answered = {each.work_id: each.answer for each in said.answers}
    yes = [work for work in asked.works if answered.get(work.work_id) is Said.YES]
    picked = {work.choice for work in yes}
    rest = [it for it in asked.works if it.work_id not in answered and it.choice not in picked]
    return sum(it.amount for it in yes) + sum(asked.earlier.get(it.work_id, 0) for it in rest)


def _answered(said: SaidAll, asked: Asked) -> Iterable[Problem]:
    known = {work.work_id for work in asked.works}
    if not said.answers:
        yield Problem("say", "No line has an answer yet", "yes, later or no to at least one line")
    if any(each.work_id not in known for each in said.answers):
        yield Problem("say", "One of these lines is not on this revision", "lines of the newest revision")
    if len({each.work_id for each in said.answers}) < len(said.answers):
        yield Problem("say", "One line has two answers", "one answer a line")


def _initialled(said: SaidAll, asked: Asked) -> Iterable[Problem]:
    return _without_initials(said.answers, asked.works)


def _picked_once(said: SaidAll, asked: Asked) -> Iterable[Problem]:
    ways = {work.work_id: work for work in asked.works}
    picked: dict[int, int] = {}
    for each in said.answers:
        if each.answer is not Said.YES or each.work_id not in ways:
            continue
        first = picked.setdefault(ways[each.work_id].choice, each.work_id)
        if first != each.work_id:
            says = f"{ways[each.work_id].title} is another way of {ways[first].title}; one of them is done"
            yield Problem(f"say-{each.work_id}", says, "yes to one of the two")


def _without_initials(answers: Iterable[WorkSaid], works: Iterable[Offered]) -> Iterator[Problem]:
    answers, works = tuple(answers), tuple(works)
    choice = {work.work_id: work.choice for work in works}
    done = {choice.get(each.work_id) for each in answers if each.answer is Said.YES}
    must = {work.work_id: work for work in works if work.safety and work.choice not in done}
    for each in answers:
        if each.work_id in must and each.answer is not Said.YES and not each.initials:
            says = f"{must[each.work_id].title} comes before towing; put off, it needs the owner's initials"
            yield Problem(f"initials-{each.work_id}", says, "initials such as MT")


def _signed(said: SaidAll, _: Asked) -> Iterable[Problem]:
    if not said.who:
        yield Problem("who", "The name of the one who answered is missing", "a full name")
    if said.signature and not is_signature(said.signature):
        yield Problem("signature", "The drawn signature cannot be read", "drawn again, or the name alone")
    if said.signature and said.how is not How.TABLET:
        yield Problem("signature", "A signature is drawn on the tablet only", "no drawing")


def _traced(said: SaidAll, _: Asked) -> Iterable[Problem]:
    if said.how is How.PHONE and not any(char.isdigit() for char in said.phone):
        yield Problem("phone", "The number is missing", "the number called, such as (555) 555-0142")
    if said.how is How.PHONE and not said.read_back:
        yield Problem("read_back", "What was read back is missing", "lines and amount, as read to the owner")
    if said.how is How.WRITING and not said.phone:
        yield Problem("phone", "Where the writing came from is missing", "a number or e-mail address")


def _in_time(said: SaidAll, asked: Asked) -> Iterable[Problem]:
    at = said.said_at or asked.now
    if at > asked.now + timedelta(minutes=1):
        yield Problem("said_on", "This time has not come yet", "a time up to now")
    shown_at = min(asked.frozen_at, asked.now)  # it was shown before now, though the clock was set back since
    if at < shown_at - timedelta(minutes=1):
        yield Problem("said_on", "This is before the estimate was shown", "a time after it was shown")
    if asked.valid_until and at.astimezone(ZoneInfo(asked.zone)).date() > asked.valid_until:
        says = f"The prices held until {asked.valid_until.isoformat()}"
        yield Problem("", says, "a new revision, shown to the owner")


def _limited(said: SaidAll, asked: Asked) -> Iterable[Problem]:
    agreed = agreed_amount(said, asked)
    if said.limit is not None and said.limit < agreed:
        yield Problem(
            "limit", f"The limit is under the {Money(agreed)} agreed to", f"at least {Money(agreed)}"
        )
    if said.limit is None and asked.limit is not None and asked.limit < agreed:
        says = f"You said at most {Money(asked.limit)}, and with these lines it comes to {Money(agreed)}"
        yield Problem("limit", says, f"a new limit of at least {Money(agreed)}, or fewer lines with yes")


JUDGES: tuple[Judging, ...] = (_answered, _picked_once, _initialled, _signed, _traced, _in_time, _limited)
