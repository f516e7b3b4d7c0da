import pytest

from app.trade.connectors import PLUGS, Circuit, pins
from app.trade.problems import Impossible


@pytest.mark.parametrize(
    ("plug", "cavity", "circuit"),
    [
        # SAE J1239, from memory: white ground, brown tail, yellow left, green right
        ("flat4", "white", Circuit.GROUND),
        ("flat4", "brown", Circuit.TAIL),
        ("flat4", "yellow", Circuit.LEFT_STOP),
        ("flat4", "green", Circuit.RIGHT_STOP),
        # SAE J2863, from memory: brakes on 2, battery on 4, reverse in the centre
        ("blade7", "1", Circuit.GROUND),
        ("blade7", "2", Circuit.BRAKE),
        ("blade7", "3", Circuit.TAIL),
        ("blade7", "4", Circuit.BATTERY),
        ("blade7", "5", Circuit.LEFT_STOP),
        ("blade7", "6", Circuit.RIGHT_STOP),
        ("blade7", "7", Circuit.REVERSE),
        # SAE J560, from memory: white, black, yellow, red, green, brown, blue
        ("round7", "1", Circuit.GROUND),
        ("round7", "2", Circuit.MARKER),
        ("round7", "3", Circuit.LEFT),
        ("round7", "4", Circuit.STOP),
        ("round7", "5", Circuit.RIGHT),
        ("round7", "6", Circuit.TAIL),
        ("round7", "7", Circuit.AUXILIARY),
        # ISO 1724, from memory: L, 54g, 31, R, 58R, 54, 58L
        ("iso7", "1", Circuit.LEFT),
        ("iso7", "3", Circuit.GROUND),
        ("iso7", "4", Circuit.RIGHT),
        ("iso7", "5", Circuit.RIGHT_TAIL),
        ("iso7", "6", Circuit.STOP),
        ("iso7", "7", Circuit.LEFT_TAIL),
        # ISO 11446, from memory: 1 to 7 as ISO 1724, 8 reverse, 9 always on, 10 switched, with
        # grounds of their own on 13 and 11
        ("iso13", "2", Circuit.FOG),
        ("iso13", "8", Circuit.REVERSE),
        ("iso13", "9", Circuit.BATTERY),
        ("iso13", "10", Circuit.CHARGE),
        ("iso13", "11", Circuit.GROUND_OF_CHARGE),
        ("iso13", "13", Circuit.GROUND_OF_BATTERY),
    ],
)
def test_what_a_cavity_carries(plug: str, cavity: str, circuit: Circuit) -> None:
    assert PLUGS[plug].cavity(cavity) is circuit


@pytest.mark.parametrize(
    ("plug", "count"), [("flat4", 4), ("blade7", 7), ("round7", 7), ("iso7", 7), ("iso13", 13)]
)
def test_every_plug_has_as_many_cavities_as_its_name_says(plug: str, count: int) -> None:
    labels = [label for label, _ in PLUGS[plug].cavities]
    assert len(labels) == len(set(labels)) == count


def test_only_the_plug_with_blades_feeds_electric_brakes() -> None:
    feeds = {key for key, plug in PLUGS.items() if Circuit.BRAKE in dict(plug.cavities).values()}
    assert feeds == {"blade7"}


def test_a_cavity_that_is_not_there_is_refused_with_those_that_are() -> None:
    with pytest.raises(Impossible, match="1, 2, 3, 4, 5, 6, 7"):
        PLUGS["round7"].cavity("8")


@pytest.mark.parametrize(
    ("plug", "count", "standard"),
    [
        # The open standards, from memory: ways of each
        ("flat4", 4, "SAE J1239"),
        ("blade7", 7, "SAE J2863"),
        ("round7", 7, "SAE J560"),
        ("iso7", 7, "ISO 1724"),
        ("iso13", 13, "ISO 11446"),
    ],
)
def test_all_cavities_of_a_plug_are_said_in_order(plug: str, count: int, standard: str) -> None:
    found = pins(PLUGS[plug])
    assert (found.value, str(found.source)) == (PLUGS[plug], standard)
    assert len(found.says.split("; ")) == count
    assert found.inputs[1].says == str(count)
    assert found.caution


def test_the_first_eight_of_the_13_pin_are_those_of_the_7_pin_and_reverse() -> None:
    # ISO 11446: cavities 1 to 7 as ISO 1724, 8 the reversing lamps
    assert pins(PLUGS["iso13"]).says.startswith(pins(PLUGS["iso7"]).says + "; 8 reverse")
