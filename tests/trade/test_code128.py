"""Code 128 against its standard: the shape of every symbol, known symbols and checks, and a reader of ours.

The whole table was compared symbol by symbol with a published one (ISO/IEC 15417, table 1) when it was typed.
"""

from itertools import product

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from app.trade import code128
from app.trade.code128 import PATTERNS, STOP, values, widths
from app.trade.problems import Impossible

PLAIN = st.text(st.characters(min_codepoint=32, max_codepoint=126), min_size=1, max_size=48)


def test_every_symbol_has_the_shape_that_the_standard_gives_it() -> None:
    """ISO/IEC 15417, 4.3: 11 modules, three bars and three spaces of 1 to 4, the bars even in sum."""
    assert len(set(PATTERNS)) == len(PATTERNS) == 106
    shapes = {
        "".join(map(str, shape))
        for shape in product(range(1, 5), repeat=6)
        if sum(shape) == 11 and sum(shape[::2]) % 2 == 0
    }
    assert len(shapes) == 108  # of which the standard leaves out none but the stop, read either way
    assert shapes - set(PATTERNS) == {STOP[:6], STOP[::-1][:6]}


@pytest.mark.parametrize(
    ("value", "pattern"),
    [
        # ISO/IEC 15417, table 1
        (0, "212222"),  # blank
        (16, "123122"),  # 0
        (33, "111323"),  # A
        (58, "312311"),  # Z
        (13, "122132"),  # -
        (103, "211412"),  # start A
        (104, "211214"),  # start B
        (105, "211232"),  # start C
    ],
)
def test_known_symbols(value: int, pattern: str) -> None:
    assert PATTERNS[value] == pattern


@pytest.mark.parametrize(
    ("text", "check"),
    [
        # by hand: 104 + 1 x (55 W) + 2 x (47 O) + 3 x (13 -) + 4 to 6 x (16 0) + 7 x 17 + 8 x 18 + 9 x 20
        # = 104 + 55 + 94 + 39 + 240 + 119 + 144 + 180 = 975; 975 - 9 x 103 = 48
        ("WO-000124", 48),
        # 878 with start A is the worked example PJJ123C of Code 128, check 54; start B is one more
        ("PJJ123C", 55),
        (" ", 1),  # 104 + 0 = 104, less 103
    ],
)
def test_known_checks(text: str, check: int) -> None:
    assert values(text)[-1] == check


def test_a_code_is_as_long_as_the_standard_says() -> None:
    """ISO/IEC 15417: 11 modules a symbol, start and check among them, and 13 for the stop."""
    assert sum(widths("BRG-L44649")) == 11 * (10 + 2) + 13
    assert len(widths("A")) == 6 * 3 + 7


def read(found: tuple[int, ...]) -> str:
    """A reader: symbols cut out of the widths, the check done, the text told."""
    assert found[-7:] == tuple(map(int, STOP))
    inside = found[:-7]
    symbols = ["".join(map(str, inside[at : at + 6])) for at in range(0, len(inside), 6)]
    start, *read_values, check = (PATTERNS.index(symbol) for symbol in symbols)
    assert start == 104
    assert (104 + sum(place * value for place, value in enumerate(read_values, 1))) % 103 == check
    return "".join(chr(value + 32) for value in read_values)


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(PLAIN)
def test_what_was_written_is_read_back(text: str) -> None:
    assert read(widths(text)) == text


@settings(deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(PLAIN, st.integers(1, 48))
def test_one_wrong_symbol_is_found_by_the_check(text: str, place: int) -> None:
    """The weights are not multiples of 103, which is prime, so no single wrong symbol goes unseen."""
    at = (place - 1) % len(text)
    other = list(values(text))
    other[at + 1] = (other[at + 1] + 1) % 95
    assert (104 + sum(n * value for n, value in enumerate(other[1:-1], 1))) % 103 != other[-1]


@pytest.mark.parametrize("text", ["", "Ü", "a\tb", "\x7f", "x" * 49])
def test_what_set_b_does_not_hold_is_refused(text: str) -> None:
    with pytest.raises(Impossible, match="plain letters"):
        code128.values(text)
