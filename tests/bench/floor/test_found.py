"""More damage found at a job: at its place of the walk, on a supplement, the job stopped; one act or none."""

import io
import re
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image
from sqlalchemy.exc import NoResultFound
from sqlmodel import select

from app.bench import steps
from app.bench.facts import job_of
from app.bench.floor import steps as floor
from app.bench.floor.found import FoundMore, Weighs, find_more, places_left, read_found
from app.bench.rules import Evidence, How
from app.bench.tables import Job, Stint
from app.estimate.facts import newest_revision
from app.estimate.tables import Revision, Work, WorkFinding
from app.ground.book import reading, writing
from app.ground.forms import Sent
from app.ground.photos import read_photo
from app.ground.receipts import Stale
from app.ground.tables import Photo, Receipt
from app.handover.rules import NotFit
from app.handover.stay import stay_of
from app.inspection.facts import finding_line
from app.inspection.tables import Finding, Reading
from app.trade.figure import By, Grade
from app.trade.problems import Refused
from app.yard import facts as yard
from tests.bench.stay import BEFORE, LATER, LEE, TONI, Stay
from tests.conftest import NOON, Browser, act

Signed = Callable[[str], Browser]
AT = "/bench/jobs/1/found"
SAID = {"weighs": "dnt", "says": "Hanger torn off the frame rail"}


def drawn() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (320, 240), "brown").save(out, "JPEG")
    return out.getvalue()


@pytest.fixture
def place(here: Stay) -> int:
    """A place where nobody has looked, beside job 1 that is under way; its check names a kit."""
    here.work(answers=[here.finding("dnt")])
    steps.open_jobs(here.book, act(TONI), here.order)
    floor.clock_on(here.book, act(TONI), 1)
    return here.finding("unseen", check="su.hanger", place="wheel-2-left")


def more(here: Stay, place: int, tmp_path: Path, **told: object) -> int:
    said = replace(FoundMore(place, Weighs.DNT, "Hanger torn off the frame rail"), **told)
    return find_more(here.book, act(TONI, seen=revision(here)), 1, said, tmp_path)


def revision(here: Stay) -> int:
    with reading(here.book) as session:
        return session.get_one(Job, 1).revision


def found_at(here: Stay, place: int) -> Finding:
    with reading(here.book) as session:
        return session.get_one(Finding, place)


def test_it_stands_at_its_place_of_the_walk_round(here: Stay, place: int, tmp_path: Path) -> None:
    assert more(here, place, tmp_path) == place
    row = found_at(here, place)
    assert (row.grade, row.by, row.looked_by, row.looked_at) == (Grade.DNT, None, TONI, NOON)
    assert "Hanger torn off the frame rail" in row.reason


@pytest.mark.parametrize(
    ("weighs", "grade", "by"),
    [
        (Weighs.DNT, Grade.DNT, None),
        (Weighs.TOWING, Grade.NEEDS, By.TOWING),
        (Weighs.USE, Grade.NEEDS, By.USE),
        (Weighs.SOON, Grade.NEEDS, By.SOON),
    ],
)
def test_its_weight_is_what_was_tapped(
    here: Stay, place: int, tmp_path: Path, weighs: Weighs, grade: Grade, by: By | None
) -> None:
    more(here, place, tmp_path, weighs=weighs)
    row = found_at(here, place)
    assert (row.grade, row.by) == (grade, by)


def test_a_supplement_is_opened_with_its_kit_and_the_owner_is_asked_anew(
    here: Stay, place: int, tmp_path: Path
) -> None:
    more(here, place, tmp_path)
    with reading(here.book) as session:
        newest = newest_revision(session, here.order)
        answers = session.exec(select(WorkFinding.work_id).where(WorkFinding.finding_id == place)).one()
        work = session.get_one(Work, answers)
        (row,) = yard.rows_of(session, [here.order], LATER)
    assert newest is not None
    assert (newest.n, newest.frozen_at) == (2, None)
    assert (work.kit, bool(work.records), bool(work.steps)) == ("k7", True, True)
    assert (row.stage.word, row.stage.waits_for) == ("priced", "Estimate to be shown to the owner")


def test_what_was_agreed_before_may_still_be_finished(here: Stay, place: int, tmp_path: Path) -> None:
    more(here, place, tmp_path)
    with reading(here.book) as session:
        line = job_of(session, 1)
    assert line is not None
    assert line.stop == ""


def test_the_new_work_is_no_job_before_the_owners_word(here: Stay, place: int, tmp_path: Path) -> None:
    more(here, place, tmp_path)
    steps.open_jobs(here.book, act(LEE), here.order)
    with reading(here.book) as session:
        assert [job.work_id for job in session.exec(select(Job))] == here.works


def test_the_unit_is_not_fit_to_be_towed_while_it_stands(here: Stay, place: int, tmp_path: Path) -> None:
    more(here, place, tmp_path)
    with reading(here.book) as session:
        fitness = stay_of(session, here.order).fitness
    assert isinstance(fitness, NotFit)
    assert place in {stop.finding_id for stop in fitness.stops}


def test_it_is_cleared_by_no_job_that_did_not_do_it(here: Stay, place: int, tmp_path: Path) -> None:
    more(here, place, tmp_path)
    with pytest.raises(Refused):
        steps.clear_finding(here.book, act(LEE, at=LATER, seen=2), place, Evidence(How.RECORD, job_id=1))


def test_a_check_without_a_kit_is_left_to_be_priced_by_hand(here: Stay, place: int, tmp_path: Path) -> None:
    bare = here.finding("sound", check="id.history", place="unit")
    more(here, bare, tmp_path, weighs=Weighs.SOON)
    with reading(here.book) as session:
        assert [row.n for row in session.exec(select(Revision))] == [1]
    assert found_at(here, bare).grade == Grade.NEEDS


def test_the_job_is_stopped_and_its_hours_end_where_that_was_said(
    here: Stay, place: int, tmp_path: Path
) -> None:
    find_more(
        here.book,
        act(TONI, at=LATER, seen=revision(here)),
        1,
        FoundMore(place, Weighs.TOWING, "Bent", stops=True),
        tmp_path,
    )
    with reading(here.book) as session:
        job, stint = session.get_one(Job, 1), session.exec(select(Stint)).one()
    assert (job.paused_for, job.paused_note, job.paused_at) == ("owner", "more was found", LATER)
    assert stint.ended_at == LATER


def test_a_job_that_was_not_stopped_goes_on(here: Stay, place: int, tmp_path: Path) -> None:
    more(here, place, tmp_path)
    with reading(here.book) as session:
        assert session.get_one(Job, 1).paused_at is None
        assert session.exec(select(Stint)).one().ended_at is None


def test_the_same_form_twice_finds_once(here: Stay, place: int, tmp_path: Path) -> None:
    again = act(TONI, seen=revision(here))
    said = FoundMore(place, Weighs.DNT, "Torn", stops=True)
    assert find_more(here.book, again, 1, said, tmp_path) == find_more(here.book, again, 1, said, tmp_path)
    with reading(here.book) as session:
        acts = [row.act for row in session.exec(select(Receipt))]
        works = session.exec(select(WorkFinding).where(WorkFinding.finding_id == place)).all()
    assert (acts.count("find more damage"), acts.count("price findings"), len(works)) == (1, 1, 1)


def test_a_place_that_somebody_found_first_is_not_written_over(
    here: Stay, place: int, tmp_path: Path
) -> None:
    more(here, place, tmp_path, says="Torn")
    with pytest.raises(Refused) as refused:
        more(here, place, tmp_path, says="Cracked", weighs=Weighs.SOON)
    (problem,) = refused.value.problems
    assert (problem.field, "found meanwhile: Do not tow" in problem.says) == ("finding", True)
    assert "Torn" in found_at(here, place).reason


def test_a_place_of_another_stay_or_a_second_look_is_refused(here: Stay, place: int, tmp_path: Path) -> None:
    second = here.finding("sound", second=True, check="su.hanger", place="axle-2-left")
    for key in (second, 999):
        with pytest.raises(Refused, match="no place of this unit"):
            more(here, key, tmp_path)


def test_a_finished_job_finds_nothing_more(here: Stay, place: int, tmp_path: Path) -> None:
    here.work(records=())
    steps.open_jobs(here.book, act(TONI), here.order)
    steps.finish_job(here.book, act(TONI), 2)
    with pytest.raises(Refused, match="finished"):
        find_more(here.book, act(TONI, seen=1), 2, FoundMore(place, Weighs.DNT, "Torn"), tmp_path)
    with pytest.raises(NoResultFound):
        find_more(here.book, act(TONI), 99, FoundMore(place, Weighs.DNT, "Torn"), tmp_path)


def test_a_late_form_changes_nothing(here: Stay, place: int, tmp_path: Path) -> None:
    with pytest.raises(Stale):
        find_more(here.book, act(TONI, seen=7), 1, FoundMore(place, Weighs.DNT, "Torn"), tmp_path)
    assert found_at(here, place).grade == Grade.UNSEEN


def test_readings_that_were_taken_stay(here: Stay, place: int, tmp_path: Path) -> None:
    tread = here.finding("sound", check="ti.tread", place="wheel-2-left")
    here.add(
        Reading(  # type: ignore[arg-type]  # a row like the others
            created_at=BEFORE,
            finding_id=tread,
            measure="least",
            label="Tread depth",
            typed="7",
            unit="in_32nd",
        )
    )
    more(here, tread, tmp_path, says="Cut through the sidewall cord")
    with reading(here.book) as session:
        line = finding_line(session, session.get_one(Finding, tread))
    assert [(it.measure, it.typed, it.unit) for it in line.readings] == [("least", "7", "in_32nd")]
    assert line.grade is Grade.DNT


def test_its_photos_are_kept_with_it(here: Stay, place: int, tmp_path: Path) -> None:
    more(here, place, tmp_path, photos=(read_photo(drawn()),))
    with reading(here.book) as session:
        line = finding_line(session, session.get_one(Finding, place))
        photo = session.get_one(Photo, line.photos[0])
    assert list(tmp_path.rglob(f"{photo.sha256}*"))


def test_places_with_a_finding_and_things_not_fitted_are_not_offered(here: Stay, place: int) -> None:
    open_ = here.finding("sound", check="cp.latch", place="unit")
    with reading(here.book) as session:
        left = places_left(session, session.get_one(Job, 1))
    assert {key for at in left for key, _ in at.places} == {place, open_}


def test_the_stations_of_the_jobs_own_findings_come_first(here: Stay, place: int) -> None:
    latch = here.finding("sound", check="cp.latch", place="unit")
    for key, station in ((here.findings[0], 5), (place, 5), (latch, 2)):
        at_station(here, key, station)
    with reading(here.book) as session:
        left = places_left(session, session.get_one(Job, 1))
    assert [(at.station, [key for key, _ in at.places]) for at in left] == [
        ("Road side", [place]),
        ("Coupler", [latch]),
    ]


def at_station(here: Stay, key: int, station: int) -> None:
    with writing(here.book) as session:
        session.get_one(Finding, key).station = station


@pytest.mark.parametrize(
    ("form", "field"),
    [
        ({**SAID, "finding": ""}, "finding"),
        ({**SAID, "finding": "x"}, "finding"),
        ({**SAID, "finding": "1", "weighs": ""}, "weighs"),
        ({**SAID, "finding": "1", "weighs": "light"}, "weighs"),
        ({**SAID, "finding": "1", "says": " "}, "says"),
    ],
)
def test_what_is_missing_is_asked_at_its_field(form: dict[str, str], field: str) -> None:
    with pytest.raises(Refused) as refused:
        read_found(Sent(list(form.items())))
    assert [each.field for each in refused.value.problems] == [field]


def test_a_photo_that_is_none_is_told(place: int) -> None:
    form = Sent(list({**SAID, "finding": "1"}.items()), {"photo": [b"no picture"]})
    with pytest.raises(Refused) as refused:
        read_found(form)
    assert [each.field for each in refused.value.problems] == ["photo"]


def test_the_page_keeps_what_was_typed_and_its_photo(here: Stay, place: int, signed: Signed) -> None:
    browser = signed("Toni")
    shots = [("photo", ("seen.jpg", drawn(), "image/jpeg"))]
    form = {
        **SAID,
        "finding": str(place),
        "weighs": "",
        "submission": "more",
        "revision": str(revision(here)),
    }
    refused = browser.post(AT, form, files=shots)
    assert refused.status_code == 422
    assert "Hanger torn off the frame rail" in refused.text
    assert "Say how heavy it is" in refused.text
    (held,) = held_of(refused.text)
    done = browser.post(AT, {**form, "weighs": "dnt", "submission": "again", "held": held})
    assert (done.status_code, done.headers["location"]) == (303, f"/bench/orders/{here.order}#findings")
    with reading(here.book) as session:
        assert finding_line(session, session.get_one(Finding, place)).photos == (int(held),)


def held_of(page: str) -> list[str]:
    return [part.split('"')[0] for part in page.split('name="held" value="')[1:]]


def test_a_late_page_says_so_and_may_be_sent_once_more(here: Stay, place: int, signed: Signed) -> None:
    browser = signed("Toni")
    form = {**SAID, "finding": str(place), "submission": "late", "revision": "9"}
    late = browser.post(AT, form)
    assert late.status_code == 409
    assert re.search(r"Not saved: \w+ saved first", late.text)
    assert "Hanger torn off the frame rail" in late.text
    assert (
        browser.post(AT, {**form, "submission": "then", "revision": str(revision(here))}).status_code == 303
    )


def test_who_may_come_here(here: Stay, place: int, signed: Signed) -> None:
    assert signed("Wren").get(AT).status_code == 403
    assert signed("Toni").get(AT).status_code == 200
    assert signed("Toni").get("/bench/jobs/99/found").status_code == 404
    form = {**SAID, "finding": str(place), "submission": "none"}
    assert signed("Toni").post("/bench/jobs/99/found", form).status_code == 404
