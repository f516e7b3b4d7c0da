"""Vehicle identification numbers of 49 CFR 565, and the numbers that are none."""

from datetime import date
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import Grade
from app.trade.problems import Impossible
from app.trade.vin import (
    VALUES,
    WEIGHTS,
    VinKind,
    check_digit,
    model_year,
    model_years,
    one_change_away,
    read_vin,
)

TODAY = date(2026, 11, 25)
PRINTED = "1G4AH59H45G118341"  # the example of 49 CFR 565.15(c), table VI


@pytest.mark.parametrize(
    ("number", "total", "digit"),
    [
        (PRINTED, 411, "4"),  # 49 CFR 565.15(c), step by step: 411 / 11 leaves 4
        ("1M8GDM9AXKP042788", 351, "X"),  # the widely reprinted example of a check digit X
        ("11111111111111111", 89, "1"),  # all values 1: the weights themselves add up to 89
        # from here: products of value and weight added by hand
        ("1ZCTT2022NA004821", 255, "2"),
        ("4Z9FE16271B123045", 315, "7"),
        ("5ZDUB0817HS771204", 381, "7"),
        ("1Z9BT19119M654007", 397, "1"),
        ("5ZEEN1423AV000318", 289, "3"),
        ("2Z9CU1011RK201056", 320, "1"),
    ],
)
def test_the_check_digit_is_that_of_the_regulation(number: str, total: int, digit: str) -> None:
    figure = check_digit(number)
    assert figure.value == digit
    assert any(f"{total} =" in it.says for it in figure.inputs)
    assert figure.verdict is not None
    assert figure.verdict.grade == Grade.SOUND


def test_values_and_weights_are_those_of_the_tables() -> None:
    # 49 CFR 565.15(c), tables III (assigned values) and IV (weight factors)
    assert {sign for sign, value in VALUES.items() if value == 9} == {"9", "R", "Z"}
    assert {sign for sign, value in VALUES.items() if value == 2} == {"2", "B", "K", "S"}
    assert {sign for sign, value in VALUES.items() if value == 7} == {"7", "G", "P", "X"}
    assert {"I", "O", "Q"}.isdisjoint(VALUES)
    assert WEIGHTS[7:9] == (10, 0)
    assert len(VALUES) == 33


def test_a_wrong_check_digit_is_questioned_and_kept() -> None:
    vin = read_vin("1G4AH59H45G118331", TODAY)  # one digit off: 408 / 11 leaves 1
    assert vin.kind is VinKind.STANDARD
    assert [(it.field, it.ask) for it in vin.problems] == [("vin", True)]
    assert "Position 9 is 4, by the other characters it is 1" in vin.problems[0].says


@pytest.mark.parametrize(
    ("code", "years"),
    [
        # 49 CFR 565.15(d), table VII; the code comes again after 30 years
        ("A", (1980, 2010)),
        ("H", (1987, 2017)),
        ("N", (1992, 2022)),
        ("R", (1994, 2024)),
        ("T", (1996, 2026)),
        ("V", (1997, 2027)),  # next year's models are sold this year
        ("W", (1998,)),  # 2028 is still to come
        ("Y", (2000,)),
        ("1", (2001,)),
        ("9", (2009,)),
        ("U", ()),  # never used for a year: I O Q U Z 0
        ("Z", ()),
        ("0", ()),
        ("I", ()),
    ],
)
def test_a_year_code_means_every_year_that_it_can(code: str, years: tuple[int, ...]) -> None:
    assert model_years(code, TODAY) == years


def test_two_years_are_told_with_who_decides() -> None:
    figure = model_year("1ZCTT2022NA004821", TODAY)
    assert figure.says == "1992 or 2022"
    assert "certification label" in figure.caution
    assert model_year("4Z9FE16271B123045", TODAY).caution == ""


@pytest.mark.parametrize(
    ("number", "maker", "serial"),
    [
        # a 9 in position 3: 12 to 14 complete the maker, 15 to 17 are the serial: 49 CFR 565.15(a), (d)(3)
        ("4Z9FE16271B123045", "4Z9/123", "045"),
        ("1Z9BT19119M654007", "1Z9/654", "007"),
        ("5ZDUB0817HS771204", "5ZD", "771204"),
        (PRINTED, "1G4", "118341"),
    ],
)
def test_a_small_maker_is_told_by_six_characters(number: str, maker: str, serial: str) -> None:
    vin = read_vin(number, TODAY)
    assert (vin.maker, vin.serial) == (maker, serial)
    assert vin.problems == ()


def test_a_pasted_number_is_tidied() -> None:
    vin = read_vin(" 1g4ah59h4-5g118341\n", TODAY)
    assert vin.number == PRINTED
    assert vin.grouped == "1G4 AH59H 4 5 G118341"


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ("1G4AH59H45G11834", "this has 16"),
        ("1G4AH59H45G1183411", "this has 18"),
        ("", "this has 0"),
        ("1G4AH59H45G11834I", "I in position 17"),  # 49 CFR 565.13(g): no I, O or Q
        ("1G4AH59H45GO18341", "O in position 12"),
        ("Q" + PRINTED[1:], "Q in position 1"),
        ("1G4AH59H45G11834é", "in position 17"),
        ("1G4AH59H45G11834١", "in position 17"),
    ],
)
def test_what_can_be_no_vin_is_refused(typed: str, says: str) -> None:
    with pytest.raises(Impossible, match=says) as refused:
        read_vin(typed, TODAY)
    assert "before 1981" in refused.value.accepts


def test_a_letter_o_points_at_the_zero() -> None:
    with pytest.raises(Impossible, match="look whether it is 1M8GDM9AXKP042788"):
        read_vin("1M8GDM9AXKPO42788", TODAY)


def test_a_number_of_before_1981_is_kept_as_it_stands() -> None:
    # 49 CFR 565 asks 17 characters from model year 1981
    vin = read_vin("tt 4471-b", TODAY, made=1974)
    assert (vin.number, vin.kind, vin.years) == ("TT 4471-B", VinKind.BEFORE_1981, ())
    assert "1974" in vin.why
    with pytest.raises(Impossible, match="17 characters"):
        read_vin("tt 4471-b", TODAY, made=1981)


def test_a_state_assigned_number_needs_no_check_digit() -> None:
    vin = read_vin("MOQ0012345 TR", TODAY, assigned=True)
    assert (vin.kind, vin.problems, vin.maker, vin.serial) == (VinKind.ASSIGNED, (), "", "")
    assert "state" in vin.why
    assert vin.grouped == vin.number


def test_a_standard_number_called_assigned_is_questioned() -> None:
    assert [it.ask for it in read_vin(PRINTED, TODAY, assigned=True).problems] == [True]


@pytest.mark.parametrize("typed", ["", "   ", "-", "A" * 31, "AB<script>", "№ 12"])
def test_even_an_assigned_number_has_to_be_printable(typed: str) -> None:
    with pytest.raises(Impossible):
        read_vin(typed, TODAY, assigned=True)


def test_an_unused_year_code_is_questioned() -> None:
    body = PRINTED[:9] + "U" + PRINTED[10:]
    right = PRINTED[:8] + check_digit(body).value + body[9:]
    assert ["model year" in it.says for it in read_vin(right, TODAY).problems] == [True]


def test_a_year_to_come_is_questioned() -> None:
    # D was 1983 and is 2013; in 1982 the first of them was a year ahead at most
    assert "still to come" in read_vin(PRINTED[:9] + "H" + PRINTED[10:], date(1982, 1, 1)).problems[-1].says


def test_one_look_alike_is_suggested() -> None:
    # 5 read as S in position 10 of the printed example; S and 5 differ in value: 2 and 5
    assert PRINTED in one_change_away(PRINTED[:9] + "S" + PRINTED[10:])


SIGNS = "".join(sorted(VALUES))
bodies = st.text(SIGNS, min_size=17, max_size=17)


def with_digit(body: str) -> str:
    return body[:8] + check_digit(body).value + body[9:]


@given(bodies, st.integers(0, 16), st.sampled_from(SIGNS))
def test_every_single_slip_of_another_value_is_seen(body: str, place: int, sign: str) -> None:
    # 11 is a prime and no weight is a multiple of it; position 9 is compared as it stands
    number = with_digit(body)
    slip = number[:place] + sign + number[place + 1 :]
    same = sign == number[8] if place == 8 else VALUES[sign] == VALUES[number[place]]
    assert (check_digit(slip).value == slip[8]) == same


@given(bodies)
def test_what_stands_in_position_9_changes_nothing(body: str) -> None:
    assert check_digit(body).value == check_digit(with_digit(body)).value


@given(bodies)
def test_a_standard_number_is_read_back_from_its_groups(body: str) -> None:
    number = with_digit(body)
    assert read_vin(read_vin(number, TODAY).grouped, TODAY) == read_vin(number, TODAY)


@given(st.text(max_size=20))
def test_any_text_is_a_vin_or_refused(typed: str) -> None:
    try:
        assert len(read_vin(typed, TODAY).number) == 17
    except Impossible as impossible:
        assert impossible.says


@given(st.sampled_from("ABCDEFGHJKLMNPRSTVWXY123456789"), st.dates(date(1981, 1, 1), date(2099, 1, 1)))
def test_years_are_30_apart_and_none_is_to_come(code: str, on: date) -> None:
    years = model_years(code, on)
    assert all(1980 <= year <= on.year + 1 for year in years)
    assert all(later - earlier == 30 for earlier, later in pairwise(years))
