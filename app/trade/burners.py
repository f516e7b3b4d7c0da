"""Gas appliances: how soon the safety valve shuts, and carbon monoxide inside against outside."""

from decimal import Decimal

from app.trade.bounds import not_negative, says
from app.trade.figure import By, Grade, Input, Source, Verdict, Worked
from app.trade.quantity import Quantity

VALVE_RULE = Source("ANSI Z21", "(from memory)")
VALVE_MOST_S = Decimal(90)
CLEAN_AIR = Source("40 CFR", "50.8(a)(1); common practice")
CO_MOST_PPM = Decimal(9)  # of outdoor air, 8 hours: 40 CFR 50.8(a)(1); over outside: common practice after it
CAUTION = (
    "Nobody sleeps beside an unproved appliance. Gas appliances are serviced by a licensed or qualified "
    "person; the appliance's plate and the local code go before this sheet."
)


def safety_valve(seconds: Quantity) -> Worked[Decimal]:
    """Seconds left of the 90 in which the valve must shut after its flame is out; at least 0.

    Source: ANSI Z21, from memory.
    """
    found = not_negative("Time to shut", seconds, "s")
    slow = Verdict(Grade.NEEDS, f"safety valve takes {seconds}, over 90 s: shut it off", By.USE)
    return Worked(
        name="safety valve",
        value=VALVE_MOST_S - found,
        says=f"shuts in {seconds}",
        unit="s",
        formula="90 s − time from flame out to the click",
        inputs=(Input("time to shut", str(seconds)),),
        limit="at most 90 s",
        verdict=slow if found > VALVE_MOST_S else Verdict(Grade.SOUND, f"safety valve shuts in {seconds}"),
        source=VALVE_RULE,
        caution=CAUTION,
    )


def carbon_monoxide(inside: Quantity, outside: Quantity) -> Worked[Decimal]:
    """Parts per million inside over outside, doors shut; both at least 0.

    Where the air outside is itself over 9 ppm, little over it proves nothing: unseen. Below that, readings
    taken for one another cannot hide more than the 9 ppm. Source: 40 CFR 50.8(a)(1), common practice.
    """
    beside = not_negative("Outside", outside, "ppm")
    over = not_negative("Inside", inside, "ppm") - beside
    return Worked(
        name="carbon monoxide",
        value=over,
        says=f"{says(over, 'ppm')} over outside",
        unit="ppm",
        formula="inside, at the register, doors shut − outside",
        inputs=(Input("inside", str(inside)), Input("outside", str(outside))),
        limit="at most 9 ppm over outside",
        verdict=_co_verdict(over, beside),
        source=CLEAN_AIR,
        caution=CAUTION,
    )


def _co_verdict(over: Decimal, outside: Decimal) -> Verdict:
    if over > CO_MOST_PPM:
        return Verdict(Grade.NEEDS, f"carbon monoxide {says(over, 'ppm')} over outside, over 9", By.USE)
    if outside > CO_MOST_PPM:
        told = f"{says(outside, 'ppm')} outside is foul air: move the unit, read both again"
        return Verdict(Grade.UNSEEN, told)
    return Verdict(Grade.SOUND, f"{says(over, 'ppm')} over outside")
