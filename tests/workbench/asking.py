"""Asking the workbench without a page: an example with some of its fields changed."""

from collections.abc import Mapping
from datetime import date

from app.trade.figure import Worked
from app.trade.problems import Problem, Refused
from app.trade.typed import Texts
from app.workbench.registry import all_figures
from app.workbench.rules import Answer, answer

TODAY = date(2026, 5, 4)


def answered(key: str, changed: Mapping[str, str] | None = None) -> Answer:
    """What a figure answers to its example, with some fields changed."""
    figure = all_figures()[key]
    return answer(figure, Texts({**figure.examples, **(changed or {})}), TODAY)


def asked(key: str, changed: Mapping[str, str] | None = None) -> tuple[Worked[object], ...]:
    """The worked figures of that answer."""
    return answered(key, changed).figures


def refused(key: str, changed: Mapping[str, str]) -> list[Problem]:
    """What is wrong with a changed example; empty where nothing is."""
    try:
        answered(key, changed)
    except Refused as wrong:
        return list(wrong.problems)
    return []
