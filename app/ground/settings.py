"""Where the program's own folders and the shop's data lie, and how it is served."""

from dataclasses import dataclass, field
from importlib.resources import files
from pathlib import Path

MIB = 1024 * 1024
LARGEST_FORM = 1 * MIB
LARGEST_UPLOAD = 26 * MIB
THIS_MACHINE = ("127.0.0.1", "localhost", "[::1]")


def folder(name: str) -> Path:
    """A folder that ships with the program: inside the package in a wheel, beside it in a checkout."""
    package = Path(str(files("app")))
    inside = package / name
    return inside if inside.is_dir() else package.parent / name


@dataclass(frozen=True)
class Settings:
    """How one running program is set up.

    `data`: folder of the shop's book, photos and documents. `hosts`: names and addresses under which
    browsers may call it (the allow-list against re-pointed names). `secure`: served over HTTPS.
    """

    data: Path
    host: str = "127.0.0.1"
    port: int = 8377
    hosts: tuple[str, ...] = field(default=THIS_MACHINE)
    secure: bool = False
    in_the_clear: bool = False  # served over the shop's network without encryption; every page says so
    demo: bool = False

    @property
    def address(self) -> str:
        """Where the shop's other devices reach it, such as http://shop:8377; empty where none was named."""
        named = next((host for host in self.hosts if host not in THIS_MACHINE), "")
        return f"{'https' if self.secure else 'http'}://{named}:{self.port}" if named else ""

    @property
    def book(self) -> Path:
        """The database file."""
        return self.data / "castlenut.db"

    @property
    def files(self) -> Path:
        """Photos and documents, by content hash."""
        return self.data / "files"

    @property
    def certificates(self) -> Path:
        """The shop's own authority and certificate, where it serves encrypted with its own."""
        return self.data / "certificates"

    @property
    def backups(self) -> Path:
        """Backups made here."""
        return self.data / "backups"
