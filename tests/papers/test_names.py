"""Names from right to left: what stands after one stays behind it, and an address keeps its numbers' places.

Where the pieces of a line must stand: Unicode Standard Annex 9, the bidirectional algorithm (isolates, X5a to
X6a; first strong letter, P2 and P3), and the element `bdi` of the HTML standard. A line of English runs from
the left, so each piece stands where it would with a name in Latin letters; inside a name all runs from the
right.
"""

import re
import shutil
from collections.abc import Iterator, Mapping
from pathlib import Path

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.accounts import steps
from app.accounts.papers import bill_paper, receipt_paper
from app.accounts.rules import Means
from app.accounts.tables import Payment
from app.ground.book import open_book, reading, writing
from app.ground.papers import Paper
from app.ground.press import Press
from app.ground.tables import Person
from app.ground.words import apart
from app.handover.papers import handover_paper
from app.handover.rules import Leaves, Leaving
from app.handover.tables import Handover
from app.intake.facts import slip_of
from app.intake.screens import slip_paper
from app.intake.tables import Owner
from tests.accounts import stays as accounts
from tests.handover.stays import NUTS, SEAL, SIGNATURE, stay
from tests.papers.every import Word, sheet_of, words_of

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


def test_what_is_typed_is_kept_from_being_markup() -> None:
    assert apart("<b> & Co.") == "<bdi>&lt;b&gt; &amp; Co.</bdi>"
    assert apart("14") == "<bdi>14</bdi>"
    assert apart("14 שרה Co.") == '<bdi dir="rtl">14 שרה Co.</bdi>'  # P2: a number is not strong
