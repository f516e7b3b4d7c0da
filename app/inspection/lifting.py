"""Findings that are worse together than alone: one of them is lifted by one grade, and the reason is said."""

import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import product

from app.inspection.ruling import Weight, weight
from app.trade.figure import By, Grade

COUPLING = "cp."
SUSPENSION = "suspension"
BURNERS = ("lp.range", "lp.furnace", "lp.water", "lp.fridge")
_CORNER = re.compile(r"^(?:wheel|tire|hub)-(\d+)-(left|right)")
_AXLE = re.compile(r"^(?:wheel|tire|hub|axle)-(\d+)")


@dataclass(frozen=True)
class Found:
    """One finding of a walk, as far as lifting needs it. `seen`: keys of the defects picked."""

    check: str
    system: str
    place: str
    grade: Grade
    by: By | None = None
    seen: frozenset[str] = frozenset()

    @property
    def needs(self) -> bool:
        """Whether it needs work."""
        return self.grade is Grade.NEEDS

    @property
    def amiss(self) -> bool:
        """Whether anything was found: it is watched, needs work or does not tow."""
        return self.grade in (Grade.WATCH, Grade.NEEDS, Grade.DNT)

    @property
    def corner(self) -> tuple[str, str] | None:
        """Axle and side that it belongs to; None where it belongs to no corner."""
        found = _CORNER.match(self.place)
        return (found[1], found[2]) if found else None

    @property
    def axle(self) -> str:
        """Axle that it belongs to; empty where it belongs to none."""
        found = _AXLE.match(self.place)
        return found[1] if found else ""

    @property
    def weight(self) -> Weight:
        """How heavy it is; less is heavier."""
        return weight(self.grade, self.by)


@dataclass(frozen=True)
class Lifted:
    """A finding that weighs more because of others: what it becomes, and why. `others`: check and place."""

    check: str
    place: str
    grade: Grade
    by: By | None
    reason: str
    others: tuple[tuple[str, str], ...]


Group = tuple[Found, ...]
Together = Callable[[Sequence[Found]], Iterator[Group]]


def _of(findings: Sequence[Found], *checks: str) -> list[Found]:
    return [found for found in findings if found.check in checks]


def _pairs(
    ones: Sequence[Found], others: Sequence[Found], belongs: Callable[[Found, Found], bool]
) -> Iterator[Group]:
    return ((one, other) for one, other in product(ones, others) if belongs(one, other))


def _old_and_cracked(findings: Sequence[Found]) -> Iterator[Group]:
    old = [found for found in _of(findings, "ti.age") if found.needs]
    cracked = [found for found in _of(findings, "ti.crack") if found.amiss]
    loaded = [found for found in _of(findings, "ti.load") if found.amiss]
    yield from _pairs(old, cracked, lambda one, other: one.place == other.place)
    yield from _pairs(old, loaded, lambda one, other: bool(one.axle) and one.axle == other.axle)


def _two_in_a_corner(findings: Sequence[Found]) -> Iterator[Group]:
    needing = [found for found in findings if found.system == SUSPENSION and found.needs and found.corner]
    for corner in sorted({found.corner for found in needing if found.corner}):
        group = tuple(found for found in needing if found.corner == corner)
        if len(group) > 1:
            yield group


def _hot_and_loose(findings: Sequence[Found]) -> Iterator[Group]:
    hot = [found for found in _of(findings, "rd.heat") if found.needs]
    play = [found for found in _of(findings, "hb.seal", "hb.rock", "hb.endplay", "hb.cap") if found.needs]
    yield from _pairs(hot, play, lambda one, other: one.corner == other.corner)


def _worn_and_askew(findings: Sequence[Found]) -> Iterator[Group]:
    worn = [found for found in _of(findings, "ti.wear") if found.needs]
    askew = [found for found in _of(findings, "su.square") if found.needs]
    yield from _pairs(worn, askew, lambda one, other: bool(one.axle) and one.axle == other.axle)


def _two_on_the_coupling(findings: Sequence[Found]) -> Iterator[Group]:
    group = tuple(found for found in findings if found.check.startswith(COUPLING) and found.by is By.TOWING)
    if len(group) > 1:
        yield group


def _wet_and_soft(findings: Sequence[Found]) -> Iterator[Group]:
    wet = [found for found in _of(findings, "bo.moist") if found.needs]
    soft = [found for found in _of(findings, "bo.floor") if found.needs]
    loose = [found for found in _of(findings, "fr.body") if found.amiss]
    if wet and soft and loose:
        yield wet[0], soft[0], loose[0]


TOGETHER: tuple[tuple[Together, str], ...] = (
    (_old_and_cracked, "an old tire that is cracked or has little load to spare"),
    (_two_in_a_corner, "two faults in the suspension of one corner"),
    (_hot_and_loose, "a hot hub with play or grease where it should not be"),
    (_worn_and_askew, "a tire worn unevenly on an axle out of square"),
    (_two_on_the_coupling, "two faults on the coupling"),
    (_wet_and_soft, "wet and soft where the body is bolted down"),
)


def combined(findings: Sequence[Found]) -> list[Lifted]:
    """The findings that weigh more together, each lifted once by one grade; none where nothing combines.

    Needs soon becomes needs before towing, needs before towing becomes do not tow. The heaviest of those that
    belong together is lifted. An unproved burner with no working CO alarm, and tires and axle both without a
    rating, are lifted as well. Source: the shop's rules of grading.
    """
    lifted: dict[tuple[str, str], Lifted] = {}
    for together, reason in TOGETHER:
        for group in together(findings):
            if made := _lift(group, reason):
                lifted.setdefault((made.check, made.place), made)
    for made in (*_burners_without_alarm(findings), *_nothing_rated(findings)):
        lifted.setdefault((made.check, made.place), made)
    return list(lifted.values())


def _lift(group: Group, reason: str) -> Lifted | None:
    heaviest = min(group, key=lambda found: found.weight)
    if heaviest.by is By.SOON:
        return _made(heaviest, (Grade.NEEDS, By.TOWING), reason, group)
    if heaviest.by is By.TOWING:
        spare = heaviest.place == "spare"
        return _made(heaviest, (Grade.NEEDS, By.USE) if spare else (Grade.DNT, None), reason, group)
    return None


def _made(found: Found, becomes: tuple[Grade, By | None], reason: str, group: Group) -> Lifted:
    others = tuple((other.check, other.place) for other in group if other is not found)
    return Lifted(found.check, found.place, *becomes, reason, others)


def _burners_without_alarm(findings: Sequence[Found]) -> Iterator[Lifted]:
    alarm = [found for found in _of(findings, "fs.co") if found.grade in (Grade.NEEDS, Grade.UNSEEN)]
    unproved = [found for found in _of(findings, *BURNERS) if found.grade is Grade.UNSEEN]
    for found in (*alarm, *unproved) if alarm and unproved else ():
        if found.grade is Grade.UNSEEN:
            reason = "a burner that nobody has proved and no working CO alarm: no sleeping inside"
            yield _made(found, (Grade.NEEDS, By.USE), reason, (*alarm, *unproved))


def _nothing_rated(findings: Sequence[Found]) -> Iterator[Lifted]:
    label = [found for found in _of(findings, "id.label") if found.needs or found.grade is Grade.UNSEEN]
    for tires in _of(findings, "ti.load"):
        if label and tires.grade is Grade.UNSEEN:
            reason = "neither tire load nor axle rating is known: not towed loaded"
            yield _made(tires, (Grade.DNT, None), reason, (tires, *label))
