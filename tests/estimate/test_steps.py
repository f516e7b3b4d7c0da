"""Pricing, editing, freezing and consent, in a real book."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import IntegrityError, NoResultFound
from sqlmodel import Session, select

from app.estimate import facts, steps
from app.estimate.rules import SUPPLIES, ChangedWork, Group, NewLine, NewWork
from app.estimate.saying import How, Said, SaidAll, WorkSaid
from app.estimate.tables import Consent, Revision, Work, WorkFinding, WorkLine
from app.ground.acting import Act
from app.ground.book import reading, writing
from app.ground.receipts import Stale, broken
from app.ground.tables import Shop
from app.trade.problems import Impossible, Refused
from app.trade.totals import LineKind
from tests.conftest import NOON, act
from tests.estimate.arrived import (
    BREAKAWAY,
    ROOF,
    TREAD,
    Found,
    arrive,
    ledger,
    priced,
    shown,
    work_named,
    writer,
)
from tests.ground.taxing import taxed


def set_shop(book: Engine, **settings: object) -> None:
    """Change settings of the shop, as its lead would."""
    with writing(book) as session:
        shop = session.exec(select(Shop)).one()
        shop.settings = {**shop.settings, **settings}


def first_line(book: Engine, order_id: int, start: str, kind: LineKind) -> facts.LedgerLine:
    return next(line for line in work_named(book, order_id, start).lines if line.kind is kind)


def test_findings_become_works_with_those_of_one_tire_in_one(book: Engine) -> None:
    order_id = priced(book)
    found = {work.title: work for work in ledger(book, order_id).works}
    assert list(found) == [
        "Replace a tire, axle 1 left",  # do not tow stands first
        "Breakaway switch, cable and battery",
        "Service wheel bearings, one hub, axle 1 left",
        "Service wheel bearings, one hub, axle 1 right",
        "Replace roof skin",
    ]
    tire = found["Replace a tire, axle 1 left"]
    assert {line.check for line in tire.findings} == {"ti.tread", "ti.age"}


def test_each_work_stands_in_the_group_of_its_heaviest_finding(book: Engine) -> None:
    order_id = priced(book)
    assert work_named(book, order_id, "Replace a tire").group is Group.MUST  # do not tow
    assert work_named(book, order_id, "Breakaway").group is Group.MUST  # needs work, before towing
    assert work_named(book, order_id, "Service wheel").group is Group.SHOULD  # needs work, soon
    assert ledger(book, order_id).groups[-1].group is Group.WAIT  # watch


def test_what_is_sound_is_not_priced(book: Engine) -> None:
    order_id = priced(book)
    checks = {line.check for work in ledger(book, order_id).works for line in work.findings}
    assert "id.plate" not in checks


def test_a_work_carries_what_its_kit_asks_for(book: Engine) -> None:
    priced(book, (BREAKAWAY,))
    with reading(book) as session:
        [work] = session.exec(select(Work)).all()
    assert work.records == ["breakaway"]  # the measured record that proves kit k5
    assert "State law" in work.defer
    assert work.cautions == ["c2", "c10"]


def test_lines_of_a_kit_are_labour_parts_and_fees(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    lines = {line.what: line.amount for line in work_named(book, order_id, "Breakaway").lines}
    # kit k5: 1.2 h at 125.00; switch 26.00; battery 42.00; disposal 3.00; supplies 3 % of 150.00
    assert lines == {
        "Labour": 15000,
        "Breakaway switch with pin and cable": 2600,
        "Breakaway battery, 12 V sealed, with box": 4200,
        "Battery disposal": 300,
        SUPPLIES: 450,
    }


@pytest.mark.parametrize(
    ("brakes", "work"),
    [  # common practice: only electric brakes have a feed and magnets, fluid moves surge and hydraulic ones
        ("electric", "Repair brake feed or ground"),
        ("surge", "Surge or hydraulic brake service"),
        ("hydraulic", "Surge or hydraulic brake service"),
        ("air", "Replace a brake assembly, one wheel, axle 1 left"),
        ("unknown", "Repair brake feed or ground"),
    ],
)
def test_a_brake_that_does_not_grip_is_priced_by_its_kind(book: Engine, brakes: str, work: str) -> None:
    dead = Found("br.work", "wheel-1-left", "dnt", seen=("dead",), reason="does not grip")
    order_id = arrive(book, (dead,), brakes=brakes)
    steps.price_findings(book, writer(book, order_id), order_id)
    assert [each.title for each in ledger(book, order_id).works] == [work]


SHOES = {  # common practice: only electric brakes have magnets
    "electric": "Brake shoes and magnets, one axle",
    "surge": "Brake shoes, one axle, surge, hydraulic or air",
    "hydraulic": "Brake shoes, one axle, surge, hydraulic or air",
    "air": "Brake shoes, one axle, surge, hydraulic or air",
    "unknown": "Brake shoes and magnets, one axle",
}


def titles_of(book: Engine, found: Found, brakes: str) -> list[str]:
    """The works that a finding is priced with on a trailer with such brakes."""
    order_id = arrive(book, (found,), brakes=brakes)
    steps.price_findings(book, writer(book, order_id), order_id)
    return [each.title for each in ledger(book, order_id).works]


@pytest.mark.parametrize(("brakes", "work"), SHOES.items())
def test_no_magnets_are_priced_where_there_are_none(book: Engine, brakes: str, work: str) -> None:
    thin = Found("br.lining", "wheel-1-left", "needs", seen=("cracked",), reason="cracked")
    assert titles_of(book, thin, brakes) == [f"{work}, axle 1"]


@pytest.mark.parametrize(("brakes", "work"), SHOES.items())
def test_grease_on_the_lining_is_priced_with_one_set_of_shoes(book: Engine, brakes: str, work: str) -> None:
    greased = Found("hb.seal", "hub-1-left", "needs", seen=("lining",), reason="grease on the lining")
    first, *rest = titles_of(book, greased, brakes)
    assert first.startswith("Replace bearings, races and seal")
    assert rest == [f"{work}, axle 1"]


@pytest.mark.parametrize(
    ("brakes", "works"),
    [  # common practice: a surge actuator has a lever with a cable, and no battery of its own
        ("none", ["Breakaway switch, cable and battery"]),
        ("electric", ["Breakaway switch, cable and battery"]),
        ("surge", ["Breakaway cable of a surge actuator"]),
        ("hydraulic", ["Breakaway switch, cable and battery"]),
        ("unknown", ["Breakaway switch, cable and battery"]),
    ],
)
def test_a_breakaway_is_priced_by_the_kind_of_brakes(book: Engine, brakes: str, works: list[str]) -> None:
    gone = Found("bk.fitted", "", "dnt", seen=("cut",), reason="cut off")
    assert titles_of(book, gone, brakes) == works


def test_pricing_again_adds_only_what_was_not_priced(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY, TREAD))
    steps.remove_work(book, writer(book, order_id), order_id, work_named(book, order_id, "Replace").id)
    before = {work.id for work in ledger(book, order_id).works}
    steps.price_findings(book, writer(book, order_id), order_id)
    after = ledger(book, order_id)
    assert before < {work.id for work in after.works}
    assert len(after.works) == 2
    with pytest.raises(Refused, match="priced already"):
        steps.price_findings(book, writer(book, order_id), order_id)


def test_a_finding_without_a_kit_waits_for_hand_typed_work(book: Engine) -> None:
    lone = Found("id.history", "unit", "watch")  # the catalogue names no kit for a unit's history
    order_id = priced(book, (BREAKAWAY, lone))
    [waiting] = ledger(book, order_id).by_hand
    assert waiting.check == "id.history"
    hand = NewWork("Ask the seller for the service book", Group.WAIT, (waiting.id,), hours="0.2")
    steps.add_work(book, writer(book, order_id), order_id, hand)
    assert ledger(book, order_id).by_hand == ()


def test_the_first_price_gives_the_estimate_its_number(book: Engine) -> None:
    order_id = priced(book)
    assert (ledger(book, order_id).number, ledger(book, order_id).n) == ("E-2026-0001", 1)


def test_hand_typed_work_has_its_hours_and_lines(book: Engine) -> None:
    order_id = arrive(book)
    part = NewLine(LineKind.PART, "Hasp", "2", 450, "parts")
    new = NewWork("Fit a hasp", Group.SHOULD, hours="0.5", lines=(part,))
    work_id = steps.add_work(book, writer(book, order_id), order_id, new)
    work = ledger(book, order_id).work(work_id)
    # 0.5 h at 125.00 = 62.50; 2 at 4.50; supplies 3 % of 62.50 = 1.875, half up
    assert [line.amount for line in work.lines] == [6250, 900, 188]


def test_the_least_labour_of_the_shop_is_charged(book: Engine) -> None:
    order_id = arrive(book)
    new = NewWork("Oil the hinge", Group.WAIT, hours="0.1")
    steps.add_work(book, writer(book, order_id), order_id, new)
    # two tenths at least (shop setting): 0.2 x 125.00
    assert first_line(book, order_id, "Oil", LineKind.LABOUR).amount == 2500


def test_a_work_of_a_strange_finding_or_kit_is_refused(book: Engine) -> None:
    order_id, other = arrive(book), arrive(book, (TREAD,))
    strange = ledger(book, other).unpriced[0].id
    with pytest.raises(Refused, match="no finding of this work order"):
        steps.add_work(book, writer(book, order_id), order_id, NewWork("Look", Group.MUST, (strange,)))
    with pytest.raises(Refused, match="k999 is not a kit"):
        steps.add_work(book, writer(book, order_id), order_id, NewWork("", Group.MUST, kit="k999"))


def test_a_changed_line_is_priced_anew_with_its_supplies(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    line = first_line(book, order_id, "Breakaway", LineKind.LABOUR)
    changed = NewLine(LineKind.LABOUR, "Labour", "2", 12500, "labour")
    steps.change_line(book, writer(book, order_id), order_id, line.id, changed)
    amounts = {line.what: line.amount for line in work_named(book, order_id, "Breakaway").lines}
    assert (amounts["Labour"], amounts[SUPPLIES]) == (25000, 750)  # 3 % of 250.00


def test_supplies_stop_at_the_cap_over_the_whole_estimate(book: Engine) -> None:
    set_shop(book, supplies_percent="10", supplies_cap=2000)
    order_id = arrive(book)
    for hours in ("3", "1"):
        steps.add_work(book, writer(book, order_id), order_id, NewWork(f"{hours} h", Group.WAIT, hours=hours))
    shares = [line.amount for work in ledger(book, order_id).works for line in work.lines if line.fixed]
    # 10 % of 375.00 is 37.50, capped at 20.00; nothing of the cap is left for the second
    assert shares == [2000]


def test_without_a_share_the_kits_own_supplies_count(book: Engine) -> None:
    set_shop(book, supplies_percent="0")
    order_id = priced(book, (BREAKAWAY,))
    fees = {line.what: line.amount for line in work_named(book, order_id, "Breakaway").lines}
    assert fees["Shop supplies"] == 300  # kit k5's own fee
    assert SUPPLIES not in fees


def test_the_line_of_supplies_cannot_be_typed_over(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    line = next(line for line in work_named(book, order_id, "Breakaway").lines if line.fixed)
    fee = NewLine(LineKind.FEE, "Supplies", "1", 9900, "supplies")
    with pytest.raises(Refused, match="worked out from the labour"):
        steps.change_line(book, writer(book, order_id), order_id, line.id, fee)
    with pytest.raises(Refused, match="worked out from the labour"):
        steps.remove_line(book, writer(book, order_id), order_id, line.id)


def test_a_discount_comes_off_and_is_at_most_the_work(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    work = work_named(book, order_id, "Breakaway")
    off = NewLine(LineKind.DISCOUNT, "Old customer", "1", 1000, "labour")
    steps.add_line(book, writer(book, order_id), order_id, work.id, off)
    assert work_named(book, order_id, "Breakaway").amount == work.amount - 1000
    with pytest.raises(Refused, match="more than the work"):
        more = NewLine(LineKind.DISCOUNT, "All of it", "1", work.amount, "labour")
        steps.add_line(book, writer(book, order_id), order_id, work.id, more)
    assert work_named(book, order_id, "Breakaway").amount == work.amount - 1000


def test_the_only_line_of_a_work_goes_with_the_work(book: Engine) -> None:
    order_id = arrive(book)
    steps.add_work(book, writer(book, order_id), order_id, NewWork("Oil", Group.WAIT, hours="1"))
    line = first_line(book, order_id, "Oil", LineKind.LABOUR)
    with pytest.raises(Refused, match="only line"):
        steps.remove_line(book, writer(book, order_id), order_id, line.id)


def test_a_removed_line_leaves_the_sum(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY,))
    before = work_named(book, order_id, "Breakaway").amount
    line = first_line(book, order_id, "Breakaway", LineKind.FEE)
    steps.remove_line(book, writer(book, order_id), order_id, line.id)
    assert work_named(book, order_id, "Breakaway").amount == before - 300  # battery disposal


def test_a_work_moves_to_another_group_with_all_its_lines(book: Engine) -> None:
    order_id = priced(book, (ROOF, BREAKAWAY))
    roof = ledger(book, order_id).groups[-1].works[0]
    steps.change_work(book, writer(book, order_id), order_id, roof.id, ChangedWork("Roof", Group.SHOULD))
    moved = ledger(book, order_id).work(roof.id)
    assert (moved.title, moved.group) == ("Roof", Group.SHOULD)
    with reading(book) as session:
        lines = session.exec(select(WorkLine).where(WorkLine.work_id == roof.id)).all()
    assert {line.group for line in lines} == {"should"}


def test_a_removed_work_is_forgotten_unless_it_was_shown(book: Engine) -> None:
    order_id = priced(book, (BREAKAWAY, TREAD))
    steps.remove_work(book, writer(book, order_id), order_id, work_named(book, order_id, "Breakaway").id)
    steps.freeze(book, writer(book, order_id), order_id)
    tire = work_named(book, order_id, "Replace a tire").id
    steps.remove_work(book, writer(book, order_id), order_id, tire)
    with reading(book) as session:
        assert [work.id for work in session.exec(select(Work))] == [tire]
        assert {row.work_id for row in session.exec(select(WorkFinding))} == {tire}
    assert ledger(book, order_id).works == ()


def test_freezing_keeps_totals_last_day_and_who(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    found = ledger(book, order_id)
    assert found.frozen_by == "Wren"
    assert found.valid_until == date(2026, 6, 3)  # 30 days (shop setting) after 4 May 2026
    with reading(book) as session:
        kept = session.get_one(Revision, found.revision_id).totals
    # 225.50 before tax; parts 68.00 and supplies 4.50 at 6 % are 4.35, labour and disposal are not taxed
    assert (kept["net"], kept["tax"], kept["gross"]) == (22550, 435, 22985)


def test_an_empty_estimate_is_not_shown(book: Engine) -> None:
    order_id = arrive(book)
    with pytest.raises(Refused, match="nothing on this estimate"):
        steps.freeze(book, writer(book, order_id), order_id)


def test_freezing_twice_changes_nothing(book: Engine) -> None:
    order_id = shown(book)
    before = ledger(book, order_id)
    again = act(person=1, seen=before.guard, at=NOON + timedelta(days=3))
    assert steps.freeze(book, again, order_id) == before.revision_id
    assert ledger(book, order_id) == before


def test_a_change_after_it_was_shown_makes_the_next_revision(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    first = ledger(book, order_id)
    line = first_line(book, order_id, "Breakaway", LineKind.LABOUR)
    changed = NewLine(LineKind.LABOUR, "Labour", "2", 12500, "labour")
    steps.change_line(book, writer(book, order_id), order_id, line.id, changed)
    second = ledger(book, order_id)
    assert (first.n, second.n, second.frozen) == (1, 2, False)
    with reading(book) as session:
        kept = facts.lines_of(session, first.revision_id)
    assert next(each for each in kept if each.id == line.id).amount == 15000  # 1.2 h at 125.00: untouched


def test_a_shown_title_stays(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    work = work_named(book, order_id, "Breakaway")
    with pytest.raises(Refused, match="stays as it was"):
        steps.change_work(book, writer(book, order_id), order_id, work.id, ChangedWork("New", Group.MUST))


def test_new_rates_do_not_touch_what_was_shown(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    before = ledger(book, order_id).total
    taxed(book, parts="8", labour="8")
    assert ledger(book, order_id).total == before


LABOUR_2H = NewLine(LineKind.LABOUR, "Labour", "2", 12500, "labour")
HASP = NewLine(LineKind.PART, "Hasp", "1", 450, "parts")
OIL = NewWork("Oil", Group.WAIT, hours="1")
OTHER = ChangedWork("Other", Group.WAIT)
Step = Callable[[Engine, Act, int, int, int], int]  # book, act, order, work, line
STEPS: dict[str, Step] = {
    "price": lambda book, it, order, _work, _line: steps.price_findings(book, it, order),
    "add work": lambda book, it, order, _work, _line: steps.add_work(book, it, order, OIL),
    "add line": lambda book, it, order, work, _line: steps.add_line(book, it, order, work, HASP),
    "change work": lambda book, it, order, work, _line: steps.change_work(book, it, order, work, OTHER),
    "change line": lambda book, it, order, _work, line: steps.change_line(book, it, order, line, LABOUR_2H),
    "remove line": lambda book, it, order, _work, line: steps.remove_line(book, it, order, line),
    "remove work": lambda book, it, order, work, _line: steps.remove_work(book, it, order, work),
    "freeze": lambda book, it, order, _work, _line: steps.freeze(book, it, order),
}


@pytest.mark.parametrize("name", STEPS)
def test_the_same_act_again_changes_nothing(book: Engine, name: str) -> None:
    order_id = arrive(book) if name == "price" else priced(book, (BREAKAWAY,))
    work, line = _keys(book, order_id)
    once = writer(book, order_id)
    made = STEPS[name](book, once, order_id, work, line)
    after = ledger(book, order_id)
    assert STEPS[name](book, once, order_id, work, line) == made
    assert ledger(book, order_id) == after


@pytest.mark.parametrize("name", STEPS)
def test_who_saw_an_older_revision_is_told(book: Engine, name: str) -> None:
    order_id = priced(book, (BREAKAWAY,))
    work, line = _keys(book, order_id)
    late = act(person=2, seen=ledger(book, order_id).guard - 1)
    before = ledger(book, order_id)
    with pytest.raises(Stale) as stale:
        STEPS[name](book, late, order_id, work, line)
    assert stale.value.revision == before.guard
    assert ledger(book, order_id) == before


def _keys(book: Engine, order_id: int) -> tuple[int, int]:
    works = ledger(book, order_id).works
    return (works[0].id, works[0].lines[0].id) if works else (0, 0)


@pytest.mark.parametrize("name", ["add line", "change work", "change line", "remove line", "remove work"])
def test_keys_of_another_order_are_not_found(book: Engine, name: str) -> None:
    order_id = priced(book, (BREAKAWAY,))
    other = arrive(book, (TREAD,))
    steps.price_findings(book, writer(book, other), other)
    work, line = _keys(book, other)
    with pytest.raises(NoResultFound):
        STEPS[name](book, writer(book, order_id), order_id, work, line)


def test_an_order_that_is_not_there_is_not_priced(book: Engine) -> None:
    with pytest.raises(NoResultFound):
        steps.price_findings(book, act(person=2), 99)


# --- the owner's word -------------------------------------------------------------------------


def answers(book: Engine, order_id: int, **words: str) -> tuple[WorkSaid, ...]:
    """An answer to each work: yes, unless its title starts with one of the words given."""

    def word(title: str) -> str:
        return next((said for start, said in words.items() if title.startswith(start)), "yes")

    return tuple(
        WorkSaid(work.id, Said(word(work.title)), "R.A." if word(work.title) != "yes" else "")
        for work in ledger(book, order_id).works
    )


def say(book: Engine, order_id: int, said: SaidAll, it: Act | None = None) -> int:
    seen = it or writer(book, order_id)
    return steps.consent(book, seen, order_id, ledger(book, order_id).revision_id, said)


def test_consent_is_kept_work_by_work(book: Engine) -> None:
    order_id = shown(book)
    said = SaidAll(How.TABLET, "Rosalind Achterberg", answers(book, order_id, Breakaway="no"))
    key = say(book, order_id, said)
    with reading(book) as session:
        words = facts.owners_words(session, order_id)
        kept = session.get_one(Consent, key)
    assert (kept.how, kept.who, kept.taken_by) == ("tablet", "Rosalind Achterberg", 2)
    by_title = {word.work.title: word for word in words.values()}
    assert by_title["Breakaway switch, cable and battery"].answer == "no"
    assert by_title["Breakaway switch, cable and battery"].amount == 0
    assert by_title["Breakaway switch, cable and battery"].acknowledged == "R.A."
    tire = by_title["Replace a tire, axle 1 left"]
    assert (tire.answer, tire.amount) == ("yes", ledger(book, order_id).work(tire.work.key).amount)


def test_the_newest_word_on_a_work_counts(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    say(book, order_id, SaidAll(How.TABLET, "R. Achterberg", answers(book, order_id, Breakaway="later")))
    say(book, order_id, SaidAll(How.TABLET, "R. Achterberg", answers(book, order_id)))
    assert [work.word.answer for work in ledger(book, order_id).works if work.word] == ["yes"]


def test_an_open_revision_takes_no_consent(book: Engine) -> None:
    order_id = priced(book)
    with pytest.raises(Stale):
        say(book, order_id, SaidAll(How.TABLET, "R. Achterberg", answers(book, order_id)))


def test_a_revision_that_was_replaced_takes_no_consent(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    old, said = ledger(book, order_id), SaidAll(How.TABLET, "R. A.", answers(book, order_id))
    steps.add_work(book, writer(book, order_id), order_id, NewWork("Oil", Group.WAIT, hours="1"))
    steps.freeze(book, writer(book, order_id), order_id)
    with pytest.raises(Stale):
        steps.consent(book, writer(book, order_id), order_id, old.revision_id, said)
    with reading(book) as session:
        assert session.exec(select(Consent)).all() == []


def test_a_consent_is_kept_once(book: Engine) -> None:
    order_id = shown(book)
    once, said = writer(book, order_id), SaidAll(How.TABLET, "R. A.", answers(book, order_id))
    assert say(book, order_id, said, once) == say(book, order_id, said, once)
    with reading(book) as session:
        assert len(session.exec(select(Consent)).all()) == 1


def test_a_consent_that_cannot_stand_leaves_nothing(book: Engine) -> None:
    order_id = shown(book)
    bare = tuple(WorkSaid(work.id, Said.NO) for work in ledger(book, order_id).works)
    with pytest.raises(Refused, match="initials"):
        say(book, order_id, SaidAll(How.TABLET, "R. Achterberg", bare))
    with reading(book) as session:
        assert session.exec(select(Consent)).all() == []


def test_prices_that_have_run_out_are_not_agreed_to(book: Engine) -> None:
    order_id = shown(book)
    late = act(person=2, seen=ledger(book, order_id).guard, at=NOON + timedelta(days=31))
    with pytest.raises(Refused, match="held until 2026-06-03"):
        say(book, order_id, SaidAll(How.TABLET, "R. Achterberg", answers(book, order_id)), late)


@pytest.mark.parametrize("table", ["consent", "answer"])
def test_the_owners_word_can_be_neither_changed_nor_removed(book: Engine, table: str) -> None:
    order_id = shown(book)
    say(book, order_id, SaidAll(How.TABLET, "R. Achterberg", answers(book, order_id)))
    for change in (f"UPDATE {table} SET created_at = created_at", f"DELETE FROM {table}"):
        with pytest.raises(IntegrityError, match="append-only"), Session(book) as session:
            session.connection().exec_driver_sql(change)


def test_every_act_leaves_its_receipt_in_an_unbroken_chain(book: Engine) -> None:
    order_id = shown(book)
    say(book, order_id, SaidAll(How.TABLET, "R. Achterberg", answers(book, order_id)))
    with reading(book) as session:
        assert list(broken(session)) == []


def test_a_line_of_nothing_cannot_be() -> None:
    with pytest.raises(Impossible, match="needs a quantity"):
        NewLine(LineKind.PART, "Hasp", "0", 450, "parts")
    with pytest.raises(Impossible, match="at least 0"):
        NewLine(LineKind.PART, "Hasp", "1", -450, "parts")
