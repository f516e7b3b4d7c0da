"""Units that come in for a walk-round, and walks begun on them, for tests of steps, pages and taps."""

from dataclasses import replace

from sqlalchemy import Engine
from sqlmodel import select

from app.ground.book import reading
from app.ground.settings import folder
from app.inspection import editing, steps
from app.inspection.catalogue import Check, Measure, read_catalogue
from app.inspection.tables import Finding
from app.intake.arrival import Arrival, OwnerSaid, StaySaid, UnitSaid
from app.intake.steps import take_in
from tests.conftest import act

CATALOGUE = read_catalogue(folder("seed_data") / "catalogue")
TRAVEL = UnitSaid(
    kind="travel",
    axles=2,
    gvwr="7000",
    gawr=("3500", "3500"),
    tire_size="ST205/75R14",
    tire_pressure="50",
    stud_count=5,
    torque_low="90",
    torque_high="120",
    torque_source="wheel placard",
    brakes="electric",
    brakes_required=True,
    cylinders=2,
    spare=True,
)
TENT = replace(TRAVEL, kind="tent", axles=1, gvwr="2900", gawr=("3000",), cylinders=1)
OF_KIND = {"number": "", "tin": "1023", "month": "05-20", "date": "2024-05-01", "text": "A plain line"}


def begun(book: Engine, unit: UnitSaid = TRAVEL, depth: str = "full") -> int:
    """Key of a walk-round just begun by Toni on a unit that Wren took in."""
    editing.keep_catalogue(book, CATALOGUE)
    order = take_in(book, act(2), Arrival(StaySaid(), OwnerSaid("Ines", phone="555 0163"), unit))
    return steps.begin_walk(book, act(3), order, depth)


def at(book: Engine, walk: int, check: str, place: str = "unit") -> Finding:
    """One finding of a walk, as it stands."""
    with reading(book) as session:
        here = (Finding.walk_id == walk, Finding.check == check, Finding.place == place)
        return session.exec(select(Finding).where(*here)).one()


def one_place_each(book: Engine, walk: int) -> list[Finding]:
    """The first place of every check of a walk."""
    with reading(book) as session:
        found = session.exec(select(Finding).where(Finding.walk_id == walk))
        return list({row.check: row for row in reversed(list(found))}.values())


def likely(measure: Measure) -> str:
    """Something that may well be read: the middle of the usual range, the first answer."""
    if measure.answers:
        return measure.answers[0]
    if measure.kind != "number" or measure.usual is None:
        return OF_KIND[measure.kind] or "5"
    middle = (measure.usual[0] + measure.usual[1]) / 2
    return f"{middle.to_integral_value():f}" if measure.unit == "count" else f"{middle:f}"


def filled(check: Check, row: Finding) -> dict[str, str]:
    """A form of one check with likely readings."""
    readings = {f"reading-{measure.key}": likely(measure) for measure in check.measures}
    return {"revision": str(row.revision), **readings}
