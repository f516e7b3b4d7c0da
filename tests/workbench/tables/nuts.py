"""Wheel nuts, studs, U-bolts, wrenches and their adapters."""

from tests.workbench.tables.rows import Row, cited, judged, near, questioned, refused, says, worth


def _stud(thread: str, grade: str, proof: str, torque: str) -> Row:
    return worth("stud-strength", {"1": proof, "3": torque}, thread=thread, grade=grade)


AREAS = (
    *cited(
        "ASME B1.1 tables, as reprinted: tensile stress area in square inches",
        near("stress-area", "0.1", "0.1187", thread="7/16-20"),
        near("stress-area", "0.1", "0.1599", thread="1/2-20"),
        near("stress-area", "0.1", "0.203", thread="9/16-18"),
        near("stress-area", "0.1", "0.256", thread="5/8-18"),
        near("stress-area", "0.3", "0.0318", thread="1/4-20"),
        near("stress-area", "0.3", "0.0524", thread="5/16-18"),
        near("stress-area", "0.3", "0.0775", thread="3/8-16"),
    ),
    *cited(
        "ISO 898-1 table of nominal stress areas (from memory), square millimetres, two of them rounded",
        near("stress-area", "0.5", "88.1", thread="M12x1.5"),
        near("stress-area", "0.5", "125", thread="M14x1.5"),
        near("stress-area", "0.5", "84.3", thread="M12x1.75"),
        near("stress-area", "0.5", "58.0", thread="M10x1.5"),
        near("stress-area", "0.5", "157", thread="M16x2"),
    ),
    *cited(
        "a thread says its diameter and its threads to the inch, or M, diameter and pitch",
        refused("stress-area", "thread", "", thread="half inch"),
        refused("stress-area", "thread", "", thread="1/2"),
        refused("stress-area", "thread", "", thread="1/2-1"),
        refused("stress-area", "thread", "", thread="M12x12"),
    ),
)

STRENGTH = (
    *cited(
        "SAE J429: proof stress of 55, 85 and 120 ksi on the area; torque 0.20 x D x 0.75 of it, by hand",
        _stud("7/16-20", "2", "6529", "35.7"),
        _stud("7/16-20", "5", "10091", "55.2"),
        _stud("7/16-20", "8", "14246", "77.9"),
        _stud("1/2-20", "2", "8797", "55.0"),
        _stud("1/2-20", "5", "13596", "85.0"),
        _stud("1/2-20", "8", "19194", "120.0"),
        _stud("9/16-18", "2", "11164", "78.5"),
        _stud("9/16-18", "5", "17253", "121.3"),
        _stud("9/16-18", "8", "24358", "171.3"),
        _stud("5/8-18", "2", "14078", "110.0"),
        _stud("5/8-18", "5", "21756", "170.0"),
        _stud("5/8-18", "8", "30715", "240.0"),
    ),
    *cited(
        "SAE J429 proof loads as printed in a public works submittal, rounded there to 50 lbf",
        near("stud-strength", "1.5", {"1": "1750"}, thread="1/4-20", grade="2"),
        near("stud-strength", "1.5", {"1": "2700"}, thread="1/4-20", grade="5"),
        near("stud-strength", "1.5", {"1": "3800"}, thread="1/4-20", grade="8"),
        near("stud-strength", "1.5", {"1": "2900"}, thread="5/16-18", grade="2"),
        near("stud-strength", "1.5", {"1": "4450"}, thread="5/16-18", grade="5"),
        near("stud-strength", "1.5", {"1": "6300"}, thread="5/16-18", grade="8"),
        near("stud-strength", "1.5", {"1": "4250"}, thread="3/8-16", grade="2"),
        near("stud-strength", "1.5", {"1": "6600"}, thread="3/8-16", grade="5"),
        near("stud-strength", "1.5", {"1": "9300"}, thread="3/8-16", grade="8"),
    ),
    *cited(
        "ISO 898-1 table of proof loads in newtons (from memory), worked from the rounded area",
        near("stud-strength", "0.5", {"1": "51100"}, thread="M12x1.5", grade="8.8"),
        near("stud-strength", "0.5", {"1": "73100"}, thread="M12x1.5", grade="10.9"),
        near("stud-strength", "0.5", {"1": "85500"}, thread="M12x1.5", grade="12.9"),
        near("stud-strength", "0.7", {"1": "72500"}, thread="M14x1.5", grade="8.8"),
        near("stud-strength", "0.7", {"1": "104000"}, thread="M14x1.5", grade="10.9"),
        near("stud-strength", "0.7", {"1": "121000"}, thread="M14x1.5", grade="12.9"),
        _stud("M12x1.5", "10.9", "73144", "131.7"),
        _stud("M14x1.5", "12.9", "120809", "253.7"),
    ),
    *cited(
        "a grade is for inch threads or for metric ones; K of 0.08 to 0.35 is what textbooks show",
        refused("stud-strength", "grade", "", thread="1/2-20", grade="10.9"),
        refused("stud-strength", "thread", "", thread="M12x1.5", grade="8"),
        questioned("stud-strength", "k", "0.4", k="0.4"),
        questioned("stud-strength", "k", "0.05", k="0.05"),
        questioned("clamp", "k", "0.36", k="0.36"),
        refused("clamp", "k", "0 cannot be", k="0"),
    ),
    *cited(
        "F = T / (K D), by hand; textbooks (from memory): three tenths either way by wrench",
        worth("clamp", {"0.middle": "9600", "0.least": "6720", "0.most": "12480"}, torque="100", k="0.25"),
        worth("clamp", {"0.middle": "12000", "0.least": "8400", "0.most": "15600"}, torque="100", k="0.20"),
        worth("clamp", {"0.middle": "16000", "1": "0.834"}, torque="100", k="0.15", grade="8"),
        worth("clamp", {"0.middle": "16000", "1": "1.177"}, torque="100", k="0.15", grade="5"),
        worth("clamp", {"0.middle": "13867", "1": "0.804"}, thread="9/16-18", torque="130", grade="5"),
        worth("clamp", {"0.middle": "18489", "1": "0.759"}, thread="9/16-18", torque="130", k="0.15"),
        judged("clamp", {"1": "sound"}, torque="100", k="0.15", grade="8"),
        judged("clamp", {"1": "needs"}, torque="100", k="0.15", grade="5"),
    ),
)

ORDERS = (
    *cited(
        "common practice: the nut across, or the next but one; checked by hand on the wheel",
        says("star", "1 3 2 4", studs="4"),
        says("star", "1 3 5 2 4", studs="5"),
        says("star", "1 4 6 3 5 2", studs="6"),
        says("star", "1 4 7 3 6 2 5", studs="7"),
        says("star", "1 5 3 7 2 6 4 8", studs="8"),
        says("star", "1 6 3 8 5 10 7 2 9 4", studs="10"),
        refused("star", "studs", "2 cannot be", studs="2"),
        refused("star", "studs", "37 cannot be", studs="37"),
        refused("star", "studs", "5.5 cannot be", studs="5.5"),
    ),
    *cited(
        "common practice: from the middle outwards, side by side",
        says("bolt-order", "1", count="1"),
        says("bolt-order", "2 3 1 4", count="4"),
        says("bolt-order", "3 4 2 5 1 6"),
        refused("bolt-order", "count", "0 cannot be", count="0"),
        refused("bolt-order", "count", "25 cannot be", count="25"),
    ),
    *cited(
        "common practice: a quarter and a half, to the next 5, then the whole",
        says("passes", "20, 45, 90 lbf·ft", aim="90"),
        says("passes", "30, 60, 120 lbf·ft", aim="120"),
        says("passes", "35, 75, 150 lbf·ft", aim="150"),
        questioned("passes", "aim", "39", aim="39"),
        questioned("passes", "aim", "351", aim="351"),
        refused("passes", "aim", "1001", aim="1001"),
        refused("passes", "aim", "0 cannot be", aim="0"),
    ),
)

READINGS = (
    *cited(
        "49 CFR 570.10(c): nuts tight; the band is the maker's, both ends inside it",
        judged("wheel-torque", "sound", readings="105 105 110 110 115 115"),  # 4 % off is 100.8 to 119.6
        judged("wheel-torque", "watch", readings="104 110 110 110 110 110"),  # 4 % off is 99.84
        judged("wheel-torque", "watch", readings="100 110 110 110 110 110"),
        judged("wheel-torque", "sound", readings="100 120 110 110 110 110", off="0"),
        judged("wheel-torque", "watch", readings="124.7 110 110 110 110 110"),  # 120 and the wrench's 4 %
        judged("wheel-torque", "needs", readings="124.9 110 110 110 110 110"),
        judged("wheel-torque", "dnt", readings="99.9 110 110 110 110 110"),
        judged("wheel-torque", "sound", readings="110 110 110 110 110 110", low="110", high=""),
        judged("wheel-torque", "watch", readings="111 110 110 110 110 110", low="110", high=""),
        judged("wheel-torque", "dnt", readings="110 110 110 110 110 95"),
        judged("wheel-torque", "unseen", readings="110 110 110 110 110"),
        refused("wheel-torque", "readings", "", readings="110 110 110 110 110 110 110"),
        refused("wheel-torque", "readings", "0", readings="110 110 110 110 110 0"),
        questioned("wheel-torque", "low", "39", low="39"),
        questioned("wheel-torque", "high", "351", high="351"),
    ),
    *cited(
        "common practice: a joint's band is its maker's; the ends are inside",
        judged("bolt-torque", "sound", readings="73 76.9"),  # 4 % off is 70.08 to 79.98
        judged("bolt-torque", "watch", readings="72.9 75"),  # 4 % off is 69.98
        says("bolt-torque", "4 bolts, 70 to 80 lbf·ft"),
        judged("bolt-torque", "watch", readings="70 83.1"),
        judged("bolt-torque", "needs", readings="70 83.3"),
        judged("bolt-torque", "dnt", readings="69.9 80"),
        judged("bolt-torque", "dnt", readings="69.9", joint="u_bolts"),
        judged("bolt-torque", "dnt", readings="69.9", joint="coupler"),
        judged("bolt-torque", "needs", readings="69.9", joint="body"),
        judged("bolt-torque", "needs", readings="69.9", joint="tie_down"),
        refused("bolt-torque", "readings", "", readings=""),
        questioned("bolt-torque", "low", "2", low="2"),
        questioned("bolt-torque", "high", "601", high="601"),
    ),
    *cited(
        "COMAR 11.14.05.03(2): a U-bolt's thread reaches at least 1/4 in beyond its nut",
        judged("u-bolt-thread", "sound", shortest="1/4"),
        judged("u-bolt-thread", "needs", shortest="15/64"),
        judged("u-bolt-thread", "sound", shortest="6.35", shortest_unit="mm"),
        judged("u-bolt-thread", "needs", shortest="6.3", shortest_unit="mm"),
        refused("u-bolt-thread", "shortest", "6.1", shortest="6.1"),
        refused("u-bolt-thread", "shortest", "-1", shortest="-1"),
    ),
)

WRENCHES = (
    *cited(
        "ISO 6789-1:2017 (from memory): 6 % up to 10 N·m and for a bending beam, 4 % above",
        worth("wrench", "0.06", kind="click", top="10", top_unit="N_m"),
        worth("wrench", "0.04", kind="click", top="10.1", top_unit="N_m"),
        worth("wrench", "0.06", kind="click", top="88", top_unit="lbf_in"),  # 9.94 N·m
        worth("wrench", "0.04", kind="click", top="89", top_unit="lbf_in"),  # 10.06 N·m
        worth("wrench", "0.06", kind="beam", top="150"),
        worth("wrench", "0.04", kind="dial", top="150"),
        worth("wrench", "0.04", kind="electronic", top="150"),
        worth("wrench-band", {"0.0": "96", "0.1": "104"}, reading="100", off="4"),
        worth("wrench-band", {"0.0": "94", "0.1": "106"}, reading="100", off="6"),
        worth("wrench-band", {"0.0": "100", "0.1": "100"}, reading="100", off="0"),
        refused("wrench-band", "off", "21", off="21"),
        refused("wrench-band", "reading", "0", reading="0"),
    ),
    *cited(
        "US Army TM 9-254, figures 4-5 and 4-6: 12 in of wrench, 2 in of adapter, set 60, gives 70 lbf·in",
        worth("adapter-torque", "70.0", torque="60", torque_unit="lbf_in", wrench="12", reach="2"),
        worth("adapter-setting", "60.0", torque="70", torque_unit="lbf_in", wrench="12", reach="2"),
    ),
    *cited(
        "US Army TM 9-2350-261-20-1: 40 lbf·ft with 4 in on 12 in is set to 30",
        worth("adapter-setting", "30.0", torque="40", wrench="12", reach="4"),
        worth("adapter-torque", "40.0", torque="30", wrench="12", reach="4"),
    ),
    *cited(
        "geometry of the lever: square to the handle or without reach nothing changes",
        worth("adapter-setting", "110.0", reach="0"),
        worth("adapter-setting", "110.0", turn="-90"),
        worth("adapter-setting", "123.8", turn="180"),  # 110 x 18 / 16
        worth("adapter-setting", "123.8", turn="-180"),
        refused("adapter-setting", "reach", "", reach="18", turn="180"),
        refused("adapter-torque", "reach", "", reach="18", turn="180"),
        refused("adapter-setting", "turn", "181", turn="181"),
        refused("adapter-setting", "wrench", "1", wrench="1"),
    ),
    *cited(
        "common practice: 10, 25 and 50 miles, in kilometres by 1.609",
        says("retorque", "after 10, 25 and 50 miles (16, 40, 80 km), then before each trip"),
    ),
)

ROWS = (*AREAS, *STRENGTH, *ORDERS, *READINGS, *WRENCHES)
