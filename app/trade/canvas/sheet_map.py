"""How the sheets of a large piece lie when they are taped to a frame: a map of them, to no round scale."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from decimal import Decimal

from app.trade.canvas.drawn import Frame, closed, kept, lines
from app.trade.canvas.outline import Outline
from app.trade.canvas.sheets import FullSize, Paperstock, Tile, frame_of, row_letters
from app.trade.canvas.sketch import Letter, letter_of
from app.trade.drawings import Point

HEADS = 7.0  # mm of paper left of the map and above it, for the letters of rows and numbers of columns
WORDS = 70.0  # mm of paper under the map, for what is to be done
HEAD_EVERY = 5.5  # mm of paper at least between two such heads
LETTER_IN = 4.0  # mm of paper of a corner's letter inside its corner


@dataclass(frozen=True)
class Head:
    """The letter of a row or the number of a column, and where it stands."""

    says: str
    place: Point


@dataclass(frozen=True)
class SheetMap:
    """The map in millimetres of paper: printed sheets framed, those left out crossed, the piece's line."""

    width: Decimal
    height: Decimal
    printed: str
    left_out: str
    outline: str
    heads: tuple[Head, ...]
    letters: tuple[Letter, ...]


def sheet_map(found: FullSize, cut: Outline, finished: Outline | None, paper: Paperstock) -> SheetMap:
    """The map of a piece's sheets, as large as a sheet of that paper holds beside its words.

    `found`: the sheets of `cut`, made with the same `finished` and `paper`. The finished line is drawn, or
    the cut line where there is none.
    """
    sewn = finished or cut
    room = (float(paper.inner[0]) - HEADS, float(paper.inner[1]) - HEADS - WORDS)
    reach = _reach(found, paper)
    scale = min(have / need for have, need in zip(room, reach, strict=True))
    sheets = Frame(scale, complex(HEADS, HEADS))
    piece = Frame(scale, sheets.origin + frame_of(cut).origin * scale)
    return SheetMap(
        width=kept(HEADS + reach[0] * scale + 1),
        height=kept(HEADS + reach[1] * scale + 1),
        printed="".join(closed(_corners(it, sheets, paper)) for it in found.tiles),
        left_out=lines(stroke for it in found.left_out for stroke in _cross(_corners(it, sheets, paper))),
        outline=piece.outline(sewn),
        heads=(*_columns(found, scale, paper), *_rows(found, scale, paper)),
        letters=tuple(letter_of(bend, piece, (), LETTER_IN) for bend in sewn.bends()),
    )


def _reach(found: FullSize, paper: Paperstock) -> tuple[float, float]:
    across, down = (float(it) for it in paper.step)
    return found.columns * across, found.rows * down


def _corners(tile: Tile, frame: Frame, paper: Paperstock) -> list[complex]:
    """The sheet's place without its overlap to the right and below."""
    x, y, across, down = (float(it) for it in (tile.x, tile.y, *paper.step))
    places = (complex(x, -y), complex(x + across, -y), complex(x + across, -y - down), complex(x, -y - down))
    return [frame.at(it) for it in places]


def _cross(corners: list[complex]) -> Iterator[tuple[complex, complex]]:
    return iter(((corners[0], corners[2]), (corners[1], corners[3])))


def _columns(found: FullSize, scale: float, paper: Paperstock) -> Iterable[Head]:
    wide = float(paper.step[0]) * scale
    for at in _some(found.columns, wide):
        yield Head(f"{at + 1}", Point(kept(HEADS + (at + 0.5) * wide), kept(HEADS - 2)))


def _rows(found: FullSize, scale: float, paper: Paperstock) -> Iterable[Head]:
    high = float(paper.step[1]) * scale
    for at in _some(found.rows, high):
        yield Head(row_letters(at), Point(kept(HEADS / 2), kept(HEADS + (at + 0.5) * high + 1.1)))


def _some(count: int, apart: float) -> range:
    """Every row or column, or every second, third and so on where they lie closer than a head is high."""
    return range(0, count, 1 + int(HEAD_EVERY / apart))
