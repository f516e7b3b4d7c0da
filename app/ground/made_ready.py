"""Papers made ready before their last facts are known: all but those is rendered, the rest is set in later.

A template puts each late fact between two comments, `late(name, width, height, shape)` and `late_end()` of
`paper/_late.html`. For a paper made ready, a picture of that size stands there; later the picture's place in
the PDF is taken by the fact itself, rendered alone. What is made ready is found by the hash of all the rest
of the page: where any of it changed, nothing is found, and the paper is rendered whole.
"""

import hashlib
import io
import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

LATE = re.compile(r"<!--late ([a-z]+) (\d+) (\d+) ([a-z ]*)-->(.*?)<!--end-->", re.DOTALL)
NAMED = re.compile(r"<title>(.*?)</title>", re.DOTALL)
PREFIX = "late-"  # of the names of pictures that keep a place
POINTS = 72 / 25.4  # to the millimetre
DOT = bytes.fromhex(  # a PNG of one white dot
    "89504e470d0a1a0a0000000d49484452000000010000000108000000003a7e9b55"
    "0000000a4944415478da63f80f00010101001cb08c990000000049454e44ae426082"
)


@dataclass(frozen=True)
class Late:
    """A late fact: its name, place (millimetres wide, points high), the class of its text, and its HTML."""

    name: str
    wide: int
    high: int
    shape: str
    html: str

    @property
    def place(self) -> str:
        """The picture that keeps its place."""
        name = f"{PREFIX}{self.name}"
        size = f"width: {self.wide}mm; height: {self.high}pt"
        return f'<img class="late" src="asset:{name}" alt="{name}" style="{size}">'


def without(html: str) -> tuple[str, tuple[Late, ...]]:
    """A page with places kept for its late facts, and these."""
    found = tuple(
        Late(name, int(wide), int(high), shape, held) for name, wide, high, shape, held in LATE.findall(html)
    )
    places = iter(found)
    return LATE.sub(lambda _: next(places).place, html), found


def fingerprint(html: str, size: str, pictures: Mapping[str, str]) -> str:
    """What a paper made ready is found by: everything that it shows but its late facts."""
    return hashlib.sha256(repr((html, size, sorted(pictures.items()))).encode()).hexdigest()


def page_of(late: tuple[Late, ...]) -> str:
    """A page of its own for each late fact."""
    sizes = "".join(
        f"@page {it.name} {{ size: {it.wide}mm {it.high}pt; margin: 0; @bottom-center {{ content: none }} }}"
        f".of-{it.name} {{ page: {it.name} }}"
        for it in late
    )
    held = "".join(f'<section class="late of-{it.name} {it.shape}">{it.html}</section>' for it in late)
    return (
        '<!DOCTYPE html><html lang="en-US"><head><meta charset="utf-8"><title>Late</title>'
        f"<style>{sizes}</style></head><body>{held}</body></html>"
    )


def set_in(ready: bytes, late: tuple[Late, ...], rendered: bytes) -> bytes:
    """A paper made ready with its late facts set in, and what is enclosed with them."""
    import pikepdf

    with pikepdf.open(io.BytesIO(ready)) as paper, pikepdf.open(io.BytesIO(rendered)) as facts:
        for fact, page in zip(late, facts.pages, strict=True):
            _take_place(paper, fact, paper.copy_foreign(_form(fact, page)))
        _say(paper, {f"{PREFIX}{fact.name}": fact for fact in late})
        _enclose(paper, facts)
        out = io.BytesIO()
        paper.save(out, deterministic_id=True, fix_metadata_version=False)
    return out.getvalue()


def _form(fact: Late, page: Any) -> Any:  # noqa: ANN401
    """The fact's page as a form that fills the unit square, as pictures do: ISO 32000-1, 8.9.5 and 8.10."""
    form = page.as_form_xobject()
    form.Matrix = [1 / (fact.wide * POINTS), 0, 0, 1 / fact.high, 0, 0]
    return form


def _take_place(paper: Any, fact: Late, form: Any) -> None:  # noqa: ANN401
    name = f"/i{hashlib.md5(f'asset:{PREFIX}{fact.name}'.encode(), usedforsecurity=False).hexdigest()}"
    for page in paper.pages:
        held = page.Resources.XObject
        for key in [key for key in held.keys() if key.startswith(name)]:  # noqa: SIM118 - no mapping
            held[key] = form


def _say(paper: Any, late: Mapping[str, Late]) -> None:  # noqa: ANN401
    """What was a picture in the structure is now text, or a drawing with its own words."""
    import pikepdf

    for part in paper.objects:
        if not isinstance(part, pikepdf.Dictionary) or (fact := late.get(str(part.get("/Alt", "")))) is None:
            continue
        if named := NAMED.search(fact.html):
            part.Alt = pikepdf.String(named[1])
        else:
            part.S = pikepdf.Name.Span
            del part.Alt, part.A


def _enclose(paper: Any, facts: Any) -> None:  # noqa: ANN401
    for name in ("/AF", "/Names"):
        if name in facts.Root:
            paper.Root[name] = paper.copy_foreign(facts.make_indirect(facts.Root[name]))
