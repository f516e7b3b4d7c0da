"""A record is told short: what is plain stands with its likes in a paragraph; every line stands once."""

from collections import Counter

from hypothesis import given
from hypothesis import strategies as st

from app.handover.folding import folded, together
from app.handover.record import Line
from app.trade.figure import Grade

WET, STUCK = "Not looked at (wet roof)", "Not looked at (drum stuck)"


def line(name: str, where: str = "", **more: object) -> Line:
    """A plain sound line of the curb side; `where` is the end of its name."""
    told = {
        "finding_id": 1,
        "check": name,
        "place": where or "unit",
        "name": f"{name}, {where}" if where else name,
        "station": 3,
        "state": Grade.SOUND,
        "fitted": True,
        "got": "looked at",
        "where": where,
        "plain": True,
    }
    return Line.model_validate({**told, **more})


def unseen(name: str, why: str, where: str = "") -> Line:
    """A line that nobody looked at."""
    return line(name, where, state=Grade.UNSEEN, got=why)


def test_what_says_something_keeps_its_row_in_its_order() -> None:
    read = line("Tread depth", "right tire, axle 1", plain=False, got="7/32 in")
    held = line("Tire age", "right tire, axle 1", plain=False, state=Grade.DNT)
    told = folded([line("Valves", "right tire, axle 1"), held, read])
    assert told.rows == (held, read)
    assert [fold.count for fold in told.folds] == [1]


def test_plain_sound_things_of_a_station_are_one_paragraph() -> None:
    (fold,) = folded([line("Coupler casting"), line("Latch and pin"), line("Chain wear")]).folds
    (group,) = fold.groups
    assert (fold.state, fold.fitted, fold.why) == (Grade.SOUND, True, "")
    assert group.things == ("Coupler casting", "Latch and pin", "Chain wear")
    assert group.where == ""


def test_things_at_the_same_places_stand_together_under_them() -> None:
    at = ("right wheel, axle 1", "right wheel, axle 2")
    lines = [line(name, where) for where in at for name in ("Studs", "U-bolts")]
    (fold,) = folded([*lines, line("Fender", at[0])]).folds
    assert [(group.where, group.things) for group in fold.groups] == [
        ("right wheel, axle 1 and axle 2", ("Studs", "U-bolts")),
        ("right wheel, axle 1", ("Fender",)),
    ]


def test_unseen_things_stand_together_by_reason_and_sound_ones_before_them() -> None:
    lines = [unseen("Roof skin", WET), unseen("Glazing", WET), unseen("Lining", STUCK), line("Floor")]
    folds = folded(lines).folds
    assert folds[0].state is Grade.SOUND
    by_reason = {fold.why: fold.groups[0].things for fold in folds[1:]}
    assert by_reason == {WET: ("Roof skin", "Glazing"), STUCK: ("Lining",)}
    assert folds[1].says == folds[1].why


def test_what_is_not_fitted_is_never_told_as_looked_at() -> None:
    folds = folded([line("Spring bars", fitted=False), line("Coupler casting")]).folds
    assert [(fold.fitted, fold.says) for fold in folds] == [
        (True, "looked at, nothing of the list seen"),
        (False, ""),
    ]


def test_two_checks_of_one_name_are_both_told() -> None:
    told = folded([line("Drum face", check="a"), line("Drum face", check="b")])
    assert told.folds[0].groups[0].things == ("Drum face", "Drum face")


def test_a_station_without_plain_lines_has_no_paragraph() -> None:
    assert folded([]).folds == ()
    assert folded([line("Studs", plain=False)]).folds == ()


def test_places_say_what_they_begin_with_once() -> None:
    wheels = [f"{side} wheel, axle {axle}" for side in ("left", "right") for axle in (1, 2)]
    assert together(wheels) == "left wheel, axle 1 and axle 2; right wheel, axle 1 and axle 2"
    assert together(["axle 1", "axle 2", "axle 3"]) == "axle 1, axle 2 and axle 3"
    assert together(["main exit"]) == "main exit"
    assert together([]) == ""


NAMES = st.sampled_from(["Studs", "U-bolts", "Valves", "Drum face"])
PLACES = st.sampled_from(["", "left wheel, axle 1", "left wheel, axle 2", "main exit"])
LINES = st.builds(
    line,
    NAMES,
    PLACES,
    plain=st.booleans(),
    fitted=st.booleans(),
    state=st.sampled_from([Grade.SOUND, Grade.UNSEEN]),
    got=st.sampled_from([WET, STUCK]),
)


@given(st.lists(LINES, max_size=30))
def test_every_line_stands_exactly_once_whatever_there_is(lines: list[Line]) -> None:
    told = folded(lines)
    names = [row.name for row in told.rows]
    names += [name for fold in told.folds for group in fold.groups for name in group.names]
    assert Counter(names) == Counter(it.name for it in lines)
