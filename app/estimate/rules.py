"""What an estimate may hold: groups, lines of kits, shop supplies, what forms add, revisions in words."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from enum import StrEnum
from typing import Protocol

from app.inspection.catalogue import Fee, Kit, Part
from app.parts.rules import NONE_SUPERSEDED, Superseded, ask_superseded
from app.trade.figure import By, Grade
from app.trade.letters import apart
from app.trade.markup import Step, selling_price
from app.trade.money import Money, Rounding, capped_share
from app.trade.problems import Refused
from app.trade.quantity import read_number
from app.trade.tax import TaxRate, rate_of
from app.trade.totals import Line, LineKind, Rule
from app.trade.typed import Reader, Typed

TENTH = Decimal("0.1")
LABOUR = "Labour"
SUPPLIES = "Shop supplies, a share of the labour"
MOST_PRICE = 10_000_000


class Group(StrEnum):
    """The three ruled groups of the ledger, heaviest first."""

    MUST = "must"
    SHOULD = "should"
    WAIT = "wait"

    @property
    def word(self) -> str:
        """The group's heading."""
        return {
            Group.MUST: "Must, before towing",
            Group.SHOULD: "Should be put right",
            Group.WAIT: "May wait",
        }[self]


HEAVIEST_GROUP_FIRST = tuple(Group)


def group_of(grade: Grade, by: By | None) -> Group:
    """The ledger group of a finding: what stops the tow must, other needs should, watch may wait."""
    if grade is Grade.DNT or (grade is Grade.NEEDS and by is By.TOWING):
        return Group.MUST
    return Group.SHOULD if grade is Grade.NEEDS else Group.WAIT


def asks_for_work(grade: Grade) -> bool:
    """Whether a finding of this grade is priced: do not tow, needs work, watch."""
    return grade in (Grade.DNT, Grade.NEEDS, Grade.WATCH)


class Tax(StrEnum):
    """Tax categories of lines: those whose rates the shop sets to local law, and exempt."""

    PARTS = "parts"
    LABOUR = "labour"
    OUTSIDE = "outside"
    SUPPLIES = "supplies"
    DISPOSAL = "disposal"
    EXEMPT = "exempt"


class Charges(Protocol):
    """What the shop charges: money in minor units, shares as decimal percent in text."""

    @property
    def labour_rate(self) -> int:
        """Minor units an hour."""
        ...

    @property
    def labour_minimum_tenths(self) -> int:
        """Least labour of one work, in tenths of an hour."""
        ...

    @property
    def supplies_percent(self) -> str:
        """Share of the labour charged for shop supplies."""
        ...

    @property
    def supplies_cap(self) -> int:
        """The most that supplies may cost on one estimate."""
        ...

    @property
    def rule(self) -> Rule:
        """What becomes of half a cent, and where tax is rounded."""
        ...

    def percent(self, name: str) -> Decimal:
        """A share by name (`deposit_percent` ...)."""
        ...


class Taxing(Charges, Protocol):
    """What the shop charges, with the tax rates in force on one day."""

    def tax_percent(self, category: str) -> Decimal:
        """The rate of a category (`parts` ...), in percent."""
        ...


def rates_of(charges: Taxing) -> dict[str, TaxRate]:
    """The shop's tax rates by category of line; a category at 0 is exempt."""
    rated = {str(tax): rate_of(charges.tax_percent(tax)) for tax in Tax if tax is not Tax.EXEMPT}
    return rated | {str(Tax.EXEMPT): rate_of(Decimal(0))}


@dataclass(frozen=True)
class NewLine:
    """One priced line. `quantity` as text (hours in tenths for labour), `price` in minor units for one.

    A discount has a positive price and takes it off. Impossible for a quantity of 0 or a price below 0.
    """

    kind: LineKind
    what: str
    quantity: str
    price: int
    tax: str

    def __post_init__(self) -> None:
        self.as_line()

    def as_line(self) -> Line:
        """The line as totals take it."""
        return Line(self.kind, self.what, read_number(self.quantity), Decimal(self.price), self.tax)

    def amount(self, rounding: Rounding = Rounding.HALF_UP) -> Money:
        """Its amount before tax, rounded once; negative for a discount."""
        return self.as_line().net(rounding)


def lines_of_kit(kit: Kit, count: int, charges: Charges) -> tuple[NewLine, ...]:
    """The lines that a kit makes, done `count` times: labour, parts, fees.

    Where the shop charges supplies as a share of the labour, the kit's own supplies are left out, so that
    they are not charged twice. `count` at least 1; ValueError below.
    """
    if count < 1:
        raise ValueError("a kit is done at least once")
    share = Decimal(charges.supplies_percent) > 0
    fees = [fee for fee in kit.fees if not (share and fee.category == Tax.SUPPLIES)]
    labour = (labour_line(kit.hours * count, charges),) if kit.hours else ()
    return (
        *labour,
        *(_part_line(part, count) for part in kit.parts),
        *(_fee_line(fee, count) for fee in fees),
    )


def kits_to_price(kits: tuple[str, ...], *, one_of_them: bool) -> tuple[str, ...]:
    """The kits of a finding that are priced by themselves.

    Kits of the defects picked belong together; those of the check's own list are alternatives, of which the
    first alone is priced (`one_of_them`).
    """
    return kits[:1] if one_of_them else kits


def title_of(name: str, place: str, count: int, thing: str = "") -> str:
    """A work's title from its kit's name, its place in words, and how many times it is done.

    `thing`: what it is about where the kit is sold for each thing; it says the place as well.
    """
    if thing:
        return f"{name}: {thing}"
    times = f"{count} times" if count > 1 else ""
    return ", ".join(filter(None, (name, place, times)))


def labour_line(hours: Decimal, charges: Charges) -> NewLine:
    """Labour of one work at the shop's rate: hours to the tenth, half up, at least the shop's least."""
    tenths = max(hours.quantize(TENTH, ROUND_HALF_UP), Decimal(charges.labour_minimum_tenths) * TENTH, TENTH)
    return NewLine(LineKind.LABOUR, LABOUR, _text(tenths), charges.labour_rate, Tax.LABOUR)


def _part_line(part: Part, count: int) -> NewLine:
    kind = LineKind.OUTSIDE if part.category == Tax.OUTSIDE else LineKind.PART
    return NewLine(kind, part.name, _text(part.quantity * count), part.price, _tax(part.category))


def _fee_line(fee: Fee, count: int) -> NewLine:
    kind = {"core": LineKind.CORE, "outside": LineKind.OUTSIDE}.get(fee.category, LineKind.FEE)
    return NewLine(kind, fee.name, str(count), fee.price, _tax(fee.category))


def _tax(category: str) -> str:
    """The tax category of a kit's line; a core deposit is taxed as its part is."""
    return category if category in list(Tax) else Tax.PARTS


def _text(number: Decimal) -> str:
    text = f"{number:f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def supplies_shares(labour: Sequence[int], charges: Charges) -> tuple[int, ...]:
    """Shop supplies of each work in minor units, from its labour: a share, capped over the whole estimate.

    The cap is used up in the order of the works, so that a later work never changes the price of an earlier
    one. `labour`: minor units, none below 0; Impossible otherwise.
    """
    left, shares = Money(charges.supplies_cap), []
    for each in labour:
        share = capped_share(Money(each), Decimal(charges.supplies_percent), left).value
        left -= share
        shares.append(share.minor)
    return tuple(shares)


# --- what stands in forms ---------------------------------------------------------------------


def read_price(read: Reader, field: str, *, required: str = "") -> int | None:
    """An amount of money in minor units, at least 0; None where the field is empty or wrong."""
    return read.money(field, most=MOST_PRICE, required=required, less="; for less, a discount line")


def read_line(
    typed: Typed,
    kind: LineKind | None = None,
    markup: Sequence[Step] = (),
    superseded: Superseded = NONE_SUPERSEDED,
) -> NewLine:
    """The line that stands in a form: kind, what, quantity or hours, price, tax category.

    `kind`: of the line that is being changed. `markup`: the shop's, by which a part with a `cost` and no
    price is priced. `superseded`: parts that are asked about once. Raises Refused with every problem.
    """
    read = Reader(typed)
    kind = kind or read.choice("kind", LineKind, required="What the line is for is missing")
    what = read.text("what", required="What it is, is missing")
    if what == SUPPLIES:
        read.wrong("what", "This line is worked out by the shop's settings", "another name")
    if kind is LineKind.PART:
        ask_superseded(read, "what", superseded)
    labour = kind is LineKind.LABOUR
    _quantity(read, hours=labour)
    price = _price(read, kind, markup)
    tax = read.choice("tax", Tax, required="The tax category is missing")
    read.done()
    assert kind and price is not None and tax
    return NewLine(kind, what, read.raw("quantity").replace(",", "."), price, tax)


def _price(read: Reader, kind: LineKind | None, markup: Sequence[Step]) -> int | None:
    """The price typed, asked once where it is under the cost, or what a part of that cost is sold for."""
    cost = read_price(read, "cost")
    if kind is LineKind.PART and markup and cost is not None and not read.raw("price"):
        return selling_price(Money(cost), markup).value.minor
    price = read_price(read, "price", required="The price is missing")
    if kind is LineKind.PART and cost is not None and price is not None and price < cost:
        read.ask("price", "This is sold for less than it costs", "the cost or more, or empty: by mark-up")
    return price


def _quantity(read: Reader, *, hours: bool) -> None:
    """Hours 0.1 to 100 in tenths, or a quantity up to 1,000; a long job or a large number is asked once."""
    usual = ("0.1", "24") if hours else ("0.01", "100")
    least, most = ("0.1", "100") if hours else ("0.01", "1000")
    found = read.number("quantity", least=least, most=most, usual=usual, required="The quantity is missing")
    if hours and found is not None and found % TENTH:
        read.wrong("quantity", f"{read.raw('quantity')} h is finer than tenths", "tenths, such as 1.4")


@dataclass(frozen=True)
class NewWork:
    """A piece of work to be added: from a kit done `count` times at a place, or typed by hand with lines.

    `own_lines`: its lines stand instead of the kit's, which gives its steps, cautions and records alone.
    """

    title: str
    group: Group
    finding_ids: tuple[int, ...] = ()
    kit: str = ""
    place: str = "unit"
    count: int = 1
    lines: tuple[NewLine, ...] = ()
    hours: str = ""
    outside: bool = False
    thing: str = ""
    instead_of: int | None = None
    own_lines: bool = False


def read_work(
    typed: Typed,
    kits: Iterable[str],
    findings: Iterable[int],
    works: Iterable[int] = (),
    markup: Sequence[Step] = (),
    superseded: Superseded = NONE_SUPERSEDED,
) -> NewWork:
    """The work that stands in a form; raises Refused. `kits`, `findings`, `works`: what may be chosen.

    `markup`, `superseded`: see `read_line`.
    """
    read = Reader(typed)
    kit = read.raw("kit")
    if kit and kit not in set(kits):
        read.wrong("kit", f"{kit[:20]} is not a kit of this shop", "one of the list, or none")
    title = read.text("title", required="" if kit else "What is to be done is missing", most=120)
    group = read.choice("group", Group, required="The group is missing")
    count = read.whole("count", least=1, most=40) if read.raw("count") else 1
    chosen = _chosen(read, "findings", set(findings))
    instead = _one_of(read, "instead_of", set(works))
    hours = read.number("hours", least="0.1", most="100", usual=("0.1", "24"))
    line = _first_line(read, markup, superseded)
    if not kit and hours is None and line is None and not read.problems:
        read.wrong("hours", "A work needs hours, or a part with its price", "hours such as 1.4")
    read.done()
    assert group and count
    lines = (line,) if line else ()
    typed_hours = _text(hours) if hours else ""
    return NewWork(title, group, chosen, kit, count=count, lines=lines, hours=typed_hours, instead_of=instead)


def _one_of(read: Reader, field: str, known: set[int]) -> int | None:
    text = read.raw(field)
    if not text:
        return None
    if not text.isascii() or not text.isdigit() or int(text[:12]) not in known:
        read.wrong(field, "This is no work that has another way", "one of the list, or none")
        return None
    return int(text)


def _chosen(read: Reader, field: str, known: set[int]) -> tuple[int, ...]:
    texts = read.typed.all(field)
    if any(not text.isascii() or not text.isdigit() or int(text[:12]) not in known for text in texts):
        read.wrong(field, "One of these is no finding of this work order", "findings of the list")
        return ()
    return tuple(dict.fromkeys(int(text) for text in texts))


def _first_line(read: Reader, markup: Sequence[Step], superseded: Superseded) -> NewLine | None:
    if not any(map(read.raw, ("what", "price", "cost"))):
        return None
    try:
        return read_line(read.typed, markup=markup, superseded=superseded)
    except Refused as refused:
        read.problems += refused.problems
        return None


@dataclass(frozen=True)
class ChangedWork:
    """A work's title and group as a form has them."""

    title: str
    group: Group


def read_changed_work(typed: Typed) -> ChangedWork:
    """Title and group of a work that stand in a form; raises Refused."""
    read = Reader(typed)
    title = read.text("title", required="What is to be done is missing", most=120)
    group = read.choice("group", Group, required="The group is missing")
    read.done()
    assert group
    return ChangedWork(title, group)


def read_note(typed: Typed) -> str:
    """A word to the owner that is printed with a revision, at most 300 characters; raises Refused."""
    read = Reader(typed)
    note = read.text("note", most=300)
    read.done()
    return note


# --- several ways of doing one work -------------------------------------------------------------


@dataclass(frozen=True)
class Way:
    """One way of doing a work. `choice`: the key of the recommended way, the same for all of them.

    `answer`: the owner's, empty without one.
    """

    work_id: int
    choice: int
    answer: str = ""


def counted(ways: Sequence[Way]) -> frozenset[int]:
    """The works that count in the sums: of the ways of one work the one with yes, else the recommended one.

    A way that was declined does not count; where the recommended one was, the next one does.
    """
    by_choice: dict[int, list[Way]] = {}
    for way in ways:
        by_choice.setdefault(way.choice, []).append(way)
    return frozenset(picked for same in by_choice.values() if (picked := _picked(same)))


def _picked(same: Sequence[Way]) -> int | None:
    best = sorted(same, key=lambda way: (way.answer != "yes", way.work_id != way.choice))
    return next((way.work_id for way in best if way.answer != "no"), None)


# --- what changed between two revisions -------------------------------------------------------


@dataclass(frozen=True)
class Offered:
    """One work as a revision offers it: its amount in minor units before tax, and its group.

    `instead_of`: the work that it is another way of doing; the owner picks one of the two. `holds_tow`: a
    finding behind it keeps the unit from being towed, whatever group the work was put into.
    """

    work_id: int
    title: str
    group: Group
    amount: int
    instead_of: int | None = None
    holds_tow: bool = False

    @property
    def safety(self) -> bool:
        """Whether the owner who puts it off has to acknowledge what that means."""
        return self.group is Group.MUST or self.holds_tow

    @property
    def choice(self) -> int:
        """The key of the work that it stands for: of several with the same, one is done."""
        return self.instead_of or self.work_id


def difference(before: Sequence[Offered], after: Sequence[Offered]) -> tuple[str, ...]:
    """What changed from one revision to the next, a sentence for each work; empty where nothing did."""
    old, new = ({each.work_id: each for each in works} for works in (before, after))
    added = [f"Added: {apart(it.title)}, {Money(it.amount)}." for key, it in new.items() if key not in old]
    left = [f"Left out: {apart(it.title)}, {Money(it.amount)}." for key, it in old.items() if key not in new]
    changed = [_changed(old[key], it) for key, it in new.items() if key in old]
    return tuple(filter(None, (*added, *changed, *left)))


def _changed(old: Offered, new: Offered) -> str:
    parts = []
    if old.title != new.title:
        parts.append(f"was called {apart(old.title)}")
    if old.amount != new.amount:
        parts.append(f"now {Money(new.amount)}, was {Money(old.amount)}")
    if old.group != new.group:
        parts.append(f"now under “{new.group.word}”, was under “{old.group.word}”")
    return f"{apart(new.title)}: {'; '.join(parts)}." if parts else ""
