"""What a handover says is what the rooms hold: states, readings, works, sums, threads, who must do what."""

from dataclasses import replace
from datetime import date

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound
from sqlmodel import select

from app.bench import steps as bench
from app.bench.kinds import record_kinds
from app.bench.needs import OVER
from app.bench.tables import Job
from app.estimate import steps as estimate
from app.estimate.facts import ledger
from app.estimate.rules import NewLine
from app.estimate.saying import Said
from app.estimate.tables import Revision
from app.ground.book import reading, writing
from app.ground.settings import Settings
from app.ground.tables import Shop
from app.handover import facts
from app.handover.after.facts import follow_of
from app.handover.facts import told
from app.handover.record import Record, schema
from app.handover.stay import stay_of
from app.handover.tables import FollowUp, Handover
from app.handover.told.work import result_of
from app.inspection.rules import NOTHING_SEEN
from app.trade.figure import By, Grade
from app.trade.totals import LineKind
from app.trade.typed import Texts
from tests.bench.contexts import context
from tests.bench.stay import catalogue
from tests.conftest import NOON
from tests.handover.stays import (
    ALARM,
    CYLINDER,
    LINING,
    NUTS,
    ROOF,
    SEAL,
    SIGNATURE,
    SOUND,
    TONI,
    USUAL,
    WREN,
    Found,
    Stay,
    carried,
    ready,
    stay,
    with_photo,
)

LATCH = "Latch and pin"


@pytest.fixture
def said(book: Engine) -> Record:
    """A stay worked on and towed away, as its record says it."""
    key = ready(book).hand_over()
    with reading(book) as session:
        return told(session.get_one(Handover, key))


def test_the_head_says_whose_unit_which_number_and_who_took_it(said: Record) -> None:
    assert (said.tag.number, said.tag.whose, said.owner) == (1, "Rosalind Achterberg", "Rosalind Achterberg")
    assert said.tag.lines[0] == f"VIN {said.vin}"
    assert (said.handed.number, said.handed.issue, said.handed.by) == ("H-2026-0001", 1, "Wren")
    assert (said.handed.leaves, said.handed.signature) == ("towed", SIGNATURE)
    assert len(said.handed.witness) == 64  # SHA-256 of the newest receipt before it


def test_every_thing_is_told_with_its_state_and_readings(said: Record) -> None:
    by_name = {it.name: it for it in said.lines}
    assert len(by_name) == len(SOUND) + 6
    assert by_name["Breakaway battery"].got == "Rested: 12.7\u00a0V; Held: 15\u00a0min"
    assert by_name["Tread depth, left tire, axle 1"].got == "7/32\u00a0in"
    assert by_name["VIN plate"].got == "same as the papers"
    assert by_name["Spring bars and head"].got == "not fitted"
    assert by_name[ROOF.name].got == "Not looked at (wet all three days)"
    assert by_name[SEAL.name].got == "2\u00a0ft; open for 2 ft: water gets in"
    assert (by_name[ALARM.name].state, by_name[ALARM.name].by) == (Grade.NEEDS, By.USE)
    assert (by_name[LINING.name].until, by_name[LINING.name].until_miles) == (date(2027, 5, 1), 5000)


def test_lines_stand_in_walking_order(said: Record) -> None:
    stations = [it.station for it in said.lines]
    assert stations == sorted(stations)


def test_only_what_has_nothing_more_to_say_is_plain(book: Engine, settings: Settings) -> None:
    rim = Found("wh.disc", "Wheel body, left tire, axle 1", 5, place="tire-1-left", reason=NOTHING_SEEN)
    shot = replace(rim, name="Wheel body, right tire, axle 1", place="tire-1-right")
    noted = Found("wh.match", "Wheel fit and rating", 5, reason=NOTHING_SEEN, note="rusty, not deep")
    made = stay(book, [*USUAL, rim, shot, noted])
    with_photo(made, shot.name, settings.files)
    key = made.hand_over(carried(unseen_reason="wet roof"))
    with reading(book) as session:
        said = told(session.get_one(Handover, key))
    plain = {it.name: it.where for it in said.lines if it.plain}
    # a reading, a reason of its own, a grade, a figure, a photo or a note keeps its row
    assert plain == {rim.name: "left tire, axle 1", ROOF.name: "", "Spring bars and head": "", LATCH: ""}


def test_a_cleared_fault_is_sound_and_says_what_it_was(said: Record) -> None:
    cleared = next(it for it in said.lines if it.name == NUTS.name)
    assert cleared.state is Grade.SOUND
    assert cleared.was.startswith("Was do not tow: two nuts loose.")
    assert "Lee" in cleared.was


def test_the_answer_counts_what_was_seen_and_put_right(said: Record) -> None:
    # 11 of 12 things are fitted, one of them was not looked at; one do-not-tow fault is cleared
    assert said.answer[:2] == (
        "We looked at ten things.",
        "One fault had to be put right before it could leave; that is done.",
    )
    assert said.answer[-1] == "Loaded, it may weigh at most 6,000\u00a0lb."  # GVWR of the unit's own label
    assert not said.stops


def test_works_done_have_the_amount_that_was_agreed(said: Record, book: Engine) -> None:
    with reading(book) as session:
        frozen = session.exec(select(Revision)).one().totals
    agreed = {it["title"]: it["amount"] for it in frozen["works"]}
    assert said.works
    assert all(agreed[work.title] == work.amount for work in said.works)
    assert {work.finished_by for work in said.works} == {"Toni"}


def test_the_sum_is_that_of_the_works_done_and_nothing_else(said: Record) -> None:
    assert said.cost is not None
    assert said.cost.net == sum(work.amount for work in said.works)
    (tax,) = said.cost.taxes  # 6 % on parts and supplies, labour free: the shop's settings
    assert tax.rate.startswith("6")
    assert tax.tax == (tax.base * 6 + 50) // 100  # half up to the cent
    assert said.cost.gross == said.cost.net + tax.tax


def test_what_was_left_has_its_price_answer_and_initials(said: Record) -> None:
    left = {it.title: it for it in said.left}
    seam = left["Reseal a side or the roof, curb side"]
    assert (seam.state, seam.answer, seam.initials) == (Grade.NEEDS, "later", "RA")
    assert seam.said == "You chose to wait, 4 May 2026, here: Rosalind Achterberg."
    assert seam.amount
    alarm = left["Alarm or extinguisher: CO alarm"]
    assert alarm.said.startswith("You said no")
    assert SEAL.reason in seam.why


def test_the_thread_of_a_stopping_fault_has_all_six_days(said: Record) -> None:
    (thread,) = said.threads
    assert thread.what == f"{NUTS.name}: two nuts loose"
    days = (thread.found, thread.priced, thread.agreed, thread.done, thread.measured, thread.cleared)
    assert days == (date(2026, 5, 4),) * 6


def test_records_are_told_with_their_instrument(said: Record) -> None:
    torque = [it for it in said.measured if it.kind == "wheel_torque"]
    assert torque
    assert all(it.inside and it.made_by == "Toni" for it in torque)
    assert "Torque wrench T-02" in torque[0].instrument
    assert "calibration due 4 March 2027" in torque[0].instrument
    assert torque[0].payload["low"] == "100"


def test_figures_stand_once_with_formula_inputs_and_source(said: Record) -> None:
    names = [it.name for it in said.figures]
    assert len(set(said.figures)) == len(names)
    due = next(it for it in said.figures if it.name == "requalification due")
    assert due.says == "08-2026"  # 08-2014 + 12 years: 49 CFR 180.209(e)
    assert due.source.startswith("49 CFR 180.209")
    assert [it.name for it in due.inputs] == ["latest mark", "period", "looked at on"]


def test_the_cylinders_last_day_stands_once_among_the_duties(said: Record) -> None:
    days = [it for it in said.duties if it.on == date(2026, 8, 31)]
    assert [it.what for it in days] == [f"Last day on which it may be refilled: {CYLINDER.name}."]


def test_the_nuts_fall_due_at_the_figure_that_was_used(said: Record) -> None:
    (nuts,) = [it for it in said.duties if it.miles == (10, 25, 50)]
    assert "100\u00a0to\u00a0120\u00a0lbf·ft" in nuts.what


def test_cautions_of_what_is_left_have_their_word_gravest_first(said: Record) -> None:
    words = [it.word for it in said.cautions]
    # meanings of ANSI Z535: DANGER will kill or maim, WARNING could, CAUTION could hurt slightly
    assert words[0] == "DANGER"
    assert words == sorted(words, key=["DANGER", "WARNING", "CAUTION", "NOTICE"].index)
    assert any("Carbon monoxide" in it.hazard for it in said.cautions)
    assert any("Hot hubs" in it.hazard for it in said.cautions)


def test_gas_brakes_and_electrics_are_left_to_local_law_and_the_licensed(said: Record) -> None:
    assert said.defers[0] == "Local law decides who may work on gas, brakes and electrics."
    assert "licensed" in said.defers[1]
    assert any("requalifier number" in it for it in said.defers)  # 49 CFR 180.205(b)


def test_a_shop_that_named_its_law_has_it_on_the_paper(book: Engine) -> None:
    made = ready(book)
    with writing(book) as session:
        shop = session.exec(select(Shop)).one()
        shop.settings = {**shop.settings, "law_place": "Ohio"}
    key = made.hand_over()
    with reading(book) as session:
        said = told(session.get_one(Handover, key))
    assert said.defers[0] == "The law of Ohio decides who may work on gas, brakes and electrics."


def test_a_shop_with_its_own_retorques_has_them_fall_due(book: Engine) -> None:
    made = ready(book)
    with writing(book) as session:
        shop = session.exec(select(Shop)).one()
        shop.settings = {**shop.settings, "retorque_miles": "25, 100"}
    made.hand_over()
    with reading(book) as session:
        due = [row.due_miles for row in session.exec(select(FollowUp)) if "nut" in row.what]
    assert due == [25, 100]


@pytest.mark.parametrize(
    ("typed", "told_as"),
    [("Shown to the lead.", "Shown to the lead"), ("Shown; see photo", "Shown; see photo"), (" ...", "")],
)
def test_a_reason_that_ends_its_own_sentence_is_not_ended_twice(
    typed: str, told_as: str, book: Engine
) -> None:
    made = ready(book)
    with writing(book) as session:
        for job in session.exec(select(Job)):
            job.accepted_reason = typed
    key = made.hand_over()
    with reading(book) as session:
        done = told(session.get_one(Handover, key)).works
    assert done
    assert {each.accepted for each in done} == {f"Accepted by Lee: {told_as}" if told_as else ""}


@pytest.mark.parametrize(("lead", "told_as"), [(None, "done"), (1, "no record proves it")])
def test_a_job_accepted_without_a_record_is_not_said_to_be_done(
    lead: int | None, told_as: str, book: Engine
) -> None:
    made = ready(book)
    with reading(book) as session:
        records = stay_of(session, made.order).records
        job = session.get_one(Job, records[0].job_id)
        unproved = Job(**{**job.model_dump(), "accepted_by": lead})
    assert result_of([], unproved) == told_as
    assert result_of(records, unproved) not in ("done", "no record proves it")


def test_the_record_comes_back_from_its_json_as_it_was(said: Record) -> None:
    assert Record.model_validate(said.model_dump(mode="json")) == said


def test_the_schema_names_everything_that_the_record_holds(said: Record) -> None:
    published = schema()
    assert published["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert set(said.model_dump(mode="json")) == set(published["properties"])
    assert published["additionalProperties"] is False


def test_work_agreed_and_not_done_is_in_no_sum(book: Engine) -> None:
    made = stay(book)
    made.price(say={})
    key = made.hand_over(carried(unseen_reason="not asked"))
    with reading(book) as session:
        said = told(session.get_one(Handover, key))
    assert said.cost is None
    assert said.works == ()


def agreed_and_unfinished(it: Stay) -> int:
    """One work agreed to whose job is open; its key."""
    it.price(say={})
    bench.open_jobs(it.book, it.act(TONI), it.order)
    with reading(it.book) as session:
        return ledger(session, it.order, NOON.date()).works[0].id


def test_work_taken_off_after_the_yes_is_not_awaited(book: Engine) -> None:
    it = stay(book, (*SOUND, SEAL))
    work = agreed_and_unfinished(it)
    with reading(book) as session:
        assert stay_of(session, it.order).bench.unfinished == ("Reseal a side or the roof, curb side",)
    estimate.remove_work(book, it.estimate_act(), it.order, work)
    with reading(book) as session:
        assert stay_of(session, it.order).bench.unfinished == ()


def test_work_that_rose_beyond_the_margin_is_left_with_the_owners_word_to_the_lower_price(
    book: Engine,
) -> None:
    it = stay(book, (*SOUND, SEAL))
    work = agreed_and_unfinished(it)
    rot = NewLine(LineKind.OUTSIDE, "Rotten corner post", "1", 90000, "outside")
    estimate.add_line(book, it.estimate_act(), it.order, work, rot)
    it.check()
    key = it.hand_over()
    with reading(book) as session:
        (left,) = told(session.get_one(Handover, key)).left
    assert left.said == "You agreed to less than it then cost, 4 May 2026, here: Rosalind Achterberg."


def test_the_page_says_what_stands_in_the_way_and_where(book: Engine) -> None:
    made = stay(book)
    made.price(say={"Seam": Said.NO})
    page = made.page()
    assert page.in_the_way[0].says == f"{NUTS.name}: two nuts loose"
    assert {stop.where for stop in page.in_the_way} == {"inspection", "bench", "final check"}
    assert not page.checked
    assert page.issues == ()


def test_the_page_lists_issues_newest_first_and_what_falls_due(book: Engine) -> None:
    made = ready(book)
    made.hand_over()
    made.hand_over(seen=1)
    page = made.page()
    assert [(it.issue, it.newest, it.document) for it in page.issues] == [(2, True, None), (1, False, None)]
    assert page.seen == 2
    assert {it.when for it in page.follow} >= {"10 miles", "25 miles", "50 miles", "31 August 2026"}
    assert page.may_check(WREN)
    assert not page.may_check(TONI)


def test_a_work_order_that_is_not_there_has_no_page(book: Engine) -> None:
    with reading(book) as session, pytest.raises(NoResultFound):
        facts.handover_of(session, 77)


def test_the_depth_of_a_unit_without_a_walk_is_not_known(book: Engine) -> None:
    made = stay(book, [])
    with reading(book) as session:
        from app.inspection.tables import Walk

        walk = session.get_one(Walk, made.walk)
        walk.ended_at = None
        session.add(walk)
        session.flush()
        page = facts.handover_of(session, made.order)
    assert page.in_the_way[0].says == "The walk-round is not ended"


def test_a_stay_is_over_for_the_parts_room_once_its_unit_left(book: Engine) -> None:
    made = stay(book, [*SOUND, NUTS])
    with reading(book) as session:
        assert facts.over(session) == frozenset()
    made.hand_over(carried())
    with reading(book) as session:
        assert facts.over(session) == {made.order}
    assert facts.over in OVER


def test_what_came_of_a_job_reads_as_one_sentence(book: Engine) -> None:
    made = ready(book)
    with reading(book) as session:
        (record, *_), job = stay_of(session, made.order).records, session.exec(select(Job)).first()
    assert job is not None
    held, tight = "Held 9.0 in wc for 3 min", "All 5 nuts inside 90 to 120 lbf·ft"
    records = [replace(record, job_id=job.key, says=says) for says in (held, tight, tight)]
    assert result_of(records, job) == "Held 9.0 in wc for 3 min; all 5 nuts inside 90 to 120 lbf·ft"


def test_what_falls_due_on_a_day_names_its_miles_once(book: Engine) -> None:
    made = ready(book)
    made.hand_over()
    with reading(book) as session:
        dated = [it for it in follow_of(session, made.order) if it.due_on and it.due_miles]
    assert dated
    assert all("miles" not in it.when and f"{it.due_miles:,} miles" in it.what for it in dated)


def test_what_falls_due_without_a_day_is_told_by_its_event(book: Engine) -> None:
    made = ready(book)
    made.hand_over()
    with writing(book) as session:
        session.add(FollowUp(created_at=NOON, work_order_id=made.order, what="Today: Move it on a carrier."))
    with reading(book) as session:
        told = {it.when: it.what for it in follow_of(session, made.order) if not (it.due_on or it.due_miles)}
    assert told["The day it left"] == "Move it on a carrier."  # the list is read on later days as well
    assert told["Before you use it"].startswith("CO alarm")


def test_what_came_of_a_wire_put_right_begins_with_its_current_not_with_a_lining(book: Engine) -> None:
    made = ready(book)
    with reading(book) as session:
        (record, *_), job = stay_of(session, made.order).records, session.exec(select(Job)).first()
    assert job is not None
    current = {"name": "brake current", "verdict": {"grade": "sound", "says": "7.4 A is inside 7.2 to 7.9 A"}}
    says = "Lining 5/32 in; 7.4 A is inside 7.2 to 7.9 A"
    rows = [replace(record, job_id=job.key, says=says, worked=(current,))]
    assert result_of(rows, job) == says
    assert result_of(rows, job, {"brake current"}) == "7.4 A is inside 7.2 to 7.9 A; lining 5/32 in"
    other = [replace(rows[0], job_id=job.key + 99)]
    assert result_of(other, job, lent={other[0].id}) == says  # made for another lamp, and proves this one too


def test_what_a_check_cites_is_a_figure_that_brake_readings_work_out() -> None:
    kind = record_kinds()["brake_readings"]
    form = {"lining": "bonded", "lining_left": "5", "lining_right": "5", "drum_left_1": "10.01"}
    form |= {"drum_left_2": "10.01", "magnet": "10", "ohms_left": "3.3", "ohms_right": "3.3", "volts": "12.6"}
    here = replace(context(place="axle-1"), brakes="electric")
    judged = kind.judge(kind.read(Texts({**form, "amps": "7.4"}), here), here)
    cited = {each.cites for check in catalogue().checks for each in check.shown_by if each.cites}
    assert cited == {figure.name for figure in judged.figures}
