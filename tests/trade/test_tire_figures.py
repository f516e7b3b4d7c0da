"""Every figure of tires, VIN, money and dates explains itself: house rules for a worked figure."""

from datetime import date
from decimal import Decimal

import pytest

from app.trade.figure import By, Grade, Worked
from app.trade.intervals import BEARINGS, Calendar, days_of_work, next_due, promise, tenths_of_hours
from app.trade.money import Money, Tolerance, capped_share, tolerance
from app.trade.quantity import UNITS, Quantity
from app.trade.tax import rate_of
from app.trade.tin import made_in, read_date_code
from app.trade.tire_age import made_apart, tire_age
from app.trade.tire_load import Fitted, axle_capacity, capacity_against_gawr, capacity_against_weighed
from app.trade.tire_marks import index_for, index_load, load_range, speed_of
from app.trade.tire_pressure import (
    cold_pressure,
    load_at_pressure,
    load_between_rows,
    pressure_at,
    pressure_for_load,
)
from app.trade.tire_size import (
    circumference,
    overall_diameter,
    read_size,
    revolutions_per_km,
    revolutions_per_mile,
    rim_widths,
    size_change,
)
from app.trade.tire_upsizing import OFFERS, Room, upsizing
from app.trade.tire_wear import least_tread, tread_spread
from app.trade.totals import Line, LineKind, amount_due, group_tax, line_amount, totals
from app.trade.vin import check_digit, model_year

TODAY = date(2026, 6, 15)
CODE, OLD = read_date_code("3019", TODAY), read_date_code("439", TODAY)
SIZE, WIDER = read_size("ST205/75R14"), read_size("ST215/75R14")
PAIR, WEAK = [Fitted(Decimal(1760))] * 2, [Fitted(Decimal(1360), passenger=True)] * 2
DEPTHS = [Quantity("3", "in_32nd"), Quantity("7", "in_32nd")]
ROWS = [(Decimal(35), Decimal(1480)), (Decimal(50), Decimal(1820))]
ROOM = Room(Decimal("5.5"), Decimal(2), Decimal(1), Decimal(3))
LINE = Line(LineKind.PART, "bearing set", Decimal(2), Decimal(3875), "parts")
BILL = totals([LINE], {"parts": rate_of(Decimal(6))})
VIN = "1M8GDM9AXKP042788"

FIGURES: list[Worked[object]] = [
    made_in(CODE),
    made_in(OLD),
    tire_age(CODE, TODAY),
    tire_age(OLD, TODAY),
    made_apart((CODE, OLD)),
    least_tread(DEPTHS),
    tread_spread(DEPTHS),
    axle_capacity(PAIR),
    capacity_against_gawr(PAIR, Decimal(3500)),
    capacity_against_gawr(WEAK, Decimal(3500)),
    capacity_against_weighed(PAIR, Decimal(3300), Decimal(1700)),
    index_load(96),
    index_for(Decimal(1500), Decimal(10)),
    speed_of("M"),
    speed_of(""),
    load_range("C"),
    load_range("N"),
    load_at_pressure(Decimal(1760), Decimal(50), Decimal(40)),
    pressure_for_load(Decimal(1760), Decimal(50), Decimal(1500)),
    load_between_rows(ROWS, Decimal(40)),
    pressure_at(Decimal(50), Decimal(70), Decimal(30)),
    cold_pressure(Decimal(30), Decimal(50), Decimal(65)),
    overall_diameter(SIZE),
    circumference(SIZE),
    revolutions_per_mile(SIZE),
    revolutions_per_km(SIZE),
    rim_widths(SIZE),
    size_change(SIZE, WIDER),
    upsizing(OFFERS[9], ROOM, Decimal(3500)),
    check_digit(VIN),
    model_year(VIN, TODAY),
    next_due(TODAY, BEARINGS, Decimal(14500)),
    promise(TODAY, 5, Calendar()),
    days_of_work([Decimal(9)], Decimal(3), Decimal(6)),
    tenths_of_hours([9, 18]),
    capped_share(Money(10000), Decimal(3), Money(4500)),
    tolerance(Money(10000), Tolerance(Money(5000), Decimal(10))),
    line_amount(LINE),
    group_tax(BILL.groups[0]),
    amount_due(BILL),
]

every_figure = pytest.mark.parametrize("figure", FIGURES, ids=lambda it: it.name)


@every_figure
def test_a_figure_says_its_value_formula_inputs_and_source(figure: Worked[object]) -> None:
    assert figure.name
    assert figure.says
    assert figure.formula
    assert figure.inputs
    assert all(it.name and it.says for it in figure.inputs)
    assert str(figure.source)


@every_figure
def test_its_unit_is_one_of_ours(figure: Worked[object]) -> None:
    assert figure.unit in {*UNITS, "years"}


@every_figure
def test_its_words_are_the_house_s(figure: Worked[object]) -> None:
    verdict = figure.verdict.says if figure.verdict else ""
    inputs = [it.says for it in figure.inputs]
    said = " ".join(
        [figure.name, figure.says, figure.formula, figure.limit, figure.caution, verdict, *inputs]
    )
    assert not {"\u2265", "\u2264", "!"} & set(said)
    assert not {"please", "sorry", "invalid", "oops", "pass", "fail"} & set(said.lower().split())
    assert "E+" not in said


@every_figure
def test_its_verdict_says_why_and_by_when(figure: Worked[object]) -> None:
    if figure.verdict is None:
        return
    assert figure.verdict.says
    assert not figure.verdict.says.endswith(".")
    assert figure.verdict.grade is not Grade.UNSEEN
    assert (figure.verdict.by in list(By)) == (figure.verdict.grade is Grade.NEEDS)


@every_figure
def test_a_caution_is_a_sentence(figure: Worked[object]) -> None:
    assert figure.caution == "" or figure.caution.endswith(".")


def test_the_cautions_that_keep_people_safe_are_there() -> None:
    assert "do not raise" in axle_capacity(PAIR).caution
    assert "cold" in pressure_at(Decimal(50), Decimal(70), Decimal(30)).caution
    assert "inside" in cold_pressure(Decimal(30), Decimal(50), Decimal(65)).caution
    assert "placard" in load_at_pressure(Decimal(1760), Decimal(50), Decimal(40)).caution
    assert "No law" in tire_age(CODE, TODAY).caution
    assert "law" in tolerance(Money(10000), Tolerance()).caution
