"""What a shop changes in the catalogue: stricter limits, kits, checks of its own, phrases.

Changes are kept apart from the catalogue that ships and laid over it, so that a newer one keeps them. Pure.
"""

from collections.abc import Callable, Iterator, Sequence
from decimal import Decimal
from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field, TypeAdapter, ValidationError

from app.inspection.catalogue import Catalogue, Check, Defect, Fee, Kit, Limit, Measure, Part, Says
from app.inspection.stricter import loosened
from app.trade.figure import Source
from app.trade.money import Money
from app.trade.problems import Problem, Refused
from app.trade.quantity import with_unit

SHOP = Source("limit of this shop")
OWN_KIT = "own_"  # keys of the shop's own kits begin so
SIGNS = (("under", "under"), ("up_to", "up to"), ("over", "over"), ("from_", "from"))


class Change(BaseModel):
    """Base of all changes: frozen, and no field that the format does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class LimitSet(Change):
    """Numbers of this shop for the limits of a measure, in the order as shipped; None where it has none."""

    kind: Literal["limit"] = "limit"
    check: str
    measure: str
    numbers: tuple[Decimal | None, ...]

    @property
    def what(self) -> tuple[str, ...]:
        """What it changes; a later change of the same takes its place."""
        return self.kind, self.check, self.measure


class KitsSet(Change):
    """The kits that a check, or one defect of it, suggests here, the one to be priced first."""

    kind: Literal["kits"] = "kits"
    check: str
    defect: str = ""
    kits: tuple[str, ...] = ()

    @property
    def what(self) -> tuple[str, ...]:
        """What it changes; a later change of the same takes its place."""
        return self.kind, self.check, self.defect


class KitEdited(Change):
    """A kit as this shop does and sells it; its records and cautions stay as shipped."""

    kind: Literal["kit"] = "kit"
    kit: str
    hours: Decimal
    steps: tuple[str, ...]
    parts: tuple[Part, ...] = ()
    fees: tuple[Fee, ...] = ()

    @property
    def what(self) -> tuple[str, ...]:
        """What it changes; a later change of the same takes its place."""
        return self.kind, self.kit


class KitAdded(Change):
    """A kit of the shop's own."""

    kind: Literal["own kit"] = "own kit"
    kit: Kit

    @property
    def what(self) -> tuple[str, ...]:
        """What it changes; a later change of the same takes its place."""
        return self.kind, self.kit.key


class KitAside(Change):
    """A kit of the shop's own put aside, or taken up again; what was priced by it keeps it."""

    kind: Literal["aside"] = "aside"
    kit: str
    aside: bool = True

    @property
    def what(self) -> tuple[str, ...]:
        """What it changes; a later change of the same takes its place."""
        return self.kind, self.kit


class CheckAdded(Change):
    """A check of the shop's own."""

    kind: Literal["check"] = "check"
    check: Check

    @property
    def what(self) -> tuple[str, ...]:
        """What it changes; a later change of the same takes its place."""
        return self.kind, self.check.key


class PhraseSet(Change):
    """A phrase for notes that the shop adds, or takes away."""

    kind: Literal["phrase"] = "phrase"
    says: Says
    kept: bool = True

    @property
    def what(self) -> tuple[str, ...]:
        """What it changes; a later change of the same takes its place."""
        return self.kind, self.says


AnyChange = LimitSet | KitsSet | KitEdited | KitAdded | KitAside | CheckAdded | PhraseSet
CHANGES: TypeAdapter[tuple[AnyChange, ...]] = TypeAdapter(
    tuple[Annotated[AnyChange, Field(discriminator="kind")], ...]
)


def laid_over(shipped: Catalogue, changes: Sequence[AnyChange]) -> Catalogue:
    """The shop's catalogue: the one that ships, with the shop's changes laid over it.

    Raises Refused where one does not fit, and where it makes lighter what the law sets.
    """
    made = shipped
    for change in changes:
        made = _with(made, change)
    if faults := [*made.faults(), *loosened(shipped, made)]:
        raise Refused([Problem("", fault, "a limit at least as strict as the law's") for fault in faults])
    return made


def fitting(shipped: Catalogue, changes: Sequence[AnyChange]) -> tuple[AnyChange, ...]:
    """Those of the changes that fit a newer catalogue; what it no longer has is left out."""
    kept: tuple[AnyChange, ...] = ()
    for change in changes:
        try:
            laid_over(shipped, (*kept, change))
        except Refused:
            continue
        kept = (*kept, change)
    return kept


def with_change(changes: Sequence[AnyChange], change: AnyChange) -> tuple[AnyChange, ...]:
    """The changes with one more, which takes the place of an earlier one of the same thing."""
    return (*(each for each in changes if each.what != change.what), change)


def _with(catalogue: Catalogue, change: AnyChange) -> Catalogue:
    try:
        changed = LAYERS[change.kind](catalogue, change)
        return Catalogue.model_validate(changed.model_dump(by_alias=True))
    except (KeyError, ValueError) as wrong:
        if isinstance(wrong, ValidationError):
            raise Refused([Problem("", each["msg"], "") for each in wrong.errors()]) from None
        raise Refused([Problem("", "The catalogue has no such thing", "a check of the list")]) from None


def _with_check(catalogue: Catalogue, key: str, change: Callable[[Check], Check]) -> Catalogue:
    old = catalogue.check(key)
    checks = tuple(change(old) if check is old else check for check in catalogue.checks)
    return catalogue.model_copy(update={"checks": checks})


def _limit_set(catalogue: Catalogue, change: LimitSet) -> Catalogue:
    def on(check: Check) -> Check:
        old = check.measure(change.measure)
        new = old.model_copy(update={"limits": tuple(_limits(old, change))})
        measures = tuple(new if each is old else each for each in check.measures)
        return check.model_copy(update={"measures": measures})

    return _with_check(catalogue, change.check, on)


def _limits(measure: Measure, change: LimitSet) -> Iterator[Limit]:
    """The limits with the shop's numbers; a limit of the law stays before the shop's own."""
    for limit, number in zip(measure.limits, change.numbers, strict=True):
        if limit.law or number is None:
            yield limit
        if number is not None:
            yield _own(limit, number, measure.unit)


def _own(limit: Limit, number: Decimal, unit: str) -> Limit:
    sign = sign_of(limit)
    if sign is None:
        raise Refused([Problem("", "This limit has not one number", "a limit with one number")])
    says = f"{sign[1]} {with_unit(f'{number:f}', unit)}"
    return limit.model_copy(update={sign[0]: number, "says": says, "source": SHOP, "law": False})


def sign_of(limit: Limit) -> tuple[str, str] | None:
    """Field and word of the one sign of a limit: under, up to, over, from; None for a band or an answer."""
    signs = [(name, word) for name, word in SIGNS if getattr(limit, name) is not None]
    return signs[0] if len(signs) == 1 else None


def _kits_set(catalogue: Catalogue, change: KitsSet) -> Catalogue:
    def on(check: Check) -> Check:
        if not change.defect:
            return check.model_copy(update={"kits": change.kits})
        old = check.defect(change.defect)
        new = old.model_copy(update={"kits": change.kits})
        defects: tuple[Defect, ...] = tuple(new if each is old else each for each in check.defects)
        return check.model_copy(update={"defects": defects})

    return _with_check(catalogue, change.check, on)


def _kit_edited(catalogue: Catalogue, change: KitEdited) -> Catalogue:
    old = catalogue.kit(change.kit)
    edited = {"hours": change.hours, "steps": change.steps, "parts": change.parts, "fees": change.fees}
    new = old.model_copy(update=edited | {"holds": _held(old, change.steps)})
    return catalogue.model_copy(update={"kits": tuple(new if kit is old else kit for kit in catalogue.kits)})


def _kit_added(catalogue: Catalogue, change: KitAdded) -> Catalogue:
    others = tuple(kit for kit in catalogue.kits if kit.key != change.kit.key)
    return catalogue.model_copy(update={"kits": (*others, change.kit)})


def _kit_aside(catalogue: Catalogue, change: KitAside) -> Catalogue:
    """A kit marked as put aside, and named by no check any more."""
    old = catalogue.kit(change.kit)
    if not change.aside:
        return catalogue
    new = old.model_copy(update={"aside": True})
    kits = tuple(new if kit is old else kit for kit in catalogue.kits)
    checks = tuple(_without_kit(check, change.kit) for check in catalogue.checks)
    return catalogue.model_copy(update={"kits": kits, "checks": checks})


def _without_kit(check: Check, key: str) -> Check:
    if key not in {*check.kits, *(kit for it in check.defects for kit in it.kits)}:
        return check
    defects = tuple(it.model_copy(update={"kits": _less(it.kits, key)}) for it in check.defects)
    return check.model_copy(update={"kits": _less(check.kits, key), "defects": defects})


def _less(kits: Sequence[str], key: str) -> tuple[str, ...]:
    return tuple(kit for kit in kits if kit != key)


def _held(kit: Kit, steps: Sequence[str]) -> tuple[int, ...]:
    """The numbers at which the steps that a second person signs stand now; Refused where one is gone."""
    held = [kit.steps[number - 1] for number in kit.holds]
    if gone := [step for step in held if step not in steps]:
        says = f"A second person signs this step, so it stays word for word: {gone[0]}"
        raise Refused([Problem("steps", says, "the steps with that line in them")])
    return tuple(sorted(steps.index(step) + 1 for step in held))


def _check_added(catalogue: Catalogue, change: CheckAdded) -> Catalogue:
    others = tuple(check for check in catalogue.checks if check.key != change.check.key)
    return catalogue.model_copy(update={"checks": (*others, change.check)})


def _phrase_set(catalogue: Catalogue, change: PhraseSet) -> Catalogue:
    others = tuple(each for each in catalogue.phrases if each != change.says)
    return catalogue.model_copy(update={"phrases": (*others, change.says) if change.kept else others})


LAYERS: dict[str, Callable[..., Catalogue]] = {
    "limit": _limit_set,
    "kits": _kits_set,
    "kit": _kit_edited,
    "own kit": _kit_added,
    "aside": _kit_aside,
    "check": _check_added,
    "phrase": _phrase_set,
}


# What differs, in words


def differences(before: Catalogue, after: Catalogue) -> list[str]:
    """What one version says otherwise than another, a sentence each; empty where they are the same."""
    old, new = ({check.key: check for check in each.checks} for each in (before, after))
    said = [f"New check: {new[key].name}" for key in new if key not in old]
    said += [f"Check left out: {old[key].name}" for key in old if key not in new]
    said += [says for key in old if key in new for says in _differ(old[key], new[key], after)]
    said += list(_kits_come_and_go(before, after))
    said += [says for kit in after.kits for says in _kit_differs(before, kit)]
    said += [f"New phrase: {each}" for each in after.phrases if each not in before.phrases]
    said += [f"Phrase left out: {each}" for each in before.phrases if each not in after.phrases]
    return said


def _kits_come_and_go(before: Catalogue, after: Catalogue) -> Iterator[str]:
    """The kits that are new, put aside or taken up again."""
    stood = {kit.key: kit.aside for kit in before.kits}
    for kit in after.kits:
        if kit.key not in stood:
            yield f"New kit: {kit.name}"
        elif kit.aside != stood[kit.key]:
            yield f"Kit {'put aside' if kit.aside else 'taken up again'}: {kit.name}"


def _differ(old: Check, new: Check, catalogue: Catalogue) -> Iterator[str]:
    if old == new:
        return
    found = [*_limits_differ(old, new), *_kits_differ(old, new, catalogue)]
    found += [] if old.shown_by == new.shown_by else [f"{new.name}: other readings show it put right"]
    yield from found or [f"{new.name}: worded otherwise"]


def _limits_differ(old: Check, new: Check) -> Iterator[str]:
    before = {measure.key: _limits_said(measure) for measure in old.measures}
    for measure in new.measures:
        now, then = _limits_said(measure), before.get(measure.key, "nothing")
        if now != then:
            yield f"{new.name}, {measure.label}: {now or 'no limit'} (was {then or 'no limit'})"


def _limits_said(measure: Measure) -> str:
    return "; ".join(f"{limit.grade.word.lower()} {limit.says}" for limit in measure.limits)


def _kits_differ(old: Check, new: Check, catalogue: Catalogue) -> Iterator[str]:
    names = {kit.key: kit.name for kit in catalogue.kits}

    def said(kits: Sequence[str]) -> str:
        return ", ".join(names.get(kit, kit) for kit in kits) or "none"

    if old.kits != new.kits:
        yield f"{new.name}: kits {said(new.kits)} (was {said(old.kits)})"
    before = {defect.key: defect.kits for defect in old.defects}
    for defect in new.defects:
        if defect.kits != before.get(defect.key, defect.kits):
            yield f"{new.name}, {defect.says}: kits {said(defect.kits)} (was {said(before[defect.key])})"


def _kit_differs(before: Catalogue, new: Kit) -> Iterator[str]:
    """What a kit says otherwise; nothing more of one that is new."""
    old = next((kit for kit in before.kits if kit.key == new.key), new)
    then, now = _kit_said(old), _kit_said(new)
    for what in dict.fromkeys([*then, *now]):
        if then.get(what) != now.get(what):
            yield f"Kit {new.name}, {what}: {now.get(what, 'left out')} (was {then.get(what, 'not in it')})"
    if old.steps != new.steps:
        yield f"Kit {new.name}: steps worded otherwise"


def _kit_said(kit: Kit) -> dict[str, str]:
    """Hours, parts and fees of a kit in words, by what they are of."""
    parts = {part.name: f"{part.quantity:f} at {Money(part.price)}" for part in kit.parts}
    fees = {fee.name: str(Money(fee.price)) for fee in kit.fees}
    return {"labour": f"{kit.hours:f} h"} | parts | fees
