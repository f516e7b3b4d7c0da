"""Attaching: kept as it was shown, once, with its receipt; and what the pages read of it."""

import pytest
from sqlalchemy import Engine
from sqlmodel import select

from app.bench import steps as bench
from app.bench.facts import records_of
from app.bench.records.figures import KIND, Figures
from app.bench.tables import BenchRecord
from app.ground.book import reading
from app.ground.tables import Receipt
from app.trade.figure import Grade
from app.trade.problems import Refused
from app.trade.typed import Texts
from app.workbench import facts, steps
from app.workbench.facts import Place
from app.workbench.registry import all_figures
from app.workbench.rules import record_of
from tests.bench.contexts import context
from tests.bench.stay import TONI, Stay, stay
from tests.conftest import act
from tests.workbench.asking import TODAY


@pytest.fixture
def here(book: Engine) -> Stay:
    """A unit on the lot."""
    return stay(book)


def payload(key: str = "end-play", **changed: str) -> Figures:
    """A figure worked out, to be attached."""
    figure = all_figures()[key]
    return record_of(figure, Texts({**figure.examples, **changed}), TODAY, "left hub")


def kept(book: Engine) -> list[BenchRecord]:
    """All bench records."""
    with reading(book) as session:
        return list(session.exec(select(BenchRecord)))


def test_a_figure_is_kept_as_it_was_shown(here: Stay) -> None:
    key = steps.attach_figure(here.book, act(TONI), Place("", "", here.order), payload())
    (record,) = kept(here.book)
    assert (record.id, record.job_id, record.work_order_id) == (key, None, here.order)
    assert (record.kind, record.place, record.inside, record.made_by) == ("figures", "unit", True, TONI)
    assert record.worked[0]["says"].replace("\xa0", " ") == "0.0040 in"
    assert record.payload["typed"][0]["says"].replace("\xa0", " ") == "0.004 in"
    assert Figures.model_validate(record.payload) == payload()


def test_a_figure_outside_its_limits_says_so(here: Stay) -> None:
    steps.attach_figure(here.book, act(TONI), Place("", "", here.order), payload(play="0.02"))
    (record,) = kept(here.book)
    assert (record.inside, record.says) == (False, "Over 0.010 in: adjust")


def test_a_figure_without_a_verdict_is_kept_with_its_value(here: Stay) -> None:
    steps.attach_figure(here.book, act(TONI), Place("", "", here.order), payload("star"))
    (record,) = kept(here.book)
    assert (record.inside, record.says) == (True, "Tightening order: 1 4 6 3 5 2")


def test_the_same_act_again_attaches_nothing_and_leaves_one_receipt(here: Stay) -> None:
    once = act(TONI)
    keys = [steps.attach_figure(here.book, once, Place("", "", here.order), payload()) for _ in range(3)]
    assert len(set(keys)) == len(kept(here.book)) == 1
    with reading(here.book) as session:
        signed = session.exec(select(Receipt).where(Receipt.submission == once.submission)).all()
    assert [each.act for each in signed] == ["attach figure"]


def test_the_same_act_with_other_content_is_refused(here: Stay) -> None:
    one, other = act(TONI, submission="same"), act(TONI, submission="same")
    steps.attach_figure(here.book, one, Place("", "", here.order), payload())
    changed = type(other)(**{**other.__dict__, "sent": "0" * 64})
    with pytest.raises(Refused):
        steps.attach_figure(here.book, changed, Place("", "", here.order), payload())


def test_a_job_that_does_not_ask_for_figures_takes_none(here: Stay) -> None:
    here.work(["wheel_torque"])
    bench.open_jobs(here.book, act(TONI), here.order)
    with pytest.raises(Refused):
        steps.attach_figure(here.book, act(TONI), Place("", "", here.order, 1), payload())
    assert kept(here.book) == []


def test_a_job_that_asks_for_figures_takes_one(here: Stay) -> None:
    here.work(["figures"], place="unit")
    bench.open_jobs(here.book, act(TONI), here.order)
    with reading(here.book) as session:
        found = [each.value for each in facts.places(session)]
    assert found == [f"order-{here.order}", "job-1"]
    steps.attach_figure(here.book, act(TONI), Place("", "", here.order, 1), payload())
    with pytest.raises(Refused):
        steps.attach_figure(here.book, act(TONI), Place("", "", here.order, 1), payload())
    with reading(here.book) as session:
        assert [each.value for each in facts.places(session)] == [f"order-{here.order}"]


def test_the_newest_figure_stands_first_and_other_records_do_not_show(here: Stay) -> None:
    for key in ("star", "end-play"):
        steps.attach_figure(here.book, act(TONI), Place("", "", here.order), payload(key))
    with reading(here.book) as session:
        found = facts.attached(session, here.order)
        assert found is not None
        assert [each.payload["figure"] for each in found] == ["end-play", "star"]
        assert len(records_of(session, here.order)) == 2
        assert facts.attached(session, 99) is None


def test_a_place_says_unit_and_owner(here: Stay) -> None:
    with reading(here.book) as session:
        (place,) = facts.places(session)
    assert place.says.startswith("Unit 214, ")
    assert "Marisol Teague" in place.says


def test_cautions_come_from_the_catalogue_in_the_book(here: Stay, book: Engine) -> None:
    with reading(here.book) as session:
        found = facts.cautions_of(session, all_figures()["leak-test"])
        assert [each.word for each in found] == ["DANGER"]
        assert facts.cautions_of(session, all_figures()["hours-worked"]) == []


# The kind of record


def test_the_kind_reads_what_it_kept_and_nothing_else() -> None:
    record = payload()
    assert KIND.read(Texts(KIND.texts(record)), context()) == record
    for odd in ("", "{}", "x", '{"figure": 1}', "[1]"):
        with pytest.raises(Refused) as refused:
            KIND.read(Texts({"figures": odd}), context())
        assert refused.value.problems[0].field == "figures"


def test_the_kind_judges_by_the_heaviest_verdict() -> None:
    judged = KIND.judge(payload("ratings", ball_load="6500", doubt=""), context())
    assert judged.verdict.grade is Grade.DNT
    assert not judged.inside
    assert KIND.judge(payload("star"), context()).verdict.grade is Grade.SOUND
    assert KIND.start(context()) == {}
