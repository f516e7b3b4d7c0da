from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.balance import Box
from app.trade.figure import Grade
from app.trade.planes import (
    Held,
    adhesive_radius,
    at_radius,
    clip_radius,
    parts,
    split_weight,
    transfer,
    weights_for_two_planes,
)
from app.trade.problems import Impossible
from app.trade.vectors import Vector, total, vector_of

vectors = st.builds(Vector, st.decimals(0, 50, places=2), st.decimals(0, 360, places=1))
places = st.integers(-300, 300).map(Decimal)


def at(amount: str, angle: str) -> Vector:
    return Vector(Decimal(amount), Decimal(angle))


def apart(one: Vector, other: Vector) -> float:
    return abs(one.number - other.number)


# Static, couple, dynamic


@pytest.mark.parametrize(
    ("outer", "inner", "kind"),
    [
        (("2", "40"), ("2", "40"), "static"),  # ISO 21940-2 (terms): the same on both sides
        (("2", "40"), ("2", "220"), "couple"),  # equal and opposite
        (("2", "40"), ("1.5", "160"), "dynamic"),  # the general case
        (("2", "40"), ("0", "0"), "dynamic"),  # one side only holds both
        (("0", "0"), ("0", "0"), "none"),
    ],
)
def test_unbalance_by_its_name(outer: tuple[str, str], inner: tuple[str, str], kind: str) -> None:
    assert parts(at(*outer), at(*inner), "oz").value.kind == kind


def test_static_and_couple_by_hand() -> None:
    # by components: 2 at 40 = (1.5321, 1.2856), 1.5 at 160 = (-1.4095, 0.5130)
    found = parts(at("2", "40"), at("1.5", "160"), "oz_in").value
    assert abs(found.static.number - complex(0.1226, 1.7986)) < 0.0002
    assert abs(found.couple.number - complex(1.4708, 0.3863)) < 0.0002


@given(vectors, vectors)
def test_both_parts_make_up_the_planes_again(outer: Vector, inner: Vector) -> None:
    found = parts(outer, inner, "oz").value
    half = found.static.times(Decimal("0.5"))
    assert apart(total([half, found.couple]), outer) < 1e-6
    assert apart(total([half, found.couple.opposite]), inner) < 1e-6


# From plane to plane


def test_four_masses_on_a_shaft() -> None:
    # R. S. Khurmi, Theory of Machines, balancing of rotating masses, from memory: 200, 300, 400, 200 kg at
    # 80, 70, 60, 80 mm, planes 0, 300, 400, 700 mm, 45, 70 and 120 degrees on from each other; balance at
    # 100 mm in X (100 mm) and Y (500 mm). Read off a drawn polygon, so within 5 kg and 2 degrees: 355 kg at
    # 145 and 182.5 kg at 12, both clockwise.
    shaft = [
        Held(Decimal(0), at("16000", "0")),
        Held(Decimal(300), at("21000", "45")),
        Held(Decimal(400), at("24000", "115")),
        Held(Decimal(700), at("16000", "235")),
    ]
    y, x = (unbalance.opposite for unbalance in transfer(shaft, Decimal(500), Decimal(100), "").value)
    assert abs(float(x.amount) / 100 - 355) < 5
    assert abs(360 - float(x.angle) - 145) < 2
    assert abs(float(y.amount) / 100 - 182.5) < 5
    assert abs(360 - float(y.angle) - 12) < 2


def test_bearing_readings_come_to_the_wheel() -> None:
    # by statics: a lone unbalance of 10 at 100 beyond bearings at 0 and 50 loads them with -10 and 20
    bearings = [Held(Decimal(0), at("10", "180")), Held(Decimal(50), at("20", "0"))]
    outer, inner = transfer(bearings, Decimal(100), Decimal(80), "g_mm").value
    assert apart(outer, at("10", "0")) < 1e-6
    assert inner.amount < Decimal("1e-6")


@given(st.lists(st.builds(Held, places, vectors), min_size=1, max_size=4), places, places)
def test_force_and_moment_stay(sources: list[Held], outer: Decimal, inner: Decimal) -> None:
    if outer == inner:
        outer += 10
    there, here = transfer(sources, outer, inner, "g_mm").value
    force = sum(held.vector.number for held in sources)
    moment = sum(held.vector.number * float(held.place) for held in sources)
    assert abs(there.number + here.number - force) < 1e-4
    assert abs(there.number * float(outer) + here.number * float(inner) - moment) < 1e-2


def test_one_plane_twice_is_refused() -> None:
    with pytest.raises(Impossible, match="two places"):
        transfer([Held(Decimal(0), at("1", "0"))], Decimal(5), Decimal(5), "oz")


# Both planes


def test_both_planes_are_fitted_and_judged() -> None:
    box = Box(Decimal("0.25"), "oz")
    figure = weights_for_two_planes(at("1.37", "215"), at("2.10", "62"), box, box)
    # arithmetic: 1.25 leaves 0.12, 2.00 leaves 0.10
    assert figure.value.outer.weights == (at("1.25", "35"),)
    assert figure.value.inner.weights == (at("2.00", "242"),)
    assert apart(figure.value.outer.residual, at("0.12", "215")) < 1e-6
    assert figure.verdict is not None and figure.verdict.grade is Grade.SOUND


@given(vectors, vectors)
def test_free_angles_always_come_inside_the_shop_limit(outer: Vector, inner: Vector) -> None:
    box = Box(Decimal("0.25"), "oz")
    verdict = weights_for_two_planes(outer, inner, box, box).verdict
    assert (
        verdict is not None and verdict.grade is Grade.SOUND
    )  # 1/8 oz is the most that a 1/4 oz step leaves


def test_places_too_far_off_leave_work() -> None:
    box = Box(Decimal("0.25"), "oz", (Decimal(215),))
    verdict = weights_for_two_planes(at("1.37", "215"), at("0.1", "0"), box, box).verdict
    assert verdict is not None and "outer" in verdict.says


# Radii and angles


@pytest.mark.parametrize(
    ("rim", "clip", "adhesive"), [("15", "7.5", "6.75"), ("13", "6.5", "5.75"), ("16", "8", "7.25")]
)  # common practice: half the rim, 3/4 in further in
def test_radii_of_weights(rim: str, clip: str, adhesive: str) -> None:
    assert clip_radius(Decimal(rim)).value == Decimal(clip)
    assert adhesive_radius(Decimal(rim)).value == Decimal(adhesive)


def test_a_rim_has_a_radius() -> None:
    with pytest.raises(Impossible, match="15 in"):
        adhesive_radius(Decimal(1))


def test_an_ounce_on_the_clip_is_more_in_the_barrel() -> None:
    # by levers: 1.00 x 7.5 / 7.0 = 1.0714
    moved = at_radius(at("1", "90"), Decimal("7.5"), Decimal(7), "oz").value
    assert apart(moved, at("1.071428571", "90")) < 1e-8


@given(vectors, st.decimals(4, 9, places=2), st.decimals(4, 9, places=2))
def test_there_and_back_is_the_same_weight(weight: Vector, one: Decimal, other: Decimal) -> None:
    there = at_radius(weight, one, other, "oz").value
    assert apart(at_radius(there, other, one, "oz").value, weight) < 1e-6


def test_a_radius_is_over_0() -> None:
    with pytest.raises(Impossible):
        at_radius(at("1", "0"), Decimal(0), Decimal(7), "oz")


@pytest.mark.parametrize(
    ("weight", "first", "second", "one", "other"),
    [
        (("50", "100"), "90", "162", "46.4193", "9.1292"),  # sines: 50 sin 62 / sin 72, 50 sin 10 / sin 72
        (("1", "0"), "330", "30", "0.57735", "0.57735"),  # 1 / (2 cos 30)
        (("1", "0"), "30", "330", "0.57735", "0.57735"),  # either order
        (("2", "45"), "0", "90", "1.41421", "1.41421"),  # a square's diagonal
        (("2", "0"), "0", "90", "2", "0"),
    ],
)
def test_a_weight_splits_by_sines(
    weight: tuple[str, str], first: str, second: str, one: str, other: str
) -> None:
    pair = split_weight(at(*weight), Decimal(first), Decimal(second), "g").value
    assert abs(pair[0].amount - Decimal(one)) < Decimal("0.0001")
    assert abs(pair[1].amount - Decimal(other)) < Decimal("0.0001")


@given(vectors, st.integers(1, 85), st.integers(1, 85))
def test_split_weights_act_as_the_one(weight: Vector, before: int, after: int) -> None:
    pair = split_weight(weight, weight.angle - before, weight.angle + after, "oz").value
    assert apart(vector_of(pair[0].number + pair[1].number), weight) < 1e-6
    assert pair[0].amount + pair[1].amount >= weight.amount - Decimal("1e-6")


@pytest.mark.parametrize(
    ("first", "second", "says"),
    [("0", "180", "one line"), ("10", "80", "between"), ("120", "200", "between")],
)
def test_places_must_hold_the_weight_between_them(first: str, second: str, says: str) -> None:
    with pytest.raises(Impossible, match=says):
        split_weight(at("1", "100"), Decimal(first), Decimal(second), "oz")
