"""The ledger, its sums, the owner's word and the difference of revisions, as read from a real book."""

from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound

from app.estimate import facts, steps
from app.estimate.agreed import AnsweredLine
from app.estimate.rules import Group, NewLine, NewWork
from app.estimate.saying import How, Said, SaidAll, WorkSaid
from app.ground.book import reading
from app.trade.figure import Grade
from app.trade.totals import LineKind
from tests.conftest import NOON
from tests.estimate.arrived import BREAKAWAY, ROOF, TREAD, arrive, ledger, priced, shown, work_named, writer
from tests.ground.taxing import taxed


def by_hand(book: Engine, order_id: int, title: str, group: Group, *lines: NewLine, hours: str = "1") -> int:
    new = NewWork(title, group, hours=hours, lines=lines)
    return steps.add_work(book, writer(book, order_id), order_id, new)


def say(book: Engine, order_id: int, *answers: WorkSaid, limit: int | None = None) -> int:
    found = ledger(book, order_id)
    said = SaidAll(How.TABLET, "Rosalind Achterberg", answers, limit=limit)
    return steps.consent(book, writer(book, order_id), order_id, found.revision_id, said)


def test_before_anything_is_priced_the_ledger_is_empty_but_knows_what_waits(book: Engine) -> None:
    found = ledger(book, arrive(book, (ROOF, TREAD)))
    assert (found.groups, found.guard, found.number, found.total.gross) == ((), 0, "", 0)
    assert [line.check for line in found.unpriced] == ["ti.tread", "bo.roof"]  # heaviest first


def test_there_is_no_ledger_of_an_order_that_is_not_there(book: Engine) -> None:
    with reading(book) as session, pytest.raises(NoResultFound):
        facts.ledger(session, 99, NOON.date())


def test_do_not_tow_stands_first_in_its_group(book: Engine) -> None:
    must = ledger(book, priced(book, (BREAKAWAY, TREAD))).groups[0]
    assert [work.grade for work in must.works] == [Grade.DNT, Grade.NEEDS]


def test_two_findings_of_one_reason_are_told_once(book: Engine) -> None:
    work = ledger(book, priced(book, (TREAD,))).groups[0].works[0]
    assert replace(work, findings=work.findings[:1] * 2).why == work.why


def test_sums_by_kind_and_tax_by_category(book: Engine) -> None:
    order_id = arrive(book, (ROOF,))
    lines = (
        NewLine(LineKind.PART, "Bearing set", "2", 3875, "parts"),
        NewLine(LineKind.PART, "Grease", "0.35", 1490, "parts"),
        NewLine(LineKind.OUTSIDE, "Welding", "1", 28000, "outside"),
        NewLine(LineKind.FEE, "Disposal", "1", 450, "disposal"),
        NewLine(LineKind.DISCOUNT, "Old customer", "1", 1000, "labour"),
    )
    by_hand(book, order_id, "Hubs", Group.SHOULD, *lines, hours="1.4")
    total = ledger(book, order_id).total
    # 1.4 h at 125.00; 2 x 38.75 and 0.35 x 14.90 = 5.215, up; supplies 3 % of 175.00; all worked by hand
    assert (total.labour, total.parts, total.outside, total.discount) == (17500, 8272, 28000, -1000)
    assert total.fees == 450 + 525
    assert total.net == 17500 + 8272 + 28000 + 975 - 1000
    # 6 % on parts and supplies once: (82.72 + 5.25) x 0.06 = 5.2782
    taxed = {(tax.rate, tax.base, tax.tax) for tax in total.taxes}
    assert taxed == {("6 %", 8797, 528), ("not taxed here", 17500 + 28000 + 450 - 1000, 0)}
    assert {tax.on for tax in total.taxes if tax.tax} == {("parts", "supplies")}
    assert total.gross == total.net + 528


def test_the_running_sum_ends_in_the_total(book: Engine) -> None:
    found = ledger(book, priced(book))
    running = [work.so_far for work in found.works]
    assert running == sorted(running)
    assert running[-1] == found.total.gross
    assert found.figure is not None
    assert found.figure.value.minor == found.total.gross


def test_whole_choices_are_taxed_once_each(book: Engine) -> None:
    found = ledger(book, priced(book))
    must, should, everything = (sums for _, sums in found.whole)
    assert must.net == found.groups[0].sums.net
    assert should.net == sum(group.sums.net for group in found.groups[:2])
    assert everything == found.total


def test_a_declined_work_stays_but_leaves_the_sums(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY, ROOF))
    before, roof = ledger(book, order_id), ledger(book, order_id).groups[-1].works[0]
    say(book, order_id, WorkSaid(roof.id, Said.NO))
    found = ledger(book, order_id)
    assert found.work(roof.id).declined
    assert found.groups[-1].sums.net == 0
    assert found.total.net == before.total.net - roof.amount


def test_later_stays_in_the_sums(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY, ROOF))
    before, roof = ledger(book, order_id).total, ledger(book, order_id).groups[-1].works[0]
    say(book, order_id, WorkSaid(roof.id, Said.LATER))
    assert ledger(book, order_id).total == before


def test_what_was_agreed_is_told_with_how_and_when(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY, ROOF))
    work = work_named(book, order_id, "Breakaway")
    say(book, order_id, WorkSaid(work.id, Said.YES), limit=30000)
    found = ledger(book, order_id)
    assert found.agreed == work.amount
    word = found.work(work.id).word
    assert word is not None
    assert (word.answer, word.how, word.who, word.said_at) == ("yes", "tablet", "Rosalind Achterberg", NOON)
    with reading(book) as session:
        [kept] = facts.consents_of(session, order_id)
    assert (kept.n, kept.limit, kept.taken_by) == (1, 30000, "Wren")
    assert kept.answers == (AnsweredLine("Breakaway switch, cable and battery", "yes", work.amount, ""),)


def test_work_that_rises_above_what_was_agreed_is_told(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    work = work_named(book, order_id, "Breakaway")
    say(book, order_id, WorkSaid(work.id, Said.YES))
    part = NewLine(LineKind.PART, "Charge lead", "1", 1550, "parts")
    steps.add_line(book, writer(book, order_id), order_id, work.id, part)
    assert ledger(book, order_id).work(work.id).rises_by == 1550


def test_nothing_is_agreed_before_the_owner_spoke(book: Engine) -> None:
    order_id = shown(book)
    assert ledger(book, order_id).agreed == 0
    with reading(book) as session:
        assert facts.consents_of(session, order_id) == []
        assert facts.consents_of(session, arrive_second(book)) == []


def arrive_second(book: Engine) -> int:
    return arrive(book, (ROOF,))


def test_the_difference_of_two_revisions_is_told_in_words(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    first = ledger(book, order_id)
    work = first.works[0]
    off = NewLine(LineKind.DISCOUNT, "Old customer", "1", 1000, "labour")
    steps.add_line(book, writer(book, order_id), order_id, work.id, off)
    by_hand(book, order_id, "Fit a hasp", Group.WAIT)
    second = ledger(book, order_id)
    with reading(book) as session:
        told = facts.difference(session, first.revision_id, second.revision_id)
        listed = facts.revision_lines(session, order_id, NOON.date())
    # 225.50 less 10.00; one hour at 125.00 with 3 % supplies
    assert told == (
        "Added: Fit a hasp, 128.75.",
        "Breakaway switch, cable and battery: now 215.50, was 225.50.",
    )
    assert [(line.n, line.changes) for line in listed] == [(2, told), (1, ())]
    assert listed[1].gross == 22985  # as it was shown


def test_a_line_is_found_again_in_the_next_revision(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    old = ledger(book, order_id).works[0].lines[0]
    by_hand(book, order_id, "Fit a hasp", Group.WAIT)
    with reading(book) as session:
        now = facts.line_now(session, order_id, old.id)
        assert facts.line_now(session, order_id, 9999) is None
    assert now != old.id
    assert now == work_named(book, order_id, "Breakaway").lines[0].id


def test_the_guard_rises_with_every_act(book: Engine) -> None:
    order_id = arrive(book)
    seen = [ledger(book, order_id).guard]
    for step in (steps.price_findings, steps.freeze):
        step(book, writer(book, order_id), order_id)
        seen.append(ledger(book, order_id).guard)
    by_hand(book, order_id, "Fit a hasp", Group.WAIT)
    seen.append(ledger(book, order_id).guard)
    assert seen == sorted(set(seen))


def test_a_budget_takes_do_not_tow_first_and_says_what_is_left(book: Engine) -> None:
    order_id = priced(book)
    found = ledger(book, order_id)
    tire, breakaway = found.works[0], found.works[1]
    both = breakaway.so_far  # with tax
    with reading(book) as session:
        drawn = facts.within_budget(session, found, both + 100, NOON.date()).budget
        short = facts.within_budget(session, found, tire.so_far, NOON.date()).budget
    assert drawn is not None
    assert short is not None
    assert (drawn.fits, drawn.left, drawn.short, drawn.last) == (
        frozenset({tire.id, breakaway.id}),
        100,
        0,
        breakaway.id,
    )
    assert (short.fits, short.left, short.short) == (frozenset({tire.id}), 0, both - tire.so_far)


@pytest.mark.parametrize("cents", [*range(1, 20)])
def test_who_brings_what_the_estimate_says_pays_for_all_of_it(book: Engine, cents: int) -> None:
    """Whatever half cents the two taxes round away: the printed total as a budget leaves nothing out."""
    taxed(book, parts="6.25", labour="8.875")
    order_id = arrive(book, (BREAKAWAY,))
    hasp = NewLine(LineKind.PART, "Hasp", "1", cents, "parts")
    by_hand(book, order_id, "Fit a hasp", Group.MUST, hasp, hours="0.3")
    found = ledger(book, order_id)
    with reading(book) as session:
        whole = facts.within_budget(session, found, found.total.gross, NOON.date()).budget
        less = facts.within_budget(session, found, found.total.gross - 1, NOON.date()).budget
    assert whole is not None
    assert less is not None
    assert (len(whole.fits), whole.left, whole.short) == (len(found.works), 0, 0)
    assert (len(less.fits), less.short) == (len(found.works) - 1, 1)


def test_do_not_tow_work_is_not_left_for_cheaper_work(book: Engine) -> None:
    order_id = priced(book, (TREAD, BREAKAWAY))
    by_hand(book, order_id, "Fit a hasp", Group.MUST, hours="0.2")
    found = ledger(book, order_id)
    tire = work_named(book, order_id, "Replace a tire")
    with reading(book) as session:
        drawn = facts.within_budget(session, found, tire.so_far, NOON.date()).budget
    assert drawn is not None
    assert drawn.fits == {tire.id}


def test_what_fits_stands_first_in_its_group(book: Engine) -> None:
    order_id = arrive(book, (ROOF,))
    dear = by_hand(book, order_id, "Dear", Group.WAIT, hours="10")
    cheap = by_hand(book, order_id, "Cheap", Group.WAIT, hours="1")
    found = ledger(book, order_id)
    assert [work.id for work in found.works] == [dear, cheap]
    with reading(book) as session:
        drawn = facts.within_budget(session, found, 20000, NOON.date())
    assert [work.id for work in drawn.works] == [cheap, dear]
    # an hour at 125.00; supplies 3 %, of which the dear work took 37.50 of the cap of 45.00; 6 % tax on 3.75
    assert drawn.works[0].so_far == 12500 + 375 + 23
    assert drawn.total == found.total


def test_a_declined_work_takes_none_of_the_budget(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY, ROOF))
    roof = ledger(book, order_id).groups[-1].works[0]
    say(book, order_id, WorkSaid(roof.id, Said.NO))
    with reading(book) as session:
        drawn = facts.within_budget(session, ledger(book, order_id), 10_000_000, NOON.date()).budget
    assert drawn is not None
    assert roof.id not in drawn.fits


def test_the_sheet_counts_what_comes_before_towing(book: Engine) -> None:
    order_id = shown(book)
    with reading(book) as session:
        sheet = facts.sheet(session, order_id, NOON.date())
    assert (sheet.musts, sheet.printed_by, sheet.head.owner) == (2, "Wren", "Rosalind Achterberg")
    assert sheet.outside == ()
    declined = [WorkSaid(work.id, Said.NO, "RA") for work in sheet.ledger.works if work.group is Group.MUST]
    say(book, order_id, *declined)
    with reading(book) as session:
        assert facts.sheet(session, order_id, NOON.date()).musts == 2  # put off, they still come first


def test_outside_work_is_named(book: Engine) -> None:
    order_id = arrive(book, (ROOF,))
    welding = NewLine(LineKind.OUTSIDE, "Welding", "1", 28000, "outside")
    by_hand(book, order_id, "Weld the hanger", Group.MUST, welding)
    with reading(book) as session:
        assert [work.title for work in facts.sheet(session, order_id, NOON.date()).outside] == [
            "Weld the hanger"
        ]


def test_hours_of_a_work_are_told_in_tenths(book: Engine) -> None:
    order_id = arrive(book, (ROOF,))
    work_id = by_hand(book, order_id, "Fit a hasp", Group.WAIT, hours="1")
    assert ledger(book, order_id).work(work_id).hours == "1.0"


def test_prices_hold_thirty_days(book: Engine) -> None:
    valid = ledger(book, shown(book)).valid_until
    assert valid == (NOON + timedelta(days=30)).date()  # shop setting
