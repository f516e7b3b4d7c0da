from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.lamps import Body, lamps_required
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

NEW = date(2015, 6, 1)


def body(
    width: str = "72", feet: str = "16", rating: str = "3500", made: date = NEW, *, boat: bool = False
) -> Body:
    return Body(Quantity(width, "in"), Quantity(feet, "ft"), Quantity(rating, "lb"), made, boat=boat)


def counts(of: Body) -> dict[str, int]:
    return {lamp.name: lamp.count for lamp in lamps_required(of).value}


@pytest.mark.parametrize(
    ("name", "count", "colour"),
    [
        # 49 CFR 393.11 table 1: every trailer
        ("tail lamp", 2, "red"),
        ("stop lamp", 2, "red"),
        ("rear turn signal", 2, "red or amber"),
        ("rear reflector", 2, "red"),
        ("rear side marker", 2, "red"),
        ("rear side reflector", 2, "red"),
        ("front side marker", 2, "amber"),
        ("front side reflector", 2, "amber"),
        ("license plate lamp", 1, "white"),
    ],
)
def test_lamps_of_every_trailer(name: str, count: int, colour: str) -> None:
    found = {lamp.name: (lamp.count, lamp.colour) for lamp in lamps_required(body()).value}
    assert found[name] == (count, colour)
    assert len(found) == 9


@pytest.mark.parametrize(
    ("width", "unit", "wide"),
    [
        ("79.9", "in", False),
        ("80", "in", True),  # 49 CFR 393.11: 80 in (2,032 mm) or more
        ("2032", "mm", True),
        ("2031", "mm", False),
        ("84", "in", True),  # over the fenders of a 78 in box: NHTSA interpretation nht93-4.12
        ("102", "in", True),
    ],
)
def test_width_adds_clearance_and_the_three_lamps(width: str, unit: str, wide: bool) -> None:
    here = Body(Quantity(width, unit), Quantity("16", "ft"), Quantity("3500", "lb"), NEW)
    found = counts(here)
    assert found.get("front clearance lamp") == (2 if wide else None)
    assert found.get("rear clearance lamp") == (2 if wide else None)
    assert found.get("rear identification lamp") == (3 if wide else None)


@pytest.mark.parametrize(("feet", "long"), [("29.9", False), ("30", True), ("34", True)])
def test_30_ft_adds_lamps_half_way(feet: str, long: bool) -> None:
    # 49 CFR 393.11: 9.144 m (30 ft) or longer
    found = counts(body(feet=feet))
    assert found.get("intermediate side marker") == (2 if long else None)
    assert found.get("intermediate side reflector") == (2 if long else None)


def test_under_6_ft_there_is_nothing_at_the_front() -> None:
    # 571.108, from memory: trailers under 1,829 mm (6 ft) including the tongue
    assert "front side marker" not in counts(body(feet="5.9"))
    assert "front side marker" in counts(body(feet="6"))


def test_under_30_in_one_of_each_will_do() -> None:
    # 571.108, from memory: trailers less than 30 in wide
    narrow = counts(body(width="29"))
    assert [narrow[name] for name in ("tail lamp", "stop lamp", "rear reflector")] == [1, 1, 1]
    assert counts(body(width="30"))["tail lamp"] == 2


def test_a_wide_boat_trailer_has_one_lamp_a_side() -> None:
    # NHTSA interpretations aiam1701 and 0484
    found = counts(body("96", boat=True))
    assert found["clearance lamp, double-faced, at mid-length"] == 2
    assert "front clearance lamp" not in found
    assert found["rear identification lamp"] == 3


@pytest.mark.parametrize(
    ("width", "rating", "made", "living", "taped"),
    [
        # 49 CFR 393.11(b): 80 in or more, over 10,000 lb, made since 1 December 1993, not for living
        ("96", "10001", date(1993, 12, 1), False, True),
        ("96", "10000", date(2000, 1, 1), False, False),
        ("96", "14000", date(1993, 11, 30), False, False),
        ("96", "14000", date(2000, 1, 1), True, False),
        ("79", "14000", date(2000, 1, 1), False, False),
    ],
)
def test_sheeting(width: str, rating: str, made: date, living: bool, taped: bool) -> None:
    size = Quantity(width, "in"), Quantity("20", "ft"), Quantity(rating, "lb")
    found = counts(Body(*size, made, living=living))
    assert ("conspicuity sheeting, sides and rear" in found) is taped


def test_the_figure_says_that_local_rules_decide() -> None:
    assert "local rules" in lamps_required(body()).caution


def test_a_trailer_without_width_is_refused() -> None:
    with pytest.raises(Impossible):
        body(width="0")


@given(width=st.integers(30, 110), feet=st.integers(6, 50), more=st.integers(0, 20))
def test_larger_trailers_never_need_fewer_lamps(width: int, feet: int, more: int) -> None:
    small, large = counts(body(str(width), str(feet))), counts(body(str(width + more), str(feet + more)))
    assert all(large[name] >= count for name, count in small.items())


def test_the_list_prints_number_name_and_colour() -> None:
    found = lamps_required(body())
    assert found.says.startswith("2 × tail lamp, red; 2 × stop lamp, red; 2 × rear turn signal, red or amber")
    assert "1 × license plate lamp, white" in found.says
    shown = {each.name: each.says.replace("\u00a0", " ") for each in found.inputs}
    assert shown == {"width": "72 in", "length": "16 ft", "gross rating": "3500 lb", "made": "2015-06-01"}


def test_amber_is_ahead_and_red_behind() -> None:
    # 49 CFR 393.11 table 1
    for lamp in lamps_required(body("96", "34")).value:
        if lamp.name.startswith(("front", "intermediate")):
            assert lamp.colour == "amber"
        if lamp.name.startswith("rear") and "turn" not in lamp.name:
            assert lamp.colour == "red"


@pytest.mark.parametrize(
    ("width", "feet", "kinds"),
    # kinds of lamps and reflectors: 9 on every trailer, 3 more from 80 in, 2 more from 30 ft (393.11)
    [("72", "16", 9), ("96", "16", 12), ("72", "32", 11), ("96", "32", 14), ("72", "5", 7)],
)
def test_number_of_kinds(width: str, feet: str, kinds: int) -> None:
    assert len(counts(body(width, feet))) == kinds
