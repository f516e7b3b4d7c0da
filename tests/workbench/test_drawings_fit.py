"""Whatever is drawn lies inside its own sheet: every place of every drawing, for any reading."""

import cmath
import math
import re
from decimal import Decimal

import lxml.html
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.ground.pages import fill
from app.trade.vectors import Vector
from app.workbench.draw import Seen, wheels_drawn
from app.workbench.registry import all_figures
from tests.workbench.asking import answered

NUMBER = re.compile(r"-?\d+(?:\.\d+)?")
DRAWN = [key for key in all_figures() if (found := answered(key)).drawn and found.drawn.name != "proposals"]


def drawn(key: str, **changed: str) -> str:
    """The drawing of an entry's answer, as it stands on page and paper."""
    made = answered(key, changed).drawn
    assert made is not None
    return fill(f"workbench/draw/{made.name}.html", {"it": made.it})


def assert_fits(html: str, over: float = 2) -> None:
    """Every line, corner and word of each drawing lies inside its view box, but for a line's own width."""
    for svg in lxml.html.fromstring(f"<div>{html}</div>").iter("svg"):
        left, top, width, height = map(float, svg.get("viewbox").split())
        for each in svg.iter():
            for x, y in places(each):
                assert left - over <= x <= left + width + over, (each.tag, dict(each.attrib))
                assert top - over <= y <= top + height + over, (each.tag, dict(each.attrib))


def places(each: lxml.html.HtmlElement) -> list[tuple[float, float]]:
    """The places that an element names: corners, lines with absolute places, middles."""
    if each.tag == "polygon":
        return pairs(each.get("points"))
    if each.tag == "path" and not re.search("[a-zHV]", each.get("d")):
        return pairs(each.get("d"))
    if each.tag == "circle":
        return [(float(each.get("cx")), float(each.get("cy")))]
    if each.tag in ("text", "rect") and each.get("x") and each.get("y"):
        return [(float(each.get("x")), float(each.get("y")))]
    return []


def pairs(text: str) -> list[tuple[float, float]]:
    """Numbers two by two."""
    found = [float(each) for each in NUMBER.findall(text)]
    return list(zip(found[::2], found[1::2], strict=False))


@pytest.mark.parametrize("key", DRAWN)
def test_the_drawing_of_an_example_fits(key: str) -> None:
    assert_fits(drawn(key))


@pytest.mark.parametrize("key", DRAWN)
def test_a_drawing_says_its_numbers_for_those_who_do_not_see_it(key: str) -> None:
    for svg in lxml.html.fromstring(f"<div>{drawn(key)}</div>").iter("svg"):
        assert svg.get("role") == "img"
        assert NUMBER.search(svg.get("aria-label") or "") or len(svg.get("aria-label")) > 30


@pytest.mark.parametrize("studs", range(4, 11))
def test_a_star_of_any_count_fits_and_names_every_nut(studs: int) -> None:
    html = drawn("star", studs=str(studs))
    assert_fits(html)
    said = {each.text for each in lxml.html.fromstring(f"<div>{html}</div>").iter("text")}
    assert {str(nut) for nut in range(1, studs + 1)} <= said


@settings(deadline=None, max_examples=40)
@given(st.lists(st.integers(-200, 200), min_size=4, max_size=36))
def test_any_runout_fits(readings: list[int]) -> None:
    assert_fits(drawn("runout", readings="; ".join(map(str, readings))))


@settings(deadline=None, max_examples=40)
@given(st.integers(1, 20), st.integers(0, 25), st.integers(20, 100), st.integers(-20, 20))
def test_any_leak_test_fits(start: int, end: int, warm: int, change: int) -> None:
    changed = {"start": str(start), "end": str(end), "start_warm": str(warm), "end_warm": str(warm + change)}
    assert_fits(drawn("leak-test", top="", **changed))


@settings(deadline=None, max_examples=40)
@given(st.integers(1500, 6000), st.integers(300, 1500), st.integers(2500, 12000), st.integers(0, 100))
def test_any_axle_loads_fit(front: int, tongue: int, gross: int, restored: int) -> None:
    tongue = min(tongue, gross // 3)
    changed = {"front": str(front), "tongue": str(tongue), "gross": str(gross), "restored": str(restored)}
    assert_fits(drawn("spring-bars", **changed))


SIZES = (
    "ST145/80R12",
    "ST175/80R13",
    "ST205/75R14",
    "ST225/75R15",
    "ST235/80R16",
    "LT235/85R16",
    "P195/75R14",
)


@pytest.mark.parametrize("present", SIZES)
@pytest.mark.parametrize("other", SIZES)
def test_any_two_sizes_fit_to_one_scale(present: str, other: str) -> None:
    html = drawn("tire-size-change", present=present, other=other)
    assert_fits(html)
    assert present in html
    assert other in html


VECTORS = st.builds(Vector, st.decimals("0.1", "12", places=2), st.decimals(0, 359, places=1))


@settings(deadline=None, max_examples=60)
@given(st.lists(VECTORS, min_size=1, max_size=3), st.lists(VECTORS, max_size=2))
def test_any_vectors_and_weights_fit(vectors: list[Vector], weights: list[Vector]) -> None:
    seen = Seen("the wheel", [(f"vector {n}", each) for n, each in enumerate(vectors)], weights)
    assert_fits(fill("workbench/draw/vectors.html", {"it": wheels_drawn([seen], "oz")}))


@given(VECTORS, st.integers(1, 359))
def test_turning_the_wheel_turns_the_arrow(vector: Vector, by: int) -> None:
    """The tip goes round the hub: as far off, by so many degrees against the clock."""
    turned = Vector(vector.amount, (vector.angle + Decimal(by)) % 360)
    tips = []
    for each in (vector, turned):
        (wheel,) = wheels_drawn([Seen("the wheel", [("it", each)])], "oz").wheels
        x, y = (float(number) for number in NUMBER.findall(wheel.arrows[0].head)[:2])
        tips.append(complex(x - 150, 150 - y))
    assert abs(tips[0] * cmath.exp(1j * math.radians(by)) - tips[1]) < 0.5
