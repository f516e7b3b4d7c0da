from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.hitch import (
    Rig,
    axle_loads,
    bar_tension,
    loads_under,
    moment_by_tickets,
    restored_by_height,
)
from app.trade.problems import Impossible
from app.trade.quantity import Quantity


def rig(
    tongue: int = 720, gross: int = 6000, overhang: int = 48, wheelbase: int = 140, axles: int = 2
) -> Rig:
    front, rear, on_ball, trailer = (Quantity(str(each), "lb") for each in (3100, 2950, tongue, gross))
    base, back, length, lift = (Quantity(str(each), "in") for each in (wheelbase, overhang, 192, 30))
    return Rig(front, rear, on_ball, trailer, base, back, length, lift, axles)


def solve(rows: list[list[Fraction]]) -> list[Fraction]:
    """Unknowns of a square system given with its right side: Gauss and Jordan, exact."""
    size = len(rows)
    for column in range(size):
        pivot = next(row for row in range(column, size) if rows[row][column])
        rows[column], rows[pivot] = rows[pivot], rows[column]
        rows[column] = [each / rows[column][column] for each in rows[column]]
        for row in range(size):
            if row != column:
                factor = rows[row][column]
                pairs = zip(rows[row], rows[column], strict=True)
                rows[row] = [each - factor * lead for each, lead in pairs]
    return [row[-1] for row in rows]


def free_bodies(here: Rig, bar_end: Fraction) -> list[Fraction]:
    """Front, rear, trailer axle and ball contact from equilibrium of both bodies, with the bars' end force.

    The bars are part of the tow vehicle: the trailer's chains lift their ends with `bar_end`, `lift` behind
    the ball, and are pulled down by the same. Unknown: F, R, A, V.
    """
    front, rear, tongue, gross = (Fraction(each.typed) for _, each in here.weights)
    base, back, length, lift = (Fraction(each.typed) for _, each in here.lengths)
    centre = length * (gross - tongue) / gross  # of the trailer's weight, behind the ball
    one, none = Fraction(1), Fraction(0)
    return solve(
        [
            [one, one, none, -one, front + rear - bar_end],  # tow vehicle, up and down
            [base, none, none, back, front * base + bar_end * (back + lift)],  # about its rear axle
            [none, none, one, one, gross + bar_end],  # trailer, up and down
            [none, none, length, none, gross * centre + bar_end * lift],  # about the ball
        ]
    )


@pytest.mark.parametrize(
    ("restored", "front", "rear", "axle", "on_ball"),
    [
        # moments about both axles, by hand and by the free bodies above
        ("0", "2853.14", "3916.86", "2640", "720"),
        ("50", "2976.57", "3721.43", "2676", "1108.8"),
        ("100", "3100", "3526", "2712", "1497.6"),
    ],
)
def test_axle_loads_of_a_tandem(restored: str, front: str, rear: str, axle: str, on_ball: str) -> None:
    found = axle_loads(rig(), Decimal(restored)).value
    for value, expected in (
        (found.front, front),
        (found.rear, rear),
        (found.trailer_axles[0], axle),
        (found.trailer_axles[1], axle),
        (found.on_ball, on_ball),
    ):
        assert abs(value - Decimal(expected)) < Decimal("0.005")


def test_a_single_axle_carries_what_two_share() -> None:
    single, tandem = axle_loads(rig(axles=1)).value, axle_loads(rig(axles=2)).value
    assert single.trailer_axles == (Decimal(5280),)  # 6000 − 720
    assert single.trailer == tandem.trailer


@pytest.mark.parametrize(
    ("overhang", "lost", "moment"),
    [
        # tongue × overhang ÷ wheelbase, and tongue × overhang × length ÷ (length + overhang): by hand
        (36, "185.14", "21827.4"),
        (48, "246.86", "27648"),
        (60, "308.57", "32914.3"),
    ],
)
def test_a_longer_overhang_takes_more_off_the_front(overhang: int, lost: str, moment: str) -> None:
    here = rig(overhang=overhang)
    assert abs(3100 - axle_loads(here).value.front - Decimal(lost)) < Decimal("0.005")
    assert abs(bar_tension(here, Decimal(100)).value.moment - Decimal(moment)) < Decimal("0.06")


@pytest.mark.parametrize(("restored", "each"), [("0", "0"), ("50", "230.4"), ("100", "460.8")])
def test_lift_at_the_end_of_each_bar(restored: str, each: str) -> None:
    # moment ÷ (2 × 30 in): 13,824 ÷ 60, by hand
    assert bar_tension(rig(), Decimal(restored)).value.each == Decimal(each)


def test_the_moment_does_not_depend_on_the_wheelbase() -> None:
    short, long = (bar_tension(rig(wheelbase=base), Decimal(50)).value.moment for base in (110, 170))
    assert short == long


@pytest.mark.parametrize("restored", ["-1", "101"])
def test_bars_cannot_push_and_do_not_overshoot(restored: str) -> None:
    with pytest.raises(Impossible, match="cannot be restored"):
        bar_tension(rig(), Decimal(restored))


def test_moment_from_rounded_tickets_comes_near() -> None:
    # front +120, rear −200, trailer +80 on a 20 lb scale; least squares by hand 14,071, true 13,824
    found = moment_by_tickets(rig(), [Decimal(120), Decimal(-200), Decimal(80)]).value
    assert abs(found - 14071) < 1


@pytest.mark.parametrize(
    ("alone", "slack", "engaged", "restored"),
    [
        ("33", "33 1/2", "33 1/4", "50"),
        ("33", "34", "33 1/4", "75"),
        ("840", "860", "850", "50"),
        ("33", "33 1/2", "33", "100"),
    ],
)
def test_by_fender_height(alone: str, slack: str, engaged: str, restored: str) -> None:
    # springs of steady rate: height lost and height regained, by hand
    unit = "mm" if alone == "840" else "in"
    found = restored_by_height(*(Quantity(each, unit) for each in (alone, slack, engaged)))
    assert abs(found.value - Decimal(restored)) < Decimal("1e-12")


def test_what_cannot_be_is_refused() -> None:
    for wrong in ({"tongue": 0}, {"tongue": 6000}, {"overhang": 0}, {"wheelbase": -1}, {"axles": 4}):
        with pytest.raises(Impossible):
            rig(**wrong)
    with pytest.raises(Impossible):
        moment_by_tickets(rig(), [Decimal(1)])
    with pytest.raises(Impossible, match="did not rise"):
        restored_by_height(*(Quantity(each, "in") for each in ("33", "33", "32")))


RIGS = st.builds(
    rig,
    tongue=st.integers(100, 1200),
    gross=st.integers(2000, 12000),
    overhang=st.integers(30, 70),
    wheelbase=st.integers(95, 180),
    axles=st.integers(1, 3),
)
SHARES = st.decimals("0", "100", places=1)


@given(here=RIGS, restored=SHARES)
def test_forces_and_moments_balance(here: Rig, restored: Decimal) -> None:
    bars, found = bar_tension(here, restored).value, axle_loads(here, restored).value
    front, rear, trailer, on_ball = free_bodies(here, Fraction(2 * bars.each))
    for value, expected in (
        (found.front, front),
        (found.rear, rear),
        (found.trailer, trailer),
        (found.on_ball, on_ball),
    ):
        assert abs(Fraction(value) - expected) < Fraction(1, 10**12)


@given(here=RIGS, restored=SHARES)
def test_nothing_is_lost_between_the_axles(here: Rig, restored: Decimal) -> None:
    assert abs(axle_loads(here, restored).value.total - 6050 - here.gross.value) < Decimal("1e-15")


@given(here=RIGS, restored=st.decimals("1", "100", places=1))
def test_bars_raise_front_trailer_and_ball_and_lower_the_rear(here: Rig, restored: Decimal) -> None:
    slack, engaged = axle_loads(here).value, axle_loads(here, restored).value
    assert engaged.front > slack.front
    assert engaged.trailer > slack.trailer
    assert engaged.on_ball > slack.on_ball
    assert engaged.rear < slack.rear


@given(here=RIGS, restored=st.decimals("1", "100", places=1))
def test_the_share_asked_for_is_the_share_restored(here: Rig, restored: Decimal) -> None:
    slack, engaged = axle_loads(here).value, axle_loads(here, restored).value
    share = 100 * (engaged.front - slack.front) / (here.front.value - slack.front)
    assert abs(share - restored) < Decimal("1e-15")


@given(here=RIGS, moment=st.integers(1000, 40000))
def test_moment_put_in_is_found_from_exact_tickets(here: Rig, moment: int) -> None:
    slack, engaged = loads_under(here, Decimal(0)), loads_under(here, Decimal(moment))
    changes = [
        engaged.front - slack.front,
        engaged.rear - slack.rear,
        engaged.trailer - slack.trailer,
    ]
    assert abs(moment_by_tickets(here, changes).value - moment) < Decimal("1e-12")


def test_figures_are_printed_in_pounds() -> None:
    loads = axle_loads(rig(), Decimal(50))
    assert loads.says.replace("\u00a0", " ") == "front 2,977 lb, rear 3,721 lb, trailer axle 2,676 lb each"
    assert bar_tension(rig(), Decimal(50)).says.replace("\u00a0", " ") == "230 lb a bar"
    names = [each.name for each in loads.inputs]
    assert names[:4] == ["Front axle alone", "Rear axle alone", "Tongue weight", "Trailer weight"]
    assert names[-1] == "front axle restored"
    assert "compare every rating again" in loads.caution


@given(here=RIGS)
def test_slack_bars_leave_the_trailer_its_weight_less_the_tongue(here: Rig) -> None:
    slack = axle_loads(here).value
    assert abs(slack.trailer - (here.gross.value - here.tongue.value)) < Decimal("1e-15")
    assert slack.on_ball == here.tongue.value
    assert len(set(slack.trailer_axles)) == 1
    assert len(slack.trailer_axles) == here.axles
