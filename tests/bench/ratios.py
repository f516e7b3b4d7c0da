"""Ratios of speed, all taken in one run on one machine: `python -m tests.bench.ratios`.

Each figure is what the program takes, over what the bare libraries take for the same thing. Nothing here is
a test: seconds differ from machine to machine, and so do they from one minute to the next.
"""

import sqlite3
import statistics
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from contextlib import closing
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Decimal
from pathlib import Path

from fastapi.testclient import TestClient
from jinja2 import Environment
from sqlalchemy import Engine
from sqlmodel import select

from app.demo import furnish
from app.estimate.rules import NewLine
from app.estimate.sums import sums
from app.ground import people
from app.ground.acting import Act, new_key, now
from app.ground.book import reading
from app.ground.gate import cookie_name
from app.ground.papers import Printer, page_of
from app.ground.press import SIZES, Press, Sheet
from app.ground.settings import Settings, folder
from app.ground.taxes import DaySettings
from app.handover.papers import handover_paper
from app.handover.tables import Handover
from app.trade.totals import LineKind
from app.web import build
from tests.bench import core
from tests.conftest import PASSPHRASE
from tests.whole.crawl import Form, forms, page_of_answer

TIMES = 200
ORIGIN = {"Origin": "http://testserver"}


def main() -> None:
    """Measure the core, make a demo shop, measure, print."""
    core.main()
    adding_up()
    with tempfile.TemporaryDirectory(prefix="castlenut-ratios-") as scratch:
        settings = Settings(data=Path(scratch) / "shop", hosts=("testserver",), demo=True)
        say("Making the demo shop ...")
        furnish(settings)
        app = build(settings)
        with TestClient(app, follow_redirects=False) as client:
            cookie = people.sign_in(app.state.book, "Maren Holt", PASSPHRASE, "ratios", now())
            client.cookies.set(cookie_name(secure=False), cookie)
            saving(client, settings)
            showing(client)
            printing(app.state.press, app.state.book, settings)
        app.state.press.close()


def say(text: str) -> None:
    """A line on the way out."""
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


@dataclass(frozen=True)
class Span:
    """Milliseconds that one act took: on the wall, and of this process's processor time."""

    wall: float
    own: float


def spans(act: Callable[[], object], times: int) -> list[Span]:
    """The span of each of so many times, after a first one that does not count."""
    act()
    taken = []
    for _ in range(times):
        began, own = time.perf_counter(), time.process_time()
        act()
        taken.append(Span((time.perf_counter() - began) * 1000, (time.process_time() - own) * 1000))
    return taken


def told(what: str, ours: Sequence[Span], bare: Sequence[Span], *, apart: bool = False) -> None:
    """One line: medians of both and their ratio; of the processor too, unless another process works."""
    walls = [statistics.median(span.wall for span in each) for each in (ours, bare)]
    high = sorted(span.wall for span in ours)[int(len(ours) * 0.95)]
    line = f"{what}: {walls[0]:.2f} ms (p95 {high:.2f}) to {walls[1]:.2f} ms, {walls[0] / walls[1]:.1f} times"
    if not apart:
        owns = [statistics.median(span.own for span in each) for each in (ours, bare)]
        line += f"; processor {owns[0]:.2f} to {owns[1]:.2f} ms, {owns[0] / owns[1]:.1f} times"
    say(line)


def adding_up() -> None:
    """An estimate of 300 lines worked out anew, against the same products and sums in bare Decimal."""
    kinds = [
        (LineKind.LABOUR, "labour", "1.4"),
        (LineKind.PART, "parts", "2"),
        (LineKind.FEE, "supplies", "1"),
    ]
    lines = [NewLine(kind, "a line", quantity, 3875, tax) for kind, tax, quantity in kinds * 100]
    rates = {"labour": Decimal(0), "parts": Decimal(6), "supplies": Decimal(6)}

    def bare() -> Decimal:
        bases: dict[Decimal, Decimal] = {}
        for line in lines:
            net = (Decimal(line.quantity) * line.price).quantize(Decimal(1), ROUND_HALF_UP)
            bases[rates[line.tax]] = bases.get(rates[line.tax], Decimal(0)) + net
        taxes = [(base * rate / 100).quantize(Decimal(1), ROUND_HALF_UP) for rate, base in bases.items()]
        return sum(bases.values(), Decimal(0)) + sum(taxes, Decimal(0))

    assert sums(lines, DaySettings()).gross == int(bare())
    told(
        "an estimate of 300 lines worked out anew, against bare Decimal",
        spans(lambda: sums(lines, DaySettings()), TIMES),
        spans(bare, TIMES),
    )


def saving(client: TestClient, settings: Settings) -> None:
    """One finding saved through the whole program, against its two rows committed by sqlite3 alone."""
    form = finding_form(client, settings)
    revision = int(form.untouched()["revision"][0])

    def save() -> None:
        nonlocal revision
        sent = {**form.untouched(), "submission": new_key(), "revision": str(revision)}
        answer = client.post(form.action, data=sent, headers=ORIGIN)
        assert answer.status_code == 303, answer.text[:2000]
        revision += 1

    ours = spans(save, TIMES)
    with tempfile.TemporaryDirectory(dir=settings.data) as beside:
        told(
            "a finding saved, against its rows by sqlite3, synchronous FULL",
            ours,
            bare_rows(settings, Path(beside)),
        )


def finding_form(client: TestClient, settings: Settings) -> Form:
    """The form of a finding of a walk-round that goes on, as it stands on its page."""
    with closing(sqlite3.connect(settings.book)) as raw:
        (key,) = raw.execute(
            "SELECT finding.id FROM finding JOIN walk ON walk.id = walk_id "
            "WHERE ended_at IS NULL AND grade = 'sound'"
        ).fetchone()
    address = f"/inspection/findings/{key}"
    found = forms(page_of_answer(address, client.get(address)), client.app)  # type: ignore[arg-type]  # it is ours
    return next(form for form in found if form.action == address and form.method == "POST")


def bare_rows(settings: Settings, beside: Path) -> list[Span]:
    """The newest receipt and its finding written again and again, committed one by one."""
    copy = beside / "bare.db"
    with closing(sqlite3.connect(settings.book)) as raw, closing(sqlite3.connect(copy)) as into:
        raw.backup(into)
    with closing(sqlite3.connect(copy, isolation_level=None)) as bare:
        for setting in ("journal_mode=WAL", "synchronous=FULL"):
            bare.execute(f"PRAGMA {setting}")
        last = list(bare.execute("SELECT * FROM receipt ORDER BY id DESC LIMIT 1").fetchone())
        marks = ", ".join("?" * len(last))
        names = [column[1] for column in bare.execute("PRAGMA table_info(receipt)")]

        def write() -> None:
            fresh = {"id": None, "submission": new_key(), "hash": new_key()}
            row = [fresh.get(name, value) for name, value in zip(names, last, strict=True)]
            bare.execute("BEGIN IMMEDIATE")
            bare.execute("UPDATE finding SET revision = revision + 1, note = note WHERE id = 1")
            bare.execute(f"INSERT INTO receipt VALUES ({marks})", row)
            bare.execute("COMMIT")

        return spans(write, TIMES)


def showing(client: TestClient) -> None:
    """The yard page, against a page of as many bytes that Jinja fills alone."""
    ours = spans(lambda: client.get("/"), TIMES // 2)
    size = len(client.get("/").text)
    row = '<tr><th scope="row">{{ row.name }}</th><td>{{ row.what }}</td><td>{{ row.price }}</td></tr>\n'
    one = {"name": "Unit 412", "what": "travel trailer, waiting for the owner's word", "price": "1,305.39"}
    template = Environment(autoescape=True).from_string(
        f"<table>{{% for row in rows %}}{row}{{% endfor %}}</table>"
    )
    rows = [one] * (size // len(template.render(rows=[one])))
    told(
        f"the yard page of {size / 1000:.0f} kB, against Jinja alone",
        ours,
        spans(lambda: template.render(rows=rows), TIMES),
    )


def printing(press: Press, book: Engine, settings: Settings) -> None:
    """The handover through the press, against WeasyPrint on a copy of its page that lies on the disk."""
    with reading(book) as session:
        paper = handover_paper(session.exec(select(Handover)).one())
        act = Act(new_key(), "", 1, now())
        html, size = page_of(session, paper, act, 1)
    pictures = Printer(book, press, settings.files)._pictures(paper)
    sheet = Sheet(html, size, pictures, paper.enclosed)
    with tempfile.TemporaryDirectory() as scratch:
        page = static_copy(Path(scratch), sheet)
        ours = spans(lambda: press.print(sheet), 5)
        told(
            "the handover printed, against WeasyPrint on a static page",
            ours,
            spans(lambda: plainly(page), 10),
        )


def static_copy(where: Path, sheet: Sheet) -> Path:
    """The page with its sheet inside and its pictures and fonts beside it."""
    css = (folder("static") / "css" / "paper.css").read_text() + SIZES[sheet.size]
    html = sheet.html.replace("</head>", f"<style>{css}</style></head>")
    html = html.replace("asset:/fonts/", f"{(folder('static') / 'fonts').as_uri()}/")
    for name, path in sheet.pictures.items():
        html = html.replace(f"asset:{name}", path.as_uri())
    page = where / "page.html"
    page.write_text(html)
    return page


def plainly(page: Path) -> None:
    """The PDF of a page on disk, as the library makes it."""
    from weasyprint import HTML

    HTML(filename=page).write_pdf(pdf_variant="pdf/a-3a", dpi=150, jpeg_quality=75)


if __name__ == "__main__":
    main()
