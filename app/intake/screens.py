"""Pages of intake: find first, take in, put right, print the slip and the tags."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from decimal import Decimal
from typing import Annotated, TypeVar

from fastapi import APIRouter, Depends, HTTPException, Query, Request, Response
from sqlalchemy import Engine
from sqlmodel import Session

from app.ground import receipts
from app.ground.acting import Act, now
from app.ground.book import reading
from app.ground.codes import square_to
from app.ground.documents import of_work_order
from app.ground.first import About, late
from app.ground.forms import Filled, Sent, again
from app.ground.gate import ANYONE, WRITERS, Acting, Book, Page, Set, Typed, printer_of
from app.ground.keyed import ABOVE_ALL_KEYS
from app.ground.pages import Pages
from app.ground.papers import Paper
from app.ground.photos import read_photo
from app.ground.press import NotPrinted
from app.ground.receipts import Stale
from app.ground.settings import Settings
from app.ground.shop import settings_of
from app.ground.words import local
from app.intake import facts, fields, rules, search, steps
from app.intake.arrival import Ball, Brakes, Known
from app.intake.facts import OrderHead, Slip
from app.intake.steps import Album, Shot
from app.intake.tables import Owner, Unit, WorkOrder
from app.trade.problems import Impossible, Problem, Refused

router = APIRouter()
UPLOAD = 27_000_000
MOST_PHOTOS = 8
CORNERS = (
    ("photo-front", "Front and coupler"),
    ("photo-curb", "Curb side"),
    ("photo-tail", "Tail"),
    ("photo-road", "Road side"),
    ("photo-label", "Label and number"),
    ("photo-damage", "Damage, missing parts"),
)
CHOICES: Mapping[str, object] = {
    "kinds": tuple(facts.KIND_WORDS.items()),
    "number_kinds": (
        ("standard", "17 characters, from 1981"),
        ("before 1981", "Made before 1981"),
        ("assigned", "State-assigned or home-made"),
        ("none", "No number found"),
    ),
    "ways": (("phone", "Phone"), ("text", "Text"), ("email", "E-mail"), ("paper", "Letter")),
    "brake_kinds": tuple((each.value, each.value.capitalize()) for each in Brakes),
    "required": (("", "Not known"), ("yes", "Yes"), ("no", "No")),
    "balls": (("", "Not known"), *((each.value, each.value) for each in Ball)),
    "depths": tuple(facts.DEPTH_WORDS.items()),
    "corners": CORNERS,
    "weights": (("lb", "lb"), ("kg", "kg")),
    "pressures": (("psi", "psi"), ("kPa", "kPa"), ("bar", "bar")),
    "torques": (("lbf_ft", "lbf·ft"), ("N_m", "N·m")),
}


@dataclass(frozen=True)
class Bringing:
    """What the book knows already of an arrival: its unit, its owner, and their texts by field.

    `here`: the unit's work order that is still open.
    """

    unit: Unit | None = None
    owner: Owner | None = None
    texts: Mapping[str, str] = field(default_factory=dict)
    required_from: str = ""
    here: OrderHead | None = None

    @property
    def seen(self) -> dict[str, str]:
        """Keys and revisions that a form carries, so that a save names what it saw."""
        rows = (("unit", self.unit), ("owner", self.owner))
        known = [(name, row) for name, row in rows if row is not None]
        return {
            **{f"{name}_id": str(row.key) for name, row in known},
            **{f"{name}_revision": str(row.revision) for name, row in known},
        }


# Find first


@router.get("/intake", dependencies=[Depends(WRITERS)])
def find_page(
    book: Book, page: Page, find: Annotated[str, Query()] = "", unit: Annotated[int, Query()] = 0
) -> Response:
    """Finds a unit or an owner who was here before."""
    with reading(book) as session:
        found = search.find(session, find)
        sold = session.get(Unit, unit) if 0 < unit < ABOVE_ALL_KEYS else None
    return page.show("intake/find", sought=find.strip()[:80], found=found, sold=sold)


@router.get("/intake/vin", dependencies=[Depends(ANYONE)])
def say_vin(
    page: Page,
    vin: Annotated[str, Query()] = "",
    vin_kind: Annotated[str, Query()] = "standard",
    year: Annotated[str, Query()] = "",
) -> Response:
    """What a VIN says of itself, beside its field."""
    return page.show("intake/vin", decoded=rules.decode(vin[:40], vin_kind, _today(page), _year(year)))


# Take in


@router.get("/intake/new", dependencies=[Depends(WRITERS)])
def arrival_page(
    book: Book,
    page: Page,
    unit: Annotated[int, Query()] = 0,
    owner: Annotated[int, Query()] = 0,
    new_owner: Annotated[str, Query()] = "",
    said: Annotated[str, Query()] = "",
) -> Response:
    """The form in which a unit is taken in."""
    with reading(book) as session:
        known = _bringing(session, unit, owner, new_owner=new_owner == "yes")
    sought = {rules.likely_field(said): said.strip()[:80]} if said.strip() else {}
    return _arrival(page, known, Filled({**fields.BLANK, **sought, **known.texts, **known.seen}))


@router.post("/intake/new", dependencies=[Depends(WRITERS)], max_body_size=UPLOAD)
def take_in(typed: Typed, act: Acting, book: Book, page: Page, settings: Set) -> Response:
    """Takes a unit in: owner, unit, stay, concerns, photos, signature."""
    unit_id, owner_id, brings = (_key(typed, name) for name in ("unit_id", "owner_id", "brings"))
    if brings:
        return _brought_by(typed, book, page, unit_id, brings)
    with reading(book) as session:
        known = _bringing(session, unit_id, owner_id, new_owner=not owner_id)
    try:
        order_id = _take_in(typed, act, book, page, settings)
    except Refused as refused:
        found = _found(book, typed, owner_id, refused.problems)
        return _arrival(page, known, again(typed, refused.problems, fields.BLANK), 422, found)
    except Stale as stale:
        about = About(Unit, id=unit_id) if unit_id else About(Owner, id=owner_id)
        form = late(book, page.zone, _having_seen(typed, known), stale, about, known.texts)
        return _arrival(page, known, replace(form, revision=0), 409)
    return page.go(f"/intake/orders/{order_id}")


def _found(book: Engine, typed: Sent, owner_id: int, problems: Sequence[Problem]) -> Owner | None:
    """The owner whom the question about the telephone means, where it was asked."""
    if not any(each.field == "phone" and each.ask for each in problems):
        return None
    with reading(book) as session:
        return facts.owner_with_phone(session, typed.get("phone"), owner_id)


def _brought_by(typed: Sent, book: Engine, page: Pages, unit_id: int, owner_id: int) -> Response:
    """The form with all that was typed, brought by an owner whom the book has; nothing is kept yet."""
    with reading(book) as session:
        known = _bringing(session, unit_id, owner_id)
    assert known.owner is not None, "an owner of that key, or 404"
    put, beside = fields.of_owner(typed, known.owner)
    kept = [(name, text) for name, text in typed.pairs if name not in put]
    sent = _having_seen(Sent([*kept, *put.items()], typed.uploads), known)
    return _arrival(page, known, Filled(fields.BLANK, sent, theirs=beside), taken=True)


def _take_in(typed: Sent, act: Act, book: Engine, page: Pages, settings: Settings) -> int:
    seen_owner, seen_unit = _seen(typed, "owner"), _seen(typed, "unit")
    alike = _alike(book, act, typed, seen_owner)
    album, wrong = _album(typed, settings)
    try:
        arrival = rules.read_arrival(typed, _today(page), page.zone, seen_owner, seen_unit, alike)
    except Refused as refused:
        raise Refused([*refused.problems, *wrong]) from refused
    if wrong:
        raise Refused(wrong)
    return steps.take_in(book, act, arrival, album)


def _alike(book: Engine, act: Act, typed: Sent, seen: Known | None) -> str:
    """Name of another owner with the telephone that was typed; none for an act that is only repeated."""
    with reading(book) as session:
        if receipts.repeated(session, act) is not None:
            return ""
        other = facts.owner_with_phone(session, typed.get("phone"), seen.id if seen else 0)
    return other.name if other else ""


def _arrival(
    page: Pages,
    known: Bringing,
    form: Filled,
    status: int = 200,
    found: Owner | None = None,
    *,
    taken: bool = False,
) -> Response:
    """The form. `found`: another owner with the telephone that was typed; `taken`: that one brings it now."""
    return page.show(
        "intake/new",
        status=status,
        form=form,
        known=known,
        decoded=_decoded(page, form),
        lost=bool(form.typed and form.typed.uploads),
        found=found,
        taken=taken,
        **CHOICES,
    )


def _decoded(page: Pages, form: Filled) -> rules.Decoded:
    """What the number in a form says; what stands beside its field already is not told twice."""
    kind = form.value("vin_kind") or "standard"
    found = rules.decode(form.value("vin"), kind, _today(page), _year(form.value("year")))
    said = {it.says for it in form.problems_of("vin")}
    return replace(found, doubts=tuple(it for it in found.doubts if it.says not in said))


def _year(text: str) -> int | None:
    return int(text) if text.isascii() and text.isdigit() and len(text) == 4 else None


def _bringing(session: Session, unit_id: int, owner_id: int, *, new_owner: bool = False) -> Bringing:
    """What the book knows of the unit and the owner named; 404 where it has none of that key."""
    unit = _get(session, Unit, unit_id) if unit_id else None
    if unit is not None and not owner_id and not new_owner:
        owner_id = unit.owner_id
    owner = _get(session, Owner, owner_id) if owner_id else None
    tow = facts.last_tow_vehicle(session, owner.key) if owner else None
    texts = {
        **(fields.owner_texts(owner) if owner else {}),
        **(fields.unit_texts(unit) if unit else {}),
        **fields.tow_texts(tow),
    }
    open_order = facts.still_here(session, unit.key) if unit else None
    here = facts.order_head(session, open_order.key) if open_order else None
    return Bringing(unit, owner, texts, _required_from(session), here)


def _required_from(session: Session) -> str:
    return f"{Decimal(settings_of(session).brakes_required_from_lb):,}"


Row = TypeVar("Row", Owner, Unit, WorkOrder)


def _get(session: Session, table: type[Row], key: int) -> Row:
    found = session.get(table, key) if 0 < key < ABOVE_ALL_KEYS else None
    if found is None:
        raise HTTPException(404, "The book has nothing of this number.")
    return found


def _key(typed: Sent, name: str) -> int:
    text = typed.get(name)
    return int(text) if text.isascii() and text.isdigit() and len(text) < 19 else 0


def _seen(typed: Sent, what: str) -> Known | None:
    """The owner or unit that the form was shown with, and its revision then."""
    key = _key(typed, f"{what}_id")
    return Known(key, _key(typed, f"{what}_revision")) if key else None


def _having_seen(typed: Sent, known: Bringing) -> Sent:
    """What was sent, as if the form had been shown with what stands in the book now."""
    kept = [(name, text) for name, text in typed.pairs if name not in known.seen]
    return Sent([*kept, *known.seen.items()], typed.uploads)


def _today(page: Pages) -> date:
    return local(now(), page.zone).date()


# Photos


def _album(typed: Sent, settings: Settings) -> tuple[Album, list[Problem]]:
    """The photos that a form sent, and what is wrong with any of them."""
    shots: list[Shot] = []
    wrong: list[Problem] = []
    sent = [(name, shows, content) for name, shows in CORNERS for content in typed.files(name)]
    if len(sent) > MOST_PHOTOS:
        return Album(settings.files), [_too_many(len(sent))]
    for name, shows, content in sent:
        try:
            shots.append(Shot(read_photo(content), shows))
        except Impossible as impossible:
            wrong.append(impossible.at(name))
    return Album(settings.files, tuple(shots)), wrong


def _too_many(count: int) -> Problem:
    says = f"These are {count} photos"
    return Problem("photo-damage", says, f"at most {MOST_PHOTOS} at a time; more can be added afterwards")


@router.post("/intake/orders/{order_id}/photos", dependencies=[Depends(ANYONE)], max_body_size=UPLOAD)
def add_photos(order_id: int, typed: Typed, act: Acting, book: Book, page: Page, settings: Set) -> Response:
    """Keeps more photos of the condition on arrival."""
    seen = _stay_form(book, page, order_id)
    album, wrong = _album(typed, settings)
    if not album.shots and not wrong:
        wrong = [Problem("photo-front", "No photo was chosen", f"one to {MOST_PHOTOS} pictures")]
    if wrong:
        return _order(book, page, order_id, Filled(seen.values, None, wrong, revision=seen.revision), 422)
    steps.add_photos(book, act, order_id, album)
    return page.go(f"/intake/orders/{order_id}")


# Put right


@router.get("/intake/units/{unit_id}", dependencies=[Depends(ANYONE)])
def unit_page(unit_id: int, book: Book, page: Page) -> Response:
    """A unit's data, to be read or changed."""
    with reading(book) as session:
        unit = _get(session, Unit, unit_id)
    return _unit(book, page, unit_id, Filled(fields.unit_texts(unit), revision=unit.revision))


@router.post("/intake/units/{unit_id}", dependencies=[Depends(ANYONE)])
def save_unit(unit_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps what was changed of a unit."""
    with reading(book) as session:
        unit = _get(session, Unit, unit_id)
    try:
        steps.save_unit(book, act, unit_id, rules.read_unit(typed, _today(page)))
    except Refused as refused:
        return _unit(book, page, unit_id, again(typed, refused.problems), 422)
    except Stale as stale:
        now = fields.unit_texts(unit)
        form = late(book, page.zone, typed, stale, About(Unit, id=unit_id), now)
        return _unit(book, page, unit_id, form, 409)
    return page.go(f"/intake/units/{unit_id}")


def _unit(book: Engine, page: Pages, unit_id: int, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        unit = _get(session, Unit, unit_id)
        head = _head(session, unit_id)
        required = _required_from(session)
    return page.show(
        "intake/unit",
        status=status,
        unit=unit,
        head=head,
        form=form,
        decoded=_decoded(page, form),
        required_from=required,
        **CHOICES,
    )


def _head(session: Session, unit_id: int) -> OrderHead | None:
    order_id = facts.last_order_of(session, unit_id)
    return facts.order_head(session, order_id) if order_id else None


@router.get("/intake/owners/{owner_id}", dependencies=[Depends(WRITERS)])
def owner_page(owner_id: int, book: Book, page: Page) -> Response:
    """An owner's data, to be read or changed."""
    with reading(book) as session:
        owner = _get(session, Owner, owner_id)
    return _owner(book, page, owner_id, Filled(fields.owner_texts(owner), revision=owner.revision))


@router.post("/intake/owners/{owner_id}", dependencies=[Depends(WRITERS)])
def save_owner(owner_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps what was changed of an owner."""
    with reading(book) as session:
        owner = _get(session, Owner, owner_id)
    try:
        steps.save_owner(book, act, owner_id, rules.read_owner(typed))
    except Refused as refused:
        return _owner(book, page, owner_id, again(typed, refused.problems), 422)
    except Stale as stale:
        now = fields.owner_texts(owner)
        form = late(book, page.zone, typed, stale, About(Owner, id=owner_id), now)
        return _owner(book, page, owner_id, form, 409)
    return page.go(f"/intake/owners/{owner_id}")


def _owner(book: Engine, page: Pages, owner_id: int, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        owner = _get(session, Owner, owner_id)
        units = search.units_of(session, owner_id)
    return page.show("intake/owner", status=status, owner=owner, units=units, form=form, **CHOICES)


@router.get("/intake/orders/{order_id}", dependencies=[Depends(ANYONE)])
def order_page(order_id: int, book: Book, page: Page) -> Response:
    """The check-in of a work order: the stay, its concerns, photos and papers."""
    return _order(book, page, order_id, _stay_form(book, page, order_id))


@router.post("/intake/orders/{order_id}", dependencies=[Depends(WRITERS)])
def save_stay(order_id: int, typed: Typed, act: Acting, book: Book, page: Page) -> Response:
    """Keeps what was changed of a stay."""
    with reading(book) as session:
        order = _get(session, WorkOrder, order_id)
    try:
        came_on = local(order.arrived_at, page.zone).date()
        steps.save_stay(book, act, order_id, rules.read_stay(typed, came_on, page.zone))
    except Refused as refused:
        return _order(book, page, order_id, again(typed, refused.problems), 422)
    except Stale as stale:
        now = fields.stay_texts(order, page.zone)
        form = late(book, page.zone, typed, stale, About(WorkOrder, id=order_id), now)
        return _order(book, page, order_id, form, 409)
    return page.go(f"/intake/orders/{order_id}")


def _stay_form(book: Engine, page: Pages, order_id: int) -> Filled:
    with reading(book) as session:
        order = _get(session, WorkOrder, order_id)
    return Filled(fields.stay_texts(order, page.zone), revision=order.revision)


def _order(book: Engine, page: Pages, order_id: int, form: Filled, status: int = 200) -> Response:
    with reading(book) as session:
        slip = facts.slip_of(session, order_id)
        papers = of_work_order(session, order_id)
    return page.show(
        "intake/order", status=status, slip=slip, head=slip.head, papers=papers, form=form, **CHOICES
    )


# Papers


@router.post("/intake/orders/{order_id}/slip", dependencies=[Depends(ANYONE)])
def print_slip(order_id: int, act: Acting, book: Book, page: Page, request: Request) -> Response:
    """Prints the intake slip."""
    with reading(book) as session:
        _get(session, WorkOrder, order_id)
        slip = facts.slip_of(session, order_id)
    return _issue(page, request, act, slip_paper(slip))


@router.post("/intake/orders/{order_id}/tags", dependencies=[Depends(ANYONE)])
def print_tags(
    order_id: int, act: Acting, book: Book, page: Page, settings: Set, request: Request
) -> Response:
    """Prints the tags of the unit and its keys."""
    with reading(book) as session:
        _get(session, WorkOrder, order_id)
        slip = facts.slip_of(session, order_id)
    return _issue(page, request, act, tags_paper(slip, settings.address))


def _issue(page: Pages, request: Request, act: Act, paper: Paper) -> Response:
    try:
        document = printer_of(request).issue(act, paper)
    except NotPrinted as wrong:
        raise HTTPException(503, f"Not printed: {wrong}. What it says is in the book.") from wrong
    return page.go(f"/papers/{document}.pdf")


def slip_paper(slip: Slip) -> Paper:
    """The intake slip, with the photos of the arrival."""
    return Paper(
        template="intake",
        kind="intake",
        number=slip.head.order_number,
        title="Check-in",
        work_order_id=slip.head.order_id,
        facts={"slip": slip, "tag": slip.head},
        photos={f"photo-{photo.photo_id}": photo.sha256 for photo in slip.photos},
    )


def tags_paper(slip: Slip, address: str) -> Paper:
    """The tags that hang on the unit and on its keys; codes open the work order at the shop's `address`."""
    return Paper(
        template="tags",
        kind="tags",
        number=slip.head.order_number,
        title="Tags",
        work_order_id=slip.head.order_id,
        facts={"slip": slip, "tag": slip.head, "code": square_to(address, "orders", slip.head.order_id)},
    )
