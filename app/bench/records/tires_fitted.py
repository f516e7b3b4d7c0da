"""A tire as fitted: its number, size, load and cold pressure, with age and the axle's capacity."""

from decimal import Decimal

from app.bench.kinds import Context, Judged, heaviest_of, refused_at
from app.bench.rows import Flat, Read, Row, row_kind
from app.trade.figure import Verdict, Worked, plain
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, convert, read_number
from app.trade.tin import read_tin
from app.trade.tire_age import tire_age, without_date
from app.trade.tire_load import Fitted, capacity_against_gawr
from app.trade.tire_pressure import cold_pressure
from app.trade.tire_size import SizeKind, read_size
from app.trade.typed import Reader

PASSENGER = (SizeKind.P, SizeKind.EURO)
NOTE = "The tire can burst: let all air out before breaking the bead, stand aside while filling."


class TireFitted(Flat):
    """One tire. Load in lb as marked (the dual load with duals), pressures in psi, cold."""

    tin: str
    size: str
    load: str
    pressure: str
    placard: str
    most: str


def rows(context: Context) -> tuple[Row, ...]:
    """The rows of a tire."""
    return (
        Row("tin", "Number after DOT", "", "with its date", text=True, required="The number is missing"),
        Row("size", "Size", text=True, start=context.tire_size, required="The size is missing"),
        Row("load", "Most load, as fitted", "lb", least="200", most="9000", required="The load is missing"),
        _psi("placard", "Pressure on the placard", "", start=_placard_psi(context)),
        _psi("most", "Lowest limit of tire, wheel, valve", ""),
        _psi("pressure", "Cold pressure set", "the placard", least="0"),
    )


def _placard_psi(context: Context) -> str:
    """The placard's pressure of the book in the form's unit, whole; empty where the book has none."""
    if context.pressure_unit == "psi" or not context.tire_pressure:
        return context.tire_pressure
    return plain(convert(read_number(context.tire_pressure), context.pressure_unit, "psi"))


def _psi(name: str, label: str, reach: str, *, least: str = "10", start: str = "") -> Row:
    missing = "The pressure is missing"
    return Row(name, label, "psi", reach, least=least, most="150", required=missing, start=start)


def check(form: Reader, context: Context) -> None:
    """Number and size can be read, the placard is in reach; another size than the unit's is asked about."""
    _check_text(form, "tin", lambda: read_tin(form.raw("tin"), context.on))
    _check_text(form, "size", lambda: read_size(form.raw("size")))
    known, typed = (text.replace(" ", "").upper() for text in (context.tire_size, form.raw("size")))
    if known and typed and typed != known and not refused_at(form, "size"):
        form.ask("size", f"The unit's size is {context.tire_size}", "the size on the label")
    try:
        if read_number(form.raw("placard")) > read_number(form.raw("most")):
            form.wrong(
                "most", "The placard asks for more than this limit", "a tire, wheel and valve that take it"
            )
    except Impossible:
        return


def _check_text(form: Reader, field: str, reads: object) -> None:
    assert callable(reads)
    try:
        if form.raw(field):
            reads()
    except Impossible as wrong:
        form.problems.append(wrong.at(field))


def judge(record: TireFitted, context: Context) -> Judged:
    """The heaviest of: cold pressure, age by the number's date, capacity of the axle with tires like it."""
    psi, placard, most = (read_number(each) for each in (record.pressure, record.placard, record.most))
    figures = [cold_pressure(psi, placard, most), *_age(record, context), *_capacity(record, context)]
    verdicts = [each.verdict for each in figures if each.verdict]
    return Judged(heaviest_of([*verdicts, *_undated(record, context)]), tuple(figures))


def _age(record: TireFitted, context: Context) -> list[Worked[object]]:
    code = read_tin(record.tin, context.on).date
    return [tire_age(code, context.on, context.tire_ages)] if code else []


def _undated(record: TireFitted, context: Context) -> list[Verdict]:
    return [] if read_tin(record.tin, context.on).date else [without_date()]


def _capacity(record: TireFitted, context: Context) -> list[Worked[object]]:
    """Reserve of the axle with all its tires like this one; nothing where its rating is not known."""
    axle = _gawr_lb(context)
    if axle is None:
        return []
    tire = Fitted(read_number(record.load), read_size(record.size).kind in PASSENGER)
    return [capacity_against_gawr([tire] * (4 if context.place.count("-") > 2 else 2), axle)]


def _gawr_lb(context: Context) -> Decimal | None:
    parts = context.place.split("-")
    number = int(parts[1]) if len(parts) > 2 and parts[1].isdecimal() else 0
    if not 1 <= number <= len(context.gawr):
        return None
    try:
        pounds = convert(Quantity(context.gawr[number - 1], context.gawr_unit).value, context.gawr_unit, "lb")
    except Impossible:
        return None
    return pounds if 500 <= pounds <= 20000 else None


KIND = row_kind(
    "tires_fitted",
    "Tire fitted",
    "tire",
    TireFitted,
    judge,
    Read(rows, ("pressure gauge",), check, NOTE, tool_required=False),
)
