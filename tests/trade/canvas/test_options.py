"""More light or more privacy: what an order must hold for each way (common practice of canvas lofts)."""

import pytest

from app.trade.canvas.options import NEEDS, Way, unlike_options
from app.trade.canvas.readiness import Kind, Part


def option(way: Way | str, place: str = "front bed end") -> Part:
    return Part(Kind.OPTION, "part-9", place, {"what": str(way), "costs": "extra"})


def window(place: str = "front bed end", **known: str) -> Part:
    return Part(Kind.WINDOW, "part-4", place, known)


@pytest.mark.parametrize(
    ("way", "known"),
    [
        (Way.WINDOW, {"film": "clear", "flap": "none"}),
        (Way.WINDOW, {"film": "none", "screen": "18 by 16"}),  # a screen lets in light without film
        (Way.CLEAR, {"film": "clear"}),
        (Way.TINTED, {"film": "tinted"}),
        (Way.FLAP, {"flap": "inside"}),
        (Way.FLAP, {"flap": "outside", "film": "clear"}),
    ],
)
def test_a_window_that_says_the_same_bears_an_option_out(way: Way, known: dict[str, str]) -> None:
    assert unlike_options([option(way), window(**known)]) == ()


@pytest.mark.parametrize(
    ("way", "known", "told"),
    [
        (Way.CLEAR, {"film": "tinted"}, "film tinted"),
        (Way.TINTED, {"film": "clear"}, "film clear"),
        (Way.TINTED, {"film": "none"}, "film none"),
        (Way.FLAP, {"flap": "none"}, "flap none"),
    ],
)
def test_one_that_says_otherwise_holds_the_order_back(way: Way, known: dict[str, str], told: str) -> None:
    (problem,) = unlike_options([window(**known), option(way)])
    assert problem.field == "part-9.what"
    assert problem.says == f"Front bed end: {way} is chosen, and the window there has {told}"
    assert not problem.ask


@pytest.mark.parametrize("way", [Way.WINDOW, Way.CLEAR, Way.TINTED, Way.FLAP])
def test_an_option_of_a_window_wants_a_window_at_its_place(way: Way) -> None:
    (problem,) = unlike_options([option(way), window("rear bed end", film="tinted", flap="inside")])
    assert problem.says == f"Front bed end: {way} is chosen, and no window is listed there"
    assert problem.accepts == "a window named front bed end"


def test_a_cover_that_is_zipped_in_wants_its_zipper() -> None:
    door = option(Way.COVER, "door")
    (problem,) = unlike_options([door, window("door", film="clear")])
    assert problem.says.endswith("no zipper is listed there")
    no_zipper = Part(Kind.ZIPPER, "part-5", "door, left", {"chain": "None"})
    assert len(unlike_options([door, no_zipper])) == 1
    assert unlike_options([door, Part(Kind.ZIPPER, "part-5", "Door, left", {"chain": "8"})]) == ()


def test_what_is_not_known_yet_is_left_to_its_own_question() -> None:
    assert unlike_options([option(Way.TINTED), window(film="", flap="none")]) == ()


def test_one_of_several_windows_there_is_enough() -> None:
    here = [window("front bed end, left", film="clear"), window("front bed end, right", film="tinted")]
    assert unlike_options([option(Way.TINTED), *here]) == ()
    (problem,) = unlike_options([option(Way.FLAP), *(window(it.place, flap="none") for it in here)])
    assert problem.says.endswith("the window there has flap none; flap none")


@pytest.mark.parametrize("way", [Way.PALER, Way.DARKER])
def test_another_cloth_is_borne_out_by_the_cloths_own_answers(way: Way) -> None:
    assert way not in NEEDS
    assert unlike_options([option(way)]) == ()


def test_an_option_that_is_not_chosen_yet_says_nothing() -> None:
    assert unlike_options([option("")]) == ()


@pytest.mark.parametrize("way", list(Way))
def test_each_way_says_what_it_gives(way: Way) -> None:
    assert way.startswith(("more light by ", "more privacy by "))
