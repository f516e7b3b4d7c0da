"""What records are told in tests of single kinds."""

from dataclasses import replace
from datetime import date
from typing import Any

from app.bench.kinds import Context, Tool

WRENCH = Tool(1, "Torque wrench 7", "torque wrench", "lbf_ft", "20", "150", date(2027, 1, 12))
OLD_WRENCH = Tool(2, "Torque wrench 2", "torque wrench", "lbf_ft", "20", "150", date(2026, 3, 1))
BALANCER = Tool(3, "Balancer", "balancer")
TOOLS = (WRENCH, OLD_WRENCH, BALANCER)


def context(**changed: Any) -> Context:  # noqa: ANN401 - any field of a Context
    """A wheel of a trailer with six 1/2-20 studs at 100 to 120 lbf·ft, on 4 May 2026."""
    plain = Context(
        place="wheel-1-left",
        label="Left wheel, axle 1",
        on=date(2026, 5, 4),
        studs=6,
        thread="1/2-20",
        torque_low="100",
        torque_high="120",
        torque_source="wheel placard",
        tire_size="ST205/75R14",
        tire_pressure="50",
        tools=TOOLS,
    )
    return replace(plain, **changed)
