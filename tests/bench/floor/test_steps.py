"""The acts of the floor: one open stint a person, no hours without the owner's word, pauses, hold points."""

from concurrent.futures import ThreadPoolExecutor
from datetime import UTC, datetime, time, timedelta
from decimal import Decimal

import pytest
from sqlalchemy.exc import IntegrityError
from sqlmodel import select

from app.bench import evidence, steps
from app.bench.facts import job_of
from app.bench.floor import facts
from app.bench.floor import steps as floor
from app.bench.floor.rules import Pause, PausedFor, Times
from app.bench.floor.steps import Signer
from app.bench.rules import Evidence, How
from app.bench.tables import HoldSigned, Job, Stint
from app.estimate.tables import Answer, Work
from app.ground import people
from app.ground.book import reading, writing
from app.ground.receipts import Stale
from app.ground.tables import Receipt
from app.trade.problems import Refused
from tests.bench.forms import torque
from tests.bench.stay import BEFORE, LATER, LEE, TONI, WREN, Stay, catalogue
from tests.conftest import NOON, PASSPHRASE, act

NEXT_MORNING = NOON + timedelta(hours=20)  # eight o'clock in the shop
WAITS = Pause(PausedFor.PART, "hub cap, Tuesday")


def job_of_work(here: Stay, **told: str) -> int:
    """A job of a work that the owner agreed to."""
    here.work(**told)  # type: ignore[arg-type]  # texts only
    return steps.open_jobs(here.book, act(TONI), here.order)


def stints(here: Stay) -> list[Stint]:
    """All stints in the order they were begun."""
    with reading(here.book) as session:
        return list(session.exec(select(Stint).order_by("begun_at")))


def test_one_tap_begins_the_job_and_the_hours(here: Stay) -> None:
    job = job_of_work(here)
    floor.clock_on(here.book, act(TONI), job)
    floor.clock_off(here.book, act(TONI, at=NOON + timedelta(minutes=45)))
    with reading(here.book) as session:
        hours = facts.hours_of(session, here.order, LATER)[job]
        row = session.get_one(Job, job)
    assert (row.begun_at, row.technician_id) == (NOON, TONI)
    assert (hours.clocked, hours.sold, hours.apart) == (Decimal("0.75"), Decimal("0.5"), Decimal("0.25"))


def test_the_next_job_ends_the_hours_on_the_one_before(here: Stay) -> None:
    first = job_of_work(here)
    second = job_of_work(here)
    floor.clock_on(here.book, act(TONI), first)
    floor.clock_on(here.book, act(TONI, at=LATER), second)
    assert [(each.job_id, each.ended_at) for each in stints(here)] == [(first, LATER), (second, None)]


def test_two_people_may_be_on_one_job(here: Stay) -> None:
    job = job_of_work(here)
    floor.clock_on(here.book, act(TONI), job)
    floor.clock_on(here.book, act(LEE), job)
    with reading(here.book) as session:
        clocked = facts.hours_of(session, here.order, LATER)[job].clocked
        workers = evidence.workers_of(session, session.get_one(Job, job))
    assert clocked == 2
    assert workers == {TONI, LEE}


def test_the_book_itself_holds_one_open_stint_a_person(here: Stay) -> None:
    job = job_of_work(here)
    floor.clock_on(here.book, act(TONI), job)
    with pytest.raises(IntegrityError), writing(here.book) as session:
        session.add(Stint(created_at=NOON, job_id=job, person_id=TONI, begun_at=LATER))


def test_eight_taps_at_once_begin_one_stint(here: Stay) -> None:
    jobs = [job_of_work(here) for _ in range(4)]

    def tap(number: int) -> bool:
        try:
            floor.clock_on(here.book, act(TONI), jobs[number % 4])
        except Refused:
            return False
        return True

    with ThreadPoolExecutor(8) as pool:
        assert any(pool.map(tap, range(8)))
    assert sum(each.ended_at is None for each in stints(here)) == 1


def test_one_form_clocks_on_once(here: Stay) -> None:
    job, once = job_of_work(here), act(TONI)
    assert floor.clock_on(here.book, once, job) == floor.clock_on(here.book, once, job)
    assert len(stints(here)) == 1


def test_a_second_tap_on_the_same_job_is_told(here: Stay) -> None:
    job = job_of_work(here)
    floor.clock_on(here.book, act(TONI), job)
    with pytest.raises(Refused, match="already"):
        floor.clock_on(here.book, act(TONI, at=LATER), job)


def test_nobody_is_clocked_off_who_was_not_on(here: Stay) -> None:
    with pytest.raises(Refused, match="not clocked on"):
        floor.clock_off(here.book, act(TONI))


@pytest.mark.parametrize("answer", ["no", "later"])
def test_work_that_the_owner_withdrew_takes_no_hours(here: Stay, answer: str) -> None:
    job = job_of_work(here)
    steps.begin(here.book, act(TONI), job)
    here.add(Answer(created_at=LATER, consent_id=1, work_id=here.works[0], answer=answer))
    with pytest.raises(Refused, match="owner"):
        floor.clock_on(here.book, act(TONI, at=LATER), job)
    assert stints(here) == []


def test_a_finished_job_takes_no_hours_and_ends_those_that_run(here: Stay) -> None:
    job = job_of_work(here)
    floor.clock_on(here.book, act(TONI), job)
    steps.keep_record(here.book, act(TONI), job, "wheel_torque", "wheel-1-left", torque())
    steps.finish_job(here.book, act(TONI, at=LATER), job)
    assert [each.ended_at for each in stints(here)] == [LATER]
    with pytest.raises(Refused, match="finished"):
        floor.clock_on(here.book, act(TONI, at=LATER), job)


# A forgotten clock-off


def forgot(here: Stay) -> int:
    """Toni clocked on at noon and went home; the stint."""
    return floor.clock_on(here.book, act(TONI), job_of_work(here))


def test_a_forgotten_clock_off_is_asked_the_next_morning(here: Stay) -> None:
    stint = forgot(here)
    for again in (
        lambda: floor.clock_off(here.book, act(TONI, at=NEXT_MORNING)),
        lambda: floor.clock_on(here.book, act(TONI, at=NEXT_MORNING), job_of_work(here)),
    ):
        with pytest.raises(Refused, match="did not clock off"):
            again()
    with reading(here.book) as session:
        page = facts.hours_page(session, NEXT_MORNING)
    assert [each.id for each in page.forgotten] == [stint]
    assert page.now == ()


def test_the_likely_hour_is_the_quarter_after_the_last_thing_kept(here: Stay) -> None:
    stint = forgot(here)
    steps.tick_step(here.book, act(TONI, at=NOON + timedelta(minutes=100)), 1, 1, done=True)  # 13:40
    with reading(here.book) as session:
        line = facts.stint_of(session, stint, NEXT_MORNING)
        assert line is not None
        assert f"{facts.likely_end(session, line):%H:%M}" == "13:45"
        assert facts.stint_of(session, 99, NEXT_MORNING) is None


def test_forgotten_hours_count_only_once_their_end_is_said(here: Stay) -> None:
    stint = forgot(here)
    with reading(here.book) as session:
        assert facts.hours_of(session, here.order, NEXT_MORNING)[1].clocked == 0
    floor.say_hours(here.book, act(TONI, at=NEXT_MORNING), stint, Times(None, time(16, 30)))
    with reading(here.book) as session:
        hours = facts.hours_of(session, here.order, NEXT_MORNING)[1]
    assert (hours.clocked, hours.stints[0].said_later) == (Decimal("4.50"), True)
    floor.clock_on(here.book, act(TONI, at=NEXT_MORNING), 1)  # and the day goes on


@pytest.mark.parametrize(
    ("person", "reason", "words"),
    [
        (WREN, "", "Only a lead"),
        (LEE, "", "reason is missing"),  # a lead corrects with a reason
        (TONI, "I was on the other trailer", "Only a lead"),
        (WREN, "He was on the other trailer", "Only a lead"),
    ],
)
def test_hours_of_another_are_a_leads_to_correct(here: Stay, person: int, reason: str, words: str) -> None:
    stint = forgot(here)
    with pytest.raises(Refused, match=words):
        floor.say_hours(here.book, act(person, at=NEXT_MORNING), stint, Times(time(12), time(15), reason))


def test_who_forgot_to_clock_off_does_not_move_when_they_began(here: Stay) -> None:
    stint = forgot(here)
    with pytest.raises(Refused, match="Only a lead"):
        floor.say_hours(here.book, act(TONI, at=NEXT_MORNING), stint, Times(time(10), time(16, 30)))
    assert stints(here)[0].ended_at is None


def test_ended_hours_are_corrected_by_a_lead_only(here: Stay) -> None:
    stint = forgot(here)
    floor.clock_off(here.book, act(TONI, at=LATER))
    with pytest.raises(Refused):
        floor.say_hours(here.book, act(TONI, seen=1, at=NEXT_MORNING), stint, Times(None, time(15)))
    why = Times(time(11, 30), time(12, 30), "Began on paper before the tablet was charged")
    floor.say_hours(here.book, act(LEE, seen=1, at=NEXT_MORNING), stint, why)
    with reading(here.book) as session:
        (line,) = facts.hours_of(session, here.order, NEXT_MORNING)[1].stints
        stood = session.exec(select(Receipt).where(Receipt.act == "correct hours")).one().stood
    assert (line.hours, line.corrected_by, line.reason) == (Decimal("1.00"), "Lee", why.reason)
    assert "Began on paper" in stood  # the trail keeps what stood


def test_a_correction_of_hours_that_moved_on_is_stale(here: Stay) -> None:
    stint = forgot(here)
    floor.clock_off(here.book, act(TONI, at=LATER))
    with pytest.raises(Stale):
        floor.say_hours(
            here.book, act(LEE, at=NEXT_MORNING), stint, Times(time(12), time(13), "Put right now")
        )


def test_corrected_hours_do_not_lie_over_others(here: Stay) -> None:
    stint = forgot(here)
    second = job_of_work(here)
    floor.clock_on(here.book, act(TONI, at=LATER), second)
    with pytest.raises(Refused, match="lies over"):
        why = Times(time(12), time(13, 30), "Stayed longer on the first")
        floor.say_hours(here.book, act(LEE, seen=1, at=NEXT_MORNING), stint, why)


def test_the_minute_on_the_form_keeps_the_second_in_the_book(here: Stay) -> None:
    job = job_of_work(here)
    begun = NOON + timedelta(seconds=42)
    stint = floor.clock_on(here.book, act(TONI, at=begun), job)
    why = Times(time(12), time(12, 30), "Told to stop at half past")
    floor.say_hours(here.book, act(LEE, at=NEXT_MORNING), stint, why)
    assert stints(here)[0].begun_at == begun


def test_hours_are_said_in_the_shops_own_time(here: Stay) -> None:
    stint = forgot(here)
    floor.say_hours(here.book, act(TONI, at=NEXT_MORNING), stint, Times(None, time(17)))
    assert stints(here)[0].ended_at == datetime(2026, 5, 4, 21, 0, tzinfo=UTC)  # EDT is UTC − 4: tz database


# Pausing


def test_a_pause_says_why_and_clocks_everybody_off(here: Stay) -> None:
    job = job_of_work(here)
    floor.clock_on(here.book, act(TONI), job)
    floor.clock_on(here.book, act(LEE), job)
    floor.pause(here.book, act(TONI, at=LATER), job, WAITS)
    assert {each.ended_at for each in stints(here)} == {LATER}
    with reading(here.book) as session:
        line = job_of(session, job)
    assert line is not None
    assert line.state == "Paused, waits for a part: hub cap, Tuesday"


def test_work_on_a_paused_job_ends_its_pause(here: Stay) -> None:
    job = job_of_work(here)
    goes_on = (
        lambda: floor.clock_on(here.book, act(TONI, at=LATER), job),
        lambda: floor.resume(here.book, act(TONI, seen=seen_of(here, job), at=LATER), job),
        lambda: steps.tick_step(here.book, act(TONI, at=LATER), job, 1, done=True),
    )
    steps.begin(here.book, act(TONI), job)
    for each in goes_on:
        floor.pause(here.book, act(TONI, seen=seen_of(here, job)), job, WAITS)
        each()
        with reading(here.book) as session:
            row = session.get_one(Job, job)
        assert (row.paused_at, row.paused_for, row.paused_note) == (None, "", "")


def seen_of(here: Stay, job: int) -> int:
    """The revision of a job as it stands."""
    with reading(here.book) as session:
        return session.get_one(Job, job).revision


def test_only_a_job_in_work_is_paused(here: Stay) -> None:
    job = job_of_work(here)
    with pytest.raises(Refused, match="not being worked on"):
        floor.pause(here.book, act(TONI), job, WAITS)
    steps.begin(here.book, act(TONI), job)
    with pytest.raises(Stale):
        floor.pause(here.book, act(TONI, seen=0), job, WAITS)


# Hold points


def held_job(here: Stay) -> int:
    """A job of the kit that fits a coupler, whose lift test a second person signs, begun by Toni."""
    kit = catalogue().kit("k1")
    work = here.work((), answers=[here.finding("dnt")], kit="k1")
    with writing(here.book) as session:
        session.get_one(Work, work).steps = list(kit.steps)
    job = steps.open_jobs(here.book, act(TONI), here.order)
    steps.begin(here.book, act(TONI), job)
    for number in range(1, len(kit.steps) + 1):
        steps.tick_step(here.book, act(TONI), job, number, done=True)
    return job


def test_a_job_is_not_finished_before_a_second_person_signed(here: Stay) -> None:
    job = held_job(here)
    with pytest.raises(Refused, match="Step 8: no second person"):
        steps.finish_job(here.book, act(TONI, seen=1), job)
    floor.sign_hold(here.book, act(LEE, at=LATER), job, 8, Signer(LEE, "own sign-in"))
    steps.finish_job(here.book, act(TONI, seen=1, at=LATER), job)
    with reading(here.book) as session:
        line = job_of(session, job)
    assert line is not None
    assert (line.steps[7].signed_by, line.steps[7].how) == ("Lee", "own sign-in")


def test_the_one_who_works_on_it_does_not_sign(here: Stay) -> None:
    job = held_job(here)
    with pytest.raises(Refused, match="You worked on this job"):
        floor.sign_hold(here.book, act(TONI), job, 8, Signer(TONI, "own sign-in"))


def test_who_was_clocked_on_to_it_does_not_sign(here: Stay) -> None:
    job = held_job(here)
    floor.clock_on(here.book, act(LEE), job)
    with pytest.raises(Refused, match="You worked on this job"):
        floor.sign_hold(here.book, act(LEE), job, 8, Signer(LEE, "own sign-in"))


def test_a_passphrase_on_the_same_tablet_proves_the_second_person(here: Stay) -> None:
    job = held_job(here)
    signer = floor.signer_of(here.book, act(TONI), LEE, PASSPHRASE)
    floor.sign_hold(here.book, act(TONI), job, 8, signer)
    with reading(here.book) as session:
        row = session.exec(select(HoldSigned)).one()
    assert (row.signed_by, row.how) == (LEE, "passphrase")


@pytest.mark.parametrize("phrase", ["", "four words on glass"])
def test_a_wrong_passphrase_signs_nothing(here: Stay, phrase: str) -> None:
    with pytest.raises(Refused) as refused:
        floor.signer_of(here.book, act(TONI), LEE, phrase)
    assert [each.field for each in refused.value.problems] == ["passphrase"]
    with pytest.raises(Refused):
        floor.signer_of(here.book, act(TONI), 99, PASSPHRASE)


def test_what_is_no_hold_point_or_not_done_is_not_signed(here: Stay) -> None:
    job = held_job(here)
    with pytest.raises(Refused, match="Step 1 waits for nobody"):
        floor.sign_hold(here.book, act(LEE), job, 1, Signer(LEE, "own sign-in"))
    steps.tick_step(here.book, act(TONI), job, 8, done=False)
    with pytest.raises(Refused, match="not done yet"):
        floor.sign_hold(here.book, act(LEE), job, 8, Signer(LEE, "own sign-in"))


def test_a_signed_step_keeps_its_tick_and_is_signed_once(here: Stay) -> None:
    job = held_job(here)
    floor.sign_hold(here.book, act(LEE), job, 8, Signer(LEE, "own sign-in"))
    with pytest.raises(Refused, match="signed by a second person"):
        steps.tick_step(here.book, act(TONI), job, 8, done=False)
    with pytest.raises(Refused, match="waits for nobody"):
        floor.sign_hold(here.book, act(WREN), job, 8, Signer(WREN, "own sign-in"))


def test_the_work_does_not_go_past_a_hold_point(here: Stay) -> None:
    kit = catalogue().kit("k8")  # U-bolts are step 6 of 9
    work = here.work((), kit="k8")
    with writing(here.book) as session:
        session.get_one(Work, work).steps = list(kit.steps)
    job = steps.open_jobs(here.book, act(TONI), here.order)
    steps.begin(here.book, act(TONI), job)
    with pytest.raises(Refused, match="Step 6 waits for a second person"):
        steps.tick_step(here.book, act(TONI), job, 7, done=True)
    steps.tick_step(here.book, act(TONI), job, 6, done=True)
    floor.sign_hold(here.book, act(LEE), job, 6, Signer(LEE, "own sign-in"))
    steps.tick_step(here.book, act(TONI), job, 7, done=True)


def test_steps_that_were_edited_hold_nowhere(here: Stay) -> None:
    here.work((), kit="k1")  # three steps of its own
    job = steps.open_jobs(here.book, act(TONI), here.order)
    with reading(here.book) as session:
        assert session.get_one(Job, job).holds == []


def test_alone_in_the_shop_one_signs_for_oneself(here: Stay) -> None:
    job = held_job(here)
    with writing(here.book) as session:
        for person in people.working(session):
            person.active = person.key == TONI
    floor.sign_hold(here.book, act(TONI), job, 8, Signer(TONI, "own sign-in"))


def test_an_unsigned_step_proves_nothing(here: Stay) -> None:
    job = held_job(here)
    steps.accept_job(here.book, act(LEE, seen=1), job, "Lift test seen from the office window")
    steps.finish_job(here.book, act(TONI, seen=2), job)
    with pytest.raises(Refused):
        offered = Evidence(How.RECORD, job_id=job)
        steps.clear_finding(here.book, act(LEE, seen=1, at=LATER), here.findings[0], offered)


@pytest.mark.parametrize("key", ["k1", "k7", "k8", "k10", "k32"])
def test_the_shipped_kits_hold_where_a_life_hangs_on_it(key: str) -> None:
    # coupler, frame weld, U-bolts, axle, gas pipe: a second person, common practice
    assert catalogue().kit(key).holds


def test_the_times_of_the_stay_are_in_order() -> None:
    assert BEFORE < NOON < LATER < NEXT_MORNING
