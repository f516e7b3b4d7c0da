"""What goes along with a pattern, and frames that stand clearly apart (25 mm, common practice)."""

import pytest

from app.trade.canvas.pattern import cloth_along, piece_along, unlike_frame
from app.trade.canvas.readiness import Kind, Part


def test_a_cloth_goes_along_without_what_is_of_its_owner_and_its_roll() -> None:
    known = {"what": "cotton", "mass": "10 oz/yd²", "coating": "none", "colour": "sand", "agreed": "3 May"}
    along = cloth_along({**known, "flame": "CPAI-84", "shrink": "2 and 1"})
    assert along == {"what": "cotton", "mass": "10 oz/yd²", "coating": "none"}
    assert cloth_along({"what": "cotton", "mass": ""}) == {"what": "cotton"}


def test_a_piece_goes_along_without_the_check_on_the_frame_that_it_was_cut_for() -> None:
    assert piece_along({"by": "Toni, 4 May", "checked": "fits, Toni"}) == {"by": "Toni, 4 May"}


@pytest.mark.parametrize(
    ("here", "there"),
    [
        ("1,400 mm", "1,425 mm"),  # 25 mm apart: within
        ("56 1/8 in", "1,425 mm"),  # 56.125 x 25.4 = 1425.6 mm (NIST SP 811, B.8)
        ("1,425 mm in front, 1,380 mm behind", "1,375 mm at all four"),  # one corner of each is near
        ("as high as the old one", "1,425 mm"),
        ("", "1,425 mm"),
        ("1,300 mm", ""),
    ],
)
def test_frames_that_may_be_as_high_are_not_asked_about(here: str, there: str) -> None:
    assert unlike_frame(Part(Kind.FRAME, "part-2", "the frame", {"height": here}), there, "K-0001") == ()


def test_a_frame_that_stands_clearly_lower_is_asked_about() -> None:
    frame = Part(Kind.FRAME, "part-2", "the frame", {"height": "1,399 mm at all four"})  # 26 mm apart
    (problem,) = unlike_frame(frame, "1,425 mm", "K-0001")
    assert (problem.field, problem.ask) == ("part-2.height", True)
    assert "K-0001" in problem.says
    assert problem.says.replace("\u00a0", " ").startswith("The raised frame is 1,399 mm")
