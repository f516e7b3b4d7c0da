"""What the entries hand to the trade: values from outside, through the form's texts and units."""

from decimal import Decimal

import pytest

from app.trade.quantity import convert
from app.workbench.entry import Field, Figure, Kind
from app.workbench.registry import all_figures
from tests.workbench.asking import answered, asked

NO_BREAK = "\u00a0"

# key, what is changed in the example, which figure, what it says
OUTSIDE = [
    # ISO 4000-1: 14 x 25.4 + 2 x 205 x 0.75 = 663.1 mm; pi times that 2,083 mm.
    ("tire-size", {}, 0, "663.1 mm"),
    ("tire-size", {}, 1, "2,083 mm"),
    # ISO 4000-1: index 96 is 710 kg, 1,565 lb (from memory).
    ("load-index", {"index": "96"}, 0, "1,565 lb"),
    # 1,500 lb with a tenth is 1,650: index 97 is 1,609 lb, 98 is 1,653 lb (ISO 4000-1, from memory).
    ("index-needed", {"load": "1500", "reserve": "10"}, 0, "98"),
    # Speed symbol M is 130 km/h, 81 mph (ISO 4000-1); without one 65 mph is common practice.
    ("speed-symbol", {"symbol": "m"}, 0, "81 mph"),
    ("speed-symbol", {"symbol": ""}, 0, "65 mph"),
    # Load range C is a ply rating of 6: tire and rim standards.
    ("load-range", {"letter": "C"}, 0, "6 ply"),
    # 49 CFR 571.110 S4.2.2: a passenger tire's load is divided by 1.10: 2 x 1,760 / 1.10 = 3,200.
    ("axle-tires", {"passenger": "yes"}, 0, "3,200 lb"),
    ("axle-tires", {}, 1, "reserve 20 lb"),
    # 49 CFR 574.5: week 30 of 2019.
    ("tire-age", {"code": "3019"}, 0, "week 30 of 2019"),
    # Gas law, hand: (50 + 14.696) x (90 + 459.67) / (50 + 459.67) - 14.696 = 55.08.
    ("pressure-and-temperature", {}, 0, "55.1 psi"),
    # Straight line, hand: 1430 + 330 x 5 / 15 = 1,540.
    ("load-between-rows", {}, 0, "1,540 lb"),
    # The example of a check digit in the literature on 49 CFR 565: X.
    ("vin", {"number": "1M8GDM9AXKP042788"}, 0, "X"),
    ("vin", {"number": "1m8gdm9a xkp-042788"}, 0, "X"),
    # Position 10 K: 1989, and 30 years later 2019: 49 CFR 565.15(d), table VII.
    ("vin", {}, 1, "1989 or 2019"),
    # A quarter, a half, the whole, to 5: common practice.
    ("passes", {"aim": "100"}, 0, "25, 50, 100 lbf·ft"),
    ("passes", {"aim": "120", "aim-unit": "N_m"}, 0, "30, 60, 120 N·m"),
    # 10, 25 and 50 miles: common practice.
    ("retorque", {}, 0, "10, 25 and 50 miles"),
    # ISO 6789-1:2017: 6 % for a bending beam, 4 % for a setting tool over 10 N·m (from memory).
    ("wrench", {"kind": "beam"}, 0, "6 %"),
    ("wrench", {"kind": "click"}, 0, "4 %"),
    ("wrench", {"kind": "click", "top": "8", "top-unit": "N_m"}, 0, "6 %"),
    # Hand: 110 less and more 4 %.
    ("wrench-band", {}, 0, "106 to 114 lbf·ft"),
    # US Army TM 9-254: T x L / (L + E): 110 x 18 / 20 = 99.0; square to the handle nothing changes.
    ("adapter-setting", {}, 0, "99.0 lbf·ft"),
    ("adapter-setting", {"turn": "90"}, 0, "110.0 lbf·ft"),
    ("adapter-setting", {"wrench": "457.2", "wrench-unit": "mm"}, 0, "99.0 lbf·ft"),
    ("adapter-torque", {}, 0, "110.0 lbf·ft"),
    # ISO 898-1: M12x1.5 has 88.1 mm², class 10.9 a proof load of 73,100 N (to the rounding of the area).
    ("stress-area", {"thread": "M12x1.5"}, 0, "88.1 mm²"),
    ("stud-strength", {"thread": "M12x1.5", "grade": "10.9"}, 1, "73,1"),
    # Hand: pitch 1/14 in, a sixth of a turn: 0.0119 in; back again 0.0119 x 14 x 360 = 60°.
    ("nut-movement", {}, 0, "0.0119 in"),
    ("nut-angle", {"movement": "0.0119048"}, 0, "60.0°"),
    # Hand: 360 / lcm(6, 2) = 60; with two holes through, four ends: 360 / 12 = 30.
    ("lock-step", {}, 0, "60.0°"),
    ("lock-step", {"holes": "4"}, 0, "30.0°"),
    # 12 months: common practice.
    ("bearing-service", {}, 0, "2026-05-10"),
    ("bearing-service", {"done": ""}, 0, "due now"),
    # Inch bearing designations: L68149 takes the cup L68111 (ABMA 19.2, from memory).
    ("bearing", {"cone": "l68149"}, 0, "L68111"),
    ("bearing-by-bore", {"bore": "25.4", "bore-unit": "mm"}, 0, "L44643"),
    # Half of 15 in; less 0.75 in.
    ("weight-radii", {}, 0, "7.50 in"),
    ("weight-radii", {}, 1, "6.75 in"),
    # Moments: 2 x 7.5 / 6.75 = 2.22.
    ("weight-at-radius", {}, 0, "2.22 oz"),
    # Equal and opposite in the two planes: a pure couple. The same in both: a pure static one. ISO 21940-2.
    ("unbalance-parts", {"outer": "1", "outer_at": "0", "inner": "1", "inner_at": "180"}, 0, "couple:"),
    ("unbalance-parts", {"outer": "1", "outer_at": "40", "inner": "1", "inner_at": "40"}, 0, "static:"),
    # Half way between two places each carries weight / (2 cos half the angle): 2 / (2 cos 36°) = 1.24.
    ("weight-split", {"weight_at": "36"}, 0, "1.24 oz at 0° and 1.24 oz at 72°"),
    # A trial weight of 1 that halves the reading at its phase needs as much again: 2 in all.
    ("trial-weight", {"before": "4", "before_at": "0", "after": "2", "after_at": "0"}, 0, "2.00 oz at 0°"),
    # Hand: 60 mph on 13.2 in is 80.0 rad/s, 764 rpm; 28.35 g x 190.5 mm x 80² = 34.6 N = 7.8 lbf.
    ("force-at-speed", {}, 0, "7.8 lbf"),
    ("force-at-speed", {}, 1, "764 rpm"),
    # ISO 21940-11: 40 mm/s x 25 kg / 80 rad/s = 12,500 g·mm.
    ("balance-grade", {}, 0, "12,50"),
    # By hand from eight readings: a = -15.17, b = 1.21: 15.2 at 175°; largest less smallest 31.
    ("runout", {}, 0, "first harmonic 15.2 thousandths in at 175°"),
    ("runout", {}, 1, "0.031 in"),
    # 49 CFR 570.59(c): 2/32 in bonded, so 5/32 in is 3/32 in over it.
    ("lining", {"shop": ""}, 0, "3.0/32 in"),
    ("drum", {}, 0, "0.076 in"),  # hand: 10.090 - 10.014
    # Ohm: 4 x 12.6 / 3.5 = 14.4, 4 x 12.6 / 3.2 = 15.75.
    ("magnet-expected", {}, 0, "14.4 to 15.8 A"),
    ("magnet-expected", {"drum": "own", "least": "3", "most": "4"}, 0, "12.6 to 16.8 A"),
    ("fuse", {"gauge": "12"}, 0, "20 A"),  # NEC 240.4(D)
    ("state-of-charge", {"volts": "12.45"}, 0, "75 %"),  # BCI table
    # Peukert by hand: 60 x 20 x (5 / 240)^1.2 = 11.5 min.
    ("breakaway-battery", {}, 0, "about 12 min"),
    # 49 CFR 180.209(e): 5 years after an external visual, 12 years after manufacture.
    ("requalification", {}, 0, "04-2027"),
    ("requalification", {"tested": ""}, 0, "03-2028"),
    ("requalification", {"numbered": ""}, 0, "03-2028"),
    # 29 CFR 1910.110: 47.6 x 0.42 = 20.0 lb, the 20 lb cylinder.
    ("cylinder-fill", {}, 0, "20.0 lb"),
    # NFPA 58 annex B: 20 x 21,548 = 430,960 Btu; / (9,900 + 1,500) = 37.8 h.
    ("gas-run-time", {}, 0, "37.8 h"),
    ("gas-run-time", {}, 1, "430,960"),
    ("gas-pressure", {"warm": "70"}, 0, "110."),  # NIST: propane at 70 °F is 124.9 psia
    ("scale-tickets", {}, 0, "720 lb"),  # hand: 6,780 - 6,060
    ("scale-tickets", {}, 1, "12.0 %"),  # hand: 720 of 6,000
    ("scale-tickets", {}, 3, "about 50 %"),  # hand: 120 of 240
    ("tongue-share", {"tongue": "720", "gross": "6000", "doubt": ""}, 0, "12.0 %"),
    ("tongue-by-beam", {}, 0, "444 lb"),  # lever: 148 x 36 / 12
    ("tongue-by-jack", {}, 0, "486 lb"),  # moments: 520 x 174 / 186
    ("cargo-room", {}, 0, "1,276"),  # hand: 7,000 - 5,200 - 334 - 40 - 150
    ("cargo-to-reach", {}, 0, "33,852"),  # hand: (0.12 x 5,200 - 442) x 186
    ("cargo-moved", {}, 0, "9.4 %"),  # moments: 442 + 150 x 60 / 186 = 490 of 5,200
    # Statics: 0.5 x 720 x 48 x 192 / 240 = 13,824 lb·in; / (2 x 30) = 230 lb.
    ("spring-bars", {}, 0, "230 lb a bar"),
    ("restored-by-height", {}, 0, "50 %"),  # hand: half an inch of one
    ("drawbar-drop", {}, 0, "drop 2.50 in"),  # hand: 19.5 + 2.5 - 18.5 - 1
    ("level", {}, 0, "0.50 in nose up"),
    ("chains", {"chains": ""}, 0, "15,200 lb"),  # 49 CFR 393.108: 1,900 lb x 4, two chains
    ("chains", {"chains": "", "count": "1"}, 0, "7,600 lb"),
    ("stopping", {"distance": "36", "speed": "22"}, 0, "29.8 ft"),  # hand: 36 x (20 / 22)²
    ("axles-parallel", {}, 0, "0.063 in"),  # 1/16 in
    ("hub-heat", {"hubs": "140 140 200"}, 0, "60 °F over"),  # hand
    ("corner-heights", {}, 0, "0.25 in at the"),  # hand
    ("safety-valve", {}, 0, "45 s"),
    ("due-again", {}, 0, "2027-05-04 or at 26,500 miles"),
    ("promised-day", {"off": ""}, 0, "2026-05-18"),  # calendar: ten weekdays after Monday 4 May 2026
    ("promised-day", {"off": "2026-05-15"}, 0, "2026-05-19"),
    ("promised-day", {"off": "", "saturday": "yes"}, 0, "2026-05-15"),
    ("days-of-work", {}, 0, "4 working days"),  # hand: 19.5 / 6, rounded up
    ("days-of-work", {"ahead": ""}, 0, "2 working days"),
    ("hours-worked", {}, 0, "1.5 h"),  # hand: 92 min
    ("line-amount", {}, 0, "133.00"),  # hand: 1.4 x 95
    ("capped-share", {}, 0, "45.00"),  # 5 % of 1,305.39 is 65.27, over the cap
    ("tolerance", {}, 0, "50.00"),  # the less of 50 and 100
    ("tolerance", {"counts": "greater"}, 0, "75.00"),  # the greater is 100, the cap 75
    ("selling-price", {}, 0, "32.00"),  # 22.85 x 1.4 = 31.99; parts of 20.00 are sold for 32.00 already
    ("selling-price", {"cost": "30"}, 0, "42.00"),  # 30 x 1.4
    # Hand: 296.75 - 20 = 276.75; parts keep 152.71 of it, taxed 9.54; less 50 paid: 236.29.
    ("bill", {}, 0, "236.29"),
    ("bill", {}, 1, "9.54"),
    ("bill", {"coins": "yes"}, 0, "236.30"),
]


@pytest.mark.parametrize(("key", "changed", "which", "says"), OUTSIDE)
def test_a_figure_says_what_the_outside_says(
    key: str, changed: dict[str, str], which: int, says: str
) -> None:
    assert says in asked(key, changed)[which].says.replace(NO_BREAK, " ")


@pytest.mark.parametrize(
    ("key", "changed", "grade"),
    [
        # Common practice: 0.001 to 0.010 in; over 0.030 in it has let go. 0.1 mm is 0.0039 in.
        ("end-play", {"play": "0.1", "play-unit": "mm"}, "sound"),
        ("end-play", {"play": "0.5", "play-unit": "mm"}, "needs"),
        ("end-play", {"play": "0.006", "axle": "heavy"}, "needs"),  # TMC RP 618: 0.001 to 0.005 in
        # 49 CFR 570.9(a): 2/32 in, which is 1.59 mm.
        ("tread", {"depths": "1.5 3", "depths-unit": "mm"}, "dnt"),
        ("tread", {"depths": "6 7 6"}, "sound"),
        # Under 80 % of the placard a tire counts as run flat: common practice.
        ("cold-pressure", {"psi": "39"}, "needs"),
        ("cold-pressure", {"psi": "345", "psi-unit": "kPa"}, "sound"),  # 50.04 psi
        # 49 CFR 570.10(b): over 1/8 in at the bead seat.
        ("runout-total", {"where": "bead seat, steel wheel", "total": "3.2", "total-unit": "mm"}, "needs"),
        # 49 CFR 393.43(d): 15 minutes, all wheels.
        ("breakaway-hold", {"minutes": "14"}, "dnt"),
        ("breakaway-hold", {"minutes": "14", "required": ""}, "needs"),
        ("breakaway-hold", {"held": "3"}, "dnt"),
        # 10 to 15 % of the trailer on a ball hitch, a boat 5 to 15: common practice.
        ("tongue-share", {"tongue": "300", "gross": "5200", "doubt": "", "kind": "boat"}, "sound"),
        ("tongue-share", {"tongue": "200", "gross": "5200", "doubt": ""}, "dnt"),
        # 49 CFR 393.70(d): the chains together at least the gross rating.
        ("chains", {"chains": "3000 3000"}, "dnt"),
        # Shop limit for weights left over: 1/4 oz a plane, common practice.
        ("balance-left", {"outer": "0.3"}, "needs"),
        ("much-weight", {"outer": "6.5"}, "watch"),
        # NFPA 58: lock-up at most 14 in wc.
        ("regulator", {"lock_up": "14.5"}, "needs"),
        # 49 CFR 393.52(d): 35 ft for a light combination, 40 ft for others.
        ("stopping", {"distance": "38"}, "sound"),
        ("stopping", {"distance": "38", "what": "light"}, "needs"),
        ("stopping", {"distance": "12.5", "distance-unit": "m"}, "needs"),  # 41 ft
        # Common practice: 1 ohm, 2 V on the skin, 9 ppm over outside, 10.5 V, 15 % before it is closed.
        ("ground-and-bond", {"ohms": "0.2 1.4"}, "needs"),
        ("ground-and-bond", {"apart": ""}, "needs"),
        ("live-test", {"skin": "3"}, "needs"),
        ("live-test", {"right": "5"}, "needs"),
        ("carbon-monoxide", {"inside": "12"}, "needs"),
        ("battery-load", {"volts": "10.2"}, "needs"),
        ("converter", {}, "sound"),
        ("damp-wood", {}, "sound"),
        ("damp-wood", {"to_close": "yes"}, "needs"),
        ("water-hold", {"end": "38"}, "needs"),
        ("spray", {"minutes": "5"}, "unseen"),
        ("toe", {"rear": "73 3/4"}, "needs"),  # 1/4 in, over 1/8
        ("camber", {"left": "0.5"}, "needs"),
        ("axle-square", {"left": "196"}, "needs"),
        # 12 AWG takes a fuse of 20 A: NEC 240.4(D).
        ("fuse", {"fuse": "30"}, "needs"),
        ("requalification", {"on": "2027-05-01"}, "needs"),  # 49 CFR 180.209: in date to the end of April
        ("wheel-torque", {"readings": "110 110 95 110 110 110"}, "dnt"),  # under the maker's low end
        ("wheel-torque", {"readings": "110 110"}, "unseen"),  # four nuts have no reading
        ("ratings", {"ball_load": "6100", "doubt": ""}, "dnt"),
        ("ratings", {"ball_load": "5000", "doubt": ""}, "sound"),
        ("ratings", {"ball_load": "5000", "ball_rated": "", "doubt": ""}, "unseen"),  # not legible
    ],
)
def test_a_verdict_is_the_one_of_law_and_practice(key: str, changed: dict[str, str], grade: str) -> None:
    verdict = asked(key, changed)[0].verdict
    assert verdict is not None
    assert verdict.grade == grade


def test_a_drop_agrees_with_the_table_of_the_code() -> None:
    """12 AWG stranded copper at 75 °C has 1.98 ohm a 1,000 ft: NEC chapter 9 table 8."""
    lost = asked("voltage-drop")[0].value
    assert isinstance(lost, Decimal)
    assert abs(lost - Decimal("1.98") * 2 * 25 / 1000 * 12) < Decimal("0.012")


def test_loads_on_the_ground_stay_the_same_whatever_the_bars_do() -> None:
    """Conservation of force: 3,100 + 2,950 + 6,000 lb."""
    _, after, slack = asked("spring-bars")
    for loads in (after.value, slack.value):
        assert abs(getattr(loads, "total", Decimal(0)) - 12050) < Decimal("0.001")


def test_moved_planes_keep_force_and_moment() -> None:
    """Statics: what lies at 0 and -5.5 in, asked for at the same places, is itself."""
    same = {"to_outer": "0", "to_inner": "-5.5"}
    says = asked("planes-moved", same)[0].says.replace(NO_BREAK, " ")
    assert says == "outer 1.37 oz at 215°, inner 2.10 oz at 62°"


METRIC = [figure for figure in all_figures().values() if any(len(each.units) > 1 for each in figure.fields)]


def in_other_unit(field: Field, text: str) -> dict[str, str]:
    """A field's example in its second unit."""
    if field.kind is not Kind.NUMBER or len(field.units) < 2 or not text:
        return {}
    from app.trade.quantity import read_number

    other = convert(read_number(text), field.unit, field.units[1])
    return {field.name: f"{round(other, 9):f}", f"{field.name}-unit": field.units[1]}


@pytest.mark.parametrize("figure", METRIC, ids=lambda figure: figure.key)
def test_readings_in_the_other_units_mean_the_same(figure: Figure) -> None:
    changed: dict[str, str] = {}
    for each in figure.fields:
        if each.name != "division":  # a scale has whole steps in its own unit only
            changed |= in_other_unit(each, each.example)
    if figure.key == "scale-tickets":
        changed = {"goal": "50"}  # its readings are whole steps of the scale
    one, other = asked(figure.key), asked(figure.key, changed)
    assert [each.name for each in one] == [each.name for each in other]
    assert [each.verdict and each.verdict.grade for each in one] == [
        each.verdict and each.verdict.grade for each in other
    ]


def test_a_figure_is_drawn_where_it_is_better_looked_at() -> None:
    drawn = {key: found.drawn.name for key in all_figures() if (found := answered(key)).drawn}
    assert drawn["star"] == drawn["wheel-torque"] == "star"
    assert drawn["weights-two-planes"] == drawn["balance-left"] == drawn["match-mounting"] == "vectors"
    assert drawn["runout"] == "runout"
    assert drawn["spring-bars"] == drawn["scale-tickets"] == "axles"
    assert drawn["tire-size-change"] == "sizes"
    assert drawn["leak-test"] == "leak"
    assert drawn["larger-tire"] == "proposals"
