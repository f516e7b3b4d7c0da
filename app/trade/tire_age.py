"""The age of a tire on a day, and what the shop makes of it. There is no federal expiry date."""

from dataclasses import dataclass
from datetime import date
from decimal import ROUND_HALF_UP, Decimal

from app.trade.dates import complete_months, complete_years
from app.trade.figure import SHOP_SETTING, By, Grade, Input, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.tin import DateCode

DAYS_IN_YEAR = Decimal("365.2425")  # mean year of the Gregorian calendar
NO_LAW = "No law sets an age limit for trailer tires; this is the shop's own limit."


@dataclass(frozen=True)
class AgePolicy:
    """The shop's limits in complete years: watch, needs work soon, do not tow.

    Rising from `watch` to `dnt`; ValueError otherwise. `three_digits`: a three-digit code (made before
    July 2000) is do not tow whatever its decade. Source of the default: common practice.
    """

    watch: int = 4
    needs: int = 6
    dnt: int = 10
    three_digits: bool = True

    def __post_init__(self) -> None:
        if not 0 < self.watch <= self.needs <= self.dnt:
            raise ValueError("the limits have to rise from watch to do not tow")

    def __str__(self) -> str:
        return (
            f"watch from {self.watch} years, needs work soon from {self.needs}, "
            f"do not tow from {self.dnt} years or with a three-digit code"
        )


USUAL_AGES = AgePolicy()


def tire_age(code: DateCode, on: date, policy: AgePolicy = USUAL_AGES) -> Worked[Decimal]:
    """Age of a tire in years on a day, two decimals, counted from the start of its week.

    With a three-digit code the latest decade counts, so the age is a least age.
    Raises Impossible where its week starts after `on`. Source of the limits: shop setting.
    """
    start = code.latest.start
    if start > on:
        raise Impossible(f"{code} is after {on.isoformat()}", "a date code of a week that has begun")
    return Worked(
        name="tire age",
        value=_years(start, on),
        says=_in_words(code, on),
        formula="days from the first day of its week to the day of the look, divided by 365.2425",
        inputs=(Input("date code", f"{code.digits}, {code}"), Input("looked at", on.isoformat())),
        source=SHOP_SETTING,
        unit="years",
        limit=str(policy),
        verdict=_verdict(code, complete_years(start, on), policy),
        caution=NO_LAW,
    )


def _years(start: date, on: date) -> Decimal:
    years = Decimal((on - start).days) / DAYS_IN_YEAR
    return years.quantize(Decimal("0.01"), ROUND_HALF_UP)


def _in_words(code: DateCode, on: date) -> str:
    years, months = divmod(complete_months(code.latest.start, on), 12)
    least = "" if code.decade_known else "at least "
    return f"{least}{_counted(years, 'year')} {_counted(months, 'month')}"


def _counted(count: int, one: str) -> str:
    return f"{count} {one}{'' if count == 1 else 's'}"


def _verdict(code: DateCode, years: int, policy: AgePolicy) -> Verdict:
    if policy.three_digits and not code.decade_known:
        return Verdict(Grade.DNT, "a three-digit date code: made before July 2000")
    old = f"{_counted(years, 'year')} old"
    if years >= policy.dnt:
        return Verdict(Grade.DNT, f"{old}, {policy.dnt} or more")
    if years >= policy.needs:
        return Verdict(Grade.NEEDS, f"{old}, {policy.needs} or more", By.SOON)
    if years >= policy.watch:
        return Verdict(Grade.WATCH, f"{old}, {policy.watch} or more")
    return Verdict(Grade.SOUND, f"{old}, under {policy.watch}")


def without_date() -> Verdict:
    """The verdict on a tire whose date cannot be found: unknown is not new."""
    return Verdict(Grade.NEEDS, "no date found on either sidewall; its age is unknown, not new", By.SOON)


def made_apart(codes: tuple[DateCode, ...], most: int = 2) -> Worked[Decimal]:
    """Years between the oldest and the newest tire of one axle; more than `most` is a watch.

    `codes`: at least two; ValueError otherwise. Source: common practice.
    """
    starts = sorted(code.latest.start for code in codes)
    if len(starts) < 2:
        raise ValueError("one tire is not apart from itself")
    apart = complete_years(starts[0], starts[-1]) >= most and starts[-1] > _after(starts[0], most)
    says = f"made more than {most} years apart" if apart else f"made within {most} years"
    years = _years(starts[0], starts[-1])
    return Worked(
        name="tires of the axle made apart",
        value=years,
        says=f"{years} years",
        formula="first day of the newest tire's week less that of the oldest",
        inputs=tuple(Input("date code", f"{code.digits}, {code}") for code in codes),
        source=SHOP_SETTING,
        unit="years",
        limit=f"at most {most} years",
        verdict=Verdict(Grade.WATCH if apart else Grade.SOUND, says),
    )


def _after(start: date, years: int) -> date:
    whole = start.year + years
    return date(whole, 3, 1) if (start.month, start.day) == (2, 29) else start.replace(year=whole)
