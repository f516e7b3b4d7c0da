"""Lining, pad, drum, rotor and breakaway hold: what the brake readings mean."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum

from app.trade.bounds import above_zero, not_negative, says
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Source, Verdict, Worked, as_printed
from app.trade.magnets import dead_brake
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

LINING_LAW = Source("49 CFR", "570.59(c)")
LINING_COMMERCIAL = Source("49 CFR", "393.47(d)")
DRUM_LAW = ROTOR_LAW = Source("49 CFR", "570.59(b)")
HOLD_LAW = Source("49 CFR", "393.43(d)")
CAUTION = (
    "Brake dust is not blown off. Work on brakes is for a qualified person; local inspection law may ask for "
    "more lining than this."
)

LINING_NEEDS, LINING_WATCH = Decimal(3), Decimal(4)  # 32nds of an inch, common practice
PAD_NEEDS = Decimal(4)  # 32nds of an inch, common practice
THICKEST = {"Lining": ("1/2", Decimal(16)), "Pad": ("3/4", Decimal(24))}  # in, and in 32nds
ROUND_MOST = Decimal("0.005")  # in, out of round, common practice
PLACES = 3  # of an inch, as a caliper reads drum and rotor
TURN_LEAVES = Decimal("0.030")  # in left under the cast maximum after turning, common practice
HOLD_MIN = Decimal(15)
HOLD_VOLTS = Decimal("10.5")


class Lining(StrEnum):
    """How lining or pad is held: measured over the shoe where bonded, over the rivet head where riveted."""

    BONDED = "bonded"
    RIVETED = "riveted"


LAW_LEAST = {Lining.BONDED: Decimal(2), Lining.RIVETED: Decimal(1)}  # 32nds of an inch


def lining_thickness(
    thinnest: Quantity, kind: Lining, *, commercial: bool = False, shop_least: Quantity | None = None
) -> Worked[Decimal]:
    """Lining left over its limit, in 32nds of an inch, and whether the shoe may stay.

    `thinnest`: a length, 0 to 1/2 in. `commercial`: 1/16 in at the shoe centre binds as well.
    `shop_least` can only raise the limit. Raises Impossible outside 0 to 1/2 in.
    Source: 49 CFR 570.59(c), 393.47(d); common practice above the limit.
    """
    least = _least(kind, commercial=commercial, shop=shop_least)
    worked = _over_least("Lining", thinnest, kind, least)
    source = LINING_COMMERCIAL if commercial else LINING_LAW
    return replace(worked, verdict=_lining(thinnest, least, commercial=commercial), source=source)


def pad_thickness(thinnest: Quantity, kind: Lining) -> Worked[Decimal]:
    """Disc pad left over its limit, in 32nds of an inch, and whether it may stay.

    `thinnest`: the friction material at the thinnest place of a wheel's pads, 0 to 3/4 in, else Impossible.
    Source: 49 CFR 570.59(c), which sets pads and linings the same limits; common practice above the limit.
    """
    least = LAW_LEAST[kind]
    return replace(_over_least("Pad", thinnest, kind, least), verdict=_pad(thinnest, least))


def _over_least(what: str, thinnest: Quantity, kind: Lining, least: Decimal) -> Worked[Decimal]:
    found, (most, most_32nds) = not_negative(what, thinnest, "in_32nd"), THICKEST[what]
    if found > most_32nds:
        raise Impossible(f"A {what.lower()} of {thinnest} cannot be", f"0 to {most} in, such as 5/32 in")
    return Worked(
        name=what.lower(),
        value=found - least,
        says=f"{says(found - least, 'in_32nd', 1)} over the limit",
        unit="in_32nd",
        formula=f"thinnest place of the {what.lower()} − least that the law leaves",
        inputs=(Input("thinnest place", str(thinnest)), Input(what.lower(), kind)),
        limit=f"at least {says(least, 'in_32nd', 1)}",
        source=LINING_LAW,
        caution=CAUTION,
    )


def _least(kind: Lining, *, commercial: bool, shop: Quantity | None) -> Decimal:
    law = max(LAW_LEAST[kind], Decimal(2) if commercial else Decimal(0))
    return law if shop is None else max(law, shop.to("in_32nd"))


def _lining(thinnest: Quantity, least: Decimal, *, commercial: bool) -> Verdict:
    # 396 appendix A takes a commercial shoe off at 1/16 in or less; 570.59 leaves the limit itself.
    if thinnest.under(least, "in_32nd") or (commercial and not thinnest.over(Decimal(2), "in_32nd")):
        return Verdict(Grade.DNT, f"{thinnest} left, the limit is {says(least, 'in_32nd', 1)}")
    if thinnest.under(LINING_NEEDS, "in_32nd"):
        return Verdict(Grade.NEEDS, f"{thinnest} left, under 3/32 in: replace the axle set", By.SOON)
    if thinnest.under(LINING_WATCH, "in_32nd"):
        return Verdict(Grade.WATCH, f"{thinnest} left, under 4/32 in")
    return Verdict(Grade.SOUND, f"{thinnest} left")


def _pad(thinnest: Quantity, least: Decimal) -> Verdict:
    if thinnest.under(least, "in_32nd"):
        return Verdict(Grade.DNT, f"pad {thinnest}, the limit is {says(least, 'in_32nd', 1)}")
    if thinnest.under(PAD_NEEDS, "in_32nd"):
        return Verdict(Grade.NEEDS, f"pad {thinnest}, under 1/8 in: replace the axle set", By.SOON)
    return Verdict(Grade.SOUND, f"pad {thinnest}")


def drum_diameter(readings: Sequence[Quantity], cast_maximum: Quantity | None) -> Worked[Decimal | None]:
    """Wear left under the cast maximum, in inches; None where no maximum can be read.

    `readings`: at least two diameters, the largest counts. Raises Impossible with fewer.
    Source: 49 CFR 570.59(b) for the maximum, common practice for round and for turning.
    """
    if len(readings) < 2:
        raise Impossible("One diameter does not show a drum out of round", "two diameters, at two depths")
    found = [above_zero("Drum diameter", each, "in") for each in readings]
    maximum = None if cast_maximum is None else above_zero("Cast maximum", cast_maximum, "in")
    left = None if maximum is None else as_printed(maximum - max(found), PLACES)
    return Worked(
        name="drum wear left",
        value=left,
        says="cannot be told" if left is None else says(left, "in", 3),
        unit="in",
        formula="cast maximum − largest diameter measured",
        inputs=(
            *(Input(f"diameter {n}", str(each)) for n, each in enumerate(readings, 1)),
            Input("cast maximum", str(cast_maximum or "not legible")),
        ),
        limit=f"at most {cast_maximum}" if cast_maximum else "",
        verdict=_drum(left, as_printed(max(found) - min(found), PLACES)),
        source=DRUM_LAW,
        caution=CAUTION,
    )


def _drum(left: Decimal | None, out_of_round: Decimal) -> Verdict:
    if left is None:
        return Verdict(Grade.UNSEEN, "no maximum to be read on the drum, and none from its maker")
    if left < 0:
        return Verdict(Grade.DNT, f"{says(-left, 'in', 3)} over the cast maximum")
    if out_of_round > ROUND_MOST:
        return Verdict(Grade.NEEDS, f"{says(out_of_round, 'in', 3)} out of round, over 0.005 in", By.SOON)
    if left < TURN_LEAVES:
        return Verdict(Grade.WATCH, f"{says(left, 'in', 3)} left: too little to turn it")
    return Verdict(Grade.SOUND, f"{says(left, 'in', 3)} left")


def rotor_thickness(thinnest: Quantity, marked_least: Quantity | None) -> Worked[Decimal | None]:
    """Wear left over the least thickness marked on a disc, in inches; None where no mark can be read.

    `thinnest` of several places round the disc. Both above 0, else Impossible. Source: 49 CFR 570.59(b).
    """
    found = above_zero("Rotor", thinnest, "in")
    least = None if marked_least is None else above_zero("Least thickness marked", marked_least, "in")
    left = None if least is None else as_printed(found - least, PLACES)
    return Worked(
        name="rotor wear left",
        value=left,
        says="cannot be told" if left is None else says(left, "in", 3),
        unit="in",
        formula="thinnest place of the rotor − least marked on it",
        inputs=(
            Input("thinnest place", str(thinnest)),
            Input("least marked", str(marked_least or "not legible")),
        ),
        limit=f"at least {marked_least}" if marked_least else "",
        verdict=_rotor(left, thinnest, marked_least),
        source=ROTOR_LAW,
        caution=CAUTION,
    )


def _rotor(left: Decimal | None, thinnest: Quantity, marked_least: Quantity | None) -> Verdict:
    if left is None:
        return Verdict(Grade.UNSEEN, "no minimum to be read on the rotor, and none from its maker")
    if left < 0:
        return Verdict(Grade.DNT, f"rotor {thinnest}, its minimum is {marked_least}")
    return Verdict(Grade.SOUND, f"rotor {thinnest}, its minimum is {marked_least}")


@dataclass(frozen=True)
class Hold:
    """One breakaway test: pin out, tow plug out, timed to the first wheel free or to 15 min.

    `volts_end`: of the breakaway's battery; None where none works it: a surge actuator's lever, air brakes.
    """

    minutes: Quantity
    volts_end: Quantity | None
    wheels_held: int
    wheels_braked: int

    def __post_init__(self) -> None:
        not_negative("Time", self.minutes, "min")
        if self.volts_end is not None:
            not_negative("Voltage", self.volts_end, "V")
        if not 0 <= self.wheels_held <= self.wheels_braked or self.wheels_braked < 1:
            raise Impossible(
                f"{self.wheels_held} of {self.wheels_braked} wheels cannot be", "held wheels of braked ones"
            )


def breakaway_hold(test: Hold, *, required: bool = True) -> Worked[Decimal]:
    """Minutes that the breakaway held all braked wheels, judged against 15.

    `required`: the law asks for a breakaway on this trailer. Source: 49 CFR 393.43(d) for 15 min and all
    wheels, common practice for 10.5 V at the end of a battery.
    """
    volts, limit, caution = _on_battery(test.volts_end)
    return Worked(
        name="breakaway hold",
        value=test.minutes.to("min"),
        says=f"{test.minutes}, {test.wheels_held} of {test.wheels_braked} wheels",
        unit="min",
        formula="time from the pull until a wheel turns, or 15 min",
        inputs=(
            Input("held", str(test.minutes)),
            *volts,
            Input("wheels held", f"{test.wheels_held} of {test.wheels_braked}"),
        ),
        limit=f"at least 15 min, every braked wheel{limit}",
        verdict=_hold(test, required=required),
        source=HOLD_LAW,
        caution=caution,
    )


def _on_battery(volts_end: Quantity | None) -> tuple[tuple[Input, ...], str, str]:
    """What a battery adds to the test: the input, the limit, and the caution; without one, the chocks."""
    if volts_end is None:
        return (), "", "Chocks set, nobody before or behind it, before lever or line is pulled."
    caution = "Chocks set and tow plug out before the pin is pulled: current fed back harms a controller."
    return (Input("volts at the end", str(volts_end)),), ", at least 10.5 V at the end", caution


def _hold(test: Hold, *, required: bool) -> Verdict:
    free = test.wheels_braked - test.wheels_held
    if free:
        return dead_brake(f"{free} of {test.wheels_braked} wheels free", required=required)
    if test.minutes.under(HOLD_MIN, "min"):
        return dead_brake(f"held {test.minutes} of 15 min", required=required)
    if test.volts_end is not None and test.volts_end.under(HOLD_VOLTS, "V"):
        return dead_brake(f"{test.volts_end} at the end, under 10.5 V ({COMMON_PRACTICE})", required=required)
    return Verdict(Grade.SOUND, "every braked wheel held for 15 min")
