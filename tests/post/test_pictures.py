"""Pages as pictures: what stands on the page stands on the picture, small, in its own process, in time."""

import io
import shutil
import subprocess
import time
from collections.abc import Iterator
from pathlib import Path

import pikepdf
import pytest
from PIL import Image, ImageChops

from app.ground.press import Press, Sheet
from app.post import pictures
from app.post.pictures import Leaves, NotShown, Size, Viewer, leaves_of, picture_of

PAGE = "<html lang='en'><title>Note</title><body><h1>Wheel nuts</h1>{}</body></html>"


@pytest.fixture(scope="module")
def paper(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A paper of two pages as our own press makes it."""
    path = tmp_path_factory.mktemp("paper") / "note.pdf"
    two = "<p>Torque 90 lbf·ft</p><p style='break-before: page'>Page two</p>"
    press = Press()
    path.write_bytes(press.print(Sheet(PAGE.format(two))))
    press.close()
    return path


@pytest.fixture(scope="module")
def viewer() -> Iterator[Viewer]:
    """The process that makes pictures."""
    made = Viewer(60)
    yield made
    made.close()


def shown(content: bytes) -> Image.Image:
    """A picture as it is seen."""
    return Image.open(io.BytesIO(content))


def test_a_paper_says_how_many_pages_it_has_and_how_large_they_are(viewer: Viewer, paper: Path) -> None:
    # 8.5 by 11 in at 1100 pixels: 1100 x 11 / 8.5 = 1423.5
    assert viewer.leaves(paper) == Leaves(2, (Size(1100, 1424), Size(1100, 1424)))


def test_a_page_is_a_small_picture_of_eight_bits(viewer: Viewer, paper: Path) -> None:
    picture = shown(content := viewer.picture(paper, 1))
    assert (picture.format, picture.mode, picture.size) == ("PNG", "P", (1100, 1424))
    assert len(content) < 60_000


@pytest.mark.skipif(not shutil.which("pdftoppm"), reason="poppler is not here")
@pytest.mark.parametrize("number", [1, 2])
def test_a_page_looks_as_another_renderer_draws_it(viewer: Viewer, paper: Path, number: int) -> None:
    """Poppler as the outside: the same ink, within the blur of two ways to smooth a letter's edge."""
    size = ["-scale-to-x", "1100", "-scale-to-y", "1424"]
    asked = ["pdftoppm", "-png", "-f", str(number), "-l", str(number), *size, paper]
    other = (
        shown(subprocess.run(asked, check=True, capture_output=True).stdout).convert("L").resize((110, 142))
    )
    ours = shown(viewer.picture(paper, number)).convert("L").resize((110, 142))
    far = ImageChops.difference(ours, other).getextrema()[1]
    blank = ImageChops.difference(ours, Image.new("L", ours.size, 255)).getextrema()[1]
    assert far < 60 < blank  # of 255


@pytest.mark.parametrize("number", [0, -1, 3, 10**9])
def test_there_is_no_picture_of_a_page_that_is_not_there(viewer: Viewer, paper: Path, number: int) -> None:
    with pytest.raises(NotShown, match="no page"):
        viewer.picture(paper, number)


@pytest.mark.parametrize("content", [b"", b"%PDF-1.7 a paper", b"\xff" * 5000])
def test_what_is_no_paper_is_not_shown_and_the_process_goes_on(
    viewer: Viewer, paper: Path, tmp_path: Path, content: bytes
) -> None:
    other = tmp_path / "other"
    other.write_bytes(content)
    for ask in (lambda: viewer.leaves(other), lambda: viewer.picture(other, 1)):
        with pytest.raises(NotShown):
            ask()
    with pytest.raises(NotShown):
        viewer.leaves(tmp_path / "missing")
    assert shown(viewer.picture(paper, 1)).size == (1100, 1424)


def test_a_page_of_ten_metres_is_drawn_within_the_limit(tmp_path: Path) -> None:
    path = tmp_path / "long.pdf"
    with pikepdf.new() as made:
        made.add_blank_page(page_size=(14_400, 72))  # points; the largest that PDF 1.7, annex C.2 allows
        made.add_blank_page(page_size=(72, 14_400))
        made.save(path)
    for number, size in enumerate(leaves_of(path).sizes, 1):
        drawn = shown(picture_of(path, number)).size
        assert drawn == (size.wide, size.high)
        assert drawn[0] <= pictures.WIDE
        assert drawn[1] <= pictures.HIGH


def test_of_a_thick_paper_the_first_pages_are_shown(tmp_path: Path) -> None:
    path = tmp_path / "thick.pdf"
    with pikepdf.new() as made:
        for _ in range(pictures.MOST_PAGES + 5):
            made.add_blank_page(page_size=(612, 792))
        made.save(path)
    leaves = leaves_of(path)
    assert (leaves.count, len(leaves.sizes)) == (pictures.MOST_PAGES + 5, pictures.MOST_PAGES)
    with pytest.raises(ValueError, match="no page"):
        picture_of(path, pictures.MOST_PAGES + 1)


def test_a_paper_too_large_is_not_read(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(pictures, "MOST_BYTES", 10)
    path = tmp_path / "large"
    path.write_bytes(b"%PDF-1.7 larger")
    with pytest.raises(ValueError, match="too large"):
        leaves_of(path)


def test_a_process_that_is_stuck_is_ended_in_time_and_another_takes_its_place(paper: Path) -> None:
    viewer = Viewer(60)
    viewer.leaves(paper)
    viewer.seconds = 0.5
    begun = time.monotonic()
    with pytest.raises(NotShown, match="in time"):
        viewer._ask(time.sleep, 60)
    assert time.monotonic() - begun < 10
    viewer.seconds = 60
    assert shown(viewer.picture(paper, 2)).size == (1100, 1424)
    viewer.close()
