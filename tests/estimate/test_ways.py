"""Repair or replace: several ways of doing one work side by side, of which the owner picks one."""

from collections.abc import Callable
from datetime import datetime
from decimal import Decimal
from io import BytesIO
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pypdf import PdfReader
from sqlalchemy import Engine

from app.estimate import facts, steps
from app.estimate.agreed import OTHER_WAY
from app.estimate.rules import Group, NewLine, NewWork, Way, counted
from app.estimate.saying import Said, WorkSaid
from app.ground.book import reading
from app.trade.problems import Refused
from app.trade.totals import LineKind
from tests.conftest import NOON, Browser, people_now
from tests.estimate.arrived import BREAKAWAY, ROOF, ledger, priced, work_named, writer
from tests.estimate.test_agreed import say, word
from tests.estimate.test_screens import consent_form, seen
from tests.estimate.test_steps import set_shop
from tests.ground.taxing import taxed

Signed = Callable[..., Browser]


@pytest.mark.parametrize(
    ("answers", "picked"),
    [
        (("", ""), {1}),  # until the owner picks, the recommended one counts
        (("", "yes"), {2}),
        (("later", "yes"), {2}),
        (("yes", ""), {1}),
        (("yes", "no"), {1}),
        (("no", ""), {2}),  # what is left of the two
        (("later", ""), {1}),
        (("no", "later"), {2}),
        (("no", "no"), set()),
    ],
)
def test_of_the_ways_of_one_work_one_counts(answers: tuple[str, str], picked: set[int]) -> None:
    ways = [Way(key, 1, answer) for key, answer in enumerate(answers, 1)]
    assert counted(ways) == picked
    assert counted([*ways, Way(3, 3), Way(4, 4, "no")]) == picked | {3}


@given(st.lists(st.tuples(st.integers(1, 3), st.sampled_from(["", "yes", "later", "no"])), max_size=8))
def test_never_two_ways_of_one_work_count(made: list[tuple[int, str]]) -> None:
    ways = [Way(100 + n, choice, answer) for n, (choice, answer) in enumerate(made)]
    found = counted(ways)
    by_key = {way.work_id: way for way in ways}
    assert not any(by_key[one].choice == by_key[two].choice for one, two in combinations(found, 2))
    assert all(by_key[key].answer != "no" for key in found)


def two_ways(book: Engine) -> tuple[int, int, int]:
    """An order with a roof to be skinned anew, or patched instead; order and both works."""
    order_id = priced(book, (BREAKAWAY, ROOF))
    roof = work_named(book, order_id, "Replace roof")
    patch = NewWork("Patch the seam", Group.WAIT, (roof.findings[0].id,), hours="2", instead_of=roof.id)
    return order_id, roof.id, steps.add_work(book, writer(book, order_id), order_id, patch)


def shown_ways(book: Engine, at: datetime = NOON) -> tuple[int, int, int]:
    """The same, shown to the owner."""
    order_id, roof, patch = two_ways(book)
    steps.freeze(book, writer(book, order_id, at), order_id)
    return order_id, roof, patch


def test_another_way_stands_beside_the_recommended_one_and_outside_the_sums(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY, ROOF))
    before = ledger(book, order_id).total.net
    order_id, roof, patch = two_ways(book)
    found = ledger(book, order_id)
    assert [work.id for work in found.groups[-1].works] == [roof, patch]
    assert [found.work(key).counts for key in (roof, patch)] == [True, False]
    assert found.total.net == before
    assert found.work(patch).ways == ("Replace roof skin",)


def test_the_owners_pick_takes_the_place_of_the_recommended_one_in_the_sums(book: Engine) -> None:
    order_id, roof, patch = shown_ways(book)
    before = ledger(book, order_id)
    say(book, order_id, WorkSaid(patch, Said.YES))
    found = ledger(book, order_id)
    assert [found.work(key).counts for key in (roof, patch)] == [False, True]
    assert found.total.net == before.total.net - before.work(roof).amount + before.work(patch).amount
    assert found.agreed == before.work(patch).amount
    assert not found.work(roof).asks


def test_the_way_that_the_owner_declined_is_no_longer_recommended(book: Engine) -> None:
    order_id, roof, patch = shown_ways(book)
    assert [ledger(book, order_id).work(key).way_word for key in (roof, patch)] == [
        "We recommend this",
        "Or this instead",
    ]
    say(book, order_id, WorkSaid(roof, Said.NO), WorkSaid(patch, Said.YES))
    assert [ledger(book, order_id).work(key).way_word for key in (roof, patch)] == [
        "You said no to this way",
        "You chose this way",
    ]


def test_once_the_owner_picked_nothing_is_recommended_any_more(book: Engine) -> None:
    order_id, roof, patch = shown_ways(book)
    say(book, order_id, WorkSaid(patch, Said.YES))
    assert [ledger(book, order_id).work(key).way_word for key in (roof, patch)] == [
        "You chose another way",
        "You chose this way",
    ]
    assert [ledger(book, order_id).work(key).way for key in (roof, patch)] == ["Not chosen", "Chosen"]
    say(book, order_id, WorkSaid(roof, Said.YES))  # and thinks better of it
    assert [ledger(book, order_id).work(key).way_word for key in (roof, patch)] == [
        "You chose this way",
        "Or this instead",
    ]


def test_a_pick_put_off_leaves_the_recommended_way_recommended(book: Engine) -> None:
    order_id, roof, patch = shown_ways(book)
    say(book, order_id, WorkSaid(roof, Said.LATER))
    assert ledger(book, order_id).work(roof).way_word == "We recommend this"
    assert ledger(book, order_id).work(patch).way_word == "Or this instead"


def test_yes_to_both_ways_is_refused_beside_the_second(book: Engine) -> None:
    order_id, roof, patch = shown_ways(book)
    with pytest.raises(Refused) as refused:
        say(book, order_id, WorkSaid(roof, Said.YES), WorkSaid(patch, Said.YES))
    [problem] = refused.value.problems
    assert (problem.field, problem.says) == (
        f"say-{patch}",
        "Patch the seam is another way of Replace roof skin; one of them is done",
    )


def test_a_later_pick_ends_the_first_one(book: Engine) -> None:
    order_id, roof, patch = shown_ways(book)
    say(book, order_id, WorkSaid(roof, Said.YES))
    say(book, order_id, WorkSaid(patch, Said.YES))
    assert word(book, order_id, roof).lapsed == OTHER_WAY
    assert word(book, order_id, patch).holds
    found = ledger(book, order_id)
    assert found.agreed == found.work(patch).amount  # not the roof's beside it
    say(book, order_id, WorkSaid(roof, Said.YES))
    assert word(book, order_id, roof).holds
    assert word(book, order_id, patch).lapsed == OTHER_WAY
    assert ledger(book, order_id).work(roof).counts


def test_a_must_declined_for_another_way_needs_no_initials(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    switch = work_named(book, order_id, "Breakaway").id
    other = NewWork("Repair the cable", Group.MUST, hours="0.5", instead_of=switch)
    cable = steps.add_work(book, writer(book, order_id), order_id, other)
    steps.freeze(book, writer(book, order_id), order_id)
    assert say(book, order_id, WorkSaid(switch, Said.NO), WorkSaid(cable, Said.YES))
    assert ledger(book, order_id).groups[0].works[1].counts


def test_the_limit_counts_the_way_that_was_picked(book: Engine) -> None:
    order_id, roof, patch = shown_ways(book)
    say(book, order_id, WorkSaid(roof, Said.YES))
    assert say(book, order_id, WorkSaid(patch, Said.YES), limit=ledger(book, order_id).work(patch).amount)


def test_another_way_of_another_way_is_refused(book: Engine) -> None:
    order_id, _, patch = two_ways(book)
    third = NewWork("Tape it", Group.WAIT, hours="1", instead_of=patch)
    with pytest.raises(Refused, match="another way itself"):
        steps.add_work(book, writer(book, order_id), order_id, third)


def test_a_work_is_not_removed_before_its_other_ways(book: Engine) -> None:
    order_id, roof, patch = two_ways(book)
    with pytest.raises(Refused, match="Patch the seam stands instead of it"):
        steps.remove_work(book, writer(book, order_id), order_id, roof)
    steps.remove_work(book, writer(book, order_id), order_id, patch)
    steps.remove_work(book, writer(book, order_id), order_id, roof)


def test_a_budget_weighs_the_way_that_counts_only(book: Engine) -> None:
    order_id, roof, patch = two_ways(book)
    with reading(book) as session:
        drawn = facts.within_budget(session, ledger(book, order_id), 10_000_000, NOON.date()).budget
    assert drawn is not None
    assert roof in drawn.fits
    assert patch not in drawn.fits


def test_a_budget_never_spends_the_cent_that_rounding_of_two_rates_adds(book: Engine) -> None:
    set_shop(book, supplies_percent="0")
    taxed(book, parts="5", outside="7")
    order_id = priced(book, (BREAKAWAY,))
    steps.remove_work(book, writer(book, order_id), order_id, work_named(book, order_id, "Break").id)
    # 1.10 x 0.05 = 0.055 up to 0.06; 0.50 x 0.07 = 0.035 up to 0.04: 1.70 with 1.60 before tax, exactly 1.69
    lines = (
        NewLine(LineKind.PART, "Pin", "1", 110, "parts"),
        NewLine(LineKind.OUTSIDE, "Weld", "1", 50, "outside"),
    )
    steps.add_work(book, writer(book, order_id), order_id, NewWork("Pin", Group.MUST, lines=lines))
    found = ledger(book, order_id)
    assert found.total.gross == 170
    with reading(book) as session:
        short, enough = (
            facts.within_budget(session, found, cents, NOON.date()).budget for cents in (169, 170)
        )
    assert short is not None
    assert enough is not None
    assert (short.fits, short.left) == (frozenset(), 169)
    assert (len(enough.fits), enough.left) == (1, 0)
    assert Decimal("1.10") * Decimal("1.05") + Decimal("0.50") * Decimal("1.07") == Decimal("1.69")


# --- screens and paper --------------------------------------------------------------------------


def test_a_work_offers_another_way_which_takes_over_its_findings(signed: Signed, book: Engine) -> None:
    order_id = priced(book, (ROOF,))
    roof, wren = work_named(book, order_id, "Replace roof"), signed("Wren")
    assert f"/add?instead={roof.id}" in wren.get(f"/estimate/{order_id}/works/{roof.id}").text
    page = wren.get(f"/estimate/{order_id}/add?instead={roof.id}").text
    assert f'value="{roof.findings[0].id}" checked' in page
    assert f'<option value="{roof.id}" selected' in page
    form = seen(book, order_id, title="Patch the seam", group="wait", hours="2", instead_of=str(roof.id))
    assert wren.post(f"/estimate/{order_id}/works", form).status_code == 303
    assert "Or instead" in wren.get(f"/estimate/{order_id}").text


@pytest.mark.parametrize("typed", ["99", "x", "9" * 30, "-1"])
def test_a_way_of_no_work_here_is_refused_beside_its_field(signed: Signed, book: Engine, typed: str) -> None:
    order_id, _, _ = two_ways(book)
    form = seen(book, order_id, title="Tape it", group="wait", hours="1", instead_of=typed)
    answer = signed("Wren").post(f"/estimate/{order_id}/works", form)
    assert answer.status_code == 422
    assert "no work that has another way" in answer.text


def test_the_tablet_asks_for_one_of_the_ways(signed: Signed, book: Engine) -> None:
    order_id, roof, patch = shown_ways(book, people_now())
    wren = signed("Wren")
    page = wren.get(f"/estimate/{order_id}/consent").text
    assert "We recommend this</b>: say yes to one of 2 ways" in page
    assert "Or this instead" in page
    declined = consent_form(book, order_id, **{f"say-{roof}": "no", f"say-{patch}": ""})
    assert wren.post(f"/estimate/{order_id}/consent", declined).status_code == 303
    page = wren.get(f"/estimate/{order_id}/consent").text
    assert "We recommend this" not in page
    assert "You said no to this way</b>: say yes to one of 2 ways" in page
    form = consent_form(book, order_id, **{f"say-{roof}": "yes", f"say-{patch}": "yes"})
    answer = wren.post(f"/estimate/{order_id}/consent", form)
    assert answer.status_code == 422
    assert "one of them is done" in answer.text


def test_the_paper_shows_both_ways_and_sums_the_recommended_one(signed: Signed, book: Engine) -> None:
    order_id, _, _ = two_ways(book)
    wren = signed("Wren")
    answer = wren.post(f"/estimate/{order_id}/print", seen(book, order_id))
    pdf = wren.get(answer.headers["location"])
    text = " ".join("".join(page.extract_text() for page in PdfReader(BytesIO(pdf.content)).pages).split())
    assert "We recommend this; tick yes for one of 2 ways" in text
    assert "Or this instead; tick yes for one of 2 ways. Not in the sums" in text
    total = ledger(book, order_id).total.gross
    assert f"Everything {total / 100:,.2f}" in text
