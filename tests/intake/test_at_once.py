"""Several people at the desk at the same time: nothing doubled, nothing lost, nobody's word overwritten."""

import threading
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

from sqlalchemy import Engine
from sqlmodel import col, select

from app.ground import files
from app.ground.book import reading
from app.ground.photos import read_photo
from app.ground.receipts import Stale, broken
from app.ground.tables import Photo, Receipt
from app.intake import steps
from app.intake.arrival import Arrival, Kind, Known, OwnerSaid, StaySaid, TowSaid, UnitSaid
from app.intake.steps import Album, Shot
from app.intake.tables import ArrivalPhoto, Concern, Owner, TowVehicle, Unit, WorkOrder
from app.trade.problems import Refused
from tests.conftest import act
from tests.intake.arrivals import drawn, rosalind

EIGHT = range(8)


def at_once(each: Callable[[int], object]) -> list[object]:
    """What eight threads come back with, or the exception of each."""
    came: list[object] = []
    ready = threading.Barrier(len(EIGHT))

    def run(number: int) -> None:
        ready.wait()
        try:
            came.append(each(number))
        except (Refused, Stale) as wrong:
            came.append(wrong)

    threads = [threading.Thread(target=run, args=(number,)) for number in EIGHT]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return came


def whole(book: Engine) -> None:
    with reading(book) as session:
        assert list(broken(session)) == []


def test_eight_arrivals_at_once_get_eight_numbers_in_a_row(book: Engine) -> None:
    def bring(number: int) -> int:
        arrival = Arrival(
            StaySaid((f"It does {number}.",)), OwnerSaid(f"Holm {number}"), UnitSaid(Kind.CARGO)
        )
        return steps.take_in(book, act(), arrival)

    assert sorted(map(str, at_once(bring))) == [str(number + 1) for number in EIGHT]
    with reading(book) as session:
        assert sorted(session.exec(select(Unit.number))) == list(range(1, 9))
        assert sorted(session.exec(select(WorkOrder.number))) == list(range(1, 9))
        for order in session.exec(select(WorkOrder)):  # no order has another's owner or words
            name = session.get_one(Owner, order.owner_id).name
            words = session.exec(select(Concern.words).where(Concern.work_order_id == order.key)).one()
            assert name.split()[1] == words.removeprefix("It does ").rstrip(".")
    whole(book)


def test_one_vin_brought_by_eight_at_once_becomes_one_unit(book: Engine) -> None:
    came = at_once(lambda _: steps.take_in(book, act(), rosalind()))
    assert [it for it in came if isinstance(it, int)] == [1]
    assert sum(isinstance(it, Refused) for it in came) == 7
    with reading(book) as session:
        assert len(session.exec(select(Unit)).all()) == 1
        assert len(session.exec(select(Owner)).all()) == 1
    whole(book)


def test_of_eight_corrections_that_saw_the_same_row_one_is_kept(book: Engine) -> None:
    steps.take_in(book, act(), rosalind())
    first = rosalind().owner
    assert first is not None
    came = at_once(
        lambda number: steps.save_owner(book, act(seen=1), 1, replace(first, name=f"Holm {number}"))
    )
    assert sum(it == 1 for it in came) == 1
    assert sum(isinstance(it, Stale) for it in came) == 7
    with reading(book) as session:
        owner = session.get_one(Owner, 1)
        kept = session.exec(select(Receipt).where(col(Receipt.act) == "save owner")).one()
    assert owner.revision == 2
    assert f'"name":"{owner.name}"' in kept.stood
    whole(book)


def test_owner_unit_and_stay_are_put_right_at_once_without_standing_in_each_others_way(book: Engine) -> None:
    steps.take_in(book, act(), rosalind())
    first = rosalind()
    assert first.owner is not None and first.unit is not None
    owner, unit = replace(first.owner, name="R. Achterberg"), replace(first.unit, gvwr="6500")
    ways: tuple[Callable[[], object], ...] = (
        lambda: steps.save_owner(book, act(seen=1), 1, owner),
        lambda: steps.save_unit(book, act(seen=1), 1, unit),
        lambda: steps.save_stay(book, act(seen=1), 1, StaySaid(stands="Bay 9")),
    )
    came = at_once(lambda number: ways[number]() if number < 3 else None)
    assert not any(isinstance(it, Exception) for it in came)
    with reading(book) as session:
        assert session.get_one(Owner, 1).name == "R. Achterberg"
        assert session.get_one(Unit, 1).gvwr == "6500"
        assert session.get_one(WorkOrder, 1).stands == "Bay 9"


def test_photos_added_at_once_are_all_kept_and_their_files_once(book: Engine, tmp_path: Path) -> None:
    steps.take_in(book, act(), rosalind())
    same = Album(tmp_path, (Shot(read_photo(drawn(64, 48)), "Tail"),))
    at_once(lambda _: steps.add_photos(book, act(), 1, same))
    with reading(book) as session:
        assert len(session.exec(select(ArrivalPhoto)).all()) == 8
        hashes = set(session.exec(select(Photo.sha256)))
    assert len(hashes) == 1
    assert files.whole(tmp_path, hashes.pop())
    assert not list(tmp_path.rglob("*.part"))


def test_concerns_of_the_same_stay_are_never_lost(book: Engine) -> None:
    steps.take_in(book, act(), rosalind())

    def add(number: int) -> int:
        for seen in range(1, 20):  # as a person does: look again, then save again
            try:
                return steps.save_stay(book, act(seen=seen), 1, StaySaid((f"It does {number}.",)))
            except Stale:
                continue
        raise AssertionError

    at_once(add)
    with reading(book) as session:
        words = set(session.exec(select(Concern.words)))
    assert {f"It does {number}." for number in EIGHT} <= words
    assert set(rosalind().stay.concerns) <= words


def test_one_tow_vehicle_named_by_eight_arrivals_of_an_owner_stays_one(book: Engine) -> None:
    steps.take_in(book, act(), rosalind())

    def bring(number: int) -> int:
        tow = TowSaid("full-size pickup, 2016", ball_size="2 5/16 in")
        arrival = Arrival(StaySaid(), unit=UnitSaid(Kind.CARGO), tow=tow, known_owner=Known(1, 1))
        return steps.take_in(book, act(), arrival)

    at_once(bring)
    with reading(book) as session:
        (tow,) = session.exec(select(TowVehicle)).all()
        orders = session.exec(select(WorkOrder)).all()
    assert tow.revision == 1  # nothing that was said of it changed
    assert {order.tow_vehicle_id for order in orders} == {tow.key}
    assert len(orders) == 9
