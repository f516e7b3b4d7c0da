"""The stock ledger: what each movement does, and what it may not do."""

from collections.abc import Mapping

import pytest
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from app.trade import stock
from app.trade.problems import Impossible
from app.trade.stock import Move, MoveKind, Standing, Tie, pieces, to_order


def test_moving_average_takes_each_issue_at_the_average_of_that_moment() -> None:
    """Moving average as bookkeeping has it (common practice), worked by hand on paper.

    In 10 at 4.00; out 4 = 4 x 40.00 / 10 = 16.00. In 6 at 5.00: 12 for 54.00; out 7 = 31.50. In 5 at 5.45:
    10 for 49.75; out 3 = 14.925, half up 14.93. Left 7 for 34.82; 62.43 + 34.82 = 97.25 = all that came in.
    """
    now, out = Standing(), []
    for quantity, cost, issued in ((1000, 400, 400), (600, 500, 700), (500, 545, 300)):
        now = now.after([stock.receive(quantity, cost)])
        moves = stock.issue(now, {}, issued)
        out.append(-sum(move.value for move in moves))
        now = now.after(moves)
    assert out == [1600, 3150, 1493]
    assert (now.on_hand, now.value) == (700, 3482)
    assert sum(out) + now.value == 9725


def test_the_last_piece_takes_all_that_is_left_of_the_value() -> None:
    now = Standing().after([stock.receive(300, 333)])  # 3 at 3.33 = 9.99
    thirds = []
    for _ in range(3):
        moves = stock.issue(now, {}, 100)
        thirds.append(-moves[0].value)
        now = now.after(moves)
    assert sum(thirds) == 999
    assert now == Standing()


def test_an_issue_takes_first_what_is_held_for_the_work_order_then_what_is_free() -> None:
    now = Standing(on_hand=1000, reserved=400, value=10000)
    moves = stock.issue(now, {7: 200, 9: 100}, 500)
    assert [(move.tie, move.on_hand, move.reserved) for move in moves] == [
        (7, -200, -200),
        (9, -100, -100),
        (None, -200, 0),
    ]


@pytest.mark.parametrize(
    ("asked", "held", "fits"),
    [(600, {}, True), (601, {}, False), (700, {1: 100}, True), (701, {1: 100}, False)],
)
def test_an_issue_never_takes_what_is_reserved_for_another(
    asked: int, held: Mapping[Tie, int], fits: bool
) -> None:
    now = Standing(on_hand=1000, reserved=400)  # 6 are free
    if fits:
        assert sum(move.on_hand for move in stock.issue(now, held, asked)) == -asked
    else:
        with pytest.raises(Impossible, match="are asked for"):
            stock.issue(now, held, asked)


def test_what_is_refused_says_what_there_is() -> None:
    with pytest.raises(Impossible) as none_left:
        stock.reserve(Standing(on_hand=300, reserved=300), 100)
    assert none_left.value.says == "1 are asked for, and 0 are free"
    with pytest.raises(Impossible) as too_many:
        stock.put_back({None: (200, 400)}, 300)
    assert too_many.value.accepts == "at most 2"


def test_what_comes_back_comes_at_what_it_went_out_for() -> None:
    [move] = stock.put_back({3: (400, 1600)}, 100)
    assert (move.on_hand, move.value, move.tie) == (100, 400, 3)
    assert stock.put_back({3: (300, 1000)}, 300)[0].value == 1000


@pytest.mark.parametrize(
    ("standing", "counted", "found", "worth"),
    [
        (Standing(1000, 0, 5000), 800, -200, -1000),  # at the average of 5.00
        (Standing(1000, 0, 5000), 1100, 100, 500),
        (Standing(0, 0, 0), 300, 300, 2100),  # an empty shelf has no average: at the cost, 7.00
        (Standing(1000, 0, 5000), 1000, 0, 0),  # a count that agrees is kept too
        (Standing(300, 0, 1000), 0, -300, -1000),  # an empty shelf is worth nothing
    ],
)
def test_a_count_corrects_the_shelf(standing: Standing, counted: int, found: int, worth: int) -> None:
    move = stock.count(standing, counted, 700)
    assert (move.on_hand, move.value) == (found, worth)


def test_a_count_below_what_is_reserved_is_refused() -> None:
    with pytest.raises(Impossible, match="3 are reserved"):
        stock.count(Standing(500, 300), 200, 100)


@pytest.mark.parametrize("quantity", [0, -100])
def test_nothing_and_less_is_no_movement(quantity: int) -> None:
    for decide in (
        lambda: stock.receive(quantity, 100),
        lambda: stock.reserve(Standing(500), quantity),
        lambda: stock.issue(Standing(500), {}, quantity),
    ):
        with pytest.raises(Impossible, match="moves nothing"):
            decide()


@pytest.mark.parametrize(
    ("free", "coming", "wanted"),
    [
        # (s, Q) rule: order when the position is at or below s (common practice in stock keeping)
        (500, 0, 0),
        (400, 0, 1000),
        (0, 0, 1000),
        (400, 100, 0),
        (0, 400, 1000),
    ],
)
def test_the_shelf_is_ordered_anew_at_its_point(free: int, coming: int, wanted: int) -> None:
    assert to_order(Standing(free), coming, 400, 1000) == wanted


def test_the_reorder_quantity_is_bought_as_often_as_the_point_asks() -> None:
    assert to_order(Standing(0), 0, 1000, 400) == 1200  # 4 and 8 are still at or under 10
    assert to_order(Standing(0), 0, 0, 0) == 0
    assert to_order(Standing(500, 400), 0, 100, 300) == 300  # what is reserved is not there to sell


@pytest.mark.parametrize(
    ("hundredths", "says"), [(400, "4"), (250, "2.5"), (-100, "-1"), (0, "0"), (5, "0.05"), (100000, "1,000")]
)
def test_pieces_are_printed_without_needless_zeros(hundredths: int, says: str) -> None:
    assert pieces(hundredths) == says


def test_an_average_of_nothing_is_a_slip() -> None:
    with pytest.raises(ValueError, match="average"):
        stock.share(100, 0, 1)


QUANTITY = st.integers(-50, 900)
TIES = st.sampled_from([None, 1, 2])


class Shelf(RuleBasedStateMachine):
    """A shelf, and a second account of it that is only counted, never computed."""

    def __init__(self) -> None:
        super().__init__()
        self.moves: list[Move] = []
        self.held: dict[Tie, int] = {}
        self.out: dict[Tie, tuple[int, int]] = {}

    @property
    def now(self) -> Standing:
        return Standing().after(self.moves)

    @rule(quantity=QUANTITY, cost=st.integers(0, 5000))
    def receive(self, quantity: int, cost: int) -> None:
        if quantity > 0:
            self.moves.append(stock.receive(quantity, cost))

    @rule(quantity=QUANTITY, tie=TIES)
    def reserve(self, quantity: int, tie: Tie) -> None:
        try:
            self.moves.append(stock.reserve(self.now, quantity, tie))
        except Impossible:
            assert quantity <= 0 or quantity > self.now.free
            return
        self.held[tie] = self.held.get(tie, 0) + quantity

    @rule(quantity=QUANTITY)
    def release(self, quantity: int) -> None:
        try:
            found = stock.release(self.held, quantity)
        except Impossible:
            assert quantity <= 0 or quantity > sum(self.held.values())
            return
        for move in found:
            self.held[move.tie] += move.reserved
        self.moves += found

    @rule(quantity=QUANTITY)
    def issue(self, quantity: int) -> None:
        try:
            found = stock.issue(self.now, self.held, quantity)
        except Impossible:
            assert quantity <= 0 or quantity > self.now.on_hand
            return
        for move in found:
            self.held[move.tie] = self.held.get(move.tie, 0) + move.reserved
            some, worth = self.out.get(move.tie, (0, 0))
            self.out[move.tie] = some - move.on_hand, worth - move.value
        self.moves += found

    @precondition(lambda self: any(some for some, _ in self.out.values()))
    @rule(quantity=QUANTITY)
    def put_back(self, quantity: int) -> None:
        try:
            found = stock.put_back({tie: it for tie, it in self.out.items() if it[0]}, quantity)
        except Impossible:
            return
        for move in found:
            some, worth = self.out[move.tie]
            self.out[move.tie] = some - move.on_hand, worth - move.value
        self.moves += found

    @rule(counted=QUANTITY)
    def count(self, counted: int) -> None:
        try:
            self.moves.append(stock.count(self.now, counted, 250))
        except Impossible:
            assert counted < self.now.reserved or counted < 0
            return
        assert self.now.on_hand == counted

    @invariant()
    def nothing_is_below_nothing(self) -> None:
        assert 0 <= self.now.reserved <= self.now.on_hand
        assert self.now.value >= 0

    @invariant()
    def an_empty_shelf_is_worth_nothing(self) -> None:
        assert self.now.on_hand or self.now.value == 0

    @invariant()
    def what_is_reserved_is_held_by_somebody(self) -> None:
        assert self.now.reserved == sum(self.held.values())
        assert all(some >= 0 for some in self.held.values())
        assert {move.kind for move in self.moves} <= set(MoveKind)


TestShelf = Shelf.TestCase
