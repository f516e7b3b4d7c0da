"""Keeping what was given to the mail server: before it is asked, and what came of it."""

from sqlalchemy import Engine

from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.post.rules import Said, Told
from app.post.tables import Mailing, MailingEnd


def begin_mailing(book: Engine, act: Act, document_id: int, said: Said, sender: str) -> tuple[int, bool]:
    """The key of a mailing, and whether it is to be sent now: the same act again is never sent again."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made, False
        mailing = Mailing(
            created_at=act.at,
            document_id=document_id,
            receiver=said.receiver,
            words=said.words,
            sender=sender,
            sent_by=act.person,
        )
        return receipts.sign(session, act, "hand over by e-mail", mailing), True


def end_mailing(book: Engine, act: Act, mailing_id: int, told: Told) -> int:
    """Keep what came of a mailing; returns the key of its end. The same act again changes nothing."""
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        end = MailingEnd(created_at=act.at, mailing_id=mailing_id, outcome=told.outcome, says=told.says)
        return receipts.sign(session, act, "end of e-mail", end)
