"""What a day that is reckoned, or was told, does not hold for: said beside it, in words."""

from collections.abc import Iterator, Sequence
from datetime import date

from app.trade.days import day


def overdue(word: str, longest: int, gone: int, last: date) -> Iterator[str]:
    """Materials that were to be here by now, at the longest; reckoned with as if they came today.

    `longest`: working days, 0 where they were here; `gone`: those since that was said; `last`: when they end.
    """
    if longest and gone >= longest:
        was, is_here = ("were", "they are") if word.endswith("s") else ("was", "it is")
        yield (
            f"The {word} {was} to be here by {day(last)} at the longest, and nobody has said that {is_here}: "
            "ask, and say the days anew"
        )


def unsaid(words: Sequence[str]) -> Iterator[str]:
    """Materials of which nobody has said yet how long they take."""
    if words:
        yield f"Nobody has said yet how long these take to come: {', '.join(words)}"


def unagreed(word: str) -> Iterator[str]:
    """Cloth that waits for the owner's yes, while the day is reckoned from today. `word`: how that stands."""
    if word:
        yield f"{word}. No cloth is cut before the owner's yes: the day is reckoned as if it were given today"


def unreckoned(numbers: Sequence[str]) -> Iterator[str]:
    """Released orders ahead whose hours nobody has said: they will take table and machines all the same."""
    if numbers:
        yield f"Ahead, but not reckoned in, since nobody has said the hours: {', '.join(numbers)}"


def unit_sooner(unit: date | None, canvas: date | None) -> Iterator[str]:
    """A unit that is promised sooner than the canvas that is hung on it. None: no day."""
    if unit and canvas and unit < canvas:
        yield (
            f"The unit itself is promised for {day(unit)}, its canvas for {day(canvas)}: "
            "one of the two is to be told anew"
        )


def told_in_vain(told: date | None, lacks: str) -> Iterator[str]:
    """A day told for an order whose day can no longer be reckoned. `lacks`: why, empty where it can."""
    if told and lacks:
        yield f"The owner was told {day(told)}, and nobody can say whether it is kept"
