"""The acts of the bench, against a real book."""

from collections.abc import Callable

import pytest
from sqlalchemy.exc import IntegrityError
from sqlmodel import select

from app.bench import steps
from app.bench.kinds import Payload
from app.bench.rules import Evidence, How
from app.bench.tables import BenchRecord, Clearance, Job
from app.estimate.tables import Answer, WorkLine
from app.ground import receipts
from app.ground.book import reading, writing
from app.ground.receipts import Stale
from app.ground.tables import Person, Receipt
from app.inspection.tables import Finding
from app.trade.problems import Refused
from tests.bench.forms import torque
from tests.bench.stay import LATER, LEE, TONI, WREN, Stay
from tests.conftest import act

LEFT = "wheel-1-left"
WHY = "Owner collects it on a flatbed today"


def job_for(here: Stay, records: tuple[str, ...] = ("wheel_torque",), grade: str = "dnt") -> int:
    """A job for one finding, opened and begun by Toni."""
    here.work(records, answers=[here.finding(grade)])
    job = steps.open_jobs(here.book, act(TONI), here.order)
    return steps.begin(here.book, act(TONI), job)


def kept(here: Stay, job: int, payload: Payload | None = None, person: int = TONI) -> int:
    """A torque record at the left wheel of axle 1."""
    return steps.keep_record(here.book, act(person), job, "wheel_torque", LEFT, payload or torque())


def finish(here: Stay, job: int, person: int = TONI) -> int:
    """The job finished, as its page now stands."""
    with reading(here.book) as session:
        seen = session.get_one(Job, job).revision
    return steps.finish_job(here.book, act(person, seen=seen, at=LATER), job)


def done(here: Stay) -> int:
    """A finished job with its record inside."""
    job = job_for(here)
    kept(here, job)
    return finish(here, job)


def clear(here: Stay, offered: Evidence, person: int = LEE, finding: int = -1, seen: int = 1) -> int:
    """The newest finding cleared."""
    return steps.clear_finding(here.book, act(person, seen=seen, at=LATER), here.findings[finding], offered)


def by_job(job: int) -> Evidence:
    return Evidence(How.RECORD, job_id=job)


def says(refused: pytest.ExceptionInfo[Refused]) -> str:
    return str(refused.value)


# Jobs


def test_only_work_that_the_owner_agreed_to_becomes_a_job(here: Stay) -> None:
    agreed = here.work()
    for answer in ("no", "later", ""):
        here.work(answer=answer)
    steps.open_jobs(here.book, act(), here.order)
    with reading(here.book) as session:
        assert [job.work_id for job in session.exec(select(Job))] == [agreed]


def test_opening_jobs_again_makes_no_second_job(here: Stay) -> None:
    here.work()
    first = steps.open_jobs(here.book, act(), here.order)
    assert steps.open_jobs(here.book, act(), here.order) == 0
    here.work()
    assert steps.open_jobs(here.book, act(), here.order) not in (0, first)
    with reading(here.book) as session:
        assert len(session.exec(select(Job)).all()) == 2


def test_the_one_who_begins_is_the_technician(here: Stay) -> None:
    job = job_for(here)
    with reading(here.book) as session:
        assert session.get_one(Job, job).technician_id == TONI


def test_a_job_seen_before_somebody_took_it_over_is_stale(here: Stay) -> None:
    job = job_for(here)
    with pytest.raises(Stale):
        steps.begin(here.book, act(LEE, seen=0), job)
    steps.begin(here.book, act(LEE, seen=1), job)


def price(here: Stay, work: int, amount: int) -> None:
    """What the work costs in the revision that stands now."""
    with writing(here.book) as session:
        [line] = session.exec(select(WorkLine).where(WorkLine.work_id == work))
        line.amount = amount


def take_off(here: Stay, work: int) -> None:
    """The work is taken off the estimate."""
    with writing(here.book) as session:
        [line] = session.exec(select(WorkLine).where(WorkLine.work_id == work))
        session.delete(line)


def test_no_job_is_made_of_work_that_was_taken_off_after_the_yes(here: Stay) -> None:
    take_off(here, here.work())
    assert steps.open_jobs(here.book, act(person=TONI), here.order) == 0


def test_work_that_rose_beyond_the_margin_is_not_begun_in_any_way(here: Stay) -> None:
    work = here.work()
    job = steps.open_jobs(here.book, act(person=TONI), here.order)
    price(here, work, 6250 + 626)  # 62.50 agreed; 10 % is the less of the shop's margin: 6.25
    ways: tuple[Callable[[], int], ...] = (
        lambda: steps.begin(here.book, act(person=TONI), job),
        lambda: steps.tick_step(here.book, act(person=TONI), job, 1, done=True),
        lambda: steps.keep_record(here.book, act(person=TONI), job, "wheel_torque", "wheel-1-left", torque()),
    )
    for way in ways:
        with pytest.raises(Refused, match=r"It rose by 6\.26"):
            way()
    price(here, work, 6250 + 625)
    assert steps.begin(here.book, act(person=TONI), job) == job


def test_a_job_is_not_begun_after_the_owner_thought_better_of_it(here: Stay) -> None:
    work = here.work()
    job = steps.open_jobs(here.book, act(person=TONI), here.order)
    here.add(Answer(created_at=LATER, consent_id=1, work_id=work, answer="later"))
    with pytest.raises(Refused, match="puts this work off"):
        steps.begin(here.book, act(person=TONI), job)


def test_a_job_is_not_taken_over_while_the_owner_is_asked_but_its_readings_are_kept(here: Stay) -> None:
    work = here.work()
    job = steps.open_jobs(here.book, act(person=TONI), here.order)
    steps.begin(here.book, act(person=TONI), job)
    take_off(here, work)
    with pytest.raises(Refused, match="taken off the estimate"):
        steps.begin(here.book, act(person=LEE, seen=1), job)
    assert steps.keep_record(here.book, act(person=TONI), job, "wheel_torque", "wheel-1-left", torque())


def test_a_job_without_records_is_not_finished_unbegun_where_the_owner_did_not_agree(here: Stay) -> None:
    work = here.work(records=())
    job = steps.open_jobs(here.book, act(person=TONI), here.order)
    take_off(here, work)
    with pytest.raises(Refused, match="taken off the estimate"):
        steps.finish_job(here.book, act(person=TONI), job)


def test_steps_are_ticked_by_two_people_at_once(here: Stay) -> None:
    job = job_for(here)
    steps.tick_step(here.book, act(TONI), job, 1, done=True)
    steps.tick_step(here.book, act(LEE), job, 3, done=True)
    steps.tick_step(here.book, act(TONI), job, 1, done=False)
    with reading(here.book) as session:
        assert session.get_one(Job, job).done_steps == [3]


@pytest.mark.parametrize("number", [0, 4, -1])
def test_a_step_that_is_not_there_is_refused(here: Stay, number: int) -> None:
    with pytest.raises(Refused):
        steps.tick_step(here.book, act(TONI), job_for(here), number, done=True)


# Records


def test_a_record_is_kept_once_with_its_verdict_and_instrument(here: Stay) -> None:
    job, once = job_for(here), act(TONI)
    first = steps.keep_record(here.book, once, job, "wheel_torque", LEFT, torque())
    assert steps.keep_record(here.book, once, job, "wheel_torque", LEFT, torque()) == first
    with reading(here.book) as session:
        record = session.exec(select(BenchRecord)).one()
    assert (record.inside, record.made_by, record.instrument_id) == (True, TONI, here.wrench)
    assert "All 6 nuts" in record.says
    assert record.payload["readings"][0] == {"nut": 1, "typed": "110"}
    assert record.worked[0]["limit"].startswith("100 to 120")


def test_a_second_record_at_the_same_place_is_refused(here: Stay) -> None:
    job = job_for(here)
    kept(here, job)
    with pytest.raises(Refused, match="stands here already"):
        kept(here, job)


@pytest.mark.parametrize(
    ("kind", "place"),
    [("wheel_torque", "wheel-2-left"), ("wheel_torque", "moon"), ("balance", LEFT), ("x", LEFT)],
)
def test_a_record_that_the_work_does_not_ask_for_is_refused(here: Stay, kind: str, place: str) -> None:
    with pytest.raises(Refused):
        steps.keep_record(here.book, act(TONI), job_for(here), kind, place, torque())


def test_a_correction_supersedes_and_leaves_the_old_one(here: Stay) -> None:
    old = kept(here, job_for(here), torque(r_3="90"))
    new = steps.correct_record(here.book, act(TONI), old, torque(), "Read 110, typed 90")
    with reading(here.book) as session:
        was, now = session.get_one(BenchRecord, old), session.get_one(BenchRecord, new)
    assert (was.inside, now.inside, now.supersedes_id) == (False, True, old)
    assert now.correction == "Read 110, typed 90"


def test_a_record_is_corrected_once(here: Stay) -> None:
    old = kept(here, job_for(here))
    steps.correct_record(here.book, act(TONI), old, torque(), "Went round again")
    with pytest.raises(Refused, match="corrected this record first"):
        steps.correct_record(here.book, act(LEE), old, torque(), "Went round again")


def test_a_correction_without_reason_is_refused(here: Stay) -> None:
    old = kept(here, job_for(here))
    with pytest.raises(Refused, match="reason"):
        steps.correct_record(here.book, act(TONI), old, torque(), "  ")


@pytest.mark.parametrize("change", ["UPDATE benchrecord SET inside = 1", "DELETE FROM benchrecord"])
def test_the_book_itself_refuses_to_change_a_record(here: Stay, change: str) -> None:
    kept(here, job_for(here), torque(r_3="90"))
    with pytest.raises(IntegrityError, match="append-only"), writing(here.book) as session:
        session.connection().exec_driver_sql(change)


# Finishing


def test_a_job_without_its_record_is_not_finished(here: Stay) -> None:
    job = job_for(here)
    with pytest.raises(Refused) as refused:
        finish(here, job)
    assert "Wheel nut torque, Left wheel, axle 1: not measured yet" in says(refused)


def test_a_job_whose_record_is_outside_is_not_finished(here: Stay) -> None:
    job = job_for(here)
    kept(here, job, torque(r_3="90"))
    with pytest.raises(Refused, match="Nut 3 under"):
        finish(here, job)


def test_work_on_the_whole_unit_asks_for_every_wheel(here: Stay) -> None:
    here.work(place="unit", kit="k14")
    job = steps.open_jobs(here.book, act(TONI), here.order)
    kept(here, job)
    with pytest.raises(Refused) as refused:
        finish(here, job)
    assert len(refused.value.problems) == 3  # four wheels on two axles, one measured


def test_work_on_an_axle_asks_for_both_its_wheels(here: Stay) -> None:
    here.work(place="axle-2")
    with pytest.raises(Refused) as refused:
        finish(here, steps.open_jobs(here.book, act(TONI), here.order))
    assert {each.says.split(":")[0] for each in refused.value.problems} == {
        "Wheel nut torque, Left wheel, axle 2",
        "Wheel nut torque, Right wheel, axle 2",
    }


def test_a_kind_without_a_form_says_what_to_do(here: Stay) -> None:
    job = job_for(here, ("weld_slip",))
    with pytest.raises(Refused, match="a lead accepts it in writing, or a second look"):
        finish(here, job)


def test_a_lead_accepts_in_writing_and_the_job_is_finished(here: Stay) -> None:
    job = job_for(here, ("weld_slip",))
    steps.accept_job(here.book, act(LEE, seen=1), job, "Measured by the outside shop, slip in the folder")
    finish(here, job)
    with reading(here.book) as session:
        row = session.get_one(Job, job)
    assert (row.accepted_by, row.finished_by) == (LEE, TONI)


@pytest.mark.parametrize(("person", "reason"), [(TONI, WHY), (WREN, WHY), (LEE, ""), (LEE, "ok")])
def test_only_a_lead_with_a_reason_accepts(here: Stay, person: int, reason: str) -> None:
    with pytest.raises(Refused):
        steps.accept_job(here.book, act(person, seen=1), job_for(here), reason)


def test_a_finished_job_takes_no_new_record_but_a_correction(here: Stay) -> None:
    job = done(here)
    with pytest.raises(Refused, match="finished"):
        kept(here, job)
    with reading(here.book) as session:
        record = session.exec(select(BenchRecord)).one().key
    steps.correct_record(here.book, act(TONI), record, torque(r_3="111"), "Went round again")


# Clearing


def test_a_finished_job_with_its_record_clears_the_finding(here: Stay) -> None:
    job = done(here)
    key = clear(here, by_job(job))
    with reading(here.book) as session:
        row = session.get_one(Clearance, key)
    assert (row.how, row.job_id, row.cleared_by) == ("record", job, LEE)


def test_the_one_who_did_the_work_does_not_clear_a_do_not_tow(here: Stay) -> None:
    job = done(here)
    for offered in (by_job(job), Evidence(How.LEAD, reason=WHY)):
        with pytest.raises(Refused, match="You did this work"):
            clear(here, offered, person=TONI)


def test_whoever_measured_or_ticked_counts_as_having_done_the_work(here: Stay) -> None:
    job = job_for(here)
    kept(here, job)
    steps.tick_step(here.book, act(LEE), job, 1, done=True)
    finish(here, job)
    with pytest.raises(Refused, match="You did this work"):
        clear(here, by_job(job), person=LEE)
    clear(here, by_job(job), person=WREN)


def test_a_milder_finding_may_be_cleared_by_the_one_who_did_the_work(here: Stay) -> None:
    job = job_for(here, grade="needs")
    kept(here, job)
    clear(here, by_job(finish(here, job)), person=TONI)


def test_alone_in_the_shop_one_clears_ones_own_work(here: Stay) -> None:
    job = done(here)
    with writing(here.book) as session:
        for key in (LEE, WREN):
            session.get_one(Person, key).active = False
    clear(here, by_job(job), person=TONI)


def test_an_unfinished_job_clears_nothing(here: Stay) -> None:
    job = job_for(here)
    kept(here, job)
    with pytest.raises(Refused, match="not finished"):
        clear(here, by_job(job))


def test_a_leads_acceptance_of_a_job_clears_nothing(here: Stay) -> None:
    job = job_for(here)
    kept(here, job, torque(r_3="90"))
    steps.accept_job(here.book, act(LEE, seen=1), job, "The stud is worn, wheel goes to the outside shop")
    finish(here, job)
    with pytest.raises(Refused, match="Nut 3 under"):
        clear(here, by_job(job), person=WREN)


def test_a_job_without_any_record_clears_nothing(here: Stay) -> None:
    job = job_for(here, ())
    with pytest.raises(Refused, match="no measured record"):
        clear(here, by_job(finish(here, job)))


def test_a_job_for_another_finding_clears_nothing(here: Stay) -> None:
    job = done(here)
    here.finding("dnt", place="wheel-2-right")
    with pytest.raises(Refused, match="does not answer"):
        clear(here, by_job(job))


@pytest.mark.parametrize(
    ("check", "proves"),
    [
        ("wh.nuts", True),  # kit k14 asks for the torque alone
        ("ti.cord", False),  # its kit also asks for the tire that was fitted
        ("fr.rails", False),  # a cracked rail is not put right by tight nuts
    ],
)
def test_a_job_whose_records_are_about_something_else_clears_nothing(
    here: Stay, check: str, *, proves: bool
) -> None:
    here.work(answers=[here.finding("dnt", check=check)])
    job = steps.begin(here.book, act(TONI), steps.open_jobs(here.book, act(TONI), here.order))
    kept(here, job)
    finish(here, job)
    if proves:
        clear(here, by_job(job))
        return
    with pytest.raises(Refused, match="does not prove this finding"):
        clear(here, by_job(job))


def test_work_done_before_the_finding_clears_nothing(here: Stay) -> None:
    job = done(here)
    with writing(here.book) as session:
        session.get_one(Finding, here.findings[0]).looked_entry = receipts.coming(session)
    with pytest.raises(Refused, match="newer than this job"):
        clear(here, by_job(job))


@pytest.mark.parametrize(
    ("correction", "clears"), [("", False), ("The wrench was read wrongly", False), ("Done again.", True)]
)
def test_a_record_of_before_the_finding_clears_nothing_though_the_job_ends_after_it(
    here: Stay, correction: str, *, clears: bool
) -> None:
    here.work(answers=[here.finding("dnt")])
    job = steps.begin(here.book, act(TONI), steps.open_jobs(here.book, act(TONI), here.order))
    record = kept(here, job)
    with writing(here.book) as session:
        session.get_one(Finding, here.findings[0]).looked_entry = receipts.coming(session)
        receipts.sign(session, act(LEE), "look", session.get_one(Finding, here.findings[0]))
    if correction:
        steps.correct_record(here.book, act(TONI), record, torque(), correction)
    finish(here, job)
    if clears:
        clear(here, by_job(job))
        return
    with pytest.raises(Refused, match="newer than what this job measured"):
        clear(here, by_job(job))


def test_a_second_look_by_another_person_clears(here: Stay) -> None:
    here.finding("dnt")
    look = here.finding("sound", second=True, by=WREN, at=LATER)
    clear(here, Evidence(How.SECOND_LOOK, second_look_id=look), finding=0)


@pytest.mark.parametrize(
    ("grade", "second", "by", "place", "words"),
    [
        ("dnt", True, WREN, LEFT, "says do not tow"),
        ("unseen", True, WREN, LEFT, "says unseen"),
        ("needs", True, WREN, LEFT, "says needs work"),
        ("sound", False, WREN, "wheel-2-left", "no second look"),
        ("sound", True, WREN, "wheel-2-left", "no second look"),
        ("sound", True, LEE, LEFT, "same person looked twice"),
    ],
)
def test_a_second_look_that_shows_nothing_clears_nothing(
    here: Stay, grade: str, second: bool, by: int, place: str, words: str
) -> None:
    here.finding("dnt")
    look = here.finding(grade, second=second, by=by, place=place, at=LATER)
    with pytest.raises(Refused, match=words):
        clear(here, Evidence(How.SECOND_LOOK, second_look_id=look), finding=0, person=WREN)


def test_the_worker_is_no_second_pair_of_eyes(here: Stay) -> None:
    done(here)
    look = here.finding("sound", second=True, by=TONI, at=LATER)
    with pytest.raises(Refused, match="did the work looked again"):
        clear(here, Evidence(How.SECOND_LOOK, second_look_id=look), finding=0, person=WREN)


def test_a_leads_reason_clears_and_is_kept(here: Stay) -> None:
    here.finding("dnt")
    key = clear(here, Evidence(How.LEAD, reason=WHY))
    with reading(here.book) as session:
        assert session.get_one(Clearance, key).reason == WHY


@pytest.mark.parametrize(("person", "reason"), [(WREN, WHY), (TONI, WHY), (LEE, ""), (LEE, "fine")])
def test_an_override_needs_a_lead_and_a_reason(here: Stay, person: int, reason: str) -> None:
    here.finding("dnt")
    with pytest.raises(Refused):
        clear(here, Evidence(How.LEAD, reason=reason), person=person)


@pytest.mark.parametrize("grade", ["sound", "unseen"])
def test_there_is_nothing_to_clear_where_nothing_was_found(here: Stay, grade: str) -> None:
    here.finding(grade)
    with pytest.raises(Refused):
        clear(here, Evidence(How.LEAD, reason=WHY))


def test_a_cleared_finding_is_not_cleared_again(here: Stay) -> None:
    job = done(here)
    clear(here, by_job(job))
    with pytest.raises(Refused, match="cleared already"):
        clear(here, by_job(job))


def test_clearing_twice_with_one_form_clears_once(here: Stay) -> None:
    job, once = done(here), act(LEE, seen=1, at=LATER)
    first = steps.clear_finding(here.book, once, here.findings[0], by_job(job))
    assert steps.clear_finding(here.book, once, here.findings[0], by_job(job)) == first


def test_a_finding_graded_anew_since_the_page_was_shown_is_stale(here: Stay) -> None:
    job = done(here)
    with pytest.raises(Stale):
        clear(here, by_job(job), seen=0)


def test_a_refused_clearance_leaves_no_trace(here: Stay) -> None:
    job = done(here)
    with reading(here.book) as session:
        before = len(session.exec(select(Receipt)).all())
    with pytest.raises(Refused):
        clear(here, by_job(job), person=TONI)
    with reading(here.book) as session:
        assert session.exec(select(Clearance)).all() == []
        assert len(session.exec(select(Receipt)).all()) == before
