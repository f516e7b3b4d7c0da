"""Photos in rows on paper: every one once, in its order, an odd one beside others."""

import pytest

from app.ground.album_rows import album_rows


@pytest.mark.parametrize("count", range(31))
def test_every_photo_stands_once_with_its_number(count: int) -> None:
    told = [pair for row in album_rows("abcdefghijklmnopqrstuvwxyzABCDE"[:count]) for pair in row]
    assert [nth for nth, _ in told] == list(range(1, count + 1))
    assert "".join(photo for _, photo in told) == "abcdefghijklmnopqrstuvwxyzABCDE"[:count]


def test_the_rows_counted_out() -> None:
    counts = (0, 1, 2, 3, 4, 5, 6, 7, 8, 9, 13, 14)
    rows = {count: [len(row) for row in album_rows(range(count))] for count in counts}
    assert rows == {
        0: [],
        1: [1],
        2: [2],
        3: [2, 1],  # larger than three beside each other
        4: [2, 2],
        5: [2, 3],
        6: [2, 2, 2],
        7: [2, 2, 3],
        8: [2, 3, 3],  # three rows fill a page
        9: [2, 2, 2, 3],
        13: [2, 2, 2, 2, 2, 3],
        14: [2, 2, 2, 2, 3, 3],
    }
