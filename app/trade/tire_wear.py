"""Tread depth of a tire: the least reading counts."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.trade.figure import SHOP_SETTING, By, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, with_unit

LAW = Source("49 CFR", "570.9(a), 570.62(a), 393.75(c)")
LAW_32NDS = Decimal(2)
DEEPEST_32NDS = Decimal(40)
TREAD_ACCEPTS = "tread depth from 0 to 40/32 in, such as 5/32 in or 4 mm"


@dataclass(frozen=True)
class TreadPolicy:
    """Limits in 32nds of an inch: under `dnt` do not tow, under `needs` soon, under `watch` watch.

    `dnt` may not be set under the 2/32 in of the law; rising; ValueError otherwise.
    """

    dnt: Decimal = LAW_32NDS
    needs: Decimal = Decimal(4)
    watch: Decimal = Decimal(5)

    def __post_init__(self) -> None:
        if not LAW_32NDS <= self.dnt <= self.needs <= self.watch:
            raise ValueError("the limits have to rise from the 2/32 in of the law")

    def __str__(self) -> str:
        return (
            f"under {self.dnt}/32 in do not tow, under {self.needs}/32 in needs work soon, "
            f"under {self.watch}/32 in watch"
        )


USUAL_TREAD = TreadPolicy()


def least_tread(readings: Sequence[Quantity], policy: TreadPolicy = USUAL_TREAD) -> Worked[Decimal]:
    """Least tread depth of a tire in 32nds of an inch, with its verdict.

    `readings`: at least one (ValueError without), each 0 to 40/32 in, in any unit of length.
    Raises Impossible outside. Source: 49 CFR 570.9(a), 570.62(a), 393.75(c); above 2/32 in the shop's limits.
    """
    depths = _depths(readings)
    least = min(depths)
    return Worked(
        name="least tread depth",
        value=least,
        says=str(readings[depths.index(least)]),
        formula="smallest of the readings in the main grooves",
        inputs=_inputs(readings),
        source=LAW if least < LAW_32NDS else SHOP_SETTING,
        unit="in_32nd",
        limit=str(policy),
        verdict=_verdict(min(readings, key=lambda reading: reading.to("in_32nd")), policy),
    )


def _depths(readings: Sequence[Quantity]) -> list[Decimal]:
    if not readings:
        raise ValueError("a tread without a reading has no depth")
    depths = [reading.to("in_32nd") for reading in readings]
    if not all(0 <= depth <= DEEPEST_32NDS for depth in depths):
        raise Impossible("This is no tread depth", TREAD_ACCEPTS)
    return depths


def _inputs(readings: Sequence[Quantity]) -> tuple[Input, ...]:
    return tuple(Input(f"reading {place}", str(reading)) for place, reading in enumerate(readings, 1))


def _verdict(least: Quantity, policy: TreadPolicy) -> Verdict:
    if least.under(policy.dnt, "in_32nd"):
        return Verdict(Grade.DNT, f"under {policy.dnt}/32 in")
    if least.under(policy.needs, "in_32nd"):
        return Verdict(Grade.NEEDS, f"under {policy.needs}/32 in", By.SOON)
    if least.under(policy.watch, "in_32nd"):
        return Verdict(Grade.WATCH, f"under {policy.watch}/32 in")
    return Verdict(Grade.SOUND, f"at least {policy.watch}/32 in")


def tread_spread(readings: Sequence[Quantity], most: Decimal = Decimal(2)) -> Worked[Decimal]:
    """Difference across one tire in 32nds of an inch; more than `most` needs a look at the axle soon.

    `readings` as for `least_tread`. Source: common practice.
    """
    depths = _depths(readings)
    spread = max(depths) - min(depths)
    over = Verdict(Grade.NEEDS, "look for a bent axle, a bad bearing or an overload", By.SOON)
    return Worked(
        name="tread difference across the tire",
        value=spread,
        says=with_unit(f"{spread.normalize():f}", "in_32nd"),
        formula="deepest reading less the shallowest",
        inputs=_inputs(readings),
        source=SHOP_SETTING,
        unit="in_32nd",
        limit=f"at most {most}/32 in",
        verdict=over if spread > most else Verdict(Grade.SOUND, f"at most {most}/32 in"),
    )
