"""The walk-round as a browser meets it."""

import io
import re
from collections.abc import Callable
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
from httpx import Response
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image
from sqlalchemy import Engine
from sqlmodel import select

from app.ground.book import reading
from app.ground.receipts import tapped as tapped_of
from app.ground.tables import Receipt
from app.ground.words import moment
from app.inspection import facts, steps
from app.inspection.steps import Seen
from app.inspection.tables import Finding, Walk
from app.intake.arrival import Arrival, Known, OwnerSaid, StaySaid, UnitSaid
from app.intake.steps import take_in
from app.intake.tables import Unit
from app.trade.figure import Grade
from tests.conftest import Browser, act
from tests.inspection.walks import CATALOGUE, TENT, TRAVEL, at, begun, filled, one_place_each
from tests.intake.arrivals import handed_over

Signed = Callable[[str], Browser]
LEFT = "tire-1-left"


@pytest.fixture
def toni(signed: Signed) -> Browser:
    return signed("Toni")


@pytest.fixture
def walk(book: Engine) -> int:
    return begun(book)


def send(it: Browser, row: Finding, **form: str | list[str]) -> Response:
    named = {name.replace("__", "-"): text for name, text in form.items()}
    return it.post(f"/inspection/findings/{row.id}", {"revision": str(row.revision), **named})


def pressed(page: str) -> list[str]:
    return re.findall(r'value="(\w+)" aria-pressed="true"', page)


# Begin, resume


def test_a_walk_is_begun_by_a_key_and_resumed_by_the_same_address(book: Engine, toni: Browser) -> None:
    begun(book, TENT)  # another unit's
    order = take_in(
        book, act(2), Arrival(StaySaid(depth="quick"), OwnerSaid("Ole", phone="555 0171"), TRAVEL)
    )
    address = f"/inspection/orders/{order}"
    page = toni.get(address).text
    assert 'value="quick" checked' in page
    with reading(book) as session:
        assert len(list(session.exec(select(Walk)))) == 1  # looking begins nothing
    answer = toni.post(address, {"depth": "quick", "submission": "once"})
    assert answer.status_code == 303
    assert toni.get(address).headers["location"] == answer.headers["location"]
    assert toni.get(answer.headers["location"]).status_code == 200


def test_a_depth_that_is_none_comes_back_with_the_choices(book: Engine, toni: Browser) -> None:
    order = take_in(book, act(2), Arrival(StaySaid(), owner=OwnerSaid("Ines", phone="555 0163"), unit=TRAVEL))
    answer = toni.post(f"/inspection/orders/{order}", {"depth": "thorough"})
    assert answer.status_code == 422
    assert "thorough is not a depth" in answer.text


@pytest.mark.parametrize(
    "address",
    [
        "/inspection/orders/99",
        "/inspection/findings/99999",
        "/inspection/findings/0",
        "/inspection/findings/9223372036854775808",
        "/inspection/walks/9/sum-up",
        "/inspection/walks/9/stations/3",
        "/inspection/walks/1/stations/12",
        "/inspection/walks/1/stations/x",
    ],
)
def test_what_is_not_there_is_told_so(book: Engine, toni: Browser, walk: int, address: str) -> None:
    assert toni.get(address).status_code == 404


def test_only_technicians_and_leads_record(signed: Signed, book: Engine, walk: int) -> None:
    row = at(book, walk, "cp.latch")
    wren = signed("Wren")
    assert wren.get(f"/inspection/findings/{row.id}").status_code == 200
    for address in (
        f"/inspection/findings/{row.id}",
        "/inspection/orders/1/take-back",
        f"/inspection/findings/{row.id}/second-look",
        f"/inspection/walks/{walk}/end",
        f"/inspection/walks/{walk}/stations/2/sound",
        "/inspection/orders/1",
    ):
        assert wren.post(address, {"grade": "sound"}).status_code == 403
    assert at(book, walk, "cp.latch").grade == "unseen"


# One check


def test_a_sound_check_is_one_tap_and_the_page_says_that_it_is_saved(
    book: Engine, toni: Browser, walk: int
) -> None:
    row = at(book, walk, "cp.latch")
    answer = send(toni, row, grade="sound")
    assert (answer.status_code, answer.headers["location"]) == (303, f"/inspection/findings/{row.id}")
    assert at(book, walk, "cp.latch").grade == "sound"  # in the book before the answer is read
    page = toni.get(answer.headers["location"]).text
    assert pressed(page) == ["sound"]
    assert "by Toni." in page


def test_a_reading_is_judged_and_the_proposal_said_on_its_key(book: Engine, toni: Browser, walk: int) -> None:
    row = at(book, walk, "ti.tread", LEFT)
    send(toni, row, reading__least="3", unit__least="in_32nd", save="readings")
    page = toni.get(f"/inspection/findings/{row.id}").text
    assert pressed(page) == ["needs"]  # under 4/32 in: common practice
    assert "proposed, kept" in page
    assert "under 4/32 in" in page
    assert 'value="soon" checked' in page


def test_a_reading_may_be_typed_in_the_other_unit(book: Engine, toni: Browser, walk: int) -> None:
    # 1.5 mm is under 2/32 in (1.5875 mm): 49 CFR 570.62(a)
    row = at(book, walk, "ti.tread", LEFT)
    send(toni, row, reading__least="1.5", unit__least="mm", save="readings")
    assert at(book, walk, "ti.tread", LEFT).grade == "dnt"
    assert 'value="mm" selected' in toni.get(f"/inspection/findings/{row.id}").text


def test_a_refused_reading_stays_in_its_field_and_says_what_is_accepted(
    book: Engine, toni: Browser, walk: int
) -> None:
    row = at(book, walk, "ti.psi", LEFT)
    answer = send(toni, row, reading__cold="5O psi", note="gauge 4", seen=["nothing of ours"])
    assert answer.status_code == 422
    send_only = send(toni, row, reading__cold="5O psi", note="gauge 4", by="soon")
    assert 'value="5O psi"' in send_only.text
    assert 'href="#reading-cold"' in send_only.text
    assert 'aria-describedby="reading-cold-limits reading-cold-fix" aria-invalid="true"' in send_only.text
    assert "Accepted:" in send_only.text
    assert 'value="gauge 4"' in send_only.text
    assert 'value="soon" checked' in send_only.text
    assert at(book, walk, "ti.psi", LEFT).revision == 0


def test_an_unlikely_reading_is_one_question_with_its_own_key(book: Engine, toni: Browser, walk: int) -> None:
    row = at(book, walk, "ti.tread", LEFT)
    asked = send(toni, row, reading__least="25", grade="watch")
    assert asked.status_code == 422
    assert 'name="confirm-reading-least" value="25"' in asked.text
    assert '<input type="hidden" name="chosen" value="watch">' in asked.text
    kept = send(toni, row, reading__least="25", chosen="watch", confirm__reading__least="25")
    assert kept.status_code == 303
    stands = at(book, walk, "ti.tread", LEFT)
    assert stands.grade == "watch"
    with reading(book) as session:
        line = facts.finding_line(session, stands)
    assert line.readings[0].confirmed_by == "Toni"


def test_needs_work_asks_by_when_beside_the_choice(book: Engine, toni: Browser, walk: int) -> None:
    row = at(book, walk, "cp.latch")
    answer = send(toni, row, grade="needs", note="stiff")
    assert answer.status_code == 422
    assert 'id="by" aria-invalid="true" aria-describedby="by-fix"' in answer.text
    assert send(toni, row, grade="needs", by="towing", note="stiff").status_code == 303
    assert at(book, walk, "cp.latch").by == "towing"


def test_a_lighter_grade_asks_for_its_reason_in_an_open_panel(book: Engine, toni: Browser, walk: int) -> None:
    row = at(book, walk, "cp.latch")
    worst = CATALOGUE.check("cp.latch").defects[0].key
    answer = send(toni, row, seen=[worst], grade="needs", by="soon")
    assert answer.status_code == 422
    assert '<details class="walk-more" open>' in answer.text
    for field in ("reason", "second", "photo"):
        assert f'id="{field}-fix"' in answer.text
    assert f'value="{worst}" checked' in answer.text


def test_photos_are_kept_with_their_finding_and_other_files_are_refused(
    book: Engine, toni: Browser, walk: int
) -> None:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "white").save(out, "PNG")
    row = at(book, walk, "cp.latch")
    address, form = f"/inspection/findings/{row.id}", {"revision": "0", "grade": "sound"}
    text = [("photo", ("notes.txt", b"plain words", "text/plain"))]
    refused = toni.post(address, form, files=text)
    assert refused.status_code == 422
    assert "not a picture" in refused.text
    two = [("photo", (f"{n}.png", out.getvalue(), "image/png")) for n in range(2)]
    assert toni.post(address, form, files=two).status_code == 303
    page = toni.get(address).text
    assert "2 kept" in page
    (photo, *_) = re.findall(r'src="(/photos/\d+/small.jpg)"', page)
    assert toni.get(photo).headers["content-type"] == "image/jpeg"


def both_sides(page: str, label: str) -> list[str]:
    """What is in the book and what was typed, on one line of a conflict."""
    row = re.search(rf'<th scope="row">{label}<.*?</tr>', page, re.DOTALL)
    assert row
    return re.findall(r"<b>([^<]*)</b>", row[0])


def test_who_saves_second_gets_both_versions_and_can_save_then(
    book: Engine, signed: Signed, walk: int
) -> None:
    row = at(book, walk, "ti.tread", LEFT)
    send(signed("Lee"), row, reading__least="6", unit__least="in_32nd")
    late = send(signed("Toni"), row, reading__least="3", unit__least="in_32nd", grade="needs", by="soon")
    assert late.status_code == 409
    assert "Lee saved first" in late.text
    assert both_sides(late.text, "Tread, least of the spots") == ["6", "3"]
    assert both_sides(late.text, "State") == ["Sound", "Needs work"]
    assert 'id="reading-least" name="reading-least"' in late.text
    assert 'name="revision" value="1"' in late.text
    again = at(book, walk, "ti.tread", LEFT)
    assert again.grade == "sound"
    assert send(signed("Toni"), again, reading__least="3", unit__least="in_32nd").status_code == 303
    assert at(book, walk, "ti.tread", LEFT).grade == "needs"


def test_the_same_form_sent_twice_saves_once(book: Engine, toni: Browser, walk: int) -> None:
    row = at(book, walk, "cp.latch")
    for _ in range(3):
        assert send(toni, row, grade="sound", submission="twice").status_code == 303
    assert at(book, walk, "cp.latch").revision == 1
    other = send(toni, row, grade="dnt", submission="twice")
    assert other.status_code == 422
    assert at(book, walk, "cp.latch").grade == "sound"


def test_htmx_gets_the_part_alone(book: Engine, toni: Browser, walk: int) -> None:
    row = at(book, walk, "ti.psi", LEFT)
    part = toni.get(f"/inspection/findings/{row.id}", part=True).text
    assert part.lstrip().startswith('<div class="walk-page"')
    form = {"revision": "0", "reading-cold": "x"}
    refused = toni.post(f"/inspection/findings/{row.id}", form, part=True)
    assert (refused.status_code, "<html" in refused.text) == (422, False)


# Sent twice, and from old pages


def test_the_same_at_sent_twice_answers_as_the_first_time(book: Engine, toni: Browser, walk: int) -> None:
    row = at(book, walk, "ti.psi", LEFT)
    also = [str(at(book, walk, "ti.psi", place).key) for place in ("tire-1-right", "tire-2-left")]
    form = {"reading__cold": "50", "unit__cold": "psi", "also": also, "submission": "double tap"}
    answers = [send(toni, row, **form) for _ in range(2)]
    assert [each.status_code for each in answers] == [303, 303]
    assert answers[0].headers["location"] == answers[1].headers["location"]
    assert at(book, walk, "ti.psi", "tire-1-right").revision == 1


def test_go_on_sent_twice_answers_as_the_first_time(book: Engine, toni: Browser, walk: int) -> None:
    row = at(book, walk, "ti.tread", LEFT)
    form = {"reading__least": "3", "unit__least": "in_32nd", "go": "on", "submission": "double tap"}
    answers = [send(toni, row, **form) for _ in range(2)]
    # needs work: both stay, so that its term is seen
    assert {each.headers["location"] for each in answers} == {f"/inspection/findings/{row.id}"}


def test_a_place_of_the_same_at_that_is_none_is_said_beside_the_field(
    book: Engine, toni: Browser, walk: int
) -> None:
    row = at(book, walk, "ti.psi", LEFT)
    answer = send(toni, row, reading__cold="50", unit__cold="psi", also=["999999"])
    assert answer.status_code == 422
    assert 'id="also-fix"' in answer.text


def test_photos_of_a_refused_form_wait_in_the_next_one(book: Engine, toni: Browser, walk: int) -> None:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "white").save(out, "PNG")
    row = at(book, walk, "cp.latch")
    address = f"/inspection/findings/{row.id}"
    files = [("photo", ("a.png", out.getvalue(), "image/png")), ("photo", ("b.txt", b"words", "text/plain"))]
    refused = toni.post(address, {"revision": "0", "grade": "needs"}, files=files)
    assert refused.status_code == 422
    held = re.findall(r'name="held" value="(\d+)"', refused.text)
    assert len(held) == 1
    assert f'src="/photos/{held[0]}/small.jpg"' in refused.text
    still = toni.post(address, {"revision": "0", "grade": "needs", "held": held})
    assert re.findall(r'name="held" value="(\d+)"', still.text) == held
    assert toni.post(address, {"revision": "0", "grade": "sound", "held": held}).status_code == 303
    page = toni.get(address).text
    assert "1 kept" in page
    assert 'name="held"' not in page


def test_photos_of_a_form_that_came_too_late_wait_too(book: Engine, signed: Signed, walk: int) -> None:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "white").save(out, "PNG")
    row = at(book, walk, "cp.latch")
    send(signed("Lee"), row, grade="sound")
    files = [("photo", ("a.png", out.getvalue(), "image/png"))]
    form = {"revision": "0", "grade": "watch"}
    late = signed("Toni").post(f"/inspection/findings/{row.id}", form, files=files)
    assert late.status_code == 409
    assert len(re.findall(r'name="held" value="(\d+)"', late.text)) == 1


def test_the_day_of_last_time_is_the_shops(book: Engine, toni: Browser) -> None:
    first = begun(book)
    row = at(book, first, "ti.tread", LEFT)
    # 1 June, 02:00 UTC, is still 31 May in the shop (New York, UTC-4 in summer)
    late = datetime(2026, 6, 1, 2, 0, tzinfo=UTC)
    steps.record_finding(book, act(3, at=late), row.key, Seen(readings={"least": "7"}))
    with reading(book) as session:
        unit = session.exec(select(Unit)).one().key
    handed_over(book)
    order = take_in(book, act(2), Arrival(StaySaid(), known_unit=Known(unit, 1)))
    second = steps.begin_walk(book, act(3), order)
    page = toni.get(f"/inspection/findings/{at(book, second, 'ti.tread', LEFT).id}").text
    assert "05/2026" in page


# Going on


def test_go_on_leads_on_at_once_where_nothing_was_touched(book: Engine, toni: Browser, walk: int) -> None:
    row = at(book, walk, "ti.tread", LEFT)
    values = {"reading__least": "", "unit__least": "in_32nd", "note": "", "reason": ""}
    answer = send(toni, row, go="on", **values)
    assert answer.status_code == 303
    assert answer.headers["location"] != f"/inspection/findings/{row.id}"
    assert at(book, walk, "ti.tread", LEFT).revision == 0
    part = toni.post(f"/inspection/findings/{row.id}", {"revision": "0", "go": "on"}, part=True)
    assert part.headers["hx-redirect"] == answer.headers["location"]


def test_go_on_saves_what_was_typed_and_stays_where_it_is_not_sound(
    book: Engine, toni: Browser, walk: int
) -> None:
    row = at(book, walk, "ti.tread", LEFT)
    stays = send(toni, row, go="on", reading__least="3", unit__least="in_32nd")
    assert stays.headers["location"] == f"/inspection/findings/{row.id}"
    right = at(book, walk, "ti.tread", "tire-1-right")
    moves = send(toni, right, go="on", reading__least="8", unit__least="in_32nd")
    assert moves.headers["location"] != f"/inspection/findings/{right.id}"
    assert at(book, walk, "ti.tread", "tire-1-right").grade == "sound"


def test_the_last_unseen_check_leads_to_the_sum(book: Engine, toni: Browser, walk: int) -> None:
    with reading(book) as session:
        last = session.exec(select(Finding).where(Finding.walk_id == walk)).all()[-1]
    answer = send(toni, last, go="on")
    assert answer.headers["location"] == f"/inspection/walks/{walk}/sum-up"


def test_one_reading_goes_to_several_places(book: Engine, toni: Browser, walk: int) -> None:
    row = at(book, walk, "ti.psi", LEFT)
    others = [str(at(book, walk, "ti.psi", place).key) for place in ("tire-1-right", "tire-2-left")]
    page = toni.get(f"/inspection/findings/{row.id}").text
    assert all(f'name="also" value="{key}"' in page for key in others)
    assert send(toni, row, reading__cold="50", unit__cold="psi", also=others).status_code == 303
    grades = [at(book, walk, "ti.psi", place).grade for place in (LEFT, "tire-1-right", "tire-2-left")]
    assert grades == ["sound"] * 3
    latch = at(book, walk, "cp.latch")
    refused = send(toni, latch, grade="sound", also=others)
    assert refused.status_code == 422


def test_what_was_read_at_the_last_stay_stands_beside_the_field(book: Engine, toni: Browser) -> None:
    first = begun(book)
    row = at(book, first, "ti.tread", LEFT)
    steps.record_finding(book, act(3), row.key, Seen(readings={"least": "7"}))
    with reading(book) as session:
        unit = session.exec(select(Unit)).one().key
    handed_over(book)
    order = take_in(book, act(2), Arrival(StaySaid(), known_unit=Known(unit, 1)))
    second = steps.begin_walk(book, act(3), order)
    page = toni.get(f"/inspection/findings/{at(book, second, 'ti.tread', LEFT).id}").text
    assert "last time 7/32\u00a0in, 05/2026" in page


def test_the_placard_stands_beside_the_pressure(book: Engine, toni: Browser, walk: int) -> None:
    page = toni.get(f"/inspection/findings/{at(book, walk, 'ti.psi', LEFT).id}").text
    assert "placard 50\u00a0psi" in page
    torque = toni.get(f"/inspection/findings/{at(book, walk, 'wh.torque', 'wheel-1-left').id}").text
    assert "usually 40 to" not in torque  # what its maker asks for stands there, or that the book has none


# Stations


def test_a_station_shows_its_wheels_as_a_table_and_its_places_on_a_drawing(
    book: Engine, toni: Browser, walk: int
) -> None:
    page = toni.get(f"/inspection/walks/{walk}/stations/5").text
    assert '<th scope="col">Axle 1</th><th scope="col">Axle 2</th>' in page
    assert '<svg class="drawing"' in page
    for check in ("ti.tread", "ti.psi"):
        assert f'/inspection/findings/{at(book, walk, check, LEFT).id}"' in page
    assert 'aria-current="step"' in page


def test_a_line_of_a_station_can_be_called_sound_in_one_tap(book: Engine, toni: Browser, walk: int) -> None:
    row = at(book, walk, "cp.latch")
    page = toni.get(f"/inspection/walks/{walk}/stations/2").text
    assert f'action="/inspection/findings/{row.id}"' in page
    answer = send(toni, row, grade="sound", back="station")
    assert answer.headers["location"] == f"/inspection/walks/{walk}/stations/2#f{row.id}"
    assert at(book, walk, "cp.latch").grade == "sound"


def test_a_check_that_needs_a_reading_has_no_such_key(book: Engine, toni: Browser, walk: int) -> None:
    page = toni.get(f"/inspection/walks/{walk}/stations/2").text
    required = next(c for c in CATALOGUE.checks if c.station == 2 and any(m.required for m in c.measures))
    assert f'action="/inspection/findings/{at(book, walk, required.key).id}"' not in page


def test_rest_sound_names_what_it_will_set_and_sets_no_more(book: Engine, toni: Browser, walk: int) -> None:
    address = f"/inspection/walks/{walk}/stations/8"
    page = toni.get(address).text
    listed = re.findall(r'name="only" value="(\d+)"', page)
    assert f"Rest sound would set {len(listed)}:" in page
    assert toni.post(f"{address}/sound", {"only": listed[:1]}).status_code == 303
    with reading(book) as session:
        sound = session.exec(select(Finding.id).where(Finding.grade == "sound")).all()
    assert [str(key) for key in sound] == listed[:1]


# The sum, the second look, taking back


def test_the_sum_names_what_must_be_seen_and_ends_the_walk(book: Engine, toni: Browser, walk: int) -> None:
    row = at(book, walk, "ti.tread", LEFT)
    send(toni, row, reading__least="1", unit__least="in_32nd")
    page = toni.get(f"/inspection/walks/{walk}/sum-up").text
    assert page.index("Do not tow") < page.index("Unseen, and must be seen")
    assert "<b>Tread depth</b><span>right tire, axle 1;" in page
    assert toni.post(f"/inspection/walks/{walk}/end", {"revision": "0"}).status_code == 303
    with reading(book) as session:
        assert session.get_one(Walk, walk).ended_by == 3
    assert "by Toni." in toni.get(f"/inspection/walks/{walk}/sum-up").text
    assert toni.post(f"/inspection/walks/{walk}/end", {"revision": "0"}).status_code == 409


def test_a_second_look_hides_the_first_until_it_is_saved(book: Engine, signed: Signed, walk: int) -> None:
    row = at(book, walk, "ti.tread", LEFT)
    send(signed("Toni"), row, reading__least="1.7", unit__least="in_32nd")
    address = f"/inspection/findings/{row.id}/second-look"
    own = signed("Toni").post(address, {})
    assert own.status_code == 422
    assert "You looked at this first" in own.text
    lee = signed("Lee")
    second = lee.post(address, {}).headers["location"]
    assert "1.7" not in lee.get(second).text
    key = int(second.rpartition("/")[2])
    with reading(book) as session:
        again = session.get_one(Finding, key)
    send(lee, again, reading__least="6", unit__least="in_32nd")
    page = lee.get(second).text
    assert "The first look" in page
    assert "1.7" in page
    assert at(book, walk, "ti.tread", LEFT).grade == "dnt"  # the first stands until it is cleared


def test_the_last_act_is_taken_back_by_two_taps(book: Engine, signed: Signed, walk: int) -> None:
    row = at(book, walk, "cp.latch")
    toni, lee = signed("Toni"), signed("Lee")
    send(toni, row, grade="sound")
    assert '/inspection/orders/1/acts"' in toni.get(f"/inspection/findings/{row.id}").text  # the first tap
    assert "nothing of yours" in lee.get("/inspection/orders/1/acts").text
    page = toni.get("/inspection/orders/1/acts").text
    assert "<b>Latch and pin</b> Sound becomes <b>Unseen</b> again" in page
    (key,) = re.findall(r'name="act" value="(\d+)"', page)
    address = "/inspection/orders/1/take-back"
    assert lee.post(address, {"act": key, "reason": "key"}).status_code == 422
    unsaid = toni.post(address, {"act": key})
    assert (unsaid.status_code, 'id="reason-fix"' in unsaid.text) == (422, True)  # a safety check
    for _ in range(2):  # the second tap, and the same once more
        answer = toni.post(address, {"act": key, "reason": "key", "submission": "double tap"})
        assert answer.headers["location"] == f"/inspection/findings/{row.id}"
    assert at(book, walk, "cp.latch").grade == "unseen"
    assert "Taken back" in toni.get("/inspection/orders/1/acts").text
    again = toni.post(address, {"act": key, "reason": "key"})
    assert (again.status_code, "not your last act" in again.text) == (422, True)


@pytest.mark.parametrize("named", ["", "x", "-1", "99999", "9" * 30, "²"])
def test_an_act_that_is_none_is_not_taken_back(book: Engine, toni: Browser, walk: int, named: str) -> None:
    answer = toni.post("/inspection/orders/1/take-back", {"act": named, "reason": "key"})
    assert answer.status_code == 422
    assert toni.get("/inspection/orders/99/acts").status_code == 404


# All of the catalogue


@pytest.mark.parametrize(("unit", "least"), [(TRAVEL, 110), (TENT, 100)])
def test_every_check_opens_and_takes_its_readings(
    book: Engine, toni: Browser, unit: UnitSaid, least: int
) -> None:
    walk = begun(book, unit)
    rows = one_place_each(book, walk)
    assert len(rows) >= least
    for row in rows:
        check, address = CATALOGUE.check(row.check), f"/inspection/findings/{row.id}"
        page = toni.get(address)
        assert page.status_code == 200, row.check
        asked = {key.key for key in check.measures if f'name="reading-{key.key}"' in page.text}
        assert asked == {key.key for key in check.measures if key.least_axles <= unit.axles}, row.check
        answer = send(toni, row, **filled(check, row), save="readings")
        assert answer.status_code == 303, (row.check, answer.text[-4000:])
        assert toni.get(address).status_code == 200, row.check


def test_every_check_takes_sound_or_says_beside_a_field_why_not(
    book: Engine, toni: Browser, walk: int
) -> None:
    for row in one_place_each(book, walk):
        answer = send(toni, row, grade="sound")
        if answer.status_code == 422:
            assert re.search(r'id="(grade|reason|second|photo)-fix"', answer.text), row.check
        else:
            assert at(book, walk, row.check, row.place).grade == Grade.SOUND, row.check


SAID = re.compile(r'<li><a href="#([\w-]+)">(.*?)</a></li>')
BAD = {"number": "abc", "tin": "5419", "month": "13-2020", "date": "2026-02-30", "text": "x" * 201}
BANNED = re.compile(r"\b(please|sorry|oops|invalid|forbidden|illegal|fail\w*)\b", re.IGNORECASE)


def refusals(page: str) -> list[tuple[str, str]]:
    """Field and words of each line of the summary at the head of a page."""
    head = page.split('id="fixes"', 1)[1].split("</div>", 1)[0]
    return SAID.findall(head)


def test_every_refusal_is_said_above_and_beside_in_the_same_words(
    book: Engine, toni: Browser, walk: int
) -> None:
    tried = 0
    for row in one_place_each(book, walk):
        check = CATALOGUE.check(row.check)
        asked = toni.get(f"/inspection/findings/{row.id}").text  # ratings of axles that are not there are not
        measures = [m for m in check.measures if f'name="reading-{m.key}"' in asked]
        assert bool(measures) == bool(check.measures), row.check
        bad = {f"reading-{m.key}": BAD.get(m.kind, "neither") for m in measures}
        if not bad:
            continue
        answer = send(toni, row, **bad, save="readings")
        assert answer.status_code == 422, row.check
        assert "<title>Not saved: " in answer.text, row.check
        said = refusals(answer.text)
        assert {field for field, _ in said} == set(bad), row.check
        for field, words in said:
            beside = answer.text.split(f'id="{field}-fix"', 1)[1].split("</p>", 1)[0]
            assert words in beside or words.partition(": ")[2] in beside, (row.check, field)
            assert "Accepted: " in beside, (row.check, field)  # what is taken, by an example
            assert not BANNED.search(beside), (row.check, field)
            tried += 1
        for field, text in bad.items():
            if text == "neither":  # a key that the page does not have cannot be pressed on it
                continue
            assert text in answer.text.split(f'name="{field}"', 1)[1][:400], (row.check, field)
    assert tried > 60


@pytest.mark.parametrize("number", range(1, 11))
def test_every_station_opens(book: Engine, toni: Browser, walk: int, number: int) -> None:
    page = toni.get(f"/inspection/walks/{walk}/stations/{number}")
    assert page.status_code == 200
    assert " unseen" in page.text


WORDS = "0 5 -3 1/0 2319 05-20 yes none towing sound dnt 1e9 ½ 2026-12-01 2026-02-30"
TEXTS = st.one_of(
    st.sampled_from(["", *WORDS.split()]), st.text(max_size=40), st.integers(-10, 10**30).map(str)
)
FIELDS = (
    "grade by until until_miles reason note second seen absent closed_off also save go back chosen revision "
    "unit-least reading-least confirm-reading-least reading-cold reading-code only depth"
)
NAMES = st.sampled_from(FIELDS.split())


@settings(max_examples=200, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    check=st.sampled_from(["ti.tread", "ti.psi", "ti.age", "cp.latch", "lp.leak", "cp.chains", "id.vin"]),
    act_on=st.sampled_from(["", "", "", "/second-look"]),
    form=st.dictionaries(NAMES, TEXTS, max_size=8),
    part=st.booleans(),
)
def test_no_tap_ever_meets_an_error_of_ours(
    book: Engine, signed: Signed, check: str, act_on: str, form: dict[str, str], part: bool
) -> None:
    toni, walk = _tapped(book, signed)
    with reading(book) as session:
        here = (Finding.walk_id == walk, Finding.check == check)
        row = session.exec(select(Finding).where(*here)).first()
    assert row is not None
    sent: dict[str, Any] = {"revision": str(row.revision), **form}
    answer = toni.post(f"/inspection/findings/{row.id}{act_on}", sent, part=part)
    assert answer.status_code in (200, 303, 409, 422)
    assert toni.get(f"/inspection/findings/{row.id}").status_code == 200


_tapping: dict[int, tuple[Browser, int]] = {}


def _tapped(book: Engine, signed: Signed) -> tuple[Browser, int]:
    """One browser and one walk for all taps on a book."""
    if id(book) not in _tapping:
        _tapping[id(book)] = (signed("Toni"), begun(book))
    return _tapping[id(book)]


def test_a_tap_that_was_sent_later_is_told_beside_the_act_and_the_same_form_sent_again_is_one(
    book: Engine, walk: int, toni: Browser
) -> None:
    row = at(book, walk, "jk.tongue")
    form = {"submission": "tapped", "revision": "0", "grade": "sound"}
    for waited in ("7200000", "7260000"):  # two hours; the answer was lost, and it was sent again
        toni.client.headers["X-Waited"] = waited
        assert toni.post(f"/inspection/findings/{row.key}", form).status_code == 303
    with reading(book) as session:
        receipt = session.exec(select(Receipt).where(Receipt.submission == "tapped")).one()
        order = session.get_one(Walk, walk).work_order_id
    tapped = tapped_of(receipt)
    assert tapped is not None
    assert receipt.created_at - tapped == timedelta(hours=2)
    assert at(book, walk, "jk.tongue").looked_at == receipt.created_at  # what decides is when the book has it
    said = moment(tapped, "America/New_York")
    assert f"Tapped {said}, sent later" in toni.get(f"/inspection/orders/{order}/acts").text
