"""Lists as other programs write them: quotes, line ends, formulas, long cells, other encodings."""

import csv
import io
import re
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Engine
from sqlmodel import select

from app.ground.book import reading
from app.parts.lists import read_list
from app.parts.rules import PartSaid, Shelves
from app.parts.tables import Part, PartList
from tests.conftest import Browser

Signed = Callable[[str], Browser]
NONE = Shelves({}, {})
HEADER = ("number", "name", "cost", "bin")
SIGNS = st.sampled_from(list("abz AZ09,;\"'=+-@|/.()&<>%éß½×Ω"))
NAMES = st.text(SIGNS, min_size=1, max_size=40).map(lambda text: " ".join(text.split())).filter(bool)


def listed(rows: list[tuple[str, ...]], delimiter: str, end: str) -> str:
    """A list as the library's writer puts it: RFC 4180, quotes doubled, fields quoted where needed."""
    into = io.StringIO()
    csv.writer(into, delimiter=delimiter, lineterminator=end).writerows([HEADER, *rows])
    return into.getvalue()


@given(st.lists(NAMES, min_size=1, max_size=6), st.sampled_from(",;\t"), st.sampled_from(["\r\n", "\n"]))
def test_what_a_csv_writer_wrote_comes_back_cell_by_cell(names: list[str], sign: str, end: str) -> None:
    rows = [(f"P-{n}", name, f"{n}.05", f"A-{n:02}") for n, name in enumerate(names)]
    read = read_list(listed(rows, sign, end), NONE, {})
    assert read.bad == ()
    assert [(it.number, it.name, it.cost, it.bin) for it in read.parts] == [
        (number, name, n * 100 + 5, bin_) for n, (number, name, _, bin_) in enumerate(rows)
    ]


@pytest.mark.parametrize("end", ["\n", "\r\n", "\r"])
def test_a_line_end_inside_quotes_is_named_and_joins_no_words(end: str) -> None:
    # RFC 4180, 2.6: a field in quotes may hold line ends; a name of ours holds none
    text = f'number,name,cost{end}A-1,"Seal{end}double lip",4.30{end}B-1,Cap,1{end}'
    read = read_list(text, NONE, {})
    assert [row.number for row in read.rows] == ["A-1", "B-1"]  # still one row each
    if read.bad:
        assert [(it.row, it.column) for it in read.bad] == [(2, "name")]
    else:
        assert read.parts[0].name == "Seal double lip"


def test_a_row_after_a_broken_quote_is_not_taken_for_a_part() -> None:
    read = read_list('number,name,cost\nA-1,"Seal,1\nB-1,Cap,2\n', NONE, {})
    assert read.bad
    assert all(row.said is None for row in read.rows)


@pytest.mark.parametrize("cell", ["x" * 140_000, '"' + "x" * 140_000 + '"', '"' + "x\n" * 1500 + '"'])
def test_a_cell_of_any_length_is_refused_in_words(cell: str) -> None:
    read = read_list(f"number,name,cost\nA-1,{cell},1\n", NONE, {})
    assert read.bad
    assert not any(row.said for row in read.rows)


def test_a_quote_that_is_doubled_is_one_quote() -> None:
    # RFC 4180, 2.7: a double quote inside a field is escaped by another one
    [said] = read_list('number,name,cost\nA-1,"5"" hub, ""easy"" grease",1', NONE, {}).parts
    assert said.name == '5" hub, "easy" grease'


@pytest.mark.parametrize("text", ["=1+1", "+1", "-1", "@SUM(A1)", "=HYPERLINK(1)"])
def test_a_number_that_a_spreadsheet_would_run_is_no_part_number(text: str) -> None:
    [bad] = read_list(f"number,name,cost\n{text},Seal,1", NONE, {}).bad
    assert (bad.row, bad.column) == (2, "number")


@pytest.mark.parametrize("text", ["=1.00", "1e3", "1/2", "1,000.00.0", "$", "NaN", "Infinity", "0x10", "--1"])
def test_what_is_no_amount_is_named_beside_the_cost(text: str) -> None:
    found = read_list(listed([("A-1", "Seal", text, "A-01")], ",", "\n"), NONE, {}).bad
    assert {(it.row, it.column) for it in found} == {(2, "cost")}


@pytest.mark.parametrize("column", ["price", "reorder point", "reorder quantity", "unit", "bin"])
def test_an_empty_cell_is_what_an_empty_field_is(column: str) -> None:
    [said] = read_list(f"number,name,cost,{column}\nA-1,Seal,1,", NONE, {}).parts
    assert said == PartSaid("A-1", "Seal", cost=100)


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "cp1252"])
def test_what_was_sent_as_a_file_is_kept_as_it_was_written(
    book: Engine, signed: Signed, encoding: str
) -> None:
    browser, name = signed("Wren"), 'Nabe, "groß" ½ in'
    content = listed([("A-1", name, "4.30", "A-01")], ";", "\r\n").encode(encoding)
    sent = browser.post(
        "/parts/lists", {"submission": "file", "text": ""}, files=[("file", ("a.csv", content, "text/csv"))]
    )
    assert browser.post(f"{sent.headers['location']}/keep", {"submission": "keep"}).status_code == 303
    with reading(book) as session:
        [row] = session.exec(select(Part))
    assert (row.number, row.name, row.cost) == ("A-1", name, 430)


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-le", "utf-32"])
def test_a_file_in_a_wide_encoding_is_refused_in_words(book: Engine, signed: Signed, encoding: str) -> None:
    browser = signed("Wren")
    content = "number\tname\tcost\r\nA-1\tSeal\t4.30\r\n".encode(encoding)  # "Unicode text" of a spreadsheet
    sent = browser.post(
        "/parts/lists", {"submission": "wide", "text": ""}, files=[("file", ("a.txt", content, "text/plain"))]
    )
    page = browser.get(sent.headers["location"]).text if sent.status_code == 303 else sent.text
    assert "cannot be printed" in page
    assert browser.post("/parts/lists/1/keep", {"submission": "keep"}).status_code == 422
    with reading(book) as session:
        assert session.exec(select(Part)).all() == []


def test_the_same_list_sent_twice_is_read_in_once_and_kept_once(book: Engine, signed: Signed) -> None:
    browser = signed("Wren")
    form = {"submission": "once", "text": "number,name,cost\nA-1,Seal,4.30"}
    first, second = browser.post("/parts/lists", form), browser.post("/parts/lists", form)
    assert first.headers["location"] == second.headers["location"] == "/parts/lists/1"
    keep = {"submission": "keep"}
    answers = [browser.post("/parts/lists/1/keep", keep).status_code for _ in range(2)]
    assert answers == [303, 303]
    with reading(book) as session:
        assert len(session.exec(select(PartList)).all()) == 1
        [row] = session.exec(select(Part))
    assert row.revision == 1


def test_what_stands_in_a_list_is_text_on_its_page(signed: Signed) -> None:
    browser = signed("Wren")
    text = 'number,name,cost\nA-1,"<b onload=x>Seal</b>",1\n<i>,Cap,1'
    sent = browser.post("/parts/lists", {"submission": "html", "text": text})
    page = browser.get(sent.headers["location"]).text
    assert "<b onload" not in page
    assert not re.search(r"<i>\s*is no part number", page, re.IGNORECASE)
    assert "&lt;I&gt; is no part number" in page
