"""The tires that were fitted, on the owner's paper: number by place, and their registration by law.

49 CFR 574.8(a), as 73 FR 72358 of 28 November 2008 tells it: an independent dealer gives the buyer of a new
tire a registration form with the identification number filled in, which the buyer can complete and send to
the maker. That the dealer may send it instead, and that his own name stands on it: from memory.
"""

import io
from dataclasses import replace
from pathlib import Path

import pytest
from pypdf import PdfReader
from sqlalchemy import Engine

from app.bench import steps as bench
from app.bench.facts import jobs_of
from app.bench.records.tires_fitted import KIND as TIRE
from app.ground.book import reading
from app.ground.press import Press
from app.handover.facts import told
from app.handover.papers import page_of
from app.handover.record import Measured
from app.handover.tables import Handover
from app.trade.typed import Texts
from tests.bench.contexts import context
from tests.handover.stays import SOUND, WREN, Found, Stay, carried, stay
from tests.handover.test_papers import Shop, flat, press  # noqa: F401 - a fixture

TINS = {"tire-2-right": "4XK9 7MRT 1226", "tire-1-left": "1ABC2D3EF 3025"}
WORN = tuple(
    Found("ti.tread", f"Tread depth, {place}", 3, "needs", place, by="soon", reason="at the bars")
    for place in TINS
)


def fitted(made: Stay, place: str, tin: str) -> int:
    """A tire fitted at a place for the job that asks for it."""
    with reading(made.book) as session:
        asked = [(job.id, it) for job in jobs_of(session, made.order) for it in job.asked]
    job = next(job for job, it in asked if (it.kind, it.place) == ("tires_fitted", place))
    size = {"tin": tin, "size": "ST205/75R14", "load": "1760"}
    form = Texts({**size, "placard": "50", "most": "50", "pressure": "50"})
    payload = TIRE.read(form, replace(context(place=place), tire_size="ST205/75R14"))
    return bench.keep_record(made.book, made.act(WREN), job, "tires_fitted", place, payload)


@pytest.fixture
def handed(book: Engine) -> Handover:
    """A handover after two tires were fitted."""
    made = stay(book, [*SOUND[:1], *WORN])
    made.price(say={})
    bench.open_jobs(book, made.act(WREN), made.order)
    for place, tin in TINS.items():
        fitted(made, place, tin)
    key = made.hand_over(carried())
    with reading(book) as session:
        return session.get_one(Handover, key)


def test_each_tire_stands_with_its_place_and_whole_number(handed: Handover) -> None:
    tires = page_of(told(handed)).tires
    assert [(one.told.label, one.payload["tin"]) for one in tires] == [
        ("Left tire, axle 1", "1ABC2D3EF 3025"),
        ("Right tire, axle 2", "4XK9 7MRT 1226"),
    ]


def test_the_owner_reads_numbers_and_what_to_do_with_them(
    handed: Handover,
    tmp_path: Path,
    press: Press,  # noqa: F811 - the fixture
    book: Engine,
) -> None:
    assert handed.id is not None
    _, pdf = Shop(book, tmp_path / "files", press).print(handed.id)
    text = flat(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages))
    after = text[text.index("The tires we fitted") : text.index("What we measured")]
    for place, tin in (
        ("Left tire, axle 1", TINS["tire-1-left"]),
        ("Right tire, axle 2", TINS["tire-2-right"]),
    ):
        assert f"{place} {tin} ST205/75R14 4 May 2026" in after
    for said in (
        "registered with its maker",
        "registration form with these numbers and our name",
        "49 CFR 574.8",
    ):
        assert said in after
    assert "can burst" in after


def test_without_tires_fitted_nothing_is_said_of_a_registration(handed: Handover) -> None:
    record = told(handed)
    others: tuple[Measured, ...] = tuple(one for one in record.measured if one.kind != "tires_fitted")
    assert page_of(record.model_copy(update={"measured": others})).tires == ()
    assert page_of(record).tires
