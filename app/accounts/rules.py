"""What the accounts may do: what is billed, what comes in and goes back, what is owed since when."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from enum import StrEnum

from app.accounts.adding_up import Done
from app.estimate.cover import Bounds, Yes, lapses
from app.trade.money import MONEY_ACCEPTS, Money, cash
from app.trade.problems import Problem, Refused
from app.trade.typed import Reader, Typed

MOST = 10_000_000
LATEST_DUE = 365  # days after the bill
KEY_DIGITS = 12
OLD = 31  # days: a payment noted later than this is asked about


class Way(StrEnum):
    """Whether money comes in or goes back."""

    IN = "in"
    BACK = "back"


class Means(StrEnum):
    """How money changes hands."""

    CASH = "cash"
    CARD = "card"
    CHEQUE = "cheque"
    TRANSFER = "transfer"

    @property
    def says(self) -> str:
        """What stands in its reference."""
        return {
            Means.CASH: "",
            Means.CARD: "number of the card slip",
            Means.CHEQUE: "number of the cheque",
            Means.TRANSFER: "reference of the transfer",
        }[self]


# What is billed


@dataclass(frozen=True)
class InvoiceSaid:
    """What the form of an invoice says. `works`: keys; `cores_back`: keys of lines; `off`: minor units."""

    works: frozenset[int]
    due_on: date
    cores_back: frozenset[int] = frozenset()
    off: int = 0
    why: str = ""


def read_invoice(typed: Typed, today: date) -> InvoiceSaid:
    """The invoice that stands in a form; raises Refused with every problem.

    At least one work; due from today on; a discount with its reason.
    """
    read = Reader(typed)
    works = _keys(read, "works")
    if not works and not read.problems:
        read.wrong("works", "Nothing is chosen", "at least one finished work")
    due = read.day("due_on", required="The day by which it is due is missing")
    if due and not today <= due <= today + timedelta(days=LATEST_DUE):
        read.wrong("due_on", f"{due.isoformat()} cannot be", f"today or up to {LATEST_DUE} days ahead")
    off = read.money("discount", most=MOST) or 0
    why = read.text("discount_why", required="The reason of the discount is missing" if off else "", most=80)
    cores = _keys(read, "cores")
    read.done()
    assert due
    return InvoiceSaid(works, due, cores, off, why)


def _keys(read: Reader, field: str) -> frozenset[int]:
    """The keys that the boxes of a field stand for."""
    texts = read.typed.all(field)
    if any(not text.isascii() or not text.isdigit() or len(text) > KEY_DIGITS for text in texts):
        read.wrong(field, "One of these is none of the list", "boxes of the list")
        return frozenset()
    return frozenset(map(int, texts))


def due_from(day: date, days: int) -> date:
    """The day by which a bill made on a day is due."""
    return day + timedelta(days=days)


def check_chosen(said: InvoiceSaid, ready: Sequence[Done]) -> None:
    """Raise Refused where a chosen work or core deposit is none of those that may be billed."""
    works = {work.work_id for work in ready}
    cores = {key for work in ready for key in work.cores}
    if said.works - works:
        raise Refused([Problem("works", "One of these cannot be billed now", "a finished, agreed work")])
    if said.cores_back - cores:
        raise Refused([Problem("cores", "One of these is no core deposit", "a core deposit of these works")])


def check_bounds(standing: Sequence[Done], bounds: Bounds) -> None:
    """Raise Refused where works together pass what the owner agreed to, the shop's margin, or the limit.

    `standing`: every work agreed to, with what it is billed at, or would cost as agreed.
    """
    said = [Yes(work.work_id, work.agreed, work.amount) for work in standing]
    titles = {work.work_id: work.title for work in standing}
    passed = lapses(said, bounds)
    if passed:
        accepts = "the owner's word on the new price first"
        raise Refused([Problem("works", f"{titles[key]}: {says}", accepts) for key, says in passed.items()])


# What is taken back


@dataclass(frozen=True)
class CreditSaid:
    """What the form of a credit note says: numbers of the lines, or the whole of what stands, and why."""

    lines: frozenset[int]
    reason: str
    whole: bool = False


def read_credit(typed: Typed) -> CreditSaid:
    """The credit note that stands in a form; raises Refused."""
    read = Reader(typed)
    whole, lines = read.yes("whole"), _keys(read, "lines")
    if not lines and not whole and not read.problems:
        read.wrong("lines", "No line is chosen", "the whole invoice, or at least one line")
    reason = read.text("reason", required="The reason is missing", most=160)
    read.done()
    return CreditSaid(lines, reason, whole)


def check_lines(said: CreditSaid, stands: Iterable[int]) -> frozenset[int]:
    """Numbers of the lines to be taken back; raises Refused where one of them does not stand any more."""
    known = frozenset(stands)
    if said.lines - known or not known:
        raise Refused([Problem("lines", "One of these was taken back before", "lines that still stand")])
    return known if said.whole else said.lines


def check_credit(gross: int) -> None:
    """Raise Refused where a credit note would give nothing back."""
    if gross <= 0:
        says = f"These lines come to {Money(gross)}"
        raise Refused([Problem("lines", says, "lines that come to more than 0.00 together")])


# What comes in and goes back


@dataclass(frozen=True)
class PaymentSaid:
    """What a form says of money received or given back. `amount`: minor units; 0 only where coins leave all.

    `confirmed`: whether an unlikely amount was confirmed.
    """

    means: Means
    amount: int
    on_day: date
    reference: str = ""
    note: str = ""
    confirmed: bool = False
    way: Way = Way.IN


def read_payment(typed: Typed, today: date) -> PaymentSaid:
    """Money received or given back as a form has it; raises Refused with every problem."""
    read = Reader(typed)
    amount = read.money("amount", most=MOST, required="The amount is missing") or 0
    way = read.choice("way", Way) or Way.IN
    means = read.choice("means", Means, required="How it was paid is missing")
    missing = f"The {means.says} is missing" if means in (Means.CHEQUE, Means.TRANSFER) else ""
    reference = read.text("reference", required=missing, most=60)
    on_day = _past_day(read, "on_day", today)
    note = read.text("note", most=160)
    read.done()
    assert means
    return PaymentSaid(means, amount, on_day, reference, note, _confirmed(read, "amount"), way)


def _confirmed(read: Reader, field: str) -> bool:
    return bool(read.raw(field)) and read.typed.get(f"confirm-{field}") == read.raw(field)


def payable(means: Means, minor: int, coin: int) -> Money:
    """An amount as it is paid by some means: in cash to the smallest `coin` (minor units), else exact."""
    return cash(Money(minor), coin) if means is Means.CASH else Money(minor)


def check_coins(said: PaymentSaid, coin: int) -> None:
    """Raise Refused where an amount in cash cannot be paid in coins. `coin`: the smallest, minor units."""
    nearest = payable(said.means, said.amount, coin)
    if Money(said.amount) != nearest:
        says = f"{Money(said.amount)} cannot be paid in coins of {Money(coin)}"
        raise Refused([Problem("amount", says, f"{nearest if nearest.minor else Money(coin)}")])


def left_by_coins(said: PaymentSaid, settles: int, coin: int) -> int:
    """What coins leave off an amount that settles `settles` (minor units); below 0 where they take more.

    0 where it settles less or more than that. Where less than half a coin is left, 0.00 in cash settles it.
    Source: common practice; the difference is BT-114 of EN 16931.
    """
    due = max(settles, 0)
    return due - said.amount if Money(said.amount) == payable(said.means, due, coin) else 0


def check_nothing(said: PaymentSaid, left: int) -> None:
    """Raise Refused where 0.00 is paid and settles nothing. `left`: what coins leave off, minor units."""
    if said.amount == 0 == left:
        raise Refused([Problem("amount", "0.00 is no payment", MONEY_ACCEPTS)])


def check_payment(said: PaymentSaid, owed: int, coin: int = 1) -> None:
    """Raise Refused, to be confirmed, where more came in than is owed. `owed`, `coin`: minor units."""
    most = payable(said.means, max(owed, 0), coin)
    if Money(said.amount) > most and not said.confirmed:
        says = f"{Money(said.amount)} is more than is owed"
        raise Refused([Problem("amount", says, _usually(said, most), ask=True)])


def _usually(said: PaymentSaid, most: Money) -> str:
    """What is usually paid of an amount that is too much; in cash the rest goes back as change."""
    change = Money(said.amount - most.minor)
    back = f", with {change} given back as change" if said.means is Means.CASH and most.minor else ""
    return f"usually at most {most}{back}"


def check_refund(said: PaymentSaid, owed: int, received: int, coin: int = 1) -> None:
    """Raise Refused where more would go back than came in; to be confirmed, where more than is held."""
    most = payable(said.means, received, coin)
    if Money(said.amount) > most:
        raise Refused([Problem("amount", f"Only {Money(received)} was received", f"at most {most}")])
    held = payable(said.means, max(-owed, 0), coin)
    if Money(said.amount) > held and not said.confirmed:
        raise Refused(
            [Problem("amount", f"{held} is held for the owner", f"usually at most {held}", ask=True)]
        )


def _past_day(read: Reader, field: str, today: date) -> date:
    found = read.day(field, required="The day is missing")
    if found and found > today:
        read.wrong(field, f"{found.isoformat()} has not come yet", "today, or a day before")
    elif found and found < today - timedelta(days=OLD):
        read.ask(field, f"{found.isoformat()} is long ago", f"usually within {OLD} days")
    return found or today


# What is owed since when


@dataclass(frozen=True)
class Owed:
    """An invoice as the account sees it: its sum with tax, what was taken back of it, when it falls due."""

    bill_id: int
    due_on: date
    gross: int
    credited: int = 0

    @property
    def stands(self) -> int:
        """What it still asks for, before payments; never below 0."""
        return max(self.gross - self.credited, 0)


def settled(invoices: Sequence[Owed], received: int) -> dict[int, int]:
    """What is left to pay of each invoice, by key: money received goes to what fell due first.

    `received`: payments less refunds, in minor units; what is over is held for the owner.
    """
    left: dict[int, int] = {}
    for each in sorted(invoices, key=lambda it: (it.due_on, it.bill_id)):
        goes = min(max(received, 0), each.stands)
        left[each.bill_id] = each.stands - goes
        received -= goes
    return left


class Age(StrEnum):
    """How long an amount has been due. Source: common practice of bookkeeping."""

    CURRENT = "current"
    TO_30 = "1 to 30 days"
    TO_60 = "31 to 60 days"
    TO_90 = "61 to 90 days"
    OVER_90 = "over 90 days"


def age_of(due_on: date, today: date) -> Age:
    """How long something has been due; the day itself is still current."""
    late = (today - due_on).days
    ends = ((0, Age.CURRENT), (30, Age.TO_30), (60, Age.TO_60), (90, Age.TO_90))
    return next((age for most, age in ends if late <= most), Age.OVER_90)


# Owners who pay no tax; terms; the close of the day


@dataclass(frozen=True)
class ExemptionSaid:
    """A certificate as a form has it; an empty one ends the exemption."""

    certificate: str
    until: date | None


def read_exemption(typed: Typed, today: date) -> ExemptionSaid:
    """The certificate that stands in a form; raises Refused."""
    read = Reader(typed)
    certificate = read.text("certificate", most=60)
    until = read.day("until")
    if until and until < today:
        read.wrong("until", f"{until.isoformat()} is over", "today or later, or nothing where it has no end")
    read.done()
    return ExemptionSaid(certificate, until)


@dataclass(frozen=True)
class TermsSaid:
    """What stands on every bill, as a form has it."""

    country: str
    currency_code: str
    tax_number: str
    register_number: str
    due_days: int
    note: str


def read_terms(typed: Typed) -> TermsSaid:
    """The terms that stand in a form; raises Refused with every problem."""
    read = Reader(typed)
    said = TermsSaid(
        country=_letters(read, "country", 2, "two letters of ISO 3166-1, such as US"),
        currency_code=_letters(read, "currency_code", 3, "three letters of ISO 4217, such as USD"),
        tax_number=read.text("tax_number", most=40),
        register_number=read.text("register_number", most=40),
        due_days=_due_days(read),
        note=read.text("note", most=400),
    )
    read.done()
    return said


def _due_days(read: Reader) -> int:
    missing = "The days are missing"
    return read.whole("due_days", most=120, required=missing, what="whole days", such_as="14") or 0


def _letters(read: Reader, field: str, count: int, accepts: str) -> str:
    found = read.text(field, required="The letters are missing", most=8).upper()
    if found and not (len(found) == count and found.isascii() and found.isalpha()):
        read.wrong(field, f"{found} are not {count} letters", accepts)
    if found in NO_CENTS:
        read.wrong(field, f"{found} has no two decimals", "a currency of a hundred cents")
    if found in NO_MONEY:
        read.wrong(field, f"Nobody pays in {found}", "the currency of the shop's country, such as USD")
    return found


NO_CENTS = {  # minor units other than two, ISO 4217 (from memory)
    *("CLF", "UYW"),
    *("BIF", "CLP", "DJF", "GNF", "ISK", "JPY", "KMF", "KRW", "PYG", "RWF", "UGX", "UYI", "VND", "VUV"),
    *("XAF", "XOF", "XPF", "BHD", "IQD", "JOD", "KWD", "LYD", "OMR", "TND"),
}
NO_MONEY = {  # metals, units of account, tests and "no currency", ISO 4217 (from memory)
    *("XAG", "XAU", "XPD", "XPT", "XBA", "XBB", "XBC", "XBD", "XDR", "XSU", "XUA", "XTS", "XXX"),
}


@dataclass(frozen=True)
class Counted:
    """The drawer as a form has it, in minor units. `confirmed`: whether a difference was confirmed."""

    start: int
    counted: int
    banked: int
    confirmed: bool = False


def read_counted(typed: Typed) -> Counted:
    """The count of the drawer that stands in a form; no more goes to the bank than was counted."""
    read = Reader(typed)
    start = read.money("start", most=MOST, required="The cash at the start is missing")
    counted = read.money("counted", most=MOST, required="The cash counted is missing")
    banked = read.money("banked", most=MOST) or 0
    if counted is not None and banked > counted:
        read.wrong("banked", f"{Money(banked)} is more than was counted", f"at most {Money(counted)}")
    read.done()
    return Counted(start or 0, counted or 0, banked, _confirmed(read, "counted"))


def check_counted(said: Counted, cash: int) -> None:
    """Raise Refused, to be confirmed, where the drawer differs from the book.

    `cash`: taken less given back since the last close, in minor units.
    """
    expected = Money(said.start + cash)
    off = Money(said.counted) - expected
    if off.minor and not said.confirmed:
        says = f"{Money(abs(off.minor))} {'more' if off.minor > 0 else 'less'} than the book has"
        raise Refused([Problem("counted", says, f"{expected} is expected", ask=True)])


def by_means(payments: Iterable[tuple[str, int]]) -> Mapping[Means, int]:
    """Sum of payments by means, every means named. `payments`: means and minor units."""
    found = dict.fromkeys(Means, 0)
    for means, amount in payments:
        found[Means(means)] += amount
    return found
