"""Stock of a part as the sum of its ledger: what each kind of movement does, and what it may not do.

Quantities are whole hundredths of the part's unit, money is minor units. Nothing here goes below nothing:
a movement that would is Impossible, said with what there is.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from app.trade.figure import plain
from app.trade.money import rounded
from app.trade.problems import Impossible


class MoveKind(StrEnum):
    """What a movement is."""

    RECEIVE = "receive"
    RESERVE = "reserve"
    RELEASE = "release"
    ISSUE = "issue"
    RETURN = "return"
    COUNT = "count"


def pieces(hundredths: int) -> str:
    """A quantity as printed, without needless zeros: 4, 2.5, -1."""
    text = plain(Decimal(hundredths) / 100, 2)
    return text.rstrip("0").rstrip(".") if "." in text else text


@dataclass(frozen=True)
class Standing:
    """What a part's ledger comes to: on the shelf, reserved of it, and what the shelf is worth."""

    on_hand: int = 0
    reserved: int = 0
    value: int = 0

    @property
    def free(self) -> int:
        """What is on the shelf and not reserved."""
        return self.on_hand - self.reserved

    def after(self, moves: Sequence["Move"]) -> "Standing":
        """How it stands after some movements."""
        return Standing(
            self.on_hand + sum(move.on_hand for move in moves),
            self.reserved + sum(move.reserved for move in moves),
            self.value + sum(move.value for move in moves),
        )


Tie = int | None  # the work that a movement serves; None where it serves the work order as a whole


@dataclass(frozen=True)
class Move:
    """One movement as decided: its kind and what it does."""

    kind: MoveKind
    on_hand: int = 0
    reserved: int = 0
    value: int = 0
    tie: Tie = None


def receive(quantity: int, cost: int, before: int = 0) -> Move:
    """What comes in, at a cost for one, rounded once to a minor unit.

    `before`: what came of the same purchase until now, so that all its deliveries together are worth what the
    purchase costs, to the minor unit.
    """
    _above_nothing(quantity)
    until, since = (rounded(Decimal(some) * cost / 100) for some in (before, before + quantity))
    return Move(MoveKind.RECEIVE, on_hand=quantity, value=(since - until).minor)


def reserve(standing: Standing, quantity: int, tie: Tie = None) -> Move:
    """What is put aside for a work order; Impossible beyond what is free."""
    _above_nothing(quantity)
    _at_most(quantity, standing.free, "free")
    return Move(MoveKind.RESERVE, reserved=quantity, tie=tie)


def release(held: Mapping[Tie, int], quantity: int) -> tuple[Move, ...]:
    """What is no longer put aside; Impossible beyond what is held for the work order."""
    _above_nothing(quantity)
    _at_most(quantity, sum(held.values()), "reserved for this work order")
    return tuple(Move(MoveKind.RELEASE, reserved=-some, tie=tie) for tie, some in taken(held, quantity))


def issue(standing: Standing, held: Mapping[Tie, int], quantity: int) -> tuple[Move, ...]:
    """What leaves the shelf for a work order: first what is held for it, then what is free.

    Impossible beyond both together. Each movement takes its share of the value at the moving average.
    """
    _above_nothing(quantity)
    _at_most(quantity, sum(held.values()) + standing.free, "free or reserved for this work order")
    parts = [(tie, some, some) for tie, some in taken(held, quantity)]
    if left := quantity - sum(some for _, some, _ in parts):
        parts.append((None, left, 0))
    moves: list[Move] = []
    for tie, some, of_held in parts:
        now = standing.after(moves)
        worth = share(now.value, now.on_hand, some)
        moves.append(Move(MoveKind.ISSUE, on_hand=-some, reserved=-of_held, value=-worth, tie=tie))
    return tuple(moves)


def put_back(out: Mapping[Tie, tuple[int, int]], quantity: int) -> tuple[Move, ...]:
    """What comes back from a work order, at what it went out for.

    `out`: quantity and value still out, by tie. Impossible beyond what is out.
    """
    _above_nothing(quantity)
    _at_most(quantity, sum(some for some, _ in out.values()), "handed out to this work order")
    back = taken({tie: some for tie, (some, _) in out.items()}, quantity)
    return tuple(
        Move(MoveKind.RETURN, on_hand=some, value=share(out[tie][1], out[tie][0], some), tie=tie)
        for tie, some in back
    )


def count(standing: Standing, counted: int, cost: int) -> Move:
    """What a count of the shelf corrects; what is found is worth the average, or `cost` on an empty shelf.

    Impossible below what is reserved: first the reservation is released, so that nobody waits for nothing.
    """
    if counted < 0:
        raise Impossible(f"{pieces(counted)} cannot be counted", "0 or more")
    if counted < standing.reserved:
        held = pieces(standing.reserved)
        raise Impossible(f"{held} are reserved for work orders", f"at least {held}, or first release them")
    found = counted - standing.on_hand
    average = share(standing.value, standing.on_hand, abs(found)) if standing.on_hand else None
    worth = rounded(Decimal(found) * cost / 100).minor if average is None else average
    return Move(MoveKind.COUNT, on_hand=found, value=-worth if found < 0 else worth)


def share(value: int, quantity: int, some: int) -> int:
    """Value of some of a quantity at its average, rounded once; all of the value where all of it goes.

    `quantity` above 0; ValueError otherwise. So no stray minor unit stays on an empty shelf.
    """
    if quantity <= 0:
        raise ValueError("an average is of something")
    return value if some == quantity else rounded(Decimal(value) * some / quantity).minor


def taken(held: Mapping[Tie, int], quantity: int) -> list[tuple[Tie, int]]:
    """How much is taken of each tie in turn, until the quantity or all of them are used up."""
    found: list[tuple[Tie, int]] = []
    for tie, some in held.items():
        if take := min(some, quantity):
            found.append((tie, take))
            quantity -= take
    return found


def to_order(standing: Standing, coming: int, reorder_at: int, reorder_quantity: int) -> int:
    """What is bought for the shelf where free and coming fall to the point: the quantity once or more.

    `coming`: ordered for the shelf and not here yet. 0 without a reorder quantity: bought only for work.
    """
    have = standing.free + coming
    if not reorder_quantity or have > reorder_at:
        return 0
    return ((reorder_at - have) // reorder_quantity + 1) * reorder_quantity


def _above_nothing(quantity: int) -> None:
    if quantity <= 0:
        raise Impossible(f"{pieces(quantity)} moves nothing", "a quantity above 0, such as 2")


def _at_most(quantity: int, most: int, what: str) -> None:
    if quantity > most:
        says = f"{pieces(quantity)} are asked for, and {pieces(most)} are {what}"
        raise Impossible(says, f"at most {pieces(most)}" if most else "a quantity once some have come in")
