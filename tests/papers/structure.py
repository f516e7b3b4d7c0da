"""The structure of a tagged PDF (ISO 32000-1, 14.7), read with pikepdf alone."""

from collections.abc import Iterator
from dataclasses import dataclass, field

import pikepdf


@dataclass
class Node:
    """A structure element: type, alternative text, scope, kids, and its own marked content."""

    kind: str
    alt: str = ""
    scope: str = ""
    kids: list["Node"] = field(default_factory=list)
    marked: set[tuple[int, int]] = field(default_factory=set)  # page, mark

    def walk(self) -> Iterator["Node"]:
        """This element and all below it, in reading order."""
        yield self
        for kid in self.kids:
            yield from kid.walk()

    @property
    def pages(self) -> set[int]:
        """The pages on which its content stands."""
        return {page for node in self.walk() for page, _ in node.marked}


def tree_of(pdf: pikepdf.Pdf) -> Node:
    """The structure of a document."""
    pages = {page.obj.objgen: number for number, page in enumerate(pdf.pages)}
    root = Node("Root")
    _read(pdf.Root.StructTreeRoot, root, pages, None)
    return root


def _read(element: pikepdf.Object, node: Node, pages: dict[tuple[int, int], int], page: int | None) -> None:
    page = pages[element.Pg.objgen] if "/Pg" in element else page
    kids = element.get("/K", [])
    for kid in kids if isinstance(kids, pikepdf.Array) else [kids]:
        if isinstance(kid, int):
            assert page is not None
            node.marked.add((page, int(kid)))
        elif kid.get("/Type") == "/MCR":
            node.marked.add((pages[kid.Pg.objgen] if "/Pg" in kid else page or 0, int(kid.MCID)))
        elif "/S" in kid:
            made = Node(str(kid.S)[1:], str(kid.get("/Alt", "")), _scope(kid))
            node.kids.append(made)
            _read(kid, made, pages, page)


def _scope(element: pikepdf.Object) -> str:
    told = element.get("/A", [])
    for each in told if isinstance(told, pikepdf.Array) else [told]:
        if isinstance(each, pikepdf.Dictionary) and "/Scope" in each:
            return str(each.Scope)[1:]
    return ""
