"""The drawings of wheels: where nuts, arrows, weights and readings stand, against plain geometry."""

import math
import re
from decimal import Decimal

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.bench.levels_drawn import levels_drawn
from app.bench.planes_drawn import TICKS, paper_ticks, plane_drawn, unrolled
from app.bench.star import wheel
from app.trade.drawings import Circle, Point
from app.trade.problems import Impossible
from app.trade.vectors import Vector

RING = Circle(Decimal(210), Decimal(210), Decimal(100))
STUDS = st.integers(min_value=3, max_value=12)


def away(at: Point, x: float, y: float) -> float:
    """Distance of a place from another."""
    return math.hypot(float(at.x) - x, float(at.y) - y)


def numbers(text: str) -> list[float]:
    """All numbers of a path or polygon."""
    return [float(each) for each in re.findall(r"-?\d+\.?\d*", text)]


@settings(deadline=None)
@given(studs=STUDS)
def test_nuts_stand_on_their_ring_evenly_and_clockwise(studs: int) -> None:
    nuts = wheel(studs, {}, RING, Decimal(36), Decimal(44)).nuts
    for nut in nuts:
        assert away(nut.at, 210, 210) == pytest.approx(100, abs=0.1)
        clockwise = math.degrees(math.atan2(float(nut.at.x) - 210, 210 - float(nut.at.y))) % 360
        assert clockwise == pytest.approx((nut.nut - 0.5) * 360 / studs, abs=0.2)


@settings(deadline=None)
@given(studs=STUDS)
def test_nuts_do_not_overlap(studs: int) -> None:
    nuts = wheel(studs, {}, RING, Decimal(36), Decimal(44)).nuts
    corners = numbers(nuts[0].corners)
    reach = max(
        math.hypot(x - float(nuts[0].at.x), y - float(nuts[0].at.y))
        for x, y in zip(*[iter(corners)] * 2, strict=True)
    )
    between = away(nuts[0].at, float(nuts[1].at.x), float(nuts[1].at.y))
    assert between > 2 * reach * math.cos(math.radians(30)) - 0.5  # flat to flat


@settings(deadline=None)
@given(studs=STUDS)
def test_each_arrow_leads_from_a_nut_to_the_next_in_the_order(studs: int) -> None:
    drawn = wheel(studs, {}, RING, Decimal(10), Decimal(10))
    assert len(drawn.arrows) == studs - 1
    for leg, (one, other) in zip(drawn.arrows, zip(drawn.order, drawn.order[1:], strict=False), strict=True):
        start_x, start_y, *_ = numbers(leg.line)
        tip_x, tip_y, *_ = numbers(leg.head)
        assert away(drawn.nuts[one - 1].at, start_x, start_y) == pytest.approx(10, abs=0.2)
        assert away(drawn.nuts[other - 1].at, tip_x, tip_y) == pytest.approx(10, abs=0.2)


def test_a_leg_is_done_when_the_nut_it_leads_to_is() -> None:
    drawn = wheel(5, {1: "110", 3: "110"}, RING, Decimal(36), Decimal(44))
    assert drawn.order == (1, 3, 5, 2, 4)  # every other nut: US Army TM 10-4320-344-24, five studs
    assert [leg.done for leg in drawn.arrows] == [True, False, False, False]
    assert [nut.nut for nut in drawn.nuts if nut.now] == [5]
    assert [nut.turn for nut in drawn.in_order] == [1, 2, 3, 4, 5]


@pytest.mark.parametrize(("angle", "x", "y"), [(0, 0, -1), (90, -1, 0), (180, 0, 1), (270, 1, 0)])
def test_weights_stand_against_the_clock_from_the_valve(angle: int, x: int, y: int) -> None:
    weight = Vector(Decimal("0.5"), Decimal(angle))
    drawn = plane_drawn("outer", Vector(Decimal(1), Decimal(33)), [weight], Decimal("0.25"), "oz").weights[0]
    assert float(drawn.at.x) == pytest.approx(170 + 140 * x, abs=0.1)
    assert float(drawn.at.y) == pytest.approx(170 + 140 * y, abs=0.1)
    assert float(drawn.turn) == -angle  # a drawing turns with the clock


@settings(deadline=None, max_examples=50)
@given(
    amount=st.decimals(min_value="0.01", max_value="64", places=2),
    angle=st.decimals(min_value="0", max_value="359", places=0),
)
def test_an_unbalance_points_where_it_is_and_stays_on_the_wheel(amount: Decimal, angle: Decimal) -> None:
    drawn = plane_drawn("inner", Vector(amount, angle), [], Decimal("0.25"), "oz")
    tip_x, tip_y, *_ = numbers(drawn.head)
    assert math.hypot(tip_x - 170, tip_y - 170) <= 100
    points = math.degrees(math.atan2(170 - tip_x, 170 - tip_y)) % 360  # against the clock from the top
    assert min(abs(points - float(angle)), 360 - abs(points - float(angle))) < 0.5
    assert away(drawn.word, 170, 170) <= 128


def test_ticks_stand_each_ten_degrees() -> None:
    assert TICKS.count("M") == 36
    assert [tick.word for tick in paper_ticks() if tick.word] == [str(angle) for angle in range(0, 360, 30)]


def test_runout_is_unrolled_to_scale_from_valve_to_valve() -> None:
    drawn = unrolled(["0", "8", "17", "27", "31", "27", "15", "4"])
    assert [square.word for square in drawn.squares][:3] == ["valve", "45", "90"]
    assert drawn.squares[0].reading == drawn.squares[-1].reading == "0"
    heights = [float(drawn.squares[0].at.y - square.at.y) for square in drawn.squares]
    assert heights[4] / heights[1] == pytest.approx(31 / 8, rel=0.01)
    assert (drawn.top, drawn.bottom) == (drawn.squares[4].at.y, drawn.squares[0].at.y)


@pytest.mark.parametrize("texts", [[""] * 8, ["0", "x", "1", "2", "3", "4", "5", "6"]])
def test_readings_that_are_no_numbers_are_not_drawn(texts: list[str]) -> None:
    with pytest.raises(Impossible):
        unrolled(texts)


# Hitch: the coupled trailer from the side


@pytest.mark.parametrize(
    ("front", "rear", "nose", "sign"),
    [
        ("20 1/4", "20 1/2", "nose down 0.25 in", -1),  # front lower than rear: the nose points down
        ("21", "20", "nose up 1 in", 1),
        ("20", "20", "level", 0),
        ("", "20", "", 0),
        ("x", "20", "", 0),
    ],
)
def test_the_trailer_is_tilted_the_way_its_frame_stands(front: str, rear: str, nose: str, sign: int) -> None:
    drawn = levels_drawn({"frame_front": front, "frame_rear": rear})
    assert drawn.nose.replace("\xa0", " ") == nose
    tilt = Decimal(drawn.tilt)
    assert (tilt > 0) - (tilt < 0) == sign  # SVG turns with the clock: the front, at the left, rises


def test_the_tilt_stays_on_the_drawing() -> None:
    assert Decimal(levels_drawn({"frame_front": "60", "frame_rear": "4"}).tilt) == 3


def test_each_fender_says_its_heights_in_the_order_of_the_work() -> None:
    front, rear = levels_drawn(
        {"front_engaged": "33 1/2", "front_alone": "33", "rear_slack": "33 3/4"}
    ).fenders
    assert [each.replace("\xa0", " ") for each in front.heights] == ["alone 33 in", "engaged 33 1/2 in"]
    assert [each.replace("\xa0", " ") for each in rear.heights] == ["slack 33 3/4 in"]


@pytest.mark.parametrize(
    ("texts", "bars"), [({}, False), ({"links_left": "5"}, True), ({"front_engaged": "33"}, True)]
)
def test_bars_are_drawn_where_there_are_some(texts: dict[str, str], bars: bool) -> None:
    assert levels_drawn(texts).bars is bars
