from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import By, Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.weights import (
    Ticket,
    Weighing,
    front_restored,
    moved_to_trailer,
    share_by_tickets,
    tongue_weight,
    trailer_weight,
)


def ticket(front: int, rear: int, trailer: int = 0) -> Ticket:
    return Ticket(*(Quantity(str(each), "lb") for each in (front, rear, trailer)))


# One rig on a 20 lb platform; every expected value below is plain subtraction of these, by hand
ALONE, SLACK, ENGAGED = ticket(3100, 2960), ticket(2860, 3920, 5280), ticket(2980, 3720, 5360)
RIG = Weighing(ALONE, SLACK, ENGAGED)


@pytest.mark.parametrize(
    ("alone", "slack", "tongue", "gross"),
    [
        # (front + rear coupled) − (front + rear alone), and with the trailer axles: common practice
        (ALONE, SLACK, 720, 6000),  # 6780 − 6060; + 5280
        (ticket(2800, 2600), ticket(2560, 3460, 4980), 620, 5600),  # 6020 − 5400
        (ticket(3400, 3000), ticket(3200, 3900, 6200), 700, 6900),
        (ticket(2000, 1800), ticket(2100, 1600, 2500), -100, 2400),  # tail-heavy
        (ticket(1940, 1680), ticket(1860, 1980, 1700), 220, 1920),
        (ticket(4200, 3300), ticket(3860, 4620, 8020), 980, 9000),
    ],
)
def test_tongue_and_trailer_weight(alone: Ticket, slack: Ticket, tongue: int, gross: int) -> None:
    here = Weighing(alone, slack)
    assert tongue_weight(here).value == tongue
    assert trailer_weight(here).value == gross


def test_the_share_is_taken_with_bars_slack() -> None:
    share = share_by_tickets(RIG)
    assert share.value == 12  # 720 ÷ 6000, not the 10.7 % that the bars-engaged pass would give
    assert share.verdict is not None
    assert share.verdict.grade is Grade.SOUND


def test_bars_put_80_lb_back_and_restore_half() -> None:
    assert moved_to_trailer(RIG).value == 80  # 5360 − 5280
    assert front_restored(RIG).value == 50  # (2980 − 2860) ÷ (3100 − 2860)


@pytest.mark.parametrize(
    ("division", "doubt"),
    [
        # four readings, each rounding evenly: twice 2 × d ÷ √12, by hand
        ("10", "11.5"),
        ("20", "23.1"),
    ],
)
def test_doubt_of_a_tongue_weight(division: str, doubt: str) -> None:
    here = Weighing(ALONE, SLACK, division=Quantity(division, "lb"))
    assert abs(4 * here.unsure - Decimal(doubt)) < Decimal("0.05")


def test_doubt_of_the_share_on_a_20_lb_scale() -> None:
    # by hand: 2 × √((5280 × 11.547 ÷ 6000²)² + (720 × 5.774 ÷ 6000²)²) = 0.34 points
    assert abs(RIG.share_unsure - Decimal("0.34")) < Decimal("0.005")


@pytest.mark.parametrize(
    ("engaged", "restored", "grade", "by"),
    [
        (ENGAGED, 50, Grade.SOUND, None),
        (ticket(3100, 3520, 5440), 100, Grade.SOUND, None),
        (ticket(3140, 3440, 5480), Decimal(280) / Decimal("2.4"), Grade.DNT, None),  # over 100 %
        (ticket(2840, 3960, 5260), Decimal(-2000) / 240, Grade.UNSEEN, None),  # wrong way round
    ],
)
def test_grade_of_restoration(engaged: Ticket, restored: Decimal, grade: Grade, by: By | None) -> None:
    found = front_restored(Weighing(ALONE, SLACK, engaged))
    assert found.value is not None
    assert abs(found.value - restored) < Decimal("1e-9")
    assert found.verdict is not None
    assert (found.verdict.grade, found.verdict.by) == (grade, by)


@pytest.mark.parametrize(
    ("goal", "grade"), [("50", Grade.SOUND), ("60", Grade.SOUND), ("61", Grade.NEEDS), ("100", Grade.NEEDS)]
)
def test_the_book_of_the_tow_vehicle_sets_the_goal(goal: str, grade: Grade) -> None:
    found = front_restored(RIG, Decimal(goal))
    assert found.verdict is not None
    assert found.verdict.grade is grade


def test_a_small_rise_cannot_be_measured() -> None:
    # under three divisions: 40 lb on a 20 lb scale
    found = front_restored(Weighing(ticket(3100, 2960), ticket(3060, 3420, 3400), ticket(3080, 3380, 3420)))
    assert found.value is None
    assert found.verdict is not None
    assert found.verdict.grade is Grade.UNSEEN


@pytest.mark.parametrize(
    ("engaged", "grade"),
    [
        (ENGAGED, Grade.SOUND),
        (ticket(2980, 3720, 5400), Grade.SOUND),  # 40 lb apart: two divisions
        (ticket(2980, 3720, 5420), Grade.UNSEEN),
    ],
)
def test_the_coupled_passes_have_to_agree(engaged: Ticket, grade: Grade) -> None:
    verdict = trailer_weight(Weighing(ALONE, SLACK, engaged)).verdict
    assert verdict is not None
    assert verdict.grade is grade


def test_without_bars_there_is_no_third_pass() -> None:
    here = Weighing(ALONE, SLACK)
    assert trailer_weight(here).verdict is None
    for figure in (moved_to_trailer, front_restored):
        with pytest.raises(Impossible, match="no pass"):
            figure(here)


def test_tickets_that_cannot_be_are_refused() -> None:
    with pytest.raises(Impossible, match="steps of"):
        Weighing(ALONE, ticket(2870, 3920, 5280))
    with pytest.raises(Impossible):
        Weighing(ALONE, ticket(2860, 3920))
    with pytest.raises(Impossible):
        ticket(-20, 3000)
    with pytest.raises(Impossible):
        Weighing(ALONE, SLACK, division=Quantity("0", "lb"))


def test_kilogram_scales_serve() -> None:
    def kg(front: int, rear: int, trailer: int) -> Ticket:
        return Ticket(*(Quantity(str(each), "kg") for each in (front, rear, trailer)))

    here = Weighing(kg(1400, 1340, 0), kg(1300, 1780, 2400), division=Quantity("10", "kg"))
    # 340 kg of 2740 kg is 12.41 %; 340 kg is 749.6 lb (1 lb = 0.45359237 kg)
    assert abs(share_by_tickets(here).value - Decimal("12.409")) < Decimal("0.001")
    assert abs(tongue_weight(here).value - Decimal("749.57")) < Decimal("0.01")


@given(
    tow=st.tuples(st.integers(60, 250), st.integers(60, 250)),
    front_loss=st.integers(0, 40),
    tongue=st.integers(5, 100),
    axles=st.integers(200, 600),
)
def test_weights_put_on_the_scale_come_back(
    tow: tuple[int, int], front_loss: int, tongue: int, axles: int
) -> None:
    front, rear = (20 * each for each in tow)
    coupled = ticket(front - 20 * front_loss, rear + 20 * (front_loss + tongue), 20 * axles)
    here = Weighing(ticket(front, rear), coupled)
    assert tongue_weight(here).value == 20 * tongue
    assert trailer_weight(here).value == 20 * (tongue + axles)


def test_figures_print_weight_with_its_doubt() -> None:
    # 4 and 2√5 times 20 ÷ √12, by hand: 23.1 and 25.8 lb
    assert tongue_weight(RIG).says.replace("\u00a0", " ") == "720 lb ± 23 lb"
    assert trailer_weight(RIG).says.replace("\u00a0", " ") == "6,000 lb ± 26 lb"
    assert front_restored(RIG).says.replace("\u00a0", " ") == "about 50 %"
    assert moved_to_trailer(RIG).says.replace("\u00a0", " ") == "80 lb"


def test_all_tickets_are_shown() -> None:
    names = [each.name for each in tongue_weight(RIG).inputs]
    assert names == ["tow vehicle alone", "coupled, bars slack", "coupled, bars engaged", "scale division"]
    without = [each.name for each in tongue_weight(Weighing(ALONE, SLACK)).inputs]
    assert "coupled, bars engaged" not in without


@pytest.mark.parametrize("rise", [60, 80])
def test_three_divisions_can_be_measured(rise: int) -> None:
    # 60 lb on a 20 lb scale: three divisions, common practice
    here = Weighing(ticket(3100, 2960), ticket(3100 - rise, 3420, 3400), ticket(3100, 3380, 3420))
    assert front_restored(here).value == 100


@given(moved=st.integers(0, 12))
def test_restoration_follows_the_front_axle(moved: int) -> None:
    engaged = ticket(2860 + 20 * moved, 3920 - 40 * moved, 5280 + 20 * moved)
    found = front_restored(Weighing(ALONE, SLACK, engaged)).value
    assert found is not None
    assert abs(found - Decimal(100 * moved) / 12) < Decimal("1e-9")
