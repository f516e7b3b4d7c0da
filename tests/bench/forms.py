"""Forms as a technician fills them in, and the payloads they give."""

from collections.abc import Mapping

from app.bench.records.wheel_torque import KIND, WheelTorque
from app.trade.typed import Texts
from tests.bench.contexts import WRENCH, context

SIX_AT_110 = {f"r-{nut}": "110" for nut in range(1, 7)}
TORQUE = {
    "studs": "6",
    "unit": "lbf_ft",
    "low": "100",
    "high": "120",
    "figure_from": "wheel placard",
    "instrument": str(WRENCH.id),
    "checked": "yes",
    **{f"pass-{number}-{nut}": "yes" for number in (1, 2) for nut in range(1, 7)},
}


def named(changed: Mapping[str, str]) -> dict[str, str]:
    """Fields by their names in the form: `r_3` stands for `r-3`."""
    return {name if name == "figure_from" else name.replace("_", "-"): text for name, text in changed.items()}


def torque(**changed: str) -> WheelTorque:
    """A wheel with six nuts at 110 lbf·ft, inside 100 to 120."""
    return KIND.read(Texts({**TORQUE, **SIX_AT_110, **named(changed)}), context())
