import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.drawings import (
    Circle,
    Point,
    arrow,
    curve,
    hexagon,
    nut_angle_from_valve,
    nut_places,
    path,
    polygon,
    star_arrows,
)
from app.trade.problems import Impossible

RING = Circle(Decimal(210), Decimal(210), Decimal(100))


def place(x: str, y: str) -> Point:
    return Point(Decimal(x), Decimal(y))


@pytest.mark.parametrize(
    ("angle", "x", "y"),
    [
        ("0", "210.0", "110.0"),  # the valve, at the top
        ("90", "110.0", "210.0"),  # a quarter against the clock: left
        ("180", "210.0", "310.0"),
        ("270", "310.0", "210.0"),
        ("30", "160.0", "123.4"),  # half and 0.866 of the radius
        ("-30", "260.0", "123.4"),
    ],
)  # circle, y downwards
def test_angles_run_against_the_clock_from_the_top(angle: str, x: str, y: str) -> None:
    assert RING.at(Decimal(angle)) == place(x, y)


@pytest.mark.parametrize(
    ("nut", "studs", "angle"),
    [(1, 6, "330"), (2, 6, "270"), (6, 6, "30"), (1, 5, "324"), (1, 4, "315"), (4, 8, "202.5")],
)  # half a step with the clock after the valve, then whole steps
def test_nuts_count_with_the_clock(nut: int, studs: int, angle: str) -> None:
    assert nut_angle_from_valve(nut, studs) == Decimal(angle)


@pytest.mark.parametrize(("nut", "studs"), [(0, 6), (7, 6), (-1, 5)])
def test_a_wheel_has_no_other_nuts(nut: int, studs: int) -> None:
    with pytest.raises(Impossible):
        nut_angle_from_valve(nut, studs)


def test_six_nuts_on_the_ring() -> None:
    # corners of a hexagon, right half first
    assert nut_places(6, RING) == (
        place("260.0", "123.4"),
        place("310.0", "210.0"),
        place("260.0", "296.6"),
        place("160.0", "296.6"),
        place("110.0", "210.0"),
        place("160.0", "123.4"),
    )


@given(st.integers(3, 20))
def test_no_nut_hides_the_valve_and_all_lie_on_the_ring(studs: int) -> None:
    nuts = nut_places(studs, RING)
    assert len(set(nuts)) == studs
    assert RING.at(Decimal(0)) not in nuts
    assert all(abs(math.hypot(float(p.x) - 210, float(p.y) - 210) - 100) < 0.1 for p in nuts)


def test_the_star_has_an_arrow_for_each_step() -> None:
    arrows = star_arrows(6, RING, Decimal(36), Decimal(44))
    assert len(arrows) == 5
    # nut 1 to nut 4, straight across: direction (-0.5, 0.866), 36 off one middle and 44 off the other
    assert (arrows[0].start, arrows[0].head[0]) == (place("242.0", "154.6"), place("182.0", "258.5"))


def test_an_arrow_to_the_right() -> None:
    found = arrow(place("0", "0"), place("100", "0"), Decimal(10), Decimal(10))
    assert found.start == place("10.0", "0.0")
    assert found.end == place("74.0", "0.0")  # the line stops at the neck of a head of 16
    assert found.head == (place("90.0", "0.0"), place("74.0", "8.0"), place("74.0", "-8.0"))


def test_an_arrow_needs_two_places() -> None:
    with pytest.raises(ValueError, match="two places"):
        arrow(place("1", "1"), place("1", "1"), Decimal(0), Decimal(0))


def test_a_nut_has_six_corners_one_up() -> None:
    corners = hexagon(place("0", "0"), Decimal(40))
    assert corners[0] == place("0.0", "-20.0")
    assert corners[3] == place("0.0", "20.0")
    assert len(set(corners)) == 6
    assert polygon(corners[:2]) == "0.0,-20.0 -17.3,-10.0"  # sine and cosine of 60 degrees


def test_no_minus_nought_is_drawn() -> None:
    assert "-0.0" not in polygon(hexagon(place("0", "0"), Decimal(40)))


def test_a_path_through_points() -> None:
    assert path([place("1.0", "2.0"), place("3.0", "4.0")]) == "M1.0 2.0L3.0 4.0"


def test_a_harmonic_starts_and_ends_alike_and_is_high_at_its_point() -> None:
    drawn = (
        curve(Decimal(10), (Decimal(10), Decimal(180)), place("70", "104"), (Decimal(360), Decimal(2)))
        .removeprefix("M")
        .split("L")
    )
    heights = [Decimal(spot.split()[1]) for spot in drawn]
    assert len(drawn) == 37
    assert heights[0] == heights[-1] == Decimal(104)  # mean 10 less amplitude 10 at the valve
    assert drawn[18] == "250.0 64.0"  # half way round, 20 readings up at 2 each
    assert min(heights) == Decimal(64)
