"""What the pages of the walk-round show: the walk line, one station, one check, the sum."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlmodel import Session, col, select

from app.ground import people
from app.ground.shop import settings_of, shop_of
from app.ground.words import local
from app.inspection.asked import asked_of, beside
from app.inspection.catalogue import Catalogue, Check, Measure
from app.inspection.facts import (
    FindingLine,
    ReadingLine,
    catalogue_of,
    finding_line,
    findings_of_walk,
    unlisted,
    version,
    walks_of,
)
from app.inspection.places import STATIONS
from app.inspection.plan import AXLE, CORNER, Plan, Seat, plan_of
from app.inspection.readings import accepted
from app.inspection.rules import Lifted, Reading, grade_of, must_see
from app.inspection.ruling import Case
from app.inspection.scale import Scale, scale_of
from app.inspection.steps import name_of, rest_of
from app.inspection.tables import Finding, Walk
from app.inspection.tires_read import APART, TireRead, axle_of, tires_read
from app.inspection.together import worse_together
from app.inspection.unit import facts_of, policy_of
from app.intake.facts import OrderHead, order_head, unit_of
from app.intake.tables import WorkOrder
from app.trade.figure import HEAVIEST_FIRST, Grade
from app.trade.quantity import UNITS, with_unit

SUM_UP = len(STATIONS)
LONG_NAMES = {
    3: "Curb side, low lap",
    4: "Tail, low lap",
    5: "Road side, low lap",
    1: "Papers and labels",
    2: "Coupler and tongue",
}


# The walk line


@dataclass(frozen=True)
class Stop:
    """One station of the walk line: how many are unseen and the heaviest grade found there so far."""

    number: int
    name: str
    unseen: int
    total: int
    heaviest: Grade | None


def stops_of(rows: Iterable[Finding]) -> list[Stop]:
    """The stations that a walk has, in order, and the sum at the end."""
    by_station: dict[int, list[Finding]] = {}
    for row in rows:
        by_station.setdefault(row.station, []).append(row)
    stops = [_stop(number, by_station[number]) for number in sorted(by_station) if number != SUM_UP]
    return [*stops, Stop(SUM_UP, STATIONS[-1], 0, 0, None)]


def _stop(number: int, rows: list[Finding]) -> Stop:
    grades = [Grade(row.grade) for row in rows]
    seen = [grade for grade in grades if grade is not Grade.UNSEEN]
    heaviest = min(seen, key=HEAVIEST_FIRST.index, default=None)
    return Stop(number, STATIONS[number - 1], len(grades) - len(seen), len(grades), heaviest)


def rows_of(session: Session, walk_id: int) -> list[Finding]:
    """The rows of a walk in the order of walking."""
    return list(session.exec(select(Finding).where(Finding.walk_id == walk_id).order_by(col(Finding.id))))


def standing_walk(session: Session, order_id: int) -> Walk | None:
    """The walk-round of a work order, second looks left aside; None where it has not begun."""
    return next((walk for walk in walks_of(session, order_id) if walk.depth != "second"), None)


def next_unseen(rows: Sequence[Finding], after: int = 0) -> Finding | None:
    """The next place to look at, in the order of walking; None where nothing after it is unseen."""
    unseen = (row for row in rows if row.key > after and row.grade == Grade.UNSEEN and row.looked_at is None)
    return next(unseen, None)


def resume_at(session: Session, walk_id: int) -> int:
    """The station with the first unseen check; the sum where all is seen."""
    row = next_unseen(rows_of(session, walk_id))
    return row.station if row else SUM_UP


# One check


@dataclass(frozen=True)
class Mark:
    """What a page of a walk-round was shown with, so that its news begin there.

    `stands` rises with every save of the walk; `since`: the newest look, ISO 8601, "0" before the first.
    """

    stands: int
    since: str


def mark_of(rows: Iterable[Finding]) -> Mark:
    """The mark of a walk-round's findings as they stand."""
    made = [(row.revision, row.looked_at) for row in rows]
    looked = [at.isoformat() for _, at in made if at is not None]
    return Mark(sum(revision for revision, _ in made), max(looked, default="0"))


@dataclass(frozen=True)
class MeasureRow:
    """One measure as a page shows it.

    `limits`: in words; `last`: what was read at the unit's stay before; `pad`: whether digits are enough.
    """

    measure: Measure
    field: str
    grade: Grade
    limits: str
    last: str
    scale: Scale | None
    units: tuple[tuple[str, str], ...]
    accepts: str

    @property
    def pad(self) -> bool:
        """Whether the digit pad can type it."""
        return self.measure.kind in ("number", "tin", "month")


@dataclass(frozen=True)
class CheckPage:
    """One check at one place, with all that its page says beside the form.

    `tires`: those of its axle with the date codes that it takes from them; none where it takes none. `apart`:
    the years within which they were made.
    """

    head: OrderHead
    walk: Walk
    row: Finding
    line: FindingLine
    check: Check
    catalogue: Catalogue
    stops: tuple[Stop, ...]
    mark: Mark
    place: str
    axles: int
    next: Finding | None
    others: tuple[Finding, ...]
    last: Mapping[str, str]
    targets: Mapping[str, str]
    seconds: tuple[tuple[int, str], ...]
    first: FindingLine | None
    tires: tuple[TireRead, ...] = ()
    apart: int = 0

    @property
    def second(self) -> bool:
        """Whether this is a second look."""
        return self.walk.depth == "second"

    @property
    def stop(self) -> Stop | None:
        """The station at which this stands; None for a second look."""
        return next((stop for stop in self.stops if stop.number == self.row.station), None)

    def measures(self, standing: Mapping[str, Reading]) -> list[MeasureRow]:
        """The rows of the readings, `standing` being what can be read in the form."""
        asked = (measure for measure in self.check.measures if measure.least_axles <= self.axles)
        return [self._measure(measure, standing.get(measure.key)) for measure in asked]

    def _measure(self, measure: Measure, reading: Reading | None) -> MeasureRow:
        grade = grade_of(measure, reading)
        by_rule = self.check.rule and not measure.limits and reading is not None
        number = reading.number_in(measure.unit) if reading else None
        asked = self.targets.get(measure.key, "")
        return MeasureRow(
            measure=measure,
            field=f"reading-{measure.key}",
            grade=Grade(self.row.grade) if by_rule else grade,
            limits=beside(measure, asked, self.check.rule),
            last=self.last.get(measure.key, ""),
            scale=scale_of(measure, number),
            units=tuple((unit, UNITS[unit][0] or "none") for unit in measure.units),
            accepts=accepted(measure) if measure.kind == "number" else "",
        )


def check_page(session: Session, finding_id: int) -> CheckPage | None:
    """All that the page of one check shows; None where there is no such finding."""
    row = session.get(Finding, finding_id)
    if row is None:
        return None
    walk = session.get_one(Walk, row.walk_id)
    unit, rows = unit_of(session, walk.work_order_id), rows_of(session, walk.key)
    catalogue = version(session, walk.catalogue_id)
    check = catalogue.check(row.check)
    second = walk.depth == "second"
    return CheckPage(
        head=order_head(session, walk.work_order_id),
        walk=walk,
        row=row,
        line=finding_line(session, row),
        check=check,
        catalogue=catalogue,
        stops=() if second else tuple(stops_of(rows)),
        mark=mark_of(rows),
        place=place_said(row, check),
        axles=unit.axles,
        next=next_unseen(rows, row.key),
        others=() if second else tuple(_elsewhere(rows, row)),
        last=_last_time(session, walk.work_order_id, unit.key, row),
        targets=asked_of(Case(check, row.place, {}, facts_of(unit), policy=policy_of(settings_of(session)))),
        seconds=tuple((each.key, each.name) for each in people.working(session)),
        first=_first_look(session, walk, row) if second and row.looked_at else None,
        tires=_tires(session, walk, check, row),
        apart=policy_of(settings_of(session)).tires_apart_years,
    )


def _tires(session: Session, walk: Walk, check: Check, row: Finding) -> tuple[TireRead, ...]:
    if check.rule != APART or check.measures:
        return ()
    return tires_read(session, walk.work_order_id, axle_of(row.place))


def place_said(row: Finding, check: Check) -> str:
    """The place in words; empty for the whole unit."""
    said = row.name.removeprefix(check.name).removeprefix(", ")
    return said[:1].upper() + said[1:]


def _elsewhere(rows: Iterable[Finding], here: Finding) -> list[Finding]:
    return [row for row in rows if row.check == here.check and row.id != here.id and row.looked_at is None]


def _first_look(session: Session, walk: Walk, row: Finding) -> FindingLine | None:
    """The look at the same place that came before a second one."""
    before = session.exec(
        select(Finding)
        .join(Walk, col(Finding.walk_id) == col(Walk.id))
        .where(Walk.work_order_id == walk.work_order_id, col(Finding.id) < row.key)
        .where(Finding.check == row.check, Finding.place == row.place)
        .order_by(col(Finding.id).desc())
    ).first()
    return finding_line(session, before) if before else None


def _last_time(session: Session, order_id: int, unit_id: int, row: Finding) -> dict[str, str]:
    """What was read at the same check and place at the stay before, by measure, with its day."""
    before = session.exec(
        select(Finding)
        .join(Walk, col(Finding.walk_id) == col(Walk.id))
        .join(WorkOrder, col(Walk.work_order_id) == col(WorkOrder.id))
        .where(WorkOrder.unit_id == unit_id, col(WorkOrder.id) < order_id)
        .where(Finding.check == row.check, Finding.place == row.place, col(Finding.looked_at).is_not(None))
        .order_by(col(Finding.id).desc())
    ).first()
    if before is None:
        return {}
    line, zone = finding_line(session, before), shop_of(session).zone
    return {reading.measure: _read_on(reading, line.looked_at, zone) for reading in line.readings}


def _read_on(reading: ReadingLine, at: datetime | None, zone: str) -> str:
    when = f", {local(at, zone):%m/%Y}" if at else ""
    return f"last time {said(reading)}{when}"


def said(reading: ReadingLine) -> str:
    """A reading as people say it, with its unit."""
    return with_unit(reading.typed.strip(), reading.unit)


# One station


@dataclass(frozen=True)
class Table:
    """Checks by place: heads of the columns, and for each check its name and the findings, None for a gap."""

    title: str
    heads: tuple[str, ...]
    rows: tuple[tuple[str, tuple[FindingLine | None, ...]], ...]


@dataclass(frozen=True)
class StationPage:
    """One station of a walk."""

    head: OrderHead
    walk: Walk
    number: int
    stops: tuple[Stop, ...]
    mark: Mark
    plan: Plan | None
    tables: tuple[Table, ...]
    lines: tuple[FindingLine, ...]
    quick: frozenset[int]
    rest: tuple[FindingLine, ...]
    next: Finding | None
    after: Stop

    @property
    def wide(self) -> bool:
        """Whether a table needs the whole width of a tablet held upright."""
        return any(len(table.heads) > 2 for table in self.tables)

    @property
    def name(self) -> str:
        """The station's name in full."""
        return LONG_NAMES.get(self.number, STATIONS[self.number - 1])

    @property
    def stop(self) -> Stop:
        """The station on the walk line."""
        return next(stop for stop in self.stops if stop.number == self.number)


def station_page(session: Session, walk_id: int, number: int, at: datetime) -> StationPage | None:
    """One station of a walk at an instant; None where the walk is none or does not stop there."""
    walk = session.get(Walk, walk_id)
    if walk is None or walk.depth == "second":
        return None
    lines = findings_of_walk(session, walk)
    here = [line for line in lines if line.station == number]
    rows = rows_of(session, walk_id)
    if not here or number == SUM_UP:
        return None
    catalogue, stops = catalogue_of(session, walk_id), tuple(stops_of(rows))
    tables = tables_of(here, catalogue)
    tabled = {cell.id for table in tables for _, cells in table.rows for cell in cells if cell}
    easy = {finding.key for finding in rest_of(session, walk_id, number, at)}
    return StationPage(
        head=order_head(session, walk.work_order_id),
        walk=walk,
        number=number,
        stops=stops,
        mark=mark_of(rows),
        plan=plan_of(unit_of(session, walk.work_order_id).axles, [_seat(line) for line in here]),
        tables=tuple(tables),
        lines=tuple(line for line in here if line.id not in tabled),
        quick=frozenset(line.id for line in here if _quick(line, catalogue)),
        rest=tuple(line for line in here if line.id in easy),
        next=next_unseen([row for row in rows if row.station == number]),
        after=next(stop for stop in stops if stop.number > number),
    )


def _seat(line: FindingLine) -> Seat:
    return Seat(line.id, line.place, line.grade, line.name)


def _quick(line: FindingLine, catalogue: Catalogue) -> bool:
    required = any(measure.required for measure in catalogue.check(line.check).measures)
    return line.looked_at is None and line.grade is Grade.UNSEEN and not required


def tables_of(lines: Sequence[FindingLine], catalogue: Catalogue) -> list[Table]:
    """The checks that are made at two wheels or axles or more, as tables; the rest stands in rows."""
    wheels = [line for line in lines if CORNER.match(line.place)]
    axles = [line for line in lines if AXLE.match(line.place)]
    made = (_table("Wheels", wheels, catalogue), _table("Axles", axles, catalogue))
    return [table for table in made if table is not None]


def _table(title: str, lines: Sequence[FindingLine], catalogue: Catalogue) -> Table | None:
    columns = sorted({_column(line.place) for line in lines})
    if len(columns) < 2:
        return None
    by_check: dict[str, dict[tuple[str, ...], FindingLine]] = {}
    for line in lines:
        by_check.setdefault(line.check, {})[_column(line.place)] = line
    rows = [
        (catalogue.check(check).name, tuple(cells.get(column) for column in columns))
        for check, cells in by_check.items()
    ]
    sides = {column[1] for column in columns}
    return Table(title, tuple(_head(column, sides) for column in columns), tuple(rows))


def _column(place: str) -> tuple[str, ...]:
    parts = [*place.split("-")[1:], "", ""]
    return parts[0], parts[1], parts[2].removeprefix("outer")  # springs share the outer wheel's column


def _head(column: tuple[str, ...], sides: set[str]) -> str:
    number, side, row = column
    words = (f"Axle {number}", {"left": "road side", "right": "curb side"}.get(side, "") * (len(sides) > 1))
    return ", ".join(filter(None, (*words, row)))


def short(line: FindingLine) -> str:
    """The little that a cell says below its grade: the reading, or by when."""
    if line.by:
        return line.by.word
    if not line.fitted:
        return "not fitted"
    return said(line.readings[0]) if line.readings and line.grade is not Grade.UNSEEN else ""


# The sum


@dataclass(frozen=True)
class Must:
    """A check that has to be seen before handover, with its places still unseen; `finding`: the first."""

    name: str
    places: tuple[str, ...]
    finding: int


@dataclass(frozen=True)
class SumPage:
    """What a walk came to, the heaviest first; `must`: unseen that have to be seen before handover.

    `unlisted`: what the unit asks for since the book was put right, and the walk does not hold.
    """

    head: OrderHead
    walk: Walk
    stops: tuple[Stop, ...]
    mark: Mark
    heavy: tuple[FindingLine, ...]
    must: tuple[Must, ...]
    unseen: tuple[FindingLine, ...]
    besides: tuple[FindingLine, ...]
    sound: int
    lifted: tuple[tuple[Finding, Lifted], ...]
    ended_by: str
    seconds: tuple[FindingLine, ...]
    unlisted: tuple[str, ...]


def sum_page(session: Session, walk_id: int) -> SumPage | None:
    """The sum of a walk-round; None where there is no such walk."""
    walk = session.get(Walk, walk_id)
    if walk is None or walk.depth == "second":
        return None
    lines = sorted(findings_of_walk(session, walk), key=lambda line: line.weight)
    catalogue, rows = catalogue_of(session, walk_id), rows_of(session, walk_id)
    unseen = [line for line in lines if line.grade is Grade.UNSEEN]
    return SumPage(
        head=order_head(session, walk.work_order_id),
        walk=walk,
        stops=tuple(stops_of(rows)),
        mark=mark_of(rows),
        heavy=tuple(line for line in lines if line.grade in (Grade.DNT, Grade.NEEDS, Grade.WATCH)),
        must=tuple(_musts(unseen, catalogue)),
        unseen=tuple(unseen),
        besides=tuple(line for line in unseen if not must_see(catalogue.check(line.check))),
        sound=sum(line.grade is Grade.SOUND for line in lines),
        lifted=tuple(worse_together(session, walk_id)),
        ended_by=people.names(session).get(walk.ended_by or 0, ""),
        seconds=tuple(_second_looks(session, walk)),
        unlisted=tuple(name_of(check, place) for check, place in unlisted(session, walk)),
    )


def _musts(unseen: Iterable[FindingLine], catalogue: Catalogue) -> Iterable[Must]:
    by_check: dict[str, list[FindingLine]] = {}
    for line in unseen:
        if must_see(catalogue.check(line.check)):
            by_check.setdefault(line.check, []).append(line)
    for key, lines in by_check.items():
        name = catalogue.check(key).name
        places = (line.name.removeprefix(name).removeprefix(", ") for line in lines)
        yield Must(name, tuple(places), lines[0].id)


def _second_looks(session: Session, walk: Walk) -> list[FindingLine]:
    return [
        line
        for each in walks_of(session, walk.work_order_id)
        if each.depth == "second"
        for line in findings_of_walk(session, each)
    ]
