"""Square codes: their shape is set by ISO/IEC 18004."""

import re

import pytest

from app.ground.codes import BORDER, Square, square, square_to

FINDER = ["#######", "#.....#", "#.###.#", "#.###.#", "#.###.#", "#.....#", "#######"]  # ISO/IEC 18004, 6.3.3


def drawn(code: Square) -> list[str]:
    """The code as rows of dark (#) and light (.) modules, read back from its path."""
    rows = [["."] * code.size for _ in range(code.size)]
    for x, y, length in re.findall(r"M(\d+) (\d+)\.5h(\d+)", code.path):
        rows[int(y)][int(x) : int(x) + int(length)] = "#" * int(length)
    return ["".join(row) for row in rows]


def corner(rows: list[str], x: int, y: int) -> list[str]:
    return [row[x : x + 7] for row in rows[y : y + 7]]


@pytest.mark.parametrize("text", ["x", "http://192.168.1.20:8377/orders/417", "a" * 300])
def test_a_code_has_its_three_finders_and_a_white_border(text: str) -> None:
    code = square(text)
    rows, far = drawn(code), code.size - BORDER - 7
    assert (code.size - 2 * BORDER - 17) % 4 == 0  # ISO/IEC 18004: 17 + 4 a version, modules wide
    for x, y in ((BORDER, BORDER), (far, BORDER), (BORDER, far)):
        assert corner(rows, x, y) == FINDER
    assert corner(rows, far, far) != FINDER
    for edge in (rows[0], rows[-1], [row[0] for row in rows], [row[-1] for row in rows]):
        assert set(edge) == {"."}


def test_other_texts_make_other_codes_and_longer_ones_larger() -> None:
    assert square("orders/1") != square("orders/2")
    assert square("a" * 300).size > square("a").size


def test_a_text_beyond_a_code_is_refused() -> None:
    with pytest.raises(ValueError, match="too large"):
        square("a" * 3000)


def test_a_code_leads_to_a_page_whatever_signs_its_path_has() -> None:
    address = "http://shop.example:8377"
    made = square_to(address, "papers", "job sheet", "WO-000001, job 2/3", 4)
    # RFC 3986, 2.1 and 3.3: what a segment may not hold is written as % and its octets.
    assert made == square(f"{address}/papers/job%20sheet/WO-000001%2C%20job%202%2F3/4")


def test_without_an_address_of_the_shop_there_is_no_code() -> None:
    assert square_to("", "papers", "estimate", "E-1", 1) is None
