"""A paper handed over from its page: once, with a trace, to the mail server that the shop's folder names."""

import email
import re
import threading
import zipfile
from collections.abc import Callable, Iterator
from concurrent.futures import ThreadPoolExecutor
from email import policy
from html import unescape
from pathlib import Path
from urllib.parse import parse_qs, unquote, urlsplit

import httpx
import pytest
from fastapi import FastAPI
from sqlalchemy import Engine
from sqlmodel import select

from app.ground import backups, files, receipts
from app.ground.acting import now
from app.ground.book import reading, writing
from app.ground.settings import Settings
from app.ground.tables import Document, Shop
from app.intake.arrival import Arrival, OwnerSaid, StaySaid, UnitSaid
from app.intake.steps import take_in
from app.post.tables import Mailing, MailingEnd
from tests.conftest import NOON, Browser, act
from tests.post.servers import Box, hang_up_after_the_letter, scripted, served

Signed = Callable[[str], Browser]
CONTENT = b"%PDF-1.7 a paper\r\n.\r\n" + bytes(range(256))
SECRET = "brass hinge and nine pins"


@pytest.fixture
def order(book: Engine) -> int:
    """A work order of an owner with an address and a name beyond ASCII."""
    with writing(book) as session:
        shop = session.exec(select(Shop)).one()
        shop.email, shop.name = "desk@shop.example", "Zwei Bäche"
    owner = OwnerSaid("Łukasz Ünal", phone="555 0163", email="lu@unal.example")
    return take_in(book, act(2), Arrival(StaySaid(), owner, UnitSaid("cargo")))


def printed(book: Engine, settings: Settings, order: int, kind: str = "handover", issue: int = 1) -> int:
    """The key of a paper of the order."""
    with writing(book) as session:
        row = Document(
            created_at=NOON,
            kind=kind,
            number="H-2026-0001",
            issue=issue,
            title="Handover",
            work_order_id=order,
            sha256=files.keep(settings.files, CONTENT),
            size=len(CONTENT),
            printed_by=2,
        )
        session.add(row)
        session.flush()
        return row.key


@pytest.fixture
def paper(book: Engine, settings: Settings, order: int) -> int:
    """The key of the order's handover."""
    return printed(book, settings, order)


def named(settings: Settings, port: int, more: str = "") -> None:
    """Name a mail server of this machine in the shop's folder."""
    path = settings.data / "smtp.toml"
    path.write_text(f'host = "127.0.0.1"\nport = {port}\nsecurity = "none"\n{more}')
    path.chmod(0o600)


@pytest.fixture
def box(settings: Settings, app: FastAPI) -> Iterator[Box]:
    """What a mail server took that the shop's folder names; requests wait for it."""
    app.state.outgoing.moment = 30
    made = Box()
    with served(made) as port:
        named(settings, port)
        yield made


def form(key: str = "key-1", **fields: str) -> dict[str, str]:
    """What the form sends."""
    sent = {"submission": key, "revision": "0", "receiver": "lu@unal.example", "words": "Grüße,\nLu"}
    return sent | fields


def went(browser: Browser, paper: int) -> str:
    """What the page says of whom the paper went to."""
    text = re.sub(r"<[^>]+>", "", browser.get(f"/papers/{paper}", part=True).text)
    return unescape(" ".join(text.split()))


def rows(book: Engine) -> tuple[list[Mailing], list[MailingEnd]]:
    """All mailings and their ends."""
    with reading(book) as session:
        return list(session.exec(select(Mailing))), list(session.exec(select(MailingEnd)))


def test_without_a_server_the_letter_is_a_link_for_ones_own_program(signed: Signed, paper: int) -> None:
    page = signed("Wren").get(f"/papers/{paper}").text
    assert "/mail" not in page
    found = re.search(r'href="(mailto:[^"]+)"', page)
    assert found
    parts = urlsplit(unescape(found[1]))
    said = parse_qs(parts.query, strict_parsing=True)
    assert unquote(parts.path) == "lu@unal.example"
    assert said["subject"] == ["Handover H-2026-0001, Zwei Bäche"]
    assert said["body"][0].startswith(
        "Hello Łukasz Ünal,\r\n\r\nattached is Handover H-2026-0001, issue 1 of"
    )
    assert "attach the file <b>Handover-H-2026-0001-issue-1.pdf</b>" in page
    assert 'download="Handover-H-2026-0001-issue-1.pdf"' in page


def test_a_paper_of_the_shop_itself_is_not_addressed_to_the_owner(
    signed: Signed, book: Engine, settings: Settings, order: int
) -> None:
    page = signed("Wren").get(f"/papers/{printed(book, settings, order, kind='job sheet')}").text
    assert "unal.example" not in page
    assert "Hello," in unquote(page)


def test_a_technician_opens_and_saves_and_hands_nothing_over(signed: Signed, paper: int, box: Box) -> None:
    toni = signed("Toni")
    page = toni.get(f"/papers/{paper}").text
    assert "Save the file" in page
    assert "Hand over" not in page
    assert toni.post(f"/papers/{paper}/mail", form()).status_code == 403
    assert box.letters == []


def test_a_paper_is_sent_as_it_is_kept_and_the_page_says_to_whom(
    signed: Signed, paper: int, box: Box, book: Engine
) -> None:
    wren = signed("Wren")
    page = wren.get(f"/papers/{paper}").text
    assert 'value="lu@unal.example"' in page
    answer = wren.post(f"/papers/{paper}/mail", form())
    assert (answer.status_code, answer.headers["location"]) == (303, f"/papers/{paper}#went")
    (envelope,) = box.letters
    assert (envelope.mail_from, envelope.rcpt_tos) == ("desk@shop.example", ["lu@unal.example"])
    assert isinstance(envelope.content, bytes)
    letter = email.message_from_bytes(envelope.content, policy=policy.default)
    (attached,) = letter.iter_attachments()
    assert attached.get_content() == CONTENT
    assert attached.get_filename() == "Handover-H-2026-0001-issue-1.pdf"
    assert letter["subject"] == "Handover H-2026-0001, Zwei Bäche"
    assert "Sent to lu@unal.example: the mail server has taken it." in went(wren, paper)
    assert ", Wren" in went(wren, paper)
    (mailing,), (end,) = rows(book)
    assert (mailing.document_id, mailing.receiver, mailing.words, mailing.sent_by) == (
        paper,
        "lu@unal.example",
        "Grüße,\nLu",
        2,
    )
    assert (end.mailing_id, end.outcome) == (mailing.id, "sent")
    with reading(book) as session:
        assert list(receipts.broken(session)) == []
        assert session.exec(select(receipts.Receipt).where(receipts.Receipt.submission == "key-1/end")).one()


def test_the_same_form_is_sent_once_however_often_it_comes(
    signed: Signed, paper: int, box: Box, book: Engine
) -> None:
    wren = signed("Wren")
    token = wren.token("/people")
    sent = {"token": token, **form()}

    def post(_: int) -> httpx.Response:
        return wren.client.post(f"/papers/{paper}/mail", data=sent, headers={"Origin": "http://testserver"})

    with ThreadPoolExecutor(6) as pool:
        answers = list(pool.map(post, range(6)))
    assert {answer.status_code for answer in answers} == {303}
    assert len(box.letters) == 1
    other = wren.post(f"/papers/{paper}/mail", form(words="other"))
    assert other.status_code == 422
    assert len(box.letters) == len(rows(book)[0]) == 1
    assert wren.post(f"/papers/{paper}/mail", form("key-2")).status_code == 303
    assert len(box.letters) == 2


@pytest.mark.parametrize("to", ["", "nobody", "a@b.example, c@d.example", "a@b.example\r\nBcc: c@d.example"])
def test_what_is_not_one_address_is_said_beside_the_field_and_keeps_the_words(
    signed: Signed, paper: int, box: Box, book: Engine, to: str
) -> None:
    answer = signed("Wren").post(f"/papers/{paper}/mail", form(receiver=to, words="Kept <as> typed"))
    assert answer.status_code == 422
    assert 'id="receiver-fix"' in answer.text
    assert "Kept &lt;as&gt; typed" in answer.text
    assert (box.letters, rows(book)) == ([], ([], []))


def test_an_issue_that_was_replaced_is_not_handed_over(
    signed: Signed, paper: int, box: Box, book: Engine, settings: Settings, order: int
) -> None:
    wren = signed("Wren")
    printed(book, settings, order, issue=2)
    assert "Hand over by e-mail" not in wren.get(f"/papers/{paper}").text
    answer = wren.post(f"/papers/{paper}/mail", form())
    assert answer.status_code == 422
    assert "Issue 2 takes the place of this paper" in answer.text
    assert box.letters == []


@pytest.mark.parametrize("harm", ["changed", "removed"])
def test_a_kept_copy_that_was_harmed_is_not_handed_over(
    signed: Signed, paper: int, box: Box, book: Engine, settings: Settings, harm: str
) -> None:
    with reading(book) as session:
        path = files.where(settings.files, session.get_one(Document, paper).sha256)
    path.write_bytes(b"other") if harm == "changed" else path.unlink()
    answer = signed("Wren").post(f"/papers/{paper}/mail", form())
    assert answer.status_code == 422
    assert "missing or was changed" in answer.text
    assert box.letters == []


def test_a_server_that_refuses_is_quoted(signed: Signed, paper: int, box: Box) -> None:
    box.refuses = "lu@unal.example"
    wren = signed("Wren")
    assert wren.post(f"/papers/{paper}/mail", form()).status_code == 303
    said = "Not sent to lu@unal.example: the mail server refused the address: 550 5.1.1 No such user here."
    assert said in went(wren, paper)


def test_a_letter_on_its_way_is_said_so_and_then_what_came_of_it(
    signed: Signed, paper: int, app: FastAPI, settings: Settings
) -> None:
    app.state.outgoing.moment = 0.05
    wren, go_on, given = signed("Wren"), threading.Event(), []

    def slow(connection: object, line: bytes) -> None:
        given.append(line)
        go_on.wait(30)
        hang_up_after_the_letter(connection, line)  # type: ignore[arg-type]

    with scripted(slow) as port:
        named(settings, port)
        assert wren.post(f"/papers/{paper}/mail", form()).status_code == 303
        assert "Is on its way to lu@unal.example." in went(wren, paper)
        page = wren.get(f"/papers/{paper}").text
        assert 'hx-trigger="every 1s"' in page
        assert '<noscript><meta http-equiv="refresh" content="2"></noscript>' in page
        assert wren.post(f"/papers/{paper}/mail", form()).status_code == 303  # on its way already
        go_on.set()
        app.state.outgoing.close()
    assert sum(line.startswith(b"DATA") or line.startswith(b"data") for line in given) == 1
    said = went(wren, paper)
    assert "Nobody knows whether it was sent to lu@unal.example" in said
    assert "Ask there whether it came before you send it again." in said


def test_a_letter_whose_program_was_stopped_is_said_to_be_unknown(
    signed: Signed, paper: int, book: Engine
) -> None:
    with writing(book) as session:
        session.add(
            Mailing(
                created_at=NOON, document_id=paper, receiver="a@b.example", words="w", sender="s", sent_by=2
            )
        )
    wren = signed("Wren")
    assert "Nobody knows whether it was sent to a@b.example" in went(wren, paper)
    assert "hx-trigger" not in wren.get(f"/papers/{paper}", part=True).text


def test_a_file_that_cannot_be_used_is_told_and_the_link_stands_in_its_place(
    signed: Signed, paper: int, settings: Settings, book: Engine
) -> None:
    named(settings, 25, f'user = "desk"\npassphrase = "{SECRET}"\n')
    (settings.data / "smtp.toml").chmod(0o644)
    wren = signed("Wren")
    page = wren.get(f"/papers/{paper}").text
    assert "others on this computer can read it (chmod 600 smtp.toml)" in page
    assert "mailto:" in page
    answer = wren.post(f"/papers/{paper}/mail", form())
    assert answer.status_code == 422
    assert "smtp.toml cannot be used" in answer.text
    (settings.data / "smtp.toml").unlink()
    assert wren.post(f"/papers/{paper}/mail", form()).status_code == 422
    assert rows(book) == ([], [])


def test_the_passphrase_stands_on_no_page_and_in_no_backup_or_export(
    signed: Signed, paper: int, settings: Settings, tmp_path: Path, app: FastAPI
) -> None:
    app.state.outgoing.moment = 30
    with scripted(hang_up_after_the_letter) as port:
        named(settings, port, f'user = "desk"\npassphrase = "{SECRET}"\n')
        wren = signed("Wren")
        assert wren.post(f"/papers/{paper}/mail", form()).status_code == 303
    assert "takes no sign-in" in went(wren, paper)
    assert SECRET not in wren.get(f"/papers/{paper}").text
    backups.export(settings, tmp_path / "all.zip")
    made = backups.backup(settings, tmp_path, now())
    for packed in (tmp_path / "all.zip", made):
        with zipfile.ZipFile(packed) as opened:
            assert not any(SECRET.encode() in opened.read(name) for name in opened.namelist())


def test_a_page_that_cannot_be_drawn_is_said_in_words(signed: Signed, paper: int) -> None:
    toni = signed("Toni")
    assert "The pages cannot be shown as pictures here: open the paper." in toni.get(f"/papers/{paper}").text
    for number in ("1", "0", "-1", str(2**70)):
        answer = toni.get(f"/papers/{paper}/pages/{number}.png")
        assert answer.status_code == 404
    assert toni.get("/papers/99/pages/1.png").status_code == 404
