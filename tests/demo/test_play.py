"""The demo shop: played in through the steps, sound by every check, each unit where the scenario says."""

import re
from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal

import pytest
from sqlalchemy import Engine
from sqlmodel import Session, select

from app.demo import furnish
from app.demo.fitting import fitting
from app.demo.pictures import picture
from app.ground import backups
from app.ground.acting import now
from app.ground.book import open_book, reading
from app.ground.settings import Settings, folder
from app.handover.tables import Handover
from app.inspection.catalogue import read_catalogue
from app.inspection.places import UnitShape, walk_order
from app.inspection.ruling import UnitFacts
from app.intake.tables import Unit, WorkOrder
from app.trade.figure import Grade
from app.yard import facts


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[tuple[Settings, Engine]]:
    settings = Settings(data=tmp_path_factory.mktemp("demo"), demo=True)
    furnish(settings)
    book = open_book(settings.book)
    yield settings, book
    book.dispose()


def row(session: Session, maker: str) -> facts.BoardRow:
    unit = session.exec(select(Unit).where(Unit.maker == maker)).one()
    order = session.exec(select(WorkOrder).where(WorkOrder.unit_id == unit.key)).one()
    (found,) = facts.rows_of(session, [order.key], now())
    return found


def test_verify_finds_nothing_in_the_demo(demo: tuple[Settings, Engine]) -> None:
    assert backups.verify(demo[0]) == []


@pytest.mark.parametrize(
    ("maker", "stage", "grade"),
    [
        ("Ottersby", "in work", Grade.DNT),
        ("Quillon", "waiting for the owner", Grade.NEEDS),
        ("Home-built", "priced", Grade.DNT),
        ("Barrow", "checked in", Grade.UNSEEN),
        ("Selvedge", "being inspected", Grade.NEEDS),
        ("Ashlode", "handed over", None),
    ],
)
def test_each_unit_stands_where_the_scenario_says(
    demo: tuple[Settings, Engine], maker: str, stage: str, grade: Grade | None
) -> None:
    with reading(demo[1]) as session:
        found = row(session, maker)
    assert found.stage.word == stage
    assert grade is None or found.grade is grade


def test_the_unit_that_left_holds_no_finding_that_stops_it(demo: tuple[Settings, Engine]) -> None:
    with reading(demo[1]) as session:
        found = row(session, "Ashlode")
        page = facts.order_page(session, found.head.order_id)
        handed = session.exec(select(Handover)).one()
    assert page.road.state is not Grade.DNT
    assert handed.fit
    assert any(thread.knots[-1].at for thread in page.threads)


def test_the_twenty_year_old_trailer_has_what_the_scenario_promises(demo: tuple[Settings, Engine]) -> None:
    with reading(demo[1]) as session:
        found = row(session, "Ottersby")
        threads = facts.threads_of(session, found.head.order_id)
    grades = {(t.finding.check, t.finding.place): t.finding.grade for t in threads}
    assert grades["ti.age", "tire-1-left"] is Grade.DNT
    assert grades["ti.age", "spare"] is Grade.NEEDS
    assert grades["lp.date", "cylinder-1"] is Grade.NEEDS
    assert ("cp.bars", "unit") in grades


def test_no_real_person_can_be_called_from_the_demo() -> None:
    told = (folder("seed_data") / "demo.toml").read_text()
    # 555-0100 to 555-0199 are kept for made-up use: North American Numbering Plan
    phones = re.findall(r'phone = "([^"]+)"', told)
    assert phones
    assert all(phone.startswith("555 555 01") for phone in phones)
    # .example is a reserved name: RFC 2606
    assert all(address.endswith(".example") for address in re.findall(r"\S+@[^\s\"]+", told))


@pytest.mark.parametrize("kind", ["travel", "tent", "cargo", "utility", "boat"])
def test_for_every_check_of_a_known_unit_sound_readings_are_found(kind: str) -> None:
    catalogue = read_catalogue(folder("seed_data") / "catalogue")
    unit = UnitFacts(
        kind=kind,
        year=2014,
        axles=1,
        gvwr_lb=Decimal(3500),
        gawr_lb=(Decimal(3500),),
        placard_size="ST205/75R14",
        placard_psi=Decimal(50),
        torque_low=Decimal(90),
        torque_high=Decimal(120),
        brakes="surge" if kind == "boat" else "electric",
        brakes_required=True,
        vin="7ZZTA21264EA01907",
    )
    shape = UnitShape(kind, 1, 1, spare=True, cylinders=2)  # type: ignore[arg-type]
    for check, place in walk_order(catalogue, shape, "full"):
        assert fitting(check, unit, date(2026, 5, 4), place.key) is not None, check.key


def test_drawn_photos_are_pictures_of_print_size() -> None:
    made = picture("gauge in the groove, 1.5/32 in")
    assert (made.width, made.height) == (1280, 960)
    assert made.print_jpeg != picture("crack at the A-frame").print_jpeg


def test_the_demo_begins_in_the_past_and_ends_now(demo: tuple[Settings, Engine]) -> None:
    with reading(demo[1]) as session:
        orders = list(session.exec(select(WorkOrder)))
    present = now()
    assert all(present - timedelta(days=20) < order.arrived_at <= present for order in orders)
    assert len({order.arrived_at.date() for order in orders}) >= 5
