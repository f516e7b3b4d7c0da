"""Wheel nuts: their order, stages, wrench and verdict.

Nuts count with the clock from the valve, seen from outside the wheel; nut 1 is at the valve or the first
after it. The figure of the wheel's or axle's maker wins over everything here. Stud strength: threads.py.
"""

import itertools
import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from app.trade.figure import (
    COMMON_PRACTICE,
    HEAVIEST_FIRST,
    SHOP_SETTING,
    By,
    Grade,
    Input,
    Source,
    Verdict,
    Worked,
    as_printed,
    plain,
)
from app.trade.problems import Impossible, Problem
from app.trade.quantity import Quantity, convert, reads_as, with_unit

FEWEST, MOST = 3, 36
SHARES = (Decimal("0.25"), Decimal("0.5"), Decimal(1))
RETORQUE_MILES = (10, 25, 50)
FARTHEST_RETORQUE, MOST_RETORQUES = 500, 6
MILES_ACCEPTED = f"one to {MOST_RETORQUES} rising whole numbers up to {FARTHEST_RETORQUE}, such as 10, 25, 50"
USUAL_LBF_FT = (Decimal(40), Decimal(350))
FINE_DEVIATION, COARSE_DEVIATION = Decimal("0.04"), Decimal("0.06")
SMALL_WRENCH_N_M = Decimal(10)

WRENCH_RULE = Source("ISO 6789-1:2017", "(from memory)")
IN_PLACE = Source("49 CFR", "570.10(c)")
CLEAN_AND_DRY = "Threads clean and dry unless the maker says otherwise; no impact tool for the last round."


# The order


def star_sequence(studs: int) -> Worked[tuple[int, ...]]:
    """Order in which the nuts of a wheel are tightened, nut 1 first, each far from the one before.

    `studs`: 3 to 36; nuts count with the clock from the valve, seen from outside. An even count goes by
    opposite pairs, an odd count by a constant step of nearly half a turn. From five studs on no two
    neighbours follow each other. Raises Impossible outside that range. Source: common practice.
    """
    if not FEWEST <= studs <= MOST:
        raise Impossible(f"{studs} studs have no star order", f"a number of studs from {FEWEST} to {MOST}")
    order = _odd_star(studs) if studs % 2 else _even_star(studs)
    return Worked(
        name="tightening order",
        value=order,
        says=" ".join(map(str, order)),
        formula="opposite pairs, every other pair first" if studs % 2 == 0 else "step of half the studs",
        inputs=(Input("studs", str(studs)),),
        source=COMMON_PRACTICE,
        caution=CLEAN_AND_DRY,
    )


def _odd_star(studs: int) -> tuple[int, ...]:
    step = (studs - 1) // 2  # shares no factor with the count, so every stud is met once
    return tuple(turn * step % studs + 1 for turn in range(studs))


def _even_star(studs: int) -> tuple[int, ...]:
    half = studs // 2
    order: list[int] = []
    for pair in (*range(0, half, 2), *range(1, half, 2)):
        order += _far_end_first(order[-1] if order else half, pair, studs)
    return tuple(nut + 1 for nut in order)


def _far_end_first(last: int, pair: int, studs: int) -> list[int]:
    ends = [pair, pair + studs // 2]
    return sorted(ends, key=lambda end: -between_studs(last, end, studs))


def between_studs(one: int, other: int, studs: int) -> int:
    """Steps from stud to stud, the short way round."""
    apart = abs(one - other) % studs
    return min(apart, studs - apart)


# The stages


@dataclass(frozen=True)
class Pass:
    """One round over all nuts in the star order; in the check round nothing should move any more."""

    number: int
    torque: Decimal
    wheel_up: bool
    check: bool = False


def staged_passes(aim: Decimal, unit: str) -> Worked[tuple[Pass, ...]]:
    """Rounds at about a quarter, a half and the whole of the aim, then a check round at the whole.

    `aim`: over 0, in `unit` (lbf_ft, N_m ...). The first two are rounded to 5 (to 1 under an aim of 40) and
    done with the wheel off the ground. Raises Impossible at 0 or less. Source: common practice.
    """
    if not aim > 0:
        raise Impossible("A torque cannot be 0 or less", f"a torque such as {with_unit('110', unit)}")
    torques = [_to_hand(aim * share, aim) for share in SHARES[:-1]] + [aim]
    rounds = [Pass(turn, torque, wheel_up=torque != aim) for turn, torque in enumerate(torques, 1)]
    passes = (*rounds, Pass(len(rounds) + 1, aim, wheel_up=False, check=True))
    return Worked(
        name="tightening passes",
        value=passes,
        says=", ".join(f"{torque:f}" for torque in torques) + f" {with_unit('', unit).strip()}, then check",
        formula="a quarter, a half, the whole, then once more the whole",
        inputs=(Input("aim", with_unit(f"{aim:f}", unit)),),
        source=COMMON_PRACTICE,
        unit=unit,
        caution=CLEAN_AND_DRY,
    )


def _to_hand(torque: Decimal, aim: Decimal) -> Decimal:
    step = Decimal(5) if aim >= 40 else Decimal(1)
    return max(step, (torque / step).quantize(Decimal(1), rounding="ROUND_HALF_DOWN") * step)


def read_retorques(text: str) -> tuple[int, ...]:
    """A shop's retorque distances in miles from a text such as `10, 25, 50`.

    Raises Impossible for anything but one to six rising whole numbers from 1 to 500.
    """
    parts = text.replace(",", " ").split()
    if not all(part.isascii() and part.isdigit() and len(part) < 5 for part in parts):
        raise Impossible("These are not whole miles", MILES_ACCEPTED)
    miles = tuple(int(part) for part in parts)
    rising = all(one < other for one, other in itertools.pairwise((0, *miles)))
    if not 1 <= len(miles) <= MOST_RETORQUES or not rising or miles[-1] > FARTHEST_RETORQUE:
        raise Impossible("These miles do not rise, or are too many or too far", MILES_ACCEPTED)
    return miles


def miles_said(miles: Sequence[int]) -> str:
    """Retorque distances in words: `10, 25 and 50 miles`."""
    *before, last = map(str, miles)
    return f"{', '.join(before)} and {last} miles" if before else f"{last} miles"


def retorque_schedule(miles: tuple[int, ...] = RETORQUE_MILES) -> Worked[tuple[int, ...]]:
    """Miles after which wheel nuts are tightened again after any wheel was fitted, then before each trip.

    `miles`: the shop's schedule; 10, 25 and 50 by common practice.
    """
    km = ", ".join(f"{convert(Decimal(each), 'mi', 'km'):.0f}" for each in miles)
    return Worked(
        name="retorque",
        value=miles,
        says=f"after {miles_said(miles)} ({km} km), then before each trip",
        formula="distance driven since the wheel was fitted",
        inputs=(),
        source=COMMON_PRACTICE if miles == RETORQUE_MILES else SHOP_SETTING,
        unit="mi",
        caution="Stop where it is safe; a nut that turns was loose. If it turns again, do not go on.",
    )


# The wrench


class Wrench(StrEnum):
    """Kind of torque wrench, as far as its deviation depends on it."""

    CLICK = "click"
    DIAL = "dial"
    ELECTRONIC = "electronic"
    BEAM = "beam"


def wrench_deviation(kind: Wrench, top: Decimal, unit: str) -> Worked[Decimal]:
    """Share by which the wrench may be off: 0.04, or 0.06 for a bending beam and for small wrenches.

    `top`: the end of the wrench's scale, in `unit`; up to 10 N·m counts as small. A calibration
    certificate that states more wins. Source: ISO 6789-1:2017, from memory.
    """
    small = convert(top, unit, "N_m") <= SMALL_WRENCH_N_M
    share = COARSE_DEVIATION if small or kind is Wrench.BEAM else FINE_DEVIATION
    return Worked(
        name="wrench deviation",
        value=share,
        says=_percent(share),
        formula="6 % for a bending beam and up to 10 N·m, else 4 %",
        inputs=(Input("wrench", kind.value), Input("end of scale", with_unit(f"{top:f}", unit))),
        source=WRENCH_RULE,
    )


def wrench_band(
    reading: Decimal, unit: str, deviation: Decimal = FINE_DEVIATION
) -> Worked[tuple[Decimal, Decimal]]:
    """Least and most torque that a reading can mean: reading x (1 - d) to reading x (1 + d).

    `deviation`: share from 0 up to under 1. Raises Impossible for a reading of 0 or less.
    Source: ISO 6789-1:2017, from memory.
    """
    _over_nothing(reading, unit)
    least, most = reading * (1 - deviation), reading * (1 + deviation)
    return Worked(
        name="true torque",
        value=(least, most),
        says=f"{plain(least)} to {with_unit(plain(most), unit)}",
        formula="reading x (1 - d) to reading x (1 + d)",
        inputs=(Input("reading", with_unit(f"{reading:f}", unit)), Input("d", _percent(deviation))),
        source=WRENCH_RULE,
        unit=unit,
    )


@dataclass(frozen=True)
class Adapter:
    """An adapter between wrench and nut, lengths in one unit.

    `wrench`: square drive to the middle of the grip, over 0. `reach`: square drive to the nut, 0 or more.
    `angle`: degrees between the adapter and the handle's line, either way: 0 straight out, 90 square to it,
    180 folded back.
    """

    wrench: Decimal
    reach: Decimal
    angle: Decimal = Decimal(0)

    @property
    def ratio(self) -> Decimal:
        """Wrench setting for each unit of torque at the nut; Impossible where the lever vanishes."""
        if self.wrench <= 0 or self.reach < 0:
            raise Impossible("A wrench has a length", "lengths such as 18 in and 2 in")
        lever = self.wrench + self.reach * _cosine(self.angle)
        if lever <= 0:
            raise Impossible("The adapter reaches back past the grip", "a shorter adapter, or another angle")
        return self.wrench / lever


def wrench_setting(at_nut: Decimal, adapter: Adapter, unit: str) -> Worked[Decimal]:
    """Torque to set on the wrench so that the nut gets `at_nut` through an adapter.

    Both in `unit`; a socket extension along the drive needs no correction. Raises Impossible for 0 or less.
    Source: US Army TM 9-254, figures 4-5 and 4-6.
    """
    _over_nothing(at_nut, unit)
    setting = at_nut * adapter.ratio
    return Worked(
        name="wrench setting",
        value=setting,
        says=with_unit(plain(setting, 1), unit),
        formula="torque at the nut x L / (L + E x cos a)",
        inputs=(Input("torque at the nut", with_unit(f"{at_nut:f}", unit)), *_adapter_inputs(adapter)),
        source=Source("US Army TM 9-254", "figures 4-5 and 4-6"),
        unit=unit,
    )


def torque_at_nut(setting: Decimal, adapter: Adapter, unit: str) -> Worked[Decimal]:
    """Torque that the nut gets when the wrench is set to `setting` and an adapter is on it.

    Both in `unit`. Raises Impossible for 0 or less. Source: US Army TM 9-254, figures 4-5 and 4-6.
    """
    _over_nothing(setting, unit)
    torque = setting / adapter.ratio
    return Worked(
        name="torque at the nut",
        value=torque,
        says=with_unit(plain(torque, 1), unit),
        formula="wrench setting x (L + E x cos a) / L",
        inputs=(Input("wrench setting", with_unit(f"{setting:f}", unit)), *_adapter_inputs(adapter)),
        source=Source("US Army TM 9-254", "figures 4-5 and 4-6"),
        unit=unit,
    )


def _adapter_inputs(adapter: Adapter) -> tuple[Input, ...]:
    return (
        Input("L, drive to grip", f"{adapter.wrench:f}"),
        Input("E, drive to nut", f"{adapter.reach:f}"),
        Input("a, adapter to handle", with_unit(f"{adapter.angle:f}", "deg")),
    )


def _cosine(angle: Decimal) -> Decimal:
    return Decimal(str(round(math.cos(math.radians(float(angle))), 12)))


# The verdict


@dataclass(frozen=True)
class TorqueRange:
    """The maker's figure: least and most torque in `unit`, ends included; both the same for a single figure.

    Raises Impossible where `low` is 0 or less or over `high`.
    """

    low: Decimal
    high: Decimal
    unit: str

    def __post_init__(self) -> None:
        if not 0 < self.low <= self.high:
            raise Impossible("The range runs backwards", f"such as 100 to {with_unit('120', self.unit)}")

    def __str__(self) -> str:
        high = with_unit(f"{self.high:f}", self.unit)
        return high if self.low == self.high else f"{self.low:f} to {high}"

    @property
    def aim(self) -> Decimal:
        """The middle of the range."""
        return (self.low + self.high) / 2


def read_through(reading: Decimal, adapter: Adapter, figure: TorqueRange) -> Decimal:
    """Torque at the nut for what the wrench shows, as printed, in the figure's unit.

    It is an end of the figure itself where the wrench shows that end's setting in as many digits as were
    read: 117 is what 135 reads as through 1.5 in on 10 in (117.39).
    """
    ends = (end for end in (figure.low, figure.high) if reads_as(reading, end * adapter.ratio))
    return next(ends, as_printed(reading / adapter.ratio, 1))


@dataclass(frozen=True)
class NutReading:
    """One nut's last reading with its grade; no reading: unseen."""

    nut: int
    reading: Decimal | None
    grade: Grade


def torque_verdict(
    readings: Mapping[int, Decimal],
    studs: int,
    figure: TorqueRange | None,
    deviation: Decimal = FINE_DEVIATION,
) -> Worked[tuple[NutReading, ...]]:
    """Each nut's grade against the maker's figure and the wrench's band, with the wheel's verdict.

    `readings`: nut number to reading, in the figure's unit; a nut left out is unseen, and so is everything
    where there is no figure. Under the low end: do not tow. Over the high end by more than the wrench's
    deviation: needs work before towing. Inside, or over by less, but the band reaches out: watch.
    Raises Impossible for a reading of 0 or less, ValueError for a nut that the wheel does not have.
    Source: 49 CFR 570.10(c) (nuts tight), limits common practice.
    """
    if strangers := set(readings) - set(range(1, studs + 1)):
        raise ValueError(f"the wheel has no nut {sorted(strangers)}")
    nuts = tuple(_graded(nut, readings.get(nut), figure, deviation) for nut in range(1, studs + 1))
    verdict = _wheel_verdict(nuts, figure)
    typed = ", ".join(_typed(nut.reading) for nut in nuts)
    return Worked(
        name="wheel nut torque",
        value=nuts,
        says=verdict.says,
        formula="every nut between the low and the high end; the wrench may be off by d",
        inputs=(Input("readings, nut 1 on", typed), Input("d", _percent(deviation))),
        source=IN_PLACE,
        unit=figure.unit if figure else "",
        limit=str(figure) if figure else "",
        verdict=verdict,
        caution=CLEAN_AND_DRY,
    )


def _graded(nut: int, reading: Decimal | None, figure: TorqueRange | None, deviation: Decimal) -> NutReading:
    if reading is None or figure is None:
        return NutReading(nut, reading, Grade.UNSEEN)
    _over_nothing(reading, figure.unit)
    return NutReading(nut, reading, torque_grade(reading, figure, deviation))


def torque_grade(reading: Decimal, figure: TorqueRange, deviation: Decimal) -> Grade:
    """Grade of one reading, in the figure's unit, with a wrench that may be off by a share of it.

    Source: common practice.
    """
    if reading < figure.low:
        return Grade.DNT
    if reading > figure.high * (1 + deviation):
        return Grade.NEEDS
    return Grade.SOUND if _surely_inside(reading, figure, deviation) else Grade.WATCH


def _surely_inside(reading: Decimal, figure: TorqueRange, deviation: Decimal) -> bool:
    if figure.low == figure.high:  # a single figure leaves the wrench its band
        return reading == figure.low
    return figure.low <= reading * (1 - deviation) and reading * (1 + deviation) <= figure.high


_SAYS = {
    Grade.DNT: "under {figure}: tighten before the wheel turns",
    Grade.NEEDS: "over {figure}: slacken and tighten anew",
    Grade.UNSEEN: "without a reading",
    Grade.WATCH: "so near an end of {figure} that the wrench cannot tell which side of it",
}


def _wheel_verdict(nuts: Sequence[NutReading], figure: TorqueRange | None) -> Verdict:
    if figure is None:
        return Verdict(Grade.UNSEEN, "No figure for this wheel: ask its maker or the placard")
    grade = min((nut.grade for nut in nuts), key=HEAVIEST_FIRST.index)
    if grade is Grade.SOUND:
        return Verdict(grade, f"All {len(nuts)} nuts inside {figure}")
    which = [nut.nut for nut in nuts if nut.grade is grade]
    says = f"{_named(which)} {_SAYS[grade].format(figure=figure)}"
    return Verdict(grade, says, By.TOWING if grade is Grade.NEEDS else None)


def retorque_verdict(moved: Collection[int], moved_before: Collection[int] = ()) -> Verdict:
    """What a check round or retorque means: the nuts that moved at the full figure, now and last time.

    Nothing moved: sound. Moved: needs another round before towing. Moved twice running: do not tow before
    seat, stud and wheel are looked at. Source: common practice.
    """
    if twice := sorted(set(moved) & set(moved_before)):
        return Verdict(Grade.DNT, f"{_named(twice)} moved twice running: look at seat, stud and wheel")
    if moved:
        return Verdict(Grade.NEEDS, f"{_named(sorted(moved))} moved: go round once more", By.TOWING)
    return Verdict(Grade.SOUND, "No nut moved")


def question_torque(field: str, torque: Quantity) -> list[Problem]:
    """What to ask about a wheel torque: outside 40 to 350 lbf·ft is unlikely, 0 or less impossible.

    Source: common practice.
    """
    if torque.value <= 0:
        return [Problem(field, "A torque cannot be 0 or less", "a torque such as 110 lbf·ft")]
    low, high = USUAL_LBF_FT
    if low <= torque.to("lbf_ft") <= high:
        return []
    return [Problem(field, f"{torque} is unusual for a wheel nut", "40 to 350 lbf·ft", ask=True)]


def _over_nothing(torque: Decimal, unit: str) -> None:
    if not torque > 0:
        raise Impossible("A torque cannot be 0 or less", f"a torque such as {with_unit('110', unit)}")


def _named(nuts: Sequence[int]) -> str:
    if len(nuts) == 1:
        return f"Nut {nuts[0]}"
    return f"Nuts {', '.join(map(str, nuts[:-1]))} and {nuts[-1]}"


def _typed(reading: Decimal | None) -> str:
    return "none" if reading is None else f"{reading:f}"


def _percent(share: Decimal) -> str:
    return with_unit(f"{(share * 100).normalize():f}", "percent")
