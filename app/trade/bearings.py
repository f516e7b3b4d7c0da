"""Adjustable tapered wheel bearings: adjusting, end play, grease, service.

For hubs with two tapered bearings and a spindle nut. Sealed cartridge hubs are not adjusted: they are
replaced and their nut tightened to the maker's figure. Designations and sizes: bearing_sizes.py.
"""

from dataclasses import dataclass
from decimal import Decimal

from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Source, Verdict, Worked, plain
from app.trade.problems import Impossible, Problem
from app.trade.quantity import Quantity, with_unit

ON_STANDS = "Wheel up on stands, chocks both sides, before the hub comes off."


# End play


@dataclass(frozen=True)
class EndPlayLimits:
    """Least, most and greatest tolerable end play, in inches."""

    least: Decimal
    most: Decimal
    stop: Decimal
    source: Source

    def __str__(self) -> str:
        return f"{self.least} to {with_unit(str(self.most), 'in')}"


HEAVY_RULE = Source("TMC RP 618", "(as reported in the trade press)")
LIGHT = EndPlayLimits(Decimal("0.001"), Decimal("0.010"), Decimal("0.030"), COMMON_PRACTICE)
HEAVY = EndPlayLimits(
    Decimal("0.001"), Decimal("0.005"), Decimal("0.030"), Source("TMC RP 618", "(as reported)")
)


def end_play_verdict(reading: Quantity, limits: EndPlayLimits = LIGHT) -> Worked[Decimal]:
    """End play in inches with its grade, measured with a dial indicator on the hub.

    `reading`: any unit of length, 0 or more. Inside the limits, ends included: sound. Over the stop: do not
    tow. Else, and without play (0 is preload): needs work before towing. Raises Impossible under 0.
    Source: common practice for light trailers, TMC RP 618 for heavy vehicles.
    """
    if reading.value < 0:
        raise Impossible("End play cannot be under 0", "such as 0.004 in or 0.1 mm; 0 where there is none")
    play = reading.to("in")
    verdict = _end_play(play, limits)
    return Worked(
        name="end play",
        value=play,
        says=with_unit(plain(play, 4), "in"),
        formula="largest of several readings, pushed and pulled straight",
        inputs=(Input("reading", str(reading)),),
        source=limits.source,
        unit="in",
        limit=str(limits),
        verdict=verdict,
        caution=ON_STANDS,
    )


def _end_play(play: Decimal, limits: EndPlayLimits) -> Verdict:
    if play > limits.stop:
        return Verdict(Grade.DNT, f"Over {limits.stop} in: nut, lock or bearing has let go")
    if play > limits.most:
        return Verdict(Grade.NEEDS, f"Over {limits.most} in: adjust", By.TOWING)
    if play < limits.least:
        return Verdict(Grade.NEEDS, f"Under {limits.least} in: tight bearings run hot, back off", By.TOWING)
    return Verdict(Grade.SOUND, f"Inside {limits}")


def question_end_play(field: str, reading: Quantity) -> list[Problem]:
    """What to ask about an end play: exactly 0 and over 0.030 in are unlikely, under 0 impossible."""
    if reading.value < 0:
        return [Problem(field, "End play cannot be under 0", "0 to 0.030 in, such as 0.004 in")]
    if reading.value == 0:
        return [Problem(field, "No end play at all: is the hub free?", "0.001 to 0.010 in", ask=True)]
    if reading.to("in") > LIGHT.stop:
        return [Problem(field, f"{reading} is very much", "0.001 to 0.010 in", ask=True)]
    return []
