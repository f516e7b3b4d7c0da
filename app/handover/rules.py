"""What handover decides: may it leave under tow, what stands in the way, who may check, what falls due.

An open do-not-tow finding is never outweighed: the unit then leaves on a carrier, as not fit to tow.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from enum import StrEnum

from app.bench.rules import counting
from app.estimate.saying import is_signature
from app.trade.figure import HEAVIEST_FIRST, WEIGHT_OF_BY, By, Grade
from app.trade.letters import apart
from app.trade.problems import Problem, Refused
from app.trade.typed import Reader, Typed

# May it leave under tow


@dataclass(frozen=True)
class Look:
    """One verdict on a check at a place: a finding of a walk-round or of a second look.

    `cleared`: a finished job's record, a second look or a lead has cleared it, and that still stands.
    """

    finding_id: int
    grade: Grade
    by: By | None = None
    cleared: bool = False

    @property
    def now(self) -> Grade:
        """The grade that counts now: sound where it is cleared."""
        return Grade.SOUND if self.cleared else self.grade


@dataclass(frozen=True)
class Thing:
    """One thing on the unit as it stands when it leaves: the heaviest of its looks that is not cleared.

    `finding_id`: of that look. `must_see`: a safety check that can come to do not tow. `closed_off`: shut
    and tagged, so that "before use" does not hold the tow. `initials`: the owner's, beside a declined work.
    `work_id`: of a work asked for before towing that answers no finding, else 0; `finding_id` is then 0.
    """

    finding_id: int
    name: str
    grade: Grade
    by: By | None = None
    reason: str = ""
    until: date | None = None
    until_miles: int | None = None
    must_see: bool = False
    closed_off: bool = False
    initials: str = ""
    work_id: int = 0

    @property
    def duty(self) -> bool:
        """Whether it breaks a duty that the owner may overrule in writing."""
        return self.grade is Grade.NEEDS and self.by is By.TOWING


@dataclass(frozen=True)
class Stop:
    """One thing that stands in the way, in plain words; `where`: the room in which it is put right."""

    says: str
    grade: Grade
    finding_id: int | None = None
    where: str = "inspection"


@dataclass(frozen=True)
class Fit:
    """May be towed. Names of must-see parts not looked at, duties the owner left, things shut off."""

    unseen: tuple[str, ...] = ()
    left: tuple[str, ...] = ()
    closed: tuple[str, ...] = ()


@dataclass(frozen=True)
class NotFit:
    """May not be towed; at least one stop says why."""

    stops: tuple[Stop, ...]


Fitness = Fit | NotFit


def standing(looks: Sequence[Look]) -> Look:
    """The look that rules at one check and place: the heaviest that is not cleared, the newest of equals.

    Unseen counts only where nobody ever looked; where all that weighed is cleared, the newest cleared one.
    ValueError without looks.
    """
    if not looks:
        raise ValueError("a thing has at least one look")
    seen = counting(looks)
    still = [look for look in seen if not look.cleared] or seen
    newest_first = sorted(still, key=lambda look: look.finding_id, reverse=True)
    return min(newest_first, key=lambda look: (HEAVIEST_FIRST.index(look.grade), WEIGHT_OF_BY[look.by]))


def fitness(things: Iterable[Thing], *, walked: bool) -> Fitness:
    """May it leave under tow? Fit, or not fit with every reason.

    It is held by a do-not-tow finding that is not cleared, by a duty before towing that the owner has not
    signed away, by what is dangerous in use and not shut off, and where nobody has walked round it.
    """
    known = list(things)
    unwalked = [] if walked else [Stop("The walk-round is not ended", Grade.UNSEEN)]
    stops = unwalked + [stop for thing in known if (stop := _stop(thing))]
    if stops:
        return NotFit(tuple(sorted(stops, key=lambda stop: HEAVIEST_FIRST.index(stop.grade))))
    return Fit(
        unseen=unseen_of(known),
        left=tuple(it.name for it in known if it.duty),
        closed=tuple(it.name for it in known if it.by is By.USE and it.grade is Grade.NEEDS),
    )


@dataclass(frozen=True)
class Towing:
    """The answer to: may it be towed? A state for the mark, a word, and why; the same on every page."""

    state: Grade
    word: str
    says: str


def towing(things: Iterable[Thing], *, walked: bool) -> Towing:
    """May it be towed, by `fitness`, for a reader: what holds it, or what nobody saw, or what was left.

    Unseen is never sound: while nobody has walked round it to the end, or a part that can come to do not
    tow was not looked at, it is not said to be fit. `walked`: every walk-round is ended.
    """
    known = list(things)
    found = fitness(known, walked=walked)
    if isinstance(found, Fit):
        return _free(found)
    return _held([it for it in known if _stop(it)], walked=walked)


def _free(found: Fit) -> Towing:
    parts = (
        ("Not looked at", found.unseen),
        ("Left undone by the owner's word", found.left),
        ("Shut off and tagged", found.closed),
    )
    says = " ".join(f"{label}: {_some(names)}." for label, names in parts if names)
    if found.unseen:
        return Towing(Grade.UNSEEN, "Not yet known", f"Nothing that was found holds it. {says}")
    return Towing(Grade.SOUND, "It may be towed", f"Nothing that was found holds it. {says}".strip())


def _held(held: Sequence[Thing], *, walked: bool) -> Towing:
    left = "" if walked else " The walk-round is not ended."
    if grave := [it.name for it in held if it.grade is Grade.DNT]:
        count = "One finding holds it" if len(grave) == 1 else f"{len(grave)} findings hold it"
        return Towing(Grade.DNT, "Do not tow", f"{count}: {_some(grave)}.{left}")
    if not walked:
        return Towing(Grade.UNSEEN, "Not yet known", "Nobody has walked round it to the end.")
    return Towing(Grade.NEEDS, "Not before the work", f"Before towing: {_some([it.name for it in held])}.")


def _some(names: Sequence[str]) -> str:
    """The first three names, and how many more there are."""
    shown = "; ".join(names[:3])
    return shown if len(names) <= 3 else f"{shown}; and {len(names) - 3} more"


def _stop(thing: Thing) -> Stop | None:
    if thing.grade is Grade.DNT:
        return Stop(_told(thing), thing.grade, thing.finding_id)
    if thing.duty and not thing.initials and thing.work_id:
        says = f"{_told(thing)}: the owner has not agreed to it, nor signed to leave it undone"
        return Stop(says, thing.grade, None, "estimate")
    if thing.duty and not thing.initials:
        says = f"{_told(thing)}: the owner has not signed to leave it undone"
        return Stop(says, thing.grade, thing.finding_id, "handover")
    if thing.grade is Grade.NEEDS and thing.by is By.USE and not thing.closed_off:
        return Stop(f"{_told(thing)}: not shut off and tagged yet", thing.grade, thing.finding_id)
    return None


def _told(thing: Thing) -> str:
    return f"{thing.name}: {apart(thing.reason)}" if thing.reason else thing.name


def with_initials(things: Iterable[Thing], initials: Mapping[int, str]) -> tuple[Thing, ...]:
    """The things with the initials that the owner has set at the handover, by finding key."""
    return tuple(replace(it, initials=it.initials or initials.get(it.finding_id, "")) for it in things)


# The final check


@dataclass(frozen=True)
class Item:
    """One line of the final check; `always`: every unit has it, so it cannot be answered "not fitted"."""

    key: str
    says: str
    always: bool = True
    kinds: tuple[str, ...] = ()


CAMPERS = ("travel", "tent")
ITEMS = (
    Item("nuts", "Wheel nuts of every wheel and of the spare are at their figure"),
    Item("pressures", "Tires are at their cold pressure, the spare too"),
    Item("caps", "Hub caps are on, and no grease shows outside"),
    Item("latch", "Coupler is latched on the ball, pin in"),
    Item("chains", "Chains, breakaway cable and plug reach the vehicle that takes it", always=False),
    Item("lamps", "All lamps work on the vehicle that takes it"),
    Item("breakaway", "Breakaway, once pulled, holds the braked wheels", always=False),
    Item("gas", "Gas is shut at the cylinders, and the tags are on", always=False, kinds=CAMPERS),
    Item("roof", "Roof, awning and exits are down and locked", always=False, kinds=CAMPERS),
    Item("doors", "Doors, ramp, step and jack are up and locked", always=False),
    Item("loose", "Nothing lies on roof, bumper or step"),
    Item("tools", "Tools are counted"),
    Item("papers", "Papers and keys are here, old parts are shown"),
    Item("retorque", "Owner knows when the nuts are tightened again"),
    Item("shown", "Owner was shown lamps, tire pressures and, where there is one, the breakaway"),
)
DONE, NOT_FITTED = "yes", "none"


def items_of(kind: str) -> tuple[Item, ...]:
    """The final check of a kind of unit, in the order in which it is read out. Source: common practice."""
    return tuple(item for item in ITEMS if not item.kinds or kind in item.kinds)


@dataclass(frozen=True)
class Checked:
    """A final check as a form has it: the answer to each item, and who read the list out."""

    items: Mapping[str, str]
    read_by: str = ""


def read_final_check(typed: Typed, items: Sequence[Item]) -> Checked:
    """The final check that stands in a form; raises Refused with each item that is not answered."""
    read = Reader(typed)
    answers = {item.key: _answer(read, item) for item in items}
    read_by = read.text("read_by", most=60)
    read.done()
    return Checked(answers, read_by)


def _answer(read: Reader, item: Item) -> str:
    found = read.raw(f"item-{item.key}")
    if found == DONE or (found == NOT_FITTED and not item.always):
        return found
    accepts = "looked at" if item.always else "looked at, or not fitted"
    read.wrong(f"item-{item.key}", f"Not answered: {item.says.lower()}", accepts)
    return ""


@dataclass(frozen=True)
class Hands:
    """Who had a hand in a unit, by key of person, and who works here now.

    `finished`: who finished jobs; `measured`: whose records cleared findings of safety checks.
    """

    finished: frozenset[int] = frozenset()
    measured: frozenset[int] = frozenset()
    people: frozenset[int] = frozenset()

    def may_check(self, person: int) -> bool:
        """Whether a person may make the final check: one with no hand in it, where the shop has such a one.

        Where it has none, one who only measured; where everybody finished jobs, anybody.
        """
        others = self.people - self.finished
        return person in (others - self.measured or others or self.people)


def check_checker(person: int, hands: Hands) -> None:
    """Raise Refused where somebody else has to make the final check."""
    if not hands.may_check(person):
        says = "You did or measured work on this unit, so another person makes the final check"
        raise Refused([Problem("", says, "someone who had no hand in it")])


def check_items(checked: Checked, items: Sequence[Item]) -> None:
    """Raise Refused where a final check does not answer every item of the list."""
    missing = [item for item in items if not checked.items.get(item.key)]
    if missing:
        raise Refused([Problem(f"item-{it.key}", f"Not answered: {it.says.lower()}") for it in missing])


# What stands in the way


class Leaves(StrEnum):
    """How the unit leaves."""

    TOWED = "towed"
    CARRIED = "carried"


@dataclass(frozen=True)
class Bench:
    """What the bench says of a stay: titles of agreed works not finished, and what was done last.

    `moved`, `check`: numbers in the book of what was done last and of the newest final check, 0 where there
    is none. `stopped`: titles of works
    that were begun, then not wanted any more: something may lie open.
    """

    unfinished: tuple[str, ...] = ()
    moved: int = 0
    check: int = 0
    stopped: tuple[str, ...] = ()

    @property
    def not_ended(self) -> tuple[str, ...]:
        """What is not ended on the bench, a sentence each without its full stop."""
        agreed = (f"{apart(title)}: agreed and not finished" for title in self.unfinished)
        stopped = (
            f"{apart(title)}: begun, then not wanted: put together again and ended by a lead in writing"
            for title in self.stopped
        )
        return (*agreed, *stopped)

    @property
    def checked(self) -> bool:
        """Whether the final check still counts: nothing moved after it."""
        return self.check > 0 and self.moved <= self.check


def in_the_way(leaves: Leaves, found: Fitness, bench: Bench) -> tuple[Stop, ...]:
    """What keeps the unit from leaving so; empty where it may. On a carrier it may always leave."""
    if leaves is Leaves.CARRIED:
        return ()
    stops = found.stops if isinstance(found, NotFit) else ()
    return (*stops, *still_to_do(bench))


def still_to_do(bench: Bench) -> tuple[Stop, ...]:
    """What is not ended on the bench, and the final check where none counts; the board tells the same."""
    jobs = [Stop(says, Grade.UNSEEN, None, "bench") for says in bench.not_ended]
    return (*jobs, *_unchecked(bench))


def _unchecked(bench: Bench) -> tuple[Stop, ...]:
    if bench.checked:
        return ()
    says = "Something was done after the final check" if bench.check else "The final check is not made"
    return (Stop(says, Grade.UNSEEN, None, "final check"),)


class Registered(StrEnum):
    """What was done so that the makers of the tires that were fitted know who has them."""

    GIVEN = "given"
    MAILED = "mailed"
    ONLINE = "online"
    LATER = "later"

    @property
    def word(self) -> str:
        """As the pages say it."""
        return {
            Registered.GIVEN: "Form given to the owner",
            Registered.MAILED: "Sent to the maker by post",
            Registered.ONLINE: "Sent to the maker online",
            Registered.LATER: "Not yet: it is put on the list of what falls due",
        }[self]


@dataclass(frozen=True)
class Leaving:
    """How a unit leaves, as a form has it.

    `carrier`: who carries it and how. `initials`: the owner's, by finding, beside duties left undone.
    `unseen_reason`: why parts were not looked at. `on_paper`: the owner signs the printed sheet.
    `registered`: how tires that were fitted are registered; None where none were.
    """

    leaves: Leaves
    taken_by: str
    carrier: str = ""
    signature: str = ""
    on_paper: bool = False
    initials: Mapping[int, str] | None = None
    unseen_reason: str = ""
    registered: Registered | None = None

    @property
    def how(self) -> str:
        """How it leaves, as the book keeps it."""
        return str(Leaves.TOWED) if self.leaves is Leaves.TOWED else f"carried: {self.carrier}"


def read_leaving(
    typed: Typed,
    asked: Sequence[int] = (),
    unseen: Sequence[str] = (),
    *,
    tires: bool = False,
    held_by: Sequence[Stop] = (),
) -> Leaving:
    """How the unit leaves, as the form says; raises Refused with every problem.

    `asked`: keys of the findings beside which the form asks for initials, in `initials-<finding>`. `unseen`:
    must-see parts not looked at, for which it asks a reason. `tires`: whether tires were fitted, so that
    their registration is asked for. `held_by`: what keeps it from leaving under tow; what the form cannot
    sign away is told before whatever else is wrong, since nothing else on it helps.
    """
    read = Reader(typed)
    leaves = read.choice("leaves", Leaves, required="How it leaves is missing")
    if leaves is Leaves.TOWED:
        read.problems += _held_back(stop for stop in held_by if stop.where != "handover")
    taken_by = read.text("taken_by", required="Who takes it is missing", most=80)
    carrier = read.text("carrier", most=120)
    if leaves is Leaves.CARRIED and not carrier:
        read.wrong("carrier", "Who carries it, and on what, is missing", "such as flatbed, plate TR 40 17")
    initials = {key: text for key in asked if (text := read.text(f"initials-{key}", most=12))}
    reason = read.text("unseen_reason", most=200)
    read.problems += _unexplained(unseen, reason)
    registered = _registered(read) if tires else None
    signature = _signature(read)
    read.done()
    assert leaves
    return Leaving(leaves, taken_by, carrier, signature, read.yes("on_paper"), initials, reason, registered)


def _registered(read: Reader) -> Registered | None:
    accepts = "form given, sent by post, sent online, or not yet"
    return read.choice(
        "registered", Registered, required="Say how the new tires are registered", accepts=accepts
    )


def _signature(read: Reader) -> str:
    path = read.raw("signature")
    if path and not is_signature(path):
        read.wrong("signature", "The drawn signature cannot be read", "drawn again, or signed on paper")
    if not path and not read.yes("on_paper"):
        read.wrong("signature", "The signature is missing", "drawn here, or signed on the printed sheet")
    return path


def unseen_of(things: Iterable[Thing]) -> tuple[str, ...]:
    """Names of the must-see parts that nobody looked at: they need a reason at handover."""
    return tuple(it.name for it in things if it.must_see and it.grade is Grade.UNSEEN)


def check_leaving(leaving: Leaving, found: Fitness, bench: Bench, unseen: Sequence[str] = ()) -> None:
    """Raise Refused where the unit may not leave so, with everything that stands in the way.

    `unseen`: must-see parts not looked at, which need a reason however the unit leaves.
    """
    problems = _held_back(in_the_way(leaving.leaves, found, bench))
    problems += _unexplained(unseen, leaving.unseen_reason)
    if problems:
        raise Refused(problems)


def _held_back(stops: Iterable[Stop]) -> list[Problem]:
    put_right = "put right first, or carried away as not fit to tow"
    return [Problem("leaves", stop.says, put_right) for stop in stops]


def _unexplained(unseen: Sequence[str], reason: str) -> list[Problem]:
    if not unseen or reason:
        return []
    says = f"Why it was not looked at is missing: {listed(unseen)}"
    return [Problem("unseen_reason", says, "a reason, such as wet roof, stuck drum")]


def listed(names: Sequence[str], most: int = 3) -> str:
    """Names in one line: the first three, then how many more."""
    shown = "; ".join(map(apart, names[:most]))
    return shown if len(names) <= most else f"{shown}; and {len(names) - most} more"
