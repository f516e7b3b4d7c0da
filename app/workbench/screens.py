"""The pages of the workbench: the list, one figure with its form and answer, figures of a work order."""

from collections.abc import Mapping
from datetime import date
from typing import Annotated
from urllib.parse import urlencode

from fastapi import APIRouter, Depends, HTTPException, Path, Request, Response
from sqlalchemy import Engine

from app.bench.facts import RecordLine
from app.bench.records.figures import Figures
from app.ground.acting import now
from app.ground.book import reading
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, Acting, Book, Page, Typed
from app.ground.pages import Pages
from app.ground.words import local
from app.intake.facts import order_head
from app.trade.problems import Problem, Refused
from app.workbench import facts, rules, steps
from app.workbench.entry import Drawn, Figure, Kind
from app.workbench.registry import all_figures, by_section

router = APIRouter()
Key = Annotated[int, Path(ge=1, lt=2**63)]
TO, WHAT_FOR = "attach-to", "attach-for"
NOT_OF_THE_FIGURE = ("submission", "token", "revision", TO, WHAT_FOR)


@router.get("/workbench", dependencies=[Depends(ANYONE)])
def list_page(page: Page, find: str = "") -> Response:
    """All figures of the trade, by subject."""
    asked = find.strip()[:60]
    return page.show("workbench/list", sections=by_section(asked), asked=asked)


@router.get("/workbench/orders/{order_id}", dependencies=[Depends(ANYONE)])
def order_page(order_id: Key, book: Book, page: Page) -> Response:
    """The figures that are attached to a work order."""
    with reading(book) as session:
        records = facts.attached(session, order_id)
        if records is None:
            raise HTTPException(404, "There is no such work order.")
        head = order_head(session, order_id)
    drawings = {each.id: _drawing(each, page) for each in records}
    return page.show("workbench/order", records=records, drawings=drawings, head=head)


def _drawing(record: RecordLine, page: Pages) -> Drawn | None:
    kept = Figures.model_validate(record.payload)
    figure = all_figures().get(kept.figure)
    return rules.drawn_again(figure, kept, local(record.made_at, page.zone).date())


@router.get("/workbench/{key}", dependencies=[Depends(ANYONE)])
def figure_page(key: str, request: Request, book: Book, page: Page) -> Response:
    """One figure: what it asks for, its working, its drawing."""
    figure = _figure(key)
    sent = Sent(request.query_params.multi_items())
    asked = any(sent.has(each.name) for each in figure.fields) or not figure.fields
    return _worked(book, page, figure, sent if asked else None)


@router.post("/workbench/{key}", dependencies=[Depends(ANYONE)])
def work_out(key: str, typed: Typed, book: Book, page: Page) -> Response:
    """Works a figure out from the form, with nothing kept."""
    return _worked(book, page, _figure(key), typed)


@router.post("/workbench/{key}/attach", dependencies=[Depends(ANYONE)])
def attach(key: str, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Attaches a worked figure to a work order as a record."""
    figure = _figure(key)
    with reading(book) as session:
        place = next((each for each in facts.places(session) if each.value == typed.get(TO)), None)
    try:
        payload = rules.record_of(figure, typed, _today(page), rules.read_what_for(typed, WHAT_FOR))
        if place is None:
            raise Refused([Problem(TO, "Choose where it goes", "a unit on the lot")])
        steps.attach_figure(book, act, place, payload)
    except Refused as refused:
        return _worked(book, page, figure, typed, refused)
    return page.go(f"/workbench/orders/{place.order_id}")


def _figure(key: str) -> Figure:
    if key not in all_figures():
        raise HTTPException(404, "There is no such figure.")
    return all_figures()[key]


def _today(page: Pages) -> date:
    return local(now(), page.zone).date()


def _worked(
    book: Engine, page: Pages, figure: Figure, sent: Sent | None, refused: Refused | None = None
) -> Response:
    """The page of a figure: fresh, worked out, or refused with what was typed (422)."""
    form, found, today = Filled(_fresh(figure, _today(page))), None, _today(page)
    problems = list(refused.problems) if refused else []
    if sent is not None:
        try:
            found = rules.answer(figure, sent, today)
        except Refused as wrong:
            problems = list(dict.fromkeys([*wrong.problems, *problems]))
        form = again(sent, problems)
    with reading(book) as session:
        told = {"cautions": facts.cautions_of(session, figure), "places": facts.places(session)}
    return page.show(
        "workbench/figure",
        status=422 if problems else 200,
        figure=figure,
        form=form,
        answer=found,
        example=urlencode(rules.example_query(figure)),
        kept=_kept(sent),
        Kind=Kind,
        **told,
    )


def _fresh(figure: Figure, today: date) -> Mapping[str, str]:
    return {each.name: today.isoformat() if each.today else each.start for each in figure.fields}


def _kept(sent: Sent | None) -> list[tuple[str, str]]:
    """What was typed, to go with the form that attaches it."""
    return [pair for pair in sent.pairs if pair[0] not in NOT_OF_THE_FIGURE] if sent else []
