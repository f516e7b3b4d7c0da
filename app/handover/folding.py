"""A long record made short: rows for what says something, one paragraph for what is plain; nothing is lost.

Pure. A line is plain where nobody read, noted, photographed or cleared anything of it: record.Line says so.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import groupby

from app.handover.record import Line
from app.inspection.rules import NOTHING_SEEN
from app.trade.figure import Grade

Key = tuple[bool, bool, str]  # looked at, fitted, why not looked at


@dataclass(frozen=True)
class Group:
    """Things looked at at the same places. `places`: in words; "" stands for the unit as a whole."""

    things: tuple[str, ...]
    places: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        """The names of all lines told here, as the walk-round has them."""
        return tuple(", ".join(filter(None, (it, at))) for it in self.things for at in self.places)

    @property
    def where(self) -> str:
        """All places in one line, empty for the unit as a whole."""
        return together([place for place in self.places if place])


@dataclass(frozen=True)
class Fold:
    """Plain lines of one station told in one paragraph. `why`: the reason, where they were not looked at."""

    state: Grade
    fitted: bool
    why: str
    groups: tuple[Group, ...]

    @property
    def says(self) -> str:
        """What holds for all of them, where it is more than their state."""
        if self.state is Grade.UNSEEN:
            return self.why
        return NOTHING_SEEN if self.fitted else ""

    @property
    def count(self) -> int:
        """How many lines are told here."""
        return sum(len(group.names) for group in self.groups)


@dataclass(frozen=True)
class Folded:
    """The lines of one station: those with a row of their own, and the others in paragraphs."""

    rows: tuple[Line, ...]
    folds: tuple[Fold, ...]


def folded(lines: Iterable[Line]) -> Folded:
    """The lines of one station, told as short as may be: each is in exactly one row or paragraph.

    Sound ones first, then what is not fitted, then what was not looked at, by reason.
    """
    known = list(lines)
    plain = sorted((line for line in known if line.plain), key=_key, reverse=True)
    folds = tuple(_fold(key, list(group)) for key, group in groupby(plain, key=_key))
    return Folded(tuple(line for line in known if not line.plain), folds)


def _key(line: Line) -> Key:
    unseen = line.state is Grade.UNSEEN
    return not unseen, line.fitted, line.got if unseen else ""


def _fold(key: Key, lines: Sequence[Line]) -> Fold:
    looked, fitted, why = key
    return Fold(Grade.SOUND if looked else Grade.UNSEEN, fitted, why, tuple(_groups(lines)))


def _groups(lines: Sequence[Line]) -> Iterator[Group]:
    """Things with the same places together, in the order in which they were met."""
    places: dict[tuple[str, str], list[str]] = {}
    for line in lines:
        thing = line.name.removesuffix(f", {line.where}") if line.where else line.name
        places.setdefault((line.check, thing), []).append(line.where)
    things: dict[tuple[str, ...], list[str]] = {}
    for (_, thing), at in places.items():
        things.setdefault(tuple(at), []).append(thing)
    return (Group(tuple(names), at) for at, names in things.items())


def together(places: Sequence[str]) -> str:
    """Places in one line, what they begin with said once: left wheel, axle 1 and axle 2."""
    ends = [place.rpartition(", ") for place in places]
    by_head = groupby(ends, key=lambda parts: parts[0])
    return "; ".join(
        f"{head}, {_and(tails)}" if head else _and(tails)
        for head, group in by_head
        if (tails := [tail for _, _, tail in group])
    )


def _and(words: Sequence[str]) -> str:
    return " and ".join(filter(None, (", ".join(words[:-1]), words[-1])))
