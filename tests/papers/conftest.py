"""Every paper, printed once for all the processes that run tests."""

import shutil
from collections.abc import Mapping
from pathlib import Path

import pytest

from tests.papers.every import Printed, print_all
from tests.whole.conftest import Made, made, once, open_desk

__all__ = ["made"]

Printings = Mapping[tuple[str, str], Printed]


@pytest.fixture(scope="session")
def printings(made: Made, furnished: Path, tmp_path_factory: pytest.TempPathFactory) -> Printings:
    """Every paper on both sizes, by name and size."""
    return once(tmp_path_factory, "papers", lambda folder: _printed(made, furnished, folder))


def _printed(made: Made, furnished: Path, folder: Path) -> Printings:
    book = folder.with_suffix(".db")
    shutil.copy(furnished, book)
    with open_desk(made, folder) as desk:
        return {(it.case, it.size): it for it in print_all(desk, book)}
