"""Hours as the pages read them: sold beside clocked, whose they are, what the lead's page holds."""

from datetime import timedelta
from decimal import Decimal

from sqlmodel import select

from app.bench import steps
from app.bench.facts import job_of
from app.bench.floor import facts
from app.bench.floor import steps as floor
from app.estimate.tables import WorkLine
from app.ground import people
from app.ground.book import reading, writing
from tests.bench.forms import torque
from tests.bench.stay import LATER, LEE, TONI, WREN, Stay, line_of
from tests.conftest import NOON, act


def opened(here: Stay) -> int:
    """A job of half an hour sold."""
    here.work()
    return steps.open_jobs(here.book, act(TONI), here.order)


def test_hours_of_several_stints_and_people_add_up(here: Stay) -> None:
    job = opened(here)
    for person, start, length in ((TONI, 0, 20), (TONI, 30, 25), (LEE, 10, 15)):
        floor.clock_on(here.book, act(person, at=NOON + timedelta(minutes=start)), job)
        floor.clock_off(here.book, act(person, at=NOON + timedelta(minutes=start + length)))
    with reading(here.book) as session:
        hours = facts.hours_of(session, here.order, LATER)[job]
    assert [each.person for each in hours.stints] == ["Toni", "Lee", "Toni"]  # as they were begun
    assert hours.clocked == Decimal("0.33") + Decimal("0.42") + Decimal("0.25")
    assert hours.apart == hours.clocked - Decimal("0.5")


def test_labour_on_several_lines_is_sold_together(here: Stay) -> None:
    job = opened(here)
    here.add(line_of(here.works[0]))
    with reading(here.book) as session:
        assert facts.hours_of(session, here.order, LATER)[job].sold == 1


def test_work_without_labour_has_no_sold_hours(here: Stay) -> None:
    job = opened(here)
    with writing(here.book) as session:
        for line in session.exec(select(WorkLine)):
            line.kind = "part"
    with reading(here.book) as session:
        hours = facts.hours_of(session, here.order, LATER)[job]
    assert (hours.sold, hours.apart, hours.clocked) == (None, None, 0)


def test_open_hours_run_on_until_now(here: Stay) -> None:
    job = opened(here)
    floor.clock_on(here.book, act(TONI), job)
    for minutes, hours in ((30, "0.50"), (60, "1.00")):
        with reading(here.book) as session:
            at = NOON + timedelta(minutes=minutes)
            assert facts.hours_of(session, here.order, at)[job].clocked == Decimal(hours)


def test_one_sees_ones_own_open_hours_only(here: Stay) -> None:
    job = opened(here)
    floor.clock_on(here.book, act(TONI), job)
    with reading(here.book) as session:
        mine, theirs = (facts.clocked_on(session, person, LATER) for person in (TONI, LEE))
    assert mine is not None
    assert (mine.job_id, mine.job, mine.forgotten) == (job, "Tighten the wheel nuts", False)
    assert theirs is None


def test_who_could_sign_did_not_work_on_it(here: Stay) -> None:
    job = opened(here)
    steps.begin(here.book, act(TONI), job)
    with reading(here.book) as session:
        assert facts.on_floor(session, job, TONI, LATER).signers == ((LEE, "Lee"), (WREN, "Wren"))
        assert facts.on_floor(session, job, LEE, LATER).signers == ((WREN, "Wren"),)  # Lee by own sign-in


def test_who_left_the_shop_does_not_sign(here: Stay) -> None:
    job = opened(here)
    with writing(here.book) as session:
        next(each for each in people.working(session) if each.key == WREN).active = False
    with reading(here.book) as session:
        assert facts.on_floor(session, job, TONI, LATER).signers == ((LEE, "Lee"),)


def test_the_leads_page_holds_begun_jobs_and_those_of_thirty_days(here: Stay) -> None:
    waits, begun, done = opened(here), opened(here), opened(here)
    steps.begin(here.book, act(TONI), begun)
    steps.keep_record(here.book, act(TONI), done, "wheel_torque", "wheel-1-left", torque())
    steps.finish_job(here.book, act(TONI), done)
    with reading(here.book) as session:
        soon = facts.hours_page(session, NOON + timedelta(days=29))
        late = facts.hours_page(session, NOON + timedelta(days=31))
    assert [each.job_id for each in soon.jobs] == [begun, done]
    assert [each.job_id for each in late.jobs] == [begun]
    assert waits not in {each.job_id for each in soon.jobs}
    assert soon.jobs[0].number == "WO-000236"


def test_a_job_tells_its_pause_and_since_when(here: Stay) -> None:
    job = opened(here)
    steps.begin(here.book, act(TONI), job)
    floor.pause(here.book, act(TONI, seen=1, at=LATER), job, floor.Pause(floor.rules.PausedFor.OWNER, ""))
    with reading(here.book) as session:
        line = job_of(session, job)
    assert line is not None
    assert (line.state, line.paused_at) == ("Paused, waits for the owner", LATER)
