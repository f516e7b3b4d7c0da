"""More light or more privacy: what an order must hold for each way (common practice of canvas lofts)."""

import pytest

from app.trade.canvas.options import NEEDS, Way, unlike_options
from app.trade.canvas.readiness import Kind, Part


def option(way: Way | str, at: str = "4", place: str = "front bed end") -> Part:
    return Part(Kind.OPTION, "part-9", place, {"what": str(way), "at": at, "costs": "extra"})


def window(place: str = "front bed end", key: str = "part-4", **known: str) -> Part:
    return Part(Kind.WINDOW, key, place, known)


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
    (problem,) = unlike_options([window("big window", **known), option(way)])
    assert problem.field == "part-9.what"
    assert problem.says == f"Front bed end: {way} is chosen, and the window big window has {told}"
    assert not problem.ask


def test_only_the_window_that_is_named_counts_whatever_the_places_are_called() -> None:
    left = window("front bed end, left", "part-4", film="clear")
    right = window("front bed end, right", "part-5", film="tinted")
    assert unlike_options([option(Way.TINTED, "5"), left, right]) == ()
    (problem,) = unlike_options([option(Way.TINTED, "4"), left, right])
    assert problem.says.endswith("the window front bed end, left has film clear")
    assert unlike_options([option(Way.TINTED, "5", "where they sleep"), left, right]) == ()


def test_a_window_that_was_taken_off_bears_nothing_out() -> None:
    (problem,) = unlike_options([option(Way.TINTED, "7"), window(film="tinted")])
    assert problem.field == "part-9.at"
    assert problem.says.endswith("is chosen for a part that is on the order no longer")
    assert problem.accepts == "a window of the order"


def test_a_cover_that_is_zipped_in_wants_its_zipper() -> None:
    door = option(Way.COVER, "5", "door")
    (problem,) = unlike_options([door, window("door", "part-5", film="clear")])
    assert (problem.field, problem.says.endswith("and door is no zipper")) == ("part-9.at", True)
    no_zipper = Part(Kind.ZIPPER, "part-5", "door, left", {"chain": "None"})
    assert len(unlike_options([door, no_zipper])) == 1
    assert unlike_options([door, Part(Kind.ZIPPER, "part-5", "Door, left", {"chain": "8"})]) == ()


def test_what_is_not_known_yet_is_left_to_its_own_question() -> None:
    assert unlike_options([option(Way.TINTED), window(film="", flap="none")]) == ()
    assert unlike_options([option(Way.TINTED, ""), window(film="clear")]) == ()
    assert unlike_options([option(""), window(film="clear")]) == ()


@pytest.mark.parametrize("way", [Way.PALER, Way.DARKER])
def test_another_cloth_is_a_cloth_of_the_order(way: Way) -> None:
    assert unlike_options([option(way), Part(Kind.CLOTH, "part-4", "wall cloth", {})]) == ()
    (problem,) = unlike_options([option(way), window()])
    assert problem.says.endswith("is no cloth")


@pytest.mark.parametrize("way", list(Way))
def test_each_way_says_what_it_gives_and_what_it_is_about(way: Way) -> None:
    assert way.startswith(("more light by ", "more privacy by "))
    assert way in NEEDS
