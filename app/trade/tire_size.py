"""Size markings on a sidewall and the geometry that follows from them.

Real tires differ from the arithmetic by about 1 %; a tape round the tire beats it.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from decimal import Decimal
from enum import StrEnum

from app.trade.figure import COMMON_PRACTICE, Input, Source, Worked, plain
from app.trade.problems import Impossible, Problem
from app.trade.quantity import with_unit

MM_IN = Decimal("25.4")
MM_MILE = Decimal("1609344")
MM_KM = Decimal("1000000")
PI = Decimal("3.14159265358979323846")
SIZE_ACCEPTS = "a size as marked, such as ST205/75R14, LT235/85R16, 20.5x8.0-10 or 4.80-12"
GEOMETRY = Source("ISO 4000-1", "design dimensions")
CALCULATED = "Calculated from the marking; a tire on its rim differs by about 1 %, a taped one decides."


class SizeKind(StrEnum):
    """Which way of marking a size follows."""

    ST = "ST metric"
    LT = "LT metric"
    P = "P metric"
    EURO = "Euro metric"
    FLOTATION = "flotation"
    NUMERIC = "numeric"


class Build(StrEnum):
    """How the carcass is built."""

    RADIAL = "radial"
    BIAS = "bias"


# rolling circumference over diameter: ETRTO standards manual, ISO 4000-1 (from memory)
ROLLING = {Build.RADIAL: Decimal("3.05"), Build.BIAS: Decimal("2.99")}
PASSENGER = (SizeKind.P, SizeKind.EURO)
# overall diameters in inches that the marking does not tell: trailer tire tables (from memory)
TABLED = {
    "4.80-8": "16.1",
    "4.80/4.00-8": "16.1",
    "5.70-8": "18.1",
    "6.90/6.00-9": "21.1",
    "4.80-12": "20.5",
    "5.30-12": "21.9",
    "7.00-15": "29.4",
    "8-14.5": "27.7",
}
# rim widths in inches, narrowest and widest: trailer tire tables (from memory)
RIMS = {
    "175/80-13": ("4.5", "5.5"),
    "205/75-14": ("5", "6.5"),
    "215/75-14": ("5.5", "7"),
    "225/75-15": ("5", "7"),
    "235/80-16": ("6", "7.5"),
    "4.80-8": ("3.75", "3.75"),
    "4.80/4.00-8": ("3.75", "3.75"),
    "5.70-8": ("3.75", "3.75"),
    "6.90/6.00-9": ("4.5", "4.5"),
    "20.5x8.0-10": ("6", "6"),
    "20.5x8-10": ("6", "6"),
    "18.5x8.5-8": ("7", "7"),
    "4.80-12": ("4", "4"),
    "5.30-12": ("4", "4"),
    "7.00-15": ("5", "6"),
}


@dataclass(frozen=True)
class TireSize:
    """A size as marked. Metric: `section` in mm and `aspect` in percent; else `section` in inches.

    `rim`: rim diameter in inches. `marked_diameter`: inches, flotation only. `load_range`, `index`,
    `dual_index` and `speed` are what stood behind the size, empty or None where nothing did.
    """

    marking: str
    kind: SizeKind
    build: Build
    section: Decimal
    rim: Decimal
    aspect: Decimal | None = None
    marked_diameter: Decimal | None = None
    load_range: str = ""
    index: int | None = None
    dual_index: int | None = None
    speed: str = ""
    problems: tuple[Problem, ...] = ()

    @property
    def passenger(self) -> bool:
        """Whether its load is divided by 1.10 on a trailer: P metric and Euro metric."""
        return self.kind in PASSENGER

    @property
    def section_mm(self) -> Decimal:
        """Nominal section width in mm."""
        return self.section if self.aspect is not None else self.section * MM_IN

    def __str__(self) -> str:
        return self.marking


_TAIL = (
    r"(?:\s*(?P<ply>\d{1,2})\s*PR)?"
    r"(?:\s*(?:LR|LOAD RANGE)?\s*(?P<range>[A-HJLMN])(?:\s*\d{1,2}\s*PR)?)?"
    r"(?:\s+(?P<index>\d{2,3})(?:/(?P<dual>\d{2,3}))?\s*(?P<speed>[A-Z]))?\s*$"
)
_METRIC = re.compile(
    r"^\s*(?P<prefix>ST|LT|P)?\s*(?P<section>\d{2,3})\s*/\s*(?P<aspect>\d{2,3})\s*"
    r"(?P<build>ZR|R|D|B|-)\s*(?P<rim>\d{1,2}(?:\.5)?)(?P<suffix>LT|ST)?" + _TAIL
)
_FLOTATION = re.compile(
    r"^\s*(?P<diameter>\d{2}(?:\.\d{1,2})?)\s*X\s*(?P<section>\d{1,2}(?:\.\d{1,2})?)\s*"
    r"(?P<build>R|D|B|-)\s*(?P<rim>\d{1,2}(?:\.5)?)\s*(?P<suffix>LT|ST)?" + _TAIL
)
_NUMERIC = re.compile(
    r"^\s*(?P<prefix>ST)?\s*(?P<section>\d{1,2}(?:\.\d{1,2})?)(?:\s*/\s*(?P<other>\d\.\d{2}))?\s*"
    r"(?P<build>R|D|-)\s*(?P<rim>\d{1,2}(?:\.5)?)\s*(?P<suffix>LT|ST|MH)?" + _TAIL
)
_KINDS = {"ST": SizeKind.ST, "LT": SizeKind.LT, "P": SizeKind.P, None: SizeKind.EURO}
_RANGE_BY_PLY = dict(zip(range(2, 26, 2), "ABCDEFGHJLMN", strict=True))


def read_size(typed: str) -> TireSize:
    """The size that stands in a marking, with load range, load index and speed symbol behind it.

    Accepts blanks, lower case, a comma for the point. Raises Impossible where it is no size, or outside
    rim 8 to 24.5 in, section 100 to 400 mm (2 to 16 in), aspect 30 to 100 %.
    """
    text = " ".join(typed.upper().replace(",", ".").replace("×", "X").split())
    for pattern, made in _WAYS:
        if text.isascii() and (found := pattern.match(text)):
            return _with_service(made(found), found)
    raise Impossible("This is no tire size", SIZE_ACCEPTS)


def _metric(found: re.Match[str]) -> TireSize:
    prefix, build = found["prefix"] or found["suffix"], _build(found["build"])
    sign = "R" if build is Build.RADIAL else found["build"]
    section, aspect, rim = (Decimal(found[name]) for name in ("section", "aspect", "rim"))
    _within(section, 100, 400, "section in mm")
    _within(aspect, 30, 100, "aspect in percent")
    return TireSize(
        marking=f"{prefix or ''}{section}/{aspect}{sign}{rim}",
        kind=_KINDS[prefix],
        build=build,
        section=section,
        rim=_rim(rim),
        aspect=aspect,
        problems=_without_letters(prefix),
    )


def _flotation(found: re.Match[str]) -> TireSize:
    diameter, section, rim = (Decimal(found[name]) for name in ("diameter", "section", "rim"))
    _within(section, 2, 16, "section in inches")
    if diameter < rim + 4:
        raise Impossible(f"A tire of {diameter} in does not go on a rim of {rim} in", SIZE_ACCEPTS)
    return TireSize(
        marking=f"{diameter}x{section}{found['build']}{rim}{found['suffix'] or ''}",
        kind=SizeKind.FLOTATION,
        build=_build(found["build"]),
        section=section,
        rim=_rim(rim),
        marked_diameter=diameter,
    )


def _numeric(found: re.Match[str]) -> TireSize:
    section, rim = Decimal(found["section"]), Decimal(found["rim"])
    _within(section, 2, 16, "section in inches")
    other = f"/{found['other']}" if found["other"] else ""
    suffix = found["prefix"] or found["suffix"] or ""
    return TireSize(
        marking=f"{section}{other}{found['build']}{rim}{suffix}",
        kind=SizeKind.NUMERIC,
        build=_build(found["build"]),
        section=section,
        rim=_rim(rim),
    )


_WAYS: tuple[tuple[re.Pattern[str], Callable[[re.Match[str]], TireSize]], ...] = (
    (_METRIC, _metric),
    (_FLOTATION, _flotation),
    (_NUMERIC, _numeric),
)


def _build(sign: str) -> Build:
    return Build.RADIAL if sign in ("R", "ZR") else Build.BIAS


def _rim(rim: Decimal) -> Decimal:
    _within(rim, 8, Decimal("24.5"), "rim in inches")
    return rim


def _within(value: Decimal, least: int, most: int | Decimal, what: str) -> None:
    if not least <= value <= most:
        raise Impossible(f"{value} is no {what}", f"{what} from {least} to {most}; {SIZE_ACCEPTS}")


def _range(found: re.Match[str]) -> str:
    if found["range"] or not found["ply"]:
        return found["range"] or ""
    return _RANGE_BY_PLY.get(int(found["ply"]), "")


def _with_service(size: TireSize, found: re.Match[str]) -> TireSize:
    index, dual = (int(found[name]) if found[name] else None for name in ("index", "dual"))
    return replace(size, load_range=_range(found), index=index, dual_index=dual, speed=found["speed"] or "")


def _without_letters(prefix: str | None) -> tuple[Problem, ...]:
    if prefix:
        return ()
    says = "No letters before the size: without ST or LT it is read as a passenger tire"
    return (Problem("size", says, SIZE_ACCEPTS, ask=True),)


def overall_diameter(size: TireSize) -> Worked[Decimal]:
    """Diameter of the inflated tire in mm.

    Metric: rim and twice the section height; flotation: as marked; numeric: from the table, else an
    estimate for rims of 8 to 12 in (Impossible for other rims). Source: ISO 4000-1; tables.
    """
    value, formula, source = _diameter(size)
    return Worked(
        name="overall diameter",
        value=value,
        says=f"{with_unit(plain(value, 1), 'mm')} ({with_unit(plain(value / MM_IN, 2), 'in')})",
        formula=formula,
        inputs=_parts(size),
        source=source,
        unit="mm",
        caution=CALCULATED,
    )


def _diameter(size: TireSize) -> tuple[Decimal, str, Source]:
    if size.aspect is not None:
        formula = "rim x 25.4 + 2 x section x aspect / 100"
        return size.rim * MM_IN + 2 * size.section * size.aspect / 100, formula, GEOMETRY
    if size.marked_diameter is not None:
        return size.marked_diameter * MM_IN, "the diameter that is marked", GEOMETRY
    return _numeric_diameter(size)


def _numeric_diameter(size: TireSize) -> tuple[Decimal, str, Source]:
    if (tabled := TABLED.get(_family(size))) is not None:
        return Decimal(tabled) * MM_IN, "the table of trailer tires", COMMON_PRACTICE
    if not 8 <= size.rim <= 12:
        raise Impossible(f"The marking {size} does not tell the diameter", "the diameter taped on the tire")
    estimate = (size.rim + Decimal("1.78") * size.section) * MM_IN
    return estimate, "an estimate: rim + 1.78 x section, within 3 %", COMMON_PRACTICE


def _parts(size: TireSize) -> tuple[Input, ...]:
    unit = "mm" if size.aspect is not None else "in"
    parts = [Input("size", str(size)), Input("section", with_unit(str(size.section), unit))]
    if size.aspect is not None:
        parts.append(Input("aspect", with_unit(str(size.aspect), "percent")))
    return (*parts, Input("rim", with_unit(str(size.rim), "in")))


def circumference(size: TireSize) -> Worked[Decimal]:
    """Circumference of the tire in mm while it carries no load: pi x diameter. A tape round it reads this."""
    value = PI * overall_diameter(size).value
    return Worked(
        name="circumference",
        value=value,
        says=f"{with_unit(plain(value), 'mm')} ({with_unit(plain(value / MM_IN, 1), 'in')})",
        formula="pi x overall diameter",
        inputs=_parts(size),
        source=Source("geometry"),
        unit="mm",
        caution=CALCULATED,
    )


def revolutions_per_mile(size: TireSize) -> Worked[Decimal]:
    """Turns of a loaded wheel in a mile: 1,609,344 mm over 3.05 (bias: 2.99) x diameter."""
    return _revolutions(size, "revolutions per mile", "mile", MM_MILE)


def revolutions_per_km(size: TireSize) -> Worked[Decimal]:
    """Turns of a loaded wheel in a kilometre: 1,000,000 mm over 3.05 (bias: 2.99) x diameter."""
    return _revolutions(size, "revolutions per km", "km", MM_KM)


def _revolutions(size: TireSize, name: str, word: str, way_mm: Decimal) -> Worked[Decimal]:
    diameter, factor = overall_diameter(size).value, ROLLING[size.build]
    value = way_mm / (factor * diameter)
    return Worked(
        name=name,
        value=value,
        says=f"{plain(value, 1)} a {word}",
        formula=f"length of a {word} / ({factor} x overall diameter), {size.build}",
        inputs=(*_parts(size), Input("overall diameter", with_unit(plain(diameter, 1), "mm"))),
        source=Source("ETRTO standards manual", "rolling circumference (from memory)"),
        caution=CALCULATED,
    )


def rim_widths(size: TireSize) -> Worked[tuple[Decimal, Decimal]]:
    """Narrowest and widest rim in inches that the size goes on.

    From the table where it is known, else 0.62 to 0.82 of the section, to the half inch inside.
    The tire maker's table decides. Source: trailer tire tables (from memory); common practice.
    """
    tabled = RIMS.get(_family(size))
    low, high = (Decimal(tabled[0]), Decimal(tabled[1])) if tabled else _rims_by_rule(size)
    return Worked(
        name="rim widths",
        value=(low, high),
        says=with_unit(f"{low}" if low == high else f"{low} to {high}", "in"),
        formula="the table of trailer tires" if tabled else "0.62 to 0.82 of the section, to half inches",
        inputs=_parts(size),
        source=COMMON_PRACTICE,
        unit="in",
        caution="The tire maker's table of rims decides.",
    )


def _family(size: TireSize) -> str:
    """The marking without letters and build, as the tables are kept: `205/75-14`, `4.80-8`."""
    if size.aspect is not None:
        return f"{size.section}/{size.aspect}-{size.rim}"
    return re.sub(r"[A-Z]+$", "", size.marking)


def _rims_by_rule(size: TireSize) -> tuple[Decimal, Decimal]:
    section = size.section_mm / MM_IN
    low = (section * Decimal("0.62") * 2).to_integral_value("ROUND_HALF_UP") / 2
    return low, (section * Decimal("0.82") * 2).to_integral_value("ROUND_FLOOR") / 2


def size_change(present: TireSize, other: TireSize) -> Worked[Decimal]:
    """Change of the overall diameter in percent from one size to another; half of it lifts the trailer."""
    before, after = overall_diameter(present).value, overall_diameter(other).value
    value = (after / before - 1) * 100
    lift = with_unit(plain((after - before) / 2, 1), "mm")
    return Worked(
        name="change of diameter",
        value=value,
        says=f"{plain(value, 2)} %; the axle stands {lift} higher",
        formula="new diameter / present diameter - 1; height: half the difference",
        inputs=(Input("present", str(present)), Input("other", str(other))),
        source=Source("geometry"),
        unit="percent",
        caution="After a change check the gap to fender, frame and brake line, and the level at the hitch.",
    )
