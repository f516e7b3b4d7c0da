"""The owner's word as later rooms read it: it lapses where work was taken off or rose beyond the margin."""

import pytest
from sqlalchemy import Engine, event

from app.estimate import facts, steps
from app.estimate.agreed import OwnersWord, owners_words, words_of
from app.estimate.cover import GONE
from app.estimate.rules import NewLine
from app.estimate.saying import How, Said, SaidAll, WorkSaid
from app.ground.book import reading
from app.trade.totals import LineKind
from tests.estimate.arrived import BREAKAWAY, ROOF, arrive, ledger, shown, work_named, writer
from tests.estimate.test_steps import set_shop


def say(book: Engine, order_id: int, *answers: WorkSaid, limit: int | None = None) -> int:
    """The owner answers on the tablet."""
    said = SaidAll(How.TABLET, "Rosalind Achterberg", answers, limit=limit)
    return steps.consent(book, writer(book, order_id), order_id, ledger(book, order_id).revision_id, said)


def yes(book: Engine, order_id: int, start: str, limit: int | None = None) -> int:
    """The owner says yes to one work; its key."""
    work = work_named(book, order_id, start)
    say(book, order_id, WorkSaid(work.id, Said.YES), limit=limit)
    return work.id


def word(book: Engine, order_id: int, work_id: int) -> OwnersWord:
    with reading(book) as session:
        return owners_words(session, order_id)[work_id]


def dearer(book: Engine, order_id: int, work_id: int, cents: int) -> None:
    """A part is added to a work."""
    part = NewLine(LineKind.PART, "Charge lead", "1", cents, "parts")
    steps.add_line(book, writer(book, order_id), order_id, work_id, part)


def test_a_yes_holds_while_nothing_changes(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY, ROOF))
    found = word(book, order_id, yes(book, order_id, "Breakaway"))
    assert (found.answer, found.lapsed, found.holds) == ("yes", "", True)


@pytest.mark.parametrize("answer", [Said.LATER, Said.NO])
def test_no_other_answer_holds(book: Engine, answer: Said) -> None:
    order_id = shown(book, (ROOF,))
    work = work_named(book, order_id, "Replace roof")
    say(book, order_id, WorkSaid(work.id, answer))
    assert not word(book, order_id, work.id).holds


def test_a_yes_lapses_where_the_work_is_taken_off(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY, ROOF))
    work = yes(book, order_id, "Breakaway")
    steps.remove_work(book, writer(book, order_id), order_id, work)
    found = word(book, order_id, work)
    assert (found.answer, found.lapsed, found.holds) == ("yes", GONE, False)


def test_a_yes_holds_within_the_margin_and_lapses_a_cent_beyond(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    work = yes(book, order_id, "Breakaway")
    # 225.50 agreed; shop settings: 50.00 or 10 %, whichever is less: 22.55
    dearer(book, order_id, work, 2255)
    assert word(book, order_id, work).holds
    dearer(book, order_id, work, 1)
    assert word(book, order_id, work).lapsed == (
        "It rose by 22.56; all that rose is 22.56, and 22.55 is the most without asking"
    )


def test_a_new_yes_to_the_dearer_work_holds_again(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    work = yes(book, order_id, "Breakaway")
    dearer(book, order_id, work, 9000)
    steps.freeze(book, writer(book, order_id), order_id)
    assert not word(book, order_id, work).holds
    yes(book, order_id, "Breakaway")
    assert word(book, order_id, work).holds


def test_the_owners_limit_is_kept_below_the_margin(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    work = yes(book, order_id, "Breakaway", limit=23000)
    dearer(book, order_id, work, 500)
    assert word(book, order_id, work).lapsed == (
        "It rose by 5.00; the work comes to 230.50, and the owner said at most 230.00"
    )


def test_the_margin_is_the_one_of_the_shops_settings(book: Engine) -> None:
    set_shop(book, margin=0)
    order_id = shown(book, (BREAKAWAY,))
    work = yes(book, order_id, "Breakaway")
    dearer(book, order_id, work, 1)
    assert not word(book, order_id, work).holds


def test_the_words_of_many_orders_are_read_in_one_number_of_queries(book: Engine) -> None:
    orders = [shown(book, (BREAKAWAY, ROOF)) for _ in range(4)]
    for order_id in orders:
        yes(book, order_id, "Breakaway")
    seen: list[str] = []
    event.listen(book, "before_cursor_execute", lambda *args: seen.append(args[2]))
    with reading(book) as session:
        session.connection()
        seen.clear()
        one, counted = words_of(session, orders[:1]), len(seen)
        many = words_of(session, orders)
    assert len(seen) == 2 * counted
    assert (len(one), len(many)) == (1, 4)
    assert all(len(words) == 1 for words in many.values())


def test_an_order_without_a_word_has_none(book: Engine) -> None:
    order_id = arrive(book)
    with reading(book) as session:
        assert facts.owners_words(session, order_id) == {}
        assert words_of(session, [order_id, 99]) == {}
