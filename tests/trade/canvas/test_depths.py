"""Depths on a grid: by hand for squares, and never told where shapely finds no overlap."""

from decimal import Decimal

import numpy as np
import pytest
import shapely

from app.trade.canvas.depths import FINE, LET, Depths, stacked
from app.trade.canvas.edges import Edges
from app.trade.canvas.laying import ONE_WAY, QUARTERS, Strip, ToCut
from app.trade.canvas.outline import outline_of
from app.trade.canvas.ways import Kit

SQUARE = ToCut("S", outline_of([0, 10, 10 + 10j, 10j]), turns=ONE_WAY)
HOOK = ToCut("H", outline_of([0, 30, 30 + 20j, 20 + 20j, 20 + 8j, 8j]), turns=QUARTERS)


def depths_of(step: float, *pieces: ToCut, gap: int = 0) -> tuple[Kit, Depths]:
    kit = Kit(Strip(Decimal(100), Decimal(gap)), pieces)
    return kit, Depths(kit, Edges(kit), step)


def test_squares_by_hand() -> None:
    table = depths_of(1, SQUARE)[1].tables[0][0]
    assert (table.right, table.up) == (-10, -10)
    assert table.depth.shape == (21, 21)
    assert table.depth[10, 10] == pytest.approx((10 - LET) * FINE, abs=1)  # one on the other: 10 deep
    assert table.depth[9, 13] == pytest.approx((7 - LET) * FINE, abs=1)  # 3 to the right
    assert not table.depth[:, 0].any()  # beside each other


def test_the_gap_counts() -> None:
    table = depths_of(1, SQUARE, gap=2)[1].tables[0][0]
    assert table.depth.shape == (25, 25)
    assert table.depth[12, 12 + 10] == pytest.approx(
        (2 - LET) * FINE, abs=1
    )  # they touch: 2 apart are wanted


def test_a_slight_overlap_is_let() -> None:
    """Squares of 10 on a grid of 3: 9 apart they overlap by 1, a third of a step."""
    table = depths_of(3, SQUARE)[1].tables[0][0]
    assert table.depth[3 + 3, 3] == 0
    assert table.depth[3 + 2, 3] > 0


def test_depths_are_whole_numbers() -> None:
    """So that maps to which they are added and from which they are taken come out at 0 again."""
    for row in depths_of(1.3, SQUARE, HOOK)[1].tables:
        assert all(np.issubdtype(table.depth.dtype, np.integer) for table in row)


def test_a_stack_holds_each_table_at_its_place() -> None:
    tables = depths_of(1.3, SQUARE, HOOK)[1].tables[0]
    stack = stacked(tables)
    for layer, table in zip(stack.depth, tables, strict=True):
        at = np.argwhere(table.depth) + np.array([table.up, table.right])
        assert np.array_equal(np.argwhere(layer) + np.array([stack.up, stack.right]), at)
        assert layer.sum() == table.depth.sum()


def test_the_other_piece_moving_it_is_as_deep() -> None:
    tables = depths_of(1.3, SQUARE, HOOK)[1].tables
    for one in range(len(tables)):
        for two in range(len(tables)):
            turned = tables[two][one].depth[::-1, ::-1]
            assert np.array_equal(tables[one][two].depth, turned)


def test_many_are_asked_at_once() -> None:
    _, depths = depths_of(1.3, SQUARE, HOOK)
    lying, right, up = (
        np.array([0, 1, 2, 3, 4, 0]),
        np.array([0, 3, -5, 90, 7, 1]),
        np.array([0, 2, 4, 1, -9, -90]),
    )
    found = depths.between(lying, 2, right, up)
    for at, way in enumerate(lying):
        table = depths.tables[way][2]
        place = up[at] - table.up, right[at] - table.right
        on = all(0 <= it < size for it, size in zip(place, table.depth.shape, strict=True))
        assert found[at] == (table.depth[place] if on else 0)


def test_nothing_is_deep_where_nothing_overlaps() -> None:
    kit, depths = depths_of(1.5, SQUARE, HOOK)
    for lying, row in enumerate(depths.tables):
        for moving, table in enumerate(row):
            fixed, moved = (shapely.Polygon(kit.ways[at].corners) for at in (lying, moving))
            for place in np.argwhere(table.depth >= 0)[::7]:
                by = (place[::-1] + np.array([table.right, table.up])) * 1.5
                there = shapely.transform(moved, lambda corners, by=by: corners + by)
                if table.depth[tuple(place)]:
                    assert fixed.intersection(there).area > 0
                else:
                    assert shapely.buffer(fixed, -LET * 1.5).intersection(there).area < 4
