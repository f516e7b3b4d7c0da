"""Breakaway test on its battery: pin pulled, tow plug out, every braked wheel held for 15 minutes."""

from app.bench.kinds import Context, Judged, heaviest_of
from app.bench.rows import Flat, Read, Row, row_kind
from app.trade.brakes import Hold, breakaway_hold
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, read_number
from app.trade.typed import Reader

NOTE = "Chocks set and tow plug out before the pin is pulled: current fed back harms a controller."


class Breakaway(Flat):
    """One test. Volts and amps at the start and at the end, minutes held, wheels held of wheels braked."""

    volts_start: str
    amps_start: str = ""
    minutes: str
    volts_end: str
    amps_end: str = ""
    wheels_held: str
    wheels_braked: str


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of a test, in the order of the clock."""
    return (
        _volts("volts_start", "Volts, pin just pulled", "at least 12"),
        Row("amps_start", "Amps, pin just pulled", "A", most="60"),
        Row("minutes", "Held for", "min", "at least 15", most="120", required="The time is missing"),
        _volts("volts_end", "Volts at the end", "at least 10.5"),
        Row("amps_end", "Amps at the end", "A", most="60"),
        *wheel_rows(),
    )


def _volts(name: str, label: str, reach: str) -> Row:
    return Row(name, label, "V", reach, most="18", usual=("9", "15"), required="The voltage is missing")


def wheel_rows() -> tuple[Row, Row]:
    """Wheels that hold, of those that have brakes: 1 to 12."""
    return (
        _count("wheels_held", "Wheels that hold", "every braked wheel"),
        _count("wheels_braked", "Wheels with brakes", least="1"),
    )


def _count(name: str, label: str, reach: str = "", *, least: str = "0") -> Row:
    return Row(name, label, "", reach, least=least, most="12", whole=True, required="Count missing")


def check_wheels(form: Reader, _context: Context) -> None:
    """No more wheels hold than have brakes."""
    try:
        held, braked = read_number(form.raw("wheels_held")), read_number(form.raw("wheels_braked"))
    except Impossible:
        return
    if held > braked:
        form.wrong("wheels_held", "More wheels hold than have brakes", f"at most {braked}")


def judge(record: Breakaway, context: Context) -> Judged:
    """The hold against 15 minutes, every braked wheel, 10.5 V."""
    test = Hold(
        minutes=Quantity(record.minutes, "min"),
        volts_end=Quantity(record.volts_end, "V"),
        wheels_held=int(read_number(record.wheels_held)),
        wheels_braked=int(read_number(record.wheels_braked)),
    )
    figure = breakaway_hold(test, required=context.brakes_required)
    assert figure.verdict is not None
    return Judged(heaviest_of([figure.verdict]), (figure,))


KIND = row_kind(
    "breakaway", "Breakaway test", "unit", Breakaway, judge, Read(rows, ("multimeter",), check_wheels, NOTE)
)
