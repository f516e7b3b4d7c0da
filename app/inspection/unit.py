"""What the walk-round needs to know of a unit: its places, and what its rules hold readings against."""

from decimal import Decimal

from app.ground.shop import ShopSettings
from app.inspection.places import UnitShape
from app.inspection.ruling import Policy, UnitFacts
from app.intake.tables import Unit
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, convert, read_number
from app.trade.tire_age import AgePolicy


def shape_of(unit: Unit) -> UnitShape:
    """The places of a unit, from what its plates and its owner say."""
    return UnitShape(
        kind=unit.kind,  # type: ignore[arg-type]  # one of the five, read so by intake
        axles=unit.axles,
        wheels_per_axle_side=unit.wheels_per_end,
        spare=unit.spare,
        brakes=unit.brakes,
        cylinders=unit.cylinders,
    )


def facts_of(unit: Unit) -> UnitFacts:
    """What the rules hold readings against; what was not told stays unknown and never counts as enough."""
    torque = (unit.torque_low, unit.torque_high or unit.torque_low)
    return UnitFacts(
        kind=unit.kind,
        year=unit.year,
        vin=unit.vin,
        vin_assigned=unit.vin_kind == "assigned",
        axles=unit.axles,
        wheels_per_axle_side=unit.wheels_per_end,
        gvwr_lb=_in(unit.gvwr, unit.gvwr_unit, "lb"),
        gawr_lb=tuple(_in(each, unit.gvwr_unit, "lb") for each in unit.gawr),
        placard_size=unit.tire_size,
        placard_psi=_in(unit.tire_pressure, unit.tire_pressure_unit, "psi"),
        torque_low=_number(torque[0]),
        torque_high=_number(torque[1]),
        torque_unit=unit.torque_unit,
        torque_source=unit.torque_source,
        brakes=unit.brakes,
        brakes_required=unit.brakes_required,
    )


def policy_of(settings: ShopSettings) -> Policy:
    """The shop's own limits."""
    ages = AgePolicy(settings.tire_watch_years, settings.tire_needs_years, settings.tire_dnt_years)
    return Policy(tire_ages=ages, brakes_from_lb=Decimal(settings.brakes_required_from_lb))


def _number(typed: str) -> Decimal | None:
    try:
        return read_number(typed)
    except Impossible:
        return None


def _in(typed: str, unit: str, into: str) -> Decimal | None:
    number = _number(typed)
    return None if number is None else convert(Quantity(typed, unit).value, unit, into)
