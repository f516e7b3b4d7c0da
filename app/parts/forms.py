"""Rows of the parts room as the texts of their forms."""

from sqlmodel import Session

from app.parts.tables import Part, Supplier
from app.trade.money import Money
from app.trade.stock import pieces


def part_texts(session: Session, part: Part) -> dict[str, str]:
    """A part as its form shows it."""
    newer = session.get(Part, part.superseded_by_id) if part.superseded_by_id else None
    return {
        "number": part.number,
        "name": part.name,
        "designation": part.designation,
        "unit": part.unit,
        "supplier": str(part.supplier_id or ""),
        "supplier_number": part.supplier_number,
        "cost": amount(part.cost),
        "price": "" if part.price is None else amount(part.price),
        "bin": part.bin,
        "reorder_at": plainly(part.reorder_at),
        "reorder_quantity": plainly(part.reorder_quantity),
        "superseded_by": newer.number if newer else "",
        "kit_part": part.kit_part,
        "retired": "" if part.active else "yes",
    }


def supplier_texts(row: Supplier) -> dict[str, str]:
    """A supplier as its form shows it."""
    return {
        "name": row.name,
        "phone": row.phone,
        "email": row.email,
        "address": row.address,
        "account": row.account,
        "lead_days": "" if row.lead_days is None else str(row.lead_days),
        "note": row.note,
        "retired": "" if row.active else "yes",
    }


def amount(minor: int) -> str:
    """Minor units as a field shows them: 1305.39."""
    return f"{Money(minor).amount}"


def plainly(hundredths: int) -> str:
    """A quantity as a field shows it; empty where it is nothing."""
    return pieces(hundredths).replace(",", "") if hundredths else ""
