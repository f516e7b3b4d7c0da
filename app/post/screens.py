"""The page of a printed paper: which it is, its pages as pictures, to save, print and hand over."""

from dataclasses import dataclass
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Request, Response
from sqlalchemy import Engine

from app.ground import documents, files, people
from app.ground.acting import Act
from app.ground.book import reading
from app.ground.forms import Filled, again
from app.ground.gate import ANYONE, WRITERS, Acting, Book, Page, Set, Typed
from app.ground.keyed import found
from app.ground.pages import Pages
from app.ground.settings import Settings
from app.ground.shop import shop_of
from app.ground.tables import Document
from app.post import facts
from app.post.outgoing import Outgoing
from app.post.pictures import Leaves, NotShown, Viewer
from app.post.rules import Said, read_said
from app.post.sending import Letter, message_of
from app.post.server import MailServer, Unusable, read_server
from app.post.steps import begin_mailing
from app.trade.problems import Problem, Refused

router = APIRouter()
LONG = "private, max-age=31536000, immutable"
NO_PAPER = "There is no such paper."
HARMED = "The kept copy of this paper is missing or was changed"


@dataclass(frozen=True)
class Post:
    """The way out of the house: the pictures, the letters on their way, the shop's folder."""

    book: Engine
    viewer: Viewer
    outgoing: Outgoing
    settings: Settings

    def server(self) -> MailServer | None:
        """The shop's mail server, or None where it has none; raises Unusable."""
        with reading(self.book) as session:
            address = shop_of(session).email
        return read_server(self.settings.data, address)

    def leaves(self, paper: Document) -> Leaves:
        """The pages of a paper to be shown as pictures; none where they cannot be."""
        try:
            return self.viewer.leaves(files.where(self.settings.files, paper.sha256))
        except NotShown:
            return Leaves(0, ())


def post_of(request: Request, book: Book, settings: Set) -> Post:
    """The way out of the house."""
    return Post(book, request.app.state.viewer, request.app.state.outgoing, settings)


Out = Annotated[Post, Depends(post_of)]


@router.get("/papers/{document_id}", dependencies=[Depends(ANYONE)])
def paper_page(document_id: int, book: Book, page: Page, post: Out) -> Response:
    """The page of a paper; where htmx asks, to whom it went."""
    return _shown(page, post, _paper(book, document_id))


@router.get("/papers/{document_id}/pages/{number}.png", dependencies=[Depends(ANYONE)])
def paper_picture(document_id: int, number: int, book: Book, post: Out) -> Response:
    """One page of a paper as a picture."""
    paper = _paper(book, document_id)
    try:
        picture = post.viewer.picture(files.where(post.settings.files, paper.sha256), number)
    except NotShown as wrong:
        raise HTTPException(404, f"This page cannot be shown: {wrong}. Open the paper") from wrong
    return Response(picture, media_type="image/png", headers={"Cache-Control": LONG})


@router.post("/papers/{document_id}/mail", dependencies=[Depends(WRITERS)])
def send_paper(document_id: int, typed: Typed, act: Acting, book: Book, page: Page, post: Out) -> Response:
    """A paper handed over by the shop's mail server."""
    paper = _paper(book, document_id)
    try:
        with reading(book) as session:
            said = read_said(typed, facts.newer(session, paper))
        _send(post, act, paper, said)
    except Refused as refused:
        return _shown(page, post, paper, again(typed, refused.problems), 422)
    return page.go(f"/papers/{document_id}#went")


@router.get("/papers/{kind}/{number:path}/{issue}", dependencies=[Depends(ANYONE)])
def paper_of_code(kind: str, number: str, issue: int, book: Book, page: Page, post: Out) -> Response:
    """The page of a paper by what is printed on it: where the square code in its head leads."""
    with reading(book) as session:
        paper = documents.of_number(session, kind, number, issue) if issue < 2**63 else None
    if paper is None:
        raise HTTPException(404, NO_PAPER)
    return _shown(page, post, paper)


def _paper(book: Engine, document_id: int) -> Document:
    with found(book, document_id, no_such=NO_PAPER) as session:
        return session.get_one(Document, document_id)


def _send(post: Post, act: Act, paper: Document, said: Said) -> None:
    """Give the paper to the mail server, once an act; raises Refused where that cannot be."""
    if not files.whole(post.settings.files, paper.sha256):
        raise Refused([Problem("", HARMED)])
    try:
        server = post.server()
    except Unusable as wrong:
        raise Refused([Problem("", f"smtp.toml cannot be used: {wrong}")]) from wrong
    if server is None:
        raise Refused([Problem("", "No mail server is named any more: use your own mail program")])
    message = message_of(_letter(post, paper, said), server.sender, act.at)
    mailing, now = begin_mailing(post.book, act, paper.key, said, server.sender)
    if now:
        post.outgoing.give(act, mailing, server, said.receiver, message)


def _letter(post: Post, paper: Document, said: Said) -> Letter:
    with reading(post.book) as session:
        shop, subject = shop_of(session).name, facts.letter_for(session, paper).subject
    content = files.read(post.settings.files, paper.sha256)
    return Letter(shop, said.receiver, subject, said.words, paper.file_name, content)


def _shown(
    page: Pages, post: Post, paper: Document, form: Filled | None = None, status: int = 200
) -> Response:
    underway = post.outgoing.underway()  # before the book is read: an end kept in between is shown in time
    with reading(post.book) as session:
        letter = facts.letter_for(session, paper)
        told = {
            "issues": documents.issues(session, paper.kind, paper.number),
            "replaced": documents.replaced(session, paper),
            "revised": facts.revised(session, paper),
            "printed_by": people.names(session).get(paper.printed_by, ""),
            "went": facts.mailings(session, paper.key, underway),
            "letter": letter,
        }
    whole = files.whole(post.settings.files, paper.sha256)
    leaves = post.leaves(paper) if whole and not page.part else Leaves(0, ())
    server, unusable = _server(post)
    return page.show(
        "post/paper",
        status=status,
        paper=paper,
        whole=whole,
        leaves=leaves,
        server=server,
        unusable=unusable,
        form=form or Filled({"receiver": letter.said.receiver, "words": letter.said.words}),
        **told,
    )


def _server(post: Post) -> tuple[MailServer | None, str]:
    """The mail server, and why it cannot be used."""
    try:
        return post.server(), ""
    except Unusable as wrong:
        return None, str(wrong)
