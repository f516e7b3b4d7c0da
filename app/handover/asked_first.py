"""Works asked for before towing though no finding stands behind them: they hold the tow as a finding does."""

from collections.abc import Mapping

from sqlmodel import Session

from app.bench.tables import Job
from app.estimate.facts import OwnersWord
from app.estimate.rows import findings_by_work, lines_of, newest_revision, works_of
from app.estimate.rules import Group
from app.estimate.tables import Work
from app.handover.rules import Thing
from app.trade.figure import By, Grade

WHY = "asked for on the estimate, no finding behind it"


def asked_first(
    session: Session, order_id: int, words: Mapping[int, OwnersWord], jobs: Mapping[int, Job]
) -> tuple[Thing, ...]:
    """A thing for each such work that is neither done nor agreed to, in no way of doing it.

    `words`, `jobs`: by work. Work that is agreed to and not done is held by the bench. The owner's initials
    beside a no or later leave it undone, as they do beside a finding.
    """
    things: dict[int, Thing] = {}
    settled: set[int] = set()
    for work in _musts(session, order_id):
        choice, word, job = work.instead_of_id or work.key, words.get(work.key), jobs.get(work.key)
        if (word and word.holds) or (job and job.finished_at):
            settled.add(choice)
        things.setdefault(choice, _thing(work, word))
    return tuple(thing for choice, thing in things.items() if choice not in settled)


def _musts(session: Session, order_id: int) -> list[Work]:
    """Works of the newest revision that come before towing, without those that answer a finding."""
    revision, behind = newest_revision(session, order_id), findings_by_work(session, order_id)
    lines = lines_of(session, revision.key) if revision else []
    must = {line.work_id for line in lines if line.group == Group.MUST}
    works = works_of(session, order_id)
    return [work for key, work in works.items() if key in must and not behind.get(key)]


def _thing(work: Work, word: OwnersWord | None) -> Thing:
    signed = word.acknowledged if word and word.answer != "yes" else ""
    return Thing(0, work.title, Grade.NEEDS, By.TOWING, WHY, initials=signed, work_id=work.key)
