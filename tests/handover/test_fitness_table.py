"""Every kind of finding against the rule of what stops a unit, by a table and by every combination.

The rule in plain words, as the trade has it (49 CFR 392.7 and 396.7 for commercial units, common practice for
others): what is not safe to tow is not towed; what the owner may leave, is left in writing; what is dangerous
in use is shut off and tagged; what nobody saw is never called sound.
"""

from itertools import combinations, product

import pytest

from app.handover import rules
from app.handover.rules import Bench, Checked, Fit, Leaves, Leaving, NotFit, Thing
from app.trade.figure import By, Grade
from app.trade.problems import Refused

SIGNED = Leaving(Leaves.TOWED, "Rosalind Achterberg", signature="M10 40 L30 20 L60 44")
CARRIED = Leaving(Leaves.CARRIED, "Low Fields Haulage", "flatbed", "M10 40 L30 20 L60 44")
CHECKED = Bench(check=8)


def a_thing(
    grade: Grade,
    by: By | None = None,
    *,
    key: int = 1,
    closed: bool = False,
    initials: str = "",
    must: bool = False,
) -> Thing:
    """A thing of a walk-round, named after what it is."""
    name = f"{grade.value} {by.value if by else ''}{' closed' if closed else ''}{' left' if initials else ''}"
    return Thing(
        key, f"{name} {key}", grade, by=by, closed_off=closed, initials=initials, must_see=must, reason="why"
    )


EVERY = [
    a_thing(grade, by, key=number, closed=closed, initials=initials, must=must)
    for number, (grade, by, closed, initials, must) in enumerate(
        product(Grade, [None, *By], [False, True], ["", "RA"], [False, True]), 1
    )
    if (by is not None) == (grade is Grade.NEEDS)
]


def holds(it: Thing) -> bool:
    """Whether a thing keeps the unit off the road, in the words of the module above."""
    if it.grade is Grade.DNT:
        return True
    if it.grade is not Grade.NEEDS:
        return False
    return (it.by is By.TOWING and it.initials == "") or (it.by is By.USE and not it.closed_off)


@pytest.mark.parametrize("it", EVERY, ids=lambda it: f"{it.name}{' must' if it.must_see else ''}")
def test_each_thing_by_itself_holds_or_does_not(it: Thing) -> None:
    found = rules.fitness([it], walked=True)
    assert isinstance(found, NotFit) is holds(it)
    if isinstance(found, NotFit):
        (stop,) = found.stops
        assert stop.finding_id == it.finding_id
        assert it.name in stop.says
        assert "why" in stop.says
    else:
        assert (it.name in found.unseen) is (it.grade is Grade.UNSEEN and it.must_see)
        assert (it.name in found.left) is (it.by is By.TOWING)
        assert (it.name in found.closed) is (it.by is By.USE)


def test_any_two_hold_where_one_of_them_does() -> None:
    for pair in combinations(EVERY, 2):
        found = rules.fitness(pair, walked=True)
        held = {it.finding_id for it in pair if holds(it)}
        assert ({stop.finding_id for stop in found.stops} if isinstance(found, NotFit) else set()) == held


def test_what_is_added_never_makes_a_held_unit_fit() -> None:
    for first, second in product([it for it in EVERY if holds(it)], EVERY):
        assert isinstance(rules.fitness([second, first], walked=True), NotFit)


def test_the_word_on_every_page_never_says_more_than_the_rule() -> None:
    for it, walked in product(EVERY, [True, False]):
        word = rules.towing([it], walked=walked)
        fit = isinstance(rules.fitness([it], walked=walked), Fit)
        assert (word.state is Grade.SOUND) <= fit
        assert (word.word == "It may be towed") is (fit and not (it.must_see and it.grade is Grade.UNSEEN))
        assert (word.state is Grade.DNT) is (it.grade is Grade.DNT)


def test_no_answer_of_the_owner_lifts_a_do_not_tow() -> None:
    grave = a_thing(Grade.DNT, key=7)
    for initials in ({7: "RA"}, {7: "R. Achterberg"}, {1: "RA"}, {}):
        (signed,) = rules.with_initials([grave], initials)
        assert isinstance(rules.fitness([signed], walked=True), NotFit)


def test_closing_off_lifts_what_is_dangerous_in_use_and_nothing_else() -> None:
    for by in By:
        found = rules.fitness([a_thing(Grade.NEEDS, by, closed=True)], walked=True)
        assert isinstance(found, NotFit) is (by is By.TOWING)


def test_a_walk_that_is_not_ended_holds_every_unit() -> None:
    for it in EVERY:
        found = rules.fitness([it], walked=False)
        assert isinstance(found, NotFit)
        assert "The walk-round is not ended" in [stop.says for stop in found.stops]


def test_the_gravest_stands_first_whatever_the_order() -> None:
    grave, duty, use = (
        a_thing(Grade.DNT, key=1),
        a_thing(Grade.NEEDS, By.TOWING, key=2),
        a_thing(Grade.NEEDS, By.USE),
    )
    for order in ((grave, duty, use), (use, duty, grave), (duty, grave, use)):
        found = rules.fitness(order, walked=True)
        assert isinstance(found, NotFit)
        assert [stop.grade for stop in found.stops] == [Grade.DNT, Grade.NEEDS, Grade.NEEDS]


# What a form may do with it


@pytest.mark.parametrize("it", EVERY, ids=lambda it: f"{it.name}{' must' if it.must_see else ''}")
def test_a_form_under_tow_is_kept_only_where_nothing_holds(it: Thing) -> None:
    found, unseen = rules.fitness([it], walked=True), rules.unseen_of([it])
    try:
        rules.check_leaving(SIGNED, found, CHECKED, unseen)
        kept = True
    except Refused as refused:
        kept = False
        assert {each.field for each in refused.problems} <= {"leaves", "unseen_reason"}
    assert kept is (not holds(it) and not unseen)


@pytest.mark.parametrize("it", EVERY, ids=lambda it: f"{it.name}{' must' if it.must_see else ''}")
def test_a_carrier_takes_it_however_it_stands_but_not_without_a_word_on_what_nobody_saw(it: Thing) -> None:
    found, unseen = rules.fitness([it], walked=True), rules.unseen_of([it])
    if unseen:
        with pytest.raises(Refused, match="Why it was not looked at"):
            rules.check_leaving(CARRIED, found, Bench(), unseen)
    else:
        rules.check_leaving(CARRIED, found, Bench(), unseen)


@pytest.mark.parametrize(
    ("bench", "words"),
    [
        (Bench(), "The final check is not made"),
        (Bench(moved=9, check=8), "Something was done after the final check"),
        (Bench(unfinished=("Reseal the roof",), check=8), "Reseal the roof: agreed and not finished"),
    ],
)
def test_a_sound_unit_is_held_by_what_the_bench_has_not_ended(bench: Bench, words: str) -> None:
    found = rules.fitness([a_thing(Grade.SOUND)], walked=True)
    with pytest.raises(Refused, match=words):
        rules.check_leaving(SIGNED, found, bench)
    rules.check_leaving(CARRIED, found, bench)


def test_a_check_at_the_very_moment_of_the_last_work_still_counts() -> None:
    assert Bench(moved=8, check=8).checked


@pytest.mark.parametrize("kind", ["travel", "tent", "cargo", "utility", "boat", "equipment"])
def test_each_line_of_the_final_check_is_needed(kind: str) -> None:
    items = rules.items_of(kind)
    whole = {item.key: "yes" for item in items}
    rules.check_items(Checked(whole), items)
    for item in items:
        with pytest.raises(Refused, match=f"item-{item.key}"):
            rules.check_items(Checked({**whole, item.key: ""}), items)
