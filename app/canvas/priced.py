"""What a canvas order costs: its work on the unit's estimate, and whether the owner's yes covers it."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import timedelta
from decimal import ROUND_CEILING, Decimal
from types import MappingProxyType

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.canvas.bought import changed_since, told
from app.canvas.facts import OrderRead, canvas_order
from app.canvas.plans import plans_of
from app.canvas.roll import USUAL_ROLL, read_roll
from app.canvas.roll_ends import BY_LENGTH
from app.canvas.said import Maker
from app.canvas.tables import CanvasOrder, CanvasPart
from app.estimate.agreed import OwnersWord, owners_words
from app.estimate.facts import guard
from app.estimate.prices import PRICES
from app.estimate.prices import Priced as Behind
from app.estimate.rows import findings_by_work, lines_of, newest_revision, works_of
from app.estimate.rules import Group, NewLine, NewWork, Tax, group_of, labour_line, read_price
from app.estimate.saying import How
from app.estimate.steps import put_work
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.shop import settings_of
from app.inspection import catalogue
from app.inspection.facts import CANVAS_KIT, finding_line, newest_catalogue
from app.inspection.tables import Finding
from app.parts.facts import price_of
from app.parts.tables import Part
from app.trade.canvas.laying import ToCut
from app.trade.canvas.options import EXTRA
from app.trade.canvas.outline import INCH
from app.trade.canvas.readiness import NONE, Kind
from app.trade.canvas.written import mm_written
from app.trade.canvas.yardage import cloth_to_take, guessed_length
from app.trade.letters import apart
from app.trade.problems import Impossible, Problem, Refused
from app.trade.quantity import read_number
from app.trade.totals import LineKind
from app.trade.typed import Reader, Texts, Typed

TENTH = Decimal("0.1")
LONGEST_TITLE = 120
GOES = {"owner": "sent to the owner", "shop": "sent to the shop", "installed": "installed here"}
MADE_OF: Mapping[str, tuple[str, ...]] = {Kind.FASTENER: ("what",), Kind.WINDOW: ("film", "screen")}
MINUTE = timedelta(minutes=1)  # an answer by phone or on paper is typed to the minute in which it came
BY_COUNT = "each"  # the unit of a stocked part that a row of fasteners is counted by
LONGEST = "500"  # of a cord or channel, in the unit that it is sold by


@dataclass(frozen=True)
class Fastened:
    """The stocked part of fasteners or of a window, by keys, and how much of it in the unit it is sold by."""

    row: int
    part: int
    quantity: Decimal


@dataclass(frozen=True)
class Extra:
    """What an option that costs extra is sold for, in minor units; `row` is its key."""

    row: int
    price: int


@dataclass(frozen=True)
class PriceSaid:
    """What the form says: a work of the estimate that prices the order already, or hours, and a loft's price.

    `hours`: labour of this shop as typed, empty for none. `price`: what the loft's work is sold for, in minor
    units; None where the shop makes it. `fasteners`: how much of which part each row of fasteners takes.
    `extras`: what its options cost.
    """

    work_id: int | None = None
    hours: str = ""
    price: int | None = None
    fasteners: tuple[Fastened, ...] = ()
    extras: tuple[Extra, ...] = ()


def read_priced(
    typed: Typed,
    maker: str,
    works: dict[int, str],
    rows: Sequence[CanvasPart] = (),
    stock: Mapping[str, Part] = MappingProxyType({}),
    options: Sequence[CanvasPart] = (),
) -> PriceSaid:
    """The price that stands in a form; `works`: those that may be chosen. Raises Refused.

    `rows`: windows and rows of fasteners that are to be priced; `stock`: parts by their number, for them.
    `options`: those that cost extra.

    A shop that makes it says hours; one that orders it says what it is sold for, and hours where it fits it.
    """
    read = Reader(typed)
    if chosen := read.raw("work"):
        if not chosen.isdecimal() or int(chosen[:12]) not in works:
            read.wrong("work", "This is no work of the estimate", "one of the list, or a new one")
        read.done()
        return PriceSaid(int(chosen))
    loft = maker == Maker.LOFT
    needed = "" if loft else "Say how many hours it takes"
    hours = read.number("hours", least="0.1", most="200", usual=("0.1", "80"), required=needed)
    price = read_price(read, "price", required="What it is sold for is missing") if loft else None
    named = [it for row in rows if (it := _fastened(read, row, stock))]
    extras = [extra for row in options if (extra := _extra(read, row))]
    read.done()
    hours_said = read.raw("hours") if hours is not None else ""
    return PriceSaid(None, hours_said, price, tuple(named), tuple(extras))


def _extra(read: Reader, row: CanvasPart) -> Extra | None:
    """What an option is sold for; None where that is missing or wrong."""
    price = read_price(
        read, f"option-{row.key}", required=f"The price of the option at {row.place} is missing"
    )
    return Extra(row.key, price) if price is not None else None


def _fastened(read: Reader, row: CanvasPart, stock: Mapping[str, Part]) -> Fastened | None:
    """What a row of fasteners is made of, counted or by length; None without a part, or with a wrong one."""
    field = f"fastener-{row.key}"
    number = read.raw(field).upper()
    if not number:
        return None
    if (part := stock.get(number)) is None:
        read.wrong(field, f"There is no part {number[:24]}", "a number of the parts catalogue, or empty")
        return None
    quantity = _counted(read, row) if part.unit == BY_COUNT else _by_length(read, row, part)
    return Fastened(row.key, part.key, quantity) if quantity is not None else None


def _counted(read: Reader, row: CanvasPart) -> Decimal | None:
    if (count := _count(row)) is None:
        says = f"How many are at {row.place} is not a number yet"
        read.wrong(f"fastener-{row.key}", says, "its count, such as 9")
    return count


def _by_length(read: Reader, row: CanvasPart, part: Part) -> Decimal | None:
    """How much of a cord or channel; refused for a part that is sold by neither count nor length."""
    if part.unit not in BY_LENGTH:
        says = f"{part.number} is sold by the {part.unit}"
        read.wrong(f"fastener-{row.key}", says, "a part sold each or by length, or a line of its own")
        return None
    wanted = f"Say how many {part.unit} of {part.number} it takes"
    return read.number(f"fastener-length-{row.key}", least="0.1", most=LONGEST, required=wanted)


def _count(row: CanvasPart) -> Decimal | None:
    """How many there are of a row of fasteners; a window is one."""
    if row.kind == Kind.WINDOW:
        return Decimal(1)
    try:
        count = read_number(row.known.get("count", ""))
    except Impossible:
        return None
    return count if count > 0 and count == count.to_integral_value() else None


def hours_of(session: Session, order: OrderRead) -> Decimal:
    """Hours to reckon with: those of the kit for every piece cut, in tenths; at least for one."""
    return kit_of(session).hours * pieces_of(order)


def kit_of(session: Session) -> catalogue.Kit:
    """The kit of new canvas."""
    return newest_catalogue(session).kit(CANVAS_KIT)


def pieces_of(order: OrderRead) -> int:
    """How many pieces are cut, copies counted; at least one."""
    return sum(piece.copies for piece in order.pieces) or 1


# The work


def price_order(book: Engine, act: Act, order_id: int, said: PriceSaid) -> int:
    """Put an order on the estimate of its unit's stay, or name the work there that prices it; its key.

    Raises Refused for an order called off or priced already, Stale where the estimate changed since
    `act.seen`, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        order = canvas_order(session, order_id)
        _refuse_priced(session, order)
        if said.work_id is not None:
            _refuse_strange(session, act, order, said.work_id)
        order.row.work_id = said.work_id or _put(session, act, order, said)
        return receipts.sign(session, act, "price canvas order", order.row)


def _refuse_priced(session: Session, order: OrderRead) -> None:
    if order.row.called_off:
        raise Refused([Problem("", "This canvas order was called off", "a new one")])
    if priced_of(session, order).on_estimate:
        raise Refused([Problem("", "It is on the estimate already", "a change there")])


def _refuse_strange(session: Session, act: Act, order: OrderRead, work_id: int) -> None:
    newest = newest_revision(session, order.row.work_order_id)
    receipts.current(newest.revision if newest else 0, act)
    if newest is None or all(line.work_id != work_id for line in lines_of(session, newest.key)):
        raise Refused([Problem("work", "This is no work of the estimate", "one of the list, or a new one")])


def _put(session: Session, act: Act, order: OrderRead, said: PriceSaid) -> int:
    new = NewWork(
        title=title_of(order),
        group=_group(session, order),
        finding_ids=(order.row.finding_id,) if order.row.finding_id else (),
        kit=CANVAS_KIT if hung_here(order) else "",
        lines=tuple(lines_for(session, order, said)),
        outside=order.row.maker == Maker.LOFT,
        own_lines=True,
    )
    return put_work(session, act.part("work"), order.row.work_order_id, new)


def _group(session: Session, order: OrderRead) -> Group:
    if order.row.finding_id is None:
        return Group.SHOULD
    line = finding_line(session, session.get_one(Finding, order.row.finding_id))
    return group_of(line.grade, line.by)


def title_of(order: OrderRead) -> str:
    """What the estimate calls it: the order's number, what is made, and where it goes."""
    (part,) = order.of_kind(Kind.ORDER)
    what = part.known.get("scope", "") or ", ".join(piece.name for piece in order.pieces)
    goes = GOES.get(part.known.get("ship", ""), "")
    ending = f"; {goes}" if goes else ""
    return f"{f'New canvas {order.number}: {what}'[: LONGEST_TITLE - len(ending)].rstrip(' ,:')}{ending}"


def hung_here(order: OrderRead) -> bool:
    """Whether this shop hangs it, and so proves its fit: unless it is sent to somebody."""
    (part,) = order.of_kind(Kind.ORDER)
    return part.known.get("ship", "installed") == "installed"


def lines_for(session: Session, order: OrderRead, said: PriceSaid) -> Iterator[NewLine]:
    """The priced lines of an order: a loft's work as one sum, or the shop's labour and goods; its options."""
    if said.hours:
        yield labour_line(read_number(said.hours), settings_of(session))
    if said.price is not None:
        yield NewLine(LineKind.OUTSIDE, "Cut and sewn by a sewing loft", "1", said.price, Tax.OUTSIDE)
    else:
        yield from _goods(session, order, said)
    rows = {row.key: row for row in order.of_kind(Kind.OPTION)}
    kind, tax = (LineKind.PART, Tax.PARTS) if said.price is None else (LineKind.OUTSIDE, Tax.OUTSIDE)
    for it in said.extras:
        yield NewLine(kind, _at(rows[it.row]), "1", it.price, tax)


def _goods(session: Session, order: OrderRead, said: PriceSaid) -> Iterator[NewLine]:
    """Cloth, zips and the rest of the kit, then windows and fasteners."""
    for part in kit_of(session).parts:
        yield from _material(session, order, part)
    rows = {row.key: row for row in rows_to_price(order)}
    for it in said.fasteners:
        yield _fasteners_line(session, rows[it.row], it)


def _fasteners_line(session: Session, row: CanvasPart, it: Fastened) -> NewLine:
    part = session.get_one(Part, it.part)
    what, price = f"{_at(row)}: {part.name}", price_of(part, settings_of(session))
    if part.unit != BY_COUNT:
        what += f", by the {part.unit}"
    return NewLine(LineKind.PART, what, f"{it.quantity:f}", price, Tax.PARTS)


def _at(row: CanvasPart) -> str:
    """What the line of a row of fasteners begins with, or that of a window or an option."""
    if row.kind == Kind.OPTION:
        return f"Option, {row.place}: {row.known.get('what', '')}"
    return f"{'Window' if row.kind == Kind.WINDOW else 'Fasteners'}, {row.place}"


def rows_to_price(order: OrderRead) -> tuple[CanvasPart, ...]:
    """The windows and rows of fasteners of an order made here, which no kit has; a loft's sum has them in it.

    Left out is what was said to have none: a window of neither film nor screen, a row without fasteners.
    """
    if order.row.maker == Maker.LOFT:
        return ()
    rows = ((row, MADE_OF[row.kind]) for row in order.parts if row.kind in MADE_OF)
    return tuple(row for row, keys in rows if any(_some(row, key) for key in keys))


def _some(row: CanvasPart, key: str) -> bool:
    return row.known.get(key, "").strip().casefold() != NONE


def extras_of(order: OrderRead) -> tuple[CanvasPart, ...]:
    """The options of an order that cost extra, whoever makes it: the owner sees each price."""
    chosen = (row for row in order.of_kind(Kind.OPTION) if row.known.get("what"))
    return tuple(row for row in chosen if row.known.get("costs") == EXTRA)


def unpriced(session: Session, order: OrderRead) -> tuple[str, ...]:
    """Windows, rows of fasteners and options that no line of the order's work names: to be priced."""
    newest = newest_revision(session, order.row.work_order_id)
    lines = lines_of(session, newest.key) if newest else ()
    told = [line.what for line in lines if line.work_id == order.row.work_id]
    wanted = map(_at, (*rows_to_price(order), *extras_of(order)))
    return tuple(begins for begins in wanted if not any(what.startswith(begins) for what in told))


@dataclass(frozen=True)
class Short:
    """Cloth that the estimate has for an order, and what the order takes, both in yards."""

    priced: Decimal
    taken: Decimal


def short_of_cloth(session: Session, order: OrderRead) -> Short | None:
    """Less cloth on the estimate than an order made here takes: a plan laid since, or a work of before.

    None where it is enough, and where no line of its work names the kit's cloth.
    """
    newest = newest_revision(session, order.row.work_order_id)
    names = tuple(part.name for part in kit_of(session).parts if part.role == "cloth")
    priced = [
        read_number(line.quantity)
        for line in (lines_of(session, newest.key) if newest else ())
        if line.work_id == order.row.work_id and line.kind == LineKind.PART and line.what.startswith(names)
    ]
    taken = sum((yards_of(session, order, cloth) for cloth in order.of_kind(Kind.CLOTH)), Decimal(0))
    return Short(sum(priced, Decimal(0)), taken) if priced and sum(priced) < taken else None


def stock_of(session: Session) -> dict[str, Part]:
    """The parts of the catalogue that are bought now, by number."""
    return {part.number: part for part in session.exec(select(Part).where(col(Part.active)))}


def _material(session: Session, order: OrderRead, part: catalogue.Part) -> Iterator[NewLine]:
    """A part of the kit as this order needs it: cloth and zips by the yard, the rest by its pieces."""
    lengths = [(cloth.place, yards_of(session, order, cloth)) for cloth in order.of_kind(Kind.CLOTH)]
    if part.role == "cloth" and any(yards for _, yards in lengths):
        for place, yards in lengths:
            if yards:
                yield _part_line(part, f"{part.name}: {place}", yards)
        return
    taken = _zips(order, part) if part.role == "zip" else part.quantity * pieces_of(order)
    if taken:
        yield _part_line(part, part.name, taken)


def _part_line(part: catalogue.Part, what: str, quantity: Decimal) -> NewLine:
    return NewLine(LineKind.PART, what, f"{quantity.normalize():f}", part.price, Tax.PARTS)


def _zips(order: OrderRead, part: catalogue.Part) -> Decimal:
    """Yards of chain for all zippers: each as long as it is, in tenths; as the kit has it where unknown."""
    zippers = (zipper for zipper in order.of_kind(Kind.ZIPPER) if _some(zipper, "chain"))
    return sum((_chain(zipper) or part.quantity for zipper in zippers), Decimal(0))


def _chain(zipper: CanvasPart) -> Decimal | None:
    long = mm_written(zipper.known.get("length", ""))
    return (long / (36 * INCH)).quantize(TENTH, ROUND_CEILING) if long and long > 0 else None


def declined(session: Session, order: OrderRead) -> bool:
    """Whether the owner's latest word on an order is a no."""
    key = order.row.work_id
    word = owners_words(session, order.row.work_order_id).get(key) if key else None
    return word is not None and word.answer == "no"


def yards_of(session: Session, order: OrderRead, cloth: CanvasPart) -> Decimal:
    """Yards of a cloth to reckon with: its plan with the ends, else a guess from its pieces; 0 without."""
    if best := plans_of(session, order, cloth.key).best:
        return best.take[1].value
    pieces = [
        ToCut(piece.mark, piece.cut.cut, copies=piece.copies)
        for piece in order.of_cloth(cloth.key)
        if piece.cut
    ]
    if not pieces:
        return Decimal(0)
    guessed = guessed_length(read_roll(Texts(USUAL_ROLL)).strip, pieces)
    return cloth_to_take(guessed.value, "yd").value.quantize(TENTH, ROUND_CEILING)


# The owner's word


@dataclass(frozen=True)
class Priced:
    """How an order stands on the estimate: its work, what that costs before tax, and the owner's word.

    `amount` in minor units; None where the newest revision does not hold it. `changed`: what of the order is
    otherwise now than when the owner agreed.
    """

    work_id: int | None = None
    title: str = ""
    amount: int | None = None
    word: OwnersWord | None = None
    changed: tuple[str, ...] = ()

    @property
    def on_estimate(self) -> bool:
        """Whether the newest revision prices it."""
        return self.amount is not None

    @property
    def agreed(self) -> bool:
        """Whether the owner's yes covers it now."""
        return self.word is not None and self.word.holds and not self.changed

    @property
    def says(self) -> str:
        """How it stands, in a sentence without its full stop."""
        if not self.on_estimate:
            return "It is not on the estimate: the owner has agreed to nothing"
        if self.word is None:
            return "The owner has not answered to it yet"
        if self.word.lapsed:
            return f"The yes of {apart(self.word.who)} covers it no longer. {self.word.lapsed}"
        if self.changed:
            changed = "; ".join(map(apart, self.changed))
            return f"It was changed since {apart(self.word.who)} agreed to it: ask again. {changed}"
        return f"{apart(self.word.who)} {_ANSWERED[self.word.answer]}"


_ANSWERED = {"yes": "agreed to it", "no": "declined it", "later": "put it off"}


def priced_of(session: Session, order: OrderRead) -> Priced:
    """How an order stands on the estimate of its unit's stay."""
    key, stay = order.row.work_id, order.row.work_order_id
    if key is None:
        return Priced()
    newest = newest_revision(session, stay)
    amounts = [line.amount for line in lines_of(session, newest.key) if line.work_id == key] if newest else []
    title, word = works_of(session, stay)[key].title, owners_words(session, stay).get(key)
    return Priced(key, title, sum(amounts) if amounts else None, word, _changed(session, order, word))


def _changed(session: Session, order: OrderRead, word: OwnersWord | None) -> tuple[str, ...]:
    if word is None or word.answer != "yes":
        return ()
    heard = None if word.how == How.TABLET else word.said_at + MINUTE
    return changed_since(session, order, word.entry, heard)


def orders_by_work(session: Session, stay: int) -> dict[int, Behind]:
    """The canvas orders that works of a stay price, as its estimate tells them and links to them."""
    asked = select(CanvasOrder.id, CanvasOrder.work_id).where(
        CanvasOrder.work_order_id == stay,
        col(CanvasOrder.called_off) == "",
        col(CanvasOrder.work_id).is_not(None),
    )
    priced = [(key, work) for key, work in session.exec(asked) if key and work]
    words = owners_words(session, stay) if priced else {}
    return {work: _behind(canvas_order(session, key), words.get(work), session) for key, work in priced}


def _behind(order: OrderRead, word: OwnersWord | None, session: Session) -> Behind:
    changed = _changed(session, order, word)
    return Behind(f"canvas order {order.number}", f"/canvas/{order.key}", told(order), changed)


PRICES.append(orders_by_work)


def refuse_unagreed(session: Session, order: OrderRead) -> None:
    """Refused, saying how it stands, where the owner's yes does not cover an order that is to be cut."""
    priced = priced_of(session, order)
    if not priced.agreed or not priced.on_estimate:
        raise Refused([Problem("price", priced.says, "the owner's yes to it on the estimate")])


def works_to_choose(session: Session, order: OrderRead) -> dict[int, str]:
    """Works of the newest revision by key that can be named as pricing the order.

    Those that answer its finding come first.
    """
    stay = order.row.work_order_id
    newest = newest_revision(session, stay)
    held = {line.work_id for line in lines_of(session, newest.key)} if newest else set()
    answers = findings_by_work(session, stay)
    known = [(key, work.title) for key, work in works_of(session, stay).items() if key in held]
    return dict(sorted(known, key=lambda it: order.row.finding_id not in answers.get(it[0], ())))


@dataclass(frozen=True)
class PriceForm:
    """What the form offers: works of the estimate as options, its texts, the revision that it must name."""

    works: tuple[tuple[str, str], ...]
    texts: dict[str, str]
    revision: int


def price_form(session: Session, order: OrderRead) -> PriceForm:
    """The form that prices an order: the work that answers its finding already is chosen, else a new one."""
    works, answers = works_to_choose(session, order), findings_by_work(session, order.row.work_order_id)
    first = next((key for key in works if order.row.finding_id in answers.get(key, ())), "")
    hours = "" if order.row.maker == Maker.LOFT else f"{hours_of(session, order).normalize():f}"
    options = (("", "A new work"), *((str(key), title) for key, title in works.items()))
    texts = {"work": str(first), "hours": hours, "price": ""}
    return PriceForm(options, texts, guard(session, order.row.work_order_id))
