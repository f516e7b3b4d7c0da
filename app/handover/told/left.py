"""What stays undone: works not agreed to whose fault is still there, and faults nobody priced."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from sqlmodel import col, select

from app.estimate.facts import OwnersWord
from app.estimate.rows import lines_of, newest_revision
from app.estimate.tables import Answer, Consent
from app.handover import record, sentences
from app.handover.other_stays import Seen
from app.handover.told.teller import Teller, keys_of
from app.trade.days import day
from app.trade.figure import HEAVIEST_FIRST
from app.trade.letters import apart

HOW = {"tablet": "here", "paper": "on paper", "phone": "by phone", "writing": "in writing"}


def left(it: Teller) -> Iterator[record.Left]:
    """Works not agreed to whose fault stays, then open faults that no work was priced for."""
    open_now = {key: spot for spot in it.open_spots for key in keys_of(spot)}
    by_work = it.by_work
    priced: set[int] = set()
    for work_id, offered in _offered(it).items():
        behind = [open_now[key] for key in by_work.get(work_id, ()) if key in open_now]
        priced |= {key for spot in behind for key in keys_of(spot)}
        word = it.stay.words.get(work_id)
        if _left(it, work_id, word) and (behind or not by_work.get(work_id)):
            yield _left_work(it, offered, behind, word)
    rest = {spot.thing.finding_id: spot for key, spot in open_now.items() if key not in priced}
    yield from (_left_bare(it, spot) for spot in rest.values() if not keys_of(spot) & priced)


def _left(it: Teller, work_id: int, word: OwnersWord | None) -> bool:
    """Whether a work is not wanted, or no longer covered by the owner's yes and not done either."""
    if word is None or word.answer != "yes":
        return True
    job = it.stay.jobs.get(work_id)
    return bool(word.lapsed) and (job is None or job.finished_at is None)


@dataclass(frozen=True)
class Offered:
    """A work as the newest revision offers it."""

    title: str
    amount: int


def _offered(it: Teller) -> dict[int, Offered]:
    revision = newest_revision(it.session, it.stay.head.order_id)
    works, amounts = it.works, dict[int, int]()
    for line in lines_of(it.session, revision.key) if revision else []:
        amounts[line.work_id] = amounts.get(line.work_id, 0) + line.amount
    return {key: Offered(works[key].title, amount) for key, amount in amounts.items()}


def _left_work(it: Teller, offered: Offered, behind: Sequence[Seen], word: OwnersWord | None) -> record.Left:
    heavy = min(behind, key=lambda spot: HEAVIEST_FIRST.index(spot.thing.grade), default=None)
    return record.Left(
        title=offered.title,
        state=heavy.thing.grade if heavy else None,
        why="; ".join(f"{spot.thing.name}: {apart(spot.thing.reason)}" for spot in behind[:3]),
        amount=offered.amount,
        answer=word.answer if word else "",
        said=_said(it, word),
        initials=_initials(it, behind) or (word.acknowledged if word else ""),
        signature=_signature(it, word),
        signed=f"{day(it.day_of(word.said_at))}, {apart(word.who)}." if word else "",
    )


def _left_bare(it: Teller, spot: Seen) -> record.Left:
    return record.Left(
        title=spot.thing.name,
        state=spot.thing.grade,
        why=spot.thing.reason,
        amount=None,
        answer="",
        said="No work was priced for it.",
        initials=_initials(it, [spot]),
    )


def _initials(it: Teller, behind: Sequence[Seen]) -> str:
    """The initials that the owner set at this handover."""
    said = it.leaving.initials or {}
    return next((said[spot.thing.finding_id] for spot in behind if spot.thing.finding_id in said), "")


def _said(it: Teller, word: OwnersWord | None) -> str:
    """What the owner answered, when and how."""
    begin = sentences.LEFT_WORDS[word.answer if word else ""]
    return (
        f"{begin}, {day(it.day_of(word.said_at))}, {HOW[word.how]}: {apart(word.who)}."
        if word
        else f"{begin}."
    )


def _signature(it: Teller, word: OwnersWord | None) -> str:
    """The signature drawn under the answer, where one was."""
    if word is None:
        return ""
    mine = select(Consent.signature).join(Answer, col(Answer.consent_id) == col(Consent.id))
    same = (Answer.work_id == word.work.key, Consent.entry == word.entry)
    return it.session.exec(mine.where(*same).order_by(col(Answer.id).desc())).first() or ""
