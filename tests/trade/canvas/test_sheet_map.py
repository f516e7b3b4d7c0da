"""The map of a piece's sheets: every sheet is on it, printed or crossed out, where it is taped."""

import re
from decimal import Decimal
from itertools import pairwise

from app.trade.canvas.outline import outline_of
from app.trade.canvas.sheet_map import sheet_map
from app.trade.canvas.sheets import A4, LETTER, full_size

SQUARE = outline_of([0, 1000, 1000 + 1000j, 1000j])


def test_printed_sheets_are_framed_and_the_others_crossed_out() -> None:
    found = full_size(SQUARE, None, A4)
    drawn = sheet_map(found, SQUARE, None, A4)
    assert drawn.printed.count("M") == 16  # round the rim of 6 by 4, see test_sheets
    assert drawn.left_out.count("M") == 2 * 8
    assert [it.says for it in drawn.heads] == ["1", "2", "3", "4", "5", "6", "A", "B", "C", "D"]
    assert [it.name for it in drawn.letters] == ["A", "B", "C", "D"]


def test_the_map_leaves_room_for_its_words_and_keeps_its_shape() -> None:
    found = full_size(SQUARE, None, A4)
    drawn = sheet_map(found, SQUARE, None, A4)
    assert drawn.width <= A4.inner[0] + 1
    assert drawn.height <= A4.inner[1] - 69
    across, down = (
        max(numbers) - min(numbers)
        for numbers in zip(
            *((float(x), float(y)) for x, y in re.findall(r"(-?[\d.]+) (-?[\d.]+)", drawn.outline)),
            strict=True,
        )
    )
    assert abs(across - down) < 0.02  # a square stays one
    # A4: the sheets reach 6 x 180 mm, drawn over 183 mm: 1,000 mm are 169.4
    assert abs(across - 1000 * 183 / 1080) < 0.02


def test_heads_of_many_narrow_columns_do_not_run_into_each_other() -> None:
    awning = outline_of([0, 20000, 20000 + 900j, 900j])
    drawn = sheet_map(full_size(awning, None, LETTER), awning, None, LETTER)
    places = [it.place.x for it in drawn.heads if it.says.isdecimal()]
    assert min(b - a for a, b in pairwise(places)) > Decimal("5.5")
