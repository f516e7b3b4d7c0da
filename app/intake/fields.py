"""What the book holds, as texts by form field: the way back from rows to a form."""

from zoneinfo import ZoneInfo

from app.intake.rules import digits
from app.intake.tables import Owner, TowVehicle, Unit, WorkOrder
from app.trade.typed import Typed

BLANK = {
    "preferred": "phone",
    "vin_kind": "standard",
    "axles": "1",
    "wheels_per_end": "1",
    "spare": "yes",
    "brakes": "unknown",
    "depth": "full",
    "gvwr-unit": "lb",
    "tire_pressure-unit": "psi",
    "torque-unit": "lbf_ft",
    "tow_rating-unit": "lb",
    "promised_hour": "16:00",
}


def owner_texts(owner: Owner) -> dict[str, str]:
    """An owner as the owner's fields hold it."""
    return {name: getattr(owner, name) for name in _OWNER}


def of_owner(typed: Typed, owner: Owner) -> tuple[dict[str, str], dict[str, str]]:
    """What a known owner puts into the owner's fields of a form, and what stands in the book beside it.

    The book's text goes where nothing was typed, or the same with other blanks; where something else was
    typed that stays, and the book's is offered beside it.
    """
    book = owner_texts(owner)
    put = {name: text for name, text in book.items() if _says(name, typed) in ("", _same(name, text))}
    return put, {name: text for name, text in book.items() if text and name not in put}


def _says(name: str, typed: Typed) -> str:
    """What was typed or chosen in a field, made comparable; empty where it stands as a blank form has it."""
    said = typed.get(name).strip()
    return "" if said == BLANK.get(name) else _same(name, said)


def _same(name: str, text: str) -> str:
    return digits(text) if name.startswith("phone") else " ".join(text.split())


def unit_texts(unit: Unit) -> dict[str, str]:
    """A unit as the unit's fields hold it."""
    return {
        **{name: _text(getattr(unit, name)) for name in _UNIT},
        "vin_kind": unit.vin_kind or "standard",
        "spare": _tick(unit.spare),
        "brakes_required": {True: "yes", False: "no", None: ""}[unit.brakes_required],
        **{f"gawr-{axle}": rating for axle, rating in enumerate(unit.gawr, 1)},
        "gvwr-unit": unit.gvwr_unit,
        "tire_pressure-unit": unit.tire_pressure_unit,
        "torque-unit": unit.torque_unit,
    }


def tow_texts(tow: TowVehicle | None) -> dict[str, str]:
    """A tow vehicle as its fields hold it; none for none."""
    if tow is None:
        return {}
    return {
        "tow_what": tow.what,
        "tow_plate": tow.plate,
        "tow_rating": tow.rating,
        "tow_rating-unit": tow.rating_unit,
        "tow_ball": tow.ball_size,
    }


def stay_texts(order: WorkOrder, zone: str) -> dict[str, str]:
    """A stay as its fields hold it; concerns are added, so that field is empty. `zone`: the shop's."""
    promised = order.promised_at.astimezone(ZoneInfo(zone)) if order.promised_at else None
    return {
        **{name: _text(getattr(order, name)) for name in _STAY},
        "came_with_spare": _tick(order.came_with_spare),
        "promised_day": promised.date().isoformat() if promised else "",
        "promised_hour": f"{promised:%H:%M}" if promised else "16:00",
    }


_OWNER = ("name", "phone", "phone_2", "email", "address", "preferred")
_STAY = ("keys", "came_with_cylinders", "came_with", "condition", "stands", "depth")
_UNIT = (
    "kind",
    "vin",
    "plate",
    "maker",
    "model",
    "year",
    "length_ft",
    "width_in",
    "axles",
    "wheels_per_end",
    "gvwr",
    "tire_size",
    "tire_pressure",
    "stud_thread",
    "stud_count",
    "torque_low",
    "torque_high",
    "torque_source",
    "brakes",
    "ball_size",
    "cylinders",
    "battery",
)


def _text(value: object) -> str:
    """A value as a field holds it; a count of nothing is left empty."""
    return "" if value is None or value == 0 else str(value)


def _tick(value: bool) -> str:  # noqa: FBT001 - a column's own value
    return "yes" if value else ""
