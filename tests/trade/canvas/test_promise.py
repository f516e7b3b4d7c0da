"""Promises: days counted by hand on a calendar, reasons in words, and what moves when the queue moves."""

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal

import pytest

from app.trade.canvas.promise import (
    Asked,
    Loft,
    Promise,
    Work,
    canvas_promise,
    latest_promise,
    still_kept,
)
from app.trade.canvas.stages import Stage, fixed
from app.trade.days import day
from app.trade.figure import Grade
from app.trade.intervals import Calendar
from app.trade.problems import Impossible

START = date(2026, 5, 4)  # a Monday
OFF = Calendar(off=frozenset({date(2026, 5, 25)}))
LOFT = Loft(Decimal(4), Decimal(6))
TENT = Work("this tent", Decimal(4), Decimal(12))
NOW = fixed("fitting or packing", Decimal(1))


def hours(table: str, machine: str) -> Work:
    return Work("ahead", Decimal(table), Decimal(machine))


def asked(*ahead: Work, cloth: Stage | None = None, own: Work = TENT, loft: Loft = LOFT) -> Asked:
    cloth = cloth or fixed("cloth", Decimal(0))
    return Asked(START, own, ahead, loft, OFF, cloth, NOW)


def reckoned(it: Asked) -> Promise:
    return canvas_promise(it).value


def test_an_order_with_nothing_ahead_takes_its_own_days() -> None:
    # By hand: cutting 4 h at 4 a day, sewing 12 h at 6 a day, 1 to pack: 4 days as reckoned, and a little
    # over at half (the triangle leans to the long side): 5 worked days after Monday, 4 May is the 11th.
    found = reckoned(asked())
    assert found.likely == date(2026, 5, 11)
    assert found.promised == date(2026, 5, 11)
    assert found.reasons == ("nothing is ahead in the queue: its own work decides",)


def test_cloth_that_comes_late_decides() -> None:
    # By hand: 14 days for cloth, then the same 4 and a little: 19 worked days, Memorial Day off.
    found = reckoned(asked(cloth=fixed("cloth", Decimal(14))))
    assert found.likely == date(2026, 6, 1)
    assert found.reasons[0] == "the cloth takes about 14 days to come".replace(" days", "\u00a0days")
    assert found.reasons[1] == "days off on the way: 25 May 2026"


def test_the_material_that_comes_last_decides_and_is_named() -> None:
    # Cloth in 3 days, film here, zippers in 14: the days of the test before, where the cloth takes 14.
    others = (fixed("window film", Decimal(0)), fixed("zippers", Decimal(14)))
    found = reckoned(replace(asked(cloth=fixed("cloth", Decimal(3))), others=others))
    assert (found.likely, found.promised) == (date(2026, 6, 1), date(2026, 6, 1))
    assert found.reasons[0] == "the zippers take about 14 days to come".replace(" days", "\u00a0days")


def test_each_material_stands_in_the_working_with_its_days() -> None:
    late = replace(asked(), others=(Stage("window film", Decimal(5), Decimal(10), Decimal(21)),))
    told = {it.name: it.says.replace("\u00a0", " ") for it in canvas_promise(late).inputs}
    assert told["window film"] == "5.0, likely 10.0, at most 21.0 days"


def test_the_queue_at_the_machines_decides_where_it_is_longer() -> None:
    # By hand: 60 h of sewing ahead at 6 a day are 10 days, 11 in the mean of the triangle (0.9, 1, 1.4).
    found = reckoned(asked(hours("2", "30"), hours("2", "30")))
    assert "machines are busy with 2 orders ahead for about 11" in found.reasons[0]
    # 11, 2.2 of sewing and 1 to pack are 14.2: the fifteenth worked day, with the 25th off, is the 26th.
    assert found.likely == date(2026, 5, 26)
    assert found.likely <= found.promised <= date(2026, 5, 28)


def test_the_queue_at_the_table_decides_where_it_is_longer() -> None:
    found = reckoned(asked(hours("40", "1")))
    assert "cutting table is busy with 1 order ahead" in found.reasons[0]


def test_hours_ahead_at_the_machines_run_while_the_cloth_is_awaited() -> None:
    waiting = asked(hours("0", "30"), cloth=fixed("cloth", Decimal(12)))
    alone = asked(cloth=fixed("cloth", Decimal(12)))
    assert reckoned(waiting).promised == reckoned(alone).promised


def test_busy_months_leave_less_of_each_day() -> None:
    busy = replace(LOFT, busy_months=frozenset({4, 5, 6}), busy_share=Decimal("0.5"))
    found = reckoned(asked(hours("8", "24"), loft=busy))
    assert found.promised > reckoned(asked(hours("8", "24"))).promised
    assert any("busy months leave 50" in it for it in found.reasons)
    quiet = replace(LOFT, busy_months=frozenset({11}), busy_share=Decimal("0.5"))
    assert reckoned(asked(hours("8", "24"), loft=quiet)) == reckoned(asked(hours("8", "24")))


def test_a_busy_month_counts_from_the_day_on_which_it_begins() -> None:
    """Counted from Monday, 18 May, with June at a half and nothing drawn but fixed days.

    By hand: cloth in 8 worked days is Friday, 29 May (the 25th is off). Cutting 4 h at 4 a day is a full day,
    sewing 12 h at 6 a day are two: three full days are six worked ones of June, until Monday the 8th; packing
    the 9th. The triangle of 0.9, 1 and 1.4 leans half a day of June to the long side: the 9th or 10th.
    """
    busy = replace(LOFT, busy_months=frozenset({6}), busy_share=Decimal("0.5"))
    it = replace(asked(cloth=fixed("cloth", Decimal(8)), loft=busy), start=date(2026, 5, 18))
    found = reckoned(it)
    assert date(2026, 6, 9) <= found.likely <= date(2026, 6, 10)
    assert found.reasons[1] == "busy months leave 50 % of each day for canvas: June".replace(" %", "\u00a0%")
    quiet = reckoned(replace(it, loft=LOFT))
    assert OFF.between(quiet.likely, found.likely) in (3, 4)


def test_more_orders_ahead_never_make_it_earlier() -> None:
    days = [reckoned(asked(*[hours("3", "11")] * count)).promised for count in range(0, 12, 3)]
    assert days == sorted(days)
    assert days[0] < days[-1]


def test_the_promised_day_is_not_before_the_likely_one() -> None:
    wide = Stage("cloth", Decimal(5), Decimal(10), Decimal(21))
    found = reckoned(asked(hours("4", "20"), cloth=wide))
    assert found.likely < found.promised
    assert found.words == f"likely {day(found.likely)}, promised by {day(found.promised)}"


@pytest.mark.parametrize(("cloth", "grade"), [(10, Grade.SOUND), (26, Grade.WATCH), (45, Grade.NEEDS)])
def test_six_weeks_are_usual_and_sixty_days_kept(cloth: int, grade: Grade) -> None:
    # Common practice: four to six weeks, kept within sixty days. By hand, with 5 worked days after the
    # cloth: 15 days are three weeks; 31 are six weeks and two days; 50 are ten weeks.
    figure = canvas_promise(asked(cloth=fixed("cloth", Decimal(cloth))))
    assert figure.verdict
    assert figure.verdict.grade is grade


def test_the_figure_shows_each_stage() -> None:
    figure = canvas_promise(asked(hours("4", "12")))
    told = {it.name: it.says.replace("\u00a0", " ") for it in figure.inputs}
    assert told["cutting table busy"] == "0.9, likely 1.0, at most 1.4 days"
    assert told["sewing"] == "1.8, likely 2.0, at most 2.8 days"  # 12 h at 6 a day
    assert told["cloth"] == "0.0 days"
    assert told["counted from"] == "4 May 2026"
    assert "open questions" in figure.caution


def test_the_same_order_is_promised_the_same() -> None:
    it = asked(hours("4", "20"), cloth=Stage("cloth", Decimal(5), Decimal(10), Decimal(21)))
    assert canvas_promise(it) == canvas_promise(it)


def promise(likely: date, promised: date) -> Promise:
    return Promise(START, likely, promised, ("the cloth takes about 20 days to come",))


def test_a_promise_is_kept_close_or_told_anew() -> None:
    given = date(2026, 6, 1)
    assert still_kept(given, promise(date(2026, 5, 25), given)).grade is Grade.SOUND
    close = still_kept(given, promise(given, date(2026, 6, 5)))
    assert close.grade is Grade.WATCH
    assert "4 days after the day given" in close.says
    assert "1 day after the day given" in still_kept(given, promise(given, given + timedelta(days=1))).says
    late = still_kept(given, promise(date(2026, 6, 2), date(2026, 6, 8)))
    assert late.grade is Grade.NEEDS
    assert late.says.endswith("Tell the owner a new day")
    assert "cloth takes about 20 days" in late.says


def test_the_last_day_to_promise_is_sixty_days_on() -> None:
    assert latest_promise(START) == date(2026, 7, 3)  # by hand: 27 in May, 30 in June, 3 in July
    assert promise(START, latest_promise(START)).calendar_days == 60


def test_hours_and_capacity_that_cannot_be_are_refused() -> None:
    with pytest.raises(Impossible, match="cannot take these hours"):
        hours("-1", "0")
    for table, machine, share in (("0", "6", "1"), ("4", "0", "1"), ("4", "6", "0"), ("4", "6", "1.1")):
        with pytest.raises(Impossible, match="hours in a day"):
            Loft(Decimal(table), Decimal(machine), frozenset({5}), Decimal(share))


@pytest.mark.parametrize("ahead", [0, 2, 5])
@pytest.mark.parametrize("cloth", [0, 8, 20])
def test_the_likely_day_is_what_the_mean_stages_come_to(ahead: int, cloth: int) -> None:
    """By hand: the later of cloth and table, cutting, the later of that and machines, sewing, packing.

    Half of the draws lie a little under or over the means: two worked days are allowed for it.
    """
    lean = (Decimal("0.9") + 1 + Decimal("1.4")) / 3  # mean of the triangle round the reckoned hours
    table, machines = ahead * 3 / Decimal(4) * lean, ahead * 11 / Decimal(6) * lean
    ready = max(Decimal(cloth), table) + 1 * lean
    days = max(ready, machines) + 2 * lean + 1
    found = reckoned(asked(*[hours("3", "11")] * ahead, cloth=fixed("cloth", Decimal(cloth))))
    worked = OFF.between(START, found.likely)
    assert abs(worked - days) <= 2


@pytest.mark.parametrize("week", [frozenset(range(6)), frozenset({0, 2, 4})])
def test_the_shop_counts_its_own_working_days(week: frozenset[int]) -> None:
    usual = reckoned(asked(cloth=fixed("cloth", Decimal(10))))
    other = reckoned(replace(asked(cloth=fixed("cloth", Decimal(10))), calendar=Calendar(week)))
    assert (other.promised < usual.promised) is (len(week) > 5)
    assert other.promised.weekday() in week


def test_a_shop_closed_for_weeks_says_so() -> None:
    closed = frozenset(date(2026, 5, at) for at in range(6, 23))
    found = reckoned(replace(asked(), calendar=Calendar(off=closed)))
    assert found.promised > date(2026, 5, 22)
    assert "days off on the way: 6 May 2026" in found.reasons[-1]


def test_another_finish_moves_the_day_by_its_own_days() -> None:
    packed = reckoned(asked(cloth=fixed("cloth", Decimal(5))))
    fitted = reckoned(
        replace(asked(cloth=fixed("cloth", Decimal(5))), finish=fixed("fitting here", Decimal(4)))
    )
    assert OFF.between(packed.promised, fitted.promised) == 3  # 4 instead of 1


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_the_seed_hardly_matters(seed: int) -> None:
    """Twenty thousand draws: another seed moves the promised day by one at most."""
    it = asked(hours("4", "20"), cloth=Stage("cloth", Decimal(5), Decimal(10), Decimal(21)))
    days = [canvas_promise(it, one).value.promised for one in (seed, seed + 10)]
    assert abs((days[0] - days[1]).days) <= 3  # a weekend may lie between


def test_a_longer_end_of_the_cloth_moves_the_promise_but_hardly_the_likely_day() -> None:
    short = reckoned(asked(cloth=Stage("cloth", Decimal(9), Decimal(10), Decimal(11))))
    long = reckoned(asked(cloth=Stage("cloth", Decimal(9), Decimal(10), Decimal(40))))
    assert OFF.between(short.promised, long.promised) > OFF.between(short.likely, long.likely) > 0
