"""Chains of corrections: one record stands at each place, the newest; none before it is ever changed."""

import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, initialize, invariant, rule
from sqlmodel import select

from app.bench import evidence, steps
from app.bench.facts import job_of
from app.bench.tables import BenchRecord, Job
from app.ground.book import reading
from app.trade.problems import Refused
from tests.bench.forms import torque
from tests.bench.stay import LEE, TONI, WREN, Stay, stay
from tests.bench.test_taps import fresh
from tests.conftest import act

PLACES = ("wheel-1-left", "wheel-1-right")
READINGS = st.sampled_from(["90", "100", "110", "115"])
PEOPLE = st.sampled_from([LEE, WREN, TONI])
INSIDE = {"100", "110", "115"}  # of the maker's 100 to 120 lbf·ft


class Chains(RuleBasedStateMachine):
    """Records and corrections in any order, also of records that were superseded long ago."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = Path(tempfile.mkdtemp())
        self.book = fresh(self.folder)
        self.told: dict[str, list[tuple[int, str]]] = {place: [] for place in PLACES}  # key, third nut

    def teardown(self) -> None:
        """Close and remove the book."""
        self.book.dispose()
        shutil.rmtree(self.folder)

    @initialize()
    def begin(self) -> None:
        here: Stay = stay(self.book)
        here.work(place="axle-1")
        self.job = steps.open_jobs(self.book, act(TONI), here.order)

    @rule(who=PEOPLE, place=st.sampled_from(PLACES), third=READINGS)
    def measure(self, who: int, place: str, third: str) -> None:
        try:
            key = steps.keep_record(self.book, act(who), self.job, "wheel_torque", place, torque(r_3=third))
        except Refused:
            assert self.told[place]  # one stands here already: only a correction replaces it
            return
        assert not self.told[place]
        self.told[place].append((key, third))

    @rule(who=PEOPLE, place=st.sampled_from(PLACES), third=READINGS, back=st.integers(0, 3))
    def correct(self, who: int, place: str, third: str, back: int) -> None:
        chain = self.told[place]
        if back >= len(chain):
            return
        old = chain[-1 - back][0]
        try:
            key = steps.correct_record(self.book, act(who), old, torque(r_3=third), "Gone round again")
        except Refused:
            assert back > 0  # somebody was first
            return
        assert back == 0
        chain.append((key, third))

    @rule(place=st.sampled_from(PLACES), reason=st.sampled_from(["", "   "]))
    def correct_without_a_reason(self, place: str, reason: str) -> None:
        for key, _ in self.told[place][-1:]:
            with pytest.raises(Refused, match="The reason is missing"):
                steps.correct_record(self.book, act(TONI), key, torque(), reason)

    @invariant()
    def each_chain_is_one_line_from_its_first_record_to_the_one_that_stands(self) -> None:
        with reading(self.book) as session:
            rows = list(session.exec(select(BenchRecord).order_by(BenchRecord.id)))  # type: ignore[arg-type]
        for place, chain in self.told.items():
            mine = [row for row in rows if row.place == place]
            assert [row.key for row in mine] == [key for key, _ in chain]
            assert [row.supersedes_id for row in mine] == [None, *(key for key, _ in chain)][: len(mine)]
            assert [row.payload["readings"][2]["typed"] for row in mine] == [third for _, third in chain]

    @invariant()
    def the_job_lacks_exactly_what_its_newest_records_do_not_show(self) -> None:
        with reading(self.book) as session:
            lacks = evidence.lacks_of(session, session.get_one(Job, self.job))
            line = job_of(session, self.job)
        assert line is not None
        stood = {place: chain[-1][1] in INSIDE if chain else False for place, chain in self.told.items()}
        assert len(lacks) == sum(not inside for inside in stood.values())
        shown = {each.place: each.record for each in line.asked}
        for place, chain in self.told.items():
            record = shown[place]
            assert (record.id if record else None) == (chain[-1][0] if chain else None)
            assert (len(record.earlier) if record else 0) == max(len(chain) - 1, 0)


Chains.TestCase.settings = settings(
    max_examples=20, stateful_step_count=10, deadline=None, suppress_health_check=[HealthCheck.too_slow]
)
TestChains = Chains.TestCase
