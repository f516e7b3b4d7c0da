"""Every kind that is filled in here, as a browser meets it: cautions, refusal, saving, superseding, paper."""

import html
import re
from collections.abc import Callable

import pytest
from sqlmodel import select

from app.bench import steps
from app.bench.kinds import record_kinds
from app.bench.tables import BenchRecord
from app.ground.book import reading
from app.ground.tables import Instrument
from app.trade.typed import Texts
from tests.bench.filled import FILLED, TOOLS
from tests.bench.stay import BEFORE, TONI, Stay
from tests.bench.test_kinds import at
from tests.bench.test_paper_parts import Written, line, part
from tests.conftest import Browser, act

Signed = Callable[[str], Browser]


@pytest.fixture
def toni(signed: Signed, here: Stay) -> Browser:
    """A technician at a job that asks for every kind of these records, all instruments at hand."""
    here.work(tuple(FILLED), place="axle-1")
    steps.open_jobs(here.book, act(TONI), here.order)
    return signed("Toni")


def form(here: Stay, key: str) -> dict[str, str]:
    """A filled form that names the instrument of this book."""
    found = dict(FILLED[key])
    if "instrument" in found:
        found["instrument"] = str(
            here.wrench if found["instrument"] == "1" else _tool(here, found["instrument"])
        )
    return found


def _tool(here: Stay, number: str) -> int:
    tool = next(each for each in TOOLS if str(each.id) == number)
    row = Instrument(
        created_at=BEFORE,
        name=tool.name,
        kind=tool.kind,
        unit=tool.unit,
        least=tool.least,
        most=tool.most,
        calibration_due=tool.due,
    )
    return here.add(row)


def path(toni: Browser, key: str) -> str:
    """Where the form of a kind stands."""
    found = re.search(rf'href="(/bench/jobs/1/records/{key}/[^"]+)"', toni.get("/bench/jobs/1").text)
    assert found is not None
    return found[1]


def records(here: Stay) -> list[BenchRecord]:
    """All records of the book."""
    with reading(here.book) as session:
        return list(session.exec(select(BenchRecord)))


@pytest.mark.parametrize("key", FILLED)
def test_the_caution_stands_before_the_form(toni: Browser, key: str) -> None:
    text = toni.get(path(toni, key)).text
    for _ in record_kinds()[key].cautions:
        assert "caution-word" in text[: text.index('class="form form-two"')]


@pytest.mark.parametrize("key", FILLED)
def test_a_refused_form_comes_back_as_it_was_typed(toni: Browser, here: Stay, key: str) -> None:
    typed = form(here, key) | {"submission": "a-key-of-its-own-000001"}
    numbers = [name for name, text in typed.items() if re.fullmatch(r"\d+", text) and name != "instrument"]
    answer = toni.post(path(toni, key), typed | {_breaks(key): "12x4"})
    assert answer.status_code == 422
    text = html.unescape(answer.text)
    assert "12x4" in text
    assert "Fix:" in text
    for name in numbers:
        if name != _breaks(key) and f'name="{name}"' in text:
            assert typed[name] in text
    assert records(here) == []


def _breaks(key: str) -> str:
    """A number of the form that is broken on purpose, or the number of a trailer."""
    named = {"identity": "plate", "fastener_torque": "r-1", "moisture_map": "p-1", "scale_tickets": "front_1"}
    numbers = [name for name, text in FILLED[key].items() if re.fullmatch(r"[\d./ ]+", text)]
    skip = ("instrument", "ball", "coupler", "wire")
    return named.get(key) or next(name for name in numbers if name not in skip)


@pytest.mark.parametrize("key", FILLED)
def test_a_record_is_kept_once_and_superseded_with_a_reason(toni: Browser, here: Stay, key: str) -> None:
    where, typed = path(toni, key), form(here, key) | {"submission": "a-key-of-its-own-000002"}
    for _ in range(2):
        assert toni.post(where, typed).status_code == 303
    (first,) = records(here)
    assert (first.kind, first.inside) == (key, True)
    again = typed | {"submission": "a-key-of-its-own-000003", "supersedes": str(first.key)}
    assert toni.post(where, again).status_code == 422
    assert toni.post(where, again | {"correction-kind": "again"}).status_code == 303
    assert [each.supersedes_id for each in records(here)] == [None, first.key]


@pytest.mark.parametrize("key", FILLED)
def test_the_printed_record_holds_every_reading(key: str) -> None:
    kind, here = at(key)
    record = kind.read(Texts(FILLED[key]), here)
    printed = part(key, "kept", line(Written(key, record, ())))
    for name, text in FILLED[key].items():
        if name in ("instrument", "count") or text in ("yes", "no", "none") or name.startswith("pass-"):
            continue
        if re.search(r"\d", text):
            assert text in printed, name
