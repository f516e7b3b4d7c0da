"""Photos of a job, before and after: kept once, shown in order, proving nothing by themselves."""

import io
import re
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound
from sqlmodel import func, select

from app.bench import steps
from app.bench.album import PhotosSaid, When, album_of, keep_photos, read_photos
from app.bench.facts import job_of
from app.bench.tables import JobPhoto
from app.ground import backups, files
from app.ground.book import reading
from app.ground.forms import Sent
from app.ground.photo_marks import keep_marks
from app.ground.photos import read_photo
from app.ground.settings import Settings
from app.ground.tables import Photo, Receipt
from app.inspection.album import MOST
from app.trade.problems import Refused
from tests.bench.stay import LATER, TONI, Stay
from tests.conftest import Browser, act

Signed = Callable[[str], Browser]
AT = "/bench/jobs/1/photos"


def drawn(ink: str = "black", kind: str = "JPEG") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (320, 240), ink).save(out, kind)
    return out.getvalue()


def said(when: When = When.BEFORE, *inks: str, words: str = "") -> PhotosSaid:
    return PhotosSaid(when, tuple(read_photo(drawn(ink)) for ink in inks or ("black",)), words)


def sent(*contents: bytes, **form: str) -> Sent:
    return Sent(list(form.items()), {"photo": list(contents)})


def shots(*contents: bytes) -> list[tuple[str, tuple[str, bytes, str]]]:
    return [("photo", ("seen.jpg", content, "image/jpeg")) for content in contents]


@pytest.fixture
def job(here: Stay) -> int:
    """A job for one do-not-tow finding, with its work agreed to."""
    here.work(answers=[here.finding("dnt")])
    steps.open_jobs(here.book, act(TONI), here.order)
    return 1


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return tmp_path / "kept"


# What a form says


def test_a_form_of_photos_is_read_whole() -> None:
    found = read_photos(sent(drawn(), drawn("white"), when="after", words="  New stud, left wheel "))
    assert (found.when, len(found.pictures)) == (When.AFTER, 2)
    assert found.words == "New stud, left wheel"


@pytest.mark.parametrize(
    ("form", "field", "says"),
    [
        (sent(when="before"), "photo", "No photo was chosen"),
        (sent(drawn()), "when", "before or after"),
        (sent(drawn(), when="during"), "when", ""),
        (sent(b"%PDF-1.7", when="after"), "photo", ""),
        (sent(*[drawn()] * (MOST + 1), when="after"), "photo", f"These are {MOST + 1} photos"),
        (sent(drawn(), when="after", words="x" * 121), "words", ""),
    ],
)
def test_what_is_wrong_with_photos_is_said_beside_its_field(form: Sent, field: str, says: str) -> None:
    with pytest.raises(Refused) as refused:
        read_photos(form)
    [problem] = refused.value.problems
    assert problem.field == field
    assert says in problem.says and problem.accepts


def test_everything_wrong_is_said_at_once() -> None:
    with pytest.raises(Refused) as refused:
        read_photos(sent(b"no picture", drawn()))
    assert [problem.field for problem in refused.value.problems] == ["when", "photo"]


# Rows


def test_photos_are_kept_once_in_their_order_with_who_took_them(here: Stay, job: int, folder: Path) -> None:
    once = act(TONI)
    three = said(When.BEFORE, "black", "white", "red", words="stud holes")
    assert keep_photos(here.book, once, job, three, folder) == job
    assert keep_photos(here.book, once, job, three, folder) == job
    keep_photos(here.book, act(TONI, at=LATER), job, said(When.AFTER, "blue"), folder)
    with reading(here.book) as session:
        album = album_of(session, job)
    assert [each.photo_id for each in album.before] == [1, 2, 3]
    assert [(each.words, each.by) for each in album.before] == [("stud holes", "Toni")] * 3
    assert [(each.at, each.words) for each in album.after] == [(LATER, "")]


def test_photos_of_one_job_are_none_of_another(here: Stay, job: int, folder: Path) -> None:
    here.work(answers=[here.finding("needs", place="wheel-1-right")])
    steps.open_jobs(here.book, act(TONI), here.order)
    keep_photos(here.book, act(TONI), job, said(), folder)
    with reading(here.book) as session:
        assert album_of(session, job + 1).before == ()


def test_a_job_that_is_not_there_keeps_no_photo_and_no_row(here: Stay, folder: Path) -> None:
    with pytest.raises(NoResultFound):
        keep_photos(here.book, act(TONI), 99, said(), folder)
    with reading(here.book) as session:
        assert session.exec(select(func.count()).select_from(Photo)).one() == 0


def test_the_receipt_names_the_job_and_every_photo(here: Stay, job: int, folder: Path) -> None:
    keep_photos(here.book, act(TONI), job, said(When.AFTER, "black", "white"), folder)
    with reading(here.book) as session:
        receipt = session.exec(select(Receipt).where(Receipt.act == "photograph job")).one()
    assert (receipt.subject, receipt.subject_id, receipt.person_id) == ("job", job, TONI)
    assert receipt.stood.count('"table":"jobphoto"') == 2


def test_photos_prove_no_work_and_finish_no_job(here: Stay, job: int, folder: Path) -> None:
    with reading(here.book) as session:
        before = job_of(session, job)
    keep_photos(here.book, act(TONI), job, said(When.AFTER), folder)
    with reading(here.book) as session:
        after = job_of(session, job)
    assert before is not None and after is not None
    assert (after.lacks, after.proved, after.may_finish) == (before.lacks, False, before.may_finish)


def test_the_first_photo_is_taken_before_the_work(here: Stay, job: int, folder: Path) -> None:
    with reading(here.book) as session:
        assert album_of(session, job).next is When.BEFORE
    keep_photos(here.book, act(TONI), job, said(), folder)
    with reading(here.book) as session:
        assert album_of(session, job).next is When.AFTER


def test_marks_drawn_over_a_photo_stand_with_it(here: Stay, job: int, folder: Path) -> None:
    keep_photos(here.book, act(TONI), job, said(words="crack"), folder)
    keep_marks(here.book, act(TONI), 1, '[{"kind": "label", "at": [10, 10], "says": "here"}]')
    with reading(here.book) as session:
        [shot] = album_of(session, job).before
    assert shot.shown is not None
    assert shot.says == "Before: crack"


# As a browser meets it


def test_a_technician_keeps_photos_and_everyone_sees_them(
    signed: Signed, here: Stay, job: int, settings: Settings
) -> None:
    toni = signed("Toni")
    form = {"when": "before", "words": "hanger, road side", "submission": "one"}
    answer = toni.post(AT, form, files=shots(drawn()))
    assert (answer.status_code, answer.headers["location"]) == (303, "/bench/jobs/1")
    page = signed("Wren").get("/bench/jobs/1").text
    assert 'alt="Before: hanger, road side"' in page
    assert "Add photos" not in page  # a writer looks on
    picture = toni.get("/photos/1/small.jpg")
    assert picture.headers["content-type"] == "image/jpeg"
    assert backups.verify(settings) == []


def test_a_photo_is_stripped_of_where_it_was_taken(
    signed: Signed, book: Engine, job: int, settings: Settings
) -> None:
    out, made = io.BytesIO(), Image.new("RGB", (320, 240), "red")
    exif = Image.Exif()
    exif[0x8825] = {1: "N", 2: (40.0, 26.0, 46.0)}  # EXIF 2.32, GPS IFD
    made.save(out, "JPEG", exif=exif)
    assert signed("Toni").post(AT, {"when": "after"}, files=shots(out.getvalue())).status_code == 303
    with reading(book) as session:
        row = session.exec(select(Photo)).one()
    kept = Image.open(io.BytesIO(files.read(settings.files, row.sha256)))
    assert not kept.getexif()


def test_a_refusal_keeps_what_was_typed_and_keeps_no_row(signed: Signed, job: int, book: Engine) -> None:
    answer = signed("Toni").post(AT, {"when": "after", "words": "new stud"})
    assert answer.status_code == 422
    assert "No photo was chosen" in answer.text
    assert 'value="new stud"' in answer.text
    assert re.search(r'value="after" checked', answer.text)
    assert re.search(r"<details[^>]* open><summary><span>Add photos", answer.text)
    with reading(book) as session:
        assert session.exec(select(JobPhoto)).all() == []


def test_a_writer_and_nobody_keep_no_photo(signed: Signed, job: int, book: Engine) -> None:
    assert signed("Wren").post(AT, {"when": "after"}, files=shots(drawn())).status_code == 403
    assert (
        signed("Toni").post("/bench/jobs/99/photos", {"when": "after"}, files=shots(drawn())).status_code
        == 404
    )
    with reading(book) as session:
        assert session.exec(select(JobPhoto)).all() == []


def test_the_same_form_sent_again_keeps_its_photos_once(signed: Signed, job: int, book: Engine) -> None:
    toni, form = signed("Toni"), {"when": "before", "submission": "same"}
    for _ in range(2):
        assert toni.post(AT, form, files=shots(drawn(), drawn("white"))).status_code == 303
    with reading(book) as session:
        assert len(session.exec(select(JobPhoto)).all()) == 2
