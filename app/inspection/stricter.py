"""Whether a shop's own catalogue keeps what the law sets: law limits may be made stricter, never looser."""

from collections.abc import Iterator, Sequence
from decimal import Decimal
from itertools import pairwise

from app.inspection.catalogue import Catalogue, Check, Limit, Measure
from app.inspection.ruling import Weight, weight
from app.trade.figure import Grade

BEYOND = Decimal(1)  # a step outside the outermost limits


def loosened(law: Catalogue, shop: Catalogue) -> list[str]:
    """What a shop's catalogue takes away from the law limits of the one that ships; empty where nothing.

    Every number or answer that a law limit catches has to come to a grade at least as heavy in the shop's.
    A sentence for each measure that fails, for each that is gone, and for each kind or depth left out.
    """
    kept = {check.key: check for check in shop.checks}
    return [says for check in law.checks for says in _check(check, kept.get(check.key))]


def _check(law: Check, shop: Check | None) -> Iterator[str]:
    bound = [measure for measure in law.measures if any(limit.law for limit in measure.limits)]
    if bound and shop is None:
        yield f"{law.key}: the law sets limits here, the check has to stay"
    if not bound or shop is None:
        return
    if gone := sorted({*law.kinds, *law.depth} - {*shop.kinds, *shop.depth}):
        yield f"{law.key}: left out for {', '.join(gone)}"
    kept = {measure.key: measure for measure in shop.measures}
    for measure in bound:
        yield from _measure(law.key, measure, kept.get(measure.key))


def _measure(key: str, law: Measure, shop: Measure | None) -> Iterator[str]:
    if shop is None or (shop.unit, shop.kind) != (law.unit, law.kind):
        yield f"{key}: {law.label} has to stay, in its unit"
    elif law.required and not shop.required:
        yield f"{key}: {law.label} has to be read"
    elif says := _lighter_at(law, shop):
        yield f"{key}: {law.label} at {says} may not be lighter than the law"


def _lighter_at(law: Measure, shop: Measure) -> str:
    """The first answer or number that the shop grades lighter than a law limit; empty where none."""
    for answer in law.answers:
        if _is_lighter(_by_answer(law, answer), _by_answer(shop, answer)):
            return answer
    for number in _numbers([*law.limits, *shop.limits]):
        if _is_lighter(_by_number(law, number), _by_number(shop, number)):
            return f"{number:f}"
    return ""


def _is_lighter(law: Limit | None, shop: Limit | None) -> bool:
    return law is not None and law.law and _weight(shop) > _weight(law)


def _weight(limit: Limit | None) -> Weight:
    return weight(limit.grade, limit.by) if limit else weight(Grade.SOUND, None)


def _by_answer(measure: Measure, answer: str) -> Limit | None:
    return next((limit for limit in measure.limits if limit.value == answer), None)


def _by_number(measure: Measure, number: Decimal) -> Limit | None:
    return next((limit for limit in measure.limits if limit.has_number and limit.applies_to(number)), None)


def _numbers(limits: Sequence[Limit]) -> list[Decimal]:
    """Numbers that tell the two apart: every end of a limit, one between each two, one beyond each side.

    Between two ends the grade does not change, so these settle every number.
    """
    ends = sorted({end for limit in limits for end in limit.ends})
    if not ends:
        return []
    between = [(one + other) / 2 for one, other in pairwise(ends)]
    return sorted([ends[0] - BEYOND, *ends, *between, ends[-1] + BEYOND])
