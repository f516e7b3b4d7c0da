"""The command line, as a person runs it."""

import re
import shutil
import ssl
import subprocess
import sys
import time
import urllib.error
import urllib.request
import zipfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest
from fastapi.testclient import TestClient
from sqlalchemy import Engine

from app.ground import backups
from app.ground.settings import Settings
from app.web import build
from tests.certificates import self_signed
from tests.conftest import PASSPHRASE


def castlenut(*words: str | Path) -> subprocess.CompletedProcess[str]:
    return subprocess.run(
        [sys.executable, "-m", "app", *map(str, words)], capture_output=True, text=True, check=False
    )


@contextmanager
def running(*words: str | Path) -> Iterator[str]:
    """The address of a program that serves until the end of the block."""
    command = [sys.executable, "-m", "app", *map(str, words)]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        try:
            said = next(line for line in process.stdout if "Castlenut is at" in line)
            address = re.search(r"https?://\S+", said)
            assert address
            yield address[0]
        finally:
            process.terminate()


def answers(address: str, trusting: ssl.SSLContext | None = None) -> str:
    for _ in range(100):
        try:
            with urllib.request.urlopen(address, context=trusting) as page:
                return str(page.read().decode())
        except OSError:
            time.sleep(0.1)
    raise AssertionError(address)


def free_port() -> str:
    import socket

    with socket.socket() as held:
        held.bind(("127.0.0.1", 0))
        return str(held.getsockname()[1])


def test_verify_says_that_all_is_well_and_leaves_with_zero(settings: Settings, book: Engine) -> None:
    done = castlenut("verify", "--data", settings.data)
    assert done.returncode == 0
    assert done.stdout.startswith("All is well: ")


def test_verify_names_what_is_wrong_and_leaves_with_one(settings: Settings, book: Engine) -> None:
    with book.begin() as connection:
        connection.exec_driver_sql("DROP TRIGGER receipt_no_update")
    done = castlenut("verify", "--data", settings.data)
    assert done.returncode == 1
    assert done.stdout == "The guard receipt_no_update is missing.\n"


def test_a_command_on_an_empty_folder_stops_with_one_sentence(tmp_path: Path) -> None:
    for command in (("verify",), ("backup",), ("export", tmp_path / "x.zip")):
        done = castlenut(*command, "--data", tmp_path / "none")
        assert done.returncode == 1
        assert re.fullmatch(r"There is no book .*\n", done.stderr)


def test_backup_and_restore_bring_a_shop_to_another_folder(
    settings: Settings, book: Engine, tmp_path: Path
) -> None:
    made = castlenut("backup", "--data", settings.data, "--to", tmp_path)
    assert made.returncode == 0
    (copy,) = tmp_path.glob("castlenut-*.zip")
    done = castlenut("restore", copy, "--data", tmp_path / "new")
    assert done.stdout == "Restored and compared table by table.\n"
    assert backups.table_hashes(tmp_path / "new" / "castlenut.db") == backups.table_hashes(settings.book)


def test_export_writes_open_formats(settings: Settings, book: Engine, tmp_path: Path) -> None:
    done = castlenut("export", tmp_path / "all.zip", "--data", settings.data)
    assert done.returncode == 0
    with zipfile.ZipFile(tmp_path / "all.zip") as held:
        assert "json/person.json" in held.namelist()


def test_serve_opens_a_new_shop_and_a_second_one_on_the_same_folder_is_refused(tmp_path: Path) -> None:
    folder = tmp_path / "shop"
    with running("serve", "--data", folder, "--port", free_port()) as address:
        assert "Open the shop" in answers(f"{address}/people/first")
        second = castlenut("serve", "--data", folder, "--port", free_port())
        assert second.returncode == 1
        assert "Another Castlenut runs on" in second.stderr
        assert castlenut("backup", "--data", folder).returncode == 0


def test_serving_the_shops_network_is_asked_for_by_name_and_said_on_every_page(tmp_path: Path) -> None:
    port = free_port()
    with running("serve", "--data", tmp_path, "--port", port, "--at", "shop.test") as address:
        assert address == f"http://shop.test:{port}"
        asked = urllib.request.Request(f"http://127.0.0.1:{port}/people/first", headers={"Host": "shop.test"})
        for _ in range(100):
            try:
                page = urllib.request.urlopen(asked).read().decode()
                break
            except OSError:
                time.sleep(0.1)
        assert "Not encrypted: for a network that you trust." in page
        stranger = urllib.request.Request(asked.full_url, headers={"Host": "evil.test"})
        with pytest.raises(urllib.error.HTTPError, match="400"):
            urllib.request.urlopen(stranger)


@pytest.fixture
def certificate(tmp_path: Path) -> tuple[Path, Path]:
    """A certificate for shop.test, signed by itself, and its key."""
    return self_signed(tmp_path, "shop.test")


def test_with_certificate_and_key_it_serves_encrypted_and_says_so(
    tmp_path: Path, certificate: tuple[Path, Path]
) -> None:
    port, (made, key) = free_port(), certificate
    files = ("--certificate", made, "--key", key)
    with running("serve", "--data", tmp_path / "s", "--port", port, "--at", "shop.test", *files) as address:
        assert address == f"https://shop.test:{port}"
        trusting = ssl.create_default_context(cafile=str(made))
        page = answers(f"https://127.0.0.1:{port}/people/first", trusting)
        assert "Not encrypted" not in page
        with pytest.raises(OSError, match="self-signed"):  # a stranger to the certificate does not trust it
            urllib.request.urlopen(f"https://127.0.0.1:{port}/")


def test_encrypted_the_cookie_is_for_encrypted_pages_only(furnished: Path, tmp_path: Path) -> None:
    """RFC 6265bis, 4.1.3.2: `__Host-` with Secure and path / binds a cookie to this host over HTTPS."""
    settings = Settings(data=tmp_path / "shop", hosts=("testserver",), secure=True)
    settings.data.mkdir()
    shutil.copy(furnished, settings.book)
    client = TestClient(build(settings), base_url="https://testserver", follow_redirects=False)
    form = {"name": "Toni", "passphrase": PASSPHRASE, "then": "/"}
    answer = client.post("/people/sign-in", data=form, headers={"Origin": "https://testserver"})
    cookie = answer.headers["set-cookie"]
    assert cookie.startswith("__Host-castlenut=")
    assert {"Secure", "HttpOnly", "Path=/", "SameSite=strict"} <= set(cookie.split("; "))
    assert "Domain" not in cookie


def test_half_of_certificate_and_key_or_two_that_do_not_fit_stop_with_one_sentence(
    tmp_path: Path, certificate: tuple[Path, Path]
) -> None:
    made, key = certificate
    half = castlenut("serve", "--data", tmp_path / "s", "--certificate", made)
    assert (half.returncode, half.stderr) == (
        1,
        "To serve encrypted, name both: --certificate FILE and --key FILE.\n",
    )
    unlike = castlenut("serve", "--data", tmp_path / "s", "--certificate", key, "--key", made)
    assert unlike.returncode == 1
    assert re.fullmatch(r"Certificate and key cannot be used: .*\n", unlike.stderr)
    assert not (tmp_path / "s").exists()


def test_encrypted_by_its_own_certificate_it_says_what_a_tablet_has_to_trust(tmp_path: Path) -> None:
    folder, port = tmp_path / "s", free_port()
    command = [sys.executable, "-m", "app", "serve", "--data", folder, "--port", port, "--at", "shop.test"]
    with subprocess.Popen([*command, "--encrypted"], stdout=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        try:
            told = [process.stdout.readline() for _ in range(3)]
            assert f"open https://shop.test:{port}/authority.crt and trust that authority" in told[0]
            assert re.fullmatch(r"Its SHA-256 fingerprint, .*: (?:[0-9A-F]{2}:){31}[0-9A-F]{2}\n", told[1])
            assert told[2].startswith(f"Castlenut is at https://shop.test:{port}")
            trusting = ssl.create_default_context(cafile=str(folder / "certificates" / "authority.crt"))
            assert "Not encrypted" not in answers(f"https://127.0.0.1:{port}/people/first", trusting)
        finally:
            process.terminate()
    for words, says in (
        (
            ("--at", "new.test"),
            r"The shop's authority in .* is for .*shop\.test alone\. Serve at these names, .*",
        ),
        (
            ("--key", folder),
            r"Take --encrypted for the shop's own certificate, or name files, not both\.",
        ),
    ):
        refused = castlenut("serve", "--data", folder, "--encrypted", *words)
        assert refused.returncode == 1
        assert re.fullmatch(rf"{says}\n", refused.stderr)
