"""What was done to the unit: works with what came of them, their sum, what falls due from them."""

import re
from collections.abc import Collection, Iterator, Sequence

from sqlmodel import col, select

from app.accounts.facts import settled_of
from app.accounts.rows import paid_of
from app.bench.facts import RecordLine
from app.bench.tables import Job
from app.estimate.rows import as_line, charges_of, lines_of
from app.estimate.sums import sums
from app.estimate.tables import Answer, Consent, Revision, Work, WorkLine
from app.ground.shop import settings_of
from app.handover import record
from app.handover.duties import Done
from app.handover.kept import figures_of
from app.handover.told.teller import Teller, keys_of
from app.trade.dates import Month, read_month
from app.trade.letters import RUN_ON, apart, run_on
from app.trade.quantity import UNITS, with_unit

WHEELS = {"wheel_torque", "tires_fitted", "balance", "bearing_adjustment"}  # the wheel was off
MONTH = re.compile(r"\d{2}-\d{4}")
CYLINDER_DATE = "lp.date"
LAST_USE = "requalification due"


def done_of(it: Teller) -> Done:
    """What was done that falls due again: nuts, bolts, linings, bearings, and the cylinders' last months."""
    kinds = {row.kind for row in it.stay.records}
    kinds |= {kind for work, _ in it.finished for kind in work.records}
    drums = any({"brake_readings", "bearing_adjustment"} <= set(work.records) for work, _ in it.finished)
    return Done(
        nuts=_nut_figure(it.stay.records) if kinds & WHEELS else None,
        retorques=settings_of(it.session).retorques,
        bolts="fastener_torque" in kinds,
        linings=drums,
        bearings="bearing_adjustment" in kinds,
        cylinders=tuple(_cylinders(it)),
    )


def _nut_figure(rows: Sequence[RecordLine]) -> str:
    """The wheel nuts' figure as the newest torque record has it; empty where none has."""
    said = [row.payload for row in rows if row.kind == "wheel_torque" and row.payload.get("low")]
    if not said:
        return ""
    low, high = str(said[-1]["low"]), str(said[-1].get("high") or said[-1]["low"])
    unit = str(said[-1].get("unit", ""))
    return with_unit(low if low == high else f"{low} to {high}", unit) if unit in UNITS else low


def _cylinders(it: Teller) -> Iterator[tuple[str, Month]]:
    for spot in it.stay.spots:
        for figure in spot.line.worked if spot.line.check == CYLINDER_DATE else ():
            if figure.get("name") == LAST_USE and (month := _month(str(figure.get("says", "")), it)):
                yield spot.line.name, month


def _month(says: str, it: Teller) -> Month | None:
    found = MONTH.search(says)
    return read_month(found[0], Month.of(it.today).plus_years(20)) if found else None


def works_done(it: Teller) -> Iterator[record.WorkDone]:
    """The works whose job is finished, with what came of each and the amount agreed."""
    for work, job in it.finished:
        word = it.stay.words.get(work.key)
        yield record.WorkDone(
            title=work.title,
            result=result_of(it.stay.records, job, _figures(it, work), _lent(it, job)),
            amount=word.amount if word else 0,
            finished_on=it.day_of(job.finished_at),
            finished_by=it.names.get(job.finished_by or 0, ""),
            accepted=_accepted(it, job),
        )


def _figures(it: Teller, work: Work) -> frozenset[str]:
    """The names of the figures that tell the faults behind a work put right.

    Those by which they were graded, and what their checks cite of a record (`shown_by`).
    """
    keys = set(it.by_work.get(work.key, ()))
    spots = [spot for spot in it.stay.spots if keys_of(spot) & keys]
    checks = {check.key: check for check in it.stay.catalogue.checks} if it.stay.catalogue else {}
    asked = [each for spot in spots if spot.line.check in checks for each in checks[spot.line.check].shown_by]
    return frozenset().union(*map(figures_of, spots), (each.cites for each in asked if each.cites))


def _lent(it: Teller, job: Job) -> frozenset[int]:
    """Keys of the records of other jobs by which a job cleared what was at fault."""
    cleared = [each for spot in it.stay.spots for each in spot.clearances if each.job_id == job.key]
    return frozenset[int]().union(*(each.lent for each in cleared))


def result_of(
    records: Sequence[RecordLine],
    job: Job,
    named: Collection[str] = (),
    lent: Collection[int] = (),
) -> str:
    """What came of a job: the words of its records, each once; done where it asks for none.

    `named`: figures that belong to what was at fault, told first: linings say nothing of a wire put right.
    `lent`: records of other jobs that serve it too. A job that a lead accepted without a record is not said
    to be done: nothing proves it.
    """
    mine = [row for row in records if row.job_id == job.key or row.id in lent]
    says = [*_cited(mine, named), *(part for row in mine for part in row.says.split(RUN_ON))]
    once = dict[str, str]()
    for each in says:
        once.setdefault(each.lower(), each)
    return run_on(once.values()) if once else ("no record proves it" if job.accepted_by else "done")


def _cited(records: Sequence[RecordLine], named: Collection[str]) -> Iterator[str]:
    for row in records:
        for each in row.worked:
            if each.get("name") in named and (verdict := each.get("verdict")):
                yield str(verdict["says"])


def _accepted(it: Teller, job: Job) -> str:
    by = it.names.get(job.accepted_by or 0, "")
    reason = job.accepted_reason.rstrip(". ")  # the paper ends the sentence
    return f"Accepted by {apart(by)}: {apart(reason)}" if reason else ""


def cost_of(it: Teller) -> record.Cost | None:
    """Sum of the agreed work that was done, as it was agreed; None where nothing was."""
    done = {work.key for work, _ in it.finished}
    lines = [line for line in _agreed_lines(it) if line.work_id in done]
    if not lines:
        return None
    shown = it.session.get_one(Revision, max(line.revision_id for line in lines))
    found = sums([as_line(line) for line in lines], charges_of(it.session, shown, it.today))
    taxes = tuple(
        record.TaxLine(rate=each.rate, base=each.base, tax=each.tax) for each in found.taxes if each.tax
    )
    return record.Cost(net=found.net, taxes=taxes, tax=found.tax, gross=found.gross)


def invoiced_of(it: Teller) -> record.Invoiced | None:
    """What was billed and paid by now; None where nothing was billed."""
    found = settled_of(it.session, it.stay.head.order_id)
    if found is None:
        return None
    return record.Invoiced(numbers=found.numbers, gross=found.invoiced, paid=found.paid, due=found.due)


def held_of(it: Teller) -> int | None:
    """What was paid ahead and is held for the owner, in minor units; None where a bill tells it."""
    order_id = it.stay.head.order_id
    return None if settled_of(it.session, order_id) else paid_of(it.session, order_id)


def _agreed_lines(it: Teller) -> Iterator[WorkLine]:
    """The lines of each work agreed to, from the revision that the owner said yes to."""
    said = it.session.exec(
        select(Answer.work_id, Answer.answer, Consent.revision_id)
        .join(Consent, col(Answer.consent_id) == col(Consent.id))
        .join(Work, col(Answer.work_id) == col(Work.id))
        .where(Work.work_order_id == it.stay.head.order_id)
        .order_by(col(Answer.id))
    )
    latest = {work_id: (answer, revision_id) for work_id, answer, revision_id in said}
    for work_id, (answer, revision_id) in latest.items():
        if answer == "yes":
            yield from (line for line in lines_of(it.session, revision_id) if line.work_id == work_id)
