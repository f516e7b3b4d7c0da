"""The letter's address, its words, and its link, against the standards that mail programs follow."""

from urllib.parse import parse_qs, unquote, urlsplit

import pytest

from app.ground.tables import Document
from app.post.rules import is_address, mailto, one_line, read_said
from app.trade.problems import Refused
from app.trade.typed import Texts
from tests.conftest import NOON

# Examples of RFC 6068, 6.1 and 6.2: the address, the words, and how each stands in the link.
RFC_6068 = [
    ("gorby%kremvax@example.com", "", "mailto:gorby%25kremvax@example.com"),
    ("unlikely?address@example.com", "", "mailto:unlikely%3Faddress@example.com"),
    ("Mike&family@example.org", "", "mailto:Mike%26family@example.org"),
    ("infobot@example.com", "send current-issue\nsend index", "body=send%20current-issue%0D%0Asend%20index"),
]


@pytest.mark.parametrize(("receiver", "words", "wanted"), RFC_6068)
def test_a_link_is_written_as_the_standard_shows(receiver: str, words: str, wanted: str) -> None:
    assert wanted in mailto(receiver, "", words)


def test_every_letter_comes_back_out_of_a_link() -> None:
    subject, words = "Übergabe & mehr? 100 % #1 + 2", "Grüße, Łukasz\n\n牵引 = tow; a+b"
    parts = urlsplit(mailto("a+b@example.org", subject, words))
    assert unquote(parts.path) == "a+b@example.org"
    assert parts.fragment == ""
    found = parse_qs(parts.query.replace("+", "%2B"), strict_parsing=True)  # RFC 6068, 5: + is no blank here
    assert found == {"subject": [subject], "body": [words.replace("\n", "\r\n")]}


# WHATWG HTML, 4.10.5.1.5: one address; what is quoted or beyond ASCII no browser's e-mail field takes.
TAKEN = [
    "ada@ransome.example",
    "a.b+c@x-1.example",
    "o'hara@shop",
    f"{'a' * 64}@b.example",
    "!#$%&@b.example",
]
NOT_TAKEN = [
    *("", "ada", "@b.example", "a@", "a b@c.example", "a@b..example", "a@-b.example", "a@b.example."),
    *("a@b.example,c@d.example", "a@b.example;c", "<a@b.example>", "Ada <a@b.example>", '"a b"@c.example'),
    *("a@b.example\n", "\na@b.example", "a@b.example\r\nBcc: c@d.example", "ä@b.example", "a@bücher.example"),
    *(f"{'a' * 65}@b.example", f"a@{'b' * 64}.example", f"a@{'b.' * 130}example"),
]


@pytest.mark.parametrize("text", TAKEN)
def test_one_address_is_taken(text: str) -> None:
    assert is_address(text)


@pytest.mark.parametrize("text", NOT_TAKEN)
def test_what_is_not_one_address_is_not_taken(text: str) -> None:
    assert not is_address(text)


def test_all_that_is_wrong_is_said_at_once() -> None:
    with pytest.raises(Refused) as refused:
        read_said(Texts({"receiver": "a@b, c@d", "words": " "}), 3)
    assert [problem.field for problem in refused.value.problems] == ["", "receiver", "words"]
    assert refused.value.problems[0].says.startswith("Issue 3 takes the place")


def test_what_was_written_is_read() -> None:
    said = read_said(Texts({"receiver": " a@b.example ", "words": "One\r\n\r\ntwo"}), 0)
    assert (said.receiver, said.words) == ("a@b.example", "One\n\ntwo")


@pytest.mark.parametrize("field", ["receiver", "words"])
@pytest.mark.parametrize("harm", ["\x00", "\x0b", "\x7f", "\ud800"])
def test_a_control_character_is_refused(field: str, harm: str) -> None:
    sent = {"receiver": "a@b.example", "words": "words"} | {field: f"a{harm}b@c.example"}
    with pytest.raises(Refused):
        read_said(Texts(sent), 0)


def test_one_line_is_one() -> None:
    assert one_line("a\r\n b\tc\u2028d\x00e") == "a b c d e"


@pytest.mark.parametrize(
    ("title", "number", "name"),
    [
        ("Handover", "H-2026-0001", "Handover-H-2026-0001-issue-2.pdf"),
        ("Count sheet", "aisle A/B", "Count-sheet-aisle-A-B-issue-2.pdf"),
        ("Note", '../..\\"x"\r\nä', "Note-..-..-x-a-issue-2.pdf"),
        ("Note", "..", "Note-..-issue-2.pdf"),
    ],
)
def test_a_file_has_a_name_that_can_be_saved_anywhere(title: str, number: str, name: str) -> None:
    row = Document(
        created_at=NOON, kind="k", number=number, issue=2, title=title, work_order_id=1, sha256="", size=0,
        printed_by=1,
    )  # fmt: skip
    assert row.file_name == name
