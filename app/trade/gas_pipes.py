"""Low-pressure propane pipe by the longest length: what a pipe carries, and the smallest that serves."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from app.trade.bounds import above_zero, says
from app.trade.figure import By, Grade, Input, Source, Verdict, Worked
from app.trade.problems import Impossible
from app.trade.quantity import Quantity

RULE = Source("NFPA 54", "6.4.1, low-pressure equation; IFGC 402.4")
GAS_FACTOR = Decimal("1.2462")  # undiluted propane
BTU_PER_FT3 = Decimal(2475)  # what the code's own tables stand on; 2,488 would allow a little more
FLOW_POWER, DROP_POWER, CONSTANT = Decimal("0.381"), Decimal("0.206"), Decimal("19.17")
USUAL_DROP = Quantity("0.5", "in_wc")
CAUTION = (
    "Sizes for gas work by a licensed or qualified person, where the law asks for one. Nameplate inputs, "
    "11 in wc at the regulator; the local code decides."
)


@dataclass(frozen=True)
class Pipe:
    """A pipe or tube by its trade name, and its inside diameter in inches."""

    name: str
    inside_in: Decimal


# Type K tube by outside diameter, as the code's tables have it (type L is a little wider), schedule 40 pipe
# by nominal size; the thinnest first.
PIPES = (
    Pipe("3/8 in OD copper tube", Decimal("0.305")),
    Pipe("1/2 in OD copper tube", Decimal("0.402")),
    Pipe("5/8 in OD copper tube", Decimal("0.527")),
    Pipe("1/2 in schedule 40 pipe", Decimal("0.622")),
    Pipe("3/4 in OD copper tube", Decimal("0.652")),
    Pipe("3/4 in schedule 40 pipe", Decimal("0.824")),
    Pipe("1 in schedule 40 pipe", Decimal("1.049")),
)


@dataclass(frozen=True)
class Section:
    """A stretch of pipe with all input downstream of it, in Btu/h."""

    name: str
    btu_h: Decimal


def flow_ft3_h(inside_in: Decimal, longest_ft: Decimal, drop_in_wc: Decimal) -> Decimal:
    """Gas that a pipe carries, ft³/h, at a drop over the longest length."""
    reach = (drop_in_wc / (GAS_FACTOR * longest_ft)) ** DROP_POWER
    return (CONSTANT * inside_in * reach) ** (1 / FLOW_POWER)


def drop_in_wc(inside_in: Decimal, longest_ft: Decimal, btu_h: Decimal) -> Decimal:
    """Pressure lost over the longest length, in wc, at a load."""
    flow = btu_h / BTU_PER_FT3
    return GAS_FACTOR * longest_ft * (flow**FLOW_POWER / (CONSTANT * inside_in)) ** (1 / DROP_POWER)


def pipe_capacity(pipe: Pipe, longest: Quantity, drop: Quantity = USUAL_DROP) -> Worked[Decimal]:
    """Heat that a pipe carries in Btu/h, at a drop over the longest length. Lengths and drop above 0.

    Source: low-pressure equation of NFPA 54 and IFGC 402.4, 2,475 Btu/ft³.
    """
    length, lost = above_zero("Longest length", longest, "ft"), above_zero("Drop", drop, "in_wc")
    carried = flow_ft3_h(pipe.inside_in, length, lost) * BTU_PER_FT3
    return Worked(
        name="gas pipe capacity",
        value=carried,
        says=says(carried, "btu_h"),
        unit="btu_h",
        formula=(
            "(19.17 × inside diameter × (drop ÷ (1.2462 × longest length)) ^ 0.206) ^ (1 ÷ 0.381) "
            "× 2,475 Btu/ft³"
        ),
        inputs=(
            Input("pipe", f"{pipe.name}, {pipe.inside_in} in inside"),
            Input("longest length", str(longest)),
            Input("drop", str(drop)),
        ),
        source=RULE,
        caution=CAUTION,
    )


def smallest_pipe(
    section: Section, longest: Quantity, pipes: Sequence[Pipe] = PIPES, drop: Quantity = USUAL_DROP
) -> Worked[Pipe]:
    """Thinnest pipe of a list that carries a section's load, taken over the longest run of the system.

    `longest`: regulator to the farthest outlet, for every section. Raises Impossible where none serves.
    Source: as `pipe_capacity`.
    """
    if section.btu_h <= 0:
        raise Impossible(f"A load of {section.btu_h} Btu/h cannot be", "above 0, such as 72600 Btu/h")
    by_size = sorted(pipes, key=lambda pipe: pipe.inside_in)
    for pipe in by_size:
        carries = pipe_capacity(pipe, longest, drop)
        if carries.value >= section.btu_h:
            return _chosen(section, pipe, carries)
    raise Impossible(f"No pipe of the list carries {says(section.btu_h, 'btu_h')}", "a larger pipe")


def _chosen(section: Section, pipe: Pipe, carries: Worked[Decimal]) -> Worked[Pipe]:
    return Worked(
        name=f"gas pipe, {section.name}",
        value=pipe,
        says=pipe.name,
        formula="thinnest whose capacity over the longest length is at least the input downstream",
        inputs=(Input("input downstream", says(section.btu_h, "btu_h")), *carries.inputs),
        limit=f"at most {carries.says}",
        source=RULE,
        caution=CAUTION,
    )


def pipe_serves(section: Section, pipe: Pipe, longest: Quantity) -> Worked[Decimal]:
    """Heat that a pipe in place carries in Btu/h, judged against its section; too small starves a burner."""
    carried = pipe_capacity(pipe, longest)
    wanted = says(section.btu_h, "btu_h")
    return replace(
        carried,
        inputs=(*carried.inputs, Input("input downstream", wanted)),
        limit=f"at least {wanted}",
        verdict=_serves(carried, section, wanted),
    )


def _serves(carried: Worked[Decimal], section: Section, wanted: str) -> Verdict:
    if carried.value < section.btu_h:
        return Verdict(Grade.NEEDS, f"carries {carried.says} of {wanted}", By.USE)
    return Verdict(Grade.SOUND, f"carries {carried.says}, {wanted} asked")
