"""The demo shop: played in through the steps, sound by every check, each unit where the scenario says."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from sqlmodel import Session, select

from app.bench.album import album_of
from app.bench.tables import Job
from app.demo.fitting import fitting
from app.demo.pictures import job_picture, picture
from app.estimate.facts import ledger
from app.ground import backups
from app.ground.acting import now
from app.ground.book import reading
from app.ground.settings import folder
from app.ground.tables import Photo
from app.handover.tables import Handover
from app.inspection.catalogue import read_catalogue
from app.inspection.places import UnitShape, walk_order
from app.inspection.ruling import UnitFacts
from app.intake.tables import Unit, WorkOrder
from app.trade.figure import Grade
from app.yard import facts
from tests.demo.conftest import Demo


def row(session: Session, maker: str) -> facts.BoardRow:
    unit = session.exec(select(Unit).where(Unit.maker == maker)).one()
    order = session.exec(select(WorkOrder).where(WorkOrder.unit_id == unit.key)).one()
    (found,) = facts.rows_of(session, [order.key], now())
    return found


def test_verify_finds_nothing_in_the_demo(shop: Demo) -> None:
    assert backups.verify(shop.settings) == []


@pytest.mark.parametrize(
    ("maker", "stage", "grade"),
    [
        ("Ottersby", "in work", Grade.DNT),
        ("Quillon", "waiting for the owner", Grade.NEEDS),
        ("Tarrant", "waiting for the owner", Grade.NEEDS),
        ("Home-built", "priced", Grade.DNT),
        ("Barrow", "checked in", Grade.UNSEEN),
        ("Selvedge", "being inspected", Grade.NEEDS),
        ("Ashlode", "handed over", None),
    ],
)
def test_each_unit_stands_where_the_scenario_says(
    shop: Demo, maker: str, stage: str, grade: Grade | None
) -> None:
    with reading(shop.book) as session:
        found = row(session, maker)
    assert found.stage.word == stage
    assert grade is None or found.grade is grade


def test_the_unit_that_left_holds_no_finding_that_stops_it(shop: Demo) -> None:
    with reading(shop.book) as session:
        found = row(session, "Ashlode")
        page = facts.order_page(session, found.head.order_id)
        handed = session.exec(select(Handover)).one()
    assert page.road.state is not Grade.DNT
    assert handed.fit
    assert any(thread.knots[-1].at for thread in page.threads)


def test_the_twenty_year_old_trailer_has_what_the_scenario_promises(shop: Demo) -> None:
    with reading(shop.book) as session:
        found = row(session, "Ottersby")
        threads = facts.threads_of(session, found.head.order_id)
    grades = {(t.finding.check, t.finding.place): t.finding.grade for t in threads}
    assert grades["ti.age", "tire-1-left"] is Grade.DNT
    assert grades["ti.age", "spare"] is Grade.NEEDS
    assert grades["lp.date", "cylinder-1"] is Grade.NEEDS
    assert ("cp.bars", "unit") in grades


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
        vin="7ZZTA2129EA001907",
    )
    shape = UnitShape(kind, 1, 1, spare=True, cylinders=2)  # type: ignore[arg-type]
    for check, place in walk_order(catalogue, shape, "full"):
        assert fitting(check, unit, date(2026, 5, 4), place.key) is not None, check.key


def test_drawn_photos_are_pictures_of_print_size() -> None:
    made = picture("gauge in the groove, 1.5/32 in")
    assert (made.width, made.height) == (1280, 960)
    assert made.print_jpeg != picture("crack at the A-frame").print_jpeg


def test_the_demo_begins_in_the_past_and_ends_now(shop: Demo) -> None:
    with reading(shop.book) as session:
        orders = list(session.exec(select(WorkOrder)))
    present = now()
    assert all(present - timedelta(days=20) < order.arrived_at <= present for order in orders)
    assert len({order.arrived_at.date() for order in orders}) >= 5


def test_a_repair_and_its_replacement_stand_side_by_side_before_the_owner(shop: Demo) -> None:
    with reading(shop.book) as session:
        made = ledger(session, row(session, "Quillon").head.order_id, now().date())
    repair, instead = (work for work in made.works if work.ways)
    assert (repair.way, instead.way) == ("Recommended", "Or instead")
    assert (repair.counts, instead.counts) == (True, False)
    assert repair.amount < instead.amount
    assert made.frozen


def test_what_a_job_uncovered_is_asked_about_on_a_supplement(shop: Demo) -> None:
    with reading(shop.book) as session:
        made = ledger(session, row(session, "Tarrant").head.order_id, now().date())
    assert (made.n, made.frozen) == (2, True)
    assert made.since is not None
    (asked,) = [work for work in made.works if work.asks]
    assert made.since.fresh == {asked.id}
    assert made.since.more == asked.amount
    assert "spindle" in made.note


def test_each_finished_job_is_shown_before_and_after_and_one_under_way_before(shop: Demo) -> None:
    with reading(shop.book) as session:
        jobs = list(session.exec(select(Job)))
        albums = {job.key: album_of(session, job.key) for job in jobs}
        photos = {photo.key: photo for photo in session.exec(select(Photo))}
    finished = [job for job in jobs if job.finished_at is not None]
    assert finished
    for job in finished:
        before, after = albums[job.key].before, albums[job.key].after
        assert (len(before), len(after)) == (1, 1)
        assert (job.begun_at or before[0].at) <= before[0].at < after[0].at < (job.finished_at or after[0].at)
        assert photos[before[0].photo_id].sha256 != photos[after[0].photo_id].sha256
    going = [job for job in jobs if job.finished_at is None and albums[job.key].before]
    assert going
    assert all(albums[job.key].after == () for job in going)


def test_the_handover_of_the_unit_that_left_shows_the_work_before_and_after(shop: Demo) -> None:
    with reading(shop.book) as session:
        order = row(session, "Ashlode").head.order_id
        handed = session.exec(select(Handover).where(Handover.work_order_id == order)).one()
    captions = [photo["caption"] for photo in handed.snapshot["photos"]]
    assert any("before the work" in each for each in captions)
    assert any("after the work" in each for each in captions)


@pytest.mark.parametrize("title", ["Wheel torque, every wheel", "Bearing service, hub", "Weld the hanger"])
def test_a_job_is_drawn_as_it_was_and_as_it_is(title: str) -> None:
    before, after = job_picture(title, "before"), job_picture(title, "after")
    assert (before.width, before.height) == (after.width, after.height) == (1280, 960)
    assert before.print_jpeg != after.print_jpeg
    assert before.print_jpeg == job_picture(title, "before").print_jpeg
