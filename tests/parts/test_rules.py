"""What may stand in the forms of the parts room."""

from datetime import date

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.parts import rules
from app.parts.rules import Awaited, Came, Counted, MoveSaid, Shelves
from app.trade.problems import Problem, Refused
from app.trade.stock import MoveKind
from app.trade.typed import Texts

SHELVES = Shelves({1: "Fenwater Axle Supply"}, {"OLD-1": 7, "BRG-L44649": 8}, frozenset({"Bearing set"}))
PART = {"number": "brg-l68149", "name": "Bearing set", "cost": "14.50", "designation": "l68149/l68110"}


def wrong(texts: dict[str, str], own: str = "") -> list[Problem]:
    with pytest.raises(Refused) as refused:
        rules.read_part(Texts(texts), SHELVES, own)
    return list(refused.value.problems)


def test_a_part_is_read_in_capitals_and_hundredths() -> None:
    typed = PART | {"bin": "a-03-2", "reorder_at": "4", "reorder_quantity": "2.5", "supplier": "1"}
    said = rules.read_part(Texts(typed), SHELVES)
    assert (said.number, said.designation, said.bin) == ("BRG-L68149", "L68149/L68110", "A-03-2")
    assert (said.cost, said.price, said.reorder_at, said.reorder_quantity) == (1450, None, 400, 250)
    assert said.supplier_id == 1


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("number", "", "The part number is missing"),
        ("number", "BRG 1", "BRG 1 is no part number"),
        ("number", "BRGÜ", "BRGÜ is no part number"),  # Code 128 set B holds ASCII 32 to 126 (ISO/IEC 15417)
        ("number", "X" * 25, "is no part number"),
        ("name", "", "What it is, is missing"),
        ("cost", "", "The cost is missing"),
        ("cost", "-1", "-1 cannot be"),
        ("cost", "12.345", "12.345"),
        ("price", "14.00", "This is sold for less than it costs"),
        ("bin", "A 3", "A 3 is no bin"),
        ("unit", "furlong", "furlong is not one of the choices"),
        ("supplier", "2", "This is no supplier of the shop"),
        ("supplier", "x", "This is no supplier of the shop"),
        ("reorder_at", "1.005", "1.005 is finer than hundredths"),
        ("reorder_at", "4", "A reorder point needs a quantity to order"),
        ("superseded_by", "NONE", "NONE is no part of the shop"),
        ("superseded_by", "BRG-L68149", "BRG-L68149 is no part of the shop"),
        ("kit_part", "Anything", "No kit calls a part so"),
    ],
)
def test_what_a_part_cannot_be_is_said_beside_its_field(field: str, typed: str, says: str) -> None:
    found = wrong(PART | {field: typed})
    at = "reorder_quantity" if "quantity to order" in says else field
    assert any(it.field == at and says in it.says for it in found), found


def test_a_part_keeps_its_own_number_and_does_not_supersede_itself() -> None:
    typed = PART | {"number": "OLD-1"}
    assert rules.read_part(Texts(typed), SHELVES, own="OLD-1").number == "OLD-1"
    [problem] = wrong(typed | {"superseded_by": "old-1"}, own="OLD-1")
    assert problem.says == "A part does not supersede itself"


def test_a_price_below_the_cost_is_kept_once_confirmed() -> None:
    typed = PART | {"price": "10.00", "confirm-price": "10.00"}
    assert rules.read_part(Texts(typed), SHELVES).price == 1000


@pytest.mark.parametrize(
    ("typed", "number"), [("WO-000124", 124), ("124", 124), ("wo124", 124), ("wo-1", 1), ("0007", 7)]
)
def test_a_work_order_is_named_as_people_say_it(typed: str, number: int) -> None:
    said = rules.read_move(Texts({"kind": "issue", "quantity": "2", "order": typed}))
    assert said == MoveSaid(MoveKind.ISSUE, 200, number)


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"quantity": "2", "order": "1"}, "kind"),
        ({"kind": "steal", "quantity": "2", "order": "1"}, "kind"),
        ({"kind": "issue", "order": "1"}, "quantity"),
        ({"kind": "issue", "quantity": "0", "order": "1"}, "quantity"),
        ({"kind": "issue", "quantity": "-2", "order": "1"}, "quantity"),
        ({"kind": "issue", "quantity": "NaN", "order": "1"}, "quantity"),
        ({"kind": "issue", "quantity": "100001", "order": "1"}, "quantity"),
        ({"kind": "issue", "quantity": "2"}, "order"),
        ({"kind": "reserve", "quantity": "2", "order": "seven"}, "order"),
        ({"kind": "receive", "quantity": "2", "cost": "much"}, "cost"),
    ],
)
def test_a_movement_that_cannot_be_is_refused_beside_its_field(typed: dict[str, str], field: str) -> None:
    with pytest.raises(Refused) as refused:
        rules.read_move(Texts(typed))
    assert [problem.field for problem in refused.value.problems] == [field]


def test_nothing_may_be_counted_but_not_handed_out() -> None:
    assert rules.read_move(Texts({"kind": "count", "quantity": "0"})).quantity == 0


def test_a_supplier_needs_a_name_and_an_address_that_mail_finds() -> None:
    with pytest.raises(Refused) as refused:
        rules.read_supplier(Texts({"email": "desk at fenwater", "lead_days": "1.5"}))
    assert [problem.field for problem in refused.value.problems] == ["name", "email", "lead_days"]


def test_an_empty_field_was_not_counted() -> None:
    typed = {"counted-1": "4", "stood-1": "500", "counted-2": ""}
    assert rules.read_counts(Texts(typed), {1: 500, 2: 900}) == (Counted(1, 400, 500),)
    with pytest.raises(Refused) as refused:
        rules.read_counts(Texts({"counted-1": ""}), {1: 500})
    assert refused.value.problems[0].says == "Nothing was counted"


@pytest.mark.parametrize(("counted", "asks"), [("8", False), ("5", False), ("4", True), ("16", True)])
def test_a_count_far_off_is_asked_once(counted: str, asks: bool) -> None:
    """More than half of what the book has, and more than two pieces: common practice of a second count."""
    typed = {"counted-1": counted, "stood-1": "1000"}
    if asks:
        with pytest.raises(Refused) as refused:
            rules.read_counts(Texts(typed), {1: 1000})
        assert refused.value.problems[0].ask
    confirmed = typed | {"confirm-counted-1": counted}
    assert rules.read_counts(Texts(confirmed), {1: 1000})[0].counted == int(counted) * 100


TODAY = date(2026, 5, 4)
LINE = Awaited(3, 600, unit_number=214, promised=date(2026, 5, 8))


def delivery(**typed: str) -> tuple[Came, ...]:
    texts = {name.replace("_", "-"): text for name, text in typed.items()}
    return rules.read_delivery(Texts(texts), (LINE, Awaited(4, 200)), TODAY)


def test_a_delivery_says_what_came_and_when_the_rest_is_expected() -> None:
    assert delivery(came_3="4", expected_3="2026-05-07", came_4="2") == (
        Came(3, 400, date(2026, 5, 7)),
        Came(4, 200, None),
    )


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        ({"came_3": "7"}, "came-3", "more than is still to come"),
        ({"came_3": "x"}, "came-3", "not a number"),
        ({"expected_3": "2026-05-03"}, "expected-3", "This day is past"),
        ({"expected_3": "soon"}, "expected-3", "is not a date"),
        ({}, "", "Nothing came"),
        ({"expected_3": "2026-05-12"}, "expected-3", "Unit 214 is promised for 8 May 2026"),
    ],
)
def test_what_cannot_have_come_is_said_beside_its_field(typed: dict[str, str], field: str, says: str) -> None:
    with pytest.raises(Refused) as refused:
        delivery(**typed)
    assert [(it.field, says in it.says) for it in refused.value.problems] == [(field, True)]


def test_a_day_after_the_promise_moves_it_once_it_was_confirmed() -> None:
    typed = {"expected-3": "2026-05-12", "confirm-expected-3": "2026-05-12"}
    [came] = rules.read_delivery(Texts(typed), (LINE,), TODAY)
    assert came == Came(3, 0, date(2026, 5, 12), moves_promise=True)


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.text(max_size=30))
def test_whatever_is_typed_as_a_number_is_read_or_refused(text: str) -> None:
    try:
        said = rules.read_part(Texts(PART | {"number": text}), SHELVES)
    except Refused as refused:
        assert "number" in {problem.field for problem in refused.problems}
    else:
        assert said.number.isascii()
