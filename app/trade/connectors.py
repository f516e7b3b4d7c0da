"""Plugs of open standards: which cavity carries what. Colours vary, so each cavity is measured."""

from dataclasses import dataclass
from enum import StrEnum

from app.trade.figure import Input, Source, Worked
from app.trade.problems import Impossible


class Circuit(StrEnum):
    """What a cavity carries."""

    GROUND = "ground"
    TAIL = "tail, marker and plate lamps"
    LEFT_TAIL = "left tail and marker lamps"
    RIGHT_TAIL = "right tail and marker lamps"
    LEFT = "left turn"
    RIGHT = "right turn"
    LEFT_STOP = "left stop and turn"
    RIGHT_STOP = "right stop and turn"
    STOP = "stop"
    BRAKE = "electric brakes"
    BATTERY = "12 V, always on"
    CHARGE = "12 V, switched"
    REVERSE = "reverse or auxiliary"
    AUXILIARY = "auxiliary, or power of the antilock brakes"
    MARKER = "clearance, side marker and identification lamps"
    FOG = "rear fog lamp"
    GROUND_OF_BATTERY = "ground of cavity 9"
    GROUND_OF_CHARGE = "ground of cavity 10"
    SPARE = "not assigned"


@dataclass(frozen=True)
class Plug:
    """A connector: cavities as numbered by its standard. `note` says what is easily mixed up."""

    key: str
    name: str
    standard: str
    cavities: tuple[tuple[str, Circuit], ...]
    note: str = ""

    def cavity(self, label: str) -> Circuit:
        """What one cavity carries; Impossible where the plug has none of that label."""
        for here, circuit in self.cavities:
            if here == label:
                return circuit
        labels = ", ".join(here for here, _ in self.cavities)
        raise Impossible(f"The {self.name} has no cavity {label}", labels)


_FLAT = Plug(
    "flat4",
    "4-way flat",
    "SAE J1239",
    (
        ("white", Circuit.GROUND),
        ("brown", Circuit.TAIL),
        ("yellow", Circuit.LEFT_STOP),
        ("green", Circuit.RIGHT_STOP),
    ),
    "The bare pin on the tow vehicle's half is the ground.",
)
_BLADES = Plug(
    "blade7",
    "7-way with blades",
    "SAE J2863",
    (
        ("1", Circuit.GROUND),
        ("2", Circuit.BRAKE),
        ("3", Circuit.TAIL),
        ("4", Circuit.BATTERY),
        ("5", Circuit.LEFT_STOP),
        ("6", Circuit.RIGHT_STOP),
        ("7", Circuit.REVERSE),
    ),
    "Two colour schemes are in use: measure each cavity. The centre is never ground.",
)
_ROUND = Plug(
    "round7",
    "7-way round, heavy vehicles",
    "SAE J560",
    (
        ("1", Circuit.GROUND),
        ("2", Circuit.MARKER),
        ("3", Circuit.LEFT),
        ("4", Circuit.STOP),
        ("5", Circuit.RIGHT),
        ("6", Circuit.TAIL),
        ("7", Circuit.AUXILIARY),
    ),
    "Another plug than the 7-way with blades: stop and turn are apart, the centre carries power.",
)
_NORMAL = Plug(
    "iso7",
    "7-pin, type N",
    "ISO 1724",
    (
        ("1", Circuit.LEFT),
        ("2", Circuit.FOG),
        ("3", Circuit.GROUND),
        ("4", Circuit.RIGHT),
        ("5", Circuit.RIGHT_TAIL),
        ("6", Circuit.STOP),
        ("7", Circuit.LEFT_TAIL),
    ),
    "No feed for electric brakes.",
)
_THIRTEEN = Plug(
    "iso13",
    "13-pin",
    "ISO 11446",
    (
        *_NORMAL.cavities,
        ("8", Circuit.REVERSE),
        ("9", Circuit.BATTERY),
        ("10", Circuit.CHARGE),
        ("11", Circuit.GROUND_OF_CHARGE),
        ("12", Circuit.SPARE),
        ("13", Circuit.GROUND_OF_BATTERY),
    ),
    "Cavity 3 is the ground of 1 to 8 only; the other grounds are not joined to it in the trailer.",
)
PLUGS = {plug.key: plug for plug in (_FLAT, _BLADES, _ROUND, _NORMAL, _THIRTEEN)}


def pins(plug: Plug) -> Worked[Plug]:
    """What each cavity of a plug carries, as its standard numbers them. Source: that standard."""
    return Worked(
        name="cavities",
        value=plug,
        says="; ".join(f"{label} {circuit}" for label, circuit in plug.cavities),
        formula="cavities as the standard numbers them",
        inputs=(Input("plug", plug.name), Input("cavities", str(len(plug.cavities)))),
        source=Source(plug.standard),
        caution=plug.note,
    )
