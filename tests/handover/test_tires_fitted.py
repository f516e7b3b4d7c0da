"""The tires that were fitted, on the owner's paper: number by place, and their registration by law.

49 CFR 574.8(a), as 73 FR 72358 of 28 November 2008 tells it: an independent dealer gives the buyer of a new
tire a registration form with the identification number filled in, which the buyer can complete and send to
the maker. That the dealer may send it instead, and that his own name stands on it: from memory.
"""

import io
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from pypdf import PdfReader
from sqlalchemy import Engine

from app.bench import steps as bench
from app.bench.facts import jobs_of
from app.bench.records.tires_fitted import KIND as TIRE
from app.bench.rules import Evidence, How
from app.bench.tables import BenchRecord, Clearance
from app.ground import receipts
from app.ground.book import reading, writing
from app.ground.press import Press
from app.ground.tables import Instrument
from app.handover.facts import told
from app.handover.papers import page_of
from app.handover.record import Line, Measured
from app.handover.rules import Leaving, Registered
from app.handover.tables import Handover
from app.handover.told.lines import TAKEN_OFF
from app.inspection.tables import Finding
from app.trade.figure import Grade
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.bench.contexts import BALANCER, context
from tests.bench.test_balance import balance
from tests.conftest import Browser
from tests.handover.stays import LEE, SOUND, TONI, WREN, Found, Stay, carried, stay
from tests.handover.test_papers import Shop, flat, press  # noqa: F401 - a fixture
from tests.handover.test_ways_round import said

TINS = {"tire-2-right": "4XK9 7MRT 1226", "tire-1-left": "1ABC2D3EF 3025"}
ALL_FOUR = (*TINS, "tire-1-right", "tire-2-left")
WORN = tuple(
    Found("ti.tread", f"Tread depth, {place}", 3, "needs", place, by="soon", reason="at the bars")
    for place in TINS
)


def fitted(made: Stay, place: str, tin: str, load: str = "1760") -> int:
    """A tire fitted at a place for the job that asks for it."""
    with reading(made.book) as session:
        asked = [(job.id, it) for job in jobs_of(session, made.order) for it in job.asked]
    job = next(job for job, it in asked if (it.kind, it.place) == ("tires_fitted", place))
    size = {"tin": tin, "size": "ST205/75R14", "load": load}
    form = Texts({**size, "placard": "50", "most": "50", "pressure": "50"})
    payload = TIRE.read(form, replace(context(place=place), tire_size="ST205/75R14"))
    return bench.keep_record(made.book, made.act(WREN), job, "tires_fitted", place, payload)


@pytest.fixture
def shod(book: Engine) -> Stay:
    """A stay on which two tires were fitted."""
    made = stay(book, [*SOUND[:1], *WORN])
    made.price(say={})
    bench.open_jobs(book, made.act(WREN), made.order)
    for place, tin in TINS.items():
        fitted(made, place, tin)
    return made


def kept(made: Stay, leaving: Leaving, seen: int = 0) -> Handover:
    key = made.hand_over(leaving, seen=seen)
    with reading(made.book) as session:
        return session.get_one(Handover, key)


@pytest.fixture
def handed(shod: Stay) -> Handover:
    """A handover after two tires were fitted."""
    return kept(shod, carried())


def test_each_tire_stands_with_its_place_and_whole_number(handed: Handover) -> None:
    tires = page_of(told(handed)).tires
    assert [(one.told.label, one.payload["tin"]) for one in tires] == [
        ("Left tire, axle 1", "1ABC2D3EF 3025"),
        ("Right tire, axle 2", "4XK9 7MRT 1226"),
    ]


def test_the_owner_reads_numbers_and_what_to_do_with_them(
    handed: Handover,
    tmp_path: Path,
    press: Press,  # noqa: F811 - the fixture
    book: Engine,
) -> None:
    assert handed.id is not None
    _, pdf = Shop(book, tmp_path / "files", press).print(handed.id)
    text = flat(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages))
    after = text[text.index("The tires we fitted") : text.index("What we measured")]
    for place, tin in (
        ("Left tire, axle 1", TINS["tire-1-left"]),
        ("Right tire, axle 2", TINS["tire-2-right"]),
    ):
        assert f"{place} {tin} ST205/75R14 4 May 2026" in after
    for words in (
        "registered with its maker",
        "registration form with these numbers and our name",
        "49 CFR 574.8",
    ):
        assert words in after
    assert "can burst" in after


def test_tires_fitted_in_a_job_not_finished_are_told_beside_what_was_done(
    handed: Handover,
    tmp_path: Path,
    press: Press,  # noqa: F811 - the fixture
    book: Engine,
) -> None:
    """The paper said that nothing was agreed and done, with two new tires in its list."""
    assert handed.id is not None
    _, pdf = Shop(book, tmp_path / "files", press).print(handed.id)
    front = flat(PdfReader(io.BytesIO(pdf)).pages[0].extract_text())
    assert told(handed).works == ()
    assert "What we fitted and measured so far is told from page 2 on." in front
    assert "No agreed work is finished. No bill is made, and nothing is paid ahead." in front
    assert "We looked at it" not in front


def test_what_was_read_on_a_tire_that_came_off_is_told_as_such(book: Engine) -> None:
    """The owner must not take the old tire's age for the new one's."""
    old = (("Date code", "2619", ""),)
    ages = tuple(Found("ti.age", f"Age, {place}", 3, "sound", place, readings=old) for place in ALL_FOUR)
    made = stay(book, [*WORN, *ages])
    made.price(say={})
    bench.open_jobs(book, made.act(WREN), made.order)
    for place, tin in TINS.items():
        fitted(made, place, tin)
    lines = {line.place: line.got for line in told(kept(made, carried())).lines if line.check == "ti.age"}
    assert {place for place, got in lines.items() if got.endswith(f"; {TAKEN_OFF}")} == set(TINS)
    assert all("2619" in got for got in lines.values())


@pytest.mark.parametrize(
    ("how", "says"),
    [
        (Registered.GIVEN, "On 4 May 2026 we gave you the maker's registration form with these numbers"),
        (Registered.MAILED, "On 4 May 2026 we sent the registration to the maker for you, by post."),
        (Registered.ONLINE, "On 4 May 2026 we sent the registration to the maker for you, online."),
        (Registered.LATER, "You do not have the maker's registration form with these numbers"),
    ],
)
def test_the_owner_reads_what_was_done_with_the_registration(shod: Stay, how: Registered, says: str) -> None:
    row = kept(shod, carried(registered=how))
    assert told(row).registered == how
    assert page_of(told(row)).registration.startswith(says)
    [issue] = shod.page().issues
    assert issue.registered == how.word


@pytest.mark.parametrize("how", [Registered.GIVEN, Registered.MAILED, Registered.ONLINE])
def test_what_is_done_leaves_nothing_to_do(shod: Stay, how: Registered) -> None:
    kept(shod, carried(registered=how))
    assert not [it for it in shod.page().follow if it.of_tires]
    assert shod.page().registered == how


def test_what_is_put_off_falls_due_until_it_is_said_who_did_it_when_and_which_way(
    shod: Stay, signed: Callable[[str], Browser]
) -> None:
    """Thirty days for a registration that the shop sends: 49 CFR 574.8, from memory."""
    kept(shod, carried(registered=Registered.LATER))
    [due] = [it for it in shod.page().follow if it.of_tires]
    assert (due.due_on, due.done) == (date(2026, 6, 3), "")
    wren, at = signed("Wren"), f"/handover/follow-ups/{due.id}"
    assert "Sent to the maker by post" in wren.get(at).text
    assert "Done in this shop" not in wren.get(at).text
    form = {"how": "mailed", "on": "2026-05-06", "says": "Two forms in one letter", "revision": "0"}
    assert wren.post(at, form).status_code == 303
    [done] = [it for it in shod.page().follow if it.of_tires]
    assert done.done == "Sent to the maker by post, 6 May 2026, Wren: Two forms in one letter"
    assert shod.page().registered == "mailed"  # what the form of a new issue begins with


def test_a_new_issue_that_has_it_done_leaves_no_reminder(shod: Stay) -> None:
    kept(shod, carried(registered=Registered.LATER))
    kept(shod, carried(registered=Registered.GIVEN), seen=1)
    assert not [it for it in shod.page().follow if it.of_tires]
    assert [it.registered for it in shod.page().issues] == [Registered.GIVEN.word, Registered.LATER.word]


def test_the_form_asks_for_it_where_tires_were_fitted_and_only_there(
    shod: Stay, signed: Callable[[str], Browser]
) -> None:
    wren, at = signed("Wren"), f"/handover/{shod.order}"
    assert 'name="registered"' in wren.get(at).text
    form = {"leaves": "carried", "carrier": "flatbed", "taken_by": "Rosalind", "on_paper": "yes"}
    unsaid = wren.post(at, form | {"revision": "0"})
    assert unsaid.status_code == 422
    assert "Say how the new tires are registered" in unsaid.text
    assert wren.post(at, form | {"revision": "0", "registered": "given"}).status_code == 303
    page = wren.get(at).text
    assert "Registration of the new tires: form given to the owner." in page
    assert 'value="given" checked' in page


def test_a_stay_without_new_tires_is_not_asked(book: Engine, signed: Callable[[str], Browser]) -> None:
    made = stay(book, SOUND)
    assert 'name="registered"' not in signed("Wren").get(f"/handover/{made.order}").text


def test_without_tires_fitted_nothing_is_said_of_a_registration(handed: Handover) -> None:
    record = told(handed)
    others: tuple[Measured, ...] = tuple(one for one in record.measured if one.kind != "tires_fitted")
    assert page_of(record.model_copy(update={"measured": others})).tires == ()
    assert page_of(record).tires


def cleared_by_tire(made: Stay, name: str, load: str) -> Line:
    """A finding as the handover tells it, cleared by the job in which a tire for a load was fitted."""
    made.price(say={})
    bench.open_jobs(made.book, made.act(WREN), made.order)
    record = fitted(made, "tire-1-left", TINS["tire-1-left"], load)
    with writing(made.book) as session:
        row, by = session.get_one(BenchRecord, record), made.act(WREN)
        clearance = Clearance(
            created_at=by.at,
            finding_id=made.findings[name],
            how="lead",
            job_id=row.job_id,
            reason="Looked at together",
            cleared_by=WREN,
        )
        receipts.sign(session, by, "clear finding", clearance)
    return next(line for line in told(kept(made, carried())).lines if line.name == name)


UNDER_AIM = {
    "name": "tire capacity against GAWR",
    "verdict": {"grade": "watch", "says": "reserve 20\xa0lb (0.57 %), under the aim of 10 %"},
}
CAPACITY = Found("ti.load", "Capacity, axle 1", 3, "watch", "axle-1", reason="small", worked=(UNDER_AIM,))
AGE = Found("ti.age", "Age, left tire, axle 1", 3, "needs", "tire-1-left", by="soon", reason="10 years old")


@pytest.mark.parametrize(
    ("load", "state", "got"),
    [  # two tires on an axle of 3,500 lb: 2 x 1,760 are 20 lb over it, 2 x 2,150 are 800 lb
        ("1760", Grade.WATCH, "reserve 20\xa0lb (0.57 %), under the aim of 10 %"),
        ("2150", Grade.SOUND, "reserve 800\xa0lb (22.86 %)"),
    ],
)
def test_a_tire_with_the_same_reserve_leaves_the_axle_a_watch(
    book: Engine, load: str, state: Grade, got: str
) -> None:
    """It was told as sound with "reserve 20 lb, under the aim" beside it."""
    line = cleared_by_tire(stay(book, [*SOUND[:1], *WORN, CAPACITY]), CAPACITY.name, load)
    assert line.state is state
    assert got in line.got
    assert line.was.startswith("Was watch: small.")


def test_the_date_of_the_new_tire_answers_the_age_of_the_old_one(book: Engine) -> None:
    line = cleared_by_tire(stay(book, [*SOUND[:1], *WORN, AGE]), AGE.name, "1760")
    assert line.state is Grade.SOUND
    assert line.got.startswith("new tire, date code 3025 (week 30 of 2025)")
    assert "under the aim" not in line.got  # of the axle, on its own line: the same tire's date is sound


# A tire judged anew, where the book says more of the axle since


def balanced(made: Stay) -> None:
    """Every wheel that the jobs ask for, balanced."""
    with writing(made.book) as session:
        tool = Instrument(id=BALANCER.id, created_at=made.at, name=BALANCER.name, kind=BALANCER.kind)
        session.add(tool)
    with reading(made.book) as session:
        asked = [(job.id, it) for job in jobs_of(session, made.order) for it in job.asked]
    for job, place in [(job, it.place) for job, it in asked if it.kind == "balance"]:
        bench.keep_record(made.book, made.act(TONI), job, "balance", place, balance())


def cleared(book: Engine) -> Stay:
    """A stay on which worn tires were made good by two new ones, on record."""
    made = stay(book, [*SOUND[:1], *WORN])
    made.price(say={})
    bench.open_jobs(book, made.act(WREN), made.order)
    for place, tin in TINS.items():
        fitted(made, place, tin)
    balanced(made)
    made.work()
    for name in (it.name for it in WORN):
        key = made.findings[name]
        with reading(book) as session:
            job = next(job for job in jobs_of(session, made.order) if key in job.finding_ids)
            seen = session.get_one(Finding, key).revision
        evidence = Evidence(How.RECORD, job_id=job.id)
        bench.clear_finding(book, made.act(LEE, seen), key, evidence)
    made.check(LEE)
    return made


def test_new_tires_too_small_for_an_axle_put_right_since_open_their_finding_again(book: Engine) -> None:
    """Two of 1,760 lb carry 3,500 lb, and not the 5,000 lb that the plate turned out to say."""
    made = cleared(book)
    assert made.page().in_the_way == ()
    said(made, gvwr="9000", gawr=("5000", "3500"))
    held = made.page().in_the_way[0]
    assert held.finding_id == made.findings[WORN[1].name]
    assert held.says.endswith("by what the book says of the unit now; take a second look, then measure again")
    with pytest.raises(Refused, match="take a second look"):
        made.hand_over()


def test_new_tires_that_still_carry_their_axle_stay_proof(book: Engine) -> None:
    made = cleared(book)
    said(made, gvwr="6800", gawr=("3400", "3400"))
    assert {it.finding_id for it in made.page().in_the_way} <= {None}
