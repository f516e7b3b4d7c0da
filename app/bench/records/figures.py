"""Figures: what was worked out on the workbench, kept as it was shown, with what had been typed.

There is no form to fill: the workbench hands the record over, and a correction is another one.
"""

from app.bench.kinds import Context, Judged, Payload, RecordKind, heaviest_of
from app.trade.figure import Grade, Input, Source, Verdict, Worked
from app.trade.problems import Problem, Refused
from app.trade.typed import Typed

FROM_THE_WORKBENCH = "a figure attached on the workbench"


class Said(Payload):
    """A name and what stands beside it."""

    name: str
    says: str


class Judgement(Payload):
    """The verdict of a figure."""

    grade: Grade
    says: str


class Shown(Payload):
    """A worked figure as it was shown."""

    name: str
    says: str
    formula: str
    inputs: tuple[Said, ...]
    limit: str = ""
    verdict: Judgement | None = None
    source: str
    caution: str = ""


class Figures(Payload):
    """One entry of the workbench: its key and title, what for, what was typed, what came out.

    `typed` in words, as papers print it; `sent` by the form's own names, from which it is drawn again.
    """

    figure: str
    title: str
    what_for: str = ""
    typed: tuple[Said, ...] = ()
    sent: tuple[Said, ...] = ()
    figures: tuple[Shown, ...]


def read(typed: Typed, _context: Context) -> Figures:
    """The record that the workbench handed over; raises Refused for anything else."""
    try:
        return Figures.model_validate_json(typed.get("figures"))
    except ValueError:
        raise Refused([Problem("figures", "No figure is attached yet", FROM_THE_WORKBENCH)]) from None


def judge(record: Figures, _context: Context) -> Judged:
    """The heaviest verdict of the figures; sound where they only say a value."""
    verdicts = [Verdict(each.verdict.grade, each.verdict.says) for each in record.figures if each.verdict]
    said = Verdict(Grade.SOUND, f"{record.title}: {record.figures[0].says}")
    return Judged(heaviest_of(verdicts) if verdicts else said, tuple(map(_worked, record.figures)))


def _worked(shown: Shown) -> Worked[object]:
    verdict = Verdict(shown.verdict.grade, shown.verdict.says) if shown.verdict else None
    return Worked(
        name=shown.name,
        value=shown.says,
        says=shown.says,
        formula=shown.formula,
        inputs=tuple(Input(each.name, each.says) for each in shown.inputs),
        source=Source(shown.source),
        limit=shown.limit,
        verdict=verdict,
        caution=shown.caution,
    )


def start(_context: Context) -> dict[str, str]:
    """Nothing stands before a figure is attached."""
    return {}


def texts(record: Figures) -> dict[str, str]:
    """The form that gives a record again."""
    return {"figures": record.model_dump_json()}


KIND = RecordKind(
    key="figures",
    title="Figures",
    per="unit",
    shape=Figures,
    read=read,
    judge=judge,
    start=start,
    texts=texts,
)
