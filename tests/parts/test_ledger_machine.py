"""The stock ledger as a machine: any order of movements by real acts on a real book, against plain fractions.

The identity of a perpetual inventory (common practice of bookkeeping): what came in at cost and was found
is worth what lies on the shelf, what is out on work orders, and what was lost.
"""

import shutil
import tempfile
from collections.abc import Callable
from fractions import Fraction
from functools import cache
from math import floor
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from sqlalchemy import Engine

from app.ground.book import open_book, reading
from app.ground.migrating import migrate
from app.ground.receipts import broken
from app.parts import facts, steps
from app.parts.ledger import held_for, out_for, standing_of
from app.parts.rules import Counted, MoveSaid
from app.trade.problems import Refused
from app.trade.stock import MoveKind
from tests.conftest import act, furnish
from tests.parts.shelf import move, moves, order, part, standing, stocked

COST = 1450
QUANTITIES = st.one_of(st.integers(1, 9).map(lambda n: n * 100), st.integers(1, 900))  # hundredths
ORDERS = st.integers(0, 1)


def half_up(exact: Fraction) -> int:
    """To the nearest cent, an exact half up: plain fractions, nothing of ours."""
    return floor(exact + Fraction(1, 2))


@cache
def opened() -> tuple[Path, list[tuple[int, int]]]:
    """A book with a part and two work orders, made once for all runs of the machine."""
    path = Path(tempfile.mkdtemp(prefix="castlenut-stock-")) / "book.db"
    book = open_book(path)
    migrate(book)
    furnish(book)
    assert part(book) == 1
    made = [order(book), order(book)]
    with book.connect() as connection:
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
    book.dispose()
    return path, made


class Shelf(RuleBasedStateMachine):
    """On hand, reserved and value, kept beside the book in plain numbers."""

    book: Engine

    @initialize()
    def begins(self) -> None:
        path, self.orders = opened()
        self.folder = Path(tempfile.mkdtemp(prefix="castlenut-stock-"))
        shutil.copy(path, self.folder / "book.db")
        self.book = open_book(self.folder / "book.db")
        self.on_hand = self.value = 0
        self.held, self.out, self.worth = [0, 0], [0, 0], [0, 0]
        self.came = self.lost = 0  # cents: bought or found; missed at a count

    def teardown(self) -> None:
        self.book.dispose()
        shutil.rmtree(self.folder, ignore_errors=True)

    @property
    def free(self) -> int:
        return self.on_hand - sum(self.held)

    def does(self, kind: MoveKind, quantity: int, which: int | None = None, cost: int | None = None) -> None:
        number = None if which is None else self.orders[which][1]
        steps.move_stock(self.book, act(), 1, MoveSaid(kind, quantity, number, cost))

    def only(self, step: Callable[[], object], *, may: bool) -> bool:
        """Whether a step was done; it must be refused exactly where it may not."""
        if may:
            step()
            return True
        with pytest.raises(Refused) as refused:
            step()
        assert {it.field for it in refused.value.problems} <= {"quantity", "counted-1"}
        return False

    @rule(quantity=QUANTITIES, cost=st.one_of(st.none(), st.integers(0, 9999)))
    def some_comes_in(self, quantity: int, cost: int | None) -> None:
        self.does(MoveKind.RECEIVE, quantity, cost=cost)
        worth = half_up(Fraction(quantity * (COST if cost is None else cost), 100))
        self.on_hand, self.value, self.came = self.on_hand + quantity, self.value + worth, self.came + worth

    @rule(quantity=QUANTITIES, which=ORDERS)
    def some_is_put_aside(self, quantity: int, which: int) -> None:
        if self.only(lambda: self.does(MoveKind.RESERVE, quantity, which), may=quantity <= self.free):
            self.held[which] += quantity

    @rule(quantity=QUANTITIES, which=ORDERS)
    def some_is_released(self, quantity: int, which: int) -> None:
        if self.only(lambda: self.does(MoveKind.RELEASE, quantity, which), may=quantity <= self.held[which]):
            self.held[which] -= quantity

    @rule(quantity=QUANTITIES, which=ORDERS)
    def some_is_handed_out(self, quantity: int, which: int) -> None:
        may = quantity <= self.held[which] + self.free
        if not self.only(lambda: self.does(MoveKind.ISSUE, quantity, which), may=may):
            return
        first = min(quantity, self.held[which])
        self.held[which] -= first
        for some in (first, quantity - first):  # what was held goes first, the rest is a movement of its own
            self.goes(some, which)

    def goes(self, some: int, which: int) -> None:
        """Out at the moving average, all of the value with the last of the shelf."""
        if some:
            gone = half_up(Fraction(self.value * some, self.on_hand))
            self.on_hand, self.value = self.on_hand - some, self.value - gone
            self.out[which], self.worth[which] = self.out[which] + some, self.worth[which] + gone

    @rule(quantity=QUANTITIES, which=ORDERS)
    def some_comes_back(self, quantity: int, which: int) -> None:
        if not self.only(
            lambda: self.does(MoveKind.RETURN, quantity, which), may=quantity <= self.out[which]
        ):
            return
        back = half_up(Fraction(self.worth[which] * quantity, self.out[which]))
        self.out[which], self.worth[which] = self.out[which] - quantity, self.worth[which] - back
        self.on_hand, self.value = self.on_hand + quantity, self.value + back

    @rule(counted=st.integers(0, 1500))
    def the_shelf_is_counted(self, counted: int) -> None:
        said = [Counted(1, counted, self.on_hand)]
        may = counted >= sum(self.held)
        if not self.only(lambda: steps.keep_counts(self.book, act(), said), may=may):
            return
        found = counted - self.on_hand
        exact = Fraction(self.value * found, self.on_hand) if self.on_hand else Fraction(COST * found, 100)
        worth = half_up(exact) if found >= 0 else -half_up(-exact)
        self.on_hand, self.value = counted, self.value + worth
        self.came, self.lost = self.came + max(worth, 0), self.lost + max(-worth, 0)

    @rule(counted=st.integers(0, 1500), off=st.integers(1, 300))
    def a_sheet_that_is_late_counts_nothing(self, counted: int, off: int) -> None:
        said = [Counted(1, counted, self.on_hand + off)]
        assert not self.only(lambda: steps.keep_counts(self.book, act(), said), may=False)

    @invariant()
    def the_book_stands_as_plain_numbers_do(self) -> None:
        found = standing(self.book, 1)
        assert (found.on_hand, found.reserved, found.value) == (self.on_hand, sum(self.held), self.value)
        assert 0 <= found.reserved <= found.on_hand
        assert found.value >= 0

    @invariant()
    def stock_is_the_sum_of_its_moves(self) -> None:
        rows = moves(self.book, 1)
        assert sum(row.on_hand for row in rows) == self.on_hand
        assert sum(row.reserved for row in rows) == sum(self.held)
        assert sum(row.value for row in rows) == self.value

    @invariant()
    def what_came_is_on_the_shelf_out_or_lost(self) -> None:
        assert self.came == self.value + sum(self.worth) + self.lost
        if not self.on_hand:
            assert self.value == 0  # no stray cent stays on an empty shelf

    @invariant()
    def each_work_order_holds_and_has_out_what_it_was_given(self) -> None:
        with reading(self.book) as session:
            for which, (key, _) in enumerate(self.orders):
                assert sum(held_for(session, 1, key).values()) == self.held[which]
                out = out_for(session, 1, key).values()
                assert (sum(some for some, _ in out), sum(worth for _, worth in out)) == (
                    self.out[which],
                    self.worth[which],
                )

    @invariant()
    def the_page_tells_the_same_and_the_chain_is_whole(self) -> None:
        with reading(self.book) as session:
            page = facts.part_page(session, 1)
            assert list(broken(session)) == []
        assert page.line.standing.on_hand == self.on_hand
        assert len(page.moves) == len(moves(self.book, 1))
        if page.moves:
            assert page.moves[0].then == page.line.on_hand  # the newest line ends where the shelf stands


TestShelf = Shelf.TestCase
TestShelf.settings = settings(
    max_examples=15, stateful_step_count=25, deadline=None, suppress_health_check=list(HealthCheck)
)


# Worked examples of moving-average costing: one as published, three worked by hand


def handed(book: Engine, key: int, pieces: int, number: int) -> int:
    """Hand some out; what they were worth, in cents."""
    before = standing(book, key).value
    move(book, key, MoveKind.ISSUE, pieces, number)
    return before - standing(book, key).value


def received(book: Engine, key: int, pieces: int, cost: int) -> None:
    steps.move_stock(book, act(), key, MoveSaid(MoveKind.RECEIVE, pieces * 100, cost=cost))


def test_a_published_perpetual_average_of_a_first_stock_and_a_purchase(book: Engine) -> None:
    # homeworksource.com/p/1123599, solved there: 300 at 8, 175 sold, 375 at 10 bring the average to 9.50,
    # 280 sold cost 2,660, 220 stay for 2,090
    key, (_, number) = part(book), order(book)
    received(book, key, 300, 800)
    handed(book, key, 175, number)
    received(book, key, 375, 1000)
    assert handed(book, key, 280, number) == 266_000
    assert standing(book, key).value == 209_000


def test_a_perpetual_average_of_four_purchases(book: Engine) -> None:
    # by hand: 100 at 50.00, 400 at 55.00 average 54.00, so 420 go for 22,680.00; then 80 at 54.00,
    # 120 at 60.00 and 200 at 62.00 are 23,920.00, 59.80 each
    key, (_, number) = part(book), order(book)
    received(book, key, 100, 5000)
    received(book, key, 400, 5500)
    assert handed(book, key, 420, number) == 2_268_000
    received(book, key, 120, 6000)
    received(book, key, 200, 6200)
    assert standing(book, key).value == 2_392_000
    assert handed(book, key, 160, number) == 956_800
    assert standing(book, key).value == 1_435_200


def test_a_perpetual_average_of_two_purchases(book: Engine) -> None:
    # by hand: 10 at 4.00, 6 sold for 24.00; 8 at 5.50 make 12 for 60.00, 7 sold for 35.00
    key, (_, number) = part(book), order(book)
    received(book, key, 10, 400)
    assert handed(book, key, 6, number) == 2400
    received(book, key, 8, 550)
    assert standing(book, key).value == 6000
    assert handed(book, key, 7, number) == 3500
    assert standing(book, key).value == 2500


def test_a_perpetual_average_whose_cents_do_not_come_out_even(book: Engine) -> None:
    # by hand: 25 at 25.00 and 30 at 30.00, 18 sold for 5490/11, that is 499.09, 37 stay for 1,025.91;
    # 5 at 35.00 follow
    key, (_, number) = part(book), order(book)
    received(book, key, 25, 2500)
    received(book, key, 30, 3000)
    assert handed(book, key, 18, number) == half_up(Fraction(549000, 11)) == 49909
    received(book, key, 5, 3500)
    assert standing(book, key).value == 152500 - 49909 + 17500


@pytest.mark.parametrize("pieces", [3, 7, 11])
def test_what_is_handed_out_one_by_one_is_worth_all_of_it_in_the_end(book: Engine, pieces: int) -> None:
    # by hand: a hundred cents over 3, 7 or 11 pieces leave a rest on every one; the rests make up a cent
    key, (order_id, number) = part(book), order(book)
    steps.move_stock(book, act(), key, MoveSaid(MoveKind.RECEIVE, 100, cost=100))
    steps.move_stock(book, act(), key, MoveSaid(MoveKind.RECEIVE, (pieces - 1) * 100, cost=0))
    worth = [handed(book, key, 1, number) for _ in range(pieces)]
    assert sum(worth) == 100
    assert max(worth) - min(worth) <= 1
    with reading(book) as session:
        assert out_for(session, key, order_id) == {None: (pieces * 100, 100)}
        assert standing_of(session, key).value == 0


def test_what_comes_back_takes_the_cost_at_which_it_went_out(book: Engine) -> None:
    # common practice: a return reverses its issue; the shelf's dearer average of meanwhile is not its price
    key, (order_id, number) = stocked(book, 2, cost=1000), order(book)
    move(book, key, MoveKind.ISSUE, 2, number)
    received(book, key, 2, 3000)
    move(book, key, MoveKind.RETURN, 1, number)
    assert standing(book, key).value == 2 * 3000 + 1000
    with reading(book) as session:
        assert out_for(session, key, order_id) == {None: (100, 1000)}
