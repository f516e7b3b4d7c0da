"""Tires and the number of a trailer."""

from tests.workbench.tables.rows import Row, cited, judged, near, pairs, refused, says, worth


def _size(size: str, diameter: str, round_it: str, a_mile: str, a_km: str = "") -> Row:
    wanted = {"0": diameter, "1": round_it, "2": a_mile} | ({"3": a_km} if a_km else {})
    return worth("tire-size", wanted, size=size)


def _number(number: str, digit: str, *years: str) -> Row:
    return worth("vin", {"0": digit} | {f"1.{n}": year for n, year in enumerate(years)}, number=number)


AGE = (
    *cited(
        "49 CFR 574.5(b)(3): week 01 is the first full week from a Sunday; 0109 began on 4 January 2009",
        says("tire-age", "week 1 of 2009", code="0109", on="2009-01-04"),
        worth("tire-age", {"1": "0.00"}, code="0109", on="2009-01-04"),
        worth("tire-age", {"1": "1.00"}, code="0109", on="2010-01-04"),
        refused("tire-age", "on", "", code="0109", on="2009-01-03"),
    ),
    *cited(
        "the calendar: days since the Sunday that strptime's %U gives, over 365.2425",
        worth("tire-age", {"1": "6.88"}, code="3019", on="2026-06-15"),
        worth("tire-age", {"1": "5.31"}, code="0821", on="2026-06-15"),
        worth("tire-age", {"1": "10.47"}, code="5215", on="2026-06-15"),
        worth("tire-age", {"1": "13.46"}, code="5312", on="2026-06-15"),
        worth("tire-age", {"1": "2.44"}, code="0124", on="2026-06-15"),
        worth("tires-apart", "1.99", codes="0119 0121"),  # 6 January 2019 and 3 January 2021: 728 days
        worth("tires-apart", "2.01", codes="0119 0221"),  # a week more
    ),
    *cited(
        "NHTSA interpretation 12375wkm: 439 is week 43 of 1989, 1979 or 1969, and the latest counts",
        says("tire-age", {"0": "week 43 of 1979, 1989 or 1999", "1": "26 years"}, code="439"),
        judged("tire-age", {"1": "dnt"}, code="439"),
    ),
    *cited(
        "common practice, the shop's own setting: watch from 4 years, replace from 6, not towed from 10",
        # 0120 began on Sunday, 5 January 2020
        judged("tire-age", {"1": "sound"}, code="0120", on="2024-01-04"),
        judged("tire-age", {"1": "watch"}, code="0120", on="2024-01-05"),
        judged("tire-age", {"1": "watch"}, code="0120", on="2026-01-04"),
        judged("tire-age", {"1": "needs"}, code="0120", on="2026-01-05"),
        judged("tire-age", {"1": "needs"}, code="0120", on="2030-01-04"),
        judged("tire-age", {"1": "dnt"}, code="0120", on="2030-01-05"),
        judged("tires-apart", "sound", codes="0119 0121"),
        judged("tires-apart", "watch", codes="0119 0221"),
        judged("tires-apart", "watch", codes="0119 2519 0221"),
    ),
    *cited(
        "49 CFR 574.5: two digits of a week, 01 to 53, then the year",
        refused("tire-age", "code", "", code="0022"),
        refused("tire-age", "code", "", code="6018"),
        refused("tire-age", "code", "", code="3A19"),
        refused("tires-apart", "codes", "", codes="3019 6018"),
        refused("tires-apart", "codes", "One tire", codes="3019"),
    ),
)

SIZE = (
    *cited(
        "ISO 4000-1: 25.4 x rim + 2 x section x aspect; ETRTO: it rolls 3.05 times that, bias 2.99",
        _size("ST205/75R14", "663.1", "2083.2", "795.7", "494.4"),
        _size("ST175/80R13", "610.2", "1917.0", "864.7", "537.3"),
        _size("ST225/75R15", "718.5", "2257.2", "734.4", "456.3"),
        _size("ST225/75D15", "718.5", "2257.2", "749.1"),
        _size("ST235/80R16", "782.4", "2458.0", "674.4", "419.1"),
        _size("ST145/80R12", "536.8", "1686.4", "983.0", "610.8"),
    ),
    *cited(
        "flotation marking: the first figure is the diameter in inches",
        _size("20.5x8.0-10", "520.7", "1635.8", "1033.7"),
        _size("31x10.50R15LT", "787.4", "2473.7", "670.1"),
    ),
    *cited(
        "geometry, by hand: 678.1 of 663.1, 748.5 is not asked; 718.5 of 688.5",
        worth("tire-size-change", {"0": "2.262", "1": "663.1", "2": "678.1"}),
        worth("tire-size-change", {"0": "4.357", "2": "718.5"}, present="ST205/75R15", other="ST225/75R15"),
        worth("tire-size-change", {"0": "-4.175"}, present="ST225/75R15", other="ST205/75R15"),
        worth("tire-size-change", {"0": "0"}, other="ST205/75R14"),
    ),
    *cited(
        "a marking says section, aspect and rim; half-inch rims are a kind of their own",
        refused("tire-size", "size", "", size="205"),
        refused("tire-size", "size", "", size="ST205/75R"),
        refused("tire-size", "size", "", size="ST205/75R64"),
        refused("tire-size-change", "other", "", other="larger"),
    ),
)

# ISO 4000-1 annex (from memory): index and pounds as marked
INDICES = """
60 551 61 567 62 584 63 600 64 617 65 639 66 661 67 677 68 694 69 716 70 739 71 761 72 783 73 805 74 827
75 853 76 882 77 908 78 937 79 963 80 992 81 1019 82 1047 83 1074 84 1102 85 1135 86 1168 87 1201 88 1235
89 1279 90 1323 91 1356 92 1389 93 1433 94 1477 95 1521 96 1565 97 1609 98 1653 99 1709 100 1764 101 1819
102 1874 103 1929 104 1984 105 2039 106 2094 107 2149 108 2205 109 2271 110 2337 111 2403 112 2469 113
2535 114 2601 115 2679 116 2756 117 2833 118 2910 119 2998 120 3086 121 3197 122 3307 123 3417 124 3527
125 3638 126 3748 127 3858 128 3968 129 4079 130 4189 131 4299 132 4409
"""
# The same annex: speed in miles an hour
SPEEDS = "F 50 G 56 J 62 K 68 L 75 M 81 N 87 P 93 Q 99 R 106 S 112 T 118 U 124 H 130 V 149"
# Tire and rim yearbook (from memory): ply rating, and the usual cold pressure of ST and LT metric sizes
RANGES = {"B": ("4", "35"), "C": ("6", "50"), "D": ("8", "65"), "E": ("10", "80"), "F": ("12", "95")}
MORE_RANGES = {"A": "2", "G": "14", "H": "16", "J": "18", "L": "20", "M": "22", "N": "24"}

MARKS = (
    *cited(
        "ISO 4000-1, table of load indices (from memory)",
        *(worth("load-index", lb, index=index) for index, lb in pairs(INDICES)),
        worth("index-needed", "97", load="1609", reserve="0"),
        worth("index-needed", "98", load="1610", reserve="0"),
        worth("index-needed", "97", load="730", load_unit="kg", reserve="0"),
        worth("index-needed", "98", load="731", load_unit="kg", reserve="0"),
        worth("index-needed", "132", load="4409", reserve="0"),
        worth(
            "index-needed", "136", load="4409", reserve="10"
        ),  # 4,850 lb: 2,180 kg are 4,806, 2,240 are 4,938
        refused("index-needed", "load", "", load="8818", reserve="10"),
        refused("load-index", "index", "59 cannot be", index="59"),
        refused("load-index", "index", "157 cannot be", index="157"),
    ),
    *cited(
        "ISO 4000-1, table of speed symbols (from memory)",
        *(worth("speed-symbol", mph, symbol=sign) for sign, mph in pairs(SPEEDS)),
        refused("speed-symbol", "symbol", "", symbol="I"),
        refused("speed-symbol", "symbol", "", symbol="MM"),
    ),
    *cited(
        "tire and rim standards: load range and ply rating (from memory)",
        *(
            worth("load-range", {"0.plies": plies, "0.usual_psi": psi}, letter=letter)
            for letter, (plies, psi) in RANGES.items()
        ),
        *(worth("load-range", {"0.plies": plies}, letter=each) for each, plies in MORE_RANGES.items()),
        refused("load-range", "letter", "not one of the choices", letter="I"),
        refused("load-range", "letter", "not one of the choices", letter="O"),
    ),
)

LOAD = (
    *cited(
        "49 CFR 571.120 S5.1.2: tires carry the rating of their axle; passenger tires divided by 1.10",
        says("axle-tires", {"1": "reserve 140 lb (4.00 %)"}, loads="1820 1820"),
        says("axle-tires", {"1": "short by 120 lb (-2.31 %)"}, loads="2540 2540", gawr="5200"),
        says("axle-tires", {"1": "short by 30 lb (-1.09 %)"}, loads="1360 1360", gawr="2750", weighed=""),
        says("axle-tires", {"1": "reserve 800 lb (22.86 %)"}, loads="2150 2150"),
        worth(
            "axle-tires", "2545.5", loads="1400 1400", passenger="yes", gawr="2500", weighed="2000", end=""
        ),
        judged("axle-tires", {"1": "dnt"}, loads="1749 1750"),
        judged("axle-tires", {"1": "watch"}, loads="1750 1750"),
        judged("axle-tires", {"1": "dnt"}, loads="1924 1925", passenger="yes"),
        judged("axle-tires", {"1": "watch"}, loads="1925 1925", passenger="yes"),
        judged("spare", "sound", load="1750"),
        judged("spare", "needs", load="1749"),
        judged("spare", "sound", load="1925", passenger="yes"),
        judged("spare", "needs", load="1924", passenger="yes"),
        judged("spare", "needs", load="1749", gawr="7000", tires="4"),
        judged("spare", "sound", load="1750", gawr="7000", tires="4"),
    ),
    *cited(
        "common practice: a tenth over the rating is the aim",
        judged("axle-tires", {"1": "sound"}, loads="1925 1925"),
        judged("axle-tires", {"1": "watch"}, loads="1924 1925"),
    ),
    *cited(
        "49 CFR 393.75(f): no more on a tire than is marked; over nine tenths is told, common practice",
        judged("axle-tires", {"2": "sound"}, weighed="3168", end=""),
        judged("axle-tires", {"2": "watch"}, weighed="3169", end=""),
        judged("axle-tires", {"2": "watch"}, weighed="3520", end=""),
        judged("axle-tires", {"2": "dnt"}, weighed="3521", end=""),
        judged("axle-tires", {"2": "dnt"}, weighed="2950", end="1761"),
        refused("axle-tires", "loads", "3", loads="1760 1760 1760"),
        refused("axle-tires", "loads", "1 number", loads="1760"),
    ),
    *cited(
        "trailer tire load tables, as reprinted in public: lower rows from the highest within 2 %",
        near("load-at-pressure", "2", "2150", most="2540", at="65", psi="50"),
        near("load-at-pressure", "2", "1760", most="2540", at="65", psi="35"),
        near("load-at-pressure", "2", "1430", most="1760", at="50", psi="35"),
        near("load-at-pressure", "2", "1520", most="1870", at="50", psi="35"),
        near("load-at-pressure", "2", "1480", most="1820", at="50", psi="35"),
        near("load-at-pressure", "2", "2600", most="3000", at="65", psi="50"),
        near("load-at-pressure", "2", "1100", most="1360", at="50", psi="35"),
        near("load-at-pressure", "2", "1360", most="1610", at="65", psi="50"),
        near("load-at-pressure", "2", "1480", most="1725", at="65", psi="50"),
    ),
    *cited(
        "tire and rim exponent 0.585 (from memory), by hand; rounded up, never under the lowest row",
        worth("pressure-for-load", "35", most="1360", at="50", load="1100"),
        worth("pressure-for-load", "49", most="2540", at="65", load="2150"),
        worth("pressure-for-load", "53", most="2830", at="80", load="2200"),
        worth("pressure-for-load", "39", most="1760", at="50", load="1500"),
        worth("pressure-for-load", "35", most="1760", at="50", load="200"),
        refused("pressure-for-load", "load", "", most="1360", at="50", load="1400"),
        refused("load-at-pressure", "psi", "", most="1760", at="50", psi="51"),
    ),
    *cited(
        "a straight line between two rows of the tire's own table, never outside them",
        worth("load-between-rows", "1593.3", low="1480", high="1820", psi="40"),
        worth("load-between-rows", "1480", low="1480", high="1820", psi="35"),
        refused("load-between-rows", "psi", "", psi="51"),
        refused("load-between-rows", "psi", "", psi="34"),
    ),
)

AIR = (
    *cited(
        "the gas law at constant volume, absolute: (p + 14.696) T2 / T1 - 14.696",
        worth("pressure-and-temperature", "45.11", psi="50", set_at="70", now="30"),
        worth("pressure-and-temperature", "69.08", psi="65", set_at="68", now="95"),
        worth("pressure-and-temperature", "72.71", psi="80", set_at="60", now="20"),
        worth("pressure-and-temperature", "80.00", psi="80", set_at="60", now="60"),
    ),
    *cited(
        "common practice: within 3 psi of the placard; under four fifths of it a tire counts as run flat",
        judged("cold-pressure", "sound", psi="47"),
        judged("cold-pressure", "needs", psi="46.9"),
        judged("cold-pressure", "needs", psi="39.9"),
        judged("cold-pressure", "sound", psi="65"),
        judged("cold-pressure", "needs", psi="65.1"),
    ),
    *cited(
        "49 CFR 393.75(c): 2/32 in; common practice: under 4/32 replaced soon, under 5/32 watched",
        judged("tread", "dnt", depths="1.9"),
        judged("tread", "needs", depths="2"),
        judged("tread", "needs", depths="3.9"),
        judged("tread", "watch", depths="4"),
        judged("tread", "watch", depths="4.9"),
        judged("tread", "sound", depths="5"),
        judged("tread", {"1": "sound"}, depths="8 6 7"),
        judged("tread", {"1": "needs"}, depths="9 6 7"),
        judged("tread", "needs", depths="1.6 3", depths_unit="mm"),  # 1/16 in is 1.5875 mm
        judged("tread", "dnt", depths="1.58 3", depths_unit="mm"),
        worth("tread", {"0": "5", "1": "1"}),
        refused("tread", "depths", "41", depths="41"),
    ),
    *cited(
        "common practice: gaps of 0.75 in over, 0.5 in beside and 1 in between stay free",
        says("larger-tire", "none fits", over="0.7", wheel="1760"),
        says("larger-tire", "ST205/75-14 load range D: 280 lb a tire, 560 lb an axle"),
        refused("larger-tire", "rim", "", rim="1.9"),
    ),
)

VIN = (
    *cited(
        "49 CFR 565.15(c), the number worked out in the regulation: 411 leaves 4",
        _number("1G4AH59H45G118341", "4"),
        judged("vin", "sound", number="1G4AH59H45G118341"),
        judged("vin", "watch", number="1G4AH59H45G118331"),
    ),
    *cited(
        "49 CFR 565.15(c) by hand, years of table VII 30 apart: position 7 decides nothing on a trailer",
        _number("1ZCTT2022NA004821", "2", "1992", "2022"),
        _number("4Z9FE16271B123045", "7", "2001"),
        _number("5ZDUB0817HS771204", "7", "1987", "2017"),
        _number("1Z9BT19119M654007", "1", "2009"),
        _number("5ZEEN1423AV000318", "3", "1980", "2010"),
        _number("2Z9CU1011RK201056", "1", "1994", "2024"),
        _number("11111111111111111", "1"),
        judged("vin", "sound", number="1ZCTT2022NA004821"),
        judged("vin", "watch", number="1ZCTT2023NA004821"),
    ),
    *cited(
        "49 CFR 565.13: seventeen characters, never I, O or Q",
        refused("vin", "number", "16", number="1M8GDM9AXKP04278"),
        refused("vin", "number", "18", number="1M8GDM9AXKP0427888"),
        refused("vin", "number", "I", number="IM8GDM9AXKP042788"),
        refused("vin", "number", "O", number="1M8GDM9AXKPO42788"),
        refused("vin", "number", "Q", number="1M8GDM9AXKPQ42788"),
        says("vin", {"1": "not said"}, number="1M8GDM9AXUP042788"),  # table VII has no U
    ),
)

ROWS = (*AGE, *SIZE, *MARKS, *LOAD, *AIR, *VIN)
