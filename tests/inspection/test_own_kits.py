"""A kit of the shop's own: added, told where it answers, priced by, put aside and never deleted."""

from collections.abc import Callable
from decimal import Decimal

import pytest
from sqlalchemy import Engine
from sqlmodel import Session, select

from app.bench import evidence
from app.estimate import steps
from app.estimate.tables import Work
from app.ground.book import reading, writing
from app.inspection import editing, facts
from app.inspection.catalogue import Catalogue, Kit
from app.inspection.kit_forms import read_answers, read_new_kit
from app.inspection.shop_changes import KitAside, KitsSet, differences, fitting, laid_over
from app.inspection.tables import Walk
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.conftest import Browser
from tests.estimate.arrived import BREAKAWAY, arrive, ledger, work_named, writer
from tests.inspection.walks import CATALOGUE

Signed = Callable[[str], Browser]
FORM = {
    "name": "Breakaway set of the house",
    "per": "unit",
    "hours": "0.8",
    "steps": "Fit the set.\nPull the pin and time it.",
    "part-name-1": "House breakaway set",
    "part-price-1": "54.00",
    "records": "breakaway",
    "cautions": "c2",
    "check": BREAKAWAY.check,
}
KEY = "own_breakaway_set_of_the_house"
ROOT = "/inspection/catalogue"


def read(**changed: str) -> Kit:
    return read_new_kit(
        Texts(FORM | {name.replace("_", "-"): it for name, it in changed.items()}), CATALOGUE
    ).kit


def with_own(*more: KitAside | KitsSet) -> Catalogue:
    added = read_new_kit(Texts(FORM), CATALOGUE)
    return laid_over(CATALOGUE, (added, *read_answers(Texts(FORM), CATALOGUE, added.kit), *more))


def test_a_kit_is_read_whole_from_its_form() -> None:
    kit = read()
    assert (kit.key, kit.per, kit.hours) == (KEY, "unit", Decimal("0.8"))
    assert kit.steps == ("Fit the set.", "Pull the pin and time it.")
    assert [(it.name, it.price, it.quantity) for it in kit.parts] == [
        ("House breakaway set", 5400, Decimal(1))
    ]
    assert (kit.records, kit.cautions, kit.aside) == (("breakaway",), ("c2",), False)


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "x"}, "name"),
        ({"name": "Fit a new coupler"}, "name"),  # k1 is called so
        ({"per": "mile"}, "per"),
        ({"hours": ""}, "hours"),
        ({"steps": " "}, "steps"),
        ({"records": "horoscope"}, "records"),
        ({"cautions": "c999"}, "cautions"),
        ({"part_price_1": ""}, "part-price-1"),
    ],
)
def test_what_no_kit_can_be_is_refused_beside_its_field(typed: dict[str, str], field: str) -> None:
    with pytest.raises(Refused) as refused:
        read(**typed)
    assert field in [it.field for it in refused.value.problems]


def test_a_name_without_latin_letters_gets_a_key_by_number() -> None:
    assert read(name="\u0421\u0442\u0443\u043f\u0438\u0446\u0430").key == f"own_{len(CATALOGUE.kits)}"


def test_it_comes_first_at_the_checks_that_it_answers_and_stands_where_it_is_taken_out() -> None:
    before, after = (each.check(BREAKAWAY.check).kits for each in (CATALOGUE, with_own()))
    assert after == (KEY, *before)
    [taken_out] = read_answers(Texts({}), with_own(), with_own().kit(KEY))
    assert with_own(taken_out).check(BREAKAWAY.check).kits == before
    with pytest.raises(Refused, match="not in the list"):
        read_answers(Texts({"check": "no.such"}), CATALOGUE, read())


def test_put_aside_it_is_kept_and_no_check_names_it() -> None:
    aside = with_own(KitAside(kit=KEY))
    assert aside.kit(KEY).aside
    assert KEY not in {kit.key for kit in aside.kits_offered}
    assert aside.check(BREAKAWAY.check) == CATALOGUE.check(BREAKAWAY.check)
    again = with_own(KitAside(kit=KEY, aside=False))
    assert again == with_own()
    with pytest.raises(Refused, match="put aside"):
        read_answers(Texts({}), aside, aside.kit(KEY))


def test_the_versions_tell_it_in_words() -> None:
    name = FORM["name"]
    assert f"New kit: {name}" in differences(CATALOGUE, with_own())
    assert f"Kit put aside: {name}" in differences(with_own(), with_own(KitAside(kit=KEY)))
    assert f"Kit taken up again: {name}" in differences(with_own(KitAside(kit=KEY)), with_own())


def test_a_newer_catalogue_keeps_it() -> None:
    newer = CATALOGUE.model_copy(update={"phrases": ("Owner told",)})
    added = read_new_kit(Texts(FORM), CATALOGUE)
    changes = (added, *read_answers(Texts(FORM), CATALOGUE, added.kit), KitAside(kit=KEY))
    assert fitting(newer, changes) == changes


# The pages


@pytest.fixture
def lee(signed: Signed, book: Engine) -> Browser:
    editing.keep_catalogue(book, CATALOGUE)
    return signed("Lee")


def send(it: Browser, book: Engine, path: str, **form: str) -> tuple[int, str]:
    with reading(book) as session:
        revision = str(facts.newest_version(session).key)
    named = {name.replace("__", "-"): text for name, text in form.items()}
    answer = it.post(f"{ROOT}/{path}", {"revision": revision, **named})
    return answer.status_code, answer.text


def add(it: Browser, book: Engine, **changed: str) -> tuple[int, str]:
    return send(
        it, book, "add-kit", **{name.replace("-", "__"): text for name, text in (FORM | changed).items()}
    )


def test_a_lead_adds_it_and_everyone_reads_it(lee: Browser, signed: Signed, book: Engine) -> None:
    toni = signed("Toni")
    assert "Add a kit of our own" not in toni.get(ROOT).text
    assert toni.get(f"{ROOT}/add-kit").status_code == 403
    assert "Add a kit of our own" in lee.get(ROOT).text
    assert 'name="check" value="bk.battery"' in lee.get(f"{ROOT}/add-kit").text
    assert add(lee, book)[0] == 303
    page = toni.get(f"{ROOT}/kits/{KEY}").text
    assert "Records asked for:</b> Breakaway." in page
    assert CATALOGUE.check(BREAKAWAY.check).name in page
    assert 'method="post"' not in page
    assert f"{ROOT}/kits/{KEY}" in toni.get(ROOT).text


def test_what_is_refused_comes_back_as_typed(lee: Browser, book: Engine) -> None:
    status, page = add(lee, book, hours="soon", **{"part-name-2": "Cable"})
    assert status == 422
    for words in ('value="soon"', 'value="Cable"', 'id="hours-fix"', 'id="part-price-2-fix"'):
        assert words in page
    assert 'name="check" value="bk.battery" checked' in page


def test_a_double_tap_adds_one(lee: Browser, book: Engine) -> None:
    answers = [add(lee, book, submission="twice", revision="1") for _ in range(2)]
    assert [status for status, _ in answers] == [303, 303]
    with reading(book) as session:
        assert len(facts.newest_catalogue(session).kits) == len(CATALOGUE.kits) + 1


def test_who_adds_from_an_old_page_is_told(lee: Browser, book: Engine) -> None:
    assert send(lee, book, "phrases", says="Owner told at the gate")[0] == 303
    status, page = add(lee, book, revision="1")
    assert status == 409
    assert FORM["name"] in page


def test_the_next_estimate_is_priced_by_it_and_the_last_one_keeps_it(lee: Browser, book: Engine) -> None:
    before = arrive(book, (BREAKAWAY,))
    assert add(lee, book)[0] == 303
    order = priced_anew(book)
    assert [line.what for line in work_named(book, order, FORM["name"]).lines][1] == "House breakaway set"
    assert send(lee, book, f"kits/{KEY}/aside", aside="yes")[0] == 303
    assert FORM["name"] not in lee.get(f"/estimate/{before}/add").text
    assert work_named(book, order, FORM["name"]).lines  # what was priced stands
    with reading(book) as session:
        work = session.get_one(Work, work_named(book, order, FORM["name"]).id)
        assert work.kit == KEY
        assert evidence.holds_of(session, work) == ()  # the kit is still found
    assert not [work for work in ledger(book, priced_anew(book)).works if work.title == FORM["name"]]


def priced_anew(book: Engine) -> int:
    """An order whose walk was made with the catalogue as it stands now, priced."""
    order = arrive(book, (BREAKAWAY,))
    with writing(book) as session:
        session.exec(select(Walk).where(Walk.work_order_id == order)).one().catalogue_id = newest(session)
    steps.price_findings(book, writer(book, order), order)
    return order


def newest(session: Session) -> int:
    return facts.newest_version(session).key


def test_a_walk_begun_before_is_priced_by_what_its_catalogue_named(lee: Browser, book: Engine) -> None:
    """Of a check's alternatives the first alone, also where the shop has put another before them since."""
    order = arrive(book, (BREAKAWAY,))
    assert add(lee, book)[0] == 303
    steps.price_findings(book, writer(book, order), order)
    assert [work.title for work in ledger(book, order).works] == [
        CATALOGUE.kit(CATALOGUE.check(BREAKAWAY.check).kits[0]).name
    ]


def test_a_kit_put_aside_is_taken_up_again(lee: Browser, book: Engine) -> None:
    assert add(lee, book)[0] == 303
    page = f"{ROOT}/kits/{KEY}"
    assert "Put this kit aside" in lee.get(page).text
    assert send(lee, book, f"kits/{KEY}/aside", aside="yes")[0] == 303
    assert "it is offered no more" in lee.get(page).text
    assert "Kits put aside" in lee.get(ROOT).text
    assert "Save its checks" not in lee.get(page).text
    assert send(lee, book, f"kits/{KEY}/checks", check="bk.battery")[0] == 422
    assert send(lee, book, f"kits/{KEY}/aside", aside="no")[0] == 303
    assert "it is offered no more" not in lee.get(page).text
    assert "Kits put aside" not in lee.get(ROOT).text


def test_a_kit_that_ships_is_never_put_aside(lee: Browser, book: Engine) -> None:
    assert "Put this kit aside" not in lee.get(f"{ROOT}/kits/k1").text
    status, page = send(lee, book, "kits/k1/aside", aside="yes")
    assert (status, "This kit came with the program" in page) == (422, True)


def test_the_checks_of_any_kit_are_set_on_its_page(lee: Browser, book: Engine) -> None:
    assert send(lee, book, "kits/k1/checks", check="bk.battery")[0] == 303
    with reading(book) as session:
        kits = facts.newest_catalogue(session).check("bk.battery").kits
    assert kits[0] == "k1"
    assert "k1" not in dict.fromkeys(CATALOGUE.check("bk.battery").kits)


def test_checks_set_by_two_at_once_are_shown_side_by_side(lee: Browser, book: Engine) -> None:
    assert send(lee, book, "phrases", says="Owner told at the gate")[0] == 303
    status, page = send(lee, book, "kits/k1/checks", check="bk.battery", revision="1")
    assert status == 409
    assert "Yours, not saved: <b>" in page
