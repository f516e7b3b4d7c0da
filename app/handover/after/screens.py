"""Pages after a unit has left: what falls due, the retorque visit with its paper, the shop's list."""

from datetime import date

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Engine
from sqlmodel import Session

from app.bench.kinds import Context
from app.bench.torques import WRENCH
from app.ground.acting import Act, now
from app.ground.book import reading
from app.ground.first import About, Beside, First, late
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, TECHNICIANS, WRITERS, Acting, Book, Page, Typed, printer_of
from app.ground.pages import Pages
from app.ground.press import NotPrinted
from app.ground.receipts import Stale
from app.ground.words import local
from app.handover.after import facts, rules, steps
from app.handover.after.facts import Afterwards
from app.handover.after.papers import visit_act, visit_paper
from app.handover.known import found
from app.handover.tables import FollowUp, RetorqueVisit
from app.intake.facts import order_head
from app.trade.problems import Refused

router = APIRouter()
NOT_LEFT = "This unit was not handed over yet."


@router.get("/handover/due", dependencies=[Depends(ANYONE)])
def due(book: Book, page: Page) -> Response:
    """Everything that falls due on units that have left, with whom to call."""
    with reading(book) as session:
        lines = facts.due_list(session)
    return page.show("handover/after/due", lines=lines, today=_today(page))


@router.get("/handover/follow-ups/{follow_id}", dependencies=[Depends(WRITERS)])
def follow_up(follow_id: int, book: Book, page: Page) -> Response:
    """The form that says how a thing which fell due was done."""
    return _follow_up(book, page, follow_id, None)


def _follow_up(book: Engine, page: Pages, follow_id: int, form: Filled | None, status: int = 200) -> Response:
    with found(book, follow_id) as session:
        it = facts.follow_up(session, follow_id)
        head = order_head(session, it.order_id)
    form = form or Filled({"on": _today(page).isoformat()}, revision=it.revision)
    ways = [(how.value, how.word) for how in rules.ways_of(it.kind)]
    return page.show("handover/after/follow_up", status=status, it=it, head=head, form=form, ways=ways)


@router.post("/handover/follow-ups/{follow_id}", dependencies=[Depends(WRITERS)])
def follow_up_done(follow_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps that a thing which fell due was done, or is no longer needed."""
    with found(book, follow_id) as session:
        it = facts.follow_up(session, follow_id)
        after = _after(session, it.order_id)
    left = local(after.handed_over, page.zone).date()
    try:
        said = rules.read_done(typed, kind=it.kind, handed_over=left, today=_today(page))
        steps.follow_up_done(book, act, follow_id, said)
    except Refused as refused:
        return _follow_up(book, page, follow_id, again(typed, refused.problems), 422)
    except Stale as stale:
        form = late(book, page.zone, typed, stale, About(FollowUp, id=follow_id), beside=_done_first)
        return _follow_up(book, page, follow_id, form, 409)
    return page.go(f"/handover/{it.order_id}#papers")


def _done_first(first: First) -> list[Beside]:
    row, words = first.row(FollowUp) or {}, {how.value: how.word for how in rules.DoneHow}
    how = Beside("how", "How it was done", row.get("done_how", ""), {**words, "visit": "at a retorque visit"})
    day = Beside("on", "Day", row.get("done_on") or "")
    return [how, day, Beside("says", "Who says so, and what was done", row.get("done_says", ""))]


@router.get("/handover/{order_id}/retorque", dependencies=[Depends(ANYONE)])
def retorque(order_id: int, book: Book, page: Page) -> Response:
    """The retorque visit's form: every wheel of the stay, gone round at its figure."""
    return _retorque(book, page, order_id, None)


def _retorque(book: Engine, page: Pages, order_id: int, form: Filled | None, status: int = 200) -> Response:
    with found(book, order_id) as session:
        after = _after(session, order_id)
        context = facts.visit_context(session, order_id, _today(page))
    form = form or Filled(_started(after, context), revision=len(after.visits))
    tools = context.tools_of((WRENCH,))
    return page.show(
        "handover/after/retorque",
        status=status,
        it=after,
        head=after.head,
        form=form,
        tools=tools,
        context=context,
    )


def _started(after: Afterwards, context: Context) -> dict[str, str]:
    """A fresh form: the first wheel's figure, wrench and unit as last time on this stay; no miles, which are
    read off.
    """
    wheels = after.wheels
    return {
        "torque": f"{wheels[0].figure.aim.normalize():f}" if wheels else "",
        "distance_unit": context.last_text("distance_unit") or "mi",
        "instrument": context.needed_tool((WRENCH,)),
    }


@router.post("/handover/{order_id}/retorque", dependencies=[Depends(TECHNICIANS)])
def keep_retorque(
    order_id: int, typed: Typed, act: Acting, request: Request, book: Book, page: Page
) -> Response:
    """Keeps a retorque visit with its verdict, and prints it."""
    try:
        made = steps.keep_visit(book, act, order_id, _read(book, page, order_id, typed))
    except Refused as refused:
        return _retorque(book, page, order_id, again(typed, refused.problems), 422)
    except Stale as stale:
        about = About(RetorqueVisit, work_order_id=order_id)
        form = late(book, page.zone, typed, stale, about, beside=_visit_first)
        return _retorque(book, page, order_id, form, 409)
    _print(request, book, act, made)
    return page.go(f"/handover/{order_id}/retorque#visits")


def _visit_first(first: First) -> list[Beside]:
    row = first.row(RetorqueVisit)
    if row is None:
        return []
    visit, words = rules.kept(row["payload"]), {"none": "no nut moved", "moved": "some moved"}
    wheels = [
        Beside(f"wheel-{it.place}", it.label, "moved" if it.moved else "none", words) for it in visit.wheels
    ]
    driven = Beside("miles", "Driven since the handover", visit.miles)
    return [driven, Beside("torque", "Wrench set to", visit.torque), *wheels]


def _read(book: Engine, page: Pages, order_id: int, typed: Sent) -> rules.Visit:
    with found(book, order_id) as session:
        after = _after(session, order_id)
        context = facts.visit_context(session, order_id, _today(page))
    rules.check_wheels(after.wheels)
    return rules.read_visit(typed, after.wheels, context)


@router.post("/handover/visits/{visit_id}/paper", dependencies=[Depends(ANYONE)])
def print_visit(visit_id: int, act: Acting, request: Request, book: Book, page: Page) -> Response:
    """Prints the paper of a retorque visit again, where it could not be printed at once."""
    with found(book, visit_id) as session:
        session.get_one(RetorqueVisit, visit_id)
    document = _print(request, book, act, visit_id)
    if document is None:
        raise HTTPException(503, "Not printed. The visit is in the book; print it again.")
    return page.go(f"/papers/{document}.pdf")


def _print(request: Request, book: Engine, act: Act, visit_id: int) -> int | None:
    """Key of the visit's paper, printed once; None where it could not be made: the visit stands."""
    with reading(book) as session:
        paper = visit_paper(session, visit_id)
    try:
        printer = printer_of(request)
        return printer.issue(visit_act(act, visit_id), paper)
    except NotPrinted:
        return None


def _after(session: Session, order_id: int) -> Afterwards:
    after = facts.afterwards(session, order_id)
    if after is None:
        raise HTTPException(404, NOT_LEFT)
    return after


def _today(page: Pages) -> date:
    return local(now(), page.zone).date()
