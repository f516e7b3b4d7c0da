"""Readings that would be found sound at a check of a made-up unit: tried until the rules agree."""

from collections.abc import Iterator
from datetime import date, timedelta
from decimal import Decimal
from itertools import product

from app.inspection import rules
from app.inspection.catalogue import Check, Measure
from app.inspection.ruling import UnitFacts
from app.trade.dates import week_of
from app.trade.figure import Grade
from app.trade.problems import Refused

MOST_TRIED = 400


def fitting(check: Check, facts: UnitFacts, day: date, place: str) -> dict[str, str] | None:
    """Texts of the required readings with which a check is sound; None where nothing tried is.

    A check whose figure is not known of the unit (nut torque of a home-built one) stays unseen.
    """
    if (texts := _known(check, facts, day)) is not None and _is_sound(check, texts, facts, day, place):
        return texts
    needed = [measure for measure in check.measures if measure.required]
    ways = product(*(list(_candidates(measure, facts, day)) for measure in needed))
    for count, way in enumerate(ways):
        texts = {measure.key: text for measure, text in zip(needed, way, strict=True)}
        if _is_sound(check, texts, facts, day, place):
            return texts
        if count > MOST_TRIED:
            break
    return None


def _is_sound(check: Check, texts: dict[str, str], facts: UnitFacts, day: date, place: str) -> bool:
    typed = {f"reading-{key}": text for key, text in texts.items()}
    try:
        readings = rules.read_readings(check, typed, set(), day)
    except Refused:
        return False
    return rules.judge(check, readings, (), facts, day, None, place).grade is Grade.SOUND


def _candidates(measure: Measure, facts: UnitFacts, day: date) -> Iterator[str]:
    """Texts to try, the likeliest first."""
    if measure.answers:
        yield from measure.answers
    elif measure.kind == "number":
        yield from _numbers(measure, facts)
    else:
        yield from _dates(measure, day)


def _numbers(measure: Measure, facts: UnitFacts) -> Iterator[str]:
    if measure.unit == "psi" and facts.placard_psi:
        yield f"{facts.placard_psi:f}"
    if measure.unit == "lbf_ft" and facts.torque_low and facts.torque_high:
        yield f"{(facts.torque_low + facts.torque_high) / 2:.0f}"
    low, high = measure.usual or (measure.least or Decimal(0), measure.most or Decimal(10))
    for tenth in (3, 6, 1, 8, 0, 10, 2, 5, 4, 7, 9):
        number = low + (high - low) * tenth / 10
        yield f"{number:.0f}" if high - low >= 5 else f"{number:.2f}"


def _dates(measure: Measure, day: date) -> Iterator[str]:
    made = day - timedelta(days=500)
    week = week_of(made)
    yield {
        "tin": f"{week.week:02}{week.year % 100:02}",
        "month": f"{made.month:02}-{made.year % 100:02}",
        "date": (day - timedelta(days=30)).isoformat(),
    }.get(measure.kind, "as on the papers")


def _known(check: Check, facts: UnitFacts, day: date) -> dict[str, str] | None:
    """Texts for the few checks whose readings hang together, so that trying each by itself finds nothing."""
    month = day - timedelta(days=120)
    wheels = str(2 * (facts.axles or 1))
    texts = {
        "id.label": {"gvwr": f"{facts.gvwr_lb or 0:f}"},
        "bk.works": {"held": wheels, "braked": wheels},
        "lp.leak": {"start": "9.0", "end": "9.0", "time": "10", "change": "stands still"},
        "rd.heat": {"hub": "118", "above": "6"},
        "id.vin": {"vin": facts.vin},
        "hb.service": {"last": f"{month.month:02}-{month.year % 100:02}", "miles": "900"},
        "cp.chains": {"count": "two", "strength": "11700", "meaning": "breaking strength"},
        "bk.battery": {"rested": "12.7", "minutes": "15", "end": "12.1", "held": wheels, "braked": wheels},
        "br.drum": {"first": "10.02", "second": "10.02", "maximum": "10.09"},
    }
    return texts.get(check.key)
