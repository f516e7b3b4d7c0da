"""A figure that explains itself: value, unit, inputs, formula in words, limit, verdict, source.

One partial on screen and one on paper can show any of them, so every figure of the trade is a `Worked`.
"""

from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum
from typing import Any, Generic, TypeVar

Value = TypeVar("Value", covariant=True)


class Grade(StrEnum):
    """State of a finding, as kept in the book."""

    UNSEEN = "unseen"
    SOUND = "sound"
    WATCH = "watch"
    NEEDS = "needs"
    DNT = "dnt"

    @property
    def word(self) -> str:
        """The state in plain words, as screens and papers print it."""
        return WORDS[self]


WORDS = {
    Grade.UNSEEN: "Unseen",
    Grade.SOUND: "Sound",
    Grade.WATCH: "Watch",
    Grade.NEEDS: "Needs work",
    Grade.DNT: "Do not tow",
}

HEAVIEST_FIRST = (Grade.DNT, Grade.NEEDS, Grade.UNSEEN, Grade.WATCH, Grade.SOUND)
IN_ORDER_OF_INK = (Grade.UNSEEN, Grade.SOUND, Grade.WATCH, Grade.NEEDS, Grade.DNT)


class By(StrEnum):
    """When a thing that needs work must be put right."""

    TOWING = "towing"
    USE = "use"
    SOON = "soon"

    @property
    def word(self) -> str:
        """The term in plain words."""
        return {By.TOWING: "before towing", By.USE: "before use", By.SOON: "soon"}[self]


WEIGHT_OF_BY = {By.TOWING: 0, By.USE: 1, By.SOON: 2, None: 3}


@dataclass(frozen=True)
class Source:
    """Where a figure or limit comes from: a standard and its section, or "common practice"."""

    title: str
    section: str = ""

    def __str__(self) -> str:
        return f"{self.title} {self.section}".strip()


COMMON_PRACTICE = Source("common practice")
SHOP_SETTING = Source("shop setting, common practice")


@dataclass(frozen=True)
class Input:
    """One thing that went into a figure, as a person would say it ("cold pressure", "50 psi")."""

    name: str
    says: str


@dataclass(frozen=True)
class Verdict:
    """What a figure means: a grade with its reason, and `by` where work is needed.

    `inside` is the answer of a measured record: inside its limits or not.
    """

    grade: Grade
    says: str
    by: By | None = None

    @property
    def inside(self) -> bool:
        """Whether nothing has to be done: sound, or only to be watched."""
        return self.grade in (Grade.SOUND, Grade.WATCH)


@dataclass(frozen=True)
class Worked(Generic[Value]):
    """A computed value with everything needed to check it by hand.

    `value`: the typed result (Decimal, Month, tuple ...). `says`: value and unit as printed.
    `formula`: in words. `limit`: the limit it is held against, in words, empty where there is none.
    `caution`: one sentence on what the figure does not cover, or who must do the work.
    """

    name: str
    value: Value
    says: str
    formula: str
    inputs: tuple[Input, ...]
    source: Source
    unit: str = ""
    limit: str = ""
    verdict: Verdict | None = None
    caution: str = ""


def shown(worked: Worked[object]) -> dict[str, Any]:
    """A worked figure as the book keeps it: texts only, as screens and papers print them."""
    verdict = worked.verdict
    return {
        "name": worked.name,
        "says": worked.says,
        "formula": worked.formula,
        "inputs": [{"name": each.name, "says": each.says} for each in worked.inputs],
        "limit": worked.limit,
        "verdict": {"grade": verdict.grade.value, "says": verdict.says} if verdict else None,
        "source": str(worked.source),
        "caution": worked.caution,
    }


def heaviest(grades: list[Grade]) -> Grade:
    """The heaviest of several grades; sound where there are none."""
    return min(grades, key=HEAVIEST_FIRST.index, default=Grade.SOUND)


def plain(number: Decimal, places: int = 0) -> str:
    """A number for people: rounded half up to `places`, thousands with a comma, zero before the point."""
    rounded = as_printed(number, places)
    return f"{abs(rounded) if rounded == 0 else rounded:,}"


def as_printed(number: Decimal, places: int = 0) -> Decimal:
    """A computed number, rounded half up to the `places` that it is printed with.

    This is what a limit is held against: 40.0 ft that was worked out is not over 40 ft by a hair that nobody
    reads. What was read and typed is held against a limit by `Quantity.under` and `Quantity.over`.
    """
    return number.quantize(Decimal(1).scaleb(-places), rounding="ROUND_HALF_UP")
