"""Lengths as they are written by hand, in millimetres: 1 in is 25.4 mm, 1 yd is 36 in (NIST SP 811, B.8)."""

from decimal import Decimal

import pytest

from app.trade.canvas.written import lengths_written, mm_written


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("4200", "4200"),
        ("4,200", "4200"),
        (" 1,820 mm ", "1820"),
        ("182 cm", "1820"),
        ("1.82 m", "1820"),
        ("72 in", "1828.8"),
        ('72"', "1828.8"),
        ("71 5/8 in", "1819.275"),
        ("6 FT", "1828.8"),
        ("4.6 yd", "4206.24"),
    ],
)
def test_a_length_is_read_with_its_unit(text: str, mm: str) -> None:
    assert mm_written(text) == Decimal(mm)


@pytest.mark.parametrize("text", ["", "mm", "long", "to the floor", "5 miles", "3 ft 4"])
def test_what_is_no_length_is_none(text: str) -> None:
    assert mm_written(text) is None


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("1,425", ["1425"]),
        ("1,425 mm at all four", ["1425"]),
        ("1,425 mm in front, 1,430 mm behind", ["1425", "1430"]),
        ("4 corners, 56 1/8 in each", ["1425.575"]),
        ("as high as the old one", []),
        ("", []),
    ],
)
def test_all_lengths_of_an_answer_are_found(text: str, mm: list[str]) -> None:
    assert lengths_written(text) == tuple(map(Decimal, mm))
