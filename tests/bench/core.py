"""Ratios of speed of the pure core: `python -m tests.bench.core`. Nothing here is a test."""

import os
import subprocess
import sys
import time
from collections.abc import Callable, Sequence
from datetime import date
from decimal import Decimal
from pathlib import Path

from app.trade.batteries import breakaway_endurance, state_of_charge
from app.trade.bearings import end_play_verdict
from app.trade.brakes import Hold, Lining, breakaway_hold, drum_diameter, lining_thickness
from app.trade.chains import chain_strength
from app.trade.coupling import level_coupled
from app.trade.cylinders import Mark, Method, fill, requalification_due
from app.trade.dates import Month
from app.trade.fasteners import TorqueRange, torque_verdict
from app.trade.figure import COMMON_PRACTICE, Worked
from app.trade.gas_tests import Timed, leak_test
from app.trade.lamps import Body, lamps_required
from app.trade.magnets import MAGNETS, Reading, magnet_current, magnet_resistance
from app.trade.quantity import Quantity
from app.trade.ratings import Compared, governing_rating
from app.trade.regulators import delivery
from app.trade.runout import Where, runout_verdict
from app.trade.tin import read_date_code
from app.trade.tire_age import tire_age
from app.trade.tire_load import Fitted, capacity_against_gawr, capacity_against_weighed
from app.trade.tire_pressure import cold_pressure
from app.trade.tire_size import overall_diameter, read_size
from app.trade.tire_wear import least_tread, tread_spread
from app.trade.tongue import tongue_share
from app.trade.vin import model_year, read_vin
from app.trade.weights import Ticket, Weighing, front_restored, share_by_tickets, tongue_weight
from app.trade.wiring import Circuit, circuit_drop, voltage_drop

ROUNDS = 200
DAY = date(2026, 5, 4)
TRADE = Path(__file__).resolve().parents[2] / "app" / "trade"
Act = Callable[[], object]


def q(typed: str) -> Quantity:
    """A quantity written as number and unit key: `12.6 V`."""
    number, unit = typed.rsplit(" ", 1)
    return Quantity(number, unit)


def wheel() -> list[Act]:
    """What is worked out at each of four wheels: twelve figures."""
    readings = {nut: Decimal(110) for nut in range(1, 7)}
    figure = TorqueRange(Decimal(100), Decimal(120), "lbf_ft")
    return [
        lambda: tire_age(read_date_code("3019", DAY), DAY),
        lambda: overall_diameter(read_size("ST205/75R14 C")),
        lambda: least_tread([q("6 in_32nd"), q("5 in_32nd"), q("6 in_32nd")]),
        lambda: tread_spread([q("6 in_32nd"), q("5 in_32nd"), q("6 in_32nd")]),
        lambda: cold_pressure(Decimal(49), Decimal(50), Decimal(65)),
        lambda: torque_verdict(readings, 6, figure),
        lambda: runout_verdict(Where("tread, radial"), Decimal("0.031"), "in"),
        lambda: end_play_verdict(q("0.004 in")),
        lambda: lining_thickness(q("5 in_32nd"), Lining.BONDED),
        lambda: drum_diameter([q("10.010 in"), q("10.014 in")], q("10.090 in")),
        lambda: magnet_resistance(MAGNETS["10"], [q("3.3 ohm")]),
        lambda: circuit_drop(q("12.6 V"), q("12.1 V"), q("0.1 V")),
    ]


def axle() -> list[Act]:
    """What is worked out at each of two axles: six figures."""
    tires = [Fitted(Decimal(1760))] * 2
    return [
        lambda: capacity_against_gawr(tires, Decimal(3500)),
        lambda: capacity_against_weighed(tires, Decimal(2950), Decimal(1520)),
        lambda: magnet_current(Reading(MAGNETS["10"], 2, q("12.6 V"), q("7.5 A"))),
        lambda: voltage_drop(Circuit(q("7.5 A"), q("25 ft"), q("12.6 V")), 10),
        lambda: level_coupled(q("20 in"), q("20 in"), tandem=True),
        lambda: chain_strength([q("7600 lb")] * 2, q("7000 lb")),
    ]


def unit() -> list[Act]:
    """What is worked out once: fifteen figures, told twice: at hand-in and at handover."""
    marks = [Mark(Month(2018, 3), Method.PROOF)]
    weighing = Weighing(
        Ticket(q("3100 lb"), q("2960 lb")),
        Ticket(q("2860 lb"), q("3920 lb"), q("5280 lb")),
        Ticket(q("2980 lb"), q("3720 lb"), q("5360 lb")),
    )
    timed = Timed(q("9 in_wc"), q("9 in_wc"), q("3 min"), q("68 degF"), q("68 degF"))
    vin = "1M8GDM9AXKP042788"
    once: list[Act] = [
        lambda: read_vin(vin, DAY),
        lambda: model_year(vin, DAY),
        lambda: requalification_due(marks, DAY, "4BA"),
        lambda: fill(q("47.6 lb"), q("17 lb"), q("35 lb")),
        lambda: leak_test(timed),
        lambda: delivery(q("11 in_wc"), q("12.5 in_wc")),
        lambda: lamps_required(Body(q("96 in"), q("24 ft"), q("7000 lb"), DAY)),
        lambda: state_of_charge(q("12.5 V"), q("70 degF")),
        lambda: breakaway_endurance(q("12 A"), q("5 Ah")),
        lambda: breakaway_hold(Hold(q("15 min"), q("11.2 V"), 4, 4)),
        lambda: governing_rating([Compared("GVWR", q("7000 lb"), q("6000 lb"))]),
        lambda: tongue_share(q("720 lb"), q("6000 lb")),
        lambda: tongue_weight(weighing),
        lambda: share_by_tickets(weighing),
        lambda: front_restored(weighing),
    ]
    return [*once, *once]


def inspection() -> list[Act]:
    """The figures of one walk-round with ninety checks."""
    return [*wheel() * 4, *axle() * 2, *unit()]


def blank() -> Worked[Decimal]:
    """A figure that works nothing out: the least that any can take."""
    return Worked(
        name="nothing", value=Decimal(1), says="1", formula="one", inputs=(), source=COMMON_PRACTICE
    )


def best(acts: Sequence[Act]) -> float:
    """Milliseconds of the quietest of so many rounds."""
    taken = []
    for _ in range(ROUNDS):
        began = time.perf_counter()
        for act in acts:
            act()
        taken.append((time.perf_counter() - began) * 1000)
    return min(taken)


def import_ms(code: str) -> float:
    """Milliseconds of processor that a fresh Python takes for a line, the least of seven."""
    taken = []
    for _ in range(7):
        before = os.times()
        subprocess.run([sys.executable, "-c", code], check=True, cwd=TRADE.parents[1])
        after = os.times()
        spent = after.children_user + after.children_system - before.children_user - before.children_system
        taken.append(spent * 1000)
    return min(taken)


def main() -> None:
    """Measure and print."""
    acts = inspection()
    ours, bare = best(acts), best([blank] * len(acts))
    sys.stdout.write(
        f"{len(acts)} figures of an inspection, against as many blank ones: "
        f"{ours:.2f} ms to {bare:.2f} ms, {ours / bare:.1f} times\n"
    )
    every = "import " + ", ".join(f"app.trade.{path.stem}" for path in sorted(TRADE.glob("*.py")))
    light, empty = import_ms(every), import_ms("pass")
    plain = import_ms("import dataclasses, datetime, decimal, enum, fractions, re")
    sys.stdout.write(
        f"all of the trade imported: {light - empty:.0f} ms of processor over an empty Python, "
        f"{(light - empty) / max(plain - empty, 0.1):.1f} times what it stands on takes\n"
    )


if __name__ == "__main__":
    main()
