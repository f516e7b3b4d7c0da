"""Signs that our fonts lack, written with others that say the same: tablets turn 3/8 into one sign.

What is left is drawn as a box, and the press says so on the paper.
"""

import re
from unicodedata import normalize

ALIKE = {
    **dict.fromkeys("\u2010\u2011\u2012\u2015", "-"),
    "≥": "&gt;=",
    "≤": "&lt;=",
    "≠": "&lt;&gt;",
    "≈": "~",
    "→": "-&gt;",
    "←": "&lt;-",
}
WRITTEN = re.compile(f"[{''.join(ALIKE)}]")
FRACTION = re.compile(r"(\d?)([\u2150-\u215e])")  # from one seventh to seven eighths


def printable(html: str) -> str:
    """A page in which such signs are written with signs that our fonts have."""
    return WRITTEN.sub(lambda sign: ALIKE[sign[0]], FRACTION.sub(_fraction, html))


def _fraction(found: re.Match[str]) -> str:
    whole = f"{found[1]} " if found[1] else ""
    return f"{whole}{normalize('NFKC', found[2])}"
