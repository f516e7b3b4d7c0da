"""What an owner may say, and when it can stand."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.estimate.rules import Group, Offered
from app.estimate.saying import (
    LONGEST_SIGNATURE,
    Asked,
    How,
    Said,
    SaidAll,
    WorkSaid,
    agreed_amount,
    check_said,
    is_signature,
    read_said,
)
from app.trade.problems import Refused
from app.trade.typed import Texts

ZONE = "America/New_York"
SHOWN = datetime(2026, 5, 4, 14, 0, tzinfo=UTC)
NOW = SHOWN + timedelta(hours=2)  # noon in New York
TIRE = Offered(1, "One tire", Group.MUST, 19600)
ROOF = Offered(2, "Reseal the roof", Group.WAIT, 44400)
ASKED = Asked((TIRE, ROOF), SHOWN, date(2026, 6, 3), NOW, ZONE)
BOTH = (WorkSaid(1, Said.YES), WorkSaid(2, Said.LATER))
HERE = SaidAll(How.TABLET, "Rosalind Achterberg", BOTH)
CALL = replace(
    HERE,
    how=How.PHONE,
    phone="(555) 555-0142",
    said_at=SHOWN + timedelta(hours=1),
    read_back="Line 1 for 196.00 before tax, line 2 later",
)
FORM = {"say-1": "yes", "say-2": "later", "how": "tablet", "who": "Rosalind Achterberg"}
PHONED = {
    "how": "phone",
    "phone": "(555) 555-0142",
    "said_on": "2026-05-04",
    "said_time": "11:05",
    "read_back": "both",
}


def wrong(said: SaidAll, asked: Asked = ASKED) -> dict[str, str]:
    with pytest.raises(Refused) as refused:
        check_said(said, asked)
    return {problem.field: problem.says for problem in refused.value.problems}


@pytest.mark.parametrize("said", [HERE, CALL, replace(HERE, answers=BOTH[:1]), replace(HERE, limit=19600)])
def test_these_can_stand(said: SaidAll) -> None:
    check_said(said, ASKED)


def test_at_least_one_line_has_an_answer() -> None:
    assert wrong(replace(HERE, answers=()))["say"] == "No line has an answer yet"


@pytest.mark.parametrize("answer", [Said.NO, Said.LATER])
def test_a_must_that_is_put_off_needs_the_owners_initials(answer: Said) -> None:
    said = replace(HERE, answers=(WorkSaid(1, answer),))
    assert "comes before towing" in wrong(said)["initials-1"]
    check_said(replace(HERE, answers=(WorkSaid(1, answer, "R.A."),)), ASKED)


def test_what_may_wait_is_declined_without_initials() -> None:
    check_said(replace(HERE, answers=(WorkSaid(2, Said.NO),)), ASKED)


def test_lines_of_another_revision_take_no_answer() -> None:
    assert "not on this revision" in wrong(replace(HERE, answers=(WorkSaid(9, Said.YES),)))["say"]


def test_one_line_takes_one_answer() -> None:
    twice = (WorkSaid(2, Said.YES), WorkSaid(2, Said.NO))
    assert wrong(replace(HERE, answers=twice))["say"] == "One line has two answers"


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"phone": ""}, "phone", "The number is missing"),
        ({"phone": "at home"}, "phone", "The number is missing"),
        ({"read_back": ""}, "read_back", "What was read back is missing"),
        ({"who": ""}, "who", "The name of the one who answered is missing"),
        ({"said_at": NOW + timedelta(hours=1)}, "said_on", "This time has not come yet"),
        ({"said_at": SHOWN - timedelta(days=1)}, "said_on", "This is before the estimate was shown"),
        ({"signature": "M1 1L2 2"}, "signature", "A signature is drawn on the tablet only"),
        ({"limit": 19599}, "limit", "The limit is under the 196.00 agreed to"),
    ],
)
def test_a_phone_call_is_kept_with_all_that_traces_it(
    change: dict[str, object], field: str, says: str
) -> None:
    # number, time, name and words of a call are noted: 16 CCR 3353 (oral consent)
    assert wrong(replace(CALL, **change)) == {field: says}  # type: ignore[arg-type]  # fields by name


def test_a_writing_names_where_it_came_from() -> None:
    assert "phone" in wrong(replace(HERE, how=How.WRITING, said_at=NOW))


@pytest.mark.parametrize(
    ("at", "stands"),
    [
        (datetime(2026, 6, 4, 3, 59, tzinfo=UTC), True),  # 3 June, 23:59 in New York
        (datetime(2026, 6, 4, 4, 0, tzinfo=UTC), False),  # midnight: 4 June
    ],
)
def test_prices_hold_to_the_end_of_their_last_day(at: datetime, stands: bool) -> None:
    asked = replace(ASKED, now=at)
    if stands:
        check_said(HERE, asked)
    else:
        assert wrong(HERE, asked) == {"": "The prices held until 2026-06-03"}


def test_only_the_lines_with_yes_are_agreed_to() -> None:
    assert agreed_amount(HERE, ASKED) == 19600


# --- the drawn signature ----------------------------------------------------------------------


@pytest.mark.parametrize("path", ["M24 96L40 30", "M24.5 96L40,30 L 60 90M1 1L2 2", "M-3 4L5 6", "M1 1"])
def test_strokes_of_numbers_are_a_signature(path: str) -> None:
    assert is_signature(path)


@pytest.mark.parametrize(
    "path",
    [
        "",
        "L1 1",  # starts nowhere
        "M1 1C2 2 3 3 4 4",  # curves are not what the tablet draws
        "M1 1z",
        "M1",
        "M1e9 1",
        "M12345 1",
        'M1 1"/><script>alert(1)</script>',
        "M1 1\nL2 2",
        "M1 1L2 2 url(#x)",
        "M１ 1",  # a digit of another script
        "M1 1" + "L2 2" * 4000,  # more points than a hand draws
        "M1.11 1.11" + "L1111.11 1111.11" * 1300,  # longer than is kept
    ],
)
def test_nothing_else_is(path: str) -> None:
    assert not is_signature(path)


@given(st.text(max_size=60))
def test_a_text_that_is_a_signature_holds_strokes_and_numbers_only(text: str) -> None:
    path = f"M1 1{text}"
    assert not is_signature(path) or set(path) <= set("ML0123456789.,- ")


def test_the_longest_signature_fits_a_forms_part() -> None:
    assert LONGEST_SIGNATURE < 65_536  # a form field of more is refused at the gate


def test_a_signature_that_cannot_be_read_is_refused() -> None:
    assert "cannot be read" in wrong(replace(HERE, signature="<svg>"))["signature"]


# --- the form ---------------------------------------------------------------------------------


def read(**change: str) -> SaidAll:
    return read_said(Texts({**FORM, **change}), [TIRE, ROOF], ZONE)


def refused(**change: str) -> dict[str, str]:
    with pytest.raises(Refused) as found:
        read(**change)
    return {problem.field: problem.says for problem in found.value.problems}


def test_a_form_gives_an_answer_to_each_line_that_has_one() -> None:
    assert read().answers == BOTH
    assert read(**{"say-2": ""}).answers == BOTH[:1]


def test_an_answer_on_the_tablet_is_now() -> None:
    assert read(said_on="2020-01-01").said_at is None


def test_the_owners_number_that_the_form_begins_with_is_kept_only_of_a_call_or_a_writing() -> None:
    assert read(phone="(555) 555-0142").phone == ""
    assert read(**PHONED).phone == "(555) 555-0142"


def test_a_call_is_read_in_the_shops_time() -> None:
    # 11:05 in New York in May is 15:05 UTC
    assert read(**PHONED).said_at == datetime(2026, 5, 4, 15, 5, tzinfo=UTC)


def test_a_signature_counts_only_on_the_tablet() -> None:
    assert read(signature="M1 1L2 2").signature == "M1 1L2 2"
    assert read(signature="M1 1L2 2", **PHONED).signature == ""


def test_the_limit_is_read_as_money() -> None:
    assert read(limit="1,400.00").limit == 140000
    assert read(limit="").limit is None
    assert refused(limit="lots") == {"limit": "This is not an amount of money"}


@pytest.mark.parametrize(
    ("change", "field", "says"),
    [
        ({"how": ""}, "how", "How the owner answered is missing"),
        ({"how": "pigeon"}, "how", "pigeon is not one of the choices"),
        ({"who": ""}, "who", "The name of the one who answered is missing"),
        ({"say-1": "perhaps"}, "say-1", "perhaps is not one of the choices"),
        ({"initials-1": "x" * 13}, "initials-1", "This is 13 characters long"),
        (PHONED | {"said_on": ""}, "said_on", "The day of the answer is missing"),
        (PHONED | {"said_on": "2026-02-30"}, "said_on", "2026-02-30 is not a date"),
        (PHONED | {"said_time": ""}, "said_time", "The time of the answer is missing"),
        (PHONED | {"said_time": "24:00"}, "said_time", "24:00 is not a time of day"),
        (PHONED | {"said_time": "noon"}, "said_time", "noon is not a time of day"),
    ],
)
def test_what_cannot_be_read_names_its_field(change: dict[str, str], field: str, says: str) -> None:
    assert refused(**change)[field] == says


def test_all_that_is_wrong_is_said_at_once() -> None:
    assert set(refused(**{"who": "", "say-1": "no"})) == {"who", "initials-1"}


def test_the_ways_to_answer_are_said_in_words() -> None:
    assert [how.word for how in How] == ["here, on the tablet", "on paper, signed", "by phone", "in writing"]
