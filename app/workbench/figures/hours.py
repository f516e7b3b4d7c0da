"""Dates and hours: due again, promised, hours of work."""

from datetime import date

from app.trade.holidays import FIRST_YEAR, LAST_YEAR, days_kept, federal_holidays
from app.trade.intervals import Calendar, Every, days_of_work, next_due, promise, tenths_of_hours
from app.trade.problems import Impossible
from app.workbench.entry import MILES, Figure, Figures, Values, day, number, numbers, text, whole, yes

SECTION = "Dates and hours"
HOURS = ("0", "1000")
YEARS_AHEAD = 5  # that 1,000 working days can reach


def _due(values: Values) -> Figures:
    months = values.whole("months") if values.has("months") else None
    every = Every(months, values.maybe_number("every", "mi"))
    return (next_due(values.day("done"), every, values.maybe_number("at", "mi")),)


def _off(values: Values) -> frozenset[date]:
    try:
        return frozenset(map(date.fromisoformat, values.text("off").replace(",", " ").split()))
    except ValueError:
        raise Impossible("A day off is not a date", "such as 2026-05-25 2026-07-03") from None


def _promise(values: Values) -> Figures:
    week = frozenset(range(6 if values.yes("saturday") else 5))
    start = values.day("start")
    off = _off(values) | (days_kept(start.year, YEARS_AHEAD) if values.yes("federal") else frozenset())
    return (promise(start, values.whole("days"), Calendar(week, off)),)


def _work(values: Values) -> Figures:
    hours = values.number("own", "h"), values.number("day", "h")
    return (days_of_work(values.numbers("ahead", "h"), *hours),)


def _tenths(values: Values) -> Figures:
    return (tenths_of_hours([int(each) for each in values.numbers("minutes", "min")]),)


FIGURES = (
    Figure(
        "due-again",
        "Due again",
        SECTION,
        "When is this due again, by months or miles, whichever comes first?",
        (
            day("done", "Done on", "2026-05-04"),
            whole("months", "Every so many months", "12", (1, 360), needed=False),
            number("every", "Every so many miles", MILES, "12000", ("1", "100000"), needed=False),
            number("at", "Miles when done", MILES, "14500", ("0", "2000000"), needed=False),
        ),
        _due,
    ),
    Figure(
        "promised-day",
        "Promised day",
        SECTION,
        "Which day are so many working days from the start?",
        (
            day("start", "Start", "2026-05-04"),
            whole("days", "Working days", "10", (0, 1000)),
            text("off", "Days off", "2026-05-25", needed=False, hint="Dates with blanks between"),
            yes("saturday", "Saturdays are worked"),
            yes("federal", "Federal holidays are off"),
        ),
        _promise,
    ),
    Figure(
        "holidays",
        "Public holidays of a year",
        SECTION,
        "On which days are the federal holidays kept?",
        (whole("year", "Year", "2026", (FIRST_YEAR, LAST_YEAR)),),
        lambda values: (federal_holidays(values.whole("year")),),
    ),
    Figure(
        "days-of-work",
        "Working days until done",
        SECTION,
        "How many working days until this job is done, behind those ahead?",
        (
            numbers("ahead", "Hours of each job ahead", "h", "4 6.5", HOURS, needed=False),
            number("own", "Hours of this job", "h", "9", HOURS),
            number("day", "Hours a day at the bench", "h", "6", ("0.1", "24"), start="6"),
        ),
        _work,
    ),
    Figure(
        "hours-worked",
        "Hours in tenths",
        SECTION,
        "How many tenths of an hour are these minutes?",
        (numbers("minutes", "Minutes of each piece of work", "min", "27 14 51", ("0", "1440")),),
        _tenths,
    ),
)
