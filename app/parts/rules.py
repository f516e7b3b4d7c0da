"""What may stand in the catalogue, in a movement and on a purchase order: read from forms, decided purely."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from app.trade.days import day
from app.trade.money import Money
from app.trade.stock import MoveKind
from app.trade.typed import Reader, Typed

MOST_COST = 5_000_000
NUMBER = re.compile(r"^[A-Z0-9][A-Z0-9./-]{0,23}$")
NUMBER_ACCEPTS = "up to 24 letters, digits and . / -, such as BRG-L44649"
ORDER = re.compile(r"^(?:WO-?)?0*(\d{1,9})$", re.IGNORECASE)
HOWS = ("phone", "e-mail", "web page", "paper", "in person")
UNITS = ("each", "pair", "set", "ft", "yd", "m", "lb", "kg", "qt", "L")


@dataclass(frozen=True)
class SupplierSaid:
    """A supplier as a form or the demo describes it."""

    name: str
    phone: str = ""
    email: str = ""
    address: str = ""
    account: str = ""
    lead_days: int | None = None
    note: str = ""
    active: bool = True


def read_supplier(typed: Typed) -> SupplierSaid:
    """The supplier that stands in a form; raises Refused with every problem."""
    read = Reader(typed)
    said = SupplierSaid(
        name=read.text("name", required="The supplier's name is missing", most=80),
        phone=read.text("phone", most=40),
        email=_email(read),
        address=read.text("address", most=300, lines=True),
        account=read.text("account", most=40),
        lead_days=read.whole("lead_days", most=365, what="whole days", such_as="14"),
        note=read.text("note", most=1000, lines=True),
        active=not read.yes("retired"),
    )
    read.done()
    return said


def _email(read: Reader) -> str:
    found = read.text("email", most=120)
    if found and not re.fullmatch(r"[^@\s]+@[^@\s]+\.[^@\s]+", found):
        read.wrong("email", f"{found[:40]} is no e-mail address", "such as desk@supplier.example")
    return found


@dataclass(frozen=True)
class PartSaid:
    """A part as a form, a list or the demo describes it. Money in minor units, quantities in hundredths."""

    number: str
    name: str
    designation: str = ""
    unit: str = "each"
    supplier_id: int | None = None
    supplier_number: str = ""
    cost: int = 0
    price: int | None = None
    bin: str = ""
    reorder_at: int = 0
    reorder_quantity: int = 0
    superseded_by_id: int | None = None
    kit_part: str = ""
    active: bool = True


@dataclass(frozen=True)
class Shelves:
    """What a part may name: suppliers by key, parts by number, the names that kits use."""

    suppliers: Mapping[int, str]
    numbers: Mapping[str, int]
    kit_parts: frozenset[str] = frozenset()


def read_part(typed: Typed, shelves: Shelves, own: str = "") -> PartSaid:
    """The part that stands in a form; raises Refused. `own`: its number in the book, empty for a new one."""
    read = Reader(typed)
    cost = read.money("cost", most=MOST_COST, required="The cost is missing")
    price = read.money("price", most=2 * MOST_COST)
    if price is not None and cost is not None and price < cost:
        read.ask("price", "This is sold for less than it costs", "the cost or more, or empty: by mark-up")
    said = PartSaid(
        number=read_own_number(read),
        name=read.text("name", required="What it is, is missing", most=120),
        designation=read.text("designation", most=60).upper(),
        unit=_one_of(read, "unit", UNITS),
        supplier_id=_supplier(read, shelves.suppliers),
        supplier_number=read.text("supplier_number", most=60),
        cost=cost or 0,
        price=price,
        bin=read_bin(read),
        reorder_at=read_pieces(read, "reorder_at") or 0,
        reorder_quantity=read_pieces(read, "reorder_quantity") or 0,
        superseded_by_id=_superseded(read, shelves.numbers, own),
        kit_part=_kit_part(read, shelves.kit_parts),
        active=not read.yes("retired"),
    )
    unread = {it.field for it in read.problems} & {"reorder_at", "reorder_quantity"}
    if said.reorder_at and not said.reorder_quantity and not unread:
        read.wrong("reorder_quantity", "A reorder point needs a quantity to order", "a number such as 4")
    read.done()
    return said


def read_own_number(read: Reader) -> str:
    """A part number of our own: in capitals, of signs that a bar code holds."""
    found = read.text("number", required="The part number is missing", most=40).upper()
    if found and not NUMBER.match(found):
        read.wrong("number", f"{found[:30]} is no part number", NUMBER_ACCEPTS)
    return found


def read_bin(read: Reader) -> str:
    """A bin in capitals, such as A-03-2; empty where the part has none."""
    found = read.text("bin", most=24).upper()
    if found and not NUMBER.match(found):
        read.wrong("bin", f"{found} is no bin", "up to 24 letters, digits and . / -, such as A-03-2")
    return found


def read_pieces(read: Reader, field: str, *, required: str = "", least: str = "0") -> int | None:
    """A quantity in hundredths of the part's unit, `least` to 100,000; None where empty or wrong."""
    found = read.number(field, least=least, most="100000", required=required)
    if found is None:
        return None
    if found * 100 % 1:
        read.wrong(field, f"{read.raw(field)} is finer than hundredths", "a number such as 4 or 2.5")
        return None
    return int(found * 100)


def _one_of(read: Reader, field: str, known: tuple[str, ...]) -> str:
    found = read.raw(field) or known[0]
    if found not in known:
        read.wrong(field, f"{found[:20]} is not one of the choices", f"one of: {', '.join(known)}")
    return found


def _supplier(read: Reader, known: Mapping[int, str]) -> int | None:
    found, keys = read.raw("supplier"), {str(key): key for key in known}
    if found and found not in keys:
        read.wrong("supplier", "This is no supplier of the shop", "one of the list, or none")
    return keys.get(found)


def _superseded(read: Reader, numbers: Mapping[str, int], own: str) -> int | None:
    found = read.raw("superseded_by").upper()
    if not found:
        return None
    if found == own or found not in numbers:
        says = "A part does not supersede itself" if found == own else f"{found[:30]} is no part of the shop"
        read.wrong("superseded_by", says, "the number of the newer part, such as BRG-L44649")
        return None
    return numbers[found]


def _kit_part(read: Reader, known: frozenset[str]) -> str:
    found = read.raw("kit_part")
    if found and found not in known:
        read.wrong("kit_part", "No kit calls a part so", "one of the list, or none")
    return found


# --- movements ---------------------------------------------------------------------------------


@dataclass(frozen=True)
class MoveSaid:
    """A movement as a form asks for it. `order`: a work order's number; `cost`: for one, of what comes in."""

    kind: MoveKind
    quantity: int
    order: int | None = None
    cost: int | None = None
    note: str = ""


SERVES = (MoveKind.RESERVE, MoveKind.RELEASE, MoveKind.ISSUE, MoveKind.RETURN)


def read_move(typed: Typed) -> MoveSaid:
    """The movement that stands in a form; raises Refused with every problem."""
    read = Reader(typed)
    kind = read.choice("kind", MoveKind, required="What is done is missing")
    least = "0" if kind is MoveKind.COUNT else "0.01"
    quantity = read_pieces(read, "quantity", required="The quantity is missing", least=least)
    order = read_order(read, "order")
    if kind in SERVES and order is None and not read.raw("order"):
        read.wrong("order", "The work order is missing", "a number such as WO-000124, or 124")
    cost = read.money("cost", most=MOST_COST) if kind is MoveKind.RECEIVE else None
    note = read.text("note", most=200)
    read.done()
    assert kind
    assert quantity is not None
    return MoveSaid(kind, quantity, order if kind in SERVES else None, cost, note)


def read_order(read: Reader, field: str) -> int | None:
    """A work order's number: WO-000124, 124; None where empty or wrong."""
    found = read.raw(field)
    if not found:
        return None
    if match := ORDER.match(found):
        return int(match[1])
    read.wrong(field, f"{found[:20]} is no work order", "a number such as WO-000124, or 124")
    return None


# --- counting ----------------------------------------------------------------------------------


@dataclass(frozen=True)
class Counted:
    """What was counted of one part, and what the book said when the form was shown; in hundredths."""

    part_id: int
    counted: int
    stood: int


def read_counts(typed: Typed, stood: Mapping[int, int]) -> tuple[Counted, ...]:
    """The counts that stand in a form, field `counted-<part>`; an empty field was not counted.

    `stood`: on hand by part as the book has it. A count far off is asked once. Raises Refused.
    """
    read = Reader(typed)
    found = [each for key, now in stood.items() if (each := _counted(read, key, now))]
    if not found and not read.problems:
        read.wrong("", "Nothing was counted", "a number in at least one field")
    read.done()
    return tuple(found)


def _counted(read: Reader, part_id: int, now: int) -> Counted | None:
    field = f"counted-{part_id}"
    counted = read_pieces(read, field)
    if counted is None:
        return None
    shown = read.raw(f"stood-{part_id}")
    before = int(shown) if re.fullmatch(r"\d{1,12}", shown, re.ASCII) else now
    if abs(counted - now) > max(200, now // 2):
        read.ask(field, "This is far from what the book has", "the same number once more, once counted again")
    return Counted(part_id, counted, before)


# --- purchase orders ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Bought:
    """One part to be bought: how much, at what cost for one, for which work where it is for one alone."""

    part_id: int
    quantity: int
    cost: int | None = None
    work_order_id: int | None = None
    work_id: int | None = None


@dataclass(frozen=True)
class BoughtSaid:
    """A line as the form of a purchase order has it: part number, quantity, cost, work order's number."""

    number: str
    quantity: int
    cost: int | None
    order: int | None


@dataclass(frozen=True)
class Superseded:
    """The parts that others have taken the place of: what takes it, in words, by number and by name.

    Numbers and names are in capitals. A name stands here only where no part in use is called so.
    """

    by_number: Mapping[str, str] = field(default_factory=dict)
    by_name: Mapping[str, str] = field(default_factory=dict)

    def named_in(self, text: str) -> tuple[str, str] | None:
        """The superseded part that a text names, and what takes its place; None where it names none.

        A number counts as a word of the text, a name as the whole text.
        """
        found = [word for word in _WORDS.split(text.upper()) if word in self.by_number]
        if found:
            return found[0], self.by_number[found[0]]
        newer = self.by_name.get(text.upper())
        return (text, newer) if newer else None


NONE_SUPERSEDED = Superseded()
_WORDS = re.compile(r"[\s,;:()]+")


def ask_superseded(read: Reader, name: str, superseded: Superseded) -> None:
    """Question a part once that another one has taken the place of; it is kept where that is said."""
    if found := superseded.named_in(read.raw(name)):
        read.ask(name, f"{found[0]} is superseded", f"{found[1]} takes its place")


def read_bought(typed: Typed, superseded: Superseded = NONE_SUPERSEDED) -> BoughtSaid:
    """The line to be added that stands in a form; raises Refused. A superseded part is asked about once."""
    read = Reader(typed)
    number = read.text("part", required="The part number is missing", most=40).upper()
    ask_superseded(read, "part", superseded)
    quantity = read_pieces(read, "quantity", required="The quantity is missing", least="0.01")
    cost, order = read.money("cost", most=MOST_COST), read_order(read, "order")
    read.done()
    assert quantity is not None
    return BoughtSaid(number, quantity, cost, order)


@dataclass(frozen=True)
class Awaited:
    """A line that has not come whole, as the form of a delivery needs it.

    `outstanding` in hundredths; `promised`: the day for which its work order is promised; `cost`: for one, as
    ordered, in minor units.
    """

    line_id: int
    outstanding: int
    unit_number: int | None = None
    promised: date | None = None
    expected_on: date | None = None
    cost: int = 0


@dataclass(frozen=True)
class Came:
    """What came of a line, and when the rest is expected. `moves_promise`: a promised date gives way.

    `cost`: minor units for one, where it came at another than was ordered; `ends`: the rest is not coming.
    """

    line_id: int
    quantity: int
    expected_on: date | None
    moves_promise: bool = False
    cost: int | None = None
    ends: bool = False


def read_delivery(typed: Typed, awaited: tuple[Awaited, ...], today: date) -> tuple[Came, ...]:
    """What a delivery brought, and the day of what is still to come; lines left alone are left out.

    More than was ordered is refused, and so is a day of what is not coming. A cost far from the one ordered
    is asked once, and so is a day after the promised date of the unit it is for, which then moves that date.
    Raises Refused.
    """
    read = Reader(typed)
    found = [each for line in awaited if (each := _came(read, line, today))]
    if not found and not read.problems:
        says = "Nothing came, and nothing was said of the rest"
        read.wrong("", says, "in at least one row a quantity, a day, or that the rest is not coming")
    read.done()
    return tuple(found)


def _came(read: Reader, line: Awaited, today: date) -> Came | None:
    field, day_field = f"came-{line.line_id}", f"expected-{line.line_id}"
    came, expected = read_pieces(read, field) or 0, read.day(day_field)
    cost, ends = _came_at(read, line, came), read.yes(f"ends-{line.line_id}")
    expected = None if ends and expected == line.expected_on else expected
    if came > line.outstanding:
        read.wrong(field, "This is more than is still to come", "what was ordered; more is received by hand")
    told_anew = expected != line.expected_on
    if told_anew and expected is not None and expected < today:
        read.wrong(day_field, "This day is past", f"today or later, such as {today}")
    if ends and expected is not None:
        read.wrong(day_field, "The rest has a day, and is not coming", "one of the two")
    if not came and not told_anew and not ends:
        return None
    late = expected is not None and line.promised is not None and expected > line.promised
    moves = late and told_anew and came < line.outstanding
    if moves:
        says = f"Unit {line.unit_number} is promised for {day(line.promised)}"
        read.ask(day_field, says, "kept, this moves that day")
    return Came(line.line_id, came, expected, moves_promise=moves, cost=cost, ends=ends)


def _came_at(read: Reader, line: Awaited, came: int) -> int | None:
    """The cost for one at which a line came, where it was typed; half or twice the one ordered is asked."""
    field = f"cost-{line.line_id}"
    cost = read.money(field, most=MOST_COST)
    if cost is None:
        return None
    if not came:
        read.wrong(field, "A cost without anything that came", "how many came as well, or no cost")
    elif line.cost and not line.cost < 2 * cost < 4 * line.cost:
        read.ask(field, f"It was ordered at {Money(line.cost)}", "usually near that, for one")
    return cost


def read_sent_how(typed: Typed) -> str:
    """How a purchase order was sent; raises Refused where it was not said."""
    read = Reader(typed)
    found = read.raw("how")
    if found not in HOWS:
        read.wrong("how", "How it was sent is missing", f"one of: {', '.join(HOWS)}")
    read.done()
    return found
