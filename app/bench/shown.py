"""What a record has to hold to show a finding put right, where its kind takes any part of what it asks for.

Linings alone make sound brake readings, and say nothing of a magnet: the record stands, but proves another
thing. What is not named here is shown by any record of its kit's kinds.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

SIDES = ("left", "right")


@dataclass(frozen=True)
class Shows:
    """One field of `fields` is filled in a record of `kind`; `lacks`: what is said where none is.

    `{side}` in a field is the side of the finding, or either where it has none. `brakes`: the kinds of brakes
    for which it is asked; empty for all. `worth`: what has to stand in the field; empty for anything.
    """

    kind: str
    fields: tuple[str, ...]
    lacks: str
    brakes: tuple[str, ...] = ()
    worth: str = ""

    def stands_in(self, payload: Mapping[str, object], sides: Iterable[str]) -> bool:
        """Whether a record holds one of the fields, at some sides."""
        names = {field.format(side=side) for field in self.fields for side in sides}
        found = [payload[name] for name in names if payload.get(name)]
        return self.worth in found if self.worth else bool(found)


CURRENT = Shows("brake_readings", ("amps", "amps_{side}"), "the current of the magnets is not read")
MAGNET = Shows("brake_readings", ("ohms_{side}", "amps", "amps_{side}"), "no magnet is measured")
LINING = Shows("brake_readings", ("lining_{side}", "pad_{side}"), "neither lining nor pad is measured")
DRUM = Shows("brake_readings", ("drum_{side}_1",), "the drum is not measured")
CHAINS = Shows("figures", ("figure",), "this is not the strength of the safety chains", worth="chains")
OPENED = Shows("bearing_adjustment", ("inner",), "the hub stayed shut")
MARKER = Shows("lights", ("marker",), "no side marker or clearance lamp is lit", worth="lit")
SHOWS: Mapping[str, Shows] = {  # common practice: what was at fault is what is measured after the work
    "cp.chains": CHAINS,
    "cp.chain_state": CHAINS,
    "cp.slack": CHAINS,
    "br.amps": CURRENT,
    "br.wire": CURRENT,
    "br.need": replace(CURRENT, brakes=("electric",)),
    "br.work": replace(CURRENT, brakes=("electric",)),
    "br.parts": replace(CURRENT, brakes=("electric",)),
    "br.magnet": MAGNET,
    "br.lining": LINING,
    "br.soak": LINING,
    "br.drum": DRUM,
    "br.drum_state": DRUM,
    "br.pad": Shows("brake_readings", ("pad_{side}", "rotor_{side}"), "neither pad nor rotor is measured"),
    "hb.race": OPENED,
    "hb.seal": OPENED,
    "hb.service": OPENED,
    "hb.spindle": OPENED,
    "ev.state": Shows("electrical_load", ("rested", "idle"), "neither battery nor converter is read"),
    "ev.fuse": Shows("electrical_load", ("fuse",), "the fuse is not read"),
    "ev.conv": Shows("electrical_load", ("idle",), "the converter is not read"),
    "la.marker": MARKER,
    "la.wide": MARKER,
    "la.plate": Shows("lights", ("plate",), "no plate lamp is lit", worth="lit"),
    "la.reflex": Shows("lights", ("reflectors",), "no reflector is seen", worth="lit"),
    "la.drop": Shows("lights", ("volts_plug",), "the volts at plug and lamp are not read"),
}


@dataclass(frozen=True)
class At:
    """Where a fault was found, on a unit with brakes of some kind."""

    check: str
    place: str
    brakes: str = ""


@dataclass(frozen=True)
class Held:
    """What a record holds, by field, where it was made."""

    kind: str
    place: str
    payload: Mapping[str, object]


def not_shown(at: At, record: Held) -> str:
    """What a record leaves open of a fault that it is to show put right, in words; empty where nothing."""
    shows = SHOWS.get(at.check)
    if shows is None or shows.kind != record.kind or not _touches(at.place, record.place):
        return ""
    if shows.brakes and at.brakes not in shows.brakes:
        return ""
    sides = [side for side in SIDES if side in at.place.split("-")] or SIDES
    return "" if shows.stands_in(record.payload, sides) else shows.lacks


def _touches(place: str, other: str) -> bool:
    """Whether two places belong together: an axle and what is at it, an end of it, or the whole unit."""
    return all(one == two for one, two in zip(place.split("-")[1:3], other.split("-")[1:3], strict=False))
