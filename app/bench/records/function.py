"""Function test of a thing that opens, holds or moves: door, lock, exit, jack, ramp, alarm."""

from app.bench.kinds import Context, Judged, heaviest_of
from app.bench.rows import Flat, Read, Row, row_kind
from app.trade.figure import By, Grade, Verdict
from app.trade.quantity import Quantity
from app.trade.typed import Reader

ANSWERS = (("yes", "Yes"), ("no", "No"), ("none", "Does not apply"))


class Function(Flat):
    """One thing tried. Force in lbf with the most that it may take, where it was measured."""

    what: str
    opens: str
    holds: str
    force: str = ""
    force_most: str = ""
    words: str = ""


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of a function test."""
    return (
        Row("what", "What was tried", text=True, required="Say what was tried"),
        Row("opens", "Opens, moves, sounds", options=ANSWERS, required="Say whether it works"),
        Row("holds", "Holds, latches, stays", options=ANSWERS, required="Say whether it holds"),
        Row("force", "Force it takes", "lbf", most="1000"),
        Row("force_most", "Most force, by its maker", "lbf", most="1000"),
        Row("words", "How it was tried, times, remarks", text=True),
    )


def check(form: Reader, _context: Context) -> None:
    """Something applies."""
    if form.raw("opens") == form.raw("holds") == "none":
        form.wrong("opens", "Nothing was tried", "yes or no to one of the two")


def judge(record: Function, _context: Context) -> Judged:
    """Inside where all that applies works and the force is at most its maker's figure."""
    found = [Verdict(Grade.SOUND, f"{record.what}: works")]
    if "no" in (record.opens, record.holds):
        found.append(Verdict(Grade.NEEDS, f"{record.what}: does not work", By.USE))
    force, most = record.quantity("force", "lbf"), record.quantity("force_most", "lbf")
    if force and most and force.value > most.value:
        found.append(Verdict(Grade.NEEDS, f"{record.what}: takes {force}, {_at_most(most)}", By.USE))
    return Judged(heaviest_of(found))


def _at_most(most: Quantity) -> str:
    return f"at most {most} by its maker"


KIND = row_kind(
    "function",
    "Function test",
    "place",
    Function,
    judge,
    Read(rows, ("spring scale",), check, tool_required=False),
)
