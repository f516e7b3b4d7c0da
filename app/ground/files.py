"""Photos and documents on disk, each under the SHA-256 of its content."""

import hashlib
import os
import re
import secrets
from pathlib import Path

_HASH = re.compile(r"[0-9a-f]{64}")


def keep(folder: Path, content: bytes) -> str:
    """The SHA-256 under which the content is now on disk, flushed; the same content is kept once."""
    sha256 = hashlib.sha256(content).hexdigest()
    put(folder, sha256, content)
    return sha256


def put(folder: Path, sha256: str, content: bytes) -> Path:
    """Where the content is now on disk, flushed, under a hash: its own, or that of what it was made from."""
    path = where(folder, sha256)
    if not path.exists():
        if not path.parent.exists():
            path.parent.mkdir(parents=True, exist_ok=True)
            _flush_folder(folder)  # else a power cut may take the new folder with what is in it
        _write(path, content)
    return path


def _write(path: Path, content: bytes) -> None:
    half = path.with_name(f"{path.name}.{secrets.token_hex(4)}.part")
    with half.open("wb") as out:
        out.write(content)
        out.flush()
        os.fsync(out.fileno())
    half.replace(path)
    _flush_folder(path.parent)


def _flush_folder(folder: Path) -> None:
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


def where(folder: Path, sha256: str) -> Path:
    """Path of a kept file; ValueError where the text is no hash, so that no path can be smuggled in."""
    if not _HASH.fullmatch(sha256):
        raise ValueError(f"not a content hash: {sha256[:80]!r}")
    return folder / sha256[:2] / sha256


def read(folder: Path, sha256: str) -> bytes:
    """The content of a kept file."""
    return where(folder, sha256).read_bytes()


def whole(folder: Path, sha256: str) -> bool:
    """Whether a kept file is there and still has its content."""
    path = where(folder, sha256)
    return path.is_file() and hashlib.sha256(path.read_bytes()).hexdigest() == sha256
