"""Page pictures to compare with: what is printed, always the same, and how a page differs from its picture.

`python -m tests.papers.golden` renews the pictures after a change that is meant; look at each of them.
"""

import re
import shutil
import subprocess
import sys
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from io import BytesIO
from pathlib import Path
from tempfile import TemporaryDirectory

from PIL import Image, ImageChops
from sqlalchemy import Engine

from app.accounts.papers import bill_paper
from app.bench import steps as bench
from app.bench.facts import jobs_of
from app.bench.screens import job_paper
from app.canvas.papers import Printed
from app.canvas.papers import paper_of as canvas_paper
from app.estimate import facts as estimate
from app.estimate.saying import Said
from app.estimate.screens import paper_of
from app.ground.book import open_book, reading
from app.ground.migrating import migrate
from app.ground.papers import Paper
from app.ground.press import Press, Sheet
from app.handover.inspected import report_of, report_paper
from app.handover.papers import handover_paper
from app.handover.tables import Handover
from app.intake.facts import slip_of
from app.intake.screens import tags_paper
from app.parts import buying, orders
from app.parts.order_screens import order_paper
from app.parts.rules import BoughtSaid
from tests.accounts import stays as accounts
from tests.canvas import loft
from tests.conftest import NOON, act, furnish
from tests.handover.stays import HUB, NUTS, SEAL, SOUND, USUAL, Found, Stay, carried, ready, stay
from tests.papers.every import ADDRESS, FRAME, SIZES, sheet_of
from tests.parts import shelf

KEPT = Path(__file__).parent / "golden"
DPI = 36
TILE = 6  # pixels of a side, some 4 mm: letters that a renderer draws a little otherwise stay within one
ALIKE = 20  # of 255 grey steps, the mean of a tile
LONG = "Bartholomew-Maximilian Featherstonehaugh-Cholmondeley and Ada Ransome of Upper Low Fields Haulage"
MANY = tuple(
    Found(
        "wh.disc",
        f"Thing number {n}",
        n % 8 + 1,
        "dnt" if n % 9 == 0 else "watch",
        f"tire-{n}",
        reason=f"reads {n}",
    )
    for n in range(60)
)


def _handover(book: Engine, key: int) -> Paper:
    with reading(book) as session:
        return handover_paper(session.get_one(Handover, key))


def short(book: Engine) -> Paper:
    """A handover with hardly anything on it, on a carrier."""
    return _handover(book, stay(book, SOUND[:1]).hand_over(carried()))


def typical(book: Engine) -> Paper:
    """A handover after work, towed."""
    return _handover(book, ready(book).hand_over())


def extreme(book: Engine) -> Paper:
    """A handover with a long name and sixty findings, not fit."""
    return _handover(
        book, stay(book, (FRAME, *MANY, HUB), owner=LONG).hand_over(carried(unseen_reason="wet"))
    )


def asked(book: Engine) -> Paper:
    """The estimate of a stay, answered in part."""
    made = stay(book, USUAL)
    made.price(say={"Seam": Said.LATER})
    with reading(book) as session:
        return paper_of(estimate.sheet(session, made.order, NOON.date()))


def _worked(book: Engine, found: Iterable[Found], owner: str = "") -> Stay:
    """A stay whose work is all agreed to."""
    made = stay(book, found, owner=owner)
    made.price(say={})
    return made


def _estimate(book: Engine, made: Stay) -> Paper:
    with reading(book) as session:
        return paper_of(estimate.sheet(session, made.order, NOON.date()))


def _bill(book: Engine, made: Stay) -> Paper:
    made.work()
    return bill_paper(accounts.bill(book, accounts.billed(book, made.order)))


def _job(book: Engine, made: Stay) -> Paper:
    """The sheet of the job that asks for most."""
    bench.open_jobs(book, made.act(2), made.order)
    with reading(book) as session:
        job = max(jobs_of(session, made.order), key=lambda it: (len(it.asked), len(it.steps), it.id))
        return job_paper(session, job, NOON.date(), ADDRESS)


def reported(book: Engine) -> Paper:
    """The inspection report on a unit that may not be towed."""
    made = stay(book, (FRAME, *USUAL))
    with reading(book) as session:
        report = report_of(session, made.order, act(person=2))
    assert report is not None
    return report_paper(report, made.order)


def tagged(book: Engine) -> Paper:
    """The tags of a unit."""
    made = stay(book, SOUND)
    with reading(book) as session:
        return tags_paper(slip_of(session, made.order), ADDRESS)


def sewn(book: Engine) -> Paper:
    """A canvas order with its sketch, as the owner agrees to it."""
    key = loft.ready(book)
    with reading(book) as session:
        return canvas_paper(session, loft.read(book, key), Printed.ORDER, NOON.date(), ADDRESS)


def bought(book: Engine) -> Paper:
    """A purchase order of two lines, one for a unit that waits."""
    shelf.part(book, supplier_id=shelf.supplier(book))
    _, number = shelf.order(book)
    buying.open_order(book, act(), 1)
    for seen, pieces, unit in ((1, 200, None), (2, 400, number)):
        buying.add_line(book, act(seen=seen), 1, BoughtSaid(shelf.BEARING["number"], pieces, 1500, unit))
    with reading(book) as session:
        return order_paper(orders.order_page(session, 1))


MUCH = (FRAME, *USUAL, *(replace(SEAL, name=f"Seams, wall {n}", place=f"side-{n}") for n in range(12)))
CASES: dict[str, Callable[[Engine], Paper]] = {
    "handover-short": short,
    "handover-typical": typical,
    "handover-extreme": extreme,
    "estimate": asked,
    "estimate-short": lambda book: _estimate(book, _worked(book, (SEAL,))),
    "estimate-extreme": lambda book: _estimate(book, _worked(book, MUCH, LONG)),
    "invoice-short": lambda book: _bill(book, _worked(book, (SEAL,))),
    "invoice-typical": lambda book: _bill(book, _worked(book, USUAL)),
    "invoice-extreme": lambda book: _bill(book, _worked(book, MUCH, LONG)),
    "job-sheet-short": lambda book: _job(book, _worked(book, (SEAL,))),
    "job-sheet-typical": lambda book: _job(book, _worked(book, (NUTS,))),
    "job-sheet-extreme": lambda book: _job(book, _worked(book, MUCH, LONG)),
    "report": reported,
    "tags": tagged,
    "canvas-order": sewn,
    "purchase-order": bought,
}
PAGES = 2  # of a paper: the front, and what comes behind it


@dataclass(frozen=True)
class Shot:
    """A page as a small grey picture."""

    name: str
    picture: Image.Image

    @property
    def file(self) -> Path:
        """Where it is kept."""
        return KEPT / f"{self.name}.png"


def sheet(name: str, book: Engine) -> Sheet:
    """A case as a sheet: the clock stands still, and so does the hash, which hangs on keys made by chance."""
    paper = CASES[name](book)
    with reading(book) as session:
        made = sheet_of(session, paper, Path())
    return replace(made, html=re.sub(r">[0-9a-f]{4} [0-9a-f]{4}<", ">0123 4567<", made.html))


def shots(name: str, made: Sheet, press: Press) -> Iterator[Shot]:
    """The first pages of a sheet on each paper size."""
    for size in SIZES:
        pdf = press.print(replace(made, size=size))
        for nth, picture in enumerate(pictures(pdf), 1):
            yield Shot(f"{name}-{size}-{nth}", picture)


def pictures(pdf: bytes) -> Iterator[Image.Image]:
    """The first pages of a PDF in grey."""
    for nth in range(1, PAGES + 1):
        asked = ["pdftoppm", "-r", str(DPI), "-gray", "-png", "-f", str(nth), "-l", str(nth), "-"]
        drawn = subprocess.run(asked, input=pdf, capture_output=True, check=False)
        if drawn.returncode == 0:
            yield Image.open(BytesIO(drawn.stdout)).convert("L")


def differing(one: Image.Image, other: Image.Image) -> float:
    """The part of a page's tiles, 0 to 1, that differ by more than the edges of letters do."""
    if one.size != other.size:
        return 1.0
    tiles = (one.width // TILE, one.height // TILE)
    small = (it.resize(tiles, Image.Resampling.BOX) for it in (one, other))
    steps = ImageChops.difference(*small).tobytes()
    return sum(step > ALIKE for step in steps) / len(steps)


def renew() -> None:
    """Draw every picture anew."""
    KEPT.mkdir(exist_ok=True)
    press = Press()
    with TemporaryDirectory() as folder:
        plain = Path(folder) / "plain.db"
        engine = open_book(plain)
        migrate(engine)
        furnish(engine)
        with engine.connect() as connection:
            connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")
        engine.dispose()
        for name in CASES:
            book = open_book(Path(shutil.copy(plain, Path(folder) / f"{name}.db")))
            for shot in shots(name, sheet(name, book), press):
                shot.picture.quantize(16).save(shot.file, optimize=True)
            book.dispose()
    press.close()


if __name__ == "__main__":
    sys.exit(renew())
