"""Where a kit is done and how often."""

import pytest

from app.estimate.places import (
    Gear,
    Proposed,
    Spot,
    Wanted,
    count_at,
    place_for,
    place_words,
    proposals,
    spot_of,
)
from app.estimate.rules import HEAVIEST_GROUP_FIRST
from app.inspection.catalogue import Catalogue
from app.inspection.places import UnitShape, places_for
from tests.estimate.arrived import catalogue_text

SINGLE, TANDEM, DUALS = Gear(1, 1), Gear(2, 1), Gear(2, 2)
CATALOGUE = Catalogue.from_json(catalogue_text())
PER = {kit.key: kit.per for kit in CATALOGUE.kits}


@pytest.mark.parametrize(
    ("per", "place", "where"),
    [
        ("axle", "wheel-1-left", "axle-1"),  # brakes are done by the axle
        ("hub", "wheel-2-right", "hub-2-right"),
        ("tire", "wheel-1-left-inner", "tire-1-left-inner"),
        ("hub", "tire-1-left-inner", "hub-1-left"),  # a dual's two tires share a hub
        ("side", "wheel-1-right", "side-curb"),  # right is the curb side
        ("unit", "hub-1-left", "unit"),
        ("unit", "spare", "unit"),
        ("hub", "axle-2", "axle-2"),  # the finding is wider than the kit: it is done more than once
        ("hub", "unit", "unit"),
        ("tire", "spare", "spare"),
        ("lamp", "lamp-tail-left", "lamp-tail-left"),
        ("cylinder", "cylinder-2", "cylinder-2"),
        ("exit", "exit-main", "exit-main"),
    ],
)
def test_a_finding_leads_to_the_place_of_its_kit(per: str, place: str, where: str) -> None:
    assert place_for(per, place) == where


@pytest.mark.parametrize(
    ("per", "place", "gear", "count"),
    [
        ("hub", "unit", SINGLE, 2),
        ("hub", "unit", TANDEM, 4),  # two axles with a hub at each end
        ("hub", "unit", DUALS, 4),  # two wheels on one hub
        ("hub", "axle-1", TANDEM, 2),
        ("hub", "hub-1-left", TANDEM, 1),
        ("tire", "unit", TANDEM, 4),
        ("tire", "unit", DUALS, 8),
        ("tire", "axle-2", DUALS, 4),
        ("tire", "tire-1-left-inner", DUALS, 1),
        ("tire", "spare", TANDEM, 1),
        ("wheel", "unit", TANDEM, 4),  # brake assemblies: one at each end of an axle
        ("axle", "unit", TANDEM, 2),
        ("axle", "axle-1", TANDEM, 1),
        ("side", "unit", TANDEM, 2),
        ("side", "side-curb", TANDEM, 1),
        ("unit", "unit", TANDEM, 1),
        ("lamp", "unit", TANDEM, 1),
        ("hub", "unit", Gear(0, 1), 2),  # a unit without a known axle has one
    ],
)
def test_a_kit_is_done_as_often_as_its_place_holds_it(per: str, place: str, gear: Gear, count: int) -> None:
    assert count_at(per, place, gear) == count


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ("unit", ""),
        ("tire-2-right-outer", "axle 2 right outer"),
        ("axle-1", "axle 1"),
        ("side-road", "road side"),
        ("lamp-tail-left", "left rear lamp"),
        ("tank-gray", "gray tank"),
        ("appliance-range", "range"),
        ("cylinder-2", "cylinder 2"),
        ("exit-main", "main exit"),
        ("spare", "spare"),
    ],
)
def test_places_are_said_in_words(place: str, words: str) -> None:
    assert place_words(place) == words


def test_every_place_of_a_unit_has_words_and_a_count() -> None:
    shape = UnitShape("travel", 2, 2, spare=True, cylinders=2, exits=3, receptacles=2)
    places = {place.key for check in CATALOGUE.checks for place in places_for(check, shape)}
    assert len(places) > 30
    assert all(place_words(place) != place or "-" not in place for place in places)
    assert all(count_at(per, place, DUALS) >= 1 for place in places for per in set(PER.values()))


def test_the_wider_spot_covers_the_narrower_only() -> None:
    left, axle = Spot(1, "left"), Spot(1)
    assert axle.covers(left)
    assert not left.covers(axle)
    assert not Spot(2).covers(left)
    assert spot_of("unit") == Spot()
    assert spot_of("spare") is None


def propose(*wanted: Wanted) -> tuple[Proposed, ...]:
    return proposals(wanted, PER, HEAVIEST_GROUP_FIRST)


def test_findings_of_one_kit_at_one_place_share_a_work() -> None:
    made = propose(Wanted(1, "tire-1-left", "should", ("k13",)), Wanted(2, "tire-1-left", "must", ("k13",)))
    assert made == (Proposed("k13", "tire-1-left", "must", (1, 2)),)


def test_other_places_have_works_of_their_own() -> None:
    made = propose(Wanted(1, "hub-1-left", "should", ("k15",)), Wanted(2, "hub-1-right", "should", ("k15",)))
    assert [work.place for work in made] == ["hub-1-left", "hub-1-right"]


def test_work_on_the_whole_unit_takes_in_its_parts() -> None:
    made = propose(Wanted(1, "hub-1-left", "must", ("k15",)), Wanted(2, "unit", "should", ("k15",)))
    assert made == (Proposed("k15", "unit", "must", (1, 2)),)


def test_one_finding_may_ask_for_two_works() -> None:
    made = propose(Wanted(1, "hub-1-left", "must", ("k16", "k18")))  # grease on the lining
    assert made == (
        Proposed("k16", "hub-1-left", "must", (1,)),
        Proposed("k18", "axle-1", "must", (1,)),
    )


def test_nothing_wanted_proposes_nothing() -> None:
    assert propose() == ()


def test_a_kit_sold_for_each_thing_makes_a_work_of_each() -> None:
    gas, smoke = (
        Wanted(1, "unit", "must", ("k34",), "Gas alarm"),
        Wanted(2, "unit", "should", ("k34",), "CO alarm"),
    )
    assert propose(gas, smoke) == (
        Proposed("k34", "unit", "must", (1,), "Gas alarm"),
        Proposed("k34", "unit", "should", (2,), "CO alarm"),
    )


def test_two_looks_at_one_thing_stay_one_work() -> None:
    twice = (
        Wanted(1, "unit", "should", ("k34",), "CO alarm"),
        Wanted(2, "unit", "must", ("k34",), "CO alarm"),
    )
    assert propose(*twice) == (Proposed("k34", "unit", "must", (1, 2), "CO alarm"),)


def test_a_kit_sold_for_the_whole_unit_is_done_once_wherever_it_was_found() -> None:
    # torquing all nuts is one round of the unit, however many wheels asked for it
    made = propose(*(Wanted(n, f"wheel-{n}-left", "must", ("k14",), f"Nuts {n}") for n in (1, 2)))
    assert made == (Proposed("k14", "unit", "must", (1, 2)),)


def test_kits_for_each_thing_are_those_that_are_bought_by_the_piece() -> None:
    # by hand: an alarm, a jack, a door part, a canvas piece; all else is one job of the unit or has a place
    assert {key for key, per in PER.items() if per == "each"} == {"k6", "k34", "k41", "k46"}
