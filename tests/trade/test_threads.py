from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import Grade
from app.trade.problems import Impossible
from app.trade.threads import (
    NUT_FACTORS,
    StudGrade,
    Surface,
    Thread,
    clamp_from_torque,
    clamp_target,
    proof_load,
    proof_stress,
    question_k,
    question_surface,
    read_thread,
    share_of_proof,
    stress_area,
    torque_for_clamp,
)

DRY = Decimal("0.20")
threads = st.sampled_from(["7/16-20", "1/2-20", "9/16-18", "5/8-18", "M12x1.5", "M14x1.5"]).map(read_thread)


def share(found: Decimal, published: str) -> float:
    """Relative distance from a published figure."""
    return abs(float(found / Decimal(published)) - 1)


# Reading


@pytest.mark.parametrize(
    ("typed", "name", "unit", "diameter"),
    [
        ("1/2-20", "1/2-20", "in", "0.5"),
        (" 1/2 - 20 UNF", "1/2-20", "in", "0.5"),
        ("9/16-18 unf", "9/16-18", "in", "0.5625"),
        ("1-14", "1-14", "in", "1"),
        ("1 1/4-12", "1 1/4-12", "in", "1.25"),
        ("1-1/4-12", "1-1/4-12", "in", "1.25"),
        ("M12x1.5", "M12x1.5", "mm", "12"),
        ("m14 x 1.5", "M14x1.5", "mm", "14"),
        ("M14×1.5", "M14x1.5", "mm", "14"),
    ],
)  # designations by ASME B1.1 and ISO 965-1, from memory
def test_a_thread_is_read_by_its_designation(typed: str, name: str, unit: str, diameter: str) -> None:
    thread = read_thread(typed)
    assert (thread.name, thread.unit, thread.diameter) == (name, unit, Decimal(diameter))


@pytest.mark.parametrize("typed", ["", "1/2", "M12", "20-1/2", "1/2-0", "M1x5", "1/2-2", "half inch", "M0x0"])
def test_what_is_no_thread_is_refused(typed: str) -> None:
    with pytest.raises(Impossible, match=r"M12x1\.5"):
        read_thread(typed)


# Stress area


@pytest.mark.parametrize(
    ("thread", "area"),
    [
        ("1/4-20", "0.0318"),  # ASME B1.1 table, as reprinted in SAE J429 sheets
        ("5/16-18", "0.0524"),
        ("3/8-16", "0.0775"),
        ("3/8-24", "0.0878"),  # from memory
        ("7/16-20", "0.1187"),  # reprint of the UNF table
        ("1/2-13", "0.1419"),  # from memory
        ("1/2-20", "0.1599"),
        ("9/16-18", "0.203"),
        ("5/8-18", "0.256"),
        ("3/4-16", "0.373"),  # from memory
        ("M8x1.25", "36.6"),  # ISO 898-1, coarse threads
        ("M10x1.5", "58.0"),
        ("M12x1.75", "84.3"),
        ("M14x2", "115"),
        ("M16x2", "157"),
        ("M20x2.5", "245"),
        ("M24x3", "353"),
        ("M10x1.25", "61.2"),  # ISO 898-1, fine threads, from memory
        ("M12x1.25", "92.1"),
        ("M12x1.5", "88.1"),
        ("M14x1.5", "125"),
        ("M16x1.5", "167"),
        ("M20x1.5", "272"),
    ],
)
def test_the_stress_area_is_that_of_the_tables(thread: str, area: str) -> None:
    assert share(stress_area(read_thread(thread)).value, area) < 0.005  # tables round to three figures


# Strength


@pytest.mark.parametrize(
    ("thread", "grade", "load"),
    [
        ("1/4-20", "2", "1750"),  # SAE J429 proof loads, lbf, as a city's submittal sheet reprints them
        ("1/4-20", "5", "2700"),
        ("1/4-20", "8", "3800"),
        ("5/16-18", "2", "2900"),
        ("5/16-18", "5", "4450"),
        ("5/16-18", "8", "6300"),
        ("3/8-16", "2", "4250"),
        ("3/8-16", "5", "6600"),
        ("3/8-16", "8", "9300"),
        ("M10x1.5", "8.8", "33700"),  # ISO 898-1 proof loads, N, coarse threads
        ("M10x1.5", "10.9", "48100"),
        ("M12x1.75", "8.8", "48900"),
        ("M12x1.75", "10.9", "70000"),
        ("M12x1.75", "12.9", "81800"),
        ("M14x2", "8.8", "66700"),
        ("M14x2", "10.9", "95500"),
        ("M16x2", "8.8", "91000"),
        ("M20x2.5", "8.8", "147000"),  # over 16 mm: 600 MPa
        ("M12x1.5", "8.8", "51100"),  # fine threads, from memory
        ("M12x1.5", "10.9", "73100"),
        ("M14x1.5", "10.9", "104000"),
        ("M14x1.5", "12.9", "121000"),
    ],
)
def test_the_proof_load_is_that_of_the_tables(thread: str, grade: str, load: str) -> None:
    assert share(proof_load(read_thread(thread), StudGrade(grade)).value, load) < 0.011  # rounded to 50 lbf


@pytest.mark.parametrize(
    ("thread", "grade"),
    [
        ("1/2-20", "unknown"),
        ("M12x1.5", "unknown"),
        ("1/2-20", "10.9"),  # the other system
        ("M12x1.5", "8"),
        ("7/8-14", "2"),  # SAE J429: grade 2 to 3/4 in
        ("1 1/8-12", "5"),  # grade 5 (85 ksi) to 1 in
        ("1 3/4-5", "8"),  # grade 8 to 1 1/2 in
    ],
)
def test_a_grade_that_says_nothing_is_refused(thread: str, grade: str) -> None:
    with pytest.raises(Impossible):
        proof_stress(read_thread(thread), StudGrade(grade))


# Torque and clamp


@pytest.mark.parametrize(
    ("thread", "grade", "torque"),
    [
        ("7/16-20", "2", "35.7"),  # by hand: 0.2 x 0.4375 x 0.75 x 55,000 x 0.11872 / 12
        ("7/16-20", "8", "77.9"),
        ("1/2-20", "2", "55.0"),
        ("1/2-20", "5", "85.0"),  # by hand: 0.2 x 0.5 x 0.75 x 85,000 x 0.15995 / 12
        ("1/2-20", "8", "120.0"),  # trade charts stop at 120 lbf·ft for dry 1/2-20 grade 8
        ("9/16-18", "5", "121.3"),
        ("5/8-18", "8", "240.0"),
        ("M12x1.5", "10.9", "131.7"),  # by hand: 0.2 x 0.012 x 0.75 x 830 x 88.126
        ("M14x1.5", "10.9", "217.1"),
    ],
)
def test_the_torque_for_three_quarters_of_the_proof_load(thread: str, grade: str, torque: str) -> None:
    read = read_thread(thread)
    clamp = clamp_target(read, StudGrade(grade)).value
    assert share(torque_for_clamp(read, clamp, DRY).value, torque) < 0.001


@pytest.mark.parametrize(
    ("thread", "low", "high", "most"),
    [
        ("7/16-20", 450, 500, 840),
        ("1/2-20", 480, 690, 1100),
        ("9/16-18", 800, 1000, 1600),
        ("5/8-18", 1100, 1300, 2400),
    ],
)  # FAA AC 43.13-1B, table 7-1, fine thread, tension nuts: lbf·in at 40 ksi, at most 90 ksi
def test_the_handbook_torques_mean_a_nut_factor_as_known(thread: str, low: int, high: int, most: int) -> None:
    read = read_thread(thread)
    area = stress_area(read).value
    for torque, ksi in ((low, 40), (high, 40), (most, 90)):
        k = torque / (read.diameter * ksi * 1000 * area)
        assert Decimal("0.14") <= k <= Decimal("0.25")
        clamp = clamp_from_torque(read, Decimal(torque), "lbf_in", k).value.middle
        assert share(clamp, str(ksi * 1000 * area)) < 1e-9


@pytest.mark.parametrize(
    ("k", "clamp"), [("0.25", "9600"), ("0.20", "12000"), ("0.15", "16000")]
)  # by hand: 100 x 12 / (K x 0.5)
def test_the_slipperier_the_thread_the_harder_the_clamp(k: str, clamp: str) -> None:
    found = clamp_from_torque(read_thread("1/2-20"), Decimal(100), "lbf_ft", Decimal(k)).value
    assert share(found.middle, clamp) < 1e-9
    assert share(found.least, str(Decimal(clamp) * 7 / 10)) < 1e-9  # scatter of 30 %: textbooks, from memory
    assert share(found.most, str(Decimal(clamp) * 13 / 10)) < 1e-9


def test_newton_metres_clamp_an_inch_stud_alike() -> None:
    # NIST SP 811, B.8: 1 lbf·ft = 1.355818 N·m
    found = clamp_from_torque(read_thread("1/2-20"), Decimal("135.5818"), "N_m", DRY).value.middle
    assert share(found, "12000") < 1e-6


@given(threads, st.decimals(10, 400, places=1), st.decimals("0.1", "0.3", places=2))
def test_torque_and_clamp_undo_each_other(thread: Thread, torque: Decimal, k: Decimal) -> None:
    clamp = clamp_from_torque(thread, torque, thread.units.torque, k).value.middle
    assert abs(torque_for_clamp(thread, clamp, k).value - torque) < Decimal("1e-9")


@pytest.mark.parametrize(
    ("k", "grade", "verdict"),
    [
        ("0.20", "8", Grade.SOUND),  # 75 ksi of 120 (by hand)
        ("0.15", "8", Grade.SOUND),  # 0.834 of proof (by hand)
        ("0.20", "5", Grade.SOUND),  # 75.0 ksi of 85: 0.88 (by hand)
        ("0.19", "5", Grade.WATCH),  # 79.0 ksi of 85: 0.929 (by hand)
        ("0.15", "5", Grade.NEEDS),  # 1.177 of proof (by hand): oil on the stud stretches it
    ],
)
def test_oil_can_stretch_a_stud_at_the_same_torque(k: str, grade: str, verdict: Grade) -> None:
    thread = read_thread("1/2-20")
    clamp = clamp_from_torque(thread, Decimal(100), "lbf_ft", Decimal(k))
    found = share_of_proof(thread, StudGrade(grade), clamp).verdict
    assert found is not None and found.grade is verdict


@pytest.mark.parametrize("bad", ["0", "-1"])
def test_nothing_comes_from_0_or_less(bad: str) -> None:
    thread = read_thread("1/2-20")
    with pytest.raises(Impossible, match="clamp"):
        torque_for_clamp(thread, Decimal(bad), DRY)
    with pytest.raises(Impossible, match="K cannot"):
        torque_for_clamp(thread, Decimal(1000), Decimal(bad))
    with pytest.raises(Impossible, match="torque"):
        clamp_from_torque(thread, Decimal(bad), "lbf_ft", DRY)


@pytest.mark.parametrize("bad", ["0", "1.01"])
def test_a_share_is_at_most_the_whole(bad: str) -> None:
    with pytest.raises(Impossible, match="at most 1"):
        clamp_target(read_thread("1/2-20"), StudGrade.SAE_8, Decimal(bad))


@pytest.mark.parametrize(
    ("k", "asks"),
    [("0.08", []), ("0.20", []), ("0.35", []), ("0.07", [True]), ("0.36", [True]), ("0", [False])],
)  # textbooks: 0.11 with moly to 0.30 dry, from memory
def test_an_unlikely_nut_factor_is_asked_about(k: str, asks: list[bool]) -> None:
    assert [problem.ask for problem in question_k("k", Decimal(k))] == asks


@pytest.mark.parametrize("surface", list(Surface))
def test_only_slippery_threads_are_asked_about(surface: Surface) -> None:
    asked = bool(question_surface("surface", surface))
    assert asked == (NUT_FACTORS[surface][1] < Decimal("0.18"))  # dry and plated: 0.18 up, from memory
