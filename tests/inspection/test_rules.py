"""What readings and sights come to: every limit at its boundary, with the law or practice that sets it."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.inspection.catalogue import Catalogue, Check, Limit, read_catalogue
from app.inspection.named_rules import RULES
from app.inspection.rules import (
    ABSENT,
    Choice,
    Judgement,
    Policy,
    UnitFacts,
    judge,
    must_see,
    read_readings,
    settle,
)
from app.trade.figure import COMMON_PRACTICE, By, Grade, Source
from app.trade.problems import Refused
from app.trade.tire_age import AgePolicy

SEED = Path(__file__).parents[2] / "seed_data" / "catalogue"
CATALOGUE = read_catalogue(SEED)
DAY = date(2026, 5, 4)

D = "dnt"
B = "needs towing"
U = "needs use"
N = "needs soon"
W = "watch"
S = "sound"
X = "unseen"

TRAVEL = UnitFacts(
    kind="travel",
    year=2014,
    axles=2,
    gvwr_lb=Decimal(6000),
    gawr_lb=(Decimal(3500), Decimal(3500)),
    placard_psi=Decimal(50),
    torque_low=Decimal(100),
    torque_high=Decimal(120),
    torque_unit="lbf_ft",
    brakes="electric",
    brakes_required=True,
)


def everything(check: Check, typed: Mapping[str, str]) -> dict[str, str]:
    return {key if key.startswith("unit-") else f"reading-{key}": text for key, text in typed.items()}


def judged(
    key: str,
    typed: Mapping[str, str] | None = None,
    seen: tuple[str, ...] = (),
    facts: UnitFacts = TRAVEL,
    place: str = "unit",
    policy: Policy | None = None,
) -> Judgement:
    check = CATALOGUE.check(key)
    fields = everything(check, typed or {})
    readings = read_readings(check, fields, set(fields), DAY)
    return judge(check, readings, seen, facts, DAY, policy, place)


def code(judgement: Judgement) -> str:
    return str(judgement.grade) if judgement.by is None else f"{judgement.grade} {judgement.by}"


@pytest.mark.parametrize(
    ("key", "typed", "grade"),
    [
        # 49 CFR 570.62(a), 393.75(c): not less than 2/32 in; 4 and 5 are common practice
        ("ti.tread", {"least": "1.9"}, D),
        ("ti.tread", {"least": "2"}, N),
        ("ti.tread", {"least": "3.99"}, N),
        ("ti.tread", {"least": "4"}, W),
        ("ti.tread", {"least": "4.9"}, W),
        ("ti.tread", {"least": "5"}, S),
        ("ti.tread", {"least": "1.5875", "unit-least": "mm"}, N),  # 1/16 in is 1.5875 mm exactly: lawful
        ("ti.tread", {"least": "1.58", "unit-least": "mm"}, D),
        # common practice: 1/32 in deep
        ("ti.crack", {"deep": "1"}, S),
        ("ti.crack", {"deep": "1.1"}, B),
        # shop ages 4, 6, 10 complete years, common practice; week 1 by 49 CFR 574.5(b)
        ("ti.age", {"code": "1822"}, W),  # from 1 May 2022: 4 years on 4 May 2026
        ("ti.age", {"code": "1922"}, S),  # from 8 May 2022: 4 years on 8 May 2026
        ("ti.age", {"code": "2319"}, N),  # from 9 June 2019: 6 years
        ("ti.age", {"code": "1716"}, D),  # from 24 April 2016: 10 years
        ("ti.age", {"code": "439"}, D),  # three digits: before July 2000
        ("ti.age", {}, X),
        # placard 50 psi; 80 % and 3 psi are common practice
        ("ti.psi", {"cold": "39.9"}, B),
        ("ti.psi", {"cold": "40"}, B),  # more than 3 psi under the placard
        ("ti.psi", {"cold": "47"}, S),
        ("ti.psi", {"cold": "50"}, S),
        ("ti.psi", {"cold": "52", "most": "50"}, B),  # over what valve, wheel or wall allow
        ("ti.psi", {"cold": "50", "most": "45"}, B),
        ("ti.psi", {"cold": "345", "unit-cold": "kPa"}, S),  # 345 kPa is 50.04 psi (6.894757 kPa a psi)
        ("ti.valve", {"class": "49"}, B),
        ("ti.valve", {"class": "50"}, S),
        # common practice: over 3/32 in across
        ("ti.wear", {"inner": "8", "outer": "5"}, S),
        ("ti.wear", {"inner": "8", "outer": "4.9"}, N),
        ("ti.wear", {"inner": "8"}, S),
        # 49 CFR 570.10(c): nuts and studs in place
        ("wh.studs", {"broken": "1"}, D),
        ("wh.studs", {"broken": "0"}, S),
        ("wh.nuts", {"loose": "1"}, D),
        # 49 CFR 570.10(b): 1/8 in at the bead; 0.045 and 0.060 in are common practice
        ("wh.runout", {"bead": "0.126"}, B),
        ("wh.runout", {"bead": "1/8"}, N),
        ("wh.runout", {"bead": "0.045"}, S),
        ("wh.runout", {"bead": "0.02", "tread": "0.061"}, N),
        ("wh.clear", {"gap": "0.74"}, N),  # common practice: 3/4 in
        ("wh.clear", {"gap": "3/4"}, S),
        # maker's figure 100 to 120 lbf·ft
        ("wh.torque", {"least": "99"}, D),
        ("wh.torque", {"least": "110"}, S),
        ("wh.torque", {"least": "110", "most": "126"}, B),  # over 120 by more than 4 % (ISO 6789-1)
        ("wh.torque", {"least": "100"}, W),  # the wrench's 4 % reach under 100
        ("wh.torque", {"least": "150", "unit-least": "N_m"}, S),  # 110.6 lbf·ft (1.355818 N·m a lbf·ft)
        # common practice for light trailers: 0.001 to 0.010 in, 0.030 in stops
        ("hb.endplay", {"play": "0.0009"}, B),
        ("hb.endplay", {"play": "0.001"}, S),
        ("hb.endplay", {"play": "0.010"}, S),
        ("hb.endplay", {"play": "0.011"}, B),
        ("hb.endplay", {"play": "0.030"}, B),
        ("hb.endplay", {"play": "0.031"}, D),
        ("hb.endplay", {"play": "0.1", "unit-play": "mm"}, S),  # 0.0039 in
        # 12 months or 12,000 miles: common practice
        ("hb.service", {"last": "05-25"}, S),
        ("hb.service", {"last": "04-25"}, N),
        ("hb.service", {"last": "05-25", "miles": "12000"}, S),
        ("hb.service", {"last": "05-25", "miles": "12001"}, N),
        ("hb.service", {}, N),
        # 49 CFR 570.59(c): 1/16 in bonded, 1/32 in over a rivet; 3/32 and 4/32 are common practice
        ("br.lining", {"thinnest": "1.9", "held": "bonded"}, D),
        ("br.lining", {"thinnest": "2", "held": "bonded"}, N),
        ("br.lining", {"thinnest": "0.9", "held": "riveted"}, D),
        ("br.lining", {"thinnest": "1", "held": "riveted"}, N),
        ("br.lining", {"thinnest": "3", "held": "bonded"}, W),
        ("br.lining", {"thinnest": "4", "held": "bonded"}, S),
        ("br.lining", {}, X),  # no wheel pulled
        # 49 CFR 570.59(b): not over the maximum cast in the drum
        ("br.drum", {"first": "10.09", "second": "10.091", "maximum": "10.09"}, D),
        ("br.drum", {"first": "10.05", "second": "10.05", "maximum": "10.09"}, S),
        ("br.drum", {"first": "10.05", "second": "10.05"}, X),  # no figure, no verdict
        ("br.drum_state", {"score": "0.015"}, S),  # common practice
        ("br.drum_state", {"score": "0.016"}, N),
        ("br.pad", {"pad": "1.9"}, D),  # 49 CFR 570.59: 1/16 in
        ("br.pad", {"pad": "2"}, N),
        ("br.pad", {"pad": "4"}, S),  # the shop's 1/8 in
        ("br.pad", {"pad": "4", "rotor": "0.99", "minimum": "1"}, D),
        ("br.pad", {"pad": "4", "rotor": "1", "minimum": "1"}, S),
        ("br.pad", {"pad": "4", "rotor": "1"}, X),
        ("br.magnet", {"ohms": "3.3"}, S),  # 3.2 to 3.5 ohm, a tenth either way: common practice
        ("br.magnet", {"ohms": "1"}, D),  # shorted
        ("br.magnet", {"ohms": "500"}, B),
        ("br.amps", {"amps": "14.4", "volts": "12", "count": "4", "size": "10"}, S),  # 4 x 12 / 3.35 = 14.3 A
        ("br.amps", {"amps": "10.8", "volts": "12", "count": "4", "size": "10"}, D),  # what three draw
        ("br.amps", {"amps": "10"}, X),
        ("br.fluid", {"water": "3"}, S),  # common practice
        ("br.fluid", {"water": "3.1"}, N),
        ("br.need", {"braked": "4"}, S),  # 49 CFR 393.42: all wheels
        ("br.need", {"braked": "2"}, D),
        ("br.need", {"braked": "0"}, D),
        # 49 CFR 393.43(d): a quarter of an hour, every braked wheel; 12.4 and 10.5 V are common practice
        ("bk.works", {"held": "4", "braked": "4"}, S),
        ("bk.works", {"held": "3", "braked": "4"}, D),
        ("bk.battery", {"rested": "12.6", "minutes": "15", "end": "11", "held": "4", "braked": "4"}, S),
        ("bk.battery", {"rested": "12.6", "minutes": "14.9", "end": "11", "held": "4", "braked": "4"}, D),
        ("bk.battery", {"rested": "12.6", "minutes": "15", "end": "10.4", "held": "4", "braked": "4"}, D),
        ("bk.battery", {"rested": "12.6", "minutes": "15", "end": "11", "held": "3", "braked": "4"}, D),
        ("bk.battery", {"rested": "12.39", "minutes": "15", "end": "11", "held": "4", "braked": "4"}, N),
        ("bk.fitted", {"there": "no"}, D),
        ("bk.fitted", {"there": "yes"}, S),
        # SAE J684 and 49 CFR 393.70(d): GVWR 6,000 lb; grade 30 breaks at 4 times its working load (393.108)
        ("cp.chains", {"count": "none"}, D),  # 19VAC30-70-120(10)
        ("cp.chains", {"count": "one", "strength": "7600", "meaning": "breaking strength"}, B),
        ("cp.chains", {"count": "two", "strength": "1300", "meaning": "working load", "grade": "30"}, B),
        ("cp.chains", {"count": "two", "strength": "1900", "meaning": "working load", "grade": "30"}, S),
        ("cp.chains", {"count": "two", "strength": "2999", "meaning": "breaking strength"}, D),
        ("cp.chains", {"count": "two", "strength": "3000", "meaning": "breaking strength"}, B),
        ("cp.chains", {"count": "two", "strength": "6000", "meaning": "breaking strength"}, S),
        ("cp.chains", {"count": "two"}, X),
        ("cp.chain_state", {"worn": "20"}, S),  # common practice: 19VAC30-70-120(4) says worn
        ("cp.chain_state", {"worn": "21"}, D),
        ("cp.size", {"coupler": "2 in", "ball": "2 in"}, S),
        ("cp.size", {"coupler": "2 in", "ball": "1 7/8 in"}, D),
        ("cp.size", {"coupler": "2 in"}, S),
        ("cp.rating", {"rating": "5999"}, D),
        ("cp.rating", {"rating": "6000"}, S),
        ("cp.ball", {"worn": "0.03"}, S),  # common practice: 1/32 in under
        ("cp.ball", {"worn": "1/32"}, D),
        ("cp.ball", {"rating": "5000"}, D),
        ("cp.lift", {"gap": "1/16"}, S),  # common practice
        ("cp.lift", {"gap": "0.07"}, N),
        ("cp.mount", {"rock": "0.26"}, N),
        ("cp.slack", {"gap": "0"}, B),
        ("cp.slack", {"gap": "2.9"}, N),
        ("cp.slack", {"gap": "3"}, S),
        ("fr.rails", {"bow": "0.5"}, S),  # common practice: 1/2 in in 10 ft
        ("fr.rails", {"bow": "0.51"}, N),
        ("fr.rust", {"lost": "9.9"}, S),  # common practice: 10 and 25 %
        ("fr.rust", {"lost": "10"}, N),
        ("fr.rust", {"lost": "25"}, N),
        ("fr.rust", {"lost": "25.1"}, B),
        ("fr.guard", {"height": "30"}, S),  # Maryland Transportation 22-411: 30 in, 18 in
        ("fr.guard", {"height": "30.1"}, B),
        ("fr.guard", {"inside": "18.1"}, B),
        ("su.height", {"left_front": "20", "right_front": "21"}, S),
        ("su.height", {"left_rear": "20", "right_rear": "21.1"}, N),
        # COMAR 11.14.05.03(2): any of four or fewer, two of more; 49 CFR 570.61(a) for one lower leaf of five
        ("su.leaf", {"leaves": "4", "broken": "1"}, D),
        ("su.leaf", {"leaves": "5", "broken": "1"}, B),
        ("su.leaf", {"leaves": "5", "broken": "2"}, D),
        ("su.leaf", {"leaves": "5", "broken": "0"}, S),
        ("su.leaf", {"broken": "1"}, D),
        ("su.ubolt", {"thread": "0.24"}, B),  # COMAR 11.14.05.03(2)(f): 1/4 in beyond the nut
        ("su.ubolt", {"thread": "1/4"}, S),
        ("su.hanger", {"bent": "1/8"}, S),  # common practice: 19VAC30-70-120(1) says bent, no figure
        ("su.hanger", {"bent": "0.13"}, D),
        ("su.shackle", {"slot": "1/16"}, S),  # common practice: 1/16 and 1/8 in
        ("su.shackle", {"slot": "0.07"}, N),
        ("su.shackle", {"slot": "0.13"}, B),
        ("su.torsion", {"apart": "5"}, S),
        ("su.torsion", {"apart": "5.1"}, B),
        ("su.camber", {"camber": "-1.1"}, N),
        ("su.camber", {"toe": "0.13"}, N),
        ("su.square", {"off": "1/8"}, S),
        ("su.square", {"off": "0.13"}, N),
        ("su.square", {"off": "0", "track": "3.1"}, B),  # 49 CFR 393.70(a): 3 in
        # check digit by 49 CFR 565.15(c): the regulation's own example, and the same with one digit changed
        ("id.vin", {"vin": "1G4AH59H45G118341"}, S),
        ("id.vin", {"vin": "1G4AH59H45G118331"}, W),
        ("id.vin", {"vin": "1G4AH59H45G118341", "papers": "1G4AH59H45G118342"}, B),
        ("id.vin", {"vin": "12345"}, N),
        # 49 CFR 180.209(e): 12 years from manufacture, 5 after E, 10 after S
        ("lp.date", {"made": "05-14"}, W),  # due in this very month, May 2026
        ("lp.date", {"made": "04-14"}, N),
        ("lp.date", {"made": "01-20"}, S),
        ("lp.date", {"made": "01-05", "tested": "04-21", "method": "E"}, N),
        ("lp.date", {"made": "01-05", "tested": "04-21", "method": "S"}, S),
        # common practice: under 5 % hold, usual 10 to 15 %
        ("ld.share", {"share": "4.9"}, D),
        ("ld.share", {"share": "5"}, N),
        ("ld.share", {"share": "9.9"}, N),
        ("ld.share", {"share": "10"}, S),
        ("ld.share", {"share": "15"}, S),
        ("ld.share", {"share": "15.1"}, N),
    ],
)
def test_a_reading_comes_to_its_grade(key: str, typed: dict[str, str], grade: str) -> None:
    assert code(judged(key, typed)) == grade


@pytest.mark.parametrize(
    ("load", "passenger", "grade"),
    [
        # 49 CFR 571.110 S4.2.2: the sum of both tires reaches the GAWR of 3,500 lb; 10 % over is the aim
        ("1749", "no", D),
        ("1750", "no", W),
        ("1924", "no", W),
        ("1925", "no", S),
        ("1924", "yes", D),  # a passenger tire is divided by 1.10: 2 x 1,749.1
        ("1925", "yes", W),  # 2 x 1,750
    ],
)
def test_tires_carry_the_axle(load: str, passenger: str, grade: str) -> None:
    found = judged("ti.load", {"load": load, "passenger": passenger}, place="axle-2")
    assert code(found) == grade
    assert found.worked[0].name == "tire capacity against GAWR"


def test_tires_are_held_against_the_scale_too() -> None:
    facts = UnitFacts(gawr_lb=(Decimal(2000),), axle_load_lb=(Decimal(3000),))
    found = judged("ti.load", {"load": "1400", "passenger": "no"}, facts=facts, place="axle-1")
    assert code(found) == D  # 2,800 lb of tires under 3,000 lb: 49 CFR 393.75(g)
    assert len(found.worked) == 2


def test_a_missing_axle_rating_never_counts_as_enough() -> None:
    found = judged("ti.load", {"load": "2540", "passenger": "no"}, facts=UnitFacts(), place="axle-1")
    assert code(found) == X


# Loads of the indices in kg: ISO 4000-1 (from memory); 1 kg is 2.2046 lb. The sum: 49 CFR 571.110 S4.2.2
SHORT_BY_ITS_INDEX = [
    ("ST205/75R14 C 100/96M", S),  # 800 kg, 1,764 lb: 3,527 lb for 3,500
    ("st 205/75 r14 99m", D),  # 775 kg, 1,709 lb: 3,417 lb
    ("205/75R14 102T", D),  # 850 kg, 1,874 lb, a passenger tire: 2 x 1,704 lb
    ("205/75R14 103T", S),  # 875 kg, 1,929 lb, a passenger tire: 2 x 1,754 lb
    ("ST235/85R16 143L", S),  # 2,725 kg, a heavy trailer's tire
    ("ST205/75R14", S),  # no index marked: nothing to hold it against
    ("as on the other side", S),
    ("", S),
]


@pytest.mark.parametrize(("size", "grade"), SHORT_BY_ITS_INDEX)
def test_a_marking_too_weak_for_the_axle_is_not_sound(size: str, grade: str) -> None:
    found = judged("ti.mark", {"size": size}, place="tire-1-left")
    assert code(found) == grade
    assert found.floor == ((Grade.DNT, None) if grade == D else None)
    assert [worked.name for worked in found.worked] == (["tire capacity against GAWR"] if grade == D else [])


def test_the_quick_walk_holds_the_marking_too() -> None:
    assert "quick" in CATALOGUE.check("ti.mark").depth
    found = judged("ti.mark", {"size": "ST205/75R14 99M"}, place="tire-2-right")
    assert found.reason.startswith("load index 99: the tires carry less than the GAWR")


def test_a_marking_is_held_against_the_scale_and_nothing_where_neither_is_known() -> None:
    weighed = UnitFacts(axle_load_lb=(Decimal(3500),))
    assert code(judged("ti.mark", {"size": "ST205/75R14 99M"}, facts=weighed, place="tire-1-left")) == D
    assert code(judged("ti.mark", {"size": "ST205/75R14 99M"}, facts=UnitFacts(), place="tire-1-left")) == S
    assert code(judged("ti.mark", {"size": "ST205/75R14 99M"}, place="spare")) == S  # carries no axle


def test_duals_are_held_by_their_dual_index() -> None:
    duals = UnitFacts(gawr_lb=(Decimal(10600),), wheels_per_axle_side=2)
    # 116 is 1,250 kg, 2,756 lb; 115 is 1,215 kg, 2,679 lb; four of them for 10,600 lb: 2,650 lb each
    for size, grade in (("LT235/85R16 120/115R", S), ("LT235/85R16 120/114R", D), ("LT235/85R16 114R", D)):
        assert code(judged("ti.mark", {"size": size}, facts=duals, place="tire-1-left-inner")) == grade


def test_duals_carry_with_four_tires() -> None:
    facts = UnitFacts(gawr_lb=(Decimal(7000),), wheels_per_axle_side=2)
    assert code(judged("ti.load", {"load": "1925", "passenger": "no"}, facts=facts, place="axle-1")) == S
    assert code(judged("wh.match", {"rating": "1749"}, facts=facts, place="tire-1-left-inner")) == D
    assert code(judged("wh.match", {"rating": "1750"}, facts=facts, place="tire-1-left-inner")) == S


@pytest.mark.parametrize(
    ("key", "typed", "required", "fitted_only"),
    [
        ("bk.works", {"held": "3", "braked": "4"}, D, B),  # 49 CFR 393.43(d)
        ("br.magnet", {"ohms": "1"}, D, B),
        ("br.amps", {"amps": "0", "volts": "12", "count": "4"}, D, B),
        ("bk.battery", {"rested": "12.6", "minutes": "6", "end": "11", "held": "4", "braked": "4"}, D, B),
        ("br.need", {"braked": "0"}, D, S),
    ],
)
def test_a_dead_brake_weighs_less_where_no_law_asks_for_it(
    key: str, typed: dict[str, str], required: str, fitted_only: str
) -> None:
    merely = UnitFacts(axles=2, brakes_required=False)
    assert code(judged(key, typed)) == required
    assert code(judged(key, typed, facts=UnitFacts(axles=2, gvwr_lb=Decimal(6000)))) == required
    assert code(judged(key, typed, facts=merely)) == fitted_only


@pytest.mark.parametrize(
    ("gvwr", "needed", "grade"),
    [
        ("2999", None, S),  # many states ask from 3,000 lb: 19VAC30-70-100(3)
        ("3000", None, D),
        ("2999", True, D),
        ("3000", False, S),
    ],
)
def test_a_breakaway_is_asked_for_by_weight_or_by_the_state(
    gvwr: str, needed: bool | None, grade: str
) -> None:
    facts = UnitFacts(gvwr_lb=Decimal(gvwr), breakaway_required=needed)
    assert code(judged("bk.fitted", {"there": "no"}, facts=facts)) == grade


def test_a_breakaway_is_asked_for_where_nothing_is_known_but_that_there_are_brakes() -> None:
    assert code(judged("bk.fitted", {"there": "no"}, facts=UnitFacts(brakes="electric"))) == D
    assert code(judged("bk.fitted", {"there": "no"}, facts=UnitFacts(brakes="none"))) == S


@pytest.mark.parametrize(
    ("facts", "grade"),
    [
        (UnitFacts(axles=1, gvwr_lb=Decimal(2999)), S),
        (UnitFacts(axles=1, gvwr_lb=Decimal(3000)), D),
        (UnitFacts(axles=1), X),
    ],
)
def test_brakes_are_required_from_the_weight_of_the_state(facts: UnitFacts, grade: str) -> None:
    assert code(judged("br.need", {"braked": "0"}, facts=facts)) == grade


def test_a_battery_over_four_years_old_is_replaced_soon() -> None:
    good = {"rested": "12.6", "minutes": "15", "end": "11", "held": "4", "braked": "4"}
    assert code(judged("bk.battery", {**good, "made": "05-22"})) == S  # common practice: 4 years
    assert code(judged("bk.battery", {**good, "made": "04-22"})) == N


def test_a_boat_is_judged_by_its_own_bands() -> None:
    boat = UnitFacts(kind="boat")
    assert code(judged("ld.share", {"share": "4"}, facts=boat)) == N  # common practice: 4, 5, 15 %
    assert code(judged("ld.share", {"share": "5"}, facts=boat)) == S
    assert code(judged("ld.share", {"share": "3.9"}, facts=boat)) == D
    assert code(judged("hb.service", {}, facts=boat)) == B


def test_every_trailer_but_a_boat_is_not_towed_under_5_percent() -> None:
    # Common practice: the limit in the catalogue is the least of all kinds, a boat's; the bands decide
    for kind in ("travel", "tent", "cargo", "utility"):
        for share in ("3.9", "4", "4.9"):
            found = judged("ld.share", {"share": share}, facts=UnitFacts(kind=kind))
            assert code(found) == D, (kind, share)
    (lowest, _) = next(each for each in CATALOGUE.checks if each.key == "ld.share").measures[0].limits
    assert (lowest.under, lowest.says.endswith("the least of a boat; other trailers 5")) == (4, True)


def test_a_guard_is_not_asked_of_a_light_trailer() -> None:
    light = UnitFacts(gvwr_lb=Decimal(2999))  # Maryland Transportation 22-411: from 3,000 lb
    assert code(judged("fr.guard", {"height": "40"}, facts=light)) == S


def test_without_a_figure_the_torque_is_unseen() -> None:
    found = judged("wh.torque", {"least": "110"}, facts=UnitFacts())
    assert code(found) == X
    assert "figure" in found.reason


def test_the_torque_names_least_and_most_and_not_nuts() -> None:
    found = judged("wh.torque", {"least": "95", "most": "110"})
    assert [entry.name for entry in found.worked[0].inputs] == ["least nut", "most nut", "figure"]
    assert found.reason.startswith("under 100 to 120")
    assert (
        found.worked[0].says.replace("\u00a0", " ") == "95 lbf·ft to 110 lbf·ft"
    )  # what was read, not the verdict


@pytest.mark.parametrize(
    ("key", "seen", "grade"),
    [
        ("cp.body", "crack", D),  # 19VAC30-70-120
        ("cp.latch", "open", D),  # 49 CFR 396 appendix A
        ("cp.lift", "off", D),
        ("cp.bolts", "missing", D),
        ("cp.rating", "none", B),  # 15 NYCRR 57.4(b)(3)
        ("cp.chain_state", "welded", D),  # 19VAC30-70-120(4)
        ("bk.cable", "frayed", B),
        ("fr.rails", "crack", D),  # 49 CFR 393.201(a)
        ("fr.welds", "outrigger", B),
        ("fr.welds", "hanger", D),
        ("fr.repairs", "flange", B),  # 49 CFR 393.201(c)
        ("fr.fender", "touches", D),  # COMAR 11.22.04.06(11)
        ("su.leaf", "main", D),  # COMAR 11.14.05.03(2)(a)
        ("su.beam", "crack", D),
        ("wh.disc", "crack", D),  # 49 CFR 570.63(a)
        ("wh.holes", "long", D),
        ("ti.cord", "cord", D),  # 49 CFR 393.75(a)
        ("ti.cord", "cut", N),
        ("ti.bulge", "bulge", D),
        ("ti.match", "mixed", D),  # COMAR 11.22.04.06(6)
        ("ti.spare", "none", N),
        ("hb.rock", "loose", D),  # COMAR 11.14.05.03(1)
        ("hb.race", "pit", D),
        ("hb.seal", "weep", N),
        ("br.soak", "soaked", D),  # 49 CFR 396 appendix A, 1(a)(6)
        ("br.work", "dead", D),  # 49 CFR 393.48(a)
        ("br.line", "leak", D),
        ("br.wire", "shorting", D),  # 49 CFR 570.58(b)
        ("id.history", "flood_wires", U),
        ("id.recall", "chassis", D),  # 49 USC 30120
    ],
)
def test_what_is_seen_comes_to_its_grade(key: str, seen: str, grade: str) -> None:
    assert code(judged(key, {}, (seen,))) == grade


def test_a_dead_brake_that_no_law_asks_for_is_towed_with_consent() -> None:
    merely = UnitFacts(brakes_required=False)
    assert code(judged("br.work", {}, ("dead",), facts=merely)) == B
    assert code(judged("cp.surge", {}, ("leak",), facts=merely)) == B
    assert code(judged("br.work", {}, ("weak",), facts=merely)) == N


def test_nobody_looked_is_unseen_and_a_look_at_nothing_wrong_is_sound() -> None:
    check = CATALOGUE.check("cp.body")
    assert judge(check, {}, None, TRAVEL, DAY).grade is Grade.UNSEEN
    assert judge(check, {}, (), TRAVEL, DAY).grade is Grade.SOUND


def test_the_worst_of_readings_and_sights_rules_and_both_reasons_stand() -> None:
    found = judged("ti.crack", {"deep": "2"}, ("hairline", "round"))
    assert code(found) == B
    assert "over 1/32 in deep" in found.reason
    assert "all the way round" in found.reason
    assert "Hairline" not in found.reason


def test_a_missing_reading_is_heavier_than_a_watch_and_lighter_than_needs_work() -> None:
    assert code(judged("ti.age", {}, ("unread",))) == N
    found = judged("hb.race", {}, ("stain",))
    assert (code(found), found.until) == (W, date(2026, 10, 31))  # 180 days on: the shop's term
    assert code(judged("br.lining", {"thinnest": "5"}, ())) == X


def test_a_watch_by_miles_has_no_day() -> None:
    found = judged("hb.spin", {}, ("drags",))
    assert (code(found), found.until, found.until_miles) == (W, None, 200)


@pytest.mark.parametrize(("key", "typed"), [("ti.tread", {"least": "1"}), ("ti.age", {"code": "1710"})])
def test_a_spare_that_could_not_roll_does_not_hold_the_tow(key: str, typed: dict[str, str]) -> None:
    found = judged(key, typed, place="spare")
    assert code(found) == U
    assert "taken off or tagged" in found.reason


def test_what_is_not_fitted_is_graded_where_the_law_asks_for_it() -> None:
    alarm = judged("fs.co", {}, (ABSENT,))
    assert (code(alarm), alarm.fitted) == (U, False)
    spare = judged("ti.spare", {}, (ABSENT,))
    assert (code(spare), spare.fitted, spare.reason) == (S, False, "not fitted")


def test_reason_and_source_say_the_reading_and_the_law() -> None:
    found = judged("ti.tread", {"least": "1.5"})
    assert found.reason == "Tread, least of the spots: 1.5/32\u00a0in, under 2/32 in"
    assert str(found.source) == "49 CFR 570.9(a), 570.62(a)"
    assert found.floor == (Grade.DNT, None)


def test_the_shop_may_be_stricter_on_age() -> None:
    strict = Policy(tire_ages=AgePolicy(watch=2, needs=3, dnt=5))
    assert code(judged("ti.age", {"code": "1821"}, policy=strict)) == D
    assert code(judged("ti.age", {"code": "1821"})) == W


# Whatever is read can be judged


CHECKS = st.sampled_from(CATALOGUE.checks)


@given(CHECKS, st.from_regex(r"[0-9]{1,4}(\.[0-9]{1,3})?|[0-9] [0-9]/[0-9]", fullmatch=True), st.data())
def test_any_reading_that_is_kept_can_be_judged(check: Check, text: str, data: st.DataObject) -> None:
    chosen = {m.key: data.draw(st.sampled_from(m.answers)) if m.answers else text for m in check.measures}
    typed = {f"reading-{key}": value for key, value in chosen.items()}
    seen = data.draw(st.sets(st.sampled_from([d.key for d in check.defects] or [ABSENT])))
    try:
        readings = read_readings(check, typed, set(typed), DAY)
    except Refused:
        return
    found = judge(
        check, readings, seen, data.draw(st.sampled_from([TRAVEL, UnitFacts()])), DAY, None, "axle-1"
    )
    assert (found.by is not None) == (found.grade is Grade.NEEDS)
    assert found.grade is not Grade.WATCH or found.until or found.until_miles
    assert found.reason


WORSE_WHEN_LESS = [
    ("ti.tread", "least", "in_32nd", 40, {}),
    ("br.lining", "thinnest", "in_32nd", 16, {"held": "bonded"}),
    ("br.lining", "thinnest", "in_32nd", 16, {"held": "riveted"}),
    ("br.pad", "pad", "in_32nd", 24, {}),
    ("su.ubolt", "thread", "in", 8, {}),
    ("wh.clear", "gap", "in", 20, {}),
    ("cp.rating", "rating", "lb", 20000, {}),
    ("ti.valve", "class", "psi", 200, {}),
    ("cp.chains", "strength", "lb", 40000, {"count": "two", "meaning": "breaking strength"}),
]
WORSE_WHEN_MORE = [
    ("fr.rust", "lost", 100, {}),
    ("su.shackle", "slot", 2, {}),
    ("wh.runout", "bead", 3, {}),
    ("cp.chain_state", "worn", 100, {}),
    ("br.fluid", "water", 100, {}),
    ("su.leaf", "broken", 14, {"leaves": "5"}),
    ("hb.service", "miles", 300000, {"last": "01-26"}),
    ("fr.guard", "height", 80, {}),
]


@given(st.sampled_from(WORSE_WHEN_LESS), st.decimals(0, 1, places=4), st.decimals(0, 1, places=4))
def test_less_is_never_lighter(
    case: tuple[str, str, str, int, dict[str, str]], one: Decimal, other: Decimal
) -> None:
    key, measure, _, most, beside = case
    check = CATALOGUE.check(key)
    lowest = check.measure(measure).least or Decimal(0)
    less, more = sorted(lowest + (most - lowest) * part for part in (one, other))
    grades = [judged(key, {measure: f"{number:f}", **beside}).weight for number in (less, more)]
    assert grades[0] <= grades[1]


@given(st.sampled_from(WORSE_WHEN_MORE), st.decimals(0, 1, places=4), st.decimals(0, 1, places=4))
def test_more_is_never_lighter(
    case: tuple[str, str, int, dict[str, str]], one: Decimal, other: Decimal
) -> None:
    key, measure, most, beside = case
    whole = CATALOGUE.check(key).measure(measure).unit == "count"
    less, more = sorted((most * part).to_integral_value() if whole else most * part for part in (one, other))
    grades = [judged(key, {measure: f"{number:f}", **beside}).weight for number in (less, more)]
    assert grades[1] <= grades[0]


@given(st.dates(date(2001, 1, 8), DAY), st.dates(date(2001, 1, 8), DAY))
def test_an_older_tire_is_never_lighter(one: date, other: date) -> None:
    older, newer = sorted((one, other))
    codes = [f"{min(int(day.strftime('%U')) or 1, 52):02}{day:%y}" for day in (older, newer)]
    grades = [judged("ti.age", {"code": found}).weight for found in codes]
    assert grades[0] <= grades[1]


# Where a person differs


COMPUTED = Judgement(Grade.DNT, "under 2/32 in", Source("49 CFR", "570.62(a)"), floor=(Grade.DNT, None))
SEEN = Judgement(Grade.DNT, "crack", COMMON_PRACTICE)
SOON = Judgement(Grade.NEEDS, "bent", COMMON_PRACTICE, By.SOON)
SOUND = Judgement(Grade.SOUND, "nothing seen", COMMON_PRACTICE)
LATER = date(2026, 8, 1)


def fields(judgement: Judgement, choice: Choice) -> list[str]:
    try:
        settle(judgement, choice, DAY)
    except Refused as refused:
        return [problem.field for problem in refused.problems]
    return []


WHY = "Paint only, dye shows nothing"


@pytest.mark.parametrize(
    ("judgement", "choice", "refused"),
    [
        (SOUND, Choice(Grade.DNT), []),  # heavier: anyone, at once
        (SOUND, Choice(Grade.NEEDS, By.TOWING), []),
        (SOUND, Choice(Grade.UNSEEN), []),
        (SOUND, Choice(Grade.NEEDS), ["by"]),
        (SOUND, Choice(Grade.WATCH), ["until"]),
        (SOUND, Choice(Grade.WATCH, until=DAY), ["until"]),
        (SOUND, Choice(Grade.WATCH, until=LATER), []),
        (SOUND, Choice(Grade.WATCH, until_miles=500), []),
        (SOUND, Choice(Grade.WATCH, until_miles=-1), ["until"]),
        (SOON, Choice(Grade.NEEDS, By.SOON), []),
        (SOON, Choice(Grade.NEEDS, By.USE), []),
        (SOON, Choice(Grade.SOUND), ["reason"]),
        (SOON, Choice(Grade.SOUND, reason="  "), ["reason"]),
        (SOON, Choice(Grade.SOUND, reason=WHY), []),
        (SOON, Choice(Grade.UNSEEN), ["reason"]),  # unseen may not hide what was seen
        (SEEN, Choice(Grade.DNT), []),
        (SEEN, Choice(Grade.SOUND), ["reason", "second", "photo"]),
        (SEEN, Choice(Grade.NEEDS, By.TOWING, reason=WHY, person=1, second=1, photo=True), ["second"]),
        (SEEN, Choice(Grade.NEEDS, By.TOWING, reason=WHY, person=1, second=2), ["photo"]),
        (SEEN, Choice(Grade.NEEDS, By.TOWING, reason=WHY, person=1, second=2, photo=True), []),
        (COMPUTED, Choice(Grade.NEEDS, By.TOWING, reason=WHY, person=1, second=2, photo=True), ["grade"]),
        (COMPUTED, Choice(Grade.SOUND), ["grade"]),  # what would not help is not asked for
        (COMPUTED, Choice(Grade.DNT), []),
    ],
)
def test_heavier_freely_lighter_with_evidence(
    judgement: Judgement, choice: Choice, refused: list[str]
) -> None:
    assert fields(judgement, choice) == refused


def test_a_law_limit_holds_as_a_floor_under_what_is_seen() -> None:
    held = Judgement(
        Grade.DNT, "crack", COMMON_PRACTICE, floor=(Grade.NEEDS, By.TOWING), floor_source=COMMON_PRACTICE
    )
    choice = Choice(Grade.NEEDS, By.TOWING, reason=WHY, person=1, second=2, photo=True)
    assert fields(held, choice) == []
    assert fields(held, replace(choice, by=By.SOON)) == ["grade"]


def test_the_floor_is_the_law_and_not_the_aim_of_the_shop() -> None:
    thin = judged("br.lining", {"thinnest": "3", "held": "bonded"})  # lawful by 49 CFR 570.59(c)
    assert thin.floor is None
    assert judged("br.lining", {"thinnest": "1", "held": "bonded"}).floor == (Grade.DNT, None)
    assert judged("ti.load", {"load": "1800", "passenger": "no"}, place="axle-1").floor is None
    assert judged("lp.date", {"made": "04-10"}).floor == (Grade.NEEDS, By.SOON)  # 49 CFR 180.205: no fill
    assert judged("br.drum", {"first": "10", "second": "10"}).floor is None


def test_the_refusal_names_the_law_and_the_way_out() -> None:
    computed = judged("ti.tread", {"least": "1"})
    with pytest.raises(Refused) as refused:
        settle(computed, Choice(Grade.SOUND, reason=WHY, person=1, second=2, photo=True), DAY)
    (problem,) = refused.value.problems
    assert "49 CFR 570.9(a), 570.62(a)" in problem.says
    assert problem.accepts == "Do not tow, or a new reading"


def test_a_safety_check_is_not_sound_without_its_reading() -> None:
    unread = judged("ti.tread", {})
    assert fields(unread, Choice(Grade.SOUND, reason=WHY)) == ["grade"]
    assert fields(unread, Choice(Grade.SOUND)) == ["grade"]  # the reading is missing, and nothing else
    assert fields(replace(unread, grade=Grade.NEEDS, by=By.SOON), Choice(Grade.SOUND)) == ["grade", "reason"]
    assert fields(unread, Choice(Grade.UNSEEN)) == []
    assert fields(judged("su.square", {}), Choice(Grade.SOUND, reason=WHY)) == []


def test_what_is_settled_keeps_term_and_dissent() -> None:
    heavier = settle(SOUND, Choice(Grade.NEEDS, By.USE), DAY)
    assert (heavier.by, heavier.dissent) == (By.USE, "graded heavier by the person who looked")
    lighter = settle(SOON, Choice(Grade.WATCH, By.SOON, until=LATER, reason=WHY), DAY)
    assert (lighter.grade, lighter.by, lighter.until, lighter.dissent) == (Grade.WATCH, None, LATER, WHY)
    watched = judged("ti.tread", {"least": "4"})
    same = settle(watched, Choice(Grade.WATCH), DAY)
    assert (same.until, same.dissent) == (date(2026, 10, 31), "")


# Figures behind a judgement


WITH_FIGURE = [
    ("ti.age", {"code": "2319"}, "unit"),
    ("ti.psi", {"cold": "50"}, "unit"),
    ("ti.psi", {"cold": "50", "most": "65"}, "unit"),
    ("ti.load", {"load": "1820", "passenger": "no"}, "axle-1"),
    ("ti.wear", {"inner": "8", "middle": "7", "outer": "4"}, "unit"),
    ("wh.torque", {"least": "110", "most": "115"}, "unit"),
    ("hb.endplay", {"play": "0.004"}, "unit"),
    ("br.lining", {"thinnest": "4", "held": "bonded"}, "unit"),
    ("br.drum", {"first": "10.05", "second": "10.05", "maximum": "10.09"}, "unit"),
    ("br.magnet", {"ohms": "3.3"}, "unit"),
    ("br.amps", {"amps": "14", "volts": "12", "count": "4"}, "unit"),
    ("bk.battery", {"rested": "12.6", "minutes": "15", "end": "11", "held": "4", "braked": "4"}, "unit"),
    ("cp.chains", {"count": "two", "strength": "1900", "grade": "30"}, "unit"),
    ("id.vin", {"vin": "1M8GDM9AXKP042788"}, "unit"),
    ("lp.date", {"made": "01-20"}, "cylinder-1"),
]


@pytest.mark.parametrize(("key", "typed", "place"), WITH_FIGURE)
def test_a_figure_explains_itself(key: str, typed: dict[str, str], place: str) -> None:
    found = judged(key, typed, place=place)
    (worked,) = found.worked
    assert worked.name
    assert worked.says
    assert worked.formula
    assert worked.inputs
    assert all(entry.name and entry.says for entry in worked.inputs)
    assert str(worked.source)
    assert worked.limit


def test_a_working_load_is_multiplied_by_its_grade() -> None:
    # 49 CFR 393.108 and the chain trade: 5/16 in grade 30, 1,900 lb working load, factor 4: 7,600 lb
    found = judged(
        "cp.chains", {"count": "two", "strength": "1900", "meaning": "working load", "grade": "30"}
    )
    assert found.worked[0].value == Decimal(7600)
    # A figure of unknown meaning and grade takes the least factor, 3
    assert judged("cp.chains", {"count": "two", "strength": "1900"}).worked[0].value == Decimal(5700)


def test_a_pressure_without_other_limits_names_the_placard_alone() -> None:
    (worked,) = judged("ti.psi", {"cold": "55"}).worked
    assert [entry.name for entry in worked.inputs] == ["placard"]
    assert worked.limit == "at least 50\u00a0psi"


def test_a_reading_that_a_figure_cannot_take_is_unseen_in_its_words() -> None:
    short = {"rested": "12.6", "minutes": "15", "end": "11", "held": "5", "braked": "4"}
    found = judged("bk.battery", short)
    assert (code(found), "5 of 4" in found.reason) == (X, True)
    before = judged("lp.date", {"made": "01-20", "tested": "01-19"})
    assert code(before) == X


@pytest.mark.parametrize(
    ("vin", "facts", "grade"),
    [
        ("1M8GDM9AXKP042788", UnitFacts(vin="1M8GDM9AXKP042788"), S),  # 49 CFR 565.15(c), X for ten
        ("1M8GDM9AXKP042788", UnitFacts(vin="1m8gdm9a xkp-042788"), S),
        ("1M8GDM9AXKP042788", UnitFacts(vin="1M8GDM9AXKP042789"), B),  # 67 Pa. Code 175.130(a)(1)
        ("ABC 1234", UnitFacts(year=1972), S),  # before the 17 characters of model year 1981
        ("MD 012345", UnitFacts(vin_assigned=True), S),
        ("ABC 1234", UnitFacts(year=1999), N),
    ],
)
def test_a_vin_is_held_against_its_year_and_the_book(vin: str, facts: UnitFacts, grade: str) -> None:
    assert code(judged("id.vin", {"vin": vin}, facts=facts)) == grade


@pytest.mark.parametrize(
    ("low", "high", "typed", "grade"),
    [
        ("110", None, "110", S),  # a single figure leaves the wrench its band
        (None, "110", "109", D),
        ("150", "150", "111", S),  # in N·m: 150 N·m is 110.6 lbf·ft
    ],
)
def test_a_single_torque_figure(low: str | None, high: str | None, typed: str, grade: str) -> None:
    facts = UnitFacts(
        torque_low=Decimal(low) if low else None,
        torque_high=Decimal(high) if high else None,
        torque_unit="N_m" if low == "150" else "lbf_ft",
        torque_source="wheel placard",
    )
    found = judged("wh.torque", {"least": typed}, facts=facts)
    assert code(found) in (grade, W)
    assert "wheel placard" in found.worked[0].inputs[-1].says


def test_a_fleet_trailer_is_held_to_the_commercial_lining() -> None:
    fleet = UnitFacts(commercial=True)
    at_limit = {"thinnest": "2", "held": "riveted"}
    assert code(judged("br.lining", at_limit, facts=fleet)) == D  # 49 CFR 396 appendix A: 1/16 in or less
    assert code(judged("br.lining", at_limit)) == N  # 49 CFR 570.59(c): 1/32 in over the rivet


def test_the_magnet_of_a_small_drum_has_its_own_resistance() -> None:
    # Common practice: 7 in magnets 3.8 to 4.0 ohm, 10 and 12 in ones 3.2 to 3.5, a tenth either way
    assert code(judged("br.magnet", {"ohms": "4.4", "size": "7"})) == S
    assert code(judged("br.magnet", {"ohms": "4.4", "size": "12"})) == B
    assert code(judged("br.magnet", {"ohms": "4.4"}, facts=UnitFacts(magnet_size="7"))) == S


def test_ratings_without_a_weight_to_hold_them_against_are_unseen() -> None:
    bare = UnitFacts()
    assert code(judged("cp.rating", {"rating": "7000"}, facts=bare)) == X
    assert code(judged("cp.ball", {"rating": "7000"}, facts=bare)) == X
    strong = {"count": "two", "strength": "9000", "meaning": "breaking strength"}
    assert code(judged("cp.chains", strong, facts=bare)) == X
    assert code(judged("wh.match", {"rating": "1900"}, facts=bare, place="tire-1-left")) == X
    assert code(judged("ti.psi", {"cold": "50"}, facts=bare)) == X


def test_a_ball_is_held_against_the_scale_before_the_plate() -> None:
    weighed = UnitFacts(gvwr_lb=Decimal(6000), gross_lb=Decimal(4800))
    assert code(judged("cp.ball", {"rating": "5000"}, facts=weighed)) == S
    assert code(judged("cp.ball", {"rating": "4799"}, facts=weighed)) == D


def test_brakes_on_one_axle_are_enough_where_the_state_says_so() -> None:
    lenient = Policy(brakes_on_all_wheels=False)
    assert code(judged("br.need", {"braked": "2"}, policy=lenient)) == S
    assert code(judged("br.need", {"braked": "0"}, policy=lenient)) == D


HELD = {"start": "9", "end": "9", "time": "3", "change": "stands still"}


@pytest.mark.parametrize(
    ("typed", "grade"),
    [
        # NFPA 54 annex C (from memory): 9 in wc for 3 minutes, no fall and no rise
        ({}, S),
        ({"end": "6"}, U),  # a fall is a fall, whatever was tapped
        ({"end": "9.5"}, U),  # and a rise comes from the cylinder
        ({"end": "8.9"}, X),  # a tenth is what two readings of the gauge leave open
        ({"time": "2.9"}, X),  # too short to prove anything
        ({"start": "8", "end": "8"}, X),  # not the pressure of this test
        ({"start": "2.24", "unit-start": "kPa", "end": "2.24", "unit-end": "kPa"}, S),  # 9.0 in wc
        # ideal gas: 406.8 + 9 in wc at 68 °F (527.67 °R) move 0.79 in wc a degree
        ({"end": "8.2", "warmer": "-1"}, X),  # so a degree colder explains 0.8: to be repeated
        ({"end": "7", "warmer": "-1"}, U),  # but not 2
        ({"end": "9", "warmer": "-2"}, X),  # steady while cooling: gas may be coming in
        ({"end": "9", "warmer": "2"}, U),  # steady while warming: gas is lost
        ({"change": "falls"}, U),
    ],
)
def test_the_pressures_of_the_gas_test_speak_whatever_is_said_of_them(
    typed: dict[str, str], grade: str
) -> None:
    assert code(judged("lp.leak", HELD | typed)) == grade


def test_a_gas_test_of_one_pressure_proves_nothing() -> None:
    assert code(judged("lp.leak", {"start": "9", "time": "3", "change": "stands still"})) == X


def test_an_unknown_defect_is_a_slip_of_the_program() -> None:
    with pytest.raises(KeyError):
        judged("cp.body", {}, ("nonsense",))


# The catalogue that the shop starts with


def test_every_named_rule_of_the_catalogue_exists() -> None:
    assert {check.rule for check in CATALOGUE.checks} - {""} <= set(RULES)


def test_every_rule_is_named_by_a_check() -> None:
    assert set(RULES) == {check.rule for check in CATALOGUE.checks} - {""}


@pytest.mark.parametrize(
    ("key", "seen"),
    [
        ("ti.tread", True),
        ("ti.age", True),
        ("cp.latch", True),
        ("cp.chains", True),
        ("br.lining", True),
        ("hb.endplay", True),
        ("bk.fitted", True),
        ("id.title", False),
        ("hb.cap", False),
        ("jk.stab", False),
    ],
)
def test_what_can_come_to_do_not_tow_has_to_be_seen(key: str, seen: bool) -> None:
    assert must_see(CATALOGUE.check(key)) is seen


FIRST_EIGHT = ("papers", "coupler", "frame", "suspension", "wheels", "tires", "hubs", "brakes")


def test_every_check_that_can_come_to_do_not_tow_is_a_safety_check() -> None:
    ours = [check for check in CATALOGUE.checks if check.system in FIRST_EIGHT]
    can = [check for check in ours if must_see(check.model_copy(update={"safety": True}))]
    assert [check.key for check in can if not check.safety] == []
    assert len(can) > 50


def test_a_safety_measure_that_limits_has_limits_in_its_own_range() -> None:
    for check in CATALOGUE.checks:
        for measure in check.measures:
            for limit in measure.limits:
                assert all(_inside(measure.least, measure.most, sign) for sign in _signs(limit)), check.key


def _signs(limit: Limit) -> list[Decimal]:
    return [sign for sign in (limit.under, limit.up_to, limit.over, limit.from_) if sign is not None]


def _inside(least: Decimal | None, most: Decimal | None, sign: Decimal) -> bool:
    return (least is None or least <= sign) and (most is None or sign <= most)


def test_checks_that_lie_on_the_whole_unit_name_their_station() -> None:
    placeless = ("unit", "axle", "receptacle", "exit", "tank", "appliance")
    assert [c.key for c in CATALOGUE.checks if c.places in placeless and not c.station] == []


def test_the_seed_catalogue_survives_its_json() -> None:
    assert Catalogue.from_json(CATALOGUE.to_json()) == CATALOGUE


def test_a_fall_of_pressure_is_said_once() -> None:
    """It read: pressure falls: cylinders off and tagged; pressure lost: shut the cylinders and tag them."""
    fall = {"start": "9", "end": "6", "time": "3", "change": "falls"}
    assert judged("lp.leak", fall).reason == "The reading: falls, pressure falls: cylinders off and tagged"
