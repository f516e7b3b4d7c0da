"""What intake knows: the tag, the owner's words, the slip, and finding what the book has."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import NoResultFound

from app.ground.book import reading
from app.ground.forms import Sent, differing
from app.ground.photos import read_photo
from app.intake import facts, fields, search, steps
from app.intake.arrival import Arrival, Kind, Known, NumberKind, OwnerSaid, StaySaid, UnitSaid
from app.intake.search import Found
from app.intake.steps import Album, Shot
from app.intake.tables import Owner, WorkOrder
from tests.conftest import NOON, act
from tests.intake.arrivals import VIN, drawn, rosalind


def test_the_tag_says_unit_owner_place_and_since_when(book: Engine) -> None:
    arrival = rosalind()
    order_id = steps.take_in(book, act(), replace(arrival, stay=StaySaid(stands="Bay 2")))
    with reading(book) as session:
        head = facts.order_head(session, order_id)
    assert (head.number, head.order_number, head.what) == (1, "WO-000001", "Travel trailer, two axles")
    assert (head.whose, head.stands, head.since) == (
        "2019 Ashlode 21, Rosalind Achterberg",
        "Bay 2",
        "since 4 May 2026",
    )
    assert head.lines == [f"VIN {VIN}"]


def test_unit_owner_tow_vehicle_and_words_of_a_stay_are_read(book: Engine) -> None:
    order_id = steps.take_in(book, act(), rosalind())
    with reading(book) as session:
        assert facts.unit_of(session, order_id).vin == VIN
        assert facts.owner_of(session, order_id).name == "Rosalind Achterberg"
        tow = facts.tow_vehicle_of(session, order_id)
        assert tow is not None
        assert tow.what == "full-size pickup, 2016"
        assert facts.concerns_of(session, order_id) == list(rosalind().stay.concerns)
        assert facts.arrival_photos(session, order_id) == []
        with pytest.raises(NoResultFound):
            facts.unit_of(session, 99)


def test_photos_come_in_the_order_in_which_they_were_kept(book: Engine, tmp_path: Path) -> None:
    shots = tuple(Shot(read_photo(drawn(ink=ink)), ink) for ink in ("black", "navy", "green"))
    order_id = steps.take_in(book, act(), rosalind(), Album(tmp_path, shots))
    with reading(book) as session:
        assert [it.shows for it in facts.arrival_photos(session, order_id)] == ["black", "navy", "green"]


def test_the_slip_says_what_came_with_it_and_what_was_not_said(book: Engine) -> None:
    bare = Arrival(StaySaid(), owner=OwnerSaid("Ida Holm", "555 555 0177"), unit=UnitSaid(Kind.UTILITY))
    order_id = steps.take_in(book, act(person=2), bare)
    with reading(book) as session:
        slip = facts.slip_of(session, order_id)
    came = dict(slip.came)
    assert (came["Towed by"], came["Keys"], came["Spare"]) == ("not said", "none", "not with it")
    assert (came["Promised"], slip.concerns, slip.taken_in_by) == ("not yet", (), "Wren")
    assert slip.depth == "Full walk-round"


@pytest.fixture
def several(book: Engine) -> Engine:
    """A book with a few owners and units: 1 Rosalind's, 2 Zoë's home-made, 3 Zoë's boat trailer."""
    steps.take_in(book, act(), rosalind())
    zoe = OwnerSaid("Zoë Ångström", phone="+1 (555) 555-0199", phone_2="555 555 0123")
    own = UnitSaid(Kind.UTILITY, vin="MI 55-20417", vin_kind=NumberKind.ASSIGNED, plate="AB-12 C")
    order_id = steps.take_in(book, act(), Arrival(StaySaid(), owner=zoe, unit=own))
    with reading(book) as session:
        zoe_id = facts.owner_of(session, order_id).key
    boat = Arrival(StaySaid(), unit=UnitSaid(Kind.BOAT), known_owner=Known(zoe_id, 1))
    steps.take_in(book, act(at=NOON + timedelta(days=1)), boat)
    return book


@pytest.mark.parametrize(
    ("text", "units", "owners"),
    [
        ("2", [2], []),  # unit number
        ("WO-000001", [1], []),
        ("rosa", [1], ["Rosalind Achterberg"]),
        ("ACHTERBERG rosalind", [1], ["Rosalind Achterberg"]),  # any order
        ("zoe angstrom", [3, 2], ["Zoë Ångström"]),  # without accents
        ("555-0142", [1], ["Rosalind Achterberg"]),
        ("5550199", [3, 2], ["Zoë Ångström"]),
        ("0123", [3, 2], ["Zoë Ångström"]),  # the second telephone
        ("042788", [1], []),  # end of the VIN
        (VIN.lower(), [1], []),
        ("20417", [2], []),  # end of a home-made number
        ("ab12c", [2], []),  # plate, typed otherwise
        ("TR 40 17", [1], []),
        ("nobody", [], []),
        ("", [], []),
        ("   ", [], []),
        ("%", [], []),  # no wild cards
        ("____", [], []),
        ("99999999999999999999", [], []),
    ],
)
def test_a_unit_or_owner_is_found(several: Engine, text: str, units: list[int], owners: list[str]) -> None:
    with reading(several) as session:
        found = search.find(session, text)
    assert [it.number for it in found.units] == units
    assert [it.name for it in found.owners] == owners
    assert bool(found) is bool(units or owners)


def test_what_is_found_says_its_newest_stay_and_its_units(several: Engine) -> None:
    with reading(several) as session:
        found = search.find(session, "Ångström")
    boat = found.units[0]
    assert (boat.number, boat.what, boat.came_at) == (3, "Boat trailer, one axle", NOON + timedelta(days=1))
    assert boat.order_id == 3
    assert found.owners[0].units == (2, 3)
    assert not Found()


def test_a_search_stays_short_in_a_full_book(book: Engine) -> None:
    for n in range(25):
        owner = OwnerSaid(f"Holm {n}", phone=f"555 555 01{n:02}")
        steps.take_in(book, act(), Arrival(StaySaid(), owner=owner, unit=UnitSaid(Kind.CARGO)))
    with reading(book) as session:
        found = search.find(session, "holm")
    assert (len(found.units), len(found.owners)) == (20, 20)
    assert found.units[0].number == 25  # the newest first


def test_an_owner_is_known_by_the_whole_telephone_number_only(several: Engine) -> None:
    with reading(several) as session:
        found = facts.owner_with_phone(session, "555 555 0142")
        assert found is not None
        assert found.name == "Rosalind Achterberg"
        assert facts.owner_with_phone(session, "5550142") is None
        assert facts.owner_with_phone(session, "") is None
        assert facts.owner_with_phone(session, "555 555 0142", but=found.key) is None


def test_what_is_kept_fills_the_form_again_unchanged(book: Engine) -> None:
    first = rosalind()
    order_id = steps.take_in(book, act(), first)
    with reading(book) as session:
        unit, order = facts.unit_of(session, order_id), session.get_one(WorkOrder, order_id)
        owner = session.get_one(Owner, order.owner_id)
    texts = fields.owner_texts(owner) | fields.unit_texts(unit)
    assert (texts["name"], texts["vin"], texts["gawr-2"], texts["spare"]) == (
        "Rosalind Achterberg",
        VIN,
        "3500",
        "yes",
    )
    assert differing(Sent(list(texts.items())), texts) == {}
    assert differing(Sent(list({**texts, "maker": "Other"}.items())), texts) == {"maker": "Ashlode"}


def test_the_promised_hour_is_shown_by_the_shops_clock(book: Engine) -> None:
    stay = StaySaid(promised_at=NOON + timedelta(days=4))  # 16:00 UTC is noon in New York in May
    order_id = steps.take_in(book, act(), replace(rosalind(), stay=stay))
    with reading(book) as session:
        texts = fields.stay_texts(session.get_one(WorkOrder, order_id), "America/New_York")
        promised = dict(facts.slip_of(session, order_id).came)["Promised"]
    assert (texts["promised_day"], texts["promised_hour"]) == ("2026-05-08", "12:00")
    assert promised == "8 May 2026, 12:00"
