"""Two people at one handover, wrong roles, numbers of issues, and papers printed again."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace

import pytest
from sqlalchemy import Engine
from sqlmodel import col, select

from app.ground.book import reading
from app.ground.receipts import Stale
from app.ground.tables import Document
from app.handover import steps
from app.handover.rules import Checked, items_of
from app.handover.tables import FinalCheck, FollowUp, Handover
from app.trade.problems import Refused
from tests.conftest import Browser
from tests.handover.stays import LEE, NUTS, SIGNATURE, SOUND, WREN, Stay, carried, ready, stay, towed

Sign = Callable[[str], Browser]
FULL = Checked({it.key: "yes" for it in items_of("travel")})


def handovers(book: Engine) -> list[Handover]:
    """All handovers in the order in which they were kept."""
    with reading(book) as session:
        return list(session.exec(select(Handover).order_by(col(Handover.id))))


def at_once(many: int, do: Callable[[int], object]) -> list[object]:
    """What each of many threads comes back with: a value, or why not."""

    def one(number: int) -> object:
        try:
            return do(number)
        except (Stale, Refused) as wrong:
            return type(wrong)

    with ThreadPoolExecutor(many) as pool:
        return list(pool.map(one, range(many)))


def test_of_six_who_hand_over_at_once_one_does(book: Engine) -> None:
    made = ready(book)
    acts = [made.act(person) for person in (WREN, LEE) * 3]
    found = at_once(6, lambda number: steps.hand_over(book, acts[number], made.order, towed()))
    assert sum(it is Stale for it in found) == 5
    (row,) = handovers(book)
    assert row.issue == 1
    assert row.key in found


def test_one_form_sent_six_times_at_once_is_one_handover(book: Engine) -> None:
    made = ready(book)
    once = made.act(WREN)
    found = at_once(6, lambda _: steps.hand_over(book, once, made.order, towed()))
    assert len(set(found)) == 1
    assert len(handovers(book)) == 1


def test_of_six_second_issues_at_once_one_is_kept_and_the_duties_are_those_of_one(book: Engine) -> None:
    made = ready(book)
    made.hand_over()
    with reading(book) as session:
        before = [(it.what, it.due_on, it.due_miles) for it in session.exec(select(FollowUp))]
    acts = [made.act(WREN, 1) for _ in range(6)]
    found = at_once(6, lambda number: steps.hand_over(book, acts[number], made.order, towed()))
    assert sum(it is Stale for it in found) == 5
    assert [row.issue for row in handovers(book)] == [1, 2]
    with reading(book) as session:
        after = [(it.what, it.due_on, it.due_miles) for it in session.exec(select(FollowUp))]
    assert after == before


def test_a_final_check_by_two_at_once_keeps_both_and_either_counts(book: Engine) -> None:
    made = stay(book, SOUND)
    acts = [made.act(person) for person in (WREN, LEE)]
    at_once(2, lambda number: steps.final_check(book, acts[number], made.order, FULL))
    with reading(book) as session:
        assert {it.checked_by for it in session.exec(select(FinalCheck))} == {WREN, LEE}
    assert made.page().checked


# Numbers


def test_issues_count_on_and_each_names_the_one_before(book: Engine) -> None:
    made = ready(book)
    for seen in range(4):
        made.hand_over(seen=seen)
    rows = handovers(book)
    assert [row.issue for row in rows] == [1, 2, 3, 4]
    assert {row.number for row in rows} == {"H-2026-0001"}
    assert [row.replaces_id for row in rows] == [None, *(row.key for row in rows[:-1])]
    said = [row.snapshot["handed"]["replaces"] for row in rows]
    assert said == ["", *(f"H-2026-0001, issue {n}" for n in (1, 2, 3))]


@pytest.mark.parametrize("seen", [0, 2, 7])
def test_a_form_that_knew_other_issues_is_too_late(book: Engine, seen: int) -> None:
    made = ready(book)
    made.hand_over()
    with pytest.raises(Stale):
        made.hand_over(seen=seen)
    assert len(handovers(book)) == 1


def test_a_refused_handover_takes_no_number(book: Engine) -> None:
    made = stay(book, [*SOUND, NUTS])
    for _ in range(3):
        with pytest.raises(Refused):
            made.hand_over()
    made.hand_over(carried())
    assert [row.number for row in handovers(book)] == ["H-2026-0001"]


def test_an_issue_that_carries_what_was_towed_says_so_and_the_first_stays_as_it_was(book: Engine) -> None:
    made = ready(book)
    made.hand_over()
    first = handovers(book)[0].snapshot
    made.hand_over(carried(), seen=1)
    rows = handovers(book)
    assert [row.leaves.partition(":")[0] for row in rows] == ["towed", "carried"]
    assert rows[0].snapshot == first


# Replays


def test_a_replay_of_the_first_after_the_second_gives_the_first_again(book: Engine) -> None:
    made = ready(book)
    once = made.act(WREN)
    first = made.hand_over(by=once)
    second = made.hand_over(seen=1)
    assert made.hand_over(by=once) == first != second
    assert len(handovers(book)) == 2


def test_the_same_key_with_another_word_is_not_taken_for_the_first(book: Engine) -> None:
    made = ready(book)
    once = made.act(WREN)
    made.hand_over(by=once)
    with pytest.raises(Refused, match="sent before with other content"):
        made.hand_over(by=replace(once, sent="0" * 64))
    assert len(handovers(book)) == 1


# Roles


@pytest.mark.parametrize("name", ["Toni", "Lee", "Wren"])
def test_anyone_sees_and_only_writers_and_leads_hand_over(name: str, book: Engine, signed: Sign) -> None:
    made = stay(book, SOUND)
    made.check()
    browser = signed(name)
    assert browser.get(f"/handover/{made.order}").status_code == 200
    assert browser.get(f"/handover/{made.order}/road").status_code == 200
    answer = browser.post(f"/handover/{made.order}", form_of(made))
    assert answer.status_code == (403 if name == "Toni" else 303)
    assert len(handovers(book)) == (0 if name == "Toni" else 1)


def form_of(made: Stay) -> dict[str, str]:
    """A form that hands over under tow."""
    return {
        "leaves": "towed",
        "taken_by": "Rosalind Achterberg",
        "signature": SIGNATURE,
        "revision": "0",
        "submission": f"leave-{made.order}",
    }


def test_a_form_without_its_token_changes_nothing(book: Engine, signed: Sign) -> None:
    made = stay(book, SOUND)
    made.check()
    wren = signed("Wren")
    answer = wren.client.post(
        f"/handover/{made.order}", data=form_of(made), headers={"Origin": "http://testserver"}
    )
    assert answer.status_code == 403
    assert not handovers(book)


def test_a_form_from_another_site_changes_nothing(book: Engine, signed: Sign) -> None:
    made = stay(book, SOUND)
    made.check()
    wren = signed("Wren")
    sent = {**form_of(made), "token": wren.token("/people")}
    answer = wren.client.post(f"/handover/{made.order}", data=sent, headers={"Origin": "http://elsewhere"})
    assert answer.status_code == 403
    assert not handovers(book)


# Papers


def test_a_paper_printed_again_is_the_same_document(book: Engine, signed: Sign) -> None:
    made = stay(book, [*SOUND, NUTS])
    made.hand_over(carried())
    wren = signed("Wren")
    at = f"/handover/{made.order}/issues/1/paper"
    first = wren.post(at, {"submission": "print-1", "revision": "0"})
    again = wren.post(at, {"submission": "print-2", "revision": "0"})
    assert first.headers["location"] == again.headers["location"]
    with reading(book) as session:
        assert len(list(session.exec(select(Document)))) == 1


def test_each_issue_has_its_own_paper(book: Engine, signed: Sign) -> None:
    made = stay(book, [*SOUND, NUTS])
    made.hand_over(carried())
    made.hand_over(carried(), seen=1)
    wren = signed("Wren")
    found = {
        wren.post(
            f"/handover/{made.order}/issues/{issue}/paper",
            {"submission": f"print-{issue}", "revision": "0"},
        ).headers["location"]
        for issue in (1, 2)
    }
    assert len(found) == 2


@pytest.mark.parametrize("issue", ["0", "2", "99"])
def test_an_issue_that_there_is_not_is_not_printed(issue: str, book: Engine, signed: Sign) -> None:
    made = stay(book, [*SOUND, NUTS])
    made.hand_over(carried())
    wren = signed("Wren")
    form = {"submission": "print-1", "revision": "0"}
    assert wren.post(f"/handover/{made.order}/issues/{issue}/paper", form).status_code == 404


def test_an_act_on_a_stay_that_is_not_there_leaves_no_trace(book: Engine, signed: Sign) -> None:
    made = stay(book, SOUND)
    wren = signed("Wren")
    assert wren.post("/handover/99", {**form_of(made), "submission": "x"}).status_code == 404
    assert not handovers(book)
