"""Intake as a browser meets it."""

import io
import re
from collections.abc import Callable
from datetime import timedelta
from pathlib import Path

import pikepdf
import pytest
from fastapi import FastAPI
from sqlalchemy import Engine
from sqlmodel import select

from app.ground.acting import now
from app.ground.book import reading
from app.ground.documents import of_work_order
from app.intake import fields, steps
from app.intake.tables import ArrivalPhoto, Concern, Owner, Unit, WorkOrder
from app.trade.typed import Texts
from tests.conftest import Browser, act
from tests.intake.arrivals import FORM, VIN, drawn, handed_over, rosalind

Signed = Callable[[str], Browser]
File = tuple[str, tuple[str, bytes, str]]
HIDDEN = re.compile(r'name="(unit_id|unit_revision|owner_id|owner_revision)" value="([^"]*)"')


def form(**changed: str) -> dict[str, str | list[str]]:
    """The whole intake form as a browser sends it, promised for ten days from now."""
    promised = (now() + timedelta(days=10)).date().isoformat()
    return {**FORM, "promised_day": promised, **changed}


def jpeg(field: str, ink: str = "black") -> File:
    """A drawn picture in a file field."""
    return (field, ("seen.jpg", drawn(ink=ink), "image/jpeg"))


def count(book: Engine, table: type[Owner] | type[Unit] | type[WorkOrder] | type[ArrivalPhoto]) -> int:
    with reading(book) as session:
        return len(session.exec(select(table)).all())


def test_an_arrival_is_kept_and_shown(signed: Signed, book: Engine) -> None:
    wren = signed("Wren")
    answer = wren.post("/intake/new", form(submission="one"))
    assert answer.status_code == 303
    assert answer.headers["location"] == "/intake/orders/1"
    with reading(book) as session:  # what was answered is on disk already
        assert session.get_one(WorkOrder, 1).number == 1
    page = wren.get("/intake/orders/1").text
    for shown in ("WO-000001", "Rosalind Achterberg", "It growls at the back when I tow slowly.", "Bay 2"):
        assert shown in page


def test_the_same_arrival_sent_twice_is_kept_once(signed: Signed, book: Engine) -> None:
    wren, once = signed("Wren"), form(submission="one")
    places = [wren.post("/intake/new", once).headers["location"] for _ in range(2)]
    assert places == ["/intake/orders/1"] * 2
    assert count(book, WorkOrder) == 1


def test_a_submission_key_with_other_content_is_refused(signed: Signed, book: Engine) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form(submission="one"))
    answer = wren.post("/intake/new", form(submission="one", name="Someone else", phone="555 555 0100"))
    assert answer.status_code == 422
    assert count(book, WorkOrder) == 1


def test_a_refused_form_keeps_all_that_was_typed_and_names_field_and_what_is_accepted(
    signed: Signed, book: Engine
) -> None:
    answer = signed("Wren").post("/intake/new", form(gvwr="0", torque_source="", concerns="It “clunks” <b>"))
    page = answer.text
    assert answer.status_code == 422
    assert count(book, Owner) == 0
    assert re.search(r'id="gvwr" name="gvwr" value="0"[^>]*aria-invalid="true"', page)
    assert 'aria-describedby="gvwr-hint gvwr-fix"' in page
    assert "0 cannot be" in page
    assert "Accepted: 100" in page
    assert '<a href="#torque_source">' in page
    assert "It “clunks” &lt;b&gt;</textarea>" in page
    for kept in ("Rosalind Achterberg", VIN, "ST205/75R14", "full-size pickup, 2016"):
        assert f'value="{kept}"' in page


def test_an_unlikely_figure_comes_back_with_a_key_that_keeps_it(signed: Signed, book: Engine) -> None:
    wren = signed("Wren")
    page = wren.post("/intake/new", form(torque_low="20")).text
    assert '<input type="checkbox" name="confirm-torque_low" value="20">' in page
    kept = form(torque_low="20", **{"confirm-torque_low": "20"})
    assert wren.post("/intake/new", kept).status_code == 303
    with reading(book) as session:
        assert session.get_one(Unit, 1).torque_low == "20"


def test_photos_of_a_refused_form_are_said_to_be_chosen_again(signed: Signed) -> None:
    wren = signed("Wren")
    assert (
        "Choose the photos again" in wren.post("/intake/new", form(kind=""), files=[jpeg("photo-front")]).text
    )
    assert "Choose the photos again" not in wren.post("/intake/new", form(kind="")).text


def test_photos_are_kept_with_the_arrival_and_shown(signed: Signed, book: Engine) -> None:
    wren = signed("Wren")
    files = [jpeg("photo-front"), jpeg("photo-damage", "navy"), jpeg("photo-damage", "green")]
    assert wren.post("/intake/new", form(), files=files).status_code == 303
    page = wren.get("/intake/orders/1").text
    assert page.count("/small.jpg") == 3
    assert "Front and coupler" in page
    picture = wren.get("/photos/1/small.jpg")
    assert picture.headers["content-type"] == "image/jpeg"


@pytest.mark.parametrize(
    ("files", "says"),
    [
        ([("photo-tail", ("seen.jpg", b"not a picture", "image/jpeg"))], "This file is not a picture"),
        ([jpeg("photo-damage")] * 9, "These are 9 photos"),
    ],
)
def test_a_photo_that_cannot_be_kept_is_told_beside_its_field(
    signed: Signed, book: Engine, files: list[File], says: str
) -> None:
    answer = signed("Wren").post("/intake/new", form(), files=files)
    assert answer.status_code == 422
    assert says in answer.text
    assert count(book, WorkOrder) == 0


def test_problems_of_photos_and_fields_are_told_together(signed: Signed) -> None:
    files = [("photo-tail", ("seen.jpg", b"not a picture", "image/jpeg"))]
    page = signed("Wren").post("/intake/new", form(kind=""), files=files).text
    assert 'href="#kind"' in page
    assert 'href="#photo-tail"' in page


def test_more_photos_can_be_added_by_a_technician(signed: Signed, book: Engine) -> None:
    steps.take_in(book, act(), rosalind())
    toni = signed("Toni")
    assert toni.post("/intake/orders/1/photos", {}, files=[jpeg("photo-tail")]).status_code == 303
    assert count(book, ArrivalPhoto) == 1
    none = toni.post("/intake/orders/1/photos", {})
    assert none.status_code == 422
    assert "No photo was chosen" in none.text


def test_a_returning_unit_is_found_and_its_form_is_filled(signed: Signed, book: Engine) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form())
    handed_over(book)
    found = wren.get("/intake?find=042788").text
    assert '<a class="key key-main" href="/intake/new?unit=1">' in found
    page = wren.get("/intake/new?unit=1").text
    assert "Unit 1 is back" in page
    for known in (
        "Rosalind Achterberg",
        VIN,
        "ST205/75R14",
        "wheel maker&#39;s sheet",
        "full-size pickup, 2016",
    ):
        assert f'value="{known}"' in page
    again = {**form(submission="two", concerns="It leaks."), **dict(HIDDEN.findall(page))}
    assert wren.post("/intake/new", again).headers["location"] == "/intake/orders/2"
    assert (count(book, Unit), count(book, Owner), count(book, WorkOrder)) == (1, 1, 2)


def test_a_returning_owner_brings_a_new_unit_without_being_typed_again(signed: Signed, book: Engine) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form())
    page = wren.get("/intake/new?owner=1").text
    assert "New unit of Rosalind Achterberg" in page
    assert VIN not in page
    new = {**form(vin="", kind="boat"), **dict(HIDDEN.findall(page))}
    assert wren.post("/intake/new", new).status_code == 303
    assert (count(book, Unit), count(book, Owner)) == (2, 1)


def test_a_sold_unit_comes_with_another_owner(signed: Signed, book: Engine) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form())
    handed_over(book)
    assert "Unit 1 comes with another owner" in wren.get("/intake?unit=1").text
    page = wren.get("/intake/new?unit=1&new_owner=yes&said=Ida+Holm").text
    assert 'value="Ida Holm"' in page
    assert "Rosalind" not in page
    sold = {**form(name="Ida Holm", phone="555 555 0177"), **dict(HIDDEN.findall(page))}
    assert wren.post("/intake/new", sold).status_code == 303
    with reading(book) as session:
        assert session.get_one(Owner, session.get_one(Unit, 1).owner_id).name == "Ida Holm"
        assert len(session.exec(select(Unit)).all()) == 1


def test_a_unit_that_never_left_is_asked_about_and_kept_where_a_second_order_is_meant(
    signed: Signed, book: Engine
) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form())
    page = wren.get("/intake/new?unit=1").text
    assert "It is here already" in page
    assert re.search(r'Unit 1 has been here since .* href="/intake/orders/1">WO-000001</a>', page)
    twice = {**form(submission="two", concerns="It leaks."), **dict(HIDDEN.findall(page))}
    answer = wren.post("/intake/new", twice)
    assert answer.status_code == 422
    assert "The unit has an open work order, WO-000001" in answer.text
    assert re.search(r'id="beside" name="beside" value="yes"', answer.text)
    assert ">It leaks.</textarea>" in answer.text
    assert count(book, WorkOrder) == 1
    meant = {**twice, "submission": "three", "beside": "yes"}
    assert wren.post("/intake/new", meant).headers["location"] == "/intake/orders/2"
    assert wren.post("/intake/new", meant).headers["location"] == "/intake/orders/2"
    assert count(book, WorkOrder) == 2


def test_a_unit_that_left_comes_back_unasked(signed: Signed, book: Engine) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form())
    handed_over(book)
    page = wren.get("/intake/new?unit=1").text
    assert "It is here already" not in page
    assert 'name="beside"' not in page


def test_a_new_unit_of_a_known_owner_is_not_asked_about(signed: Signed) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form())
    assert 'name="beside"' not in wren.get("/intake/new?owner=1").text


def test_a_second_owner_with_one_telephone_is_asked_about(signed: Signed, book: Engine) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form())
    answer = wren.post("/intake/new", form(name="R. Achterberg", vin=""))
    assert answer.status_code == 422
    assert "Rosalind Achterberg has this telephone" in answer.text
    kept = form(name="R. Achterberg", vin="", **{"confirm-phone": FORM["phone"]})
    assert wren.post("/intake/new", kept).status_code == 303
    assert count(book, Owner) == 2


def test_the_owner_found_by_telephone_is_taken_with_one_key_and_all_typed_stays(
    signed: Signed, book: Engine
) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form(email="rosalind@example.com"))
    second = form(name="R. Achterberg", vin="", email="", concerns="The ramp sticks.", maker="Otherworks")
    asked = wren.post("/intake/new", second)
    key = re.search(r'<button class="key" name="brings" value="(\d+)">([^<]+)<', asked.text)
    assert key
    assert key[2] == "Rosalind Achterberg, whom the book has, brings it"
    page = wren.post("/intake/new", {**second, "brings": key[1]})
    assert page.status_code == 200
    assert count(book, Owner) == count(book, Unit) == 1  # nothing is kept by that key
    assert "Rosalind Achterberg brings it" in page.text
    assert ">The ramp sticks.</textarea>" in page.text
    assert 'value="Otherworks"' in page.text
    assert 'name="email" type="text" value="rosalind@example.com"' in page.text  # nothing was typed there
    assert 'name="name" type="text" value="R. Achterberg"' in page.text
    assert 'name="theirs-name" value="Rosalind Achterberg"' in page.text
    assert "has this telephone" not in page.text
    chosen = {"take-name": "name", "theirs-name": "Rosalind Achterberg", "email": "rosalind@example.com"}
    taken = {**second, **chosen, **dict(HIDDEN.findall(page.text)), "submission": "three"}
    assert wren.post("/intake/new", taken).status_code == 303
    with reading(book) as session:
        assert [owner.name for owner in session.exec(select(Owner))] == ["Rosalind Achterberg"]
        assert [unit.owner_id for unit in session.exec(select(Unit))] == [1, 1]


def test_no_key_for_an_owner_stands_on_a_form_that_asks_about_something_else(signed: Signed) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form())
    answer = wren.post("/intake/new", form(name="", phone="555 0177 123", vin=""))
    assert answer.status_code == 422
    assert 'name="brings"' not in answer.text
    assert wren.post("/intake/new", form(brings="99")).status_code == 404


@pytest.mark.parametrize(
    ("typed", "put", "beside"),
    [
        ({"name": "", "phone": "", "preferred": "phone"}, {"name", "phone", "preferred"}, set()),
        ({"name": "R. A.", "phone": "(555) 555-0142"}, {"phone"}, {"name"}),
        ({"name": "Rosalind  Achterberg", "phone": "555 0177 12"}, {"name"}, {"phone"}),
        ({"preferred": "text"}, {"name"}, {"preferred"}),
    ],
)
def test_the_books_text_goes_where_nothing_else_was_typed(
    typed: dict[str, str], put: set[str], beside: set[str]
) -> None:
    row = Owner(created_at=now(), name="Rosalind Achterberg", phone="555 555 0142", preferred="email")
    into, other = fields.of_owner(Texts(typed), row)
    assert put <= into.keys()
    assert other.keys() == beside


def test_a_vin_that_another_unit_has_is_refused_beside_the_field(signed: Signed) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form())
    answer = wren.post("/intake/new", form(name="Ida Holm", phone="555 555 0177"))
    assert answer.status_code == 422
    assert "Unit 1 has this number already" in answer.text


def test_what_is_wrong_with_a_vin_is_told_beside_its_field_and_not_again_below(signed: Signed) -> None:
    page = signed("Wren").post("/intake/new", form(vin=f"{VIN[:8]}{'0' if VIN[8] != '0' else '1'}{VIN[9:]}"))
    assert page.status_code == 422
    assert page.text.count("check digit") >= 1
    assert page.text.count("Look again:") == 0
    assert 'id="vin-fix"' in page.text


def test_a_unit_saved_meanwhile_comes_back_with_both_versions(signed: Signed, book: Engine) -> None:
    wren, lee = signed("Wren"), signed("Lee")
    wren.post("/intake/new", form())
    handed_over(book)
    page = wren.get("/intake/new?unit=1").text
    lee.post("/intake/units/1", form(revision="1", maker="Someone's word"))
    late = {**form(submission="two", maker="Ashlode Works"), **dict(HIDDEN.findall(page))}
    answer = wren.post("/intake/new", late)
    assert answer.status_code == 409
    assert 'value="Ashlode Works"' in answer.text
    assert "In the book now: <b>Someone&#39;s word</b>" in answer.text
    assert count(book, WorkOrder) == 1
    decided = {**form(submission="three", maker="Ashlode Works"), **dict(HIDDEN.findall(answer.text))}
    assert wren.post("/intake/new", decided).status_code == 303
    with reading(book) as session:
        assert session.get_one(Unit, 1).maker == "Ashlode Works"


def test_a_refused_form_does_not_hide_that_somebody_saved_meanwhile(signed: Signed, book: Engine) -> None:
    wren, lee = signed("Wren"), signed("Lee")
    wren.post("/intake/new", form())
    handed_over(book)
    seen = dict(HIDDEN.findall(wren.get("/intake/new?unit=1").text))
    lee.post("/intake/units/1", form(revision="1", maker="Someone's word"))
    refused = wren.post("/intake/new", {**form(gvwr="0"), **seen})
    assert refused.status_code == 422
    corrected = {**form(maker="Mine"), **dict(HIDDEN.findall(refused.text))}
    assert wren.post("/intake/new", corrected).status_code == 409


@pytest.mark.parametrize("what", ["units", "owners", "orders"])
def test_putting_right_keeps_refuses_and_shows_both_versions(signed: Signed, what: str) -> None:
    changed = {"units": ("model", "22"), "owners": ("name", "R. Achterberg"), "orders": ("stands", "Bay 3")}
    wrong = {"units": ("gvwr", "0"), "owners": ("phone", "1"), "orders": ("keys", "x")}
    wren, lee = signed("Wren"), signed("Lee")
    wren.post("/intake/new", form())
    path, (field, text), (bad, value) = f"/intake/{what}/1", changed[what], wrong[what]
    refused = wren.post(path, form(revision="1", **{bad: value}))
    assert refused.status_code == 422
    assert re.search(rf'name="{bad}"[^>]* value="{value}"', refused.text)
    assert f'id="{bad}-fix"' in refused.text
    saved = wren.post(path, form(revision="1", concerns="", **{field: text}))
    assert saved.status_code == 303
    assert text in wren.get(path).text
    late = lee.post(path, form(revision="1", concerns=""))
    assert late.status_code == 409
    assert f"In the book now: <b>{text}</b>" in late.text
    assert 'name="revision" value="2"' in late.text


def test_a_concern_is_added_and_the_first_ones_stay(signed: Signed, book: Engine) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form())
    wren.post("/intake/orders/1", form(revision="1", concerns="And it leaks."))
    with reading(book) as session:
        words = list(session.exec(select(Concern.words)))
    assert words == [*FORM["concerns"].split("\n"), "And it leaks."]


def test_a_technician_puts_a_unit_right_from_its_label(signed: Signed, book: Engine) -> None:
    steps.take_in(book, act(), rosalind())
    assert signed("Toni").post("/intake/units/1", form(revision="1", gvwr="7000")).status_code == 303
    with reading(book) as session:
        assert session.get_one(Unit, 1).gvwr == "7000"


@pytest.mark.parametrize("path", ["/intake", "/intake/new", "/intake/owners/1"])
def test_a_technician_takes_nothing_in(signed: Signed, book: Engine, path: str) -> None:
    steps.take_in(book, act(), rosalind())
    assert signed("Toni").get(path).status_code == 403


@pytest.mark.parametrize("path", ["/intake/new", "/intake/owners/1", "/intake/orders/1"])
def test_a_technician_changes_no_owner_and_no_stay(signed: Signed, book: Engine, path: str) -> None:
    steps.take_in(book, act(), rosalind())
    assert signed("Toni").post(path, form(revision="1")).status_code == 403
    assert count(book, WorkOrder) == 1


@pytest.mark.parametrize("key", ["99", "0", "-1", "99999999999999999999", "x"])
def test_what_is_not_in_the_book_is_not_there(signed: Signed, key: str) -> None:
    wren = signed("Wren")
    for path in (f"/intake/units/{key}", f"/intake/owners/{key}", f"/intake/orders/{key}"):
        assert wren.get(path).status_code == 404
        assert wren.post(path, form()).status_code == 404
    assert wren.post(f"/intake/orders/{key}/slip", {}).status_code == 404
    assert wren.post(f"/intake/orders/{key}/tags", {}).status_code == 404
    assert wren.post(f"/intake/orders/{key}/photos", {}).status_code == 404
    if key not in ("0", "x"):
        assert wren.get(f"/intake/new?unit={key}").status_code == 404


def test_a_vin_is_decoded_while_it_is_typed(signed: Signed) -> None:
    part = signed("Wren").get(f"/intake/vin?vin={VIN}&vin_kind=standard&year=", part=True).text
    assert "1989 or 2019" in part  # K in position 10: 49 CFR 565.15(d), table VII
    assert "<html" not in part
    whole = signed("Wren").get("/intake/vin?vin=123").text
    assert "A VIN has 17 characters, this has 3" in whole
    assert "<html" in whole


def test_the_slip_prints_the_owners_words_and_reprints_as_it_was(
    app: FastAPI, signed: Signed, book: Engine
) -> None:
    wren = signed("Wren")
    wren.post("/intake/new", form(), files=[jpeg("photo-front")])
    try:
        answer = wren.post("/intake/orders/1/slip", {"submission": "print"})
        again = wren.post("/intake/orders/1/slip", {"submission": "print"})
        tags = wren.post("/intake/orders/1/tags", {"submission": "tags"})
    finally:
        app.state.press.close()
    assert answer.headers["location"] == again.headers["location"] == "/papers/1.pdf"
    assert tags.headers["location"] == "/papers/2.pdf"
    paper = wren.get("/papers/1.pdf").content
    with pikepdf.open(io.BytesIO(paper)) as pdf:
        assert len(pdf.pages) == 2  # the slip, and its photos
        assert "Check-in WO-000001, unit 1" in str(pdf.docinfo["/Title"])
    with reading(book) as session:
        kinds = [(it.kind, it.number, it.issue) for it in of_work_order(session, 1)]
    assert kinds == [("tags", "WO-000001", 1), ("intake", "WO-000001", 1)]


def test_the_find_page_says_what_it_did_not_find_and_takes_it_along(signed: Signed) -> None:
    page = signed("Wren").get("/intake?find=Ida+<Holm>").text
    assert "Nothing in the book for “Ida &lt;Holm&gt;”" in page
    assert "/intake/new?said=Ida%20%3CHolm%3E" in page


def test_pages_hold_no_inline_script_or_style() -> None:
    for page in Path("templates/intake").glob("*.html"):
        assert not re.search(r"\sstyle=|\son[a-z]+=|<script|\|\s*safe|type=\"number\"", page.read_text()), (
            page
        )
