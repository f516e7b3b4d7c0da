"""Taking back: what stood before stands again, page for page, however acts are mixed."""

from typing import Any

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    initialize,
    precondition,
    rule,
    run_state_machine_as_test,
)
from sqlalchemy import Engine
from sqlmodel import select

from app.ground.book import reading, writing
from app.ground.photos import Picture
from app.ground.settings import Settings
from app.ground.tables import Document, Receipt
from app.inspection import facts, steps, taking_back
from app.inspection.steps import Seen
from app.inspection.tables import Finding, TakenBack, Walk
from app.trade.figure import Grade
from app.trade.problems import Refused
from tests.conftest import NOON, act
from tests.inspection.walks import CATALOGUE, at, begun

TONI, LEE = 3, 1
LEFT = "tire-1-left"
CRACKED = next(each.key for each in CATALOGUE.check("ti.crack").defects if each.grade is Grade.WATCH)
PICTURE = Picture(b"large", b"small", 40, 30)
Stands = list[dict[str, Any]]


@pytest.fixture
def walk(book: Engine) -> int:
    return begun(book)


def record(book: Engine, walk: int, check: str, place: str, seen: Seen, person: int = TONI) -> Finding:
    it = at(book, walk, check, place)
    steps.record_finding(book, act(person, seen=it.revision), it.key, seen)
    return at(book, walk, check, place)


def last(book: Engine, order: int = 1) -> taking_back.LastAct | None:
    with reading(book) as session:
        return taking_back.offered(taking_back.last_acts(session, order, TONI))


def back(book: Engine, reason: str = "key", order: int = 1) -> str:
    """Toni's newest act that can be taken back, taken back."""
    told = last(book, order)
    assert told is not None
    return taking_back.take_back(book, act(TONI), order, told.id, reason)


def stands(book: Engine, walk: int) -> Stands:
    """All that pages say of a walk, without its counts of saves."""
    with reading(book) as session:
        kept = session.get_one(Walk, walk)
        told = [{**line.__dict__, "revision": 0} for line in facts.findings_of_walk(session, kept)]
        return [*told, {"ended": kept.ended_at, "by": kept.ended_by}]


def photos(book: Engine, walk: int) -> int:
    return sum(len(line.get("photos", ())) for line in stands(book, walk))


def test_the_first_save_taken_back_leaves_the_place_unseen(book: Engine, walk: int) -> None:
    before = stands(book, walk)
    found = record(book, walk, "ti.psi", LEFT, Seen(readings={"cold": "50"}, note="warm day"))
    assert back(book) == f"/inspection/findings/{found.key}"
    assert stands(book, walk) == before
    assert at(book, walk, "ti.psi", LEFT).revision == 2  # by one save more, never one less


def test_a_second_save_taken_back_brings_the_first_with_its_readings(book: Engine, walk: int) -> None:
    record(book, walk, "ti.tread", LEFT, Seen(readings={"least": "4.5"}, note="measured"))
    before = stands(book, walk)
    record(book, walk, "ti.tread", LEFT, Seen(readings={"least": "9"}))
    back(book)
    assert stands(book, walk) == before
    back(book)
    assert at(book, walk, "ti.tread", LEFT).grade == "unseen"
    assert last(book) is None


def test_do_not_tow_by_a_slip_is_taken_back_with_its_reason_kept(book: Engine, walk: int) -> None:
    record(book, walk, "ti.tread", LEFT, Seen(readings={"least": "1"}))
    for none in ("", "because"):
        with pytest.raises(Refused, match="say why"):
            back(book, none)
    back(book, "misread")
    with reading(book) as session:
        (row,) = session.exec(select(TakenBack))
        receipt = session.get_one(Receipt, row.receipt_id)
    assert row.reason == "Reading misread or mistyped"
    assert '"typed":"1"' in receipt.stood  # what was typed stays in the trace


def test_what_is_no_safety_check_needs_no_reason(book: Engine, walk: int) -> None:
    with reading(book) as session:
        rest = {row.key for row in steps.rest_of(session, walk, 8, NOON)}
    before = stands(book, walk)
    steps.rest_sound(book, act(TONI), walk, 8, rest)
    told = last(book)
    assert told is not None
    assert ({each.id for each in told.changed}, told.safety) == (rest, False)
    assert back(book, "") == f"/inspection/walks/{walk}/stations/8"
    assert stands(book, walk) == before


def test_one_look_at_several_places_is_one_act(book: Engine, walk: int) -> None:
    before = stands(book, walk)
    keys = [at(book, walk, "ti.psi", place).key for place in (LEFT, "tire-1-right", "tire-2-left")]
    steps.same_reading(book, act(TONI), keys, Seen(readings={"cold": "50"}))
    back(book)
    assert stands(book, walk) == before


def test_photos_of_an_act_taken_back_are_shown_no_longer(book: Engine, walk: int, settings: Settings) -> None:
    it = at(book, walk, "cp.latch")
    steps.record_finding(book, act(TONI), it.key, Seen(grade=Grade.SOUND, photos=(PICTURE,)), settings.files)
    assert photos(book, walk) == 1
    back(book)
    assert photos(book, walk) == 0
    # and they prove nothing any more: lighter than do not tow asks for a new one
    worst = CATALOGUE.check("cp.latch").defects[0].key
    lighter = Seen(seen=(worst,), grade=Grade.WATCH, reason="Freed it", second=LEE)
    with pytest.raises(Refused, match="photo has to show it"):
        record(book, walk, "cp.latch", "unit", lighter)


def test_what_somebody_else_saved_since_is_not_taken_back(book: Engine, walk: int) -> None:
    first = record(book, walk, "ti.psi", LEFT, Seen(readings={"cold": "50"}))
    record(book, walk, "ti.tread", LEFT, Seen(readings={"least": "9"}))
    record(book, walk, "ti.tread", LEFT, Seen(readings={"least": "8"}), person=LEE)
    assert back(book) == f"/inspection/findings/{first.key}"  # the newest that stands as it was left
    assert at(book, walk, "ti.tread", LEFT).looked_by == LEE


def test_only_the_last_twenty_acts_are_taken_back(book: Engine, walk: int) -> None:
    for number in range(22):
        record(book, walk, "ti.psi", LEFT, Seen(readings={"cold": str(40 + number)}))
    for _ in range(20):
        back(book)
    assert last(book) is None
    assert at(book, walk, "ti.psi", LEFT).revision == 42


def test_an_end_is_taken_back_with_all_that_it_lifted(book: Engine, walk: int) -> None:
    record(book, walk, "ti.age", LEFT, Seen(readings={"code": "2319"}))
    record(book, walk, "ti.crack", LEFT, Seen(seen=(CRACKED,)))
    before = stands(book, walk)
    steps.end_walk(book, act(TONI), walk)
    assert at(book, walk, "ti.age", LEFT).by == "towing"  # old and cracked (common practice)
    ended = stands(book, walk)
    steps.end_walk(book, act(TONI, seen=1, at=NOON.replace(hour=18)), walk)
    assert back(book, "") == f"/inspection/walks/{walk}/sum-up"
    assert stands(book, walk) == ended
    back(book)
    assert stands(book, walk) == before


def test_what_was_lifted_goes_back_with_what_lifted_it(book: Engine, walk: int) -> None:
    record(book, walk, "ti.age", LEFT, Seen(readings={"code": "2319"}))
    steps.end_walk(book, act(LEE), walk)
    before = stands(book, walk)
    record(book, walk, "ti.crack", LEFT, Seen(seen=(CRACKED,)))
    assert at(book, walk, "ti.age", LEFT).by == "towing"
    back(book)
    assert stands(book, walk) == before
    record(book, walk, "ti.crack", LEFT, Seen(seen=(CRACKED,)), person=LEE)
    back(book)  # a save that others only made heavier still stands as it was left
    assert at(book, walk, "ti.age", LEFT).grade == "unseen"


def test_nothing_is_taken_back_once_the_unit_was_handed_over(book: Engine, walk: int) -> None:
    record(book, walk, "cp.latch", "unit", Seen(grade=Grade.SOUND))
    with writing(book) as session:
        paper = {"created_at": NOON, "kind": "handover", "number": "1", "issue": 1, "title": "Handover"}
        paper |= {"work_order_id": 1, "sha256": "0" * 64, "size": 1, "printed_by": 2}
        session.add(Document(**paper))
    with pytest.raises(Refused, match="handed over"):
        back(book)


LOOKS = {
    ("ti.psi", LEFT): (Seen(readings={"cold": "50"}), Seen(readings={"cold": "30"}, note="low")),
    ("ti.age", LEFT): (Seen(readings={"code": "2319"}), Seen(readings={"code": "1024"})),
    ("ti.crack", LEFT): (Seen(seen=(CRACKED,)), Seen(grade=Grade.SOUND)),
    ("cp.latch", "unit"): (Seen(grade=Grade.SOUND), Seen(grade=Grade.WATCH), Seen(fitted=False)),
}


class DoAndTakeBack(RuleBasedStateMachine):
    """One person does and takes back; every taking back shows what stood before the act."""

    book: Engine

    @initialize()
    def open(self) -> None:
        self.walk, self.minutes = begun(self.book), 0
        with reading(self.book) as session:
            self.order = session.get_one(Walk, self.walk).work_order_id
        self.stood: list[Stands] = []

    @rule(place=st.sampled_from(sorted(LOOKS)), which=st.integers(0, 2))
    def look(self, place: tuple[str, str], which: int) -> None:
        looks = LOOKS[place]
        self.stood.append(stands(self.book, self.walk))
        record(self.book, self.walk, *place, looks[which % len(looks)])

    @rule()
    def rest(self) -> None:
        self.stood.append(stands(self.book, self.walk))
        steps.rest_sound(self.book, act(TONI), self.walk, 8)

    @rule()
    def end(self) -> None:
        with reading(self.book) as session:
            seen = session.get_one(Walk, self.walk).revision
        self.minutes += 1
        self.stood.append(stands(self.book, self.walk))
        moment = NOON.replace(hour=17, minute=self.minutes)
        steps.end_walk(self.book, act(TONI, seen=seen, at=moment), self.walk)

    @precondition(lambda self: self.stood)
    @rule()
    def take_back(self) -> None:
        back(self.book, order=self.order)
        assert stands(self.book, self.walk) == self.stood.pop()


def test_do_and_take_back_show_equal_pages(book: Engine) -> None:
    DoAndTakeBack.book = book
    slow = [HealthCheck.too_slow, HealthCheck.data_too_large]
    how = settings(max_examples=15, stateful_step_count=14, deadline=None, suppress_health_check=slow)
    run_state_machine_as_test(DoAndTakeBack, settings=how)  # type: ignore[no-untyped-call]
