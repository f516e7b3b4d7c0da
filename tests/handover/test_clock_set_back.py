"""The machine's clock set back between two acts, end to end: the order of the book decides, and no time."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, datetime, timedelta, tzinfo

import pytest
from sqlalchemy import Engine

from app.estimate import facts as estimate
from app.ground import acting, receipts
from app.ground.book import reading
from app.handover import facts
from app.handover.rules import items_of
from app.inspection.tables import Finding, Walk
from app.intake.tables import Unit
from tests.conftest import NOON, Browser
from tests.handover.stays import NUTS, SIGNATURE, SOUND, another, carried, stay
from tests.inspection.walks import at, begun
from tests.intake.test_form_pages import form

HOUR = timedelta(hours=1)
LATCH, BOLTS = "cp.latch", "cp.bolts"
Sign = Callable[[str], Browser]


class Clock(datetime):
    """The program's one clock, as it is set."""

    stands = NOON

    @classmethod
    def now(cls, tz: tzinfo | None = None) -> datetime:
        """What it shows; each look at it is a second later."""
        assert tz is UTC
        cls.stands += timedelta(seconds=1)
        return cls.stands


@pytest.fixture
def clock(monkeypatch: pytest.MonkeyPatch) -> type[Clock]:
    """The clock of the program, at noon."""
    Clock.stands = NOON
    monkeypatch.setattr(acting, "datetime", Clock)
    return Clock


class Shop:
    """Lee, Wren and Toni at one unit whose latch was looked at, everything over HTTP."""

    def __init__(self, book: Engine, signed: Sign) -> None:
        self.book, self.walk = book, begun(book)
        self.lee, self.wren, self.toni = signed("Lee"), signed("Wren"), signed("Toni")

    def row(self, check: str = LATCH) -> Finding:
        """A finding as it stands."""
        return at(self.book, self.walk, check)

    def look(self, grade: str, reason: str = "pin bent", check: str = LATCH) -> None:
        """A look of Toni's."""
        row = self.row(check)
        said = {"revision": str(row.revision), "grade": grade, "by": "towing", "reason": reason}
        self.done(self.toni, f"/inspection/findings/{row.id}", said)

    def end(self) -> None:
        """The walk-round ended."""
        with reading(self.book) as session:
            seen = session.get_one(Walk, self.walk).revision
        self.done(self.toni, f"/inspection/walks/{self.walk}/end", {"revision": str(seen)})

    def clear(self, how: str = "lead", job: str = "") -> tuple[int, str]:
        """The latch cleared by Lee."""
        row = self.row()
        said = {"how": how, "job": job, "reason": "Pin straightened and tried twice"}
        answer = self.lee.post(f"/bench/findings/{row.id}/clear", {"revision": str(row.revision), **said})
        return answer.status_code, answer.text

    def check(self) -> None:
        """The final check by Wren."""
        items = {f"item-{it.key}": "yes" for it in items_of("travel")}
        self.done(self.wren, "/handover/1/final-check", {**items, "revision": "0"})

    def price(self) -> None:
        """Priced and shown to the owner."""
        for act in ("price", "freeze"):
            self.done(self.wren, f"/estimate/1/{act}", {"revision": str(self.ledger().guard)})

    def ledger(self) -> estimate.Ledger:
        """The estimate as it stands."""
        with reading(self.book) as session:
            return estimate.ledger(session, 1, NOON.date())

    def say(self, answer: str, **more: str) -> tuple[int, str]:
        """The owner's word on every work, given on the tablet."""
        found = self.ledger()
        said = {f"say-{it.id}": answer for it in found.works}
        initials = {f"initials-{it.id}": "RA" for it in found.works if answer != "yes"}
        form = {"revision": str(found.guard), "shown": str(found.revision_id), "how": "tablet", "who": "Ines"}
        sent = self.wren.post("/estimate/1/consent", {**form, **said, **initials, **more})
        return sent.status_code, sent.text

    def stops(self) -> set[str]:
        """What keeps the unit from leaving under tow."""
        with reading(self.book) as session:
            return {it.says for it in facts.handover_of(session, 1).in_the_way}

    def done(self, who: Browser, path: str, form: dict[str, str]) -> None:
        """A form that is taken."""
        answer = who.post(path, form)
        assert answer.status_code == 303, answer.text


@pytest.fixture
def shop(book: Engine, clock: type[Clock], signed: Sign) -> Shop:
    """The shop with its unit."""
    return Shop(book, signed)


MOVED = "Something was done after the final check"


def held(shop: Shop) -> bool:
    """Whether the latch holds the unit."""
    return any("pin" in says for says in shop.stops())


def test_a_clearance_does_not_outlive_a_worse_look_after_it(shop: Shop, clock: type[Clock]) -> None:
    shop.look("needs")
    shop.end()
    assert shop.clear()[0] == 303
    assert not held(shop)
    clock.stands -= 3 * HOUR
    shop.look("dnt", "pin cracked through")
    assert held(shop)
    leave = {"leaves": "towed", "taken_by": "Ines", "signature": SIGNATURE, "revision": "0"}
    shop.check()
    refused = shop.wren.post("/handover/1", leave)
    assert (refused.status_code, "pin cracked through" in refused.text) == (422, True)


def test_what_is_cleared_after_its_look_is_cleared(shop: Shop, clock: type[Clock]) -> None:
    shop.look("dnt")
    shop.end()
    clock.stands -= 3 * HOUR
    assert shop.clear()[0] == 303
    assert not held(shop)


def test_a_look_after_the_final_check_asks_for_another(shop: Shop, clock: type[Clock]) -> None:
    shop.end()
    shop.check()
    assert not shop.stops()
    clock.stands -= 3 * HOUR
    shop.look("watch", "a little play")
    assert MOVED in shop.stops()
    shop.check()
    assert not shop.stops()


@pytest.mark.parametrize(("again", "status"), [(False, 303), (True, 422)])
def test_a_job_that_was_finished_before_a_look_does_not_clear_it(
    book: Engine, clock: type[Clock], signed: Sign, again: bool, status: int
) -> None:
    made, wren = stay(book, [*SOUND, NUTS]), signed("Wren")
    made.price(say={})
    made.work()
    key = made.findings[NUTS.name]
    clock.stands = NOON - 3 * HOUR
    if again:
        look = {"revision": "0", "grade": "dnt", "reason": "one stud is broken"}
        assert signed("Toni").post(f"/inspection/findings/{key}", look).status_code == 303
    form = {"how": "record", "job": "1", "revision": str(int(again))}
    answer = wren.post(f"/bench/findings/{key}/clear", form)
    assert (answer.status_code, "The finding is newer than this job" in answer.text) == (status, again)


def test_consent_on_the_tablet_comes_after_the_estimate_that_it_answers(
    shop: Shop, clock: type[Clock]
) -> None:
    shop.look("needs")
    shop.end()
    shop.price()
    clock.stands -= 3 * HOUR
    assert shop.say("yes")[0] == 303


def test_a_call_is_noted_at_its_time_where_the_clock_was_set_back(shop: Shop, clock: type[Clock]) -> None:
    shop.look("needs")
    shop.end()
    shop.price()
    clock.stands -= 3 * HOUR  # a little after nine in the shop's zone
    call = {"how": "phone", "phone": "555 0163", "read_back": "the latch", "said_on": "2026-05-04"}
    early, says = shop.say("yes", **call, said_time="08:30")
    assert (early, "before the estimate was shown" in says) == (422, True)
    assert shop.say("yes", **call, said_time="09:00")[0] == 303


def test_initials_do_not_count_for_a_look_after_them(shop: Shop, clock: type[Clock]) -> None:
    shop.look("needs")
    shop.end()
    shop.price()
    assert shop.say("no")[0] == 303
    assert not held(shop)
    clock.stands -= 3 * HOUR
    shop.look("needs", "pin bent, and its hole worn")
    assert held(shop)


def test_initials_count_for_the_look_before_them(shop: Shop, clock: type[Clock]) -> None:
    shop.look("needs")
    shop.end()
    shop.price()
    clock.stands -= 3 * HOUR
    assert shop.say("no")[0] == 303
    assert not held(shop)


def test_initials_by_phone_count_for_what_was_found_before_the_call(shop: Shop, clock: type[Clock]) -> None:
    """The clock is right here: the time of a call is typed, and may be noted after a look since."""
    shop.look("needs")
    shop.end()
    shop.price()
    clock.stands += HOUR / 6
    shop.look("needs", "pin bent, and its hole worn")
    clock.stands += HOUR / 6
    call = {"how": "phone", "phone": "555 0163", "read_back": "the latch", "said_on": "2026-05-04"}
    assert shop.say("no", **call, said_time="12:09")[0] == 303
    assert held(shop)
    assert shop.say("no", **call, said_time="12:10")[0] == 303
    assert not held(shop)


def test_a_unit_put_right_after_its_walk_asks_for_more(shop: Shop, clock: type[Clock]) -> None:
    shop.end()
    shop.check()
    assert not shop.stops()
    clock.stands -= 3 * HOUR
    with reading(shop.book) as session:
        seen = session.get_one(Unit, 1).revision
    shop.done(shop.wren, "/intake/units/1", form(revision=str(seen), axles="3", **{"gawr-3": "3500"}))
    assert "The walk-round is not ended" in shop.stops()


def test_a_do_not_tow_with_which_the_walk_ended_is_not_graded_anew(shop: Shop, clock: type[Clock]) -> None:
    shop.look("dnt")
    clock.stands -= 3 * HOUR
    shop.end()
    shop.done(
        shop.toni,
        "/inspection/orders/1/take-back",
        {"act": str(newest_receipt(shop.book)), "submission": "back"},
    )
    row = shop.row()
    lighter = {"revision": str(row.revision), "grade": "sound", "reason": "I misread it"}
    refused = shop.toni.post(f"/inspection/findings/{row.id}", lighter)
    assert (refused.status_code, "it is cleared, not graded anew" in refused.text) == (422, True)


def test_the_yard_says_that_the_clock_stands_before_the_book(shop: Shop, clock: type[Clock]) -> None:
    assert 'id="clock"' not in shop.wren.get("/").text
    clock.stands -= 3 * HOUR
    page = shop.wren.get("/").text
    assert "clock says 4 May 2026, 9:00, and the newest entry in the book is of 4 May 2026, 12:00" in page
    shop.look("needs")
    assert 'id="clock"' not in shop.wren.get("/").text


def newest_receipt(book: Engine) -> int:
    """Key of the last act."""
    with reading(book) as session:
        return receipts.coming(session) - 1


def test_what_was_looked_at_again_in_another_stay_is_judged_by_that(book: Engine) -> None:
    first = stay(book, [*SOUND, NUTS])
    first.hand_over(carried())
    first.at -= 3 * HOUR
    second = another(first, [*SOUND, replace(NUTS, grade="sound", reason="")])
    second.check()
    assert second.page().in_the_way == ()
