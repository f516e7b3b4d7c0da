"""The program's static files: style sheets joined into one at start, how long a browser may keep each.

Layers make the order of the sheets safe; there is no build.
"""

import hashlib
import re
from functools import cache

from fastapi import Response
from fastapi.staticfiles import StaticFiles
from starlette.types import Scope

from app.ground.settings import folder

_IMPORT = re.compile(r'@import url\("([^"]+)"\) layer\((\w+)\);')
KEEP = "public, max-age=31536000, immutable"
ASK = "no-cache"  # kept, but asked about each time: 304 where it is the same
AS_RELEASED = ("fonts/", "vendor/")  # never change under one name


@cache
def joined() -> str:
    """`static/css/sheet.css` with every sheet that it imports in its layer."""
    css = folder("static") / "css"

    def layer(found: re.Match[str]) -> str:
        return f"@layer {found[2]} {{\n{(css / found[1]).read_text()}}}"

    return _IMPORT.sub(layer, (css / "sheet.css").read_text())


@cache
def version() -> str:
    """Eight digits of the SHA-256 over all static files: the query under which pages ask for them."""
    static = folder("static")
    paths = sorted(path for path in static.rglob("*") if path.is_file())
    total = hashlib.sha256()
    for path in paths:
        total.update(f"{path.relative_to(static)}\n".encode() + path.read_bytes())
    return total.hexdigest()[:8]


def kept_for(query: str, path: str) -> str:
    """`Cache-Control` of a static file: a year where the address or the name carries its version."""
    return KEEP if query == version() or path.startswith(AS_RELEASED) else ASK


class Static(StaticFiles):
    """The folder of static files, each answer saying how long it may be kept."""

    async def get_response(self, path: str, scope: Scope) -> Response:
        """A file, or 404 by way of HTTPException."""
        response = await super().get_response(path, scope)
        response.headers["Cache-Control"] = kept_for(scope["query_string"].decode("latin-1"), path)
        return response
