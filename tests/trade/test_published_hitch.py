"""Hitch and weights against the outside: the law's chain table, standards, statics done another way."""

from decimal import Decimal
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from app.trade.cargo import Balance, cargo_room, move_forward, put_in, take_out, water_lb
from app.trade.chains import breaking_strength, chain_strength
from app.trade.coupling import Stance, ball_drop, level_coupled
from app.trade.figure import By, Grade
from app.trade.hitch import Rig, axle_loads, bar_tension, loads_under
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.tongue import BALL_HITCH, BOAT, Beam, by_beam, by_jack, tongue_share


def q(number: object, unit: str = "lb") -> Quantity:
    """A quantity, in pounds unless told otherwise."""
    return Quantity(str(number), unit)


# Chains

# 49 CFR 393.108, table of chains: working load limit in lb. Breaking: ASTM A413, design factor 4, 3 and 4
CHAINS = """
size  grade limit breaks
1/4   30    1300  5200
5/16  30    1900  7600
3/8   30    2650  10600
7/16  30    3700  14800
1/2   30    4500  18000
1/4   43    2600  7800
5/16  43    3900  11700
3/8   43    5400  16200
7/16  43    7200  21600
1/2   43    9200  27600
1/4   70    3150  12600
5/16  70    4700  18800
3/8   70    6600  26400
7/16  70    8750  35000
1/2   70    11300 45200
"""


def rows(table: str) -> list[list[str]]:
    """The rows of a table under its head."""
    return [row.split() for row in table.strip().splitlines()[1:]]


@pytest.mark.parametrize(("size", "grade", "limit", "breaks"), rows(CHAINS))
def test_a_chain_breaks_at_its_limit_times_the_factor(size: str, grade: str, limit: str, breaks: str) -> None:
    found = breaking_strength(int(grade), size)
    assert found == int(breaks)
    assert found / int(limit) == {"30": 4, "43": 3, "70": 4}[grade]


# SAE J684 (from memory): least breaking strength of each chain, class 1 to 3: 2,000, 3,500, 5,000 lb
@pytest.mark.parametrize(
    ("each", "rating", "grade", "by"),
    [
        ("2000", "2000", Grade.SOUND, None),
        ("3500", "3500", Grade.SOUND, None),
        ("5000", "5000", Grade.SOUND, None),
        ("2000", "3500", Grade.NEEDS, By.TOWING),
        ("3500", "5000", Grade.NEEDS, By.TOWING),
        ("5000", "10000", Grade.NEEDS, By.TOWING),
        ("2000", "5000", Grade.DNT, None),
        ("3500", "7500", Grade.DNT, None),
        ("5000", "10001", Grade.DNT, None),
        ("7600", "7000", Grade.SOUND, None),
        ("7600", "7600", Grade.SOUND, None),
        ("10600", "10000", Grade.SOUND, None),
        ("11700", "12000", Grade.NEEDS, By.TOWING),
        ("16200", "15500", Grade.SOUND, None),
        ("5200", "10400", Grade.NEEDS, By.TOWING),
        ("5200", "10401", Grade.DNT, None),  # 49 CFR 393.70(d)
    ],
)
def test_two_chains_of_one_strength(each: str, rating: str, grade: Grade, by: By | None) -> None:
    verdict = chain_strength([q(each), q(each)], q(rating)).verdict
    assert verdict is not None
    assert (verdict.grade, verdict.by) == (grade, by)


@pytest.mark.parametrize(
    ("grade", "size"), [(30, "3/16"), (30, "9/16"), (80, "3/8"), (100, "1/4"), (0, "1/4")]
)
def test_a_chain_outside_the_table_is_refused(grade: int, size: str) -> None:
    with pytest.raises(Impossible):
        breaking_strength(grade, size)


@given(st.lists(st.integers(1000, 30000), min_size=2, max_size=2))
def test_the_order_of_the_chains_does_not_matter(chains: list[int]) -> None:
    one = chain_strength([q(each) for each in chains], q(7000))
    other = chain_strength([q(each) for each in reversed(chains)], q(7000))
    assert (one.value, one.verdict) == (other.value, other.verdict)


@settings(deadline=None)  # the first conversion of all loads the units
@given(st.integers(1000, 30000), st.integers(1, 20000))
def test_kilograms_mean_the_same_strength(pounds: int, rating: int) -> None:
    metric = q(Decimal(pounds) * Decimal("0.45359237"), "kg")
    found = chain_strength([metric, metric], q(rating))
    assert abs(found.value - 2 * pounds) < Decimal("1e-9")


# Drawbar: ball height wanted is the coupler's when level plus the squat; by hand

# shank, coupler, ball, squat, step, drop, what is left
DRAWBARS = """
shank coupler ball   squat step drop  left
17.5  18.5    2.5    1     1    0     0.5
17.5  18.5    2.5    0.5   1    1     0
20    17      2.5    1     1    4     0.5
20    17      2.5    1.5   2    4     0
22    18      3      1     1.25 6.25  -0.25
24    16      2.25   0.25  1    10    0
16    20      2.5    0.5   1    -2    0
15    21      2.5    0     1    -4    0.5
18    18      2.5    0.5   1    2     0
18    18      2.5    2.5   1    0     0
19    17.25   2.5    0.75  0.75 3.75  -0.25
21    19.5    2.5    1     1    3     0
12    24      3      0     1    -9    0
30    20      2.5    2     1.25 10    0.5
"""


@pytest.mark.parametrize(("shank", "coupler", "ball", "squat", "step", "drop", "left"), rows(DRAWBARS))
def test_a_drawbar_by_hand(
    shank: str, coupler: str, ball: str, squat: str, step: str, drop: str, left: str
) -> None:
    here = Stance(*(q(each, "in") for each in (shank, coupler, ball, squat)))
    found = ball_drop(here, q(200, "in"), q(step, "in")).value
    assert (found.drop, found.left_over) == (Decimal(drop), Decimal(left))


@given(st.decimals("10", "30", places=1), st.decimals("0.5", "2", places=2))
def test_millimetres_give_the_same_drawbar(coupler: Decimal, step: Decimal) -> None:
    inches = Stance(*(q(each, "in") for each in ("20", coupler, "2.5", "1")))
    metric = Stance(*(q(Decimal(each) * Decimal("25.4"), "mm") for each in ("20", coupler, "2.5", "1")))
    one = ball_drop(inches, q(200, "in"), q(step, "in")).value
    other = ball_drop(metric, q(5080, "mm"), q(step * Decimal("25.4"), "mm")).value
    assert abs(one.drop - other.drop) < Decimal("1e-9")


@pytest.mark.parametrize(
    ("front", "rear", "unit", "says"),
    [
        ("20", "20", "in", "level"),
        ("20.5", "20", "in", "0.50 in nose up"),
        ("20", "20.75", "in", "0.75 in nose down"),
        ("508", "508", "mm", "level"),
        ("533.4", "508", "mm", "1.00 in nose up"),
        ("508", "546.1", "mm", "1.50 in nose down"),
    ],
)
def test_level_in_either_unit(front: str, rear: str, unit: str, says: str) -> None:
    found = level_coupled(q(front, unit), q(rear, unit), tandem=True)
    assert found.says.replace("\u00a0", " ") == says


@given(st.integers(10, 40), st.integers(10, 40))
def test_turning_the_trailer_round_turns_the_sign(front: int, rear: int) -> None:
    one = level_coupled(q(front, "in"), q(rear, "in"), tandem=True).value
    assert one == -level_coupled(q(rear, "in"), q(front, "in"), tandem=True).value


# Tongue share: quotient by hand, bands common practice

SHARES = """
tongue gross share grade
600    6000  10    sound
599    6000  9.98  needs
900    6000  15    sound
901    6000  15.02 needs
300    6000  5     needs
299    6000  4.98  dnt
0      6000  0     dnt
-120   6000  -2    dnt
750    5000  15    sound
450    3500  12.86 sound
250    3500  7.14  needs
1500   10000 15    sound
1200   9800  12.24 sound
60     2000  3     dnt
200    2000  10    sound
"""


@pytest.mark.parametrize(("tongue", "gross", "share", "grade"), rows(SHARES))
def test_a_share_and_its_grade(tongue: str, gross: str, share: str, grade: str) -> None:
    found = tongue_share(q(tongue), q(gross), BALL_HITCH)
    assert round(found.value, 2) == Decimal(share)
    assert found.verdict is not None
    assert found.verdict.grade == grade


@pytest.mark.parametrize(
    ("tongue", "grade"), [("79", "dnt"), ("80", "needs"), ("99", "needs"), ("100", "sound"), ("300", "sound")]
)
def test_a_boat_has_bands_of_its_own(tongue: str, grade: str) -> None:
    verdict = tongue_share(q(tongue), q(2000), BOAT).verdict  # 4, 5, 15 %: common practice
    assert verdict is not None
    assert verdict.grade == grade


@given(st.integers(1, 9999), st.integers(2000, 20000), st.integers(2, 50))
def test_a_share_does_not_depend_on_the_unit_or_size(tongue: int, gross: int, times: int) -> None:
    tongue = min(tongue, gross // 2)
    one = tongue_share(q(tongue), q(gross)).value
    larger = tongue_share(q(tongue * times), q(gross * times)).value
    metric = tongue_share(q(tongue, "kg"), q(gross, "kg")).value
    assert abs(one - larger) < Decimal("1e-15")
    assert abs(one - metric) < Decimal("1e-15")


@pytest.mark.parametrize(
    ("reading", "load", "scale", "tongue"),
    [
        # Law of the lever: reading x (support to scale) / (support to load)
        ("150", "12", "48", "600"),
        ("200", "12", "36", "600"),
        ("233", "12", "36", "699"),
        ("120", "16", "64", "480"),
        ("180", "24", "60", "450"),
        ("100", "10", "75", "750"),
    ],
)
def test_a_small_scale_and_a_beam(reading: str, load: str, scale: str, tongue: str) -> None:
    found = by_beam(Beam(q(reading), q(load, "in"), q(scale, "in")))
    assert found.value == Decimal(tongue)


@pytest.mark.parametrize(
    ("jack", "behind", "length", "tongue"),
    [
        # Moments about the axle: jack x (length - behind) / length
        ("700", "20", "200", "630"),
        ("650", "24", "240", "585"),
        ("800", "10", "200", "760"),
        ("500", "50", "250", "400"),
        ("960", "18", "192", "870"),
    ],
)
def test_a_scale_under_the_jack(jack: str, behind: str, length: str, tongue: str) -> None:
    assert by_jack(q(jack), q(behind, "in"), q(length, "in")).value == Decimal(tongue)


# Cargo: moments about the axle, in fractions

# tongue, gross, ball to axle, thing, inches forward, tongue after
MOVES = """
tongue gross length thing forward after
500    5000  200    200   50      550
500    5000  200    200   -50     450
720    6000  192    100   96      770
720    6000  192    300   -64     620
400    4000  160    400   40      500
350    5200  220    330   110     515
"""


@pytest.mark.parametrize(("tongue", "gross", "length", "thing", "forward", "after"), rows(MOVES))
def test_a_thing_moved_by_hand(
    tongue: str, gross: str, length: str, thing: str, forward: str, after: str
) -> None:
    trailer = Balance(q(tongue), q(gross), q(length, "in"))
    moved = move_forward(trailer, q(thing), q(forward, "in"))
    assert moved.tongue.to("lb") == Decimal(after)
    assert moved.gross.to("lb") == Decimal(gross)


@given(st.integers(50, 500), st.integers(-90, 300))
def test_what_is_put_in_acts_by_its_lever(mass: int, station: int) -> None:
    trailer = Balance(q(600), q(6000), q(192, "in"))
    loaded = put_in(trailer, q(mass), q(station, "in"))
    lever = Fraction(mass) * (192 - station) / 192
    assert abs(Fraction(loaded.tongue.to("lb")) - 600 - lever) < Fraction(1, 10**5)
    assert loaded.gross.to("lb") == 6000 + mass
    back = take_out(loaded, q(mass), q(station, "in"))
    assert abs(back.tongue.to("lb") - 600) < Decimal("1e-5")


@pytest.mark.parametrize(
    ("gallons", "pounds"), [("1", "8.34"), ("10", "83.4"), ("40", "333.6"), ("30", "250.2"), ("0", "0")]
)
def test_water_weighs_8_34_lb_a_gallon(gallons: str, pounds: str) -> None:
    assert abs(water_lb(Decimal(gallons)) - Decimal(pounds)) < Decimal("0.1")  # NIST: 8.34 lb at 60 °F


@pytest.mark.parametrize(
    ("rating", "empty", "aboard", "room", "grade"),
    [
        # Subtraction by hand; over the rating is not towed
        ("7000", "5200", [], "1800", Grade.SOUND),
        ("7000", "5200", ["250", "60"], "1490", Grade.SOUND),
        ("7000", "5200", ["1800"], "0", Grade.SOUND),
        ("7000", "5200", ["1801"], "-1", Grade.DNT),
        ("3500", "3400", ["334"], "-234", Grade.DNT),
        ("2990", "1200", ["900", "300"], "590", Grade.SOUND),
    ],
)
def test_room_for_cargo(rating: str, empty: str, aboard: list[str], room: str, grade: Grade) -> None:
    things = [(f"thing {n}", q(each)) for n, each in enumerate(aboard)]
    found = cargo_room(q(rating), q(empty), things)
    assert found.value == Decimal(room)
    assert found.verdict is not None
    assert found.verdict.grade is grade


# Spring bars: the free bodies solved as equations by fractions, another way than the module's


def slack_by_fractions(rig: dict[str, int]) -> tuple[Fraction, Fraction, Fraction]:
    """Front, rear and trailer axle loads with slack bars: moments about the rear axle, then force."""
    front = rig["front"] - Fraction(rig["tongue"] * rig["overhang"], rig["wheelbase"])
    rear = rig["front"] + rig["rear"] + rig["tongue"] - front
    return front, rear, Fraction(rig["gross"] - rig["tongue"])


RIGS = st.fixed_dictionaries(
    {
        "front": st.integers(2000, 4000),
        "rear": st.integers(2000, 4000),
        "tongue": st.integers(300, 1200),
        "gross": st.integers(3000, 10000),
        "wheelbase": st.integers(110, 170),
        "overhang": st.integers(35, 65),
        "length": st.integers(140, 280),
    }
)


def rig_of(rig: dict[str, int], axles: int = 1) -> Rig:
    """The rig of a dictionary."""
    weights = [q(rig[each]) for each in ("front", "rear", "tongue", "gross")]
    lengths = [q(rig[each], "in") for each in ("wheelbase", "overhang", "length")]
    return Rig(*weights, *lengths, q(30, "in"), axles)


@given(RIGS, st.integers(0, 40000))
def test_a_bar_moment_lifts_the_ball_and_loads_both_ends(rig: dict[str, int], moment: int) -> None:
    """Conservation: the three loads always add up to both weights, and moments about the front axle agree."""
    found = loads_under(rig_of(rig), Decimal(moment))
    total = found.front + found.rear + found.trailer
    assert abs(total - rig["front"] - rig["rear"] - rig["gross"]) < Decimal("1e-9")
    base, over, length = rig["wheelbase"], rig["overhang"], rig["length"]
    about_front = found.rear * base + found.trailer * (base + over + length)
    own = rig["rear"] * base
    centre = base + over + length - Decimal(rig["tongue"]) * length / rig["gross"]
    assert abs(about_front - own - rig["gross"] * centre) < Decimal("1e-4")


@given(RIGS, st.integers(1, 3))
def test_equalized_axles_share_what_one_would_carry(rig: dict[str, int], axles: int) -> None:
    one, more = loads_under(rig_of(rig), Decimal(9000)), loads_under(rig_of(rig, axles), Decimal(9000))
    assert (one.front, one.rear) == (more.front, more.rear)
    assert abs(one.trailer - more.trailer) < Decimal("1e-9")
    assert len(set(more.trailer_axles)) == 1


@given(RIGS, st.sampled_from([0, 25, 50, 75, 100]))
def test_the_tension_found_gives_the_loads_that_were_predicted(rig: dict[str, int], percent: int) -> None:
    here = rig_of(rig)
    bars = bar_tension(here, Decimal(percent)).value
    loads = axle_loads(here, Decimal(percent)).value
    slack, again = loads_under(here, Decimal(0)), loads_under(here, bars.moment)
    assert abs(again.front - loads.front) < Decimal("1e-6")
    lost = rig["front"] - slack.front
    assert abs((again.front - slack.front) - lost * percent / 100) < Decimal("1e-6")


@given(RIGS)
def test_slack_bars_are_the_fractions_by_hand(rig: dict[str, int]) -> None:
    front, rear, trailer = slack_by_fractions(rig)
    found = loads_under(rig_of(rig), Decimal(0))
    for ours, by_hand in ((found.front, front), (found.rear, rear), (found.trailer, trailer)):
        assert abs(Fraction(ours) - by_hand) < Fraction(1, 10**9)
