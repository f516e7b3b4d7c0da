"""Pages of the common ground that show what is kept as files: the style sheet, photos, papers."""

from fastapi import APIRouter, Depends, HTTPException, Request, Response

from app.ground import files, keyed, sheets
from app.ground.book import reading
from app.ground.gate import ANYONE, Book, InTheMaking, Page, Set
from app.ground.press import SECONDS
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
    with keyed.found(book, document_id, no_such="There is no such paper.") as session:
        found = session.get_one(Document, document_id)
    headers = {"Content-Disposition": f'inline; filename="{found.file_name}"', "Cache-Control": LONG}
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
