"""What price and consent know, as pages, papers and JSON read it."""

from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from decimal import Decimal

from sqlalchemy.exc import NoResultFound
from sqlmodel import Session, select

from app.estimate import rules
from app.estimate.agreed import OTHER_WAY, kept_consents
from app.estimate.agreed import ConsentLine as ConsentLine
from app.estimate.agreed import OwnersWord as OwnersWord
from app.estimate.agreed import consents_of as consents_of
from app.estimate.agreed import owners_words as owners_words
from app.estimate.agreed import words_of as words_of
from app.estimate.budget import Item, best_within
from app.estimate.prices import Priced, priced_by
from app.estimate.rows import as_line, charges_of, margin_of, offered, works_of
from app.estimate.rows import estimate_of as estimate_of
from app.estimate.rows import findings_by_work as findings_by_work
from app.estimate.rows import lines_of as lines_of
from app.estimate.rows import newest_revision as newest_revision
from app.estimate.rows import priced_findings as priced_findings
from app.estimate.rows import revisions_of as revisions_of
from app.estimate.rules import Group, NewLine, Way
from app.estimate.sums import Sums, deposit, sums, weight, worked_total
from app.estimate.tables import Estimate, Revision, Work, WorkLine
from app.ground import people
from app.ground.taxes import DaySettings
from app.inspection.catalogue import Caution
from app.inspection.facts import FindingLine, findings_of, newest_catalogue, with_kits_offered
from app.intake.facts import OrderHead, order_head
from app.intake.tables import WorkOrder
from app.trade.figure import Grade, Worked, heaviest, plain
from app.trade.markup import Step
from app.trade.money import Money, Tolerance
from app.trade.quantity import read_number
from app.trade.totals import LineKind

KIND_ORDER = tuple(LineKind)
OWNERS_WORDS = {
    "Recommended": "We recommend this",
    "Or instead": "Or this instead",
    "Declined": "You said no to this way",
    "Chosen": "You chose this way",
    "Not chosen": "You chose another way",
}


# Which findings of a work order are cleared is known to the bench, a later room: it puts its answer here.
CLEARED: list[Callable[[Session, int], Collection[int]]] = []

# What kits took on units like that of a work order is known to the desk: in words, by the kit's key.
TOOK: list[Callable[[Session, int, datetime], Mapping[str, str]]] = []


@dataclass(frozen=True)
class LedgerLine:
    """One priced line. `hours` where it is labour; `fixed` where the shop's settings work it out."""

    id: int
    kind: LineKind
    what: str
    quantity: str
    price: int
    amount: int
    tax: str
    fixed: bool

    @property
    def times(self) -> str:
        """The quantity as people read it: `1.2 h`, `2`."""
        return f"{self.quantity} h" if self.kind is LineKind.LABOUR else self.quantity


@dataclass(frozen=True)
class LedgerWork:
    """One row of the ledger: a work, the findings behind it, what it costs, what the owner said.

    Amounts in minor units before tax; `so_far` is the sum with tax of all works down to this one that were
    not declined. `instead_of`: the work that it is another way of doing; `counts`: whether it stands in the
    sums, as all do but what was declined and the ways not chosen.
    """

    id: int
    title: str
    group: Group
    grade: Grade | None
    findings: tuple[FindingLine, ...]
    lines: tuple[LedgerLine, ...]
    amount: int
    place: str
    kit: str
    defer: str
    cautions: tuple[Caution, ...]
    outside: bool
    word: OwnersWord | None = None
    so_far: int = 0
    instead_of: int | None = None
    counts: bool = True
    ways: tuple[str, ...] = ()

    @property
    def declined(self) -> bool:
        """Whether the owner said no, so that it leaves the sums."""
        return self.word is not None and self.word.answer == "no"

    @property
    def way_word(self) -> str:
        """What stands for the owner before one of several ways of the same work."""
        return OWNERS_WORDS[self.way]

    @property
    def way(self) -> str:
        """The same for the shop; once the owner picked a way, none is pressed any more."""
        if self.declined:
            return "Declined"
        if self.word is not None and self.word.holds:
            return "Chosen"
        if self.instead_of is None:
            return "Recommended" if self.counts else "Not chosen"
        return "Or instead"

    @property
    def safety(self) -> bool:
        """Whether the owner who puts it off has to acknowledge what that means."""
        return self.group is Group.MUST or any(finding.holds_the_tow for finding in self.findings)

    @property
    def put_off(self) -> bool:
        """Whether it is work for safety that the owner does not want now, in no way of doing it."""
        other_way = bool(self.ways) and not self.counts
        return self.safety and self.word is not None and self.word.answer != "yes" and not other_way

    @property
    def rises_by(self) -> int:
        """What it costs above the amount agreed; 0 where nothing was agreed or it does not rise."""
        agreed = self.word is not None and self.word.answer == "yes"
        return max(self.amount - self.word.amount, 0) if self.word and agreed else 0

    @property
    def asks(self) -> bool:
        """Whether the owner has yet to say something: never asked, or a yes that covers it no longer."""
        return self.counts and (self.word is None or bool(self.word.lapsed))

    @property
    def open_amount(self) -> int:
        """What of it the owner has not agreed to, in minor units before tax; 0 where nothing is asked."""
        return (self.rises_by or self.amount) if self.asks else 0

    @property
    def why(self) -> str:
        """The two heaviest findings in one sentence, without its full stop: word, check and reason.

        A reason alone ("Kinked or bent") does not say of what, and stands beside the owner's initials.
        """
        found = [f"{it.grade.word}, {it.told}" for it in self.findings[:2]]
        return "; ".join(dict.fromkeys(found))

    def of(self, *kinds: str) -> int:
        """Sum of the lines of some kinds, in minor units."""
        return sum(line.amount for line in self.lines if line.kind in kinds)

    @property
    def hours(self) -> str:
        """Hours of labour, in tenths; empty where there are none."""
        tenths = [read_number(it.quantity) for it in self.lines if it.kind is LineKind.LABOUR]
        return plain(sum(tenths, Decimal(0)), 1) if tenths else ""


@dataclass(frozen=True)
class Budget:
    """What a budget buys: the works that fit, heaviest first, and where the money ends.

    `left`: what remains, in minor units with tax. `short`: by how much the works before towing alone pass it.
    """

    amount: int
    fits: frozenset[int]
    left: int
    short: int
    last: int | None  # the work under which the money ends


@dataclass(frozen=True)
class Since:
    """What changed since the owner last answered: to which revision, when, the changes in plain words.

    `more`: what has to be asked, unanswered works and rises, in minor units before tax; 0 where nothing has
    to be. `fresh`: keys of the works that the owner has not been shown yet.
    """

    n: int
    said_at: datetime
    changes: tuple[str, ...]
    more: int
    fresh: frozenset[int] = frozenset()


@dataclass(frozen=True)
class LedgerGroup:
    """One ruled group with its sum, before tax, without what was declined."""

    group: Group
    works: tuple[LedgerWork, ...]
    sums: Sums


@dataclass(frozen=True)
class Ledger:
    """The estimate of a work order as it stands: groups, sums, what is still to be priced.

    `guard`: the revision that a form must name; 0 before anything was priced. `whole`: the sums of must,
    of must and should, and of everything, each taxed once; without what was declined. `covered`: the sums of
    what the owner's yes covers, at what it costs now. `deposit`, `deposit_all`: what is asked for in advance
    of that and of everything.
    """

    order_id: int
    groups: tuple[LedgerGroup, ...]
    total: Sums
    whole: tuple[tuple[Group, Sums], ...]
    unpriced: tuple[FindingLine, ...]
    by_hand: tuple[FindingLine, ...]
    labour_rate: int
    markup: tuple[Step, ...] = ()
    estimate_id: int = 0
    number: str = ""
    revision_id: int = 0
    n: int = 0
    guard: int = 0
    note: str = ""
    valid_until: date | None = None
    frozen_at: datetime | None = None
    frozen_by: str = ""
    figure: Worked[Money] | None = None
    budget: Budget | None = None
    since: Since | None = None
    covered: Sums = field(default_factory=Sums)
    deposit_percent: str = "0"
    deposit: int = 0
    deposit_all: int = 0

    @property
    def works(self) -> tuple[LedgerWork, ...]:
        """All works, group after group."""
        return tuple(work for group in self.groups for work in group.works)

    @property
    def to_price(self) -> tuple[FindingLine, ...]:
        """All findings that ask for work and that no work answers, the heaviest first."""
        return tuple(sorted((*self.unpriced, *self.by_hand), key=lambda line: line.weight))

    @property
    def findings(self) -> tuple[FindingLine, ...]:
        """All findings that ask for work: those priced, each once, then those that are not."""
        priced = {line.id: line for work in self.works for line in work.findings}
        return (*priced.values(), *self.unpriced, *self.by_hand)

    @property
    def frozen(self) -> bool:
        """Whether the owner was shown this revision, so that a change makes the next."""
        return self.frozen_at is not None

    def over(self, today: date) -> bool:
        """Whether its prices no longer hold, so that it is shown anew before the owner answers."""
        return self.valid_until is not None and today > self.valid_until

    def work(self, work_id: int) -> LedgerWork:
        """One work of the newest revision; NoResultFound where it does not hold it."""
        for work in self.works:
            if work.id == work_id:
                return work
        raise NoResultFound

    @property
    def agreed(self) -> int:
        """Sum of the amounts agreed to, in minor units before tax; of ways of one work the last picked."""
        words = [it.word for it in self.works if it.word]
        return sum(word.amount for word in words if word.answer == "yes" and word.lapsed != OTHER_WAY)


@dataclass(frozen=True)
class _Known:
    """What the rows of a ledger are made from."""

    works: Mapping[int, Work]
    findings: Mapping[int, FindingLine]
    by_work: Mapping[int, tuple[int, ...]]
    words: Mapping[int, OwnersWord]
    cautions: Mapping[str, Caution]


def ledger(session: Session, order_id: int, today: date) -> Ledger:
    """The ledger of a work order's newest revision; an empty one before anything was priced.

    `today`: in the shop; until it is frozen, a revision is taxed as today.
    NoResultFound where there is no such work order.
    """
    session.get_one(WorkOrder, order_id)
    found, revision = findings_of(session, order_id), newest_revision(session, order_id)
    settings = charges_of(session, revision, today)
    lines = lines_of(session, revision.key) if revision else []
    known = _known(session, order_id, found)
    works = sorted(
        (_work(key, lines, known) for key in dict.fromkeys(it.work_id for it in lines)), key=_heavy
    )
    works = _run_down(_ways(works), settings)
    cleared = {key for asked in CLEARED for key in asked(session, order_id)}
    still = [line for line in found if line.id not in cleared]
    made = _empty(order_id, works, settings, with_kits_offered(session, _unpriced(still, works)))
    return _headed(session, made, revision) if revision else made


def _known(session: Session, order_id: int, found: list[FindingLine]) -> _Known:
    return _Known(
        works=works_of(session, order_id),
        findings={line.id: line for line in found},
        by_work=findings_by_work(session, order_id),
        words=owners_words(session, order_id),
        cautions={it.key: it for it in newest_catalogue(session).cautions} if found else {},
    )


def _work(key: int, lines: Sequence[WorkLine], known: _Known) -> LedgerWork:
    row, mine = known.works[key], [line for line in lines if line.work_id == key]
    behind = [known.findings[it] for it in known.by_work.get(key, ()) if it in known.findings]
    behind.sort(key=lambda line: line.weight)
    return LedgerWork(
        id=key,
        title=row.title,
        group=Group(mine[0].group),
        grade=heaviest([line.grade for line in behind]) if behind else None,
        findings=tuple(behind),
        lines=tuple(sorted(map(_line, mine), key=lambda line: KIND_ORDER.index(line.kind))),
        amount=sum(line.amount for line in mine),
        place=row.place,
        kit=row.kit,
        defer=row.defer,
        cautions=tuple(known.cautions[it] for it in row.cautions if it in known.cautions),
        outside=row.outside or any(line.kind == LineKind.OUTSIDE for line in mine),
        word=known.words.get(key),
        instead_of=row.instead_of_id,
    )


def _line(row: WorkLine) -> LedgerLine:
    return LedgerLine(
        id=row.key,
        kind=LineKind(row.kind),
        what=row.what,
        quantity=row.quantity,
        price=row.price,
        amount=row.amount,
        tax=row.tax,
        fixed=row.what == rules.SUPPLIES,
    )


def _ways(works: list[LedgerWork]) -> list[LedgerWork]:
    """The works with the ways of doing one work side by side, and whether each counts in the sums."""
    place = {work.id: n for n, work in enumerate(works)}
    held = {work.id: work.word.answer if work.word and not work.word.lapsed else "" for work in works}
    said = {work.id: "no" if work.declined else held[work.id] for work in works}
    counts = rules.counted([Way(work.id, work.instead_of or work.id, said[work.id]) for work in works])
    side_by_side = sorted(
        works, key=lambda it: (place.get(it.instead_of or it.id, 0), it.instead_of is not None, place[it.id])
    )
    group = {work.id: work.group for work in works}
    return [
        replace(
            work,
            counts=work.id in counts,
            group=group.get(work.instead_of or work.id, work.group),
            ways=tuple(it.title for it in works if it.id != work.id and _same(it, work)),
        )
        for work in side_by_side
    ]


def _same(one: LedgerWork, other: LedgerWork) -> bool:
    """Whether two are ways of doing one work."""
    return (one.instead_of or one.id) == (other.instead_of or other.id)


def _heavy(work: LedgerWork) -> tuple[int, int, tuple[int, int, int]]:
    """Group, then what stops the tow, then the weight of the heaviest finding; hand-typed work last."""
    weight = work.findings[0].weight if work.findings else (9, 9, 99)
    return rules.HEAVIEST_GROUP_FIRST.index(work.group), int(work.grade is not Grade.DNT), weight


def _new_lines(works: Iterable[LedgerWork]) -> list[NewLine]:
    """The lines of all works that count in the sums."""
    return [
        NewLine(line.kind, line.what, line.quantity, line.price, line.tax)
        for work in works
        if work.counts
        for line in work.lines
    ]


def _run_down(works: list[LedgerWork], settings: DaySettings) -> list[LedgerWork]:
    return [
        replace(work, so_far=sums(_new_lines(works[: place + 1]), settings).gross)
        for place, work in enumerate(works)
    ]


def _unpriced(found: list[FindingLine], works: list[LedgerWork]) -> list[FindingLine]:
    priced = {line.id for work in works for line in work.findings}
    return [it for it in found if rules.asks_for_work(it.grade) and it.fitted and it.id not in priced]


def _empty(
    order_id: int, works: list[LedgerWork], settings: DaySettings, unpriced: list[FindingLine]
) -> Ledger:
    by_group = {group: [work for work in works if work.group is group] for group in Group}
    total = sums(_new_lines(works), settings)
    agreed = sums(_new_lines(it for it in works if it.word and it.word.holds), settings)
    return Ledger(
        order_id=order_id,
        groups=tuple(
            LedgerGroup(group, tuple(mine), sums(_new_lines(mine), settings))
            for group, mine in by_group.items()
            if mine
        ),
        total=total,
        whole=tuple(_whole(by_group, settings)),
        unpriced=tuple(it for it in unpriced if it.kits),
        by_hand=tuple(it for it in unpriced if not it.kits),
        labour_rate=settings.labour_rate,
        markup=settings.markup_steps,
        figure=worked_total(_new_lines(works), settings),
        covered=agreed,
        deposit_percent=settings.deposit_percent,
        deposit=deposit(agreed.gross, settings),
        deposit_all=deposit(total.gross, settings),
    )


def _whole(by_group: Mapping[Group, list[LedgerWork]], settings: DaySettings) -> Iterable[tuple[Group, Sums]]:
    down_to: list[LedgerWork] = []
    for group, works in by_group.items():
        down_to += works
        if works:
            yield group, sums(_new_lines(down_to), settings)


def _headed(session: Session, made: Ledger, revision: Revision) -> Ledger:
    estimate = session.get_one(Estimate, revision.estimate_id)
    return replace(
        made,
        estimate_id=estimate.key,
        number=estimate.number,
        revision_id=revision.key,
        n=revision.n,
        guard=revision.revision,
        note=revision.note,
        valid_until=revision.valid_until,
        frozen_at=revision.frozen_at,
        frozen_by=people.names(session).get(revision.frozen_by or 0, ""),
        since=_since(session, made, revision),
    )


def _since(session: Session, made: Ledger, revision: Revision) -> Since | None:
    """What changed since the owner last answered; None before that, and where nothing did."""
    kept = list(kept_consents(session, made.order_id))
    if not kept or kept[-1][1].revision_id == revision.key:
        return None
    n, answered = kept[-1]
    changes = difference(session, answered.revision_id, revision.key)
    more = sum(work.open_amount for work in made.works)
    before = {line.work_id for line in lines_of(session, answered.revision_id)}
    fresh = frozenset(work.id for work in made.works if work.id not in before)
    return Since(n, answered.said_at, changes, more, fresh) if changes else None


def within_budget(session: Session, found: Ledger, amount: int, today: date) -> Ledger:
    """The ledger with a budget drawn in: in each group the works that fit stand first.

    `amount`: minor units with tax, at least 0. Do-not-tow work is never left for lesser work; what was
    declined is left out.
    """
    revision = session.get(Revision, found.revision_id)
    settings = charges_of(session, revision, today)
    items = [_item(work, settings) for work in found.works if work.counts]
    fits = frozenset(best_within(amount, items, settings.rule.rounding))
    works = [
        work for group in found.groups for work in sorted(group.works, key=lambda work: work.id not in fits)
    ]
    chosen = [work for work in works if work.id in fits]
    must = sums(_new_lines(work for work in works if work.group is Group.MUST), settings).gross
    budget = Budget(
        amount=amount,
        fits=fits,
        left=amount - sums(_new_lines(chosen), settings).gross,
        short=max(must - amount, 0),
        last=chosen[-1].id if chosen else None,
    )
    run = _run_down(works, settings)
    groups = tuple(
        replace(group, works=tuple(work for work in run if work.group is group.group))
        for group in found.groups
    )
    return replace(found, groups=groups, budget=budget)


def _item(work: LedgerWork, settings: DaySettings) -> Item:
    """A work as the budget weighs it: what stops the tow, the other musts, should, may wait."""
    lighter = work.group is not Group.MUST or work.grade is not Grade.DNT
    rank = rules.HEAVIEST_GROUP_FIRST.index(work.group) + int(lighter)
    cost, taxes = weight(_new_lines([work]), settings)
    found = Item(work.id, rank, cost, max(len(work.findings), 1), taxes)
    return found if found.exact >= 0 else replace(found, cost=Decimal(0), taxes=())


def guard(session: Session, order_id: int) -> int:
    """The revision that an act on this order's estimate must have seen; 0 before anything was priced."""
    newest = newest_revision(session, order_id)
    return newest.revision if newest else 0


def line_now(session: Session, order_id: int, line_id: int) -> int | None:
    """Key in the newest revision of a line that some revision of this order holds; None where it is gone."""
    estimate, line = estimate_of(session, order_id), session.get(WorkLine, line_id)
    mine = [revision.key for revision in revisions_of(session, estimate.key)] if estimate else []
    if line is None or line.revision_id not in mine:
        return None
    same = (WorkLine.revision_id == mine[-1], WorkLine.work_id == line.work_id)
    at_place = WorkLine.position == line.position
    return session.exec(select(WorkLine.id).where(*same, at_place)).first()


def sums_of(session: Session, revision_id: int, today: date) -> Sums:
    """The sums of one revision, of all its lines, at the rates in force when it was shown, else today."""
    charges = charges_of(session, session.get_one(Revision, revision_id), today)
    return sums([as_line(line) for line in lines_of(session, revision_id)], charges)


def difference(session: Session, before_id: int, after_id: int) -> tuple[str, ...]:
    """What changed from one revision to another, in plain words; empty where nothing did."""
    before, after = (session.get_one(Revision, key) for key in (before_id, after_id))
    order_id = session.get_one(Estimate, after.estimate_id).work_order_id
    works = works_of(session, order_id)
    old, new = (offered(lines_of(session, it.key), works) for it in (before, after))
    return rules.difference(old, new)


@dataclass(frozen=True)
class RevisionLine:
    """One revision in the list: its number, when it was shown, its sum with tax, what changed to reach it.

    `note`: the word to the owner that was printed with it.
    """

    n: int
    frozen_at: datetime | None
    gross: int
    changes: tuple[str, ...]
    note: str = ""


def revision_lines(session: Session, order_id: int, today: date) -> list[RevisionLine]:
    """The revisions of an order's estimate, the newest first, each with what changed since the one before."""
    estimate = estimate_of(session, order_id)
    rows = revisions_of(session, estimate.key) if estimate else []
    made = [
        RevisionLine(
            n=row.n,
            frozen_at=row.frozen_at,
            gross=row.totals["gross"] if row.totals else sums_of(session, row.key, today).gross,
            changes=difference(session, rows[place - 1].key, row.key) if place else (),
            note=row.note,
        )
        for place, row in enumerate(rows)
    ]
    return made[::-1]


@dataclass(frozen=True)
class Sheet:
    """What the printed estimate says, beside the ledger itself."""

    head: OrderHead
    ledger: Ledger
    margin: Tolerance
    printed_by: str
    prices: Mapping[int, Priced] = field(default_factory=dict)

    @property
    def musts(self) -> int:
        """How many works must come before towing, those that the owner put off among them."""
        musts = [work for work in self.ledger.works if work.group is Group.MUST]
        return sum(work.counts or work.put_off for work in musts)

    @property
    def to_price(self) -> tuple[FindingLine, ...]:
        """What was found, is not only watched, and is in no sum yet."""
        return tuple(it for it in self.ledger.to_price if it.grade is not Grade.WATCH)

    @property
    def outside(self) -> tuple[LedgerWork, ...]:
        """Works done outside the shop, in part or whole."""
        return tuple(work for work in self.ledger.works if work.outside)


def sheet(session: Session, order_id: int, today: date) -> Sheet:
    """The printed estimate of a work order's newest revision."""
    made = ledger(session, order_id, today)
    return Sheet(
        head=order_head(session, order_id),
        ledger=made,
        margin=margin_of(session, order_id),
        printed_by=made.frozen_by,
        prices=priced_by(session, order_id),
    )


@dataclass(frozen=True)
class Agreement:
    """What was agreed to whom and when: every consent, the oldest first, and how the works stand now."""

    head: OrderHead
    ledger: Ledger
    consents: tuple[ConsentLine, ...]

    @property
    def covered(self) -> tuple[LedgerWork, ...]:
        """The works that the owner's yes covers as they stand."""
        return tuple(work for work in self.ledger.works if work.word and work.word.holds)

    @property
    def asked(self) -> tuple[LedgerWork, ...]:
        """The works that have yet to be asked, or asked again."""
        return tuple(work for work in self.ledger.works if work.asks)

    @property
    def put_off(self) -> tuple[LedgerWork, ...]:
        """The works for safety that the owner put off."""
        return tuple(work for work in self.ledger.works if work.put_off)


def agreement(session: Session, order_id: int, today: date) -> Agreement:
    """What the owner of a work order agreed to; NoResultFound where there is no such order."""
    made = ledger(session, order_id, today)
    return Agreement(order_head(session, order_id), made, tuple(consents_of(session, order_id)[::-1]))
