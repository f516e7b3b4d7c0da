"""Labels of the pieces of a canvas order: one for each copy, tied on before pieces are mixed up."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from app.canvas.facts import OrderRead, PieceRead
from app.ground.codes import Square, square_to
from app.trade.canvas.sketch import Shown, Thumbnail, thumbnail

DRAWING = (20, 15)  # mm
ROWS, SIGNS = 4, 30  # lines beside the drawing, and about how many letters one of them holds


@dataclass(frozen=True)
class PieceLabel:
    """One label: what is written on the cloth, which copy of how many, its drawing, and what is sewn to it.

    `lines`: the face and way up as the order says it, its pattern, then the seams; what one label cannot hold
    stands on the next (`more`).
    """

    mark: str
    name: str
    count: str
    drawing: Thumbnail
    lines: tuple[str, ...]
    code: Square | None
    more: bool = False


def labels_of(order: OrderRead, address: str = "") -> tuple[PieceLabel, ...]:
    """The labels of all copies of all pieces that have a finished outline, in the order's turn.

    `address`: of the shop's pages, for the code that opens the order; none without.
    """
    code = square_to(address, "canvas", order.key)
    return tuple(label for piece in order.pieces for label in _of_piece(order, piece, code))


def _of_piece(order: OrderRead, piece: PieceRead, code: Square | None) -> Iterator[PieceLabel]:
    if piece.finished is None:
        return
    drawing = thumbnail(Shown(piece.finished, warp_angle=piece.warp_angle), *DRAWING)
    sheets = list(_by_label([_face(piece), *_pattern(piece), *_sewn_to(order, piece)]))
    for copy in range(1, piece.copies + 1):
        count = f"{copy} of {piece.copies}"
        for at, lines in enumerate(sheets):
            yield PieceLabel(piece.label(copy), piece.name, count, drawing, lines, code, more=at > 0)


def _face(piece: PieceRead) -> str:
    return f"Drawn from outside: {piece.row.known.get('outside') or 'its face and way up are not said'}"


def _pattern(piece: PieceRead) -> Iterator[str]:
    """The piece of the earlier order whose pattern it is cut by, where it was taken over."""
    if piece.source:
        yield f"By the pattern {piece.source_mark} of {piece.source.number}"


def _sewn_to(order: OrderRead, piece: PieceRead) -> Iterator[str]:
    for seam in order.seams:
        for mine, theirs in ((seam.row.one, seam.other), (seam.row.other, seam.one)):
            if edges := [
                edge for key, _, edge in (it.partition(":") for it in mine) if key == str(piece.key)
            ]:
                others = (f"{_edges(side.edges)} of {side.piece}" for side in theirs)
                yield f"{_edges(edges)} with {'; '.join(others)}"


def _edges(names: Iterable[str]) -> str:
    """Edges as short as a label wants them, by the letters of its drawing: `A\N{EN DASH}B`."""
    return ", ".join(name.replace("-", "\N{EN DASH}") for name in names)


def _by_label(lines: Sequence[str]) -> Iterator[tuple[str, ...]]:
    """The lines in groups that one label holds, each group at least one."""
    group: list[str] = []
    for line in lines:
        if group and sum(map(_rows, (*group, line))) > ROWS:
            yield tuple(group)
            group = []
        group.append(line)
    yield tuple(group)


def _rows(line: str) -> int:
    return -(-len(line) // SIGNS)
