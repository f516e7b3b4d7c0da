"""What the post keeps: which paper was given to the mail server, by whom, for whom, and what came of it."""

from sqlmodel import Field

from app.ground.tables import APPEND_ONLY, Kept

APPEND_ONLY += ["mailing", "mailingend"]


class Mailing(Kept, table=True):
    """A paper about to be given to the mail server; kept before the server is asked, so never in silence."""

    document_id: int = Field(foreign_key="document.id", index=True)
    receiver: str  # address
    words: str  # what the letter says
    sender: str  # address
    sent_by: int = Field(foreign_key="person.id")


class MailingEnd(Kept, table=True):
    """What came of a mailing; where there is none and it is under way no more, nobody knows."""

    mailing_id: int = Field(foreign_key="mailing.id", index=True)
    outcome: str  # sent, refused or unknown
    says: str = ""  # why not, or what is not known
