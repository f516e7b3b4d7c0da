"""Money: a line, a share with a cap, what a bill may be over, the price of a part, tax, what is due."""

from decimal import Decimal

from app.trade.markup import MOST_PERCENT, Step, selling_price
from app.trade.money import NOTHING, Money, Tolerance, capped_share, tolerance
from app.trade.problems import Impossible
from app.trade.tax import rate_of
from app.trade.totals import (
    Basis,
    Line,
    LineKind,
    Rule,
    Totals,
    amount_due,
    group_tax,
    line_amount,
    totals,
)
from app.workbench.entry import Field, Figure, Figures, Values, choice, money, number, text, yes

SECTION = "Money"
PERCENT = ("0", "100")
MARKUP = ("0", str(MOST_PERCENT))
PARTS, LABOUR = "parts", "labour"


def _rate(name: str, label: str, example: str) -> Field:
    return number(name, label, "percent", example, PERCENT, start="0")


def _line(values: Values) -> Figures:
    price = values.number("price") * 100
    line = Line(LineKind.PART, "line", values.number("quantity"), price, PARTS, values.number("per"))
    return (line_amount(line),)


def _capped(values: Values) -> Figures:
    return (capped_share(values.money("base"), values.number("share", "percent"), values.money("cap")),)


def _tolerance(values: Values) -> Figures:
    rule = Tolerance(
        fixed=values.money("fixed"),
        percent=values.number("share", "percent"),
        greater=values.text("counts") == "greater",
        cap=values.money("cap") if values.has("cap") else None,
    )
    return (tolerance(values.money("agreed"), rule),)


def _selling(values: Values) -> Figures:
    low, middle = values.money("low_to"), values.money("middle_to")
    if middle <= low:
        raise Impossible(f"Middling parts end at {middle}, before cheap ones do", f"more than {low}")
    steps = (
        Step(low, values.number("low", "percent")),
        Step(middle, values.number("middle", "percent")),
        Step(None, values.number("high", "percent")),
    )
    return (selling_price(values.money("cost"), steps),)


def _bill(values: Values) -> Figures:
    found = _totals(values)
    rule = Rule(basis=Basis(values.text("basis")))
    return (amount_due(found), *(group_tax(group, rule) for group in found.groups))


def _totals(values: Values) -> Totals:
    lines = [*_lines(values, PARTS, LineKind.PART), *_lines(values, LABOUR, LineKind.LABOUR)]
    if not lines:
        raise Impossible("There is no line", "an amount for parts or labour, such as 125.00")
    if values.has("discount"):
        off = Decimal(values.money("discount").minor)
        lines.append(Line(LineKind.DISCOUNT, "discount", Decimal(1), off, ""))
    rates = {kind: rate_of(values.number(f"{kind}_tax", "percent")) for kind in (PARTS, LABOUR)}
    paid = values.money("paid") if values.has("paid") else NOTHING
    step = 5 if values.yes("coins") else 1
    return totals(lines, rates, Rule(basis=Basis(values.text("basis"))), paid, step)


def _lines(values: Values, kind: str, line: LineKind) -> list[Line]:
    amounts = _amounts(values.text(kind))
    return [Line(line, kind, Decimal(1), Decimal(each.minor), kind) for each in amounts]


def _amounts(typed: str) -> list[Money]:
    return [_amount(each) for each in typed.split()]


def _amount(typed: str) -> Money:
    from_here = "amounts such as 125.00 38.75"
    if not typed.replace(".", "", 1).isascii() or not typed.replace(".", "", 1).isdigit() or len(typed) > 12:
        raise Impossible(f"{typed[:20]} is not an amount of money", from_here)
    minor = Decimal(typed) * 100
    if minor != minor.to_integral_value():
        raise Impossible(f"{typed[:20]} has more than two decimals", from_here)
    return Money(int(minor))


FIGURES = (
    Figure(
        "line-amount",
        "Amount of a line",
        SECTION,
        "What do so many of these come to?",
        (
            number("quantity", "Quantity", "", "1.4", ("-100000", "100000")),
            number("price", "Price", "", "95.00", ("0", "1000000")),
            number("per", "Price is for so many", "", "1", ("0.001", "100000"), start="1"),
        ),
        _line,
    ),
    Figure(
        "capped-share",
        "Share with a cap",
        SECTION,
        "What are shop supplies as a share of the work, with their cap?",
        (
            money("base", "Amount", "1305.39"),
            number("share", "Share", "percent", "5", PERCENT),
            money("cap", "At most", "45.00"),
        ),
        _capped,
    ),
    Figure(
        "tolerance",
        "Over the agreed amount",
        SECTION,
        "By how much may the bill pass what was agreed, without asking again?",
        (
            money("agreed", "Agreed", "1000.00"),
            money("fixed", "Fixed amount", "50.00"),
            number("share", "Percentage", "percent", "10", PERCENT),
            choice(
                "counts", "Which counts", [("less", "the less of both"), ("greater", "the greater of both")]
            ),
            money("cap", "At most in any case", "75.00", needed=False),
        ),
        _tolerance,
    ),
    Figure(
        "selling-price",
        "Price of a part",
        SECTION,
        "What is a part sold for, by what it costs the shop?",
        (
            money("cost", "Cost", "22.85"),
            money("low_to", "Cheap parts cost up to", "20.00"),
            number("low", "Mark-up on cheap parts", "percent", "60", MARKUP),
            money("middle_to", "Middling parts cost up to", "100.00"),
            number("middle", "Mark-up on middling parts", "percent", "40", MARKUP),
            number("high", "Mark-up on dearer parts", "percent", "25", MARKUP),
        ),
        _selling,
    ),
    Figure(
        "bill",
        "Tax and amount due",
        SECTION,
        "What is the tax, and what is left to pay?",
        (
            text("parts", "Parts, an amount a line", "125.00 38.75", needed=False, hint="Blanks between"),
            _rate("parts_tax", "Tax on parts", "6.25"),
            text("labour", "Labour, an amount a line", "133.00", needed=False, hint="Blanks between"),
            _rate("labour_tax", "Tax on labour", "0"),
            money("discount", "Discount on the whole bill", "20.00", needed=False),
            money("paid", "Paid before", "50.00", needed=False),
            choice(
                "basis",
                "Tax is rounded",
                [("document", "once for each rate"), ("line", "on every line")],
            ),
            yes("coins", "Paid in coins of 5 cents at least"),
        ),
        _bill,
    ),
)
