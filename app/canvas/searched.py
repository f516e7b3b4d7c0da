"""Searches for shorter cut plans that were asked for: waiting, running, and what became of them."""

from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.canvas import plans
from app.canvas.facts import canvas_order
from app.canvas.plans import PlanRead
from app.canvas.tables import CanvasPart, CutSearch
from app.ground import receipts
from app.ground.acting import Act
from app.ground.book import reading, writing
from app.ground.receipts import Stale
from app.trade.bounds import says
from app.trade.canvas.lengths import Lengths, bought, cost
from app.trade.problems import Problem, Refused


class State(StrEnum):
    """What became of a search."""

    WAITING = "waiting"
    RUNNING = "running"
    FOUND = "found"
    NOTHING = "nothing"
    GIVEN_UP = "given-up"
    ASIDE = "aside"

    @property
    def goes_on(self) -> bool:
        """Whether its answer is still to come."""
        return self in (State.WAITING, State.RUNNING)


GOING = (State.WAITING, State.RUNNING)
SAYS = {
    State.WAITING: "waits for the search before it",
    State.RUNNING: "is running",
    State.NOTHING: "found no shorter plan",
    State.GIVEN_UP: "was given up: its process ended before the time was over. Search once more",
    State.ASIDE: "was put aside: the order was changed while it ran",
}


@dataclass(frozen=True)
class SearchRead:
    """A search as a page shows it. `shorter`: in words, the plan that it found."""

    key: int
    cloth_id: int
    version: int
    seconds: int
    state: State
    asked_at: datetime
    shorter: str = ""

    @property
    def says(self) -> str:
        """How it stands, as the end of a sentence."""
        return self.shorter if self.state is State.FOUND else SAYS[self.state]


def ask(book: Engine, act: Act, stood: PlanRead, seconds: int) -> int:
    """Ask for a search from the plan that stands; returns the search's key.

    Raises Refused where one for this cloth still goes on, nothing is cut from the roll or the order was
    called off, Stale.
    """
    with writing(book) as session:
        if (made := receipts.repeated(session, act)) is not None:
            return made
        plans.still_stands(session, act, stood.order_id)
        if not plans.stands(canvas_order(session, stood.order_id), stood):
            raise Stale(act.seen)
        if not stood.of_roll:
            raise Refused([Problem("seconds", "Nothing is cut from the roll", "the plan as it is")])
        if _going(session, stood.cloth_id):
            raise Refused([Problem("seconds", "A search for this cloth still goes on", "its answer first")])
        row = CutSearch(
            created_at=act.at,
            canvas_order_id=stood.order_id,
            cloth_id=stood.cloth_id,
            plan_id=stood.key,
            version=act.seen,
            seconds=seconds,
            state=State.WAITING,
            made_by=act.person,
        )
        return receipts.sign(session, act, "ask for cut search", row)


def _going(session: Session, cloth_id: int) -> bool:
    asked = select(CutSearch.id).where(CutSearch.cloth_id == cloth_id, col(CutSearch.state).in_(GOING))
    return session.exec(asked).first() is not None


def newest(session: Session, cloth_id: int) -> SearchRead | None:
    """The search for a cloth that was asked for last."""
    asked = select(CutSearch).where(CutSearch.cloth_id == cloth_id).order_by(col(CutSearch.id).desc())
    row = session.exec(asked).first()
    return _read(session, row) if row else None


def search_read(session: Session, key: int) -> SearchRead:
    """One search; NoResultFound where there is none of that key."""
    return _read(session, session.get_one(CutSearch, key))


def _read(session: Session, row: CutSearch) -> SearchRead:
    shorter = _shorter(session, row.plan_id, row.found_id) if row.found_id else ""
    return SearchRead(
        row.key, row.cloth_id, row.version, row.seconds, State(row.state), row.created_at, shorter
    )


def _shorter(session: Session, before: int, after: int) -> str:
    stood, found = (plans.plan_read(session, key) for key in (before, after))
    less = says(bought(stood.laid) - bought(found.laid), "mm")
    return f"found a plan that takes {found.off_roll}, {less} less"


# What the searching process writes


@dataclass(frozen=True)
class Begun:
    """A search that began, with the plan that it begins with."""

    key: int
    seconds: int
    stood: PlanRead
    cloth: CanvasPart
    act: Act


def begin(book: Engine, at: datetime) -> Begun | None:
    """The search that has waited longest, now running; those of changed orders are put aside on the way."""
    with writing(book) as session:
        asked = select(CutSearch).where(CutSearch.state == State.WAITING).order_by(col(CutSearch.id))
        for row in session.exec(asked).all():
            begun = _begun(session, row, at)
            if _stands(session, begun):
                row.state = State.RUNNING
                session.add(row)
                session.expunge(begun.cloth)
                return begun
            _sign(session, row, begun.act, State.ASIDE)
    return None


def _begun(session: Session, row: CutSearch, at: datetime) -> Begun:
    act = Act(f"cut-search/{row.key}", "", row.made_by, at, "searching", row.version)
    cloth = session.get_one(CanvasPart, row.cloth_id)
    return Begun(row.key, row.seconds, plans.plan_read(session, row.plan_id), cloth, act)


def _stands(session: Session, begun: Begun) -> bool:
    try:
        plans.still_stands(session, begun.act, begun.stood.order_id)
    except (Stale, Refused):
        return False
    return True


def end(book: Engine, begun: Begun, at: datetime, found: Lengths | None) -> State:
    """Keep what a search found, a better plan and nothing else; returns what became of the search."""
    act = Act(begun.act.submission, "", begun.act.person, at, begun.act.device, begun.act.seen)
    with writing(book) as session:
        row = session.get_one(CutSearch, begun.key)
        if not _stands(session, begun):
            return _sign(session, row, act, State.ASIDE)
        if found is None or cost(found) >= cost(begun.stood.laid):
            return _sign(session, row, act, State.NOTHING)
        stood = begun.stood
        row.found_id = plans.add(session, act, "find cut plan", begun.cloth, stood.roll, stood.cuts, found)
        return _sign(session, row, act.part("end"), State.FOUND)


def give_up(book: Engine, at: datetime, key: int | None = None) -> int:
    """Give up a search whose process ended, or all that were running when the program was stopped."""
    with writing(book) as session:
        asked = select(CutSearch).where(CutSearch.state == State.RUNNING)
        rows = [row for row in session.exec(asked).all() if key in (None, row.key)]
        for row in rows:
            _sign(session, row, _begun(session, row, at).act, State.GIVEN_UP)
    return len(rows)


def waiting(book: Engine) -> bool:
    """Whether a search waits to be begun."""
    with reading(book) as session:
        return session.exec(select(CutSearch.id).where(CutSearch.state == State.WAITING)).first() is not None


def _sign(session: Session, row: CutSearch, act: Act, state: State) -> State:
    row.state = state
    receipts.sign(session, act, "end cut search", row)
    return state
