from decimal import Decimal

import pytest

from app.trade.bearing_sizes import HUBS, SETS, bearing_set, sets_with_bore, usual_hubs
from app.trade.problems import Impossible


@pytest.mark.parametrize(
    ("cone", "cup", "bore_mm", "cup_mm"),
    [
        ("LM11949", "LM11910", "19.050", "45.237"),  # ABMA 19.2, metric column, from memory, and so below
        ("L44643", "L44610", "25.400", "50.292"),
        ("L44649", "L44610", "26.988", "50.292"),
        ("LM67048", "LM67010", "31.750", "59.131"),
        ("15123", "15245", "31.750", "62.000"),
        ("14125A", "14276", "31.750", "69.012"),
        ("02475", "02420", "31.750", "68.262"),
        ("L68149", "L68111", "34.988", "59.974"),
        ("25580", "25520", "44.450", "82.931"),
        ("387A", "382A", "57.150", "96.838"),
    ],
)
def test_a_designation_has_its_size(cone: str, cup: str, bore_mm: str, cup_mm: str) -> None:
    found = bearing_set(cone).value
    assert found.cup == cup
    assert abs(found.bore_in * Decimal("25.4") - Decimal(bore_mm)) < Decimal("0.02")
    assert abs(found.cup_in * Decimal("25.4") - Decimal(cup_mm)) < Decimal("0.02")


@pytest.mark.parametrize("typed", ["l68149", " L 68149 ", "L68149"])
def test_a_number_is_read_as_stamped(typed: str) -> None:
    assert bearing_set(typed).value.cone == "L68149"


@pytest.mark.parametrize("typed", ["", "L68140", "L44610"])  # a cup is no cone
def test_a_number_that_is_not_listed_is_refused(typed: str) -> None:
    with pytest.raises(Impossible, match="measure it"):
        bearing_set(typed)


@pytest.mark.parametrize(
    ("bore", "unit", "cones"),
    [
        (
            "1.250",
            "in",
            {"LM67048", "15123", "14125A", "02475"},
        ),  # four cones share 1.2500 in: ABMA, from memory
        ("31.75", "mm", {"LM67048", "15123", "14125A", "02475"}),
        ("1.0625", "in", {"L44649"}),
        ("1.063", "in", {"L44649"}),  # 1 1/16 in on a caliper
        ("35.0", "mm", {"L68149"}),
        ("1.3", "in", set()),
    ],
)
def test_the_bore_alone_may_leave_several(bore: str, unit: str, cones: set[str]) -> None:
    assert {found.cone for found in sets_with_bore(Decimal(bore), unit).value} == cones


def test_a_bore_is_over_0() -> None:
    with pytest.raises(Impossible, match=r"31\.75 mm"):
        sets_with_bore(Decimal(0), "in")


@pytest.mark.parametrize(
    ("capacity", "inner", "outer"),
    [
        (1500, "L44643", "L44643"),  # common practice, and so below
        (3500, "L68149", "L44649"),
        (5200, "25580", "LM67048"),
        (6000, "25580", "15123"),
        (7000, "25580", "14125A"),
        (8000, "25580", "02475"),
        (10000, "387A", "25580"),
    ],
)
def test_usual_bearings_of_an_axle(capacity: int, inner: str, outer: str) -> None:
    assert any(inner in hub.inner and outer in hub.outer for hub in usual_hubs(capacity).value)


def test_the_seal_of_a_3500_lb_hub() -> None:
    # common practice: 1.719 x 2.565 in
    seals = [seal for hub in usual_hubs(3500).value for seal in hub.seals]
    assert (Decimal("1.719"), Decimal("2.565")) in [(seal.seat_in, seal.bore_in) for seal in seals]


def test_an_odd_capacity_finds_nothing_and_0_is_refused() -> None:
    assert usual_hubs(4500).value == ()
    assert usual_hubs(4500).says == "none in the list"
    with pytest.raises(Impossible):
        usual_hubs(0)


def test_every_cone_of_a_hub_is_in_the_list() -> None:
    listed = {found.cone for found in SETS}
    assert all(set(hub.inner) | set(hub.outer) <= listed for hub in HUBS)


def test_cones_and_cups_fit_each_other_in_size() -> None:
    # a cup is wider than its cone's bore by at least both walls: geometry
    assert all(found.cup_in > found.bore_in + Decimal("0.8") for found in SETS)
