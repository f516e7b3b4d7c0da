"""Every paper of the shop, each printed by its own page on both paper sizes: what the tests here look at."""

import subprocess
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from io import BytesIO
from pathlib import Path
from urllib.parse import quote

import lxml.html
import pikepdf
from sqlalchemy import Engine
from sqlmodel import Session, col, select

from app.accounts import papers as accounts
from app.accounts.tables import Bill, DayClose, Payment
from app.estimate import facts as estimate
from app.estimate.saying import Said
from app.estimate.screens import Record, record_paper
from app.ground.book import open_book, reading
from app.ground.papers import Paper, page_of
from app.ground.photos import on_paper
from app.ground.press import Press, Sheet
from app.ground.tables import Document
from app.handover.after.papers import visit_paper
from app.handover.inspected import report_of, report_paper
from app.handover.papers import handover_paper
from app.handover.tables import Handover
from tests.conftest import NOON, act
from tests.handover.stays import HUB, SEAL, SOUND, Found, Stay, carried, stay
from tests.whole.conftest import Desk
from tests.whole.crawl import forms, page_of_answer
from tests.whole.filling import answers_for

ADDRESS = "http://testserver:8377"  # where tablets reach the shop of these tests
SIZES = {"letter": (612, 792), "a4": (595, 842)}  # 8.5 x 11 in; ISO 216: 210 x 297 mm; in points
FRAME = Found("fr.welds", "Front hanger weld, road side", 5, "dnt", "side-road", reason="crack 1 3/8 in long")


@dataclass(frozen=True)
class Case:
    """A paper: its template, and the page whose form prints it, or how it is made from its row.

    `sends`: what is chosen in the form. `shop`: which shop it comes from, the demo or one stay.
    `card`: it is cut up (tags, labels, cards): no foot, no number of pages.
    """

    name: str
    template: str
    page: str = ""
    action: str = ""
    sends: Mapping[str, str] = field(default_factory=dict)
    made: Callable[[Session], Paper] | None = None
    shop: str = "demo"
    card: bool = False


def _put_off(session: Session) -> Paper:
    return record_paper(Record.DECLINED, estimate.agreement(session, 1, NOON.date()))


def _walked(session: Session) -> Paper:
    report = report_of(session, 1, act())
    assert report is not None
    return report_paper(report, 1)


CASES = (
    Case("check-in", "intake", "/intake/orders/5", "/intake/orders/5/slip"),
    Case("tags", "tags", "/intake/orders/5", "/intake/orders/5/tags", card=True),
    Case("estimate", "estimate", "/estimate/4", "/estimate/4/print"),
    Case("consent", "consent_record", "/estimate/4/agreed", "/estimate/4/agreed/consent_record"),
    Case("walk-round", "inspection_report", made=_walked, shop="stay"),
    Case("put off", "declined", made=_put_off, shop="stay"),
    Case("job sheet", "jobsheet", "/bench/jobs/5", "/bench/jobs/5/sheet"),
    Case("nut card", "retorque", "/bench/orders/1", "/bench/orders/1/retorque", card=True),
    Case("purchase order", "purchase_order", "/parts/orders/4", "/parts/orders/4/print"),
    Case("count sheet", "count_sheet", "/parts/count", "/parts/count/sheet"),
    Case("labels", "labels", "/parts", "/parts/labels", card=True),
    Case("canvas order", "canvas_order", "/canvas/1", "/canvas/1/print", {"paper": "order"}),
    Case("cut list", "canvas_cut_list", "/canvas/1", "/canvas/1/print", {"paper": "cut-list"}),
    Case("inspection", "canvas_inspection", "/canvas/1", "/canvas/1/print", {"paper": "inspection"}),
    Case("packing", "canvas_packing", "/canvas/1", "/canvas/1/print", {"paper": "packing"}),
    Case("piece labels", "canvas_labels", "/canvas/1", "/canvas/1/print", {"paper": "labels"}, card=True),
    Case("full size", "canvas_full_size", "/canvas/pieces/1", "/canvas/pieces/1/full-size", card=True),
    Case("invoice", "bill", made=lambda it: accounts.bill_paper(it.get_one(Bill, 1))),
    Case("credit note", "bill", "/accounts/bills/1/credit", "/accounts/bills/1/credit"),
    Case("receipt", "receipt", made=lambda it: accounts.receipt_paper(it, it.get_one(Payment, 1))),
    Case("day close", "day", made=lambda it: accounts.day_paper(it, it.get_one(DayClose, 1))),
    Case("handover", "handover", made=lambda it: handover_paper(it.get_one(Handover, 1))),
    Case("not fit", "handover", made=lambda it: handover_paper(it.get_one(Handover, 1)), shop="stay"),
    Case("retorque visit", "visit", made=lambda it: visit_paper(it, 1)),
)


@dataclass(frozen=True)
class Printed:
    """A paper as printed on one size: the page it was made of, and the PDF."""

    case: str
    size: str
    html: str
    pdf: bytes
    address: str  # kind, number and issue under the shop's papers

    @property
    def root(self) -> lxml.html.HtmlElement:
        """The page it was made of."""
        return lxml.html.document_fromstring(self.html)

    @property
    def opened(self) -> pikepdf.Pdf:
        """The PDF."""
        return pikepdf.open(BytesIO(self.pdf))


class Watched(Press):
    """The press; it keeps the sheets that it printed."""

    def __init__(self) -> None:
        super().__init__()
        self.sheets: list[Sheet] = []

    def print(self, sheet: Sheet, seconds: float = 60) -> bytes:
        """The PDF of a sheet."""
        self.sheets.append(sheet)
        return super().print(sheet, seconds)


def print_all(desk: Desk, folder: Path, sizes: Sequence[str] = tuple(SIZES)) -> list[Printed]:
    """Every paper on each size. `desk`: the demo shop; `folder`: for the book of the one stay."""
    press = Watched()
    desk.app.state.press.close()
    desk.app.state.press = press
    other = open_book(folder)
    one_stay(other)
    books = {"demo": desk.app.state.book, "stay": other}
    try:
        return [it for case in CASES for it in _printed(case, desk, press, books, sizes)]
    finally:
        other.dispose()


def one_stay(book: Engine) -> Stay:
    """A stay whose owner puts safety off, and that leaves on a carrier."""
    made = stay(book, (*SOUND, FRAME, SEAL, HUB))
    made.price(say={"": Said.LATER})
    made.hand_over(carried(unseen_reason="wet all three days"))
    return made


def _printed(
    case: Case, desk: Desk, press: Watched, books: Mapping[str, Engine], sizes: Sequence[str]
) -> Iterator[Printed]:
    if case.made is None:
        made = _by_its_form(case, desk, press)
        sheet = press.sheets[-1]
    else:
        with reading(books[case.shop]) as session:
            paper = case.made(session)
            sheet = sheet_of(session, paper, desk.settings.files)
            made = Document(kind=paper.kind, number=paper.number, issue=paper.issue or 1)
    address = "/".join(quote(str(it), safe="") for it in (made.kind, made.number, made.issue))
    for size in sizes:
        yield Printed(case.name, size, sheet.html, Press.print(press, replace(sheet, size=size)), address)


def sheet_of(session: Session, paper: Paper, kept: Path) -> Sheet:
    """The sheet of a paper that has been printed before, at noon. `kept`: the shop's files."""
    html, size = page_of(session, paper, act(), paper.issue or 1, ADDRESS)
    pictures = {name: on_paper(kept, sha256) for name, sha256 in paper.photos.items()}
    return Sheet(html, size, pictures, paper.enclosed)


def _by_its_form(case: Case, desk: Desk, press: Watched) -> Document:
    before = len(press.sheets)
    page = page_of_answer(case.page, desk.client.get(case.page))
    form = next(it for it in forms(page, desk.app) if (it.method, it.action) == ("POST", case.action))
    for sent in answers_for(form, desk.app.state.book):
        answer = desk.send(form, {**sent, **case.sends})
        if answer.status_code == 303 and len(press.sheets) > before:
            with reading(desk.app.state.book) as session:
                return session.exec(select(Document).order_by(col(Document.id).desc()).limit(1)).one()
    raise AssertionError(f"{case.name}: its form did not print, {answer.status_code}: {answer.text[:2000]}")


@dataclass(frozen=True)
class Word:
    """A word on a page and its box, in points from the top left corner."""

    text: str
    left: float
    top: float
    right: float
    bottom: float

    @property
    def height(self) -> float:
        """How high it stands."""
        return self.bottom - self.top


def words_of(pdf: bytes) -> list[list[Word]]:
    """The words of each page with their boxes, as poppler reads them."""
    made = subprocess.run(["pdftotext", "-bbox", "-", "-"], input=pdf, capture_output=True, check=True).stdout
    root = lxml.html.document_fromstring(made.decode())
    return [[_word(it) for it in page.iter("word")] for page in root.iter("page")]


def _word(it: lxml.html.HtmlElement) -> Word:
    box = (float(it.get(side)) for side in ("xmin", "ymin", "xmax", "ymax"))
    return Word(it.text_content(), *box)
