"""Forms of measured records for the demo, filled in as a technician would."""

from collections.abc import Callable

from app.bench.kinds import Context


def played(kind: str) -> bool:
    """Whether the demo fills the form of this kind in."""
    return kind in WAYS


def texts_for(kind: str, context: Context) -> dict[str, str]:
    """Texts of the form of a record kind at a place; KeyError for a kind that the demo does not play."""
    return WAYS[kind](context)


def _tool(context: Context, kind: str) -> dict[str, str]:
    tools = [tool for tool in context.tools_of((kind,)) if not tool.overdue(context.on)]
    return {"instrument": str(tools[0].id)} if tools else {}


def _torque(context: Context) -> dict[str, str]:
    middle = str((int(context.torque_low) + int(context.torque_high or context.torque_low)) // 2)
    nuts = range(1, (context.studs or 5) + 1)
    return {
        "studs": str(len(nuts)),
        "unit": context.torque_unit,
        "low": context.torque_low,
        "high": context.torque_high,
        "figure_from": context.torque_source,
        "checked": "yes",
        **{f"r-{nut}": middle for nut in nuts},
        **{f"pass-{number}-{nut}": "yes" for number in (1, 2) for nut in nuts},
        **_tool(context, "torque wrench"),
    }


def _balance(context: Context) -> dict[str, str]:
    """The left wheel wants much weight, so its runout was read before any went on."""
    heavy = context.place.endswith("left")
    amount = "4.5" if heavy else "1.25"
    return {
        "unit": "oz",
        "rim": context.tire_size[-2:] or "14",
        "shows": "weight",
        "outer": amount,
        "outer-at": "120",
        "outer-w1": amount,
        "outer-w1-at": "120",
        "outer-left": "0.1",
        "inner": "1.0",
        "inner-at": "280",
        "inner-w1": "1.0",
        "inner-w1-at": "280",
        "inner-left": "0.1",
        **({"tir": "28"} if heavy else {}),
        **_tool(context, "balancer"),
    }


def _tire(context: Context) -> dict[str, str]:
    made = context.on.replace(day=1)
    week = max(1, made.isocalendar().week - 20)
    year = made.year if made.isocalendar().week > 20 else made.year - 1
    return {
        "tin": f"4XK9 7MRT {week:02}{year % 100:02}",
        "size": context.tire_size,
        "load": "2040",
        "pressure": context.tire_pressure,
        "placard": context.tire_pressure,
        "most": context.tire_pressure,
    }


def _hub(context: Context) -> dict[str, str]:
    return {
        "state": "clean",
        "inner": "L68149 / L68111",
        "outer": "L44649 / L44610",
        "seal": "yes",
        "seal_number": "1.719 x 2.565 in",
        "way": "light",
        "grease": "GC-LB, lithium complex",
        "measured": "indicator",
        "play_1": "0.004",
        "play_2": "0.005",
        "play_3": "0.004",
        "cotter": "yes",
        "turns": "free",
        **_tool(context, "dial indicator"),
    }


def _water(_context: Context) -> dict[str, str]:
    return {
        "sprayed": "body",
        "spray_minutes": "20",
        "dry": "yes",
        "where": "Road side, both windows and the corner seam",
    }


def _moisture(_context: Context) -> dict[str, str]:
    read = {
        1: ("2", "behind the dinette", "13"),
        2: ("9", "under the window", "15"),
        3: ("18", "rear corner", "14"),
    }
    texts = {"meter": "Pin meter, softwood, 68 °F", "stage": "close", "warmth": "68"}
    for n, (at, where, percent) in read.items():
        texts |= {f"side-{n}": "road", f"at-{n}": at, f"where-{n}": where, f"p-{n}": percent}
    return texts


WAYS: dict[str, Callable[[Context], dict[str, str]]] = {
    "wheel_torque": _torque,
    "balance": _balance,
    "tires_fitted": _tire,
    "bearing_adjustment": _hub,
    "water_test": _water,
    "moisture_map": _moisture,
}
