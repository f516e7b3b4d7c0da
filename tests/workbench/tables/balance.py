"""Balancing, the forces behind it, and runout."""

from tests.workbench.tables.rows import cited, judged, questioned, refused, says, worth

PARTS = (
    *cited(
        "vectors by complex numbers: 2.0 at 40 degrees and 1.5 at 160",
        worth(
            "unbalance-parts",
            {
                "0.static.amount": "1.8028",
                "0.static.angle": "86.102",
                "0.couple.amount": "1.5207",
                "0.couple.angle": "14.715",
            },
            outer="2.0",
            outer_at="40",
            inner="1.5",
            inner_at="160",
        ),
    ),
    *cited(
        "statics: force and moment stay; 60 at 30 degrees and -50 mm, 40 at 250 degrees and 250 mm",
        worth(
            "planes-moved",
            {"0.0.amount": "89.145", "0.0.angle": "36.440", "0.1.amount": "69.158", "0.1.angle": "241.089"},
            first="60",
            first_at="30",
            first_place="-50",
            first_place_unit="mm",
            second="40",
            second_at="250",
            second_place="250",
            second_place_unit="mm",
            to_outer="0",
            to_inner="180",
            to_inner_unit="mm",
            unit="g",
        ),
        refused("planes-moved", "to_inner", "", to_inner="0"),  # both planes at one place
        refused("planes-moved", "to_outer", "101", to_outer="101"),
    ),
    *cited(
        "moments: weight times radius stays",
        worth("weight-at-radius", {"0.amount": "1.0714"}, weight="1", radius="7.5", other="7"),
        worth("weight-at-radius", {"0.amount": "2"}, weight="1", radius="8", other="4"),
        worth("weight-radii", {"0": "7", "1": "6"}, rim="14", inset="1"),
        worth("weight-radii", {"0": "7.5", "1": "7.5"}, rim="15", inset="0"),
        refused("weight-at-radius", "other", "0", other="0"),
        refused("weight-radii", "rim", "3", rim="3"),
    ),
    *cited(
        "the law of sines; two of 1 oz 30 degrees either side act as the root of 3",
        worth(
            "weight-split",
            {"0.0.amount": "46.4193", "0.1.amount": "9.1292"},
            weight="50",
            weight_at="100",
            first="90",
            second="162",
            unit="g",
        ),
        worth(
            "weight-split",
            {"0.0.amount": "1.0000", "0.1.amount": "1.0000"},
            weight="1.73205",
            weight_at="0",
            first="330",
            second="30",
        ),
        refused("weight-split", "weight_at", "", weight_at="73"),
        refused("weight-split", "second", "", second="180", weight_at="10"),
    ),
    *cited(
        "common practice: a quarter of an ounce or 5 g; what cannot be told is left",
        says("weights-one-plane", "0.50 oz at 0°", heavy="0.5", heavy_at="180"),
        says("weights-one-plane", "10.00 g at 90°; 0.00 g", heavy="10", heavy_at="270", unit="g", step="5"),
        says(
            "weights-two-planes",
            "outer 1.00 oz at 0°; inner 0.50 oz at 270°",
            **{"outer": "1", "outer_at": "180", "inner": "0.5", "inner_at": "90"},
        ),
        judged("weights-two-planes", "sound", limit="0.25"),
        judged("weights-two-planes", "needs", outer="0.6", inner="0", step="60", limit="0.25"),
        refused("weights-two-planes", "every", "4", every="4"),
        judged("balance-left", "sound", outer="0.25", inner="0.25"),
        judged("balance-left", "needs", outer="0.26"),
        judged("balance-left", "needs", inner="0.26"),
        judged("balance-left", "sound", outer="5", inner="5", unit="g", limit="5"),
        judged("balance-left", "needs", outer="5.1", inner="5", unit="g", limit="5"),
        refused("weights-one-plane", "step", "0", step="0"),
        refused("weights-one-plane", "heavy", "-1", heavy="-1"),
        refused("balance-left", "limit", "61", limit="61"),
    ),
    *cited(
        "common practice: over 4 oz on rims to 14 in, over 6 oz on larger ones, the runout comes first",
        judged("much-weight", "sound", outer="4", rim="14"),
        judged("much-weight", "watch", outer="4.01", rim="14"),
        judged("much-weight", "sound", outer="6", rim="15"),
        judged("much-weight", "watch", outer="6.01", rim="15"),
        judged("much-weight", "watch", outer="0", inner="6.01", rim="16"),
        judged("much-weight", "watch", outer="171", unit="g", rim="15"),  # 6.03 oz
        judged("much-weight", "sound", outer="170", unit="g", rim="15"),  # 6.00 oz
    ),
)

TRIALS = (
    *cited(
        "influence coefficients in complex numbers: 5 at 60, with 20 g at 0 it reads 4.2 at 110",
        worth(
            "trial-weight",
            {"0.amount": "25.2837", "0.angle": "54.437"},
            before="5",
            before_at="60",
            after="4.2",
            after_at="110",
            trial="20",
            unit="g",
        ),
        judged("trial-weight", "sound"),
        judged("trial-weight", "watch", before="5", before_at="30", after="5.1", after_at="32"),
        refused("trial-weight", "after", "", after="5", after_at="30"),  # nothing changed
        refused("trial-weight", "trial", "", trial="0"),
    ),
    *cited(
        "two planes, an instrument maker's published example: 1.979 g at 236.2 and 1.071 g at 121.8 degrees",
        worth(
            "trial-weights",
            {"0.0.amount": "1.979", "0.0.angle": "236.2", "0.1.amount": "1.071", "0.1.angle": "121.8"},
            **{"before_1": "170", "before_1_at": "112", "before_2": "53", "before_2_at": "78"},
            **{"outer": "1.15", "outer_at": "0", "inner": "1.15", "inner_at": "0", "unit": "g"},
            **{"with_outer_1": "235", "with_outer_1_at": "94"},
            **{"with_outer_2": "58", "with_outer_2_at": "68"},
            **{"with_inner_1": "185", "with_inner_1_at": "115"},
            **{"with_inner_2": "77", "with_inner_2_at": "104"},
        ),
        refused("trial-weights", "outer", "", outer="0"),
    ),
)

FORCE = (
    *cited(
        "mechanics: m r w²; 1 oz at 7.5 in and 60 mph, rolling radius 14 in",
        worth("force-at-speed", {"0": "6.9076", "1": "720.290"}, rolling="14"),
        worth("force-at-speed", {"0": "27.630", "1": "1440.580"}, rolling="14", speed="120"),
        worth("force-at-speed", {"0": "0"}, weight="0"),
        refused("force-at-speed", "weight", "65", weight="65"),
        refused("force-at-speed", "rolling", "1", rolling="1"),
    ),
    *cited(
        "ISO 21940-11: permitted unbalance is G m / w; G 40, 25 kg, 720.29 turns a minute: 13,257.6 g·mm",
        worth("balance-grade", "13257.6", rolling="14", left="", plane_outer="", plane_inner="", centre=""),
        worth("balance-grade", {"0": "2088.1", "1": "720.290"}, rolling="14", grade="6.3", left="100"),
        judged("balance-grade", {"3": "sound"}, rolling="14", left="13257"),
        judged("balance-grade", {"3": "needs"}, rolling="14", left="13258"),
        refused("balance-grade", "grade", "0.3", grade="0.3"),
    ),
    *cited(
        "ISO 21940-11 (from memory): by the levers of the centre, between 3 and 7 tenths a plane",
        worth("balance-grade", {"2.0": "6250", "2.1": "6250"}, centre="2.75"),
        worth("balance-grade", {"2.0": "8750", "2.1": "3750"}, centre="5"),
        worth("balance-grade", {"2.0": "3750", "2.1": "8750"}, centre="0.5"),
    ),
)

RUNOUT = (
    *cited(
        "first harmonic by least squares, checked with numpy's transform: 15.2226 at 175.452 degrees",
        worth("runout", {"0.tir": "31", "0.high.amount": "15.2226", "0.high.angle": "175.452"}),
        worth("runout", {"0.tir": "20", "0.high.amount": "10", "0.high.angle": "0"}, readings="10 0 -10 0"),
        worth("runout", {"0.tir": "0"}, readings="5 5 5 5"),
        refused("runout", "readings", "2 numbers", readings="1 2"),
        refused("runout", "readings", "1001", readings="1 2 1001"),
    ),
    *cited(
        "half the sum stays with the wheel, half the difference goes with the tire: 30 at 70 and 10 at 200",
        worth(
            "match-mounting",
            {
                "0.wheel.amount": "12.3928",
                "0.wheel.angle": "88.003",
                "0.tire.amount": "18.6123",
                "0.tire.angle": "58.124",
                "0.turn": "209.879",
                "0.best": "6.2195",
                "0.worst": "31.0051",
            },
            first="30",
            first_at="70",
            second="10",
            second_at="200",
        ),
    ),
    *cited(
        "49 CFR 570.10(b): at most 1/8 in at the bead seat; shop aims are common practice",
        judged("runout-total", "needs", where="bead seat, steel wheel", total="0.126"),
        judged("runout-total", "needs", where="bead seat, steel wheel", total="0.125"),
        judged("runout-total", "needs", where="bead seat, steel wheel", total="0.046"),
        judged("runout-total", "sound", where="bead seat, steel wheel", total="0.045"),
        judged("runout-total", "sound", where="bead seat, alloy wheel", total="0.030"),
        judged("runout-total", "needs", where="bead seat, alloy wheel", total="0.031"),
        judged("runout-total", "sound", where="tread, radial", total="0.060"),
        judged("runout-total", "needs", where="tread, radial", total="0.061"),
        judged("runout-total", "sound", where="sidewall, lateral", total="0.080"),
        judged("runout-total", "needs", where="sidewall, lateral", total="0.081"),
        questioned("runout-total", "total", "0.26", total="0.26"),
        refused("runout-total", "total", "2.1", total="2.1"),
        refused("runout-total", "total", "-0.1", total="-0.1"),
    ),
)

ROWS = (*PARTS, *TRIALS, *FORCE, *RUNOUT)
