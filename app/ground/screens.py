"""Pages of the common ground that show what is kept as files: the style sheet, photos, printed papers."""

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Engine

from app.ground import documents, files, people, sheets
from app.ground.book import reading
from app.ground.gate import ANYONE, Book, InTheMaking, Page, Set
from app.ground.pages import Pages
from app.ground.press import SECONDS
from app.ground.settings import Settings
from app.ground.tables import Document, Photo

router = APIRouter()
NOT_ASKED = "This paper is not in the making: the program was started anew. Print it again"
LONG = "private, max-age=31536000, immutable"


@router.get("/static/sheet.css")
def sheet_css(request: Request) -> Response:
    """The style sheet of all pages in one file."""
    kept = {"Cache-Control": sheets.kept_for(request.url.query, "sheet.css")}
    return Response(sheets.joined(), media_type="text/css", headers=kept)


@router.get("/photos/{photo_id}/{size}.jpg", dependencies=[Depends(ANYONE)])
def photo(photo_id: int, size: str, book: Book, settings: Set) -> Response:
    """A photo in one of its sizes."""
    with reading(book) as session:
        found = session.get(Photo, photo_id) if photo_id < 2**63 else None
    if found is None or size not in ("print", "small"):
        raise HTTPException(404, "There is no such photo.")
    content = files.read(settings.files, found.sha256 if size == "print" else found.small_sha256)
    return Response(content, media_type="image/jpeg", headers={"Cache-Control": LONG})


@router.get("/papers/{document_id}.pdf", dependencies=[Depends(ANYONE)])
def paper(document_id: int, book: Book, settings: Set) -> Response:
    """A printed paper, byte for byte as it was made."""
    found = _document(book, document_id)
    name = f"{found.kind}-{found.number}-{found.issue}.pdf".replace(" ", "-")
    headers = {"Content-Disposition": f'inline; filename="{name}"', "Cache-Control": LONG}
    return Response(files.read(settings.files, found.sha256), media_type="application/pdf", headers=headers)


@router.get("/papers/coming/{key}", dependencies=[Depends(ANYONE)])
def paper_coming(key: str, page: Page, prints: InTheMaking) -> Response:
    """A paper in the making: asks again each second, then opens the paper or says why there is none."""
    asked = prints.of(key)
    if asked is None:
        raise HTTPException(404, NOT_ASKED)
    if asked.waits:
        return page.show("ground/coming", paper=asked.paper, seconds=SECONDS)
    if page.part:
        return Response(headers={"HX-Redirect": page.request.url.path})
    if asked.document is None:
        raise HTTPException(503, f"Not printed: {asked.says}. What it says is in the book; print it again")
    return page.go(f"/papers/{asked.document}.pdf")


@router.get("/papers/{document_id}", dependencies=[Depends(ANYONE)])
def paper_page(document_id: int, book: Book, page: Page, settings: Set) -> Response:
    """The page of a paper: what it is, whether a newer issue takes its place."""
    return _shown(book, page, settings, _document(book, document_id))


@router.get("/papers/{kind}/{number:path}/{issue}", dependencies=[Depends(ANYONE)])
def paper_of_code(kind: str, number: str, issue: int, book: Book, page: Page, settings: Set) -> Response:
    """The page of a paper by what is printed on it: where the square code in its head leads."""
    with reading(book) as session:
        found = documents.of_number(session, kind, number, issue) if issue < 2**63 else None
    if found is None:
        raise HTTPException(404, "There is no such paper.")
    return _shown(book, page, settings, found)


def _shown(book: Engine, page: Pages, settings: Settings, found: Document) -> Response:
    with reading(book) as session:
        issues = documents.issues(session, found.kind, found.number)
        replaced = documents.replaced(session, found)
        printed_by = people.names(session).get(found.printed_by, "")
    whole = files.whole(settings.files, found.sha256)
    return page.show(
        "ground/paper", paper=found, issues=issues, replaced=replaced, printed_by=printed_by, whole=whole
    )


def _document(book: Book, document_id: int) -> Document:
    with reading(book) as session:
        found = session.get(Document, document_id) if document_id < 2**63 else None
    if found is None:
        raise HTTPException(404, "There is no such paper.")
    return found
