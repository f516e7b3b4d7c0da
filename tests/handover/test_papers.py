"""The handover on paper: every figure reads back, nothing is smuggled in, the bytes stay what they were."""

import io
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from pathlib import Path

import icalendar
import pikepdf
import pytest
from pypdf import PdfReader
from sqlalchemy import Engine

from app.bench import steps as bench
from app.bench.album import When
from app.bench.rules import Evidence, How
from app.estimate.saying import Said
from app.ground import files
from app.ground.book import open_book, reading, writing
from app.ground.papers import Printer
from app.ground.papers import page_of as printed_page
from app.ground.press import Press
from app.ground.shop import shop_of
from app.ground.tables import Document
from app.ground.words import money
from app.handover.facts import told
from app.handover.papers import calendar, handover_paper, page_of, paper_act
from app.handover.record import Duty, Record, WorkDone
from app.handover.tables import Handover
from app.inspection.rules import NOTHING_SEEN
from app.trade.figure import Grade
from app.trade.problems import Refused
from tests.conftest import act
from tests.handover.stays import (
    ALARM,
    HUB,
    LEE,
    NUTS,
    SEAL,
    SOUND,
    USUAL,
    Found,
    Stay,
    carried,
    stay,
    towed,
    with_job_photos,
    with_photo,
)

FRAME = Found("fr.welds", "Front hanger weld, road side", 5, "dnt", "side-road", reason="crack 1 3/8 in long")
CHAINS = Found("cp.chains", "Safety chains", 2, "dnt", reason="none fitted; two are asked for")
PAYLOADS = (
    "<img src=file:///etc/passwd>",
    "{{7*7}}",
    "<script>alert(1)</script>",
    "</td></tr><style>@import url(file:///etc/passwd)</style>",
)


@dataclass
class Shop:
    """A shop whose papers are printed."""

    book: Engine
    files: Path
    press: Press

    def print(self, key: int) -> tuple[int, bytes]:
        """Key of the document, and its bytes as kept."""
        with reading(self.book) as session:
            row = session.get_one(Handover, key)
        printer = Printer(self.book, self.press, self.files)
        document = printer.issue(paper_act(act(), row), handover_paper(row))
        with reading(self.book) as session:
            return document, files.read(self.files, session.get_one(Document, document).sha256)

    def told(self, key: int) -> Record:
        """What a handover says."""
        with reading(self.book) as session:
            return told(session.get_one(Handover, key))


@dataclass
class Printed:
    """A paper with what it was printed from."""

    shop: Shop
    key: int
    document: int
    pdf: bytes

    @property
    def record(self) -> Record:
        """What it was printed from."""
        return self.shop.told(self.key)

    @property
    def pages(self) -> list[str]:
        """The text of each page, spaces of every kind made one."""
        return [flat(page.extract_text()) for page in PdfReader(io.BytesIO(self.pdf)).pages]

    @property
    def text(self) -> str:
        """The text of all pages."""
        return " ".join(self.pages)


def flat(text: str) -> str:
    """A text with every run of spaces and line ends as one space."""
    return re.sub(r"\s+", " ", text.replace("\u00a0", " ")).strip()


def bare(text: str) -> str:
    """A text without any space: lines break where they like."""
    return re.sub(r"\s+", "", text)


@pytest.fixture(scope="module")
def press() -> Iterator[Press]:
    """One renderer for all papers here."""
    made = Press()
    yield made
    made.close()


@pytest.fixture
def shop(book: Engine, tmp_path: Path, press: Press) -> Shop:
    """The shop of one test."""
    return Shop(book, tmp_path / "files", press)


def copied(furnished: Path, folder: Path, press: Press) -> Shop:
    """A shop for a whole module."""
    (folder / "castlenut.db").write_bytes(furnished.read_bytes())
    return Shop(open_book(folder / "castlenut.db"), folder / "files", press)


def fit_stay(shop: Shop) -> Stay:
    """A stay with one of everything: cleared, left, watched, unseen, shut off, photos, records."""
    made = stay(shop.book, [*USUAL, HUB])
    for name, ink in ((NUTS.name, "black"), (SEAL.name, "navy"), (ALARM.name, "brown")):
        with_photo(made, name, shop.files, ink)
    made.price(say={"Reseal": Said.LATER, "Alarm": Said.NO})
    made.work()
    made.clear(NUTS.name)
    with_job_photos(made, shop.files, (When.BEFORE, "Two nuts gone"), (When.AFTER, "Six nuts on"))
    made.check()
    return made


@pytest.fixture(scope="module")
def fit(furnished: Path, tmp_path_factory: pytest.TempPathFactory, press: Press) -> Iterator[Printed]:
    """A rich handover, fit to tow."""
    shop = copied(furnished, tmp_path_factory.mktemp("fit"), press)
    key = fit_stay(shop).hand_over(towed(unseen_reason="drum stuck fast"))
    yield Printed(shop, key, *shop.print(key))
    shop.book.dispose()


@pytest.fixture(scope="module")
def held(furnished: Path, tmp_path_factory: pytest.TempPathFactory, press: Press) -> Iterator[Printed]:
    """A handover as not fit to tow, on A4."""
    shop = copied(furnished, tmp_path_factory.mktemp("held"), press)
    with writing(shop.book) as session:
        shop_of(session).paper = "a4"
    made = stay(shop.book, [*SOUND, FRAME, CHAINS, SEAL])
    with_photo(made, FRAME.name, shop.files)
    made.price(say={"": Said.NO})
    key = made.hand_over(carried())
    yield Printed(shop, key, *shop.print(key))
    shop.book.dispose()


# Fit


def test_photos_before_and_after_stand_on_the_paper_with_the_work_and_who_took_them(fit: Printed) -> None:
    for said in ("before the work: Two nuts gone.", "after the work: Six nuts on."):
        assert bare(said) in bare(fit.text)
    told = [it.alt for it in fit.record.photos if "the work" in it.alt]
    assert len(told) == 2
    with pikepdf.open(io.BytesIO(fit.pdf)) as pdf:
        parts = [it for it in pdf.objects if isinstance(it, pikepdf.Dictionary)]
        alts = [str(it["/Alt"]) for it in parts if "/Alt" in it]
    assert {bare(it) for it in told} <= {bare(it) for it in alts}


def test_page_one_answers_the_four_questions(fit: Printed) -> None:
    front = fit.pages[0]
    # first page answers: may I tow it, what did you do, what must I do by when, what did it cost
    for asked in ("May I tow it?", "What must I do, by when?", "What did you do?", "What did it cost?"):
        assert bare(asked) in bare(front)
    assert "You may tow it." in front
    assert "parts not looked at" in front
    assert "drum stuck fast" in front
    assert fit.record.cost is not None
    assert f"${money(fit.record.cost.gross)}" in front
    assert "Do not use what is shut off: CO alarm." in front
    assert "Everything we looked at" not in front


def test_every_thing_reading_and_state_reads_back(fit: Printed) -> None:
    text = bare(fit.text)
    for line in fit.record.lines:
        assert bare(line.name.removesuffix(f", {line.where}")) in text
        assert bare(line.where[1:]) in text
        assert bare(line.was) in text
        if line.fitted:
            assert bare(line.got[1:]) in text, line.name
            assert bare(line.state.word) in text


def test_every_figure_of_money_reads_back(fit: Printed) -> None:
    record, text = fit.record, fit.text
    assert record.cost is not None
    amounts = [record.cost.net, record.cost.gross, *(tax.tax for tax in record.cost.taxes)]
    amounts += [work.amount for work in record.works] + [left.amount or 0 for left in record.left]
    assert all(money(amount) in text for amount in amounts if amount)


def test_every_duty_record_figure_and_caution_reads_back(fit: Printed) -> None:
    record, text = fit.record, bare(fit.text)
    said = [it.what for it in record.duties] + [it.when for it in record.duties]
    said += [it.says for it in record.measured] + [it.instrument for it in record.measured]
    said += [part for it in record.figures for part in (it.says, it.formula, it.source, it.limit)]
    said += [each.says for it in record.figures for each in it.inputs]
    said += [part for it in record.cautions for part in (it.word, it.hazard, it.result, it.avoid)]
    said += list(record.defers) + [it.initials for it in record.left] + [it.said for it in record.left]
    assert [one for one in said if bare(one) not in text] == []


def test_the_slip_for_the_wallet_has_each_thing_that_falls_due(fit: Printed) -> None:
    slip = bare(fit.pages[-1])
    duties = fit.record.duties
    assert fit.record.dated and len(duties) == 8  # as many as have room
    assert bare("Due dates, for the wallet") in slip
    for duty in duties:
        assert bare(duty.when + duty.what[:24]) in slip
    assert bare("more: see the handover") not in slip


def test_each_nut_of_each_wheel_reads_back(fit: Printed) -> None:
    torque = [it for it in fit.record.measured if it.kind == "wheel_torque"]
    assert fit.text.count("110 110 110 110 110 110") == len(torque)


def test_each_page_has_unit_issue_and_its_number(fit: Printed) -> None:
    pages = fit.pages
    for number, text in enumerate(pages, 1):
        assert f"page {number} of {len(pages)}" in text
        assert "Handover H-2026-0001, issue 1" in text
        assert "Unit 1, Rosalind Achterberg" in text


def test_the_paper_is_tagged_titled_and_in_its_language(fit: Printed) -> None:
    with pikepdf.open(io.BytesIO(fit.pdf)) as pdf:
        assert bool(pdf.Root.MarkInfo.Marked)  # ISO 14289-1, 7.1
        assert "/StructTreeRoot" in pdf.Root
        assert str(pdf.Root.Lang) == "en-US"  # ISO 14289-1, 7.2
        assert str(pdf.docinfo["/Title"]) == "Handover H-2026-0001, unit 1, Two Creeks Trailer Shop"
        assert "/OutputIntents" in pdf.Root  # ISO 19005-3, 6.2.3
        with pdf.open_metadata() as meta:
            assert (meta["pdfaid:part"], meta["pdfaid:conformance"]) == ("3", "A")
        tags = [str(it.get("/S", "")) for it in pdf.objects if isinstance(it, pikepdf.Dictionary)]
        figures = [
            it for it in pdf.objects if isinstance(it, pikepdf.Dictionary) and it.get("/S") == "/Figure"
        ]
        assert tags.count("/H1") == 1
        assert len(figures) >= 3
        assert all(str(it.get("/Alt", "")) for it in figures)  # ISO 14289-1, 7.3


def test_only_fonts_that_ship_with_the_program_are_used(fit: Printed) -> None:
    with pikepdf.open(io.BytesIO(fit.pdf)) as pdf:
        fonts = {
            str(font.BaseFont) for page in pdf.pages for font in page.Resources.get("/Font", {}).values()
        }
    assert all("Hyperlegible" in font or "Barlow" in font for font in fonts), fonts


def test_the_record_comes_out_of_the_paper_again(fit: Printed) -> None:
    with pikepdf.open(io.BytesIO(fit.pdf)) as pdf:
        inside = json.loads(pdf.attachments["record.json"].get_file().read_bytes())
    assert Record.model_validate(inside) == fit.record


def test_the_calendar_inside_has_each_day_that_falls_due(fit: Printed) -> None:
    with pikepdf.open(io.BytesIO(fit.pdf)) as pdf:
        found = icalendar.Calendar.from_ical(pdf.attachments["due-dates.ics"].get_file().read_bytes())
    events = {event.decoded("dtstart"): str(event["summary"]) for event in found.walk("VEVENT")}
    assert set(events) == {it.on for it in fit.record.duties if it.on}
    assert "refilled" in events[date(2026, 8, 31)]  # 49 CFR 180.209(e): August 2014 + 12 years


def test_a_calendar_is_the_same_bytes_for_the_same_record(fit: Printed) -> None:
    assert calendar(fit.record) == calendar(fit.record)
    uids = re.findall(rb"UID:(\S+)", calendar(fit.record))
    assert len(uids) == len(set(uids))


def test_printed_again_it_is_the_same_document_byte_for_byte(fit: Printed) -> None:
    document, pdf = fit.shop.print(fit.key)
    assert document == fit.document
    assert pdf == fit.pdf


def test_what_changes_in_the_shop_later_does_not_change_the_paper(fit: Printed) -> None:
    with reading(fit.shop.book) as session:
        row = session.get_one(Handover, fit.key)
        before, _ = printed_page(session, handover_paper(row), act(), 1)
        shop_of(session).name = "Another name"
        after, _ = printed_page(session, handover_paper(row), act(), 1)
        session.rollback()
    assert before == after
    assert "Another name" not in after


# Not fit


def test_not_fit_stands_on_every_page(held: Printed) -> None:
    assert len(held.pages) >= 3
    assert all("Not fit to tow: must leave on a carrier" in text for text in held.pages)


def test_not_fit_says_no_and_names_each_fault_on_page_one(held: Printed) -> None:
    front = held.pages[0]
    assert "No. Do not tow." in front
    assert "You may tow it" not in held.text
    for fault in (FRAME, CHAINS):
        assert bare(fault.name) in bare(front)
        assert bare(fault.reason[1:]) in bare(front)
    assert "flatbed of Low Fields Haulage, plate TR 40 17" in front
    assert "I know that it must not be towed." in held.text
    assert "The first miles" not in held.text


def test_the_title_says_not_fit(held: Printed) -> None:
    with pikepdf.open(io.BytesIO(held.pdf)) as pdf:
        assert str(pdf.docinfo["/Title"]).startswith("Handover, not fit H-2026-0001")


def test_the_paper_is_the_size_that_the_shop_prints_on(held: Printed, fit: Printed) -> None:
    def size(pdf: bytes) -> tuple[int, int]:
        box = PdfReader(io.BytesIO(pdf)).pages[0].mediabox
        return round(box.width), round(box.height)

    assert size(held.pdf) == (595, 842)  # ISO 216: 210 x 297 mm
    assert size(fit.pdf) == (612, 792)  # 8.5 x 11 in


# What people type


def test_payloads_in_every_field_stay_text(shop: Shop) -> None:
    evil = " ".join(PAYLOADS)
    found = [
        replace(FRAME, name=f"Weld {evil}", reason=evil),
        replace(HUB, note=evil),
        Found("id.vin", "VIN plate", 1, readings=(("Read <b>", PAYLOADS[0], ""),)),
    ]
    made = stay(shop.book, found, owner="<img src=x> {{7*7}}")
    leaving = replace(carried(unseen_reason=PAYLOADS[0]), taken_by="{{7*7}}", carrier=PAYLOADS[0])
    key = made.hand_over(leaving)
    printed = Printed(shop, key, *shop.print(key))
    assert bare(PAYLOADS[0]) in bare(printed.text)
    assert "{{7*7}}" in printed.text
    assert "49" not in printed.text
    with pikepdf.open(io.BytesIO(printed.pdf)) as pdf:
        assert set(pdf.attachments) <= {"record.json", "due-dates.ics"}
        assert "/Names" not in pdf.Root or "/JavaScript" not in pdf.Root.Names
    assert b"root:" not in printed.pdf


def test_names_in_other_writing_and_words_without_end_do_not_stop_the_paper(shop: Shop) -> None:
    word = "x" * 10_000
    made = stay(shop.book, [replace(SEAL, reason=word)], owner="ليلى حداد")
    key = made.hand_over(carried())
    printed = Printed(shop, key, *shop.print(key))
    assert printed.text.count("x") >= 10_000
    with pikepdf.open(io.BytesIO(printed.pdf)) as pdf:
        inside = json.loads(pdf.attachments["record.json"].get_file().read_bytes())
    assert inside["owner"] == "ليلى حداد"


def test_three_hundred_findings_all_stand_on_the_paper(shop: Shop) -> None:
    found = [
        Found("wh.disc", f"Thing number {n:03}", n % 8 + 1, place=f"tire-{n}", reason=f"reads {n:03}")
        for n in range(300)
    ]
    made = stay(shop.book, found)
    key = made.hand_over(carried())
    text = bare(Printed(shop, key, *shop.print(key)).text)
    assert all(f"Thingnumber{n:03}" in text and f"eads{n:03}" in text for n in range(300))


# A whole walk-round


SIDES = [f"{side} tire, axle {axle}" for side in ("left", "right") for axle in (1, 2)]
NAMED = "Thing number {n:03}"


def walked_round() -> list[Found]:
    """A walk-round of 300: three in four plain, at four places or at the whole unit; some not seen."""
    plain = [
        Found("wh.disc", f"Wheel body, {side}", n % 8 + 1, place=f"tire-{n}-{m}", reason=NOTHING_SEEN)
        for n in range(40)
        for m, side in enumerate(SIDES)
    ]
    plain += [Found("fr.welds", NAMED.format(n=n), n % 8 + 1, place=f"side-{n}") for n in range(60)]
    plain += [Found("bo.roof", NAMED.format(n=n), 6, "unseen", f"x-{n}", note="wet") for n in range(60, 80)]
    read = [
        Found("ti.tread", NAMED.format(n=n), 5, place=f"tire-{n}", readings=(("Least", str(n), "in_32nd"),))
        for n in range(80, 140)
    ]
    return [*plain, *read]


@pytest.fixture(scope="module")
def whole(furnished: Path, tmp_path_factory: pytest.TempPathFactory, press: Press) -> Iterator[Printed]:
    """The paper of a whole walk-round."""
    shop = copied(furnished, tmp_path_factory.mktemp("whole"), press)
    key = stay(shop.book, walked_round()).hand_over(carried(unseen_reason="wet all week"))
    yield Printed(shop, key, *shop.print(key))
    shop.book.dispose()


def test_nothing_is_lost_when_plain_things_are_told_together(whole: Printed) -> None:
    text, lines = bare(whole.text), whole.record.lines
    assert len(lines) == 300
    named = [line for line in lines if line.name.startswith("Thing")]
    assert [line.name for line in named if text.count(bare(line.name)) != 1] == []
    for station in page_of(whole.record).stations:
        told = [name for fold in station.told.folds for group in fold.groups for name in group.names]
        told += [row.name for row in station.told.rows]
        assert sorted(told) == sorted(line.name for line in station.lines)
        for group in (group for fold in station.told.folds for group in fold.groups):
            assert bare("; ".join(group.things)) in text
            assert bare(group.where[1:]) in text


def test_what_was_read_keeps_its_row_and_what_is_plain_does_not(whole: Printed) -> None:
    text = bare(whole.text)
    assert [n for n in range(80, 140) if bare(f"{NAMED.format(n=n)}{n}/32in") not in text] == []
    assert text.count(bare(NOTHING_SEEN)[1:]) == 8  # once a station
    assert text.count("Notlookedat(wet)") == 1


def test_a_whole_walk_round_takes_few_pages(whole: Printed) -> None:
    # a page holds some 30 rows, so 300 rows would take ten pages; 60 rows and the paragraphs take fewer
    assert len(whole.pages) <= 6


# The front page


def test_the_front_keeps_at_most_six_duties_and_says_how_many_more(fit: Printed) -> None:
    duties = tuple(Duty(when=f"{n} miles", what="Look again.") for n in range(9))
    page = page_of(fit.record.model_copy(update={"duties": duties}))
    assert len(page.front.duties) == 6
    assert len(page.front.duties) + len(page.front.more_duties) == 9


def test_long_works_leave_room_for_two_at_least(fit: Printed) -> None:
    works = tuple(WorkDone(title="w" * 150, result="r" * 150, amount=1) for _ in range(8))
    page = page_of(fit.record.model_copy(update={"works": works}))
    assert 2 <= len(page.front.works) <= 6


def test_more_than_five_black_rows_become_a_boxed_list(fit: Printed) -> None:
    lines = tuple(it.model_copy(update={"state": Grade.DNT}) for it in fit.record.lines[:6])
    assert page_of(fit.record.model_copy(update={"lines": lines})).many
    assert not page_of(fit.record.model_copy(update={"lines": lines[:5]})).many


WHY = "Second person ill today; nuts gone round twice in the owner's sight"


def test_a_lead_who_overrules_that_another_person_clears_is_printed_with_the_reason(shop: Shop) -> None:
    made = stay(shop.book, [*SOUND, NUTS])
    made.price(say={})
    made.work(LEE)
    nuts, offered = made.findings[NUTS.name], Evidence(How.RECORD, job_id=1, reason=WHY)
    with pytest.raises(Refused, match="You did this work"):
        bench.clear_finding(shop.book, made.act(LEE), nuts, offered)
    bench.clear_finding(shop.book, made.act(LEE), nuts, replace(offered, how=How.OWN_WORK))
    made.check()
    key = made.hand_over()
    document, pdf = shop.print(key)
    text = Printed(shop, key, document, pdf).text
    assert bare(WHY) in bare(text)
    assert bare("who did the work and not another person") in bare(text)
