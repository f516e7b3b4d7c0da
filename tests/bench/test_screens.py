"""The bench as a browser meets it: roles, refusals that keep what was typed, replays, conflicts, papers."""

import io
import re
from collections.abc import Callable

import pytest
from pypdf import PdfReader
from sqlmodel import select

from app.bench import steps
from app.bench.kinds import record_kinds
from app.bench.tables import BenchRecord, Clearance, Job
from app.ground.book import reading, writing
from app.ground.pages import templates
from app.ground.tables import Instrument, Shop
from app.inspection.steps import Seen, record_finding
from app.trade.figure import Grade
from tests.bench.forms import SIX_AT_110, TORQUE, torque
from tests.bench.stay import LATER, TONI, Stay
from tests.conftest import Browser, act

Signed = Callable[[str], Browser]
FORM = {**TORQUE, **SIX_AT_110}
AT = "/bench/jobs/1/records/wheel_torque/wheel-1-left"


@pytest.fixture
def job(here: Stay) -> int:
    """A job for one do-not-tow finding, with its work agreed to."""
    here.work(answers=[here.finding("dnt")])
    return steps.open_jobs(here.book, act(TONI), here.order)


@pytest.mark.parametrize("name", ["Lee", "Wren", "Toni"])
@pytest.mark.parametrize(
    "path",
    ["/bench/orders/1", "/bench/jobs/1", AT, "/bench/findings/1/clear", "/bench/instruments"],
)
def test_everybody_sees_every_page(signed: Signed, job: int, name: str, path: str) -> None:
    answer = signed(name).get(path)
    assert answer.status_code == 200
    assert "None" not in re.sub(r"<p class=\"content\">None.</p>", "", answer.text)


@pytest.mark.parametrize(
    "path",
    [
        "/bench/orders/99",
        "/bench/jobs/99",
        "/bench/jobs/x",
        "/bench/jobs/99999999999999999999",
        "/bench/jobs/1/records/wheel_torque/moon",
        "/bench/jobs/1/records/moon/wheel-1-left",
        "/bench/findings/99/clear",
        "/bench/instruments/99",
    ],
)
def test_a_page_that_is_not_there_is_said_to_be_so(signed: Signed, job: int, path: str) -> None:
    assert signed("Lee").get(path).status_code == 404


@pytest.mark.parametrize(
    ("name", "path"),
    [
        ("Wren", AT),
        ("Wren", "/bench/jobs/1/begin"),
        ("Wren", "/bench/jobs/1/finish"),
        ("Wren", "/bench/jobs/1/steps/1"),
        ("Toni", "/bench/jobs/1/accept"),
        ("Toni", "/bench/instruments"),
        ("Wren", "/bench/instruments/1"),
    ],
)
def test_the_wrong_role_is_turned_away(signed: Signed, job: int, name: str, path: str) -> None:
    assert signed(name).post(path, FORM).status_code == 403


def test_agreed_work_is_opened_as_jobs_once(signed: Signed, here: Stay) -> None:
    here.work()
    toni = signed("Toni")
    assert "Open 1 job" in toni.get("/bench/orders/1").text
    for _ in range(2):
        assert toni.post("/bench/orders/1/jobs", {"submission": "open"}).status_code == 303
    with reading(here.book) as session:
        assert len(session.exec(select(Job)).all()) == 1


def test_a_record_is_saved_before_the_answer_and_once(signed: Signed, here: Stay, job: int) -> None:
    toni = signed("Toni")
    for _ in range(2):
        answer = toni.post(AT, {**FORM, "submission": "torque"})
        assert (answer.status_code, answer.headers["location"]) == (303, "/bench/jobs/1#records")
        with reading(here.book) as session:
            assert session.exec(select(BenchRecord)).one().inside


def test_a_refused_record_keeps_what_was_typed_and_names_the_field(
    signed: Signed, here: Stay, job: int
) -> None:
    answer = signed("Toni").post(AT, {**FORM, "r-3": "llO"})
    assert answer.status_code == 422
    assert 'value="llO"' in answer.text
    assert 'id="r-3-fix"' in answer.text
    assert "Accepted: a number such as 12, 3.5 or 1 3/8" in answer.text
    assert 'aria-describedby="r-3-fix"' in answer.text
    with reading(here.book) as session:
        assert session.exec(select(BenchRecord)).all() == []


def test_an_unlikely_reading_comes_back_with_a_key_that_keeps_it(
    signed: Signed, here: Stay, job: int
) -> None:
    toni = signed("Toni")
    first = toni.post(AT, {**FORM, "r-3": "30"})
    assert first.status_code == 422
    assert 'name="confirm-r-3" value="30"' in first.text
    assert toni.post(AT, {**FORM, "r-3": "30", "confirm-r-3": "30"}).status_code == 303


def test_an_overdue_wrench_is_asked_about_in_words(signed: Signed, here: Stay, job: int) -> None:
    toni, form = signed("Toni"), {**FORM, "instrument": str(here.old_wrench)}
    first = toni.post(AT, form)
    assert "The calibration of Torque wrench 2 was due 1 March 2026" in first.text
    assert toni.post(AT, {**form, "confirm-instrument": str(here.old_wrench)}).status_code == 303
    assert "used all the same" in toni.get("/bench/jobs/1").text


def test_drawing_anew_keeps_nothing(signed: Signed, here: Stay, job: int) -> None:
    answer = signed("Toni").post(AT, {**FORM, "studs": "5", "draw": "yes"})
    assert answer.status_code == 200
    assert "Nuts 1 to 5 clockwise" in answer.text
    with reading(here.book) as session:
        assert session.exec(select(BenchRecord)).all() == []


def test_the_star_stands_in_the_form_in_tightening_order(signed: Signed, job: int) -> None:
    text = signed("Toni").get(AT).text
    columns = re.findall(r"</svg>Nut (\d)</th>", text)
    assert columns == ["1", "4", "6", "3", "5", "2"]  # opposite pairs, every other first: common practice
    assert "100 to 120" in text


THROUGH = {"wrench_length": "12", "adapter_length": "4"}  # three quarters: US Army TM 9-2350-261-20-1


def test_an_adapter_stays_folded_until_one_is_typed_and_then_the_form_says_what_to_set(
    signed: Signed, job: int
) -> None:
    toni = signed("Toni")
    fresh = toni.get(AT).text
    assert re.search(r'<details class="worked"><summary>[^\n]*No adapter', fresh)
    assert "Set the wrench to" not in fresh
    drawn = toni.post(AT, {**FORM, **THROUGH, "draw": "yes"}).text
    assert re.search(r'<details class="worked" open><summary>[^\n]*Set the wrench to 82.5 lbf·ft', drawn)
    assert "<b>82.5</b> wheel down" in drawn  # 110 x 12 / 16
    assert "can stretch or break" in drawn


def test_a_record_through_an_adapter_tells_both_torques(signed: Signed, here: Stay, job: int) -> None:
    toni = signed("Toni")
    at_82 = {f"r-{nut}": "82.5" for nut in range(1, 7)}
    assert toni.post(AT, {**FORM, **at_82, **THROUGH}).status_code == 303
    page = toni.get("/bench/jobs/1").text.replace("\xa0", " ")
    assert "All 6 nuts inside 100 to 120 lbf·ft" in page
    assert "wrench setting" in page.lower()
    assert "82.5 lbf·ft" in page
    assert "110.0 lbf·ft" in page


def test_a_length_alone_comes_back_with_what_is_missing_beside_it(signed: Signed, job: int) -> None:
    answer = signed("Toni").post(AT, {**FORM, "wrench_length": "12"})
    assert answer.status_code == 422
    assert "The length of the adapter is missing" in answer.text
    assert re.search(r'name="wrench_length"[^>]*value="12"', answer.text)


def test_a_unit_without_a_figure_says_whom_to_ask(signed: Signed, here: Stay, job: int) -> None:
    answer = signed("Toni").post(AT, {**FORM, "low": "", "high": "", "draw": "yes"})
    assert "ask the wheel's or axle's maker" in answer.text.replace("&#39;", "'")


def test_a_correction_needs_its_reason_and_supersedes(signed: Signed, here: Stay, job: int) -> None:
    toni = signed("Toni")
    old = steps.keep_record(here.book, act(TONI), job, "wheel_torque", "wheel-1-left", torque(r_3="90"))
    assert f'name="supersedes" value="{old}"' in toni.get(AT).text
    again = {**FORM, "supersedes": str(old)}
    refused = toni.post(AT, again)
    assert (refused.status_code, "Say why this record replaces the other" in refused.text) == (422, True)
    right = {**again, "correction-kind": "typing", "correction": "Typed 90, read 110"}
    assert toni.post(AT, right).status_code == 303
    page = toni.get("/bench/jobs/1").text
    assert "Typed 90, read 110" in page
    assert "1 earlier record, superseded" in page


@pytest.mark.parametrize("key", ["99", "²", "-1", "x"])
def test_a_record_of_another_job_cannot_be_corrected_here(signed: Signed, job: int, key: str) -> None:
    form = {**FORM, "supersedes": key, "correction-kind": "again"}
    assert signed("Toni").post(AT, form).status_code == 422


def test_a_second_record_without_a_reason_is_refused(signed: Signed, here: Stay, job: int) -> None:
    toni = signed("Toni")
    toni.post(AT, FORM)
    assert toni.post(AT, {**FORM, "r-1": "111"}).status_code == 422


def test_finishing_without_the_record_says_which(signed: Signed, job: int) -> None:
    answer = signed("Toni").post("/bench/jobs/1/finish", {"revision": "0"})
    assert answer.status_code == 422
    assert "Wheel nut torque, Left wheel, axle 1: not measured yet" in answer.text


def test_a_job_taken_over_meanwhile_is_a_conflict(signed: Signed, job: int) -> None:
    toni, lee = signed("Toni"), signed("Lee")
    assert toni.post("/bench/jobs/1/begin", {"revision": "0"}).status_code == 303
    late = lee.post("/bench/jobs/1/begin", {"revision": "0"})
    assert late.status_code == 409
    assert re.search(r"Not saved: \w+ saved first", late.text)
    assert 'name="revision" value="1"' in late.text
    assert lee.post("/bench/jobs/1/begin", {"revision": "1"}).status_code == 303


def test_steps_are_ticked_from_the_page(signed: Signed, job: int) -> None:
    toni = signed("Toni")
    toni.post("/bench/jobs/1/steps/2", {"done": "yes"})
    assert toni.get("/bench/jobs/1").text.count('aria-pressed="true"') == 1
    toni.post("/bench/jobs/1/steps/2", {"done": "no"})
    assert 'aria-pressed="true"' not in toni.get("/bench/jobs/1").text
    assert toni.post("/bench/jobs/1/steps/9", {"done": "yes"}).status_code == 422


def test_the_caution_stands_before_the_steps(signed: Signed, job: int) -> None:
    text = signed("Toni").get("/bench/jobs/1").text
    assert 0 < text.index("DANGER") < text.index("Chock, lift, set on stands.")


def test_a_kind_without_a_form_is_said_in_words(signed: Signed, here: Stay) -> None:
    here.work(("weld_slip",))
    steps.open_jobs(here.book, act(TONI), here.order)
    text = signed("Lee").get("/bench/jobs/1").text
    assert "has no form here yet" in text
    assert "Accept in writing" in text


def test_a_lead_accepts_in_writing_and_it_is_shown(signed: Signed, here: Stay) -> None:
    here.work(("weld_slip",))
    steps.open_jobs(here.book, act(TONI), here.order)
    lee = signed("Lee")
    short = lee.post("/bench/jobs/1/accept", {"reason": "ok", "revision": "0"})
    assert (short.status_code, "This reason is too short" in short.text) == (422, True)
    reason = "Measured by the frame shop, slip in the folder"
    assert lee.post("/bench/jobs/1/accept", {"reason": reason, "revision": "0"}).status_code == 303
    assert reason in lee.get("/bench/jobs/1").text


def finished(here: Stay, job: int) -> None:
    """The job measured and finished by Toni."""
    steps.keep_record(here.book, act(TONI), job, "wheel_torque", "wheel-1-left", torque())
    steps.finish_job(here.book, act(TONI, at=LATER), job)


def test_a_finding_is_cleared_from_its_page_by_another_person(signed: Signed, here: Stay, job: int) -> None:
    finished(here, job)
    form = {"how": "record", "job": "1", "revision": "1"}
    own = signed("Toni").post("/bench/findings/1/clear", form)
    assert (own.status_code, "You did this work" in own.text) == (422, True)
    assert signed("Wren").post("/bench/findings/1/clear", form).status_code == 303
    with reading(here.book) as session:
        assert session.exec(select(Clearance)).one().job_id == job
    page = signed("Toni").get("/bench/orders/1").text
    assert "by a finished job with its records inside their limits" in page


def test_a_finding_graded_anew_meanwhile_is_a_conflict(signed: Signed, here: Stay, job: int) -> None:
    finished(here, job)
    answer = signed("Wren").post("/bench/findings/1/clear", {"how": "record", "job": "1", "revision": "0"})
    assert answer.status_code == 409
    assert re.search(r"Not saved: \w+ saved first", answer.text)
    assert "save again if yours still holds" in answer.text


def test_a_late_clearance_says_both_sides_in_words(signed: Signed, here: Stay, job: int) -> None:
    """Graded anew by Toni while the page of Wren stood open."""
    finished(here, job)
    record_finding(here.book, act(TONI, seen=1), 1, Seen(grade=Grade.DNT, reason="Two studs sheared off"))
    answer = signed("Wren").post("/bench/findings/1/clear", {"how": "record", "job": "1", "revision": "0"})
    assert "<td>graded do not tow: Two studs sheared off</td>" in answer.text
    assert "<td>cleared by a finished job with its records inside their limits</td>" in answer.text


def test_a_finding_that_is_cleared_already_offers_nothing_to_clear(
    signed: Signed, here: Stay, job: int
) -> None:
    finished(here, job)
    form = {"how": "record", "job": "1", "revision": "1"}
    signed("Wren").post("/bench/findings/1/clear", form)
    pages = [
        signed("Lee").post("/bench/findings/1/clear", form),
        signed("Lee").get("/bench/findings/1/clear"),
    ]
    assert [page.status_code for page in pages] == [422, 200]
    for page in pages:
        assert "This finding is cleared already" in page.text
        assert "Clear this finding</button>" not in page.text
    assert 'role="alert"' in pages[0].text


@pytest.mark.parametrize(
    ("form", "words"),
    [
        ({}, "Choose what shows that it is put right"),
        ({}, "Accepted: a finished job with its records, a second look by another person"),
        ({"how": "record"}, "The job is missing"),
        ({"how": "record", "job": "x"}, "not a number"),
        ({"how": "record", "job": "99"}, "does not answer"),
        ({"how": "second look"}, "The second look is missing"),
        ({"how": "second look", "second_look": "99"}, "no second look at the same place"),
        ({"how": "lead", "reason": "fine"}, "missing or too short"),
        ({"how": "magic"}, "not one of the choices. Accepted: a finished job with its records"),
        (
            {"how": "record", "job": "1"},
            "This job is not finished. Accepted: the same done on the page",
        ),
    ],
)
def test_evidence_that_is_none_is_refused_in_words(
    signed: Signed, job: int, form: dict[str, str], words: str
) -> None:
    answer = signed("Lee").post("/bench/findings/1/clear", {"revision": "1", **form})
    assert (answer.status_code, words in answer.text) == (422, True)
    assert "own work" not in re.sub(r'value="own work"', "", seen(answer.text))


def seen(text: str) -> str:
    """A page's words for the eye, without its hints, in which a lead's own work is told of."""
    return re.sub(r'<span class="field-hint"[^>]*>.*?</span>', "", text)


@pytest.mark.parametrize("name", ["Lee", "Wren", "Toni"])
def test_what_is_missing_is_said_where_it_is_given(signed: Signed, here: Stay, job: int, name: str) -> None:
    page = signed(name).get("/bench/findings/1/clear").text
    assert "Missing in job 1:</b> Wheel nut torque, Left wheel, axle 1: not measured yet" in page
    assert 'href="/bench/jobs/1"' in page
    assert 'href="/inspection/findings/1"' in page
    lone = here.finding("needs", place="wheel-2-left")
    alone = signed(name).get(f"/bench/findings/{lone}/clear").text
    assert "its work is priced, agreed by the owner and opened as a job" in alone
    assert ('href="/estimate/1"' in alone) is (name != "Toni")


def test_a_job_that_lacks_nothing_says_so(signed: Signed, here: Stay, job: int) -> None:
    steps.keep_record(here.book, act(TONI), job, "wheel_torque", "wheel-1-left", torque())
    page = "/bench/findings/1/clear"
    assert "Job 1 has its records; it is not finished yet." in signed("Wren").get(page).text
    steps.finish_job(here.book, act(TONI, at=LATER), job)
    assert "Job 1 has what it needs." in signed("Wren").get(page).text


# Instruments

WRENCH = {
    "name": "Torque wrench 9",
    "kind": "torque wrench",
    "unit": "lbf_ft",
    "least": "20",
    "most": "150",
    "resolution": "1",
    "calibrated_on": "2026-01-12",
    "calibration_due": "2027-01-12",
}


def test_a_lead_adds_and_changes_an_instrument(signed: Signed, here: Stay) -> None:
    lee = signed("Lee")
    assert lee.post("/bench/instruments", WRENCH).status_code == 303
    with reading(here.book) as session:
        row = session.exec(select(Instrument).where(Instrument.name == "Torque wrench 9")).one()
    changed = {**WRENCH, "most": "250", "revision": "1"}
    assert lee.post(f"/bench/instruments/{row.id}", changed).status_code == 303
    late = lee.post(f"/bench/instruments/{row.id}", {**WRENCH, "most": "200", "revision": "1"})
    assert late.status_code == 409
    assert 'value="200"' in late.text
    assert "In the book now: <b>250</b>" in late.text


@pytest.mark.parametrize(
    ("field", "text", "words"),
    [
        ("name", "", "The name is missing"),
        ("name", "Torque wrench 7", "There is an instrument Torque wrench 7 already"),
        ("kind", "hammer", "The kind is missing"),
        ("unit", "furlong", "not a unit"),
        ("unit", "", "needs its unit"),
        ("most", "10", "runs backwards"),
        ("most", "lots", "not a number"),
        ("calibration_due", "2026-01-01", "not after the calibration"),
        ("calibrated_on", "soon", "not a date"),
    ],
)
def test_an_instrument_that_cannot_be_is_refused(
    signed: Signed, here: Stay, field: str, text: str, words: str
) -> None:
    answer = signed("Lee").post("/bench/instruments", {**WRENCH, field: text})
    assert (answer.status_code, words in answer.text) == (422, True)


def test_an_instrument_out_of_use_is_not_offered(signed: Signed, here: Stay, job: int) -> None:
    lee = signed("Lee")
    lee.post("/bench/instruments/1", {**WRENCH, "name": "Torque wrench 7", "retired": "yes", "revision": "0"})
    assert "out of use" in lee.get("/bench/instruments").text
    assert "Torque wrench 7" not in lee.get(AT).text


# Papers


def test_the_job_sheet_prints_steps_star_and_code(signed: Signed, here: Stay, job: int) -> None:
    toni = signed("Toni")
    answer = toni.post("/bench/jobs/1/sheet", {"submission": "sheet"})
    assert answer.status_code == 303
    again = toni.post("/bench/jobs/1/sheet", {"submission": "sheet"})
    assert again.headers["location"] == answer.headers["location"]
    pdf = PdfReader(io.BytesIO(toni.get(answer.headers["location"]).content))
    text = " ".join(page.extract_text() for page in pdf.pages).replace("\xa0", " ")
    told = ("Job sheet", "WO-000236", "Chock, lift, set on stands.", "DANGER", "100 to 120", "nut 4")
    for words in (*told, "Trailer held by a jack alone"):  # the hazard itself, beside the word: ANSI Z535.4
        assert words in text


def test_a_nut_card_needs_a_torque_record(signed: Signed, here: Stay, job: int) -> None:
    toni = signed("Toni")
    refused = toni.post("/bench/orders/1/retorque", {})
    assert (refused.status_code, "No wheel has its torque recorded yet" in refused.text) == (422, True)
    toni.post(AT, FORM)
    answer = toni.post("/bench/orders/1/retorque", {})
    pdf = PdfReader(io.BytesIO(toni.get(answer.headers["location"]).content))
    text = pdf.pages[0].extract_text().replace("\xa0", " ")
    for words in ("214", "110 lbf", "10 miles", "25 miles", "50 miles", "1, 4, 6, 3, 5, 2"):
        assert words in " ".join(text.split())


def test_a_wheel_that_two_jobs_measured_is_one_wheel_of_the_nut_card(
    signed: Signed, here: Stay, job: int
) -> None:
    here.work()
    steps.open_jobs(here.book, act(TONI), here.order)
    toni = signed("Toni")
    for nth in (1, 2):
        kept = toni.post(AT.replace("jobs/1", f"jobs/{nth}"), {**FORM, "submission": f"round {nth}"})
        assert kept.status_code == 303
    assert "1 wheel with torque recorded" in toni.get("/bench/orders/1").text
    answer = toni.post("/bench/orders/1/retorque", {})
    text = PdfReader(io.BytesIO(toni.get(answer.headers["location"]).content)).pages[0].extract_text()
    assert "6 nuts a wheel, 1 wheel," in " ".join(text.split())


def test_a_nut_card_has_the_miles_of_the_shop(signed: Signed, here: Stay, job: int) -> None:
    with writing(here.book) as session:
        shop = session.exec(select(Shop)).one()
        shop.settings = {**shop.settings, "retorque_miles": "25, 100"}
    toni = signed("Toni")
    toni.post(AT, FORM)
    answer = toni.post("/bench/orders/1/retorque", {})
    text = PdfReader(io.BytesIO(toni.get(answer.headers["location"]).content)).pages[0].extract_text()
    miles = re.findall(r"\b(\d+)\smiles", text)
    assert sorted(set(miles), key=int) == ["25", "100"]


def test_every_kind_has_its_form_and_its_paper() -> None:
    names = set(templates().list_templates())
    for key in record_kinds():
        assert f"bench/records/{key}/_form.html" in names
        assert f"bench/records/{key}/_paper.html" in names


def test_every_form_and_sheet_of_a_kind_can_be_shown(signed: Signed, here: Stay) -> None:
    here.work(tuple(record_kinds()), place="wheel-1-left")
    steps.open_jobs(here.book, act(TONI), here.order)
    toni = signed("Toni")
    forms = re.findall(r'href="(/bench/jobs/1/records/[^"]+)"', toni.get("/bench/jobs/1").text)
    assert {path.split("/")[5] for path in forms} == set(record_kinds())
    for path in forms:
        assert toni.get(path).status_code == 200
        empty = toni.post(path, {})
        assert (empty.status_code, "Not saved yet" in empty.text) == (422, True)
    assert toni.post("/bench/jobs/1/sheet", {}).status_code == 303
