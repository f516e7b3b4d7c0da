"""Pages of the estimate: the ledger, one work and its lines, the owner's consent, the paper."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import date
from enum import StrEnum
from functools import partial
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Query, Request, Response
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound

from app.estimate import facts, rules, saying, steps
from app.estimate.facts import Ledger, LedgerLine, LedgerWork
from app.estimate.places import EACH
from app.estimate.prices import priced_by
from app.estimate.rows import estimate_of, margin_of
from app.estimate.rules import Group, Offered, Tax
from app.estimate.saying import How
from app.estimate.tables import Revision, Work, WorkLine
from app.estimate.telling import EstimateJson, told
from app.ground.acting import Act, now
from app.ground.book import reading
from app.ground.first import About, Beside, First, Row, late
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, WRITERS, Acting, Book, Page, Typed, printer_of
from app.ground.keyed import found
from app.ground.pages import Pages
from app.ground.papers import Paper
from app.ground.press import NotPrinted
from app.ground.receipts import Stale
from app.ground.words import money
from app.inspection.catalogue import Kit
from app.inspection.facts import FindingLine, newest_catalogue
from app.intake.facts import order_head, owner_of
from app.intake.tables import Owner
from app.parts.facts import superseded
from app.parts.rules import NONE_SUPERSEDED, Superseded
from app.trade.money import Money, read_money
from app.trade.problems import Impossible, Problem, Refused
from app.trade.totals import LineKind

router = APIRouter()
_found = partial(found, no_such="There is no such estimate.")
KINDS = (
    ("labour", "Labour"),
    ("part", "Part"),
    ("outside", "Outside work"),
    ("fee", "Fee"),
    ("core", "Core deposit"),
    ("discount", "Discount"),
)
TAXES = tuple((each.value, each.value.capitalize()) for each in Tax)
GROUPS = tuple((each.value, each.word) for each in Group)
HOWS = tuple((each.value, each.word.capitalize()) for each in How)


def _ledger(book: Engine, page: Pages, order_id: int) -> tuple[Mapping[str, object], Ledger]:
    with _found(book, order_id) as session:
        made = facts.ledger(session, order_id, page.today)
        shown: dict[str, object] = {
            "head": order_head(session, order_id),
            "ledger": made,
            "revisions": facts.revision_lines(session, order_id, page.today),
            "consents": facts.consents_of(session, order_id),
            "prices": priced_by(session, order_id),
        }
    return shown, made


# The ledger


@router.get("/estimate/{order_id}", dependencies=[Depends(ANYONE)])
def ledger_page(order_id: int, book: Book, page: Page, budget: Annotated[str, Query()] = "") -> Response:
    """The ledger of a work order, with a budget drawn in where one is asked for."""
    return _show_ledger(book, page, order_id, budget=budget.strip())


def _show_ledger(
    book: Engine,
    page: Pages,
    order_id: int,
    *,
    budget: str = "",
    says: str = "",
    status: int = 200,
    form: Filled | None = None,
) -> Response:
    shown, made = _ledger(book, page, order_id)
    form = form or Filled({"budget": budget}, revision=made.guard)
    if budget:
        try:
            amount = _budget(budget)
            with _found(book, order_id) as session:
                made = facts.within_budget(session, made, amount, page.today)
        except Refused as refused:
            form, status = Filled({"budget": budget}, problems=refused.problems, revision=made.guard), 422
    over = made.over(page.today)
    shown = {**shown, "ledger": made}
    return page.show("estimate/ledger", status=status, form=form, says=says, over=over, **shown)


def _budget(typed: str) -> int:
    try:
        amount = read_money(typed[:40], "budget", confirmed=True).minor
    except Impossible as impossible:
        raise Refused([impossible.at("budget")]) from None
    if amount < 0:
        raise Refused([Problem("budget", f"{typed[:40]} is no budget", "an amount such as 1400.00")])
    return amount


def _tap(
    book: Engine,
    page: Pages,
    order_id: int,
    step: Callable[[], int],
    where: Callable[[int], str],
    typed: Sent,
) -> Response:
    """Answer a key of the ledger: on to the page, or the ledger with what is wrong and what was typed."""
    try:
        with _found(book, order_id):
            made = step()
    except Refused as refused:
        says = ". ".join(problem.says for problem in refused.problems)
        form = again(typed, refused.problems)
        return _show_ledger(book, page, order_id, says=f"{says}.", status=422, form=form)
    except Stale as stale:
        form = _late(book, page, order_id, typed, stale)
        return _show_ledger(book, page, order_id, status=409, form=form)
    return page.go(where(made))


def _late(
    book: Engine,
    page: Pages,
    order_id: int,
    typed: Sent,
    stale: Stale,
    now: Mapping[str, str] | None = None,
    offered: Sequence[LedgerWork] = (),
) -> Filled:
    """A form on an estimate that somebody changed first; `now`: the work or line that it would change.

    `offered`: the works that an answer of the owner was to be about, as they are priced now.
    """
    with _found(book, order_id) as session:
        estimate = estimate_of(session, order_id)
    about = About(Revision, estimate_id=estimate.key if estimate else 0)
    said = [Beside(f"say-{it.id}", it.title, f"now {money(it.amount)}") for it in offered]
    beside = (lambda _: said) if offered else None if now else _priced_first
    return late(book, page.zone, typed, stale, about, now, beside)


def _priced_first(first: First) -> list[Beside]:
    """What was put on the estimate or said of it: a work, a line, the word to the owner."""
    work, line = first.row(Work) or {}, (first.row(WorkLine) if first.act.endswith(" line") else None)
    note = (first.row(Revision) or {}).get("note", "") if first.act == "freeze estimate" else ""
    said = [Beside("title", "Work", work.get("title", "")), Beside("note", "A word to the owner", note)]
    return [*said, *_line_first(line or {})]


def _line_first(line: Row) -> list[Beside]:
    price = f"{Money(line['price']).amount}" if line else ""
    what = Beside("what", "Line", line.get("what", ""))
    return [what, Beside("quantity", "Quantity", line.get("quantity", "")), Beside("price", "Price", price)]


@router.post("/estimate/{order_id}/price", dependencies=[Depends(WRITERS)])
def price_findings(order_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Make works of the kits that the findings name."""
    here = f"/estimate/{order_id}"
    return _tap(
        book, page, order_id, lambda: steps.price_findings(book, act, order_id), lambda _: here, typed
    )


@router.post("/estimate/{order_id}/freeze", dependencies=[Depends(WRITERS)])
def freeze(order_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """The estimate is shown to the owner, with a word that is printed with it."""
    ask = f"/estimate/{order_id}/consent"

    def show() -> int:
        return steps.freeze(book, act, order_id, rules.read_note(typed))

    return _tap(book, page, order_id, show, lambda _: ask, typed)


@router.post("/estimate/{order_id}/works/{work_id}/remove", dependencies=[Depends(WRITERS)])
def remove_work(order_id: int, work_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Take a work off the estimate."""
    here = f"/estimate/{order_id}"
    return _tap(
        book, page, order_id, lambda: steps.remove_work(book, act, order_id, work_id), lambda _: here, typed
    )


@router.post("/estimate/{order_id}/lines/{line_id}/remove", dependencies=[Depends(WRITERS)])
def remove_line(order_id: int, line_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Take a line off its work."""
    here = f"/estimate/{order_id}"
    return _tap(
        book, page, order_id, lambda: steps.remove_line(book, act, order_id, line_id), lambda _: here, typed
    )


# A work to be added


@router.get("/estimate/{order_id}/add", dependencies=[Depends(WRITERS)])
def add_page(
    order_id: int,
    book: Book,
    page: Page,
    finding: Annotated[list[int] | None, Query()] = None,
    instead: Annotated[int | None, Query()] = None,
) -> Response:
    """The form of a new work."""
    chosen = "\n".join(map(str, finding or []))
    values = {"findings": chosen, "group": "should", "tax": "parts"}
    if instead is not None:
        values |= _another_way(_work_or_404(_ledger(book, page, order_id)[1], instead))
    return _show_add(book, page, order_id, values)


def _another_way(work: LedgerWork) -> dict[str, str]:
    """What a form of another way takes over from the work that it stands for."""
    behind = "\n".join(str(finding.id) for finding in work.findings)
    return {"findings": behind, "group": work.group, "instead_of": str(work.id)}


def _show_add(
    book: Engine,
    page: Pages,
    order_id: int,
    values: Mapping[str, str],
    form: Filled | None = None,
    status: int = 200,
) -> Response:
    shown, made = _ledger(book, page, order_id)
    return page.show(
        "estimate/add",
        status=status,
        form=form or Filled(values, revision=made.guard),
        kits=[("", "None: typed by hand"), *_kit_choices(book, order_id)],
        open_findings=_answerable(made, values, form),
        ways=[("", "No: a work of its own"), *((str(it.id), it.title) for it in _whole(made))],
        kinds=[(key, word) for key, word in KINDS if key not in ("labour", "discount")],
        taxes=TAXES,
        groups=GROUPS,
        **shown,
    )


def _whole(made: Ledger) -> list[LedgerWork]:
    """The works that may be done another way: all that are no other way themselves."""
    return [work for work in made.works if work.instead_of is None]


def _answerable(made: Ledger, values: Mapping[str, str], form: Filled | None) -> list[FindingLine]:
    """The findings without work, and those that the form has chosen already."""
    chosen = form.value("findings") if form else values.get("findings", "")
    open_now = list(made.to_price)
    keys = {finding.id for finding in open_now}
    return open_now + [it for it in made.findings if str(it.id) in chosen.split() and it.id not in keys]


def _kits(book: Engine) -> tuple[Kit, ...]:
    try:
        with reading(book) as session:
            return newest_catalogue(session).kits_offered
    except NoResultFound:
        return ()


def _kit_choices(book: Engine, order_id: int) -> list[tuple[str, str]]:
    """The kits to choose from, each with its own hours and those that it took on units alike."""
    with reading(book) as session:
        took = {kit: says for asked in facts.TOOK for kit, says in asked(session, order_id, now()).items()}
    return [(kit.key, _kit_words(kit, took.get(kit.key, ""))) for kit in _kits(book)]


def _kit_words(kit: Kit, took: str) -> str:
    per = "each" if kit.per == EACH else f"per {kit.per}"
    return "; ".join(filter(None, (f"{kit.name}, {per}, {kit.hours} h", took)))


@router.post("/estimate/{order_id}/works", dependencies=[Depends(WRITERS)])
def add_work(order_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Add a work from a kit, or typed by hand."""
    _, made = _ledger(book, page, order_id)
    known = [line.id for line in made.findings]
    try:
        ways = [work.id for work in _whole(made)]
        kits = [kit.key for kit in _kits(book)]
        new = rules.read_work(typed, kits, known, ways, made.markup, _superseded(book))
        work_id = steps.add_work(book, act, order_id, new)
    except Refused as refused:
        return _show_add(book, page, order_id, {}, again(typed, refused.problems), 422)
    except Stale as stale:
        return _show_add(book, page, order_id, {}, _late(book, page, order_id, typed, stale), 409)
    return page.go(f"/estimate/{order_id}/works/{work_id}")


def _superseded(book: Engine) -> Superseded:
    with reading(book) as session:
        return superseded(session)


# One work and its lines


@router.get("/estimate/{order_id}/works/{work_id}", dependencies=[Depends(WRITERS)])
def work_page(order_id: int, work_id: int, book: Book, page: Page) -> Response:
    """One work with its lines."""
    return _show_work(book, page, order_id, work_id)


def _show_work(
    book: Engine,
    page: Pages,
    order_id: int,
    work_id: int,
    *,
    form: Filled | None = None,
    line_form: Filled | None = None,
    status: int = 200,
) -> Response:
    shown, made = _ledger(book, page, order_id)
    work = _work_or_404(made, work_id)
    return page.show(
        "estimate/work",
        status=status,
        work=work,
        form=form or Filled(_work_values(work), revision=made.guard),
        line_form=line_form or Filled({"kind": "part", "tax": "parts", "quantity": "1"}, revision=made.guard),
        kinds=KINDS,
        taxes=TAXES,
        groups=GROUPS,
        **shown,
    )


def _work_or_404(made: Ledger, work_id: int) -> LedgerWork:
    try:
        return made.work(work_id)
    except NoResultFound:
        raise HTTPException(404, "There is no such work on this estimate.") from None


def _taken_off(
    book: Engine, page: Pages, made: Ledger, typed: Sent, find: Callable[[], object]
) -> Response | None:
    """The ledger beside what was typed, where what a form is about was taken off after it was shown.

    None where it is there; raises HTTPException 404 where it was not there when the form was shown either.
    """
    try:
        find()
    except HTTPException:
        if typed.revision == made.guard:
            raise
        form = _late(book, page, made.order_id, typed, Stale(made.guard))
        return _show_ledger(book, page, made.order_id, status=409, form=form)
    return None


def _work_values(work: LedgerWork) -> dict[str, str]:
    return {"title": work.title, "group": work.group}


@router.post("/estimate/{order_id}/works/{work_id}", dependencies=[Depends(WRITERS)])
def change_work(order_id: int, work_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Change a work's name and group."""
    _, made = _ledger(book, page, order_id)
    if gone := _taken_off(book, page, made, typed, lambda: _work_or_404(made, work_id)):
        return gone
    work = _work_or_404(made, work_id)
    try:
        steps.change_work(book, act, order_id, work_id, rules.read_changed_work(typed))
    except Refused as refused:
        form = again(typed, refused.problems, _work_values(work))
        return _show_work(book, page, order_id, work_id, form=form, status=422)
    except Stale as stale:
        form = _late(book, page, order_id, typed, stale, _work_values(work))
        return _show_work(book, page, order_id, work_id, form=form, status=409)
    return page.go(f"/estimate/{order_id}")


@router.post("/estimate/{order_id}/works/{work_id}/lines", dependencies=[Depends(WRITERS)])
def add_line(order_id: int, work_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Add a line to a work."""
    _, made = _ledger(book, page, order_id)
    if gone := _taken_off(book, page, made, typed, lambda: _work_or_404(made, work_id)):
        return gone
    try:
        new = rules.read_line(typed, markup=made.markup, superseded=_superseded(book))
        steps.add_line(book, act, order_id, work_id, new)
    except Refused as refused:
        form = again(typed, refused.problems)
        return _show_work(book, page, order_id, work_id, line_form=form, status=422)
    except Stale as stale:
        form = _late(book, page, order_id, typed, stale)
        return _show_work(book, page, order_id, work_id, line_form=form, status=409)
    return page.go(f"/estimate/{order_id}/works/{work_id}")


@router.get("/estimate/{order_id}/lines/{line_id}", dependencies=[Depends(WRITERS)])
def line_page(order_id: int, line_id: int, book: Book, page: Page) -> Response:
    """The form of one line."""
    return _show_line(book, page, order_id, line_id)


def _show_line(
    book: Engine, page: Pages, order_id: int, line_id: int, form: Filled | None = None, status: int = 200
) -> Response:
    shown, made = _ledger(book, page, order_id)
    work, line = _line_or_404(book, made, line_id)
    return page.show(
        "estimate/line",
        status=status,
        work=work,
        line=line,
        form=form or Filled(_line_values(line), revision=made.guard),
        taxes=TAXES,
        kind_word=dict(KINDS)[line.kind],
        **shown,
    )


def _line_or_404(book: Engine, made: Ledger, line_id: int) -> tuple[LedgerWork, LedgerLine]:
    """A line as it stands now, also where the key is that of an earlier revision."""
    with _found(book, made.order_id, line_id) as session:
        key = facts.line_now(session, made.order_id, line_id)
    for work in made.works:
        for line in work.lines:
            if line.id == key and not line.fixed:
                return work, line
    raise HTTPException(404, "There is no such line on this estimate.")


def _line_values(line: LedgerLine) -> dict[str, str]:
    price = f"{Money(line.price).amount}"
    return {"what": line.what, "quantity": line.quantity, "price": price, "tax": line.tax}


@router.post("/estimate/{order_id}/lines/{line_id}", dependencies=[Depends(WRITERS)])
def change_line(order_id: int, line_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Change a line."""
    _, made = _ledger(book, page, order_id)
    if gone := _taken_off(book, page, made, typed, lambda: _line_or_404(book, made, line_id)):
        return gone
    work, line = _line_or_404(book, made, line_id)
    try:
        gone_parts = NONE_SUPERSEDED if typed.get("what").strip() == line.what else _superseded(book)
        changed = rules.read_line(typed, LineKind(line.kind), made.markup, gone_parts)
        steps.change_line(book, act, order_id, line_id, changed)
    except Refused as refused:
        form = again(typed, refused.problems, _line_values(line))
        return _show_line(book, page, order_id, line_id, form, 422)
    except Stale as stale:
        form = _late(book, page, order_id, typed, stale, _line_values(line))
        return _show_line(book, page, order_id, line_id, form, 409)
    return page.go(f"/estimate/{order_id}/works/{work.id}")


# The owner's word


@router.get("/estimate/{order_id}/consent", dependencies=[Depends(WRITERS)])
def consent_page(
    order_id: int, book: Book, page: Page, how: Annotated[How, Query()] = How.TABLET
) -> Response:
    """The owner's say on each line."""
    return _show_consent(book, page, order_id, how=how)


def _show_consent(
    book: Engine,
    page: Pages,
    order_id: int,
    form: Filled | None = None,
    status: int = 200,
    how: How = How.TABLET,
) -> Response:
    shown, made = _ledger(book, page, order_id)
    with _found(book, order_id) as session:
        margin = margin_of(session, order_id)
        known = _known_of(owner_of(session, order_id), how, page.today)
    return page.show(
        "estimate/consent",
        status=status,
        form=form or Filled(known, revision=made.guard),
        over=made.over(page.today),
        hows=HOWS,
        margin=margin,
        **shown,
    )


def _known_of(owner: Owner, how: How, today: date) -> dict[str, str]:
    """What a fresh answer begins with: the day, the number called, on the phone the owner's name.

    Never the name for an answer given here: typed by the owner, it is the signature.
    """
    reached = (owner.email if how is How.WRITING else "") or owner.phone
    who = owner.name if how in saying.CALLED else ""
    return {"how": how, "said_on": today.isoformat(), "phone": reached, "who": who}


@router.post("/estimate/{order_id}/consent", dependencies=[Depends(WRITERS)])
def keep_consent(order_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep what the owner said to each line."""
    _, made = _ledger(book, page, order_id)
    works = [Offered(it.id, it.title, it.group, it.amount, it.instead_of, it.safety) for it in made.works]
    try:
        _keep(book, act, order_id, typed, works, page.zone)
    except Refused as refused:
        return _show_consent(book, page, order_id, again(typed, refused.problems), 422)
    except Stale as stale:
        form = _late(book, page, order_id, typed, stale, offered=_ledger(book, page, order_id)[1].works)
        anew = replace(form, typed=None, values=_still_true(typed))
        return _show_consent(book, page, order_id, anew, 409)
    return page.go(f"/estimate/{order_id}")


def _still_true(typed: Sent) -> dict[str, str]:
    """What stands of an answer to an estimate that has changed: how it came, never a word on a line, nor the
    name where that is the signature.
    """
    called = typed.get("how") in saying.CALLED
    return {name: typed.get(name) for name in ("how", "phone", "said_on", *(("who",) if called else ()))}


def _keep(book: Engine, act: Act, order_id: int, typed: Sent, works: list[Offered], zone: str) -> int:
    """Keep the consent that a form holds, to the revision that the form was shown with."""
    revision = typed.get("shown")
    revision_id = int(revision) if revision.isascii() and revision.isdigit() and len(revision) < 18 else 0
    if not revision_id:
        raise Refused([Problem("", "The form does not say which revision it is for", "the page opened anew")])
    with _found(book, order_id):
        return steps.consent(book, act, order_id, revision_id, saying.read_said(typed, works, zone))


# What was agreed, to whom and when


@router.get("/estimate/{order_id}/agreed", dependencies=[Depends(ANYONE)])
def agreed_page(order_id: int, book: Book, page: Page) -> Response:
    """Every answer of the owner as it was kept, and how the works stand now."""
    return _show_agreed(book, page, order_id)


def _show_agreed(book: Engine, page: Pages, order_id: int, *, says: str = "", status: int = 200) -> Response:
    with _found(book, order_id) as session:
        made = facts.agreement(session, order_id, page.today)
    return page.show("estimate/agreed", status=status, head=made.head, agreement=made, says=says)


class Record(StrEnum):
    """The two papers of what the owner said."""

    CONSENT = "consent_record"
    DECLINED = "declined"

    @property
    def heading(self) -> str:
        """As the paper is headed."""
        return "Record of consent" if self is Record.CONSENT else "Work put off"


@router.post("/estimate/{order_id}/agreed/{record}", dependencies=[Depends(WRITERS)])
def print_record(
    order_id: int, record: Record, act: Acting, book: Book, page: Page, request: Request
) -> Response:
    """The record of consent, or what was put off, on paper."""
    with _found(book, order_id) as session:
        made = facts.agreement(session, order_id, page.today)
    if not (made.put_off if record is Record.DECLINED else made.consents):
        return _show_agreed(book, page, order_id, says="There is nothing to print yet.", status=422)
    try:
        key = printer_of(request).issue(act, record_paper(record, made))
    except NotPrinted as wrong:
        raise HTTPException(503, f"Not printed: {wrong}. What it says is in the book.") from wrong
    return page.go(f"/papers/{key}.pdf")


def record_paper(record: Record, made: facts.Agreement) -> Paper:
    """What the owner said as a paper: every answer, or the work for safety that was put off."""
    return Paper(
        template=record,
        kind=record,
        number=made.ledger.number,
        title=record.heading,
        work_order_id=made.ledger.order_id,
        facts={"agreement": made, "tag": made.head},
    )


@router.get("/api/estimates/{order_id}", dependencies=[Depends(ANYONE)])
def estimate_json(order_id: int, book: Book, page: Page) -> EstimateJson:
    """The newest revision of a work order's estimate as JSON, for other programs of the shop."""
    with _found(book, order_id) as session:
        return told(facts.ledger(session, order_id, page.today))


# The paper


@router.post("/estimate/{order_id}/print", dependencies=[Depends(WRITERS)])
def print_estimate(
    order_id: int, typed: Typed, act: Acting, book: Book, page: Page, request: Request
) -> Response:
    """The estimate on paper, frozen as it is printed."""
    printer = printer_of(request)

    def freeze_and_print() -> int:
        steps.freeze(book, act.part("freeze"), order_id, rules.read_note(typed))
        with reading(book) as session:
            paper = paper_of(facts.sheet(session, order_id, page.today))
        return printer.issue(act, paper)

    try:
        return _tap(book, page, order_id, freeze_and_print, lambda key: f"/papers/{key}.pdf", typed)
    except NotPrinted as wrong:
        raise HTTPException(503, f"Not printed: {wrong}. What it says is in the book.") from wrong


def paper_of(sheet: facts.Sheet) -> Paper:
    """The estimate as a paper: may it be towed, the lines to answer, what it comes to, where to sign."""
    return Paper(
        template="estimate",
        kind="estimate",
        number=sheet.ledger.number,
        title="Estimate",
        work_order_id=sheet.ledger.order_id,
        facts={"sheet": sheet, "ledger": sheet.ledger, "tag": sheet.head},
    )
