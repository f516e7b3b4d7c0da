"""Each kind on paper: the sheet to write on and the record that stands say what was asked and read."""

import html
from dataclasses import dataclass
from datetime import UTC, datetime
from typing import Any

import pytest

from app.bench.facts import AskedLine, RecordLine
from app.bench.kinds import instruments_said, record_kinds
from app.bench.records.figures import Figures, Said, Shown
from app.bench.screens import Blank
from app.ground.pages import templates
from app.trade.figure import shown
from app.trade.tire_marks import index_load
from app.trade.typed import Texts
from tests.bench.forms import SIX_AT_110, TORQUE, torque
from tests.bench.test_balance import balance
from tests.bench.test_kinds import FORMS, at


def part(key: str, name: str, it: object) -> str:
    """One macro of a kind's paper, filled."""
    made: Any = templates().get_template(f"bench/records/{key}/_paper.html").module
    return html.unescape(str(getattr(made, name)(it))).replace("\xa0", " ")


@dataclass(frozen=True)
class Written:
    """A kind with a payload and some texts that its printed record must hold."""

    key: str
    payload: Any
    texts: tuple[str, ...]


def written() -> list[Written]:
    """A record of every kind."""
    drawn = [
        Written("wheel_torque", torque(r_3="111.5"), ("111.5", "100 to 120 lbf·ft", "Torque wrench 7")),
        Written("balance", balance(), ("1.37 at 215", "0.75 at 20, 0.75 at 50", "heavy spot")),
        Written("figures", worked_out(), ("Load of a load index", "96", "1,565 lb", "spare wheel")),
    ]
    rows = []
    for key, form in FORMS.items():
        kind, here = at(key)
        numbers = tuple(
            text for text in form.values() if text[:1].isdigit() and text != form.get("instrument")
        )
        rows.append(Written(key, kind.read(Texts(form), here), numbers[:3]))
    return drawn + rows


def worked_out() -> Figures:
    """One figure as the workbench attaches it: index 96 is 710 kg, 1,565 lb (ISO 4000-1, from memory)."""
    shown_ = Shown.model_validate(shown(index_load(96)))
    return Figures(
        figure="load-index",
        title="Load of a load index",
        what_for="spare wheel",
        typed=(Said(name="Load index", says="96"),),
        figures=(shown_,),
    )


def line(one: Written) -> RecordLine:
    """A record as facts tell it."""
    return RecordLine(
        id=1,
        job_id=1,
        order_id=1,
        kind=one.key,
        title=record_kinds()[one.key].title,
        place="wheel-1-left",
        label="Left wheel, axle 1",
        payload=one.payload.model_dump(mode="json"),
        inside=True,
        says="inside",
        worked=(),
        instrument=instruments_said(one.payload),
        made_by="Toni",
        made_by_id=3,
        made_at=datetime(2026, 5, 4, 16, tzinfo=UTC),
        entry=9,
        correction="",
    )


def test_every_kind_is_printed_here() -> None:
    assert {one.key for one in written()} == set(record_kinds())


@pytest.mark.parametrize("one", written(), ids=lambda one: one.key)
def test_a_printed_record_holds_its_readings_as_typed(one: Written) -> None:
    printed = part(one.key, "kept", line(one))
    for text in one.texts:
        assert text in printed
    assert "None" not in printed


@pytest.mark.parametrize("key", sorted(record_kinds()))
def test_a_sheet_to_write_on_names_kind_and_place(key: str) -> None:
    kind, here = at(key)
    asked = AskedLine(key, kind.title, here.place, here.label, known=True, record=None)
    printed = part(key, "blank", Blank(kind, asked, here, kind.draw(Texts(kind.start(here)), here)))
    assert here.label.lower() in printed
    assert "None" not in printed
    drawn: Any = kind.draw(Texts(kind.start(here)), here)
    for row in drawn.get("rows", ()):
        assert row.label in printed


@pytest.mark.parametrize(
    ("key", "shows", "at_nut"), [("wheel_torque", "82.5", "110"), ("fastener_torque", "58", "77.3")]
)
def test_a_printed_torque_through_an_adapter_says_both(key: str, shows: str, at_nut: str) -> None:
    # US Army TM 9-2350-261-20-1: 4 in on 12 in, the wrench shows three quarters
    kind, here = at(key)
    form = FORMS.get(key, {**TORQUE, **SIX_AT_110})
    readings = {name: shows for name in form if name.startswith("r-")}
    typed = Texts({**form, **readings, "wrench_length": "12", "adapter_length": "4"})
    printed = part(key, "kept", line(Written(key, kind.read(typed, here), ())))
    assert "adapter of 4 in on 12 in of wrench" in printed
    assert printed.count(f"<b>{shows}</b>") == printed.count(f"<b>{at_nut}</b>") == len(readings)


@pytest.mark.parametrize("key", ["wheel_torque", "fastener_torque"])
def test_the_sheet_has_lines_for_an_adapter_and_how_to_set_the_wrench(key: str) -> None:
    kind, here = at(key)
    asked = AskedLine(key, kind.title, here.place, here.label, known=True, record=None)
    printed = part(key, "blank", Blank(kind, asked, here, kind.draw(Texts(kind.start(here)), here)))
    assert printed.count('wrench <span class="line-in short">') == 1
    assert "the figure × wrench / (wrench + adapter)" in printed  # US Army TM 9-254, figure 4-5


def test_the_sheet_of_a_wheel_without_studs_asks_for_them() -> None:
    kind, here = at("wheel_torque")
    asked = AskedLine("wheel_torque", kind.title, here.place, here.label, known=True, record=None)
    printed = part("wheel_torque", "blank", Blank(kind, asked, here, kind.draw(Texts({}), here)))
    assert "Studs not known" in printed
    assert "ask the wheel's or axle's maker" in printed


def test_the_star_on_paper_says_its_order() -> None:
    kind, here = at("wheel_torque")
    asked = AskedLine("wheel_torque", kind.title, here.place, here.label, known=True, record=None)
    printed = part(
        "wheel_torque", "blank", Blank(kind, asked, here, kind.draw(Texts(kind.start(here)), here))
    )
    assert "Tighten in the order nut 1, 4, 6, 3, 5, 2." in printed  # opposite pairs: common practice
    assert printed.index("WARNING") > printed.index("100 to 120")
