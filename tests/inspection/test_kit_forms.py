"""A kit as a shop sets it: hours, parts, fees, steps; what stands for safety stays as shipped."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.estimate.tables import Work, WorkLine
from app.ground.book import reading
from app.inspection import editing, facts
from app.inspection.catalogue import Catalogue, Kit
from app.inspection.kit_forms import read_kit, texts_of
from app.inspection.shop_changes import KitEdited, differences, fitting, laid_over
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.conftest import Browser
from tests.estimate.arrived import BREAKAWAY, ledger, priced
from tests.inspection.walks import CATALOGUE

Signed = Callable[[str], Browser]
COUPLER = CATALOGUE.kit("k1")  # 1.5 h, coupler 89.00, two bolts at 4.50, supplies 4.00, step 8 held
PAGE = "/inspection/catalogue/kits/k1"


def said(kit: Kit = COUPLER, /, **changed: str) -> KitEdited:
    return read_kit(Texts(texts_of(kit) | {name.replace("_", "-"): it for name, it in changed.items()}), kit)


def edited(**changed: str) -> Kit:
    return laid_over(CATALOGUE, (said(**changed),)).kit("k1")


def fields_wrong(**changed: str) -> list[str]:
    with pytest.raises(Refused) as refused:
        said(**changed)
    return [it.field for it in refused.value.problems]


@pytest.mark.parametrize("kit", CATALOGUE.kits, ids=lambda kit: kit.key)
def test_a_form_sent_as_it_was_shown_changes_no_kit(kit: Kit) -> None:
    after = laid_over(CATALOGUE, (said(kit),))
    assert after.kit(kit.key) == kit
    assert differences(CATALOGUE, after) == []


def test_hours_prices_and_quantities_are_the_shops() -> None:
    kit = edited(hours="2.4", part_price_1="112.50", part_quantity_2="4", fee_price_1="6")
    assert kit.hours == Decimal("2.4")
    assert [(it.price, it.quantity) for it in kit.parts] == [(11250, Decimal(1)), (450, Decimal(4))]
    assert [fee.price for fee in kit.fees] == [600]


def test_a_row_emptied_is_left_out_and_a_row_filled_is_added() -> None:
    more = {"part_name_3": "Thread lock", "part_quantity_3": "0.1", "part_price_3": "9"}
    fee = {"fee_name_2": "Old coupler to scrap", "fee_of_2": "disposal", "fee_price_2": "5.00"}
    kit = edited(part_price_1="", **more, **fee)
    assert [it.name for it in kit.parts] == ["Coupler bolt, locknut and washers, graded", "Thread lock"]
    assert (kit.parts[1].quantity, kit.parts[1].price, kit.parts[1].per) == (Decimal("0.1"), 900, "unit")
    assert [(it.name, it.category, it.price) for it in kit.fees][1:] == [
        ("Old coupler to scrap", "disposal", 500)
    ]
    assert edited(part_quantity_2="0").parts == (COUPLER.parts[0],)
    assert edited(fee_price_1="").fees == ()


@pytest.mark.parametrize(
    ("typed", "fields"),
    [
        ({"hours": ""}, ["hours"]),
        ({"hours": "1.45"}, ["hours"]),  # labour is sold in tenths of an hour
        ({"hours": "101"}, ["hours"]),
        ({"hours": "soon"}, ["hours"]),
        ({"part_price_1": "-1"}, ["part-price-1"]),
        ({"part_price_1": "8.9.0"}, ["part-price-1"]),
        ({"part_quantity_1": "1001"}, ["part-quantity-1"]),
        ({"part_quantity_1": "101"}, ["part-quantity-1"]),  # asked about
        ({"part_name_3": "Thread lock"}, ["part-price-3"]),
        ({"part_name_3": "x", "part_price_3": "1"}, ["part-name-3"]),
        ({"part_name_3": "Bolt", "part_price_3": "1", "part_of_3": "tip"}, ["part-of-3"]),
        ({"part_name_4": COUPLER.parts[0].name, "part_price_4": "1"}, ["part-name-4"]),
        ({"fee_name_2": "Shop supplies", "fee_price_2": "1"}, ["fee-name-2"]),
        ({"steps": " "}, ["steps"]),
        ({"steps": "x" * 8001}, ["steps"]),
        ({"hours": "", "part_price_1": "?", "fee_price_1": "?"}, ["hours", "part-price-1", "fee-price-1"]),
    ],
)
def test_what_no_kit_can_be_is_refused_beside_its_field(typed: dict[str, str], fields: list[str]) -> None:
    assert fields_wrong(**typed) == fields


def test_the_step_that_a_second_person_signs_moves_with_its_words_and_is_never_lost() -> None:
    held = COUPLER.steps[7]
    steps = ["Take a picture of the old coupler.", *COUPLER.steps[:3], held]
    assert edited(steps="\n".join(steps)).holds == (5,)
    with pytest.raises(Refused) as refused:
        edited(steps="\n".join(COUPLER.steps[:7]))
    [problem] = refused.value.problems
    assert problem.field == "steps"
    assert held in problem.says


def test_records_and_cautions_are_not_the_shops_to_leave_out() -> None:
    kit = edited(hours="9.9", part_price_1="", part_price_2="", fee_price_1="")
    assert (kit.records, kit.cautions, kit.outside) == (COUPLER.records, COUPLER.cautions, COUPLER.outside)


def test_a_newer_catalogue_keeps_the_shops_kit_and_drops_one_whose_held_step_was_reworded() -> None:
    change = said(hours="2.4")
    renamed = COUPLER.model_copy(update={"name": "Fit a coupler"})
    assert laid_over(shipping(renamed), fitting(shipping(renamed), (change,))).kit("k1").hours == Decimal(
        "2.4"
    )
    reworded = COUPLER.model_copy(update={"steps": (*COUPLER.steps[:7], "Do the lift test twice.")})
    assert fitting(shipping(reworded), (change,)) == ()


def shipping(kit: Kit) -> Catalogue:
    kits = tuple(kit if it.key == kit.key else it for it in CATALOGUE.kits)
    return CATALOGUE.model_copy(update={"kits": kits})


def test_what_changed_in_a_kit_is_told_in_words() -> None:
    change = said(hours="2.4", part_price_1="112.50", part_quantity_2="", steps=COUPLER.steps[7])
    assert differences(CATALOGUE, laid_over(CATALOGUE, (change,))) == [
        "Kit Fit a new coupler, labour: 2.4 h (was 1.5 h)",
        "Kit Fit a new coupler, Coupler, size and rating of the sheet: 1 at 112.50 (was 1 at 89.00)",
        "Kit Fit a new coupler, Coupler bolt, locknut and washers, graded: left out (was 2 at 4.50)",
        "Kit Fit a new coupler: steps worded otherwise",
    ]


# The page


@pytest.fixture
def lee(signed: Signed, book: Engine) -> Browser:
    editing.keep_catalogue(book, CATALOGUE)
    return signed("Lee")


def sent(book: Engine, key: str = "k1", **changed: str) -> dict[str, str]:
    with reading(book) as session:
        row, kit = facts.newest_version(session), facts.newest_catalogue(session).kit(key)
    own = {name.replace("_", "-"): text for name, text in changed.items()}
    return {**texts_of(kit), "revision": str(row.key), "submission": f"kit-{row.key}", **own}


def test_a_lead_changes_a_kit_everyone_reads_it_and_its_version_is_kept(
    lee: Browser, signed: Signed, book: Engine
) -> None:
    toni = signed("Toni")
    assert 'method="post"' not in toni.get(PAGE).text
    assert "A second person looks at this and signs." in toni.get(PAGE).text
    assert toni.post(PAGE, sent(book)).status_code == 403
    assert lee.get("/inspection/catalogue/kits/k999").status_code == 404
    assert lee.post(PAGE, sent(book, hours="2.4")).status_code == 303
    assert "Sold per unit: 2.4 h of labour" in toni.get(PAGE).text
    page = toni.get("/inspection/catalogue").text
    assert "Kit Fit a new coupler, labour: 2.4 h (was 1.5 h)" in page
    assert f'href="{PAGE}"' in page
    assert "/accounts/kits" not in page  # not a technician's page
    assert "/accounts/kits" in lee.get("/inspection/catalogue").text


def test_a_kit_that_cannot_be_kept_comes_back_as_typed(lee: Browser, book: Engine) -> None:
    answer = lee.post(PAGE, sent(book, hours="1.45", part_price_1="12x", part_name_3="Thread lock"))
    assert answer.status_code == 422
    for words in (
        'value="1.45"',
        'value="12x"',
        'value="Thread lock"',
        'id="hours-fix"',
        "is finer than tenths",
    ):
        assert words in answer.text
    held = lee.post(PAGE, sent(book, steps="Do it."))
    assert held.status_code == 422
    assert "so it stays word for word" in held.text
    assert ">Do it.</textarea>" in held.text


def test_two_who_change_a_kit_are_shown_both(lee: Browser, book: Engine) -> None:
    late = sent(book, hours="3")
    assert lee.post(PAGE, sent(book, hours="2.4")).status_code == 303
    answer = lee.post(PAGE, late | {"submission": "late"})
    assert answer.status_code == 409
    assert "In the book now: <b>2.4</b>" in answer.text
    assert "Yours, not saved: <b>3</b>" in answer.text


def test_the_next_estimate_is_priced_by_the_shops_kit_and_the_last_one_stays(
    lee: Browser, book: Engine
) -> None:
    before = priced(book, (BREAKAWAY,))  # 1.2 h at 125.00 first, by kit k5
    with reading(book) as session:
        k5 = facts.newest_catalogue(session).kit("k5")
    typed = sent(book, "k5", hours="2", part_price_1="30.00")
    assert lee.post("/inspection/catalogue/kits/k5", typed).status_code == 303
    after = priced(book, (BREAKAWAY,))
    assert [labour_of(book, order) for order in (before, after)] == ["1.2", "2"]
    prices = {line.what: line.price for work in ledger(book, after).works for line in work.lines}
    assert prices[k5.parts[0].name] == 3000
    with reading(book) as session:
        assert len(session.exec(select(Work)).all()) == 2


def labour_of(book: Engine, order_id: int) -> str:
    with reading(book) as session:
        works = select(Work.id).where(Work.work_order_id == order_id)
        labour = select(WorkLine.quantity).where(WorkLine.kind == "labour")
        return session.exec(labour.where(WorkLine.work_id == session.exec(works).one())).one()
