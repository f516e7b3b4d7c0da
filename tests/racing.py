"""Several desks of one program at once, for tests of steps that must be done once or told."""

import threading
from collections.abc import Callable, Sequence

from app.ground.receipts import Stale
from app.trade.problems import Refused

DESKS = 6


def at_once(doing: Sequence[Callable[[], object]]) -> list[object]:
    """What each of some acts came to, all begun at the same moment; a refusal is what it came to, too."""
    start, came = threading.Barrier(len(doing)), list[object]()

    def run(act: Callable[[], object]) -> None:
        start.wait()
        try:
            came.append(act())
        except (Refused, Stale) as refused:
            came.append(refused)

    threads = [threading.Thread(target=run, args=(each,)) for each in doing]
    for each in threads:
        each.start()
    for each in threads:
        each.join()
    assert len(came) == len(doing)  # nothing else was raised
    return came


def kinds(came: list[object]) -> dict[str, int]:
    """How many acts came to what."""
    names = [type(each).__name__ for each in came]
    return {name: names.count(name) for name in names}
