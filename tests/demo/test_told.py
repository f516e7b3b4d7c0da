"""What the scenario tells of numbers and telephones, against the rules for such numbers."""

import re
import tomllib
from datetime import date
from typing import Any

import pytest

from app.ground.settings import folder
from app.trade.vin import VinKind, check_digit, read_vin

STAYS: list[dict[str, Any]] = tomllib.loads((folder("seed_data") / "demo.toml").read_text())["stay"]
UNITS = [stay["unit"] for stay in STAYS]
STANDARD = [unit for unit in UNITS if unit["vin_kind"] == "standard"]
ON = date(2026, 11, 26)
TEXTS = [(folder("seed_data") / name).read_text() for name in ("demo.toml", "demo_parts.toml")]


@pytest.mark.parametrize("unit", STANDARD, ids=lambda unit: unit["maker"])
def test_a_vin_agrees_with_its_check_digit_and_its_year(unit: dict[str, Any]) -> None:
    # 49 CFR 565.15(c): the check digit is the weighted sum modulo 11; (d): position 10 is the model year
    vin = read_vin(unit["vin"], ON, made=unit["year"])
    assert vin.kind is VinKind.STANDARD
    assert unit["year"] in vin.years
    assert unit["vin"][8] == check_digit(unit["vin"]).value
    assert [problem.why for problem in vin.problems] == []


# 49 CFR 565.15(d), table of years: 2006 is 6, 2011 B, 2014 E, 2015 F, 2022 N
@pytest.mark.parametrize(("year", "code"), [(2006, "6"), (2011, "B"), (2014, "E"), (2015, "F"), (2022, "N")])
def test_the_year_stands_at_its_own_position(year: int, code: str) -> None:
    assert {unit["vin"][9] for unit in STANDARD if unit["year"] == year} == {code}


def test_no_two_units_share_a_number() -> None:
    for key in ("vin", "plate"):
        numbers = [unit[key] for unit in UNITS if key in unit]
        assert len(set(numbers)) == len(numbers)


def test_each_telephone_rings_at_one_place_and_at_none_that_is_real() -> None:
    phones = [phone for text in TEXTS for phone in re.findall(r'phone = "([^"]+)"', text)]
    assert len(phones) >= 12
    assert len(set(phones)) == len(phones)
    # 555-0100 to 555-0199 are kept for made-up use: North American Numbering Plan
    assert all(re.fullmatch(r"555 555 01\d\d", phone) for phone in phones)


def test_no_letter_reaches_anyone() -> None:
    addresses = [address for text in TEXTS for address in re.findall(r'email = "([^"]+)"', text)]
    assert addresses
    assert all(address.endswith(".example") for address in addresses)  # a reserved name: RFC 2606
