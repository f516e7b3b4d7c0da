"""Rules of PDF/UA-1 and PDF/A-3 that a machine can look at, looked at with pikepdf and fontTools alone.

Named by the failure conditions of the Matterhorn Protocol 1.1 (`UA 13-004`) and the clauses of ISO 19005-3
(`A 6.1.3`), both from memory. It knows nothing of how the papers are made, and no more than what it looks at:
it is no validator. What a person must judge (order of reading, sense of a text) it leaves alone.
"""

import io
import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

import pikepdf
from fontTools.ttLib import TTFont
from pikepdf import Array, Dictionary, Pdf, Stream

from tests.papers.structure import tree_of

Found = Iterator[str]
Rule = Callable[[Pdf], Found]
RULES: dict[str, Rule] = {}


def rule(*names: str) -> Callable[[Rule], Rule]:
    """Enter a rule under the numbers of what it looks at."""

    def enter(look: Rule) -> Rule:
        RULES[", ".join(names)] = look
        return look

    return enter


def faults(pdf: Pdf) -> list[str]:
    """Everything that a file breaks, each with the numbers of the rule."""
    shown.cache_clear()
    return [f"{names}: {says}" for names, look in RULES.items() for says in look(pdf)]


def file_faults(content: bytes) -> list[str]:
    """What the bytes of a file break before it is read as objects, then all the rest."""
    with pikepdf.open(io.BytesIO(content)) as pdf:
        return [*_outside(content), *faults(pdf)]


def _outside(content: bytes) -> Found:
    head, comment, *_ = content.split(b"\n", 2)
    if not re.fullmatch(rb"%PDF-1\.[0-7]", head):
        yield f"A 6.1.2: begins with {head[:20]!r}"
    if not (comment[:1] == b"%" and len(comment) > 4 and min(comment[1:5]) > 127):
        yield f"A 6.1.2: no comment of four high bytes, {comment[:10]!r}"
    if not re.search(rb"%%EOF\r?\n?$", content):
        yield "A 6.1.3: something stands behind the end of the file"


# Objects


def dictionaries(pdf: Pdf) -> Iterator[Any]:
    """Every dictionary of a file, in whatever it stands; a stream gives its own."""
    for each in pdf.objects:
        yield from _inside(each)


def _inside(it: Any) -> Iterator[Any]:  # noqa: ANN401
    if isinstance(it, Dictionary | Stream):
        yield it
        for key in it.keys():  # noqa: SIM118 - no mapping
            yield from _direct(it[key])
    elif isinstance(it, Array):
        for each in it:
            yield from _direct(each)


def _direct(it: Any) -> Iterator[Any]:  # noqa: ANN401
    """What stands in another object; an object of its own is met by itself."""
    if isinstance(it, pikepdf.Object) and not it.is_indirect:
        yield from _inside(it)


def streams(pdf: Pdf) -> list[Any]:
    """Every stream."""
    return [it for it in pdf.objects if isinstance(it, Stream)]


def structure(pdf: Pdf) -> list[Any]:
    """Every structure element."""
    return [it for it in dictionaries(pdf) if "/S" in it and "/P" in it and str(it.get("/Type")) != "/Action"]


def kids(element: Any) -> list[Any]:  # noqa: ANN401
    """What stands in a structure element: elements, marks, references to objects."""
    held = element.get("/K", [])
    return list(held) if isinstance(held, Array) else [held]


def kinds(element: Any) -> list[str]:  # noqa: ANN401
    """The types of the elements within one."""
    return [str(it.S)[1:] for it in kids(element) if isinstance(it, Dictionary) and "/S" in it]


# Content


@dataclass
class Shown:
    """One operator of a page or of a form in it. `within`: the tags of the marked content round it."""

    word: str
    operands: list[Any]
    within: tuple[str, ...]
    font: Any = None
    depth: int = 0
    resources: Any = None


PATHS = {"m", "l", "c", "v", "y", "h", "re", "n", "W", "W*", "cm", "w", "J", "j", "M", "d", "i"}


@dataclass
class Pen:
    """What is set while a content stream is read."""

    font: Any = None
    kept: list[Any] = field(default_factory=list)


@cache
def shown(pdf: Pdf) -> list[Shown]:
    """What every page shows and sets, in the forms that it draws too; but for the lines of drawings."""
    pages = (_shown(it.obj, it.obj.get("/Resources", Dictionary()), ()) for it in pdf.pages)
    return [it for page in pages for it in page if it.word not in PATHS]


def _shown(holder: Any, resources: Any, outer: tuple[str, ...]) -> Iterator[Shown]:  # noqa: ANN401
    within, pen = list(outer), Pen()
    for operands, operator in pikepdf.parse_content_stream(holder):
        it = Shown(str(operator), list(operands), tuple(within), pen.font, len(pen.kept), resources)
        _turn(it, within, pen)
        yield replace(it, font=pen.font)
        if it.word == "Do":
            yield from _form(resources.XObject[str(operands[0])], tuple(within))


def _turn(it: Shown, within: list[str], pen: Pen) -> None:
    match it.word:
        case "BMC" | "BDC":
            within.append(_tag(it))
        case "EMC" if within:
            within.pop()
        case "Tf":
            pen.font = it.resources.Font[str(it.operands[0])]
        case "q":
            pen.kept.append(pen.font)
        case "Q" if pen.kept:
            pen.font = pen.kept.pop()


def _tag(it: Shown) -> str:
    """The tag of a mark, with `+` where it belongs to the structure."""
    has_id = len(it.operands) > 1 and isinstance(it.operands[1], Dictionary) and "/MCID" in it.operands[1]
    return f"{it.operands[0]}{'+' if has_id else ''}"


def _form(form: Any, within: tuple[str, ...]) -> Iterator[Shown]:  # noqa: ANN401
    if form.get("/Subtype") == "/Form":
        yield from _shown(form, form.get("/Resources", Dictionary()), within)


# PDF/UA-1: the structure


@rule("UA 01-003", "UA 01-004")
def _artifacts(pdf: Pdf) -> Found:
    for it in shown(pdf):
        tags = [*it.within, _tag(it)] if it.word in ("BMC", "BDC") else []
        if "/Artifact" in tags and any(tag.endswith("+") for tag in tags):
            yield f"tagged content and an artifact in each other: {tags}"


SHOWS = {
    "Tj",
    "TJ",
    "'",
    '"',
    "f",
    "f*",
    "F",
    "S",
    "s",
    "B",
    "b",
    "B*",
    "b*",
    "sh",
    "BI",
    "EI",
    "INLINE IMAGE",
}


@rule("UA 01-005")
def _untagged(pdf: Pdf) -> Found:
    for it in shown(pdf):
        real = [tag for tag in it.within if tag.endswith("+") or tag == "/Artifact"]
        if (it.word in SHOWS or _picture(it)) and not real:
            yield f"{it.word} is neither tagged nor an artifact"


def _picture(it: Shown) -> bool:
    return it.word == "Do" and it.resources.XObject[str(it.operands[0])].get("/Subtype") == "/Image"


@rule("UA 01-007", "UA 06-001", "UA 07-001", "UA 07-002", "UA 11-006")
def _catalog(pdf: Pdf) -> Found:
    root = pdf.Root
    if root.get("/MarkInfo", {}).get("/Suspects"):
        yield "its tags are said to be suspect"
    if not root.get("/MarkInfo", {}).get("/Marked") or "/StructTreeRoot" not in root:
        yield "it is not said to be tagged"
    if "/Metadata" not in root:
        yield "no metadata"
    if not root.get("/ViewerPreferences", {}).get("/DisplayDocTitle"):
        yield "its title is not shown"
    if not re.fullmatch(r"[a-z]{2,3}(-[A-Z]{2})?", str(root.get("/Lang", ""))):
        yield f"its language is {root.get('/Lang')}"


@rule("UA 02-001", "UA 02-003", "UA 02-004")
def _types(pdf: Pdf) -> Found:
    if pdf.Root.StructTreeRoot.get("/RoleMap"):
        yield "types are mapped to others"


PARTS = {
    "Table": {"Caption", "TR", "THead", "TBody", "TFoot"},
    "THead": {"TR"},
    "TBody": {"TR"},
    "TFoot": {"TR"},
    "TR": {"TH", "TD"},
    "L": {"Caption", "L", "LI"},
    "LI": {"Lbl", "LBody"},
    "TOC": {"Caption", "TOC", "TOCI"},
}
HOLDERS = {
    "TR": {"Table", "THead", "TBody", "TFoot"},
    "THead": {"Table"},
    "TBody": {"Table"},
    "TFoot": {"Table"},
    "TH": {"TR"},
    "TD": {"TR"},
    "LI": {"L"},
    "Lbl": {"LI", "Note"},
    "LBody": {"LI"},
    "TOCI": {"TOC"},
}


@rule("UA 09-004", "UA 09-005", "UA 09-006")
def _nesting(pdf: Pdf) -> Found:
    for it in structure(pdf):
        kind = str(it.S)[1:]
        for inner in kinds(it):
            if inner not in PARTS.get(kind, {inner}) or kind not in HOLDERS.get(inner, {kind}):
                yield f"{inner} stands in {kind}"


@rule("UA 01-006", "UA 18-001")
def _reached(pdf: Pdf) -> Found:
    """What is marked as content stands in the structure: a foot that is marked and left out is neither."""
    nodes = list(tree_of(pdf).walk())
    told = {mark for node in nodes for mark in node.marked}
    for nth, page in enumerate(pdf.pages):
        for it in _shown(page.obj, page.obj.get("/Resources", Dictionary()), ()):
            if it.word == "BDC" and _tag(it).endswith("+") and (nth, int(it.operands[1].MCID)) not in told:
                yield f"page {nth + 1}: {it.operands[0]} {it.operands[1].MCID} stands in no structure"


@rule("UA 13-004", "UA 17-002")
def _told(pdf: Pdf) -> Found:
    for it in structure(pdf):
        if str(it.S) in ("/Figure", "/Formula") and not (it.get("/Alt") or it.get("/ActualText")):
            yield f"{it.S} without words"


@rule("UA 14-006", "UA 14-007")
def _one_kind_of_heading(pdf: Pdf) -> Found:
    if any(str(it.S) == "/H" for it in structure(pdf)):
        yield "a heading without its level"


@rule("UA 15-003")
def _heads(pdf: Pdf) -> Found:
    for it in structure(pdf):
        if str(it.S) == "/TH" and not _attribute(it, "/Scope"):
            yield "a head of a table without what it heads"


def _attribute(element: Any, name: str) -> str:  # noqa: ANN401
    told = element.get("/A", Dictionary())
    held = list(told) if isinstance(told, Array) else [told]
    return next((str(it[name]) for it in held if isinstance(it, Dictionary) and name in it), "")


@rule("UA 19-003", "UA 19-004")
def _notes(pdf: Pdf) -> Found:
    ids = Counter(str(it.get("/ID", "")) for it in structure(pdf) if str(it.S) == "/Note")
    yield from (f"notes named {name!r}" for name, times in ids.items() if not name or times > 1)


@rule(
    "UA 28-002",
    "UA 28-004",
    "UA 28-005",
    "UA 28-006",
    "UA 28-008",
    "UA 28-010",
    "UA 28-011",
    "A 6.3",
    "A 6.4",
)
def _annotations(pdf: Pdf) -> Found:
    """A paper has nothing to click or fill in, so nothing that would have to be described."""
    yield from (
        f"page {nth}: an annotation" for nth, page in enumerate(pdf.pages, 1) if "/Annots" in page.obj
    )
    if "/AcroForm" in pdf.Root:
        yield "a form to fill in"


@rule("UA 20-001", "UA 25-001", "A 6.5", "A 6.9", "A 6.10", "A 6.11", "A 6.1.12")
def _nothing_but_a_paper(pdf: Pdf) -> Found:
    held = (
        "/OCProperties",
        "/OpenAction",
        "/AA",
        "/Perms",
        "/Requirements",
        "/Collection",
        "/NeedsRendering",
    )
    yield from (f"the catalog has {name}" for name in held if name in pdf.Root)
    names = pdf.Root.get("/Names", Dictionary())
    yield from (f"named {key}" for key in names.keys() if key not in ("/EmbeddedFiles", "/Dests"))  # noqa: SIM118
    for it in dictionaries(pdf):
        if it.get("/S") in ACTIONS or "/AA" in it or "/PresSteps" in it:
            yield f"it acts: {it.get('/S')}"


ACTIONS = {
    f"/{name}"
    for name in (
        *("Launch", "Sound", "Movie", "ResetForm", "ImportData", "JavaScript", "Hide", "SetOCGState"),
        *("Rendition", "Trans", "GoTo3DView", "SubmitForm", "URI", "GoToR", "GoToE", "Thread", "Named"),
    )
}


@rule("UA 30-001", "UA 30-002", "A 6.2.9")
def _forms(pdf: Pdf) -> Found:
    drawn: Counter[tuple[int, int]] = Counter()
    for it in shown(pdf):
        if it.word == "Do":
            drawn[it.resources.XObject[str(it.operands[0])].objgen] += 1
    for it in streams(pdf):
        if it.get("/Subtype") == "/PS" or any(key in it for key in ("/Ref", "/OPI", "/PS")):
            yield "a form that refers to another file, or to PostScript"
        if it.get("/Subtype") == "/Form" and drawn[it.objgen] > 1 and _has_marks(it):
            yield "tagged content that is drawn twice"


def _has_marks(form: Any) -> bool:  # noqa: ANN401
    found = _shown(form, form.get("/Resources", Dictionary()), ())
    return any(_tag(it).endswith("+") for it in found if it.word == "BDC")


# PDF/UA-1 and PDF/A-3: letters


@dataclass(frozen=True)
class Letters:
    """What a font holds: its glyphs' advances in 1/1000 of its size, and the text behind each code."""

    wide: dict[int, float]
    text: dict[int, str]
    asked: dict[int, float]
    default: float


@rule("UA 31-001", "UA 31-005", "UA 31-006", "UA 31-009", "A 6.2.11.4")
def _embedded(pdf: Pdf) -> Found:
    for font in (it for it in dictionaries(pdf) if it.get("/Type") == "/Font"):
        kind = str(font.get("/Subtype"))
        if kind == "/Type0":
            yield from _composite(font)
        elif kind not in ("/CIDFontType2", "/CIDFontType0"):
            yield f"a font of kind {kind}"


def _composite(font: Any) -> Found:  # noqa: ANN401
    under = font.DescendantFonts[0]
    if font.Encoding != "/Identity-H":
        yield f"{font.BaseFont}: {font.Encoding}"
    if under.Subtype == "/CIDFontType2" and under.get("/CIDToGIDMap") != "/Identity":
        yield f"{font.BaseFont}: its codes lead to no glyphs"
    if not {"/FontFile2", "/FontFile3"} & set(under.FontDescriptor.keys()):
        yield f"{font.BaseFont} is not inside"
    if "/ToUnicode" not in font:
        yield f"{font.BaseFont}: its letters cannot be read out"


@rule("UA 10-001", "UA 31-011", "UA 31-016", "UA 31-028", "UA 31-029", "UA 31-030", "A 6.2.11.8", "A 6.7.3")
def _letters(pdf: Pdf) -> Found:
    used: dict[tuple[int, int], set[int]] = {}
    fonts: dict[tuple[int, int], Any] = {}
    for it in shown(pdf):
        if it.word in ("Tj", "TJ", "'", '"') and it.font is not None:
            fonts[it.font.objgen] = it.font
            used.setdefault(it.font.objgen, set()).update(codes(it.operands))
    for key, found in used.items():
        yield from _of_font(fonts[key], found)


def codes(operands: list[Any]) -> Iterator[int]:
    """The codes of two bytes that an operator shows."""
    for each in operands:
        if isinstance(each, Array):
            yield from codes(list(each))
        elif isinstance(each, pikepdf.String):
            raw = bytes(each)
            yield from (raw[at] << 8 | raw[at + 1] for at in range(0, len(raw) - 1, 2))


def _of_font(font: Any, used: set[int]) -> Found:  # noqa: ANN401
    name, held = str(font.BaseFont), letters_of(font)
    for code in sorted(used):
        text = held.text.get(code, "")
        if code == 0:
            yield f"{name} shows .notdef"
        elif code not in held.wide:
            yield f"{name} has no glyph {code}"
        elif abs(held.wide[code] - held.asked.get(code, held.default)) > 1:
            yield f"{name}: glyph {code} is {held.wide[code]:.1f} wide, not {held.asked.get(code)}"
        if code and (not text or set(text) & {"\0", "\ufeff", "\ufffe"} or _private(text)):
            yield f"{name}: glyph {code} reads as {text!r}"


def _private(text: str) -> bool:
    return any(0xE000 <= ord(it) <= 0xF8FF or ord(it) >= 0xF0000 for it in text)


def letters_of(font: Any) -> Letters:  # noqa: ANN401
    """What an embedded font holds."""
    under = font.DescendantFonts[0]
    told = under.FontDescriptor
    program = told.get("/FontFile2") or told.get("/FontFile3")
    asked = dict(_widths(list(under.get("/W", []))))
    text = dict(_unicode(font.ToUnicode.read_bytes().decode("latin-1"))) if "/ToUnicode" in font else {}
    return Letters(
        _advances(program.read_bytes()) if program else {}, text, asked, float(under.get("/DW", 1000))
    )


@cache
def _advances(program: bytes) -> dict[int, float]:
    made = TTFont(io.BytesIO(program), lazy=True)
    unit = made["head"].unitsPerEm
    order, advances = made.getGlyphOrder(), made["hmtx"].metrics
    return {gid: advances[name][0] * 1000 / unit for gid, name in enumerate(order) if name in advances}


def _widths(listed: list[Any]) -> Iterator[tuple[int, float]]:
    while listed:
        first, then = int(listed.pop(0)), listed.pop(0)
        if isinstance(then, Array):
            yield from ((first + nth, float(it)) for nth, it in enumerate(then))
        else:
            wide = float(listed.pop(0))
            yield from ((code, wide) for code in range(first, int(then) + 1))


def _unicode(cmap: str) -> Iterator[tuple[int, str]]:
    for block in re.findall(r"beginbfchar(.*?)endbfchar", cmap, re.DOTALL):
        for code, text in re.findall(r"<([0-9a-fA-F]+)>\s*<([0-9a-fA-F]*)>", block):
            yield int(code, 16), bytes.fromhex(text).decode("utf-16-be", "replace")
    for block in re.findall(r"beginbfrange(.*?)endbfrange", cmap, re.DOTALL):
        for low, high, text in re.findall(r"<(\w+)>\s*<(\w+)>\s*<(\w+)>", block):
            first = int.from_bytes(bytes.fromhex(text))
            yield from (
                (code, chr(first + code - int(low, 16))) for code in range(int(low, 16), int(high, 16) + 1)
            )


# PDF/A-3: the file, its colours, its metadata, what is enclosed


@rule("A 6.1.3", "UA 26-001")
def _trailer(pdf: Pdf) -> Found:
    if len(pdf.trailer.get("/ID", [])) != 2:
        yield "no identifier"
    if "/Encrypt" in pdf.trailer:
        yield "encrypted"


@rule("A 6.1.7")
def _streams(pdf: Pdf) -> Found:
    for it in streams(pdf):
        if {"/F", "/FFilter", "/FDecodeParms"} & set(it.keys()):
            yield "a stream that stands in another file"
        if re.search(r"LZWDecode|Crypt", str(it.get("/Filter", ""))):
            yield f"a stream packed by {it.Filter}"


@rule("A 6.1.13")
def _limits(pdf: Pdf) -> Found:
    for nth, page in enumerate(pdf.pages, 1):
        if not all(3 <= float(side) <= 14_400 for side in list(page.mediabox)[2:]):
            yield f"page {nth} is {page.mediabox}"
    if deepest := max((it.depth for it in shown(pdf)), default=0) > 28:
        yield f"states are kept in each other {deepest} times"
    for it in dictionaries(pdf):
        for key in it.keys():  # noqa: SIM118 - no mapping
            long = isinstance(it[key], pikepdf.String) and len(bytes(it[key])) > 32_767
            if long or len(key) > 128:
                yield f"{key[:20]} is too long"


OPERATORS = {
    *("b", "B", "b*", "B*", "BDC", "BI", "BMC", "BT", "BX", "c", "cm", "CS", "cs", "d", "d0", "d1", "Do"),
    *("DP", "EI", "EMC", "ET", "EX", "f", "F", "f*", "G", "g", "gs", "h", "i", "ID", "j", "J", "K", "k", "l"),
    *("m", "M", "MP", "n", "q", "Q", "re", "RG", "rg", "ri", "s", "S", "SC", "sc", "SCN", "scn", "sh", "T*"),
    *("Tc", "Td", "TD", "Tf", "Tj", "TJ", "TL", "Tm", "Tr", "Ts", "Tw", "Tz", "v", "w", "W", "W*", "y"),
    *("'", '"', "INLINE IMAGE"),
}


@rule("A 6.2.2")
def _operators(pdf: Pdf) -> Found:
    yield from (f"an operator {it.word}" for it in shown(pdf) if it.word not in OPERATORS)
    yield from ("a page without resources" for page in pdf.pages if "/Resources" not in page.obj)


@rule("A 6.2.3", "A 6.2.4")
def _colours(pdf: Pdf) -> Found:
    intents = [it for it in pdf.Root.get("/OutputIntents", []) if it.get("/S") == "/GTS_PDFA1"]
    profile = intents[0].DestOutputProfile.read_bytes() if intents else b""
    if profile[12:16] not in (b"mntr", b"prtr") or profile[16:20] != b"RGB " or profile[36:40] != b"acsp":
        yield "no profile of red, green and blue"
    yield from (f"{it.word}: colours of a press" for it in shown(pdf) if it.word in ("k", "K"))
    yield from ("colours of a press" for it in streams(pdf) if "DeviceCMYK" in str(it.get("/ColorSpace", "")))


BLENDS = {
    f"/{name}" for name in ["Normal", "Compatible", "Multiply", "Screen", "Overlay", "Darken", "Lighten"]
}


@rule("A 6.2.5", "A 6.2.8", "A 6.2.10")
def _states(pdf: Pdf) -> Found:
    for it in dictionaries(pdf):
        if {"/TR", "/HTP", "/Alternates"} & set(it.keys()) or it.get("/Interpolate") is True:
            yield "a curve, a phase, or a picture drawn otherwise than it is"
        if "/BM" in it and str(it.BM) not in BLENDS:
            yield f"blended by {it.BM}"


TOLD = {
    "/Title": "dc:title",
    "/Author": "dc:creator",
    "/Subject": "dc:description",
    "/Keywords": "pdf:Keywords",
    "/Creator": "xmp:CreatorTool",
    "/Producer": "pdf:Producer",
}


@rule("A 6.6.2", "A 6.6.4", "UA 06-002", "UA 06-003")
def _metadata(pdf: Pdf) -> Found:
    raw = pdf.Root.Metadata.read_bytes()
    if re.search(rb"<\?xpacket begin=[^>]*(bytes|encoding)=", raw):
        yield "its metadata cannot be read as they stand"
    with pdf.open_metadata() as told:
        claims = {name: told.get(name) for name in ("pdfaid:part", "pdfaid:conformance", "pdfuaid:part")}
        if claims != {"pdfaid:part": "3", "pdfaid:conformance": "A", "pdfuaid:part": "1"}:
            yield f"it claims {claims}"
        if not told.get("dc:title"):
            yield "no title"
        for key, name in TOLD.items():
            if key in pdf.docinfo and not _same(str(pdf.docinfo[key]), told.get(name)):
                yield f"{name} is {told.get(name)!r}, {key} is {pdf.docinfo[key]!s}"
    for key in set(pdf.docinfo.keys()) - {*TOLD, "/CreationDate", "/ModDate", "/Trapped"}:
        yield f"{key} stands in no metadata"
    if b"pdfaExtension:schemas" not in raw or b"http://www.aiim.org/pdfua/ns/id/" not in raw:
        yield "the claim of PDF/UA is not described"


def _same(said: str, told: Any) -> bool:  # noqa: ANN401
    return said == (", ".join(told) if isinstance(told, list | set) else told)


@rule("A 6.8", "UA 21-001")
def _enclosed(pdf: Pdf) -> Found:
    held = [it for it in dictionaries(pdf) if it.get("/Type") == "/Filespec"]
    named = [it.objgen for it in pdf.Root.get("/AF", [])]
    for it in held:
        if named.count(it.objgen) != 1:
            yield f"{it.get('/UF')} is named {named.count(it.objgen)} times"
        if str(it.get("/AFRelationship")) not in RELATIONS or not {"/F", "/UF"} <= set(it.keys()):
            yield f"{it.get('/UF')}: {it.get('/AFRelationship')}"
        file = it.EF.F
        if not re.fullmatch(r"/[\w.+-]+/[\w.+-]+", str(file.get("/Subtype", ""))):
            yield f"{it.get('/UF')} is of type {file.get('/Subtype')}"
        if "/ModDate" not in file.get("/Params", Dictionary()):
            yield f"{it.get('/UF')} has no date"


RELATIONS = {"/Source", "/Data", "/Alternative", "/Supplement", "/Unspecified"}
