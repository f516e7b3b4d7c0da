"""Passes over a scale, side view: tow vehicle and trailer, a block under each axle as tall as its load.

Sag is shown, not measured: nothing here is to scale but the blocks.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from decimal import Decimal

from app.trade.figure import plain
from app.trade.problems import Impossible
from app.trade.quantity import read_number

AXLES = ("front", "rear", "axles")
TALLEST = Decimal(68)
APART = 174
TILT = {1: ("0", "0"), 2: ("2.2", "-1.54"), 3: ("1.0", "-0.7")}
WORDS = {1: "Tow vehicle alone", 2: "Coupled, bars slack or none", 3: "Coupled, bars engaged"}


@dataclass(frozen=True)
class LoadDrawn:
    """One axle's load: as printed, its change from the pass before, height of its block."""

    says: str
    change: str
    height: Decimal


@dataclass(frozen=True)
class PassDrawn:
    """One pass: number and words, ticket, loads by axle, their sum, where and how tilted it is drawn."""

    number: int
    words: str
    ticket: str
    loads: Mapping[str, LoadDrawn]
    total: str
    y: int
    tow: str
    trailer: str
    bars: bool


def passes_drawn(typed: Mapping[str, str]) -> tuple[PassDrawn, ...]:
    """The passes that have a reading, always the first two."""
    read = {number: _loads(typed, number) for number in WORDS}
    most = max((load for loads in read.values() for load in loads.values()), default=Decimal(1))
    shown = [number for number in WORDS if number < 3 or read[number]]
    return tuple(_pass(typed, number, read, max(most, Decimal(1))) for number in shown)


def _loads(typed: Mapping[str, str], number: int) -> dict[str, Decimal]:
    found = {}
    for axle in AXLES[: 2 if number == 1 else 3]:
        try:
            found[axle] = max(read_number(typed.get(f"{axle}_{number}", "")), Decimal(0))
        except Impossible:
            continue
    return found


def _pass(
    typed: Mapping[str, str], number: int, read: Mapping[int, Mapping[str, Decimal]], most: Decimal
) -> PassDrawn:
    loads = {
        axle: LoadDrawn(plain(load), _change(read.get(number - 1, {}), axle, load), _height(load, most))
        for axle, load in read[number].items()
    }
    return PassDrawn(
        number=number,
        words=WORDS[number],
        ticket=typed.get(f"ticket_{number}", ""),
        loads=loads,
        total=plain(sum(read[number].values(), Decimal(0))) if loads else "",
        y=APART * (number - 1),
        tow=TILT[number][0],
        trailer=TILT[number][1],
        bars=number == 3,
    )


def _change(before: Mapping[str, Decimal], axle: str, load: Decimal) -> str:
    if axle not in before:
        return ""
    apart = load - before[axle]
    return f"+{plain(apart)}" if apart > 0 else plain(apart)


def _height(load: Decimal, most: Decimal) -> Decimal:
    return (TALLEST * load / most).quantize(Decimal("0.1"))
