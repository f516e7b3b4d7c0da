"""What handover knows, as pages, papers and JSON read it."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, select

from app.bench.needs import OVER
from app.ground import documents, people
from app.ground.tables import Document
from app.handover.after.facts import Follow, follow_of
from app.handover.record import Record
from app.handover.rules import (
    Fitness,
    Hands,
    Item,
    Leaves,
    Registered,
    Stop,
    Thing,
    in_the_way,
    items_of,
    unseen_of,
)
from app.handover.stay import Stay, stay_of
from app.handover.tables import Handover
from app.intake.facts import OrderHead


@dataclass(frozen=True)
class Issue:
    """One handover as kept. `document`: key of its paper, None where it was not printed yet."""

    id: int
    number: str
    issue: int
    fit: bool
    at: datetime
    by: str
    taken_by: str
    leaves: str
    document: int | None
    newest: bool
    registered: str  # how the tires that were fitted are registered, in words; empty where none were


@dataclass(frozen=True)
class HandoverPage:
    """Everything on a work order's handover page. `registered`: what was said of its tires' registration.

    `in_the_way`: what keeps it from leaving under tow. `initialled`: duties that the owner may sign away
    here. `checked_by`, `checked_at`: of the newest final check, which may count no more. `hands`: for who may
    check.
    """

    head: OrderHead
    fitness: Fitness
    in_the_way: tuple[Stop, ...]
    initialled: tuple[Thing, ...]
    unseen: tuple[str, ...]
    items: tuple[Item, ...]
    answers: dict[str, str]
    checked: bool
    checked_by: str
    checked_at: datetime | None
    hands: Hands
    issues: tuple[Issue, ...]
    follow: tuple[Follow, ...]
    tires: bool = False
    registered: str = ""

    @property
    def seen(self) -> int:
        """How many issues there are: what a form must name."""
        return len(self.issues)

    def may_check(self, person: int) -> bool:
        """Whether a person may make the final check."""
        return self.hands.may_check(person)


def handover_of(session: Session, order_id: int) -> HandoverPage:
    """The handover page of a work order; NoResultFound where there is none of that key."""
    stay = stay_of(session, order_id)
    names = people.names(session)
    found, follow = stay.fitness, follow_of(session, order_id)
    return HandoverPage(
        head=stay.head,
        fitness=found,
        in_the_way=in_the_way(Leaves.TOWED, found, stay.bench),
        initialled=tuple(spot.thing for spot in stay.spots if spot.thing.duty and not spot.thing.initials),
        unseen=unseen_of(stay.things),
        items=items_of(stay.head.kind),
        answers=dict(stay.check.items) if stay.check else {},
        checked=stay.bench.checked,
        checked_by=names.get(stay.check.checked_by, "") if stay.check else "",
        checked_at=stay.check.created_at if stay.check else None,
        hands=stay.hands,
        issues=tuple(_issues(session, stay)),
        follow=tuple(follow),
        tires=stay.tires,
        registered=_registered(stay, follow),
    )


def _registered(stay: Stay, follow: Sequence[Follow]) -> str:
    """What was last said of the tires' registration, at the handover or since; empty where nothing was."""
    since = [it.done_how for it in follow if it.of_tires and it.done_how in list(Registered)]
    at_it = [row.snapshot.get("registered", "") for row in stay.handovers]
    return str([*at_it, *since][-1]) if at_it else ""


def _issues(session: Session, stay: Stay) -> list[Issue]:
    """The handovers of a stay, the newest first."""
    names = people.names(session)
    rows = list(reversed(stay.handovers))
    return [
        Issue(
            id=row.key,
            number=row.number,
            issue=row.issue,
            fit=row.fit,
            at=row.created_at,
            by=names.get(row.handed_by, ""),
            taken_by=row.taken_by,
            leaves=row.leaves,
            document=paper_of(session, row),
            newest=row is rows[0],
            registered=_said(row.snapshot.get("registered", "")),
        )
        for row in rows
    ]


def _said(registered: str) -> str:
    return Registered(registered).word if registered else ""


def paper_of(session: Session, row: Handover) -> int | None:
    """Key of the document printed from a handover, or None where none was."""
    printed = documents.of_work_order(session, row.work_order_id)
    return next((it.id for it in printed if _is_of(it, row)), None)


def _is_of(document: Document, row: Handover) -> bool:
    return (document.kind, document.number, document.issue) == ("handover", row.number, row.issue)


def handover_row(session: Session, order_id: int, issue: int) -> Handover | None:
    """One issue of a stay's handover, or None where there is none."""
    same = (Handover.work_order_id == order_id, Handover.issue == issue)
    return session.exec(select(Handover).where(*same)).one_or_none()


def told(row: Handover) -> Record:
    """What a handover says, from its snapshot alone."""
    return Record.model_validate(row.snapshot)


def over(session: Session) -> frozenset[int]:
    """Keys of the work orders whose unit was handed over, fit to tow or not."""
    return frozenset(session.exec(select(Handover.work_order_id)))


OVER.append(over)
