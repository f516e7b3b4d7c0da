"""No path of taps clears a do-not-tow finding without evidence: random acts against a real book."""

import shutil
import tempfile
from pathlib import Path

from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule
from sqlalchemy import Engine
from sqlmodel import select

from app.bench import evidence, facts, steps
from app.bench.floor import steps as floor
from app.bench.floor.rules import Pause, PausedFor
from app.bench.floor.steps import Signer
from app.bench.rules import Evidence, How
from app.bench.tables import BenchRecord, Clearance, Job, Stint
from app.ground.book import open_book, reading
from app.ground.migrating import migrate
from app.ground.receipts import Stale
from app.inspection.tables import Finding
from app.trade.problems import Refused
from tests.bench.forms import torque
from tests.bench.stay import LATER, LEE, TONI, WREN, Stay, stay
from tests.conftest import act, furnish

PEOPLE = st.sampled_from([LEE, WREN, TONI])
LEFT = "wheel-1-left"
_template: list[Path] = []


def fresh(folder: Path) -> Engine:
    """A furnished book, made once and copied."""
    if not _template:
        first = Path(tempfile.mkdtemp()) / "castlenut.db"
        engine = open_book(first)
        migrate(engine)
        furnish(engine)
        with engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
        engine.dispose()
        _template.append(first)
    shutil.copy(_template[0], folder / "castlenut.db")
    return open_book(folder / "castlenut.db")


class Taps(RuleBasedStateMachine):
    """Anybody does anything in any order; what is refused is refused."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.book = fresh(self.folder)
        self.here: Stay = stay(self.book)
        self.here.work(answers=[self.here.finding("dnt")])
        self.job = steps.open_jobs(self.book, act(TONI), self.here.order)
        self.looks: list[int] = []

    def teardown(self) -> None:
        """Close and remove the book."""
        self.book.dispose()
        shutil.rmtree(self.folder)

    def seen(self) -> int:
        """The job's revision, as a page just opened shows it."""
        with reading(self.book) as session:
            return session.get_one(Job, self.job).revision

    @rule(who=PEOPLE)
    def begin(self, who: int) -> None:
        self._try(lambda: steps.begin(self.book, act(who, seen=self.seen()), self.job))

    @rule(who=PEOPLE, third=st.sampled_from(["110", "90"]))
    def measure(self, who: int, third: str) -> None:
        payload = torque(r_3=third)
        self._try(lambda: steps.keep_record(self.book, act(who), self.job, "wheel_torque", LEFT, payload))

    @rule(who=PEOPLE, third=st.sampled_from(["110", "90"]))
    def correct(self, who: int, third: str) -> None:
        with reading(self.book) as session:
            keys = [record.key for record in session.exec(select(BenchRecord))]
        if keys:
            payload = torque(r_3=third)
            self._try(lambda: steps.correct_record(self.book, act(who), keys[-1], payload, "Done again."))

    @rule(who=PEOPLE)
    def finish(self, who: int) -> None:
        self._try(lambda: steps.finish_job(self.book, act(who, seen=self.seen(), at=LATER), self.job))

    @rule(who=PEOPLE)
    def accept(self, who: int) -> None:
        reason = "The owner wants it so"
        self._try(lambda: steps.accept_job(self.book, act(who, seen=self.seen()), self.job, reason))

    @rule(who=PEOPLE, grade=st.sampled_from(["sound", "dnt"]))
    def look_again(self, who: int, grade: str) -> None:
        if not self.looks:
            self.looks.append(self.here.finding(grade, second=True, by=who, at=LATER))

    @rule(who=PEOPLE, how=st.sampled_from(How), reason=st.sampled_from(["", "Because it is so"]))
    def clear(self, who: int, how: How, reason: str) -> None:
        look = self.looks[0] if self.looks else None
        offered = Evidence(how, self.job, look, reason)
        late = act(who, seen=1, at=LATER)
        self._try(lambda: steps.clear_finding(self.book, late, self.here.findings[0], offered))

    @rule(who=PEOPLE)
    def clock_on(self, who: int) -> None:
        self._try(lambda: floor.clock_on(self.book, act(who), self.job))

    @rule(who=PEOPLE)
    def clock_off(self, who: int) -> None:
        self._try(lambda: floor.clock_off(self.book, act(who, at=LATER)))

    @rule(who=PEOPLE, waits_for=st.sampled_from(PausedFor))
    def pause(self, who: int, waits_for: PausedFor) -> None:
        why = Pause(waits_for, "as said")
        self._try(lambda: floor.pause(self.book, act(who, seen=self.seen()), self.job, why))

    @rule(who=PEOPLE, number=st.integers(0, 4), done=st.booleans())
    def tick(self, who: int, number: int, done: bool) -> None:
        self._try(lambda: steps.tick_step(self.book, act(who), self.job, number, done=done))

    @rule(who=PEOPLE, number=st.integers(0, 4))
    def sign(self, who: int, number: int) -> None:
        signer = Signer(who, "own sign-in")
        self._try(lambda: floor.sign_hold(self.book, act(who), self.job, number, signer))

    def _try(self, tap: object) -> None:
        assert callable(tap)
        try:
            tap()
        except (Refused, Stale):
            return

    @invariant()
    def nobody_is_on_two_jobs_and_no_hours_run_on_a_finished_one(self) -> None:
        with reading(self.book) as session:
            running = session.exec(select(Stint).where(Stint.ended_at == None)).all()  # noqa: E711 - SQL
            job = session.get_one(Job, self.job)
        assert len({each.person_id for each in running}) == len(running)
        assert not (job.finished_at and running)

    @invariant()
    def what_does_not_hold_is_proved(self) -> None:
        with reading(self.book) as session:
            first = session.get_one(Finding, self.here.findings[0])
            holding = {line.id for line in facts.holds_the_tow(session, self.here.order)}
            looks = [session.get_one(Finding, key) for key in self.looks]
            if first.key in holding or any(look.key in holding for look in looks):
                return
            row = session.exec(select(Clearance)).all()[-1]
            job = facts.job_of(session, self.job)
            workers = evidence.workers_of(session, session.get_one(Job, self.job))
        assert job is not None
        assert row.cleared_by not in workers or row.how != "record"
        proved = {
            "record": bool(job.finished_at) and not job.lacks and bool(job.records),
            "second look": any(look.grade == "sound" and look.looked_by != LEE for look in looks),
            "lead": row.cleared_by == LEE and len(row.reason) >= 10,
        }
        proved["own work"] = proved["record"] and proved["lead"] and LEE in workers
        assert proved[row.how]


Taps.TestCase.settings = settings(
    max_examples=40, stateful_step_count=12, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
TestTaps = Taps.TestCase
