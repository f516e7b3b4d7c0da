"""Backup, restore, export and verify on shops of three sizes: new, one unit, a hundred units."""

import csv
import io
import json
import sqlite3
import threading
import zipfile
from collections.abc import Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from PIL import Image
from sqlalchemy import Engine

from app.ground import backups, files
from app.ground.book import open_book
from app.ground.photos import read_photo
from app.ground.settings import Settings
from app.intake import steps
from app.intake.arrival import Arrival, Kind, OwnerSaid, StaySaid, UnitSaid
from app.intake.steps import Album, Shot
from tests.conftest import NOON, act


@dataclass(frozen=True)
class Sized:
    """A shop of some size: its settings, its number of units and of different photos."""

    settings: Settings
    units: int
    photos: int
    book: Engine


@pytest.fixture(scope="module", params=[0, 1, 100], ids=["new", "one unit", "a hundred units"])
def shop(
    request: pytest.FixtureRequest, furnished: Path, tmp_path_factory: pytest.TempPathFactory
) -> Iterator[Sized]:
    settings = Settings(data=tmp_path_factory.mktemp("sized"))
    settings.book.write_bytes(furnished.read_bytes())
    engine = open_book(settings.book)
    for number in range(request.param):
        shots = (Shot(read_photo(_photo(number)), "Tail"),) if number % 10 == 0 else ()
        owner = OwnerSaid(f"Zoë “Holm” {number}", phone=f"555 555 {number:04}")
        arrival = Arrival(
            StaySaid((f'It says "=1+{number}", loud',)), owner, UnitSaid(Kind.CARGO, plate=f"P {number}")
        )
        steps.take_in(engine, act(at=NOON + timedelta(hours=number)), arrival, Album(settings.files, shots))
    yield Sized(settings, request.param, -(-request.param // 10), engine)
    engine.dispose()


def _photo(number: int) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (600, 400), (number, 40, 90)).save(out, "PNG")
    return out.getvalue()


def test_a_shop_of_any_size_is_sound(shop: Sized) -> None:
    assert backups.verify(shop.settings) == []
    counted = backups.counts(shop.settings)
    assert counted["unit"] == counted["workorder"] == counted["concern"] == shop.units
    assert counted["photo"] == shop.photos
    assert counted["person"] == 3


def test_a_restored_shop_of_any_size_is_the_same_in_every_table_and_file(shop: Sized, tmp_path: Path) -> None:
    made = backups.backup(shop.settings, tmp_path / "copies", NOON)
    other = Settings(data=tmp_path / "other")
    assert backups.restore(other, made, NOON) is None
    assert backups.table_hashes(other.book) == backups.table_hashes(shop.settings.book)
    assert stored(other) == stored(shop.settings)
    assert len(stored(other)) == 2 * shop.photos  # print size and small
    assert backups.verify(other) == []


def stored(settings: Settings) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in settings.files.glob("??/*")}


def test_the_manifest_says_how_many_rows_and_what_each_file_holds(shop: Sized, tmp_path: Path) -> None:
    made = backups.backup(shop.settings, tmp_path, NOON)
    assert made.name == "castlenut-20260504-160000.zip"
    with zipfile.ZipFile(made) as packed:
        assert packed.testzip() is None
        manifest = json.loads(packed.read("manifest.json"))
        names = set(packed.namelist())
    assert manifest["made_at"] == "2026-05-04T16:00:00+00:00"
    assert {name: it["rows"] for name, it in manifest["tables"].items()} == backups.counts(shop.settings)
    assert names == {"manifest.json", "book.db", *manifest["files"]}


def test_the_book_in_a_backup_opens_by_itself_in_any_sqlite(shop: Sized, tmp_path: Path) -> None:
    with zipfile.ZipFile(backups.backup(shop.settings, tmp_path, NOON)) as packed:
        packed.extract("book.db", tmp_path)
    with closing(sqlite3.connect(tmp_path / "book.db")) as raw:
        assert raw.execute("PRAGMA integrity_check").fetchone() == ("ok",)
        assert raw.execute("PRAGMA journal_mode").fetchone() == ("delete",)  # no -wal beside it to lose
        assert raw.execute("SELECT count(*) FROM unit").fetchone() == (shop.units,)


def test_an_export_opens_as_json_and_as_csv_with_the_same_rows_as_the_book(
    shop: Sized, tmp_path: Path
) -> None:
    done = backups.export(shop.settings, tmp_path / "all.zip")
    counted = backups.counts(shop.settings)
    assert (done.tables, done.rows, done.files) == (len(counted), sum(counted.values()), shop.photos)
    with zipfile.ZipFile(done.path) as held, closing(sqlite3.connect(shop.settings.book)) as raw:
        assert held.testzip() is None
        for table, rows in counted.items():
            told = json.loads(held.read(f"json/{table}.json"))
            listed = list(csv.reader(io.StringIO(held.read(f"csv/{table}.csv").decode(), newline="")))
            kept = [name for _, name, *_ in raw.execute(f'PRAGMA table_info("{table}")')]
            shown = [name for name in kept if name not in backups.SECRET]
            assert len(told) == rows == len(listed) - 1, table
            assert listed[0] == shown, table
            assert all(list(row) == shown for row in told), table
            assert all(len(line) == len(shown) for line in listed), table


def test_words_come_out_of_an_export_as_they_were_said(shop: Sized, tmp_path: Path) -> None:
    with zipfile.ZipFile(backups.export(shop.settings, tmp_path / "all.zip").path) as held:
        told = json.loads(held.read("json/concern.json"))
        listed = list(csv.DictReader(io.StringIO(held.read("csv/owner.csv").decode(), newline="")))
    assert [each["words"] for each in told] == [f'It says "=1+{n}", loud' for n in range(shop.units)]
    assert [each["name"] for each in listed] == [f"Zoë “Holm” {n}" for n in range(shop.units)]


def test_every_photo_of_an_export_is_a_picture_under_its_number(shop: Sized, tmp_path: Path) -> None:
    with zipfile.ZipFile(backups.export(shop.settings, tmp_path / "all.zip").path) as held:
        names = sorted(name for name in held.namelist() if name.startswith("photos/"))
        pictures = [Image.open(io.BytesIO(held.read(name))) for name in names]
    assert names == sorted(f"photos/{key}.jpg" for key in range(1, shop.photos + 1))
    assert all((it.format, it.size) == ("JPEG", (600, 400)) for it in pictures)


def test_nothing_secret_is_in_an_export(shop: Sized, tmp_path: Path) -> None:
    with zipfile.ZipFile(backups.export(shop.settings, tmp_path / "all.zip").path) as held:
        text = "".join(
            held.read(name).decode() for name in held.namelist() if name.startswith(("json", "csv"))
        )
    assert "argon2" not in text
    assert not any(secret in text for secret in backups.SECRET)


# --- while the shop works, and where a disk gives out -------------------------------------------


def test_a_backup_taken_while_others_write_is_of_one_moment(
    settings: Settings, book: Engine, tmp_path: Path
) -> None:
    stop = threading.Event()

    def work() -> None:
        while not stop.is_set():
            owner = OwnerSaid("Holm")
            steps.take_in(book, act(), Arrival(StaySaid(("It leaks.",)), owner, UnitSaid(Kind.CARGO)))

    worker = threading.Thread(target=work)
    worker.start()
    try:
        made = [backups.backup(settings, tmp_path / str(n), NOON) for n in range(4)]
    finally:
        stop.set()
        worker.join()
    for number, each in enumerate(made):
        other = Settings(data=tmp_path / f"other {number}")
        backups.restore(other, each, NOON)
        counted = backups.counts(other)
        assert counted["unit"] == counted["workorder"] == counted["owner"] == counted["concern"]
        assert counted["receipt"] == counted["unit"] + 3
        assert backups.verify(other) == []


def test_a_backup_that_cannot_be_made_leaves_nothing_of_its_name(
    settings: Settings, book: Engine, tmp_path: Path
) -> None:
    with pytest.raises(backups.NotDone, match="There is no book"):
        backups.backup(Settings(data=tmp_path / "none"), tmp_path / "copies", NOON)
    assert list((tmp_path / "copies").iterdir()) == []


def test_a_book_damaged_in_the_middle_is_not_backed_up_as_if_it_were_whole(
    settings: Settings, book: Engine, tmp_path: Path
) -> None:
    book.dispose()
    with settings.book.open("r+b") as raw:
        raw.seek(4096 * 3)
        raw.write(b"\xff" * 4096 * 6)
    with pytest.raises((backups.NotDone, sqlite3.DatabaseError)):
        backups.backup(settings, tmp_path / "copies", NOON)
    assert not list((tmp_path / "copies").glob("*.zip"))


@pytest.mark.parametrize("member", ["../outside.db", "/outside.db", "files/../../outside.db"])
def test_nothing_in_a_backup_is_unpacked_outside_the_folder(
    settings: Settings, book: Engine, tmp_path: Path, member: str
) -> None:
    made = backups.backup(settings, tmp_path / "copies", NOON)
    with zipfile.ZipFile(made, "a") as packed:
        packed.writestr(member, b"smuggled")
    other = Settings(data=tmp_path / "deep" / "other")
    backups.restore(other, made, NOON)
    assert not list(tmp_path.rglob("outside*"))
    assert backups.verify(other) == []


def test_restoring_twice_in_a_row_keeps_both_of_what_stood(
    settings: Settings, book: Engine, tmp_path: Path
) -> None:
    made = backups.backup(settings, tmp_path / "copies", NOON)
    book.dispose()
    times: tuple[datetime, ...] = (NOON, NOON + timedelta(seconds=1))
    aside = [backups.restore(settings, made, at) for at in times]
    assert len({*aside}) == 2
    assert all(each is not None and (each / "castlenut.db").is_file() for each in aside)


@pytest.mark.parametrize("copy", ["print", "small"])
@pytest.mark.parametrize("harm", ["changed", "removed", "cut off"])
def test_verify_looks_at_both_copies_of_every_photo(
    settings: Settings, book: Engine, copy: str, harm: str
) -> None:
    album = Album(settings.files, (Shot(read_photo(_large())),))
    steps.take_in(book, act(), Arrival(StaySaid(), OwnerSaid("Ida Holm"), UnitSaid(Kind.CARGO)), album)
    made = read_photo(_large())
    sha256 = files.keep(settings.files, made.print_jpeg if copy == "print" else made.small_jpeg)
    path = files.where(settings.files, sha256)
    if harm == "removed":
        path.unlink()
    else:
        path.write_bytes(b"x" if harm == "changed" else path.read_bytes()[:-1])
    assert backups.verify(settings) == ["Photo 1 is missing or changed."]


def _large() -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (900, 600), "teal").save(out, "PNG")
    return out.getvalue()


def test_verify_names_a_row_that_points_at_nothing(settings: Settings, book: Engine) -> None:
    steps.take_in(book, act(), Arrival(StaySaid(("It leaks.",)), OwnerSaid("Ida"), UnitSaid(Kind.CARGO)))
    book.dispose()
    with closing(sqlite3.connect(settings.book)) as careless:
        careless.execute("DELETE FROM workorder")
        careless.commit()
    assert backups.verify(settings) == ["Row 1 of concern points at a workorder that is not there."]


def test_a_folder_is_given_back_when_its_program_ends(settings: Settings) -> None:
    for _ in range(2):
        with backups.alone(settings):
            pass
    with backups.alone(settings), pytest.raises(backups.NotDone), backups.alone(settings):
        pass
