"""The acts of the walk-round on a real book, with the real catalogue."""

import io
from datetime import date
from pathlib import Path

import pytest
from PIL import Image
from sqlalchemy import Engine
from sqlmodel import col, select

from app.ground.book import reading
from app.ground.photos import Picture, read_photo
from app.ground.receipts import Stale
from app.ground.settings import Settings, folder
from app.inspection import editing, facts, steps
from app.inspection.catalogue import read_catalogue
from app.inspection.steps import Seen
from app.inspection.tables import CatalogueVersion, Finding, Walk
from app.intake.arrival import Arrival, OwnerSaid, StaySaid, UnitSaid
from app.intake.steps import take_in
from app.trade.figure import By, Grade
from app.trade.problems import Refused
from tests.conftest import NOON, act

CATALOGUE = read_catalogue(folder("seed_data") / "catalogue")
TRAVEL = UnitSaid(
    kind="travel",
    gvwr="3500",
    gawr=("3500",),
    tire_size="ST205/75R14",
    tire_pressure="50",
    stud_count=5,
    torque_low="90",
    torque_high="120",
    torque_source="wheel placard",
    brakes="electric",
    brakes_required=True,
    cylinders=2,
)


@pytest.fixture
def walk(book: Engine) -> int:
    """A walk-round of a one-axle travel trailer, begun by Toni."""
    editing.keep_catalogue(book, CATALOGUE)
    order = take_in(book, act(2), Arrival(StaySaid(), OwnerSaid("Ines", phone="555 0163"), TRAVEL))
    return steps.begin_walk(book, act(3), order)


def finding(book: Engine, walk: int, check: str, place: str = "unit") -> Finding:
    with reading(book) as session:
        here = (Finding.walk_id == walk, Finding.check == check, Finding.place == place)
        return session.exec(select(Finding).where(*here)).one()


def record(book: Engine, walk: int, check: str, place: str, seen: Seen, person: int = 3) -> Finding:
    it = finding(book, walk, check, place)
    steps.record_finding(book, act(person, seen=it.revision), it.key, seen)
    return finding(book, walk, check, place)


def test_the_shipped_catalogue_is_kept_once(book: Engine) -> None:
    first = editing.keep_catalogue(book, CATALOGUE)
    assert editing.keep_catalogue(book, CATALOGUE) == first
    with reading(book) as session:
        assert len(list(session.exec(select(CatalogueVersion)))) == 1
        assert len(facts.newest_catalogue(session).checks) == 169


def test_a_walk_begins_with_everything_unseen_in_the_order_of_walking(book: Engine, walk: int) -> None:
    with reading(book) as session:
        found = list(session.exec(select(Finding).where(Finding.walk_id == walk).order_by(col(Finding.id))))
    assert {each.grade for each in found} == {"unseen"}
    assert [each.station for each in found] == sorted(each.station for each in found)
    assert {each.place for each in found if each.check == "ti.tread"} == {
        "tire-1-left",
        "tire-1-right",
        "spare",
    }


def test_a_work_order_has_one_walk_however_often_it_is_begun(book: Engine, walk: int) -> None:
    with reading(book) as session:
        order = session.get_one(Walk, walk).work_order_id
    assert steps.begin_walk(book, act(1), order) == walk


def test_a_sound_check_takes_one_choice(book: Engine, walk: int) -> None:
    found = record(book, walk, "cp.latch", "unit", Seen(grade=Grade.SOUND))
    assert (found.grade, found.looked_by, found.revision) == ("sound", 3, 1)
    assert found.looked_at == NOON


def test_a_reading_is_judged_and_its_figure_kept_with_its_source(book: Engine, walk: int) -> None:
    found = record(book, walk, "ti.age", "tire-1-left", Seen(readings={"code": "1508"}))
    # week 15 of 2008: 18 years before May 2026; the shop's limit is 10 (common practice)
    assert found.grade == "dnt"
    (worked,) = found.worked
    assert "18" in worked["says"]
    assert worked["inputs"]
    with reading(book) as session:
        (line,) = [each for each in facts.findings_of(session, 1) if each.id == found.key]
    assert [(each.typed, each.label) for each in line.readings] == [
        ("1508", CATALOGUE.check("ti.age").measures[0].label)
    ]


def test_tread_under_the_laws_limit_cannot_be_graded_lighter(book: Engine, walk: int) -> None:
    # 49 CFR 570.62(a), 570.9: 2/32 in
    it = finding(book, walk, "ti.tread", "tire-1-left")
    with pytest.raises(Refused) as refused:
        seen = Seen(readings={"least": "1.5"}, grade=Grade.SOUND, reason="looks fine")
        steps.record_finding(book, act(3), it.key, seen)
    assert "grade" in {problem.field for problem in refused.value.problems}
    assert finding(book, walk, "ti.tread", "tire-1-left").grade == "unseen"


def test_heavier_is_free_and_says_that_a_person_graded_it_so(book: Engine, walk: int) -> None:
    seen = Seen(readings={"least": "7"}, grade=Grade.NEEDS, by=By.SOON)
    found = record(book, walk, "ti.tread", "tire-1-left", seen)
    assert (found.grade, found.by, found.proposed) == ("needs", "soon", "sound")
    assert found.dissent


def test_needs_work_without_by_when_is_refused(book: Engine, walk: int) -> None:
    it = finding(book, walk, "cp.latch")
    with pytest.raises(Refused) as refused:
        steps.record_finding(book, act(3), it.key, Seen(grade=Grade.NEEDS))
    assert [problem.field for problem in refused.value.problems] == ["by"]


@pytest.mark.parametrize("typed", ["-1", "41", "five", "1,250"])
def test_what_cannot_be_read_is_refused_beside_its_field_and_nothing_is_kept(
    book: Engine, walk: int, typed: str
) -> None:
    it = finding(book, walk, "ti.tread", "tire-1-left")
    with pytest.raises(Refused) as refused:
        steps.record_finding(book, act(3), it.key, Seen(readings={"least": typed}))
    assert [problem.field for problem in refused.value.problems] == ["reading-least"]
    assert finding(book, walk, "ti.tread", "tire-1-left").revision == 0


def test_an_unlikely_reading_is_asked_once_and_kept_by_name(book: Engine, walk: int) -> None:
    it = finding(book, walk, "ti.tread", "tire-1-left")
    with pytest.raises(Refused) as refused:
        steps.record_finding(book, act(3), it.key, Seen(readings={"least": "25"}))
    assert refused.value.problems[0].ask
    record(book, walk, "ti.tread", "tire-1-left", Seen({"least": "25"}, confirmed=frozenset({"least"})))
    with reading(book) as session:
        line = next(each for each in facts.findings_of(session, 1) if each.id == it.key)
    assert line.readings[0].confirmed_by == "Toni"


def test_a_second_save_from_an_old_page_is_refused_and_the_first_stands(book: Engine, walk: int) -> None:
    it = finding(book, walk, "cp.latch")
    steps.record_finding(book, act(3), it.key, Seen(grade=Grade.SOUND))
    with pytest.raises(Stale):
        steps.record_finding(book, act(1), it.key, Seen(grade=Grade.DNT))
    assert finding(book, walk, "cp.latch").grade == "sound"


def test_the_same_act_twice_is_one(book: Engine, walk: int) -> None:
    it, once = finding(book, walk, "cp.latch"), act(3)
    for _ in range(3):
        steps.record_finding(book, once, it.key, Seen(grade=Grade.SOUND))
    assert finding(book, walk, "cp.latch").revision == 1


def test_a_reading_that_is_taken_back_is_gone_and_the_place_unseen_again(book: Engine, walk: int) -> None:
    record(book, walk, "ti.tread", "tire-1-left", Seen(readings={"least": "7"}))
    found = record(book, walk, "ti.tread", "tire-1-left", Seen())
    assert found.grade == "unseen"
    with reading(book) as session:
        line = next(each for each in facts.findings_of(session, 1) if each.id == found.key)
    assert line.readings == ()


def test_a_defect_of_the_list_brings_its_grade_and_another_word_is_refused(book: Engine, walk: int) -> None:
    assert record(book, walk, "ti.cord", "tire-1-left", Seen(seen=("cord",))).grade == "dnt"
    it = finding(book, walk, "ti.cord", "tire-1-right")
    with pytest.raises(Refused):
        steps.record_finding(book, act(3), it.key, Seen(seen=("made up",)))


def test_do_not_tow_by_sight_becomes_lighter_only_with_a_second_person_and_a_photo(
    book: Engine, walk: int, settings: Settings
) -> None:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "white").save(out, "PNG")
    it = finding(book, walk, "cp.latch")
    worst = CATALOGUE.check("cp.latch").defects[0]
    assert worst.grade is Grade.DNT
    lighter = {"seen": (worst.key,), "grade": Grade.NEEDS, "by": By.SOON, "reason": "Freed it by hand"}
    with pytest.raises(Refused) as refused:
        steps.record_finding(book, act(3), it.key, Seen(**lighter))  # type: ignore[arg-type]
    assert {problem.field for problem in refused.value.problems} == {"second", "photo"}
    seen = Seen(**lighter, second=1, photos=(read_photo(out.getvalue()),))  # type: ignore[arg-type]
    steps.record_finding(book, act(3), it.key, seen, settings.files)
    found = finding(book, walk, "cp.latch")
    assert (found.grade, found.dissent) == ("needs", "Freed it by hand")


def test_what_is_not_fitted_is_a_fact_and_graded_where_the_law_asks_for_it(book: Engine, walk: int) -> None:
    spare = record(book, walk, "fs.lp", "unit", Seen(fitted=False))
    assert not spare.fitted
    assert spare.grade == CATALOGUE.check("fs.lp").absent.grade  # type: ignore[union-attr]


def test_the_rest_of_a_station_is_never_a_safety_check(book: Engine, walk: int) -> None:
    with reading(book) as session:
        rest = {each.check for each in steps.rest_of(session, walk, 8, NOON)}
        safety = {check.key for check in CATALOGUE.checks if check.safety}
    assert rest
    assert not rest & safety
    first = finding(book, walk, sorted(rest)[0])
    steps.rest_sound(book, act(3), walk, 8, only={first.key})
    with reading(book) as session:
        assert {each.check for each in steps.rest_of(session, walk, 8, NOON)} == rest - {first.check}
    steps.rest_sound(book, act(3), walk, 8)
    with reading(book) as session:
        assert steps.rest_of(session, walk, 8, NOON) == []
        sound = session.exec(select(Finding.check).where(Finding.walk_id == walk, Finding.grade == "sound"))
        assert set(sound) == rest


def test_one_reading_for_several_places_is_all_or_none(book: Engine, walk: int) -> None:
    places = [finding(book, walk, "ti.psi", place).key for place in ("tire-1-left", "tire-1-right")]
    with pytest.raises(Refused):
        steps.same_reading(book, act(3), places, Seen(readings={"cold": "-3"}))
    assert {finding(book, walk, "ti.psi", p).grade for p in ("tire-1-left", "tire-1-right")} == {"unseen"}
    assert steps.same_reading(book, act(3), places, Seen(readings={"cold": "50"})) == places[0]
    assert {finding(book, walk, "ti.psi", p).grade for p in ("tire-1-left", "tire-1-right")} == {"sound"}


def test_one_reading_never_overwrites_a_place_that_was_looked_at_or_another_check(
    book: Engine, walk: int
) -> None:
    left, right = (finding(book, walk, "ti.psi", f"tire-1-{side}") for side in ("left", "right"))
    record(book, walk, "ti.psi", "tire-1-right", Seen(readings={"cold": "30"}))
    with pytest.raises(Refused, match="has been looked at"):
        steps.same_reading(book, act(3), [left.key, right.key], Seen(readings={"cold": "50"}))
    tread = finding(book, walk, "ti.tread", "tire-1-left")
    with pytest.raises(Refused, match="another check"):
        steps.same_reading(book, act(3), [left.key, tread.key], Seen(readings={"cold": "50"}))
    with pytest.raises(Stale):
        steps.same_reading(book, act(3, seen=4), [left.key], Seen(readings={"cold": "50"}))


def test_a_walk_ends_with_what_is_unseen_still_unseen(book: Engine, walk: int) -> None:
    steps.end_walk(book, act(3), walk)
    with reading(book) as session:
        ended = session.get_one(Walk, walk)
    assert (ended.ended_at, ended.ended_by) == (NOON, 3)
    assert finding(book, walk, "cp.latch").grade == "unseen"


def test_a_second_look_is_another_persons_and_does_not_show_the_first(book: Engine, walk: int) -> None:
    first = record(book, walk, "cp.latch", "unit", Seen(grade=Grade.DNT))
    with pytest.raises(Refused, match="looked at this first"):
        steps.begin_second_look(book, act(3), first.key)
    second = steps.begin_second_look(book, act(1), first.key)
    with reading(book) as session:
        again = session.get_one(Finding, second)
        lines = facts.findings_of(session, 1)
    assert (again.grade, again.check, again.walk_id != walk) == ("unseen", "cp.latch", True)
    assert second not in {line.id for line in lines}


def test_a_watch_carries_the_day_of_the_next_look(book: Engine, walk: int) -> None:
    found = record(book, walk, "ti.tread", "tire-1-left", Seen(readings={"least": "4.5"}))
    assert found.grade == "watch"
    assert found.until is not None
    assert found.until > date(2026, 5, 4)


def test_photos_need_a_folder(book: Engine, walk: int, tmp_path: Path) -> None:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), "white").save(out, "PNG")
    it = finding(book, walk, "cp.latch")
    with pytest.raises(AssertionError):
        seen = Seen(grade=Grade.SOUND, photos=(read_photo(out.getvalue()),))
        steps.record_finding(book, act(3), it.key, seen)


# Terms, and lifting


def readings_of(book: Engine, key: int) -> list[tuple[str, str]]:
    with reading(book) as session:
        line = next(each for each in facts.findings_of(session, 1) if each.id == key)
    return [(each.measure, each.typed) for each in line.readings]


def test_a_watch_by_choice_has_the_usual_term_of_half_a_year(book: Engine, walk: int) -> None:
    # common practice: 180 days where nobody names another term
    found = record(book, walk, "cp.latch", "unit", Seen(grade=Grade.WATCH))
    assert found.until == date(2026, 10, 31)
    miles = record(book, walk, "cp.latch", "unit", Seen(grade=Grade.WATCH, until_miles=500))
    assert (miles.until, miles.until_miles) == (None, 500)


def test_ending_the_walk_lifts_what_is_worse_together_once(book: Engine, walk: int) -> None:
    # a tire of 6 to 10 years that is cracked as well: soon becomes before towing (common practice)
    record(book, walk, "ti.age", "tire-1-left", Seen(readings={"code": "2319"}))
    crack = CATALOGUE.check("ti.crack")
    seen = next(each.key for each in crack.defects if each.grade is Grade.WATCH)
    record(book, walk, "ti.crack", "tire-1-left", Seen(seen=(seen,)))
    before = finding(book, walk, "ti.age", "tire-1-left")
    assert (before.grade, before.by) == ("needs", "soon")
    for revision in (0, 1):
        steps.end_walk(book, act(3, seen=revision), walk)
        lifted = finding(book, walk, "ti.age", "tire-1-left")
        assert (lifted.grade, lifted.by) == ("needs", "towing")
        assert "worse together" in lifted.reason


def test_a_depth_that_is_none_is_refused(book: Engine, walk: int) -> None:
    with pytest.raises(Refused, match="not a depth"):
        steps.begin_walk(book, act(3), 1, "thorough")


# Worse together after the end


CRACKED = next(each.key for each in CATALOGUE.check("ti.crack").defects if each.grade is Grade.WATCH)


def old_tire_after_the_end(book: Engine, walk: int) -> None:
    """A tire of 6 to 10 years, needs soon by itself (common practice), in a walk that has ended."""
    record(book, walk, "ti.age", "tire-1-left", Seen(readings={"code": "2319"}))
    steps.end_walk(book, act(3), walk)


def test_what_is_found_after_the_end_lifts_its_neighbours_too(book: Engine, walk: int) -> None:
    old_tire_after_the_end(book, walk)
    assert finding(book, walk, "ti.age", "tire-1-left").by == "soon"
    record(book, walk, "ti.crack", "tire-1-left", Seen(seen=(CRACKED,)))
    lifted = finding(book, walk, "ti.age", "tire-1-left")
    # old and cracked: one step heavier than each alone (the shop's rules of grading)
    assert (lifted.grade, lifted.by) == ("needs", "towing")
    assert lifted.alone["by"] == "soon"


def test_what_was_lifted_goes_back_once_its_neighbour_is_sound(book: Engine, walk: int) -> None:
    old_tire_after_the_end(book, walk)
    before = finding(book, walk, "ti.age", "tire-1-left")
    record(book, walk, "ti.crack", "tire-1-left", Seen(seen=(CRACKED,)))
    record(book, walk, "ti.crack", "tire-1-left", Seen(grade=Grade.SOUND))
    back = finding(book, walk, "ti.age", "tire-1-left")
    assert (back.grade, back.by, back.reason, back.alone) == ("needs", "soon", before.reason, {})
    assert readings_of(book, back.key) == [("code", "2319")]


def test_a_lifted_finding_that_is_looked_at_again_is_lifted_again(book: Engine, walk: int) -> None:
    old_tire_after_the_end(book, walk)
    record(book, walk, "ti.crack", "tire-1-left", Seen(seen=(CRACKED,)))
    again = record(book, walk, "ti.age", "tire-1-left", Seen(readings={"code": "2419"}))
    assert (again.grade, again.by) == ("needs", "towing")
    fresh = record(book, walk, "ti.age", "tire-1-left", Seen(readings={"code": "1024"}))
    assert fresh.grade in ("sound", "watch")  # a tire of two years is not old (common practice)


def test_before_the_end_nothing_is_lifted(book: Engine, walk: int) -> None:
    record(book, walk, "ti.age", "tire-1-left", Seen(readings={"code": "2319"}))
    record(book, walk, "ti.crack", "tire-1-left", Seen(seen=(CRACKED,)))
    assert finding(book, walk, "ti.age", "tire-1-left").by == "soon"


# Photos of a refused form


def shot(colour: str = "white") -> Picture:
    out = io.BytesIO()
    Image.new("RGB", (60, 40), colour).save(out, "PNG")
    return read_photo(out.getvalue())


def photos_of(book: Engine, it: Finding) -> tuple[int, ...]:
    with reading(book) as session:
        return facts.finding_line(session, it).photos


def test_held_photos_become_the_findings_and_the_same_picture_is_kept_once(
    book: Engine, walk: int, settings: Settings
) -> None:
    once, it = act(3), finding(book, walk, "cp.latch")
    held = steps.hold_photos(book, once, [shot(), shot("gray")], settings.files)
    assert steps.hold_photos(book, once, [shot(), shot("gray")], settings.files) == held
    seen = Seen(grade=Grade.SOUND, held=tuple(held), photos=(shot(), shot("black")))
    steps.record_finding(book, act(3), it.key, seen, settings.files)
    kept = photos_of(book, it)
    assert kept[:2] == tuple(held)
    assert len(kept) == 3  # the white one came twice


def test_held_photos_are_their_takers_and_serve_once(book: Engine, walk: int, settings: Settings) -> None:
    held = steps.hold_photos(book, act(3), [shot()], settings.files)
    latch, chains = finding(book, walk, "cp.latch"), finding(book, walk, "cp.chains")
    seen = Seen(grade=Grade.SOUND, held=tuple(held))
    with pytest.raises(Refused, match="photo of this form is gone"):
        steps.record_finding(book, act(1), latch.key, seen, settings.files)
    steps.record_finding(book, act(3), latch.key, seen, settings.files)
    with pytest.raises(Refused, match="photo of this form is gone"):
        steps.record_finding(book, act(3), chains.key, seen, settings.files)
    with reading(book) as session:
        assert steps.held_photos(session, 3, held) == []


def test_a_place_that_is_not_there_or_named_twice_is_no_error_of_ours(book: Engine, walk: int) -> None:
    left = finding(book, walk, "ti.psi", "tire-1-left").key
    with pytest.raises(Refused, match="not there"):
        steps.same_reading(book, act(3), [left, 99_999], Seen(readings={"cold": "50"}))
    steps.same_reading(book, act(3), [left, left], Seen(readings={"cold": "50"}))
    assert finding(book, walk, "ti.psi", "tire-1-left").revision == 1
