"""The rows of a table of the workbench: what is typed into a form, and what the outside says of it.

A number that is wanted stands as a text, and holds to half its last digit: `"0.0119"` is met by 0.01190.
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from enum import Enum

Want = str | Mapping[str, str]


class Way(Enum):
    """What a row looks at: the value, its words, its grade, or why it is refused or questioned."""

    WORTH = "worth"
    SAYS = "says"
    JUDGED = "judged"
    REFUSED = "refused"
    QUESTIONED = "questioned"


@dataclass(frozen=True)
class Row:
    """One row. `typed`: what differs from the example. `want`: a place in the answer and what stands there.

    `field`: the one that is refused or questioned. `percent`: how far a value may be off, where a published
    table was rounded.
    """

    key: str
    way: Way
    want: Mapping[str, str]
    typed: Mapping[str, str]
    field: str = ""
    percent: str = ""
    source: str = ""

    def __str__(self) -> str:
        told = " ".join(f"{name}={text}" for name, text in self.typed.items())
        return f"{self.key} {self.way.value} {told}"[:90]


def cited(source: str, *rows: Row) -> tuple[Row, ...]:
    """Rows that rest on one source."""
    return tuple(replace(row, source=source) for row in rows)


def worth(key: str, want: Want, /, **typed: str) -> Row:
    """A value: of the first figure, or by place (`1.front` is field `front` of the second)."""
    return _row(key, Way.WORTH, want, typed)


def near(key: str, percent: str, want: Want, /, **typed: str) -> Row:
    """A value of a published table that was rounded: within so many percent."""
    return replace(_row(key, Way.WORTH, want, typed), percent=percent)


def says(key: str, want: Want, /, **typed: str) -> Row:
    """Words of the answer."""
    return _row(key, Way.SAYS, want, typed)


def judged(key: str, want: Want, /, **typed: str) -> Row:
    """The grade of the first figure that is judged, or by place."""
    return _row(key, Way.JUDGED, want, typed)


def refused(key: str, field: str, words: str, /, **typed: str) -> Row:
    """An impossible text: the field and words of what is said beside it."""
    return replace(_row(key, Way.REFUSED, words, typed), field=field)


def questioned(key: str, field: str, words: str, /, **typed: str) -> Row:
    """An unlikely text: it is asked once, then kept."""
    return replace(_row(key, Way.QUESTIONED, words, typed), field=field)


def _row(key: str, way: Way, want: Want, typed: Mapping[str, str]) -> Row:
    wanted = {"0": want} if isinstance(want, str) else want
    return Row(key, way, wanted, {_of_the_form(name): text for name, text in typed.items()})


def _of_the_form(name: str) -> str:
    """`play_unit` is the control `play-unit`."""
    return f"{name.removesuffix('_unit')}-unit" if name.endswith("_unit") else name


def pairs(text: str) -> Iterator[tuple[str, str]]:
    """A table of two columns, written one pair after the other."""
    words = text.split()
    return zip(words[::2], words[1::2], strict=True)
