"""What can hurt, who may work on it by law, and the final check."""

from collections.abc import Iterator

from app.ground.shop import settings_of
from app.handover import record
from app.handover.rules import DONE, NOT_FITTED, items_of
from app.handover.told.teller import Teller
from app.handover.told.work import done_of

HOT_HUBS = "c11"
ANSWERS = {DONE: "looked at", NOT_FITTED: "not fitted"}
QUALIFIED = "Where it asks for a licensed or qualified person, let nobody else do it."
DANGER_FIRST = ("DANGER", "WARNING", "CAUTION", "NOTICE")


def cautions(it: Teller) -> Iterator[record.Warned]:
    """The cautions of what is left open, the gravest first, each once; of hot hubs where nuts fall due."""
    if it.stay.catalogue is None:
        return
    checks = {check.key: check for check in it.stay.catalogue.checks}
    spots = it.open_spots
    keys = {key for spot in spots if (check := checks.get(spot.line.check)) for key in check.cautions}
    keys |= {HOT_HUBS} if done_of(it).nuts is not None else set()
    known = [each for each in it.stay.catalogue.cautions if each.key in keys]
    for each in sorted(known, key=lambda one: DANGER_FIRST.index(one.word)):
        yield record.Warned(word=each.word, hazard=each.hazard, result=each.result, avoid=each.avoid)


def defers(it: Teller) -> Iterator[str]:
    """Who must do what by law: always the two general sentences, then what kits of open and done work say."""
    law = settings_of(it.session).law
    yield f"{law[:1].upper()}{law[1:]} decides who may work on gas, brakes and electrics."
    yield QUALIFIED
    works = it.works
    said = [works[key].defer for key in works]
    kits = {kit for spot in it.open_spots for kit in spot.line.kits}
    said += [kit.defer for kit in (it.stay.catalogue.kits if it.stay.catalogue else ()) if kit.key in kits]
    yield from dict.fromkeys(each for each in said if each)


def final_check_of(it: Teller) -> record.FinalCheck | None:
    """The final check as it was answered; None where it is not made or counts no more."""
    check = it.stay.check
    if check is None or not it.stay.bench.checked:
        return None
    items = [item for item in items_of(it.stay.head.kind) if item.key in check.items]
    return record.FinalCheck(
        items=tuple(record.Said(name=item.says, says=ANSWERS[check.items[item.key]]) for item in items),
        checked_by=it.names.get(check.checked_by, ""),
        read_by=check.read_by,
        at=check.created_at,
    )
