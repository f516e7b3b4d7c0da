"""Backup, restore, verify, export on a real book with real files."""

import csv
import io
import json
import sqlite3
import zipfile
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image
from sqlalchemy import Engine

from app.ground import backups, files
from app.ground.book import open_book, writing
from app.ground.photos import keep_photo, read_photo
from app.ground.settings import Settings
from app.ground.tables import Photo
from tests.conftest import NOON, act


@pytest.fixture
def photo(book: Engine, settings: Settings) -> Photo:
    out = io.BytesIO()
    Image.new("RGB", (640, 480), "white").save(out, "PNG")
    with writing(book) as session:
        return keep_photo(session, settings.files, act(), read_photo(out.getvalue()))


def test_a_sound_book_has_no_faults(settings: Settings, photo: Photo) -> None:
    assert backups.verify(settings) == []


def test_verify_names_a_photo_whose_file_was_changed(settings: Settings, photo: Photo) -> None:
    files.where(settings.files, photo.sha256).write_bytes(b"something else")
    assert backups.verify(settings) == [f"Photo {photo.id} is missing or changed."]


def test_verify_names_a_guard_that_was_taken_away(settings: Settings, book: Engine) -> None:
    with book.begin() as connection:
        connection.exec_driver_sql("DROP TRIGGER receipt_no_delete")
    assert backups.verify(settings) == ["The guard receipt_no_delete is missing."]


def test_verify_names_the_receipt_that_was_changed(settings: Settings, book: Engine) -> None:
    with book.begin() as connection:
        connection.exec_driver_sql("DROP TRIGGER receipt_no_update")
        connection.exec_driver_sql("UPDATE receipt SET device = 'another' WHERE id = 2")
    assert "Receipt 2 was changed, or one before it was taken away." in backups.verify(settings)


def test_verify_says_so_where_there_is_no_book(tmp_path: Path) -> None:
    with pytest.raises(backups.NotDone, match="no book"):
        backups.verify(Settings(data=tmp_path))


def test_a_restored_backup_equals_the_book_table_by_table_and_file_by_file(
    settings: Settings, photo: Photo, tmp_path: Path
) -> None:
    made = backups.backup(settings, tmp_path / "copies", NOON)
    other = Settings(data=tmp_path / "other")
    assert backups.restore(other, made, NOON) is None
    assert backups.table_hashes(other.book) == backups.table_hashes(settings.book)
    assert files.read(other.files, photo.sha256) == files.read(settings.files, photo.sha256)
    assert backups.verify(other) == []


def test_restoring_over_a_shop_moves_its_data_aside(
    settings: Settings, photo: Photo, tmp_path: Path, book: Engine
) -> None:
    made = backups.backup(settings, tmp_path / "copies", NOON)
    book.dispose()
    aside = backups.restore(settings, made, NOON)
    assert aside is not None
    assert (aside / "castlenut.db").is_file()
    assert backups.verify(settings) == []


@pytest.mark.parametrize("damage", ["truncated", "not a zip", "book changed", "file missing"])
def test_a_damaged_backup_is_refused_and_nothing_is_moved(
    settings: Settings, photo: Photo, tmp_path: Path, damage: str
) -> None:
    made = backups.backup(settings, tmp_path / "copies", NOON)
    _damage(made, damage)
    before = backups.table_hashes(settings.book)
    with pytest.raises(backups.NotDone):
        backups.restore(settings, made, NOON)
    assert backups.table_hashes(settings.book) == before


def _damage(made: Path, how: str) -> None:
    if how == "truncated":
        made.write_bytes(made.read_bytes()[:-200])
    elif how == "not a zip":
        made.write_text("nothing")
    else:
        _repack(made, how)


def _repack(made: Path, how: str) -> None:
    with zipfile.ZipFile(made) as old:
        held = {name: old.read(name) for name in old.namelist()}
    if how == "file missing":
        held.pop(next(name for name in held if name.startswith("files/")))
    else:
        changed = made.with_suffix(".db")
        changed.write_bytes(held["book.db"])
        with sqlite3.connect(changed) as raw:
            raw.execute("UPDATE person SET name = 'Someone else' WHERE id = 1")
        raw.close()
        held["book.db"] = changed.read_bytes()
    with zipfile.ZipFile(made, "w") as new:
        for name, content in held.items():
            new.writestr(name, content)


def test_a_folder_in_use_is_refused(settings: Settings, photo: Photo, tmp_path: Path) -> None:
    made = backups.backup(settings, tmp_path, NOON)
    with backups.alone(settings), pytest.raises(backups.NotDone, match="Another Castlenut runs"):
        backups.restore(settings, made, NOON)


def test_an_export_holds_every_row_and_file_and_no_secret(
    settings: Settings, photo: Photo, tmp_path: Path
) -> None:
    done = backups.export(settings, tmp_path / "all.zip")
    assert done.files == 1
    with zipfile.ZipFile(done.path) as held:
        people = json.loads(held.read("json/person.json"))
        assert [each["name"] for each in people] == ["Lee", "Wren", "Toni"]
        assert "passphrase_hash" not in people[0]
        assert held.read(f"photos/{photo.id}.jpg") == files.read(settings.files, photo.sha256)
        rows = list(csv.DictReader(io.StringIO(held.read("csv/person.csv").decode())))
    assert [each["role"] for each in rows] == ["lead", "writer", "technician"]


@given(st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=40))
def test_no_cell_of_a_csv_runs_as_a_formula(text: str) -> None:
    # OWASP: CSV injection; cells that start with = + - @ TAB CR are taken as formulas
    written = backups.csv_text(["note"], [{"note": text}])
    cell = list(csv.reader(io.StringIO(written, newline="")))[1:]
    found = cell[0][0] if cell and cell[0] else ""
    assert not found.startswith(("=", "+", "-", "@", "\t", "\r", "\uff1d", "\uff0b", "\uff0d", "\uff20"))
    assert found.removeprefix("'") == text.removeprefix("'")


def test_opening_an_older_book_copies_it_first(book: Engine, settings: Settings, tmp_path: Path) -> None:
    from app.ground.migrating import migrate

    with book.begin() as connection:
        connection.exec_driver_sql("UPDATE alembic_version SET version_num = '0000'")
    with pytest.raises(Exception, match="0000"):
        migrate(book, tmp_path / "before.db")
    copy = open_book(tmp_path / "before.db")
    with copy.connect() as connection:
        assert connection.exec_driver_sql("SELECT count(*) FROM person").scalar() == 3
    copy.dispose()
