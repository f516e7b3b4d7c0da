"""The paper of a retorque visit, made from its row."""

from dataclasses import replace

from sqlmodel import Session

from app.ground.acting import Act
from app.ground.papers import Paper
from app.ground.shop import settings_of
from app.handover.after import facts, rules
from app.handover.tables import RetorqueVisit
from app.intake.facts import order_head


def visit_paper(session: Session, visit_id: int) -> Paper:
    """The paper of a retorque visit; NoResultFound where there is none of that key."""
    row = session.get_one(RetorqueVisit, visit_id)
    line = facts.visit_line(session, row)
    return Paper(
        template="visit",
        kind="retorque visit",
        number=line.number,
        title="Retorque visit",
        work_order_id=row.work_order_id,
        facts={
            "it": line,
            "tag": order_head(session, row.work_order_id),
            "next": rules.next_retorque(line.visit.driven, settings_of(session).retorques),
        },
        issue=1,
    )


def visit_act(act: Act, visit_id: int) -> Act:
    """The act that prints a visit: the same for every try, so that it is printed once."""
    return replace(act, submission=f"retorque visit/{visit_id}/paper", sent=f"visit {visit_id}")
