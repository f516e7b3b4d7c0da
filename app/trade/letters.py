"""Which letters papers can be printed in, and how those from right to left stand in a line of ours."""

import re
from collections.abc import Iterable
from unicodedata import bidirectional

BEYOND_LATIN = re.compile("[\u0180-\u1fff\ufb00-\ufdff\ufe70-\ufeff]")  # letters that only names bring along
# All that the fonts in static/fonts hold and a paper loads for it, with the signs that are never drawn.
PRINTED = (
    "\u0009\u000a\u000d\u0020-\u007e\u00a0-\u0113\u0116-\u012b\u012d-\u0131\u0133-\u0137\u0139-\u013e"
    "\u0140-\u0148\u014a-\u014d\u014f-\u017e\u0180-\u0377\u037a-\u037f\u0384-\u038a\u038c"
    "\u038e-\u03a1\u03a3-\u03e1\u03f0-\u052f\u0531-\u0556\u0559-\u058a\u058d-\u058f\u0591-\u05c7"
    "\u05d0-\u05ea\u05f0-\u05f4\u0600-\u061c\u061e-\u06ff\u0750-\u077f\u08a0-\u08b4\u08b6-\u08be"
    "\u08d3-\u08ff\u10a0-\u10c5\u10c7\u10cd\u10d0-\u10ff\u1c90-\u1cba\u1cbd-\u1cbf\u1e00-\u1f15"
    "\u1f18-\u1f1d\u1f20-\u1f45\u1f48-\u1f4d\u1f50-\u1f57\u1f59\u1f5b\u1f5d\u1f5f-\u1f7d\u1f80-\u1fb4"
    "\u1fb6-\u1fc4\u1fc6-\u1fd3\u1fd6-\u1fdb\u1fdd-\u1fef\u1ff2-\u1ff4\u1ff6-\u1ffe\u200b-\u200f"
    "\u2013\u2014\u2018-\u201a\u201c-\u201e\u2020\u2022\u2026\u2028-\u202f\u2032\u2033\u2039\u203a"
    "\u2044\u2060-\u206f\u20a3\u20ac\u20ba\u20bd\u2113\u2122\u2212\u2215\ufb13-\ufb17\ufb1d-\ufb36"
    "\ufb38-\ufb3c\ufb3e\ufb40\ufb41\ufb43\ufb44\ufb46-\ufbc1\ufd3e\ufd3f\ufe00-\ufe0f\ufe70-\ufe74"
    "\ufe76-\ufefc\ufeff"
)
NO_LETTERS = re.compile(f"[^{PRINTED}]")

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


RUN_ON = "; "  # between the sentences of one record


def run_on(sentences: Iterable[str]) -> str:
    """Sentences of ours in one, each once, with semicolons: the first alone begins with a capital.

    Not for what was typed, which may begin with a name. Words all in capitals (GVWR) stay as they are.
    """
    first, *rest = dict.fromkeys(sentences)
    return RUN_ON.join((first, *map(_small, rest)))


def _small(sentence: str) -> str:
    second = sentence[1:2]
    return sentence[:1].lower() + sentence[1:] if second.islower() or second == " " else sentence
