"""The inspection of sewn canvas: read, judged, kept, and what its making waits for."""

from collections.abc import Callable
from dataclasses import replace
from datetime import timedelta

import pytest
from sqlalchemy import Engine
from sqlalchemy.exc import IntegrityError, NoResultFound

from app.canvas import inspecting, making, said, shown, steps
from app.canvas.inspected import Inspections, drawn_of, inspections_of, read_inspection
from app.canvas.making import Stage, StageSaid
from app.canvas.papers import Printed, paper_of
from app.canvas.tables import CanvasInspection
from app.ground.acting import new_key
from app.ground.book import reading, writing
from app.ground.receipts import Stale
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts
from tests.canvas import loft
from tests.canvas.test_papers import printed as pages_printed
from tests.conftest import NOON, Browser, act

Signed = Callable[[str], Browser]
LEE, WRITER, TONI = 1, 2, 3


def turns(book: Engine, key: int) -> int:
    with reading(book) as session:
        return making.making_of(session, key).turns


def done(book: Engine, key: int, stage: Stage, person: int = TONI) -> int:
    said = StageSaid(stage, "", "by hand and eye")
    return making.keep_stage(book, act(person, seen=turns(book, key)), key, said)


def kept(book: Engine, key: int) -> Inspections:
    with reading(book) as session:
        return inspections_of(session, loft.read(book, key))


@pytest.fixture
def sewn(book: Engine) -> int:
    """An order sewn and trimmed, its inspection next."""
    return loft.sewn_up(book, loft.ready(book), TONI)


def wrong(book: Engine, key: int, *, lead: bool = True, **other: str) -> list[Problem]:
    typed = Texts(loft.readings(book, key, **other))
    with pytest.raises(Refused) as refused:
        read_inspection(typed, drawn_of(loft.read(book, key)), lead=lead)
    return list(refused.value.problems)


def test_every_side_and_one_diagonal_of_each_copy_are_measured(book: Engine, sewn: int) -> None:
    labels = [it.label for it in drawn_of(loft.read(book, sewn))]
    assert labels == [
        f"P1 Front wall, {each}" for each in ("A to B", "B to C", "C to D", "A to D", "A to C, across")
    ]
    # a wall of 400 by 300 is 500 across: Pythagoras
    assert [round(it.mm) for it in drawn_of(loft.read(book, sewn))] == [400, 300, 400, 300, 500]


def test_an_inspection_without_faults_lets_it_be_packed(book: Engine, sewn: int) -> None:
    assert kept(book, sewn).says == "There is no inspection record yet"
    loft.inspect(book, sewn)
    found = kept(book, sewn)
    assert (found.passes, found.says) == (True, "Inspected, nothing to put right")
    assert done(book, sewn, Stage.INSPECT, LEE) == done(book, sewn, Stage.PACK) == sewn


def test_without_a_record_it_is_not_inspected(book: Engine, sewn: int) -> None:
    with pytest.raises(Refused, match="There is no inspection record yet"):
        done(book, sewn, Stage.INSPECT, LEE)


@pytest.mark.parametrize(
    ("other", "told"),
    [
        ({"size-1-1-A-B": "407"}, "P1 Front wall, A to B is 7.0 mm longer than the order"),
        ({"size-1-1-A-C": "491"}, "P1 Front wall, A to C, across is 9.0 mm shorter than the order"),
        ({"stitches": "4"}, "too few let the seam gape"),
        ({"seam_holds": "no"}, "A seam gives under the hand"),
        ({"seams": "grab", "seam_force": "700", "cloth_force": "1000"}, "keeps 70 % of the cloth"),
        ({"minutes": "5"}, "too short to prove anything"),
        ({"dry": "no"}, "Water comes through"),
        ({"wetted": "no"}, "wetted and dried once first"),
        ({"water": "iso811", "head": "250", "head_least": "300"}, "Water came through at 250"),
        ({"water": "cup", "cup_holds": "no"}, "Thread wicks water through"),
        ({"water": "iso4920", "rating": "3", "rating_least": "4"}, "Spray rating 3.0, under the 4.0"),
        ({"seam_class": "plain"}, "Plain seams let water in"),
        ({"stitch": "101"}, "runs open from one broken stitch"),
        ({"zips": "no"}, "A zipper does not run"),
        ({"laps": "no"}, "A lap points up"),
    ],
)
def test_each_fault_keeps_it_from_being_packed(
    book: Engine, sewn: int, other: dict[str, str], told: str
) -> None:
    loft.inspect(book, sewn, **other)
    newest = kept(book, sewn).newest
    assert newest
    (fault,) = newest.judged.faults
    assert told in fault.replace("\u00a0", " ")
    assert newest.says == "1 thing to put right"
    with pytest.raises(Refused, match="1 thing to put right"):
        done(book, sewn, Stage.INSPECT, LEE)


@pytest.mark.parametrize(
    "water", [{"water": "cup", "cup_holds": "yes"}, {"water": "iso4920", "rating": "4", "rating_least": "4"}]
)
def test_other_ways_of_water_let_it_be_packed(book: Engine, sewn: int, water: dict[str, str]) -> None:
    loft.inspect(book, sewn, **water)
    assert kept(book, sewn).passes


def test_a_record_of_before_that_names_no_seam_class_is_read_as_it_is(book: Engine, sewn: int) -> None:
    said = read_inspection(Texts(loft.readings(book, sewn)), drawn_of(loft.read(book, sewn)))
    older = {name: text for name, text in said.items() if name not in ("seam_class", "stitch")}
    inspecting.keep_inspection(book, act(LEE), sewn, older)
    assert kept(book, sewn).passes


def test_a_lead_takes_it_in_writing(book: Engine, sewn: int) -> None:
    loft.inspect(book, sewn, stitches="8", accepted="The owner has seen it and is content")
    assert kept(book, sewn).says == "Inspected, 1 thing taken all the same"
    assert done(book, sewn, Stage.INSPECT, LEE) == sewn


def test_nobody_else_takes_it(book: Engine, sewn: int) -> None:
    (problem,) = wrong(book, sewn, lead=False, accepted="Good enough")
    assert (problem.field, problem.says) == ("accepted", "A lead takes it with its faults, nobody else")


def test_who_sewed_it_does_not_inspect_it(book: Engine, sewn: int) -> None:
    with pytest.raises(Refused, match="Who sewed it does not inspect it"):
        loft.inspect(book, sewn, TONI)


def test_nothing_is_inspected_before_it_is_sewn(book: Engine) -> None:
    key = loft.ready(book)
    done(book, key, Stage.MEASURE)
    with pytest.raises(Refused, match="Nothing is sewn yet"):
        loft.inspect(book, key)
    with pytest.raises(NoResultFound):
        inspecting.keep_inspection(book, act(), 99, {})


def test_what_is_sewn_again_is_inspected_anew(book: Engine, sewn: int) -> None:
    loft.inspect(book, sewn)
    later = replace(act(TONI, seen=turns(book, sewn)), at=NOON + timedelta(hours=1))
    making.take_back(book, later, sewn, "a thread was left")
    assert kept(book, sewn).says == "It was changed or worked on since it was inspected"
    assert not kept(book, sewn).passes


@pytest.mark.parametrize("field", ["fitting", "aftercare"])
def test_words_for_fitting_and_care_leave_release_and_inspection_as_they_are(
    book: Engine, sewn: int, field: str
) -> None:
    loft.inspect(book, sewn)
    reword(book, sewn, field, "Hang the roof edge first")
    assert kept(book, sewn).passes
    assert loft.read(book, sewn).released
    reword(book, sewn, "wishes", "A larger window")
    assert not kept(book, sewn).passes
    assert not loft.read(book, sewn).released


def reword(book: Engine, key: int, field: str, words: str) -> None:
    """One text of the order's own form written otherwise."""
    row = loft.read(book, key).row
    typed = Texts({**shown.order_texts(row), field: words})
    steps.save_order(book, act(seen=row.revision), key, said.read_order(typed))


def test_a_changed_order_is_inspected_anew(book: Engine, sewn: int) -> None:
    loft.inspect(book, sewn)
    piece = loft.read(book, sewn).pieces[0]
    loft.sewn_again(book, piece.key, piece.row.cloth_id or 0)
    assert not kept(book, sewn).passes


def test_the_newest_counts_and_all_stay(book: Engine, sewn: int) -> None:
    loft.inspect(book, sewn, dry="no")
    loft.inspect(book, sewn)
    assert (len(kept(book, sewn).all), kept(book, sewn).passes) == (2, True)
    with pytest.raises(IntegrityError), writing(book) as session:
        session.get_one(CanvasInspection, 1).version = 99


def test_the_same_form_twice_is_kept_once_and_a_late_one_is_told(book: Engine, sewn: int) -> None:
    said = read_inspection(Texts(loft.readings(book, sewn)), drawn_of(loft.read(book, sewn)))
    once = act(LEE)
    assert inspecting.keep_inspection(book, once, sewn, said) == sewn
    assert inspecting.keep_inspection(book, once, sewn, said) == sewn
    assert len(kept(book, sewn).all) == 1
    with pytest.raises(Stale):
        inspecting.keep_inspection(book, act(WRITER), sewn, said)


@pytest.mark.parametrize(
    ("form", "fields"),
    [
        ({"size-1-1-A-B": ""}, ["size-1-1-A-B"]),
        ({"size-1-1-B-C": "0"}, ["size-1-1-B-C"]),
        ({"size-1-1-B-C": "30"}, ["size-1-1-B-C"]),  # asked: a figure left out of 300
        ({"size-1-1-A-B": "15.7"}, ["size-1-1-A-B"]),  # asked: 400 mm in inches
        ({"stitches": "many"}, ["stitches"]),
        ({"seams": ""}, ["seams"]),
        ({"seams": "strip"}, ["seam_force", "cloth_force"]),
        ({"seams": "tooth"}, ["seams"]),
        ({"seam_holds": ""}, ["seam_holds"]),
        ({"water": ""}, ["water"]),
        ({"water": "aatcc127", "head": "300"}, ["head_least"]),
        ({"water": "cup"}, ["cup_holds"]),
        ({"water": "iso4920", "rating": "6"}, ["rating", "rating_least"]),
        ({"water": "iso4920", "rating": "90", "rating_least": "4"}, ["rating"]),  # as AATCC 22 has it
        ({"water": "iso4920", "rating": "4.3", "rating_least": "4.5"}, ["rating"]),  # asked: read in halves
        ({"seam_class": "", "stitch": "999"}, ["seam_class", "stitch"]),
        ({"minutes": "0"}, ["minutes"]),
        ({"dry": "damp"}, ["dry"]),
        ({"wetted": ""}, ["wetted"]),
        ({"locked": ""}, ["locked"]),
        ({"locked": "none"}, ["locked"]),  # every seam has thread
        ({"zips": "maybe"}, ["zips"]),
    ],
)
def test_what_is_missing_is_told_at_its_field(
    book: Engine, sewn: int, form: dict[str, str], fields: list[str]
) -> None:
    assert sorted(each.field for each in wrong(book, sewn, **form)) == sorted(fields)


def test_what_belongs_to_another_test_is_not_kept(book: Engine, sewn: int) -> None:
    typed = loft.readings(book, sewn, head="250", head_least="300", seam_force="5")
    said = read_inspection(Texts(typed), drawn_of(loft.read(book, sewn)))
    assert not {"head", "head_least", "seam_force"} & said.keys()


# Page and papers


def sent(seen: int, readings: dict[str, str]) -> dict[str, str | list[str]]:
    return {"submission": new_key(), "revision": str(seen), **readings}


def test_the_page_takes_an_inspection_and_shows_it(book: Engine, sewn: int, signed: Signed) -> None:
    lee, at = signed("Lee"), f"/canvas/{sewn}/inspection"
    assert f'href="{at}"' in lee.get(f"/canvas/{sewn}/making").text
    bad = lee.post(at, sent(0, loft.readings(book, sewn, stitches="many")))
    assert (bad.status_code, 'id="stitches-fix"' in bad.text, 'value="many"' in bad.text) == (422, True, True)
    assert lee.post(at, sent(0, loft.readings(book, sewn, stitches="4"))).status_code == 303
    page = lee.get(at).text
    assert "1 thing to put right." in page
    assert "too few let the seam gape" in page
    late = signed("Lee").post(at, sent(0, loft.readings(book, sewn, words="mine")))
    assert (late.status_code, "saved first" in late.text, "mine" in late.text) == (409, True, True)
    assert lee.get("/canvas/99/inspection").status_code == 404


def test_only_a_lead_is_offered_to_take_it_all_the_same(book: Engine, sewn: int, signed: Signed) -> None:
    at = f"/canvas/{sewn}/inspection"
    assert 'name="accepted"' in signed("Lee").get(at).text
    assert 'name="accepted"' not in signed("Toni").get(at).text


def printed(book: Engine, key: int, which: Printed) -> dict[str, object]:
    with reading(book) as session:
        return dict(paper_of(session, loft.read(book, key), which, NOON.date()).facts)


def test_the_paper_holds_what_was_read_or_is_a_sheet_to_fill_in(book: Engine, sewn: int) -> None:
    assert printed(book, sewn, Printed.INSPECTION)["found"] is None
    loft.inspect(book, sewn)
    assert printed(book, sewn, Printed.INSPECTION)["found"] == kept(book, sewn).newest


def test_what_leaks_when_it_is_inspected_once_more_is_not_packed(
    book: Engine, sewn: int, signed: Signed
) -> None:
    loft.inspect(book, sewn)
    done(book, sewn, Stage.INSPECT, LEE)
    loft.inspect(book, sewn, LEE, dry="no")
    with pytest.raises(Refused) as refused:
        done(book, sewn, Stage.PACK)
    assert [(it.field, it.says) for it in refused.value.problems] == [("inspection", "1 thing to put right")]
    assert "<b>1 thing to put right.</b> It is not packed so." in signed("Toni").get(making_of(sewn)).text
    loft.inspect(book, sewn)
    done(book, sewn, Stage.PACK)
    loft.inspect(book, sewn, LEE, dry="no")
    page = signed("Toni").get(making_of(sewn)).text
    assert "It is packed, but its inspection does not hold: 1 thing to put right." in page


def making_of(key: int) -> str:
    return f"/canvas/{key}/making"


def slip(browser: Browser, key: int) -> str:
    return " ".join(pages_printed(browser, key, "packing"))


def test_the_packing_slip_says_how_it_was_inspected(book: Engine, sewn: int, signed: Signed) -> None:
    assert "There is no inspection record yet. It is not to be packed before" in slip(signed("Lee"), sewn)
    loft.inspect(book, sewn)
    assert "Inspected, nothing to put right, 4 May 2026" in slip(signed("Lee"), sewn)


def test_the_packing_slip_says_what_is_off_and_why_it_is_taken(
    book: Engine, sewn: int, signed: Signed
) -> None:
    loft.inspect(book, sewn, LEE, dry="no")
    text = slip(signed("Lee"), sewn)
    assert "1 thing to put right. It is not to be packed before" in text
    assert "Water comes through." in text
    loft.inspect(book, sewn, LEE, dry="no", accepted="The owner seals the seam himself")
    text = slip(signed("Lee"), sewn)
    assert "Inspected, 1 thing taken all the same" in text
    assert "Taken all the same: The owner seals the seam himself" in text
    assert "Water comes through." in text
    assert "not to be packed" not in text
