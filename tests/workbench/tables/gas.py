"""Propane, its cylinders and pipes; water and damp."""

from tests.workbench.tables.rows import Row, cited, judged, near, refused, says, worth

# 49 CFR 173 and the stamp: water capacity in lb, and 42 % of it in lb
CYLINDERS = {"26.2": "11.00", "47.6": "19.99", "71.5": "30.03", "95.2": "39.98", "238": "99.96"}
# Saturation pressure of propane, psi over 14.696, from CoolProp 8 (Lemmon's equation of state)
SATURATED = {
    **{"-40": "1.42", "-20": "10.73", "0": "23.69", "20": "41.14", "40": "63.94"},
    **{"60": "93.02", "80": "129.34", "100": "173.92", "120": "227.85"},
}
# International Fuel Gas Code 2018, table 402.4: 1000 Btu/h of undiluted propane, 11 in wc, drop 0.5 in wc
CODE = {
    "1/2 in schedule 40 pipe": {"10": "291", "20": "200", "30": "160"},
    "3/8 in OD copper tube": {"10": "45", "20": "31", "30": "25"},
    "1/2 in OD copper tube": {"10": "93", "20": "64", "30": "51"},
}


def _carries(pipe: str, feet: str, thousands: str) -> Row:
    """The code's cells have two or three digits."""
    return near("gas-pipe", "2.5", f"{thousands}000", pipe=pipe, longest=feet, drop="0.5")


CYLINDER = (
    *cited(
        "49 CFR 180.209: 12 years after manufacture or water jacket, 10 after proof pressure, 5 after a look",
        says("requalification", "08-2023", made="08-2011", tested="", on="2023-08-31"),
        says("requalification", "11-2026", made="06-2003", tested="11-2021"),
        says("requalification", "03-2028", made="02-2005", tested="03-2018", method="proof pressure (S)"),
        says("requalification", "04-2034", method="volumetric expansion"),
        judged("requalification", "needs", made="08-2011", tested="", on="2023-09-01"),
        judged("requalification", "watch", made="08-2011", tested="", on="2023-08-31"),
        judged("requalification", "sound", made="08-2011", tested="", on="2022-08-31"),
        refused("requalification", "made", "No mark", made="", tested=""),
        refused("requalification", "tested", "", tested="01-2015"),
        refused("requalification", "made", "", made="13-2016"),
    ),
    *cited(
        "29 CFR 1910.110(b)(12), 42 % of the water capacity; the stamp decides",
        *(worth("cylinder-fill", lb, water=water, scale="") for water, lb in CYLINDERS.items()),
        judged("cylinder-fill", "sound", scale="36.9"),
        judged("cylinder-fill", "dnt", scale="38"),
        judged("cylinder-fill", "unseen", scale="15"),
        refused("cylinder-fill", "water", "0", water="0"),
    ),
    *cited(
        "NFPA 58 annex B: 21,548 Btu a pound; two 30 lb cylinders for four appliances",
        worth(
            "gas-run-time",
            {"0": "99.9"},
            fuel="60.06",
            inputs="30000 12000 1500 7100",
            duties="33 10 100 5",
        ),
        worth("gas-run-time", {"1": "430960"}),
        refused("gas-run-time", "duties", "", duties="33"),
        refused("gas-run-time", "duties", "", duties="0 0"),
        refused("gas-run-time", "fuel", "0", fuel="0"),
    ),
    *cited(
        "CoolProp 8, and within 0.2 % the Wagner form of another source: saturation of propane",
        *(near("gas-pressure", "0.5", psi, warm=warm) for warm, psi in SATURATED.items()),
        refused("gas-pressure", "warm", "161", warm="161"),
        refused("gas-pressure", "air", "49", air="49"),
    ),
)

LEAK = (
    *cited(
        "the ideal gas by hand: 0.25 ft³ at 14.5 psi of air, 3 minutes, told at 60 °F",
        worth("leak-test", "0.00726", end="8.4", air="14.5"),
        worth("leak-test", "-0.00215", end="8.4", end_warm="67", air="14.5"),
        worth("leak-test", "-0.00943", end="9", end_warm="67", air="14.5"),
        worth("leak-test", "0", end="9", air="14.5"),
    ),
    *cited(
        "NFPA 54 annex C: 9 in wc, 3 minutes, no fall and no rise",
        judged("leak-test", "sound", end="9"),
        judged("leak-test", "needs", end="8.8"),
        judged("leak-test", "needs", end="9.2"),
        judged("leak-test", "unseen", end="9", minutes="2.9"),
        judged("leak-test", "unseen", start="8.4", end="8.4"),
        judged("leak-test", "sound", start="8.5", end="8.5"),
        judged("leak-test", "sound", start="9.49", end="9.49"),
        judged("leak-test", "unseen", start="9.6", end="9.6"),
        judged("leak-test", "unseen", end="9", end_warm="60"),
        refused("leak-test", "minutes", "0", minutes="0"),
        refused("leak-test", "volume", "0", volume="0"),
    ),
    *cited(
        "WAC 296-150C-1460: 10 to 14 in wc for 10 minutes; WAC 296-150V-1450: 10 psi for 15 minutes",
        judged("leak-test", "sound", test="appliances", start="10.1", end="10.1", minutes="10"),
        judged("leak-test", "unseen", test="appliances", start="9.9", end="9.9", minutes="10"),
        judged("leak-test", "unseen", test="appliances", start="12", end="12", minutes="9.9"),
        judged("leak-test", "needs", test="appliances", start="12", end="11.5", minutes="10"),
        judged(
            "leak-test",
            "unseen",
            test="piping",
            start="10",
            start_unit="psi",
            end="10",
            end_unit="psi",
            minutes="14",
            top="30",
            top_unit="psi",
        ),
    ),
    *cited(
        "IFGC 2018 table 402.4, the longest length, two and three digits",
        *(_carries(pipe, feet, kbtu) for pipe, cells in CODE.items() for feet, kbtu in cells.items()),
        refused("gas-pipe", "longest", "0", longest="0"),
        refused("gas-pipe", "drop", "0", drop="0"),
    ),
    *cited(
        "the same equation by hand: 72,600 Btu/h over 28 ft want 0.452 in, so 5/8 in OD tube of 0.527",
        says("gas-pipe-serves", {"1": "5/8 in OD copper tube"}),
        judged("gas-pipe-serves", "needs", btu="72600"),
        judged("gas-pipe-serves", "sound", btu="53000"),
        judged("gas-pipe-serves", "needs", btu="53100"),
    ),
    *cited(
        "NFPA 58: lock-up at most 14 in wc; 10.5 to 11.5 in wc running is common practice",
        judged("regulator", "sound", running="10.51", lock_up="13.9"),
        judged("regulator", "sound", running="11.49", lock_up="12"),
        judged("regulator", "needs", lock_up="14.1"),
        judged("regulator", "needs", running="9.9"),
        judged("regulator", "needs", creeps="yes"),
        refused("regulator", "running", "101", running="101"),
    ),
)

WATER = (
    *cited(
        "common practice: from 35 to 60 psi, at most 5 psi in 15 minutes",
        judged("water-hold", "sound", start="45", end="40.1"),
        judged("water-hold", "needs", start="45", end="39.9"),
        judged("water-hold", "unseen", start="45", end="45", minutes="14.9"),
        judged("water-hold", "unseen", start="34", end="34"),
        judged("water-hold", "sound", start="35", end="35"),
        judged("water-hold", "sound", start="59.9", end="59.9"),
        judged("spray", "sound", minutes="10"),
        judged("spray", "unseen", minutes="9.9"),
        judged("spray", "unseen", minutes="14", least="15"),
        refused("water-hold", "minutes", "0", minutes="0"),
        refused("spray", "minutes", "1441", minutes="1441"),
    ),
    *cited(
        "common practice: 18 % is dry, 20 % is watched; 15 % before a wall is closed",
        judged("damp-wood", "sound", points="10 18"),
        judged("damp-wood", "watch", points="10 18.1"),
        judged("damp-wood", "watch", points="10 20"),
        judged("damp-wood", "needs", points="10 20.1"),
        judged("damp-wood", "sound", points="10 15", to_close="yes"),
        judged("damp-wood", "needs", points="10 15.1", to_close="yes"),
        says("damp-wood", "at most 18.1 %, point 2", points="10 18.1"),
        refused("damp-wood", "points", "101", points="101"),
    ),
)

ROWS = (*CYLINDER, *LEAK, *WATER)
