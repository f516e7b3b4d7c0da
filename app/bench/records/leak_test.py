"""Timed leak test of a gas system: nothing lost, at the pressure and for the time of its kind."""

from app.bench.kinds import Context, Judged, heaviest_of
from app.bench.rows import Flat, Read, Row, row_kind
from app.trade.gas_tests import CAUTION, HOLD_TESTS, Timed, leak_test
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, read_number
from app.trade.typed import Reader, Typed

USUAL_VOLUME_FT3 = "0.25"
TESTS = tuple((key, test.name.capitalize()) for key, test in HOLD_TESTS.items())


class LeakTest(Flat):
    """One test. Pressures in the unit of its kind (in wc, psi for new pipe), minutes, °F."""

    test: str
    start: str
    start_temperature: str
    end: str
    end_temperature: str
    minutes: str
    volume: str = ""


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of a test, in the order of the clock."""
    limits = "; ".join(test.pressure for test in HOLD_TESTS.values())
    times = "3; with appliances 10; new pipe 15"
    return (
        Row("test", "Which test", options=TESTS, required="Say which test", start="leak"),
        Row(
            "start",
            "Pressure at the start",
            "",
            limits,
            most="400",
            required="The start is missing",
            tested=True,
        ),
        _warmth("start_temperature", "Temperature at the start"),
        Row("minutes", "Watched for", "min", times, most="1440", required="The time is missing"),
        Row("end", "Pressure at the end", "", "as at the start", most="400", required="The end is missing"),
        _warmth("end_temperature", "Temperature at the end"),
        Row("volume", "Gas space, ft³, where known", most="50"),
    )


def _warmth(name: str, label: str) -> Row:
    return Row(name, label, "degF", least="-60", most="160", required="The temperature is missing")


def check(form: Reader, _context: Context) -> None:
    """Time and volume are above 0."""
    for name in ("minutes", "volume"):
        try:
            if form.raw(name) and read_number(form.raw(name)) <= 0:
                form.wrong(name, "This cannot be 0", "above 0, such as 3")
        except Impossible:
            continue  # said already where the number was read


def unit_of(row: Row, typed: Typed) -> str:
    """Pressures are in the unit of the test that was chosen."""
    test = HOLD_TESTS.get(typed.get("test"))
    return test.unit if test and row.name in ("start", "end") else row.unit


def judge(record: LeakTest, _context: Context) -> Judged:
    """What the timed test means: no loss is tolerated, too short or at another pressure proves nothing."""
    test = HOLD_TESTS[record.test]
    timed = Timed(
        start=Quantity(record.start, test.unit),
        end=Quantity(record.end, test.unit),
        minutes=Quantity(record.minutes, "min"),
        start_temperature=Quantity(record.start_temperature, "degF"),
        end_temperature=Quantity(record.end_temperature, "degF"),
        volume_ft3=read_number(record.volume or USUAL_VOLUME_FT3),
    )
    figure = leak_test(timed, test)
    assert figure.verdict is not None
    return Judged(heaviest_of([figure.verdict]), (figure,))


KIND = row_kind(
    "leak_test",
    "Leak test",
    "unit",
    LeakTest,
    judge,
    Read(rows, ("manometer", "pressure gauge"), check, CAUTION, unit_of=unit_of),
)
