"""What the bench decides, without a book."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.bench import rules
from app.bench.rules import Asked, Clearer, Evidence, Fault, How, Look, Made, Proof, Stood
from app.inspection.places import UnitShape
from app.trade.figure import Grade
from app.trade.problems import Refused
from app.trade.typed import Texts

TANDEM = UnitShape("travel", axles=2, spare=True)
DUAL = UnitShape("utility", axles=1, wheels_per_axle_side=2)
LOOKED, LATER = 20, 30  # numbers in the book
LEE, WREN, TONI = 1, 2, 3

FAULT = Fault(1, "wh.nuts", "wheel-1-left", Grade.DNT, LEE, LOOKED, frozenset({TONI}))
NUTS = ("wh.nuts", "wheel-1-left")
PROOF = Proof(LATER, frozenset({NUTS}), (), measured=True, read={NUTS: LATER})
LOOK = Look("wh.nuts", "wheel-1-left", Grade.SOUND, second=True, looked_by=WREN, looked=LATER)
OTHER = Clearer(WREN, lead=False, alone=False)
LEAD = Clearer(LEE, lead=True, alone=False)
LEAD_AT_WORK = Clearer(TONI, lead=True, alone=False)
ALONE_TODAY = "The second person is ill, the owner leaves at noon"


@pytest.mark.parametrize(
    ("per", "shape", "where", "places"),
    [
        ("wheel", TANDEM, (), 4),
        ("wheel", TANDEM, ("unit",), 4),
        ("wheel", TANDEM, ("axle-2",), 2),
        ("wheel", TANDEM, ("side-road",), 2),
        ("wheel", TANDEM, ("hub-1-left",), 1),
        ("wheel", TANDEM, ("tire-1-left", "tire-2-left"), 2),
        ("wheel", DUAL, ("tire-1-left-inner",), 1),  # duals share their studs
        ("tire", DUAL, (), 4),
        ("tire", DUAL, ("wheel-1-left",), 2),
        ("tire", DUAL, ("tire-1-left-outer",), 1),
        ("tire", TANDEM, ("spare",), 1),
        ("tire", DUAL, ("spare", "unit"), 1),  # it came without one, and one is bought for it
        ("wheel", TANDEM, ("spare",), 0),  # its nuts are on no hub
        ("wheel", DUAL, ("spare", "unit"), 0),
        ("hub", TANDEM, ("spare",), 0),
        ("wheel", TANDEM, ("spare", "tire-1-left"), 1),
        ("wheel", TANDEM, ("tire-1-left",), 1),
        ("tire", TANDEM, (), 4),  # the spare only where it is named
        ("hub", TANDEM, ("axle-1",), 2),
        ("axle", TANDEM, ("wheel-2-right",), 1),
        ("place", TANDEM, ("exit-2",), 1),
        ("place", TANDEM, (), 1),
    ],
)
def test_work_asks_for_records_where_it_touches(
    per: str, shape: UnitShape, where: tuple[str, ...], places: int
) -> None:
    assert len(rules.places_of(per, shape, where)) == places


@given(
    where=st.lists(
        st.sampled_from(["unit", "axle-1", "wheel-1-left", "spare", "exit-2", "", "x-", "-", "side-road"])
    )
)
def test_any_place_but_the_spare_alone_asks_for_at_least_one_record(where: list[str]) -> None:
    for per in ("wheel", "tire", "hub", "axle", "place"):
        on_the_road = per in ("wheel", "hub", "axle")
        none = on_the_road and {*where} - {"unit"} == {"spare"}
        assert bool(rules.places_of(per, TANDEM, where)) is not none


def asked(*kinds: str) -> tuple[Asked, ...]:
    return rules.asked_of(kinds, {"wheel_torque": "wheel"}, TANDEM, ("wheel-1-left",))


def test_a_kind_named_twice_is_asked_once() -> None:
    assert len(asked("wheel_torque", "wheel_torque")) == 1


def test_what_is_missing_is_said_record_by_record() -> None:
    titles = {"wheel_torque": "Wheel nut torque", "axle_tape": "Axle tape"}
    lacks = rules.lacking(asked("wheel_torque", "axle_tape"), [], titles)
    assert lacks[0] == "Wheel nut torque, Left wheel, axle 1: not measured yet"
    assert lacks[1].startswith("Axle tape has no form here yet")
    stood = [Stood("wheel_torque", "wheel-1-left", inside=True, says="All inside")]
    assert rules.lacking(asked("wheel_torque"), stood, titles) == ()
    outside = [replace(stood[0], inside=False, says="Nut 3 under 100")]
    assert rules.lacking(asked("wheel_torque"), outside, titles)[0].endswith("Nut 3 under 100")


def test_a_record_elsewhere_proves_nothing_here() -> None:
    stood = [Stood("wheel_torque", "wheel-2-left", inside=True, says="All inside")]
    assert rules.lacking(asked("wheel_torque"), stood, {"wheel_torque": "Wheel nut torque"})


@pytest.mark.parametrize(
    ("evidence", "who", "proof", "look"),
    [
        (Evidence(How.RECORD, job_id=1), OTHER, PROOF, None),
        (Evidence(How.RECORD, job_id=1), LEAD, PROOF, None),
        (Evidence(How.SECOND_LOOK, second_look_id=2), OTHER, None, LOOK),
        (Evidence(How.SECOND_LOOK, second_look_id=2), OTHER, None, replace(LOOK, grade=Grade.WATCH)),
        (Evidence(How.LEAD, reason="Hauled away on a flatbed"), LEAD, None, None),
        (Evidence(How.OWN_WORK, job_id=1, reason=ALONE_TODAY), LEAD_AT_WORK, PROOF, None),
        (Evidence(How.RECORD, job_id=1), Clearer(TONI, lead=False, alone=True), PROOF, None),
    ],
)
def test_what_clears(evidence: Evidence, who: Clearer, proof: Proof | None, look: Look | None) -> None:
    rules.check_clearance(FAULT, evidence, who, proof=proof, look=look)


graded = st.sampled_from([Grade.DNT, Grade.NEEDS, Grade.WATCH, Grade.UNSEEN, Grade.SOUND])
people = st.sampled_from([LEE, WREN, TONI])
entries = st.sampled_from([0, LOOKED - 1, LOOKED, LATER])
places = st.sampled_from(["wheel-1-left", "wheel-2-left"])
proofs = st.builds(
    Proof,
    finished=entries,
    answers=st.sampled_from([PROOF.answers, frozenset()]),
    lacks=st.sampled_from([(), ("Nut 3 under 100",)]),
    measured=st.booleans(),
)
looks = st.builds(
    Look,
    check=st.sampled_from(["wh.nuts", "wh.crack"]),
    place=places,
    grade=graded,
    second=st.booleans(),
    looked_by=st.none() | people,
    looked=entries,
)
evidences = st.builds(
    Evidence, how=st.sampled_from(How), reason=st.sampled_from(["", "ok", "Hauled away on a flatbed"])
)
clearers = st.builds(Clearer, person=people, lead=st.booleans(), alone=st.booleans())


@given(evidence=evidences, who=clearers, proof=st.none() | proofs, look=st.none() | looks)
def test_nothing_but_evidence_clears_a_do_not_tow(
    evidence: Evidence, who: Clearer, proof: Proof | None, look: Look | None
) -> None:
    try:
        rules.check_clearance(FAULT, evidence, who, proof=proof, look=look)
    except Refused as refused:
        assert all(each.says for each in refused.problems)
        return
    if who.person == TONI and not who.alone:  # by the one who did the work only in writing, by a lead
        assert (evidence.how, who.lead, len(evidence.reason) >= 10) == (How.OWN_WORK, True, True)
    proved = proof is not None and proof.finished and proof.measured and not proof.lacks
    looked = look is not None and look.second and look.grade in (Grade.SOUND, Grade.WATCH)
    overruled = who.lead and len(evidence.reason) >= 10
    shows = {How.RECORD: proved, How.SECOND_LOOK: looked, How.LEAD: overruled}
    assert (shows | {How.OWN_WORK: proved and overruled})[evidence.how]
    if evidence.how is How.SECOND_LOOK and not who.alone:
        assert look is not None
        assert look.looked_by not in (TONI, LEE)  # neither the worker nor the one who found it


CLEARED = Made(LATER, LEE, alone=False)


@pytest.mark.parametrize(
    ("made", "grade", "holds"),
    [
        (CLEARED, Grade.DNT, True),
        (replace(CLEARED, by=TONI), Grade.DNT, False),  # Toni worked on it, perhaps only afterwards
        (replace(CLEARED, by=TONI, alone=True), Grade.DNT, True),  # nobody else works here
        (replace(CLEARED, by=TONI), Grade.NEEDS, True),  # two people only for do not tow
    ],
)
def test_who_makes_the_evidence_anew_no_longer_clears_a_do_not_tow(
    made: Made, grade: Grade, holds: bool
) -> None:
    by_record = Evidence(How.RECORD, job_id=1)
    assert rules.stands(made, replace(FAULT, grade=grade), by_record, PROOF, None) is holds


def test_a_clearance_lapses_with_its_evidence() -> None:
    by_record, by_look = Evidence(How.RECORD, job_id=1), Evidence(How.SECOND_LOOK, second_look_id=2)
    assert rules.stands(CLEARED, FAULT, by_record, PROOF, None)
    assert not rules.stands(CLEARED, FAULT, by_record, replace(PROOF, lacks=("Nut 3 under 100",)), None)
    assert not rules.stands(CLEARED, FAULT, by_record, None, None)
    assert rules.stands(CLEARED, FAULT, by_look, None, LOOK)
    assert not rules.stands(CLEARED, FAULT, by_look, None, replace(LOOK, grade=Grade.NEEDS))
    graded_anew = replace(FAULT, looked=LATER + 1)
    assert not rules.stands(CLEARED, graded_anew, by_record, PROOF, None)
    assert rules.stands(CLEARED, FAULT, Evidence(How.LEAD, reason="Hauled away"), None, None)


@pytest.mark.parametrize(
    ("form", "kept"),
    [
        ({"correction-kind": "again"}, "Done again."),
        ({"correction-kind": "again", "correction": "Nut 3"}, "Done again. Nut 3"),
        ({"correction-kind": "typing", "correction": "Typed 90, read 110"}, "Typed 90, read 110"),
    ],
)
def test_a_correction_says_why(form: dict[str, str], kept: str) -> None:
    assert rules.read_correction(Texts(form)) == kept


@pytest.mark.parametrize(
    ("form", "field"),
    [
        ({}, "correction-kind"),
        ({"correction-kind": "because"}, "correction-kind"),
        ({"correction-kind": "typing"}, "correction"),
        ({"correction-kind": "typing", "correction": "oops"}, "correction"),
        ({"correction-kind": "typing", "correction": "Done again. The tool was read wrongly"}, "correction"),
    ],
)
def test_a_correction_without_a_why_is_refused(form: dict[str, str], field: str) -> None:
    with pytest.raises(Refused) as refused:
        rules.read_correction(Texts(form))
    assert refused.value.problems[0].field == field


OVERRULED = Evidence(How.OWN_WORK, job_id=1, reason=ALONE_TODAY)


@pytest.mark.parametrize(
    ("fault", "evidence", "who", "proof", "says"),
    [
        (FAULT, OVERRULED, Clearer(TONI, lead=False, alone=False), PROOF, "Only a lead"),
        (FAULT, replace(OVERRULED, reason=""), LEAD_AT_WORK, PROOF, "The reason is missing"),
        (FAULT, replace(OVERRULED, reason="in haste"), LEAD_AT_WORK, PROOF, "The reason is missing"),
        (FAULT, OVERRULED, LEAD, PROOF, "Nothing is to be overruled"),
        (FAULT, OVERRULED, replace(LEAD_AT_WORK, alone=True), PROOF, "Nothing is to be overruled"),
        (replace(FAULT, grade=Grade.NEEDS), OVERRULED, LEAD_AT_WORK, PROOF, "Nothing is to be overruled"),
        (FAULT, OVERRULED, LEAD_AT_WORK, None, "This job does not answer"),
        (FAULT, OVERRULED, LEAD_AT_WORK, replace(PROOF, lacks=("Nut 3 under 100",)), "Nut 3 under 100"),
        (FAULT, OVERRULED, LEAD_AT_WORK, replace(PROOF, measured=False), "This job has no measured"),
        (FAULT, OVERRULED, LEAD_AT_WORK, replace(PROOF, finished=0), "This job is not finished"),
        (FAULT, Evidence(How.RECORD, 1, reason=ALONE_TODAY), LEAD_AT_WORK, PROOF, "You did this work"),
    ],
)
def test_own_work_is_cleared_by_a_lead_in_writing_and_by_its_records_alone(
    fault: Fault, evidence: Evidence, who: Clearer, proof: Proof | None, says: str
) -> None:
    with pytest.raises(Refused) as refused:
        rules.check_clearance(fault, evidence, who, proof=proof, look=None)
    assert any(each.says.startswith(says) for each in refused.value.problems)


@pytest.mark.parametrize(
    ("proof", "holds"), [(PROOF, True), (replace(PROOF, lacks=("Nut 3 under 100",)), False), (None, False)]
)
def test_an_overruled_clearance_stands_with_its_records(proof: Proof | None, holds: bool) -> None:
    made = Made(LATER, TONI, alone=False)
    assert rules.stands(made, FAULT, OVERRULED, proof, None) is holds
    assert not rules.stands(made, FAULT, replace(OVERRULED, how=How.RECORD), proof, None)


def test_an_overruled_clearance_is_open_again_where_the_finding_is_graded_anew() -> None:
    made = Made(LOOKED - 1, TONI, alone=False)
    assert not rules.stands(made, FAULT, OVERRULED, PROOF, None)


def test_the_form_of_own_work_names_its_job() -> None:
    read = rules.read_evidence(Texts({"how": "own work", "job": "3", "reason": ALONE_TODAY}))
    assert read == Evidence(How.OWN_WORK, job_id=3, reason=ALONE_TODAY)
    with pytest.raises(Refused, match="The job is missing"):
        rules.read_evidence(Texts({"how": "own work", "reason": ALONE_TODAY}))


# What was enough for a milder finding, and what a job's records are about


@pytest.mark.parametrize(
    ("how", "by", "look_by", "holds"),
    [
        (How.SECOND_LOOK, WREN, WREN, True),
        (How.SECOND_LOOK, WREN, TONI, False),  # who did the work looked again
        (How.SECOND_LOOK, WREN, LEE, False),  # who found it looked again
        (How.SECOND_LOOK, TONI, WREN, False),  # who did the work cleared it
        (How.LEAD, TONI, WREN, False),
        (How.LEAD, LEE, WREN, True),
        (How.OWN_WORK, TONI, WREN, True),  # overruled in writing
    ],
)
def test_what_cleared_it_has_to_be_enough_for_do_not_tow(
    how: How, by: int, look_by: int, *, holds: bool
) -> None:
    look = replace(LOOK, looked_by=look_by)
    made = Made(LATER, by, alone=False)
    assert rules.stands(made, FAULT, Evidence(how), PROOF, look) is holds
    # a milder finding asks for none of this, nor does a shop of one
    assert rules.stands(made, replace(FAULT, grade=Grade.NEEDS), Evidence(how), PROOF, look)
    assert rules.stands(replace(made, alone=True), FAULT, Evidence(how), PROOF, look)


def test_records_about_something_else_clear_nothing() -> None:
    beside = replace(PROOF, beside=PROOF.answers)
    with pytest.raises(Refused, match="does not prove this finding"):
        rules.check_clearance(FAULT, Evidence(How.RECORD, 1), OTHER, proof=beside, look=None)


@pytest.mark.parametrize(
    ("read", "clears"), [({NUTS: LOOKED + 1}, True), ({NUTS: LOOKED - 1}, False), ({}, False)]
)
def test_what_was_measured_before_the_finding_clears_nothing(
    read: dict[tuple[str, str], int], *, clears: bool
) -> None:
    before = replace(PROOF, read=read)
    if clears:
        rules.check_clearance(FAULT, Evidence(How.RECORD, 1), OTHER, proof=before, look=None)
        return
    with pytest.raises(Refused, match="newer than what this job measured"):
        rules.check_clearance(FAULT, Evidence(How.RECORD, 1), OTHER, proof=before, look=None)
