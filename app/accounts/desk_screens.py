"""Pages of the whole shop's accounts: what is owed, the close of the day, the journal, the terms of bills."""

from datetime import date, timedelta
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Query, Response
from sqlalchemy import Engine

from app.accounts import facts, journal, papers, rows, rules, steps, uses
from app.accounts.closing import day_of, noted_later
from app.accounts.known import found, print_again, printed
from app.accounts.tables import Bill, DayClose, Payment
from app.ground.acting import Act, now
from app.ground.book import reading
from app.ground.first import About, Beside, First, late
from app.ground.forms import Filled, again
from app.ground.gate import LEADS, WRITERS, Acting, Book, Page, Typed
from app.ground.pages import Pages
from app.ground.papers import Paper
from app.ground.receipts import Stale
from app.trade.problems import Refused
from app.trade.typed import Reader, Texts

router = APIRouter()
MOST_DAYS = 3660
FILES = {"csv": "text/csv; charset=utf-8", "json": "application/json"}


@router.get("/accounts", dependencies=[Depends(WRITERS)])
def owing(book: Book, page: Page) -> Response:
    """What is owed to the shop, by age, and what it holds for owners."""
    return _show_owing(book, page)


def _show_owing(book: Engine, page: Pages, form: Filled | None = None, status: int = 200) -> Response:
    on = page.today
    with reading(book) as session:
        it, closes = facts.owing(session, on), facts.closes(session)
    month = {"first": on.replace(day=1).isoformat(), "last": on.isoformat()}
    return page.show("accounts/owing", status=status, it=it, closes=closes, on=on, form=form or Filled(month))


@router.get("/accounts/kits", dependencies=[Depends(WRITERS)])
def kits_page(book: Book, page: Page) -> Response:
    """What each kit took and cost where it was used."""
    with reading(book) as session:
        return page.show("accounts/kits", kits=uses.histories(session, now()))


@router.get("/accounts/journal.{kind}", dependencies=[Depends(WRITERS)])
def export(
    kind: str,
    book: Book,
    page: Page,
    first: Annotated[str, Query()] = "",
    last: Annotated[str, Query()] = "",
) -> Response:
    """The journal of some days for the bookkeeper, as CSV or JSON; 404 for any other kind of file."""
    if kind not in FILES:
        raise HTTPException(404, f"There is no journal as {kind[:10]}. There is csv and json.")
    try:
        days = _days({"first": first, "last": last}, page.today)
    except Refused as refused:
        form = Filled({"first": first, "last": last}, problems=refused.problems)
        return _show_owing(book, page, form, 422)
    with reading(book) as session:
        entries = journal.journal(session, *days)
    text = journal.as_csv(entries) if kind == "csv" else journal.as_json(entries, *days)
    name = f"journal-{days[0].isoformat()}-{days[1].isoformat()}.{kind}"
    headers = {"Content-Disposition": f'attachment; filename="{name}"'}
    return Response(text, media_type=FILES[kind], headers=headers)


def _days(typed: dict[str, str], on: date) -> tuple[date, date]:
    """First and last day of a journal, at most ten years; this month where nothing is asked."""
    read = Reader(Texts(typed))
    first = read.day("first") or on.replace(day=1)
    last = read.day("last") or on
    if last < first:
        read.wrong("last", f"{last.isoformat()} is before the first day", f"{first.isoformat()} or later")
    elif last - first > timedelta(days=MOST_DAYS):
        read.wrong("last", "These are more than ten years", "a shorter time")
    read.done()
    return first, last


# The close of the day


@router.get("/accounts/day", dependencies=[Depends(WRITERS)])
def day(book: Book, page: Page) -> Response:
    """What came since the last close, and the count of the drawer."""
    return _show_day(book, page)


def _show_day(book: Engine, page: Pages, form: Filled | None = None, status: int = 200) -> Response:
    with reading(book) as session:
        it, closes = day_of(session, now()), facts.closes(session, 10)
        of_days = noted_later(session, it)
    start = {"start": f"{it.start // 100}.{it.start % 100:02}"}
    form = form or Filled(start, revision=it.count)
    return page.show("accounts/day", status=status, it=it, of_days=of_days, closes=closes, form=form)


@router.post("/accounts/day", dependencies=[Depends(WRITERS)])
def close_day(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Closes the day and prints it."""
    try:
        made = steps.close_day(book, act, rules.read_counted(typed))
    except Refused as refused:
        return _show_day(book, page, again(typed, refused.problems), 422)
    except Stale as stale:
        about = About(DayClose, Bill, Payment)
        form = late(book, page.zone, typed, stale, about, beside=_counted_first)
        return _show_day(book, page, form, 409)
    printed(page.request, *_day(book, act, made))
    return page.go("/accounts/day#closes")


def _counted_first(first: First) -> list[Beside]:
    row = first.row(DayClose)
    if row is None:
        return []
    said = {"start": "Cash at the start", "counted": "Cash counted", "banked": "Taken out for the bank"}
    return [Beside(name, label, facts.amount_text(row[name])) for name, label in said.items()]


def _day(book: Engine, act: Act, close_id: int) -> tuple[Act, Paper]:
    with found(book, close_id) as session:
        row = session.get_one(DayClose, close_id)
        return papers.day_act(act, row), papers.day_paper(session, row)


@router.post("/accounts/day/{close_id}/paper", dependencies=[Depends(WRITERS)])
def print_day(close_id: int, act: Acting, book: Book, page: Page) -> Response:
    """Prints a close of the day that could not be printed at once."""
    return print_again(page, *_day(book, act, close_id))


# The terms of bills


@router.get("/accounts/terms", dependencies=[Depends(WRITERS)])
def terms(book: Book, page: Page) -> Response:
    """What stands on every bill."""
    return _show_terms(book, page)


def _show_terms(book: Engine, page: Pages, form: Filled | None = None, status: int = 200) -> Response:
    with reading(book) as session:
        said = rows.terms_of(session)
    values = {name: str(value) for name, value in said.__dict__.items()}
    return page.show("accounts/terms", status=status, form=form or Filled(values))


@router.post("/accounts/terms", dependencies=[Depends(LEADS)])
def set_terms(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps what stands on every bill from now on."""
    try:
        steps.set_terms(book, act, rules.read_terms(typed))
    except Refused as refused:
        return _show_terms(book, page, again(typed, refused.problems), 422)
    return page.go("/accounts/terms")
