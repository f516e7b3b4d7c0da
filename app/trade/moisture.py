"""Moisture of wood by the meter: dry, to be watched, wet, and dry enough to close over."""

from collections.abc import Mapping
from decimal import Decimal

from app.trade.bounds import not_negative, says
from app.trade.figure import By, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

RULE = Source("Forest Products Laboratory", "report 2147 for fibre saturation; common practice")
DRY, DAMP = Decimal(18), Decimal(20)  # percent, common practice
SATURATED = Decimal(28)  # percent: fibre saturation lies about 30
TO_CLOSE = Decimal(15)  # percent, before new sheet goes over it
MOST = Decimal(100)
CAUTION = (
    "Same meter, same points, same setting each time: a meter reads foil, screws and treated wood wrongly. "
    "Mold is wetted and wiped, never swept dry."
)


def moisture(points: Mapping[str, Quantity], *, to_close: bool = False) -> Worked[Decimal]:
    """Wettest point in percent, and what it means. `points`: name to reading, at least one, 0 to 100 %.

    `to_close`: the wood is about to be covered, so at most 15 % counts. Raises Impossible outside.
    Source: common practice; fibre saturation by the Forest Products Laboratory.
    """
    if not points:
        raise Impossible("No point was read", "a point with its percent, such as 14")
    found = {name: _percent(name, reading) for name, reading in points.items()}
    wettest = max(found, key=lambda name: found[name])
    return Worked(
        name="moisture",
        value=found[wettest],
        says=f"at most {says(found[wettest], 'percent', 1)}, {wettest}",
        unit="percent",
        formula="the wettest of all points",
        inputs=tuple(Input(name, str(reading)) for name, reading in points.items()),
        limit="at most 15 % before it is closed" if to_close else "at most 18 %; 18 to 20 % is watched",
        verdict=_wet(wettest, found[wettest], to_close=to_close),
        source=RULE,
        caution=CAUTION,
    )


def _percent(name: str, reading: Quantity) -> Decimal:
    found = not_negative(name, reading, "percent")
    if found > MOST:
        raise Impossible(f"{reading} cannot be", "0 to 100 %, such as 14")
    return found


def _wet(where: str, wettest: Decimal, *, to_close: bool) -> Verdict:
    found = f"{where} {says(wettest, 'percent', 1)}"
    if wettest >= SATURATED:
        return Verdict(Grade.NEEDS, f"{found}: as wet as wood gets, open it up", By.SOON)
    if wettest > DAMP:
        return Verdict(Grade.NEEDS, f"{found}, over 20 %: find the leak", By.SOON)
    if to_close and wettest > TO_CLOSE:
        return Verdict(Grade.NEEDS, f"{found}, over 15 %: not closed yet", By.SOON)
    if wettest > DRY:
        return Verdict(Grade.WATCH, f"{found}: read again in four weeks")
    return Verdict(Grade.SOUND, f"dry, at most {says(wettest, 'percent', 1)}")
