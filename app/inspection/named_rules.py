"""Rules by name, for what a limit of the catalogue cannot say: they need other facts of the unit or a figure.

Each takes a case and gives rulings; none where it has nothing to say. What is not known never counts as
enough: where a reading cannot be held against anything the ruling is unseen.
"""

from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal

from app.inspection.ruling import Case, Ruling, ruling_of
from app.trade.bearings import end_play_verdict
from app.trade.brakes import Hold, Lining, breakaway_hold, drum_diameter, lining_thickness, rotor_thickness
from app.trade.cylinders import Mark, Method, requalification_due
from app.trade.dates import Month
from app.trade.fasteners import FINE_DEVIATION, TorqueRange, torque_verdict
from app.trade.figure import COMMON_PRACTICE, SHOP_SETTING, By, Grade, Input, Source, Worked, plain
from app.trade.gas_tests import LEAK_CHECK, Timed, leak_test
from app.trade.magnets import MAGNETS, Magnet, dead_brake, magnet_current, magnet_resistance
from app.trade.magnets import Reading as Drawn
from app.trade.problems import Impossible
from app.trade.quantity import Quantity, with_unit
from app.trade.tire_age import made_apart, tire_age
from app.trade.tire_load import Fitted, capacity_against_gawr, capacity_against_weighed
from app.trade.tire_marks import most_lb
from app.trade.tire_pressure import cold_pressure, gauged
from app.trade.tire_size import TireSize, read_size
from app.trade.tire_wear import tread_spread
from app.trade.tongue import BALL_HITCH, BANDS
from app.trade.vin import check_digit, read_vin

Rule = Callable[[Case], list[Ruling]]

CHAINS_EACH = Source("SAE J684", "safety chains")
CHAINS_SUM = Source("49 CFR", "393.70(d)")
BRAKES = Source("49 CFR", "393.42; 19VAC30-70, 80")
BREAKAWAY = Source("49 CFR", "393.43; 19VAC30-70, 100(3)")
EACH_WHEEL = Source("49 CFR", "393.43(d)")
LEAVES = Source("COMAR", "11.14.05.03(2)(a) to (c)")
LOWER_LEAF = Source("49 CFR", "570.61(a)")
GUARD = Source("Maryland Transportation", "22-411")
RATING = Source("15 NYCRR", "57.4(b)(3)")
IDENTITY = Source("67 Pa. Code", "175.130(a)(1)")

DESIGN_FACTOR = {"30": Decimal(4), "43": Decimal(3), "70": Decimal(4)}  # breaking by working load: 393.108
LEAST_FACTOR = Decimal(3)
LAW = (Grade.DNT,)  # the lighter grades of these figures are common practice
FEW_LEAVES = 4
GUARD_FROM_LB, GUARD_HIGH_IN, GUARD_SHORT_IN = Decimal(3000), Decimal(30), Decimal(18)
CORNERS_IN = Decimal(1)  # between left and right of one end, common practice
MILD_F = Decimal(68)  # only the change of warmth is read
SHORTEST_HOLD = Quantity(plain(LEAK_CHECK.least_minutes), "min")
SPREAD_32NDS = Decimal(3)  # of the tread across a tire, common practice


def unseen(says: str) -> list[Ruling]:
    """The ruling that something cannot be told."""
    return [Ruling(Grade.UNSEEN, says)]


def _needs(by: By, says: str, source: Source = COMMON_PRACTICE, *, law: bool = False) -> list[Ruling]:
    return [Ruling(Grade.NEEDS, says, source, by, law=law)]


def _dnt(says: str, source: Source = COMMON_PRACTICE, *, law: bool = False) -> list[Ruling]:
    return [Ruling(Grade.DNT, says, source, law=law)]


def _dead(says: str, source: Source, case: Case) -> list[Ruling]:
    verdict = dead_brake(says, required=case.brakes_required)
    return [Ruling(verdict.grade, verdict.says, source, verdict.by, law=case.brakes_required)]


def _lb(weight: Decimal) -> str:
    return with_unit(plain(weight), "lb")


# Papers


def vin(case: Case) -> list[Ruling]:
    """The number on the plate: its check digit, and whether papers and book say the same."""
    plate = case.text("vin")
    if not plate:
        return []
    others = [("papers", case.text("papers")), ("book", case.facts.vin)]
    differing = [name for name, other in others if other and _packed(other) != _packed(plate)]
    if differing:
        return _needs(By.TOWING, f"plate and {' and '.join(differing)} differ", IDENTITY)
    return _number_itself(case, plate)


def _packed(number: str) -> str:
    return "".join(char for char in number.upper() if char.isalnum())


def _number_itself(case: Case, plate: str) -> list[Ruling]:
    try:
        found = read_vin(plate, case.day, made=case.facts.year, assigned=case.facts.vin_assigned)
    except Impossible as wrong:
        return _needs(By.SOON, f"{wrong.says}: read the plate again")
    return ruling_of(check_digit(found.number)) if found.maker else []


# The coupling


def ball_size(case: Case) -> list[Ruling]:
    """Coupler and ball have the same size stamped in them."""
    coupler, ball = case.text("coupler"), case.text("ball")
    if not coupler or not ball or coupler == ball:
        return []
    return _dnt(f"coupler {coupler}, ball {ball}")


def coupler_rating(case: Case) -> list[Ruling]:
    """The coupler carries at least the trailer's GVWR."""
    return _carries(case, "coupler", case.facts.gvwr_lb, RATING)


def ball_rating(case: Case) -> list[Ruling]:
    """The ball carries at least the trailer's weight on the scale, or its GVWR where not weighed."""
    return _carries(case, "ball", case.facts.gross_lb or case.facts.gvwr_lb, COMMON_PRACTICE)


def _carries(case: Case, what: str, asked: Decimal | None, source: Source) -> list[Ruling]:
    rating = case.number("rating", "lb")
    if rating is None:
        return []
    if asked is None:
        return unseen(f"no weight known to hold the {what}'s {_lb(rating)} against")
    if rating < asked:
        return _dnt(f"{what} carries {_lb(rating)}, the trailer {_lb(asked)}: not towed loaded", source)
    return []


def chains(case: Case) -> list[Ruling]:
    """Breaking strength of the chains against GVWR: both together at least that, each one too."""
    if case.text("count") in ("none", ""):
        return []
    worked = _chain_strength(case)
    if worked is None:
        return unseen("strength of the chains not known")
    if case.facts.gvwr_lb is None:
        return unseen("no GVWR known to hold the chains against")
    return [_chain_ruling(worked, case.facts.gvwr_lb, 1 if case.text("count") == "one" else 2)]


def _chain_strength(case: Case) -> Worked[Decimal] | None:
    typed, strength = case.quantity("strength"), case.number("strength", "lb")
    if typed is None or strength is None:
        return None
    working = case.text("meaning") != "breaking strength"
    factor = DESIGN_FACTOR.get(case.text("grade"), LEAST_FACTOR) if working else Decimal(1)
    return Worked(
        name="chain strength",
        value=strength * factor,
        says=_lb(strength * factor),
        formula="strength of the weakest part, a working load limit times the design factor of its grade",
        inputs=(
            Input("weakest part", f"{typed}, {case.text('meaning') or 'taken as working load'}"),
            Input("design factor", str(factor)),
        ),
        source=CHAINS_EACH,
        unit="lb",
        caution="A breaking strength typed as a working load reads three to four times too strong.",
    )


def _chain_ruling(worked: Worked[Decimal], gvwr: Decimal, count: int) -> Ruling:
    each, shown = worked.value, replace(worked, limit=f"at least the GVWR of {_lb(gvwr)}, each")
    if each * count < gvwr:
        says = f"chains break at {_lb(each * count)} together, the GVWR is {_lb(gvwr)}"
        return Ruling(Grade.DNT, says, CHAINS_SUM, law=True, worked=shown)
    if each < gvwr:
        says = f"only together they reach the GVWR of {_lb(gvwr)}: local law decides"
        return Ruling(Grade.NEEDS, says, CHAINS_EACH, By.TOWING, worked=shown)
    return Ruling(Grade.SOUND, f"each breaks at {_lb(each)}", CHAINS_EACH, worked=shown)


def breakaway_fitted(case: Case) -> list[Ruling]:
    """A breakaway is there where the law asks for one."""
    if case.text("there") != "no" or not breakaway_asked(case):
        return []
    return _dnt("no breakaway, and the law asks for one", BREAKAWAY, law=True)


def breakaway_asked(case: Case) -> bool:
    """Whether the law asks for a breakaway; not known counts as the brakes say."""
    facts = case.facts
    if facts.breakaway_required is not None:
        return facts.breakaway_required
    if facts.gvwr_lb is not None:
        return facts.gvwr_lb >= case.policy.breakaway_from_lb
    return facts.brakes != "none"


def breakaway_wheels(case: Case) -> list[Ruling]:
    """Every braked wheel holds when the pin is pulled."""
    held, braked = case.number("held"), case.number("braked")
    if held is None or braked is None or held >= braked:
        return []
    return _dead(f"{plain(braked - held)} of {plain(braked)} braked wheels free", EACH_WHEEL, case)


def breakaway_battery(case: Case) -> list[Ruling]:
    """The battery holds every braked wheel for a quarter of an hour; and how old it is."""
    return _hold(case) + _battery_age(case)


def _hold(case: Case) -> list[Ruling]:
    minutes, end = case.quantity("minutes"), case.quantity("end")
    held, braked = case.number("held"), case.number("braked")
    if minutes is None or end is None or held is None or braked is None:
        return []
    test = Hold(minutes, end, int(held), int(braked))
    return ruling_of(breakaway_hold(test, required=case.brakes_required), law=LAW)


def _battery_age(case: Case) -> list[Ruling]:
    made, years = case.month("made"), case.policy.breakaway_battery_years
    if made is None or made.months_to(Month.of(case.day)) <= years * 12:
        return []
    return _needs(By.SOON, f"battery made {made}, over {years} years old", SHOP_SETTING)


# Frame and suspension


def rear_guard(case: Case) -> list[Ruling]:
    """Rear frame or guard of a trailer of 3,000 lb and over, where the state wants one."""
    if case.facts.gvwr_lb is not None and case.facts.gvwr_lb < GUARD_FROM_LB:
        return []
    found: list[Ruling] = []
    if (case.number("height") or 0) > GUARD_HIGH_IN:
        found += _needs(By.TOWING, "over 30 in above the road", GUARD, law=True)
    if (case.number("inside") or 0) > GUARD_SHORT_IN:
        found += _needs(By.TOWING, "ends over 18 in inside the widest part", GUARD, law=True)
    return found


def corner_heights(case: Case) -> list[Ruling]:
    """Left and right stand within an inch of each other, front and rear."""
    found: list[Ruling] = []
    for end in ("front", "rear"):
        left, right = case.number(f"left_{end}"), case.number(f"right_{end}")
        if left is not None and right is not None and abs(left - right) > CORNERS_IN:
            found += _needs(By.SOON, f"{end} corners {abs(left - right):f} in apart, over 1 in")
    return found


def leaves(case: Case) -> list[Ruling]:
    """Broken leaves: one of four or fewer, or two of more, is not towed; one of five or more is lighter."""
    broken = case.number("broken") or Decimal(0)
    if not broken:
        return []
    fitted = case.number("leaves")
    if broken >= 2 or fitted is None or fitted <= FEW_LEAVES:
        of = "" if fitted is None else f" of {plain(fitted)}"
        return _dnt(f"{plain(broken)}{of} leaves broken", LEAVES, law=True)
    return _needs(By.TOWING, f"one of {plain(fitted)} leaves broken", LOWER_LEAF)


# Wheels and tires


def nut_torque(case: Case) -> list[Ruling]:
    """Least and most nut of a wheel against the figure of its maker."""
    least = case.quantity("least")
    if least is None:
        return []
    figure = torque_figure(case)
    if figure is None:
        return unseen("no torque figure for this wheel: ask its maker or read the placard")
    ends = [case.number(key, figure.unit) for key in ("least", "most")]
    read = [each for each in ends if each is not None]
    deviation = case.facts.wrench_deviation or FINE_DEVIATION
    worked = torque_verdict(dict(enumerate(read, 1)), len(read), figure, deviation)
    return ruling_of(_without_numbers(case, worked, figure), law=LAW)


def torque_figure(case: Case) -> TorqueRange | None:
    """The nut torque of the wheel's or axle's maker; None where the book has none."""
    low, high = case.facts.torque_low, case.facts.torque_high
    if low is None and high is None:
        return None
    return TorqueRange(low or high or Decimal(0), high or low or Decimal(0), case.facts.torque_unit)


_TORQUE_SAYS = {
    Grade.DNT: "under {0}: tighten before the wheel turns",
    Grade.NEEDS: "over {0}: slacken and tighten anew",
    Grade.WATCH: "so near an end of {0} that the wrench cannot tell which side of it",
    Grade.SOUND: "inside {0}",
}


def _without_numbers(case: Case, worked: Worked[object], figure: TorqueRange) -> Worked[object]:
    """The figure of least and most nut, which are not nuts 1 and 2."""
    if worked.verdict is None:
        return worked
    ends = [(key, case.quantity(key)) for key in ("least", "most")]
    read = tuple(Input(f"{key} nut", str(found)) for key, found in ends if found)
    says = _TORQUE_SAYS[worked.verdict.grade].format(figure)
    source = case.facts.torque_source
    inputs = (*read, Input("figure", f"{figure}, {source}" if source else str(figure)))
    found = " to ".join(each.says for each in read)
    return replace(worked, says=found, inputs=inputs, verdict=replace(worked.verdict, says=says))


def wheel_rating(case: Case) -> list[Ruling]:
    """A wheel carries at least its share of the axle's rating."""
    rating, gawr = case.number("rating", "lb"), case.facts.gawr(case.axle)
    if rating is None or case.axle is None:
        return []
    if gawr is None:
        return unseen("axle rating not known")
    share = gawr / case.tires_on_axle
    if rating < share:
        return _dnt(f"wheel carries {_lb(rating)}, its share of the GAWR is {_lb(share)}")
    return []


def tire_age_rule(case: Case) -> list[Ruling]:
    """Age of a tire by its date code, against the shop's ages."""
    code = case.code("code")
    return ruling_of(tire_age(code, case.day, case.policy.tire_ages)) if code else []


def made_apart_rule(case: Case) -> list[Ruling]:
    """Tires of an axle made within the shop's number of years.

    Their codes are read at each tire; a walk that began with an older catalogue may have asked them here.
    """
    here = tuple(code for code in (case.code("left"), case.code("right")) if code)
    codes = case.axle_codes or here
    return ruling_of(made_apart(codes, case.policy.tires_apart_years)) if len(codes) > 1 else []


def tire_load(case: Case) -> list[Ruling]:
    """What the tires of an axle carry, against its GAWR and against its load on the scale."""
    load = case.number("load", "lb")
    if load is None:
        return []
    tire = Fitted(load, case.text("passenger") == "yes")
    rated = case.facts.gawr(case.axle) is not None
    unrated = [] if rated else unseen("axle rating not known")
    return unrated + _carried_with(case, tire, case.number("heavier", "lb"))


def _carried_with(case: Case, tire: Fitted, heavier: Decimal | None = None) -> list[Ruling]:
    """What the axle carries with such a tire at each place, against its GAWR and its load where known."""
    tires = [tire] * case.tires_on_axle
    gawr, weighed = case.facts.gawr(case.axle), case.facts.axle_load(case.axle)
    found: list[Ruling] = []
    if gawr is not None:
        found += ruling_of(capacity_against_gawr(tires, gawr), law=LAW)
    if weighed is not None:
        found += ruling_of(capacity_against_weighed(tires, weighed, heavier), law=LAW)
    return found


def tire_marks(case: Case) -> list[Ruling]:
    """A tire whose marked load index is too weak for its axle, with the figure of `tire_load`.

    Nothing without an index in the marking, and nothing where the axle's rating is not known: that is graded
    where the rating is read. How much is left over is said once for the axle, not at each of its tires.
    """
    marked = _marked(case.text("size"))
    index = _index(case, marked) if marked else None
    if marked is None or index is None:
        return []
    found = _carried_with(case, Fitted(most_lb(index), marked.passenger))
    return [_by_index(ruling, index) for ruling in found if ruling.grade is Grade.DNT]


def _marked(text: str) -> TireSize | None:
    """The size in a marking; None where the text is in words of its own."""
    try:
        return read_size(text)
    except Impossible:
        return None


def _index(case: Case, marked: TireSize) -> int | None:
    """The load index that counts where the tire runs; None where none is marked."""
    duals = case.facts.wheels_per_axle_side > 1
    return marked.dual_index if duals and marked.dual_index is not None else marked.index


def _by_index(ruling: Ruling, index: int) -> Ruling:
    return replace(ruling, says=f"load index {index}: {ruling.says}")


def tire_pressure(case: Case) -> list[Ruling]:
    """Cold pressure against the placard, and against what wheel, valve and wall allow where that was read."""
    cold, most = case.number("cold", "psi"), case.number("most", "psi")
    placard = case.facts.placard_psi
    if cold is None:
        return []
    if placard is None:
        return unseen("placard pressure not known")
    if most is None:
        return ruling_of(_placard_only(cold, placard))
    if gauged(most) < gauged(placard):
        says = f"wheel, valve or wall allow {plain(most)} psi, the placard asks {plain(placard)}"
        return _needs(By.TOWING, says)
    return ruling_of(cold_pressure(cold, placard, most))


def _placard_only(cold: Decimal, placard: Decimal) -> Worked[Decimal]:
    worked = cold_pressure(cold, placard, max(cold, placard))
    return replace(worked, inputs=worked.inputs[:1], limit=f"at least {with_unit(plain(placard), 'psi')}")


def valve_class(case: Case) -> list[Ruling]:
    """The valve bears at least the placard's pressure."""
    bears, placard = case.number("class", "psi"), case.facts.placard_psi
    if bears is None or placard is None or gauged(bears) >= gauged(placard):
        return []
    return _needs(By.TOWING, f"valve for {plain(bears)} psi, the placard asks {plain(placard)}")


def tread_spread_rule(case: Case) -> list[Ruling]:
    """Tread across a tire: more than 3/32 in apart sends the eye to the axle."""
    read = [found for key in ("inner", "middle", "outer") if (found := case.quantity(key))]
    return ruling_of(tread_spread(read, SPREAD_32NDS)) if len(read) > 1 else []


# Hubs and brakes


def hub_service(case: Case) -> list[Ruling]:
    """Last bearing service by months and miles; not known counts as overdue."""
    last, miles = case.month("last"), case.number("miles", "mi")
    if last is None:
        by = By.TOWING if case.facts.kind == "boat" else By.SOON
        return _needs(by, "last bearing service not known: no long tow before it is done", SHOP_SETTING)
    policy, months = case.policy, last.months_to(Month.of(case.day))
    if months > policy.hub_months:
        return _needs(By.SOON, f"serviced {last}, over {policy.hub_months} months ago", SHOP_SETTING)
    if miles is not None and miles > policy.hub_miles:
        return _needs(By.SOON, f"over {plain(policy.hub_miles)} miles since the service", SHOP_SETTING)
    return [Ruling(Grade.SOUND, f"serviced {last}", SHOP_SETTING)]


def end_play(case: Case) -> list[Ruling]:
    """End play of a hub against the band for light trailers."""
    play = case.quantity("play")
    return ruling_of(end_play_verdict(play)) if play else []


def brakes_needed(case: Case) -> list[Ruling]:
    """Brakes are there, and on the wheels that the state asks for."""
    braked = case.number("braked")
    if braked is None:
        return []
    if braked and case.facts.brakes == "none":
        return unseen("the book says no brakes: put it right there, then look at these too")
    asked = brakes_asked(case)
    if asked is None:
        return unseen("GVWR not known: cannot tell whether brakes are required")
    if asked and not braked:
        return _dnt("brakes are required and there are none", BRAKES, law=True)
    wheels = 2 * (case.facts.axles or 0)
    if asked and case.policy.brakes_on_all_wheels and braked < wheels:
        return _dnt(f"brakes on {plain(braked)} of {wheels} wheels, all are required", BRAKES, law=True)
    return []


def brakes_asked(case: Case) -> bool | None:
    """Whether the law asks for brakes; None where neither book nor GVWR tells."""
    if case.facts.brakes_required is not None or case.facts.gvwr_lb is None:
        return case.facts.brakes_required
    return case.facts.gvwr_lb >= case.policy.brakes_from_lb


def lining(case: Case) -> list[Ruling]:
    """Lining left on the shoe, by how it is held."""
    thinnest, held = case.quantity("thinnest"), case.text("held")
    if thinnest is None or not held:
        return []
    return ruling_of(lining_thickness(thinnest, Lining(held), commercial=case.facts.commercial), law=LAW)


def drum(case: Case) -> list[Ruling]:
    """Largest of two drum diameters against the maximum cast in it."""
    read = [found for key in ("first", "second") if (found := case.quantity(key))]
    return ruling_of(drum_diameter(read, case.quantity("maximum")), law=LAW) if len(read) == 2 else []


def rotor(case: Case) -> list[Ruling]:
    """Rotor thickness against the minimum marked on it."""
    thick = case.quantity("rotor")
    return ruling_of(rotor_thickness(thick, case.quantity("minimum")), law=LAW) if thick else []


def magnet_of(case: Case) -> Magnet:
    """The magnet for the drum that was chosen or is in the book; 10 in where neither says."""
    return MAGNETS[case.text("size") or case.facts.magnet_size or "10"]


def magnet_ohms(case: Case) -> list[Ruling]:
    """Resistance of one magnet, cold."""
    ohms = case.quantity("ohms")
    if ohms is None:
        return []
    return ruling_of(magnet_resistance(magnet_of(case), [ohms], required=case.brakes_required))


def magnet_current_rule(case: Case) -> list[Ruling]:
    """Current of all magnets on a feed at the voltage read there."""
    amps, volts, count = case.quantity("amps"), case.quantity("volts"), case.number("count")
    if amps is None:
        return []
    if volts is None or count is None:
        return unseen("a current needs the voltage and the number of magnets beside it")
    drawn = Drawn(magnet_of(case), int(count), volts, amps)
    return ruling_of(magnet_current(drawn, required=case.brakes_required))


# Gas and load


_METHODS = {"S": Method.PROOF, "E": Method.VISUAL}


def cylinder_date(case: Case) -> list[Ruling]:
    """When a cylinder falls due, by its make date and latest mark."""
    made, tested = case.month("made"), case.month("tested")
    if made is None:
        return []
    marks = [Mark(made, Method.MADE)]
    if tested is not None:
        marks.append(Mark(tested, _METHODS.get(case.text("method"), Method.EXPANSION)))
    return ruling_of(
        requalification_due(marks, case.day, case.facts.cylinder_specification), law=(Grade.NEEDS,)
    )


def gas_hold(case: Case) -> list[Ruling]:
    """What the two pressures of the leak test say, whatever is said of them; as long and as warm as was read.

    Where nothing is said of the warmth it is taken as steady, and the time as just enough: a fall is a fall.
    """
    start, end = case.quantity("start"), case.quantity("end")
    if start is None or end is None:
        return []
    minutes = case.quantity("time") or SHORTEST_HOLD
    warmed = Quantity(plain(MILD_F + (case.number("warmer", "degF") or 0)), "degF")
    return ruling_of(leak_test(Timed(start, end, minutes, Quantity(plain(MILD_F), "degF"), warmed)))


def tongue_share_rule(case: Case) -> list[Ruling]:
    """Share of the trailer's weight on the ball, by the bands of its kind."""
    share = case.number("share")
    if share is None:
        return []
    bands = BANDS.get(case.facts.kind, BALL_HITCH)
    if share < bands.hold:
        return _dnt(f"under {bands.hold} % on the ball: tail-heavy, it will sway")
    if not bands.low <= share <= bands.high:
        return _needs(By.SOON, f"outside {bands.low} to {bands.high} % on the ball")
    return []


RULES: dict[str, Rule] = {
    "vin": vin,
    "ball_size": ball_size,
    "coupler_rating": coupler_rating,
    "ball_rating": ball_rating,
    "chains": chains,
    "breakaway_fitted": breakaway_fitted,
    "breakaway_wheels": breakaway_wheels,
    "breakaway_battery": breakaway_battery,
    "rear_guard": rear_guard,
    "corner_heights": corner_heights,
    "leaves": leaves,
    "nut_torque": nut_torque,
    "wheel_rating": wheel_rating,
    "tire_age": tire_age_rule,
    "made_apart": made_apart_rule,
    "tire_load": tire_load,
    "tire_marks": tire_marks,
    "tire_pressure": tire_pressure,
    "valve_class": valve_class,
    "tread_spread": tread_spread_rule,
    "hub_service": hub_service,
    "end_play": end_play,
    "brakes_needed": brakes_needed,
    "lining": lining,
    "drum": drum,
    "rotor": rotor,
    "magnet_ohms": magnet_ohms,
    "magnet_current": magnet_current_rule,
    "cylinder_date": cylinder_date,
    "gas_hold": gas_hold,
    "tongue_share": tongue_share_rule,
    "if_brakes_required": lambda _: [],  # eases what is seen: see rules.judge
}
CAN_BE_DNT = frozenset(
    {"ball_size", "coupler_rating", "ball_rating", "chains", "breakaway_fitted", "breakaway_wheels"}
    | {"breakaway_battery", "leaves", "nut_torque", "wheel_rating", "tire_age", "tire_load", "end_play"}
    | {"tire_marks", "brakes_needed", "lining", "drum", "rotor", "magnet_ohms", "magnet_current"}
    | {"tongue_share"}
)
EASES_WHERE_NOT_REQUIRED = "if_brakes_required"


def rulings_of(case: Case) -> list[Ruling]:
    """What the named rule of a check rules; none where it names none. KeyError for a name that is not ours.

    A reading that the figure cannot take leaves the place unseen, with the figure's own words.
    """
    if not case.check.rule:
        return []
    try:
        return RULES[case.check.rule](case)
    except Impossible as wrong:
        return unseen(wrong.says)
