"""The demo's parts room: suppliers and parts of `seed_data/demo_parts.toml`, moved by real acts."""

import tomllib
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any

from sqlalchemy import Engine

from app.bench import needs
from app.ground.acting import Act
from app.ground.book import reading
from app.ground.settings import folder
from app.parts import buying, facts, orders, steps
from app.parts.list_steps import read_in
from app.parts.orders import OrderPage
from app.parts.rules import Came, Counted, MoveSaid, PartSaid, SupplierSaid
from app.trade.stock import MoveKind

Acting = Callable[[str, datetime, int], Act]


@dataclass(frozen=True)
class Shelf:
    """The parts room being furnished. `act`: makes an act of a role at a time over a revision."""

    book: Engine
    act: Acting
    today: datetime

    def stock(self) -> None:
        """Suppliers, parts, and what lay there at first, sixty days ago."""
        told = tomllib.loads((folder("seed_data") / "demo_parts.toml").read_text())
        at = self.today - timedelta(days=60)
        suppliers = [
            steps.save_supplier(self.book, self.act("writer", at, 0), None, SupplierSaid(**each))
            for each in told["supplier"]
        ]
        keys = {each["number"]: self._part(each, suppliers, at) for each in told["part"]}
        for each in told["part"]:
            if "newer" in each:
                said = self._said(each, suppliers, keys[each["newer"]])
                steps.save_part(self.book, self.act("writer", at, 1), keys[each["number"]], said)

        read_in(self.book, self.act("writer", self.today - timedelta(days=1), 0), told["list"])

    def _part(self, each: Mapping[str, Any], suppliers: list[int], at: datetime) -> int:
        key = steps.save_part(self.book, self.act("writer", at, 0), None, self._said(each, suppliers))
        there = MoveSaid(MoveKind.RECEIVE, _hundredths(each.get("there", 0)), note="first count of the shelf")
        if there.quantity:
            steps.move_stock(self.book, self.act("writer", at, 0), key, there)
        return key

    def _said(self, each: Mapping[str, Any], suppliers: list[int], newer: int | None = None) -> PartSaid:
        return PartSaid(
            number=each["number"],
            name=each["name"],
            designation=each.get("designation", ""),
            unit=each.get("unit", "each"),
            supplier_id=suppliers[each["supplier"]],
            supplier_number=each["their"],
            cost=each["cost"],
            bin=each["bin"],
            reorder_at=_hundredths(each.get("at", 0)),
            reorder_quantity=_hundredths(each.get("quantity", 0)),
            superseded_by_id=newer,
            kit_part=each.get("kit", ""),
        )

    def serve(self) -> None:
        """Some of what work needs is handed out, some put aside, some ordered; one order is part here."""
        at = self.today - timedelta(days=2)
        with reading(self.book) as session:
            waiting = [found for found in needs.all_needs(session) if found.needs]
        for found in waiting[:1]:
            self._served(found, at)
        needs.order_what_is_missing(self.book, self.act("writer", at, 0))
        with reading(self.book) as session:
            bought = orders.order_pages(session)
        self._sent(bought[-1], at)
        self._counted(at)

    def _served(self, found: needs.OrderNeeds, at: datetime) -> None:
        """The first part that it needs is handed out, the last put aside; the rest still lies free."""
        number = int(found.head.order_number.partition("-")[2])
        first, last = found.needs[0], found.needs[-1]
        self._reserved(first, number, at)
        needs.hand_out_parts(self.book, self.act("technician", at, 0), found.head.order_id)
        self._reserved(last, number, at)

    def _reserved(self, need: needs.Need, number: int, at: datetime) -> None:
        said = MoveSaid(MoveKind.RESERVE, need.free, number)
        steps.move_stock(self.book, self.act("technician", at, 0), need.part.id, said)

    def _sent(self, it: OrderPage, at: datetime) -> None:
        """One order goes out by phone; half of each line comes, the rest is said to be a week away."""
        key = it.order.id or 0
        buying.send_order(self.book, self.act("writer", at, it.order.revision), key, "phone")
        week: date = (self.today + timedelta(days=7)).date()
        came = [Came(line.id, line.quantity // 200 * 100, week) for line in it.lines]
        act = self.act("writer", self.today - timedelta(hours=5), it.order.revision + 1)
        buying.take_in_delivery(self.book, act, key, came)

    def _counted(self, at: datetime) -> None:
        with reading(self.book) as session:
            shelf = facts.on_shelf(session, "H")
        counts = [Counted(it.id, it.standing.on_hand, it.standing.on_hand) for it in shelf]
        lost = next(each for each in reversed(counts) if each.counted >= 100)
        counts[counts.index(lost)] = replace(lost, counted=lost.counted - 100)
        steps.keep_counts(self.book, self.act("technician", at, 0), counts)


def _hundredths(pieces: float) -> int:
    return round(pieces * 100)
