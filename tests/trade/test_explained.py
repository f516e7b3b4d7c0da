"""Every figure can be checked by hand: formula, inputs, source; and the caution stands beside it."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal

import pytest

from app.trade.batteries import breakaway_endurance, state_of_charge
from app.trade.brakes import Hold, Lining, breakaway_hold, drum_diameter, lining_thickness
from app.trade.cargo import Balance, cargo_room, mass_to_reach, moment_to_reach
from app.trade.chains import chain_strength
from app.trade.coupling import Stance, ball_drop, level_coupled
from app.trade.cylinders import Mark, Method, fill, requalification_due
from app.trade.dates import Month
from app.trade.figure import Worked
from app.trade.gas_pipes import PIPES, Section, pipe_capacity, pipe_serves, smallest_pipe
from app.trade.gas_tests import Timed, leak_test
from app.trade.hitch import Rig, axle_loads, bar_tension, moment_by_tickets, restored_by_height
from app.trade.lamps import Body, lamps_required
from app.trade.magnets import MAGNETS, Reading, expected_current, magnet_current, magnet_resistance
from app.trade.propane import Burner, energy, run_time, vapour_pressure
from app.trade.quantity import Quantity
from app.trade.ratings import Compared, Limit, governing_rating, largest_trailer
from app.trade.regulators import delivery
from app.trade.tongue import Beam, by_beam, by_jack, tongue_share
from app.trade.weights import (
    Ticket,
    Weighing,
    front_restored,
    moved_to_trailer,
    share_by_tickets,
    tongue_weight,
    trailer_weight,
)
from app.trade.wiring import Circuit, circuit_drop, fuse_verdict, smallest_gauge, voltage_drop

Figure = Callable[[], Worked[object]]


def q(typed: str) -> Quantity:
    """A quantity written as number and unit key: `12.6 V`."""
    number, unit = typed.rsplit(" ", 1)
    return Quantity(number, unit)


DAY = date(2026, 5, 8)
MAGNET = MAGNETS["10"]
READING = Reading(MAGNET, 4, q("12.6 V"), q("11.6 A"))
HOLD = Hold(q("15 min"), q("11.2 V"), 4, 4)
MARKS = [Mark(Month(2018, 3), Method.PROOF)]
TIMED = Timed(q("9 in_wc"), q("9 in_wc"), q("3 min"), q("68 degF"), q("68 degF"))
CIRCUIT = Circuit(q("12 A"), q("25 ft"), q("12.6 V"))
BODY = Body(q("96 in"), q("24 ft"), q("7000 lb"), DAY)
SECTION, LONGEST = Section("main", Decimal(72600)), q("28 ft")
WEIGHING = Weighing(
    Ticket(q("3100 lb"), q("2960 lb")),
    Ticket(q("2860 lb"), q("3920 lb"), q("5280 lb")),
    Ticket(q("2980 lb"), q("3720 lb"), q("5360 lb")),
)
RIG = Rig(
    *(q("3100 lb"), q("2950 lb"), q("720 lb"), q("6000 lb")),
    *(q("140 in"), q("48 in"), q("192 in"), q("30 in")),
)
BALANCE = Balance(q("442 lb"), q("5200 lb"), q("186 in"))
STANCE = Stance(q("17.5 in"), q("18.5 in"), q("2.5 in"), q("1 in"))
BALL = Compared("ball", q("6000 lb"), q("5800 lb"), "stamp")

BRAKES: list[Figure] = [
    lambda: expected_current(MAGNET, 4, q("12.6 V")),
    lambda: magnet_current(READING),
    lambda: magnet_resistance(MAGNET, [q("3.3 ohm")]),
    lambda: lining_thickness(q("5 in_32nd"), Lining.BONDED),
    lambda: drum_diameter([q("10.01 in"), q("10.02 in")], q("10.09 in")),
    lambda: breakaway_hold(HOLD),
]
GAS: list[Figure] = [
    lambda: requalification_due(MARKS, DAY),
    lambda: fill(q("47.6 lb"), q("17 lb"), q("30 lb")),
    lambda: leak_test(TIMED),
    lambda: delivery(q("11 in_wc"), q("12 in_wc")),
    lambda: pipe_capacity(PIPES[0], LONGEST),
    lambda: smallest_pipe(SECTION, LONGEST),
    lambda: pipe_serves(SECTION, PIPES[0], LONGEST),
    lambda: energy(q("20 lb")),
    lambda: run_time(q("20 lb"), [Burner("furnace", Decimal(30000))]),
    lambda: vapour_pressure(q("70 degF")),
]
WIRES: list[Figure] = [
    lambda: voltage_drop(CIRCUIT, 8),
    lambda: smallest_gauge(CIRCUIT, q("15 A")),
    lambda: fuse_verdict(12, q("20 A")),
    lambda: state_of_charge(q("12.4 V"), q("70 degF")),
    lambda: breakaway_endurance(q("8.2 A"), q("5 Ah")),
    lambda: lamps_required(BODY),
]
WEIGHTS: list[Figure] = [
    lambda: tongue_share(q("720 lb"), q("6000 lb")),
    lambda: by_beam(Beam(q("137 lb"), q("12 in"), q("48 in"))),
    lambda: by_jack(q("820 lb"), q("22 in"), q("190 in")),
    lambda: tongue_weight(WEIGHING),
    lambda: trailer_weight(WEIGHING),
    lambda: share_by_tickets(WEIGHING),
    lambda: moved_to_trailer(WEIGHING),
    lambda: front_restored(WEIGHING, Decimal(50)),
    lambda: governing_rating([BALL]),
    lambda: largest_trailer([Limit("GVWR", Decimal(6000))]),
    lambda: cargo_room(q("5600 lb"), q("4380 lb")),
    lambda: moment_to_reach(BALANCE, Decimal(12)),
    lambda: mass_to_reach(BALANCE, Decimal(12), q("20 in")),
]
HITCH: list[Figure] = [
    lambda: axle_loads(RIG, Decimal(50)),
    lambda: bar_tension(RIG, Decimal(50)),
    lambda: moment_by_tickets(RIG, [Decimal(120), Decimal(-200), Decimal(80)]),
    lambda: restored_by_height(q("33 in"), q("33.5 in"), q("33.25 in")),
    lambda: ball_drop(STANCE, q("192 in"), q("0.75 in")),
    lambda: level_coupled(q("18 in"), q("18 in"), tandem=True),
    lambda: chain_strength([q("7600 lb"), q("7600 lb")], q("6000 lb")),
]
FIGURES = [*BRAKES, *GAS, *WIRES, *WEIGHTS, *HITCH]


@pytest.mark.parametrize("figure", [*FIGURES, lambda: circuit_drop(q("12 V"), q("11.5 V"), q("0.1 V"))])
def test_a_figure_can_be_checked_by_hand(figure: Figure) -> None:
    found = figure()
    assert found.name
    assert found.says
    assert found.formula
    assert found.inputs
    assert all(each.name and each.says for each in found.inputs)
    assert found.source.title


@pytest.mark.parametrize("figure", FIGURES)
def test_the_caution_stands_beside_it(figure: Figure) -> None:
    assert figure().caution.endswith(".")


@pytest.mark.parametrize("figure", [*BRAKES[:5], *GAS[2:7]])
def test_brake_and_gas_work_is_left_to_those_who_may_do_it(figure: Figure) -> None:
    assert "qualified person" in figure().caution


@pytest.mark.parametrize("figure", FIGURES)
def test_a_grade_comes_with_its_reason(figure: Figure) -> None:
    verdict = figure().verdict
    if verdict is not None:
        assert verdict.says
        assert (verdict.by is not None) is (verdict.grade == "needs")


@pytest.mark.parametrize("figure", FIGURES)
def test_words_are_those_of_the_shop(figure: Figure) -> None:
    found = figure()
    said = " ".join([found.name, found.limit, found.caution, found.verdict.says if found.verdict else ""])
    assert not {"pass", "fail", "passed", "failed", "please", "sorry", "invalid", "oops"} & set(
        said.lower().replace(",", " ").replace(".", " ").split()
    )
    assert not set("≥≤!") & set(said)
