"""What came at another cost than the catalogue has: told beside the prices, taken over where it is said."""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import Decimal

from sqlalchemy import Engine
from sqlmodel import Session, col, func, select

from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.receipts import current
from app.ground.shop import ShopSettings, settings_of
from app.parts.facts import price_of
from app.parts.orders import BoughtLine, OrderPage, order_page
from app.parts.tables import Movement, Part
from app.trade.markup import selling_price
from app.trade.money import Money, rounded
from app.trade.problems import Problem, Refused
from app.trade.stock import MoveKind


@dataclass(frozen=True)
class OtherCost:
    """A part that came at another cost than its catalogue has, and what that makes of its price.

    Money in minor units, for one. `before`: the catalogue's cost; `now`: what it came at; `price`: what it is
    sold for; `own`: whether that is a price of its own; `marked_up`: by the shop's mark-up on the new cost.
    """

    line_id: int
    part_id: int
    number: str
    name: str
    before: int
    now: int
    price: int
    own: bool
    marked_up: int

    @property
    def seen(self) -> str:
        """What a form shows of it, so that no other cost is taken over than the one that was read."""
        return f"{self.before}-{self.now}-{self.price}-{self.marked_up}"


def other_costs(session: Session, page: OrderPage) -> tuple[OtherCost, ...]:
    """The parts of an order whose newest delivery came with it, at another cost than the catalogue's.

    Of a part that came again since, on another order or by hand, nothing is told: that cost is the newer.
    """
    newest, settings = _newest_came(session, (line.part_id for line in page.lines)), settings_of(session)
    moves = ((line, newest.get(line.part_id)) for line in page.lines)
    costs = [(line, _came_at(line, it)) for line, it in moves if it and it.purchase_line_id == line.id]
    return tuple(
        _other(session.get_one(Part, line.part_id), line, cost, settings)
        for line, cost in costs
        if cost not in (0, line.catalogue_cost)
    )


def _newest_came(session: Session, parts: Iterable[int]) -> dict[int, Movement]:
    """The newest movement by which each part came in, by part."""
    came = (col(Movement.part_id).in_(set(parts)), Movement.kind == MoveKind.RECEIVE)
    newest = select(func.max(Movement.id)).where(*came).group_by(col(Movement.part_id))
    return {row.part_id: row for row in session.exec(select(Movement).where(col(Movement.id).in_(newest)))}


def _came_at(line: BoughtLine, newest: Movement) -> int:
    """What one came at: as ordered, unless what came is worth something else."""
    if not line.otherwise:
        return line.cost
    return rounded(Decimal(newest.value) * 100 / newest.on_hand).minor


def _other(part: Part, line: BoughtLine, cost: int, settings: ShopSettings) -> OtherCost:
    return OtherCost(
        line_id=line.id,
        part_id=part.key,
        number=part.number,
        name=part.name,
        before=part.cost,
        now=cost,
        price=price_of(part, settings),
        own=part.price is not None,
        marked_up=selling_price(Money(cost), settings.markup_steps).value.minor,
    )


@dataclass(frozen=True)
class CostSaid:
    """What a form takes over: `seen` as `OtherCost.seen`; `price`: whether its own price follows too."""

    seen: str
    price: bool = False


def take_cost(book: Engine, act: Act, order_id: int, line_id: int, said: CostSaid) -> int:
    """Take the cost at which a part came over into the catalogue; returns the order's key.

    A price by mark-up follows its cost; a price of the part's own only where that was said. Raises Refused
    where the catalogue or what came is otherwise than shown, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        page = order_page(session, order_id)
        current(page.order.revision, act)
        page.order.revision += 1
        other = _shown(other_costs(session, page), line_id, said.seen)
        return receipts.sign(session, act, "take over cost", page.order, _priced(session, other, said))


def _shown(others: Iterable[OtherCost], line_id: int, seen: str) -> OtherCost:
    found = [it for it in others if it.line_id == line_id and it.seen == seen]
    if not found:
        says = "The catalogue, or what came, is otherwise than was shown"
        raise Refused([Problem("", says, "the page read once more")])
    return found[0]


def _priced(session: Session, other: OtherCost, said: CostSaid) -> Part:
    part = session.get_one(Part, other.part_id)
    part.cost = other.now
    part.price = other.marked_up if other.own and said.price else part.price
    part.revision += 1
    return part
