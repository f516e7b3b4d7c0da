"""The command line: `castlenut`, also as `python -m app`."""

import argparse
import ssl
import sys
import tempfile
from dataclasses import replace
from pathlib import Path

from platformdirs import user_data_path

from app.ground import backups
from app.ground.acting import now
from app.ground.settings import Settings


def main() -> None:
    """Run the command that was asked for; exit code 1 with one sentence where it cannot be done."""
    asked = _parser().parse_args()
    try:
        sys.exit(asked.run(asked))
    except backups.NotDone as not_done:
        sys.exit(str(not_done))


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="castlenut", description="Work orders for used trailers.")
    parser.set_defaults(
        run=_serve,
        port=8377,
        at=[],
        data=user_data_path("castlenut"),
        encrypted=False,
        certificate=None,
        key=None,
    )
    commands = parser.add_subparsers(metavar="command")
    shared = argparse.ArgumentParser(add_help=False)
    shared.add_argument("--data", type=Path, help="the shop's folder", default=user_data_path("castlenut"))
    served = argparse.ArgumentParser(add_help=False)
    served.add_argument("--port", type=int, default=8377)
    served.add_argument(
        "--at",
        action="append",
        default=[],
        metavar="NAME",
        help="also answer tablets at this name or address of the shop's network",
    )
    own = "serve encrypted, with a certificate of the shop's own that each tablet is told to trust once"
    served.add_argument("--encrypted", action="store_true", help=own)
    served.add_argument("--certificate", type=Path, metavar="FILE", help="serve encrypted: certificate (PEM)")
    served.add_argument("--key", type=Path, metavar="FILE", help="the certificate's private key (PEM)")
    helps = {
        _serve: ("serve", "run the shop's pages (what happens without a command)", [shared, served]),
        _demo: ("demo", "run a made-up shop in a throw-away folder", [served]),
        _verify: ("verify", "check book, receipts and every stored file", [shared]),
        _backup: ("backup", "write one checked file with everything", [shared]),
        _restore: ("restore", "put a backup in the place of the shop's data", [shared]),
        _export: ("export", "write everything as JSON, CSV, PDF and JPEG", [shared]),
    }
    made = {
        run: commands.add_parser(name, help=says, parents=parents)
        for run, (name, says, parents) in helps.items()
    }
    for run, each in made.items():
        each.set_defaults(run=run)
    made[_backup].add_argument("--to", type=Path, help="folder for the file (else the shop's own)")
    made[_restore].add_argument("backup", type=Path)
    made[_export].add_argument("to", type=Path, help="the zip file to write")
    return parser


def _serve(asked: argparse.Namespace) -> int:
    settings = _served(asked, asked.data)
    with backups.alone(settings):
        return _run(settings, _files(asked, settings))


def _demo(asked: argparse.Namespace) -> int:
    from app.demo import furnish

    with tempfile.TemporaryDirectory(prefix="castlenut-demo-") as scratch:
        settings = replace(_served(asked, Path(scratch)), demo=True)
        _say("Making the demo shop ...")
        furnish(settings)
        return _run(settings, _files(asked, settings))


def _served(asked: argparse.Namespace, data: Path) -> Settings:
    """How it is served: for this machine alone or the shop's network too, encrypted or in the clear."""
    named = _encrypted(asked)
    secure = asked.encrypted or named is not None
    here = Settings(data=data, port=asked.port, secure=secure)
    if not asked.at:
        return here
    every = "0.0.0.0"  # noqa: S104 - asked for by --at; where it is in the clear, every page says so
    return replace(here, host=every, hosts=(*here.hosts, *map(str.lower, asked.at)), in_the_clear=not secure)


Files = tuple[Path, Path] | None


def _encrypted(asked: argparse.Namespace) -> Files:
    """Certificate and key to encrypt with; None where it is served in the clear.

    Raises NotDone where one of the two is missing, cannot be read, or they do not belong together.
    """
    if not (asked.certificate or asked.key):
        return None
    if asked.encrypted:
        raise backups.NotDone("Take --encrypted for the shop's own certificate, or name files, not both.")
    if not (asked.certificate and asked.key):
        raise backups.NotDone("To serve encrypted, name both: --certificate FILE and --key FILE.")
    try:
        ssl.create_default_context(ssl.Purpose.CLIENT_AUTH).load_cert_chain(asked.certificate, asked.key)
    except OSError as wrong:  # ssl.SSLError is one
        raise backups.NotDone(f"Certificate and key cannot be used: {wrong}") from None
    return asked.certificate, asked.key


def _files(asked: argparse.Namespace, settings: Settings) -> Files:
    """What to encrypt with: files that were named, or the shop's own, made or renewed where need be."""
    if not asked.encrypted:
        return _encrypted(asked)
    from app.ground.certificates import OtherNames, own_certificate

    try:
        own = own_certificate(settings.certificates, settings.hosts, now())
    except OtherNames as names:
        raise backups.NotDone(
            f"The shop's authority in {settings.certificates} is for {names} alone. Serve at these names, or "
            "move that folder away: a new authority is made then, which each tablet has to trust anew."
        ) from None
    there = f"{settings.address or 'this address'}/authority.crt"
    _say(f"Once on each tablet: open {there} and trust that authority.")
    _say(f"Its SHA-256 fingerprint, to be compared there: {own.fingerprint}")
    return own.certificate, own.key


def _run(settings: Settings, encrypted: Files) -> int:
    import uvicorn

    from app.web import build

    app = build(settings)
    here = f"{'https' if encrypted else 'http'}://{settings.host}:{settings.port}"
    _say(f"Castlenut is at {settings.address or here} (stop it with Ctrl+C)")
    certificate, key = encrypted or (None, None)
    uvicorn.run(
        app,
        host=settings.host,
        port=settings.port,
        log_level="warning",
        server_header=False,
        ssl_certfile=certificate,
        ssl_keyfile=key,
    )
    return 0


def _verify(asked: argparse.Namespace) -> int:
    settings = Settings(data=asked.data)
    faults = backups.verify(settings)
    for fault in faults:
        _say(fault)
    if not faults:
        rows = sum(backups.counts(settings).values())
        _say(f"All is well: {rows} rows, the chain of receipts and every stored file.")
    return 1 if faults else 0


def _backup(asked: argparse.Namespace) -> int:
    settings = Settings(data=asked.data)
    made = backups.backup(settings, asked.to or settings.backups, now())
    _say(f"{made} ({made.stat().st_size / 1e6:.1f} MB), opened again and compared with the book.")
    return 0


def _restore(asked: argparse.Namespace) -> int:
    aside = backups.restore(Settings(data=asked.data), asked.backup, now())
    _say("Restored and compared table by table.")
    if aside:
        _say(f"What stood here before is in {aside}.")
    return 0


def _export(asked: argparse.Namespace) -> int:
    done = backups.export(Settings(data=asked.data), asked.to)
    _say(f"{done.path}: {done.tables} tables with {done.rows} rows, {done.files} papers and photos.")
    return 0


def _say(text: str) -> None:
    sys.stdout.write(f"{text}\n")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
