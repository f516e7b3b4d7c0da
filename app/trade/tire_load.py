"""What tires may carry: load index, speed symbol, load range, pressure, and the sum on an axle.

The line on the sidewall ("max load ... at ... psi cold") is the datum; the tables are a cross-check.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from app.trade.figure import By, Grade, Input, Source, Verdict, Worked, as_printed, plain
from app.trade.problems import Impossible
from app.trade.quantity import with_unit

PASSENGER_DIVISOR = Decimal("1.10")
SUM_RULE = Source("49 CFR", "571.110 S4.2.2 and 571.120 S5.1.2")
TIRE_LOAD_ACCEPTS = "a load from 200 to 9,000 lb, such as 1,760 lb"
LEAST_LB, MOST_LB = Decimal(200), Decimal(9000)
RATING_STAYS = (
    "Larger tires do not raise the axle rating: the lowest of axle, wheel, tire and spring governs."
)


@dataclass(frozen=True)
class Fitted:
    """One tire on an axle: its maximum load as marked, in lb; `passenger` for P-metric and Euro metric.

    `max_load_lb`: 200 to 9,000; Impossible outside. With duals give the dual load.
    """

    max_load_lb: Decimal
    passenger: bool = False

    def __post_init__(self) -> None:
        if not LEAST_LB <= self.max_load_lb <= MOST_LB:
            raise Impossible(f"{self.max_load_lb} lb is no tire load", TIRE_LOAD_ACCEPTS)

    @property
    def trailer_lb(self) -> Decimal:
        """What it may carry on a trailer: a passenger tire its maximum load divided by 1.10."""
        return self.max_load_lb / PASSENGER_DIVISOR if self.passenger else self.max_load_lb

    def __str__(self) -> str:
        marked = with_unit(plain(self.max_load_lb), "lb")
        return f"{marked} / 1.10, a passenger tire" if self.passenger else marked


@dataclass(frozen=True)
class Reserve:
    """What is left: capacity in lb, reserve in lb (negative: short) and in percent of what is asked."""

    capacity_lb: Decimal
    lb: Decimal
    percent: Decimal

    def __str__(self) -> str:
        word = "short by" if self.lb < 0 else "reserve"
        return f"{word} {with_unit(plain(abs(self.lb)), 'lb')} ({plain(self.percent, 2)} %)"


def axle_capacity(tires: Sequence[Fitted]) -> Worked[Decimal]:
    """Sum of what the tires of one axle may carry, in lb, passenger tires divided by 1.10.

    `tires`: two or four, all tires of that axle; Impossible otherwise. Source: 49 CFR 571.110 S4.2.2,
    571.120 S5.1.2.
    """
    capacity = _sum(tires)
    return Worked(
        name="tire capacity of the axle",
        value=capacity,
        says=with_unit(plain(capacity), "lb"),
        formula="sum of the maximum loads; a passenger tire's is divided by 1.10 first",
        inputs=_inputs(tires),
        source=SUM_RULE,
        unit="lb",
        caution=RATING_STAYS,
    )


def _sum(tires: Sequence[Fitted]) -> Decimal:
    if len(tires) not in (2, 4):
        raise Impossible(f"An axle with {len(tires)} tires", "2 tires, or 4 on dual wheels")
    return sum((tire.trailer_lb for tire in tires), Decimal(0))


def _inputs(tires: Sequence[Fitted]) -> tuple[Input, ...]:
    return tuple(Input(f"tire {place}", str(tire)) for place, tire in enumerate(tires, 1))


def capacity_against_gawr(
    tires: Sequence[Fitted], gawr_lb: Decimal, aim: Decimal = Decimal(10)
) -> Worked[Reserve]:
    """Reserve of one axle's tires over its GAWR: short is do not tow, under `aim` percent is a watch.

    `gawr_lb`: of that one axle, 500 to 20,000; Impossible outside.
    Source: 49 CFR 571.110 S4.2.2, 571.120 S5.1.2 for the sum; the aim is common practice.
    """
    _axle_weight(gawr_lb, "GAWR")
    reserve = _reserve(_sum(tires), gawr_lb)
    return Worked(
        name="tire capacity against GAWR",
        value=reserve,
        says=str(reserve),
        formula="sum of the maximum loads (passenger tires divided by 1.10) less the GAWR",
        inputs=(*_inputs(tires), Input("GAWR", with_unit(plain(gawr_lb), "lb"))),
        source=SUM_RULE,
        limit=f"at least the GAWR; {aim} % over it is the aim",
        verdict=_gawr_verdict(reserve, aim),
        caution=RATING_STAYS,
    )


def _axle_weight(weight_lb: Decimal, name: str) -> None:
    if not 500 <= weight_lb <= 20000:
        raise Impossible(f"{weight_lb} lb is no {name} of an axle", "500 to 20,000 lb, such as 3,500 lb")


def _reserve(capacity: Decimal, asked: Decimal) -> Reserve:
    return Reserve(capacity, capacity - asked, (capacity / asked - 1) * 100)


def _gawr_verdict(reserve: Reserve, aim: Decimal) -> Verdict:
    if as_printed(reserve.lb) < 0:
        return Verdict(Grade.DNT, f"the tires carry less than the GAWR: {reserve}")
    if reserve.percent < aim:
        return Verdict(Grade.WATCH, f"{reserve}, under the aim of {aim} %")
    return Verdict(Grade.SOUND, str(reserve))


def capacity_against_weighed(
    tires: Sequence[Fitted], axle_lb: Decimal, heavier_end_lb: Decimal | None = None
) -> Worked[Reserve]:
    """Reserve of one axle's tires over the load on the scale; under 0 do not tow, over 90 % used watch.

    `axle_lb`: 100 to 20,000. `heavier_end_lb`: the heavier wheel end where it was weighed alone (half to
    all of `axle_lb`); twice its load is then held against the sum. Impossible outside.
    Source: 49 CFR 393.75(f) for the load on a tire; 90 % is common practice.
    """
    governing = _governing(axle_lb, heavier_end_lb)
    reserve = _reserve(_sum(tires), governing)
    return Worked(
        name="tire capacity against weighed load",
        value=reserve,
        says=str(reserve),
        formula="sum of the maximum loads less the weighed load (twice the heavier end where known)",
        inputs=(*_inputs(tires), *_weighed(axle_lb, heavier_end_lb)),
        source=Source("49 CFR", "393.75(f)"),
        limit="at most the sum; over 90 % of it the owner is told",
        verdict=_weighed_verdict(reserve, governing),
    )


def _governing(axle_lb: Decimal, end_lb: Decimal | None) -> Decimal:
    if not 100 <= axle_lb <= 20000:
        raise Impossible(f"{axle_lb} lb is no axle load", "100 to 20,000 lb, such as 2,950 lb")
    if end_lb is None:
        return axle_lb
    if not axle_lb / 2 <= end_lb <= axle_lb:
        raise Impossible("The heavier end carries half to all of the axle", "such as 1,520 of 2,950 lb")
    return end_lb * 2


def _weighed(axle_lb: Decimal, end_lb: Decimal | None) -> tuple[Input, ...]:
    axle = Input("axle on the scale", with_unit(plain(axle_lb), "lb"))
    return (axle,) if end_lb is None else (axle, Input("heavier end", with_unit(plain(end_lb), "lb")))


def _weighed_verdict(reserve: Reserve, load: Decimal) -> Verdict:
    if as_printed(reserve.lb) < 0:
        return Verdict(Grade.DNT, f"overloaded: {reserve}")
    if load > reserve.capacity_lb * Decimal("0.9"):
        return Verdict(Grade.WATCH, f"over 90 % of the capacity is used: {reserve}")
    return Verdict(Grade.SOUND, str(reserve))


def spare_against_gawr(spare: Fitted, gawr_lb: Decimal, tires: int = 2) -> Worked[Reserve]:
    """Reserve of the spare over the load of one wheel: the GAWR shared by the axle's tires.

    `gawr_lb`: 500 to 20,000. `tires`: 2 or 4. Impossible outside. One that carries less is no spare for this
    axle. Source: as `axle_capacity`, shared out; common practice.
    """
    _axle_weight(gawr_lb, "GAWR")
    if tires not in (2, 4):
        raise Impossible(f"An axle with {tires} tires", "2 tires, or 4 on dual wheels")
    reserve = _reserve(spare.trailer_lb, gawr_lb / tires)
    return Worked(
        name="spare against its wheel's load",
        value=reserve,
        says=str(reserve),
        formula="maximum load (a passenger tire's divided by 1.10) less GAWR / tires of the axle",
        inputs=(
            Input("spare", str(spare)),
            Input("GAWR", with_unit(plain(gawr_lb), "lb")),
            Input("tires", str(tires)),
        ),
        source=SUM_RULE,
        limit="at least its wheel's share of the GAWR",
        verdict=_spare_verdict(reserve),
        caution="The spare's age, pressure and bolt circle are looked at as those of a fitted tire.",
    )


def _spare_verdict(reserve: Reserve) -> Verdict:
    if as_printed(reserve.lb) < 0:
        return Verdict(Grade.NEEDS, f"no spare for this axle, {reserve}", By.SOON)
    return Verdict(Grade.SOUND, str(reserve))
