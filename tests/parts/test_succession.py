"""Which stocked part stands in for what a kit names: the end of its line of succession, while in use."""

from collections.abc import Callable, Iterable

import pytest
from sqlalchemy import Engine
from sqlmodel import Session

from app.estimate.facts import LedgerLine
from app.estimate.rules import read_line
from app.ground.book import reading, writing
from app.parts import buying, facts
from app.parts.rules import Superseded
from app.parts.tables import Part
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.conftest import Browser, act
from tests.estimate.arrived import BREAKAWAY, ledger, priced
from tests.parts.shelf import part, supplier

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


# A superseded part that is asked for by hand

OLD = {"number": "BRG-OLD", "name": "Bearing set of old"}
NEW = {"number": "BRG-NEW", "name": "Bearing set, sealed"}
ASKED = "BRG-NEW, Bearing set, sealed, takes its place"


@pytest.fixture
def replaced(book: Engine) -> Engine:
    """Two parts, the second of which has taken the place of the first."""
    followed(book, part(book, **OLD), part(book, **NEW))
    return book


def known(book: Engine) -> Superseded:
    with reading(book) as session:
        return facts.superseded(session)


@pytest.mark.parametrize(
    ("text", "called"),
    [
        ("BRG-OLD", "BRG-OLD"),
        ("brg-old, both hubs", "BRG-OLD"),
        ("Set (BRG-OLD)", "BRG-OLD"),
        ("bearing set of old", "bearing set of old"),
        ("BRG-NEW", None),
        ("BRG-OLDER", None),
        ("Bearing set of old, cleaned", None),
        ("", None),
    ],
)
def test_a_text_names_a_superseded_part_by_number_or_whole_name(
    replaced: Engine, text: str, called: str | None
) -> None:
    found = known(replaced).named_in(text)
    assert found == ((called, ASKED.removesuffix(" takes its place")) if called else None)


def test_a_name_that_a_part_in_use_has_too_is_not_asked_about(book: Engine) -> None:
    followed(book, part(book, **OLD), part(book, **NEW | {"name": OLD["name"]}))
    assert known(book).named_in(OLD["name"]) is None
    assert known(book).named_in("BRG-OLD") is not None


def test_the_newest_of_a_line_is_what_takes_its_place(book: Engine) -> None:
    first, second, third = (part(book, number=f"S-{n}", name=f"Seal {n}") for n in (1, 2, 3))
    followed(book, first, second)
    followed(book, second, third)
    assert known(book).by_number == {"S-1": "S-3, Seal 3,", "S-2": "S-3, Seal 3,"}


def test_on_a_purchase_order_it_is_asked_once_and_kept_where_that_is_said(
    replaced: Engine, signed: Callable[[str], Browser]
) -> None:
    wren = signed("Wren")
    order = buying.open_order(replaced, act(), supplier(replaced))
    line = {"part": "brg-old", "quantity": "2", "revision": "1"}
    asked = wren.post(f"/parts/orders/{order}/lines", line)
    assert asked.status_code == 422
    assert f"BRG-OLD is superseded; {ASKED}" in asked.text
    assert 'name="confirm-part" value="brg-old"' in asked.text
    kept = wren.post(f"/parts/orders/{order}/lines", line | {"confirm-part": "brg-old"})
    assert kept.status_code == 303
    newer = wren.post(f"/parts/orders/{order}/lines", line | {"part": "BRG-NEW", "revision": "2"})
    assert newer.status_code == 303


def test_on_an_estimate_it_is_asked_once_and_not_again_where_the_line_says_the_same(
    replaced: Engine, signed: Callable[[str], Browser]
) -> None:
    wren, order = signed("Wren"), priced(replaced, (BREAKAWAY,))
    at = f"/estimate/{order}/works/{ledger(replaced, order).works[0].id}"
    line = {
        "kind": "part",
        "what": "BRG-OLD for the left hub",
        "quantity": "1",
        "price": "20",
        "tax": "parts",
    }
    asked = wren.post(f"{at}/lines", guarded(replaced, order, line))
    assert asked.status_code == 422
    assert f"BRG-OLD is superseded; {ASKED}" in asked.text
    sure = line | {"confirm-what": line["what"]}
    assert wren.post(f"{at}/lines", guarded(replaced, order, sure)).status_code == 303
    made = line_of(replaced, order, line["what"])
    here = f"/estimate/{order}/lines/{made.id}"
    assert wren.post(here, guarded(replaced, order, line | {"quantity": "2"})).status_code == 303
    other = line | {"what": "BRG-OLD for both hubs"}
    changed = line_of(replaced, order, line["what"])
    again = f"/estimate/{order}/lines/{changed.id}"
    assert wren.post(again, guarded(replaced, order, other)).status_code == 422


@pytest.mark.parametrize("kind", ["labour", "outside", "fee"])
def test_only_a_part_is_asked_about(replaced: Engine, kind: str) -> None:
    line = {"kind": kind, "what": "Fit BRG-OLD", "quantity": "1", "price": "20", "tax": "labour"}
    assert read_line(Texts(line), superseded=known(replaced)).what == "Fit BRG-OLD"
    with pytest.raises(Refused, match="is superseded"):
        read_line(Texts(line | {"kind": "part"}), superseded=known(replaced))


def test_the_first_line_of_a_new_work_is_asked_about_too(
    replaced: Engine, signed: Callable[[str], Browser]
) -> None:
    wren, order = signed("Wren"), priced(replaced, (BREAKAWAY,))
    work = {"title": "Bearings", "group": "should", "what": "BRG-OLD", "quantity": "1", "price": "20"}
    form = guarded(replaced, order, work | {"kind": "part", "tax": "parts"})
    asked = wren.post(f"/estimate/{order}/works", form)
    assert (asked.status_code, "BRG-OLD is superseded" in asked.text) == (422, True)
    assert wren.post(f"/estimate/{order}/works", form | {"confirm-what": "BRG-OLD"}).status_code == 303


def line_of(book: Engine, order: int, what: str) -> LedgerLine:
    return next(it for work in ledger(book, order).works for it in work.lines if it.what == what)


def guarded(book: Engine, order: int, form: dict[str, str]) -> dict[str, str]:
    """A form as the newest revision's page sends it."""
    return {"revision": str(ledger(book, order).guard), **form}
