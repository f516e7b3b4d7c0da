"""Balance as a record: what the form takes, how it is judged, what is proposed and drawn."""

from decimal import Decimal

import pytest

from app.bench.planes_drawn import proposal
from app.bench.records.balance import KIND, Balance
from app.trade.figure import Grade
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts
from app.trade.vectors import Vector, total
from tests.bench.contexts import BALANCER, context

# As read 1.37 oz at 215; 0.75 at 20 and 0.75 at 50 leave 0.08: worked by hand with vectors, handbook method.
FORM = {
    "unit": "oz",
    "rim": "14",
    "shows": "heavy",
    "outer": "1.37",
    "outer-at": "215",
    "outer-w1": "0.75",
    "outer-w1-at": "20",
    "outer-w2": "0.75",
    "outer-w2-at": "50",
    "outer-left": "0",
    "inner": "2.10",
    "inner-at": "62",
    "inner-w1": "1.00",
    "inner-w1-at": "230",
    "inner-w2": "1.00",
    "inner-w2-at": "254",
    "inner-left": "0",
    "instrument": str(BALANCER.id),
}
OUT_OF_ROUND = {f"s-{n}": text for n, text in enumerate(["0", "8", "17", "27", "31", "27", "15", "4"])}


def balance(**changed: str) -> Balance:
    """The wheel above; `inner_left` stands for the field `inner-left`."""
    fields = {name.replace("_", "-"): text for name, text in changed.items()}
    return KIND.read(Texts({**FORM, **fields}), context())


def problems(**changed: str) -> list[Problem]:
    """What is wrong with a form."""
    with pytest.raises(Refused) as refused:
        balance(**changed)
    return list(refused.value.problems)


def test_weights_opposite_the_heavy_spot_leave_little() -> None:
    record = balance()
    assert record.left_over(record.outer).amount.quantize(Decimal("0.01")) == Decimal("0.08")
    assert record.left_over(record.inner).amount.quantize(Decimal("0.01")) == Decimal("0.14")
    assert KIND.judge(record, context()).verdict.grade is Grade.SOUND  # under 1/4 oz a plane: common practice


def test_a_balancer_that_shows_where_weight_goes_is_read_the_other_way_round() -> None:
    turned = balance(shows="weight", outer_at="35", inner_at="242")
    assert turned.unbalance(turned.outer).angle == 215
    assert KIND.judge(turned, context()).inside


@pytest.mark.parametrize("field", ["outer-at", "inner-at", "outer-w1-at", "inner-w2-at"])
def test_an_angle_lies_on_one_turn(field: str) -> None:  # a full turn is 360 degrees
    for typed in ("370", "360.1", "-10"):
        (problem,) = problems(**{field: typed})
        assert (problem.field, problem.says) == (field, f"{typed} cannot be")
        assert problem.accepts == "0 to 360"
    for typed in ("0", "360"):
        balance(**{field: typed})


def test_weights_on_the_wrong_side_are_found_out() -> None:
    judged = KIND.judge(balance(shows="weight", outer_left="", inner_left=""), context())
    assert (judged.verdict.grade, judged.inside) == (Grade.NEEDS, False)


def test_without_a_second_spin_the_arithmetic_proves_nothing() -> None:
    judged = KIND.judge(balance(outer_left=""), context())
    assert judged.unfinished
    assert "Not spun again" in judged.verdict.says


def test_the_second_spin_decides() -> None:
    assert KIND.judge(balance(inner_left="0.5"), context()).verdict.grade is Grade.NEEDS


def test_the_form_of_a_record_gives_the_record_again() -> None:
    record = balance(**OUT_OF_ROUND)
    assert KIND.read(Texts(KIND.texts(record)), context()) == record
    assert KIND.kept(record.model_dump(mode="json")) == record


def test_much_weight_makes_the_technician_look_at_the_runout() -> None:
    found = problems(outer="4.5")  # over 4 oz a plane on a 14 in rim: common practice
    assert {each.field for each in found} == {"outer", "tir"}
    assert not any(each.ask for each in found)
    kept = balance(outer="4.5", tir="30", outer_w1="2.25", outer_w2="2.25")
    assert kept.total_runout == 30


def test_a_larger_rim_may_take_more_before_it_is_questioned() -> None:
    assert balance(outer="4.5", rim="16").outer.shown.amount == "4.5"  # 6 oz from 15 in on: common practice


def test_runout_over_the_aim_keeps_the_wheel_from_being_inside() -> None:
    judged = KIND.judge(balance(tir="70"), context())  # aim 0.060 in radial at the tread: common practice
    assert (judged.verdict.grade, judged.inside) == (Grade.NEEDS, False)


def test_eight_readings_give_the_total_and_the_high_point() -> None:
    record = balance(**OUT_OF_ROUND)
    assert record.total_runout == 31  # largest less smallest
    curve = KIND.draw(Texts({**FORM, **OUT_OF_ROUND}), context())["curve"]
    assert "15.2" in curve.high  # type: ignore[attr-defined]  # least squares by hand: 15.2226 at 175.45 degrees
    assert "175" in curve.high  # type: ignore[attr-defined]
    assert len(curve.squares) == 9  # type: ignore[attr-defined]


def test_some_of_eight_readings_are_refused() -> None:
    assert problems(s_0="0", s_3="12")[0].field == "s-0"


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("outer", ""),
        ("outer", "-1"),
        ("outer", "much"),
        ("outer_at", ""),
        ("outer_at", "north"),
        ("rim", ""),
        ("rim", "3"),
        ("shows", ""),
        ("instrument", ""),
        ("outer_w1_at", ""),
        ("inner_left", "-0.1"),
    ],
)
def test_the_impossible_is_refused_at_its_field(field: str, text: str) -> None:
    found = problems(**{field: text})
    assert field.replace("_", "-") in {each.field for each in found}
    assert all(each.accepts or each.says.endswith("amount") for each in found)


@pytest.mark.parametrize(("amount", "angle"), [("1.37", 215), ("2.10", 62), ("0.40", 178), ("3.9", 5)])
def test_proposed_weights_leave_at_most_half_a_step_and_stand_near_their_place(
    amount: str, angle: int
) -> None:
    heavy = Vector(Decimal(amount), Decimal(angle))
    weights = proposal(heavy, Decimal("0.25"), "oz")
    left = total([heavy, *weights]).amount
    assert left <= Decimal("0.13")  # one weight to the nearest quarter ounce leaves at most an eighth
    assert sum(each.amount for each in weights) <= heavy.amount * Decimal(
        "1.3"
    )  # two at 30 degrees: 1/cos 30
    for each in weights:
        away = abs(each.angle - heavy.opposite.angle) % 360
        assert min(away, 360 - away) <= 30


def test_under_half_a_step_nothing_is_proposed() -> None:
    assert proposal(Vector(Decimal("0.1"), Decimal(0)), Decimal("0.25"), "oz") == ()


def test_no_weights_are_searched_for_what_cannot_be_balanced() -> None:
    assert proposal(Vector(Decimal(60), Decimal(0)), Decimal("0.25"), "oz") == ()


def test_a_fresh_form_reads_the_rim_off_the_tire_and_the_last_balancer() -> None:
    form = KIND.start(context(last=balance().model_dump(mode="json")))
    assert (form["rim"], form["unit"]) == ("14", "oz")  # ST205/75R14
    assert (form["shows"], form["instrument"]) == ("heavy", str(BALANCER.id))
    assert KIND.start(context(tire_size="round"))["rim"] == ""


def test_both_planes_are_drawn_as_seen_from_outside() -> None:
    outer, inner = KIND.draw(Texts(FORM), context())["planes"]  # type: ignore[misc]
    assert outer.says.startswith("1.37")  # type: ignore[has-type]
    assert len(outer.weights) == 2  # type: ignore[has-type]
    left_of_middle = inner.word.x < 170  # type: ignore[has-type]  # 62 degrees against the clock lies left
    assert left_of_middle


def test_a_form_without_readings_is_drawn_empty() -> None:
    for plane in KIND.draw(Texts({"unit": "oz"}), context())["planes"]:  # type: ignore[attr-defined]
        assert plane.says == "no reading yet"
        assert plane.line == ""
