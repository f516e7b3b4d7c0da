"""Full size on paper: tiles of a sheet printer to be taped together, or one long page of a plotter.

Every sheet carries a ruler of 100 mm: cloth is cut only where it measures 100 mm after printing.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from decimal import ROUND_CEILING, Decimal
from string import ascii_uppercase

import shapely

from app.trade.canvas.drawn import Frame, kept
from app.trade.canvas.outline import Outline
from app.trade.problems import Impossible

RULER = 100  # mm
MOST_TILES = 400


@dataclass(frozen=True)
class Paperstock:
    """A sheet of paper in millimetres, the margin that its printer leaves, and the overlap for taping."""

    name: str
    width: Decimal
    height: Decimal
    margin: Decimal = Decimal(10)
    overlap: Decimal = Decimal(10)

    @property
    def inner(self) -> tuple[Decimal, Decimal]:
        """What can be printed on, in millimetres."""
        return self.width - 2 * self.margin, self.height - 2 * self.margin

    @property
    def step(self) -> tuple[Decimal, Decimal]:
        """How far the next tile starts, in millimetres."""
        return self.inner[0] - self.overlap, self.inner[1] - self.overlap


LETTER = Paperstock("letter", Decimal("215.9"), Decimal("279.4"))  # 8 1/2 by 11 in, ASME Y14.1
TABLOID = Paperstock("tabloid", Decimal("279.4"), Decimal("431.8"))  # 11 by 17 in
A4 = Paperstock("A4", Decimal(210), Decimal(297))  # ISO 216


@dataclass(frozen=True)
class Tile:
    """One sheet: its mark (`B3`: row B, third from the left) and the window of the drawing that it shows.

    x, y, width and height in millimetres of full size, y downwards: the viewBox of the sheet.
    """

    mark: str
    x: Decimal
    y: Decimal
    width: Decimal
    height: Decimal

    @property
    def view_box(self) -> str:
        """The `viewBox` text of the sheet."""
        return f"{self.x} {self.y} {self.width} {self.height}"


@dataclass(frozen=True)
class FullSize:
    """A piece at full size: its paths in millimetres, y downwards, and the sheets that show any of it."""

    width: Decimal
    height: Decimal
    cut: str
    stitch: str
    rows: int
    columns: int
    tiles: tuple[Tile, ...]


def full_size(cut: Outline, finished: Outline | None, paper: Paperstock = LETTER) -> FullSize:
    """A piece's cut and stitch line at full size over as many sheets as it needs; empty sheets are left out.

    Both outlines in the same coordinates. Impossible over 400 sheets: then a plotter is the way.
    """
    columns, rows = (_count(side, at, paper) for at, side in enumerate((cut.width, cut.height)))
    if rows * columns > MOST_TILES:
        raise Impossible(f"This takes {rows * columns} sheets", f"up to {MOST_TILES} sheets, or a plotter")
    frame = _frame(cut)
    shape = shapely.Polygon(
        [(place.real, place.imag) for place in (frame.at(it.number) for it in cut.corners)]
    )
    return FullSize(
        width=kept(float(cut.width)),
        height=kept(float(cut.height)),
        cut=frame.outline(cut),
        stitch=frame.outline(finished) if finished else "",
        rows=rows,
        columns=columns,
        tiles=tuple(tile for tile in _tiles(rows, columns, paper) if _shows(tile, shape)),
    )


def plotter_page(width: Decimal, length: Decimal, margin: Decimal = Decimal(20)) -> Tile:
    """One page for a whole plan or piece, with a margin for the ruler, all in millimetres."""
    return Tile("A1", -margin, -margin, length + 2 * margin, width + 2 * margin)


def _frame(cut: Outline) -> Frame:
    left, top = min(it.x for it in cut.corners), max(it.y for it in cut.corners)
    return Frame(1, complex(-float(left), float(top)))


def _count(side: Decimal, at: int, paper: Paperstock) -> int:
    """Sheets along one side: the first shows its whole inner size, each further one a step more."""
    more = (side - paper.inner[at]) / paper.step[at]
    return 1 + max(0, int(more.to_integral_value(ROUND_CEILING)))


def _tiles(rows: int, columns: int, paper: Paperstock) -> Iterator[Tile]:
    across, down = paper.step
    for row in range(rows):
        for column in range(columns):
            yield Tile(_mark(row, column), across * column, down * row, *paper.inner)


def _mark(row: int, column: int) -> str:
    ahead, letter = divmod(row, len(ascii_uppercase))
    return f"{ascii_uppercase[ahead - 1] if ahead else ''}{ascii_uppercase[letter]}{column + 1}"


def _shows(tile: Tile, shape: shapely.Polygon) -> bool:
    x, y, width, height = (float(it) for it in (tile.x, tile.y, tile.width, tile.height))
    return bool(shape.intersects(shapely.box(x, y, x + width, y + height)))
