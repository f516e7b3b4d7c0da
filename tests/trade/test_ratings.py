from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.figure import Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity
from app.trade.ratings import Compared, Limit, governing_rating, largest_trailer


def lb(pounds: int | str) -> Quantity:
    return Quantity(str(pounds), "lb")


def compared(name: str, rating: int | None, load: int) -> Compared:
    return Compared(name, None if rating is None else lb(rating), lb(load), "plate")


# GAWR is at the ground (49 CFR 571.3): compared with the axles' load, never with the whole trailer
RATINGS = [
    compared("trailer GVWR", 6000, 5800),
    compared("axles, GAWR", 7000, 5100),
    compared("tires at placard pressure", 7280, 5100),
    compared("coupler", 7000, 5800),
]


@pytest.mark.parametrize(
    ("more", "name", "margin", "grade"),
    [
        # plain subtraction, by hand
        ([], "trailer GVWR", 200, Grade.SOUND),
        ([compared("hitch, carrying: tongue", 500, 700)], "hitch, carrying: tongue", -200, Grade.DNT),
        ([compared("ball", 5500, 5800)], "ball", -300, Grade.DNT),
        ([compared("tow vehicle rear GAWR", 3900, 3880)], "tow vehicle rear GAWR", 20, Grade.SOUND),
        ([compared("ball", 5800, 5800)], "ball", 0, Grade.SOUND),  # at the rating is not over it
    ],
)
def test_the_rating_used_most_governs(more: list[Compared], name: str, margin: int, grade: Grade) -> None:
    found = governing_rating([*RATINGS, *more])
    assert found.value is not None
    assert found.value.name == name
    assert found.value.margin == margin
    assert found.verdict is not None
    assert found.verdict.grade is grade
    assert "local law" in found.caution


def test_a_rating_that_cannot_be_read_is_named_and_never_replaced() -> None:
    found = governing_rating([*RATINGS, compared("ball mount", None, 5800)])
    assert found.verdict is not None
    assert found.verdict.grade is Grade.UNSEEN
    assert "ball mount" in found.verdict.says


def test_over_is_over_whatever_else_cannot_be_read() -> None:
    found = governing_rating([compared("ball mount", None, 5800), compared("ball", 5000, 5800)])
    assert found.verdict is not None
    assert found.verdict.grade is Grade.DNT


def test_nothing_legible_is_unseen() -> None:
    found = governing_rating([compared("ball", None, 5800)])
    assert found.value is None
    assert found.verdict is not None
    assert found.verdict.grade is Grade.UNSEEN


@pytest.mark.parametrize(("load", "says"), [(5970, "closer"), (6020, "closer"), (6080, "unload")])
def test_closer_than_the_scale_tells_is_held(load: int, says: str) -> None:
    verdict = governing_rating([compared("trailer GVWR", 6000, load)], lb(50)).verdict
    assert verdict is not None
    assert verdict.grade is Grade.DNT
    assert says in verdict.says


def test_a_small_rating_close_to_its_limit_is_held_too() -> None:
    close = [compared("trailer GVWR", 60000, 59900), compared("tongue", 500, 490)]
    verdict = governing_rating(close, lb(20)).verdict
    assert verdict is not None
    assert "tongue" in verdict.says


P = Decimal("0.12")
TOW = 6050  # front 3100 and rear 2950, loaded
SHARED = [
    # 12 % on the ball; statics by hand: rating ÷ part of the trailer's weight that rests on it
    (Limit("trailer GVWR", Decimal(6000)), "6000"),
    (Limit("axles", Decimal(7000), 1 - P), "7954.5"),
    (Limit("tires", Decimal(7280), 1 - P), "8272.7"),
    (Limit("coupler", Decimal(7000)), "7000"),
    (Limit("tow vehicle's trailer rating", Decimal(7200)), "7200"),
    (Limit("GCWR", Decimal(12800 - TOW)), "6750"),
    (Limit("tow vehicle GVWR", Decimal(7000 - TOW), P), "7916.7"),
    (Limit("tow vehicle rear GAWR", Decimal(3900 - 2950), P * (1 + Decimal(45) / 140)), "5991.0"),
]
CARRYING = (Limit("hitch, carrying: tongue", Decimal(500), P), "4166.7")
DISTRIBUTING = (Limit("hitch, distributing: tongue", Decimal(1000), P), "8333.3")


@pytest.mark.parametrize(("limit", "trailer"), [*SHARED, CARRYING, DISTRIBUTING])
def test_trailer_by_each_limit(limit: Limit, trailer: str) -> None:
    assert abs(limit.trailer - Decimal(trailer)) < Decimal("0.05")


@pytest.mark.parametrize(
    ("hitch", "name"), [(CARRYING, "hitch, carrying: tongue"), (DISTRIBUTING, "tow vehicle rear GAWR")]
)
def test_the_mode_of_the_hitch_changes_what_governs(hitch: tuple[Limit, str], name: str) -> None:
    assert largest_trailer([*(limit for limit, _ in SHARED), hitch[0]]).value.name == name


def test_no_room_is_no_trailer() -> None:
    assert largest_trailer([Limit("tow vehicle GVWR", Decimal(-50), P)]).says.startswith("0")


def test_what_cannot_be_is_refused() -> None:
    with pytest.raises(Impossible):
        governing_rating([])
    with pytest.raises(Impossible):
        compared("ball", 0, 100)
    with pytest.raises(Impossible):
        compared("ball", 5000, -1)
    for limits in ([], [Limit("ball", Decimal(5000), Decimal(0))]):
        with pytest.raises(Impossible):
            largest_trailer(limits)


@given(st.lists(st.tuples(st.integers(1, 9000), st.integers(0, 9000)), min_size=1, max_size=6))
def test_one_more_rating_never_gives_more_room(pairs: list[tuple[int, int]]) -> None:
    every = [compared(str(n), rating, load) for n, (rating, load) in enumerate(pairs)]
    fewer = governing_rating(every[:1]).value
    more = governing_rating(every).value
    assert fewer is not None
    assert more is not None
    assert (more.use or 0) >= (fewer.use or 0)
    verdict = governing_rating(every).verdict
    assert verdict is not None
    assert (verdict.grade is Grade.DNT) is any(load > rating for rating, load in pairs)


@pytest.mark.parametrize(
    ("load", "says"),
    [
        (5800, "trailer GVWR: 200 lb left"),
        (6000, "trailer GVWR: 0 lb left"),
        (6001, "trailer GVWR: 1 lb over: unload"),
    ],
)
def test_the_verdict_names_rating_and_margin(load: int, says: str) -> None:
    verdict = governing_rating([compared("trailer GVWR", 6000, load)]).verdict
    assert verdict is not None
    assert verdict.says.replace("\u00a0", " ") == says


def test_every_rating_is_shown_with_where_it_was_read() -> None:
    shown = [each.says.replace("\u00a0", " ") for each in governing_rating(RATINGS).inputs]
    assert shown[0] == "5800 lb, rating 6000 lb, plate"
    missing = governing_rating([compared("ball", None, 5800)]).inputs[0].says
    assert "not legible" in missing


def test_largest_trailer_is_printed_with_what_limits_it() -> None:
    # 500 ÷ 0.12 = 4166.7, by hand
    assert (
        largest_trailer([CARRYING[0]]).says.replace("\u00a0", " ") == "4,167 lb, by hitch, carrying: tongue"
    )


@given(
    share=st.decimals("0.05", "0.2", places=2), gvwr=st.integers(1000, 9000), tongue=st.integers(100, 1500)
)
def test_the_largest_trailer_fills_one_limit_and_no_other(share: Decimal, gvwr: int, tongue: int) -> None:
    limits = [Limit("GVWR", Decimal(gvwr)), Limit("tongue", Decimal(tongue), share)]
    weight = largest_trailer(limits).value.trailer
    assert all(weight * limit.part <= limit.room + Decimal("1e-9") for limit in limits)
    assert any(abs(weight * limit.part - limit.room) < Decimal("1e-9") for limit in limits)
