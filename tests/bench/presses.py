"""One handover through several engines, one after the other: `python -m tests.bench.presses`.

Each engine prints the same page in a process of its own, after a first time that does not count: time and
processor of the next printings, the most memory that any one process held, and the bytes of the PDF. Told as
ratios to WeasyPrint alone, in one run, since seconds differ from machine to machine. Nothing here is a test.
"""

import argparse
import json
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from importlib.util import find_spec
from pathlib import Path

from sqlmodel import select

from app.demo import furnish
from app.ground import files
from app.ground.acting import Act, new_key, now
from app.ground.book import open_book, reading
from app.ground.papers import page_of
from app.ground.press import Sheet, to_pdf
from app.ground.settings import Settings
from app.handover.papers import handover_paper
from app.handover.tables import Handover
from tests.bench.ratios import static_copy
from tests.browser.conftest import CHROMIUM

TIMES = 5
Engine = Callable[[Path], bytes]


def press(page: Path) -> bytes:
    """Our press: tagged, archivable, checked, what is enclosed inside."""
    found = json.loads((page.parent / "sheet.json").read_text())
    pictures = {name: Path(path) for name, path in found["pictures"].items()}
    return to_pdf(Sheet(found["html"], found["size"], pictures))


def weasyprint(page: Path) -> bytes:
    """WeasyPrint alone, the same variant and pictures."""
    from weasyprint import HTML

    made: bytes = HTML(filename=page).write_pdf(pdf_variant="pdf/a-3a", dpi=150, jpeg_quality=75)
    return made


def chromium(page: Path) -> bytes:
    """Headless Chromium's print to PDF, started for each paper; tagged, not archivable."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as started:
        browser = started.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        opened = browser.new_page()
        opened.goto(page.as_uri())
        made = opened.pdf(format="Letter", tagged=True, print_background=True)
        browser.close()
    return made


def fpdf2(page: Path) -> bytes:
    """fpdf2's write_html: no style sheets, no tags; what it cannot read ends it."""
    from fpdf import FPDF

    pdf = FPDF(format="Letter")
    pdf.add_page()
    pdf.write_html(page.read_text())
    return bytes(pdf.output())


def xhtml2pdf(page: Path) -> bytes:
    """xhtml2pdf: CSS 2.1, no flexible boxes, no tags."""
    from io import BytesIO

    from xhtml2pdf import pisa

    made = BytesIO()
    pisa.CreatePDF(page.read_text(), dest=made, path=str(page))
    return made.getvalue()


ENGINES: dict[str, tuple[Engine, str]] = {
    "WeasyPrint alone": (weasyprint, "weasyprint"),
    "our press": (press, "weasyprint"),
    "headless Chromium": (chromium, "playwright"),
    "fpdf2": (fpdf2, "fpdf"),
    "xhtml2pdf": (xhtml2pdf, "xhtml2pdf"),
}


def measure(name: str, page: Path) -> dict[str, float]:
    """What one engine took: medians in milliseconds, memory in MB, bytes in kB. In a process of its own."""
    engine, _ = ENGINES[name]
    made = engine(page)
    walls, owns = [], []
    for _ in range(TIMES):
        began, own = time.perf_counter(), _processor()
        made = engine(page)
        walls.append(time.perf_counter() - began)
        owns.append(_processor() - own)
    most = max(resource.getrusage(who).ru_maxrss for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return {
        "time": statistics.median(walls) * 1000,
        "processor": statistics.median(owns) * 1000,
        "memory": most / 1024,
        "bytes": len(made) / 1000,
    }


def _processor() -> float:
    both = (resource.getrusage(who) for who in (resource.RUSAGE_SELF, resource.RUSAGE_CHILDREN))
    return sum(it.ru_utime + it.ru_stime for it in both)


def main() -> None:
    """Make the demo's handover, print it through each engine that is there, print the table."""
    asked = argparse.ArgumentParser()
    asked.add_argument("--one", default="")
    asked.add_argument("--page", type=Path)
    given = asked.parse_args()
    if given.one:
        sys.stdout.write(json.dumps(measure(given.one, given.page)))
        return
    with tempfile.TemporaryDirectory(prefix="castlenut-presses-") as scratch:
        page = handover(Path(scratch))
        sys.stdout.writelines(table(page))


def handover(scratch: Path) -> Path:
    """The handover of a demo shop as a page on disk, and beside it the sheet that the press is given."""
    settings = Settings(data=scratch / "shop", demo=True)
    furnish(settings)
    book = open_book(settings.book)
    with reading(book) as session:
        paper = handover_paper(session.exec(select(Handover)).first() or session.get_one(Handover, 1))
        html, size = page_of(session, paper, Act(new_key(), "", 1, now()), 1)
    book.dispose()
    pictures = {name: files.where(settings.files, sha256) for name, sha256 in paper.photos.items()}
    told = {"html": html, "size": size, "pictures": {name: str(path) for name, path in pictures.items()}}
    (scratch / "sheet.json").write_text(json.dumps(told))
    return static_copy(scratch, Sheet(html, size, pictures))


def table(page: Path) -> Iterator[str]:
    """A row for each engine, as ratios to the first."""
    yield "| engine | time | processor | memory | bytes |\n|---|---|---|---|---|\n"
    first: dict[str, float] = {}
    for name, (_, module) in ENGINES.items():
        if find_spec(module) is None:
            yield f"| {name} | not installed here | | | |\n"
            continue
        asked = [
            sys.executable,
            "-W",
            "ignore",
            "-m",
            "tests.bench.presses",
            "--one",
            name,
            "--page",
            str(page),
        ]
        ran = subprocess.run(asked, capture_output=True, text=True, check=False)
        if ran.returncode:
            yield f"| {name} | {ran.stderr.strip().splitlines()[-1][:90]} | | | |\n"
            continue
        found = json.loads(ran.stdout.splitlines()[-1])
        first = first or found
        cells = [f"{found[what] / first[what]:.2f}" for what in ("time", "processor", "memory", "bytes")]
        yield f"| {name} | {' | '.join(cells)} |\n"
    yield (
        f"\nWeasyPrint alone: {first['time']:.0f} ms, {first['processor']:.0f} ms of processor, "
        f"{first['memory']:.0f} MB, {first['bytes']:.0f} kB.\n"
    )


if __name__ == "__main__":
    main()
