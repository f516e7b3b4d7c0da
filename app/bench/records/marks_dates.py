"""Marks and dates of a thing that runs out: gas cylinder, alarm, extinguisher."""

from app.bench.kinds import Context, Judged, heaviest_of
from app.bench.rows import YES_NO, Flat, Read, Row, row_kind
from app.trade.dates import Month, read_month
from app.trade.figure import By, Grade, Verdict
from app.trade.problems import Impossible
from app.trade.typed import Reader

TESTED = (*YES_NO, ("none", "Has none"))
FAR = 30  # years ahead that a two-digit end date may mean


class MarksDates(Flat):
    """One thing: its mark as read, month made, month it is good to, whether it passed its own test key."""

    what: str
    mark: str
    made: str = ""
    good_to: str
    tested: str


def rows(context: Context) -> tuple[Row, ...]:
    """The rows of a mark; a thing with a place of its own is named by it."""
    named = "" if context.place in ("", "unit") else context.label
    return (
        Row("what", "What it is", text=True, required="Say what it is", start=named),
        Row("mark", "Mark or number, letter by letter", text=True, required="The mark is missing"),
        Row("made", "Made or last requalified", text=True, reach="month and year, such as 03-2019"),
        Row(
            "good_to", "Good to the end of", text=True, reach="month and year", required="The date is missing"
        ),
        Row(
            "tested",
            "Works by its own test",
            options=TESTED,
            required="Say whether it works",
        ),
    )


def check(form: Reader, context: Context) -> None:
    """Both dates can be read, and what was made after today is refused."""
    today = Month.of(context.on)
    made = _month(form, "made", today)
    good_to = _month(form, "good_to", today.plus_years(FAR))
    if made and made > today:
        form.wrong("made", f"{made.words} is still to come", "a month up to today")
    if made and good_to and good_to < made:
        form.wrong("good_to", "This is before it was made", "a later month")


def _month(form: Reader, field: str, latest: Month) -> Month | None:
    try:
        return read_month(form.raw(field), latest) if form.raw(field) else None
    except Impossible as wrong:
        form.problems.append(wrong.at(field))
        return None


def judge(record: MarksDates, context: Context) -> Judged:
    """Inside to the end of the month named; after it, or where it fails its own test, not to be used."""
    today = Month.of(context.on)
    good_to = read_month(record.good_to, today.plus_years(FAR))
    found = [Verdict(Grade.SOUND, f"{record.what}: good to the end of {good_to.words}")]
    if good_to < today:
        found.append(Verdict(Grade.NEEDS, f"{record.what}: ran out with {good_to.words}", By.USE))
    if record.tested == "no":
        found.append(Verdict(Grade.NEEDS, f"{record.what}: does not answer its test", By.USE))
    return Judged(heaviest_of(found))


KIND = row_kind("marks_dates", "Marks and dates", "place", MarksDates, judge, Read(rows, check=check))
