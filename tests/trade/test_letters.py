"""Sentences of ours in one line."""

import pytest

from app.trade.letters import run_on


@pytest.mark.parametrize(
    ("sentences", "said"),
    [
        (["Over 5 g: look again"], "Over 5 g: look again"),
        (["Over 5 g", "Over 8 g", "Over 5 g"], "Over 5 g; over 8 g"),
        (["No nut moved", "A lamp is dead"], "No nut moved; a lamp is dead"),
        (["Over", "GVWR is unknown", "N·m differ", "3 of 4"], "Over; GVWR is unknown; N·m differ; 3 of 4"),
    ],
)
def test_only_the_first_begins_with_a_capital(sentences: list[str], said: str) -> None:
    assert run_on(sentences) == said
