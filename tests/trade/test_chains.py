from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.trade.chains import breaking_strength, chain_strength
from app.trade.figure import HEAVIEST_FIRST, By, Grade
from app.trade.problems import Impossible
from app.trade.quantity import Quantity


def lb(pounds: int) -> Quantity:
    return Quantity(str(pounds), "lb")


@pytest.mark.parametrize(
    ("grade", "size", "breaks"),
    [
        # 49 CFR 393.108 working load limits, from memory, × the chain trade's design factors 4, 3 and 4
        (30, "1/4", 5200),
        (30, "5/16", 7600),
        (30, "3/8", 10600),
        (43, "1/4", 7800),
        (43, "5/16", 11700),
        (43, "3/8", 16200),
        (70, "1/4", 12600),
        (70, "5/16", 18800),
        (70, "3/8", 26400),
    ],
)
def test_breaking_strength(grade: int, size: str, breaks: int) -> None:
    assert breaking_strength(grade, size) == breaks


@pytest.mark.parametrize(
    ("chains", "grade", "by"),
    [
        ([], Grade.DNT, None),  # 19VAC30-70-120: safety chains are asked for
        ([2900, 2900], Grade.DNT, None),  # together under 6000: 49 CFR 393.70(d)
        ([5200, 5200], Grade.NEEDS, By.TOWING),  # only the sum; NH RSA 266:63 asks it of each
        ([7600, 5200], Grade.NEEDS, By.TOWING),
        ([7600], Grade.NEEDS, By.TOWING),  # two are asked for
        ([7600, 7600], Grade.SOUND, None),
        ([6000, 6000], Grade.SOUND, None),  # at least the rating
    ],
)
def test_chains_of_a_trailer_rated_6000_lb(chains: list[int], grade: Grade, by: By | None) -> None:
    found = chain_strength([lb(each) for each in chains], lb(6000))
    assert found.value == Decimal(sum(chains))
    assert found.verdict is not None
    assert (found.verdict.grade, found.verdict.by) == (grade, by)
    assert "Local law" in found.caution


def test_unmarked_and_unknown_chain_is_refused() -> None:
    for grade, size in ((80, "1/4"), (30, "3/16")):
        with pytest.raises(Impossible):
            breaking_strength(grade, size)
    with pytest.raises(Impossible):
        chain_strength([lb(0)], lb(6000))


@given(st.lists(st.integers(1000, 20000), min_size=2, max_size=2), st.integers(0, 9000))
def test_stronger_chains_are_never_graded_worse(chains: list[int], more: int) -> None:
    weak = chain_strength([lb(each) for each in chains], lb(6000)).verdict
    strong = chain_strength([lb(each + more) for each in chains], lb(6000)).verdict
    assert weak is not None
    assert strong is not None
    assert HEAVIEST_FIRST.index(weak.grade) <= HEAVIEST_FIRST.index(strong.grade)


def test_together_exactly_the_rating_is_enough_by_federal_text() -> None:
    found = chain_strength([lb(3000), lb(3000)], lb(6000)).verdict
    assert found is not None
    assert found.grade is Grade.NEEDS  # 393.70(d) reached by the sum; many states ask it of each
    assert "local law" in found.says
