"""What is done with an estimate: price, add, change, remove, freeze, and keep the owner's word."""

from collections.abc import Iterable, Sequence
from dataclasses import asdict, replace
from datetime import timedelta
from decimal import Decimal

from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound
from sqlmodel import Session, select

from app.estimate import places, rules, saying
from app.estimate.agreed import limit_of, owners_words
from app.estimate.draft import Draft, open_draft, ours, sign
from app.estimate.rows import (
    as_line,
    findings_by_work,
    lines_of,
    newest_revision,
    offered,
    tow_holding,
    works_of,
)
from app.estimate.rules import ChangedWork, Group, NewLine, NewWork
from app.estimate.saying import Asked, SaidAll
from app.estimate.sums import sums
from app.estimate.tables import Answer, Consent, Revision, Work, WorkFinding, WorkLine
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import writing
from app.ground.receipts import Stale, current
from app.ground.shop import shop_of
from app.ground.taxes import settings_on
from app.ground.words import local
from app.inspection.catalogue import Catalogue, Kit
from app.inspection.facts import (
    FindingLine,
    finding_line,
    findings_of,
    newest_catalogue,
    with_kits_offered,
)
from app.inspection.tables import Finding
from app.intake.tables import Unit, WorkOrder
from app.trade.problems import Problem, Refused


def price_findings(book: Engine, act: Act, order_id: int) -> int:
    """Make works of the kits that findings without work name; returns the key of the open revision.

    Raises Refused where nothing is left to price, Stale where somebody saved since `act.seen`.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        draft = open_draft(session, act, order_id)
        catalogue = newest_catalogue(session)
        proposed = _proposed(draft, catalogue)
        if not proposed:
            raise Refused(
                [Problem("", "Every finding that names a kit is priced already", "work typed by hand")]
            )
        return _priced(draft, catalogue, proposed)


def price_found(session: Session, act: Act, order_id: int, finding_id: int) -> int | None:
    """Put a finding's kits on the open revision, inside an act of the bench; the revision's key.

    None where its check names no kit: that work is typed by hand.
    """
    catalogue, line = newest_catalogue(session), finding_line(session, session.get_one(Finding, finding_id))
    if not with_kits_offered(session, [line])[0].kits:
        return None
    newest = newest_revision(session, order_id)
    draft = open_draft(session, replace(act, seen=newest.revision if newest else 0), order_id)
    return _priced(draft, catalogue, _proposed(draft, catalogue, finding_id))


def _priced(draft: Draft, catalogue: Catalogue, proposed: Iterable[places.Proposed]) -> int:
    works = [_propose(draft, catalogue.kit(each.kit), each) for each in proposed]
    return sign(draft, "price findings", draft.revision, *works)


def _proposed(draft: Draft, catalogue: Catalogue, only: int | None = None) -> tuple[places.Proposed, ...]:
    """Works for the findings that no work of the revision answers; `only`: for this one finding."""
    works = findings_by_work(draft.session, draft.order.key)
    here = {line.work_id for line in draft.lines.values()}
    priced = {finding for work, found in works.items() if work in here for finding in found}
    open_now = [
        it
        for it in with_kits_offered(draft.session, findings_of(draft.session, draft.order.key))
        if it.id not in priced and only in (None, it.id) and rules.asks_for_work(it.grade)
    ]
    wanted = [_wanted(it) for it in open_now]
    per_of = {kit.key: kit.per for kit in catalogue.kits}
    return places.proposals(wanted, per_of, rules.HEAVIEST_GROUP_FIRST)


def _wanted(it: FindingLine) -> places.Wanted:
    kits = rules.kits_to_price(it.kits, one_of_them=it.one_of_them)
    place = places.DONE_AT.get(it.check, it.place)
    return places.Wanted(it.id, place, rules.group_of(it.grade, it.by), kits, it.name)


def _propose(draft: Draft, kit: Kit, proposed: places.Proposed) -> Work:
    unit = draft.session.get_one(Unit, draft.order.unit_id)
    gear = places.Gear(unit.axles, unit.wheels_per_end)
    new = NewWork(
        title="",
        group=Group(proposed.group),
        finding_ids=proposed.finding_ids,
        kit=kit.key,
        place=proposed.place,
        count=places.count_at(kit.per, proposed.place, gear),
        thing=proposed.thing,
    )
    return _add_work(draft, new, kit)


def add_work(book: Engine, act: Act, order_id: int, new: NewWork) -> int:
    """Add a piece of work from a kit or typed by hand, with the findings that it answers; returns its key.

    Raises Refused where a kit or finding is not of this order, Stale where somebody saved since `act.seen`.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        return put_work(session, act, order_id, new)


def put_work(session: Session, act: Act, order_id: int, new: NewWork) -> int:
    """Put a work on the open revision, inside an act; returns its key. Raises as `add_work` does."""
    draft = open_draft(session, act, order_id)
    _refuse_strange_findings(draft, new.finding_ids)
    _refuse_strange_way(draft, new.instead_of)
    work = _add_work(draft, new, _kit(session, new.kit) if new.kit else None)
    return sign(draft, "add work", work, draft.revision)


def _refuse_strange_findings(draft: Draft, finding_ids: Sequence[int]) -> None:
    mine = {line.id for line in findings_of(draft.session, draft.order.key)}
    if not mine.issuperset(finding_ids):
        says = "One of these is no finding of this work order"
        raise Refused([Problem("findings", says, "findings of the list")])


def _refuse_strange_way(draft: Draft, instead_of: int | None) -> None:
    """A work stands instead of one that this revision holds and that is no other way itself."""
    if instead_of is None:
        return
    draft.of_work(instead_of)
    if draft.session.get_one(Work, instead_of).instead_of_id is not None:
        says = "This work is another way itself"
        raise Refused([Problem("instead_of", says, "the work that it stands for")])


def _kit(session: Session, key: str) -> Kit:
    try:
        return newest_catalogue(session).kit(key)
    except KeyError:
        raise Refused([Problem("kit", f"{key[:20]} is not a kit of this shop", "one of the list")]) from None


def _add_work(draft: Draft, new: NewWork, kit: Kit | None) -> Work:
    work = _work_of(draft, new, kit)
    draft.session.add(work)
    draft.session.flush()
    answers = [
        WorkFinding(created_at=draft.act.at, work_id=work.key, finding_id=finding)
        for finding in new.finding_ids
    ]
    draft.session.add_all(answers)
    draft.add(work.key, new.group, _lines(draft, new, kit))
    return work


def _work_of(draft: Draft, new: NewWork, kit: Kit | None) -> Work:
    work = Work(
        created_at=draft.act.at,
        work_order_id=draft.order.key,
        kit=new.kit,
        title=new.title or (kit.name if kit else ""),
        place=new.place,
        outside=new.outside,
        instead_of_id=new.instead_of,
    )
    if kit is not None:
        where = places.place_words(new.place)
        work.title = new.title or rules.title_of(kit.name, where, new.count, new.thing)
        work.records, work.steps, work.cautions = list(kit.records), list(kit.steps), list(kit.cautions)
        work.defer, work.outside = kit.defer, kit.outside
    return work


def _lines(draft: Draft, new: NewWork, kit: Kit | None) -> list[NewLine]:
    of_kit = rules.lines_of_kit(kit, new.count, draft.settings) if kit and not new.own_lines else ()
    typed = [rules.labour_line(Decimal(new.hours), draft.settings)] if new.hours else []
    return [*of_kit, *typed, *new.lines]


def change_work(book: Engine, act: Act, order_id: int, work_id: int, changed: ChangedWork) -> int:
    """Move a work to another group, or call it otherwise; returns its key.

    A work that the owner has seen keeps its title (Refused). Raises Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        draft = open_draft(session, act, order_id)
        lines, work = draft.of_work(work_id), session.get_one(Work, work_id)
        if changed.title != work.title and _in_other_revisions(draft, work_id):
            says = "The owner has seen this title; it stays as it was"
            raise Refused([Problem("title", says, f"{work.title}; or a new work in its place")])
        work.title = changed.title
        for line in lines:
            line.group = changed.group
        return sign(draft, "change work", work, draft.revision)


def _in_other_revisions(draft: Draft, work_id: int) -> bool:
    other = (WorkLine.work_id == work_id, WorkLine.revision_id != draft.revision.key)
    return draft.session.exec(select(WorkLine).where(*other).limit(1)).first() is not None


def remove_work(book: Engine, act: Act, order_id: int, work_id: int) -> int:
    """Take a work off the newest revision; returns the revision's key. What was shown before stays.

    Raises Refused where another way of doing it is offered, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        draft = open_draft(session, act, order_id)
        _refuse_while_another_way(draft, work_id)
        for line in draft.of_work(work_id):
            draft.remove(line)
        if not _in_other_revisions(draft, work_id):
            _forget(session, work_id)
        return sign(draft, "remove work", draft.revision)


def _refuse_while_another_way(draft: Draft, work_id: int) -> None:
    here = {line.work_id for line in draft.lines.values()}
    ways = draft.session.exec(select(Work).where(Work.instead_of_id == work_id))
    if left := [way.title for way in ways if way.key in here]:
        says = f"{left[0]} stands instead of it"
        raise Refused([Problem("", says, "the other way removed first")])


def _forget(session: Session, work_id: int) -> None:
    for answered in session.exec(select(WorkFinding).where(WorkFinding.work_id == work_id)):
        session.delete(answered)
    session.flush()
    session.delete(session.get_one(Work, work_id))
    session.flush()


def add_line(book: Engine, act: Act, order_id: int, work_id: int, new: NewLine) -> int:
    """Add a line to a work: labour, part, outside work, fee, discount; returns its key.

    Raises Refused where a discount is more than the work, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        draft = open_draft(session, act, order_id)
        group = draft.of_work(work_id)[0].group
        [line] = draft.add(work_id, group, [new])
        _refuse_below_nothing(draft, work_id)
        return sign(draft, "add line", line, draft.revision)


def change_line(book: Engine, act: Act, order_id: int, line_id: int, changed: NewLine) -> int:
    """Change what a line says, its quantity, price or tax category; returns its key in the open revision.

    A line keeps its kind. Raises Refused, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        draft = open_draft(session, act, order_id)
        line = draft.line(line_id)
        _refuse_ours(line)
        draft.price(line, changed)
        _refuse_below_nothing(draft, line.work_id)
        return sign(draft, "change line", line, draft.revision)


def remove_line(book: Engine, act: Act, order_id: int, line_id: int) -> int:
    """Take a line off its work; returns the key of the revision.

    Raises Refused for the only line of a work, Stale, NoResultFound.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        draft = open_draft(session, act, order_id)
        line = draft.line(line_id)
        _refuse_ours(line)
        draft.remove(line)
        left = [each for each in draft.lines.values() if each.work_id == line.work_id and not ours(each)]
        if not left:
            raise Refused(
                [Problem("", "This is the only line of its work", "the whole work removed instead")]
            )
        _refuse_below_nothing(draft, line.work_id)
        return sign(draft, "remove line", draft.revision)


def _refuse_ours(line: WorkLine) -> None:
    if ours(line):
        says = "This line is worked out from the labour by the shop's settings"
        raise Refused([Problem("", says, "other labour, or other settings of the shop")])


def _refuse_below_nothing(draft: Draft, work_id: int) -> None:
    if sum(line.amount for line in draft.of_work(work_id)) < 0:
        raise Refused([Problem("price", "The discount is more than the work", "at most what the work costs")])


def freeze(book: Engine, act: Act, order_id: int, note: str = "") -> int:
    """Freeze the newest revision, because the owner is shown it; returns its key.

    It gets its last day and its totals as shown; after that only a new revision changes anything. A revision
    that is frozen already stays as it is while its prices hold; after their last day the same prices are
    offered anew, as the next revision. Raises Refused for an empty one, Stale.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        session.get_one(WorkOrder, order_id)
        newest = newest_revision(session, order_id)
        current(newest.revision if newest else 0, act)
        lines = lines_of(session, newest.key) if newest else []
        if newest is None or not lines:
            raise Refused([Problem("", "There is nothing on this estimate yet", "at least one work")])
        if newest.frozen_at and _over(session, act, newest):
            newest = open_draft(session, act, order_id).revision
        if newest.frozen_at is None:
            lines = lines_of(session, newest.key)
            _freeze(session, act, newest, lines, works_of(session, order_id), note)
        return receipts.sign(session, act, "freeze estimate", newest)


def _over(session: Session, act: Act, frozen: Revision) -> bool:
    """Whether the prices of a revision no longer hold."""
    today = local(act.at, shop_of(session).zone).date()
    return frozen.valid_until is not None and today > frozen.valid_until


def _freeze(
    session: Session, act: Act, newest: Revision, lines: list[WorkLine], works: dict[int, Work], note: str
) -> None:
    day = local(act.at, shop_of(session).zone).date()
    settings = settings_on(session, day)
    newest.frozen_at, newest.frozen_by, newest.note = act.at, act.person, note
    newest.valid_until = day + timedelta(days=settings.valid_days)
    newest.revision += 1
    newest.totals = {
        **sums([as_line(line) for line in lines], settings).as_kept(),
        "settings": asdict(settings),
        "works": [
            {"work_id": it.work_id, "title": it.title, "group": it.group, "amount": it.amount}
            for it in offered(lines, works)
        ],
    }


def consent(book: Engine, act: Act, order_id: int, revision_id: int, said: SaidAll) -> int:
    """Keep what the owner said to the newest, frozen revision, work by work; returns the consent's key.

    Raises Stale where that revision is open or no longer the newest, Refused for what cannot stand
    (no answer, work before towing put off without initials, a phone call without number ...).
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        revision = _shown(session, act, order_id, revision_id)
        asked = _asked(session, act, order_id, revision)
        saying.check_said(said, asked)
        kept = _consent_of(act, revision, said)
        session.add(kept)
        session.flush()
        amounts = {work.work_id: work.amount for work in asked.works}
        return receipts.sign(session, act, "keep consent", kept, *_answers(act, kept, said, amounts))


def _shown(session: Session, act: Act, order_id: int, revision_id: int) -> Revision:
    session.get_one(WorkOrder, order_id)
    newest = newest_revision(session, order_id)
    if newest is None:
        raise NoResultFound
    if newest.key != revision_id or newest.frozen_at is None:
        raise Stale(newest.revision)
    current(newest.revision, act)
    return newest


def _asked(session: Session, act: Act, order_id: int, revision: Revision) -> Asked:
    assert revision.frozen_at is not None
    words, lines = owners_words(session, order_id), lines_of(session, revision.key)
    return Asked(
        works=tuple(offered(lines, works_of(session, order_id), tow_holding(session, order_id))),
        frozen_at=revision.frozen_at,
        valid_until=revision.valid_until,
        now=act.at,
        zone=shop_of(session).zone,
        earlier={key: word.amount for key, word in words.items() if word.answer == "yes"},
        limit=limit_of(session, order_id),
    )


def _consent_of(act: Act, revision: Revision, said: SaidAll) -> Consent:
    return Consent(
        created_at=act.at,
        revision_id=revision.key,
        how=said.how,
        who=said.who,
        phone=said.phone,
        said_at=said.said_at or act.at,
        read_back=said.read_back,
        limit=said.limit,
        signature=said.signature,
        taken_by=act.person,
    )


def _answers(act: Act, kept: Consent, said: SaidAll, amounts: dict[int, int]) -> list[Answer]:
    return [
        Answer(
            created_at=act.at,
            consent_id=kept.key,
            work_id=each.work_id,
            answer=each.answer,
            amount=amounts[each.work_id] if each.answer is saying.Said.YES else 0,
            acknowledged=each.initials,
        )
        for each in said.answers
    ]
