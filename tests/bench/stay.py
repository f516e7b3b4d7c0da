"""A stay to work on: unit, order, catalogue, findings, works agreed to, instruments, all by INSERT."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path

from sqlalchemy import Engine
from sqlmodel import Session

from app.estimate.tables import Answer, Consent, Estimate, Revision, Work, WorkFinding, WorkLine
from app.ground import receipts
from app.ground.book import writing
from app.ground.tables import Instrument
from app.inspection.catalogue import Catalogue, read_catalogue
from app.inspection.tables import CatalogueVersion, Finding, Walk
from app.intake.tables import Owner, Unit, WorkOrder
from tests.conftest import NOON, act

LEE, WREN, TONI = 1, 2, 3
BEFORE = NOON - timedelta(hours=3)
LATER = NOON + timedelta(hours=1)
SEED = Path(__file__).resolve().parents[2] / "seed_data" / "catalogue"


@cache
def catalogue() -> Catalogue:
    """The catalogue that ships with the program."""
    return read_catalogue(SEED)


@dataclass
class Stay:
    """Keys of what was made."""

    book: Engine
    order: int = 0
    walk: int = 0
    second_walk: int = 0
    wrench: int = 0
    old_wrench: int = 0
    balancer: int = 0
    findings: list[int] = field(default_factory=list)
    works: list[int] = field(default_factory=list)

    def add(self, row: Finding | Work | WorkFinding | WorkLine | Answer | Instrument) -> int:
        """One row inserted; its key."""
        with writing(self.book) as session:
            session.add(row)
            session.flush()
            return row.key

    def finding(
        self,
        grade: str = "dnt",
        *,
        place: str = "wheel-1-left",
        check: str = "wh.nuts",
        second: bool = False,
        by: int = LEE,
        at: datetime = BEFORE,
    ) -> int:
        """A finding, of the second look where asked."""
        row = Finding(
            created_at=at,
            walk_id=self.second_walk if second else self.walk,
            check=check,
            place=place,
            name=f"{check}, {place}",
            grade=grade,
            by="towing" if grade == "needs" else None,
            reason="Nut 3 loose",
            looked_by=by,
            looked_at=None if grade == "unseen" else at,
            revision=1,
        )
        with writing(self.book) as session:
            row.looked_entry = receipts.coming(session) if row.looked_at else 0
            self.findings.append(receipts.sign(session, act(by, at=at), "look", row))
        return self.findings[-1]

    def work(
        self,
        records: Sequence[str] = ("wheel_torque",),
        *,
        answers: Sequence[int] = (),
        place: str = "wheel-1-left",
        kit: str = "",
        answer: str = "yes",
        outside: bool = False,
    ) -> int:
        """A work with the owner's answer."""
        row = Work(
            created_at=BEFORE,
            work_order_id=self.order,
            kit=kit,
            title="Tighten the wheel nuts",
            place=place,
            records=list(records),
            steps=["Chock, lift, set on stands.", "Tighten in the star order.", "Lower and check."],
            cautions=["c1"],
            outside=outside,
        )
        self.works.append(self.add(row))
        for finding_id in answers:
            self.add(WorkFinding(created_at=BEFORE, work_id=self.works[-1], finding_id=finding_id))
        self.add(line_of(self.works[-1]))
        if answer:
            self.add(
                Answer(created_at=BEFORE, consent_id=1, work_id=self.works[-1], answer=answer, amount=6250)
            )
        return self.works[-1]


def line_of(work: int) -> WorkLine:
    """The labour of a work on the first revision: half an hour at 125.00."""
    return WorkLine(
        created_at=BEFORE,
        revision_id=1,
        work_id=work,
        position=work,
        group="must",
        kind="labour",
        what="Labour",
        quantity="0.5",
        price=12500,
        amount=6250,
        tax="labour",
    )


def stay(book: Engine) -> Stay:
    """A two-axle travel trailer checked in, walked round, priced, its owner ready to answer."""
    made = Stay(book)
    with writing(book) as session:
        owner = _kept(session, Owner(created_at=BEFORE, name="Marisol Teague", phone="555 0142"))
        unit = _kept(session, _unit(owner))
        made.order = _kept(session, _order(unit, owner))
        version = CatalogueVersion(created_at=BEFORE, sha256="0" * 64, content=catalogue().to_json())
        first = _kept(session, version)
        made.walk = _kept(session, _walk(made.order, first, "full"))
        made.second_walk = _kept(session, _walk(made.order, first, "second"))
        estimate = _kept(session, Estimate(created_at=BEFORE, work_order_id=made.order, number="E-2026-0001"))
        revision = _kept(session, Revision(created_at=BEFORE, estimate_id=estimate, n=1, frozen_at=BEFORE))
        _kept(session, _consent(revision))
        made.wrench = _kept(session, _tool("Torque wrench 7", "torque wrench", "lbf_ft", date(2027, 1, 12)))
        made.old_wrench = _kept(
            session, _tool("Torque wrench 2", "torque wrench", "lbf_ft", date(2026, 3, 1))
        )
        made.balancer = _kept(session, _tool("Balancer", "balancer", "", None))
    return made


def _kept(session: Session, row: object) -> int:
    session.add(row)
    session.flush()
    key: int = row.key  # type: ignore[attr-defined]  # every table of ours is Kept
    return key


def _unit(owner: int) -> Unit:
    return Unit(
        created_at=BEFORE,
        number=214,
        owner_id=owner,
        kind="travel",
        maker="Ottersby",
        year=2014,
        length_ft="21",
        axles=2,
        gvwr="7000",
        gawr=["3500", "3500"],
        tire_size="ST205/75R14",
        tire_pressure="50",
        stud_thread="1/2-20",
        stud_count=6,
        torque_low="100",
        torque_high="120",
        torque_source="wheel placard",
        brakes="electric",
    )


def _order(unit: int, owner: int) -> WorkOrder:
    return WorkOrder(
        created_at=BEFORE,
        number=236,
        unit_id=unit,
        owner_id=owner,
        arrived_at=BEFORE,
        taken_in_by=WREN,
        stands="Bay 2",
    )


def _walk(order: int, version: int, depth: str) -> Walk:
    return Walk(
        created_at=BEFORE,
        work_order_id=order,
        catalogue_id=version,
        depth=depth,
        begun_by=LEE,
        ended_at=BEFORE,
    )


def _consent(revision: int) -> Consent:
    return Consent(
        created_at=BEFORE,
        revision_id=revision,
        how="phone",
        who="Marisol Teague",
        said_at=datetime(2026, 5, 4, 14, 0, tzinfo=UTC),
        taken_by=WREN,
    )


def _tool(name: str, kind: str, unit: str, due: date | None) -> Instrument:
    ends = ("20", "150") if unit else ("", "")
    return Instrument(
        created_at=BEFORE, name=name, kind=kind, unit=unit, least=ends[0], most=ends[1], calibration_due=due
    )
