"""Work uncovers more: a new revision in plain words, asked about beyond the margin; limit and dates kept."""

from collections.abc import Callable
from datetime import timedelta
from io import BytesIO

import pytest
from pypdf import PdfReader
from sqlalchemy import Engine

from app.estimate import steps
from app.estimate.rules import Group, NewLine, NewWork
from app.estimate.saying import How, Said, SaidAll, WorkSaid
from app.trade.problems import Refused
from app.trade.totals import LineKind
from tests.conftest import NOON, Browser, people_now
from tests.estimate.arrived import BREAKAWAY, ROOF, arrive, ledger, priced, shown, work_named, writer
from tests.estimate.test_agreed import dearer, say, yes
from tests.estimate.test_screens import consent_form, seen
from tests.estimate.test_steps import set_shop

Signed = Callable[..., Browser]


def supplement(book: Engine, *, limit: int | None = None) -> int:
    """A work order whose owner agreed to the breakaway; then a rotten plate is found and typed."""
    order_id = shown(book, (BREAKAWAY, ROOF))
    yes(book, order_id, "Breakaway", limit=limit)
    plate = NewWork("Weld a new plate", Group.MUST, hours="2")
    steps.add_work(book, writer(book, order_id), order_id, plate)
    return order_id


def test_before_an_answer_and_before_a_change_nothing_has_changed_since(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    assert ledger(book, order_id).since is None
    yes(book, order_id, "Breakaway")
    assert ledger(book, order_id).since is None


def test_what_was_found_since_is_told_and_summed(book: Engine) -> None:
    order_id = supplement(book)
    since = ledger(book, order_id).since
    assert since is not None
    # 2 h at 125.00; the cap of supplies, 45.00, was used up by the roof
    assert since.changes == ("Added: Weld a new plate, 250.00.",)
    assert (since.n, since.said_at) == (1, NOON)
    assert since.fresh == {work_named(book, order_id, "Weld").id}


def test_what_has_to_be_asked_is_new_work_and_what_rose_beyond_the_margin(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    work = yes(book, order_id, "Breakaway")
    dearer(book, order_id, work, 2000)  # 10 % of 225.50 is 22.55
    first = ledger(book, order_id).since
    dearer(book, order_id, work, 1000)
    second = ledger(book, order_id).since
    assert first is not None
    assert second is not None
    assert (first.more, second.more) == (0, 3000)
    assert second.changes == ("Breakaway switch, cable and battery: now 255.50, was 225.50.",)


def test_what_was_put_off_is_not_asked_again(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY, ROOF))
    roof = work_named(book, order_id, "Replace roof")
    say(book, order_id, WorkSaid(roof.id, Said.LATER))
    steps.remove_work(book, writer(book, order_id), order_id, work_named(book, order_id, "Breakaway").id)
    since = ledger(book, order_id).since
    assert since is not None
    assert since.more == 0


def test_the_answer_to_the_supplement_leaves_the_first_answers_standing(book: Engine) -> None:
    order_id = supplement(book)
    steps.freeze(book, writer(book, order_id), order_id, "Rot behind the plate")
    yes(book, order_id, "Weld")
    found = ledger(book, order_id)
    assert found.since is None
    assert found.agreed == 22550 + 25000
    assert all(work.word and work.word.holds for work in found.works if not work.title.startswith("Replace"))


# --- the owner's limit ------------------------------------------------------------------------


def test_a_yes_that_passes_the_limit_named_before_is_refused_in_plain_words(book: Engine) -> None:
    order_id = supplement(book, limit=30000)
    steps.freeze(book, writer(book, order_id), order_id)
    with pytest.raises(Refused) as refused:
        yes(book, order_id, "Weld")
    [problem] = refused.value.problems
    assert (problem.field, problem.says) == (
        "limit",
        "You said at most 300.00, and with these lines it comes to 475.50",  # 225.50 and 250.00
    )
    assert problem.accepts == "a new limit of at least 475.50, or fewer lines with yes"


def test_a_new_limit_takes_the_place_of_the_old_one(book: Engine) -> None:
    order_id = supplement(book, limit=30000)
    steps.freeze(book, writer(book, order_id), order_id)
    assert yes(book, order_id, "Weld", limit=47550)


def test_a_new_limit_covers_what_was_agreed_before_as_well(book: Engine) -> None:
    order_id = supplement(book)
    steps.freeze(book, writer(book, order_id), order_id)
    with pytest.raises(Refused, match=r"under the 475\.50 agreed"):
        yes(book, order_id, "Weld", limit=47549)


def test_work_taken_back_makes_room_under_the_limit(book: Engine) -> None:
    order_id = supplement(book, limit=30000)
    steps.freeze(book, writer(book, order_id), order_id)
    breakaway, weld = work_named(book, order_id, "Breakaway"), work_named(book, order_id, "Weld")
    said = (WorkSaid(breakaway.id, Said.NO, "R.A."), WorkSaid(weld.id, Said.YES))
    assert say(book, order_id, *said)


# --- dates ------------------------------------------------------------------------------------


def test_prices_that_no_longer_hold_are_shown_anew_as_the_next_revision(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    last = NOON + timedelta(days=30)  # shop setting
    same = steps.freeze(book, writer(book, order_id, last), order_id)
    assert ledger(book, order_id).n == 1
    late = last + timedelta(days=1)
    assert ledger(book, order_id).over(late.date())
    again = steps.freeze(book, writer(book, order_id, late), order_id)
    found = ledger(book, order_id)
    assert (found.n, found.frozen, again != same) == (2, True, True)
    assert found.valid_until == (late + timedelta(days=30)).date()
    assert found.works[0].amount == 22550


def test_no_answer_is_taken_to_prices_that_no_longer_hold(book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    work = work_named(book, order_id, "Breakaway")
    said = SaidAll(How.TABLET, "Rosalind Achterberg", (WorkSaid(work.id, Said.YES),))
    late = writer(book, order_id, NOON + timedelta(days=31))
    with pytest.raises(Refused, match="The prices held until 2026-06-03"):
        steps.consent(book, late, order_id, ledger(book, order_id).revision_id, said)


# --- the deposit ------------------------------------------------------------------------------


def test_no_deposit_is_asked_where_the_shop_asks_none(book: Engine) -> None:
    found = ledger(book, shown(book, (BREAKAWAY,)))
    assert (found.deposit, found.deposit_all) == (0, 0)


def test_the_deposit_is_the_shops_share_of_what_was_agreed_with_tax(book: Engine) -> None:
    set_shop(book, deposit_percent="30")
    order_id = shown(book, (BREAKAWAY, ROOF))
    before = ledger(book, order_id)
    yes(book, order_id, "Breakaway")
    found = ledger(book, order_id)
    # 225.50 and 6 % on parts and supplies: (26.00 + 42.00 + 4.50) x 0.06 = 4.35; 30 % of 229.85 is 68.955
    assert (before.deposit, found.covered.gross, found.deposit) == (0, 22985, 6896)
    assert found.deposit_all == before.deposit_all > found.deposit


def test_the_deposit_of_a_frozen_revision_stays_as_it_was_asked(book: Engine) -> None:
    set_shop(book, deposit_percent="30")
    order_id = shown(book, (BREAKAWAY,))
    asked = ledger(book, order_id).deposit_all
    set_shop(book, deposit_percent="50")
    assert ledger(book, order_id).deposit_all == asked


# --- a part from its cost: see test_rules; screens and paper ------------------------------------


def test_the_ledger_says_what_changed_and_what_has_to_be_asked(signed: Signed, book: Engine) -> None:
    page = signed("Wren").get(f"/estimate/{supplement(book)}").text
    assert "Added: Weld a new plate, 250.00." in page
    assert "more has to be asked</b>" in page
    assert "Why it changed" in page


def test_the_owner_sees_what_is_new_and_that_the_rest_stands(signed: Signed, book: Engine) -> None:
    order_id, wren = supplement(book), signed("Wren")
    form = seen(book, order_id, note="Found once the hub was open")
    assert wren.post(f"/estimate/{order_id}/freeze", form).status_code == 303
    page = wren.get(f"/estimate/{order_id}/consent").text
    for words in (
        "Found once the hub was open",
        "New</b> since you answered",
        "Not answered yet</b>",  # the roof: shown before, and passed over
        "That stands",
        "225.50 so far",
    ):
        assert words in page


def test_a_work_that_rose_is_marked_to_be_asked_again(signed: Signed, book: Engine) -> None:
    order_id = shown(book, (BREAKAWAY,))
    dearer(book, order_id, yes(book, order_id, "Breakaway"), 5000)
    page = signed("Wren").get(f"/estimate/{order_id}").text
    assert "ask again" in page
    assert "50.00 more than agreed" in page


def test_a_note_too_long_is_refused_and_stays(signed: Signed, book: Engine) -> None:
    order_id, long = priced(book), "rot " * 100
    answer = signed("Wren").post(f"/estimate/{order_id}/freeze", seen(book, order_id, note=long))
    assert answer.status_code == 422
    assert long.strip() in answer.text
    assert "at most 300 characters" in answer.text
    assert not ledger(book, order_id).frozen


def test_a_note_for_an_old_page_stays(signed: Signed, book: Engine) -> None:
    order_id, wren = priced(book), signed("Wren")
    form = seen(book, order_id, note="Found once the hub was open")
    plate = NewWork("Weld a new plate", Group.MUST, hours="2")
    steps.add_work(book, writer(book, order_id), order_id, plate)
    answer = wren.post(f"/estimate/{order_id}/freeze", form)
    assert answer.status_code == 409
    assert "Found once the hub was open" in answer.text


def test_the_printed_supplement_says_the_same(signed: Signed, book: Engine) -> None:
    set_shop(book, deposit_percent="30")
    order_id, wren = supplement(book), signed("Wren")
    answer = wren.post(f"/estimate/{order_id}/print", seen(book, order_id, note="Rot behind the plate"))
    pdf = wren.get(answer.headers["location"])
    text = " ".join("".join(page.extract_text() for page in PdfReader(BytesIO(pdf.content)).pages).split())
    for words in (
        "Rot behind the plate",
        "What changed since you answered on 4 May 2026",
        "Added: Weld a new plate, 250.00.",
        "You agreed to 225.50 so far, before tax.",
        "New since you answered.",
        "What you have yet to answer comes to",
        "Price, $ Yes No Later",  # each head in one piece
        "Deposit that we ask for, 30 % of what you agree to",
    ):
        assert words in text


def test_prices_that_no_longer_hold_are_said_on_the_ledger_and_on_the_tablet(
    signed: Signed, book: Engine
) -> None:
    order_id = arrive(book, (BREAKAWAY,))
    long_ago = people_now() - timedelta(days=60)
    steps.price_findings(book, writer(book, order_id, long_ago), order_id)
    steps.freeze(book, writer(book, order_id, long_ago), order_id)
    wren = signed("Wren")
    assert "The prices held until" in wren.get(f"/estimate/{order_id}").text
    assert "The prices no longer hold" in wren.get(f"/estimate/{order_id}/consent").text
    assert wren.post(f"/estimate/{order_id}/freeze", seen(book, order_id)).status_code == 303
    assert "You agree to" in wren.get(f"/estimate/{order_id}/consent").text


def test_a_limit_named_before_is_said_beside_the_field(signed: Signed, book: Engine) -> None:
    order_id = supplement(book, limit=30000)
    steps.freeze(book, writer(book, order_id, people_now()), order_id)
    wren, weld = signed("Wren"), work_named(book, order_id, "Weld")
    answer = wren.post(
        f"/estimate/{order_id}/consent", consent_form(book, order_id, **{f"say-{weld.id}": "yes"})
    )
    assert answer.status_code == 422
    assert "You said at most 300.00" in answer.text


def test_the_margin_is_told_as_the_rule_so_that_it_is_right_for_every_answer(
    signed: Signed, book: Engine
) -> None:
    """Who says yes to one of two lines is asked at a tenth of that one, not at a tenth of both."""
    wren, order_id = signed("Wren"), priced(book, (BREAKAWAY, ROOF))
    assert "more than that by over 10 % or by over 50.00, we ask you first" in printed(wren, book, order_id)
    page = wren.get(f"/estimate/{order_id}/consent").text
    assert "more than you agree to by over 10 % or by over 50.00, we ask you again" in page


def printed(wren: Browser, book: Engine, order_id: int) -> str:
    """The words of the printed estimate."""
    answer = wren.post(f"/estimate/{order_id}/print", seen(book, order_id))
    pdf = PdfReader(BytesIO(wren.get(answer.headers["location"]).content))
    return " ".join("".join(page.extract_text() for page in pdf.pages).split())


def test_work_added_at_the_bench_is_not_said_to_be_the_owners_wish(signed: Signed, book: Engine) -> None:
    wren, order_id = signed("Wren"), supplement(book)
    paper = printed(wren, book, order_id)
    assert "Added" in paper.replace("Added: Weld", "")
    assert "Asked for" not in paper
    page = wren.get(f"/estimate/{order_id}/consent").text
    assert "Added by the shop, no finding behind it." in page
    assert "asked for it" not in page


def test_the_foot_of_a_supplement_does_not_move_the_answer_to_the_newest_revision(
    signed: Signed, book: Engine
) -> None:
    wren, order_id = signed("Wren"), supplement(book)
    steps.freeze(book, writer(book, order_id, people_now()), order_id)
    page = wren.get(f"/estimate/{order_id}").text
    assert "A change makes revision 3" in page
    assert "stays with revision 2" not in page  # revision 1 was agreed to


def test_a_name_is_said_to_be_a_signature_only_where_it_is_one(signed: Signed, book: Engine) -> None:
    page = signed("Wren").get(f"/estimate/{shown(book, (BREAKAWAY,), people_now())}/consent?how=phone").text
    assert "Typed here on the tablet, it counts as your signature" in page
    assert "Else the name of whoever answered." in page


def test_a_lead_sets_how_far_work_may_rise(book: Engine) -> None:
    # Wash. RCW 46.71.025: 110 % of the estimate
    set_shop(book, margin=0, margin_percent="10", margin_rule="greater")
    order_id = shown(book, (BREAKAWAY,))
    work = yes(book, order_id, "Breakaway")
    lead = NewLine(LineKind.PART, "Charge lead", "1", 2255, "parts")
    steps.add_line(book, writer(book, order_id), order_id, work, lead)
    assert ledger(book, order_id).work(work).asks is False
    dearer(book, order_id, work, 1)
    assert ledger(book, order_id).work(work).asks is True
