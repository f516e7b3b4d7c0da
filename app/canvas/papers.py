"""Papers of a canvas order: the order with its sketches to be agreed, cut list, labels, packing slip."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from sqlmodel import Session

from app.canvas import shown
from app.canvas.facts import OrderRead
from app.canvas.inspected import LOOKED, drawn_of, inspections_of
from app.canvas.labels import labels_of
from app.canvas.plans import PlanRead, plans_of
from app.canvas.promised import place_of
from app.canvas.tables import CanvasPart
from app.ground.papers import Paper
from app.inspection.facts import newest_catalogue
from app.trade.canvas import sketch
from app.trade.canvas.readiness import Kind
from app.trade.problems import Problem, Refused

KNIVES, RAISED_ROOF = "c15", "c16"  # cautions of the catalogue
GOES = {"owner": "Sent to the owner", "shop": "Sent to the shop", "installed": "Fitted here"}
ON_PAPER = sketch.Paper(174, 76)  # mm


class Printed(StrEnum):
    """Which paper."""

    ORDER = "order"
    CUT_LIST = "cut-list"
    LABELS = "labels"
    INSPECTION = "inspection"
    PACKING = "packing"

    @property
    def named(self) -> str:
        """Its title, which is its kind too."""
        return {
            "order": "Canvas order",
            "cut-list": "Cut list",
            "labels": "Piece labels",
            "inspection": "Inspection record",
            "packing": "Packing slip",
        }[self]

    @property
    def word(self) -> str:
        """What it is for."""
        return {
            "order": "the order with its sketches, to be agreed",
            "cut-list": "the cut list for the table",
            "labels": "one for each copy of each piece, 70 by 38 mm",
            "inspection": "what was read of the sewn order, or a sheet to fill in",
            "packing": "the packing slip with how to fit it",
        }[self]


@dataclass(frozen=True)
class ClothPlan:
    """A cloth with the plan that it is cut by. `edges`: of each piece its mark, its name and its edges."""

    cloth: CanvasPart
    row: shown.PartRow
    plan: PlanRead
    edges: tuple[tuple[str, str, str], ...]


def paper_of(session: Session, order: OrderRead, printed: Printed, today: date, address: str = "") -> Paper:
    """A paper of an order; Refused, saying why, where there is not enough known to print it.

    `today`: in the shop's zone, from which its day is reckoned. `address`: of the shop's pages, for codes
    that open the order.
    """
    return Paper(
        template=f"canvas_{printed.name.lower()}",
        kind=printed.named.lower(),
        number=order.number,
        title=printed.named,
        work_order_id=order.row.work_order_id,
        facts={"it": order, "tag": order.head, **_facts(session, order, printed, today, address)},
    )


def _facts(
    session: Session, order: OrderRead, printed: Printed, today: date, address: str
) -> Mapping[str, object]:
    if printed is Printed.ORDER:
        return _agreed(session, order, today)
    if printed is not Printed.LABELS:
        return _FACTS[printed](session, order)
    _refuse_unreleased(order)
    return {"labels": labels_of(order, address)}


def _agreed(session: Session, order: OrderRead, today: date) -> Mapping[str, object]:
    if not order.pieces:
        raise Refused([Problem("paper", "There is no piece on this order yet", "at least one piece")])
    place = place_of(session, order.key, today)
    return {
        "rows": shown.part_rows(order),
        "cards": [shown.piece_card(piece, ON_PAPER) for piece in order.pieces],
        "seams": [shown.seam_row(seam) for seam in order.seams],
        "told": place.queued.last_told,
        "unsure": place.to_tell,
    }


def _cut_list(session: Session, order: OrderRead) -> Mapping[str, object]:
    _refuse_unreleased(order)
    found = [(cloth, plans_of(session, order, cloth.key).best) for cloth in order.of_kind(Kind.CLOTH)]
    cloths = [_cloth(order, cloth, plan) for cloth, plan in found if plan]
    missing = [cloth.place for cloth, plan in found if plan is None and order.of_cloth(cloth.key)]
    if missing or not cloths:
        says = f"There is no cut plan of {missing[0] if missing else 'any cloth'} as the order stands"
        raise Refused([Problem("paper", says, "the plan laid first")])
    zippers = [row for part in order.of_kind(Kind.ZIPPER) if (row := shown.part_row(part)).stays]
    return {"cloths": cloths, "zippers": zippers, "danger": newest_catalogue(session).caution(KNIVES)}


def _cloth(order: OrderRead, cloth: CanvasPart, plan: PlanRead) -> ClothPlan:
    edges = tuple((it.mark, it.name, shown.edges_said(it)) for it in order.of_cloth(cloth.key))
    return ClothPlan(cloth, shown.part_row(cloth), plan, edges)


def _inspection(session: Session, order: OrderRead) -> Mapping[str, object]:
    _refuse_unreleased(order)
    newest = inspections_of(session, order).newest
    found = newest if newest and newest.stands else None
    return {
        "found": found,
        "drawn": found.drawn if found else drawn_of(order),
        "looked": [good for good, _ in LOOKED.values()],
        "danger": newest_catalogue(session).caution(RAISED_ROOF),
    }


def _packing(session: Session, order: OrderRead) -> Mapping[str, object]:
    _refuse_unreleased(order)
    return {
        "goes": GOES.get(_ship(order), "Where it goes is not said"),
        "rows": [_packed(part) for part in order.parts],
        "cards": [shown.piece_card(piece) for piece in order.pieces],
        "inspections": inspections_of(session, order),
        "danger": newest_catalogue(session).caution(RAISED_ROOF),
    }


def _ship(order: OrderRead) -> str:
    return next((part.known.get("ship", "") for part in order.of_kind(Kind.ORDER)), "")


def _packed(part: CanvasPart) -> shown.PartRow:
    """A part as who packs looks for it: of an option what it is, not what it costs."""
    row = shown.part_row(part)
    return replace(row, said=part.known.get("what", "")) if part.kind == Kind.OPTION else row


def _refuse_unreleased(order: OrderRead) -> None:
    if not order.released:
        raise Refused([Problem("paper", "This order is not released as it stands now", "its release first")])


_FACTS = {
    Printed.CUT_LIST: _cut_list,
    Printed.INSPECTION: _inspection,
    Printed.PACKING: _packing,
}
