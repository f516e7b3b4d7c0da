"""Balancing by trial weights: how the readings answer a known weight tells where the unbalance is.

All runs at one speed with one pickup. Angles of weights: degrees against the clock from the valve, seen from
outside. Phases of readings: in the same sense as the instrument counts them, always alike: lag and lead mixed
up mirror the answer.
"""

from dataclasses import dataclass
from decimal import Decimal

from app.trade.figure import COMMON_PRACTICE, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.vectors import Vector, vector_of

RULE = Source("rotor balancing textbooks", "influence coefficients")
LEAST_CHANGE = 0.25  # of the first reading
LEAST_TURN = 25  # degrees of phase
WORST_CONDITION = 20


@dataclass(frozen=True)
class Run:
    """Readings of both pickups in one run: amplitude and phase."""

    first: Vector
    second: Vector


def one_plane_weight(before: Vector, after: Vector, trial: Vector, unit: str) -> Worked[Vector]:
    """Weight to put on instead of the trial weight, at the same radius, in the trial weight's unit.

    `before`: reading without, `after`: with the trial weight. Raises Impossible where the trial weight is 0
    or changed nothing. A weak answer is watched: change under a quarter and under 25 degrees.
    Source: rotor balancing textbooks.
    """
    change = _change(before, after, trial)
    weight = vector_of(-before.number / (change / trial.number))
    return Worked(
        name="balance weight",
        value=weight,
        says=weight.says(unit),
        formula="- reading before / (change of the reading / trial weight)",
        inputs=(
            Input("before", _reading(before)),
            Input("with the trial weight", _reading(after)),
            Input("trial weight", trial.says(unit)),
        ),
        source=RULE,
        unit=unit,
        limit="change of a quarter or 25 degrees",
        verdict=_strong([(before, after)]),
        caution="Take the trial weight off first.",
    )


def two_plane_weights(
    before: Run, outer: tuple[Vector, Run], inner: tuple[Vector, Run], unit: str
) -> Worked[tuple[Vector, Vector]]:
    """Weights for the outer and the inner plane, from three runs: without, trial outside, trial inside.

    `outer`, `inner`: the trial weight in that plane with the readings that it gave, the other plane empty.
    Raises Impossible where a trial weight is 0 or the runs cannot be told apart. Watched where the planes
    answer nearly alike. Source: rotor balancing textbooks.
    """
    answers = _answers(before, outer), _answers(before, inner)
    weights = _solved(answers, before)
    return Worked(
        name="balance weights",
        value=weights,
        says=f"outer {weights[0].says(unit)}, inner {weights[1].says(unit)}",
        formula="both planes' answers x weights = - readings before, solved for the weights",
        inputs=(
            Input("before", _readings(before)),
            Input(f"outer plane, {outer[0].says(unit)}", _readings(outer[1])),
            Input(f"inner plane, {inner[0].says(unit)}", _readings(inner[1])),
        ),
        source=RULE,
        unit=unit,
        verdict=_told_apart(answers),
        caution="Take the trial weights off first.",
    )


Answers = tuple[complex, complex]


def _answers(before: Run, with_trial: tuple[Vector, Run]) -> Answers:
    """How both pickups answer one unit of weight in a plane."""
    trial, after = with_trial
    if not trial.amount:
        raise Impossible("A trial weight cannot be 0", "a weight such as 1 oz at 0 degrees")
    first = (after.first.number - before.first.number) / trial.number
    return first, (after.second.number - before.second.number) / trial.number


def _solved(answers: tuple[Answers, Answers], before: Run) -> tuple[Vector, Vector]:
    (a, c), (b, d) = answers
    whole = a * d - b * c
    if abs(whole) <= 1e-9 * _size(answers) ** 2:
        raise Impossible("The two runs cannot be told apart", "a trial weight in each plane")
    first, second = -before.first.number, -before.second.number
    return vector_of((d * first - b * second) / whole), vector_of((a * second - c * first) / whole)


def _size(answers: tuple[Answers, Answers]) -> float:
    return float(sum(abs(answer) ** 2 for plane in answers for answer in plane) ** 0.5)


def _told_apart(answers: tuple[Answers, Answers]) -> Verdict:
    (a, c), (b, d) = answers
    spread = _size(answers) ** 2 / abs(a * d - b * c)  # near the condition number where it is large
    if spread > WORST_CONDITION:
        return Verdict(Grade.WATCH, "Both planes answer nearly alike: small errors grow")
    return Verdict(Grade.SOUND, "The planes answer apart")


def _change(before: Vector, after: Vector, trial: Vector) -> complex:
    if not trial.amount:
        raise Impossible("A trial weight cannot be 0", "a weight such as 1 oz at 0 degrees")
    change = after.number - before.number
    if abs(change) < 1e-9:
        raise Impossible("The trial weight changed nothing", "a heavier trial weight")
    return change


def _strong(pairs: list[tuple[Vector, Vector]]) -> Verdict:
    weak = [before for before, after in pairs if not _answered(before, after)]
    if weak:
        return Verdict(Grade.WATCH, f"Weak answer: try a heavier trial weight ({COMMON_PRACTICE})")
    return Verdict(Grade.SOUND, "The trial weight was answered clearly")


def _answered(before: Vector, after: Vector) -> bool:
    change = abs(after.number - before.number)
    turn = abs(after.angle - before.angle)
    return change >= LEAST_CHANGE * float(before.amount) or min(turn, 360 - turn) >= Decimal(LEAST_TURN)


def _reading(reading: Vector) -> str:
    return reading.says("")


def _readings(run: Run) -> str:
    return f"{_reading(run.first)} and {_reading(run.second)}"
