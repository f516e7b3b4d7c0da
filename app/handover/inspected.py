"""The inspection report: what a walk-round found, in writing, for somebody who is about to buy.

It is told from the stay as it stands when it is printed, and is no handover: nothing leaves with it.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session

from app.ground import people
from app.ground.acting import Act
from app.ground.papers import Paper
from app.ground.press import Enclosed
from app.ground.shop import shop_of
from app.handover.papers import Station, as_json, many_black, stations_of
from app.handover.record import Figure, Line, Part, Picture, Shop, Tag, Warned
from app.handover.rules import Leaves, Leaving
from app.handover.stay import Stay, stay_of
from app.handover.told.lines import line_of
from app.handover.told.proof import figures, photos
from app.handover.told.teller import Teller
from app.handover.told.warnings import cautions, defers
from app.handover.told.whole import shop_told, tag_told
from app.inspection.facts import walks_of
from app.inspection.rules import weight
from app.intake.facts import DEPTH_WORDS, unit_of
from app.trade.figure import Grade

KIND = "inspection report"


class Walked(Part):
    """A walk-round: how deep, who began it, from when to when."""

    depth: str
    by: str
    begun: datetime
    ended: datetime


class Report(Part):
    """Everything that the report says. `state`, `word`, `says`: may it be towed, as it stands."""

    format: str = "inspection/1"
    shop: Shop
    tag: Tag
    order_number: str
    vin: str
    made_for: str
    at: datetime
    by: str
    walks: tuple[Walked, ...]
    state: Grade
    word: str
    says: str
    lines: tuple[Line, ...]
    figures: tuple[Figure, ...]
    photos: tuple[Picture, ...]
    photos_more: int = 0
    cautions: tuple[Warned, ...] = ()
    defers: tuple[str, ...] = ()


@dataclass(frozen=True)
class Page:
    """What the template is given: the report, sorted for reading."""

    report: Report
    stations: tuple[Station, ...]

    @property
    def found(self) -> tuple[Line, ...]:
        """What is not simply sound, the heaviest first."""
        heavy = [line for line in self.report.lines if line.state not in (Grade.SOUND, Grade.UNSEEN)]
        return tuple(sorted(heavy, key=lambda line: weight(line.state, line.by)))

    @property
    def unseen(self) -> tuple[Line, ...]:
        """What nobody looked at."""
        return tuple(line for line in self.report.lines if line.state is Grade.UNSEEN)

    @property
    def looked(self) -> int:
        """How many things were looked at."""
        return sum(line.fitted for line in self.report.lines) - len(self.unseen)

    @property
    def lookers(self) -> tuple[str, ...]:
        """Who looked, each once."""
        return tuple(dict.fromkeys(line.looked_by for line in self.report.lines if line.looked_by))

    @property
    def many(self) -> bool:
        """Whether there are so many black rows that they become a boxed list."""
        return many_black(self.report.lines)


def report_of(session: Session, order_id: int, act: Act) -> Report | None:
    """The report on a unit as it stands at an act; None while its walk-round is not ended.

    NoResultFound where there is no such work order.
    """
    stay = stay_of(session, order_id)
    if not stay.walked:
        return None
    shop, names = shop_of(session), people.names(session)
    nowhere = Leaving(Leaves.CARRIED, "")
    it = Teller(session, stay, nowhere, act.at, act.person, "", 0, shop.zone, names)
    shown, more = photos(it)
    return Report(
        shop=shop_told(shop),
        tag=tag_told(stay.head, stay.head.stands),
        order_number=stay.head.order_number,
        vin=unit_of(session, order_id).vin,
        made_for=stay.head.owner,
        at=act.at,
        by=names.get(act.person, ""),
        walks=tuple(_walks(session, stay, names)),
        state=stay.towing.state,
        word=stay.towing.word,
        says=stay.towing.says,
        lines=tuple(line_of(it, spot) for spot in stay.spots),
        figures=tuple(figures(it)),
        photos=shown,
        photos_more=more,
        cautions=tuple(cautions(it)),
        defers=tuple(defers(it)),
    )


def _walks(session: Session, stay: Stay, names: Mapping[int, str]) -> Iterator[Walked]:
    for walk in walks_of(session, stay.head.order_id):
        if walk.depth in DEPTH_WORDS and walk.ended_at:
            by = names.get(walk.begun_by, "")
            yield Walked(depth=DEPTH_WORDS[walk.depth], by=by, begun=walk.created_at, ended=walk.ended_at)


def report_paper(report: Report, order_id: int) -> Paper:
    """The paper of a report, with the same as JSON inside; printed again it is the next issue."""
    content = as_json(report.model_dump(mode="json"))
    return Paper(
        template="inspection_report",
        kind=KIND,
        number=report.order_number,
        title="Inspection report",
        work_order_id=order_id,
        facts={
            "it": Page(report, tuple(stations_of(report.lines))),
            "tag": report.tag,
            "shop_row": report.shop,
            "zone": report.shop.zone,
            "printed_at": report.at,
        },
        photos={photo.name: photo.sha256 for photo in report.photos},
        enclosed=(Enclosed("record.json", content, "Everything that this report says", report.at),),
    )
