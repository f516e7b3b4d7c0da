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


@pytest.mark.parametrize(
    ("signs", "value"),
    [
        # 49 CFR 565.15(c), table III, row by row
        ("0", 0),
        ("1AJ", 1),
        ("2BKS", 2),
        ("3CLT", 3),
        ("4DMU", 4),
        ("5ENV", 5),
        ("6FW", 6),
        ("7GPX", 7),
        ("8HY", 8),
        ("9RZ", 9),
    ],
)
def test_each_sign_has_the_value_of_the_table(signs: str, value: int) -> None:
    assert "".join(sorted(sign for sign, known in VALUES.items() if known == value)) == signs


@pytest.mark.parametrize(
    ("place", "weight"),
    # 49 CFR 565.15(c), table IV, position by position
    [
        *((1, 8), (2, 7), (3, 6), (4, 5), (5, 4), (6, 3), (7, 2), (8, 10), (9, 0)),
        *((10, 9), (11, 8), (12, 7), (13, 6), (14, 5), (15, 4), (16, 3), (17, 2)),
    ],
)
def test_each_position_has_the_weight_of_the_table(place: int, weight: int) -> None:
    ones = "0" * (place - 1) + "1" + "0" * (17 - place)
    # a lone 1 at a position leaves its weight as the rest of the division by 11: 10 is X
    assert check_digit(ones).value == ("X" if weight == 10 else str(weight))


@pytest.mark.parametrize(
    ("code", "year"),
    # 49 CFR 565.15(d), table VII: 1980 to 2009
    [
        *(("A", 1980), ("B", 1981), ("C", 1982), ("D", 1983), ("E", 1984), ("F", 1985), ("G", 1986)),
        *(("H", 1987), ("J", 1988), ("K", 1989), ("L", 1990), ("M", 1991), ("N", 1992), ("P", 1993)),
        *(("R", 1994), ("S", 1995), ("T", 1996), ("V", 1997), ("W", 1998), ("X", 1999), ("Y", 2000)),
        *(("1", 2001), ("2", 2002), ("3", 2003), ("4", 2004), ("5", 2005), ("6", 2006), ("7", 2007)),
        *(("8", 2008), ("9", 2009)),
    ],
)
def test_each_year_has_its_code(code: str, year: int) -> None:
    assert model_years(code, date(2009, 6, 1))[0] == year
    assert model_years(code, date(2039, 6, 1))[1] == year + 30  # the same code again


@pytest.mark.parametrize(
    ("wrong", "right"),
    [
        # neighbours exchanged: the weights of 49 CFR 565.15(c), table IV, differ by 1 or 8, not by 11
        ("1G4AH59H45G118314", "1G4AH59H45G118341"),
        ("G14AH59H45G118341", "1G4AH59H45G118341"),
        ("1M8GDM9AXPK042788", "1M8GDM9AXKP042788"),
        ("1G4AH59H54G118341", "1G4AH59H45G118341"),
    ],
)
def test_neighbours_exchanged_are_seen(wrong: str, right: str) -> None:
    assert read_vin(wrong, TODAY).problems
    assert not read_vin(right, TODAY).problems


def test_an_exchange_of_positions_8_and_9_stays_unseen() -> None:
    # the weight 10 of position 8 is -1 modulo 11, so the rest moves along with the exchange: arithmetic
    assert check_digit("5ZDUB0817HS771204").value == "7"
    assert check_digit("5ZDUB0871HS771204").value == "1"
    assert "proves nothing alone" in check_digit("5ZDUB0871HS771204").caution


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


@pytest.mark.parametrize(
    ("number", "made", "questioned"),
    [
        # position 10 by 49 CFR 565.15(d), table VII; a model year starts before its calendar year
        ("1ZCTT2022NA004821", 2022, False),
        ("1ZCTT2022NA004821", 2021, False),
        ("1ZCTT2022NA004821", 1992, False),
        ("1ZCTT2022NA004821", 2001, True),
        ("1ZCTT2022NA004821", 2023, True),
        ("4Z9FE16271B123045", 2001, False),
        ("4Z9FE16271B123045", 2000, False),
        ("4Z9FE16271B123045", 2002, True),
    ],
)
def test_a_year_known_from_the_label_is_held_against_position_10(
    number: str, made: int, questioned: bool
) -> None:
    problems = read_vin(number, TODAY, made=made).problems
    assert bool(problems) == questioned
    assert all(it.ask and "Position 10" in it.says for it in problems)


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


@given(bodies, st.integers(0, 15).filter(lambda place: place != 7))
def test_every_exchange_of_unlike_neighbours_is_seen(body: str, place: int) -> None:
    # weights of neighbours differ by 1 or 8, beside position 9 by 9 or 10: none of them a multiple of 11
    number = with_digit(body)
    one, other = number[place], number[place + 1]
    swapped = number[:place] + other + one + number[place + 2 :]
    same = one == other if place == 8 else VALUES[one] == VALUES[other]
    assert (check_digit(swapped).value == swapped[8]) == same


@given(bodies)
def test_what_stands_in_position_9_changes_nothing(body: str) -> None:
    assert check_digit(body).value == check_digit(with_digit(body)).value


@given(bodies)
def test_a_standard_number_is_read_back_from_its_groups(body: str) -> None:
    number = with_digit(body)
    assert read_vin(read_vin(number, TODAY).grouped, TODAY) == read_vin(number, TODAY)


@given(bodies)
def test_every_number_suggested_agrees_and_is_one_change_away(body: str) -> None:
    for found in one_change_away(body):
        assert sum(one != other for one, other in zip(found, body, strict=True)) == 1
        assert check_digit(found).value == found[8]


@given(st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789 -/.", min_size=1, max_size=30))
def test_an_assigned_number_keeps_its_characters(typed: str) -> None:
    try:
        vin = read_vin(typed, TODAY, assigned=True)
    except Impossible:
        assert not typed.strip()[:1].isalnum()
        return
    assert vin.number == " ".join(typed.split())
    assert read_vin(vin.number.lower(), TODAY, assigned=True) == vin


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
