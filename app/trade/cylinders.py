"""Propane cylinders: when requalification falls due, and how much may be filled."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from decimal import Decimal
from enum import StrEnum

from app.trade.bounds import above_zero, says
from app.trade.dates import Month
from app.trade.figure import COMMON_PRACTICE, By, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

RULE = Source("49 CFR", "180.209(e) and (g)")
FILL_RULE = Source("29 CFR", "1910.110(b)(12)")
SPECIFICATIONS = ("4B", "4BA", "4BW", "4E")
SOON_MONTHS = 6  # common practice
FILL_SHARE = Decimal("0.42")  # of the water capacity by weight, liquid of 0.504 to 0.510 at 60 °F
OVERFILLED = Decimal("1.02")  # of the greatest fill, common practice: scale and tare are no better
SCALE_LB = Decimal("0.5")
DUE_CAUTION = "Only a holder of a requalifier number may test or mark a cylinder; overdue is not filled."
FILL_CAUTION = (
    "A filler trained for it fills by weight and by the valve's own stop; an overfilled cylinder is not "
    "moved, and is bled off outside by a qualified person."
)


class Method(StrEnum):
    """How the cylinder was proved at a mark: the letter after the date says which."""

    MADE = "made"
    EXPANSION = "volumetric expansion"
    PROOF = "proof pressure (S)"
    VISUAL = "external visual (E)"


# One dated table: 85 FR 68790, in force since 30 November 2020, has 12, 10 and 5 years.
PERIOD = {Method.MADE: 12, Method.EXPANSION: 12, Method.PROOF: 10, Method.VISUAL: 5}


@dataclass(frozen=True)
class Mark:
    """One date on the collar. A requalification without the requalifier's number counts for nothing."""

    month: Month
    method: Method
    numbered: bool = True

    @property
    def counts(self) -> bool:
        """Whether the mark proves anything: the maker's, or a numbered requalification."""
        return self.method is Method.MADE or self.numbered

    def __str__(self) -> str:
        return f"{self.month}, {self.method}"


def requalification_due(marks: Sequence[Mark], on: date, specification: str = "4BA") -> Worked[Month]:
    """Month in which a DOT 4B, 4BA, 4BW or 4E cylinder falls due; it may be filled to its end.

    `marks`: as read; the latest that counts wins, even where an earlier one would last longer. `on`: the day
    of looking. Raises Impossible without a mark that counts, for another specification, for a mark after
    `on`, and for a requalification before manufacture. Source: 49 CFR 180.209(e), (g).
    """
    last = _latest(marks, on, specification)
    years = PERIOD[last.method]
    due = last.month.plus_years(years)
    return Worked(
        name="requalification due",
        value=due,
        says=str(due),
        formula="month of the latest mark + period of its method",
        inputs=(
            Input("latest mark", str(last)),
            Input("period", f"{years} years"),
            Input("looked at on", on.isoformat()),
        ),
        limit="filled at most until the last day of the month due",
        verdict=_due(due, on, ignored=sum(not mark.counts for mark in marks)),
        source=RULE,
        caution=DUE_CAUTION,
    )


def _latest(marks: Sequence[Mark], on: date, specification: str) -> Mark:
    if specification.upper().replace("DOT-", "").strip() not in SPECIFICATIONS:
        raise Impossible(
            f"The periods here are not for {specification}",
            "4B, 4BA, 4BW or 4E; a composite follows its permit, an ASME tank has no such date",
        )
    counting = [mark for mark in marks if mark.counts]
    if not counting:
        raise Impossible("No mark on the cylinder proves a date", "manufacture, or a date with a number")
    made = [mark.month for mark in counting if mark.method is Method.MADE]
    if made and any(mark.month < max(made) for mark in counting):
        raise Impossible("A cylinder cannot be tested before it was made", "the maker's date first")
    last = max(counting, key=lambda mark: mark.month)
    if last.month > Month.of(on):
        raise Impossible(f"{last.month} lies ahead", f"a month up to {Month.of(on)}")
    return last


def _due(due: Month, on: date, *, ignored: int) -> Verdict:
    left = Month.of(on).months_to(due)
    note = "; a date without a number was left out" if ignored else ""
    if left < 0:
        return Verdict(Grade.NEEDS, f"overdue since {due}: no fill{note}", By.SOON)
    if left <= SOON_MONTHS or ignored:
        return Verdict(Grade.WATCH, f"due {due}{note}")
    return Verdict(Grade.SOUND, f"in date until {due}")


def fill(water_capacity: Quantity, tare: Quantity, scale: Quantity | None = None) -> Worked[Decimal]:
    """Greatest weight of propane in a cylinder, in lb; with a scale reading also whether it is overfilled.

    `water_capacity` and `tare` as stamped, `scale` with what is in it: weights above 0.
    Raises Impossible outside. Source: 29 CFR 1910.110(b)(12), filling density 42 %.
    """
    most = above_zero("Water capacity", water_capacity, "lb") * FILL_SHARE
    net = None if scale is None else above_zero("Scale", scale, "lb") - above_zero("Tare", tare, "lb")
    return Worked(
        name="greatest fill",
        value=most,
        says=says(most, "lb", 1),
        unit="lb",
        formula="water capacity × 42 %; what is in it is scale − tare",
        inputs=(
            Input("water capacity", str(water_capacity)),
            Input("tare", str(tare)),
            Input("on the scale", str(scale or "not weighed")),
        ),
        limit=f"at most {says(most + tare.to('lb'), 'lb', 1)} on the scale",
        verdict=None if net is None else _filled(net, most),
        source=FILL_RULE,
        caution=FILL_CAUTION,
    )


def _filled(net: Decimal, most: Decimal) -> Verdict:
    inside = max(net, Decimal(0))
    share = says(100 * inside / most, "percent")
    if net < -SCALE_LB:
        return Verdict(Grade.UNSEEN, "lighter than its tare: read the tare and the scale again")
    if net > most * OVERFILLED:
        return Verdict(Grade.DNT, f"{share} of the greatest fill: overfilled ({COMMON_PRACTICE}: over 102 %)")
    return Verdict(Grade.SOUND, f"{says(inside, 'lb', 1)} in it, {share} of the greatest fill")
