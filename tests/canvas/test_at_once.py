"""Several people at one canvas order: each act once, nothing lost, and a release of what was really seen."""

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from threading import Barrier

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from sqlalchemy import Engine
from sqlmodel import select

from app.canvas import said, steps
from app.canvas.tables import CanvasOrder, CanvasPart, CanvasPiece, CanvasRelease
from app.ground.book import reading
from app.ground.receipts import Stale, broken
from app.trade.canvas.readiness import Kind
from app.trade.problems import Refused
from tests.canvas import loft
from tests.conftest import act
from tests.parts.shelf import order as work_order

MANY = 8


def at_once(steps_: list[Callable[[], int]]) -> list[int | type[Exception]]:
    """What each of several acts came to, all begun at one moment."""
    gate = Barrier(len(steps_))

    def one(step: Callable[[], int]) -> int | type[Exception]:
        gate.wait()
        try:
            return step()
        except (Refused, Stale) as no:
            return type(no)

    with ThreadPoolExecutor(len(steps_)) as pool:
        return list(pool.map(one, steps_))


def test_eight_threads_with_one_act_open_one_order(book: Engine) -> None:
    order_id, _ = work_order(book)
    again = act()
    assert at_once([lambda: steps.open_order(book, again, order_id)] * MANY) == [1] * MANY
    with reading(book) as session:
        assert len(session.exec(select(CanvasOrder)).all()) == 1
        assert len(session.exec(select(CanvasPart)).all()) == 2


def test_eight_people_add_eight_pieces(book: Engine) -> None:
    key = loft.opened(book)
    names = [f"Piece {number}" for number in range(MANY)]
    made = at_once([lambda name=name: loft.piece(book, key, name) for name in names])  # type: ignore[misc]
    assert len(set(made)) == MANY
    assert sorted(piece.name for piece in loft.read(book, key).pieces) == names
    with reading(book) as session:
        assert list(broken(session)) == []


def test_of_eight_who_measure_one_piece_one_is_first_and_the_others_are_told(book: Engine) -> None:
    key = loft.opened(book)
    made = loft.piece(book, key)

    def measure(number: int) -> Callable[[], int]:
        typed = {**loft.WALL, "A-B": str(400 + number)}
        return lambda: steps.save_measures(book, act(seen=1), made, said.PieceSaid("Wall", typed, []))

    found = at_once([measure(number) for number in range(MANY)])
    assert sorted(map(str, found)) == sorted(map(str, [made, *[Stale] * (MANY - 1)]))
    with reading(book) as session:
        assert session.get_one(CanvasPiece, made).revision == 2


def test_of_eight_who_release_one_does(book: Engine) -> None:
    key = loft.ready(book)
    found = loft.read(book, key)
    kept = [problem.says for problem in found.holds_back]
    came = at_once([lambda: steps.release(book, act(seen=found.version), key, kept)] * MANY)
    assert sorted(map(str, came)) == sorted(map(str, [1, *[Refused] * (MANY - 1)]))
    with reading(book) as session:
        assert len(session.exec(select(CanvasRelease)).all()) == 1


def test_two_who_take_one_thing_off_are_told_apart(book: Engine) -> None:
    key = loft.opened(book)
    part = steps.add_part(book, act(), key, Kind.WINDOW, "front")
    came = at_once([lambda: steps.take_part_off(book, act(), part)] * 2)
    assert sorted(map(str, came)) == sorted(map(str, [key, Refused]))


CHANGES = st.lists(
    st.sampled_from(["order", "part", "piece", "edges", "add", "take off", "release"]), max_size=12
)


def change(book: Engine, key: int, what: str) -> None:
    """One change of an order, or its release as it stands."""
    found = loft.read(book, key)
    (piece,) = found.pieces
    (cloth,) = found.of_kind(Kind.CLOTH)
    rows = found.of_kind(Kind.FASTENER)
    if what == "order":
        steps.save_order(book, act(seen=found.row.revision), key, said.OrderSaid("here", "file", "", "", ""))
    elif what == "part":
        steps.save_part(
            book, act(seen=cloth.revision), cloth.key, said.PartSaid(cloth.place, dict(cloth.known))
        )
    elif what == "piece":
        measures = said.PieceSaid(piece.name, dict(loft.WALL), [])
        steps.save_measures(book, act(seen=piece.row.revision), piece.key, measures)
    elif what == "edges":
        edges = said.EdgesSaid(dict(piece.row.edges), dict(loft.SEEN), cloth.key, "0", 1)
        steps.save_edges(book, act(seen=piece.row.revision), piece.key, edges)
    elif what == "add":
        steps.add_part(book, act(), key, Kind.FASTENER, "lower edge")
    elif what == "take off" and rows:
        steps.take_part_off(book, act(seen=rows[0].revision), rows[0].key)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(changes=CHANGES)
def test_a_release_stands_until_the_next_change_and_no_longer(book: Engine, changes: list[str]) -> None:
    key = loft.ready(book)
    stands, version = False, loft.read(book, key).version
    for what in changes:
        found = loft.read(book, key)
        hard = [problem for problem in found.holds_back if not problem.ask]
        if what != "release":
            change(book, key, what)
        elif not hard and not stands:
            kept = [problem.says for problem in found.holds_back]
            steps.release(book, act(seen=found.version), key, kept)
        after = loft.read(book, key)
        assert after.version >= version
        stands = (stands and after.version == version) or (what == "release" and not hard)
        version = after.version
        assert after.released is stands
