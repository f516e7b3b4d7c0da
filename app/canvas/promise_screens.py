"""Pages of the queue and of one order's day: the loft's day, hours needed, the day that the owner is told."""

from collections.abc import Callable, Iterable, Mapping, Sequence

from fastapi import APIRouter, Depends, Response
from sqlalchemy import Engine

from app.canvas import facts, promised
from app.canvas.answers import answered
from app.canvas.materials import TIMES, Material, materials_of
from app.canvas.promised import WEEK, LoftRead, PlaceRead
from app.canvas.screens import NO_ORDER, Forms, Key
from app.canvas.tables import CanvasHours, CanvasTold, LoftDays
from app.ground.book import reading
from app.ground.first import About, Beside, First, late
from app.ground.forms import Filled, Sent
from app.ground.gate import ANYONE, LEADS, WRITERS, Acting, Book, Page, Typed
from app.ground.keyed import found
from app.ground.pages import Pages
from app.trade.days import MONTHS

router = APIRouter()
DAYS = [(f"{at}", name) for at, name in enumerate(WEEK)]
IN_THE_YEAR = [(f"{at}", name) for at, name in enumerate(MONTHS, 1)]
NEW_DAYS = ("5", "10", "21")  # until material is here, common practice


@router.get("/canvas", dependencies=[Depends(ANYONE)])
def queue_page(book: Book, page: Page) -> Response:
    """Every canvas order in the order in which the loft takes them, and the loft's day."""
    return _queue(book, page)


def _queue(book: Engine, page: Pages, form: Filled | None = None, status: int = 200) -> Response:
    with reading(book) as session:
        places = promised.queue(session, page.today)
        loft = promised.loft_of(session)
    return page.show(
        "canvas/queue",
        status=status,
        places=places,
        loft=loft,
        days=DAYS,
        months=IN_THE_YEAR,
        form=form or Filled(_loft_texts(loft), revision=loft.revision),
        chosen=_chosen(loft, form),
    )


def _loft_texts(loft: LoftRead) -> dict[str, str]:
    if loft.row is None:
        return {"busy_percent": "100"}
    row = loft.row
    return {
        "table_hours": row.table_hours,
        "machine_hours": row.machine_hours,
        "off": "\n".join(row.off),
        "busy_percent": row.busy_percent,
    }


def _chosen(loft: LoftRead, form: Filled | None) -> dict[str, list[str]]:
    """The boxes that are ticked: as sent, else as the book has them, else Monday to Friday."""
    if form is not None and form.typed is not None:
        return {name: form.typed.all(name) for name in ("week", "busy_months")}
    months = loft.row.busy_months if loft.row else []
    return {
        "week": [f"{day}" for day in sorted(loft.calendar.week)],
        "busy_months": [f"{month}" for month in months],
    }


@router.post("/canvas", dependencies=[Depends(LEADS)])
def set_loft(typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep what the loft does in a day."""
    return answered(
        page,
        typed,
        lambda: promised.set_loft(book, act, promised.read_loft(typed)),
        show=lambda form, status: _queue(book, page, form, status),
        too_late=lambda stale: late(book, page.zone, typed, stale, About(LoftDays), beside=_loft_beside),
        to="/canvas",
    )


def _loft_beside(first: First) -> Iterable[Beside]:
    row = first.row(LoftDays) or {}
    yield Beside("table_hours", "Hours a day at the cutting table", f"{row.get('table_hours', '')}")
    yield Beside("machine_hours", "Hours a day at the machines", f"{row.get('machine_hours', '')}")
    yield Beside("busy_percent", "Left for canvas in a busy month", f"{row.get('busy_percent', '')}")
    yield Beside("off", "Single days off", ", ".join(row.get("off", [])))


# One order


@router.get("/canvas/{canvas_id}/promise", dependencies=[Depends(ANYONE)])
def promise_page(canvas_id: Key, book: Book, page: Page) -> Response:
    """When one order is ready, why, and what its owner was told."""
    return _promise(book, page, canvas_id)


def _promise(
    book: Engine, page: Pages, canvas_id: int, forms: Forms | None = None, status: int = 200
) -> Response:
    with found(book, canvas_id, no_such=NO_ORDER) as session:
        place = promised.place_of(session, canvas_id, page.today)
        coming = promised.coming(session, place.queued.order)
    given = forms or {}
    order = place.queued.order
    return page.show(
        "canvas/promise",
        status=status,
        it=order,
        head=order.head,
        place=place,
        materials=materials_of(order),
        coming=coming,
        hours_form=given.get("hours", Filled(_hours_texts(place), revision=place.queued.turns)),
        told_form=given.get("told", Filled(_told_texts(place), revision=len(place.queued.told))),
        wrong=bool(given),
    )


def _hours_texts(place: PlaceRead) -> dict[str, str]:
    row = place.queued.hours
    if row is None:
        return _days_texts(place, {}, NEW_DAYS) | dict(zip(promised.CLOTH_DAYS, NEW_DAYS, strict=True))
    names = ("table_hours", "machine_hours", *promised.CLOTH_DAYS, "why")
    texts = {name: f"{getattr(row, name)}" for name in names}
    all_alike = (row.cloth_shortest, row.cloth_likely, row.cloth_longest)
    texts |= _days_texts(place, row.others, all_alike)
    return {**texts, "first": "yes"} if row.first else texts


def _days_texts(place: PlaceRead, kept: Mapping[str, Sequence[str]], usual: Sequence[str]) -> dict[str, str]:
    """The days of each material besides the cloth: as kept, else those that held for all."""
    found = {it: kept.get(it, usual) for it in materials_of(place.queued.order)}
    return {name: days for it, three in found.items() for name, days in zip(it.fields, three, strict=True)}


def _told_texts(place: PlaceRead) -> dict[str, str]:
    return {"promised": place.figure.value.promised.isoformat()} if place.figure else {}


@router.post("/canvas/{canvas_id}/promise/hours", dependencies=[Depends(WRITERS)])
def set_hours(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep what the order needs, and whether it goes first."""

    def step() -> int:
        with found(book, canvas_id, no_such=NO_ORDER) as session:
            place = promised.place_of(session, canvas_id, page.today)
        moved = () if place.queued.first else place.before
        said = promised.read_hours(typed, moved, materials_of(place.queued.order))
        return promised.set_hours(book, act, canvas_id, said)

    return _do(book, page, canvas_id, typed, "hours", step)


@router.post("/canvas/{canvas_id}/promise", dependencies=[Depends(WRITERS)])
def tell(canvas_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keep the day that the owner was told."""
    return _do(
        book,
        page,
        canvas_id,
        typed,
        "told",
        lambda: promised.tell(book, act, canvas_id, typed, page.today),
    )


def _do(
    book: Engine, page: Pages, canvas_id: int, typed: Sent, name: str, step: Callable[[], int]
) -> Response:
    with found(book, canvas_id, no_such=NO_ORDER) as session:
        facts.canvas_order(session, canvas_id)
    about = About(CanvasHours if name == "hours" else CanvasTold, canvas_order_id=canvas_id)
    beside = _hours_beside if name == "hours" else _told_beside
    return answered(
        page,
        typed,
        step,
        show=lambda form, status: _promise(book, page, canvas_id, {name: form}, status),
        too_late=lambda stale: late(book, page.zone, typed, stale, about, beside=beside),
        to=f"/canvas/{canvas_id}/promise",
    )


def _hours_beside(first: First) -> Iterable[Beside]:
    row = first.row(CanvasHours) or {}
    labels = {
        "table_hours": "Hours at the cutting table",
        "machine_hours": "Hours at the machines",
        "cloth_shortest": "Cloth: shortest",
        "cloth_likely": "Cloth: likely",
        "cloth_longest": "Cloth: longest",
        "why": "Why it goes first",
    }
    for name, label in labels.items():
        yield Beside(name, label, f"{row.get(name, '')}")
    for it, days in row.get("others", {}).items():
        for time, text in zip(TIMES, days, strict=True):
            yield Beside(f"{it}_{time}", f"{Material(it).word.capitalize()}: {time}", text)


def _told_beside(first: First) -> Iterable[Beside]:
    row = first.row(CanvasTold) or {}
    yield Beside("promised", "Day that the owner is told", f"{row.get('promised', '')}")
    yield Beside("how", "How they were told", f"{row.get('how', '')}")
