"""The catalogue that ships: whole, sourced, in plain words, with its cautions beside what can hurt."""

import re
from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from pathlib import Path
from typing import get_args

import pytest

from app.inspection.catalogue import (
    DEPTHS,
    KINDS,
    Catalogue,
    Caution,
    Check,
    Fee,
    Kit,
    Limit,
    Part,
    PlaceWord,
    Proposal,
    RecordWord,
    read_catalogue,
)
from app.inspection.places import UnitShape, places_for
from app.inspection.steps import name_of
from app.trade.figure import By, Grade
from app.trade.quantity import UNITS

FOLDER = Path(__file__).parents[2] / "seed_data" / "catalogue"
BOOK = read_catalogue(FOLDER)
BY_KEY = {check.key: check for check in BOOK.checks}


def proposals(check: Check) -> list[Proposal]:
    limits: list[Proposal] = [limit for measure in check.measures for limit in measure.limits]
    return [*limits, *check.defects, *([check.absent] if check.absent else [])]


def first_caught(key: str, measure: str, number: str) -> Limit | None:
    limits = BOOK.check(key).measure(measure).limits
    return next((limit for limit in limits if limit.applies_to(Decimal(number))), None)


def sentences(told: object, where: str) -> Iterator[tuple[str, str]]:
    if isinstance(told, dict):
        for name, inner in told.items():
            yield from sentences(inner, f"{where}.{name}")
    elif isinstance(told, list | tuple):
        for number, inner in enumerate(told):
            yield from sentences(inner, f"{where}.{number}")
    elif isinstance(told, str):
        yield from ((where, part) for part in re.split(r"(?<=[.?;])\s+", told) if part)


ENTRIES: list[Check | Kit | Caution] = [*BOOK.checks, *BOOK.kits, *BOOK.cautions]
ALL_SENTENCES = [said for entry in ENTRIES for said in sentences(entry.model_dump(mode="json"), entry.key)]


# --- How much there is. The plan of the walk-round names these totals, counted there row by row. ---


def test_the_catalogue_holds_all_checks_kits_and_cautions() -> None:
    assert (len(BOOK.checks), len(BOOK.kits), len(BOOK.cautions)) == (169, 54, 16)


@pytest.mark.parametrize(("depth", "count"), [("quick", 80), ("full", 164), ("prepurchase", 149)])
def test_each_depth_holds_its_checks(depth: str, count: int) -> None:
    assert sum(depth in check.depth for check in BOOK.checks) == count


@pytest.mark.parametrize(
    ("kind", "count"), [("travel", 150), ("tent", 149), ("cargo", 125), ("utility", 111), ("boat", 110)]
)
def test_each_kind_has_its_checks(kind: str, count: int) -> None:
    assert sum(kind in check.kinds for check in BOOK.checks) == count


@pytest.mark.parametrize(
    ("prefix", "count"),
    [
        ("id", 8),
        ("cp", 13),
        ("bk", 5),
        ("jk", 2),
        ("fr", 11),
        ("su", 12),
        ("wh", 8),
        ("ti", 12),
        ("hb", 8),
        ("br", 13),
        ("la", 10),
        ("ev", 9),
        ("lp", 15),
        ("fs", 4),
        ("ex", 3),
        ("bo", 6),
        ("wa", 4),
        ("do", 7),
        ("ft", 9),
        ("bt", 4),
        ("ld", 4),
        ("rd", 2),
    ],
)
def test_each_system_has_its_checks(prefix: str, count: int) -> None:
    assert Counter(key.split(".")[0] for key in BY_KEY)[prefix] == count


def test_kits_and_cautions_are_numbered_without_a_gap() -> None:
    assert [kit.key for kit in BOOK.kits] == [f"k{number}" for number in range(1, 55)]
    assert [caution.key for caution in BOOK.cautions] == [f"c{number}" for number in range(1, 17)]


@pytest.mark.parametrize("kind", KINDS)
def test_the_quick_walk_is_part_of_the_full_one(kind: str) -> None:
    quick = {check.key for check in BOOK.for_walk(kind, "quick")}
    full = {check.key for check in BOOK.for_walk(kind, "full")}
    assert quick <= full


def test_a_pre_purchase_walk_takes_nothing_apart() -> None:
    # Nothing is dismantled: hubs out (station 9) and the road test belong to the full walk.
    taken = [check.key for check in BOOK.checks if "prepurchase" in check.depth and check.station == 9]
    assert taken == []
    assert "prepurchase" not in BOOK.check("rd.drive").depth


# --- Limits, at their ends: expected from the law, standard or practice named beside each ---


@pytest.mark.parametrize(
    ("check", "measure", "number", "grade", "by"),
    [
        ("la.place", "height", "14.9", Grade.NEEDS, By.SOON),  # 49 CFR 571.108: at least 15 in
        ("la.place", "height", "15", None, None),  # 49 CFR 571.108: 15 in itself is lawful
        ("la.place", "height", "72", None, None),  # 49 CFR 571.108: at most 72 in
        ("la.place", "height", "72.1", Grade.NEEDS, By.SOON),  # 49 CFR 571.108
        ("la.plate", "read_at", "49", Grade.NEEDS, By.TOWING),  # Md. Transp. 22-204(f): 50 ft
        ("la.plate", "read_at", "50", None, None),  # Md. Transp. 22-204(f)
        ("la.drop", "feed", "1.2", None, None),  # common practice: a tenth of 12 V may be lost
        ("la.drop", "ground", "0.21", Grade.NEEDS, By.SOON),  # common practice: 0.2 V
        ("ev.state", "rested", "12.24", Grade.WATCH, None),  # 12.24 V is half charge, BCI table
        ("ev.state", "rested", "12.25", None, None),  # above half charge
        ("ev.state", "loaded", "10.5", None, None),  # common practice: 10.5 V is a dead battery's mark
        ("ev.conv", "volts", "15.6", Grade.NEEDS, By.USE),  # common practice: over 15.5 V
        ("ev.conv", "volts", "15.5", Grade.NEEDS, By.SOON),  # common practice: over 15.0 V
        ("ev.conv", "volts", "12.9", Grade.NEEDS, By.SOON),  # common practice: under 13.0 V
        ("ev.conv", "volts", "13.6", None, None),  # usual absorption voltage
        ("ev.bond", "frame", "1", None, None),  # common practice: at most 1 ohm
        ("ev.bond", "skin", "1.1", Grade.NEEDS, By.USE),  # common practice
        ("lp.body", "lost", "5", Grade.NEEDS, By.SOON),  # NFPA 58 C.3.2.2: 5 percent of tare or more
        ("lp.fill", "share", "100", None, None),  # 42 percent by weight is full: NFPA 58
        ("lp.fill", "share", "102.1", Grade.DNT, None),  # common practice: 2 percent for the scale
        ("lp.flow", "running", "11", None, None),  # 11 in wc is the nominal pressure
        ("lp.flow", "running", "10.4", Grade.NEEDS, By.SOON),  # common practice: 10.5 to 11.5
        ("lp.flow", "running", "9.9", Grade.NEEDS, By.USE),  # common practice: under 10
        ("lp.flow", "running", "14.1", Grade.NEEDS, By.USE),  # NFPA 58, from memory: at most 14
        ("lp.flow", "lockup", "14", None, None),  # NFPA 58, from memory: at most 14
        ("lp.flow", "lockup", "14.1", Grade.NEEDS, By.USE),  # NFPA 58, from memory
        ("lp.range", "drop", "90", None, None),  # ANSI Z21, from memory: 90 s
        ("lp.furnace", "co", "9", None, None),  # 9 ppm is the outdoor 8-hour figure of the EPA
        ("lp.furnace", "co", "10", Grade.NEEDS, By.USE),
        ("lp.water", "stamp", "150", None, None),  # ANSI Z21.22, from memory: 150 psi
        ("fs.smoke", "age", "10", None, None),  # NFPA 72: ten years from its make
        ("fs.smoke", "age", "10.1", Grade.NEEDS, By.USE),
        ("fs.ext", "age", "12.1", Grade.NEEDS, By.USE),  # NFPA 10, from memory: 12 years
        ("fs.ext", "rating", "5", None, None),  # NFPA 1192, from memory: at least 5-B:C
        ("fs.ext", "rating", "4", Grade.NEEDS, By.USE),
        ("ex.second", "long", "24", None, None),  # NFPA 1192, from memory: about 24 by 17 in
        ("ex.second", "short", "16", Grade.NEEDS, By.USE),
        ("bo.moist", "worst", "17.9", None, None),  # common practice: watch from 18
        ("bo.moist", "worst", "18", Grade.WATCH, None),
        ("bo.moist", "worst", "20", Grade.WATCH, None),
        ("bo.moist", "worst", "20.1", Grade.NEEDS, By.SOON),
        ("bo.moist", "worst", "28", Grade.NEEDS, By.SOON),  # near fibre saturation: FPL report 2147
        ("wa.city", "fall", "4.9", None, None),  # common practice: 5 psi in 15 minutes
        ("wa.city", "fall", "5", Grade.NEEDS, By.SOON),
        ("do.ramp", "lift", "50", None, None),  # common practice: one person lifts 50 lb
        ("do.ramp", "strands", "1", Grade.NEEDS, By.USE),  # common practice: none broken
        ("ft.latch", "hold", "3", Grade.DNT, None),  # common practice: all four
        ("ft.cable", "in_strand", "2", None, None),  # WAC 296-874-30016: three in one strand
        ("ft.cable", "in_strand", "3", Grade.NEEDS, By.USE),
        ("ft.cable", "in_lay", "5", None, None),  # WAC 296-874-30016: six in one lay
        ("ft.cable", "in_lay", "6", Grade.NEEDS, By.USE),
        ("ft.posts", "difference", "1", None, None),  # common practice: at most 1 in
        ("bt.winch", "cut", "0.1", Grade.DNT, None),  # 49 CFR 393.104(b): no cut that weakens
        ("bt.bow", "ties", "2", Grade.NEEDS, By.TOWING),  # bow chain and two at the stern
        ("bt.salt", "lost", "25", Grade.NEEDS, By.SOON),  # common practice: 10 to 25 percent
        ("bt.salt", "lost", "25.1", Grade.NEEDS, By.TOWING),
        ("ld.room", "left", "-1", Grade.DNT, None),  # 49 CFR 571.110: cargo never above the label
        ("ld.room", "left", "0", None, None),
        ("ld.level", "nose_up", "1.1", Grade.NEEDS, By.SOON),  # common practice
        ("rd.heat", "hub", "200", None, None),  # common practice: over 200 F is opened
        ("rd.heat", "above", "51", Grade.NEEDS, By.TOWING),  # common practice: 50 F above its mates
    ],
)
def test_a_limit_stands_where_law_or_practice_puts_it(
    check: str, measure: str, number: str, grade: Grade | None, by: By | None
) -> None:
    caught = first_caught(check, measure, number)
    assert (caught and caught.grade, caught and caught.by) == (grade, by)


@pytest.mark.parametrize("function", ["tail", "stop", "turn"])
def test_a_dead_tail_stop_or_turn_lamp_holds_the_tow(function: str) -> None:
    # 49 CFR 393.11 table 1: two of each at the rear
    (limit,) = BOOK.check("la.rear").measure(function).limits
    assert (limit.value, limit.grade, limit.law) == ("no", Grade.DNT, True)


@pytest.mark.parametrize("key", ["fs.lp", "fs.co", "fs.smoke", "fs.ext", "ex.second"])
def test_what_saves_sleepers_is_graded_when_not_fitted(key: str) -> None:
    # NFPA 1192, from memory: gas, CO and smoke alarm, extinguisher and a second way out
    absent = BOOK.check(key).absent
    assert absent is not None
    assert (absent.grade, absent.by) == (Grade.NEEDS, By.USE)


def test_a_reading_cannot_be_outside_its_refuse_range() -> None:
    assert BOOK.check("ev.state").measure("rested").most == 18  # a 12 V battery never shows more
    assert BOOK.check("bo.moist").measure("worst").most == 100  # a pin meter ends there
    assert BOOK.check("la.wide").measure("width").most == 120  # 102 in is the federal width: 23 CFR 658.15


# --- Grades, sources, words of the format ---


def test_whatever_holds_the_tow_names_its_source() -> None:
    nameless = [
        check.key
        for check in BOOK.checks
        for proposed in proposals(check)
        if proposed.grade is Grade.DNT and not proposed.source.title.strip()
    ]
    assert nameless == []


def test_law_names_a_text_of_law() -> None:
    soft = ("common practice", "shop setting", "NFPA")  # NFPA binds only where a law adopts it
    wrong = [
        check.key
        for check in BOOK.checks
        for proposed in proposals(check)
        if proposed.law and proposed.source.title.startswith(soft)
    ]
    assert wrong == []


def test_a_citation_of_law_names_its_section() -> None:
    bare = [
        (check.key, proposed.source.title)
        for check in BOOK.checks
        for proposed in proposals(check)
        if proposed.law and not proposed.source.section
    ]
    assert bare == []


def test_every_check_can_find_something() -> None:
    # By a limit, by what is seen, by its absence, or by a rule.
    idle = [check.key for check in BOOK.checks if not (proposals(check) or check.rule)]
    assert idle == []


def test_every_check_that_holds_the_tow_is_a_safety_check() -> None:
    unmarked = [
        check.key
        for check in BOOK.checks
        if not check.safety and any(proposed.grade is Grade.DNT for proposed in proposals(check))
    ]
    assert unmarked == []


def test_units_places_and_records_are_known() -> None:
    measures = [measure for check in BOOK.checks for measure in check.measures]
    assert {unit for measure in measures for unit in measure.units} <= set(UNITS)
    assert {record for kit in BOOK.kits for record in kit.records} <= set(get_args(RecordWord))
    words = set(get_args(PlaceWord))
    assert {kit.per for kit in BOOK.kits} <= words | {"each"}  # each: for every thing found, wherever it is
    assert {part.per for kit in BOOK.kits for part in kit.parts} <= words


def test_every_record_kind_but_none_other_is_asked_by_some_kit() -> None:
    asked = {record for kit in BOOK.kits for record in kit.records}
    assert asked == set(get_args(RecordWord))


def test_a_number_names_its_usual_range() -> None:
    silent = [
        f"{check.key} {measure.key}"
        for check in BOOK.checks
        for measure in check.measures
        if measure.kind == "number" and measure.usual is None
    ]
    assert silent == []


# --- Cautions beside what can hurt ---


@pytest.mark.parametrize(
    ("key", "caution"),
    [
        # signal words and hazards by the meaning of ANSI Z535; which hazard lies where: common practice
        ("lp.body", "c5"),
        ("lp.leak", "c5"),
        ("lp.flow", "c5"),
        ("lp.fill", "c5"),
        ("lp.fridge", "c5"),
        ("lp.range", "c7"),
        ("lp.furnace", "c7"),
        ("lp.water", "c14"),
        ("ev.cord", "c6"),
        ("ev.polarity", "c6"),
        ("ev.bond", "c6"),
        ("ev.panel", "c6"),
        ("ev.mount", "c10"),
        ("ex.glass", "c11"),
        ("bo.roof", "c8"),
        ("bo.seam", "c8"),
        ("bo.pest", "c13"),
        ("wa.city", "c14"),
        ("wa.strap", "c1"),
        ("do.hatch", "c9"),
        ("do.ramp", "c9"),
        ("ft.cable", "c9"),
        ("ft.winch", "c9"),
        ("ft.posts", "c9"),
        ("ft.bunk", "c9"),
        ("ft.cloth", "c13"),
        ("bt.winch", "c9"),
        ("ld.share", "c2"),
        ("rd.drive", "c12"),
        ("rd.heat", "c11"),
        ("cp.lift", "c2"),
        ("bk.works", "c2"),
        ("bk.battery", "c10"),
        ("jk.tongue", "c1"),
        ("br.lining", "c4"),
        ("hb.rock", "c1"),
        ("ti.psi", "c3"),
        ("wh.disc", "c3"),
    ],
)
def test_the_hazard_stands_beside_the_check(key: str, caution: str) -> None:
    assert caution in BOOK.check(key).cautions


@pytest.mark.parametrize(
    ("system", "caution"),
    [("gas", {"c5", "c7", "c14"}), ("mains", {"c6"}), ("battery", {"c6", "c10"}), ("tent", {"c9"})],
)
def test_no_check_of_a_dangerous_system_is_without_caution(system: str, caution: set[str]) -> None:
    found = [check for check in BOOK.checks if check.system == system]
    assert found
    assert [check.key for check in found if not caution & set(check.cautions)] == []


def test_a_trailer_with_its_hubs_out_stands_on_stands() -> None:
    # common practice: whatever is looked at with the wheels off is looked at beside a raised trailer
    hubs_out = [check for check in BOOK.checks if check.station == 9]
    assert hubs_out
    assert [check.key for check in hubs_out if "c1" not in check.cautions] == []


def test_every_kit_but_paper_work_carries_a_caution() -> None:
    assert [kit.key for kit in BOOK.kits if not kit.cautions] == ["k48"]


@pytest.mark.parametrize("key", ["k1", "k7", "k8", "k10", "k15", "k18"])
def test_work_under_a_raised_trailer_warns_of_the_jack(key: str) -> None:
    assert "c1" in BOOK.kit(key).cautions


def test_a_caution_says_hazard_harm_and_way_out() -> None:
    # ANSI Z535.4: signal word, hazard, consequence, how to avoid it
    assert {caution.word for caution in BOOK.cautions} <= {"DANGER", "WARNING", "CAUTION"}
    assert [BOOK.caution(key).word for key in ("c1", "c5", "c7")] == ["DANGER"] * 3  # will kill
    assert [BOOK.caution(key).word for key in ("c11", "c14")] == ["CAUTION"] * 2  # burns and cuts


# --- Kits ---

PARTS: list[Part] = [part for kit in BOOK.kits for part in kit.parts]
FEES: list[Fee] = [fee for kit in BOOK.kits for fee in kit.fees]
LINES: list[Part | Fee] = [*PARTS, *FEES]
LICENSED = {"leak_test", "flow_lockup", "appliance", "mains_test", "brake_readings", "breakaway"}
LICENSED |= {"breakaway_pull"}
LICENSED |= {"electrical_load", "tires_fitted"}


def is_licensed(kit: Kit) -> bool:
    return kit.outside or "weld" in kit.name or "c5" in kit.cautions or bool(LICENSED & set(kit.records))


def test_gas_brakes_electrics_welds_and_tires_defer_to_the_licensed_and_local_law() -> None:
    named = [kit for kit in BOOK.kits if is_licensed(kit)]
    assert {"k5", "k7", "k13", "k18", "k22", "k28", "k30", "k32", "k33"} <= {kit.key for kit in named}
    assert [kit.key for kit in named if not kit.defer] == []


def test_deferring_names_who_decides() -> None:
    decides = re.compile(
        r"law|code|qualified|licensed|competent|state|holder|rule|trained|maker|book", re.IGNORECASE
    )
    assert [kit.key for kit in BOOK.kits if kit.defer and not decides.search(kit.defer)] == []


def test_work_that_goes_out_has_a_price_of_its_own() -> None:
    out = [kit for kit in BOOK.kits if kit.outside]
    assert [kit.key for kit in out] == ["k7", "k30", "k32", "k33"]
    assert [kit.key for kit in out if not any(part.category == "outside" for part in kit.parts)] == []


def test_hours_come_in_tenths() -> None:
    odd = [kit.key for kit in BOOK.kits if kit.hours <= 0 or kit.hours * 10 % 1]
    assert odd == []


def test_hours_lie_in_the_span_that_the_trade_takes() -> None:
    # common practice, hours for one: tire 0.4 to 0.7, bearings 1.2 to 1.8, brakes of an axle 2 to 3
    spans = {"k13": ("0.4", "0.7"), "k16": ("1.2", "1.8"), "k18": ("2", "3"), "k14": ("0.3", "0.5")}
    for key, (low, high) in spans.items():
        assert Decimal(low) <= BOOK.kit(key).hours <= Decimal(high), key


def test_prices_are_whole_cents_of_a_likely_size() -> None:
    prices = [line.price for line in LINES]
    assert all(50 <= price <= 50_000 for price in prices)  # 50 cents to 500 dollars for one


def test_parts_and_fees_name_a_known_tax_category() -> None:
    found = {line.category for line in LINES}
    assert found == {"parts", "supplies", "disposal", "outside", "core"}


@pytest.mark.parametrize("kit", BOOK.kits, ids=lambda kit: kit.key)
def test_a_kit_is_whole(kit: Kit) -> None:
    assert kit.records, "nothing would prove the work"
    assert 5 <= len(kit.steps) <= 12, "a job sheet of five to twelve steps"
    assert len(set(kit.steps)) == len(kit.steps)


def test_every_kit_answers_some_check() -> None:
    used = {kit for check in BOOK.checks for kit in check.kits}
    used |= {kit for check in BOOK.checks for defect in check.defects for kit in defect.kits}
    assert {kit.key for kit in BOOK.kits} - used == set()


WHEEL_OFF = ["k8", "k9", "k10", "k12", "k13", "k15", "k16", "k17", "k18", "k19", "k51"]


@pytest.mark.parametrize("key", WHEEL_OFF)
def test_a_wheel_that_was_off_is_torqued_and_recorded(key: str) -> None:
    # common practice, and 49 CFR 570.10(c): nuts in place and tight
    kit = BOOK.kit(key)
    assert "wheel_torque" in kit.records
    assert any("star order" in step for step in kit.steps)


@pytest.mark.parametrize("key", ["k15", "k16", "k17"])
def test_a_hub_that_was_open_has_its_end_play_named(key: str) -> None:
    # common practice for light trailers: 0.001 to 0.010 in
    kit = BOOK.kit(key)
    assert "bearing_adjustment" in kit.records
    assert any("0.001 to 0.010 in" in step for step in kit.steps)


def test_a_gas_leak_is_tried_at_nine_inches_for_three_minutes() -> None:
    # La. Admin. Code 55:IX-175.B.1: 9 in wc, 3 minutes, neither fall nor rise
    for key in ("k31", "k32"):
        assert any("9 in wc for 3 minutes" in step for step in BOOK.kit(key).steps), key


# --- Words ---

BANNED = re.compile(
    r"\b(?:fail\w*|pass|passes|passed|passing|please|sorry|oops|invalid)\b|[!\u2265\u2264\u2192]",
    re.IGNORECASE,
)
PRINTABLE = re.compile(r"[\x20-\x7e\u00b7\u00b2\u00b3\u00b0\u00d7\u00f7\u00bd]*")
MOST_WORDS = 30


def test_no_sentence_is_longer_than_thirty_words() -> None:
    assert [said for said in ALL_SENTENCES if len(said[1].split()) > MOST_WORDS] == []


def test_no_word_that_the_house_bans() -> None:
    assert [said for said in ALL_SENTENCES if BANNED.search(said[1])] == []


def test_only_signs_that_the_fonts_carry() -> None:
    assert [said for said in ALL_SENTENCES if not PRINTABLE.fullmatch(said[1])] == []


def test_names_begin_with_a_capital_and_end_without_a_full_stop() -> None:
    names = [entry.name for entry in SPOKEN]
    assert [name for name in names if name.endswith(".") or not re.match(r"[A-Z0-9]", name)] == []


def test_every_look_is_one_or_two_sentences_or_three_short_ones() -> None:
    long = [check.key for check in BOOK.checks if len(re.findall(r"[.?](?:\s|$)", check.look)) > 3]
    assert long == []


# Every capital inside a sentence, so that no maker's name can slip in.
OPEN_NAMES = re.compile(
    r"GVWR|GAWR|VIN|DOT|RIN|AWG|GFCI|CO|OPD|AC|DC|UV|GC-LB|P100|B:C|5-B:C|U-bolts?|[AVFSEP]",
)


def foreign_capitals(text: str) -> list[str]:
    words = re.findall(r"[A-Za-z0-9:/-]+", text)[1:]
    return [word for word in words if word[0].isupper() and not OPEN_NAMES.fullmatch(word.rstrip(":/-"))]


def _lines(kit: Kit) -> list[str]:
    return [part.name for part in kit.parts] + [fee.name for fee in kit.fees]


def spoken(entry: Check | Kit) -> list[str]:
    if isinstance(entry, Kit):
        return [entry.name, *entry.steps, entry.defer, *_lines(entry)]
    return [entry.name, entry.look, *(measure.label for measure in entry.measures), entry.photo] + [
        proposed.says for proposed in proposals(entry)
    ]


SPOKEN: list[Check | Kit] = [*BOOK.checks, *BOOK.kits]


def test_no_maker_or_model_is_named() -> None:
    found = {
        word
        for entry in SPOKEN
        for text in spoken(entry)
        for part in re.split(r"(?<=[.?:;])\s+", text)
        for word in foreign_capitals(part)
    }
    assert found == set()


def test_depths_and_kinds_are_spelled_out_in_order() -> None:
    for check in BOOK.checks:
        assert list(check.depth) == [depth for depth in DEPTHS if depth in check.depth], check.key
        assert list(check.kinds) == [kind for kind in KINDS if kind in check.kinds], check.key


def test_the_catalogue_survives_its_keeping_as_json() -> None:
    assert Catalogue.from_json(BOOK.to_json()) == BOOK


@pytest.mark.parametrize(
    ("key", "defect", "section"),
    [
        # 49 CFR 396 appendix A, read: missing or broken shoes, linings, pads, springs, anchor pins
        ("br.parts", "missing", "396 appendix A, 1(a)(2)"),
        # same: a lining or pad that is not firmly attached to its shoe
        ("br.lining", "loose", "396 appendix A, 1(a)(6)(a)"),
    ],
)
def test_a_brake_part_cites_the_text_that_was_read(key: str, defect: str, section: str) -> None:
    assert BOOK.check(key).defect(defect).source.section == section


def test_a_pad_cites_the_sixteenth_of_an_inch_that_was_read() -> None:
    # 49 CFR 570.59(c) and 393.47(d)(2), read: 1/16 in (1.6 mm) of pad on hydraulic and electric brakes
    limit = BOOK.check("br.pad").measure("pad").limits[0]
    assert (limit.under, limit.source.section) == (2, "570.59(c), 393.47(d)(2)")


def test_no_word_to_the_owner_names_a_kit_by_its_key() -> None:
    assert [kit.key for kit in BOOK.kits if re.search(r"\bk\d+\b", kit.defer)] == []


def test_a_place_that_is_called_as_its_check_is_said_once() -> None:
    places = places_for(BY_KEY["la.plate"], UnitShape("utility"))
    assert [name_of(BY_KEY["la.plate"], place) for place in places] == ["Plate lamp"]
    first = places_for(BY_KEY["ti.tread"], UnitShape("utility"))[0]
    assert name_of(BY_KEY["ti.tread"], first) == "Tread depth, right tire, axle 1"
