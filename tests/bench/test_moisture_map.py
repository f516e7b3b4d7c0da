"""A moisture map as a record: points, limits, the last map beside the new one, what is refused."""

import pytest

from app.bench.records.moisture_map import KIND, MoistureMap
from app.trade.figure import Grade
from app.trade.typed import Texts
from tests.bench.contexts import context
from tests.bench.test_kinds import FORMS, judged, problems

FORM = FORMS["moisture_map"]


def kept(**changed: str) -> MoistureMap:
    """Three points, dry."""
    return KIND.read(Texts({**FORM, **changed}), context())


@pytest.mark.parametrize(
    ("changed", "grade"),
    [
        ({"p-2": "18"}, Grade.SOUND),  # dry to 18 %: common practice
        ({"p-2": "19"}, Grade.WATCH),
        ({"p-2": "21"}, Grade.NEEDS),
        ({"p-2": "29"}, Grade.NEEDS),  # near fibre saturation: Forest Products Laboratory report 2147
        ({"stage": "close"}, Grade.NEEDS),  # 16 %, over 15 before it is closed: common practice
        ({"was-3": "8"}, Grade.WATCH),  # 3 points wetter than on the last map
        ({"was-3": "9"}, Grade.SOUND),
    ],
)
def test_the_wettest_point_decides(changed: dict[str, str], grade: Grade) -> None:
    assert judged("moisture_map", **changed).verdict.grade is grade


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"p-1": "101"}, "p-1"),
        ({"p-1": "x"}, "p-1"),
        ({"at-1": ""}, "at-1"),
        ({"at-1": "61"}, "at-1"),
        ({"side-1": "keel"}, "side-1"),
        ({"side-2": "road", "at-2": "2", "where-2": "below the window"}, "where-2"),
        ({"stage": ""}, "stage"),
        ({"meter": ""}, "meter"),
        ({"p-1": "", "p-2": "", "p-3": ""}, "p-1"),
    ],
)
def test_what_cannot_be_is_refused_at_its_field(changed: dict[str, str], field: str) -> None:
    assert field in {each.field for each in problems("moisture_map", **changed) if not each.ask}


def test_a_reading_off_the_meter_is_asked() -> None:
    assert ("p-1", True) in {(each.field, each.ask) for each in problems("moisture_map", **{"p-1": "70"})}


def test_the_next_map_begins_with_the_same_points() -> None:
    form = KIND.start(context(before=kept().model_dump(mode="json")))
    assert (form["side-1"], form["at-1"], form["was-1"], form["p-1"]) == ("road", "2", "12.5", "")
    assert form["stage"] == "after"


def test_points_lie_on_their_side_as_far_as_they_are_from_the_front() -> None:
    strips = KIND.draw(Texts(FORM), context())["strips"]
    assert isinstance(strips, tuple)
    assert [strip.word for strip in strips] == ["Road side", "Rear", "Floor"]
    assert strips[0].spots[0].x < strips[2].spots[0].x  # 2 ft and 14 ft
    assert not strips[0].spots[0].wet


def test_more_points_make_more_lines_up_to_the_last() -> None:
    many = {f"p-{n}": "12" for n in range(1, 25)} | {f"at-{n}": str(n) for n in range(1, 25)}
    assert len(KIND.draw(Texts(many), context())["lines"]) == 24  # type: ignore[arg-type]  # a range
