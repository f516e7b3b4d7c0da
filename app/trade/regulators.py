"""Low-pressure regulators: delivery under load, lock-up with all burners off, and creep."""

from decimal import Decimal

from app.trade.bounds import not_negative
from app.trade.figure import By, Grade, Input, Source, Verdict, Worked
from app.trade.gas_tests import CAUTION
from app.trade.quantity import Quantity

RULE = Source("NFPA 58", "second stage at most 14 in wc; running band is common practice")
LEAST_IN_WC, LOW_IN_WC = Decimal(10), Decimal("10.5")
HIGH_IN_WC, LOCK_UP_IN_WC = Decimal("11.5"), Decimal(14)


def delivery(running: Quantity, lock_up: Quantity, *, creeps: bool = False) -> Worked[Decimal]:
    """Rise from running to lock-up in in wc, and whether both are inside.

    `running` with at least half of all input burning; `lock_up` all off, after 1 to 3 min; `creeps` where it
    was still rising. Both at least 0. Source: NFPA 58 for 14 in wc, common practice for the rest.
    """
    run, shut = not_negative("Running", running, "in_wc"), not_negative("Lock-up", lock_up, "in_wc")
    return Worked(
        name="regulator",
        value=shut - run,
        says=f"running {running}, lock-up {lock_up}",
        unit="in_wc",
        formula="lock-up − running",
        inputs=(
            Input("running", str(running)),
            Input("lock-up", str(lock_up)),
            Input("still rising", "yes" if creeps else "no"),
        ),
        limit="running 10.5 to 11.5 in wc, lock-up at most 14 in wc and steady",
        verdict=_delivery(running, lock_up, creeps=creeps),
        source=RULE,
        caution=CAUTION,
    )


def _delivery(run: Quantity, shut: Quantity, *, creeps: bool) -> Verdict:
    if creeps:
        return Verdict(Grade.NEEDS, "pressure creeps up with all off: replace the regulator", By.USE)
    if shut.over(LOCK_UP_IN_WC, "in_wc"):
        return Verdict(Grade.NEEDS, "lock-up over 14 in wc", By.USE)
    if run.under(LEAST_IN_WC, "in_wc"):
        return Verdict(Grade.NEEDS, "running under 10 in wc", By.USE)
    if run.under(LOW_IN_WC, "in_wc") or run.over(HIGH_IN_WC, "in_wc"):
        return Verdict(Grade.NEEDS, "running outside 10.5 to 11.5 in wc: set it", By.SOON)
    if shut.under(run.value, run.unit):
        return Verdict(Grade.UNSEEN, "lock-up under running: read both again")
    return Verdict(Grade.SOUND, "running and lock-up inside")
