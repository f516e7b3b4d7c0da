"""Balance of one wheel: amounts at two planes with their angle, weights set, what stays, runout where due.

Angles: degrees from the valve, against the clock, seen from outside; the inner plane is seen through the
wheel, never mirrored. Weights cure unbalance, never runout.
"""

from collections.abc import Mapping, Sequence
from decimal import Decimal
from typing import Literal

from app.bench.kinds import (
    Context,
    Judged,
    Payload,
    RecordKind,
    Used,
    heaviest_of,
    put,
    read_tool,
    used,
)
from app.bench.planes_drawn import TICKS, CurveDrawn, paper_ticks, plane_drawn, unrolled
from app.trade.balance import excess_weight, question_weight, residual_verdict, usual_limit
from app.trade.figure import Grade, Verdict, Worked
from app.trade.problems import Impossible, Refused
from app.trade.quantity import Quantity, read_number
from app.trade.runout import Runout, Where, even_stations, question_runout, runout, runout_verdict
from app.trade.tire_size import read_size
from app.trade.typed import Reader, Typed
from app.trade.vectors import Vector, total

PLANES = ("outer", "inner")
PIECES = (1, 2)
STATIONS = tuple(range(8))
USUAL_STEP = {"oz": Decimal("0.25"), "g": Decimal(5)}
BALANCER, INDICATOR = "balancer", "dial indicator"
TURN = ("0", "360")  # degrees: a balancer shows one turn, so anything beyond is a slip of the hand
ANGLE_ACCEPTS = "degrees from the valve, against the clock, such as 215"


class Polar(Payload):
    """An amount at an angle, both as typed."""

    amount: str
    angle: str

    @property
    def vector(self) -> Vector:
        """The amount at its angle."""
        return Vector(read_number(self.amount), read_number(self.angle or "0"))


class Plane(Payload):
    """One plane: what the balancer showed, the weights set, and what it showed when spun again."""

    shown: Polar
    weights: tuple[Polar, ...] = ()
    left: str = ""


class Balance(Payload):
    """Balance of one wheel. `shows`: whether the balancer points at the heavy spot or at where weight goes.

    `stations`: readings of the dial at the tread in 0.001 in, eight from the valve on. `tir`: the total
    alone, where only that was read.
    """

    unit: Literal["oz", "g"]
    step: str
    rim_in: str
    shows: Literal["heavy", "weight"]
    outer: Plane
    inner: Plane
    tir: str = ""
    stations: tuple[str, ...] = ()
    instrument: Used

    def unbalance(self, plane: Plane) -> Vector:
        """Where and by how much a plane is heavy."""
        return plane.shown.vector if self.shows == "heavy" else plane.shown.vector.opposite

    def left_over(self, plane: Plane) -> Vector:
        """What the weights leave in a plane, computed."""
        return total([self.unbalance(plane), *(each.vector for each in plane.weights)])

    @property
    def total_runout(self) -> Decimal | None:
        """Total indicator reading in 0.001 in, None where nobody looked."""
        if self.stations:
            return _round_trip(self.stations).value.tir
        return read_number(self.tir) if self.tir else None


# Reading the form


def read(typed: Typed, context: Context) -> Balance:
    """The record that stands in a form; raises Refused with every problem.

    Where a plane asks for more weight than usual, a runout reading is asked for and nothing is kept without.
    """
    form = Reader(typed)
    unit: Literal["oz", "g"] = "g" if form.raw("unit") == "g" else "oz"
    rim = form.number(
        "rim", least="4", most="30", usual=("8", "19"), required="The rim's diameter is missing"
    )
    shows = _read_shows(form)
    outer, inner = (_read_plane(form, name, unit) for name in PLANES)
    stations = _read_stations(form)
    _look_at_runout(form, (outer, inner), unit, rim)
    tool = read_tool(form, context, (BALANCER,))
    form.done()
    assert tool is not None
    return Balance(
        unit=unit,
        step=f"{context.weight_steps[unit]:f}",
        rim_in=form.raw("rim"),
        shows=shows,
        outer=outer,
        inner=inner,
        tir=form.raw("tir"),
        stations=stations,
        instrument=used(tool, context),
    )


def _read_shows(form: Reader) -> Literal["heavy", "weight"]:
    if form.raw("shows") not in ("heavy", "weight"):
        form.wrong("shows", "What the balancer shows is missing", "the heavy spot, or where the weight goes")
    return "heavy" if form.raw("shows") == "heavy" else "weight"


def _read_plane(form: Reader, name: str, unit: str) -> Plane:
    shown = _read_polar(form, name, unit, required=f"The {name} plane has no amount")
    pieces = [_read_polar(form, f"{name}-w{piece}", unit) for piece in PIECES]
    left = form.number(f"{name}-left", least="0", most="500")
    return Plane(
        shown=shown,
        weights=tuple(piece for piece in pieces if piece.amount),
        left="" if left is None else form.raw(f"{name}-left"),
    )


def _read_polar(form: Reader, name: str, unit: str, required: str = "") -> Polar:
    most = "64" if unit == "oz" else "1800"
    amount = form.number(name, least="0", most=most, required=required)
    angle = form.number(f"{name}-at", least=TURN[0], most=TURN[1])
    if amount and angle is None and not form.raw(f"{name}-at"):
        form.wrong(f"{name}-at", "The angle is missing", ANGLE_ACCEPTS)
    if amount is None:
        return Polar(amount="", angle="")
    return Polar(amount=form.raw(name), angle=form.raw(f"{name}-at") or "0")


def _read_stations(form: Reader) -> tuple[str, ...]:
    texts = [form.raw(f"s-{station}") for station in STATIONS]
    for station in STATIONS:
        form.number(f"s-{station}", least="-500", most="500")
    if any(texts) and not all(texts):
        form.wrong("s-0", "Some of the eight places have no reading", "all eight from the valve on, or none")
    if form.number("tir", least="0", most="1000") is not None:
        put(form, question_runout("tir", Quantity(form.raw("tir"), "thou")))
    return tuple(texts) if all(texts) else ()


def _look_at_runout(form: Reader, planes: Sequence[Plane], unit: str, rim: Decimal | None) -> None:
    if rim is None or form.raw("tir") or form.raw("s-0"):
        return
    for name, plane in zip(PLANES, planes, strict=True):
        text = plane.shown.amount
        asked = question_weight(name, Quantity(text, unit), rim) if text else []
        for each in asked:
            form.wrong(name, each.says, f"{each.accepts}, or a runout reading beside it")
            form.wrong("tir", "Look at the runout before so much weight goes on", "such as 30 thousandths")


# Judging


def judge(record: Balance, _context: Context) -> Judged:
    """The heaviest of: what the weights leave, what the second spin showed, runout where it was read."""
    left = residual_verdict(record.left_over(record.outer), record.left_over(record.inner), record.unit)
    excess = _excess(record)
    ran = _runout(record)
    verdicts = [_spun_again(record, left), *(each.verdict for each in (excess, *ran) if each.verdict)]
    return Judged(heaviest_of(verdicts), (left, excess, *ran))


def _spun_again(record: Balance, computed: Worked[Vector]) -> Verdict:
    """The verdict on the second spin; without one the computed remainder proves nothing about the wheel."""
    planes = {"outer": record.outer.left, "inner": record.inner.left}
    if not all(planes.values()):
        assert computed.verdict is not None
        return (
            computed.verdict if not computed.verdict.inside else Verdict(Grade.UNSEEN, "Not spun again yet")
        )
    outer, inner = (Vector(read_number(text), Decimal(0)) for text in planes.values())
    verdict = residual_verdict(outer, inner, record.unit).verdict
    assert verdict is not None
    return verdict


def _excess(record: Balance) -> Worked[Decimal]:
    outer, inner = record.outer.shown.vector.amount, record.inner.shown.vector.amount
    return excess_weight(outer, inner, record.unit, read_number(record.rim_in))


def _runout(record: Balance) -> tuple[Worked[object], ...]:
    if record.total_runout is None:
        return ()
    verdict = runout_verdict(Where.TREAD, record.total_runout, "thou")
    return (verdict, _round_trip(record.stations)) if record.stations else (verdict,)


def _round_trip(stations: Sequence[str]) -> Worked[Runout]:
    return runout(even_stations([read_number(text) for text in stations]), "thou")


# The form's texts


def start(context: Context) -> dict[str, str]:
    """A fresh form: the shop's unit of weight, the rim from the unit's tire size, what the balancer shows."""
    return {
        "unit": context.weight_unit,
        "rim": _rim(context.tire_size),
        "shows": context.last_text("shows"),
        "instrument": context.needed_tool((BALANCER,)),
    }


def _rim(tire_size: str) -> str:
    try:
        return f"{read_size(tire_size).rim:f}" if tire_size else ""
    except (Impossible, Refused):
        return ""


def texts(record: Balance) -> dict[str, str]:
    """The form that gives a record again."""
    found = {
        "unit": record.unit,
        "rim": record.rim_in,
        "shows": record.shows,
        "tir": record.tir,
        "instrument": str(record.instrument.id),
        **{f"s-{station}": text for station, text in enumerate(record.stations)},
    }
    for name, plane in (("outer", record.outer), ("inner", record.inner)):
        found |= _polar_texts(name, plane.shown) | {f"{name}-left": plane.left}
        for piece, weight in enumerate(plane.weights, 1):
            found |= _polar_texts(f"{name}-w{piece}", weight)
    return found


def _polar_texts(name: str, polar: Polar) -> dict[str, str]:
    return {name: polar.amount, f"{name}-at": polar.angle}


# The drawing


def draw(typed: Typed, context: Context) -> Mapping[str, object]:
    """Both planes with readings, weights proposed or set, what stays; the runout where it was read."""
    unit = "g" if typed.get("unit") == "g" else "oz"
    step = context.weight_steps[unit]
    return {
        "planes": tuple(
            plane_drawn(name, _heavy(typed, name), _put_on(typed, name), step, unit) for name in PLANES
        ),
        "ticks": TICKS,
        "paper_ticks": paper_ticks(),
        "limit": f"{usual_limit(unit):f}",
        "step": f"{step:f}",
        "unit_word": unit,
        "curve": _curve(typed),
    }


def _heavy(typed: Typed, name: str) -> Vector | None:
    found = _polar(typed, name)
    if found is None or typed.get("shows") not in ("heavy", "weight"):
        return None
    return found if typed.get("shows") == "heavy" else found.opposite


def _put_on(typed: Typed, name: str) -> list[Vector]:
    found = [_polar(typed, f"{name}-w{piece}") for piece in PIECES]
    return [each for each in found if each and each.amount]


def _polar(typed: Typed, name: str) -> Vector | None:
    try:
        return Vector(read_number(typed.get(name)), read_number(typed.get(f"{name}-at") or "0"))
    except Impossible:
        return None


def _curve(typed: Typed) -> CurveDrawn | None:
    try:
        return unrolled([typed.get(f"s-{station}").strip() for station in STATIONS])
    except Impossible:
        return None


KIND = RecordKind(
    key="balance",
    title="Balance",
    per="tire",
    shape=Balance,
    read=read,
    judge=judge,
    start=start,
    texts=texts,
    draw=draw,
    tools=(BALANCER,),
)
