"""Which letters papers can be printed in, and how those from right to left stand in a line of ours."""

import re
from unicodedata import bidirectional

BEYOND_LATIN = re.compile("[\u0180-\u1fff\ufb00-\ufdff\ufe70-\ufeff]")  # letters that only names bring along
NO_LETTERS = re.compile("[\u0780-\u109f\u1100-\u1c7f\u2e80-\ud7ff\uf900-\ufaff\U00010000-\U0003ffff]")

FROM_LEFT, FROM_RIGHT, ENDS = "\u2066", "\u2067", "\u2069"  # LRI, RLI and PDI of Unicode UAX #9
ISOLATED = re.compile(f"[{FROM_LEFT}{FROM_RIGHT}][^{FROM_LEFT}{FROM_RIGHT}{ENDS}]*{ENDS}")
STRONG_RIGHT = frozenset({"R", "AL"})


def apart(typed: str) -> str:
    """What a person typed, isolated from the line it stands in where any of it runs from right to left.

    So a number after a Hebrew or Arabic name stays behind it. A sentence with a name in it is isolated again
    where it is printed; it runs as the words round the name do. Source: Unicode UAX #9, P2, P3, X5a to X6a;
    the press reads no first strong isolate inside which others stand, so its way is told.
    """
    if typed.isascii() or STRONG_RIGHT.isdisjoint(map(bidirectional, typed)):
        return typed
    strong = (bidirectional(letter) for letter in _round(typed))
    first = next((way for way in strong if way == "L" or way in STRONG_RIGHT), "L")
    return f"{FROM_LEFT if first == 'L' else FROM_RIGHT}{typed}{ENDS}"


def _round(text: str) -> str:
    """A text without what is isolated in it."""
    while (rest := ISOLATED.sub("", text)) != text:
        text = rest
    return text
