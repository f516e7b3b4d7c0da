"""Names from right to left: what stands after one stays behind it, and an address keeps its numbers' places.

Where the pieces of a line must stand: Unicode Standard Annex 9, the bidirectional algorithm (isolates, X5a to
X6a; first strong letter, P2 and P3), and the element `bdi` of the HTML standard. A line of English runs from
the left, so each piece stands where it would with a name in Latin letters; inside a name all runs from the
right.
"""

import re
import shutil
from collections.abc import Iterator, Mapping
from dataclasses import replace
from pathlib import Path

import lxml.html
import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.accounts import steps
from app.accounts.papers import bill_paper, receipt_paper
from app.accounts.rules import Means
from app.accounts.tables import Payment
from app.bench.facts import jobs_of
from app.bench.screens import job_paper
from app.estimate import facts as estimate
from app.estimate.saying import Said
from app.estimate.screens import Record, paper_of, record_paper
from app.ground.book import open_book, reading, writing
from app.ground.papers import Paper
from app.ground.press import Press
from app.ground.tables import Person
from app.handover.papers import handover_paper
from app.handover.rules import Leaves, Leaving
from app.handover.tables import Handover
from app.intake.facts import slip_of
from app.intake.screens import slip_paper
from app.intake.tables import Owner
from app.trade.letters import ENDS, FROM_LEFT, FROM_RIGHT, apart
from tests.accounts import stays as accounts
from tests.conftest import NOON
from tests.handover.stays import ALARM, HUB, NUTS, ROOF, SEAL, SIGNATURE, stay
from tests.papers.every import ADDRESS, Word, sheet_of, words_of

LETTERS = {  # invented: an owner, and an address whose street and town have numbers
    "Latin": ("Sara Cohen", "14 Mill Lane, Upton 33"),
    "Hebrew": ("שרה כהן", "רחוב הרצל 14, חיפה 33"),
    "Arabic": ("محمد علي", "شارع النيل 14, بنها 33"),
}
PRINTED = {  # what stands on one line, from left to right
    "check-in": ("reach you: {name} (555) 555-0142", "For the shop: {wren} 4 May 2026"),
    "invoice": ("To {name} {address} Work order WO-000001 made by {wren}",),
    "receipt": ("Payment by cheque {name} 4 May 2026", "Work order WO-000001 {name}", "Paid by: {name}"),
    "handover": ("On a carrier: {name} 4 May 2026", "{toni} 4 May 2026", "Taken by: {name} 4 May 2026"),
}
FOOT = "Unit 1 {foot}{name} page 1 of"


@pytest.fixture(scope="module", params=LETTERS)
def letters(request: pytest.FixtureRequest) -> str:
    """Whose letters the names are written in."""
    return str(request.param)


@pytest.fixture(scope="module")
def printed(letters: str, furnished: Path, tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, str]:
    """The lines of each paper of a stay whose owner and people have such names."""
    folder = tmp_path_factory.mktemp("names")
    book = open_book(Path(shutil.copy(furnished, folder / "castlenut.db")))
    press = Press()
    try:
        return {name: _lines(press, book, paper) for name, paper in _papers(book, *LETTERS[letters])}
    finally:
        press.close()
        book.dispose()


def _papers(book: Engine, name: str, address: str) -> Iterator[tuple[str, Paper]]:
    made = stay(book, (SEAL, NUTS))
    _name(book, name, address)
    made.price(say={})
    made.work()
    bill = accounts.bill(book, accounts.billed(book, made.order))
    check = accounts.cash(1000, Means.CHEQUE, name)
    paid = steps.take_payment(book, accounts.desk(book, made.order), made.order, check)
    left = made.hand_over(Leaving(Leaves.CARRIED, name, name, SIGNATURE))
    with reading(book) as session:
        yield "check-in", slip_paper(slip_of(session, made.order))
        yield "invoice", bill_paper(bill)
        yield "receipt", receipt_paper(session, session.get_one(Payment, paid))
        yield "handover", handover_paper(session.get_one(Handover, left))


def _name(book: Engine, name: str, address: str) -> None:
    with writing(book) as session:
        session.exec(select(Owner)).one().name = name
        session.exec(select(Owner)).one().address = address
        for person in session.exec(select(Person)):
            person.name = _person(name, person.key)


def _person(name: str, key: int) -> str:
    """A name of its own for each of the shop's people."""
    return f"{name} {name[:key]}"


def _lines(press: Press, book: Engine, paper: Paper) -> str:
    """What stands on each line from left to right, without its commas and full stops."""
    with reading(book) as session:
        pages = words_of(press.print(sheet_of(session, paper, Path())))
    return "\n".join(
        " ".join(it.text.strip(",.") for it in sorted(row, key=lambda it: it.left))
        for page in pages
        for row in _rows(page)
    )


def _rows(page: list[Word]) -> list[list[Word]]:
    """The words by their line: the boxes of another font reach a little lower."""
    rows: list[list[Word]] = []
    for word in sorted(page, key=lambda it: it.bottom):
        if not rows or word.bottom - rows[-1][0].bottom > word.height / 2:
            rows.append([])
        rows[-1].append(word)
    return rows


def seen(text: str) -> str:
    """A text as the eye meets it from the left, as poppler gives it: numbers alone are not turned."""
    plain = text.replace(",", "")
    turned = re.sub(r"\d+", lambda it: it[0][::-1], plain)[::-1]
    return plain if plain.isascii() else turned


@pytest.mark.parametrize(("paper", "line"), [(paper, it) for paper, lines in PRINTED.items() for it in lines])
def test_what_follows_a_name_stands_behind_it(
    printed: Mapping[str, str], letters: str, paper: str, line: str
) -> None:
    name, address = LETTERS[letters]
    people = {"wren": seen(_person(name, 2)), "toni": seen(_person(name, 3))}
    assert line.format(name=seen(name), address=seen(address), **people) in printed[paper]


@pytest.mark.parametrize("paper", PRINTED)
def test_the_foot_says_the_unit_then_whose_it_is(
    printed: Mapping[str, str], letters: str, paper: str
) -> None:
    made = "2019 Ashlode 21 " if paper == "check-in" else ""
    assert FOOT.format(foot=made, name=seen(LETTERS[letters][0])) in printed[paper]


TYPED = {  # invented, each with a number at an end
    "owner": "שרה כהן 14",
    "person 1": "דנה לוי 2",
    "person 2": "יעל ברק 6",
    "person 3": "אורי שקד 8",
    "carrier": "גרר צפון 33",
    "reason": "7 סדקים בריתוך 12",
    "accepted": "הוצג על היחידה 5",
    "undone": "המנעול תקוע 9",
}
BEGINS = f"{FROM_LEFT}{FROM_RIGHT}"
INNERMOST = re.compile(f"[{BEGINS}]([^{BEGINS}{ENDS}]*){ENDS}")
RUNS_LEFT = re.compile("[\u0590-\u05ff]")


def loose(text: str) -> list[str]:
    """What was typed and stands in a line with other words, not apart from them."""
    found = []
    while (isolated := INNERMOST.search(text)) is not None:
        found += [isolated[1]] if RUNS_LEFT.search(isolated[1]) and _beside(isolated[1]) else []
        text = text.replace(isolated[0], "", 1)
    return found + [line for line in text.splitlines() if RUNS_LEFT.search(line)]


def _beside(text: str) -> str:
    """What stands beside a typed text."""
    return min((text.replace(it, "", 1).strip(" .") for it in TYPED.values()), key=len)


@pytest.fixture(scope="module")
def papers(furnished: Path, tmp_path_factory: pytest.TempPathFactory) -> Mapping[str, str]:
    """The words of each paper of a stay in which everything typed is Hebrew."""
    book = open_book(Path(shutil.copy(furnished, tmp_path_factory.mktemp("loose") / "castlenut.db")))
    try:
        return {name: _words(book, paper) for name, paper in _hebrew(book)}
    finally:
        book.dispose()


def _words(book: Engine, paper: Paper) -> str:
    with reading(book) as session:
        html = sheet_of(session, paper, Path()).html
    return lxml.html.document_fromstring(html).text_content()


def _hebrew(book: Engine) -> Iterator[tuple[str, Paper]]:
    found = [replace(it, reason=TYPED["reason"]) for it in (NUTS, SEAL, ALARM, HUB)]
    made = stay(book, (*found, replace(ROOF, note=TYPED["undone"])))
    with writing(book) as session:
        session.exec(select(Owner)).one().name = TYPED["owner"]
        for person in session.exec(select(Person)):
            person.name = TYPED[f"person {person.key}"]
    made.price(say={"Seam": Said.LATER, "Reseal": Said.LATER}, who=TYPED["owner"])
    with reading(book) as session:
        agreement = estimate.agreement(session, made.order, NOON.date())
        yield "estimate", paper_of(estimate.sheet(session, made.order, NOON.date()))
        yield "consent", record_paper(Record.CONSENT, agreement)
        yield "check-in", slip_paper(slip_of(session, made.order))
    made.work(says=TYPED["accepted"])
    made.clear(NUTS.name, reason=TYPED["accepted"])
    with reading(book) as session:
        yield "job sheet", job_paper(session, jobs_of(session, made.order)[0], NOON.date(), ADDRESS)
    bill = accounts.bill(book, accounts.billed(book, made.order))
    leaving = Leaving(Leaves.CARRIED, TYPED["owner"], TYPED["carrier"], SIGNATURE)
    left = made.hand_over(replace(leaving, unseen_reason=TYPED["undone"]))
    yield "invoice", bill_paper(bill)
    with reading(book) as session:
        yield "handover", handover_paper(session.get_one(Handover, left))


@pytest.mark.parametrize("paper", ["estimate", "consent", "check-in", "job sheet", "invoice", "handover"])
def test_whatever_is_typed_stands_apart_from_the_words_round_it(
    papers: Mapping[str, str], paper: str
) -> None:
    assert TYPED["owner"] in papers[paper] or paper == "job sheet"
    assert loose(papers[paper]) == []


def test_the_sentences_of_a_handover_have_their_typed_texts_in_them(papers: Mapping[str, str]) -> None:
    said = re.sub(f"[{BEGINS}{ENDS}]", "", papers["handover"])
    assert f"Accepted by {TYPED['person 1']}: {TYPED['accepted']}" in said
    assert f"It leaves on a carrier, wheels off the road: {TYPED['carrier']}." in said


def test_what_is_typed_is_set_apart_only_where_letters_run_from_the_right() -> None:
    assert apart("14 Mill Lane, Łódź") == "14 Mill Lane, Łódź"
    assert apart("14") == "14"
    assert apart("14 שרה Co.") == "\u206714 שרה Co.\u2069"  # P2: the number is not strong
    assert apart("Co. שרה") == "\u2066Co. שרה\u2069"


def test_a_sentence_runs_as_its_own_words_do() -> None:
    name = apart("שרה")  # P2 passes over what is isolated
    assert apart(f"{name} agreed") == f"\u2066{name} agreed\u2069"
    assert apart(f"{name}, {name}") == f"\u2066{name}, {name}\u2069"  # P3: none strong, from the left
