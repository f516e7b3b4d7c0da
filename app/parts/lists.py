"""Lists of parts read in from text: every bad row and column named in words; kept whole or not at all.

What a form would ask once, a list asks too: its questions are answered together, by who keeps it.
"""

import csv
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import asdict, dataclass
from hashlib import sha256

from app.parts.forms import amount, plainly
from app.parts.rules import PartSaid, Shelves, read_part
from app.trade.money import Money
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts, unprintable

# What a column is called, and the field of a part's form that it fills.
COLUMNS = {
    "number": "number",
    "name": "name",
    "designation": "designation",
    "unit": "unit",
    "supplier": "supplier",
    "supplier number": "supplier_number",
    "cost": "cost",
    "price": "price",
    "bin": "bin",
    "reorder point": "reorder_at",
    "reorder quantity": "reorder_quantity",
}
NEEDED = ("number", "name", "cost")
REORDER = {"reorder_at", "reorder_quantity"}
MOST_ROWS = 2000
LARGEST = 400_000


@dataclass(frozen=True)
class Bad:
    """What is wrong with one cell, or asked about it; with a whole row or the header without a column."""

    row: int
    column: str
    says: str
    accepts: str = ""


@dataclass(frozen=True)
class Row:
    """One row as read. `number`: its number, for the preview; `said`: the part, None where it is bad."""

    row: int
    number: str
    said: PartSaid | None


@dataclass(frozen=True)
class ReadList:
    """A whole list: its rows, everything that is wrong with it, and everything that is asked about it."""

    rows: tuple[Row, ...]
    bad: tuple[Bad, ...]
    asked: tuple[Bad, ...] = ()

    @property
    def question(self) -> str:
        """A mark of all that is asked, for whoever answers it; empty where nothing is."""
        return sha256(repr(self.asked).encode()).hexdigest()[:32] if self.asked else ""

    @property
    def parts(self) -> list[PartSaid]:
        """The parts of a list without a fault; AssertionError where there is any."""
        assert not self.bad
        return [row.said for row in self.rows if row.said]


def read_list(text: str, shelves: Shelves, known: Mapping[str, PartSaid]) -> ReadList:
    """The list that stands in a text with a header row, separated by commas, semicolons or tabs.

    `known`: the parts of the shop by number; a row of such a number changes that part, its other fields stay.
    """
    if wrong := _unreadable(text):
        return ReadList((), (wrong,))
    try:
        lines = _table(text)
    except csv.Error:  # a cell of more than 131,072 letters
        return ReadList((), (Bad(1, "", "A cell is too long", "a name of up to 120 letters, for instance"),))
    header = [cell.strip().lower() for cell in lines[0]]
    bad = list(_bad_header(header))
    if bad:
        return ReadList((), tuple(bad))
    rows, asked, seen = [], list[Bad](), dict[str, int]()
    for number, cells in enumerate(lines[1:], 2):
        if any(cell.strip() for cell in cells):
            row, wrongs, questions = _row(number, header, cells, shelves, known)
            rows.append(row)
            asked += questions
            bad += [*wrongs, *_twice(row, seen)]
    return ReadList(tuple(rows), (*bad, *_none(rows)), tuple(asked))


def _unreadable(text: str) -> Bad | None:
    if len(text) > LARGEST or text.count("\n") > MOST_ROWS:
        return Bad(1, "", "The list is too long", f"at most {MOST_ROWS} rows at once")
    if any(unprintable(char, lines=True) for char in text.replace("\r", "")):
        return Bad(1, "", "The list holds characters that cannot be printed", "plain text, as in a CSV file")
    if not text.strip():
        return Bad(1, "", "The list is empty", "a header row and a row for each part")
    return None


def _table(text: str) -> list[list[str]]:
    """Rows of cells; a line end inside quotes stays in its cell, to be named there."""
    return list(csv.reader(text.splitlines(keepends=True), delimiter=_separator(text)))


def _separator(text: str) -> str:
    first = text.splitlines()[0]
    return max(",;\t", key=first.count)


def _bad_header(header: Sequence[str]) -> Iterator[Bad]:
    accepts, also = ", ".join(COLUMNS), ", ".join(name for name in COLUMNS if name not in NEEDED)
    for name in dict.fromkeys(header):
        if name not in COLUMNS:
            yield Bad(1, name or "without a name", "This column is not known", accepts)
        elif header.count(name) > 1:
            yield Bad(1, name, "This column stands twice", "each column once")
    for name in NEEDED:
        if name not in header:
            yield Bad(
                1, name, "This column is missing", f"a header row with {', '.join(NEEDED)}; also {also}"
            )


def _row(
    number: int, header: Sequence[str], cells: Sequence[str], shelves: Shelves, known: Mapping[str, PartSaid]
) -> tuple[Row, list[Bad], list[Bad]]:
    """One row, what is wrong with it, and what is asked about it."""
    if len(cells) != len(header):
        return Row(number, "", None), [_misfit(number, header, cells)], []
    typed = {COLUMNS[name]: cell.strip() for name, cell in zip(header, cells, strict=True)}
    own = typed["number"].upper()
    names = {name.lower(): key for key, name in shelves.suppliers.items()}
    if supplier := typed.get("supplier"):
        typed["supplier"] = str(names.get(supplier.lower(), supplier))
    before = known.get(own)
    try:
        said, asked = _confirmed({**_weighed(typed, before), **typed}, shelves, own)
    except Refused as refused:
        return Row(number, own, None), [_bad(number, it) for it in refused.problems if not it.ask], []
    kept = _kept_fields(said, typed, before)
    questions = [it for it in asked if not _known_loss(it, kept, before)] + list(_given_up(kept, before))
    return Row(number, own, kept), [], [_bad(number, it) for it in questions if kept != before]


def _misfit(number: int, header: Sequence[str], cells: Sequence[str]) -> Bad:
    """What is wrong with a row of too few cells, or too many; the first column that has none is named."""
    accepts = f"one cell for each column, an empty one too: {', '.join(header)}"
    if lacks := header[len(cells) :]:
        says = f"This row has {len(cells)} of {len(header)} cells; none for {', '.join(lacks)}"
        return Bad(number, lacks[0], says, accepts)
    return Bad(number, "", f"This row has {len(cells)} cells, the header {len(header)}", accepts)


def misshapen(text: str) -> tuple[Bad, ...]:
    """What is wrong with the shape of a list, whatever its cells say: its header, rows of other lengths.

    Nothing where the text is no list at all: `read_list` says so.
    """
    if _unreadable(text):
        return ()
    try:
        first, *others = _table(text)
    except csv.Error:
        return ()
    header = [cell.strip().lower() for cell in first]
    if bad := tuple(_bad_header(header)):
        return bad
    filled = ((number, cells) for number, cells in enumerate(others, 2) if any(it.strip() for it in cells))
    return tuple(_misfit(number, header, cells) for number, cells in filled if len(cells) != len(header))


def _confirmed(typed: Mapping[str, str], shelves: Shelves, own: str) -> tuple[PartSaid, list[Problem]]:
    """The part of a row as if every question was answered with yes, and those questions; raises Refused."""
    asked: list[Problem] = []
    while True:
        yes = {f"confirm-{it.field}": typed.get(it.field, "") for it in asked}
        try:
            return read_part(Texts({**typed, **yes}), shelves, own), asked
        except Refused as refused:
            if not all(it.ask for it in refused.problems):
                raise
            asked += refused.problems


def _weighed(typed: Mapping[str, str], before: PartSaid | None) -> dict[str, str]:
    """What a row is weighed against where its list lacks the column: the part's own price, point, quantity.

    A point that an older list kept without a quantity is weighed only by a list that changes one of the two.
    """
    if before is None:
        return {}
    texts = {"price": "" if before.price is None else amount(before.price)}
    if REORDER & typed.keys():
        texts["reorder_at"] = plainly(before.reorder_at)
        texts["reorder_quantity"] = plainly(before.reorder_quantity)
    return texts


def _known_loss(asked: Problem, said: PartSaid, before: PartSaid | None) -> bool:
    """Whether this was asked when the price was typed: it is the same, and the cost no higher."""
    same = before is not None and said.price == before.price and said.cost <= before.cost
    return same and asked.field == "price"


def _given_up(said: PartSaid, before: PartSaid | None) -> Iterator[Problem]:
    """A price below the cost was set by hand, on purpose: a list that changes it is asked."""
    if before is None or before.price is None or not before.price < before.cost or said.price == before.price:
        return
    says = f"It was sold for {Money(before.price)} on purpose, less than it costs"
    now = "by mark-up" if said.price is None else f"{Money(said.price)}"
    yield Problem("price", f"{says}; this list sells it {now}", "", ask=True)


def _bad(row: int, problem: Problem) -> Bad:
    column = next((name for name, field in COLUMNS.items() if field == problem.field), problem.field)
    return Bad(row, column, problem.says, problem.accepts)


def _kept_fields(said: PartSaid, typed: Mapping[str, str], before: PartSaid | None) -> PartSaid:
    """The part as the row says it; columns that the list does not have stay as they were."""
    if before is None:
        return said
    renamed = {"supplier": "supplier_id"}
    listed = {renamed.get(field, field) for field in typed}
    return PartSaid(**{**asdict(before), **{k: v for k, v in asdict(said).items() if k in listed}})


def _twice(row: Row, seen: dict[str, int]) -> Iterator[Bad]:
    if row.number and row.number in seen:
        yield Bad(
            row.row, "number", f"{row.number} stands in row {seen[row.number]} already", "each number once"
        )
    seen.setdefault(row.number, row.row)


def _none(rows: Sequence[Row]) -> Iterator[Bad]:
    if not rows:
        yield Bad(1, "", "The list has no rows below its header", "a row for each part")
