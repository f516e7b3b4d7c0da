"""Pages of the walk-round: begin, one station, one check, the sum, a second look."""

from collections.abc import Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Annotated, TypeVar

from fastapi import APIRouter, Depends, HTTPException, Path, Response
from sqlalchemy import Engine
from sqlmodel import Session

from app.ground import photo_marks, receipts
from app.ground.acting import Act, now
from app.ground.book import reading
from app.ground.documents import has_left
from app.ground.first import About, late
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, TECHNICIANS, Acting, Book, Page, Set, Signed, Typed
from app.ground.pages import Pages
from app.ground.receipts import Stale
from app.ground.settings import Settings
from app.ground.words import local
from app.inspection import seeing, steps, taking_back, walking
from app.inspection.catalogue import DEPTHS
from app.inspection.facts import newest_catalogue
from app.inspection.places import walk_order
from app.inspection.tables import Finding, Walk
from app.inspection.unit import shape_of
from app.inspection.walking import SUM_UP, CheckPage
from app.intake.facts import DEPTH_WORDS, order_head, unit_of
from app.intake.tables import WorkOrder
from app.trade.figure import IN_ORDER_OF_INK, Grade
from app.trade.problems import Problem, Refused

router = APIRouter()
Found = TypeVar("Found")
Key = Annotated[int, Path(ge=1, lt=2**63)]
Station = Annotated[int, Path(ge=1, le=SUM_UP)]
UPLOAD = 27_000_000
NO_STOP = "This walk does not stop there."
MINUTES = {"quick": "40 to 45 minutes", "full": "5 hours", "prepurchase": "3 hours"}
BEHIND = ("reason", "second", "until", "until_miles", "note", "also")  # fields in the panel that opens


def _found(found: Found | None, says: str) -> Found:
    if found is None:
        raise HTTPException(404, says)
    return found


# Begin or go on


@router.get("/inspection/orders/{order_id}", dependencies=[Depends(ANYONE)])
def walk_of_order(order_id: Key, book: Book, page: Page) -> Response:
    """The walk-round of a work order, or the page that begins one."""
    with reading(book) as session:
        _found(session.get(WorkOrder, order_id), "There is no such work order.")
        walk = walking.standing_walk(session, order_id)
        where = walking.resume_at(session, walk.key) if walk else 0
    if walk is not None:
        return page.go(_station(walk.key, where))
    return _begin(book, page, order_id, Filled())


def _station(walk_id: int, number: int) -> str:
    if number >= SUM_UP:
        return f"/inspection/walks/{walk_id}/sum-up"
    return f"/inspection/walks/{walk_id}/stations/{number}"


def _begin(book: Engine, page: Pages, order_id: int, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        order, shape = session.get_one(WorkOrder, order_id), shape_of(unit_of(session, order_id))
        catalogue = newest_catalogue(session)
        counts = {depth: len(walk_order(catalogue, shape, depth)) for depth in DEPTHS}
        head = order_head(session, order_id)
    depths = [(depth, f"{DEPTH_WORDS[depth]}: {counts[depth]} places, {MINUTES[depth]}") for depth in DEPTHS]
    shown = replace(form, values={"depth": order.depth})
    return page.show("inspection/begin", status=status, head=head, depths=depths, form=shown)


@router.post("/inspection/orders/{order_id}", dependencies=[Depends(TECHNICIANS)])
def begin_walk(order_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Begins a walk-round in the depth that was chosen."""
    with reading(book) as session:
        _found(session.get(WorkOrder, order_id), "There is no such work order.")
    try:
        walk_id = steps.begin_walk(book, act, order_id, typed.get("depth"))
    except Refused as refused:
        return _begin(book, page, order_id, again(typed, refused.problems), 422)
    with reading(book) as session:
        where = walking.resume_at(session, walk_id)
    return page.go(_station(walk_id, where))


# One station


@router.get("/inspection/walks/{walk_id}/stations/{number}", dependencies=[Depends(ANYONE)])
def station(walk_id: Key, number: Station, book: Book, page: Page) -> Response:
    """One station of the walk-round with its checks."""
    if number == SUM_UP:
        return page.go(_station(walk_id, number))
    return _show_station(book, page, walk_id, number, Filled())


def _show_station(
    book: Engine, page: Pages, walk_id: int, number: int, form: Filled, status: int = 200
) -> Response:
    with reading(book) as session:
        found = _found(
            walking.station_page(session, walk_id, number, now()), "This walk does not stop there."
        )
    return page.show(
        "inspection/station", status=status, it=found, head=found.head, form=form, short=walking.short
    )


@router.post("/inspection/walks/{walk_id}/stations/{number}/sound", dependencies=[Depends(TECHNICIANS)])
def rest_sound(walk_id: Key, number: Station, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Sets the rest of a station's checks that are no safety checks to sound, as the page listed them."""
    with reading(book) as session:
        _found(walking.station_page(session, walk_id, number, now()), NO_STOP)
    only = {int(key) for key in typed.all("only") if key.isascii() and key.isdigit() and len(key) < 16}
    try:
        steps.rest_sound(book, act, walk_id, number, only)
    except Refused as refused:
        return _show_station(book, page, walk_id, number, again(typed, refused.problems), 422)
    return page.go(_station(walk_id, number))


# One check


@router.get("/inspection/findings/{finding_id}", dependencies=[Depends(ANYONE)])
def check(finding_id: Key, book: Book, page: Page) -> Response:
    """One check at its place: how to look, the keys, the readings, what was found."""
    with reading(book) as session:
        found = _one(session, finding_id)
    return _show_check(book, page, found, _from_book(found))


def _one(session: Session, finding_id: int) -> CheckPage:
    return _found(walking.check_page(session, finding_id), "There is no such finding.")


def _from_book(it: CheckPage) -> Filled:
    return Filled(_values(it), revision=it.row.revision)


def _values(it: CheckPage) -> dict[str, str]:
    return seeing.values_of(it.row, it.line.readings, it.check)


def _show_check(
    book: Engine,
    page: Pages,
    it: CheckPage,
    form: Filled,
    status: int = 200,
    differing: Sequence[seeing.Differing] = (),
    held: Sequence[int] = (),
) -> Response:
    texts = {name: form.value(name) for name in _values(it)}
    with reading(book) as session:
        marks = photo_marks.marks_of(session, [*it.line.photos, *held])
    today = local(now(), page.zone).date()
    return page.show(
        "inspection/check",
        status=status,
        it=it,
        head=it.head,
        form=form,
        measures=it.measures(seeing.standing(it.check, texts, today)),
        cautions=it.catalogue.cautions_of(it.check),
        grades=IN_ORDER_OF_INK,
        differing=differing,
        held=held,
        marks=marks,
        opened=any(problem.field in BEHIND for problem in form.problems),
        go_to=_go_on(it),
    )


def _go_on(it: CheckPage) -> str:
    if it.second:
        return f"/orders/{it.head.order_id}"
    if it.next is not None:
        return f"/inspection/findings/{it.next.key}"
    return _station(it.walk.key, SUM_UP)


@router.post("/inspection/findings/{finding_id}", dependencies=[Depends(TECHNICIANS)], max_body_size=UPLOAD)
def record_finding(
    finding_id: Key, typed: Typed, act: Acting, book: Book, page: Page, settings: Set
) -> Response:
    """One look kept, or asked about; a form sent again answers as it did the first time."""
    with reading(book) as session:
        it, before = _one(session, finding_id), receipts.is_known(session, act)
    if typed.has("go") and not before and not seeing.changed(typed, _values(it)):
        return _on(page, _go_on(it))
    try:
        _record(book, act, it, typed, settings)
    except Refused as refused:
        held = held_of(book, act, typed, settings)
        return _refused(book, page, finding_id, typed, refused, held)
    except Stale:
        return _conflict(book, page, finding_id, typed, held_of(book, act, typed, settings))
    return _saved(book, page, it, typed)


def _record(book: Engine, act: Act, it: CheckPage, typed: Sent, settings: Settings) -> None:
    """One look kept at its place, or at several where the form names others too."""
    seen, also = seeing.read_seen(typed, it.check, it.catalogue.phrases), seeing.also_in(typed)
    if also:
        steps.same_reading(book, act, [it.row.key, *also], seen, settings.files)
    else:
        steps.record_finding(book, act, it.row.key, seen, settings.files)


def held_of(book: Engine, act: Act, typed: Sent, settings: Settings) -> list[int]:
    """The photos of a form that was not kept, held so that the next one only names them."""
    with reading(book) as session:
        held = steps.held_photos(session, act.person, seeing.held_in(typed))
    with suppress(Refused):  # an old key with other content: nothing of it is held
        held += steps.hold_photos(book, act, seeing.pictures_in(typed)[0], settings.files)
    return held


def _refused(
    book: Engine, page: Pages, finding_id: int, typed: Sent, refused: Refused, held: list[int]
) -> Response:
    with reading(book) as session:
        it = _one(session, finding_id)
    form = replace(again(typed, refused.problems, _values(it)), revision=max(typed.revision, 0))
    return _show_check(book, page, it, form, 422, held=held)


def _conflict(book: Engine, page: Pages, finding_id: int, typed: Sent, held: list[int]) -> Response:
    with reading(book) as session:
        it = _one(session, finding_id)
    theirs = _values(it)
    mine = {name: typed.get(name, theirs[name]) for name in theirs}
    rows = seeing.differences(typed, it.check, mine, theirs)
    if typed.get("grade") not in ("", it.row.grade) and typed.get("grade") in list(Grade):
        rows.insert(0, seeing.state_line(it.row, Grade(typed.get("grade"))))
    form = Filled(theirs, typed, revision=it.row.revision)
    return _show_check(book, page, it, form, 409, rows or [_SAME], held)


_SAME = seeing.Differing("take-all", "Everything", "the same", "the same", "")


def _saved(book: Engine, page: Pages, it: CheckPage, typed: Sent) -> Response:
    """On where the page asked for it: a station's list, or the next check once this one is sound."""
    if typed.get("back") == "station" and not it.second:
        return page.go(f"{_station(it.walk.key, it.row.station)}#f{it.row.key}")
    with reading(book) as session:
        stands = session.get_one(Finding, it.row.key).grade
    if typed.has("go") and stands == Grade.SOUND:
        return _on(page, _go_on(it))
    return page.go(f"/inspection/findings/{it.row.key}")


def _on(page: Pages, where: str) -> Response:
    """To another page as a whole, asked by a browser or by htmx."""
    return Response(headers={"HX-Redirect": where}) if page.part else page.go(where)


def _stands(book: Engine, page: Pages, finding_id: int, problems: Sequence[Problem], status: int) -> Response:
    """The check as the book has it now, with what stopped an act on it."""
    with reading(book) as session:
        it = _one(session, finding_id)
    return _show_check(book, page, it, replace(_from_book(it), problems=problems), status)


@router.post("/inspection/findings/{finding_id}/second-look", dependencies=[Depends(TECHNICIANS)])
def begin_second_look(finding_id: Key, act: Acting, book: Book, page: Page) -> Response:
    """A second look opened by another person."""
    with reading(book) as session:
        _one(session, finding_id)
    try:
        second = steps.begin_second_look(book, act, finding_id)
    except Refused as refused:
        return _stands(book, page, finding_id, refused.problems, 422)
    return page.go(f"/inspection/findings/{second}")


# Taking back


@router.get("/inspection/orders/{order_id}/acts", dependencies=[Depends(TECHNICIANS)])
def last_acts(order_id: Key, book: Book, page: Page, who: Signed) -> Response:
    """The last acts of the person signed in on a unit, with the key that takes back the newest."""
    with reading(book) as session:
        _found(session.get(WorkOrder, order_id), "There is no such work order.")
    return _acts(book, page, order_id, who.id, Filled())


def _acts(book: Engine, page: Pages, order_id: int, person: int, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        acts, head = taking_back.last_acts(session, order_id, person), order_head(session, order_id)
        left, walk = has_left(session, order_id), walking.standing_walk(session, order_id)
    offer = None if left else taking_back.offered(acts)
    facts = {"head": head, "acts": acts, "offer": offer, "left": left, "reasons": taking_back.REASONS}
    return page.show("inspection/acts", status=status, form=form, walk=walk, **facts)


@router.post("/inspection/orders/{order_id}/take-back", dependencies=[Depends(TECHNICIANS)])
def take_back(order_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """The newest act of this person on a unit taken back."""
    with reading(book) as session:
        _found(session.get(WorkOrder, order_id), "There is no such work order.")
    named = typed.get("act")
    receipt = int(named) if named.isascii() and named.isdigit() and len(named) < 16 else 0
    try:
        where = taking_back.take_back(book, act, order_id, receipt, typed.get("reason"))
    except Refused as refused:
        return _acts(book, page, order_id, act.person, again(typed, refused.problems), 422)
    return page.go(where)


# The sum


@router.get("/inspection/walks/{walk_id}/sum-up", dependencies=[Depends(ANYONE)])
def sum_up(walk_id: Key, book: Book, page: Page) -> Response:
    """The findings of a walk-round, the heaviest first, before it is ended."""
    return _sum(book, page, walk_id, None)


def _sum(book: Engine, page: Pages, walk_id: int, form: Filled | None, status: int = 200) -> Response:
    with reading(book) as session:
        it = _found(walking.sum_page(session, walk_id), "There is no such walk-round.")
    shown = form or Filled(revision=it.walk.revision)
    return page.show("inspection/sum_up", status=status, it=it, head=it.head, form=shown)


@router.post("/inspection/walks/{walk_id}/end", dependencies=[Depends(TECHNICIANS)])
def end_walk(walk_id: Key, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Ends a walk-round."""
    with reading(book) as session:
        _found(walking.sum_page(session, walk_id), "There is no such walk-round.")
    try:
        steps.end_walk(book, act, walk_id)
    except Refused as refused:
        return _sum(book, page, walk_id, again(typed, refused.problems), 422)
    except Stale as stale:
        form = late(book, page.zone, typed, stale, About(Walk, id=walk_id))
        return _sum(book, page, walk_id, form, 409)
    return page.go(f"/inspection/walks/{walk_id}/sum-up")
