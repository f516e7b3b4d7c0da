"""What gives a tent more light or more privacy: the ways, and what the order must hold for each.

An option is no part of its own: tinted film is the film of a window, a flap hangs over one. So an option
names the window, zipper or cloth of the order that it is about, and that part must say the same.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from app.trade.canvas.readiness import NONE, Kind, Part
from app.trade.problems import Problem

EXTRA = "extra"
COSTS = ("in the price", EXTRA)


class Way(StrEnum):
    """The ways to more light or more privacy; common practice."""

    WINDOW = "more light by an added window"
    CLEAR = "more light by clear film"
    PALER = "more light by paler cloth"
    TINTED = "more privacy by tinted film"
    FLAP = "more privacy by a flap over the window"
    COVER = "more privacy by a zip-in cover"
    DARKER = "more privacy by darker cloth"


@dataclass(frozen=True)
class Need:
    """What the part is that an option of a way names: of a kind, with one of these answers."""

    kind: Kind
    answers: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


NEEDS: Mapping[str, Need] = {
    Way.WINDOW: Need(Kind.WINDOW),
    Way.CLEAR: Need(Kind.WINDOW, {"film": ("clear",)}),
    Way.TINTED: Need(Kind.WINDOW, {"film": ("tinted",)}),
    Way.FLAP: Need(Kind.WINDOW, {"flap": ("inside", "outside")}),
    Way.COVER: Need(Kind.ZIPPER),
    Way.PALER: Need(Kind.CLOTH),
    Way.DARKER: Need(Kind.CLOTH),
}


def unlike_options(parts: Iterable[Part]) -> tuple[Problem, ...]:
    """Options that the parts they name do not bear out; the field is `part key.at` or `part key.what`.

    An option names a part by the number of its key: `4` is `part-4`. What is not known yet, of the option or
    of that part, is left to `open_questions`.
    """
    known = {part.key: part for part in parts}
    asked = (it for it in known.values() if it.kind is Kind.OPTION and it.said("what") and it.said("at"))
    return tuple(problem for it in asked for problem in _unlike(it, known.get(f"part-{it.said('at')}")))


def _unlike(option: Part, there: Part | None) -> Iterator[Problem]:
    need = NEEDS[option.said("what")]
    wanted = f"{option.place}: {option.said('what')} is chosen"
    wanted = wanted[0].upper() + wanted[1:]
    if there is None:
        told = f"{wanted} for a part that is on the order no longer"
        yield Problem(f"{option.key}.at", told, f"a {need.kind.value} of the order")
    elif there.kind is not need.kind or there.said("chain").casefold() == NONE:
        told = f"{wanted}, and {there.place} is no {need.kind.value}"
        yield Problem(f"{option.key}.at", told, f"a {need.kind.value} of the order")
    elif not _bears_out(there, need):
        has = ", ".join(f"{name} {there.said(name)}" for name in need.answers)
        told = f"{wanted}, and the {need.kind.value} {there.place} has {has}"
        yield Problem(f"{option.key}.what", told, "the same there, or another option")


def _bears_out(part: Part, need: Need) -> bool:
    return all(not part.said(name) or part.said(name) in taken for name, taken in need.answers.items())
