"""Every entry at more than its example: what the outside says of it, through the form's own texts."""

import pytest

from app.workbench.registry import all_figures
from tests.workbench.asking import asked

NO_BREAK = "\u00a0"
Case = tuple[str, dict[str, str], int, str]

# key, what is changed in the example, which figure, what it says

# 49 CFR 574.5(g)(4): week 1 starts on the first Sunday; counted on a calendar to 4 May 2026
AGES: list[Case] = [
    ("tire-age", {"code": "0121"}, 1, "5 years 4 months"),
    ("tire-age", {"code": "4018"}, 1, "7 years 6 months"),
    ("tire-age", {"code": "2610"}, 1, "15 years 10 months"),
    ("tire-age", {"code": "0124"}, 1, "2 years 3 months"),
    ("tire-age", {"code": "5323"}, 0, "week 53 of 2023"),
    ("tires-apart", {"codes": "0119 0120"}, 0, "1.00 years"),
    ("tires-apart", {"codes": "0118 0124"}, 0, "6.00 years"),
    ("tires-apart", {"codes": "3019 3019"}, 0, "0.00 years"),
    ("tires-apart", {"codes": "3019, 2520"}, 0, "0.90 years"),
]
# ISO 4000-1: rim x 25.4 + 2 x section x aspect, by hand; load index and speed symbol tables (from memory)
SIZES: list[Case] = [
    ("tire-size", {"size": "P235/75R15"}, 0, "733.5 mm"),
    ("tire-size", {"size": "ST235/80R16"}, 0, "782.4 mm (30.80 in)"),
    ("tire-size", {"size": "ST145/80R12"}, 0, "536.8 mm (21.13 in)"),
    ("tire-size", {"size": "LT225/75R16"}, 0, "743.9 mm"),
    ("tire-size", {"size": "st 205/75 r15"}, 0, "688.5 mm"),
    (
        "tire-size-change",
        {"present": "ST205/75R15", "other": "ST225/75R15"},
        0,
        "4.36 %; the axle stands 15.0 mm",
    ),
    ("tire-size-change", {"present": "ST205/75R15", "other": "ST225/75R15"}, 2, "718.5 mm"),
    ("load-index", {"index": "100"}, 0, "1,764 lb"),
    ("load-index", {"index": "110"}, 0, "2,337 lb"),
    ("load-index", {"index": "118"}, 0, "2,910 lb"),
    ("load-index", {"index": "121"}, 0, "3,197 lb"),
    ("index-needed", {"load": "1760", "reserve": "0"}, 0, "100"),
    ("index-needed", {"load": "800", "load-unit": "kg", "reserve": "0"}, 0, "100"),
    ("index-needed", {"load": "1765", "reserve": "0"}, 0, "101"),
    ("speed-symbol", {"symbol": "L"}, 0, "75 mph"),
    ("speed-symbol", {"symbol": "N"}, 0, "87 mph"),
    ("speed-symbol", {"symbol": "Q"}, 0, "99 mph"),
    ("load-range", {"letter": "D"}, 0, "8 ply rating, usually 65 psi"),
    ("load-range", {"letter": "E"}, 0, "10 ply rating, usually 80 psi"),
]
# Sums by hand; 49 CFR 571.110 S4.2.2.2 divides a passenger tire's load by 1.10
LOADS: list[Case] = [
    ("axle-tires", {"loads": "2150 2150"}, 1, "reserve 800 lb"),
    ("axle-tires", {"loads": "1480 1480"}, 1, "short by 540 lb"),
    ("axle-tires", {"loads": "1760 1760 1760 1760", "gawr": "7000"}, 1, "reserve 40 lb"),
    ("axle-tires", {"passenger": "yes"}, 1, "short by 300 lb"),
    ("spare", {"passenger": "yes"}, 0, "short by 150 lb"),
    ("spare", {"load": "2150"}, 0, "reserve 400 lb"),
    ("spare", {"gawr": "7000", "tires": "4"}, 0, "reserve 10 lb"),
    # Load goes with pressure to the power 0.585, the tire and rim standards' own (from memory); by hand
    ("load-at-pressure", {"most": "2540", "at": "65", "psi": "50"}, 0, "2,179 lb"),
    ("load-at-pressure", {"psi": "50"}, 0, "1,760 lb"),
    ("pressure-for-load", {"load": "1600"}, 0, "43 psi"),
    ("pressure-for-load", {"load": "1760"}, 0, "50 psi"),
    ("load-between-rows", {"psi": "45"}, 0, "1,650 lb"),
    ("load-between-rows", {"psi": "50"}, 0, "1,760 lb"),
    ("pressure-and-temperature", {"now": "50"}, 0, "50.0 psi"),
    ("pressure-and-temperature", {"now": "20"}, 0, "46.2 psi"),  # 64.696 x 479.67 / 509.67 - 14.696
    ("larger-tire", {"wheel": "1900"}, 0, "load range D: 140 lb a tire"),
    ("larger-tire", {"over": "1"}, 0, "ST205/75-14 load range D: 280 lb a tire"),
    ("larger-tire", {"over": "0.5"}, 0, "none fits"),
]
# 49 CFR 565.15: check digits of numbers worked out by hand; table VII for the years
NUMBERS: list[Case] = [
    ("vin", {"number": "1G4AH59H45G118341"}, 0, "4"),
    ("vin", {"number": "11111111111111111"}, 0, "1"),
    ("vin", {"number": "5ZEEN1423AV000318"}, 1, "1980 or 2010"),
    ("vin", {"number": "4Z9FE16271B123045"}, 1, "2001"),
    ("vin", {"number": "5ZDUB0817HS771204"}, 1, "1987 or 2017"),
]
# Common practice for orders and passes; ISO 6789, mechanics and screw geometry for the rest, by hand
NUTS: list[Case] = [
    ("star", {"studs": "5"}, 0, "1 3 5 2 4"),
    ("star", {"studs": "8"}, 0, "1 5 "),
    ("star", {"studs": "10"}, 0, "1 6 "),
    ("bolt-order", {"count": "4"}, 0, "2 3 1 4"),
    ("bolt-order", {"count": "8"}, 0, "4 5 3 6 2 7 1 8"),
    ("passes", {"aim": "80"}, 0, "20, 40, 80 lbf·ft"),
    ("passes", {"aim": "140"}, 0, "35, 70, 140 lbf·ft"),
    ("wrench-band", {"reading": "100", "off": "6"}, 0, "94 to 106 lbf·ft"),
    ("wrench-band", {"reading": "150", "off": "4", "reading-unit": "N_m"}, 0, "144 to 156 N·m"),
    ("adapter-setting", {"torque": "100", "wrench": "12", "reach": "3"}, 0, "80.0 lbf·ft"),
    ("adapter-setting", {"torque": "100", "wrench": "12", "reach": "3", "turn": "45"}, 0, "85.0 lbf·ft"),
    ("adapter-setting", {"torque": "100", "wrench": "12", "reach": "3", "turn": "180"}, 0, "133.3 lbf·ft"),
    ("adapter-torque", {"torque": "80", "wrench": "12", "reach": "3"}, 0, "100.0 lbf·ft"),
    ("stress-area", {"thread": "5/8-18"}, 0, "0.2560 in²"),
    ("stress-area", {"thread": "9/16-18"}, 0, "0.2030 in²"),
    ("stress-area", {"thread": "M14x1.5"}, 0, "124.5 mm²"),
    ("stud-strength", {"thread": "7/16-20", "grade": "5"}, 1, "10,091 lbf"),
    ("stud-strength", {"thread": "1/2-20", "grade": "5"}, 1, "13,596 lbf"),
    ("clamp", {"torque": "90"}, 0, "7,560 to 14,040 lbf"),
    ("clamp", {"torque": "110", "k": "0.15"}, 0, "12,320 to 22,880 lbf"),
    ("retorque", {}, 0, "then before each trip"),
    ("wheel-torque", {"readings": "105 106 107 108 109 110"}, 0, "All 6 nuts inside"),
]
# ABMA inch series (from memory): cone, cup, bore; threads by their pitch
HUBS: list[Case] = [
    ("bearing", {"cone": "25580"}, 0, "25520: bore 1.7500 in"),
    ("bearing", {"cone": "LM67048"}, 0, "LM67010: bore 1.2500 in"),
    ("bearing", {"cone": "L44649"}, 0, "L44610: bore 1.0625 in"),
    ("bearing", {"cone": "L44643"}, 0, "L44610: bore 1.0000 in"),
    ("bearing", {"cone": "14125A"}, 0, "14276: bore 1.2500 in"),
    ("bearing", {"cone": "LM11949"}, 0, "LM11910: bore 0.7500 in"),
    ("bearing", {"cone": "15123"}, 0, "15245: bore 1.2500 in"),
    ("bearing", {"cone": "02475"}, 0, "02420: bore 1.2500 in"),
    ("bearing-by-bore", {"bore": "1.0625"}, 0, "L44649"),
    ("bearing-by-bore", {"bore": "0.75"}, 0, "LM11949"),
    ("bearing-by-bore", {"bore": "1.75"}, 0, "25580"),
    ("hub-by-capacity", {"capacity": "7000"}, 0, "inner 25580, outer 14125A"),
    ("hub-by-capacity", {"capacity": "2000"}, 0, "L44649"),
    ("nut-movement", {"turned": "360"}, 0, "0.0714 in"),
    ("nut-movement", {"thread": "M24x1.5"}, 0, "0.250 mm"),
    ("nut-angle", {"thread": "M24x1.5", "movement": "0.1", "movement-unit": "mm"}, 0, "24.0°, 0.40 flats"),
    ("lock-step", {"slots": "18", "holes": "4"}, 0, "10.0°"),
    ("lock-step", {"slots": "6", "holes": "1"}, 0, "60.0°"),
    ("bearing-adjustment", {"hub": "light"}, 0, "seat about 50 lbf·ft"),
    ("bearing-service", {"done": "2026-02-28", "miles": ""}, 0, "2027-02-28"),
    ("grease", {"there": "polyurea"}, 0, "do not mix"),
    ("grease", {"nlgi": "3"}, 0, "NLGI 3"),
]
# Vectors and moments by hand: what cancels lies opposite
BALANCE: list[Case] = [
    ("weights-one-plane", {"heavy": "1", "heavy_at": "180"}, 0, "1.00 oz at 0°"),
    ("weights-one-plane", {"heavy": "0.5", "heavy_at": "90"}, 0, "0.50 oz at 270°"),
    (
        "weights-two-planes",
        {"outer": "1", "outer_at": "180", "inner": "0.5", "inner_at": "90"},
        0,
        "outer 1.00 oz at 0°; inner 0.50 oz at 270°",
    ),
    ("balance-left", {"outer": "0.1", "outer_at": "0", "inner": "0.1", "inner_at": "180"}, 0, "0.00 oz"),
    ("balance-left", {"outer": "0.1", "outer_at": "0", "inner": "0.1", "inner_at": "0"}, 0, "0.20 oz at 0°"),
    (
        "balance-left",
        {"outer": "0.1", "outer_at": "0", "inner": "0.1", "inner_at": "90"},
        0,
        "0.14 oz at 45°",
    ),
    (
        "unbalance-parts",
        {"outer": "2", "outer_at": "10", "inner": "2", "inner_at": "10"},
        0,
        "4.00 oz at 10°",
    ),
    ("planes-moved", {"to_outer": "0", "to_inner": "-11"}, 0, "inner 1.05 oz at 62°"),
    ("weight-radii", {"rim": "13"}, 0, "6.50 in"),
    ("weight-radii", {"rim": "16"}, 1, "7.25 in"),
    ("weight-at-radius", {"weight": "3", "radius": "6", "other": "4"}, 0, "4.50 oz at 30°"),
    (
        "weight-split",
        {"weight": "2", "weight_at": "30", "second": "60"},
        0,
        "1.15 oz at 0° and 1.15 oz at 60°",
    ),
    ("weight-split", {"weight": "2", "weight_at": "0", "second": "60"}, 0, "2.00 oz at 0°"),
    ("trial-weight", {"before": "6", "before_at": "0", "after": "9", "after_at": "0"}, 0, "2.00 oz at 180°"),
    ("trial-weight", {"before": "3", "before_at": "50", "after": "0", "after_at": "0"}, 0, "1.00 oz at 0°"),
    (
        "trial-weights",  # planes that do not answer each other: a trial that halves its reading is doubled
        {
            **{"before_1": "4", "before_1_at": "0", "before_2": "6", "before_2_at": "90"},
            **{"with_outer_1": "2", "with_outer_1_at": "0", "with_outer_2": "6", "with_outer_2_at": "90"},
            **{"with_inner_1": "4", "with_inner_1_at": "0", "with_inner_2": "3", "with_inner_2_at": "90"},
        },
        0,
        "outer 2.00 oz at 0°, inner 2.00 oz at 0°",
    ),
    ("force-at-speed", {"weight": "2"}, 0, "15.5 lbf"),
    ("force-at-speed", {"speed": "30"}, 0, "1.9 lbf"),
    ("force-at-speed", {"speed": "30"}, 1, "382 rpm"),
    ("balance-grade", {"mass": "20", "grade": "16"}, 0, "4,000 g·mm"),
    ("balance-grade", {"centre": "2.75"}, 2, "outer 6,250, inner 6,250 g·mm"),
    (
        "runout",
        {"readings": "10 7.07 0 -7.07 -10 -7.07 0 7.07"},
        0,
        "harmonic 10.0 thousandths in at 0°",
    ),
    ("runout", {"readings": "0 7.07 10 7.07 0 -7.07 -10 -7.07"}, 0, "at 90°"),
    ("runout", {"readings": "0 10 0 -10"}, 0, "20 thousandths in total"),
    ("runout-total", {"total": "1", "total-unit": "mm"}, 0, "0.039 in"),
    ("match-mounting", {"first": "10", "first_at": "0", "second": "10", "second_at": "0"}, 0, "wheel;"),
    ("match-mounting", {"first": "10", "first_at": "0", "second": "10", "second_at": "180"}, 0, "tire;"),
    ("much-weight", {"outer": "6.5"}, 0, "6.50 oz"),
]
# Law and arithmetic: 49 CFR 570.59, Ohm, NEC chapter 9 table 8 and 240.4(D), BCI's table of rest volts
BRAKES: list[Case] = [
    ("lining", {"thinnest": "4", "shop": ""}, 0, "2.0/32 in over the limit"),
    ("drum", {"diameters": "12.000 12.010", "cast": "12.090"}, 0, "0.080 in"),
    ("drum", {"diameters": "10.010 10.050", "cast": "10.090"}, 0, "0.040 in"),
    ("pad", {"thinnest": "6"}, 0, "4.0/32 in over the limit"),
    ("rotor", {"thinnest": "10.4", "thinnest-unit": "mm", "least": "0.39"}, 0, "0.019 in"),  # 0.4094 in
    ("magnet-expected", {"count": "2"}, 0, "7.2 to 7.9 A"),
    ("magnet-resistance", {"ohms": "3.1 3.2 3.2 3.3"}, 0, "3.1 ohm, 3.2 ohm, 3.2 ohm, 3.3 ohm"),
    ("breakaway-hold", {"minutes": "20"}, 0, "20 min, 4 of 4 wheels"),
    ("axle-square", {"left": "195", "right": "195"}, 0, "0.000 in apart, 0.00°"),
    ("toe", {"rear": "73 3/4"}, 0, "0.250 in toe in"),
    ("toe", {"front": "73 3/4", "rear": "73 1/2"}, 0, "0.250 in toe out"),
    ("camber", {"left": "1/4"}, 0, "left -0.95°"),
    ("corner-heights", {"front_left": "21"}, 0, "1.00 in at the front"),
    ("stopping", {"distance": "40"}, 0, "40.0 ft, mean 0.33 g"),
    ("hub-heat", {"hubs": "120 120 120 160"}, 0, "hub 4 160 °F, 40 °F over"),
    ("wire-size", {"most": "10"}, 0, "12 AWG"),
    ("wire-size", {"amps": "30", "way": "15", "fuse": "30"}, 0, "4 AWG"),
    ("wire-size", {"amps": "30", "way": "15", "fuse": "30", "most": "10"}, 0, "10 AWG"),
    ("fuse", {"gauge": "10"}, 0, "30 A"),
    ("fuse", {"gauge": "14"}, 0, "15 A"),
    ("lamp-volts", {"lamp": "11.34"}, 0, "90 % of the plug"),
    ("state-of-charge", {"volts": "12.65", "warm": "80"}, 0, "100 %"),
    ("state-of-charge", {"volts": "12.24", "warm": "80"}, 0, "50 %"),
    ("state-of-charge", {"volts": "12.06", "warm": "80"}, 0, "25 %"),
    ("breakaway-battery", {"amps": "6", "exponent": "1"}, 0, "about 50 min"),
    ("plug-pins", {"plug": "blade7"}, 0, "2 electric brakes"),
    ("plug-pins", {"plug": "iso13"}, 0, "8 reverse"),
    ("lamps", {}, 0, "3 × rear identification lamp, red"),  # 49 CFR 571.108: from 80 in of width
    ("lamps", {"length": "31"}, 0, "intermediate"),  # from 30 ft of length
    ("ground-and-bond", {"ohms": "0.2 0.9"}, 0, "at most 0.90 ohm, point 2"),
    ("live-test", {"right": "5"}, 0, "5 of 6 outlets right"),
    ("battery-load", {"volts": "10.8"}, 0, "10.8 V after"),
    ("converter", {"idle": "13.2"}, 0, "13.2 V without load"),
    ("safety-valve", {"seconds": "90"}, 0, "90 s"),
    ("carbon-monoxide", {"inside": "10", "outside": "2"}, 0, "8 ppm over"),
]
# 29 CFR 1910.110, NFPA 58 annex B, CoolProp 8, 49 CFR 180.209; the ideal gas by hand
GAS: list[Case] = [
    ("cylinder-fill", {"water": "71.5"}, 0, "30.0 lb"),
    ("cylinder-fill", {"water": "95.2"}, 0, "40.0 lb"),
    ("cylinder-fill", {"water": "238"}, 0, "100.0 lb"),
    ("gas-run-time", {"fuel": "40", "inputs": "40000", "duties": "100"}, 0, "21.5 h"),
    ("gas-run-time", {"fuel": "100", "inputs": "80000", "duties": "100"}, 0, "26.9 h"),
    ("gas-pressure", {"warm": "0"}, 0, "23.7 psi"),
    ("gas-pressure", {"warm": "40"}, 0, "63.9 psi"),
    ("gas-pressure", {"warm": "100"}, 0, "173.9 psi"),
    ("gas-pressure", {"warm": "20", "warm-unit": "degC"}, 0, "106.6 psi"),  # 836.5 kPa: saturation at 20 °C
    ("leak-test", {"end": "8.4", "air": "14.5"}, 0, "0.0073 ft³/h"),
    ("leak-test", {"end": "9"}, 0, "0.0000 ft³/h"),
    ("gas-pipe-serves", {"btu": "29000"}, 1, "1/2 in OD copper tube"),
    ("gas-pipe-serves", {"btu": "20000"}, 1, "3/8 in OD copper tube"),
    ("gas-pipe-serves", {"btu": "300000"}, 1, "3/4 in schedule 40 pipe"),
    ("regulator", {"running": "10.8", "lock_up": "13"}, 0, "running 10.8 in wc, lock-up 13 in wc"),
    ("requalification", {"method": "proof pressure (S)"}, 0, "04-2032"),
    ("requalification", {"method": "volumetric expansion"}, 0, "04-2034"),
    ("requalification", {"made": ""}, 0, "04-2027"),
    ("water-hold", {"end": "45"}, 0, "0.0 psi in 15 min"),
    ("spray", {"minutes": "12"}, 0, "12 min"),
    ("damp-wood", {"points": "10 22"}, 0, "22.0 %, point 2"),
]
# Statics, levers and subtraction by hand
WEIGHTS: list[Case] = [
    ("scale-tickets", {}, 2, "6,000 lb"),
    ("scale-tickets", {}, 4, "80 lb"),
    ("tongue-share", {"tongue": "600", "gross": "6000", "doubt": ""}, 0, "10.0 %"),
    ("tongue-share", {"tongue": "-52", "doubt": ""}, 0, "-1.0 %"),
    ("tongue-by-beam", {"reading": "200", "load": "12", "scale": "48"}, 0, "800 lb"),
    ("tongue-by-jack", {"jack": "700", "behind": "20", "length": "200"}, 0, "630 lb"),
    ("cargo-room", {"water": "", "gas": "", "gear": ""}, 0, "1,800"),
    ("cargo-to-reach", {"share": "10"}, 0, "14,508"),
    ("cargo-moved", {"thing": "300"}, 0, "10.4 %"),
    ("largest-trailer", {"coupler": "5000"}, 0, "5,000 lb"),
    ("largest-trailer", {"hitch": "600"}, 0, "5,000 lb"),
    ("ratings", {"ball_load": "5000"}, 0, "lb left"),
    ("spring-bars", {"restored": "100"}, 0, "461 lb a bar"),
    ("spring-bars", {"restored": "0"}, 0, "0 lb a bar"),
    ("spring-bars", {"restored": "100"}, 1, "front 3,100 lb"),
    ("spring-bars", {}, 2, "front 2,853 lb, rear 3,917 lb"),
    ("spring-bars", {"axles": "1"}, 2, "trailer axle 5,280 lb each"),
    ("spring-bars", {"axles": "3"}, 2, "trailer axle 1,760 lb each"),
    (
        "bars-by-tickets",  # what 13,824 lb·in do to the three, by the levers
        {"change_front": "123.43", "change_rear": "-195.43", "change_trailer": "72"},
        0,
        "13,82",
    ),
    ("restored-by-height", {"engaged": "32 3/4"}, 0, "about 75 %"),
    ("drawbar-drop", {"shank": "15", "coupler": "21", "squat": "0", "step": "1"}, 0, "rise 4.00 in"),
    ("level", {"front": "20", "rear": "20"}, 0, "level"),
    ("level", {"front": "20", "rear": "20 1/4"}, 0, "0.25 in nose down"),
    ("chains", {"mark": "43 3/8", "chains": ""}, 0, "32,400 lb"),  # 49 CFR 393.108: 5,400 lb x 3, two
    ("chains", {"mark": "70 1/2", "chains": ""}, 0, "90,400 lb"),
    ("u-bolt-thread", {"shortest": "1/2"}, 0, "at least 1/2 in"),
]
# The calendar (5 U.S.C. 6103 for the holidays) and cents by hand
MONEY_AND_DAYS: list[Case] = [
    ("due-again", {"months": "1"}, 0, "2026-06-04"),
    ("due-again", {"months": "10", "done": "2026-04-30"}, 0, "2027-02-28"),
    ("due-again", {"every": "500", "at": "100"}, 0, "600 miles"),
    ("promised-day", {"start": "2026-05-21", "days": "2", "off": "", "federal": "yes"}, 0, "2026-05-26"),
    ("promised-day", {"start": "2026-07-01", "days": "3", "off": "", "federal": "yes"}, 0, "2026-07-07"),
    ("promised-day", {"start": "2026-07-01", "days": "3", "off": ""}, 0, "2026-07-06"),
    ("holidays", {"year": "2027"}, 0, "2027-05-31 Memorial Day"),
    ("holidays", {"year": "2027"}, 0, "2027-07-05 Independence Day"),
    ("holidays", {"year": "2025"}, 0, "2025-11-27 Thanksgiving Day"),
    ("days-of-work", {"ahead": "8 8", "own": "8", "day": "8"}, 0, "3 working days"),
    ("days-of-work", {"ahead": "", "own": "0.5"}, 0, "1 working days"),
    ("hours-worked", {"minutes": "60 30"}, 0, "1.5 h"),
    ("hours-worked", {"minutes": "10 10 10"}, 0, "0.5 h"),
    ("hours-worked", {"minutes": "3"}, 0, "0.1 h"),
    ("line-amount", {"quantity": "2.5", "price": "110.00"}, 0, "275.00"),
    ("line-amount", {"quantity": "3", "price": "12.49"}, 0, "37.47"),
    ("capped-share", {"base": "500.00"}, 0, "25.00"),
    ("tolerance", {"agreed": "300.00"}, 0, "30.00"),
    ("selling-price", {"cost": "10.00"}, 0, "16.00"),
    ("selling-price", {"cost": "200.00"}, 0, "250.00"),
    ("bill", {"discount": "", "paid": ""}, 0, "306.98"),  # 163.75 x 1.0625 + 133 = 306.98
]
GROUPS = (AGES, SIZES, LOADS, NUMBERS, NUTS, HUBS, BALANCE, BRAKES, GAS, WEIGHTS, MONEY_AND_DAYS)
CASES = [case for group in GROUPS for case in group]


@pytest.mark.parametrize(("key", "changed", "which", "says"), CASES)
def test_a_figure_says_what_the_outside_says(
    key: str, changed: dict[str, str], which: int, says: str
) -> None:
    assert says in asked(key, changed)[which].says.replace(NO_BREAK, " ")


def test_every_entry_has_a_value_from_outside() -> None:
    """The verdicts of law and practice in the neighbouring test count for figures that only judge."""
    judged = {
        "bolt-torque",
        "cold-pressure",
        "tread",
        "end-play",
        "magnet-current",
        "gas-pipe",
        "voltage-drop",
    }
    assert set(all_figures()) - {case[0] for case in CASES} == judged | {"wrench", "axles-parallel"}


def test_a_narrow_trailer_needs_no_identification_lamps() -> None:
    says = asked("lamps", {"width": "79"})[0].says  # 49 CFR 571.108, table I-b: 80 in or more
    assert "identification" not in says
    assert "clearance" not in says


# Verdicts: law where a section is named, common practice elsewhere
VERDICTS = [
    ("bolt-torque", {"readings": "75 75 60 74"}, "dnt"),
    ("bolt-torque", {"readings": "75 75 76"}, "sound"),
    ("magnet-current", {"amps": "15"}, "sound"),
    ("magnet-current", {"amps": "0"}, "dnt"),
    ("magnet-current", {"amps": "0", "required": ""}, "needs"),
    ("magnet-current", {"amps": "30"}, "dnt"),
    ("magnet-resistance", {"ohms": "3.2 0.4"}, "dnt"),
    ("magnet-resistance", {"ohms": "3.2 0.4", "required": ""}, "needs"),
    ("axle-tires", {"loads": "1480 1480"}, "dnt"),
    ("spare", {"load": "1700"}, "needs"),
    ("grease", {"there": "clay"}, "needs"),
    ("grease", {"there": "nothing, washed clean"}, "sound"),
    ("grease", {"category": "LB"}, "needs"),
    ("grease", {"boat": "yes"}, "needs"),
    ("grease", {"boat": "yes", "water": "yes"}, "sound"),
    ("chains", {"chains": "", "mark": "30 1/4"}, "needs"),
    ("chains", {"chains": "", "mark": "30 1/4", "count": "1"}, "dnt"),
    ("chains", {"chains": "", "mark": "43 5/16"}, "sound"),
    ("regulator", {"creeps": "yes"}, "needs"),
    ("regulator", {"running": "9"}, "needs"),
    ("leak-test", {"end": "9"}, "sound"),
    ("leak-test", {"end": "9", "minutes": "2"}, "unseen"),
    ("leak-test", {"start": "7", "end": "7"}, "unseen"),
    ("leak-test", {"end": "9.3"}, "needs"),
    ("leak-test", {"test": "drop", "start": "8", "end": "8"}, "sound"),
    ("leak-test", {"test": "appliances", "start": "12", "end": "12", "minutes": "10"}, "sound"),
    ("cylinder-fill", {"scale": "38"}, "dnt"),
    ("requalification", {"on": "2027-04-30"}, "watch"),
    ("level", {"front": "21 1/2"}, "needs"),
    ("tongue-share", {"tongue": "520", "doubt": ""}, "sound"),
    ("tongue-share", {"tongue": "780", "doubt": ""}, "sound"),
    ("tongue-share", {"tongue": "781", "doubt": ""}, "needs"),
    ("cargo-room", {"gear": "1500"}, "dnt"),
    ("water-hold", {"minutes": "5"}, "unseen"),
    ("safety-valve", {"seconds": "91"}, "needs"),
    ("carbon-monoxide", {"inside": "1"}, "sound"),
    ("state-of-charge", {"volts": "11.8"}, "needs"),
    ("hub-heat", {"hubs": "140 140 210"}, "needs"),
    ("axles-parallel", {"right": "33 1/4"}, "needs"),
    ("corner-heights", {"front_left": "22"}, "needs"),
    ("drum", {"diameters": "10.095 10.092"}, "dnt"),
    ("lining", {"thinnest": "1"}, "dnt"),
    ("lamp-volts", {"lamp": "10"}, "needs"),
    ("fuse", {"gauge": "14", "fuse": "20"}, "needs"),
    ("runout-total", {"total": "0.09"}, "needs"),
    ("bearing-service", {"done": "2024-05-10"}, "needs"),
    ("bearing-service", {"miles": "12001"}, "needs"),
    ("u-bolt-thread", {"shortest": "0"}, "needs"),
    ("tires-apart", {"codes": "0119 0125"}, "watch"),
    ("tire-age", {"code": "0125"}, "sound"),
    ("tire-age", {"code": "0115"}, "dnt"),
    ("vin", {"number": "1M8GDM9A1KP042788"}, "watch"),
    ("much-weight", {"outer": "3"}, "sound"),
    ("balance-left", {"outer": "0.25"}, "sound"),
    ("converter", {"loaded": "12"}, "needs"),
    ("damp-wood", {"points": "12 30"}, "needs"),
]


@pytest.mark.parametrize(("key", "changed", "grade"), VERDICTS)
def test_a_verdict_is_the_one_of_law_and_practice(key: str, changed: dict[str, str], grade: str) -> None:
    assert grade in {each.verdict.grade for each in asked(key, changed) if each.verdict}
