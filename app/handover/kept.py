"""What work cleared and its record still calls a watch: kept so, and told as a watch, never as sound.

A tire with the same reserve clears "under the aim" and leaves the axle under the aim.
"""

from collections.abc import Iterator, Sequence
from dataclasses import replace

from app.bench.facts import RecordLine
from app.bench.shown import touches
from app.handover.other_stays import Seen
from app.trade.figure import Grade
from app.trade.letters import run_on


def figures_of(it: Seen) -> frozenset[str]:
    """The names of the figures that the looks at a thing were graded by."""
    return frozenset(str(each.get("name", "")) for look in it.looks for each in look.worked)


def proving(it: Seen, records: Sequence[RecordLine]) -> list[RecordLine]:
    """The records of the work that cleared a thing, of the places that belong to its own."""
    mine = [row for row in records if any(each.rests_on(row) for each in it.clearances)]
    return [row for row in mine if touches(it.line.place, row.place)]


def watched_still(it: Seen, records: Sequence[RecordLine]) -> Seen:
    """A cleared thing as a watch where the figure that graded it comes out as one in the record too."""
    says = list(dict.fromkeys(_watched(it, records))) if it.thing.grade is Grade.SOUND else []
    if not says:
        return it
    reason = run_on(says)
    thing = replace(it.thing, grade=Grade.WATCH, reason=reason)
    line = replace(it.line, grade=Grade.WATCH, by=None, reason=reason, readings=())
    return replace(it, thing=thing, line=replace(line, until=None, until_miles=None))


def _watched(it: Seen, records: Sequence[RecordLine]) -> Iterator[str]:
    names = figures_of(it)
    for row in proving(it, records):
        for each in row.worked:
            verdict = each.get("verdict")
            if verdict and each.get("name") in names and verdict["grade"] == Grade.WATCH:
                yield str(verdict["says"])
