"""The spine as a machine: owner, bench and desk act in any order, and the money stays right after every step.

A few hundred steps on an ordinary run; with CASTLENUT_LONG=1 in the environment ten thousand.
"""

import os
import shutil
import tempfile
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from math import floor
from pathlib import Path
from typing import Any

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, precondition, rule
from sqlalchemy import Engine

from app.accounts import steps
from app.accounts.papers import told
from app.accounts.rules import CreditSaid, InvoiceSaid
from app.bench import steps as bench
from app.estimate import steps as estimate
from app.estimate.rules import NewLine
from app.estimate.saying import How, Said, SaidAll, WorkSaid
from app.ground.book import open_book
from app.ground.migrating import migrate
from app.trade.problems import Refused
from app.trade.totals import LineKind
from tests.accounts.stays import DAY, WREN, account, bill, cash, desk, finish, jobs
from tests.conftest import act, furnish
from tests.estimate.arrived import BREAKAWAY, HUB_1, TREAD, ledger, priced, writer

LONG = "CASTLENUT_LONG" in os.environ
EXAMPLES, STEPS = (250, 40) if LONG else (6, 40)
MARGIN, SHARE = 5000, 10  # the shop's settings as they come: 50.00 or 10 %, the less
WORKS = 3


@cache
def opened() -> Path:
    """A book with its people and a priced unit, made once for all runs of the machine."""
    path = Path(tempfile.mkdtemp(prefix="castlenut-spine-")) / "book.db"
    book = open_book(path)
    migrate(book)
    furnish(book)
    priced(book, (TREAD, BREAKAWAY, HUB_1))
    with book.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    book.dispose()
    return path


def half_up(exact: Fraction) -> int:
    return floor(exact + Fraction(1, 2))


class Spine(RuleBasedStateMachine):
    """What the owner said, what was finished, billed and paid, kept beside the book in plain numbers."""

    book: Engine

    @initialize()
    def begins(self) -> None:
        folder = Path(tempfile.mkdtemp(prefix="castlenut-spine-"))
        shutil.copy(opened(), folder / "book.db")
        self.folder, self.book, self.order = folder, open_book(folder / "book.db"), 1
        self.works = [work.id for work in ledger(self.book, self.order).works]
        self.yes: dict[int, int] = {}
        self.done: set[int] = set()
        self.billed: dict[int, dict[tuple[int, int], int]] = {work: {} for work in self.works}
        self.invoices: dict[int, int] = {}
        self.owed = 0
        self.received = 0

    def teardown(self) -> None:
        self.book.dispose()
        shutil.rmtree(self.folder, ignore_errors=True)

    # What the rules ask, by plain arithmetic

    def now(self) -> dict[int, int]:
        return {work.id: work.amount for work in ledger(self.book, self.order).works}

    def room(self) -> int:
        """What all that rose together may come to."""
        return min(MARGIN, half_up(Fraction(sum(self.yes.values()) * SHARE, 100)))

    def holds(self, work: int) -> bool:
        now = self.now()
        rises = {each: max(now[each] - agreed, 0) for each, agreed in self.yes.items()}
        return work in self.yes and (not rises[work] or sum(rises.values()) <= self.room())

    def standing(self, work: int) -> int:
        return sum(self.billed[work].values())

    # What people do

    @rule(answers=st.lists(st.sampled_from(["yes", "yes", "no", "later"]), min_size=WORKS, max_size=WORKS))
    def the_owner_speaks(self, answers: list[str]) -> None:
        found = ledger(self.book, self.order)
        if not found.frozen:
            estimate.freeze(self.book, writer(self.book, self.order), self.order)
        said = dict(zip(self.works, answers, strict=True))
        words = tuple(WorkSaid(key, Said(it), "" if it == "yes" else "RA") for key, it in said.items())
        whole = SaidAll(How.PHONE, "Rosalind Achterberg", words, phone="555 0142", read_back="read out")
        revision = ledger(self.book, self.order).revision_id
        estimate.consent(self.book, writer(self.book, self.order), self.order, revision, whole)
        self.yes = {key: amount for key, amount in self.now().items() if said[key] == "yes"}
        bench.open_jobs(self.book, act(person=WREN), self.order)

    @rule(place=st.integers(0, WORKS - 1), by=st.integers(1, 3000))
    def a_price_rises(self, place: int, by: int) -> None:
        line = NewLine(LineKind.FEE, "Stuck bolts", "1", by, "labour")
        estimate.add_line(self.book, writer(self.book, self.order), self.order, self.works[place], line)

    @rule(place=st.integers(0, WORKS - 1))
    def the_bench_finishes(self, place: int) -> None:
        work = self.works[place]
        for job in [each for each in jobs(self.book, self.order) if each.work_id == work]:
            if work in self.done:
                continue
            if self.holds(work):
                finish(self.book, job.id)
                self.done.add(work)
            else:
                self.is_refused(lambda job=job: finish(self.book, job.id))

    def is_refused(self, step: Callable[[], None]) -> None:
        try:
            step()
        except Refused:
            return
        raise AssertionError("work was done without consent")

    @rule(chosen=st.sets(st.integers(0, WORKS - 1), min_size=1))
    def the_desk_bills(self, chosen: set[int]) -> None:
        ready = {work.work_id for work in account(self.book, self.order).ready.works}
        assert ready == {each for each in self.done if self.holds(each) and not self.billed[each]}
        works = frozenset(self.works[place] for place in chosen) & ready
        if not works:
            return
        key = self.bills(works)
        if key is None:
            return
        row = bill(self.book, key)
        for line in told(row).lines:
            self.billed[line.work_id or 0][key, line.n] = line.amount
        self.invoices[key] = row.gross
        self.owed += row.gross
        assert self.rises(works) <= self.room()  # never beyond consent and margin

    def rises(self, chosen: frozenset[int]) -> int:
        """How far what is or would be billed passes what was agreed."""
        now = self.now()
        costs = {each: now[each] if each in chosen else self.standing(each) for each in self.yes}
        return sum(max(costs[each] - agreed, 0) for each, agreed in self.yes.items())

    def bills(self, works: frozenset[int]) -> int | None:
        try:
            said = InvoiceSaid(works, DAY)
            return steps.make_invoice(self.book, desk(self.book, self.order), self.order, said)
        except Refused:
            outside = {work for work in self.works if self.billed[work]} - set(self.yes)
            assert self.rises(works) > self.room() or outside
            return None

    @precondition(lambda self: bool(self.invoices))
    @rule(data=st.data())
    def lines_are_taken_back(self, data: st.DataObject) -> None:
        key = data.draw(st.sampled_from(sorted(self.invoices)))
        stands = sorted(n for work in self.billed.values() for bill_id, n in work if bill_id == key)
        if not stands:
            return
        lines = data.draw(st.sets(st.sampled_from(stands), min_size=1))
        said = CreditSaid(frozenset(lines), "billed twice")
        note = bill(self.book, steps.take_back(self.book, desk(self.book, self.order), key, said))
        taken = {line.of or 0 for line in told(note).lines}
        assert lines <= taken  # the share of shop supplies goes back with the last labour of its work
        for work in self.billed.values():
            for n in taken:
                work.pop((key, n), None)
        self.owed -= note.gross

    @rule(amount=st.integers(1, 60_000))
    def money_comes_in(self, amount: int) -> None:
        steps.take_payment(self.book, desk(self.book, self.order), self.order, cash(amount))
        self.owed -= amount
        self.received += amount

    @rule(amount=st.integers(1, 60_000))
    def money_goes_back(self, amount: int) -> None:
        try:
            steps.give_back(self.book, desk(self.book, self.order), self.order, cash(amount))
        except Refused:
            assert amount > self.received
            return
        assert amount <= self.received
        self.owed += amount
        self.received -= amount

    # What is always true

    def rows(self, query: str) -> list[Any]:
        with self.book.connect() as connection:
            return list(connection.exec_driver_sql(query))

    @invariant()
    def what_is_owed_is_invoices_less_payments_and_credits(self) -> None:
        ((invoiced,),) = self.rows("SELECT coalesce(sum(gross), 0) FROM bill WHERE kind = 'invoice'")
        ((credited,),) = self.rows("SELECT coalesce(sum(gross), 0) FROM bill WHERE kind = 'credit'")
        ((paid,),) = self.rows("SELECT coalesce(sum(amount), 0) FROM payment")
        assert invoiced - credited - paid == self.owed == account(self.book, self.order).owed

    @invariant()
    def numbers_are_unique_and_without_gaps(self) -> None:
        for table, letter in (("bill", "I"), ("bill", "K"), ("payment", "R")):
            found = self.rows(f"SELECT number FROM {table} WHERE number LIKE '{letter}-%' ORDER BY id")
            assert [number for (number,) in found] == [
                f"{letter}-2026-{n:04}" for n in range(1, len(found) + 1)
            ]

    @invariant()
    def nothing_was_finished_without_a_yes(self) -> None:
        never = "SELECT 1 FROM job WHERE finished_at IS NOT NULL AND work_id NOT IN "
        assert not self.rows(f"{never} (SELECT work_id FROM answer WHERE answer = 'yes')")


TestSpine = Spine.TestCase
TestSpine.settings = settings(
    max_examples=EXAMPLES,
    stateful_step_count=STEPS,
    deadline=None,
    suppress_health_check=list(HealthCheck),
)
