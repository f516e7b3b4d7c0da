"""Marks over photos: what is taken, how it is drawn, and that the photo itself stays as it was."""

import io
import json
import re
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from sqlalchemy import Engine

from app.ground import files, photo_marks, receipts
from app.ground.book import reading, writing
from app.ground.photo_marks import drawn, keep_marks, marks_of, newest, read_layer
from app.ground.photos import keep_photo, read_photo
from app.ground.receipts import Stale
from app.ground.settings import Settings
from app.ground.tables import Photo
from app.trade.problems import Refused
from tests.conftest import Browser, act

ARROW = {"kind": "arrow", "at": [100, 100], "to": [300, 100]}
CIRCLE = {"kind": "circle", "at": [100, 100], "to": [130, 140]}
THREE = {"kind": "label", "at": [500, 250], "says": "3"}
HIGH = 500  # of a photo twice as wide as high


def text(*marks: object) -> str:
    return json.dumps(marks)


@pytest.fixture
def photo(book: Engine, settings: Settings) -> Photo:
    """A photo of 400 by 200 pixels, kept by Toni."""
    out = io.BytesIO()
    Image.new("RGB", (400, 200), "gray").save(out, "PNG")
    with writing(book) as session:
        kept = keep_photo(session, settings.files, act(3), read_photo(out.getvalue()))
        receipts.sign(session, act(3), "keep photo", kept)
    return kept


def test_an_arrow_a_circle_and_a_label_are_taken() -> None:
    layer = read_layer(text(ARROW, CIRCLE, THREE), HIGH)
    assert [mark.kind for mark in layer] == ["arrow", "circle", "label"]
    assert photo_marks.said(layer) == "marked with an arrow, a circle, 3"


def test_a_circle_goes_through_its_rim() -> None:
    # sides 30 and 40 make 50: Pythagoras
    assert "A50 50 " in drawn(read_layer(text(CIRCLE), HIGH)[0]).d


def test_an_arrow_ends_in_its_point_with_a_wing_on_each_side() -> None:
    path = drawn(read_layer(text(ARROW), HIGH)[0]).d
    assert path.startswith("M100 100L300 100M")
    (one, _, other) = re.findall(r"[ML](\d+) (\d+)", path)[2:]
    assert one[0] == other[0]
    assert int(one[1]) + int(other[1]) == 200  # the same height above and below 100


@pytest.mark.parametrize(
    "layer",
    [
        "no list",
        "{}",
        "[1]",
        text({"kind": "star", "at": [1, 1], "to": [2, 2]}),
        text({"kind": "arrow", "at": [1, 1]}),
        text({"kind": "arrow", "at": [1, 1], "to": [1, 1]}),
        text({"kind": "circle", "at": [1, 1], "to": [2, 2], "says": "both"}),
        text({"kind": "label", "at": [1, 1], "says": " "}),
        text({"kind": "label", "at": [1, 1], "says": "a\u0000b"}),
        text({"kind": "label", "at": [1, 1], "says": "x" * 25}),
        text({"kind": "label", "at": [1, 1], "says": "x", "href": "https://example.com"}),
        text({"kind": "arrow", "at": [-1, 1], "to": [5, 5]}),
        text({"kind": "arrow", "at": [1.5, 1], "to": [5, 5]}),
        text({"kind": "arrow", "at": [1001, 1], "to": [5, 5]}),
        text({"kind": "arrow", "at": [1, 501], "to": [5, 5]}),
        text(*[THREE] * 21),
    ],
)
def test_what_is_no_mark_or_lies_beside_the_photo_is_refused_in_words(layer: str) -> None:
    with pytest.raises(Refused) as refused:
        read_layer(layer, HIGH)
    assert [problem.field for problem in refused.value.problems] == ["layer"]
    assert refused.value.problems[0].accepts


@given(st.text(max_size=60))
def test_no_text_is_an_error_of_ours(layer: str) -> None:
    try:
        read_layer(layer, HIGH)
    except Refused:
        return
    assert layer.strip() in ("", "[]") or json.loads(layer) == []


def test_a_layer_is_a_row_of_its_own_and_the_photo_keeps_its_bytes(
    book: Engine, photo: Photo, settings: Settings
) -> None:
    before = files.read(settings.files, photo.sha256)
    keep_marks(book, act(3), photo.key, text(ARROW))
    keep_marks(book, act(1, seen=1), photo.key, text(ARROW, THREE))
    with reading(book) as session:
        layer, kept = newest(session, photo.key)
        shown = marks_of(session, [photo.key])[photo.key]
    assert (len(layer), kept) == (2, 2)
    assert (shown.high, shown.says) == (HIGH, "marked with an arrow, 3")
    assert files.read(settings.files, photo.sha256) == before


def test_a_layer_is_kept_once_and_never_over_one_that_was_not_seen(book: Engine, photo: Photo) -> None:
    once = act(3)
    assert keep_marks(book, once, photo.key, text(ARROW)) == keep_marks(book, once, photo.key, text(ARROW))
    with pytest.raises(Stale):
        keep_marks(book, act(1), photo.key, text(CIRCLE))
    with reading(book) as session:
        assert newest(session, photo.key)[1] == 1


def test_marks_taken_away_leave_a_photo_without_any(book: Engine, photo: Photo) -> None:
    keep_marks(book, act(3), photo.key, text(ARROW))
    keep_marks(book, act(3, seen=1), photo.key, "[]")
    with reading(book) as session:
        assert marks_of(session, [photo.key]) == {}


# The page


Signed = Callable[[str], Browser]


def test_the_page_shows_the_photo_and_keeps_marks_and_leads_back(signed: Signed, photo: Photo) -> None:
    toni, address = signed("Toni"), f"/photos/{photo.key}"
    assert f'src="{address}/print.jpg"' in toni.get(address).text
    form = {"revision": "0", "layer": text(ARROW), "back": "/inspection/findings/7"}
    answer = toni.post(f"{address}/marks", form)
    assert answer.headers["location"] == f"{address}?back=/inspection/findings/7"
    page = toni.get(answer.headers["location"]).text
    assert 'href="/inspection/findings/7">Back' in page
    assert 'd="M100 100L300 100' in page


def test_the_way_back_stays_in_this_shop(signed: Signed, photo: Photo) -> None:
    page = signed("Toni").get(f"/photos/{photo.key}?back=//elsewhere.example/x").text
    assert "elsewhere" not in page
    page = signed("Toni").get(f"/photos/{photo.key}?back=javascript:alert(1)").text
    assert 'href="javascript' not in page


def test_refused_and_late_marks_stay_in_the_form(signed: Signed, photo: Photo) -> None:
    toni, address = signed("Toni"), f"/photos/{photo.key}/marks"
    refused = toni.post(address, {"layer": "torn"})
    assert (refused.status_code, 'value="torn"' in refused.text) == (422, True)
    assert toni.post(address, {"revision": "0", "layer": text(ARROW)}).status_code == 303
    late = toni.post(address, {"revision": "0", "layer": text(THREE)})
    assert late.status_code == 409
    assert "&#34;says&#34;: &#34;3&#34;" in late.text
    assert 'name="revision" value="1"' in late.text


def test_there_are_no_marks_on_a_photo_that_is_not_there(signed: Signed) -> None:
    toni = signed("Toni")
    assert toni.get("/photos/99").status_code == 404
    assert toni.post("/photos/99/marks", {"layer": "[]"}).status_code == 404
