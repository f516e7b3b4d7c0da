"""What telling a handover needs to know, worked out once."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from sqlmodel import Session

from app.bench.tables import Job
from app.estimate.rows import findings_by_work, works_of
from app.estimate.tables import Work
from app.ground.words import local
from app.handover.other_stays import Seen
from app.handover.rules import Leaves, Leaving, NotFit, Stop, Thing, fitness, in_the_way, with_initials
from app.handover.stay import Stay
from app.trade.figure import Grade


@dataclass(frozen=True)
class Teller:
    """What telling needs: the session, the stay, how it leaves, when, by whom."""

    session: Session
    stay: Stay
    leaving: Leaving
    at: datetime
    person: int
    number: str
    issue: int
    zone: str
    names: Mapping[int, str]

    def day_of(self, at: datetime | None) -> date | None:
        """The day of an instant in the shop's zone."""
        return local(at, self.zone).date() if at else None

    @property
    def today(self) -> date:
        """The day of the handover."""
        return local(self.at, self.zone).date()

    @property
    def things(self) -> tuple[Thing, ...]:
        """Each thing as it stands, with the initials that the owner set at this handover."""
        return with_initials(self.stay.things, self.leaving.initials or {})

    @property
    def open_spots(self) -> list[Seen]:
        """What needs work or holds the tow, and is not cleared."""
        return [spot for spot in self.stay.spots if spot.thing.grade in (Grade.DNT, Grade.NEEDS)]

    @property
    def finished(self) -> list[tuple[Work, Job]]:
        """The works whose job is finished."""
        return [(self.works[key], job) for key, job in self.stay.jobs.items() if job.finished_at]

    @property
    def works(self) -> Mapping[int, Work]:
        """All works of the stay, by key."""
        return works_of(self.session, self.stay.head.order_id)

    @property
    def by_work(self) -> Mapping[int, tuple[int, ...]]:
        """Keys of the findings that each work answers."""
        return findings_by_work(self.session, self.stay.head.order_id)

    @property
    def stops(self) -> tuple[Stop, ...]:
        """What keeps it off the road: faults, else what was not done; empty where it is fit."""
        found = fitness(self.things, walked=self.stay.walked)
        return found.stops if isinstance(found, NotFit) else in_the_way(Leaves.TOWED, found, self.stay.bench)


def keys_of(spot: Seen) -> set[int]:
    """Keys of all findings at a spot."""
    return {look.id for look in spot.looks}
