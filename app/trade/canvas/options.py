"""What gives a tent more light or more privacy: the ways, and what the order must hold for each.

An option is no part of its own: tinted film is the film of a window, a flap hangs over one. So where an
option is chosen, the order's window or zipper at that place must say the same.
"""

from collections.abc import Iterable, Mapping
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
    """What an order holds where a way is chosen: a part of a kind, with one of these answers."""

    kind: Kind
    answers: Mapping[str, tuple[str, ...]] = field(default_factory=dict)


NEEDS: Mapping[str, Need] = {
    Way.WINDOW: Need(Kind.WINDOW),
    Way.CLEAR: Need(Kind.WINDOW, {"film": ("clear",)}),
    Way.TINTED: Need(Kind.WINDOW, {"film": ("tinted",)}),
    Way.FLAP: Need(Kind.WINDOW, {"flap": ("inside", "outside")}),
    Way.COVER: Need(Kind.ZIPPER),
}


def unlike_options(parts: Iterable[Part]) -> tuple[Problem, ...]:
    """Options that the order's windows and zippers do not bear out; the field is `part key.what`.

    A window is at an option's place where one of the two names holds the other: `front bed end` and `front
    bed end, left`. An answer that is not known yet is left to `open_questions`.
    """
    known = tuple(parts)
    return tuple(
        problem
        for part in known
        if part.kind is Kind.OPTION and part.said("what") in NEEDS
        for problem in _unlike(part, NEEDS[part.said("what")], known)
    )


def _unlike(option: Part, need: Need, parts: tuple[Part, ...]) -> tuple[Problem, ...]:
    there = [part for part in parts if part.kind is need.kind and _at(option.place, part.place)]
    there = [part for part in there if part.said("chain").casefold() != NONE]
    wanted = f"{option.place}: {option.said('what')} is chosen"
    wanted = wanted[0].upper() + wanted[1:]
    if not there:
        says = f"{wanted}, and no {need.kind.value} is listed there"
        return (Problem(f"{option.key}.what", says, f"a {need.kind.value} named {option.place}"),)
    if any(_bears_out(part, need) for part in there):
        return ()
    told = "; ".join(f"{name} {part.said(name)}" for part in there for name in need.answers)
    says = f"{wanted}, and the {need.kind.value} there has {told}"
    return (Problem(f"{option.key}.what", says, "the same there, or another option"),)


def _bears_out(part: Part, need: Need) -> bool:
    return all(not part.said(name) or part.said(name) in taken for name, taken in need.answers.items())


def _at(one: str, other: str) -> bool:
    one, other = one.strip().casefold(), other.strip().casefold()
    return one in other or other in one
