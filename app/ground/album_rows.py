"""How many photos stand beside each other on paper."""

from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import TypeVar

A_PAGE = 6  # photos, two in a row
Photo = TypeVar("Photo")


def album_rows(photos: Sequence[Photo]) -> list[list[tuple[int, Photo]]]:
    """Photos in rows of two, each with its number from 1; the last rows of three where some are left over.

    Three rows fill a page: one or two photos more would stand on a page by themselves. Of another odd number
    the last three share a row, from five on: three alone are worth more in two rows, where they are larger.
    """
    threes = _threes(len(photos))
    twos = -(-(len(photos) - 3 * threes) // 2)
    numbered = list(enumerate(photos, 1))
    ends = accumulate([2] * twos + [3] * threes, initial=0)
    return [numbered[start:end] for start, end in pairwise(ends)]


def _threes(count: int) -> int:
    full, over = divmod(count, A_PAGE)
    if full and over in (1, 2):
        return over
    return count % 2 if count > 3 else 0
