"""Brake readings with two instruments: each asked about and printed for what it read itself.

A drum is read with a caliper and magnets with a meter, so that one record may need both: common practice.
"""

from collections.abc import Callable
from datetime import date

import pytest

from app.bench import steps
from app.bench.kinds import Tool, instruments_said
from app.bench.records.brake_readings import KIND, BrakeReadings
from app.ground.tables import Instrument
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts
from tests.bench.contexts import context
from tests.bench.stay import BEFORE, TONI, Stay
from tests.bench.test_kinds import FORMS
from tests.bench.test_paper_parts import Written, line, part
from tests.conftest import Browser, act

CALIPER = Tool(31, "Drum caliper 1", "caliper", "in", "6", "13", date(2027, 1, 12))
OLD_CLAMP = Tool(32, "Clamp meter 4", "clamp meter", "A", "0.1", "20", date(2026, 3, 1))
CLAMP = Tool(33, "Clamp meter 5", "clamp meter", "A", "0.1", "40", date(2027, 1, 12))
LONG_CALIPER = Tool(34, "Drum caliper 2", "caliper", "in", "10", "20", date(2027, 1, 12))
METER = Tool(35, "Multimeter 3", "multimeter", "ohm", "0", "200", date(2027, 1, 12))
HERE = context(
    place="axle-1", brakes="electric", axles=2, tools=(CALIPER, OLD_CLAMP, CLAMP, LONG_CALIPER, METER)
)
BOTH = {  # drums of 10 in, cast 10.09, and two magnets of a 10 in brake at 12 V together
    **{f"drum_{side}_{nth}": "10.02" for side in ("left", "right") for nth in (1, 2)},
    **{f"drum_{side}_most": "10.09" for side in ("left", "right")},
    **{"magnet": "10", "volts": "12", "amps": "6.4"},
    **{"instrument": "31", "second": "33"},
}

OVERDUE = {"second": "32", "confirm-second": "32"}


def kept(**changed: str) -> BrakeReadings:
    """An axle with drums read by caliper and magnets by clamp meter."""
    return KIND.read(Texts({**BOTH, **changed}), HERE)


def problems(**changed: str) -> list[Problem]:
    """What is asked about or wrong with such a form."""
    with pytest.raises(Refused) as refused:
        kept(**changed)
    return list(refused.value.problems)


def test_a_record_names_both_with_their_calibration() -> None:
    said = instruments_said(kept())
    assert said.startswith("Drum caliper 1, 6 to 13")
    assert ". Clamp meter 5, 0.1 to 40" in said
    assert said.count("calibration due 12 January 2027") == 2


def test_one_instrument_may_stand_alone_and_so_may_none() -> None:
    assert instruments_said(kept(second="")).startswith("Drum caliper 1")
    assert kept(second="").second is None
    assert instruments_said(kept(instrument="", second="")) == ""


def test_the_second_out_of_date_is_asked_at_its_own_field_and_printed() -> None:
    found = problems(second="32")
    assert [(each.field, each.ask) for each in found] == [("second", True)]
    assert "Clamp meter 4 was due 1 March 2026" in found[0].says
    record = kept(**OVERDUE)
    assert "Clamp meter 4, 0.1 to 20\N{NO-BREAK SPACE}A, calibration was due 1 March 2026" in str(
        record.second
    )
    assert record.instrument
    assert not record.instrument.overdue


@pytest.mark.parametrize("swapped", [False, True])
def test_a_reading_is_held_against_the_instrument_that_reads_its_unit(swapped: bool) -> None:
    named = {"instrument": "33", "second": "31"} if swapped else {}
    high = {"amps": "41", "drum_left_1": "13.1"}
    assert {(each.field, each.ask) for each in problems(**named, **high)} == {
        ("amps", True),
        ("drum_left_1", True),
    }
    record = kept(**named, **high, **{f"confirm-{name}": text for name, text in high.items()})
    assert record.instrument
    assert record.second
    caliper, clamp = (record.second, record.instrument) if swapped else (record.instrument, record.second)
    assert [each.replace("\N{NO-BREAK SPACE}", " ") for each in caliper.outside] == ["13.1 in"]
    assert [each.replace("\N{NO-BREAK SPACE}", " ") for each in clamp.outside] == ["41 A"]


def test_of_two_of_one_kind_either_may_have_the_range() -> None:
    wide = {f"drum_{side}_{nth}": "13.5" for side in ("left", "right") for nth in (1, 2)}
    wide |= {f"drum_{side}_most": "13.6" for side in ("left", "right")}
    record = kept(second="34", magnet="", volts="", amps="", **wide)  # 20 in is the end of the second
    assert record.second
    assert record.second.outside == ()


@pytest.mark.parametrize(
    ("changed", "field", "says"),
    [
        ({"second": "31"}, "second", "named already"),
        ({"instrument": "", "second": "33"}, "instrument", "first instrument is missing"),
        ({"second": "1"}, "second", "missing"),  # a torque wrench reads no brake
        ({"second": "none"}, "second", "missing"),
    ],
)
def test_a_second_that_cannot_be_is_refused_at_its_field(
    changed: dict[str, str], field: str, says: str
) -> None:
    found = problems(**changed)
    assert [(each.field, each.ask) for each in found] == [(field, False)]
    assert says in found[0].says


def test_a_record_kept_with_one_instrument_reads_as_it_did() -> None:
    form = Texts({**FORMS["brake_readings"], "instrument": "33"})
    old = KIND.read(form, HERE).model_dump(mode="json")
    assert old.pop("second") is None
    assert KIND.kept(old) == KIND.read(form, HERE)


def test_the_form_gives_both_again_and_the_next_axle_begins_with_them() -> None:
    record = kept()
    assert KIND.read(Texts(KIND.texts(record)), HERE) == record
    last = context(last=record.model_dump(mode="json"))
    assert (KIND.start(last)["instrument"], KIND.start(last)["second"]) == ("31", "33")


def test_the_paper_prints_both_and_the_one_that_is_out_of_date() -> None:
    printed = part("brake_readings", "kept", line(Written("brake_readings", kept(**OVERDUE), ())))
    assert "Drum caliper 1, 6 to 13 in, calibration due 12 January 2027. Clamp meter 4" in printed
    assert "calibration was due 1 March 2026, used all the same" in printed


def _own(here: Stay, tool: Tool) -> str:
    row = Instrument(
        created_at=BEFORE,
        **{name: getattr(tool, name) for name in ("name", "kind", "unit", "least", "most")},
        calibration_due=tool.due,
    )
    return str(here.add(row))


def test_the_page_takes_both_and_the_job_shows_both(signed: Callable[[str], Browser], here: Stay) -> None:
    here.work(("brake_readings",), place="axle-1")
    steps.open_jobs(here.book, act(TONI), here.order)
    both = {"instrument": _own(here, CALIPER), "second": _own(here, OLD_CLAMP)}
    toni, at = signed("Toni"), "/bench/jobs/1/records/brake_readings/axle-1"
    assert "Second instrument, where two were used" in toni.get(at).text
    asked = toni.post(at, {**BOTH, **both})
    assert asked.status_code == 422
    assert f'name="confirm-second" value="{both["second"]}"' in asked.text
    assert toni.post(at, {**BOTH, **both, "confirm-second": both["second"]}).status_code == 303
    page = toni.get("/bench/jobs/1").text.replace("\xa0", " ")
    assert "Drum caliper 1, 6 to 13 in" in page
    assert "Clamp meter 4, 0.1 to 20 A, calibration was due 1 March 2026, used all the same" in page
