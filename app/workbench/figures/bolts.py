"""Bolts of a joint that is no wheel: order, readings, thread beyond the nut."""

from app.trade.bolts import Joint, bolt_torque, outward_order, thread_shown
from app.trade.fasteners import TorqueRange
from app.workbench.entry import (
    LENGTH,
    TORQUE,
    Figure,
    Figures,
    Values,
    choice,
    number,
    numbers,
    whole,
)

SECTION = "Wheel nuts and studs"
BOLT_TORQUE, USUAL = ("0.5", "1500"), ("3", "600")


def _joint(values: Values) -> Figures:
    low = values.quantity("low")
    high = values.number("high", low.unit) if values.has("high") else low.value
    readings = enumerate(values.numbers("readings", low.unit), 1)
    named = {f"bolt {place}": reading for place, reading in readings}
    return (bolt_torque(named, TorqueRange(low.value, high, low.unit), Joint(values.text("joint"))),)


FIGURES = (
    Figure(
        "bolt-order",
        "Order of bolts in a row",
        SECTION,
        "In which order are these bolts tightened?",
        (whole("count", "Bolts in the row", "6", (1, 24)),),
        lambda values: (outward_order(values.whole("count")),),
    ),
    Figure(
        "bolt-torque",
        "Readings of a joint",
        SECTION,
        "Is every bolt of this joint inside the maker's figure?",
        (
            choice("joint", "Joint", [(each.value, each.word) for each in Joint]),
            number("low", "Maker's figure, low end", TORQUE, "70", BOLT_TORQUE, usual=USUAL),
            number("high", "High end", TORQUE, "80", BOLT_TORQUE, usual=USUAL, needed=False),
            numbers("readings", "Readings", TORQUE, "75 75 76 74", BOLT_TORQUE, counts=(1, 24)),
        ),
        _joint,
    ),
    Figure(
        "u-bolt-thread",
        "Thread beyond a U-bolt's nut",
        SECTION,
        "Does enough thread stand out of the nuts?",
        (number("shortest", "Shortest thread beyond a nut", LENGTH, "3/8", ("0", "6")),),
        lambda values: (thread_shown(values.quantity("shortest")),),
    ),
)
