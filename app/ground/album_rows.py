"""How many photos stand beside each other on paper."""

from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import TypeVar

A_PAGE = 6  # photos, two in a row
Photo = TypeVar("Photo")


def album_rows(photos: Sequence[Photo]) -> list[list[tuple[int, Photo]]]:
    """Photos in rows of two, each with its number from 1; the last rows of three if one or two are left over.

    Three rows fill a page, so one photo more would stand on a page by itself.
    """
    full, over = divmod(len(photos), A_PAGE)
    threes = over if full and over in (1, 2) else 0
    twos = [2] * (-(-(len(photos) - 3 * threes) // 2))
    numbered = list(enumerate(photos, 1))
    ends = accumulate([*twos, *[3] * threes], initial=0)
    return [numbered[start:end] for start, end in pairwise(ends)]
