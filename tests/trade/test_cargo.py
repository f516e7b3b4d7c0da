from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.cargo import (
    Balance,
    cargo_room,
    label_threshold,
    mass_to_reach,
    moment_to_reach,
    move_forward,
    put_in,
    take_out,
    water_lb,
)
from app.trade.figure import Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.tongue import BOAT


def lb(pounds: int | str | Decimal) -> Quantity:
    return Quantity(f"{pounds}", "lb")


def inches(length: int | str) -> Quantity:
    return Quantity(str(length), "in")


TRAILER = Balance(lb(442), lb(5200), inches(186))  # 8.5 % on the ball


@pytest.mark.parametrize(
    ("mass", "forward", "more"),
    [
        # weight × way ÷ (ball to axle): moments about the axle, by hand
        (300, "112.8", "181.9"),
        (100, "93", "50"),
        (100, "-93", "-50"),
        (60, "31", "10"),
    ],
)
def test_moving_a_thing(mass: int, forward: str, more: str) -> None:
    after = move_forward(TRAILER, lb(mass), inches(forward))
    assert abs(after.tongue.value - 442 - Decimal(more)) < Decimal("0.05")
    assert after.gross.value == 5200


def test_a_boat_moved_4_in_forward() -> None:
    # 2900 lb × 4 in ÷ 210 in = 55.2 lb, by hand
    after = move_forward(Balance(lb(190), lb(3800), inches(210)), lb(2900), inches(4))
    assert abs(after.tongue.value - Decimal("245.2")) < Decimal("0.05")
    assert after.share(BOAT).value > 5


@pytest.mark.parametrize(
    ("station", "more", "share"),
    [
        # 40 gal × 8.34 = 333.6 lb; × (186 − place) ÷ 186: by hand
        ("110", "136.3", "10.45"),
        ("230", "-78.9", "6.56"),
        ("186", "0", "7.99"),
        ("0", "333.6", "14.02"),
    ],
)
def test_filling_the_water_tank(station: str, more: str, share: str) -> None:
    after = put_in(TRAILER, lb(water_lb(Decimal(40))), inches(station))
    assert abs(after.tongue.value - 442 - Decimal(more)) < Decimal("0.05")
    assert abs(after.share().value - Decimal(share)) < Decimal("0.01")


def test_from_8_5_to_12_percent_needs_a_moment() -> None:
    # (0.12 × 5200 − 442) × 186 = 33,852 lb·in, by hand
    assert moment_to_reach(TRAILER, Decimal(12)).value == 33852


@pytest.mark.parametrize(
    ("station", "mass"),
    [
        # 182 ÷ ((186 − place) ÷ 186 − 0.12), by hand; negative is to take out
        ("20", "235.6"),
        ("30", "253.2"),
        ("40", "273.7"),
        ("250", "-392.2"),
    ],
)
def test_weight_that_brings_the_share_to_12(station: str, mass: str) -> None:
    found = mass_to_reach(TRAILER, Decimal(12), inches(station))
    assert abs(found.value - Decimal(mass)) < Decimal("0.06")
    assert found.name == ("cargo to put in" if found.value > 0 else "cargo to take out")


def test_over_the_balance_point_nothing_helps() -> None:
    # a thing at (1 − share) × length carries just that share: 0.88 × 200 = 176
    with pytest.raises(Impossible, match="another place"):
        mass_to_reach(Balance(lb(442), lb(5200), inches(200)), Decimal(12), inches(176))


@pytest.mark.parametrize(("mass", "forward"), [("0", "10"), ("-5", "10"), ("5201", "10"), ("100", "280")])
def test_what_cannot_be_moved_is_refused(mass: str, forward: str) -> None:
    with pytest.raises(Impossible):
        move_forward(TRAILER, lb(mass), inches(forward))


def test_a_trailer_without_length_is_refused() -> None:
    with pytest.raises(Impossible):
        Balance(lb(400), lb(4000), inches(0))


@given(mass=st.integers(1, 3000), station=st.integers(0, 300))
def test_putting_in_and_taking_out_leaves_the_trailer_as_it_was(mass: int, station: int) -> None:
    back = take_out(put_in(TRAILER, lb(mass), inches(station)), lb(mass), inches(station))
    assert abs(back.tongue.value - 442) < Decimal("0.00001")
    assert back.gross.value == 5200


@given(share=st.decimals("9", "15", places=1), station=st.integers(0, 60))
def test_the_weight_named_reaches_the_share(share: Decimal, station: int) -> None:
    mass = mass_to_reach(TRAILER, share, inches(station)).value
    after = put_in(TRAILER, lb(f"{mass:f}"[:20]), inches(station))
    assert abs(after.share().value - share) < Decimal("0.0001")


@given(mass=st.integers(1, 500), forward=st.integers(-180, 180))
def test_moving_in_two_steps_is_moving_once(mass: int, forward: int) -> None:
    once = move_forward(TRAILER, lb(mass), inches(2 * forward // 2))
    twice = move_forward(move_forward(TRAILER, lb(mass), inches(forward - 7)), lb(mass), inches(7))
    assert abs(once.tongue.value - twice.tongue.value) < Decimal("0.00001")


@pytest.mark.parametrize(
    ("rating", "empty", "aboard", "left", "grade"),
    [
        # subtraction by hand; 36 gal × 8.34 = 300.2 lb of water
        (5600, 4380, ["300.2", "40", "55"], "824.8", Grade.SOUND),
        (5600, 4380, [], "1220", Grade.SOUND),
        (3500, 3100, ["400"], "0", Grade.SOUND),
        (3500, 3100, ["401"], "-1", Grade.DNT),
    ],
)
def test_cargo_room(rating: int, empty: int, aboard: list[str], left: str, grade: Grade) -> None:
    found = cargo_room(lb(rating), lb(empty), [("aboard", lb(each)) for each in aboard])
    assert found.value == Decimal(left)
    assert found.verdict is not None
    assert found.verdict.grade is grade


@pytest.mark.parametrize(
    ("rating", "threshold"),
    # 72 FR 68442: the lesser of 1.5 % of GVWR and 100 lb
    [(2200, "33"), (4400, "66"), (6600, "99"), (8000, "100"), (12000, "100")],
)
def test_added_weight_that_changes_the_label(rating: int, threshold: str) -> None:
    assert label_threshold(lb(rating)) == Decimal(threshold)


def test_cargo_room_shows_the_subtraction_line_by_line() -> None:
    found = cargo_room(lb(5600), lb(4380), [("water, 36 gal", lb("300.2")), ("gas", lb(40))])
    assert [each.name for each in found.inputs] == ["GVWR", "empty weight", "water, 36 gal", "gas"]
    assert found.says.replace("\u00a0", " ") == "879.8 lb"
    over = cargo_room(lb(3500), lb(3600)).verdict
    assert over is not None
    assert over.says.replace("\u00a0", " ") == "100.0 lb over the rating: unload"


def test_water_weighs_8_34_lb_a_gallon() -> None:
    # 8.337 lb at 60 °F, 8.345 at 1 kg/L; the trade uses 8.34
    assert water_lb(Decimal(30)) == Decimal("250.2")


def test_moment_to_reach_says_which_way() -> None:
    assert moment_to_reach(TRAILER, Decimal(12)).says.replace("\u00a0", " ") == "33,852 lb·in"
    assert moment_to_reach(TRAILER, Decimal(5)).value < 0
