"""Where the forms of the parts room begin and end: the last text that is taken, and the first that is not."""

from datetime import date

import pytest

from app.parts import rules
from app.parts.rules import Awaited, BoughtSaid, Came, Counted, PartSaid, Shelves, SupplierSaid
from app.trade.problems import Problem, Refused
from app.trade.stock import MoveKind
from app.trade.typed import Texts

SHELVES = Shelves({1: "Fenwater Axle Supply", 12: "Lowmoor"}, {"OLD-1": 7, "NEW-1": 8}, frozenset({"Seal"}))
PART = {"number": "SEAL-1", "name": "Grease seal", "cost": "4.30"}
SUPPLIER = {"name": "Fenwater Axle Supply"}
TODAY = date(2026, 5, 4)


def part_problems(**typed: str) -> list[Problem]:
    with pytest.raises(Refused) as refused:
        rules.read_part(Texts(PART | typed), SHELVES)
    return list(refused.value.problems)


def part_said(**typed: str) -> PartSaid:
    return rules.read_part(Texts(PART | typed), SHELVES)


def supplier_said(**typed: str) -> SupplierSaid:
    return rules.read_supplier(Texts(SUPPLIER | typed))


# Lengths: the longest text that is kept, and one letter more


@pytest.mark.parametrize(
    ("field", "most"),
    [
        ("name", 80),
        ("phone", 40),
        ("address", 300),
        ("account", 40),
        ("note", 1000),
    ],
)
def test_a_suppliers_text_is_kept_to_its_last_letter_and_no_longer(field: str, most: int) -> None:
    assert getattr(supplier_said(**{field: "a" * most}), field) == "a" * most
    with pytest.raises(Refused) as refused:
        supplier_said(**{field: "a" * (most + 1)})
    [problem] = refused.value.problems
    assert (problem.field, problem.accepts) == (field, f"at most {most} characters")


def test_the_longest_mail_address_is_kept() -> None:
    longest = "a" * (120 - len("@shop.example")) + "@shop.example"
    assert supplier_said(email=longest).email == longest
    with pytest.raises(Refused) as refused:
        supplier_said(email="a" + longest)
    assert [it.field for it in refused.value.problems] == ["email"]


@pytest.mark.parametrize("field", ["address", "note"])
def test_a_suppliers_address_and_note_may_run_over_lines(field: str) -> None:
    assert getattr(supplier_said(**{field: "Mill Lane 4\r\nLowmoor"}), field) == "Mill Lane 4\nLowmoor"


@pytest.mark.parametrize("field", ["name", "phone", "account"])
def test_what_stands_on_one_line_of_the_order_holds_no_line_end(field: str) -> None:
    with pytest.raises(Refused) as refused:
        supplier_said(**{field: "one\ntwo"})
    assert [it.field for it in refused.value.problems] == [field]


@pytest.mark.parametrize(("typed", "days"), [("", None), ("0", 0), ("365", 365)])
def test_a_supplier_may_bring_it_the_same_day_or_within_a_year(typed: str, days: int | None) -> None:
    assert supplier_said(lead_days=typed).lead_days == days


@pytest.mark.parametrize("typed", ["366", "-1", "0.5", "soon"])
def test_days_that_no_supplier_takes_are_refused(typed: str) -> None:
    with pytest.raises(Refused) as refused:
        supplier_said(lead_days=typed)
    assert [it.field for it in refused.value.problems] == ["lead_days"]


@pytest.mark.parametrize("typed", ["a@b", "@b.c", "a b@c.d", "a@b@c.d", "a@.", "a.b.c", "a@b."])
def test_what_mail_does_not_find_is_no_address(typed: str) -> None:
    with pytest.raises(Refused) as refused:
        supplier_said(email=typed)
    assert [(it.field, it.says) for it in refused.value.problems] == [
        ("email", f"{typed} is no e-mail address")
    ]


@pytest.mark.parametrize("typed", ["", "a@b.c", "parts+desk@mail.lowmoor.example"])
def test_an_address_that_mail_finds_is_kept_and_none_is_no_fault(typed: str) -> None:
    assert supplier_said(email=typed).email == typed


@pytest.mark.parametrize(("typed", "active"), [("", True), ("yes", False), ("on", False), ("no", True)])
def test_who_is_retired_is_not_bought_from(typed: str, active: bool) -> None:
    assert supplier_said(retired=typed).active is active
    assert part_said(retired=typed).active is active


@pytest.mark.parametrize(
    ("field", "most"),
    [("name", 120), ("designation", 60), ("supplier_number", 60), ("number", 24), ("bin", 24)],
)
def test_a_parts_text_is_kept_to_its_last_letter_and_no_longer(field: str, most: int) -> None:
    assert getattr(part_said(**{field: "A" * most}), field) == "A" * most
    assert {it.field for it in part_problems(**{field: "A" * (most + 1)})} == {field}


# Money: a cost of nothing is a gift, a price of the cost earns nothing and is no loss


@pytest.mark.parametrize(
    ("cost", "price", "kept"),
    [
        ("0", "", (0, None)),
        ("4.30", "4.30", (430, 430)),
        ("50000", "100000", (5_000_000, 10_000_000)),
        ("50000", "", (5_000_000, None)),
        ("0", "0", (0, 0)),
    ],
)
def test_a_part_may_cost_nothing_and_be_sold_at_its_cost(
    cost: str, price: str, kept: tuple[int, int | None]
) -> None:
    said = part_said(cost=cost, price=price)
    assert (said.cost, said.price) == kept


@pytest.mark.parametrize(
    ("field", "typed"), [("cost", "50000.01"), ("price", "100000.01"), ("cost", "free"), ("price", "-1")]
)
def test_money_beyond_the_shelf_is_refused_beside_its_field(field: str, typed: str) -> None:
    assert field in {it.field for it in part_problems(**{field: typed})}


def test_a_price_is_not_weighed_against_a_cost_that_cannot_be_read() -> None:
    [problem] = part_problems(cost="much", price="1")
    assert (problem.field, problem.ask) == ("cost", False)


def test_a_price_one_cent_under_the_cost_is_asked_about() -> None:
    [problem] = part_problems(price="4.29")
    assert (problem.field, problem.ask) == ("price", True)


# Units, suppliers, succession, kits


@pytest.mark.parametrize("unit", ["each", "pair", "set", "ft", "yd", "m", "lb", "kg", "qt", "L"])
def test_a_part_is_bought_in_the_units_of_the_trade(unit: str) -> None:
    assert part_said(unit=unit).unit == unit


def test_a_part_without_a_unit_is_counted_singly() -> None:
    assert part_said().unit == part_said(unit="  ").unit == "each"


@pytest.mark.parametrize("typed", ["0", "2", "-1", "1.0", "١", "²", "1 2", "9" * 40, "0" * 17 + "12"])
def test_a_supplier_is_one_of_the_list_to_the_digit(typed: str) -> None:
    assert [it.field for it in part_problems(supplier=typed)] == ["supplier"]


@pytest.mark.parametrize(("typed", "key"), [("", None), ("1", 1), ("12", 12), (" 12 ", 12)])
def test_a_supplier_of_the_list_is_kept_by_its_key(typed: str, key: int | None) -> None:
    assert part_said(supplier=typed).supplier_id == key


@pytest.mark.parametrize(("typed", "key"), [("", None), ("new-1", 8), ("OLD-1", 7)])
def test_a_newer_part_is_named_by_its_number_in_any_case(typed: str, key: int | None) -> None:
    assert part_said(superseded_by=typed).superseded_by_id == key


@pytest.mark.parametrize(("typed", "kept"), [("", ""), ("Seal", "Seal")])
def test_a_part_stands_in_for_what_a_kit_names(typed: str, kept: str) -> None:
    assert part_said(kit_part=typed).kit_part == kept


@pytest.mark.parametrize("typed", ["a", "A-03-2", "9", "A.B/C-D"])
def test_a_bin_is_a_short_word_of_signs_that_a_label_holds(typed: str) -> None:
    assert part_said(bin=typed).bin == typed.upper()


@pytest.mark.parametrize("typed", ["-A", ".1", "/1", "A_1", "A 1", "A*", "Ä1", "A\u2011B"])
@pytest.mark.parametrize("field", ["number", "bin"])
def test_signs_that_no_label_holds_are_no_number_and_no_bin(field: str, typed: str) -> None:
    """Code 39 and Code 128 both begin with a digit or letter here; the signs are those of every keyboard."""
    assert [it.field for it in part_problems(**{field: typed})] == [field]


# Quantities: hundredths, no finer


@pytest.mark.parametrize(
    ("typed", "hundredths"),
    [("0", 0), ("", 0), ("0.01", 1), ("2.5", 250), ("2.50", 250), ("2.500", 250), ("100000", 10_000_000)],
)
def test_a_quantity_is_whole_hundredths(typed: str, hundredths: int) -> None:
    said = part_said(reorder_at="", reorder_quantity=typed)
    assert said.reorder_quantity == hundredths


@pytest.mark.parametrize("typed", ["0.001", "2.505", "100000.01", "-0.01", "four", "inf", "1e9"])
def test_a_quantity_that_the_ledger_cannot_hold_is_refused(typed: str) -> None:
    assert [it.field for it in part_problems(reorder_quantity=typed)] == ["reorder_quantity"]


def test_a_reorder_point_of_nothing_needs_no_quantity() -> None:
    said = part_said(reorder_at="0", reorder_quantity="0")
    assert (said.reorder_at, said.reorder_quantity) == (0, 0)


def test_a_quantity_that_cannot_be_read_is_not_also_missing() -> None:
    [problem] = part_problems(reorder_at="4", reorder_quantity="ten")
    assert problem.field == "reorder_quantity"
    assert "needs a quantity" not in problem.says


# Movements


@pytest.mark.parametrize("kind", [MoveKind.RESERVE, MoveKind.RELEASE, MoveKind.ISSUE, MoveKind.RETURN])
def test_what_serves_a_work_order_names_it(kind: MoveKind) -> None:
    typed = {"kind": kind.value, "quantity": "1", "cost": "3.00"}
    with pytest.raises(Refused) as refused:
        rules.read_move(Texts(typed))
    assert [(it.field, it.says) for it in refused.value.problems] == [("order", "The work order is missing")]
    said = rules.read_move(Texts(typed | {"order": "124"}))
    assert (said.order, said.cost) == (124, None)  # a cost is only of what comes in


@pytest.mark.parametrize("kind", [MoveKind.RECEIVE, MoveKind.COUNT])
def test_what_serves_the_shelf_leaves_a_work_order_out(kind: MoveKind) -> None:
    said = rules.read_move(Texts({"kind": kind.value, "quantity": "1", "order": "124"}))
    assert (said.kind, said.order) == (kind, None)


def test_only_what_comes_in_has_a_cost_of_its_own() -> None:
    typed = {"quantity": "1", "cost": "3.00", "note": "n" * 200}
    came = rules.read_move(Texts(typed | {"kind": "receive"}))
    counted = rules.read_move(Texts(typed | {"kind": "count"}))
    assert (came.cost, counted.cost, came.note) == (300, None, "n" * 200)
    assert rules.read_move(Texts({"kind": "receive", "quantity": "0.01"})).cost is None


def test_a_note_on_a_movement_is_two_hundred_letters_at_most() -> None:
    with pytest.raises(Refused) as refused:
        rules.read_move(Texts({"kind": "receive", "quantity": "1", "note": "n" * 201}))
    assert [it.field for it in refused.value.problems] == ["note"]


@pytest.mark.parametrize("typed", ["seven", "WO", "WO-", "-7", "1.5", "WO--7", "1234567890", "WO 7", "7x"])
def test_what_is_no_work_orders_number_is_said_as_such_and_not_as_missing(typed: str) -> None:
    with pytest.raises(Refused) as refused:
        rules.read_move(Texts({"kind": "issue", "quantity": "1", "order": typed}))
    assert [(it.field, it.says) for it in refused.value.problems] == [("order", f"{typed} is no work order")]


@pytest.mark.parametrize(("typed", "number"), [("999999999", 999_999_999), ("0000000000012", 12), ("Wo9", 9)])
def test_a_work_order_has_up_to_nine_digits_without_its_zeros(typed: str, number: int) -> None:
    assert rules.read_move(Texts({"kind": "issue", "quantity": "1", "order": typed})).order == number


# Counts


def count(typed: str, now: int, **more: str) -> tuple[Counted, ...]:
    return rules.read_counts(Texts({"counted-1": typed, **more}), {1: now})


@pytest.mark.parametrize(
    ("now", "counted", "asks"),
    [
        # two pieces off are never far; half of what the book has is not far, a hundredth more is
        (0, "2", False),
        (0, "2.01", True),
        (300, "5", False),
        (300, "5.01", True),
        (300, "1", False),
        (300, "0.99", True),
        (401, "6.01", False),
        (401, "6.02", True),
        (1000, "15", False),
        (1000, "15.01", True),
        (1000, "5", False),
        (1000, "4.99", True),
    ],
)
def test_how_far_a_count_may_be_off_before_it_is_asked_about(now: int, counted: str, asks: bool) -> None:
    if asks:
        with pytest.raises(Refused) as refused:
            count(counted, now)
        assert [(it.field, it.ask) for it in refused.value.problems] == [("counted-1", True)]
    else:
        [found] = count(counted, now)
        assert (found.part_id, found.stood) == (1, now)


@pytest.mark.parametrize(
    ("shown", "stood"),
    [("500", 500), ("", 400), ("x", 400), ("-500", 400), ("٥", 400), ("9" * 12, 10**12 - 1), ("9" * 13, 400)],
)
def test_what_the_book_said_when_the_form_was_shown_is_whole_hundredths(shown: str, stood: int) -> None:
    [found] = rules.read_counts(Texts({"counted-1": "4", "stood-1": shown}), {1: 400})
    assert found.stood == stood


def test_a_count_that_cannot_be_read_is_not_also_a_sheet_left_empty() -> None:
    with pytest.raises(Refused) as refused:
        count("four", 400)
    assert [it.field for it in refused.value.problems] == ["counted-1"]


def test_nothing_on_the_shelf_is_a_count_and_no_empty_field() -> None:
    [found] = count("0", 200)
    assert found == Counted(1, 0, 200)


# Lines of a purchase order


BOUGHT = {"part": "seal-1", "quantity": "4"}


def test_a_line_to_be_bought_is_read_in_capitals() -> None:
    said = rules.read_bought(Texts(BOUGHT | {"cost": "4.30", "order": "WO-000124"}))
    assert said == BoughtSaid("SEAL-1", 400, 430, 124)
    assert rules.read_bought(Texts(BOUGHT)) == BoughtSaid("SEAL-1", 400, None, None)


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"part": ""}, "part"),
        ({"part": "A" * 41}, "part"),
        ({"quantity": ""}, "quantity"),
        ({"quantity": "0"}, "quantity"),
        ({"quantity": "0.001"}, "quantity"),
        ({"cost": "50000.01"}, "cost"),
        ({"order": "soon"}, "order"),
    ],
)
def test_a_line_that_cannot_be_bought_is_refused_beside_its_field(typed: dict[str, str], field: str) -> None:
    with pytest.raises(Refused) as refused:
        rules.read_bought(Texts(BOUGHT | typed))
    assert [it.field for it in refused.value.problems] == [field]


def test_everything_wrong_with_a_line_is_said_at_once() -> None:
    with pytest.raises(Refused) as refused:
        rules.read_bought(Texts({"cost": "x", "order": "y"}))
    assert [it.field for it in refused.value.problems] == ["part", "quantity", "cost", "order"]


@pytest.mark.parametrize("how", ["phone", "e-mail", "web page", "paper", "in person"])
def test_an_order_goes_out_in_a_way_that_is_named(how: str) -> None:
    assert rules.read_sent_how(Texts({"how": how})) == how


@pytest.mark.parametrize("how", ["", "pigeon", "Phone"])
def test_an_order_does_not_go_out_without_saying_how(how: str) -> None:
    with pytest.raises(Refused) as refused:
        rules.read_sent_how(Texts({"how": how}))
    [problem] = refused.value.problems
    assert problem.field == "how"
    assert "phone, e-mail" in problem.accepts


# Deliveries: whole, in part, late


def came(line: Awaited, **typed: str) -> Came:
    texts = {f"{name}-{line.line_id}": text for name, text in typed.items()}
    [found] = rules.read_delivery(Texts(texts), (line,), TODAY)
    return found


def delivery_problems(line: Awaited, **typed: str) -> list[Problem]:
    texts = {f"{name}-{line.line_id}": text for name, text in typed.items()}
    with pytest.raises(Refused) as refused:
        rules.read_delivery(Texts(texts), (line,), TODAY)
    return list(refused.value.problems)


MAY_8, MAY_9 = date(2026, 5, 8), date(2026, 5, 9)
FOR_A_UNIT = Awaited(3, 600, unit_number=214, promised=MAY_8)
FOR_THE_SHELF = Awaited(4, 600)


def test_all_that_is_still_to_come_may_come_and_no_hundredth_more() -> None:
    assert came(FOR_THE_SHELF, came="6").quantity == 600
    assert [it.field for it in delivery_problems(FOR_THE_SHELF, came="6.01")] == ["came-4"]


def test_the_rest_may_be_expected_today_and_not_yesterday() -> None:
    assert came(FOR_THE_SHELF, expected="2026-05-04").expected_on == TODAY
    assert [it.says for it in delivery_problems(FOR_THE_SHELF, expected="2026-05-03")] == ["This day is past"]


def test_what_comes_on_the_promised_day_is_in_time() -> None:
    assert came(FOR_A_UNIT, expected="2026-05-08") == Came(3, 0, MAY_8, moves_promise=False)
    [problem] = delivery_problems(FOR_A_UNIT, expected="2026-05-09")
    assert (problem.field, problem.ask) == ("expected-3", True)


def test_a_part_for_the_shelf_moves_no_promise() -> None:
    assert came(FOR_THE_SHELF, expected="2026-12-24") == Came(4, 0, date(2026, 12, 24), moves_promise=False)


def test_a_late_day_that_was_agreed_to_before_is_not_asked_again() -> None:
    line = Awaited(3, 600, unit_number=214, promised=MAY_8, expected_on=MAY_9)
    assert came(line, came="2", expected="2026-05-09") == Came(3, 200, MAY_9)


def test_what_came_whole_leaves_no_rest_that_could_be_late() -> None:
    """So nothing is asked: the day that stands in the form moves no promise."""
    assert came(FOR_A_UNIT, came="6", expected="2026-05-09") == Came(3, 600, MAY_9, moves_promise=False)
    [problem] = delivery_problems(FOR_A_UNIT, came="5.99", expected="2026-05-09")
    assert (problem.says, problem.ask) == ("Unit 214 is promised for 8 May 2026", True)


def test_a_delivery_after_its_day_is_taken_in_though_the_old_day_still_stands_in_the_form() -> None:
    """The fields come filled with the days told before; only a day told anew has to be still to come."""
    overdue = Awaited(3, 600, expected_on=date(2026, 5, 1))
    both = overdue, Awaited(4, 200, expected_on=date(2026, 5, 2))
    shown = {"came-3": "", "expected-3": "2026-05-01", "came-4": "", "expected-4": "2026-05-02"}
    whole = rules.read_delivery(Texts(shown | {"came-3": "6"}), both, TODAY)
    assert whole == (Came(3, 600, date(2026, 5, 1)),)
    some = shown | {"came-3": "1", "expected-3": "2026-05-06"}
    assert rules.read_delivery(Texts(some), both, TODAY) == (Came(3, 100, date(2026, 5, 6)),)
    [problem] = delivery_problems(overdue, came="1", expected="2026-05-03")
    assert (problem.field, problem.says) == ("expected-3", "This day is past")


def test_a_day_that_is_taken_away_is_a_change_and_one_that_stays_is_none() -> None:
    line = Awaited(3, 600, expected_on=MAY_9)
    assert came(line, expected="") == Came(3, 0, None)
    [problem] = delivery_problems(line, expected="2026-05-09")
    assert (problem.field, problem.says) == ("", "Nothing came, and nothing was said of the rest")
