"""The front of the handover: whatever is on it, the answer and what stops it stand on page 1, in one page."""

import re
import shutil
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import pytest

from app.ground.book import open_book, reading
from app.ground.press import Press
from app.handover.front import front_of
from app.handover.papers import handover_paper
from app.handover.record import Cost, Duty, Record, Stopping, WorkDone
from app.handover.tables import Handover
from app.trade.figure import Grade
from tests.handover.stays import HUB, SEAL, SOUND, Found, carried, stay
from tests.papers.every import SIZES, sheet_of, words_of

QUESTIONS = ("What must I do, by when?", "What did you do?", "What did it cost?")
WIDE = "W" * 80  # the widest letter, in one word; 80 is what the field takes
PLAIN = "Rosalind Achterberg"


def faults(count: int, reason: str) -> list[Found]:
    """So many cracked welds."""
    return [
        Found("fr.welds", f"Weld {n} of the hanger", 5, "dnt", f"side-{n}", reason=reason)
        for n in range(count)
    ]


def watched(count: int, name: str) -> list[Found]:
    """So many things to be measured again."""
    return [Found("wh.disc", f"{name} {n}", 3, "watch", f"tire-{n}", reason="worn") for n in range(count)]


CASES = {
    "one fault": (PLAIN, faults(1, "crack 1 in long"), "a flatbed"),
    "five faults and a long name": (PLAIN * 4, faults(5, "crack 1 in long"), "a flatbed"),
    "nine faults, each told at length": (PLAIN, faults(9, "crack in the weld, " * 30), "a flatbed"),
    "nine faults in the widest letters": (WIDE, faults(9, "WWWW " * 60), "WWWW " * 23),
    "sixty to be measured again": (PLAIN, [*faults(5, "crack"), *watched(60, "Rim")], "flatbed " * 14),
    "long names to be measured again": (PLAIN, [*faults(2, "crack"), *watched(9, "Wheel body " * 9)], "it"),
    "not looked at": (WIDE, [replace(HUB, note="mud " * 240), *SOUND], "a flatbed"),
}


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    made = Press()
    yield made
    made.close()


@pytest.fixture(params=CASES)
def printed(
    request: pytest.FixtureRequest, furnished: Path, tmp_path: Path, press: Press
) -> Iterator[tuple[Record, dict[str, list[str]]]]:
    """The record of a case, and the texts of its pages by size."""
    owner, found, carrier = CASES[request.param]
    book = open_book(Path(shutil.copy(furnished, tmp_path / "castlenut.db")))
    key = stay(book, found, owner=owner).hand_over(replace(carried(unseen_reason="mud"), carrier=carrier))
    with reading(book) as session:
        paper = handover_paper(session.get_one(Handover, key))
        sheet = sheet_of(session, paper, tmp_path)
    book.dispose()
    made = {size: press.print(replace(sheet, size=size)) for size in SIZES}
    texts = {
        size: [" ".join(word.text for word in page) for page in words_of(it)] for size, it in made.items()
    }
    yield paper.facts["it"].record, texts  # type: ignore[attr-defined]  # a page


def test_page_one_holds_the_answer_and_what_stops_it(
    printed: tuple[Record, dict[str, list[str]]],
) -> None:
    record, by_size = printed
    for pages in by_size.values():
        assert "No. Do not tow." in pages[0]
        for stop in record.stops[:5]:
            assert stop.says[1:20] in pages[0]
        if len(record.stops) > 5:
            assert f"And {len(record.stops) - 5} more, from page 2 on." in pages[0]


def test_the_front_is_one_page_and_says_what_goes_on_behind_it(
    printed: tuple[Record, dict[str, list[str]]],
) -> None:
    record, by_size = printed
    front = front_of(record)
    for pages in by_size.values():
        there = [bare(it) in bare(pages[0]) for it in QUESTIONS]
        assert there == [not front.to_do_behind, not front.done_behind, not front.done_behind]
        assert ("more from page 2 on" in pages[0]) == front.done_behind
        told = len(front.more_duties)
        if told and not front.to_do_behind:
            assert f"And {told} more, from page 2 on." in pages[0]
        behind = bare(pages[1])
        if not front.done_behind:
            assert not any(bare(it) in behind for it in QUESTIONS)


def test_what_is_shortened_on_the_front_stands_in_full_behind_it(
    printed: tuple[Record, dict[str, list[str]]],
) -> None:
    record, by_size = printed
    for pages in by_size.values():
        behind = bare(" ".join(pages[1:]))
        assert [it.says for it in front_of(record).more_stops if bare(it.says[1:]) not in behind] == []


def bare(text: str) -> str:
    """A text without blanks, feet and banners of pages, so that line and page breaks do not matter."""
    text = re.sub(r"Two Creeks Trailer Shop.{0,200}?page \d+ of \d+ [0-9a-f]{4} [0-9a-f]{4}", "", text)
    text = re.sub(r"Not fit to tow: must leave on a carrier Unit \d+", "", text)
    return re.sub(r"\s|\u200b", "", text)


def record_of(furnished: Path, folder: Path) -> Record:
    """The record of a plain stay, to be changed."""
    book = open_book(Path(shutil.copy(furnished, folder / "castlenut.db")))
    key = stay(book, [*SOUND, SEAL]).hand_over(carried())
    with reading(book) as session:
        record = handover_paper(session.get_one(Handover, key)).facts["it"].record  # type: ignore[attr-defined]
    book.dispose()
    assert isinstance(record, Record)
    return record


def test_nothing_is_told_twice_and_nothing_is_left_out(furnished: Path, tmp_path: Path) -> None:
    plain = record_of(furnished, tmp_path)
    for count in (0, 1, 2, 5, 6, 7, 40):
        duties = tuple(Duty(when=f"{n} miles", what="Look again. " * (n % 5 + 1)) for n in range(count))
        works = tuple(WorkDone(title="w" * 150, result="r" * 150, amount=1) for _ in range(count))
        stops = tuple(Stopping(state=Grade.DNT, says=f"fault {n}") for n in range(count))
        front = front_of(plain.model_copy(update={"duties": duties, "works": works, "stops": stops}))
        assert front.duties + front.more_duties == duties
        assert front.stops + front.more_stops == stops
        assert len(front.works) + front.more_works == count
        assert min(count, 2) <= len(front.works) <= 6
        assert front.to_do_behind or len(front.duties) <= 6


def test_a_stop_is_cut_on_the_front_or_told_there_alone(furnished: Path, tmp_path: Path) -> None:
    plain = record_of(furnished, tmp_path)
    for says in (*(("crack in the weld, " * 20)[:n].strip() + "x" for n in (10, 78, 79, 82, 200)), "x" * 500):
        stop = Stopping(state=Grade.DNT, says=says)
        front = front_of(plain.model_copy(update={"stops": (stop,)}))
        (shown,) = front.stops
        assert front.more_stops == (() if shown == stop else (stop,))
        if shown != stop:
            assert shown.says.endswith(" …")
            assert says.startswith(shown.says.removesuffix(" …"))
            assert 40 < len(shown.says) <= 80  # two lines of the front


def test_what_to_do_goes_before_what_was_done(furnished: Path, tmp_path: Path) -> None:
    plain = record_of(furnished, tmp_path)
    works = tuple(WorkDone(title="w" * 1500, result="done", amount=1) for _ in range(3))
    front = front_of(plain.model_copy(update={"works": works, "cost": Cost(net=1, taxes=(), tax=0, gross=1)}))
    assert (front.to_do_behind, front.done_behind) == (False, True)
