"""Backup, restore, verify, export: the shop's book and files as a whole.

A backup is one zip file: the book as one consistent snapshot, every photo and document, and a manifest with
the count and the SHA-256 of each table and file. It is checked before it gets its name, and again when it is
restored: table by table, file by file.
"""

import csv
import fcntl
import hashlib
import io
import json
import shutil
import sqlite3
import tempfile
import zipfile
from collections.abc import Iterable, Iterator
from contextlib import closing, contextmanager
from dataclasses import dataclass
from datetime import datetime
from importlib.metadata import version
from pathlib import Path
from typing import Any

from sqlmodel import select

from app.ground import files, receipts
from app.ground.book import open_book, reading
from app.ground.cells import harmless
from app.ground.migrating import triggers
from app.ground.settings import Settings
from app.ground.tables import APPEND_ONLY, Document, Photo

MANIFEST, BOOK, FILES = "manifest.json", "book.db", "files/"


class NotDone(Exception):
    """A command could not be carried out; the text says why, and what to do, in one sentence."""


@contextmanager
def alone(settings: Settings) -> Iterator[None]:
    """Hold the shop's folder for one program; raises NotDone where another one runs on it."""
    settings.data.mkdir(parents=True, exist_ok=True)
    with (settings.data / "in-use").open("w") as held:
        try:
            fcntl.flock(held, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            raise NotDone(f"Another Castlenut runs on {settings.data}; stop it first.") from None
        yield


def verify(settings: Settings) -> list[str]:
    """What is wrong with the shop's book and files, one sentence each; nothing where all is well.

    Looks at the database's own integrity, rows that point at nothing, missing append-only triggers, the chain
    of receipts, and every stored file against its hash.
    """
    if not settings.book.is_file():
        raise NotDone(f"There is no book in {settings.data}.")
    with closing(sqlite3.connect(f"file:{settings.book}?mode=ro", uri=True)) as raw:
        return [*_database_faults(raw), *_row_faults(settings)]


def _database_faults(raw: sqlite3.Connection) -> Iterator[str]:
    for (says,) in raw.execute("PRAGMA integrity_check"):
        if says != "ok":
            yield f"The database is damaged: {says}."
    for table, row, parent, _ in raw.execute("PRAGMA foreign_key_check"):
        yield f"Row {row} of {table} points at a {parent} that is not there."
    standing = {name for (name,) in raw.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")}
    for statement in triggers(APPEND_ONLY):
        name = statement.split()[5]
        if name not in standing:
            yield f"The guard {name} is missing."


def _row_faults(settings: Settings) -> Iterator[str]:
    book = open_book(settings.book)
    with reading(book) as session:
        for key in receipts.broken(session):
            yield f"Receipt {key} was changed, or one before it was taken away."
        for document in session.exec(select(Document)):
            if not files.whole(settings.files, document.sha256):
                yield f"The paper {document.kind} {document.number}, {document.issue} is missing or changed."
        for photo in session.exec(select(Photo)):
            if not all(files.whole(settings.files, each) for each in (photo.sha256, photo.small_sha256)):
                yield f"Photo {photo.id} is missing or changed."
    book.dispose()


def counts(settings: Settings) -> dict[str, int]:
    """Number of rows of each table."""
    with closing(sqlite3.connect(f"file:{settings.book}?mode=ro", uri=True)) as raw:
        return {name: int(_table_hash(raw, name)["rows"]) for name in _tables(raw)}


def backup(settings: Settings, folder: Path, at: datetime) -> Path:
    """The backup file made in `folder`, checked; works while the program runs.

    Raises NotDone where the snapshot is not sound, and leaves no file of that name.
    """
    folder.mkdir(parents=True, exist_ok=True)
    target = folder / f"castlenut-{at:%Y%m%d-%H%M%S}.zip"
    with tempfile.TemporaryDirectory(dir=folder, prefix=".castlenut-") as scratch:
        snapshot = Path(scratch) / BOOK
        _snapshot(settings.book, snapshot)
        half = Path(scratch) / target.name
        _pack(half, snapshot, settings.files, at)
        _check(half)
        half.replace(target)
    return target


def _snapshot(book: Path, into: Path) -> None:
    if not book.is_file():
        raise NotDone(f"There is no book at {book}.")
    with closing(sqlite3.connect(book)) as live, closing(sqlite3.connect(into)) as copy:
        live.backup(copy)
        copy.execute("PRAGMA journal_mode=DELETE")
        if copy.execute("PRAGMA integrity_check").fetchone()[0] != "ok":
            raise NotDone("The book is damaged, so no backup was made; run castlenut verify.")


def _pack(target: Path, snapshot: Path, stored: Path, at: datetime) -> None:
    named = {f"{FILES}{path.name}": path for path in sorted(stored.glob("??/*")) if len(path.name) == 64}
    manifest = {
        "made_at": at.isoformat(),
        "version": version("castlenut"),
        "tables": table_hashes(snapshot),
        "files": {name: _sha256(path) for name, path in named.items()},
    }
    with zipfile.ZipFile(target, "w") as out:
        out.write(snapshot, BOOK)
        for name, path in named.items():
            out.write(path, name)
        out.writestr(MANIFEST, json.dumps(manifest, indent=1))


def _sha256(path: Path) -> str:
    with path.open("rb") as content:
        return hashlib.file_digest(content, "sha256").hexdigest()


def _tables(raw: sqlite3.Connection) -> list[str]:
    found = raw.execute("SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%'")
    return sorted(name for (name,) in found)


def table_hashes(book: Path) -> dict[str, dict[str, Any]]:
    """Count and SHA-256 of the rows of each table, in the order of their keys."""
    with closing(sqlite3.connect(f"file:{book}?mode=ro", uri=True)) as raw:
        return {name: _table_hash(raw, name) for name in _tables(raw)}


def _table_hash(raw: sqlite3.Connection, name: str) -> dict[str, Any]:
    digest, count = hashlib.sha256(), 0
    for row in raw.execute(f'SELECT * FROM "{name}" ORDER BY 1'):  # noqa: S608 - a name from the schema itself
        digest.update(repr(row).encode())
        count += 1
    return {"rows": count, "sha256": digest.hexdigest()}


def _check(backup_file: Path) -> None:
    """Open a backup again and compare all of it with its manifest; raises NotDone naming what differs."""
    with tempfile.TemporaryDirectory() as scratch, zipfile.ZipFile(backup_file) as packed:
        packed.extract(BOOK, scratch)
        manifest = json.loads(packed.read(MANIFEST))
        if table_hashes(Path(scratch) / BOOK) != manifest["tables"]:
            raise NotDone("The backup's book differs from its manifest.")
        for name, sha256 in manifest["files"].items():
            if hashlib.sha256(packed.read(name)).hexdigest() != sha256:
                raise NotDone(f"{name} in the backup differs from its manifest.")


def restore(settings: Settings, backup_file: Path, at: datetime) -> Path | None:
    """Put a backup in the place of the shop's data; returns where the data that stood there was moved.

    The backup is checked first, and the restored book is compared with it table by table. Raises NotDone
    where the file is no sound backup or another program runs on the folder; then nothing has changed.
    """
    with alone(settings):
        try:
            _check(backup_file)
        except (OSError, KeyError, ValueError, sqlite3.Error, zipfile.BadZipFile) as wrong:
            raise NotDone(f"{backup_file} is not a backup that can be read: {wrong}") from wrong
        aside = _move_aside(settings, at)
        with zipfile.ZipFile(backup_file) as packed:
            settings.book.write_bytes(packed.read(BOOK))
            for name in packed.namelist():
                if name.startswith(FILES):
                    files.keep(settings.files, packed.read(name))
            expected = json.loads(packed.read(MANIFEST))["tables"]
        if table_hashes(settings.book) != expected:
            raise NotDone("The restored book differs from the backup; the data that stood here was kept.")
    return aside


def _move_aside(settings: Settings, at: datetime) -> Path | None:
    """Where the present data went; -wal and -shm go along, so that no old frame is mixed in."""
    everything = [*settings.data.glob("castlenut.db*"), settings.files]
    standing = [path for path in everything if path.exists()]
    if not standing:
        return None
    aside = settings.data / f"before-restore-{at:%Y%m%d-%H%M%S}"
    aside.mkdir()
    for path in standing:
        shutil.move(path, aside / path.name)
    return aside


@dataclass(frozen=True)
class Exported:
    """What an export holds."""

    path: Path
    tables: int
    rows: int
    files: int


SECRET = {"passphrase_hash", "cookie_hash", "form_token"}


def export(settings: Settings, target: Path) -> Exported:
    """Everything as open formats in one zip: each table as JSON and as CSV, papers as PDF, photos as JPEG.

    Passphrase hashes and sign-in cookies are left out.
    """
    with tempfile.TemporaryDirectory() as scratch:
        snapshot = Path(scratch) / BOOK
        _snapshot(settings.book, snapshot)
        packed = zipfile.ZipFile(target, "w", zipfile.ZIP_DEFLATED)
        with closing(sqlite3.connect(snapshot)) as raw, packed as out:
            raw.row_factory = sqlite3.Row
            tables = _tables(raw)
            rows = sum(_export_table(raw, name, out) for name in tables)
            stored = sum(_export_file(out, *each, settings) for each in _stored(raw))
    return Exported(target, len(tables), rows, stored)


def _export_table(raw: sqlite3.Connection, name: str, out: zipfile.ZipFile) -> int:
    found = raw.execute(f'SELECT * FROM "{name}" ORDER BY 1')  # noqa: S608 - a name from the schema itself
    columns = [column[0] for column in found.description if column[0] not in SECRET]
    rows = [{column: row[column] for column in columns} for row in found]
    out.writestr(f"json/{name}.json", json.dumps(rows, ensure_ascii=False, indent=1))
    out.writestr(f"csv/{name}.csv", csv_text(columns, rows))
    return len(rows)


def csv_text(columns: list[str], rows: Iterable[dict[str, Any]]) -> str:
    """Rows as CSV (RFC 4180) that a spreadsheet shows as text and never runs as a formula."""
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(columns)
    for row in rows:
        writer.writerow([_cell(row[column]) for column in columns])
    return out.getvalue()


def _cell(value: Any) -> Any:  # noqa: ANN401 - whatever a column holds
    return harmless(value) if isinstance(value, str) else value


def _stored(raw: sqlite3.Connection) -> Iterator[tuple[str, str]]:
    for row in raw.execute("SELECT kind, number, issue, sha256 FROM document"):
        yield f"papers/{row['kind']}-{row['number']}-{row['issue']}.pdf".replace(" ", "-"), row["sha256"]
    for row in raw.execute("SELECT id, sha256 FROM photo"):
        yield f"photos/{row['id']}.jpg", row["sha256"]


def _export_file(out: zipfile.ZipFile, name: str, sha256: str, settings: Settings) -> int:
    out.write(files.where(settings.files, sha256), name)
    return 1
