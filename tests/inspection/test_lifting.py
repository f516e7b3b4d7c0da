"""Findings that weigh more together than alone."""

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.inspection.catalogue import read_catalogue
from app.inspection.lifting import Found, combined
from app.inspection.ruling import weight
from app.trade.figure import By, Grade

CATALOGUE = read_catalogue(Path(__file__).parents[2] / "seed_data" / "catalogue")

D = "dnt"
B = "needs towing"
U = "needs use"
N = "needs soon"
W = "watch"
S = "sound"
X = "unseen"


def finding(check: str, place: str = "unit", grade: str = N, system: str = "", seen: str = "") -> Found:
    word, _, by = grade.partition(" ")
    return Found(check, system, place, Grade(word), By(by) if by else None, frozenset({seen} - {""}))


def lifted(*findings: Found) -> list[tuple[str, str, str]]:
    return [
        (it.check, it.place, str(it.grade) if it.by is None else f"{it.grade} {it.by}")
        for it in combined(findings)
    ]


LEFT, RIGHT = "tire-1-left", "tire-1-right"


@pytest.mark.parametrize(
    ("findings", "expected"),
    [
        ([finding("ti.age", LEFT), finding("ti.crack", LEFT, W)], [("ti.age", LEFT, B)]),
        ([finding("ti.age", LEFT), finding("ti.crack", LEFT, B)], [("ti.crack", LEFT, D)]),
        ([finding("ti.age", LEFT), finding("ti.crack", RIGHT, W)], []),
        ([finding("ti.age", LEFT, W), finding("ti.crack", LEFT, W)], []),
        ([finding("ti.age", LEFT), finding("ti.load", "axle-1", W)], [("ti.age", LEFT, B)]),
        ([finding("ti.age", LEFT), finding("ti.load", "axle-2", W)], []),
        ([finding("ti.age", LEFT), finding("ti.load", "axle-1", D)], []),  # nothing heavier than do not tow
        (
            [
                finding("su.leaf", "wheel-1-left", N, "suspension"),
                finding("su.bush", "wheel-1-left", N, "suspension"),
            ],
            [("su.leaf", "wheel-1-left", B)],
        ),
        (
            [
                finding("su.leaf", "wheel-1-left", N, "suspension"),
                finding("su.bush", "wheel-2-left", N, "suspension"),
            ],
            [],
        ),
        (
            [finding("rd.heat", "hub-1-left", B), finding("hb.seal", "hub-1-left")],
            [("rd.heat", "hub-1-left", D)],
        ),
        ([finding("rd.heat", "hub-1-left", B), finding("hb.seal", "hub-1-right")], []),
        ([finding("ti.wear", LEFT), finding("su.square", "axle-1")], [("ti.wear", LEFT, B)]),
        ([finding("ti.wear", LEFT), finding("su.square", "axle-2")], []),
        ([finding("cp.rating", grade=B), finding("cp.slack", grade=B)], [("cp.rating", "unit", D)]),
        ([finding("cp.rating", grade=B), finding("cp.slack")], []),
        ([finding("cp.rating", grade=B), finding("jk.tongue", grade=B)], []),
        ([finding("bo.moist"), finding("bo.floor"), finding("fr.body", grade=B)], [("fr.body", "unit", D)]),
        ([finding("bo.moist"), finding("bo.floor")], []),
        ([finding("fs.co", grade=U), finding("lp.furnace", grade=X)], [("lp.furnace", "unit", U)]),
        (
            [finding("fs.co", grade=X), finding("lp.range", grade=X)],
            [("fs.co", "unit", U), ("lp.range", "unit", U)],
        ),
        ([finding("fs.co", grade=S), finding("lp.furnace", grade=X)], []),
        ([finding("id.label"), finding("ti.load", "axle-1", X)], [("ti.load", "axle-1", D)]),
        ([finding("id.label", grade=S), finding("ti.load", "axle-1", X)], []),
        ([finding("ti.age", "spare", U), finding("ti.crack", "spare", W)], []),
        ([finding("ti.age", "spare"), finding("ti.crack", "spare", B)], [("ti.crack", "spare", U)]),
    ],
)
def test_findings_that_weigh_more_together(
    findings: list[Found], expected: list[tuple[str, str, str]]
) -> None:
    assert lifted(*findings) == expected


def test_a_lift_names_its_reason_and_its_others() -> None:
    (made,) = combined([finding("ti.age", LEFT), finding("ti.crack", LEFT, W)])
    assert made.reason == "an old tire that is cracked or has little load to spare"
    assert made.others == (("ti.crack", LEFT),)


GRADES = [D, B, U, N, W, S, X]
ANY_FINDING = st.builds(
    finding,
    st.sampled_from([check.key for check in CATALOGUE.checks]),
    st.sampled_from([LEFT, "wheel-1-left", "hub-1-left", "axle-1", "unit", "spare"]),
    st.sampled_from(GRADES),
    st.sampled_from(["suspension", "tires"]),
)


@given(st.lists(ANY_FINDING, max_size=12, unique_by=lambda found: (found.check, found.place)))
def test_combining_only_ever_lifts(findings: list[Found]) -> None:
    stood = {(found.check, found.place): found.weight for found in findings}
    made = combined(findings)
    assert all(weight(it.grade, it.by) < stood[it.check, it.place] for it in made)
    assert len({(it.check, it.place) for it in made}) == len(made)


@given(st.lists(ANY_FINDING, max_size=12, unique_by=lambda found: (found.check, found.place)))
def test_a_lift_names_findings_that_are_there(findings: list[Found]) -> None:
    there = {(found.check, found.place) for found in findings}
    for made in combined(findings):
        assert (made.check, made.place) in there
        assert set(made.others) <= there - {(made.check, made.place)}
        assert made.reason
        assert (made.by is not None) == (made.grade is Grade.NEEDS)


@given(st.lists(ANY_FINDING, max_size=8, unique_by=lambda found: (found.check, found.place)), ANY_FINDING)
def test_one_finding_more_never_takes_a_lift_away(findings: list[Found], more: Found) -> None:
    if (more.check, more.place) in {(found.check, found.place) for found in findings}:
        return
    before = {(made.check, made.place): weight(made.grade, made.by) for made in combined(findings)}
    grades = {(found.check, found.place): found.weight for found in [*findings, more]}
    for made in combined([*findings, more]):
        grades[made.check, made.place] = weight(made.grade, made.by)
    heaviest = min(grades.values())
    assert not before or heaviest <= min(before.values())


def test_a_corner_is_told_from_an_axle() -> None:
    inner = finding("wh.torque", "wheel-2-left-inner")
    assert (inner.corner, inner.axle) == (("2", "left"), "2")
    axle = finding("su.beam", "axle-2")
    assert (axle.corner, axle.axle) == (None, "2")
    assert (finding("ti.age", "spare").corner, finding("ti.age", "spare").axle) == (None, "")


def test_nothing_combines_with_itself_or_with_nothing() -> None:
    assert combined([]) == []
    for check in CATALOGUE.checks:
        alone = [finding(check.key, LEFT, grade, check.system) for grade in (D, B, U, N, W, S, X)]
        assert all(combined([one]) == [] for one in alone)
