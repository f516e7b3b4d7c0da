"""Which stocked part stands in for what a kit names: the end of its line of succession, while in use."""

from collections.abc import Iterable

import pytest
from sqlalchemy import Engine
from sqlmodel import Session

from app.ground.book import reading, writing
from app.parts import facts
from app.parts.tables import Part
from tests.parts.shelf import part

SEAL = "Grease seal, size of the spindle"


def stands_in(book: Engine, names: Iterable[str] = (SEAL,)) -> dict[str, int]:
    with reading(book) as session:
        return facts.stocked_for(session, names)


def followed(book: Engine, older: int, newer: int, *, active: bool = True) -> None:
    """The older part is superseded, and retired where it is not active."""
    with writing(book) as session:
        row = session.get_one(Part, older)
        row.superseded_by_id, row.active = newer, active


def test_the_part_that_kits_name_stands_in_for_itself(book: Engine) -> None:
    key = part(book, number="S-1", kit_part=SEAL)
    assert stands_in(book) == {SEAL: key}


@pytest.mark.parametrize("names", [(), ("",), ("Split pin",), ("grease seal, size of the spindle",)])
def test_a_name_that_no_part_has_is_left_out(book: Engine, names: tuple[str, ...]) -> None:
    part(book, number="S-1", kit_part=SEAL)
    part(book, number="S-2")  # in no kit: not found by an empty name
    assert stands_in(book, names) == {}


@pytest.mark.parametrize("active", [True, False])
def test_the_newest_stands_in_also_where_the_older_one_is_retired(book: Engine, active: bool) -> None:
    first, second, third = (part(book, number=f"S-{n}", kit_part=SEAL if n == 1 else "") for n in (1, 2, 3))
    followed(book, first, second, active=active)
    followed(book, second, third, active=active)
    assert stands_in(book) == {SEAL: third}


def test_a_retired_part_that_nothing_follows_stands_in_for_nothing(book: Engine) -> None:
    first, second = part(book, number="S-1", kit_part=SEAL), part(book, number="S-2")
    followed(book, first, second)
    with writing(book) as session:
        session.get_one(Part, second).active = False
    assert stands_in(book) == {}


def test_of_two_called_alike_the_one_kept_last_stands_in_while_it_is_in_use(book: Engine) -> None:
    first, second = part(book, number="S-1", kit_part=SEAL), part(book, number="S-2", kit_part=SEAL)
    assert stands_in(book) == {SEAL: second}
    with writing(book) as session:
        retire(session, second)
    assert stands_in(book) == {SEAL: first}


def retire(session: Session, key: int) -> None:
    session.get_one(Part, key).active = False


def test_every_name_is_answered_for_itself(book: Engine) -> None:
    seal, pin = part(book, number="S-1", kit_part=SEAL), part(book, number="P-1", kit_part="Split pin")
    assert stands_in(book, (SEAL, "Split pin", "Hasp")) == {SEAL: seal, "Split pin": pin}
