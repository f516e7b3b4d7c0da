"""Marks against the outside: a VIN library, the tables of tire loads and speeds, threads, wire, weeks."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from vininfo import Vin as LibraryVin

from app.trade.quantity import Quantity
from app.trade.threads import proof_load, read_thread, stress_area
from app.trade.tin import read_date_code
from app.trade.tire_age import tire_age
from app.trade.tire_marks import index_for, index_load, load_range, speed_of
from app.trade.tire_size import overall_diameter, read_size, revolutions_per_mile
from app.trade.vin import YEAR_CODES, check_digit, model_years
from app.trade.wiring import circular_mils, resistance_per_1000_ft, wire_diameter

TODAY = date(2026, 5, 4)
SIGNS = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"


# VIN: another library's check sum and years


@given(st.text(SIGNS, min_size=14, max_size=14))
def test_the_check_digit_agrees_with_a_reference_library(rest: str) -> None:
    """Numbers of a small maker: the library asks no check digit of some large ones."""
    number = f"1Z9{rest}"
    ours = check_digit(number).value
    assert LibraryVin(f"{number[:8]}{ours}{number[9:]}").verify_checksum(check_year=False)
    for other in set("0123456789X") - {ours}:
        assert not LibraryVin(f"{number[:8]}{other}{number[9:]}").verify_checksum(check_year=False)


@pytest.mark.parametrize("code", YEAR_CODES)
def test_the_years_of_a_code_agree_with_a_reference_library(code: str) -> None:
    theirs = {year for year in LibraryVin(f"1Z9CA1012{code}A123456").years if 1980 <= year <= 2027}
    assert set(model_years(code, TODAY)) <= theirs
    assert theirs - set(model_years(code, TODAY)) <= {year for year in theirs if year > TODAY.year + 1}


# 49 CFR 565.15(d), table VII
YEARS = """
A 1980 2010
B 1981 2011
C 1982 2012
D 1983 2013
E 1984 2014
F 1985 2015
G 1986 2016
H 1987 2017
J 1988 2018
K 1989 2019
L 1990 2020
M 1991 2021
N 1992 2022
P 1993 2023
R 1994 2024
S 1995 2025
T 1996 2026
V 1997 2027
"""


@pytest.mark.parametrize("row", YEARS.strip().splitlines())
def test_a_letter_means_two_years(row: str) -> None:
    code, first, second = row.split()
    assert model_years(code, TODAY) == (int(first), int(second))


@pytest.mark.parametrize(("code", "year"), [*zip("WXY123456789", range(1998, 2010), strict=True)])
def test_a_later_code_means_one_year_still(code: str, year: int) -> None:
    assert model_years(code, TODAY) == (year,)


# Load index: ISO 4000-1 table, kg; 1 kg is 2.2046 lb

KILOGRAMS = """
60 250   61 257   62 265   63 272   64 280   65 290   66 300   67 307   68 315   69 325
70 335   71 345   72 355   73 365   74 375   75 387   76 400   77 412   78 425   79 437
80 450   81 462   82 475   83 487   84 500   85 515   86 530   87 545   88 560   89 580
90 600   91 615   92 630   93 650   94 670   95 690   96 710   97 730   98 750   99 775
100 800  101 825  102 850  103 875  104 900  105 925  106 950  107 975  108 1000 109 1030
110 1060 111 1090 112 1120 113 1150 114 1180 115 1215 116 1250 117 1285 118 1320 119 1360
120 1400 121 1450 122 1500 123 1550 124 1600 125 1650 126 1700 127 1750 128 1800 129 1850
130 1900 131 1950 132 2000
"""
WORDS = KILOGRAMS.split()
INDEXES = [(int(WORDS[at]), int(WORDS[at + 1])) for at in range(0, len(WORDS), 2)]


@pytest.mark.parametrize(("index", "kilograms"), INDEXES)
def test_a_load_index_stands_for_its_kilograms(index: int, kilograms: int) -> None:
    """Pounds are printed rounded: to the nearest 1 to 5 lb in the lists."""
    assert abs(index_load(index).value - Decimal(kilograms) * Decimal("2.20462")) <= 5


@pytest.mark.parametrize(("index", "kilograms"), INDEXES)
def test_the_index_for_a_load_is_the_first_that_carries_it(index: int, kilograms: int) -> None:
    pounds = index_load(index).value
    assert index_for(pounds, Decimal(0)).value == index
    if index < 132:
        assert index_for(pounds + 1, Decimal(0)).value == index + 1


# Speed symbols: ISO 4000-1, km/h; printed in mph
SPEEDS = "F 80 50, G 90 56, J 100 62, K 110 68, L 120 75, M 130 81, N 140 87, P 150 93, Q 160 99"
MORE_SPEEDS = "R 170 106, S 180 112, T 190 118, H 210 130"


@pytest.mark.parametrize("row", f"{SPEEDS}, {MORE_SPEEDS}".split(", "))
def test_a_speed_symbol(row: str) -> None:
    symbol, kilometres, miles = row.split()
    assert speed_of(symbol).value == int(miles)
    assert abs(int(miles) * Decimal("1.609344") - int(kilometres)) < Decimal("1.5")


# Load range letters: ply rating and the usual pressure of a trailer tire, psi (trade lists, from memory)
@pytest.mark.parametrize(
    ("letter", "plies", "psi"),
    [("B", 4, 35), ("C", 6, 50), ("D", 8, 65), ("E", 10, 80), ("F", 12, 95), ("G", 14, 110)],
)
def test_a_load_range(letter: str, plies: int, psi: int) -> None:
    found = load_range(letter).value
    assert (found.plies, found.usual_psi) == (plies, psi)


# Sizes: rim x 25.4 + 2 x section x aspect, mm, by hand; turns a mile by a maker's list are within 2 %

SIZES = """
ST145/80R12 536.8
ST145/80R13 562.2
ST175/80R13 610.2
ST185/80R13 626.2
ST205/75R14 663.1
ST205/75R15 688.5
ST215/75R14 678.1
ST225/75R15 718.5
ST235/80R16 782.4
ST235/85R16 805.9
ST225/90R16 811.4
P195/75R14  648.1
P205/75R15  688.5
P235/75R15  733.5
LT235/75R15 733.5
LT225/75R16 743.9
LT245/75R16 773.9
195/65R15   634.5
185/70R13   589.2
225/70R15   696
"""


@pytest.mark.parametrize("row", SIZES.strip().splitlines())
def test_a_size_is_as_tall_as_its_numbers_say(row: str) -> None:
    marking, millimetres = row.split()
    assert round(overall_diameter(read_size(marking)).value, 1) == Decimal(millimetres)


@given(st.sampled_from([row.split()[0] for row in SIZES.strip().splitlines()]))
def test_turns_a_mile_are_those_of_a_loaded_radius(marking: str) -> None:
    """A loaded radial rolls 3 % shorter than pi times its diameter: 63,360 in / (3.05 x diameter)."""
    size = read_size(marking)
    inches = overall_diameter(size).value / Decimal("25.4")
    assert abs(revolutions_per_mile(size).value - 63360 / (Decimal("3.05") * inches)) < Decimal("0.5")


# Weeks of tires: week 1 starts on the first Sunday of the year (49 CFR 574.5(g)(4))

CODES = """
0119 2019-01-06
5219 2019-12-29
0120 2020-01-05
5220 2020-12-27
0121 2021-01-03
1021 2021-03-07
2622 2022-06-26
0123 2023-01-01
5323 2023-12-31
0124 2024-01-07
0125 2025-01-05
4018 2018-10-07
"""


@pytest.mark.parametrize("row", CODES.strip().splitlines())
def test_a_week_starts_on_its_sunday(row: str) -> None:
    code, sunday = row.split()
    (week,) = read_date_code(code, TODAY).weeks
    assert week.start == date.fromisoformat(sunday)
    assert week.start.weekday() == 6


@given(st.integers(1, 52), st.integers(2001, 2025), st.integers(0, 3000))
def test_a_tire_grows_older_by_the_day(week: int, year: int, days: int) -> None:
    code = read_date_code(f"{week:02}{year % 100:02}", TODAY)
    later = TODAY + timedelta(days=days)
    years = Decimal(days) / Decimal("365.2425")
    assert abs(tire_age(code, later).value - tire_age(code, TODAY).value - years) <= Decimal("0.02")


# Threads: tensile stress area of ASME B1.1 in in², of ISO 898-1 in mm²

AREAS = """
1/4-20   0.0318
1/4-28   0.0364
5/16-18  0.0524
5/16-24  0.0580
3/8-16   0.0775
3/8-24   0.0878
7/16-14  0.1063
7/16-20  0.1187
1/2-13   0.1419
1/2-20   0.1599
9/16-12  0.182
9/16-18  0.203
5/8-11   0.226
5/8-18   0.256
3/4-10   0.334
3/4-16   0.373
7/8-9    0.462
7/8-14   0.509
1-8      0.606
M6x1     20.1
M8x1.25  36.6
M10x1.5  58.0
M12x1.75 84.3
M12x1.5  88.1
M12x1.25 92.1
M14x2    115
M14x1.5  125
M16x2    157
M16x1.5  167
M18x2.5  192
M18x1.5  216
M20x2.5  245
M20x1.5  272
M22x2.5  303
M22x1.5  333
M24x3    353
"""


@pytest.mark.parametrize("row", AREAS.strip().splitlines())
def test_a_stress_area_of_the_standards(row: str) -> None:
    thread, area = row.split()
    found = stress_area(read_thread(thread)).value
    assert abs(found / Decimal(area) - 1) < Decimal("0.004")


# SAE J429: proof 85 and 120 ksi for grades 5 and 8; loads in lbf of its table
@pytest.mark.parametrize(
    ("thread", "grade", "load"),
    [
        ("1/4-20", "5", 2700),
        ("5/16-18", "5", 4450),
        ("3/8-16", "5", 6600),
        ("7/16-14", "5", 9050),
        ("1/2-13", "5", 12100),
        ("1/2-20", "5", 13600),
        ("9/16-12", "5", 15500),
        ("5/8-11", "5", 19200),
        ("3/4-10", "5", 28400),
        ("1/4-20", "8", 3800),
        ("5/16-18", "8", 6300),
        ("3/8-16", "8", 9300),
        ("7/16-14", "8", 12750),
        ("1/2-13", "8", 17000),
        ("1/2-20", "8", 19200),
        ("9/16-18", "8", 24400),
        ("5/8-18", "8", 30700),
        ("3/4-16", "8", 44800),
    ],
)
def test_a_proof_load_of_the_standard(thread: str, grade: str, load: int) -> None:
    assert abs(proof_load(read_thread(thread), grade).value / load - 1) < Decimal("0.01")


# Wire: ASTM B258 diameters in mils, solid; NEC chapter 9 table 8, ohm a 1,000 ft at 75 °C, stranded bare

WIRES = """
18 40.3 7.95
16 50.8 4.99
14 64.1 3.14
12 80.8 1.98
10 101.9 1.24
8  128.5 0.778
6  162.0 0.491
4  204.3 0.308
2  257.6 0.194
1  289.3 0.154
0  324.9 0.122
-1 364.8 0.0967
-2 409.6 0.0766
-3 460.0 0.0608
"""


@pytest.mark.parametrize("row", WIRES.strip().splitlines())
def test_a_wire_of_the_standards(row: str) -> None:
    gauge, mils, ohms = row.split()
    diameter = wire_diameter(int(gauge)) * 1000
    assert abs(diameter - Decimal(mils)) < Decimal("0.06")
    assert abs(circular_mils(int(gauge)) / Decimal(mils) ** 2 - 1) < Decimal("0.002")
    # A lay of strands is 2 % longer than the wire: the table's stranded values lie 1 to 3 % over solid
    ratio = resistance_per_1000_ft(int(gauge), Decimal(75)) / Decimal(ohms)
    assert Decimal("0.97") < ratio < Decimal("1.03")


@given(st.integers(-3, 37))
def test_three_gauges_thinner_is_about_twice_the_resistance(gauge: int) -> None:
    """ASTM B258: 39 steps are a factor of 92 in diameter, so three steps are 2.005 in area."""
    warm = Decimal(20)
    ratio = resistance_per_1000_ft(gauge + 3, warm) / resistance_per_1000_ft(gauge, warm)
    assert abs(ratio - Decimal("2.005")) < Decimal("0.001")


@pytest.mark.parametrize(("inches", "millimetres"), [("1", "25.4"), ("0.5", "12.7"), ("1 3/8", "34.925")])
def test_an_inch_is_25_4_millimetres(inches: str, millimetres: str) -> None:
    assert Quantity(inches, "in").to("mm") == Decimal(millimetres)  # International yard and pound, 1959
