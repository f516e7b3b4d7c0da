"""The intake form as a browser meets it: each kind of field refused, asked about, late, with its photos."""

import io
import re
from collections.abc import Callable
from datetime import timedelta

import lxml.html
import pytest
from PIL import Image
from sqlalchemy import Engine
from sqlmodel import select

from app.ground.acting import now
from app.ground.book import reading
from app.ground.photos import LARGEST_BYTES
from app.intake import steps
from app.intake.arrival import OwnerSaid, StaySaid
from app.intake.tables import ArrivalPhoto, Owner, Unit, WorkOrder
from tests.conftest import Browser, act
from tests.intake.arrivals import FORM, VIN, drawn, rosalind

Signed = Callable[[str], Browser]
File = tuple[str, tuple[str, bytes, str]]


def form(**changed: str) -> dict[str, str | list[str]]:
    """The whole intake form, promised for ten days from now."""
    promised = (now() + timedelta(days=10)).date().isoformat()
    return {**FORM, "promised_day": promised, **changed}


def page_of(text: str) -> lxml.html.HtmlElement:
    return lxml.html.document_fromstring(text)


def sends(page: lxml.html.HtmlElement, name: str) -> list[str]:
    """What a browser would send of a field of the page's form, untouched."""
    found: list[str] = []
    for each in page.xpath(f'//*[@name="{name}"]'):
        if each.tag == "textarea":
            found.append(each.text or "")
        elif each.tag == "select":
            found += [option.get("value") for option in each.xpath("option[@selected]")]
        elif each.get("type") in ("radio", "checkbox"):
            found += [each.get("value")] if each.get("checked") is not None else []
        else:
            found.append(each.get("value", ""))
    return found


WRONG = {
    "name": "",
    "phone": "1",
    "phone_2": "2",
    "email": "ann at example",
    "preferred": "pigeon",
    "kind": "truck",
    "vin": "O" + VIN[1:],
    "vin_kind": "painted",
    "year": "19",
    "axles": "9",
    "wheels_per_end": "3",
    "length_ft": "700",
    "width_in": "5",
    "gvwr": "0",
    "tire_size": "round",
    "tire_pressure": "500",
    "stud_thread": "1/2",
    "stud_count": "2",
    "torque_low": "0",
    "torque_source": "",
    "brakes": "feet",
    "ball_size": "5 in",
    "cylinders": "-1",
    "battery": "x" * 81,
    "tow_what": "",
    "tow_rating": "1",
    "tow_ball": "egg",
    "concerns": "\n".join("abcdefghijklm"),
    "keys": "many",
    "came_with_cylinders": "9",
    "came_with": "x" * 401,
    "condition": "x" * 2001,
    "stands": "x" * 41,
    "promised_day": "15 May",
    "promised_hour": "25:00",
    "depth": "deep",
}


def test_every_wrong_field_is_told_at_the_top_and_beside_itself(signed: Signed, book: Engine) -> None:
    answer = signed("Wren").post("/intake/new", form(**WRONG))
    assert answer.status_code == 422
    page = page_of(answer.text)
    named = {link.get("href")[1:] for link in page.xpath('//*[@id="fixes"]//a')}
    assert set(WRONG) <= named
    for name in named:
        (field,) = page.xpath(f'//*[@id="{name}"]')  # where the link at the top leads
        assert field.get("aria-invalid") == "true", name
        (fix,) = page.xpath(f'//*[@id="{name}-fix"]')
        assert f"{name}-fix" in field.get("aria-describedby").split(), name
        assert "Fix:" in fix.text_content() or "Check:" in fix.text_content(), name
    with reading(book) as session:
        assert session.exec(select(Owner)).first() is None


def test_every_text_comes_back_as_it_was_typed(signed: Signed) -> None:
    page = page_of(signed("Wren").post("/intake/new", form(**WRONG)).text)
    lists = {"kind", "preferred", "vin_kind", "axles", "wheels_per_end", "brakes", "ball_size"}
    lists |= {"tow_ball", "depth"}  # a choice that is none of the list cannot be shown in it
    for name, text in {**FORM, **WRONG}.items():
        if name not in lists:
            assert sends(page, name)[:1] in ([text], [text.strip()]), name


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("kind", "boat"),
        ("preferred", "paper"),
        ("vin_kind", "assigned"),
        ("brakes", "surge"),
        ("brakes_required", "no"),
        ("ball_size", "50 mm"),
        ("depth", "prepurchase"),
        ("gvwr-unit", "kg"),
        ("tire_pressure-unit", "bar"),
        ("torque-unit", "N_m"),
        ("tow_rating-unit", "kg"),
        ("came_with_spare", "yes"),
    ],
)
def test_what_was_chosen_stays_chosen_in_a_refused_form(signed: Signed, name: str, text: str) -> None:
    page = page_of(signed("Wren").post("/intake/new", form(name="", **{name: text})).text)
    assert sends(page, name) == [text]


def test_a_tick_taken_away_stays_away_in_a_refused_form(signed: Signed) -> None:
    sent = {name: text for name, text in form(name="").items() if name not in ("spare", "came_with_spare")}
    page = page_of(signed("Wren").post("/intake/new", sent).text)
    assert sends(page, "spare") == sends(page, "came_with_spare") == []


@pytest.mark.parametrize(
    ("name", "text", "asks"),
    [
        ("vin", "1M8GDM9A1KP042788", "by the other characters it is X"),  # 49 CFR 565.15(c)
        ("gvwr", "7500", "under the GVWR of 7,500 lb"),
        ("tire_size", "205/75R14", "Check:"),
        ("stud_count", "7", "7 studs are unusual"),
        ("torque_high", "400", "unusual for a wheel nut"),
        ("tow_ball", "2 in", "can jump off a wrong ball"),
        ("width_in", "110", "usually 40"),  # 102 in: 23 CFR 658.15
        ("length_ft", "50", "usually 4"),
    ],
)
def test_what_is_unlikely_is_kept_by_the_key_that_comes_with_the_question(
    signed: Signed, book: Engine, name: str, text: str, asks: str
) -> None:
    wren = signed("Wren")
    answer = wren.post("/intake/new", form(**{name: text}))
    assert answer.status_code == 422
    page = page_of(answer.text)
    (fix,) = page.xpath(f'//*[@id="{name}-fix"]')
    assert asks in re.sub(r"[\s\u00a0]+", " ", fix.text_content())
    (key,) = fix.xpath(f'.//input[@name="confirm-{name}"]')
    assert key.get("checked") is None
    again = {**form(**{name: text}), f"confirm-{name}": key.get("value")}
    assert wren.post("/intake/new", again).status_code == 303
    with reading(book) as session:
        assert len(session.exec(select(WorkOrder)).all()) == 1


@pytest.mark.parametrize(
    ("typed", "kind", "year", "shown"),
    [
        ("1g4ah59h45g118341", "standard", "2005", "1G4AH59H45G118341"),  # 49 CFR 565.15(c), worked example
        ("4 213 77", "before 1981", "1974", "4 213 77"),
        ("mi 55-20417", "assigned", "2019", "MI 55-20417"),
        ("", "none", "", ""),
        ("", "standard", "", ""),
    ],
)
def test_every_kind_of_number_goes_through_the_form_and_comes_back(
    signed: Signed, typed: str, kind: str, year: str, shown: str
) -> None:
    wren = signed("Wren")
    assert wren.post("/intake/new", form(vin=typed, vin_kind=kind, year=year)).status_code == 303
    page = page_of(wren.get("/intake/units/1").text)
    assert (sends(page, "vin"), sends(page, "vin_kind"), sends(page, "year")) == ([shown], [kind], [year])


def test_a_unit_in_metric_is_shown_in_metric_again(signed: Signed) -> None:
    wren, metric = (
        signed("Wren"),
        {
            "gvwr": "2700",
            "gvwr-unit": "kg",
            "gawr-1": "1500",
            "gawr-2": "1500",
            "tire_pressure": "3.5",
            "tire_pressure-unit": "bar",
            "torque_low": "130",
            "torque_high": "160",
            "torque-unit": "N_m",
            "tow_rating": "3200",
            "tow_rating-unit": "kg",
        },
    )
    assert wren.post("/intake/new", form(**metric)).status_code == 303
    unit, back = page_of(wren.get("/intake/units/1").text), page_of(wren.get("/intake/new?unit=1").text)
    for name, text in metric.items():
        assert sends(back, name) == [text], name
        assert name.startswith("tow") or sends(unit, name) == [text], name


# --- somebody saved first -----------------------------------------------------------------------

UNIT_CHANGED = {
    "vin": "1G4AH59H45G118341",
    "plate": "NEW 1",
    "maker": "Quillon",
    "model": "Hatch 10",
    "year": "2005",
    "length_ft": "10",
    "gvwr": "6500",
    "gawr-1": "3400",
    "tire_size": "ST175/80R13",
    "tire_pressure": "65",
    "stud_thread": "9/16-18",
    "stud_count": "6",
    "torque_low": "95",
    "torque_high": "115",
    "torque_source": "axle maker's sheet",
    "cylinders": "1",
    "battery": "none",
}


def test_every_field_that_differs_shows_what_stands_in_the_book(signed: Signed, book: Engine) -> None:
    wren, lee = signed("Wren"), signed("Lee")
    wren.post("/intake/new", form())
    assert lee.post("/intake/units/1", form(revision="1", **UNIT_CHANGED)).status_code == 303
    late = wren.post("/intake/units/1", form(revision="1"))
    assert late.status_code == 409
    page = page_of(late.text)
    for name, theirs in UNIT_CHANGED.items():
        assert sends(page, name) == [FORM[name]], name
        assert f"In the book now: <b>{theirs.replace(chr(39), '&#39;')}</b>" in late.text, name
    with reading(book) as session:
        assert session.get_one(Unit, 1).maker == "Quillon"
    assert sends(page, "revision") == ["2"]
    assert wren.post("/intake/units/1", form(revision="2")).status_code == 303
    with reading(book) as session:
        assert (session.get_one(Unit, 1).maker, session.get_one(Unit, 1).revision) == ("Ashlode", 3)


def test_an_emptied_field_says_that_the_book_holds_nothing(signed: Signed, book: Engine) -> None:
    steps.take_in(book, act(), rosalind())
    wren, lee = signed("Wren"), signed("Lee")
    owner = {"name": "Rosalind Achterberg", "phone": "(555) 555-0142", "preferred": "phone", "revision": "1"}
    assert lee.post("/intake/owners/1", owner).status_code == 303
    late = wren.post("/intake/owners/1", {**owner, "email": "rosalind@achterberg.example"})
    assert late.status_code == 409
    assert "In the book now: <b>nothing</b>" in late.text


@pytest.mark.parametrize("seen", ["0", "2", "99", "", "x", "-1"])
def test_a_form_that_saw_another_revision_keeps_nothing(signed: Signed, book: Engine, seen: str) -> None:
    steps.take_in(book, act(), rosalind())
    answer = signed("Wren").post("/intake/owners/1", form(name="Someone else", revision=seen))
    assert answer.status_code == 409
    with reading(book) as session:
        assert session.get_one(Owner, 1).name == "Rosalind Achterberg"


@pytest.mark.parametrize(("what", "table"), [("owners", Owner), ("units", Unit), ("orders", WorkOrder)])
def test_the_same_correction_sent_twice_is_kept_once(
    signed: Signed, book: Engine, what: str, table: type[Owner]
) -> None:
    steps.take_in(book, act(), rosalind())
    wren, once = signed("Wren"), form(revision="1", submission="once", promised_day="")
    assert [wren.post(f"/intake/{what}/1", once).status_code for _ in range(2)] == [303, 303]
    with reading(book) as session:
        assert session.get_one(table, 1).revision == 2


# --- photos -------------------------------------------------------------------------------------

TURNS = {  # EXIF orientation, and the turn that a camera gave such a picture: TIFF 6.0, tag 274
    1: None,
    2: Image.Transpose.FLIP_LEFT_RIGHT,
    3: Image.Transpose.ROTATE_180,
    4: Image.Transpose.FLIP_TOP_BOTTOM,
    5: Image.Transpose.TRANSPOSE,
    6: Image.Transpose.ROTATE_90,
    7: Image.Transpose.TRANSVERSE,
    8: Image.Transpose.ROTATE_270,
}


def lying(orientation: int) -> bytes:
    """A picture black in its top left quarter, as a camera held that way stores it."""
    upright = Image.new("RGB", (640, 320), "white")
    upright.paste("black", (0, 0, 320, 160))
    turn = TURNS[orientation]
    exif, out = Image.Exif(), io.BytesIO()
    exif[274] = orientation
    (upright.transpose(turn) if turn is not None else upright).save(out, "JPEG", exif=exif)
    return out.getvalue()


def test_pictures_held_all_eight_ways_stand_upright_on_the_page(signed: Signed) -> None:
    wren = signed("Wren")
    files = [("photo-damage", (f"{way}.jpg", lying(way), "image/jpeg")) for way in TURNS]
    assert wren.post("/intake/new", form(), files=files).status_code == 303
    for key in range(1, 9):
        for size, width in (("print", 640), ("small", 480)):
            shown = Image.open(io.BytesIO(wren.get(f"/photos/{key}/{size}.jpg").content)).convert("L")
            assert shown.size == (width, width // 2)
            dark, pale = shown.getpixel((20, 20)), shown.getpixel((width - 20, width // 2 - 20))
            assert isinstance(dark, int) and isinstance(pale, int)
            assert dark < 60 and pale > 200, (key, size)


def made(kind: str) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (64, 48), "navy").save(out, kind)
    return out.getvalue()


@pytest.mark.parametrize("kind", ["JPEG", "PNG", "WEBP", "HEIF"])
def test_a_picture_of_each_usual_kind_is_kept_whatever_its_name_says(
    signed: Signed, book: Engine, kind: str
) -> None:
    steps.take_in(book, act(), rosalind())
    sent: list[File] = [("photo-label", ("label.txt", made(kind), "text/plain"))]
    toni = signed("Toni")
    assert toni.post("/intake/orders/1/photos", {}, files=sent).status_code == 303
    assert toni.get("/photos/1/print.jpg").content.startswith(b"\xff\xd8\xff")  # SOI: ITU-T T.81, B.1.1.3
    with reading(book) as session:
        assert session.exec(select(ArrivalPhoto.shows)).one() == "Label and number"


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (b"not a picture", "This file is not a picture that can be read"),
        (made("BMP"), "This file is not a picture that can be read"),
        (drawn()[:400], "This file is not a picture that can be read"),
        (b"\xff\xd8\xff" + b"\0" * (LARGEST_BYTES - 2), "This file is too large"),
    ],
    ids=["words", "another kind", "cut off", "one byte over 25 MB"],
)
def test_a_refused_file_is_told_with_what_is_taken_and_every_text_is_kept(
    signed: Signed, book: Engine, content: bytes, says: str
) -> None:
    files: list[File] = [("photo-tail", ("tail.jpg", content, "image/jpeg"))]
    answer = signed("Wren").post("/intake/new", form(), files=files)
    assert answer.status_code == 422
    page = page_of(answer.text)
    (fix,) = page.xpath('//*[@id="photo-tail-fix"]')
    assert says in fix.text_content()
    assert "a JPEG, PNG, WebP or HEIC picture of at most 25 MB and 50 megapixels" in fix.text_content()
    assert sends(page, "name") == ["Rosalind Achterberg"]
    assert sends(page, "concerns")[0].strip() == FORM["concerns"]
    assert sends(page, "kind") == ["travel"]
    with reading(book) as session:
        assert session.exec(select(Owner)).first() is None


def test_one_refused_file_among_good_ones_keeps_none(signed: Signed, book: Engine) -> None:
    steps.take_in(book, act(), rosalind())
    files: list[File] = [
        ("photo-front", ("a.jpg", drawn(), "image/jpeg")),
        ("photo-curb", ("b.jpg", b"broken", "image/jpeg")),
    ]
    answer = signed("Toni").post("/intake/orders/1/photos", {}, files=files)
    assert answer.status_code == 422
    assert page_of(answer.text).xpath('//*[@id="photo-curb-fix"]')
    with reading(book) as session:
        assert session.exec(select(ArrivalPhoto)).first() is None


@pytest.mark.parametrize(("count", "status"), [(8, 303), (9, 422)])
def test_eight_photos_at_a_time_and_no_more(signed: Signed, book: Engine, count: int, status: int) -> None:
    steps.take_in(book, act(), rosalind())
    files: list[File] = [("photo-damage", ("a.png", made("PNG"), "image/png"))] * count
    answer = signed("Toni").post("/intake/orders/1/photos", {}, files=files)
    assert answer.status_code == status
    with reading(book) as session:
        assert len(session.exec(select(ArrivalPhoto)).all()) == (8 if status == 303 else 0)


@pytest.mark.parametrize(
    ("address", "status"),
    [
        ("/photos/1/print.jpg", 200),
        ("/photos/1/small.jpg", 200),
        ("/photos/1/large.jpg", 404),
        ("/photos/1/..%2fprint.jpg", 404),
        ("/photos/2/print.jpg", 404),
        ("/photos/-1/print.jpg", 404),
        (f"/photos/{2**63}/print.jpg", 404),
        ("/photos/x/print.jpg", 404),
    ],
)
def test_a_photo_is_had_by_its_number_and_size_only(
    signed: Signed, book: Engine, address: str, status: int
) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form(), files=[("photo-front", ("a.png", made("PNG"), "image/png"))])
    answer = wren.get(address)
    assert answer.status_code == status
    if status == 200:
        assert answer.headers["content-type"] == "image/jpeg"
        assert answer.headers["cache-control"] == "private, max-age=31536000, immutable"  # it never changes


def test_a_photo_is_for_those_who_work_here(signed: Signed, book: Engine) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form(), files=[("photo-front", ("a.png", made("PNG"), "image/png"))])
    wren.client.cookies.clear()
    assert wren.get("/photos/1/print.jpg").status_code == 303


# --- what the pages lead to and leave out --------------------------------------------------------


def test_the_page_of_an_owner_lists_the_units_with_their_newest_stay(signed: Signed, book: Engine) -> None:
    steps.take_in(book, act(), rosalind())
    page = page_of(signed("Wren").get("/intake/owners/1").text)
    links = {link.get("href") for link in page.xpath("//main//a")}
    assert "/orders/1" in links or "/intake/orders/1" in links
    assert "/intake/units/1" in links or "/intake/new?unit=1" in links


def test_a_bare_arrival_shows_gaps_as_gaps(signed: Signed, book: Engine) -> None:
    arrival = rosalind()
    assert arrival.unit is not None
    steps.take_in(book, act(), type(arrival)(StaySaid(), OwnerSaid("Ida Holm"), type(arrival.unit)("boat")))
    for path in ("/intake/orders/1", "/intake/units/1", "/intake/owners/1", "/orders/1"):
        page = page_of(signed("Wren").get(path).text)
        for brakes in page.xpath('//*[@id="brakes"]'):
            brakes.drop_tree()  # where None is a choice
        assert "None" not in page.text_content(), path
        assert "Ida Holm" in page.text_content()
        assert not page.xpath('//*[@value="None"]')


def test_a_technician_reads_the_stay_and_has_no_key_to_change_it(signed: Signed, book: Engine) -> None:
    steps.take_in(book, act(), rosalind())
    page = page_of(signed("Toni").get("/intake/orders/1").text)
    posts = {each.get("action") for each in page.xpath('//form[@method="post"]')}
    assert "/intake/orders/1/photos" in posts
    assert not page.xpath('//*[@name="concerns" or @name="promised_day"]')
