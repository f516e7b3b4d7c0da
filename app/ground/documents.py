"""What was printed: the kept papers of a work order, and which issue of a number is the newest."""

from sqlmodel import Session, col, select

from app.ground.tables import Document


def newest(session: Session, kind: str, number: str) -> Document | None:
    """The newest issue of a document number, or None where it was never printed."""
    same = (Document.kind == kind, Document.number == number)
    return session.exec(select(Document).where(*same).order_by(col(Document.issue).desc())).first()


def earlier(session: Session, kind: str, number: str, issue: int) -> Document | None:
    """The issue of a document number whose place a further one takes, or None where it is the first."""
    same = (Document.kind == kind, Document.number == number, Document.issue < issue)
    return session.exec(select(Document).where(*same).order_by(col(Document.issue).desc())).first()


def of_number(session: Session, kind: str, number: str, issue: int) -> Document | None:
    """One issue of a document number as last printed, or None."""
    same = (Document.kind == kind, Document.number == number, Document.issue == issue)
    return session.exec(select(Document).where(*same).order_by(col(Document.id).desc())).first()


def issues(session: Session, kind: str, number: str) -> list[Document]:
    """All issues of a document number, the newest first."""
    same = (Document.kind == kind, Document.number == number)
    return list(session.exec(select(Document).where(*same).order_by(col(Document.issue).desc())))


def of_work_order(session: Session, work_order_id: int) -> list[Document]:
    """All papers of a work order, the newest first."""
    same = Document.work_order_id == work_order_id
    return list(session.exec(select(Document).where(same).order_by(col(Document.id).desc())))


def has_left(session: Session, work_order_id: int) -> bool:
    """Whether the unit of a work order was handed over on paper: its stay is over."""
    gone = (Document.kind == "handover", Document.work_order_id == work_order_id)
    return session.exec(select(Document.id).where(*gone).limit(1)).first() is not None


def replaced(session: Session, document: Document) -> bool:
    """Whether a newer issue of this document has been printed."""
    last = newest(session, document.kind, document.number)
    return last is not None and last.issue > document.issue
