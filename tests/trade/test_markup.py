"""The price of a part from its cost, in steps."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.markup import Step, selling_price
from app.trade.money import Money
from app.trade.problems import Impossible

STEPS = (Step(Money(2000), Decimal(60)), Step(Money(10_000), Decimal(40)), Step(None, Decimal(25)))


@pytest.mark.parametrize(
    ("cost", "price"),
    [
        (0, 0),
        (1000, 1600),  # by hand: 10.00 x 1.6
        (2000, 3200),  # the end of a step belongs to it
        (2001, 3200),  # 20.01 x 1.4 = 28.01 would be less than the 32.00 of a cheaper part
        (2285, 3200),  # 22.85 x 1.4 = 31.99
        (2286, 3200),  # 22.86 x 1.4 = 32.004, half up to 32.00
        (2287, 3202),  # 22.87 x 1.4 = 32.018
        (10_000, 14_000),
        (11_200, 14_000),  # 112.00 x 1.25 = 140.00, the end of the step before
        (20_000, 25_000),
    ],
)
def test_a_price_is_the_cost_with_the_mark_up_of_its_step(cost: int, price: int) -> None:
    assert selling_price(Money(cost), STEPS).value == Money(price)


def test_it_says_how_it_came_about() -> None:
    worked = selling_price(Money(1000), STEPS)
    assert [(it.name, it.says) for it in worked.inputs] == [("cost", "10.00"), ("mark-up", "60 %")]
    assert worked.says == "16.00"


@given(st.integers(0, 50_000), st.integers(0, 50_000))
def test_a_dearer_part_is_never_sold_for_less(one: int, other: int) -> None:
    low, high = sorted((one, other))
    assert selling_price(Money(low), STEPS).value <= selling_price(Money(high), STEPS).value


@given(st.integers(0, 50_000))
def test_no_part_is_sold_under_its_cost(cost: int) -> None:
    assert selling_price(Money(cost), STEPS).value >= Money(cost)


def test_a_negative_cost_cannot_be() -> None:
    with pytest.raises(Impossible):
        selling_price(Money(-1), STEPS)


@pytest.mark.parametrize(
    "steps",
    [
        (),
        (Step(Money(100), Decimal(10)),),  # no step for what is dearer
        (Step(Money(200), Decimal(10)), Step(Money(100), Decimal(5)), Step(None, Decimal(0))),
        (Step(None, Decimal(10)), Step(None, Decimal(5))),
        (Step(None, Decimal(401)),),
    ],
)
def test_steps_that_cannot_be_are_a_slip_of_the_program(steps: tuple[Step, ...]) -> None:
    with pytest.raises(ValueError, match=r"step|mark-up"):
        selling_price(Money(100), steps)
