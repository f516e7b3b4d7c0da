"""The forms of a kit: its texts, and what stands in them read into changes. Pure but for what was sent."""

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import get_args

from app.inspection.catalogue import Catalogue, Fee, Kit, Part, RecordWord
from app.inspection.shop_changes import OWN_KIT, KitAdded, KitEdited, KitsSet
from app.trade.money import Money
from app.trade.problems import Refused
from app.trade.typed import Reader, Typed

MORE = 2  # empty rows for parts and for fees that the shop adds
FIRST = 4  # the same in a kit that has none yet
RECORDS: tuple[RecordWord, ...] = get_args(RecordWord)
PER = {
    "unit": "The whole unit",
    "axle": "Each axle",
    "side": "Each side",
    "wheel": "Each wheel",
    "hub": "Each hub",
    "tire": "Each tire",
    "each": "Each thing found",
}
MOST_PRICE = 10_000_000  # minor units
TENTH = Decimal("0.1")
PART_OF = {"parts": "A part", "outside": "Work done outside"}
FEE_OF = {
    "supplies": "Shop supplies",
    "disposal": "Disposal",
    "core": "Core deposit",
    "outside": "Outside work",
}


def texts_of(kit: Kit) -> dict[str, str]:
    """What the form of a kit shows, by field."""
    texts = {"hours": f"{kit.hours:f}", "steps": "\n".join(kit.steps)}
    for n, part in enumerate(kit.parts, 1):
        texts |= {
            f"part-quantity-{n}": f"{part.quantity:f}",
            f"part-price-{n}": f"{Money(part.price).amount}",
        }
    return texts | {f"fee-price-{n}": f"{Money(fee.price).amount}" for n, fee in enumerate(kit.fees, 1)}


def read_kit(typed: Typed, kit: Kit) -> KitEdited:
    """A kit with the hours, parts, fees and steps of a form; raises Refused with every problem.

    A row whose price or quantity is emptied is left out. `kit`: as it stands here.
    """
    read = Reader(typed)
    hours = read.number("hours", least="0", most="100", required="The hours are missing")
    if hours is not None and hours % TENTH:
        read.wrong("hours", f"{read.raw('hours')} h is finer than tenths", "tenths, such as 1.4")
    lines = read.text("steps", required="A kit has at least one step", most=8000, lines=True).split("\n")
    change = KitEdited(
        kit=kit.key,
        hours=hours or Decimal(0),
        steps=tuple(step.strip() for step in lines if step.strip()),
        parts=(*_parts_kept(read, kit), *_parts_added(read, kit)),
        fees=(*_fees_kept(read, kit), *_fees_added(read, kit)),
    )
    _once(read, kit, change)
    read.done()
    return change


def read_new_kit(typed: Typed, catalogue: Catalogue) -> KitAdded:
    """A kit of the shop's own as a form describes it; raises Refused with every problem."""
    read = Reader(typed)
    name, per = _named(read, "name", "such as: Grease both hubs of an axle"), _of(read, "per", PER)
    if not name:
        read.wrong("name", "Name the kit", "what is done, such as: Grease both hubs of an axle")
    key = _own_key(name, catalogue)
    if name and any(name == kit.name or key == kit.key for kit in catalogue.kits):
        read.wrong("name", "There is such a kit already", "another name")
    records = _some_of(read, "records", RECORDS)
    cautions = _some_of(read, "cautions", [each.key for each in catalogue.cautions])
    empty = Kit.model_validate(
        {
            "key": key,
            "name": "kit",
            "per": per,
            "hours": 0,
            "outside": read.yes("outside"),
        }
        | {"records": records, "cautions": cautions}
    )
    done = _filled(read, empty)
    read.done()
    return KitAdded(kit=done.model_copy(update={"name": name}))  # sound, for nothing was refused


def _own_key(name: str, catalogue: Catalogue) -> str:
    """A key of the shop's own from the name; by number where the name has no letter that a key takes."""
    words = re.sub(r"[^a-z0-9]+", "_", name.lower()).strip("_")[:36]
    return f"{OWN_KIT}{words or len(catalogue.kits)}"


def _some_of(read: Reader, field: str, known: tuple[str, ...] | list[str]) -> list[str]:
    """What was chosen of a list, or nothing."""
    found = list(dict.fromkeys(read.typed.all(field)))
    if not set(found) <= set(known):
        read.wrong(field, "One of these is not in the list", "choices of the list, or none")
        return []
    return found


def _filled(read: Reader, kit: Kit) -> Kit:
    try:
        said = read_kit(read.typed, kit)
    except Refused as refused:
        read.problems += refused.problems
        return kit
    filled = {"hours": said.hours, "steps": said.steps, "parts": said.parts, "fees": said.fees}
    return kit.model_copy(update=filled)


def read_answers(typed: Typed, catalogue: Catalogue, kit: Kit) -> list[KitsSet]:
    """The checks that a kit answers from now on, where that differs.

    A check that is added has the kit before its others, since the first is the one that is priced. Raises
    Refused for a check that is not there, and for a kit that is put aside.
    """
    read, key = Reader(typed), kit.key
    chosen = _some_of(read, "check", [check.key for check in catalogue.checks])
    if kit.aside:
        read.wrong("check", "This kit is put aside", "a kit in use")
    read.done()
    return [
        KitsSet(check=check.key, kits=(*((key,) if check.key in chosen else ()), *_others(check.kits, key)))
        for check in catalogue.checks
        if (check.key in chosen) != (key in check.kits)
    ]


def _others(kits: tuple[str, ...], key: str) -> tuple[str, ...]:
    return tuple(kit for kit in kits if kit != key)


def answered_by(catalogue: Catalogue, key: str) -> str:
    """The checks that a kit answers, as its form shows them."""
    return "\n".join(check.key for check in catalogue.checks if key in check.kits)


def _parts_kept(read: Reader, kit: Kit) -> Iterator[Part]:
    for n, part in enumerate(kit.parts, 1):
        quantity, price = _quantity(read, n), _price(read, f"part-price-{n}")
        if quantity and price is not None:
            yield part.model_copy(update={"quantity": quantity, "price": price})


def _parts_added(read: Reader, kit: Kit) -> Iterator[Part]:
    for n in added(kit.parts):
        name, category = _named(read, f"part-name-{n}"), _of(read, f"part-of-{n}", PART_OF)
        quantity, price = _quantity(read, n), _price(read, f"part-price-{n}", needed=bool(name))
        if name and price is not None and len(name) > 1:
            yield Part(
                name=name, price=price, quantity=quantity or Decimal(1), per=kit.per, category=category
            )


def _fees_kept(read: Reader, kit: Kit) -> Iterator[Fee]:
    for n, fee in enumerate(kit.fees, 1):
        price = _price(read, f"fee-price-{n}")
        if price is not None:
            yield fee.model_copy(update={"price": price})


def _fees_added(read: Reader, kit: Kit) -> Iterator[Fee]:
    for n in added(kit.fees):
        name, category = _named(read, f"fee-name-{n}"), _of(read, f"fee-of-{n}", FEE_OF)
        price = _price(read, f"fee-price-{n}", needed=bool(name))
        if name and price is not None and len(name) > 1:
            yield Fee(name=name, price=price, category=category)


def added(rows: tuple[Part, ...] | tuple[Fee, ...]) -> range:
    """The numbers of the empty rows behind those that a kit has."""
    return range(len(rows) + 1, len(rows) + 1 + (MORE if rows else FIRST))


def _named(read: Reader, field: str, example: str = "a name such as: Grease seal") -> str:
    name = read.text(field, most=120)
    if len(name) == 1:
        read.wrong(field, "This is too short", example)
    return name


def _of(read: Reader, field: str, known: dict[str, str]) -> str:
    found = read.raw(field) or next(iter(known))
    if found not in known:
        read.wrong(field, f"{found[:20]} is not one of the choices", f"one of: {', '.join(known.values())}")
    return found


def _quantity(read: Reader, n: int) -> Decimal | None:
    """How many for one time that the kit is done; None where the row is left out."""
    found = read.number(f"part-quantity-{n}", least="0", most="1000", usual=("0", "100"))
    return found or None


def _price(read: Reader, field: str, *, needed: bool = False) -> int | None:
    return read.money(field, most=MOST_PRICE, required="The price is missing" if needed else "")


def _once(read: Reader, kit: Kit, change: KitEdited) -> None:
    """A name stands in a kit once: the stock and the bench find parts by it."""
    for field, rows in (("part-name", change.parts), ("fee-name", change.fees)):
        names = [row.name for row in rows]
        for n in added(kit.parts if field == "part-name" else kit.fees):
            if names.count(name := read.raw(f"{field}-{n}")) > 1:
                read.wrong(f"{field}-{n}", f"{name} stands twice in this kit", "another name")
