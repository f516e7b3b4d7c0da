"""One record of all lights serves every lamp's job that was done before it, and no job that was not."""

from collections.abc import Callable

import pytest

from app.bench import evidence, facts, steps
from app.bench.kinds import Payload, record_kinds
from app.bench.rules import Evidence, How
from app.bench.tables import Job
from app.ground.book import reading
from app.inspection.tables import Finding
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.bench.contexts import context
from tests.bench.stay import LEE, TONI, WREN, Stay
from tests.bench.test_kinds import FORMS
from tests.conftest import act

STEPS = (1, 2, 3)


def lights(**changed: str) -> Payload:
    """The lights of the whole unit, all lit unless told otherwise."""
    kind = record_kinds()["lights"]
    payload: Payload = kind.read(Texts({**FORMS["lights"], **changed}), context(place="unit"))
    return payload


def two_lamps(here: Stay) -> tuple[int, int]:
    """Two jobs begun by Toni, one for each of two dead lamps; the findings in their order."""
    for place in ("lamp-tail-left", "lamp-tail-right"):
        here.work(("lights",), answers=[here.finding(check="la.rear", place=place)], place=place)
    first = steps.open_jobs(here.book, act(TONI), here.order)
    return steps.begin(here.book, act(TONI), first), steps.begin(here.book, act(TONI), first + 1)


def tick(here: Stay, job: int, numbers: tuple[int, ...] = STEPS) -> None:
    steps.tick_steps(here.book, act(TONI), job, numbers)


def measure(here: Stay, job: int, person: int = TONI, **changed: str) -> int:
    return steps.keep_record(here.book, act(person), job, "lights", "unit", lights(**changed))


def lacks(here: Stay, job: int) -> tuple[str, ...]:
    with reading(here.book) as session:
        return evidence.lacks_of(session, session.get_one(Job, job))


def finish(here: Stay, job: int) -> None:
    with reading(here.book) as session:
        seen = session.get_one(Job, job).revision
    steps.finish_job(here.book, act(TONI, seen=seen), job)


def clear(here: Stay, finding: int, job: int, person: int = LEE) -> int:
    offered = Evidence(How.RECORD, job_id=job)
    return steps.clear_finding(here.book, act(person, seen=1), here.findings[finding], offered)


def test_a_record_made_after_both_were_done_proves_both(here: Stay) -> None:
    first, second = two_lamps(here)
    tick(here, second)
    record = measure(here, first)
    assert lacks(here, second) == ()
    finish(here, second)
    clear(here, 1, second)
    with reading(here.book) as session:
        (asked,) = facts.jobs_of(session, here.order)[1].asked
        (cleared,) = facts.clearances(session, here.order)
        assert asked.record is None
        assert asked.lent is not None
        assert cleared.rests_on(asked.lent)
        assert evidence.is_cleared(session, session.get_one(Finding, here.findings[1]))
    steps.correct_record(here.book, act(TONI), record, lights(stop="dark"), "Done again.")
    with reading(here.book) as session:
        assert not evidence.is_cleared(session, session.get_one(Finding, here.findings[1]))


def with_a_step_open(here: Stay, first: int, second: int) -> None:
    tick(here, second, STEPS[:-1])
    measure(here, first)


def before_the_last_step(here: Stay, first: int, second: int) -> None:
    tick(here, second, STEPS[:-1])
    measure(here, first)
    tick(here, second)


def with_a_step_done_again_since(here: Stay, first: int, second: int) -> None:
    tick(here, second)
    measure(here, first)
    steps.tick_step(here.book, act(TONI), second, 2, done=False)
    steps.tick_step(here.book, act(TONI), second, 2, done=True)


def typed_better_since(here: Stay, first: int, second: int) -> None:
    """What was only typed wrongly was read before this work was done."""
    record = measure(here, first, plate="dark")
    tick(here, second)
    steps.correct_record(here.book, act(TONI), record, lights(), "The plate lamp was lit all the time")


def with_one_of_its_own(here: Stay, first: int, second: int) -> None:
    tick(here, second)
    measure(here, first)
    measure(here, second, stop="dark")


@pytest.mark.parametrize(
    "made",
    [
        with_a_step_open,
        before_the_last_step,
        with_a_step_done_again_since,
        typed_better_since,
        with_one_of_its_own,
    ],
)
def test_a_record_that_may_be_of_before_the_work_proves_nothing_of_it(
    here: Stay, made: Callable[[Stay, int, int], None]
) -> None:
    first, second = two_lamps(here)
    made(here, first, second)
    assert lacks(here, second) != ()


def test_a_dark_lamp_in_the_newest_record_holds_both(here: Stay) -> None:
    first, second = two_lamps(here)
    tick(here, second)
    measure(here, first, stop="dark")
    assert all("No light: stop" in lacks(here, job)[0] for job in (first, second))


def test_who_measured_for_the_other_lamp_clears_neither(here: Stay) -> None:
    first, second = two_lamps(here)
    tick(here, second)
    measure(here, first, person=WREN)
    finish(here, second)
    with pytest.raises(Refused, match="another person clears"):
        clear(here, 1, second, WREN)


def test_a_lift_test_of_one_work_never_serves_another(here: Stay) -> None:
    """It may be of the coupler alone, or of the roof alone."""
    assert {key for key, kind in record_kinds().items() if kind.covers} == {"lights"}
