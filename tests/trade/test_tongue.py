from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import HEAVIEST_FIRST, By, Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.tongue import BALL_HITCH, BANDS, BOAT, Bands, Beam, by_beam, by_jack, tongue_share


def lb(typed: str) -> Quantity:
    return Quantity(typed, "lb")


@pytest.mark.parametrize(
    ("tongue", "gross", "bands", "grade"),
    [
        # 10 to 15 % on the ball: the usual advice of tow vehicle books and road safety agencies, from memory
        ("720", "6000", BALL_HITCH, Grade.SOUND),
        ("600", "6000", BALL_HITCH, Grade.SOUND),
        ("900", "6000", BALL_HITCH, Grade.SOUND),
        ("599", "6000", BALL_HITCH, Grade.NEEDS),
        ("901", "6000", BALL_HITCH, Grade.NEEDS),
        ("300", "6000", BALL_HITCH, Grade.NEEDS),  # 5 % itself: common practice
        ("299", "6000", BALL_HITCH, Grade.DNT),
        ("0", "6000", BALL_HITCH, Grade.DNT),
        ("-60", "6000", BALL_HITCH, Grade.DNT),  # tail-heavy is a finding
        ("145", "2900", BOAT, Grade.SOUND),  # boats 5 to 15 %: common practice
        ("144", "2900", BOAT, Grade.NEEDS),
        ("115", "2900", BOAT, Grade.DNT),
        ("440", "2900", BOAT, Grade.NEEDS),
    ],
)
def test_grade_of_a_share(tongue: str, gross: str, bands: Bands, grade: Grade) -> None:
    verdict = tongue_share(lb(tongue), lb(gross), bands).verdict
    assert verdict is not None
    assert verdict.grade is grade
    assert verdict.by is (By.SOON if grade is Grade.NEEDS else None)


def test_share_is_printed_with_its_inputs() -> None:
    found = tongue_share(lb("720"), lb("6000"))
    assert found.value == 12  # 720 of 6000, by hand
    assert found.says.replace("\u00a0", " ") == "12.0 %"
    assert [each.says.replace("\u00a0", " ") for each in found.inputs] == ["720 lb", "6000 lb"]


def test_kilograms_and_pounds_mix() -> None:
    # 100 kg is 220.46 lb
    assert tongue_share(Quantity("100", "kg"), lb("2204.6")).value.quantize(Decimal("0.01")) == Decimal(
        "10.00"
    )


def test_across_a_limit_the_worse_grade_counts_and_says_so() -> None:
    near = tongue_share(lb("610"), lb("6000"), doubt=Decimal("0.34")).verdict
    clear = tongue_share(lb("720"), lb("6000"), doubt=Decimal("0.34")).verdict
    assert near is not None
    assert clear is not None
    assert near.grade is Grade.NEEDS
    assert "weigh it better" in near.says
    assert clear.grade is Grade.SOUND


@pytest.mark.parametrize(
    ("tongue", "gross"), [("4000", "6000"), ("-1300", "6000"), ("500", "0"), ("5", "-1")]
)
def test_tickets_that_cannot_be_are_refused(tongue: str, gross: str) -> None:
    with pytest.raises(Impossible):
        tongue_share(lb(tongue), lb(gross))


def test_every_kind_has_its_bands() -> None:
    assert set(BANDS) == {"travel", "tent", "cargo", "utility", "boat"}


@given(gross=st.integers(500, 20000), share=st.decimals("-20", "59", places=2))
def test_share_comes_back(gross: int, share: Decimal) -> None:
    assert abs(tongue_share(lb(str(gross * share / 100)), lb(str(gross))).value - share) < Decimal("1e-9")


@pytest.mark.parametrize(
    ("tongue", "axles", "percent"),
    # two worked examples that a supplier of axles publishes for placing an axle: tongue, wheels, share
    [("1025", "7200", "12.5"), ("300", "8200", "3.5")],
)
def test_shares_of_published_examples(tongue: str, axles: str, percent: str) -> None:
    found = tongue_share(lb(tongue), lb(str(int(tongue) + int(axles)))).value
    assert found.quantize(Decimal("0.1")) == Decimal(percent)


def beam(reading: str, load: str, scale: str) -> Beam:
    return Beam(lb(reading), Quantity(load, "in"), Quantity(scale, "in"))


@pytest.mark.parametrize(
    ("reading", "load", "scale", "weight"),
    [
        # law of the lever from the support: 1 ft to the coupler and 3 ft to the scale is three times
        ("137", "12", "48", "548"),
        ("200", "12", "36", "600"),
        ("150", "12", "36", "450"),
        ("180", "24", "60", "450"),
    ],
)
def test_a_small_scale_and_a_beam(reading: str, load: str, scale: str, weight: str) -> None:
    assert by_beam(beam(reading, load, scale)).value == Decimal(weight)


def test_the_load_on_the_jack_is_more_than_on_the_ball() -> None:
    # moments about the axle, by hand: 820 × (190 − 22) ÷ 190 = 725.05
    found = by_jack(lb("820"), Quantity("22", "in"), Quantity("190", "in"))
    assert found.value.quantize(Decimal("0.1")) == Decimal("725.1")


def test_beams_and_jacks_that_cannot_be_are_refused() -> None:
    for reading, load, scale in (("0", "12", "48"), ("100", "48", "48"), ("100", "0", "48")):
        with pytest.raises(Impossible):
            beam(reading, load, scale)
    with pytest.raises(Impossible):
        by_jack(lb("800"), Quantity("190", "in"), Quantity("190", "in"))


@given(weight=st.integers(50, 1500), load=st.integers(6, 24), scale=st.integers(30, 96))
def test_moments_about_the_support_are_equal(weight: int, load: int, scale: int) -> None:
    reading = Decimal(weight) * load / scale
    found = by_beam(beam(f"{reading:f}"[:25], str(load), str(scale)))
    assert abs(found.value * load - reading * scale) < Decimal("1e-9")


@pytest.mark.parametrize(
    ("tongue", "says"),
    [
        ("720", "12.0 %, inside 10 to 15 %"),
        ("480", "8.0 %, outside 10 to 15 %"),
        ("240", "4.0 %, hold under 5 %"),
    ],
)
def test_the_verdict_names_share_and_band(tongue: str, says: str) -> None:
    verdict = tongue_share(lb(tongue), lb("6000")).verdict
    assert verdict is not None
    assert verdict.says.replace("\u00a0", " ") == says


def test_beam_and_jack_show_their_lengths() -> None:
    found = by_beam(beam("137", "12", "48"))
    assert [each.says.replace("\u00a0", " ") for each in found.inputs] == ["137 lb", "12 in", "48 in"]
    jack = by_jack(lb("820"), Quantity("22", "in"), Quantity("190", "in"))
    assert jack.says.replace("\u00a0", " ") == "725 lb"
    assert "chock first" in jack.caution


@given(tongue=st.integers(0, 1200), doubt=st.decimals("0", "3", places=2))
def test_doubt_never_makes_a_grade_better(tongue: int, doubt: Decimal) -> None:
    sure = tongue_share(lb(str(tongue)), lb("6000")).verdict
    unsure = tongue_share(lb(str(tongue)), lb("6000"), doubt=doubt).verdict
    assert sure is not None
    assert unsure is not None
    assert HEAVIEST_FIRST.index(unsure.grade) <= HEAVIEST_FIRST.index(sure.grade)
