"""What the page of a paper shows of its way out: to whom it went, and the letter that goes with it."""

from collections.abc import Collection
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy.exc import NoResultFound
from sqlmodel import Session, col, select

from app.estimate.rows import newest_revision
from app.ground import documents, people
from app.ground.shop import shop_of
from app.ground.tables import Document, Shop
from app.ground.words import local
from app.intake.facts import owner_of
from app.post.rules import FOR_OWNER, Outcome, Said, is_address, mailto
from app.post.tables import Mailing, MailingEnd
from app.trade.days import day


@dataclass(frozen=True)
class Went:
    """A paper that was given to the mail server: to whom, by whom, when (UTC), and what came of it.

    `outcome`: None while it is on its way.
    """

    receiver: str
    by: str
    at: datetime
    words: str
    outcome: Outcome | None
    says: str


def mailings(session: Session, document_id: int, underway: Collection[int]) -> list[Went]:
    """To whom a paper went, the newest first. `underway`: what was on its way before the book was read."""
    end = col(MailingEnd.mailing_id) == col(Mailing.id)
    asked = select(Mailing, MailingEnd).join(MailingEnd, end, isouter=True)
    found = session.exec(asked.where(Mailing.document_id == document_id).order_by(col(Mailing.id).desc()))
    names = people.names(session)
    return [_went(mailing, ended, names.get(mailing.sent_by, ""), underway) for mailing, ended in found]


def _went(mailing: Mailing, ended: MailingEnd | None, by: str, underway: Collection[int]) -> Went:
    outcome, says = _came_of(ended, mailing.key in underway)
    return Went(mailing.receiver, by, mailing.created_at, mailing.words, outcome, says)


def _came_of(ended: MailingEnd | None, underway: bool) -> tuple[Outcome | None, str]:  # noqa: FBT001
    if ended is not None:
        return Outcome(ended.outcome), ended.says
    return (None, "") if underway else (Outcome.UNKNOWN, "the program was stopped on the way")


@dataclass(frozen=True)
class Letter:
    """The letter as it is proposed: for whom (empty where nobody is known), its subject and words."""

    said: Said
    subject: str

    @property
    def link(self) -> str:
        """The letter as a link for the browser's own mail program."""
        return mailto(self.said.receiver, self.subject, self.said.words)


def letter_for(session: Session, document: Document) -> Letter:
    """The letter that goes with a paper, to its owner where the paper is made for the owner."""
    shop = shop_of(session)
    name, address = _owner(session, document)
    printed = day(local(document.created_at, shop.zone).date())
    what = f"{document.title} {document.number}"
    greeting = f"Hello {name}," if name else "Hello,"
    says = f"attached is {what}, issue {document.issue} of {printed}, as the file {document.file_name}."
    words = f"{greeting}\n\n{says}\n\n{_signed(shop)}"
    return Letter(Said(address, words), f"{what}, {shop.name}")


def _owner(session: Session, document: Document) -> tuple[str, str]:
    """Name and address of the owner; empty texts where the paper is not made for one."""
    if document.kind in FOR_OWNER:
        with suppress(NoResultFound):  # no foreign key holds a paper to its work order
            owner = owner_of(session, document.work_order_id)
            return owner.name, owner.email if is_address(owner.email) else ""
    return "", ""


def _signed(shop: Shop) -> str:
    return "\n".join(filter(None, (shop.name, shop.address, shop.phone)))


def newer(session: Session, document: Document) -> int:
    """The newest issue where it has taken a paper's place, else 0."""
    last = documents.newest(session, document.kind, document.number)
    return last.issue if last is not None and last.issue > document.issue else 0


def revised(session: Session, document: Document) -> int:
    """The newest revision of a printed estimate where it was made since the printing, else 0.

    What the owner was shown on the tablet has no paper, so that no newer issue tells it.
    """
    if document.kind != "estimate":
        return 0
    newest = newest_revision(session, document.work_order_id)
    return newest.n if newest is not None and newest.created_at > document.created_at else 0
