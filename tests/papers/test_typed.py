"""Whatever text is set into a paper stays text: nothing runs, nothing is opened, nothing is smuggled in.

Each text that a template sets in, whoever typed it, gets a payload behind it; then every paper is printed by
its own page. The payloads: markup, attributes, addresses, templates and style, each a way by which a renderer
of pages was known to read files or to be made to attach them (from memory).
"""

import re
import shutil
from collections.abc import Iterator, Mapping
from itertools import count
from pathlib import Path

import lxml.html
import pikepdf
import pytest
from markupsafe import Markup

from app.ground import papers
from app.ground.pages import paper_templates, templates
from tests.papers.conftest import Printings
from tests.papers.every import CASES, Case, Printed, print_all, words_of
from tests.papers.machine import file_faults
from tests.papers.structure import tree_of
from tests.whole.conftest import Made, open_desk

SECRET = "kept-in-no-paper-7301"
PRODUCT = str(7919 * 6841)
PAYLOADS = (
    "<link rel=attachment href='file://{0}'>",
    "<a rel=attachment href='file://{0}'>x</a>",
    "<img src='file://{0}'>",
    "<object data='file://{0}'></object>",
    "<iframe src='file://{0}'></iframe>",
    "<embed src='file://{0}'>",
    "<style>@import url(file://{0});</style>",
    "</td></tr></table><style>@font-face {{ src: url(file://{0}) }}</style>",
    "<p style='background: url(file://{0})'>",
    "<svg><image href='file://{0}'/></svg>",
    "<svg><use href='file://{0}#a'/></svg>",
    "<link rel=stylesheet href='http://127.0.0.1:9/x.css'>",
    "<meta http-equiv=refresh content='0; url=http://127.0.0.1:9/'>",
    "<base href='http://127.0.0.1:9/'>",
    "<script>app.alert(1)</script>",
    "<a href='javascript:app.alert(1)'>x</a>",
    "<a href='http://127.0.0.1:9/'>x</a>",
    '"><img src=x onerror=alert(1)>',
    "' style='content: url(file://{0})",
    "--><!--late head 10 10 --><img src='file://{0}'><!--end-->",
    "</title><link rel=attachment href='file://{0}'>",
    "<input name=x value=y><form action='http://127.0.0.1:9/'>",
    "{{{{7919*6841}}}}",
    "{{% include '/etc/passwd' %}}",
    "${{7919*6841}}",
    "#{{7919*6841}}",
    "<%= 7919*6841 %>",
    "(){{}} /JavaScript /Launch /OpenAction >> endobj",
    "\N{RIGHT-TO-LEFT OVERRIDE}fdp.exe",
)
# Not set in as a text: a drawing's numbers, and the names by which a page asks for its own pictures.
DRAWN = re.compile(r"[MLHVCSQTAZEmlhvcsqtaze0-9 .,+-]+|photo-\d+|h\d|#?[\w-]{1,2}")


class Hostile:
    """Puts the next payload behind each text that is set into a page."""

    def __init__(self, secret: Path) -> None:
        self.payloads = [each.format(secret) for each in PAYLOADS]
        self.nth = count()

    def __call__(self, value: object) -> object:
        """A text with a payload; anything else as it is."""
        if isinstance(value, Markup) or not isinstance(value, str) or not value or DRAWN.fullmatch(value):
            return value
        return f"{value} {self.payloads[next(self.nth) % len(self.payloads)]}"


@pytest.fixture(scope="module")
def hostile(
    made: Made, furnished: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Mapping[str, Printed]]:
    """Every paper, each of its texts with a payload, by name."""
    folder = tmp_path_factory.mktemp("hostile")
    (folder / "secret").write_text(SECRET)
    shutil.copy(furnished, folder / "stay.db")
    filled = templates().overlay(finalize=Hostile(folder / "secret"))
    with pytest.MonkeyPatch.context() as patch, open_desk(made, folder / "shop") as desk:
        patch.setattr(papers, "paper_templates", lambda: filled)
        yield {it.case: it for it in print_all(desk, folder / "stay.db", ("letter",))}


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.name)
def test_no_text_becomes_anything_but_text(
    hostile: Mapping[str, Printed], printings: Printings, case: Case
) -> None:
    it, plain = hostile[case.name], printings[case.name, "letter"]
    assert it.html.count("&lt;") > 5  # the payloads are there
    assert SECRET not in "".join(word.text for page in words_of(it.pdf) for word in page)
    with it.opened as pdf, plain.opened as other:
        assert set(pdf.attachments) == set(other.attachments)
        assert pictures(pdf) == pictures(other)
        held = [bytes(each.get_file().read_bytes()) for each in pdf.attachments.values()]
        assert not [each for each in held if SECRET.encode() in each]
        assert not any(isinstance(each, pikepdf.Dictionary) and "/URI" in each for each in pdf.objects)
        assert {node.kind for node in tree_of(pdf).walk()} - {"Link", "Annot", "Form"} == {
            node.kind for node in tree_of(pdf).walk()
        }
    assert [fault for fault in file_faults(it.pdf) if ".notdef" not in fault] == []
    assert PRODUCT not in it.html
    assert same_tags(it.root, plain.root)


def pictures(pdf: pikepdf.Pdf) -> int:
    """How many different pictures a file holds."""
    return sum(isinstance(it, pikepdf.Stream) and it.get("/Subtype") == "/Image" for it in pdf.objects)


def same_tags(one: lxml.html.HtmlElement, other: lxml.html.HtmlElement) -> bool:
    """Whether a page has no kind of element that the other has not."""
    return {str(it.tag) for it in one.iter() if isinstance(it.tag, str)} <= {
        str(it.tag) for it in other.iter() if isinstance(it.tag, str)
    }


def test_a_template_that_took_texts_for_markup_would_be_found(tmp_path: Path) -> None:
    template = paper_templates().from_string("<p>{{ name | safe }}</p>")
    made = template.render({"name": Hostile(tmp_path)("Ada")})
    assert not same_tags(lxml.html.fromstring(made), lxml.html.fromstring("<p>Ada</p>"))
