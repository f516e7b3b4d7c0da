"""A paper sheet typed in afterwards: one page in the sheet's order, record after record, steps at once."""

from collections.abc import Callable

import lxml.html
import pytest
from sqlmodel import select

from app.bench import steps
from app.bench.tables import BenchRecord, Job
from app.estimate.tables import Work
from app.ground.book import reading, writing
from app.trade.problems import Refused
from tests.bench.forms import SIX_AT_110, TORQUE
from tests.bench.stay import TONI, Stay, catalogue
from tests.conftest import Browser, act

Signed = Callable[[str], Browser]
SHEET = "/bench/jobs/1/typing"
LEFT, RIGHT = f"{SHEET}/wheel_torque/wheel-1-left", f"{SHEET}/wheel_torque/wheel-1-right"


@pytest.fixture
def toni(here: Stay, signed: Signed) -> Browser:
    """A technician with a sheet for both wheels of an axle."""
    here.work(place="axle-1")
    steps.open_jobs(here.book, act(TONI), here.order)
    return signed("Toni")


def wheel(here: Stay, **changed: str) -> dict[str, str]:
    """A wheel as it stands on the paper."""
    return {**TORQUE, **SIX_AT_110, "instrument": str(here.wrench), **changed}


def records(here: Stay) -> list[tuple[str, bool]]:
    """Place and verdict of every record."""
    with reading(here.book) as session:
        return [(each.place, each.inside) for each in session.exec(select(BenchRecord))]


def test_the_first_record_of_the_sheet_is_open(toni: Browser) -> None:
    page = toni.get(SHEET).text
    assert f'action="{RIGHT}"' in page  # the sheet's order: right before left, as the job asks
    assert page.index("Wheel nut torque, right wheel, axle 1") < page.index("left wheel, axle 1")
    assert page.count("<h1") == 1


def test_each_record_leads_to_the_next_until_the_sheet_is_in(toni: Browser, here: Stay) -> None:
    for where in (RIGHT, LEFT):
        answer = toni.post(where, wheel(here), at=SHEET)
        assert (answer.status_code, answer.headers["location"]) == (303, SHEET)
    assert records(here) == [("wheel-1-right", True), ("wheel-1-left", True)]
    assert "Every record of the sheet is typed in" in toni.get(SHEET).text


def test_a_refused_record_stays_open_as_it_was_typed(toni: Browser, here: Stay) -> None:
    answer = toni.post(RIGHT, wheel(here, **{"r-3": "llO"}), at=SHEET)
    assert answer.status_code == 422
    assert 'value="llO"' in answer.text
    assert f'action="{RIGHT}"' in answer.text
    assert "Fix:" in answer.text
    assert records(here) == []


def test_readings_outlive_a_wrong_number_of_studs(toni: Browser, here: Stay) -> None:
    answer = toni.post(RIGHT, wheel(here, studs="", **{"r-6": "111"}), at=SHEET)
    assert answer.status_code == 422
    page = lxml.html.fromstring(answer.text)
    stand = {
        each.name: each.value for each in page.xpath(f"//form[@action='{RIGHT}']//input[@type='hidden']")
    }
    assert stand["r-6"] == "111"
    assert stand["pass-1-6"] == "yes"
    answer = toni.post(RIGHT, wheel(here, studs="5", draw="yes"), at=SHEET)
    drawn = lxml.html.fromstring(answer.text).xpath("//input[starts-with(@name, 'r-')]")
    assert {each.name: each.type for each in drawn if each.name in ("r-5", "r-6")} == {
        "r-5": "text",
        "r-6": "hidden",
    }


def test_drawing_anew_keeps_nothing(toni: Browser, here: Stay) -> None:
    answer = toni.post(RIGHT, wheel(here, draw="yes"), at=SHEET)
    assert answer.status_code == 200
    assert f'action="{RIGHT}"' in answer.text
    assert records(here) == []


def test_a_record_sent_twice_is_kept_once(toni: Browser, here: Stay) -> None:
    once = wheel(here, submission="a-key-of-its-own-000001")
    assert [toni.post(RIGHT, once, at=SHEET).status_code for _ in range(2)] == [303, 303]
    assert len(records(here)) == 1


def test_the_steps_of_the_paper_are_ticked_at_once(toni: Browser, here: Stay) -> None:
    assert toni.post(SHEET, {"step": ["1", "3"]}, at=SHEET).status_code == 303
    assert toni.post(SHEET, {"step": "2"}, at=SHEET).status_code == 303
    with reading(here.book) as session:
        assert session.get_one(Job, 1).done_steps == [1, 2, 3]
    assert "3 of 3" in toni.get(SHEET).text


@pytest.mark.parametrize("step", ["4", "0", "-1", "x", "٣", "99999"])
def test_a_step_that_is_not_on_the_sheet_is_refused(toni: Browser, here: Stay, step: str) -> None:
    answer = toni.post(SHEET, {"step": step}, at=SHEET)
    assert answer.status_code == 422
    with reading(here.book) as session:
        assert session.get_one(Job, 1).done_steps == []


def test_no_step_is_ticked_beyond_a_hold_point(here: Stay) -> None:
    kit = catalogue().kit("k8")  # U-bolts are step 6 of 9
    work = here.work((), kit="k8")
    with writing(here.book) as session:
        session.get_one(Work, work).steps = list(kit.steps)
    job = steps.open_jobs(here.book, act(TONI), here.order)
    with pytest.raises(Refused, match="Step 6 waits for a second person"):
        steps.tick_steps(here.book, act(TONI), job, range(1, 10))
    steps.tick_steps(here.book, act(TONI), job, range(1, 7))
    with reading(here.book) as session:
        assert session.get_one(Job, job).done_steps == [1, 2, 3, 4, 5, 6]


@pytest.mark.parametrize(
    ("name", "path", "status"),
    [
        ("Wren", SHEET, 403),
        ("Toni", "/bench/jobs/99/typing", 404),
        ("Toni", f"{SHEET}/balance/wheel-1-left", 404),
        ("Toni", f"{SHEET}/wheel_torque/wheel-9-left", 404),
    ],
)
def test_roles_and_keys_are_held(toni: Browser, signed: Signed, name: str, path: str, status: int) -> None:
    assert signed(name).post(path, {}).status_code == status


def test_the_job_leads_to_its_sheet(toni: Browser, signed: Signed) -> None:
    assert f'href="{SHEET}"' in toni.get("/bench/jobs/1").text
    assert f'href="{SHEET}"' not in signed("Wren").get("/bench/jobs/1").text


def test_a_job_that_asks_for_nothing_has_its_steps_only(here: Stay, signed: Signed) -> None:
    here.work(())
    steps.open_jobs(here.book, act(TONI), here.order)
    page = signed("Toni").get(SHEET).text
    assert "Every record of the sheet is typed in" in page
    assert "Keep these steps" in page
