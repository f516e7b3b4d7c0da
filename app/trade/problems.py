"""What is wrong with something typed, said so that a person can put it right."""

from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True)
class Problem:
    """One thing wrong with one field.

    `field`: name of the form field. `says`: what is wrong, without a full stop.
    `accepts`: what would be taken, with an example and its unit.
    `ask`: the value is possible but unlikely; it is kept once a person confirms it.
    `choices`: the values of a list that would be taken, so that a form can name them by its own words.
    """

    field: str
    says: str
    accepts: str = ""
    ask: bool = False
    choices: tuple[str, ...] = ()


class Refused(Exception):
    """What was typed cannot be kept as it stands; carries every problem found, not only the first."""

    def __init__(self, problems: Sequence[Problem]) -> None:
        self.problems = tuple(problems)
        super().__init__("; ".join(f"{p.field}: {p.says}" for p in self.problems))


class Impossible(ValueError):
    """A value that cannot exist (a week 54, a torque of -5).

    `says` and `accepts` are sentences fit for a form; a rule turns them into a `Problem` with its field.
    """

    def __init__(self, says: str, accepts: str = "") -> None:
        self.says = says
        self.accepts = accepts
        super().__init__(says if not accepts else f"{says}. Accepted: {accepts}")

    def at(self, field: str) -> Problem:
        """This refusal as the problem of a named form field."""
        return Problem(field, self.says, self.accepts)
