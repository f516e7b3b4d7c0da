"""Papers of the shelf, and lists read in: labels, count sheets, a list's preview."""

from fastapi import APIRouter, Depends, HTTPException, Response
from sqlalchemy import Engine

from app.ground.acting import Act
from app.ground.book import reading
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, WRITERS, Acting, Book, Page, Printing, Typed
from app.ground.pages import Pages
from app.ground.papers import Paper
from app.ground.press import NotPrinted
from app.ground.printing import Desk
from app.parts import facts, list_steps
from app.parts.facts import PartLine
from app.parts.labels import label
from app.parts.lists import COLUMNS
from app.parts.screens import Key, found
from app.trade.problems import Problem, Refused

router = APIRouter()


def _issued(page: Pages, printer: Desk, act: Act, paper: Paper) -> Response:
    """On to the printed paper; 503 in words where it could not be made."""
    try:
        return page.go(f"/papers/{printer.issue(act, paper)}")
    except NotPrinted as failed:
        raise HTTPException(503, f"{failed}. Nothing was lost; press the key once more.") from None
    except Refused as refused:
        return page.show("parts/not_printed", status=422, problems=refused.problems)


@router.post("/parts/labels", dependencies=[Depends(ANYONE)])
def print_labels(typed: Typed, act: Acting, book: Book, page: Page, printer: Printing) -> Response:
    """Print the bin labels of the parts that a search finds, or of one."""
    find = typed.get("find").strip()[:200]
    with reading(book) as session:
        lines = [line for line in facts.catalogue(session, find) if line.active]
    if not lines:
        wrong = [Problem("find", "No part in use is found so", "a number, name or bin")]
        return page.show("parts/not_printed", status=422, problems=wrong)
    made = [label(line, printer.address) for line in lines]
    paper = Paper("labels", "labels", find[:40] or "all", "Bin labels", 0, {"labels": made})
    return _issued(page, printer, act, paper)


@router.post("/parts/count/sheet", dependencies=[Depends(ANYONE)])
def print_count_sheet(typed: Typed, act: Acting, book: Book, page: Page, printer: Printing) -> Response:
    """Print the sheet on which an aisle is counted, without the book's figures."""
    aisle = typed.get("aisle")[:24]
    lines = _aisle(book, aisle)
    number = f"aisle {aisle}" if aisle else "without a bin"
    paper = Paper("count_sheet", "count sheet", number, "Count sheet", 0, {"lines": lines})
    return _issued(page, printer, act, paper)


def _aisle(book: Engine, aisle: str) -> list[PartLine]:
    with reading(book) as session:
        return facts.on_shelf(session, aisle)


# Lists read in


@router.get("/parts/lists", dependencies=[Depends(WRITERS)])
def lists_page(book: Book, page: Page) -> Response:
    """The form that reads a list in, and the lists read in so far."""
    return _lists(book, page, Filled())


@router.post("/parts/lists", dependencies=[Depends(WRITERS)])
def read_in(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Read a list in, to be looked at; nothing of it is kept yet."""
    text = _text(typed)
    try:
        list_id = list_steps.read_in(book, act, text)
    except Refused as refused:  # a file's text stands in the field too, to be mended there
        return _lists(book, page, Filled({"text": text}, problems=refused.problems), 422)
    return page.go(f"/parts/lists/{list_id}")


def _text(typed: Sent) -> str:
    """The text of the file, else what was typed; a file that is no UTF-8 is read as Windows writes it."""
    for content in typed.files("file")[:1]:
        try:
            return content.decode("utf-8-sig")
        except UnicodeDecodeError:
            return content.decode("cp1252", errors="replace")
    return typed.get("text").replace("\r\n", "\n")


def _lists(book: Engine, page: Pages, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        rows = list_steps.lists(session)
    return page.show("parts/lists", status=status, rows=rows, form=form, columns=tuple(COLUMNS))


@router.get("/parts/lists/{list_id}", dependencies=[Depends(WRITERS)])
def list_page(list_id: Key, book: Book, page: Page) -> Response:
    """What a list would change, or every row and column that is bad."""
    return _list(book, page, list_id, Filled())


@router.post("/parts/lists/{list_id}/keep", dependencies=[Depends(WRITERS)])
def keep_list(list_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep a whole list."""
    try:
        with found(book, "There is no such list."):
            list_steps.keep_list(book, act, list_id, typed.get("meant"))
    except Refused as refused:
        return _list(book, page, list_id, again(typed, refused.problems), 422)
    return page.go(f"/parts/lists/{list_id}")


def _list(book: Engine, page: Pages, list_id: int, form: Filled, status: int = 200) -> Response:
    with found(book, "There is no such list.") as session:
        it = list_steps.list_page(session, list_id)
    return page.show("parts/list", status=status, it=it, form=form)
