"""What a row of everything looked at says: whole sentences, each ended once."""

import re
from datetime import date
from types import SimpleNamespace

import pytest

from app.ground.pages import templates
from app.trade.figure import By, Grade


@pytest.mark.parametrize(
    ("said", "reads"),
    [
        ({"note": "No sticker, no book."}, "Not known. To be put right soon. Note: No sticker, no book."),
        ({"note": "rubs", "by": None}, "Not known. Note: rubs."),
        ({"dissent": "seen by the lead"}, "Not known. To be put right soon. Graded otherwise"),
        ({"got": "left as it is.", "by": None, "note": "x"}, "Left as it is. Note: x."),
        ({"got": "", "by": None, "note": "x"}, "Note: x."),
        ({}, "Not known. To be put right soon"),
    ],
)
def test_a_row_ends_each_sentence_once(said: dict[str, object], reads: str) -> None:
    usual = {"got": "not known", "by": By.SOON, "until": None, "until_miles": None, "was": "", "dissent": ""}
    line = SimpleNamespace(
        **{**usual, "state": Grade.NEEDS, "name": "VIN", "fitted": True, "note": "", "on": date.min, **said}
    )
    rows = templates().get_template("paper/_items.html").module.rows([line])  # type: ignore[attr-defined]
    cell = re.search(r'<td class="got">(.*)</td>', str(rows))
    assert cell is not None
    text = cell[1].strip()
    assert text.startswith(reads)
    assert ".." not in text
