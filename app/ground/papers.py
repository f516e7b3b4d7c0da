"""Printed papers: rendered from facts, kept byte for byte, reprinted as they were."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from pathlib import Path

from sqlalchemy import Engine
from sqlmodel import Session

from app.ground import files, receipts
from app.ground.acting import Act
from app.ground.book import reading, writing
from app.ground.codes import square_to
from app.ground.documents import earlier, newest
from app.ground.pages import paper_templates
from app.ground.photos import on_paper
from app.ground.press import Enclosed, Press, Sheet
from app.ground.shop import settings_of, shop_of
from app.ground.signs import printable
from app.ground.tables import Document

TEXT = re.compile(r">[^<]{49,}")  # between two tags
ENDLESS = re.compile(r"(?:&#?\w+;|[^\s&>]){49,}")
# marks over and under a letter stay with it
PIECE = re.compile(r"((?:(?:&#?\w+;|[^\s&])[\u0300-\u036f\u200d\ufe0f]*+){24})(?=.)")
MAY_BREAK = "\u200b"  # zero width space


@dataclass(frozen=True)
class Paper:
    """A paper to be printed: which template, which number, whose work order, and its facts.

    `template`: name under `templates/paper/` without ending; it is given the facts and `number`, `issue`,
    `replaces` (the issue whose place it takes, or 0), `title`, `code` (to its page; or none), `head` (hash of
    the newest receipt), `shop_row`, `zone`, `law` (whose law decides), `printed_at`.
    `photos`: hashes by the name that the page uses as `asset:NAME`. Facts of the same names come before those
    given here, so that a paper can be printed from what was kept. `issue`: where a row of its own counts the
    issues; else 0.
    """

    template: str
    kind: str
    number: str
    title: str
    work_order_id: int
    facts: Mapping[str, object]
    photos: Mapping[str, str] = field(default_factory=dict)
    enclosed: tuple[Enclosed, ...] = ()
    issue: int = 0


@dataclass(frozen=True)
class Printer:
    """Where papers are made and kept, and the address under which the shop's tablets look them up."""

    book: Engine
    press: Press
    folder: Path
    address: str = ""

    def issue(self, act: Act, paper: Paper) -> int:
        """Key of the document made; the same act again gives the same document.

        A paper of a number that has been printed before becomes its next issue and names the one it replaces.
        Raises NotPrinted; what the paper says stays in the book.
        """
        with reading(self.book) as session:
            if (made := receipts.repeated(session, act)) is not None:
                return made
            before = newest(session, paper.kind, paper.number)
            issue = paper.issue or (before.issue + 1 if before else 1)
            html, size = page_of(session, paper, act, issue, self.address)
        content = self.press.print(Sheet(html, size, self._pictures(paper), paper.enclosed))
        sha256 = files.keep(self.folder, content)
        with writing(self.book) as session:
            if (made := receipts.repeated(session, act)) is not None:
                return made
            document = Document(
                created_at=act.at,
                kind=paper.kind,
                number=paper.number,
                issue=issue,
                title=paper.title,
                work_order_id=paper.work_order_id,
                sha256=sha256,
                size=len(content),
                printed_by=act.person,
                replaces_id=before.id if before and before.issue < issue else None,
            )
            return receipts.sign(session, act, "print paper", document)

    def make_ready(self, act: Act, paper: Paper) -> None:
        """Have the press render a paper that is expected, but for its late facts; raises NotPrinted."""
        with reading(self.book) as session:
            html, size = page_of(session, paper, act, paper.issue, self.address)
        self.press.make_ready(Sheet(html, size, self._pictures(paper)))

    def _pictures(self, paper: Paper) -> dict[str, Path]:
        return {name: on_paper(self.folder, sha256) for name, sha256 in paper.photos.items()}


def page_of(session: Session, paper: Paper, act: Act, issue: int, address: str = "") -> tuple[str, str]:
    """The page of a paper as HTML, and the shop's paper size. `address`: where tablets reach the shop."""
    shop, replaced = shop_of(session), earlier(session, paper.kind, paper.number, issue)
    facts = {
        "number": paper.number,
        "issue": issue,
        "replaces": replaced.issue if replaced else 0,
        "title": paper.title,
        "code": square_to(address, "papers", paper.kind, paper.number, issue),
        "head": receipts.head(session),
        "shop_row": shop,
        "zone": shop.zone,
        "law": settings_of(session).law,
        "printed_at": act.at,
        **paper.facts,
    }
    template = paper_templates().get_template(f"paper/{paper.template}.html")
    return breakable(printable(template.render(facts))), shop.paper


def breakable(html: str) -> str:
    """A page in which a word without end may go on in the next line.

    Without it the renderer measures the whole rest of the word for each line: 10,000 letters took 25 seconds.
    No letter is added that is seen or read.
    """
    return TEXT.sub(lambda text: ENDLESS.sub(_in_pieces, text[0]), html)


def _in_pieces(word: re.Match[str]) -> str:
    return PIECE.sub(rf"\1{MAY_BREAK}", word[0])
