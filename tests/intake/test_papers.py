"""The slip and the tags say what the book holds: their text, read back, against the rows."""

import io
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from pypdf import PdfReader
from sqlalchemy import Engine

from app.ground import files
from app.ground.book import reading
from app.ground.codes import square
from app.ground.papers import Paper, Printer, page_of
from app.ground.photos import read_photo
from app.ground.press import Press
from app.ground.series import order_number
from app.ground.settings import Settings
from app.ground.shop import shop_of
from app.ground.tables import Document
from app.ground.words import moment
from app.intake import facts, steps
from app.intake.arrival import Arrival, Kind, OwnerSaid, StaySaid, UnitSaid
from app.intake.screens import slip_paper, tags_paper
from app.intake.steps import Album, Shot
from app.trade.days import day
from tests.conftest import NOON, act
from tests.intake.arrivals import VIN, drawn, rosalind

ZONE = "America/New_York"


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    made = Press()
    yield made
    made.close()


@pytest.fixture
def printer(book: Engine, settings: Settings, press: Press) -> Printer:
    return Printer(book, press, settings.files)


def full() -> Arrival:
    """Everything said that a slip can print."""
    first = rosalind()
    assert first.owner is not None and first.unit is not None and first.tow is not None
    return replace(
        first,
        owner=replace(first.owner, email="rosalind@achterberg.example", phone_2="555 555 0177"),
        unit=replace(first.unit, ball_size="2 5/16 in", length_ft="21"),
        tow=replace(first.tow, plate="HRB 2210"),
        stay=StaySaid(
            ("It growls at the back when I tow slowly.", 'Says “clunk” & <creaks>, 1.5" play?'),
            keys=2,
            came_with_spare=True,
            came_with_cylinders=2,
            came_with="title, bill of sale, spring bars and the hitch head without its manual",
            condition="Dent at the curb side rear corner",
            stands="Bay 2",
            promised_at=NOON + timedelta(days=10),
        ),
    )


def slip(book: Engine, order_id: int) -> facts.Slip:
    with reading(book) as session:
        return facts.slip_of(session, order_id)


def pages(printer: Printer, paper: Paper) -> list[str]:
    """The text of each page of a paper, blanks made even."""
    key = printer.issue(act(2), paper)
    with reading(printer.book) as session:
        kept = session.get_one(Document, key)
    pdf = PdfReader(io.BytesIO(files.read(printer.folder, kept.sha256)))
    return [re.sub(r"\s+", " ", page.extract_text()) for page in pdf.pages]


def test_the_slip_says_each_fact_of_the_arrival_as_the_rows_hold_it(book: Engine, printer: Printer) -> None:
    order_id = steps.take_in(book, act(2), full())
    text = " ".join(pages(printer, slip_paper(slip(book, order_id))))
    with reading(book) as session:
        unit, owner = facts.unit_of(session, order_id), facts.owner_of(session, order_id)
        tow = facts.tow_vehicle_of(session, order_id)
        order, shop = facts.order_head(session, order_id), shop_of(session)
        concerns = facts.concerns_of(session, order_id)
    assert tow is not None
    for said in (
        *concerns,
        shop.name,
        order_number(1),
        unit.vin,
        f"{unit.year} {unit.maker} {unit.model}",
        unit.ball_size,
        unit.plate,
        owner.name,
        owner.phone,
        owner.phone_2,
        owner.email,
        tow.what,
        tow.plate,
        "title, bill of sale, spring bars and the hitch head without its manual",
        "Dent at the curb side rear corner",
        order.stands,
        moment(order.promised_at, ZONE),
        "14 May 2026, 12:00",  # 16:00 UTC where the shop is four hours behind
        "Wren",  # who took it in
        "Full walk-round",
    ):
        assert said in text, said


def test_what_was_not_said_stands_on_the_slip_as_not_said(book: Engine, printer: Printer) -> None:
    bare = Arrival(StaySaid(), OwnerSaid("Ida Holm", "555 555 0177"), UnitSaid(Kind.UTILITY))
    order_id = steps.take_in(book, act(2), bare)
    (text,) = pages(printer, slip_paper(slip(book, order_id)))
    assert "Nothing was told." in text
    for label, said in slip(book, order_id).came:
        assert f"{label} {said}" in text, label
    for nothing in ("not said", "none seen", "not with it", "nothing noted", "not yet"):
        assert nothing in text
    assert "None" not in text and "0 keys" not in text


def test_the_owner_is_told_that_nothing_is_repaired_without_a_written_price(
    book: Engine, printer: Printer
) -> None:
    # state repair acts ask for a written estimate and the owner's word first: common practice
    order_id = steps.take_in(book, act(2), full())
    text = " ".join(pages(printer, slip_paper(slip(book, order_id))))
    assert "Nothing is repaired before you have said yes to a written price." in text
    assert "Keep my old parts" in text
    assert "You may tow it on the road to test it, up to" in text


@pytest.mark.parametrize("shots", [0, 1, 7, 8])
def test_each_photo_of_the_arrival_is_printed_with_what_it_shows_and_when(
    book: Engine, printer: Printer, settings: Settings, shots: int
) -> None:
    inks = ("black", "navy", "green", "maroon", "purple", "olive", "teal", "gray")[:shots]
    album = Album(settings.files, tuple(Shot(read_photo(drawn(320, 240, ink)), f"in {ink}") for ink in inks))
    order_id = steps.take_in(book, act(2), full(), album)
    _, *later = pages(printer, slip_paper(slip(book, order_id)))  # photos begin a page of their own
    for nth, ink in enumerate(inks, 1):
        assert f"{nth} In {ink}, 4 May 2026, 12:00" in " ".join(later)
    assert len(later) == bool(shots)  # none left over stands on a page by itself
    assert ("Photos when it came" in " ".join(later)) is bool(shots)


def test_the_tags_carry_number_trailer_owner_place_and_keys(book: Engine, printer: Printer) -> None:
    order_id = steps.take_in(book, act(2), full())
    it = slip(book, order_id)
    (text,) = pages(printer, tags_paper(it, "http://shop.test"))
    with reading(book) as session:
        unit, shop = facts.unit_of(session, order_id), shop_of(session)
    for said in (
        f"Tags, unit {unit.number}",
        it.head.what,
        it.head.whose,
        f"VIN {VIN}",
        f"In {day(NOON.date())}, {order_number(1)}",
        "Bay 2. Keys on hook",
        "Keys: 2. WO-000001",
        f"Only we take this off: {shop.phone}",
        "Do not tow",
        "Do not light, do not open",
    ):
        assert said in text, said
    assert text.count("Only we take this off") == 2
    assert tags_paper(it, "http://shop.test").facts["code"] == square(f"http://shop.test/orders/{order_id}")
    assert tags_paper(it, "").facts["code"] is None


def test_a_unit_without_a_number_has_its_make_on_the_tag(book: Engine, printer: Printer) -> None:
    unit = UnitSaid(Kind.UTILITY, maker="Home-built", year=1998)
    order_id = steps.take_in(book, act(2), Arrival(StaySaid(), OwnerSaid("Pat Oyelaran"), unit))
    (text,) = pages(printer, tags_paper(slip(book, order_id), ""))
    assert "VIN" not in text
    assert text.count("1998 Home-built") == 1  # beside the owner; the line for the VIN does not say it again
    assert "Keys: none." in text


def test_a_paper_printed_after_a_correction_is_a_new_issue_and_the_old_one_stays(
    book: Engine, printer: Printer
) -> None:
    order_id = steps.take_in(book, act(2), full())
    first = pages(printer, slip_paper(slip(book, order_id)))
    steps.save_stay(book, act(seen=1), order_id, replace(full().stay, stands="Row C 9", concerns=()))
    second = pages(printer, slip_paper(slip(book, order_id)))
    assert "Bay 2" in " ".join(first) and "Row C 9" in " ".join(second)
    with reading(book) as session:
        one, two = (session.get_one(Document, key) for key in (1, 2))
    assert (one.issue, two.issue, two.replaces_id) == (1, 2, one.key)
    old = PdfReader(io.BytesIO(files.read(printer.folder, one.sha256)))
    assert "Bay 2" in " ".join(page.extract_text() for page in old.pages)


def test_a_very_long_name_and_all_concerns_stay_on_the_slip(book: Engine, printer: Printer) -> None:
    owner = OwnerSaid("Wilhelmina " * 7, "555 555 0177")
    concerns = tuple(f"{n}: " + "It leaks where the roof meets the wall. " * 4 for n in range(12))
    order_id = steps.take_in(book, act(2), replace(full(), owner=owner, stay=StaySaid(concerns)))
    text = " ".join(pages(printer, slip_paper(slip(book, order_id))))
    assert text.count("It leaks where the roof meets the wall.") == 48
    assert all(f"concern {n}" in text for n in range(1, 13))
    assert "Wilhelmina Wilhelmina" in text


@pytest.mark.parametrize("axles", [1, 2, 3, 4])
def test_the_plan_draws_as_many_axles_as_the_unit_has(book: Engine, axles: int) -> None:
    unit = UnitSaid(Kind.CARGO, axles=axles)
    order_id = steps.take_in(book, act(), Arrival(StaySaid(), OwnerSaid("Ida Holm"), unit))
    with reading(book) as session:
        html, size = page_of(session, slip_paper(facts.slip_of(session, order_id)), act(), 1)
    assert html.count('width="26" height="6"') == 2 * axles  # one wheel each side
    assert size == "letter"


def test_no_text_of_an_owner_becomes_a_tag_of_the_page(book: Engine) -> None:
    evil = "<img src='file:///etc/passwd'><script>x</script>"
    stay = StaySaid((evil,), condition=evil, came_with=evil, stands=evil)
    unit = UnitSaid(Kind.CARGO, maker=evil, plate=evil)
    order_id = steps.take_in(book, act(), Arrival(stay, OwnerSaid(evil), unit))
    for paper in (slip_paper(slip(book, order_id)), tags_paper(slip(book, order_id), "http://shop.test/")):
        with reading(book) as session:
            html, _ = page_of(session, paper, act(), 1)
        assert "<script>" not in html and "<img src='file" not in html
        assert "&lt;script&gt;" in html


def test_the_photos_of_a_paper_are_those_of_its_own_order(
    book: Engine, settings: Settings, tmp_path: Path
) -> None:
    album = Album(settings.files, (Shot(read_photo(drawn(64, 48)), "Tail"),))
    one = steps.take_in(book, act(), full(), album)
    other = steps.take_in(book, act(), replace(full(), unit=UnitSaid(Kind.BOAT)))
    assert set(slip_paper(slip(book, one)).photos) == {"photo-1"}
    assert slip_paper(slip(book, other)).photos == {}
