"""A piece from tape lengths: sides and diagonals laid out as triangles, every further length a check.

2n - 3 lengths fix n corners; each one more tells how well the tape closes. One check proves a mistake but
cannot say where it lies: the words then ask for the longest lengths again.
"""

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from decimal import Decimal
from itertools import combinations, islice, product

from app.trade.bounds import says
from app.trade.canvas.faults import faults
from app.trade.canvas.outline import TAPE_OFF, Outline, edge_name, length_said, letters, outline_of
from app.trade.figure import COMMON_PRACTICE, Grade, Input, Verdict, Worked
from app.trade.problems import Problem

GOOD, MOST = TAPE_OFF, Decimal(6)  # closure in mm: good up to, measure again over; common practice
FLATTEST = 0.15  # height of a triangle by its base: flatter ones move far for a small error
STRAIGHT = 3  # degrees either side of 180 in which a corner may be marked or not
MOST_SHAPES = 1024  # ways to fold the triangles that are tried: 12 corners


@dataclass(frozen=True)
class Closure:
    """One length taped beyond need: what the tape said and what the other lengths make of it."""

    edge: str
    taped: Decimal
    computed: Decimal

    @property
    def off(self) -> Decimal:
        """Taped less computed, in millimetres."""
        return self.taped - self.computed

    @property
    def words(self) -> str:
        """The closure in plain words."""
        name = self.edge.replace("-", " to ")
        if abs(self.off) < Decimal("0.05"):
            return f"{name} closes"
        way = "shorter" if self.off < 0 else "longer"
        return f"{name} is {says(abs(self.off), 'mm', 1)} {way} than the other lengths make it"


@dataclass(frozen=True)
class Draft:
    """A piece as far as its measures carry: the outline where they fix one, and all that is wrong.

    `closures`: the checks, in order of the letters. A draft `stands` where nothing is refused. `measured`:
    the lengths of its edges in millimetres as they were read, where it is drawn otherwise (`stretched`):
    those of the drawing mean nothing then.
    """

    outline: Outline | None
    problems: tuple[Problem, ...]
    closures: tuple[Closure, ...] = ()
    measured: Mapping[str, Decimal] = field(default_factory=dict)

    @property
    def stretched(self) -> bool:
        """Whether its edges are drawn otherwise than they were measured."""
        return bool(self.measured)

    @property
    def stands(self) -> bool:
        """Whether cloth may be cut by it, once what is only asked is confirmed."""
        return self.outline is not None and all(problem.ask for problem in self.problems)


def taped(corners: int, lengths: Mapping[str, Decimal], inward: frozenset[str] = frozenset()) -> Draft:
    """The draft of a piece from tape lengths in millimetres, keyed by both letters (`A-B`, `A-C`).

    `corners`: 3 to 26. `lengths`: all sides and at least n - 3 diagonals; one more is the check.
    `inward`: letters of the corners that turn inward. An impossible triangle is drawn flat and told;
    what the flat drawing would be blamed for is not.
    Source: cosine rule; limits common practice.
    """
    names = letters(corners)
    tape = {edge_name(*key.split("-")): mm for key, mm in lengths.items()}
    if wrong := (*_unlike_lengths(tape), *_no_sides(names, tape), *_unknown(names, tape)):
        return Draft(None, wrong)
    steps = _steps(names, tape)
    if len(steps) < corners - 2:
        return Draft(None, _hanging(names, steps))
    outline = _best(names, tape, steps, inward)
    closures = _closures(outline, tape, steps)
    triangles = _triangles(tape, steps)
    if refused := tuple(problem for problem in triangles if not problem.ask):
        measured = {edge.name: tape[edge.name] for edge in outline.edges}
        return Draft(outline, (*refused, *_told(closures, corners)), closures, measured)
    told = (*triangles, *_marks(outline, inward), *_told(closures, corners))
    return Draft(outline, (*told, *faults(outline)), closures)


@dataclass(frozen=True)
class _Step:
    """A corner laid out from two that lie already."""

    corner: str
    one: str
    other: str

    @property
    def edges(self) -> tuple[str, str, str]:
        return (
            edge_name(self.one, self.other),
            edge_name(self.one, self.corner),
            edge_name(self.other, self.corner),
        )


def _unlike_lengths(tape: Mapping[str, Decimal]) -> tuple[Problem, ...]:
    return tuple(
        Problem(name, f"{name.replace('-', ' to ')} cannot be {mm}", "a length above 0 mm, such as 2,438 mm")
        for name, mm in tape.items()
        if not mm.is_finite() or mm <= 0
    )


def _no_sides(names: tuple[str, ...], tape: Mapping[str, Decimal]) -> tuple[Problem, ...]:
    sides = (edge_name(one, other) for one, other in zip(names, (*names[1:], names[0]), strict=True))
    return tuple(
        Problem(side, f"Side {side.replace('-', ' to ')} is missing", "its length, such as 2,438 mm")
        for side in sides
        if side not in tape
    )


def _unknown(names: tuple[str, ...], tape: Mapping[str, Decimal]) -> tuple[Problem, ...]:
    return tuple(
        Problem(
            name, f"There is no length {name}", f"two letters from {names[0]} to {names[-1]}, such as A-C"
        )
        for name in tape
        if len(set(name.split("-")) & set(names)) != 2
    )


def _steps(names: tuple[str, ...], tape: Mapping[str, Decimal]) -> list[_Step]:
    placed, steps = list(names[:2]), list[_Step]()
    while step := next(_next_steps(names, placed, tape), None):
        steps.append(step)
        placed.append(step.corner)
    return steps


def _next_steps(names: tuple[str, ...], placed: list[str], tape: Mapping[str, Decimal]) -> Iterator[_Step]:
    for name in names:
        known = [it for it in placed if edge_name(it, name) in tape]
        bases = [pair for pair in combinations(sorted(known), 2) if edge_name(*pair) in tape]
        if name not in placed and bases:
            yield _Step(name, *max(bases, key=lambda pair: tape[edge_name(*pair)]))


def _hanging(names: tuple[str, ...], steps: list[_Step]) -> tuple[Problem, ...]:
    loose = [name for name in names[2:] if name not in {step.corner for step in steps}]
    return tuple(
        Problem(name, f"Nothing holds corner {name}", f"a diagonal to corner {name}, such as A-{name}")
        for name in loose[:1]
    )


def _best(
    names: tuple[str, ...], tape: Mapping[str, Decimal], steps: list[_Step], inward: frozenset[str]
) -> Outline:
    """The way of folding the triangles that agrees with the corners marked, then with the checks."""
    folds = islice(product((1, -1), repeat=len(steps)), MOST_SHAPES)
    shapes = [_laid(names, tape, steps, fold) for fold in folds]
    return outline_of(min(shapes, key=lambda places: _unfit(names, tape, places, inward)))


def _laid(
    names: tuple[str, ...], tape: Mapping[str, Decimal], steps: list[_Step], fold: tuple[int, ...]
) -> list[complex]:
    places = {names[0]: 0j, names[1]: complex(float(tape[edge_name(*names[:2])]))}
    for step, side in zip(steps, fold, strict=True):
        places[step.corner] = _third(step, places, tape, side)
    return [places[name] for name in names]


def _third(step: _Step, places: Mapping[str, complex], tape: Mapping[str, Decimal], side: int) -> complex:
    start, end = places[step.one], places[step.other]
    base = abs(end - start)
    along, height = _foot(base, float(tape[step.edges[1]]), float(tape[step.edges[2]]))
    between = step.one < step.corner < step.other
    way = (end - start) / base if base else 1 + 0j
    return start + way * complex(along, -side * height if between else side * height)


def _foot(base: float, near: float, far: float) -> tuple[float, float]:
    """Along the base and above it, of the third corner; a triangle that cannot close is drawn flat."""
    along = (near * near - far * far + base * base) / (2 * base) if base else 0.0
    along = min(max(along, -near), near)
    return along, math.sqrt(max(near * near - along * along, 0.0))


def _unfit(
    names: tuple[str, ...], tape: Mapping[str, Decimal], places: Sequence[complex], inward: frozenset[str]
) -> tuple[float, float]:
    bends = [_bend(places, at) for at in range(len(places))]
    round_once = abs(sum(180 - it for it in bends) - 360) < 1
    marked = (_contradicts(bend, name in inward) for name, bend in zip(names, bends, strict=True))
    at = dict(zip(names, places, strict=True))
    missed = (abs(abs(at[key[0]] - at[key[-1]]) - float(mm)) for key, mm in tape.items())
    return sum(marked) + (0 if round_once else len(names)), sum(missed)


def _bend(places: Sequence[complex], at: int) -> float:
    back, on = places[at - 1] - places[at], places[(at + 1) % len(places)] - places[at]
    return math.degrees(math.atan2(back.imag, back.real) - math.atan2(on.imag, on.real)) % 360


def _contradicts(angle: float, inward: bool) -> bool:  # noqa: FBT001 - a mark is set or not
    return angle < 180 - STRAIGHT if inward else angle > 180 + STRAIGHT


def _marks(outline: Outline, inward: frozenset[str]) -> tuple[Problem, ...]:
    return tuple(
        Problem(
            name,
            f"Corner {name} turns {'inward' if angle > 180 else 'outward'} by these lengths",
            "the mark `turns inward` on each corner that does, and on no other",
        )
        for name, angle in outline.angles.items()
        if _contradicts(float(angle), name in inward)
    )


def _triangles(tape: Mapping[str, Decimal], steps: list[_Step]) -> tuple[Problem, ...]:
    told = (_triangle(step, [tape[edge] for edge in step.edges]) for step in steps)
    return tuple(problem for problem in told if problem)


def _triangle(step: _Step, sides: list[Decimal]) -> Problem | None:
    longest = max(sides)
    edge = step.edges[sides.index(longest)]
    if longest > sum(sides) - longest + GOOD:  # within it the corner lies on the line, as far as a tape tells
        return _cannot_close(step, edge, longest, sum(sides) - longest)
    height = _foot(*(float(side) for side in sides))[1]
    if height >= FLATTEST * float(sides[0]):
        return None
    line = step.edges[0].replace("-", " to ")
    says = f"Corner {step.corner} lies nearly on the line {line}: a small tape error moves it far"
    return Problem(
        step.corner, says, "a check from another corner, or a diagonal that stands steeper", ask=True
    )


def _cannot_close(step: _Step, edge: str, longest: Decimal, others: Decimal) -> Problem:
    corners = ", ".join(sorted((step.one, step.other, step.corner)))
    says = f"Triangle {corners} cannot close: {edge.replace('-', ' to ')} is {length_said(longest)}"
    return Problem(
        edge, f"{says}, its other two sides together only {length_said(others)}", "these three again"
    )


def _closures(outline: Outline, tape: Mapping[str, Decimal], steps: list[_Step]) -> tuple[Closure, ...]:
    # A later triangle stands on what was laid out, not on the length taped of its base: that one checks.
    used = {steps[0].edges[0], *(edge for step in steps for edge in step.edges[1:])}
    return tuple(
        Closure(edge, tape[edge], outline.length(*edge.split("-")))
        for edge in sorted(tape)
        if edge not in used
    )


def _told(closures: tuple[Closure, ...], corners: int) -> tuple[Problem, ...]:
    if not closures and corners > 3:
        return (Problem("check", "No length checks the others", "one more diagonal, such as B-D"),)
    return tuple(_closing(closure) for closure in closures if abs(closure.off) > GOOD)


def _closing(closure: Closure) -> Problem:
    if abs(closure.off) <= MOST:
        return Problem(closure.edge, closure.words, f"usually within {says(GOOD, 'mm')}", ask=True)
    accepts = f"within {says(MOST, 'mm')}: measure the two longest lengths again"
    return Problem(closure.edge, closure.words, accepts)


def closure_figure(closure: Closure) -> Worked[Decimal]:
    """A closure as a figure: taped less computed, in millimetres, with its verdict.

    Good within 3 mm, a watch within 6 mm (1/4 in), over that measure again. Source: common practice.
    """
    return Worked(
        name=f"closure {closure.edge.replace('-', ' to ')}",
        value=closure.off,
        says=says(closure.off, "mm", 1),
        formula="taped length less the length that the other tapes make",
        inputs=(
            Input("taped", length_said(closure.taped)),
            Input("from the other lengths", length_said(closure.computed)),
        ),
        source=COMMON_PRACTICE,
        unit="mm",
        limit=f"good within {says(GOOD, 'mm')}, kept within {says(MOST, 'mm')}",
        verdict=_verdict(closure),
        caution="A closure proves a mistake but not where it lies; about half of it shows in each length.",
    )


def _verdict(closure: Closure) -> Verdict:
    if abs(closure.off) <= GOOD:
        return Verdict(Grade.SOUND, closure.words)
    grade = Grade.WATCH if abs(closure.off) <= MOST else Grade.NEEDS
    return Verdict(grade, closure.words)
