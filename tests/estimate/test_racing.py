"""Several desks at one estimate: who was first is kept, the others are told, and the owner is asked once."""

from sqlalchemy import Engine
from sqlmodel import select

from app.estimate import steps
from app.estimate.rules import ChangedWork, Group, NewLine, NewWork
from app.estimate.saying import How, Said, SaidAll, WorkSaid
from app.estimate.tables import Answer, Consent, Estimate, Revision, Work
from app.ground.book import reading
from app.ground.receipts import broken
from app.trade.totals import LineKind
from tests.estimate.arrived import BREAKAWAY, ROOF, arrive, ledger, priced, shown, work_named, writer
from tests.racing import DESKS, at_once, kinds


def count(book: Engine, table: type[Consent | Answer | Estimate | Revision | Work]) -> int:
    with reading(book) as session:
        assert list(broken(session)) == []  # who came too late left no gap in the chain
        return len(session.exec(select(table)).all())


def test_findings_are_priced_once(book: Engine) -> None:
    order_id = arrive(book, (BREAKAWAY, ROOF))
    acts = [writer(book, order_id) for _ in range(DESKS)]
    came = at_once([lambda it=it: steps.price_findings(book, it, order_id) for it in acts])
    assert kinds(came) == {"int": 1, "Stale": DESKS - 1}
    assert (count(book, Estimate), count(book, Revision), count(book, Work)) == (1, 1, 2)


def test_one_key_pressed_on_six_desks_adds_one_work(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    once, new = writer(book, order_id), NewWork("Weld a plate", Group.MUST, hours="2")
    came = at_once([lambda: steps.add_work(book, once, order_id, new)] * DESKS)
    assert len(set(map(str, came))) == 1
    assert count(book, Work) == 2


def test_of_six_who_add_a_line_over_one_sight_one_is_kept(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    before, work = ledger(book, order_id).total.net, work_named(book, order_id, "Breakaway").id
    acts = [writer(book, order_id) for _ in range(DESKS)]
    line = NewLine(LineKind.PART, "Charge lead", "2", 1250, "parts")
    came = at_once([lambda it=it: steps.add_line(book, it, order_id, work, line) for it in acts])
    assert kinds(came) == {"int": 1, "Stale": DESKS - 1}
    assert ledger(book, order_id).total.net == before + 2500


def test_a_discount_is_given_once_and_never_twice_what_the_work_costs(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    work = work_named(book, order_id, "Breakaway")
    off = NewLine(LineKind.DISCOUNT, "Goodwill", "1", work.amount, "parts")
    acts = [writer(book, order_id) for _ in range(DESKS)]
    at_once([lambda it=it: steps.add_line(book, it, order_id, work.id, off) for it in acts])
    assert ledger(book, order_id).total.net == 0


def test_who_changes_what_another_takes_off_is_told(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY, ROOF))
    work = work_named(book, order_id, "Breakaway").id
    first, second = writer(book, order_id), writer(book, order_id)
    changed = ChangedWork("Put in a breakaway battery", Group.SHOULD)
    came = at_once(
        [
            lambda: steps.remove_work(book, first, order_id, work),
            lambda: steps.change_work(book, second, order_id, work, changed),
        ]
    )
    assert kinds(came) == {"int": 1, "Stale": 1}


def test_a_revision_is_frozen_once_and_shows_what_it_then_holds(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    acts = [writer(book, order_id) for _ in range(DESKS)]
    came = at_once([lambda it=it: steps.freeze(book, it, order_id) for it in acts])
    assert len({str(each) for each in came if isinstance(each, int)}) == 1
    with reading(book) as session:
        [row] = session.exec(select(Revision))
    assert row.totals["gross"] == ledger(book, order_id).total.gross


def test_a_line_never_enters_a_revision_that_the_owner_is_being_shown(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    work = work_named(book, order_id, "Breakaway").id
    showing, adding = writer(book, order_id), writer(book, order_id)
    line = NewLine(LineKind.PART, "Charge lead", "1", 1250, "parts")
    at_once(
        [
            lambda: steps.freeze(book, showing, order_id),
            lambda: steps.add_line(book, adding, order_id, work, line),
        ]
    )
    with reading(book) as session:
        for row in session.exec(select(Revision).where(Revision.n == 1)):
            frozen = row.frozen_at is not None
            shown_net = row.totals.get("net")
    now = ledger(book, order_id)
    assert not frozen or now.n > 1 or now.total.net == shown_net


def test_every_word_of_the_owner_is_kept_and_the_one_kept_last_stands(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    made, work = ledger(book, order_id), work_named(book, order_id, "Breakaway").id

    def say(answer: Said) -> int:
        words = (WorkSaid(work, answer, "RA"),)
        said = SaidAll(How.PHONE, "Rosalind Achterberg", words, phone="555 0142", read_back="all read out")
        return steps.consent(book, writer(book, order_id), order_id, made.revision_id, said)

    at_once([lambda it=it: say(it) for it in (Said.YES, Said.NO, Said.LATER)])
    assert (count(book, Consent), count(book, Answer)) == (3, 3)
    with reading(book) as session:
        last = session.exec(select(Answer)).all()[-1].answer
    word = work_named(book, order_id, "Breakaway").word
    assert word is not None
    assert (word.answer, word.holds) == (last, last == "yes")
