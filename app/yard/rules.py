"""Where a unit's stay stands: derived from what is recorded, never typed."""

from dataclasses import dataclass, replace
from datetime import datetime
from enum import StrEnum


class WaitsFor(StrEnum):
    """Who has to move next."""

    US = "us"
    OWNER = "owner"
    PARTS = "parts"
    NOBODY = "nobody"

    @property
    def heading(self) -> str:
        """The group's heading on the board."""
        return {
            WaitsFor.US: "Wait for us",
            WaitsFor.OWNER: "Wait for the owner",
            WaitsFor.PARTS: "Wait for parts",
            WaitsFor.NOBODY: "Ready to leave",
        }[self]


@dataclass(frozen=True)
class Paused:
    """What a work waits for, in words, since when, and who has to move."""

    waits_for: str
    since: datetime
    who: WaitsFor = WaitsFor.US


@dataclass(frozen=True)
class StayFacts:
    """What is recorded of one stay, as far as its stage needs it. Instants; None where it has not happened.

    `offered_at`: the newest revision was frozen. `answered_at`: the owner's newest word on that revision.
    `agreed`, `begun`, `finished`: numbers of works agreed to, jobs begun, jobs finished or accepted.
    `moved_at`: the newest thing done on the bench. `going`: some job was begun, is not finished, not paused.
    `paused`: what its paused jobs wait for. `coming`: what is ordered for each work that nobody has begun.
    `unpriced`: findings that came after the estimate was made and that no work answers. `unready`: what
    keeps the unit here though its final check was made, as the handover page says it.
    """

    arrived_at: datetime
    walk_begun_at: datetime | None = None
    walk_ended_at: datetime | None = None
    priced_at: datetime | None = None
    offered_at: datetime | None = None
    answered_at: datetime | None = None
    agreed: int = 0
    begun: int = 0
    finished: int = 0
    moved_at: datetime | None = None
    checked_at: datetime | None = None
    handed_over_at: datetime | None = None
    follow_ups: int = 0
    offer: str = ""
    going: bool = False
    paused: tuple["Paused", ...] = ()
    coming: tuple["Paused", ...] = ()
    unpriced: int = 0
    unready: "Paused | None" = None


@dataclass(frozen=True)
class Stage:
    """The stage of a stay: its word, who has to move, for what, since when."""

    word: str
    waits: WaitsFor
    waits_for: str
    since: datetime
    on_the_lot: bool = True


def stage(facts: StayFacts) -> Stage:
    """The stage of a stay: the latest thing that was reached decides."""
    for reached in (_gone, _checked, _worked, _offered, _looked):
        if found := reached(facts):
            return _to_price(found, facts.unpriced)
    return Stage("checked in", WaitsFor.US, "Walk-round; nothing seen yet", facts.arrived_at)


def to_price_said(count: int) -> str:
    """How many findings no work answers, in words."""
    return f"{count} finding{'' if count == 1 else 's'} to be priced"


def _to_price(at: Stage, count: int) -> Stage:
    """A stage at which findings are to be priced as well: that is ours to do, whoever else is waited for."""
    if not count or not at.on_the_lot:
        return at
    rest = at.waits_for[:1].lower() + at.waits_for[1:] if at.waits is WaitsFor.US else at.waits_for
    return replace(at, waits=WaitsFor.US, waits_for=f"{to_price_said(count).capitalize()}; {rest}")


def _gone(facts: StayFacts) -> Stage | None:
    if facts.handed_over_at is None:
        return None
    if facts.follow_ups:
        due = f"{facts.follow_ups} follow-up{'' if facts.follow_ups == 1 else 's'}"
        return Stage("handed over", WaitsFor.NOBODY, due, facts.handed_over_at, on_the_lot=False)
    return Stage("closed", WaitsFor.NOBODY, "Nothing", facts.handed_over_at, on_the_lot=False)


def _checked(facts: StayFacts) -> Stage | None:
    if facts.checked_at is None or facts.finished < facts.agreed:
        return None
    if facts.unready is not None:
        return Stage("in final check", facts.unready.who, facts.unready.waits_for, facts.unready.since)
    return Stage("ready", WaitsFor.NOBODY, "Owner, to take it over", facts.checked_at)


def _worked(facts: StayFacts) -> Stage | None:
    if facts.answered_at is None:
        return None
    moved = facts.moved_at or facts.answered_at
    left = facts.agreed - facts.finished
    if left <= 0:
        return Stage("in final check", WaitsFor.US, "Final check by a second person", moved)
    waiting = (*facts.paused, *facts.coming)
    if not facts.going and waiting and (facts.paused or len(facts.coming) == left):
        return _waiting(waiting)
    jobs = "; ".join((f"{left} of {facts.agreed} jobs to finish", *_said(facts.coming)))
    return Stage("in work" if facts.begun else "agreed", WaitsFor.US, jobs, moved)


def _waiting(waiting: tuple[Paused, ...]) -> Stage:
    """Nothing goes on: what it waits for, and since the first of them does."""
    who = {each.who for each in waiting}
    waits = who.pop() if len(who) == 1 else WaitsFor.US
    said = "; ".join(_said(waiting))
    word = "waiting for parts" if waits is WaitsFor.PARTS else "in work"
    return Stage(word, waits, said[:1].upper() + said[1:], min(each.since for each in waiting))


def _said(waiting: tuple[Paused, ...]) -> list[str]:
    """What several works wait for, each once."""
    return list(dict.fromkeys(each.waits_for for each in waiting))


def _offered(facts: StayFacts) -> Stage | None:
    if facts.offered_at is not None:
        return Stage("waiting for the owner", WaitsFor.OWNER, f"Answer to {facts.offer}", facts.offered_at)
    if facts.priced_at is not None:
        return Stage("priced", WaitsFor.US, "Estimate to be shown to the owner", facts.priced_at)
    return None


def _looked(facts: StayFacts) -> Stage | None:
    if facts.walk_ended_at is not None:
        return Stage("to be priced", WaitsFor.US, "Price for the findings", facts.walk_ended_at)
    if facts.walk_begun_at is not None:
        return Stage("being inspected", WaitsFor.US, "Walk-round, going on", facts.walk_begun_at)
    return None
