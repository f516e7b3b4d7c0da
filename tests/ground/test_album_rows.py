"""Photos in rows on paper: every one once, in its order, and none left alone on a page of its own."""

import pytest

from app.ground.album_rows import album_rows


def pages(count: int) -> list[list[int]]:
    """How many photos each page has, row by row: a page holds three rows of a print's usual 3 by 2."""
    rows = [len(row) for row in album_rows(range(count))]
    return [rows[start : start + 3] for start in range(0, len(rows), 3)]


@pytest.mark.parametrize("count", range(31))
def test_every_photo_stands_once_with_its_number(count: int) -> None:
    told = [pair for row in album_rows("abcdefghijklmnopqrstuvwxyzABCDE"[:count]) for pair in row]
    assert [nth for nth, _ in told] == list(range(1, count + 1))
    assert "".join(photo for _, photo in told) == "abcdefghijklmnopqrstuvwxyzABCDE"[:count]


@pytest.mark.parametrize("count", range(7, 31))
def test_no_page_but_the_first_has_one_photo_or_two_alone(count: int) -> None:
    assert all(sum(rows) > 2 for rows in pages(count))


def test_the_rows_counted_out() -> None:
    assert [pages(count) for count in (0, 1, 6, 7, 8, 9, 13)] == [
        [],
        [[1]],
        [[2, 2, 2]],
        [[2, 2, 3]],
        [[2, 3, 3]],
        [[2, 2, 2], [2, 1]],
        [[2, 2, 2], [2, 2, 3]],
    ]
