"""Nothing is asked twice: a form begins with what the book knows, and says why where it begins with nothing.

A request for the same information twice is a known cause of wrong answers (WCAG 2.2, success criterion 3.3.7,
Redundant Entry: what was entered before is filled in, or can be chosen). What is filled in would be taken for
what a person read or said; where that must not happen, the field stands in `LEFT_BLANK` with its reason.
"""

import re
import sqlite3
from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from contextlib import closing
from fnmatch import fnmatchcase
from urllib.parse import parse_qsl, urlsplit

import pytest

from tests.whole.conftest import Made
from tests.whole.crawl import Form

OURS = ("token", "submission", "revision")
EMPTY = ("", "None", "0", "0.00")

STAY = "FROM workorder JOIN owner ON owner.id = workorder.owner_id WHERE workorder.id = :order_id"
JOB = "FROM job JOIN workorder ON workorder.id = job.work_order_id JOIN unit ON unit.id = workorder.unit_id"
ON_BENCH = "/bench/jobs/{job_id}/records/{kind}/{place}"
TYPED_OFF = "/bench/jobs/{job_id}/typing/{kind}/{place}"
UNIT = (
    "plate vin kind maker model year length_ft width_in axles wheels_per_end gvwr tire_size tire_pressure "
    "stud_thread stud_count torque_low torque_high torque_source brakes ball_size cylinders battery"
)
OWNER = "name phone phone_2 email address preferred"


def of_row(table: str, key: str, names: str) -> dict[str, str]:
    """What stands in the columns of a row, for the fields of the same names."""
    return {name: f"SELECT {name} FROM {table} WHERE id = :{key}" for name in names.split()}


def of_unit(key: str) -> dict[str, str]:
    """What a unit's plates and owner said, once."""
    by = f"FROM unit WHERE id = :{key}"
    gawr = {f"gawr-{n + 1}": f"SELECT json_extract(gawr, '$[{n}]') {by}" for n in range(4)}
    asked = f"SELECT CASE brakes_required WHEN 1 THEN 'yes' WHEN 0 THEN 'no' END {by}"
    return {**of_row("unit", key, UNIT), **gawr, "brakes_required": asked}


def of_bench(kinds: str, column: str) -> str:
    """A column of the unit on which a job is done, for some kinds of record."""
    return f"SELECT unit.{column} {JOB} WHERE job.id = :job_id AND :kind IN ({kinds})"


def last_on_stay(kind: str, path: str) -> str:
    """What the newest record of a kind on the job's stay says."""
    newest = "SELECT payload FROM benchrecord WHERE kind = :kind AND work_order_id = "
    stay = "(SELECT work_order_id FROM job WHERE id = :job_id)"
    found = f"SELECT json_extract(payload, '$.{path}') FROM ({newest}{stay} ORDER BY id DESC LIMIT 1)"
    return f"{found} WHERE :kind = '{kind}'" if kind else found


COMES = "coalesce(:owner, (SELECT owner_id FROM unit WHERE id = :unit))"  # the owner, known or by the unit
BROUGHT = f"FROM owner WHERE id = {COMES}"
TOW = f"FROM towvehicle WHERE owner_id = {COMES} ORDER BY id DESC"
BILLED = "SELECT sum(CASE kind WHEN 'invoice' THEN gross ELSE -gross END) FROM bill"
PAID = "SELECT coalesce(sum(amount), 0) FROM payment"
OF_STAY = "WHERE work_order_id = :order_id"
LAST_LEFT = f"FROM handover {OF_STAY} ORDER BY id DESC"
WHEELS = f"FROM benchrecord {OF_STAY} AND kind = 'wheel_torque'"
TOLD_OF_BENCH = {
    "studs": of_bench("'wheel_torque'", "stud_count"),
    "low": of_bench("'wheel_torque'", "torque_low"),
    "high": of_bench("'wheel_torque'", "torque_high"),
    "figure_from": of_bench("'wheel_torque'", "torque_source"),
    "size": of_bench("'tires_fitted'", "tire_size"),
    "placard": of_bench("'tires_fitted'", "tire_pressure"),
    "rim": of_bench("'balance'", "tire_size"),
    "gvwr": of_bench("'scale_tickets'", "gvwr"),
    "shows": last_on_stay("balance", "shows"),
    **{
        name: last_on_stay("bearing_adjustment", name) for name in ("grease", "inner", "outer", "seal_number")
    },
    "scale": last_on_stay("scale_tickets", "scale"),
    "tow_vehicle": last_on_stay("road_test", "tow_vehicle"),
    "instrument": last_on_stay("", "instrument.id"),
}

# Route, field, and where the book has its value. `:name` is a key in the form's address, or in its page's.
FACTS: Mapping[str, Mapping[str, str]] = {
    "/intake/new": {
        **{name: f"SELECT {name} {BROUGHT}" for name in OWNER.split()},
        **of_unit("unit"),
        **{f"tow_{name}": f"SELECT {name} {TOW}" for name in ("what", "plate", "rating")},
        "tow_ball": f"SELECT ball_size {TOW}",
    },
    "/intake/owners/{owner_id}": of_row("owner", "owner_id", OWNER),
    "/intake/units/{unit_id}": of_unit("unit_id"),
    "/intake/orders/{order_id}": of_row("workorder", "order_id", "stands came_with condition keys"),
    "/estimate/{order_id}/consent": {
        "phone": f"SELECT owner.phone {STAY}",
        "who": f"SELECT owner.name {STAY} AND :how IN ('phone', 'writing')",
        "said_on": "SELECT date()",
    },
    "/handover/{order_id}": {
        "taken_by": f"SELECT owner.name {STAY}",
        "registered": f"SELECT json_extract(snapshot, '$.registered') {LAST_LEFT}",
    },
    "/handover/{order_id}/retorque": {
        "torque": f"SELECT max(json_extract(payload, '$.low')) {WHEELS}",
        "instrument": f"SELECT max(json_extract(payload, '$.instrument.id')) {WHEELS}",
        "distance_unit": "SELECT 'mi'",
    },
    ON_BENCH: TOLD_OF_BENCH,
    TYPED_OFF: TOLD_OF_BENCH,
    "/bench/instruments/{instrument_id}": of_row(
        "instrument", "instrument_id", "name kind least most unit resolution calibrated_on calibration_due"
    ),
    "/bench/stints/{stint_id}": {
        "begun": "SELECT begun_at FROM stint WHERE id = :stint_id",
        "ended": "SELECT ended_at FROM stint WHERE id = :stint_id",
    },
    "/accounts/orders/{order_id}/payments": {
        "amount": f"SELECT abs(({BILLED} {OF_STAY}) - ({PAID} {OF_STAY}))",
        "on_day": "SELECT date()",
    },
    "/accounts/orders/{order_id}/invoices": {"due_on": "SELECT date()"},
    "/accounts/orders/{order_id}/exemption": {
        name: f"SELECT {name} FROM exemption WHERE owner_id = "
        "(SELECT owner_id FROM workorder WHERE id = :order_id) ORDER BY id DESC LIMIT 1"
        for name in ("certificate", "until")
    },
    "/parts/catalogue/{part_id}/edit": {
        **of_row("part", "part_id", "number name designation unit supplier_number cost price bin"),
        **of_row("part", "part_id", "reorder_at reorder_quantity kit_part"),
        "supplier": "SELECT supplier_id FROM part WHERE id = :part_id",
        "superseded_by": "SELECT superseded_by_id FROM part WHERE id = :part_id",
    },
    "/parts/suppliers/{supplier_id}": of_row(
        "supplier", "supplier_id", "name phone email address account lead_days note"
    ),
}


def blank(form: Form) -> list[str]:
    """Names of the controls to be typed or chosen that send nothing as the form stands."""
    shown = {each.name for each in form.controls if each.kind not in ("hidden", "file", "checkbox")}
    sent = form.untouched()
    return sorted(name for name in shown - {*OURS} if not any(text.strip() for text in sent.get(name, [])))


def keys(form: Form) -> dict[str, str | None]:
    """The keys in a form's address, by the names of its route, and in the address of its page."""
    path = re.sub(r"{(\w+)(?::\w+)?}", r"(?P<\1>[^/]+)", form.route)
    found = re.fullmatch(path, urlsplit(form.action).path)
    asked = dict(parse_qsl(urlsplit(form.page).query))
    return {"owner": None, "unit": None, "how": "", **asked, **(found.groupdict() if found else {})}


def known(book: sqlite3.Connection, form: Form, name: str) -> str:
    """What the book knows for a field of a form, empty where it knows nothing."""
    asked = FACTS.get(form.route, {}).get(name)
    row = book.execute(asked, keys(form)).fetchone() if asked else None
    return "" if row is None or str(row[0]).strip() in EMPTY else str(row[0])


# Fields that begin blank although a form could guess: why, and where. Names by pattern.
LEFT_BLANK: Mapping[str, Mapping[str, str]] = {
    "Measured or read off the thing itself; a figure that stood there would be kept unread": {
        ON_BENCH: "adapter_length ball_height bolts cable chain_gap chains clip cotter end frame_* front_* "
        "rear_* good_to head inner* outer* links_* load made mark measured miles minutes most p-* was-* "
        "at-* where-* side-* pinned play_* plug pressure quiet* r-* s-* seal start state tank_* tested tin "
        "tir turns valve wrench_length",
        TYPED_OFF: "adapter_length ball_height bolts cable chain_gap chains clip cotter frame_* front_* "
        "rear_* good_to head links_* load made mark measured most pinned play_* plug pressure r-* seal state "
        "tested tin turns wrench_length",
        "/inspection/findings/{finding_id}": "reading-*",
        "/handover/{order_id}/retorque": "miles wheel-*",
    },
    "Looked at or counted now; what the book expects stands beside it, and would only be said back": {
        "/handover/{order_id}/final-check": "item-*",
        "/parts/count": "counted-*",
        "/parts/orders/{order_id}/delivery": "came-*",
        "/accounts/day": "counted banked",
    },
    "The owner's own word or hand, which nobody gives for them": {
        "/estimate/{order_id}/consent": "say-* initials-* limit read_back said_time",
        "/handover/{order_id}": "initials-* unseen_reason",
        "/intake/new": "concerns promised_day",
        "/intake/orders/{order_id}": "concerns",
    },
    "A name that is the signature where the owner answers here or on paper": {
        "/estimate/{order_id}/consent": "who",
    },
    "A second person, who is named only where there was one": {
        "/handover/{order_id}/final-check": "read_by",
        "/inspection/findings/{finding_id}": "second",
    },
    "A judgement or a reason in words, thought of anew each time": {
        "/accounts/bills/{bill_id}/credit": "reason",
        "/accounts/orders/{order_id}/invoices": "discount discount_why",
        "/bench/findings/{finding_id}/clear": "how reason",
        "/bench/jobs/{job_id}/accept": "reason",
        "/bench/jobs/{job_id}/found": "finding says weighs",
        "/bench/jobs/{job_id}/pause": "paused_for paused_note",
        "/bench/stints/{stint_id}": "reason",
        ON_BENCH: "correction correction-kind whole",
        TYPED_OFF: "whole",
        "/inspection/findings/{finding_id}": "by note phrase reason reason-phrase until until_miles",
        "/canvas/{canvas_id}/call-off": "why",
        "/canvas/{canvas_id}/making/back": "why",
        "/canvas/{canvas_id}/promise/hours": "why",
        "/estimate/{order_id}/freeze": "note",
        "/handover/follow-ups/{follow_id}": "how says",
        "/canvas/{canvas_id}/promise": "how",
    },
    "What came with the unit on this stay and where it stands, seen when it arrives": {
        "/intake/new": "came_with came_with_cylinders condition keys stands",
        "/intake/orders/{order_id}": "came_with_cylinders",
    },
    "The joint and its figure are of this bolt alone, by its own maker; no record of the stay has them": {
        ON_BENCH: "joint n-* thread",
    },
    "How much front load to restore stands in the tow vehicle's own book, which the shop has not": {
        ON_BENCH: "goal",
        TYPED_OFF: "goal",
    },
    "Which way the money came, and the number on its slip": {
        "/accounts/orders/{order_id}/payments": "means note reference",
    },
    "What is done at this handover with the makers' forms, said by who does it": {
        "/handover/{order_id}": "registered",
    },
    "Asked only where the unit leaves on a carrier": {"/handover/{order_id}": "carrier"},
    "Empty takes what stands beside it: the part's cost, or the price that the mark-up makes of it": {
        "/parts/catalogue/{part_id}/movements": "cost",
        "/parts/orders/{order_id}/lines": "cost",
        "/parts/orders/{order_id}/delivery": "cost-*",
        "/estimate/{order_id}/lines/{line_id}": "cost",
        "/estimate/{order_id}/works": "cost",
        "/estimate/{order_id}/works/{work_id}/lines": "cost",
    },
    "Something new: the book has nothing of it yet": {
        "/bench/instruments": "*",
        "/estimate/{order_id}/works": "count hours instead_of kit price quantity title what",
        "/estimate/{order_id}/works/{work_id}/lines": "price what",
        "/inspection/catalogue/add": "*",
        "/inspection/catalogue/add-kit": "*",
        "/inspection/catalogue/kits/{key}": "*",
        "/inspection/catalogue/phrases": "says",
        "/parts/catalogue/{part_id}/movements": "note order quantity",
        "/parts/lists": "text",
        "/parts/new": "*",
        "/parts/orders/{order_id}/lines": "order part quantity",
        "/parts/suppliers": "*",
        "/people": "name",
        "/shop/tax": "category percent",
        "/bench/jobs/{job_id}/photos": "words",
        "/canvas/orders/{order_id}": "finding",
        "/canvas/pieces/{piece_id}/photos": "words",
        "/canvas/{canvas_id}/making": "hours note",
        "/canvas/{canvas_id}/parts": "place",
        "/canvas/{canvas_id}/pieces": "mirror_of name",
        "/canvas/{canvas_id}/price": "option-* work",
        "/canvas/{canvas_id}/rings": "ring",
        "/canvas/{canvas_id}/seams": "ease seam",
        "/workbench/{key}/attach": "attach-for",
    },
    "The form of what is kept, as it stands: blank is what nobody has said yet": {
        "/canvas/cloths/{cloth_id}/plan": "ends",
        "/canvas/parts/{part_id}": "*",
        "/canvas/pieces/{piece_id}": "*",
        "/canvas/pieces/{piece_id}/edges": "*",
        "/canvas/{canvas_id}": "*",
        "/canvas/{canvas_id}/promise/hours": "machine_hours table_hours",
        "/shop": "law_place",
    },
    "A passphrase, which no page ever shows": {
        "/people": "again passphrase",
        "/people/passphrase": "again old passphrase",
        "/people/{person_id}/passphrase": "again passphrase",
    },
}


def excused(route: str, name: str) -> bool:
    """Whether a field of a route may begin blank, whatever the book knows of it."""
    patterns = " ".join(routes.get(route, "") for routes in LEFT_BLANK.values()).split()
    return any(fnmatchcase(name, pattern) for pattern in patterns)


@pytest.fixture
def book(made: Made) -> Iterator[sqlite3.Connection]:
    """The demo shop's book, to be read."""
    with closing(sqlite3.connect(f"file:{made.book}?mode=ro", uri=True)) as opened:
        yield opened


def test_no_form_asks_for_what_the_book_knows(posted: Sequence[Form], book: sqlite3.Connection) -> None:
    asked_twice = {
        f"{form.page}: {name}, which is {value}"
        for form in posted
        for name in blank(form)
        if (value := known(book, form, name))
    }
    assert not asked_twice


def test_every_field_that_begins_blank_has_its_reason(posted: Sequence[Form]) -> None:
    found = {(form.route, name) for form in posted for name in blank(form)}
    assert not [
        each for each in sorted(found) if each[1] not in FACTS.get(each[0], {}) and not excused(*each)
    ]


def test_every_reason_still_has_its_field(posted: Sequence[Form]) -> None:
    found = defaultdict(set)
    for form in posted:
        found[form.route] |= set(blank(form))
    listed = [
        (route, name) for of in LEFT_BLANK.values() for route, names in of.items() for name in names.split()
    ]
    gone = [it for it in listed if not any(fnmatchcase(name, it[1]) for name in found[it[0]])]
    assert not gone


# What this demo shop's book has no value of, so that its forms prove nothing of it here.
UNPROVED = {
    "/accounts/orders/{order_id}/exemption": "certificate until",
    ON_BENCH: "gvwr grease inner outer scale seal_number tow_vehicle",
    TYPED_OFF: "rim gvwr shows grease inner outer scale seal_number tow_vehicle",
    "/intake/new": "phone_2 gawr-3 gawr-4",
    "/intake/owners/{owner_id}": "phone_2",
    "/intake/units/{unit_id}": "gawr-3 gawr-4",
    "/parts/catalogue/{part_id}/edit": "price",
}


def test_each_fact_was_looked_for_in_a_form_whose_book_has_it(
    posted: Sequence[Form], book: sqlite3.Connection
) -> None:
    proved = {
        (form.route, name)
        for form in posted
        for name in FACTS.get(form.route, {})
        if any(each.name == name for each in form.controls) and known(book, form, name)
    }
    listed = {(route, name) for route, names in FACTS.items() for name in names}
    open_ = {(route, name) for route, names in UNPROVED.items() for name in names.split()}
    assert listed - proved == open_
