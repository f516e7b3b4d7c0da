"""The shop's own row and settings, typed: rates, rounding, weights, ages, law. A lead changes them."""

from collections.abc import Mapping
from dataclasses import asdict, dataclass, fields
from decimal import Decimal
from typing import Any, Self

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.tables import Receipt, Shop
from app.trade.fasteners import read_retorques
from app.trade.markup import Step
from app.trade.money import Money, Rounding, Tolerance
from app.trade.totals import Basis, Rule


@dataclass(frozen=True)
class ShopSettings:
    """What the figures need to know of the shop. Money in minor units; shares and weights as decimal text.

    `margin` and `margin_percent`: work may cost more than agreed by the less or the greater of the two, at
    most `margin_cap` (0: no cap), before the owner is asked again. `deposit_percent`: share of what was
    agreed, with tax, asked for in advance. `markup_...`: mark-up on the cost of parts, in three steps.
    `tax_basis`: whether
    tax is rounded once for each rate of a document, or on every line. `tax_point`: whether
    the rate of a bill is that of its own day, or of the day on which its work was finished. `cash_step`:
    the smallest coin in minor units. `law_place`: whose law the papers name, such as a state; empty for
    "local law". `retorque_miles`: after how many miles wheel nuts are tightened again.
    """

    labour_rate: int = 12500
    labour_minimum_tenths: int = 2
    rounding: str = "half_up"
    tax_basis: str = "document"
    tax_point: str = "bill"
    cash_step: int = 1
    supplies_percent: str = "3"
    supplies_cap: int = 4500
    valid_days: int = 30
    margin: int = 5000
    margin_percent: str = "10"
    margin_rule: str = "less"
    margin_cap: int = 0
    deposit_percent: str = "0"
    markup_low_to: int = 2000
    markup_low: str = "60"
    markup_middle_to: int = 10000
    markup_middle: str = "40"
    markup_high: str = "25"
    weight_unit: str = "oz"
    weight_step_oz: str = "0.25"
    weight_step_g: str = "5"
    tire_watch_years: int = 4
    tire_needs_years: int = 6
    tire_dnt_years: int = 10
    brakes_required_from_lb: str = "3000"
    law_place: str = ""
    retorque_miles: str = "10, 25, 50"

    def percent(self, name: str) -> Decimal:
        """A share by its name (`deposit_percent` ...), in percent."""
        return Decimal(str(getattr(self, name)))

    @property
    def rule(self) -> Rule:
        """What becomes of half a cent, and where tax is rounded."""
        return Rule(Rounding(self.rounding), Basis(self.tax_basis))

    @property
    def tolerance(self) -> Tolerance:
        """How far work may pass what the owner agreed to."""
        return Tolerance(
            fixed=Money(self.margin),
            percent=self.percent("margin_percent"),
            greater=self.margin_rule == "greater",
            cap=Money(self.margin_cap) if self.margin_cap else None,
        )

    @property
    def markup_steps(self) -> tuple[Step, ...]:
        """The mark-up on the cost of parts, the cheapest first."""
        return (
            Step(Money(self.markup_low_to), self.percent("markup_low")),
            Step(Money(self.markup_middle_to), self.percent("markup_middle")),
            Step(None, self.percent("markup_high")),
        )

    @property
    def weight_steps(self) -> dict[str, Decimal]:
        """The step in which balance weights come, by their unit (oz, g)."""
        return {"oz": Decimal(self.weight_step_oz), "g": Decimal(self.weight_step_g)}

    @property
    def retorques(self) -> tuple[int, ...]:
        """Miles after which wheel nuts are tightened again, rising."""
        return read_retorques(self.retorque_miles)

    @property
    def law(self) -> str:
        """Whose law decides, inside a sentence: the law of a named place, else local law."""
        return f"the law of {self.law_place}" if self.law_place else "local law"

    def with_kept(self, kept: Mapping[str, Any]) -> Self:
        """These settings with the ones that the shop has kept."""
        known = {each.name for each in fields(self)}
        return type(self)(**{**self.__dict__, **{k: v for k, v in kept.items() if k in known}})


@dataclass(frozen=True)
class ShopSaid:
    """The shop as a form describes it, read and found possible."""

    name: str
    address: str
    phone: str
    email: str
    zone: str
    currency: str
    paper: str
    settings: ShopSettings


def shop_of(session: Session) -> Shop:
    """The shop's row; a shop without one has not been opened yet (NoResultFound)."""
    return session.exec(select(Shop)).one()


def settings_of(session: Session) -> ShopSettings:
    """The shop's settings, defaults where nothing was set."""
    return ShopSettings().with_kept(shop_of(session).settings)


def save_shop(book: Engine, act: Act, said: ShopSaid) -> int:
    """Keep the shop's row and settings; returns its key. What was frozen or printed before stays as it was.

    The same act again changes nothing. Raises Stale where somebody saved since `act.seen`.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        shop = shop_of(session)
        receipts.current(shop.revision, act)
        for name in ("name", "address", "phone", "email", "zone", "currency", "paper"):
            setattr(shop, name, getattr(said, name))
        shop.settings = asdict(said.settings)
        shop.revision += 1
        return receipts.sign(session, act, "save shop", shop)


def last_saved(session: Session) -> Receipt | None:
    """The receipt of the newest change of the shop, or None where it stands as it was opened."""
    saved = select(Receipt).where(Receipt.act == "save shop").order_by(col(Receipt.id).desc())
    return session.exec(saved.limit(1)).first()
