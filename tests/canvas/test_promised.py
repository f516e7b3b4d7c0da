"""The queue and its days: what was said, who goes first, what an owner was told, reckoned at each look."""

from datetime import date, timedelta
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st
from sqlalchemy import Engine
from sqlalchemy.exc import IntegrityError, NoResultFound
from sqlmodel import select

from app.canvas import making, promised, steps
from app.canvas.making import ORDER, Stage, StageSaid
from app.canvas.promised import HoursSaid, LoftSaid, PlaceRead, read_hours, read_loft, read_told
from app.canvas.tables import CanvasHours, CanvasTold, LoftDays
from app.estimate.saying import Said
from app.ground.book import reading, writing
from app.ground.forms import Sent
from app.ground.receipts import Stale
from app.trade.canvas.promise import Promise
from app.trade.figure import Grade
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.canvas import loft
from tests.conftest import NOON, act

LEE, TONI = 1, 3
TODAY = NOON.date()  # a Monday, 4 May 2026
DAY = {"table_hours": "4", "machine_hours": "6", "busy_percent": "100", "off": "2026-05-25"}
NEEDS = HoursSaid("4", "12", "0", "0", "0")


def a_day(**more: str) -> LoftSaid:
    pairs = [*{**DAY, **more}.items(), *(("week", f"{day}") for day in range(5))]
    return read_loft(Sent(pairs))


def released(book: Engine, key: int) -> int:
    it = loft.read(book, key)
    steps.release(book, act(seen=it.version), key, [problem.says for problem in it.holds_back])
    return key


@pytest.fixture
def order(book: Engine) -> int:
    """A released order that the owner agreed to, and a loft whose day is known."""
    promised.set_loft(book, act(LEE), a_day())
    key = released(book, loft.ready(book))
    loft.agreed(book, key)
    return key


def another(book: Engine) -> int:
    """A second released order, of the same unit."""
    with reading(book) as session:
        visit = loft.facts.canvas_order(session, 1).row.work_order_id
    key = steps.open_order(book, act(), visit)
    loft.answer(book, key, loft.Kind.FRAME)
    loft.sewn(book, loft.piece(book, key, "Rear wall"), loft.cloth(book, key))
    loft.answer(book, key, loft.Kind.ORDER)
    return released(book, key)


def place(book: Engine, key: int, today: date = TODAY) -> PlaceRead:
    with reading(book) as session:
        return promised.place_of(session, key, today)


def besides_the_yes(found: PlaceRead) -> tuple[str, ...]:
    """What a day does not hold for, without that the owner's yes is still wanted."""
    return tuple(it for it in found.doubts if "before the owner's yes" not in it)


def numbers(book: Engine) -> list[str]:
    with reading(book) as session:
        return [it.queued.order.number for it in promised.queue(session, TODAY)]


def needs(book: Engine, key: int, said: HoursSaid = NEEDS) -> int:
    return promised.set_hours(book, act(seen=place(book, key).queued.turns), key, said)


def told(book: Engine, key: int, day: str = "2026-06-05", **more: str) -> int:
    typed = Texts({"promised": day, "how": "by phone", **more})
    return promised.tell(book, act(seen=len(place(book, key).queued.told)), key, typed, TODAY)


def done(book: Engine, key: int, *several: Stage) -> None:
    for stage in several:
        with reading(book) as session:
            turns = making.making_of(session, key).turns
        making.keep_stage(book, act(TONI, seen=turns), key, StageSaid(stage, "1.5"))


def reckoned(found: PlaceRead) -> Promise:
    assert found.figure is not None
    return found.figure.value


# What is reckoned


def test_an_order_alone_takes_its_own_days(book: Engine, order: int) -> None:
    # By hand: cutting 4 h at 4 a day, sewing 12 h at 6 a day: 3 days as reckoned, 0.5 to 3 to pack; half of
    # the draws are done on the 5th worked day after Monday, 4 May, four in five on the 6th.
    needs(book, order)
    now = reckoned(place(book, order))
    assert (now.likely, now.promised) == (date(2026, 5, 11), date(2026, 5, 12))
    assert now.reasons == ("nothing is ahead in the queue: its own work decides",)


def test_the_worked_example_of_one_bench(book: Engine, order: int) -> None:
    # Hours ahead 9.5 + 14 + 7.5 at 6 a day are 5.17 days: the machines decide. Source: arithmetic.
    needs(book, order, HoursSaid("0", "31", "0", "0", "0"))
    second = another(book)
    needs(book, second, HoursSaid("0", "11", "0", "0", "0"))
    now = reckoned(place(book, second))
    # 31 h / 6 = 5.17 days; the mean of the triangle 0.9, 1, 1.4 of it is 1.1 x 5.17 = 5.68, told as 6
    assert now.reasons[0] == "the machines are busy with 1 order ahead for about 6\u00a0days"


@pytest.mark.parametrize(
    ("why", "says"),
    [
        ("unreleased", "Nothing is promised on an order that is not released as it stands"),
        ("no hours", "Nobody has said yet how many hours it needs"),
        ("no loft", "Nobody has said yet what the loft does in a day"),
    ],
)
def test_nothing_is_promised_while_something_is_not_known(book: Engine, why: str, says: str) -> None:
    key = loft.ready(book)
    if why != "unreleased":
        released(book, key)
    if why != "no hours":
        needs(book, key)
    if why != "no loft":
        promised.set_loft(book, act(LEE), a_day())
    found = place(book, key)
    assert (found.lacks, found.figure) == (says, None)
    with pytest.raises(Refused, match=says):
        told(book, key)


def test_a_change_after_the_release_ends_the_promise(book: Engine, order: int) -> None:
    needs(book, order)
    piece = loft.read(book, order).pieces[0]
    loft.sewn_again(book, piece.key, piece.row.cloth_id or 0)
    assert place(book, order).lacks.startswith("Nothing is promised")


def test_stages_that_are_done_bring_the_day_nearer(book: Engine, order: int) -> None:
    needs(book, order)
    days = [reckoned(place(book, order)).promised]
    for several in ((Stage.MEASURE, Stage.AGREE, Stage.CUT), (Stage.WINDOWS,), (Stage.SEW,)):
        done(book, order, *several)
        days.append(reckoned(place(book, order)).promised)
    assert days == sorted(days, reverse=True)
    assert len(set(days)) == len(days)


def test_hours_counted_at_a_stage_are_taken_from_those_left(book: Engine, order: int) -> None:
    needs(book, order)
    assert place(book, order).queued.work.machine == 12
    done(book, order, *ORDER[:4])  # 1.5 h at the table, 1.5 h on windows
    assert (place(book, order).queued.work.table, place(book, order).queued.work.machine) == (
        Decimal(0),
        Decimal("10.5"),
    )


def test_more_hours_than_said_leave_none_below_nothing(book: Engine, order: int) -> None:
    needs(book, order, HoursSaid("1", "1", "0", "0", "0"))
    done(book, order, *ORDER[:4])
    assert place(book, order).queued.work.machine == 0


def test_days_for_the_cloth_run_off_with_the_calendar(book: Engine, order: int) -> None:
    needs(book, order, HoursSaid("4", "12", "5", "10", "21"))
    first = reckoned(place(book, order))
    assert first.reasons[0].startswith("the cloth takes about 12")  # (5 + 10 + 21) / 3
    # one week later five of its days have gone by: the same day stands, not a week later
    later = reckoned(place(book, order, TODAY + timedelta(days=7)))
    assert abs((later.promised - first.promised).days) <= 2  # 0.9 to 1.4 of the rest, drawn anew
    assert later.start == TODAY + timedelta(days=7)


def test_cloth_that_is_cut_is_waited_for_no_longer(book: Engine, order: int) -> None:
    needs(book, order, HoursSaid("4", "12", "5", "10", "21"))
    done(book, order, Stage.MEASURE, Stage.AGREE, Stage.CUT)
    assert "cloth takes" not in reckoned(place(book, order)).reasons[0]


def test_days_off_and_busy_months_are_reckoned_and_said(book: Engine, order: int) -> None:
    needs(book, order, HoursSaid("4", "60", "0", "0", "0"))
    usual = reckoned(place(book, order))
    said = LoftSaid("4", "6", [0, 1, 2, 3, 4], ["2026-05-06"], [5], "50")
    promised.set_loft(book, act(LEE, seen=1), said)
    slow = reckoned(place(book, order))
    assert slow.promised > usual.promised
    assert any(reason.startswith("busy months leave 50") for reason in slow.reasons)
    assert any("6 May 2026" in reason for reason in slow.reasons)


# The queue


def test_the_older_order_goes_before_the_younger(book: Engine, order: int) -> None:
    needs(book, order)
    second = another(book)
    needs(book, second)
    assert numbers(book) == ["K-0001", "K-0002"]
    assert reckoned(place(book, second)).promised > reckoned(place(book, order)).promised


def test_a_day_that_was_told_goes_before_age(book: Engine, order: int) -> None:
    needs(book, order)
    second = another(book)
    needs(book, second)
    told(book, second)
    assert numbers(book) == ["K-0002", "K-0001"]


def test_what_goes_first_moves_the_others_and_says_whom(book: Engine, order: int) -> None:
    needs(book, order)
    second = another(book)
    needs(book, second)
    before = reckoned(place(book, order)).promised
    assert place(book, second).before == ("K-0001",)
    needs(book, second, HoursSaid("4", "12", "0", "0", "0", first=True, why="leaves on the 12th"))
    assert numbers(book) == ["K-0002", "K-0001"]
    assert reckoned(place(book, order)).promised > before
    assert place(book, second).before == ()


def test_an_order_that_may_not_be_cut_and_was_not_promised_keeps_nobody_waiting(
    book: Engine, order: int
) -> None:
    needs(book, order)
    second = another(book)
    needs(book, second)
    waiting = reckoned(place(book, second)).promised
    piece = loft.read(book, order).pieces[0]
    loft.sewn_again(book, piece.key, piece.row.cloth_id or 0)
    assert reckoned(place(book, second)).promised < waiting


def test_what_is_packed_or_called_off_has_left_the_queue(book: Engine, order: int) -> None:
    needs(book, order)
    second = another(book)
    steps.call_off(book, act(seen=0), second, "sold")
    for stage in ORDER:
        with reading(book) as session:
            turns = making.making_of(session, order).turns
        person = LEE if stage is Stage.INSPECT else TONI
        if stage is Stage.INSPECT:
            loft.inspect(book, order, LEE)
        making.keep_stage(book, act(person, seen=turns), order, StageSaid(stage, "1", "looked at"))
    assert numbers(book) == []
    assert place(book, order).lacks == "It is packed"
    assert place(book, second).lacks == "It was called off"
    with pytest.raises(Refused, match="called off"):
        needs(book, second)
    with pytest.raises(NoResultFound):
        place(book, 99)


# What the owner is told


def test_a_day_told_is_kept_with_its_reasons(book: Engine, order: int) -> None:
    needs(book, order)
    now = reckoned(place(book, order))
    told(book, order, how="at the counter")
    (kept,) = place(book, order).queued.told
    assert (kept.promised, kept.likely, kept.how) == (date(2026, 6, 5), now.likely, "at the counter")
    assert (kept.reasons, kept.at) == (now.reasons, NOON)
    with reading(book) as session:
        found = promised.told_of(session, order)
    assert found == kept


def test_the_day_told_is_held_against_what_is_reckoned_now(book: Engine, order: int) -> None:
    needs(book, order)
    assert place(book, order).kept is None
    told(book, order)
    found = place(book, order).kept
    assert found and found.grade is Grade.SOUND
    needs(book, order, HoursSaid("4", "200", "0", "0", "0"))
    found = place(book, order).kept
    assert found and found.grade is Grade.NEEDS
    assert "Tell the owner a new day" in found.says


def test_a_sooner_day_is_asked_about_and_kept_when_confirmed(book: Engine, order: int) -> None:
    needs(book, order)
    with pytest.raises(Refused) as refused:
        told(book, order, "2026-05-08")
    (problem,) = refused.value.problems
    assert (problem.field, problem.ask, problem.accepts) == ("promised", True, "12 May 2026 or later")
    told(book, order, "2026-05-08", **{"confirm-promised": "2026-05-08"})
    (kept,) = place(book, order).queued.told
    assert (kept.likely, kept.promised) == (date(2026, 5, 8), date(2026, 5, 8))


def test_more_than_sixty_days_are_asked_about() -> None:
    # usually kept within sixty days: common practice; 3 July 2026 is the sixtieth after 4 May
    now = Promise(TODAY, date(2026, 5, 11), date(2026, 5, 12), ())
    assert read_told(Texts({"promised": "2026-07-03", "how": "a note"}), now).promised == date(2026, 7, 3)
    with pytest.raises(Refused, match="more than sixty days"):
        read_told(Texts({"promised": "2026-07-04", "how": "a note"}), now)


@pytest.mark.parametrize(
    ("typed", "field", "says"),
    [
        ({"promised": "2026-05-03", "how": "x"}, "promised", "3 May 2026 has gone by"),
        ({"promised": "soon", "how": "x"}, "promised", "soon is not a date"),
        ({"promised": "", "how": "x"}, "promised", "The day is missing"),
        ({"promised": "2026-05-13", "how": ""}, "how", "Say how the owner was told"),
    ],
)
def test_no_other_day_is_told(typed: dict[str, str], field: str, says: str) -> None:
    now = Promise(TODAY, date(2026, 5, 11), date(2026, 5, 12), ())
    with pytest.raises(Refused) as refused:
        read_told(Texts(typed), now)
    assert [(it.field, it.says) for it in refused.value.problems] == [(field, says)]


# Forms


@pytest.mark.parametrize(
    ("name", "text", "says"),
    [
        ("table_hours", "0", "0 cannot be"),
        ("machine_hours", "", "The hours are missing"),
        ("machine_hours", "six", "not a number"),
        ("busy_percent", "101", "101 cannot be"),
        ("off", "25.12.2026", "25.12.2026 is not a date"),
        ("off", "2026-02-30", "2026-02-30 is not a date"),
    ],
)
def test_a_loft_needs_a_day_that_can_be(name: str, text: str, says: str) -> None:
    with pytest.raises(Refused) as refused:
        a_day(**{name: text})
    assert [(it.field, says in it.says) for it in refused.value.problems] == [(name, True)]


def test_a_loft_works_on_at_least_one_day() -> None:
    with pytest.raises(Refused, match="No day of the week"):
        read_loft(Sent(list(DAY.items())))


def test_too_many_days_off_are_refused() -> None:
    first = date(2026, 1, 1)
    many = "\n".join((first + timedelta(days=day)).isoformat() for day in range(201))
    with pytest.raises(Refused, match="too many"):
        a_day(off=many)


def test_unusual_hours_are_asked_once() -> None:
    with pytest.raises(Refused) as refused:
        a_day(table_hours="100")
    assert refused.value.problems[0].ask
    assert a_day(table_hours="100", **{"confirm-table_hours": "100"}).table_hours == "100"


def test_days_off_are_kept_once_and_in_order() -> None:
    assert a_day(off="2026-12-25, 2026-07-03\n2026-12-25").off == ["2026-07-03", "2026-12-25"]


HOURS = {
    "table_hours": "4",
    "machine_hours": "12",
    "cloth_shortest": "5",
    "cloth_likely": "10",
    "cloth_longest": "21",
}


@pytest.mark.parametrize(
    ("typed", "field"),
    [
        ({"table_hours": "-1"}, "table_hours"),
        ({"machine_hours": ""}, "machine_hours"),
        ({"cloth_longest": "300"}, "cloth_longest"),
        ({"cloth_likely": "4"}, "cloth_likely"),  # below the shortest
        ({"cloth_longest": "9"}, "cloth_likely"),
        ({"first": "yes"}, "why"),
        ({"machine_hours": "100"}, "machine_hours"),  # unusual: asked
    ],
)
def test_hours_and_days_that_cannot_be_are_named(typed: dict[str, str], field: str) -> None:
    with pytest.raises(Refused) as refused:
        read_hours(Texts({**HOURS, **typed}))
    assert [it.field for it in refused.value.problems] == [field]


def test_going_first_is_asked_about_with_whom_it_moves() -> None:
    typed = {**HOURS, "first": "yes", "why": "leaves on the 12th"}
    with pytest.raises(Refused, match="moves back K-0001, K-0002"):
        read_hours(Texts(typed), ("K-0001", "K-0002"))
    assert read_hours(Texts({**typed, "confirm-first": "yes"}), ("K-0001",)).first
    assert read_hours(Texts(typed)).why == "leaves on the 12th"


@given(st.lists(st.integers(0, 20), min_size=3, max_size=3))
def test_cloth_days_are_kept_only_where_they_rise(days: list[int]) -> None:
    typed = Texts({**HOURS, **dict(zip(promised.CLOTH_DAYS, map(str, days), strict=True))})
    if days == sorted(days):
        assert read_hours(typed).cloth_likely == f"{days[1]}"
    else:
        with pytest.raises(Refused, match="do not rise"):
            read_hours(typed)


# The book


def test_the_same_form_twice_acts_once(book: Engine, order: int) -> None:
    again = act(seen=0)
    assert promised.set_hours(book, again, order, NEEDS) == promised.set_hours(book, again, order, NEEDS)
    once = act(LEE, seen=1)
    assert promised.set_loft(book, once, a_day()) == promised.set_loft(book, once, a_day())
    typed = Texts({"promised": "2026-06-05", "how": "by phone"})
    same = act(seen=0)
    assert promised.tell(book, same, order, typed, TODAY) == promised.tell(book, same, order, typed, TODAY)
    with reading(book) as session:
        kinds = (CanvasHours, LoftDays, CanvasTold)
        assert [len(session.exec(select(kind)).all()) for kind in kinds] == [1, 2, 1]


def test_two_people_do_not_say_it_over_each_other(book: Engine, order: int) -> None:
    needs(book, order)
    told(book, order)
    with pytest.raises(Stale):
        promised.set_hours(book, act(seen=0), order, NEEDS)
    with pytest.raises(Stale):
        promised.set_loft(book, act(LEE, seen=0), a_day())
    with pytest.raises(Stale):
        promised.tell(book, act(seen=0), order, Texts({"promised": "2026-06-05", "how": "x"}), TODAY)


@pytest.mark.parametrize("kind", [LoftDays, CanvasHours, CanvasTold])
def test_what_was_said_and_told_stays_as_it_was(
    book: Engine, order: int, kind: type[LoftDays | CanvasHours | CanvasTold]
) -> None:
    needs(book, order)
    told(book, order)
    with pytest.raises(IntegrityError, match="append"), writing(book) as session:
        row = session.exec(select(kind)).first()
        assert row is not None
        session.delete(row)
        session.flush()


# What the owner declined


def test_nothing_is_promised_on_what_the_owner_declined_and_nobody_waits_for_it(
    book: Engine, order: int
) -> None:
    needs(book, order, HoursSaid("40", "60", "0", "0", "0"))
    told(book, order, "2026-06-30")
    second = another(book)
    needs(book, second)
    behind = reckoned(place(book, second)).promised
    loft.answered(book, order, Said.NO)
    found = place(book, order)
    assert found.lacks == "The owner declined it, so nothing is promised"
    assert (found.figure, found.doubts, found.to_tell) == (None, (), False)
    alone = place(book, second)
    assert reckoned(alone).promised < behind
    assert reckoned(alone).reasons == ("nothing is ahead in the queue: its own work decides",)
