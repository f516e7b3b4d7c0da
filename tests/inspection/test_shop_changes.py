"""What a shop may change in the catalogue, what the law forbids, and that walks keep their version."""

from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Engine

from app.ground.book import reading
from app.ground.receipts import Stale
from app.inspection import editing, facts
from app.inspection.catalogue import Catalogue, Check
from app.inspection.readings import read_readings
from app.inspection.rules import grade_of
from app.inspection.shop_changes import (
    AnyChange,
    CheckAdded,
    KitsSet,
    LimitSet,
    PhraseSet,
    differences,
    fitting,
    laid_over,
    with_change,
)
from app.inspection.stricter import loosened
from app.trade.figure import Grade
from app.trade.problems import Refused
from tests.conftest import NOON, act
from tests.inspection.walks import CATALOGUE, begun

OWN = Check.model_validate(
    {
        "key": "ow.awning",
        "name": "Awning arms",
        "system": "body",
        "kinds": ["travel"],
        "places": "unit",
        "depth": ["full"],
        "station": 6,
        "look": "Open the awning and look along both arms.",
        "defect": [
            {"key": "bent", "says": "Arm bent", "grade": "watch", "source": {"title": "limit of this shop"}}
        ],
    }
)


def tread(*numbers: str) -> LimitSet:
    """Numbers for do not tow, needs soon and watch of the tread, in 1/32 in; empty as shipped."""
    given = tuple(Decimal(number) if number else None for number in numbers)
    return LimitSet(check="ti.tread", measure="least", numbers=given)


def graded(catalogue: Catalogue, typed: str) -> Grade:
    check = catalogue.check("ti.tread")
    found = read_readings(check, {"reading-least": typed}, {"reading-least"}, NOON.date())
    return grade_of(check.measure("least"), found["least"])


def test_a_stricter_number_stands_beside_the_laws() -> None:
    shop = laid_over(CATALOGUE, [tread("3", "", "")])
    # 49 CFR 570.62(a): under 2/32 in; the shop asks for 3/32
    assert [graded(shop, each) for each in ("1.9", "2.9", "3", "4")] == [
        Grade.DNT,
        Grade.DNT,
        Grade.NEEDS,
        Grade.WATCH,
    ]
    laws = [limit.law for limit in shop.check("ti.tread").measure("least").limits]
    assert laws == [True, False, False, False]  # only the law's own number holds as law


def test_a_lighter_number_than_the_laws_changes_nothing_under_it() -> None:
    shop = laid_over(CATALOGUE, [tread("1", "", "")])
    assert graded(shop, "1.9") is Grade.DNT  # 49 CFR 570.62(a)


def test_common_practice_may_become_another_number() -> None:
    shop = laid_over(CATALOGUE, [tread("", "6", "8")])
    assert [graded(shop, each) for each in ("5.9", "7.9", "8")] == [Grade.NEEDS, Grade.WATCH, Grade.SOUND]


@given(st.lists(st.one_of(st.none(), st.decimals("0", "40", places=1)), min_size=3, max_size=3))
def test_no_numbers_whatever_loosen_the_law(numbers: list[Decimal | None]) -> None:
    change = LimitSet(check="ti.tread", measure="least", numbers=tuple(numbers))
    try:
        shop = laid_over(CATALOGUE, [change])
    except Refused:
        return
    assert loosened(CATALOGUE, shop) == []
    assert graded(shop, "1.9") is Grade.DNT  # 49 CFR 570.62(a)


@pytest.mark.parametrize(
    "change",
    [
        LimitSet(check="ti.nothing", measure="least", numbers=()),
        LimitSet(check="ti.tread", measure="most", numbers=()),
        LimitSet(check="ti.tread", measure="least", numbers=(Decimal(3),)),
        KitsSet(check="ti.tread", kits=("no kit",)),
        KitsSet(check="ti.tread", defect="nothing", kits=()),
        CheckAdded(check=OWN.model_copy(update={"kits": ("no kit",)})),
    ],
)
def test_what_does_not_fit_the_catalogue_is_refused(change: AnyChange) -> None:
    with pytest.raises(Refused):
        laid_over(CATALOGUE, [change])


def test_a_later_change_of_the_same_takes_its_place() -> None:
    changes = with_change(with_change((), tread("3", "", "")), tread("", "6", ""))
    assert changes == (tread("", "6", ""),)
    assert len(with_change(changes, PhraseSet(says="Left open"))) == 2


def test_checks_kits_and_phrases_are_laid_over() -> None:
    kit = CATALOGUE.kits[0].key
    changes = [
        CheckAdded(check=OWN),
        KitsSet(check="ti.tread", kits=(kit,)),
        PhraseSet(says="Left open"),
        PhraseSet(says=CATALOGUE.phrases[0], kept=False),
    ]
    shop = laid_over(CATALOGUE, changes)
    assert shop.check("ow.awning") == OWN
    assert shop.check("ti.tread").kits == (kit,)
    assert shop.phrases[-1] == "Left open"
    assert CATALOGUE.phrases[0] not in shop.phrases


def test_what_differs_is_said_in_words() -> None:
    shop = laid_over(CATALOGUE, [tread("", "6", ""), CheckAdded(check=OWN), PhraseSet(says="Left open")])
    said = differences(CATALOGUE, shop)
    assert "New check: Awning arms" in said
    assert "New phrase: Left open" in said
    (limits,) = [each for each in said if each.startswith("Tread depth")]
    assert "needs work under 6/32\u00a0in" in limits
    assert "(was " in limits
    assert differences(shop, shop) == []
    assert "Check left out: Awning arms" in differences(shop, CATALOGUE)


def test_a_newer_catalogue_keeps_what_fits() -> None:
    fewer = CATALOGUE.model_copy(
        update={"checks": tuple(check for check in CATALOGUE.checks if check.key != "ti.tread")}
    )
    assert fitting(fewer, [tread("3", "", ""), PhraseSet(says="Left open")]) == (PhraseSet(says="Left open"),)


# In the book


def standing(book: Engine) -> tuple[int, Catalogue]:
    with reading(book) as session:
        return facts.newest_version(session).key, facts.newest_catalogue(session)


def test_a_walk_keeps_the_version_that_it_began_with(book: Engine) -> None:
    walk = begun(book)
    editing.change_catalogue(book, act(seen=standing(book)[0]), tread("", "9", ""))
    with reading(book) as session:
        kept = facts.catalogue_of(session, walk)
    assert graded(kept, "8") is Grade.SOUND  # at least 5/32: as it was shipped (common practice)
    assert graded(standing(book)[1], "8") is Grade.NEEDS


def test_a_change_is_kept_once_and_never_over_one_that_was_not_seen(book: Engine) -> None:
    editing.keep_catalogue(book, CATALOGUE)
    seen = standing(book)[0]
    once = act(seen=seen)
    made = editing.change_catalogue(book, once, PhraseSet(says="Left open"))
    assert editing.change_catalogue(book, once, PhraseSet(says="Left open")) == made
    with pytest.raises(Stale):
        editing.change_catalogue(book, act(seen=seen), PhraseSet(says="Another"))


def test_the_start_of_the_program_leaves_the_shops_catalogue_in_force(book: Engine) -> None:
    first = editing.keep_catalogue(book, CATALOGUE)
    changed = editing.change_catalogue(book, act(seen=first), tread("", "9", ""))
    assert editing.keep_catalogue(book, CATALOGUE) == first
    assert standing(book)[0] == changed


def test_a_newer_shipped_catalogue_gets_the_shops_changes(book: Engine) -> None:
    first = editing.keep_catalogue(book, CATALOGUE)
    editing.change_catalogue(book, act(seen=first), PhraseSet(says="Left open"))
    newer = laid_over(CATALOGUE, [CheckAdded(check=OWN)])
    editing.keep_catalogue(book, newer)
    now = standing(book)[1]
    assert "Left open" in now.phrases
    assert now.check("ow.awning") == OWN


def test_going_back_to_the_shipped_number_is_a_version_too(book: Engine) -> None:
    first = editing.keep_catalogue(book, CATALOGUE)
    second = editing.change_catalogue(book, act(seen=first), tread("", "9", ""))
    third = editing.change_catalogue(book, act(seen=second), tread("", "", ""))
    assert standing(book) == (third, CATALOGUE)
    with reading(book) as session:
        said = [each.says for each in editing.versions(session)]
    assert [len(says) for says in said] == [1, 1, 0]
