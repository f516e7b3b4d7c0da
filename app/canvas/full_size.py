"""A piece at full size on sheets of the shop's paper, taped together: what it takes, and the paper."""

from sqlmodel import Session

from app.canvas.facts import OrderRead, PieceRead
from app.canvas.plans import marks_of
from app.canvas.tables import CanvasPart
from app.ground.papers import Paper
from app.ground.shop import shop_of
from app.trade.canvas.dxf import Marks
from app.trade.canvas.outline import length_said
from app.trade.canvas.sheet_map import SheetMap, sheet_map
from app.trade.canvas.sheets import A4, LETTER, FullSize, Paperstock, full_size
from app.trade.problems import Impossible, Refused

STOCKS = {"letter": LETTER, "a4": A4}


def stock_of(session: Session) -> Paperstock:
    """The sheets that the shop's printer takes."""
    return STOCKS[shop_of(session).paper]


def sheets_of(session: Session, piece: PieceRead) -> FullSize:
    """A piece on sheets of the shop's paper; Impossible without a cut size, and over 400 sheets."""
    if piece.cut is None:
        raise Impossible(f"{piece.mark} {piece.name} has no cut size yet", "its measures and edges first")
    marks = _marks(session, piece)
    return full_size(piece.cut.cut, marks.stitch, stock_of(session), piece.warp_angle, marks.snips)


def _marks(session: Session, piece: PieceRead) -> Marks:
    cloth = session.get(CanvasPart, piece.row.cloth_id) if piece.row.cloth_id else None
    return marks_of(piece, cloth)


def told(session: Session, piece: PieceRead) -> tuple[str, bool]:
    """What full size takes, or why it cannot be, in words; and whether it can be printed."""
    try:
        found = sheets_of(session, piece)
    except Impossible as impossible:
        return f"{impossible.says}. Wanted: {impossible.accepts}", False
    count, inner = len(found.tiles), len(found.left_out)
    says = f"{count} sheet{'' if count == 1 else 's'} of {stock_of(session).name}, taped together"
    if not inner:
        return says, True
    holds = (
        "1 inner sheet holds no line and is" if inner == 1 else f"{inner} inner sheets hold no line and are"
    )
    return f"{says} to a frame by a map on one more; {holds} left out", True


def _map(session: Session, piece: PieceRead, found: FullSize) -> SheetMap | None:
    """The map of the sheets of a piece; None where every sheet of it is printed."""
    if piece.cut is None or not found.left_out:
        return None
    return sheet_map(found, piece.cut.cut, _marks(session, piece).stitch, stock_of(session))


def paper_of_piece(session: Session, order: OrderRead, piece: PieceRead) -> Paper:
    """The sheets of a piece as a paper; Refused, saying why, where it has no cut size or takes too many."""
    try:
        found = sheets_of(session, piece)
    except Impossible as impossible:
        raise Refused([impossible.at("sheets")]) from None
    return Paper(
        template="canvas_full_size",
        kind="full size",
        number=f"{order.number} {piece.mark}",
        title="Full size",
        work_order_id=order.row.work_order_id,
        facts={
            "it": order,
            "piece": piece,
            "found": found,
            "stock": stock_of(session),
            "map": _map(session, piece, found),
            "across": [f"{way.words} {length_said(way.length)}" for way in found.across],
        },
    )
