"""The floor's pages as a browser meets them: clocking, hours, the forgotten end, a pause, a hold point."""

import re
from collections.abc import Callable
from datetime import timedelta

import pytest
from sqlmodel import select

from app.bench import steps
from app.bench.floor import steps as floor
from app.bench.tables import HoldSigned, Job, Stint
from app.estimate.tables import Work
from app.ground.acting import now
from app.ground.book import reading, writing
from app.ground.shop import shop_of
from tests.bench.stay import LEE, TONI, Stay, catalogue
from tests.conftest import PASSPHRASE, Browser, act

Signed = Callable[[str], Browser]
JOB = "/bench/jobs/1"


@pytest.fixture
def job(here: Stay) -> int:
    """A job that waits, of a work that the owner agreed to."""
    here.work()
    return steps.open_jobs(here.book, act(TONI), here.order)


def test_one_tap_clocks_on_and_one_off(job: int, signed: Signed, here: Stay) -> None:
    toni = signed("Toni")
    assert "Clock on" in toni.get(JOB).text
    assert toni.post(f"{JOB}/clock", {"revision": "0"}, at=JOB).status_code == 303
    page = toni.get(JOB).text
    assert "on it now" in page
    assert "Clock off" in page
    answer = toni.post("/bench/clock-off", {}, at=JOB)
    assert (answer.status_code, answer.headers["location"]) == (303, "/bench/hours")
    with reading(here.book) as session:
        assert session.exec(select(Stint)).one().ended_at is not None


def test_who_is_not_on_a_job_is_told_in_words(job: int, signed: Signed) -> None:
    answer = signed("Toni").post("/bench/clock-off", {}, at=JOB)
    assert answer.status_code == 422
    assert "You are not clocked on" in answer.text


@pytest.fixture
def midday(here: Stay) -> None:
    """A shop in whose zone it is about noon now, so that an hour ago is always the same day."""
    ahead = 12 - now().hour  # POSIX zones count westward: Etc/GMT-3 is three hours ahead
    with writing(here.book) as session:
        shop_of(session).zone = f"Etc/GMT{-ahead:+d}"


@pytest.mark.usefixtures("midday")
def test_sold_and_clocked_hours_stand_side_by_side(job: int, signed: Signed, here: Stay) -> None:
    early = now() - timedelta(minutes=90)
    floor.clock_on(here.book, act(TONI, at=early), job)
    page = signed("Lee").get("/bench/hours").text
    assert "Tighten the wheel nuts" in page
    cells = (("Sold", "0.5"), ("Clocked", "1.50"), ("Billed", "-"), ("Longer", "1.00"))
    sold_clocked_billed_longer = "".join(
        f'<td data-label="{label}, h" class="amount">{it}</td>' for label, it in cells
    )
    assert sold_clocked_billed_longer in page
    assert "<b>0.5 h</b> sold" in signed("Wren").get(JOB).text


@pytest.mark.parametrize(
    ("name", "path", "status"),
    [
        ("Wren", f"{JOB}/clock", 403),
        ("Wren", f"{JOB}/pause", 403),
        ("Wren", f"{JOB}/holds/1", 403),
        ("Wren", "/bench/clock-off", 403),
        ("Toni", "/bench/jobs/99/clock", 404),
        ("Toni", "/bench/jobs/99/pause", 404),
        ("Toni", "/bench/stints/99", 404),
        ("Toni", f"{JOB}/holds/0", 422),
    ],
)
def test_roles_and_keys_are_held(job: int, signed: Signed, name: str, path: str, status: int) -> None:
    assert signed(name).post(path, {}).status_code in (status, 404 if status == 422 else status)


DAYS_AGO = timedelta(days=2)  # another day of the shop's calendar at every hour of ours


def test_a_forgotten_end_is_asked_with_its_likely_hour(job: int, signed: Signed, here: Stay) -> None:
    begun = (now() - DAYS_AGO).replace(hour=14, minute=5)
    stint = floor.clock_on(here.book, act(TONI, at=begun), job)
    toni = signed("Toni")
    assert "You did not clock off" in toni.get(JOB).text
    page = toni.get(f"/bench/stints/{stint}").text
    assert "When did you stop?" in page
    assert 'name="ended"' in page
    refused = toni.post(f"/bench/stints/{stint}", {"begun": "10:05", "ended": "soon", "revision": "0"})
    assert refused.status_code == 422
    assert 'value="soon"' in refused.text
    assert "an hour of that day, such as 16:30" in refused.text
    assert toni.post(f"{JOB}/clock", {"revision": "1"}).status_code == 422


def test_the_hour_is_kept_and_the_day_goes_on(job: int, signed: Signed, here: Stay) -> None:
    begun = (now() - DAYS_AGO).replace(hour=14, minute=5, second=0, microsecond=0)
    stint = floor.clock_on(here.book, act(TONI, at=begun), job)
    toni = signed("Toni")
    assert 'name="begun"' not in toni.get(f"/bench/stints/{stint}").text  # the tap that clocked on stands
    form = {"begun": "02:00", "ended": _shown(toni, stint, "ended"), "revision": "0"}
    assert toni.post(f"/bench/stints/{stint}", form).status_code == 303
    with reading(here.book) as session:
        assert session.exec(select(Stint)).one().begun_at == begun
    assert toni.post(f"{JOB}/clock", {"revision": "1"}).status_code == 303


def _shown(browser: Browser, stint: int, field: str) -> str:
    """What stands in a field of the page of some hours."""
    page = browser.get(f"/bench/stints/{stint}").text
    return page.split(f'name="{field}"')[1].split('value="')[1].split('"')[0]


def test_a_lead_corrects_with_a_reason_beside_the_hours(job: int, signed: Signed, here: Stay) -> None:
    stint = floor.clock_on(here.book, act(TONI), job)
    floor.clock_off(here.book, act(TONI, at=act().at + timedelta(hours=1)))
    lee = signed("Lee")
    form = {"begun": "12:00", "ended": "12:30", "revision": "1"}
    refused = lee.post(f"/bench/stints/{stint}", form)
    assert refused.status_code == 422
    assert "The reason is missing" in refused.text
    assert (
        lee.post(f"/bench/stints/{stint}", {**form, "reason": "Went for parts at half past"}).status_code
        == 303
    )
    assert "Corrected by Lee: Went for parts" in lee.get(JOB).text
    late = lee.post(f"/bench/stints/{stint}", {**form, "reason": "Once more, too late"})
    assert late.status_code == 409


def test_hours_that_are_not_ones_own_to_say_have_no_form(job: int, signed: Signed, here: Stay) -> None:
    theirs = floor.clock_on(here.book, act(LEE), job)
    mine = floor.clock_on(here.book, act(TONI), job)
    floor.clock_off(here.book, act(TONI, at=act().at + timedelta(hours=1)))
    for stint in (theirs, mine):
        page = signed("Toni").get(f"/bench/stints/{stint}").text
        assert "A lead corrects these hours" in page
        assert 'name="ended"' not in page
        assert 'name="ended"' in signed("Lee").get(f"/bench/stints/{stint}").text


def test_an_end_that_a_lead_said_first_is_told_beside_ones_own(job: int, signed: Signed, here: Stay) -> None:
    begun = (now() - DAYS_AGO).replace(hour=14, minute=5, second=0, microsecond=0)
    stint, toni = floor.clock_on(here.book, act(TONI, at=begun), job), signed("Toni")
    form = {"begun": "14:05", "ended": "15:30", "reason": "Left for the parts", "revision": "0"}
    assert signed("Lee").post(f"/bench/stints/{stint}", form).status_code == 303
    late = toni.post(f"/bench/stints/{stint}", {"ended": "16:45", "revision": "0"})
    assert late.status_code == 409
    assert "<td>15:30</td><td>16:45</td>" in late.text
    assert "is not asked for here any more" in late.text
    assert 'name="ended"' not in late.text


def test_a_pause_is_shown_on_the_job_and_in_the_yard(job: int, signed: Signed, here: Stay) -> None:
    toni = signed("Toni")
    toni.post(f"{JOB}/begin", {"revision": "0"})
    refused = toni.post(f"{JOB}/pause", {"paused_for": "other", "revision": "1"})
    assert refused.status_code == 422
    assert "Say what it waits for" in refused.text
    form = {"paused_for": "part", "paused_note": "hub cap, Tuesday", "revision": "1"}
    assert toni.post(f"{JOB}/pause", form).status_code == 303
    assert "Paused, waits for a part: hub cap, Tuesday" in toni.get(JOB).text
    assert "A part: hub cap, Tuesday" in signed("Wren").get("/").text
    assert toni.post(f"{JOB}/resume", {"revision": "2"}).status_code == 303
    assert "A part: hub cap" not in signed("Wren").get("/").text


def test_a_pause_from_an_old_page_is_told(job: int, signed: Signed) -> None:
    toni = signed("Toni")
    toni.post(f"{JOB}/begin", {"revision": "0"})
    late = toni.post(f"{JOB}/pause", {"paused_for": "owner", "revision": "0"})
    assert late.status_code == 409
    assert re.search(r"Not saved: \w+ saved first", late.text)


@pytest.fixture
def held(here: Stay) -> int:
    """A job whose last step, a lift test, waits for a second person."""
    kit = catalogue().kit("k1")
    work = here.work((), kit="k1")
    with writing(here.book) as session:
        session.get_one(Work, work).steps = list(kit.steps)
    made = steps.open_jobs(here.book, act(TONI), here.order)
    steps.begin(here.book, act(TONI), made)
    steps.tick_step(here.book, act(TONI), made, 8, done=True)
    return made


def test_a_second_person_signs_on_the_technicians_tablet(held: int, signed: Signed, here: Stay) -> None:
    toni = signed("Toni")
    assert "A second person signs step 8" in toni.get(JOB).text
    wrong = toni.post(f"{JOB}/holds/8", {"signer": str(LEE), "passphrase": "four words on glass"})
    assert wrong.status_code == 422
    assert "do not match" in wrong.text
    assert "four words on glass" not in wrong.text
    right = toni.post(f"{JOB}/holds/8", {"signer": str(LEE), "passphrase": PASSPHRASE})
    assert right.status_code == 303
    assert "Signed by Lee" in toni.get(JOB).text
    with reading(here.book) as session:
        assert session.exec(select(HoldSigned)).one().how == "passphrase"


def test_a_second_person_signs_by_their_own_sign_in(held: int, signed: Signed) -> None:
    assert signed("Toni").post(f"{JOB}/holds/8", {"signer": ""}).status_code == 422  # did the work
    assert signed("Lee").post(f"{JOB}/holds/8", {"signer": ""}).status_code == 303
    assert "own sign-in" in signed("Toni").get(JOB).text


def test_the_steps_say_where_they_hold(held: int, signed: Signed) -> None:
    assert "Hold: a second person looks before the work goes on" in signed("Wren").get(JOB).text


def test_found_on_the_way_is_told_on_a_page_of_its_own(job: int, signed: Signed) -> None:
    page = signed("Toni").get(JOB).text
    assert f'href="{JOB}/found"' in page
    assert signed("Toni").get(f"{JOB}/found").status_code == 200
    assert f'href="{JOB}/found"' not in signed("Wren").get(JOB).text


def test_a_person_who_holds_a_job_sees_no_empty_form(job: int, signed: Signed, here: Stay) -> None:
    toni = signed("Toni")
    assert f'action="{JOB}/begin"' in toni.get(JOB).text
    toni.post(f"{JOB}/begin", {"revision": "0"})
    assert f'action="{JOB}/begin"' not in toni.get(JOB).text
    with reading(here.book) as session:
        assert session.get_one(Job, job).technician_id == TONI
