"""Axle tape of one axle: square to the coupler, to the next axle, toe, camber, corner heights."""

from collections.abc import Mapping
from decimal import Decimal

from app.bench.kinds import Context, Judged
from app.bench.rows import Flat, Read, Row, check_groups, judged, row_kind
from app.bench.tapes_drawn import tapes_drawn
from app.trade.figure import Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, read_number
from app.trade.tape import CAUTION, Tapes, axle_square, axles_parallel, camber, corner_heights, toe
from app.trade.typed import Reader, Typed

GROUPS = {
    "Square": ("tape_left", "tape_right", "between", "ball_to_axle"),
    "The distance of the axles": ("next_left", "next_right"),
    "Toe": ("toe_front", "toe_rear", "toe_across"),
    "Camber": ("camber_left", "camber_right", "camber_tall"),
    "The height at the front": ("front_left", "front_right"),
    "The height at the rear": ("rear_left", "rear_right"),
}
USUAL_APART = Decimal("1.5")  # in between both tapes: more is another point on one side


class AxleTape(Flat):
    """One axle, all lengths in inches as typed; what was not taped is empty."""

    tape_left: str = ""
    tape_right: str = ""
    between: str = ""
    ball_to_axle: str = ""
    next_left: str = ""
    next_right: str = ""
    toe_front: str = ""
    toe_rear: str = ""
    toe_across: str = ""
    camber_left: str = ""
    camber_right: str = ""
    camber_tall: str = ""
    front_left: str = ""
    front_right: str = ""
    rear_left: str = ""
    rear_right: str = ""


def rows(_context: Context) -> tuple[Row, ...]:
    """The rows of an axle, in the order of the work."""
    return (
        _inches("tape_left", "Coupler to left spindle", "both at most 1/8 apart", head="Square"),
        _inches("tape_right", "Coupler to right spindle", "both at most 1/8 apart"),
        _inches("between", "Between the spindle ends"),
        _inches("ball_to_axle", "Ball centre to axle"),
        _inches("next_left", "Spindle to spindle, left", "both at most 1/16 apart", head="To the next axle"),
        _inches("next_right", "Spindle to spindle, right", "both at most 1/16 apart"),
        _inches("toe_front", "Tread to tread, front", "at most 1/8 apart", head="Toe, at spindle height"),
        _inches("toe_rear", "Tread to tread, rear", "at most 1/8 apart"),
        _inches("toe_across", "Diameter of the tire there"),
        _gap("camber_left", "Left", head="Camber: gap to a square at the rim, top less bottom"),
        _gap("camber_right", "Right"),
        _inches("camber_tall", "Rim, top to bottom point"),
        _inches("front_left", "Left front", "sides at most 1 apart", head="Frame to level ground"),
        _inches("front_right", "Right front", "sides at most 1 apart"),
        _inches("rear_left", "Left rear", "sides at most 1 apart"),
        _inches("rear_right", "Right rear", "sides at most 1 apart"),
    )


def _inches(name: str, label: str, reach: str = "", *, head: str = "") -> Row:
    return Row(name, label, "in", reach, least="1", most="600", head=head)


def _gap(name: str, label: str, *, head: str = "") -> Row:
    reach = "at most 1 degree, sides at most 1/2 apart"
    return Row(name, label, "in", reach, least="-3", most="3", head=head)


def check(form: Reader, _context: Context) -> None:
    """What is begun is whole; tapes far apart are asked about."""
    check_groups(form, GROUPS, "both tapes, toe, camber, or heights")
    try:
        apart = read_number(form.raw("tape_left")) - read_number(form.raw("tape_right"))
    except Impossible:
        return
    if abs(apart) > USUAL_APART:
        form.ask("tape_right", f"The tapes are {abs(apart)} in apart: the same point?", "at most 1 1/2 in")


def judge(record: AxleTape, _context: Context) -> Judged:
    """The heaviest verdict of all that was taped."""
    figures = [*_square(record), *_turned(record), *_heights(record)]
    return judged(figures, [])


def _square(record: AxleTape) -> list[Worked[object]]:
    found: list[Worked[object]] = []
    if record.tape_left:
        left, right, between, length = record.quantities(GROUPS["Square"], "in")
        found.append(axle_square(Tapes(left, right, between, length)))
    if record.next_left:
        found.append(axles_parallel(Quantity(record.next_left, "in"), Quantity(record.next_right, "in")))
    return found


def _turned(record: AxleTape) -> list[Worked[object]]:
    found: list[Worked[object]] = []
    if record.toe_front:
        front, rear, across = record.quantities(GROUPS["Toe"], "in")
        found.append(toe(front, rear, across))
    if record.camber_left:
        left, right, tall = record.quantities(GROUPS["Camber"], "in")
        found.append(camber(left, right, tall))
    return found


def _heights(record: AxleTape) -> list[Worked[object]]:
    pairs = {
        name: (Quantity(left, "in"), Quantity(right, "in"))
        for name, left, right in (
            ("front", record.front_left, record.front_right),
            ("rear", record.rear_left, record.rear_right),
        )
        if left
    }
    return [corner_heights(pairs)] if pairs else []


def draw(typed: Typed, _context: Context) -> Mapping[str, object]:
    """The plan of coupler and axle with both tapes."""
    return {"plan": tapes_drawn({name: typed.get(name).strip() for name in AxleTape.model_fields})}


KIND = row_kind(
    "axle_tape",
    "Axle tape",
    "axle",
    AxleTape,
    judge,
    Read(rows, check=check, note=CAUTION, cautions=("c1",), draw=draw),
)
