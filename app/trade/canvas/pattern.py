"""A pattern on file: what of an earlier order holds for another trailer, and what must be asked anew.

Cloth is known by its kind alone: its colour is the owner's choice, its shrinkage and label are the roll's.
"""

from collections.abc import Mapping
from decimal import Decimal
from itertools import product

from app.trade.bounds import says
from app.trade.canvas.outline import length_said
from app.trade.canvas.readiness import CHECKED, Part
from app.trade.canvas.written import lengths_written
from app.trade.problems import Problem

FRAME_OFF = Decimal(25)  # mm, about 1 in: a frame so much higher wants other walls; common practice
CLOTH_ALONG = ("what", "mass", "coating")


def cloth_along(known: Mapping[str, str]) -> dict[str, str]:
    """What is known of a cloth, whoever chose it and whichever roll it is cut from."""
    return {key: known[key] for key in CLOTH_ALONG if known.get(key)}


def piece_along(known: Mapping[str, str]) -> dict[str, str]:
    """What is known of a piece, but for the check on the frame that it was cut for."""
    return {key: text for key, text in known.items() if key != CHECKED}


def unlike_frame(frame: Part, height: str, number: str) -> tuple[Problem, ...]:
    """Asks where the raised frame stands clearly higher or lower than the one that the pattern was made on.

    `height`: what was written of that frame, `number`: of its canvas order. No corner of the one is within
    25 mm of a corner of the other; nothing is asked where either says no length. Source: common practice.
    """
    pairs = list(product(lengths_written(frame.said("height")), lengths_written(height)))
    if not pairs:
        return ()
    here, there = min(pairs, key=lambda pair: abs(pair[0] - pair[1]))
    if abs(here - there) <= FRAME_OFF:
        return ()
    told = f"The raised frame is {length_said(here)} high, that of its pattern {number} {length_said(there)}"
    accepts = f"within {says(FRAME_OFF, 'mm')}, or the pieces corrected"
    return (Problem(f"{frame.key}.height", told, accepts, ask=True),)
