"""Wheel nuts: order, passes, retorque, wrench, adapter, verdict."""

from decimal import Decimal

from app.trade.fasteners import (
    Adapter,
    TorqueRange,
    Wrench,
    retorque_schedule,
    staged_passes,
    star_sequence,
    torque_at_nut,
    torque_verdict,
    wrench_band,
    wrench_deviation,
    wrench_setting,
)
from app.trade.problems import Impossible
from app.workbench.draw import star_drawn
from app.workbench.entry import (
    LENGTH,
    TORQUE,
    TURN,
    Drawn,
    Figure,
    Figures,
    Values,
    choice,
    number,
    numbers,
    whole,
    words,
)

SECTION = "Wheel nuts and studs"
HUNDRED = Decimal(100)
NUT_TORQUE, USUAL = ("1", "1000"), ("40", "350")
STUDS = whole("studs", "Studs", "6", (3, 36))
DEVIATION = number("off", "The wrench may be off by", "percent", "4", ("0", "20"), start="4")
ON_STANDS = ("c1",)
ADAPTER = (
    number("wrench", "L, square drive to grip", LENGTH, "18", ("2", "100")),
    number("reach", "E, square drive to nut", LENGTH, "2", ("0", "60")),
    number("turn", "Angle of the adapter to the handle", TURN, "0", ("-180", "180"), start="0"),
)


def _adapter(values: Values) -> Adapter:
    wrench = values.quantity("wrench")
    return Adapter(wrench.value, values.number("reach", wrench.unit), values.number("turn", "deg"))


def _setting(values: Values) -> Figures:
    torque = values.quantity("torque")
    return (wrench_setting(torque.value, _adapter(values), torque.unit),)


def _at_nut(values: Values) -> Figures:
    torque = values.quantity("torque")
    return (torque_at_nut(torque.value, _adapter(values), torque.unit),)


def _passes(values: Values) -> Figures:
    aim = values.quantity("aim")
    return (staged_passes(aim.value, aim.unit),)


def _band(values: Values) -> Figures:
    reading = values.quantity("reading")
    return (wrench_band(reading.value, reading.unit, values.number("off", "percent") / HUNDRED),)


def _deviation(values: Values) -> Figures:
    top = values.quantity("top")
    return (wrench_deviation(Wrench(values.text("kind")), top.value, top.unit),)


def _wheel(values: Values) -> Figures:
    low = values.quantity("low")
    high = values.number("high", low.unit) if values.has("high") else low.value
    readings = dict(enumerate(values.numbers("readings", low.unit), 1))
    studs = values.whole("studs")
    if len(readings) > studs:
        raise Impossible(f"{len(readings)} readings on {studs} studs", "at most one a nut")
    figure = TorqueRange(low.value, high, low.unit)
    return (torque_verdict(readings, studs, figure, values.number("off", "percent") / HUNDRED),)


def _drawn_star(values: Values, _figures: Figures) -> Drawn:
    return Drawn("star", star_drawn(values.whole("studs")))


def _drawn_wheel(values: Values, _figures: Figures) -> Drawn:
    readings = [each.typed for each in values.quantities("readings")]
    return Drawn("star", star_drawn(values.whole("studs"), readings))


FIGURES = (
    Figure(
        "star",
        "Tightening order",
        SECTION,
        "In which order are the nuts of this wheel tightened?",
        (STUDS,),
        lambda values: (star_sequence(values.whole("studs")),),
        _drawn_star,
        ON_STANDS,
    ),
    Figure(
        "passes",
        "Tightening passes",
        SECTION,
        "In which rounds is this torque reached?",
        (number("aim", "Torque to reach", TORQUE, "110", NUT_TORQUE, usual=USUAL),),
        _passes,
        cautions=ON_STANDS,
    ),
    Figure(
        "retorque",
        "Retorque",
        SECTION,
        "When are the nuts tightened again?",
        (),
        lambda _values: (retorque_schedule(),),
    ),
    Figure(
        "wheel-torque",
        "Readings of a wheel",
        SECTION,
        "Is every nut of this wheel inside the maker's figure?",
        (
            STUDS,
            number("low", "Maker's figure, low end", TORQUE, "100", NUT_TORQUE, usual=USUAL),
            number("high", "High end", TORQUE, "120", NUT_TORQUE, usual=USUAL, needed=False),
            numbers("readings", "Readings, nut 1 on", TORQUE, "110 110 112 109 110 110", NUT_TORQUE),
            DEVIATION,
        ),
        _wheel,
        _drawn_wheel,
    ),
    Figure(
        "wrench",
        "How far a wrench may be off",
        SECTION,
        "How far may this torque wrench be off?",
        (
            choice("kind", "Kind of wrench", words(Wrench)),
            number("top", "End of its scale", TORQUE, "150", ("0.1", "2000")),
        ),
        _deviation,
    ),
    Figure(
        "wrench-band",
        "What a reading can mean",
        SECTION,
        "Between which torques does the true one lie?",
        (number("reading", "Reading", TORQUE, "110", ("0.1", "2000")), DEVIATION),
        _band,
    ),
    Figure(
        "adapter-setting",
        "Setting with an adapter",
        SECTION,
        "What is the wrench set to, so that the nut gets its torque through an adapter?",
        (number("torque", "Torque at the nut", TORQUE, "110", ("0.1", "2000")), *ADAPTER),
        _setting,
    ),
    Figure(
        "adapter-torque",
        "Torque through an adapter",
        SECTION,
        "What does the nut get when this adapter is on the wrench?",
        (number("torque", "Wrench setting", TORQUE, "99", ("0.1", "2000")), *ADAPTER),
        _at_nut,
    ),
)
