"""Whatever is typed into the two drawn forms: it is drawn, and kept or refused in words."""

from hypothesis import given, settings
from hypothesis import strategies as st

from app.bench.kinds import record_kinds
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.bench.contexts import context
from tests.bench.forms import SIX_AT_110, TORQUE
from tests.bench.test_balance import FORM as BALANCE

ODD = [
    "",
    "0",
    "-1",
    "0.001",
    "1e9",
    "9999999",
    "x",
    "yes",
    "½",
    "٣",
    "\ud800",
    "00",
    "1,250",
    " ",
    "12",
    "oz",
]
FORMS = {"wheel_torque": {**TORQUE, **SIX_AT_110}, "balance": BALANCE}


@settings(deadline=None)  # the first one loads the units
@given(key=st.sampled_from(sorted(FORMS)), data=st.data())
def test_odd_input_is_drawn_and_kept_or_refused(key: str, data: st.DataObject) -> None:
    kind, form = record_kinds()[key], dict(FORMS[key])
    for name in data.draw(st.lists(st.sampled_from(sorted(form)), max_size=4)):
        form[name] = data.draw(st.sampled_from(ODD) | st.text(max_size=6))
    assert kind.draw(Texts(form), context())
    try:
        record = kind.read(Texts(form), context())
    except Refused as refused:
        assert all(each.says for each in refused.problems)
        return
    assert kind.judge(record, context()).verdict.says
    assert kind.draw(Texts(kind.texts(record)), context())


@settings(deadline=None)  # the first one loads the units
@given(texts=st.lists(st.sampled_from([*ODD, "8", "-8", "31"]), min_size=8, max_size=8))
def test_any_eight_dial_readings_are_drawn_or_left_out(texts: list[str]) -> None:
    form = {**BALANCE, **{f"s-{n}": text for n, text in enumerate(texts)}}
    curve = record_kinds()["balance"].draw(Texts(form), context())["curve"]
    assert curve is None or len(curve.squares) == 9  # type: ignore[attr-defined]  # a drawing of runout
