from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import By, Grade
from app.trade.gas_pipes import (
    BTU_PER_FT3,
    PIPES,
    Section,
    drop_in_wc,
    flow_ft3_h,
    pipe_capacity,
    pipe_serves,
    smallest_pipe,
)
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

BY_NAME = {pipe.name: pipe for pipe in PIPES}
TUBE_3_8, TUBE_1_2, TUBE_5_8 = (BY_NAME[f"{size} in OD copper tube"] for size in ("3/8", "1/2", "5/8"))
PIPE_1_2, PIPE_3_4 = (BY_NAME[f"{size} in schedule 40 pipe"] for size in ("1/2", "3/4"))


@pytest.mark.parametrize(
    ("name", "feet", "thousands"),
    [
        # IFGC 2018 tables 402.4(28) and (30): 11 in wc, drop 0.5 in wc, thousands of Btu/h
        (PIPE_1_2.name, "10", 291),
        (PIPE_1_2.name, "20", 200),
        (PIPE_1_2.name, "30", 160),
        (PIPE_1_2.name, "40", 137),
        (PIPE_1_2.name, "50", 122),
        (PIPE_3_4.name, "10", 608),
        (PIPE_3_4.name, "20", 418),
        (PIPE_3_4.name, "30", 336),
        (TUBE_3_8.name, "10", 45),
        (TUBE_3_8.name, "20", 31),
        (TUBE_1_2.name, "10", 93),
        (TUBE_1_2.name, "20", 64),
        (TUBE_1_2.name, "30", 51),
        (TUBE_5_8.name, "10", 188),
        (TUBE_5_8.name, "20", 129),
        (TUBE_5_8.name, "30", 104),
    ],
)
def test_capacity_of_the_code_tables(name: str, feet: str, thousands: int) -> None:
    found = pipe_capacity(BY_NAME[name], Quantity(feet, "ft"))
    # the tables print two or three digits
    assert abs(found.value - thousands * 1000) < max(thousands * 1000 * Decimal("0.005"), Decimal(600))


def test_the_longest_run_sizes_every_section() -> None:
    # by the equation, by hand: 72,600 Btu/h over 28 ft needs 0.452 in inside; 1/2 in tube has 0.402
    longest = Quantity("28", "ft")
    assert smallest_pipe(Section("main", Decimal(72600)), longest).value == TUBE_5_8
    assert smallest_pipe(Section("to the range", Decimal(29000)), longest).value == TUBE_1_2
    assert smallest_pipe(Section("to the furnace", Decimal(20000)), longest).value == TUBE_3_8


@pytest.mark.parametrize(
    ("pipe", "grade", "by"), [(TUBE_1_2, Grade.NEEDS, By.USE), (TUBE_5_8, Grade.SOUND, None)]
)
def test_a_pipe_in_place(pipe: object, grade: Grade, by: By | None) -> None:
    here = next(each for each in PIPES if each == pipe)
    found = pipe_serves(Section("main", Decimal(72600)), here, Quantity("28", "ft"))
    assert found.verdict is not None
    assert (found.verdict.grade, found.verdict.by) == (grade, by)
    assert "licensed" in found.caution


def test_a_load_that_no_pipe_carries_is_refused() -> None:
    with pytest.raises(Impossible, match="No pipe"):
        smallest_pipe(Section("main", Decimal(900000)), Quantity("40", "ft"))
    with pytest.raises(Impossible):
        smallest_pipe(Section("main", Decimal(0)), Quantity("40", "ft"))
    with pytest.raises(Impossible):
        pipe_capacity(PIPE_1_2, Quantity("0", "ft"))


@given(feet=st.integers(5, 80), btu=st.integers(2000, 200000), pipe=st.sampled_from(PIPES))
def test_drop_and_flow_undo_each_other(feet: int, btu: int, pipe: object) -> None:
    inside = next(each for each in PIPES if each == pipe).inside_in
    lost = drop_in_wc(inside, Decimal(feet), Decimal(btu))
    assert abs(flow_ft3_h(inside, Decimal(feet), lost) * BTU_PER_FT3 / btu - 1) < Decimal("1e-12")


@given(feet=st.integers(5, 80), more=st.integers(1, 40), index=st.integers(1, len(PIPES) - 1))
def test_longer_carries_less_and_wider_more(feet: int, more: int, index: int) -> None:
    def carries(pipe: int, length: int) -> Decimal:
        return pipe_capacity(PIPES[pipe], Quantity(str(length), "ft")).value

    assert carries(index, feet + more) < carries(index, feet)
    assert carries(index - 1, feet) < carries(index, feet)
