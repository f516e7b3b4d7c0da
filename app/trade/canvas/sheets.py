"""Full size on paper: tiles of a sheet printer to be taped together, or one long page of a plotter.

Of a large piece only the sheets that a line runs over are printed: taped, they make a frame. Every sheet
carries a ruler of 100 mm and 4 in: cloth is cut only where both measure so after printing.
Heading and ruler stand in strips outside the drawing: taped, a sheet covers the heading of the one below it.
"""

import cmath
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from decimal import ROUND_CEILING, Decimal
from itertools import combinations, compress
from string import ascii_uppercase

import shapely

from app.trade.canvas.drawn import Frame, arrow, kept, widest_of
from app.trade.canvas.drawn import lines as lines_of
from app.trade.canvas.outline import INCH, Edge, Outline
from app.trade.canvas.sketch import Letter, letter_of
from app.trade.problems import Impossible

RULER, INCHES = 100, 4  # mm, in
MOST_TILES = 400  # that are printed
MOST_LOOKED_AT = 20_000
FEWEST_LEFT_OUT = 4  # fewer inner sheets are printed: they cost little and stiffen the pattern
RULER_IN, RULER_DOWN = (
    Decimal(4),
    Decimal("4.5"),
)  # mm from the left and upper edge of its strip
WORDS_ON = Decimal(4)  # mm from the end of the ruler to its words
CLEAR = 10  # mm between a square code and the edge of its sheet's drawing, for the overlap and its crosses
CODE = 20  # mm of a square code with the white round it
ARROW, HEAD, LETTER_IN = 200.0, 12.0, 14.0  # mm of the warp arrow and its head; letter inside its corner
LETTER_ROOM = 6.0  # mm from the middle of a letter to its outer end


def ruler(left: Decimal, at: Decimal) -> str:
    """Path of a ruler from a place on: centimetres above its line to 100 mm, inches below it to 4 in."""
    above = "".join(f"M{left + 10 * count} {at}v-3" for count in range(RULER // 10 + 1))
    below = "".join(f"M{left + INCH * count} {at}v3" for count in range(INCHES + 1))
    return f"M{left} {at}h{INCH * INCHES}{above}{below}"


def words_beside(left: Decimal, at: Decimal) -> tuple[Decimal, Decimal]:
    """Where the words beside such a ruler begin."""
    return left + INCH * INCHES + WORDS_ON, at


@dataclass(frozen=True)
class Paperstock:
    """A sheet of paper in millimetres, the margin that its printer leaves, and the overlap for taping.

    `head` and `foot`: strips above and below the drawing for the heading and the ruler, so that no line of
    the piece runs through them.
    """

    name: str
    width: Decimal
    height: Decimal
    margin: Decimal = Decimal(10)
    overlap: Decimal = Decimal(10)
    head: Decimal = Decimal(10)
    foot: Decimal = Decimal(9)

    @property
    def inner(self) -> tuple[Decimal, Decimal]:
        """What of the piece a sheet shows, in millimetres: all that can be printed on, less both strips."""
        height = self.height - 2 * self.margin - self.head - self.foot
        return self.width - 2 * self.margin, height

    @property
    def ruler(self) -> str:
        """Path of the ruler in the strip at the foot, from that strip's left upper corner."""
        return ruler(RULER_IN, RULER_DOWN)

    @property
    def says_at(self) -> tuple[Decimal, Decimal]:
        """Where in that strip the words beside the ruler begin."""
        return words_beside(RULER_IN, RULER_DOWN)

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
    `free`: where on the sheet a square code lies on no line, from its left upper corner; or None.
    """

    mark: str
    x: Decimal
    y: Decimal
    width: Decimal
    height: Decimal
    free: tuple[int, int] | None = None

    @property
    def view_box(self) -> str:
        """The `viewBox` text of the sheet."""
        return f"{self.x} {self.y} {self.width} {self.height}"

    def marks(self, paper: Paperstock) -> str:
        """Path of its register crosses, which lie on those of its neighbours when they are taped right."""
        half = paper.overlap / 2
        places = [
            (self.x + right, self.y + down)
            for right in (half, half + paper.step[0])
            for down in (half, half + paper.step[1])
        ]
        return "".join(f"M{x - 3} {y}h6M{x} {y - 3}v6" for x, y in places)


@dataclass(frozen=True)
class FullSize:
    """A piece at full size: its paths in millimetres, y downwards, and the sheets that are printed.

    `left_out`: inner sheets that lie wholly on the piece and show no line. `across`: the two longest ways
    between its corners, by which the taped frame is checked.
    """

    width: Decimal
    height: Decimal
    cut: str
    stitch: str
    notches: str
    warp: str
    letters: tuple[Letter, ...]
    rows: int
    columns: int
    tiles: tuple[Tile, ...]
    left_out: tuple[Tile, ...]
    across: tuple[Edge, ...]

    @property
    def last(self) -> str:
        """The mark of the sheet in the last row and column."""
        return _mark(self.rows - 1, self.columns - 1)


def full_size(
    cut: Outline,
    finished: Outline | None,
    paper: Paperstock = LETTER,
    warp_angle: Decimal = Decimal(0),
    notches: Sequence[Edge] = (),
) -> FullSize:
    """A piece's lines and notches at full size over as many sheets as it needs; empty sheets are left out.

    Outlines and notches in the same coordinates; `warp_angle`: degrees against the clock from their x.
    Impossible over 400 sheets: then a plotter is the way.
    """
    columns, rows = (_count(side, at, paper) for at, side in enumerate((cut.width, cut.height)))
    _refuse_many(rows * columns, MOST_LOOKED_AT)
    frame, sewn = frame_of(cut), finished or cut
    letters = tuple(letter_of(bend, frame, (), LETTER_IN) for bend in sewn.bends())
    shape = _polygon(cut, frame)
    lines = shape.boundary.union(_polygon(sewn, frame).boundary)
    marked = lines.union(shapely.MultiPoint([(it.place.x, it.place.y) for it in letters]).buffer(LETTER_ROOM))
    printed, left_out = _sorted_out(tuple(_tiles(rows, columns, paper)), shape, marked)
    _refuse_many(len(printed), MOST_TILES)
    middle, long = _room_for_warp(_polygon(sewn, frame), printed, left_out)
    way = long * cmath.rect(1, math.radians(-float(warp_angle)))
    taken = marked.union(_stroke(middle, way))
    return FullSize(
        width=kept(float(cut.width)),
        height=kept(float(cut.height)),
        cut=frame.outline(cut),
        stitch=frame.outline(finished) if finished else "",
        notches=lines_of((frame.at(it.start.number), frame.at(it.end.number)) for it in notches),
        warp=arrow(middle, way, long, HEAD),
        letters=letters,
        rows=rows,
        columns=columns,
        tiles=tuple(replace(it, free=_free(it, taken)) for it in printed),
        left_out=left_out,
        across=_across(sewn),
    )


def _refuse_many(count: int, most: int) -> None:
    if count > most:
        raise Impossible(f"This takes {count} sheets", f"up to {MOST_TILES} sheets, or a plotter")


def _sorted_out(
    tiles: tuple[Tile, ...], shape: shapely.Polygon, marked: shapely.Geometry
) -> tuple[tuple[Tile, ...], tuple[Tile, ...]]:
    """The sheets that are printed, and those on the piece without a line or letter that are left out."""
    shapely.prepare((shape, marked))
    boxes = [_box(it) for it in tiles]
    shown, on_it = shapely.intersects(marked, boxes), shapely.intersects(shape, boxes)
    inner = tuple(compress(tiles, on_it & ~shown))
    if len(inner) < FEWEST_LEFT_OUT:
        return tuple(compress(tiles, on_it | shown)), ()
    return tuple(compress(tiles, shown)), inner


def _box(tile: Tile) -> shapely.Polygon:
    x, y, width, height = (float(it) for it in (tile.x, tile.y, tile.width, tile.height))
    return shapely.box(x, y, x + width, y + height)


def _stroke(middle: complex, way: complex) -> shapely.Geometry:
    """The place that the warp arrow takes, its head included."""
    ends = (middle - way / 2, middle + way / 2)
    return shapely.LineString([(it.real, it.imag) for it in ends]).buffer(HEAD / 2)


def _across(outline: Outline) -> tuple[Edge, ...]:
    """The two longest ways between its corners: diagonals, but of a triangle two sides."""
    ways = [Edge(one, other) for one, other in combinations(outline.corners, 2)]
    return tuple(sorted(ways, key=lambda way: way.length, reverse=True)[:2])


def plotter_page(width: Decimal, length: Decimal, margin: Decimal = Decimal(20)) -> Tile:
    """One page for a whole plan or piece, with a margin for the ruler, all in millimetres."""
    return Tile("A1", -margin, -margin, length + 2 * margin, width + 2 * margin)


def frame_of(cut: Outline) -> Frame:
    """How a piece comes onto its sheets: its leftmost and its highest corner at 0, y downwards."""
    left, top = min(it.x for it in cut.corners), max(it.y for it in cut.corners)
    return Frame(1, complex(-float(left), float(top)))


def _room_for_warp(
    shape: shapely.Polygon, printed: Sequence[Tile], left_out: Sequence[Tile]
) -> tuple[complex, float]:
    """Where the warp arrow has its middle, and how long it is; of a frame on the sheet with the most room."""
    middle, room = _roomiest(shape, printed) if left_out else widest_of(shape)
    return middle, min(ARROW, room)


def _roomiest(shape: shapely.Polygon, tiles: Sequence[Tile]) -> tuple[complex, float]:
    shown = (shapely.get_parts(shape.intersection(_box(tile))) for tile in tiles)
    pieces = [it for parts in shown for it in parts if it.geom_type == "Polygon"]
    return max(map(widest_of, pieces), key=lambda found: found[1])


def _count(side: Decimal, at: int, paper: Paperstock) -> int:
    """Sheets along one side: the first shows its whole inner size, each further one a step more."""
    more = (side - paper.inner[at]) / paper.step[at]
    return 1 + max(0, int(more.to_integral_value(ROUND_CEILING)))


def _tiles(rows: int, columns: int, paper: Paperstock) -> Iterator[Tile]:
    across, down = paper.step
    for row in range(rows):
        for column in range(columns):
            yield Tile(_mark(row, column), across * column, down * row, *paper.inner)


def _polygon(outline: Outline, frame: Frame) -> shapely.Polygon:
    places = (frame.at(it.number) for it in outline.corners)
    return shapely.Polygon([(place.real, place.imag) for place in places])


def _free(tile: Tile, lines: shapely.Geometry) -> tuple[int, int] | None:
    """The first place clear of the sheet's edges that no line to cut or sew by crosses."""
    right, down = int(tile.width) - CODE - CLEAR, int(tile.height) - CODE - CLEAR
    places = ((x, y) for y in range(CLEAR, down, CODE) for x in range(right, CLEAR, -CODE))
    return next((it for it in places if not lines.intersects(_code_at(tile, *it))), None)


def _code_at(tile: Tile, x: int, y: int) -> shapely.Polygon:
    left, top = float(tile.x) + x, float(tile.y) + y
    return shapely.box(left, top, left + CODE, top + CODE)


def row_letters(row: int) -> str:
    """The letters of a row of sheets, from 0: A to Z, then AA."""
    ahead, letter = divmod(row, len(ascii_uppercase))
    return f"{ascii_uppercase[ahead - 1] if ahead else ''}{ascii_uppercase[letter]}"


def _mark(row: int, column: int) -> str:
    return f"{row_letters(row)}{column + 1}"
