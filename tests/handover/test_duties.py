"""What the owner must do, by when: the terms of the trade, event-bound first, then by date."""

from datetime import date

import pytest

from app.handover.duties import Done, Duty, duties
from app.handover.rules import Fit, NotFit, Stop, Thing
from app.trade.dates import Month
from app.trade.figure import By, Grade

ON = date(2026, 5, 8)
HELD = NotFit((Stop("Frame: cracked", Grade.DNT),))


def of(*things: Thing, done: Done | None = None, found: Fit | NotFit | None = None) -> tuple[Duty, ...]:
    return duties(things, found or Fit(), done or Done(), ON)


def test_nothing_done_and_nothing_found_asks_for_nothing() -> None:
    assert of(Thing(1, "Frame", Grade.SOUND)) == ()


def test_wheel_nuts_are_tightened_again_at_10_25_and_50_miles() -> None:
    # 10, 25, 50 miles: common practice, as printed on trailer wheel instructions
    (duty,) = of(done=Done(nuts="110 lbf·ft"))
    assert duty.when == "10, 25 and 50 miles"
    assert duty.miles == (10, 25, 50)
    assert "110 lbf·ft" in duty.what
    assert duty.on is None


def test_a_shop_with_its_own_schedule_tells_its_own_miles() -> None:
    (duty,) = of(done=Done(nuts="110 lbf·ft", retorques=(25, 100)))
    assert (duty.when, duty.miles) == ("25 and 100 miles", (25, 100))


def test_without_a_known_figure_the_nuts_fall_due_all_the_same() -> None:
    (duty,) = of(done=Done(nuts=""))
    assert duty.what.startswith("Have every wheel nut tightened. ")


def test_needs_work_soon_falls_due_after_30_days_or_500_miles() -> None:
    (duty,) = of(Thing(1, "Corner seal", Grade.NEEDS, By.SOON))  # 30 days or 500 miles: common practice
    assert (duty.on, duty.miles) == (date(2026, 6, 7), (500,))
    assert duty.what == "Have it put right, or after 500 miles: Corner seal."


def test_needs_work_before_use_is_bound_to_the_use_and_says_that_it_is_shut() -> None:
    (duty,) = of(Thing(1, "Monoxide alarm", Grade.NEEDS, By.USE, closed_off=True))
    assert duty.when == "Before you use it"
    assert "shut off and tagged" in duty.what


@pytest.mark.parametrize(
    ("until", "miles", "when", "on"),
    [
        (date(2027, 5, 1), None, "", date(2027, 5, 1)),
        (date(2027, 5, 1), 5000, "", date(2027, 5, 1)),
        (None, 5000, "5,000 miles", None),
        (None, None, "Your next visit", None),
    ],
)
def test_a_watch_falls_due_by_its_own_term(
    until: date | None, miles: int | None, when: str, on: date | None
) -> None:
    (duty,) = of(Thing(1, "Lining", Grade.WATCH, until=until, until_miles=miles))
    assert (duty.when, duty.on) == (when, on)
    assert ("5,000 miles" in duty.when + duty.what) is (miles is not None)


def test_a_cylinder_may_be_refilled_to_the_last_day_of_its_month() -> None:
    # 49 CFR 180.209(a): may not be filled after the month in which requalification falls due
    (duty,) = of(done=Done(cylinders=(("Gas cylinder 1", Month(2026, 8)),)))
    assert duty.on == date(2026, 8, 31)
    assert "Gas cylinder 1" in duty.what


def test_a_cylinder_that_is_over_has_no_last_day_ahead() -> None:
    assert of(done=Done(cylinders=(("Gas cylinder 1", Month(2026, 4)),))) == ()


def test_bearings_set_here_fall_due_in_12_months_or_12_000_miles() -> None:
    (duty,) = of(done=Done(bearings=True))  # 12 months or 12,000 miles: common practice
    assert duty.on == date(2027, 5, 8)
    assert duty.miles == (12000,)


def test_new_linings_and_bolts_are_looked_at_again() -> None:
    bolts, linings = of(done=Done(bolts=True, linings=True))
    assert bolts.when == "50 to 100 miles"  # U-bolts and shackles if touched: common practice
    assert linings.when == "200 miles"  # bedding: common practice
    assert "new linings and drums settle" in linings.what  # kit k17 renews a drum alone


def test_a_unit_on_a_carrier_is_told_what_comes_before_any_towing() -> None:
    today, before = of(Thing(1, "Frame", Grade.DNT), found=HELD)
    assert (today.when, before.when) == ("Today", "Before any towing")
    assert "carrier" in today.what


def test_parts_not_looked_at_come_back_at_the_next_visit() -> None:
    (duty,) = of(Thing(1, "Left hub", Grade.UNSEEN, must_see=True), Thing(2, "Awning", Grade.UNSEEN))
    assert duty == Duty("Your next visit", "Let us see what we could not: Left hub.", rank=7)


def test_event_bound_duties_come_first_then_dates_in_order() -> None:
    made = of(
        Thing(1, "Lining", Grade.WATCH, until=date(2027, 5, 1)),
        Thing(2, "Corner seal", Grade.NEEDS, By.SOON),
        Thing(3, "Alarm", Grade.NEEDS, By.USE, closed_off=True),
        Thing(4, "Mirror", Grade.NEEDS, By.TOWING, initials="RA"),
        done=Done(nuts="110 lbf·ft", cylinders=(("Cylinder", Month(2026, 8)),)),
    )
    assert [it.when or f"{it.on}" for it in made] == [
        "Before you tow",
        "Before you use it",
        "10, 25 and 50 miles",
        "2026-06-07",
        "2026-08-31",
        "2027-05-01",
    ]


def test_our_own_words_stay_under_twenty_in_a_sentence() -> None:
    made = of(
        Thing(1, "X", Grade.WATCH, until=ON, until_miles=5000),
        Thing(2, "X", Grade.NEEDS, By.SOON),
        Thing(3, "X", Grade.NEEDS, By.USE, closed_off=True),
        Thing(4, "X", Grade.NEEDS, By.TOWING),
        Thing(5, "X", Grade.UNSEEN, must_see=True),
        done=Done("110 lbf·ft", True, True, True, (("X", Month(2027, 1)),)),
        found=HELD,
    )
    sentences = [one for it in made for one in it.what.split(". ")]
    assert max(len(one.split()) for one in sentences) <= 20  # owner text: at most 20 words
