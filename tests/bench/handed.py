"""How long a paper takes after the signature, made ready before and not: `python -m tests.bench.handed`.

From the handover kept in the book to its paper kept in the book, on the demo shop's longest handover; between
the page that makes it ready and the act lie the seconds that a signature takes. Nothing here is a test:
seconds differ from machine to machine, and so do they from one minute to the next.
"""

import sys
import tempfile
import time
from dataclasses import replace
from pathlib import Path

from sqlmodel import select

from app.demo import furnish
from app.ground.acting import Act, new_key, now
from app.ground.book import open_book, reading
from app.ground.papers import Paper, Printer
from app.ground.press import Press
from app.ground.settings import Settings
from app.handover.papers import handover_paper
from app.handover.tables import Handover

TIMES = 20
SIGNING = 2  # seconds: no name is drawn sooner


def main() -> None:
    """Make a demo shop, print its handover so many times each way, and tell the median and the p95."""
    with tempfile.TemporaryDirectory(prefix="castlenut-handed-") as scratch:
        settings = Settings(data=Path(scratch) / "shop", demo=True)
        furnish(settings)
        press = Press()
        printer = Printer(open_book(settings.book), press, settings.files)
        with reading(printer.book) as session:
            paper = handover_paper(session.exec(select(Handover)).one())
        for what, first in (("rendered whole", False), ("made ready before", True)):
            taken = sorted(_wait(printer, paper, number, ready=first) for number in range(TIMES))
            middle, high = taken[TIMES // 2], taken[TIMES * 95 // 100 - 1]  # of 20, one may be longer
            sys.stdout.write(f"{what}: {middle:.0f} ms, p95 {high:.0f} ms of {TIMES}\n")
        press.close()


def _wait(printer: Printer, paper: Paper, number: int, *, ready: bool) -> float:
    """Milliseconds from the act to the document, for a paper of a number of its own."""
    act = Act(new_key(), "", 1, now())
    one = replace(paper, number=f"{paper.number}-{ready:d}{number:02}")
    if ready:
        printer.make_ready(act, one)
        time.sleep(SIGNING)
    began = time.perf_counter()
    printer.issue(act, one)
    return (time.perf_counter() - began) * 1000


if __name__ == "__main__":
    main()
