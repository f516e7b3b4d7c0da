"""What bin labels show: bin, number, name, the number as a bar code, a square code that opens the part."""

from dataclasses import dataclass

from app.ground.codes import Square, square_to
from app.parts.facts import PartLine
from app.trade.code128 import widths

QUIET = 10  # modules left and right of a bar code that stay empty (ISO/IEC 15417)


@dataclass(frozen=True)
class Stripes:
    """A bar code as one path of an SVG, one unit high and `width` modules wide with its quiet zones."""

    width: int
    path: str


@dataclass(frozen=True)
class Label:
    """One bin label."""

    part: PartLine
    stripes: Stripes
    code: Square | None


def stripes(text: str) -> Stripes:
    """The bar code of a text; Impossible where it cannot be one."""
    at, path = QUIET, ""
    for place, width in enumerate(widths(text)):
        path += f"M{at} 0h{width}v1h-{width}z" if place % 2 == 0 else ""
        at += width
    return Stripes(at + QUIET, path)


def label(part: PartLine, address: str) -> Label:
    """The label of a part. `address`: of the shop's pages, such as http://shop:8377, or empty."""
    return Label(part, stripes(part.number), square_to(address, "parts", "catalogue", part.id))
