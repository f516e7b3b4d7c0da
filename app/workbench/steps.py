"""The one act of the workbench: a figure is attached to a work order, or to a job that asks for figures."""

from sqlalchemy import Engine

from app.bench import steps as bench
from app.bench.kinds import Context
from app.bench.records.figures import KIND, Figures
from app.bench.rules import WHOLE_UNIT
from app.bench.tables import BenchRecord
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.shop import shop_of
from app.ground.words import local
from app.trade.figure import shown
from app.workbench.facts import Place


def attach_figure(book: Engine, act: Act, place: Place, payload: Figures) -> int:
    """Keep a worked figure as a record; returns its key.

    On a job it proves the job's own list, and is refused where that does not ask for figures or has them.
    """
    if place.job_id is not None:
        return bench.keep_record(book, act, place.job_id, KIND.key, WHOLE_UNIT.key, payload)
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        on = local(act.at, shop_of(session).zone).date()
        judged = KIND.judge(payload, Context(WHOLE_UNIT.key, WHOLE_UNIT.label, on))
        record = BenchRecord(
            created_at=act.at,
            work_order_id=place.order_id,
            kind=KIND.key,
            place=WHOLE_UNIT.key,
            payload=payload.model_dump(mode="json"),
            inside=judged.inside,
            says=judged.verdict.says,
            worked=[shown(each) for each in judged.figures],
            made_by=act.person,
        )
        return receipts.sign(session, act, "attach figure", record)
