"""Photos of a piece: kept once, shown in order, changing no measure and no release."""

import io
from collections.abc import Callable
from pathlib import Path

import pytest
from PIL import Image
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound
from sqlmodel import func, select

from app.canvas import steps
from app.canvas.album import PhotosSaid, keep_photos, pictures_of, read_photos
from app.canvas.tables import CanvasPhoto
from app.ground.book import reading
from app.ground.forms import Sent
from app.ground.photo_marks import keep_marks
from app.ground.photos import read_photo
from app.ground.tables import Photo, Receipt
from app.inspection.album import MOST
from app.trade.problems import Refused
from tests.canvas import loft
from tests.conftest import Browser, act

Signed = Callable[[str], Browser]


def drawn(ink: str = "black", kind: str = "JPEG") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (320, 240), ink).save(out, kind)
    return out.getvalue()


def said(*inks: str, words: str = "") -> PhotosSaid:
    return PhotosSaid(tuple(read_photo(drawn(ink)) for ink in inks or ("black",)), words)


def sent(*contents: bytes, **form: str) -> Sent:
    return Sent(list(form.items()), {"photo": list(contents)})


def shots(*contents: bytes) -> list[tuple[str, tuple[str, bytes, str]]]:
    return [("photo", ("seen.jpg", content, "image/jpeg")) for content in contents]


@pytest.fixture
def piece(book: Engine) -> int:
    """A measured piece."""
    return loft.piece(book, loft.opened(book))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """Where photos are kept."""
    made = tmp_path / "files"
    made.mkdir()
    return made


def test_a_form_brings_pictures_and_words() -> None:
    found = read_photos(sent(drawn(), drawn("white"), words=" corner C "))
    assert (len(found.pictures), found.words) == (2, "corner C")


@pytest.mark.parametrize(
    ("form", "says"),
    [
        (sent(), "No photo was chosen"),
        (sent(*[drawn()] * (MOST + 1)), "These are 9 photos"),
        (sent(b"no picture"), "photo: "),
    ],
)
def test_a_form_without_a_picture_or_with_too_many_is_refused(form: Sent, says: str) -> None:
    with pytest.raises(Refused, match=says) as refused:
        read_photos(form)
    assert [problem.field for problem in refused.value.problems] == ["photo"]


def test_photos_are_kept_once_and_shown_in_order(book: Engine, piece: int, folder: Path) -> None:
    again = act(person=3)
    assert [keep_photos(book, again, piece, said("red", "white"), folder) for _ in range(2)] == [piece] * 2
    keep_photos(book, act(person=2), piece, said(words="ruler across the teeth"), folder)
    with reading(book) as session:
        found = pictures_of(session, piece)
    assert [(it.says, it.by) for it in found] == [
        ("Photo of the piece", "Toni"),
        ("Photo of the piece", "Toni"),
        ("ruler across the teeth", "Wren"),
    ]


def test_photos_of_a_piece_that_is_not_there_leave_nothing(book: Engine, folder: Path) -> None:
    with pytest.raises(NoResultFound):
        keep_photos(book, act(), 99, said(), folder)
    with reading(book) as session:
        assert session.exec(select(func.count()).select_from(Photo)).one() == 0


def test_a_photo_changes_no_release(book: Engine, folder: Path) -> None:
    key = loft.ready(book)
    found = loft.read(book, key)
    steps.release(book, act(seen=found.version), key, [it.says for it in found.holds_back])
    keep_photos(book, act(), found.pieces[0].key, said(), folder)
    assert loft.read(book, key).released


def test_the_receipt_names_the_piece_and_every_photo(book: Engine, piece: int, folder: Path) -> None:
    keep_photos(book, act(), piece, said("red", "white"), folder)
    with reading(book) as session:
        receipt = session.exec(select(Receipt).where(Receipt.act == "photograph canvas piece")).one()
    assert (receipt.subject, receipt.subject_id) == ("canvaspiece", piece)
    assert receipt.stood.count('"table":"canvasphoto"') == 2


def test_marks_drawn_over_a_photo_stand_with_it(book: Engine, piece: int, folder: Path) -> None:
    keep_photos(book, act(), piece, said(), folder)
    keep_marks(book, act(), 1, '[{"kind": "label", "at": [10, 10], "says": "patch"}]')
    with reading(book) as session:
        (found,) = pictures_of(session, piece)
    assert found.shown is not None


def test_a_browser_adds_photos_and_sees_them(book: Engine, piece: int, signed: Signed) -> None:
    toni, at = signed("Toni"), f"/canvas/pieces/{piece}"
    form = {"submission": "a-1", "revision": "0", "words": "old wall with the tape"}
    assert toni.post(f"{at}/photos", form, files=shots(drawn())).status_code == 303
    page = toni.get(at).text
    assert 'alt="old wall with the tape"' in page
    assert f'href="/photos/1?back={at}"' in page
    assert toni.get("/photos/1/small.jpg").status_code == 200


def test_a_file_that_is_no_picture_is_refused_and_the_words_stay(
    book: Engine, piece: int, signed: Signed
) -> None:
    form = {"submission": "a-1", "revision": "0", "words": "old wall"}
    answer = signed("Toni").post(f"/canvas/pieces/{piece}/photos", form, files=shots(b"none"))
    assert answer.status_code == 422
    assert 'value="old wall"' in answer.text
    with reading(book) as session:
        assert session.exec(select(CanvasPhoto)).all() == []
