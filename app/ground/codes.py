"""Square codes on papers: a tablet's camera opens what they name."""

from dataclasses import dataclass
from itertools import groupby
from urllib.parse import quote

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


def square_to(address: str, *steps: object) -> Square | None:
    """The code that opens a page of the shop, by the steps of its path; None where no address is known.

    `address`: where the shop's other devices reach it (`Settings.address`). A code that leads to 127.0.0.1
    would open nothing on a tablet, so none is drawn.
    """
    path = "/".join(quote(str(step), safe="") for step in steps)
    return square(f"{address}/{path}") if address else None


def _dark(row: bytearray) -> list[tuple[int, int]]:
    """Start and length of each run of dark modules."""
    runs = [(bit, [x for x, _ in group]) for bit, group in groupby(enumerate(row), key=lambda it: it[1])]
    return [(places[0], len(places)) for bit, places in runs if bit]
