"""The pages' style sheets, joined into one file at start: layers make the order safe, there is no build."""

import re
from functools import cache

from app.ground.settings import folder

_IMPORT = re.compile(r'@import url\("([^"]+)"\) layer\((\w+)\);')


@cache
def joined() -> str:
    """`static/css/sheet.css` with every sheet that it imports in its layer."""
    css = folder("static") / "css"

    def layer(found: re.Match[str]) -> str:
        return f"@layer {found[2]} {{\n{(css / found[1]).read_text()}}}"

    return _IMPORT.sub(layer, (css / "sheet.css").read_text())
