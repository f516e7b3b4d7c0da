"""Certificates that sign themselves, for servers that a test runs."""

import subprocess
from pathlib import Path

ASKED = ["openssl", "req", "-x509", "-newkey", "rsa:2048", "-nodes", "-days", "30"]


def self_signed(folder: Path, host: str) -> tuple[Path, Path]:
    """A certificate of a host on this machine, signed by itself, and its key."""
    made, key = folder / f"{host}.pem", folder / f"{host}.key"
    named = ["-subj", f"/CN={host}", "-addext", f"subjectAltName=DNS:{host},IP:127.0.0.1"]
    subprocess.run([*ASKED, *named, "-keyout", key, "-out", made], check=True, capture_output=True)
    return made, key
