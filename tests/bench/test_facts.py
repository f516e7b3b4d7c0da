"""What the bench tells the other rooms: jobs, records, clearances, what still holds."""

from typing import get_args

import pytest

from app.bench import facts, steps
from app.bench.facts import RecordLine
from app.bench.kinds import record_kinds
from app.bench.rules import Evidence, How
from app.ground import receipts
from app.ground.book import reading, writing
from app.handover.rules import unseen_of
from app.handover.stay import stay_of
from app.inspection.catalogue import RecordWord
from app.inspection.tables import Finding
from app.trade.figure import Grade
from tests.bench.forms import torque
from tests.bench.stay import LATER, LEE, TONI, WREN, Stay, catalogue
from tests.conftest import act


def measured(here: Stay) -> tuple[int, int]:
    """A job with its record, finished; job and record."""
    here.work(answers=[here.finding("dnt")])
    job = steps.open_jobs(here.book, act(TONI), here.order)
    record = steps.keep_record(here.book, act(TONI), job, "wheel_torque", "wheel-1-left", torque())
    steps.finish_job(here.book, act(TONI, at=LATER), job)
    return job, record


def cleared(here: Stay, job: int) -> None:
    """The first finding, cleared by Lee."""
    evidence = Evidence(How.RECORD, job_id=job)
    steps.clear_finding(here.book, act(LEE, seen=1, at=LATER), here.findings[0], evidence)


def held(here: Stay) -> list[str]:
    """Places of the findings that hold the tow."""
    with reading(here.book) as session:
        return [line.place for line in facts.holds_the_tow(session, here.order)]


def test_a_job_says_what_it_still_lacks(here: Stay) -> None:
    here.work(("wheel_torque", "weld_slip"), place="axle-1")
    steps.open_jobs(here.book, act(TONI), here.order)
    with reading(here.book) as session:
        (job,) = facts.jobs_of(session, here.order)
    assert (job.state, job.number, job.proved, job.may_finish) == ("Waits", 1, False, False)
    assert [(each.kind, each.place, each.known) for each in job.asked] == [
        ("wheel_torque", "wheel-1-right", True),
        ("wheel_torque", "wheel-1-left", True),
        ("weld_slip", "unit", False),
    ]
    assert len(job.lacks) == 3
    assert [caution.word for caution in job.cautions] == ["DANGER"]


def test_a_finished_job_says_by_whom(here: Stay) -> None:
    job, _ = measured(here)
    with reading(here.book) as session:
        line = facts.job_of(session, job)
        assert facts.job_of(session, 99) is None
    assert line is not None
    assert (line.state, line.finished_by, line.technician) == ("Finished", "Toni", "Toni")
    assert line.proved


def test_only_the_newest_record_of_a_chain_stands(here: Stay) -> None:
    _, record = measured(here)
    steps.correct_record(here.book, act(TONI), record, torque(r_1="111"), "Typed wrongly before")
    with reading(here.book) as session:
        (line,) = facts.records_of(session, here.order)
    assert line.correction == "Typed wrongly before"
    assert [(old.id, old.superseded) for old in line.earlier] == [(record, True)]
    assert "Torque wrench 7" in line.instrument
    assert line.drawing["aim"] == "110"


@pytest.mark.parametrize(("third", "grade"), [("110", Grade.SOUND), ("90", Grade.DNT), ("140", Grade.NEEDS)])
def test_a_record_line_carries_its_grade(here: Stay, third: str, grade: Grade) -> None:
    here.work()
    job = steps.open_jobs(here.book, act(TONI), here.order)
    steps.keep_record(here.book, act(TONI), job, "wheel_torque", "wheel-1-left", torque(r_3=third))
    with reading(here.book) as session:
        line: RecordLine = facts.records_of(session, here.order)[0]
    assert line.grade is grade


def test_a_do_not_tow_finding_holds_until_it_is_cleared(here: Stay) -> None:
    job, _ = measured(here)
    assert held(here) == ["wheel-1-left"]
    cleared(here, job)
    assert held(here) == []
    with reading(here.book) as session:
        (line,) = facts.clearances(session, here.order)
        assert facts.open_findings(session, here.order) == []
    assert (line.by, line.how, line.stands) == ("Lee", "record", True)


def test_a_declined_finding_is_never_cleared_by_itself(here: Stay) -> None:
    here.work(answers=[here.finding("dnt")], answer="no")
    steps.open_jobs(here.book, act(TONI), here.order)
    assert held(here) == ["wheel-1-left"]


def test_a_correction_outside_takes_the_clearance_back(here: Stay) -> None:
    job, record = measured(here)
    cleared(here, job)
    worse = steps.correct_record(
        here.book, act(TONI, at=LATER), record, torque(r_3="90"), "Read 90, typed 110"
    )
    assert held(here) == ["wheel-1-left"]
    with reading(here.book) as session:
        assert not facts.clearances(session, here.order)[0].stands
    steps.correct_record(here.book, act(TONI, at=LATER), worse, torque(), "Done again. Tightened")
    assert held(here) == []


def test_a_finding_graded_anew_after_its_clearance_holds_again(here: Stay) -> None:
    job, _ = measured(here)
    cleared(here, job)
    with writing(here.book) as session:
        session.get_one(Finding, here.findings[0]).looked_entry = receipts.coming(session)
    assert held(here) == ["wheel-1-left"]


def test_a_lapsed_clearance_may_be_followed_by_another(here: Stay) -> None:
    job, record = measured(here)
    cleared(here, job)
    steps.correct_record(here.book, act(TONI, at=LATER), record, torque(r_3="90"), "Read 90, typed 110")
    look = here.finding("sound", second=True, by=WREN, at=LATER)
    evidence = Evidence(How.SECOND_LOOK, second_look_id=look)
    steps.clear_finding(here.book, act(LEE, seen=1, at=LATER), here.findings[0], evidence)
    assert held(here) == []


def test_of_two_looks_the_worse_rules(here: Stay) -> None:
    here.finding("watch")
    here.finding("dnt", second=True, by=TONI, at=LATER)
    with reading(here.book) as session:
        lines = facts.open_findings(session, here.order)
    assert [line.grade for line in lines] == [Grade.DNT]


def test_clearing_the_milder_look_does_not_clear_the_worse(here: Stay) -> None:
    here.finding("dnt")
    mild = here.finding("watch", second=True, by=TONI, at=LATER)
    lead = Evidence(How.LEAD, reason="Looked at it myself, it is fine")
    steps.clear_finding(here.book, act(LEE, seen=1, at=LATER), mild, lead)
    assert held(here) == ["wheel-1-left"]


def test_what_a_second_look_saw_stays_open_as_a_watch(here: Stay) -> None:
    here.finding("dnt")
    look = here.finding("watch", second=True, by=WREN, at=LATER)
    evidence = Evidence(How.SECOND_LOOK, second_look_id=look)
    steps.clear_finding(here.book, act(LEE, seen=1, at=LATER), here.findings[0], evidence)
    with reading(here.book) as session:
        assert [(line.id, line.grade) for line in facts.open_findings(session, here.order)] == [
            (look, Grade.WATCH)
        ]
    assert held(here) == []


def test_a_second_look_that_was_itself_cleared_is_open_no_more(here: Stay) -> None:
    here.finding("dnt")
    look = here.finding("watch", second=True, by=WREN, at=LATER)
    evidence = Evidence(How.SECOND_LOOK, second_look_id=look)
    steps.clear_finding(here.book, act(LEE, seen=1, at=LATER), here.findings[0], evidence)
    said = Evidence(How.LEAD, reason="Seen on the road, nothing came of it")
    steps.clear_finding(here.book, act(LEE, seen=1, at=LATER), look, said)
    with reading(here.book) as session:
        assert facts.open_findings(session, here.order) == []


def test_cautions_stand_with_the_gravest_first_however_a_kit_names_them(here: Stay) -> None:
    words = {each.key: each.word for each in catalogue().cautions}
    with reading(here.book) as session:
        shown = facts.cautions_of(session, [*reversed(words), "c404"])
    ranks = [("DANGER", "WARNING", "CAUTION", "NOTICE").index(each.word) for each in shown]  # ANSI Z535.4
    assert ranks == sorted(ranks)
    assert {each.key for each in shown} == set(words)


def test_every_record_that_the_catalogue_can_ask_for_has_a_form() -> None:
    assert set(get_args(RecordWord)) == set(record_kinds())


def test_an_unseen_second_look_holds_nothing_and_an_unseen_first_one_stays_open(here: Stay) -> None:
    here.finding("unseen", place="wheel-2-left")
    here.finding("unseen", second=True, place="wheel-2-right")
    with reading(here.book) as session:
        assert [line.place for line in facts.open_findings(session, here.order)] == ["wheel-2-left"]


@pytest.mark.parametrize(
    ("first", "second", "still"),
    [
        ("unseen", "sound", []),
        ("unseen", "dnt", ["dnt"]),
        ("dnt", "unseen", ["dnt"]),
        ("dnt", "sound", ["dnt"]),
    ],
)
def test_what_was_unseen_is_open_no_longer_once_a_second_look_saw_it(
    here: Stay, first: str, second: str, still: list[str]
) -> None:
    here.finding(first)
    here.finding(second, second=True)
    with reading(here.book) as session:
        assert [line.grade for line in facts.open_findings(session, here.order)] == still
        stay = stay_of(session, here.order)
        (spot,) = stay.spots
        assert [spot.thing.grade] == (still or ["sound"])  # the handover's word is the bench's
        assert unseen_of(stay.things) == ()


def test_the_heaviest_stand_first(here: Stay) -> None:
    for grade, place in (("watch", "wheel-1-left"), ("dnt", "wheel-1-right"), ("needs", "wheel-2-left")):
        here.finding(grade, place=place)
    with reading(here.book) as session:
        lines = facts.open_findings(session, here.order)
    assert [line.grade for line in lines] == [Grade.DNT, Grade.NEEDS, Grade.WATCH]


def test_a_leads_override_is_told_with_its_reason(here: Stay) -> None:
    here.finding("dnt")
    lead = Evidence(How.LEAD, reason="Owner hauls it on a flatbed to scrap")
    steps.clear_finding(here.book, act(LEE, seen=1, at=LATER), here.findings[0], lead)
    with reading(here.book) as session:
        (line,) = facts.clearances(session, here.order)
    assert line.says == "by a lead, without record or second look: Owner hauls it on a flatbed to scrap"


def test_agreed_works_without_a_job_wait(here: Stay) -> None:
    here.work()
    here.work(answer="no")
    with reading(here.book) as session:
        assert facts.works_waiting(session, here.order) == ["Tighten the wheel nuts"]


def test_a_finding_offers_its_jobs_and_second_looks(here: Stay) -> None:
    job, _ = measured(here)
    look = here.finding("sound", second=True, by=WREN, at=LATER)
    here.finding("sound", second=True, by=WREN, place="wheel-2-left", at=LATER)
    with reading(here.book) as session:
        offer = facts.offer_for(session, here.findings[0])
        assert facts.offer_for(session, 999) is None
    assert offer is not None
    assert ([each.id for each in offer.jobs], [each.id for each in offer.looks]) == ([job], [look])


def test_a_do_not_tow_is_open_again_where_its_clearer_makes_the_evidence_anew(here: Stay) -> None:
    job, record = measured(here)
    cleared(here, job)
    assert held(here) == []
    steps.correct_record(here.book, act(LEE, at=LATER), record, torque(), "Done again.")
    assert held(here) == ["wheel-1-left"]  # design: where the shop has two people


def test_a_technicians_correction_leaves_the_leads_clearance(here: Stay) -> None:
    job, record = measured(here)
    cleared(here, job)
    steps.correct_record(here.book, act(TONI, at=LATER), record, torque(), "Done again.")
    assert held(here) == []


def test_a_chain_of_corrections_holds_at_each_link(here: Stay) -> None:
    job, newest = measured(here)
    cleared(here, job)
    for third, holds in (("90", True), ("110", False), ("99", True), ("100", False)):  # 100 to 120 lbf·ft
        payload = torque(r_3=third)
        newest = steps.correct_record(here.book, act(TONI, at=LATER), newest, payload, "Done again.")
        assert bool(held(here)) is holds
    with reading(here.book) as session:
        line = facts.job_of(session, job)
    assert line is not None
    (record,) = line.records
    assert (record.id, len(record.earlier)) == (newest, 4)
    assert all(each.superseded for each in record.earlier)
