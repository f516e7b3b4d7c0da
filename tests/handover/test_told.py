"""Parts of the record at their edges: corrections, second looks, photos beyond the paper, no catalogue."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.bench import steps as bench
from app.bench.album import When
from app.bench.facts import RecordLine
from app.bench.records.wheel_torque import KIND as TORQUE
from app.bench.rules import Evidence, How
from app.bench.tables import BenchRecord, Job
from app.estimate.saying import Said
from app.estimate.tables import Work
from app.ground import receipts
from app.ground.book import reading, writing
from app.handover.facts import told
from app.handover.record import Record
from app.handover.tables import Handover
from app.handover.told.proof import MOST_PHOTOS
from app.handover.told.work import _nut_figure
from app.inspection.tables import Finding, Walk
from app.trade.figure import Grade
from app.trade.typed import Texts
from tests.bench.contexts import context
from tests.bench.forms import SIX_AT_110
from tests.bench.forms import TORQUE as FORM
from tests.conftest import NOON
from tests.handover.stays import (
    LEE,
    LINING,
    NUTS,
    SEAL,
    SOUND,
    TONI,
    Found,
    Stay,
    carried,
    ready,
    stay,
    towed,
    with_job_photos,
    with_photo,
)


def record(made: Stay, key: int) -> Record:
    with reading(made.book) as session:
        return told(session.get_one(Handover, key))


def test_a_corrected_record_is_told_alone_with_its_reason(book: Engine) -> None:
    made = ready(book, [*SOUND, NUTS])
    with reading(book) as session:
        old = session.exec(select(BenchRecord)).first()
    assert old is not None
    tool = made._wrench()
    form = Texts({**FORM, **SIX_AT_110, "r-3": "108", "instrument": str(tool.id)})
    payload = TORQUE.read(form, context(place=old.place, tools=(tool,)))
    bench.correct_record(book, made.act(TONI), old.key, payload, "Nut 3 was typed wrongly")
    made.check()
    said = record(made, made.hand_over())
    here = [it for it in said.measured if it.place == old.place]
    assert [it.correction for it in here] == ["Nut 3 was typed wrongly"]
    assert here[0].payload["readings"][2]["typed"] == "108"


def test_a_figure_is_one_value_where_low_and_high_are_the_same() -> None:
    row = RecordLine(
        id=1,
        job_id=1,
        order_id=1,
        kind="wheel_torque",
        title="Wheel nut torque",
        place="wheel-1-left",
        label="Left wheel, axle 1",
        payload={"low": "110", "high": "110", "unit": "lbf_ft"},
        inside=True,
        says="",
        worked=(),
        instrument="",
        made_by="Toni",
        made_by_id=TONI,
        made_at=NOON,
        entry=9,
        correction="",
    )
    assert _nut_figure([row]) == "110\u00a0lbf·ft"
    assert _nut_figure([]) == ""


def test_an_agreed_work_keeps_its_price_when_a_later_revision_changes_it(book: Engine) -> None:
    from app.estimate import facts as estimate
    from app.estimate import steps as estimate_steps
    from app.estimate.rules import NewLine
    from app.trade.totals import LineKind

    made = ready(book, [*SOUND, NUTS])
    with reading(book) as session:
        work = estimate.ledger(session, made.order, NOON.date()).works[0]
    line = NewLine(LineKind.PART, "One stud more", "1", 900, "parts")
    estimate_steps.add_line(book, made.estimate_act(), made.order, work.id, line)
    said = record(made, made.hand_over())
    assert said.cost is not None
    assert said.cost.net == work.amount  # what was agreed to, not what was offered after


def test_a_second_look_that_cleared_is_what_is_told(book: Engine) -> None:

    made = stay(book, [*SOUND, NUTS])
    with writing(book) as session:
        walk = Walk(created_at=NOON, work_order_id=made.order, catalogue_id=1, depth="second", begun_by=1)
        session.add(walk)
        session.flush()
        look = Finding(
            created_at=NOON,
            walk_id=walk.key,
            check=NUTS.check,
            place=NUTS.place,
            name=NUTS.name,
            station=NUTS.station,
            grade="watch",
            reason="seat a little worn",
            until=NOON.date() + timedelta(days=90),
            looked_at=NOON + timedelta(minutes=1),
            looked_entry=receipts.coming(session),
            looked_by=1,
        )
        session.add(look)
        session.flush()
        key = look.key
    made.at += timedelta(minutes=5)
    evidence = Evidence(How.SECOND_LOOK, second_look_id=key)
    bench.clear_finding(book, made.act(2), made.findings[NUTS.name], evidence)
    made.check()
    said = record(made, made.hand_over())
    (line,) = [it for it in said.lines if it.name == NUTS.name]
    assert (line.state, line.got) == (Grade.WATCH, "seat a little worn")
    assert line.was == "Was do not tow: two nuts loose. Looked at again, cleared 4 May 2026 by Wren."


def test_a_cleared_fault_is_told_with_its_heaviest_term(book: Engine) -> None:
    soon = replace(LINING, grade="needs", by="soon", reason="worn", until=None, miles=None)
    made = stay(book, [*SOUND, soon])
    made.clear(soon.name)
    made.at += timedelta(minutes=5)
    with writing(book) as session:
        walk = Walk(created_at=NOON, work_order_id=made.order, catalogue_id=1, depth="second", begun_by=1)
        session.add(walk)
        session.flush()
        towing = Finding(
            created_at=made.at,
            walk_id=walk.key,
            check=soon.check,
            place=soon.place,
            name=soon.name,
            station=soon.station,
            grade="needs",
            by="towing",
            reason="down to the shoe",
            looked_at=made.at,
            looked_entry=receipts.coming(session),
            looked_by=1,
        )
        session.add(towing)
        session.flush()
        key = towing.key
    made.at += timedelta(minutes=5)
    bench.clear_finding(book, made.act(LEE), key, Evidence(How.LEAD, reason="new shoes seen"))
    made.check()
    (line,) = [it for it in record(made, made.hand_over()).lines if it.name == soon.name]
    # the written order of weight: before towing, before use, soon
    assert line.was.startswith("Was needs work before towing: down to the shoe. Accepted ")


def test_a_finding_that_nobody_priced_is_left_with_its_own_name(book: Engine) -> None:
    made = stay(book, [*SOUND, SEAL])
    made.check()
    (left,) = record(made, made.hand_over()).left
    assert (left.title, left.amount, left.said) == (SEAL.name, None, "No work was priced for it.")


def test_a_work_declined_whose_fault_is_gone_is_not_left(book: Engine) -> None:
    made = stay(book, [*SOUND, NUTS])
    made.price(say={"": Said.NO})
    made.clear(NUTS.name)
    made.check()
    assert record(made, made.hand_over()).left == ()


def test_a_watch_is_no_work_left(book: Engine) -> None:
    made = stay(book, [*SOUND, LINING])
    made.check()
    assert record(made, made.hand_over()).left == ()


def test_photos_beyond_what_fits_are_counted_faults_first(book: Engine, tmp_path: Path) -> None:
    made = stay(book, [*SOUND, NUTS])
    for _ in range(MOST_PHOTOS):
        with_photo(made, "VIN plate", tmp_path)
    with_photo(made, NUTS.name, tmp_path)
    said = record(made, made.hand_over(carried()))
    assert (len(said.photos), said.photos_more) == (MOST_PHOTOS, 1)
    assert said.photos[0].caption.startswith(f"{NUTS.name}: two nuts loose.")


PAIR = ((When.AFTER, "New studs"), (When.BEFORE, "Two nuts gone"))


def test_photos_of_finished_work_follow_those_of_faults(book: Engine, tmp_path: Path) -> None:
    made = ready(book, [*SOUND, NUTS])
    with_photo(made, NUTS.name, tmp_path)
    job = with_job_photos(made, tmp_path, *PAIR)
    said = record(made, made.hand_over())
    with reading(book) as session:
        title = session.get_one(Work, session.get_one(Job, job).work_id).title
    assert [it.alt for it in said.photos][1:] == [
        f"Photo: {title}, before the work: Two nuts gone",
        f"Photo: {title}, after the work: New studs",
    ]
    assert said.photos[0].caption.startswith(f"{NUTS.name}: ")
    assert said.photos[2].caption.startswith(f"{title}, after the work: New studs. ")
    assert said.photos[2].caption.endswith(", Toni.")


def test_a_photo_without_words_says_the_work_and_its_stage(book: Engine, tmp_path: Path) -> None:
    made = ready(book, [*SOUND, NUTS])
    with_job_photos(made, tmp_path, (When.BEFORE, ""))
    (only,) = record(made, made.hand_over()).photos
    assert only.alt.endswith(", before the work")


def test_photos_of_work_that_is_not_finished_are_not_told(book: Engine, tmp_path: Path) -> None:
    made = ready(book, [*SOUND, NUTS])
    job = with_job_photos(made, tmp_path, *PAIR)
    with writing(book) as session:
        session.get_one(Job, job).finished_at = None
    assert record(made, made.hand_over(carried())).photos == ()


def test_photos_of_work_beyond_what_fits_are_counted(book: Engine, tmp_path: Path) -> None:
    made = ready(book, [*SOUND, NUTS])
    with_job_photos(made, tmp_path, *[(When.BEFORE, f"Nut {number}") for number in range(MOST_PHOTOS)])
    with_photo(made, NUTS.name, tmp_path)
    said = record(made, made.hand_over())
    assert (len(said.photos), said.photos_more) == (MOST_PHOTOS, 1)
    assert said.photos[0].caption.startswith(f"{NUTS.name}: ")


def test_a_unit_without_any_walk_is_told_without_cautions(book: Engine) -> None:
    from app.intake.steps import take_in
    from tests.conftest import act
    from tests.intake.arrivals import rosalind

    order = take_in(book, act(person=2), rosalind())
    made = Stay(book, order, 0, {})
    said = record(made, made.hand_over(carried()))
    assert (said.lines, said.cautions, said.figures) == ((), (), ())
    assert [it.says for it in said.stops] == ["The walk-round is not ended"]


@pytest.mark.parametrize(("place", "kept"), [("unit", 1), ("side-road", 2)])
def test_one_check_at_two_places_is_two_things(book: Engine, place: str, kept: int) -> None:
    twice = [Found("bo.seam", "Seams", 6, place="unit"), Found("bo.seam", "Seams, other", 6, place=place)]
    made = stay(book, twice if kept == 2 else twice[:1])
    assert len(record(made, made.hand_over(carried())).lines) == kept


def test_the_reason_for_what_was_not_seen_stands_in_the_record(book: Engine) -> None:
    made = stay(book, [*SOUND, Found("hb.rock", "Hub", 5, "unseen", "hub-1-left")])
    made.check()
    said = record(made, made.hand_over(towed(unseen_reason="drum stuck")))
    assert said.handed.unseen_reason == "drum stuck"
    assert next(it for it in said.lines if it.name == "Hub").got == "Not looked at (drum stuck)"
