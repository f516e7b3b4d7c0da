"""What every figure of the wheel room says: enough to check it by hand, in the words of the house."""

import re
from datetime import date
from decimal import Decimal

import pytest

from app.trade.balance import Box, excess_weight, fit_weights, residual_verdict
from app.trade.balance_speed import (
    Rolling,
    force_at_speed,
    permitted_in_planes,
    permitted_unbalance,
    turns_a_minute,
)
from app.trade.bearing_sizes import bearing_set, sets_with_bore, usual_hubs
from app.trade.bearings import (
    Service,
    adjustment,
    angle_for_movement,
    axial_movement,
    end_play_verdict,
    lock_step,
    service_verdict,
)
from app.trade.fasteners import (
    Adapter,
    TorqueRange,
    Wrench,
    retorque_schedule,
    staged_passes,
    star_sequence,
    torque_at_nut,
    torque_verdict,
    wrench_band,
    wrench_deviation,
    wrench_setting,
)
from app.trade.figure import Worked
from app.trade.influence import Run, one_plane_weight, two_plane_weights
from app.trade.planes import (
    Held,
    adhesive_radius,
    at_radius,
    clip_radius,
    parts,
    split_weight,
    transfer,
    weights_for_two_planes,
)
from app.trade.quantity import Quantity
from app.trade.runout import Where, blame, even_stations, runout, runout_verdict
from app.trade.threads import (
    StudGrade,
    clamp_from_torque,
    clamp_target,
    proof_load,
    read_thread,
    share_of_proof,
    stress_area,
    torque_for_clamp,
)
from app.trade.vectors import Vector


def at(amount: str, angle: str) -> Vector:
    return Vector(Decimal(amount), Decimal(angle))


HALF_INCH, FOURTEEN = read_thread("1/2-20"), read_thread("1-14")
PLACARD = TorqueRange(Decimal(100), Decimal(120), "lbf_ft")
CROW_FOOT = Adapter(Decimal(18), Decimal(2))
BOX = Box(Decimal("0.25"), "oz")
ROAD = Rolling(Decimal(60), "mph", Decimal(14), "in")
CLAMP = clamp_from_torque(HALF_INCH, Decimal(100), "lbf_ft", Decimal("0.2"))
BEFORE = Run(at("8.5", "60"), at("6.5", "205"))
OUTER = at("10", "270"), Run(at("6", "125"), at("4.5", "230"))
INNER = at("12", "180"), Run(at("6", "35"), at("10.5", "160"))

# figure, what a person reads: numbers by hand or from the source named in the figure's own test
SAID: list[tuple[Worked[object], str]] = [
    (star_sequence(5), "1 3 5 2 4"),
    (staged_passes(Decimal(110), "lbf_ft"), "25, 55, 110 lbf·ft, then check"),  # quarter and half, to 5
    (retorque_schedule(), "after 10, 25 and 50 miles (16, 40, 80 km), then before each trip"),
    (wrench_deviation(Wrench.CLICK, Decimal(150), "lbf_ft"), "4 %"),
    (wrench_band(Decimal(110), "lbf_ft"), "106 to 114 lbf·ft"),  # 105.6 to 114.4
    (wrench_setting(Decimal(100), CROW_FOOT, "lbf_ft"), "90.0 lbf·ft"),  # 100 x 18 / 20
    (torque_at_nut(Decimal(90), CROW_FOOT, "lbf_ft"), "100.0 lbf·ft"),
    (
        torque_verdict(dict.fromkeys(range(1, 6), Decimal(110)), 5, PLACARD),
        "All 5 nuts inside 100 to 120 lbf·ft",
    ),
    (stress_area(HALF_INCH), "0.1600 in²"),  # 0.15995
    (proof_load(HALF_INCH, StudGrade.SAE_8), "19,194 lbf"),  # 120,000 x 0.159953
    (clamp_target(HALF_INCH, StudGrade.SAE_8), "14,396 lbf"),  # three quarters of it
    (torque_for_clamp(HALF_INCH, Decimal(12000), Decimal("0.2")), "100 lbf·ft"),
    (CLAMP, "8,400 to 15,600 lbf"),  # 12,000, 30 % either way
    (share_of_proof(HALF_INCH, StudGrade.SAE_8, CLAMP), "0.63"),  # 12,000 / 19,194
    (end_play_verdict(Quantity("0.004", "in")), "0.0040 in"),
    (adjustment("utility"), "seat 30 lbf·ft (41 N·m); back off 1/16 turn; finger-tight, a new cotter pin,"),
    (axial_movement(FOURTEEN, Decimal(60)), "0.0119 in"),
    (angle_for_movement(FOURTEEN, Decimal("0.005")), "25.2°, 0.42 flats"),
    (lock_step(6, 2), "60.0°"),
    (
        service_verdict(Service(date(2025, 5, 1)), date(2026, 4, 30)),
        "due 2026-05-01 or after 12,000 miles, whichever comes first",
    ),
    (bearing_set("L68149"), "L68149 with L68111: bore 1.3775 in, cup 2.3612 in"),
    (sets_with_bore(Decimal("1.0625"), "in"), "L44649"),
    (usual_hubs(7000), "inner 25580, outer 14125A, seal 2.25 x 3.376 in"),
    (fit_weights(at("1.37", "215"), BOX), "1.25 oz at 35°; 0.12 oz at 215° left over"),
    (residual_verdict(at("0.3", "0"), at("0.4", "90"), "oz"), "0.50 oz at 53°"),
    (excess_weight(Decimal("1.25"), Decimal(2), "oz", Decimal(15)), "2.00 oz"),
    (parts(at("2", "40"), at("2", "220"), "oz"), "couple: static 0.00 oz at 0°, couple 2.00 oz at 40°"),
    (
        transfer([Held(Decimal(5), at("2", "40"))], Decimal(5), Decimal(0), "oz"),
        "outer 2.00 oz at 40°, inner 0.00 oz at 0°",
    ),
    (
        weights_for_two_planes(at("1.37", "215"), at("0.1", "0"), BOX, BOX),
        "outer 1.25 oz at 35°; inner nothing",
    ),
    (clip_radius(Decimal(15)), "7.50 in"),
    (adhesive_radius(Decimal(15)), "6.75 in"),
    (at_radius(at("1", "0"), Decimal("7.5"), Decimal(7), "oz"), "1.07 oz at 0°"),
    (split_weight(at("2", "45"), Decimal(0), Decimal(90), "oz"), "1.41 oz at 0° and 1.41 oz at 90°"),
    (turns_a_minute(ROAD), "720 rpm"),
    (force_at_speed(Decimal(1), "oz", Decimal("7.5"), ROAD), "6.9 lbf"),
    (permitted_unbalance(Decimal(3600), Decimal(3000), Decimal("2.5")), "28,648 g·mm"),
    (
        permitted_in_planes(Decimal(1000), Decimal(10), Decimal(0), Decimal(4)),
        "outer 400, inner 600 g·mm",
    ),
    (one_plane_weight(at("20", "0"), at("10", "0"), at("5", "30"), "oz"), "10.00 oz at 30°"),
    (two_plane_weights(BEFORE, OUTER, INNER, "oz"), "outer 10.06 oz at 326°, inner 5.88 oz at 68°"),
    (
        runout(even_stations([Decimal(10), Decimal(0), Decimal(-10), Decimal(0)]), "thou"),
        "20 thousandths in total, first harmonic 10.0 thousandths in at 0°",
    ),
    (runout_verdict(Where.TREAD, Decimal(31), "thou"), "0.031 in"),
    (blame(at("30", "70"), at("30", "250"), "thou"), "tire; turn the tire 0° against the clock"),
]
NAMES = [figure.name for figure, _ in SAID]


@pytest.mark.parametrize(("figure", "says"), SAID, ids=NAMES)
def test_a_figure_says_its_value_as_printed(figure: Worked[object], says: str) -> None:
    assert figure.says.replace("\u00a0", " ").startswith(says)


@pytest.mark.parametrize("figure", [figure for figure, _ in SAID], ids=NAMES)
def test_a_figure_can_be_checked_by_hand(figure: Worked[object]) -> None:
    assert figure.name and figure.formula and str(figure.source)
    assert figure.inputs or figure.name == "retorque"
    assert all(given.name and given.says for given in figure.inputs)


@pytest.mark.parametrize("figure", [figure for figure, _ in SAID], ids=NAMES)
def test_a_figure_speaks_the_words_of_the_house(figure: Worked[object]) -> None:
    told = [figure.name, figure.says, figure.formula, figure.limit, figure.caution]
    told += [figure.verdict.says if figure.verdict else ""] + [given.says for given in figure.inputs]
    text = " ".join(told)
    assert not re.search(r"[≥≤!]|\bpass(ed)?\b|\bfail|please|sorry|invalid|E[+-]\d", text, re.IGNORECASE)
