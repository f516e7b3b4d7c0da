"""The record of a handover, told from every room."""

from collections.abc import Iterator
from datetime import datetime

from sqlmodel import Session

from app.ground import people
from app.ground.receipts import head as newest_hash
from app.ground.shop import shop_of
from app.ground.tables import Shop
from app.handover import record, sentences
from app.handover.duties import Duty, duties
from app.handover.other_stays import Seen
from app.handover.rules import Fitness, Leaving, NotFit, fitness
from app.handover.stay import Stay
from app.handover.told.left import left
from app.handover.told.lines import line_of, threads
from app.handover.told.proof import figures, measured, photos
from app.handover.told.teller import Teller
from app.handover.told.warnings import cautions, defers, final_check_of
from app.handover.told.work import cost_of, done_of, held_of, invoiced_of, works_done
from app.intake.facts import OrderHead, unit_of
from app.trade.days import day
from app.trade.figure import By, Grade, plain
from app.trade.quantity import read_number, with_unit


def record_of(
    session: Session, stay: Stay, leaving: Leaving, *, at: datetime, person: int, number: str, issue: int
) -> record.Record:
    """Everything that the handover of a stay says, at an instant, handed by a person."""
    shop = shop_of(session)
    it = Teller(session, stay, leaving, at, person, number, issue, shop.zone, people.names(session))
    unit = unit_of(session, stay.head.order_id)
    stops = it.stops
    found = NotFit(stops) if stops else fitness(it.things, walked=True)
    shown, more = photos(it)
    return record.Record(
        shop=shop_told(shop),
        tag=tag_told(stay.head, "handed over"),
        order_number=stay.head.order_number,
        vin=unit.vin,
        owner=stay.head.owner,
        handed=_handed(it, fit=not stops),
        answer=tuple(_answer(it, found, _gvwr(unit.gvwr, unit.gvwr_unit))),
        stops=tuple(record.Stopping(state=stop.grade, says=stop.says) for stop in stops),
        duties=tuple(_duty(each) for each in duties(it.things, found, done_of(it), it.today)),
        works=tuple(works_done(it)),
        cost=cost_of(it),
        invoiced=invoiced_of(it),
        held=held_of(it),
        lines=tuple(line_of(it, spot) for spot in stay.spots),
        left=tuple(left(it)),
        threads=tuple(threads(it)),
        measured=tuple(measured(it)),
        figures=tuple(figures(it)),
        photos=shown,
        photos_more=more,
        cautions=tuple(cautions(it)),
        defers=tuple(defers(it)),
        final_check=final_check_of(it),
        registered=str(leaving.registered or ""),
    )


def shop_told(row: Shop) -> record.Shop:
    """The shop as it stands."""
    return record.Shop(
        name=row.name, address=row.address, phone=row.phone, zone=row.zone, currency=row.currency
    )


def tag_told(head: OrderHead, stands: str) -> record.Tag:
    """The unit's tag. `stands`: where it is, in words."""
    lines = tuple(filter(None, (f"VIN {head.vin}" if head.vin else "", head.made)))
    return record.Tag(number=head.number, what=head.what, whose=head.owner, stands=stands, lines=lines)


def _handed(it: Teller, *, fit: bool) -> record.Handed:
    leaving = it.leaving
    return record.Handed(
        number=it.number,
        issue=it.issue,
        at=it.at,
        by=it.names.get(it.person, ""),
        fit=fit,
        leaves=str(leaving.leaves),
        carrier=leaving.carrier,
        taken_by=leaving.taken_by,
        signature=leaving.signature,
        on_paper=leaving.on_paper,
        replaces=f"{it.number}, issue {it.issue - 1}" if it.issue > 1 else "",
        witness=newest_hash(it.session),
        unseen_reason=leaving.unseen_reason,
    )


def _gvwr(typed: str, unit: str) -> str:
    return with_unit(plain(read_number(typed)), unit) if typed else ""


def _answer(it: Teller, found: Fitness, gvwr: str) -> Iterator[str]:
    if isinstance(found, NotFit):
        return sentences.may_not_tow(found.stops, it.leaving)
    looked = sum(spot.thing.grade is not Grade.UNSEEN and spot.line.fitted for spot in it.stay.spots)
    put_right = sum(_held(spot) for spot in it.stay.spots)
    return sentences.may_tow(found, looked, put_right, gvwr, it.leaving.unseen_reason)


def _held(spot: Seen) -> bool:
    """Whether a fault at this spot held the tow and does not any more."""
    held = any(look.grade is Grade.DNT or look.by is By.TOWING for look in spot.looks)
    return held and spot.thing.grade in (Grade.SOUND, Grade.WATCH)


def _duty(each: Duty) -> record.Duty:
    return record.Duty(when=each.when or day(each.on), what=each.what, on=each.on, miles=each.miles)
