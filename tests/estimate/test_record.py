"""What was agreed, to whom and when: one page, two papers, never changed; what was put off is initialled."""

from collections.abc import Callable
from io import BytesIO

import pytest
from httpx import Response
from pypdf import PdfReader
from sqlalchemy import Engine
from sqlalchemy.exc import IntegrityError

from app.estimate import facts, steps
from app.estimate.rules import ChangedWork, Group
from app.estimate.saying import How, Said, SaidAll, WorkSaid
from app.estimate.tables import Answer, Consent
from app.ground.book import reading, writing
from app.ground.words import local
from app.trade.problems import Refused
from tests.conftest import NOON, Browser, people_now
from tests.estimate.arrived import BREAKAWAY, ROOF, TREAD, ledger, priced, shown, work_named, writer
from tests.estimate.test_agreed import dearer, say, yes
from tests.estimate.test_screens import consent_form, seen

Signed = Callable[..., Browser]


def called(book: Engine) -> int:
    """An owner on the phone: yes to the breakaway, later to the tire with initials, no to the roof."""
    order_id = shown(book, (TREAD, BREAKAWAY, ROOF))
    tire, switch, roof = (
        work_named(book, order_id, it).id for it in ("Replace a tire", "Break", "Replace roof")
    )
    answers = (
        WorkSaid(switch, Said.YES),
        WorkSaid(tire, Said.LATER, "R.A."),
        WorkSaid(roof, Said.NO),
    )
    said = SaidAll(
        How.PHONE,
        "Rosalind Achterberg",
        answers,
        phone="(555) 555-0142",
        read_back="The switch for 225.50 before tax; the tire later",
        limit=30000,
    )
    steps.consent(book, writer(book, order_id), order_id, ledger(book, order_id).revision_id, said)
    return order_id


def agreement(book: Engine, order_id: int) -> facts.Agreement:
    with reading(book) as session:
        return facts.agreement(session, order_id, NOON.date())


def text_of(answer: Response) -> str:
    pages = PdfReader(BytesIO(answer.content)).pages
    return " ".join("".join(page.extract_text() for page in pages).split())


TOLD = (
    "Rosalind Achterberg",
    "By phone, (555) 555-0142, to revision 1; taken by Wren; at most 300.00 before tax",
    "The switch for 225.50 before tax; the tire later",
    "Replace a tire, axle 1 left",
    "R.A.",
)


def test_every_answer_is_told_with_amount_and_initials(book: Engine) -> None:
    [kept] = agreement(book, called(book)).consents
    assert [(it.answer, it.initials) for it in kept.answers] == [("yes", ""), ("later", "R.A."), ("no", "")]
    assert kept.agreed == 22550  # the breakaway alone


def test_what_stands_now_is_told_beside_it(book: Engine) -> None:
    order_id = called(book)
    made = agreement(book, order_id)
    assert [work.title for work in made.covered] == ["Breakaway switch, cable and battery"]
    assert [work.title for work in made.put_off] == ["Replace a tire, axle 1 left"]  # the roof may wait
    assert made.asked == ()
    dearer(book, order_id, made.covered[0].id, 9000)
    assert [work.title for work in agreement(book, order_id).asked] == ["Breakaway switch, cable and battery"]


def test_consents_stand_in_the_order_in_which_they_were_kept(book: Engine) -> None:
    order_id = called(book)
    tire = work_named(book, order_id, "Replace a tire").id
    say(book, order_id, WorkSaid(tire, Said.YES), limit=100_000)
    made = agreement(book, order_id)
    assert [it.how for it in made.consents] == ["phone", "tablet"]
    assert made.put_off == ()


@pytest.mark.parametrize("table", [Consent, Answer])
def test_what_was_said_is_never_changed(book: Engine, table: type[Consent] | type[Answer]) -> None:
    called(book)
    with pytest.raises(IntegrityError, match="append-only"), writing(book) as session:
        session.delete(session.get_one(table, 1))


def test_do_not_tow_work_moved_to_a_lighter_group_still_needs_initials(book: Engine) -> None:
    order_id = priced(book, (TREAD, ROOF))
    tire = work_named(book, order_id, "Replace a tire")
    steps.change_work(book, writer(book, order_id), order_id, tire.id, ChangedWork(tire.title, Group.WAIT))
    steps.freeze(book, writer(book, order_id), order_id)
    with pytest.raises(Refused, match="initials"):
        say(book, order_id, WorkSaid(tire.id, Said.NO))
    say(book, order_id, WorkSaid(tire.id, Said.NO, "R.A."))
    assert [work.title for work in agreement(book, order_id).put_off] == [tire.title]


# --- the page and the papers --------------------------------------------------------------------


def test_the_page_tells_it_and_a_technician_may_read_it(signed: Signed, book: Engine) -> None:
    order_id = called(book)
    for name in ("Wren", "Toni"):
        page = signed(name).get(f"/estimate/{order_id}/agreed").text
        for words in (*TOLD, "it keeps the unit from being towed"):
            assert words in page
    assert "Print the record" not in page
    assert f"/estimate/{order_id}/agreed" in signed("Wren").get(f"/estimate/{order_id}").text


def test_before_any_answer_the_page_says_so(signed: Signed, book: Engine) -> None:
    assert "has not been asked yet" in signed("Wren").get(f"/estimate/{priced(book)}/agreed").text


def test_the_record_of_consent_is_printed_once_for_one_key(signed: Signed, book: Engine) -> None:
    order_id, wren = called(book), signed("Wren")
    form = seen(book, order_id, submission="one")
    answer = wren.post(f"/estimate/{order_id}/agreed/consent_record", form)
    assert answer.status_code == 303
    text = text_of(wren.get(answer.headers["location"]))
    for words in (*TOLD, "Record of consent", "225.50 is covered by your yes, before tax."):
        assert words in text
    again = wren.post(f"/estimate/{order_id}/agreed/consent_record", form)
    assert again.headers["location"] == answer.headers["location"]


def test_what_was_put_off_is_printed_with_its_finding_for_signing(signed: Signed, book: Engine) -> None:
    order_id, wren = called(book), signed("Wren")
    [tire] = agreement(book, order_id).put_off
    cautioned = [f"{it.word} {it.hazard.rstrip('.')}. {it.result} {it.avoid}" for it in tire.cautions]
    assert cautioned
    answer = wren.post(f"/estimate/{order_id}/agreed/declined", seen(book, order_id))
    text = text_of(wren.get(answer.headers["location"]))
    for words in (
        "It must not leave under tow until this is done.",
        "Replace a tire, axle 1 left",
        "Do not tow",
        "1/32 in; 2/32 is the least",
        *cautioned,
        "your initials then: R.A.",
        "Owner: Rosalind Achterberg",
    ):
        assert words in text
    assert "Replace roof skin" not in text


@pytest.mark.parametrize("record", ["consent_record", "declined"])
def test_nothing_is_printed_where_nothing_was_said(signed: Signed, book: Engine, record: str) -> None:
    order_id = shown(book, (ROOF,))
    answer = signed("Wren").post(f"/estimate/{order_id}/agreed/{record}", seen(book, order_id))
    assert answer.status_code == 422
    assert "nothing to print" in answer.text


@pytest.mark.parametrize("path", ["99/agreed", "0/agreed", "9223372036854775808/agreed"])
def test_an_order_that_is_not_there_has_no_record(signed: Signed, path: str) -> None:
    assert signed("Wren").get(f"/estimate/{path}").status_code == 404


def test_a_record_of_another_kind_is_not_there(signed: Signed, book: Engine) -> None:
    order_id = called(book)
    answer = signed("Wren").post(f"/estimate/{order_id}/agreed/other", seen(book, order_id))
    assert answer.status_code in (404, 422)


# --- each way of answering, as its form sends it --------------------------------------------------


@pytest.mark.parametrize(
    ("how", "fields"),
    [
        ("paper", {}),
        ("phone", {"phone": "(555) 555-0142", "read_back": "The switch for 225.50"}),
        ("writing", {"phone": "rosalind@example.org"}),
    ],
)
def test_an_answer_that_was_not_given_here_is_kept_with_its_day_and_time(
    signed: Signed, book: Engine, how: str, fields: dict[str, str]
) -> None:
    at = people_now()
    order_id = priced(book, (BREAKAWAY,))
    steps.freeze(book, writer(book, order_id, at), order_id)
    here = local(at, "America/New_York")
    when = {"said_on": f"{here:%Y-%m-%d}", "said_time": f"{here:%H:%M}"}
    switch = work_named(book, order_id, "Breakaway").id
    form = consent_form(book, order_id, how=how, **{f"say-{switch}": "yes"}, **when, **fields)
    answer = signed("Wren").post(f"/estimate/{order_id}/consent", form)
    assert answer.status_code == 303
    [kept] = agreement(book, order_id).consents
    assert (kept.how, kept.who, kept.phone) == (how, "Rosalind Achterberg", fields.get("phone", ""))
    assert abs((kept.said_at - at).total_seconds()) < 61


def test_one_way_of_saying_yes_is_enough(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    yes(book, order_id, "Breakaway")
    assert agreement(book, order_id).consents[0].how == "tablet"
