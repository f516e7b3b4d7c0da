"""The stage of a stay, and the answer to: may it be towed?"""

from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.yard.rules import Paused, StayFacts, WaitsFor, stage
from tests.conftest import NOON


def later(hours: int) -> datetime:
    return NOON + timedelta(hours=hours)


ARRIVED = StayFacts(arrived_at=NOON)
WALKING = replace(ARRIVED, walk_begun_at=later(1))
WALKED = replace(WALKING, walk_ended_at=later(2))
PRICED = replace(WALKED, priced_at=later(3))
OFFERED = replace(PRICED, offered_at=later(4), offer="E-2026-0301, revision 1")
AGREED = replace(OFFERED, answered_at=later(5), agreed=2)
WORKING = replace(AGREED, begun=1, moved_at=later(6))
WORKED = replace(WORKING, begun=2, finished=2, moved_at=later(7))
CHECKED = replace(WORKED, checked_at=later(8))
GONE = replace(CHECKED, handed_over_at=later(9), follow_ups=1)
CLOSED = replace(GONE, follow_ups=0)
COURSE = (ARRIVED, WALKING, WALKED, PRICED, OFFERED, AGREED, WORKING, WORKED, CHECKED, GONE, CLOSED)


@pytest.mark.parametrize(
    ("facts", "word", "waits", "hours"),
    [
        (ARRIVED, "checked in", WaitsFor.US, 0),
        (WALKING, "being inspected", WaitsFor.US, 1),
        (WALKED, "to be priced", WaitsFor.US, 2),
        (PRICED, "priced", WaitsFor.US, 3),
        (OFFERED, "waiting for the owner", WaitsFor.OWNER, 4),
        (AGREED, "agreed", WaitsFor.US, 5),
        (WORKING, "in work", WaitsFor.US, 6),
        (WORKED, "in final check", WaitsFor.US, 7),
        (CHECKED, "ready", WaitsFor.NOBODY, 8),
        (GONE, "handed over", WaitsFor.NOBODY, 9),
        (CLOSED, "closed", WaitsFor.NOBODY, 9),
    ],
)
def test_each_step_of_the_job_has_its_stage_and_its_since(
    facts: StayFacts, word: str, waits: WaitsFor, hours: int
) -> None:
    found = stage(facts)
    assert (found.word, found.waits, found.since) == (word, waits, later(hours))


def test_what_moved_after_the_final_check_is_told_and_the_unit_is_not_ready() -> None:
    found = stage(replace(CHECKED, unready=Paused("Something was done after the final check", later(9))))
    assert (found.word, found.waits, found.since) == ("in final check", WaitsFor.US, later(9))
    assert found.waits_for == "Something was done after the final check"
    assert stage(replace(GONE, unready=Paused("A second look", later(9)))).word == "handed over"


def test_who_waits_is_told_for_what() -> None:
    assert stage(OFFERED).waits_for == "Answer to E-2026-0301, revision 1"
    assert stage(AGREED).waits_for == "2 of 2 jobs to finish"
    assert stage(replace(WORKING, finished=1)).waits_for == "1 of 2 jobs to finish"


IN_WORK = StayFacts(arrived_at=NOON, answered_at=NOON, agreed=3, begun=2, finished=1)
PART = Paused("a part: leaf spring, Tuesday", NOON + timedelta(hours=2), WaitsFor.PARTS)
OWNER = Paused("the owner", NOON + timedelta(hours=1), WaitsFor.OWNER)
DRYING = Paused("paint has to dry", NOON + timedelta(hours=3))
SEALS = Paused("2 Grease seal, expected 3 Dec", NOON + timedelta(hours=4), WaitsFor.PARTS)


@pytest.mark.parametrize(
    ("paused", "word", "waits", "says", "since"),
    [
        ((), "in work", WaitsFor.US, "2 of 3 jobs to finish", NOON),
        ((PART,), "waiting for parts", WaitsFor.PARTS, "A part: leaf spring, Tuesday", PART.since),
        ((OWNER,), "in work", WaitsFor.OWNER, "The owner", OWNER.since),
        ((DRYING,), "in work", WaitsFor.US, "Paint has to dry", DRYING.since),
        ((PART, OWNER), "in work", WaitsFor.US, "A part: leaf spring, Tuesday; the owner", OWNER.since),
        ((PART, PART), "waiting for parts", WaitsFor.PARTS, "A part: leaf spring, Tuesday", PART.since),
    ],
)
def test_a_unit_waits_for_what_its_paused_jobs_wait_for(
    paused: tuple[Paused, ...], word: str, waits: WaitsFor, says: str, since: datetime
) -> None:
    found = stage(replace(IN_WORK, paused=paused))
    assert (found.word, found.waits, found.waits_for, found.since) == (word, waits, says, since)


def test_a_job_that_goes_on_keeps_the_unit_in_work() -> None:
    found = stage(replace(IN_WORK, paused=(PART,), going=True))
    assert (found.word, found.waits, found.waits_for) == ("in work", WaitsFor.US, "2 of 3 jobs to finish")


@pytest.mark.parametrize(
    ("coming", "word", "waits", "says"),
    [
        ((SEALS,), "agreed", WaitsFor.US, "2 of 2 jobs to finish; 2 Grease seal, expected 3 Dec"),
        ((SEALS, SEALS), "waiting for parts", WaitsFor.PARTS, "2 Grease seal, expected 3 Dec"),
        ((), "agreed", WaitsFor.US, "2 of 2 jobs to finish"),
    ],
)
def test_agreed_work_waits_for_parts_only_where_every_job_left_does(
    coming: tuple[Paused, ...], word: str, waits: WaitsFor, says: str
) -> None:
    found = stage(replace(AGREED, coming=coming))
    assert (found.word, found.waits, found.waits_for) == (word, waits, says)


def test_what_is_ordered_adds_to_what_the_paused_jobs_wait_for() -> None:
    found = stage(replace(IN_WORK, paused=(PART,), coming=(SEALS,)))
    assert found.word == "waiting for parts"
    assert found.waits_for == "A part: leaf spring, Tuesday; 2 Grease seal, expected 3 Dec"


def test_a_pause_does_not_outlive_the_last_job() -> None:
    done = replace(IN_WORK, finished=3, paused=(PART,))
    assert stage(done).word == "in final check"


def test_a_unit_whose_owner_wants_nothing_done_goes_to_the_final_check() -> None:
    assert stage(replace(AGREED, agreed=0)).word == "in final check"


def test_a_new_offer_waits_for_the_owner_again() -> None:
    assert stage(replace(OFFERED, agreed=2, begun=2, finished=2, answered_at=None)).waits is WaitsFor.OWNER


def test_a_final_check_does_not_make_it_ready_while_a_job_is_open() -> None:
    assert stage(replace(CHECKED, finished=1)).word == "in work"


def test_only_what_was_handed_over_has_left_the_lot() -> None:
    assert [stage(facts).on_the_lot for facts in COURSE] == [True] * 9 + [False] * 2


@given(st.sampled_from(COURSE), st.integers(0, 3), st.integers(0, 3), st.integers(0, 3))
def test_every_mixture_of_facts_has_one_stage_not_older_than_the_arrival(
    facts: StayFacts, agreed: int, begun: int, finished: int
) -> None:
    found = stage(replace(facts, agreed=agreed, begun=begun, finished=finished))
    assert found.since >= NOON
    assert found.word
    assert found.waits_for


@pytest.mark.parametrize("at", [PRICED, OFFERED, AGREED, WORKING, WORKED, CHECKED])
@pytest.mark.parametrize("count", [1, 2, 11])
def test_what_is_to_be_priced_is_said_first_and_is_ours_to_do(at: StayFacts, count: int) -> None:
    without, found = stage(at), stage(replace(at, unpriced=count))
    said, _, rest = found.waits_for.partition("; ")
    assert said == (f"{count} finding to be priced" if count == 1 else f"{count} findings to be priced")
    assert rest.lower() == without.waits_for.lower()
    assert found == replace(without, waits=WaitsFor.US, waits_for=found.waits_for)


@pytest.mark.parametrize("at", [GONE, CLOSED])
def test_a_unit_that_left_waits_for_no_price(at: StayFacts) -> None:
    assert stage(replace(at, unpriced=2)) == stage(at)
