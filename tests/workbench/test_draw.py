"""The drawings: places that geometry gives, and words for those who do not see them."""

import re
from decimal import Decimal

import pytest

from app.ground.pages import fill
from app.trade.gas_tests import Timed
from app.trade.quantity import Quantity
from app.trade.tire_size import read_size
from app.trade.vectors import Vector
from app.workbench.draw import (
    BOTTOM_Y,
    GROUND,
    LONGEST_LOAD,
    TALLEST,
    TOP_Y,
    Seen,
    Stand,
    axles_drawn,
    leak_drawn,
    runout_drawn,
    sizes_drawn,
    star_drawn,
    wheels_drawn,
)
from app.workbench.registry import all_figures
from tests.workbench.asking import answered

DRAWN = {key: found.drawn for key in all_figures() if (found := answered(key)).drawn}


EIGHT = ("0", "8", "17", "27", "31", "27", "15", "4")


def q(typed: str, unit: str) -> Quantity:
    """A quantity."""
    return Quantity(typed, unit)


def d(number: str) -> Decimal:
    """A number."""
    return Decimal(number)


@pytest.mark.parametrize("key", sorted(DRAWN))
def test_a_drawing_has_a_name_in_words_and_text_that_can_be_read(key: str) -> None:
    drawn = DRAWN[key]
    assert drawn is not None
    shown = fill(f"workbench/draw/{drawn.name}.html", {"it": drawn.it})
    if drawn.name == "proposals":
        assert 'scope="col"' in shown
        return
    assert re.search(r'role="img" aria-label="[^"]{12,}"', shown)
    assert "font-size" not in shown
    assert "style=" not in shown
    assert "None" not in shown


@pytest.mark.parametrize("key", sorted(DRAWN))
def test_no_place_of_a_drawing_lies_far_outside_it(key: str) -> None:
    drawn = DRAWN[key]
    assert drawn is not None
    shown = fill(f"workbench/draw/{drawn.name}.html", {"it": drawn.it})
    for box in re.finditer(r'<svg[^>]*viewBox="0 0 (\d+) (\d+)"(.*?)</svg>', shown, re.DOTALL):
        width, height = int(box[1]), int(box[2])
        assert all(-1 <= float(x) <= width + 1 for x in re.findall(r' (?:x|cx)="([^"]+)"', box[3]))
        assert all(-1 <= float(y) <= height + 1 for y in re.findall(r' (?:y|cy)="([^"]+)"', box[3]))


@pytest.mark.parametrize("studs", [3, 4, 5, 6, 8, 10, 12, 13, 24, 36])
def test_a_star_names_each_nut_once_and_keeps_words_apart(studs: int) -> None:
    drawn = star_drawn(studs)
    assert sorted(int(each.says) for each in drawn.labels) == list(range(1, studs + 1))
    assert len(drawn.wheel.arrows) == studs - 1
    places = [(float(each.at.x), float(each.at.y)) for each in drawn.labels]
    least = min(
        ((ax - bx) ** 2 + (ay - by) ** 2) ** 0.5
        for n, (ax, ay) in enumerate(places)
        for bx, by in places[n + 1 :]
    )
    assert least > 22  # two figures of 18 px are about 18 px wide


def test_readings_stand_outside_the_nuts_where_there_is_room() -> None:
    assert [each.says for each in star_drawn(5, ["110", "111"]).readings] == ["110", "111"]
    assert star_drawn(20, ["110"]).readings == ()


def test_a_vector_points_against_the_clock_from_the_valve() -> None:
    """90 degrees against the clock from the top is to the left: x = 150 - r, y = 150."""
    drawn = wheels_drawn([Seen("the wheel", [("heavy", Vector(d("1"), d("90")))])], "oz")
    line = drawn.wheels[0].arrows[0].line
    end = re.findall(r"[\d.]+", line)[-2:]
    assert float(end[0]) < 150
    assert abs(float(end[1]) - 150) < 0.1


def test_vectors_are_to_one_scale() -> None:
    seen = [Seen(name, [("heavy", Vector(d(amount), d("0")))]) for name, amount in (("a", "2"), ("b", "1"))]
    tips = [float(re.findall(r"[\d.]+", each.arrows[0].line)[-1]) for each in wheels_drawn(seen, "oz").wheels]
    heads = [float(each.arrows[0].head.split()[0].split(",")[1]) for each in wheels_drawn(seen, "oz").wheels]
    assert tips[0] < tips[1] < 150
    assert abs((150 - heads[0]) - 2 * (150 - heads[1])) < 0.5


def test_nothing_out_of_balance_has_no_arrow() -> None:
    drawn = wheels_drawn([Seen("the wheel", [("left", Vector(d("0"), d("0")))])], "oz")
    assert drawn.wheels[0].arrows == ()
    assert "0.00" in drawn.wheels[0].says


def test_a_runout_stands_upwards_and_says_its_total() -> None:
    drawn = runout_drawn([q(each, "thou") for each in EIGHT])
    assert drawn.readings[4].at.y == drawn.top  # the highest reading is drawn highest
    assert drawn.readings[0].at.y == drawn.readings[8].at.y == drawn.zero
    assert drawn.total == "31\u00a0thousandths\u00a0in"
    assert [each.degrees for each in drawn.readings] == [
        *("valve", "45", "90", "135", "180", "225", "270", "315", "valve"),
    ]


@pytest.mark.parametrize("readings", ["5 5 5", "-3 0 2 -1", "0 0 0 0", "0.1 0.2 0.1", "1 " * 36])
def test_any_turn_of_readings_can_be_drawn(readings: str) -> None:
    drawn = runout_drawn([q(each, "mm") for each in readings.split()])
    assert all(20 <= each.at.y <= 180 for each in drawn.readings)


def test_loads_hang_to_one_scale_and_say_their_change() -> None:
    alone = Stand("alone", d("3000"), d("2000"))
    coupled = Stand("coupled", d("2900"), d("2800"), d("6000"))
    drawn = axles_drawn([alone, coupled])
    longs = [each.long for each in drawn.rows[1].loads]
    assert max(longs) == LONGEST_LOAD
    assert longs[0] == round(2900 * LONGEST_LOAD / 6000, 1)
    assert [each.change for each in drawn.rows[1].loads] == ["-100", "+800", ""]
    assert "trailer axles 6,000" in drawn.says.replace("\u00a0", " ")
    assert not drawn.rows[0].trailer


def test_sizes_stand_on_one_ground_and_show_half_the_difference() -> None:
    """ST205/75R14 is 663.1 mm, ST215/75R14 678.1 mm (ISO 4000-1): the axle rises by 7.5 mm."""
    drawn = sizes_drawn([read_size("ST205/75R14"), read_size("ST215/75R14")])
    assert all(abs(each.middle + each.radius - GROUND) <= d("0.1") for each in drawn.tires)
    assert drawn.tires[1].radius * 2 == TALLEST
    assert drawn.lift == "axle 7.5\u00a0mm higher"
    assert sizes_drawn([read_size("ST215/75R14"), read_size("ST205/75R14")]).lift.endswith("lower")
    assert sizes_drawn([read_size("4.80-12")]).lift == ""


def timed(end: str, warm: str = "68") -> Timed:
    """A leak check of three minutes."""
    start, degrees = q("9", "in_wc"), q("68", "degF")
    return Timed(start, q(end, "in_wc"), q("3", "min"), degrees, q(warm, "degF"))


def test_a_held_pressure_is_a_level_line() -> None:
    drawn = leak_drawn(timed("9"))
    heights = re.findall(r"[\d.]+", drawn.line)[1::2]
    assert heights[0] == heights[1]
    assert drawn.expected.says.startswith("9.00")


def test_cooling_alone_draws_the_dashed_line_down() -> None:
    """Gas law: 10 °F colder takes 10/527.67 of about 416 in wc absolute: 7.9 in wc."""
    drawn = leak_drawn(timed("5", "58"))
    assert drawn.expected.says.startswith("1.1")
    heights = [float(each) for each in re.findall(r"[\d.]+", drawn.alone)[1::2]]
    assert heights[1] > heights[0]  # y grows downwards


@pytest.mark.parametrize("end", ["9", "8.9", "0", "12"])
def test_a_leak_drawing_stays_in_its_frame_and_its_words_apart(end: str) -> None:
    drawn = leak_drawn(timed(end))
    assert abs(drawn.end.at.y - drawn.expected.at.y) >= d("23.9")
    assert all(TOP_Y <= each <= BOTTOM_Y for each in drawn.doubt)


@pytest.mark.parametrize(("short", "long", "right"), [("200", "175", True), ("150", "175", False)])
def test_the_word_of_a_short_arrow_keeps_clear_of_a_long_one_beside_it(
    short: str, long: str, right: bool
) -> None:
    seen = Seen("the wheel", [("first", Vector(d("15"), d(long))), ("turned", Vector(d("6"), d(short)))])
    (wheel,) = wheels_drawn([seen], "thou").wheels
    first, turned = wheel.arrows
    # Angles run against the clock from the top: past 180° is right of the hub
    assert (turned.word.at.x > first.word.at.x) == right
    assert abs(turned.word.at.x - 150) > 40
    assert (first.heavy, turned.heavy) == (True, False)
