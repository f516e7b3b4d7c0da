"""The pages of a printed paper as pictures, made from its kept bytes in a process of its own.

Nothing is kept here: a picture is the same for the same paper, so the browser may keep it for good.
"""

import io
import math
from collections.abc import Callable
from concurrent.futures import CancelledError
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from pathlib import Path
from typing import TypeVar

from app.ground.children import Child, end_with_parent

SECONDS = 15.0  # that a page may take
MOST_PAGES = 40  # shown as pictures; the rest stands in the PDF
MOST_BYTES = 20_000_000
WIDE, HIGH = 1100, 3000  # pixels at most: letter paper at 129 dpi
COLOURS = 128
REMEMBERED = 500  # papers whose sizes need not be asked for again

Answer = TypeVar("Answer")


class NotShown(Exception):
    """A page cannot be shown as a picture; the paper itself is as it was."""


@dataclass(frozen=True)
class Size:
    """Width and height of a page's picture, in pixels."""

    wide: int
    high: int


@dataclass(frozen=True)
class Leaves:
    """How many pages a paper has, and the sizes of those that are shown: the first ones."""

    count: int
    sizes: tuple[Size, ...]


class Viewer(Child):
    """The process that makes pictures of pages. `seconds`: that one answer may take."""

    def __init__(self, seconds: float = SECONDS) -> None:
        super().__init__(end_with_parent, tasks=500)
        self.seconds = seconds
        self._known: dict[Path, Leaves] = {}

    def leaves(self, paper: Path) -> Leaves:
        """The pages of a paper; `paper`: a file under its hash, which never changes. Raises NotShown."""
        found = self._known.get(paper)
        if found is None:
            found = self._ask(leaves_of, paper)
            if len(self._known) >= REMEMBERED:
                self._known.clear()
            self._known[paper] = found
        return found

    def picture(self, paper: Path, number: int) -> bytes:
        """Page `number` (from 1) of a paper as a PNG; raises NotShown, also where there is no such page."""
        return self._ask(picture_of, paper, number)

    def _ask(self, do: Callable[..., Answer], *about: object) -> Answer:
        try:
            return self._started().submit(do, *about).result(timeout=self.seconds)
        except (BrokenProcessPool, CancelledError, TimeoutError) as ended:
            self.close()
            raise NotShown("the picture was not done in time") from ended
        except (OSError, ValueError, RuntimeError) as wrong:  # a PdfiumError is a RuntimeError
            raise NotShown(str(wrong)) from wrong


def leaves_of(paper: Path) -> Leaves:
    """The pages of a PDF; raises ValueError where it is too large, OSError or RuntimeError where no PDF."""
    import pypdfium2

    with pypdfium2.PdfDocument(_content(paper)) as document:
        shown = (document.get_page_size(at) for at in range(min(len(document), MOST_PAGES)))
        return Leaves(len(document), tuple(_size(wide, high) for wide, high in shown))


def picture_of(paper: Path, number: int) -> bytes:
    """One page of a PDF as a PNG of 8 bits a pixel; errors as `leaves_of`, ValueError for no such page."""
    import pypdfium2
    from PIL import Image

    with pypdfium2.PdfDocument(_content(paper)) as document:
        if not 1 <= number <= min(len(document), MOST_PAGES):
            raise ValueError(f"there is no page {number}")
        page = document[number - 1]
        drawn = page.render(scale=_scale(*page.get_size())).to_pil()
    out = io.BytesIO()
    few = drawn.quantize(COLOURS, method=Image.Quantize.FASTOCTREE, dither=Image.Dither.NONE)
    few.save(out, "PNG", compress_level=6)
    return out.getvalue()


def _content(paper: Path) -> bytes:
    if paper.stat().st_size > MOST_BYTES:
        raise ValueError("the paper is too large to be shown as pictures")
    return paper.read_bytes()


def _scale(wide: float, high: float) -> float:
    return min(WIDE / max(wide, 1), HIGH / max(high, 1))


def _size(wide: float, high: float) -> Size:
    """The size that the renderer draws a page in: whole pixels, rounded up."""
    scale = _scale(wide, high)
    return Size(math.ceil(wide * scale), math.ceil(high * scale))
