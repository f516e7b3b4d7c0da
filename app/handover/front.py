"""What stands on the front of a handover: the answer and what stops it always, then as much as has room.

Pure. Heights are in millimetres of a Letter page, the shorter of the two, told from the number of letters
with room to spare; the tests look at the pages themselves.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import accumulate

from app.handover.record import Duty, Record, Stopping, WorkDone

STOPS, ROWS, LEAST = 5, 6, 2  # rows at most: more black ones would wet the sheet; rows at least
SHORTENED, CUT = 2, " …"  # lines that a stop takes on the front at most; how one that is cut ends
PAGE, BANNER = 239, 7  # less its margins, with a few to spare; the statement on a page not fit
SHOP, TAG, ASK = 9.4, 13, 6.7  # the shop's line, the tag's edge, a question's rule and blank
YES, NO = 13.7, 21.7
LINE, SMALL, HEAD, ROW, BLACK_ROW = 6, 4.9, 6.4, 2.3, 3.4
SUM = 9.2
SAYS, STOP, DUTY, WORK, RESULT, UNIT, NAME = 70, 40, 50, 42, 29, 24, 28  # letters on a line


@dataclass(frozen=True)
class Front:
    """The rows of the front, and what goes on behind it.

    `stops`: shortened to the lines that they have. `more_stops`: those that have no row on the front or are
    shortened there, in full; nothing that stands there whole. `to_do_behind`: there is no room for what the
    owner must do, `done_behind`: none for what was done and what it cost: page 2 tells it.
    """

    stops: tuple[Stopping, ...]
    more_stops: tuple[Stopping, ...]
    duties: tuple[Duty, ...]
    more_duties: tuple[Duty, ...]
    works: tuple[WorkDone, ...]
    more_works: int
    to_do_behind: bool
    done_behind: bool


def front_of(record: Record) -> Front:
    """The front of a record: what the owner must do comes before what was done and what it cost."""
    room = PAGE - _head(record) - _answer(record) - _stops(record) - ASK - SMALL
    duties = [_lines(it.what, DUTY) * LINE + ROW for it in record.duties]
    works = [max(_lines(it.title, WORK), _lines(it.short, RESULT)) * LINE + ROW for it in record.works]
    least, rest = sum(duties[:LEAST]), _cost(record) + ASK + SMALL
    done_behind = least + max(sum(works[:LEAST]), LINE) + rest > room
    kept = 0 if done_behind else sum(works[:LEAST]) + rest
    shown = len(duties) if least > room else _fitting(duties, room - kept)
    done = ROWS if done_behind else _fitting(works, room - rest - sum(duties[:shown]))
    return Front(
        stops=tuple(map(_shortened, record.stops[:STOPS])),
        more_stops=tuple(_more(record.stops)),
        duties=record.duties[:shown],
        more_duties=record.duties[shown:],
        works=record.works[:done],
        more_works=max(len(works) - done, 0),
        to_do_behind=least > room,
        done_behind=done_behind,
    )


def _more(stops: Sequence[Stopping]) -> Iterable[Stopping]:
    return (it for nth, it in enumerate(stops) if nth >= STOPS or _shortened(it) != it)


def _shortened(stop: Stopping) -> Stopping:
    """A stop as the front has room for it: whole, or cut after a word."""
    if _lines(stop.says, STOP) <= SHORTENED:
        return stop
    room = stop.says[: STOP * SHORTENED - len(CUT)]
    return stop.model_copy(update={"says": (room.rpartition(" ")[0] or room) + CUT})


def _head(record: Record) -> float:
    tag = record.tag
    small = sum(_lines(text, NAME) for text in (tag.whose, *tag.lines, tag.stands))
    return SHOP + TAG + _lines(tag.what, UNIT) * HEAD + small * SMALL


def _answer(record: Record) -> float:
    verdict = YES if record.handed.fit else NO + BANNER
    replaced = SMALL if record.handed.replaces else 0
    return ASK + verdict + _lines(" ".join(record.answer), SAYS) * LINE + replaced


def _stops(record: Record) -> float:
    if not record.stops:
        return 0
    rows = (min(_lines(it.says, STOP), SHORTENED) * LINE + BLACK_ROW for it in record.stops[:STOPS])
    return ASK + sum(rows) + SMALL


def _cost(record: Record) -> float:
    if not (record.invoiced or record.cost):
        return ASK + 2 * LINE
    return ASK + SUM + 2 * SMALL


def _lines(text: str, letters: int) -> int:
    """Lines that a text takes, told from its length."""
    return max(1, -(-len(text) // letters))


def _fitting(heights: Sequence[float], room: float) -> int:
    """How many rows fit into a height: at least two, at most six."""
    fits = sum(total <= room for total in accumulate(heights))
    return min(max(fits, LEAST), ROWS)
