"""Places follow from the shape of a unit; the walk meets nothing twice."""

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.inspection.catalogue import DEPTHS, KINDS, Catalogue, Check, Kind, PlaceWord, read_catalogue
from app.inspection.places import STATIONS, UnitShape, label_of, places_for, station_of, walk_order
from app.trade.problems import Impossible

TANDEM = UnitShape("travel", axles=2, spare=True, cylinders=2, appliances=("range", "furnace"))


def a_check(places: PlaceWord, key: str = "xx.one", system: str = "any", station: int = 0) -> Check:
    return Check(
        key=key,
        name="A check",
        system=system,
        kinds=("travel", "boat"),
        places=places,
        depth=("quick", "full"),
        station=station,
        look="Look at it.",
    )


def keys(check: Check, shape: UnitShape = TANDEM) -> list[str]:
    return [place.key for place in places_for(check, shape)]


@pytest.mark.parametrize(
    ("word", "expected"),
    [
        ("unit", ["unit"]),
        ("side", ["side-curb", "side-road"]),
        ("axle", ["axle-1", "axle-2"]),
        ("wheel", ["wheel-1-right", "wheel-2-right", "wheel-1-left", "wheel-2-left"]),
        ("tire", ["tire-1-right", "tire-2-right", "tire-1-left", "tire-2-left", "spare"]),
        ("hub", ["hub-1-right", "hub-2-right", "hub-1-left", "hub-2-left"]),
        ("cylinder", ["cylinder-1", "cylinder-2"]),
        ("receptacle", ["receptacle-1"]),
        ("exit", ["exit-main", "exit-2"]),
        ("tank", ["tank-gray", "tank-black"]),
        ("lamp", ["lamp-tail-left", "lamp-tail-right"]),
    ],
)
def test_places_of_a_tandem(word: PlaceWord, expected: list[str]) -> None:
    assert keys(a_check(word)) == expected


@pytest.mark.parametrize(
    ("place", "words"),
    [
        ("wheel-1-left", "Left wheel, axle 1"),
        ("tire-2-right-inner", "Right inner tire, axle 2"),
        ("side-road", "Road side"),
        ("lamp-tail-right", "Right rear lamp"),
        ("cylinder-2", "Gas cylinder 2"),
        ("unit", "Whole unit"),
        ("", "Whole unit"),
        ("-", "Whole unit"),
        ("x-", "X"),
    ],
)
def test_a_key_alone_says_its_place(place: str, words: str) -> None:
    assert label_of(place) == words


@pytest.mark.parametrize("kind", KINDS)
def test_every_place_is_called_as_its_check_calls_it(kind: Kind) -> None:
    shape = UnitShape(
        kind, 3, 2, spare=True, cylinders=2, exits=3, receptacles=2, appliances=("range", "fridge")
    )
    places = [place for check in CATALOGUE.checks for place in places_for(check, shape)]
    assert len(places) > 100
    assert [(it.key, label_of(it.key)) for it in places if label_of(it.key) != it.label] == []


def test_a_tire_without_a_carried_spare_has_no_spare_place() -> None:
    single = UnitShape("utility")
    assert keys(a_check("tire"), single) == ["tire-1-right", "tire-1-left"]
    assert keys(a_check("cylinder"), single) == []


def test_duals_have_an_outer_and_an_inner_wheel_but_one_spring() -> None:
    dual = UnitShape("cargo", wheels_per_axle_side=2)
    wheels = ["wheel-1-right-outer", "wheel-1-right-inner", "wheel-1-left-outer", "wheel-1-left-inner"]
    assert keys(a_check("wheel", system="wheels"), dual) == wheels
    assert keys(a_check("tire"), dual) == [key.replace("wheel", "tire") for key in wheels]
    assert keys(a_check("wheel", system="suspension"), dual) == ["wheel-1-right", "wheel-1-left"]
    assert keys(a_check("hub"), dual) == ["hub-1-right", "hub-1-left"]


def test_left_is_the_road_side_and_right_the_curb_side() -> None:
    # Right-hand traffic: the kerb is at the right of the way of travel.
    found = {
        place.key: (place.label, place.side, place.station) for place in places_for(a_check("tire"), TANDEM)
    }
    assert found["tire-1-left"] == ("Left tire, axle 1", "road side", 5)
    assert found["tire-2-right"] == ("Right tire, axle 2", "curb side", 3)
    assert found["spare"] == ("Spare tire", "", 4)


@pytest.mark.parametrize(
    ("key", "expected"),
    [
        ("la.rear", ["lamp-tail-left", "lamp-tail-right"]),
        ("la.plate", ["lamp-plate"]),
        ("la.wide", ["lamp-clearance-front", "lamp-clearance-rear", "lamp-cluster"]),
        (
            "la.marker",
            [
                "lamp-marker-front-right",
                "lamp-marker-rear-right",
                "lamp-marker-front-left",
                "lamp-marker-rear-left",
            ],
        ),
        ("la.reflex", ["lamp-reflector-right", "lamp-reflector-rear", "lamp-reflector-left"]),
    ],
)
def test_a_lamp_check_is_made_at_its_own_lamps(key: str, expected: list[str]) -> None:
    assert keys(a_check("lamp", key=key)) == expected


def test_lamps_are_met_on_their_side_or_at_the_tail() -> None:
    marker = {p.key: p.station for p in places_for(a_check("lamp", key="la.marker"), TANDEM)}
    assert marker["lamp-marker-front-right"] == 3
    assert marker["lamp-marker-rear-left"] == 5
    assert [p.station for p in places_for(a_check("lamp", key="la.rear"), TANDEM)] == [4, 4]


@pytest.mark.parametrize(
    ("appliances", "expected"),
    [
        (None, ["appliance-unnamed"]),  # nobody has told: the check is still walked
        (("range", "fridge"), ["appliance-range"]),
        (("fridge",), []),
        ((), []),
    ],
)
def test_an_appliance_is_checked_where_it_is_fitted(
    appliances: tuple[str, ...] | None, expected: list[str]
) -> None:
    shape = UnitShape("tent", appliances=appliances)
    assert keys(a_check("appliance", key="lp.range"), shape) == expected


def test_an_appliance_that_nobody_has_told_is_named_as_the_trade_would() -> None:
    (place,) = places_for(a_check("appliance", key="lp.range"), UnitShape("tent"))
    assert place.label == "Make not recorded"


def test_the_main_exit_and_the_second_way_out_are_told_apart() -> None:
    three = UnitShape("travel", exits=3)
    assert keys(a_check("exit", key="ex.door"), three) == ["exit-main"]
    assert keys(a_check("exit", key="ex.second"), three) == ["exit-2", "exit-3"]
    assert keys(a_check("exit", key="ex.glass"), three) == ["exit-main", "exit-2", "exit-3"]


@pytest.mark.parametrize(
    ("axles", "wheels", "cylinders", "exits"),
    [(0, 1, 0, 2), (5, 1, 0, 2), (1, 3, 0, 2), (1, 1, -1, 2), (1, 1, 0, 41)],
)
def test_a_shape_that_cannot_be_is_refused(axles: int, wheels: int, cylinders: int, exits: int) -> None:
    with pytest.raises(Impossible):
        UnitShape("travel", axles, wheels, cylinders=cylinders, exits=exits)


def test_a_check_that_names_its_station_is_made_there() -> None:
    check = a_check("wheel", station=9)
    assert {station_of(check, place) for place in places_for(check, TANDEM)} == {9}


def test_go_on_leads_through_one_corner_before_the_next() -> None:
    checks = (
        a_check("wheel", "wh.nuts", "wheels"),
        a_check("tire", "ti.tread"),
        a_check("tire", "ti.age"),
        a_check("unit", "id.vin", station=1),
        a_check("hub", "hb.race", station=9),
    )
    walk = walk_order(Catalogue(checks=checks, kits=(), cautions=()), UnitShape("travel", axles=2), "full")
    assert [(check.key, place.key) for check, place in walk][:7] == [
        ("id.vin", "unit"),
        ("wh.nuts", "wheel-1-right"),
        ("ti.tread", "tire-1-right"),
        ("ti.age", "tire-1-right"),
        ("wh.nuts", "wheel-2-right"),
        ("ti.tread", "tire-2-right"),
        ("ti.age", "tire-2-right"),
    ]
    assert walk[7][1].key == "wheel-1-left"
    assert [check.key for check, _ in walk][-4:] == ["hb.race"] * 4


WORDS: list[PlaceWord] = ["unit", "side", "axle", "wheel", "tire", "hub", "lamp", "cylinder", "exit", "tank"]


def _shapes() -> st.SearchStrategy[UnitShape]:
    return st.builds(
        UnitShape,
        kind=st.just("travel"),
        axles=st.integers(1, 4),
        wheels_per_axle_side=st.sampled_from([1, 2]),
        spare=st.booleans(),
        cylinders=st.integers(0, 4),
        exits=st.integers(0, 4),
    )


def _checks() -> Iterator[Check]:
    for number, word in enumerate(WORDS):
        for system in ("wheels", "tires"):
            yield a_check(word, f"{system[:2]}.n{number}", system)


@given(_shapes())
def test_the_walk_holds_every_pair_once_and_never_goes_back(shape: UnitShape) -> None:
    checks = tuple(_checks())
    walk = walk_order(Catalogue(checks=checks, kits=(), cautions=()), shape, "quick")
    pairs = [(check.key, place.key) for check, place in walk]
    stations = [station_of(check, place) for check, place in walk]
    places = [place.key for _, place in walk]
    turns = sum(1 for before, after in pairwise(places) if before != after)
    assert sorted(pairs) == sorted((c.key, p.key) for c in checks for p in places_for(c, shape))
    assert len(set(pairs)) == len(pairs)
    assert stations == sorted(stations)
    assert set(stations) <= set(range(1, len(STATIONS) + 1))
    assert turns == len(set(places)) - 1  # a place is left once and never met again


def test_a_walk_leaves_out_what_its_kind_or_depth_does_not_hold() -> None:
    catalogue = Catalogue(checks=(a_check("unit", station=1),), kits=(), cautions=())
    assert walk_order(catalogue, UnitShape("travel"), "prepurchase") == []
    assert walk_order(catalogue, UnitShape("utility"), "full") == []
    assert len(walk_order(catalogue, UnitShape("boat"), "full")) == 1


CATALOGUE = read_catalogue(Path(__file__).parents[2] / "seed_data" / "catalogue")
LARGE: dict[Kind, UnitShape] = {
    kind: UnitShape(kind, axles=2, spare=True, cylinders=2, receptacles=4) for kind in KINDS
}


@pytest.mark.parametrize("kind", KINDS)
@pytest.mark.parametrize("depth", DEPTHS)
def test_every_check_of_a_walk_is_met_at_one_place_at_least(kind: Kind, depth: str) -> None:
    walk = walk_order(CATALOGUE, LARGE[kind], depth)
    assert {check.key for check, _ in walk} == {check.key for check in CATALOGUE.for_walk(kind, depth)}
    stations = [station_of(check, place) for check, place in walk]
    assert stations == sorted(stations)
    assert stations[0] == 1  # papers come first


@pytest.mark.parametrize(
    ("key", "place", "station"),
    [
        ("id.vin", "unit", 1),
        ("cp.latch", "unit", 2),
        ("ti.tread", "tire-1-right", 3),
        ("ti.tread", "spare", 4),
        ("ti.tread", "tire-2-left", 5),
        ("fr.rails", "side-curb", 3),
        ("su.beam", "axle-1", 8),
        ("hb.endplay", "hub-1-left", 9),
        ("lp.date", "cylinder-2", 2),
        ("la.rear", "lamp-tail-left", 4),
    ],
)
def test_checks_are_met_where_a_person_stands(key: str, place: str, station: int) -> None:
    # Low lap: curb side, tail, road side; hubs come out last. Common practice of the walk.
    check = CATALOGUE.check(key)
    found = {it.key: station_of(check, it) for it in places_for(check, LARGE["travel"])}
    assert found[place] == station


def test_a_quick_walk_of_a_travel_trailer_needs_no_hub_out() -> None:
    walk = walk_order(CATALOGUE, LARGE["travel"], "quick")
    assert 9 not in {station_of(check, place) for check, place in walk}
