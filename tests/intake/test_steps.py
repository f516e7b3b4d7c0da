"""Taking a unit in: one act keeps everything, once; what is known is not typed again."""

import threading
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import IntegrityError, NoResultFound
from sqlmodel import col, select

from app.ground.book import reading, writing
from app.ground.files import whole
from app.ground.photos import read_photo
from app.ground.receipts import Stale, broken
from app.ground.tables import Photo, Receipt
from app.intake import steps
from app.intake.arrival import Arrival, Kind, Known, NumberKind, OwnerSaid, StaySaid, TowSaid, UnitSaid
from app.intake.steps import Album, Shot
from app.intake.tables import ArrivalPhoto, Concern, Owner, TowVehicle, Unit, WorkOrder
from app.trade.problems import Refused
from tests.conftest import NOON, act
from tests.intake.arrivals import VIN, drawn, handed_over, rosalind


def counts(book: Engine) -> tuple[int, int, int, int]:
    """How many owners, units, work orders and concerns the book holds."""
    with reading(book) as session:
        tables: tuple[type[Owner] | type[Unit] | type[WorkOrder] | type[Concern], ...]
        tables = (Owner, Unit, WorkOrder, Concern)
        a, b, c, d = (len(session.exec(select(table)).all()) for table in tables)
        return a, b, c, d


def test_one_act_keeps_owner_unit_tow_vehicle_order_and_concerns(book: Engine) -> None:
    order_id = steps.take_in(book, act(person=2), rosalind())
    with reading(book) as session:
        order = session.get_one(WorkOrder, order_id)
        unit = session.get_one(Unit, order.unit_id)
        owner = session.get_one(Owner, order.owner_id)
        tow = session.get_one(TowVehicle, order.tow_vehicle_id)
        words = session.exec(select(Concern.words).where(Concern.work_order_id == order_id)).all()
    assert (owner.name, owner.phone, owner.phone_digits) == (
        "Rosalind Achterberg",
        "(555) 555-0142",
        "5555550142",
    )
    assert (unit.owner_id, unit.vin, unit.gawr, unit.number) == (owner.key, VIN, ["3500", "3500"], 1)
    assert (tow.what, tow.owner_id) == ("full-size pickup, 2016", owner.key)
    assert (order.number, order.arrived_at, order.taken_in_by, order.keys) == (1, NOON, 2, 2)
    assert list(words) == ["It growls at the back when I tow slowly.", "The tires are old."]


def test_one_receipt_remembers_the_whole_act(book: Engine) -> None:
    steps.take_in(book, act(person=2), rosalind())
    with reading(book) as session:
        last = session.exec(select(Receipt).order_by(col(Receipt.id).desc())).first()
        assert last is not None
        assert (last.act, last.subject, last.person_id) == ("take in unit", "workorder", 2)
        for stood in (VIN, "Rosalind Achterberg", "full-size pickup, 2016", "It growls at the back"):
            assert stood in last.stood
        assert not list(broken(session))


def test_the_same_act_again_changes_nothing(book: Engine) -> None:
    once = act()
    assert steps.take_in(book, once, rosalind()) == steps.take_in(book, once, rosalind())
    assert counts(book) == (1, 1, 1, 2)


def test_eight_taps_at_once_make_one_arrival(book: Engine) -> None:
    once, made = act(), set[int]()
    tap = threading.Thread
    taps = [tap(target=lambda: made.add(steps.take_in(book, once, rosalind()))) for _ in range(8)]
    for each in taps:
        each.start()
    for each in taps:
        each.join()
    assert len(made) == 1
    assert counts(book) == (1, 1, 1, 2)


def test_numbers_of_units_and_work_orders_go_on_by_one(book: Engine) -> None:
    steps.take_in(book, act(), rosalind())
    other = replace(rosalind(), unit=UnitSaid(Kind.UTILITY))
    order_id = steps.take_in(book, act(), other)
    with reading(book) as session:
        order = session.get_one(WorkOrder, order_id)
        assert (order.number, session.get_one(Unit, order.unit_id).number) == (2, 2)


def test_a_returning_unit_is_not_typed_again(book: Engine) -> None:
    first = steps.take_in(book, act(), rosalind())
    with reading(book) as session:
        unit_id = session.get_one(WorkOrder, first).unit_id
    handed_over(book, first)
    back = Arrival(stay=StaySaid(("It pulls to the right.",)), known_unit=Known(unit_id, 0))
    second = steps.take_in(book, act(at=NOON + timedelta(days=300)), back)
    assert counts(book) == (1, 1, 2, 3)
    with reading(book) as session:
        order = session.get_one(WorkOrder, second)
        assert (order.unit_id, order.number, order.tow_vehicle_id) == (unit_id, 2, None)
        assert session.get_one(Unit, unit_id).revision == 1


def test_what_changed_on_a_returning_unit_replaces_what_stood(book: Engine) -> None:
    first = rosalind()
    order_id = steps.take_in(book, act(), first)
    handed_over(book, order_id)
    unit_id, owner_id = _rows(book, order_id)
    assert first.unit is not None and first.owner is not None
    back = replace(
        first,
        unit=replace(first.unit, plate="NEW 1"),
        owner=replace(first.owner, phone="555 0199 00"),
        known_unit=Known(unit_id, 1),
        known_owner=Known(owner_id, 1),
    )
    steps.take_in(book, act(), back)
    with reading(book) as session:
        unit, owner = session.get_one(Unit, unit_id), session.get_one(Owner, owner_id)
        assert (unit.plate, unit.revision, unit.number) == ("NEW 1", 2, 1)
        assert (owner.phone_digits, owner.revision) == ("555019900", 2)
        assert len(session.exec(select(TowVehicle)).all()) == 1


def test_a_returning_owner_brings_a_new_unit(book: Engine) -> None:
    _, owner_id = _rows(book, steps.take_in(book, act(), rosalind()))
    boat = Arrival(StaySaid(), unit=UnitSaid(Kind.BOAT), known_owner=Known(owner_id, 1))
    unit_id, brought_by = _rows(book, steps.take_in(book, act(), boat))
    assert brought_by == owner_id
    assert counts(book)[:3] == (1, 2, 2)
    with reading(book) as session:
        assert session.get_one(Unit, unit_id).kind == "boat"


def test_a_unit_is_here_until_its_newest_stay_is_handed_over(book: Engine) -> None:
    first = steps.take_in(book, act(), rosalind())
    unit_id, _ = _rows(book, first)
    back = Arrival(StaySaid(), known_unit=Known(unit_id, 1))
    with pytest.raises(Refused, match="WO-000001"):
        steps.take_in(book, act(), back)
    assert counts(book)[2] == 1
    second = steps.take_in(book, act(), replace(back, beside=True))
    handed_over(book, second)
    with pytest.raises(Refused, match="WO-000001"):  # the first is still open
        steps.take_in(book, act(), back)
    handed_over(book, first)
    steps.take_in(book, act(), back)
    assert counts(book)[2] == 3


def test_a_unit_that_was_sold_goes_to_who_brings_it(book: Engine) -> None:
    first = steps.take_in(book, act(), rosalind())
    handed_over(book, first)
    unit_id, _ = _rows(book, first)
    sold = Arrival(StaySaid(), owner=OwnerSaid("Ida Holm", "555 0177 00"), known_unit=Known(unit_id, 1))
    second = steps.take_in(book, act(), sold)
    with reading(book) as session:
        ida = session.exec(select(Owner).where(Owner.name == "Ida Holm")).one()
        unit = session.get_one(Unit, unit_id)
        assert (unit.owner_id, unit.revision) == (ida.key, 2)
        assert session.get_one(WorkOrder, second).owner_id == ida.key
        assert session.get_one(WorkOrder, first).owner_id != ida.key  # the earlier stay stays hers


def test_an_arrival_that_saw_an_older_unit_is_stale_and_keeps_nothing(book: Engine) -> None:
    first = rosalind()
    unit_id, owner_id = _rows(book, steps.take_in(book, act(), first))
    assert first.unit is not None
    steps.save_unit(book, act(seen=1), unit_id, replace(first.unit, maker="Someone else's word"))
    back = replace(first, known_unit=Known(unit_id, 1), known_owner=Known(owner_id, 1))
    before = counts(book)
    with pytest.raises(Stale) as stale:
        steps.take_in(book, act(), back)
    assert stale.value.revision == 2
    assert counts(book) == before


def test_a_vin_of_another_unit_is_refused_with_its_number(book: Engine) -> None:
    steps.take_in(book, act(), rosalind())
    with pytest.raises(Refused) as refused:
        steps.take_in(book, act(), rosalind())
    (problem,) = refused.value.problems
    assert problem.field == "vin"
    assert "Unit 1 has this number" in problem.says
    assert counts(book) == (1, 1, 1, 2)


def test_a_refused_arrival_uses_up_no_number(book: Engine) -> None:
    steps.take_in(book, act(), rosalind())
    with pytest.raises(Refused):
        steps.take_in(book, act(), rosalind())
    order_id = steps.take_in(book, act(), replace(rosalind(), unit=UnitSaid(Kind.TENT)))
    with reading(book) as session:
        assert session.get_one(WorkOrder, order_id).number == 2


def test_two_home_made_trailers_may_carry_one_number(book: Engine) -> None:
    own = UnitSaid(Kind.UTILITY, vin="1", vin_kind=NumberKind.ASSIGNED)
    for _ in range(2):
        steps.take_in(book, act(), replace(rosalind(), unit=own))
    assert counts(book)[1] == 2


def test_photos_are_kept_with_what_they_show(book: Engine, tmp_path: Path) -> None:
    shots = tuple(Shot(read_photo(drawn(ink=ink)), ink) for ink in ("black", "blue"))
    order_id = steps.take_in(book, act(), rosalind(), Album(tmp_path, shots))
    with reading(book) as session:
        rows = session.exec(select(ArrivalPhoto).where(ArrivalPhoto.work_order_id == order_id)).all()
        assert [row.shows for row in rows] == ["black", "blue"]
        for row in rows:
            photo = session.get_one(Photo, row.photo_id)
            assert whole(tmp_path, photo.sha256)
            assert whole(tmp_path, photo.small_sha256)


def test_more_photos_can_be_added_later_once(book: Engine, tmp_path: Path) -> None:
    order_id = steps.take_in(book, act(), rosalind())
    album, once = Album(tmp_path, (Shot(read_photo(drawn()), "Tail"),)), act()
    for _ in range(2):
        assert steps.add_photos(book, once, order_id, album) == order_id
    with reading(book) as session:
        assert len(session.exec(select(ArrivalPhoto)).all()) == 1


def test_a_photo_of_an_arrival_is_never_changed(book: Engine, tmp_path: Path) -> None:
    album = Album(tmp_path, (Shot(read_photo(drawn()), "Tail"),))
    steps.take_in(book, act(), rosalind(), album)
    with pytest.raises(IntegrityError, match="append-only"), writing(book) as session:
        photo = session.exec(select(ArrivalPhoto)).one()
        photo.shows = "Something else"
        session.add(photo)


def test_owner_unit_and_stay_can_be_put_right(book: Engine) -> None:
    first = rosalind()
    order_id = steps.take_in(book, act(), first)
    unit_id, owner_id = _rows(book, order_id)
    assert first.owner is not None and first.unit is not None
    steps.save_owner(book, act(seen=1), owner_id, replace(first.owner, name="Rosalind A. Achterberg"))
    steps.save_unit(book, act(seen=1), unit_id, replace(first.unit, gvwr="7000"))
    steps.save_stay(book, act(seen=1), order_id, StaySaid(("And it leaks.",), keys=1, stands="Bay 3"))
    with reading(book) as session:
        assert session.get_one(Owner, owner_id).name == "Rosalind A. Achterberg"
        assert session.get_one(Unit, unit_id).gvwr == "7000"
        order = session.get_one(WorkOrder, order_id)
        assert (order.stands, order.keys, order.revision) == ("Bay 3", 1, 2)
        words = session.exec(select(Concern.words).where(Concern.work_order_id == order_id)).all()
        assert list(words) == [*first.stay.concerns, "And it leaks."]


def test_putting_right_what_moved_on_is_stale(book: Engine) -> None:
    first = rosalind()
    order_id = steps.take_in(book, act(), first)
    unit_id, owner_id = _rows(book, order_id)
    assert first.owner is not None and first.unit is not None
    for seen in (0, 2):
        with pytest.raises(Stale):
            steps.save_owner(book, act(seen=seen), owner_id, first.owner)
        with pytest.raises(Stale):
            steps.save_unit(book, act(seen=seen), unit_id, first.unit)
        with pytest.raises(Stale):
            steps.save_stay(book, act(seen=seen), order_id, first.stay)


def test_what_is_not_in_the_book_cannot_be_put_right(book: Engine) -> None:
    with pytest.raises(NoResultFound):
        steps.save_owner(book, act(), 99, OwnerSaid("Nobody"))
    with pytest.raises(NoResultFound):
        steps.save_unit(book, act(), 99, UnitSaid(Kind.BOAT))
    with pytest.raises(NoResultFound):
        steps.save_stay(book, act(), 99, StaySaid())


def test_a_unit_put_right_cannot_take_another_units_vin(book: Engine) -> None:
    steps.take_in(book, act(), rosalind())
    unit_id, _ = _rows(book, steps.take_in(book, act(), replace(rosalind(), unit=UnitSaid(Kind.CARGO))))
    taken = UnitSaid(Kind.CARGO, vin=VIN, vin_kind=NumberKind.STANDARD)
    with pytest.raises(Refused, match="Unit 1 has this number"):
        steps.save_unit(book, act(seen=1), unit_id, taken)


def test_a_tow_vehicle_is_known_again_by_its_name(book: Engine) -> None:
    _, owner_id = _rows(book, steps.take_in(book, act(), rosalind()))
    for rating in ("7200", "7200", "7000"):
        tow = TowSaid("full-size pickup, 2016", rating=rating)
        again = Arrival(StaySaid(), unit=UnitSaid(Kind.CARGO), tow=tow, known_owner=Known(owner_id, 1))
        steps.take_in(book, act(), again)
    with reading(book) as session:
        (tow_row,) = session.exec(select(TowVehicle)).all()
        assert (tow_row.rating, tow_row.revision) == ("7000", 3)


def _rows(book: Engine, order_id: int) -> tuple[int, int]:
    """Keys of a work order's unit and owner."""
    with reading(book) as session:
        order = session.get_one(WorkOrder, order_id)
        return order.unit_id, order.owner_id
