"""Brakes, axles by tape, and the road test."""

from tests.workbench.tables.rows import cited, judged, refused, says, worth

BRAKES = (
    *cited(
        "49 CFR 570.59(c): bonded lining at least 1/16 in over the shoe, riveted 1/32 in over the rivet",
        judged("lining", "dnt", thinnest="1.9", shop=""),
        judged("lining", "dnt", kind="riveted", thinnest="0.9", shop=""),
        worth("lining", "0", thinnest="2", shop=""),
        worth("lining", "0", thinnest="1", kind="riveted", shop=""),
        worth("lining", "3", thinnest="4", kind="riveted", shop=""),
        worth("lining", "0.016", thinnest="1.6", thinnest_unit="mm", shop=""),
        refused("lining", "thinnest", "17", thinnest="17"),
        refused("lining", "thinnest", "-1", thinnest="-1"),
    ),
    *cited(
        "49 CFR 393.47(d): 1/16 in for commercial trailers, riveted ones too",
        judged("lining", "dnt", thinnest="1.9", kind="riveted", commercial="yes", shop=""),
    ),
    *cited(
        "the shop's own figure may only be stricter: 3/32 in, common practice",
        judged("lining", "sound", thinnest="4"),
        judged("lining", "watch", thinnest="3"),
        judged("lining", "dnt", thinnest="2.9"),
        worth("lining", "3", shop="1"),  # the law's 2/32 stays
    ),
    *cited(
        "49 CFR 570.59(b): a drum is within the diameter cast on it; nothing legible cannot be passed",
        worth("drum", "0.000", diameters="10.090 10.080"),
        worth("drum", "0.090", diameters="10.000 10.000"),
        judged("drum", "sound", diameters="10.060 10.060"),
        judged("drum", "dnt", diameters="10.091 10.090"),
        judged("drum", "unseen", cast=""),
        worth("drum", "0.250", diameters="12.000 12.000", cast="12.250"),
        refused("drum", "diameters", "1 number", diameters="10"),
        refused("drum", "cast", "31", cast="31"),
    ),
    *cited(
        "49 CFR 570.59(c): a pad 1/16 in over the shoe, 1/32 in over a rivet; 1/8 in: common practice",
        judged("pad", "dnt", thinnest="1.9"),
        judged("pad", "needs", thinnest="2"),
        judged("pad", "needs", thinnest="3.9"),
        judged("pad", "sound", thinnest="4"),
        judged("pad", "dnt", thinnest="0.9", kind="riveted"),
        judged("pad", "needs", thinnest="1", kind="riveted"),
        worth("pad", "5", thinnest="7"),
        refused("pad", "thinnest", "25", thinnest="25"),
    ),
    *cited(
        "49 CFR 570.59(b): a rotor is within the thickness marked on it; nothing legible cannot be passed",
        worth("rotor", "0.020", thinnest="0.470", least="0.450"),
        judged("rotor", "sound", thinnest="0.450", least="0.450"),
        judged("rotor", "dnt", thinnest="0.449", least="0.450"),
        judged("rotor", "unseen", least=""),
        refused("rotor", "thinnest", "5", thinnest="5"),
    ),
    *cited(
        "Ohm: so many magnets, 3.2 to 3.5 ohm on 10 and 12 in drums, 3.8 to 4.0 on 7 in (common practice)",
        worth("magnet-expected", {"0.least": "6.86", "0.most": "7.50"}, count="2", volts="12"),
        worth("magnet-expected", {"0.least": "7.43", "0.most": "8.13"}, count="2", volts="13"),
        worth("magnet-expected", {"0.least": "13.71", "0.most": "15.00"}, count="4", volts="12", drum="12"),
        worth("magnet-expected", {"0.least": "22.29", "0.most": "24.38"}, count="6", volts="13", drum="12"),
        worth("magnet-expected", {"0.least": "6.00", "0.most": "6.32"}, count="2", volts="12", drum="7"),
        worth("magnet-expected", {"0.least": "19.50", "0.most": "20.53"}, count="6", volts="13", drum="7"),
        worth(
            "magnet-expected", {"0.least": "12", "0.most": "16"}, drum="own", least="3", most="4", volts="12"
        ),
        worth("magnet-expected", {"0.least": "3", "0.most": "3"}, drum="own", least="4", most="", volts="3"),
        refused("magnet-expected", "least", "maker's ohms are missing", drum="own", least="", most=""),
        refused("magnet-resistance", "least", "maker's ohms are missing", drum="own", least="", most=""),
        refused("magnet-expected", "count", "13 cannot be", count="13"),
    ),
    *cited(
        "49 CFR 570.58(a): every electric brake works; a tenth either way is common practice",
        judged("magnet-current", "sound", amps="12.97"),  # nine tenths of 14.4
        judged("magnet-current", "sound", amps="17.3"),  # 15.75 and a tenth is 17.325
        judged("magnet-current", "needs", amps="17.4"),
        judged("magnet-current", "dnt", amps="11.6"),  # what three of four draw
        judged("magnet-current", "dnt", amps="0.1"),
        judged("magnet-current", "needs", amps="0.1", required=""),
        judged("magnet-current", "needs", amps="11.6", required=""),
        says("magnet-current", "a magnet does not draw"),
        judged("magnet-resistance", "sound", ohms="2.9 3.8"),
        judged("magnet-resistance", "dnt", ohms="2.8 3.3"),
        judged("magnet-resistance", "needs", ohms="3.3 3.9"),
        judged("magnet-resistance", "needs", ohms="2.8 3.3", required=""),
        judged("magnet-resistance", "sound", drum="7", ohms="3.8 4.0"),
        judged("magnet-resistance", "dnt", drum="7", ohms="3.2 4.0"),
        refused("magnet-resistance", "ohms", "1001", ohms="1001"),
    ),
    *cited(
        "49 CFR 393.43(d): all brakes at once, held for at least 15 minutes; 10.5 V is common practice",
        judged("breakaway-hold", "sound", minutes="15", volts="10.5"),
        judged("breakaway-hold", "dnt", minutes="14.9"),
        judged("breakaway-hold", "dnt", held="3"),
        judged("breakaway-hold", "dnt", volts="10.4"),
        judged("breakaway-hold", "needs", minutes="14.9", required=""),
        refused("breakaway-hold", "held", "", held="5"),
        refused("breakaway-hold", "braked", "0 cannot be", braked="0"),
    ),
)

AXLES = (
    *cited(
        "geometry: sin of the angle is (left² - right²) / (4 x length x half the width)",
        worth("axle-square", "0.101", left="195.471", right="195.346", between="72", length="192"),
        worth("axle-square", "0.304", left="195.721", right="195.346", between="72", length="192"),
        worth("axle-square", "0", left="195", right="195"),
        says("axle-square", "0.375 in apart", left="195 3/8", right="195"),
    ),
    *cited(
        "common practice: 1/8 in between the tapes; 49 CFR 393.70(a): the path within 3 in",
        judged("axle-square", "sound", left="195 1/8", right="195"),
        judged("axle-square", "needs", left="195 3/16", right="195"),
        judged("axle-square", "needs", left="195", right="195 3/16"),
        judged("axle-square", "needs", left="193", right="192", between="72", length="192"),
        refused("axle-square", "left", "", left="300"),
        judged("axles-parallel", "sound", left="33", right="33 1/16"),
        judged("axles-parallel", "needs", left="33", right="33 5/64"),
        judged("axles-parallel", "sound", left="33 1/16", right="33"),
        judged("axles-parallel", "needs", left="33 1/8", right="33"),
        refused("axles-parallel", "left", "0 ", left="0"),
    ),
    *cited(
        "geometry: toe in inches over the tire's diameter; 1/16 in on 28 in is 0.128 degree, 1/8 in 0.256",
        worth("toe", "0.128", front="73 1/2", rear="73 9/16", diameter="28"),
        worth("toe", "0.256", front="73 1/2", rear="73 5/8", diameter="28"),
        judged("toe", "sound", front="73 1/2", rear="73 5/8"),
        judged("toe", "needs", front="73 1/2", rear="73 11/16"),
        judged("toe", "needs", front="73 11/16", rear="73 1/2"),
        says("toe", "0.125 in toe out", front="73 5/8", rear="73 1/2"),
    ),
    *cited(
        "geometry: 1/4 in over 15 in is 0.955 degree; common practice: 1 degree, 1/2 between the sides",
        worth("camber", {"0.0": "-0.955", "0.1": "-0.955"}, left="1/4", right="1/4"),
        judged("camber", "sound", left="1/4", right="1/4"),
        judged("camber", "needs", left="9/32", right="9/32"),
        judged("camber", "needs", left="3/16", right="1/32"),
        judged("camber", "sound", left="-1/4", right="-1/4"),
        refused("camber", "height", "3", height="3"),
    ),
    *cited(
        "common practice: at most 1 in from side to side; COMAR 11.14.05.03 asks for a level stand",
        judged("corner-heights", "sound", front_left="21", front_right="20"),
        judged("corner-heights", "needs", front_left="21 1/16", front_right="20"),
        judged("corner-heights", "needs", rear_left="18 15/16", rear_right="20"),
        says("corner-heights", "1.06 in at the rear", rear_left="18 15/16", rear_right="20"),
    ),
)

ROAD = (
    *cited(
        "common practice: a hub at most 200 °F, and at most 50 °F over the others",
        judged("hub-heat", "sound", hubs="150 150 150 200"),
        judged("hub-heat", "needs", hubs="190 190 190 201"),
        judged("hub-heat", "sound", hubs="100 100 100 149"),
        judged("hub-heat", "needs", hubs="100 100 100 151"),
        says("hub-heat", "hub 1 160 °F, 20 °F over the others", hubs="160 140 140"),
        refused("hub-heat", "hubs", "1 number", hubs="140"),
        refused("hub-heat", "hubs", "901", hubs="140 901"),
    ),
    *cited(
        "49 CFR 393.52(d): 40 ft from 20 mph, 35 ft with a trailer of 3,000 lb or less",
        judged("stopping", "sound", distance="40"),
        judged("stopping", "needs", distance="40.1"),
        judged("stopping", "sound", distance="35", what="light"),
        judged("stopping", "needs", distance="35.1", what="light"),
    ),
    *cited(
        "mechanics: distance goes with the square of the speed; v² / 2 d over 32.174 ft/s²",
        worth("stopping", "33.8", distance="38", speed="21.2"),
        worth("stopping", "48.4", distance="40", speed="18.18181818"),
        says("stopping", "mean 0.53 g", distance="25"),
        says("stopping", "mean 0.38 g", distance="35"),
        says("stopping", "mean 0.33 g", distance="40"),
        refused("stopping", "speed", "23", speed="23"),
        refused("stopping", "speed", "17", speed="17"),
        refused("stopping", "distance", "0", distance="0"),
    ),
)

ROWS = (*BRAKES, *AXLES, *ROAD)
