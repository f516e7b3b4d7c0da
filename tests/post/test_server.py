"""`smtp.toml` in the shop's folder: read, or refused with a reason that tells no secret."""

from pathlib import Path

import pytest

from app.post.server import MailServer, Unusable, read_server

SECRET = "brass hinge"
WHOLE = f'host = "mail.shop.example"\nuser = "desk"\npassphrase = "{SECRET}"\n'


def written(folder: Path, text: str, mode: int = 0o600) -> Path:
    """The shop's folder with the file in it."""
    path = folder / "smtp.toml"
    path.write_text(text)
    path.chmod(mode)
    return folder


def test_without_the_file_there_is_no_server(tmp_path: Path) -> None:
    assert read_server(tmp_path, "desk@shop.example") is None


def test_the_least_that_is_needed_is_enough(tmp_path: Path) -> None:
    found = read_server(written(tmp_path, WHOLE), "desk@shop.example")
    assert found == MailServer("mail.shop.example", 587, "starttls", "desk", SECRET, "desk@shop.example")
    assert SECRET not in repr(found)


@pytest.mark.parametrize(("security", "port"), [("starttls", 587), ("tls", 465)])
def test_each_way_has_its_port(tmp_path: Path, security: str, port: int) -> None:
    """RFC 6409, 3.1: 587 for submission; RFC 8314, 7.3: 465 for submission over TLS."""
    found = read_server(written(tmp_path, f'{WHOLE}security = "{security}"'), "desk@shop.example")
    assert found is not None
    assert found.port == port


def test_all_that_can_be_said_is_read(tmp_path: Path) -> None:
    text = f'{WHOLE}port = 2525\nsecurity = "tls"\nsender = "other@shop.example"\n'
    found = read_server(written(tmp_path, text), "")
    assert found == MailServer("mail.shop.example", 2525, "tls", "desk", SECRET, "other@shop.example")


@pytest.mark.parametrize("mode", [0o640, 0o604, 0o644, 0o660])
def test_a_file_that_others_can_read_is_not_used(tmp_path: Path, mode: int) -> None:
    with pytest.raises(Unusable, match="others on this computer can read it"):
        read_server(written(tmp_path, WHOLE, mode), "desk@shop.example")


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "names no host"),
        (f"{WHOLE}x", "cannot be read"),
        (f"{WHOLE}pasphrase = 'x'", "holds pasphrase"),
        (f"{WHOLE}port = '25'", "port is not a number"),
        (f"{WHOLE}port = true", "port is not a number"),
        (f"{WHOLE}port = 70000", "1 to 65535"),
        ("host = 7", "host is not a text"),
        (f"{WHOLE}security = 'ssl'", "none of starttls, tls, none"),
        (f"{WHOLE}security = 'none'", "only for a server on this computer"),
        ("host = 'h'\nuser = 'desk'", "belong together"),
        ("host = 'h'\nuser = 'desk'\npassphrase = 'ä'", "plain letters"),
        (f"{WHOLE}sender = 'Shop <a@b.example>'", "not one e-mail address"),
        (f"{WHOLE}authority = 'none.pem'", "none.pem holds no certificates"),
        (f"{WHOLE}authority = 'smtp.toml'", "smtp.toml holds no certificates"),
    ],
)
def test_what_cannot_be_used_is_said_without_the_passphrase(tmp_path: Path, text: str, says: str) -> None:
    with pytest.raises(Unusable, match=says) as unusable:
        read_server(written(tmp_path, text), "desk@shop.example")
    assert SECRET not in str(unusable.value)


def test_a_shop_without_an_address_of_its_own_must_name_a_sender(tmp_path: Path) -> None:
    with pytest.raises(Unusable, match="its sender"):
        read_server(written(tmp_path, WHOLE), "")
