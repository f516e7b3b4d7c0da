"""What a form says is what the book keeps, and what the book keeps fills the form again, unchanged."""

from collections.abc import Mapping
from dataclasses import asdict, replace
from datetime import date, timedelta

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine

from app.ground.book import reading
from app.intake import facts, fields, rules, steps
from app.intake.arrival import Arrival, Ball, Brakes, Depth, Kind, OwnerSaid, Preferred, UnitSaid
from app.intake.tables import WorkOrder
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.conftest import act
from tests.intake.arrivals import FORM, TODAY, ZONE

WORDS = st.text(st.characters(exclude_categories=("C", "Z")), min_size=1, max_size=12)
PLATES = st.from_regex(r"[A-Z0-9]{1,4}[ -]?[A-Z0-9]{0,4}", fullmatch=True)
BOOK = settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])

OWNERS = st.fixed_dictionaries(
    {
        "name": WORDS,
        "phone": st.from_regex(r"\(?[0-9]{3}\)? 555-01[0-9]{2}", fullmatch=True),
        "phone_2": st.sampled_from(["", "555 555 0177", "+49 30 901820"]),
        "email": st.sampled_from(["", "ann@achterberg.example"]),
        "address": st.sampled_from(["", "8 Slip Road\nHarrow Bend"]),
        "preferred": st.sampled_from([Preferred.PHONE, Preferred.TEXT]),
    }
)
UNITS = st.fixed_dictionaries(
    {
        "kind": st.sampled_from(list(Kind)),
        "vin": st.just(""),
        "vin_kind": st.sampled_from(["standard", "none"]),
        "plate": st.one_of(st.just(""), PLATES),
        "maker": st.one_of(st.just(""), WORDS),
        "model": st.one_of(st.just(""), WORDS),
        "year": st.one_of(st.just(""), st.integers(1960, 2027).map(str)),
        "length_ft": st.sampled_from(["", "17", "21 1/2", "9.5"]),
        "width_in": st.sampled_from(["", "84", "96"]),
        "axles": st.just("2"),
        "wheels_per_end": st.sampled_from(["1", "2"]),
        "spare": st.sampled_from(["yes", ""]),
        "gvwr": st.sampled_from(["", "6000", "6500,5"]),
        "gvwr-unit": st.just("lb"),
        "gawr-1": st.just("3500"),
        "gawr-2": st.just("3500"),
        "tire_size": st.sampled_from(["", "ST205/75R14", "st175/80r13"]),
        "tire_pressure": st.sampled_from(["", "350", "450"]),
        "tire_pressure-unit": st.just("kPa"),
        "stud_thread": st.sampled_from(["", "1/2-20", "m12 x 1.5"]),
        "stud_count": st.sampled_from(["", "5", "6"]),
        "torque_low": st.sampled_from(["", "120"]),
        "torque_high": st.sampled_from(["", "130", "160"]),
        "torque-unit": st.just("N_m"),
        "torque_source": st.just("wheel placard"),
        "brakes": st.sampled_from(list(Brakes)),
        "brakes_required": st.sampled_from(["", "yes", "no"]),
        "ball_size": st.sampled_from(["", *Ball]),
        "cylinders": st.sampled_from(["", "1", "2"]),
        "battery": st.sampled_from(["", "12 V, group 24"]),
    }
)
STAYS = st.fixed_dictionaries(
    {
        "concerns": st.lists(WORDS, max_size=3).map("\n".join),
        "keys": st.sampled_from(["", "1", "20"]),
        "came_with_spare": st.sampled_from(["yes", ""]),
        "came_with_cylinders": st.sampled_from(["", "2"]),
        "came_with": st.sampled_from(["", "title\nhitch head"]),
        "condition": st.one_of(st.just(""), WORDS),
        "stands": st.one_of(st.just(""), WORDS),
        "promised_day": st.one_of(
            st.just(""), st.dates(TODAY, TODAY + timedelta(days=180)).map(date.isoformat)
        ),
        "promised_hour": st.sampled_from(["8:00", "16:00", "23:59"]),
        "depth": st.sampled_from(list(Depth)),
    }
)


def kept(book: Engine, arrival: Arrival) -> dict[str, str]:
    """The texts by form field of what the book holds after an arrival."""
    order_id = steps.take_in(book, act(), arrival)
    with reading(book) as session:
        owner, unit = facts.owner_of(session, order_id), facts.unit_of(session, order_id)
        stay = session.get_one(WorkOrder, order_id)
        tow = facts.tow_vehicle_of(session, order_id)
        return {
            **fields.owner_texts(owner),
            **fields.unit_texts(unit),
            **fields.tow_texts(tow),
            **fields.stay_texts(stay, ZONE),
        }


def said(*parts: Mapping[str, str]) -> Arrival:
    """What a form of several parts says, everything unlikely in it confirmed."""
    sent = {name: text for part in parts for name, text in part.items()}
    confirmed = {f"confirm-{name}": text for name, text in sent.items()}
    return rules.read_arrival(Texts(sent | confirmed), TODAY, ZONE)


@BOOK
@given(OWNERS, UNITS, STAYS)
def test_the_form_filled_from_the_book_says_the_same_as_the_form_that_was_sent(
    book: Engine, owner: dict[str, str], unit: dict[str, str], stay: dict[str, str]
) -> None:
    first = said(owner, unit, stay)
    again = said(kept(book, first), {"concerns": stay["concerns"]})
    assert again == first


@BOOK
@given(OWNERS, UNITS, STAYS)
def test_the_rows_hold_what_the_form_said_column_by_column(
    book: Engine, owner: dict[str, str], unit: dict[str, str], stay: dict[str, str]
) -> None:
    arrival = said(owner, unit, stay)
    order_id = steps.take_in(book, act(), arrival)
    assert arrival.owner is not None and arrival.unit is not None
    with reading(book) as session:
        rows = (
            (facts.owner_of(session, order_id), asdict(arrival.owner)),
            (facts.unit_of(session, order_id), asdict(arrival.unit)),
            (session.get_one(WorkOrder, order_id), asdict(replace(arrival.stay, concerns=()))),
        )
        for row, columns in rows:
            for name, value in columns.items():
                if name != "concerns":
                    stands = getattr(row, name)
                    assert stands == (list(value) if isinstance(value, tuple) else value), name
        assert facts.concerns_of(session, order_id) == list(arrival.stay.concerns)


@given(st.text(max_size=80), st.sampled_from(sorted(FORM)))
def test_no_text_in_any_field_breaks_the_form(text: str, field: str) -> None:
    try:
        rules.read_arrival(Texts({**FORM, field: text}), TODAY, ZONE)
    except Refused as refused:
        assert all(it.says and it.field for it in refused.problems)


@given(st.dictionaries(st.sampled_from(sorted(FORM)), st.text(max_size=30), max_size=8))
def test_what_is_asked_about_is_kept_once_it_is_confirmed(changed: dict[str, str]) -> None:
    form = {**FORM, **changed}
    try:
        rules.read_arrival(Texts(form), TODAY, ZONE)
    except Refused as refused:
        asked = {it.field for it in refused.problems if it.ask}
        confirmed = form | {f"confirm-{name}": form.get(name, "").strip() for name in asked}
        try:
            rules.read_arrival(Texts(confirmed), TODAY, ZONE)
        except Refused as still:
            assert not any(it.ask for it in still.problems)


@pytest.mark.parametrize("zone", ["America/New_York", "America/Phoenix", "Europe/Berlin", "Asia/Kolkata"])
@pytest.mark.parametrize("day", ["2026-10-25", "2026-10-31", "2026-11-01"])
@pytest.mark.parametrize("hour", ["00:00", "08:30", "23:59"])
def test_a_promise_is_shown_as_it_was_made_on_both_sides_of_summer_time(
    book: Engine, zone: str, day: str, hour: str
) -> None:
    # clocks go back on 1 November 2026 in the United States (15 USC 260a), on 25 October in the Union
    stay = rules.read_stay(Texts({"promised_day": day, "promised_hour": hour}), date(2026, 10, 1), zone)
    order_id = steps.take_in(book, act(), Arrival(stay, OwnerSaid("Ida Holm"), UnitSaid(Kind.CARGO)))
    with reading(book) as session:
        texts = fields.stay_texts(session.get_one(WorkOrder, order_id), zone)
    assert (texts["promised_day"], texts["promised_hour"]) == (day, hour)


@pytest.mark.parametrize(
    ("field", "typed", "stands"),
    [
        ("plate", " tr 40 17 ", "TR 40 17"),
        ("tire_size", "st205/75r14", "ST205/75R14"),
        ("stud_thread", "m12 X 1.5", "M12x1.5"),
        ("vin", "1m8gdm9a xkp 042788", "1M8GDM9AXKP042788"),
        ("length_ft", "21½", "21½"),  # quantities stand as they were typed
        ("gvwr", "6 000", "6 000"),
        ("tow_plate", "hrb 2210", "HRB 2210"),
        ("name", "  Rosalind  Achterberg ", "Rosalind  Achterberg"),
    ],
)
def test_numbers_are_kept_in_one_spelling_and_words_and_figures_as_typed(
    book: Engine, field: str, typed: str, stands: str
) -> None:
    changed = {**FORM, field: typed}
    texts = kept(book, rules.read_arrival(Texts(changed), TODAY, ZONE))
    assert texts[field] == stands
