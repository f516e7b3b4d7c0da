"""The square codes of papers, read from pictures of their pages by a reader that knows nothing of ours.

Read by ZXing's reader (zxing-cpp), on the page as printed, as scanned in grey, and as a copy of a copy.
"""

import subprocess
from io import BytesIO
from pathlib import Path

import pytest
import zxingcpp
from PIL import Image, ImageFilter

from tests.papers.conftest import Printings
from tests.papers.every import ADDRESS, CASES, SIZES, Case

DPI = 200  # what an office scanner takes when nobody tells it otherwise: common practice
CODED = [case for case in CASES if not case.card]
WORK = f"{ADDRESS}/bench/jobs/5"  # a job sheet's code opens the job that is typed in from it


def picture(pdf: bytes, folder: Path) -> Image.Image:
    """The first page in grey."""
    paper = folder / "paper.pdf"
    paper.write_bytes(pdf)
    asked = ["pdftoppm", "-gray", "-png", "-r", f"{DPI}", "-f", "1", "-l", "1", str(paper)]
    return Image.open(BytesIO(subprocess.run(asked, capture_output=True, check=True).stdout)).convert("L")


def scanned(page: Image.Image) -> Image.Image:
    """Paler blacks, greyer paper, and laid a little askew."""
    grey = page.point([40 + value * 175 // 255 for value in range(256)])
    return grey.rotate(1.5, fillcolor=215, resample=Image.Resampling.BICUBIC)


def copied(page: Image.Image) -> Image.Image:
    """A copy of a copy: blurred, then black or white."""
    blurred = page.filter(ImageFilter.GaussianBlur(1.5))
    return blurred.point([0 if value < 128 else 255 for value in range(256)])


def read(page: Image.Image) -> list[str]:
    """The texts of the square codes on a page."""
    return [it.text for it in zxingcpp.read_barcodes(page, formats=zxingcpp.BarcodeFormat.QRCode)]


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("case", CODED, ids=lambda case: case.name)
def test_a_code_is_read_on_paper_scan_and_copy(
    printings: Printings, case: Case, size: str, tmp_path: Path
) -> None:
    it = printings[case.name, size]
    page = picture(it.pdf, tmp_path)
    wanted = WORK if case.template == "jobsheet" else f"{ADDRESS}/papers/{it.address}"
    found = [read(page), read(scanned(page)), read(copied(page))]
    assert all(wanted in texts for texts in found), found


def test_a_page_without_a_code_is_read_as_none() -> None:
    assert read(Image.new("L", (1700, 2200), 255)) == []


def test_a_code_that_is_half_gone_is_read_as_none(printings: Printings, tmp_path: Path) -> None:
    page = picture(printings["handover", "letter"].pdf, tmp_path)
    at = zxingcpp.read_barcodes(page)[0].position
    middle = (at.top_left.x + at.bottom_right.x) // 2
    page.paste(255, (middle, at.top_left.y - 4, page.width, at.bottom_right.y + 4))
    assert read(page) == []
