"""The forms of the catalogue's pages, read into changes. Pure but for what was sent."""

import re
from collections.abc import Iterator
from decimal import Decimal

from pydantic import ValidationError

from app.inspection.catalogue import DEPTHS, KINDS, Catalogue, Check, Limit, Measure
from app.inspection.readings import accepted
from app.inspection.shop_changes import SHOP, CheckAdded, KitsSet, LimitSet, PhraseSet, sign_of
from app.trade.figure import By, Grade
from app.trade.problems import Problem, Refused
from app.trade.quantity import UNITS
from app.trade.typed import Reader, Typed

OWN = "ow"  # keys of the shop's own checks begin so
PLACES = ("unit", "side", "axle", "wheel", "tire", "hub")
GRADES = {
    "watch": "Watch",
    "needs-soon": "Needs work, soon",
    "needs-use": "Needs work, before use",
    "needs-towing": "Needs work, before towing",
    "dnt": "Do not tow",
}
MOST_SEEN = 4  # things to be seen that the form of a new check takes


def limit_field(measure: str, place: int) -> str:
    """Name of the field of a limit's number."""
    return f"limit-{measure}-{place}"


def read_limits(typed: Typed, check: Check) -> list[LimitSet]:
    """The numbers of a check's limits, as shipped, that a form changes; raises Refused beside each field.

    `check`: as it ships. A field left empty, or with the number as shipped, is no change.
    """
    read = Reader(typed)
    found = [
        LimitSet(check=check.key, measure=measure.key, numbers=tuple(_numbers(read, measure)))
        for measure in check.measures
        if any(sign_of(limit) for limit in measure.limits)
    ]
    read.done()
    return found


def _numbers(read: Reader, measure: Measure) -> Iterator[Decimal | None]:
    for place, limit in enumerate(measure.limits):
        field = limit_field(measure.key, place)
        number = read.number(field) if sign_of(limit) else None
        yield None if number is None or number in limit.ends else _inside(read, measure, field, number)


def _inside(read: Reader, measure: Measure, field: str, number: Decimal) -> Decimal:
    low, high = measure.least, measure.most
    if (low is not None and number < low) or (high is not None and number > high):
        read.wrong(field, f"{number:f} cannot be read here", accepted(measure))
    return number


def read_kits(typed: Typed, catalogue: Catalogue, check: Check) -> KitsSet:
    """The kits that a check, or one of its defects, suggests; raises Refused for one that is not there."""
    read, kits = Reader(typed), tuple(dict.fromkeys(typed.all("kit")))
    defect = read.raw("defect")
    if defect and defect not in {each.key for each in check.defects}:
        read.wrong("defect", "This is not in the check's list", "a thing of the list")
    if not set(kits) <= {kit.key for kit in catalogue.kits_offered}:
        read.wrong("kit", "There is no such kit", "a kit of the list")
    read.done()
    return KitsSet(check=check.key, defect=defect, kits=kits)


def read_phrase(typed: Typed) -> PhraseSet:
    """A phrase added, or with `remove` taken away; raises Refused where it is none."""
    read = Reader(typed)
    says = read.text("says", required="Write the phrase", most=60)
    if says and len(says) < 2:
        read.wrong("says", "This is too short", "a phrase such as: Owner told at the unit")
    read.done()
    return PhraseSet(says=says, kept=not read.yes("remove"))


def read_check(typed: Typed, catalogue: Catalogue) -> CheckAdded:
    """A check of the shop's own; raises Refused with every field that is wrong."""
    read = Reader(typed)
    name = read.text("name", required="Name the check", most=60)
    key = f"{OWN}.{re.sub(r'[^a-z0-9]+', '_', name.lower()).strip('_')[:40]}"
    said = {
        "key": key,
        "name": name,
        "system": _one_of(read, "system", [check.system for check in catalogue.checks]),
        "kinds": _some_of(read, "kinds", KINDS),
        "places": _one_of(read, "places", PLACES),
        "depth": _some_of(read, "depth", DEPTHS),
        "station": read.whole("station", least=0, most=10) or 0,
        "safety": read.yes("safety"),
        "look": read.text("look", required="Say how to look", most=400),
        "measure": _measures(read),
        "defect": list(_defects(read)),
    }
    if name and (key == f"{OWN}." or any(check.key == key for check in catalogue.checks)):
        read.wrong("name", "There is such a check already", "another name")
    if not said["measure"] and not said["defect"]:
        read.wrong("seen-1", "Say what is read or what can be seen", "one thing at least")
    read.done()
    return CheckAdded(check=_made(said))


def _made(said: dict[str, object]) -> Check:
    try:
        return Check.model_validate(said)
    except ValidationError as wrong:
        raise Refused([Problem("name", each["msg"], "") for each in wrong.errors()]) from None


def _one_of(read: Reader, field: str, known: object) -> str:
    found = read.raw(field)
    if found not in list(known):  # type: ignore[call-overload]  # any collection of words
        read.wrong(field, "Choose one of these", "a choice of the list")
    return found


def _some_of(read: Reader, field: str, known: tuple[str, ...]) -> list[str]:
    found = list(dict.fromkeys(read.typed.all(field)))
    if not found or not set(found) <= set(known):
        read.wrong(field, "Choose at least one of these", "choices of the list")
    return found


def _measures(read: Reader) -> list[dict[str, object]]:
    """The one reading that a check of the shop may ask for."""
    label = read.text("label", most=60)
    if not label:
        return []
    unit = read.raw("unit")
    if unit not in UNITS:
        read.wrong("unit", f"{unit[:20]} is not a unit", "a unit of the list")
        return []
    low, high = (read.number(name, required="Say what is usual") for name in ("low", "high"))
    if low is None or high is None or low >= high:
        read.wrong("high", "The usual range ends above where it begins", "two numbers, such as 1 and 20")
        return []
    return [{"key": "reading", "label": label, "unit": unit, "usual": (low, high), "required": False}]


def _defects(read: Reader) -> Iterator[dict[str, object]]:
    for number in range(1, MOST_SEEN + 1):
        says = read.text(f"seen-{number}", most=80)
        if len(says) < 2:
            continue
        grade, _, by = (read.raw(f"grade-{number}") or "watch").partition("-")
        if f"{grade}-{by}".strip("-") not in GRADES:
            read.wrong(f"grade-{number}", "Choose one of these", "a choice of the list")
            continue
        graded = {"grade": Grade(grade), "by": By(by) if by else None}
        yield {"key": f"seen_{number}", "says": says, "source": SHOP, **graded}


def shipped_limits(check: Check) -> list[tuple[Measure, int, Limit, str]]:
    """The limits of a check that a form shows: measure, place, limit, and the word of its sign."""
    return [
        (measure, place, limit, sign[1])
        for measure in check.measures
        for place, limit in enumerate(measure.limits)
        if (sign := sign_of(limit))
    ]
