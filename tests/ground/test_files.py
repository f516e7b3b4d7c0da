"""Files by their content: kept once, whole, and reached by no other path."""

import hashlib
import os
import threading
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from app.ground import files


def test_a_file_stands_under_the_hash_of_its_content(tmp_path: Path) -> None:
    # FIPS 180-4, example: SHA-256 of "abc"
    expected = "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"
    assert files.keep(tmp_path, b"abc") == expected
    assert files.where(tmp_path, expected).read_bytes() == b"abc"
    assert files.read(tmp_path, expected) == b"abc"


def test_the_same_content_is_kept_once_and_not_written_again(tmp_path: Path) -> None:
    first = files.where(tmp_path, files.keep(tmp_path, b"abc"))
    before = first.stat().st_mtime_ns
    files.keep(tmp_path, b"abc")
    assert first.stat().st_mtime_ns == before
    assert len([path for path in tmp_path.rglob("*") if path.is_file()]) == 1


def test_eight_who_keep_the_same_at_once_leave_one_whole_file(tmp_path: Path) -> None:
    content = os.urandom(300_000)
    threads = [threading.Thread(target=files.keep, args=(tmp_path, content)) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    (kept,) = [path for path in tmp_path.rglob("*") if path.is_file()]
    assert kept.read_bytes() == content


TRAVERSALS = [
    "../../etc/passwd",
    "..%2f..%2fetc%2fpasswd",
    "/etc/passwd",
    "....//....//etc/passwd",
    "a" * 63 + "/",
    "A" * 64,
    "a" * 63,
    "a" * 65,
    "",
    "\0" * 64,
    "a" * 63 + "\n",
    "a" * 64 + "\n",
    "\uff0e\uff0e/" * 16,
]


@pytest.mark.parametrize("name", TRAVERSALS)
def test_nothing_but_a_hash_names_a_file(tmp_path: Path, name: str) -> None:
    with pytest.raises(ValueError, match="not a content hash"):
        files.where(tmp_path, name)


@given(st.text(max_size=80))
def test_no_text_leads_out_of_the_folder(name: str) -> None:
    folder = Path("stored")
    try:
        path = files.where(folder, name)
    except ValueError:
        return
    assert path.resolve().is_relative_to(folder.resolve())


def test_a_changed_or_missing_file_is_not_whole(tmp_path: Path) -> None:
    sha256 = files.keep(tmp_path, b"abc")
    assert files.whole(tmp_path, sha256)
    files.where(tmp_path, sha256).write_bytes(b"abd")
    assert not files.whole(tmp_path, sha256)
    files.where(tmp_path, sha256).unlink()
    assert not files.whole(tmp_path, sha256)


def test_a_write_that_breaks_leaves_nothing_under_the_name(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(OSError, match="No space"):
        files.keep(tmp_path, b"abc")
    monkeypatch.undo()
    sha256 = hashlib.sha256(b"abc").hexdigest()
    assert not files.where(tmp_path, sha256).exists()
    assert files.keep(tmp_path, b"abc") == sha256
