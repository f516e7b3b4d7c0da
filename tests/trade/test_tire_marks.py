"""Load index, speed symbol and load range."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.problems import Impossible
from app.trade.tire_marks import KG, Range, index_for, index_load, load_range, speed_of


@pytest.mark.parametrize(
    ("index", "pounds", "kg"),
    [
        # load index table of ISO 4000-1, as tire makers reprint it
        (60, 551, 250),
        (62, 584, 265),
        (66, 661, 300),
        (75, 853, 387),
        (79, 963, 437),
        (87, 1201, 545),
        (91, 1356, 615),
        (96, 1565, 710),
        (97, 1609, 730),
        (100, 1764, 800),
        (105, 2039, 925),
        (108, 2205, 1000),
        (113, 2535, 1150),
        (115, 2679, 1215),
        (117, 2833, 1285),
        (120, 3086, 1400),
        (121, 3197, 1450),
        (124, 3527, 1600),
        (131, 4299, 1950),
        (132, 4409, 2000),
        (133, 4541, 2060),  # from here on UN Regulation No. 54, annex 4 (from memory)
        (139, 5357, 2430),
        (143, 6008, 2725),
        (156, 8818, 4000),
    ],
)
def test_the_load_of_an_index(index: int, pounds: int, kg: int) -> None:
    assert index_load(index).value == pounds
    assert KG[index] == kg


# load index and lb as tire makers reprint the table of ISO 4000-1, in full
_MARKED = """
60 551 61 567 62 584 63 600 64 617 65 639 66 661 67 677 68 694 69 716 70 739 71 761 72 783 73 805 74 827
75 853 76 882 77 908 78 937 79 963 80 992 81 1019 82 1047 83 1074 84 1102 85 1135 86 1168 87 1201 88 1235
89 1279 90 1323 91 1356 92 1389 93 1433 94 1477 95 1521 96 1565 97 1609 98 1653 99 1709 100 1764 101 1819
102 1874 103 1929 104 1984 105 2039 106 2094 107 2149 108 2205 109 2271 110 2337 111 2403 112 2469 113 2535
114 2601 115 2679 116 2756 117 2833 118 2910 119 2998 120 3086 121 3197 122 3307 123 3417 124 3527 125 3638
126 3748 127 3858 128 3968 129 4079 130 4189 131 4299 132 4409
"""
MARKED = _MARKED.split()


@pytest.mark.parametrize(("index", "pounds"), list(zip(MARKED[::2], MARKED[1::2], strict=True)))
def test_every_index_carries_what_is_marked(index: str, pounds: str) -> None:
    assert index_load(int(index)).value == Decimal(pounds)
    assert index_for(Decimal(pounds)).value == int(index)


def test_the_table_has_no_hole() -> None:
    assert sorted(KG) == list(range(60, 157))
    assert [int(index) for index in MARKED[::2]] == list(range(60, 133))


@pytest.mark.parametrize("index", range(140, 157))
def test_eighty_steps_are_ten_times_as_much(index: int) -> None:
    """The steps are those of the series R80, rounded: 60 is 250 kg, 140 is 2,500 kg."""
    assert abs(KG[index] - 10 * KG[index - 80]) <= 5


@pytest.mark.parametrize("index", [0, 59, 157, -96])
def test_an_index_outside_the_table_is_refused(index: int) -> None:
    with pytest.raises(Impossible, match="load index"):
        index_load(index)


def test_the_table_rises_as_its_design_says() -> None:
    # ISO 4000-1: a step is about 1/80 of a decade, so kg = 45 x 10^(index / 80) within 2 %
    for index, kg in KG.items():
        assert abs(float(kg) / (45 * 10 ** (index / 80)) - 1) < 0.02


@pytest.mark.parametrize(
    ("load", "reserve", "index"),
    [
        ("1750", "0", 100),  # 1,764 lb: ISO 4000-1
        ("1764", "0", 100),
        ("1765", "0", 101),
        ("1750", "10", 103),  # 1,925 lb with the reserve: 103 is marked 1,929 lb, 102 only 1,874 lb
    ],
)
def test_the_smallest_index_that_carries_a_load(load: str, reserve: str, index: int) -> None:
    assert index_for(Decimal(load), Decimal(reserve)).value == index


@pytest.mark.parametrize("load", ["0", "-1", "8820"])
def test_a_load_that_no_index_carries_is_refused(load: str) -> None:
    with pytest.raises(Impossible):
        index_for(Decimal(load))


@given(st.integers(1, 4008).map(Decimal))
def test_the_index_found_carries_and_the_one_under_it_does_not(load: Decimal) -> None:
    found = index_for(load, Decimal(10)).value
    assert carried(found) >= load * Decimal("1.1")
    if found > 60:
        assert carried(found - 1) < load * Decimal("1.1")


def carried(index: int) -> Decimal:
    """The mark in pounds or the kilograms of ISO 4000-1, whichever is more; a pound is 0.45359237 kg."""
    return max(index_load(index).value, KG[index] / Decimal("0.45359237"))


def test_a_load_weighed_in_kg_needs_no_index_more_than_its_own() -> None:
    for index, kg in KG.items():  # ISO 4000-1 gives the loads in kg; pounds are rounded from them
        assert index_for(round(kg / Decimal("0.45359237"), 3)).value == index


@pytest.mark.parametrize(
    ("symbol", "mph"),
    [
        # speed symbols of ISO 4000-1: km/h to whole mph
        ("F", 50),
        ("G", 56),
        ("J", 62),
        ("K", 68),
        ("L", 75),
        ("m", 81),
        ("N", 87),
        ("P", 93),
        ("Q", 99),
        ("R", 106),
        ("S", 112),
        ("T", 118),
        ("H", 130),
        ("V", 149),
        ("", 65),  # a trailer tire without a symbol: common practice
    ],
)
def test_the_speed_of_a_symbol(symbol: str, mph: int) -> None:
    assert speed_of(symbol).value == mph


@pytest.mark.parametrize("symbol", ["I", "O", "MM", "9"])
def test_what_is_no_speed_symbol_is_refused(symbol: str) -> None:
    with pytest.raises(Impossible, match="speed symbol"):
        speed_of(symbol)


@pytest.mark.parametrize(
    ("letter", "plies", "psi"),
    [
        # load range and ply rating: tire and rim standards; usual pressures of metric trailer tires
        ("A", 2, None),
        ("B", 4, 35),
        ("c", 6, 50),
        ("D", 8, 65),
        ("E", 10, 80),
        ("F", 12, 95),
        ("G", 14, 110),
        ("H", 16, 125),
        ("J", 18, None),
        ("L", 20, None),
        ("M", 22, None),
        ("N", 24, None),
    ],
)
def test_a_load_range(letter: str, plies: int, psi: int | None) -> None:
    assert load_range(letter).value == Range(letter.upper(), plies, psi)


@pytest.mark.parametrize("letter", ["I", "K", "O", "", "CC"])
def test_letters_that_are_skipped_are_refused(letter: str) -> None:
    with pytest.raises(Impossible, match="load range"):
        load_range(letter)


@pytest.mark.parametrize(("index", "steps"), [(60, 20), (70, 20), (80, 20), (90, 20), (100, 20), (110, 20)])
def test_twenty_steps_are_about_a_factor_of_1_78(index: int, steps: int) -> None:
    # a step is the twentieth root of 10 to the fourth: 10^(20 / 80) = 1.778, ISO 4000-1
    assert Decimal("1.74") < KG[index + steps] / KG[index] < Decimal("1.82")


def test_a_dual_index_is_about_nine_tenths_of_a_single_one() -> None:
    # LT235/85R16 is marked 120/116: 1,400 and 1,250 kg, 0.893: ISO 4000-1
    assert round(KG[116] / KG[120], 3) == Decimal("0.893")


@given(st.integers(60, 131))
def test_each_index_carries_more_than_the_one_before(index: int) -> None:
    assert index_load(index + 1).value > index_load(index).value


def test_the_reserve_asks_for_a_higher_index() -> None:
    # 1,653 lb is index 98; with 10 % it is 1,818.3 lb, index 101 (1,819 lb): ISO 4000-1
    assert index_for(Decimal(1653)).value == 98
    assert index_for(Decimal(1653), Decimal(10)).value == 101


def test_without_a_symbol_65_mph_is_said_as_usual_practice() -> None:
    assert "common practice" in str(speed_of("").source)
    assert "ISO" in str(speed_of("M").source)
