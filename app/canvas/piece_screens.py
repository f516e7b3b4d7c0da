"""Pages of the pieces of a canvas order: added, measured, their edges and cloth, taken off."""

from collections.abc import Callable, Mapping

from fastapi import APIRouter, Depends, HTTPException, Response
from sqlalchemy import Engine
from sqlmodel import Session

from app.canvas import album, facts, said, shown, steps
from app.canvas.answers import answered
from app.canvas.facts import OrderRead, PieceRead
from app.canvas.full_size import paper_of_piece, told
from app.canvas.screens import Key, added, done
from app.canvas.tables import CanvasPiece
from app.ground.first import About, late
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, Acting, Book, Page, Printing, Set, Typed
from app.ground.keyed import found
from app.ground.pages import Pages
from app.ground.press import NotPrinted
from app.ground.receipts import Stale
from app.trade.canvas.allowances import EdgeKind
from app.trade.canvas.readiness import Kind
from app.trade.problems import Problem, Refused

router = APIRouter()
UPLOAD = 27_000_000
NO_PIECE = "There is no such piece of a canvas order."
TEXTS = {"measures": shown.piece_texts, "edges": shown.edge_texts}  # what the book holds for each form
KINDS = (("", "Not known yet"), *((kind.value, kind.word.capitalize()) for kind in EdgeKind))


@router.post("/canvas/{canvas_id}/pieces", dependencies=[Depends(ANYONE)])
def add_piece(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Add a piece, and go on to its measures."""

    def step(order: OrderRead) -> int:
        others = {piece.key: piece.name for piece in order.pieces}
        return steps.add_piece(book, act, order.key, said.read_new_piece(typed, others))

    return added(book, page, canvas_id, typed, "piece", step)


@router.get("/canvas/pieces/{piece_id}", dependencies=[Depends(ANYONE)])
def piece_page(piece_id: Key, book: Book, page: Page) -> Response:
    """One piece: its sketch, its measures, its edges."""
    return _piece(book, page, piece_id)


def _piece(
    book: Engine, page: Pages, piece_id: int, forms: Mapping[str, Filled] | None = None, status: int = 200
) -> Response:
    with found(book, piece_id, no_such=NO_PIECE) as session:
        piece, order = _piece_of(session, piece_id)
        pictures, cautions = album.pictures_of(session, piece_id), facts.cautions(session)
        full_size = told(session, piece)
    given, revision = forms or {}, piece.row.revision
    return page.show(
        "canvas/piece",
        status=status,
        it=order,
        head=order.head,
        piece=piece,
        card=shown.piece_card(piece, shown.LARGE),
        groups=shown.measures_of(piece),
        letters=facts.measured_of(piece.row).names,
        sides=facts.measured_of(piece.row).sides,
        others=shown.measured_pieces(order, piece.key),
        kinds=KINDS,
        cloths=[("", "Not known yet"), *((str(it.key), it.place) for it in order.of_kind(Kind.CLOTH))],
        asked=shown.asked_of_piece(piece),
        pictures=pictures,
        cautions=cautions,
        full_size=full_size,
        full_form=given.get("full", Filled()),
        photo_form=given.get("photos", Filled()),
        form=given.get("measures", Filled(shown.piece_texts(piece), revision=revision)),
        edge_form=given.get("edges", Filled(shown.edge_texts(piece), revision=revision)),
        wrong=any(form.wrong for form in given.values()),
    )


def _piece_of(session: Session, piece_id: int) -> tuple[PieceRead, OrderRead]:
    order = facts.canvas_order(session, session.get_one(CanvasPiece, piece_id).canvas_order_id)
    if (piece := order.piece(piece_id)) is None:
        raise HTTPException(404, NO_PIECE)
    return piece, order


@router.post("/canvas/pieces/{piece_id}", dependencies=[Depends(ANYONE)])
def save_measures(piece_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep the measures of a piece, as a draft where they do not carry yet."""

    def step(piece: PieceRead, order: OrderRead) -> int:
        others = {it.key: it.name for it in order.pieces if it.key != piece.key}
        return steps.save_measures(
            book, act, piece.key, said.read_piece(typed, facts.measured_of(piece.row), others)
        )

    return _do(book, page, piece_id, typed, "measures", step)


@router.post("/canvas/pieces/{piece_id}/edges", dependencies=[Depends(ANYONE)])
def save_edges(piece_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep what is done with the edges of a piece, and its cloth."""

    def step(piece: PieceRead, order: OrderRead) -> int:
        cloths = {it.key: it.place for it in order.of_kind(Kind.CLOTH)}
        sides = facts.measured_of(piece.row).sides
        return steps.save_edges(book, act, piece.key, said.read_edges(typed, sides, cloths))

    return _do(book, page, piece_id, typed, "edges", step)


@router.post("/canvas/pieces/{piece_id}/photos", dependencies=[Depends(ANYONE)], max_body_size=UPLOAD)
def add_photos(piece_id: Key, typed: Typed, act: Acting, book: Book, page: Page, settings: Set) -> Response:
    """Keep photos of a piece."""

    def step(piece: PieceRead, _order: OrderRead) -> int:
        return album.keep_photos(book, act, piece.key, album.read_photos(typed), settings.files)

    return _do(book, page, piece_id, typed, "photos", step)


@router.post("/canvas/pieces/{piece_id}/full-size", dependencies=[Depends(ANYONE)])
def print_full_size(
    piece_id: Key, typed: Typed, act: Acting, book: Book, page: Page, printer: Printing
) -> Response:
    """Print a piece at full size on sheets to be taped together."""
    try:
        with found(book, piece_id, no_such=NO_PIECE) as session:
            piece, order = _piece_of(session, piece_id)
            paper = paper_of_piece(session, order, piece)
        return page.go(f"/papers/{printer.issue(act, paper)}")
    except Refused as refused:
        return _piece(book, page, piece_id, {"full": again(typed, refused.problems)}, 422)
    except NotPrinted as failed:
        wrong = again(typed, [Problem("sheets", str(failed), "the same key once more")])
        return _piece(book, page, piece_id, {"full": wrong}, 422)


@router.post("/canvas/pieces/{piece_id}/remove", dependencies=[Depends(ANYONE)])
def take_piece_off(piece_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Take a piece off its order."""
    with found(book, piece_id, no_such=NO_PIECE) as session:
        order = session.get_one(CanvasPiece, piece_id).canvas_order_id
    return done(book, page, order, typed, "gone", lambda _: steps.take_piece_off(book, act, piece_id))


def _do(
    book: Engine,
    page: Pages,
    piece_id: int,
    typed: Sent,
    name: str,
    step: Callable[[PieceRead, OrderRead], int],
) -> Response:
    """One act on a piece; what was refused, or came too late, stays in its form on the piece's page."""
    with found(book, piece_id, no_such=NO_PIECE) as session:
        piece, order = _piece_of(session, piece_id)
    return answered(
        page,
        typed,
        lambda: step(piece, order),
        show=lambda form, status: _piece(book, page, piece_id, {name: form}, status),
        too_late=lambda stale: _late(book, page, piece_id, typed, name, stale),
        to=f"/canvas/pieces/{piece_id}",
    )


def _late(book: Engine, page: Pages, piece_id: int, typed: Sent, name: str, stale: Stale) -> Filled:
    with found(book, piece_id, no_such=NO_PIECE) as session:
        piece, _ = _piece_of(session, piece_id)
    return late(book, page.zone, typed, stale, About(CanvasPiece, id=piece_id), TEXTS[name](piece))
