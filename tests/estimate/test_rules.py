"""Groups, lines of kits, supplies, forms, and what changed: pure."""

from dataclasses import dataclass
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.estimate import rules
from app.estimate.rules import ChangedWork, Group, NewLine, Offered, Tax
from app.ground.shop import ShopSettings
from app.ground.taxes import DaySettings
from app.inspection.catalogue import Catalogue, Kit
from app.trade.figure import By, Grade
from app.trade.problems import Problem, Refused
from app.trade.totals import LineKind
from app.trade.typed import Texts
from tests.estimate.arrived import catalogue_text

SHOP = DaySettings()  # 125.00 an hour, 3 % supplies up to 45.00, 6 % tax on parts and supplies
CATALOGUE = Catalogue.from_json(catalogue_text())


def problems(refused: pytest.ExceptionInfo[Refused]) -> dict[str, Problem]:
    return {problem.field: problem for problem in refused.value.problems}


@pytest.mark.parametrize(
    ("grade", "by", "group"),
    [
        (Grade.DNT, None, Group.MUST),  # may let go on the next tow
        (Grade.NEEDS, By.TOWING, Group.MUST),  # a safety duty is broken
        (Grade.NEEDS, By.USE, Group.SHOULD),  # closed off and tagged, it does not hold the tow
        (Grade.NEEDS, By.SOON, Group.SHOULD),
        (Grade.WATCH, None, Group.WAIT),
    ],
)
def test_the_grade_and_its_term_choose_the_group(grade: Grade, by: By | None, group: Group) -> None:
    assert rules.group_of(grade, by) is group


def test_only_what_needs_or_watches_is_priced() -> None:
    assert [grade for grade in Grade if rules.asks_for_work(grade)] == [Grade.WATCH, Grade.NEEDS, Grade.DNT]


def test_groups_stand_heaviest_first_under_their_headings() -> None:
    assert [group.word for group in rules.HEAVIEST_GROUP_FIRST] == [
        "Must, before towing",
        "Should be put right",
        "May wait",
    ]


def test_alternatives_of_a_check_are_priced_by_the_first() -> None:
    own = CATALOGUE.check("cp.latch").kits  # clean and adjust, or else a new coupler
    assert own == ("k2", "k1")
    assert rules.kits_to_price(own, one_of_them=True) == ("k2",)


def test_kits_of_a_defect_belong_together() -> None:
    """Grease on the lining: a seal, and shoes by the kind of brakes."""
    lining = CATALOGUE.check("hb.seal").defect("lining").kits
    assert rules.kits_to_price(lining, one_of_them=False) == ("k16", "k18", "k51")


@pytest.mark.parametrize(
    ("place", "count", "title"),
    [
        ("", 1, "Replace a tire"),
        ("axle 1 left", 1, "Replace a tire, axle 1 left"),
        ("", 4, "Replace a tire, 4 times"),
    ],
)
def test_a_title_says_where_and_how_often(place: str, count: int, title: str) -> None:
    assert rules.title_of("Replace a tire", place, count) == title


# --- lines of kits ----------------------------------------------------------------------------


def lines(key: str, count: int = 1, shop: ShopSettings = SHOP) -> list[tuple[str, str, str, int, str]]:
    made = rules.lines_of_kit(CATALOGUE.kit(key), count, shop)
    return [(line.kind, line.what, line.quantity, line.price, line.tax) for line in made]


def test_a_kit_done_twice_has_twice_the_hours_and_parts() -> None:
    # kit k18, brake shoes of one axle: 2.5 h and two magnets an axle
    hours = CATALOGUE.kit("k18").hours
    found = {what: quantity for _, what, quantity, _, _ in lines("k18", 2)}
    assert Decimal(found["Labour"]) == hours * 2
    assert found["Brake magnet, drum size of the sheet"] == "4"


def test_outside_work_and_core_deposits_have_lines_of_their_own_kind() -> None:
    kinds = {what: (kind, tax) for kind, what, _, _, tax in lines("k7") + lines("k26")}
    assert kinds["Outside welding"] == ("outside", "outside")
    assert kinds["Battery core deposit"] == ("core", "parts")  # a deposit is taxed as its part is


def test_disposal_is_a_fee_of_its_own_category() -> None:
    assert ("fee", "Battery disposal", "1", 300, "disposal") in lines("k5")


def test_a_kits_own_supplies_count_only_where_the_shop_charges_no_share() -> None:
    supplies = ("fee", "Shop supplies", "1", 300, "supplies")
    assert supplies not in lines("k5")
    assert supplies in lines("k5", shop=ShopSettings(supplies_percent="0"))


@pytest.mark.parametrize(
    ("hours", "charged"),
    [
        ("0.1", "0.2"),  # the shop's least: two tenths
        ("0.2", "0.2"),
        ("1.25", "1.3"),  # tenths of an hour, half up: common practice of flat rates
        ("1.24", "1.2"),
        ("12", "12"),
    ],
)
def test_labour_is_charged_in_tenths_at_least_the_shops_least(hours: str, charged: str) -> None:
    line = rules.labour_line(Decimal(hours), SHOP)
    assert (line.quantity, line.price, line.tax) == (charged, 12500, Tax.LABOUR)


@pytest.mark.parametrize("count", [0, -1])
def test_a_kit_is_done_at_least_once(count: int) -> None:
    with pytest.raises(ValueError, match="at least once"):
        rules.lines_of_kit(CATALOGUE.kit("k5"), count, SHOP)


@pytest.mark.parametrize("kit", CATALOGUE.kits, ids=lambda kit: kit.key)
def test_every_kit_of_the_catalogue_makes_lines_in_categories_with_a_rate(kit: Kit) -> None:
    made = rules.lines_of_kit(kit, 2, SHOP)
    rates = rules.rates_of(SHOP)
    assert made
    assert all(line.tax in rates and line.amount().minor >= 0 for line in made)


# --- supplies ---------------------------------------------------------------------------------


def test_supplies_are_a_share_of_each_works_labour() -> None:
    # 3 % of 150.00 and of 62.50 (1.875, half up)
    assert rules.supplies_shares([15000, 6250], SHOP) == (450, 188)


def test_the_cap_is_used_up_in_the_order_of_the_works() -> None:
    shop = ShopSettings(supplies_percent="10", supplies_cap=2000)
    assert rules.supplies_shares([15000, 10000, 5000], shop) == (1500, 500, 0)


@given(st.lists(st.integers(0, 500_000), max_size=8), st.integers(0, 500_000))
def test_a_later_work_never_changes_the_supplies_of_an_earlier_one(labour: list[int], later: int) -> None:
    before, after = rules.supplies_shares(labour, SHOP), rules.supplies_shares([*labour, later], SHOP)
    assert after[:-1] == before
    assert sum(after) <= SHOP.supplies_cap


# --- forms ------------------------------------------------------------------------------------


@dataclass
class Form(Texts):
    """A form whose fields may repeat."""

    fields: dict[str, list[str]]

    def get(self, name: str, default: str = "", /) -> str:
        return self.all(name)[-1] if self.all(name) else default

    def all(self, name: str) -> list[str]:
        return self.fields.get(name, [])


PART = {"kind": "part", "what": "Hasp", "quantity": "2", "price": "4.50", "tax": "parts"}


def test_a_line_is_read_as_typed() -> None:
    assert rules.read_line(Texts(PART)) == NewLine(LineKind.PART, "Hasp", "2", 450, "parts")


@pytest.mark.parametrize(("typed", "cents"), [("1,305.39", 130539), ("$45", 4500), ("0", 0), ("12,5", 1250)])
def test_prices_are_read_as_people_type_them(typed: str, cents: int) -> None:
    assert rules.read_line(Texts({**PART, "price": typed})).price == cents


@pytest.mark.parametrize(
    ("field", "typed", "says", "accepts"),
    [
        ("price", "4O", "This is not an amount of money", "1305.39"),
        ("price", "-4", "-4 cannot be", "discount"),
        ("price", "", "The price is missing", "1305.39"),
        ("price", "900000", "900000 cannot be", "100,000.00"),
        ("quantity", "0", "0 cannot be", "0.01 to 1000"),
        ("quantity", "two", "This is not a number", "12, 3.5"),
        ("quantity", "", "The quantity is missing", "a number"),
        ("kind", "", "What the line is for is missing", "labour, part"),
        ("kind", "tip", "tip is not one of the choices", "labour, part"),
        ("tax", "", "The tax category is missing", "parts, labour"),
        ("what", "", "What it is, is missing", ""),
        ("what", rules.SUPPLIES, "This line is worked out by the shop's settings", "another name"),
    ],
)
def test_a_refused_line_names_its_field_and_what_is_accepted(
    field: str, typed: str, says: str, accepts: str
) -> None:
    with pytest.raises(Refused) as refused:
        rules.read_line(Texts({**PART, field: typed}))
    found = problems(refused)[field]
    assert found.says == says
    assert accepts in found.accepts


def test_hours_are_tenths() -> None:
    labour = {**PART, "kind": "labour", "tax": "labour", "price": "125"}
    assert rules.read_line(Texts({**labour, "quantity": "1,4"})).quantity == "1.4"
    with pytest.raises(Refused, match="finer than tenths"):
        rules.read_line(Texts({**labour, "quantity": "1.45"}))


def test_a_long_job_is_asked_about_once() -> None:
    long = {**PART, "kind": "labour", "quantity": "30"}
    with pytest.raises(Refused) as refused:
        rules.read_line(Texts(long))
    assert problems(refused)["quantity"].ask
    assert rules.read_line(Texts({**long, "confirm-quantity": "30"})).quantity == "30"


def test_a_price_that_can_mean_two_things_is_asked_about_once() -> None:
    with pytest.raises(Refused) as refused:
        rules.read_line(Texts({**PART, "price": "1,305"}))
    assert problems(refused)["price"].ask
    assert rules.read_line(Texts({**PART, "price": "1,305", "confirm-price": "1,305"})).price == 130500


def test_all_that_is_wrong_with_a_line_is_said_at_once() -> None:
    with pytest.raises(Refused) as refused:
        rules.read_line(Texts({}))
    assert set(problems(refused)) == {"kind", "what", "quantity", "price", "tax"}


def test_a_work_from_a_kit_needs_no_more_than_its_group() -> None:
    new = rules.read_work(Texts({"kit": "k5", "group": "must"}), ["k5"], [])
    assert (new.kit, new.group, new.count, new.title) == ("k5", Group.MUST, 1, "")


def test_a_hand_typed_work_has_title_hours_line_and_findings() -> None:
    typed = Form({key: [text] for key, text in {**PART, "title": "Fit a hasp", "group": "wait"}.items()})
    typed.fields |= {"hours": ["0.5"], "findings": ["7", "9", "7"]}
    new = rules.read_work(typed, [], [7, 9])
    assert (new.title, new.hours, new.finding_ids) == ("Fit a hasp", "0.5", (7, 9))
    assert [line.what for line in new.lines] == ["Hasp"]


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"title": ""}, "title", "What is to be done is missing"),
        ({"group": ""}, "group", "The group is missing"),
        ({"hours": ""}, "hours", "A work needs hours, or a part with its price"),
        ({"hours": "0"}, "hours", "0 cannot be"),
        ({"kit": "k999"}, "kit", "k999 is not a kit of this shop"),
        ({"count": "0", "kit": "k5"}, "count", "0 cannot be"),
        ({"findings": "8"}, "findings", "One of these is no finding of this work order"),
        ({"findings": "x"}, "findings", "One of these is no finding of this work order"),
        ({"what": "Hasp"}, "price", "The price is missing"),
    ],
)
def test_a_refused_work_names_its_field(change: dict[str, str], field: str, says: str) -> None:
    typed = {"title": "Fit a hasp", "group": "wait", "hours": "0.5"}
    with pytest.raises(Refused) as refused:
        rules.read_work(Texts({**typed, **change}), ["k5"], [7])
    assert problems(refused)[field].says == says


def test_name_and_group_are_read() -> None:
    assert rules.read_changed_work(Texts({"title": " Roof ", "group": "wait"})) == ChangedWork(
        "Roof", Group.WAIT
    )
    with pytest.raises(Refused) as refused:
        rules.read_changed_work(Texts({"title": "x" * 121, "group": "soon"}))
    assert set(problems(refused)) == {"title", "group"}


# --- what changed -----------------------------------------------------------------------------

TIRE = Offered(1, "One tire", Group.MUST, 19600)
CHAINS = Offered(2, "Safety chains", Group.MUST, 11800)
ROOF = Offered(3, "Reseal the roof", Group.WAIT, 44400)


def test_nothing_changed_says_nothing() -> None:
    assert rules.difference([TIRE, ROOF], [TIRE, ROOF]) == ()


def test_what_changed_is_said_work_by_work() -> None:
    dearer = Offered(1, "One tire", Group.MUST, 21000)
    moved = Offered(3, "Reseal the roof seam", Group.SHOULD, 44400)
    assert rules.difference([TIRE, CHAINS, ROOF], [dearer, moved, Offered(4, "Hasp", Group.WAIT, 900)]) == (
        "Added: Hasp, 9.00.",
        "One tire: now 210.00, was 196.00.",
        "Reseal the roof seam: was called Reseal the roof; "
        "now under “Should be put right”, was under “May wait”.",
        "Left out: Safety chains, 118.00.",
    )


# --- lines ------------------------------------------------------------------------------------


def test_a_discount_takes_its_price_off() -> None:
    assert NewLine(LineKind.DISCOUNT, "Old customer", "1", 1000, "labour").amount().minor == -1000


def test_an_amount_is_rounded_once_half_up() -> None:
    # 0.35 kg at 14.90 is 5.215: half a cent goes up, as sales-tax law rounds
    assert NewLine(LineKind.PART, "Grease", "0.35", 1490, "parts").amount().minor == 522


# --- a part from what it costs -------------------------------------------------------------------

LINE = {"kind": "part", "what": "Grease seal", "quantity": "2", "tax": "parts"}


@pytest.mark.parametrize(
    ("cost", "price"),
    [
        ("4.50", 720),  # 4.50 x 1.6: the shop's first step
        ("25", 3500),  # 25.00 x 1.4
        ("200", 25000),  # 200.00 x 1.25
        ("0", 0),
    ],
)
def test_a_part_with_its_cost_alone_is_priced_by_the_shops_mark_up(cost: str, price: int) -> None:
    assert rules.read_line(Texts({**LINE, "cost": cost}), markup=SHOP.markup_steps).price == price


def test_a_price_that_was_typed_comes_before_the_mark_up() -> None:
    assert (
        rules.read_line(Texts({**LINE, "cost": "25", "price": "30"}), markup=SHOP.markup_steps).price == 3000
    )


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"cost": "dear"}, "cost"),
        ({"cost": "-1"}, "cost"),
        ({"kind": "outside", "cost": "25"}, "price"),  # the mark-up is on parts
        ({}, "price"),
    ],
)
def test_a_cost_that_prices_nothing_is_refused(changed: dict[str, str], field: str) -> None:
    with pytest.raises(Refused) as refused:
        rules.read_line(Texts({**LINE, **changed}), markup=SHOP.markup_steps)
    assert field in {problem.field for problem in refused.value.problems}


def test_the_first_line_of_a_new_work_is_priced_from_its_cost_too() -> None:
    form = {"title": "Seal the hub", "group": "should", **LINE, "cost": "4.50"}
    new = rules.read_work(Texts(form), (), (), markup=SHOP.markup_steps)
    assert [(line.what, line.price) for line in new.lines] == [("Grease seal", 720)]


BELOW_COST = {"cost": "40", "price": "38.75"}


def test_a_part_sold_for_less_than_it_costs_is_asked_once_and_kept_as_typed() -> None:
    with pytest.raises(Refused) as refused:
        rules.read_line(Texts({**LINE, **BELOW_COST}), markup=SHOP.markup_steps)
    [problem] = refused.value.problems
    assert (problem.field, problem.ask) == ("price", True)
    assert problem.says == "This is sold for less than it costs"
    sure = {**LINE, **BELOW_COST, "confirm-price": "38.75"}
    assert rules.read_line(Texts(sure), markup=SHOP.markup_steps).price == 3875  # never raised to the mark-up
    other = {**sure, "price": "38.70"}  # another price is another question
    with pytest.raises(Refused):
        rules.read_line(Texts(other), markup=SHOP.markup_steps)


@pytest.mark.parametrize(
    ("kind", "cost"), [("part", "38.75"), ("part", "0"), ("part", ""), ("outside", "40"), ("fee", "40")]
)
def test_a_price_that_covers_its_cost_or_is_no_parts_is_not_asked_about(kind: str, cost: str) -> None:
    typed = Texts({**LINE, "kind": kind, "cost": cost, "price": "38.75"})
    assert rules.read_line(typed, markup=SHOP.markup_steps).price == 3875


def test_the_loss_is_asked_about_in_a_new_work_too() -> None:
    form = {**LINE, **BELOW_COST, "title": "Bearings", "group": "should"}
    with pytest.raises(Refused, match="less than it costs"):
        rules.read_work(Texts(form), (), (), markup=SHOP.markup_steps)
    sure = {**form, "confirm-price": "38.75"}
    assert rules.read_work(Texts(sure), (), (), markup=SHOP.markup_steps).lines[0].price == 3875
