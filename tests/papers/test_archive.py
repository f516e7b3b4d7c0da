"""PDF/A-3a and PDF/UA-1 at once: what every paper claims, and the rules of it that a machine can look at.

The rules are those of ISO 14289-1 (PDF/UA-1) by the numbers of the Matterhorn Protocol 1.1, and of
ISO 19005-3 (PDF/A-3), both from memory. They say no more than what they look at: a machine cannot read sense.
"""

import re

import pikepdf
import pytest
from pikepdf import Dictionary, Name, Stream

from app.ground.archive import claim_both, name_enclosed_once, say_scopes
from tests.papers.conftest import Printings
from tests.papers.every import Case
from tests.papers.structure import tree_of
from tests.papers.test_every import every, of

STANDARD = {
    "Document",
    "Part",
    "Art",
    "Sect",
    "Div",
    "BlockQuote",
    "Caption",
    "TOC",
    "TOCI",
    "Index",
    "NonStruct",
}
STANDARD |= {
    "Private",
    "P",
    "H",
    *(f"H{level}" for level in range(1, 7)),
    "L",
    "LI",
    "Lbl",
    "LBody",
    "Table",
    "TR",
}
STANDARD |= {
    "TH",
    "TD",
    "THead",
    "TBody",
    "TFoot",
    "Span",
    "Quote",
    "Note",
    "Reference",
    "BibEntry",
    "Code",
    "Link",
}
STANDARD |= {"Annot", "Figure", "Formula", "Form", "Root"}  # ISO 32000-1, 14.8.4
SHOWN = {"Tj", "TJ", "'", '"', "Do", "f", "f*", "S", "s", "B", "b", "sh"}


@every
def test_it_claims_both_and_says_what_it_claims(printings: Printings, case: Case, size: str) -> None:
    with of(printings, case, size).opened as pdf, pdf.open_metadata() as told:
        assert (told["pdfaid:part"], told["pdfaid:conformance"]) == ("3", "A")
        assert told["pdfuaid:part"] == "1"  # 06-002
        assert told["dc:title"] == str(pdf.docinfo["/Title"])  # 06-003
        assert "http://www.aiim.org/pdfua/ns/id/" in str(
            told
        )  # ISO 19005-3, 6.6.2.3: the schema is described
        assert str(told).count("<rdf:RDF") == 1
        assert pdf.Root.ViewerPreferences.DisplayDocTitle  # 07-002
        assert pdf.Root.OutputIntents[0].S == "/GTS_PDFA1"


@every
def test_everything_shown_is_content_with_a_tag_or_an_artifact(
    printings: Printings, case: Case, size: str
) -> None:
    with of(printings, case, size).opened as pdf:
        for page in pdf.pages:
            assert unmarked(page) == []  # 01-005


def unmarked(page: pikepdf.Page) -> list[str]:
    """What a page shows outside marked content, by operator."""
    depth, found = 0, []
    for operands, operator in pikepdf.parse_content_stream(page):
        word = str(operator)
        depth += (word in ("BMC", "BDC")) - (word == "EMC")
        if word in SHOWN and not depth:
            found.append(f"{word} {operands}"[:80])
    return found


@every
def test_tags_are_the_standard_ones_and_nothing_is_tagged_twice(
    printings: Printings, case: Case, size: str
) -> None:
    with of(printings, case, size).opened as pdf:
        nodes = list(tree_of(pdf).walk())
        assert {it.kind for it in nodes} <= STANDARD  # 02-001
        marks = [mark for it in nodes for mark in it.marked]
        assert len(marks) == len(set(marks))


@every
def test_a_row_stands_in_a_table_and_a_cell_in_a_row(printings: Printings, case: Case, size: str) -> None:
    within = {"TR": {"Table", "THead", "TBody", "TFoot"}, "TH": {"TR"}, "TD": {"TR"}, "LI": {"L"}}
    with of(printings, case, size).opened as pdf:
        for parent in tree_of(pdf).walk():
            for kid in parent.kids:
                assert parent.kind in within.get(kid.kind, {parent.kind})  # 09-004, 09-005


@every
def test_every_head_of_a_table_says_what_it_heads(printings: Printings, case: Case, size: str) -> None:
    it = of(printings, case, size)
    with it.opened as pdf:
        heads = [node for node in tree_of(pdf).walk() if node.kind == "TH"]
    assert [head for head in heads if head.scope not in ("Row", "Column")] == []  # 15-003
    told = {head.scope for head in heads}
    assert ("Row" in told) == bool(it.root.xpath("//th[@scope='row']"))
    assert "Column" in told or not it.root.xpath("//th[@scope='col']")


@every
def test_fonts_are_inside_and_their_letters_can_be_read_out(
    printings: Printings, case: Case, size: str
) -> None:
    with of(printings, case, size).opened as pdf:
        fonts = [it for it in pdf.objects if isinstance(it, Dictionary) and it.get("/Type") == "/Font"]
        for font in (it for it in fonts if it.get("/Subtype") == "/Type0"):
            assert "/ToUnicode" in font  # 10-001
            told = font.DescendantFonts[0].FontDescriptor
            assert {"/FontFile", "/FontFile2", "/FontFile3"} & set(told.keys())  # 31-009


@every
def test_nothing_moves_plays_or_runs(printings: Printings, case: Case, size: str) -> None:
    with of(printings, case, size).opened as pdf:
        assert "/OpenAction" not in pdf.Root  # ISO 19005-3, 6.5
        assert not pdf.is_encrypted  # ISO 19005-3, 6.1.3
        for page in pdf.pages:
            assert page.obj.get("/Tabs", Name.S) == Name.S  # 28-008
            assert all(it.Subtype == "/Link" for it in page.obj.get("/Annots", []))
        streams = [it for it in pdf.objects if isinstance(it, Stream)]
        assert not any("/LZWDecode" in str(it.get("/Filter", "")) for it in streams)  # ISO 19005-3, 6.1.7.2


@every
def test_what_is_enclosed_says_its_name_and_how_it_belongs(
    printings: Printings, case: Case, size: str
) -> None:
    with of(printings, case, size).opened as pdf:
        files = [it for it in pdf.objects if isinstance(it, Dictionary) and it.get("/Type") == "/Filespec"]
        for each in files:
            assert {"/F", "/UF"} <= set(each.keys())  # 21-001
            assert each.AFRelationship == "/Data"  # ISO 19005-3, 6.8
        assert len(pdf.Root.get("/AF", [])) == len(files)


class Renderer:
    """The parts of the renderer's PDF that are added to: ISO 32000-1, 14.7.2 and 14.3.2."""

    def __init__(self, *objects: dict[str, object]) -> None:
        self.objects = list(objects)
        self.catalog: dict[str, object] = {"Metadata": "0 0 R"}


def test_a_head_alone_in_its_row_heads_the_columns_below() -> None:
    table = {"S": "/Table"}
    alone, beside = (
        {"S": "/TR", "P": "0 0 R", "K": ["3 0 R"]},
        {"S": "/TR", "P": "0 0 R", "K": ["4 0 R", "5 0 R"]},
    )
    one, other = ({"S": "/TH", "P": f"{row} 0 R", "A": {}} for row in (1, 2))
    say_scopes(Renderer(table, alone, beside, one, other))
    assert (one["A"], other["A"]) == ({"Scope": "/Column"}, {"Scope": "/Row"})


def test_an_enclosed_file_is_named_once() -> None:
    made = Renderer()
    made.catalog["AF"] = ["4 0 R", "5 0 R", "4 0 R", "5 0 R"]
    name_enclosed_once(made)
    assert made.catalog["AF"] == ["4 0 R", "5 0 R"]


def test_a_claim_is_refused_where_the_metadata_is_not_what_it_was() -> None:
    class Metadata(dict[str, object]):
        stream = (b"<x:xmpmeta/>",)

    with pytest.raises(ValueError, match=re.escape("no metadata")):
        claim_both(Renderer(Metadata()))
