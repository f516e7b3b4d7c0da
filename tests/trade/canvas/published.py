"""Strip-packing instances that others have published, read from the files of `data`."""

from dataclasses import dataclass
from decimal import Decimal
from pathlib import Path

from app.trade.canvas.laying import Strip, ToCut
from app.trade.canvas.outline import Corner, Outline

DATA = Path(__file__).parent / "data"
NAMES = tuple(sorted(path.stem for path in DATA.glob("*.txt")))


@dataclass(frozen=True)
class Instance:
    """A published instance: its cloth, its pieces, their total area, and the shortest length published."""

    name: str
    strip: Strip
    pieces: tuple[ToCut, ...]
    area: Decimal
    best: Decimal

    @property
    def count(self) -> int:
        """How many pieces, copies counted."""
        return sum(piece.copies for piece in self.pieces)

    def over(self, length: Decimal) -> Decimal:
        """How far a length is over the best published one, in percent."""
        return (length / self.best - 1) * 100


def instance(name: str) -> Instance:
    """The instance of a name; see the README beside the files for what stands in them."""
    lines = (DATA / f"{name}.txt").read_text().splitlines()
    head = {key: rest for key, _, rest in (line.partition(" ") for line in lines[:4])}
    turns = tuple(map(Decimal, head["turns"].split()))
    pieces = tuple(_piece(f"p{at}.", line, turns) for at, line in enumerate(lines[4:], 1))
    return Instance(name, Strip(Decimal(head["width"])), pieces, Decimal(head["area"]), Decimal(head["best"]))


def _piece(mark: str, line: str, turns: tuple[Decimal, ...]) -> ToCut:
    copies, _, numbers = line.partition(":")
    outline = outline_through(list(map(Decimal, numbers.split())))
    return ToCut(mark, outline, int(copies), turns)


def outline_through(numbers: list[Decimal]) -> Outline:
    """The outline through x, y, x, y ...; put against the clock where it runs with it."""
    places = zip(numbers[::2], numbers[1::2], strict=True)
    outline = Outline(tuple(Corner(f"C{at}", x, y) for at, (x, y) in enumerate(places)))
    return outline if outline.signed_area > 0 else Outline(tuple(reversed(outline.corners)))
