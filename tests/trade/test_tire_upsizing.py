"""Larger tires on the same rim."""

from dataclasses import replace
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.problems import Impossible
from app.trade.tire_size import read_size
from app.trade.tire_upsizing import OFFERS, Offer, Proposal, Room, upsizing

PRESENT = Offer(read_size("ST205/75R14"), "C", Decimal(1760), Decimal(50))
WIDE = Room(Decimal("5.5"), Decimal(3), Decimal(2), Decimal(4), Decimal(2200), Decimal(80))
GAWR = Decimal(3500)


def proposals(room: Room, present: Offer = PRESENT, gawr: Decimal = GAWR) -> dict[str, Proposal]:
    return {str(it.offer): it for it in upsizing(present, room, gawr).value}


def test_what_the_tables_offer_on_a_14_inch_rim() -> None:
    # trailer tire load tables: 205/75-14 D carries 2,040 lb, 215/75-14 C 1,870 lb
    found = proposals(WIDE)
    assert {name: it.gain_tire_lb for name, it in found.items()} == {
        "ST205/75-14 load range D": 280,
        "ST215/75-14 load range C": 110,
    }
    assert {it.gain_axle_lb for it in found.values()} == {560, 220}
    assert [it.over_gawr_lb for it in found.values()] == [580, 240]


def test_the_gaps_left_are_those_of_the_geometry() -> None:
    # 215/75-14 is 15.0 mm taller and 10 mm wider than 205/75-14 (ISO 4000-1)
    found = proposals(WIDE)["ST215/75-14 load range C"]
    assert round(found.left_over, 3) == round(Decimal(3) - Decimal("7.5") / Decimal("25.4"), 3)
    assert round(found.left_side, 3) == round(Decimal(2) - Decimal(5) / Decimal("25.4"), 3)
    assert found.left_between is not None
    assert round(found.left_between, 3) == round(Decimal(4) - Decimal(15) / Decimal("25.4"), 3)


@pytest.mark.parametrize(
    ("room", "against"),
    [
        # least gaps: 3/4 in over, 1/2 in beside, 1 in between tires of a tandem: common practice
        (Room(Decimal("5.5"), Decimal(1), Decimal(2), Decimal(4)), "over the tire"),
        (Room(Decimal("5.5"), Decimal(3), Decimal("0.6"), Decimal(4)), "beside the tire"),
        (Room(Decimal("5.5"), Decimal(3), Decimal(2), Decimal("1.5")), "between the tires"),
        (Room(Decimal(5), Decimal(3), Decimal(2), Decimal(4)), "its rim is 5.5 to 7 in wide"),
        (
            Room(Decimal("5.5"), Decimal(3), Decimal(2), Decimal(4), None, Decimal(35)),
            "the wheel takes 35 psi",
        ),
    ],
)
def test_what_speaks_against_a_larger_tire(room: Room, against: str) -> None:
    found = proposals(room)["ST215/75-14 load range C"]
    assert not found.fits
    assert any(against in it for it in found.against)


@pytest.mark.parametrize(("over", "fits"), [("1.046", True), ("1.045", False)])
def test_the_least_gap_itself_is_enough(over: str, fits: bool) -> None:  # 0.75 in and 7.5 mm are 1.0453 in
    room = Room(Decimal("5.5"), Decimal(over), Decimal(2))
    assert proposals(room)["ST215/75-14 load range C"].fits == fits


def test_every_answer_says_that_the_axle_rating_stays() -> None:
    figure = upsizing(PRESENT, WIDE, GAWR)
    assert "The axle stays rated 3,500\u00a0lb" in figure.caution
    assert "do not raise GAWR or GVWR" in figure.caution


def test_the_wheel_may_be_the_weaker_part() -> None:
    room = Room(Decimal("5.5"), Decimal(3), Decimal(2), None, Decimal(1900))
    found = proposals(room)["ST205/75-14 load range D"]
    assert found.gain_tire_lb == 140  # 1,900 lb of the wheel less 1,760 lb
    assert any("wheel carries 1,900 lb" in it for it in found.also)


def test_a_high_pressure_tire_asks_for_its_valve() -> None:
    # rubber snap-in valves of the ordinary kind are for 65 psi: tire and rim standards
    present = Offer(read_size("ST225/75R15"), "D", Decimal(2540), Decimal(65))
    found = proposals(Room(Decimal(6), Decimal(3), Decimal(2)), present, Decimal(5200))
    assert any("valve for at least 80 psi" in it for it in found["ST225/75-15 load range E"].also)


def test_a_passenger_tire_gains_by_its_divided_load() -> None:
    # 49 CFR 571.110 S4.2.2.2: its load is divided by 1.10 on a trailer; 1,540 / 1.10 = 1,400 lb
    present = Offer(read_size("P205/75R14"), "", Decimal(1540), Decimal(35))
    assert proposals(WIDE, present)["ST205/75-14 load range C"].gain_tire_lb == 360


def test_the_wheel_that_says_nothing_is_asked_for() -> None:
    found = proposals(Room(Decimal("5.5"), Decimal(3), Decimal(2)))
    assert all(any("wheel's own load rating" in also for also in it.also) for it in found.values())


def test_nothing_larger_is_said_plainly() -> None:
    largest = Offer(read_size("ST235/80R16"), "E", Decimal(3420), Decimal(80))
    figure = upsizing(largest, WIDE, Decimal(6000))
    assert figure.value == ()
    assert "none fits" in figure.says


@pytest.mark.parametrize(("tires", "gawr"), [(1, "3500"), (3, "3500"), (2, "0"), (2, "-1"), (2, "20001")])
def test_no_such_axle(tires: int, gawr: str) -> None:
    with pytest.raises(Impossible, match="axle"):
        upsizing(PRESENT, WIDE, Decimal(gawr), tires)


@pytest.mark.parametrize(
    ("rim", "over", "side"), [("1", "1", "1"), ("11", "1", "1"), ("5", "-1", "1"), ("5", "1", "-0.1")]
)
def test_what_no_tape_reads_is_refused(rim: str, over: str, side: str) -> None:
    with pytest.raises(Impossible):
        Room(Decimal(rim), Decimal(over), Decimal(side))


METRIC = [offer for offer in OFFERS if offer.size.aspect is not None and offer.size.rim >= 13]


@pytest.mark.parametrize("offer", METRIC, ids=str)
def test_the_table_agrees_with_the_classic_load_formula(offer: Offer) -> None:
    # L = 0.425 K P^0.585 s^1.39 (d + s), s and d in inches: tire and rim standards (from memory);
    # K is 1.02 to 1.13 for trailer sizes, so each row lies within 6 % of K = 1.075
    section, rim, psi = (
        float(it) for it in (offer.size.section_mm / Decimal("25.4"), offer.size.rim, offer.most_psi)
    )
    formula = 0.425 * 1.075 * psi**0.585 * section**1.39 * (rim + section)
    assert abs(float(offer.most_lb) / formula - 1) < 0.06


@pytest.mark.parametrize(("letter", "psi"), [("B", 35), ("C", 50), ("D", 65), ("E", 80)])
def test_metric_rows_stand_at_the_pressure_of_their_load_range(letter: str, psi: int) -> None:
    # load ranges of metric trailer tires for rims of 13 in and up: tire and rim standards
    assert {offer.most_psi for offer in METRIC if offer.load_range == letter} == {Decimal(psi)}


def test_a_higher_load_range_of_one_size_carries_more() -> None:
    by_size: dict[str, list[Offer]] = {}
    for offer in OFFERS:
        by_size.setdefault(str(offer.size), []).append(offer)
    for rows in by_size.values():
        in_order = sorted(rows, key=lambda it: it.load_range)
        assert [it.most_lb for it in in_order] == sorted(it.most_lb for it in rows)
        assert [it.most_psi for it in in_order] == sorted(it.most_psi for it in rows)


gaps = st.integers(0, 60).map(lambda tenths: Decimal(tenths) / 10)


@given(st.sampled_from(OFFERS), gaps, gaps, gaps, gaps)
def test_more_room_never_takes_a_tire_away(
    present: Offer, over: Decimal, side: Decimal, between: Decimal, more: Decimal
) -> None:
    tight = Room(Decimal("5.5"), over, side, between)
    loose = Room(Decimal("5.5"), over + more, side + more, between + more)
    fitting = {name for name, it in proposals(tight, present).items() if it.fits}
    assert fitting <= {name for name, it in proposals(loose, present).items() if it.fits}


@given(st.sampled_from(OFFERS), gaps)
def test_every_proposal_gains_on_the_same_rim(present: Offer, over: Decimal) -> None:
    for found in upsizing(present, Room(Decimal("5.5"), over, over), GAWR).value:
        assert found.gain_tire_lb > 0
        assert found.gain_axle_lb == 2 * found.gain_tire_lb
        assert found.offer.size.rim == present.size.rim


def test_those_that_fit_stand_first() -> None:
    present = Offer(read_size("ST205/75R15"), "B", Decimal(1480), Decimal(35))
    found = upsizing(present, Room(Decimal(6), Decimal("1.2"), Decimal(2)), GAWR).value
    fits = [it.fits for it in found]
    assert fits == sorted(fits, reverse=True)
    assert False in fits
    assert True in fits


def test_four_tires_on_dual_wheels_gain_four_times() -> None:
    single, dual = upsizing(PRESENT, WIDE, GAWR).value, upsizing(PRESENT, WIDE, GAWR, 4).value
    assert [it.gain_axle_lb * 2 for it in single] == [it.gain_axle_lb for it in dual]


def test_a_sentence_for_the_owner() -> None:
    says = upsizing(PRESENT, WIDE, GAWR).says
    assert says.startswith("ST205/75-14 load range D: 280\u00a0lb a tire, 560\u00a0lb an axle")


def test_the_hitch_is_named_only_where_the_trailer_rises() -> None:
    # the same size in a higher load range keeps its height
    found = proposals(WIDE)
    assert not any("hitch" in it for it in found["ST205/75-14 load range D"].also)
    assert any("0.30 in higher" in it for it in found["ST215/75-14 load range C"].also)  # 7.5 mm


def test_the_gaps_stand_among_the_inputs() -> None:
    said = {it.name: it.says for it in upsizing(PRESENT, WIDE, GAWR).inputs}
    assert said["between the tires"] == "4\u00a0in"
    single = {it.name for it in upsizing(PRESENT, Room(Decimal(6), Decimal(2), Decimal(1)), GAWR).inputs}
    assert "between the tires" not in single


def test_a_list_of_the_shop_s_own_supplier_may_be_passed() -> None:
    own = [Offer(read_size("ST205/75R14"), "D", Decimal(2100), Decimal(65))]
    (found,) = upsizing(PRESENT, WIDE, GAWR, offers=own).value
    assert found.gain_tire_lb == 340  # 2,100 less 1,760


@given(st.sampled_from(OFFERS), st.integers(1000, 4000).map(Decimal))
def test_no_tire_counts_for_more_than_its_wheel(present: Offer, wheel: Decimal) -> None:
    room = Room(Decimal("5.5"), Decimal(3), Decimal(3), None, wheel)
    for found in upsizing(present, room, GAWR).value:
        assert min(present.most_lb, wheel) + found.gain_tire_lb <= wheel


@pytest.mark.parametrize(
    ("place", "says"),
    [
        # ISO 4000-1: 215/75-14 is 14 x 25.4 + 2 x 161.25 = 678.1 mm, 26.70 in tall
        (None, "a spare of the new size: the present one is smaller"),
        ("27", "a spare of the new size: the present one is smaller"),
        ("26.7", "a spare of the new size: the present one is smaller"),
        ("26.6", "another place for the spare: it is 26.70 in tall, 26.6 in fit"),
        ("26", "another place for the spare: it is 26.70 in tall, 26 in fit"),
    ],
)
def test_the_spare_goes_with_the_others(place: str | None, says: str) -> None:
    room = replace(WIDE, spare_place=Decimal(place) if place else None)
    assert says in proposals(room)["ST215/75-14 load range C"].also


def test_a_spare_of_the_same_size_carries_as_much() -> None:
    assert "a spare that carries as much" in proposals(WIDE)["ST205/75-14 load range D"].also
    assert "the spare with them" in upsizing(PRESENT, WIDE, GAWR).caution
