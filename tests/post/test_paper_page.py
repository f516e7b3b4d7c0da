"""The page of one printed paper, as somebody meets it who holds the paper in the hand."""

from collections.abc import Callable
from datetime import timedelta
from urllib.parse import quote

import pytest
from sqlalchemy import Engine

from app.estimate import steps as estimate
from app.estimate.rules import Group, NewWork
from app.ground import files
from app.ground.book import reading, writing
from app.ground.documents import issues
from app.ground.settings import Settings
from app.ground.tables import Document
from tests.conftest import NOON, Browser
from tests.estimate import arrived

CONTENT = b"%PDF-1.7 a paper"
# sha256sum of the bytes above, by coreutils
SHA256 = "be745a9e5b9d2be07ab3bf55149ef20694c2733d1a4eae8c8c4d2109d977f1ff"


def printed(
    book: Engine, settings: Settings, number: str = "E-2026-0001", issue: int = 1, order_id: int = 7
) -> int:
    """The key of a paper that Wren printed at noon."""
    sha256 = files.keep(settings.files, CONTENT)
    with writing(book) as session:
        row = Document(
            created_at=NOON,
            kind="estimate",
            number=number,
            issue=issue,
            title="Estimate",
            work_order_id=order_id,
            sha256=sha256,
            size=len(CONTENT),
            printed_by=2,
        )
        session.add(row)
        session.flush()
        return row.key


@pytest.mark.parametrize("name", ["Lee", "Wren", "Toni"])
def test_the_page_of_a_paper_says_which_it_is_and_whether_it_is_the_newest(
    name: str, signed: Callable[[str], Browser], book: Engine, settings: Settings
) -> None:
    key = printed(book, settings)
    answer = signed(name).get(f"/papers/{key}")
    assert answer.status_code == 200
    for said in (
        "Estimate E-2026-0001",
        "<dd>1 of 1</dd>",
        "4 May 2026, 12:00 by Wren",  # 16:00 UTC in the shop's zone, UTC-4 in May
        "16 bytes",
        SHA256,
        "has exactly this SHA-256",
        "This is the newest issue.",
        f'href="/papers/{key}.pdf"',
        'href="/orders/7"',
    ):
        assert said in answer.text


def test_an_estimate_that_was_changed_since_it_was_printed_says_so(
    signed: Callable[[str], Browser], book: Engine, settings: Settings
) -> None:
    order_id = arrived.shown(book)
    key = printed(book, settings, order_id=order_id)
    page = signed("Toni").get(f"/papers/{key}").text
    assert "This is the newest issue." in page
    later = arrived.writer(book, order_id, NOON + timedelta(hours=1))
    estimate.add_work(book, later, order_id, NewWork("Gusset plates", Group.SHOULD, hours="1"))
    page = signed("Toni").get(f"/papers/{key}").text
    assert "This is the newest issue." not in page
    assert "the estimate was changed since, to revision 2" in page
    assert f'href="/estimate/{order_id}"' in page


def test_an_older_issue_leads_to_the_newest(
    signed: Callable[[str], Browser], book: Engine, settings: Settings
) -> None:
    first, _, third = (printed(book, settings, issue=issue) for issue in (1, 2, 3))
    printed(book, settings, number="E-2026-0002", issue=9)
    page = signed("Toni").get(f"/papers/{first}").text
    assert "Not the newest:" in page
    assert f'<a href="/papers/{third}">Issue 3</a>' in page
    assert "<dd>1 of 3</dd>" in page
    assert "This is the newest issue." in signed("Toni").get(f"/papers/{third}").text
    with reading(book) as session:
        assert [each.issue for each in issues(session, "estimate", "E-2026-0001")] == [3, 2, 1]


@pytest.mark.parametrize("harm", ["changed", "removed"])
def test_a_kept_copy_that_was_harmed_is_told(
    harm: str, signed: Callable[[str], Browser], book: Engine, settings: Settings
) -> None:
    key = printed(book, settings)
    path = files.where(settings.files, SHA256)
    path.write_bytes(b"%PDF-1.7 another") if harm == "changed" else path.unlink()
    page = signed("Wren").get(f"/papers/{key}").text
    assert "is missing or was changed" in page
    assert "Open the paper" not in page


@pytest.mark.parametrize("key", ["0", "99", str(2**63), "x", "-1"])
def test_there_is_no_such_paper(key: str, signed: Callable[[str], Browser]) -> None:
    toni = signed("Toni")
    assert toni.get(f"/papers/{key}").status_code == 404
    assert toni.get(f"/papers/{key}.pdf").status_code == 404


@pytest.mark.parametrize("number", ["E-2026-0001", "WO-000001, job 2", "aisle A/B", "count 100%", "a/1"])
def test_the_code_of_a_paper_opens_its_page_whatever_its_number(
    number: str, signed: Callable[[str], Browser], book: Engine, settings: Settings
) -> None:
    first, second = (printed(book, settings, number, issue) for issue in (1, 2))
    toni, path = signed("Toni"), f"/papers/estimate/{quote(number, safe='')}"
    for key, issue, said in ((first, 1, "Not the newest:"), (second, 2, "This is the newest issue.")):
        page = toni.get(f"{path}/{issue}").text
        assert f'href="/papers/{key}.pdf"' in page
        assert said in page


@pytest.mark.parametrize(
    "path",
    ["estimate/E-2026-0001/2", "invoice/E-2026-0001/1", "estimate/E-2026-0002/1", f"estimate/E/{2**70}"],
)
def test_a_code_of_a_paper_that_was_never_printed_opens_none(
    path: str, signed: Callable[[str], Browser], book: Engine, settings: Settings
) -> None:
    printed(book, settings)
    answer = signed("Toni").get(f"/papers/{path}")
    assert answer.status_code == 404
    assert "There is no such paper." in answer.text
