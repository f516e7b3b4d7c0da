"""What may stand in the intake form: impossible is refused, unlikely is asked about once and then kept."""

from datetime import datetime
from decimal import Decimal
from zoneinfo import ZoneInfo

import pytest

from app.ground.press import SAYS_SO, Sheet, own_rules
from app.intake import rules
from app.intake.arrival import Arrival, Kind, Known, NumberKind
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.intake import arrivals
from tests.intake.arrivals import FORM, TODAY, VIN, ZONE, problems


def read(**changed: str) -> Arrival:
    """The whole form with some fields changed."""
    return arrivals.read(changed)


def test_a_whole_form_is_read_with_all_its_sections() -> None:
    arrival = read()
    assert arrival.owner is not None and arrival.unit is not None and arrival.tow is not None
    assert arrival.owner.name == "Rosalind Achterberg"
    assert (arrival.unit.kind, arrival.unit.vin, arrival.unit.year) == (Kind.TRAVEL, VIN, 2019)
    assert arrival.unit.gawr == ("3500", "3500")
    assert arrival.unit.plate == "TR 40 17"
    assert arrival.unit.brakes_required is True
    assert arrival.tow.ball_size == "2 5/16 in"
    assert arrival.stay.concerns == (
        "It growls at the back when I tow slowly.",
        "Somebody said that the tires are old.",
    )
    assert arrival.stay.promised_at == datetime(2026, 5, 15, 16, 0, tzinfo=ZoneInfo(ZONE))


def test_who_and_what_is_known_goes_through_as_seen() -> None:
    arrival = rules.read_arrival(Texts(FORM), TODAY, ZONE, Known(4, 2), Known(7, 3))
    assert (arrival.known_owner, arrival.known_unit) == (Known(4, 2), Known(7, 3))


def test_a_name_a_phone_and_a_kind_are_enough() -> None:
    least = Texts({"name": "Ida Holm", "phone": "555 555 0177", "kind": "utility", "axles": "1"})
    arrival = rules.read_arrival(least, TODAY, ZONE)
    assert arrival.unit is not None
    assert (arrival.tow, arrival.unit.vin, arrival.unit.gawr, arrival.stay.concerns) == (None, "", (), ())


def test_all_five_kinds_are_read() -> None:
    for kind in ("travel", "tent", "cargo", "utility", "boat"):
        unit = read(kind=kind).unit
        assert unit is not None
        assert unit.kind == kind


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"name": " "}, "name"),
        ({"phone": ""}, "phone"),  # the owner is to be reached by phone
        ({"phone": "12345"}, "phone"),
        ({"phone": "1234567890123456"}, "phone"),  # ITU-T E.164: at most 15 digits
        ({"preferred": "email"}, "email"),  # there is none
        ({"preferred": "paper"}, "address"),
        ({"preferred": "pigeon"}, "preferred"),
        ({"email": "ann at example"}, "email"),
        ({"kind": ""}, "kind"),
        ({"kind": "truck"}, "kind"),
        ({"vin": VIN[:-1]}, "vin"),  # 49 CFR 565.13(b): 17 characters
        ({"vin": "O" + VIN[1:]}, "vin"),  # 49 CFR 565.13(g): no I, O, Q
        ({"vin_kind": "none"}, "vin"),  # none found, yet one is typed
        ({"vin_kind": "before 1981"}, "vin_kind"),  # the year says 2019
        ({"year": "2028"}, "year"),  # model years run one ahead: 49 CFR 565.15(d)
        ({"year": "1899"}, "year"),
        ({"year": "19"}, "year"),
        ({"axles": "0"}, "axles"),
        ({"axles": "5"}, "axles"),
        ({"axles": ""}, "axles"),
        ({"wheels_per_end": "3"}, "wheels_per_end"),
        ({"gvwr": "0"}, "gvwr"),
        ({"gvwr": "-6000"}, "gvwr"),
        ({"gvwr": "600000"}, "gvwr"),
        ({"gvwr-unit": "psi", "gawr-1": "", "gawr-2": ""}, "gvwr"),
        ({"gvwr": "1,250"}, "gvwr"),  # a comma that can mean two things
        ({"gawr-2": ""}, "gawr-2"),  # a rating for each axle, or none
        ({"gawr-3": "3500"}, "gawr-3"),  # there is no third axle
        ({"gawr-1": "heavy"}, "gawr-1"),
        ({"tire_size": "big"}, "tire_size"),
        ({"tire_pressure": "0"}, "tire_pressure"),
        ({"tire_pressure": "500"}, "tire_pressure"),
        ({"stud_thread": "1/2"}, "stud_thread"),
        ({"stud_count": "2"}, "stud_count"),
        ({"stud_count": "4.5"}, "stud_count"),
        ({"torque_low": "0"}, "torque_low"),
        ({"torque_low": "-5"}, "torque_low"),
        ({"torque_low": "130"}, "torque_high"),  # from 130 to 120
        ({"torque_source": ""}, "torque_source"),
        ({"brakes": "feet"}, "brakes"),
        ({"ball_size": "5 in"}, "ball_size"),
        ({"cylinders": "-1"}, "cylinders"),
        ({"tow_what": ""}, "tow_what"),
        ({"keys": "many"}, "keys"),
        ({"promised_day": "2026-05-03"}, "promised_day"),  # yesterday
        ({"promised_day": "15 May"}, "promised_day"),
        ({"promised_hour": "25:00"}, "promised_hour"),
        ({"depth": "deep"}, "depth"),
        ({"concerns": "\n".join(str(n) for n in range(13))}, "concerns"),
        ({"maker": "x\x00"}, "maker"),
    ],
)
def test_what_cannot_be_is_refused_beside_its_field(changed: dict[str, str], field: str) -> None:
    found = [it for it in problems(changed) if not it.ask]
    assert [it.field for it in found] == [field]
    assert found[0].says


def test_every_refusal_of_a_figure_says_what_is_accepted() -> None:
    wrong = {"gvwr": "0", "tire_pressure": "500", "year": "19", "torque_low": "0", "stud_thread": "x"}
    found = problems(wrong)
    assert {it.field for it in found} == set(wrong)
    assert all(it.accepts for it in found)


@pytest.mark.parametrize(
    ("changed", "field"),
    [
        ({"vin": "1M8GDM9A1KP042788"}, "vin"),  # position 9 should be X: 49 CFR 565.15(c), worked example
        ({"year": "2013"}, "vin"),  # position 10 is K: 1989 or 2019, 49 CFR 565.15(d) table VII
        ({"gvwr": "200", "gawr-1": "500", "gawr-2": "500"}, "gvwr"),  # under 300 lb: common practice
        ({"gvwr": "7500"}, "gvwr"),  # two axles of 3,500 lb make 7,000 lb
        ({"gawr-1": "15000"}, "gawr-1"),
        ({"tire_pressure": "120"}, "tire_pressure"),
        ({"tire_pressure": "15"}, "tire_pressure"),
        ({"tire_size": "205/75R14"}, "tire_size"),  # no ST or LT: a passenger tire
        ({"stud_count": "7"}, "stud_count"),
        ({"torque_low": "20"}, "torque_low"),  # outside 40 to 350 lbf·ft: common practice
        ({"torque_high": "400"}, "torque_high"),
        ({"tow_ball": "2 in"}, "tow_ball"),  # a 2 in ball lets go of a 2 5/16 in coupler
        ({"promised_day": "2027-05-04"}, "promised_day"),
        ({"width_in": "110"}, "width_in"),  # over 102 in: 23 CFR 658.15
    ],
)
def test_what_is_unlikely_is_asked_once_and_then_kept(changed: dict[str, str], field: str) -> None:
    (problem,) = problems(changed)
    assert (problem.field, problem.ask) == (field, True)
    confirmed = {f"confirm-{field}": changed.get(field, FORM.get(field, ""))}
    assert problems(changed | confirmed) == []


def test_a_confirmed_value_changed_again_is_asked_again() -> None:
    assert [it.field for it in problems({"torque_low": "20", "confirm-torque_low": "30"})] == ["torque_low"]


def test_all_problems_are_said_at_once_in_the_order_of_the_form() -> None:
    wrong = {"keys": "x", "name": "", "kind": "", "gvwr": "0", "tow_rating": "0"}
    assert [it.field for it in problems(wrong)] == ["keys", "name", "kind", "gvwr", "tow_rating"]


def test_axles_rated_exactly_for_the_unit_are_not_asked_about() -> None:
    assert problems({"gvwr": "7000"}) == []


def test_ratings_in_kilograms_are_held_against_each_other_in_one_unit() -> None:
    # 3,500 lb is 1,588 kg: NIST Handbook 44, 1 lb = 0.45359237 kg
    metric = {"gvwr": "3175", "gvwr-unit": "kg", "gawr-1": "1588", "gawr-2": "1588"}
    assert problems(metric) == []
    assert [it.field for it in problems(metric | {"gvwr": "3177"})] == ["gvwr"]


def test_one_torque_figure_stands_for_both_ends() -> None:
    for low, high in (("100", ""), ("", "100")):
        unit = read(torque_low=low, torque_high=high).unit
        assert unit is not None
        assert (unit.torque_low, unit.torque_high) == ("100", "100")


def test_both_torques_are_read_in_the_unit_that_was_chosen() -> None:
    # 120 N·m is 88.5 lbf·ft, inside 40 to 350; 40 N·m is 29.5, outside: NIST SP 811, 1 lbf·ft = 1.355818 N·m
    metric = {"torque-unit": "N_m", "torque_low": "120", "torque_high": "150"}
    assert problems(metric) == []
    assert [it.field for it in problems(metric | {"torque_low": "40"})] == ["torque_low"]


def test_a_number_from_before_1981_is_kept_as_it_stands() -> None:
    unit = read(vin="4 213 77", vin_kind="before 1981", year="1974").unit
    assert unit is not None
    assert (unit.vin, unit.vin_kind) == ("4 213 77", NumberKind.BEFORE_1981)


def test_a_year_before_1981_is_enough_to_take_an_old_number() -> None:
    unit = read(vin="421377", year="1980").unit
    assert unit is not None
    assert unit.vin_kind == NumberKind.BEFORE_1981
    assert [it.field for it in problems({"vin": "421377", "year": "1981"})] == ["vin"]  # 565.15: from 1981


def test_a_home_made_number_is_kept_as_it_stands() -> None:
    unit = read(vin="mi 55-20417", vin_kind="assigned").unit
    assert unit is not None
    assert (unit.vin, unit.vin_kind) == ("MI 55-20417", NumberKind.ASSIGNED)


def test_no_number_found_is_kept_as_that_and_not_looked_yet_as_nothing() -> None:
    none, blank = read(vin="", vin_kind="none").unit, read(vin="").unit
    assert none is not None and blank is not None
    assert (none.vin_kind, blank.vin_kind) == (NumberKind.NONE, "")


def test_a_vin_is_packed_and_in_capitals() -> None:
    unit = read(vin="1m8 gdm9a x kp042788").unit
    assert unit is not None
    assert unit.vin == VIN


def test_the_owners_words_are_never_changed() -> None:
    said = "  it's  WEIRD: “clunk” when I brake?\r\n\r\nand the fridge"
    assert read(concerns=said).stay.concerns == ("it's  WEIRD: “clunk” when I brake?", "and the fridge")


def test_another_owner_with_the_same_telephone_is_asked_about() -> None:
    with pytest.raises(Refused) as refused:
        rules.read_arrival(Texts(FORM), TODAY, ZONE, alike="R. Achterberg")
    (problem,) = refused.value.problems
    assert (problem.field, problem.ask) == ("phone", True)
    assert "R. Achterberg has this telephone" in problem.says
    kept = Texts({**FORM, "confirm-phone": FORM["phone"]})
    assert rules.read_arrival(kept, TODAY, ZONE, alike="R. Achterberg").owner is not None


def test_a_vin_is_decoded_at_once_with_its_figures() -> None:
    decoded = rules.decode(VIN, "standard", TODAY)
    assert "1M8 GDM9A X K P042788" in decoded.says  # groups of 49 CFR 565.15(b) to (d)
    assert "1989 or 2019" in decoded.says  # K: 49 CFR 565.15(d), table VII
    assert [figure.says for figure in decoded.figures] == ["X", "1989 or 2019"]
    assert decoded.doubts == ()


@pytest.mark.parametrize(
    ("typed", "kind", "says"),
    [
        ("", "standard", ""),
        ("anything", "none", ""),
        ("4 213 77", "before 1981", "4 213 77: made in 1980, before 17 characters were asked"),
        ("HOME 1", "assigned", "HOME 1: assigned by a state, or home-made: no check digit"),
        ("123", "standard", "This cannot be kept as it stands"),
    ],
)
def test_other_numbers_are_told_as_what_they_are(typed: str, kind: str, says: str) -> None:
    assert rules.decode(typed, kind, TODAY).says == says


@pytest.mark.parametrize(
    ("text", "field"),
    [(VIN, "vin"), ("(555) 555-0142", "phone"), ("Achterberg", "name"), ("TR 40 17", "name")],
)
def test_a_text_sought_in_vain_goes_into_its_likely_field(text: str, field: str) -> None:
    assert rules.likely_field(text) == field


def test_digits_and_packed_leave_only_what_is_compared() -> None:
    assert rules.digits("+1 (555) 555-0142") == "15555550142"
    assert rules.packed("tr 40-17/a.b") == "TR4017AB"


def test_a_unit_form_alone_and_a_stay_form_alone_are_read() -> None:
    assert rules.read_unit(Texts(FORM), TODAY).gvwr == "6000"
    assert rules.read_owner(Texts(FORM)).preferred == "phone"
    stay = rules.read_stay(Texts(FORM | {"concerns": ""}), TODAY, ZONE)
    assert (stay.keys, stay.concerns) == (2, ())


def test_quantities_keep_what_was_typed() -> None:
    unit = read(length_ft="21 1/2", gvwr="6000.0").unit
    assert unit is not None
    assert (unit.length_ft, unit.gvwr) == ("21 1/2", "6000.0")
    assert Decimal(unit.gvwr) == 6000


@pytest.mark.parametrize("field", ["name", "address"])
@pytest.mark.parametrize(
    ("text", "asked"),
    [
        ("山田 花子", "山田花子"),
        ("김민준", "김민준"),
        ("Ελένη Đặng", ""),
        ("ليلى حداد", ""),
        ("Ida Holm", ""),
    ],
)
def test_letters_that_papers_show_as_boxes_are_asked_about_once(field: str, text: str, asked: str) -> None:
    found = problems({field: text})
    assert [(it.field, it.ask) for it in found] == ([(field, True)] if asked else [])
    assert all(it.says.endswith(asked) for it in found)
    kept = read(**{field: text, f"confirm-{field}": text}).owner
    assert kept is not None
    assert getattr(kept, field) == text


@pytest.mark.parametrize("letter", ["山", "김", "ส", "क", "😀", "Ω", "Я", "א", "ب", "Ա", "ა", "ễ", "é", "·"])
def test_what_is_asked_about_is_what_the_paper_says_it_cannot_print(letter: str) -> None:
    said = SAYS_SO in own_rules(Sheet(f"<p>{letter}</p>"))
    assert bool(problems({"name": f"Ida {letter}"})) == said
