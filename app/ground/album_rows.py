"""How many photos stand beside each other on paper."""

from collections.abc import Sequence
from itertools import accumulate, pairwise
from typing import TypeVar

Photo = TypeVar("Photo")


def album_rows(photos: Sequence[Photo]) -> list[list[tuple[int, Photo]]]:
    """Photos in rows of two, each with its number from 1; of an odd number the last three in one row.

    From five on, that is: three alone are worth more in two rows, where they are larger.
    """
    numbered = list(enumerate(photos, 1))
    three = len(photos) > 3 and len(photos) % 2 == 1
    rows = [2] * (len(photos) // 2 - 1) + [3] if three else [2] * -(-len(photos) // 2)
    return [numbered[start:end] for start, end in pairwise(accumulate(rows, initial=0))]
