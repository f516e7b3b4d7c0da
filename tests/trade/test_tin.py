"""Tire identification numbers of 49 CFR 574.5."""

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.dates import Week, week_of
from app.trade.problems import Impossible
from app.trade.tin import UNUSED, TinForm, made_in, read_date_code, read_tin

TODAY = date(2026, 6, 15)


@pytest.mark.parametrize(
    ("digits", "week"),
    [
        ("0109", Week(2009, 1)),  # 49 CFR 574.5(b)(3), its own example
        ("3019", Week(2019, 30)),  # week then year: 49 CFR 574.5(b)
        ("08 21", Week(2021, 8)),  # a blank between the pairs, as many sidewalls show it
        ("5312", Week(2012, 53)),  # 2012 has 53 Sundays
        ("2700", Week(2000, 27)),  # the first four-digit week: 64 FR 36807, 2 July 2000
        ("2426", Week(2026, 24)),  # 14 to 20 June 2026: begun the day before
    ],
)
def test_four_digits_mean_one_week(digits: str, week: Week) -> None:
    code = read_date_code(digits, TODAY)
    assert code.weeks == (week,)
    assert code.decade_known


@pytest.mark.parametrize(
    ("digits", "years"),
    [
        # NHTSA interpretation 12375wkm: 439 is week 43 of 1989, or of the year 9 of another decade
        ("439", [1979, 1989, 1999]),
        # from 22 May 1971 (36 FR 1196) to 1 July 2000 (64 FR 36807)
        ("101", [1981, 1991]),  # week 10 of 1971 was before the rule
        ("301", [1971, 1981, 1991]),
        ("100", [1980, 1990, 2000]),
        ("400", [1980, 1990]),  # week 40 of 2000 has four digits
    ],
)
def test_three_digits_leave_the_decade_open(digits: str, years: list[int]) -> None:
    code = read_date_code(digits, TODAY)
    assert [week.year for week in code.weeks] == years
    assert not code.decade_known


def test_the_decades_are_told_as_a_range() -> None:
    assert str(read_date_code("439", TODAY)) == "week 43 of 1979, 1989 or 1999"
    assert str(read_date_code("3019", TODAY)) == "week 30 of 2019"


@pytest.mark.parametrize(
    "digits",
    [
        "0022",  # there is no week 00
        "6018",  # nor a week 60
        "5419",  # nor a week 54: at most 53 weeks start in a year
        "3A19",
        "19",
        "30192",
        "+319",
        "٣٠١٩",
        "",
        "2526",  # 21 June 2026 is still to come on the 15th
        "3099",
        "009",  # week 00 in three digits
    ],
)
def test_what_is_no_date_code_is_refused_with_an_example(digits: str) -> None:
    with pytest.raises(Impossible) as refused:
        read_date_code(digits, TODAY)
    assert refused.value.accepts


@given(st.integers(2001, 2025), st.integers(1, 52))
def test_a_date_code_is_read_back(year: int, week: int) -> None:
    code = read_date_code(f"{week:02}{year % 100:02}", TODAY)
    assert code.weeks == (Week(year, week),)


@given(st.text(max_size=6))
def test_any_text_is_a_code_or_refused(typed: str) -> None:
    try:
        assert read_date_code(typed, TODAY).latest.start <= TODAY
    except Impossible as impossible:
        assert impossible.says


@pytest.mark.parametrize(
    ("typed", "form", "plant", "maker", "tail"),
    [
        # groups 3 + 6 + 4 of the form with 13 symbols: 49 CFR 574.5(a), 80 FR 19553
        ("DOT 1AB C2D3EF 3019", TinForm.THIRTEEN, "1AB", "C2D3EF", "3019"),
        ("dot-1abc2d3ef-3019", TinForm.THIRTEEN, "1AB", "C2D3EF", "3019"),
        # groups 2 + 2 + up to 4 + date of the older forms: 49 CFR 574.5 before 2015
        ("DOT AB CD EFH 0821", TinForm.FOUR_DIGIT, "AB", "CDEFH", "0821"),
        ("ABCD0821", TinForm.FOUR_DIGIT, "AB", "CD", "0821"),
        ("ABCDEFHJ0821", TinForm.FOUR_DIGIT, "AB", "CDEFHJ", "0821"),
        ("ABCDEFH439", TinForm.THREE_DIGIT, "AB", "CDEFH", "439"),
        ("ABCD439", TinForm.THREE_DIGIT, "AB", "CD", "439"),
        # plant 3 + date 4 of a retread: 49 CFR 574.5(a)(2)
        ("DOT-R ABC 3019", TinForm.RETREAD, "ABC", "", "3019"),
        # a sidewall without the date: FMVSS 139 S5.5.1
        ("DOT ABCD EFH", TinForm.PARTIAL, "AB", "CDEFH", ""),
        ("1ABC2D3EF", TinForm.PARTIAL, "1AB", "C2D3EF", ""),
    ],
)
def test_a_number_is_cut_into_its_groups(
    typed: str, form: TinForm, plant: str, maker: str, tail: str
) -> None:
    tin = read_tin(typed, TODAY)
    assert (tin.form, tin.plant, tin.maker, tin.tail) == (form, plant, maker, tail)


def test_the_date_window_settles_what_the_length_leaves_open() -> None:
    # "ABCD1439" ends in week 14 of 2039 or in 439 behind an optional 1: only the window tells
    assert read_tin("ABCD1439", TODAY, "439").form is TinForm.THREE_DIGIT
    assert read_tin("ABCD1439", TODAY, "439").maker == "CD1"
    with pytest.raises(Impossible, match="still to come"):
        read_tin("ABCD1439", TODAY)


def test_three_digits_at_the_end_are_a_guess_until_the_window_is_typed() -> None:
    # the optional group may end in digits too: 49 CFR 574.5 before 2015
    assert [it.field for it in read_tin("ABCDE439", TODAY).problems] == ["date_code"]
    assert read_tin("ABCDE439", TODAY, "439").problems == ()


def test_the_window_completes_a_number_without_date() -> None:
    tin = read_tin("1ABC2D3EF", TODAY, "3019")
    assert tin.form is TinForm.THIRTEEN
    assert str(tin) == "DOT 1AB C2D3EF 3019"


@pytest.mark.parametrize(
    "typed",
    [
        "5R5691439T",  # ends in a letter: refused in NHTSA interpretation 11704wkm
        "1ABC2D3EF6018",  # week 60
        "ABC",
        "1ABC2D3EF30191",  # 14 symbols
        "AB*D0821",
        "",
    ],
)
def test_what_can_be_no_number_is_refused(typed: str) -> None:
    with pytest.raises(Impossible):
        read_tin(typed, TODAY)


@pytest.mark.parametrize("letter", "GIOQSZ")
def test_letters_that_the_law_leaves_out_are_questioned(letter: str) -> None:
    # 49 CFR 574.5(f): the symbols used are A-F H J-N P R T-Y and the digits
    tin = read_tin(f"{letter}BCD0821", TODAY)
    assert [(it.field, it.ask) for it in tin.problems] == [("tin", True)]


def test_week_53_of_a_short_year_is_questioned() -> None:
    # 2019 had 52 Sundays: Gregorian calendar
    assert [it.field for it in read_tin("ABCD5319", TODAY).problems] == ["date_code"]
    assert read_tin("ABCD5312", TODAY).problems == ()


LETTERS = "".join(c for c in "ABCDEFGHIJKLMNOPQRSTUVWXYZ" if c not in UNUSED)


@given(
    st.text(LETTERS, min_size=9, max_size=9),
    st.integers(1, 52),
    st.integers(10, 25),
    st.sampled_from(["", " ", "-"]),
)
def test_blanks_and_case_change_nothing(body: str, week: int, year: int, gap: str) -> None:
    typed = f"dot{gap}{body[:3].lower()}{gap}{body[3:]}{gap}{week:02}{year}"
    tin = read_tin(typed, TODAY)
    assert (tin.plant + tin.maker, tin.tail) == (body, f"{week:02}{year}")
    assert read_tin(str(tin), TODAY) == tin


@given(st.integers(1, 52), st.integers(0, 9))
def test_every_decade_of_three_digits_lies_under_the_rule(week: int, year: int) -> None:
    # 36 FR 1196: from 22 May 1971; 64 FR 36807: to 1 July 2000
    code = read_date_code(f"{week:02}{year}", TODAY)
    assert 2 <= len(code.weeks) <= 4
    for it in code.weeks:
        assert it.year % 10 == year
        assert date(1971, 5, 22) <= it.end
        assert it.start <= date(2000, 7, 1)
    assert code.latest == max(code.weeks)


@given(st.text("ABCDEFHJKLMNPRTUVWXY0123456789 -", max_size=16), st.sampled_from(["", "3019", "439"]))
def test_any_number_is_cut_or_refused(typed: str, window: str) -> None:
    try:
        tin = read_tin(typed, TODAY, window)
    except Impossible as impossible:
        assert impossible.accepts
        return
    assert tin.symbols.removesuffix(tin.tail).startswith(tin.plant + tin.maker)
    assert (tin.date is None) == (tin.form is TinForm.PARTIAL)


@given(st.dates(date(2001, 1, 10), date(2026, 6, 13)))
def test_a_tire_made_on_a_day_says_the_week_of_that_day(made: date) -> None:
    week = week_of(made)
    read = read_date_code(f"{week.week:02}{week.year % 100:02}", TODAY)
    assert read.latest.start <= made <= read.latest.end


def test_the_week_explains_itself() -> None:
    figure = made_in(read_date_code("0109", TODAY))
    assert figure.value == (Week(2009, 1),)
    assert any("2009-01-04 to 2009-01-10" in it.says for it in figure.inputs)  # 49 CFR 574.5(b)(3)
    assert "decade" in made_in(read_date_code("439", TODAY)).caution


@pytest.mark.parametrize(
    ("typed", "window", "printed"),
    [
        # printed as on the sidewall: DOT, plant, maker's code, date: 49 CFR 574.5, figure 1
        ("1abc2d3ef3019", "", "DOT 1AB C2D3EF 3019"),
        ("abcd0821", "", "DOT AB CD 0821"),
        ("abcdefh439", "439", "DOT AB CDEFH 439"),
        ("abcdefh", "", "DOT AB CDEFH"),
        ("dot-r abc 3019", "", "DOT ABC 3019"),
    ],
)
def test_a_number_is_printed_in_its_groups(typed: str, window: str, printed: str) -> None:
    assert str(read_tin(typed, TODAY, window)) == printed


def test_a_number_without_a_date_sends_to_the_other_sidewall() -> None:
    # ST tires carry the number on one sidewall only: 49 CFR 574.5(a)(1)
    tin = read_tin("1ABC2D3EF", TODAY)
    assert tin.date is None
    assert "other sidewall" in tin.form
