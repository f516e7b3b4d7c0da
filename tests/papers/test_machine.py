"""Every paper against the rules of machine.py, and each of those rules against a file that breaks it."""

import io
from collections.abc import Callable

import pikepdf
import pytest
from pikepdf import Array, Dictionary, Name, Pdf

from tests.papers.conftest import Printings
from tests.papers.every import Case
from tests.papers.machine import RULES, faults, file_faults, structure
from tests.papers.test_every import every, of


@every
def test_no_rule_that_a_machine_can_look_at_is_broken(printings: Printings, case: Case, size: str) -> None:
    assert file_faults(of(printings, case, size).pdf) == []


# Each rule, broken


def first(pdf: Pdf, kind: str) -> pikepdf.Object:
    """The first structure element of a type."""
    found: pikepdf.Object = next(it for it in structure(pdf) if f"/{kind}" == it.S)
    return found


def content(add: bytes) -> Callable[[Pdf], None]:
    """Puts operators in front of the first page's."""

    def do(pdf: Pdf) -> None:
        page = pdf.pages[0]
        page.obj.Contents = pdf.make_stream(add + b"\n" + page.obj.Contents.read_bytes())

    return do


def catalog(name: str, value: Callable[[Pdf], object]) -> Callable[[Pdf], None]:
    """Sets an entry of the catalog."""

    def do(pdf: Pdf) -> None:
        pdf.Root[name] = value(pdf)

    return do


def held_in(pdf: Pdf, kind: str) -> pikepdf.Object:
    """The resources of a kind of the first page."""
    resources = pdf.pages[0].Resources
    if kind not in resources:
        resources[kind] = Dictionary()
    return resources[kind]


def _rename(kind: str, to: str) -> Callable[[Pdf], None]:
    def do(pdf: Pdf) -> None:
        first(pdf, kind).S = Name(f"/{to}")

    return do


def _without(kind: str, *names: str) -> Callable[[Pdf], None]:
    def do(pdf: Pdf) -> None:
        for name in names:
            if name in first(pdf, kind):
                del first(pdf, kind)[name]

    return do


def font_of(pdf: Pdf) -> pikepdf.Object:
    """The first font of the first page."""
    fonts = pdf.pages[0].Resources.Font
    return fonts[sorted(fonts.keys())[0]]


def _font(change: Callable[[pikepdf.Object], None]) -> Callable[[Pdf], None]:
    return lambda pdf: change(font_of(pdf))


def _narrow(font: pikepdf.Object) -> None:
    under = font.DescendantFonts[0]
    for each in under.W:
        if isinstance(each, Array):
            for nth in range(len(each)):
                each[nth] = 1234


def _unread(font: pikepdf.Object) -> None:
    font.ToUnicode.write(b"beginbfchar endbfchar")


def _outside(font: pikepdf.Object) -> None:
    for name in ("/FontFile2", "/FontFile3"):
        if name in font.DescendantFonts[0].FontDescriptor:
            del font.DescendantFonts[0].FontDescriptor[name]


def _notdef(pdf: Pdf) -> None:
    name = sorted(pdf.pages[0].Resources.Font.keys())[0]
    content(f"/Artifact BMC BT {name} 9 Tf <0000> Tj ET EMC".encode())(pdf)


def _annotated(pdf: Pdf) -> None:
    link = Dictionary(Type=Name.Annot, Subtype=Name.Link, Rect=[0, 0, 9, 9])
    pdf.pages[0].obj.Annots = Array([pdf.make_indirect(link)])


def _acting(pdf: Pdf) -> None:
    pdf.pages[0].obj.AA = Dictionary(O=Dictionary(S=Name.JavaScript, JS="app.alert(1)"))


def _linked(pdf: Pdf) -> None:
    pdf.pages[0].obj.PieceInfo = Dictionary(Action=Dictionary(S=Name.Launch, F="x"))


def _drawn_twice(pdf: Pdf) -> None:
    form = pdf.make_stream(b"/P <</MCID 0>> BDC EMC", Type=Name.XObject, Subtype=Name.Form, BBox=[0, 0, 9, 9])
    held_in(pdf, "/XObject")["/Twice"] = form
    content(b"/Twice Do /Twice Do")(pdf)


def _in_a_press(pdf: Pdf) -> None:
    content(b"/Artifact BMC 0 0 0 1 k 0 0 9 9 re f EMC")(pdf)


def _told_otherwise(pdf: Pdf) -> None:
    pdf.docinfo["/Title"] = "Another"


def _unclaimed(pdf: Pdf) -> None:
    raw = pdf.Root.Metadata.read_bytes()
    pdf.Root.Metadata.write(raw.replace(b"<pdfuaid:part>1</pdfuaid:part>", b""))


def _undescribed(pdf: Pdf) -> None:
    raw = pdf.Root.Metadata.read_bytes()
    pdf.Root.Metadata.write(raw.replace(b"pdfaExtension:schemas", b"pdfaExtension:other"))


def _enclosed(change: Callable[[pikepdf.Object], None]) -> Callable[[Pdf], None]:
    return lambda pdf: change(pdf.Root.AF[0])


def _twice_named(pdf: Pdf) -> None:
    pdf.Root.AF.append(pdf.Root.AF[0])


def _state(**entry: object) -> Callable[[Pdf], None]:
    def do(pdf: Pdf) -> None:
        held_in(pdf, "/ExtGState")["/Odd"] = Dictionary(**entry)

    return do


def _large(pdf: Pdf) -> None:
    pdf.pages[0].obj.MediaBox = Array([0, 0, 20_000, 72])


def _note(pdf: Pdf) -> None:
    first(pdf, "P").S = Name.Note


def _external(pdf: Pdf) -> None:
    stream = pdf.make_stream(b"")
    stream.F = pikepdf.String("elsewhere")
    pdf.Root.Elsewhere = stream


BREAKS: list[tuple[str, Callable[[Pdf], None]]] = [
    ("UA 01-003", content(b"/Artifact BMC /P <</MCID 0>> BDC EMC EMC")),
    ("UA 01-004", content(b"/P <</MCID 0>> BDC /Artifact BMC EMC EMC")),
    ("UA 01-005", content(b"0 0 9 9 re f")),
    ("UA 01-005", content(b"/Span BMC 0 0 9 9 re f EMC")),  # marked, and no part of the structure
    ("UA 01-006", content(b"/Span <</MCID 9999>> BDC EMC")),
    ("UA 01-007", lambda pdf: pdf.Root.MarkInfo.__setitem__("/Suspects", True)),
    ("UA 06-001", lambda pdf: pdf.Root.MarkInfo.__setitem__("/Marked", False)),
    ("UA 07-001", lambda pdf: pdf.Root.__delitem__("/ViewerPreferences")),
    ("UA 11-006", catalog("/Lang", lambda _: "")),
    ("UA 02-001", lambda pdf: pdf.Root.StructTreeRoot.__setitem__("/RoleMap", Dictionary(Odd=Name.P))),
    ("UA 09-004", _rename("TR", "Div")),
    ("UA 09-004", _rename("THead", "Sect")),
    ("UA 13-004", _without("Figure", "/Alt")),
    ("UA 14-006", _rename("H2", "H")),
    ("UA 15-003", _without("TH", "/A")),
    ("UA 19-003", _note),
    ("UA 28-011", _annotated),
    ("A 6.4", catalog("/AcroForm", lambda _: Dictionary(Fields=[]))),
    ("A 6.9", catalog("/OCProperties", lambda _: Dictionary())),
    ("A 6.5", catalog("/OpenAction", lambda _: Dictionary(S=Name.JavaScript, JS="1"))),
    ("A 6.5", _acting),
    ("A 6.5", _linked),
    ("A 6.5", lambda pdf: pdf.Root.Names.__setitem__("/JavaScript", Dictionary(Names=[]))),
    ("UA 30-002", _drawn_twice),
    ("UA 31-009", _font(_outside)),
    ("UA 31-006", _font(lambda font: font.__setitem__("/Encoding", Name("/Identity-V")))),
    ("UA 10-001", _font(_unread)),
    ("UA 31-016", _font(_narrow)),
    ("UA 31-030", _notdef),
    ("A 6.1.3", lambda pdf: pdf.trailer.__delitem__("/ID")),
    ("A 6.1.7", _external),
    ("A 6.1.13", _large),
    ("A 6.1.13", content(b"q " * 30 + b"Q " * 30)),
    ("A 6.2.2", content(b"1 2 odd")),
    ("A 6.2.3", lambda pdf: pdf.Root.__delitem__("/OutputIntents")),
    ("A 6.2.4", _in_a_press),
    ("A 6.2.5", _state(TR=Name.Identity)),
    ("A 6.2.10", _state(BM=Name("/Odd"))),
    ("A 6.6.2", _told_otherwise),
    ("UA 06-002", _unclaimed),
    ("A 6.6.4", _undescribed),
    ("A 6.8", _twice_named),
    ("A 6.8", _enclosed(lambda it: it.__delitem__("/AFRelationship"))),
    ("A 6.8", _enclosed(lambda it: it.EF.F.__delitem__("/Subtype"))),
    ("UA 21-001", _enclosed(lambda it: it.__delitem__("/UF"))),
]


@pytest.mark.parametrize(("broken", "change"), BREAKS)
def test_a_file_that_breaks_a_rule_is_told(
    printings: Printings, broken: str, change: Callable[[Pdf], None]
) -> None:
    with pikepdf.open(io.BytesIO(printings["invoice", "letter"].pdf)) as pdf:
        assert not any(broken in it.partition(":")[0] for it in faults(pdf))
        change(pdf)
        assert any(broken in it.partition(":")[0].split(", ") for it in faults(pdf)), faults(pdf)


def test_every_rule_is_broken_by_some_file_here() -> None:
    tried = {name for name, _ in BREAKS}
    assert [names for names in RULES if not tried & set(names.split(", "))] == []


@pytest.mark.parametrize(
    ("change", "broken"),
    [
        (lambda pdf: pdf.replace(b"%PDF-1.7", b"%PDF-2.0", 1), "A 6.1.2"),
        (lambda pdf: pdf + b"more", "A 6.1.3"),
        (lambda pdf: pdf.replace(pdf.split(b"\n", 2)[1], b"%abcd", 1), "A 6.1.2"),
    ],
)
def test_what_stands_round_the_objects_is_looked_at(
    printings: Printings, change: Callable[[bytes], bytes], broken: str
) -> None:
    told = file_faults(change(printings["invoice", "letter"].pdf))
    assert any(it.startswith(broken) for it in told), told
