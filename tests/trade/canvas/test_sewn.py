"""What sewn canvas is held against: limits at their ends, each with its source."""

from decimal import Decimal

import pytest

from app.trade.canvas.sewn import (
    GRAB,
    STRIP,
    allowed_off,
    head_held,
    seam_strength,
    size_read,
    spray_rated,
    stitches_read,
)
from app.trade.figure import Grade, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity


def grade(figure: Worked[Decimal]) -> Grade:
    assert figure.verdict
    return figure.verdict.grade


@pytest.mark.parametrize(
    ("drawn", "across", "allowed"),
    [
        (400, False, "6"),  # 6 mm, about 1/4 in: common practice
        (3000, False, "6"),  # 2 mm a metre are as much at 3 m
        (3500, False, "7"),
        (400, True, "8"),  # diagonals within 8 mm: common practice
        (4500, True, "9"),
    ],
)
def test_what_a_length_may_be_off(drawn: int, across: bool, allowed: str) -> None:
    assert allowed_off(Decimal(drawn), diagonal=across) == Decimal(allowed)


@pytest.mark.parametrize(
    ("read", "found"),
    [("2150", "sound"), ("2156", "sound"), ("2144", "sound"), ("2156.1", "needs"), ("2143.9", "needs")],
)
def test_a_side_is_within_six_millimetres(read: str, found: str) -> None:
    figure = size_read("P1 A to B", Decimal(2150), Quantity(read, "mm"))
    assert grade(figure) == found
    assert figure.value == Decimal(read) - 2150


def test_a_reading_in_inches_is_held_against_the_order_in_millimetres() -> None:
    # 84 5/8 in are 2149.475 mm: 25.4 mm to the inch (NIST SP 811, appendix B)
    figure = size_read("P1 A to B", Decimal(2150), Quantity("84 5/8", "in"))
    assert figure.value == Decimal("-0.525")
    assert grade(figure) is Grade.SOUND


def test_what_is_off_is_told_with_its_way() -> None:
    figure = size_read("P1 A to C, across", Decimal(2450), Quantity("2460", "mm"), diagonal=True)
    assert figure.verdict
    assert figure.verdict.says.replace("\u00a0", " ") == (
        "P1 A to C, across is 10.0 mm longer than the order, over 8.0 mm"
    )


@pytest.mark.parametrize(
    ("count", "found"),
    # five to seven stitches an inch: TM 10-8340-224-13, 5-6
    [("4.9", "needs"), ("5", "sound"), ("7", "sound"), ("7.5", "needs")],
)
def test_stitches_an_inch(count: str, found: str) -> None:
    assert grade(stitches_read(Decimal(count))) == found


@pytest.mark.parametrize("standard", [STRIP, GRAB])
@pytest.mark.parametrize(
    ("seam", "cloth", "percent", "found"),
    [
        # ISO 5912, 6.1.1.1: a joint is at most 10 percent weaker than what it joins
        ("900", "1000", "90", "sound"),
        ("899", "1000", "89.9", "needs"),
        ("1100", "1000", "110", "sound"),
    ],
)
def test_a_seam_keeps_nine_tenths_of_its_cloth(
    standard: str, seam: str, cloth: str, percent: str, found: str
) -> None:
    figure = seam_strength(standard, Quantity(seam, "N"), Quantity(cloth, "N"))
    assert (figure.value, grade(figure)) == (Decimal(percent), found)


def test_seam_and_cloth_are_pulled_by_the_same_test() -> None:
    # ISO 13934-1 and ISO 13935-1 are the strip tests of cloth and seam, -2 the grab tests
    for standard, cloth in ((STRIP, "ISO 13934-1"), (GRAB, "ISO 13934-2")):
        figure = seam_strength(standard, Quantity("900", "N"), Quantity("1000", "N"))
        assert [it.name for it in figure.inputs] == [f"seam, {standard}", f"cloth, {cloth}"]


@pytest.mark.parametrize("standard", ["ISO 811", "AATCC 127"])
@pytest.mark.parametrize(("held", "found"), [("300", "sound"), ("299", "needs"), ("1500", "sound")])
def test_water_is_held_as_high_as_ordered(standard: str, held: str, found: str) -> None:
    figure = head_held(standard, Quantity(held, "mm"), Quantity("300", "mm"))
    assert (figure.value, grade(figure)) == (Decimal(held) - 300, found)
    assert "third drop" in figure.limit  # ISO 811, clause 6: read at the third drop


@pytest.mark.parametrize(
    ("read", "least", "found"),
    # ISO 4920: 5, 4, 3, 2, 1 for 100, 90, 80, 70, 50 of AATCC 22, 0 for a face wet all over
    # (read at gellowen.co.uk/News/342.html)
    [("5", "4", "sound"), ("4", "4", "sound"), ("3.5", "4", "needs"), ("0", "1", "needs")],
)
def test_a_spray_rating_is_at_least_what_was_ordered(read: str, least: str, found: str) -> None:
    assert grade(spray_rated(Decimal(read), Decimal(least))) == found


@pytest.mark.parametrize(("read", "least"), [("6", "4"), ("-1", "4"), ("4", "6")])
def test_there_is_no_spray_rating_beyond_five(read: str, least: str) -> None:
    with pytest.raises(Impossible):
        spray_rated(Decimal(read), Decimal(least))


def test_what_cannot_be_read_is_impossible() -> None:
    nothing, some = Quantity("0", "N"), Quantity("5", "N")
    for wrong in (
        lambda: size_read("P1 A to B", Decimal(400), Quantity("0", "mm")),
        lambda: stitches_read(Decimal(0)),
        lambda: seam_strength(STRIP, nothing, some),
        lambda: seam_strength(STRIP, some, nothing),
        lambda: head_held("ISO 811", Quantity("0", "mm"), Quantity("300", "mm")),
    ):
        with pytest.raises(Impossible):
            wrong()
