"""Lists read in: every bad row and column in words; kept whole or not at all."""

import html
import re
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine
from sqlmodel import select

from app.ground.book import reading
from app.parts import list_steps, lists, steps
from app.parts.lists import Bad, read_list
from app.parts.rules import PartSaid, Shelves, read_part
from app.parts.tables import Part, PartList
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.conftest import Browser, act
from tests.parts.shelf import part, supplier

Signed = Callable[[str], Browser]
SHELVES = Shelves({1: "Fenwater Axle Supply"}, {"BRG-L44649": 7})
KNOWN = {"BRG-L44649": PartSaid("BRG-L44649", "Bearing set", bin="A-03-2", cost=1450, reorder_at=400)}
GOOD = """number,name,cost,supplier,reorder point,reorder quantity
SEAL-1,Grease seal,4.30,fenwater axle supply,4,10
BRG-L44649,Bearing set,15.00,,4,10
"""


def bad(text: str) -> tuple[Bad, ...]:
    return read_list(text, SHELVES, KNOWN).bad


def test_a_good_list_is_read_row_by_row() -> None:
    read = read_list(GOOD, SHELVES, KNOWN)
    new, changed = read.parts
    assert (new.number, new.cost, new.supplier_id, new.reorder_at) == ("SEAL-1", 430, 1, 400)
    assert (changed.cost, changed.supplier_id, changed.bin) == (1500, None, "A-03-2")  # no column, no change


def test_a_row_names_everything_that_is_wrong_with_it_at_once() -> None:
    """So that a list of a thousand rows is put right once, and not once for each kind of fault."""
    header = "number,name,cost,price,unit,bin,supplier,reorder point,reorder quantity"
    assert [(it.row, it.column) for it in bad(f"{header}\nA 1,,x,y,crate,A 1,Nobody,4,\n")] == [
        (2, "cost"),
        (2, "price"),
        (2, "number"),
        (2, "name"),
        (2, "unit"),
        (2, "supplier"),
        (2, "bin"),
        (2, "reorder quantity"),
    ]


def test_every_bad_row_is_named_by_the_number_that_a_spreadsheet_gives_it() -> None:
    """The header is row 1; empty rows and a name over two lines count as there (RFC 4180, 2.6)."""
    text = 'number,name,cost\nA-1,Seal,4\n\nA 2,Seal,4\n"A-3","Seal,\ninner",4\nA-4,Seal\nA-5,Seal,free\n'
    assert [(it.row, it.column) for it in bad(text)] == [(4, "number"), (5, "name"), (6, "cost"), (7, "cost")]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
@pytest.mark.parametrize("separator", [",", ";", "\t"])
def test_a_list_is_read_with_every_line_end_and_separator(separator: str, end: str) -> None:
    rows = [("number", "name", "cost"), ("A-1", "Seal", "4.30"), ("A-2", "Stud, nut; and cap", "1.10")]
    quoted = [separator.join(f'"{cell}"' for cell in row) for row in rows]
    parts = read_list(end.join(quoted), SHELVES, KNOWN).parts
    assert [(it.number, it.name, it.cost) for it in parts] == [
        ("A-1", "Seal", 430),
        ("A-2", "Stud, nut; and cap", 110),
    ]


def test_a_quote_inside_a_cell_is_written_twice() -> None:
    """RFC 4180, 2.7: a double quote inside a quoted cell is escaped by another one."""
    [said] = read_list('number,name,cost\nA-1,"Ball, 2"" shank",12', SHELVES, KNOWN).parts
    assert said.name == 'Ball, 2" shank'


STOCKED = PartSaid("A-1", "Seal", cost=400, price=500, reorder_at=200, reorder_quantity=1000)


@pytest.mark.parametrize(
    ("text", "reorder"),
    [
        ("number,name,cost\nA-1,Seal,4", (200, 1000)),
        ("number,name,cost,reorder point\nA-1,Seal,4,6", (600, 1000)),
        ("number,name,cost,reorder quantity\nA-1,Seal,4,20", (200, 2000)),
        ("number,name,cost,reorder point,reorder quantity\nA-1,Seal,4,,", (0, 0)),
    ],
)
def test_a_point_and_a_quantity_are_weighed_together_with_what_the_part_has(
    text: str, reorder: tuple[int, int]
) -> None:
    [said] = read_list(text, SHELVES, {"A-1": STOCKED}).parts
    assert (said.reorder_at, said.reorder_quantity) == reorder
    assert (said.cost, said.price) == (400, 500)


def test_a_list_cannot_take_the_quantity_away_from_a_part_that_is_reordered() -> None:
    [wrong] = read_list("number,name,cost,reorder quantity\nA-1,Seal,4,", SHELVES, {"A-1": STOCKED}).bad
    assert (wrong.row, wrong.column) == (2, "reorder quantity")
    assert "needs a quantity" in wrong.says


LOSS = "This is sold for less than it costs"


def asked(text: str, part: PartSaid) -> list[tuple[int, str, str]]:
    """What a list asks of a part that the shop has: row, column, words."""
    read = read_list(text, SHELVES, {part.number: part})
    assert read.bad == ()
    return [(it.row, it.column, it.says) for it in read.asked]


def test_a_list_without_prices_does_not_raise_a_cost_over_the_price_unasked() -> None:
    assert asked("number,name,cost\nA-1,Seal,6", STOCKED) == [(2, "price", LOSS)]
    [said] = read_list("number,name,cost,price\nA-1,Seal,6,7.50", SHELVES, {"A-1": STOCKED}).parts
    assert (said.cost, said.price) == (600, 750)
    [marked_up] = read_list("number,name,cost,price\nA-1,Seal,6,", SHELVES, {"A-1": STOCKED}).parts
    assert marked_up.price is None


BELOW = replace(STOCKED, price=300)  # 3.00 for what costs 4.00, on purpose
GIVEN_UP = "It was sold for 3.00 on purpose, less than it costs; this list sells it"


@pytest.mark.parametrize(
    ("text", "questions"),
    [
        ("number,name,cost\nA-1,Seal,4", []),  # asked when it was typed, and nothing changed
        ("number,name,cost\nA-1,Seal,3.50", []),  # the loss grows smaller
        ("number,name,cost\nA-1,Seal,2.50", []),  # and is none any more
        ("number,name,cost\nA-1,Seal,4.01", [(2, "price", LOSS)]),  # it grows
        ("number,name,cost,price\nA-1,Seal,4,3", []),
        ("number,name,cost,price\nA-1,Seal,4,", [(2, "price", f"{GIVEN_UP} by mark-up")]),
        ("number,name,cost,price\nA-1,Seal,4,5", [(2, "price", f"{GIVEN_UP} 5.00")]),
        ("number,name,cost,price\nA-1,Seal,4,2", [(2, "price", LOSS), (2, "price", f"{GIVEN_UP} 2.00")]),
    ],
)
def test_a_price_below_the_cost_is_neither_raised_nor_made_worse_unasked(
    text: str, questions: list[tuple[int, str, str]]
) -> None:
    assert asked(text, BELOW) == questions


def test_a_price_at_the_cost_is_no_loss_and_may_change() -> None:
    assert asked("number,name,cost,price\nA-1,Seal,4,9", replace(STOCKED, price=400)) == []


def test_an_amount_that_reads_two_ways_is_asked_and_then_read_as_its_form_reads_it() -> None:
    read = read_list('number,name,cost\nA-1,Seal,"1,234"', SHELVES, {})
    [question] = read.asked
    assert (question.row, question.column) == (2, "cost")
    form = Texts({"number": "A-1", "name": "Seal", "cost": "1,234", "confirm-cost": "1,234"})
    assert read.parts == [read_part(form, SHELVES)]


def test_what_is_wrong_is_named_before_anything_is_asked() -> None:
    read = read_list("number,name,cost,price\nA-1,,4,3", SHELVES, {})
    assert [(it.column, it.says) for it in read.bad] == [("name", "What it is, is missing")]
    assert read.asked == ()


def below_on_the_shelf(book: Engine) -> int:
    return steps.save_part(book, act(), None, BELOW)


def kept_price(book: Engine, part_id: int) -> tuple[int, int | None]:
    with reading(book) as session:
        row = session.get_one(Part, part_id)
    return row.cost, row.price


def test_what_is_asked_is_kept_only_by_who_answers_that_very_question(book: Engine) -> None:
    part_id = below_on_the_shelf(book)
    key = list_steps.read_in(book, act(), "number,name,cost,price\nA-1,Seal,4,")
    with pytest.raises(Refused, match="not answered"):
        list_steps.keep_list(book, act(), key)
    with reading(book) as session:
        question = list_steps.list_page(session, key).read.question
    steps.save_part(book, act(seen=1), part_id, replace(BELOW, price=200))  # meanwhile, by another desk
    with pytest.raises(Refused, match="as it stands now"):
        list_steps.keep_list(book, act(), key, question)
    assert kept_price(book, part_id) == (400, 200)
    with reading(book) as session:
        question = list_steps.list_page(session, key).read.question
    list_steps.keep_list(book, act(), key, question)
    assert kept_price(book, part_id) == (400, None)


def test_a_list_that_asks_nothing_needs_no_answer_and_takes_no_strange_one(book: Engine) -> None:
    key = list_steps.read_in(book, act(), "number,name,cost\nA-1,Seal,4")
    with pytest.raises(Refused, match="not answered"):
        list_steps.keep_list(book, act(), key, "yes")
    list_steps.keep_list(book, act(), key)


def test_the_page_shows_what_it_costs_and_is_sold_for_before_and_by_the_list(
    book: Engine, signed: Signed
) -> None:
    part_id = below_on_the_shelf(book)
    browser = signed("Wren")
    sent = browser.post("/parts/lists", {"submission": "in", "text": "number,name,cost,price\nA-1,Seal,5,"})
    page = browser.get(sent.headers["location"]).text
    # the shop's mark-up as it begins: 60 % up to 20.00 (hand-reckoned: 5.00 x 1.6)
    assert "5.00<br><small>was 4.00</small>" in page
    assert "8.00<br><small>was 3.00</small>" in page
    assert f"{GIVEN_UP} by mark-up" in page
    refused = browser.post("/parts/lists/1/keep", {"submission": "no"})
    assert (refused.status_code, kept_price(book, part_id)) == (422, (400, 300))
    assert "was not answered" in refused.text
    [question] = re.findall(r'name="meant" value="(\w+)"', page)
    assert browser.post("/parts/lists/1/keep", {"submission": "yes", "meant": question}).status_code == 303
    assert kept_price(book, part_id) == (500, None)


def test_a_comma_inside_quotes_is_no_separator() -> None:
    [said] = read_list('number,name,cost\nA-1,"Seal, double lip",4.30', SHELVES, {}).parts
    assert said.name == "Seal, double lip"


@pytest.mark.parametrize(
    ("text", "row", "column", "says"),
    [
        ("", 1, "", "The list is empty"),
        ("number,name,cost", 1, "", "no rows below its header"),
        ("number,name\nA-1,Seal", 1, "cost", "This column is missing"),
        ("number,name,cost,colour\nA-1,Seal,1,red", 1, "colour", "This column is not known"),
        ("number,name,cost,cost\nA-1,Seal,1,2", 1, "cost", "This column stands twice"),
        ("number,name,cost\nA-1,Seal", 2, "cost", "This row has 2 of 3 cells; none for cost"),
        ("number,name,cost\nA-1,Seal,1,2", 2, "", "This row has 4 cells, the header 3"),
        ("number,name,cost\nA-1,Seal,1\nA 2,Seal,1", 3, "number", "A 2 is no part number"),
        ("number,name,cost\nA-1,Seal,1\n\nA-1,Seal,1", 4, "number", "A-1 stands in row 2 already"),
        ("number,name,cost\nA-1,Seal,a lot", 2, "cost", "This is not an amount of money"),
        ("number,name,cost,supplier\nA-1,Seal,1,Nobody", 2, "supplier", "This is no supplier of the shop"),
        ("number,name,cost,reorder point\nA-1,Seal,1,4", 2, "reorder quantity", "needs a quantity to order"),
        ("number,name,cost\nA-1,Se\x00al,1", 1, "", "cannot be printed"),
        ("number,name,cost" + "\nA,B,1" * 2001, 1, "", "The list is too long"),
    ],
)
def test_what_is_bad_is_named_by_row_and_column(text: str, row: int, column: str, says: str) -> None:
    [found] = bad(text)
    assert (found.row, found.column) == (row, column)
    assert says in found.says


def test_every_bad_cell_is_named_not_only_the_first() -> None:
    found = bad("number,name,cost\nA 1,,much\nB-1,Seal,1\nC 1,Cap,2")
    assert [(it.row, it.column) for it in found] == [
        (2, "cost"),
        (2, "number"),
        (2, "name"),
        (4, "number"),
    ]


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(st.text(max_size=80))
def test_whatever_is_read_in_is_kept_whole_or_named(text: str) -> None:
    read = read_list("number,name,cost\n" + text, SHELVES, KNOWN)
    assert bool(read.bad) != bool(read.rows and all(row.said for row in read.rows))


def test_a_list_is_looked_at_first_and_then_kept_whole(book: Engine) -> None:
    supplier(book)
    part(book)
    key = list_steps.read_in(book, act(), GOOD)
    with reading(book) as session:
        page = list_steps.list_page(session, key)
        assert len(session.exec(select(Part)).all()) == 1  # nothing kept yet
    assert ([it.said.number for it in page.new], [it.said.number for it in page.changed]) == (
        ["SEAL-1"],
        ["BRG-L44649"],
    )
    again = act()
    assert list_steps.keep_list(book, again, key) == list_steps.keep_list(book, again, key) == key
    with reading(book) as session:
        rows = {row.number: row for row in session.exec(select(Part))}
    assert (rows["SEAL-1"].cost, rows["BRG-L44649"].cost, rows["BRG-L44649"].bin) == (430, 1500, "A-03-2")
    assert rows["BRG-L44649"].revision == 2
    with pytest.raises(Refused, match="kept before"):
        list_steps.keep_list(book, act(), key)


def test_a_list_with_one_bad_row_keeps_nothing(book: Engine) -> None:
    key = list_steps.read_in(book, act(), "number,name,cost\nA-1,Seal,1\nB-1,Cap,much")
    with pytest.raises(Refused, match="Some rows are bad"):
        list_steps.keep_list(book, act(), key)
    with reading(book) as session:
        assert session.exec(select(Part)).all() == []


def test_a_list_is_judged_by_the_catalogue_at_the_moment_of_keeping(book: Engine) -> None:
    key = list_steps.read_in(book, act(), "number,name,cost\nA-1,Seal,1")
    steps.save_part(book, act(), None, PartSaid("A-1", "Seal, as kept meanwhile", cost=100, bin="B-01"))
    list_steps.keep_list(book, act(), key)
    with reading(book) as session:
        [row] = session.exec(select(Part))
    assert (row.name, row.bin, row.revision) == ("Seal", "B-01", 2)


def test_the_pages_name_what_is_bad_and_offer_no_key_for_it(book: Engine, signed: Signed) -> None:
    browser = signed("Wren")
    empty = browser.post("/parts/lists", {"submission": "none", "text": "  "})
    assert empty.status_code == 422
    answer = browser.post("/parts/lists", {"submission": "bad", "text": "number,name,cost\nA 1,Seal,1"})
    page = browser.get(answer.headers["location"]).text
    wrong = r'<th scope="row">2</th><td [^>]*>number</td><td [^>]*><b>A 1 is no part number</b></td>'
    assert re.search(wrong, page)
    assert "Keep all" not in page
    assert browser.post("/parts/lists/1/keep", {"submission": "keep"}).status_code == 422
    assert browser.get("/parts/lists/7").status_code == 404
    assert signed("Toni").get("/parts/lists").status_code == 403


MISSHAPEN = [
    ("number,name\nA-1,Seal", "Row 1, cost: This column is missing", "a header row with number, name, cost;"),
    ("number,name,cost,hue\nA,B,1,2", "Row 1, hue: This column is not known", "number, name, designation"),
    (
        "number,name,cost\nA-1",
        "Row 2, name: This row has 1 of 3 cells; none for name, cost",
        "one cell",
    ),
    ("a,b\n", "Row 1, cost: This column is missing", "number, name, designation"),
]


@pytest.mark.parametrize(("text", "says", "accepts"), MISSHAPEN)
@pytest.mark.parametrize("of_file", [False, True])
def test_a_list_of_another_shape_is_refused_beside_its_field(
    book: Engine, signed: Signed, text: str, says: str, accepts: str, *, of_file: bool
) -> None:
    files = [("file", ("list.csv", text.encode(), "text/csv"))] if of_file else []
    form = {"submission": "shape", "text": "" if of_file else text}
    answer = signed("Wren").post("/parts/lists", form, files=files)
    assert answer.status_code == 422
    beside = html.unescape(answer.text.partition('id="text"')[2])
    assert says in beside
    assert accepts in beside
    assert text.strip() in beside  # what was sent stands there, to be mended
    with reading(book) as session:
        assert session.exec(select(PartList)).all() == []


def test_of_a_mistake_made_throughout_a_few_rows_are_told() -> None:
    bad_rows = lists.misshapen("number,name,cost" + "\nA-1,Seal" * 9)
    assert [it.row for it in bad_rows] == list(range(2, 11))
    says = list_steps.beside(bad_rows).says
    assert says.count("Row ") == 5
    assert says.endswith("And 4 more")


def test_a_file_is_read_in_whatever_wrote_it(book: Engine, signed: Signed) -> None:
    browser = signed("Wren")
    text = "number;name;cost\nA-1;Dichtung für Nabe;4,30"
    for name, content in (("utf", text.encode("utf-8-sig")), ("windows", text.encode("cp1252"))):
        files = [("file", (f"{name}.csv", content, "text/csv"))]
        answer = browser.post("/parts/lists", {"submission": name, "text": ""}, files=files)
        assert "Dichtung für Nabe" in browser.get(answer.headers["location"]).text
    kept = browser.post("/parts/lists/2/keep", {"submission": "keep"})
    assert kept.status_code == 303
    assert "Kept" in browser.get("/parts/lists/2").text
