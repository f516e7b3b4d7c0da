"""All tapes of a piece fitted together by least squares, and which one of them may be misread.

Every length pulls its two corners apart or together until the squares of what is left are least. With one
length more than needed the rest is shared out and cannot say where the mistake is; with two it can.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

import numpy as np
from numpy.typing import NDArray

from app.trade.canvas.outline import Outline, edge_name, outline_of
from app.trade.canvas.taped import MOST
from app.trade.vectors import rounded

ROUNDS = 12  # the steps shrink so fast that half of these are enough
LEFT_OVER = 1.5  # mm that honest tapes leave in each length; common practice
Numbers = NDArray[np.float64]


@dataclass(frozen=True)
class Adjusted:
    """A piece fitted to all its tapes: corner A at 0, B along x; and fitted less taped for each length.

    `spread`: standard deviation of one tape by what is left over, in millimetres; 0 without a check.
    """

    outline: Outline
    residuals: Mapping[str, Decimal]
    spread: Decimal


def adjusted(laid: Outline, lengths: Mapping[str, Decimal]) -> Adjusted:
    """The least-squares fit of an outline to all lengths taped on it, all of equal weight.

    `laid`: the outline as `taped` lays it out, lettered A, B, C ...; `lengths` in millimetres by both
    letters. ValueError where they do not fix the outline. Source: least-squares adjustment of distances.
    """
    tape = {edge_name(*key.split("-")): float(mm) for key, mm in lengths.items()}
    names = [corner.name for corner in laid.corners]
    places, left = _fitted(names, np.array(laid.ring), tape)
    checks = len(tape) - (2 * len(names) - 3)
    spread = float(np.sqrt(np.sum(left**2) / checks)) if checks > 0 else 0.0
    residuals = {name: rounded(float(it)) for name, it in zip(tape, left, strict=True)}
    return Adjusted(_straight(places), residuals, rounded(spread))


def _fitted(names: list[str], places: Numbers, tape: Mapping[str, float]) -> tuple[Numbers, Numbers]:
    ends = np.array([[names.index(name) for name in key.split("-")] for key in tape])
    taped = np.array(list(tape.values()))
    for _ in range(ROUNDS):
        slopes, now = _slopes(places, ends)
        if np.linalg.matrix_rank(slopes) < 2 * len(names) - 3:
            raise ValueError("these lengths do not fix the outline")
        step, *_ = np.linalg.lstsq(slopes, taped - now, rcond=None)
        places = places + step.reshape(-1, 2)
    return places, _slopes(places, ends)[1] - taped


def _slopes(places: Numbers, ends: NDArray[np.int64]) -> tuple[Numbers, Numbers]:
    """How each length changes with each corner's x and y, and what it is now."""
    apart = places[ends[:, 1]] - places[ends[:, 0]]
    now = np.hypot(apart[:, 0], apart[:, 1])
    slopes = np.zeros((len(ends), places.size))
    for row, (one, other) in enumerate(ends):
        slopes[row, 2 * one : 2 * one + 2] = -apart[row] / now[row]
        slopes[row, 2 * other : 2 * other + 2] = apart[row] / now[row]
    return slopes, now


def _straight(places: Numbers) -> Outline:
    numbers = [complex(x, y) for x, y in places]
    way = (numbers[1] - numbers[0]) / abs(numbers[1] - numbers[0])
    return outline_of([(number - numbers[0]) / way for number in numbers])


def suspects(laid: Outline, lengths: Mapping[str, Decimal]) -> tuple[str, ...]:
    """The lengths that may alone be misread: without one of them all others fit, and it misses by over 6 mm.

    As `adjusted`. Needs two lengths more than the 2n - 3 that fix a piece; with fewer none is named.
    Source: dropping one observation in turn.
    """
    tape = {edge_name(*key.split("-")): mm for key, mm in lengths.items()}
    if len(tape) < 2 * len(laid.corners) - 1:
        return ()
    return tuple(name for name in sorted(tape) if _explains(laid, tape, name))


def _explains(laid: Outline, tape: Mapping[str, Decimal], name: str) -> bool:
    """Whether everything fits once this length is left out."""
    others = {key: mm for key, mm in tape.items() if key != name}
    try:
        found = adjusted(laid, others)
    except ValueError:
        return False
    misses = abs(found.outline.length(*name.split("-")) - tape[name])
    return misses > MOST and all(abs(it) <= LEFT_OVER for it in found.residuals.values())
