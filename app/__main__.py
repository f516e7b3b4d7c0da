"""The command line: `castlenut`, also as `python -m app`."""

import argparse
import sys
from pathlib import Path

from platformdirs import user_data_path

from app.ground.settings import Settings


def main() -> None:
    """Run the command that was asked for."""
    asked = _parser().parse_args()
    sys.exit(asked.run(asked))


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="castlenut", description="Work orders for used trailers.")
    parser.add_argument("--data", type=Path, default=user_data_path("castlenut"), help="the shop's folder")
    commands = parser.add_subparsers(metavar="command")
    serve = commands.add_parser("serve", help="run the shop's pages (what happens without a command)")
    for each in (parser, serve):
        each.add_argument("--port", type=int, default=8377)
        each.set_defaults(run=_serve)
    return parser


def _serve(asked: argparse.Namespace) -> int:
    import uvicorn

    from app.web import build

    settings = Settings(data=asked.data, port=asked.port)
    sys.stdout.write(f"Castlenut is at http://{settings.host}:{settings.port}\n")
    sys.stdout.flush()
    uvicorn.run(build(settings), host=settings.host, port=settings.port, log_level="warning")
    return 0


if __name__ == "__main__":
    main()
