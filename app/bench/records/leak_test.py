"""Timed leak test of a gas system: nothing lost, at the pressure and for the time of its kind."""

import re

from app.bench.kinds import Context, Judged, heaviest_of
from app.bench.rows import Flat, Read, Row, row_kind, words
from app.trade.figure import By, Grade, Verdict
from app.trade.gas_tests import CAUTION, HOLD_TESTS, Timed, leak_test
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, read_number
from app.trade.typed import Reader, Typed

USUAL_VOLUME_FT3 = "0.25"
SOAPED = (("dry", "No bubbles"), ("bubbles", "Bubbles grow"), ("not", "Not soaped yet"))
CLOCK = "by the clock, such as 14:05"
CLOCKED = re.compile(r"^([01]?[0-9]|2[0-3]):([0-5][0-9])$")
A_DAY = 24 * 60
TESTS = tuple((key, test.name.capitalize()) for key, test in HOLD_TESTS.items())


class LeakTest(Flat):
    """One test. Pressures in the unit of its kind (in wc, psi for new pipe), minutes, °F, and the clock.

    `soap`: what every joint showed in soap with the pressure on.
    """

    test: str
    began: str = ""
    ended: str = ""
    soap: str = ""
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
        words("began", "Begun at", CLOCK, required="The time is missing"),
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
        words("ended", "Ended at", CLOCK, required="The time is missing"),
        Row("soap", "Every joint in soap, 30 s each", options=SOAPED, required="Say what the soap showed"),
        Row("volume", "Gas space, ft³, where known", most="50"),
    )


def _warmth(name: str, label: str) -> Row:
    return Row(name, label, "degF", least="-60", most="160", required="The temperature is missing")


def check(form: Reader, _context: Context) -> None:
    """Time and volume are above 0, and the clock allows for the minutes watched."""
    for name in ("minutes", "volume"):
        try:
            if form.raw(name) and read_number(form.raw(name)) <= 0:
                form.wrong(name, "This cannot be 0", "above 0, such as 3")
        except Impossible:
            continue  # said already where the number was read
    _check_clock(form)


def _check_clock(form: Reader) -> None:
    times = {name: CLOCKED.match(form.raw(name)) for name in ("began", "ended")}
    for name, found in times.items():
        if form.raw(name) and not found:
            form.wrong(name, "This is not a time of the day", CLOCK)
    began, ended = (int(each[1]) * 60 + int(each[2]) if each else None for each in times.values())
    if began is not None and ended is not None and not form.problems:
        passed = (ended - began) % A_DAY
        if read_number(form.raw("minutes")) > passed + 1:  # the clock shows whole minutes
            form.wrong("ended", f"The clock says {passed} min", "as many minutes as were watched")


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
    return Judged(heaviest_of([figure.verdict, *SOAP_SAYS.get(record.soap, ())]), (figure,))


SOAP_SAYS = {
    "bubbles": (Verdict(Grade.NEEDS, "bubbles at a joint: shut the cylinders and tag them", By.USE),),
    "not": (Verdict(Grade.UNSEEN, "joints not soaped yet"),),
}


KIND = row_kind(
    "leak_test",
    "Leak test",
    "unit",
    LeakTest,
    judge,
    Read(rows, ("manometer", "pressure gauge"), check, CAUTION, unit_of=unit_of),
)
