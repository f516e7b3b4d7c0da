"""What a paper's PDF claims: PDF/A-3a, which the renderer writes, and PDF/UA-1 beside it."""

from collections.abc import Iterator
from typing import Any

# ISO 14289-1, 5: the mark of PDF/UA-1. ISO 19005-3, 6.6.2.3: PDF/A describes each schema that is not its own.
CLAIM = b"""<rdf:Description rdf:about="" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">
<pdfuaid:part>1</pdfuaid:part></rdf:Description>
<rdf:Description rdf:about="" xmlns:pdfaExtension="http://www.aiim.org/pdfa/ns/extension/"
 xmlns:pdfaSchema="http://www.aiim.org/pdfa/ns/schema#" xmlns:pdfaProperty="http://www.aiim.org/pdfa/ns/property#">
<pdfaExtension:schemas><rdf:Bag><rdf:li rdf:parseType="Resource">
<pdfaSchema:schema>PDF/UA identification schema</pdfaSchema:schema>
<pdfaSchema:namespaceURI>http://www.aiim.org/pdfua/ns/id/</pdfaSchema:namespaceURI>
<pdfaSchema:prefix>pdfuaid</pdfaSchema:prefix>
<pdfaSchema:property><rdf:Seq><rdf:li rdf:parseType="Resource">
<pdfaProperty:name>part</pdfaProperty:name><pdfaProperty:valueType>Integer</pdfaProperty:valueType>
<pdfaProperty:category>internal</pdfaProperty:category>
<pdfaProperty:description>Part of ISO 14289 that this file follows</pdfaProperty:description>
</rdf:li></rdf:Seq></pdfaSchema:property></rdf:li></rdf:Bag></pdfaExtension:schemas></rdf:Description>
"""
END = b"</rdf:RDF>"


def finish(_document: object, pdf: Any) -> None:  # noqa: ANN401 - the renderer's PDF is untyped
    """What the renderer leaves out of a PDF that is both, added before it is written."""
    say_scopes(pdf)
    say_margins(pdf)
    name_enclosed_once(pdf)
    draw_as_it_is(pdf)
    claim_both(pdf)


def claim_both(pdf: Any) -> None:  # noqa: ANN401
    """Add the claim of PDF/UA-1 to the metadata of a PDF/A; ValueError where there is none."""
    stream = pdf.objects[int(pdf.catalog["Metadata"].split()[0])]
    before, end, after = stream.stream[0].rpartition(END)
    if not end:
        raise ValueError("The renderer wrote no metadata to which a claim could be added")
    stream.stream = [before + CLAIM + end + after]


def say_scopes(pdf: Any) -> None:  # noqa: ANN401
    """Say of each head of a table what it heads: ISO 14289-1, 7.5."""
    for each in pdf.objects:
        if isinstance(each, dict) and each.get("S") == "/TH":
            each["A"]["Scope"] = _scope(pdf, each)


def say_margins(pdf: Any) -> None:  # noqa: ANN401
    """Say of head and foot of a page that they are no content: artifacts (ISO 14289-1, 7.8).

    The renderer leaves them out of the structure, and yet marks them as if they stood in it.
    """
    root = _at(pdf, pdf.catalog["StructTreeRoot"])
    told = set(_below(pdf, root["K"]))
    nums = _at(pdf, root["ParentTree"])["Nums"]
    for page, elements in enumerate(nums[1::2][: len(pdf.page_references)]):
        outside = {mark for mark, element in enumerate(elements) if element not in told}
        elements[:] = [b"null" if mark in outside else it for mark, it in enumerate(elements)]
        _outside(_at(pdf, _at(pdf, pdf.page_references[page])["Contents"]).stream, outside)
    for each in pdf.objects:
        if _is_element(each) and each.reference not in told:
            each.clear()  # nothing refers to it any more


def _is_element(it: Any) -> bool:  # noqa: ANN401
    return isinstance(it, dict) and it.get("Type") == "/StructElem"


def _below(pdf: Any, kids: Any) -> Iterator[bytes]:  # noqa: ANN401
    """References of all structure elements below some."""
    for kid in kids if isinstance(kids, list) else [kids]:
        if isinstance(kid, bytes):
            yield kid
            yield from _below(pdf, _at(pdf, kid).get("K", []))


def _outside(stream: list[Any], marks: set[int]) -> None:
    """Turn marked content of a page into artifacts of its margins."""
    for place, told in enumerate(stream):
        if isinstance(told, dict) and told.get("MCID") in marks:
            stream[place - 1] = "/Artifact"
            del told["MCID"]
            told["Type"] = "/Pagination"


def name_enclosed_once(pdf: Any) -> None:  # noqa: ANN401
    """Name each enclosed file once as the document's (ISO 19005-3, 6.8); the renderer does so twice."""
    if "AF" in pdf.catalog:
        pdf.catalog["AF"][:] = dict.fromkeys(pdf.catalog["AF"])


def draw_as_it_is(pdf: Any) -> None:  # noqa: ANN401
    """Let no picture be smoothed as it is drawn (ISO 19005-3, 6.2.8); the renderer asks for that."""
    for each in pdf.objects:
        if getattr(each, "extra", {}).get("Interpolate"):
            each.extra["Interpolate"] = "false"


def _scope(pdf: Any, head: Any) -> str:  # noqa: ANN401
    """Column for a head in the table's head or alone in its row, such as of a group; else Row."""
    row = _at(pdf, head["P"])
    if _at(pdf, row["P"])["S"] == "/THead" or len(row["K"]) == 1:
        return "/Column"
    return "/Row"


def _at(pdf: Any, reference: Any) -> Any:  # noqa: ANN401
    return pdf.objects[int(reference.split()[0])]
