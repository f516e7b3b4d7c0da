"""Finding what the book has, as people ask for it at the desk and on the phone."""

import shutil
from collections.abc import Callable, Iterator
from datetime import timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Engine

from app.ground.book import open_book, reading
from app.intake import search, steps
from app.intake.arrival import Arrival, Kind, Known, NumberKind, OwnerSaid, StaySaid, UnitSaid
from app.intake.facts import unit_of
from app.intake.search import MOST, Found, folded
from tests.conftest import NOON, Browser, act
from tests.intake.arrivals import handed_over

PEOPLE = (
    "Zoë Ångström",
    "José Núñez",
    "Łukasz Żak",
    "Bjørn Straße",
    "İnci Çağlar",
    "O'Neill & Sons",
    "李 明",
)


def bring(book: Engine, name: str, phone: str = "555 555 0100", **unit: str) -> int:
    """A new owner with a new cargo trailer; the work order's key."""
    arrival = Arrival(StaySaid(), OwnerSaid(name, phone), UnitSaid(Kind.CARGO, **unit))  # type: ignore[arg-type]
    return steps.take_in(book, act(), arrival)


def find(book: Engine, text: str) -> Found:
    with reading(book) as session:
        return search.find(session, text)


def units(book: Engine, text: str) -> list[int]:
    return [it.number for it in find(book, text).units]


def owners(book: Engine, text: str) -> list[str]:
    return [it.name for it in find(book, text).owners]


@pytest.mark.parametrize(
    ("typed", "name"),
    [
        ("zoe", "Zoë Ångström"),
        ("ANGSTROM", "Zoë Ångström"),
        ("Ångström", "Zoë Ångström"),
        ("A\u030angstro\u0308m", "Zoë Ångström"),  # the same letters in two parts: Unicode UAX 15
        ("nunez jose", "José Núñez"),
        ("strasse", "Bjørn Straße"),  # ß is ss where case does not count: Unicode CaseFolding.txt
        ("zak", "Łukasz Żak"),
        ("lukasz", "Łukasz Żak"),  # letters with a stroke fall into no two parts, yet are typed without it
        ("bjorn", "Bjørn Straße"),
        ("caglar", "İnci Çağlar"),
        ("inci", "İnci Çağlar"),
        ("o'neill", "O'Neill & Sons"),
        ("明", "李 明"),
        ("& sons", "O'Neill & Sons"),
    ],
)
def test_a_name_is_found_without_its_accents_and_capitals(book: Engine, typed: str, name: str) -> None:
    for each in PEOPLE:
        bring(book, each)
    assert owners(book, typed) == [name]


@given(st.text(max_size=40))
def test_folding_a_folded_text_changes_nothing_and_forgets_case(text: str) -> None:
    # Unicode 3.13, D145: caseless matching folds both sides
    assert folded(folded(text)) == folded(text)
    assert folded(text.casefold()) == folded(text)


@pytest.mark.parametrize(
    ("typed", "found"),
    [
        ("0142", True),
        ("5550142", True),
        ("555-0142", True),
        ("(555) 555-0142", True),
        ("+1 555 555 0142", True),
        ("555.555.0142", True),
        ("142", False),  # three digits would name half the book
        ("0143", False),
        ("0142 555", False),  # digits in another order are another number
        ("call 0142", False),  # words make it a name
    ],
)
def test_a_telephone_number_is_found_by_four_digits_in_a_row(book: Engine, typed: str, found: bool) -> None:
    bring(book, "Ida Holm", "+1 (555) 555-0142")
    assert owners(book, typed) == (["Ida Holm"] if found else [])


def test_two_telephones_of_an_owner_are_never_read_as_one(book: Engine) -> None:
    owner = OwnerSaid("Ida Holm", phone="555 555 0142", phone_2="777 555 0199")
    steps.take_in(book, act(), Arrival(StaySaid(), owner, UnitSaid(Kind.BOAT)))
    assert owners(book, "0142") == owners(book, "7775550199") == ["Ida Holm"]
    assert owners(book, "0142777") == []  # the end of the one and the beginning of the other


VIN = "1G4AH59H45G118341"  # the worked example of 49 CFR 565.15(c)


@pytest.mark.parametrize("length", range(1, 18))
def test_the_end_of_a_vin_is_found_from_four_signs_on(book: Engine, length: int) -> None:
    bring(book, "Ida Holm", vin=VIN, vin_kind=NumberKind.STANDARD)
    assert units(book, VIN[-length:].lower()) == ([1] if length >= 4 or VIN[-length:] == "1" else [])


def test_the_beginning_of_a_vin_finds_nothing(book: Engine) -> None:
    bring(book, "Ida Holm", vin=VIN, vin_kind=NumberKind.STANDARD)
    assert units(book, VIN[:8]) == units(book, VIN[:-1]) == []


@pytest.mark.parametrize("typed", ["KLT 4417", "klt4417", "KLT-4417", "k.l.t/4417", "4417", "LT44"])
def test_a_plate_is_found_however_it_is_spaced(book: Engine, typed: str) -> None:
    bring(book, "Ida Holm", plate="KLT 4417")
    bring(book, "Pat Oyelaran", plate="UTL 905")
    assert units(book, typed) == [1]


def test_a_short_plate_is_found_whole_only(book: Engine) -> None:
    bring(book, "Ida Holm", plate="A 1")
    bring(book, "Pat Oyelaran", plate="BA 17")
    assert units(book, "a1") == [1]


@pytest.mark.parametrize("typed", ["WO-000002", "wo2", "WO-2", "wo-0002", " WO-000002 "])
def test_a_work_orders_number_finds_its_unit(book: Engine, typed: str) -> None:
    bring(book, "Ida Holm")
    bring(book, "Pat Oyelaran")
    assert units(book, typed) == [2]


def test_a_unit_number_stands_for_the_unit_and_not_for_its_work_order(book: Engine) -> None:
    first = bring(book, "Ida Holm")
    with reading(book) as session:
        (unit,) = search.find(session, "1").units
    handed_over(book, first)
    back = Arrival(StaySaid(), known_unit=Known(unit.unit_id, unit_revision(book, first)))
    steps.take_in(book, act(at=NOON + timedelta(days=9)), back)  # WO-000002 of unit 1
    bring(book, "Pat Oyelaran")  # unit 2, WO-000003
    assert units(book, "2") == [2]
    assert units(book, "WO-000002") == [1]
    found = find(book, "1").units[0]
    assert (found.order_id, found.came_at) == (2, NOON + timedelta(days=9))  # its newest stay


def unit_revision(book: Engine, order_id: int) -> int:
    with reading(book) as session:
        return unit_of(session, order_id).revision


@pytest.mark.parametrize(
    "typed", ["%", "_", "%%%%", "____", "0_42", "KLT%", "\\", "'; DROP TABLE unit; --", '"']
)
def test_no_sign_is_a_wild_card_or_a_command(book: Engine, typed: str) -> None:
    bring(book, "Ida Holm", "555 555 0142", plate="KLT 4417", vin=VIN, vin_kind=NumberKind.STANDARD)
    assert not find(book, typed)
    assert units(book, "1") == [1]


@given(text=st.text(max_size=120))
def test_no_text_breaks_the_search(searched: Engine, text: str) -> None:
    found = find(searched, text)
    assert len(found.units) <= MOST and len(found.owners) <= MOST
    assert bool(found) is bool(found.units or found.owners)


@pytest.fixture(scope="module")
def searched(furnished: object, tmp_path_factory: pytest.TempPathFactory) -> Iterator[Engine]:
    """A book of its own with an owner of every name."""
    path = tmp_path_factory.mktemp("searched") / "castlenut.db"
    shutil.copy(str(furnished), path)
    engine = open_book(path)
    for number, each in enumerate(PEOPLE):
        bring(engine, each, f"555 555 01{number:02}", plate=f"P {number}")
    yield engine
    engine.dispose()


@pytest.mark.parametrize("count", [MOST - 1, MOST, MOST + 1])
def test_at_most_twenty_of_each_are_shown_the_newest_first(book: Engine, count: int) -> None:
    for number in range(count):
        bring(book, f"Holm {number}", f"555 555 {number:04}")
    found = find(book, "holm")
    shown = [f"Holm {number}" for number in reversed(range(count))][:MOST]
    assert [it.name for it in found.owners] == shown
    assert [it.owner for it in found.units] == shown


def test_an_owner_of_many_units_names_all_of_them_and_shows_the_newest_twenty(book: Engine) -> None:
    bring(book, "Hollin Nursery")
    with reading(book) as session:
        owner_id = search.find(session, "hollin").owners[0].owner_id
    for _ in range(MOST + 2):
        new = Arrival(StaySaid(), unit=UnitSaid(Kind.CARGO), known_owner=Known(owner_id, 1))
        steps.take_in(book, act(), new)
    with reading(book) as session:
        found = search.find(session, "hollin")
        assert [it.number for it in search.units_of(session, owner_id)] == list(range(23, 3, -1))
    assert found.owners[0].units == tuple(range(1, 24))
    assert len(found.units) == MOST


def test_the_find_page_shows_what_was_found_and_leads_on(
    book: Engine, signed: Callable[[str], Browser]
) -> None:
    bring(book, "Zoë <Ångström>", plate="KLT 4417")
    page = signed("Wren").get("/intake?find=angstrom").text
    assert "Zoë &lt;Ångström&gt;" in page
    assert "KLT 4417" in page
    assert 'href="/intake/new?unit=1"' in page
    assert 'href="/intake/new?owner=1"' in page


@pytest.mark.parametrize("key", ["0", "99", str(2**63), "-1"])
def test_a_sold_unit_that_is_not_there_is_left_out(signed: Callable[[str], Browser], key: str) -> None:
    answer = signed("Wren").get(f"/intake?unit={key}")
    assert answer.status_code == 200
    assert "comes with another owner" not in answer.text
