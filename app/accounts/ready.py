"""What of a work order may be billed: finished, agreed to, not billed yet; and why the rest may not."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date

from sqlmodel import Session, select

from app.accounts.adding_up import Done
from app.accounts.rows import billed_lines
from app.accounts.tables import BillLine
from app.bench.tables import Job
from app.estimate.agreed import kept_consents, limit_in
from app.estimate.cover import Bounds
from app.estimate.facts import Ledger, LedgerWork, OwnersWord, ledger, owners_words
from app.estimate.rows import margin_of
from app.estimate.rules import NewLine
from app.ground.shop import shop_of
from app.ground.words import local
from app.trade.days import short_day

NO_WORD = "The owner has not agreed to it"


@dataclass(frozen=True)
class Held:
    """A finished work that may not be billed now, and why, in a sentence without its full stop."""

    title: str
    why: str


@dataclass(frozen=True)
class Ready:
    """The finished works of a work order: `works` may be billed, `held` not, `billed` are."""

    works: tuple[Done, ...]
    held: tuple[Held, ...]
    billed: tuple[Done, ...]
    unfinished: tuple[str, ...]
    words: Mapping[int, OwnersWord]
    bounds: Bounds
    ledger: Ledger

    def chosen(self, keys: Iterable[int]) -> list[Done]:
        """The works of some keys that may be billed, in their order."""
        wanted = set(keys)
        return [work for work in self.works if work.work_id in wanted]

    def standing(self, chosen: Iterable[Done]) -> list[Done]:
        """Every work agreed to as it would then stand: billed as it is billed, the rest as agreed."""
        billed = {work.work_id: work for work in (*self.billed, *chosen)}
        rest = {key: word for key, word in self.words.items() if word.answer == "yes" and key not in billed}
        return [*billed.values(), *(_agreed(key, word, word.amount) for key, word in rest.items())]


def _agreed(key: int, word: OwnersWord, amount: int) -> Done:
    return Done(key, word.work.title, "", word.amount, amount, None, {})


def ready(session: Session, order_id: int, today: date) -> Ready:
    """What of a work order may be billed today; NoResultFound where there is no such work order."""
    found, words = ledger(session, order_id, today), owners_words(session, order_id)
    jobs = _finished(session, order_id)
    billed = _billed(billed_lines(session, order_id), words)
    fresh = [key for key in jobs if key not in {work.work_id for work in billed}]
    priced = {work.id: work for work in found.works}
    zone = shop_of(session).zone
    holds = [key for key in fresh if key in words and words[key].holds and key in priced]
    return Ready(
        works=tuple(_done(priced[key], jobs[key], zone) for key in priced if key in holds),
        held=tuple(_held(words.get(key)) for key in fresh if key not in holds),
        billed=tuple(billed),
        unfinished=tuple(word.work.title for key, word in words.items() if word.holds and key not in jobs),
        words=words,
        bounds=_bounds(session, order_id),
        ledger=found,
    )


def _finished(session: Session, order_id: int) -> dict[int, Job]:
    """The finished jobs of a work order by their work."""
    jobs = session.exec(select(Job).where(Job.work_order_id == order_id))
    return {job.work_id: job for job in jobs if job.finished_at is not None}


def _billed(lines: Sequence[BillLine], words: Mapping[int, OwnersWord]) -> list[Done]:
    amounts: dict[int, int] = {}
    for line in lines:
        if line.work_id is not None:
            amounts[line.work_id] = amounts.get(line.work_id, 0) + line.amount
    return [_agreed(key, words[key], amount) for key, amount in amounts.items()]


def _held(word: OwnersWord | None) -> Held:
    return Held(word.work.title, word.lapsed or NO_WORD) if word else Held("A finished work", NO_WORD)


def _done(work: LedgerWork, job: Job, zone: str) -> Done:
    assert work.word is not None and job.finished_at is not None
    finished = local(job.finished_at, zone).date()
    return Done(
        work_id=work.id,
        title=work.title,
        group=work.group.word,
        agreed=work.word.amount,
        amount=work.amount,
        finished_on=finished,
        lines={
            line.id: NewLine(line.kind, line.what, line.quantity, line.price, line.tax) for line in work.lines
        },
        became=f"done {short_day(finished)}",
    )


def _bounds(session: Session, order_id: int) -> Bounds:
    return Bounds(margin_of(session, order_id), limit_in(row for _, row in kept_consents(session, order_id)))
