"""Lengths as people write them into an answer or a list, with their unit behind them or none."""

import re
from decimal import Decimal

from app.trade.canvas.outline import INCH
from app.trade.problems import Impossible
from app.trade.quantity import read_number

_THOUSANDS = re.compile(r",(?=\d{3}(?!\d))")
_LONG = re.compile(r"^(.*?[\d.])\s*(mm|cm|m|in|inches|\"|ft|yd)?$", re.IGNORECASE)
_SEVERAL = re.compile(r"\d[\d,./ ]*\s*(?:mm|cm|m|in|inches|ft|yd)\b", re.IGNORECASE)
_IN_MM = {
    "mm": Decimal(1),
    "cm": Decimal(10),
    "m": Decimal(1000),
    "in": INCH,
    "inches": INCH,
    '"': INCH,
    "ft": 12 * INCH,
    "yd": 36 * INCH,
}


def mm_written(text: str) -> Decimal | None:
    """Millimetres of a length as it was written: `1,820 mm`, `71 5/8 in`, `4.6 yd`; None where it is none.

    Without a unit it is millimetres. Source: 1 in = 25.4 mm, NIST SP 811, B.8.
    """
    found = _LONG.match(text.strip())
    try:
        number = read_number(_THOUSANDS.sub("", found.group(1))) if found else None
    except Impossible:
        return None
    return number * _IN_MM[(found.group(2) or "mm").casefold()] if found and number is not None else None


def lengths_written(text: str) -> tuple[Decimal, ...]:
    """Millimetres of all lengths in an answer: the one that it is, else each that bears a unit.

    `1,425 mm in front, 1,430 mm behind` holds two; `as high as the old one` none.
    """
    if (one := mm_written(text)) is not None:
        return (one,)
    found = (mm_written(each) for each in _SEVERAL.findall(text))
    return tuple(mm for mm in found if mm is not None)
