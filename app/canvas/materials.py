"""What an order waits for besides its cloth, each with a lead time of its own: the last to come decides."""

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum
from math import ceil

from app.canvas import doubts
from app.canvas.facts import OrderRead
from app.canvas.said import Maker
from app.canvas.tables import CanvasHours, CanvasPart
from app.trade.canvas.readiness import NONE, Kind
from app.trade.canvas.stages import Stage
from app.trade.quantity import read_number
from app.trade.typed import Reader

TIMES = ("shortest", "likely", "longest")
CLOTH, ALL, FROM_LOFT = "cloth", "materials", "canvas of the sewing loft"


class Material(StrEnum):
    """What is bought for an order besides its cloth."""

    FILM = "film"
    SCREEN = "screen"
    ZIPPERS = "zippers"
    FASTENERS = "fasteners"

    @property
    def word(self) -> str:
        """The material as a sentence says it."""
        return "window film" if self is Material.FILM else self.value

    @property
    def fields(self) -> tuple[str, ...]:
        """The fields of its days: shortest, likely, longest."""
        return tuple(f"{self}_{time}" for time in TIMES)


WANTED: Mapping[Material, tuple[Kind, str]] = {
    Material.FILM: (Kind.WINDOW, "film"),
    Material.SCREEN: (Kind.WINDOW, "screen"),
    Material.ZIPPERS: (Kind.ZIPPER, "chain"),
    Material.FASTENERS: (Kind.FASTENER, "what"),
}


def materials_of(order: OrderRead) -> tuple[Material, ...]:
    """What an order takes besides its cloth; nothing where a sewing loft sends it with all that is on it."""
    if order.row.maker == Maker.LOFT:
        return ()
    return tuple(it for it, (kind, key) in WANTED.items() if any(_wants(order.of_kind(kind), key)))


def _wants(parts: Iterable[CanvasPart], key: str) -> Iterator[bool]:
    """Of each part whether it takes some: all but what was said to have none."""
    return (part.known.get(key, "").strip().casefold() != NONE for part in parts)


def read_others(read: Reader, materials: Sequence[Material]) -> dict[str, list[str]]:
    """The days of each material besides the cloth as typed; what is wrong stands in `read`."""
    for it in materials:
        read_days(read, it.fields)
    return {it.value: [read.raw(name) for name in it.fields] for it in materials}


def read_days(read: Reader, fields: Sequence[str]) -> None:
    """Shortest, likely and longest days until something is here, which rise."""
    found = [
        read.number(name, least="0", most="250", usual=("0", "60"), required="The days are missing")
        for name in fields
    ]
    if None not in found and not any(problem.field in fields for problem in read.problems):
        shortest, likely, longest = (read_number(read.raw(name)) for name in fields)
        if not shortest <= likely <= longest:
            accepts = "shortest, likely, longest, such as 5, 10, 21"
            read.wrong(fields[1], "These days do not rise", accepts)


# What is waited for


@dataclass(frozen=True)
class Lead:
    """How long a material was said to take, in working days from then on, as typed."""

    word: str
    days: tuple[str, ...]

    @property
    def longest(self) -> int:
        """Full working days after which it is here at the longest; 0 where it is here."""
        return ceil(read_number(self.days[-1]))

    @property
    def says(self) -> str:
        """The days in words, without the sentence's end."""
        shortest, likely, longest = self.days
        if not self.longest:
            return f"{self.word} here"
        return f"{self.word} {shortest} to {longest}, likely {likely}"

    def left(self, gone: int) -> Stage:
        """What is left of it after so many working days."""
        return Stage(self.word, *(max(read_number(it) - gone, Decimal(0)) for it in self.days))


def leads_of(order: OrderRead, hours: CanvasHours) -> tuple[Lead, ...]:
    """The cloth first, then each other material that the order still takes."""
    days = (hours.cloth_shortest, hours.cloth_likely, hours.cloth_longest)
    cloth = Lead(FROM_LOFT if order.row.maker == Maker.LOFT else CLOTH, days)
    others = (Lead(it.word, tuple(hours.others[it])) for it in materials_of(order) if it in hours.others)
    return (cloth, *others)


def overdue(leads: Sequence[Lead], gone: int, after: Callable[[int], date]) -> Iterator[str]:
    """Each material that was to be here by now. `after`: the day so many working days after that was said."""
    for it in leads:
        word = ALL if len(leads) == 1 and it.word == CLOTH else it.word
        yield from doubts.overdue(word, it.longest, gone, after(it.longest))


def unsaid(order: OrderRead, hours: CanvasHours) -> Iterator[str]:
    """Materials put on the order since it was said how long each takes."""
    if hours.others:
        yield from doubts.unsaid([it.word for it in materials_of(order) if it not in hours.others])
