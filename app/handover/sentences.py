"""What the owner reads, in short sentences: our own words stay under twenty, names come on top."""

from collections.abc import Iterable, Iterator, Sequence

from app.handover.rules import Fit, Leaving, Stop, listed
from app.inspection.facts import FindingLine, ReadingLine
from app.trade.figure import Grade
from app.trade.letters import apart
from app.trade.quantity import UNITS, with_unit

NUMBERS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten")
LEFT_WORDS = {
    "yes": "You agreed to less than it then cost",
    "no": "You said no",
    "later": "You chose to wait",
    "": "You have not answered",
}


def number(count: int) -> str:
    """A count in words up to ten, in figures above."""
    return NUMBERS[count] if 0 <= count < len(NUMBERS) else f"{count:,}"


def counted(count: int, one: str, many: str) -> str:
    """A count with its noun: two faults."""
    return f"{number(count)} {one if count == 1 else many}"


def may_tow(found: Fit, looked: int, put_right: int, gvwr: str, reason: str) -> Iterator[str]:
    """The sentences under "You may tow it": looked at, put right, unseen, left, shut off, the load."""
    yield f"We looked at {counted(looked, 'thing', 'things')}."
    if put_right:
        had = counted(put_right, "fault", "faults").capitalize()
        yield f"{had} had to be put right before it could leave; that is done."
    if found.unseen:
        why = f" Reason: {apart(reason)}." if reason else ""
        yield f"It is handed over with parts not looked at: {listed(found.unseen)}.{why}"
    if found.left:
        yield f"You tow it without work that we asked for first: {listed(found.left)}."
    if found.closed:
        yield f"Do not use what is shut off: {listed(found.closed)}."
    if gvwr:
        yield f"Loaded, it may weigh at most {gvwr}."


def may_not_tow(stops: Sequence[Stop], leaving: Leaving) -> Iterator[str]:
    """The sentences under "No. Do not tow": how many things stop it, how it leaves, what the law may say."""
    faults = sum(stop.grade is Grade.DNT for stop in stops)
    if faults:
        stop_it = f"{counted(faults, 'fault', 'faults')} {'stops' if faults == 1 else 'stop'} it"
        yield f"{stop_it[0].upper()}{stop_it[1:]}: parts may break or come off on the road."
    else:
        yield "We cannot say that it is fit for the road."
    yield f"It leaves on a carrier, wheels off the road: {apart(leaving.carrier)}."
    yield "The law where you are may forbid towing it at all."


def readings(lines: Iterable[ReadingLine]) -> str:
    """All readings of a thing: one alone, several with their labels."""
    known = [(line.label, reading(line)) for line in lines if line.typed]
    if len(known) == 1:
        return known[0][1]
    return "; ".join(f"{label}: {says}" for label, says in known)


def reading(line: ReadingLine) -> str:
    """One reading with its unit, as typed."""
    says = with_unit(line.typed, line.unit) if line.unit in UNITS else f"{line.typed} {line.unit}"
    return f"{says} (kept by {apart(line.confirmed_by)})" if line.confirmed_by else says


def got(line: FindingLine, *, cleared: bool, unseen_reason: str = "") -> str:
    """What was found at a thing: its readings, and its reason where something is to be done.

    Unseen always carries a reason; what the unit does not have says so. A cleared thing has its fault told
    apart, so only its readings are left out.
    """
    if line.grade is Grade.UNSEEN:
        why = apart(line.note or unseen_reason or line.reason)
        return f"Not looked at ({why})" if why else "Not looked at"
    if cleared:
        return ""
    if not line.fitted:
        return "; ".join(
            filter(None, ("not fitted", apart(line.reason) if line.grade is not Grade.SOUND else ""))
        )
    parts = [readings(line.readings)]
    if line.grade is not Grade.SOUND or not parts[0]:
        parts.append(apart(line.reason) or "; ".join(line.seen) or "looked at")
    return "; ".join(dict.fromkeys(filter(None, parts)))
