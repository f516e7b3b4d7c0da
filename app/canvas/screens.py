"""Pages of the canvas room: the orders of a unit, one order, its parts, its pieces, its release."""

from collections.abc import Callable, Mapping
from typing import Annotated

from fastapi import APIRouter, Depends, HTTPException, Path, Query, Response
from sqlalchemy import Engine
from sqlmodel import Session

from app.canvas import facts, said, shown, steps
from app.canvas.answers import answered
from app.canvas.facts import OrderRead
from app.canvas.papers import Printed
from app.canvas.pattern import offers_for
from app.canvas.priced import extras_of, price_form, priced_of, rows_to_price, short_of_cloth, unpriced
from app.canvas.promised import told_of
from app.canvas.tables import CanvasOrder, CanvasPart, CanvasPiece, CanvasSeam
from app.estimate.rows import estimate_of
from app.estimate.tables import Revision
from app.ground.book import reading
from app.ground.first import About, late
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, WRITERS, Acting, Book, Page, Typed
from app.ground.keyed import found
from app.ground.pages import Pages
from app.ground.receipts import Stale
from app.intake.facts import order_head
from app.trade.canvas.readiness import Kind
from app.trade.problems import Refused
from app.trade.typed import Reader

router = APIRouter()
NO_ORDER = "There is no such canvas order."
NO_PART = "There is no such part of a canvas order."
NO_VISIT = "There is no such work order."
Key = Annotated[int, Path(ge=1, lt=2**63)]
Forms = Mapping[str, Filled]


# The canvas orders of one work order


@router.get("/canvas/orders/{order_id}", dependencies=[Depends(ANYONE)])
def orders_page(
    order_id: Key, book: Book, page: Page, finding: Annotated[int, Query(ge=0, lt=2**63)] = 0
) -> Response:
    """The canvas orders of a work order, and the form that opens one; `finding`: what led here.

    A finding that led to an order already leads to that order.
    """
    with reading(book) as session:
        led = facts.led_to(session, [finding])
    if led:
        return page.go(f"/canvas/{led[finding]}")
    return _orders(book, page, order_id, Filled({"finding": str(finding or "")}))


def _orders(book: Engine, page: Pages, order_id: int, form: Filled, status: int = 200) -> Response:
    with found(book, order_id, no_such=NO_VISIT) as session:
        head = order_head(session, order_id)
        orders = facts.canvas_orders(session, order_id)
        findings = facts.findings_about_canvas(session, order_id)
        led = facts.led_to(session, [line.id for line in findings])
    return page.show(
        "canvas/orders",
        status=status,
        head=head,
        orders=orders,
        findings=[(line, led.get(line.id)) for line in findings],
        numbers={key: facts.canvas_number(key) for key in led.values()},
        form=form,
    )


@router.post("/canvas/orders/{order_id}", dependencies=[Depends(ANYONE)])
def open_order(order_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Open a canvas order."""
    try:
        with found(book, order_id, no_such=NO_VISIT) as session:
            order_head(session, order_id)
            known = {line.id: line.name for line in facts.findings_about_canvas(session, order_id)}
        made = steps.open_order(book, act, order_id, _finding(typed, known))
    except Refused as refused:
        return _orders(book, page, order_id, again(typed, refused.problems), 422)
    return page.go(f"/canvas/{made}")


def _finding(typed: Sent, known: Mapping[int, str]) -> int | None:
    read = Reader(typed)
    chosen = said.one_of(read, "finding", known)
    read.done()
    return chosen


# One order


@router.get("/canvas/{canvas_id}", dependencies=[Depends(ANYONE)])
def order_page(
    canvas_id: Key, book: Book, page: Page, pattern: Annotated[int, Query(ge=0, lt=2**63)] = 0
) -> Response:
    """One canvas order: what it is made of, and what holds it back; `pattern`: whose pieces are looked at."""
    return order_with(book, page, canvas_id, earlier=pattern)


def order_with(
    book: Engine,
    page: Pages,
    canvas_id: int,
    forms: Forms | None = None,
    status: int = 200,
    *,
    earlier: int = 0,
) -> Response:
    """The order's page with some of its forms as they were refused; `earlier`: whose pieces are chosen."""
    with found(book, canvas_id, no_such=NO_ORDER) as session:
        it = facts.canvas_order(session, canvas_id)
        told = told_of(session, canvas_id)
        price, to_price = priced_of(session, it), price_form(session, it)
        offers = offers_for(session, it)
        without_price, short = unpriced(session, it), short_of_cloth(session, it)
    given = forms or {}
    gone = [problem for problem in given.get("gone", Filled()).problems if problem.field]
    return page.show(
        "canvas/order",
        status=status,
        it=it,
        head=it.head,
        told=told,
        pieces=[shown.piece_card(piece) for piece in it.pieces],
        measured=shown.measured_pieces(it),
        seams=[shown.seam_row(seam) for seam in it.seams],
        edges=shown.edges_of(it),
        seam_form=given.get("seam", Filled()),
        ring_form=given.get("ring", Filled()),
        rows=shown.part_rows(it),
        offers=shown.offered(offers, page.zone),
        take_form=given.get("take", Filled(shown.taking_texts(offers, earlier), revision=it.version)),
        blocks=[shown.block_of(it, problem) for problem in it.holds_back],
        hrefs=shown.hrefs_of(it, (*it.holds_back, *gone)),
        part_form=given.get("part", Filled()),
        piece_form=given.get("piece", Filled({"corners": "4", "unit": "mm", "how": "tape"})),
        own_form=given.get("own", Filled(shown.order_texts(it.row), revision=it.row.revision)),
        gone_form=given.get("gone", Filled()),
        print_form=given.get("print", Filled({"paper": Printed.ORDER.value})),
        printed=[(each.value, f"{each.named}: {each.word}") for each in Printed],
        off_form=given.get("off", Filled(revision=it.row.revision)),
        release_form=given.get("release", Filled(revision=it.version)),
        price=price,
        unpriced=without_price,
        short=short,
        fasteners=rows_to_price(it),
        extras=extras_of(it),
        works=to_price.works,
        price_form=given.get("price", Filled(to_price.texts, revision=to_price.revision)),
        choices=shown.CHOICES,
        wrong=any(form.wrong for form in given.values()),
    )


def done(
    book: Engine, page: Pages, canvas_id: int, typed: Sent, name: str, step: Callable[[OrderRead], int]
) -> Response:
    """One act on an order; what was refused, or came too late, stays in its form on the order's page."""
    with found(book, canvas_id, no_such=NO_ORDER) as session:
        order = facts.canvas_order(session, canvas_id)
    return answered(
        page,
        typed,
        lambda: step(order),
        show=lambda form, status: order_with(book, page, canvas_id, {name: form}, status),
        too_late=lambda stale: late(book, page.zone, typed, stale, *_now(book, canvas_id, name)),
        to=f"/canvas/{canvas_id}",
    )


def _now(book: Engine, canvas_id: int, name: str) -> tuple[About, dict[str, str]]:
    """The rows that a late form is about, and what the book holds for it."""
    if name == "price":
        return _about_estimate(book, canvas_id), {}
    if name not in ("own", "off"):
        return About(CanvasPart, CanvasPiece, CanvasSeam, canvas_order_id=canvas_id), {}
    with reading(book) as session:
        row = session.get_one(CanvasOrder, canvas_id)
    return About(CanvasOrder, id=canvas_id), (shown.order_texts(row) if name == "own" else {})


def _about_estimate(book: Engine, canvas_id: int) -> About:
    with reading(book) as session:
        estimate = estimate_of(session, session.get_one(CanvasOrder, canvas_id).work_order_id)
    return About(Revision, estimate_id=estimate.key if estimate else 0)


@router.post("/canvas/{canvas_id}", dependencies=[Depends(ANYONE)])
def save_order(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep who makes it, where its shape comes from, wishes and instructions."""
    return done(
        book,
        page,
        canvas_id,
        typed,
        "own",
        lambda order: steps.save_order(book, act, order.key, said.read_order(typed)),
    )


@router.post("/canvas/{canvas_id}/call-off", dependencies=[Depends(WRITERS)])
def call_off(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Call an order off."""

    def step(order: OrderRead) -> int:
        read = Reader(typed)
        why = read.text("why", required="Say why nothing comes of it")
        read.done()
        return steps.call_off(book, act, order.key, why)

    return done(book, page, canvas_id, typed, "off", step)


@router.post("/canvas/{canvas_id}/release", dependencies=[Depends(WRITERS)])
def release(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Release an order to be cut."""
    return done(
        book,
        page,
        canvas_id,
        typed,
        "release",
        lambda order: steps.release(book, act, order.key, typed.all("kept")),
    )


@router.post("/canvas/{canvas_id}/parts", dependencies=[Depends(ANYONE)])
def add_part(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Add a cloth, window, zipper or row of fasteners, and go on to its questions."""

    def step(order: OrderRead) -> int:
        return steps.add_part(book, act, order.key, *said.read_added(typed))

    return added(book, page, canvas_id, typed, "part", step)


def added(
    book: Engine, page: Pages, canvas_id: int, typed: Sent, name: str, step: Callable[[OrderRead], int]
) -> Response:
    """Add something to an order and go on to its page; what was refused stays in its form."""
    try:
        with found(book, canvas_id, no_such=NO_ORDER) as session:
            order = facts.canvas_order(session, canvas_id)
        made = step(order)
    except Refused as refused:
        return order_with(book, page, canvas_id, {name: again(typed, refused.problems)}, 422)
    return page.go(f"/canvas/{name}s/{made}")


# Its parts


@router.get("/canvas/parts/{part_id}", dependencies=[Depends(ANYONE)])
def part_page(part_id: Key, book: Book, page: Page) -> Response:
    """The questions of one part."""
    return _part(book, page, part_id)


def _part(book: Engine, page: Pages, part_id: int, form: Filled | None = None, status: int = 200) -> Response:
    with found(book, part_id, no_such=NO_PART) as session:
        part, order = _part_of(session, part_id)
    return page.show(
        "canvas/part",
        status=status,
        it=order,
        head=order.head,
        part=part,
        asked=shown.asked_of(part, shown.abouts_of(order.parts)),
        fixed=part.kind in steps.ALWAYS,
        form=form or Filled(shown.part_texts(part), revision=part.revision),
    )


def _part_of(session: Session, part_id: int) -> tuple[CanvasPart, OrderRead]:
    part = session.get_one(CanvasPart, part_id)
    if part.taken_off:
        raise HTTPException(404, NO_PART)
    return part, facts.canvas_order(session, part.canvas_order_id)


@router.post("/canvas/parts/{part_id}", dependencies=[Depends(ANYONE)])
def save_part(part_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep the answers of a part."""
    return _on_part(
        book,
        page,
        part_id,
        typed,
        lambda part, order: steps.save_part(
            book, act, part.key, said.read_part(typed, Kind(part.kind), shown.abouts_of(order.parts))
        ),
    )


@router.post("/canvas/parts/{part_id}/remove", dependencies=[Depends(ANYONE)])
def take_part_off(part_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Take a part off its order."""
    with found(book, part_id, no_such=NO_PART) as session:
        order = session.get_one(CanvasPart, part_id).canvas_order_id
    return done(book, page, order, typed, "gone", lambda _: steps.take_part_off(book, act, part_id))


def _on_part(
    book: Engine, page: Pages, part_id: int, typed: Sent, step: Callable[[CanvasPart, OrderRead], int]
) -> Response:
    with found(book, part_id, no_such=NO_PART) as session:
        part, order = _part_of(session, part_id)
    return answered(
        page,
        typed,
        lambda: step(part, order),
        show=lambda form, status: _part(book, page, part_id, form, status),
        too_late=lambda stale: _late_part(book, page, part_id, typed, stale),
        to=f"/canvas/{order.key}",
    )


def _late_part(book: Engine, page: Pages, part_id: int, typed: Sent, stale: Stale) -> Filled:
    with found(book, part_id, no_such=NO_PART) as session:
        now = shown.part_texts(session.get_one(CanvasPart, part_id))
    return late(book, page.zone, typed, stale, About(CanvasPart, id=part_id), now)
