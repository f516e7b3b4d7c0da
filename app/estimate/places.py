"""Where a kit is done and how often: places of findings brought to what the kit is counted by."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from app.inspection.places import LAMP_PLACES

SIDES = {"side-curb": "right", "side-road": "left"}
SIDE_KEYS = {side: key for key, side in SIDES.items()}
ENDS = ("wheel", "tire", "hub")
EACH = "each"  # a kit sold for each thing found, wherever it is: an alarm, a jack, a door
DONE_AT = {"ti.spare": "spare"}  # looked at on the whole unit; what it asks for is done at the spare alone
NAMED = {f"lamp-{key}": label.lower() for group in LAMP_PLACES.values() for key, label in group} | {
    "unit": "",
    "side-curb": "curb side",
    "side-road": "road side",
    "exit-main": "main exit",
}


@dataclass(frozen=True)
class Spot:
    """A place on the running gear: which axle, which side, which of two wheels; None and empty mean all."""

    axle: int | None = None
    side: str | None = None
    row: str = ""

    def covers(self, other: "Spot") -> bool:
        """Whether the other place lies within this one."""
        return (
            self.axle in (None, other.axle)
            and self.side in (None, other.side)
            and self.row in ("", other.row)
        )


def spot_of(place: str) -> Spot | None:
    """The spot of a place key; None for a place of its own (spare, lamp, cylinder, exit ...)."""
    if place == "unit":
        return Spot()
    if place in SIDES:
        return Spot(side=SIDES[place])
    word, *rest = place.split("-")
    if word == "axle":
        return Spot(axle=int(rest[0]))
    if word in ENDS:
        return Spot(int(rest[0]), rest[1], "".join(rest[2:]))
    return None


def place_for(per: str, place: str) -> str:
    """The place of a work whose kit is counted `per` axle, hub, tire ..., for a finding at `place`.

    A finding at a wheel asks an axle's kit for the whole axle; a finding at the whole unit stays there.
    """
    spot = spot_of(place)
    if per == "unit" or spot is None:
        return "unit" if per == "unit" else place
    if per == "axle" and spot.axle:
        return f"axle-{spot.axle}"
    if per == "side" and spot.side:
        return SIDE_KEYS[spot.side]
    if per in ENDS and spot.axle and spot.side:
        return "-".join(filter(None, (per, str(spot.axle), spot.side, "" if per == "hub" else spot.row)))
    return place


@dataclass(frozen=True)
class Gear:
    """What of a unit decides how often a kit is done. `axles` at least 0, `wheels_per_end` 1 or 2."""

    axles: int = 1
    wheels_per_end: int = 1


def count_at(per: str, place: str, gear: Gear) -> int:
    """How many times a kit counted `per` something is done at a place; at least 1."""
    spot = spot_of(place)
    if spot is None:
        return 1
    axles = 1 if spot.axle else max(gear.axles, 1)
    sides = 1 if spot.side else 2
    rows = 1 if spot.row else gear.wheels_per_end
    times = {"axle": axles, "side": sides, "hub": axles * sides, "wheel": axles * sides}
    return times.get(per, axles * sides * rows if per == "tire" else 1)


def place_words(place: str) -> str:
    """A place as it ends a work's title: `axle 1 left`, `curb side`; empty for the whole unit."""
    if place in NAMED:
        return NAMED[place]
    word, *rest = place.split("-")
    if word in ENDS:
        return " ".join(("axle", *rest))
    if word == "tank":
        return f"{' '.join(rest)} tank"
    return " ".join(rest) if word == "appliance" else place.replace("-", " ")


@dataclass(frozen=True)
class Wanted:
    """A finding that asks for work: its key, place, ledger group, the kits that answer it.

    `thing`: what was looked at, the same for every look at it: the check's key and its name as said.
    """

    finding_id: int
    place: str
    group: str
    kits: tuple[str, ...]
    thing: str = ""


@dataclass(frozen=True)
class Proposed:
    """One work that a kit makes at one place, for one finding or several; `group`: the heaviest of theirs.

    `thing`: what it is about where the kit is sold for each thing, else empty.
    """

    kit: str
    place: str
    group: str
    finding_ids: tuple[int, ...]
    thing: str = ""


def proposals(
    wanted: Sequence[Wanted], per_of: Mapping[str, str], order: Sequence[str]
) -> tuple[Proposed, ...]:
    """The works that findings ask for, in the order of the findings: one for each kit and place.

    A kit that is asked for at the whole unit or axle takes in what is asked of it at a part of that.
    `order`: the groups, heaviest first. KeyError where a kit is not in `per_of`.
    """
    asked: dict[Spotted, list[Wanted]] = {}
    for key, finding in _asked(wanted, per_of):
        asked.setdefault(key, []).append(finding)
    merged: dict[Spotted, list[Wanted]] = {}
    for (kit, place, thing), findings in asked.items():
        merged.setdefault((kit, _widest(kit, place, asked), thing), []).extend(findings)
    return tuple(
        Proposed(
            kit=kit,
            place=place,
            group=min((each.group for each in findings), key=order.index),
            finding_ids=tuple(dict.fromkeys(each.finding_id for each in findings)),
            thing=thing,
        )
        for (kit, place, thing), findings in merged.items()
    )


Spotted = tuple[str, str, str]  # kit, place, thing


def _asked(wanted: Sequence[Wanted], per_of: Mapping[str, str]) -> Iterator[tuple[Spotted, Wanted]]:
    for finding in wanted:
        for kit in finding.kits:
            each = per_of[kit] == EACH
            place = finding.place if each else place_for(per_of[kit], finding.place)
            yield (kit, place, finding.thing if each else ""), finding


def _widest(kit: str, place: str, asked: Mapping[Spotted, list[Wanted]]) -> str:
    spot = spot_of(place)
    wider = [
        (other, wide)
        for named, other, thing in asked
        if named == kit and not thing and spot and (wide := spot_of(other)) and wide.covers(spot)
    ]
    return min(wider, key=lambda pair: _narrowness(pair[1]))[0] if wider else place


def _narrowness(spot: Spot) -> int:
    return (spot.axle is not None) + (spot.side is not None) + bool(spot.row)
