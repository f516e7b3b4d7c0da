"""May it leave under tow, what stands in the way, who may make the final check, what a form says."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.handover import rules
from app.handover.rules import Bench, Checked, Fit, Leaves, Leaving, Look, NotFit, Stop, Thing
from app.trade.figure import By, Grade
from app.trade.problems import Refused
from app.trade.typed import Texts

NOON = datetime(2026, 5, 4, 16, tzinfo=UTC)
READY = Bench(check=8)
SIGNATURE = "M10 40 L30 20 L60 44"


def thing(grade: Grade, by: By | None = None, **more: object) -> Thing:
    return Thing(finding_id=1, name="Frame", grade=grade, by=by, reason="cracked", **more)  # type: ignore[arg-type] # any field


def says(found: rules.Fitness) -> list[str]:
    assert isinstance(found, NotFit)
    return [stop.says for stop in found.stops]


# What rules at one place


def test_a_second_look_that_is_heavier_rules() -> None:
    # both are kept and the worse rules until a third: checks, second look
    looks = [Look(1, Grade.SOUND), Look(2, Grade.DNT)]
    assert rules.standing(looks).finding_id == 2


def test_a_lighter_second_look_that_cleared_nothing_does_not_rule() -> None:
    assert rules.standing([Look(1, Grade.DNT), Look(2, Grade.SOUND)]).now is Grade.DNT


def test_a_cleared_fault_leaves_the_look_that_cleared_it() -> None:
    looks = [Look(1, Grade.DNT, cleared=True), Look(2, Grade.WATCH)]
    assert rules.standing(looks).now is Grade.WATCH


def test_a_fault_cleared_by_a_record_is_sound_now() -> None:
    ruling = rules.standing([Look(1, Grade.DNT, cleared=True)])
    assert (ruling.finding_id, ruling.now) == (1, Grade.SOUND)


def test_unseen_counts_only_where_nobody_looked() -> None:
    assert rules.standing([Look(1, Grade.UNSEEN), Look(2, Grade.SOUND)]).now is Grade.SOUND
    assert rules.standing([Look(1, Grade.UNSEEN)]).now is Grade.UNSEEN


def test_of_two_needs_the_nearer_term_rules() -> None:
    looks = [Look(1, Grade.NEEDS, By.SOON), Look(2, Grade.NEEDS, By.TOWING)]
    assert rules.standing(looks).by is By.TOWING


def test_a_place_without_looks_is_a_slip_of_the_program() -> None:
    with pytest.raises(ValueError, match="at least one look"):
        rules.standing([])


# May it be towed, in a word


def faulty(name: str, grade: Grade, by: By | None = None, key: int = 1, **more: object) -> Thing:
    return Thing(finding_id=key, name=name, grade=grade, by=by, **more)  # type: ignore[arg-type] # any field


TIRE = faulty("Tire, axle 2 right", Grade.DNT)
HOOK = faulty("Chain hook", Grade.NEEDS, By.TOWING, key=2)
HUB = faulty("Hub, axle 1 left", Grade.UNSEEN, key=3, must_see=True)


def test_a_do_not_tow_finding_rules_whatever_else_stands() -> None:
    found = rules.towing([HOOK, HUB, TIRE], walked=True)
    assert (found.state, found.word) == (Grade.DNT, "Do not tow")
    assert found.says == "One finding holds it: Tire, axle 2 right."
    unended = rules.towing([TIRE], walked=False)
    assert unended.says == "One finding holds it: Tire, axle 2 right. The walk-round is not ended."


def test_unseen_is_never_called_fit() -> None:
    unseen = rules.towing([thing(Grade.SOUND), HUB], walked=True)
    assert (unseen.state, unseen.word) == (Grade.UNSEEN, "Not yet known")
    assert unseen.says == "Nothing that was found holds it. Not looked at: Hub, axle 1 left."
    assert rules.towing([thing(Grade.SOUND)], walked=False).word == "Not yet known"
    assert rules.towing([HOOK], walked=False).word == "Not yet known"


def test_a_plate_that_nobody_read_is_not_what_holds_a_tow() -> None:
    plate = faulty("VIN plate", Grade.UNSEEN)
    assert rules.towing([plate], walked=True).word == "It may be towed"


def test_a_duty_before_towing_is_named_and_long_lists_are_cut() -> None:
    many = [faulty(name, Grade.NEEDS, By.TOWING, key=n) for n, name in enumerate("abcde")]
    found = rules.towing(many, walked=True)
    assert (found.state, found.word) == (Grade.NEEDS, "Not before the work")
    assert found.says == "Before towing: a; b; c; and 2 more."


def test_what_the_owner_left_and_what_is_shut_off_is_said_of_a_fit_unit() -> None:
    left = faulty("Chain hook", Grade.NEEDS, By.TOWING, initials="R.A.")
    shut = faulty("Stove", Grade.NEEDS, By.USE, key=2, closed_off=True)
    found = rules.towing([left, shut], walked=True)
    assert (found.state, found.word) == (Grade.SOUND, "It may be towed")
    assert "Left undone by the owner's word: Chain hook." in found.says
    assert "Shut off and tagged: Stove." in found.says


def test_a_unit_that_was_wholly_seen_and_holds_nothing_may_be_towed() -> None:
    assert rules.towing([thing(Grade.SOUND)], walked=True).says == "Nothing that was found holds it."


@given(
    st.lists(
        st.builds(
            faulty,
            name=st.text(min_size=1),
            grade=st.sampled_from(Grade),
            by=st.sampled_from(By),
            key=st.integers(1, 99),
            must_see=st.booleans(),
            closed_off=st.booleans(),
            initials=st.sampled_from(["", "R.A."]),
        ),
        unique_by=lambda it: it.finding_id,
    ),
    st.booleans(),
)
def test_the_word_says_what_the_handover_decides(things: list[Thing], walked: bool) -> None:
    found, word = rules.fitness(things, walked=walked), rules.towing(things, walked=walked).word
    assert (word in ("Do not tow", "Not before the work")) <= isinstance(found, NotFit)
    assert (word == "It may be towed") == (isinstance(found, Fit) and not found.unseen)
    assert (word == "Do not tow") == any(it.grade is Grade.DNT for it in things)


# Fit or not


@pytest.mark.parametrize(
    "sound",
    [
        thing(Grade.SOUND),
        thing(Grade.WATCH),
        thing(Grade.NEEDS, By.SOON),
        thing(Grade.NEEDS, By.USE, closed_off=True),  # shut and tagged, it does not hold the tow
        thing(Grade.NEEDS, By.TOWING, initials="R.A."),  # the owner may overrule in writing
        thing(Grade.UNSEEN),
    ],
)
def test_these_may_leave_under_tow(sound: Thing) -> None:
    assert isinstance(rules.fitness([sound], walked=True), Fit)


@pytest.mark.parametrize(
    ("held", "why"),
    [
        (thing(Grade.DNT), "Frame: cracked"),
        (thing(Grade.DNT, initials="R.A."), "Frame: cracked"),  # nobody signs a do-not-tow away
        (thing(Grade.DNT, closed_off=True), "Frame: cracked"),
        (thing(Grade.NEEDS, By.TOWING), "Frame: cracked: the owner has not signed to leave it undone"),
        (thing(Grade.NEEDS, By.USE), "Frame: cracked: not shut off and tagged yet"),
    ],
)
def test_these_hold_the_tow_and_say_why(held: Thing, why: str) -> None:
    assert says(rules.fitness([thing(Grade.SOUND), held], walked=True)) == [why]


def test_a_unit_that_nobody_walked_round_is_not_said_to_be_fit() -> None:
    assert says(rules.fitness([], walked=False)) == ["The walk-round is not ended"]


def test_the_heaviest_reason_comes_first() -> None:
    found = rules.fitness([thing(Grade.NEEDS, By.USE), thing(Grade.DNT)], walked=False)
    assert isinstance(found, NotFit)
    assert [stop.grade for stop in found.stops] == [Grade.DNT, Grade.NEEDS, Grade.UNSEEN]


def test_fit_names_what_was_not_seen_left_and_shut_off() -> None:
    things = [
        Thing(1, "Hub", Grade.UNSEEN, must_see=True),
        Thing(2, "Awning", Grade.UNSEEN),
        Thing(3, "Mirror", Grade.NEEDS, By.TOWING, initials="RA"),
        Thing(4, "Stove", Grade.NEEDS, By.USE, closed_off=True),
    ]
    assert rules.fitness(things, walked=True) == Fit(("Hub",), ("Mirror",), ("Stove",))


LOOK = st.builds(
    Look,
    finding_id=st.integers(1, 50),
    grade=st.sampled_from(Grade),
    by=st.sampled_from([None, *By]),
    cleared=st.booleans(),
)


@given(
    st.lists(st.lists(LOOK, min_size=1, max_size=4), min_size=1, max_size=6),
    st.booleans(),
    st.text(max_size=4),
    st.booleans(),
)
def test_no_mix_of_findings_and_clearances_with_an_open_do_not_tow_is_fit(
    places: list[list[Look]], walked: bool, initials: str, closed: bool
) -> None:
    # an uncleared do-not-tow finding stops an ordinary handover, whatever else is said
    ruling = [rules.standing(looks) for looks in places]
    things = [Thing(it.finding_id, "x", it.now, it.by, closed_off=closed, initials=initials) for it in ruling]
    held = any(look.grade is Grade.DNT and not look.cleared for looks in places for look in looks)
    found = rules.fitness(things, walked=walked)
    if held or not walked:
        assert isinstance(found, NotFit)
        assert rules.in_the_way(Leaves.TOWED, found, READY)
    if isinstance(found, NotFit):
        assert found.stops


def test_initials_set_at_the_handover_count_beside_their_finding_alone() -> None:
    things = [Thing(1, "A", Grade.NEEDS, By.TOWING), Thing(2, "B", Grade.NEEDS, By.TOWING)]
    signed = rules.with_initials(things, {1: "RA"})
    assert [it.initials for it in signed] == ["RA", ""]
    assert len(says(rules.fitness(signed, walked=True))) == 1


# The final check


def test_campers_are_read_more_items_than_a_utility_trailer() -> None:
    assert {it.key for it in rules.items_of("travel")} - {it.key for it in rules.items_of("utility")} == {
        "gas",
        "roof",
    }


def test_a_unit_without_a_breakaway_is_not_handed_over_as_one_whose_breakaway_was_shown() -> None:
    named = [item for item in rules.ITEMS if "breakaway" in item.says.lower()]
    assert {item.key for item in named} == {"chains", "breakaway", "shown"}
    assert [it.says for it in named if it.always and "where there is one" not in it.says] == []


def answers(**changed: str) -> Texts:
    items = {f"item-{it.key}": "yes" for it in rules.items_of("utility")}
    return Texts({**items, "read_by": "Wren", **{f"item-{key}": text for key, text in changed.items()}})


def test_a_full_list_is_read_with_its_reader() -> None:
    checked = rules.read_final_check(answers(breakaway="none"), rules.items_of("utility"))
    assert checked.read_by == "Wren"
    assert checked.items["breakaway"] == "none"
    rules.check_items(checked, rules.items_of("utility"))


@pytest.mark.parametrize("answer", ["", "no", "none", "YES"])
def test_what_every_unit_has_must_be_looked_at(answer: str) -> None:
    with pytest.raises(Refused) as refused:
        rules.read_final_check(answers(nuts=answer), rules.items_of("utility"))
    (problem,) = refused.value.problems
    assert problem.field == "item-nuts"
    assert "wheel nuts" in problem.says
    assert problem.accepts == "looked at"


def test_a_list_of_another_kind_of_unit_is_not_enough() -> None:
    checked = rules.read_final_check(answers(), rules.items_of("utility"))
    with pytest.raises(Refused) as refused:
        rules.check_items(checked, rules.items_of("travel"))
    assert [it.field for it in refused.value.problems] == ["item-gas", "item-roof"]


@pytest.mark.parametrize(
    ("person", "finished", "measured", "people", "may"),
    [
        (2, {1}, set(), {1, 2}, True),  # a second person
        (1, {1}, set(), {1, 2}, False),  # who did the work does not check it
        (1, {1}, set(), {1}, True),  # a shop of one
        (1, {1, 2}, set(), {1, 2}, True),  # all of them worked on it
        (1, set(), set(), {1, 2}, True),
        (1, {1, 9}, set(), {1, 2}, False),  # 9 has left the shop
        (2, {1}, {2}, {1, 2, 3}, False),  # who measured what cleared it does not check it either
        (3, {1}, {2}, {1, 2, 3}, True),
        (2, {1}, {1, 2}, {1, 2}, True),  # nobody else: who only measured checks what the other finished
        (1, {1}, {1, 2}, {1, 2}, False),
        (1, {1}, {1}, {1}, True),
        (1, {1, 2}, {2}, {1, 2}, True),
        (1, set(), {1}, {1, 2}, False),
        (1, set(), {1, 2}, {1, 2}, True),
    ],
)
def test_a_second_person_checks_where_there_is_one(
    person: int, finished: set[int], measured: set[int], people: set[int], may: bool
) -> None:
    hands = rules.Hands(frozenset(finished), frozenset(measured), frozenset(people))
    assert hands.may_check(person) is may
    if may:
        rules.check_checker(person, hands)
    else:
        with pytest.raises(Refused, match="another person makes the final check"):
            rules.check_checker(person, hands)


# What stands in the way


def test_nothing_stands_in_the_way_of_a_fit_and_checked_unit() -> None:
    assert rules.in_the_way(Leaves.TOWED, Fit(), READY) == ()


def test_agreed_work_and_the_final_check_stand_in_the_way() -> None:
    stops = rules.in_the_way(Leaves.TOWED, Fit(), Bench(("New tires",)))
    assert [(stop.says, stop.where) for stop in stops] == [
        ("New tires: agreed and not finished", "bench"),
        ("The final check is not made", "final check"),
    ]


def test_a_final_check_before_the_last_work_counts_no_more() -> None:
    later = Bench(moved=9, check=8)
    assert not later.checked
    assert "after the final check" in rules.in_the_way(Leaves.TOWED, Fit(), later)[0].says


def test_a_carrier_may_take_it_however_it_stands() -> None:
    held = NotFit((Stop("Frame", Grade.DNT),))
    assert rules.in_the_way(Leaves.CARRIED, held, Bench(("New tires",))) == ()


# How it leaves


FORM = {"leaves": "towed", "taken_by": "Rosalind Achterberg", "signature": SIGNATURE}


def test_a_towed_unit_is_read() -> None:
    leaving = rules.read_leaving(Texts(FORM))
    assert leaving == Leaving(Leaves.TOWED, "Rosalind Achterberg", signature=SIGNATURE, initials={})
    assert leaving.how == "towed"


def test_a_carried_unit_says_who_carries_it() -> None:
    leaving = rules.read_leaving(Texts({**FORM, "leaves": "carried", "carrier": "flatbed, TR 40 17"}))
    assert leaving.how == "carried: flatbed, TR 40 17"


@pytest.mark.parametrize(
    ("changed", "field", "part"),
    [
        ({"leaves": ""}, "leaves", "How it leaves"),
        ({"leaves": "pushed"}, "leaves", "not one of the choices"),
        ({"taken_by": " "}, "taken_by", "Who takes it"),
        ({"leaves": "carried"}, "carrier", "Who carries it"),
        ({"signature": ""}, "signature", "missing"),
        ({"signature": "M0 0<script>"}, "signature", "cannot be read"),
        ({"taken_by": "x" * 81}, "taken_by", "81 characters"),
    ],
)
def test_a_form_that_lacks_something_says_what(changed: dict[str, str], field: str, part: str) -> None:
    with pytest.raises(Refused) as refused:
        rules.read_leaving(Texts({**FORM, **changed}))
    (problem,) = refused.value.problems
    assert problem.field == field
    assert part in problem.says


HELD = Stop("Tread depth, left tire: under 2/32 in", Grade.DNT, 7)


def test_what_holds_the_tow_is_told_before_all_else_that_the_form_lacks() -> None:
    duty = Stop("Alarm: the owner has not signed to leave it undone", Grade.NEEDS, 8, "handover")
    with pytest.raises(Refused) as refused:
        rules.read_leaving(Texts({**FORM, "signature": ""}), tires=True, held_by=(HELD, duty))
    assert [it.field for it in refused.value.problems] == ["leaves", "registered", "signature"]
    assert refused.value.problems[0].says == HELD.says


def test_a_carrier_is_asked_for_the_registration_however_the_unit_stands() -> None:
    form = {**FORM, "leaves": "carried", "carrier": "flatbed, TR 40 17"}
    with pytest.raises(Refused) as refused:
        rules.read_leaving(Texts(form), tires=True, held_by=(HELD,))
    assert [it.field for it in refused.value.problems] == ["registered"]


def test_the_owner_may_sign_on_the_printed_sheet() -> None:
    leaving = rules.read_leaving(Texts({**FORM, "signature": "", "on_paper": "yes"}))
    assert leaving.on_paper
    assert not leaving.signature


def test_initials_are_read_for_the_findings_asked_alone() -> None:
    form = {**FORM, "initials-7": "RA", "initials-8": "XX"}
    assert rules.read_leaving(Texts(form), [7, 9]).initials == {7: "RA"}


def leaving(**more: object) -> Leaving:
    return Leaving(Leaves.TOWED, "Rosalind", **more)  # type: ignore[arg-type] # any field


def test_everything_in_the_way_is_said_at_once() -> None:
    held = NotFit((Stop("Frame: cracked", Grade.DNT), Stop("Chains: none", Grade.DNT)))
    with pytest.raises(Refused) as refused:
        rules.check_leaving(leaving(), held, Bench())
    assert [it.says for it in refused.value.problems] == [
        "Frame: cracked",
        "Chains: none",
        "The final check is not made",
    ]
    assert all("carried away" in it.accepts for it in refused.value.problems)


def test_unseen_parts_need_a_reason() -> None:
    with pytest.raises(Refused, match="Why it was not looked at is missing: Hub"):
        rules.check_leaving(leaving(), Fit(unseen=("Hub",)), READY, ["Hub"])
    rules.check_leaving(leaving(unseen_reason="drum stuck"), Fit(unseen=("Hub",)), READY, ["Hub"])


def test_a_checked_list_without_an_item_is_refused_by_name() -> None:
    with pytest.raises(Refused, match="item-tools"):
        rules.check_items(Checked({}), rules.items_of("boat"))


def test_long_lists_are_cut_after_three_and_say_how_many_more() -> None:
    assert rules.listed(["a", "b", "c"]) == "a; b; c"
    assert rules.listed(["a", "b", "c", "d", "e"]) == "a; b; c; and 2 more"
