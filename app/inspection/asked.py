"""What the rule of a check holds its readings against, in words beside the field before anything is read."""

from collections.abc import Callable
from decimal import Decimal

from app.inspection.catalogue import Measure
from app.inspection.named_rules import (
    CORNERS_IN,
    GUARD_FROM_LB,
    GUARD_HIGH_IN,
    GUARD_SHORT_IN,
    SPREAD_32NDS,
    brakes_asked,
    breakaway_asked,
    magnet_of,
    torque_figure,
)
from app.inspection.ruling import Case
from app.inspection.scale import limits_said
from app.trade.bearings import LIGHT
from app.trade.brakes import HOLD_MIN, HOLD_VOLTS, LAW_LEAST, Lining
from app.trade.figure import plain
from app.trade.gas_tests import LEAK_CHECK
from app.trade.problems import Impossible
from app.trade.quantity import with_unit
from app.trade.tire_marks import index_for
from app.trade.tongue import BALL_HITCH, BANDS

Asked = dict[str, str]
EVERY_WHEEL = "every braked wheel"


def _at_least(number: Decimal | None, unit: str, why: str) -> str:
    return f"at least {with_unit(plain(number), unit)}, {why}" if number is not None else ""


def _carried(case: Case) -> Asked:
    return {"rating": _at_least(case.facts.gvwr_lb, "lb", "the GVWR")}


def _on_the_ball(case: Case) -> Asked:
    weighed = _at_least(case.facts.gross_lb, "lb", "as weighed")
    return {"rating": weighed} if weighed else _carried(case)


def _chains(case: Case) -> Asked:
    return {"strength": _at_least(case.facts.gvwr_lb, "lb", "the GVWR, each as its breaking strength")}


def _breakaway(case: Case) -> Asked:
    return {"there": "the law asks for one here" if breakaway_asked(case) else ""}


def _held(_: Case) -> Asked:
    return {"held": EVERY_WHEEL}


def _battery(case: Case) -> Asked:
    return {
        "minutes": f"at least {with_unit(f'{HOLD_MIN:f}', 'min')}",
        "end": f"at least {with_unit(f'{HOLD_VOLTS:f}', 'V')}",
        "held": EVERY_WHEEL,
        "made": f"at most {case.policy.breakaway_battery_years} years ago",
    }


def _guard(case: Case) -> Asked:
    if case.facts.gvwr_lb is not None and case.facts.gvwr_lb < GUARD_FROM_LB:
        return {}
    ends = {"height": GUARD_HIGH_IN, "inside": GUARD_SHORT_IN}
    return {key: f"at most {with_unit(plain(end), 'in')}" for key, end in ends.items()}


def _corners(_: Case) -> Asked:
    return dict.fromkeys(
        ("right_front", "right_rear"), f"within {with_unit(plain(CORNERS_IN), 'in')} of the left"
    )


def _torque(case: Case) -> Asked:
    figure = torque_figure(case)
    if figure is None:
        return {"least": "no figure in the book: read the placard or ask the wheel's maker"}
    said = ", ".join(filter(None, (str(figure), case.facts.torque_source)))
    return dict.fromkeys(("least", "most"), said)


def _wheel(case: Case) -> Asked:
    return {"rating": _at_least(_share(case), "lb", "its share of the axle's rating")}


def _share(case: Case) -> Decimal | None:
    gawr = case.facts.gawr(case.axle)
    return None if gawr is None else gawr / case.tires_on_axle


def _tires(case: Case) -> Asked:
    return {"load": _at_least(_share(case), "lb", "its share of the axle's rating")}


def _marks(case: Case) -> Asked:
    size, share = case.facts.placard_size, _share(case)
    needed = "" if share is None else f"load index at least {index_for(share).value}"
    return {"size": ", ".join(filter(None, (size and f"placard {size}", needed)))}


def _ages(case: Case) -> Asked:
    ages = case.policy.tire_ages
    return {
        "code": f"watch from {ages.watch} years, needs work from {ages.needs}, do not tow from {ages.dnt}"
    }


def _pressure(case: Case) -> Asked:
    psi = case.facts.placard_psi
    if psi is None:
        return {}
    return {"cold": f"placard {with_unit(plain(psi), 'psi')}", "most": _at_least(psi, "psi", "the placard")}


def _valve(case: Case) -> Asked:
    return {"class": _at_least(case.facts.placard_psi, "psi", "the placard")}


def _service(case: Case) -> Asked:
    return {
        "last": f"at most {case.policy.hub_months} months ago",
        "miles": f"at most {with_unit(plain(case.policy.hub_miles), 'mi')}",
    }


def _braked(case: Case) -> Asked:
    asked = brakes_asked(case)
    if asked is None or not case.facts.axles:
        return {}
    every = f"all {2 * case.facts.axles} wheels" if case.policy.brakes_on_all_wheels else "brakes"
    return {"braked": f"the law asks for {every} here" if asked else "the law asks for none here"}


def _lining(_: Case) -> Asked:
    bonded, riveted = (with_unit(f"{LAW_LEAST[held]:f}", "in_32nd") for held in Lining)
    return {"thinnest": f"at least {bonded} bonded, {riveted} over the rivets"}


def _magnet(case: Case) -> Asked:
    magnet = magnet_of(case)
    return {"ohms": f"{magnet.least_ohm} to {with_unit(str(magnet.most_ohm), 'ohm')} cold"}


def _gas(_: Case) -> Asked:
    return {
        "start": LEAK_CHECK.pressure,
        "end": "as at the start, no fall and no rise",
        "time": f"at least {with_unit(plain(LEAK_CHECK.least_minutes), 'min')}",
    }


def _on_the_hitch(case: Case) -> Asked:
    """The bands of its kind; a stricter limit of the catalogue, which is for all kinds, goes before them."""
    bands, limits = BANDS.get(case.facts.kind, BALL_HITCH), case.check.measure("share").limits
    hold = max([bands.hold, *(each.under for each in limits if each.under is not None)])
    high = min([bands.high, *(each.over for each in limits if each.over is not None)])
    return {"share": f"{bands.low:f} to {with_unit(f'{high:f}', 'percent')}, do not tow under {hold:f}"}


ASKED: dict[str, Callable[[Case], Asked]] = {
    "ball_size": lambda _: {"ball": "the same as the coupler"},
    "coupler_rating": _carried,
    "ball_rating": _on_the_ball,
    "chains": _chains,
    "breakaway_fitted": _breakaway,
    "breakaway_wheels": _held,
    "breakaway_battery": _battery,
    "rear_guard": _guard,
    "corner_heights": _corners,
    "leaves": lambda _: {"broken": "none"},
    "nut_torque": _torque,
    "wheel_rating": _wheel,
    "tire_age": _ages,
    "tire_load": _tires,
    "tire_marks": _marks,
    "tire_pressure": _pressure,
    "valve_class": _valve,
    "tread_spread": lambda _: {"outer": f"all three within {with_unit(plain(SPREAD_32NDS), 'in_32nd')}"},
    "hub_service": _service,
    "end_play": lambda _: {"play": f"{LIGHT}, do not tow over {LIGHT.stop}"},
    "brakes_needed": _braked,
    "lining": _lining,
    "drum": lambda _: {"maximum": "as cast in it: neither diameter may be over it"},
    "rotor": lambda _: {"minimum": "as marked on it: the rotor may not be under it"},
    "magnet_ohms": _magnet,
    "gas_hold": _gas,
    "tongue_share": _on_the_hitch,
}


def _in_the_book(case: Case) -> dict[str, Asked]:
    facts, size = case.facts, case.facts.placard_size
    ratings = {f"gawr_{axle}": rating for axle, rating in enumerate(facts.gawr_lb, 1)}
    label = {"gvwr": facts.gvwr_lb, **ratings}
    return {
        "id.placard": {"size": f"in the book {size}" if size else ""},
        "id.vin": {"vin": f"in the book {facts.vin}" if facts.vin else ""},
        "id.label": {
            key: f"in the book {with_unit(plain(told), 'lb')}"
            for key, told in label.items()
            if told is not None
        },
    }


def asked_of(case: Case) -> Asked:
    """By measure, what its rule asks for or what the book says of it; nothing where neither knows."""
    told = _in_the_book(case).get(case.check.key, {})
    ruled = ASKED.get(case.check.rule)
    try:
        return told if ruled is None else {**told, **ruled(case)}
    except Impossible:  # a figure of the book that cannot be: the rule says so once something is read
        return told


def beside(measure: Measure, asked: str, rule: str) -> str:
    """The words beside a field: what is asked, then the limits; what is usual where there is neither.

    The words of the tongue's share hold the limits of the catalogue already.
    """
    if asked and (not measure.limits or rule == "tongue_share"):
        return asked
    return ", ".join(filter(None, (asked, limits_said(measure))))
