"""The least work is the cheapest that answers all that can be answered: held against trying every set."""

from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from app.handover.least import Choice, least_works

WORKS = st.lists(
    st.tuples(st.frozensets(st.integers(1, 6), max_size=4), st.integers(0, 500)), max_size=7
).map(lambda made: [Choice(n, answers, amount) for n, (answers, amount) in enumerate(made)])


def by_hand(needed: frozenset[int], works: list[Choice]) -> tuple[int, int]:
    """Amount and count of the best set, found by trying every one."""
    reachable = {key for work in works for key in work.answers} & needed
    sets = (found for n in range(len(works) + 1) for found in combinations(works, n))
    whole = [found for found in sets if reachable <= {key for work in found for key in work.answers}]
    return min((sum(work.amount for work in found), len(found)) for found in whole)


@given(st.frozensets(st.integers(1, 6)), WORKS)
def test_no_set_of_works_that_answers_as_much_is_cheaper(needed: frozenset[int], works: list[Choice]) -> None:
    found = least_works(needed, works)
    assert (sum(work.amount for work in found), len(found)) == by_hand(needed, works)


@given(st.frozensets(st.integers(1, 6)), WORKS)
def test_everything_that_any_work_answers_is_answered(needed: frozenset[int], works: list[Choice]) -> None:
    answered = {key for work in least_works(needed, works) for key in work.answers}
    assert {key for work in works for key in work.answers} & needed <= answered


def test_one_work_that_answers_two_things_beats_two_that_cost_more() -> None:
    both = Choice(3, frozenset({1, 2}), 150)
    assert least_works({1, 2}, [Choice(1, frozenset({1}), 100), Choice(2, frozenset({2}), 100), both]) == (
        both,
    )


def test_a_work_for_something_else_is_left_out() -> None:
    assert least_works({1}, [Choice(1, frozenset({9}), 1)]) == ()
    assert least_works(set(), [Choice(1, frozenset({9}), 1)]) == ()
