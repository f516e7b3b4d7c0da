"""Load index, speed symbol and load range: what the short marks on a sidewall stand for."""

from dataclasses import dataclass
from decimal import Decimal

from app.trade.figure import Input, Source, Worked, plain
from app.trade.problems import Impossible
from app.trade.quantity import convert, with_unit

INDEX_RULE = Source("ISO 4000-1", "load indices; over 132 UN Regulation No. 54 (from memory)")
SPEED_RULE = Source("ISO 4000-1", "speed symbols (from memory)")
RANGE_RULE = Source("tire and rim standards", "load range and ply rating (from memory)")
FIRST_INDEX = 60
NO_SYMBOL_MPH = Decimal(65)
KM_MILE = Decimal("1.609344")

# kg by load index from 60 on; over 132, as on wide singles of heavy trailers: UN Regulation No. 54, annex 4
# (from memory; 80 steps are ten times as much, so 140 to 156 are 60 to 76 with a nought)
_KG = (
    "250 257 265 272 280 290 300 307 315 325 335 345 355 365 375 387 400 412 425 437 "
    "450 462 475 487 500 515 530 545 560 580 600 615 630 650 670 690 710 730 750 775 "
    "800 825 850 875 900 925 950 975 1000 1030 1060 1090 1120 1150 1180 1215 1250 1285 1320 1360 "
    "1400 1450 1500 1550 1600 1650 1700 1750 1800 1850 1900 1950 2000 2060 2120 2180 2240 2300 2360 2430 "
    "2500 2575 2650 2725 2800 2900 3000 3075 3150 3250 3350 3450 3550 3650 3750 3875 4000"
)
KG = {index: Decimal(kg) for index, kg in enumerate(_KG.split(), FIRST_INDEX)}
POUNDS_KG = Decimal("2.2046")
MARKED_OTHERWISE = {87: Decimal(1201)}  # the one mark that the rounding does not give
KM_H = {
    **{"F": 80, "G": 90, "J": 100, "K": 110, "L": 120, "M": 130, "N": 140, "P": 150, "Q": 160},
    **{"R": 170, "S": 180, "T": 190, "U": 200, "H": 210, "V": 240},
}
PLIES = dict(zip("ABCDEFGHJLMN", range(2, 26, 2), strict=True))
# usual most cold pressure of ST and LT metric tires for rims of 13 in and up
USUAL_PSI = {"B": 35, "C": 50, "D": 65, "E": 80, "F": 95, "G": 110, "H": 125}


def index_load(index: int) -> Worked[Decimal]:
    """Load of a load index in lb, as marked. `index`: 60 to 156; Impossible outside.

    Source: ISO 4000-1, over 132 UN Regulation No. 54; the lb marks are kg x 2.2046 to whole pounds, but 1,201
    for index 87; over 132 makers round them to 5 lb (from memory).
    """
    if index not in KG:
        raise Impossible(f"{index} is no load index of a trailer tire", "60 to 156, such as 96")
    pounds = MARKED_OTHERWISE.get(index, round(KG[index] * POUNDS_KG))
    return Worked(
        name="load of the index",
        value=Decimal(pounds),
        says=with_unit(plain(Decimal(pounds)), "lb"),
        formula="the table of load indices",
        inputs=(Input("load index", str(index)), Input("table", with_unit(plain(KG[index]), "kg"))),
        source=INDEX_RULE,
        unit="lb",
        caution="The load on the sidewall decides; a passenger tire's is divided by 1.10 on a trailer.",
    )


def most_lb(index: int) -> Decimal:
    """What an index carries in lb: its mark, or its kg where these are more (730 kg are marked 1,609 lb)."""
    return max(index_load(index).value, round(convert(KG[index], "kg", "lb"), 3))


def index_for(load_lb: Decimal, reserve_percent: Decimal = Decimal(0)) -> Worked[int]:
    """Smallest load index that carries a load in lb with a reserve in percent.

    `load_lb`: over 0, at most the 8,818 lb of index 156 with its reserve; Impossible outside.
    """
    asked = load_lb * (1 + reserve_percent / 100)
    enough = [index for index in KG if most_lb(index) >= asked]
    if load_lb <= 0 or not enough:
        raise Impossible(f"No load index carries {plain(asked)} lb", "a load of one tire, up to 8,818 lb")
    return Worked(
        name="load index needed",
        value=enough[0],
        says=str(enough[0]),
        formula="smallest index whose load, in lb or in kg, is at least load x (1 + reserve)",
        inputs=(
            Input("load", with_unit(plain(load_lb), "lb")),
            Input("reserve", with_unit(f"{reserve_percent}", "percent")),
        ),
        source=INDEX_RULE,
    )


def speed_of(symbol: str) -> Worked[Decimal]:
    """Most speed of a speed symbol in mph; 65 for a trailer tire without a symbol.

    `symbol`: a letter F to V (no I, O), or empty; Impossible otherwise.
    """
    letter = symbol.strip().upper()
    if letter and letter not in KM_H:
        raise Impossible(f"{symbol[:10]} is no speed symbol", "a letter such as M or N, or none")
    km_h = Decimal(KM_H[letter]) if letter else NO_SYMBOL_MPH * KM_MILE
    mph = round(km_h / KM_MILE)
    return Worked(
        name="most speed of the tire",
        value=Decimal(mph),
        says=f"{with_unit(str(mph), 'mph')} ({with_unit(plain(km_h), 'km_h')})",
        formula="the table of speed symbols, km/h / 1.609344" if letter else "65 mph where none is marked",
        inputs=(Input("symbol", letter or "none"),),
        source=SPEED_RULE if letter else Source("common practice"),
        unit="mph",
        caution="The speed of the tow, the road and the law may be lower.",
    )


@dataclass(frozen=True)
class Range:
    """A load range: its ply rating, and the usual most cold pressure in psi (None where there is none)."""

    letter: str
    plies: int
    usual_psi: int | None


def load_range(letter: str) -> Worked[Range]:
    """Ply rating and usual pressure of a load range letter: A to N without I and K; Impossible otherwise.

    The letter alone fixes neither load nor pressure: small bias tires reach theirs at other pressures.
    """
    known = letter.strip().upper()
    if known not in PLIES:
        raise Impossible(f"{letter[:10]} is no load range", "a letter from B to H, such as C")
    psi = USUAL_PSI.get(known)
    usual = f", usually {with_unit(str(psi), 'psi')} cold" if psi else ""
    return Worked(
        name="load range",
        value=Range(known, PLIES[known], psi),
        says=f"{known}: {PLIES[known]} ply rating{usual}",
        formula="the table of load ranges; a ply rating is a strength, not a count of plies",
        inputs=(Input("letter", known),),
        source=RANGE_RULE,
        caution="The load and pressure on the sidewall decide; the letter is a cross-check.",
    )
