"""One well-filled form of every kind of record that has a form, and the tools that these forms name."""

from app.bench.kinds import Tool
from app.ground.tables import Instrument
from tests.bench.filled import TOOLS
from tests.bench.forms import SIX_AT_110, TORQUE
from tests.bench.stay import BEFORE, Stay
from tests.bench.test_balance import FORM as BALANCE
from tests.bench.test_kinds import DIAL, FORMS

NO_FORM = {"figures"}  # handed over by the workbench: tests/workbench/test_attached.py
CASES: dict[str, dict[str, str]] = {**FORMS, "wheel_torque": {**TORQUE, **SIX_AT_110}, "balance": BALANCE}


def tools_of(here: Stay) -> dict[str, str]:
    """The instruments of the cases put into a book: the key there of each number that a form names."""
    stand = {"1": str(here.wrench), "2": str(here.old_wrench), "3": str(here.balancer)}
    return stand | {str(tool.id): str(here.add(_row(tool))) for tool in (*TOOLS, DIAL)}


def _row(tool: Tool) -> Instrument:
    return Instrument(
        created_at=BEFORE,
        name=tool.name,
        kind=tool.kind,
        unit=tool.unit,
        least=tool.least,
        most=tool.most,
        calibration_due=tool.due,
    )
