"""Square codes on papers: a tablet's camera opens what they name."""

from dataclasses import dataclass
from itertools import groupby

import segno

BORDER = 2  # modules; papers stand on white, so two are read


@dataclass(frozen=True)
class Square:
    """A square code as one path of an SVG, `size` modules wide with its border."""

    size: int
    path: str


def square(text: str) -> Square:
    """The code of a text, error correction M, drawn as strokes one module high.

    `text`: up to about 2,000 characters; ValueError beyond what a code can hold.
    """
    rows = list(segno.make(text, error="m", micro=False).matrix)
    strokes = "".join(
        f"M{start + BORDER} {y + BORDER}.5h{length}"
        for y, row in enumerate(rows)
        for start, length in _dark(row)
    )
    return Square(len(rows) + 2 * BORDER, strokes)


def _dark(row: bytearray) -> list[tuple[int, int]]:
    """Start and length of each run of dark modules."""
    runs = [(bit, [x for x, _ in group]) for bit, group in groupby(enumerate(row), key=lambda it: it[1])]
    return [(places[0], len(places)) for bit, places in runs if bit]
