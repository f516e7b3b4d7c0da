"""The spine in the demo: finding, work line, consent, job, record, clearance, handover, each with its row."""

from datetime import datetime
from decimal import Decimal
from io import BytesIO

import pytest
from pypdf import PdfReader
from sqlmodel import Session, col, func, select

from app.accounts.rows import bills_of, invoiced, lines_of_bill, owed, payments_of
from app.accounts.tables import Bill, Payment
from app.accounts.uses import histories
from app.bench.facts import jobs_of
from app.bench.rules import How
from app.bench.tables import BenchRecord, Clearance, Job, Stint
from app.estimate.tables import Answer, Consent
from app.ground import files, receipts
from app.ground.acting import now
from app.ground.book import reading
from app.ground.tables import Document, Receipt
from app.handover.tables import FinalCheck, Handover
from app.inspection.facts import findings_of
from app.intake.tables import Unit, WorkOrder
from app.parts.facts import standing
from app.parts.tables import Movement, Part
from app.trade.figure import Grade
from app.yard.facts import threads_of
from tests.demo.conftest import Demo


def order_of(session: Session, maker: str) -> int:
    unit = session.exec(select(Unit).where(Unit.maker == maker)).one()
    return session.exec(select(WorkOrder).where(WorkOrder.unit_id == unit.key)).one().key


def answer_to(session: Session, work: int) -> Answer:
    return session.exec(select(Answer).where(Answer.work_id == work)).one()


# Finding, consent, job, record, clearance


def test_no_job_is_without_the_owners_yes_that_came_before_it(shop: Demo) -> None:
    with reading(shop.book) as session:
        jobs = list(session.exec(select(Job)))
        answers = {job.key: answer_to(session, job.work_id) for job in jobs}
        said = {each.key: each.said_at for each in session.exec(select(Consent))}
    assert len(jobs) >= 10
    assert {answer.answer for answer in answers.values()} == {"yes"}
    assert all(said[answers[job.key].consent_id] <= job.created_at for job in jobs)


def test_what_the_owner_puts_off_is_no_job(shop: Demo) -> None:
    with reading(shop.book) as session:
        later = [each.work_id for each in session.exec(select(Answer).where(Answer.answer == "later"))]
        jobs = {job.work_id for job in session.exec(select(Job))}
    assert later
    assert jobs.isdisjoint(later)


@pytest.mark.parametrize("maker", ["Ashlode", "Fallow"])
def test_finished_work_has_each_record_that_it_asks_for(shop: Demo, maker: str) -> None:
    with reading(shop.book) as session:
        jobs = jobs_of(session, order_of(session, maker))
    assert jobs
    for job in jobs:
        assert job.finished_at is not None
        assert job.proved, job.title
        assert [asked.kind for asked in job.asked if asked.record is None] == []


@pytest.mark.parametrize("maker", ["Ashlode", "Fallow"])
def test_a_finding_that_was_worked_on_is_cleared_by_its_record_and_by_another_person(
    shop: Demo, maker: str
) -> None:
    with reading(shop.book) as session:
        jobs = {job.id: job for job in jobs_of(session, order_of(session, maker))}
        worked_on = {finding for job in jobs.values() for finding in job.finding_ids}
        cleared = [each for each in session.exec(select(Clearance)) if each.finding_id in worked_on]
        rows = {job.key: job for job in session.exec(select(Job))}
    assert {each.finding_id for each in cleared} == worked_on
    for each in cleared:
        assert each.how == How.RECORD
        assert each.job_id in jobs and each.finding_id in jobs[each.job_id].finding_ids
        assert each.cleared_by != rows[each.job_id].finished_by
        assert each.reason == ""


def test_a_record_is_made_while_its_job_is_open(shop: Demo) -> None:
    with reading(shop.book) as session:
        jobs = {job.key: job for job in session.exec(select(Job))}
        records = list(session.exec(select(BenchRecord).where(col(BenchRecord.job_id).is_not(None))))
    assert {record.kind for record in records} >= {
        "wheel_torque",
        "balance",
        "tires_fitted",
        "water_test",
        "moisture_map",
    }
    for record in records:
        job = jobs[record.job_id or 0]
        assert job.begun_at is not None and job.begun_at <= record.created_at
        assert job.finished_at is None or record.created_at <= job.finished_at


def test_a_walk_that_was_ended_leaves_nothing_that_was_looked_at_unseen(shop: Demo) -> None:
    with reading(shop.book) as session:
        for maker in ("Ashlode", "Fallow", "Ottersby"):
            looked = [f for f in findings_of(session, order_of(session, maker)) if f.looked_at]
            unseen = [(f.check, f.place) for f in looked if f.grade is Grade.UNSEEN]
            assert len(looked) > 60
            assert unseen == [], maker


def test_each_thread_of_the_unit_that_left_runs_to_its_end_in_the_order_of_the_job(shop: Demo) -> None:
    with reading(shop.book) as session:
        threads = threads_of(session, order_of(session, "Ashlode"))
    assert threads
    for thread in threads:
        reached = {knot.word: knot.at for knot in thread.knots}
        # a job is done once it is measured: in time these two stand the other way round
        course = [reached[word] for word in ("found", "priced", "agreed", "measured", "done", "cleared")]
        assert None not in course
        assert course == sorted(at for at in course if at is not None)


def test_the_unit_that_left_was_checked_by_two_people_before_it_went(shop: Demo) -> None:
    with reading(shop.book) as session:
        order = order_of(session, "Ashlode")
        (handed,) = session.exec(select(Handover).where(Handover.work_order_id == order))
        (check,) = session.exec(select(FinalCheck).where(FinalCheck.work_order_id == order))
        cleared = list(session.exec(select(Clearance.created_at)))
    assert handed.fit
    assert check.created_at < handed.created_at
    before = [at for at in cleared if at < handed.created_at]
    assert max(before) < check.created_at


# Hours, money, stock


def test_no_technician_is_at_two_jobs_at_once(shop: Demo) -> None:
    with reading(shop.book) as session:
        stints = list(session.exec(select(Stint).order_by(col(Stint.person_id), col(Stint.created_at))))
    latest: dict[int, datetime | None] = {}
    for stint in stints:
        if stint.person_id in latest:
            ended = latest[stint.person_id]
            assert ended is not None and ended <= stint.created_at
        latest[stint.person_id] = stint.ended_at


def test_what_is_owed_is_what_was_billed_less_what_came_in(shop: Demo) -> None:
    with reading(shop.book) as session:
        for order in {bill.work_order_id for bill in session.exec(select(Bill))}:
            bills, came = bills_of(session, order), payments_of(session, order)
            signs = {"invoice": 1, "credit": -1}
            billed = sum(signs[bill.kind] * bill.gross for bill in bills)
            assert invoiced(bills) == billed
            assert owed(session, order) == billed - sum(each.amount for each in came)


def test_a_bill_adds_up(shop: Demo) -> None:
    with reading(shop.book) as session:
        bills = list(session.exec(select(Bill)))
        lines = {bill.key: lines_of_bill(session, bill.key) for bill in bills}
    assert bills
    for bill in bills:
        # EN 16931-1 BR-CO-13 and BR-CO-15: net of the lines, and net with tax
        assert sum(line.amount for line in lines[bill.key]) == bill.net
        assert bill.net + bill.tax == bill.gross


def test_each_payment_says_what_was_owed_before_it(shop: Demo) -> None:
    with reading(shop.book) as session:
        payments = list(session.exec(select(Payment)))
        numbers = [payment.number for payment in payments]
        assert len(payments) >= 2
        assert len(set(numbers)) == len(numbers)
        for payment in payments:
            bills = [b for b in bills_of(session, payment.work_order_id) if b.created_at < payment.created_at]
            before = [
                p.amount
                for p in payments_of(session, payment.work_order_id)
                if p.created_at < payment.created_at
            ]
            assert payment.owed_before == invoiced(bills) - sum(before)


def test_the_shelf_holds_the_sum_of_its_movements_and_never_less_than_nothing(shop: Demo) -> None:
    with reading(shop.book) as session:
        parts = list(session.exec(select(Part)))
        for part in parts:
            held = standing(session, part.key)
            moved = session.exec(
                select(func.sum(Movement.on_hand), func.sum(Movement.reserved)).where(
                    Movement.part_id == part.key
                )
            ).one()
            assert (Decimal(held.on_hand), Decimal(held.reserved)) == (moved[0] or 0, moved[1] or 0)
            assert held.on_hand >= 0
    assert len(parts) > 10


# Receipts and papers


def test_every_act_has_a_person_of_its_own_and_the_chain_is_whole(shop: Demo) -> None:
    with reading(shop.book) as session:
        assert list(receipts.broken(session)) == []
        acts = {
            receipt.act: receipt.person_id
            for receipt in session.exec(select(Receipt))
            if receipt.act != "open shop"
        }
    assert len(acts) > 25
    assert all(acts.values())


def test_every_paper_reads_back_with_its_number(shop: Demo) -> None:
    folder = shop.settings.files
    with reading(shop.book) as session:
        papers = list(session.exec(select(Document)))
    assert {paper.kind for paper in papers} >= {"invoice", "receipt", "handover"}
    for paper in papers:
        text = "".join(
            page.extract_text() for page in PdfReader(BytesIO(files.read(folder, paper.sha256))).pages
        )
        assert paper.number in text, paper.title
        assert len(files.read(folder, paper.sha256)) == paper.size


def test_a_kit_of_finished_work_shows_what_its_parts_cost(shop: Demo) -> None:
    with reading(shop.book) as session:
        found = {kit.name: [use.parts for use in kit.uses] for kit in histories(session, now())}
    assert found["Replace a tire"]
    assert all(cost > 0 for cost in found["Replace a tire"])  # a tire and its valve, off the shelf
