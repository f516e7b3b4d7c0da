"""A shop may be stricter than the law, never looser."""

from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.inspection.catalogue import Catalogue, Check, Limit, Measure, read_catalogue
from app.inspection.ruling import weight
from app.inspection.stricter import loosened
from app.trade.figure import COMMON_PRACTICE, By, Grade, Source

LAW = Source("49 CFR", "570.62(a)")  # not less than 2/32 in
SEED = read_catalogue(Path(__file__).parents[2] / "seed_data" / "catalogue")


def under(number: str, grade: Grade, *, law: bool = False, by: By | None = None) -> Limit:
    return Limit(under=Decimal(number), grade=grade, by=by, says="too thin", source=LAW, law=law)


LAWFUL = (under("2", Grade.DNT, law=True), under("4", Grade.NEEDS, by=By.SOON))


def book(*limits: Limit, **changes: object) -> Catalogue:
    fields = {"key": "least", "label": "Tread", "unit": "in_32nd", "limits": limits, **changes}
    measure = Measure.model_validate(fields)
    return Catalogue(checks=(a_check((measure,)),), kits=(), cautions=())


def a_check(measures: tuple[Measure, ...], kinds: tuple[str, ...] = ("travel", "boat")) -> Check:
    fields = {
        "key": "ti.tread",
        "name": "Tread depth",
        "system": "tires",
        "kinds": kinds,
        "places": "tire",
        "depth": ("quick",),
        "station": 0,
        "look": "Gauge it.",
        "measure": measures,
    }
    return Check.model_validate(fields)


@pytest.mark.parametrize(
    "limits",
    [
        LAWFUL,
        (under("3", Grade.DNT),),  # stricter
        (under("2", Grade.DNT), under("6", Grade.NEEDS, by=By.TOWING)),
        (under("2", Grade.DNT),),  # the shop's own aim at 4 may go
    ],
)
def test_as_strict_or_stricter_is_taken(limits: tuple[Limit, ...]) -> None:
    assert loosened(book(*LAWFUL), book(*limits)) == []


@pytest.mark.parametrize(
    "limits",
    [
        (),
        (under("1", Grade.DNT),),
        (under("1.99", Grade.DNT),),
        (under("2", Grade.NEEDS, by=By.TOWING),),
        (under("1", Grade.WATCH), under("2", Grade.DNT)),  # the first that applies wins
        (Limit(over=Decimal(2), grade=Grade.DNT, says="over", source=COMMON_PRACTICE),),
    ],
)
def test_looser_is_named(limits: tuple[Limit, ...]) -> None:
    (says,) = loosened(book(*LAWFUL), book(*limits))
    assert says.startswith("ti.tread: Tread at ")


def test_measure_check_kind_and_unit_have_to_stay() -> None:
    law = book(*LAWFUL)
    assert loosened(law, Catalogue(checks=(), kits=(), cautions=())) == [
        "ti.tread: the law sets limits here, the check has to stay"
    ]
    assert loosened(law, Catalogue(checks=(a_check(()),), kits=(), cautions=())) == [
        "ti.tread: Tread has to stay, in its unit"
    ]
    assert loosened(law, book(*LAWFUL, unit="mm")) == ["ti.tread: Tread has to stay, in its unit"]
    assert loosened(law, book(*LAWFUL, required=False)) == ["ti.tread: Tread has to be read"]
    only_travel = a_check(law.checks[0].measures, kinds=("travel",))
    assert loosened(law, Catalogue(checks=(only_travel,), kits=(), cautions=())) == [
        "ti.tread: left out for boat"
    ]


def test_an_answer_that_the_law_grades_stays_as_heavy() -> None:
    def asked(grade: Grade, *, law: bool) -> Catalogue:
        limit = Limit(value="none", grade=grade, says="no chain", source=COMMON_PRACTICE, law=law)
        return book(limit, kind="choice", choices=("one", "none"), unit="")

    lawful = asked(Grade.DNT, law=True)
    assert loosened(lawful, asked(Grade.DNT, law=False)) == []
    assert loosened(lawful, asked(Grade.WATCH, law=False)) == [
        "ti.tread: Tread at none may not be lighter than the law"
    ]


def test_what_no_law_sets_is_free() -> None:
    assert (
        loosened(book(under("4", Grade.NEEDS, by=By.SOON)), Catalogue(checks=(), kits=(), cautions=())) == []
    )


def test_the_catalogue_that_ships_keeps_its_own_law() -> None:
    assert loosened(SEED, SEED) == []


GRADES = [(Grade.DNT, None), (Grade.NEEDS, By.TOWING), (Grade.NEEDS, By.SOON), (Grade.WATCH, None)]
LIMITS = st.lists(
    st.builds(
        lambda number, graded: under(str(number), graded[0], by=graded[1]),
        st.integers(0, 8),
        st.sampled_from(GRADES),
    ),
    max_size=4,
)


def grade_at(limits: tuple[Limit, ...], number: Decimal) -> tuple[int, int]:
    for limit in limits:
        if limit.applies_to(number):
            return weight(limit.grade, limit.by)
    return weight(Grade.SOUND, None)


@given(LIMITS, st.decimals(-2, 12, places=3))
def test_nothing_looser_slips_through(limits: list[Limit], number: Decimal) -> None:
    if loosened(book(*LAWFUL), book(*limits)):
        return
    lawful = number < 2  # 49 CFR 570.62(a)
    assert not lawful or grade_at(tuple(limits), number) <= weight(Grade.DNT, None)
