"""Moisture map: points on the sides of a unit with the meter's percent, the same points next time."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from decimal import Decimal
from typing import Literal

from app.bench.kinds import Context, Judged, Payload, RecordKind, heaviest_of
from app.trade.figure import Grade, Verdict
from app.trade.moisture import CAUTION, moisture
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, read_number
from app.trade.typed import Reader, Typed

MOST_POINTS = 24
FRESH_POINTS = 8
SIDES = (
    ("roof", "Roof"),
    ("road", "Road side"),
    ("curb", "Curb side"),
    ("front", "Front"),
    ("rear", "Rear"),
    ("floor", "Floor"),
)
STAGES = (
    ("found", "As found"),
    ("close", "Open, before it is closed"),
    ("after", "After the work, or weeks on"),
)
LONGEST_FT = Decimal(60)
MORE = Decimal(2)  # percentage points above the last map that say it got wetter: the meter's own doubt


class Point(Payload):
    """One point: side, feet from its front or left end, words, percent now and on the last map."""

    side: Literal["roof", "road", "curb", "front", "rear", "floor"]
    at: str
    where: str = ""
    typed: str
    before: str = ""

    @property
    def name(self) -> str:
        """The point in words."""
        place = f"{dict(SIDES)[self.side]}, {self.at} ft"
        return f"{place}, {self.where}" if self.where else place


class MoistureMap(Payload):
    """Points of one unit, with meter and setting. `stage`: whether the wood is about to be covered."""

    meter: str
    stage: Literal["found", "close", "after"]
    warmth: str = ""
    points: tuple[Point, ...]


# Reading the form


def read(typed: Typed, _context: Context) -> MoistureMap:
    """The map that stands in a form, lines without a reading left out; raises Refused with every problem."""
    form = Reader(typed)
    meter = form.text("meter", required="The meter and its setting are missing", most=80)
    if form.raw("stage") not in dict(STAGES):
        form.wrong("stage", "Say when it was read", "as found, before closing, or after the work")
    form.number("warmth", least="-20", most="130")
    points = [_read_point(form, n) for n in range(1, MOST_POINTS + 1) if _begun(form, n)]
    if not points:
        form.wrong("p-1", "No point was read", "a side, feet and percent, such as 14")
    _check_twice(form, points)
    form.done()
    fields = {"meter": meter, "stage": form.raw("stage"), "warmth": form.raw("warmth"), "points": points}
    return MoistureMap.model_validate(fields)


def _begun(form: Reader, n: int) -> bool:
    return bool(form.raw(f"p-{n}"))


def _read_point(form: Reader, n: int) -> dict[str, str]:
    if form.raw(f"side-{n}") not in dict(SIDES):
        form.wrong(f"side-{n}", "The side is missing", "roof, road side, curb side, front, rear or floor")
    form.number(f"at-{n}", least="0", most=f"{LONGEST_FT}", required="How far along is missing")
    form.number(f"p-{n}", least="0", most="100", usual=("4", "60"))
    form.number(f"was-{n}", least="0", most="100")
    return {
        "side": form.raw(f"side-{n}"),
        "at": form.raw(f"at-{n}"),
        "where": form.text(f"where-{n}", most=60),
        "typed": form.raw(f"p-{n}"),
        "before": form.raw(f"was-{n}"),
    }


def _check_twice(form: Reader, points: list[dict[str, str]]) -> None:
    seen: set[tuple[str, ...]] = set()
    for n, each in enumerate(points, 1):
        here = (each["side"], each["at"], each["where"])
        if here in seen:
            form.wrong(
                f"where-{n}", "This point stands twice", "another place, or words that tell them apart"
            )
        seen.add(here)


# Judging


def judge(record: MoistureMap, _context: Context) -> Judged:
    """The heaviest of the wettest point and of points that got wetter since the last map."""
    points = {each.name: Quantity(each.typed, "percent") for each in record.points}
    figure = moisture(points, to_close=record.stage == "close")
    assert figure.verdict is not None
    return Judged(heaviest_of([figure.verdict, *_wetter(record)]), (figure,))


def _wetter(record: MoistureMap) -> list[Verdict]:
    return [
        Verdict(Grade.WATCH, f"{each.name}: {each.before} % before, {each.typed} % now")
        for each in record.points
        if each.before and read_number(each.typed) - read_number(each.before) > MORE
    ]


# The form's texts


def start(context: Context) -> dict[str, str]:
    """A fresh form: the points of the last map with what they read then, to be read again."""
    last = context.before or {}
    stage = "after" if last else "found"
    texts_ = {"meter": str(last.get("meter", "")), "stage": stage}
    for n, each in enumerate(last.get("points", ()), 1):
        texts_ |= _texts_of(n, each) | {f"p-{n}": "", f"was-{n}": each["typed"]}
    return texts_


def texts(record: MoistureMap) -> dict[str, str]:
    """The form that gives a map again."""
    found = {"meter": record.meter, "stage": record.stage, "warmth": record.warmth}
    for n, each in enumerate(record.points, 1):
        found |= _texts_of(n, each.model_dump())
    return found


def _texts_of(n: int, point: Mapping[str, str]) -> dict[str, str]:
    return {
        f"side-{n}": point["side"],
        f"at-{n}": point["at"],
        f"where-{n}": point["where"],
        f"p-{n}": point["typed"],
        f"was-{n}": point["before"],
    }


# The drawing

LEFT, WIDE, TALL = Decimal(120), Decimal(660), Decimal(60)


@dataclass(frozen=True)
class Spot:
    """One reading on its strip: middle, block as tall as the percent, what it says."""

    x: Decimal
    top: Decimal
    height: Decimal
    says: str
    wet: bool


@dataclass(frozen=True)
class Strip:
    """One side of the unit laid flat: its word, base line, readings."""

    word: str
    base: int
    spots: tuple[Spot, ...]


def draw(typed: Typed, _context: Context) -> Mapping[str, object]:
    """The sides as strips with a block at each point, and how many lines the form shows."""
    points = list(_points(typed))
    longest = max([Decimal(10), *(at for _, at, _ in points)])
    used = [(side, word) for side, word in SIDES if any(each[0] == side for each in points)]
    strips = tuple(
        Strip(word, 70 * n + 62, tuple(_spots(points, side, longest, 70 * n + 62)))
        for n, (side, word) in enumerate(used)
    )
    return {
        "strips": strips,
        "tall": 70 * len(used) + 20,
        "lines": range(1, _lines(typed) + 1),
        "sides": SIDES,
        "stages": STAGES,
        "stage_word": dict(STAGES).get(typed.get("stage"), ""),
        "side_words": dict(SIDES),
        "note": CAUTION,
    }


def _points(typed: Typed) -> Iterator[tuple[str, Decimal, Decimal]]:
    for n in range(1, MOST_POINTS + 1):
        try:
            at, percent = read_number(typed.get(f"at-{n}")), read_number(typed.get(f"p-{n}"))
        except Impossible:
            continue
        if 0 <= at <= LONGEST_FT and 0 <= percent <= 100:
            yield typed.get(f"side-{n}"), at, percent


def _spots(
    points: Iterable[tuple[str, Decimal, Decimal]], side: str, longest: Decimal, base: int
) -> Iterator[Spot]:
    for where, at, percent in points:
        if where == side:
            tall = (min(percent, Decimal(40)) / 40 * 34).quantize(Decimal("0.1"))
            x = (LEFT + WIDE * at / longest).quantize(Decimal("0.1"))
            yield Spot(x, base - tall, tall, f"{percent.normalize():f}", percent > 20)


def _lines(typed: Typed) -> int:
    used = [n for n in range(1, MOST_POINTS + 1) if typed.get(f"p-{n}") or typed.get(f"at-{n}")]
    return min(MOST_POINTS, max(FRESH_POINTS, max(used, default=0) + 2))


KIND = RecordKind(
    key="moisture_map",
    title="Moisture map",
    per="unit",
    shape=MoistureMap,
    read=read,
    judge=judge,
    start=start,
    texts=texts,
    draw=draw,
    cautions=("c13",),
)
