"""Numbers of documents: no repeats, whoever asks at the same time, and none without its act."""

import threading

import pytest
from sqlalchemy import Engine

from app.ground.book import writing
from app.ground.series import dated_number, next_number, order_number


def test_numbers_follow_each_other_in_each_series_and_year(book: Engine) -> None:
    with writing(book) as session:
        assert [next_number(session, "unit") for _ in range(3)] == [1, 2, 3]
        assert dated_number(session, "estimate", 2026) == "E-2026-0001"
        assert dated_number(session, "estimate", 2026) == "E-2026-0002"
        assert dated_number(session, "estimate", 2027) == "E-2027-0001"
        assert dated_number(session, "handover", 2026) == "H-2026-0001"
        assert next_number(session, "unit") == 4


def test_a_number_of_an_act_that_broke_is_given_again(book: Engine) -> None:
    with pytest.raises(RuntimeError), writing(book) as session:
        next_number(session, "unit")
        raise RuntimeError
    with writing(book) as session:
        assert next_number(session, "unit") == 1


def test_eight_writers_never_get_the_same_number(book: Engine) -> None:
    given: list[int] = []

    def take() -> None:
        for _ in range(20):
            with writing(book) as session:
                number = next_number(session, "invoice", 2026)
            given.append(number)

    threads = [threading.Thread(target=take) for _ in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(given) == list(range(1, 161))


def test_a_work_orders_number_is_printed_in_six_places() -> None:
    assert order_number(236) == "WO-000236"
    assert order_number(1_234_567) == "WO-1234567"
