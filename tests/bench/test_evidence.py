"""What counts as evidence in the book: who worked, what a work asks for, what a record is told."""

from concurrent.futures import ThreadPoolExecutor
from datetime import date
from decimal import Decimal

import pytest
from sqlmodel import select

from app.bench import evidence, steps
from app.bench.kinds import record_kinds
from app.bench.tables import BenchRecord, Job
from app.ground.book import reading, writing
from app.ground.tables import Receipt, Shop
from app.inspection.tables import Finding
from app.intake.tables import Unit
from tests.bench.forms import torque
from tests.bench.stay import LEE, TONI, WREN, Stay, catalogue
from tests.conftest import act

TODAY = date(2026, 5, 4)


def job_of(here: Stay) -> int:
    """A job answering one finding at the left wheel of axle 1."""
    here.work(answers=[here.finding("dnt")])
    return steps.open_jobs(here.book, act(WREN), here.order)


def test_the_one_who_opens_or_accepts_a_job_has_not_worked_on_it(here: Stay) -> None:
    job = job_of(here)
    steps.accept_job(here.book, act(LEE), job, "Measured by the frame shop, slip in the folder")
    with reading(here.book) as session:
        assert evidence.workers_of(session, session.get_one(Job, job)) == frozenset()


def test_everyone_who_touched_the_work_has_worked_on_it(here: Stay) -> None:
    job = job_of(here)
    steps.begin(here.book, act(TONI), job)
    steps.begin(here.book, act(LEE, seen=1), job)  # takes it over; Toni has worked on it all the same
    steps.keep_record(here.book, act(WREN), job, "wheel_torque", "wheel-1-left", torque())
    with reading(here.book) as session:
        assert evidence.workers_of(session, session.get_one(Job, job)) == {LEE, WREN, TONI}


def test_workers_of_a_superseded_record_still_count(here: Stay) -> None:
    job = job_of(here)
    old = steps.keep_record(here.book, act(TONI), job, "wheel_torque", "wheel-1-left", torque())
    steps.correct_record(here.book, act(LEE), old, torque(), "Done again.")
    with reading(here.book) as session:
        fault = evidence.fault_of(session, session.get_one(Finding, here.findings[0]))
    assert fault.workers == {LEE, TONI}


@pytest.mark.parametrize(
    ("kit", "place", "count"),
    [
        ("k14", "unit", 4),  # sold a unit: all wheels
        ("k12", "wheel-1-left", 1),
        ("k12", "unit", 1),  # sold a wheel, its finding names which
        ("", "", 1),  # typed by hand, its finding names which
    ],
)
def test_a_work_asks_where_its_kit_and_findings_say(here: Stay, kit: str, place: str, count: int) -> None:
    here.work(answers=[here.finding("dnt")], kit=kit, place=place)
    job = steps.open_jobs(here.book, act(TONI), here.order)
    with reading(here.book) as session:
        asked = evidence.asked_for(session, session.get_one(Job, job))
    assert len(asked) == count
    assert "wheel-1-left" in {each.place for each in asked}


# By how each kind breaks away, common practice: current and a battery of its own; a lever; air that is let go
PROVED = [
    ("electric", "bk.fitted", "breakaway", True),
    ("electric", "bk.fitted", "breakaway_pull", False),
    ("electric", "bk.fitted", "brake_readings", False),  # the lining says nothing of a breakaway
    ("hydraulic", "bk.works", "breakaway", True),
    ("surge", "bk.surge", "breakaway_pull", True),
    ("surge", "bk.surge", "brake_readings", False),
    ("surge", "bk.cable", "breakaway_pull", True),
    ("surge", "bk.fitted", "breakaway", False),
    ("air", "bk.works", "breakaway_pull", True),
    ("air", "bk.works", "breakaway", False),
    ("air", "bk.fitted", "breakaway_pull", True),
    ("unknown", "bk.fitted", "breakaway_pull", True),  # whoever did it saw what it has
]


@pytest.mark.parametrize(("brakes", "check", "record", "proved"), PROVED)
def test_a_breakaway_is_proved_by_the_record_for_its_brakes(
    here: Stay, brakes: str, check: str, record: str, *, proved: bool
) -> None:
    with writing(here.book) as session:
        session.exec(select(Unit)).one().brakes = brakes
    here.work([record], answers=[here.finding("dnt", check=check, place="unit")], place="unit")
    job = steps.open_jobs(here.book, act(TONI), here.order)
    with reading(here.book) as session:
        proof = evidence.proof_of(session, job)
    assert proof is not None
    assert ((check, "unit") not in proof.beside) is proved


@pytest.mark.parametrize(
    ("check", "brakes", "record"),
    [
        ("bk.works", "electric", "breakaway"),
        ("bk.surge", "surge", "breakaway_pull"),
        ("bk.works", "air", "breakaway_pull"),
        ("bk.fitted", "air", "breakaway_pull"),
    ],
)
def test_work_on_a_breakaway_asks_for_the_record_of_its_brakes(check: str, brakes: str, record: str) -> None:
    offered = catalogue().kits_for(catalogue().check(check).kits, brakes)
    assert offered
    assert {catalogue().kit(key).records for key in offered} == {(record,)}


def test_a_record_is_told_the_units_figure_and_the_shops_weights(here: Stay) -> None:
    job = job_of(here)
    with writing(here.book) as session:
        session.exec(select(Shop)).one().settings = {"weight_unit": "g", "weight_step_g": "2.5"}
        session.exec(select(Unit)).one().brakes_required = False
    with reading(here.book) as session:
        row = session.get_one(Job, job)
        told = evidence.context_of(session, row, record_kinds()["wheel_torque"], "wheel-1-left", TODAY)
    assert (told.studs, told.torque_low, told.torque_high) == (6, "100", "120")
    assert (told.weight_unit, told.weight_steps["g"]) == ("g", Decimal("2.5"))
    assert not told.brakes_required
    assert [tool.name for tool in told.tools] == ["Balancer", "Torque wrench 2", "Torque wrench 7"]
    assert told.before is None


def test_the_next_record_is_told_of_the_one_before_at_its_place(here: Stay) -> None:
    job = job_of(here)
    steps.keep_record(here.book, act(TONI), job, "wheel_torque", "wheel-1-left", torque(moved_3="yes"))
    with reading(here.book) as session:
        row, kind = session.get_one(Job, job), record_kinds()["wheel_torque"]
        here_again = evidence.context_of(session, row, kind, "wheel-1-left", TODAY)
        elsewhere = evidence.context_of(session, row, kind, "wheel-2-left", TODAY)
    assert here_again.before is not None
    assert here_again.before["moved"] == [3]
    assert elsewhere.before is None
    assert elsewhere.last_tool == str(here.wrench)


def test_eight_threads_with_one_act_keep_one_record(here: Stay) -> None:
    job, once = job_of(here), act(TONI)
    with ThreadPoolExecutor(8) as pool:
        made = [
            pool.submit(steps.keep_record, here.book, once, job, "wheel_torque", "wheel-1-left", torque())
            for _ in range(8)
        ]
        keys = {each.result() for each in made}
    with reading(here.book) as session:
        assert [record.key for record in session.exec(select(BenchRecord))] == list(keys)
        signed = session.exec(select(Receipt).where(Receipt.submission == once.submission)).all()
    assert len(signed) == 1


def test_evidence_of_another_stay_is_none(here: Stay) -> None:
    with reading(here.book) as session:
        assert evidence.proof_of(session, 99) is None
        assert evidence.look_of(session, 99) is None
        assert evidence.order_of_finding(session, None) is None
