"""Pages of the handover: what stands in the way, the final check, how the unit leaves, its papers."""

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from fastapi.responses import JSONResponse
from sqlalchemy import Engine

from app.ground.acting import Act, new_key, now
from app.ground.book import reading
from app.ground.first import About, Beside, First, late
from app.ground.forms import Filled, again
from app.ground.gate import ANYONE, WRITERS, Acting, Book, InTheMaking, Page, Typed, printer_of, prints_of
from app.ground.pages import Pages
from app.ground.press import NotPrinted
from app.ground.printing import Coming
from app.ground.receipts import Stale
from app.handover import facts, inspected, rules, steps
from app.handover.facts import HandoverPage
from app.handover.known import NO_SUCH, found
from app.handover.papers import handover_paper, paper_act, paper_key
from app.handover.record import schema, schema_of
from app.handover.road import road_ready
from app.handover.rules import Stop
from app.handover.tables import Handover
from app.trade.problems import Refused

router = APIRouter()
LEAVES = (("towed", "Under tow"), ("carried", "On a carrier, wheels off the road"))


@router.get("/handover/schema.json", dependencies=[Depends(ANYONE)])
def record_schema() -> Response:
    """The published JSON schema of the record that is inside every handover paper."""
    return JSONResponse(schema(), media_type="application/schema+json")


@router.get("/handover/inspection-schema.json", dependencies=[Depends(ANYONE)])
def report_schema() -> Response:
    """The published JSON schema of the record that is inside every inspection report."""
    return JSONResponse(schema_of(inspected.Report), media_type="application/schema+json")


@router.get("/handover/{order_id}", dependencies=[Depends(ANYONE)])
def handover(order_id: int, request: Request, book: Book, page: Page) -> Response:
    """The handover page: what stands in the way, the final check, how the unit leaves, its papers.

    Who sees it may sign next, as after the final check: the paper is made ready for that.
    """
    shown = _show(book, page, order_id)
    if page.who is not None:
        act = Act(new_key(), "", page.who.id, now())
        rows = steps.expected(book, act, order_id)
        printer_of(request).make_ready(act, lambda: map(handover_paper, rows))
    return shown


@router.get("/handover/{order_id}/road", dependencies=[Depends(ANYONE)])
def road(order_id: int, book: Book, page: Page) -> Response:
    """May the unit be towed, why not, the least work that would make it so, and what cleared the rest."""
    with found(book, order_id) as session:
        it = road_ready(session, order_id, page.today)
    return page.show("handover/road", it=it, head=it.head)


def _show(
    book: Engine,
    page: Pages,
    order_id: int,
    *,
    check: Filled | None = None,
    leaving: Filled | None = None,
    status: int = 200,
) -> Response:
    waiting = prints_of(page.request).waiting()
    with found(book, order_id) as session:
        it = facts.handover_of(session, order_id)
    shown = {
        "it": it,
        "head": it.head,
        "may_check": page.who is not None and it.may_check(page.who.id),
        "check": check or Filled(_answered(it)),
        "leaving": leaving or Filled(_started(it), revision=it.seen),
        "leaves": LEAVES,
        "registered": [(each.value, each.word) for each in rules.Registered],
        "way_to": way_to,
        "coming": _coming(waiting, it),
    }
    return page.show("handover/handover", status=status, **shown)


def _started(it: HandoverPage) -> dict[str, str]:
    return {"leaves": "towed", "taken_by": it.head.owner, "registered": it.registered}


def _answered(it: HandoverPage) -> dict[str, str]:
    """The answers of a final check that still counts, to be shown in the form."""
    return {f"item-{key}": answer for key, answer in it.answers.items()} if it.checked else {}


def way_to(stop: Stop, order_id: int) -> str:
    """The page on which what stands in the way is put right."""
    if stop.where == "bench":
        return f"/bench/orders/{order_id}"
    if stop.where == "inspection" and stop.finding_id:
        return f"/inspection/findings/{stop.finding_id}"
    rooms = {"inspection": f"/inspection/orders/{order_id}", "estimate": f"/estimate/{order_id}"}
    return {**rooms, "final check": "#check"}.get(stop.where, "#leave")


@router.post("/handover/{order_id}/final-check", dependencies=[Depends(ANYONE)])
def final_check(order_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps the final check."""
    with found(book, order_id) as session:
        items = facts.handover_of(session, order_id).items
    try:
        steps.final_check(book, act, order_id, rules.read_final_check(typed, items))
    except Refused as refused:
        return _show(book, page, order_id, check=again(typed, refused.problems), status=422)
    return page.go(f"/handover/{order_id}#leave")


@router.post("/handover/{order_id}", dependencies=[Depends(WRITERS)])
def hand_over(order_id: int, typed: Typed, act: Acting, request: Request, book: Book, page: Page) -> Response:
    """Hands the unit over and prints its paper."""
    with found(book, order_id) as session:
        it = facts.handover_of(session, order_id)
    try:
        asked = [thing.finding_id for thing in it.initialled]
        unseen = it.unseen if typed.has("unseen_reason") else ()
        said = rules.read_leaving(typed, asked, unseen, tires=it.tires, held_by=it.in_the_way)
        made = steps.hand_over(book, act, order_id, said)
    except Refused as refused:
        return _show(book, page, order_id, leaving=again(typed, refused.problems), status=422)
    except Stale as stale:
        about = About(Handover, work_order_id=order_id)
        leaving = late(book, page.zone, typed, stale, about, beside=_left_first)
        return _show(book, page, order_id, leaving=leaving, status=409)
    _print(request, act, _row(book, made))
    return page.go(f"/handover/{order_id}#papers")


def _left_first(first: First) -> list[Beside]:
    row = first.row(Handover) or {}
    how = row.get("leaves", "")
    leaves = Beside("leaves", "How it leaves", how, dict(LEAVES))
    return [leaves, Beside("taken_by", "Who takes it", row.get("taken_by", ""))]


def _row(book: Engine, handover_id: int) -> Handover:
    with reading(book) as session:
        return session.get_one(Handover, handover_id)


def _print(request: Request, act: Act, row: Handover) -> int | None:
    """Key of the paper of a handover, printed once; None where it could not be made: the snapshot stands."""
    try:
        paper = handover_paper(row)
        return printer_of(request).issue(paper_act(act, row), paper)
    except (NotPrinted, Coming):
        return None


@router.post("/handover/{order_id}/issues/{issue}/paper", dependencies=[Depends(ANYONE)])
def print_again(order_id: int, issue: int, act: Acting, request: Request, book: Book, page: Page) -> Response:
    """Prints a handover that could not be printed at once."""
    with found(book, order_id, issue) as session:
        row = facts.handover_row(session, order_id, issue)
    if row is None:
        raise HTTPException(404, NO_SUCH)
    try:
        document = printer_of(request).issue(paper_act(act, row), handover_paper(row))
    except NotPrinted as wrong:
        said = "Not printed. What the handover says is in the book; print it again."
        raise HTTPException(503, said) from wrong
    return page.go(f"/papers/{document}.pdf")


@router.post("/handover/{order_id}/inspection-report", dependencies=[Depends(ANYONE)])
def print_report(order_id: int, act: Acting, request: Request, book: Book, page: Page) -> Response:
    """Prints what the walk-round found."""
    with found(book, order_id) as session:
        report = inspected.report_of(session, order_id, act)
    if report is None:
        raise HTTPException(422, "The walk-round is not ended. End it, then print the report.")
    try:
        document = printer_of(request).issue(act, inspected.report_paper(report, order_id))
    except NotPrinted as wrong:
        raise HTTPException(503, f"Not printed: {wrong}. What it says is in the book.") from wrong
    return page.go(f"/papers/{document}.pdf")


@router.get("/handover/{order_id}/issues/{issue}/paper", dependencies=[Depends(ANYONE)])
def issue_paper(order_id: int, issue: int, book: Book, page: Page, prints: InTheMaking) -> Response:
    """The paper of one issue: to be opened, in the making, or to be printed again."""
    waiting = prints.waiting()
    with found(book, order_id, issue) as session:
        it = facts.handover_of(session, order_id)
    one = next((each for each in it.issues if each.issue == issue), None)
    if one is None:
        raise HTTPException(404, NO_SUCH)
    if not page.part:
        return page.go(f"/handover/{order_id}#papers")
    return page.show("handover/issue_paper", issue=one, head=it.head, coming=_coming(waiting, it))


def _coming(waiting: frozenset[str], it: HandoverPage) -> frozenset[int]:
    """The issues whose papers are being made now."""
    return frozenset(
        each.issue for each in it.issues if each.document is None and paper_key(each.id) in waiting
    )
