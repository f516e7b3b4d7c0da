"""The whole thread read from all rooms: rows in, what the board and the order's page say."""

from collections.abc import Callable
from datetime import datetime, timedelta

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound
from sqlmodel import Session, select

from app.bench.records.wheel_torque import KIND as TORQUE
from app.bench.tables import BenchRecord, Clearance, Job
from app.estimate.saying import Said
from app.estimate.tables import Answer, Consent, Estimate, Revision, Work, WorkFinding, WorkLine
from app.ground.book import reading, writing
from app.ground.settings import folder
from app.handover.tables import FinalCheck, FollowUp, Handover
from app.inspection import steps as inspection
from app.inspection.catalogue import read_catalogue
from app.inspection.steps import Seen
from app.inspection.tables import CatalogueVersion, Finding, Walk
from app.intake.arrival import Arrival, OwnerSaid, StaySaid, UnitSaid
from app.intake.steps import take_in
from app.intake.tables import WorkOrder
from app.trade.figure import Grade
from app.trade.typed import Texts
from app.yard import facts
from app.yard.rules import WaitsFor
from tests.bench.contexts import context
from tests.bench.forms import SIX_AT_110
from tests.bench.forms import TORQUE as TORQUE_FORM
from tests.conftest import NOON, Browser, act
from tests.handover.stays import SEAL, SOUND, TONI, stay

CATALOGUE = read_catalogue(folder("seed_data") / "catalogue").to_json()

TORQUED = TORQUE.read(Texts({**TORQUE_FORM, **SIX_AT_110}), context()).model_dump(mode="json")


def after(hours: float) -> datetime:
    return NOON + timedelta(hours=hours)


def line_of(revision: int, work: int) -> WorkLine:
    return WorkLine(
        created_at=after(3),
        revision_id=revision,
        work_id=work,
        position=work,
        group="must",
        kind="fee",
        what="No charge",
    )


def arrive(book: Engine, name: str = "Ines Varga", hours: float = 0, **unit: object) -> int:
    said = UnitSaid(kind="travel", maker="Ottersby", length_ft="17", **unit)  # type: ignore[arg-type]
    stay = StaySaid(concerns=("It wanders.",), stands="Bay 2", keys=2)
    return take_in(book, act(at=after(hours)), Arrival(stay, OwnerSaid(name, phone="555 0163"), said))


class Play:
    """Writes what the rooms would write, hour by hour, for one stay."""

    def __init__(self, session: Session, order_id: int) -> None:
        self.session, self.order_id = session, order_id

    def walk(self, hours: float = 1, ended: float | None = 2) -> int:
        version = self._put(CatalogueVersion(created_at=NOON, sha256=f"{self.order_id}", content=CATALOGUE))
        walk = Walk(
            created_at=after(hours),
            work_order_id=self.order_id,
            catalogue_id=version,
            depth="full",
            begun_by=3,
            ended_at=after(ended) if ended else None,
        )
        return self._put(walk)

    def finding(
        self, walk: int, check: str, grade: str, *, place: str = "unit", by: str | None = None
    ) -> int:
        found = Finding(
            created_at=after(1),
            walk_id=walk,
            check=check,
            place=place,
            name=f"{check} {place}",
            grade=grade,
            reason="as seen",
            looked_by=3,
            looked_at=after(1.5) if grade != "unseen" else None,
        )
        return self._put(found)

    def work(self, *findings: int) -> int:
        work = self._put(Work(created_at=after(3), work_order_id=self.order_id, title="Replace a tire"))
        for finding in findings:
            self._put(WorkFinding(created_at=after(3), work_id=work, finding_id=finding))
        return work

    def offer(self, frozen: float | None = 4, n: int = 1) -> int:
        estimate = Estimate(
            created_at=after(3), work_order_id=self.order_id, number=f"E-2026-{self.order_id:04}"
        )
        return self._put(
            Revision(
                created_at=after(3),
                estimate_id=self._put(estimate),
                n=n,
                frozen_at=after(frozen) if frozen else None,
            )
        )

    def line(self, revision: int, work: int) -> None:
        self._put(line_of(revision, work))

    def say(self, revision: int, answers: dict[int, str], hours: float = 5) -> None:
        consent = Consent(
            created_at=after(hours),
            revision_id=revision,
            how="phone",
            who="Ines",
            said_at=after(hours),
            taken_by=2,
        )
        key = self._put(consent)
        for work, answer in answers.items():
            self._put(Answer(created_at=after(hours), consent_id=key, work_id=work, answer=answer))
            self._put(line_of(revision, work))

    def job(self, work: int, begun: float | None = 6, finished: float | None = None) -> int:
        return self._put(
            Job(
                created_at=after(5.5),
                work_id=work,
                work_order_id=self.order_id,
                begun_at=after(begun) if begun else None,
                finished_at=after(finished) if finished else None,
            )
        )

    def record(self, job: int, hours: float = 6.5) -> int:
        return self._put(
            BenchRecord(
                created_at=after(hours),
                job_id=job,
                work_order_id=self.order_id,
                kind="wheel_torque",
                payload=TORQUED,
                inside=True,
                says="inside",
                made_by=3,
            )
        )

    def clear(self, finding: int, job: int, hours: float = 7.5) -> None:
        self._put(
            Clearance(created_at=after(hours), finding_id=finding, how="record", job_id=job, cleared_by=1)
        )

    def leave(self, hours: float = 9, *, due: bool = False) -> None:
        self._put(FinalCheck(created_at=after(8), work_order_id=self.order_id, checked_by=1))
        self._put(
            Handover(
                created_at=after(hours),
                work_order_id=self.order_id,
                number=f"H-2026-{self.order_id:04}",
                issue=1,
                fit=True,
                leaves="towed",
                taken_by="Ines",
                handed_by=2,
            )
        )
        if due:
            self._put(FollowUp(created_at=after(hours), work_order_id=self.order_id, what="Retorque"))

    def _put(self, row) -> int:  # type: ignore[no-untyped-def]  # noqa: ANN001 - any kept row
        self.session.add(row)
        self.session.flush()
        return int(row.id)


def play(book: Engine, order_id: int, acts: Callable[[Play], None]) -> None:
    with writing(book) as session:
        acts(Play(session, order_id))


def test_a_unit_that_just_arrived_waits_for_us_unseen(book: Engine) -> None:
    arrive(book)
    with reading(book) as session:
        board = facts.board(session, after(1))
    ((who, (row,)),) = board.groups
    assert who is WaitsFor.US
    assert (row.stage.word, row.grade, row.days) == ("checked in", Grade.UNSEEN, 0)
    assert (board.count, board.for_us, board.not_to_be_towed) == (1, 1, 0)


def test_the_longest_wait_stands_first_in_its_group(book: Engine) -> None:
    young, old = arrive(book, "Young", 30), arrive(book, "Old", 0)
    with reading(book) as session:
        board = facts.board(session, after(60))
    assert [row.head.order_id for row in board.groups[0][1]] == [old, young]
    assert [row.days for row in board.groups[0][1]] == [2, 1]


def test_the_heaviest_open_finding_is_the_units_state(book: Engine) -> None:
    order = arrive(book)

    def acts(it: Play) -> None:
        walk = it.walk()
        it.finding(walk, "cp.latch", "sound")
        it.finding(walk, "bo.seam", "watch", place="side-road")
        it.finding(walk, "ti.tread", "dnt", place="wheel-1-left")

    play(book, order, acts)
    with reading(book) as session:
        assert facts.grades_of(session, [order]) == {order: Grade.DNT}
        assert facts.board(session, after(3)).not_to_be_towed == 1


def test_a_cleared_finding_no_longer_counts(book: Engine) -> None:
    order = arrive(book)

    def acts(it: Play) -> None:
        walk = it.walk()
        bad = it.finding(walk, "ti.tread", "dnt", place="wheel-1-left")
        it.finding(walk, "bo.seam", "watch", place="side-road")
        work = it.work(bad)
        it.say(it.offer(), {work: "yes"})
        job = it.job(work, finished=7)
        it.record(job)
        it.clear(bad, job)

    play(book, order, acts)
    with reading(book) as session:
        assert facts.grades_of(session, [order]) == {order: Grade.WATCH}
        thread = facts.threads_of(session, order)[-1]
    assert thread.state is Grade.SOUND
    assert thread.says == "was Do not tow: as seen"
    assert [knot.at for knot in thread.knots] == [after(h) for h in (1.5, 3, 5, 7, 6.5, 7.5)]
    assert [knot.word for knot in thread.knots if knot.end] == ["cleared"]


def test_a_refused_work_ends_its_thread_with_the_owners_word(book: Engine) -> None:
    order = arrive(book)

    def acts(it: Play) -> None:
        bad = it.finding(it.walk(), "ti.tread", "dnt", place="wheel-1-left")
        work = it.work(bad)
        it.say(it.offer(), {work: "later"})

    play(book, order, acts)
    with reading(book) as session:
        (thread,) = facts.threads_of(session, order)
    assert thread.state is Grade.DNT
    assert [(knot.word, knot.stopped, knot.after) for knot in thread.knots[2:]] == [
        ("agreed", "later", False),
        ("done", "", True),
        ("measured", "", True),
        ("cleared", "", True),
    ]


def test_a_thread_is_done_only_when_every_work_of_it_is_done(book: Engine) -> None:
    order = arrive(book)

    def acts(it: Play) -> None:
        bad = it.finding(it.walk(), "ti.tread", "dnt", place="wheel-1-left")
        one, other = it.work(bad), it.work(bad)
        it.say(it.offer(), {one: "yes", other: "yes"})
        it.job(one, finished=7)
        it.job(other)

    play(book, order, acts)
    with reading(book) as session:
        (thread,) = facts.threads_of(session, order)
        stay = facts.stays_of(session, [order])[order]
    assert thread.knots[3].at is None
    assert (stay.agreed, stay.begun, stay.finished) == (2, 2, 1)


def test_the_newest_answer_to_a_work_counts(book: Engine) -> None:
    order = arrive(book)

    def acts(it: Play) -> None:
        work = it.work(it.finding(it.walk(), "ti.tread", "dnt", place="wheel-1-left"))
        offer = it.offer()
        it.say(offer, {work: "no"})
        it.say(offer, {work: "yes"}, hours=6)

    play(book, order, acts)
    with reading(book) as session:
        assert facts.stays_of(session, [order])[order].agreed == 1
        assert facts.order_page(session, order).stage.since == after(6)


def test_what_was_handed_over_has_left_the_board_but_is_found(book: Engine) -> None:
    order = arrive(book)
    play(book, order, lambda it: it.leave(due=True))
    with reading(book) as session:
        assert facts.board(session, after(10)).count == 0
        (row,) = facts.rows_of(session, [order], after(10))
    assert row.stage.word == "handed over"


def test_the_board_says_ready_only_while_the_handover_page_counts_the_final_check(book: Engine) -> None:
    made = stay(book, SOUND)
    made.check()

    def says() -> tuple[str, str, bool]:
        with reading(book) as session:
            (row,) = facts.rows_of(session, [made.order], NOON)
        return row.stage.word, row.stage.waits_for, made.page().checked

    assert says() == ("ready", "Owner, to take it over", True)
    looked = made.act(TONI)
    tread = made.findings["Tread depth, left tire, axle 1"]
    inspection.record_finding(book, looked, tread, Seen(readings={"least": "8"}, grade=Grade.SOUND))
    assert says() == ("in final check", "Something was done after the final check", False)
    with reading(book) as session:
        assert facts.order_page(session, made.order).stage.since == looked.at
    made.check()
    assert says() == ("ready", "Owner, to take it over", True)


def test_work_that_was_begun_and_is_not_wanted_any_more_is_not_ready_either(book: Engine) -> None:
    made = stay(book, [*SOUND, SEAL])
    made.price(say={})
    made.work()
    made.check()
    with writing(book) as session:
        job = session.exec(select(Job)).one()
        job.finished_at, job.finished_entry = None, 0
        session.add(job)
    made.say(Said.LATER)
    with reading(book) as session:
        (row,) = facts.rows_of(session, [made.order], NOON)
    assert row.stage.word == "in final check"
    assert row.stage.waits_for in {stop.says for stop in made.page().in_the_way}


def test_the_page_of_an_order_says_whether_it_may_be_towed_and_why(book: Engine) -> None:
    order = arrive(book)

    def acts(it: Play) -> None:
        walk = it.walk(ended=None)
        it.finding(walk, "ti.tread", "dnt", place="wheel-1-left")
        it.finding(walk, "cp.latch", "unseen")

    play(book, order, acts)
    with reading(book) as session:
        page = facts.order_page(session, order)
    assert page.road.word == "Do not tow"
    assert page.road.says == "One finding holds it: ti.tread wheel-1-left. The walk-round is not ended."
    assert page.stage.word == "being inspected"
    assert page.concerns == ("It wanders.",)


def test_an_order_that_is_not_there_is_said_so(book: Engine) -> None:
    with reading(book) as session, pytest.raises(NoResultFound):
        facts.order_page(session, 99)


def test_the_board_needs_no_more_questions_for_more_units(book: Engine) -> None:
    from sqlalchemy import event

    def asked(count: int) -> int:
        for number in range(count):
            arrive(book, f"Owner {number}")
        statements: list[str] = []

        def hear(_c: object, _u: object, statement: str, *_: object) -> None:
            statements.append(statement)

        event.listen(book, "before_cursor_execute", hear)
        with reading(book) as session:
            facts.board(session, after(1))
        event.remove(book, "before_cursor_execute", hear)
        return len(statements)

    few = asked(2)
    assert asked(10) <= few + 1 + 10  # one shop row a head is read from the session, not the file


def test_the_yard_page_shows_the_unit_and_leads_to_it(book: Engine, signed: Callable[[str], Browser]) -> None:
    order = arrive(book)
    page = signed("Toni").get("/").text
    assert f'href="/orders/{order}"' in page
    assert "Travel trailer, 17 ft, one axle" in page
    assert "Walk-round; nothing seen yet" in page


def test_the_orders_page_shows_thread_owner_and_concern(
    book: Engine, signed: Callable[[str], Browser]
) -> None:
    order = arrive(book)
    play(book, order, lambda it: it.finding(it.walk(), "ti.tread", "dnt", place="wheel-1-left") and None)
    page = signed("Wren").get(f"/orders/{order}").text
    assert '<h1 id="road">Do not tow</h1>' in page
    assert "&#34;It wanders.&#34;" in page or "&quot;It wanders.&quot;" in page
    assert "Ines Varga, 555 0163" in page
    assert "2 keys, no spare, no gas cylinders" in page


def test_a_unit_that_comes_back_brings_what_is_still_due(
    book: Engine, signed: Callable[[str], Browser]
) -> None:
    first = arrive(book)
    play(book, first, lambda it: it.leave(due=True))
    with writing(book) as session:
        was = session.get_one(WorkOrder, first).model_dump(exclude={"id"})
        session.add(WorkOrder(**was | {"number": 900, "arrived_at": after(24 * 30)}))
        session.flush()
        back = session.exec(select(WorkOrder.id).where(WorkOrder.number == 900)).one()
    with reading(book) as session:
        (before,) = facts.order_page(session, back or 0).before
        (due,) = session.exec(select(FollowUp))
    assert (before.order_id, [it.what for it in before.due]) == (first, [due.what])
    page = signed("Wren").get(f"/orders/{back}").text
    assert f'href="/orders/{first}"' in page
    assert due.what in page
    assert "Here before" not in signed("Wren").get(f"/orders/{first}").text


@pytest.mark.parametrize("path", ["/orders/99", f"/orders/{2**63}", "/orders/x", f"/orders/{'9' * 40}"])
def test_no_such_order_is_a_page_that_says_so(signed: Callable[[str], Browser], path: str) -> None:
    answer = signed("Lee").get(path)
    assert answer.status_code == 404
    assert "There is no such" in answer.text
